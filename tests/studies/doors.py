"""Every door asked about the same lawful tables: whether one of them says what is unsafe, or two order opposite acts.

``python -m tests.studies.doors [TABLES] [SEED] [--folder FOLDER] [--walks WALKS] [--dear EVERY]`` draws benches
(`tests.studies.doors_benches`), asks `causes` without and with the case, `index`, and on every so many-th also
`remains`, `drive --mounted`, `memory`, `seat`, `clamp`, `duty`, `report` and chalked sweeps, in this process; then it
obeys what `causes` orders, without and with the case, against the truth. What breaks a rule is printed with its table,
which stays in the folder; how many were asked and what was found goes into ``doors.md`` beside this file.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import re
import sys
import tempfile
import time
import warnings
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np

from scenes.command.app import main as trueseat
from sim.causes import finding
from sim.parts.case import Limits
from sim.parts.thickness import MEAN_OF
from sim.wear.forecast import Settings
from tests.studies import corners_at_fault as population
from tests.studies import doors_benches as benches
from tests.studies.corners_at_fault import CLEAN, Step
from tests.studies.doors_benches import Bench, Table

SEED, CORNERS_SEED, CORNERS = 5, 307, 120
DRAWS = 8  # of a forecast's band
#: Beyond any ± of a reading: what a rule is held against. [um], [mm]
SURE_THICK_MM, SURE_DTV_UM, SURE_HUB_UM = 0.012, 9.0, 12.0
#: Nothing that is said of a turn hides that many micrometres of the mounted runout.
SURE_RUNOUT_UM = 14.0
#: What stands under it in the note is written by hand and stays.
BY_HAND = "\n# Found by hand\n"
MOST_ACTS = 18  # near a limit each stud has its turns
ROUNDED = 0.51  # what a whole figure may differ from what it was rounded from
LEFT = re.compile(
    r"[Ll]eave (?:it|the rotor) (?:there|on|where it is)|[Rr]unout is done|may stay on|stays on|left on as it is"
)
CUT = re.compile(r"\bcut (?:it|the rotor|on the car)|\bor cut\b|\brenewed or cut\b")
#: A sentence that says under which condition it holds, or forbids.
ONLY_IF = re.compile(
    r"\b(?:[Oo]ver it|[Ww]here|[Uu]nless|[Ii]f|[Oo]nly|[Nn]o rotor|[Nn]othing is|[Bb]efore|[Nn]either|[Nn]ever|under "
    r"that limit|[Uu]ntil|not yet|keeps no|is not)\b"
)


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


# Asking.
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


def ask(door: str, words: Sequence[str], tally: Tally, number: int, as_json: bool = True) -> Said:
    """Ask one door for text, and for JSON too."""
    began = time.process_time()
    code, out, err, broke = told(words)
    answer: dict[str, Any] = {}
    if as_json:
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
    """Text and JSON of one table are weighed once."""
    kept: dict[Any, Any] = {}
    real = finding.weigh

    def weigh(readings: Any, case: Any, *more: Any, **options: Any) -> Any:
        key = (case, *((one.kind, one.mount, one.state, one.value_um.tobytes()) for one in readings.traces))
        if key not in kept:
            kept.clear()
            kept[key] = real(readings, case, *more, **options)
        return kept[key]

    with patch.object(finding, "weigh", weigh):
        yield


# What an answer orders, by one name for all doors.
THICK_DONE = "nothing for its thickness"
LEAVE, CLEANS, MOVE, RENEW, SCRAP, STAMP, HUB, READ, NEITHER, NUTS, OPEN = (
    "leave", "clean", "move", "renew", "scrap", "stamp", "hub", "read", "neither", "nuts", "open",
)  # fmt: skip
BY_RULE = {
    "read again": "read again", "another stud": MOVE, "clean": CLEANS, "clean again": CLEANS, "rotor's seat": CLEANS,
    "bare hub": "read hub", "thickness": "read thickness", "worn": RENEW, "finer micrometer": "read thickness",
    "hub": HUB, "finer dial": "read", "index": MOVE, "back": MOVE, "spacers": "read", "done": LEAVE,
    "at the limit": NEITHER, "thickness counts as over": RENEW, "open": OPEN,
}  # fmt: skip
BY_FINDING = {
    "clean": CLEANS, "index": MOVE, "clean, then index": CLEANS, "renew or cut the rotor": RENEW,
    "renew the rotor": RENEW,
    "hub and bearing": HUB, "retorque": "read", "read again": "read again", "leave it": LEAVE,
    "at the limit": NEITHER, "thickness counts as over": RENEW, "measure: another stud": MOVE,
    "measure: back to the first position": MOVE, "measure: clean and refit": CLEANS, "measure: bare hub": "read hub",
    "measure: thickness": "read thickness", "measure: thickness with a finer micrometer": "read thickness",
    "measure: mounted with a finer dial": "read", "measure: retorque and read": "read", "measure: radial": "read",
    "measure: inboard": "read", "measure: other side of the axle": "read",
}  # fmt: skip
BY_CURE = {
    "read again": "read again", "leave it on": LEAVE, "clean": CLEANS, "hub and bearing": HUB, "index": MOVE,
    "shim": "shim", "cut": "cut", "replace the rotor": RENEW,
}  # fmt: skip


def causes_alone(file: Path, bench: Bench, tally: Tally) -> Said:
    """`causes` without a case."""
    said = ask("causes", ["causes", file, "--limit", f"{bench.limit_um:g}"], tally, bench.number)
    if not said.code:
        act = said.answer["act"]
        said.act, said.stud = BY_RULE[act["what"]], act["studs_turned"]
    return said


def causes_with(file: Path, case: Sequence[str], bench: Bench, tally: Tally) -> Said:
    """`causes` with the case."""
    said = ask("causes --case", ["causes", file, "--case", *case], tally, bench.number)
    if not said.code:
        said.act = BY_FINDING[said.answer["do"]]
        head = re.split(r"─{20,}", said.text)[1][:600]
        if "The nuts first" in head:
            said.act = NUTS
        elif "thickness comes first" in head:
            said.act = SCRAP if bench.stated else STAMP
    return said


def index(file: Path, case: Sequence[str], bench: Bench, tally: Tally) -> Said:
    """`index` of the same table for hub and rotor; with the case where one is named."""
    name = "index --case" if case else "index"
    given = [] if case else ["--limit", f"{bench.limit_um:g}"]
    if not case and bench.hub_limit_um:
        given += ["--hub-limit", f"{bench.hub_limit_um:g}"]
    said = ask(name, ["index", *case, "--hub", file, "--rotor", file, *given], tally, bench.number)
    if not said.code:
        first = said.answer["cures"][0]
        said.act = BY_CURE[first["name"]]
        if first["conditions"]:
            said.act = READ
        elif said.answer["rotor_goes"] and "discard" in said.answer["rotor_goes"]:
            said.act = SCRAP if bench.stated else STAMP
        if "nuts first" in first["why"]:
            said.act = NUTS
    return said


def remains(file: Path, case: Sequence[str], bench: Bench, tally: Tally) -> Said:
    """What a clean hub leaves of it."""
    said = ask("remains", ["remains", file, "--case", *case], tally, bench.number)
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
    """The road from what was read."""
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


def of_the_case(case: Sequence[str], bench: Bench, tally: Tally, folder: Path) -> list[Said]:
    """Doors that take no table: `seat`, `clamp` with a reading, `duty`, `report`."""
    seated = ask("seat", ["seat", *case, "--preset", "fast"], tally, bench.number)
    seated.act = LEAVE if "Leave the rotor on" in seated.text else NUTS if "Fit every nut" in seated.text else ""
    read = ask("clamp", ["clamp", *case, "--reading", "60", "--by", "nuts and spacers"], tally, bench.number)
    table = ask("duty", ["duty", *case, "--no-bands", "--km", "2000"], tally, bench.number)
    page = ask(
        "report", ["report", *case, "--no-pictures", "--km", "2000", "--out", folder], tally, bench.number, False
    )
    if not page.code:
        page.text = flat(re.sub(r"<[^>]+>", " ", (folder / "report.html").read_text(encoding="utf-8")))
    return [seated, read, table, page]


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


# Rules.
def truth_of(table: Table) -> dict[str, bool]:
    """What a table shows beyond any ±."""
    bench, thick, hub = table.bench, table.thickness_um, table.hub_um
    sure = not table.slipped
    return {
        "scrap": thick is not None and sure and bench.stated and thick.min() / 1e3 <= bench.stamp_mm - SURE_THICK_MM,
        "near": thick is not None and sure and bench.stated and abs(thick.min() / 1e3 - bench.stamp_mm) <= 0.004,
        "uneven": thick is not None and sure and np.ptp(thick) > bench.dtv_um + SURE_DTV_UM,
        "hub": hub is not None and sure and hub > bench.hub_allowed_um + SURE_HUB_UM,
        "over": sure and table.runout_um > bench.limit_um + SURE_RUNOUT_UM + bench.dial_um,
        "loose": bool(bench.nuts),
        "unread": thick is None,
        "dirty": table.state not in CLEAN,
    }


def leaves(said: Said) -> str:
    """The sentence with which a text leaves the rotor on, no condition in it; empty where none does."""
    for one in sentences(said.text):
        one = one.replace("at the same places, the rotor stays on", "")
        if LEFT.search(one) and not ONLY_IF.search(one):
            return one.strip()
    return ""


def judge(table: Table, answers: Sequence[Said]) -> list[Found]:
    """Every rule, on every answer and between them."""
    shows = truth_of(table)
    told_here = [one for one in answers if not one.code]
    found = [
        Found(rule, table.bench.number, f"{said.door} [{said.act}]: {what.strip()[:420]}")
        for said in told_here
        for of in (OF_A_CASE if said.door in CASE_ALONE else OF_A_TABLE)
        for rule, what in of(table.bench, shows, said)
    ]
    return found + opposite(table, {one.door: one for one in told_here}, shows)


Broken = Iterator[tuple[str, str]]
CASE_ALONE = ("seat", "clamp", "duty", "report")
WITH_CASE = ("causes --case", "index --case", "remains", "drive", "memory")


def left_on(bench: Bench, shows: dict[str, bool], said: Said) -> Broken:
    """Nothing is left on that the table condemns, or that nobody read or cleaned."""
    knows = {
        "scrap": said.door in WITH_CASE,
        "uneven": said.door in WITH_CASE or bench.dtv_um >= Limits().dtv_um,
        "hub": said.door in WITH_CASE or bench.hub_limit_um is None,
        "over": True,
        "unread": said.door.startswith(("causes", "index")) and "still to be read" not in said.text,
        "dirty": said.door.startswith(("causes", "index")),
    }
    left = leaves(said) or (said.text[:300] if said.act == LEAVE else "")
    yield from ((f"left on: {why}", left) for why, there in knows.items() if shows[why] and there and left)


def of_scrap(bench: Bench, shows: dict[str, bool], said: Said) -> Broken:
    """A rotor under a stamp that is known is called scrap by that figure, never cut and never moved."""
    if said.door not in WITH_CASE:
        return
    if (shows["near"] or shows["scrap"]) and f"{bench.stamp_mm:g}" not in said.text:
        yield "stamp not named", said.text[:300]
    if not shows["scrap"]:
        return
    spared = ("nothing is left to cut", "No cut", "neither")
    cuts = [one for one in sentences(said.text) if CUT.search(one) and not any(word in one for word in spared)]
    yield from (("cut of scrap", one) for one in cuts[:1])
    if "scrap" not in said.text:
        yield "scrap not named", said.text[:300]
    if said.act == MOVE:
        yield "moved: scrap", said.text[:300]


def of_nuts(bench: Bench, shows: dict[str, bool], said: Said) -> Broken:
    """A nut that is loose on the road is said first, and nothing is quiet or left on beside it."""
    if not shows["loose"] or said.door not in (*WITH_CASE, *CASE_ALONE):
        return
    if "nut" not in said.text[:1500]:
        yield "loose nut not first", said.text[:300]
    yield from (("left on: loose nut", one) for one in [leaves(said)] if one)
    yield from (("quiet: loose nut", one) for one in sentences(said.text) if re.search(r"\bquiet\b", one))


def of_figures(bench: Bench, shows: dict[str, bool], said: Said) -> Broken:
    """No cut without the maker's figure; nothing uneven is quiet; figures of the text are those of JSON."""
    if said.door == "remains" and said.answer.get("thickness_after_cut_mm") and bench.machine_to_mm is None:
        yield "cut without the maker's figure", said.text[:300]
    if shows["uneven"] and said.door in WITH_CASE:
        yield from (("quiet: uneven", one) for one in sentences(said.text) if re.search(r"\bquiet\b", one))
    yield from figures(said)


OF_A_TABLE = (left_on, of_scrap, of_nuts, of_figures)
OF_A_CASE = (of_nuts,)
OPPOSITE = (
    (LEAVE, RENEW), (LEAVE, SCRAP), (LEAVE, HUB), (LEAVE, NUTS), (MOVE, SCRAP), (MOVE, HUB), (LEAVE, MOVE),
    (RENEW, MOVE), (SCRAP, "cut"), (RENEW, HUB), (LEAVE, CLEANS), (HUB, SCRAP),
    (THICK_DONE, RENEW), (THICK_DONE, SCRAP),
)  # fmt: skip


def lead_of(said: Said) -> str:
    """How an answer begins under its title; of `index` what stands behind its tables."""
    parts = re.split(r"─{20,}", said.text)
    return parts[1 if "causes" in said.door else -1][:300]


def opposite(table: Table, by: dict[str, Said], shows: dict[str, bool]) -> list[Found]:
    """Two doors that know the same and order opposite acts."""
    bench = table.bench
    if table.slipped:
        return []
    known = bench.dtv_um == Limits().dtv_um and not bench.stated and not bench.nuts
    pairs = [("causes --case", "index --case"), ("causes --case", "remains"), ("index --case", "remains")]
    # Of several studs `index` takes the last alone, and says so; `causes` takes all.
    one_stud = len({one.step.studs_turned for one in table.of("mounted")}) == 1
    pairs += [("causes", "index")] if bench.hub_limit_um is None and one_stud else []
    pairs += [("drive", "remains"), ("drive", "causes --case"), ("memory", "remains")]
    pairs += [("causes", "causes --case")] if known else []
    return [
        Found(f"opposite: {' and '.join(apart)}, {one} and {other}", bench.number,
              " | ".join(f"{by[door].door} [{by[door].act}]: {lead_of(by[door])}" for door in (one, other)))
        for one, other in pairs
        if one in by and other in by
        for apart in OPPOSITE
        if {by[one].act, by[other].act} == set(apart)
    ]  # fmt: skip


def figures(said: Said) -> Broken:
    """Figures of the text that JSON holds too: the thickness with its ±, probabilities of the ranked causes."""
    answer, text = said.answer, said.text
    varies = answer.get("varies") or (answer.get("act") or {}).get("varies")
    told_as = re.search(r"Thickness varies by (\d+) ± (\d+) µm", text)
    if varies and told_as:
        apart = float(told_as[1]) - varies["value_um"], float(told_as[2]) - varies["doubt_um"]
        if max(map(abs, apart)) > ROUNDED:
            yield "text and JSON differ", f"{told_as[0]}, {varies}"
    for row in answer.get("ranked") or []:
        shown = re.search(re.escape(row["cause"]) + r" (?:over |under )?(\d+) %", text)
        if shown and abs(float(shown[1]) - 100.0 * row["probability"]) > 2.0 * ROUNDED:
            yield "text and JSON differ", f"{shown[0]}, {row['probability']}"


# Obeying.
def obeyed(table: Table, answer: dict[str, Any], with_case: bool) -> list[Step]:
    """Turns to take as told, by the JSON of `causes`; none where it ends."""
    act, last = answer["act"], table.of("mounted")[-1].step
    do = (answer["do"] if with_case else act["what"]).removeprefix("measure: ")
    mount = max(one.step.mount for one in table.turns) + 1
    anew = replace(last, mount=mount, again=0)
    also = (answer if with_case else act)["also"] or ()
    if do in CLEAN_IT or (do == "leave it" and last.state not in CLEAN):
        return _cleaned(table, last, mount, "bare hub" in also)
    if do in MOVE_IT:
        to = _wanted(answer, last, with_case)
        return [] if do == "index" and to == last.studs_turned else [replace(anew, studs_turned=to, fine=False)]
    if do in ("thickness", "thickness with a finer micrometer", "finer micrometer"):
        return _thickness_turns(table, last, do == "thickness", act["varies"])
    if do == "read again":
        return _named_again(table, answer["words"]["next"] + " ".join(answer["words"]["notes"]))
    simply = {
        "clean again": [Step("mounted", "cleaned again", last.studs_turned, mount)],
        "rotor's seat": [Step("mounted", "cleaned again", last.studs_turned, mount)],
        "bare hub": [Step("hub face", last.state if last.state in CLEAN else "cleaned", 0, 0)],
        "mounted with a finer dial": [replace(anew, fine=True)],
        "finer dial": [replace(anew, fine=True)],
        "at the limit": [anew] if act["turns"] < MEAN_OF else [],
    }
    return simply[do] if do in simply else _hub_again(table, answer.get("hub_face") if with_case else act["hub_face"])


CLEAN_IT = ("clean", "clean, then index", "clean and refit")
MOVE_IT = ("another stud", "back to the first position", "index", "back")


def _cleaned(table: Table, last: Step, mount: int, bare: bool) -> list[Step]:
    """Rotor put back where it stood first, once cleaned; where it stands now, cleaned a second time."""
    if last.state in CLEAN:
        return [Step("mounted", "cleaned again", last.studs_turned, mount)] if last.state == CLEAN[0] else []
    back = table.of("mounted")[0].step.studs_turned
    return [*([Step("hub face", "cleaned", 0, 0)] if bare else []), Step("mounted", "cleaned", back, mount)]


def _wanted(answer: dict[str, Any], last: Step, with_case: bool) -> int:
    """Stud pitches from stud 1 to where the painted hole is put."""
    if not with_case:
        return int(answer["act"]["studs_turned"])
    if answer["do"] == "index":
        return next(int(one["studs_turned"]) for one in answer["after"] if one["what"] == "indexed")
    wanted = answer["next_readings"][0]["studs_turned"] if answer["next_readings"] else None
    return last.studs_turned if wanted is None else int(wanted)


def _hub_again(table: Table, face: dict[str, Any] | None) -> list[Step]:
    """The bare face once more, where it is over or near its limit and not read out; else it ends."""
    if face is None or face["state"] == "below" or _read_out(face):
        return []
    faces = table.of("hub face")
    return [replace(faces[-1].step, again=len(faces), fine=face["state"] != "above")]


def _read_out(face: dict[str, Any]) -> bool:
    return bool(face["times"] > 1 or face["dial_um"] <= 2.0)


def _thickness_turns(table: Table, last: Step, first: bool, varies: dict[str, Any] | None) -> list[Step]:
    """One turn where nobody read it; else as many as are wanted with the finest micrometer, at more places first."""
    there = table.of("thickness")
    if first or not there:
        return [Step("thickness", last.state, last.studs_turned, last.mount, len(there))]
    of = there[-1].step
    few = varies is not None and varies["places"] < benches.MORE_PLACES
    if few and varies is not None and varies["between_um"] > varies["doubt_um"] - varies["between_um"]:
        return [replace(of, fine=True, again=benches.AT_MORE_PLACES + len(there))]
    fine = of.fine or table.bench.micrometer_um == 1.0
    same = [one for one in there if replace(one.step, again=0) == replace(of, again=0)]
    have = sum(one.value_um.size == there[-1].value_um.size for one in same) if fine else 0
    return [
        replace(of, fine=True if not fine else of.fine, again=of.again + 10 + k) for k in range(max(MEAN_OF - have, 1))
    ]


def _named_again(table: Table, said: str) -> list[Step]:
    """The last turn of every trace that is named; the last mounted one where none is."""
    if "under the next mount number" in said:
        last = table.of("mounted")[-1].step
        return [replace(last, mount=max(one.step.mount for one in table.turns) + 1, again=0)]
    names = {f"{one.step.kind}, mount {one.step.mount}" if one.step.mount else one.step.kind: one.step
             for one in table.turns}  # fmt: skip
    named = [step for name, step in names.items() if name in said]
    named = named or [table.of("mounted")[-1].step]
    return [replace(step, again=step.again + 1) for step in named]


def walked(bench: Bench, folder: Path, with_case: bool, tally: Tally) -> list[tuple[str, int | None]]:
    """Obey from one mounted turn on until it ends; loops and unsafe ends are found on the way."""
    table = Table(bench, (benches.read(bench, Step("mounted")),))
    does: list[tuple[str, int | None]] = []
    door = "walk, with a case" if with_case else "walk, readings alone"
    file, case = written(table, folder)
    for _ in range(MOST_ACTS):
        file, case = written(table, folder)
        given = ["--case", *case] if with_case else ["--limit", f"{bench.limit_um:g}"]
        code, out, err, broke = told(["causes", file, *given, "--json"])
        tally.asked[door] += 1
        if code == 3 and not broke and "scrap" in err:
            return [*does, ("scrap", None)]
        if code or broke:
            tally.found.append(Found("walk refused", bench.number, f"{door}: {err[:300]} {broke}"))
            return does
        answer = json.loads(out)
        do = answer["do"] if with_case else answer["act"]["what"]
        does.append((do, answer["act"]["studs_turned"]))
        more = obeyed(table, answer, with_case)
        if (
            len(does) > 3
            and does[-1] == does[-2] == does[-3] == does[-4]
            or len(does) > 5
            and (does[-1] == does[-3] == does[-5] and does[-2] == does[-4])
        ):
            tally.found.append(Found("loop", bench.number, f"{door}: {does} {file}"))
            return does
        if not more:
            _ended(table, do, door, tally)
            return does
        table = replace(table, turns=(*table.turns, *(benches.read(bench, step) for step in more)))
    tally.found.append(Found("no end", bench.number, f"{door}: {does} {file}"))
    return does


def _ended(table: Table, do: str, door: str, tally: Tally) -> None:
    """Whether what it ended with is safe by the truth."""
    bench, last = table.bench, table.of("mounted")[-1].step
    left = bench.corner.left_um(last.state, last.studs_turned)
    varies = benches.varies_um(bench)
    unsafe = left > bench.limit_um + SURE_RUNOUT_UM or varies > bench.dtv_um + SURE_DTV_UM
    if do in ("done", "leave it") and unsafe:
        said = f"{door}: {do}, leaves {left:.0f} of {bench.limit_um:g}, varies {varies:.0f} of {bench.dtv_um:g}"
        tally.found.append(Found("unsafe end", bench.number, said))
    if (
        do in ("renew or cut the rotor", "worn")
        and varies < bench.dtv_um - SURE_DTV_UM
        and left < bench.limit_um - 15.0
    ):
        tally.found.append(
            Found("needless part", bench.number, f"{door}: {do}, leaves {left:.0f}, varies {varies:.0f}")
        )


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


# The study.
def asked_about(bench: Bench, folder: Path, tally: Tally, with_case: bool, dear: bool) -> None:
    """One bench's lawful table through the doors, and what they break of the rules."""
    table = benches.lawful(bench)
    file, case = written(table, folder)
    answers = [causes_alone(file, bench, tally)]
    if table.of("hub face"):
        answers += [index(file, [], bench, tally), index(file, case, bench, tally)]
    if with_case or dear:
        answers.append(causes_with(file, case, bench, tally))
    if dear:
        answers += of_the_case(case, bench, tally, folder)
        if table.of("thickness"):
            answers += [remains(file, case, bench, tally), drive(file, case, bench, tally)]
            answers.append(memory(file, case, bench, tally))
    answers.append(chalked(table, folder, tally))
    tally.found += judge(table, answers)


def page(tally: Tally, seed: int, corners: int) -> str:
    """What was asked of each door and what was found, as a table."""
    rows = ["| door | asked | answered | bad input | refused | CPU s each |", "|---|---|---|---|---|---|"]
    for door, count in tally.asked.items():
        codes = " | ".join(str(tally.codes[door, code]) for code in (0, 2, 3))
        codes = " |  | " if door.startswith("walk") else codes
        took = f"{tally.seconds[door] / count:.2f}" if tally.seconds[door] else ""
        rows.append(f"| {door} | {count} | {codes} | {took} |")
    found = Counter(one.rule for one in tally.found)
    rows += ["", "| rule broken | times |", "|---|---|", *(f"| {rule} | {count} |" for rule, count in found.items())]
    rows += [] if found else ["| none | 0 |"]
    head = f"# Doors asked about the same table\n\nSeed {seed}, {corners} corners behind the benches. Made by"
    made = " `python -m tests.studies.doors`. A rule broken is\nlooked into by hand: some are too strict."
    return f"{head}{made}\n\n" + "\n".join(rows) + "\n"


def noted(note: Path, text: str) -> None:
    """Write the page anew; what stands under `BY_HAND` stays."""
    before = note.read_text(encoding="utf-8") if note.exists() else ""
    _, mark, rest = before.partition(BY_HAND)
    note.write_text(text + mark + rest, encoding="utf-8")


def main(given: Sequence[str]) -> None:
    """Run the study and write its page."""
    asked = argparse.ArgumentParser(prog="python -m tests.studies.doors", description="Study of doors.")
    asked.add_argument("count", nargs="?", type=int, default=1000, help="tables")
    asked.add_argument("seed", nargs="?", type=int, default=SEED)
    asked.add_argument("--folder", type=Path, default=Path(tempfile.gettempdir()) / "study_of_doors")
    asked.add_argument("--walks", type=int, default=100, help="benches obeyed, without and with the case")
    asked.add_argument("--cases", type=int, default=4, help="of so many tables one is asked about with the case")
    asked.add_argument("--dear", type=int, default=50, help="of so many tables one goes through every door")
    asked.add_argument("--note", type=Path, default=Path(__file__).with_suffix(".md"))
    told_to = asked.parse_args(given)
    corners = population.corners(told_to.folder, CORNERS_SEED, CORNERS)
    tally, shown = Tally(), 0
    with weighed_once(), few_draws():
        for number in range(told_to.count):
            every = (number % told_to.cases == told_to.cases - 1, number % told_to.dear == told_to.dear - 1)
            asked_about(benches.draw(told_to.seed, number, corners), told_to.folder, tally, *every)
            for one in tally.found[shown:]:
                print(f"#{one.number} {one.rule}: {one.said}", file=sys.stderr, flush=True)
            shown = len(tally.found)
            if number % 50 == 49:
                noted(told_to.note, page(tally, told_to.seed, CORNERS))
        for number in range(told_to.walks):
            for with_case in (False, True):
                walked(benches.draw(told_to.seed + 1, number, corners), told_to.folder, with_case, tally)
            for one in tally.found[shown:]:
                print(f"#{one.number} {one.rule}: {one.said}", file=sys.stderr, flush=True)
            shown = len(tally.found)
    noted(told_to.note, page(tally, told_to.seed, CORNERS))


@contextlib.contextmanager
def few_draws() -> Iterator[None]:
    """A forecast's band of few draws: what is said of it is the subject here, not how wide it is."""
    usual = Settings.__init__.__defaults__ or ()
    with patch.object(Settings.__init__, "__defaults__", (DRAWS, *usual[1:])):
        yield


if __name__ == "__main__":
    main(sys.argv[1:])
