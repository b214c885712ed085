"""Cautions where hands meet metal: short, in our own words, each with the moment at which it is needed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from sim.errors import BadInput
from sim.parts.fastener import NUTS, Nouns

# The order of work, from the car on the ground to the first kilometres.
MOMENTS = (
    "always",
    "before lifting",
    "wheel off",
    "caliper off",
    "rotor off",
    "cleaning",
    "fitting",
    "tightening",
    "reading",
    "before moving",
    "first drive",
)


@dataclass(frozen=True)
class Caution:
    """One caution: a key to find it by, the moment it belongs to, and what to say then."""

    key: str
    moment: str
    text: str

    def said(self, call: Nouns) -> Caution:
        """The same with its gaps filled: nuts and studs, or bolts."""
        return replace(self, text=self.text.format(**call.gaps))


# Gaps: `sim.parts.fastener.Nouns`.
WRITTEN: tuple[Caution, ...] = (
    Caution(
        "maker first",
        "always",
        "The vehicle maker's instructions stand above everything on this sheet: limits, torques, order and tools. "
        "Local codes and licensed practice apply.",
    ),
    Caution(
        "stands",
        "before lifting",
        "Level ground, wheels chocked, car on stands rated for the load, both at one height, on the maker's jacking "
        "points. Never under a car supported only by a jack.",
    ),
    Caution(
        "nobody in",
        "before lifting",
        "Nobody sits in a car on stands: the pedal is pressed from outside, through the open door. Sit in only with "
        "all four wheels on the ground.",
    ),
    Caution(
        "hot",
        "wheel off",
        "Just driven, rotor, caliper and hub burn: let them cool. Work gloves keep no heat off.",
    ),
    Caution(
        "service mode",
        "wheel off",
        "Rear axle, electric park brake: service mode before a hand goes near, car on stands. It can close without "
        "warning.",
    ),
    Caution(
        "mask and eyes",
        "wheel off",
        "Mask for fine dust, eye cover and gloves on before the wheel comes off, until the last rag is bagged: fine "
        "dust and loose scale lie behind it.",
    ),
    Caution(
        "hang the caliper",
        "caliper off",
        "Hang the caliper from a hook, not by its hose. Pedal and park brake untouched till it is back on.",
    ),
    Caution(
        "stuck rotor",
        "rotor off",
        "A rotor that sticks comes off by its jacking threads or a puller, eyes covered; not by blows on the faces.",
    ),
    Caution(
        "no compressed air",
        "cleaning",
        "Mask on. No compressed air on brake dust, no dry brush. Take it up wet or by a vacuum made for fine dust.",
    ),
    Caution(
        "sensor ring",
        "cleaning",
        "Keep brush, grit and magnets away from the wheel-speed sensor and its ring; a damaged ring sets faults.",
    ),
    Caution(
        "cracked is scrap",
        "cleaning",
        "Look at bore, {pulled} holes and hat from both sides. Cracked means scrap, however true it runs.",
    ),
    Caution(
        "nothing greasy",
        "fitting",
        "Nothing greasy on friction faces, on the seating faces or on {pulled} threads. Oil on a thread raises the "
        "clamp force at the same torque.",
    ),
    Caution(
        "never drawn home",
        "fitting",
        "If the rotor does not drop home by hand, take it off and find out why. Never draw it home with the {nuts}: "
        "the bore can crack and it will not sit flat.",
    ),
    Caution(
        "no impact gun",
        "tightening",
        "By hand and torque wrench, crosswise, in stages. No impact gun: one {pulled} pulled harder than the rest "
        "leans the rotor.",
    ),
    Caution(
        "fingers out",
        "reading",
        "Turn the rotor by hand only, gearbox in neutral, nobody in the car. Fingers clear of vanes and bracket.",
    ),
    Caution(
        "pump the pedal",
        "before moving",
        "Pump the pedal until it is firm, then look at the fluid level, before the car moves at all. Not firm: it does "
        "not move.",
    ),
    Caution(
        "re-torque",
        "first drive",
        "Check the wheel fasteners with the torque wrench again after the distance that the vehicle maker gives.",
    ),
    Caution(
        "bedding-in",
        "first drive",
        "Bed new pads and rotors in as their maker says. Until then stops are longer; do not stand on the "
        "pedal after hard braking.",
    ),
)


#: As they are said of nuts on studs.
CAUTIONS = tuple(caution.said(NUTS) for caution in WRITTEN)


def at(*moments: str, call: Nouns = NUTS) -> tuple[Caution, ...]:
    """Cautions that belong to these moments, in the order of work.

    Raises
    ------
    BadInput
        If a moment is not one of ``MOMENTS``.
    """
    for moment in moments:
        if moment not in MOMENTS:
            raise BadInput(f"no moment of work is called {moment!r}; there are: {', '.join(MOMENTS)}")
    wanted = [caution.said(call) for caution in WRITTEN if caution.moment in moments]
    return tuple(sorted(wanted, key=lambda caution: MOMENTS.index(caution.moment)))


def named(*keys: str, call: Nouns = NUTS) -> tuple[Caution, ...]:
    """Cautions by their keys, in the order asked for.

    Raises
    ------
    BadInput
        If no caution has such a key.
    """
    known = {caution.key: caution.said(call) for caution in WRITTEN}
    missing = [key for key in keys if key not in known]
    if missing:
        raise BadInput(f"no caution is called {missing[0]!r}; there are: {', '.join(known)}")
    return tuple(known[key] for key in keys)
