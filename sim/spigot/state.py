"""The spigot: off centre, not home, forced home.

Four states: *free* (the bore has room: the rotor sits off centre, no lateral runout from that), *wedged home* (the
studs draw the face home over scale that the bore is too tight for: the bore is stretched, the hat bows, the friction
faces wave twice a turn), *jammed* (friction on the bore holds the rotor off the face against what pulls it on) and
*held off* (scale in the root of the spigot meets the bore's chamfer before the faces meet).

With friction the state is not unique: it depends on how the rotor was put on. Ranges are given over hand forces and
over the friction of dry to rusty iron, and for a rotor that is home over the way in which friction may be locked in.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np

from sim.arrays import Complexes, Floats, read_only
from sim.bodies.displacement import Deformation
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.contradictions import check_case
from sim.parts.materials import CRUSHED_MPA, tensile_strength_mpa
from sim.parts.spigot_limits import crack_warning
from sim.parts.spigot_room import CENTRAL_UM, FreePlay, direction_deg, hindrance, room, root_mm, way_mm
from sim.progress import Progress, need_listener, silent
from sim.seating.dial_trace import TRACE_POINTS, own_wave_um
from sim.seating.prepared import Pair, prepare
from sim.seating.seat import Seat, seat
from sim.seating.studs import pulls
from sim.solvers.contact import Checks
from sim.spigot.drawn_home import Home, Joint, bore_trace_um, home_trace_um, join
from sim.spigot.fields import bowed
from sim.spigot.hand_and_nuts import FRICTION, HAND_N, OneNut, Push, one_nut, pushes
from sim.spigot.path import Place, place_loads, push_to
from sim.spigot.stress import stress
from sim.turn import as_json, harmonics, tir

Range = tuple[float, float]

HARMONICS = 4  # orders of the trace that are told

HOME, HELD_OFF, JAMMED = "home", "held off", "jammed"
OFF_CENTRE, FORCED = "off centre", "forced home"
CAUTIONS = (
    "take the rotor off and clean the spigot and the bore; never draw a rotor home with the nuts",
    "the vehicle maker's instructions come first",
)


@dataclass(frozen=True, eq=False)
class SpigotState:
    """How the rotor sits on its spigot. Lengths in um, TIR where a runout is meant; ranges are (low, high).

    Parameters
    ----------
    home : str
        ``home``, ``held off`` or ``jammed``.
    wedged : bool
        Whether the bore is too tight.
    free_play_um : float
        Movement from stop to stop along the loosest direction.
    radial_runout_um : tuple of float
        Of the rotor's rim about the spigot's axis.
    hung_radial_runout_um : tuple of float
        For a rotor that hung on its spigot while it was tightened.
    off_centre_deg : float or None
        Hub angle towards which the rotor's axis stands off the spigot's; None where it may stand on it.
    stand_off_um : tuple of float
        Of the middle of the mounting face from the hub face.
    hand_stand_off_um : tuple of float
        Where a push by hand leaves it, over `HAND_N` and `FRICTION`.
    lean_um : float
        TIR at the gauge radius from the lean of a jammed rotor; 0 when home.
    low_side_deg : float
        Hub angle of the side that stands nearest the hub.
    lateral_runout_um : mapping
        TIR of each face in this state.
    lateral_range_um : tuple of float
        TIR of the gauge face over what friction may have locked in.
    harmonics : tuple of dict
        Of the gauge face, rotor frame.
    outboard_um, inboard_um : ndarray, shape (360,)
        Mounted traces at the gauge radius, ROTOR frame, mean removed.
    bore_pressure_mpa, hoop_stress_mpa, hat_corner_stress_mpa : float
        Highest pressure on the bore; hoop stress at the bore from the wedge alone, and by the hat corner from all loads
        (largest principal stress, 1 mm off the sharp corner).
    total_hoop_stress_mpa : float
        At the bore, clamp included.
    bore_stretch_um : tuple of float
        Smallest and largest outward movement of the bore, at the hub and at the outboard edge: its flare.
    torque_to_force_home_nm : tuple of float
        Torque of every nut, tightened evenly, that draws the rotor home, over `FRICTION`; 0 where a hand does it,
        infinite (null in JSON) where the bore binds.
    push_to_force_home_n : float
        The push that this takes at the case's friction.
    one_nut : tuple of OneNut
        What the nut nearest the scale, and the one most opposite, do when they are run up alone.
    crack_warning : str or None
    checks : mapping of str to float
        Proof, all relative.
    notes : tuple of str
    """

    home: str
    wedged: bool
    free_play_um: float
    radial_runout_um: Range
    hung_radial_runout_um: Range
    stand_off_um: Range
    hand_stand_off_um: Range
    lean_um: float
    low_side_deg: float
    lateral_runout_um: Mapping[str, float]
    lateral_range_um: Range
    harmonics: tuple[dict[str, Any], ...]
    outboard_um: Floats
    inboard_um: Floats
    bore_pressure_mpa: float
    hoop_stress_mpa: float
    total_hoop_stress_mpa: float
    hat_corner_stress_mpa: float
    bore_stretch_um: tuple[float, float]
    torque_to_force_home_nm: Range
    push_to_force_home_n: float
    one_nut: tuple[OneNut, ...]
    crack_warning: str | None
    checks: Mapping[str, float]
    notes: tuple[str, ...]
    off_centre_deg: float | None = None
    seated: Home | None = field(default=None, repr=False)
    path: tuple[Place, ...] = field(default=(), repr=False)
    stopped: Place | None = field(default=None, repr=False)


@one_thread
def spigot_state(
    case: Case,
    preset: str = "standard",
    progress: Progress = silent,
    with_one_nut: bool = False,
    thorough: bool = True,
    on_face: Seat | None = None,
) -> SpigotState:
    """How the rotor of a case sits on its spigot under its nuts.

    Parameters
    ----------
    case : Case
    preset : {"standard", "fast", "fine"}
    progress : callable(fraction, what), optional
    with_one_nut : bool
        Whether to follow, too, what one nut run up alone does to a rotor that does not go home by hand (a second more).
    thorough : bool
        Whether to follow the ends of the friction range as well, and what friction may have locked in: else the ranges
        are those of the case's friction alone, in a third of the time.
    on_face : Seat, optional
        The same corner seated on its hub face alone, where that is known already: a free bore changes nothing of it.

    Returns
    -------
    SpigotState

    Raises
    ------
    BadInput
        If the scale lies off the spigot or is thicker than any rotor could be pushed over.
    Refused
        If no nut is on, or a state cannot be solved with proof.

    Notes
    -----
    Runouts and stand-off in um, torque in N m, forces in N, stress in MPa. Closed forms of press fit and push:
    tests/verification/test_spigot_closed_forms.py; three dimensions: tests/verification/solid3d_spigot.
    """
    need_listener(progress)
    check_case(case, harmless_too=False)
    play = room(case)
    root = root_mm(case)
    if not play.wedged and way_mm(case) > 0.0:
        raise Refused(
            f"the bore has to be pushed over scale that it is {1000.0 * way_mm(case):.0f} µm too tight for on radius, "
            f"further out than it reaches when home: what that takes is not followed here; {CAUTIONS[0]}"
        )
    if not play.wedged and root <= 0.0:
        return _free(case, on_face or seat(case, preset), play)
    pair = prepare(case, preset, progress)
    total = float(pulls(case.studs).force_n.sum())
    push = pushes(pair if play.wedged else None, case, thorough)
    nuts = one_nut(pair, case, push) if with_one_nut else ()
    stand_off = push.stand_off_um(max(total, HAND_N[1]), case.contact.bore_friction) / 1000.0
    if stand_off > 0.0:
        stuck = push_to(pair, case, case.contact.bore_friction, push.path, stand_off)
        return _jammed(pair, case, play, push, (stuck, nuts))
    return _home(pair, case, play, push, (root, nuts, thorough))


@one_thread
def need_free_spigot(case: Case, preset: str = "fast") -> None:
    """Refuse a corner whose scale makes the bore too tight or holds it off: nothing read or mapped on it is of use.

    Judged by geometry, hence the same under every clamping; solved only to say how the rotor sits under its nuts.

    Raises
    ------
    Refused
        With how it sits and what to do.
    """
    check_case(case, harmless_too=False)
    if not (why := hindrance(case)):
        return
    state = spigot_state(case, preset, thorough=False)
    how = f"is {state.home}, not home on the hub"
    if state.home == HOME:
        how = "was drawn home over scale, which is damage" if state.wedged else f"lies clear only on its dirt: {why}"
    raise Refused(f"the rotor {how}: {CAUTIONS[0]}; then ask again")


def on_the_face(state: SpigotState) -> bool:
    """Whether scale on the spigot leaves the seating to the hub face alone."""
    return not state.wedged and state.home == HOME


def state_word(state: SpigotState) -> str:
    """The state in a word or two: home, off centre, forced home, held off, jammed."""
    if state.home != HOME:
        return state.home
    if state.wedged:
        return FORCED
    return HOME if state.off_centre_deg is None else OFF_CENTRE


def _free(case: Case, found: Seat, play: FreePlay) -> SpigotState:
    return SpigotState(
        home=HOME,
        wedged=False,
        free_play_um=play.most_um,
        radial_runout_um=_twice(play.off_centre_um),
        hung_radial_runout_um=_twice(play.hung_um),
        stand_off_um=(0.0, 0.0),
        hand_stand_off_um=(0.0, 0.0),
        lean_um=0.0,
        low_side_deg=0.0,
        lateral_runout_um=dict(found.lateral_runout_um),
        lateral_range_um=(found.gauge_runout_um,) * 2,
        harmonics=_orders(case, found.outboard_um, found.inboard_um),
        outboard_um=found.outboard_um,
        inboard_um=found.inboard_um,
        bore_pressure_mpa=0.0,
        hoop_stress_mpa=0.0,
        total_hoop_stress_mpa=0.0,
        hat_corner_stress_mpa=0.0,
        bore_stretch_um=(0.0, 0.0),
        torque_to_force_home_nm=(0.0, 0.0),
        push_to_force_home_n=0.0,
        one_nut=(),
        crack_warning=None,
        checks=_as_dict(found.checks),
        notes=(
            "the bore has room on the spigot: where the rotor sits in it is not known, so radial runout is a range",
            "sitting off centre makes no lateral runout",
            *(CAUTIONS if case.spigot_scale else ()),
        ),
        off_centre_deg=play.off_centre_deg,
    )


def _home(
    pair: Pair, case: Case, play: FreePlay, push: Push, more: tuple[float, tuple[OneNut, ...], bool]
) -> SpigotState:
    root, nuts, thorough = more
    joint = join(pair, case, pulls(case.studs))
    found = joint.home()
    outboard, inboard = (
        home_trace_um(pair, case, found, case.gauge_radius_mm, face) for face in ("outboard", "inboard")
    )
    gauge = outboard if case.gauge.face == "outboard" else inboard
    spread, aside, locked = _locked_in(joint, found, gauge, case.contact.bore_friction if thorough else 0.0)
    alone, whole = stress(pair, found.bore[0]), stress(pair, found.bore[0], found.loads)
    held = root > 0.0 and bool(found.force_n[found.cells.chamfer].any())
    notes = [
        "friction on the bore may be locked in either way: the lateral and the radial runout are ranges",
        "the scale is taken as hard and nothing yields: pressure and stress are upper bounds",
    ]
    notes += _crushed(float(found.pressure_mpa.max()))
    if held:
        notes.append(
            "scale in the root holds the bore's chamfer off the face; the range runs from drawn down by the nuts to "
            "merely laid on"
        )
    return SpigotState(
        home=HELD_OFF if held else HOME,
        wedged=play.wedged,
        free_play_um=play.most_um,
        radial_runout_um=aside,
        hung_radial_runout_um=aside,
        stand_off_um=(found.face_gap_um, 1000.0 * root) if held else (0.0, 0.0),
        hand_stand_off_um=_wider(push.span_um(HAND_N), 1000.0 * root),
        lean_um=0.0,
        low_side_deg=0.0,
        lateral_runout_um={"outboard": tir(outboard), "inboard": tir(inboard)},
        lateral_range_um=spread,
        harmonics=_orders(case, outboard, inboard),
        outboard_um=outboard,
        inboard_um=inboard,
        bore_pressure_mpa=float(found.pressure_mpa.max()),
        hoop_stress_mpa=alone.bore_hoop_mpa,
        total_hoop_stress_mpa=whole.bore_hoop_mpa,
        hat_corner_stress_mpa=whole.corner_principal_mpa,
        bore_stretch_um=_stretch(found),
        torque_to_force_home_nm=push.torque_home_nm(),
        push_to_force_home_n=push.most_n(case.contact.bore_friction),
        one_nut=nuts,
        crack_warning=crack_warning(case, max(alone.bore_hoop_mpa, whole.bore_hoop_mpa), whole.corner_hoop_mpa),
        checks=_as_dict(found.checks) | push.proof() | locked,
        notes=(*notes, *_one_first(case, nuts), *_forced(push), *CAUTIONS),
        off_centre_deg=_towards(found.motion),
        seated=found,
        path=tuple(push.path),
    )


def _jammed(pair: Pair, case: Case, play: FreePlay, push: Push, more: tuple[Place, tuple[OneNut, ...]]) -> SpigotState:
    place, nuts = more
    bore = place_loads(pair, place)
    at = case.gauge_radius_mm
    outboard, inboard = (_leaning_trace(pair, case, place, bore[0], (at, face)) for face in ("outboard", "inboard"))
    found = stress(pair, bore[0])
    total = float(pulls(case.studs).force_n.sum())
    spread = push.span_um((max(total, HAND_N[1]),))
    aside = 2000.0 * float(np.hypot(*place.motion[3:]))
    radius = case.rotor.bore_diameter_mm / 2
    pressure = float((place.solved.push_n / place.cells.area_mm2(radius)).max())
    gauge = outboard if case.gauge.face == "outboard" else inboard
    return SpigotState(
        home=JAMMED,
        wedged=True,
        free_play_um=play.most_um,
        radial_runout_um=(aside, aside),
        hung_radial_runout_um=(aside, aside),
        stand_off_um=spread,
        hand_stand_off_um=push.span_um(HAND_N),
        lean_um=2000.0 * case.gauge_radius_mm * place.lean_rad,
        low_side_deg=place.low_side_deg,
        lateral_runout_um={"outboard": tir(outboard), "inboard": tir(inboard)},
        lateral_range_um=_lean_range(push, case, tir(gauge), spread),
        harmonics=_orders(case, outboard, inboard),
        outboard_um=outboard,
        inboard_um=inboard,
        bore_pressure_mpa=pressure,
        hoop_stress_mpa=found.bore_hoop_mpa,
        total_hoop_stress_mpa=found.bore_hoop_mpa,
        hat_corner_stress_mpa=found.corner_principal_mpa,
        bore_stretch_um=(0.0, 0.0),
        torque_to_force_home_nm=push.torque_home_nm(),
        push_to_force_home_n=push.most_n(case.contact.bore_friction),
        one_nut=nuts,
        crack_warning=crack_warning(case, found.bore_hoop_mpa, found.corner_hoop_mpa),
        checks=push.proof(),
        notes=(
            "not fully home: friction on the spigot holds it off against the nuts",
            "the state is not unique: it depends on how the rotor was pushed on and on friction; hence the ranges",
            "the scale is taken as hard and nothing yields: push, pressure and stress are upper bounds",
            *_crushed(pressure),
            *_one_first(case, nuts),
            *_forced(push),
            *CAUTIONS,
        ),
        off_centre_deg=_towards(place.motion),
        path=tuple(push.path),
        stopped=place,
    )


def _towards(motion: Floats) -> float | None:
    """Hub angle of a sideways shift; None where there is none worth the name."""
    x, y = (float(shift) for shift in motion[3:5])
    return None if 1000.0 * float(np.hypot(x, y)) < CENTRAL_UM else direction_deg(x, y)


def _locked_in(joint: Joint, found: Home, trace: Floats, mu: float) -> tuple[Range, Range, dict[str, float]]:
    """Lateral and radial runout over friction that cocks the rotor one way or the other [um], and the proof of both.

    Evenly locked friction has no moment where nothing pushes sideways; what leans the rotor most is friction that
    points up on one side of the bore and down on the other.
    """
    case = joint.case
    weight = found.force_n * np.exp(1j * found.cells.angle_rad)
    side = np.angle(weight[found.cells.scale >= 0].sum()) if (found.cells.scale >= 0).any() else 0.0
    lateral, radial = [tir(trace)], [2000.0 * float(np.hypot(*found.motion[3:]))]
    checks: list[dict[str, float]] = []
    for sign in (-1.0, 1.0) if mu > 0 else ():
        share = sign * mu * np.sign(np.cos(found.cells.angle_rad - side))
        other = joint.home(np.where(found.cells.chamfer, 0.0, share))
        lateral.append(tir(home_trace_um(joint.pair, case, other, case.gauge_radius_mm, case.gauge.face)))
        radial.append(2000.0 * float(np.hypot(*other.motion[3:])))
        checks.append(_as_dict(other.checks) | {"friction": other.locked})
    proof = {f"locked_{name}": max(one[name] for one in checks) for name in (checks[0] if checks else ())}
    return (min(lateral), max(lateral)), (min(radial), max(radial)), proof


@lru_cache(maxsize=4)  # a drawing asks for the same field part by part
@one_thread
def spigot_deformation(
    case: Case, state: SpigotState, which: str = "rotor", preset: str = "standard"
) -> Deformation | None:
    """Displacement of rotor or hub for a section view, HUB frame; ``None`` for a free bore or a rigid hub.

    For a free bore take the field of the seating itself.
    """
    pair = prepare(case, preset)
    if which == "hub" and pair.hub is None:
        return None
    side = 0 if which == "rotor" else 1
    if state.seated is not None:
        return read_only(bowed(pair, case, which, state.seated.bore[side], state.seated.motion, state.seated.loads))
    if state.stopped is not None:
        return read_only(bowed(pair, case, which, place_loads(pair, state.stopped)[side], state.stopped.motion, None))
    return None


def state_trace_um(
    case: Case, state: SpigotState, radius_mm: float, face: str = "outboard", preset: str = "standard"
) -> Floats | None:
    """Mounted trace of a friction face in this state, at any radius; None where it is the hub face's own answer.

    Parameters
    ----------
    case : Case
    state : SpigotState
        Of this case and preset.
    radius_mm : float
    face : {"outboard", "inboard"}
    preset : str

    Returns
    -------
    ndarray of shape (360,), or None
        ROTOR frame, mean removed. [um]
    """
    pair = prepare(case, preset)
    if state.stopped is not None:
        return _leaning_trace(pair, case, state.stopped, place_loads(pair, state.stopped)[0], (radius_mm, face))
    if state.seated is not None and not on_the_face(state):
        return home_trace_um(pair, case, state.seated, radius_mm, face)
    return None


def spigot_json(state: SpigotState) -> dict[str, Any]:
    """What `seat` prints under ``spigot``: plain numbers, words and lists."""
    return {
        "home": state.home,
        "wedged": state.wedged,
        "free_play_um": state.free_play_um,
        "radial_runout_um": list(state.radial_runout_um),
        "hung_radial_runout_um": list(state.hung_radial_runout_um),
        "off_centre_deg": state.off_centre_deg,
        "stand_off_um": list(state.stand_off_um),
        "hand_stand_off_um": list(state.hand_stand_off_um),
        "hand_force_n": list(HAND_N),
        "bore_friction_range": list(FRICTION),
        "lean_um": state.lean_um,
        "low_side_deg": state.low_side_deg,
        "lateral_runout_um": dict(state.lateral_runout_um),
        "lateral_range_um": list(state.lateral_range_um),
        "harmonics_um": list(state.harmonics),
        "bore_pressure_mpa": state.bore_pressure_mpa,
        "hoop_stress_mpa": state.hoop_stress_mpa,
        "total_hoop_stress_mpa": state.total_hoop_stress_mpa,
        "hat_corner_stress_mpa": state.hat_corner_stress_mpa,
        "bore_stretch_um": list(state.bore_stretch_um),
        "torque_to_force_home_nm": [_or_null(torque) for torque in state.torque_to_force_home_nm],
        "push_to_force_home_n": _or_null(state.push_to_force_home_n),
        "one_nut_first": [vars(nut) | {"torque_nm": _or_null(nut.torque_nm)} for nut in state.one_nut],
        "crack_warning": state.crack_warning,
        "checks": dict(state.checks),
        "notes": list(state.notes),
    }


def _leaning_trace(pair: Pair, case: Case, place: Place, bore: Complexes, where: tuple[float, str]) -> Floats:
    """Mounted trace of a rotor that stands off the face, at a radius of a face, ROTOR frame, mean removed. [um]."""
    radius, face = where
    turned = np.deg2rad(np.arange(TRACE_POINTS) * 360.0 / TRACE_POINTS + case.studs.turned_deg)
    lean = 1000.0 * radius * (place.motion[1] * np.cos(turned) + place.motion[2] * np.sin(turned))
    own = own_wave_um(case.rotor, radius, face) * np.exp(1j * (turned - np.deg2rad(case.studs.turned_deg)))
    return bore_trace_um(pair, case, bore, radius, face) + lean + own.real


def _lean_range(push: Push, case: Case, here_um: float, stand_off_um: Range) -> Range:
    """TIR from the lean over all places at which the rotor may have stopped. [um]."""
    low, high = stand_off_um
    every = (place for path in push.paths.values() for place in path)
    leans = [2000.0 * case.gauge_radius_mm * p.lean_rad for p in every if low <= 1000.0 * p.stand_off_mm <= high]
    return min([here_um, *leans]), max([here_um, *leans])


def _one_first(case: Case, nuts: tuple[OneNut, ...]) -> tuple[str, ...]:
    """What one nut run up first does, in words."""
    if not nuts:
        return ()
    bound = tuple(
        f"nut {nut.stud} run up first: the bore binds, no torque draws it down there"
        for nut in nuts
        if not nut.home and np.isinf(nut.torque_nm)
    )
    worst = max(nuts, key=lambda nut: nut.hoop_mpa)
    words = (
        f"one nut run up first pulls the rotor askew, so that its face runs out by {worst.lean_um / 1000.0:.0f} mm "
        "over a turn, and strains the bore"
    )
    strength = tensile_strength_mpa(case.rotor)
    if worst.hoop_mpa > strength:  # past its strength no stress stands: the figure of an elastic bore is in the fields
        words += f": it cracks, {worst.hoop_mpa / strength:.1f} times its tensile strength of {strength:.0f} MPa"
    else:
        words += f" to {worst.hoop_mpa:.0f} MPa"
    return (words, *bound)


def _crushed(pressure_mpa: float) -> tuple[str, ...]:
    if pressure_mpa <= CRUSHED_MPA:
        return ()
    return ("the pressure at the edge of the contact is more than iron bears: it is crushed or scored there",)


def _forced(push: Push) -> tuple[str, ...]:
    low, high = push.torque_home_nm()
    if high <= 0.0:
        return ()
    if low == float("inf"):
        return ("it binds: no torque draws it home",)
    # The torques stand in the fields: in a sentence they would be taken for an instruction.
    if high == float("inf"):
        return ("it must not be drawn home by the nuts: that is damage, not a method, or it binds",)
    return ("it must not be drawn home by the nuts: that is damage, not a method",)


def _stretch(found: Home) -> tuple[float, float]:
    """Mean outward movement of the bore at the hub and at its outboard edge, from the overlap that it gave. [um]."""
    cells = found.cells
    give = np.where(cells.chamfer, 0.0, cells.overlap_mm + found.gap_mm)
    low, high = cells.low_mm == cells.low_mm.min(), cells.high_mm == cells.high_mm.max()
    return 1000.0 * float(give[low].mean()), 1000.0 * float(give[high].mean())


def _orders(case: Case, outboard: Floats, inboard: Floats) -> tuple[dict[str, Any], ...]:
    return tuple(as_json(harmonics(outboard if case.gauge.face == "outboard" else inboard, HARMONICS), "rotor"))


def _or_null(value: float) -> float | None:
    return None if value == float("inf") else value


def _twice(span: Range) -> Range:
    return 2 * span[0], 2 * span[1]


def _wider(span: Range, value: float) -> Range:
    return span[0], max(span[1], value)


def _as_dict(checks: Checks) -> dict[str, float]:
    return {
        "force_residual": float(checks.force_residual),
        "moment_residual": float(checks.moment_residual),
        "complementarity": float(checks.complementarity),
    }
