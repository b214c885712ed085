"""What doors order, obeyed against the truth until it ends: no loop, nothing unsafe left on, no part bought in vain."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from sim.parts.thickness import MEAN_OF
from tests.studies import doors_benches as benches
from tests.studies.corners_at_fault import CLEAN, Step
from tests.studies.doors_asked import BY_RULE, Found, Said, Tally, causes_alone, index, quickly, told, written
from tests.studies.doors_benches import Bench, Table
from tests.studies.doors_read_again import judge_turns
from tests.studies.doors_rules import judge
from tests.studies.doors_truth import SURE_VARIES_UM, count, innocent, unsafe

MOST_HALVES = 8  # then it is obeyed, so that it can end
THRICE = 3  # the same order in the same words
MOST_ACTS = 24  # near a limit each stud has its turns


def obeyed(table: Table, answer: dict[str, Any], with_case: bool) -> list[Step]:
    """Turns to take as told, by the JSON of `causes`; none where it ends."""
    act, last = answer["act"], table.last.step
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
        "bare hub": [_bare(table)],
        "mounted with a finer dial": [replace(anew, fine=True)],
        "finer dial": [replace(anew, fine=True)],
        "second turn": [replace(last, again=last.again + 1)],
        "at the limit": [anew] if act["turns"] < MEAN_OF else [],
        "finer gauge": [],
    }
    return simply[do] if do in simply else _hub_again(table, answer.get("hub_face") if with_case else act["hub_face"])


def _bare(table: Table) -> Step:
    """The bare face, clean; one that was read so is looked at and read once more after that."""
    faces = [one.step for one in table.of("hub face") if one.step.state in CLEAN]
    looked = [one for one in faces if one.state == CLEAN[-1]]
    if looked:
        return replace(looked[-1], again=len(looked))
    last = table.last.step.state
    return Step("hub face", CLEAN[-1] if faces else last if last in CLEAN else "cleaned", 0, 0)


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
    """The last turn of every trace that is named; the last mounted one where none is; the next mount where it says so.

    A rotor that came off for its bare face is put back on and read too.
    """
    last = table.last.step
    mount = max(one.step.mount for one in table.turns) + 1
    anew = replace(last, mount=mount, again=0)
    if "the bare hub face was looked at" in said:
        return [replace(anew, state=CLEAN[-1])]
    if "under the next mount number" in said:
        there = re.search(r"mount (\d+) stands where mount \d+ stood", said)
        studs = {one.step.mount: one.step.studs_turned for one in table.of("mounted")}
        return [replace(anew, studs_turned=studs[int(there[1])] if there else last.studs_turned)]
    names = {f"{one.step.kind}, mount {one.step.mount}" if one.step.mount else one.step.kind: one.step
             for one in table.turns}  # fmt: skip
    named = [
        step for name, step in names.items() if name in said and (step.kind != "mounted" or step.mount == last.mount)
    ]
    stands = re.search(r"read mount (\d+) as it stands", said)
    if not named or stands:  # a mount that is gone nobody reads again
        now = last if stands is None else replace(last, mount=int(stands[1]))
        named = [step for step in named if step.kind != "mounted"] + [now]
    latest = max(one.step.again for one in table.turns)
    off = "put back on it is the next mount" in said and any(step.kind == "hub face" for step in named)
    again = [replace(step, again=latest + 1) for step in named if not off or step.kind != "mounted"]
    return [*again, anew] if off else again


@dataclass
class Walk:
    """One walk: what is obeyed and how, what was ordered so far, and with which files."""

    door: str
    bench: Bench
    folder: Path
    tally: Tally
    with_case: bool
    halves: float = 0.0  # how often an order is obeyed by half
    table: Table | None = None
    quick: bool = False  # the act and its first words alone, `index` not beside it
    does: list[tuple[str, int | None]] = field(default_factory=list)
    words: list[str] = field(default_factory=list)  # with which each was ordered
    broken: set[str] = field(default_factory=set)

    @property
    def own_way(self) -> int:
        """So many orders may come again because they were not obeyed."""
        return MOST_HALVES + 3 if self.halves else 0

    def found(self, rule: str, said: str) -> None:
        file = self.folder / f"walk_{self.bench.seed}_{self.bench.number}_{len(self.tally.found)}.csv"
        if self.table is not None:
            file.write_text(benches.text_of(self.table), encoding="utf-8")
        self.tally.found.append(Found(rule, self.bench.number, f"{self.door}: {said} | {self.does} {file}"))


def walked(
    bench: Bench,
    folder: Path,
    with_case: bool,
    tally: Tally,
    begun: Table | None = None,
    halves: float = 0.0,
    quick: bool = False,
) -> list[tuple[str, int | None]]:
    """Obey from one mounted turn on, or from a table, until it ends; loops and unsafe ends are found on the way."""
    table = begun or Table(bench, (benches.read(bench, Step("mounted")),))
    door = "walk, with a case" if with_case else "walk, readings alone"
    door += (", begun later" if begun else "") + (", half obeyed" if halves else "")
    walk = Walk(door, bench, folder, tally, with_case, halves, quick=quick)
    rng = np.random.default_rng([bench.seed, bench.number, 9])
    for _ in range(MOST_ACTS):
        answer = _answered(walk, table)
        if answer is None:
            return walk.does
        do = answer["do"] if with_case else answer["act"]["what"]
        walk.does.append((do, answer["act"]["studs_turned"]))
        walk.words.append(f"{do} {answer['act']['studs_turned']} {answer['words']['next']}")
        if _play_felt(table, answer, do):
            table = _after_buying(table, "hub")
            continue
        if len(walk.does) > walk.own_way and _goes_round(walk, 8 if "micrometer" in do or do == "read again" else 4):
            if not (bench.knock_um and do == "read again"):  # who rocks it and feels no play is held, rightly
                walk.found("loop", "")
            return walk.does
        if not halves and not table.bench.knock_um and walk.words.count(walk.words[-1]) == THRICE:
            walk.found("the same order a third time", walk.words[-1])
        more = obeyed(table, answer, with_case)
        if not more:
            _ended(walk, table, do, answer)
            part = bought(do, answer)
            if not part or len(table.bench.bought) > 2:
                return walk.does
            table = _after_buying(table, part)
            continue
        if walk.halves and len(walk.does) <= MOST_HALVES and rng.random() < walk.halves:
            more = _by_half(table, more)
        table = replace(table, turns=(*table.turns, *(benches.read(table.bench, step) for step in more)))
    walk.found("no end", "")
    return walk.does


def _play_felt(table: Table, answer: dict[str, Any], do: str) -> bool:
    """Whether the hub that was to be rocked has play, and whoever rocks it feels it: every second one does."""
    told_so = do == "read again" and "rock the hub" in answer["words"]["next"]
    return told_so and table.bench.knock_um > 0.0 and table.bench.number % 2 == 0


def _by_half(table: Table, steps: list[Step]) -> list[Step]:
    """Take the first of several readings alone; put the rotor one stud on from the one that was ordered."""
    if len(steps) > 1 or steps[0].kind != "mounted" or steps[0].mount <= max(one.step.mount for one in table.turns):
        return steps[:1]
    return [replace(steps[0], studs_turned=(steps[0].studs_turned + 1) % table.bench.studs)]


def _answered(walk: Walk, table: Table) -> dict[str, Any] | None:
    """What `causes` answers, held to every rule beside `index` of the same table; None where it refuses."""
    walk.table = table
    file, case = written(table, walk.folder)
    walk.tally.asked[walk.door] += 1
    if walk.quick:
        (code, err, answer), broke = quickly(table), []
        if not code:
            page = "─" * 20 + answer["words"]["next"] + "".join(f" ! {one}" for one in answer["words"]["notes"])
            said = Said("causes", 0, page, answer, "", BY_RULE[answer["act"]["what"]])
            _found_once(walk, judge_turns(table, [said]))
    elif not walk.with_case:
        beside = Tally()
        said = causes_alone(file, walk.bench, beside)
        answers = [said]
        if table.of("hub face") and not said.code:
            answers.append(index((file, file), [], walk.bench, beside, "index"))
        beside.found += [*judge(table, answers), *judge_turns(table, answers)]
        count(table, answers, walk.tally)
        _found_once(walk, beside.found)
        code, err, broke, answer = said.code, said.err, [], said.answer
    else:
        code, out, err, broke = told(["causes", file, "--case", *case, "--json"])
        answer = {} if code else json.loads(out)
    if code == 3 and not broke and "scrap" in err:
        walk.does.append(("scrap", None))
        return None
    if code or broke:
        if table.bench.places not in benches.TOO_FEW:
            walk.found("walk refused", f"{err[:300]} {broke}")
        return None
    return answer


def _found_once(walk: Walk, found: list[Found]) -> None:
    """Note each rule that is broken on the way once."""
    for one in found:
        if one.rule not in walk.broken:
            walk.broken.add(one.rule)
            walk.found(f"walk: {one.rule}", one.said)


def _goes_round(walk: Walk, most: int = 4) -> bool:
    """Whether the same is ordered again and again: so many times, or two by turns."""
    does = walk.does
    same = len(does) >= most and len(set(does[-most:])) == 1
    return same or (
        len(does) > 5 and does[-1] != does[-2] and does[-1] == does[-3] == does[-5] and does[-2] == does[-4]
    )


def obeyed_index(table: Table, answer: dict[str, Any]) -> list[Step]:
    """Turns to take as `index` tells, by its first cure; none where it ends."""
    first, last = answer["cures"][0], table.last.step
    mount = max(one.step.mount for one in table.turns) + 1
    name, why = first["name"], first["why"] + " ".join(first["conditions"])
    if answer["rotor_goes"]:
        return []
    if name == "read again":
        return _named_again(table, why[:1].lower() + why[1:])
    if name == "clean":
        return _cleaned(table, last, mount, False)
    if name == "index":
        to = answer["should_then_read_um"]["studs_turned"]
        return [] if to == last.studs_turned else [replace(last, mount=mount, again=0, studs_turned=to, fine=False)]
    if "face read" in why or "read the face again" in why or "read hub face and rotor again" in why:
        faces = table.of("hub face")
        face = replace(faces[-1].step, again=len(faces), fine=True)
        return [face, replace(last, mount=mount, again=0, fine=True)] if "hub face and rotor" in why else [face]
    if "one more stud" in why:
        return [replace(last, mount=mount, again=0, studs_turned=(last.studs_turned + 1) % table.bench.studs)]
    if "but its thickness" in why:
        there = table.of("thickness")
        if there and f"{benches.MORE_PLACES} places first" in why:
            return [replace(there[-1].step, fine=True, again=benches.AT_MORE_PLACES + len(there))]
        return _thickness_turns(table, last, not there, None)
    if "nuts slackened" in why:
        return [replace(last, mount=mount + k, again=0, fine=True) for k in range(2)]
    if "finer dial" in why:
        return [replace(last, mount=mount, again=0, fine=True)]
    return []


def walked_by_index(bench: Bench, folder: Path, tally: Tally) -> list[tuple[str, int | None]]:
    """Obey `index` from a clean mounting, the bare hub and the thickness on, until it ends."""
    steps = [Step("mounted"), Step("thickness"), Step("hub face", "cleaned", 0, 0), Step("mounted", "cleaned", 0, 2)]
    table = Table(bench, tuple(benches.read(bench, step) for step in steps))
    walk = Walk("walk, by index", bench, folder, tally, False)
    said = ""
    for _ in range(MOST_ACTS):
        walk.table = table
        file, _ = written(table, folder)
        tally.asked[walk.door] += 1
        given = ["--limit", f"{bench.limit_um:g}"]
        given += ["--hub-limit", f"{bench.hub_limit_um:g}"] if bench.hub_limit_um else []
        code, out, err, broke = told(["index", "--hub", file, "--rotor", file, *given, "--json"])
        if code or broke:
            if bench.places not in benches.TOO_FEW:
                walk.found("walk refused", f"{err[:300]} {broke}")
            return walk.does
        answer = json.loads(out)
        said = answer["cures"][0]["why"]
        name = answer["cures"][0]["name"] + ": " + re.sub(r"[^a-z ]+", "", said)[:120]
        walk.does.append((name, (answer["should_then_read_um"] or {}).get("studs_turned")))
        if _goes_round(walk, 6):
            walk.found("loop", said)
            return walk.does
        more = obeyed_index(table, answer)
        if not more:
            enough = answer["cures"][0]["enough"] and answer["cures"][0]["name"] == "leave it on"
            why = unsafe(table, False, hub_known=True)
            if enough and why:
                walk.found("unsafe end", f"{said}, {why}")
            return walk.does
        table = replace(table, turns=(*table.turns, *(benches.read(bench, step) for step in more)))
    walk.found("no end", said)
    return walk.does


RENEWS = ("renew or cut the rotor", "renew the rotor", "worn", "thickness counts as over")
LEAVES = ("done", "leave it")


def bought(do: str, answer: dict[str, Any]) -> str:
    """Which part is bought where it ends."""
    if do in RENEWS:
        return "rotor"
    return "hub" if do in ("hub", "hub and bearing") else ""


def _after_buying(table: Table, part: str) -> Table:
    """A new table, read clean on stud 1 with its thickness; the bare face comes along where it is still that hub."""
    bench = benches.with_new_rotor(table.bench) if part == "rotor" else benches.with_new_hub(table.bench)
    faces = [one for one in table.turns if one.step.kind == "hub face" and one.step.state in CLEAN]
    kept = tuple(faces) if part == "rotor" else (benches.read(bench, Step("hub face", "cleaned", 0, 0)),)
    steps = [Step("mounted", "cleaned"), Step("thickness", "cleaned")]
    return Table(bench, (*kept, *(benches.read(bench, step) for step in steps)))


def _ended(walk: Walk, table: Table, do: str, answer: dict[str, Any]) -> None:
    """Whether what it ended with is right by the truth."""
    why = unsafe(table, walk.with_case)
    if do in LEAVES and why:
        walk.found("unsafe end", f"{do}, {why}")
    if do in LEAVES:
        walk.tally.claims["walk: left on, safe by the truth", not why] += 1
        between = benches.varies_um(table.bench) <= table.bench.dtv_um + SURE_VARIES_UM
        walk.tally.claims["walk: left on, even between the places too", between] += 1
    part = bought(do, answer)
    if part:
        vain = innocent(table, part)
        if vain:
            walk.found("needless part", f"{do} ({part}), {vain}")
        walk.tally.claims[f"walk: {part} bought with reason", not vain] += 1
    if table.bench.good and do not in LEAVES:
        walk.found("good corner not left on", do)
