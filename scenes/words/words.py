"""Words and numbers that people read: one term per idea, one way to write a figure, in picture, table and report."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sim.parts.dial import TOO_CLOSE, beside_limit

if TYPE_CHECKING:
    from sim.parts.case import Case

# Terms drawn or printed in more than one place. Change a word here and it changes everywhere.
OUTBOARD = "outboard face"
INBOARD = "inboard face"
FACE = {"outboard": OUTBOARD, "inboard": INBOARD}
RUNOUT = "lateral runout"
DTV = "thickness variation (DTV)"
HIGH_SPOT = "high spot"
THIN_SPOT = "thin spot"
RIGID = "stiff bodies, for comparison"
ROTOR_ANGLE = "angle on the rotor [°]"
DISTANCE = "distance driven [km]"
MODEL_ONLY = "model only, not observed"
A_PARAMETER = "a parameter, not a fact"  # of the mode behind every speed at which something is felt
STILL_FELT = (
    "If it still shakes: the other side, then the other axle; the inboard face with the wheel on; tyres and wheel "
    "balance, bearing and steering play (common practice, no source; the vehicle maker's way first)."
)
COMMON_PRACTICE = "trade figure: common practice, no source"
REFUSED = "does not sit"
NOT_FIT = "not fit to drive"
HELD, AS_DRIVEN = "held for reading", "as driven"  # which seating a figure is of: under the dial, or wheel on
COMPUTED = f"computed, {HELD}"  # never "read": nobody held a dial to it
ABOUT_EVEN, AS_LIKELY_AS_NOT = "about even", "as likely as not"
EVEN = (0.4, 0.6)  # chances between these turn no sentence over; judgement: what some hundred draws leave open
DIALS_LIMIT = "the dial's limit"  # beside a runout that no dial reads
MAKER_RULES = "the vehicle maker's value rules"

# How near an angle on the hub is named by one stud, and how far off it is midway between two. Shares of a pitch.
AT_STUD, MIDWAY = 0.25, 0.45
ROUND_OFF = 1e-9  # what the solvers balance to; less than this, in any unit that is printed, is nothing
MINUS = "−"
GAP = "\u00a0"  # no-break space, between the thousands and before a unit

TOO_CLOSE_SAID = "too close to the limit to tell"

# Upper edge [um] of each band and what a driver reports. Trade figure, common practice, no source.
DTV_BANDS = ((10.0, "quiet"), (20.0, "doubtful"), (math.inf, "felt"))
DTV_RANGES = {"quiet": "under 10", "doubtful": "10 to 20", "felt": "over 20"}  # the same bands, as they are told [um]

# Said wherever the map or the reading could be taken for leave to fit a dirty rotor.
CLEAN_METAL = "Clean metal on both faces is the rule, whatever the figure says."


# Said beside a reading that may be taken for a pass (tests/studies/clamp_reading.md: bad hubs).
SMALL_READING = (
    "A small reading under few or hand-tight nuts, or under bare cone nuts, clears no hub: what lies between may hide "
    f"its lean. Of ten drawn bad hubs that read under 80{GAP}µm under two or three nuts at 20{GAP}N{GAP}m seven are "
    "driven with more than the band that clamp tells, under every nut so four. Read it under every nut with spacers "
    "at full torque, and read the bare hub face."
)


#: The same of a figure that was computed under bare nuts; "computed" is no reading.
SMALL_BARE = (
    "Under bare cone nuts a small figure clears nothing, computed or read: where their cones pull the rotor nothing "
    "computes. Read it under every nut with spacers at full torque, and read the bare hub face."
)
SMALL_UM = 80.0  # what that sentence, and the study behind it, call small
#: Clampings under which that is not said: every nut with spacers at full torque, or the wheel.
HELD_FULLY = ("nuts and spacers", "nuts and spacers, full torque", "wheel", "wheel on, full torque")


@dataclass(frozen=True)
class Term:
    """One entry of the glossary: the word, what it means at the bench, and unit and sign where it is measured."""

    word: str
    meaning: str
    measure: str = ""


GLOSSARY: tuple[Term, ...] = (
    Term("hub face", "the flat ring of the hub that the rotor is clamped against", "z = 0 of all axial figures"),
    Term("spigot", "the short collar that centres the rotor by its bore"),
    Term("hat", "the bowl of the rotor between its flange and its friction ring"),
    Term("flange", "the flat bottom of the hat, clamped between hub face and wheel or spacers"),
    Term("friction face", "one of the two faces the pads press on; outboard looks to the wheel, inboard to the car"),
    Term("stud 1", "the stud that the angles are counted from; mark it with paint before anything comes off", "0°"),
    Term(
        "angle",
        "counter-clockwise seen from outside; on the hub from stud 1, on the rotor from the hole that sits on stud 1 "
        "before the rotor is indexed",
        "degrees",
    ),
    Term(
        "lateral runout",
        "how far the friction face runs in and out over one turn: highest minus lowest reading at the gauge radius",
        "µm TIR; + is outboard",
    ),
    Term("high spot", "where the face stands furthest outboard (toward the dial on the outboard side)", "degrees"),
    Term(
        HELD,
        "clamped as for the dial, with spacers, bare nuts or a screw; a figure said so is computed: what the dial "
        "should show. Limits of the trade are dial limits",
    ),
    Term("as driven", "computed with the wheel on at the torque of the road; every forecast starts from that seating"),
    Term("amplitude", "half of the TIR of one order", "µm, zero to peak"),
    Term("order", "how many times a turn something rises and falls: one is a lean, two a saddle"),
    Term(
        "thickness variation (DTV)",
        "thickest minus thinnest over one turn at the gauge radius; this, not runout, is what the pedal feels",
        "µm, thickest minus thinnest",
    ),
    Term("thin spot", "where the ring has lost most metal", "degrees on the rotor"),
    Term("gauge radius", "how far from the axis of rotation the dial's tip rides", "mm"),
    Term("clamp force", "what one nut pulls; from torque by T = K d F, so known to a quarter at best", "kN"),
    Term("contact share", "the part of the hub face that carries load, the footprints of dirt left out", "%"),
    Term("indexed", "the rotor turned on the hub by whole stud pitches", "studs, counter-clockwise from outside"),
    Term("taps", "light touches of the pads by a face that runs out, brake released; they wear the thin spots"),
    Term("torque variation", "how much the brake torque rises and falls with each order", "N m, zero to peak"),
    Term("stretched", "drawn larger than true so that it can be seen; the factor stands beside it", "times"),
)


# Where the driver feels it besides the pedal.
FELT_IN = {"front": "steering wheel", "rear": "seat"}
LIMIT_FROM = {
    "default": "default, common practice",
    "the part set": "of the part set",
    "the case file": "given in the case file",
}


def heights(loose_um: float, tightened_um: float) -> str:
    r"""Say both heights of a patch of dirt in one breath: as it lay, and what holds the faces apart once tightened.

    Examples
    --------
    >>> heights(110.0, 106.2)
    '110\xa0µm high as it lay, 106\xa0µm once tightened'
    """
    return f"{micrometres(loose_um)} high as it lay, {micrometres(tightened_um)} once tightened"


def limit_from(case: Case, name: str) -> str:
    """Say whose limit it is: common practice unless somebody gave one, or it follows from another.

    Examples
    --------
    >>> from sim.parts.case import Case, Limits
    >>> limit_from(Case(), "dtv_um"), limit_from(Case(limits=Limits(dtv_um=20.0)), "dtv_um")
    ('default, common practice', 'given in the case file')
    """
    whose = case.where_from("limits", name)
    if name == "hub_face_runout_um" and whose == "default" and case.hub_limit_worked_out:
        return "worked out from the mounted limit"  # by the radii: what brings that limit at the dial by itself
    return LIMIT_FROM[whose]


def limit_called(case: Case, name: str) -> str:
    """Name a limit where it is drawn: one that nobody gave is called so.

    Examples
    --------
    >>> from sim.parts.case import Case, Limits
    >>> limit_called(Case(), "dtv_um"), limit_called(Case(limits=Limits(dtv_um=20.0)), "dtv_um")
    ('default limit', 'limit')
    """
    return "default limit" if case.where_from("limits", name) == "default" else "limit"


def limit_said(case: Case, name: str, value_um: float) -> str:
    r"""Write a limit with whose it is, wherever the reader did not type it himself.

    Examples
    --------
    >>> from sim.parts.case import Case, Limits
    >>> limit_said(Case(), "dtv_um", 15.0), limit_said(Case(limits=Limits(dtv_um=20.0)), "dtv_um", 20.0)
    ('15\xa0µm (default, common practice)', '20\xa0µm')
    """
    whose = limit_from(case, name)
    return micrometres(value_um) + ("" if whose == LIMIT_FROM["the case file"] else f" ({whose})")


def small_reading(clamped_by: str, read_um: float = 0.0) -> str:
    """What a small reading under this clamping is not worth; empty where it was held as it should be.

    Examples
    --------
    >>> small_reading("nuts and spacers"), small_reading("two nuts, 20 N m")[:36], small_reading("bare nuts", 120.0)
    ('', 'A small reading under few or hand-ti', '')
    """
    return "" if clamped_by in HELD_FULLY or read_um >= SMALL_UM else SMALL_READING


def against_limit(state: str, value_um: float, limit_um: float) -> str:
    """Say where a figure stands against its limit; one that is printed like it is at it.

    Parameters
    ----------
    state : str
        ``below``, ``above`` or ``too close to tell``.
    value_um, limit_um : float
        As `micrometres` prints them. [um]

    Examples
    --------
    >>> against_limit("below", 50.0, 50.0), against_limit("below", 49.0, 50.0), against_limit("above", 50.2, 50.0)
    ('at the limit', 'below the limit', 'just above the limit')
    """
    if state == TOO_CLOSE:
        return TOO_CLOSE_SAID
    return f"{beside_limit(value_um, limit_um, state, 0 if abs(value_um) >= 9.95 else 1)} the limit"


def over_limit(value_um: float, limit_um: float) -> str:
    """Say that a figure is over its limit, or at it as both are printed; empty where it is below.

    Parameters
    ----------
    value_um, limit_um : float
        As `micrometres` prints them. [um]

    Examples
    --------
    >>> over_limit(17.0, 15.0), over_limit(15.0, 15.0), over_limit(14.0, 15.0)
    ('over', 'at', '')
    """
    if value_um < limit_um:
        return ""
    return beside_limit(value_um, limit_um, "over", 0 if abs(value_um) >= 9.95 else 1).replace("above", "over")


def counted(count: int, noun: str) -> str:
    r"""Say a number of things.

    Examples
    --------
    >>> counted(1, "minute"), counted(0, "hole"), counted(2, "stud")
    ('1 minute', '0 holes', '2 studs')
    """
    return f"{count} {noun}{'' if count == 1 else 's'}"


def no_stud_beats(floor_um: float, half_um: float) -> str:
    """Say what no stud position can beat, with its uncertainty; nothing where that is as large as the figure.

    Parameters
    ----------
    floor_um : float
        Difference of the first orders of hub and rotor. [um TIR]
    half_um : float
        Uncertainty (k = 2) of it; 0 where it was computed. [um TIR]
    """
    if half_um >= floor_um > 0.0 or half_um > floor_um:  # hub and rotor are as large as each other, for all we know
        return ""
    told = f" ± {micrometres(half_um)} (k = 2)" if half_um else ""
    return f"No stud position can beat {micrometres(floor_um)}{told}"


def _plain(value: float, digits: int) -> str:
    """Write fixed-point text with a true minus, no negative zero, thousands apart."""
    rounded = round(value, digits)
    if rounded == 0:
        rounded = 0.0
    text = f"{abs(rounded):,.{digits}f}".replace(",", GAP)
    return (MINUS if rounded < 0 else "") + text


def _digits(value: float, figures: int) -> int:
    """Count the decimals that leave ``figures`` significant figures (never negative)."""
    if value == 0 or not math.isfinite(value):
        return 0
    return max(0, figures - 1 - math.floor(math.log10(abs(value)) + 1e-12))


def number(value: float | None, figures: int = 3, signed: bool = False) -> str:
    """Write a figure with no more digits than it deserves.

    Parameters
    ----------
    value : float or None
        ``None`` and NaN are written as a dash.
    figures : int
        Significant figures kept behind the point; whole numbers are not cut.
    signed : bool
        Write the plus as well.

    Examples
    --------
    >>> number(103.6), number(-2.345), number(0.0), number(4.2e-14), number(None)
    ('104', '−2.35', '0', '0', '–')
    """
    if value is None or math.isnan(value):
        return "–"
    if math.isinf(value):
        return "without end" if value > 0 else f"{MINUS}without end"
    if abs(value) < ROUND_OFF:
        return "0"
    if abs(value) < 1e-4:
        return f"{value:.1e}".replace("-", MINUS)
    text = _plain(value, _digits(value, figures))
    return f"+{text}" if signed and value > 0 and text.strip("0.") else text


def balanced(residual: float) -> str:
    """Write a relative residual: what is at the solvers' round-off is not a figure.

    Examples
    --------
    >>> balanced(6e-16), balanced(2e-7)
    ('0', '2e-07')
    """
    return "0" if abs(residual) < ROUND_OFF else f"{residual:.0e}"


def mark(value: float) -> str:
    r"""Write the figure at a ruler's mark: no needless digits.

    Examples
    --------
    >>> mark(75.0), mark(-2.5), mark(0.0), mark(12000.0)
    ('75', '−2.5', '0', '12\xa0000')
    """
    text = _plain(value, 4)
    return text.rstrip("0").rstrip(".") if "." in text else text


def micrometres(value: float | None, signed: bool = False) -> str:
    r"""Write a height, runout or thickness variation as people read it off a dial [um].

    Examples
    --------
    >>> micrometres(103.62), micrometres(7.349), micrometres(-3.0, signed=True), micrometres(0.02)
    ('104\xa0µm', '7.3\xa0µm', '−3.0\xa0µm', '0.0\xa0µm')
    """
    if value is None or not math.isfinite(value):
        return number(value)
    text = _plain(value, 0 if abs(value) >= 9.95 or abs(value) < ROUND_OFF else 1)
    if signed and value > 0 and text.strip("0."):
        text = f"+{text}"
    return f"{text}{GAP}µm"


def sum_of(first: float, second: float) -> tuple[str, str, str]:
    r"""Two heights and their sum [um], rounded so that the printed figures add up.

    Examples
    --------
    >>> sum_of(63.52, 46.61), sum_of(30.0, 49.6)
    (('64', '46', '110'), ('30', '50', '80'))
    """
    digits = 0 if abs(first + second) >= 9.95 else 1
    total, part = round(first + second, digits), round(first, digits)
    return _plain(part, digits), _plain(total - part, digits), _plain(total, digits)


def hundredths(value_um: float) -> str:
    r"""Write the same height in the millimetres that a workshop dial is marked in [mm].

    Examples
    --------
    >>> hundredths(103.6)
    '0.10\xa0mm'
    """
    return f"{_plain(value_um / 1000.0, 2)}{GAP}mm"


def kilometres(value: float | None) -> str:
    r"""Write a distance rounded to two figures: a wear forecast holds no more [km].

    Examples
    --------
    >>> kilometres(6324.0), kilometres(12740.0), kilometres(730.0), kilometres(None)
    ('6\xa0300\xa0km', '13\xa0000\xa0km', '730\xa0km', 'not reached')
    """
    if value is None or not math.isfinite(value):
        return "not reached"
    if value == 0:
        return f"0{GAP}km"
    step = max(10.0 ** (math.floor(math.log10(abs(value)) + 1e-12) - 1), 1.0)
    return f"{_plain(round(value / step) * step, 0)}{GAP}km"


def degrees(value: float | None) -> str:
    """Write an angle to the nearest degree, 0 to 359 [deg]."""
    return "–" if value is None or not math.isfinite(value) else f"{round(value) % 360}°"


def with_unit(value: float | None, unit: str, figures: int = 2, signed: bool = False) -> str:
    r"""Write a figure and its unit, held together on one line.

    Examples
    --------
    >>> with_unit(7.96, "N m"), with_unit(0.4, "bar"), with_unit(None, "bar")
    ('8.0\xa0N\xa0m', '0.40\xa0bar', '–')
    """
    text = number(value, figures, signed)
    return text if text == "–" else f"{text}{GAP}{unit.replace(' ', GAP)}"


def force(value_n: float) -> str:
    r"""Write a clamp force in kN; small ones in N.

    Examples
    --------
    >>> force(52310.0), force(82.0)
    ('52.3\xa0kN', '82\xa0N')
    """
    return with_unit(value_n / 1000.0, "kN", 3) if abs(value_n) >= 1000.0 else with_unit(value_n, "N", 2)


def span(low: float, high: float, unit: str, figures: int = 2) -> str:
    r"""Write a range instead of a false digit; one figure where both ends read the same.

    Examples
    --------
    >>> span(12.3, 19.4, "µm"), span(0.0, 0.0, "µm")
    ('12 to 19\xa0µm', '0\xa0µm')
    """
    first, last = number(low, figures), number(high, figures)
    return with_unit(high, unit, figures) if first == last else f"{first} to {last}{GAP}{unit.replace(' ', GAP)}"


def percent(share: float) -> str:
    r"""Write a share of one as per cent; ends that are not quite ends are not rounded to them.

    Examples
    --------
    >>> percent(0.42), percent(0.004), percent(0.999), percent(1.0)
    ('42\xa0%', 'under 1\xa0%', 'over 99\xa0%', '100\xa0%')
    """
    if 0 < share < 0.01:
        return f"under 1{GAP}%"
    if 0.99 < share < 1:
        return f"over 99{GAP}%"
    return f"{round(100 * share)}{GAP}%"


def chance(share: float) -> str:
    r"""Say a probability counted over draws: none of them does not make it nought, nor all of them certain.

    Examples
    --------
    >>> chance(0.0), chance(1.0), chance(0.5)
    ('under 1\xa0%', 'over 99\xa0%', '50\xa0%')
    """
    return percent(min(max(share, 0.001), 0.999))


def likelihood(share: float) -> str:
    r"""Say how likely something is, where a sentence ends in it: near a half it is even, whatever the last digit.

    Examples
    --------
    >>> likelihood(0.39), likelihood(0.49), likelihood(0.52), likelihood(0.61)
    ('39\xa0%', 'about even, 49\xa0%', 'about even, 52\xa0%', '61\xa0%')
    """
    return f"{ABOUT_EVEN}, {chance(share)}" if even(share) else chance(share)


def even(share: float) -> bool:
    """Whether a chance is so near a half that no sentence may turn on it.

    Examples
    --------
    >>> even(0.39), even(0.4), even(0.49), even(0.52), even(0.6), even(0.61)
    (False, True, True, True, True, False)
    """
    return EVEN[0] <= share <= EVEN[1]


def dtv_band(dtv_um: float) -> str:
    """Say what a driver makes of this thickness variation: quiet, doubtful or felt (common practice, no source).

    Examples
    --------
    >>> dtv_band(4.0), dtv_band(10.0), dtv_band(20.0), dtv_band(20.1)
    ('quiet', 'doubtful', 'doubtful', 'felt')
    """
    if dtv_um < DTV_BANDS[0][0]:
        return DTV_BANDS[0][1]
    return DTV_BANDS[1][1] if dtv_um <= DTV_BANDS[1][0] else DTV_BANDS[2][1]


def dtv_called(dtv_um: float) -> str:
    r"""Say the same with the range that the word stands for.

    Examples
    --------
    >>> dtv_called(17.6)
    'doubtful (10 to 20\xa0µm)'
    """
    band = dtv_band(dtv_um)
    return f"{band} ({DTV_RANGES[band]}{GAP}µm)"


def computed_from(start: str) -> str:
    """What of a page was measured and what computed, for its foot; ``start`` is what the forecast starts from.

    Examples
    --------
    >>> computed_from("as driven")
    'Computed by trueseat from a case file, not measured on a car.'
    """
    if start == "reading":
        return "The runout was measured on the car; everything else is computed by trueseat from it and a case file."
    return "Computed by trueseat from a case file, not measured on a car."


def capital(text: str) -> str:
    """Begin a sentence with this."""
    return text[:1].upper() + text[1:]


def small(text: str) -> str:
    """Go on with this in the middle of a sentence."""
    return text[:1].lower() + text[1:]


def times(count: float) -> str:
    """Put a comparison in words: how many times as much.

    Examples
    --------
    >>> times(2.04), times(17.6)
    ('2.0 times', '18 times')
    """
    return f"{number(count, 2)} times"


def stud_turns(count: int) -> str:
    """Say how far to move the rotor, so that nobody turns the wrong way.

    Examples
    --------
    >>> stud_turns(0), stud_turns(1)
    ('as it sits', '1 hole counter-clockwise seen from outside')
    """
    if count == 0:
        return "as it sits"
    return f"{count} {'hole' if count == 1 else 'holes'} counter-clockwise seen from outside"


def by_stud(angle_deg: float, studs: int) -> str:
    """Say where on the hub an angle from stud 1 lies: at a stud, or between two.

    Examples
    --------
    >>> by_stud(344.0, 5), by_stud(100.0, 5), by_stud(108.0, 5)
    ('nearest stud 1', 'between studs 2 and 3, nearer 2', 'midway between studs 2 and 3')
    """
    pitches = angle_deg * studs / 360.0
    nearest, before = round(pitches), math.floor(pitches)
    off = abs(pitches - nearest)
    if off <= AT_STUD:
        return f"nearest stud {nearest % studs + 1}"
    two = f"between studs {before % studs + 1} and {(before + 1) % studs + 1}"
    return f"midway {two}" if off >= MIDWAY else f"{two}, nearer {nearest % studs + 1}"


def patch_name(index: int) -> str:
    """Letter of a patch of dirt, in the order of the case file: A, B ... Z, then 27 and on."""
    return chr(ord("A") + index) if index < 26 else str(index + 1)


def listed(names: Sequence[str]) -> str:
    """Join words in a row as they are spoken: ``a, b and c``."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def clean(text: str, longest: int = 120) -> str:
    r"""Make text from a file fit to show: no control or direction-changing characters, one line, not endless.

    Escaping for HTML, SVG or the terminal is still the business of whoever shows it.

    Examples
    --------
    >>> clean("a\x00b\n\x1b[31mc"), clean("x" * 200, 5)
    ('a b [31mc', 'xxxx…')
    """
    kept = "".join(letter if letter.isprintable() else " " for letter in text)
    line = " ".join(kept.split())
    return line if len(line) <= longest else f"{line[: longest - 1]}…"
