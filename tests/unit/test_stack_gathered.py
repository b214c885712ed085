"""Many corners: what comes of them lies in files mapped to memory, and a block is never held twice."""

from __future__ import annotations

import os
import tracemalloc
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

from sim.errors import BadInput
from sim.stack import gathered, hands
from sim.stack import run as runs
from sim.stack.draw import BLOCK
from sim.stack.seated import ORDERS, Rows, Wanted
from sim.stack.study_file import load_study


@pytest.fixture
def unseated(monkeypatch):
    """Blocks of the shipped population with outcomes that are made up from the corner's number, nothing seated."""
    made = replace(load_study("population_rear"), tolerance_um=0.0, levers=())

    def block(study, want, number):
        first = number * BLOCK
        corners = np.arange(first, min(first + BLOCK, study.samples), dtype=float)
        waves = corners[:, None] + 1j * np.arange(ORDERS + 1)
        return 0.25, Rows(first, {"found_um": corners}, {"found": waves}, ((first, "a reason"),))

    monkeypatch.setattr(runs, "_block", block)
    monkeypatch.setattr(runs, "_prepared_first", lambda _: None)

    def run(samples, tolerance_um=0.0, **more):
        study = replace(made, samples=samples, tolerance_um=tolerance_um)
        return runs.run(study, workers=1, wanted=Wanted(cures=False, driven=False), **more)

    return run


def test_files_answer_what_memory_does(unseated, monkeypatch, tmp_path):
    kept = unseated(3 * BLOCK + 17)
    monkeypatch.setattr(gathered, "IN_MEMORY", 1)
    filed = unseated(3 * BLOCK + 17, folder=tmp_path)
    assert isinstance(filed.columns["found_um"].base, np.memmap)
    assert isinstance(filed.orders["found"].base, np.memmap)
    assert filed.size == 3 * BLOCK + 17
    assert filed.reasons == kept.reasons
    for mine, other in ((kept.columns, filed.columns), (kept.orders, filed.orders)):
        assert list(mine) == list(other)
        assert all(np.array_equal(values, other[name]) for name, values in mine.items())
    assert [one.size for one in filed.drawn] == [BLOCK, BLOCK, BLOCK, 17]
    for one, other in zip(filed.drawn, kept.drawn, strict=True):
        assert all(np.array_equal(one.columns[name], other.columns[name]) for name in one.columns)
    assert [file.name for file in tmp_path.iterdir()] == ["blocks"]


def test_memory_does_not_grow_with_the_corners(unseated, monkeypatch):
    """Five times the corners, and not a tenth of what these take more: 0.6 kB each in their columns alone."""
    monkeypatch.setattr(gathered, "IN_MEMORY", 1)

    def most(blocks):
        tracemalloc.start()
        try:
            result = unseated(blocks * BLOCK)
            return tracemalloc.get_traced_memory()[1], result
        finally:
            tracemalloc.stop()

    most(2)
    few, _ = most(4)
    many, result = most(20)
    taken = sum(values.nbytes for part in (result.columns, result.orders) for values in part.values())
    assert taken > 16 * BLOCK * 500
    assert many - few < taken / 10


@pytest.mark.skipif(not hasattr(os, "posix_fallocate"), reason="room cannot be asked for on this system")
def test_a_full_disk_is_told_before_anything_is_kept(monkeypatch, tmp_path):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "posix_fallocate", full)
    room = gathered.Gathered(gathered.IN_MEMORY + 1, tmp_path)
    with pytest.raises(BadInput, match="has no room for what comes of 20001 corners: No space left"):
        room.add({"found_um": np.zeros(3)})


@pytest.mark.skipif(not hasattr(os, "posix_fallocate"), reason="room cannot be asked for on this system")
def test_a_file_system_that_cannot_be_asked_for_room_is_used_all_the_same(monkeypatch, tmp_path):
    def unknown(*_):
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(os, "posix_fallocate", unknown)
    room = gathered.Gathered(gathered.IN_MEMORY + 1, tmp_path)
    room.add({"found_um": np.arange(3.0), "patches_um": np.zeros((3, 0))})
    assert room.columns()["found_um"].tolist() == [0.0, 1.0, 2.0]
    assert room.columns()["patches_um"].shape == (3, 0)


class Here(Executor):
    """Computes at once what it is handed, and counts it."""

    def __init__(self):
        self.handed = 0

    def submit(self, fn, /, *args, **kwargs):
        self.handed += 1
        done = Future()
        done.set_result(fn(*args, **kwargs))
        return done


def test_nothing_is_begun_past_the_stop_and_much_ahead_where_it_is_far_off(unseated):
    """Figures rise by one from corner to corner, so that batches never agree to less than their size."""
    near, far, all_of_it = Here(), Here(), Here()
    stopped = unseated(100 * BLOCK, tolerance_um=1e6, executor=near)
    assert (stopped.size, near.handed) == (8 * BLOCK, 8)

    def seen(done, _what):
        far.most = max(getattr(far, "most", 0), far.handed - round(done * 100))

    unseated(100 * BLOCK, tolerance_um=1e-3, executor=far, progress=seen)
    assert far.handed == 100
    assert far.most == hands.AHEAD * 4 - 1, "as many ahead as without a tolerance"
    unseated(3 * BLOCK, executor=all_of_it)
    assert all_of_it.handed == 3


def test_the_pace_is_of_what_was_seated_now(unseated, tmp_path):
    pace = unseated(2 * BLOCK, folder=tmp_path).pace
    assert (pace.corners, pace.cpu_s) == (2 * BLOCK, 0.5)
    assert pace.a_second_each == 4 * BLOCK
    assert pace.kept_busy * pace.wall_s == pytest.approx(0.5)
    assert unseated(2 * BLOCK, folder=tmp_path).pace is None, "all was kept"


def test_one_pool_serves_every_question_and_a_single_task_starts_none(monkeypatch):
    pools = []

    def started(count):
        pools.append(ThreadPoolExecutor(count))
        return pools[-1]

    monkeypatch.setattr(hands, "started", started)
    with hands.processes(3) as them:
        with hands.computed(abs, [-1], 3, them) as answers:
            assert list(answers) == [1]
        assert pools == []
        for _ in range(2):
            with hands.computed(abs, [-1, -2, 3], 3, them) as answers:
                assert list(answers) == [1, 2, 3]
        with hands.computed(abs, [-1, -2, 3], 3, them, wanted=lambda _: False) as answers:
            assert list(answers) == [1, 2, 3], "one at a time, never none"
        assert len(pools) == 1
        assert them.count == hands.at_once(None, them) == 3
    with pytest.raises(RuntimeError, match="shutdown"):
        pools[0].submit(int)
    with hands.processes(1) as none:
        assert none is None
