"""Corners drawn and seated on every core, block by block, kept as they come, the same whoever computed them."""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Mapping, Sequence
from concurrent.futures import Executor
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

import numpy as np

from sim.arrays import Complexes, Floats
from sim.corner.road_state import UNFIT
from sim.disk_cache import DAMAGE, code_digest, replacing
from sim.errors import BadInput, Fault, Refused
from sim.one_thread import one_thread
from sim.progress import Progress, silent
from sim.seating.prepared import need_preset, prepare
from sim.solvers.many import get_ready
from sim.stack.draw import BLOCK, Drawn, case_of, draw_block
from sim.stack.gathered import Gathered, Redrawn
from sim.stack.gauge import Gauge
from sim.stack.hands import at_once, computed
from sim.stack.points import stream_of
from sim.stack.population import Population
from sim.stack.seated import Rows, Wanted, seat_drawn
from sim.stack.shares import tolerance
from sim.stack.study import Study

#: Blocks of one batch: 1 024 corners, after which the tolerance reached is looked at.
BATCH_BLOCKS = 4
BATCH = BATCH_BLOCKS * BLOCK
KEPT = "blocks"  # folder of what was drawn, within a run's


@dataclass(frozen=True)
class Pace:
    """How fast corners were seated, whatever seated them; not of those that an earlier run had kept.

    Parameters
    ----------
    corners : int
    wall_s, cpu_s : float
        By the clock from the first to the last, and spent on these corners by all processes together. [s]
    """

    corners: int
    wall_s: float
    cpu_s: float

    @property
    def a_second(self) -> float:
        """Corners a second by the clock. [1/s]. By definition."""
        return self.corners / self.wall_s

    @property
    def a_second_each(self) -> float:
        """Corners a second of one process that does nothing else. [1/s]. By definition."""
        return self.corners / self.cpu_s

    @property
    def kept_busy(self) -> float:
        """Processes that were kept busy on average: what sharing out has gained. No unit. By definition."""
        return self.cpu_s / self.wall_s


@dataclass(frozen=True, eq=False)
class Result:
    """What was drawn and what came of it.

    Parameters
    ----------
    study : Study
    columns : mapping of str to ndarray, shape (corners,)
        What was drawn, by key, then outcomes as in `sim.stack.seated.Rows`.
    orders : mapping of str to ndarray of complex
        Seated traces alone, as in `Rows`.
    drawn : sequence of Drawn
        The blocks, for the patches of dirt; drawn anew whenever they are asked for.
    reasons : tuple of (int, str)
        Corners that are no figure, some as driven only (`unfit`).
    reached_um : float
        Tolerance reached. [um]
    stopped : bool
        Whether it was reached before all corners were drawn.
    pace : Pace or None
        None where nothing had to be seated; all else is the same whoever computed it.
    """

    study: Study
    columns: Mapping[str, Floats] = field(repr=False)
    orders: Mapping[str, Complexes] = field(repr=False)
    drawn: Sequence[Drawn] = field(repr=False)
    reasons: tuple[tuple[int, str], ...]
    reached_um: float
    stopped: bool
    pace: Pace | None = None

    @property
    def size(self) -> int:
        """Corners drawn."""
        return int(self.columns["found_um"].size)

    @property
    def unfit(self) -> tuple[tuple[int, str], ...]:
        """Corners that are not fit to drive as drawn: they count as read, and nowhere as driven."""
        return tuple(one for one in self.reasons if one[1].startswith(UNFIT))

    @property
    def not_seated(self) -> tuple[tuple[int, str], ...]:
        """Corners that count nowhere."""
        return tuple(one for one in self.reasons if not one[1].startswith(UNFIT))


@one_thread
def run(
    study: Study,
    workers: int | None = None,
    folder: Path | None = None,
    executor: Executor | None = None,
    progress: Progress = silent,
    wanted: Wanted | None = None,
) -> Result:
    """Draw and seat the corners of a study.

    Parameters
    ----------
    study : Study
    workers : int, optional
        Processes, as `sim.processes.counted` has them.
    folder : Path, optional
        Keeps every block as it comes; what an earlier run of the same study kept there is taken from it. Files of more
        corners than memory should hold lie there as well (`sim.stack.gathered`).
    executor : Executor, optional
        What computes instead of processes of this machine, such as a cluster's; the result is the same.
    progress : callable(fraction, what)
    wanted : Wanted, optional
        As driven and cures as the study says unless given.

    Returns
    -------
    Result
        The same to the bit whatever the number of processes, on one kind of processor.

    Raises
    ------
    BadInput
        For a preset that does not exist, no number of processes.
    """
    need_preset(study.preset)
    want = wanted or Wanted(study.preset, study.driven)
    store = _Store(folder, study, want)
    blocks = range(-(-study.samples // BLOCK))
    outcomes, orders, inputs = (Gathered(study.samples, folder) for _ in range(3))
    reasons: list[tuple[int, str]] = []
    stopped = False
    began = time.monotonic()
    wanting = [block for block in blocks if not store.has(block)]
    done, seated, spent = 0, 0, 0.0
    task = partial(_block, study, want)
    _prepared_first(study)
    until = _Until(study, at_once(workers, executor))
    with computed(task, wanting, workers, executor, until.wanted) as answers:
        for block in blocks:
            found = store.read(block)
            if found is None:
                seconds, found = next(answers) if block in wanting else task(block)
                store.write(block, found)
                done, seated, spent = done + 1, seated + found.size, spent + seconds
            outcomes.add(found.columns)
            orders.add(found.orders)
            inputs.add(_drawn(study, block).columns)
            reasons.extend(found.reasons)
            total, drawn = outcomes.filled, block + 1
            progress(total / study.samples, f"corners seated{_left(began, done, len(wanting))}")
            if until.asked and drawn % BATCH_BLOCKS == 0 and drawn >= 2 * BATCH_BLOCKS:
                reached = tolerance(outcomes.columns()["found_um"], BATCH)
                if reached <= study.tolerance_um:
                    stopped = total < study.samples
                    break
                until.told(drawn, reached)
    pace = Pace(seated, time.monotonic() - began, max(spent, 1e-9)) if seated else None
    columns = inputs.columns() | outcomes.columns()
    blocks_drawn = Redrawn(partial(_drawn, study), drawn)
    reached = tolerance(columns["found_um"], BATCH)
    return Result(study, columns, orders.columns(), blocks_drawn, tuple(reasons), reached, stopped, pace)


def _drawn(study: Study, block: int) -> Drawn:
    """Corners of a block, as far as they are asked for."""
    drawn = draw_block(study.population, study.seed, block, stream_of(study, block))
    return drawn.part(slice(0, min(BLOCK, study.samples - block * BLOCK)))


def _block(study: Study, want: Wanted, block: int) -> tuple[float, Rows]:
    """Seconds of this thread alone, and what came of them."""
    began = time.thread_time()
    get_ready(study.samples)
    rows = seat_drawn(study.population, _drawn(study, block), want)
    return time.thread_time() - began, rows


class _Until:
    """Blocks worth beginning before the tolerance is known: those past its stop are computed for nothing.

    Until it can stop for the first time all up to there; then half of what an error that falls with the root of the
    draws lets expect, but always enough for every process.
    """

    def __init__(self, study: Study, at_once: int) -> None:
        self.asked = study.tolerance_um > 0.0 and study.points == "random"
        self.least = max(BATCH_BLOCKS, at_once)
        self.tolerance_um = study.tolerance_um
        self.end: float = max(2 * BATCH_BLOCKS, at_once)

    def told(self, drawn: int, reached_um: float) -> None:
        """Take in the tolerance after some blocks."""
        more = drawn * ((reached_um / self.tolerance_um) ** 2 - 1.0)
        self.end = drawn + max(self.least, more / 2.0)

    def wanted(self, block: int) -> bool:
        return not self.asked or block < self.end


def _prepared_first(study: Study) -> None:
    """Prepare the common geometry here, so that every process finds it in the cache."""
    with suppress(BadInput, Refused):
        drawn = draw_block(study.population, study.seed, 0)
        prepare(case_of(study.population, drawn, 0), study.preset)


def _seated_alike(population: Population) -> Population:
    """The population without what no seating hangs on: limit, wanted share, title, sources."""
    return replace(
        population,
        title="",
        limit_um=1.0,
        share_within=0.5,
        varied=tuple(replace(one, source="") for one in population.varied),
        dirt=tuple(replace(one, source="") for one in population.dirt),
        stud_source="",
        tool_source="",
    )


def _left(began: float, done: int, of: int) -> str:
    """How long it still takes, once that can be told."""
    spent = time.monotonic() - began
    if done < 2 or spent < 2.0 or done >= of:
        return ""
    seconds = spent / done * (of - done)
    return f", {seconds / 60:.0f} min left" if seconds >= 90 else f", {seconds:.0f} s left"


class _Store:
    """Blocks kept on disk: plain arrays, found again only by the very same study, code and libraries."""

    def __init__(self, folder: Path | None, study: Study, want: Wanted) -> None:
        self.folder = None if folder is None else folder / KEPT
        self.samples = study.samples
        told = replace(study, samples=1, tolerance_um=0.0, levers=(), prices=None, gauge=Gauge())
        told = replace(told, population=_seated_alike(study.population))
        if study.points == "latin hypercube":
            told = replace(told, samples=study.samples)
        self.identity = hashlib.sha256(f"{code_digest(__name__)}|{told!r}|{want!r}".encode()).hexdigest()[:16]
        if self.folder is not None:
            self.folder.mkdir(parents=True, exist_ok=True)

    def _path(self, block: int) -> Path:
        assert self.folder is not None
        size = min(BLOCK, self.samples - block * BLOCK)
        return self.folder / f"{self.identity}-{block:07d}-{size}.npz"

    def has(self, block: int) -> bool:
        return self.folder is not None and self._path(block).is_file()

    def read(self, block: int) -> Rows | None:
        if not self.has(block):
            return None
        try:
            with np.load(self._path(block), allow_pickle=False) as kept:
                columns = {name[2:]: kept[name] for name in kept.files if name.startswith("c.")}
                orders = {name[2:]: kept[name] for name in kept.files if name.startswith("o.")}
                reasons = tuple((int(n), str(text)) for n, text in json.loads(str(kept["reasons"])))
        except DAMAGE:
            return None
        return Rows(block * BLOCK, columns, orders, reasons) if "found_um" in columns else None

    def write(self, block: int, rows: Rows) -> None:
        if self.folder is None:
            return
        arrays = {f"c.{name}": values for name, values in rows.columns.items()}
        seated = {f"o.{name}": values for name, values in rows.orders.items()}
        path = self._path(block)
        try:
            with replacing(path) as passing, passing.open("wb") as file:
                np.savez(file, reasons=np.array(json.dumps(rows.reasons)), **arrays, **seated)  # type: ignore[arg-type]
        except OSError as error:
            raise BadInput(Fault(f"cannot be written: {error.strerror}", str(path))) from None
