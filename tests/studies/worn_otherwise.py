"""Wear by another law than ours, for truths that the estimator has never seen: overlap, a force floor, plain healing.

Nothing of `sim.wear` is in it. A pad is one spring that stands at a place of its own; where the face overlaps it by
more than a floor of force, the face wears in proportion. The brake wears both faces, thick places more. Values are
drawn from what is known of pads, clearances and wear in general (workshop figures and ranges from memory), not from our
ranges.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

ANGLES = 120
STEP_KM = 100.0


@dataclass(frozen=True)
class Taps:
    """A brake by the other law.

    Parameters
    ----------
    um_per_km_n : float
        Depth that one newton of contact wears in one kilometre. [um/(km N)]
    spring_n_um : float
        Pad and what holds it, as one spring. [N/um]
    floor_n, slip_n : float
        Force below which nothing wears, and above which the pad is knocked back.
    gap_um : tuple of float
        Clearance of the outboard and inboard pad.
    follows : float
        Where a pad comes to rest: 0 at the middle of the wobbling face, 1 at its lowest place.
    arc_rad : float
        Of the pad.
    braked_um_per_km : float
        What a face loses on the brake.
    heals_per_um : float
        By how much of that a place wears more for each um that it is thicker than the mean; 0: the brake evens nothing.
    """

    um_per_km_n: float
    spring_n_um: float
    floor_n: float
    slip_n: float
    gap_um: tuple[float, float]
    follows: float
    arc_rad: float
    braked_um_per_km: float
    heals_per_um: float


def drawn_taps(random: np.random.Generator, heals: bool = True) -> Taps:
    """Draw a brake; without healing the thick places of a braked rotor wear no faster than the thin ones."""

    def about(middle: float, factor: float, low: float, high: float) -> float:
        return float(np.clip(middle * np.exp(np.log(factor) * random.standard_normal()), low, high))

    iron = about(1.0, 1.6, 0.3, 3.0)  # Archard's coefficient over 1e-5 mm3/(N m), which is a range of 0.3 to 3
    clearance, share = about(45.0, 1.6, 15.0, 150.0), random.uniform(0.15, 0.5)
    arc = np.radians(random.uniform(42.0, 62.0))
    clamp_n = about(4000.0, 1.25, 2500.0, 6500.0)
    spread_n_um = about(20.0, 1.6, 8.0, 50.0)
    return Taps(
        um_per_km_n=1.17e-4 * iron,  # 120 mm of pad, 54 cm2, 520 turns a kilometre
        spring_n_um=1e-3 * about(1300.0, 1.6, 500.0, 3000.0),
        floor_n=random.uniform(0.0, 12.0),
        slip_n=random.uniform(20.0, 200.0),
        gap_um=(2.0 * share * clearance, 2.0 * (1.0 - share) * clearance),
        follows=float(random.beta(2.0, 2.0)),
        arc_rad=float(arc),
        braked_um_per_km=0.0135 * iron * about(1.0, 1.5, 0.3, 3.5),
        heals_per_um=spread_n_um / clamp_n if heals else 0.0,
    )


def gone(brake: Taps, runout_um: np.ndarray, new_um: np.ndarray, distance_km: np.ndarray) -> np.ndarray:
    """Wear of both faces at the distances, shape (k, 2, ANGLES). [um].

    Parameters
    ----------
    brake : Taps
    runout_um : ndarray, shape (ANGLES,)
        Of the mean plane, + outboard, as driven.
    new_um : ndarray, shape (2, ANGLES)
        Metal of the new rotor above its mean faces.
    distance_km : ndarray, shape (k,)
        Rising.
    """
    window = np.sinc(np.fft.rfftfreq(ANGLES, 1.0 / ANGLES) * brake.arc_rad / (2.0 * np.pi))
    faces = np.stack([runout_um, -runout_um]) + new_um
    worn, out, at = np.zeros((2, ANGLES)), [], 0.0
    for km in distance_km:
        steps = max(1, int(np.ceil((km - at) / STEP_KM)))
        for _ in range(steps):
            worn += (km - at) / steps * _pace(brake, faces - worn, window)
        at = float(km)
        out.append(worn.copy())
    return np.array(out)


def orders(
    brake: Taps, runout_um: np.ndarray, new_um: np.ndarray, distance_km: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Of a finer turn (n a multiple of ANGLES): what wear adds to orders 1 to 3 of the mean plane, and orders 1 to 6 of

    the thickness. [um].
    """
    every = runout_um.size // ANGLES
    new = new_um[:, ::every]
    height = new[None] - gone(brake, runout_um[::every], new, distance_km)
    lean, thick = (
        2.0 / ANGLES * np.fft.rfft(rows) for rows in (0.5 * (height[:, 0] - height[:, 1]), height.sum(axis=1))
    )
    return lean[:, 1:4], thick[:, 1:7]


def _smeared(rows: np.ndarray, window: np.ndarray) -> np.ndarray:
    return np.asarray(np.fft.irfft(np.fft.rfft(rows) * window, ANGLES))


def _pace(brake: Taps, faces_um: np.ndarray, window: np.ndarray) -> np.ndarray:
    """Wear of both faces in one kilometre. [um/km]."""
    seen = _smeared(faces_um, window)
    middle = seen.mean(axis=1, keepdims=True)
    rest = middle - brake.follows * (middle - seen.min(axis=1, keepdims=True)) + np.array(brake.gap_um)[:, None]
    rest = np.maximum(rest, seen.max(axis=1, keepdims=True) - brake.slip_n / brake.spring_n_um)
    force = np.maximum(brake.spring_n_um * (seen - rest) - brake.floor_n, 0.0)
    thick = faces_um.sum(axis=0)
    more = brake.heals_per_um * _smeared(thick - thick.mean(), window)
    return brake.um_per_km_n * _smeared(force, window) + brake.braked_um_per_km * np.maximum(1.0 + more, 0.0)
