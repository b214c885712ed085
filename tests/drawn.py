"""Drawings of equal things handed out again: for pages whose words are asked, drawn dozens of times alike."""

from __future__ import annotations

import hashlib
import importlib
import pkgutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from enum import Enum
from functools import partial
from types import FunctionType, MethodType
from typing import Any

import numpy as np
import pytest

PLAIN = (str, bytes, int, float, complex, bool, type(None), date, type, Enum)
DEEPEST = 60  # a run is not as deep; what holds itself has no value
#: What was drawn, by the value of what was asked; who asks whether a drawing is the same twice clears it in between.
KEPT: dict[Any, str] = {}


def value(thing: Any, deep: int = 0) -> Any:
    """All that a drawing can depend on, to be compared: equal for things of equal content.

    Parameters
    ----------
    thing : object
        Data, or a function: then its code and what it has in hand.
    deep : int
        Levels above it.

    Raises
    ------
    TypeError
        If it has no value of its own.
    """
    if deep > DEEPEST:
        raise TypeError("too deep")
    inner = partial(value, deep=deep + 1)
    if isinstance(thing, PLAIN):
        return (type(thing), thing)
    if isinstance(thing, np.ndarray | np.generic):
        if thing.dtype.hasobject:
            raise TypeError("an array of objects")
        return (thing.dtype.str, thing.shape, hashlib.sha256(thing.tobytes()).digest())
    if isinstance(thing, list | tuple):
        return (type(thing), *map(inner, thing))
    if isinstance(thing, dict):
        return (type(thing), *((inner(key), inner(one)) for key, one in thing.items()))
    if isinstance(thing, partial):
        return (partial, inner(thing.func), inner(thing.args), inner(thing.keywords))
    if isinstance(thing, MethodType):
        return (MethodType, inner(thing.__func__), inner(thing.__self__))
    if isinstance(thing, FunctionType):
        held = tuple(inner(cell.cell_contents) for cell in thing.__closure__ or ())
        return (thing.__code__, held, inner(thing.__defaults__), inner(thing.__kwdefaults__))
    if not hasattr(thing, "__dict__"):
        raise TypeError(f"{type(thing).__name__} has no value")
    return (type(thing), inner(vars(thing)))


def once(svg: Callable[..., str]) -> Callable[..., str]:
    """Draw what was not drawn yet, else hand out what came of it; what has no value is drawn."""

    def again(*how: Any, **more: Any) -> str:
        try:
            key = value((how, more))
            hash(key)
        except TypeError:
            return svg(*how, **more)
        if key not in KEPT:
            KEPT[key] = svg(*how, **more)
        return KEPT[key]

    return again


def label_alone(_svg: Callable[..., str]) -> Callable[..., str]:
    """Draw nothing: an empty picture with the label that the drawing would have."""
    from scenes.plots import board
    from scenes.words import words

    def empty(_draw: object, _size_mm: object, label: str, ground: bool = False) -> str:
        return board._inline("<svg ></svg>", words.clean(label, 400))

    return empty


@contextmanager
def drawn_once() -> Iterator[None]:
    """Put `once` wherever a picture or a page draws."""
    with instead(once):
        yield
    KEPT.clear()


@contextmanager
def instead(made_of: Callable[[Callable[..., str]], Callable[..., str]]) -> Iterator[None]:
    """Put what is made of a drawing's function wherever a picture or a page draws.

    Parameters
    ----------
    made_of : callable
        As `once` or `label_alone`.
    """
    from scenes import plots
    from scenes.pages import fitting_sheet
    from scenes.plots import board

    for one in pkgutil.iter_modules(plots.__path__, f"{plots.__name__}."):
        importlib.import_module(one.name)  # or it would take what is put there for good
    plain = board.svg
    users = [module for name, module in sys.modules.items() if name.startswith("scenes.")]
    assert fitting_sheet in users
    again = made_of(plain)
    with pytest.MonkeyPatch.context() as patched:
        for module in users:
            if vars(module).get("svg") is plain:
                patched.setattr(module, "svg", again)
        yield
