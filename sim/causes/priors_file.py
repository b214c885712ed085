"""Prior assumptions as a file that a workshop may change: written with the reason beside every figure, read back."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path
from typing import Any

from sim.causes.priors import REASONS, Prior, Priors
from sim.errors import BadInput, Fault
from sim.files.nearest_word import nearest
from sim.files.toml_text import key_lines, line_of, parse, read_text
from sim.units import printable

HEAD = (
    "# What is held likely before a reading is taken. All of it is judgement: change what your workshop knows better.\n"
    "# odds: that it is there in more than the usual size. usual_um, present_um: standard deviation of one component\n"
    "# of its first order at the gauge (warp, spigot: second); a TIR is about 2.5 times that. Uneven torque: share\n"
    "# of the pull.\n"
)
PARTS = tuple(one.name for one in fields(Prior))


def text(priors: Priors = Priors()) -> str:  # noqa: B008 - frozen
    """Write the file.

    Parameters
    ----------
    priors : Priors

    Returns
    -------
    str
        TOML, read back by `read`.
    """
    plain, tables = [], []
    for one in fields(priors):
        value, why = getattr(priors, one.name), f"  # {REASONS[one.name]}"
        if isinstance(value, Prior):
            rows = "".join(f"{part} = {getattr(value, part)}\n" for part in PARTS)
            tables.append(f"\n[{one.name}]{why}\n{rows}")
        else:
            shown = list(value) if isinstance(value, tuple) else value
            plain.append(f"{one.name} = {shown}{why}\n")
    return HEAD + "\n" + "".join(plain) + "".join(tables)


def read(path: str | Path) -> Priors:
    """Read a file of prior assumptions; what it leaves out stays as it is.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    Priors

    Raises
    ------
    BadInput
        With every fault, each with its line.
    """
    source, name = read_text(path), printable(str(path), 200)
    found, lines = parse(source, name), key_lines(source)
    known = {one.name: getattr(Priors(), one.name) for one in fields(Priors)}
    changed: dict[str, Any] = {}
    faults: list[Fault] = []
    for key, value in found.items():
        line = line_of(lines, (key,))
        if key not in known:
            faults.append(_unknown(key, list(known), name, line))
        elif isinstance(known[key], Prior):
            changed[key] = _prior(known[key], key, value, faults, (name, line))
        else:
            changed[key] = tuple(value) if isinstance(value, list) else value
    if faults:
        raise BadInput(faults)
    try:
        return Priors(**changed)
    except BadInput as error:
        raise BadInput(
            [
                Fault(f.reason, file=name, line=line_of(lines, (f.key,)), key=f.key, allowed=f.allowed)
                for f in error.faults
            ]
        ) from error


def _prior(known: Prior, key: str, value: Any, faults: list[Fault], where: tuple[str, int]) -> Prior:
    if not isinstance(value, dict):
        allowed = f"a table [{key}] with {', '.join(PARTS)}"
        faults.append(Fault("is no table", file=where[0], line=where[1], key=key, allowed=allowed))
        return known
    strange = [part for part in value if part not in PARTS]
    faults += [_unknown(f"{key}.{part}", [f"{key}.{one}" for one in PARTS], *where) for part in strange]
    given = {part: value.get(part, getattr(known, part)) for part in PARTS}
    return Prior(**given)


def _unknown(key: str, known: list[str], name: str, line: int) -> Fault:
    near = nearest(key, known)
    hint = f"; did you mean {near}?" if near else ""
    return Fault(f"unknown key{hint}", file=name, line=line, key=printable(key, 60), allowed=", ".join(known))
