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
