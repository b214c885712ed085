"""Places and studs of a text in the count of a table that counts clockwise: the one place where words turn round.

Readings are reckoned counter-clockwise from outside, whichever way a table counts. Who reads an answer stands before
the hub with the table in hand: 120° of an answer is looked for, read again and stoned where the table has 120.
"""

from __future__ import annotations

import re
from functools import partial

from sim.files.readings_head import CLOCKWISE, COUNTER

#: Words that may stand between places, or between studs.
_AND = r"(?:,\s|\sand\s|\sor\s|\sto\s)"
_ON_FROM = rf"stud\s(?P<to>\d+),\s\d+\sstuds?\son\sfrom\sstud\s1\s{COUNTER}"
_BETWEEN = r"(?<=between\sstuds\s)(?P<before>\d+)\sand\s(?P<behind>\d+)(?:,\snearer\s(?P<nearer>\d+))?"
_STUD = r"(?P<stud>(?<=\b[Ss]tud\s)\d+(?:(?:\sand\s|\sor\s)\d+)*)(?![\d.]|\s(?:µm|mm|%))"
_STUDS = rf"(?P<studs>(?<=\b[Ss]tuds\s)\d+(?:{_AND}\d+)*)(?![\d.]|\s(?:µm|mm|%))"
_WRITTEN = r"(?P<written>(?<=\bstuds_turned\s)\d+)"
_HALF = r"\s±\s\d+"
# No place: how far something reaches, or how far two places are from each other.
_PLACES = (
    r"(?<!±\s)(?<!within\s)(?<!up\sto\s)(?<!\.\.\s)(?<![\d.])"
    rf"(?P<places>\d+(?:\.\d+)?(?:{_AND}\d+(?:\.\d+)?)*)(?=(?:{_HALF})?(?:\s?°|\sdegrees\b|\sdeg\b))"
    rf"(?!(?:{_HALF})?(?:\s?°|\sdegrees|\sdeg)\s(?:apart|wide|of\sthe\sturn))"
)
_SENSE = rf"(?P<sense>(?<!# turned: )\b(?:{COUNTER}|{CLOCKWISE})\b)"
_NAMED = re.compile("|".join((_ON_FROM, _BETWEEN, _STUDS, _STUD, _WRITTEN, _PLACES, _SENSE)))
_NUMBER = re.compile(r"\d+(?:\.\d+)?")


def said(text: str, turned: str, studs: int) -> str:
    """Word a text that counts counter-clockwise as the table does that it is of.

    Parameters
    ----------
    text : str
        An answer, a remark, a line of work.
    turned : str
        How the table counts, as its head says; the text stays as it is for ``counter-clockwise``.
    studs : int

    Examples
    --------
    >>> said("read 180 and 210 degrees again", "clockwise", 5)
    'read 180 and 150 degrees again'
    >>> said("stud 3, 2 studs on from stud 1 counter-clockwise", "clockwise", 5)
    'stud 4, 3 studs on from stud 1 clockwise'
    """
    named = turned == CLOCKWISE and text not in (COUNTER, CLOCKWISE)  # a value of the head stays as it is typed
    return _NAMED.sub(partial(_other_way, studs), text) if named else text


def counting(turned: str) -> dict[str, str]:
    """Which way numbers and texts of an answer count, by definition: its numbers never change their sense.

    Parameters
    ----------
    turned : str
        As the table's head says.
    """
    return {"numbers": COUNTER, "texts": turned}


def place_deg(angle_deg: float, turned: str) -> float:
    """Where the table has a place that is reckoned counter-clockwise. [deg]; by definition of the two senses."""
    return -angle_deg % 360.0 if turned == CLOCKWISE else angle_deg


def studs_on(studs_turned: int, turned: str, studs: int) -> int:
    """How many pitches on from stud 1 the table has a stud; by definition of the two senses."""
    return -studs_turned % studs if turned == CLOCKWISE else studs_turned


def _other_way(studs: int, found: re.Match[str]) -> str:
    kind = found.lastgroup
    if found["before"]:
        before, behind = (_stud(1, studs, found[at]) for at in ("behind", "before"))
        nearer = f", nearer {_stud(1, studs, found['nearer'])}" if found["nearer"] else ""
        return f"{before} and {behind}{nearer}"
    if kind == "to":
        on = studs_on(int(found["to"]) - 1, CLOCKWISE, studs)
        return f"stud {on + 1}, {on} {'stud' if on == 1 else 'studs'} on from stud 1 {CLOCKWISE}"
    if kind == "sense":
        return COUNTER if found["sense"] == CLOCKWISE else CLOCKWISE
    other = _mirrored if kind == "places" else partial(_stud, 0 if kind == "written" else 1, studs)
    return _NUMBER.sub(lambda number: other(number[0]), found[0])


def _mirrored(number: str) -> str:
    return f"{360.0 - float(number) % 360.0:g}" if float(number) % 360.0 else number


def _stud(first: int, studs: int, number: str) -> str:
    at = int(number) - first
    return str(studs_on(at, CLOCKWISE, studs) + first) if 0 <= at < studs else number
