"""Every key of the case file, once: default, range, choices, meaning, source. All else is made from this table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from sim.parts.iso_fits import CLEARANCE_FITS, fit_wrong
from sim.parts.threads import CLASSES, THREADS
from sim.units import SLIPS, is_finite, is_number, is_whole, shown, slip_text, unit_of

# The one place to edit when a feature has been built: take its name out. A table, a key, or a choice of a key.
NOT_BUILT: frozenset[str] = frozenset()
NOT_YET = "known but not computed yet in this version"
LONGEST_TITLE = 120

SIZE = "invented reference part; typical sizes, from memory"
PRACTICE = "common practice, no source"
JUDGEMENT = "judgement"
PAD = "judgement, 8 .. 35 of light alloy, half above 20; steel 8 .. 16, half above 11"
NONE = "nothing wrong unless given"
FACT = "the user's to say"
IRON = "EN 1561 for EN-GJL-250, from memory"
STEEL = "from memory, 205 000 .. 210 000 MPa, 0.29 .. 0.30"
NUTS = (
    "Bowman, Fastener Facts (1985), quoted by Shigley, second-hand: 0.20 where the finish is not known, 0.30 black, "
    "0.20 zinc, 0.18 lubricated"
)
HOLE = (
    "typical, from memory; ISO 273, fine, medium, coarse: M12 13, 13.5, 14.5; M14 15, 15.5, 16.5, second-hand and "
    "from memory"
)
DIRT = (
    "from memory and judgement, crushing in MPa: loose scale 5 .. 50, compact 100 .. 300, paint 30 .. 80, steel chip "
    "900 .. 1800 (three times its yield: Johnson, Contact Mechanics)"
)
SERVICE = "complaints after about 5 000 .. 11 000 km (3 000 .. 7 000 miles in workshop manuals, second-hand)"
TYRE = "836 turns a mile, tyre 205/55R16; common practice, no source"
FIT = "ISO 286 H8/f8 at 65 mm, 0.03 .. 0.12 mm of clearance"
ENGAGED = f"{PRACTICE}: 1.2 thread diameters, 1 .. 1.5, or what the flange leaves"
SPACER = f"{PRACTICE}: as thick as the wheel's pad, so that the bolts engage as on the road"
CRUSH = "from memory, 5 .. 50 loose, over 100 compact"
HOLDER = f"tuned with the wear of the rotor to {SERVICE}; judgement, 500 .. 3000"
TUNED = f"0.9e-5 abrasive, tuned to {SERVICE}, 0.4e-5 adherent; judgement, 0.3e-5 .. 3e-5"
MODES = "judgement; 12 .. 16 Hz steering wheel, 22 .. 35 Hz suspension (Garcia, chassis dynamics in judder, part 3)"
FOLLOWS_AXLE = (
    "front: 14 Hz, steering wheel 12 .. 16; rear: 28 Hz, suspension 22 .. 35 (Garcia, part 3, front cars); judgement"
)
HUB_LIMIT = f"{PRACTICE}: 30, or what meets the mounted limit at the dial's radius where that is less"
DRAG = f"{PRACTICE}: 3.7 on a front axle; none could be found for a rear one"


@dataclass(frozen=True)
class Key:
    """One key of the case file.

    Parameters
    ----------
    table, name : str
        Where it stands; ``table`` is empty at the top of the file.
    kind : str
        ``number``, ``whole``, ``text``, ``per stud`` (one number or one per stud) or ``whole list``.
    default : float, int, str or None
        Value when it is not given; ``None`` when it is derived or left out.
    lowest, highest : float
        Bounds, in the unit of the key; both belong to the range unless ``above_lowest``.
    above_lowest, or_zero : bool
        The lowest value itself is refused; zero is taken besides the range.
    choices : tuple of str
        Words that are taken; empty when the key is no word.
    takes : str
        What text is taken, in words, where it is neither one of the choices nor free.
    meaning, source : str
        One line each, for the reader.
    """

    name: str
    kind: str
    default: Any
    meaning: str
    source: str
    lowest: float = 0.0
    highest: float = 0.0
    above_lowest: bool = False
    or_zero: bool = False
    choices: tuple[str, ...] = ()
    takes: str = ""
    may_lack: bool = False
    table: str = ""

    @property
    def path(self) -> str:
        """Table and name, as in messages."""
        return f"{self.table}.{self.name}" if self.table else self.name

    @property
    def unit(self) -> str:
        """Unit as it is shown; empty when the key has none."""
        return unit_of(self.name)

    @property
    def built(self) -> bool:
        """Whether this version computes what the key means."""
        return self.table not in NOT_BUILT and self.path not in NOT_BUILT

    @property
    def open_choices(self) -> tuple[str, ...]:
        """The choices that this version computes."""
        return tuple(c for c in self.choices if f'{self.path} = "{c}"' not in NOT_BUILT)

    @property
    def optional(self) -> bool:
        """Whether the value may be absent."""
        return self.default is None or self.may_lack

    @property
    def allowed(self) -> str:
        """What is taken, in words."""
        if self.kind == "text":
            words = ", ".join(f'"{choice}"' for choice in self.open_choices)
            return words or self.takes or f"text of 1 .. {LONGEST_TITLE} characters"
        span = f"{self.lowest:g} .. {self.highest:g}"
        if self.above_lowest:
            span = f"above {self.lowest:g}, up to {self.highest:g}"
        span = f"{span} {self.unit}".rstrip() + (", or 0" if self.or_zero else "")
        if self.kind == "per stud":
            return f"{span}; one number, or one per stud"
        return f"whole numbers {span}" if self.kind.startswith("whole") else span

    @property
    def slip(self) -> str:
        """The units that the range can tell from the right one when they are given by mistake.

        In the key's unit; which slips people make is judgement.
        """
        if self.kind not in ("number", "per stud"):
            return ""
        middle = (self.lowest * self.highest) ** 0.5 if self.lowest > 0 else self.highest
        usual = self.default or middle
        told = (word for factor, word in SLIPS.get(self.unit, ()) if not self.lowest <= usual / factor <= self.highest)
        return ", ".join(told)

    def settled(self, value: Any) -> bool:
        """Whether a value is plainly taken and of the type that a part keeps; where not, `wrong` says whether it is.

        A stack builds ten thousand corners, each of a hundred values: this look costs a fiftieth of `wrong`.
        """
        if NOT_BUILT:
            return False
        kind = type(value)
        if kind is float:
            return self.kind in ("number", "per stud") and self._within(value)
        if kind is str:
            return value in self.choices
        if kind is int:
            return self.kind == "whole" and self._within(value)
        if kind is tuple:
            every = bool(value) and all(type(one) is float and self._within(one) for one in value)
            return every and self.kind == "per stud"
        return value is None and self.optional

    def _within(self, value: float) -> bool:
        return self.lowest < value < self.highest or (value == self.lowest and not self.above_lowest)

    def wrong(self, value: Any) -> str:
        """Say what is wrong with a value; empty when it is taken. ``None`` stands for a key that is not given."""
        if value is None:
            return "" if self.optional else "is missing"
        return _JUDGES[self.kind](self, value)

    def _text(self, value: Any) -> str:
        if not isinstance(value, str):
            return f"{shown(value)} is not text; text stands in quotes"
        if not self.choices:
            return _TEXT_JUDGES[self.name](value) if self.name in _TEXT_JUDGES else ""
        if value not in self.choices:
            longer = [choice for choice in self.open_choices if choice.startswith(f"{value.strip()}x")]
            lacks = f"; it lacks its pitch: {', '.join(longer)}" if longer else ""
            return f"{shown(value)} is not known{lacks}"
        return "" if value in self.open_choices else f"{shown(value)} is {NOT_YET}"

    def _number(self, value: Any) -> str:
        if not is_number(value):
            quoted = "; numbers stand without quotes" if isinstance(value, str) else ""
            return f"{shown(value)} is not a number{quoted}"
        if not is_finite(value):
            return f"{shown(value)} is not a finite number"
        below = value <= self.lowest if self.above_lowest else value < self.lowest
        if not (below or value > self.highest) or (self.or_zero and value == 0):
            return ""
        reason = f"{shown(value)} {self.unit}".rstrip() + " is out of range"
        slip = slip_text(value, self.unit, self.lowest, self.highest)
        return f"{reason}; {slip}" if slip else reason

    def _whole(self, value: Any) -> str:
        text = repr(value) if isinstance(value, float) else shown(value)
        return self._number(value) if is_whole(value) else f"{text} is not a whole number"

    def _per_stud(self, value: Any) -> str:
        if not isinstance(value, list | tuple):
            return self._number(value)
        return next((reason for reason in map(self._number, value) if reason), "" if value else "the list is empty")

    def _whole_list(self, value: Any) -> str:
        if not isinstance(value, list | tuple):
            return f"{shown(value)} is not a list; write [0, 2]"
        return next((reason for reason in map(self._whole, value) if reason), "" if value else "the list is empty")


_JUDGES: dict[str, Callable[[Key, Any], str]] = {
    "text": Key._text,
    "number": Key._number,
    "whole": Key._whole,
    "per stud": Key._per_stud,
    "whole list": Key._whole_list,
}


def _title_wrong(value: str) -> str:
    if not value.strip():
        return "is empty"
    if len(value) > LONGEST_TITLE:
        return f"is {len(value)} characters long"
    # isprintable refuses control characters, line breaks and the marks that turn the writing direction round
    return "" if value.isprintable() else f"{shown(value)} contains control characters or invisible ones"


_TEXT_JUDGES: dict[str, Callable[[str], str]] = {"title": _title_wrong, "spigot_fit": fit_wrong}


def _n(name: str, default: float | None, span: tuple[float, float], meaning: str, source: str, **more: Any) -> Key:
    return Key(name, "number", default, meaning, source, float(span[0]), float(span[1]), **more)


def _deg(name: str, default: float, meaning: str) -> Key:
    return _n(name, default, (-360, 360), meaning, NONE)


def _um(name: str, meaning: str, highest: float = 2000, lowest: float = 0.0) -> Key:
    return _n(name, 0.0, (lowest, highest), meaning, NONE)


def _arc(default: float) -> Key:
    return _n("arc_deg", default, (0.01, 360), "whole angle that it covers", FACT)  # a hundredth is 10 µm at the edge


def _word(name: str, default: str, choices: tuple[str, ...], meaning: str, source: str = FACT) -> Key:
    return Key(name, "text", default, meaning, source, choices=choices)


def judged(low: float, high: float) -> str:
    """Words for a default that rests on judgement within a range."""
    return f"judgement, {low:g} .. {high:g}"


KINDS = ("hard", "loose scale", "compact scale", "paint", "steel chip")
AXLES = ("front", "rear")
CLAMPS = ("nuts and spacers", "bare nuts", "wheel", "screw only")
FASTENERS = ("nut on stud", "wheel bolt")

# Tables that may stand more than once: [[name]].
ARRAYS = ("debris", "spigot_scale")

TABLES: dict[str, str] = {
    "": "what the case is called",
    "rotor": "the brake rotor",
    "hub": "the wheel hub",
    "studs": "the wheel studs and what pulls on them",
    "debris": "anything that is not flat on the hub face or on the rotor's mounting face; one table for each",
    "spigot_scale": "scale on the centring spigot; one table for each",
    "contact": "how two machined faces meet",
    "gauge": "where the dial stands",
    "pads": "the pair of pads",
    "caliper": "the caliper",
    "drive": "how the car is used",
    "judder": "the mode through which the driver feels it: parameters, not facts",
    "limits": "common practice; the vehicle maker's value rules",
    "wheel": "the wheel's mounting pad",
}

_ROWS: dict[str, tuple[Key, ...]] = {
    "": (
        Key("title", "text", "A corner", "what stands over pictures and reports", FACT),
        _word("axle", "front", AXLES, "a front corner shakes the steering wheel, a rear one seat and pedal"),
    ),
    "rotor": (
        _word("style", "solid", ("solid", "vented"), "one plate, or two cheeks with vanes between"),
        _n("outer_diameter_mm", 300.0, (150, 500), "outer edge of the friction faces", SIZE),
        _n("friction_inner_diameter_mm", 190.0, (60, 450), "inner edge of the friction faces", SIZE),
        _n(
            "ring_inner_diameter_mm",
            140.0,
            (50, 450),
            "inner edge of the ring's plate; vented: inboard cheek",
            SIZE,
        ),
        _n("thickness_mm", 12.0, (4, 60), "over both friction faces, at its thinnest place", SIZE),
        _n("minimum_thickness_mm", 10.0, (3, 60), "discard thickness, stamped on the rotor", PRACTICE),
        _n("machine_to_thickness_mm", None, (3, 60), "least after a cut, the maker's value; no cut without it", FACT),
        _n("overall_height_mm", 45.0, (10, 150), "outboard side of the flange to the inboard friction face", SIZE),
        _n("hat_outer_diameter_mm", 152.0, (80, 350), "outside of the hat", SIZE),
        _n("hat_wall_mm", 6.0, (2, 30), "wall of the hat", SIZE),
        _n("flange_thickness_mm", 7.0, (2, 25), "flange that lies on the hub", SIZE),
        _n("bore_diameter_mm", 65.0, (30, 200), "bore that sits on the spigot", SIZE),
        _n("hole_diameter_mm", 16.0, (6, 40), "stud holes; 0 = none", HOLE, or_zero=True),
        _word("material", "grey iron", ("grey iron",), "110 000 MPa and 0.26 unless given below", IRON),
        _n("youngs_modulus_mpa", None, (20_000, 400_000), "in place of the material's", IRON),
        _n("poissons_ratio", None, (0.0, 0.49), "in place of the material's", IRON),
        _n("tensile_strength_mpa", None, (50, 2000), "in place of the material's, which falls with the wall", IRON),
        _um("own_runout_um", "TIR of the friction faces against the rotor's own mounting face"),
        _n("own_runout_radius_mm", None, (20, 250), "where that was read; outer radius - 10 unless given", PRACTICE),
        _deg("own_high_spot_deg", 0.0, "rotor frame"),
        _um("own_thickness_variation_um", "once a turn, split equally between the faces"),
        _deg("own_thick_spot_deg", 0.0, "rotor frame"),
        _um("flange_dish_um", "+ hollow: touches at its outer edge; - crowned: rocks", 1000, -1000),
        _um("flange_saddle_um", "two waves a turn of the mounting face, highest over lowest, alike at every radius"),
        _deg("flange_saddle_deg", 0.0, "a high spot of the saddle, rotor frame"),
        Key("face_map", "text", None, "CSV of measured heights of the mounting face, rotor frame, + proud", FACT),
        _n("cheek_thickness_mm", None, (2, 25), "vented: one cheek", SIZE),
        Key("vane_count", "whole", None, "vented: number of vanes", SIZE, 6, 120),
        _n("vane_thickness_mm", None, (1, 30), "vented: one vane", SIZE),
        _n("vane_inner_diameter_mm", None, (60, 490), "vented: where the vanes begin", SIZE),
        _n("vane_outer_diameter_mm", None, (100, 500), "vented: where the vanes end", SIZE),
        _word("vane_model", "smeared", ("smeared", "true vanes"), "vented: a layer, or each vane in 3D (slower)", NONE),
    ),
    "hub": (
        _n("face_diameter_mm", 136.0, (70, 300), "outer edge of the hub face", SIZE),
        _n("face_inner_diameter_mm", 68.0, (30, 220), "edge of the recess round the spigot", SIZE),
        _n(
            "spigot_diameter_mm",
            64.94,
            (30, 200),
            "spigot that centres the rotor",
            FIT,
        ),
        Key(
            "spigot_fit",
            "text",
            None,
            "ISO 286 fit of bore and spigot, in place of the spigot's diameter; the bore's is then the nominal one",
            "ISO 286-1, limits from memory, checked in the tests",
            takes=CLEARANCE_FITS,
        ),
        _n("spigot_length_mm", 10.0, (2, 60), "from the hub face outward", SIZE),
        _n("flange_thickness_mm", 12.0, (4, 40), "flange of the hub", SIZE),
        _n("barrel_outer_diameter_mm", 60.0, (25, 200), "body between flange and bearing", SIZE),
        _n("barrel_inner_diameter_mm", 40.0, (5, 180), "bore of that body", SIZE),
        _n("barrel_length_mm", 38.0, (2, 200), "from the flange's rear side to where the bearing holds it", SIZE),
        _word("material", "steel", ("steel", "rigid"), "205 000 MPa and 0.29 unless given below; or rigid", STEEL),
        _n("youngs_modulus_mpa", None, (20_000, 400_000), "in place of the material's", STEEL),
        _n("poissons_ratio", None, (0.0, 0.49), "in place of the material's", STEEL),
        _um("face_runout_um", "TIR of the face about the bearing axis"),
        _n(
            "face_runout_radius_mm", None, (10, 150), "where that was read; 4 mm inside the face unless given", PRACTICE
        ),
        _deg("face_high_spot_deg", 0.0, "hub frame"),
        _um("face_dish_um", "+ hollow, - crowned", 1000, -1000),
        _um("face_saddle_um", "two waves a turn, highest over lowest, alike at every radius"),
        _deg("face_saddle_deg", 0.0, "a high spot of the saddle, hub frame"),
        Key("face_map", "text", None, "CSV of measured heights beside this file; adds to the errors above", FACT),
        _um("bearing_end_float_um", "not a runout: it widens the uncertainty of every reading"),
    ),
    "studs": (
        Key("count", "whole", 5, "number of studs", SIZE, 3, 8),
        _n("pitch_circle_mm", 112.0, (60, 250), "circle on which the studs stand", SIZE),
        _word("thread", "M14x1.5", THREADS, "thread of stud and nut", SIZE),
        _word("property_class", "10.9", CLASSES, "strength of the studs", "ISO 898-1; judgement"),
        Key(
            "torque_nm", "per stud", 140.0, "wrench torque; 0 = nut off", PRACTICE, 2, 600, or_zero=True, may_lack=True
        ),
        Key(
            "road_torque_nm",
            "per stud",
            None,
            "torque on the road, wheel on; torque_nm unless given, if that is one number fit to drive",
            "the vehicle maker's value; a list is uneven torque",
            2,
            600,
            or_zero=True,
        ),
        _n("nut_factor", 0.20, (0.05, 0.6), "K of T = K d F", NUTS),
        Key("preload_n", "per stud", None, "stud force, in place of the torque", FACT, 100, 200_000, or_zero=True),
        _n("seat_inner_diameter_mm", 16.0, (6, 60), "washer or nut seat on the flange, inside", SIZE),
        _n("seat_outer_diameter_mm", 28.0, (10, 100), "washer or nut seat on the flange, outside", SIZE),
        Key("studs_turned", "whole", 0, "stud pitches by which the rotor is turned on the hub", NONE, 0, 7),
        Key("index_positions", "whole list", None, "where a locating screw allows only some", FACT, 0, 7),
        _word("clamped_by", "nuts and spacers", CLAMPS, "what holds the rotor while the dial is read", PRACTICE),
        _word(
            "fastener", "nut on stud", FASTENERS, "nuts on studs pressed in from behind, or bolts screwed into the hub"
        ),
        _n("thread_engagement_mm", None, (3, 40), "wheel bolts: thread in the hub's flange, wheel on", ENGAGED),
        _n("spacer_mm", None, (0, 80), "wheel bolts: under the heads while read; follows the wheel's pad", SPACER),
        _n("screw_preload_n", 3000.0, (100, 20_000), 'pull of the one screw of "screw only"', judged(1000, 6000)),
        _n("screw_angle_deg", None, (-360, 360), "where it sits, hub frame; half way from stud 1 to 2", FACT),
    ),
    "debris": (
        _word("on", "hub", ("hub", "rotor"), "what it sticks to; on the rotor it goes with it when indexed"),
        _word("kind", "hard", KINDS, "sets crushing and stiffness unless given below", DIRT),
        _word("shape", "sector", ("sector", "round"), "round: a disc between the radii; about a stud hole it is a lip"),
        _n("angle_deg", 0.0, (-360, 360), "centre, in the frame of what it sits on", FACT),
        _arc(20.0),
        _n("inner_radius_mm", 60.0, (0, 250), "where it begins", FACT),
        _n("outer_radius_mm", 68.0, (1, 250), "where it ends", FACT),
        _n("height_um", 100.0, (-2000, 2000), "above the clean face; negative: a hollow ground into it", FACT),
        _n(
            "crush_mpa",
            None,
            (1, 10_000),
            "pressure at which it crushes; omit: it does not",
            "from memory, 5 .. 50 loose, over 100 compact",
        ),
        _n("modulus_mpa", None, (10, 400_000), "its stiffness; omit: stiff", "from memory, 500 .. 10 000"),
        _n("residual_share", None, (0, 1), "of the height that stays however hard it is crushed", judged(0.3, 0.8)),
        _n(
            "ragged_share", 0.0, (0, 0.95), "how much of the height its ragged top falls short of, at random", JUDGEMENT
        ),
        Key("seed", "whole", 1, "which ragged top", FACT, 0, 1_000_000),
    ),
    "spigot_scale": (
        _n("angle_deg", 180.0, (-360, 360), "centre, hub frame", FACT),
        _arc(60.0),
        _n("height_um", 90.0, (0, 2000), "above the clean spigot", FACT),
        _n("from_face_mm", 0.0, (0, 60), "axial band, from the hub face", FACT),
        _n("to_face_mm", 10.0, (0, 60), "axial band, to", FACT, above_lowest=True),
    ),
    "contact": (
        _n("layer_stiffness_n_mm3", 1.0e5, (1e3, 1e8), "stiffness of the machined contact layer", judged(1e4, 1e6)),
        _n("bore_friction", 0.15, (0, 0.4), "friction of the bore on the spigot", judged(0.1, 0.4)),
    ),
    "gauge": (
        _n("from_edge_mm", 10.0, (0, 100), "tip of the dial from the outer edge", f"{PRACTICE}; 5 .. 25 in use"),
        _word("face", "outboard", ("outboard", "inboard"), "what a single dial reads; both faces are computed"),
    ),
    "pads": (
        _word("kind", "abrasive", ("abrasive", "adherent"), "cuts the rotor, or also leaves a film on it"),
        _n("arc_deg", 55.0, (10, 150), "angle that a pad covers", "from memory, 50 .. 65 front, 40 .. 50 rear"),
        _n("inner_radius_mm", None, (30, 250), "inner edge of the pad; follows the friction face", JUDGEMENT),
        _n("outer_radius_mm", None, (30, 250), "outer edge of the pad; follows the friction face", JUDGEMENT),
        _n("thickness_mm", 10.0, (1, 25), "lining of one pad", "from memory, 9 .. 12"),
        _n("bed_released_n_mm3", 5.0, (0.01, 500), "lining stiffness in light contact", judged(2, 15)),
        _n("bed_braking_n_mm3", 30.0, (0.1, 2000), "lining stiffness, brake applied", judged(15, 60)),
        _n("wear_mm3_per_nm", 2.5e-5, (1e-7, 1e-2), "wear of the pads", "from memory, 1e-5 .. 5e-5", or_zero=True),
        _n("disc_wear_mm3_per_nm", None, (1e-7, 1e-2), "wear of the rotor; follows the kind", TUNED, or_zero=True),
        _n("adherence", None, (0, 1), "share of braked rubbing that feeds the film; follows the kind", JUDGEMENT),
        _n("film_deposit_mm3_per_nm", 1.0e-5, (0, 1e-2), "how fast the film of adherent pads builds", JUDGEMENT),
        _n("film_um", 5.0, (0.1, 100), "thickness where that film settles", judged(1, 20)),
        _n("worn_out_mm", 2.0, (0, 20), "lining at which pads are changed", PRACTICE),
    ),
    "caliper": (
        _word("style", "floating", ("floating", "fixed"), "pistons on one side, or on both"),
        _n("clearance_um", 30.0, (0, 1000), "gap per side when released", judged(15, 150)),
        _n("outboard_share", 0.30, (0.0, 1.0), "of the whole clearance", judged(0.1, 0.5)),
        _n("holder_stiffness_n_mm", 1000.0, (50, 50_000), "what holds a released pad", HOLDER),
        _n("slip_force_n", 100.0, (0, 5000), "at which the pad carrier slips", "from memory, 20 .. 200"),
        _n("piston_area_mm2", 2030.0, (200, 12_000), "of one side", "one piston of 50.8 mm; from memory, 1500 .. 2900"),
        _n("clamp_stiffness_kn_mm", 20.0, (1, 500), "caliper and fluid against spreading", "from memory, 10 .. 60"),
        _n(
            "sticking_outboard_n",
            0.0,
            (0, 1000),
            "push of a stuck slide or piston on the pad, before what its carrier holds",
            NONE,
        ),
        _n("sticking_inboard_n", 0.0, (0, 1000), "the same, inboard", NONE),
    ),
    "drive": (
        _word(
            "duty", "mixed", ("gentle", "mixed", "heavy"), "sets brake_share and pressure_mpa unless given", JUDGEMENT
        ),
        _n(
            "revolutions_per_km",
            519.5,
            (200, 1000),
            "turns of the wheel",
            TYRE,
        ),
        _n("brake_share", None, (0, 0.9), "of the distance braked", judged(0.005, 0.15)),
        _n("pressure_mpa", None, (0.05, 4), "mean pad pressure while braking", judged(0.3, 3)),
        _n("friction", 0.40, (0.05, 0.9), "of pad on rotor", judged(0.3, 0.5)),
    ),
    "judder": (
        _n("mode_hz", None, (2, 200), "resonance through which it is felt; follows the axle", FOLLOWS_AXLE),
        _n("mode_damping", 0.10, (0.005, 0.9), "damping ratio of it", judged(0.05, 0.2)),
        _n(
            "mode_gain_m_s2_per_nm",
            0.008,
            (0, 1),
            "what is felt per N m",
            f"{judged(0.003, 0.02)}; the least sure of all",
        ),
        _n("second_mode_hz", None, (2, 200), "a second resonance, of the suspension say", MODES),
        _n("second_mode_damping", 0.10, (0.005, 0.9), "damping ratio of that", judged(0.05, 0.2)),
    ),
    "limits": (
        _n("mounted_runout_um", 50.0, (5, 1000), "lateral runout of the mounted rotor, TIR", PRACTICE),
        _n("dtv_um", 15.0, (1, 500), "thickness variation", PRACTICE),
        _n("hub_face_runout_um", None, (2, 1000), "runout of the hub face where it is read, TIR", HUB_LIMIT),
        _n("drag_nm", None, (0.1, 100), "of a released brake; follows the axle", DRAG),
    ),
    "wheel": (
        _n("pad_inner_diameter_mm", None, (30, 250), "where the wheel lies on the rotor, inside", SIZE),
        _n("pad_outer_diameter_mm", None, (60, 300), "where the wheel lies on the rotor, outside", SIZE),
        _um("pad_dish_um", "+ hollow: touches at its outer edge; - crowned", 1000, -1000),
        _n("pad_thickness_mm", None, (3, 80), "of the pad, rotor to the nuts' seats; follows the material", PAD),
        _word("material", "light alloy", ("light alloy", "steel", "rigid"), "70 000 MPa and 0.33; or steel; or rigid"),
    ),
}


KEYS: tuple[Key, ...] = tuple(replace(row, table=table) for table, rows in _ROWS.items() for row in rows)
BY_TABLE: dict[str, dict[str, Key]] = {t: {k.name: k for k in KEYS if k.table == t} for t in TABLES}


def key(table: str, name: str) -> Key:
    """Look a key up.

    Raises
    ------
    KeyError
        When there is no such key.
    """
    return BY_TABLE[table][name]


def table_built(table: str) -> bool:
    """Whether this version computes what a table means."""
    return table not in NOT_BUILT
