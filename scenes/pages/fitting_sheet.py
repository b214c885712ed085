"""The fitting sheet: the work in its order, then room to write, on both sides of one sheet, for one corner."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np
from markupsafe import Markup
from matplotlib.figure import Figure
from matplotlib.patches import Circle, FancyArrowPatch

from scenes import palette
from scenes.pages.templated import environment
from scenes.plots.board import SMALL, panel, svg
from scenes.words import cautions, fastening, sheet_rows, sheet_stages, words, work_order, written_rows
from scenes.words.held_to_read import PLACES, SHARES, crosswise
from sim.corner.road_state import past_proof, unfit_as_read
from sim.parts.case import Case

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scenes.words.piece_of_work import Stage
    from scenes.words.steps import Step
    from sim.parts.case import Studs

ORDER_MM = (40.0, 40.0)  # as wide as it stands on the sheet: its letters keep their size
# Fewer letters to read than this on a sheet of that size; a row to write takes the room of so many. Judgement, held by
# printing it.
SIZES = (("largest", 9_100), ("larger", 10_400), ("", 11_500), ("full", 99_999))
OF_A_ROW = 300
LIMITS = (
    ("mounted runout", "mounted_runout_um", lambda case: case.limits.mounted_runout_um),
    ("hub face runout", "hub_face_runout_um", lambda case: case.hub_face_limit_um),
    ("thickness variation", "dtv_um", lambda case: case.limits.dtv_um),
)


def order_drawing(studs: Studs | None) -> str:
    """Draw the numbered studs with the order of tightening as a path; no stud without ``studs``. SVG."""
    count = 0 if studs is None else studs.count
    order = crosswise(count) if count else ()

    def place(stud: int, radius: float) -> tuple[float, float]:
        # Stud 1 at the top here: that is how it is turned to be worked on. Counter-clockwise seen from outside.
        angle = np.radians(90.0 + (stud - 1) * 360.0 / count)
        return radius * float(np.cos(angle)), radius * float(np.sin(angle))

    def draw(sheet: Figure) -> None:
        axes = panel(sheet, 0, 0, *ORDER_MM)
        axes.set_aspect("equal")
        axes.axis("off")
        axes.set_xlim(-1.32, 1.32)
        axes.set_ylim(-1.32, 1.32)
        axes.add_patch(Circle((0, 0), 1.02, facecolor="white", edgecolor=palette.INK, linewidth=0.9))
        axes.add_patch(Circle((0, 0), 0.36, facecolor=palette.PART, edgecolor=palette.INK, linewidth=0.7))
        for before, after in zip(order, order[1:], strict=False):
            look: dict[str, Any] = {"arrowstyle": "-|>", "mutation_scale": 7, "linewidth": 0.8, "color": palette.INK}
            axes.add_patch(
                FancyArrowPatch(place(before, 0.74), place(after, 0.74), shrinkA=7, shrinkB=7, zorder=3, **look)
            )
        for stud in range(1, count + 1):
            first = stud == 1
            face = palette.INK if first else palette.STUD
            colour = palette.PAPER if first else palette.INK
            axes.add_patch(
                Circle(place(stud, 0.74), 0.15, facecolor=face, edgecolor=palette.INK, linewidth=0.7, zorder=4)
            )
            settings: dict[str, Any] = {
                "ha": "center",
                "va": "center_baseline",
                "fontsize": 7,
                "fontweight": "bold",
                "color": colour,
            }
            axes.text(*place(stud, 0.74), str(stud), zorder=5, **settings)
            turn = f"{order.index(stud) + 1}."
            axes.text(*place(stud, 1.19), turn, ha="center", va="center", fontsize=SMALL)

    listed = ", ".join(str(stud) for stud in order)
    told = f"order of tightening seen from outside: studs {listed}" if count else "hub face from outside, no stud drawn"
    return svg(draw, ORDER_MM, told)


def sheet_html(case: Case, made_on: date | None = None, any_car: bool = False, listed: tuple[Step, ...] = ()) -> str:
    """Build the fitting sheet of one corner.

    Parameters
    ----------
    case : Case
        Gives studs, gauge and limits; nothing is computed.
    made_on : date, optional
        Printed date; today unless given.
    any_car : bool
        Print no figure of this corner, for a car that nobody described: everything that is the car's stays to be
        filled in from its maker's data.
    listed : tuple of Step
        What this corner asks for (`scenes.words.to_do.next_steps`): its stages are made of that; else every stage of
        the order of work.

    Returns
    -------
    str
        One HTML document, complete in itself, both sides of one A4 sheet when printed: letters as large as there is
        room, stages that the first side does not hold before what was read. Torque and discard thickness
        stay blank unless the user's own case file gave them.
    """
    case = Case() if any_car else case  # so that not even nuts or bolts are said as this corner has them
    order = sheet_stages.of_list(case, listed) if listed else sheet_stages.any_corner(case, any_car)
    keys = [key for stage in order for one in stage.works for key in one.keys]
    readings = sheet_rows.rows(case, keys, any_car)
    room = _letters(order) + OF_A_ROW * sum(len(rows) for _, rows in readings)
    page = (
        environment()
        .get_template("sheet.html")
        .render(
            title="" if any_car else case.title,
            studs=work_order.STUDS_TO_WRITE if any_car else case.studs.count,
            any_car=any_car,
            stages=order,
            size=next(size for size, most in SIZES if room < most),
            first_caution=cautions.named("maker first")[0],
            drawing=Markup(order_drawing(None if any_car else case.studs)),
            torque="" if any_car else _torque(case),
            discard="" if any_car else _discard(case),
            limits=limits(case),
            readings=readings,
            figures=sheet_rows.figures(keys),
            high_spot=written_rows.HIGH_SPOT,
            held_against=sheet_rows.HELD_AGAINST,
            makers_counts=sheet_rows.MAKERS_COUNTS,
            written_so=written_rows.WRITTEN_SO,
            angles=[round(360.0 * place / PLACES) for place in range(PLACES + 1)],
            shares=[words.percent(share) for share in SHARES],
            made_on=(made_on or date.today()).isoformat(),
            words=words,
        )
    )
    return fastening.said_html(page, case)


def _letters(order: Iterable[Stage]) -> int:
    """How much there is to read in the stages of a sheet."""
    told = (text for stage in order for work in stage.works for text in (work.what, *work.how))
    return sum(len(text) for text in told) + sum(len(one.text) for stage in order for one in stage.cautions)


def limits(case: Case) -> list[tuple[str, str, str]]:
    """List every limit that is written down: its name, its figure with where it counts, whose it is."""
    at = {"hub_face_runout_um": f" at {words.with_unit(case.hub.read_radius_mm, 'mm')}"}  # a lean grows with the radius
    return [
        (name, words.micrometres(limit(case)) + at.get(key, ""), words.limit_from(case, key))
        for name, key, limit in LIMITS
    ]


def _torque(case: Case) -> str:
    """Torque that the user typed to fit a wheel with; empty where it came with a part set or stands at the default.

    Nor is one that holds no wheel, or pulls a stud past its proof load: that is the fault, and no torque to use.
    """
    typed = case.where_from("studs", "torque_nm") == "the case file"
    torque = case.studs.torque_nm
    if not typed or torque is None or isinstance(torque, tuple) and len(set(torque)) > 1:
        return ""
    one = replace(case.studs, torque_nm=(most := float(np.max(torque))), road_torque_nm=None)
    return "" if past_proof(one) or unfit_as_read(one) else words.with_unit(most, "N m", 3)


def stamped(case: Case) -> str:
    """Write the discard thickness with every digit that was given: rounded down it lets a rotor pass. [mm].

    Parameters
    ----------
    case : Case
    """
    return f"{words.mark(case.rotor.minimum_thickness_mm)}{words.GAP}mm"


def _discard(case: Case) -> str:
    """Discard thickness that the user typed; empty otherwise."""
    typed = case.where_from("rotor", "minimum_thickness_mm") == "the case file"
    return stamped(case) if typed else ""
