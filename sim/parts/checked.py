"""Values of a part held against the table of keys when it is made, and kept in one type."""

from __future__ import annotations

from typing import Any, TypeVar

from sim.errors import BadInput, Fault
from sim.parts.keys import BY_TABLE, NOT_YET, Key, table_built
from sim.units import shown

Part = TypeVar("Part")


def need_kind(value: object, kind: type, key: str = "") -> None:
    """Refuse a value of another kind, as a stranger may hand it over.

    Raises
    ------
    BadInput

    Examples
    --------
    >>> need_kind(3, str, "text")
    Traceback (most recent call last):
    sim.errors.BadInput: text: 3 is no str
    """
    if not isinstance(value, kind):
        raise BadInput(Fault(f"{shown(value)} is no {kind.__name__}", key=key))


def _settled(key: Key, value: Any) -> Any:
    """Value in the type that the part keeps: floats for lengths, tuples for lists."""
    if value is None or key.kind == "text":
        return value
    one = int if key.kind.startswith("whole") else float
    return tuple(one(v) for v in value) if isinstance(value, list | tuple) else one(value)


def with_known_right(part: Part, **values: Any) -> Part:
    """Return a part, or a case, with some values that are known to be right: as `dataclasses.replace`, none checked.

    Many times sooner; for defaults and for values of a part that was checked.
    """
    new = object.__new__(type(part))
    vars(new).update(vars(part) | values)
    return new


def check(part: Any, table: str) -> None:
    """Check and settle every value of a new part, all faults at once.

    Raises
    ------
    BadInput
        For values out of range, of the wrong kind, or of a feature that this version does not compute.
    """
    faults = []
    for key in BY_TABLE[table].values():
        value = getattr(part, key.name)
        if key.settled(value):
            continue
        if hasattr(value, "tolist"):  # numbers and arrays of numpy
            value = value.tolist()
        if reason := key.wrong(value):
            faults.append(Fault(reason, key=key.path, allowed=key.allowed))
        elif value != key.default and not key.built and table_built(table):
            faults.append(Fault(NOT_YET, key=key.path))
        elif value is not key.default:
            object.__setattr__(part, key.name, _settled(key, value))
    if faults:
        raise BadInput(faults)
