"""README and guides: each command is understood, the cheap ones run and print what the page says, links lead on."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

import demo_geometry
from scenes.command.app import app, main
from scenes.words import cautions

ROOT = Path(__file__).parents[2]
PAGES = (ROOT / "README.md", *sorted((ROOT / "scenes" / "guides").glob("*.md")))
BLOCK = re.compile(r"```(\w*)\n(.*?)```", re.DOTALL)
INLINE = re.compile(r"`(trueseat [^`]+)`")
DEAR = ("--case", "demo", "report", "lesson", "drive", "film", "stack")  # minutes, or a browser: these are only parsed


def text_of(path):
    return path.read_text(encoding="utf-8")


def blocks(path):
    """Commands of each block, with what the block of text behind it says that they print."""
    found = BLOCK.findall(text_of(path))
    for (kind, body), (after, said) in zip(found, [*found, ("", "")][1:], strict=True):
        if kind == "sh":
            lines = [line for line in body.splitlines() if line.startswith("trueseat ")]
            yield lines, said.splitlines() if after == "text" else []


def commands():
    every = {line for path in PAGES for lines, _ in blocks(path) for line in lines}
    every |= {one for path in PAGES for one in INLINE.findall(text_of(path))}
    return sorted(every)


def test_the_pages_hold_commands():
    assert len(commands()) > 25
    assert sum(len(said) for path in PAGES for _, said in blocks(path)) >= 9


@pytest.mark.parametrize("line", commands())
def test_every_command_is_understood(line, capsys):
    words = shlex.split(line, comments=True)[1:]
    if len(words) == 1:  # a command spoken of, not given
        assert words[0] in app
        return
    app.parse_args(words, exit_on_error=False, print_error=False)
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.name)
def test_cheap_commands_run_and_print_what_the_page_says(page, tmp_path, monkeypatch, capsys):
    (tmp_path / "demo_geometry").symlink_to(Path(demo_geometry.__file__).parent)
    monkeypatch.chdir(tmp_path)
    for lines, said in blocks(page):
        for line in lines:
            if not any(word in line.split() for word in DEAR):
                assert main(shlex.split(line, comments=True)[1:]) == 0, line
        printed = " ".join(capsys.readouterr().out.replace("\u00a0", " ").split())
        for wanted in said:
            assert wanted in printed


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.name)
def test_every_link_leads_on(page):
    text = re.sub(r"```.*?```", "", text_of(page), flags=re.DOTALL)
    for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", text):
        assert (page.parent / target).exists(), target
    anchors = {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in re.findall(r"^#+ (.+)$", text, re.M)}
    assert set(re.findall(r"\]\(#([^)]+)\)", text)) <= anchors


def test_the_page_of_cautions_has_every_one_under_its_moment():
    text = text_of(ROOT / "scenes" / "guides" / "cautions.md")
    parts = dict(re.findall(r"^## (.+?)\n\n(.*?)(?=\n## |\Z)", text, re.M | re.S))
    for one in cautions.CAUTIONS:
        assert f"- {one.text}" in parts[one.moment.capitalize()].splitlines()
