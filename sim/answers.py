"""Machine-readable answers, as ``--json`` prints them: numbers, lists and text; fields are added, never renamed."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Collection, Mapping
from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from sim import turn
from sim.bodies.vanes import vane_note
from sim.corner.driven import block, reading_doubt_um
from sim.parts.dial import against_limit
from sim.parts.thickness import Uneven
from sim.wear.judder import both_wheels

if TYPE_CHECKING:
    from sim.chain import Run
    from sim.corner.face_map import FaceMap
    from sim.seating.seat import Seat
    from sim.wear.forecast import Forecast

ORDERS = 8  # of a trace that are told
# Micrometres to a hundred picometres: beyond any meaning, short enough to read.
TRACE_DIGITS = 4


def read_trace_um(seat: Seat) -> np.ndarray:
    """Trace of the face that the single dial reads, shape (360,), ROTOR frame. [um]."""
    return seat.outboard_um if seat.case.gauge.face == "outboard" else seat.inboard_um


def harmonics(seat: Seat) -> list[dict[str, Any]]:
    """Orders 1 to 8 of the face that is read: order, amplitude [um], high spot [deg], frame."""
    coefficients = turn.harmonics(read_trace_um(seat), ORDERS)
    return [
        {
            "order": n,
            "amplitude": round(float(abs(coefficients[n])), TRACE_DIGITS),
            "high_spot_deg": round(turn.high_spot_deg(coefficients[n], n), 2),
            "frame": "rotor",
        }
        for n in range(1, ORDERS + 1)
    ]


def seat_answer(run: Run) -> dict[str, Any]:
    """Collect what ``seat --json`` answers.

    Parameters
    ----------
    run : Run
        What stands beside the seating, and the state on the spigot, come in where the run has them.

    Returns
    -------
    dict
        JSON-ready; traces have one value a degree.
    """
    seat, case = run.seat, run.case
    value = seat.lateral_runout_um[case.gauge.face]
    return plain(
        {
            "title": case.title,
            "lateral_runout_um": dict(seat.lateral_runout_um),
            "limit_um": case.limits.mounted_runout_um,
            "against_limit": against_limit(value, case.limits.mounted_runout_um, reading_doubt_um(case)),
            "reading_doubt_um": reading_doubt_um(case),
            "face": case.gauge.face,
            "harmonics_um": harmonics(seat),
            "trace": {
                "frame": "rotor",
                "angle_deg": seat.angle_deg,
                "outboard_um": np.round(seat.outboard_um, TRACE_DIGITS),
                "inboard_um": np.round(seat.inboard_um, TRACE_DIGITS),
                "thickness_um": np.round(seat.thickness_um, TRACE_DIGITS),
            },
            "contact": seat.contact,
            "stud_preload_n": seat.stud_preload_n,
            "rigid_runout_um": seat.rigid_runout_um,
            "checks": seat.checks,
            "warnings": seat.warnings,
        }
        | ({"vanes": vane_note(case.rotor)} if vane_note(case.rotor) else {})
        | ({} if run.beside is None else vars(run.beside))
        | _as_driven(run)
        | ({} if run.spigot is None else {"spigot": run.spigot})
    )


def _as_driven(run: Run) -> dict[str, Any]:
    """Block of the corner as driven; nothing in runs of an earlier version."""
    if run.as_driven is None:
        return {}
    of_the_case = {} if run.reading is None else {"of": "the case, not what was read"}
    return {"as_driven": of_the_case | block(run.case, run.as_driven, reading_doubt_um(run.case))}


def _reading(run: Run) -> dict[str, Any]:
    """Block of what was read on the car; nothing where nothing was."""
    found = run.reading
    if found is None:
        return {}
    low, middle, high = found.driven_um
    limit = run.case.limits.mounted_runout_um
    return {
        "reading": {
            "runout_um": found.at_dial_um,
            "mean_plane_runout_um": found.read_um,
            "clamped_by": found.clamped_by,
            "clamped_by_said_by": found.said_by,
            "uncertainty_um": (doubt := found.doubt_um or reading_doubt_um(run.case)),
            "against_limit": against_limit(found.at_dial_um, limit, doubt),
            "limit_um": limit,
            "driven_low_um": low,
            "driven_middle_um": middle,
            "driven_high_um": high,
        }
        | _faces_apart(found.faces_apart)
    }


def _faces_apart(varies: Uneven | None) -> dict[str, Any]:
    """Thickness variation once a turn that the two faces as read tell; nothing where one was read."""
    if varies is None:
        return {}
    return {"faces_differ_um": varies.value_um, "faces_differ_uncertainty_um": varies.doubt_um}


# Maps over angle and distance stay in the run folder; the answer holds the curves.
_CURVES = (
    "distance_km",
    "dtv_um",
    "dtv_low_um",
    "dtv_high_um",
    "dtv_highest_band_um",
    "km_to_limit",
    "probability_never",
    "thin_spots",
    "judder_speed_km_h",
    "torque_variation_nm",
    "pressure_variation_bar",
    "face_runout_um",
    "disc_wear_mm",
    "pad_wear_mm",
    "volume_balance",
    "stopped_by",
    "km_low",
    "km_high",
    "moves_most",
    "equivalent_draws",
    "drag_nm",
    "tap_force_n",
    "disc_life_km",
    "pad_life_km",
    "disc_life_band_km",
    "pad_life_range_km",
    "draws",
    "orders",
    "judder_band_km_h",
    "pedal_index",
    "wheel_index",
    "felt_order",
    "notes",
)


def drive_answer(run: Run) -> dict[str, Any]:
    """Collect what ``drive --json`` answers.

    Parameters
    ----------
    run : Run
        With a forecast.

    Returns
    -------
    dict
        JSON-ready. ``km_to_limit`` is null where the limit is not reached.
    """
    forecast: Forecast | None = run.forecast
    answer: dict[str, Any] = {
        "title": run.case.title,
        "lateral_runout_um": dict(run.seat.lateral_runout_um),
        "limit_um": run.case.limits.dtv_um,
    }
    if forecast is not None:
        answer |= {name: getattr(forecast, name) for name in _CURVES}
        answer |= _apart(forecast)
        varies = forecast.worn_varies
        if varies is None and forecast.worn_as_read_um is not None:
            varies = Uneven(forecast.worn_as_read_um, forecast.worn_doubt_um, run.case.limits.dtv_um)
        if varies is not None:
            answer |= {"worn_as_read_um": varies.value_um, "worn_uncertainty_um": varies.doubt_um}
            answer |= {"worn_against_limit": varies.state}
    answer |= {"started_from": run.started_from} | _as_driven(run) | _reading(run)
    answer |= {} if run.spigot is None else {"spigot": run.spigot}
    return plain(answer | {"warnings": run.seat.warnings})


def _apart(forecast: Forecast) -> dict[str, Any]:
    """Wear with the brake released and on the brake, mean of each face over the distance; two wheels alike."""
    torque = float(forecast.torque_variation_nm[int(forecast.dtv_um.argmax())].max())
    pairs = {name: both_wheels(torque, torque, phase) for name, phase in (("in_phase", 0.0), ("opposed", 180.0))}
    return {
        "worn_off_brake_um": forecast.released_wear_um.mean(axis=2),
        "worn_on_brake_um": forecast.braked_wear_um.mean(axis=2),
        "faces": ("outboard", "inboard"),
        "two_wheels_nm": {"in_phase": pairs["in_phase"].together, "opposed": pairs["opposed"].against},
    }


def face_answer(found: FaceMap) -> dict[str, Any]:
    """Collect what ``face --json`` answers; null where even the highest dirt tried does not spoil the corner."""
    return plain(
        {
            "kind": found.kind,
            "limit_um": found.limit_um,
            "clean_um": found.clean_um,
            "clean_uncertainty_um": found.clean_doubt_um,
            "seating": "as read",
            "frame": "hub",
            "radius_mm": found.radius_mm,
            "angle_deg": found.angle_deg,
            "spoil_um": found.spoil_um,
            "highest_um": found.highest_um,
            "speck_mm": found.speck_mm,
            "zones": found.zones,
        }
    )


def plain(value: Any) -> Any:
    """Turn numbers, arrays, records and tuples into what JSON knows; what is not finite becomes null."""
    if isinstance(value, np.ndarray):
        return plain(value.tolist())
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if is_dataclass(value) and not isinstance(value, type):
        return {item.name: plain(getattr(value, item.name)) for item in fields(value)}
    return value


def each_text(answer: Any, say: Callable[[str], str], kept: Collection[str] = ()) -> Any:
    """Word the texts of a plain answer; keys, and the fields that are kept, stay.

    Parameters
    ----------
    answer : Any
        Of `plain`.
    say : callable(text)
    kept : collection of str
        Keys whose values repeat what a file says.

    Notes
    -----
    By definition.
    """
    if isinstance(answer, str):
        return say(answer)
    if isinstance(answer, dict):
        return {key: value if key in kept else each_text(value, say, kept) for key, value in answer.items()}
    return [each_text(one, say, kept) for one in answer] if isinstance(answer, list | tuple) else answer


def text(answer: Mapping[str, Any]) -> str:
    """Write an answer as JSON, in ASCII so that any terminal or pipe takes it."""
    return json.dumps(answer, indent=1, allow_nan=False)
