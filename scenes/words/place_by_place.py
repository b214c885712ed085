"""What the phone's page says where readings are taken place by place: before, between the turns, handed on."""

from __future__ import annotations

NAMES = {
    "mounted": "outboard face",
    "inboard": "inboard face",
    "hub face": "bare hub face",
    "thickness": "thickness",
    "radial": "outer edge (radial)",
}
SET_UP = (
    "Bearing play first: rock the wheel at 12 and 6 o'clock before it comes off, then the hub with the rotor held "
    "tight; a loose rotor rocks by itself. A bearing with play makes every reading worthless.",
    "Mask, eye cover and gloves on before the wheel comes off, until the last rag is bagged.",
    "Wipe nothing before the first reading as found: dirt that stays where it is shows on which part it lies.",
    "Paint stud 1 and the rotor's hole on it. Chalk the places from the painted hole on, evenly, counter-clockwise "
    "seen from outside, and turn the wheel clockwise: so they come to the dial in that order.",
    "Rotor home on the hub by hand, no gap; nuts on their spacers, crosswise to the torque; then the caliper off and "
    "hung, because pads drag and push the needle. The same each time. Where it has to stay on: pads pushed back, and "
    "readings compare only roughly.",
    "Stiff base on the knuckle; tip square to the face, 10 mm in from the edge, pressed in by about a millimetre.",
    "Pull and push the rotor: the needle must come back. Each turn: 0.1 mm feeler under the tip, note what it moves.",
    "Turn one way only, and read the first place again at the end.",
)
#: Asked of every turn under a dial: the tip touches, and the figures are of the unit that the page is set to.
FEELER = {
    "asks": "0.1 mm feeler slipped under the tip: the dial moves by",
    "untried": "not tried",
    "wrong": "That is no 0.1 mm in the unit of this page: another unit, or a tip askew? Read the turn again.",
    "alike": "Every reading is the same: a true face, or a tip that does not touch. Try the feeler.",
}
#: One line of the table's head, only once readings made it necessary.
ROCKED = {"asked": "Hub rocked because an answer asked for it", "unsaid": "not asked"}
#: Which way the places count in the picture beside them, by the word of the readings file.
COUNTS = {
    "counter-clockwise": "Seen from outside, painted hole (of the bare hub: stud 1) at the top: places and studs count "
    "counter-clockwise.",
    "clockwise": "Seen from outside, painted hole (of the bare hub: stud 1) at the top: places and studs count "
    "clockwise.",
}
BEFORE = f"Before you start. {' '.join(SET_UP)}"
WHICH_CARD = "For finding a cause. Rotors that are only fitted go on the fitting sheet; no reading is written on both."
ORDER = (
    "1 as found, nothing wiped. Then the thickness, rotor still on: at or under its stamp, or uneven over its limit, "
    "it goes, whatever else is read. 2 faces cleaned (rotor off: the bare hub face), painted hole back on stud 1. "
    "Still over: 3 cleaned, painted hole on stud {stud}. Who wants to know it turns it there before the cleaning too: "
    "one mounting tells the runout, not whose it is."
)
HAND_ON_CARD = (
    "On the phone: open chalk.html (no network needed), Place by place, type these rows, save. Or at the computer: "
    "trueseat new readings readings.csv --rows all, fill in. Then: trueseat causes readings.csv "
    "--case corner.toml --out job"
)
AFTER = (
    "One turn tells the runout, not whose it is. Put the painted hole on another stud and read again, or clean the "
    "faces and read again: that parts hub, rotor and dirt."
)
HAND_ON = (
    "Send the file to the computer: trueseat causes readings.csv; with the corner's case file "
    "(--case corner.toml --out job) causes are ranked and a job card is written."
)
