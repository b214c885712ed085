"""Geometry of one corner for the viewer in a page: rows and shapes of both bodies, studs, vanes, colours."""

from __future__ import annotations

import base64
import json
from typing import Any

import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

from scenes import palette
from scenes.geometry import exaggeration, rows, shapes
from sim.handout.motion import Shapes
from sim.parts.case import Case
from sim.parts.fastener import has_bolts


def scene(
    case: Case, rotor_shapes: Shapes, hub_shapes: Shapes | None, most_um: float, stretch: float
) -> dict[str, Any]:
    """Collect what `viewer.js` draws.

    Parameters
    ----------
    case : Case
    rotor_shapes, hub_shapes : Shapes
        Few shapes that the bodies move by; no hub's where it is rigid.
    most_um : float
        Largest runout that is shown; the scale of heights ends above it. [um TIR]
    stretch : float
        Exaggeration.
    """
    level, rotor, hub = shapes.levels(case), rows.rotor_rows(case), rows.hub_rows(case)
    middle = (case.hub.face_diameter_mm + case.hub.face_inner_diameter_mm) / 4.0
    return {
        "rotor": _body(rotor, rotor_shapes)
        | {
            "seat": level.flange_top_mm,
            "seatRow": rotor.nearest(case.studs.pitch_radius_mm, level.flange_top_mm),
            "gauge": level.gauge_radius_mm,
            "gaugeRow": rotor.nearest(level.gauge_radius_mm, level.outboard_face_mm),
        },
        "hub": _body(hub, hub_shapes)
        | {"seatRow": hub.nearest(case.studs.pitch_radius_mm, 0.0), "faceRow": hub.nearest(middle, 0.0)},
        "vanes": _vanes(case, rotor),
        "studs": {
            "count": case.studs.count,
            "bolts": has_bolts(case.studs),
            "radius": case.studs.pitch_radius_mm,
            "thread": shapes.thread_mm(case.studs.thread),
        },
        "colours": dict(palette.COLOURS),
        "ramp": palette.HEIGHT_STOPS,
        "top": float(20.0 * np.ceil(most_um / 20.0)),
        "step": 20.0,
        "stretch": stretch,
        "reach": case.rotor.outer_diameter_mm / 2.0,
        "middle": 0.5 * level.outboard_face_mm,
        "lift": 0.75 * case.rotor.outer_diameter_mm,
    }


def hub_face(case: Case) -> dict[str, float]:
    """Hub face as a page draws it flat. Lengths in mm, limit in um."""
    return {
        "studs": case.studs.count,
        "pitch": case.studs.pitch_radius_mm,
        "hole": case.rotor.hole_diameter_mm,
        "face": case.hub.face_diameter_mm / 2.0,
        "faceInner": case.hub.face_inner_diameter_mm / 2.0,
        "spigotRadius": case.hub.spigot_diameter_mm / 2.0,
        "limit": case.limits.mounted_runout_um,
    }


def stretch_of(case: Case, most_um: float) -> float:
    """One factor for all pictures of a corner: the usual one, less where a rotor would leave the picture.

    By definition: the largest runout in um, drawn as a share of the rotor's radius in mm.
    """
    wish = exaggeration.SWING_SHARE * case.rotor.outer_diameter_mm / 2.0 / (1e-3 * most_um)
    return exaggeration.USUAL if wish >= exaggeration.USUAL else exaggeration.round_down(wish)


def pairs(values: NDArray) -> NDArray[np.float64]:
    """Real and imaginary parts side by side."""
    return np.stack([values.real, values.imag], axis=-1)


def floats(values: NDArray) -> str:
    """Numbers as 32-bit floats for a page."""
    return base64.b64encode(np.ascontiguousarray(values, dtype="<f4").tobytes()).decode()


def json_text(value: Any) -> Markup:
    """JSON that cannot end the element it stands in."""
    return Markup(json.dumps(value, ensure_ascii=False, allow_nan=False).replace("<", "\\u003c"))


def _vanes(case: Case, rotor: rows.Rows) -> dict[str, Any] | None:
    part = case.rotor
    if part.style != "vented" or not part.vane_count:
        return None
    cheeks = shapes.ring_outlines(part)
    high, low = cheeks[0][0][1], cheeks[1][2][1]
    inner = (part.vane_inner_diameter_mm or part.ring_inner_diameter_mm) / 2.0
    outer = (part.vane_outer_diameter_mm or part.outer_diameter_mm) / 2.0
    return {
        "count": part.vane_count,
        "inner": inner,
        "outer": outer,
        "low": low,
        "high": high,
        "half": (part.vane_thickness_mm or 5.0) / 2.0,
        "innerRow": rotor.nearest(inner, high),
        "outerRow": rotor.nearest(outer, high),
    }


def _body(section: rows.Rows, moved_by: Shapes | None) -> dict[str, Any]:
    """Rows of one body and its shapes as 16-bit integers, each with its scale."""
    packed, scales = [], []
    for shapes_of_order in () if moved_by is None else moved_by.basis:
        for shape in shapes_of_order:
            parts = np.stack([shape.real, shape.imag], axis=1)  # component, real or imaginary, row
            scale = max(float(np.abs(parts).max()), 1e-12) / 32767.0
            packed.append(np.round(parts / scale).astype("<i2"))
            scales.append(scale)
    return {
        "r": [round(float(x), 2) for x in section.points_mm[:, 0]],
        "z": [round(float(x), 2) for x in section.points_mm[:, 1]],
        "strips": section.strips,
        "hat": section.hat,
        "face": section.face,
        "orders": () if moved_by is None else moved_by.order_of_shape(),
        "scale": scales,
        "basis": base64.b64encode(np.array(packed).tobytes()).decode(),
    }
