"""The handout: eight chapters in one file that opens from disk, with solved seatings to try; nothing is fetched."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scenes import palette
from scenes.geometry import exaggeration, rows, shapes
from scenes.pages import viewer_scene
from scenes.pages.templated import environment, scripts
from scenes.pages.viewer_scene import floats, json_text, pairs
from scenes.words import cautions, corner, fastening, words
from scenes.words import handout as said
from sim import turn
from sim.corner.driven import Driven
from sim.errors import BadInput, Fault
from sim.handout.chapters import KM, Solved
from sim.handout.numbers import Numbers, numbers
from sim.handout.speck_table import ALLOWED_SHARE, ALLOWED_UM, Table
from sim.parts.case import Case, Debris
from sim.parts.fastener import nouns
from sim.parts.materials import tensile_strength_mpa
from sim.progress import Progress, silent
from sim.spigot.state import SpigotState
from sim.wear.forecast import Forecast

MOST_BYTES = 2_000_000
"""A handout is mailed and opened on phones."""
MOST_WORDS = 400
"""Characters of a trainer's title or opening words."""
CUT_DEG = 66.0
PADS_DEG = 120.0
"""World angle of the pads' middle."""
SCRIPTS = ("viewer.js", "handout_drawings.js", "handout.js")
INVENTED = "demo corner: all parts and figures of it are invented"


@dataclass(frozen=True)
class Trainer:
    """A trainer's own words on the page.

    Parameters
    ----------
    title : str
        Heading; the case's own title unless given.
    words : str
        A sentence or two under it.
    invented : bool
        Whether the page says that its corner is invented.
    """

    title: str = ""
    words: str = ""
    invented: bool = False

    def __post_init__(self) -> None:
        for key, text in (("--title", self.title), ("--words", self.words)):
            if len(text) > MOST_WORDS:
                raise BadInput(Fault(f"{len(text)} characters", key=key, allowed=f"at most {MOST_WORDS}"))
            if any("\ud800" <= one <= "\udfff" for one in text):  # bytes of a shell that are none of its own text
                raise BadInput(Fault("holds bytes that are no text", key=key, allowed="text in UTF-8"))


def solve(case: Case, preset: str = "standard", progress: Progress = silent) -> Numbers:
    """Solve all that the page shows of a corner.

    Parameters
    ----------
    case : Case
    preset : str
    progress : callable(fraction, what)

    Raises
    ------
    BadInput, Refused
        As `sim.handout.numbers.numbers`.
    """
    sections = rows.rotor_rows(case).points_mm, rows.hub_rows(case).points_mm
    return numbers(case, sections, preset, progress)


def page_html(found: Numbers, trainer: Trainer | None = None) -> str:
    """Write the page.

    Parameters
    ----------
    found : Numbers
    trainer : Trainer, optional

    Returns
    -------
    str
        HTML of one file.
    """
    trainer = Trainer() if trainer is None else trainer
    case, call = found.case, nouns(found.case.studs)
    gaps = facts(found)
    chapters = [_filled(chapter, gaps) for chapter in said.CHAPTERS]
    ui = fastening.answered(said.UI, case.studs)
    html = (
        environment()
        .get_template("handout.html")
        .render(
            title=trainer.title or case.title,
            opening=trainer.words,
            invented=INVENTED if trainer.invented else "",
            chapters=chapters,
            cautions={key: one.text for chapter in chapters for key in chapter.cautions
                      for one in cautions.named(key, call=call)},
            error=error_words(found),
            limits=said.LIMITS.format(
                mounted=words.micrometres(case.limits.mounted_runout_um),
                whose=words.limit_from(case, "mounted_runout_um"),
                dtv=words.micrometres(case.limits.dtv_um),
                dtv_whose=words.limit_from(case, "dtv_um"),
            ),
            one_speck=said.ONE_SPECK if len(case.debris) + len(case.spigot_scale) > 1 else "",
            colours=palette.COLOURS,
            ui=ui,
            data=json_text(data(found) | {"ui": ui, "bets": [chapter.bets for chapter in chapters]}),
            script=scripts(SCRIPTS),
        )
    )  # fmt: skip
    html = fastening.said_html(html, case)
    if len(html.encode()) > MOST_BYTES:
        raise BadInput(Fault(f"the page is {len(html.encode())} bytes, more than {MOST_BYTES}", key="handout"))
    return html


def _filled(chapter: said.Chapter, gaps: dict[str, str]) -> said.Chapter:
    """Fill the gaps of a chapter with this corner's figures."""
    quiz = replace(
        chapter.quiz,
        ask=chapter.quiz.ask.format(**gaps),
        answers=tuple(
            replace(one, text=one.text.format(**gaps), why=one.why.format(**gaps)) for one in chapter.quiz.answers
        ),
    )
    return replace(
        chapter,
        lead=chapter.lead.format(**gaps),
        ask=chapter.ask.format(**gaps),
        explain=tuple(text.format(**gaps) for text in chapter.explain),
        do=chapter.do.format(**gaps),
        quiz=quiz,
    )


def facts(found: Numbers) -> dict[str, str]:
    """Figures that the chapters' sentences are filled with, as they are printed."""
    case, speck, outward = found.case, found.speck, found.outward
    h, where = speck.height_um, (speck.inner_radius_mm + speck.outer_radius_mm) / 2.0
    inner, row = float(outward.places[2]), int(np.argmin(np.abs(outward.places - where)))
    node = int(np.argmin(np.abs(outward.heights_um - h)))

    def read(place: float, height: float) -> str:
        return words.micrometres(_tir(outward, place, height, speck))

    share = h / float(outward.heights_um[node]) if node else 1.0
    kind = {"hard": "something hard"}.get(speck.kind, speck.kind)
    return {
        "Kind": kind[0].upper() + kind[1:],
        "speck": words.micrometres(h),
        "hair": said.HAIR,
        "where": corner.where(case, speck),
        "tir": read(where, h),
        "clean": read(where, 0.0),
        "left": words.micrometres(left_um(outward, where, h)),
        "rigid": words.micrometres(share * float(outward.rigid_um[row, node])),
        "stretch": exaggeration.times(stretch(found)),
        "outer_mm": f"{where:.0f}",
        "inner_mm": f"{inner:.0f}",
        "tir_outer": read(where, h),
        "tir_inner": read(inner, h),
        "rigid_outer": words.micrometres(share * float(outward.rigid_um[row, node])),
        "bite": said.BITES_OUTSIDE
        if _tir(outward, where, h, speck) > _tir(outward, inner, h, speck)
        else said.BITES_INSIDE,
        "rigid_inner": words.micrometres(share * float(outward.rigid_um[2, node])),
        **_later_facts(found),
    }


def _later_facts(found: Numbers) -> dict[str, str]:
    """Figures of the chapters after the second, as they are printed."""
    case, later = found.case, found.chapters
    start, forecast = later.roads.driven[-1], later.roads.forecasts[-1]
    assert start.seat is not None
    holes = _by_hole(found)
    best, names = int(np.argmin(holes)), later.clampings.axes[1]
    held = later.clampings.seats[-len(names) :]
    bore = _bore(found)
    return {
        "clearance": words.micrometres(case.caliper.clearance_um),
        "places": "twelve",
        "dtv_limit": f"{words.micrometres(case.limits.dtv_um)} ({words.limit_from(case, 'dtv_um')})",
        "turns": f"{case.drive.revolutions_per_km:.0f}",
        "driven": words.micrometres(start.seat.gauge_runout_um),
        "road": _road_words(forecast),
        "late": words.MODEL_ONLY,
        **bore,
        "studs": str(case.studs.count),
        "hole_first": words.micrometres(holes[0]),
        "hole_best": str(best + 1),
        "hole_least": words.micrometres(holes[best]),
        "hole_gain": words.micrometres(holes[0] - holes[best]),
        "two_nuts": words.REFUSED if held[0] is None else words.micrometres(held[0].gauge_runout_um),
        "spacers": words.REFUSED if held[-2] is None else words.micrometres(held[-2].gauge_runout_um),
        "band": _band_words(start, case.gauge.face),
    }


def _road_words(forecast: Forecast) -> str:
    """When the limit is passed, in a sentence."""
    span = [words.kilometres(km) if km is not None else "later than that" for km in
            (forecast.km_to_limit, forecast.km_low, forecast.km_high)]  # fmt: skip
    if forecast.km_to_limit is None:
        first = f"With the case's own values the limit is not passed within {words.kilometres(KM)}"
        if forecast.km_low is None:
            return f"{first}."
        return f"{first}; in the earliest tenth of the draws it is, before {span[1]}."
    return f"The limit is passed after {span[0]}; 80 % band {span[1]} to {span[2]}."


def _band_words(start: Driven, face: str) -> str:
    if start.wheel is None:
        return f"no band here ({start.without_band})." if start.without_band else "no band here."
    low, high = start.wheel.span_um(face)
    return f"80 % band {words.micrometres(low)} to {words.micrometres(high)}."


def _by_hole(found: Numbers) -> list[float]:
    """Runout on every hole with the case's own hub face runout. [um]."""
    holes = found.chapters.holes
    at = holes.axes[0].index(found.case.hub.face_runout_um) * found.case.studs.count
    return [math.nan if one is None else one.gauge_runout_um for one in holes.seats[at : at + found.case.studs.count]]


def _bore(found: Numbers) -> dict[str, str]:
    """Figures of the chapter on the spigot: where it begins, and the same scale drawn home."""
    case, solved = found.case, found.chapters.spigot
    start = spigot_start(found)
    home = solved.seats[2 * start + 1]
    state = None if home is None else home.state
    crack = state is not None and state.crack_warning is not None
    return {
        "scale_um": words.micrometres(float(solved.axes[0][start])),
        "gap": words.micrometres(1000.0 * (case.rotor.bore_diameter_mm - case.hub.spigot_diameter_mm)),
        "hoop": words.REFUSED if state is None else f"{_hoop_mpa(state):.0f}{words.GAP}MPa",
        "strength": f"{_strength_mpa(found):.0f}{words.GAP}MPa",
        "crack": said.MAY_CRACK if crack else said.NO_PROMISE,
        "forced": words.REFUSED if home is None else words.micrometres(home.gauge_runout_um),
    }


def _strength_mpa(found: Numbers) -> float:
    return float(tensile_strength_mpa(found.case.rotor))


def _hoop_mpa(state: SpigotState) -> float:
    """Hoop stress at the bore, of the wedge alone or of all loads: the larger, as every other answer has it. [MPa]."""
    return float(max(state.hoop_stress_mpa, state.total_hoop_stress_mpa))


def spigot_start(found: Numbers) -> int:
    """Which height of scale the chapter begins with: the least that hands do not push the rotor home over."""
    solved = found.chapters.spigot
    short = [k for k in range(len(solved.axes[0])) if (one := solved.seats[2 * k]) is not None and not one.is_home]
    return short[-1] if short else len(solved.axes[0]) - 1


def _nodes(found: Numbers, name: str) -> dict[str, Any]:
    """Traces and motions of a chapter's nodes."""
    solved: Solved = getattr(found.chapters, name)
    left = [
        one.contact.residual_height_um[0] if one is not None and one.case.debris else 0.0 for one in solved.seats
    ]  # fmt: skip
    return {
        "axes": solved.axes,
        "ok": [one is not None for one in solved.seats],
        "left": [round(float(value), 2) for value in left],
        "outboard": floats(pairs(solved.orders_um("outboard"))),
        "inboard": floats(pairs(solved.orders_um("inboard"))),
        "rotor": floats(pairs(found.rotor.nodes[name])),
        "hub": floats(pairs(found.hub.nodes[name])),
    }


def _spigot_data(found: Numbers) -> dict[str, Any]:
    solved = found.chapters.spigot
    states = [None if one is None else one.state for one in solved.seats]
    scale = next(one.case.spigot_scale[0] for one in solved.seats if one is not None)
    most = max(max(one.lateral_runout_um.values()) for one in solved.seats if one is not None)
    wish = exaggeration.SWING_SHARE * found.case.rotor.outer_diameter_mm / 2.0 / (1e-3 * most)
    return _nodes(found, "spigot") | {
        "start": spigot_start(found),
        "stretch": min(stretch(found), exaggeration.round_down(wish)),
        "strength": _strength_mpa(found),
        "word": ["" if one is None else one.on_spigot for one in solved.seats],
        "standOff": [0.0 if one is None else float(max(one.stand_off_um)) for one in states],
        "hoop": [0.0 if one is None else _hoop_mpa(one) for one in states],
        "crack": [one is not None and one.crack_warning is not None for one in states],
        "top": float(100.0 * np.ceil(most / 100.0)),
        "scale": {"angle": scale.angle_deg, "arc": scale.arc_deg, "long": scale.to_face_mm},
    }


def _roads_data(found: Numbers) -> dict[str, Any]:
    roads = found.chapters.roads
    face = 0 if found.case.gauge.face == "outboard" else 1

    def rows(pick: Any) -> list[list[float]]:
        return [[round(float(value), 3) for value in pick(one)] for one in roads.forecasts]

    banded = [one.draws > 0 for one in roads.forecasts]
    return {
        "heights": roads.heights_um,
        "most": KM,
        "limit": found.case.limits.dtv_um,
        "km": rows(lambda one: one.distance_km),
        "dtv": rows(lambda one: one.dtv_um),
        "low": [row if has else None for row, has in zip(rows(lambda one: one.dtv_low_um), banded, strict=True)],
        "high": [row if has else None for row, has in zip(rows(lambda one: one.dtv_high_um), banded, strict=True)],
        "face": rows(lambda one: one.face_runout_um[:, face]),
        "kmLimit": [one.km_to_limit for one in roads.forecasts],
        "kmLow": [one.km_low for one in roads.forecasts],
        "kmHigh": [one.km_high for one in roads.forecasts],
    }


def _holes_data(found: Numbers) -> dict[str, Any]:
    case = found.case
    return _nodes(found, "holes") | {
        "start": found.chapters.holes.axes[0].index(case.hub.face_runout_um),
        "own": case.rotor.own_runout_um,
        "ownAt": case.rotor.own_high_spot_deg,
        "hubAt": case.hub.face_high_spot_deg,
        "reach": case.gauge_radius_mm / case.rotor.own_runout_read_at_mm,
        "lever": case.gauge_radius_mm / case.hub.read_radius_mm,
    }


def _wheel_data(found: Numbers) -> dict[str, Any]:
    start = found.chapters.roads.driven[-1]
    band = () if start.wheel is None else start.wheel.span_um(found.case.gauge.face)
    return _nodes(found, "wheel") | {"band": [round(float(value), 2) for value in band]}


def _pads_data(case: Case) -> dict[str, Any]:
    level, (inner, outer) = shapes.levels(case), shapes.pad_band(case)
    return {
        "inner": inner,
        "outer": outer,
        "arc": case.pads.arc_deg,
        "angle": PADS_DEG,
        "thick": case.pads.thickness_mm,
        "outFace": level.outboard_face_mm,
        "inFace": level.inboard_face_mm,
        "clearance": case.caliper.clearance_um,
    }


def _tir(made: Table, place: float, height_um: float, speck: Debris) -> float:
    return turn.tir(made.trace_um(place, height_um, speck.angle_deg))


def left_um(made: Table, place: float, height_um: float) -> float:
    """Height on which the rotor stands once the speck is crushed, read from a table. [um]."""
    first, second = made.weights(place, height_um)
    return float(first @ made.left_um @ second)


def stretch(found: Numbers) -> float:
    """One factor for all pictures of the tables: the usual one, less where a rotor would leave the picture."""
    most = max(float(max(one.lateral_runout_um.values())) for one in found.around.seats)
    return viewer_scene.stretch_of(found.case, most)


def error_words(found: Numbers) -> str:
    """Say how far the page's figures are from direct solves."""
    worst = max((found.around.error, found.outward.error), key=lambda error: error.of_allowed)
    runout = max(found.around.error.runout_um, found.outward.error.runout_um)
    needle = max(found.around.error.needle_um, found.outward.error.needle_um)
    solves = found.around.error.solves + found.outward.error.solves
    told = (
        f"Sliders read between solved seatings. Held against {solves} direct solves, the runout is off by at most "
        f"{words.micrometres(runout)}, any reading by at most {words.micrometres(needle)} "
        f"(allowed: {ALLOWED_UM:.0f} µm or {100 * ALLOWED_SHARE:.0f} %)."
    )
    if worst.holds:
        return told
    return f"{told} That is more than is allowed, so the sliders go from one solved seating to the next."


def data(found: Numbers) -> dict[str, Any]:
    """Everything that the scripts of the page compute with, ready for JSON."""
    case, speck = found.case, found.speck
    return {
        "scene": _scene(found),
        "speck": {
            "angle": speck.angle_deg,
            "arc": speck.arc_deg,
            "inner": speck.inner_radius_mm,
            "outer": speck.outer_radius_mm,
            "height": speck.height_um,
        },
        **viewer_scene.hub_face(case),
        "rim": case.rotor.outer_diameter_mm / 2.0,
        "gauge": case.gauge_radius_mm,
        "gaugeFace": case.gauge.face,
        "cut": CUT_DEG,
        "hair": corner.HAIR_UM,
        "around": _table(found.around, found.rotor.around, found.hub.around),
        "outward": _table(found.outward, found.rotor.outward, found.hub.outward),
        "clean": {
            "rotor": floats(pairs(found.rotor.clean)),
            "hub": floats(pairs(found.hub.clean)),
            "outboard": floats(pairs(found.around.clean_um[0])),
            "inboard": floats(pairs(found.around.clean_um[1])),
        },
        "pads": _pads_data(case),
        "roads": _roads_data(found),
        "spigot": _spigot_data(found),
        "holes": _holes_data(found),
        "clampings": _nodes(found, "clampings"),
        "wheel": _wheel_data(found),
    }


def _table(made: Table, rotor: NDArray, hub: NDArray) -> dict[str, Any]:
    return {
        "first": made.first,
        "places": [float(made.places[0]), float(made.places[1] - made.places[0]), made.places.size],
        "heights": [0.0, float(made.heights_um[1]), made.heights_um.size],
        "outboard": floats(pairs(made.outboard_um)),
        "inboard": floats(pairs(made.inboard_um)),
        "left": floats(made.left_um),
        "rigid": floats(np.nan_to_num(made.rigid_um, nan=-1.0)),
        "rotor": floats(pairs(rotor)),
        "hub": floats(pairs(hub)),
        "holds": made.error.holds,
    }


def _scene(found: Numbers) -> dict[str, Any]:
    """Geometry for the viewer: rows and shapes of both bodies, studs, vanes, colours."""
    most = max(float(max(one.lateral_runout_um.values())) for one in found.around.seats)
    return viewer_scene.scene(found.case, found.rotor.shapes, found.hub.shapes, most, stretch(found))
