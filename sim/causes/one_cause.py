"""A corner with one cause in it and no other fault: what a case file says of it, sized so that it runs out as read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
from scipy.optimize import brentq

from sim import turn
from sim.causes import names
from sim.causes.answer import Finding, Ranked
from sim.causes.signatures import PRESET, stripped
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris
from sim.seating.seat import seat
from sim.seating.studs import preloads_n
from sim.units import shortest_deg

# A patch as scale grows at the edge of a hub face: how long and how wide; its height is solved for. Judgement.
ARC_DEG, WIDE_MM = 20.0, 8.0
HEIGHT_UM = (2.0, 600.0)
LOST = (0.02, 1.0)  # share of its pull that a stud may have lost
DIGITS = 2  # um, mm, deg, N m
LEAST_UM = 1.0  # that a case file holds: less reads as if it were typed in millimetres
ONE_WAVE = 0.5  # of how far a thickness varies, that its one wave a turn has to draw. Judgement
PLACED = 2  # times that a patch is put aside so that its high spot stands where it was read
NEAR = 0.01  # of the wanted runout, to which a size is solved

Tables = dict[str, Any]


def leading(found: Finding) -> Ranked:
    """The cause that was found, or the most probable one."""
    wanted = found.finding or found.ranked[0].cause
    return next(one for one in found.ranked if one.cause == wanted)


def clean_tables(case: Case) -> Tables:
    """Keys of a case file that leave every fault out, as the signatures of the causes do."""
    studs: Tables = {"clamped_by": "nuts and spacers"} if case.studs.clamped_by == "screw only" else {}
    for key in ("torque_nm", "preload_n"):
        pulled = getattr(case.studs, key)
        if isinstance(pulled, tuple):
            studs[key] = float(np.mean(np.array(pulled)))
    return {
        "rotor": {
            "own_runout_um": 0.0,
            "own_thickness_variation_um": 0.0,
            "flange_dish_um": 0.0,
            "flange_saddle_um": 0.0,
        },
        "hub": {"face_runout_um": 0.0, "face_dish_um": 0.0, "face_saddle_um": 0.0},
        "studs": studs,
        "debris": [],
        "spigot_scale": [],
    }


@one_thread
def tables_of(found: Finding, case: Case) -> Tables:
    """Keys of a case file for the leading cause alone, on the geometry of a case.

    Parameters
    ----------
    found : Finding
    case : Case

    Returns
    -------
    dict
        Tables of a case file: every other fault is set to none.

    Raises
    ------
    Refused
        Where no cause fits, no key of a case file holds the leading one, or nothing sizes it.

    Notes
    -----
    The size is solved for on the elastic corner so that the rotor runs out by the middle of the cause's own share if it
    is there, its high spot where the share has it. A dial does not tell how wide dirt lies: its outline is a judgement.
    [um, deg]
    """
    if found.none_fits:
        raise Refused("no cause in the list explains these readings: nothing is written")
    one = leading(found)
    at = one.high_spot_deg or 0.0
    tables = clean_tables(case)
    runout = (one.if_there_um or one.runout_um)[1]
    lever = case.gauge_radius_mm
    if one.cause == names.HUB_FACE:
        tables["hub"] |= {"face_runout_um": runout * case.hub.read_radius_mm / lever, "face_high_spot_deg": at}
    elif one.cause == names.ROTOR:
        radius = case.rotor.own_runout_radius_mm or lever
        tables["rotor"] |= {"own_runout_um": runout * radius / lever, "own_high_spot_deg": at}
    elif one.cause in (names.HUB_DIRT, names.ROTOR_DIRT):
        tables["debris"] = [_dirt(stripped(case), "hub" if one.cause == names.HUB_DIRT else "rotor", at, runout)]
    elif one.cause == names.TORQUE:
        tables["studs"] |= _torque(case, at, runout)
    elif one.cause in names.OF_THICKNESS:
        tables["rotor"] |= _thickness(found, one.cause)
    else:
        raise Refused(f"{one.cause}: no key of a case file holds it in the size that a dial shows; nothing is written")
    tables["title"] = f"{one.cause} alone, sized from readings"
    tables["studs"]["studs_turned"] = next(
        (state.positions[-1] for state in reversed(found.told.states) if state.state == "as found"), 0
    )
    return _rounded(tables)


def _rounded(value: Any, least: float = 0.0) -> Any:
    """Figures as one would type them: more digits than a reading holds say nothing."""
    if isinstance(value, dict):
        return {key: _rounded(one, LEAST_UM if key.endswith("_um") else 0.0) for key, one in value.items()}
    if isinstance(value, list):
        return [_rounded(one, least) for one in value]
    if not isinstance(value, float):
        return value
    return least if 0.0 < value < least else round(value, DIGITS)


def _orders_um(corner: Case) -> tuple[float, float]:
    """TIR of orders 1 .. 3, and the high spot of the first. [um, deg]."""
    orders = turn.harmonics(seat(corner, PRESET).outboard_um, 3)
    trace = turn.evaluate(np.concatenate([[0.0], orders[1:]]), np.radians(np.arange(360.0)))
    return turn.tir(trace), turn.high_spot_deg(complex(orders[1]), 1)


def _sized(runout_of: Callable[[float], float], wanted_um: float, ends: tuple[float, float], what: str) -> float:
    """Solve for the size that runs out by so much; whichever end is nearer where none does."""
    low, high = (runout_of(end) - wanted_um for end in ends)
    if low >= 0.0:
        return ends[0]
    if high <= 0.0:
        raise Refused(f"{what}: even at its largest it runs out by less than {wanted_um:.0f} µm; nothing is written")
    return float(brentq(lambda size: runout_of(size) - wanted_um, *ends, xtol=NEAR * ends[1], rtol=NEAR))


def _dirt(bare: Case, on: str, at_deg: float, wanted_um: float) -> Tables:
    """One patch at the edge of the face, sized and placed so that the high spot stands where it was read."""
    inner, outer = bare.contact_zone_mm
    patch = Debris(on=on, angle_deg=at_deg, arc_deg=ARC_DEG, inner_radius_mm=max(inner, outer - WIDE_MM),
                   outer_radius_mm=outer, height_um=50.0)  # fmt: skip

    def runs(height: float) -> tuple[float, float]:
        return _orders_um(replace(bare, debris=(replace(patch, height_um=height),)))

    for placed in range(PLACED + 1):
        height = _sized(lambda size: runs(size)[0], wanted_um, HEIGHT_UM, f"dirt on the {on}")
        if placed < PLACED:  # the lean turns aside towards the studs: put the patch as much to the other side
            off = shortest_deg(runs(height)[1] - at_deg)
            patch = replace(patch, angle_deg=(patch.angle_deg - off) % 360.0)
    return {
        "on": on,
        "angle_deg": patch.angle_deg,
        "arc_deg": ARC_DEG,
        "inner_radius_mm": patch.inner_radius_mm,
        "outer_radius_mm": outer,
        "height_um": height,
    }


def _torque(case: Case, at_deg: float, wanted_um: float) -> Tables:
    """One stud that lost so much of its pull that the rotor runs out as read, the one whose high spot lies nearest."""
    bare = stripped(case)
    pull = preloads_n(bare.studs)
    pitch = 360.0 / case.studs.count

    def corner(lost: float) -> Case:
        return replace(bare, studs=replace(bare.studs, preload_n=(pull[0] * (1.0 - lost), *pull[1:])))

    lost = _sized(lambda share: _orders_um(corner(share))[0], wanted_um, LOST, names.TORQUE)
    stud = round((at_deg - _orders_um(corner(lost))[1]) / pitch) % case.studs.count
    shares = np.ones(case.studs.count)
    shares[stud] = 1.0 - lost
    torque = case.studs.torque_nm
    if torque is None:
        return {"preload_n": [float(value) for value in np.mean(pull) * shares]}
    return {"torque_nm": [float(value) for value in np.mean(np.array(torque)) * shares]}


def _thickness(found: Finding, cause: str) -> Tables:
    """Thickness variation as it was read: by micrometer only."""
    thick = found.told.thickness
    if thick is None:
        raise Refused(f"{cause}: the thickness was not read, so nothing says how much it varies; nothing is written")
    if found.varies is not None and thick.runout_um < ONE_WAVE * found.varies.value_um:
        how = f"the thickness varies by {found.varies.value_um:.0f} µm, and not once a turn"
        raise Refused(f"{cause}: {how}: no key of a case file holds that; nothing is written")
    return {"own_thickness_variation_um": thick.runout_um, "own_thick_spot_deg": thick.high_spot_deg}
