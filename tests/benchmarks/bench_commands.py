"""How long commands take beside what no program on these libraries can do without: importing numpy and scipy.

    python -m tests.benchmarks.bench_commands [--repeats 3] [--keep]

CPU seconds of whole processes, medians, modules compiled as an installation leaves them, everything that is kept
between runs in place (the first time is a column of its own); what is stored beside this (`bench_commands.md`) is
printed as the last baseline. Where CalculiX is installed, one corner of `tests/verification/solid3d` is solved by it,
deck and contact its own, and by `trueseat seat`, both as whole processes. Prints; asserts nothing.
"""

from __future__ import annotations

import argparse
import compileall
import json
import os
import re
import resource
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from statistics import median

import demo_geometry
from tests.verification.solid3d import run as run_3d
from tests.verification.solid3d.catalogue import CATALOGUE
from tests.verification.solid3d.stored import load as stored_3d

os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

ROOT = Path(__file__).resolve().parents[2]
TABLE = Path(__file__).with_suffix(".md")
PACKAGES, INSTALLED = ("sim", "scenes", "demo_geometry"), "installed"
DOOR = "import sys; from scenes.command.door import main; sys.exit(main())"
BESIDE = "E1"  # a speck under stud 1, elastic hub: the plainest corner whose hub bends
HEAD_BESIDE = f"""
## Beside a solver of three-dimensional finite elements

Corner {BESIDE} of `tests/verification/solid3d` ({CATALOGUE[BESIDE].title}), CPU time of whole processes one after the
other: CalculiX with a deck and a contact of its own, and `trueseat seat`. At 15 kN a stud this corner is not fit to
drive, so that `seat` solves it as read alone, as CalculiX does.

| what | CPU [s] | times `seat`, kept | lateral runout as read [µm] |
|---|---|---|---|
"""
LEVELS_3D = ("direct-sparse", "direct-light")
STORED_3D = "direct-coarse"  # two minutes: told from the store
BARE = "import numpy, scipy.linalg, scipy.sparse.linalg"  # scipy alone loads nothing that solves
AS_READ = (
    "from sim.corner.seated import seat_corner; from sim.files.case_file import load_case; "
    "print(seat_corner(load_case('demo.toml'), 'standard').lateral_runout_um)"
)


@dataclass(frozen=True)
class Line:
    """A command with what it shall reach, and what it cannot go below and why."""

    name: str
    code: str
    words: tuple[str, ...] = ()
    aim: str = ""
    floor: str = ""


def door(name: str, *words: str, aim: str = "", floor: str = "") -> Line:
    return Line(name, DOOR, words, aim, floor)


IMPORTS = "the bare imports, and reading our own modules"
LINES = (
    Line(f"bare imports: `{BARE}`", BARE, floor="given by the libraries"),
    Line("`import numpy, scipy`, no solver of theirs", "import numpy, scipy", floor="given by the libraries"),
    door("`trueseat --help`", "--help", aim="0.4 s", floor="cyclopts and rich load, neither numpy nor scipy"),
    door("`trueseat check`", "check", "demo.toml", floor="cyclopts, rich and numpy load"),
    Line("seated as read, by the library", AS_READ, aim="2.5 bare imports", floor=IMPORTS),
    door("`trueseat seat`, as read and as driven", "seat", "demo.toml", aim="1.5 s",
         floor="seventeen wheels seated roughly (0.3 s), our modules and their classes (0.1 s), the bare imports"),
    door("`trueseat seat` of scale on the spigot", "seat", "spigot_jammed", floor=IMPORTS),
    door("`trueseat drive --km 30000`, 256 draws", "drive", "demo.toml", floor="256 marches of 80 averaged turns"),
    door("`trueseat index`", "index", "demo.toml", floor="five seatings more"),
    door("`trueseat clamp`", "clamp", "demo.toml", floor="a seating for each clamping"),
    door("`trueseat face`", "face", "demo.toml", floor="a seating for each place of the hub face"),
    door("`trueseat memory`", "memory", "worn.csv", "--km", "8000", floor="marches of drawn corners"),
    door("`trueseat remains`", "remains", "worn.csv", floor="marches of drawn corners"),
    door("`trueseat chalk`", "chalk", "-o", "chalk.html", floor="our words and a template"),
    door("`trueseat foil`", "foil", "demo.toml", "--out", "foil", floor="a seating for each strip; its pages"),
    door("`trueseat causes` on readings alone", "causes", "readings.csv", aim="1 s", floor=IMPORTS),
    door("`trueseat causes --case`, columns kept", "causes", "readings.csv", "--case", "demo.toml", aim="1 s",
         floor="the columns are read and ranked"),
    door("`trueseat stack`, 1 024 corners as read", "stack", "few.toml", "--workers", "1",
         floor="1 024 corners under every cure, and those behind the sensitivities"),
    door("`trueseat report` of a run, no pictures", "report", "run", "--no-pictures", floor="matplotlib loads, draws"),
    door("`trueseat storyboard --story spigot`", "storyboard", "spigot_jammed", "--story", "spigot", "-o", "x.png",
         floor="matplotlib loads, draws six sections"),
    door("`trueseat lesson`, not printed", "lesson", "demo.toml", "-o", "lesson-FRESH", "--no-pdf",
         floor="eight corners seated, two of them driven; matplotlib draws"),
    door("`trueseat export` to GLB", "export", "demo.toml", "-o", "x.glb", floor="trimesh and manifold load"),
    door("`trueseat picture --kind section`", "picture", "run", "--kind", "section", "-o", "x.png",
         floor="matplotlib loads and draws"),
)  # fmt: skip


def around(folder: Path) -> dict[str, str]:
    """Environment of a command: this tree as it would be installed, all that is kept in a folder of its own."""
    return {**os.environ, "PYTHONPATH": str(folder / INSTALLED), "TRUESEAT_CACHE": str(folder / "cache")}


def took(line: Line, folder: Path) -> float:
    """CPU seconds of one process and its helpers."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    words = [word.replace("FRESH", str(len(list(folder.iterdir())))) for word in line.words]
    command = [sys.executable, "-c", line.code, *words]
    done = subprocess.run(command, cwd=folder, env=around(folder), capture_output=True, text=True, check=False)
    if done.returncode:
        raise RuntimeError(f"{line.name}: {done.stderr[-400:]}")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def laid(folder: Path) -> None:
    for package in PACKAGES:
        shutil.copytree(ROOT / package, folder / INSTALLED / package)
    compileall.compile_dir(folder / INSTALLED, quiet=1)
    (folder / "demo.toml").write_text(demo_geometry.text("demo_dirty"), "utf-8")
    bench = demo_geometry.file("demo_dirty").with_name("readings_four_mountings.csv")
    (folder / "readings.csv").write_text(bench.read_text("utf-8"), "utf-8")
    worn = bench.with_name("readings_worn_disc.csv")
    (folder / "worn.csv").write_text(worn.read_text("utf-8"), "utf-8")
    population = demo_geometry.population_file("population_rear").read_text("utf-8")
    population = re.sub(r"samples = \d+", "samples = 1024", population).replace("as_driven = true", "as_driven = false")
    (folder / "few.toml").write_text(population.replace("tolerance_um = 1.0", "tolerance_um = 0.0"), "utf-8")


def beside_calculix(folder: Path) -> list[str]:
    """One corner by CalculiX at two meshes and by us, with what each says of its runout: rows of a table."""
    if not run_3d.installed():
        return []
    entry = CATALOGUE[BESIDE]
    text = "".join(f"\n[{name}]\n" + _keys(part) for name, part in entry.tables.items() if isinstance(part, dict))
    text += "".join(f"\n[[debris]]\n{_keys(patch)}" for patch in entry.tables["debris"])
    (folder / "beside.toml").write_text(text, "utf-8")
    words = ("seat", "beside.toml", "--json")
    first, again = took(door("", *words), folder), took(door("", *words), folder)
    said = subprocess.run(
        [sys.executable, "-c", DOOR, *words], cwd=folder, env=around(folder), capture_output=True, text=True, check=True
    )
    ours = json.loads(said.stdout)["lateral_runout_um"]["outboard"]
    rows = [
        f"| `trueseat seat`, geometry new | {first:.1f} | {first / again:.1f} | {ours:.2f} |",
        f"| `trueseat seat`, geometry kept | {again:.1f} | 1 | {ours:.2f} |",
    ]
    fresh = [(run_3d.compute(entry, level), "") for level in LEVELS_3D]
    for found, more in [*fresh, (stored_3d()["cases"][BESIDE]["runs"][STORED_3D], ", stored")]:
        runout = found["outputs"]["lateral_runout_um"]["outboard"]
        name = f"{found['solver']}, {found['nodes']} nodes, half the corner by symmetry, as read alone{more}"
        rows.append(f"| {name} | {found['cpu_s']:.1f} | {found['cpu_s'] / again:.1f} | {runout:.2f} |")
    return rows


def _keys(part: dict[str, object]) -> str:
    kept = {name: list(value) if isinstance(value, tuple) else value for name, value in part.items()}
    return "".join(f"{name} = {json.dumps(value)}\n" for name, value in kept.items() if value is not None)


def stored() -> dict[str, str]:
    """CPU seconds of the last baseline, by name."""
    if not TABLE.exists():
        return {}
    rows = [line.split(" | ") for line in TABLE.read_text("utf-8").splitlines() if line.startswith("| ")]
    return {cells[0][2:]: cells[2] for cells in rows if len(cells) > 3}


def main(words: list[str]) -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.benchmarks.bench_commands")
    asked.add_argument("--repeats", type=int, default=3)
    asked.add_argument("--beside", action="store_true", help="only the corner beside CalculiX, put into the table")
    asked.add_argument("--only", default="", help="commands with this in their names; the other rows stay")
    asked.add_argument("--keep", action="store_true", help="store the table as the next baseline")
    options = asked.parse_args(words)
    with tempfile.TemporaryDirectory() as top:
        folder = Path(top)
        laid(folder)
        rows = [] if options.beside else commands(folder, options.repeats, options.only)
        beside = [] if options.only else beside_calculix(folder)
    print("\n".join(beside))
    head = (
        "# Speed of commands\n\n`python -m tests.benchmarks.bench_commands --keep`. CPU seconds of whole processes, "
        f"medians of {options.repeats}, modules compiled; first: with a cache of another line's; the machine may "
        "have been shared.\n\n"
        "| what | first [s] | reached [s] | bare imports | aim | cannot go below | last baseline [s] | by it |\n"
        "|---|---|---|---|---|---|---|---|\n"
    )
    if options.keep:
        old, _, beside_old = (TABLE.read_text("utf-8") if TABLE.exists() else "").partition(HEAD_BESIDE)
        if options.only:  # in the order of the commands
            known = {row.split(" | ")[0][2:]: row for row in [*old.splitlines(), *rows] if row.startswith("| ")}
            rows = [known[line.name] for line in LINES if line.name in known]
        first = head + "\n".join(rows) if rows else old.rstrip("\n")
        second = "\n".join(beside) if beside else beside_old.rstrip("\n")
        TABLE.write_text(f"{first}\n{HEAD_BESIDE}{second}\n" if second else f"{first}\n", "utf-8")
    return 0


def commands(folder: Path, repeats: int, only: str = "") -> list[str]:
    """Every command, or those with a word in their names and the bare imports, timed: rows of the table."""
    before, rows, bare = stored(), [], 1.0
    took(door("run", "drive", "demo.toml", "--km", "3000", "--out", "run"), folder)
    for line in LINES:
        if only not in line.name and line.code != BARE:
            continue
        first = took(line, folder)
        again = median(took(line, folder) for _ in range(repeats))
        bare = again if line.code == BARE else bare
        cells = [line.name, f"{first:.2f}", f"{again:.2f}", f"{again / bare:.1f}", line.aim, line.floor]
        last = before.get(line.name, "")
        rows.append("| " + " | ".join([*cells, last, f"{again / float(last):.2f}" if last else ""]) + " |")
        print(rows[-1], flush=True)
    return rows


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
