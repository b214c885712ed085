"""Installing as a stranger does: wheel and sdist made and looked into, put into clean environments, tried there.

    python -m tests.install                       wheel, sdist, numbers only, every Python of this machine
    python -m tests.install --whole               all libraries too (1.4 GB), wheel and editable
    python -m tests.install --debian stable oldstable     in bare Debian, by debootstrap; needs root and a mirror
    python -m tests.install --pythons --whole --debian stable     there with every library as well

What is tried: `python -m sim` from a case to JSON with none of the drawing libraries there; `trueseat` with all of
them; in bare Debian without GL, encoder or browser. Its table: tests/install.md (`--keep`).
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
import time
import tomllib
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
TABLE = Path(__file__).with_suffix(".md")
# What `python -m sim` stands on; the rest draws, prints, films or reads a command line.
NUMBERS_ONLY = ("numpy", "scipy", "scikit-fem", "threadpoolctl", "numba", "pydantic", "cattrs")
DRAWING = (
    "matplotlib",
    "pyvista",
    "vtk",
    "trimesh",
    "manifold3d",
    "jinja2",
    "rich",
    "cyclopts",
    "imageio_ffmpeg",
    "PIL",
)
PYTHONS = ("3.11", "3.12", "3.13", "3.14")
# In the wheel beside the modules: read at run time.
MUST_HOLD = (
    "demo_geometry/demo_dirty.toml", "demo_geometry/chalk.html", "demo_geometry/population_rear.toml",
    "demo_geometry/bench_1_as_found.csv", "scenes/pages/templates/report.html", "scenes/pages/templates/chalk.js",
    "scenes/pages/templates/handout.html", "scenes/pages/templates/viewer.js", "sim/py.typed", "sim/__main__.py",
)  # fmt: skip
MUST_NOT_HOLD = ("tests/", ".venv", "__pycache__", ".git", ".png.part")


@dataclass(frozen=True)
class Tried:
    """One way to install, and what came of it."""

    way: str
    answer: str
    seconds: float
    wrong: str = ""


def done(command: list[str], cwd: Path, **more: str) -> subprocess.CompletedProcess[str]:
    """Run a command away from this checkout, so that only what was installed is found."""
    kept = {
        name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV")
    }
    environment = {**kept, "TRUESEAT_CACHE": str(cwd / "cache"), **more}
    return subprocess.run(
        command, cwd=cwd, env=environment, capture_output=True, text=True, errors="replace", check=False
    )


def must(command: list[str], cwd: Path) -> str:
    found = done(command, cwd)
    if found.returncode:
        raise RuntimeError(f"{' '.join(command[-4:])}: {found.stderr[-600:]}")
    return found.stdout


def built(folder: Path) -> tuple[Path, Path]:
    """Wheel and sdist of what git knows, made in a folder of their own."""
    tree = folder / "tree"
    tree.mkdir()
    names = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True).stdout.split(b"\0")
    for name in filter(None, names):
        target = tree / os.fsdecode(name)
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / os.fsdecode(name), target)
    python = environment(folder / "builder", sys.executable)
    must([python, "-m", "pip", "install", "-q", "build"], folder)
    must([python, "-m", "build", "-q", "--outdir", str(folder / "dist"), str(tree)], folder)
    (wheel,), (sdist,) = (folder / "dist").glob("*.whl"), (folder / "dist").glob("*.tar.gz")
    return wheel, sdist


def environment(folder: Path, python: str) -> str:
    """A clean virtual environment; the path of its Python."""
    must([python, "-m", "venv", str(folder)], folder.parent)
    return str(folder / ("Scripts" if os.name == "nt" else "bin") / "python")


def python_of(version: str) -> str | None:
    """A Python of this version that runs here: on the path, or beside others where a version manager keeps them."""
    kept = (Path.home() / ".pyenv" / "versions").glob(f"{version}.*/bin/python")
    for found in (shutil.which(f"python{version}"), *(str(path) for path in sorted(kept))):
        if found and done([found, "-c", "pass"], Path(found).parent).returncode == 0:
            return found
    return None


def lacking(wheel: Path, sdist: Path) -> list[str]:
    """What the packages should hold and do not, and what they hold and should not."""
    with zipfile.ZipFile(wheel) as packed:
        inside = packed.namelist()
    with tarfile.open(sdist) as packed:
        beside = [name.partition("/")[2] for name in packed.getnames()]
    wrong = [f"wheel lacks {name}" for name in MUST_HOLD if name not in inside]
    wrong += [
        f"sdist lacks {name}" for name in (*MUST_HOLD, "README.md", "LICENSE", "pyproject.toml") if name not in beside
    ]
    wrong += [f"wheel holds {name}" for name in inside if any(part in name for part in MUST_NOT_HOLD)]
    known = subprocess.run(
        ["git", "ls-files", "sim", "scenes", "demo_geometry"], cwd=ROOT, capture_output=True, text=True
    )
    return wrong + [f"wheel lacks {name}" for name in known.stdout.split("\n") if name and name not in inside]


CASE = "[hub]\nface_runout_um = 12.0\n\n[[debris]]\nangle_deg = 36.0\n"


def numbers_only(wheel: Path, folder: Path, python: str) -> Tried:
    """Only what computes is installed; `python -m sim` goes from a case to numbers, and nothing asks for a renderer."""
    begun = time.monotonic()
    at = environment(folder, python)
    must([at, "-m", "pip", "install", "-q", "-c", str(ROOT / "tests" / "constraints.txt"), *NUMBERS_ONLY], folder)
    must([at, "-m", "pip", "install", "-q", "--no-deps", str(wheel)], folder)
    (folder / "case.toml").write_text(CASE, "utf-8")
    there = must(
        [at, "-c", f"import importlib.util as u; print([n for n in {DRAWING} if u.find_spec(n)])"], folder
    ).strip()
    wrong = [] if there == "[]" else [f"drawing libraries are there: {there}"]
    for words in (
        ["check", "case.toml"],
        ["seat", "case.toml", "--preset", "fast"],
        ["drive", "case.toml", "--preset", "fast", "--km", "3000", "--out", "run"],
        ["index", "case.toml"],
    ):
        found = done([at, "-m", "sim", *words, "--json"], folder)
        if found.returncode or "Traceback" in found.stderr:
            wrong.append(f"python -m sim {words[0]} ends with {found.returncode}: {found.stderr[-300:]}")
    version = must([at, "-c", "import platform; print(platform.python_version())"], folder).strip()
    answer = "check, seat, drive, index answer as JSON" if not wrong else ""
    return Tried(f"wheel, numbers only, Python {version}", answer, time.monotonic() - begun, "; ".join(wrong))


def whole(what: list[str], way: str, folder: Path, python: str) -> Tried:
    """With every library: the command's own door, a report and the demo without its film."""
    begun = time.monotonic()
    at = environment(folder, python)
    must([at, "-m", "pip", "install", "-q", "-c", str(ROOT / "tests" / "constraints.txt"), *what], folder)
    trueseat = str(Path(at).with_name("trueseat"))
    wrong = []
    for words in (
        ["--version"],
        ["new", "case", "mine.toml"],
        ["check", "mine.toml"],
        ["seat", "mine.toml"],
        ["report", "mine.toml", "--no-pictures", "--km", "3000"],
        ["demo", "--no-film", "--out", "demo"],
    ):
        found = done([trueseat, *words], folder)
        if found.returncode or "Traceback" in found.stderr:
            wrong.append(f"trueseat {words[0]} ends with {found.returncode}: {found.stderr[-300:]}")
    return Tried(
        way, "version, new, check, seat, report, demo" if not wrong else "", time.monotonic() - begun, "; ".join(wrong)
    )


DEBIAN = {"stable": "trixie", "oldstable": "bookworm", "testing": "testing"}  # the newest Python


NUMBERS = (
    "v/bin/pip install -q -c constraints.txt " + " ".join(NUMBERS_ONLY) + "; v/bin/pip install -q --no-deps {wheel}; "
    "v/bin/python -m sim seat case.toml --preset fast --json > seat.json; "
    "v/bin/python -m sim drive case.toml --preset fast --km 3000 --json > drive.json"
)
# Without GL a report has no stills and a still is refused in a line that says what to install; neither breaks.
EVERYTHING = (
    "v/bin/pip install -q -c constraints.txt {wheel}; v/bin/trueseat seat case.toml > seat.txt; "
    "v/bin/trueseat report case.toml --km 3000 > report.txt; test -s report.html; "
    "v/bin/trueseat demo --no-film --out demo > demo.txt; "
    "code=0; v/bin/trueseat picture case.toml -o p.png > said.txt 2>&1 || code=$?; "
    "test $code = 4 && grep -q apt-get said.txt || {{ cat said.txt >&2; exit 1; }}"
)


def bare_debian(suite: str, wheel: Path, folder: Path, everything: bool = False) -> Tried:
    """A bare Debian of its own, Python from Debian, no GL, encoder or browser: numbers only, or every library."""
    begun = time.monotonic()
    way = f"bare Debian {suite} ({DEBIAN.get(suite, suite)}){', every library' if everything else ''}"
    if shutil.which("debootstrap") is None or (os.name == "posix" and os.geteuid() != 0):
        return Tried(way, "", 0.0, "not tried: needs root and `apt-get install debootstrap`")
    root = folder / f"{suite}{'-everything' if everything else ''}"
    command = [
        "debootstrap",
        "--variant=minbase",
        "--include=python3,python3-venv,ca-certificates",
        DEBIAN[suite],
        str(root),
    ]
    found = done([*command, *filter(None, [os.environ.get("DEBIAN_MIRROR", "")])], folder)
    if found.returncode:
        return Tried(way, "", time.monotonic() - begun, f"not tried: debootstrap ends with {found.returncode}: "
                     f"{(found.stderr or found.stdout)[-200:]}")  # fmt: skip
    shutil.copy(wheel, root / "root")
    shutil.copy(ROOT / "tests" / "constraints.txt", root / "root")
    (root / "root" / "case.toml").write_text(CASE, "utf-8")
    # How this machine reaches its packages holds inside too.
    settings = (
        "/etc/pip.conf",
        "/etc/resolv.conf",
        str(Path.home() / ".config/pip/pip.conf"),
        os.environ.get("PIP_CERT"),
    )
    for name in filter(None, settings):
        if Path(name).is_file():
            target = root / name.lstrip("/")
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(name, target)
    steps = (EVERYTHING if everything else NUMBERS).format(wheel=wheel.name)
    script = f"set -e; cd /root; python3 -m venv v; {steps}; v/bin/python --version"
    kept = {name: value for name, value in os.environ.items() if name.startswith(("PIP_", "http", "HTTP", "no_proxy"))}
    inside = subprocess.run(["chroot", str(root), "env", "-i", "PATH=/usr/bin:/bin", "HOME=/root", "LANG=C.UTF-8",
                             *(f"{name}={value}" for name, value in kept.items()), "sh", "-c", script],
                            capture_output=True, text=True, errors="replace", check=False)  # fmt: skip
    wrong = "" if inside.returncode == 0 else f"ends with {inside.returncode}: {inside.stderr[-400:]}"
    what = "seat, report, demo answer, a still is refused in a line" if everything else "seat and drive answer"
    answer = f"{what}, {inside.stdout.strip()}" if not wrong else ""
    return Tried(way, answer, time.monotonic() - begun, wrong)


def ways(options: argparse.Namespace, folder: Path) -> Iterator[Tried]:
    begun = time.monotonic()
    wheel, sdist = built(folder)
    wrong = lacking(wheel, sdist)
    sizes = f"{wheel.stat().st_size / 1e6:.1f} and {sdist.stat().st_size / 1e6:.1f} MB"
    yield Tried("wheel and sdist made, and looked into", sizes, time.monotonic() - begun, "; ".join(wrong[:5]))
    for version in options.pythons:
        python = python_of(version)
        if python is None:
            yield Tried(f"wheel, numbers only, Python {version}", "", 0.0, "not tried: this Python is not here")
        else:
            yield numbers_only(wheel, folder / f"n{version}", python)
    if options.whole:
        yield whole([str(wheel)], "wheel, every library", folder / "whole", sys.executable)
        yield whole(["-e", str(folder / "tree")], "editable, every library", folder / "editable", sys.executable)
    for suite in options.debian:
        yield bare_debian(suite, wheel, folder)
        if options.whole:
            yield bare_debian(suite, wheel, folder, everything=True)


def keep(tried: Tried) -> None:
    """Put a row into the table, in place of an older one of the same way."""
    asked = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["dependencies"]
    head = (
        "# Installing\n\n`python -m tests.install --keep`: away from the checkout, in environments made for it. The "
        f"whole program asks for {len(asked)} libraries, `python -m sim` for {len(NUMBERS_ONLY)} of them. Times were "
        "taken on a busy machine.\n\n"
        "| way | answer | time [s] | wrong, or why not tried | on |\n|---|---|---|---|---|\n"
    )
    old = TABLE.read_text("utf-8").splitlines() if TABLE.exists() else []
    rows = [one for one in old if one.startswith("| ") and not one.startswith(("| way |", f"| {tried.way} |"))]
    rows.append(
        f"| {tried.way} | {tried.answer} | {tried.seconds:.0f} | {' '.join(tried.wrong.split())} | {date.today()} |"
    )
    TABLE.write_text(head + "\n".join(rows) + "\n", "utf-8")


def main(words: list[str]) -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.install", description="Installing, tried.")
    asked.add_argument("--pythons", nargs="*", default=PYTHONS, help="versions of Python to try")
    asked.add_argument("--whole", action="store_true", help="every library as well")
    asked.add_argument("--debian", nargs="*", default=[], choices=sorted(DEBIAN), help="in bare Debian")
    asked.add_argument("--keep", action="store_true", help="write the table")
    options = asked.parse_args(words)
    found = []
    with tempfile.TemporaryDirectory(prefix="install-") as folder:
        for tried in ways(options, Path(folder)):
            found.append(tried)
            print(f"{tried.way}: {tried.wrong or tried.answer} ({tried.seconds:.0f} s)", flush=True)
            if options.keep:
                keep(tried)
    return 1 if any(one.wrong and not one.wrong.startswith("not tried") for one in found) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
