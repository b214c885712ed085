"""Every revolution marched, one after the other: the slow and obvious way to wear a disc, written apart from ``sim``.

One ring, no film, pads that stay flat. A stop cycle is ``turns`` revolutions, the last ``braked`` of them on the brake;
after each stop the pads are let go at the next angle of the golden ratio. The contact of a pad is found by walking its
active set, one cell in or out at a time: not the way of ``sim.wear.revolution``.
"""

from __future__ import annotations

import numpy as np
from numba import njit

GOLDEN = 0.6180339887498949


@njit(cache=True)
def _balance(height, weight, along, bed, spring, tilt_spring):
    """Shift and tilt at which bed and springs balance, by fixed-point walks over the set of touching cells."""
    count = height.size
    touching = height > 0.0
    shift = tilt = 0.0
    for _ in range(200):
        a, b, d, e, f = spring, 0.0, tilt_spring, 0.0, 0.0
        for j in range(count):
            if touching[j]:
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
            inside = height[j] - shift - tilt * along[j] > 0.0
            if inside != touching[j]:
                touching[j] = inside
                changed = True
        if not changed:
            break
    return shift, tilt


@njit(cache=True)
def _means(faces, weight, mean, slope, along):
    angles, count = faces.shape[1], weight.size
    half = count // 2
    total = weight.sum()
    square = (weight * along**2).sum()
    for f in range(2):
        for k in range(angles):
            q = t = 0.0
            for j in range(count):
                h = faces[f, (k + j - half) % angles]
                q += weight[j] * h
                t += weight[j] * h * along[j]
            mean[f, k] = q / total
            slope[f, k] = t / square


@njit(cache=True)
def _hang(faces, weight, along, fixed, gaps, at, rest):
    angles = faces.shape[1]
    mean, slope = np.empty((2, angles)), np.empty((2, angles))
    _means(faces, weight, mean, slope, along)
    if fixed:
        rest[0], rest[1] = mean[0].min() + gaps[0], mean[1].min() + gaps[1]
    else:
        low = int(at)
        part = at - low
        for f in range(2):
            rest[f] = (1.0 - part) * mean[f, low % angles] + part * mean[f, (low + 1) % angles] + gaps[f]


@njit(cache=True)
def _free_turn(faces, weight, share, along, fixed, holder, rest, rub):
    """One released revolution; rub gathers pressure x share; rest moves where the holders slip."""
    bed, spring, tilt_spring, slip = holder
    angles, count = faces.shape[1], weight.size
    half = count // 2
    height = np.empty(count)
    for k in range(angles):
        force = np.zeros(2)
        for f in range(2):
            highest = -1e9
            for j in range(count):
                height[j] = faces[f, (k + j - half) % angles] - rest[f]
                highest = max(highest, height[j])
            if highest <= 0.0:
                continue
            shift, tilt = _balance(height, weight, along, bed, spring, tilt_spring)
            force[f] = spring * shift
            for j in range(count):
                pressure = bed * max(0.0, height[j] - shift - tilt * along[j])
                rub[f, (k + j - half) % angles] += pressure * share[j]
        if fixed:
            for f in range(2):
                rest[f] += max(0.0, force[f] - slip) / spring
        else:
            over = abs(force[0] - force[1]) - slip
            if over > 0.0:
                step = over / spring if force[0] > force[1] else -over / spring
                rest[0] += step
                rest[1] -= step


@njit(cache=True)
def _braked_turn(faces, weight, share, along, bed, clamp, stiffness, rub):
    angles, count = faces.shape[1], weight.size
    half = count // 2
    mean, slope = np.empty((2, angles)), np.empty((2, angles))
    _means(faces, weight, mean, slope, along)
    level = (mean[0] + mean[1]).mean()
    total = weight.sum()
    for k in range(angles):
        force = clamp + stiffness * (mean[0, k] + mean[1, k] - level)
        for f in range(2):
            for j in range(count):
                at = (k + j - half) % angles
                pressure = force / total + bed * (faces[f, at] - mean[f, k] - slope[f, k] * along[j])
                rub[f, at] += max(0.0, pressure) * share[j]


@njit(cache=True)
def drive(base, weight, share, along, fixed, gaps, holder, brake, wear, cycle, marks):
    """Wear at the marks (revolutions, rising): depths (marks, 2, N).

    ``holder`` = bed, spring, tilt spring, slip; ``brake`` = bed, clamp, stiffness; ``wear`` = depth per revolution and
    unit of gathered pressure; ``cycle`` = turns, braked turns.
    """
    angles = base.shape[1]
    worn = np.zeros((2, angles))
    out = np.zeros((marks.size, 2, angles))
    rest = np.zeros(2)
    turn, stop, mark = 0, 0, 0
    while mark < marks.size:
        if turn >= marks[mark]:
            out[mark] = worn
            mark += 1
            continue
        rub = np.zeros((2, angles))
        place = turn % cycle[0]
        if place == 0:
            at = (stop * GOLDEN % 1.0) * angles
            _hang(base - worn, weight, along, fixed, gaps, at, rest)
            stop += 1
        if place < cycle[0] - cycle[1]:
            _free_turn(base - worn, weight, share, along, fixed, holder, rest, rub)
        else:
            _braked_turn(base - worn, weight, share, along, brake[0], brake[1], brake[2], rub)
        worn += wear * rub
        turn += 1
    return out


def wear_of(problem, cycle, marks):
    """Drive a problem of one ring the slow way: depths of both faces at the marks, shape (marks, 2, N)."""
    law, grid = problem.law, problem.grid
    assert grid.rings == 1
    assert not law.has_film
    return drive(
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
    )
