"""The contact solver against scipy, against trying every contact set, against itself; and what it refuses."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.optimize import linprog, lsq_linear

from sim.errors import Refused
from sim.solvers import contact, foreseen, many
from sim.solvers.contact import Problem, one_repeat, solve, solve_joined
from sim.solvers.shared_block import Joined, shared_block

FREE = np.inf


def plates(rng, cells, capped=False, load_n=1000.0):
    """A random corner of springs: cells on an annulus, symmetric flexibility, a load that the cells can balance."""
    radius, angle = rng.uniform(35.0, 68.0, cells), np.arange(cells) * 2 * np.pi / cells + rng.uniform(0, 0.3, cells)
    rigid = np.column_stack([np.ones(cells), radius * np.cos(angle), radius * np.sin(angle)])
    root = rng.normal(size=(cells, cells)) * 2e-4
    flexibility = root @ root.T / cells + np.diag(rng.uniform(1e-6, 1e-5, cells))
    share = rng.dirichlet(np.ones(cells)) * load_n
    cap = np.where(rng.random(cells) < 0.5, share * rng.uniform(1.05, 2.0, cells), FREE) if capped else FREE
    return Problem(
        flexibility, rng.uniform(-0.05, 0.05, cells), rigid, rigid.T @ share, np.broadcast_to(cap, (cells,)).copy()
    )


def energy(problem, force):
    return 0.5 * force @ problem.flexibility @ force + problem.offset @ force


def every_set(problem):
    """Solve by trying every combination of open, closed and capped cells: slow, and cannot be wrong."""
    n, k = problem.rigid.shape
    states = [(0, 1, 2) if np.isfinite(cap) else (0, 1) for cap in problem.cap]
    for state in product(*states):
        where = np.array(state)
        closed, capped = np.flatnonzero(where == 1), np.flatnonzero(where == 2)
        if closed.size < k:
            continue
        known = np.zeros(n)
        known[capped] = problem.cap[capped]
        size = closed.size
        matrix = np.zeros((size + k, size + k))
        matrix[:size, :size] = problem.flexibility[np.ix_(closed, closed)] * 1e6
        matrix[:size, size:] = problem.rigid[closed]
        matrix[size:, :size] = problem.rigid[closed].T
        right = np.concatenate(
            [-(problem.offset + problem.flexibility @ known)[closed] * 1e6, problem.load - problem.rigid.T @ known]
        )
        answer = np.linalg.solve(matrix, right)
        force = known.copy()
        force[closed] = answer[:size]
        gap = problem.flexibility @ force + problem.offset + problem.rigid @ answer[size:] / 1e6
        fits = (force >= 0).all() and (force <= problem.cap).all()
        if fits and (gap[where == 0] >= 0).all() and (gap[capped] <= 0).all():
            return force
    return None


def check_proof(problem, solved):
    """Force and moment balance, no pull, no overlap, no force across a gap, caps: from scratch."""
    gap = problem.flexibility @ solved.force + problem.offset + problem.rigid @ solved.motion
    assert np.allclose(gap, solved.gap, atol=1e-12)
    assert np.allclose(problem.rigid.T @ solved.force, problem.load, rtol=1e-9, atol=1e-9 * abs(problem.load[0]) * 68)
    assert (solved.force >= 0).all()
    assert (solved.force <= problem.cap * (1 + 1e-9)).all()
    capped = solved.force >= problem.cap * (1 - 1e-9)
    size = np.abs(solved.force).max()
    length = np.abs(problem.flexibility @ solved.force).max() + np.abs(problem.offset).max()
    assert gap[~capped].min(initial=0.0) >= -1e-9 * length
    assert np.abs(gap * solved.force)[~capped].max(initial=0.0) <= 1e-9 * length * size
    assert gap[capped].max(initial=0.0) <= 1e-9 * length


@pytest.mark.parametrize("capped", [False, True])
@pytest.mark.parametrize("seed", range(12))
def test_same_answer_as_trying_every_set(seed, capped):
    problem = plates(np.random.default_rng(seed), 7, capped)
    solved = solve(problem)
    check_proof(problem, solved)
    assert np.allclose(solved.force, every_set(problem), rtol=1e-8, atol=1e-6)


@pytest.mark.parametrize("capped", [False, True])
@pytest.mark.parametrize("seed", range(6))
def test_same_answer_as_scipys_bounded_least_squares(seed, capped):
    """With A = L L', the energy is |L'p + L^-1 q|^2 / 2; the balance enters as heavily weighted rows."""
    problem = plates(np.random.default_rng(100 + seed), 14, capped)
    solved = solve(problem)
    check_proof(problem, solved)
    root = np.linalg.cholesky(problem.flexibility)
    weight = 3e3 * np.abs(root).max() * np.array([1.0, 1 / 68.0, 1 / 68.0])
    rows = np.vstack([root.T, weight[:, None] * problem.rigid.T])
    right = np.concatenate([-np.linalg.solve(root, problem.offset), weight * problem.load])
    theirs = lsq_linear(rows, right, (np.zeros(14), problem.cap), method="bvls", tol=1e-14)
    assert theirs.success
    assert np.allclose(solved.force, theirs.x, atol=0.1)  # N of 1000
    assert energy(problem, solved.force) == pytest.approx(energy(problem, theirs.x), rel=1e-4)


@pytest.mark.parametrize("capped", [False, True])
def test_both_solvers_find_the_same_forces(capped):
    rng = np.random.default_rng(7)
    found = 0
    for _ in range(20):
        problem = plates(rng, 40, capped)
        fast = contact._primal_dual(problem, np.ones(40, dtype=bool))
        sure = contact._primal(problem)
        if fast is not None:
            assert np.allclose(fast[0], sure[0], rtol=1e-7, atol=1e-6)
            found += 1
        check_proof(problem, solve(problem))
    assert found > 10


def test_start_does_not_change_the_answer():
    rng = np.random.default_rng(8)
    problem = plates(rng, 60)
    best = solve(problem).force
    for share in (0.1, 0.5, 0.9):
        assert np.allclose(solve(problem, rng.random(60) < share).force, best, rtol=1e-8, atol=1e-7)


def joined_and_whole(rng, capped=False):
    """Forty shared cells, three of them softer than is shared, and six new ones among them, at three places."""
    new, column = np.arange(20, 26), np.array([0, 1, 2, 0, 1, 2])
    place = np.delete(np.arange(46), new)
    base = plates(rng, 43)
    shared = base.flexibility[:40, :40].copy()
    softer = np.where(np.arange(40) < 3, 0.5 * np.diagonal(shared), 0.0)
    where = np.empty(46, dtype=int)
    where[place], where[new] = np.arange(40), 40 + column
    layer = rng.uniform(1e-6, 1e-5, 6)
    more = np.zeros(46)
    more[place], more[new] = softer, layer
    rigid = base.rigid[where]
    share = rng.dirichlet(np.ones(46)) * 1000.0
    cap = np.full(46, FREE)
    if capped:
        cap[new] = 1000.0 * rng.uniform(0.005, 0.05, 6)
    offset = rng.uniform(-0.05, 0.05, 46)
    whole = Problem(base.flexibility[np.ix_(where, where)] + np.diag(more), offset, rigid, rigid.T @ share, cap)
    block = shared_block(shared, base.rigid[:40], rng.random(40) < 0.8)
    order = np.concatenate([place[block.order], new])
    joined = Joined(
        block, order, softer[block.order], base.flexibility[40:, block.order], base.flexibility[40:, 40:], column,
        layer, offset[order], rigid[order], whole.load, cap[order],
    )  # fmt: skip
    return joined, whole


@pytest.mark.parametrize("capped", [False, True])
def test_cells_eliminated_beforehand_change_no_force(capped):
    rng = np.random.default_rng(12)
    settled = 0
    for _ in range(20):
        joined, whole = joined_and_whole(rng, capped)
        plain = solve(whole)
        sooner = solve_joined(joined, np.ones(46, dtype=bool))
        if sooner is not None:
            settled += 1
            check_proof(whole, sooner)
            assert np.allclose(sooner.force, plain.force, rtol=1e-9, atol=1e-9 * plain.force.max())
    assert settled >= 15


def going_round(rng, repeats, of_one=6):
    """Springs that come again round the axis, the cells of one repeat after another, pressed evenly."""
    turn = np.repeat(np.arange(repeats) * 2 * np.pi / repeats, of_one)
    radius, angle = np.tile(rng.uniform(35.0, 68.0, of_one), repeats), np.tile(rng.uniform(0.0, 0.5, of_one), repeats)
    rigid = np.column_stack([np.ones(turn.size), radius * np.cos(angle + turn), radius * np.sin(angle + turn)])
    away = np.hypot(*(rigid[:, None, 1:] - rigid[None, :, 1:]).T)
    flexibility = 4e-6 * np.exp(-away / 30.0) + np.diag(np.tile(rng.uniform(1e-6, 1e-5, of_one), repeats))
    offset = np.tile(rng.uniform(-0.01, 0.01, of_one), repeats)
    return Problem(flexibility, offset, rigid, np.array([900.0 * repeats, 0.0, 0.0]), np.full(turn.size, FREE))


@pytest.mark.parametrize("repeats", [4, 5])
def test_one_repeat_round_the_axis_answers_for_all(repeats):
    rng = np.random.default_rng(repeats)
    problem, alike = going_round(rng, repeats), np.arange(6 * repeats).reshape(repeats, 6)
    whole, one = solve(problem), solve(one_repeat(problem, alike))
    assert 0 < np.count_nonzero(one.force) < 6
    np.testing.assert_allclose(whole.force[alike], np.tile(one.force, (repeats, 1)), rtol=1e-9, atol=1e-9)
    closed = whole.force > 0
    block = shared_block(problem.flexibility, problem.rigid, closed, alike)
    plain = shared_block(problem.flexibility, problem.rigid, closed)
    assert np.array_equal(np.sort(block.order), np.arange(closed.size))
    assert block.often == plain.often == np.count_nonzero(closed)
    back = np.argsort(block.order)[plain.order]
    size = np.abs(plain.table).max(axis=0)
    np.testing.assert_allclose(
        (block.table[np.ix_(back, back)] - plain.table) / np.sqrt(np.outer(size, size)), 0.0, atol=1e-12
    )
    left = rng.normal(size=(3, block.often))
    np.testing.assert_allclose(block.exchanged.through(left), left @ block.table[: block.often], rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(block.lean[:, back], plain.lean, rtol=1e-9, atol=1e-6)


@pytest.mark.parametrize("capped", [False, True])
def test_one_set_of_cells_is_solved_as_on_the_whole_matrix(capped):
    """Forces, motions and every gap of sets that are no answer yet: it is by these that the next set is found."""
    rng = np.random.default_rng(14)
    for _ in range(5):
        joined, whole = joined_and_whole(rng, capped)
        closed, at_cap = rng.random(46) < 0.7, np.zeros(46, dtype=bool)
        if capped:
            at_cap[joined.place[-6:-3]] = True
            closed &= ~at_cap
        force, motion, gap = whole.held(closed, at_cap).found()
        at = joined.place
        found = joined.held(closed[at], at_cap[at]).found()
        assert np.allclose(found[0], force[at], rtol=0.0, atol=1e-11 * np.abs(force).max())
        assert np.allclose(found[1], motion, rtol=1e-9, atol=1e-12)
        assert np.allclose(found[2], gap[at], rtol=0.0, atol=1e-11 * np.abs(gap).max())


def test_bare_metal_at_a_cap_is_no_set_of_a_joined_problem():
    joined, _ = joined_and_whole(np.random.default_rng(15))
    closed, at_cap = np.ones(46, dtype=bool), np.zeros(46, dtype=bool)
    assert joined.held(closed, at_cap) is not None
    closed[0], at_cap[0] = False, True
    assert joined.held(closed, at_cap) is None


def test_a_spoilt_inverse_proves_nothing():
    joined, whole = joined_and_whole(np.random.default_rng(13))
    sound = joined.shared.exchanged
    spoilt = replace(sound, table=1.2 * sound.table, by_order=tuple(1.2 * rows for rows in sound.by_order))
    solved = solve_joined(replace(joined, shared=replace(joined.shared, exchanged=spoilt)), np.ones(46, dtype=bool))
    assert solve_joined(joined, np.ones(46, dtype=bool)) is not None
    assert solved is None


@pytest.mark.parametrize("capped", [False, True])
def test_sets_foreseen_by_compiled_code_change_no_bit(capped, monkeypatch):
    monkeypatch.setattr(many, "_compiled", None)
    rng = np.random.default_rng(16)
    problems = [joined_and_whole(rng, capped)[0] for _ in range(20)]
    starts = [rng.random(46) < 0.9 for _ in problems]
    many.get_ready(many.ENOUGH - 1)
    plain = [solve_joined(*given) for given in zip(problems, starts, strict=True)]
    assert many.foreseen(problems[0], starts[0]) is None
    many.get_ready(many.ENOUGH)
    sooner = [solve_joined(*given) for given in zip(problems, starts, strict=True)]
    ahead = [many.foreseen(*given) for given in zip(problems, starts, strict=True)]
    assert sum(one is not None and one[2] > 0 for one in ahead) >= 15
    for one, other in zip(plain, sooner, strict=True):
        if one is not None:
            assert replace(one.checks, iterations=other.checks.iterations) == other.checks
            assert np.array_equal(one.force, other.force)
            assert np.array_equal(one.gap, other.gap)


def test_sets_foreseen_wrongly_are_mended(monkeypatch):
    joined, whole = joined_and_whole(np.random.default_rng(17))
    plain = solve_joined(joined, np.ones(46, dtype=bool))

    def wrong(*given):
        given[-2][::3] = False
        return 1

    monkeypatch.setattr(many, "_compiled", SimpleNamespace(Given=foreseen.Given, foresee=wrong))
    mended = solve_joined(joined, np.ones(46, dtype=bool))
    check_proof(whole, mended)
    assert mended.checks.iterations > 2
    assert np.array_equal(mended.force, plain.force)


def test_slow_solver_takes_over_when_the_fast_one_gives_up(monkeypatch):
    problem = plates(np.random.default_rng(9), 50, capped=True)
    usual = solve(problem)
    monkeypatch.setattr(contact, "_primal_dual", lambda *_: None)
    check_proof(problem, solve(problem))
    assert np.allclose(solve(problem).force, usual.force, rtol=1e-7, atol=1e-6)


def test_rough_faces_under_little_load_end_with_proof():
    """Few cells carry: the fast solver cycles on some of these, the slow one must bring every one home."""
    rng = np.random.default_rng(10)
    given_up = 0
    for _ in range(25):
        cells = 60
        problem = plates(rng, cells, load_n=float(10 ** rng.uniform(-1, 2)))
        given_up += contact._primal_dual(problem, np.ones(cells, dtype=bool)) is None
        check_proof(problem, solve(problem))
    assert given_up > 0  # else this test no longer tests the fallback


def test_almost_no_load_is_the_linear_programme():
    rng = np.random.default_rng(11)
    for _ in range(20):
        problem = plates(rng, 60, load_n=1e-3)
        centre = problem.load / problem.load[0]
        lowest = linprog(centre, A_ub=-problem.rigid, b_ub=problem.offset, bounds=[(None, None)] * 3)
        assert solve(problem).motion @ centre == pytest.approx(lowest.fun, abs=1e-6)


def test_three_cells_carry_what_statics_says():
    angle = np.deg2rad([0.0, 120.0, 240.0])
    rigid = np.column_stack([np.ones(3), 60 * np.cos(angle), 60 * np.sin(angle)])
    problem = Problem(
        np.eye(3) * 1e-6, np.array([0.0, 0.1, -0.3]), rigid, np.array([300.0, 600.0, 0.0]), np.full(3, FREE)
    )
    solved = solve(problem)
    assert solved.force == pytest.approx(np.linalg.solve(rigid.T, problem.load))
    check_proof(problem, solved)


def test_two_opposite_cells_and_nothing_else():
    """Balanced, but free to rock about their line: an answer with proof or a refusal, never nonsense."""
    rigid = np.array([[1.0, 60.0, 0.0], [1.0, -60.0, 0.0]])
    problem = Problem(np.eye(2) * 1e-6, np.zeros(2), rigid, np.array([100.0, 0.0, 0.0]), np.full(2, FREE))
    solved = solve(problem)
    assert solved.force == pytest.approx([50.0, 50.0])
    assert np.isfinite(solved.motion).all()


def test_cells_in_one_line_cannot_hold_a_moment_across_it():
    rigid = np.column_stack([np.ones(9), np.linspace(-60, 60, 9), np.zeros(9)])
    flat = Problem(np.eye(9) * 1e-6, np.zeros(9), rigid, np.array([100.0, 0.0, 0.0]), np.full(9, FREE))
    check_proof(flat, solve(flat))
    with pytest.raises(Refused, match="cannot seat"):
        solve(replace(flat, load=np.array([100.0, 0.0, 500.0])))


def test_many_cells_at_one_height_and_one_force_start_point():
    """A perfectly even ring: every feasible start is degenerate."""
    angle = np.arange(24) * 2 * np.pi / 24
    rigid = np.column_stack([np.ones(24), 60 * np.cos(angle), 60 * np.sin(angle)])
    problem = Problem(np.eye(24) * 1e-6, np.zeros(24), rigid, np.array([2400.0, 0.0, 0.0]), np.full(24, FREE))
    assert solve(problem).force == pytest.approx(np.full(24, 100.0))
    force, *_ = contact._primal(problem)
    assert force == pytest.approx(np.full(24, 100.0))


@pytest.mark.parametrize("load", [(1000.0, 70_000.0, 0.0), (1000.0, 0.0, -69_000.0), (-1000.0, 0.0, 0.0)])
def test_load_that_would_rock_the_rotor_off_is_refused(load):
    problem = plates(np.random.default_rng(12), 40)
    with pytest.raises(Refused, match="cannot seat the rotor"):
        solve(replace(problem, load=np.array(load)))


def test_load_that_crushes_everything_is_refused():
    problem = plates(np.random.default_rng(13), 20)
    with pytest.raises(Refused, match="crush"):
        solve(replace(problem, cap=np.full(20, 0.9 * problem.load[0] / 20)))


def test_cells_carry_exactly_their_caps_when_they_must():
    """Twelve even cells at 99.9 % of what they can carry: all but the play in between is fixed."""
    angle = np.arange(12) * 2 * np.pi / 12
    rigid = np.column_stack([np.ones(12), 60 * np.cos(angle), 60 * np.sin(angle)])
    rng = np.random.default_rng(14)
    problem = Problem(
        np.eye(12) * 1e-6, rng.uniform(-0.1, 0.1, 12), rigid, np.array([1198.8, 0.0, 0.0]), np.full(12, 100.0)
    )
    solved = solve(problem)
    check_proof(problem, solved)
    assert solved.force.sum() == pytest.approx(1198.8)


@pytest.mark.parametrize("name", ["offset", "flexibility", "load"])
@pytest.mark.parametrize("open_there", [False, True])
def test_not_a_number_is_never_answered(name, open_there):
    problem = plates(np.random.default_rng(15), 10)
    spoilt = getattr(problem, name).copy()
    spoilt.flat[3 if name == "offset" else 0] = np.nan
    start = np.ones(10, dtype=bool)
    start[[0, 3]] = not open_there
    with pytest.raises((Refused, ValueError)):
        solve(replace(problem, **{name: spoilt}), start)


def test_singular_flexibility_without_a_contact_layer_is_not_answered_wrongly():
    """Two cells that are one and the same: the factorisation must be looked at."""
    problem = plates(np.random.default_rng(16), 10)
    order = np.r_[np.arange(10), 4]
    twin = Problem(
        problem.flexibility[np.ix_(order, order)],
        problem.offset[order],
        problem.rigid[order],
        problem.load,
        problem.cap[order],
    )
    try:
        solved = solve(twin)
    except Refused:
        return
    single = solve(problem)
    merged = solved.force[:10].copy()
    merged[4] += solved.force[10]
    assert np.allclose(merged, single.force, rtol=1e-6, atol=1e-4)
