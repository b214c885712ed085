"""Reads what the solver printed, and makes of it what a dial under the turning rotor would show."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline

from tests.verification.solid3d.mesh import Floats

HARMONICS = 3
TRACE_STEP_DEG = 5


@dataclass(frozen=True, eq=False)
class Printed:
    """Tables of one run: displacement by set (nodes in printed order), force on the rotor by contact pair, stresses."""

    displacement: dict[str, Floats]
    contact_force: dict[str, Floats]
    stress: Floats


def read(text: str) -> Printed:
    """Parse the solver's table file."""
    displacement, contact, stress = {}, {}, np.empty((0, 8))
    for block in re.split(r"\n(?= displacements| stresses| statistics)", "\n" + text):
        if name := re.match(r" displacements .* for set (\S+) ", block):
            displacement[name[1]] = _numbers(block)[:, 1:4]
        elif block.startswith(" stresses"):
            stress = _numbers(block)
        elif name := re.match(r" statistics for slave set U(\S+),", block):
            # First number rows: total force (and moment), then place and normal, moment, areas.
            rows = [line.split() for line in block.splitlines() if re.match(r"^\s+-?\d", line)]
            contact[name[1]] = np.array(rows[0][:3], dtype=float)
    return Printed(displacement, contact, stress)


def _numbers(block: str) -> Floats:
    return np.array([line.split() for line in block.splitlines() if re.match(r"^\s+\d", line)], dtype=float)


def full_turn(theta_deg: Floats, value: Floats, half: bool, turn_deg: float) -> Floats:
    """A value at the mesh's angles, made into one at every degree of the hub.

    Parameters
    ----------
    theta_deg : ndarray
        Mesh angles, from the plane of symmetry when ``half``. [deg]
    half : bool
        Whether only half a turn was modelled.
    turn_deg : float
        Hub angle of the mesh's zero. [deg]
    """
    if half:
        theta_deg = np.concatenate([theta_deg, 360.0 - theta_deg[-2:0:-1]])
        value = np.concatenate([value, value[-2:0:-1]])
    spline = CubicSpline(np.append(theta_deg, 360.0), np.append(value, value[0]), bc_type="periodic")
    return spline((np.arange(360.0) - turn_deg) % 360.0)


def swing(trace: Floats) -> float:
    """Highest minus lowest reading of a trace given at every degree, its peaks found between the degrees."""
    angle = np.arange(trace.size + 1.0)
    spline = CubicSpline(angle, np.append(trace, trace[0]), bc_type="periodic")
    dense = spline(np.linspace(0.0, trace.size, 20 * trace.size + 1))
    return float(dense.max() - dense.min())


def orders(trace: Floats) -> list[dict[str, float]]:
    """Amplitude and lowest non-negative crest angle of the first few orders of a trace given at every degree."""
    spectrum = np.fft.rfft(trace) * 2.0 / trace.size
    found = []
    for order in range(1, HARMONICS + 1):
        crest = round(np.degrees(-np.angle(spectrum[order])) / order, 6) % (360.0 / order)
        found.append({"order": order, "amplitude": float(np.abs(spectrum[order])), "high_spot_deg": float(crest)})
    return found


def seating_outputs(outboard_mm: Floats, inboard_mm: Floats, forces_n: dict[str, float], patches: int) -> dict:
    """What is stored of a seating; traces at every degree in, heights above touching. [um, N, deg]"""
    out, inn = 1000.0 * outboard_mm, 1000.0 * inboard_mm
    return {
        "lateral_runout_um": {"outboard": swing(out), "inboard": swing(inn)},
        "harmonics_um": orders(out),
        "mean_shift_um": float(out.mean()),
        "debris_force_n": [forces_n.get(f"PAD{number}", 0.0) for number in range(patches)],
        "face_force_n": forces_n.get("FACE", 0.0),
        "trace": {
            "angle_deg": list(range(0, 360, TRACE_STEP_DEG)),
            "outboard_um": [float(v) for v in (out - out.mean())[::TRACE_STEP_DEG]],
            "inboard_um": [float(v) for v in (inn - inn.mean())[::TRACE_STEP_DEG]],
        },
    }
