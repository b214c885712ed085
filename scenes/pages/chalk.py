"""The page for a phone beside the car: two sweeps and a chalk mark, or twelve places. One file, nothing fetched."""

from __future__ import annotations

import json
from typing import Any

from markupsafe import Markup

from scenes.pages.templated import environment, scripts
from scenes.words import cautions, place_by_place
from scenes.words import chalk as said
from sim.bench import chalk
from sim.bench.after_indexing import COVERAGE, MOUNT_SCATTER_UM
from sim.files import dial_readings
from sim.files.feeler import LEAF_UM, WITHIN
from sim.files.reading_faults import most_drift_um
from sim.files.readings_rows import FEELER
from sim.files.table_text import WIDEST_GAP_DEG
from sim.parts.dial import Dial
from sim.parts.keys import CLAMPS

CAUTIONS = (
    "maker first",
    "stands",
    "nobody in",
    "hot",
    "service mode",
    "mask and eyes",
    "hang the caliper",
    "stuck rotor",
    "no compressed air",
    "sensor ring",
    "cracked is scrap",
    "nothing greasy",
    "never drawn home",
    "no impact gun",
    "fingers out",
    "pump the pedal",
    "re-torque",
)
SCRIPTS = ("chalk.js", "chalk_page.js", "table_page.js")
PLACES = (8, 12, 16)
DIALS_UM = {"0.01 mm": 10.0, "0.001 mm": 1.0, "1 thou": 25.4, "½ thou": 12.7, "0.1 thou": 2.54}
MOST_TURNS = 20
MOST_READ_UM = 80_000.0  # a micrometer round the thickest rotor of a van, from memory; a dial shows less
#: Figures that a feeler of 0.1 mm may show, whatever the unit: which of them is right is not said.
FIGURES = (0.1, 1, 4, 10, 100)


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
        "worse": chalk.WORSE_UM,
        "oneSided": chalk.ONE_SIDED,
        "misfit": [chalk.most_misfit(spare) for spare in range(1, chalk.MOST_SWEEPS)],
        "humps": chalk.HUMPS_DEG,
        "leans": chalk.LEANS_DEG,
        "humpsUm": chalk.HUMPS_UM,
        "drop": chalk.DROP,
        "mostSweeps": chalk.MOST_SWEEPS,
        "leastUm": chalk.LEAST_UM,
        "leastLimit": chalk.LEAST_LIMIT_UM,
        "mostUm": chalk.MOST_UM,
        "fewest": chalk.FEWEST_STUDS,
        "most": chalk.MOST_STUDS,
        "points": chalk.POINTS,
        "coverage": COVERAGE,
        "half": Dial().doubt_um,
        "minutes": said.MINUTES,
    }


def figures_of_the_table() -> dict[str, Any]:
    """Every number and word that the readings file allows, for the page that writes one."""
    bounds = dial_readings.HEADS
    return {
        "places": PLACES,
        "fewest": dial_readings.FEWEST,
        "gap": WIDEST_GAP_DEG,
        "widest": dial_readings.WIDEST_UM,
        "mostUm": MOST_READ_UM,
        "mostTurns": MOST_TURNS,
        "gauge": bounds["gauge_radius_mm"],
        "hub": bounds["hub_face_radius_mm"],
        "ratio": dial_readings.RADII,
        "dials": [{"name": name, "um": um, "drift": most_drift_um(um)} for name, um in DIALS_UM.items()],
        "turned": dial_readings.WORDS["turned"],  # a wheel turned clockwise brings the places counter-clockwise
        "counts": place_by_place.COUNTS,
        "signs": dial_readings.WORDS["dial"],
        "bearing": {"felt": dial_readings.WORDS["bearing"], **place_by_place.ROCKED},
        "feeler": {"name": FEELER, "um": LEAF_UM, "within": WITHIN, "figures": FIGURES, **place_by_place.FEELER},
        "kinds": dial_readings.KINDS,
        "states": dial_readings.STATES,
        "held": CLAMPS,
        "columns": ",".join((*dial_readings.REQUIRED, "reading_um", "state", "clamped_by")),
        "names": place_by_place.NAMES,
        "after": place_by_place.AFTER,
        "handOn": place_by_place.HAND_ON,
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
        "twice": said.TWICE,
        "act": said.DO,
        "leave": said.LEAVE,
        "over": said.OVER,
        "near": said.NEAR,
        "nearFound": said.NEAR_FOUND,
        "nearOver": said.NEAR_OVER,
        "doneOver": said.DONE_OVER,
        "found": said.FOUND,
        "hides": said.HIDES,
        "confirmHere": said.CONFIRM_HERE,
        "noLimit": said.NO_LIMIT,
        "shares": said.SHARES,
        "remains": said.REMAINS,
        "read": said.READ,
        "soFar": said.SO_FAR,
        "then": said.THEN,
        "thenMinutes": said.THEN_MINUTES,
        "worth": said.WORTH,
        "notSafe": said.NOT_SAFE,
        "units": said.UNITS,
        "counts": said.COUNTS,
    }
    start = {
        "studs": studs,
        "unit": "um",
        "cleaned": False,
        "limit": limit_um,
        "sweeps": [{"holes": 0, "tir": None, "high": None, "low": None}],
        "page": "chalk",
        "table": _empty_table(),
    }
    return (
        environment()
        .get_template("chalk.html")
        .render(
            cautions=[caution.text for caution in cautions.named(*CAUTIONS)],
            made="How often this ends near the best hole is measured on invented corners: tests/studies/chalk.md.",
            before=place_by_place.BEFORE,
            figures=_json(figures() | {"table": figures_of_the_table()}),
            words=_json(words),
            start=_json(start),
            script=scripts(SCRIPTS),
        )
    )


def _empty_table() -> dict[str, Any]:
    """Twelve places as found, nothing said of the dial yet: what no table shows by itself is asked for."""
    places = 12
    turn = {"kind": "mounted", "mount": 1, "stud": 0, "state": dial_readings.STATES[0], "held": CLAMPS[0]}
    return {
        "places": places,
        "dial": None,
        "turned": "",
        "sign": "",
        "gauge": None,
        "hub": None,
        "open": 0,
        "at": 0,
        "turns": [turn | {"values": [None] * (places + 1)}],
    }


def _json(value: Any) -> Markup:
    """JSON that cannot end the element it stands in."""
    return Markup(json.dumps(value, ensure_ascii=False).replace("<", "\\u003c"))
