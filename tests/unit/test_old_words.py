"""What is printed uses the trade's words: a table of old words and new ones, held against everything people read."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from tests.house import strings

ROOT = Path(__file__).parents[2]
TABLE = tomllib.loads(Path(__file__).with_name("old_words.toml").read_text(encoding="utf-8"))["word"]
MARKUP = re.compile(r"<style>.*?</style>|<[^>]*>|\{[{%].*?[}%]\}", re.DOTALL)


def _strings(path: Path) -> list[str]:
    """Every string of a module that people may read: no docstrings, no single words (keys, JSON names)."""
    return [text for text in strings(path) if " " in text.strip() or text != text.strip()]


def _read() -> list[tuple[str, str]]:
    out = []
    for folder in ("sim", "scenes"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            out += [(str(path.relative_to(ROOT)), text) for text in _strings(path)]
        for path in sorted((ROOT / folder).rglob("*.html")):
            out += [(path.name, MARKUP.sub(" ", path.read_text(encoding="utf-8")))]
    code = r"```.*?```|`[^`]*`|<!-- verification.*?<!-- end"
    for path in (ROOT / "README.md", *sorted((ROOT / "scenes" / "guides").glob("*.md"))):
        out.append((path.name, re.sub(code, " ", path.read_text(encoding="utf-8"), flags=re.DOTALL)))
    for path in sorted((ROOT / "demo_geometry").glob("*.toml")):
        out.append((path.name, path.read_text(encoding="utf-8")))
    return out


@pytest.fixture(scope="module")
def read():
    return _read()


@pytest.mark.parametrize("word", TABLE, ids=[word["new"] for word in TABLE])
def test_old_words_are_gone(read, word):
    kept = re.compile(word["but"]) if "but" in word else None
    found = [(where, text) for where, text in read if re.search(word["old"], kept.sub("", text) if kept else text)]
    assert found == [], f"say {word['new']!r} instead"


def test_the_search_finds_what_it_looks_for():
    """A table that matched nothing would pass for ever."""
    said = "the rim swings; moved round; the crest; its doubt; eight runs in ten; what nobody knows; gapes; worn disc"
    assert sum(bool(re.search(word["old"], said)) for word in TABLE) >= 8
