"""The folder of a computed corner, written and read back, older ones too: the seam between computing and showing."""

from __future__ import annotations

import hashlib
import json
import stat
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.chain import Run
from sim.corner.beside import Beside
from sim.corner.driven import Driven, MountedReading
from sim.corner.road_state import as_driven
from sim.disk_cache import DAMAGE, replacing, sweep
from sim.errors import BadInput, Fault, Refused
from sim.files.case_file import case_to_dict, dict_to_case
from sim.parts.case import Case
from sim.parts.checked import need_kind
from sim.seating.prepared import PRESETS
from sim.seating.seat import Seat
from sim.spigot.fit_range import is_state
from sim.stored import put_together, taken_apart, unwrapped
from sim.units import shown
from sim.wear.forecast import Forecast

FORMAT = "trueseat run"
FORMAT_VERSION = 2  # of the form in the file; fields are added, so older folders load
READABLE = (1, 2)  # the first wrapped every class, mapping and tuple in words of its own
MAX_RUN_BYTES = 100_000_000  # a run takes a few million; more is no run of ours
PARTS: dict[str, Any] = {
    "seat": Seat,
    "forecast": Forecast | None,
    "beside": Beside | None,
    "as_driven": Driven | None,
    "reading": MountedReading | None,
}


def save(run: Run, folder: str | Path) -> Path:
    """Write a run folder: run.json and run.npz, each under a temporary name first.

    Parameters
    ----------
    run : Run
    folder : path
        Made if missing.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    BadInput
        If the folder cannot be written.
    """
    need_kind(run, Run)
    if not isinstance(folder, (str, Path)):
        raise BadInput(Fault(f"{shown(folder)} is no path", key="folder", allowed="a str or a Path"))
    target = Path(folder)
    sweep(target)
    arrays: dict[str, NDArray] = {}
    document = {
        "format": FORMAT,
        "version": FORMAT_VERSION,
        "title": run.case.title,
        "versions": dict(run.versions),
        "case": case_to_dict(run.case),
        "spigot": run.spigot,
    }
    for name in PARTS:
        document[name], its_arrays = taken_apart(getattr(run, name), name)
        arrays |= its_arrays
    try:
        target.mkdir(parents=True, exist_ok=True)
        with replacing(target / "run.npz") as packed, replacing(target / "run.json") as words:
            with packed.open("wb") as file:  # packed tighter it is a fifth smaller and takes ten times as long
                np.savez(file, allow_pickle=False, **arrays)
            document["arrays"] = _digest(packed)  # the two files belong together
            words.write_text(json.dumps(document, indent=1, allow_nan=False), encoding="utf-8")
    except OSError as error:
        raise BadInput(Fault(f"cannot be written: {error.strerror}", file=str(target))) from error
    return target


def load(folder: str | Path) -> Run:
    """Read a run folder; nothing in it is executed.

    Raises
    ------
    BadInput
        If it is missing, damaged, too large or of another version.
    """
    target = Path(folder)
    try:
        found = [(target / name).stat() for name in ("run.json", "run.npz")]
        if not all(stat.S_ISREG(one.st_mode) for one in found):  # a pipe or a device would be read for ever
            raise BadInput(Fault("is not a run folder: holds what is no file", file=str(target)))
        if max(one.st_size for one in found) > MAX_RUN_BYTES:
            raise BadInput(Fault("is too large for a run folder", file=str(target)))
        document = json.loads((target / "run.json").read_text(encoding="utf-8"))
        if document.get("format") != FORMAT or document.get("version") not in READABLE:
            raise BadInput(Fault("is not a run folder of this version", file=str(target)))
        packed = _arrays_of(target, document["arrays"])
        with np.load(packed, allow_pickle=False) as archive:
            if sum(item.file_size for item in archive.zip.infolist()) > MAX_RUN_BYTES:
                raise BadInput(Fault("is too large for a run folder", file=str(target)))
            arrays = {key: archive[key] for key in archive.files}
        case = dict_to_case(document["case"])
        of_case = dict.fromkeys(PARTS, case) | {"as_driven": _on_the_road(case)}
        trees = {name: document.get(name) for name in PARTS}
        if document["version"] == 1:
            trees = {name: unwrapped(tree) for name, tree in trees.items()}
        parts = {name: put_together(trees[name], arrays, kind, of_case[name]) for name, kind in PARTS.items()}
        spigot, on_road = document.get("spigot"), parts["as_driven"]
        _belongs(parts["seat"], parts["forecast"], spigot, case)
        if on_road is not None and on_road.seat is not None:
            _belongs(on_road.seat, None, None, on_road.seat.case)
        made_with = {str(k): str(v) for k, v in document["versions"].items()}
    except OSError as error:
        raise BadInput(Fault(f"is not a run folder: {error.strerror}", file=str(target))) from error
    except (*DAMAGE, TypeError, AttributeError) as error:
        raise BadInput(Fault("is damaged: compute the run again", file=str(target))) from error
    return Run(case, versions=made_with, spigot=spigot, **parts)


def _arrays_of(folder: Path, digest: str) -> Path:
    """The arrays that a document belongs to: killed between the two renames, they still bear their passing name."""
    for path in (folder / "run.npz", *sorted(folder.glob("*.part"))):
        found = path.stat()
        if stat.S_ISREG(found.st_mode) and found.st_size <= MAX_RUN_BYTES and _digest(path) == digest:
            return path
    raise ValueError("arrays of another run")


def _on_the_road(case: Case) -> Case:
    """Case as driven; the case itself where it is not fit to drive, and nothing was seated so."""
    try:
        return as_driven(case)
    except Refused:
        return case


def _belongs(seated: Seat, forecast: Forecast | None, spigot: Any, case: Case) -> None:
    """Refuse a seating, a forecast or a state on the spigot that cannot be of this case."""
    bodies = [body for body in seated.stored.values() if body is not None]
    patches = len(case.debris)
    pulled = 1 if case.studs.clamped_by == "screw only" else case.studs.count
    right = (
        seated.preset in PRESETS
        and set(seated.lateral_runout_um) == {"outboard", "inboard"}
        and set(seated.stored) <= {"rotor", "hub"}
        and len(seated.stud_preload_n) == pulled
        and len(seated.contact.debris_force_n) == len(seated.contact.residual_height_um) == patches
        and -1 <= seated.cells.debris_index.min() <= seated.cells.debris_index.max() < max(patches, 1)
        and seated.cells.inner_radius_mm.min() >= 0.0
        and (seated.cells.inner_radius_mm < seated.cells.outer_radius_mm).all()
        and all(0 <= body.quad.min() <= body.quad.max() < body.node_r_mm.size for body in bodies)
        and (forecast is None or forecast.judder_speed_km_h.size == len(forecast.orders))
        and (spigot is None or is_state(spigot))
    )
    if not right:
        raise ValueError("not of this case")


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
