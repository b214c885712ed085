"""Other points than random ones: Sobol' points and Latin hypercubes, in replicates that tell their own error."""

from __future__ import annotations

import zlib
from functools import lru_cache

import numpy as np

from sim.arrays import Floats
from sim.stack.draw import BLOCK, STUD, TOOL, Stream
from sim.stack.population import Population
from sim.stack.study import Study

#: Replicates, each scrambled by itself: what tells the error of points that are not independent. Common practice.
REPLICATES = 16


def names_of(population: Population) -> tuple[str, ...]:
    """Name of every column of shares that a corner of this population may ask for, sorted."""
    names = [one.key for one in population.spreads]
    if population.tool is not None:
        names.append(TOOL)
    if population.stud is not None:
        names += [f"{STUD}{k}" for k in range(1, population.case.studs.count + 1)]
    for k, dirt in enumerate(population.dirt):
        names.append(f"dirt{k}.count")
        names += [f"dirt{k}.{p}.{what}" for p in range(len(dirt.counts) - 1)
                  for what in ("angle0", "radius0", "width", "arc", "height", "kind", "gone")]  # fmt: skip
    return tuple(sorted(names))


def stream_of(study: Study, block: int) -> Stream | _Spaced | None:
    """Where the shares of a block come from; None for random ones."""
    if study.points == "random":
        return None
    names = names_of(study.population)
    return _Spaced(study.seed, block, names, study.points, study.samples)


class _Spaced:
    """Shares of one block of evenly spread points; columns that only break ties (other places tried) stay random."""

    def __init__(self, seed: int, block: int, names: tuple[str, ...], kind: str, samples: int) -> None:
        self.random = Stream(seed, block, BLOCK)
        self.columns = {name: k for k, name in enumerate(names)}
        self.shares = _points(kind, len(names), seed, block, samples)

    def __call__(self, name: str) -> Floats:
        if name in self.columns:
            return self.shares[:, self.columns[name]]
        return self.random(name)


@lru_cache(maxsize=2)
def _points(kind: str, dimensions: int, seed: int, block: int, samples: int) -> Floats:
    """Points of one block. Replicates take turns: corner k belongs to replicate k modulo `REPLICATES`."""
    from scipy.stats import qmc  # takes longer to load than all else

    each = BLOCK // REPLICATES
    shares = np.empty((BLOCK, dimensions))
    for replicate in range(REPLICATES):
        made_with = np.random.default_rng([seed, replicate, zlib.crc32(kind.encode())])
        if kind == "sobol":
            engine = qmc.Sobol(dimensions, scramble=True, rng=made_with)
            if block:  # by nought it cannot go forward
                engine.fast_forward(block * each)
            shares[replicate::REPLICATES] = engine.random(each)
        else:
            whole = qmc.LatinHypercube(dimensions, rng=made_with).random(-(-samples // BLOCK) * each)
            shares[replicate::REPLICATES] = whole[block * each :][:each]
    return np.clip(shares, 1e-12, 1.0 - 1e-12)
