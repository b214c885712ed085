"""What several mountings of one rotor tell without a prior: hub and rotor apart, what came back, what cleaning took.

Everything is at the gauge radius. A mounted trace in the rotor's frame is ``c_n = R_n + H_n exp(i n m 2 pi/N)`` plus
the scatter of that mounting; with one stud position only the sum is known, and no amount of arithmetic parts it.
Nothing here weighs causes against each other: it names what is left over once the vectors are told apart.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import chdtri

from sim import turn
from sim.arrays import Complexes, Floats
from sim.bench.after_indexing import COVERAGE, MOUNT_SCATTER_UM, SMOOTH_UM, usual_sd
from sim.bench.another_mounting import apart_there_um
from sim.bench.bare_face import lean_read
from sim.bench.between_places import beyond_um, counted_um
from sim.bench.came_back import alike, returned
from sim.bench.open_readings import open_readings
from sim.bench.pooled_turns import pooled, pooled_by_mount, standing
from sim.bench.seatings import seats
from sim.bench.stud_position import Separated, split_by_positions
from sim.bench.told_by_mountings import Again, Apart, Standing, ToldApart, Vector
from sim.bench.turns_cancel import counts_um
from sim.errors import BadInput, Fault
from sim.files.clean_turn import fit, reading_sd, rounded_alike_um
from sim.files.dial_readings import Readings, Trace
from sim.files.readings_rows import CLEAN_STATES
from sim.files.seated_home import refuse_unseated
from sim.one_thread import one_thread

ORDERS = 3  # a mounting hardly changes higher ones; judgement
# Random part of each mounting, standard deviation of a component by order. First: 1 .. 6 um; higher ones: a rotor that
# is put down again bends nearly as before, 0.3 .. 2 um. Judgement. [um]
SCATTER_UM = (0.0, MOUNT_SCATTER_UM, 1.0, 0.7)
# Half-width, over the standard deviation of a component, of the circle that holds 80 % of a vector's readings, and of
# the one that it must leave to be told at all (95 %): Rayleigh distribution.
CIRCLE, TOLD = (float(np.sqrt(chdtri(2, 1.0 - share))) for share in (COVERAGE, 0.95))
# Mountings contradict each other at this chi-square tail.
TAIL = 0.01
# Uncertainty of the vectors over that of one reading, beyond which two positions hardly part them. Judgement.
MOST_GAIN = 3.0
HUB_FACE, HUB_DIRT, SPIGOT, TORQUE = "hub face runout", "dirt on the hub", "scale on the spigot", "uneven torque"
ROTOR_RUNOUT, ROTOR_DIRT, WORN = "rotor's own runout", "dirt on the rotor", "worn-in thickness variation"
DIRT_LEFT = "dirt that cleaning left"  # a face that somebody cleaned is not a clean face
WARP = "warp"
HUB_SIDE, ROTOR_SIDE = "hub", "rotor"
ONE_SCREW = "screw only"  # as a readings file says it
SCREW_ONLY = "held by the screw only, a rotor does not sit: nuts with spacers, crosswise to the torque, read it so"


@dataclass(frozen=True, eq=False)
class _Mount:
    trace: Trace
    orders: Complexes
    sd_um: Floats  # of a component, its mounting in it
    counted_um: float


@one_thread
def told_apart(readings: Readings, again: Again | None = None) -> ToldApart:
    """Tell apart what these readings tell apart.

    Parameters
    ----------
    readings : Readings
        With one ``mounted`` trace or more.
    again : Again, optional
        Of a table that `sim.bench.cleaned_again.settled` went over.

    Returns
    -------
    ToldApart

    Raises
    ------
    BadInput
        Without a mounted trace, or with those of two corners.
    Refused
        For a turn without a slip that no seated rotor draws.

    Notes
    -----
    Multi-step error separation (NIST/SEMATECH e-Handbook 3.4.4; Reeve, NBSIR 79-1758); a component's variance is that
    of the least-squares order (JCGM 100) plus that of putting the rotor on. [um]
    """
    if not readings.of("mounted"):
        raise BadInput(Fault("no 'mounted' trace: there is no runout to find a cause for", key="trace"))
    corners = sorted({trace.corner for trace in readings.traces if trace.corner})
    if len(corners) > 1:
        raise BadInput(Fault(f"readings of {' and '.join(corners)}", key="corner", allowed="one corner a file"))
    in_doubt = doubted(readings)
    for trace in readings.of("mounted"):
        if name_of(trace) not in in_doubt:
            refuse_unseated(trace.value_um, f"the rotor, mount {trace.mount},")
    groups: dict[tuple[str, str], list[_Mount]] = {}
    turns = _usable(readings)
    for trace in pooled_by_mount(turns, [readings.step_um(one) for one in turns]):
        groups.setdefault((trace.state, trace.clamped_by), []).append(_mount(trace, readings.step_um(trace)))
    states = tuple(_apart(key, group, readings, _now(key, turns, readings)) for key, group in groups.items())
    face, stayed = _face(readings), _stayed(groups, readings.studs)
    bare, beyond = _bare(face, groups, readings.studs)
    taken = _taken(groups, readings.studs)
    thickness = _thickness(readings)
    parted = any(1 in one.hub for one in states)
    still = None if stayed is None else vector(*stayed)
    hub_left, rotor_left = _left(states, bare, beyond, thickness, parted, still)
    wanted, turned = _next(readings, states, parted, bare is not None, thickness is not None)
    return ToldApart(
        readings.studs, states, bare, beyond, None if taken is None else vector(taken.value, taken.sd_um), thickness,
        hub_left, rotor_left, parted, wanted, turned, still, _beyond(stayed, face),
        *(("", 0, False) if taken is None else (taken.lay_on, taken.turned, taken.hid)), again, readings.bearing,
        readings.tight, readings.unlike,
        apart_there_um(readings, lambda one: _first_order(one, readings), TOLD),
        _seats_there(readings, states[-1]), _off_since(readings),
    )  # fmt: skip


def _seats_there(readings: Readings, last: Apart) -> int:
    """How often the rotor was put on the stud where it stands: a finer dial's turn is no mounting of its own."""
    here = {mount for mount, at in zip(last.mounts, last.positions, strict=True) if at == last.positions[-1]}
    return seats(readings, [one for one in readings.of("mounted") if one.mount in here])


def _off_since(readings: Readings) -> bool:
    """Whether the bare face stands below the last mounted turn in its table; lines of another table tell nothing."""
    last = max(one.line for one in readings.of("mounted"))
    return 0 < last < max((one.line for one in readings.with_parts_of("hub face")), default=0)


def name_of(trace: Trace) -> str:
    """Name a turn as its faults carry it. By definition."""
    return f"{trace.kind}, mount {trace.mount}"


def doubted(readings: Readings) -> set[str]:
    """Name the traces that give a slip away; a bare face that stands up is none, nor a turn that counts in its place.

    Parameters
    ----------
    readings : Readings
    """
    return {fault.trace for fault in readings.faults if fault.doubts}


def _usable(readings: Readings) -> list[Trace]:
    """Mounted turns: one that slipped and stands no more cannot be read again, and is left out where others remain.

    One that was read again takes the place of the first.
    """
    mounted, in_doubt = readings.of("mounted"), doubted(readings)
    last = {(name_of(one), one.state): one for one in mounted}
    again = [name_of(one) for one in mounted]
    return [
        one
        for one in mounted
        if name_of(one) not in in_doubt
        or (last[name_of(one), one.state] is one and (one.mount == mounted[-1].mount or again.count(name_of(one)) > 1))
    ]


def _orders(trace: Trace, dial_um: float) -> tuple[Complexes, Floats]:
    """Orders 0 .. `ORDERS` with the standard deviation of a component; what these places cannot carry is unknown."""
    highest = min(ORDERS, (np.unique(trace.angle_deg).size - 1) // 2)
    noise = usual_sd(dial_um) if trace.noise_um is None else trace.noise_um
    found = fit(trace.angle_deg, trace.value_um, highest, np.ones(trace.angle_deg.size), noise)
    orders, sd = np.zeros(ORDERS + 1, dtype=complex), np.full(ORDERS + 1, np.inf)
    orders[: highest + 1] = found.orders
    alike = rounded_alike_um(trace.value_um, dial_um)
    sd[: highest + 1] = np.sqrt(found.sd_um**2 + SMOOTH_UM**2 + alike**2 + (trace.creep_um / np.pi) ** 2 / 2.0)
    return orders, sd


def _mount(trace: Trace, dial_um: float) -> _Mount:
    orders, sd = _orders(trace, dial_um)
    return _Mount(trace, orders, np.hypot(sd, SCATTER_UM), counted_um(trace, dial_um))


def orders_of(trace: Trace, dial_um: float) -> tuple[Complexes, Floats]:
    """Orders 0 .. `ORDERS` of a mounted trace, rotor frame, and the standard deviation of a component of each.

    Parameters
    ----------
    trace : Trace
    dial_um : float
        Step of the dial that read it. [um]

    Returns
    -------
    orders, sd_um : ndarray, shape (4,)
        Putting it on is in the deviation; of what these places cannot carry it is infinite.

    Notes
    -----
    Least squares (JCGM 100); scatter of a mounting: `SCATTER_UM`, judgement. [um]
    """
    one = _mount(trace, dial_um)
    return one.orders, one.sd_um


def first_orders_apart(readings: Readings, one: Trace, other: Trace) -> tuple[complex, float]:
    """First order of a turn less that of another, and the standard deviation of a component of the difference. [um].

    Parameters
    ----------
    readings : Readings
    one, other : Trace
        Two mountings.

    Notes
    -----
    `orders_of`; uncorrelated, JCGM 100:2008, 5.1.2.
    """
    (first, sd), (second, other_sd) = (_first_order(turn, readings) for turn in (one, other))
    return first - second, math.hypot(sd, other_sd)


def _first_order(one: Trace, readings: Readings) -> tuple[complex, float]:
    orders, sd = orders_of(one, readings.step_um(one))
    return complex(orders[1]), float(sd[1])


def vector(value: complex, sd_um: float, order: int = 1) -> Vector:
    """State an order with its 80 % circle. [um; standard deviation of a component]. Geometry of circle and tangent."""
    size, half = 2.0 * abs(value), 2.0 * CIRCLE * sd_um
    off = None if half >= size else float(np.degrees(np.arcsin(half / size))) / order
    return Vector(size, half, turn.high_spot_deg(value, order), off, size > 2.0 * TOLD * sd_um)


def _read_at(group: Sequence[_Mount]) -> tuple[list[int], Complexes]:
    return [one.trace.studs_turned for one in group], np.array([one.orders for one in group])


def _split(group: Sequence[_Mount], studs: int) -> tuple[Separated, Floats]:
    """Hub and rotor of one group, and the standard deviation of a component of one reading, by order."""
    sd: Floats = np.sqrt(np.mean([one.sd_um**2 for one in group], axis=0))
    return split_by_positions(*_read_at(group), studs), sd


def _now(key: tuple[str, str], turns: Sequence[Trace], readings: Readings) -> Standing:
    """The rotor as it stands in this state, held so."""
    alike = [one for one in turns if (one.state, one.clamped_by) == key]
    middle = standing(alike, [readings.step_um(one) for one in alike])
    step_um = readings.step_um(middle)
    beyond, last = beyond_um(middle, step_um), alike[-1]
    itself = [one for one in alike if (one.mount, readings.step_um(one)) == (last.mount, readings.step_um(last))]
    alone = pooled(itself, step_um)
    middle_um = turn.tir(middle.value_um) + beyond
    read_um = counts_um(middle_um, alike, [readings.step_um(one) for one in alike])
    return Standing(
        read_um, middle.turns, step_um, middle.left_out, beyond, middle.angle_deg.size,
        counts_um(counted_um(alone, step_um), itself, [step_um] * len(itself)), alone.turns, last.left_out_of,
        last.left_out_turns, read_um > middle_um,
    )  # fmt: skip


def _apart(key: tuple[str, str], group: Sequence[_Mount], readings: Readings, now: Standing) -> Apart:
    turns, orders = _read_at(group)
    studs = readings.studs
    split, sd = _split(group, studs)
    parted = [n for n in range(1, ORDERS + 1) if split.gain[n] <= MOST_GAIN and np.isfinite(sd[n])]
    last, known = group[-1], np.flatnonzero(np.isfinite(sd)).tolist()[1:]
    left = orders[:, 1] - split.rotor[1] - split.hub[1] * np.exp(2j * np.pi * np.array(turns) / studs)
    freedom = 2 * len(group) - 4
    misfit = float((np.abs(left) ** 2).sum() / sd[1] ** 2) if 1 in parted else 0.0
    return Apart(
        *key,
        tuple(one.trace.mount for one in group),
        tuple(turns),
        tuple(turn.tir(one.trace.value_um) for one in group),
        {n: vector(complex(split.hub[n]), float(sd[n] * split.gain[n]), n) for n in parted},
        {n: vector(complex(split.rotor[n]), float(sd[n] * split.gain[n]), n) for n in parted},
        {n: vector(complex(last.orders[n]), float(last.sd_um[n]), n) for n in known},
        tuple(returned(group, readings, TOLD)),
        1 in parted and freedom > 0 and misfit > float(chdtri(freedom, TAIL)),
        now,
        tuple(one.counted_um for one in group),
        alike(group, readings, TOLD),
    )  # fmt: skip


def _shares_of(group: Sequence[_Mount], studs: int) -> tuple[complex, complex, float] | None:
    """First order that stays with the hub and that goes with the rotor, each in its frame, where these part them.

    With the standard deviation of a component of either.
    """
    split, sd = _split(group, studs)
    if not split.gain[1] <= MOST_GAIN:
        return None
    return complex(split.hub[1]), complex(split.rotor[1]), float(sd[1] * split.gain[1])


def _hub_of(group: Sequence[_Mount], studs: int) -> tuple[complex, float] | None:
    """First order that stays with the hub, hub frame, with its standard deviation, where these positions part it."""
    both = _shares_of(group, studs)
    return None if both is None else (both[0], both[2])


def _face(readings: Readings) -> tuple[complex, float] | None:
    """Lean of the bare hub face at the gauge radius, with its standard deviation."""
    face, gauge, at_hub = readings.bare_face, readings.gauge_radius_mm, readings.hub_face_radius_mm
    if face is None or gauge is None or at_hub is None:
        return None
    step, lean = readings.step_um(face), lean_read(face, readings)
    scale = gauge / at_hub
    # As in `sim.bench.from_readings`: what a dial usually errs by, not all that it may.
    usual = usual_sd(step) / reading_sd(step)
    alike = rounded_alike_um(face.value_um, step)
    return scale * complex(lean.orders[1]), scale * float(np.linalg.norm([usual * lean.sd_um, SMOOTH_UM, alike]))


def _beyond(hub: tuple[complex, float] | None, face: tuple[complex, float] | None) -> Vector | None:
    """What stays with the hub and is not its bare face."""
    return None if hub is None or face is None else vector(hub[0] - face[0], float(np.hypot(hub[1], face[1])))


def _bare(
    face: tuple[complex, float] | None, groups: dict[tuple[str, str], list[_Mount]], studs: int
) -> tuple[Vector | None, Vector | None]:
    """Lean of the bare hub face at the gauge radius, and what else stays with the hub."""
    # As it is now: what cleaning took is not beyond the face any more.
    hub = next((one for group in reversed(groups.values()) if (one := _hub_of(group, studs)) is not None), None)
    return None if face is None else vector(*face), _beyond(hub, face)


def _stayed(groups: dict[tuple[str, str], list[_Mount]], studs: int) -> tuple[complex, float] | None:
    """First order that stays with the hub on clean faces, hub frame; from one clean stud the least that may stay.

    What cleaning took lay on the hub or on the rotor: what stayed as found less that, or all of it. Where it had hidden
    what stays now, it may all be the hub's.
    """
    clean, dirty = (
        [one for (state, _), group in reversed(groups.items()) if (state in CLEAN_STATES) == wanted
         for one in [_hub_of(group, studs)] if one is not None]
        for wanted in (True, False)
    )  # fmt: skip
    if clean:
        return clean[0]
    taken = _taken(groups, studs)
    if taken is None or not dirty:
        return None
    if taken.lay_on == ROTOR_SIDE:
        return dirty[0]
    less = dirty[0][0] - taken.value, float(np.hypot(dirty[0][1], taken.sd_um))
    return less if taken.hid else min(less, dirty[0], key=lambda one: abs(one[0]) / one[1])


@dataclass(frozen=True)
class _Taken:
    """What went with cleaning: first order, where it lay (empty: either part), and whether it had hidden something."""

    value: complex
    sd_um: float
    lay_on: str
    turned: int
    hid: bool = False


def _taken(groups: dict[tuple[str, str], list[_Mount]], studs: int) -> _Taken | None:
    """First order that went with cleaning: of the shares, else of mountings at one stud position.

    In the hub's frame, in the rotor's where it lay there.
    """
    before = [one for (state, _), group in groups.items() if state not in CLEAN_STATES for one in group]
    after = [one for (state, _), group in groups.items() if state in CLEAN_STATES for one in group]
    if not before or not after:
        return None
    shares = _shares_of(before, studs), _shares_of(after, studs)
    if shares[0] is not None and shares[1] is not None:
        sd = float(np.hypot(shares[0][2], shares[1][2]))
        hub, rotor = shares[0][0] - shares[1][0], shares[0][1] - shares[1][1]
        if abs(rotor) > max(abs(hub), TOLD * sd):
            return _Taken(rotor, sd, ROTOR_SIDE, 0)
        return _Taken(hub, sd, HUB_SIDE, 0)
    for one in reversed(before):
        for other in after:
            if one.trace.studs_turned == other.trace.studs_turned:
                turned, sd = one.trace.studs_turned, float(np.hypot(one.sd_um[1], other.sd_um[1]))
                return _lay(complex(one.orders[1] - other.orders[1]), sd, turned, shares[0], studs)
    return None


def _lay(gone: complex, sd_um: float, turned: int, before: tuple[complex, complex, float] | None, studs: int) -> _Taken:
    """Where it lay, told by which share held it before: taken off, that one alone shrinks. `gone` in the rotor's frame.

    Where neither shrinks it had cancelled what is left. A rule, no proof: least runout that explains both readings.
    """
    on_hub = complex(gone * np.exp(-2j * np.pi * turned / studs))
    if before is None or abs(gone) <= TOLD * sd_um:
        return _Taken(on_hub, sd_um, "", turned)
    shrinks = tuple(abs(share - took) < abs(share) for share, took in zip(before[:2], (on_hub, gone), strict=True))
    if shrinks == (False, True):
        return _Taken(gone, sd_um, ROTOR_SIDE, turned)
    return _Taken(on_hub, sd_um, HUB_SIDE if shrinks == (True, False) else "", turned, not any(shrinks))


def _thickness(readings: Readings) -> Vector | None:
    last = readings.thickness
    if last is None:
        return None
    orders, sd = _orders(last, readings.step_um(last))
    return vector(complex(orders[1]), float(sd[1]))


def _left(
    states: Sequence[Apart],
    bare: Vector | None,
    beyond: Vector | None,
    thickness: Vector | None,
    parted: bool,
    stayed: Vector | None,
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Causes that nothing in the readings has ruled out, of what stays with the hub and with the rotor.

    They are of the last state that parts the shares; cleaning may have left some of the dirt. A share that is not told
    has none.
    """
    last = next((one for one in reversed(states) if 1 in one.hub), states[-1])
    clean = states[-1].state in CLEAN_STATES
    explained = beyond is not None and not beyond.told  # a face that is hardly known too
    hub = [HUB_FACE] if bare is None or bare.told or explained or not parted else []
    if not explained:
        hub += [DIRT_LEFT] if clean else [HUB_DIRT, SPIGOT]
    if last.state != "retorqued" and not explained:
        hub.append(TORQUE)
    rotor = [ROTOR_RUNOUT] + [DIRT_LEFT if clean else ROTOR_DIRT]
    if thickness is None or thickness.told:
        rotor.append(WORN)
    if parted:
        hub_told = last.hub[1].told if stayed is None else stayed.told
        return tuple(hub) if hub_told else (), tuple(rotor) if last.rotor[1].told else ()
    both = tuple(dict.fromkeys((*hub, *rotor)))
    return both, both


def best_second_position(studs: int) -> int:
    """Stud pitches to turn on that part hub and rotor in the first two orders: 1 of four, else 2, 3 of eight.

    Half a turn parts the first order best and cannot see warp: exp(2 i pi) is one. Least squares
    of two phasors that turn against each other; no unit.
    """

    def gain(order: int, by: int) -> float:
        return 1.0 / (np.sqrt(2.0) * max(abs(np.sin(order * np.pi * by / studs)), 1e-9))

    ways = range(1, studs // 2 + 1)
    return min(ways, key=lambda by: (round(max(gain(1, by), gain(2, by)), 6), gain(1, by)))


def still_stand(states: Sequence[Apart]) -> Sequence[Apart]:
    """States that can still be read again: once it was cleaned, the clean ones alone. By definition.

    Parameters
    ----------
    states : sequence of Apart
        In the sequence of the file.
    """
    clean = [one for one in states if one.state in CLEAN_STATES]
    return clean if states[-1].state in CLEAN_STATES else states


def _next(readings: Readings, states: Sequence[Apart], parted: bool, bare: bool, thickness: bool) -> tuple[str, int]:
    """What to measure next, by rule: the cheapest that parts what is not parted."""
    loose = any(one.clamped_by == ONE_SCREW for one in states)
    if loose or open_readings(readings) or any(one.at_odds for one in still_stand(states)):
        return "read again", 0
    if not parted:
        return "another stud", (states[-1].positions[-1] + best_second_position(readings.studs)) % readings.studs
    if states[-1].state not in CLEAN_STATES:
        return "clean", 0
    if not bare:
        return "bare hub", 0
    return ("", 0) if thickness else ("thickness", 0)
