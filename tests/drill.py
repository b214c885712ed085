"""Fault drill: what happens to work that is killed, interrupted, out of room, shared, spoilt, or without a network.

    python -m tests.drill                 every row, five moments each; its table: tests/drill.md
    python -m tests.drill --times 1 --only cache

The bench is drilled while it makes its corner ready and while it serves; it has no result to lose but its key.

Held in every row: what was finished before is whole or replaced by what is whole, nothing half-written looks whole, no
process stays behind, the same line works afterwards with the same answer, and what went wrong is said in a line or two.
"""

from __future__ import annotations

import argparse
import contextlib
import http.client
import json
import os
import random
import re
import resource
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
TABLE = Path(__file__).with_suffix(".md")
PATIENCE_S = 900.0
LINE = "import sys; from scenes.command.door import main; sys.exit(main())"
SMALL_BYTES = 60_000  # a disk that is full after this: less than a run, a report, a film or a flexibility
NOT_KEPT = "the cache folder cannot be written: this geometry is computed again next time"
Check = Callable[[Path], str]


# ---------------------------------------------------------------- running lines


def line(*words: str) -> list[str]:
    """A command as a process of its own would be started."""
    return [sys.executable, "-c", LINE, *(free_port() if word == "PORT" else word for word in words)]


def surroundings(folder: Path, cache: Path | None = None) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("TRUESEAT")}
    return {**kept, "PYTHONPATH": str(ROOT), "TRUESEAT_CACHE": str(cache or folder / "cache"), "TMPDIR": str(folder)}


def started(command: list[str], folder: Path, **more: object) -> subprocess.Popen[str]:
    """Start a line as a session of its own, so that what it leaves behind is found; a terminal's Ctrl-C reaches it."""
    before = more.pop("before", None)
    environment = more.pop("environment", None) or surroundings(folder)

    def first() -> None:
        signal.signal(signal.SIGINT, signal.default_int_handler)  # a job in the background is born deaf to it
        if callable(before):
            before()

    return subprocess.Popen(
        command, cwd=folder, env=environment, start_new_session=True, preexec_fn=first, text=True, errors="replace",
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # type: ignore[call-overload,no-any-return]  # fmt: skip


def ended(going: subprocess.Popen[str]) -> tuple[int, str, str]:
    """Wait for a line; one that does not end is ended with all its helpers, and that it did not is told."""
    try:
        out, err = going.communicate(timeout=PATIENCE_S)
    except subprocess.TimeoutExpired:
        os.killpg(going.pid, signal.SIGKILL)
        out, err = going.communicate()
        err += f"\nno end within {PATIENCE_S:.0f} s"
    return going.returncode, out, err


def run(command: list[str], folder: Path, **more: object) -> tuple[int, str, str]:
    return ended(started(command, folder, **more))


def to_its_end(job: Job, going: subprocess.Popen[str]) -> tuple[int, str, str]:
    """Wait for a line; a bench, which serves until somebody closes it, is closed once it answers."""
    port = str(going.args[-1]) if job.name == "bench" else ""  # type: ignore[index]
    while port and going.poll() is None:
        with contextlib.suppress(OSError, http.client.HTTPException):
            asked = http.client.HTTPConnection("127.0.0.1", int(port), timeout=5.0)
            asked.request("GET", "/")
            asked.getresponse()
            os.killpg(going.pid, signal.SIGINT)
            break
        time.sleep(0.5)
    return ended(going)


def left_behind(session: int) -> list[int]:
    """Processes of a session that still live."""
    found = []
    for entry in Path("/proc").iterdir():
        if not entry.name.isdigit():
            continue
        try:
            state, *_, of = (entry / "stat").read_text().rpartition(")")[2].split()[:4]
        except OSError:
            continue
        if int(of) == session and state != "Z":
            found.append(int(entry.name))
    return found


# ---------------------------------------------------------------- what is drilled


#: Folders of one run, which no table should carry.
TEMPORARY = re.compile(rf"{re.escape(tempfile.gettempdir())}/drill-\w+/(drill-\w+/)?")


@dataclass(frozen=True)
class Job:
    """A line that computes and writes.

    ``whole`` says what is wrong with what stands in the folder: "" where it is whole or is not there.
    """

    name: str
    words: tuple[str, ...]
    whole: Check
    result: Callable[[Path], object]
    seconds: float = 0.0  # how long it takes undisturbed; measured unless given
    dear: bool = False  # doing it to its end takes minutes, or for ever: then it is only begun again
    often: bool = True  # cut off at as many moments as the others; what is made of what others make, at one


def _run_whole(folder: Path) -> str:
    """A run folder opens, or says what is wrong with it; it never opens as something else."""
    from sim import run_folder
    from sim.errors import BadInput

    if not (folder / "run" / "run.json").exists():
        return ""
    try:
        run_folder.load(folder / "run")
    except BadInput as error:
        return f"what was finished before does not open any more: {error}"
    return ""


def _page_whole(*names: str) -> Check:
    def whole(folder: Path) -> str:
        for name in names:
            page = folder / name
            if page.exists() and not page.read_text("utf-8").rstrip().endswith("</html>"):
                return f"{name} is half-written"
        return ""

    return whole


def _film_whole(folder: Path) -> str:
    from PIL import Image

    film = folder / "film.gif"
    if not film.exists():
        return ""
    with Image.open(film) as image:
        try:
            image.seek(image.n_frames - 1)
            image.load()
        except (EOFError, OSError) as error:
            return f"the film is half-written: {error}"
    return ""


def _stack_whole(folder: Path) -> str:
    answer = folder / "stack" / "stack.json"
    if answer.exists():
        json.loads(answer.read_text("utf-8"))
    for page in (folder / "stack").glob("*.npz"):
        with np.load(page) as kept:
            _ = [kept[name] for name in kept.files]
    return _page_whole("stack/stack.html")(folder)


def _lesson_whole(folder: Path) -> str:
    lesson = folder / "lesson"
    if not lesson.exists():
        return ""
    lacking = [name for name in ("slides", "plan", "quiz-key") if not (lesson / f"{name}.html").exists()]
    return f"the lesson lacks {', '.join(lacking)}" if lacking else _page_whole("lesson/slides.html")(folder)


def _cache_whole(folder: Path) -> str:
    for kept in (folder / "cache").glob("*.npz"):
        try:
            with np.load(kept) as stored:
                _ = [stored[name] for name in stored.files]
        except (OSError, ValueError, EOFError) as error:
            return f"{kept.name} is half-written: {error}"
    return ""


def _card_whole(folder: Path) -> str:
    """A job card is whole, and a prediction that stands beside it is JSON."""
    for answer in (folder / "job").glob("*.json"):
        json.loads(answer.read_text("utf-8"))
    return _page_whole(*(str(page.relative_to(folder)) for page in (folder / "job").glob("*.html")))(folder)


def _key_whole(folder: Path) -> str:
    """The key of a bench's exercises is whole, or is not there."""
    from scenes.pages.bench_tasks import KEY_FILE

    key = folder / "trainer" / KEY_FILE
    return "" if not key.exists() or key.read_text("utf-8").strip() else "the key of the exercises is empty"


def free_port() -> str:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return str(probe.getsockname()[1])


def _bytes(name: str) -> Callable[[Path], object]:
    return lambda folder: (folder / name).read_bytes() if (folder / name).exists() else None


def _none(folder: Path) -> object:
    """Nothing to compare."""
    return None


def _traces(folder: Path) -> object:
    with np.load(folder / "run" / "run.npz") as kept:
        return {name: kept[name].tobytes() for name in kept.files}


def _cards(folder: Path) -> object:
    return {card.name: card.read_bytes() for card in sorted((folder / "job").glob("*.html"))}


def _stack_answer(folder: Path) -> object:
    return json.loads((folder / "stack" / "stack.json").read_text("utf-8"))


JOBS = (
    Job("seat, cache empty", ("seat", "rear_solid_300", "--preset", "fast", "--json"), _cache_whole, _none),
    Job("drive", ("drive", "demo.toml", "--preset", "fast", "--km", "20000", "--out", "run"), _run_whole, _traces),
    Job("report", ("report", "old", "--no-pictures", "--sheet", "--out", "."),
        _page_whole("report.html", "fitting-sheet.html"), _bytes("fitting-sheet.html")),
    Job("chalk", ("chalk", "-o", "page.html"), _page_whole("page.html"), _bytes("page.html")),
    Job("causes", ("causes", "read.csv", "--case", "demo.toml", "--out", "job"), _card_whole, _cards),
    Job("foil", ("foil", "demo.toml", "--out", "foil"), _page_whole("foil/foil-sheet.html"), _none, often=False),
    Job("film", ("film", "spigot.toml", "--story", "spigot", "--draft", "-o", "film.gif"),
        _film_whole, _none, 30.0, True),
    # The port is put in for each start; a bench ends when it is told to.
    Job("bench", ("bench", "demo.toml", "--folder", "trainer", "--port", "PORT"), _key_whole, _none, 20.0, True),
    Job("stack", ("stack", "few.toml", "--workers", "2", "--out", "stack"), _stack_whole, _stack_answer),
    Job("lesson", ("lesson", "demo.toml", "-o", "lesson", "--no-pdf"), _lesson_whole, _none, 40.0, True, False),
    Job("handout", ("handout", "demo.toml", "-o", "handout.html", "--preset", "fast"), _page_whole("handout.html"),
        _none, 40.0, True, False),
    *(Job(f"film, {story}", ("film", case, "--story", story, "--draft", "-o", "film.gif"),
          _film_whole, _none, 60.0, True, False)
      for story, case in (("where is the fault", "demo.toml"), ("a speck at the hub", "demo.toml"),
                          ("from tap to judder", "front_dirty"), ("which hole", "demo.toml"))),
)  # fmt: skip


def laid(folder: Path) -> None:
    """Lay out what the lines read."""
    import demo_geometry

    (folder / "demo.toml").write_text(demo_geometry.text("demo_dirty"), "utf-8")
    (folder / "spigot.toml").write_text(demo_geometry.text("spigot_jammed"), "utf-8")
    read = demo_geometry.file("demo_dirty").with_name("bench_1_as_found.csv")
    (folder / "read.csv").write_text(read.read_text("utf-8"), "utf-8")
    population = demo_geometry.population_file("population_rear").read_text("utf-8")
    for usual, few in (("samples = 10000", "samples = 512"), ("as_driven = true", "as_driven = false")):
        assert usual in population
        population = population.replace(usual, few)
    (folder / "few.toml").write_text(population, "utf-8")


@dataclass
class Row:
    """One row of the table."""

    what: str
    times: int = 0
    wrong: list[str] = field(default_factory=list)
    said: set[str] = field(default_factory=set)

    def hold(self, true: object, wrong: str) -> None:
        if not true:
            self.wrong.append(wrong)

    def words(self, err: str) -> None:
        for told in err.strip().splitlines()[-1:]:
            self.said.add(TEMPORARY.sub("", told.replace(str(Path.cwd()), "")).strip()[:110])


# ---------------------------------------------------------------- rows


def cut_off(job: Job, sent: signal.Signals, times: int, rng: random.Random, ground: Path) -> Row:
    """Kill or interrupt a line at random moments."""
    row = Row(f"{sent.name} at a random moment of {job.name}")
    for _ in range(times):
        with folder_like(ground) as folder:
            if job.name.startswith("seat"):
                shutil.rmtree(folder / "cache")
            going = started(line(*job.words), folder)
            time.sleep(rng.uniform(0.02, 1.0) * job.seconds)
            if sent is signal.SIGINT:
                os.killpg(going.pid, sent)  # a terminal sends it to all
            else:
                going.send_signal(sent)
            code, out, err = ended(going)
            row.times += 1
            # Python itself is still starting: nothing of ours can answer.
            early = sent is signal.SIGINT and code in (1, -2) and "scenes/command/door.py" not in err
            if (code == 0 and job.name != "bench") or early:
                continue
            if job.name == "bench" and sent is signal.SIGINT and code == 0:  # it served: closed, as it says
                row.hold("The bench is closed." in out, f"no word: {out[-200:]} {err[-200:]}")
                row.said.add("The bench is closed.")
                row.hold(not left_behind(going.pid), "a process stays behind")
                continue
            row.hold(code == (130 if sent is signal.SIGINT else -sent), f"ended with {code}: {err[-300:]}")
            if sent is signal.SIGINT:
                row.hold("Traceback" not in err, f"a traceback: {err[-400:]}")
                row.hold("interrupted" in err, f"no word: {err[-200:]}")
                row.words(err)
            time.sleep(2.0)
            row.hold(not left_behind(going.pid), "a process stays behind")
            row.hold(not (wrong := job.whole(folder)), wrong)
            if job.dear:
                _begun_again(job, folder, row)
                continue
            again, _, err = run(line(*job.words), folder)
            row.hold(again == 0, f"the same line afterwards ends with {again}: {err[-300:]}")
            row.hold(again or job.result(folder) == job.result(ground), "another answer afterwards")
            litter = [one.name for one in folder.rglob("*.part")]
            row.hold(sent is not signal.SIGINT or not litter, f"left lying: {litter}")
    return row


def _begun_again(job: Job, folder: Path, row: Row) -> None:
    """The same line is taken afterwards: it is at work after a while, and not refused."""
    going = started(line(*job.words), folder)
    time.sleep(6.0)
    row.hold(going.poll() in (None, 0), f"not taken afterwards: {going.poll()}")
    if going.poll() is None:
        os.killpg(going.pid, signal.SIGKILL)
    ended(going)


def full_disk(job: Job, ground: Path) -> Row:
    """No file may grow beyond a size: what a full disk or a quota does to a writer."""
    row = Row(f"no room on the disk: {job.name}", times=1)
    with folder_like(ground) as folder:
        if job.name.startswith("seat"):
            shutil.rmtree(folder / "cache")

        def small() -> None:
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (SMALL_BYTES, SMALL_BYTES))

        environment = {**surroundings(folder), "NUMBA_CACHE_DIR": os.environ.get("NUMBA_CACHE_DIR", "")}
        going = started(line(*job.words), folder, before=small, environment=environment)
        code, out, err = to_its_end(job, going)
        row.hold(not left_behind(going.pid), "a process stays behind")
        row.hold(code in (0, 2), f"ended with {code}: {err[-300:]}")
        row.hold("Traceback" not in err, f"a traceback: {err[-400:]}")
        row.hold(code == 0 or "cannot" in err, f"no word: {err[-200:]}")
        row.hold(not (wrong := job.whole(folder)), wrong)
        row.hold(not list(folder.rglob("*.part")), "left lying: .part")
        row.words(NOT_KEPT if NOT_KEPT in out else err)
    return row


def unwritable(job: Job, ground: Path) -> Row:
    """Results asked for where nobody may write; the kernel's own folder refuses root too."""
    row = Row(f"a folder that takes nothing: {job.name}", times=1)
    refused = Path("/proc/self")
    folders, files = (
        ("run", "stack", "lesson", "trainer", "job", "foil", "."),
        ("film.gif", "handout.html", "page.html"),
    )
    command, *words = job.words
    words = [str(refused / "x") if word in folders else word for word in words]
    words = [command, *(str(refused / word) if word in files else word for word in words)]
    with folder_like(ground) as folder:
        begun = time.monotonic()
        environment = surroundings(folder, refused / "cache" if job.name.startswith("seat") else None)
        code, out, err = run(line(*words), folder, environment=environment)
        if job.name.startswith("seat"):
            row.hold(code == 0 and NOT_KEPT in out, f"{code}: {out[-200:]} {err[-200:]}")
            row.said.add(NOT_KEPT)
            return row
        row.hold(code == 2, f"ended with {code}: {err[-300:]}")
        row.hold(err.startswith("trueseat:") and len(err.splitlines()) == 1, f"not one clear line: {err[-300:]}")
        row.hold(time.monotonic() - begun < 30.0 + job.seconds, "computed before it looked")
        row.words(err)
    return row


def two_at_once(job: Job, ground: Path) -> Row:
    """Two processes on one cache and one output."""
    row = Row(f"two at once on one cache and one output: {job.name}", times=1)
    with folder_like(ground) as folder:
        if job.name.startswith("seat"):
            shutil.rmtree(folder / "cache")
        both = [started(line(*job.words), folder) for _ in range(2)]
        answers = [to_its_end(job, one) for one in both]
        for code, _, err in answers:
            said = code in (0, 2) and "Traceback" not in err
            row.hold(said, f"ended with {code}: {err[-300:]}")
            if code:
                row.words(err)
        row.hold(any(code == 0 for code, _, _ in answers), "neither finished")
        row.hold(not (wrong := job.whole(folder)), wrong)
        row.hold(job.result(folder) == job.result(ground), "another answer")
        if job.name.startswith("seat"):
            row.hold(answers[0][1] == answers[1][1], "two answers")
    return row


def _taken_out(answer: object) -> list[str]:
    """Take what is said of damage out of an answer, wherever it stands."""
    found = []
    if isinstance(answer, dict):
        for name, value in answer.items():
            if name == "warnings":
                found += [one for one in value if "damaged" in one]
                answer[name] = [one for one in value if "damaged" not in one]
            else:
                found += _taken_out(value)
    return found


def spoilt_cache(ground: Path) -> Iterator[Row]:
    """Every kept file cut short, changed in the middle, emptied, or of another version."""
    ways: dict[str, Callable[[bytes], bytes]] = {
        "cut short": lambda raw: raw[: len(raw) // 2],
        "changed in the middle": lambda raw: raw[: len(raw) // 2] + b"\xff\x00\xff" + raw[len(raw) // 2 + 3 :],
        "emptied": lambda raw: b"",
        "no archive": lambda raw: b"PK\x03\x04 and nothing that belongs to it",
    }
    words = line("seat", "rear_solid_300", "--preset", "fast", "--json")
    for name, way in ways.items():
        row = Row(f"kept flexibilities {name}", times=1)
        with folder_like(ground) as folder:
            _, whole, _ = run(words, folder)
            for kept in (folder / "cache").glob("*.npz"):
                kept.write_bytes(way(kept.read_bytes()))
            code, out, err = run(words, folder)
            row.hold(code == 0, f"ended with {code}: {err[-300:]}")
            before, after = json.loads(whole or "{}"), json.loads(out or "{}")
            notes = _taken_out(after)
            row.hold(before == after, "another answer")
            row.hold(notes, "not said")
            row.said.update(notes[:1])
        yield row


def spoilt_runs(ground: Path) -> Iterator[Row]:
    """Run folders that are damaged, of another version, of another run, or lack a file."""

    def change(folder: Path, how: str) -> None:
        document, packed = folder / "old" / "run.json", folder / "old" / "run.npz"
        if how == "of an older form":
            document.write_text(
                re.sub(r'"version": \d+', '"version": 0', document.read_text("utf-8"), count=1), "utf-8"
            )
        elif how == "of a form to come":
            document.write_text(
                re.sub(r'"version": \d+', '"version": 99', document.read_text("utf-8"), count=1), "utf-8"
            )
        elif how == "with arrays cut short":
            packed.write_bytes(packed.read_bytes()[:-2000])
        elif how == "with a document cut short":
            document.write_text(document.read_text("utf-8")[:-200], "utf-8")
        elif how == "with arrays of another run":
            packed.write_bytes(packed.read_bytes() + b"x")
        elif how == "without its arrays":
            packed.unlink()

    for how in (
        "of an older form", "of a form to come", "with arrays cut short", "with a document cut short",
        "with arrays of another run", "without its arrays",
    ):  # fmt: skip
        row = Row(f"a run folder {how}", times=1)
        with folder_like(ground) as folder:
            change(folder, how)
            code, _, err = run(line("report", "old", "--no-pictures", "--out", "."), folder)
            row.hold(code == 2 and len(err.splitlines()) == 1, f"ended with {code}: {err[-300:]}")
            row.words(err)
        yield row


def clocks(ground: Path) -> Iterator[Row]:
    """Files that are younger than now, or older than archives can say: a clock that was put back."""
    for name, when in (("in the year 2099", 4_070_908_800), ("in the year 1971", 40_000_000)):
        row = Row(f"files dated {name}", times=1)
        with folder_like(ground) as folder:
            for path in folder.rglob("*"):
                os.utime(path, (when, when))
            for words in (
                ("seat", "rear_solid_300", "--preset", "fast", "--out", "run"),
                ("report", "old", "--no-pictures"),
            ):
                code, _, err = run(line(*words), folder)
                row.hold(code == 0, f"{words[0]} ended with {code}: {err[-300:]}")
            row.hold(not (wrong := _run_whole(folder)), wrong)
        yield row


def no_network(ground: Path) -> Row:
    """Without any network: in a namespace of its own where the kernel allows it, else with sockets that fail."""
    row = Row("no network at all: seat, report, chalk", times=1)
    alone = subprocess.run(["unshare", "-rn", "true"], check=False, capture_output=True).returncode == 0
    closed = "import socket\ndef no(*_, **__): raise OSError('no network')\nsocket.socket.connect = no\n"
    with folder_like(ground) as folder:
        for words in (("seat", "demo.toml"), ("report", "old", "--no-pictures"), ("chalk", "-o", "page.html")):
            command = ["unshare", "-rn", *line(*words)] if alone else line(*words)
            if not alone:
                command[2] = closed + command[2].replace("; ", "\n")
            code, _, err = run(command, folder)
            row.hold(code == 0, f"{words[0]} ended with {code}: {err[-300:]}")
        row.hold(
            not re.search(r"(src|href)=.?https?:", (folder / "page.html").read_text("utf-8")), "something is fetched"
        )
    row.said.add("in a network namespace without interfaces" if alone else "sockets that cannot connect")
    return row


# ---------------------------------------------------------------- the whole


class folder_like:
    """A copy of the ground: inputs, a run that was finished before, a warm cache."""

    def __init__(self, ground: Path) -> None:
        self.ground = ground

    def __enter__(self) -> Path:
        self.path = Path(tempfile.mkdtemp(prefix="drill-", dir=self.ground.parent))
        for name in ("demo.toml", "spigot.toml", "few.toml", "read.csv"):
            shutil.copy(self.ground / name, self.path)
        shutil.copytree(self.ground / "cache", self.path / "cache")
        for name in ("old", "run"):
            shutil.copytree(self.ground / "old", self.path / name)
        return self.path

    def __exit__(self, *_: object) -> None:
        shutil.rmtree(self.path, ignore_errors=True)


def measured(job: Job, ground: Path) -> Job:
    """The job done undisturbed on the ground, timed."""
    begun = time.monotonic()
    code, _, err = run(line(*job.words), ground)
    assert code == 0, f"{job.name} does not work undisturbed: {err}"
    return replace(job, seconds=time.monotonic() - begun)


def rows(ground: Path, times: int, only: str, seed: int, shared: bool = False) -> Iterator[Row]:
    rng = random.Random(seed)
    code, _, err = run(line("drive", "demo.toml", "--preset", "fast", "--km", "2000", "--out", "old"), ground)
    assert code == 0, err
    chosen = [job for job in JOBS if only in job.name or only == ""]
    jobs = [job if job.seconds else measured(job, ground) for job in chosen]
    for job in jobs:
        for sent in () if shared else (signal.SIGKILL, signal.SIGINT):
            yield cut_off(job, sent, times if job.often else 1, rng, ground)
        yield full_disk(job, ground)
        yield unwritable(job, ground)
        yield two_at_once(job, ground)
    if only == "" or only in "spoilt clock network":
        yield from spoilt_cache(ground)
        yield from spoilt_runs(ground)
        yield from clocks(ground)
        yield no_network(ground)


def main(words: list[str]) -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.drill", description="Fault drill.")
    asked.add_argument("--times", type=int, default=5, help="random moments a row")
    asked.add_argument("--only", default="", help="rows of one job, by a part of its name; spoilt for files")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--keep", action="store_true", help="write the table")
    asked.add_argument("--no-kills", action="store_true", help="only disks and folders, and two at once")
    options = asked.parse_args(words)
    found: list[Row] = []
    with tempfile.TemporaryDirectory(prefix="drill-") as top:
        ground = Path(top) / "ground"
        (ground / "cache").mkdir(parents=True)
        laid(ground)
        for row in rows(ground, options.times, options.only, options.seed, options.no_kills):
            found.append(row)
            print(f"{row.what}: {row.times} times, {len(row.wrong)} wrong; {'; '.join(sorted(row.said))}", flush=True)
            for wrong in row.wrong:
                print(f"    WRONG {wrong}", flush=True)
            if options.keep:  # after every row: a long drill that is ended leaves what it has
                keep(found)
    return 1 if any(row.wrong for row in found) else 0


HEAD = """# Fault drill

`python -m tests.drill --keep`. Wrong is: a process that stays behind, something half-written that looks whole,
something finished that is lost, a traceback, no word, another answer from the same line afterwards.

| what | times | wrong | what was said |
|---|---|---|---|
"""


def keep(found: list[Row]) -> None:
    """Write the table; rows that were not drilled this time stay."""
    old = TABLE.read_text("utf-8").splitlines() if TABLE.exists() else []
    fresh = {
        row.what: f"| {row.what} | {row.times} | {len(row.wrong)} | {'; '.join(sorted(row.said))[:160]} |"
        for row in found
    }
    stays = [one for one in old if one.startswith("| ") and one.split(" | ")[0][2:] not in {*fresh, "what"}]
    TABLE.write_text(HEAD + "\n".join([*stays, *fresh.values()]) + "\n", "utf-8")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
