"""Half a rotor on a rigid spigot with scale on one side: meshes, contact pairs, deck.

Two cases: ``home`` (face and bore in contact without friction, studs pulling) and ``pushed`` (the rotor stands off the
face and is pushed down evenly with friction on the bore). Linear geometry; scale and spigot are held shells of
elements. The plane of symmetry runs through the middle of the scale, which lies at 180 degrees.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.parts.case import Case
from tests.verification.solid3d.mesh import Floats, Mesh, annulus_loads, graded, rectangles, revolve, subdivide

IRON = (110_000.0, 0.26)
BELOW_MM = 1.0e-3  # the face starts this much below touching, so that the first guess is "closed"
SHELL_MM = 2.0


@dataclass(frozen=True)
class Fine:
    """Mesh sizes: sectors [deg]; along the flange, at the bore, plate and wall, corner [mm]; layers of the bore."""

    sector_deg: float
    flange_mm: float
    bore_mm: float
    plate_mm: float
    wall_mm: float
    corner_mm: float
    band_mm: float


FINENESS = {
    "rough": Fine(15.0, 10.0, 4.5, 25.0, 8.0, 4.0, 3.5),  # shows that the deck still gives what is stored, nothing else
    "light": Fine(6.0, 4.0, 1.5, 10.0, 3.0, 1.5, 1.75),
    "coarse": Fine(3.75, 3.0, 1.0, 8.0, 2.0, 1.0, 1.2),
    "fine": Fine(2.5, 2.5, 0.7, 6.0, 1.5, 0.8, 0.8),
}


@dataclass(frozen=True)
class Ask:
    """What is solved: stand-off (0: home) and sideways start [mm], friction, travel of the push [mm]."""

    stand_off_mm: float = 0.0
    aside_mm: float = 0.0
    friction: float = 0.0
    travel_mm: float = 0.0
    layer_n_mm3: float = 1.0e6

    @property
    def home(self) -> bool:
        """Whether the rotor lies on the face."""
        return self.stand_off_mm == 0.0


def rotor_mesh(case: Case, fine: Fine, theta: Floats, band_edge_mm: float) -> Mesh:
    """The solid rotor, fine at the bore and where flange, hat and plate meet."""
    part = case.rotor
    bore, outer = part.bore_diameter_mm / 2, part.outer_diameter_mm / 2
    hat_out, hat_in = part.hat_outer_diameter_mm / 2, part.hat_inner_radius_mm
    plate, top = part.ring_inner_diameter_mm / 2, part.flange_thickness_mm
    low = top - part.overall_height_mm
    high = low + part.thickness_mm
    gauge = outer - case.gauge.from_edge_mm
    face_in, face_out = case.hub.face_inner_diameter_mm / 2, case.hub.face_diameter_mm / 2
    r = np.concatenate(
        [
            subdivide([bore, face_in], fine.bore_mm),
            graded(face_in, face_out, fine.flange_mm, fine.bore_mm, fine.corner_mm),
            subdivide([face_out, min(plate, hat_in), hat_in], fine.corner_mm),
            subdivide([hat_in, hat_out], fine.wall_mm),
            graded(hat_out, gauge, fine.plate_mm, fine.corner_mm),
            subdivide([gauge, outer], fine.plate_mm),
        ]
    )
    r = np.unique(np.round(r, 9))
    inner = [0.0, band_edge_mm, top] if 0.0 < band_edge_mm < top else [0.0, top]
    z = np.concatenate(
        [
            graded(low, high, min(fine.plate_mm, part.thickness_mm / 3), last=fine.corner_mm),
            graded(high, 0.0, fine.plate_mm, fine.corner_mm, fine.corner_mm)[1:],
            subdivide(inner, fine.band_mm)[1:],
        ]
    )
    boxes = [(bore, hat_out, 0.0, top), (hat_in, hat_out, low, top), (plate, outer, low, high)]
    return revolve(r, z, theta, rectangles(r, z, boxes))


def shell(radius_mm: float, z_mm: tuple[float, float], theta: Floats, size: float) -> Mesh:
    """A held shell whose outer surface is what the bore meets."""
    r = np.array([radius_mm - SHELL_MM, radius_mm])
    z = subdivide([z_mm[0], z_mm[1]], size)
    return revolve(r, z, theta, np.ones((1, z.size - 1), dtype=bool))


def lines(case: Case, fine: Fine) -> Floats:
    """Sector lines over half a turn, through the border of the scale, closer beside it. [deg]"""
    half = case.spigot_scale[0].arc_deg / 2
    edge = 180.0 - half
    if half >= 180.0:
        return subdivide([0.0, 180.0], fine.sector_deg)
    near = [edge - 2 * fine.sector_deg, edge + 2 * fine.sector_deg]
    return subdivide([0.0, *near, edge, 180.0], fine.sector_deg, fine.sector_deg / 2, (edge,))


def deck(case: Case, ask: Ask, fine: Fine) -> tuple[str, Mesh]:
    """Text of the input deck, and the rotor's mesh."""
    scale = case.spigot_scale[0]
    theta = lines(case, fine)
    spigot = case.hub.spigot_diameter_mm / 2
    local_edge = scale.to_face_mm - ask.stand_off_mm
    rotor = rotor_mesh(case, fine, theta, local_edge)
    border = 180.0 - scale.arc_deg / 2
    scaled = theta[theta >= border - 1e-9] if border > 0 else theta
    shells = {
        "BARE": shell(spigot, (-1.0, case.hub.spigot_length_mm + 1.0), theta, 4 * fine.band_mm),
        "SCALE": shell(
            spigot + scale.height_um / 1000.0, (scale.from_face_mm - 1.0, scale.to_face_mm), scaled, 4 * fine.band_mm
        ),
    }
    if ask.home:
        r = subdivide([case.hub.face_inner_diameter_mm / 2, case.hub.face_diameter_mm / 2], fine.flange_mm)
        shells["FACE"] = revolve(r, np.array([-1.0, 0.0]), theta, np.ones((r.size - 1, 1), dtype=bool))
    rotor.nodes[:, 0] += ask.aside_mm
    rotor.nodes[:, 2] += -BELOW_MM if ask.home else ask.stand_off_mm
    text, first = _bodies(rotor, shells)
    text += _pairs(case, ask, rotor, shells, first, (border, local_edge))
    text += _held(rotor, shells)
    return "\n".join(text + _step(case, ask, rotor, shells)) + "\n", rotor


def _bodies(rotor: Mesh, shells: dict[str, Mesh]) -> tuple[list[str], dict[str, int]]:
    meshes = {"ROTOR": rotor, **shells}
    text, first, node, element = ["*NODE, NSET=EVERY"], {}, 0, 0
    elements: list[str] = []
    for name, mesh in meshes.items():
        text += [f"{node + k + 1},{x:.10g},{y:.10g},{z:.10g}" for k, (x, y, z) in enumerate(mesh.nodes)]
        first[name] = element
        kind = "C3D8I" if name == "ROTOR" else "C3D8"
        elements.append(f"*ELEMENT, TYPE={kind}, ELSET={name}")
        elements += [
            f"{element + k + 1}," + ",".join(str(n + node + 1) for n in row) for k, row in enumerate(mesh.hexes)
        ]
        node, element = node + mesh.nodes.shape[0], element + mesh.hexes.shape[0]
    for name in meshes:
        young, nu = IRON if name == "ROTOR" else (1e6, 0.0)
        elements += [f"*MATERIAL, NAME={name}", "*ELASTIC", f"{young},{nu}"]
        elements += [f"*SOLID SECTION, ELSET={name}, MATERIAL={name}"]
    return text + elements, first


def _pairs(
    case: Case, ask: Ask, rotor: Mesh, shells: dict[str, Mesh], first: dict[str, int], where: tuple[float, float]
) -> list[str]:
    """Bore facets over scale meet the scale, the others the bare spigot; the face meets the hub's."""
    border, edge = where
    z_mid = (rotor.z[1:] + rotor.z[:-1]) / 2
    turn = (rotor.theta[1:] + rotor.theta[:-1]) / 2
    k, j = np.nonzero(rotor.hex_at[0] >= 0)
    low = case.spigot_scale[0].from_face_mm - ask.stand_off_mm
    over = (turn[j] > border) & (z_mid[k] < edge) & (z_mid[k] > low)
    reach = z_mid[k] < case.hub.spigot_length_mm - ask.stand_off_mm
    bore = rotor.hex_at[0, k, j]
    upper = {"SCALE": bore[over & reach], "BARE": bore[~over & reach]}
    text = ["*SURFACE INTERACTION, NAME=RUB", "*SURFACE BEHAVIOR, PRESSURE-OVERCLOSURE=LINEAR", f"{ask.layer_n_mm3}"]
    if ask.friction > 0:
        text += ["*FRICTION", f"{ask.friction},{ask.layer_n_mm3 / 2}"]
    text += ["*SURFACE INTERACTION, NAME=FLAT", "*SURFACE BEHAVIOR, PRESSURE-OVERCLOSURE=LINEAR", f"{ask.layer_n_mm3}"]
    for name, facets in upper.items():
        masters = first[name] + shells[name].hex_at[0].ravel()
        text += _pair(name, facets, "S6", masters, "S4", "RUB")
    if ask.home:
        inner, outer = rotor.ring(case.hub.face_inner_diameter_mm / 2), rotor.ring(case.hub.face_diameter_mm / 2)
        flat = rotor.hex_at[inner:outer, rotor.plane(0.0), :].ravel()
        text += _pair("FACE", flat, "S1", first["FACE"] + shells["FACE"].hex_at.ravel(), "S2", "FLAT")
    return text


def _pair(name: str, slaves: Floats, side: str, masters: Floats, other: str, interaction: str) -> list[str]:
    text = [f"*SURFACE, NAME=U{name}, TYPE=ELEMENT"] + [f"{e + 1},{side}" for e in slaves]
    text += [f"*SURFACE, NAME=L{name}, TYPE=ELEMENT"] + [f"{e + 1},{other}" for e in masters]
    return text + [
        f"*CONTACT PAIR, INTERACTION={interaction}, TYPE=SURFACE TO SURFACE",
        f"U{name},L{name}",
    ]


def _held(rotor: Mesh, shells: dict[str, Mesh]) -> list[str]:
    node = rotor.nodes.shape[0]
    total = node + sum(mesh.nodes.shape[0] for mesh in shells.values())
    mirror = np.flatnonzero(np.abs(rotor.nodes[:, 1]) < 1e-9)
    text = ["*NSET, NSET=HELD, GENERATE", f"{node + 1},{total}"]
    return text + ["*NSET, NSET=MIRROR", *(f"{n + 1}," for n in mirror)]


def _step(case: Case, ask: Ask, rotor: Mesh, shells: dict[str, Mesh]) -> list[str]:
    count = rotor.nodes.shape[0]
    total = count + sum(mesh.nodes.shape[0] for mesh in shells.values())
    low = case.rotor.flange_thickness_mm - case.rotor.overall_height_mm
    ring = rotor.ring(case.rotor.outer_diameter_mm / 2 - case.gauge.from_edge_mm)
    gauge = rotor.node_at[ring, rotor.plane(low + case.rotor.thickness_mm), :]
    text = ["*NSET, NSET=OUTBOARD", *(f"{n + 1}," for n in gauge)]
    layers = np.flatnonzero(rotor.z >= -1e-9)
    text += ["*NSET, NSET=BORE", *(f"{n + 1}," for n in rotor.node_at[0, layers, :].ravel())]
    bored = rotor.hex_at[:2, layers[0] :, :]
    text += ["*ELSET, ELSET=STRESS", *(f"{e + 1}," for e in bored.ravel())]
    pulled = np.zeros(count)
    seat = (case.studs.seat_inner_diameter_mm / 2, case.studs.seat_outer_diameter_mm / 2)
    top = case.rotor.flange_thickness_mm
    for k in range(case.studs.count):
        centre = (case.studs.pitch_circle_mm / 2, 360.0 * k / case.studs.count)
        pulled += annulus_loads(rotor, top, centre, seat)
    reference = total + 1
    if not ask.home:
        # One more node moves as the weighted mean of the stud seats: an even push that leaves the rotor free to lean.
        share = pulled / pulled.sum()
        nodes = np.flatnonzero(share > 0)
        nodes = nodes[np.argsort(-share[nodes])]
        text += ["*NODE, NSET=PUSHED", f"{reference},0.,0.,{top + 5.0}", "*EQUATION", f"{nodes.size + 1}"]
        terms = [f"{n + 1},3,{share[n]:.12g}" for n in nodes] + [f"{reference},3,-1."]
        text += [",".join(terms[k : k + 4]) for k in range(0, len(terms), 4)]
        text += ["*BOUNDARY", f"{reference},1,2"]
    text += ["*BOUNDARY", "HELD,1,3", "MIRROR,2,2"]
    if ask.home:
        text += ["*STEP, INC=200", "*STATIC, DIRECT", "1.,1.", "*CLOAD"]
        text += [f"{n + 1},3,{-case.studs.preload_n * pulled[n]:.12g}" for n in np.flatnonzero(pulled)]
    else:
        # First let the overlap settle without moving, then push.
        text += ["*STEP, INC=200", "*STATIC", "0.5,1.", "*BOUNDARY", f"{reference},3,3,0.", "*END STEP"]
        text += ["*STEP, INC=500", "*STATIC", "0.1,1.,1e-4,0.2", "*BOUNDARY", f"{reference},3,3,{-ask.travel_mm}"]
        text += ["*NODE PRINT, NSET=PUSHED, FREQUENCY=100", "RF"]
    text += ["*NODE PRINT, NSET=OUTBOARD, FREQUENCY=100", "U", "*NODE PRINT, NSET=BORE, FREQUENCY=100", "U"]
    text += ["*EL PRINT, ELSET=STRESS, FREQUENCY=100", "S"]
    for name in ("BARE", "SCALE", *(["FACE"] if ask.home else [])):
        text += [f"*CONTACT PRINT, SLAVE=U{name}, MASTER=L{name}, FREQUENCY=100", "CF"]
    return text + ["*END STEP"]
