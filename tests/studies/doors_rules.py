"""Hard rules on what a door says of a lawful table, each a sentence, and between doors that were asked the same."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from sim.parts.case import Limits
from tests.studies.corners_at_fault import CLEAN
from tests.studies.doors_asked import (
    CLEANS,
    HUB,
    LEAVE,
    MOVE,
    NEITHER,
    NUTS,
    RENEW,
    SCRAP,
    THICK_DONE,
    Found,
    Said,
    sentences,
)
from tests.studies.doors_benches import Bench, Table

#: Beyond any ± of a reading: what a rule is held against. [um], [mm]
SURE_THICK_MM, SURE_DTV_UM, SURE_HUB_UM = 0.012, 9.0, 12.0
#: Nothing that is said of a turn hides that many micrometres of the mounted runout.
SURE_RUNOUT_UM = 14.0
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
    by = {one.door: one for one in told_here}
    return found + opposite(table, by, shows) + studs_apart(table, by)


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
    (THICK_DONE, RENEW), (THICK_DONE, SCRAP), ("read again", LEAVE), ("read again", MOVE), ("read again", RENEW),
    ("read again", HUB), ("read again", NEITHER),
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
    pairs += [("causes", "index")] if bench.hub_limit_um is None else []
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


# Words, and words beside JSON.
#: What no page of ours holds: a figure that is none, a hole where a figure should stand, a word twice.
BROKEN_WORDS = re.compile(
    r"\bnan\b|\bNone\b(?! of| is| that)|\binf\b|[{}]|\bTrue\b|\bFalse\b|-0 µm|\.\.(?!\.)| ,|,,|;;|\( ?\)|"
    r" \.(?= |$)|[.,;:] ?[;:,](?! )"
)
CAUTIONS = {
    "causes": ("does not say that the car is safe",), "causes --case": ("No reading says that the car is safe",),
    "index": ("vehicle maker's instructions stand above",), "seat": ("vehicle maker's instructions stand above",),
    "drive": ("vehicle maker's instructions stand above",), "report": ("vehicle maker's instructions",),
}  # fmt: skip


def of_words(bench: Bench, shows: dict[str, bool], said: Said) -> Broken:
    """No sentence stands twice, no figure is none; a lead is short; the caution is there."""
    for page, text in (("", said.text), ("card: ", said.card)):
        hit = BROKEN_WORDS.search(re.sub(r"─+|–", " ", text.replace("  ", " ")))
        if hit:
            yield f"{page}broken words", text[max(hit.start() - 80, 0) :][:200]
        doubled = re.search(r"\b(?!share )([a-z]{2,}) \1\b", text)
        if doubled:
            yield f"{page}a word twice", text[max(doubled.start() - 80, 0) :][:200]
        told_once: set[str] = set()
        for one in sentences(text):
            one = one.strip()
            if len(one) > 40 and one in told_once:
                yield f"{page}a sentence twice", one
            told_once.add(one)
    for name, cautions in CAUTIONS.items():
        if said.door == name:
            yield from ((f"no caution: {one}", said.text[-300:]) for one in cautions if one not in said.text)


def of_json(bench: Bench, shows: dict[str, bool], said: Said) -> Broken:
    """What leads in JSON stands in the text, its figures in JSON; the act's words are the act's."""
    for lead in said.answer.get("leads") or []:
        bare = re.sub(r"\s+", " ", lead.replace("\xa0", " ")).strip()
        if bare not in said.text and bare.rstrip(".") not in said.text:
            yield "a lead of JSON not in the text", bare
        known = tuple(
            _figures_of({k: v for k, v in said.answer.items() if k not in ("leads", "words", "notes", "cures")})
        )
        bare = re.sub(r"(?:about|up to|\d+ to) \S+ µm|± \S+ (?:mm|µm)|\S+ mm apart", "", bare)  # in no JSON
        for figure in re.findall(r"(?<![\w.])(\d+(?:[.,]\d+)?)(?= ?(?:±|µm|mm|%))|(?<=± )(\d+(?:\.\d+)?)", bare):
            text = figure[0] or figure[1]
            if not _stands(text, known) and float(text) not in STATED_ANYWAY:
                yield "a figure of the lead not in JSON", f"{text}: {bare}"
    do = said.answer.get("do")
    if said.door == "causes --case" and do in DOES and not any(one in said.text[:3500] for one in DOES[do]):
        yield "do and words differ", f"{do}: {said.text[120:420]}"


IN_WORDS = ("leads", "words", "notes", "cures")
#: Divisions, feelers and shares that sentences name whatever was read.
STATED_ANYWAY = (0.001, 0.002, 0.005, 0.01, 0.2, 1.0, 2.0, 5.0, 10.0, 20.0, 80.0, 99.0, 30.0, 3.0)
DOES = {
    "leave it": ("eave it", "eave the rotor"), "clean": ("clean",), "index": ("put the painted hole", "painted hole"),
    "renew or cut the rotor": ("enew the rotor", "renew", "scrap"),
    "hub and bearing": ("ub and bearing", "ub or bearing"),
    "read again": ("ead again", "ead it again", "ead it as it stands", "more"),
}  # fmt: skip


def _figures_of(answer: Any) -> Iterator[float]:
    """All single figures of an answer; long lists are curves."""
    if isinstance(answer, dict):
        for one in answer.values():
            yield from _figures_of(one)
    elif isinstance(answer, list):
        if len(answer) <= 12:
            for one in answer:
                yield from _figures_of(one)
    elif isinstance(answer, (int, float)) and not isinstance(answer, bool):
        yield float(answer)
    elif isinstance(answer, str):
        yield from map(float, re.findall(r"(?<![\w.])\d+(?:\.\d+)?", answer))


def _stands(text: str, known: Sequence[float]) -> bool:
    """Whether a figure of a text is one of these, rounded as it is: as it is, in mm of um, in per cent."""
    value, within = float(text.replace(",", ".")), 0.51 * 10.0 ** -len(text.partition(".")[2])
    factors = (1.0, 1e-3, 100.0, 2.0)
    return any(abs(abs(one) * by - value) <= within for one in known for by in factors)


def heads(bench: Bench, shows: dict[str, bool], said: Said) -> Broken:
    """What a head condemns no list and no card leaves on, moves or fits again."""
    lists = (
        said.text.partition("What to do next, in this order")[2][:3000] or said.card.partition("Work, in this order")[2]
    )
    head = said.text[:900] if not said.card else said.card.partition("Work, in this order")[0]
    condemned = re.search(
        r"\bis scrap(?! \()|\bscrap:|enew the rotor|Hub and bearing(?: first)?[:.]|ead again before", head
    )
    spared = re.search(r"unless|at or under it", head[max((condemned.start() if condemned else 0) - 160, 0) :][:400])
    left = re.search(r"Leave the rotor on|Painted hole on stud|index the rotor", lists)
    if condemned and left and not spared:
        yield "head and list", f"{head[condemned.start() :][:160]} | {lists[max(left.start() - 40, 0) :][:160]}"


def two_acts(table: Table, by: dict[str, Said]) -> list[Found]:
    """Of one table `index` orders what `causes` orders: the same act, on the same stud."""
    pairs = [("causes --case", "index --case")] + ([("causes", "index")] if table.bench.hub_limit_um is None else [])
    return [
        Found(f"two acts: {one} and {other}", table.bench.number,
              " | ".join(f"{by[door].answer.get('do')} {by[door].answer['act']}"[:200] for door in (one, other)))
        for one, other in pairs
        if one in by and other in by and "act" in by[other].answer
        and any(by[one].answer.get(key) != by[other].answer.get(key) for key in ("do", "act"))
    ]  # fmt: skip


def studs_apart(table: Table, by: dict[str, Said]) -> list[Found]:
    """Two doors that move it put it on the same stud."""
    one_stud = len({one.step.studs_turned for one in table.of("mounted")}) == 1
    pairs = [("causes", "causes --case")] if not table.bench.stated and not table.bench.nuts else []
    found = two_acts(table, by)
    for one, other in ((by[one], by[other]) for one, other in pairs if one in by and other in by):
        moved = one.act == other.act == MOVE and one_stud and not table.slipped
        if moved and one.stud != other.stud and one.stud not in (other.answer.get("either") or ()):
            said = f"{one.stud} {lead_of(one)} | {other.stud} {lead_of(other)}"
            found.append(Found(f"another stud, {one.door} and {other.door}", table.bench.number, said))
    return found


OF_A_TABLE = (*OF_A_TABLE, of_words, of_json, heads)
OF_A_CASE = (*OF_A_CASE, of_words, of_json, heads)
