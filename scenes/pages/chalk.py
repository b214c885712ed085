"""The page for a phone beside the car: two sweeps, a chalk mark, the hole to try. One file, nothing fetched."""

from __future__ import annotations

import json
from importlib.resources import files as resources
from typing import Any

from markupsafe import Markup

from scenes.pages.report import environment
from scenes.words import cautions
from scenes.words import chalk as said
from sim.bench import chalk
from sim.bench.after_indexing import COVERAGE, MOUNT_SCATTER_UM

CAUTIONS = (
    "maker first",
    "stands",
    "hang the caliper",
    "cracked is scrap",
    "nothing greasy",
    "never drawn home",
    "no impact gun",
    "fingers out",
    "no compressed air",
    "pump the pedal",
    "re-torque",
)


def figures() -> dict[str, Any]:
    """Every number that the page computes with."""
    return {
        "mount": MOUNT_SCATTER_UM,
        "rest": chalk.REST_UM,
        "restSd": chalk.REST_SD_UM,
        "mark": chalk.MARK_DEG,
        "share": chalk.SHARE_UM,
        "sure": chalk.SURE,
        "gain": chalk.GAIN_UM,
        "oneSided": chalk.ONE_SIDED,
        "misfit": [chalk.most_misfit(count) for count in range(3, chalk.MOST_SWEEPS + 1)],
        "humps": chalk.HUMPS_DEG,
        "mostSweeps": chalk.MOST_SWEEPS,
        "mostUm": chalk.MOST_UM,
        "fewest": chalk.FEWEST_STUDS,
        "most": chalk.MOST_STUDS,
        "points": chalk.POINTS,
        "coverage": COVERAGE,
        "minutes": said.MINUTES,
    }


def page_html(studs: int = 5, limit_um: float = 0.0) -> str:
    """Build the page.

    Parameters
    ----------
    studs : int
        Studs that it starts with.
    limit_um : float
        Mounted runout that it starts with; 0 for none. [um TIR]

    Raises
    ------
    BadInput
        If either is out of range.
    """
    chalk.check_start(studs, limit_um)
    words = {
        "stays": said.STAYS,
        "humps": said.HUMPS,
        "act": said.DO,
        "leave": said.LEAVE,
        "over": said.OVER,
        "shares": said.SHARES,
        "worth": said.WORTH,
        "notSafe": said.NOT_SAFE,
    }
    start = {
        "studs": studs,
        "unit": "um",
        "cleaned": False,
        "limit": limit_um,
        "sweeps": [{"holes": 0, "tir": None, "high": None, "low": None}],
    }
    folder = resources("scenes.pages") / "templates"
    script = "\n".join((folder / name).read_text(encoding="utf-8") for name in ("chalk.js", "chalk_page.js"))
    return (
        environment()
        .get_template("chalk.html")
        .render(
            cautions=[caution.text for caution in cautions.named(*CAUTIONS)],
            made="How often this ends near the best hole is measured on invented corners: tests/studies/chalk.md.",
            figures=_json(figures()),
            words=_json(words),
            start=_json(start),
            script=Markup(script),
        )
    )


def _json(value: Any) -> Markup:
    """JSON that cannot end the element it stands in."""
    return Markup(json.dumps(value, ensure_ascii=False).replace("<", "\\u003c"))
