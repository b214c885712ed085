"""Which reading comes next at a weighed corner: how it is taken, on which stud, what others would tell."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import (
    acts,
    second_turn,
    uneven_rotor,
)
from scenes.words.causes import read_clean, read_now, where_now
from scenes.words.causes_thickness import goes_by_thickness
from sim.causes import names, one_act

if TYPE_CHECKING:
    from sim.causes.answer import Finding, NextReading
    from sim.files.dial_readings import Readings
    from sim.parts.case import Case

READ = {
    names.ANOTHER_STUD: acts.MOVE,
    names.BACK: "put the painted hole back on stud {stud}, where it stood first, and read it again",
    names.CLEAN_AND_REFIT: acts.CLEAN.replace("back on", "on"),
    names.BARE_HUB: acts.BARE_HUB,
    names.RADIAL: "dial on the rim, the rotor not moved, one turn",
    names.THICKNESS: acts.THICKNESS,
    names.INBOARD: "dial on the inboard face, the rotor not moved, one turn",
    names.RETORQUED: acts.SPACERS,
    names.FINER_MICROMETER: "{again}",
    names.FINER_DIAL: f"{acts.FINER_DIAL}; {acts.DECIDES}",
    names.SECOND_TURN: second_turn.ORDER,
    names.OTHER_SIDE: "read the other side of the axle: what both have, driving and parking did",
}


def back_on(found: Finding) -> int:
    """Stud pitches from stud 1 to where it is put once it was cleaned: where it stood first."""
    cleaned = next((one for one in found.after if one.what == "cleaned"), None)
    return where_now(found) if cleaned is None or cleaned.studs_turned is None else cleaned.studs_turned


def moved_to(found: Finding) -> int:
    """Stud pitches from stud 1 to where the act, one of `one_act.MOVES`, puts the painted hole."""
    return found.best_stud if found.do == names.INDEX else stud_to_read(found)


def reads_next(found: Finding, ordered: str) -> tuple[str | None, int | None]:
    """Name the reading that is next, and its stud, by what is ordered (`causes_first.called`); None where none is.

    Parameters
    ----------
    found : Finding
    ordered : str
    """
    over = read_now(found) > found.limit_um
    wanted = one_act.read_over_it(ordered, found.told, found.hub_face, found.turns, over)
    wanted = wanted or one_act.read_next(ordered, read_clean(found), found.hub_face, found.turns)
    if wanted in (None, names.BARE_HUB):
        return wanted, None
    if ordered == names.INDEX or ordered.startswith(names.MEASURE):
        return wanted, moved_to(found)
    return wanted, back_on(found) if wanted == names.CLEAN else where_now(found)


def stud_to_read(found: Finding) -> int:
    """Stud pitches from stud 1 to where the reading that is ordered wants the painted hole."""
    wanted = found.do.removeprefix(names.MEASURE)
    ready = next((one for one in found.next_readings if one.what == wanted), None)
    return where_now(found) if ready is None or ready.studs_turned is None else ready.studs_turned


def next_rows(found: Finding, read: Readings, case: Case, most: int = 3) -> list[tuple[str, str, str]]:
    """Rows of readings that would tell more: how, minutes, what it parts; of a rotor that goes its hub's face alone."""
    goes = goes_by_thickness(found, read, case)
    rows = [one for one in found.next_readings if not goes or one.what == names.BARE_HUB]
    return [(_reading(one, found), f"{one.minutes:.0f} min", one.why) for one in rows[:most]]


def _reading(one: NextReading, found: Finding) -> str:
    stud = where_now(found) if one.studs_turned is None else one.studs_turned
    return how(one.what, stud, found)


def how(wanted: str, studs_turned: int, found: Finding) -> str:
    """How a reading is taken, the painted hole on this stud."""
    return on_its_stud(READ[wanted], studs_turned, found)


def on_its_stud(said: str, studs_turned: int, found: Finding) -> str:
    """Fill in the stud, and how far it is from stud 1; how a thickness near its limit is read again."""
    again = "" if found.thickness_close is None else uneven_rotor.read_again(found.thickness_close)
    return said.format(
        stud=studs_turned + 1, place=acts.on_stud(studs_turned), again=again, anew=acts.anew(found.turns)
    )
