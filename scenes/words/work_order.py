"""The order of work at one corner, from chocks to first kilometres: the one list that sheet, report and card use."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scenes.words import cautions, words
from sim.parts.fastener import Nouns, has_bolts, nouns

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scenes.words.cautions import Caution
    from sim.parts.case import Case

SHARES = (0.3, 0.6, 1.0)  # stages of the torque; common practice, no source
# What a screen says where the rotor comes off: dust, or a rotor that scale holds; and never by the nuts.
DUSTY, STUCK = ("no compressed air", "never drawn home"), ("stuck rotor", "never drawn home")
ALL_CAUTIONS = "All cautions, each where it is needed, stand on the fitting sheet: trueseat report CASE --sheet"
PLACES = 12  # of a turn that are marked and read; common practice, no source


@dataclass(frozen=True)
class Work:
    """One piece of work: a key to find it by, what to do in one line, how, and boxes to tick."""

    key: str
    what: str
    how: tuple[str, ...] = ()
    boxes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Stage:
    """One stage: its name, the work in order, the cautions that belong there."""

    name: str
    works: tuple[Work, ...]
    cautions: tuple[Caution, ...] = ()

    @property
    def boxes(self) -> tuple[str, ...]:
        """Boxes to tick at the end of the stage."""
        return tuple(box for work in self.works for box in work.boxes)


def crosswise(count: int) -> tuple[int, ...]:
    """Order of tightening in which each nut lies as far as may be from the one before; numbered from stud 1.

    Examples
    --------
    >>> crosswise(5), crosswise(4), crosswise(6)
    ((1, 3, 5, 2, 4), (1, 3, 2, 4), (1, 4, 2, 5, 3, 6))
    """
    half = count // 2
    if count % 2:
        return tuple(half * k % count + 1 for k in range(count))
    return tuple(stud + 1 for start in range(half) for stud in (start, start + half))


def stages(case: Case) -> tuple[Stage, ...]:
    """List every stage of the work on this corner, in the order in which it is done.

    Parameters
    ----------
    case : Case
        Its studs, dial radius, limits and scale on the spigot are named; nothing is computed.

    Returns
    -------
    tuple of Stage
    """
    call = nouns(case.studs)
    return (
        _before_lifting(call),
        _wheel_still_on(case),
        _as_found(case),
        _rotor_off(call),
        _clean(case),
        _hub_face(case),
        _fit_and_read(case),
        _around_the_rotor(),
        _wheel_on(case),
        Stage(
            "Before moving",
            (
                Work(
                    "park brake back",
                    "Park brake tried; an electric one out of its service mode first.",
                    boxes=("park brake works",),
                ),
                Work("pedal", "Pedal pumped firm, fluid between its marks.", boxes=("pedal firm", "fluid level")),
            ),
            cautions.at("before moving", call=call),
        ),
        Stage(
            "First drive",
            (
                Work(
                    "bed in", "Bed in, re-torque the wheel, read once more at the next service.", boxes=("re-torqued",)
                ),
                Work("dust", "Dust, rags and filters into a closed bag, as local rules ask.", boxes=("dust bagged",)),
            ),
            cautions.at("first drive", call=call),
        ),
    )  # fmt: skip


def work(case: Case, key: str) -> Work:
    """Find one piece of work by its key.

    Raises
    ------
    KeyError
        If there is none.
    """
    return {one.key: one for stage in stages(case) for one in stage.works}[key]


def cautions_for(case: Case, keys: Iterable[str]) -> tuple[Caution, ...]:
    """The few cautions that matter most for some pieces of work, for a screen; the fitting sheet carries them all.

    Parameters
    ----------
    case : Case
    keys : iterable of str
        Of the work.
    """
    off = "rotor off" in set(keys)
    few = (STUCK if case.spigot_scale else DUSTY) if off else ()
    return cautions.named("maker first", *few, call=nouns(case.studs))


def _before_lifting(call: Nouns) -> Stage:
    return Stage(
        "Before lifting",
        (
            Work(
                "support",
                "Level ground, wheels chocked, park brake on.",
            ),
            Work(
                "breakaway torque",
                f"Before the wheel comes off: torque at which each {call.nut} gives, written down.",
                (
                    "Wheel on the ground, one at a time, each back to its torque before the next; by a wrench that "
                    "shows torque while it undoes, no click wrench. Only one far off the rest is a finding.",
                ),
            ),
        ),
        cautions.at("before lifting", call=call),
    )


def _wheel_still_on(case: Case) -> Stage:
    return Stage(
        "Wheel still on",
        (
            Work("lift", "Lift; car on stands, this wheel free to turn."),
            *_park_brake_off(case),
            Work(
                "wheel-on trace",
                f"Where a dial reaches the inboard face: {PLACES} chalk marks on the tyre from the valve on, read with "
                "the wheel on.",
                ("Taking the wheel off destroys this evidence: how the car was driven.",),
            ),
            *_guide_pin(case),
        ),
    )


def _park_brake_off(case: Case) -> tuple[Work, ...]:
    """What keeps a rear rotor from turning or coming off; nothing in front. Common practice, no source."""
    if case.axle != "rear":
        return ()
    return (
        Work(
            "park brake off",
            "Park brake off (electric: service mode), shoes inside the hat backed off.",
            ("Once on stands, front wheels chocked. Shoes that grip hold the rotor: by the adjuster, not a puller.",),
        ),
    )


def _guide_pin(case: Case) -> tuple[Work, ...]:
    """What keeps a wheel from falling that hangs on bolts; nothing for studs, which do. Common practice, no source."""
    if not has_bolts(case.studs):
        return ()
    return (
        Work(
            "guide pin",
            "First bolt out at the top, a guide pin screwed in there; then the other bolts.",
            (
                "Nothing else holds the wheel once its bolts are out. The same pin carries it back on. Count the turns "
                "of one bolt on its way out and write them down.",
            ),
        ),
    )


def _spacers(case: Case) -> Work:
    """How the rotor is held for reading: under nuts with spacers, or under bolts that must not go too deep."""
    order = _order(case)
    if not has_bolts(case.studs):
        return Work(
            "spacers", f"Nuts with spacers, plain side to the rotor, crosswise {order}, in stages of {_stages()}."
        )
    under = words.with_unit(case.wheel.thickness_mm, "mm")
    known = case.wheel.pad_thickness_mm is not None
    thick = f"as thick as the wheel's pad ({under})" if known else "as thick as the wheel's pad"
    return Work(
        "spacers",
        f"Without the wheel: bolts with spacers {thick}, or shorter bolts; crosswise {order}, in stages of "
        f"{_stages()}.",
        (
            "The retaining screw, or two bolts run in by hand, hold the rotor meanwhile. As many turns as with the "
            "wheel on: a bolt too long bottoms before it clamps or fouls what lies behind; turn the hub, look, listen.",
        ),
        ("bolts clear behind the hub",),
    )


def _as_found(case: Case) -> Stage:
    call, edge = nouns(case.studs), words.with_unit(case.gauge.from_edge_mm, "mm")
    radius = words.with_unit(case.gauge_radius_mm, "mm")
    return Stage(
        "Wheel off: as found",
        (
            Work("wheel off", "Wheel off; look before anything else is touched."),
            Work(
                "bearing play",
                f"Two {call.nut}s run up by hand hold the rotor; rock it top and bottom: bearing play before any "
                "runout.",
                boxes=("bearing without play",),
            ),
            Work(
                "dial",
                "Set up the dial.",
                (
                    "Stiff base on the knuckle, no long arms (an aluminium knuckle holds no magnet: clamp it). "
                    f"Tip square to the face, {edge} in from the edge (radius {radius}), pressed in by about a "
                    "millimetre. Lever dial: arm flat to the face.",
                    "Once it is tight, pull and push the rotor: the needle must come back. What it moves is bearing "
                    "play, not runout.",
                ),
            ),
            _mark(case),
            _home(case),
            _spacers(case),
            Work(
                "as found",
                "Wipe nothing yet: read the runout as found.",
                ("One way only, at the marks, two turns: the second turn must repeat within one division.",),
                ("second turn repeats",),
            ),
            Work(
                "thickness",
                f"Thickness by micrometer at {PLACES} places, 10 to 15 mm in.",
                ("Under the discard thickness: stop. The rotor is scrap; rotors are renewed in axle pairs.",),
                ("above discard",),
            ),
        ),
        cautions.at("reading", call=call),
    )


def _home(case: Case) -> Work:
    """No nut pulls a rotor that is not home: the bore flares or cracks, and a reading would mean nothing."""
    here = "This corner has scale on its spigot: expect a gap." if case.spigot_scale else ""
    gap = f"A gap: no {nouns(case.studs).nut} pulls it, nothing is read; go on to rotor off."
    return Work(
        "home",
        "Look along the joint: the rotor must stand home on the hub face, by hand.",
        tuple(line for line in (here, gap) if line),
        ("home before torque",),
    )


def _mark(case: Case) -> Work:
    what = (
        "bolt hole 1 at the hub and the rotor's hole over it" if has_bolts(case.studs) else "stud 1 and the hole on it"
    )
    return Work(
        "mark",
        f"Paint {what}, an arrow for the way of turning, {PLACES} places counter-clockwise.",
    )


def _rotor_off(call: Nouns) -> Stage:
    return Stage(
        "Caliper and rotor off",
        (
            Work("caliper off", "Caliper off and hung up."),
            Work("rotor off", "What held it for reading off, retaining screw out, rotor off."),
            Work("cracks", f"Cracks: look at bore, {call.pulled} holes and hat from both sides.", boxes=("no crack",)),
        ),
        cautions.at("caliper off", "rotor off", call=call),
    )  # fmt: skip


def _clean(case: Case) -> Stage:
    call = nouns(case.studs)
    return Stage(
        "Clean",
        (
            Work(
                "clean",
                f"Hub face, round every {call.stud}, the root of the spigot, the rotor's seat and its bore: rust and "
                "dirt off.",
                (
                    "By wire brush or abrasive pad, by hand, the outer edge last. Rust creeps out from the "
                    f"{call.stud}s and from the root. A coating of the maker stays on, unless the maker says "
                    "otherwise.",
                    "Clean is: nothing proud under a lamp held flat to the face; a straight edge shows no light; a "
                    "fingernail drawn across catches nowhere; a white rag stays white.",
                    "A burr is dressed flush with a fine flat stone. Do not spoil it: no grinding disc (it digs "
                    "hollows), no paint, no thick grease.",
                    *_on_the_spigot(case),
                ),
                ("hub face clean", "spigot root clean", "rotor's seat clean"),
            ),
        ),
        cautions.at("cleaning", call=call),
    )


def _hub_face(case: Case) -> Stage:
    limit = words.micrometres(case.hub_face_limit_um)
    whose = words.limit_from(case, "hub_face_runout_um")
    return Stage(
        "Read the hub face",
        (
            Work(
                "hub face",
                "Dial on the clean hub face near its edge, one turn.",
                (
                    f"Limit: the vehicle maker's; else {limit} ({whose}). Over it: bearing and hub first, no rotor "
                    "cures a hub.",
                ),
            ),
        ),
    )


def _fit_and_read(case: Case) -> Stage:
    call = nouns(case.studs)
    return Stage(
        "Fit, tighten, read",
        (
            Work(
                "fit",
                f"Slide the rotor home by hand. It must sit flat without a {call.nut} and not rock when pressed at its "
                "edge.",
                ("New rotor: wash the protective oil off its friction faces; look for burrs and runs of paint.",),
                ("home by hand", "does not rock"),
            ),
            Work(
                "tighten",
                f"As it was held for reading: crosswise {_order(case)}, in stages of {_stages()}.",
            ),
            Work("read", "Read the runout, two turns.", ("Read as before.",)),
            Work(
                "index",
                "Still over the limit on clean metal: index the rotor by one or two holes and read again.",
                (
                    "What moves with the rotor is the rotor's, what stays is the hub's. Not where a screw or a pin "
                    "sets its place.",
                ),
            ),
        ),
        cautions.at("fitting", "tightening", call=call),
    )


def _around_the_rotor() -> Stage:
    return Stage(
        "Caliper and pads",
        (
            Work(
                "caliper",
                "Caliper slides free, pistons back; caliper on, bracket bolts to the vehicle maker's torque; pads free "
                "in their guides and thick enough.",
                (
                    "Watch the fluid level as the pistons go back. A piston with a screw or a motor is turned or "
                    "driven back as its maker says, never pushed. Bolts that the maker wants new are new.",
                ),
                ("slides free", "caliper on, bracket torqued", "pads thick enough"),
            ),
        ),
    )


def _wheel_on(case: Case) -> Stage:
    return Stage(
        "Wheel on",
        (
            Work(
                "wheel",
                f"Spacers off, wheel and rotor hat clean where they meet, wheel on crosswise {_order(case)}, in stages "
                "to the vehicle maker's torque.",
                (*_back_on(case), "By hand while it hangs, car down on its wheels before the last stage."),
                ("spacers off", "wheel torqued"),
            ),
        ),
    )


def _back_on(case: Case) -> tuple[str, ...]:
    """How a wheel goes back on bolts; nothing for studs."""
    if not has_bolts(case.studs):
        return ()
    return (
        "Wheel on to the guide pin, every other bolt run in by hand, then the pin out and the last bolt in. The "
        "wheel's own bolts, not those of the reading.",
    )


def _stages() -> str:
    """Stages of the torque, as everything is tightened that is read or driven."""
    return f"{', '.join(words.percent(share) for share in SHARES)} of the vehicle maker's torque"


def _order(case: Case) -> str:
    return " – ".join(str(stud) for stud in crosswise(case.studs.count))


def _on_the_spigot(case: Case) -> tuple[str, ...]:
    """Say what is known to lie on this corner's spigot; nothing where nothing is."""
    if not case.spigot_scale:
        return ()
    highest = max(case.spigot_scale, key=lambda scale: scale.height_um)
    where = f"{words.micrometres(highest.height_um)} of scale on the spigot at {words.degrees(highest.angle_deg)}"
    return (f"This corner: {where}. Off with it, all round and down to the root, before the rotor is put on.",)
