"""Results taken apart into plain values and arrays for a file, and put together again only as their classes say."""

from __future__ import annotations

import typing
from collections.abc import Callable, Mapping
from dataclasses import is_dataclass
from typing import Any

import numpy as np
from cattrs import Converter
from cattrs.errors import BaseValidationError, ForbiddenExtraKeysError, StructureHandlerNotFoundError
from cattrs.gen import make_dict_structure_fn
from numpy.typing import NDArray

from sim.parts.case import Case
from sim.units import is_finite, is_number, is_whole

LARGEST = 1e15  # nothing computed here comes near, and what is larger upsets plots and printing
KINDS = {"f": "f", "i": "iu", "c": "c"}
USUAL = {"f": np.float64, "c": np.complex128}
THE_CASE = {"the": "case"}  # stands in every seating; the file tells it once

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


def taken_apart(value: Any, name: str) -> tuple[Any, dict[str, NDArray]]:
    """Plain values of a result, and its arrays apart.

    Parameters
    ----------
    value : dataclass or None
    name : str
        First part of the arrays' names.

    Returns
    -------
    tree : dict or None
        As JSON holds it; ``{"array": NAME}`` stands for an array.
    arrays : dict of str to ndarray
    """
    arrays: dict[str, NDArray] = {}

    def apart(part: Any, path: str) -> Any:
        if isinstance(part, np.ndarray):
            arrays[path] = part
            return {"array": path}
        if isinstance(part, dict):
            return {key: apart(inner, f"{path}.{key}") for key, inner in part.items()}
        if isinstance(part, (list, tuple)):
            return [apart(inner, f"{path}.{at}") for at, inner in enumerate(part)]
        return part.item() if isinstance(part, np.generic) else part

    return apart(_CONVERTER.unstructure(value), name), arrays


def put_together(tree: Any, arrays: Mapping[str, NDArray], hint: Any, case: Case) -> Any:
    """A result from its plain values and arrays.

    Parameters
    ----------
    tree : dict or None
        Of `taken_apart`.
    arrays : mapping of str to ndarray
    hint : type
        Its class, or that and None.
    case : Case
        The one that every seating in it is of.

    Returns
    -------
    object

    Raises
    ------
    ValueError
        If it is something else, an array has another shape, or a number is none.
    """
    try:
        return _CONVERTER.structure(_with(tree, arrays, case), hint)
    except (BaseValidationError, ForbiddenExtraKeysError, StructureHandlerNotFoundError, TypeError) as error:
        raise ValueError(f"not a {hint}") from error


def unwrapped(tree: Any) -> Any:
    """Plain values of the first version of run folders, without the words it wrapped classes, mappings and tuples in.

    Parameters
    ----------
    tree : dict, list or plain value

    Returns
    -------
    dict, list or plain value
        As `put_together` takes it.
    """
    if not isinstance(tree, dict):
        return tree
    if tree.keys() == {"map"}:
        return {key: unwrapped(inner) for key, inner in tree["map"].items()}
    if tree.keys() == {"tuple"}:
        return [unwrapped(inner) for inner in tree["tuple"]]
    if tree.keys() == {"is", "fields"}:
        return {key: unwrapped(inner) for key, inner in tree["fields"].items()}
    return tree


def _with(tree: Any, arrays: Mapping[str, NDArray], case: Case) -> Any:
    """Case and arrays in their places."""
    if isinstance(tree, list):
        return [_with(inner, arrays, case) for inner in tree]
    if not isinstance(tree, dict):
        return tree
    if tree == THE_CASE:
        return case
    if tree.keys() == {"array"}:
        return arrays[tree["array"]]
    return {key: _with(inner, arrays, case) for key, inner in tree.items()}


def _need(fits: bool, value: Any) -> Any:
    if not fits:
        raise ValueError(f"not allowed here: {value!r:.80}")
    return value


def _number(value: Any, _: Any = None) -> Any:
    return _need(is_number(value) and is_finite(value) and abs(value) <= LARGEST, value)


def _whole(value: Any, _: Any = None) -> Any:
    return _need(is_whole(value) and abs(value) <= LARGEST, value)


def _array(value: Any, hint: Any) -> Any:
    kinds = KINDS[np.dtype(typing.get_args(typing.get_args(hint)[1])[0]).kind]
    _need(isinstance(value, np.ndarray) and value.dtype.kind in kinds, value)
    # However it was packed (half or long floats, other byte orders), what is computed with is the usual.
    with np.errstate(over="ignore"):  # what is too large is refused below
        usual = value.astype(USUAL.get(value.dtype.kind, value.dtype.newbyteorder("=")), copy=False)
    ends = (usual.real, usual.imag) if usual.dtype.kind == "c" else (usual,)
    _need(all(one.size == 0 or -LARGEST <= one.min() <= one.max() <= LARGEST for one in ends), value)  # no NaN is so
    return usual


def _is_array(hint: Any) -> bool:
    return typing.get_origin(hint) is np.ndarray


def _is_tuple(hint: Any) -> bool:
    return typing.get_origin(hint) is tuple


def _is_numbered(hint: Any) -> bool:
    return typing.get_origin(hint) is Mapping and typing.get_args(hint)[0] is int


def _numbered(hint: Any, converter: Converter) -> Callable[[Any, Any], Any]:
    """JSON makes text of whole numbers that are keys."""
    kind = typing.get_args(hint)[1]
    return lambda value, _: {int(key): converter.structure(one, kind) for key, one in value.items()}


def _strict_tuple(hint: Any, converter: Converter) -> Callable[[Any, Any], Any]:
    """Of a list and of nothing else: text would fall apart into letters."""
    inner = typing.get_args(hint)

    def structure(value: Any, _: Any) -> Any:
        _need(isinstance(value, list), value)
        hints = inner[:1] * len(value) if inner[1:] == (...,) else inner
        return tuple(converter.structure(one, kind) for one, kind in zip(value, hints, strict=True))

    return structure


def _whole_part(cls: type, converter: Converter) -> Callable[[Any, Any], Any]:
    """Every field known and of its kind, and the arrays of shapes that fit each other."""
    structure: Callable[[Any, Any], Any] = make_dict_structure_fn(cls, converter, _cattrs_forbid_extra_keys=True)
    shapes = SHAPES.get(cls.__name__, {})

    def whole(value: Any, kind: Any) -> Any:
        part = structure(_need(isinstance(value, dict), value), kind)
        sizes: dict[str, int] = {}
        for name, shape in shapes.items():
            array = getattr(part, name)
            _need(array.ndim == len(shape) and array.size > 0, name)
            for size, told in zip(array.shape, shape, strict=True):
                _need(size == (told if isinstance(told, int) else sizes.setdefault(told, size)), name)
        return part

    return whole


def _made() -> Converter:
    converter = Converter(detailed_validation=False)
    converter.register_structure_hook_factory(is_dataclass, _whole_part)
    converter.register_structure_hook_factory(_is_tuple, _strict_tuple)
    converter.register_structure_hook_factory(_is_numbered, _numbered)
    converter.register_structure_hook(float, _number)
    converter.register_structure_hook(int, _whole)
    for plain in (bool, str):
        converter.register_structure_hook(plain, lambda value, kind: _need(isinstance(value, kind), value))
    converter.register_structure_hook(float | str, lambda value, _: value if isinstance(value, str) else _number(value))
    converter.register_structure_hook_func(_is_array, _array)
    converter.register_unstructure_hook_func(_is_array, lambda value: value)
    converter.register_structure_hook(Case, lambda value, _: _need(isinstance(value, Case), value))
    converter.register_unstructure_hook(Case, lambda _: dict(THE_CASE))
    return converter


_CONVERTER = _made()
