"""What is asked of drawn corners: closed forms of vectors, the loosest limit, sensitivities, levers, the cluster."""

from __future__ import annotations

from dataclasses import replace
from importlib import import_module
from types import SimpleNamespace

import numpy as np
import pytest
import scipy

from scenes.command import cluster
from scenes.plots import stack as plots
from scenes.words import stack as said
from sim import load_case
from sim.errors import BadInput
from sim.stack import sensitivity, worst_case
from sim.stack.brought import brought
from sim.stack.capability import UPPER, capability
from sim.stack.distributions import Distribution
from sim.stack.draw import BLOCK, draw_block
from sim.stack.enough import better
from sim.stack.gauge import Gauge, sorting
from sim.stack.levers import worths
from sim.stack.loosest import DRAWN_AGAIN, loosest
from sim.stack.paired import fewer
from sim.stack.points import REPLICATES, stream_of
from sim.stack.population import Population, Varied
from sim.stack.run import Result
from sim.stack.shares import band, exact, replicated, spread
from sim.stack.study import Lever, Prices, Study
from sim.stack.study_file import starter_stack, study_from_text
from sim.stack.vectors import rigid_stack_um, vector_stack_um

A = np.array([0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0])  # of the G function as published
HUB, ROTOR = "hub.face_runout_um", "rotor.own_runout_um"
THICKNESS = "rotor.own_thickness_variation_um"


def two(hub, rotor):
    """Hub read at the dial's own radius, so that both count alike."""
    base = load_case("perfect_solid_300")
    base = replace(base, hub=replace(base.hub, face_runout_um=0.0, face_runout_radius_mm=base.gauge_radius_mm))
    return Population("two vectors", base, (Varied(HUB, hub), Varied(ROTOR, rotor)))


def test_rayleigh_vectors_add_up_to_rayleigh_and_their_limits_as_root_sum_square():
    """Closed form: independent Rayleigh phasors of any phase are Rayleigh, scales in root sum square."""
    made = two(Distribution("rayleigh", (12.0,)), Distribution("rayleigh", (14.0,)))
    drawn = vector_stack_um(made, 200_000, 3)
    whole = scipy.stats.rayleigh(scale=np.hypot(12.0, 14.0))
    assert scipy.stats.kstest(drawn, whole.cdf).pvalue > 1e-3
    parts = worst_case.contributions(made)
    assert worst_case.rss_um(parts) == pytest.approx(whole.ppf(0.9973), rel=1e-9)
    assert worst_case.worst_case_um(parts) == pytest.approx(scipy.stats.rayleigh.ppf(0.9973) * 26.0)


def test_one_known_vector_with_a_rayleigh_one_is_rice():
    drawn = vector_stack_um(two(Distribution("fixed", (40.0,)), Distribution("rayleigh", (15.0,))), 200_000, 4)
    assert scipy.stats.kstest(drawn, scipy.stats.rice(40.0 / 15.0, scale=15.0).cdf).pvalue > 1e-3


def test_two_known_vectors_follow_the_two_phasor_form():
    """Mean (2/pi)(a + b) E(m), m = 4ab/(a + b)^2; the share under x from the law of cosines."""
    a, b, x = 30.0, 20.0, 35.0
    drawn = vector_stack_um(two(Distribution("fixed", (a,)), Distribution("fixed", (b,))), 200_000, 5)
    mean = 2.0 / np.pi * (a + b) * scipy.special.ellipe(4.0 * a * b / (a + b) ** 2)
    assert drawn.mean() == pytest.approx(mean, abs=4.0 * drawn.std() / np.sqrt(drawn.size))
    share = 1.0 - np.arccos((x**2 - a**2 - b**2) / (2.0 * a * b)) / np.pi
    assert np.mean(drawn < x) == pytest.approx(share, abs=0.005)


def test_worst_case_and_root_sum_square_are_dimstacks():
    """Three tolerances of 29.919, 19.946 and 7.9784 um: what dimstack 0.9.0 makes of them; to load it takes longer."""
    made = two(Distribution("uniform", (0.0, 30.0)), Distribution("uniform", (0.0, 20.0)))
    third = Varied("rotor.own_thickness_variation_um", Distribution("uniform", (0.0, 16.0)))  # it takes three or more
    parts = worst_case.contributions(replace(made, varied=(*made.varied, third)))
    assert [one.runout_um for one in parts] == pytest.approx([29.919, 19.946, 7.9784])
    assert worst_case.worst_case_um(parts) == pytest.approx(57.8434)
    assert worst_case.rss_um(parts) == pytest.approx(36.83265322455063)


def test_rigid_rows_are_the_vectors_where_nothing_lies_between_the_faces():
    made = two(Distribution("rayleigh", (12.0,)), Distribution("rayleigh", (14.0,)))
    assert (
        scipy.stats.kstest(rigid_stack_um(made, 3000, 3), scipy.stats.rayleigh(scale=np.hypot(12.0, 14.0)).cdf).pvalue
        > 1e-3
    )


@pytest.mark.parametrize(
    ("function", "names", "bounds", "first", "total"),
    [
        ("Ishigami", 3, [-np.pi, np.pi], (0.3139, 0.4424, 0.0), (0.5576, 0.4424, 0.2437)),
        ("Sobol_G", 8, [0.0, 1.0], None, None),
    ],
)
def test_indices_are_those_of_the_published_functions_and_of_salib(function, names, bounds, first, total):
    # Heavy: loaded by the one process that asks for it.
    from SALib.analyze import sobol as salib_sobol
    from SALib.sample import sobol as salib_sample

    published = import_module(f"SALib.test_functions.{function}")
    problem = {"num_vars": names, "names": [f"x{k}" for k in range(names)], "bounds": [bounds] * names}
    sample = salib_sample.sample(problem, 2048, calc_second_order=False, seed=1)
    rows = published.evaluate(sample).reshape(2048, names + 2)
    ours = sensitivity.indices(rows[:, 0], rows[:, -1], rows[:, 1:-1].T)
    theirs = salib_sobol.analyze(problem, rows.ravel(), calc_second_order=False, seed=1)
    np.testing.assert_allclose([one.total for one in ours], theirs["ST"], atol=0.01)
    np.testing.assert_allclose([one.first for one in ours], theirs["S1"], atol=0.02)
    if first is None:
        first, total = published.sensitivity_index(A), published.total_sensitivity_index(A)
    np.testing.assert_allclose([one.first for one in ours], first, atol=0.03)
    np.testing.assert_allclose([one.total for one in ours], total, atol=0.03)
    inside = [one.total_low <= true <= one.total_high for one, true in zip(ours, total, strict=True)]
    assert sum(inside) >= len(inside) - 1


def test_groups_keep_an_amplitude_with_its_angle_and_find_the_closed_form(monkeypatch):
    """|z1 + z2|^2 of Gaussian vectors: first q^2, total 1 - (1 - q)^2 with q = s^2 / sum of s^2."""
    monkeypatch.setattr(sensitivity, "RESAMPLED", 2)  # nothing is asked of an interval
    study = Study(two(Distribution("rayleigh", (20.0,)), Distribution("rayleigh", (10.0,))), seed=11)
    names = sensitivity.groups_of(study.population)
    assert names["hub.face_high_spot_deg"] == HUB
    groups = (HUB, ROTOR)
    seated = sensitivity._block(study, names, groups, 24, 0)
    rng = np.random.default_rng(2)
    z = rng.rayleigh([20.0, 10.0], (2, 20_000, 2)) * np.exp(2j * np.pi * rng.random((2, 20_000, 2)))
    one, other = z
    values = [np.abs(part.sum(axis=1)) ** 2 for part in (one, other, np.stack([other[:, 0], one[:, 1]], axis=1),
                                                         np.stack([one[:, 0], other[:, 1]], axis=1))]  # fmt: skip
    found = sensitivity.indices(values[0], values[1], values[2:])
    q = np.array([0.8, 0.2])
    np.testing.assert_allclose([index.first for index in found], q**2, atol=0.04)
    np.testing.assert_allclose([index.total for index in found], 1.0 - (1.0 - q) ** 2, atol=0.03)
    assert seated.shape == (4, 24)
    assert sensitivity.indices(seated[0], seated[1], seated[2:])[0].total > 0.5


def result_of(hub_um, rotor_um, limit=50.0, wanted=0.99):
    """A result whose outcomes are known vectors, without a seating."""
    made = replace(
        two(Distribution("uniform", (0.0, 40.0)), Distribution("rayleigh", (10.0,))),
        limit_um=limit,
        share_within=wanted,
    )
    columns = {HUB: hub_um, ROTOR: rotor_um, "found_um": hub_um + rotor_um}
    return Result(Study(made), columns, {}, (), (), 0.0, False)


def test_the_loosest_limit_is_the_true_one_within_its_interval():
    """Hub even over 0 .. 40, rotor Rayleigh 10: within up to L is 1 - E[exp(-(50 - h)^2 / 200)], h even over 0 .. L."""
    wanted = 0.99
    grid = np.linspace(1e-6, 40.0, 20_001)
    share = 1.0 - np.cumsum(np.exp(-((50.0 - grid) ** 2) / 200.0)) / np.arange(1, grid.size + 1)
    true = grid[np.flatnonzero(share >= wanted)[-1]]
    inside = 0
    for seed in range(60):
        rng = np.random.default_rng(seed)
        found = loosest(result_of(rng.uniform(0.0, 40.0, 2000), rng.rayleigh(10.0, 2000)), HUB)
        assert found.limit is not None
        inside += (found.low or 0.0) <= true <= (found.high or 0.0)
    assert inside >= 54, "an interval of 95 % or more"
    assert found.kept.share == pytest.approx(found.limit / 40.0, abs=0.03)


def test_the_same_corners_under_another_limit_find_the_true_one():
    """Two Rayleigh vectors, one cut at L: within is the mean over the cut one of Rice's share (closed form)."""
    wanted, scale, own = 0.985, 12.0, 14.0
    made = replace(two(Distribution("rayleigh", (scale,)), Distribution("rayleigh", (own,))), share_within=wanted)
    middles = (np.arange(400) + 0.5) / 400

    def share(limit):
        cut = scipy.stats.rayleigh(scale=scale)
        h = cut.ppf(middles * cut.cdf(limit))
        return float(np.mean(scipy.stats.rice(h / own, scale=own).cdf(50.0))) - wanted

    true = scipy.optimize.brentq(share, 10.0, 40.0)
    inside = 0
    for seed in range(12):
        rng = np.random.default_rng(seed)
        hub, rotor = rng.rayleigh(scale, 500), rng.rayleigh(own, 500)
        angle = 360.0 * rng.random(500)
        wave = hub / 2 * np.exp(-1j * np.radians(angle)) + rotor / 2
        columns = {HUB: hub, ROTOR: rotor, "hub.face_high_spot_deg": angle, "found_um": 2.0 * np.abs(wave),
                   "first_cos_um": wave.real, "first_sin_um": -wave.imag}  # fmt: skip
        flat = {"found": np.zeros((500, 25), dtype=complex)}
        found = loosest(Result(Study(made), columns, flat, (), (), 0.0, False), HUB)
        assert found.how == DRAWN_AGAIN
        for limit in (found.limit, found.low or found.limit):  # what each sorts out, by the distribution
            assert found.sorts_out(limit) == pytest.approx(np.exp(-0.5 * (limit / scale) ** 2), abs=0.002)
        inside += (found.low or 0.0) <= true <= (found.high or 0.0)
    assert inside >= 10, "an interval of 95 % or more: fewer than 10 of 12 happens once in 50"


@pytest.mark.parametrize("points", ["sobol", "latin hypercube"])
def test_replicates_of_spread_points_hold_a_share_that_is_known(points):
    """Two Rayleigh vectors: the share over 50 um is exp(-50^2 / 2 s^2), s in root sum square (closed form)."""
    made = two(Distribution("rayleigh", (12.0,)), Distribution("rayleigh", (14.0,)))
    true = float(scipy.stats.rayleigh(scale=np.hypot(12.0, 14.0)).sf(50.0))
    inside, halves = 0, []
    for seed in range(20):
        study = Study(made, samples=2 * BLOCK, seed=seed, points=points)
        drawn = [draw_block(made, seed, block, stream_of(study, block)).columns for block in (0, 1)]
        hub, rotor, turn, own = (np.concatenate([one[name] for one in drawn]) for name in (
            HUB, ROTOR, "hub.face_high_spot_deg", "rotor.own_high_spot_deg"))  # fmt: skip
        values = np.abs(hub * np.exp(1j * np.radians(turn)) + rotor * np.exp(1j * np.radians(own)))
        found = replicated(spread(values, 50.0, BLOCK), values, 50.0, REPLICATES).reject
        inside += found.low <= true <= found.high
        halves.append(found.high - found.low)
    assert inside >= 16, "an interval of 95 %: fewer than 16 of 20 happens once in 400"
    whole = exact(round(true * 2 * BLOCK), 2 * BLOCK)
    assert np.mean(halves) < whole.high - whole.low, "and narrower than that of random draws"


def test_replicates_without_a_corner_over_are_no_proof_and_a_band_is_its_shares():
    """None over in any replicate is the exact interval of so many draws, never nothing to nothing."""
    values = np.linspace(1.0, 49.0, 256)
    none = replicated(spread(values, 50.0, BLOCK), values, 50.0, REPLICATES).reject
    assert (none.low, none.high) == (0.0, exact(0, 256).high)
    for replicates in (1, REPLICATES):
        share, low, high = band(np.r_[values, np.nan], [20.0, 48.5, 60.0], replicates)
        one = spread(values, 20.0, BLOCK)
        one = one if replicates == 1 else replicated(one, values, 20.0, REPLICATES)
        assert (share[0], low[0], high[0]) == pytest.approx((one.reject.share, one.reject.low, one.reject.high))
        assert high[2] == exact(0, 256).high


def test_no_limit_at_all_and_no_limit_that_does():
    rng = np.random.default_rng(1)
    quiet = loosest(result_of(rng.uniform(0, 5, 2000), rng.rayleigh(3.0, 2000)), HUB)
    assert quiet.unlimited
    loud = loosest(result_of(rng.uniform(0, 5, 2000), rng.rayleigh(40.0, 2000)), HUB)
    assert loud.limit is None
    assert loud.high is None
    assert "excluded above" in said.loosest_short(
        loosest(result_of(rng.uniform(0, 40, 4000), rng.rayleigh(10, 4000)), HUB)
    )
    few = loosest(result_of(np.linspace(1.0, 40.0, 60), np.r_[np.zeros(58), 20.0, 20.0], wanted=0.98), HUB)
    assert "excluded at no limit by so few draws" in said.loosest_short(few), "the last part is no end that draws set"
    with pytest.raises(BadInput, match="does not vary"):
        loosest(result_of(np.ones(40), np.ones(40)), "hub.face_dish_um")
    with pytest.raises(BadInput, match="was not computed"):
        loosest(result_of(np.ones(40), np.ones(40)), HUB, "cleaned_um")


@pytest.mark.parametrize("draws", [2000, 4000])
def test_a_bound_for_a_drawing_is_never_rounded_to_the_easy_side(draws):
    rng = np.random.default_rng(draws)
    one = loosest(result_of(rng.uniform(0, 40, draws), rng.rayleigh(10, draws)), HUB)
    down, up = float(np.floor(10 * one.low) / 10), float(np.ceil(10 * one.high) / 10)
    for words in (said.loosest_short(one), said._loosest(one)):
        assert f"demonstrated up to {down:.1f}\xa0µm" in words
        assert f"excluded above {up:.1f}\xa0µm" in words
    # "Write the demonstrated one into the drawing" stood beside what the looser one sorts out.
    both = f"It sorts out {said.rate(one.sorts_out(one.limit))} of the parts, the one demonstrated"
    assert f"{both} {said.rate(one.sorts_out(one.low))} (" in said._loosest(one)


def test_a_lever_with_its_limits_reversed_is_refused_as_a_spread_is():
    text = starter_stack().replace("highest = 12.0\n", "lowest = 20.0\nhighest = 12.0\n")
    with pytest.raises(BadInput, match=r"lever\.1\.lowest: limits are reversed: lowest 20, highest 12"):
        study_from_text(text)


def test_what_a_lever_is_worth_by_hand():
    hub = np.repeat([10.0, 30.0], 500)
    found = result_of(hub, np.tile([0.0, 25.0], 500))
    levers = (Lever(name="sorted", key=HUB, highest=20.0, price_per_car=3.0),)
    found = replace(found, study=replace(found.study, levers=levers, prices=Prices(claim=100.0, corners_per_car=2)))
    (one,) = worths(found, workers=1)
    assert (one.without.share, one.over.share, one.sorted_out) == (0.25, 0.0, 0.5)
    assert one.saves_per_car == pytest.approx(0.25 * 2 * 100.0)
    assert one.gain_per_car == pytest.approx(47.0)


def test_a_lever_on_the_torque_is_seated_by_what_computes_the_rest(monkeypatch):
    from sim.stack import levers

    asked = {}

    def run(study, workers, executor, wanted):
        asked.update(executor=executor, workers=workers, cures=wanted.cures)
        return found

    monkeypatch.setattr(levers, "run", run)
    found = result_of(np.linspace(0.0, 40.0, 50), np.full(50, 20.0))
    made = replace(found.study.population, stud=Distribution("normal", (1.0, 0.1)))
    found = replace(found, study=Study(made, levers=(Lever(name="tool", stud_sd=0.03),)))
    levers.worths(found, workers=3, executor="a cluster")
    assert asked == {"executor": "a cluster", "workers": 3, "cures": False}


@pytest.mark.parametrize(
    ("points", "samples", "tolerance", "instead", "why"),
    [
        ("random", 2000, 1.0, 2048, "two batches of 1024"),
        ("random", 100, 0.0, 368, "no fewer than 368"),
        ("random", 100, 1.0, 2048, "no fewer than 368"),
        ("sobol", 2000, 1.0, 2048, "power of two"),
        ("latin hypercube", 2000, 1.0, 2048, "blocks of 256"),
        ("random", 2000, 0.0, None, ""),
        ("random", 2048, 1.0, None, ""),
        ("sobol", 512, 0.0, None, ""),
        ("latin hypercube", 768, 0.0, None, ""),
    ],
)
def test_the_number_of_corners_that_tells_more_is_said_before_they_are_drawn(points, samples, tolerance, instead, why):
    made = two(Distribution("rayleigh", (5.0,)), Distribution("rayleigh", (5.0,)))
    found = better(Study(made, samples=samples, points=points, tolerance_um=tolerance))
    assert (found and found.samples) == instead
    assert why in (found.why if found else "")


@pytest.mark.parametrize("address", ["tcp://192.168.1.4:8786", "127.0.0.1:8786", "tcp://localhost", "ws://127.0.0.1:1"])
def test_a_scheduler_that_is_neither_here_nor_encrypted_is_refused(address):
    with pytest.raises(BadInput, match="neither on this machine nor encrypted"):
        cluster.need_safe(address)
    cluster.need_safe("tcp://127.0.0.1:8786")
    cluster.need_safe("tls://big.example:8786")


def test_capability_is_that_of_the_normal_distribution_and_its_interval_holds():
    """Mean 30, 5 of standard deviation, limit 50: (50 - 30) / (3 x 5); Rayleigh 10: by its own quantiles."""
    rayleigh = scipy.stats.rayleigh(scale=10.0)
    cases = (
        (lambda rng: rng.normal(30.0, 5.0, 20_000), 20.0 / (scipy.stats.norm.ppf(UPPER) * 5.0)),
        (
            lambda rng: rng.rayleigh(10.0, 20_000),
            (50.0 - rayleigh.median()) / (rayleigh.ppf(UPPER) - rayleigh.median()),
        ),
    )
    for draw, true in cases:
        found = [capability(draw(np.random.default_rng(seed)), 50.0) for seed in range(40)]
        assert sum(one.low <= true <= one.high for one in found) >= 34
        assert np.median([one.index for one in found]) == pytest.approx(true, rel=0.03)
    few = capability(np.linspace(1.0, 40.0, 500), 50.0)
    assert few.index is None, "so few draws hold no 99.865 % point"
    assert few.low is None
    assert few.over_ppm == 0.0
    assert few.resolvable_ppm == pytest.approx(1e6 * (1.0 - 0.025 ** (1 / 500)))


def test_what_a_gauge_sorts_wrongly_is_that_of_two_normal_figures():
    """True value normal, reading normal about it: both together are a normal pair, whose corners scipy integrates."""
    mean, sd, limit, gauge = 35.0, 12.0, 50.0, Gauge(step_um=10.0, mounting_sd_um=4.0)
    true = scipy.stats.norm(mean, sd).ppf((np.arange(200_000) + 0.5) / 200_000)
    pair = scipy.stats.multivariate_normal([mean, mean], [[sd**2, sd**2], [sd**2, sd**2 + gauge.sd_um**2]])
    for guard in (0.0, 2.0):
        found = sorting(true, limit, gauge, guard)
        accept = limit - guard * gauge.sd_um
        both = float(pair.cdf([limit, accept]))
        assert found.accept_um == pytest.approx(accept)
        assert found.passed_over == pytest.approx(
            scipy.stats.norm(mean, np.hypot(sd, gauge.sd_um)).cdf(accept) - both, abs=2e-4
        )
        assert found.rejected_within == pytest.approx(scipy.stats.norm(mean, sd).cdf(limit) - both, abs=2e-4)
    assert found.of_variation == pytest.approx(gauge.sd_um / np.hypot(sd, gauge.sd_um), rel=1e-3)
    # A dial of 0.01 mm: twice half a division and repeatability, the travel once (JCGM 100); and putting on again.
    assert gauge.sd_um == pytest.approx(np.hypot(np.sqrt(2 * (25 + 9) / 3 + 25 / 3), 4.0))
    assert gauge.of_limit(limit) == pytest.approx(6.0 * gauge.sd_um / 50.0)


@pytest.mark.parametrize(
    ("was", "put", "told"),
    [
        ('source = "judgement, 2 .. 6 on clean faces"', "source = 5", "gauge.source"),
        ('currency = "EUR"', "currency = 5", "prices.currency"),
        ('name = "every corner cleaned"', "name = [1]", "lever.2.name"),
        ('name = "chip or burr on the rotor"', "name = 5", "dirt.2.name"),
        ('title = "Rear corners with new rotors on used hubs"', "title = true", "title"),
    ],
)
def test_what_is_no_text_where_a_text_is_asked_is_refused_once(was, put, told):
    text = starter_stack()
    assert was in text
    with pytest.raises(BadInput) as caught:
        study_from_text(text.replace(was, put))
    (fault,) = caught.value.faults
    assert fault.key == told
    assert "is not text; text stands in quotes" in fault.reason
    assert fault.line == text[: text.index(was)].count("\n") + 1


@pytest.mark.parametrize(
    ("line", "told"),
    [("step_um = 0.0", "step_um"), ("mounting_sd_um = inf", "mounting_sd_um"), ("step = 10.0", "unknown key")],
)
def test_a_gauge_that_is_none_is_told_with_its_line(line, told):
    text = starter_stack().replace("step_um = 10.0 ", f"{line} ").replace("mounting_sd_um = 3.0", "#")
    with pytest.raises(BadInput, match=told):
        study_from_text(text)


@pytest.mark.parametrize("text", ["", "runout_um\n", "runout_um\n31\nnone\n", "12\n14\n"])
def test_an_audit_that_cannot_be_used_is_refused_before_anything_is_drawn(text, tmp_path, monkeypatch, capsys):
    from scenes.command.app import main

    (tmp_path / "read.csv").write_text(text)
    monkeypatch.setattr("sim.stack.run.run", lambda *_, **__: pytest.fail("corners were drawn"))
    assert main(["stack", "population_rear", "--audit", str(tmp_path / "read.csv")]) == 2
    assert "Traceback" not in capsys.readouterr().err


def test_plots_name_what_they_show():
    rng = np.random.default_rng(1)
    found = result_of(rng.uniform(0.0, 40.0, 1000), rng.rayleigh(10.0, 1000))
    one = loosest(found, HUB)
    drawn = plots.loosest(SimpleNamespace(result=found), one)
    assert "parts sorted out" in drawn
    assert f"{one.limit:.1f} µm" in drawn
    km, none, some = np.linspace(0.0, 3e4, 4), np.zeros(4), np.array([0.0, 0.1, 0.2, 0.4])
    for cleaned, notes in ((none, {"as found and cleaned"}), (some, {"as found", "cleaned"})):
        within = {name: exact(100, 100) for name in ("found", "cleaned")}
        road = SimpleNamespace(limit_um=15.0, km=km, over={"found": none, "cleaned": cleaned}, within=within)
        drawn = plots.claims(SimpleNamespace(result=found, more={"road": road}))
        assert {text for text in ("as found and cleaned", "as found", "cleaned") if f">{text}<" in drawn} == notes


def test_a_fit_finds_the_scales_that_made_the_readings_and_says_what_it_cannot_tell():
    """Readings made of the library's own parts, hub and rotor multiplied: the band must hold both factors' sum."""
    from sim.stack import fit as fitted

    rng = np.random.default_rng(3)
    size = 1500
    dirty = rng.random(size) < 0.3
    zero = np.zeros((size, fitted.ORDERS + 1), dtype=complex)
    dirt = zero.copy()
    dirt[dirty, 1] = 15.0 * rng.random(dirty.sum()) * np.exp(2j * np.pi * rng.random(dirty.sum()))
    hub, rotor = (one * rng.rayleigh(1.0, size) * np.exp(2j * np.pi * rng.random(size)) for one in (6.0, 4.0))
    library = fitted.Library(zero, dirt, hub, rotor, dirty, float(dirty.mean()))
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(fitted, "library_of", lambda _: library)
        patched.setattr(fitted, "LEAST_EFFECTIVE", 8.0)  # of fewer draws
        table = fitted.tabled(
            SimpleNamespace(study=SimpleNamespace(population=SimpleNamespace(limit_um=50.0))), 1, 1500
        )
        read = rng.choice(fitted.emulated_um(library, 1.6, 1.6, 1.0), 200)
        found = fitted.fit(table, read)
        truth = float(np.mean(fitted.emulated_um(library, 1.6, 1.6, 1.0) > 50.0))
        assert found.reject[0] * 0.8 <= truth <= found.reject[2] * 1.2
        assert found.reject[2] > found.assumed
        assert abs(found.together[("rotor runout", "hub runout")]) > 0.3, "two leans of one kind hide in each other"
    with pytest.raises(BadInput, match="cannot be fitted to"):
        fitted.fit(table, read[:5])
    with pytest.raises(BadInput, match="hardly any"):
        fitted.fit(table, np.full(200, 3.0))


def test_readings_that_tell_much_are_fitted_with_more_draws_and_not_refused(monkeypatch):
    from sim.stack import fit as fitted

    asked = []

    def tabled(result, seed, draws=fitted.DRAWS):
        asked.append(draws)
        shares = np.full((draws, fitted.BINS), 1e-9)
        shares[:, 3] = np.where(np.arange(draws) % 400 == 0, 1.0, 0.3)  # one scale in 400 agrees
        scales = 1.0 + np.random.default_rng(seed).random((draws, len(fitted.SCALES)))
        return fitted.Table(scales, np.arange(1.0, fitted.BINS), shares, scales[:, 0], scales[:, 0], 0.01, 10**6)

    monkeypatch.setattr(fitted, "tabled", tabled)
    found = fitted.fitted(None, np.full(200, 3.5))
    assert asked == [fitted.DRAWS, fitted.MORE * fitted.DRAWS]
    assert found.effective == pytest.approx(80.0)


def test_what_the_base_brings_along_is_named_and_counted():
    """Hub 12 µm at 80°, thickness variation 4 µm of the part set; the rotor's runout is drawn."""
    made = Population(
        "plant", load_case("rear_solid_300"), (Varied(ROTOR, Distribution("rayleigh", (9.0,), highest=40.0)),)
    )
    found = {one.name: one.runout_um for one in worst_case.contributions(made)}
    lean = 12.0 * made.case.gauge_radius_mm / 64.0
    assert found == pytest.approx({ROTOR: 40.0, f"{HUB}, of the base": lean, f"{THICKNESS}, of the base": 2.0})
    (line,) = said.brought_along(SimpleNamespace(result=SimpleNamespace(study=Study(made))))
    assert f"{HUB} 12 µm at 80° and {THICKNESS} 4.0 µm at 135°." in line.replace("\xa0", " ")
    assert "perfect_solid_300" in line
    assert brought(two(Distribution("rayleigh", (5.0,)), Distribution("rayleigh", (5.0,)))) == ()
    uneven = replace(made.case, studs=replace(made.case.studs, torque_nm=(140.0, 140.0, 140.0, 140.0, 70.0)))
    assert [one.name for one in brought(replace(made, case=uneven))] == [HUB, THICKNESS, "uneven torque"]


def test_a_lever_holds_every_corner_against_itself_and_says_what_it_cannot_tell():
    """Method 10 on Newcombe's own pairs 36, 12, 2, 0: 0.2, 0.0569 to 0.3404; parts sorted out are independent."""
    before, after = np.repeat([True, True, False], [36, 12, 2]), np.repeat([True, False, True], [36, 12, 2])
    found = fewer(before, after, np.ones(50, dtype=bool))
    assert (found.share, found.low, found.high) == pytest.approx((0.2, 0.0569, 0.3404), abs=1e-4)
    rng, inside = np.random.default_rng(5), 0
    for _ in range(200):
        kept = rng.random(1000) < 0.7
        over = rng.random(1000) < np.where(kept, 0.05, 0.3)
        one = fewer(over, over, kept)
        inside += one.low <= 0.3 * 0.25 <= one.high
    assert inside >= 182, "an interval of 95 %: fewer than 182 of 200 happens once in 80"


def test_a_lever_that_sorts_parts_out_is_priced_with_them_or_says_so_in_its_row():
    hub = np.repeat([10.0, 30.0], 500)
    found = result_of(hub, np.tile([0.0, 25.0], 500))
    plain = Lever(name="sorted", key=HUB, highest=20.0, price_per_car=3.0)
    nothing = replace(plain, name="nothing", highest=39.0)
    levers = (plain, replace(plain, price_per_part_sorted_out=40.0), nothing)
    found = replace(found, study=replace(found.study, levers=levers, prices=Prices(claim=100.0, corners_per_car=2)))
    bare, priced, idle = worths(found, workers=1)
    assert priced.gain_per_car == pytest.approx(50.0 - 3.0 - 2 * 40.0), "one thrown away for each that is kept"
    assert "without the parts sorted out: 50 % of hubs" in said._lever(bare, "EUR")[-1]
    assert "without the parts" not in said._lever(priced, "EUR")[-1]
    assert bare.saves_low < 50.0 < bare.saves_high
    assert said._lever(idle, "EUR")[3].startswith("cannot be told")
    with pytest.raises(BadInput, match="no part is sorted out"):
        Lever(cleaned=True, price_per_part_sorted_out=1.0)
