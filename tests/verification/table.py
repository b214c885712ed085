"""The verification table: ``python -m tests.verification.table [--write]`` computes it and puts it into the README.

Every row: a quantity, ours, theirs, the difference, and where theirs is from. The three-dimensional results are stored
ones (``tests/verification/solid3d/results.json``, general-purpose solver, with date and version); ours is computed now.
"""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from sim import exact, materials, pair, ring, seating
from sim.clamp import preloads_n
from sim.elastic import assemble
from sim.flexibility import solve_order
from sim.parts import Case, Hub, Studs
from sim.section import Block, Fineness, mesh_section
from sim.supports import Patch
from sim.threads import proof_load_n
from tests.verification.solid3d import stored

README = Path(__file__).parents[2] / "README.md"
START = "<!-- verification table: made by `python -m tests.verification.table`, do not edit -->"
END = "<!-- end of verification table -->"
SOLVER = "3D finite elements, CalculiX 2.20"


@dataclass(frozen=True)
class Row:
    """One line of the table."""

    quantity: str
    ours: float
    theirs: float
    unit: str
    source: str
    half_width: float = 0.0
    digits: int = 4

    @property
    def difference(self) -> float:
        """Relative difference."""
        return self.ours / self.theirs - 1

    def markdown(self) -> str:
        """One line of a markdown table."""
        theirs = f"{self.theirs:.{self.digits}g}" + (f" ± {self.half_width:.2g}" if self.half_width else "")
        cells = (self.quantity, f"{self.ours:.{self.digits}g}", theirs, self.unit, f"{100 * self.difference:+.2f} %")
        return "| " + " | ".join((*cells, self.source)) + " |"


def thick_cylinder() -> Row:
    """Radial growth of a tube under inner pressure (Lame)."""
    inner, outer, pressure, young, nu = 30.0, 60.0, 20.0, 110_000.0, 0.26
    blocks = (Block(inner, outer, 0.0, 10.0),)
    section = mesh_section(blocks, (inner, outer), (), Fineness(2.5, 2.5, 2.5), 1)
    stiffness = assemble(section, materials.Metal(young, nu))
    bore = np.flatnonzero((stiffness.component == 0) & (np.abs(stiffness.dof_r_mm - inner) < 1e-9))
    order = bore[np.argsort(stiffness.dof_z_mm[bore])]
    z = stiffness.dof_z_mm[order]
    load = np.zeros((stiffness.k0.shape[0], 1))
    for k in range(0, z.size - 2, 2):  # Simpson's rule is exact for a quadratic edge
        load[order[k : k + 3], 0] += pressure * inner * (z[k + 2] - z[k]) / 6 * np.array([1.0, 4.0, 1.0])
    got = solve_order(stiffness, np.zeros(0, dtype=np.int64), 0, load)[order[0], 0]
    ratio = (outer**2 + inner**2) / (outer**2 - inner**2)
    want = pressure * inner / young * (ratio + nu)
    return Row("tube 60/120 mm, 20 MPa inside: growth of the bore", got * 1000, want * 1000, "µm", "Lamé, closed form")


def torque_rows() -> list[Row]:
    """Torque to preload, and proof load."""
    studs = Studs(thread="M12x1.75", property_class="8.8", torque_nm=82.1, nut_factor=0.2)
    return [
        Row("M12, 82.1 N m, K 0.20: preload", preloads_n(studs)[0] / 1000, 34.2, "kN",
            "T = K d F (Shigley), worked example, second-hand", digits=3),
        Row("M12x1.75 class 8.8: proof load", proof_load_n("M12x1.75", "8.8") / 1000, 48.9, "kN",
            "ISO 898-1, from memory", digits=3),
    ]  # fmt: skip


def rigid_rows() -> list[Row]:
    """Rigid seats and the lever of a tilted hub face."""
    patch = exact.seat_rigid([_point(60.0 * math.cos(math.radians(10.0)))], 68.0)
    lever = Case(hub=Hub(face_runout_um=30.0, face_runout_radius_mm=65.0))
    tilted = seating.seat(lever, "fast").lateral_runout_um["outboard"]
    return [
        Row("rigid seat on a speck 0.1 mm high: TIR at 140 mm", 1000 * patch.tir_mm(140.0),
            2000 * 140 * 0.1 / (60 * math.cos(math.radians(10)) + 68), "µm", "2 R h / (r + r_face), geometry"),
        Row("hub face 30 µm at 65 mm: TIR at 140 mm, elastic", tilted, 30 * 140 / 65, "µm", "lever R / r, geometry"),
    ]  # fmt: skip


def _point(radius_mm: float) -> Patch:
    return Patch(radius_mm - 1e-9, radius_mm, 0.0, math.radians(1e-7), 0.1)


def solid_rows() -> list[Row]:
    """Elastic seatings against stored three-dimensional results."""
    rows = []
    for name in sorted(
        stored.seatings(), key=lambda text: (text[0], int("".join(filter(str.isdigit, text)) or 0), text)
    ):
        known = stored.reference(name)
        seated = seating.seat(known.case, "standard")
        theirs = known.lateral_runout_um["outboard"]
        rows.append(
            Row(f"{name}: {known.case.title}: TIR", seated.lateral_runout_um["outboard"], theirs, "µm", SOLVER,
                known.lateral_runout_half_um)
        )  # fmt: skip
        if name in ("B", "E1"):
            second = abs(ring.harmonics(seated.outboard_um, 2)[2])
            rows.append(Row(f"{name}: second order", second, known.amplitude_um[1], "µm", SOLVER,
                            known.amplitude_half_um[1]))  # fmt: skip
            rows.append(Row(f"{name}: force on the speck", seated.contact.debris_force_n[0] / 1000,
                            known.debris_force_n[0] / 1000, "kN", SOLVER,
                            known.debris_force_half_n[0] / 1000))  # fmt: skip
    return rows


def _place(name: str) -> tuple[str, int, str]:
    """Letters first, then numbers as numbers."""
    return name[0], int("".join(filter(str.isdigit, name)) or 0), name


def rows() -> list[Row]:
    """Compute the whole table."""
    return [thick_cylinder(), *torque_rows(), *rigid_rows(), *solid_rows()]


def markdown(found: list[Row]) -> str:
    """Write the table as markdown."""
    head = "| quantity | ours | theirs | unit | difference | source |\n|---|---|---|---|---|---|"
    return "\n".join([START, head, *(row.markdown() for row in found), END])


def main(argv: list[str]) -> None:
    """Print the table, or put it into the README."""
    table = markdown(rows())
    if "--write" not in argv:
        print(table)
        return
    text = README.read_text(encoding="utf-8")
    before, after = text[: text.index(START)], text[text.index(END) + len(END) :]
    README.write_text(before + table + after, encoding="utf-8")


if __name__ == "__main__":
    pair.prepare(Case(), "fast")
    main(sys.argv[1:])
