"""Many corners: what comes of them lies in files mapped to memory, and a block is never held twice."""

from __future__ import annotations

import os
import tracemalloc
from dataclasses import replace

import numpy as np
import pytest

from sim.errors import BadInput
from sim.stack import gathered
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
        return Rows(first, {"found_um": corners}, {"found": waves}, ((first, "a reason"),))

    monkeypatch.setattr(runs, "_block", block)
    monkeypatch.setattr(runs, "_prepared_first", lambda _: None)

    def run(samples, **more):
        study = replace(made, samples=samples)
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
