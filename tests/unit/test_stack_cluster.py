"""A stack on a real scheduler with two workers, one of which is killed: time is lost, nothing else."""

from __future__ import annotations

import signal
import subprocess
import sys
from contextlib import ExitStack

import numpy as np
import pytest

from scenes.command import cluster
from sim import load_case
from sim.stack.distributions import Distribution
from sim.stack.population import Population, Varied
from sim.stack.run import run
from sim.stack.seated import Wanted
from sim.stack.study import Study

#: No nanny watches over them: another worker in the place of the killed one would come when all is done.
WORKER = """import asyncio, sys
from distributed import Worker

async def work():
    async with Worker(sys.argv[1], nthreads=1, dashboard=False, local_directory=sys.argv[2]) as worker:
        await worker.finished()

asyncio.run(work())
"""


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
    with (
        distributed.LocalCluster(n_workers=0, dashboard_address=None, host="127.0.0.1") as there,
        distributed.Client(there, set_as_default=False) as client,
        ExitStack() as stack,
    ):
        asked = [sys.executable, "-c", WORKER, there.scheduler_address, str(tmp_path)]
        workers = [stack.enter_context(subprocess.Popen(asked)) for _ in range(2)]
        for worker in workers:
            stack.callback(worker.kill)
        client.wait_for_workers(2, timeout=60)

        def kill(_done, _what):
            workers[0].kill()

        with cluster.executor(there.scheduler_address) as executor:
            shared = run(study, executor=executor, progress=kill, wanted=want)
        assert workers[0].wait(10) == -signal.SIGKILL
        assert workers[1].poll() is None
    assert list(shared.columns) == list(alone.columns)
    for name, values in alone.columns.items():
        np.testing.assert_array_equal(values, shared.columns[name])
