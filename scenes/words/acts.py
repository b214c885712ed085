"""What readings order next, each act in one sentence: the same whether a corner's geometry ranks causes or not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words.words import GAP, counted, micrometres
from sim.parts.thickness import MEAN_OF

if TYPE_CHECKING:
    from sim.parts.thickness import Uneven

CLEAN = "rotor off, clean hub face, spigot and rotor seat, put the painted hole back on stud {stud} and read it again"
CLEAN_AGAIN = "rotor off, clean hub face, spigot and rotor seat once more"
TOWARDS = ", most of all towards stud {near}"
MOVE = "rotor off, put the painted hole on {place}, same torque, and read it again"
BEST = "hub and rotor cancel best there"
BARE_HUB = "rotor off, read the bare clean hub face"
THICKNESS = "thickness by micrometer at the same places, the rotor stays on"
FINER_MICROMETER = (
    "thickness once more at the same places, with the finest micrometer at hand (its division in the column dial_um)"
)
HUB_AGAIN = (
    "read it again with the finest dial at hand, put those readings in place of the first of that face (its division "
    "in the column dial_um)"
)
#: A turn of the finer dial has a mount's number of its own, though the rotor stays where it is.
FINER_DIAL = (
    "the rotor stays on, its nuts untouched: read it once more with a finer dial, 0.002 mm a division or finer, and "
    "enter it under the next mount number, same stud, with its division in the column dial_um (0.001 mm: 1)"
)
DECIDES = (
    "that turn decides, ask again with it; without such a dial slacken the nuts, tighten them crosswise in stages and "
    "read it again, three times so: the mean of these turns decides"
)
#: No micrometer tells one reading from the limit: nothing is done for it, and nothing is called done.
UNEVEN = "{its} varies by {read}, and no micrometer tells one reading a place from the limit of {limit}"
UNEVEN_DECIDES = (
    "What decides is the vehicle maker's limit, then the mean of {times} readings at every place, sure to {half}: over "
    "that limit the rotor is renewed, or cut where its maker allows, both of the axle"
)
MORE_PLACES = " (two humps: more places tell more)"
RETORQUE = (
    "slacken the nuts and tighten them crosswise in stages to the torque, the rotor not taken off, and read it again"
)
SPACERS = (
    "slacken the nuts, plain spacers under every one, tighten crosswise in stages to the torque, the rotor not taken "
    "off, and read it again"
)
RENEW = "Renew the rotor, or cut it where its maker allows, on a clean hub, both of the axle; read after fitting"
RENEW_ONLY = "Renew the rotor, nothing is left to cut, on a clean hub, both of the axle; read after fitting"
HUB = (
    "Hub and bearing first{over}. Bearing play, then the bare clean hub face once more; over the vehicle maker's limit "
    "hub or bearing is renewed. No rotor and no stud cures a hub."
)
READ_AGAIN = "Read again before anything is blamed or bought: {why}."


def on_stud(studs_turned: int) -> str:
    """Name the stud on which the painted hole is put, and how far that is from stud 1.

    Parameters
    ----------
    studs_turned : int
        Stud pitches from stud 1, counter-clockwise.

    Examples
    --------
    >>> on_stud(0), on_stud(2)
    ('stud 1', 'stud 3, 2 studs on from stud 1 counter-clockwise')
    """
    if not studs_turned:
        return "stud 1"
    return f"stud {studs_turned + 1}, {counted(studs_turned, 'stud')} on from stud 1 counter-clockwise"


def uneven(close: Uneven, its: str = "its thickness") -> str:
    """Say that a thickness is neither within its limit nor over it, in the middle of a sentence."""
    read = f"{close.value_um:.0f} ± {close.doubt_um:.0f}{GAP}µm"
    return UNEVEN.format(its=its, read=read, limit=micrometres(close.limit_um))


def uneven_decides(close: Uneven) -> str:
    """Say what decides on such a thickness; a sentence without its full stop."""
    more = MORE_PLACES if close.between_um >= 0.5 else ""
    return UNEVEN_DECIDES.format(times=MEAN_OF, half=f"± {close.mean_doubt_um:.0f}{GAP}µm{more}")


def uneven_too(close: Uneven | None) -> str:
    """Say of a thickness that no micrometer tells from its limit that it stays open, whatever else is done.

    Empty where a finer micrometer tells, or nothing is open.
    """
    if close is None or not close.finest:
        return ""
    return f" Its thickness stays open: {uneven(close, 'it')}. {uneven_decides(close)}."
