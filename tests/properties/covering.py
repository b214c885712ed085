"""Pairs of bounds by a covering array: few corners with many keys at a bound each, until every pair has stood in one.

Pairwise design (D. M. Cohen et al., The AETG system, IEEE Trans. Softw. Eng. 23 (1997) 437, from memory): a corner
begins with a pair that is still open and takes, one after the other, the bound that closes most open pairs, as long as
`check` takes it. A corner that physics refuses hides what stands in it, so its pairs are tried again in smaller
corners; with a bound that is refused alone, refused is all that a pair can be.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import combinations
from typing import Any

import numpy as np

from sim.parts.keys import KEYS
from tests.properties import anywhere
from tests.properties.anywhere import Tables

WIDEST = 16  # keys at a bound in one corner; a wider one is refused by physics too often (judgement)
TRIED = 20  # bounds tried for a place in a corner
OPEN, CLOSED = 1, 0


def label(path: str, to: Any) -> str:
    return f"{path} = {to!r}"


class Covering:
    """Which pairs are open, and the corner that closes most of them.

    Parameters
    ----------
    refused_alone : collection of str
        Labels of bounds that physics refuses by themselves.
    seed : int
    """

    def __init__(self, refused_alone: Iterable[str] = (), seed: int = 1) -> None:
        self.base = anywhere.base(anywhere.BASES[0])
        points = [(key, to) for key in KEYS if key.built for to in anywhere.ends(key)]
        self.points = [one for one in points if anywhere.passes(anywhere.moved(self.base, *one)) is not None]
        self.labels = [label(key.path, to) for key, to in self.points]
        self.number = {name: place for place, name in enumerate(self.labels)}
        self.refused = np.array([name in set(refused_alone) for name in self.labels])
        self.rng = np.random.default_rng(seed)
        count = len(self.points)
        self.open = np.zeros((count, count), dtype=np.int8)
        self.tries = np.zeros((count, count), dtype=np.int8)
        self.by_check = 0
        for one, other in combinations(range(count), 2):
            if self.points[one][0] is self.points[other][0]:
                continue
            if self.tables((one, other)) is None:
                self.by_check += 1
            else:
                self.open[one, other] = self.open[other, one] = OPEN
        self.all = int(self.open.sum()) // 2
        self.through = self.by_physics = 0

    def tables(self, row: Sequence[int]) -> Tables | None:
        """The corner of some bounds; None where `check` refuses it or one bound displaces another."""
        tables = self.base
        for place in row:
            tables = anywhere.moved(tables, *self.points[place])
        for place in row:
            key, to = self.points[place]
            part = tables if not key.table else tables.get(key.table, {})
            part = part[0] if isinstance(part, list) else part
            if key.name not in part or part[key.name] != to:
                return None
        return tables if anywhere.passes(tables) is not None else None

    def next_row(self) -> list[int]:
        """Bounds of the next corner; none where no pair is open."""
        left = np.argwhere(np.triu(self.open))
        if not len(left):
            return []
        tried = self.tries[left[:, 0], left[:, 1]]
        left = left[tried == tried.min()]
        one, other = (int(place) for place in left[self.rng.integers(len(left))])
        row = [one, other]
        widest = max(2, WIDEST >> (2 * int(self.tries[one, other])))
        while len(row) < widest:
            gain = self.open[row].sum(axis=0).astype(float) + self.rng.random(len(self.points)) * 0.5
            gain[row] = 0.0
            gain[self.refused] = 0.0  # one at the most: it hides the pairs of all others
            for place in np.argsort(-gain)[:TRIED]:
                if gain[place] >= 1.0 and self.tables([*row, int(place)]) is not None:
                    row.append(int(place))
                    break
            else:
                break
        return row

    def settle(self, names: Sequence[str], through: bool) -> None:
        """What came of a corner: its pairs are closed, or tried again in a smaller one."""
        row = [self.number[name] for name in names if name in self.number]
        for one, other in combinations(row, 2):
            if self.open[one, other] != OPEN:
                continue
            for pair in ((one, other), (other, one)):
                self.tries[pair] += 1
            alone = self.refused[one] or self.refused[other]
            if through or alone or len(row) == 2:
                self.open[one, other] = self.open[other, one] = CLOSED
                self.through += through
                self.by_physics += not through

    def told(self) -> str:
        """How many pairs there are and what came of them."""
        left = int(self.open.sum()) // 2
        return (
            f"{self.all + self.by_check} pairs of bounds: {self.through} through every door, {self.by_physics} refused "
            "by physics as one of both is alone or as the pair by itself, "
            f"{self.by_check} refused by check, {left} open"
        )
