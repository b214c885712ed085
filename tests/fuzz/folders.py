"""Run folders that somebody has changed: any leaf of the document, any array, with the seal made good again or not."""

from __future__ import annotations

import copy
import hashlib
import json
import shutil
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from sim import chain, run_folder
from sim.parts.case import Case, Debris, Hub
from tests.fuzz.inputs import Step

LEAVES: tuple[Any, ...] = (
    None, True, 0, -1, 1e308, 10**400, "", "x", "é\u202e" * 50, [], {}, [None], {"is": "Case", "fields": {}},
    {"is": "Seat", "fields": {}}, {"array": "seat.outboard_um"}, {"array": "none"}, {"map": {}}, {"the": "case"},
    {"tuple": []}, -5, 0.5, "Infinity", {"is": "nobody"},
)  # fmt: skip
ARRAYS: tuple[np.ndarray, ...] = (
    np.zeros(0), np.zeros(1), np.zeros(360), np.full(360, np.nan), np.full(360, np.inf), np.zeros((360, 2)),
    np.zeros(360, dtype=int), np.array("text"), np.zeros(360, dtype=complex), np.full(360, 1e300), np.arange(7.0),
    np.full((61, 180), -1.0), np.zeros(40, dtype=bool),
)  # fmt: skip


class Forger:
    """Changes one honest run, held in memory."""

    def __init__(self, folder: Path) -> None:
        case = Case(hub=Hub(material="rigid"), debris=(Debris(angle_deg=36.0),))
        honest = run_folder.save(chain.compute(case, 500.0, "fast"), folder / "honest")
        self.document = json.loads((honest / "run.json").read_text("utf-8"))
        with np.load(honest / "run.npz") as kept:
            self.arrays = dict(kept)
        self.target = folder / "forged"

    def forged(self, steps: Sequence[Step], spoilt: int = 0) -> Path:
        """The run with some leaves and arrays changed; ``spoilt`` bytes of the packed arrays overwritten at the end."""
        document, arrays = copy.deepcopy(self.document), dict(self.arrays)
        for how, where, what in steps:
            if how % 3 == 2:
                name = sorted(arrays)[where % len(arrays)]
                arrays[name] = ARRAYS[what % len(ARRAYS)]
                continue
            places = list(_places(document))
            holder, key = places[where % len(places)]
            if how % 3 == 0:
                holder[key] = copy.deepcopy(LEAVES[what % len(LEAVES)])  # later steps may change what lies in it
            elif isinstance(holder, dict):
                del holder[key]
            else:
                holder.append(copy.deepcopy(holder[key]))
        return self._write(document, arrays, spoilt)

    def _write(self, document: dict[str, Any], arrays: dict[str, Any], spoilt: int) -> Path:
        shutil.rmtree(self.target, ignore_errors=True)
        self.target.mkdir(parents=True)
        packed = self.target / "run.npz"
        np.savez(packed, **arrays)
        if spoilt:
            raw = bytearray(packed.read_bytes())
            raw[spoilt % len(raw)] ^= 0xFF
            packed.write_bytes(raw if spoilt % 2 else raw[: spoilt % len(raw)])
        if "arrays" in document:
            document["arrays"] = hashlib.sha256(packed.read_bytes()).hexdigest()
        (self.target / "run.json").write_text(json.dumps(document), "utf-8")
        return self.target


def _places(value: Any) -> Iterator[tuple[Any, Any]]:
    """Every place in a document: what holds it and under which key."""
    for key in list(value) if isinstance(value, dict) else range(len(value)):
        yield value, key
        if isinstance(value[key], dict | list):
            yield from _places(value[key])
