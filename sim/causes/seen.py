"""Readings as the ranking takes them: orders 1 .. 3 of every usable trace with their whole covariance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim import turn
from sim.arrays import Complexes, Floats
from sim.bench.after_indexing import SMOOTH_UM, usual_sd
from sim.bench.bare_face import lean_read
from sim.bench.mountings import ONE_SCREW, doubted
from sim.bench.pooled_turns import pooled
from sim.errors import BadInput, Fault
from sim.files.clean_turn import reading_sd, rounded_alike_um
from sim.files.dial_readings import Readings, Trace
from sim.files.readings_rows import CLEAN_STATES
from sim.files.trace import trace_name
from sim.parts.thickness import micrometer_sd_um

# As many as twelve places carry well and causes differ in.
ORDERS = 3
# Orders above those that are fitted: standard deviation of a component, hence what few or uneven places fold onto the
# fitted ones. Judgement, half to double. [um]
HIGHER_UM = {2: 4.0, 3: 1.6, 4: 1.2, 5: 0.7, 6: 0.5, 7: 0.35, 8: 0.25, 9: 0.2, 10: 0.15, 11: 0.15}
# A bare face that may carry dirt leans with more uncertainty than least squares says. Judgement, from simulation.
BARE_WIDER = 1.3
# What makes a rim run out that is no scale: the rim itself, and how the bore happened to lie on the spigot. Standard
# deviation of a component of the first order; judgement, 8 .. 25 um.
RIM_UM = 15.0


@dataclass(frozen=True)
class Spot:
    """A trace without its readings: how the rotor was on the hub when it was, or will be, taken.

    Parameters
    ----------
    kind : str
        As in a readings file.
    mount : int
        -1 for one that has not been made.
    turned : int
        Stud pitches.
    cleaned, retorqued : bool
    orders : tuple of int
        That the trace carries.
    first : bool
        Mounting in which the car came.
    again : bool
        Cleaned once more than when it was read last, and well: nothing is left of the dirt.
    twice : bool
        Read after a second cleaning: gone is what the first left, unless it stayed again.
    """

    kind: str
    mount: int
    turned: int
    cleaned: bool
    retorqued: bool = False
    orders: tuple[int, ...] = (1, 2, 3)
    first: bool = False
    again: bool = False
    twice: bool = False


@dataclass(frozen=True, eq=False)
class Seen:
    """All usable traces together.

    Parameters
    ----------
    spots : tuple of Spot
    traces : tuple of Trace
    value : ndarray, shape (d,)
        Real and imaginary part of every order, trace by trace. [um]
    noise : ndarray, shape (d, d)
        Covariance of the readings alone, mountings left out. [um2]
    left_out : tuple of str
        Traces that were not used, and why.
    bumps, bumps_clean : bool or None
        Whether the bare hub face stands up somewhere, read before it was cleaned, and read clean; None where it was
        not read so.
    """

    spots: tuple[Spot, ...]
    traces: tuple[Trace, ...]
    value: Floats
    noise: Floats
    left_out: tuple[str, ...]
    bumps: bool | None
    bumps_clean: bool | None = None

    @property
    def cleaned_last(self) -> int:
        """First mounting after a second cleaning, else the last one that was read cleaned of several; else nought."""
        clean = [spot for spot in self.spots if spot.kind in ("mounted", "inboard") and spot.cleaned]
        mounts = sorted({spot.mount for spot in clean})
        again = [spot.mount for spot in clean if spot.twice]
        return min(again) if again else mounts[-1] if len(mounts) > 1 else 0


def seen(readings: Readings, again: Sequence[int] = ()) -> Seen:
    """Orders of every usable trace.

    Parameters
    ----------
    readings : Readings
    again : sequence of int
        Mounts that were read after a second cleaning.

    Returns
    -------
    Seen

    Raises
    ------
    BadInput
        If no mounted trace is usable.

    Notes
    -----
    Least squares with the covariance of dial, creep and of what higher orders leave (JCGM 100). [um]
    """
    used, left_out = _usable(readings)
    if not any(trace.kind == "mounted" for trace in used):
        raise BadInput(Fault("no mounted trace that can be used", key="trace", allowed="; ".join(left_out)))
    clean_from = min((t.mount for t in used if t.state in CLEAN_STATES and t.mount), default=None)
    first = min(trace.mount for trace in used if trace.kind in ("mounted", "inboard"))
    spots, values, blocks = [], [], []
    bumps = bumps_clean = None
    for trace in used:
        if trace.kind == "hub face":
            value, block, stands_up = _bare(trace, readings)
            if trace.state in CLEAN_STATES:
                bumps_clean = stands_up
            else:
                bumps = stands_up
            orders: tuple[int, ...] = (1,)
        else:
            value, block = _orders(trace, readings.step_um(trace))
            orders = tuple(range(1, value.size // 2 + 1))
            if trace.kind == "radial":
                value, block, orders = value[:2], block[:2, :2] + RIM_UM**2 * np.eye(2), (1,)
        cleaned = trace.state in CLEAN_STATES or (clean_from is not None and trace.mount >= clean_from)
        spots.append(
            Spot(trace.kind, trace.mount, trace.studs_turned, cleaned, trace.state == "retorqued", orders,
                 trace.mount == first, twice=cleaned and trace.mount in again)
        )  # fmt: skip
        values.append(value)
        blocks.append(block)
    size = sum(value.size for value in values)
    noise, start = np.zeros((size, size)), 0
    for block in blocks:
        noise[start : start + len(block), start : start + len(block)] = block
        start += len(block)
    return Seen(tuple(spots), tuple(used), np.concatenate(values), noise, tuple(left_out), bumps, bumps_clean)


def _usable(readings: Readings) -> tuple[list[Trace], list[str]]:
    """Traces to use: no rotor that hangs on a screw, no doubted one where others remain, the last of some kinds."""
    in_doubt = doubted(readings)
    turns = [trace for trace in readings.traces if not trace.in_part]
    held = [trace for trace in turns if trace.clamped_by != ONE_SCREW]
    left_out = [f"{t.kind}, mount {t.mount}: held by the screw only" for t in turns if t not in held]
    read = {(named(trace), trace.state): trace for trace in held if trace.kind != "hub face"}
    held = [trace for trace in held if read.get((named(trace), trace.state), trace) is trace]  # the last that was read
    read_again = [named(trace) for trace in turns]
    sure = [trace for trace in held if named(trace) not in in_doubt or read_again.count(named(trace)) > 1]
    if any(trace.kind == "mounted" for trace in sure):
        left_out += [f"{named(trace)}: read it again" for trace in held if trace not in sure]
        held = sure
    last = {kind: [t for t in held if t.kind == kind][-1:] for kind in ("hub face", "thickness")}
    once = [t for t in held if t.kind not in last or t in last[t.kind]]
    return [_mean(trace, readings, in_doubt) for trace in once], left_out


def _mean(trace: Trace, readings: Readings, in_doubt: set[str]) -> Trace:
    """A trace with the turns that repeat it, as their middle; one that was doubted stands alone."""
    if trace.kind == "thickness":
        return (readings.thickness if trace is readings.of("thickness")[-1] else None) or trace
    if trace.kind == "hub face":
        return (readings.bare_face if trace is readings.of("hub face")[-1] else None) or trace
    if trace.kind != "mounted" or named(trace) in in_doubt:
        return trace

    def how(one: Trace) -> tuple[object, ...]:
        return (one.mount, one.studs_turned, one.state, one.corner, one.clamped_by, readings.step_um(one))

    return pooled([one for one in readings.of("mounted") if how(one) == how(trace)], readings.step_um(trace))


def named(trace: Trace) -> str:
    """Name of a trace, as its faults carry it."""
    return trace_name(trace.kind, trace.mount)


def _orders(trace: Trace, dial_um: float) -> tuple[Floats, Floats]:
    """Real and imaginary parts of orders 1 .. h, and their covariance."""
    angle = trace.angle_deg
    highest = min(ORDERS, (np.unique(angle).size - 1) // 2)
    found = turn.fit(angle, trace.value_um, highest)[1:]
    solved = np.linalg.pinv(turn.design_matrix(angle, highest))
    real, imaginary = solved[1 : highest + 1], -solved[highest + 1 :]
    rows = np.stack([real, imaginary], axis=1).reshape(2 * highest, angle.size)
    apart = np.radians(angle[:, None] - angle)
    one, always = one_reading(trace.kind, dial_um, trace.creep_um)
    spread = (one if trace.noise_um is None else trace.noise_um) ** 2 * np.eye(angle.size)
    spread += sum(sd**2 * np.cos(n * apart) for n, sd in HIGHER_UM.items() if n > highest)
    always += rounded_alike_um(trace.value_um, dial_um) ** 2
    return _real(found), rows @ spread @ rows.T + always * np.eye(2 * highest)


def one_reading(kind: str, step_um: float, creep_um: float) -> tuple[float, float]:
    """Standard deviation of one reading, and variance of a component of any order that more places do not lessen.

    Parameters
    ----------
    kind : str
        Of the trace: a thickness is read with a micrometer, which neither creeps nor travels.
    step_um, creep_um : float
        Of the dial, or of the micrometer. [um]

    Returns
    -------
    tuple of float
        [um], [um2]

    Notes
    -----
    Judgement in `sim.bench.after_indexing` and `sim.parts.thickness`; drift in a line, JCGM 100:2008.
    """
    if kind == "thickness":
        return micrometer_sd_um(step_um), 0.0
    return usual_sd(step_um), SMOOTH_UM**2 + (creep_um / np.pi) ** 2 / 2.0


def _bare(trace: Trace, readings: Readings) -> tuple[Floats, Floats, bool]:
    """Lean of the bare face at its own radius, its covariance, whether something stands up on it."""
    step = readings.step_um(trace)
    lean = lean_read(trace, readings)
    usual = usual_sd(step) / reading_sd(step)
    variance = BARE_WIDER * ((usual * lean.sd_um) ** 2 + SMOOTH_UM**2) + rounded_alike_um(trace.value_um, step) ** 2
    return _real(lean.orders[1:2]), variance * np.eye(2), bool(lean.bumps_deg)


def _real(orders: Complexes) -> Floats:
    return np.stack([orders.real, orders.imag], axis=1).ravel()
