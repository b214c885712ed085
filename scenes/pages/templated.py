"""The template engine of every page: everything escaped, an unknown name is an error, no file reachable but our own."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from importlib import resources

from jinja2 import DictLoader, Environment, StrictUndefined
from markupsafe import Markup

from scenes.words import words

TEMPLATES = (
    "base.html",
    "parts.html",
    "report.html",
    "compare.html",
    "sheet.html",
    "chalk.html",
    "card.html",
    "job_card.html",
    "foil.html",
    "lesson_slides.html",
    "lesson_pages.html",
    "handout.html",
    "stack.html",
    "bench_head.html",
    "bench_foot.html",
    "bench.html",
    "exercises.html",
    "room.html",
    "join.html",
)


def text_of(name: str) -> str:
    """A file of the templates, as it stands."""
    return (resources.files("scenes.pages") / "templates" / name).read_text(encoding="utf-8")


def scripts(names: Iterable[str]) -> Markup:
    """Scripts of a page, one after the other."""
    return Markup("\n".join(map(text_of, names)))


@cache
def environment() -> Environment:
    """Make the template engine: everything escaped, an unknown name is an error, no file reachable but our own.

    Kept, since it keeps each page's template as compiled: that takes longer than to fill it in.
    """
    folder = resources.files("scenes.pages") / "templates"
    texts = {name: (folder / name).read_text(encoding="utf-8") for name in TEMPLATES if (folder / name).is_file()}
    engine = Environment(
        loader=DictLoader(texts),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    shown = (words.micrometres, words.kilometres, words.degrees, words.with_unit, words.force, words.span)
    engine.filters.update(
        {function.__name__: function for function in (*shown, words.percent, words.number, words.clean)}
    )
    return engine
