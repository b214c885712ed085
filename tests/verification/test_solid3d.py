"""The seating against three-dimensional finite elements that share no code with it.

The second opinion lives in ``solid3d``: hexahedra and contact by the general-purpose solver CalculiX (Debian package
``calculix-ccx``), run by ``python -m tests.verification.solid3d E1 ring-fine`` and kept in ``solid3d/results.json``.
Here its parts are checked against closed forms, its stored values against another finite-element model of the
reference rotor (made earlier with the same solver: other meshes, quadratic elements, nodal contact; values in the
tests), and the seating against the stored values.

Frames and signs are the same on both sides. Left out: closed fraction (defined differently), the metal that
stud holes take away (what cannot touch there is in), spigot.
"""

from __future__ import annotations

import numpy as np
import pytest

from sim.parts.case import Hub, Rotor
from sim.seating.seat import seat
from tests.verification.solid3d import cases, cyclic, linear, results, ring, run, stored
from tests.verification.solid3d.catalogue import CATALOGUE
from tests.verification.solid3d.deck import Body, Model
from tests.verification.solid3d.mesh import annulus_loads, facet_areas, graded, revolve

needs_solver = [
    pytest.mark.solver3d,
    pytest.mark.skipif(not run.installed(), reason="ccx is not installed (Debian: apt-get install calculix-ccx)"),
]
IRON = (110_000.0, 0.26)
# Beyond the reference's own half-width: what the two methods' idealisations may differ by.
AGREEMENT = 0.02
# A tenth of what the finest dial gauge tells apart; small runouts are not held to less. [um]
LEAST_UM = 0.1


def solver(function):
    """Mark a test that runs the solver."""
    for mark in needs_solver:
        function = mark(function)
    return function


def plain_ring(r, z, theta):
    """A plain ring of hexahedra."""
    return revolve(r, z, theta, np.ones((r.size - 1, z.size - 1), dtype=bool))


@pytest.mark.parametrize(("angle", "radii"), [(0.0, (7.5, 14.0)), (36.0, (7.0, 10.5)), (101.3, (8.0, 14.0))])
def test_a_stud_load_has_its_exact_force_and_moments(angle, radii):
    mesh = plain_ring(np.linspace(30.0, 76.0, 12), np.array([0.0, 7.0]), np.linspace(0.0, 360.0, 73))
    shares = annulus_loads(mesh, 7.0, (56.0, angle), radii)
    turn = np.radians(angle)
    assert shares.sum() == pytest.approx(1.0, abs=1e-12)
    assert shares @ mesh.nodes[:, 0] == pytest.approx(56.0 * np.cos(turn), abs=1e-9)
    assert shares @ mesh.nodes[:, 1] == pytest.approx(56.0 * np.sin(turn), abs=1e-9)


def test_half_a_model_carries_half_of_a_stud_on_its_plane():
    mesh = plain_ring(np.linspace(30.0, 76.0, 12), np.array([0.0, 7.0]), np.linspace(0.0, 180.0, 37))
    shares = annulus_loads(mesh, 7.0, (56.0, 0.0), (7.5, 14.0))
    assert shares.sum() == pytest.approx(0.5, abs=1e-12)


def test_facets_tile_the_polygon():
    mesh = plain_ring(np.linspace(34.0, 68.0, 9), np.array([0.0, 7.0]), np.linspace(0.0, 360.0, 73))
    polygon = 72 * 0.5 * np.sin(np.radians(5.0)) * (68.0**2 - 34.0**2)
    assert facet_areas(mesh, 7.0, (34.0, 68.0), (0.0, 360.0)).sum() == pytest.approx(polygon, rel=1e-12)


def test_a_vented_sector_holds_the_metal_of_its_drawing():
    entry = CATALOGUE["E7"]
    part, fine = entry.case.rotor, run.fineness(entry, "ring-coarse")
    theta = np.append(fine.planes_deg, fine.pitch_deg)
    mesh = cases.rotor_mesh(entry.case, cases.face_lines(entry.case, fine.density), theta, fine.density)
    corners = mesh.nodes[mesh.hexes]
    tets = [(0, 1, 3, 4), (1, 2, 3, 6), (1, 6, 3, 4), (1, 4, 5, 6), (3, 4, 6, 7)]
    edges = [corners[:, t[1:]] - corners[:, t[:1]] for t in tets]
    metal = part.vane_count * sum(np.abs(np.linalg.det(e)).sum() / 6.0 for e in edges)
    high = part.overall_height_mm - part.flange_thickness_mm - part.thickness_mm
    drawing = np.pi * (82.0**2 - 32.5**2) * 7.5 + np.pi * (82.0**2 - 75.0**2) * (high + 8.0)
    drawing += np.pi * ((160.0**2 - 82.0**2) + (160.0**2 - 91.0**2)) * 8.0 + 36 * 12.0 * 5.5 * (159.0 - 92.0)
    assert metal == pytest.approx(drawing, rel=2e-3)


@solver
def test_thick_ring_under_bore_pressure_is_lame():
    # Timoshenko, Strength of Materials: a 32.5, b 76, p 20 MPa give 10.09 um at the bore and 6.18 um at the rim.
    theta = np.linspace(0.0, 180.0, 73)
    mesh = plain_ring(graded(32.5, 76.0, 3.0, 0.7), np.linspace(0.0, 7.0, 3), theta)
    plane = np.nonzero(np.abs(mesh.nodes[:, 1]) < 1e-9)[0]
    opposite = np.array([mesh.node_at[0, 0, 36]])
    bottom = mesh.node_at[:, 0, :].ravel()
    watch = {"BORE": mesh.node_at[0, :, :].ravel(), "RIM": mesh.node_at[-1, :, :].ravel()}
    held = {1: opposite, 2: plane, 3: bottom}
    model = Model(Body(mesh, *IRON), held=held, force=linear.bore_force(mesh), watch=watch)
    printed, _ = run.solve(model)
    a, b = 32.5, 76.0
    ratio = 20.0 / 110_000.0 * a * a / (b * b - a * a)
    for name, r in (("BORE", a), ("RIM", b)):
        nodes = mesh.nodes[watch[name]]
        radial = (printed.displacement[name][:, :2] * nodes[:, :2]).sum(axis=1) / r
        assert radial.mean() == pytest.approx(ratio * ((1 - 0.26) * r + (1 + 0.26) * b * b / r), rel=3e-3)


def rim_deflection(thickness, pitch_deg, size):
    """Deflection of the loaded rim of a plate clamped at its bore, as a ring of equal sectors. [mm]"""
    copies = round(360.0 / pitch_deg)
    mesh = plain_ring(graded(76.0, 150.0, size, size / 4.0), np.linspace(0.0, thickness, 3), np.array([0.0, pitch_deg]))
    sector = cyclic.sector_of(Body(mesh, *IRON))
    rim, root = mesh.node_at[-1, :, 0], mesh.node_at[0, :, :].ravel()
    loads = np.zeros((copies // 2 + 1, sector.kept.size, 1), dtype=complex)
    loads[0, sector.position[rim], 0] = 1000.0 / rim.size
    answer = cyclic.flexibility(sector, copies, {"face": rim}, root, loads)
    deflection = cyclic.by_sector(answer.face_of_load[:, :, 0], copies)
    assert np.ptp(deflection.mean(axis=1)) < 1e-9 * deflection.mean()
    return deflection.mean()


@solver
def test_clamped_plate_is_roark_and_the_error_falls_with_the_mesh():
    # A ring-shaped plate held at its bore, pulled along its free rim: Roark's Formulas for Stress and Strain, table
    # 11.2; 0.010357 mm for t = 12 and 1000 N. At t = 2 shear no longer counts; deflection goes with 1 / t^3.
    exact = 0.010357 * 6.0**3
    rough, fine = (rim_deflection(2.0, *mesh) / exact - 1.0 for mesh in ((5.0, 6.0), (2.0, 3.0)))
    assert abs(fine) < 3e-3
    assert abs(fine) < 0.5 * abs(rough)


@solver
def test_the_solvers_contact_and_ours_agree_and_the_decks_still_run():
    # Same elements, same facets, same law, by two ways of solving: contact inside the solver (half a model with a plane
    # of symmetry), and a ring of equal sectors with our own contact iteration.
    entry = CATALOGUE["B"]
    direct = run.compute(entry, "direct-sparse")["outputs"]
    kept = stored.load()["cases"]["B"]["runs"]["direct-sparse"]["outputs"]
    ours, _ = ring.seat(entry.case, entry.mirror_deg, ring.Fineness(cases.DENSITIES["sparse"], 10.0))
    tir = direct["lateral_runout_um"]["outboard"]
    assert tir == pytest.approx(kept["lateral_runout_um"]["outboard"], rel=1e-3)
    assert direct["force_residual"] == pytest.approx(0.0, abs=1e-5)
    assert ours["lateral_runout_um"]["outboard"] == pytest.approx(tir, rel=5e-4)
    assert ours["debris_force_n"] == pytest.approx(direct["debris_force_n"], rel=1e-3)
    assert ours["mean_shift_um"] == pytest.approx(direct["mean_shift_um"], abs=0.02)
    np.testing.assert_allclose(ours["trace"]["outboard_um"], direct["trace"]["outboard_um"], atol=0.1)


@solver
def test_sectors_and_the_plane_of_symmetry_leave_the_answer_alone():
    # Turning the speck by one stud pitch turns the trace; solving half or all of the circle gives the same.
    entry, fine = CATALOGUE["E1"], ring.Fineness(cases.DENSITIES["sparse"], 12.0)
    tables = entry.tables | {"debris": [entry.tables["debris"][0] | {"arc_deg": 24.0}]}
    turned = tables | {"debris": [tables["debris"][0] | {"angle_deg": 72.0}]}
    half, _ = ring.seat(stored.case_of("half", tables), 0.0, fine)
    whole, _ = ring.seat(stored.case_of("turned", turned), None, fine)
    assert whole["lateral_runout_um"]["outboard"] == pytest.approx(half["lateral_runout_um"]["outboard"], rel=1e-6)
    for first, second in zip(half["harmonics_um"], whole["harmonics_um"], strict=True):
        order = first["order"]
        assert second["amplitude"] == pytest.approx(first["amplitude"], rel=1e-5)
        assert apart(second["high_spot_deg"], first["high_spot_deg"] + 72.0, 360.0 / order) < 1e-3


@solver
def test_a_wheel_on_the_rotor_carries_its_nuts_and_even_ones_tilt_nothing():
    sparse = ring.Fineness(cases.DENSITIES["sparse"], 12.0)
    entry = CATALOGUE["E13"]
    even = stored.case_of("even", entry.tables | {"studs": entry.tables["studs"] | {"preload_n": 50_000.0}})
    seated, _ = ring.seat(even, 0.0, sparse)
    assert max(one["amplitude"] for one in seated["harmonics_um"]) < 1e-3
    assert seated["face_force_n"] == pytest.approx(250_000.0, rel=1e-5)
    half, _ = ring.seat(entry.case, 0.0, sparse)
    whole, _ = ring.seat(entry.case, None, sparse)
    assert half["face_force_n"] == pytest.approx(210_000.0, rel=1e-5)
    assert half["harmonics_um"][0]["amplitude"] > 3.0
    np.testing.assert_allclose(half["trace"]["outboard_um"], whole["trace"]["outboard_um"], atol=1e-4)


def test_a_hole_takes_its_share_of_what_can_touch_and_a_dish_opens_inwards():
    fine = ring.Fineness(cases.DENSITIES["coarse"], 2.0)
    case = CATALOGUE["E15"].case
    low, high = cases.pad_span(case)
    r_pad = np.linspace(low, high, 20)
    pad = ring.facets(case, r_pad, fine, 25, first=5)
    polygon = 180 * 0.5 * np.sin(np.radians(2.0)) * (high**2 - low**2)
    assert polygon - pad.area.sum() == pytest.approx(5 * np.pi * 7.5**2, rel=0.02)
    assert pad.start_gap.min() == pytest.approx(0.0, abs=0.002)
    assert pad.start_gap.max() == pytest.approx(0.1, abs=0.002)
    assert set(pad.owner) == {ring.PAD}
    assert pad.shape.shape == (pad.area.size, 25 * 180)
    assert pad.shape.tocsc()[:, :5].nnz == 0  # the first rings belong to the hub face


def test_a_patch_that_ends_beside_the_mesh_planes_is_refused():
    entry = CATALOGUE["E25"]
    wider = stored.case_of("wider", entry.tables | {"debris": [entry.tables["debris"][0] | {"arc_deg": 14.0}]})
    with pytest.raises(ValueError, match="36 deg ends 1 deg beside the nearest mesh plane"):
        ring.seat(wider, 36.0, ring.Fineness(cases.DENSITIES["coarse"], 2.0))
    for name in stored.seatings():
        entry = CATALOGUE[name]
        ring._on_planes(entry.case, run.fineness(entry, "ring-coarse"))


def test_full_turn_and_orders_read_a_known_curve():
    theta = np.linspace(0.0, 180.0, 37)
    curve = 3.0 * np.cos(np.radians(theta)) + 1.0 * np.cos(np.radians(2.0 * theta))
    trace = results.full_turn(theta, curve, True, 36.0)
    found = results.orders(trace)
    assert [o["amplitude"] for o in found] == pytest.approx([3.0, 1.0, 0.0], abs=1e-4)
    assert found[0]["high_spot_deg"] == pytest.approx(36.0, abs=1e-3)
    assert found[1]["high_spot_deg"] == pytest.approx(36.0, abs=1e-3)
    # Highest 4 at 0; lowest where cos = -3/4: -2.125.
    assert results.swing(trace) == pytest.approx(6.125, abs=1e-3)


def apart(one, other, period):
    """Smallest distance between two angles of a given period."""
    return abs((one - other + 0.5 * period) % period - 0.5 * period)


# Stored values against the other model: case, what, value, allowed.
EARLIER = [
    # Creeps up with refinement, since the glued edge is a singular corner: 0.1009 (5 deg) to 0.1026 (0.3 mm edges).
    ("A", lambda out: out["axial_mm"][0], 0.1016, 0.0010),
    ("A", lambda out: out["axial_mm"][4], -0.0032, 0.0001),
    ("D", lambda out: out["bore_radial_mm"], 0.00941, 0.00002),
    ("D", lambda out: out["bore_hoop_mpa"], 26.70, 0.20),
    ("D", lambda out: out["gauge_axial_mm"], -0.00437, 0.00007),
]


@pytest.mark.parametrize(("name", "pick", "value", "allowed"), EARLIER)
def test_linear_cases_match_another_model(name, pick, value, allowed):
    outputs = stored.load()["cases"][name]["runs"]["direct-fine"]["outputs"]
    assert pick(outputs) == pytest.approx(value, abs=allowed)


def test_the_speck_on_a_rigid_hub_matches_another_model():
    ours = stored.reference("B")
    assert ours.lateral_runout_um["outboard"] == pytest.approx(191.2, abs=0.6 + ours.lateral_runout_half_um)
    assert ours.amplitude_um[:2] == pytest.approx((82.1, 44.8), abs=0.5)
    assert ours.amplitude_um[2] == pytest.approx(6.9, abs=0.1)
    assert ours.debris_force_n[0] == pytest.approx(21_100.0, abs=200.0)
    curve = [154.3, 149.3, 135.0, 113.2, 86.7, 58.5, 31.4, 7.7, -11.0, -24.4, -32.5, -36.3, -36.8]
    curve += [-35.0, -32.1, -29.0, -26.2, -24.3, -23.7]
    mean = (curve[0] + curve[-1] + 2.0 * sum(curve[1:-1])) / 36.0
    np.testing.assert_allclose(np.array(ours.trace_um[:37:2]), np.array(curve) - mean, atol=1.0)


@pytest.mark.parametrize("name", stored.seatings())
def test_stored_inputs_are_those_of_the_catalogue(name):
    assert stored.reference(name).case == CATALOGUE[name].case


def test_stored_forces_balance():
    for name in stored.seatings():
        for level, outcome in stored.load()["cases"][name]["runs"].items():
            assert abs(outcome["outputs"]["force_residual"]) < 1e-4, (name, level)


@pytest.mark.parametrize("name", stored.seatings())
def test_seating_agrees_with_three_dimensions(name):
    theirs = stored.reference(name)
    ours = seat(theirs.case)
    tir = theirs.lateral_runout_um["outboard"]
    allowed = AGREEMENT * tir + theirs.lateral_runout_half_um + LEAST_UM
    for face in ("outboard", "inboard"):
        assert ours.lateral_runout_um[face] == pytest.approx(theirs.lateral_runout_um[face], abs=allowed)
    trace = ours.outboard_um
    np.testing.assert_allclose(trace[::5], theirs.trace_um, atol=allowed)
    spectrum = np.fft.rfft(trace) * 2.0 / trace.size
    for order, amplitude in enumerate(theirs.amplitude_um, start=1):
        # Higher orders are small beside the whole: they are held to its tolerance, not to their own size.
        half = theirs.amplitude_half_um[order - 1]
        assert abs(spectrum[order]) == pytest.approx(amplitude, abs=AGREEMENT * theirs.amplitude_um[0] + half)
        if amplitude > 0.05 * tir:
            crest = np.degrees(-np.angle(spectrum[order])) / order
            assert apart(crest, theirs.high_spot_deg[order - 1], 360.0 / order) < 1.0
    for force, value, half in zip(
        ours.contact.debris_force_n, theirs.debris_force_n, theirs.debris_force_half_n, strict=True
    ):
        # The force on a hard patch follows the stiffness right under it, which runout hardly feels.
        assert force == pytest.approx(value, abs=0.05 * value + half)


def test_the_elastic_hub_matters():
    # The same speck at the same clamp force: a steel hub takes away more than a fifth of the runout, and makes it
    # almost pure tilt. (The stored cases differ in nothing but the hub.)
    rigid, elastic = stored.reference("B"), stored.reference("E1")
    assert rigid.case.hub == Hub(material="rigid")
    assert elastic.case.hub == Hub()
    assert rigid.case.rotor == elastic.case.rotor == Rotor(hole_diameter_mm=0.0)
    assert elastic.lateral_runout_um["outboard"] < 0.8 * rigid.lateral_runout_um["outboard"]
    assert elastic.amplitude_um[1] / elastic.amplitude_um[0] < 0.25 < rigid.amplitude_um[1] / rigid.amplitude_um[0]
