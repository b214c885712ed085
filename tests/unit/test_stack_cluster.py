"""A stack on a real scheduler with two workers, one of which is killed: time is lost, nothing else."""

from __future__ import annotations

import os
import signal
from contextlib import suppress

import numpy as np
import pytest

from scenes.command import cluster
from sim import load_case
from sim.stack.distributions import Distribution
from sim.stack.population import Population, Varied
from sim.stack.run import run
from sim.stack.seated import Wanted
from sim.stack.study import Study


def test_a_killed_worker_costs_time_and_not_the_result(tmp_path):
    """Clean corners that differ in their vectors: seated once a block, so that what is tested is the sharing out."""
    distributed = pytest.importorskip("distributed")  # heavy: loaded by the one process that asks for it
    varied = (
        Varied("hub.face_runout_um", Distribution("rayleigh", (6.0,))),
        Varied("rotor.own_runout_um", Distribution("rayleigh", (8.0,))),
    )
    study = Study(Population("clean", load_case("perfect_solid_300"), varied), samples=3 * 256, driven=False)
    want = Wanted(driven=False, cures=False)
    alone = run(study, workers=1, wanted=want)
    killed = []
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, dashboard_address=None, host="127.0.0.1", local_directory=str(tmp_path)
        ) as there,
        distributed.Client(there, set_as_default=False) as client,
    ):
        victims = list(client.run(os.getpid).values())

        def kill(_done, _what):
            if not killed:
                killed.append(victims[0])
                with suppress(ProcessLookupError):
                    os.kill(victims[0], signal.SIGKILL)

        with cluster.executor(there.scheduler_address) as executor:
            shared = run(study, executor=executor, progress=kill, wanted=want)
    assert killed
    assert list(shared.columns) == list(alone.columns)
    for name, values in alone.columns.items():
        np.testing.assert_array_equal(values, shared.columns[name])
