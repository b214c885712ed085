"""Solids and traces of a corner written to files, with what leads there: a table of a jammed rotor says so."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scenes import files
from scenes.command import tables
from scenes.command.doing import Made, open_case
from scenes.words import exported, what_leads, words
from sim.errors import BadInput, Fault

if TYPE_CHECKING:
    from pathlib import Path

    from sim.chain import Run
    from sim.parts.case import Case
    from sim.progress import Progress

M_PER_MM = 1e-3


@dataclass(frozen=True)
class Exported:
    """What was written, and what leads an answer on the corner that it is of.

    Parameters
    ----------
    made : tuple of Made
    leads : tuple of str
        As `seat` has them of a run; of the case alone, where nothing was seated.
    """

    made: tuple[Made, ...]
    leads: tuple[str, ...]


def export(source: Path, path: Path, progress: Progress, parts: bool = False) -> Exported:
    """Write a corner's solids (.stl, .glb) or traces (.csv): as computed from a case, as readings from a run folder.

    STL has no unit and is written in mm, as slicers take it; GLB is written in metres, as glTF 2.0 wants it.

    Parameters
    ----------
    source, path : Path
    progress : callable(fraction, what)
    parts : bool
        STL: each part to a file of its own, ``name-rotor.stl`` and so on.

    Raises
    ------
    BadInput
        For another ending, or a file that cannot be read.
    """
    from sim import chain as runs

    kind = path.suffix.lower()
    if parts and kind != ".stl":
        raise BadInput(Fault("parts are written one by one as STL", key="--parts", allowed="-o NAME.stl"))
    run = None
    if source.is_dir():
        from sim import run_folder

        run = run_folder.load(source)
        case = run.case
        if kind == ".csv":
            return _of_run(run, Made("readings", files.write_text(path, worn_csv(run))))
    else:
        case = open_case(source)
    if kind == ".csv":
        run = runs.compute(case, None, progress=progress, fields_too=False)
        return _of_run(run, Made("traces", files.write_text(path, trace_csv(run))))
    if kind not in (".stl", ".glb"):
        raise BadInput(
            Fault(f"cannot be written as {kind or 'a file without an ending'}", str(path), allowed=".stl, .glb, .csv")
        )
    made = _solids(case, path, progress, parts)
    return Exported(made, what_leads.of_case(case).lines) if run is None else _of_run(run, *made)


def _of_run(run: Run, *made: Made) -> Exported:
    return Exported(made, tuple(tables.leads(run)))


def _solids(case: Case, path: Path, progress: Progress, parts: bool) -> tuple[Made, ...]:
    """Write rotor, hub and studs into one file, or each part into its own."""
    import trimesh
    from trimesh.parent import Geometry

    from sim.bodies import solids

    kind = path.suffix.lower()
    progress(0.1, "solids")
    bodies: dict[str, Geometry] = {"rotor": solids.rotor_solid(case.rotor, case.studs)}
    bodies["hub"] = solids.hub_solid(case.hub, case.studs)
    bodies |= {f"stud {n}": body for n, body in enumerate(solids.stud_solids(case.studs, case.rotor, case.hub), 1)}
    made = []
    for name, some in {name: {name: body} for name, body in bodies.items()}.items() if parts else [("", bodies)]:
        scene = trimesh.Scene(some)
        if kind == ".glb":
            scene.apply_scale(M_PER_MM)
        content = scene.export(file_type=kind[1:])
        target = path.with_stem(f"{path.stem}-{name.replace(' ', '-')}") if name else path
        whole = content if isinstance(content, bytes) else content.encode("utf-8")
        made.append(Made(name or "solids", files.write_bytes(target, whole)))
    return tuple(made)


def trace_csv(run: Run) -> str:
    """Write one turn of both faces as a table, with what the angles and signs mean in its head, and what it is of."""
    seat = run.seat
    text = io.StringIO()
    text.write("# trueseat: mounted traces at the gauge radius, mean removed; angles on the rotor; + is outboard\n")
    text.writelines(f"# {remark}\n" for remark in exported.states(run))
    table = csv.writer(text, lineterminator="\n")
    table.writerow(["angle_deg", "outboard_um", "inboard_um", "thickness_um"])
    for row in zip(seat.angle_deg, seat.outboard_um, seat.inboard_um, seat.thickness_um, strict=True):
        table.writerow([f"{row[0]:.0f}", *(f"{value:.4f}" for value in row[1:])])
    return text.getvalue()


def worn_csv(run: Run) -> str:
    """Write what a bench would read of a run at its end: a table that `memory`, `remains` and `index` read again."""
    from sim.bench.worn_readings import readings_of
    from sim.files import dial_readings

    far = "as fitted" if run.forecast is None else f"after {float(run.forecast.distance_km[-1]):.0f} km"
    remarks = (
        f"Computed by trueseat, not read on a car: {words.clean(run.case.title, 80)}, {far}.",
        "Both faces as a dial should show them, seated as it was fitted; thickness above its thinnest place.",
        *exported.states(run),
    )
    return dial_readings.to_csv(readings_of(run.seat, run.forecast), remarks)
