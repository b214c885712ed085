"""Types of arrays, named once: plain numpy, double precision; and answers that nobody changes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Complexes = NDArray[np.complex128]
Bools = NDArray[np.bool_]

Answer = TypeVar("Answer")
LONGEST = 60  # letters of one field that is shown in a line; judgement


class InShort:
    """A result that shows itself in a line: arrays by their shape, the rest in a few letters (`dataclass(repr=False)`).

    Examples
    --------
    >>> from dataclasses import dataclass
    >>> @dataclass(repr=False)
    ... class Swing(InShort):
    ...     face: str
    ...     trace_um: Floats
    >>> Swing("outboard", np.zeros((2, 360)))
    <Swing: face='outboard', trace_um=array (2, 360)>
    """

    def __repr__(self) -> str:
        """Name of the class and its fields."""
        told = ", ".join(f"{one.name}={_in_short(getattr(self, one.name))}" for one in fields(self))  # type: ignore[arg-type]
        return f"<{type(self).__name__}: {told}>"


def _in_short(value: object) -> str:
    if isinstance(value, np.ndarray):
        return f"array {value.shape}"
    text = repr(value)
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 3]}..."


def read_only(answer: Answer) -> Answer:
    """Make every array of an answer read-only, those within its dataclasses, mappings and tuples too.

    Parameters
    ----------
    answer : any

    Returns
    -------
    The same object.

    Examples
    --------
    >>> read_only({"trace": np.zeros(3)})["trace"].flags.writeable
    False
    """
    if isinstance(answer, np.ndarray):
        answer.flags.writeable = False
    elif isinstance(answer, Mapping):
        for one in answer.values():
            read_only(one)
    elif isinstance(answer, tuple):
        for one in answer:
            read_only(one)
    elif is_dataclass(answer) and not isinstance(answer, type):
        for part in fields(answer):
            read_only(getattr(answer, part.name))
    return answer
