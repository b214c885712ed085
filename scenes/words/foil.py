"""What is said of the foil lesson: what is fitted and how, what it should read, how the reading compares."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import words
from sim.bench.foil import DIAL_UM, bare_apart_um
from sim.bench.foil_reading import INSIDE, VOID

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sim.bench.foil import Foil, Prescription, Trial
    from sim.bench.foil_forecast import Expected
    from sim.bench.foil_reading import Held

NEVER_DRIVEN = "Never driven"
ON_A_STAND = (
    "On a stand, wheel off, parts kept for teaching. Nothing with a foil in it turns under power, carries a wheel or "
    "goes on a road. Count the strips in and count them out."
)
CAUTIONS = ("maker first", "stands", "mask and eyes", "no impact gun", "fingers out", "cracked is scrap")
HOLD_BACK = "Keep this page back until the readings are written down."
UNCERTAIN = (
    "In the band: the foil's thickness, cut edge and give, where it was put, torque and thread friction, flatness and "
    "contact of both faces, stiffness of the parts, the dial and putting on again. Hub and rotor as they run out by "
    "themselves are read first, without foil, and taken off place by place. Sizes are judgement; "
    "tests/studies/foil.md says how often the band holds on drawn benches."
)
EVERY_FIFTH = "An 80 % band misses one time in five: one miss proves nothing, the log over many classes does."


def place(foil: Foil, studs: int) -> str:
    """Say between which studs a strip lies and how far in.

    Examples
    --------
    >>> from sim.bench.foil import Foil
    >>> place(Foil(100.0, 12.7, 12.0, 36.0, 67.0), 5)
    'half way between studs 1 and 2 (36°), from 55 to 67 mm radius'
    """
    after = int(foil.angle_deg // (360.0 / studs))
    inner = foil.outer_radius_mm - foil.length_mm
    return (
        f"half way between studs {after + 1} and {(after + 1) % studs + 1} ({foil.angle_deg:.0f}°), "
        f"from {inner:.0f} to {foil.outer_radius_mm:.0f} mm radius"
    )


def strip(foil: Foil) -> str:
    """Say how a strip is cut."""
    size = f"{foil.width_mm:g} mm wide, {foil.length_mm:g} mm along the radius"
    return f"{words.micrometres(foil.thickness_um)} thick, {size}"


def places(trial: Trial, studs: int) -> str:
    """Say where the strips of a trial lie."""
    return "; and ".join(place(foil, studs) for foil in trial.foils)


def steps(of: Prescription, torque: str) -> tuple[str, ...]:
    """Say what the class does, in order."""
    foil, last = of.trials[0].foils[0], len(of.trials) + 2
    return (
        "Clean both faces. Paint stud 1 and the rotor's hole on it: the painted hole stays on stud 1 throughout.",
        "Gloves that a blade does not cut, on whenever foil is in the hand: its edges cut like one.",
        f"Cut the strip: {strip(foil)}. Measure it at three places by micrometer; if it is not "
        f"{words.micrometres(foil.thickness_um)}, ask again with --thickness-um.",
        "Dress the cut edges on a fine stone until a fingernail does not catch, and press the strip flat. Wipe it dry: "
        "no grease, no glue, no tape.",
        f"Mount 1, no foil. Nuts with flat spacers, crosswise, in three stages to {torque}, by torque wrench. Read the "
        "places of the table from the painted hole, and the first place again.",
        f"Mounts 2 to {last - 1}, one foil trial each: rotor off, strip laid where the drawing shows, its outer edge "
        "flush as drawn, rotor on, the same torque in the same order, read again.",
        f"Mount {last}, no foil: it must read as mount 1 did. Taken from each other place by place the two may "
        f"differ by {words.micrometres(bare_apart_um())} once a turn, highest less lowest (dial of "
        f"{DIAL_UM / 1000:g} mm, 95 %), and by a division more at single places. Over that the readings are void: "
        "clean and begin again.",
        "Strips out, counted. Type the readings into the table and give it with --readings.",
    )


def by_themselves(alone_um: float) -> str:
    """Say what dial and putting on again make: of a trial, and between the two turns without foil."""
    return (
        f"Dial and putting on again make by themselves up to {words.micrometres(alone_um)} of a trial less the mean of "
        f"the two turns without foil, and up to {words.micrometres(bare_apart_um())} between those two (95 %)."
    )


def foretold(one: Expected) -> str:
    """Say what a trial should read."""
    low, _, high = one.runout_um
    if not one.tells:
        return f"too little to tell from putting on again ({words.span(low, high, 'µm')} TIR): void"
    return (
        f"adds {words.span(low, high, 'µm')} TIR place by place (80 % band), high spot at "
        f"{words.degrees(one.high_spot_deg)} ± {words.degrees(one.high_spot_half_deg)}"
    )


def verdict(one: Held) -> str:
    """Say how a reading compares with what was foretold."""
    if one.vector == VOID:
        return f"void: {one.why}"
    low, _, high = one.expected.runout_um
    text = (
        f"adds {words.micrometres(one.runout_um)} TIR place by place, foretold {words.span(low, high, 'µm')}: "
        f"{one.runout}. As a vector (size and angle together): {one.vector}. The dial itself read "
        f"{words.micrometres(one.mounted_um)} TIR, foretold {words.span(*one.mounted_band_um, 'µm')}"
    )
    return f"{text}. {words.capital(one.why)}" if one.why else f"{text}."


def summary(held: Sequence[Held]) -> str:
    """Say how many trials came out as foretold."""
    counted = [one for one in held if one.vector != VOID]
    if not counted:
        return "Void: nothing here tests the forecast. Read again."
    tir = sum(one.runout == INSIDE for one in counted)
    vector = sum(one.vector == INSIDE for one in counted)
    return f"Of {len(counted)} trials {tir} read inside the band, {vector} as a vector. {EVERY_FIFTH}"


def logged(counted: int, runout: int, vector: int) -> str:
    """Say how the log stands."""
    share = f"{words.percent(runout / counted)} inside the band, {words.percent(vector / counted)} as a vector"
    return f"The log holds {counted} trials that count: {share}; an 80 % band that is right holds about 80 %."
