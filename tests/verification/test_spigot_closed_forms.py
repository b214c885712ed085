"""The tight bore against handbooks, limits and an independent three-dimensional model with friction.

Handbook: press fits by Lame's thick cylinder (Shigley's Mechanical Engineering Design, chapter on press and shrink
fits; Roark's Formulas for Stress and Strain, thick-walled vessels). Two worked examples, figures beside them.

Ring: w = q R4 / (E I (n2-1)2), a thin ring under q cos n theta in its plane (Timoshenko, Strength of Materials,
part 2).

Three dimensions: `tests/verification/solid3d_spigot`, rotor of the bench on a rigid spigot with scale over 60 degrees,
structured hexahedra, general-purpose solver; `results.json` holds what it gave on two meshes or more.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest

from sim.assembly import contact_problem, nodal_wave
from sim.between import surfaces
from sim.bore import bore_flexibility, radial_rows, with_surface
from sim.bore import nodal_wave as bore_wave
from sim.clamp import pulls
from sim.elastic import assemble
from sim.flexibility import Lines, condense, find_ports
from sim.handpush import FRICTION
from sim.hoop import stress
from sim.jammed import place_loads, push_from, push_on, push_to
from sim.materials import Metal
from sim.pair import prepare
from sim.parts import Case, Contact, Hub, Rotor, SpigotScale, Studs
from sim.ring import harmonics, tir
from sim.section import Block, Fineness, mesh_section
from sim.spigot import spigot_state
from sim.traces import Loads
from sim.wedge import bore_trace_um, draw_home, home_cells, home_trace_um
from tests.verification.solid3d_spigot import run

STORED = Path(__file__).with_name("solid3d_spigot") / "results.json"
RIGID = replace(Hub(), material="rigid")
STIFF = Contact(layer_stiffness_n_mm3=1.0e6)


def close(ours, theirs, rel):
    assert abs(ours - theirs) <= rel * abs(theirs), f"{ours} against {theirs}"


@dataclass(frozen=True, eq=False)
class OneBody:
    """Stands where a body or a pair of one body is asked for."""

    flexibility: object
    orders: int

    @property
    def bodies(self):
        return (self,)


def ring_body(inner: float, outer: float, metal: Metal, highest: int, bore: float, length: float = 10.0) -> OneBody:
    block = Block(inner, outer, 0.0, length)
    section = mesh_section((block,), (inner, outer), (), Fineness(1.0, 1.0, 1.0), 1)
    stiffness = assemble(section, metal)
    lines = Lines(zone=(inner, outer), top_z=length, top_r=(inner, outer), bore_r=bore, bore_z=(0.0, length))
    held = np.zeros(0, dtype=np.int64)
    return OneBody(condense(stiffness, held, find_ports(stiffness, lines), highest), highest + 1)


def stretch_per_pressure(body: OneBody, radius: float, length: float = 10.0) -> float:
    """Radial movement of a cylinder under 1 MPa, all round. [mm]"""
    ports = body.flexibility.ports
    nodes = ports.z_mm[ports.bore_u]
    share = np.zeros(nodes.size)
    for k in range(0, nodes.size - 2, 2):
        share[k : k + 3] += (nodes[k + 2] - nodes[k]) * np.array([1, 4, 1]) / 6
    response = body.flexibility.response[0][np.ix_(ports.bore_u, ports.bore_u)]
    return float((response @ (share * radius)) @ share / length)


@pytest.mark.parametrize(
    ("outer", "inner", "overlap", "pressure", "hoop"),
    [
        # Shaft 100 in a sleeve of 150, 0.10 on diameter, E 210 GPa: 58.33 MPa, 151.67 MPa at the bore.
        ((50.0, 75.0, 210e3, 0.3), (0.05, 50.0, 210e3, 0.3), 0.05, 58.33, 151.67),
        # Steel 127/101.60 (206.7 GPa, 0.29) on brass 101.651/50.8 (103.4 GPa, 0.32): 13.77 MPa, 62.7 MPa.
        ((50.8, 63.5, 206.7e3, 0.29), (25.4, 50.8255, 103.4e3, 0.32), 0.0255, 13.77, 62.7),
    ],
)
def test_press_fits_of_the_handbook(outer, inner, overlap, pressure, hoop) -> None:
    sleeve = ring_body(outer[0], outer[1], Metal(*outer[2:]), 0, outer[0])
    shaft = ring_body(inner[0], inner[1], Metal(*inner[2:]), 0, inner[1])
    out = stretch_per_pressure(sleeve, outer[0])
    found = overlap / (out + stretch_per_pressure(shaft, inner[1]))
    close(found, pressure, 5e-3)
    # Ends are free: hoop stress from hoop strain in plane stress.
    close(outer[2] * found * out / outer[0] - outer[3] * found, hoop, 5e-3)


@pytest.mark.parametrize("order", [2, 3, 4])
def test_thin_ring_in_its_plane(order: int) -> None:
    young, middle, thick, length = 110e3, 50.0, 0.5, 10.0
    body = ring_body(middle - thick / 2, middle + thick / 2, Metal(young, 0.0), 4, middle - thick / 2, length)
    ports = body.flexibility.ports
    cells = np.full(ports.bore_u.size, 1.0 / ports.bore_u.size)
    moved = body.flexibility.response[order][np.ix_(ports.bore_u, ports.bore_u)] @ cells
    inertia = length * thick**3 / 12
    # A unit nodal amplitude is q = 1 / R per length of the rim.
    close(float(moved.mean()), middle**3 / (young * inertia * (order**2 - 1) ** 2), 0.02)


def test_pressed_bore_of_the_reference_rotor() -> None:
    """20 MPa in the bore, face held axially: 0.00941 mm and 26.66..26.70 MPa by three-dimensional elements."""
    case = Case(rotor=Rotor(hole_diameter_mm=0.0), hub=RIGID, contact=Contact(layer_stiffness_n_mm3=1e8))
    pair, cells = prepare(case), home_cells(case)
    rows = [radial_rows(pair.rotor, cells, hub=False)]
    force = 20.0 * cells.area_mm2(32.5)
    found = surfaces(pair, case)
    face = contact_problem(pair, found, pulls(case.studs))
    cross = with_surface(pair, cells.columns, rows, found[0])
    matrix = np.block([[face.flexibility, face.rigid], [face.rigid.T, np.zeros((3, 3))]])
    held = np.linalg.solve(matrix, np.append(-cross @ force, np.zeros(3)))[:-3]
    moved = bore_flexibility(pair, cells.columns, rows, rows) @ force + cross.T @ held
    close(float(moved.mean()), 0.00941, 0.005)
    whole = np.zeros(found[0].block.size)
    whole[found[0].kept] = held
    on_face = nodal_wave(pair, pair.rotor, [(found[0].block, whole)])
    nothing = np.zeros((pair.orders, pair.rotor.back_r_mm.size), dtype=complex)
    bore = bore_wave(pair, cells.columns, rows[0], force)
    close(stress(pair, bore, Loads((on_face,), (nothing,), np.zeros(3))).bore_hoop_mpa, 26.68, 0.005)


def test_scale_all_round_is_an_interference_fit() -> None:
    """0.05 mm on radius, rigid spigot: 107 MPa (106 from the stiffness of the pressed bore)."""
    loose = Studs(preload_n=15_000.0)  # as in the reference; a strong pull stretches the bore a little by itself
    scale = SpigotScale(arc_deg=360.0, height_um=80.0)
    scaled = Case(hub=RIGID, contact=STIFF, studs=loose, spigot_scale=(scale,))
    fitted = Case(hub=replace(RIGID, spigot_diameter_mm=65.1), contact=STIFF, studs=loose)
    area = 2 * np.pi * 32.5 * 7.0
    pressure = [draw_home(prepare(case), case, pulls(case.studs)).force_n.sum() / area for case in (scaled, fitted)]
    close(pressure[0], 106.5, 0.02)
    close(pressure[1], pressure[0], 1e-6)


def reference(arc_deg: float = 60.0, to_face_mm: float = 10.0) -> Case:
    return Case(
        rotor=Rotor(hole_diameter_mm=0.0),
        hub=RIGID,
        studs=Studs(preload_n=15_000.0),
        contact=STIFF,
        spigot_scale=(SpigotScale(angle_deg=180.0, arc_deg=arc_deg, height_um=90.0, to_face_mm=to_face_mm),),
    )


def test_wedged_home_against_three_dimensions() -> None:
    theirs = json.loads(STORED.read_text(encoding="utf-8"))["home"]["coarse"]
    case = reference()
    pair = prepare(case)
    home = draw_home(pair, case, pulls(case.studs))
    trace = home_trace_um(pair, case, home, 140.0, "outboard")
    orders = np.abs(harmonics(trace, 3))
    close(tir(trace), theirs["tir_um"], 0.02)
    close(orders[2], theirs["orders_um"][1]["amplitude"], 0.02)
    close(stress(pair, home.bore[0], home.loads).bore_hoop_mpa, theirs["bore_hoop_mpa"], 0.02)
    # What the scale carries falls with their mesh (6399, 6271 N) and rises with ours (5947, 6035 N): edges of scale.
    scale = home.force_n[home.cells.scale >= 0] @ np.cos(home.cells.angle_rad[home.cells.scale >= 0])
    close(scale, theirs["force_on_rotor_n"]["SCALE"][0], 0.06)
    assert tir(home_trace_um(pair, case, home, 140.0, "inboard")) == pytest.approx(tir(trace), rel=0.01)


@pytest.mark.parametrize("friction", [0.1, 0.2, 0.4])
def test_push_is_friction_times_what_presses(friction: float) -> None:
    case = reference()
    place = push_to(prepare(case, "fast"), case, friction, push_on(prepare(case, "fast"), case, friction), 1.0)
    close(place.solved.force_n, friction * place.solved.push_n.sum(), 1e-6)


def test_without_friction_the_push_is_what_the_iron_stores() -> None:
    """No friction: the work of the push is the energy of the press fit at its end, by the other solver's cells."""
    case = Case(hub=RIGID, contact=STIFF, spigot_scale=(SpigotScale(arc_deg=360.0, height_um=80.0, to_face_mm=7.0),))
    pair = prepare(case, "fast")
    path = push_on(pair, case, 0.0)
    stand = np.array([7.0] + [place.stand_off_mm for place in path])
    work = float(np.sum(-np.diff(stand) * np.array([place.climb_n for place in path])))
    home = draw_home(pair, case, pulls(case.studs))
    assert all(abs(place.solved.force_n) < 1.0 for place in path[:-1])
    close(work, 0.5 * float(home.force_n @ home.cells.overlap_mm), 0.05)


def test_work_of_the_push_is_heat_and_stored_energy_where_the_overlap_stays() -> None:
    """From 2.5 to 1 mm nothing new is climbed: force times travel is heat plus what is stored.

    What the push itself bends pays for itself, so the work counts what the pushed seats move by bore and friction.
    """
    case = reference()
    path = [p for p in push_on(prepare(case, "fast"), case, 0.15, step_mm=0.25) if 0.9 < p.stand_off_mm < 2.6]
    travel = path[0].stand_off_mm - path[-1].stand_off_mm
    pairs = list(zip(path, path[1:], strict=False))
    work = sum(
        (a.solved.force_n + b.solved.force_n) / 2 * (a.stand_off_mm - b.stand_off_mm + b.bent_mm - a.bent_mm)
        for a, b in pairs
    )
    heat = sum(place.heat_n_mm for place in path[1:])
    assert travel > 1.4
    close(work, heat + path[-1].energy_n_mm - path[0].energy_n_mm, 1e-3)


@pytest.mark.parametrize(("name", "to_face"), [("pushed band", 4.0), ("pushed full", 10.0)])
def test_pushed_with_friction_against_three_dimensions(name: str, to_face: float) -> None:
    """The same path: put at 1.5 mm with the overlap settled, pushed on by 0.04 mm, friction 0.15.

    The push is 5..6 % below theirs on this mesh; it falls with theirs (light 1959, coarse 1910 N) and rises with ours
    (1809, 1831 N on finer cells). Where a push stops, in the first millimetre of overlap, it grows by 1300 N in half
    a millimetre: 6 % of it are 0.04 mm of stand-off. The lean over the whole length agrees within 1 %. Over the short
    band it passes through zero near here (from 220 um at 3 mm) and differs by 8 um at the dial, which is 0.4 um over
    the bore: less than either mesh resolves under the edge of the scale. It is held to a twentieth of what it comes
    from.
    """
    theirs = json.loads(STORED.read_text(encoding="utf-8"))[name]["coarse"]
    case = reference(to_face_mm=to_face)
    pair = prepare(case)
    start = np.array([1.5, 0.0, 0.0, -0.0482, 0.0])
    places = push_from(pair, case, 0.15, start, np.array([1e-6, 0.02, 0.04]))
    push = theirs["force_on_rotor_n"]["BARE"][2] + theirs["force_on_rotor_n"]["SCALE"][2]
    close(places[-1].solved.force_n, push, 0.07)
    bore = place_loads(pair, places[-1])[0]
    orders = harmonics(bore_trace_um(pair, case, bore, 140.0, "outboard"), 2)
    close(np.abs(orders[2]), theirs["orders_um"][1]["amplitude"], 0.02)
    close(stress(pair, bore).bore_hoop_mpa, theirs["bore_hoop_mpa"], 0.02)
    # Signed: a crest at 180 degrees counts as negative.
    first = theirs["orders_um"][0]
    lean = first["amplitude"] * np.cos(np.deg2rad(first["high_spot_deg"]))
    ours = 140e3 * places[-1].motion[1]
    if to_face == 10.0:
        close(ours, lean, 0.02)
    else:
        assert abs(ours - lean) < 0.05 * 220.0


def test_a_rubbed_bore_pinches_like_theirs() -> None:
    """0.02 mm all round, friction 0.3: bore and push roll the flange, so the bore closes on the spigot as it is pushed.

    Before it is pushed the spigot carries 60 kN; rubbed it carries half as much again. Theirs on a light mesh (bands of
    1.75 mm): 26.2 kN of push, ours 28.2 kN, with bands of 1.2 mm throughout 31.7 kN: the pinch is narrow.
    """
    theirs = json.loads(STORED.read_text(encoding="utf-8"))["pushed round"]["light"]
    case = replace(reference(), spigot_scale=(SpigotScale(angle_deg=180.0, arc_deg=360.0, height_um=50.0),))
    start = np.array([1.5, 0.0, 0.0, 0.0, 0.0])
    places = push_from(prepare(case), case, 0.3, start, np.array([1e-6, 0.1, 0.2, 0.3]))
    close(places[-1].solved.force_n, theirs["force_on_rotor_n"]["SCALE"][2], 0.10)
    assert places[-1].solved.push_n.sum() > 1.4 * places[0].solved.push_n.sum()


@pytest.mark.solver3d
@pytest.mark.skipif(not run.installed(), reason="ccx is not installed (Debian: apt-get install calculix-ccx)")
def test_the_stored_values_are_what_the_solver_gives() -> None:
    stored = json.loads(STORED.read_text(encoding="utf-8"))["home"]["light"]
    found = run.compute("home", "light")
    close(found["tir_um"], stored["tir_um"], 1e-3)
    close(found["bore_hoop_mpa"], stored["bore_hoop_mpa"], 1e-3)


def test_uneven_torque_is_worse_than_even() -> None:
    case = replace(reference(to_face_mm=4.0), studs=Studs())
    state = spigot_state(case, "fast", with_one_nut=True)
    low, high = state.torque_to_force_home_nm
    # The push grows faster than friction: friction lifts the bore's edge and presses it on.
    assert FRICTION[1] / FRICTION[0] < high / low < 2 * FRICTION[1] / FRICTION[0]
    for nut in state.one_nut:
        assert nut.torque_nm > 3 * high
        assert nut.hoop_mpa > 3 * state.hoop_stress_mpa
        assert nut.lean_um > 5000.0
