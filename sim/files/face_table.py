"""A measured face read from a table: one point a line, every radius at every angle."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sim.errors import BadInput, Fault
from sim.files.table_text import WIDEST_GAP_DEG, cells_of, plain_number, separator, widest_gap_deg
from sim.files.toml_text import read_text
from sim.parts.measured_face import BOUNDS, COLUMNS, LEAST_ANGLES, Topography
from sim.units import printable

MOST_POINTS = 20_000  # a denser table is no dial's
FINEST_ANGLE_DEG = 0.01  # so near to 360 degrees a row repeats the one at 0
MOST_DRIFT_UM = 50.0  # between 0 and 360 degrees: a dial that comes back so far off has slipped; judgement
MOST_FAULTS = 20  # that are told at once; more is noise


def read_topography(path: str | Path) -> Topography:
    """Read a face from a table with the columns angle_deg, radius_mm and height_um.

    Parameters
    ----------
    path : path
        CSV, one point a line; comment lines begin with #. Every radius at every angle. 360 repeats 0: it stands for it
        where 0 was not read, and must agree with it otherwise.

    Returns
    -------
    Topography

    Raises
    ------
    BadInput
        Every fault at once, with its line: a missing column, a value that is no number or out of range, a point given
        twice, a hole in the grid, too few angles, a part of the turn that was not read.
    """
    name = printable(str(path), 200)
    lines = read_text(path).splitlines()
    stripped = ((n, line, line.strip()) for n, line in enumerate(lines, 1))
    rows = [(n, line) for n, line, bare in stripped if bare.strip(" ,;\t") and not bare.startswith("#")]
    if not rows:
        raise BadInput(Fault("is empty", file=name, allowed=", ".join(COLUMNS)))
    mark = separator(rows[0][1])
    header = [cell.strip().strip('"') for cell in rows[0][1].rstrip(f"{mark} ").split(mark)]
    if sorted(header) != sorted(COLUMNS):
        wrong = [cell for cell in header if cell not in COLUMNS]
        thou = any(cell.endswith(("thou", "inch", "mil")) for cell in wrong)
        hint = "; one thou is 25.4 µm" if thou else ""
        reason = f"columns {printable(', '.join(header))!r} are not the ones of a face{hint}"
        raise BadInput(Fault(reason, file=name, line=rows[0][0], allowed=", ".join(COLUMNS)))
    if len(rows) - 1 > MOST_POINTS:
        raise BadInput(Fault(f"has {len(rows) - 1} points", file=name, allowed=f"at most {MOST_POINTS}"))
    points, faults = _points(rows[1:], header, mark, name)
    if not faults:
        faults = _grid_faults(points, name)
    if faults:
        raise BadInput(faults)
    angles, radii = sorted({a for a, _ in points}), sorted({r for _, r in points})
    heights = tuple(tuple(points[a, r] for r in radii) for a in angles)
    return Topography(tuple(angles), tuple(radii), heights)


def _points(
    rows: list[tuple[int, str]], header: list[str], mark: str, name: str
) -> tuple[dict[tuple[float, float], float], list[Fault]]:
    points: dict[tuple[float, float], float] = {}
    repeats: dict[tuple[float, float], tuple[int, float]] = {}
    faults: list[Fault] = []
    for number, line in rows:
        cells = cells_of(line, mark, len(header))
        if cells is None or len(cells) != len(header):
            count = "no" if cells is None else str(len(cells))
            faults.append(Fault(f"has {count} values", name, number, "", f"{len(header)} values"))
            continue
        before = len(faults)
        values = {
            column: _value(cell, column, mark, (name, number), faults)
            for column, cell in zip(header, cells, strict=True)
        }
        if len(faults) > before:
            continue
        place = (round(values["angle_deg"] % 360.0, 4), values["radius_mm"])
        if abs(values["angle_deg"] - 360.0) < FINEST_ANGLE_DEG:
            repeats[0.0, place[1]] = (number, values["height_um"])
        elif place in points:
            faults.append(Fault(f"angle {place[0]:g} at radius {place[1]:g} mm is given twice", name, number))
        else:
            points[place] = values["height_um"]
    for place, (number, height) in repeats.items():
        apart = abs(points.setdefault(place, height) - height)
        if apart > MOST_DRIFT_UM:
            reason = f"at 360 degrees the dial came back {apart:g} µm off its start at radius {place[1]:g} mm"
            faults.append(Fault(reason, name, number, "height_um", f"up to {MOST_DRIFT_UM:g} µm; read again"))
    return points, faults[:MOST_FAULTS]


def _value(cell: str, column: str, mark: str, place: tuple[str, int], faults: list[Fault]) -> float:
    """One number of a row; nought after a fault was noted."""
    value = plain_number(cell if mark == "," else cell.replace(",", "."))
    low, high = BOUNDS[column]
    if value is None:
        faults.append(Fault(f"{printable(cell.strip(), 20)!r} is not a number", *place, column))
    elif not low <= value <= high:
        faults.append(Fault(f"{value:g} is out of range", *place, column, f"{low:g} .. {high:g}"))
    return value or 0.0


def _grid_faults(points: dict[tuple[float, float], float], name: str) -> list[Fault]:
    angles, radii = sorted({a for a, _ in points}), sorted({r for _, r in points})
    if len(angles) < LEAST_ANGLES:
        return [Fault(f"has {len(angles)} angles", file=name, allowed=f"at least {LEAST_ANGLES}")]
    gap = widest_gap_deg(angles)
    if gap > WIDEST_GAP_DEG:
        radians = "; were the angles given in radians?" if max(angles) < 2 * np.pi else ""
        reason = f"{gap:.0f} degrees of the turn were not read{radians}"
        return [Fault(reason, file=name, key="angle_deg", allowed=f"gaps up to {WIDEST_GAP_DEG:g} degrees")]
    holes = [(a, r) for a in angles for r in radii if (a, r) not in points]
    if holes:
        places = ", ".join(f"{a:g} deg at {r:g} mm" for a, r in holes[:3])
        more = f" and {len(holes) - 3} more" if len(holes) > 3 else ""
        return [Fault(f"points are missing: {places}{more}", file=name, allowed="every radius at every angle")]
    values = np.array(list(points.values()))
    if 0 < np.ptp(values) < 1.0 and len(values) > LEAST_ANGLES:
        return [Fault("all heights lie within 1 µm; were they given in mm?", file=name, key="height_um")]
    return []
