"""The verification table: ``python -m tests.verification.table [--write]`` computes it and puts it into the README.

Every row: a quantity, ours, theirs, the difference, and where theirs is from. Closed forms come from
`sim.studies.closed_forms`; the three-dimensional results are stored ones (``tests/verification/solid3d/results.json``,
general-purpose solver, with date and version); ours is computed now.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from sim import turn
from sim.seating import seat
from sim.studies.closed_forms import Check, closed_forms
from tests.verification.linear_cases import bore_pressure, glued_bending_mm
from tests.verification.solid3d import stored

README = Path(__file__).parents[2] / "README.md"
START = "<!-- verification table: made by `python -m tests.verification.table`, do not edit -->"
END = "<!-- end of verification table -->"
SOLVER = "3D finite elements, CalculiX 2.20"
# Aim: 2 % beside the half-width of the reference.
AGREED = 0.02
SMEARED = 0.005
HIGHEST_ORDER = 24


def markdown_row(row: Check) -> str:
    """One line of a markdown table."""
    theirs = f"{row.theirs:.{row.digits}g}" + (f" ± {row.half_width:.2g}" if row.half_width else "")
    percent = f"{100 * row.difference + 0.0:+.2f}".replace("-0.00", "+0.00")
    return f"| {row.quantity} | {row.ours:.{row.digits}g} | {theirs} | {row.unit} | {percent} % | {row.source} |"


def linear_rows() -> list[Check]:
    """The rotor alone: glued on its face, and pressed in its bore."""
    runs = {name: stored.load()["cases"][name]["runs"] for name in ("A", "D")}
    fine, rough = ({name: runs[name][level]["outputs"] for name in runs} for level in ("direct-fine", "direct-coarse"))
    bore, gauge = bore_pressure("standard")
    ours = {"axial_mm": glued_bending_mm("standard", HIGHEST_ORDER)[0], "bore_radial_mm": bore, "gauge_axial_mm": gauge}

    def row(case: str, name: str, says: str) -> Check:
        best, other = (out[case][name][0] if name == "axial_mm" else out[case][name] for out in (fine, rough))
        half = 1000 * abs(best - other)
        return Check(f"{case}: {says}", 1000 * ours[name], 1000 * best, "µm", SOLVER, half, AGREED)

    return [
        row("A", "axial_mm", "Glued face, 1 kN on the rim: deflection at 140 mm"),
        row("D", "bore_radial_mm", "20 MPa in the bore: its growth at mid height"),
        row("D", "gauge_axial_mm", "20 MPa in the bore: axial displacement at 140 mm"),
    ]


def place(name: str) -> tuple[str, int, str]:
    """Sort key of a case: letters first, then numbers as numbers."""
    return name[0], int("".join(filter(str.isdigit, name)) or 0), name


def true_vanes(known: stored.Reference, smeared_um: float) -> list[Check]:
    """The vented rotor once more with its vanes one by one: against 3D, and the smeared layer against it."""
    case = replace(known.case, rotor=replace(known.case.rotor, vane_model="true vanes"))
    ours = seat.seat(case, "standard").lateral_runout_um["outboard"]
    theirs, half = known.lateral_runout_um["outboard"], known.lateral_runout_half_um
    return [
        Check('E7 with `vane_model = "true vanes"`: TIR', ours, theirs, "µm", SOLVER, half, AGREED),
        Check("E7, vanes averaged into a layer: TIR", smeared_um, ours, "µm", "true vanes, our own", 0.0, SMEARED),
    ]


def solid_rows() -> list[Check]:
    """Elastic seatings against stored three-dimensional results."""
    rows = []
    for name in sorted(stored.seatings(), key=place):
        known = stored.reference(name)
        seated = seat.seat(known.case, "standard")
        title = f"{name}: {known.case.title}"
        rows.append(
            Check(f"{title}: TIR", seated.lateral_runout_um["outboard"], known.lateral_runout_um["outboard"], "µm",
                  SOLVER, known.lateral_runout_half_um, AGREED)
        )  # fmt: skip
        if name == "E7":
            rows += true_vanes(known, seated.lateral_runout_um["outboard"])
        if name not in ("B", "E1"):
            continue
        first, second = abs(turn.harmonics(seated.outboard_um, 2))[1:]
        for order, ours in enumerate((first, second), start=1):
            rows.append(
                Check(f"{name}: order {order}, amplitude", ours, known.amplitude_um[order - 1], "µm", SOLVER,
                      known.amplitude_half_um[order - 1], AGREED)
            )  # fmt: skip
        rows.append(
            Check(f"{name}: force on the speck", seated.contact.debris_force_n[0] / 1000,
                  known.debris_force_n[0] / 1000, "kN", SOLVER, known.debris_force_half_n[0] / 1000, AGREED)
        )  # fmt: skip
    return rows


def rows() -> list[Check]:
    """Compute the whole table."""
    return [*closed_forms(), *linear_rows(), *solid_rows()]


def markdown(found: Sequence[Check]) -> str:
    """Write the table as markdown, between its marks."""
    head = "| quantity | ours | theirs | unit | difference | source |\n|---|---|---|---|---|---|"
    return "\n".join([START, head, *map(markdown_row, found), END])


def put_in(text: str, table: str) -> str:
    """Put a table into a text in place of the one between the marks."""
    parts = re.fullmatch(f"(.*?){re.escape(START)}.*?{re.escape(END)}(.*)", text, re.DOTALL)
    if parts is None:
        raise SystemExit(f"the README has no place for the table: {START} ... {END}")
    return parts[1] + table + parts[2]


def main(argv: Sequence[str]) -> None:
    """Print the table, or put it into the README."""
    table = markdown(rows())
    if "--write" in argv:
        README.write_text(put_in(README.read_text(encoding="utf-8"), table), encoding="utf-8")
    else:
        print(table)


if __name__ == "__main__":
    main(sys.argv[1:])
