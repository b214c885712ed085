"""Runs the solver on a case, reads what it printed, keeps it in ``results.json``."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np

from sim.parts.case import Case, Contact, Hub, Rotor, SpigotScale, Studs
from tests.verification.solid3d.mesh import Mesh
from tests.verification.solid3d.results import full_turn, orders, swing
from tests.verification.solid3d_spigot.model import FINENESS, Ask, deck

STORE = Path(__file__).with_name("results.json")


def case(to_face_mm: float = 10.0, height_um: float = 90.0, arc_deg: float = 60.0) -> Case:
    """Reference rotor without holes on a rigid spigot, scale on one side."""
    return Case(
        rotor=Rotor(hole_diameter_mm=0.0),
        hub=replace(Hub(), material="rigid"),
        studs=Studs(preload_n=15_000.0),
        contact=Contact(layer_stiffness_n_mm3=1.0e6),
        spigot_scale=(SpigotScale(angle_deg=180.0, arc_deg=arc_deg, height_um=height_um, to_face_mm=to_face_mm),),
    )


# Name: case, what is asked. Pushed: the rotor is put aside by what makes room for the scale, and stands off.
CASES = {
    "home": (case(), Ask()),
    "pushed full": (case(), Ask(stand_off_mm=1.5, aside_mm=-0.0482, friction=0.15, travel_mm=0.04)),
    "pushed round": (case(height_um=50.0, arc_deg=360.0), Ask(stand_off_mm=1.5, friction=0.3, travel_mm=0.3)),
    "pushed band": (case(to_face_mm=4.0), Ask(stand_off_mm=1.5, aside_mm=-0.0482, friction=0.15, travel_mm=0.04)),
    "pushed band, no friction": (case(to_face_mm=4.0), Ask(stand_off_mm=1.5, aside_mm=-0.0482, travel_mm=0.04)),
    "pushed band, friction 0.05": (
        case(to_face_mm=4.0),
        Ask(stand_off_mm=1.5, aside_mm=-0.0482, friction=0.05, travel_mm=0.04),
    ),
    "pushed start": (case(to_face_mm=4.0), Ask(stand_off_mm=3.0, aside_mm=-0.0482, friction=0.15, travel_mm=0.04)),
}


def installed() -> bool:
    """Whether the solver is on this machine."""
    return shutil.which("ccx") is not None


def compute(name: str, density: str) -> dict:
    """Solve one case on one mesh."""
    what, ask = CASES[name]
    text, rotor = deck(what, ask, FINENESS[density])
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "case.inp").write_text(text, encoding="ascii")
        threads = {"OMP_NUM_THREADS": os.environ.get("OMP_NUM_THREADS", "1")}
        done = subprocess.run(
            ["ccx", "case"], cwd=folder, env=os.environ | threads, capture_output=True, text=True, check=False
        )
        if "Job finished" not in done.stdout:
            raise RuntimeError(f"the solver stopped:\n{done.stdout[-3000:]}")
        return outputs(Path(folder, "case.dat").read_text(encoding="ascii"), rotor, ask)


def outputs(printed: str, rotor: Mesh, ask: Ask) -> dict:
    """Figures that are compared: runout, orders, forces, bore hoop stress."""
    tables: dict[str, np.ndarray] = {}
    forces: dict[str, list[float]] = {}
    for block in re.split(r"\n(?= displacements| forces| stresses| statistics)", "\n" + printed):
        if name := re.match(r" displacements .* for set (\S+) ", block):
            tables[name[1]] = _numbers(block)[:, 1:4]
        elif name := re.match(r" forces .* for set (\S+) ", block):
            tables["RF " + name[1]] = _numbers(block)[:, 1:4]
        elif block.startswith(" stresses"):
            tables["STRESS"] = _numbers(block)
        elif name := re.match(r" statistics for slave set U(\S+),", block):
            rows = [line.split() for line in block.splitlines() if re.match(r"^\s+-?\d", line)]
            forces[name[1]] = [2 * float(v) for v in rows[0][:3]]
    trace = full_turn(rotor.theta, tables["OUTBOARD"][:, 2], True, 0.0) * 1000.0
    found = {
        "tir_um": swing(trace - trace.mean()),
        "orders_um": orders(trace),
        "force_on_rotor_n": forces,
        "bore_hoop_mpa": hoop_round(rotor, tables["STRESS"]),
        "nodes": int(rotor.nodes.shape[0]),
    }
    bore = tables["BORE"].reshape(-1, rotor.theta.size, 3)
    angle = np.radians(rotor.theta)
    radial = bore[..., 0] * np.cos(angle) + bore[..., 1] * np.sin(angle)
    found["bore_radial_um"] = [float(1000 * radial[:, j].mean()) for j in (0, rotor.theta.size // 2, -1)]
    if not ask.home:
        found["push_n"] = 2 * abs(float(tables["RF PUSHED"][0, 2]))
    return found


def _numbers(block: str) -> np.ndarray:
    return np.array([line.split() for line in block.splitlines() if re.match(r"^\s+\d", line)], dtype=float)


def hoop_round(rotor: Mesh, stress: np.ndarray) -> float:
    """Highest hoop stress at the bore: each sector's middle height, carried on to the bore from the innermost rings."""
    layers = np.flatnonzero(rotor.z >= -1e-9)
    bored = rotor.hex_at[:2, layers[0] :, :]
    middle = bored.shape[1] // 2
    best = -np.inf
    for j in range(bored.shape[2]):
        hoop = []
        for ring in range(2):
            rows = stress[np.isin(stress[:, 0], bored[ring, max(middle - 1, 0) : middle + 1, j] + 1)]
            turn = np.radians((rotor.theta[j] + rotor.theta[j + 1]) / 2)
            sx, sy, sxy = rows[:, 2].mean(), rows[:, 3].mean(), rows[:, 5].mean()
            hoop.append(sx * np.sin(turn) ** 2 + sy * np.cos(turn) ** 2 - sxy * np.sin(2 * turn))
        at = [(rotor.r[k] + rotor.r[k + 1]) / 2 for k in range(2)]
        best = max(best, hoop[0] + (hoop[0] - hoop[1]) * (at[0] - rotor.r[0]) / (at[1] - at[0]))
    return float(best)


def load() -> dict:
    """Everything that has been stored."""
    return json.loads(STORE.read_text(encoding="utf-8")) if STORE.exists() else {}


def main(arguments: list[str]) -> None:
    """Solve ``name density`` pairs and store them."""
    for name, density in zip(arguments[::2], arguments[1::2], strict=True):
        everything = load()
        everything.setdefault(name, {})[density] = compute(name, density)
        STORE.write_text(json.dumps(everything, indent=1, sort_keys=True) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
