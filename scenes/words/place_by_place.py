"""What the phone's page says where readings are taken place by place: before, between the turns, handed on."""

from __future__ import annotations

NAMES = {
    "mounted": "outboard face",
    "inboard": "inboard face",
    "hub face": "bare hub face",
    "thickness": "thickness",
    "radial": "rim (radial)",
}
BEFORE = (
    "Before you start: bearing play checked; paint stud 1 and the rotor's hole on it, and chalk the places from the "
    "painted hole on, evenly, the way in which they come to the dial. Rotor home on the hub by hand, no gap; nuts on "
    "their spacers, crosswise to the torque, the same each time; dial square to the face, held fast. Turn one way "
    "only, and read the first place again at the end."
)
AFTER = (
    "One turn tells the runout, not whose it is. Put the painted hole on another stud and read again, or clean the "
    "faces and read again: that parts hub, rotor and dirt."
)
HAND_ON = "Send the file to the computer: trueseat causes readings.csv"
