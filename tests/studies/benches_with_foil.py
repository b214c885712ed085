"""Benches on which a class fits foil: written apart from the forecast, with other distributions and a finer solver.

What the forecast takes as normal is uniform, log-uniform or heavy-tailed here; what it lumps together stands alone: a
strip is a true rectangle laid askew, its burr stands at its two cut edges and can be crushed, faces have waves and
hollows, torque differs mounting by mounting, hub and rotor are bodies of their own stiffness, solved by another preset.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim.bench.foil import Foil, Prescription
from sim.files.dial_readings import Readings, Trace
from sim.parts.case import Case, Debris
from sim.parts.materials import hub_metal, rotor_metal
from sim.parts.measured_face import Topography
from sim.seating.seat import seat
from sim.seating.studs import preloads_n

PRESET = "standard"
PIECES = 2  # sectors that make one rectangle
BURR_MM = 0.8  # as wide as a cut edge stands up


@dataclass(frozen=True)
class World:
    """What benches are drawn from."""

    name: str
    thickness_um: float = 3.0  # half-width of what a micrometer may be out
    burr_um: tuple[float, float] = (0.0, 8.0)
    radial_mm: float = 1.3  # half-widths of where a hand lays it
    along_mm: float = 1.8
    askew_deg: float = 6.0
    level: tuple[float, float] = (0.83, 1.2)  # clamp force over what the case says
    stud: float = 0.08  # half-width, stud by stud, each mounting
    layer: tuple[float, float] = (4e4, 3e5)  # [N/mm3], log-uniform
    waves_um: float = 2.5  # of either face, standard deviation of a component
    dish_um: float = 12.0  # half-width
    mounting_um: tuple[float, float] = (1.8, 4.0)  # standard deviation of a bench's own scatter, uniform within it
    heavy: bool = False  # or with long tails (Laplace)
    noise_um: tuple[float, float] = (1.8, 4.0)
    creep_um: float = 3.0
    gain: float = 0.03
    dial_um: tuple[float, ...] = (10.0, 10.0, 5.0)
    places: int = 12
    rotor_stiff: tuple[float, float] = (0.88, 1.12)
    hub_stiff: tuple[float, float] = (0.8, 1.25)


MATCHED = World("matched")
SHIFTED = (
    World("rough faces: waves of 6 µm, dishes to 25 µm", waves_um=6.0, dish_um=25.0),
    World("cut edges not dressed: burr of 8 to 25 µm", burr_um=(8.0, 25.0)),
    World("laid by eye: 4 mm along, 2.5 mm in", along_mm=4.0, radial_mm=2.5),
    World("poor wrench: 0.6 to 1.4 of the torque, studs by 20 %", level=(0.6, 1.4), stud=0.2),
    World("soft hub: 0.6 to 0.8 of its stiffness", hub_stiff=(0.6, 0.8)),
    World("stiff rotor: 1.12 to 1.3 of its stiffness", rotor_stiff=(1.12, 1.3)),
    World("scatter of the mountings with long tails", heavy=True),
    World("mountings that scatter by 5 to 7 µm", mounting_um=(5.0, 7.0)),
    World("dial of 1 µm, quiet", dial_um=(1.0,), noise_um=(0.5, 1.5)),
    World("eight places a turn", places=8),
)


def bodies(rng: np.random.Generator, case: Case, world: World) -> Case:
    """Hub and rotor of their own stiffness."""
    rotor = rotor_metal(case.rotor).youngs_mpa * rng.uniform(*world.rotor_stiff)
    hub = hub_metal(case.hub)
    changed = replace(case, rotor=replace(case.rotor, youngs_modulus_mpa=float(rotor)))
    if hub is None:
        return changed
    return replace(
        changed, hub=replace(case.hub, youngs_modulus_mpa=float(hub.youngs_mpa * rng.uniform(*world.hub_stiff)))
    )


def _face(rng: np.random.Generator, case: Case, world: World) -> Topography:
    """A face with a dish that is no cone, waves of two and three a turn, and a wave that dies towards the inside."""
    inner, outer = case.contact_zone_mm
    angle = np.arange(0.0, 360.0, 15.0)
    radius = np.linspace(inner, outer, 4)
    share = (outer - radius) / (outer - inner)
    height = -rng.uniform(-world.dish_um, world.dish_um) * share**1.6
    grid = np.tile(height, (angle.size, 1))
    for order in (2, 3, 5):
        part = rng.normal(0.0, world.waves_um / (order / 2), 2)
        wave = part[0] * np.cos(np.radians(order * angle)) + part[1] * np.sin(np.radians(order * angle))
        grid = grid + wave[:, None] * (1.0 - rng.uniform(0.0, 0.7) * share)
    return Topography(tuple(angle), tuple(radius), tuple(map(tuple, grid)))


def _torn(rng: np.random.Generator, foil: Foil, case: Case, world: World, thickness_um: float) -> list[Debris]:
    """One strip as cut and laid: a rectangle askew in two sectors, a burr at both cut edges."""
    inner, outer = case.contact_zone_mm
    edge = float(np.clip(foil.outer_radius_mm + rng.uniform(-1, 1) * world.radial_mm, inner + foil.length_mm, outer))
    middle = foil.angle_deg + np.degrees(rng.uniform(-1, 1) * world.along_mm / foil.middle_radius_mm)
    tilt = np.tan(np.radians(rng.uniform(-1, 1) * world.askew_deg))
    layer = case.contact.layer_stiffness_n_mm3
    height = thickness_um / 1000.0
    modulus = height / (height / 200_000.0 + 1.0 / layer)
    burr = float(rng.uniform(*world.burr_um))
    step = foil.length_mm / PIECES
    out = []
    for piece in range(PIECES):
        far = edge - piece * step
        radius = far - step / 2
        at = middle + np.degrees(tilt * (radius - foil.middle_radius_mm) / radius)
        arc = np.degrees(foil.width_mm / radius)
        common = {"kind": "hard", "inner_radius_mm": far - step, "outer_radius_mm": far, "modulus_mpa": float(modulus)}
        out.append(Debris(angle_deg=float(at), arc_deg=float(arc), height_um=thickness_um, **common))
        if burr < 0.5:
            continue
        narrow = np.degrees(BURR_MM / radius)
        for side in (-1.0, 1.0):
            stands = Debris(
                angle_deg=float(at + side * (arc - narrow) / 2),
                arc_deg=float(narrow),
                height_um=thickness_um + burr,
                crush_mpa=1500.0,
                residual_share=thickness_um / (thickness_um + burr),
                **common,
            )
            out.append(stands)
    return out


def _mounted(rng: np.random.Generator, case: Case, world: World, level: float) -> Case:
    each = np.array(preloads_n(case.studs)) * level * (1.0 + rng.uniform(-1, 1, case.studs.count) * world.stud)
    return replace(case, studs=replace(case.studs, torque_nm=None, preload_n=tuple(map(float, each))))


def read(rng: np.random.Generator, of: Prescription, body: Case, world: World, dial_um: float) -> Readings:
    """One class: mount without foil, the trials, mount without foil, as its dial showed them."""
    layer = float(np.exp(rng.uniform(*np.log(world.layer))))
    true = replace(
        body,
        contact=replace(body.contact, layer_stiffness_n_mm3=layer),
        hub_topography=_face(rng, body, world),
        rotor_topography=_face(rng, body, world),
    )
    level = float(rng.uniform(*world.level))
    thickness = of.trials[0].foils[0].thickness_um + float(rng.uniform(-1, 1) * world.thickness_um)
    at = np.arange(world.places) * 360.0 / world.places
    theta = np.radians(at)
    own = sum(
        size * rng.uniform(0.2, 1.0) * np.cos(order * theta - rng.uniform(0, 2 * np.pi))
        for order, size in ((1, 22.0), (2, 4.0), (3, 1.5))
    )
    scatter, noise = rng.uniform(*world.mounting_um), rng.uniform(*world.noise_um)
    gain = 1.0 + rng.uniform(-1, 1) * world.gain
    turns: list[Sequence[Foil]] = [(), *(trial.foils for trial in of.trials), ()]
    traces = []
    for number, foils in enumerate(turns, 1):
        dirt = tuple(piece for foil in foils for piece in _torn(rng, foil, true, world, thickness))
        seated = seat(replace(_mounted(rng, true, world, level), debris=dirt), PRESET)
        row = seated.outboard_um[np.round(at).astype(int)] + own
        for order, share in ((1, 1.0), (2, 0.35), (3, 0.25)):
            size = share * scatter
            part = (
                rng.laplace(0.0, size / np.sqrt(2.0), 2) if world.heavy else rng.uniform(-1, 1, 2) * size * np.sqrt(3.0)
            )
            row = row + part[0] * np.cos(order * theta) + part[1] * np.sin(order * theta)
        row = gain * row + rng.uniform(-1, 1) * world.creep_um * at / 360.0
        row = np.round((row + rng.normal(0.0, noise, at.size)) / dial_um) * dial_um
        traces.append(Trace("mounted", number, 0, at, row, 0.0, "cleaned", "", "nuts and spacers"))
    return Readings(body.studs.count, body.gauge_radius_mm, None, dial_um, tuple(traces))
