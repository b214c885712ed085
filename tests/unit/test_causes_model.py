"""The linear model behind the ranking, against closed forms: what stud positions part, what each trace sees."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim.bench.after_indexing import usual_sd
from sim.causes import names, next_reading
from sim.causes import seen as taken
from sim.causes.columns import AFTER, ANGLE_SD_DEG, BEFORE, SCALE_SD, classed
from sim.causes.families import FRAMES
from sim.causes.forward import FILM, HELD_ODDS, HELD_OFF, SCALE_LEFT, model
from sim.causes.priors import Prior, Priors
from sim.causes.seen import Seen, Spot
from sim.causes.weigh import counted, posterior, sets_of
from sim.files.dial_readings import Trace
from sim.parts.thickness import micrometer_sd_um
from sim.turn import tir_sd

NOISE_UM = 2.0
STUD = np.array([8.0, 0.3, 0.1], dtype=complex)


def component_um2(one_um):
    """Twelve places: a component of an order has the deviation of half a first-order TIR."""
    return (tir_sd(next_reading.PLACES, one_um) / 2.0) ** 2


def test_noise_of_a_reading_to_come_is_that_of_least_squares(monkeypatch):
    """A dial that neither creeps nor errs in its travel."""
    monkeypatch.setattr(taken, "SMOOTH_UM", 0.0)
    monkeypatch.setattr(next_reading, "CREEP_UM", 0.0)
    told = next_reading._noise(Spot("inboard", 1, 0, True), 10.0, (0.0,) * 3)
    assert told == pytest.approx(component_um2(usual_sd(10.0)))


def test_a_turn_that_a_coarse_dial_shows_within_two_divisions_is_as_unsure_as_it_was_rounded():
    angle, up = np.arange(12) * 30.0, np.repeat((0.0, 1.0), 6)
    for dial_um, extra_um2 in ((25.4, (0.17 * 25.4) ** 2), (10.0, 0.0)):
        (_, one), (_, more) = (
            taken._orders(Trace("mounted", 1, 0, angle, by * dial_um * up), dial_um) for by in (1.0, 2.0)
        )
        assert np.diag(one - more) == pytest.approx(extra_um2)


def test_a_micrometer_neither_creeps_nor_errs_in_its_travel():
    """A thickness is as sure as its readings, taken or to come: a dial's own errors are none of its."""
    told = next_reading._noise(Spot("thickness", 1, 0, True), 5.0, (0.0,) * 3)
    assert told == pytest.approx(component_um2(micrometer_sd_um(5.0)))
    turn_um = 20_000.0 + np.resize((0.0, 5.0), 12)
    _, read = taken._orders(Trace("thickness", 1, 0, np.arange(12) * 30.0, turn_um), 5.0)
    assert np.diag(read)[:2] == pytest.approx(told[:2], rel=0.1)  # what folds onto the first order stays


def built(spots, studs, priors=Priors()):  # noqa: B008 - frozen
    size = 2 * sum(len(spot.orders) for spot in spots)
    seen = Seen(tuple(spots), (), np.zeros(size), NOISE_UM**2 * np.eye(size), (), None)
    return seen, model(seen, studs, STUD, 0.5, priors)


def gain(studs, positions, order):
    """Standard deviation of hub's and rotor's vectors over that of a reading, by the normal equations of the model."""
    spots = [Spot("mounted", k + 1, m, True, orders=(order,)) for k, m in enumerate(positions)]
    _, made = built(spots, studs)
    cause = {1: (names.HUB_FACE, names.ROTOR)}.get(order)
    rows = made.rows(spots)
    if cause is None:  # higher orders: what stays with the hub and what warps
        wanted = [("", "hub"), (names.WARP, "rotor")]
    else:
        wanted = [(one, "hub" if one == names.HUB_FACE else "rotor") for one in cause]
    at = [
        k
        for one, k in zip(made.unknowns, made.columns, strict=True)
        if (one.cause, one.part) in wanted and one.order == order
    ]
    part = rows[:, [k + j for k in at for j in (0, 1)]]
    normal = part.T @ part
    return np.inf if np.linalg.cond(normal) > 1e10 else float(np.sqrt(np.linalg.inv(normal)[0, 0]))


@pytest.mark.parametrize(
    ("studs", "positions", "gains"),
    [
        (4, (0, 1), (1.00, 0.71, 1.00)),
        (4, (0, 2), (0.71, np.inf, 0.71)),
        (4, (0, 1, 2), (0.61, 0.61, 0.61)),
        (5, (0, 1), (1.20, 0.74, 0.74)),
        (5, (0, 2), (0.74, 1.20, 1.20)),
        (5, (0, 1, 3), (0.59, 0.69, 0.69)),
        (6, (0, 2), (0.82, 0.82, np.inf)),
        (6, (0, 3), (0.71, np.inf, 0.71)),
        (8, (0, 3), (0.77, 1.00, 1.85)),
        (8, (0, 1, 3), (0.71, 0.61, 0.71)),
        (5, (0,), (np.inf, np.inf, np.inf)),
    ],
)
def test_stud_positions_part_as_the_closed_form_says(studs, positions, gains):
    """Gain sqrt(J / (J^2 - |G|^2)), G the sum of exp(i n m 2 pi / N): multi-step error separation."""
    for order, expected in enumerate(gains, 1):
        assert gain(studs, positions, order) == pytest.approx(expected, abs=0.006)


def test_what_each_trace_sees():
    """Of every cause, traces that see it: the rest is exactly nought."""
    spots = [
        Spot("mounted", 1, 0, False, first=True),
        Spot("mounted", 1, 0, False, True, first=True),
        Spot("mounted", 2, 1, True),
        Spot("hub face", 0, 0, False, orders=(1,)),
        Spot("thickness", 1, 0, False, first=True),
        Spot("radial", 1, 0, False, orders=(1,), first=True),
    ]
    _, made = built(spots, 5)
    seen_in = {cause: [bool(np.abs(made.share_rows(spot, cause)).sum()) for spot in spots] for cause in names.CAUSES}
    assert seen_in[names.HUB_FACE] == [True, True, True, True, False, False]
    assert seen_in[names.ROTOR] == [True, True, True, False, False, False]
    assert seen_in[names.SPIGOT] == [True, True, True, False, False, True]  # of scale a brush may leave some
    assert not np.abs(made.share_rows(Spot("mounted", 2, 1, True, again=True), names.SPIGOT)).any()
    assert seen_in[names.TORQUE] == [True, False, True, False, False, False]
    assert seen_in[names.WORN] == [True, True, True, False, True, False]
    dirty, clean, mark, none = [1, 1, 0, 0, 0, 0], [0, 0, 1, 0, 0, 0], [1, 1, 1, 0, 1, 0], [0] * 6
    for half, family, expected in (
        *((BEFORE, "hub", dirty), (BEFORE, "rotor", dirty), (BEFORE, "mark", mark)),
        *((AFTER, "hub", clean), (AFTER, "rotor", clean), (AFTER, "mark", none)),
    ):
        felt = [bool(np.abs(made.dirt_rows([spot], family)[:, half]).sum()) for spot in spots]
        assert felt == [bool(one) for one in expected]


def test_dirt_that_fell_off_was_there_as_the_car_came_and_dirt_on_the_rotors_seat_goes_with_it():
    spots = [
        Spot("mounted", 1, 0, False, first=True), Spot("inboard", 1, 0, False, first=True),
        Spot("mounted", 2, 2, False), Spot("mounted", 3, 0, True),
    ]  # fmt: skip
    _, made = built(spots, 5)
    for family in ("hub first", "rotor first"):
        felt = [bool(np.abs(made.dirt_rows([spot], family)).sum()) for spot in spots]
        assert felt == [True, True, False, False]
    rows = [made.share_rows(spot, names.ROTOR_DIRT) for spot in spots]
    assert np.abs(rows[0]).sum() > 0.0
    np.testing.assert_allclose(rows[2], rows[0])  # turned on studs it stays where it was on the rotor
    assert not np.abs(rows[3])[:, np.abs(rows[0]).any(axis=0) & (made.sds({FILM: 1.0}) == 0.0)].any()
    # A film stays until it is cleaned once more.
    assert np.abs(rows[3] @ np.diag(made.sds({FILM: 1.0}))).sum() > 0.0
    assert not made.share_rows(replace(spots[3], again=True), names.ROTOR_DIRT).any()


def test_what_cleaning_left_is_gone_once_it_is_cleaned_well():
    """Of three cleaned mountings the last may be the first without; cleaned once more nothing is left for sure."""
    spots = [Spot("mounted", 1, 0, False, first=True), *(Spot("mounted", k, 1, True) for k in (2, 3, 4))]
    _, made = built(spots, 5)

    def felt(kind, spot):
        return bool(np.abs(made.dirt_rows([spot], kind)[:, AFTER]).sum())

    assert [felt("hub", spot) for spot in spots] == [False, True, True, True]
    assert [felt("hub once", spot) for spot in spots] == [False, True, True, False]
    assert felt("hub", Spot("mounted", -1, 2, True))
    assert not felt("hub once", Spot("mounted", -1, 2, True))
    assert not felt("hub", Spot("mounted", -1, 2, True, again=True))


def test_indexing_turns_what_is_on_the_hub_and_nothing_else():
    here, there = Spot("mounted", -1, 0, False), Spot("mounted", -1, 2, False)
    _, made = built([Spot("mounted", 1, 0, False)], 5)
    turn = np.exp(2j * np.pi * 2 / 5)
    for cause, factor in ((names.HUB_FACE, turn), (names.SPIGOT, turn), (names.ROTOR, 1.0)):
        one, other = (made.share_rows(spot, cause)[:2] for spot in (here, there))
        vectors = [rows[0] + 1j * rows[1] for rows in (one, other)]
        np.testing.assert_allclose(vectors[1], vectors[0] * factor, atol=1e-12)


def test_evidence_of_a_column_is_that_of_its_normal_distribution():
    """Low-rank updates against the plain density of the whole covariance."""
    spots = [Spot("mounted", 1, 0, False, first=True), Spot("mounted", 2, 2, False)]
    seen, made = built(spots, 5)
    rng = np.random.default_rng(2)
    value = rng.normal(0.0, 15.0, seen.value.size)
    seen = Seen(seen.spots, (), value, seen.noise, (), None)
    column = np.array([[20.0 - 8.0j, 5.0 + 1.0j, 1.0j]])
    part = classed(column, np.ones(1))
    found = posterior(made, seen, {names.ROTOR: 0.3}, {names.HUB_DIRT: (0.4, part)}, samples=4000, size_spread=0.0)
    lift = made.dirt_rows(spots, FRAMES[names.HUB_DIRT])[:, BEFORE]
    mean, root = part[0].mean[0], part[0].root(np.array([0]))[0]
    rows, logs = made.rows(spots), {}
    for dirty in (False, True):
        for present, odds in (({}, 0.7), ({names.ROTOR: 0.4}, 0.15), ({names.ROTOR: 1.0}, 0.15)):
            covariance = (rows * made.sds(present) ** 2) @ rows.T + seen.noise
            left = value - (lift @ mean if dirty else 0.0)
            if dirty:
                covariance = covariance + lift @ root @ root.T @ lift.T
            square = left @ np.linalg.solve(covariance, left)
            log = np.log(odds) + np.log(0.4 if dirty else 0.6) - 0.5 * square - 0.5 * np.linalg.slogdet(covariance)[1]
            logs[dirty, tuple(present.items())] = log
    every = np.array(list(logs.values()))
    weights = np.exp(every - every.max())
    expected = weights[[dirty for dirty, _ in logs]].sum() / weights.sum()
    assert found.of_family.mean() == pytest.approx(expected, abs=1.0 / 4000 + 1e-9)
    assert found.log_evidence == pytest.approx(every.max() + np.log(weights.sum()), abs=1e-6)
    assert 0.0 < expected < 1.0


def test_samples_have_the_conditional_mean_and_covariance():
    """Matheron's rule against the plain conditional normal distribution, one hypothesis alone."""
    spots = [Spot("mounted", 1, 0, False, first=True), Spot("mounted", 2, 2, False)]
    seen, made = built(spots, 5)
    value = np.random.default_rng(3).normal(0.0, 10.0, seen.value.size)
    seen = Seen(seen.spots, (), value, seen.noise, (), None)
    found = posterior(made, seen, {}, {}, samples=20_000, size_spread=0.0)
    rows, sd = made.rows(spots), made.sds({})
    covariance = (rows * sd**2) @ rows.T + seen.noise
    gain_ = (sd[:, None] ** 2 * rows.T) @ np.linalg.inv(covariance)
    np.testing.assert_allclose(found.unknown.mean(axis=0), gain_ @ value, atol=0.12)
    after = np.diag(sd**2) - gain_ @ rows * sd**2
    np.testing.assert_allclose(np.cov(found.unknown.T), after, atol=0.6)


def test_kernel_of_a_column_is_its_own_slope():
    """Scale and angle, by finite differences."""
    column = np.array([[20.0 - 8.0j, 5.0 + 1.0j, 1.0j]])
    (part,) = classed(column, np.ones(1))
    root = part.root(np.array([0]))[0]
    order, small = np.arange(1, 4), 1e-6
    turned = column[0] * np.exp(-1j * order * small)
    slope = (turned - column[0]) / small * np.radians(ANGLE_SD_DEG)
    np.testing.assert_allclose(root[:, 1], np.stack([slope.real, slope.imag], axis=1).ravel(), rtol=1e-4, atol=1e-5)
    np.testing.assert_allclose(root[:, 0], SCALE_SD * part.mean[0])


def test_priors_refuse_what_cannot_be():
    for wrong in (Prior(0.95, 1.0, 2.0), Prior(0.1, 3.0, 2.0), Prior(0.1, 1.0, 1e6), Prior(float("nan"), 1.0, 2.0)):
        with pytest.raises(Exception, match="range|no larger|number"):
            Priors(hub_face_runout=wrong)


def test_scale_leans_a_rotor_that_it_holds_off_and_hardly_one_that_is_drawn_home():
    seen, made = built([Spot("mounted", 1, 0, False)], 5)
    first = [
        at for one, at in zip(made.unknowns, made.columns, strict=True) if (one.cause, one.order) == (names.SPIGOT, 1)
    ]
    home, held = (made.sds({names.SPIGOT: 1.0} | also)[first] for also in ({}, {HELD_OFF: 1.0}))
    assert held[0] > 4 * home[0] > 0
    left = made.sds({names.SPIGOT: 1.0, HELD_OFF: 1.0, SCALE_LEFT: 1.0})[first]
    assert left[1] > 4 * held[1]


def test_how_scale_holds_the_rotor_is_no_cause_of_its_own_and_changes_no_odds():
    sets, logs = sets_of([names.SPIGOT, names.WARP], {names.SPIGOT: 0.2, names.WARP: 0.1, SCALE_LEFT: 0.3})
    chance = np.exp(logs)
    assert chance.sum() == pytest.approx(1.0)
    assert chance[[names.SPIGOT in one for one in sets]].sum() == pytest.approx(0.2)
    assert chance[[HELD_OFF in one for one in sets]].sum() == pytest.approx(0.2 * HELD_ODDS)
    assert chance[[SCALE_LEFT in one for one in sets]].sum() == pytest.approx(0.2 * 0.3)
    assert max(counted(one) for one in sets) == 3
