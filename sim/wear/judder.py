"""From thickness variation to what the driver feels: force, torque and pressure by order, frequency and speed.

A brake squeezes harder where the disc is thicker. Order n of the thickness gives order n of force, torque and line
pressure; its frequency rises with road speed and it is felt where it meets a mode of the suspension or the steering.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.arrays import Floats
from sim.parts.case import Case
from sim.wear.brake import Brake, effective_radius

#: Orders that are followed; with a pad of 50 to 60 degrees the window lets little of the higher ones through.
ORDERS = (1, 2, 3, 4, 5, 6)

#: Spread of the felt speed that a road test is compared with: rolling radius, speedometer and mode. Judgement.
SPEED_SPREAD = 0.12


@dataclass(frozen=True)
class Mode:
    """One resonance through which a brake's torque variation reaches the driver.

    Parameters
    ----------
    hz, damping : float
        Natural frequency and damping ratio. Steering wheel about 12 to 16 Hz (judgement); fore and aft modes of front
        suspensions about 22 to 60 Hz (measured on a few cars, second-hand).
    gain_m_s2_per_nm : float
        Acceleration per torque amplitude; the least certain number here, so results are shown as a relative index.
    """

    hz: float
    damping: float
    gain_m_s2_per_nm: float


def modes_of(case: Case) -> tuple[Mode, ...]:
    """The mode, or modes, of a case."""
    judder = case.judder
    first = Mode(case.mode_hz, judder.mode_damping, judder.mode_gain_m_s2_per_nm)
    if judder.second_mode_hz is None:
        return (first,)
    return first, Mode(judder.second_mode_hz, judder.second_mode_damping, judder.mode_gain_m_s2_per_nm)


def window_factor(order: int, arc_rad: float) -> float:
    """How much of order n a pad of this arc lets through: the mean of cos(n psi) under it.

    Notes
    -----
    No unit. Closed form: the mean of cos over the pad's arc, sin(n arc/2) / (n arc/2).

    Examples
    --------
    >>> [round(window_factor(n, 0.959931), 3) for n in (1, 2, 3, 4)]
    [0.962, 0.853, 0.689, 0.489]
    """
    half = 0.5 * order * arc_rad
    return math.sin(half) / half


def order_frequency_hz(order: int, speed_km_h: ArrayLike, revolutions_per_km: float) -> Floats:
    """Frequency of order n at a road speed: n v R / 3600.

    Notes
    -----
    [Hz]. By definition: turns a second, times the order.

    Examples
    --------
    >>> round(float(order_frequency_hz(1, 100.0, 519.5)), 2)
    14.43
    """
    return order * np.asarray(speed_km_h, dtype=float) * revolutions_per_km / 3600.0


def felt_speed_km_h(order: int, hz: float, revolutions_per_km: float) -> float:
    """Road speed at which order n meets a mode. [km/h]. By definition, the inverse of `order_frequency_hz`."""
    return 3600.0 * hz / (order * revolutions_per_km)


def response(hz: ArrayLike, mode: Mode) -> Floats:
    """Magnification of a damped mode shaken through its support (Den Hartog, Mechanical Vibrations, ch. 2).

    Parameters
    ----------
    hz : array_like
        Frequency. [Hz]
    mode : Mode

    Returns
    -------
    ndarray
        1 at zero frequency, about 1 / (2 damping) at the mode.
    """
    q = np.asarray(hz, dtype=float) / mode.hz
    soft = (2.0 * mode.damping * q) ** 2
    return np.sqrt((1.0 + soft) / ((1.0 - q**2) ** 2 + soft))


def half_power_hz(mode: Mode) -> tuple[float, float]:
    """The band in which the response is above its peak over root two.

    Parameters
    ----------
    mode : Mode

    Returns
    -------
    tuple of float
        Lower and upper frequency; the lower is 0 where damping is so strong that the band reaches down to rest. [Hz]

    Notes
    -----
    Closed form of `response` (Den Hartog): where its square is half of its largest.
    """
    c = 4.0 * mode.damping**2
    peak = (math.sqrt(1.0 + 2.0 * c) - 1.0) / c  # square of the frequency ratio at the peak
    half = 0.5 * (1.0 + c * peak) / ((1.0 - peak) ** 2 + c * peak)
    # half ((1 - x)^2 + c x) = 1 + c x, a quadratic in x = q^2
    b, constant = half * (c - 2.0) - c, half - 1.0
    root = math.sqrt(b * b - 4.0 * half * constant)
    low, high = (-b - root) / (2.0 * half), (-b + root) / (2.0 * half)
    return mode.hz * math.sqrt(max(0.0, low)), mode.hz * math.sqrt(high)


def speed_bands_km_h(mode: Mode, revolutions_per_km: float) -> Floats:
    """Band of road speed in which each order shakes the mode.

    Returns
    -------
    ndarray, shape (orders, 2)
        Lower and upper speed. [km/h]
    """
    low, high = half_power_hz(mode)
    return np.array(
        [[felt_speed_km_h(n, low, revolutions_per_km), felt_speed_km_h(n, high, revolutions_per_km)] for n in ORDERS]
    )


def force_variation_n(amplitude_um: Floats, brake: Brake) -> Floats:
    """Clamp force amplitude by order, from thickness amplitude by order (zero to peak).

    It does not depend on how hard the driver brakes, so it is relatively strongest at a light pedal.

    Parameters
    ----------
    amplitude_um : ndarray, shape (..., orders)
        Amplitude of ``ORDERS`` of the thickness. [um]
    brake : Brake

    Returns
    -------
    ndarray, shape (..., orders)
        [N]

    Notes
    -----
    Springs in series (statics) times what the pad's window leaves of the order.
    """
    seen = np.array([window_factor(n, brake.arc_rad) for n in ORDERS])
    return np.asarray(amplitude_um) * 1e-3 * np.abs(seen) * brake.spread_with_pads_n_mm


def torque_variation_nm(amplitude_um: Floats, brake: Brake, friction: float) -> Floats:
    """Brake torque amplitude by order, both pads of one brake: 2 mu r_eff dF. [N m].

    Coulomb friction of two faces at the effective radius.
    """
    radius = effective_radius(brake.inner_radius_mm, brake.outer_radius_mm)
    return 2.0 * friction * radius * 1e-3 * force_variation_n(amplitude_um, brake)


def pressure_variation_bar(amplitude_um: Floats, brake: Brake, piston_area_mm2: float) -> Floats:
    """Line pressure amplitude by order, friction of the piston seal left out. [bar].

    By definition: force over piston area; 1 MPa is 10 bar.
    """
    return 10.0 * force_variation_n(amplitude_um, brake) / piston_area_mm2


def shake_m_s2(torque_nm: Floats, speed_km_h: ArrayLike, modes: tuple[Mode, ...], revolutions_per_km: float) -> Floats:
    """Acceleration felt at a road speed, all orders and modes together, root mean square.

    Parameters
    ----------
    torque_nm : ndarray, shape (orders,)
        Torque amplitudes of ``ORDERS``.
    speed_km_h : array_like, shape (v,)
    modes : tuple of Mode
    revolutions_per_km : float

    Returns
    -------
    ndarray, shape (v,)
        Root sum of squares over orders and modes; a slow pass through the mode is taken for granted. [m/s2]

    Notes
    -----
    Den Hartog's response of each mode; that orders add in quadrature holds by definition of a mean square over unlike
    frequencies.
    """
    speed = np.atleast_1d(np.asarray(speed_km_h, dtype=float))
    total = np.zeros(speed.size)
    for mode in modes:
        for order, torque in zip(ORDERS, torque_nm, strict=True):
            gain = mode.gain_m_s2_per_nm * response(order_frequency_hz(order, speed, revolutions_per_km), mode)
            total += (gain * torque / math.sqrt(2.0)) ** 2
    return np.sqrt(total)


@dataclass(frozen=True, eq=False)
class Felt:
    """What reaches the driver, for each thickness map in a row.

    Parameters
    ----------
    torque_nm, pressure_bar : ndarray, shape (k, orders)
        Amplitudes, zero to peak.
    speed_km_h, band_km_h : ndarray, shapes (orders,), (orders, 2)
        Where each order meets the first mode, and the half-power band round it.
    pedal_index, wheel_index : ndarray, shape (k,)
        1 = what a first-order thickness variation just at the limit would give at the pedal, and at the steering wheel
        at the speed where it is felt most. Relative figures.
    order : ndarray of int, shape (k,)
        Order that is felt most at the wheel.
    """

    torque_nm: Floats
    pressure_bar: Floats
    speed_km_h: Floats
    band_km_h: Floats
    pedal_index: Floats
    wheel_index: Floats
    order: NDArray[np.int64]


def felt(amplitude_um: Floats, case: Case, brake: Brake, modes: tuple[Mode, ...] | None = None) -> Felt:
    """Follow thickness amplitudes to pedal and steering wheel.

    Parameters
    ----------
    amplitude_um : ndarray, shape (k, orders)
        Amplitudes of ``ORDERS`` of the thickness. [um]
    case : Case
    brake : Brake
    modes : tuple of Mode, optional
        The case's own mode unless given.

    Returns
    -------
    Felt

    Notes
    -----
    Torque and pressure as above; the figures relative to the limit are ours (judgement), no scale of comfort.
    """
    modes = modes_of(case) if modes is None else modes
    if not any(mode.gain_m_s2_per_nm for mode in modes):  # nothing is felt; the relative figures do not hang on it
        modes = tuple(replace(mode, gain_m_s2_per_nm=1.0) for mode in modes)
    turns = case.drive.revolutions_per_km
    torque = torque_variation_nm(amplitude_um, brake, case.drive.friction)
    pressure = pressure_variation_bar(amplitude_um, brake, case.caliper.piston_area_mm2)
    speed = np.array([felt_speed_km_h(n, modes[0].hz, turns) for n in ORDERS])
    at_limit = np.zeros((1, len(ORDERS)))
    at_limit[0, 0] = 0.5 * case.limits.dtv_um
    torque_limit = torque_variation_nm(at_limit, brake, case.drive.friction)[0]
    reference = float(shake_m_s2(torque_limit, speed[:1], modes, turns)[0])
    pedal_limit = float(pressure_variation_bar(at_limit, brake, case.caliper.piston_area_mm2)[0, 0])
    shaken = np.array([shake_m_s2(row, speed, modes, turns) for row in torque])
    return Felt(
        torque_nm=torque,
        pressure_bar=pressure,
        speed_km_h=speed,
        band_km_h=speed_bands_km_h(modes[0], turns),
        pedal_index=np.sqrt(np.sum(pressure**2, axis=1)) / pedal_limit,
        wheel_index=shaken.max(axis=1) / reference,
        order=np.array(ORDERS)[np.argmax(torque, axis=1)],
    )


@dataclass(frozen=True)
class TwoWheels:
    """Left and right brake together at one order: fore-and-aft sum and steering difference, same unit as given."""

    together: float
    against: float


def both_wheels(left: float, right: float, phase_deg: float) -> TwoWheels:
    """Add the torque variations of two wheels.

    In phase they shake the car fore and aft and the pedal; in opposition they twist the steering.

    Parameters
    ----------
    left, right : float
        Amplitudes of the same order.
    phase_deg : float
        By how much of that order's period the right one lags; n times the angle between the wheels' high spots. [deg]

    Returns
    -------
    TwoWheels
        Amplitudes of sum and difference.

    Notes
    -----
    Sum and difference of two phasors (closed form).
    """
    turn = complex(math.cos(math.radians(phase_deg)), -math.sin(math.radians(phase_deg)))
    return TwoWheels(abs(left + right * turn), abs(left - right * turn))


def beat_km(left_revolutions_per_km: float, right_revolutions_per_km: float, order: int = 1) -> float | None:
    """Distance in which left and right drift through all phases once; None when they never do. [km].

    By definition: one over the difference of turns per km.
    """
    drift = abs(left_revolutions_per_km - right_revolutions_per_km) * order
    return 1.0 / drift if drift > 0.0 else None
