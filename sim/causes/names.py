"""Names of causes, as every answer, file and page spells them; which part each rides on, and what cleaning takes."""

from __future__ import annotations

from sim.bench.mountings import HUB_DIRT, HUB_FACE, ROTOR_DIRT, TORQUE, WARP
from sim.bench.mountings import ROTOR_RUNOUT as ROTOR

SPIGOT = "spigot"
WORN = "worn-in DTV"
IMPRINT = "pad imprint"
RUST = "parked-car rust"
NEW_DTV = "DTV from new"
CAUSES = (HUB_FACE, HUB_DIRT, ROTOR_DIRT, ROTOR, SPIGOT, TORQUE, WARP, WORN, IMPRINT, RUST, NEW_DTV)

# What sits on which part: the frame in which a cause keeps its angle.
ON_HUB = frozenset((HUB_FACE, HUB_DIRT, SPIGOT, TORQUE))
# What a wire brush takes away, and what only another reading of the thickness tells from wear.
CLEANED_OFF = frozenset((HUB_DIRT, ROTOR_DIRT, SPIGOT))
OF_THICKNESS = frozenset((WORN, IMPRINT, RUST, NEW_DTV))

# What can be done, worded elsewhere.
CLEAN, INDEX, CLEAN_THEN_INDEX = "clean", "index", "clean, then index"
RENEW, HUB_AND_BEARING = "renew or cut the rotor", "hub and bearing"
RETORQUE, READ_AGAIN, LEAVE, MEASURE = "retorque", "read again", "leave it", "measure: "
# Nothing is done: no dial tells the runout from its limit, or no micrometer the thickness from its own.
AT_LIMIT, UNEVEN_COUNTED = "at the limit", "thickness counts as over"
# Read to the end and not under its limit: something is looked for by eye, and no reading is asked.
OPEN = "open"
# Mountings part however often it is put on: the bearing is judged, and no reading is asked.
SCATTERS = "bearing"
# Only a finer gauge than the one that was read on tells the rest: nothing is left on, bought or read by this one.
GAUGE = "finer gauge"

# What can be read next.
ANOTHER_STUD, BACK = "another stud", "back to the first position"
CLEAN_AND_REFIT, BARE_HUB, RADIAL = "clean and refit", "bare hub", "radial"
THICKNESS, INBOARD, RETORQUED = "thickness", "inboard", "retorque and read"
FINER_MICROMETER, FINER_DIAL = "thickness with a finer micrometer", "mounted with a finer dial"
# As it stands, before it is left on.
SECOND_TURN = "second turn"
OTHER_SIDE = "other side of the axle"


def frame_of(cause: str) -> str:
    """Part that a cause keeps its angle on: ``hub`` or ``rotor``.

    Examples
    --------
    >>> frame_of("spigot"), frame_of("warp")
    ('hub', 'rotor')
    """
    return "hub" if cause in ON_HUB else "rotor"
