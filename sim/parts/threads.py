"""Wheel-stud threads: size, stress area, and the load at which the thread begins to stay stretched."""

from __future__ import annotations

import math

from sim.errors import BadInput, Fault

# Nominal diameter and pitch. [mm] Threads met on wheel studs (from memory).
_SIZES: dict[str, tuple[float, float]] = {
    "M10x1.25": (10.0, 1.25),
    "M10x1.5": (10.0, 1.5),
    "M12x1.25": (12.0, 1.25),
    "M12x1.5": (12.0, 1.5),
    "M12x1.75": (12.0, 1.75),
    "M14x1.25": (14.0, 1.25),
    "M14x1.5": (14.0, 1.5),
    "M14x2": (14.0, 2.0),
    "M16x1.5": (16.0, 1.5),
    "M16x2": (16.0, 2.0),
}

# Stress under proof load by property class, for diameters up to 16 mm. [MPa] ISO 898-1, from memory.
_PROOF_STRESS_MPA: dict[str, float] = {"8.8": 580.0, "9.8": 650.0, "10.9": 830.0, "12.9": 970.0}

THREADS: tuple[str, ...] = tuple(_SIZES)
CLASSES: tuple[str, ...] = tuple(_PROOF_STRESS_MPA)


def nominal_diameter_mm(thread: str) -> float:
    """Outer diameter of a thread. [mm].

    Raises
    ------
    BadInput
        If the thread is not in the table.
    """
    return _size(thread)[0]


def turns_of_a_diameter(thread: str) -> int:
    """Full turns that bring as much thread into engagement as the thread is thick. [-]. By definition.

    Examples
    --------
    >>> turns_of_a_diameter("M14x1.5"), turns_of_a_diameter("M12x1.5")
    (10, 8)
    """
    diameter_mm, pitch_mm = _size(thread)
    return math.ceil(diameter_mm / pitch_mm)


def minor_diameter_mm(thread: str) -> float:
    """Inner diameter of an internal thread, D - 1.25 H after ISO 724, with H after ISO 68-1. [mm].

    Raises
    ------
    BadInput
        If the thread is not in the table.

    Examples
    --------
    >>> round(minor_diameter_mm("M14x1.5"), 3)
    12.376
    """
    diameter, pitch = _size(thread)
    return diameter - 1.25 * math.sqrt(3.0) / 2.0 * pitch


def stress_area_mm2(thread: str) -> float:
    """Area on which the strength of a thread is reckoned. [mm²].

    Parameters
    ----------
    thread : str
        As in ``M14x1.5``.

    Raises
    ------
    BadInput
        If the thread is not in the table.

    Notes
    -----
    ISO 898-1: A = pi/4 ((d2 + d3)/2)², with d2 = d - 3/4 H and d3 = d - 17/12 H after ISO 724 and
    H = sqrt(3)/2 P after ISO 68-1.

    [mm2]

    Examples
    --------
    >>> round(stress_area_mm2("M12x1.75"), 1)
    84.3
    """
    diameter, pitch = _size(thread)
    height = math.sqrt(3.0) / 2.0 * pitch
    pitch_diameter = diameter - 0.75 * height
    root_diameter = diameter - 17.0 / 12.0 * height
    return math.pi / 4.0 * ((pitch_diameter + root_diameter) / 2.0) ** 2


def proof_load_n(thread: str, property_class: str) -> float:
    """Pull that a stud must bear without staying stretched. [N].

    Parameters
    ----------
    thread : str
        As in ``M14x1.5``.
    property_class : str
        As in ``10.9``.

    Raises
    ------
    BadInput
        If thread or class is not in the table.

    Notes
    -----
    Stress area times the proof stress of ISO 898-1; the stresses are from memory.
    """
    if property_class not in _PROOF_STRESS_MPA:
        allowed = ", ".join(CLASSES)
        raise BadInput(Fault(f"unknown class {property_class!r}", key="studs.property_class", allowed=allowed))
    return stress_area_mm2(thread) * _PROOF_STRESS_MPA[property_class]


def _size(thread: str) -> tuple[float, float]:
    if thread not in _SIZES:
        raise BadInput(Fault(f"unknown thread {thread!r}", key="studs.thread", allowed=", ".join(THREADS)))
    return _SIZES[thread]
