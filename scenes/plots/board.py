"""The drawing board of every plot: one look, ruler-like axes, text kept as text in the SVG, no shared pyplot state."""

from __future__ import annotations

import re
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import StringIO
from typing import TYPE_CHECKING, Any, Literal
from xml.sax.saxutils import escape, quoteattr

import matplotlib as mpl
import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.markers import TICKDOWN, TICKLEFT, MarkerStyle
from matplotlib.patches import Circle, Wedge
from matplotlib.ticker import AutoMinorLocator, Locator, MaxNLocator, MultipleLocator

from scenes import palette
from scenes.words import words

if TYPE_CHECKING:
    from matplotlib.backend_bases import RendererBase
    from matplotlib.typing import RcKeyType

MM = 1.0 / 25.4
SMALL, NORMAL, HEADING = 7.1, 7.6, 9.4  # nothing smaller is read on paper
STUD_1_UP_DEG = 90.0  # every map of the hub stands as it is worked on: stud 1 at 12 o'clock, seen from outside

# Text stays text: small files, searchable, spoken by screen readers. Matplotlib brings DejaVu Sans, by which the layout
# is measured; where the reader's machine lacks it, Verdana runs as wide and the rest narrower, so nothing overlaps.
# No mathematics is parsed, since a title from a file may hold a dollar sign.
FONTS = "'DejaVu Sans', Verdana, Arial, sans-serif"
STYLE: dict[RcKeyType, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "trueseat",
    "font.family": ["DejaVu Sans"],
    "font.size": NORMAL,
    "text.parse_math": False,
    "text.color": palette.INK,
    "axes.edgecolor": palette.INK,
    "axes.labelcolor": palette.INK,
    "axes.unicode_minus": True,
    "axes.linewidth": 0.7,
    "xtick.color": palette.INK,
    "ytick.color": palette.INK,
    "hatch.linewidth": 0.5,
    "path.simplify": True,
}


@contextmanager
def _look() -> Iterator[None]:
    with mpl.rc_context(STYLE):
        yield


def svg(draw: Callable[[Figure], None], size_mm: tuple[float, float], label: str, ground: bool = False) -> str:
    """Run a drawing function on an empty sheet and return the picture as SVG text.

    Parameters
    ----------
    draw : callable
        Receives the matplotlib figure.
    size_mm : tuple of float
        Width and height on paper. [mm]
    label : str
        What the picture shows, for those who cannot see it; may come from a file.
    ground : bool
        Fill the sheet with the paper colour (for a file of its own); clear otherwise.

    Returns
    -------
    str
        One ``<svg>`` element, without XML prologue, the same for the same input, fit for putting into HTML.
    """
    with _look(), warnings.catch_warnings():
        # A title may hold characters that the measuring font lacks; the text stays text and the reader's font has them.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        sheet = Figure(figsize=(size_mm[0] * MM, size_mm[1] * MM))
        FigureCanvasSVG(sheet)
        draw(sheet)
        text = StringIO()
        sheet.savefig(
            text,
            format="svg",
            facecolor=palette.PAPER if ground else "none",
            edgecolor="none",
            metadata={"Date": None, "Creator": None},
        )
    return _inline(text.getvalue(), words.clean(label, 400))


def svg_of(sheet: Figure, label: str) -> str:
    """Return a figure that was drawn elsewhere as SVG text, as ``svg`` does; without its ground."""
    with _look(), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        text = StringIO()
        sheet.savefig(text, format="svg", facecolor="none", edgecolor="none", metadata={"Date": None, "Creator": None})
    return _inline(text.getvalue(), words.clean(label, 400))


def _inline(text: str, label: str) -> str:
    """Cut the prologue and the unused ids (two pictures on one page would share them); add the spoken label."""
    body = text[text.index("<svg") :]
    body = re.sub(r"\s*<metadata>.*?</metadata>", "", body, flags=re.DOTALL)
    used = set(re.findall(r"#([\w.-]+)", body))
    body = re.sub(r' id="([^"]+)"', lambda found: found[0] if found[1] in used else "", body)
    body = re.sub(r"<!--.*?-->\s*", "", body, flags=re.DOTALL)
    body = body.replace("'DejaVu Sans'", FONTS)
    head = f'<svg role="img" aria-label={quoteattr(label)} '
    body = head + body[len("<svg ") :]
    end = body.index(">") + 1
    return f"{body[:end]}\n<title>{escape(label)}</title>{body[end:]}"


def heading(sheet: Figure, text: str, below: str = "") -> None:
    """Write what the picture shows at its top left, and a second line in smaller letters (may come from a file)."""
    height_mm = sheet.get_figheight() / MM
    sheet.text(0.012, 1.0 - 4.6 / height_mm, text, fontsize=HEADING, fontweight="bold", va="center")
    if below:
        sheet.text(0.012, 1.0 - 9.0 / height_mm, words.clean(below, 110), fontsize=SMALL, va="center")


def panel(sheet: Figure, left_mm: float, bottom_mm: float, width_mm: float, height_mm: float) -> Axes:
    """Place a plot by millimetres on the sheet."""
    wide, high = sheet.get_figwidth() / MM, sheet.get_figheight() / MM
    axes: Axes = sheet.add_axes((left_mm / wide, bottom_mm / high, width_mm / wide, height_mm / high))
    axes.set_facecolor("none")
    return axes


class _ShortMarks(Artist):
    """Short marks along one side, drawn at once: as ticks each is five artists, and all of them half of a drawing."""

    zorder = 1.5  # where an axis lies

    def __init__(self, axes: Axes, side: Literal["x", "y"], locator: Locator, length: float) -> None:
        super().__init__()
        self._axis = axes.xaxis if side == "x" else axes.yaxis
        self._locator = locator
        locator.set_axis(self._axis)
        outward, along = (TICKDOWN, axes.get_xaxis_transform) if side == "x" else (TICKLEFT, axes.get_yaxis_transform)
        look: dict[str, Any] = {"markersize": length, "markeredgewidth": 0.5, "color": palette.INK}
        self._marks = Line2D(
            [], [], linestyle="none", marker=MarkerStyle(outward), transform=along(which="tick1"), **look
        )
        self._marks.set_figure(axes.figure)

    def draw(self, renderer: RendererBase) -> None:
        """Mark the places within the view that have no long mark."""
        low, high = sorted(self._axis.get_view_interval())
        near = 1e-5 * (high - low)
        places = np.asarray(self._locator(), dtype=float)
        places = places[(places >= low - near) & (places <= high + near)]
        long = np.asarray(self._axis.get_majorticklocs(), dtype=float)
        places = places[np.abs(places[:, None] - long).min(axis=1, initial=np.inf) > near]
        ends = np.zeros_like(places)
        self._marks.set_data(*((places, ends) if self._axis.axis_name == "x" else (ends, places)))
        self._marks.draw(renderer)


def short_marks(axes: Axes, side: Literal["x", "y"], locator: Locator, length: float = 1.8) -> None:
    """Set short marks between the long ones of one side; ``length`` in pt."""
    axes.add_artist(_ShortMarks(axes, side, locator, length))


def ruler(axes: Axes, unit: str, steps: int = 6, label: str = "", lift: float = 5.0) -> None:
    """Turn a plot's left side into a ruler: long and short marks outside, no box, the unit at its head.

    ``lift`` is the height of the unit above the plot: more where stud numbers stand there. [pt]
    """
    for side in ("top", "right", "bottom"):
        axes.spines[side].set_visible(False)
    axes.yaxis.set_major_locator(MaxNLocator(steps))
    short_marks(axes, "y", AutoMinorLocator(5), 2.2)
    axes.tick_params(axis="y", which="major", length=5.0, width=0.7, labelsize=SMALL, pad=2)
    axes.tick_params(axis="x", which="both", length=0, labelsize=SMALL)
    axes.yaxis.set_major_formatter(lambda value, _: words.mark(value))
    axes.annotate(
        f"{unit}, {label}" if label else unit,
        (0.0, 1.0),
        xytext=(-26, lift),
        xycoords="axes fraction",
        textcoords="offset points",
        fontsize=SMALL,
        ha="left",
        va="bottom",
    )


def turn_axis(axes: Axes, label: str) -> None:
    """Lay out one turn, 0 to 360 degrees, with marks every 30."""
    axes.set_xlim(0.0, 360.0)
    axes.xaxis.set_major_locator(MultipleLocator(60.0))
    short_marks(axes, "x", MultipleLocator(10.0))
    axes.tick_params(axis="x", which="major", length=4.0, width=0.7)
    axes.xaxis.set_major_formatter(lambda value, _: f"{round(value)}°")
    axes.spines["bottom"].set_visible(True)
    axes.set_xlabel(label, fontsize=SMALL, labelpad=2)


def distance_axis(axes: Axes, last_km: float, label: str = words.DISTANCE) -> None:
    """Lay out a distance driven."""
    axes.set_xlim(0.0, max(last_km, 1.0))
    axes.xaxis.set_major_locator(MaxNLocator(7))
    short_marks(axes, "x", AutoMinorLocator(5))
    axes.tick_params(axis="x", which="major", length=4.0, width=0.7)
    axes.xaxis.set_major_formatter(lambda value, _: words.mark(value))
    axes.spines["bottom"].set_visible(True)
    axes.set_xlabel(label, fontsize=SMALL, labelpad=2)


def hatch_above(axes: Axes, limit: float, text: str, side: str = "left") -> None:
    """Hatch everything above a limit and say in words whose limit it is, at the plot's left or right end."""
    top = axes.get_ylim()[1]
    if limit >= top:
        return
    axes.axhspan(limit, top, zorder=0.5, **palette.LIMIT_BAND)
    axes.axhline(limit, zorder=3, **palette.LIMIT_LINE)
    note(axes, text, (0.004 if side == "left" else 0.996, limit), f"{side} above", coords=("axes fraction", "data"))


def note(
    axes: Axes,
    text: str,
    place: tuple[float, float],
    anchor: str = "left above",
    coords: str | tuple[str, str] = "data",
    **look: Any,
) -> None:
    """Write a direct label beside what it names; ``anchor`` says on which side of ``place`` the text stands."""
    side, level = anchor.split()
    ground = {"boxstyle": "square,pad=0.12", "facecolor": palette.PAPER, "edgecolor": "none", "alpha": 0.85}
    settings: dict[str, Any] = {"fontsize": SMALL, "zorder": 6, "bbox": ground} | look
    axes.annotate(
        text,
        place,
        xycoords=coords,
        xytext=({"left": 2, "right": -2, "middle": 0}[side], {"above": 2, "below": -2, "level": 0}[level]),
        textcoords="offset points",
        ha={"left": "left", "right": "right", "middle": "center"}[side],
        va={"above": "bottom", "below": "top", "level": "center"}[level],
        annotation_clip=False,
        **settings,
    )


def bracket(axes: Axes, x: float, low: float, high: float, text: str) -> None:
    """Measure between two heights as on a drawing: a line with end marks, the figure beside it (axes fraction in x)."""
    both = ("axes fraction", "data")
    axes.annotate(
        "",
        (x, low),
        xytext=(x, high),
        xycoords=both,
        textcoords=both,
        arrowprops={
            "arrowstyle": "|-|,widthA=0.35,widthB=0.35",
            "linewidth": 0.9,
            "color": palette.INK,
            "shrinkA": 0,
            "shrinkB": 0,
        },
        annotation_clip=False,
    )
    axes.annotate(
        text,
        (x, 0.5 * (low + high)),
        xycoords=both,
        xytext=(6, 0),
        textcoords="offset points",
        va="center",
        fontsize=NORMAL,
        annotation_clip=False,
    )


def at_hub(radius: float, angle_deg: float) -> tuple[float, float]:
    """Where a place of the hub lies on the sheet: stud 1 at 12 o'clock, counter-clockwise.

    Examples
    --------
    >>> x, y = at_hub(50.0, 0.0)
    >>> abs(x) < 1e-9, y
    (True, 50.0)
    """
    angle = np.radians(STUD_1_UP_DEG + angle_deg)
    return radius * float(np.cos(angle)), radius * float(np.sin(angle))


def numbered_stud(
    axes: Axes, place: tuple[float, float], radius: float, number: int, dark: bool, size: float = 8, above: int = 7
) -> None:
    """Draw a stud with its number; the painted hole, or stud 1, is the dark one. ``size`` in pt, ``above``: layer."""
    face, letters = (palette.INK, palette.PAPER) if dark else (palette.STUD, palette.INK)
    axes.add_patch(Circle(place, radius, facecolor=face, edgecolor=palette.INK, linewidth=0.8, zorder=above))
    look: dict[str, Any] = {"fontsize": size, "fontweight": "bold", "ha": "center", "va": "center_baseline"}
    axes.text(*place, str(number), color=letters, zorder=above + 1, **look)


def sector(inner: float, outer: float, from_deg: float, to_deg: float, **look: Any) -> Wedge:
    """Make a piece of a ring of the hub, in the same view as `at_hub`."""
    return Wedge((0, 0), outer, STUD_1_UP_DEG + from_deg, STUD_1_UP_DEG + to_deg, width=outer - inner, **look)
