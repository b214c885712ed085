"""What options a command has is found out once for a process: dozens of files give hundreds of lines to the same few.

A line is still read by the library, word by word, into arguments of its own; only what a function's own hints say, the
same for every line, is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from copy import copy
from typing import Any

import cyclopts
import pydantic
import pytest
from cyclopts.argument import ArgumentCollection


def _unread(options: ArgumentCollection) -> ArgumentCollection:
    """The same options, no word of any line read into them."""
    fresh = {id(one): copy(one) for one in options}
    for one in fresh.values():
        one.tokens, one._lookup = [], dict(one._lookup)
        one.children = ArgumentCollection(fresh[id(child)] for child in one.children)
    return ArgumentCollection(fresh.values())


def kept_options(assemble: Callable[..., ArgumentCollection]) -> Callable[..., ArgumentCollection]:
    """Assemble what a command takes once, and hand out copies of it."""
    kept: dict[Any, tuple[cyclopts.App, ArgumentCollection]] = {}

    def again(app: cyclopts.App, **how: Any) -> ArgumentCollection:
        key = (id(app), app.default_command, *how.items())
        if key not in kept:
            kept[key] = (app, assemble(app, **how))  # the app too, or its number would be another's one day
        return _unread(kept[key][1])

    return again


def kept_hints(adapter: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Make what checks a value against a hint once for each hint; a hint that has no value of its own each time."""
    kept: dict[Any, Any] = {}

    def again(hint: Any) -> Any:
        try:
            key = (hint, repr(hint))  # 1 and True are alike to a mapping
            if key not in kept:
                kept[key] = adapter(hint)
        except TypeError:
            return adapter(hint)
        return kept[key]

    return again


@contextmanager
def options_once() -> Iterator[None]:
    """Put both in place."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(
            cyclopts.App, "assemble_argument_collection", kept_options(cyclopts.App.assemble_argument_collection)
        )
        patched.setattr(pydantic, "TypeAdapter", kept_hints(pydantic.TypeAdapter))
        yield
