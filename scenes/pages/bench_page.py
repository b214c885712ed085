"""Pages of the live bench: one HTML document each, its own style and script inside, nothing fetched from elsewhere."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup

from scenes import palette
from scenes.geometry import rows
from scenes.pages import viewer_scene
from scenes.pages.templated import environment, scripts, text_of
from scenes.pages.viewer_scene import json_text
from scenes.words import bench as said
from scenes.words import fastening
from sim.live.bench import Bench, bench_of
from sim.live.setup import SHARES, as_json
from sim.parts.case import Case
from sim.progress import Progress, silent

DIAL_DEG = 315.0
"""World angle of the dial: the free corner of the drawing."""
INVENTED = "invented corner: all parts and figures of it"


def ready(case: Case, progress: Progress = silent) -> Bench:
    """Make a corner ready for the page.

    Raises
    ------
    BadInput, Refused
        As `sim.live.bench.bench_of`.
    """
    return bench_of(case, rows.rotor_rows(case).points_mm, rows.hub_rows(case).points_mm, progress)


def data(of: Bench) -> dict[str, Any]:
    """What the scripts of every page draw with: geometry, presets, colours; no figure that was solved."""
    case, hub = of.choices.base, of.moves.hub
    patch = of.choices.patch
    return {
        "scene": viewer_scene.scene(
            case, of.moves.rotor.shapes, None if hub is None else hub.shapes, of.most_um,
            viewer_scene.stretch_of(case, of.most_um),
        ),
        **viewer_scene.hub_face(case),
        "dialDeg": DIAL_DEG,
        "start": as_json(of.choices.start),
        "heights": of.choices.heights_um,
        "hubs": of.choices.hub_um,
        "shares": SHARES,
        "radius": of.choices.radius_mm,
        "arcMm": patch.arc_deg * (patch.inner_radius_mm + patch.outer_radius_mm) / 2.0,
        "wide": patch.outer_radius_mm - patch.inner_radius_mm,
        "torque": _torque(case),
    }  # fmt: skip


def _torque(case: Case) -> float | None:
    """Torque of one nut, where it is one number. [N m]."""
    torque = case.studs.torque_nm
    return torque if case.studs.preload_n is None and isinstance(torque, float | int) else None


def page(name: str, of: Bench, nonce: str, more: dict[str, Any]) -> str:
    """Write one page.

    Parameters
    ----------
    name : str
        ``bench``, or another page of the same family: template and script are called so.
    of : Bench
    nonce : str
        That the content policy of this one answer allows.
    more : dict
        Joins the data of the scripts: session, keys, what the page alone needs.
    """
    case = of.choices.base
    ui = more.get("ui") or fastening.answered(said.UI, case.studs)
    html = (
        environment()
        .get_template(f"{name}.html")
        .render(
            title=case.title,
            invented=INVENTED if more.get("invented") else "",
            nonce=nonce,
            ui=ui,
            colours=palette.COLOURS,
            pages=more["pages"],
            here=name,
            data=json_text(data(of) | {"ui": ui} | more),
            script=script(name),
            style=Markup(text_of("bench.css")),
        )
    )
    return fastening.said_html(html, case)


def script(name: str) -> Markup:
    """Scripts of a page, one after the other."""
    return scripts(("viewer.js", "handout_drawings.js", "bench_face.js", f"{name}.js"))
