"""Every door asked about the same lawful tables: whether one of them says what is unsafe, or two order opposite acts.

``python -m tests.studies.doors [TABLES] [SEED] [--walks WALKS] [--turns TURNS] [--dear EVERY] [--part K --parts N]``
draws benches (`tests.studies.doors_benches`) and tables of them (`tests.studies.doors_tables`; with several turns of
each thing and slips in them `tests.studies.doors_turns`), asks `causes` without and with the case, `index` of one table
and of two, the same table written otherwise, and on every so many-th also `remains`, `drive`, `memory`, `seat`,
`clamp`, `duty`, `report` and the job card, in this process (`tests.studies.doors_asked`); holds what they say to hard
rules (`tests.studies.doors_rules`, `tests.studies.doors_read_again`) and to the truth (`tests.studies.doors_truth`);
then it obeys what `causes` orders (`tests.studies.doors_walks`). What breaks a rule is printed with its table, which
stays in the folder; a table of several turns is made as small as it goes. Every bench that was asked about is kept
there: a run that was ended goes on where it was, and several parts run side by side. All that was kept of a seed goes
into ``doors.md``.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.studies import corners_at_fault as population
from tests.studies import doors_benches as benches
from tests.studies.doors_asked import (
    Found,
    Said,
    Tally,
    causes_alone,
    causes_with,
    chalked,
    dearest,
    drive,
    few_draws,
    in_two_files,
    index,
    memory,
    remains,
    seat,
    weighed_once,
    written,
    written_otherwise,
)  # fmt: skip
from tests.studies.doors_benches import Bench, Table, text_of
from tests.studies.doors_read_again import judge_turns, of_bench, smaller
from tests.studies.doors_rules import judge
from tests.studies.doors_tables import lawful
from tests.studies.doors_truth import count
from tests.studies.doors_turns import several
from tests.studies.doors_walks import walked, walked_by_index

SEED, CORNERS_SEED, CORNERS = 5, 307, 120
BESIDE = 6  # of so many walks one has every door beside it
OTHERWISE = 5  # of so many tables of several turns one is written otherwise, and in two files
MADE_SMALL = 4  # of the tables that break one rule
DEAREST = 8  # of so many that go through every door one is asked about what takes minutes
#: What stands under it in the note is written by hand and stays.
BY_HAND = "\n# Found by hand\n"


def asked_about(bench: Bench, folder: Path, tally: Tally, with_case: bool, dear: bool) -> None:
    """One bench's lawful table through the doors, and what they break of the rules."""
    table = lawful(bench)
    file, case = written(table, folder)
    alone = causes_alone(file, bench, tally)
    answers: list[Said] = [alone]
    tally.found += written_otherwise(table, alone, folder, tally)
    if table.of("hub face"):
        answers.append(index((file, file), [], bench, tally, "index"))
        tally.found += in_two_files(table, answers[-1], folder, tally)
    if with_case or dear:
        answers.append(causes_with(file, case, bench, tally, folder))
        if table.of("hub face"):
            answers.append(index((file, file), case, bench, tally, "index --case"))
    if dear and bench.number % DEAREST == DEAREST - 1:
        answers += dearest(case, bench, tally, folder)
    if dear:
        answers.append(seat(case, bench, tally))
        if table.of("thickness"):
            answers += [remains(file, case, bench, tally), drive(file, case, bench, tally)]
            answers.append(memory(file, case, bench, tally))
    answers.append(chalked(table, folder, tally))
    tally.found += judge(table, answers)
    count(table, answers, tally)


def asked_of_turns(bench: Bench, folder: Path, tally: Tally, with_case: bool, dear: bool) -> None:
    """A table of several turns through the doors; the first that break a rule without the case are made small."""
    table = several(bench)
    found = through_doors(table, folder, tally, with_case, dear)
    tally.found += found
    for rule, one in {one.rule: one for one in found if "--case" not in one.said and ":" not in one.rule}.items():
        names = folder.glob(f"small_{bench.seed}_*_{rule.replace(' ', '_')}.csv")
        if len(list(names)) < MADE_SMALL:
            aside = folder / "made_small"
            aside.mkdir(exist_ok=True)
            small = smallest(table, one, aside)
            file = folder / f"small_{bench.seed}_{bench.number}_{rule.replace(' ', '_')}.csv"
            file.write_text(f"# {rule}: {of_bench(small.bench)}\n{text_of(small)}", encoding="utf-8")


def through_doors(table: Table, folder: Path, tally: Tally, with_case: bool = False, dear: bool = False) -> list[Found]:
    """What the cheap doors break of the rules; with the case, and at the doors that cost seconds, where asked."""
    bench, other = table.bench, Tally()
    file, case = written(table, folder)
    answers = [causes_alone(file, bench, tally)]
    if table.of("hub face"):
        answers.append(index((file, file), [], bench, tally, "index"))
    if with_case:
        answers.append(causes_with(file, case, bench, tally, folder))
    if with_case and table.of("hub face"):
        answers.append(index((file, file), case, bench, tally, "index --case"))
    if dear and table.of("thickness"):
        answers += [remains(file, case, bench, tally), drive(file, case, bench, tally)]
        answers.append(memory(file, case, bench, tally))
    sizes = {(one.step.kind, one.angle_deg.size) for one in table.turns}
    alike = len(sizes) == len({kind for kind, _ in sizes})  # else the sequence of the lines tells where a turn ends
    if alike and bench.number % OTHERWISE == 0:
        other.found += written_otherwise(table, answers[0], folder, tally)
        other.found += in_two_files(table, answers[1], folder, tally) if table.of("hub face") else []
    return [*other.found, *judge(table, answers), *judge_turns(table, answers)]


def smallest(table: Table, found: Found, folder: Path) -> Table:
    """Leave turns out as long as the same rule is broken at the same door."""
    door = found.said.partition(" [")[0]
    for less in smaller(table):
        again = through_doors(less, folder, Tally())
        if any((one.rule, one.said.partition(" [")[0]) == (found.rule, door) for one in again):
            return smallest(less, found, folder)
    return table


def walk_all(bench: Bench, folder: Path, tally: Tally, with_case: bool) -> None:
    """Obey `causes` on a bench: from one turn, from a table as somebody brings it, and by half; then `index`."""
    quick = bench.number % BESIDE > 0
    walked(bench, folder, False, tally, quick=quick)
    walked(bench, folder, False, tally, lawful(bench), quick=quick)
    walked(bench, folder, False, tally, lawful(bench), 0.3, quick)
    if not quick:
        walked_by_index(bench, folder, tally)
    if with_case:
        walked(bench, folder, True, tally)
        walked(bench, folder, True, tally, lawful(bench), 0.15)


def walk_turns(bench: Bench, folder: Path, tally: Tally, with_case: bool) -> None:
    """Obey `causes` from a table of several turns; with the case on some, as that takes a minute."""
    begun = several(bench)
    walked(begun.bench, folder, False, tally, begun, quick=bench.number % BESIDE > 0)
    if with_case and bench.number % BESIDE == 0:
        walked(begun.bench, folder, True, tally, begun)


# What is kept.
def record(tally: Tally, kind: str, number: int) -> str:
    """One bench's tally as a line."""
    parts: dict[str, Any] = {
        name: [[*(key if isinstance(key, tuple) else (key,)), value] for key, value in getattr(tally, name).items()]
        for name in ("asked", "seconds", "codes", "claims")
    }
    found = [[one.rule, one.number, one.said] for one in tally.found]
    return json.dumps({"kind": kind, "number": number, **parts, "found": found}) + "\n"


def kept(folder: Path, seed: int) -> tuple[Tally, set[tuple[str, int]]]:
    """All that was kept of a seed, and of which benches."""
    tally, have = Tally(), set()
    for file in sorted(folder.glob(f"asked_{seed}_*.jsonl")):
        for line in file.read_text(encoding="utf-8").splitlines():
            one = json.loads(line)
            have.add((one["kind"], one["number"]))
            for name in ("asked", "seconds"):
                getattr(tally, name).update({key: value for key, value in one[name]})
            tally.codes.update({(door, code): value for door, code, value in one["codes"]})
            tally.claims.update({(what, right): value for what, right, value in one["claims"]})
            tally.found += [Found(*row) for row in one["found"]]
    return tally, have


def page(tally: Tally, seed: int, corners: int) -> str:
    """What was asked of each door and what was found, as a table."""
    rows = ["| door | asked | answered | bad input | refused | CPU s each |", "|---|---|---|---|---|---|"]
    for door, count_ in sorted(tally.asked.items()):
        codes = " | ".join(str(tally.codes[door, code]) for code in (0, 2, 3))
        codes = " |  | " if door.startswith("walk") else codes
        took = f"{tally.seconds[door] / count_:.2f}" if tally.seconds[door] else ""
        rows.append(f"| {door} | {count_} | {codes} | {took} |")
    found = Counter(one.rule for one in tally.found)
    rows += ["", "| rule broken | times |", "|---|---|"]
    rows += [f"| {rule} | {times} |" for rule, times in found.most_common()] if found else ["| none | 0 |"]
    rows += ["", "| claimed | times | so by the truth |", "|---|---|---|"]
    for what in sorted({what for what, _ in tally.claims if not what.startswith("pair: ")}):
        right, wrong = tally.claims[what, True], tally.claims[what, False]
        rows.append(f"| {what} | {right + wrong} | {right / (right + wrong):.1%} |")
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
    asked.add_argument("--walks", type=int, default=100, help="benches obeyed")
    asked.add_argument("--turns", type=int, default=500, help="tables of several turns, and benches obeyed from some")
    asked.add_argument("--cases", type=int, default=8, help="of so many tables and walks one is asked with the case")
    asked.add_argument("--dear", type=int, default=50, help="of so many tables one goes through every door")
    asked.add_argument("--part", type=int, default=0, help="which part, from 0")
    asked.add_argument("--parts", type=int, default=1, help="of how many that run side by side")
    asked.add_argument("--seconds", type=float, default=float("inf"), help="end after so many")
    asked.add_argument("--note", type=Path, default=Path(__file__).with_suffix(".md"))
    told_to = asked.parse_args(given)
    corners, began = population.corners(told_to.folder, CORNERS_SEED, CORNERS), time.monotonic()
    _, have = kept(told_to.folder, told_to.seed)
    own = told_to.folder / f"asked_{told_to.seed}_{told_to.part}.jsonl"
    todo = [("table", k) for k in range(told_to.count)] + [("walk", k) for k in range(told_to.walks)]
    todo += [(kind, k) for k in range(told_to.turns) for kind in ("turns", "turns walk")]
    with weighed_once(), few_draws():
        for kind, number in todo:
            if number % told_to.parts != told_to.part or (kind, number) in have:
                continue
            if time.monotonic() - began > told_to.seconds:
                break
            tally, turn = Tally(), number // told_to.parts
            with_case = turn % told_to.cases == told_to.cases - 1
            dear = turn % told_to.dear == told_to.dear - 1
            if kind == "table":
                asked_about(benches.draw(told_to.seed, number, corners), told_to.folder, tally, with_case, dear)
            elif kind == "walk":
                walk_all(benches.draw(told_to.seed + 1, number, corners), told_to.folder, tally, with_case)
            elif kind == "turns":
                asked_of_turns(benches.draw(told_to.seed + 2, number, corners), told_to.folder, tally, with_case, dear)
            else:
                walk_turns(benches.draw(told_to.seed + 3, number, corners), told_to.folder, tally, with_case)
            for one in tally.found:
                print(f"{kind} #{one.number} {one.rule}: {one.said}", file=sys.stderr, flush=True)
            with own.open("a", encoding="utf-8") as to:
                to.write(record(tally, kind, number))
    noted(told_to.note, page(kept(told_to.folder, told_to.seed)[0], told_to.seed, CORNERS))


if __name__ == "__main__":
    main(sys.argv[1:])
