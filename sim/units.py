"""Units as they stand in the names of keys, and the slips that people make with them."""

from __future__ import annotations

import math
from numbers import Integral, Real
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Suffix of a key -> unit as it is shown. Longest first, so that `_n_mm3` is not taken for `_mm3`.
SUFFIXES: dict[str, str] = {
    "mm3_per_nm": "mm³/(N m)",
    "m_s2_per_nm": "(m/s²)/(N m)",
    "per_km": "1/km",
    "kn_mm": "kN/mm",
    "n_mm3": "N/mm³",
    "n_mm": "N/mm",
    "km_h": "km/h",
    "mm2": "mm²",
    "mpa": "MPa",
    "bar": "bar",
    "deg": "deg",
    "mm": "mm",
    "um": "µm",
    "nm": "N m",
    "hz": "Hz",
    "km": "km",
    "n": "N",
}

# Suffixes that people write although no key carries them; needed to recognise `bore_m` or `height_thou`.
FOREIGN_LENGTHS = ("inches", "inch", "thou", "mils", "mil", "microns", "micron", "cm", "in", "m")
FOREIGN_SUFFIXES = (*FOREIGN_LENGTHS, "kn", "gpa", "pa", "rad")

# Unit -> (factor to the unit of the key, word): tried in this order when a value is out of range.
SLIPS: dict[str, tuple[tuple[float, str], ...]] = {
    "mm": ((1000.0, "metres"), (0.001, "micrometres"), (25.4, "inches"), (10.0, "centimetres")),
    "µm": ((1000.0, "millimetres"),),
    "N": ((1000.0, "kilonewtons"),),
    "N m": ((0.001, "N mm"),),
    "MPa": ((0.1, "bar"), (1000.0, "GPa"), (1e-6, "Pa")),
    "mm²": ((100.0, "square centimetres"), (1e6, "square metres")),
    "kN/mm": ((0.001, "N/mm"),),
    "N/mm": ((1000.0, "kN/mm"),),
    "mm³/(N m)": ((1000.0, "mm³/(N mm)"), (1e9, "m²/N")),
    "": ((0.01, "per cent"),),
}


def unit_of(name: str) -> str:
    """Read the unit of a quantity from the end of its name, as it is shown; empty when it has none.

    Examples
    --------
    >>> unit_of("layer_stiffness_n_mm3"), unit_of("count")
    ('N/mm³', '')
    """
    for suffix, unit in SUFFIXES.items():
        if name.endswith("_" + suffix):
            return unit
    return ""


def stem_of(name: str) -> str:
    """Name without its unit, whether the unit is one of ours or a foreign one.

    Examples
    --------
    >>> stem_of("bore_diameter_mm"), stem_of("bore_m")
    ('bore_diameter', 'bore')
    """
    for suffix in (*SUFFIXES, *FOREIGN_SUFFIXES):
        if name.endswith("_" + suffix):
            return name[: -len(suffix) - 1]
    return name


def is_number(value: object) -> bool:
    """Whether a value is a real number; true and false are not."""
    return type(value) is float or (isinstance(value, Real) and not isinstance(value, bool))


def is_whole(value: object) -> bool:
    """Whether a value is a whole number; true, false and 5.0 are not."""
    return isinstance(value, Integral) and not isinstance(value, bool)


def is_finite(value: Any) -> bool:
    """Whether a number can be computed with: neither NaN nor infinite, nor too large for a float."""
    try:
        return math.isfinite(value)
    except OverflowError:
        return False


def is_finite_number(value: object) -> bool:
    """Whether a value is a real number that can be computed with; true and false are none."""
    return is_number(value) and is_finite(value)


def shown(value: object, longest: int = 40) -> str:
    """Any value in a form that is safe and short enough for one line of a message."""
    try:
        text = f"{value:g}" if isinstance(value, float) else repr(value)
        text = text.lower() if isinstance(value, bool) else text
    except ValueError:  # whole numbers of thousands of digits cannot be printed
        text = "a number of thousands of digits"
    text = printable(text)
    return text if len(text) <= longest else text[: longest - 3] + "..."


def printable(text: str, longest: int = 80) -> str:
    """Text with every control or invisible character written as an escape, and cut to a length."""
    safe = "".join(c if c.isprintable() else ascii(c)[1:-1] for c in text[:longest])
    return safe + ("..." if len(text) > longest else "")


def slip_text(value: float, unit: str, lowest: float, highest: float) -> str:
    """Question for the reader when a value would be right in another unit; empty when none would.

    Notes
    -----
    In the key's unit; which slips people make is judgement (`SLIPS`).

    Examples
    --------
    >>> slip_text(0.3, "mm", 150.0, 500.0)
    'was it given in metres?'
    """
    for factor, word in SLIPS.get(unit, ()):
        if value != 0 and lowest <= value * factor <= highest:
            return f"was it given in {word}?"
    return ""


def about_km(km: float) -> str:
    """Write a distance to two figures: a forecast holds no more. [km]. By definition of two figures."""
    step = 10.0 ** (math.floor(math.log10(max(km, 1.0))) - 1)
    return f"{round(km / step) * step:,.0f} km".replace(",", " ")


Angle = TypeVar("Angle", float, "NDArray[np.float64]")


def shortest_rad(difference: Angle) -> Angle:
    """Difference of two angles, the short way round: -pi up to below pi. [rad]. By definition.

    Examples
    --------
    >>> shortest_rad(1.5 * math.pi) == -0.5 * math.pi
    True
    """
    return (difference + math.pi) % (2.0 * math.pi) - math.pi


def shortest_deg(difference: Angle) -> Angle:
    """Difference of two angles, the short way round: -180 up to below 180. [deg]. By definition.

    Examples
    --------
    >>> shortest_deg(350.0), shortest_deg(-190.0)
    (-10.0, 170.0)
    """
    return (difference + 180.0) % 360.0 - 180.0
