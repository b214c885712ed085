"""Pages of the foil lesson: the class's sheet (what is fitted, a table to fill in), and what the dial should say."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np
from markupsafe import Markup

from scenes.pages.templated import environment
from scenes.plots import foil as drawn
from scenes.words import cautions, fastening, words
from scenes.words import foil as said
from sim.bench.foil import PLACES
from sim.parts.fastener import nouns

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sim.bench.foil import Prescription
    from sim.bench.foil_forecast import Expected
    from sim.bench.foil_reading import Held
    from sim.parts.case import Studs


def torque_of(studs: Studs) -> str:
    """Say the torque of the nuts, or the pull where that is given."""
    given, unit = (studs.torque_nm, "N m") if studs.torque_nm is not None else (studs.preload_n, "N")
    each = np.unique(np.atleast_1d(np.asarray(given, dtype=float)))
    return " / ".join(words.with_unit(float(one), unit, 3) for one in each)


def class_html(of: Prescription, made_on: date | None = None) -> str:
    """Build the class's sheet: nothing in it says what comes out.

    Parameters
    ----------
    of : Prescription
    made_on : date, optional
        Printed date; today unless given.

    Returns
    -------
    str
        One HTML document, complete in itself, both sides of one A4 sheet when printed.
    """
    mounts = ["1, no foil", *(f"{n}, {trial.name}" for n, trial in enumerate(of.trials, 2))]
    mounts.append(f"{len(mounts) + 1}, no foil")
    count = of.case.studs.count
    return _page(
        of,
        made_on,
        sheet="class",
        where=Markup(drawn.where(of, min(len(of.trials), 4), 58.0 if len(of.trials) < 4 else 46.0)),
        trials=[{"name": trial.name, "where": said.places(trial, count)} for trial in of.trials],
        steps=said.steps(of, torque_of(of.case.studs)),
        mounts=mounts,
        angles=[round(360 * k / PLACES) for k in range(PLACES + 1)],
    )


def forecast_html(
    of: Prescription, expected: Sequence[Expected], held: Sequence[Held] = (), made_on: date | None = None
) -> str:
    """Build the page of the forecast; with readings, foretold and read laid over each other.

    Parameters
    ----------
    of : Prescription
    expected : sequence of Expected
    held : sequence of Held
        Empty before anything was read.
    made_on : date, optional

    Returns
    -------
    str
        One HTML document, complete in itself.
    """
    rows = [_row(one, held[k] if held else None) for k, one in enumerate(expected)]
    return _page(
        of,
        made_on,
        sheet="forecast",
        rows=rows,
        overlay=Markup(drawn.overlay(expected, held)),
        summary=said.summary(held) if held else "",
        hold_back=said.HOLD_BACK,
        uncertain=said.UNCERTAIN,
        every_fifth=said.EVERY_FIFTH,
    )


def _row(one: Expected, held: Held | None) -> dict[str, str]:
    low, _, high = one.runout_um
    small, _, large = one.amplitude_um
    return {
        "name": one.trial.name,
        "band": words.span(low, high, "µm"),
        "vector": f"{words.span(small, large, 'µm')} at {words.degrees(one.high_spot_deg)}",
        "peak": words.with_unit(one.peak_mpa, "MPa"),
        "force": words.force(one.force_n),
        "said": said.verdict(held) if held else said.foretold(one),
        "read": words.micrometres(held.runout_um) if held else "",
        "read_vector": f"{words.micrometres(abs(held.order_um))} at {words.degrees(held.high_spot_deg)}"
        if held
        else "",
    }


def _page(of: Prescription, made_on: date | None, **shown: Any) -> str:
    page = (
        environment()
        .get_template("foil.html")
        .render(
            case=of.case,
            made_on=(made_on or date.today()).isoformat(),
            never=said.NEVER_DRIVEN,
            stand=said.ON_A_STAND,
            cautions=cautions.named(*said.CAUTIONS, call=nouns(of.case.studs)),
            **shown,
        )
    )
    return fastening.said_html(page, of.case)
