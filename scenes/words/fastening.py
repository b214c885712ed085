"""Nuts or wheel bolts: whatever is printed, drawn or written in pages is worded for what the corner has."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from markupsafe import escape

from scenes.words import every_text, words
from sim.parts.fastener import has_bolts, said
from sim.parts.keys import CLAMPS, FASTENERS

if TYPE_CHECKING:
    from sim.parts.case import Case, Studs

# Words of the case file, whole: they stay as they are typed.
TYPED = frozenset({*CLAMPS, *FASTENERS, "studs"})
KEPT = ("title", "file", "path", "fastener", "clamped_by")  # fields of an answer that repeat what a file says


def said_html(html: str, case: Case) -> str:
    """Word a page or a drawing for this corner: text and spoken labels, not its title nor what a case file holds."""
    if not has_bolts(case.studs):
        return html
    title = str(escape(case.title))

    def say(text: str) -> str:
        return _text(text, title, case.studs)

    return every_text.of_page(html, say)


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
    from sim.answers import each_text  # long to load, and of what is printed as JSON alone

    return each_text(answer, lambda text: text if text in TYPED else said(text, studs), KEPT)


def worded(shown: Any, case: Case) -> Any:
    """Word something that the terminal is to show: text, or a table, group or panel of texts, in place."""
    if not has_bolts(case.studs):
        return shown
    return every_text.shown(shown, lambda text: _text(text, words.clean(case.title), case.studs))


def of_steps(steps: tuple[Any, ...], studs: Studs) -> tuple[Any, ...]:
    """Word the captions of a story's steps."""
    return tuple(replace(step, caption=said(step.caption, studs), small=said(step.small, studs)) for step in steps)
