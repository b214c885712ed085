"""Groups of mountings of which every two read alike: nearest joined first, whichever was read first."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from itertools import combinations

#: First orders apart and what 95 of 100 such pairs stay under. [um TIR]
Pair = tuple[float, float]


def came_back(pair: Pair) -> bool:
    """Whether two mountings read alike, both figures as they are printed. By rule. [um TIR].

    Examples
    --------
    >>> came_back((23.4, 23.2)), came_back((24.0, 23.2))
    (True, False)
    """
    return round(pair[0]) <= round(pair[1])


def further(one: Pair | None, other: Pair) -> Pair:
    """Of two figures for one pair of mounts the one further apart, by what is usual. By definition. [um TIR]."""
    return other if one is None or other[0] * one[1] > one[0] * other[1] else one


def linked(mounts: Collection[int], apart: Mapping[tuple[int, int], Pair]) -> list[tuple[int, ...]]:
    """Part mounts into groups within which every two read alike; that of the last mount first, then likewise the rest.

    Parameters
    ----------
    mounts : collection of int
    apart : mapping
        How far each two lie apart, the lower mount first, and what is usual. [um TIR]

    Notes
    -----
    Complete linkage: of two groups of which each two mounts read alike those are joined that are the nearest by their
    furthest two. So a chain, each like the next, is cut at its widest gap, in whatever sequence it was read.

    Examples
    --------
    >>> at = {1: 0.0, 2: 18.0, 3: 28.0}
    >>> gaps = {(one, other): (at[other] - at[one], 20.0) for one, other in combinations(at, 2)}
    >>> linked(at, gaps)
    [(2, 3), (1,)]
    """
    groups: list[tuple[int, ...]] = [(mount,) for mount in sorted(mounts)]
    while True:
        nearest = min(
            (
                (_furthest(one, other, apart), one, other)
                for one, other in combinations(groups, 2)
                if _every_two(one, other, apart)
            ),
            default=None,
        )
        if nearest is None:
            return sorted(groups, key=lambda group: -max(group))
        _, one, other = nearest
        groups = sorted([*(group for group in groups if group not in (one, other)), tuple(sorted(one + other))])


def _between(one: tuple[int, ...], other: tuple[int, ...], apart: Mapping[tuple[int, int], Pair]) -> list[Pair]:
    return [apart[min(a, b), max(a, b)] for a in one for b in other]


def _every_two(one: tuple[int, ...], other: tuple[int, ...], apart: Mapping[tuple[int, int], Pair]) -> bool:
    return all(came_back(pair) for pair in _between(one, other, apart))


def _furthest(one: tuple[int, ...], other: tuple[int, ...], apart: Mapping[tuple[int, int], Pair]) -> float:
    return max(um / usual_um for um, usual_um in _between(one, other, apart))
