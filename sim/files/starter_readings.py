"""A commented table of readings to begin with: rows of every kind, in the order in which they can be read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sim.errors import BadInput, Fault
from sim.files.readings_rows import FEELER

EVERY_DEG = 30  # as twelve places a turn are read at

HEAD = """\
# Readings of one corner, one row each: fill in reading_um, delete rows that were not read.
# A line that begins with # is not read. Examples of other rows stand below: take the # off to use them.
# Before anything comes off paint stud 1 and the rotor's hole on it: all angles count from there.
# Read as found first, nothing wiped: once it is cleaned nobody can read it again. Later turns are added below, no
# turn is written over or taken out. A rotor that is new or was cut begins a new table; the bare hub may come along.
# A new hub or bearing begins a new table too, bare face and rotor read again; the thickness may come along.
# trace: mounted (outboard face) | inboard | hub face | thickness (micrometer) | radial (rim).
# mount: counts on from 1 every time that something was done before a turn: the rotor put on, its nuts slackened and
# tightened anew, another dial set up; a turn merely read again keeps its number. Not for a hub face.
# studs_turned: stud pitches from stud 1 to the stud on which the painted hole sits; 0 as found. Not for a hub face.
# angle_deg: place on the part: of a hub face from stud 1, of all others from the painted hole; read 0 again at 360.
# reading_um: what the dial shows. Or head the column reading_mm or reading_thou.
# state: as found | cleaned | retorqued | cleaned again.
# clamped_by: nuts and spacers | bare nuts | wheel | screw only.
# turned: counter-clockwise
# ... which way angle_deg and studs_turned count on the part, seen from outside: clockwise | counter-clockwise.
# ... Under a dial that stands still a wheel turned clockwise brings the places counter-clockwise.
# dial: + towards
# ... the figure grows when the face comes nearer the dial (+ towards) or when it goes away (+ away).
# dial_um: 10
# ... one division of the dial: 10 for 0.01 mm, 25.4 for one thou.
# remark: where an answer has the hub rocked one line more says what was felt, # bearing: no play | play.
# In every turn slip a 0.1 mm feeler under the tip: the line with feeler for the angle takes what the dial moves by,
# ... read off as the other figures are. It tells that the tip touches, and the unit. Untried, delete the line.
# studs: 5
# gauge_radius_mm: 140
# hub_face_radius_mm: 64
# ... radii, not diameters, from the axis of rotation to the tip of the dial.
trace,mount,studs_turned,angle_deg,reading_um,state,clamped_by
"""


@dataclass(frozen=True)
class Rows:
    """One turn to be read: its name, what it is for, and what stands before and after angle and reading."""

    name: str
    meant_for: str
    before: str
    after: str


ROWS: tuple[Rows, ...] = (
    Rows("wheel on", "wheel still on, where a dial reaches the inboard face, as it was driven: drive --mounted",
         "inboard,1,0", "as found,wheel"),
    Rows("as found", "wheel off, spacers under the nuts, nothing cleaned yet: index --rotor, drive --mounted",
         "mounted,1,0", "as found,nuts and spacers"),
    Rows("inboard", "the other face, the rotor not moved since: memory",
         "inboard,1,0", "as found,nuts and spacers"),
    Rows("thickness", "by micrometer, the thickness itself or from any zero: memory, remains, drive --worn",
         "thickness,1,0", "as found,nuts and spacers"),
    Rows("radial", "the dial on the rim: is it off centre on its spigot; kept, not yet reckoned with",
         "radial,1,0", "as found,nuts and spacers"),
    Rows("retorqued", "nuts slackened and tightened crosswise to torque, the rotor not taken off",
         "mounted,1,0", "retorqued,nuts and spacers"),
    Rows("hub face", "rotor off, the clean hub face near its edge: index --hub",
         "hub face,,", "cleaned,"),
    Rows("cleaned", "both faces cleaned, put on again with the painted hole on stud 1: index --rotor",
         "mounted,2,0", "cleaned,nuts and spacers"),
    Rows("indexed", "the painted hole put on stud 2: does it read what it should; memory parts hub and rotor by it",
         "mounted,3,1", "cleaned,nuts and spacers"),
    Rows("cleaned again", "rotor off once more, both faces cleaned a second time, put on as before",
         "mounted,4,1", "cleaned again,nuts and spacers"),
)  # fmt: skip
BY_NAME = {rows.name: rows for rows in ROWS}
#: What several commands ask for together.
TOGETHER = {"worn": ("as found", "inboard", "thickness"), "all": tuple(BY_NAME)}
NAMES = (*BY_NAME, *TOGETHER)


def starter_readings(chosen: Sequence[str] = ("as found",)) -> str:
    """CSV text of a table of readings to be filled in; refused until somebody read something.

    Parameters
    ----------
    chosen : sequence of str
        Of `NAMES`: rows to be filled in. The others stand as commented examples.

    Raises
    ------
    BadInput
        For rows that there are not.
    """
    unknown = [name for name in chosen if name not in NAMES]
    if unknown:
        raise BadInput(Fault(f"no rows are called {unknown[0]!r}", key="--rows", allowed=", ".join(NAMES)))
    wanted = {one for name in chosen for one in TOGETHER.get(name, (name,))}
    live = [rows for rows in ROWS if rows.name in wanted]
    others = [rows for rows in ROWS if rows.name not in wanted]
    return HEAD + "".join(_block(rows, "") for rows in live) + "".join(_block(rows, "# ") for rows in others)


def _block(rows: Rows, mark: str) -> str:
    tried = () if rows.before.startswith("thickness") else (FEELER,)
    places = (*range(0, 360 + EVERY_DEG, EVERY_DEG), *tried)
    lines = [f"{mark}{rows.before},{place},,{rows.after}\n" for place in places]
    return f"# ... {rows.name}, {rows.meant_for.replace(':', ',')}\n" + "".join(lines)
