"""Which torque a case gives of each nut, beside the step that looks at one that was loose or pulled too hard."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import words

if TYPE_CHECKING:
    from sim.parts.case import Studs

AS_READ, ON_THE_ROAD = "held for reading", "on the road"


def as_given(studs: Studs) -> tuple[str, ...]:
    """Say what the nuts are pulled with as given, stud by stud where that is a list; nothing where nobody gave it.

    Parameters
    ----------
    studs : Studs
        Torques in N m, pulls in N.

    Examples
    --------
    >>> from sim.parts.case import Studs
    >>> as_given(Studs(torque_nm=(140.0, 330.0, 140.0, 140.0, 140.0)))[0].replace(words.GAP, " ")
    'As given, held for reading: studs 1 to 5 at 140, 330, 140, 140, 140 N m.'
    """
    read = (studs.torque_nm, "N m") if studs.preload_n is None else (studs.preload_n, "N")
    several = ((AS_READ, *read), (ON_THE_ROAD, studs.road_torque_nm, "N m"))
    told = [f"{when}: {_listed(given, unit)}" for when, given, unit in several if given is not None]
    return (f"As given, {'; '.join(told)}.",) if told else ()


def _listed(given: float | tuple[float, ...], unit: str) -> str:
    if not isinstance(given, tuple):
        return f"every stud at {given:g}{words.GAP}{unit}"
    return f"studs 1 to {len(given)} at {', '.join(f'{one:g}' for one in given)}{words.GAP}{unit}"
