"""Runs the solver on one case and keeps what came out of it in ``results.json``."""

from __future__ import annotations

import datetime
import json
import os
import re
import resource
import shutil
import subprocess
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np

from tests.verification.solid3d import bolted, cases, linear, results, ring
from tests.verification.solid3d.catalogue import CATALOGUE, Entry
from tests.verification.solid3d.deck import Model, deck
from tests.verification.solid3d.stored import STORE, load

PROGRAM = "ccx"
# Direct: the solver's own contact. Ring: its stiffness matrices, our contact iteration, far finer meshes.
LEVELS = (
    "direct-sparse",
    "direct-light",
    "direct-coarse",
    "direct-fine",
    "ring-light",
    "ring-coarse",
    "ring-medium",
    "ring-fine",
)


def installed() -> bool:
    """Whether the solver is on this machine."""
    return shutil.which(PROGRAM) is not None


def version() -> str:
    """The solver's own word for its version."""
    said = subprocess.run([PROGRAM, "-v"], capture_output=True, text=True, check=False).stdout
    found = re.search(r"[Vv]ersion (\S+)", said)
    return f"{PROGRAM} {found[1] if found else 'of unknown version'}"


def solve(model: Model) -> tuple[results.Printed, dict]:
    """Run the solver on a model in a folder of its own; tables, and what the run took."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "case.inp").write_text(deck(model), encoding="ascii")
        threads = {"OMP_NUM_THREADS": os.environ.get("OMP_NUM_THREADS", "1")}
        done = subprocess.run(
            [PROGRAM, "case"], cwd=folder, env=os.environ | threads, capture_output=True, text=True, check=False
        )
        if "Job finished" not in done.stdout:
            raise RuntimeError(f"the solver stopped:\n{done.stdout[-2000:]}")
        printed = results.read(Path(folder, "case.dat").read_text(encoding="ascii"))
        history = Path(folder, "case.cvg")
        steps = [line for line in history.read_text(encoding="ascii").splitlines() if re.match(r"^\s+\d", line)]
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cost = {
        "nodes": model.node_count,
        "elements": model.element_count,
        "iterations": len(steps),
        "cpu_s": round(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, 1),
        "peak_mb": round(after.ru_maxrss / 1024.0),
    }
    return printed, cost


def compute(entry: Entry, level: str) -> dict:
    """Solve a case of the catalogue at one of the ``LEVELS``."""
    if level not in LEVELS:
        raise ValueError(f"{level}: not one of {', '.join(LEVELS)}")
    if level.startswith("ring"):
        outputs, cost = ring.seat(entry.case, entry.mirror_deg, fineness(entry, level), entry.lines_mm)
    else:
        how = {"seating": _seating, "glued": _glued, "bore": _bore}[entry.kind]
        outputs, cost = how(entry, cases.DENSITIES[level.removeprefix("direct-")])
    return {**cost, "date": datetime.date.today().isoformat(), "solver": version(), "outputs": outputs}


def fineness(entry: Entry, level: str) -> ring.Fineness:
    """Mesh of the ring of equal sectors: light and medium coarsen and refine the section only, fine the sectors too."""
    if bolted.is_drilled(entry.case):
        # The metal round the holes asks for so many nodes that only a rougher and a finer section are affordable.
        density = cases.DENSITIES["light" if level == "ring-light" else "coarse"]
        density = replace(density, edge_mm=entry.edge_mm, hub_layers=3 if level == "ring-light" else 5)
        return ring.Fineness(density, entry.pitch_deg, entry.planes_deg)
    if entry.planes_deg:
        planes, edge = np.array(entry.planes_deg), entry.edge_mm
        if level != "ring-coarse":
            steps = np.diff(np.append(planes, entry.pitch_deg))
            planes, edge = np.sort(np.concatenate([planes, planes + 0.5 * steps])), 0.5 * edge
        return ring.Fineness(replace(cases.DENSITIES["coarse"], edge_mm=edge), entry.pitch_deg, tuple(planes.tolist()))
    if level == "ring-light":
        return ring.Fineness(cases.DENSITIES["light"], entry.pitch_deg)
    density = cases.DENSITIES["coarse" if level == "ring-coarse" else "fine"]
    if entry.case.rotor.style == "vented":
        # Symmetric about the vane, whose sides are lines.
        planes = (0.0, 1.5, 3.0, 5.0, 7.0, 8.5) if level == "ring-coarse" else (0.0, 1.0, 2.0, 3.0, 5.0, 7.0, 8.0, 9.0)
        return ring.Fineness(density if level == "ring-fine" else cases.DENSITIES["coarse"], entry.pitch_deg, planes)
    if bolted.is_bolted(entry.case):  # a pull along the depth wants layers
        density = replace(density, hub_layers=2 * density.hub_layers)
    return ring.Fineness(density, entry.pitch_deg * (0.5 if level == "ring-fine" else 1.0))


def _seating(entry: Entry, density: cases.Density) -> tuple[dict, dict]:
    case = entry.case
    model = cases.build(case, entry.mirror_deg, density)
    printed, cost = solve(model)
    half, turn = entry.mirror_deg is not None, entry.mirror_deg or 0.0
    faces = [
        results.full_turn(model.rotor.mesh.theta, printed.displacement[name][:, 2], half, turn) - cases.START_BELOW_MM
        for name in ("OUTBOARD", "INBOARD")
    ]
    whole = 2.0 if half else 1.0
    forces = {name: whole * float(force[2]) for name, force in printed.contact_force.items()}
    outputs = results.seating_outputs(*faces, forces, len(case.debris))
    outputs["force_residual"] = sum(forces.values()) / sum(cases.preloads(case)) - 1.0
    return outputs, cost


def _glued(entry: Entry, density: cases.Density) -> tuple[dict, dict]:
    model = linear.glued(entry.case, density)
    printed, cost = solve(model)
    trace = results.full_turn(model.rotor.mesh.theta, printed.displacement["OUTBOARD"][:, 2], True, 0.0)
    angles = list(range(0, 181, 30))
    return {
        "angle_deg": angles,
        "axial_mm": [float(trace[angle]) for angle in angles],
        "harmonics_mm": results.orders(trace),
    }, cost


def _bore(entry: Entry, density: cases.Density) -> tuple[dict, dict]:
    model = linear.bore_pressed(entry.case, density)
    printed, cost = solve(model)
    mesh, bore = model.rotor.mesh, printed.displacement["BORE"]
    nodes = mesh.nodes[model.watch["BORE"]]
    radial = (bore[:, :2] * nodes[:, :2]).sum(axis=1) / mesh.r[0]
    middle = 0.5 * entry.case.rotor.flange_thickness_mm
    return {
        "bore_radial_mm": float(np.interp(middle, *_by_height(nodes[:, 2], radial))),
        "bore_hoop_mpa": _hoop_at_bore(model, printed.stress, middle),
        "gauge_axial_mm": float(printed.displacement["OUTBOARD"][:, 2].mean()),
    }, cost


def _by_height(z: np.ndarray, value: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    levels = np.unique(z)
    return levels, np.array([value[z == level].mean() for level in levels])


def _hoop_at_bore(model: Model, stress: np.ndarray, z_mm: float) -> float:
    """Hoop stress at the bore: integration-point values fitted by a quadric in r and z over the innermost elements."""
    mesh = model.rotor.mesh
    gauss = np.array([-1.0, 1.0]) / np.sqrt(3.0)
    signs = np.array([[a, b, c] for c in gauss for b in gauss for a in gauss])
    corner = np.array([[-1, -1, -1], [1, -1, -1], [1, 1, -1], [-1, 1, -1]])
    corner = np.vstack([corner, corner * [1, 1, -1]])
    shape = np.prod(1.0 + corner[None] * signs[:, None], axis=2) / 8.0
    rows, values = [], []
    for element, point, *tensor in stress[:, :8]:
        place = shape[int(point) - 1] @ mesh.nodes[mesh.hexes[int(element) - 1]]
        r, turn, z = np.hypot(*place[:2]), np.arctan2(place[1], place[0]), place[2] - z_mm
        dr = r - mesh.r[0]
        rows.append([1.0, dr, dr * dr, z, z * z])
        sx, sy, sxy = tensor[0], tensor[1], tensor[3]
        values.append(sx * np.sin(turn) ** 2 + sy * np.cos(turn) ** 2 - sxy * np.sin(2.0 * turn))
    return float(np.linalg.lstsq(np.array(rows), np.array(values), rcond=None)[0][0])


def store(name: str, level: str, outcome: dict) -> None:
    """Put one outcome beside the others, with the inputs that it belongs to."""
    entry, everything = CATALOGUE[name], load()
    place = everything["cases"].setdefault(name, {"runs": {}})
    place |= {"title": entry.title, "kind": entry.kind, "mirror_deg": entry.mirror_deg, "tables": entry.tables}
    place["runs"][level] = outcome
    text = json.dumps(_rounded(everything), indent=1, sort_keys=True)
    # Short lists on one line keep the file readable.
    text = re.sub(r"\[\s+([-\d.e,\s]+?)\s+\]", lambda m: "[" + re.sub(r"\s+", " ", m[1]) + "]", text)
    fresh = STORE.with_suffix(".fresh")
    fresh.write_text(text + "\n", encoding="utf-8")
    fresh.replace(STORE)


def _rounded(value: object) -> object:
    if isinstance(value, float):
        return float(f"{value:.6g}")
    if isinstance(value, dict):
        return {key: _rounded(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(inner) for inner in value]
    return value
