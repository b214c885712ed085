"""The middle of several turns: how sure it is beside the mean, and what one odd turn of three and more does to it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.bench.judged_thickness import judged_thickness
from sim.bench.next_act import bare_hub
from sim.bench.pooled_turns import pooled
from sim.files.dial_readings import parse
from sim.files.reading_faults import TWICE
from sim.parts.case import Limits
from sim.parts.middle_turn import as_many
from sim.turn import tir

PLACES = np.arange(12) * 30.0
HEAD = (
    "# studs: 5\n# gauge_radius_mm: 140\n# hub_face_radius_mm: 64\n# dial_um: {step}\n# turned: counter-clockwise\n"
    "# dial: + towards\ntrace,mount,studs_turned,angle_deg,reading_um,state,clamped_by,dial_um\n"
)
ORDERS = {3: ((0, 1, 1), (1, 0, 1), (1, 1, 0)), 4: ((0, 1, 1, 1), (1, 1, 0, 1)), 5: ((1, 0, 1, 1, 1), (0, 1, 0, 1, 1))}


def table(kind, turns, step):
    held, level = ("nuts and spacers" if kind == "mounted" else ""), (11_600.0 if kind == "thickness" else 0.0)
    mount = "" if kind == "hub face" else 2
    rows = (
        f"{kind},{mount},0,{a:g},{level + v:.0f},cleaned,{held},{step}\n"
        for one in turns
        for a, v in zip(PLACES, one, strict=True)
    )
    return parse(HEAD.format(step=step) + "".join(rows))


def wave(tir_um, order=1):
    return tir_um / 2.0 * np.cos(order * np.radians(PLACES - 40.0))


@pytest.mark.parametrize("turns", range(1, 8))
def test_a_median_is_as_sure_as_the_mean_of_fewer_readings(turns):
    """Drawn: 400 000 medians of so many normal readings."""
    drawn = np.median(np.random.default_rng(turns).normal(size=(400_000, turns)), axis=1)
    assert 1.0 / math.sqrt(as_many(turns)) == pytest.approx(drawn.std(), rel=0.005 if turns < 7 else 0.06)


@pytest.mark.parametrize("order", [orders for of in ORDERS.values() for orders in of])
@pytest.mark.parametrize(
    ("kind", "limit_um", "odd_um", "over_um"),
    [("hub face", 23, 14, 27), ("thickness", 15, 6, 19), ("mounted", 50, 38, 58)],
)
def test_an_odd_turn_of_three_and_more_pulls_no_figure_under_a_limit(kind, limit_um, odd_um, over_um, order):
    """27, 14, 26 µm of 23 was "22 ± 5, leave it there"; so were 19, 6, 19 of 15 and 58, 38, 57 of 50."""
    turns = [wave(over_um - 0.4 * k if over else odd_um) for k, over in enumerate(order)]
    for step in (1, 10) if kind == "mounted" else (1,):
        read = table(kind, turns, step)
        if kind == "mounted":
            figure_um = tir(pooled(read.of("mounted"), step).value_um)
        elif kind == "thickness":
            figure_um = judged_thickness(read, read.thickness, Limits(dtv_um=limit_um)).value_um
        else:
            figure_um = bare_hub(read, Limits(hub_face_runout_um=limit_um)).runout_um
        # Where turns part the last stands until it is read again: nothing is done before that.
        parts = any(one.fault == TWICE and not one.answer for one in read.faults)
        assert figure_um > limit_um or parts
