"""Every revolution marched, one after the other: the slow and obvious way to wear a disc, written apart from ``sim``.

One ring, no film, pads that stay flat. A stop cycle is ``turns`` revolutions, the last ``braked`` of them on the brake;
after each stop the pads are let go at the next angle of the golden ratio. The contact of a pad is found by walking its
active set, one cell in or out at a time: not the way of ``sim.wear.revolution``.
"""

from __future__ import annotations

import numpy as np
from numba import njit

GOLDEN = 0.6180339887498949
_INNER = {
    "no_cpython_wrapper": True,
    "no_cfunc_wrapper": True,
    "error_model": "numpy",
}  # only ``drive`` is called from Python


@njit(**_INNER)
def _balance(height, touching, weight, along, bed, spring, tilt_spring):
    """Shift and tilt at which bed and springs balance, by fixed-point walks over the set of touching cells."""
    count = weight.size
    for j in range(count):
        touching[j] = 1.0 if height[j] > 0.0 else 0.0
    shift = tilt = 0.0
    for _ in range(200):
        a, b, d, e, f = spring, 0.0, tilt_spring, 0.0, 0.0
        for j in range(count):
            if touching[j] > 0.0:
                w = bed * weight[j]
                a += w
                b += w * along[j]
                d += w * along[j] * along[j]
                e += w * height[j]
                f += w * height[j] * along[j]
        shift = (e * d - f * b) / (a * d - b * b)
        tilt = (f * a - e * b) / (a * d - b * b)
        changed = False
        for j in range(count):
            inside = 1.0 if height[j] - shift - tilt * along[j] > 0.0 else 0.0
            if inside != touching[j]:
                touching[j] = inside
                changed = True
        if not changed:
            break
    return shift, tilt


@njit(**_INNER)
def _round(at, angles):
    """The cell at an angle that may lie just beyond the ring's ends; a division takes most of the time here."""
    if at < 0:
        return at + angles
    return at - angles if at >= angles else at


@njit(**_INNER)
def _means(faces, weight, along, mean, slope):
    """Best line through what a pad sees at each angle. Sums written out: array expressions take seconds to compile."""
    angles, count = faces.shape[1], weight.size
    half = count // 2
    total = square = 0.0
    for j in range(count):
        total += weight[j]
        square += weight[j] * along[j] * along[j]
    for f in range(2):
        for k in range(angles):
            q = t = 0.0
            for j in range(count):
                h = faces[f, _round(k + j - half, angles)]
                q += weight[j] * h
                t += weight[j] * h * along[j]
            mean[f, k] = q / total
            slope[f, k] = t / square
    return total


@njit(**_INNER)
def _hang(mean, fixed, gaps, at, rest):
    angles = mean.shape[1]
    low = int(at)
    part = at - low
    for f in range(2):
        lowest = mean[f, 0]
        for k in range(angles):
            lowest = min(lowest, mean[f, k])
        between = (1.0 - part) * mean[f, low % angles] + part * mean[f, (low + 1) % angles]
        rest[f] = (lowest if fixed else between) + gaps[f]


@njit(**_INNER)
def _free_turn(faces, weight, share, along, fixed, holder, rest, height, touching, rub):
    """One released revolution; rub gathers pressure x share; rest moves where the holders slip."""
    bed, spring, tilt_spring, slip = holder
    angles, count = faces.shape[1], weight.size
    half = count // 2
    for k in range(angles):
        first = second = 0.0
        for f in range(2):
            highest = -1e9
            for j in range(count):
                height[j] = faces[f, _round(k + j - half, angles)] - rest[f]
                highest = max(highest, height[j])
            if highest <= 0.0:
                continue
            shift, tilt = _balance(height, touching, weight, along, bed, spring, tilt_spring)
            if f == 0:
                first = spring * shift
            else:
                second = spring * shift
            for j in range(count):
                pressure = bed * max(0.0, height[j] - shift - tilt * along[j])
                rub[f, _round(k + j - half, angles)] += pressure * share[j]
        if fixed:
            rest[0] += max(0.0, first - slip) / spring
            rest[1] += max(0.0, second - slip) / spring
        else:
            over = abs(first - second) - slip
            if over > 0.0:
                step = over / spring if first > second else -over / spring
                rest[0] += step
                rest[1] -= step


@njit(**_INNER)
def _braked_turn(faces, weight, share, along, brake, total, mean, slope, rub):
    bed, clamp, stiffness = brake
    angles, count = faces.shape[1], weight.size
    half = count // 2
    level = 0.0
    for k in range(angles):
        level += (mean[0, k] + mean[1, k]) / angles
    for k in range(angles):
        force = clamp + stiffness * (mean[0, k] + mean[1, k] - level)
        for f in range(2):
            for j in range(count):
                at = _round(k + j - half, angles)
                pressure = force / total + bed * (faces[f, at] - mean[f, k] - slope[f, k] * along[j])
                rub[f, at] += max(0.0, pressure) * share[j]


@njit(cache=True, error_model="numpy", no_cfunc_wrapper=True)
def drive(base, weight, share, along, fixed, gaps, holder, brake, wear, cycle, marks, room, out):
    """Fill in the wear at the marks (revolutions, rising): depths (marks, 2, N).

    ``holder`` = bed, spring, tilt spring, slip; ``brake`` = bed, clamp, stiffness; ``wear`` = depth per revolution and
    unit of gathered pressure; ``cycle`` = turns, braked turns; ``room`` = six arrays (2, N) of zeros.
    """
    worn, faces, mean, slope, rub, spare = room
    rest, height, touching = spare[0, :2], spare[0, 2:], spare[1]
    angles = base.shape[1]
    turn, stop, mark = 0, 0, 0
    while mark < marks.size:
        if turn >= marks[mark]:
            for f in range(2):
                for k in range(angles):
                    out[mark, f, k] = worn[f, k]
            mark += 1
            continue
        for f in range(2):
            for k in range(angles):
                faces[f, k] = base[f, k] - worn[f, k]
                rub[f, k] = 0.0
        place = turn % cycle[0]
        total = _means(faces, weight, along, mean, slope)
        if place == 0:
            _hang(mean, fixed, gaps, (stop * GOLDEN % 1.0) * angles, rest)
            stop += 1
        if place < cycle[0] - cycle[1]:
            _free_turn(faces, weight, share, along, fixed, holder, rest, height, touching, rub)
        else:
            _braked_turn(faces, weight, share, along, brake, total, mean, slope, rub)
        for f in range(2):
            for k in range(angles):
                worn[f, k] += wear * rub[f, k]
        turn += 1


def wear_of(problem, cycle, marks):
    """Drive a problem of one ring the slow way: depths of both faces at the marks, shape (marks, 2, N)."""
    law, grid = problem.law, problem.grid
    assert grid.rings == 1
    assert not law.has_film
    angles = problem.base_mm.shape[2]
    out = np.zeros((len(marks), 2, angles))
    drive(
        problem.base_mm[:, 0],
        grid.weight_mm2[0],
        grid.share,
        grid.along_mm[0],
        bool(law.fixed),
        np.array([law.gap_out, law.gap_in]),
        (law.bed_released, law.spring, law.tilt_spring, law.slip),
        (law.bed_braking, law.clamp, law.clamp_spring),
        law.disc_wear * float(grid.radius_mm[0]) * grid.step_rad,
        np.array(cycle),
        np.asarray(marks, dtype=float),
        tuple(np.zeros((2, angles)) for _ in range(6)),
        out,
    )
    return out
