"""What a film costs: CPU of a frame, and of whole films, for each of the five stories.

    python -m tests.benchmarks.bench_films [--whole draft|gif|film] [STORY ...]

CPU seconds, of this process and of its children, each story told of the corner that it is shipped with. Without
``--whole`` a few frames are drawn, else the film is made and thrown away. Prints rows for `bench_films.md`; asserts
nothing.
"""

from __future__ import annotations

import argparse
import os
import resource
import tempfile
import time
from pathlib import Path
from typing import Any

import demo_geometry

os.environ.setdefault("LP_NUM_THREADS", "1")
CASES = {
    "where is the fault": "demo_dirty",
    "a speck at the hub": "demo_dirty",
    "which hole": "demo_dirty",
    "from tap to judder": "front_dirty",
    "spigot": "spigot_forced",
}
SAMPLES = 12


def main() -> None:
    """Measure what is asked for and print a row for each story."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--whole", choices=("draft", "gif", "film"))
    asked.add_argument("stories", nargs="*", default=list(CASES))
    arguments = asked.parse_args()
    for story in arguments.stories:
        print(row(story, arguments.whole), flush=True)


def row(story: str, whole: str | None) -> str:
    """One row of the table: frames as drawn, or the whole film."""
    from scenes.command import doing

    case = Path(demo_geometry.__file__).with_name(f"{CASES[story]}.toml")
    run = doing.open_told(case, story, 30_000.0, lambda share, words: None)
    reel = doing.reel(run, story, draft=whole == "draft")
    if whole is None:
        return f"| {story} | {frame_cpu_s(reel):.2f} |"
    with tempfile.TemporaryDirectory() as folder:
        return f"| {story} | {whole} | {reel.seconds:.0f} | {' | '.join(film_cost(reel, whole, Path(folder)))} |"


def film_cost(reel: Any, whole: str, folder: Path) -> tuple[str, str, str]:
    """CPU [s], time by the clock [s] and size [MB] of a film made."""
    from scenes.film import film

    before, begun = cpu_s(), time.monotonic()
    made = film.make(reel, folder / ("film.gif" if whole == "gif" else "film.mp4"))
    return (
        f"{cpu_s() - before:.0f}",
        f"{time.monotonic() - begun:.0f}",
        f"{made.stat().st_size / 1e6:.1f}",
    )


def frame_cpu_s(reel: Any) -> float:
    """CPU of one frame, photographed and put together in this process, as fine as a still. [s]."""
    from scenes import gl
    from scenes.film import timing

    gl.settle()
    moments = timing.frames(reel.moment, reel.seconds)
    some = moments[:: max(1, len(moments) // SAMPLES)]
    with reel.fine() as draw:
        for now in some:  # stages are built, letters and dials are kept
            draw(now)
        begun = cpu_s()
        for now in some:
            draw(now)
        return (cpu_s() - begun) / len(some)


def cpu_s() -> float:
    """CPU of this process and of its children that have ended. [s]."""
    used = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(one.ru_utime + one.ru_stime for one in used)


if __name__ == "__main__":
    main()
