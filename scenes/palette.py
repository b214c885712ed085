"""The colours, each with one meaning everywhere: films, stills, plots, report and page take them from here.

The colours form a staircase of lightness (CIELAB L* from 13 to 95), so that grey printing keeps them apart, and their
hues were chosen so that the common kinds of colour blindness do too; ``tests/unit/test_palette.py`` checks both.
Limits have no colour: a limit is a hatched band with its words beside it, never a traffic light.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

INK = "#1B1F2A"
"""Lettering, axes, hatching, outlines."""
PAD = "#3A3633"
"""Brake pads."""
HIGH = "#532382"
"""The high spot, the top of a height map."""
DIAL = "#00665C"
"""What a dial reads: needle, runout trace, reading."""
SCALE = "#C8481B"
"""Scale, a chip, a burr: what is not flat. Also the curve of the corner that was left dirty."""
HUB = "#6F96BC"
"""The hub and its face. Also the curve of the corner whose hub face was cleaned."""
PART = "#A6A6A4"
"""The rotor."""
STUD = "#CDBA82"
"""Studs and nuts."""
LOW = "#D5C6EA"
"""The low spot, the bottom of a height map."""
PAPER = "#FCFAF4"
"""The ground on which everything is drawn."""

COLOURS = MappingProxyType(
    {
        "ink": INK,
        "pad": PAD,
        "high": HIGH,
        "dial": DIAL,
        "scale": SCALE,
        "hub": HUB,
        "part": PART,
        "low": LOW,
        "stud": STUD,
        "paper": PAPER,
    }
)
MEANING = MappingProxyType(
    {
        "ink": "lettering, axes, outlines",
        "pad": "brake pads",
        "high": "high spot",
        "dial": "what the dial reads: runout",
        "scale": "scale or chip; the dirty corner",
        "hub": "hub; the cleaned corner",
        "part": "rotor",
        "low": "low spot",
        "stud": "studs and nuts",
        "paper": "ground",
    }
)

HEIGHT_STOPS = ("#F7F4FB", LOW, "#B59AD6", "#8F69BC", "#6F429E", HIGH, "#33105A")
"""Height above the lowest point: one hue, the darker the higher."""
PRESSURE_STOPS = ("#F5F7F9", "#CFDDEA", "#A3BFD8", HUB, "#486F97", "#28496E", "#122842")
"""Contact pressure: one hue (the hub's), the darker the more."""

GHOST = "#7C8088"
"""Thin lines of what would be there if all were true: the reference plane, earlier positions."""
LIMIT_BAND: Mapping[str, Any] = MappingProxyType(
    {"facecolor": "none", "edgecolor": INK, "hatch": "////", "linewidth": 0.0, "alpha": 0.35}
)
"""Keywords for matplotlib's ``axhspan`` or ``fill_between``: the band above a limit."""
LIMIT_LINE: Mapping[str, Any] = MappingProxyType({"color": INK, "linewidth": 1.2, "linestyle": (0, (6, 3))})
"""Keywords for the edge of that band."""
DIRTY_LINE: Mapping[str, Any] = MappingProxyType({"color": SCALE, "linewidth": 3.0, "linestyle": "-"})
"""The curve of the corner that was left dirty: also told apart by its weight."""
CLEAN_LINE: Mapping[str, Any] = MappingProxyType({"color": HUB, "linewidth": 2.4, "linestyle": (0, (5, 1.5))})
"""The curve of the cleaned corner: also told apart by its dashes."""


def rgb(colour: str) -> tuple[float, float, float]:
    """Red, green and blue of a colour, 0 to 1 each.

    Parameters
    ----------
    colour : str
        A name of ``COLOURS`` or ``#RRGGBB``.

    Returns
    -------
    tuple of float
        sRGB components, 0..1.
    """
    text = COLOURS.get(colour, colour).lstrip("#")
    return int(text[0:2], 16) / 255.0, int(text[2:4], 16) / 255.0, int(text[4:6], 16) / 255.0


def mix(first: str, second: str, share: float) -> str:
    """Blend of two colours as ``#RRGGBB``; ``share`` 0 gives the first, 1 the second."""
    blend = [(1.0 - share) * a + share * b for a, b in zip(rgb(first), rgb(second), strict=True)]
    return "#" + "".join(f"{round(255 * value):02X}" for value in blend)


def ramp(share: ArrayLike, stops: Sequence[str] = HEIGHT_STOPS) -> NDArray[np.float64]:
    """Colours of a one-hue ramp.

    Parameters
    ----------
    share : array_like, shape (n,)
        0 (lowest) to 1 (highest); clipped.
    stops : sequence of str, default HEIGHT_STOPS
        Equally spaced colours.

    Returns
    -------
    ndarray, shape (n, 3)
        sRGB components, 0..1.
    """
    table = np.array([rgb(stop) for stop in stops])
    place = np.clip(np.asarray(share, dtype=float), 0.0, 1.0) * (len(stops) - 1)
    return np.stack([np.interp(place, np.arange(len(stops)), table[:, channel]) for channel in range(3)], axis=-1)


def lightness(colour: str) -> float:
    """CIELAB L* of a colour (0 black, 100 white): what grey printing leaves of it."""
    return float(lab(colour)[0])


def lab(colour: str | ArrayLike) -> NDArray[np.float64]:
    """CIELAB coordinates of an sRGB colour, white point D65 (CIE 15, IEC 61966-2-1).

    Parameters
    ----------
    colour : str or array_like, shape (3,)
        A colour name, ``#RRGGBB`` or sRGB components 0..1.

    Returns
    -------
    ndarray, shape (3,)
        L*, a*, b*.
    """
    components = np.array(rgb(colour)) if isinstance(colour, str) else np.asarray(colour, dtype=float)
    linear = np.where(components <= 0.04045, components / 12.92, ((components + 0.055) / 1.055) ** 2.4)
    to_xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    xyz = to_xyz @ linear / np.array([0.95047, 1.0, 1.08883])
    f = np.where(xyz > 0.008856, np.cbrt(xyz), 7.787 * xyz + 16.0 / 116.0)
    return np.array([116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])])
