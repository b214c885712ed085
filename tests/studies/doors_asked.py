"""Doors asked in this process: text and JSON of each, what it orders by one name for all doors, how long it took."""

from __future__ import annotations

import contextlib
import html
import io
import json
import re
import time
import warnings
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np

from scenes.command import console
from scenes.command.app import main as trueseat
from scenes.words import mountings
from sim import answers
from sim.causes import finding
from sim.causes.cures_as_read import IF_SO, ROCK
from sim.causes.decision import decide
from sim.errors import TrueseatError
from sim.files import dial_readings, reading_faults
from sim.parts.case import Limits
from sim.wear.asked import Settings
from tests.studies import corners_at_fault as population
from tests.studies import doors_benches as benches
from tests.studies.doors_benches import Bench, Table
from tests.studies.doors_tables import otherwise, parted

MOST_KEPT = 3000  # turns
DRAWS = 8  # of a forecast's band


@dataclass
class Said:
    """What one door answered: exit code, text in one line, JSON, what went to stderr."""

    door: str
    code: int
    text: str
    answer: dict[str, Any]
    err: str
    act: str = ""
    stud: int | None = None
    card: str = ""  # of `causes` with a case
    took_s: float = 0.0


@dataclass
class Found:
    """One rule broken: which, by which doors, what was said."""

    rule: str
    number: int
    said: str


@dataclass
class Tally:
    """What was asked and found, and CPU seconds, door by door."""

    asked: Counter[str] = field(default_factory=Counter)
    seconds: Counter[str] = field(default_factory=Counter)
    codes: Counter[tuple[str, int]] = field(default_factory=Counter)
    found: list[Found] = field(default_factory=list)
    #: What was claimed with so much confidence, and whether it is so by the truth.
    claims: Counter[tuple[str, bool]] = field(default_factory=Counter)


def told(words: Sequence[str]) -> tuple[int, str, str, list[str]]:
    """One command here: exit code, both streams, and what broke out of it."""
    out, err = io.StringIO(), io.StringIO()
    broke: list[str] = []
    alone = patch("scenes.command.app.allow_all_cores", lambda: None)
    with (
        alone,
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        warnings.catch_warnings(record=True) as said,
    ):
        warnings.simplefilter("always")
        try:
            code = trueseat([str(word) for word in words])
        except Exception as error:
            code, broke = 1, [f"{type(error).__name__}: {error}"]
    broke += [f"{one.category.__name__}: {one.message}" for one in said]
    return code, out.getvalue(), err.getvalue(), broke


def ask(door: str, words: Sequence[str], tally: Tally, number: int, as_json: bool = True, as_text: bool = True) -> Said:
    """Ask one door for text and for JSON, or for one of them."""
    began = time.process_time()
    code, out, err, broke = told(words if as_text else [*words, "--json"])
    answer: dict[str, Any] = json.loads(out) if not as_text and code == 0 else {}
    if as_json and as_text:
        again, record, _, more = told([*words, "--json"])
        broke += more
        if again != code:
            broke.append(f"exit {code}, with --json {again}")
        if again == 0:
            answer = json.loads(record)
    took = time.process_time() - began
    tally.asked[door] += 1
    tally.seconds[door] += took
    tally.codes[door, code] += 1
    if code not in (0, 2, 3) or (code and not err.strip()) or "Traceback" in err:
        broke.append(f"exit {code}: {err[:200]}")
    tally.found += [Found("breaks", number, f"{door}: {one}") for one in broke]
    return Said(door, code, flat(out), answer, flat(err), took_s=took)


def flat(text: str) -> str:
    """A page of the terminal as sentences in one line."""
    return re.sub(r"\s+", " ", text.replace("\xa0", " "))


def sentences(text: str) -> list[str]:
    """Sentences of a text, roughly; a colon's second half stays with its first."""
    return re.split(r"(?<=[.!;])\s+(?=[A-Z0-9▲·])|(?=▌)|(?=\d\. )", text)


@contextlib.contextmanager
def weighed_once() -> Iterator[None]:
    """Text and JSON of one table are weighed once, a turn is doubted once however many tables it stands in."""
    kept: dict[Any, Any] = {}
    real = finding.weigh

    def weigh(readings: Any, case: Any, *more: Any, **options: Any) -> Any:
        key = (case, *((one.kind, one.mount, one.studs_turned, one.state, one.dial_um, one.angle_deg.tobytes(),
                        one.value_um.tobytes()) for one in readings.traces))  # fmt: skip
        if key not in kept:
            kept.clear()
            kept[key] = real(readings, case, *more, **options)
        return kept[key]

    doubted: dict[Any, Any] = {}
    real_slips = reading_faults.slips

    def slips(one: reading_faults.Turn, *more: Any) -> Any:
        key = (one.name, one.kind, one.mount, one.dial_um, one.angle_deg.tobytes(), one.shown_um.tobytes(), more)
        if key not in doubted:
            if len(doubted) > MOST_KEPT:
                doubted.clear()
            doubted[key] = real_slips(one, *more)
        return doubted[key]

    with patch.object(finding, "weigh", weigh), patch.object(reading_faults, "slips", slips):
        yield


# What an answer orders, by one name for all doors.
THICK_DONE = "nothing for its thickness"
LEAVE, CLEANS, MOVE, RENEW, SCRAP, STAMP, HUB, READ, NEITHER, NUTS, OPEN, BEARING = (
    "leave", "clean", "move", "renew", "scrap", "stamp", "hub", "read", "neither", "nuts", "open", "bearing",
)  # fmt: skip
BY_RULE = {
    "read again": "read again", "another stud": MOVE, "clean": CLEANS, "clean again": CLEANS, "rotor's seat": CLEANS,
    "bare hub": "read hub", "thickness": "read thickness", "worn": RENEW, "finer micrometer": "read thickness",
    "hub": HUB, "finer dial": "read", "index": MOVE, "back": MOVE, "spacers": "read", "done": LEAVE,
    "at the limit": NEITHER, "thickness counts as over": RENEW, "finer gauge": OPEN, "open": OPEN,
    "second turn": "read", "bearing": BEARING,
}  # fmt: skip
BY_FINDING = {
    "clean": CLEANS, "index": MOVE, "clean, then index": CLEANS, "renew or cut the rotor": RENEW,
    "renew the rotor": RENEW,
    "hub and bearing": HUB, "retorque": "read", "read again": "read again", "leave it": LEAVE,
    "at the limit": NEITHER, "thickness counts as over": RENEW, "finer gauge": OPEN,
    "measure: another stud": MOVE,
    "measure: back to the first position": MOVE, "measure: clean and refit": CLEANS, "measure: bare hub": "read hub",
    "measure: thickness": "read thickness", "measure: thickness with a finer micrometer": "read thickness",
    "measure: mounted with a finer dial": "read", "measure: retorque and read": "read", "measure: radial": "read",
    "measure: second turn": "read", "measure: inboard": "read", "measure: other side of the axle": "read",
    "bearing": BEARING, "open": OPEN, "read the stamp": STAMP,
}  # fmt: skip
BY_CURE = {
    "read again": "read again", "leave it on": LEAVE, "clean": CLEANS, "hub and bearing": HUB, "index": MOVE,
    "shim": "shim", "cut": "cut", "replace the rotor": RENEW, "read the stamp": STAMP, "another stud": MOVE,
    "thickness": "read thickness", "bare hub": "read hub", "finer dial": "read", "at the limit": NEITHER, "part": OPEN,
    "finer gauge": OPEN, "bearing": BEARING,
    "tighten anew": "read", "second turn": "read",
    "read the rim": "read", "read the inboard face": "read", "read the axle's other side": "read",
}  # fmt: skip


def causes_alone(file: Path, bench: Bench, tally: Tally, door: str = "causes") -> Said:
    """`causes` without a case."""
    words = ["causes", file, "--limit", f"{bench.limit_um:g}"]
    said = ask(door, words, tally, bench.number, as_text=door == "causes")
    if not said.code:
        act = said.answer["act"]
        said.act, said.stud = BY_RULE[act["what"]], act["studs_turned"]
    return said


def causes_with(file: Path, case: Sequence[str], bench: Bench, tally: Tally, folder: Path) -> Said:
    """`causes` with the case, and its job card."""
    card = folder / "job_card.html"
    card.unlink(missing_ok=True)
    nothing: dict[str, Any] = {"_printed": lambda *_: [], "_pins": lambda *_: []}
    with patch.multiple("scenes.command.hand_on", **nothing):
        words = ["causes", file, "--case", *case, "--out", folder]
        said = ask("causes --case", words, tally, bench.number)
    if not said.code:
        said.act = BY_FINDING[said.answer["do"]]
        said.stud = next((one["studs_turned"] for one in said.answer["after"] if one["what"] == "indexed"), None)
        head = re.split(r"─{20,}", said.text)[1][:600]
        if "The nuts first" in head:
            said.act = NUTS
        elif "thickness comes first" in head:
            said.act = SCRAP if bench.stated else STAMP
        said.card = of_html(card.read_text(encoding="utf-8")) if card.exists() else ""
    return said


def quickly(table: Table) -> tuple[int, str, dict[str, Any]]:
    """What `causes` decides and says first of readings alone, past the command line: a third of the time.

    Returns
    -------
    exit code, what is wrong with the table, and of the JSON act and words.
    """
    try:
        read = dial_readings.parse(benches.text_of(table), "")
        decided = decide(read, Limits(mounted_runout_um=table.bench.limit_um))
    except TrueseatError as error:
        return error.exit_code, " ".join(console.fault_lines(error)), {}
    lead = mountings.lead(decided.told, decided.act, [fault.text for fault in decided.read.faults])
    words = {"next": lead, "notes": list(decided.read.notes)}
    return 0, "", {"act": answers.plain(decided.act), "words": words}


def of_html(page: str) -> str:
    """What a page says, one paragraph a line."""
    page = re.sub(r"<(style|script|svg|title).*?</\1>", "", page, flags=re.S)
    page = re.sub(r"<(?:h\d|p|li|tr|div|section|td|th)\b", r"\n<", page)
    lines = (flat(html.unescape(re.sub(r"<[^>]*>", " ", line))).strip() for line in page.split("\n"))
    return "\n".join(line for line in lines if line)


def index(files: tuple[Path, Path], case: Sequence[str], bench: Bench, tally: Tally, name: str) -> Said:
    """`index` of hub and rotor, one table or two; with the case where one is named."""
    given = [] if case else ["--limit", f"{bench.limit_um:g}"]
    if not case and bench.hub_limit_um:
        given += ["--hub-limit", f"{bench.hub_limit_um:g}"]
    words = ["index", *case, "--hub", files[0], "--rotor", files[1], *given]
    said = ask(name, words, tally, bench.number, as_text="two" not in name)
    if not said.code:
        first, *rest = said.answer["cures"]
        rocked = first["name"] == ROCK[0]  # a check by hand, which holds for what stands behind it
        first = rest[0] if rocked else first
        said.act = BY_CURE[first["name"]]
        said.stud = (said.answer["should_then_read_um"] or {}).get("studs_turned")
        only_if = [one for one in first["conditions"] if not (rocked and one == IF_SO[ROCK[0]])]
        if only_if or (said.act == LEAVE and first["enough"] is None):
            said.act = READ
        elif said.answer["rotor_goes"] and "discard" in said.answer["rotor_goes"]:
            said.act = SCRAP if bench.stated else STAMP
        if "nuts first" in first["why"]:
            said.act = NUTS
    return said


def written_otherwise(table: Table, plain: Said, folder: Path, tally: Tally) -> list[Found]:
    """The same turns in another unit, direction and sign: the same act on the same stud."""
    file = folder / f"other_{table.bench.seed}_{table.bench.number}.csv"
    file.write_text(benches.text_of(otherwise(table)), encoding="utf-8")
    other = causes_alone(file, table.bench, tally, "causes, written otherwise")
    if (plain.code, plain.act, plain.stud) == (other.code, other.act, other.stud):
        return []
    said = (
        f"{plain.code} {plain.act} {plain.stud} | {other.code} {other.act} {other.stud}: {other.text[:200]}{other.err}"
    )
    return [Found("written otherwise, another act", table.bench.number, said)]


#: In these what is to be read again stands in the sequence of the files.
IN_SEQUENCE = ("notes", "leads", "reading_faults", "cures", "studs_withheld")
#: Only the lines of one file say that the rotor came off after it was read last.
SINCE = "came off for the bare hub face since"


def in_two_files(table: Table, plain: Said, folder: Path, tally: Tally) -> list[Found]:
    """Hub and rotor in tables of their own: the same answer of `index`."""
    names = tuple(folder / f"{part}_{table.bench.seed}_{table.bench.number}.csv" for part in ("hub", "rotor"))
    for name, part in zip(names, parted(table), strict=True):
        name.write_text(benches.text_of(part), encoding="utf-8")
    other = index((names[0], names[1]), [], table.bench, tally, "index, two files")
    apart = [key for key in plain.answer if plain.answer[key] != other.answer.get(key) and key not in IN_SEQUENCE]
    if plain.code == other.code and (not apart or SINCE in plain.text):
        return []
    said = f"{plain.code} {plain.act} | {other.code} {other.act} {other.err[:200]}: {apart}"
    return [Found("in two files, another answer", table.bench.number, said)]


def remains(file: Path, case: Sequence[str], bench: Bench, tally: Tally) -> Said:
    """What a clean hub leaves of it."""
    words = ["remains", file, "--case", *case]
    said = ask("remains", words, tally, bench.number)
    ask("remains, driven", [*words, "--driven", "20000"], tally, bench.number)
    if "do" in said.answer:
        said.act = SCRAP if bench.stated else STAMP
    elif not said.code:
        act = said.answer["act"]
        for begins, name in (("Nothing is bought", THICK_DONE), ("Buy nothing yet", "read thickness"), ("Renew", RENEW),
                             ("Count it as over", RENEW), ("Cut", "cut"), ("Read the discard", STAMP)):  # fmt: skip
            said.act = name if act.startswith(begins) else said.act
        if "discard thickness" in said.answer["discard"] and "no wear to speak of" in said.answer["discard"]:
            said.act = SCRAP if bench.stated else STAMP
    return said


def drive(file: Path, case: Sequence[str], bench: Bench, tally: Tally) -> Said:
    """The road from what was read: the rotor as mounted, and as worn."""
    ask("drive, worn", ["drive", *case, "--worn", file, "--km", "5000"], tally, bench.number)
    said = ask("drive", ["drive", *case, "--mounted", file, "--km", "5000"], tally, bench.number)
    steps = said.text.partition("What to do next, in this order")[2]
    if "do" in said.answer:
        said.act = SCRAP if bench.stated else STAMP
    elif not said.code:
        head = said.text.partition("after thickness variation")[0]
        for word, name in (
            ("Leave the rotor on", LEAVE),
            ("Renew the rotor", RENEW),
            ("renew it, on a clean hub", SCRAP),
        ):
            said.act = name if word in steps else said.act
        said.act = NUTS if "Fit every nut" in steps else said.act
        if said.act == LEAVE and re.search(r"renew it|scrap|counts as over|count it as over", head):
            where = re.search(r"renew it|scrap|counts as over|count it as over", head)
            tally.found.append(
                Found("head renews, list leaves on", bench.number, head[max(where.start() - 200, 0) :][:300])
            )
    return said


def memory(file: Path, case: Sequence[str], bench: Bench, tally: Tally) -> Said:
    """What a worn rotor tells."""
    said = ask("memory", ["memory", file, "--case", *case, "--km", "20000"], tally, bench.number)
    said.act = SCRAP if not said.code and said.answer["memory"]["scrap"] else ""
    return said


def seat(case: Sequence[str], bench: Bench, tally: Tally) -> Said:
    """How the corner of the case seats."""
    said = ask("seat", ["seat", *case, "--preset", "fast"], tally, bench.number)
    said.act = LEAVE if "Leave the rotor on" in said.text else NUTS if "Fit every nut" in said.text else ""
    return said


def dearest(case: Sequence[str], bench: Bench, tally: Tally, folder: Path) -> list[Said]:
    """Doors that take no table and their time: `clamp` with a reading, `duty`, `report`."""
    read = ask("clamp", ["clamp", *case, "--reading", "60", "--by", "nuts and spacers"], tally, bench.number)
    table = ask("duty", ["duty", *case, "--no-bands", "--km", "2000"], tally, bench.number)
    words = ["report", *case, "--no-pictures", "--km", "2000", "--out", folder]
    page = ask("report", words, tally, bench.number, False)
    if not page.code:
        page.text = flat(of_html((folder / "report.html").read_text(encoding="utf-8")))
    return [read, table, page]


def chalked(table: Table, folder: Path, tally: Tally) -> Said:
    """Two sweeps of the bench as the chalk page saves them."""
    bench, lines = table.bench, []
    state = table.state if table.state == "as found" else "cleaned"
    for mount, holes in enumerate((0, 1 if bench.studs == 4 else 2), 1):
        theta = np.radians(np.arange(0.0, 360.0, 15.0))
        orders = bench.corner.orders(state, holes) + population.scatter(bench.seed, bench.number, 90 + mount)
        value = (orders @ np.exp(1j * np.outer(np.arange(orders.size), theta))).real
        on_hub = (np.degrees(theta) + holes * 360.0 / bench.studs) % 360.0
        high, low = on_hub[int(np.argmax(value))], on_hub[int(np.argmin(value))]
        tir_um = round(float(np.ptp(value)) / 10.0) * 10
        lines += [f"mounted,{mount},{holes},{high:g},{tir_um},{state}", f"mounted,{mount},{holes},{low:g},0,{state}"]
    file = folder / f"sweeps_{bench.seed}_{bench.number}.csv"
    head = f"# studs: {bench.studs}\n# sweep: high and low spot\ntrace,mount,studs_turned,angle_deg,reading_um,state\n"
    file.write_text(head + "\n".join(lines) + "\n", encoding="utf-8")
    return ask("causes, sweeps", ["causes", file, "--limit", f"{bench.limit_um:g}"], tally, bench.number)


def written(table: Table, folder: Path) -> tuple[Path, list[str]]:
    """The table and its case as files; how the case is named on the line."""
    bench = table.bench
    file = folder / f"table_{bench.seed}_{bench.number}.csv"
    file.write_text(benches.text_of(table), encoding="utf-8")
    if "\n" not in bench.case:
        return file, [bench.case]
    own = folder / f"table_{bench.seed}_{bench.number}.toml"
    own.write_text(bench.case, encoding="utf-8")
    return file, [str(own)]


@contextlib.contextmanager
def few_draws() -> Iterator[None]:
    """A forecast's band of few draws: what is said of it is the subject here, not how wide it is."""
    usual = Settings.__init__.__defaults__ or ()
    with patch.object(Settings.__init__, "__defaults__", (DRAWS, *usual[1:])):
        yield
