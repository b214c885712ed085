"""Stacks of vectors by the million, and exact rigid seatings by the hundred thousand: quick, and good as bounds only.

A rotor that does not bend takes the full lever of whatever lies under it: what comes out bounds the elastic seating
near the outer edge of the face and is far off further in.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.arrays import Complexes, Floats
from sim.one_thread import one_thread
from sim.rigid.batch import seat_rigid_batch
from sim.stack.draw import BLOCK, draw_block
from sim.stack.population import ANGLE_OF, Population, Varied

CHUNK = 125_000  # vectors drawn from one stream


@dataclass(frozen=True)
class Vector:
    """One amplitude that points anywhere: how it is spread, and what it reads at the dial for one of its own unit."""

    varied: Varied
    gain: float


def vectors_of(population: Population) -> tuple[Vector, ...]:
    """Runouts that add as vectors, with what each reads at the dial. A lean grows with the radius (geometry)."""
    case, out = population.case, []
    for one in population.varied:
        if one.key == "hub.face_runout_um":
            out.append(Vector(one, case.gauge_radius_mm / case.hub.read_radius_mm))
        elif one.key == "rotor.own_runout_um":
            out.append(Vector(one, case.gauge_radius_mm / case.rotor.own_runout_read_at_mm))
        elif one.key == "rotor.own_thickness_variation_um":
            out.append(Vector(one, 0.5))
    return tuple(out)


@one_thread
def vector_stack_um(population: Population, count: int, seed: int) -> Floats:
    """Runout of clean corners from their vectors alone.

    Parameters
    ----------
    population : Population
        Amplitudes that point all round; angles that are told otherwise are not asked for here.
    count : int
    seed : int

    Returns
    -------
    ndarray, shape (count,)
        [um TIR]

    Notes
    -----
    Sum of phasors: twice the modulus of half the TIRs. Rayleigh amplitudes give a Rayleigh sum (closed form;
    tests/unit/test_stack_closed_forms.py).
    """
    out = np.empty(count)
    spreads = vectors_of(population)
    for k, first in enumerate(range(0, count, CHUNK)):
        size = min(CHUNK, count - first)
        random = np.random.default_rng([seed, k])
        x, y = np.zeros(size), np.zeros(size)
        for one in spreads:
            amplitude = one.gain * one.varied.spread.at(random.random(size))
            angle = (2.0 * np.pi) * random.random(size)
            x += amplitude * np.cos(angle)
            y += amplitude * np.sin(angle)
        out[first : first + size] = np.sqrt(x * x + y * y)
    return out


@one_thread
def rigid_stack_um(population: Population, count: int, seed: int) -> Floats:
    """Runout of drawn corners of a rotor and hub that do not bend; a bound (`LABEL`).

    Parameters
    ----------
    population : Population
        Crushing, torque, dishes and saddles are left out, angles as drawn.
    count : int
    seed : int

    Returns
    -------
    ndarray, shape (count,)
        [um TIR] of the first order, which is all that a rigid tilt has.

    Notes
    -----
    Exact rigid seating in rows (`sim.rigid.batch.seat_rigid_batch`), the vectors of `vectors_of` added.
    """
    case = population.case
    out = np.empty(count)
    for block in range(-(-count // BLOCK)):
        drawn = draw_block(population, seed, block)
        names = ("inner_radius_mm", "outer_radius_mm", "angle_deg", "arc_deg", "height_um")
        fields: dict[str, list[Floats]] = {name: [] for name in names}
        for lying in drawn.patches:
            there = np.arange(lying.kind.shape[1]) < lying.count[:, None]
            for name, rows in fields.items():
                values = lying.fields[name]
                rows.append(np.where(there, values, 0.0) if name == "height_um" else values)
        wave: Complexes = np.zeros(drawn.size, dtype=complex)
        if any(one.shape[1] for one in fields["height_um"]):
            inner, outer, angle, arc, height = (np.concatenate(rows, axis=1) for rows in fields.values())
            planes = seat_rigid_batch(inner, outer, angle, arc, height / 1000.0, case.contact_zone_mm[1])
            wave = np.asarray(1000.0 * case.gauge_radius_mm * (planes[:, 1] - 1j * planes[:, 2]), dtype=complex)
        for one in vectors_of(population):
            turned = np.radians(drawn.columns[ANGLE_OF[one.varied.key]])
            wave = wave + one.gain / 2.0 * drawn.columns[one.varied.key] * np.exp(-1j * turned)
        first = block * BLOCK
        out[first : first + BLOCK] = 2.0 * np.abs(wave)[: count - first]
    return out
