"""Everything that the handout shows of one corner, solved: tables of a speck, how both parts move in each seating."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sim.arrays import Complexes, Floats
from sim.handout.chapters import Chapters, Solved, chapters
from sim.handout.motion import ORDERS, Shapes, hub_fields, rotor_fields, shapes_of
from sim.handout.speck_table import Table
from sim.handout.specks import around, outward, speck_of
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris
from sim.progress import Progress, silent
from sim.seating.seat import Seat

NODES = "spigot", "holes", "clampings", "wheel"


@dataclass(frozen=True, eq=False)
class Moves:
    """How one body moves in the seatings of the page, as weights of few shapes. Complex. [mm].

    Parameters
    ----------
    shapes : Shapes
    clean : ndarray, shape (shapes,)
        Of the corner without dirt.
    around, outward : ndarray, shape (p, h, shapes)
        What the speck adds, turned to where it lies.
    nodes : mapping of str to ndarray, shape (seats, shapes)
        Of the later chapters' seatings, by the chapter's name in `sim.handout.chapters.Chapters`.
    """

    shapes: Shapes
    clean: Complexes
    around: Complexes
    outward: Complexes
    nodes: Mapping[str, Complexes]


@dataclass(frozen=True, eq=False)
class Numbers:
    """What the page shows.

    Parameters
    ----------
    case : Case
    speck : Debris
        The one that is moved about.
    around, outward : Table
    chapters : Chapters
    rotor, hub : Moves
    """

    case: Case
    speck: Debris
    around: Table
    outward: Table
    chapters: Chapters
    rotor: Moves
    hub: Moves


@one_thread
def numbers(
    case: Case,
    sections_mm: tuple[Floats, Floats],
    preset: str = "standard",
    progress: Progress = silent,
) -> Numbers:
    """Solve what the page shows.

    Parameters
    ----------
    case : Case
    sections_mm : tuple of ndarray, shape (points, 2)
        Radius and height of the points that a picture moves: of the rotor, of the hub. [mm]
    preset : str
    progress : callable(fraction, what)

    Raises
    ------
    BadInput, Refused
        As the seating has them.

    Notes
    -----
    Every figure's source stands with its own module (`sim.seating`, `sim.wear`, `sim.spigot`).
    """
    later = chapters(case, preset, lambda done, what: progress(0.35 * done, what))
    round_it = around(case, preset, lambda done, what: progress(0.35 + 0.4 * done, what))
    inward = outward(case, preset, lambda done, what: progress(0.75 + 0.1 * done, what))
    progress(0.85, "how both parts move")
    seats = [*round_it.seats, *inward.seats, *(one for name in NODES for one in _nodes(later, name, round_it))]
    rotor, hub = (
        _moves(of(seats, points), seats, (round_it, inward), later)
        for of, points in ((rotor_fields, sections_mm[0]), (hub_fields, sections_mm[1]))
    )
    return Numbers(case, speck_of(case), round_it, inward, later, rotor, hub)


def _nodes(later: Chapters, name: str, table: Table) -> list[Seat]:
    """Seatings of a chapter; the clean corner stands for one that is refused."""
    solved: Solved = getattr(later, name)
    return [table.seats[0] if one is None else one for one in solved.seats]


def _moves(fields_mm: Complexes, seats: list[Seat], tables: tuple[Table, Table], later: Chapters) -> Moves:
    first, both = len(tables[0].seats), len(tables[0].seats) + len(tables[1].seats)
    clean = fields_mm[0]  # the first node of the first table: a speck of no height
    order = np.arange(ORDERS)
    back = np.array([one.case.debris[0].angle_deg if one.case.debris else 0.0 for one in seats[:both]])
    added = (fields_mm[:both] - clean) * np.exp(1j * order * np.deg2rad(back)[:, None])[:, :, None, None]
    nodes = fields_mm[both:]
    shapes = shapes_of(np.concatenate([added, clean[None], nodes]))
    weights, of_nodes = shapes.weights(added), shapes.weights(nodes)
    ends = np.cumsum([len(getattr(later, name).seats) for name in NODES])
    return Moves(
        shapes,
        shapes.weights(clean[None])[0],
        weights[:first].reshape(*tables[0].left_um.shape, -1),
        weights[first:].reshape(*tables[1].left_um.shape, -1),
        dict(zip(NODES, np.split(of_nodes, ends[:-1]), strict=True)),
    )
