"""Seating: a rotor clamped on a hub face with whatever lies between them, and the runout that results."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats
from sim.bodies.displacement import Deformation
from sim.errors import BadInput, Fault, Refused
from sim.one_thread import one_thread
from sim.parts.case import Case, Contact, Wheel
from sim.parts.contradictions import check_case
from sim.parts.fastener import bolt_warnings
from sim.parts.spigot_room import hindrance
from sim.progress import Progress, silent
from sim.rigid.seat import rigid_runout_um
from sim.seating.carried import (
    Cells,
    ContactSummary,
    carry_warnings,
    cells_of,
    debris_warnings,
    height_lost_mm,
    summary_of,
)
from sim.seating.cells import CellBlock
from sim.seating.cut_ahead import cut_ahead
from sim.seating.dial_trace import TRACE_POINTS, Loads, mounted_trace_um
from sim.seating.equations import contact_problem, joined_problem, nodal_wave, nodal_waves, stud_wave
from sim.seating.fields import recover
from sim.seating.flexibility import BACK, FACE
from sim.seating.lying_between import WHEEL, Surface, alike_round, surfaces
from sim.seating.prepared import PRESETS, Body, Pair, prepare
from sim.seating.studs import Pulls, proof_warnings, pulls
from sim.solvers import contact
from sim.solvers.contact import Checks, Solution
from sim.solvers.shared_block import Joined, SharedBlock, shared_block
from sim.turn import tir

FOOTPRINT = ("on", "shape", "angle_deg", "arc_deg", "inner_radius_mm", "outer_radius_mm")  # of a patch
# Dirt from this height and width on holds the face open as far as this beside it: where a seating begins, not where it
# ends. Tried on wide and on narrow dirt: 5.6 changes of the set instead of 6.5, and as many as before.
OPENS_UM, OPENS_RAD, BESIDE_RAD = 60.0, np.deg2rad(15.0), np.deg2rad(8.0)
AT_ONCE, PAIRS_AT_ONCE = 64, 4  # corners whose patches are cut together, and prepared pairs that are held for it


@dataclass(frozen=True, eq=False, repr=False)
class Seat:
    """A seated rotor.

    Parameters
    ----------
    case : Case
    preset : str
    angle_deg : ndarray, shape (360,)
        ROTOR frame.
    outboard_um, inboard_um : ndarray, shape (360,)
        Mounted traces at the gauge radius, + outboard, mean removed; the rotor's own runout and thickness variation in.
    thickness_um : ndarray, shape (360,)
        Outboard minus inboard.
    lateral_runout_um : dict
        TIR of each face.
    stud_preload_n : tuple of float
    contact : ContactSummary
    cells : Cells
    checks : Checks
        Proof of the solve.
    warnings : tuple of str
    loads : Loads
        What acts on the rotor, for recovering fields.
    crushed_mm : mapping of int to ndarray
        Height that each cell of a patch has lost for good, by position in ``case.debris``. [mm]
    stored : mapping of str to Deformation or None
        Fields that came with a run folder, so that showing a run never solves.
    """

    case: Case
    preset: str
    angle_deg: Floats
    outboard_um: Floats
    inboard_um: Floats
    thickness_um: Floats
    lateral_runout_um: Mapping[str, float]
    stud_preload_n: tuple[float, ...]
    contact: ContactSummary
    cells: Cells
    checks: Checks
    warnings: tuple[str, ...]
    loads: Loads = field(repr=False)
    crushed_mm: Mapping[int, Floats] = field(default_factory=dict, repr=False)
    stored: Mapping[str, Deformation | None] = field(default_factory=dict, repr=False)

    def __repr__(self) -> str:
        """Say in one line what was seated, what it reads and what proves it."""
        reads = ", ".join(f"{face} {value:.1f} µm" for face, value in self.lateral_runout_um.items())
        proof = f"complementarity {self.checks.complementarity:.0e}"
        odd = f"; {len(self.warnings)} in warnings: {self.warnings[0]}" if self.warnings else ""
        return f"<{type(self).__name__} {self.case.title!r}, {self.preset}: {reads} TIR; {proof}{odd}>"

    @property
    def gauge_runout_um(self) -> float:
        """TIR of the face that a single dial reads. [um]."""
        return self.lateral_runout_um[self.case.gauge.face]

    @property
    def rigid_runout_um(self) -> float:
        """What a rotor and hub that do not bend would read, same face. [um]."""
        return rigid_runout_um(self.case)

    @one_thread
    def face_trace(self, radius_mm: float, face: str = "outboard") -> Floats:
        """Mounted trace at any radius of a friction face, mean removed, ROTOR frame. Shape (360,). [um]."""
        return mounted_trace_um(prepare(self.case, self.preset), self.case, self.loads, radius_mm, face)

    def rotor_deformation(self) -> Deformation:
        """Displacement of the whole rotor, rigid motion in, HUB frame."""
        if "rotor" in self.stored:
            return self.stored["rotor"]  # type: ignore[return-value]
        pair = prepare(self.case, self.preset)
        return recover(self.case, PRESETS[self.preset], "rotor", pair.rotor, self.loads)

    def hub_deformation(self) -> Deformation | None:
        """Displacement of the hub, HUB frame; None where it is rigid."""
        if "hub" in self.stored:
            return self.stored["hub"]
        pair = prepare(self.case, self.preset)
        if pair.hub is None:
            return None
        return recover(self.case, PRESETS[self.preset], "hub", pair.hub, self.loads)


@one_thread
def seat(case: Case, preset: str = "standard", progress: Progress = silent, before: Seat | None = None) -> Seat:
    """Seat a rotor on its hub face, where nothing on the spigot has a say; `seat_corner` knows the spigot.

    Parameters
    ----------
    case : Case
    preset : {"standard", "fast", "fine"}
    progress : callable(fraction, what), optional
    before : Seat, optional
        An earlier tightening of the same corner with the same debris: what it crushed stays crushed.

    Returns
    -------
    Seat

    Raises
    ------
    BadInput
        For a case that contradicts itself, a preset that does not exist.
    Refused
        If no nut is on, the forces cannot seat the rotor, no solution with proof is found, or scale on the spigot
        makes the bore too tight or holds it off: that is not answered here.
    """
    _need_face_alone(case)
    return _solved(case, preset, progress, before)


@one_thread
def seated_trace_um(case: Case, preset: str) -> Floats:
    """Trace of the face that the dial reads, of a rotor on its hub face; all of `seat` that a stack of corners wants.

    Parameters
    ----------
    case : Case
    preset : {"standard", "fast", "fine"}

    Returns
    -------
    ndarray, shape (360,)
        ROTOR frame, mean removed, with the rotor's own errors. [um]

    Raises
    ------
    BadInput, Refused
        As of `seat`, whose solver and proof are these.

    Notes
    -----
    The same to the bit as of `seat` (`mounted_trace_um`).
    """
    (found,) = seated_traces_um([case], preset)
    if isinstance(found, Exception):
        raise found
    return found


@one_thread
def seated_traces_um(cases: Sequence[Case], preset: str) -> list[Floats | BadInput | Refused]:
    """Seat many corners: `seated_trace_um` of each, sooner, since patches of all of them are cut together.

    Parameters
    ----------
    cases : sequence of Case
    preset : {"standard", "fast", "fine"}

    Returns
    -------
    list of ndarray of shape (360,), or of what was raised
        One a corner; a corner that cannot be seated has the reason in its place. [um]

    Notes
    -----
    The same to the bit whichever corners are asked for together (`sim.seating.cut_ahead`).
    """
    out: list[Floats | BadInput | Refused] = []
    ready: list[tuple[Pair, Case, int]] = []
    for case in cases:
        try:
            _need_face_alone(case)
            pulls(case.studs)
            ready.append((prepare(case, preset), case, len(out)))
            out.append(Refused("not seated"))
        except (BadInput, Refused) as error:
            out.append(error)
        if len(ready) == AT_ONCE or len({pair for pair, *_ in ready}) == PAIRS_AT_ONCE:
            _seat_ready(ready, out)
            ready = []
    _seat_ready(ready, out)
    return out


def _seat_ready(ready: list[tuple[Pair, Case, int]], out: list[Floats | BadInput | Refused]) -> None:
    """Put the traces of corners into their places."""
    cut = list(cut_ahead([pair for pair, *_ in ready], [case for _, case, _ in ready]))
    for pair, case, place in reversed(ready):
        blocks = cut.pop()  # what its patches know goes with it
        try:
            found, pulled, solution = _settled(pair, case, None, blocks)
            loads = _loads(pair, (pair.rotor,), (found, pulled), solution)
            out[place] = mounted_trace_um(pair, case, loads, case.gauge_radius_mm, case.gauge.face)
        except (BadInput, Refused) as error:
            out[place] = error


def _need_face_alone(case: Case) -> None:
    check_case(case, harmless_too=False)
    if why := hindrance(case):
        raise Refused(
            f"{why}: the hub face alone does not say how this rotor sits; sim.seat(case) follows it on to its spigot"
        )


@one_thread
def on_face(case: Case, preset: str = "standard", progress: Progress = silent, before: Seat | None = None) -> Seat:
    """Seat a rotor on the hub face as if its spigot were bare; what `seat` does once it knows that it is.

    Parameters and errors are those of `seat`. What comes out is no answer for a corner with scale that the bore is too
    tight for: `sim.corner.seated` and `sim.spigot.way_on` put the state on the spigot in its place.
    """
    check_case(case, harmless_too=False)
    return _solved(case, preset, progress, before)


def _solved(case: Case, preset: str, progress: Progress, before: Seat | None) -> Seat:
    pulls(case.studs)  # without a nut nothing is prepared
    return seat_on(prepare(case, preset, progress), case, before)


@one_thread
def seat_on(pair: Pair, case: Case, before: Seat | None = None) -> Seat:
    """Seat a checked case on a pair that was prepared for it; what else is true of `on_face` is true of it."""
    found, pulled, solution = _settled(pair, case, before)
    return _result(pair, case, (found, pulled), solution, {} if before is None else before.crushed_mm)


def _settled(
    pair: Pair, case: Case, before: Seat | None, blocks: Sequence[CellBlock | None] | None = None
) -> tuple[list[Surface], Pulls, Solution]:
    """What lies between the faces, what pulls, and the forces that come of it, with their proof."""
    pulled = pulls(case.studs)
    found = surfaces(pair, case, None if before is None else before.crushed_mm, blocks)
    if before is not None:
        _same_places(case, before)
    flat = _flat(pair, case.contact.layer_stiffness_n_mm3)
    start = _thought_closed(pair, case, found, flat.closed)
    solution = None
    if flat.shared is not None:
        solution = contact.solve_joined(joined_problem(pair, found, pulled, flat.shared), start)
    if solution is None:
        solution = contact.solve(contact_problem(pair, found, pulled), start)
    return found, pulled, solution


def _thought_closed(pair: Pair, case: Case, found: list[Surface], flat: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Cells to begin with: dirt whole, which stands between face and pad; the rest as on a flat face.

    Where dirt is high and wide the face about it is not.
    """
    face = found[0].kept.size
    start = np.ones(sum(surface.kept.size for surface in found), dtype=bool)
    start[:face] = flat[:face]
    if found[-1].index == WHEEL:
        start[-found[-1].kept.size :] = flat[face:]
    for surface in found[1:]:
        if surface.index < 0 or surface.floor or case.debris[surface.index].height_um < OPENS_UM:
            continue
        wide, angle = float(surface.block.arcs.sum()), surface.block.angle_rad
        if wide >= OPENS_RAD:
            away = np.abs((pair.grid.angle_rad - angle.mean() + np.pi) % (2 * np.pi) - np.pi)
            about = np.repeat(away < wide / 2 + BESIDE_RAD, pair.grid.inner_mm.size)
            start[:face] &= ~about[pair.kept]
    return start


@one_thread
def seat_along(pairs: Sequence[Pair], cases: Sequence[Case]) -> tuple[Seat, ...]:
    """Seat corners that are alike but for their wheels, in turn, each from the cells that one before closed.

    Parameters
    ----------
    pairs : sequence of Pair
        Of one rotor and hub, as `sim.seating.prepared.under_wheels` gives them.
    cases : sequence of Case
        One a pair, of the same dirt.

    Returns
    -------
    tuple of Seat
        As `seat_on` answers, to round-off; sooner where no pair comes often, since nothing is solved for its own sake.

    Notes
    -----
    Lengths in mm, forces in N; solver and proof as of `seat_on`, only the first guess differs.
    """
    closed: dict[tuple[int, ...], NDArray[np.bool_]] = {}
    face = np.zeros(0, dtype=bool)
    seats = []
    for pair, case in zip(pairs, cases, strict=True):
        pulled, found = pulls(case.studs), surfaces(pair, case)
        problem = contact_problem(pair, found, pulled)
        sizes = tuple(surface.kept.size for surface in found)
        start = np.ones(problem.offset.size, dtype=bool)
        start[: face.size] = face
        solution = contact.solve(problem, closed.get(sizes, start))
        closed[sizes] = solution.force > 0
        face = closed[sizes][: sizes[0]]
        seats.append(_result(pair, case, (found, pulled), solution, {}))
    return tuple(seats)


class Growing:
    """A corner of which one patch of dirt grows: seated at each height, what stays the same is assembled once.

    Parameters
    ----------
    pair : Pair
    low, high : Case
        Checked, alike but for the height of dirt; everything of a patch goes with its height in proportion.
    """

    def __init__(self, pair: Pair, low: Case, high: Case) -> None:
        self.pair, self.case, self.pulled = pair, low, pulls(low.studs)
        self.low, self.high = surfaces(pair, low), surfaces(pair, high)
        flat = _flat(pair, low.contact.layer_stiffness_n_mm3)
        self.closed = _thought_closed(pair, low, self.low, flat.closed)
        self.joined: Joined | None = None
        if flat.shared is not None:
            self.joined = joined_problem(pair, self.low, self.pulled, flat.shared)

    @one_thread
    def gauge_runout_um(self, share: float) -> float:
        """TIR of the face that the dial reads: highest less lowest, by definition. [um].

        Parameters
        ----------
        share : float
            Where the height lies: 0 at ``low``, 1 at ``high``; beyond both too.

        Raises
        ------
        Refused
            As of `seat`.

        Notes
        -----
        As `seat_on` to round-off: solver and proof are its own.
        """
        found = [_between(low, high, share) for low, high in zip(self.low, self.high, strict=True)]
        solution = None
        if self.joined is not None:
            solution = contact.solve_joined(self._moved(self.joined, found), self.closed)
        if solution is None:
            solution = contact.solve(contact_problem(self.pair, found, self.pulled), self.closed)
        self.closed = solution.force > 0
        gauge = self.case.gauge
        radius_mm = self.case.rotor.outer_diameter_mm / 2 - gauge.from_edge_mm
        loads = _loads(self.pair, (self.pair.rotor,), (found, self.pulled), solution)
        return tir(mounted_trace_um(self.pair, self.case, loads, radius_mm, gauge.face))

    def _moved(self, joined: Joined, found: list[Surface]) -> Joined:
        higher = [now.height_mm - then.height_mm for now, then in zip(found, self.low, strict=True)]
        give = [one.compliance_mm3_n / one.area_mm2 for one in found[1:] if one.side == FACE]
        offset = joined.offset - np.concatenate(higher)[joined.place]
        return joined.moved(offset, np.concatenate([np.zeros(0), *give]))


def _between(low: Surface, high: Surface, share: float) -> Surface:
    return replace(
        low,
        height_mm=low.height_mm + share * (high.height_mm - low.height_mm),
        compliance_mm3_n=low.compliance_mm3_n + share * (high.compliance_mm3_n - low.compliance_mm3_n),
    )


def _same_places(case: Case, before: Seat) -> None:
    """Refuse an earlier tightening whose crushed dirt lies elsewhere."""
    for index in before.crushed_mm:
        one, now = (case_.debris[index : index + 1] for case_ in (before.case, case))
        if not now or any(getattr(one[0], name) != getattr(now[0], name) for name in FOOTPRINT):
            raise BadInput(Fault("an earlier tightening with other debris", key=f"debris {index + 1}"))


@dataclass(frozen=True, eq=False)
class _Flat:
    """Cells of face, then of the wheel's pad, that clean flat faces close under even studs, and their inverse.

    They are where every seating starts, and nearly all of those that close in any.
    """

    closed: NDArray[np.bool_]
    shared: SharedBlock | None


@lru_cache(maxsize=4)
def _flat(pair: Pair, layer_n_mm3: float) -> _Flat:
    key = pair.key
    studs = key.studs if key.wheel is None else replace(key.studs, clamped_by="wheel")
    even = Case(
        rotor=key.rotor,
        hub=key.hub,
        studs=studs,
        contact=Contact(layer_stiffness_n_mm3=layer_n_mm3),
        wheel=key.wheel or Wheel(),
    )
    found = surfaces(pair, even)
    problem = contact_problem(pair, found, pulls(studs))
    # One pitch between studs is solved: the others close as it does.
    alike = alike_round(found, studs.count)
    if alike is None:
        alike = np.arange(problem.offset.size)[None]
    closed = np.empty(problem.offset.size, dtype=bool)
    closed[alike] = contact.solve(contact.one_repeat(problem, alike)).force > 0
    return _Flat(closed, shared_block(problem.flexibility, problem.rigid, closed, alike))


def _result(
    pair: Pair, case: Case, put_in: tuple[list[Surface], Pulls], solution: Solution, earlier: Mapping[int, Floats]
) -> Seat:
    found, pulled = put_in
    loads = _loads(pair, pair.bodies, put_in, solution)
    gauge_mm = case.rotor.outer_diameter_mm / 2 - case.gauge.from_edge_mm
    outboard = mounted_trace_um(pair, case, loads, gauge_mm, "outboard")
    inboard = mounted_trace_um(pair, case, loads, gauge_mm, "inboard")
    cells = cells_of(found, solution)
    crushed = height_lost_mm(found, solution, earlier)
    summary = summary_of(pair, case, (found, cells), solution, crushed)
    return Seat(
        case=case,
        preset=pair.key.preset,
        angle_deg=np.arange(TRACE_POINTS, dtype=float),
        outboard_um=outboard,
        inboard_um=inboard,
        thickness_um=outboard - inboard,
        lateral_runout_um={"outboard": tir(outboard), "inboard": tir(inboard)},
        stud_preload_n=tuple(float(force) for force in pulled.force_n),
        contact=summary,
        cells=cells,
        checks=solution.checks,
        warnings=pair.words
        + carry_warnings(summary)
        + proof_warnings(case.studs)
        + bolt_warnings(case)
        + debris_warnings(case, found, summary.debris_force_n),
        loads=loads,
        crushed_mm=crushed,
    )


def _loads(pair: Pair, bodies: tuple[Body, ...], put_in: tuple[list[Surface], Pulls], solution: Solution) -> Loads:
    """Nodal loads on the rotor, or on both bodies: contact on the face, studs or wheel on the back."""
    found, pulled = put_in
    parts = _on_blocks(found, solution.force)
    on = {side: [part for part, s in zip(parts, found, strict=True) if s.side == side] for side in (FACE, BACK)}
    studs = stud_wave(pulled, pair.orders)[:, None]
    rotor = pair.rotor
    pressed = nodal_wave(pair, rotor, on[BACK], BACK) if on[BACK] else studs * rotor.stud_load
    face, back = list(nodal_waves(pair, bodies, on[FACE])), [-pressed]
    for hub in bodies[1:]:
        face[1] = -face[1]
        back.append(studs * hub.stud_load)
    return Loads(tuple(face), tuple(back), solution.motion[:3])


def _on_blocks(found: list[Surface], force: Floats) -> list[tuple[CellBlock, Floats]]:
    """Forces back on whole blocks, zero where a cell was left out."""
    out, start = [], 0
    for surface in found:
        full = np.zeros(surface.block.size)
        full[surface.kept] = force[start : start + surface.kept.size]
        start += surface.kept.size
        out.append((surface.block, full))
    return out
