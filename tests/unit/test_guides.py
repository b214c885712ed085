"""README and guides: each command is understood, the cheap ones run and print what the page says, links lead on."""

from __future__ import annotations

import re
import shlex
import tomllib
from pathlib import Path

import numpy as np
import pytest
from scipy.special import chndtr

import demo_geometry
from scenes.command import gallery
from scenes.command.app import app, main
from scenes.words import cautions

ROOT = Path(__file__).parents[2]
PAGES = (ROOT / "README.md", *sorted((ROOT / "scenes" / "guides").glob("*.md")))
BLOCK = re.compile(r"```(\w*)\n(.*?)```", re.DOTALL)
INLINE = re.compile(r"`(trueseat [^`]+)`")
DEAR = ("--case", "demo", "report", "lesson", "drive", "film", "stack")  # minutes, or a browser: these are only parsed


def text_of(path):
    return path.read_text(encoding="utf-8")


def followed(path, wanted):
    """Each block of a kind, with the lines that the block of text behind it says come of it."""
    found = BLOCK.findall(text_of(path))
    for (kind, body), (after, said) in zip(found, [*found, ("", "")][1:], strict=True):
        if kind == wanted:
            yield body, said.splitlines() if after == "text" else []


def blocks(path):
    """Commands of each block, with what the block of text behind it says that they print."""
    for body, said in followed(path, "sh"):
        yield [line for line in body.splitlines() if line.startswith("trueseat ")], said


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
        cheap = [line for line in lines if not any(word in line.split() for word in DEAR)]
        for line in cheap:
            assert main(shlex.split(line, comments=True)[1:]) == 0, line
        printed = " ".join(capsys.readouterr().out.replace("\u00a0", " ").split())
        for wanted in said if cheap else ():
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


def limit_by_integral(hub, rotor):
    """Where a Rayleigh amplitude is cut off so that its sum with another one at any angle is over 50 in one of 100."""

    def over(cut):
        at = np.linspace(0.0, cut, 2001)
        density = at / hub**2 * np.exp(-0.5 * (at / hub) ** 2) / -np.expm1(-0.5 * (cut / hub) ** 2)
        return np.trapezoid(density * (1.0 - chndtr((50.0 / rotor) ** 2, 2, (at / rotor) ** 2)), at)

    low, high = 10.0, 200.0
    while high - low > 0.01:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if over(middle) < 0.01 else (low, middle)
    return low


def test_the_tolerance_example_holds_by_hand_by_its_file_and_by_its_draws(tmp_path, monkeypatch, capsys):
    page = ROOT / "scenes" / "guides" / "tolerance.md"
    ((by_hand, wanted),) = followed(page, "python")
    exec(by_hand, {})
    assert capsys.readouterr().out.splitlines() == wanted
    assert f"the true limit\n  at {limit_by_integral(8.0 * 140 / 64, 8.0) * 64 / 140:.1f} µm" in text_of(page)
    ((shown, _),) = followed(page, "toml")
    shipped = tomllib.loads(demo_geometry.population_text("population_face"))
    told = tomllib.loads(shown)
    assert told.pop("vary") == [{key: one[key] for key in one if key != "source"} for one in shipped["vary"]]
    assert told == {key: shipped[key] for key in told}
    monkeypatch.chdir(tmp_path)
    (tmp_path / "demo_geometry").symlink_to(Path(demo_geometry.__file__).parent)
    monkeypatch.setattr("scenes.command.stack._written", lambda found, folder: [])  # the report has its own tests
    lines = [(line, said) for body, said in followed(page, "sh") for line in body.splitlines()]
    for line, said in lines:
        few = line if said else line.replace("--samples 2048", "--samples 2 --sensitivity 0")
        assert (
            main([*shlex.split(few)[1:], *(["--workers", "1"] if " stack " in few and "new" not in few else [])]) == 0
        )
        printed = " ".join(capsys.readouterr().out.replace("\u00a0", " ").split())
        for one in said:
            assert one in printed


@pytest.mark.parametrize("name", ["dial", "lesson_vote"])
def test_pictures_of_the_guides_are_what_the_code_draws(name):
    drawn = {"dial": gallery.dial, "lesson_vote": gallery.vote}[name]()
    assert (gallery.FOLDER / f"{name}.svg").read_text("utf-8") == drawn + "\n"
