"""Closed forms that the program is held to on this machine: ours beside theirs, with the source.

They need nothing outside the package and a few seconds. Seatings against three-dimensional finite elements stand in the
tests and in the README: they need stored results of another solver.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import linprog
from skfem import MeshQuad

from sim.arrays import Floats, Ints
from sim.bodies.flexibility import solve_order
from sim.bodies.section import Section
from sim.bodies.stiffness import Stiffness, assemble
from sim.one_thread import one_thread
from sim.parts.case import Case, Contact, Debris, Hub, Rotor, Studs
from sim.parts.iso_fits import fit
from sim.parts.materials import Metal
from sim.parts.threads import proof_load_n
from sim.progress import Progress, need_listener, silent
from sim.rigid.bearing_points import Patch
from sim.rigid.seat import seat_rigid
from sim.seating.equations import contact_problem
from sim.seating.lying_between import surfaces
from sim.seating.prepared import prepare
from sim.seating.seat import seat
from sim.seating.studs import area_mean, preloads_n, pulls
from sim.solvers import contact
from sim.wear.judder import felt_speed_km_h

IRON = Metal(110_000.0, 0.26)  # grey iron as in the invented reference rotor
NOTHING_HELD = np.zeros(0, dtype=np.int64)  # a free body
# Shares of a straight quadratic edge's ends and middle in an even load (Simpson's rule is exact for it).
EDGE = np.array([1.0, 4.0, 1.0]) / 6.0
RADIAL, AXIAL = 0, 2


@dataclass(frozen=True)
class Check:
    """One quantity: ours, theirs, and how near they ought to be.

    Parameters
    ----------
    quantity : str
    ours, theirs : float
    unit, source : str
    half_width : float
        Of theirs, in its unit; 0 where it is exact.
    agreed : float
        Share of theirs by which ours may differ beyond the half-width.
    digits : int
        Significant figures that are shown.
    """

    quantity: str
    ours: float
    theirs: float
    unit: str
    source: str
    half_width: float = 0.0
    agreed: float = 0.01
    digits: int = 4

    @property
    def difference(self) -> float:
        """Ours over theirs, less one. A ratio, without unit; by definition."""
        return self.ours / self.theirs - 1

    @property
    def holds(self) -> bool:
        """Whether the difference is within what was agreed; never for what is not a number.

        In the unit of the check; by definition.
        """
        return bool(abs(self.ours - self.theirs) <= self.agreed * abs(self.theirs) + self.half_width)


# ---------------------------------------------------------------- elastic bodies


def _plain(r_mm: Floats, z_mm: Floats) -> Stiffness:
    """A body of one rectangle."""
    mesh = MeshQuad.init_tensor(r_mm, z_mm)
    return assemble(Section(mesh, np.full(mesh.nelements, "solid")), IRON)


def _on_line(body: Stiffness, component: int, r_mm: float | None = None, z_mm: float | None = None) -> Ints:
    """Unknowns of one component on a line of constant radius or height, in order along it."""
    found = body.component == component
    if r_mm is not None:
        found = found & (np.abs(body.dof_r_mm - r_mm) < 1e-7)
    if z_mm is not None:
        found = found & (np.abs(body.dof_z_mm - z_mm) < 1e-7)
    index = np.flatnonzero(found)
    along = body.dof_z_mm if r_mm is not None else body.dof_r_mm
    return index[np.argsort(along[index])]


def _loads(body: Stiffness, at: Ints, values: Floats) -> Floats:
    loads = np.zeros((body.k0.shape[0], 1))
    loads[at, 0] = values
    return loads


def tube() -> Check:
    """Radial growth of a thick tube under inner pressure.

    Lengths in mm, pressure in MPa, growth in um; Lame, closed form.
    """
    inner, outer, height, pressure = 30.0, 60.0, 5.0, 20.0
    body = _plain(np.linspace(inner, outer, 9), np.array([0.0, height]))
    bore = _on_line(body, RADIAL, r_mm=inner)
    moved = solve_order(body, NOTHING_HELD, 0, _loads(body, bore, EDGE * height * inner * pressure))
    ratio = (outer**2 + inner**2) / (outer**2 - inner**2)
    theirs = pressure * inner / IRON.youngs_mpa * (ratio + IRON.poisson)
    ours = 1000 * float(moved[bore[1], 0])
    return Check("tube 60/120 mm, 20 MPa inside: growth of the bore", ours, 1000 * theirs, "µm", "Lamé, closed form",
                 agreed=0.001)  # fmt: skip


def plate() -> Check:
    """Deflection of a thin annular plate, held inside, under a line load on its rim.

    Lengths in mm, load in N/mm; Kirchhoff's plate, closed form, source in the row.
    """
    inner, outer, thickness, load = 70.0, 150.0, 1.0, 0.01
    body = _plain(np.linspace(inner, outer, 41), np.array([0.0, thickness]))
    held = np.flatnonzero(np.abs(body.dof_r_mm - inner) < 1e-7)
    rim = _on_line(body, AXIAL, r_mm=outer)
    moved = solve_order(body, held, 0, _loads(body, rim, EDGE * outer * load))
    share, nu = inner / outer, IRON.poisson
    rigidity = IRON.youngs_mpa * thickness**3 / 12 / (1 - nu**2)
    c2 = (1 - share**2 * (1 + 2 * math.log(1 / share))) / 4
    c3 = share / 4 * ((share**2 + 1) * math.log(1 / share) + share**2 - 1)
    c8 = (1 + nu + (1 - nu) * share**2) / 2
    c9 = share * ((1 + nu) / 2 * math.log(1 / share) + (1 - nu) / 4 * (1 - share**2))
    theirs = load * outer**3 / rigidity * (c2 / c8 * c9 / share - c3 / share)
    return Check("annular plate 140/300 x 1 mm, 0.01 N/mm on its rim: deflection", 1000 * float(moved[rim[1], 0]),
                 1000 * theirs, "µm", "Roark, table 11.2, case 1l, from memory")  # fmt: skip


def thin_ring() -> Check:
    """Radial displacement of a thin ring under a radial load of two waves, bending in its own plane.

    Lengths in mm; thin ring in its plane, closed form, source in the row.
    """
    radius, side, order, load = 100.0, 2.0, 2, 0.01
    edges = np.array([radius - side / 2, radius + side / 2])
    body = _plain(edges, np.array([0.0, side]))
    loads = np.zeros((body.k0.shape[0], 1))
    for edge in edges:  # half on each side, so that its line is the middle
        loads[_on_line(body, RADIAL, r_mm=edge), 0] = EDGE * radius * load / 2
    moved = solve_order(body, NOTHING_HELD, order, loads)[:, 0]
    ours = float(moved[_on_line(body, RADIAL, z_mm=side / 2)].mean())
    theirs = load * radius**4 / (IRON.youngs_mpa * side**4 / 12 * (order**2 - 1) ** 2)
    return Check("ring of 200 mm, 2 x 2 mm, two waves of 0.01 N/mm: displacement", 1000 * ours, 1000 * theirs, "µm",
                 "Timoshenko, thin ring without stretching")  # fmt: skip


@one_thread
def sphere() -> Check:
    """Peak pressure of a rigid sphere on a wide block, through the contact solver.

    Lengths in mm, forces in N; Hertz, closed form, source in the row.
    """
    force, ball = 1000.0, 200.0
    plane = IRON.youngs_mpa / (1 - IRON.poisson**2)
    hertz_mm = (3 * force * ball / (4 * plane)) ** (1 / 3)
    fine = np.linspace(0.0, 1.6 * hertz_mm, 33)
    growing = np.cumsum(0.05 * hertz_mm * 1.35 ** np.arange(18))
    body = _plain(np.concatenate([fine, fine[-1] + growing[:16]]), -np.concatenate([[0.0], growing])[::-1])
    held = np.flatnonzero(np.abs(body.dof_z_mm - body.dof_z_mm.min()) < 1e-9)
    face = _on_line(body, AXIAL, z_mm=0.0)
    face = face[body.dof_r_mm[face] <= fine[-1] + 1e-9]
    rings = area_mean(body.dof_r_mm[face], fine[:-1], fine[1:])
    loads = np.zeros((body.k0.shape[0], face.size))
    loads[face, np.arange(face.size)] = 1 / (2 * np.pi)
    area = np.pi * (fine[1:] ** 2 - fine[:-1] ** 2)
    square = (fine[:-1] ** 2 + fine[1:] ** 2) / 2
    give = rings @ solve_order(body, held, 0, loads)[face] @ rings.T + np.diag(1e-7 / area)
    none = np.full(area.size, np.inf)
    solved = contact.solve(contact.Problem(give, square / (2 * ball), np.ones((area.size, 1)), np.array([force]), none))
    # The edge ring is closed as a whole or not at all: the ellipse p^2 = p0^2 (1 - r^2 / a^2) is fitted well inside.
    inside = square < (0.8 * hertz_mm) ** 2
    _, start = np.polyfit(square[inside], (solved.force / area)[inside] ** 2, 1)
    theirs = 3 * force / (2 * math.pi * hertz_mm**2)
    return Check("sphere of 400 mm pressed on iron with 1 kN: peak pressure", math.sqrt(start), theirs, "MPa",
                 "Hertz, after Johnson, Contact Mechanics", agreed=0.02)  # fmt: skip


# ---------------------------------------------------------------- seats


def _point(radius_mm: float, angle_deg: float = 0.0, height_mm: float = 0.1) -> Patch:
    return Patch(radius_mm, radius_mm, angle_deg, 0.0, height_mm)


def rigid_seats() -> list[Check]:
    """Seats of a rotor that does not bend: on a patch, on three feet, on four patches.

    Lengths in mm; geometry of three points, source in the row.
    """
    patch = seat_rigid([Patch(60.0, 68.0, 0.0, 20.0, 0.1)], 68.0)
    feet = seat_rigid([_point(56.0, 120.0 * k, 1.03 if k == 0 else 1.0) for k in range(3)], 68.0)
    reach = 60.0 * math.cos(math.radians(10.0)) + 68.0
    several = [Patch(60.0, 68.0, 20.0, 20.0, 0.08), Patch(50.0, 58.0, 150.0, 30.0, 0.06)]
    several += [Patch(62.0, 66.0, 250.0, 10.0, 0.1), Patch(40.0, 46.0, 310.0, 40.0, 0.12)]
    theirs = _lowest_plane(several, 68.0)
    return [
        Check("rigid seat on a speck 0.1 mm high: TIR at 140 mm", 1000 * patch.tir_mm(140.0),
              1000 * 2 * 140 * 0.1 / reach, "µm", "2 R h / (r + r_face), geometry", agreed=1e-9),
        Check("rigid seat on three feet, one 30 µm higher: TIR at 140 mm", 1000 * feet.tir_mm(140.0),
              1000 * 4 / 3 * 140 / 56 * 0.03, "µm", "4/3 R h / r, geometry", agreed=1e-9),
        Check("rigid seat on four patches: TIR at 140 mm", 1000 * seat_rigid(several, 68.0).tir_mm(140.0),
              1000 * 2 * 140 * float(np.hypot(theirs[1], theirs[2])), "µm", "linear programme (HiGHS)", agreed=1e-3),
    ]  # fmt: skip


def _lowest_plane(patches: Sequence[Patch], rim_mm: float) -> Floats:
    """Height at the axis and slopes of the lowest plane over many points of rim and patches."""
    points = [_arc(rim_mm, np.arange(1440) * np.pi / 720, 0.0)]
    for patch in patches:
        angle = np.radians(patch.angle_deg + np.linspace(-0.5, 0.5, 361) * patch.arc_deg)
        points += [_arc(radius, angle, patch.height_mm) for radius in (patch.inner_radius_mm, patch.outer_radius_mm)]
    place = np.vstack(points)
    matrix = -np.column_stack([np.ones(len(place)), place[:, :2]])
    return linprog([1.0, 0.0, 0.0], matrix, -place[:, 2], bounds=[(None, None)] * 3, method="highs").x


def _arc(radius_mm: float, angle_rad: Floats, height_mm: float) -> Floats:
    return np.column_stack(
        [radius_mm * np.cos(angle_rad), radius_mm * np.sin(angle_rad), np.full(angle_rad.size, height_mm)]
    )


def hardly_clamped() -> Check:
    """A tenth of a newton on the whole corner: parts that bend must seat like parts that do not.

    Forces in N, runout in um; the limit of stiff bodies, source in the row.

    Statics of stiff bodies.
    """
    case = Case(
        rotor=Rotor(hole_diameter_mm=0.0),
        hub=Hub(material="rigid"),
        debris=(Debris(angle_deg=0.0, inner_radius_mm=60.0, outer_radius_mm=68.0, height_um=100.0),),
        contact=Contact(layer_stiffness_n_mm3=1e6),
    )
    pair = prepare(case, "fast")
    found = surfaces(pair, case)
    problem = contact_problem(pair, found, replace(pulls(case.studs), force_n=np.full(case.studs.count, 0.02)))
    height = np.concatenate([surface.height_mm for surface in found])
    plane = linprog([1.0, 0.0, 0.0], -problem.rigid, -height, bounds=[(None, None)] * 3, method="highs").x
    ours = contact.solve(problem).motion
    lean = [2000 * 140 * float(np.hypot(*motion[1:3])) for motion in (ours, plane)]
    return Check("rotor that bends, on a speck, hardly clamped: TIR at 140 mm", lean[0], lean[1], "µm",
                 "linear programme (HiGHS) over the same cells", agreed=1e-3)  # fmt: skip


def tilted_hub() -> Check:
    """A hub face that runs out leans rotor and lever alike, however the parts bend.

    Runout in um; a lean grows with the radius (geometry), source in the row.
    """
    tilted = Case(hub=Hub(face_runout_um=30.0, face_runout_radius_mm=65.0))
    ours = seat(tilted, "fast").lateral_runout_um["outboard"]
    return Check("hub face 30 µm at 65 mm: TIR at 140 mm, elastic", ours, 30 * 140 / 65, "µm",
                 "lever R / r, geometry", agreed=0.005)  # fmt: skip


# ---------------------------------------------------------------- studs, fits, road


def studs() -> list[Check]:
    """Torque to preload, and proof load. Torque in N m, force in N; Shigley and ISO 898-1, source in the row."""
    small = Studs(thread="M10x1.5", property_class="8.8", torque_nm=50.0, nut_factor=0.2)
    large = Studs(thread="M12x1.75", property_class="8.8", torque_nm=82.1, nut_factor=0.2)
    rule = "T = K d F (Shigley), worked example, second-hand"
    return [
        Check("M10, 50 N m, K 0.20: preload", preloads_n(small)[0] / 1000, 25.0, "kN", rule, digits=3),
        Check("M12, 82.1 N m, K 0.20: preload", preloads_n(large)[0] / 1000, 34.2, "kN", rule, digits=3),
        Check("M12x1.75 class 8.8: proof load", proof_load_n("M12x1.75", "8.8") / 1000, 48.9, "kN",
              "ISO 898-1, from memory", digits=3),
        Check("M14x1.5 class 10.9: proof load", proof_load_n("M14x1.5", "10.9") / 1000, 104.0, "kN",
              "ISO 898-1, from memory", digits=3),
    ]  # fmt: skip


def fits() -> list[Check]:
    """Clearance of a bore on its spigot."""
    low, high = fit("H8/f8", 65.0).clearance_um
    source = "ISO 286, from memory"
    return [
        Check("fit H8/f8 at 65 mm: least clearance", low, 30.0, "µm", source, agreed=0.0, digits=3),
        Check("fit H8/f8 at 65 mm: greatest clearance", high, 122.0, "µm", source, agreed=0.0, digits=3),
    ]


def road() -> Check:
    """Speed at which one wave a turn meets a mode. Frequency in Hz, speed in km/h; by definition, source in the row."""
    return Check("one wave a turn, 13 Hz, 520 turns a km: felt at", felt_speed_km_h(1, 13.0, 520.0), 13 * 3600 / 520,
                 "km/h", "rolling circumference", agreed=1e-9)  # fmt: skip


CHECKS: tuple[Callable[[], Check | list[Check]], ...] = (
    tube,
    plate,
    thin_ring,
    sphere,
    rigid_seats,
    hardly_clamped,
    tilted_hub,
    studs,
    fits,
    road,
)


@one_thread
def closed_forms(progress: Progress = silent) -> tuple[Check, ...]:
    """Work out every check on this machine.

    Parameters
    ----------
    progress : callable(fraction, what)

    Returns
    -------
    tuple of Check

    Notes
    -----
    Units and sources stand in each row.

    Each in its own unit.
    """
    need_listener(progress)
    found: list[Check] = []
    for done, work in enumerate(CHECKS):
        progress(done / len(CHECKS), work.__name__.replace("_", " "))
        one = work()
        found += one if isinstance(one, list) else [one]
    progress(1.0, "done")
    return tuple(found)
