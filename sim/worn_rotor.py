"""A worn rotor from its readings: what it tells of its fitting, a road that starts from it, what a clean hub leaves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from sim import turn
from sim.arrays import Floats
from sim.bench.bare_face import HubFace
from sim.bench.between_places import counted_um
from sim.bench.faces_part import faces_part
from sim.bench.fitted_runout import (
    AS_DRIVEN_AND_READ,
    CANNOT_TELL,
    CLEAN_AND_READ,
    FEWEST,
    TIGHTEN_AND_READ,
    UNEVEN,
    WITHIN,
    Memory,
    WornDisc,
    remember,
)
from sim.bench.judged_thickness import judged_thickness
from sim.bench.known_parts import from_readings
from sim.bench.mostly_over import held_back
from sim.bench.mountings import ONE_SCREW, SCREW_ONLY
from sim.bench.next_act import bare_hub
from sim.bench.questions import NOT_BOUGHT, READ_CLEAN, Remains
from sim.bench.questions import after_cleaning as cleaned_outlook
from sim.bench.two_faces import parted_um
from sim.bench.under_drag import nothing_told
from sim.bench.worn_library import KM_GIVE_OR_TAKE, shelf
from sim.chain import Run, pad_trace_um, versions
from sim.corner.driven import Driven
from sim.corner.road_state import as_driven, road_torque_nm
from sim.errors import BadInput, Fault
from sim.files import dial_readings
from sim.files.clean_turn import NOISE_UM
from sim.files.dial_readings import Readings, Trace
from sim.files.readings_head import WITH_PLAY
from sim.files.readings_rows import AS_FOUND, CLEAN_STATES
from sim.files.seated_home import refuse_unseated
from sim.files.slip_odds import SLIPS
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.dial import ABOVE, Dial
from sim.parts.discard import discard_words, is_slim, is_stated, refuse_thin, scrap_reason
from sim.parts.rotor_goes import given_mm
from sim.parts.stuck_caliper import stuck
from sim.parts.thickness import Uneven, refuse_thicker
from sim.progress import Progress
from sim.seating.seat import seat
from sim.wear.asked import faces_from_thickness

#: Of a rotor so near its discard thickness that no wear to speak of is left.
SLIM = "Renew it, in axle pairs: no wear to speak of is left"
SLIM_BY_THE_PART_SET = "Read the discard thickness stamped on your rotor; so near to it renew it, in axle pairs"
#: Said of faces that were read after the rotor had been off, or its nuts slackened.
MOVED_SINCE = (
    "both faces were read after it was cleaned or tightened anew, not as it ran: only the thickness counts here; what "
    "its runout wants now, `causes` says of the same table"
)
#: Said of faces that were read, but not both held alike: a lean of both is not told from wear of one.
ALONE = (
    "no two faces were read held alike, so none counts here: {where}. What is told of its "
    "fitting is without them; unless the rotor was refitted since, it ran out as much at fitting or more. Read both as "
    "it stands"
)
#: Said of two faces whose difference no micrometer found: one of the three turns is wrong.
FACES_APART = (
    "the two faces as read differ by {apart:.0f} µm once a turn, the micrometer reads {thickness}: one of these turns "
    "is wrong. Read both faces again before what is told of the fitting counts"
)
#: In place of what such readings would tell.
NOT_BEFORE = "before both faces are read again nothing is told of its fitting"
BOTH_FACES_AGAIN = "read both faces and the thickness again, as it stands"
#: Before what is told without a turn on one face that reads over its limit today.
MORE_THAN_THAT = (
    "unless it was refitted since, it was mounted with more than {limit:g} µm: its outboard face runs out {read:.0f} "
    "µm today, and runout shrinks; without that turn: {rest}"
)
LONE_SHARE = 0.5  # of the whole variation, in one place: no wave; judgement
TURN = 360  # places of a worn map, one a degree


@dataclass(frozen=True, eq=False)
class WornMap:
    """A worn disc as a forecast starts from it: wear of both faces (2, 360) [um], thickest and thinnest place [mm]."""

    worn_um: Floats
    thickest_mm: float | None
    thinnest_mm: float | None
    varies: Uneven
    counts: str = ""  # which of several turns counts
    mounted_um: float | None = None  # runout of the last mounted turn in the same table [um TIR]

    def discard(self, case: Case) -> str:
        """Say how it stands against its discard thickness, and which turn that is of."""
        told = discard_words(case, self.thinnest_mm, self.varies.thick_half_mm)
        return f"{told} ({self.counts})" if self.counts else told

    def fitted_to(self, case: Case) -> Case:
        """The case with the thickness that was measured; only for what is left to wear."""
        if self.thickest_mm is None:
            return case
        return replace(case, rotor=replace(case.rotor, thickness_mm=self.thickest_mm))


def _known(case: Case) -> dict[str, float]:
    return {"studs": float(case.studs.count), "gauge_radius_mm": case.gauge_radius_mm}


def _thickness(found: Readings, path: Path) -> Trace:
    trace = found.thickness
    if trace is None:
        raise BadInput(Fault("has no thickness trace", file=str(path), allowed="at least one turn of `thickness`"))
    return trace


@one_thread
def remembered(case: Case, path: Path, km: float, tell: Progress, give_or_take: float = KM_GIVE_OR_TAKE) -> Memory:
    """Ask a worn disc what it remembers; what was read besides it is taken off as vectors.

    Parameters
    ----------
    case : Case
        The corner that it ran in.
    path : Path
        Readings: ``thickness``, and ``mounted`` and ``inboard`` if it has not been moved since it was fitted.
    km : float
        Driven since then. [km]
    tell : callable(fraction, what)
    give_or_take : float
        How well that is known, 0 to 100. [%]

    Returns
    -------
    Memory

    Raises
    ------
    BadInput
        For readings that cannot be or give a slip away, or too few of the thickness.
    Refused
        For a turn that no seated rotor draws.

    Notes
    -----
    Runouts in um TIR. A micrometer's doubt as `sim.parts.thickness` has it, a dial's from its step (JCGM 100:2008).
    """
    found = dial_readings.read(path, _known(case))
    thickness = _thickness(found, path)
    if thickness.angle_deg.size < FEWEST:
        reason = f"{thickness.angle_deg.size} places are too few to tell what wore it"
        raise BadInput(Fault(reason, file=str(path), key="thickness", allowed=f"{FEWEST} or more; 12 are good"))
    dial_readings.refuse_slips(held_back(found, case.limits), path, *dial_readings.KINDS)
    refuse_thicker(found.thinnest_mm, case.rotor.thickness_mm, str(path))
    case = replace(case, studs=replace(case.studs, studs_turned=thickness.studs_turned))  # as it sat when it was read
    pairs = [pair for pair in found.faces() if len(pair) == 2]
    held = [pair for pair in pairs if pair[0].clamped_by != ONE_SCREW]
    both = next((pair for pair in held if pair[0].state == AS_FOUND), None)
    loose = (f"both faces were read {SCREW_ONLY}: they do not count",) if pairs and not held else ()
    if held and both is None:
        loose = (MOVED_SINCE,)
    if not pairs and (alone := [_of(one) for pair in found.faces() for one in pair]):
        loose = (ALONE.format(where="; ".join(alone)),)
    for one in both or ():
        refuse_unseated(one.value_um)
    apart = _faces_apart(both, found, judged_thickness(found, thickness, case.limits), thickness) if both else ""
    faces = None
    if both is not None:
        at = thickness.angle_deg
        faces = [turn.interpolate(one.angle_deg, one.value_um, at) for one in both]
    varies = judged_thickness(found, thickness, case.limits)
    disc = WornDisc(
        distance_km=km,
        angle_deg=thickness.angle_deg,
        thickness_um=thickness.value_um,
        outboard_um=None if faces is None else faces[0],
        inboard_um=None if faces is None else faces[1],
        doubt_um=varies.one_sd_um,
        face_doubt_um=float(np.hypot(NOISE_UM, found.step_um(both[0] if both else thickness) / np.sqrt(12.0))),
        give_or_take=give_or_take,
        one_place=_one_place(found, thickness),
    )
    parts = from_readings(case, found)
    if stuck(case):
        told = nothing_told(case, disc, parts)
    else:
        told = remember(case, disc, library=shelf(case, km, tell, give_or_take), progress=tell, parts=parts)
    if any(one.state in CLEAN_STATES for one in found.of("mounted")):  # what was read is not asked for again
        told = replace(told, would_tell=tuple(what for what in told.would_tell if what != CLEAN_AND_READ))
    if case.spigot_scale:
        told = replace(told, would_tell=_over_scale(told.would_tell))
    if apart:
        would = (BOTH_FACES_AGAIN, *told.would_tell)
        told = replace(told, finding=CANNOT_TELL, reason=NOT_BEFORE, would_tell=would)
    elif both is None and told.tells and told.finding in (CANNOT_TELL, WITHIN):
        told = _ran_out_more(told, found, case)
    scrap, thinnest = "", found.thinnest_mm
    if thinnest is not None and is_stated(case):  # else only the rotor's own stamp says what is scrap
        scrap = scrap_reason(case.rotor, thinnest)
    counts = (found.thickness_counts,) if found.thickness_counts else ()
    notes = (scrap or discard_words(case, thinnest, varies.thick_half_mm), *counts, *loose, *found.said, *told.notes)
    return replace(
        told,
        scrap=scrap,
        thinnest_mm=thinnest,
        notes=notes,
        thickness_turns=varies.turns,
        thickness_taken_um=varies.taken_um,
        thickness_shaky=varies.shaky,
        thickness_division_um=varies.division_um,
        faces_apart=apart,
    )


def _ran_out_more(told: Memory, found: Readings, case: Case) -> Memory:
    """What a turn on the outboard face alone, over its limit today, says of the fitting: as runout shrinks, no less."""
    limit = case.limits.mounted_runout_um
    alone = [one for group in found.faces() for one in group if one.kind == "mounted" and one.state == AS_FOUND]
    read = [counted_um(one, found.step_um(one)) for one in alone if one.clamped_by != ONE_SCREW]
    if not read or read[-1] - Dial(found.step_um(alone[-1])).doubt_um <= limit:
        return told
    reason = MORE_THAN_THAT.format(limit=limit, read=read[-1], rest=told.reason)
    return replace(told, finding=CANNOT_TELL, reason=reason)


def _over_scale(would_tell: Sequence[str]) -> tuple[str, ...]:
    """What would tell where scale is on the spigot: off with it first, and no reading under torque before that."""
    first = tuple(what for what in would_tell if what == CLEAN_AND_READ)
    left_out = (*first, TIGHTEN_AND_READ, AS_DRIVEN_AND_READ)
    return (*first, *(what for what in would_tell if what not in left_out))


def _of(one: Trace) -> str:
    """Name a turn on one face, with what held it."""
    held = f", held by {one.clamped_by}" if one.clamped_by else ""
    face = "inboard" if one.kind == "inboard" else "outboard"
    return f"{face} face, mount {one.mount}, {one.state}{held}, {turn.tir(one.value_um):.0f} µm"


def _faces_apart(pair: tuple[Trace, ...], found: Readings, varies: Uneven, thickness: Trace) -> str:
    """Say that both faces and the micrometer cannot all be right, by their first orders; empty where they may. [um]."""
    outboard, inboard = pair
    doubts = Dial(found.step_um(outboard)).doubt_um, Dial(found.step_um(inboard)).doubt_um, varies.doubt_um
    apart_um = parted_um((outboard, inboard), thickness, doubts)
    return FACES_APART.format(apart=apart_um, thickness=varies.figure) if apart_um else ""


def _one_place(found: Readings, turn: Trace) -> bool:
    """Whether one place makes half of the variation or more and several turns read it alike: then it is no slip."""
    least = LONE_SHARE * float(np.ptp(turn.value_um))
    told = (one for one in found.faults if one.trace.startswith("thickness") and one.fault in SLIPS)
    return turn.turns > 1 and any(abs(one.size_um) >= least for one in told)


def hub_beside(case: Case, path: Path) -> HubFace | None:
    """Bare hub face that the same table holds, against its limit; None where it holds none. [um TIR].

    The rule of `sim.bench.bare_face.face_against_limit`.
    """
    return bare_hub(dial_readings.read(path, _known(case)), case.limits)


def mounted_beside(case: Case, path: Path) -> Trace | None:
    """Last turn of the mounted rotor that the same table holds; None where it holds none. [um].

    In the order in which the file has them.
    """
    return next(iter(dial_readings.read(path, _known(case)).of("mounted")[-1:]), None)


def has_play(case: Case, path: Path) -> bool:
    """Whether a table says that the hub was rocked and has play: hub or bearing comes before a rotor. By definition."""
    return dial_readings.read(path, _known(case)).bearing == WITH_PLAY


def varies_beside(case: Case, path: Path) -> Uneven | None:
    """How the thickness that a table holds varies, against its limit; None where it holds none. [um].

    The rule of `sim.bench.judged_thickness`.
    """
    read = dial_readings.read(path, _known(case))
    return None if read.thickness is None else judged_thickness(read, read.thickness, case.limits)


@one_thread
def worn_map(case: Case, path: Path, worn_on: str, alone: bool = True) -> WornMap:
    """Read a worn disc to start from.

    Parameters
    ----------
    case : Case
    path : Path
        Readings with a ``thickness`` trace, from any zero or the thickness itself.
    worn_on : {"both faces", "outboard", "inboard"}
        Where the metal went.
    alone : bool
        Whether the thickness alone is asked for: then two faces beside it that contradict it stop here.

    Returns
    -------
    WornMap

    Raises
    ------
    BadInput
        For readings that cannot be or give a slip away, or a rotor thicker than new.
    Scrap
        For a rotor at or under its discard thickness, or that may be.

    Notes
    -----
    Wear in um, thickness in mm. By definition: what is missing of the thickness was taken off the faces.
    """
    found = dial_readings.read(path, _known(case))
    trace = _thickness(found, path)
    dial_readings.refuse_slips(held_back(found, case.limits), path, "thickness")
    value = turn.interpolate(trace.angle_deg, trace.value_um, np.arange(TURN, dtype=float))
    thinnest = found.thinnest_mm
    thickest = None if thinnest is None else thinnest + 1e-3 * float(np.ptp(trace.value_um))
    varies = judged_thickness(found, trace, case.limits)
    span = 1e-3 * float(np.ptp(trace.value_um))
    new, least = case.rotor.thickness_mm, case.rotor.minimum_thickness_mm
    refuse_thicker(thinnest, new, str(path))
    if thinnest is not None:
        refuse_thin(case, thinnest, f"{path}: thinnest place", half_mm=varies.thick_half_mm)
    elif new - span <= least:
        reason = f"{span:g} mm of thickness variation is more than a rotor may lose from new to discard"
        raise BadInput(Fault(reason, file=str(path), allowed=f"below {new - least:g} mm"))
    last = found.of("mounted")[-1:]
    if alone and last and (parted := faces_part(found, last[0])):
        raise BadInput(Fault(parted[0].text, file=str(path), key="thickness", allowed="turns that bear each other out"))
    worn = faces_from_thickness(value)
    if worn_on != "both faces":
        whole = worn.sum(axis=0)
        worn = np.stack([whole, 0 * whole] if worn_on == "outboard" else [0 * whole, whole])
    mounted = [counted_um(one, found.step_um(one)) for one in found.of("mounted")[-1:]]
    return WornMap(worn, thickest, thinnest, varies, found.thickness_counts, mounted[0] if mounted else None)


def worn_map_beside(case: Case, path: Path, worn_on: str) -> WornMap | None:
    """As `worn_map`; None where the readings hold no thickness.

    Wear in um, thickness in mm. By definition, as there.
    """
    return worn_map(case, path, worn_on, False) if dial_readings.read(path, _known(case)).of("thickness") else None


def worn_by_runout(
    case: Case, path: Path, driven_km: float | None, tell: Progress, give_or_take: float = KM_GIVE_OR_TAKE
) -> bool | None:
    """Whether runout wore a rotor, as `remembered` tells it; None where that was not asked, or readings do not tell.

    Distances in km, known to so many per cent. By the rule of `sim.bench.fitted_runout`.
    """
    if driven_km is None or stuck(case):
        return None
    if _thickness(dial_readings.read(path, _known(case)), path).angle_deg.size < FEWEST:
        return None
    told = remembered(case, path, driven_km, tell, give_or_take)
    if told.faces_apart:
        return None
    return told.looks_like_wear and told.cannot_tell != UNEVEN


@one_thread
def after_cleaning(
    case: Case,
    path: Path,
    worn_on: str,
    km: float,
    tell: Progress,
    driven_km: float | None = None,
    give_or_take: float = KM_GIVE_OR_TAKE,
) -> tuple[Run, Remains]:
    """Clean the hub under a worn disc and drive on.

    Parameters
    ----------
    case : Case
        The corner; its dirt is left out.
    path : Path
        Readings with a ``thickness`` trace.
    worn_on : {"both faces", "outboard", "inboard"}
        Where the metal went.
    km : float
        Distance to drive on. [km]
    tell : callable(fraction, what)
    driven_km : float, optional
        Driven since it was fitted: then it is asked whether runout wore it. [km]
    give_or_take : float
        How well that is known, 0 to 100. [%]

    Returns
    -------
    Run
        The clean corner with the forecast from the worn disc on, for its plot.
    Remains
    """
    worn = worn_map(case, path, worn_on)
    clean = replace(case.cleaned(), title="A worn rotor on a cleaned hub")
    seated = seat(clean)
    starts = seat(as_driven(clean))
    tell(0.2, "driving on with a clean hub")
    measured = worn.thickest_mm is not None
    by_runout = worn_by_runout(case, path, driven_km, tell, give_or_take) if worn.varies.state == ABOVE else None
    remains = cleaned_outlook(
        worn.fitted_to(clean),
        worn.worn_um,
        pad_trace_um(starts),
        km,
        measured=measured,
        varies=worn.varies,
        worn_by_runout=by_runout,
    )
    read = replace(
        remains.forecast,
        worn_as_read_um=worn.varies.value_um,
        worn_doubt_um=worn.varies.doubt_um,
        worn_varies=worn.varies,
        worn_thinnest_mm=worn.thinnest_mm,
    )
    remains = replace(remains, forecast=read, discard=worn.discard(case))
    turns = dial_readings.read(path, _known(case)).of("mounted")
    if remains.act == NOT_BOUGHT and any(one.state in CLEAN_STATES for one in turns):
        remains = replace(remains, act=READ_CLEAN, verdict=f"{READ_CLEAN}. {remains.why}")
    thinnest_mm = given_mm(case) if worn.thinnest_mm is None else worn.thinnest_mm
    if is_slim(case, thinnest_mm):  # nothing is left to wear, whatever it varies by
        act = SLIM if is_stated(case) else SLIM_BY_THE_PART_SET
        remains = replace(remains, act=act, verdict=f"{act}. {remains.why}")
    road = Driven(starts, "", road_torque_nm(clean.studs), None, "on a clean hub the wheel has next to no say")
    return Run(clean, seated, remains.forecast, versions(), as_driven=road), remains
