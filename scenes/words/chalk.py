"""What two sweeps and a chalk mark are answered with: the sentences of page and function, with gaps to fill."""

from __future__ import annotations

import math
from collections.abc import Sequence

from scenes.words.words import counted
from sim.bench import chalk
from sim.bench.chalk import ChalkAnswer, Sweep
from sim.parts.dial import Dial

STAYS = {
    chalk.STUD: "The mark stayed with the stud: the hub runs out, or dirt lies on it.",
    chalk.ROTOR: "The mark went with the rotor: the rotor runs out, or dirt sticks to its seat.",
    chalk.BOTH: "Part stayed with the stud, part went with the rotor: neither is clear of it.",
    chalk.UNKNOWN: "These sweeps cannot tell hub from rotor.",
    chalk.NEITHER: "Neither: the mark kept to no part. Dirt moved, or a sweep was misread.",
}
HUMPS = "High and low spot are not opposite: the face has more than one hump, and a mark names no part."
TWICE = "One hole was swept more than once and does not read the same: dirt moved, or a sweep was misread."

#: Said under every picture of the face, so that nobody counts the other way.
COUNTS = "Seen from outside, stud 1 at the top. Studs and places count counter-clockwise: place 4 is at the left."

DO = {
    chalk.FIRST: (
        "Take the rotor off, turn it {on} on counter-clockwise, so that the painted hole sits on stud {stud}; "
        "nuts crosswise to the torque as before, sweep again. {leave}"
    ),
    chalk.CLEAN: (
        "Take the rotor off. Clean hub face, spigot and rotor seat: rust and dirt off. Put the painted hole on stud 1 "
        "and begin again with clean faces. A rotor is never turned on to hide dirt."
    ),
    chalk.TRY: (
        "Put the painted hole on stud {stud}. The dial should then run out by {low} to {high} {unit} (80 % band), high "
        "spot near place {place} of 12. Sweep again: nothing is settled before this confirming sweep."
    ),
    chalk.BACK: (
        "Put the painted hole back on stud {stud}, where it ran out by {tir} {unit}, and sweep once more: this sweep "
        "confirms that hole."
    ),
    chalk.SEAT: (
        "It reads {more} {unit} more than at first, so it is not left like this. Take the rotor off, wipe both faces, "
        "put the painted hole on stud {stud}, nuts crosswise to the torque, sweep again."
    ),
    chalk.DONE: (
        "Best on stud {stud}: no other hole is likely to be better by {gain} {unit}. It runs out by {tir} {unit}."
    ),
    chalk.ENOUGH: (
        "{sweeps} sweeps are enough: put the painted hole on stud {stud}, where it ran out least ({tir} {unit}). Begin "
        "again with clean faces, or read twelve places and the bare hub face."
    ),
    chalk.KEEP: (
        "{tir} {unit} is no more than the {limit} {unit} allowed: keep it on stud {stud}. Still to check: thickness, "
        "the bare hub face, cracks, bearing play."
    ),
    chalk.CONFIRM: (
        "{tir} {unit} is a fifth or less of another sweep, which nothing foretold: sweep it once more on stud {stud}, "
        "the rotor left on, and look at the decimal point."
    ),
    chalk.PLACES: (
        "Read twelve places (the same page, place by place), then the bare hub face. No part is named and no hole "
        "tried by these marks."
    ),
    chalk.AGAIN: (
        "Look first: decimal point? High and low exchanged? Holes and places counted counter-clockwise, from outside? "
        "All of this wheel? Nuts tight? Then clean both faces again, put the painted hole on stud 1, begin again "
        "with the first sweep. The second time read twelve places instead."
    ),
}
#: Where nothing dropped: two sweeps confirm no hole.
CONFIRM_HERE = (
    "Sweep it once more on stud {stud}, the rotor left on: no other hole is likely to be better, and nothing is "
    "settled before this confirming sweep."
)
LEAVE = "Wipe nothing yet: dirt that stays where it is shows on which part it lies."
OVER = {
    chalk.STUD: (
        "That is over the {limit} {unit} allowed. No hole brings it below what the hub leaves: clean both faces once "
        "more and begin again, because dirt that cleaning left on the hub stays with it; where it comes out the same, "
        "bearing play, then the bare hub face."
    ),
    chalk.ROTOR: (
        "That is over the {limit} {unit} allowed. No hole brings it below what the rotor leaves. Thickness first: at "
        "or under its stamped minimum it is scrap. Else clean both faces once more and begin again, because dirt that "
        "cleaning left on the rotor's seat turns with it; where it comes out the same, renew both rotors of the axle, "
        "or cut them where the maker allows."
    ),
    chalk.BOTH: "That is over the {limit} {unit} allowed. Read the bare hub face next: it says which part to renew.",
    chalk.UNKNOWN: "That is over the {limit} {unit} allowed. Read twelve places and the bare hub face next.",
}
#: What ends a reading near the limit: sweeps know of no dial's division.
PLACES_END_IT = (
    "No further sweep tells: read it place by place (the same page), the rotor left on stud {stud}, with the finest "
    "dial at hand; the middle of three turns, nuts slackened and tightened anew before each, is the end."
)
#: In place of what keeps it or sends on: a reading that the dial cannot tell from the limit is neither done nor over.
NEAR = (
    "{tir} {unit} is so near the {limit} {unit} allowed that a dial of 0.01 mm is not sure (± {half} {unit}): neither "
    f"done nor over. {PLACES_END_IT}"
)
#: The same before anything was cleaned: cleaning settles it, and re-tightening on dirt grinds the evidence.
NEAR_FOUND = (
    "{tir} {unit} as found is so near the {limit} {unit} allowed that a dial of 0.01 mm is not sure (± {half} {unit}): "
    "cleaning comes before any further turn. Next the thickness by micrometer, the rotor stays on; then the rotor off, "
    "both faces cleaned, the painted hole on stud 1, and sweep again."
)
NEAR_OVER = (
    "That is so near the {limit} {unit} allowed that a dial of 0.01 mm is not sure (± {half} {unit}): no part is "
    f"bought for it. {PLACES_END_IT}"
)
#: In place of leaving it, where the best hole is over the limit.
DONE_OVER = "No other hole is likely to be better by {gain} {unit}: on stud {stud} it runs out by {tir} {unit}."
#: Below the limit before anything was cleaned.
FOUND = (
    "{tir} {unit} as found is no more than the {limit} {unit} allowed: no part is sought before it was swept clean. "
    "Next the thickness by micrometer, the rotor stays on; then the rotor off, both faces cleaned, the painted hole on "
    "stud 1, and sweep again."
)
#: Said where it is kept though sweeps have not cleared the hub.
HIDES = (
    "But the hub may run out by more than that, and only this rotor on this stud cancels it: read the bare hub face "
    "before it is left so."
)
#: Said where a hole is the best and no limit was given.
NO_LIMIT = "No limit was given: hold that against the vehicle maker's before anything is left or bought."
SHARES = "Hub {hub} ± {hub_off} {unit}, rotor {rotor} ± {rotor_off} {unit} (80 %)."
#: What follows at once on which part it is: the hole, what remains there, what it is worth.
REMAINS = {
    chalk.TRY: "Next stud {stud}: {middle} ± {off} {unit} expected.",
    chalk.CLEAN: "No hole before both faces are clean.",
    chalk.AGAIN: "No hole is named.",
    chalk.PLACES: "No hole is named.",
}
REMAINS[chalk.BACK] = REMAINS[chalk.SEAT] = REMAINS[chalk.TRY]
READ = "Stud {stud}: {tir} ± {half} {unit} read."
SO_FAR = "{minutes} minutes so far{then}; share that comes back: unknown."
THEN = ", {minutes} more"
#: In place of all that, of a corner whose case has scale on its spigot.
OVER_SCALE = (
    "These sweeps order nothing: off with the scale on the spigot, down into the root, the rotor home by hand, then "
    "begin again with the first sweep."
)
WORTH = "About {minutes} minutes so far. Share of such corners that come back: unknown."
NOT_SAFE = (
    "A dial reading says how the rotor sits, not that the car is safe. The vehicle maker's limits stand above it."
)
REACH = (
    "High and low spot tell hub from rotor, no more. Still open: {causes}. {dirt}Twelve places, the bare hub face and "
    "the thickness tell the rest (the same page, place by place)."
)
DIRT = "Cleaning and sweeping again tells dirt. "
#: Units as they are typed: what one is [um], its name, the decimals that a dial in it shows.
UNITS = {"um": (1.0, "µm", 0), "mm": (1000.0, "mm", 3), "thou": (25.4, "thou", 1)}
MINUTES = 6  # to take a rotor off, put it on to the torque and sweep it; judgement, 4 .. 12
#: Minutes that an act takes; the rotor left on takes a sweep alone; judgement, 1 .. 3.
THEN_MINUTES = {chalk.TRY: MINUTES, chalk.BACK: MINUTES, chalk.SEAT: MINUTES, chalk.CONFIRM: 2}


def sentences(
    studs: int, sweeps: Sequence[Sweep], told: ChalkAnswer, limit_um: float, cleaned: bool, unit: str = "um"
) -> list[str]:
    """Fill in what is said of an answer, the verdict first; figures in the unit that was typed, half places.

    Parameters
    ----------
    studs, sweeps, told, limit_um, cleaned
        As `sim.bench.chalk.answer` was given them, and what it answered.
    unit : str
        A key of ``UNITS``.
    """

    def figure(value_um: float) -> str:
        one, _, digits = UNITS[unit]
        return f"{math.floor(value_um / one * 10**digits + 0.5) / 10**digits:.{digits}f}"

    last = sweeps[-1]
    there_um = last.tir_um if told.hole == last.holes else chalk.shown_um(sweeps).get(told.hole, last.tir_um)
    hole = told.at[told.hole] if told.at else None
    words = {
        "on": counted((told.hole - last.holes) % studs, "hole"),
        "stud": f"{_stud(studs, told.hole)}",
        "leave": "" if cleaned else LEAVE,
        "more": figure(last.tir_um - sweeps[0].tir_um),
        "low": figure(hole.low_um) if hole else "",
        "middle": figure(hole.middle_um) if hole else "",
        "off": figure((hole.high_um - hole.low_um) / 2) if hole else "",
        "high": figure(hole.high_um) if hole else "",
        "place": place(hole.clock) if hole else "",
        "tir": figure(there_um),
        "gain": figure(chalk.GAIN_UM),
        "half": figure(Dial().doubt_um),
        "limit": figure(limit_um),
        "unit": UNITS[unit][1],
        "sweeps": f"{len(sweeps)}",
        "minutes": f"{MINUTES * len(sweeps)}",
        "then": THEN.format(minutes=THEN_MINUTES[told.do]) if told.do in THEN_MINUTES else "",
    }
    part = STAYS[told.stays_with] if told.at else TWICE if told.misfit else HUMPS
    has_part = bool(told.at) or told.stays_with == chalk.NEITHER
    worth = [] if has_part else [WORTH.format(**words)]
    remains = f"{REMAINS.get(told.do, READ)} {SO_FAR}".format(**words)
    said = [f"{part} {remains}"] if has_part else []
    over, near = told.do == chalk.DONE and 0 < limit_um < there_um, abs(limit_um - there_um) < Dial().doubt_um
    kept = (NEAR if cleaned else NEAR_FOUND) if near else DO[chalk.KEEP] if cleaned else FOUND
    dropped = last.tir_um <= chalk.DROP * max(sweep.tir_um for sweep in sweeps)
    act = CONFIRM_HERE if told.do == chalk.CONFIRM and not dropped else DO[told.do]
    said.append((kept if told.do == chalk.KEEP else DONE_OVER if over else act).format(**words).strip())
    if told.do == chalk.KEEP and cleaned and (told.hub is None or told.hub.runout_um > limit_um):
        said.append(HIDES)
    if told.do == chalk.DONE and not over:
        if not limit_um:
            said.append(NO_LIMIT)
        if told.hub and told.hub.runout_um - told.hub.uncertainty_um > there_um:
            said.append(HIDES)
    if over:
        said.append((NEAR_OVER if near else OVER[told.stays_with]).format(**words))
    if told.hub and told.rotor and told.stays_with != chalk.NEITHER:
        said.append(
            SHARES.format(
                hub=figure(told.hub.runout_um),
                hub_off=figure(told.hub.uncertainty_um),
                rotor=figure(told.rotor.runout_um),
                rotor_off=figure(told.rotor.uncertainty_um),
                unit=UNITS[unit][1],
            )
        )
    return [*said, *worth, NOT_SAFE]


def action(lines: Sequence[str]) -> str:
    """What to do, of the sentences said."""
    return next(line for line in lines if not line.startswith((*STAYS.values(), HUMPS, TWICE)))


def reach(left: Sequence[str], cleaned: bool) -> str:
    """Say what chalked sweeps cannot tell, and what would."""
    return REACH.format(causes=", ".join(left), dirt="" if cleaned else DIRT)


def _stud(studs: int, holes: int) -> int:
    """Number of the stud under the painted hole of so many."""
    return holes % studs + 1


def place(clock: float) -> str:
    """Place of the numbered face at an hour: twelve places from stud 1, counter-clockwise, to half a place.

    Examples
    --------
    >>> place(0.0), place(9.0), place(8.5)
    ('1', '4', '4½')
    """
    half = -int(clock * 2 + 0.5) % 24
    return f"{1 + half // 2}{'½' if half % 2 else ''}"
