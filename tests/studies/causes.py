"""How often the ranking of causes is right, and whether its probabilities and intervals are.

``python -m tests.studies.causes [CORNERS] [SEED] [--folder FOLDER] [--parts PART ...]`` writes ``causes.md`` beside
this file, all but what stands there under `BEFORE`. Corners and answers are kept in the folder as they are made, so
that a study that is ended early goes on where it was; answers of another revision are never taken (`revision`). With
``--parts`` only these are asked, and the page shows whatever is kept; with no part behind it nothing is asked.

Corners come from `tests.studies.corners_at_fault`, which the estimator does not know; beside it stands what somebody
who knows that population could tell from the same readings (`tests.studies.causes_oracle`, slips left out). Corners can
be told apart where that oracle gives one cause `TOLD` or more.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from sim.bench import next_act as rule
from sim.bench import which_share
from sim.bench.cleaned_again import settled
from sim.bench.mountings import HUB_SIDE, told_apart
from sim.bench.next_act import Act, next_act
from sim.bench.told_by_mountings import ToldApart
from sim.causes import names, one_act
from sim.causes.answer import Finding
from sim.causes.finding import weigh
from sim.errors import BadInput, Refused
from sim.files.dial_readings import Readings
from sim.files.reading_faults import STANDS_UP
from sim.parts.dial import Dial
from sim.parts.thickness import MEAN_OF, middle_of_turns, uneven
from tests.studies import causes_oracle as oracle
from tests.studies import causes_tables as tables
from tests.studies import corners_at_fault as population
from tests.studies.causes_tables import DTV_UM, FULL, LIMIT_UM, PLAIN, WITH_THICKNESS, Answers
from tests.studies.corners_at_fault import CAUSES, GROUPS, HUB_FACE, ON_HUB, OUTSIDE, Corner, Step

SEED, BANK_SEED = 15, 900
HERE = Path(__file__).parent
SLACK_UM = 5.0
AT_LIMIT_UM = Dial(step_um=1.0).doubt_um + SLACK_UM
UNEVEN_UM = uneven(np.zeros(12), middle_of_turns(np.zeros((MEAN_OF, 12)), 1.0)[1], 0.0).doubt_um
KEPT = ("hub face", "thickness")  # read again once it is cleaned once more
LOOKED_AT = "cleaned again"  # a bare face that was looked at, the tip beside the bolt holes
WITH_MENU = 60
MOST_AGAIN = 2  # readings of a table after its first
MOST = 14  # measurements, the first counted: of a thickness three, of a bare face that is looked at two and more
PLANS: dict[str, Callable[[int], tuple[Step, ...]]] = {
    PLAIN: lambda m: (Step("mounted"), _indexed(m), _CLEANED),
    WITH_THICKNESS: lambda m: (Step("mounted"), Step("thickness"), _indexed(m), _CLEANED),
    FULL: lambda m: (
        Step("mounted"), Step("radial"), _indexed(m), Step("hub face", "cleaned", 0, 0), _CLEANED, _ONCE_MORE,
    ),
}  # fmt: skip
#: Parts of the study with the share of the corners that each takes, in the sequence in which they are asked: what
#: matters most comes first. Of each kind outside the list as many.
RANKING, ACTS, THICKNESS, ALL_READ, BEYOND = PARTS = ("ranking", "acts", "thickness", "all-read", "outside")
TAKES = dict(zip(PARTS, (1.0, 0.3, 1.0, 0.4, 0.125), strict=True))
PLAN_OF = {RANKING: PLAIN, THICKNESS: WITH_THICKNESS, ALL_READ: FULL}
LEAST = 8  # corners of a part
#: What stands under it in the note is written by hand and stays.
BEFORE = "\n# Before\n"
MOST_AS_ORDERED = 6  # turns of one thing that differ are read until three agree
_CLEANED, _ONCE_MORE = Step("mounted", "cleaned", 0, 3), Step("mounted", "cleaned again", 0, 4)


def _indexed(m: int) -> Step:
    return Step("mounted", "as found", m, 2)


def best_move(studs: int) -> int:
    """Stud pitches of the index: one of four, two of five."""
    return 1 if studs == 4 else 2


def cleaned_now(state: str) -> str:
    """State once it is cleaned: the first time perhaps poorly, the second time well."""
    return population.CLEAN[int(state in population.CLEAN)]


def put_back(now: Step) -> int:
    """Stud position once it is cleaned: where it stood first, and where it stands from then on."""
    return now.studs_turned if now.state in population.CLEAN else 0


# What would really happen.
def left_um(corner: Corner, do: str, now: Step) -> float:
    """TIR after an action on a corner that stands as it was read last. [um]."""
    studs, state, at = range(corner.studs), now.state, population.really_turned(corner, now)
    rotor = tuple(c for c in CAUSES if c not in ON_HUB)
    clean, back = cleaned_now(state), put_back(now)
    left = {
        # Dirt that stayed settles: what is left on is to be under the limit without it too.
        names.LEAVE: lambda: max(corner.left_um(state, at), corner.left_um("cleaned again", at)),
        names.RETORQUE: lambda: corner.left_um(state, at, (population.TORQUE,)),
        names.INDEX: lambda: min(corner.left_um(state, m) for m in studs),
        names.CLEAN: lambda: corner.left_um(clean, back),
        names.CLEAN_THEN_INDEX: lambda: min(corner.left_um(clean, m) for m in studs),
        names.RENEW: lambda: corner.left_um(clean, at, rotor),
        names.HUB_AND_BEARING: lambda: corner.left_um(clean, at, (HUB_FACE,)),
    }
    return left[do]()


#: Work that an action is; parts come last, and cleaning stands before everything that moves the rotor.
WORK = {
    names.LEAVE: 0,
    names.RETORQUE: 1,
    names.CLEAN: 2,
    names.INDEX: 2,
    names.CLEAN_THEN_INDEX: 2,
    names.RENEW: 3,
    names.HUB_AND_BEARING: 3,
}


def right(corner: Corner, do: str, now: Step) -> bool:
    """Whether an action is right: it gets under the limit and nothing lighter would do so with room to spare.

    Where the thickness varies over its limit, the rotor goes. Where no work gets under it, the part that leaves least.
    """
    varies = float(population.tirs(corner.thickness[None])[0])
    if do == names.AT_LIMIT:  # within what the finest dial is sure to, on a fresh mounting
        return abs(left_um(corner, names.LEAVE, now) - LIMIT_UM) <= AT_LIMIT_UM and varies <= DTV_UM
    if do == names.UNEVEN_COUNTED:  # within what the mean of three turns of the finest micrometer is sure to
        return abs(varies - DTV_UM) <= UNEVEN_UM
    if do not in WORK:
        return False
    if varies > DTV_UM:
        return do == names.RENEW
    left = {a: left_um(corner, a, now) for a in WORK}
    if any(left[a] <= LIMIT_UM - SLACK_UM for a in WORK if WORK[a] < WORK[do]):
        return False
    return left[do] <= max(LIMIT_UM, min(left.values())) + SLACK_UM


# One answer.
def read_again(seed: int, number: int, corner: Corner, steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """Traces of a plan as they are really taken: a table that gives a slip away is read again at once, twice at most.

    What it names is asked for as soon as a table is written, before anything is moved; every reading stays in the file.
    """
    out: list[Step] = []
    for step in steps:
        out.append(step)
        while out[-1].again < MOST_AGAIN and _slipped(population.readings(seed, number, corner, (out[-1],))):
            out.append(replace(out[-1], again=out[-1].again + 1))
    return tuple(out)


def _slipped(given: Readings) -> bool:
    return any(fault.fault != STANDS_UP for fault in given.faults)


def last_of(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """Of each trace the reading that counts: the last."""
    return tuple({replace(step, again=0): step for step in steps}.values())


def ask(seed: int, number: int, corner: Corner, steps: tuple[Step, ...], menu: bool = True) -> dict[str, Any]:
    """Ask about a corner's readings; everything that the table needs of the answer and of the truth.

    Without the menu, which takes a quarter more, once `WITH_MENU` corners were asked: its seconds are known then.
    """
    own = corner.shares_um()
    found: dict[str, Any] = {
        "number": number, "group": corner.group, "truth": corner.dominant, "present": list(corner.present),
        "own": dict(zip(CAUSES, own.tolist(), strict=True)), "outside": corner.outside,
    }  # fmt: skip
    began = time.process_time()
    try:
        given = population.readings(seed, number, corner, steps)
        told = weigh(given, population.case_of(corner.group), menu=menu)
    except (BadInput, Refused) as reason:
        return found | {"refused": str(reason)}
    last = [s for s in steps if s.kind == "mounted"][-1]
    now_clean = last.state in population.CLEAN
    found |= {
        "seconds": time.process_time() - began,
        "alarm": bool(given.faults), "menu": menu, "read_again": len(steps) - len(last_of(steps)),
        "probability": {r.cause: r.probability for r in told.ranked},
        "is_there": {r.cause: r.present for r in told.ranked},
        "interval": {r.cause: r.runout_um for r in told.ranked},
        "if_there": {r.cause: r.if_there_um for r in told.ranked},
        "finding": told.finding, "cannot_tell": list(told.cannot_tell), "none_fits": told.none_fits,
        "misfit": told.misfit_share, "do": told.do, "last": [last.state, last.studs_turned, last.mount],
        "dirt_left": None if told.dirt_left is None else [told.dirt_left.probability, told.dirt_left.counts],
        "really_left": _stayed_um(corner, last),
        "otherwise": [[one.what, one.probability] for one in told.otherwise],
        "by_rule": [told.by_rule, one_act.alike(told.do, told.by_rule, now_clean), told.rule_costs_min],
        "index_to": _index_to(told), "also": told.also, "even_um": told.even_um,
        "effective": told.effective_columns, "next": [(n.what, n.studs_turned) for n in told.next_readings],
        "after": [
            (a.what, a.runout_um, a.below, _really(seed, number, corner, last, a.what, a.studs_turned))
            for a in told.after
        ],
        "faults": [f.trace for f in given.faults], "on_both": told.on_both, "fell_off": told.fell_off,
    }  # fmt: skip
    return found


def _index_to(told: Finding) -> int:
    """Stud pitches to where it is indexed: the rule's where it leads, else the best one."""
    if told.by_rule == names.INDEX:
        return told.rule_studs_turned
    best = next(a.studs_turned for a in told.after if a.what == "indexed")
    return told.told.states[-1].positions[-1] if best is None else best


def _stayed_um(corner: Corner, last: Step) -> float:
    """TIR of what poor cleaning left in the last mounted trace."""
    at = population.really_turned(corner, last)
    return float(population.tirs(corner.left[at, :1])[0]) if last.state == "cleaned" else 0.0


def _really(seed: int, number: int, corner: Corner, last: Step, what: str, turned: int | None) -> float:
    """What the rotor does once that was done; putting it on anew scatters anew."""
    state = cleaned_now(last.state) if what.startswith("cleaned") else last.state
    at = last.studs_turned if turned is None else turned
    step = Step("mounted", state, at, last.mount)
    stays = state == last.state and at == last.studs_turned
    more = population.scatter(seed, number, last.mount if stays else 50 + len(what))
    return float(population.tirs((population.shown_orders(corner, step) + more)[None])[0])


def followed(seed: int, number: int, corner: Corner) -> dict[str, Any]:
    """Do as told from one trace on; what was cleaned or indexed is read again, and asked about again."""
    steps: list[Step] = [Step("mounted")]
    taken, does, seconds = 1, [], []
    while taken <= MOST:
        found = ask(seed, number, corner, tuple(steps))
        does.append((taken, found.get("do", "refused"), found.get("last", [])))
        seconds += [found["seconds"]] if "seconds" in found else []
        more = [] if "refused" in found else _stopped(seed, number, corner, _more(found, steps), found["even_um"])
        if not more:
            break
        for step in more:
            old = next((k for k, s in enumerate(steps) if _same(s, step)), None)
            steps = [*steps, step] if old is None else [*steps[:old], step, *steps[old + 1 :]]
        taken += len(more)
    return {"number": number, "does": does, "taken": taken, "seconds": seconds}


def _same(one: Step, other: Step) -> bool:
    return (one.kind, one.state, one.mount, one.again) == (other.kind, other.state, other.mount, other.again)


def _more(found: dict[str, Any], steps: list[Step]) -> list[Step]:
    """Traces to take as told; none where an action ends it."""
    do, last = found["do"], [s for s in steps if s.kind == "mounted"][-1]
    if do == names.READ_AGAIN:
        return _once_more(found["faults"], steps) or _put_back(steps)
    if do == names.MEASURE + names.FINER_MICROMETER:
        return _three_times(steps)
    if do.startswith(names.MEASURE):
        one = [s for what, m in found["next"] if (s := _step(what, m, steps)) is not None][:1]
        return [*one, *(_in_one_go(found["also"], steps) if rule.CLEAN in found["also"] else [])]
    if do == names.INDEX and found["index_to"] != last.studs_turned:
        return [Step("mounted", last.state, found["index_to"], max(s.mount for s in steps) + 1)]
    unread = do == names.LEAVE and last.state not in population.CLEAN
    if (unread or do in (names.CLEAN, names.CLEAN_THEN_INDEX)) and last.state != "cleaned again":
        return _in_one_go((rule.CLEAN, *found["also"]), steps)
    return []


def _three_times(steps: list[Step]) -> list[Step]:
    """Thickness with the finest micrometer, so often that the mean counts; once more where that was done."""
    last = [s for s in steps if s.kind == "thickness"][-1]
    if last.fine and last.again >= MEAN_OF - 1:
        return [replace(last, again=last.again + 1)]
    return [replace(last, fine=True, again=k) for k in range(MEAN_OF)]


def _in_one_go(also: Iterable[str], steps: list[Step]) -> list[Step]:
    """Traces of a cleaning: the bare hub where it is read in the same go, and the rotor put back."""
    last = [s for s in steps if s.kind == "mounted"][-1]
    clean = cleaned_now(last.state)
    bare = [Step("hub face", clean, 0, 0)] if rule.BARE_HUB in also else []
    return [*bare, Step("mounted", clean, put_back(last), max(s.mount for s in steps) + 1)]


def _stopped(seed: int, number: int, corner: Corner, more: list[Step], even_um: float | None) -> list[Step]:
    """What is really taken: a thickness that varies by more than clears it stops what would follow in the same go."""
    if even_um is None or not more or more[0].kind != "thickness":
        return more
    read = population.table(seed, number, corner, more[0]).value_um
    return more if np.ptp(read) <= even_um else more[:1]


def _once_more(faults: Iterable[str], steps: list[Step]) -> list[Step]:
    """Traces to read once more: those that give a slip away and still stand; the first reading stays in the file."""
    last = max(s.mount for s in steps)
    named = {s: s.kind if s.kind == "hub face" else f"{s.kind}, mount {s.mount}" for s in steps}
    again = [s for s in steps if named[s] in faults and (s.mount == last or s.kind in KEPT)]
    latest = {(s.kind, s.state, s.mount): s for s in again}
    return [replace(s, again=s.again + 1) for s in latest.values() if s.again < MOST_AS_ORDERED]


def followed_by_rule(seed: int, number: int, corner: Corner) -> dict[str, Any]:
    """Do as readings alone tell, `sim.bench.next_act`, from one trace on; the same tables as with a case."""
    steps: list[Step] = [Step("mounted")]
    taken, does = 1, []
    while taken <= MOST:
        given = population.readings(seed, number, corner, tuple(steps))
        given, again = settled(given)
        told = told_apart(given, again)
        act = next_act(given, told, population.case_of(corner.group).limits)
        last = [s for s in steps if s.kind == "mounted"][-1]
        does.append((taken, _done_by_rule(act, told), [last.state, last.studs_turned, last.mount]))
        more = _more_by_rule(act, given, steps)
        if not more:
            break
        if act.what == rule.THICKNESS:
            more = [*steps, *_stopped(seed, number, corner, more[len(steps) :], act.even_um)]
        steps, taken = more, taken + max(len(more) - len(steps), 1)
    return {"number": number, "does": does, "taken": taken}


def _done_by_rule(act: Act, told: ToldApart) -> str:
    """What an act is called with a case; where the rule has no more to say, the part with the larger share."""
    if act.what != rule.OPEN:
        return one_act.NAMED[act.what] or act.what
    if larger := which_share.larger_share(told):
        return names.HUB_AND_BEARING if larger == HUB_SIDE else names.RENEW
    hub, rotor = told.states[-1].hub, told.states[-1].rotor
    return names.HUB_AND_BEARING if hub and hub[1].runout_um > rotor[1].runout_um else names.RENEW


def _more_by_rule(act: Act, given: Readings, steps: list[Step]) -> list[Step]:
    """All traces once the rule's act is done; none where it ends."""
    last = [s for s in steps if s.kind == "mounted"][-1]
    mount = max(s.mount for s in steps) + 1
    if act.what == rule.READ_AGAIN:
        again = _once_more([fault.trace for fault in given.faults], steps)
        return [*steps, *(again or _put_back(steps))] if again or _put_back(steps) else []
    if act.what in (rule.CLEAN_AGAIN, rule.SEAT):
        return [*steps, Step("mounted", "cleaned again", act.studs_turned, mount)]
    clean = last.state in population.CLEAN
    step = {
        rule.ANOTHER_STUD: Step("mounted", last.state, act.studs_turned, mount),
        rule.INDEX: Step("mounted", last.state, act.studs_turned, mount),
        rule.BACK: Step("mounted", last.state, act.studs_turned, mount),
        rule.FINER: Step("mounted", last.state, act.studs_turned, mount, fine=True),
        rule.SECOND_TURN: replace(last, again=last.again + 1),
        rule.BARE_HUB: _bare(steps),
        rule.THICKNESS: Step("thickness", last.state, last.studs_turned, last.mount),
    }.get(act.what)
    if act.what == rule.CLEAN and not clean:
        return [*steps, *_in_one_go((rule.CLEAN, *act.also), steps)]
    if act.what == rule.THICKNESS and rule.CLEAN in act.also:
        return [*steps, Step("thickness", last.state, last.studs_turned, last.mount), *_in_one_go(act.also, steps)]
    if act.what == rule.MICROMETER:
        anew = _three_times(steps)
        return [*(s for s in steps if s.kind != "thickness" or len(anew) == 1), *anew]
    return [] if step is None else [*steps, step]


def _bare(steps: list[Step]) -> Step:
    """The bare face as the rotor was read last; one that was read clean is looked at and read once more after that."""
    faces = [s for s in steps if s.kind == "hub face" and s.state in population.CLEAN]
    if not faces:
        return Step("hub face", [s for s in steps if s.kind == "mounted"][-1].state, 0, 0)
    looked = [s for s in faces if s.state == LOOKED_AT]
    return replace(looked[-1], again=looked[-1].again + 1) if looked else Step("hub face", LOOKED_AT, 0, 0)


def _put_back(steps: list[Step]) -> list[Step]:
    """The rotor back on a bare face that was looked at since it was read; none where it was read after that."""
    last = [s for s in steps if s.kind == "mounted"][-1]
    looked = steps[-1].kind == "hub face" and steps[-1].state == LOOKED_AT
    return [Step("mounted", LOOKED_AT, last.studs_turned, last.mount + 1)] if looked else []


def judged(run: dict[str, Any], corner: Corner) -> dict[str, Any]:
    """Add whether each action was right as the corner stood then."""
    does = [(taken, do, bool(at) and right(corner, do, Step("mounted", *at))) for taken, do, at in run["does"]]
    return run | {"does": does, "right": does[-1][2]}


def _step(what: str, turned: int | None, steps: list[Step]) -> Step | None:
    """The next reading as a trace to take."""
    last = [s for s in steps if s.kind == "mounted"][-1]
    at = last.studs_turned if turned is None else turned
    mount = max(s.mount for s in steps) + 1
    return {
        names.ANOTHER_STUD: Step("mounted", last.state, at, mount),
        names.BACK: Step("mounted", last.state, 0, mount),
        names.CLEAN_AND_REFIT: Step("mounted", cleaned_now(last.state), at, mount),
        names.BARE_HUB: _bare(steps),
        names.RADIAL: Step("radial", last.state, last.studs_turned, last.mount),
        names.THICKNESS: Step("thickness", last.state, last.studs_turned, last.mount),
        names.FINER_DIAL: Step("mounted", last.state, last.studs_turned, mount, fine=True),
        names.SECOND_TURN: replace(last, again=last.again + 1),
        names.INBOARD: Step("inboard", last.state, last.studs_turned, last.mount),
        names.RETORQUED: Step("mounted", "retorqued", last.studs_turned, last.mount),
    }.get(what)


class Kept:
    """Answers in a file, one a line, by what was asked; a line that was cut off is dropped and asked anew."""

    def __init__(self, path: Path) -> None:
        self.path, self.rows = path, {}
        if path.exists():
            text, whole, cut_off = path.read_text(encoding="utf-8").rpartition("\n")
            if cut_off:
                path.write_text(text + whole, encoding="utf-8")
            self.rows = dict(json.loads(line) for line in text.splitlines())

    def get(self, key: str, make: Callable[[], dict[str, Any]]) -> dict[str, Any]:
        """Of the file, else made and added to it."""
        if key not in self.rows:
            row = json.loads(json.dumps(make()))
            with self.path.open("a", encoding="utf-8") as out:
                out.write(json.dumps([key, row]) + "\n")
            self.rows[key] = row
        return self.rows[key]


def revision(*names_of: str) -> str:
    """Digest of what an answer is made of: of these files and the population; without any of the study and the tool."""
    beside = [HERE / name for name in ("corners_at_fault.py", "bench_tables.py", "index_residual.py", *names_of)]
    corner = [population.ROOT / "demo_geometry" / f"{name}.toml" for name, _ in GROUPS]
    tool = [] if names_of else [Path(__file__), *corner, *sorted(population.ROOT.glob("sim/**/*.py"))]
    return hashlib.sha256(b"".join(path.read_bytes() for path in (*beside, *tool))).hexdigest()[:12]


class Oracles:
    """Banks by group, drawn when they are asked for the first time, and plans made ready, one plan at a time."""

    def __init__(self, keep: Path) -> None:
        self.keep, self.banks = keep, []
        self.name, self.plans = "", []

    def tell(self, plan: str, seed: int, number: int, corner: Corner, steps: tuple[Step, ...]) -> dict[str, Any]:
        """What the oracle says of a corner's readings: those that count, their slips left out."""
        if not self.banks:
            self.banks = [oracle.bank(self.keep, group, BANK_SEED) for group in range(len(GROUPS))]
        if plan != self.name:
            self.plans = [oracle.planned(b, PLANS[plan](best_move(GROUPS[b.group][1]))) for b in self.banks]
            self.name = plan
        ready = self.plans[corner.group]
        given = population.readings(seed, number, corner, last_of(steps), slips=0.0)
        told = oracle.tell(ready, given, np.random.default_rng([seed, number]))
        return {
            "dominant": dict(zip(CAUSES, told.dominant.tolist(), strict=True)),
            "effective": told.effective, "misfit": told.misfit,
        }  # fmt: skip


class Study:
    """One seed's corners, what is kept of them, and what is asked of them."""

    def __init__(self, count: int, seed: int, keep: Path) -> None:
        self.seed = seed
        self.take = {part: max(round(share * count), min(count, LEAST)) for part, share in TAKES.items()}
        self.corners = population.corners(keep, seed, count)
        self.outside = {what: population.corners(keep, seed, self.take[BEYOND], what) for what in OUTSIDE}
        self.revision = revision()
        self.kept = Kept(keep / f"answers_{seed}_{self.revision}.jsonl")
        self.told = Kept(keep / f"oracle_{seed}_{revision('causes_oracle.py')}.jsonl")
        self.oracles = Oracles(keep)

    def page(self, parts: Sequence[str]) -> str:
        """Ask these parts, and write down all that is kept."""
        plans = {plan: self._asked(plan, "", self.corners[: self.take[part]], part in parts)
                 for part, plan in PLAN_OF.items()}  # fmt: skip
        beyond = {f"{what}|{PLAIN}": self._asked(PLAIN, what, group, BEYOND in parts)
                  for what, group in self.outside.items()}  # fmt: skip
        runs = {by: self._walked(key, told, ACTS in parts) for by, key, told in WALKS}
        return tables.page(Answers(len(self.corners), self.seed, self.revision, self.corners, plans, beyond, runs))

    def _asked(self, plan: str, what: str, group: Sequence[Corner], make: bool) -> tables.Pairs:
        """Answers and the oracle's of one plan, as far as they are kept where none is made."""
        pairs = []
        for number, corner in enumerate(group):
            key = f"{plan}|{what}|{number}"
            if not make and key not in self.kept.rows:
                continue
            taken = read_again(self.seed, number, corner, PLANS[plan](best_move(corner.studs)))
            again = "".join(str(step.again) for step in last_of(taken))
            tell = partial(self.oracles.tell, plan, self.seed, number, corner, taken)
            row = self.kept.get(key, partial(ask, self.seed, number, corner, taken, number < WITH_MENU))
            pairs.append(tables.lumped(row, corner, self.told.get(f"{key}|{again}", tell)))
        return pairs

    def _walked(self, key: str, told: Walk, make: bool) -> list[dict[str, Any]]:
        """Corners done as told, as far as they are kept where none is made."""
        numbers = [k for k in range(self.take[ACTS]) if make or f"{key}|{k}" in self.kept.rows]
        each = [(self.kept.get(f"{key}|{k}", partial(told, self.seed, k, self.corners[k])), k) for k in numbers]
        return [judged(run, self.corners[k]) for run, k in each]


Walk = Callable[[int, int, Corner], dict[str, Any]]
#: Who tells what to do, and how its answers are kept.
WALKS: tuple[tuple[str, str, Walk], ...] = (
    ("with a case", "follow", followed),
    ("readings alone", "rule", followed_by_rule),
)


def main(given: Sequence[str]) -> None:
    """Run the study; the note is written anew after every part."""
    asked = argparse.ArgumentParser(prog="python -m tests.studies.causes", description="Study of causes.")
    asked.add_argument("count", nargs="?", type=int, default=500, help="corners")
    asked.add_argument("seed", nargs="?", type=int, default=SEED)
    asked.add_argument("--folder", type=Path, default=Path(tempfile.gettempdir()) / "corners_at_fault")
    asked.add_argument("--note", type=Path, default=Path(__file__).with_suffix(".md"))
    asked.add_argument("--parts", nargs="*", choices=PARTS, default=PARTS)
    told = asked.parse_args(given)
    study = Study(told.count, told.seed, told.folder)
    for part in (*told.parts, None):
        began = time.process_time()
        text = study.page(() if part is None else (part,))
        before = told.note.read_text(encoding="utf-8").partition(BEFORE) if told.note.exists() else ("", "", "")
        told.note.write_text(text + before[1] + before[2], encoding="utf-8")
        spent = (time.process_time() - began) / 60
        print(f"{part or 'page'}: {spent:.1f} CPU min", file=sys.stderr, flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
