"""A rotor on its way on to the spigot, place by place: figures, and the displacement of both parts, for a section view.

What stands between two places is for whoever draws it to lay on a straight line; the places themselves are solved.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from sim.arrays import Complexes, Floats
from sim.bodies.displacement import Deformation
from sim.errors import BadInput, Fault
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.spigot_room import clearance_mm, free_play, root_mm, scale_at_mm
from sim.parts.threads import nominal_diameter_mm
from sim.progress import Progress, silent
from sim.seating.fields import PICTURE_ORDERS, fields_of, moved
from sim.seating.prepared import PRESETS, Pair, prepare, solver_of
from sim.seating.seat import Seat, on_face
from sim.seating.studs import pulls
from sim.spigot.hand_and_nuts import HAND_N
from sim.spigot.path import Place, first_touch_mm, place_loads, push_to, stand_off_at_mm
from sim.spigot.path_step import evenly
from sim.spigot.state import HOME, JAMMED, SpigotState, spigot_deformation, spigot_state
from sim.spigot.stress import stress

CLEAR_MM = 4.0  # the rotor starts this far beyond the spigot's end: what is seen first, nothing physical
AT_ONCE_MM = 0.05  # a hand that is stopped within this of the first touch has pressed on next to nothing
LINE_STEPS = 720  # angles at which the bore may meet scale: every half degree


@dataclass(frozen=True, eq=False)
class Station:
    """The rotor at one place.

    Parameters
    ----------
    name : str
        ``free``, ``touch``, ``hand`` (where two hands leave it), ``path``, ``rest`` (where its nuts leave it), ``home``
        or ``stop`` (at one side of its play).
    stand_off_um : float
        Of the middle of the mounting face from the hub face. [um]
    lean_um : float
        TIR at the gauge radius from the lean. [um]
    torque_nm : float
        Of each nut, evenly, that brought it here. [N m]
    hoop_mpa : float
        Highest hoop stress at the bore, from the wedge alone. [MPa]
    rotor : Deformation
        Rigid motion included, HUB frame.
    hub : Deformation or None
        None where the hub is rigid or nothing presses on it.
    """

    name: str
    stand_off_um: float
    lean_um: float
    torque_nm: float
    hoop_mpa: float
    rotor: Deformation
    hub: Deformation | None


@dataclass(frozen=True, eq=False)
class WayOn:
    """A rotor put on to its spigot.

    Parameters
    ----------
    case : Case
    state : SpigotState
    stations : tuple of Station
        In the order in which they are gone through.
    """

    case: Case
    state: SpigotState
    stations: tuple[Station, ...]

    def index(self, *names: str) -> int | None:
        """First station with one of these names."""
        return next((k for k, station in enumerate(self.stations) if station.name in names), None)

    @property
    def binds(self) -> bool:
        """Whether no torque draws it home."""
        return self.state.wedged and self.stations[-1].name != HOME and self.stations[-1].stand_off_um > 50.0


@one_thread
def way_on(case: Case, preset: str = "standard", progress: Progress = silent) -> WayOn:
    """Put a rotor on to its spigot and follow it: by hand, then as far as its nuts, then home if nothing binds.

    Parameters
    ----------
    case : Case
        With scale on its spigot.
    preset : {"standard", "fast", "fine"}
    progress : callable(fraction, what), optional

    Returns
    -------
    WayOn
        For a jammed rotor the stations go on beyond the place where its nuts leave it: what drawing it home would do.

    Raises
    ------
    BadInput
        If there is no scale on the spigot.
    Refused
        If a state cannot be solved with proof.

    Notes
    -----
    On the way the fields are those of the rigid motion, of bore and friction, and of the even push of the nuts. A rotor
    that is drawn home has the field of its nuts, faces and bore together.

    Stand-off and lean in um, torque in N m, stress in MPa; Coulomb friction on the way (`sim.spigot.path`).
    """
    if not case.spigot_scale:
        allowed = "a case with [[spigot_scale]]"
        raise BadInput(Fault("there is no scale on the spigot, so there is nothing to follow", allowed=allowed))
    progress(0.0, "on the spigot")
    state = spigot_state(case, preset, with_one_nut=True)
    pair = prepare(case, preset)
    seated = on_face(case, preset)
    like = seated.rotor_deformation()
    room = np.array([0.0, 0.0, 0.0, *free_play(case).middle_mm])
    if state.wedged:
        top = first_touch_mm(case)
        hand_mm = stand_off_at_mm(list(state.path), sum(HAND_N) / 2, top)
        at_once = hand_mm > top - AT_ONCE_MM
        over = _places(pair, state, case, 0.0 if at_once else hand_mm)
        room = _beside(case, over[0][1])
        name, height = ("hand", hand_mm) if at_once else ("touch", top)
        touch = _rigid(name, like, room + [height, 0, 0, 0, 0], case)
        stations = [touch, *_over_scale(pair, case, over, lambda done: progress(0.1 + 0.8 * done, "on the spigot"))]
    else:
        stations = _with_room(case, state, like, room)
    stations.insert(0, _rigid("free", like, room + [case.hub.spigot_length_mm + CLEAR_MM, 0, 0, 0, 0], case))
    if state.home != JAMMED:
        stations += _at_rest(case, state, seated, room, preset)
    progress(1.0, "on the spigot")
    return WayOn(case, state, tuple(stations))


def _places(pair: Pair, state: SpigotState, case: Case, hand_mm: float) -> list[tuple[str, Place]]:
    """Places on the way over the scale, first touch first: as a hand leaves it, on the path, as its nuts leave it."""
    friction, path = case.contact.bore_friction, list(state.path)
    marked = [("path", place) for place in path]
    if hand_mm > 0.0:
        marked.append(("hand", push_to(pair, case, friction, path, hand_mm)))
    if state.stopped is not None:
        marked.append(("rest", state.stopped))
    return sorted(marked, key=lambda one: -one[1].stand_off_mm)


def _beside(case: Case, first: Place) -> Floats:
    """Where the rotor hangs before it touches the scale: aside as it will come on to it, as far as there is room."""
    shift = first.motion[3:]
    room = max(clearance_mm(case), 0.0)
    share = min(1.0, room / max(float(np.hypot(*shift)), 1e-12))
    return np.array([0.0, 0.0, 0.0, *(share * shift)])


def _over_scale(
    pair: Pair, case: Case, places: list[tuple[str, Place]], tell: Callable[[float], None]
) -> list[Station]:
    every = [place for _, place in places]
    bores = [place_loads(pair, place) for place in every]
    fields = [_fields(pair, case, k, every, [bore[k] for bore in bores], tell) for k in range(len(pair.bodies))]
    rotors = [moved(field, place.motion) for field, place in zip(fields[0], every, strict=True)]
    hubs: list[Deformation | None] = [None] * len(every) if len(fields) < 2 else [*fields[1]]
    # Where a push stops is read off between two places of the path; there it pushes with what it has, no more.
    most = {"rest": float(pulls(case.studs).force_n.sum()), "hand": sum(HAND_N) / 2}
    held = [min(place.needed_n, most.get(name, np.inf)) for name, place in places]
    return [
        Station(
            name=name,
            stand_off_um=1000.0 * place.stand_off_mm,
            lean_um=2000.0 * case.gauge_radius_mm * place.lean_rad,
            torque_nm=_torque_nm(case, force / case.studs.count),
            hoop_mpa=stress(pair, bore[0]).bore_hoop_mpa,
            rotor=rotor,
            hub=hub,
        )
        for (name, place), force, bore, rotor, hub in zip(places, held, bores, rotors, hubs, strict=True)
    ]


def _fields(
    pair: Pair, case: Case, side: int, places: list[Place], bores: list[Complexes], tell: Callable[[float], None]
) -> list[Deformation]:
    """Displacement of one body at every place, rigid motion left out: each order is factorised once for all of them."""
    body, which = pair.bodies[side], ("rotor", "hub")[side]
    stiffness, solve = solver_of(case, which, PRESETS[pair.key.preset])
    ports = body.flexibility.ports
    at_bore = ports.dof[np.concatenate([ports.bore_u, ports.bore_w])]
    at_back = ports.dof[ports.top]
    # The nuts push the rotor on and pull the hub towards it.
    wave = (-1.0 if side == 0 else 1.0) * evenly(case).wave(pair.orders)
    count = min(PICTURE_ORDERS, pair.orders - 1) + 1

    def load(order: int) -> Complexes:
        tell((side + order / count) / len(pair.bodies))
        out = np.zeros((stiffness.k0.shape[0], len(places)), dtype=complex)
        for k, place in enumerate(places):
            out[at_back, k] += place.solved.force_n * wave[order] * body.stud_load[order]
            out[at_bore, k] += bores[k][order]
        return out

    return list(fields_of(stiffness, solve, load, pair.orders))


def _torque_nm(case: Case, force_n: float) -> float:
    """Torque of a nut that pulls with a force. [N m]."""
    return case.studs.nut_factor * nominal_diameter_mm(case.studs.thread) / 1000.0 * force_n


def _with_room(case: Case, state: SpigotState, like: Deformation, room: Floats) -> list[Station]:
    """A bore with room: down to the face or to scale in the root, and from stop to stop along the line of the scale."""
    root = root_mm(case)
    down = _rigid("touch", like, room + [root, 0, 0, 0, 0], case)
    if state.home != HOME:
        return [down]
    highest = max(case.spigot_scale, key=lambda scale: scale.height_um)
    angle = np.deg2rad(highest.angle_deg)
    low, high = _stops_mm(case, float(angle), room[3:])
    along = np.array([0.0, 0.0, 0.0, np.cos(angle), np.sin(angle)])
    stops = [_rigid("stop", like, room + share * along, case) for share in (low, high)]
    return [down, *stops]


def _stops_mm(case: Case, angle_rad: float, middle: Floats) -> tuple[float, float]:
    """How far a bore with room can be pushed along a line through its middle place, both ways. [mm]."""
    theta = np.linspace(0.0, 2 * np.pi, LINE_STEPS, endpoint=False)
    gap = clearance_mm(case) - scale_at_mm(case, theta) + middle[0] * np.cos(theta) + middle[1] * np.sin(theta)
    toward = np.cos(theta - angle_rad)
    back, forth = toward < -1e-6, toward > 1e-6
    return float((-gap[forth] / toward[forth]).max()), float((-gap[back] / toward[back]).min())


def _at_rest(case: Case, state: SpigotState, seated: Seat, room: Floats, preset: str) -> list[Station]:
    """The rotor as its nuts hold it on the face."""
    rotor = spigot_deformation(case, state, "rotor", preset)
    hub = spigot_deformation(case, state, "hub", preset) if rotor is not None else seated.hub_deformation()
    if rotor is None:
        rotor = moved(seated.rotor_deformation(), room)
    most = _torque_nm(case, float(pulls(case.studs).force_n.max()))
    return [Station("home", state.stand_off_um[0], state.lean_um, most, state.hoop_stress_mpa, rotor, hub)]


def _rigid(name: str, like: Deformation, motion: Floats, case: Case) -> Station:
    """The rotor moved and not strained, nothing touching."""
    nothing = np.zeros_like(like.axial_mm)
    still = replace(like, radial_mm=nothing, tangential_mm=nothing.copy(), axial_mm=nothing.copy())
    lean_um = 2000.0 * case.gauge_radius_mm * float(np.hypot(*motion[1:3]))
    return Station(name, 1000.0 * float(motion[0]), lean_um, 0.0, 0.0, moved(still, motion), None)
