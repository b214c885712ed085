"""From two readings files to a stud position: what the bare hub and the mounted rotor say together, with the doubt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim import turn as ring
from sim.arrays import Floats
from sim.bench.after_indexing import COVERAGE as BAND_SHARE
from sim.bench.after_indexing import SMOOTH_UM, TIE, AfterMoving, AsRead, Dialled, after_moving, after_seating, usual_sd
from sim.bench.bare_face import Lean, face_runout_um, face_sd_um, lean_read
from sim.bench.between_places import HUMPS, beyond_um
from sim.bench.cleaned_again import settled
from sim.bench.cures import Worth, doubt_of_move_um, weigh_gain
from sim.bench.open_readings import open_readings, remarks
from sim.bench.pooled_turns import standing
from sim.bench.stud_position import IndexResult, Split, index_positions, orders_of, split_mounted
from sim.corner.seated import Seated
from sim.errors import BadInput, Fault
from sim.files.clean_turn import fit, reading_sd
from sim.files.dial_readings import COUNTER, Readings, Trace
from sim.files.reading_faults import ReadingFault
from sim.files.readings_head import NO_PLAY, UNDER_LOAD, WITH_PLAY
from sim.files.readings_rows import CLEAN_STATES
from sim.files.seated_home import refuse_unseated
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.dial import COVERAGE, Dial
from sim.seating.seat import Seat

# Readings a turn that are assumed where a case, not a table of readings, is asked about: as many as the job card holds.
ASSUMED_READINGS = 12
#: Stud positions that may as well be the best and should read within one division of the usual dial of it. [um]
ALIKE_UM = 10.0
# Highest order fitted to a mounted trace of few points.
ORDERS = 3
# Higher orders of this share of the runout, one of them of this many standard deviations, are material. Judgement.
MATERIAL_SHARE, MATERIAL_SDS = 0.3, 3.0
LEAST_MATERIAL_UM = 2.0  # [um TIR], and no less than this: no dial of hundredths shows it. Judgement, 1 .. 5.
#: What two tables say of one bearing: what counts first.
FELT = (WITH_PLAY, UNDER_LOAD, NO_PLAY)


@dataclass(frozen=True)
class Higher:
    """What of a mounted trace is above the first order, and therefore in no share of hub or rotor.

    Parameters
    ----------
    runout_um : float
        Of the orders 2 and up alone. [um TIR]
    counts : bool
        Whether it is material: a warped rotor, or something between the faces.
    """

    runout_um: float
    counts: bool


def higher_orders(orders: NDArray[np.complex128], read_um: float, sd_um: Floats | float = 0.0) -> Higher:
    """Weigh what of a mounted trace is above the first order.

    Parameters
    ----------
    orders : ndarray of complex, shape (h + 1,)
        Of the mounted trace. [um]
    read_um : float
        Its runout. [um TIR]
    sd_um : ndarray or float
        Standard deviation of a component of each order. [um]

    Notes
    -----
    By definition of the orders; what is material is judgement.
    """
    rest = np.array(orders, dtype=complex)
    rest[:2] = 0.0
    told = np.abs(rest) > MATERIAL_SDS * np.broadcast_to(np.asarray(sd_um, dtype=float), rest.shape)
    told[:2] = False
    runout = ring.tir(ring.trace(rest)) if rest.size > 2 else 0.0
    return Higher(runout, bool(told.any() and runout > max(MATERIAL_SHARE * read_um, LEAST_MATERIAL_UM)))


@dataclass(frozen=True)
class BenchIndex:
    """Best stud position from readings.

    Parameters
    ----------
    result : IndexResult
        All positions; runouts are those predicted from the fitted orders. [um TIR]
    now : int
        Stud position at which the rotor was read.
    read_um : float
        Highest less lowest reading there, as the dial showed it. [um TIR]
    split : Split
        Hub and rotor apart.
    lean : Lean
        Bare hub.
    worth : Worth
        Whether moving it can be told from not moving it.
    doubt_um : float
        Doubt (k = 2) of one TIR read with this dial. [um]
    notes : tuple of str
        What the readings themselves gave to say, such as a dial that had moved.
    faults : tuple of ReadingFault
        What to read again before anything is moved; dirt on the hub face is not among them.
    after : AfterMoving or None
        What the dial should show at each position.
    hub_face_um, hub_face_doubt_um : float
        Runout of the bare face by its lean where it was read, and its uncertainty (k = 2). [um TIR]
    hub_shown_um : float
        Highest less lowest reading of the bare face, no place left out. [um TIR]
    hub_sd_um, mounted_sd_um : float
        Standard deviation of a component of the hub's share at the gauge, and of the mounted first order; drift in
        them. [um]
    second : complex
        Second order of the mounted trace, rotor frame. [um]
    second_sd_um : float
    higher : Higher
        What of the mounted trace is in no share of first order.
    cleaned : bool
        Whether the rotor was read cleaned.
    turned : str
        Which way the rotor's table counted.
    clamped_by : str
        What held it when it was read; empty where the table does not say.
    turns : int
        Of which the reading is the middle.
    """

    result: IndexResult
    now: int
    read_um: float
    split: Split
    lean: Lean
    worth: Worth
    doubt_um: float
    notes: tuple[str, ...] = ()
    faults: tuple[ReadingFault, ...] = ()
    after: AfterMoving | None = None
    hub_face_um: float = 0.0
    hub_face_doubt_um: float = 0.0
    hub_sd_um: float = 0.0
    mounted_sd_um: float = 0.0
    second: complex = 0j
    second_sd_um: float = 0.0
    higher: Higher = field(default_factory=lambda: Higher(0.0, False))
    cleaned: bool = False
    turned: str = COUNTER
    clamped_by: str = ""
    turns: int = 1
    hub_shown_um: float = 0.0


@one_thread
def index_readings(
    hub: Readings, rotor: Readings, allowed: Sequence[int] | None = None, ordered: int | None = None
) -> BenchIndex:
    """Find the best stud position from a bare hub trace and one mounted trace.

    Parameters
    ----------
    hub : Readings
        With one ``hub face`` trace (the last counts).
    rotor : Readings
        With a ``mounted`` trace: the rotor as it stands counts, the middle of its turns, as `sim.bench.cleaned_again`
        and `sim.bench.pooled_turns` take it; may be the same file.
    allowed : sequence of int, optional
        Stud positions that may be used.
    ordered : int, optional
        Stud position that is ordered by more than these two traces; the one where the dial should show least otherwise.

    Returns
    -------
    BenchIndex

    Raises
    ------
    BadInput
        If a trace is missing or the two files are of different wheels.

    Notes
    -----
    Readings in um, angles in deg. Hub and rotor as vectors (`sim.bench.stud_position.split_mounted`), bands as in
    `after_moving`.
    """
    rotor = settled(rotor)[0]
    bare, on = _last(hub, "hub face", "hub"), _last(rotor, "mounted", "rotor")
    if hub.studs != rotor.studs:
        raise BadInput(Fault(f"{hub.studs} studs on the hub, {rotor.studs} on the rotor", key="studs"))
    if bare.corner and on.corner and bare.corner != on.corner:
        raise BadInput(Fault(f"the hub was read at {bare.corner!r}, the rotor at {on.corner!r}", key="corner"))
    beyond = beyond_um(on, rotor.step_um(on))
    swing = ring.tir(on.value_um) + beyond
    refuse_unseated(on.value_um)
    gauge, at_hub = rotor.gauge_radius_mm, hub.hub_face_radius_mm
    if gauge is None or at_hub is None:
        raise BadInput(Fault("where the dial stood is missing", key="gauge_radius_mm, hub_face_radius_mm"))
    points, step_um = on.angle_deg.size, rotor.step_um(on)
    highest = min(ORDERS, (np.unique(on.angle_deg).size - 1) // 2)
    # The printed uncertainties allow for all that a dial may err by; what it usually does is less.
    usual = usual_sd(step_um) / reading_sd(step_um)
    noise = reading_sd(step_um) if on.noise_um is None else on.noise_um / usual
    read = fit(on.angle_deg, on.value_um, highest, np.ones(points), noise)
    lean = lean_read(bare, hub)
    full = ring.fit(bare.angle_deg, bare.value_um, min(ORDERS, (np.unique(bare.angle_deg).size - 1) // 2))
    full[:2] = lean.orders
    count = rotor.studs
    # A dial that creeps by d in a turn adds d/pi to one component of the first order.
    sd = np.hypot(read.sd_um, on.creep_um / (np.pi * np.sqrt(2.0)))
    hub_sd = face_sd_um(lean, bare.creep_um)
    split = split_mounted(read.orders, full, (gauge, at_hub), 360.0 * on.studs_turned / count, (float(sd[1]), hub_sd))
    result = index_positions(split.hub, split.rotor, count, allowed)
    now = index_positions(split.hub, split.rotor, count, (on.studs_turned,)).positions[0]
    scaled = hub_sd * gauge / at_hub
    places = np.unique(on.angle_deg)
    believed, hub_believed = np.hypot(usual * sd, SMOOTH_UM), float(np.hypot(usual * hub_sd, SMOOTH_UM))
    told = AsRead(
        read.orders, believed, complex(split.hub[1]), hub_believed * gauge / at_hub, on.studs_turned, count, places,
        step_um,
    )  # fmt: skip
    places_to_be = [one.studs_turned for one in (*result.positions, now)]
    after = after_moving(told, places_to_be, result.best)
    best = _least_shown(result, after, on.studs_turned, swing) if ordered is None else ordered
    if best != result.best:
        result, after = replace(result, best=best), after_moving(told, places_to_be, best)
    doubt = COVERAGE * after.gain_sd_um[best]
    worth = weigh_gain(swing, after.bands[best].middle_um, best != on.studs_turned, doubt)
    both = together(hub, rotor)
    faults = tuple(one for one in open_readings(both) if one.trace.startswith(("hub face", "mounted")))
    humps = (HUMPS.format(read=swing - beyond, places=points, by=beyond),) if beyond else ()
    said = tuple(dict.fromkeys((*hub.notes, *remarks(both), *humps)))
    return BenchIndex(
        result, on.studs_turned, swing, split, lean, worth, Dial(step_um, on.turns).doubt_um, said,
        faults, after,
        *face_runout_um(lean, bare.creep_um), scaled, float(sd[1]),
        complex(read.orders[2]), float(sd[2]), higher_orders(read.orders, swing, sd), on.state in CLEAN_STATES,
        rotor.turned, on.clamped_by, on.turns, ring.tir(bare.value_um),
    )  # fmt: skip


def together(hub: Readings, rotor: Readings) -> Readings:
    """Put two tables of one corner into one: all of the rotor's but a bare hub face of its own, and that of the hub's.

    Parameters
    ----------
    hub, rotor : Readings
        As `index_readings` takes them; where one says that the bearing has play it has. [um, deg]
    """
    faces = tuple(replace(one, dial_um=hub.step_um(one), line=0) for one in hub.with_parts_of("hub face"))
    return replace(
        rotor,
        hub_face_radius_mm=hub.hub_face_radius_mm,
        traces=(*(one for one in rotor.traces if one.kind != "hub face"), *faces),
        faults=(*(one for one in rotor.faults if not one.trace.startswith("hub face")), *_of(hub, "hub face")),
        notes=tuple(dict.fromkeys((*hub.notes, *rotor.notes))),
        bearing=next((one for one in FELT if one in (hub.bearing, rotor.bearing)), ""),
    )


def _least_shown(result: IndexResult, after: AfterMoving, now: int, read_um: float) -> int:
    """Stud position at which the dial should show least; where it sits now, what it shows."""
    shown = {one.studs_turned: after.bands[one.studs_turned].middle_um for one in result.positions}
    if now in shown:
        shown[now] = read_um
    return min(shown, key=lambda turned: (shown[turned], turned))


def _of(found: Readings, kind: str) -> tuple[ReadingFault, ...]:
    """Faults of the traces of one kind."""
    return tuple(fault for fault in found.faults if fault.trace.startswith(kind))


def _last(readings: Readings, kind: str, of: str) -> Trace:
    found = readings.of(kind)
    if not found:
        there = ", ".join(dict.fromkeys(trace.kind for trace in readings.traces))
        swapped = "; were the two files swapped?" if {"mounted", "hub face"} & {t.kind for t in readings.traces} else ""
        reason = f"no {kind!r} trace among the readings of the {of}, only: {there}{swapped}"
        raise BadInput(Fault(reason, key="trace", allowed=f"at least one turn of `{kind}`"))
    if kind == "hub face" and readings.bare_face is not None:
        return readings.bare_face
    last = found[-1]
    middle = standing(found, [readings.step_um(one) for one in found])
    again = [t for t in found if (t.mount, t.studs_turned, t.state) == (last.mount, last.studs_turned, last.state)]
    if middle.turns > 1 or len(again) == 1:
        return middle
    # Read twice, at other places: both turns count, each about its own mean.
    angle = np.concatenate([t.angle_deg for t in again])
    value = np.concatenate([t.value_um - t.value_um.mean() for t in again])
    return replace(last, angle_deg=angle, value_um=value)


def index_answer(result: IndexResult) -> dict[str, Any]:
    """Collect what ``index --json`` answers about the stud positions."""
    return {
        "seating": "as read",
        "positions": [
            {"studs_turned": one.studs_turned, "runout_um": one.runout_um, "first_order_um": one.first_order_um}
            for one in result.positions
        ],
        "best": result.best,
        "best_by_first_order": result.best_by_first_order,
        "floor_um": result.floor_um,
        "continuous": {"angle_deg": result.continuous_deg, "runout_um": result.continuous_um},
        "hub_um": result.hub_um,
        "rotor_um": result.rotor_um,
    }


def shares(hub: complex, rotor: complex, sd_um: tuple[float, float], turned_deg: float) -> dict[str, Any]:
    """Collect the vectors of hub and rotor: TIR, angle, and the uncertainty (k = 2) of both.

    Parameters
    ----------
    hub, rotor : complex
        First orders at the gauge radius, each in its own frame. [um]
    sd_um : tuple of float
        Standard deviation of a component of each. [um]
    turned_deg : float
        How far the rotor is turned on the hub now. [deg]
    """
    found = {}
    for name, vector, sd, on_hub in (("hub", hub, sd_um[0], 0.0), ("rotor", rotor, sd_um[1], turned_deg)):
        half = 2.0 * COVERAGE * sd
        size = 2.0 * abs(vector)
        angle = ring.high_spot_deg(vector)
        # Less than its uncertainty has no angle.
        off = None if half >= size else float(np.degrees(np.arcsin(half / size)))
        found[name] = {
            "runout_um": size,
            "uncertainty_um": half,
            "high_spot_deg": angle,
            "high_spot_uncertainty_deg": off,
            "frame": name,
            "high_spot_on_hub_deg": (angle + on_hub) % 360.0,
        }
    return found


def bands_answer(after: AfterMoving, result: IndexResult, now: int, worth: Worth) -> dict[str, Any]:
    """Collect what the dial should show at each position, which may be as good as the best, and whether to move at all.

    ``either`` are those that readings do not tell from the best, ``alike`` those of them that should read like it.
    """
    bands = after.bands
    ties = [one.studs_turned for one in result.positions if after.better[one.studs_turned] > TIE]
    best = bands[result.best]
    return {
        "bands": [
            {"studs_turned": turned, "low_um": band.low_um, "middle_um": band.middle_um, "high_um": band.high_um}
            for turned, band in sorted(bands.items())
        ],
        "should_then_read_um": {
            "studs_turned": result.best,
            "expected": best.middle_um,
            "low": best.low_um,
            "high": best.high_um,
            "coverage": BAND_SHARE,
            "confirms_up_to": after.confirms_up_to_um(now, result.best),
        },
        "either": sorted({result.best, *ties}),
        "alike": sorted(
            turned for turned in {result.best, *ties} if bands[turned].middle_um - best.middle_um <= ALIKE_UM
        ),
        "move": worth.verdict == "worth it" and result.best != now,
    }


def case_answer(case: Case, found: IndexResult, seats: Sequence[Seat]) -> tuple[dict[str, Any], AfterMoving, Worth]:
    """Collect what ``index --json`` answers from a case, with what the dial should show and whether a move is worth it.

    Parameters
    ----------
    case : Case
    found : IndexResult
        Of `index_case`.
    seats : sequence of Seat
        At each position, in its order.

    Notes
    -----
    Figures in um, named with their unit; sources stand with `index_case`, `after_seating` and `doubt_of_move_um`.
    """
    now = case.studs.studs_turned
    face = case.gauge.face
    traces = [one.outboard_um if face == "outboard" else one.inboard_um for one in seats]
    orders = {one.studs_turned: orders_of(trace) for one, trace in zip(found.positions, traces, strict=True)}
    here = next((one for one in found.positions if one.studs_turned == now), found.positions[0])
    places = np.arange(ASSUMED_READINGS) * 360.0 / ASSUMED_READINGS
    after = after_seating(orders, here.studs_turned, found.best, Dialled(places, Dial().step_um))
    scale = case.gauge_radius_mm / case.hub.read_radius_mm
    counts = (ASSUMED_READINGS, ASSUMED_READINGS)
    best = found.at(found.best)
    doubt = doubt_of_move_um(here, best, found.count, Dial().step_um, counts, scale)
    then = after.bands[best.studs_turned].middle_um
    worth = weigh_gain(here.runout_um, then, best.studs_turned != here.studs_turned, doubt)
    # The model's own vectors carry no reading error; what stands behind the model is said elsewhere.
    vectors = shares(*found.vectors, (0.0, 0.0), case.studs.turned_deg)
    answer = index_answer(found) | {"studs_turned": now, "gauge_face": face, "shares": vectors}
    answer |= {"higher_orders": _higher_answer(higher_orders(orders[here.studs_turned], here.runout_um))}
    answer |= {"now_um": here.runout_um, "floor_uncertainty_um": floor_doubt_um(vectors)}
    seat = seats[found.positions.index(here)]
    if isinstance(seat, Seated) and seat.spigot is not None:
        answer["spigot"] = dict(seat.spigot)
    return answer | bands_answer(after, found, here.studs_turned, worth), after, worth


def _higher_answer(found: Higher) -> dict[str, Any]:
    return {"runout_um": found.runout_um, "material": found.counts}


def floor_doubt_um(vectors: dict[str, Any]) -> float:
    """Uncertainty (k = 2) of what no stud position can beat, the difference of the two `shares`. [um TIR]."""
    return float(np.hypot(vectors["hub"]["uncertainty_um"], vectors["rotor"]["uncertainty_um"]))


def bench_shares(bench: BenchIndex) -> dict[str, Any]:
    """Vectors of hub and rotor from readings.

    [um TIR]. Sizes of vectors, twice their standard deviations (k = 2, JCGM 100).
    """
    turned = 360.0 * bench.now / bench.result.count
    hub, rotor = complex(bench.split.hub[1]), complex(bench.split.rotor[1])
    return shares(hub, rotor, (bench.hub_sd_um, bench.split.rotor_sd_um), turned)


def bench_answer(bench: BenchIndex) -> dict[str, Any]:
    """Collect what ``index --json`` answers from readings."""
    hub, rotor = complex(bench.split.hub[1]), complex(bench.split.rotor[1])
    return index_answer(bench.result) | {
        "studs_turned": bench.now,
        "read_um": bench.read_um,
        "now_um": bench.read_um,
        "reading_doubt_um": bench.doubt_um,
        "worth_moving": {
            "gain_um": bench.worth.gain_um,
            "doubt_um": bench.worth.doubt_um,
            "verdict": bench.worth.verdict,
        },
        "separated": {
            "hub": {"amplitude_um": abs(hub), "high_spot_deg": ring.high_spot_deg(hub), "frame": "hub"},
            "rotor": {"amplitude_um": abs(rotor), "high_spot_deg": ring.high_spot_deg(rotor), "frame": "rotor"},
            "rotor_sd_um": bench.split.rotor_sd_um,
        },
        "bumps_on_hub": [{"angle_deg": angle, "frame": "hub"} for angle in bench.lean.bumps_deg],
        "lips_at_bolt_holes": bench.lean.lips,
        "hub_face": {
            "runout_um": bench.hub_face_um,
            "uncertainty_um": bench.hub_face_doubt_um,
            "shown_um": bench.hub_shown_um,
        },
        "shares": bench_shares(bench),
        "floor_uncertainty_um": floor_doubt_um(bench_shares(bench)),
        "higher_orders": _higher_answer(bench.higher),
        "reading_faults": [
            {"fault": one.fault, "trace": one.trace, "angle_deg": list(one.angle_deg), "text": one.text}
            for one in bench.faults
        ],
        **({} if bench.after is None else bands_answer(bench.after, bench.result, bench.now, bench.worth)),
        # Nothing is moved on readings that do not fit together.
        **({"move": False} if bench.faults else {}),
        "notes": [*bench.notes, *bench.split.notes],
    }
