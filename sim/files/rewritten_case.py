"""A case file on the same geometry with other faults: the user's own keys kept, some of them set anew."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from sim.errors import BadInput, Fault
from sim.files.case_file import case_to_dict
from sim.files.starter import toml_value
from sim.files.toml_text import read_text
from sim.parts.case import Case


def rewritten(source: str | Path, target: str | Path, changes: Mapping[str, Any], remarks: Sequence[str] = ()) -> str:
    """Text of a case file that keeps what another one gives and sets some keys anew.

    Parameters
    ----------
    source, target : str or Path
        File that is read, and file that the text is meant for: a base that is a file is named relative to it.
    changes : mapping
        Keys by table, or a list of tables in place of one that may stand more than once.
    remarks : sequence of str
        Stand at its head as comments.

    Returns
    -------
    str

    Raises
    ------
    BadInput
        If the source cannot be read, or its face was measured: then another fault cannot be set in its place.
    """
    text = read_text(source)
    try:
        tables: dict[str, Any] = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadInput(Fault(f"cannot be read as it stands: {error}", str(source))) from None
    if any("face_map" in tables.get(name, {}) for name in ("hub", "rotor")):
        raise BadInput(Fault("has a measured face; a case without it is needed", str(source), key="face_map"))
    base = tables.get("base")
    if isinstance(base, str) and not re.fullmatch(r"\w+", base):
        there = os.path.relpath(Path(source).resolve().parent / base, Path(target).resolve().parent)
        tables["base"] = Path(there).as_posix()
    for name, value in changes.items():
        tables[name] = {**tables.get(name, {}), **value} if isinstance(value, Mapping) else value
    for key, other in (("torque_nm", "preload_n"), ("preload_n", "torque_nm")):
        if key in changes.get("studs", {}):
            tables["studs"].pop(other, None)
    return "".join(f"# {remark}\n" for remark in remarks) + _toml(tables)


def written(case: Case, remarks: Sequence[str] = ()) -> str:
    """Text of a case file that says everything of a case, without a base.

    Parameters
    ----------
    case : Case
    remarks : sequence of str
        Stand at its head as comments.

    Raises
    ------
    BadInput
        If a face of it was measured: its table cannot stand in the file.
    """
    tables = case_to_dict(case)
    if "topography" in tables:
        raise BadInput(Fault("a measured face cannot be written into a case file", key="face_map"))
    tables.pop("given", None)
    return "".join(f"# {remark}\n" for remark in remarks) + _toml(tables)


def _toml(tables: Mapping[str, Any]) -> str:
    """Write tables as TOML: plain keys first, empty lists among them, then tables, then lists of tables."""
    lists = {name: value for name, value in tables.items() if isinstance(value, list) and value}
    parts = {name: value for name, value in tables.items() if isinstance(value, Mapping) and value}
    lines = [
        f"{name} = {toml_value(value)}"
        for name, value in tables.items()
        if name not in lists and not isinstance(value, Mapping)
    ]
    for name, part in parts.items():
        lines += ["", f"[{name}]", *(f"{key} = {toml_value(value)}" for key, value in part.items())]
    for name, several in lists.items():
        for part in several:
            lines += ["", f"[[{name}]]", *(f"{key} = {toml_value(value)}" for key, value in part.items())]
    return "\n".join(lines) + "\n"
