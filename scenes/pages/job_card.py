"""The job card: an A4 sheet from readings to the work: act, write and sign on the front, why on the back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
from markupsafe import Markup

from scenes import palette
from scenes.pages.fitting_sheet import limits, stamped
from scenes.pages.templated import environment
from scenes.plots.causes import GAP_MM, leading, overlay
from scenes.plots.numbered_face import Spot, numbered_face
from scenes.words import (
    card_stages,
    causes_do,
    causes_first,
    causes_read,
    causes_thickness,
    causes_work,
    fastening,
    hub_and_rotor,
    stated_work,
    to_read_again,
    what_leads,
    words,
    written_rows,
    your_count,
)
from scenes.words import causes as said
from scenes.words.held_to_read import PLACES
from sim import turn
from sim.bench.cleaned_again import STANDING
from sim.bench.mostly_over import as_it_counts
from sim.bench.open_readings import open_readings
from sim.causes import names
from sim.causes.one_act import has_play
from sim.files.as_counted import place_deg
from sim.parts.discard import is_stated

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from sim.causes.answer import Finding
    from sim.files.dial_readings import Readings, Trace
    from sim.parts.case import Case

# Of the back in mm: all of it, head and foot, a line of table or words, its letters, the overlay's head, one trace.
BACK_MM, ENDS_MM, ROW_MM, LETTERS, OVERLAY_MM, TRACE_MM = 270.0, 44.0, 4.8, 110, 19.0, 21.0
MOST_ROWS = 8  # turns of readings that find room; the file has them all
MOST_PLACES = 16
LONG_NAME = 36  # letters of a turn's name that find room in one line; tried
MOST_SPOTS = 2
# Letters of action, verdict and work that fill the front in letters of usual size, and in small ones; tried.
ROOM, MOST_ROOM = 3350, 4050
DENSE, FACE_MM = "tight dense", (46.0, 40.0)  # how wide the hub is drawn, and there
CAUTIONS = ("maker first", "stands", "hot", "hang the caliper", "no compressed air", "never drawn home",
            "no impact gun", "cracked is scrap", "pump the pedal", "re-torque")  # fmt: skip
IN_A_BOX = "mask and eyes"  # a caution that the box of the wheel says, where the card begins there
COLOUR = {names.HUB_DIRT: palette.SCALE, names.ROTOR_DIRT: palette.SCALE, names.SPIGOT: palette.SCALE}


@dataclass(frozen=True)
class Turn:
    """One turn of readings as it is printed: what it is, where, the figures, highest less lowest."""

    name: str
    angles: tuple[str, ...]
    figures: tuple[str, ...]
    spread: str


def job_card_html(found: Finding, readings: Readings, case: Case, made_on: date | None = None, file: str = "") -> str:
    """Build the job card.

    Parameters
    ----------
    found : Finding
        As the readings were weighed on this geometry.
    readings : Readings
        They are printed, as their dial showed them.
    case : Case
        Its limits, studs and fastener are named.
    made_on : date, optional
        Printed date; today unless given.
    file : str
        Name of the readings file.

    Returns
    -------
    str
        One HTML document, complete in itself, both sides of one A4 sheet when printed.
    """
    spots = _spots(found)
    counted, _ = as_it_counts(readings, case.limits)
    doubts = tuple(fault.text for fault in open_readings(counted))
    by = your_count.Count(readings.turned, found.told.studs)
    turns = [_turn(trace, by, _counts(trace, found)) for trace in readings.traces]
    limit = words.micrometres(case.limits.mounted_runout_um)
    thin = causes_thickness.too_thin(readings, case)
    act = causes_first.first_line(found, readings, case, doubts, _star(case), boxed=True)
    verdict = said.verdict(found, doubts)
    beside = (
        hub_and_rotor.between_places(found.told),
        causes_thickness.thickness(found),
        causes_thickness.discard(found, readings, case),
    )
    told = " ".join(filter(None, beside))
    ordered = card_stages.ordered(found, readings, case, thin)
    work = card_stages.card_stages(ordered, readings, case, thin, doubts)
    stated, held = causes_first.stated(found, readings, case), causes_first.before_readings(found, case)
    ranked, after = said.ranked_rows(found, 4), [] if held else said.after_rows(found)  # none passes, nothing is read
    more, notes = (
        [] if held else causes_read.next_rows(found, readings, case),
        to_read_again.remarks(found.told, counted)[:2],
    )
    led = what_leads.of_case(case, causes_work.read_now(found))
    keys = causes_work.card_keys(ordered, case, doubts)
    said_in_a_box = "clean" not in keys or "lift" in keys
    asked = stated_work.cautions_of(case, led, lifted=True, also=(*CAUTIONS, *_also(keys)))
    warned = [one for one in asked if not (said_in_a_box and one.key == IN_A_BOX)]
    most = _overlaid(len(ranked) + len(after), turns, "".join((*(how + why for how, _, why in more), *notes)))
    boxes = (one.what for stage in work for one in stage.works)
    tight = _letters(*stated.before, *stated.behind, act, verdict, told, *boxes, *(one.text for one in warned))
    size_mm = FACE_MM[tight == DENSE]
    page = (
        environment()
        .get_template("job_card.html")
        .render(
            stated=stated,
            tight=tight,
            case=case,
            file=file,
            made_on=(made_on or date.today()).isoformat(),
            action=act.partition(causes_do.ONLY_OVER),
            verdict=verdict,
            thickness=told,
            ranked=ranked,
            after=after,
            limit=limit,
            counting=your_count.BRIEFLY,
            next=more,
            overlay=Markup(overlay(found, most, row_mm=TRACE_MM, turned=readings.turned)) if leading(found) else "",
            face=Markup(_face(found, readings, spots, size_mm)),
            spots=[(spot.text, name + _gone(name, found)) for spot, name in zip(spots, _named(found), strict=True)],
            turns=turns[:MOST_ROWS],
            more=len(turns) - MOST_ROWS,
            notes=notes,
            stages=work,
            cautions=warned,
            limits=limits(case),
            thinnest=causes_thickness.thinnest(readings, case),
            stamp=stamped(case) if is_stated(case) else "",
            to_write=causes_work.written(ordered, keys, doubts),
            high_spot=written_rows.HIGH_SPOT,
            written_so=written_rows.WRITTEN_SO,
            weighed=said.WEIGHED,
            not_safe=said.NOT_SAFE,
            small_reading=_small_reading(readings, case),
        )
    )
    return fastening.said_html(your_count.page(page, by), case)


def _also(keys: Collection[str]) -> tuple[str, ...]:
    """Cautions that only some cards need: that refit a rotor, clean it, or begin where it is turned."""
    greasy = ("nothing greasy",) if "fit" in keys else ()
    turned = () if "lift" in keys or not {"read", "hub face", "thickness"} & {*keys} else ("fingers out",)
    return *greasy, *((IN_A_BOX,) if "clean" in keys else ()), *turned


def _overlaid(rows: int, turns: Sequence[Turn], said_too: str) -> int:
    """How many traces are drawn on what the causes make of them: as many as find room beside tables and words."""
    lines = sum(1 + (len(turn.name) > LONG_NAME) for turn in turns[:MOST_ROWS]) + rows + 4 + len(said_too) / LETTERS
    return max(1, int((BACK_MM - ENDS_MM - OVERLAY_MM - ROW_MM * lines) / (TRACE_MM + GAP_MM)))


def _letters(*told: str) -> str:
    """How small the letters of the front have to be for it to stay one page: as usual, tight, or tight and dense."""
    letters = sum(map(len, told))
    return DENSE if letters > MOST_ROOM else "tight" if letters > ROOM else ""


def _star(case: Case) -> str:
    """Mark of a limit that nobody gave; its note stands at the foot."""
    return "*" if case.where_from("limits", "mounted_runout_um") == "default" else ""


def _small_reading(readings: Readings, case: Case) -> str:
    """What the last mounted reading does not clear, where it reads under its limit and was not held as it should be."""
    last = [trace for trace in readings.traces if trace.kind == "mounted"][-1:]
    small = [trace for trace in last if turn.tir(trace.value_um) <= case.limits.mounted_runout_um]
    return words.small_reading(small[0].clamped_by) if small else ""


def _named(found: Finding) -> list[str]:
    """Causes whose high spot is drawn: what was found, else those that cannot be told apart."""
    wanted = (found.finding,) if found.finding else found.cannot_tell
    where = {one.cause: one.high_spot_deg for one in found.ranked}
    blamed = not (found.none_fits or has_play(found.told))
    return [one for one in wanted if one and where.get(one) is not None][:MOST_SPOTS] if blamed else []


def _gone(name: str, found: Finding) -> str:
    """Said with a high spot of what lay there before cleaning."""
    return ", before it was cleaned" if name in names.CLEANED_OFF and said.read_clean(found) else ""


def _face(found: Finding, readings: Readings, spots: Sequence[Spot], size_mm: float) -> str:
    """Draw the hub face as the table counts it."""
    return numbered_face(found.told.studs, PLACES, spots, size_mm, said.where_now(found), readings.turned)


def _spots(found: Finding) -> list[Spot]:
    """High spots on the hub; one that goes with the rotor stands where the rotor sits now."""
    rows = {one.cause: one for one in found.ranked}
    on = said.where_now(found) * 360.0 / found.told.studs
    spots = []
    for letter, name in zip("AB", _named(found), strict=False):
        one = rows[name]
        angle = (one.high_spot_deg or 0.0) + (on if one.frame == "rotor" else 0.0)
        spots.append(Spot(angle % 360.0, one.high_spot_half_deg or 0.0, letter, COLOUR.get(name, palette.HIGH)))
    return spots


def _counts(trace: Trace, found: Finding) -> bool:
    """Whether a turn still counts: what was read over dirt that a second cleaning took does no more."""
    again = found.told.again
    return again is None or trace.kind not in STANDING or trace.mount not in again.over_dirt


def _turn(trace: Trace, by: your_count.Count, counts: bool = True) -> Turn:
    """Print a turn in the order of its table: what the dial showed, a thickness as what it is over its least."""
    order = np.argsort([place_deg(angle, by.turned) for angle in trace.angle_deg])
    sign = -1.0 if trace.kind == "inboard" else 1.0
    shown = trace.value_um - trace.value_um.min() if trace.kind == "thickness" else sign * trace.value_um
    name = "hub face, bare" if trace.kind == "hub face" else f"{trace.kind} {trace.mount}, {trace.state}"
    if trace.kind == "thickness":
        name += ", over its least"
    if trace.kind != "hub face":
        name += f", stud {trace.studs_turned + 1}"
    if not counts:
        name += ", counts no more"
    few = trace.angle_deg.size <= MOST_PLACES
    angles = tuple(f"{angle:.0f}°" for angle in trace.angle_deg[order]) if few else ()
    figures = tuple(words.mark(float(np.round(value))) for value in shown[order]) if few else ()
    return Turn(words.clean(name, 80), angles, figures, words.micrometres(turn.tir(trace.value_um)))
