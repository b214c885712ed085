"""What the lesson's page for the car says: cautions first, the order of work in nine lines, what is read, who signs."""

from __future__ import annotations

from scenes.words import cautions, work_order
from scenes.words.piece_of_work import Work
from sim.parts.case import Case


def _work(key: str) -> Work:
    """One piece of the order of work, for a car that nobody described."""
    listed = work_order.stages(Case(), any_car=True)
    return next(one for stage in listed for one in stage.works if one.key == key)


#: The order of work, as short as a slide has room for, and what a page adds to each line. Common practice, no source.
WORK = (
    "Mask, eyes, gloves. Nuts loosened on the ground, nipped up; on stands, wheel off.",
    "Home: no gap that a 0.2 mm feeler enters? Stud 1 marked, and the rotor's hole on it.",
    "Nuts on spacers by torque wrench, crosswise, in stages; the hub held by a holder.",
    f"{_work('caliper off').what} Dial on the knuckle, pressed in by about a millimetre.",
    "Wipe nothing yet: read as found, one way only. Thickness by micrometer.",
    "Spacers, bracket, rotor off, no blows. Cracks? Rust and dirt off both faces, spigot and bore.",
    "It drops home by hand, or it comes off again. Held as before, torque in stages: read again.",
    "Pistons back the maker's way, watch the fluid. Bracket, caliper; spacers off; wheel to torque.",
    "Every caliper on? Only then the pedal: pumped firm, from outside, fluid between its marks, before a wheel touches "
    "the ground.",
)
WORK_HOW = (
    "Nipped up by hand, rocked at 12 and 6 o'clock: with bearing play no reading counts. "
    f"{_work('park brake off').what} {_work('guide pin').what}",
    "A hairline of scale on the face is read as found. A gap: caliper and rotor off, clean first, nothing is read.",
    "As its maker says, not by anything in the vanes.",
    "Pull and push the rotor: the needle must come back.",
    "",
    f"A retaining screw out first. {work_order.BY_HAND} The maker's coating stays, unless the maker says otherwise; no "
    "paint or paste between hub face and rotor.",
    "Over the limit on clean metal: another hole, unless a screw or a pin sets its place.",
    "",
    "The wheel's last stage of torque: on the ground. Park brake tried.",
)
LINES = "nine lines"  # of `WORK`, as slides and plan call them
TITLE = "this car's own data only: no figure of ours is on this page"
#: At the head of the page for the car, in the order of work.
CAUTIONS = tuple(
    one.text
    for one in cautions.named(
        "maker first", "stands", "nobody in", "service mode", "hot", "mask and eyes", "hang the caliper", "fingers out",
        "stuck rotor", "no compressed air", "sensor ring", "cracked is scrap", "nothing greasy", "never drawn home",
        "no impact gun", "pump the pedal",
    )
)  # fmt: skip
#: What is read at the car, a row each.
ROWS = ("as found", "cleaned, fitted", "by ____ holes")
#: When the trainer looks, and signs.
COUNTERSIGNED = (
    "Trainer looked: stands, before a hand goes under",
    "torque and pedal, the car still up",
    "last torque, on the ground",
)
FORM = (
    "In class this page is the only form. Looking for a cause, and the wheel on: bench card. "
    "Fitting rotors: fitting sheet."
)
ONE_CONDITION = (
    "All in one condition: every nut on its spacer at the maker's torque, caliper off and hung. "
    "TIR is highest less lowest; high is nearer to the dial."
)
FOOT = (
    "One reading tells the runout, not whose it is, and no reading says that the car is safe: the vehicle maker's "
    "limits, torques and order of work stand above this page."
)
