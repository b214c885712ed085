"""Plots of a seated rotor, as SVG text: what the dial says over one turn, its orders, a figure against its limit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import AutoMinorLocator, MaxNLocator
from numpy.typing import NDArray

from scenes import palette
from scenes.plots.board import SMALL, bracket, heading, note, panel, ruler, short_marks, svg, turn_axis
from scenes.words import words
from sim import turn

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from sim.parts.case import Studs

ORDERS = 8
WIDE = (180.0, 72.0)

NARROW_SHARE = 0.4  # of half the plot: a limit narrower than that is a line among the curves


def pitch_deg(studs: Studs) -> float:
    """Angle from one stud to the next [deg]."""
    return 360.0 / studs.count


def stud_angles_on_rotor(studs: Studs) -> NDArray[np.float64]:
    """Where hub studs 1, 2 ... stand in the rotor's frame, shape (count,) [deg]."""
    return np.mod((np.arange(studs.count) - studs.studs_turned) * pitch_deg(studs), 360.0)


def stud_marks(axes: Axes, studs: Studs) -> None:
    """Mark the studs, numbered, along the top of a one-turn plot; stud 1 is the painted one."""
    for index, angle in enumerate(stud_angles_on_rotor(studs)):
        first = index == 0
        axes.annotate(
            str(index + 1),
            (angle, 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(0, 7),
            textcoords="offset points",
            ha="center",
            va="center",
            fontsize=SMALL,
            fontweight="bold" if first else "normal",
            color=palette.PAPER if first else palette.INK,
            bbox={
                "boxstyle": "circle,pad=0.22",
                "facecolor": palette.INK if first else palette.STUD,
                "edgecolor": palette.INK,
                "linewidth": 0.6,
            },
            annotation_clip=False,
        )
        axes.axvline(angle, color=palette.GHOST, linewidth=0.4, linestyle=(0, (1, 3)), zorder=0.4)


def limit_window(axes: Axes, trace_um: NDArray[np.float64], limit_um: float, called: str) -> None:
    """Hatch all that lies outside the window, as high as the limit, within which the whole trace would have to stay.

    The limit is a whole swing (highest minus lowest), so the window stands about the middle of the swing.
    """
    middle = 0.5 * (trace_um.max() + trace_um.min())
    reach = 0.5 * max(np.ptp(trace_um), limit_um) * 1.32 + 2.0
    axes.set_ylim(middle - reach, middle + reach)
    for edge, outer in ((middle + limit_um / 2, middle + reach), (middle - limit_um / 2, middle - reach)):
        axes.axhspan(min(edge, outer), max(edge, outer), zorder=0.5, **palette.LIMIT_BAND)
        axes.axhline(edge, zorder=0.6, **palette.LIMIT_LINE)
    text = f"hatched: outside the {called}, {words.micrometres(limit_um)} TIR"
    # Say so in the hatched strip's right half where the curve is furthest away.
    right = trace_um[trace_um.size // 2 :]
    upper = middle + limit_um / 2 - right.max() > right.min() - (middle - limit_um / 2)
    edge, anchor = (middle + limit_um / 2, "right above") if upper else (middle - limit_um / 2, "right below")
    if limit_um < NARROW_SHARE * reach:  # no room beside the curve: in the corner that it leaves at the end of the turn
        low = trace_um[-trace_um.size // 4 :].mean() < middle
        edge, anchor = (middle + reach, "right below") if low else (middle - reach, "right above")
    note(axes, text, (0.995, edge), anchor=anchor, coords=("axes fraction", "data"))


def runout_trace(seat: Any, ground: bool = False) -> str:
    """Plot one turn at the gauge radius, both faces, against the limit.

    Parameters
    ----------
    seat : Seat
        Needs ``case``, ``angle_deg``, ``outboard_um``, ``inboard_um`` and ``lateral_runout_um``.
    ground : bool
        Fill the sheet with the paper colour.

    Returns
    -------
    str
        SVG.
    """
    face = seat.case.gauge.face
    swing = seat.lateral_runout_um[face]
    limit, called = seat.case.limits.mounted_runout_um, words.limit_called(seat.case, "mounted_runout_um")
    read = np.asarray(seat.outboard_um if face == "outboard" else seat.inboard_um)
    other = np.asarray(seat.inboard_um if face == "outboard" else seat.outboard_um)

    def draw(sheet: Figure) -> None:
        heading(
            sheet,
            f"One turn at the gauge radius: {words.FACE[face]} runs out {words.micrometres(swing)}, {words.COMPUTED}",
            seat.case.title,
        )
        axes = panel(sheet, 14, 12, 136, 41)
        limit_window(axes, read, limit, called)
        ruler(axes, "µm", label="+ outboard", lift=15)
        turn_axis(axes, words.ROTOR_ANGLE)
        stud_marks(axes, seat.case.studs)
        axes.axhline(0.0, color=palette.GHOST, linewidth=0.6, zorder=0.6)
        angle = np.append(seat.angle_deg, 360.0)
        axes.plot(
            angle, np.append(other, other[0]), color=palette.INK, linewidth=1.3, linestyle=(0, (1, 1.6)), zorder=4
        )
        axes.plot(angle, np.append(read, read[0]), color=palette.DIAL, linewidth=2.2, zorder=3)
        _name_faces(axes, seat.angle_deg, read, other, face)
        bracket(axes, 1.03, float(read.min()), float(read.max()), f"{words.micrometres(swing)}\nTIR")

    label = f"{words.RUNOUT} over one turn, {words.micrometres(swing)}, {called} {words.micrometres(limit)}"
    return svg(draw, WIDE, label, ground)


def _name_faces(
    axes: Axes, angle_deg: NDArray[np.float64], read: NDArray[np.float64], other: NDArray[np.float64], face: str
) -> None:
    """Write the faces' names at the curves, and the high spot with its angle."""
    top = int(np.argmax(read))
    axes.plot(angle_deg[top], read[top], marker="v", color=palette.HIGH, markersize=5, zorder=6)
    side = "left" if angle_deg[top] < 180 else "right"
    text = f"{words.HIGH_SPOT} {words.degrees(angle_deg[top])}"
    note(axes, text, (angle_deg[top], read[top]), anchor=f"{side} above", color=palette.HIGH, fontweight="bold")
    opposite = words.INBOARD if face == "outboard" else words.OUTBOARD
    middle = 0.5 * (read.max() + read.min())
    # Name the curves where they cross the middle of the swing: there is room beside a slope.
    down = int(np.argmin(np.abs(read - middle) + 1e3 * (np.abs(angle_deg - 100) > 80)))
    up = int(np.argmin(np.abs(other - middle) + 1e3 * (np.abs(angle_deg - 270) > 75)))
    falling = read[(down + 5) % read.size] < read[down]
    note(axes, f"{words.FACE[face]} (the dial's)", (angle_deg[down], read[down]), "left above", color=palette.DIAL)
    note(axes, f"{opposite} (dotted)", (angle_deg[up], other[up]), "right above" if falling else "left below")


def order_words(order: int, studs: int) -> str:
    """Say what an order looks like on the rotor."""
    shape = {1: "a lean", 2: "a saddle", 3: "three waves"}.get(order, "waves")
    return "wave at each stud" if order == studs else shape


def harmonics_bars(seat: Any, ground: bool = False) -> str:
    """Plot the orders of the face that is read: amplitude as a bar, crest in words.

    Parameters
    ----------
    seat : Seat
        As for ``runout_trace``.
    ground : bool
        Fill the sheet with the paper colour.

    Returns
    -------
    str
        SVG.
    """
    face = seat.case.gauge.face
    coefficients = turn.harmonics(seat.outboard_um if face == "outboard" else seat.inboard_um, ORDERS)
    size = np.abs(coefficients[1:])
    shown = np.array([n for n in range(1, ORDERS + 1) if n <= 3 or size[n - 1] >= 0.02 * size.max()])

    def draw(sheet: Figure) -> None:
        heading(sheet, "The same turn by orders", "amplitude, zero to peak; two orders may add or not, by their angles")
        axes = panel(sheet, 36, 3, 100, 6.0 * shown.size)
        rows = np.arange(shown.size)
        axes.barh(rows, size[shown - 1], height=0.5, color=palette.DIAL, zorder=3)
        axes.set_ylim(shown.size - 0.4, -0.6)
        axes.set_xlim(0.0, max(size.max() * 1.02, 1.0))
        axes.set_yticks(rows, [f"order {n}, {order_words(int(n), seat.case.studs.count)}" for n in shown])
        axes.tick_params(axis="y", length=0, labelsize=SMALL)
        axes.set_xticks([])
        for side in ("top", "right", "bottom"):
            axes.spines[side].set_visible(False)
        for row, order in enumerate(shown):
            amplitude = size[order - 1]
            crest = words.degrees(turn.high_spot_deg(coefficients[order], int(order)))
            text = words.micrometres(amplitude) + (f", high spot at {crest}" if amplitude >= 0.5 else "")
            note(axes, text, (amplitude, row), anchor="left level", zorder=5)

    strongest = int(np.argmax(size)) + 1
    label = f"orders of the {words.RUNOUT}; the strongest is order {strongest} with {words.micrometres(size.max())}"
    return svg(draw, (180.0, 17.0 + 6.0 * shown.size), label, ground)


def limit_strip(
    value_um: float, limit_um: float, ends_um: tuple[float, float], name: str, called: str = "limit"
) -> str:
    """Draw one figure on a ruler: a mark with its doubt, everything beyond the limit hatched.

    Parameters
    ----------
    value_um, limit_um : float
        The figure and its limit. [um]
    ends_um : tuple of float
        Ends of its doubt. [um]
    name : str
        What the figure is.
    called : str
        Whose limit it is; where it is the dial's and not made for this figure, nothing is hatched.

    Returns
    -------
    str
        SVG.
    """
    judged = called != words.DIALS_LIMIT
    low, high = max(ends_um[0], 0.0), ends_um[1]
    end = 1.25 * max(high, limit_um) + 1.0

    def draw(sheet: Figure) -> None:
        axes = panel(sheet, 2.5, 4.2, 41, 4.0)
        axes.set_xlim(0.0, end)
        axes.set_ylim(0.0, 1.0)
        for side in ("top", "right", "left"):
            axes.spines[side].set_visible(False)
        axes.set_yticks([])
        axes.xaxis.set_major_locator(MaxNLocator(4))
        short_marks(axes, "x", AutoMinorLocator(5), 2.4)
        axes.tick_params(axis="x", which="major", length=4, width=0.7, labelsize=SMALL, pad=1)
        axes.xaxis.set_major_formatter(lambda value, _: words.mark(value))
        if judged:
            axes.axvspan(limit_um, end, **palette.LIMIT_BAND)
        axes.axvline(limit_um, **palette.LIMIT_LINE)
        axes.plot([low, high], [0.45, 0.45], color=palette.INK, linewidth=1.0)
        axes.plot([value_um], [0.45], marker="D", markersize=5.5, color=palette.DIAL, markeredgecolor=palette.INK)
        place = "middle above" if limit_um > 0.16 * end else "left above"
        note(axes, f"{called} {words.micrometres(limit_um)}", (limit_um, 1.0), place, bbox=None)

    label = f"{name}: {words.micrometres(value_um)}, {called} {words.micrometres(limit_um)}"
    return svg(draw, (46.0, 12.0), label)  # as wide as it stands on page one, so that its letters keep their size
