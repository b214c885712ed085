"""The cases that are solved in three dimensions: their inputs, by name.

All are invented. The studs pull on the hub's rear within half to three quarters of a stud diameter about their axes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from sim.parts.case import Case, Contact, Debris, Hub, Rotor, Studs, Wheel

KN = 1000.0
# Contact as hard as the comparison needs it. [N/mm3]
HARD_N_MM3 = 1.0e6


@dataclass(frozen=True)
class Entry:
    """One case: what is computed, the plane of symmetry (None: no such plane), and the tables that differ from default.

    ``pitch_deg`` is the sector of the coarser ring of equal sectors: patch edges and studs lie on its multiples. Where
    only a grain needs fine lines, ``planes_deg`` holds those within a stud pitch, and ``edge_mm`` the size of facets at
    the edges of patches, both for the coarser mesh: the finer one halves them, and leaves the rest of the section.
    """

    title: str
    kind: str = "seating"
    mirror_deg: float | None = 0.0
    tables: dict = field(default_factory=dict)
    pitch_deg: float = 2.0
    planes_deg: tuple[float, ...] = ()
    edge_mm: float | None = None
    lines_mm: tuple[float, ...] = ()

    @property
    def case(self) -> Case:
        """The case of the bench that this is."""
        return case_of(self.title, self.tables)


def case_of(title: str, tables: dict) -> Case:
    """Make a case from stored tables (also from JSON, where tuples have become lists)."""
    studs = dict(tables.get("studs", {}))
    if isinstance(studs.get("preload_n"), list):
        studs["preload_n"] = tuple(studs["preload_n"])
    return Case(
        title=title,
        rotor=Rotor(**tables.get("rotor", {})),
        hub=Hub(**tables.get("hub", {})),
        studs=Studs(**studs),
        debris=tuple(Debris(**patch) for patch in tables.get("debris", ())),
        contact=Contact(**tables.get("contact", {})),
        wheel=Wheel(**tables.get("wheel", {})),
    )


def _tables(preload_n: float | tuple[float, ...], *debris: dict, rotor: dict | None = None, hub: dict | None = None):
    """No holes, so that the bodies are those of the model; seats as wide as on the reference rotor."""
    return {
        "rotor": {"hole_diameter_mm": 0.0, **(rotor or {})},
        "hub": hub or {},
        "studs": {"torque_nm": None, "preload_n": preload_n, "seat_inner_diameter_mm": 15.0},
        "debris": debris,
        "contact": {"layer_stiffness_n_mm3": HARD_N_MM3},
    }


def _speck(angle_deg: float = 0.0, height_um: float = 100.0) -> dict:
    return {
        "angle_deg": angle_deg,
        "arc_deg": 20.0,
        "inner_radius_mm": 60.0,
        "outer_radius_mm": 68.0,
        "height_um": height_um,
    }


RIGID = {"material": "rigid"}
CHIP = {"angle_deg": 36.0, "arc_deg": 6.0, "inner_radius_mm": 64.0, "outer_radius_mm": 68.0, "height_um": 50.0}

# A front corner of 320 x 28 mm with its own hub, and 36 vanes so that a pitch is ten degrees.
VENTED = {
    "style": "vented",
    "outer_diameter_mm": 320.0,
    "friction_inner_diameter_mm": 202.0,
    "ring_inner_diameter_mm": 182.0,
    "thickness_mm": 28.0,
    "minimum_thickness_mm": 26.0,
    "overall_height_mm": 50.0,
    "hat_outer_diameter_mm": 164.0,
    "hat_wall_mm": 7.0,
    "flange_thickness_mm": 7.5,
    "cheek_thickness_mm": 8.0,
    "vane_count": 36,
    "vane_thickness_mm": 5.5,
    "vane_inner_diameter_mm": 184.0,
    "vane_outer_diameter_mm": 318.0,
}
FRONT_HUB = {
    "face_diameter_mm": 140.0,
    "face_inner_diameter_mm": 70.0,
    "spigot_length_mm": 11.0,
    "flange_thickness_mm": 13.0,
    "barrel_outer_diameter_mm": 64.0,
    "barrel_inner_diameter_mm": 38.0,
    "barrel_length_mm": 40.0,
}
# A small corner with four studs, for which no plane of symmetry is left.
SMALL = {
    "rotor": {
        "hole_diameter_mm": 0.0,
        "outer_diameter_mm": 256.0,
        "friction_inner_diameter_mm": 160.0,
        "ring_inner_diameter_mm": 130.0,
        "thickness_mm": 10.0,
        "minimum_thickness_mm": 8.0,
        "overall_height_mm": 42.0,
        "hat_outer_diameter_mm": 142.0,
        "hat_wall_mm": 5.5,
        "flange_thickness_mm": 6.0,
        "bore_diameter_mm": 60.0,
    },
    "hub": {
        "face_diameter_mm": 124.0,
        "face_inner_diameter_mm": 64.0,
        "spigot_diameter_mm": 59.94,
        "spigot_length_mm": 8.0,
        "flange_thickness_mm": 10.0,
        "barrel_outer_diameter_mm": 58.0,
        "barrel_inner_diameter_mm": 36.0,
        "barrel_length_mm": 35.0,
    },
    "studs": {
        "count": 4,
        "pitch_circle_mm": 100.0,
        "thread": "M12x1.5",
        "torque_nm": None,
        "preload_n": (45 * KN, 30 * KN, 45 * KN, 38 * KN),
        "seat_inner_diameter_mm": 14.0,
        "seat_outer_diameter_mm": 26.0,
    },
    "debris": (
        {"angle_deg": 100.0, "arc_deg": 20.0, "inner_radius_mm": 54.0, "outer_radius_mm": 62.0, "height_um": 80.0},
    ),
    "contact": {"layer_stiffness_n_mm3": HARD_N_MM3},
}
FRONT_SPECK = {"angle_deg": 0.0, "arc_deg": 20.0, "inner_radius_mm": 62.0, "outer_radius_mm": 70.0, "height_um": 100.0}
INNER_SPECK = {"angle_deg": 36.0, "arc_deg": 20.0, "inner_radius_mm": 46.0, "outer_radius_mm": 54.0, "height_um": 100.0}
GRAIN = {"angle_deg": 36.0, "arc_deg": 2.0, "inner_radius_mm": 65.0, "outer_radius_mm": 67.0, "height_um": 60.0}
UNEVEN = (10 * KN, 50 * KN, 50 * KN, 50 * KN, 50 * KN)
LIST_OF_NUTS = (20 * KN, 50 * KN, 35 * KN, 35 * KN, 50 * KN)
SMALL_SPECK = {"angle_deg": 36.0, "arc_deg": 12.0, "inner_radius_mm": 54.0, "outer_radius_mm": 61.0, "height_um": 70.0}
FAR_CHIP = {"angle_deg": 180.0, "arc_deg": 8.0, "inner_radius_mm": 62.0, "outer_radius_mm": 66.0, "height_um": 40.0}
# Half a stud pitch in lines that close up towards the grain in its middle. [deg]
TO_GRAIN = (0.0, 8.0, 16.0, 24.0, 30.0, 33.5, 35.0, 36.0)


def _wheel_on(preload_n: float | tuple[float, ...], *debris: dict, dish_um: float = 0.0) -> dict:
    """The wheel on: its pad a plain ring of light alloy with holes as wide as the nuts' seats are inside."""
    tables = _tables(preload_n, *debris)
    pad = {"pad_inner_diameter_mm": 71.0, "pad_outer_diameter_mm": 146.0, "pad_dish_um": dish_um}
    return tables | {"studs": tables["studs"] | {"clamped_by": "wheel"}, "wheel": pad}


def _screw(*debris: dict) -> dict:
    """One screw between studs 1 and 2 and nothing else; it presses as wide as a nut."""
    tables = _tables(50 * KN, *debris)
    screw = {"clamped_by": "screw only", "screw_angle_deg": 36.0, "screw_preload_n": 5 * KN}
    return tables | {"studs": tables["studs"] | screw}


# The small corner under a wheel; its chip lies under stud 1, so that a plane of symmetry is left.
SMALL_WHEEL_ON = SMALL | {
    "studs": SMALL["studs"] | {"preload_n": (13_333.3, 40 * KN, 40 * KN, 40 * KN), "clamped_by": "wheel"},
    "wheel": {"pad_inner_diameter_mm": 66.0, "pad_outer_diameter_mm": 128.0, "pad_dish_um": 40.0},
    "debris": (
        {"angle_deg": 0.0, "arc_deg": 8.0, "inner_radius_mm": 56.0, "outer_radius_mm": 60.0, "height_um": 50.0},
    ),
}


# Half a pitch in lines that close up towards the hole at its near end, whose wall stands at 7.16 deg.
HOLE_DEG = math.degrees(7.0 / 56.0)
TO_HOLE = (0.0, HOLE_DEG / 3, 2 * HOLE_DEG / 3, HOLE_DEG, 9.2, 11.3, 15.0, 20.0, 24.0, 26.0, 29.0, 32.5, 36.0)
DRILLED = {
    "pitch_deg": 72.0,
    "planes_deg": (*TO_HOLE, *(72.0 - angle for angle in TO_HOLE[-2:0:-1])),
    "edge_mm": 1.6,
    "lines_mm": (45.0, 49.0, 52.5, 56.0, 59.5, 63.0, 67.0),
}


def _bolts(preload_n: float | tuple[float, ...], *debris: dict, drilled: bool = False) -> dict:
    """Wheel bolts M14, the thread as long as the hub's flange; drilled, in holes of 14 mm through both parts."""
    tables = _tables(preload_n, *debris, rotor={"hole_diameter_mm": 14.0} if drilled else None)
    bolt = {"fastener": "wheel bolt", "thread_engagement_mm": 12.0}
    return tables | {"studs": tables["studs"] | bolt}


CATALOGUE = {
    "A": Entry("Glued face, axial force at the rim", "glued", tables=_tables(0.0)),
    "B": Entry("Speck under stud 1, rigid hub, 15 kN", tables=_tables(15 * KN, _speck(), hub=RIGID)),
    "D": Entry("Pressure all round the bore", "bore", tables=_tables(0.0)),
    "E1": Entry("Speck under stud 1, elastic hub, 15 kN", tables=_tables(15 * KN, _speck())),
    "E2": Entry("Speck between studs, elastic hub, 50 kN", mirror_deg=36.0, tables=_tables(50 * KN, _speck(36.0))),
    "E3": Entry(
        "Stud 1 at a fifth of 50 kN, clean faces, elastic hub",
        tables=_tables((10 * KN, 50 * KN, 50 * KN, 50 * KN, 50 * KN)),
    ),
    "E4": Entry(
        "Two specks, elastic hub, 50 kN",
        mirror_deg=None,
        tables=_tables(50 * KN, _speck(), _speck(150.0, 60.0)),
    ),
    "E5": Entry(
        "Small chip between studs, elastic hub, 50 kN",
        mirror_deg=36.0,
        tables=_tables(50 * KN, CHIP),
        pitch_deg=1.5,
    ),
    "E6": Entry(
        "Hollow rotor flange and a speck under stud 1, elastic hub, 50 kN",
        tables=_tables(50 * KN, _speck(), rotor={"flange_dish_um": 50.0}),
    ),
    "E7": Entry(
        "Vented rotor with true vanes, speck under stud 1, elastic hub, 50 kN",
        tables=_tables(50 * KN, FRONT_SPECK, rotor=VENTED, hub=FRONT_HUB),
        pitch_deg=10.0,
    ),
    "E7R": Entry(
        "Vented rotor with true vanes, speck under stud 1, rigid hub, 15 kN",
        tables=_tables(15 * KN, FRONT_SPECK, rotor=VENTED, hub=FRONT_HUB | RIGID),
        pitch_deg=10.0,
    ),
    "E8": Entry(
        "Speck that crushes at 150 MPa down to 0.3 of its height, under stud 1, elastic hub, 50 kN",
        tables=_tables(50 * KN, _speck() | {"crush_mpa": 150.0, "residual_share": 0.3}),
    ),
    "E9": Entry(
        "Speck further in, between studs, elastic hub, 50 kN",
        mirror_deg=36.0,
        tables=_tables(50 * KN, INNER_SPECK),
    ),
    "E10": Entry("Small rotor, four uneven studs, speck at 100 degrees", mirror_deg=None, tables=SMALL),
    "E11": Entry(
        "Nut off stud 1, the others at 50 kN, clean faces, elastic hub",
        tables=_tables((0.0, 50 * KN, 50 * KN, 50 * KN, 50 * KN)),
    ),
    "E12": Entry(
        "Speck under stud 1, elastic hub, 50 kN, softer contact layer",
        tables=_tables(50 * KN, _speck()) | {"contact": {"layer_stiffness_n_mm3": 1.0e5}},
    ),
    "E13": Entry(
        "Wheel on, stud 1 at a fifth of 50 kN, clean faces, elastic hub",
        tables=_wheel_on(UNEVEN),
    ),
    "E14": Entry(
        "Wheel on, stud 1 at a fifth of 50 kN, speck under it, elastic hub",
        tables=_wheel_on(UNEVEN, _speck()),
    ),
    "E15": Entry(
        "Wheel on with a dished pad, speck between studs, elastic hub, 50 kN",
        mirror_deg=36.0,
        tables=_wheel_on(50 * KN, _speck(36.0), dish_um=100.0),
    ),
    "E16": Entry(
        "One screw of 5 kN, speck further in under it, elastic hub",
        mirror_deg=36.0,
        tables=_screw(INNER_SPECK),
    ),
    "E17": Entry(
        "One screw of 5 kN, speck near the edge beside it, elastic hub",
        mirror_deg=36.0,
        tables=_screw(_speck(36.0)),
    ),
    "E18": Entry(
        "Grain of 2.3 x 2 mm between studs, elastic hub, 50 kN",
        mirror_deg=36.0,
        tables=_tables(50 * KN, GRAIN),
        pitch_deg=72.0,
        planes_deg=(*TO_GRAIN, *(72.0 - angle for angle in TO_GRAIN[-2:0:-1])),
        edge_mm=0.8,
        lines_mm=(66.0,),
    ),
    "E19": Entry(
        "Holes of 15 mm in the flange, speck between studs, elastic hub, 50 kN",
        mirror_deg=36.0,
        tables=_tables(50 * KN, _speck(36.0), rotor={"hole_diameter_mm": 15.0}),
    ),
    "E20": Entry(
        "Holes of 15 mm in the flange, stud 1 at a fifth of 50 kN, clean faces, elastic hub",
        tables=_tables(UNEVEN, rotor={"hole_diameter_mm": 15.0}),
    ),
    "E21": Entry(
        "Wheel bolts, bolt 1 at a fifth of 50 kN, clean faces, elastic hub",
        tables=_bolts(UNEVEN),
    ),
    "E22": Entry(
        "Wheel bolts of 50 kN, speck between them, elastic hub",
        mirror_deg=36.0,
        tables=_bolts(50 * KN, _speck(36.0)),
    ),
    "E23": Entry(
        "Wheel bolts of 50 kN through drilled holes, speck between them, elastic hub",
        mirror_deg=36.0,
        tables=_bolts(50 * KN, _speck(36.0), drilled=True),
        **DRILLED,
    ),
    "E24": Entry(
        "Wheel on, nut off stud 1, the others at 45 kN, clean faces, elastic hub",
        tables=_wheel_on((0.0, 45 * KN, 45 * KN, 45 * KN, 45 * KN)),
    ),
    "E25": Entry(
        "One screw of 5 kN, smaller speck under it, elastic hub",
        mirror_deg=36.0,
        tables=_screw(SMALL_SPECK),
    ),
    "E27": Entry(
        "Small rotor, four nuts, wheel on with a dished pad, nut 1 at a third of 40 kN, chip under it",
        tables=SMALL_WHEEL_ON,
    ),
    "E28": Entry(
        "Uneven nuts, thin speck under the loosest, elastic hub",
        tables=_tables((25 * KN, 50 * KN, 40 * KN, 40 * KN, 50 * KN), _speck(height_um=45.0)),
    ),
    "H1": Entry(
        "Wheel bolts through drilled holes, bolt 1 at a fifth of 50 kN, clean faces, elastic hub",
        "drilled",
        tables=_bolts(UNEVEN, drilled=True),
        **DRILLED,
    ),
    "H2": Entry(
        "Wheel on with a dished pad, uneven nuts, small chip opposite the loosest, elastic hub",
        tables=_wheel_on(LIST_OF_NUTS, FAR_CHIP, dish_um=60.0),
    ),
}
