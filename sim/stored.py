"""Whether what came from a file is what its class says: kinds of values, shapes of arrays, numbers that are some."""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

from sim.units import is_finite, is_number, is_whole

LARGEST = 1e15  # nothing computed here comes near, and what is larger upsets plots and printing
KINDS = {"f": "f", "i": "iu", "c": "c"}

# Shapes of arrays: a number is that many, a letter the same number wherever it stands within the class.
SHAPES: dict[str, dict[str, tuple[int | str, ...]]] = {
    "Seat": dict.fromkeys(("angle_deg", "outboard_um", "inboard_um", "thickness_um"), (360,)),
    "Cells": dict.fromkeys(
        ("inner_radius_mm", "outer_radius_mm", "angle_deg", "arc_deg", "pressure_mpa", "gap_um", "debris_index"), ("n",)
    ),
    "Deformation": dict.fromkeys(("node_r_mm", "node_z_mm"), ("n",))
    | dict.fromkeys(("radial_mm", "tangential_mm", "axial_mm"), ("k", "n"))
    | {"quad": ("q", 4), "order": ("k",)},
    "Loads": {"motion": (3,)},
    "WheelBand": {"outboard_um": ("d",), "inboard_um": ("d",), "plane_um": ("d", 360)},
    "MountedReading": {"trace_um": (360,), "ratio": ("d",)},
    "Forecast": dict.fromkeys(
        ("distance_km", "dtv_um", "dtv_low_um", "dtv_high_um", "drag_nm", "tap_force_n", "pedal_index"), ("k",)
    )
    | dict.fromkeys(("wheel_index", "felt_order"), ("k",))
    | dict.fromkeys(("thickness_um", "outboard_wear_um", "inboard_wear_um"), ("k", "n"))
    | dict.fromkeys(("released_wear_um", "braked_wear_um"), ("k", 2, "n"))
    | dict.fromkeys(("torque_variation_nm", "pressure_variation_bar"), ("k", "o"))
    | {"angle_deg": ("n",), "face_runout_um": ("k", 2), "judder_speed_km_h": ("o",), "judder_band_km_h": ("o", 2)},
}


def check(value: Any, hint: Any) -> None:
    """Hold a value against the type that its class declares.

    Parameters
    ----------
    value : object
    hint : type
        As ``typing.get_type_hints`` gives it.

    Raises
    ------
    ValueError
        If it is something else, an array has another shape, or a number is none.
    """
    if not _fits(value, hint):
        raise ValueError(f"not a {hint}")


def _fits(value: Any, hint: Any) -> bool:
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    if origin in (typing.Union, types.UnionType):
        return any(_fits(value, one) for one in inner)
    if origin is np.ndarray:
        return _is_array(value, typing.get_args(inner[1])[0])
    if origin is tuple:
        if not isinstance(value, tuple):
            return False
        hints = inner[:1] * len(value) if inner[1:] == (...,) else inner
        return len(hints) == len(value) and all(map(_fits, value, hints))
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return isinstance(value, Mapping) and all(_fits(k, inner[0]) and _fits(v, inner[1]) for k, v in value.items())
    if is_dataclass(hint):
        return type(value) is hint and _is_whole_part(value)
    return _is_plain(value, hint)


def _is_plain(value: Any, hint: Any) -> bool:
    if hint is float:
        return is_number(value) and is_finite(value) and abs(value) <= LARGEST
    if hint is int:
        return is_whole(value) and abs(value) <= LARGEST
    return isinstance(value, hint)


def _is_array(value: Any, kind: Any) -> bool:
    allowed = KINDS[np.dtype(kind).kind]
    if not isinstance(value, np.ndarray) or value.dtype.kind not in allowed:
        return False
    return bool(np.isfinite(value).all() and (value.size == 0 or np.abs(value).max() <= LARGEST))


def _is_whole_part(part: Any) -> bool:
    """Whether every field of a dataclass fits, and its arrays each other."""
    hints = typing.get_type_hints(type(part))
    if not all(_fits(getattr(part, one.name), hints[one.name]) for one in fields(part)):
        return False
    sizes: dict[str, int] = {}
    for name, shape in SHAPES.get(type(part).__name__, {}).items():
        array = getattr(part, name)
        if array.ndim != len(shape) or array.size == 0:
            return False
        for size, told in zip(array.shape, shape, strict=True):
            if size != (told if isinstance(told, int) else sizes.setdefault(told, size)):
                return False
    return True
