"""Hard rules where things were read several times: what is to be read again leads, and no turn's warning is lost."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from sim.parts.case import Limits
from sim.parts.dial import Dial
from tests.studies import doors_benches as benches
from tests.studies.corners_at_fault import CLEAN
from tests.studies.doors_asked import (
    CLEANS,
    HUB,
    LEAVE,
    MOVE,
    NEITHER,
    OPEN,
    RENEW,
    THICK_DONE,
    Found,
    Said,
    sentences,
)
from tests.studies.doors_benches import Bench, Table, Turn
from tests.studies.doors_rules import (
    CUT,
    ONLY_IF,
    SURE_DTV_UM,
    SURE_HUB_UM,
    SURE_THICK_MM,
    WITH_CASE,
    Broken,
    lead_of,
    leaves,
)
from tests.studies.doors_truth import hub_face_um
from tests.studies.doors_turns import sound_um

#: What no page does while one of its lines wants something read again.
ACTS = (LEAVE, CLEANS, MOVE, RENEW, HUB, NEITHER, OPEN, THICK_DONE, "shim", "cut")
READ_AGAIN = re.compile(r"\bread\b[^.;:]{0,70}\bagain\b|third time|, read the turn again|read it (?:once|twice) more")
WAS_READ = re.compile(r"\bwas read again\b|where it was read put its lines back")
OUTVOTED = 3  # turns that tell otherwise let one go
LEVELS_MM, TWO = 0.03, 2  # levels that part; so many turns at one level let another go
THRICE = re.compile(r"[Rr]ead (\d+) times\b[^;!]*third time")


def notes_of(answer: Any) -> Iterator[str]:
    """Every note of an answer's JSON."""
    if isinstance(answer, dict):
        for key, value in answer.items():
            told = key in ("notes", "reading_faults", "read_again") and isinstance(value, list)
            yield from (one for one in value if isinstance(one, str)) if told else notes_of(value)
    elif isinstance(answer, list) and len(answer) <= 40:
        for one in answer:
            yield from notes_of(one)


def of_notes(table: Table, said: Said) -> Broken:
    """While a line orders something read again a reading leads, a stop or scrap; in JSON as on the page."""
    printed = [one.partition("▌")[0] for one in re.split(r"(?<=\s)! ", said.text)[1:]]
    for page, notes in (("", printed), ("JSON, ", list(notes_of(said.answer)))):
        wanted = [one for one in notes if READ_AGAIN.search(one) and not WAS_READ.search(one)]
        if wanted and said.act in ACTS:
            yield f"{page}{said.act} leads, something is to be read again", f"{wanted[0][:160]} | {lead_of(said)}"
            return


def _votes(turns: Sequence[Turn], over: Sequence[bool]) -> bool:
    """Whether one turn is over that no `OUTVOTED` others outvote."""
    return any(over) and len(turns) - sum(over) < OUTVOTED


def shown_over(table: Table, with_case: bool, hub_known: bool) -> Iterator[str]:
    """What is over its limit by the truth and by more than its ±, and shown so by a turn that nothing outvotes."""
    bench, last = table.bench, table.last.step
    mounted = [one for one in table.of("mounted") if (one.step.mount, one.step.state) == (last.mount, last.state)]
    over = [
        _tir(one) > bench.limit_um
        and benches.mounted_um(bench, one.step) > bench.limit_um + Dial(one.step_um or bench.dial_um, 1).doubt_um
        for one in mounted
    ]
    if _votes(mounted, over):
        yield f"{max(benches.mounted_um(bench, one.step) for one in mounted):.0f} µm of {bench.limit_um:g} by the truth"
    thick, dtv_um = table.of("thickness"), bench.dtv_um if with_case else Limits().dtv_um
    varies = benches.varies_at_places_um(bench)
    if varies > dtv_um + SURE_DTV_UM and _votes(thick, [_tir(one) > dtv_um for one in thick]):
        yield f"thickness varies by {varies:.0f} µm of {dtv_um:g} by the truth"
    faces = [one for one in table.of("hub face") if one.step.state in CLEAN]
    leans, allowed = hub_face_um(bench), bench.hub_allowed_um
    if hub_known and leans > allowed + SURE_HUB_UM and _votes(faces, [_tir(one) > allowed for one in faces]):
        yield f"hub face {leans:.0f} µm of {allowed:.0f} by the truth"


def _tir(one: Turn) -> float:
    """Highest less lowest of its sound places. [um]."""
    sound = sound_um(one)
    return float(np.ptp(sound)) if sound.size else 0.0


def levels_mm(table: Table) -> list[float]:
    """Thinnest sound place of every turn of the thickness. [mm]."""
    return [float(sound_um(one).min()) / 1e3 for one in table.of("thickness") if sound_um(one).size]


def of_truth(table: Table, said: Said) -> Broken:
    """Nothing is left on that a turn shows over its limit, nor left, moved or cut that one shows under its stamp."""
    bench, with_case = table.bench, said.door in WITH_CASE
    left = leaves(said) if said.act in ACTS else ""
    left = left or (said.text[:300] if said.act == LEAVE else "")  # to be read it stays on
    if left and said.door.startswith(("causes", "index")):
        hub_known = with_case or bench.hub_limit_um is None
        yield from (("left on, shown over", f"{why}: {left}") for why in shown_over(table, with_case, hub_known))
    levels = levels_mm(table)
    if with_case and bench.stated:
        thin = sum(one < bench.stamp_mm - SURE_THICK_MM for one in levels)
        cuts = CUT.search(lead_of(said)) or said.act == "cut"
        if thin and len(levels) - thin < TWO and (left or cuts or said.act in (LEAVE, MOVE)):
            yield "left on, a turn under the stamp", f"{min(levels):.3f} of {bench.stamp_mm:g} mm: {lead_of(said)}"
    middle = [float(np.median(one.value_um)) / 1e3 for one in table.of("thickness")]
    agree = max((sum(abs(one - other) <= LEVELS_MM for other in middle) for one in middle), default=0)
    if len(middle) > 1 and agree < TWO and said.act in ACTS:
        yield f"{said.act} leads, levels part", f"{min(middle):.3f} and {max(middle):.3f} mm: {lead_of(said)}"


def of_orders(table: Table, said: Said) -> Broken:
    """No third reading of what was read three times, nothing ordered always and only if; what was is not read."""
    for page, text in (("", said.text), ("card, ", said.card)):
        often = [int(one) for one in THRICE.findall(text)]
        if any(times >= 3 for times in often):
            yield f"{page}a third time after {max(often)}", text[max(text.index("third time") - 200, 0) :][:260]
        always, only = set(), set()
        for one in sentences(text):
            for what in re.findall(r"(bare hub face|thickness)[^.;]{0,40}: read it (?:once|twice) more", one):
                before = one[: one.index(what)]
                (only if ONLY_IF.search(before) or "over it" in before else always).add(what)
        yield from ((f"{page}ordered always and only if", what) for what in sorted(always & only))
    lead = lead_of(said).partition(" ! ")[0]
    gone = {one.step.mount for one in table.of("mounted")} - {table.last.step.mount}
    for mount in sorted(gone) if said.act == "read again" else ():
        if re.search(rf"mounted, mount {mount}: (?:read [\d, and]+ degrees again|[^;.]*read the turn again)", lead):
            yield "to be read again, a mount that is gone", lead
    if said.card and re.search(r"rock the hub|checked for play", lead) and not re.search(r"[Rr]ock|play", said.card):
        yield "card, no box for the bearing", said.card[:300]


def judge_turns(table: Table, answers: Sequence[Said]) -> list[Found]:
    """Every rule of several turns, on every answer about the table, and between them."""
    told = [one for one in answers if not one.code and one.act]
    first = [one for one in told if one.act == "read again"]
    apart = [one for one in told if first and one.act in ACTS]
    found = [
        Found(f"{one.act} leads, read again at another door", table.bench.number,
              f"{one.door} [{one.act}]: {lead_of(one)[:200]} | {first[0].door}: {lead_of(first[0])[:300]}")
        for one in apart
    ]  # fmt: skip
    return found + [
        Found(rule, table.bench.number, f"{said.door} [{said.act}]: {what.strip()[:420]}")
        for said in told
        for of in (of_notes, of_truth, of_orders)
        for rule, what in of(table, said)
    ]


def smaller(table: Table) -> Iterator[Table]:
    """The table with one turn less, the last first; a mounted one stays."""
    for place in reversed(range(len(table.turns))):
        turns = (*table.turns[:place], *table.turns[place + 1 :])
        if any(one.step.kind == "mounted" for one in turns):
            yield Table(table.bench, turns)


def of_bench(bench: Bench) -> str:
    """What is true of a bench, in one line."""
    face, thin = hub_face_um(bench), f"{bench.thinnest_mm:.3f} mm of {bench.stamp_mm:g}"
    varies = f"varies {benches.varies_at_places_um(bench):.0f} of {bench.dtv_um:g}"
    play = f", knocks {bench.knock_um:g}" if bench.knock_um else ""
    return f"hub face {face:.0f} of {bench.hub_allowed_um:.0f} µm, {varies} µm, {thin}, limit {bench.limit_um:g}{play}"
