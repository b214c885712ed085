"""The fitting sheet: one page to print, from the jack to the first kilometres, for one geometry, with room to write."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
from markupsafe import Markup
from matplotlib.figure import Figure
from matplotlib.patches import Circle, FancyArrowPatch

from scenes import cautions, palette, words
from scenes.figure import SMALL, panel, svg
from scenes.plots import pitch_deg
from scenes.report import environment

if TYPE_CHECKING:
    from scenes.cautions import Caution
    from sim.parts import Case, Studs

HAND_TIGHT_NM = 15.0  # nuts run up by hand: nothing to fit a wheel with; judgement
STAGES = (0.3, 0.6, 1.0)  # shares of the torque; common practice, no source


@dataclass(frozen=True)
class Stage:
    """One stage of the work: its name, what to do, the cautions that belong there, boxes to tick."""

    name: str
    does: tuple[str, ...]
    cautions: tuple[Caution, ...]
    boxes: tuple[str, ...] = ()


def crosswise(count: int) -> tuple[int, ...]:
    """Order of tightening in which each nut lies as far as may be from the one before; numbered from stud 1.

    Examples
    --------
    >>> crosswise(5), crosswise(4), crosswise(6)
    ((1, 3, 5, 2, 4), (1, 3, 2, 4), (1, 4, 2, 5, 3, 6))
    """
    half = count // 2
    if count % 2:
        return tuple(half * k % count + 1 for k in range(count))
    return tuple(stud + 1 for start in range(half) for stud in (start, start + half))


def stages(case: Case) -> tuple[Stage, ...]:
    """List the stages of the work on this corner, in order."""
    rotor, gauge = case.rotor, case.gauge
    radius = words.with_unit(0.5 * rotor.outer_diameter_mm - gauge.from_edge_mm, "mm")
    edge = words.with_unit(gauge.from_edge_mm, "mm")
    order = " – ".join(str(stud) for stud in crosswise(case.studs.count))
    shares = ", ".join(words.percent(share) for share in STAGES)
    return (
        Stage(
            "Before lifting",
            ("Break the wheel nuts loose by a quarter turn while the car is still on the ground.",),
            cautions.at("before lifting"),
        ),
        Stage(
            "Caliper and rotor off",
            ("Paint stud 1 and the hole that sits on it, before anything moves.", "Read the runout as found."),
            cautions.at("caliper off", "rotor off"),
        ),
        Stage(
            "Clean",
            (
                "Hub face, round every stud, the root of the spigot, the rotor's seat and its bore: wire brush or "
                "abrasive "
                "pad by hand, edges last. Rust creeps out from the studs and from the root.",
                "Clean is: bare grey metal all over under a lamp held flat to the face; a straight edge shows no "
                "light; a "
                "fingernail drawn across catches nowhere; a white rag stays white.",
                "Do not spoil it: no grinding disc (it digs hollows), no paint, no thick grease, no fingers after "
                "the last "
                "wipe. New rotor: wash the oil off, look for burrs and runs of paint on the seat.",
                *_on_the_spigot(case),
            ),
            cautions.at("cleaning"),
            ("hub face bare", "spigot root bare", "rotor's seat bare", "no crack"),
        ),
        Stage(
            "Read the hub face",
            (f"Dial on the face near its edge, one turn. Limit: vehicle maker's value; else "
             f"{words.micrometres(case.limits.hub_face_runout_um)} (common practice, no source).",),
            (),
        ),
        Stage(
            "Fit and tighten",
            (
                "Slide the rotor home by hand. It must sit flat without a nut and not rock when pressed at its edge.",
                f"Nuts with spacers, plain side to the rotor. Crosswise {order}, in stages of {shares} of the "
                "vehicle maker's "
                "torque.",
            ),
            cautions.at("fitting", "tightening"),
            ("home by hand", "does not rock"),
        ),
        Stage(
            "Set up the dial, read",
            (
                f"Stiff base on the knuckle, no long arms. Tip square to the face, {edge} in from the edge (radius "
                f"{radius}), "
                "pressed in by about a millimetre. Lever dial: arm flat to the face.",
                "Pull and push the disc: the needle must come back; what it moves is bearing play, not runout. "
                "Zero it there.",
                "Turn one way only, read at the marks, go round twice: the second turn must repeat within a mark.",
            ),
            cautions.at("reading"),
            ("bearing without play", "second turn repeats"),
        ),
        Stage("Before moving", (), cautions.at("before moving"), ("pedal hard", "fluid level")),
        Stage("First drive", (), cautions.at("first drive"), ("re-torqued",)),
    )  # fmt: skip


def _on_the_spigot(case: Case) -> tuple[str, ...]:
    """Say what is known to lie on this corner's spigot; nothing where nothing is."""
    if not case.spigot_scale:
        return ()
    highest = max(case.spigot_scale, key=lambda scale: scale.height_um)
    where = f"{words.micrometres(highest.height_um)} of scale on the spigot at {words.degrees(highest.angle_deg)}"
    return (f"This corner: {where}. Off with it, all round and down to the root, before the rotor is put on.",)


def order_drawing(studs: Studs) -> str:
    """Draw the numbered studs with the order of tightening as a path. SVG."""
    order = crosswise(studs.count)

    def place(stud: int, radius: float) -> tuple[float, float]:
        # Stud 1 at the top here: that is how it is turned to be worked on. Counter-clockwise seen from outside.
        angle = np.radians(90.0 + (stud - 1) * pitch_deg(studs))
        return radius * float(np.cos(angle)), radius * float(np.sin(angle))

    def draw(sheet: Figure) -> None:
        axes = panel(sheet, 0, 0, 44, 44)
        axes.set_aspect("equal")
        axes.axis("off")
        axes.set_xlim(-1.32, 1.32)
        axes.set_ylim(-1.32, 1.32)
        axes.add_patch(Circle((0, 0), 1.02, facecolor="white", edgecolor=palette.INK, linewidth=0.9))
        axes.add_patch(Circle((0, 0), 0.36, facecolor=palette.PART, edgecolor=palette.INK, linewidth=0.7))
        for before, after in zip(order, order[1:], strict=False):
            look = {"arrowstyle": "-|>", "mutation_scale": 7, "linewidth": 0.8, "color": palette.INK}
            axes.add_patch(
                FancyArrowPatch(place(before, 0.74), place(after, 0.74), shrinkA=7, shrinkB=7, zorder=3, **look)
            )
        for stud in range(1, studs.count + 1):
            first = stud == 1
            face = palette.INK if first else palette.STUD
            colour = palette.PAPER if first else palette.INK
            axes.add_patch(
                Circle(place(stud, 0.74), 0.15, facecolor=face, edgecolor=palette.INK, linewidth=0.7, zorder=4)
            )
            settings = {"ha": "center", "va": "center_baseline", "fontsize": 7, "fontweight": "bold", "color": colour}
            axes.text(*place(stud, 0.74), str(stud), zorder=5, **settings)
            turn = f"{order.index(stud) + 1}."
            axes.text(*place(stud, 1.19), turn, ha="center", va="center", fontsize=SMALL)

    listed = ", ".join(str(stud) for stud in order)
    return svg(draw, (44.0, 44.0), f"order of tightening seen from outside: studs {listed}")


def sheet_html(case: Case, made_on: date | None = None) -> str:
    """Build the fitting sheet of one corner.

    Parameters
    ----------
    case : Case
        Gives studs, gauge and limits; nothing is computed.
    made_on : date, optional
        Printed date; today unless given.

    Returns
    -------
    str
        One HTML document, complete in itself, one A4 page when printed.
    """
    torque = case.studs.torque_nm
    most = 0.0 if torque is None else float(np.max(torque))
    given = words.with_unit(most, "N m", 3) if most > HAND_TIGHT_NM else ""
    return (
        environment()
        .get_template("sheet.html")
        .render(
            case=case,
            stages=stages(case),
            first_caution=cautions.named("maker first")[0],
            drawing=Markup(order_drawing(case.studs)),
            torque=given,
            shares=[(words.percent(share), "") for share in STAGES],
            made_on=(made_on or date.today()).isoformat(),
            words=words,
        )
    )
