"""A rotor and a hub made ready to be seated on each other: everything that does not depend on dirt or torque."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats
from sim.bodies.flexibility import (
    Flexibility,
    Lines,
    Ports,
    condense,
    find_ports,
    from_arrays,
    solver_of_orders,
    to_arrays,
)
from sim.bodies.section import Fineness, Rectangle, Section, contact_zone_mm, hub_blocks, mesh_section, rotor_blocks
from sim.bodies.stiffness import Stiffness, assemble
from sim.bodies.vaned_ring import HIGHEST_TRUE, SLICES, with_true_vanes
from sim.bodies.vanes import true_rotor
from sim.disk_cache import fetch
from sim.errors import BadInput, Fault
from sim.one_thread import one_thread
from sim.parts.case import Case, Hub, Rotor, Studs, Wheel
from sim.parts.checked import with_known_right
from sim.parts.fastener import engagement_mm, has_bolts
from sim.parts.materials import Metal, hub_metal, rotor_metal, wheel_metal
from sim.parts.threads import minor_diameter_mm, nominal_diameter_mm
from sim.progress import Progress, silent
from sim.seating.cells import COVERED, CellBlock, face_block, share_in_circles
from sim.seating.short_waves import compliance, short_waves_round
from sim.seating.studs import HEAD_INNER, HEAD_OUTER, annulus_load, area_mean, stud_angles_rad
from sim.seating.thread_pull import DECAY_DIAMETERS, depth_shares, flank_load
from sim.units import shown

# A bare nut presses with a ring up to this many thread diameters; common proportion of a hexagon, no source.
BARE_NUT = 1.6
Solver = Callable[[int, Floats], Floats]


@dataclass(frozen=True)
class Preset:
    """How fine the model is: section mesh, highest harmonic, rings of the face and of a patch, cells per turn.

    The wheel's pad has rings and cells per turn of its own: its pressure stands in cones under the nuts, which wide
    rings blur; narrow ones cost little where it is not cut as often round the turn as the face. Tried on drawn corners:
    ``python -m tests.studies.pad_cells``.
    """

    fineness: Fineness
    highest: int
    ring_mm: float
    patch_rings: int
    per_turn: int = 72
    pad_ring_mm: float = 3.0
    pad_per_turn: int = 60


PRESETS = {
    # Only to compare one wheel with another.
    "rough": Preset(Fineness(7.0, 3.0, 9.0), 32, 9.5, 2, 48, pad_ring_mm=8.0, pad_per_turn=48),
    "fast": Preset(Fineness(3.0, 1.0, 5.0), 60, 6.5, 4, pad_ring_mm=4.0, pad_per_turn=48),
    "standard": Preset(Fineness(2.2, 0.7, 3.5), 90, 4.6, 6),
    "fine": Preset(Fineness(1.5, 0.4, 2.5), 140, 3.0, 8, 120, pad_per_turn=90),
}


@dataclass(frozen=True)
class PairKey:
    """What a prepared pair depends on; nothing that changes from seating to seating."""

    rotor: Rotor
    hub: Hub
    studs: Studs
    wheel: Wheel | None
    preset: str


@dataclass(frozen=True, eq=False)
class Body:
    """One body at the contact: its flexibility, cut to what a seating needs.

    Parameters
    ----------
    flexibility : Flexibility
    stud_load : ndarray, shape (orders, top nodes)
        Nodal loads of one stud or bolt of unit force at angle zero.
    face_r_mm : ndarray, shape (m,)
        Radii of the face nodes. [mm]
    face : ndarray, shape (orders, m, m)
        Face response to face loads. [mm/N]
    studs : ndarray, shape (orders, m)
        Face response to one stud. [mm/N]
    grid_rows : ndarray, shape (rings, m)
        Area means over the rings of the face cells.
    """

    flexibility: Flexibility
    stud_load: Floats
    face_r_mm: Floats
    face: Floats
    studs: Floats
    grid_rows: Floats

    @property
    def back_r_mm(self) -> Floats:
        """Radii of the nodes that are loaded: rotor outboard; hub rear, or round the thread of a bolt. [mm]."""
        ports = self.flexibility.ports
        return ports.r_mm[ports.top]

    def ring_rows(self, block: CellBlock) -> Floats:
        """Area mean over the block's rings as weights on the face nodes."""
        return area_mean(self.face_r_mm, block.inner_mm, block.outer_mm)

    def back_rows(self, block: CellBlock) -> Floats:
        """Area mean over the block's rings as weights on the nodes of the loaded side."""
        return area_mean(self.back_r_mm, block.inner_mm, block.outer_mm)

    def between(self, read: str, loaded: str) -> Floats:
        """Response of one side ("face" or "back") to loads on another. Shape (orders, read, loaded)."""
        ports = self.flexibility.ports
        sides = {"face": ports.face, "back": ports.top}
        return self.flexibility.response[:, sides[read]][:, :, sides[loaded]]


@dataclass(frozen=True, eq=False)
class Pair:
    """A prepared pair.

    Parameters
    ----------
    key : PairKey
    zone_mm : tuple of float
        Radii between which the faces can touch. [mm]
    rotor, hub, wheel : Body
        ``hub`` and ``wheel`` are None where they are rigid; ``wheel`` also where it is not on.
    grid : CellBlock
        Face cells.
    grid_rigid : ndarray, shape (cells, 3)
    kept : ndarray of int
        Grid cells that are not in a stud hole.
    grid_flexibility : ndarray, shape (kept, kept)
        Both bodies together, contact layer left out. [mm/N]
    short_mm2_n : float
        Compliance of both bodies as half-spaces, for waves above the highest order.
    words : tuple of str
        Anything the user should be told, such as a cache that had to be rebuilt.
    """

    key: PairKey
    zone_mm: tuple[float, float]
    rotor: Body
    hub: Body | None
    wheel: Body | None
    grid: CellBlock
    grid_rigid: Floats
    kept: NDArray[np.int64]
    grid_flexibility: Floats
    short_mm2_n: float
    words: tuple[str, ...]

    @property
    def bodies(self) -> tuple[Body, ...]:
        """The elastic bodies that meet at the hub face."""
        return (self.rotor,) if self.hub is None else (self.rotor, self.hub)

    @cached_property
    def face_lines(self) -> bytes:
        """Radii of the face nodes of these bodies, to tell whether another pair has the same."""
        return b"".join(body.face_r_mm.tobytes() + b"|" for body in self.bodies)

    @property
    def orders(self) -> int:
        """Number of harmonics, the mean included."""
        return self.rotor.flexibility.orders


def pair_key(case: Case, preset: str) -> PairKey:
    """Strip a case to what a prepared pair depends on.

    Lengths stay in mm. By definition: what adds to a trace as a vector, or to the gap as a height, changes no
    flexibility.
    """
    rotor = with_known_right(
        case.rotor,
        minimum_thickness_mm=Rotor.minimum_thickness_mm,
        machine_to_thickness_mm=None,
        tensile_strength_mpa=None,
        own_runout_um=0.0,
        own_runout_radius_mm=None,
        own_high_spot_deg=0.0,
        own_thickness_variation_um=0.0,
        own_thick_spot_deg=0.0,
        flange_dish_um=0.0,
        flange_saddle_um=0.0,
        flange_saddle_deg=0.0,
        face_map=None,
    )
    hub = with_known_right(
        case.hub,
        face_runout_um=0.0,
        face_runout_radius_mm=64.0,
        face_high_spot_deg=0.0,
        face_dish_um=0.0,
        face_saddle_um=0.0,
        face_saddle_deg=0.0,
        face_map=None,
        bearing_end_float_um=0.0,
        spigot_fit=None,
    )
    studs = with_known_right(
        case.studs,
        torque_nm=140.0,
        preload_n=None,
        road_torque_nm=None,
        nut_factor=0.2,
        studs_turned=0,
        index_positions=None,
        property_class="10.9",
        clamped_by="nuts and spacers",
        screw_preload_n=Studs.screw_preload_n,
        screw_angle_deg=None,
        seat_outer_diameter_mm=_seat_outer_mm(case.studs),
        thread_engagement_mm=engagement_mm(case) if has_bolts(case.studs) else None,
        spacer_mm=None,
    )
    # Settled here: what the diameters follow is not part of the wheel, and a thickness that is said is no other wheel.
    inner, outer = case.wheel_pad_mm
    wheel = with_known_right(
        case.wheel,
        pad_inner_diameter_mm=2 * inner,
        pad_outer_diameter_mm=2 * outer,
        pad_dish_um=0.0,
        pad_thickness_mm=case.wheel.thickness_mm,
    )
    return PairKey(rotor, hub, studs, wheel if case.studs.clamped_by == "wheel" else None, preset)


def _seat_outer_mm(studs: Studs) -> float:
    """Outer diameter of the pressed ring: a bare nut presses with its own flat, a spacer with the seat given. [mm]."""
    if studs.clamped_by != "bare nuts":
        return studs.seat_outer_diameter_mm
    nut = max(BARE_NUT * nominal_diameter_mm(studs.thread), studs.seat_inner_diameter_mm + 2.0)
    return min(studs.seat_outer_diameter_mm, nut)


def need_preset(preset: str) -> None:
    """Refuse a preset that does not exist.

    Raises
    ------
    BadInput
        Naming those that do.
    """
    if preset not in PRESETS:
        raise BadInput(Fault(f"{shown(preset)} is not known", key="preset", allowed=", ".join(PRESETS)))


def prepare(case: Case, preset: str = "standard", progress: Progress = silent) -> Pair:
    """Make a rotor and a hub ready; from memory, else from the disk cache, else by solving.

    Parameters
    ----------
    case : Case
    preset : {"standard", "fast", "fine"}
    progress : callable(fraction, what)

    Returns
    -------
    Pair

    Raises
    ------
    BadInput
        For a preset that does not exist.
    """
    need_preset(preset)
    return _prepare(pair_key(case, preset), progress)


class _Remembered:
    """A pair key that carries the progress callback without being changed by it."""

    def __init__(self, key: PairKey, progress: Progress) -> None:
        self.key, self.progress = key, progress

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Remembered) and self.key == other.key


@one_thread
def _prepare(key: PairKey, progress: Progress) -> Pair:
    return _prepared(_Remembered(key, progress))


@lru_cache(maxsize=4)
def _prepared(remembered: _Remembered) -> Pair:
    key, progress = remembered.key, remembered.progress
    case = Case(rotor=key.rotor, hub=key.hub, studs=key.studs, wheel=key.wheel or Wheel())
    zone = contact_zone_mm(case)
    preset = PRESETS[key.preset]
    count = key.studs.count
    # A whole number of cells per stud pitch, so that even studs on a flat face give no runout at all.
    grid = face_block(zone, preset.ring_mm, count * int(np.ceil(preset.per_turn / count)))
    progress(0.0, "flexibility of the rotor")
    rotor, rotor_words = _body(case, "rotor", zone, preset, grid, lambda done, what: progress(0.5 * done, what))
    progress(0.5, "flexibility of the hub")
    hub, hub_words = (None, ()) if hub_metal(key.hub) is None else _body(case, "hub", zone, preset, grid)
    wheel: Body | None = None
    wheel_words: tuple[str, ...] = ()
    if key.wheel is not None and wheel_metal(key.wheel) is not None:
        wheel, wheel_words = _body(case, "wheel", case.wheel_pad_mm, preset, grid)
    progress(0.9, "contact cells")
    hole = key.rotor.hole_diameter_mm / 2
    kept = np.arange(grid.size)
    if hole > 0:
        share = share_in_circles(grid, key.studs.pitch_circle_mm / 2, stud_angles_rad(count), hole)
        kept = np.flatnonzero(share <= COVERED)
    bodies = (rotor,) if hub is None else (rotor, hub)
    ring_pair = sum(body.grid_rows @ (body.face @ body.grid_rows.T) for body in bodies)
    soft = sum(compliance(metal_of(case, which)) for which in ("rotor", "hub")[: len(bodies)])
    whole = _circulant(grid, np.asarray(ring_pair), soft)
    progress(1.0, "ready")
    return Pair(
        key=key,
        zone_mm=zone,
        rotor=rotor,
        hub=hub,
        wheel=wheel,
        grid=grid,
        grid_rigid=grid.rigid(),
        kept=kept,
        grid_flexibility=np.ascontiguousarray(whole[np.ix_(kept, kept)]),
        short_mm2_n=soft,
        words=rotor_words + hub_words + wheel_words,
    )


def weights(orders: int) -> Floats:
    """Fourier weight of a force: 1/(2 pi) for the mean, 1/pi above. No unit."""
    out = np.full(orders, 1 / np.pi)
    out[0] /= 2
    return out


def _circulant(grid: CellBlock, ring_pair: Floats, short_mm2_n: float) -> Floats:
    """Flexibility between all cells of a regular grid. Shape (cells, cells)."""
    orders, rings, _ = ring_pair.shape
    turns = grid.angle_rad.size
    factor = weights(orders) * grid.averaging(orders)[0] ** 2
    waves = np.cos(np.outer(grid.angle_rad, np.arange(orders))) * factor
    block = np.tensordot(waves, ring_pair, axes=(1, 0)) + short_mm2_n * short_waves_round(grid, orders)
    steps = (np.arange(turns)[:, None] - np.arange(turns)[None, :]) % turns
    return block[steps].transpose(0, 2, 1, 3).reshape(turns * rings, turns * rings)


def rotor_section(case: Case, preset: Preset) -> Section:
    """Mesh the rotor's section.

    Lines of the mesh in mm: they go through the edges of the nuts' seats and the gauge radius (judgement).
    """
    rotor, studs = case.rotor, case.studs
    reach = (studs.seat_inner_diameter_mm / 2, studs.seat_outer_diameter_mm / 2)
    soft = [studs.pitch_circle_mm / 2 + s * x for s in (-1, 1) for x in reach] + [rotor.outer_diameter_mm / 2 - 10.0]
    return mesh_section(rotor_blocks(rotor), contact_zone_mm(case), tuple(soft), preset.fineness, 1)


def solver_of(case: Case, which: str, preset: Preset) -> tuple[Stiffness, Solver]:
    """Assemble one body for fields: its stiffness, and what answers loads of one order on all its unknowns.

    Loads may act on a rotor's hat only where its vanes are true ones; its ring then moves as the mean over a pitch.
    """
    stiffness, held, _ = stiffness_of(case, which, preset)
    rotor, true = case.rotor, None
    if which == "rotor" and rotor.has_true_vanes:
        true = true_rotor(rotor_section(case, preset), stiffness, rotor, rotor_metal(rotor), silent)

    smeared = solver_of_orders(stiffness, held)

    def solve(order: int, loads: Floats) -> Floats:
        if true is not None and order < true.ring.orders:
            return true.solve(order, loads)
        return smeared(order, loads)

    return stiffness, solve


def stiffness_of(case: Case, which: str, preset: Preset) -> tuple[Stiffness, NDArray[np.int64], Lines]:
    """Assemble one body: its stiffness, the unknowns held at zero, and where its ports lie.

    Lengths in mm. Held at the far end of the hub's barrel, where the bearing is: judgement; the rotor is free.
    """
    zone, studs = contact_zone_mm(case), case.studs
    if which == "rotor":
        rotor = case.rotor
        inboard = rotor.flange_thickness_mm - rotor.overall_height_mm
        stiffness = assemble(rotor_section(case, preset), rotor_metal(rotor), rotor)
        hat_out = rotor.hat_outer_diameter_mm / 2
        lines = Lines(
            zone=zone,
            top_z=rotor.flange_thickness_mm,
            top_r=(rotor.bore_diameter_mm / 2, hat_out),
            bore_r=rotor.bore_diameter_mm / 2,
            bore_z=(0.0, rotor.flange_thickness_mm),
            outboard_z=inboard + rotor.thickness_mm,
            inboard_z=inboard,
            friction_r=(max(rotor.friction_inner_diameter_mm / 2, hat_out), rotor.outer_diameter_mm / 2),
        )
        return stiffness, np.zeros(0, dtype=np.int64), lines
    if which == "wheel":
        return _wheel_stiffness(case, preset)
    hub = case.hub
    pitch, thread = studs.pitch_circle_mm / 2, nominal_diameter_mm(studs.thread)
    reach = _flanks_mm(studs) if has_bolts(studs) else (HEAD_INNER * thread, HEAD_OUTER * thread)
    soft = [pitch + s * x for s in (-1, 1) for x in reach]
    section = mesh_section(hub_blocks(hub), zone, tuple(soft), preset.fineness, -1)
    stiffness = assemble(section, metal_of(case, "hub"))
    far = -hub.flange_thickness_mm - hub.barrel_length_mm
    held = np.flatnonzero(np.abs(stiffness.dof_z_mm - far) < 1e-6)
    lines = Lines(
        zone=zone,
        top_z=-hub.flange_thickness_mm,
        top_r=(hub.barrel_outer_diameter_mm / 2, hub.face_diameter_mm / 2),
        bore_r=hub.spigot_diameter_mm / 2,
        bore_z=(0.0, hub.spigot_length_mm),
    )
    if has_bolts(studs):
        lines = _round_the_thread(lines, section, case)
    return stiffness, held, lines


def _flanks_mm(studs: Studs) -> tuple[float, float]:
    """Inner and outer radius of the flanks of a bolt's thread in the hub. [mm]."""
    return minor_diameter_mm(studs.thread) / 2, nominal_diameter_mm(studs.thread) / 2


def _round_the_thread(lines: Lines, section: Section, case: Case) -> Lines:
    """Lines whose loaded part is the elements of the hub's flange that hold the thread of a bolt at angle zero."""
    pitch, outer = case.studs.pitch_radius_mm, _flanks_mm(case.studs)[1]
    (r, z), near = (np.unique(np.round(line, 6)) for line in section.mesh.p), 1e-6
    deep = float(z[z <= -engagement_mm(case) + near].max())
    span = float(r[r <= pitch - outer + near].max()), float(r[r >= pitch + outer - near].min())
    return replace(lines, top_z=(deep, 0.0), top_r=span)


def _wheel_stiffness(case: Case, preset: Preset) -> tuple[Stiffness, NDArray[np.int64], Lines]:
    """A plain free ring with its face at z = 0; what the spokes add is left out."""
    zone, studs = case.wheel_pad_mm, case.studs
    thick = case.wheel.thickness_mm
    reach = (studs.seat_inner_diameter_mm / 2, studs.seat_outer_diameter_mm / 2)
    soft = tuple(studs.pitch_radius_mm + s * x for s in (-1, 1) for x in reach)
    section = mesh_section((Rectangle(*zone, 0.0, thick),), zone, soft, preset.fineness, 1)
    stiffness = assemble(section, metal_of(case, "wheel"))
    lines = Lines(zone=zone, top_z=thick, top_r=zone, bore_r=zone[0], bore_z=(0.0, thick))
    return stiffness, np.zeros(0, dtype=np.int64), lines


def metal_of(case: Case, which: str) -> Metal:
    """Elastic constants of a body that bends.

    Raises
    ------
    ValueError
        If it is rigid: such a body has no flexibility.
    """
    metals = {"rotor": rotor_metal(case.rotor), "hub": hub_metal(case.hub), "wheel": wheel_metal(case.wheel)}
    metal = metals[which]
    if metal is None:
        raise ValueError(f"the {which} is rigid")
    return metal


def _rectangles(case: Case, which: str) -> tuple[Rectangle, ...]:
    if which == "wheel":
        return (Rectangle(*case.wheel_pad_mm, 0.0, case.wheel.thickness_mm),)
    return rotor_blocks(case.rotor) if which == "rotor" else hub_blocks(case.hub)


def _body(
    case: Case, which: str, zone: tuple[float, float], preset: Preset, grid: CellBlock, progress: Progress = silent
) -> tuple[Body, tuple[str, ...]]:
    metal = metal_of(case, which)
    true_vanes = which == "rotor" and case.rotor.has_true_vanes

    def build() -> dict[str, NDArray]:
        stiffness, held, lines = stiffness_of(case, which, preset)
        made = condense(stiffness, held, find_ports(stiffness, lines), preset.highest)
        if true_vanes:
            section = rotor_section(case, preset)
            made = with_true_vanes(made, true_rotor(section, stiffness, case.rotor, metal, progress))
        return to_arrays(made, which)

    arrays, words = fetch(which, _identity(case, which, zone, preset), build, __name__)
    return _loaded(case, which, preset, grid, from_arrays(arrays, which)), words


def _identity(case: Case, which: str, zone: tuple[float, float], preset: Preset) -> str:
    """All that a body's flexibility follows from, and nothing that only another body does: one hub, many rotors."""
    rotor, studs = case.rotor, case.studs
    seats = (studs.pitch_circle_mm, studs.seat_inner_diameter_mm, studs.seat_outer_diameter_mm)
    own: tuple[object, ...] = seats
    if which == "rotor":
        vanes: tuple[object, ...] = ()
        if rotor.style == "vented":
            vanes = (rotor.vane_count, rotor.vane_thickness_mm, rotor.has_true_vanes and (SLICES, HIGHEST_TRUE))
        own = (seats, vanes, rotor.friction_inner_diameter_mm)
    elif which == "hub":
        own = (studs.pitch_circle_mm, studs.thread)
        if has_bolts(studs):
            own += (studs.fastener, engagement_mm(case))
    return repr((which, _rectangles(case, which), zone, metal_of(case, which), own, preset.fineness, preset.highest))


def _loaded(case: Case, which: str, preset: Preset, grid: CellBlock, flexibility: Flexibility) -> Body:
    """A body at the contact: its flexibility, and how a stud or a bolt loads it."""
    studs = case.studs
    ports = flexibility.ports
    thread = nominal_diameter_mm(studs.thread)
    inner, outer = (
        (studs.seat_inner_diameter_mm / 2, studs.seat_outer_diameter_mm / 2)
        if which != "hub"
        else (HEAD_INNER * thread, HEAD_OUTER * thread)
    )
    if which == "hub" and has_bolts(studs):
        load = bolt_load(ports, case, preset.highest)
    else:
        load = annulus_load(ports.r_mm[ports.top], studs.pitch_circle_mm / 2, inner, outer, preset.highest)
    face_rows = flexibility.response[:, ports.face]
    face = np.ascontiguousarray(face_rows[:, :, ports.face])
    studs_response = np.einsum("nij,nj->ni", face_rows[:, :, ports.top], load)
    face_r = ports.r_mm[ports.face]
    rows = area_mean(face_r, grid.inner_mm, grid.outer_mm)
    return Body(flexibility, load, face_r, face, studs_response, rows)


def bolt_load(ports: Ports, case: Case, highest: int) -> Floats:
    """Nodal loads on the hub, per harmonic, of one wheel bolt of unit pull at angle zero. Shape (orders, top).

    [N/N]. Superposition of `sim.seating.thread_pull.flank_load`, whose source stands there.
    """
    r, z = ports.r_mm[ports.top], ports.z_mm[ports.top]
    decay = DECAY_DIAMETERS * nominal_diameter_mm(case.studs.thread)
    depth = depth_shares(np.unique(np.round(z, 6)), engagement_mm(case), decay)
    return flank_load(r, z, case.studs.pitch_radius_mm, _flanks_mm(case.studs), depth, highest)


def under_wheels(pair: Pair, cases: Sequence[Case], progress: Progress = silent) -> tuple[Pair, ...]:
    """Return a prepared pair under the elastic wheels of several cases; rotor and hub stay as they are.

    Parameters
    ----------
    pair : Pair
    cases : sequence of Case
        Alike but for their wheels, whose flexibilities are kept together.
    progress : callable(fraction, what)

    Notes
    -----
    Flexibilities in mm/N, as those of rotor and hub (`sim.bodies.flexibility`).

    Fourier finite elements (`sim.bodies`), by definition the same as for one wheel.
    """
    preset = PRESETS[pair.key.preset]

    def build() -> dict[str, NDArray]:
        arrays: dict[str, NDArray] = {}
        for k, case in enumerate(cases):
            progress(k / len(cases), "flexibility of wheels that it may be driven with (kept for the next time)")
            stiffness, held, lines = _wheel_stiffness(case, preset)
            ports = find_ports(stiffness, replace(lines, bore_z=(1.0, 0.0)))  # nothing touches a wheel's bore
            arrays |= to_arrays(condense(stiffness, held, ports, preset.highest), f"wheel{k}")
        return arrays

    rings = [(_rectangles(case, "wheel"), case.wheel_pad_mm, metal_of(case, "wheel")) for case in cases]
    studs = pair.key.studs
    seat = (studs.pitch_circle_mm, studs.seat_inner_diameter_mm, studs.seat_outer_diameter_mm)
    arrays, _ = fetch("wheels", repr((rings, seat, preset.fineness, preset.highest)), build, __name__)
    return tuple(
        replace(
            pair,
            key=pair_key(case, pair.key.preset),
            wheel=_loaded(case, "wheel", preset, pair.grid, from_arrays(arrays, f"wheel{k}")),
        )
        for k, case in enumerate(cases)
    )
