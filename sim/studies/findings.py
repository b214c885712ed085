"""The physical findings, each as a sweep of one thing on one corner: what the lever says, what parts that bend do."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim.arrays import Floats
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris, Studs
from sim.parts.checked import need_kind
from sim.progress import Progress, need_listener, silent
from sim.seating.seat import Seat, seat
from sim.turn import harmonics, tir
from sim.units import shortest_deg

SPECK_UM = 100.0  # the speck of the sweeps: invented
SPECK_MM = 8.0  # its radial size
SPECK_DEG = 20.0  # its arc
FLANGES_MM = (8.0, 10.0, 12.0, 16.0, 20.0, 25.0)  # hub flanges from thin to thick; judgement
DRAWN = 64  # specks drawn for the place of the high spot: a power of two, as Sobol points ask
DRAWN_UM = (20.0, 200.0)  # their heights: judgement
READ_UM = 50.0  # above it somebody looks for a cause; usual limit of a mounted rotor, common practice, no source
NEAR_DEG = 30.0  # one of the twelve places to either side
BAD_UM = (40.0, 60.0)  # runout of a bad hub face and of a bad rotor by themselves; judgement
HUB_NAMES = (*(f"{thick:g}" for thick in FLANGES_MM), "rigid")


@dataclass(frozen=True)
class Curve:
    """One line of a finding: values over what was varied; not a number where physics refuses."""

    name: str
    values: tuple[float, ...]


@dataclass(frozen=True)
class Effect:
    """A physical effect and the figures behind it.

    Parameters
    ----------
    key : str
        Short name, also of its file.
    says : str
        The finding in one sentence, made from the figures.
    varied, unit : str
        What was varied, and its unit; empty unit for names.
    over : tuple of float or str
    answer, answer_unit : str
        What the curves show.
    curves : tuple of Curve
    """

    key: str
    says: str
    varied: str
    unit: str
    over: tuple[float | str, ...]
    answer: str
    answer_unit: str
    curves: tuple[Curve, ...]


def bare(case: Case) -> Case:
    """Return the same geometry clean, true and evenly clamped: a sweep shows one thing at a time.

    Parameters
    ----------
    case : Case

    Returns
    -------
    Case
        Without dirt and the parts' own errors, on an elastic hub, nuts and spacers on every stud, not indexed.
    """
    rotor = replace(
        case.rotor,
        own_runout_um=0.0,
        own_thickness_variation_um=0.0,
        flange_dish_um=0.0,
        flange_saddle_um=0.0,
        face_map=None,
    )
    hub = replace(case.hub, face_runout_um=0.0, face_dish_um=0.0, face_saddle_um=0.0, face_map=None)
    hub = replace(hub, material="steel") if hub.material == "rigid" else hub
    studs = replace(case.studs, clamped_by="nuts and spacers", studs_turned=0, index_positions=None)
    if isinstance(studs.torque_nm, tuple):
        studs = replace(studs, torque_nm=max(studs.torque_nm))
    if isinstance(studs.preload_n, tuple):
        studs = replace(studs, preload_n=max(studs.preload_n))
    clean = replace(case, rotor=rotor, hub=hub, studs=studs, debris=(), spigot_scale=())
    return replace(clean, hub_topography=None, rotor_topography=None)


def speck(case: Case, outer_mm: float, angle_deg: float) -> Debris:
    """Return the speck of the sweeps, its outer edge at one radius."""
    inner = max(outer_mm - SPECK_MM, case.contact_zone_mm[0])
    return Debris(
        angle_deg=angle_deg, arc_deg=SPECK_DEG, inner_radius_mm=inner, outer_radius_mm=outer_mm, height_um=SPECK_UM
    )


def _force(studs: Studs, force_n: float) -> Studs:
    return replace(studs, torque_nm=None, preload_n=force_n)


def _runout(case: Case) -> float:
    return seat(case).gauge_runout_um


def by_radius(case: Case) -> Effect:
    """Elastic against the lever, by radius of the speck, at a stud and between studs.

    Runout in um, radius in mm; seated by `sim.seating`, the lever by geometry.
    """
    inner, outer = case.contact_zone_mm
    edges = tuple(float(x) for x in np.linspace(outer, inner + SPECK_MM, 7))
    half = case.studs.pitch_deg / 2
    at_stud = [seat(replace(case, debris=(speck(case, r, 0.0),))) for r in edges]
    between = [seat(replace(case, debris=(speck(case, r, half),))) for r in edges]
    lever = tuple(one.rigid_runout_um for one in at_stud)
    first, last = at_stud[0].gauge_runout_um, at_stud[-1].gauge_runout_um
    return Effect(
        "radius",
        f"The lever of a stiff plate says {lever[0]:.0f} µm where the face ends and {lever[-1]:.0f} further in; parts "
        f"that bend read {first:.0f} and {last:.0f}: wrong in size, and wrong in trend.",
        "outer edge of the speck at radius",
        "mm",
        edges,
        "lateral runout",
        "µm",
        (
            Curve("stiff plate (lever)", lever),
            Curve("elastic, at a stud", tuple(one.gauge_runout_um for one in at_stud)),
            Curve("elastic, between studs", tuple(one.gauge_runout_um for one in between)),
        ),
    )


def by_angle(case: Case) -> Effect:
    """Runout as the speck moves from one stud to the next."""
    outer = case.contact_zone_mm[1]
    angles = tuple(float(x) for x in np.linspace(0.0, case.studs.pitch_deg, 9))
    found = [seat(replace(case, debris=(speck(case, outer, a),))) for a in angles]
    values = tuple(one.gauge_runout_um for one in found)
    lever = tuple(one.rigid_runout_um for one in found)
    return Effect(
        "stud",
        f"The same speck reads {values[0]:.0f} µm at a stud and {values[len(values) // 2]:.0f} µm half way between "
        "studs; the lever sees no difference.",
        "angle of the speck, stud 1 at 0",
        "deg",
        angles,
        "lateral runout",
        "µm",
        (Curve("stiff plate (lever)", lever), Curve("elastic", values)),
    )


def _second_share(one: Seat) -> float:
    orders = abs(harmonics(one.outboard_um, 2))
    return float(100.0 * orders[2] / orders[1])


def by_clamp(case: Case) -> Effect:
    """Runout by clamp force of a stud, speck at a stud and between studs.

    Runout in um, force in N; seated by `sim.seating`; what is found is ours, no other source.
    """
    forces = (2_000.0, 5_000.0, 10_000.0, 20_000.0, 35_000.0, 50_000.0, 65_000.0)
    outer, half = case.contact_zone_mm[1], case.studs.pitch_deg / 2

    def line(angle: float) -> tuple[float, ...]:
        dirty = replace(case, debris=(speck(case, outer, angle),))
        return tuple(_runout(replace(dirty, studs=_force(case.studs, force))) for force in forces)

    at_stud, between = line(0.0), line(half)
    return Effect(
        "clamp",
        f"More clamp force bends the parts round the speck: {at_stud[0]:.0f} µm at 2 kN a stud, {at_stud[-2]:.0f} at "
        f"50 kN; between studs {between[0]:.0f} and {between[-2]:.0f}.",
        "clamp force of each stud",
        "kN",
        tuple(force / 1000.0 for force in forces),
        "lateral runout",
        "µm",
        (Curve("speck at a stud", at_stud), Curve("speck between studs", between)),
    )


def _hubs(case: Case, angle_deg: float) -> list[Seat]:
    """The speck where the face ends, on flanges of `FLANGES_MM`, then on a rigid hub."""
    dirty = replace(case, debris=(speck(case, case.contact_zone_mm[1], angle_deg),))
    hubs = [replace(case.hub, flange_thickness_mm=thick) for thick in FLANGES_MM]
    return [seat(replace(dirty, hub=hub)) for hub in (*hubs, replace(case.hub, material="rigid"))]


def by_hub(case: Case) -> Effect:
    """Runout by thickness of the hub's flange, rigid hub beside it.

    Runout in um, thickness in mm; seated by `sim.seating`; what is found is ours, no other source.
    """
    at_stud, between = (
        tuple(one.gauge_runout_um for one in _hubs(case, angle)) for angle in (0.0, case.studs.pitch_deg / 2)
    )
    return Effect(
        "hub",
        f"The hub bends too: {at_stud[0]:.0f} µm on a flange of {FLANGES_MM[0]:g} mm, {at_stud[-1]:.0f} on a hub that "
        "does not.",
        "thickness of the hub's flange, mm",
        "",
        HUB_NAMES,
        "lateral runout",
        "µm",
        (Curve("speck at a stud", at_stud), Curve("speck between studs", between)),
    )


def by_second(case: Case) -> Effect:
    """Second order over the first by thickness of the hub's flange.

    Amplitudes in um; seated by `sim.seating`; what is found is ours, no other source.
    """
    at_stud, between = (tuple(map(_second_share, _hubs(case, angle))) for angle in (0.0, case.studs.pitch_deg / 2))
    return Effect(
        "second order",
        f"One high spot does not mean a simple lean: the second wave is {at_stud[-1]:.0f} per cent of the first on a "
        f"rigid hub, {at_stud[0]:.0f} on a flange of {FLANGES_MM[0]:g} mm.",
        "thickness of the hub's flange, mm",
        "",
        HUB_NAMES,
        "second order over first",
        "%",
        (Curve("speck at a stud", at_stud), Curve("speck between studs", between)),
    )


def by_crushing(case: Case) -> Effect:
    """Runout by crushing pressure at low and at full clamp force."""
    pressures = (20.0, 50.0, 75.0, 100.0, 125.0, 150.0, 200.0, 300.0, 500.0)
    patch = replace(speck(case, case.contact_zone_mm[1], 0.0), modulus_mpa=5000.0, residual_share=0.0)

    def line(force: float) -> tuple[float, ...]:
        clamped = replace(case, studs=_force(case.studs, force))
        return tuple(_runout(replace(clamped, debris=(replace(patch, crush_mpa=p),))) for p in pressures)

    low, full = line(15_000.0), line(50_000.0)
    return Effect(
        "crushing",
        f"Crushing is a switch: dirt that crushes at 100 MPa leaves {low[3]:.0f} µm at 15 kN a stud and {full[3]:.0f} "
        f"at 50 kN; at 300 MPa it leaves {low[7]:.0f} and {full[7]:.0f}.",
        "pressure at which the dirt crushes",
        "MPa",
        pressures,
        "lateral runout",
        "µm",
        (Curve("15 kN a stud", low), Curve("50 kN a stud", full)),
    )


def by_loose_stud(case: Case) -> Effect:
    """Runout of a clean corner when one stud is looser than the rest, elastic and rigid hub.

    Runout in um, force in N; seated by `sim.seating`; what is found is ours, no other source.
    """
    shares = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
    full = 50_000.0

    def line(hub_material: str) -> tuple[float, ...]:
        corner = replace(case, hub=replace(case.hub, material=hub_material))
        loads = [(share * full, *([full] * (case.studs.count - 1))) for share in shares]
        return tuple(_runout(replace(corner, studs=replace(case.studs, torque_nm=None, preload_n=p))) for p in loads)

    steel, rigid = line(case.hub.material), line("rigid")
    return Effect(
        "loose stud",
        f"One nut off leans a clean rotor by {steel[0]:.0f} µm on an elastic hub, {rigid[0]:.1f} on a rigid one.",
        "clamp force of stud 1 over the others",
        "share",
        shares,
        "lateral runout",
        "µm",
        (Curve("elastic hub", steel), Curve("rigid hub", rigid)),
    )


def by_index(case: Case) -> Effect:
    """First and second order as a rotor with runout of its own is indexed on a dirty hub.

    Runout in um; seated by `sim.seating`; what is found is ours, no other source.
    """
    dirty = replace(case, debris=(speck(case, case.contact_zone_mm[1], 0.0),))
    first = abs(harmonics(seat(dirty).outboard_um, 1)[1])
    own = replace(case.rotor, own_runout_um=float(2.0 * first), own_high_spot_deg=0.0)
    positions = tuple(range(case.studs.count))
    found = [
        abs(harmonics(seat(replace(dirty, rotor=own, studs=replace(case.studs, studs_turned=k))).outboard_um, 2))
        for k in positions
    ]
    ones, twos = tuple(float(2 * f[1]) for f in found), tuple(float(2 * f[2]) for f in found)
    return Effect(
        "indexing",
        f"Indexing cancels the lean ({max(ones):.0f} down to {min(ones):.0f} µm, first order), never the second "
        f"wave of the seat ({min(twos):.0f} µm everywhere).",
        "studs by which the rotor is turned",
        "",
        tuple(str(k) for k in positions),
        "twice the amplitude",
        "µm",
        (Curve("first order", ones), Curve("second order", twos)),
    )


def _far_round(corner: Case, turn: Floats) -> Floats:
    """How far the high spot lies from specks drawn on one corner, of those that read enough to look for a cause.

    Hub and rotor of the corner run out towards angles of their own, as drawn with each speck. Shape (n, 2): as read,
    and with what hub and rotor read by themselves taken off place by place. [deg].
    """
    inner, outer = corner.contact_zone_mm
    off = []
    for place, across, height, hub_deg, rotor_deg in turn:
        edge = np.sqrt((inner + SPECK_MM) ** 2 + across * (outer**2 - (inner + SPECK_MM) ** 2))
        height_um = float(DRAWN_UM[0] * (DRAWN_UM[1] / DRAWN_UM[0]) ** height)
        dirt = replace(speck(corner, float(edge), 360.0 * place), height_um=height_um)
        clean = replace(
            corner,
            hub=replace(corner.hub, face_high_spot_deg=360.0 * hub_deg),
            rotor=replace(corner.rotor, own_high_spot_deg=360.0 * rotor_deg),
        )
        trace = seat(replace(clean, debris=(dirt,)), preset="fast").outboard_um
        if tir(trace) > READ_UM:
            less = trace - seat(clean, preset="fast").outboard_um
            high_deg = np.argmax([trace, less], axis=1) * 360.0 / trace.size
            off.append(np.abs(shortest_deg(high_deg - dirt.angle_deg)))
    return np.array(off).reshape(-1, 2)


def by_high_spot(case: Case) -> Effect:
    """How far from the speck the high spot lies, by how good hub and rotor are: specks drawn anywhere on the face.

    Angles in degrees; seated by `sim.seating`. How strongly it holds over part sets, kinds of dirt and nuts is a study
    of its own: ``python -m tests.studies.high_spot``.
    """
    from scipy.stats import qmc  # takes longer to load than all else

    hub_um, rotor_um = BAD_UM
    bad = replace(case, hub=replace(case.hub, face_runout_um=hub_um), rotor=replace(case.rotor, own_runout_um=rotor_um))
    turn = qmc.Sobol(5, rng=1).random(DRAWN)
    true_off, bad_off = _far_round(case, turn), _far_round(bad, turn)
    columns = (true_off[:, 0], bad_off[:, 0], bad_off[:, 1])
    within = (10.0, 20.0, NEAR_DEG, 45.0, 60.0, 90.0, 120.0, 150.0, 180.0)
    shares = [tuple(100.0 * float(np.mean(off <= w)) if off.size else np.nan for w in within) for off in columns]
    near = [f"{np.sum(off <= NEAR_DEG)} of {off.size}" for off in columns]
    runouts = f"hub {hub_um:.0f}, rotor {rotor_um:.0f} µm"
    return Effect(
        "high spot",
        f"On true parts the high spot lies within {NEAR_DEG:.0f}° of the speck in {near[0]} corners, on bad ones in "
        f"{near[1]}; take off what they read by themselves: {near[2]}.",
        f"high spot within so far of the speck, corners over {READ_UM:.0f} µm",
        "deg",
        within,
        "share of corners",
        "%",
        (
            Curve(f"{runouts}: as read", shares[1]),
            Curve("true hub and rotor", shares[0]),
            Curve(f"{runouts}: taken off", shares[2]),
        ),
    )


FINDINGS: Sequence[Callable[[Case], Effect]] = (
    by_radius,
    by_angle,
    by_clamp,
    by_hub,
    by_second,
    by_crushing,
    by_loose_stud,
    by_index,
    by_high_spot,
)


@one_thread
def findings(case: Case, progress: Progress = silent) -> tuple[Effect, ...]:
    """Work out every finding on the geometry of one corner.

    Parameters
    ----------
    case : Case
        Dirt and own errors are left out.
    progress : callable(fraction, what)

    Returns
    -------
    tuple of Effect

    Notes
    -----
    Units stand in each finding.
    """
    need_listener(progress)
    need_kind(case, Case)
    corner = bare(case)
    out = []
    for done, find in enumerate(FINDINGS):
        progress(done / len(FINDINGS), find.__name__.replace("_", " "))
        out.append(find(corner))
    progress(1.0, "done")
    return tuple(out)
