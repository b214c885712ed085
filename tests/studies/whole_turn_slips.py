"""Whole turns written otherwise: how often one is told and named, how often sound turns are, and whether odds hold.

``python -m tests.studies.whole_turn_slips [WALKS] [SEED]`` walks corners of `tests.studies.benches_with_a_slip`: so
many of each kind with every turn sound, and a third of that of each slip in each thing that is read. The table is asked
after each mounting, by its readings alone, for turns that would fit the others written otherwise. What it asks for is
done: read again as it stands, the bare face once more with the rotor put back on, the painted hole looked for. The
page, ``whole_turn_slips.md``, counts what is told and what counts in the end, and holds the odds of
`sim.bench.written_otherwise` against the truth, were few turns slipped or many.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from sim.bench import read_otherwise as asked
from sim.bench.written_otherwise import LATE, REVERSED, TURNED_OVER, UNSIGNED, otherwise
from sim.errors import BadInput
from sim.files.dial_readings import Readings, Trace, parse
from sim.files.reading_faults import WRITTEN, ReadingFault
from sim.files.trace import trace_name
from tests.studies import benches_with_a_slip as population
from tests.studies.benches_with_a_slip import BARE, CLEAN, ELSEWHERE, FOUND, KINDS, SLIPS, Bench, Step, Turn
from tests.studies.doors import noted

SEED = 61
LOOKS = 3  # at one stage: what is asked is done so often
FAR_UM = 15.0  # a slip that moves the first order by so much changes what is done
RATES = (0.005, 0.02, 0.05)  # of all turns, those that were written otherwise
BINS = (0.01, 0.05, 0.1, 0.3, 0.5, 0.7, 0.9, 0.98, 1.0001)
WORDS = {
    population.OVER: asked.HOW[TURNED_OVER],
    population.REVERSED: asked.HOW[REVERSED],
    population.OFF: asked.HOW[LATE],
    population.UNSIGNED: asked.HOW[UNSIGNED],
}
SINCE = asked.READ_SINCE.partition("{how}")[2]


@dataclass(frozen=True)
class Odds:
    """What one turn was told when it was looked at, and whether it was written otherwise."""

    told: float
    slipped: bool


@dataclass(frozen=True)
class Walked:
    """One corner from its first turn to its last."""

    kind: str
    slip: str
    thing: str
    turns: int  # of its plan, that might have been written so
    moved_um: float
    first: tuple[str, ...]  # all that was told when something was first
    by_others: bool  # of that turn another rule has a doubt
    name: str  # of what slipped, and what is to be said of it
    words: str
    again: int  # turns taken because it was asked
    sound_out: bool  # in the end a sound turn counts no more
    slipped_in: bool  # in the end the slipped one still counts as it was written
    odds: tuple[Odds, ...]

    @property
    def far(self) -> bool:
        return self.moved_um >= FAR_UM

    @property
    def named(self) -> bool:
        return any(text.startswith(f"{self.name}:") for text in self.first)

    @property
    def rightly(self) -> bool:
        return any(text.startswith(f"{self.name}:") and self.words in text for text in self.first)


def walked(one: Bench, slip: str = "", thing: str = "") -> Walked | None:
    """Read one corner turn by turn and do what is asked; None where a slip changes nothing or a table is refused."""
    plan, may = population.plan_of(one), population.may_slip(one, slip, thing)
    at = int(np.random.default_rng([one.seed, 5]).choice(may)) if slip else -1
    turns: list[Turn] = []
    first: tuple[str, ...] = ()
    odds: list[Odds] = []
    by_others, again, slipped = False, 0, None
    for k, step in enumerate(plan):
        turns.append(_next(one, turns, step))
        if k == at:
            sound, slipped = turns[-1], population.written(one, turns[-1], slip)
            turns[-1] = slipped
            if np.array_equal(sound.value_um, slipped.value_um):
                return None
        for look in range(LOOKS if k > 1 and step.thing != BARE else 0):
            try:
                read = parse(population.text_of(one, turns))
            except BadInput:
                return None
            held = asked.held(read)
            first = first or _told(read, held)
            if look == 0:
                odds += [Odds(way.odds, _otherwise(_turn_of(way.turn, turns), turns)) for way in otherwise(read)]
            if slipped is not None:
                by_others |= any(fault.trace == _name(slipped) and not fault.answer for fault in read.faults)
            more = _done(one, turns, _open(held))
            if more is None:
                break
            again, turns = again + len(more) - len(turns), more
    counts = [_turn_of(trace, turns) for trace in held.traces]
    return Walked(
        one.kind, slip, thing, len(may) if slip else len(plan), slipped.moved_um if slipped else 0.0, first, by_others,
        _name(slipped) if slipped else "", _words(slipped) if slipped else "", again,
        any(not turn.slip and turn not in counts for turn in turns), any(turn.slip for turn in counts), tuple(odds),
    )  # fmt: skip


def _next(one: Bench, turns: Sequence[Turn], step: Step) -> Turn:
    """Read the next turn; one as the rotor stands is written on the stud on which it was written before."""
    if step.thing == BARE:
        return population.read(one, step, 0, len(turns))
    last = next((turn for turn in reversed(turns) if turn.step.thing != BARE), None)
    if last is None or step.fresh:
        return population.read(one, step, last.mount + 1 if last else 1, len(turns))
    turn = population.read(one, replace(step, stud=last.step.stud), last.mount, len(turns), last.true_stud)
    return replace(turn, slip=ELSEWHERE) if last.true_stud != last.step.stud else turn


def _told(read: Readings, held: Readings) -> tuple[str, ...]:
    """All that is told of turns written otherwise, by the name of each."""
    notes = (note for note in held.notes if note not in read.notes and note.endswith(SINCE))
    return (*(fault.text for fault in held.faults if fault.fault == WRITTEN), *notes)


def _open(held: Readings) -> ReadingFault | None:
    """The turn that is to be read again now."""
    told = (one for one in held.faults if one.fault == WRITTEN and not one.answer and asked.GONE not in one.text)
    return next(told, None)


def _done(one: Bench, turns: list[Turn], fault: ReadingFault | None) -> list[Turn] | None:
    """Do what is asked; None where nothing is."""
    if fault is None:
        return None
    last = next(turn for turn in reversed(turns) if turn.step.thing != BARE)
    if fault.trace == BARE_FACE:
        bare = next(turn for turn in reversed(turns) if turn.step.thing == BARE)
        more = [*turns, _next(one, turns, bare.step)]
        return [*more, _next(one, more, replace(last.step, fresh=True))]
    if asked.WHERE_IT_SITS in fault.text:
        if last.true_stud != last.step.stud:  # it is looked for, and written where it is
            return [_righted(turn) if turn.mount == last.mount else turn for turn in turns]
        return [*turns, _next(one, turns, replace(last.step, fresh=True))]
    return [*turns, _next(one, turns, replace(last.step, fresh=False))]


BARE_FACE = trace_name("hub face", 0)


def _righted(turn: Turn) -> Turn:
    return replace(turn, step=replace(turn.step, stud=turn.true_stud), slip="")


def _turn_of(trace: Trace, turns: Iterable[Turn]) -> Turn:
    """Which turn of a table a trace is, wherever its level stands and whatever places it lost."""
    same = [
        turn
        for turn in turns
        if turn.step.kind == trace.kind and (trace.kind == "hub face" or turn.mount == trace.mount)
    ]

    def off(turn: Turn) -> float:
        at = np.round(trace.angle_deg / 360.0 * turn.value_um.size).astype(int)
        return float(np.ptp(turn.value_um[at] - trace.value_um))

    return min(same, key=off)


def _otherwise(turn: Turn, turns: Sequence[Turn]) -> bool:
    """Whether it was; of a mounting on another stud its last turn stands for all."""
    later = turns[turns.index(turn) + 1 :]
    again = any((one.step.kind, one.mount) == ("mounted", turn.mount) for one in later)
    return bool(turn.slip) and not (turn.slip == ELSEWHERE and turn.step.thing != BARE and again)


def _name(turn: Turn) -> str:
    return trace_name(turn.step.kind, turn.mount)


def _words(turn: Turn) -> str:
    if turn.slip != ELSEWHERE:
        return WORDS[turn.slip]
    if turn.step.thing == BARE:
        return asked.FROM_STUD.format(stud=turn.true_stud + 1)
    return asked.STUD.format(stud=turn.true_stud + 1, was=turn.step.stud + 1)


def sound_walks(count: int, seed: int) -> Iterator[Walked]:
    """So many corners of every kind, nothing written otherwise."""
    for number, kind in enumerate(KINDS):
        found = (walked(population.bench(np.random.default_rng([seed, number, k]), kind)) for k in range(count))
        yield from (one for one in found if one is not None)


def slipped_walks(count: int, seed: int) -> Iterator[Walked]:
    """So many corners, kinds as they come, of every slip in every thing; one that changes nothing is drawn anew."""
    cells = [(slip, thing) for thing in (FOUND, BARE, CLEAN) for slip in SLIPS if (slip, thing) != (ELSEWHERE, FOUND)]
    for number, (slip, thing) in enumerate(cells):
        done, k = 0, 0
        while done < count:
            rng = np.random.default_rng([seed, 100 + number, k])
            found = walked(population.bench(rng, str(rng.choice(list(KINDS), p=list(KINDS.values())))), slip, thing)
            k += 1
            if found is not None:
                done += 1
                yield found


def _share(some: int, of: int) -> str:
    return f"{some / of:.0%}" if of else "–"


def sound_rows(walks: Sequence[Walked]) -> list[str]:
    """What sound tables are told, by kind of corner and as they come."""
    head = [
        "| corner | walks | told of a slip | turns asked for, of 100 walks | a sound turn left out, by whatever rule |",
        "|---|---|---|---|---|",
    ]
    figures = np.array([(bool(one.first), one.again, one.sound_out) for one in walks], dtype=float)
    kinds = np.array([one.kind for one in walks])
    often = np.array(weights(walks, 0.0))
    rows = [(kind, kinds == kind) for kind in KINDS if kind in kinds]
    means = [(kind, use.sum(), figures[use].mean(axis=0)) for kind, use in rows]
    means.append(("all as they come", len(walks), often @ figures / often.sum()))
    return head + [
        f"| {kind} | {n} | {told:.1%} | {100 * more:.0f} | {out:.1%} |" for kind, n, (told, more, out) in means
    ]


def slipped_rows(walks: Sequence[Walked]) -> list[str]:
    """What tables with a slip are told, by thing and slip."""
    head = [
        f"| thing | slip | walks | told | named of those told | way too | still counts as written | asked, of 100 "
        f"| moved by {FAR_UM:g} µm and more | of these told | named | still counts | another rule doubts it |",
        "|---|---|---|---|---|---|---|---|---|---|---|---|---|",
    ]
    cells = list(dict.fromkeys((one.thing, one.slip) for one in walks))
    rows = [(*cell, [one for one in walks if (one.thing, one.slip) == cell]) for cell in cells]
    for thing in dict.fromkeys(one.thing for one in walks):
        rows.append((thing, "all", [one for one in walks if one.thing == thing]))
    return head + [f"| {thing} | {slip} | {_slipped_cells(some)} |" for thing, slip, some in rows]


def _slipped_cells(some: Sequence[Walked]) -> str:
    told, far = [one for one in some if one.first], [one for one in some if one.far]
    far_told = [one for one in far if one.first]
    return " | ".join((
        f"{len(some)}",
        _share(len(told), len(some)),
        _share(sum(one.named for one in told), len(told)),
        _share(sum(one.rightly for one in told), len(told)),
        _share(sum(one.slipped_in for one in some), len(some)),
        f"{100 * sum(one.again for one in some) / len(some):.0f}",
        f"{len(far)}",
        _share(len(far_told), len(far)),
        _share(sum(one.named for one in far_told), len(far_told)),
        _share(sum(one.slipped_in for one in far), len(far)),
        _share(sum(one.by_others for one in far), len(far)),
    ))  # fmt: skip


def weights(walks: Sequence[Walked], rate: float) -> list[float]:
    """How often such walks come where so many turns are written otherwise, one of a walk or none."""
    cells = Counter((one.slip, one.thing, one.kind if not one.slip else "") for one in walks)
    found = []
    for one in walks:
        if one.slip:
            found.append(rate * SLIPS[one.slip] * one.turns / cells[one.slip, one.thing, ""])
        else:
            found.append(KINDS[one.kind] * (1.0 - rate * one.turns) / cells["", "", one.kind])
    return found


def odds_rows(walks: Sequence[Walked]) -> list[str]:
    """The told probability of single turns against the share of them that was written otherwise."""
    head = [
        "| told | turns told so: sound | slipped | mean told | "
        + " | ".join(f"share slipped, were {rate:.1%} of all turns" for rate in RATES) + " |",
        "|---|---|---|---|" + "---|" * len(RATES),
    ]  # fmt: skip
    by_rate = [weights(walks, rate) for rate in RATES]
    rows = []
    for low, high in zip(BINS, BINS[1:], strict=False):
        told = [(k, odds) for k, one in enumerate(walks) for odds in one.odds if low <= odds.told < high]
        slipped = sum(odds.slipped for _, odds in told)
        sums = [(sum(of[k] for k, odds in told if odds.slipped), sum(of[k] for k, _ in told)) for of in by_rate]
        mean = f"{sum(by_rate[1][k] * odds.told for k, odds in told) / sums[1][1]:.0%}" if told else "–"
        shares = " | ".join(f"{some / of:.0%}" if of else "–" for some, of in sums)
        name = f"{low:.0%} to {min(high, 1.0):.0%}"
        rows.append(f"| {name} | {len(told) - slipped} | {slipped} | {mean} | {shares} |")
    return head + rows


def main(given: Sequence[str]) -> None:
    """Run the study and write its page."""
    told = argparse.ArgumentParser(prog="python -m tests.studies.whole_turn_slips", description="Study of whole turns.")
    told.add_argument("count", nargs="?", type=int, default=240, help="walks of each kind of corner")
    told.add_argument("seed", nargs="?", type=int, default=SEED)
    told.add_argument("--note", type=Path, default=Path(__file__).with_suffix(".md"))
    how = told.parse_args(given)
    began = time.process_time()
    sound = [*sound_walks(how.count, how.seed)]
    slipped = [*slipped_walks(max(1, how.count // 3), how.seed)]
    minutes = (time.process_time() - began) / 60.0
    parts = (
        (HEAD.format(count=how.count, seed=how.seed), sound_rows(sound)),
        (SLIPPED, slipped_rows(slipped)),
        (ODDS, odds_rows([*sound, *slipped])),
    )
    page = "\n\n".join(f"{head}\n\n" + "\n".join(lines) for head, lines in parts)
    noted(how.note, f"{page}\n\n{minutes:.1f} CPU minutes.\n")


HEAD = """# Whole turns written otherwise

Made by `python -m tests.studies.whole_turn_slips {count} {seed}`, do not edit. Every corner is read as found, its bare
face cleaned, the rotor cleaned, on another stud, and once more as it stands or cleaned again and put back; asked after
each clean mounting, by readings alone, for whole turns written otherwise, and what is asked is done. Tables that are
refused (a coarse dial that shows the same all round) are left out.

Every turn sound; the last row has the kinds of corner as they come:"""
SLIPPED = """One turn written otherwise, kinds of corner as they come. Named: among what is told first is the thing and
mount that slipped; way too: also how. Still counts: in the end, as it was written. What was read as found is dirt and
all: by rule only turns of one mounting are held against each other there. Moved: the first order, at the gauge."""
ODDS = """The told probability that a turn was written otherwise, whatever comes of it, as each table is first asked
after a mounting, against the share of those that were. Slips come as often as the head says (the program takes it for
2 % of turns), kinds of corner and of slip as the population has them:"""


if __name__ == "__main__":
    main(sys.argv[1:])
