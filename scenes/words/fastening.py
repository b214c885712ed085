"""Nuts or wheel bolts: whatever is printed, drawn or written in pages is worded for what the corner has."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from markupsafe import escape

from scenes.words import words
from sim.parts.fastener import has_bolts, said
from sim.parts.keys import CLAMPS, FASTENERS

if TYPE_CHECKING:
    from sim.parts.case import Case, Studs

TAGS = re.compile(r"(<(?:style|script)\b.*?</(?:style|script)>|<[^>]*>)", re.DOTALL)
# Words of the case file, whole: they stay as they are typed.
TYPED = frozenset({*CLAMPS, *FASTENERS, "studs"})
KEPT = ("title", "file", "path", "fastener", "clamped_by")  # fields of an answer that repeat what a file says


def said_html(html: str, case: Case) -> str:
    """Word a page or a drawing for this corner: text and spoken labels, not its title nor what a case file holds."""
    if not has_bolts(case.studs):
        return html
    title = str(escape(case.title))
    parts = TAGS.split(html)
    return "".join(_tag(part, case.studs) if k % 2 else _text(part, title, case.studs) for k, part in enumerate(parts))


def _tag(tag: str, studs: Studs) -> str:
    return re.sub(r'(?<=aria-label=")[^"]*', lambda found: said(found[0], studs), tag)


def _text(text: str, title: str, studs: Studs) -> str:
    if text.strip() in TYPED:
        return text
    if not title.strip():
        return said(text, studs)
    whole = re.compile(rf"(?<!\w)({re.escape(title)})(?!\w)")
    return "".join(piece if k % 2 else said(piece, studs) for k, piece in enumerate(whole.split(text)))


def answered(answer: Any, studs: Studs) -> Any:
    """Word the texts of an answer; keys and what repeats a case file stay."""
    if not has_bolts(studs):
        return answer
    if isinstance(answer, str):
        return answer if answer in TYPED else said(answer, studs)
    if isinstance(answer, dict):
        return {key: value if key in KEPT else answered(value, studs) for key, value in answer.items()}
    return [answered(one, studs) for one in answer] if isinstance(answer, list | tuple) else answer


def worded(shown: Any, case: Case) -> Any:
    """Word something that the terminal is to show: text, or a table, group or panel of texts, in place."""
    if not has_bolts(case.studs):
        return shown
    if isinstance(shown, str):
        return _text(shown, words.clean(case.title), case.studs)
    if hasattr(shown, "plain"):
        shown.plain = worded(shown.plain, case)
        return shown
    for name in ("renderable", "title", "caption"):
        if getattr(shown, name, None) is not None:
            setattr(shown, name, worded(getattr(shown, name), case))
    for column in getattr(shown, "columns", ()):
        column.header = worded(column.header, case)
        column._cells = [worded(cell, case) for cell in column._cells]
    inner = getattr(shown, "renderables", None)
    if inner is not None:
        inner[:] = [worded(one, case) for one in inner]
    return shown


def of_steps(steps: tuple[Any, ...], studs: Studs) -> tuple[Any, ...]:
    """Word the captions of a story's steps."""
    return tuple(replace(step, caption=said(step.caption, studs), small=said(step.small, studs)) for step in steps)
