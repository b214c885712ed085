"""Cars as they are brought in, drawn from how faults come about, on part sets that nothing was tuned on.

A second invented population, written without a look at what the program or `tests.studies.corners_as_found` draws, and
a judgement in every figure: rust grows inward from the rim where salt water stands, and out of the spigot's corner;
chips fall in; a rotor that was overheated is warped, which bends its mounting face too; a hub was bent at a kerb; a nut
was forgotten half way; one wheel in four was put on with an impact gun.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim.parts.case import Case, Debris, Hub, Rotor, Studs, Wheel
from sim.parts.dirt import DIRT

PART_SETS = {
    "small, four studs": Case(
        rotor=Rotor(
            outer_diameter_mm=258, friction_inner_diameter_mm=164, ring_inner_diameter_mm=128, thickness_mm=9,
            minimum_thickness_mm=7.5, overall_height_mm=41, hat_outer_diameter_mm=134, hat_wall_mm=5.5,
            flange_thickness_mm=6, bore_diameter_mm=57.1, hole_diameter_mm=14,
        ),
        hub=Hub(
            face_diameter_mm=120, face_inner_diameter_mm=60, spigot_diameter_mm=57.04, spigot_length_mm=9,
            flange_thickness_mm=10, barrel_outer_diameter_mm=54, barrel_inner_diameter_mm=36, barrel_length_mm=34,
        ),
        studs=Studs(
            count=4, pitch_circle_mm=100, thread="M12x1.5", torque_nm=110.0, road_torque_nm=110.0,
            seat_inner_diameter_mm=14.0, seat_outer_diameter_mm=22.0,
        ),
    ),
    "van, vented": Case(
        rotor=Rotor(
            style="vented", outer_diameter_mm=340, friction_inner_diameter_mm=214, ring_inner_diameter_mm=190,
            thickness_mm=30, minimum_thickness_mm=28, overall_height_mm=58, hat_outer_diameter_mm=178, hat_wall_mm=8,
            flange_thickness_mm=9, bore_diameter_mm=72, hole_diameter_mm=16, cheek_thickness_mm=8.5, vane_count=42,
            vane_thickness_mm=6, vane_inner_diameter_mm=194, vane_outer_diameter_mm=338,
        ),
        hub=Hub(
            face_diameter_mm=154, face_inner_diameter_mm=78, spigot_diameter_mm=71.93, spigot_length_mm=11,
            flange_thickness_mm=15, barrel_outer_diameter_mm=72, barrel_inner_diameter_mm=44, barrel_length_mm=44,
        ),
        studs=Studs(count=5, pitch_circle_mm=120, thread="M14x1.5", torque_nm=160.0, road_torque_nm=160.0),
    ),
    "middle, solid": Case(
        rotor=Rotor(
            outer_diameter_mm=286, friction_inner_diameter_mm=180, ring_inner_diameter_mm=140, thickness_mm=10,
            minimum_thickness_mm=8.4, overall_height_mm=50, hat_outer_diameter_mm=150, hat_wall_mm=5,
            flange_thickness_mm=6.5, bore_diameter_mm=60, hole_diameter_mm=15,
        ),
        hub=Hub(
            face_diameter_mm=134, face_inner_diameter_mm=63, spigot_diameter_mm=59.94, spigot_length_mm=9,
            flange_thickness_mm=11, barrel_outer_diameter_mm=58, barrel_inner_diameter_mm=38, barrel_length_mm=36,
        ),
        studs=Studs(count=5, pitch_circle_mm=110, thread="M12x1.5", torque_nm=110.0, road_torque_nm=110.0),
    ),
}  # fmt: skip
WHEELS = (("light alloy", 13.0), ("light alloy", 18.0), ("light alloy", 28.0), ("steel", 10.0))
KINDS = sorted(DIRT)


@dataclass(frozen=True, eq=False)
class Cars:
    """Corners of one part set, the runouts of hub and rotor left out, ordered by wheel and contact layer.

    Parameters
    ----------
    corners : tuple of Case
    warped : ndarray of bool, shape (count,)
        Overheated once: `runouts` makes the friction ring run out as well.
    pulls : tuple of ndarray, shapes (count, studs)
        Pull of each stud over nominal, as read and as driven.
    uneven : ndarray of bool, shape (count,)
        A nut forgotten half way as read, or an impact gun before the drive.
    """

    corners: tuple[Case, ...]
    warped: np.ndarray
    pulls: tuple[np.ndarray, np.ndarray]
    uneven: np.ndarray


def brought_in(case: Case, count: int, random: np.random.Generator) -> Cars:
    """Draw so many cars on one part set."""
    drawn = sorted((_corner(case, random) for _ in range(count)), key=_by_wheel)
    corners, warped = (tuple(column) for column in zip(*drawn, strict=True))
    studs = case.studs.count
    both = np.exp(random.normal(0, 0.12, (count, 1)))
    read = both * random.normal(1, 0.09, (count, studs)).clip(0.6, 1.4)
    half = random.random(count) < 0.12
    read[half, random.integers(0, studs, half.sum())] *= random.uniform(0.35, 0.7, half.sum())
    driven = both * random.normal(1, 0.09, (count, studs)).clip(0.6, 1.4)
    gun = random.random(count) < 0.25
    driven[gun] = both[gun] * random.uniform(0.6, 1.6, (gun.sum(), studs))
    return Cars(corners, np.array(warped), (read, driven), half | gun)


def _by_wheel(drawn: tuple[Case, bool]) -> tuple[object, ...]:
    wheel = drawn[0].wheel
    size = (wheel.pad_inner_diameter_mm, wheel.pad_outer_diameter_mm)
    return (wheel.pad_thickness_mm, wheel.material, *size, drawn[0].contact.layer_stiffness_n_mm3)


def _corner(case: Case, random: np.random.Generator) -> tuple[Case, bool]:
    patches = random.choice(5, p=(0.22, 0.3, 0.22, 0.16, 0.1))
    metal, thick = WHEELS[random.choice(4, p=(0.2, 0.3, 0.25, 0.25))]
    debris = tuple(_patch(case, random) for _ in range(patches))
    warped = bool(random.random() < 0.22)
    hub = {
        "face_dish_um": random.normal(6, 15),
        "face_saddle_um": abs(random.normal(0, 5)),
        "face_saddle_deg": random.uniform(0, 180),
    }
    rotor = {
        "flange_dish_um": random.normal(8, 14) + (random.normal(0, 45) if warped else 0.0),
        "flange_saddle_um": random.rayleigh(4.0) + (random.uniform(0, 20) if warped else 0.0),
        "flange_saddle_deg": random.uniform(0, 180),
    }
    wheel = Wheel(
        pad_inner_diameter_mm=case.rotor.bore_diameter_mm + random.choice([2.0, 8.0]),
        pad_outer_diameter_mm=case.rotor.hat_outer_diameter_mm - random.choice([2.0, 10.0]),
        pad_thickness_mm=thick,
        material=metal,
        pad_dish_um=random.normal(0, 15),
    )
    made = replace(
        case,
        given=(),
        debris=debris,
        hub=replace(case.hub, face_runout_um=0.0, **hub),
        rotor=replace(case.rotor, own_runout_um=0.0, own_thickness_variation_um=0.0, **rotor),
        wheel=wheel,
        contact=replace(case.contact, layer_stiffness_n_mm3=float(random.choice([6e4, 1.5e5]))),
    )
    return made, warped


def _patch(case: Case, random: np.random.Generator) -> Debris:
    inner, outer = case.contact_zone_mm
    zone, where = outer - inner, random.random()
    on = "rotor" if random.random() < 0.35 else "hub"
    if where < 0.14:  # a chip that fell in
        size = random.uniform(1.5, 4)
        middle = random.uniform(inner + size / 2, outer - size / 2)
        return Debris(
            on=on,
            shape="round",
            inner_radius_mm=middle - size / 2,
            outer_radius_mm=middle + size / 2,
            angle_deg=random.uniform(0, 360),
            height_um=random.uniform(25, 140),
        )
    if where < 0.62:  # rust from the rim inward
        low, high = outer - min(0.15 * zone + random.exponential(0.25 * zone), 0.95 * zone), outer
        arc = random.uniform(8, 110)
    elif where < 0.82:  # rust out of the spigot's corner
        low, high = inner, inner + min(0.1 * zone + random.exponential(0.2 * zone), 0.95 * zone)
        arc = random.uniform(15, 140)
    else:
        width = random.uniform(0.1, 0.5) * zone
        low = random.uniform(inner, outer - width)
        high, arc = low + width, random.uniform(5, 45)
    kind = str(random.choice(KINDS))
    least, _, most = DIRT[kind].crush_mpa
    return Debris(
        on=on,
        kind=kind,
        angle_deg=random.uniform(0, 360),
        arc_deg=arc,
        inner_radius_mm=low,
        outer_radius_mm=high,
        height_um=float(np.clip(5 + random.exponential(38), 5, 190)),
        crush_mpa=float(random.uniform(least, most)),
        ragged_share=float(random.choice([0, 0.25, 0.5])),
        seed=int(random.integers(1, 999)),
    )


def runouts(case: Case, warped: np.ndarray, random: np.random.Generator) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Runout of each bare hub face and of each rotor (count,), and the orders 0 .. 2 of both at the gauge. [um]."""
    count = warped.size
    hub = 12 * np.exp(random.normal(0, 0.5, count))
    bent = random.random(count) < 0.12
    hub[bent] = random.uniform(30, 85, bent.sum())
    rotor = 14 * np.exp(random.normal(0, 0.45, count))
    rotor[warped] += random.uniform(10, 90, warped.sum())
    second = random.rayleigh(2.5, count)
    second[warped] += random.uniform(0, 14, warped.sum())
    turn = np.exp(2j * np.pi * random.random((3, count)))
    waves = np.zeros((count, 3), dtype=complex)
    waves[:, 1] = case.gauge_radius_mm / case.hub.read_radius_mm * hub / 2 * turn[0] + rotor / 2 * turn[1]
    waves[:, 2] = second * turn[2]
    return hub, rotor, waves


def dialled(tir_um: np.ndarray, random: np.random.Generator) -> np.ndarray:
    """What a dial shows: 1 % of gain, play of its stem, divisions of 0.001, 0.002 or 0.01 mm or half of that. [um]."""
    step = random.choice([5.0, 1.0, 2.0, 10.0], tir_um.size, p=(0.45, 0.25, 0.2, 0.1))
    seen = tir_um * (1 + random.normal(0, 0.012, tir_um.size)) + random.normal(0, np.where(step >= 5, 3.0, 1.3))
    return np.maximum(np.round(seen / step) * step, step)
