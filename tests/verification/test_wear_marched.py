"""The averaged march against every revolution marched, against a finer march, and against service practice.

Brute force: ``brute_force.py``. Wear coefficients times 60 and a stop every 100 revolutions (3 braked): legitimate, as
coefficients only scale time (tested by itself); 4e4 revolutions stand for 4 600 km. The comparison at true wear over
10 000 km takes minutes: ``tests/benchmarks/bench_wear.py``; its result is kept in ``brute_force_10000km.json`` here.

CALIBRATION, not a check (service practice: common practice, no source): 0.10 mm at mixed duty brings 15 um between
4 800 and 11 300 km, 0.03 mm is harmless. Checked against it are drag (3.7 N m) and the lives of disc and pads.
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from brute_force import wear_of
from wear_setup import ONE_RING, depths, dtv_um, problem, runout_mm

from sim.parts.case import Caliper, Case, Drive
from sim.wear.asked import Settings
from sim.wear.brake import Fineness
from sim.wear.draws import COARSE
from sim.wear.forecast import drive
from sim.wear.march import march, rates_at, start, states_at
from sim.wear.worn_state import WORK

QUICK = Settings(draws=0)


@pytest.mark.parametrize(("style", "tir", "more"), [("floating", 0.10, {}), ("fixed", 0.15, {"slip_n": 40.0})])
def test_against_every_revolution(style, tir, more):
    """On half the angles of the closed forms: both ways have them, and what is averaged is the revolutions."""
    more = more | {"fineness": replace(ONE_RING, angles=90)}
    one = problem(style, tir=tir, second=0.1, **more)
    one = problem(style, tir=tir, second=0.1, disc_wear=60.0 * one.brake.disc_wear, **more)
    marks = np.array([1.33e4, 2.67e4, 4e4])
    slow = wear_of(one, (100, 3), marks)
    quick = depths(one, marks)[:, :, 0]
    dtv_slow, dtv_quick = (np.ptp(worn.sum(axis=1), axis=1) for worn in (slow, quick))
    assert np.max(np.abs(dtv_quick / dtv_slow - 1.0)) < 0.01
    assert np.max(np.abs(quick - slow)) < 3e-4  # 0.3 um on either face


def test_kept_result_of_the_long_comparison():
    """10 000 km at true wear, within 0.5 % of the peak (see the benchmark)."""
    kept = json.loads((Path(__file__).parent / "brute_force_10000km.json").read_text())
    assert {row["style"] for row in kept["rows"]} == {"floating", "fixed"}
    for row in kept["rows"]:
        one = problem(row["style"], second=row["second"], tir=row["tir"])
        dtv = 1e3 * np.ptp(depths(one, np.array(row["revolutions"]))[:, :, 0].sum(axis=1), axis=1)
        assert np.max(np.abs(dtv - row["brute_dtv_um"])) < 0.005 * max(row["brute_dtv_um"])


@pytest.mark.parametrize("style", ["floating", "fixed"])
def test_error_falls_with_the_tolerance(style):
    """The march against itself at a hundred times the precision: under 0.2 % of the peak, and falling."""
    at = 519.5 * np.linspace(2000.0, 40_000.0, 15)

    def dtv(tolerance):
        return dtv_um(problem(style, second=0.1, fineness=Fineness(angles=72, tolerance_mm=tolerance)), at)

    fine = dtv(1e-7)
    loose, usual = (np.max(np.abs(dtv(t) - fine)) / fine.max() for t in (1e-4, Fineness().tolerance_mm))
    assert usual < 0.002
    assert usual < loose


@pytest.mark.parametrize("style", ["floating", "fixed"])
def test_grid_and_draw_fineness(style):
    """120 angles against 360: 0.5 %; the coarse setting of the draws against them: 1.5 %, of the peak."""
    at = 519.5 * np.linspace(2000.0, 30_000.0, 8)

    def dtv(fineness):
        return dtv_um(problem(style, second=0.1, fineness=fineness), at)

    standard, fine, coarse = dtv(Fineness()), dtv(Fineness(angles=360)), dtv(COARSE)
    assert np.max(np.abs(standard - fine)) < 0.005 * fine.max()
    assert np.max(np.abs(coarse - fine)) < 0.015 * fine.max()


def test_a_march_in_two_parts_is_the_same_march():
    one = problem(second=0.2)
    whole = march(one, 8e6)
    parts = march(one, 8e6, so_far=march(one, 2e6))
    for name in ("revolutions", "state", "rate", "notes", "balance", "error", "going"):
        assert np.array_equal(getattr(whole, name), getattr(parts, name)), name


def test_dense_output_passes_through_the_knots():
    marched = march(problem(), 3e6)
    states, rates = states_at(marched, marched.revolutions), rates_at(marched, marched.revolutions)
    assert np.allclose(states, marched.state, rtol=0, atol=1e-16)
    assert np.allclose(rates, marched.rate, rtol=1e-6, atol=1e-15)
    between = np.linspace(0.0, 3e6, 7)
    assert np.array_equal(rates_at(marched, between, WORK), rates_at(marched, between)[:, -4:])


def test_start_is_a_march_of_nothing():
    first = start(problem())
    assert first.revolutions.tolist() == [0.0]
    assert not first.state.any()


# --- calibration and what is checked against it -------------------------------------------------------------------


def trace_um(tir_mm):
    return 1e3 * runout_mm(tir_mm, second=0.1)


@pytest.mark.parametrize("style", ["floating", "fixed"])
def test_calibration_window(style):
    case = Case(caliper=Caliper(style=style))
    assert 4800.0 < drive(case, trace_um(0.10), settings=QUICK).km_to_limit < 11_300.0
    quiet = drive(case, trace_um(0.03), settings=QUICK)
    assert quiet.km_to_limit is None
    assert quiet.dtv_um.max() < 3.0


@pytest.mark.parametrize("style", ["floating", "fixed"])
def test_drag_and_lives_with_the_same_parameters(style):
    """Drag within 3.7 N m; 10 to 17 um per face and 1000 km; disc 60 000 to 100 000 km, pads 20 000 to 60 000 km."""
    found = drive(Case(caliper=Caliper(style=style)), trace_um(0.10), settings=QUICK)
    assert found.drag_nm.max() < 3.7
    assert 10.0 < 1e6 * found.disc_wear_mm / 2.0 / 30_000.0 < 17.0
    assert 60_000.0 < found.disc_life_km < 100_000.0
    assert 20_000.0 < found.pad_life_km < 60_000.0


@pytest.mark.parametrize("style", ["floating", "fixed"])
def test_gentle_use_is_worst_and_heavy_use_heals(style):
    peaks = []
    for duty in ("gentle", "mixed", "heavy"):
        case = Case(caliper=Caliper(style=style), drive=Drive(duty=duty))
        peaks.append(drive(case, trace_um(0.10), settings=replace(QUICK, wear_out=False)).dtv_um.max())
    assert peaks[0] > peaks[1] > peaks[2]


def test_disc_and_pads_end_the_march():
    """A heavy driver wears the pads out first; a disc just above discard ends there, at the thinnest place."""
    pads = drive(Case(drive=Drive(duty="heavy")), trace_um(0.05), settings=QUICK)
    assert pads.stopped_by == "worn pads"
    assert pads.pad_wear_mm == pytest.approx(8.0, rel=1e-6)
    assert pads.distance_km[-1] == pytest.approx(pads.pad_life_km, rel=1e-6)
    rotor = replace(Case().rotor, thickness_mm=10.05)
    disc = drive(replace(Case(), rotor=rotor), trace_um(0.10), settings=QUICK)
    assert disc.stopped_by == "discard thickness"
    thinnest = 10.05 - disc.disc_wear_mm + 1e-3 * disc.thickness_um[-1].min()
    assert thinnest == pytest.approx(10.0, abs=1e-6)
