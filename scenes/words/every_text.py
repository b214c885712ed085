"""Every text that the terminal shows, or of a page, worded by one function; tags stay."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

Say = Callable[[str], str]

TAGS = re.compile(r"(<(?:style|script)\b.*?</(?:style|script)>|<[^>]*>)", re.DOTALL)
DRAWINGS = re.compile(r"(<svg\b.*?</svg>)", re.DOTALL)


def shown(what: Any, say: Say) -> Any:
    """Word something that the terminal is to show: text, or a table, group or panel of texts, in place."""
    if isinstance(what, str):
        return say(what)
    if hasattr(what, "plain"):
        what.plain = say(what.plain)
        return what
    for name in ("renderable", "title", "caption"):
        if getattr(what, name, None) is not None:
            setattr(what, name, shown(getattr(what, name), say))
    for column in getattr(what, "columns", ()):
        column.header = shown(column.header, say)
        column._cells = [shown(cell, say) for cell in column._cells]
    inner = getattr(what, "renderables", None)
    if inner is not None:
        inner[:] = [shown(one, say) for one in inner]
    return what


def of_page(html: str, say: Say) -> str:
    """Word a page or a drawing: text and spoken labels, no other tag."""
    return "".join(_tag(part, say) if k % 2 else say(part) for k, part in enumerate(TAGS.split(html)))


def but_drawings(html: str, say: Say) -> str:
    """Word a page, its drawings left as they were drawn."""
    return "".join(part if k % 2 else of_page(part, say) for k, part in enumerate(DRAWINGS.split(html)))


def _tag(tag: str, say: Say) -> str:
    return re.sub(r'(?<=aria-label=")[^"]*', lambda found: say(found[0]), tag)
