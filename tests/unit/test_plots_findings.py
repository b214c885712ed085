"""Plots of findings and clampings: the sentence, every curve by name, and what does not bend is always grey."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from scenes import palette
from scenes.command import tables_more
from scenes.plots import findings
from scenes.words import words
from sim.corner.clampings import DRIVEN, Reading
from sim.studies.findings import Curve, Effect


def spoken(svg: str) -> str:
    return " ".join(" ".join(ET.fromstring(svg).itertext()).replace("\u00a0", " ").split())


def found(*names: str, over=(1.0, 2.0, 3.0)) -> Effect:
    curves = tuple(Curve(name, tuple(10.0 * (k + 1) + x for x in range(len(over)))) for k, name in enumerate(names))
    return Effect("key", "One thing is said & shown.", "varied", "mm", over, "lateral runout", "µm", curves)


@pytest.mark.parametrize("names", [("stiff plate (lever)", "elastic"), ("a", "b"), ("stiff plate", "a", "b")])
@pytest.mark.parametrize("over", [(1.0, 2.0, 3.0), (3.0, 2.0, 1.0), ("8", "10", "rigid")])
def test_a_finding_says_its_sentence_and_names_its_curves(names, over):
    svg = findings.finding(found(*names, over=over))
    text = spoken(svg)
    assert "One thing is said & shown." in text
    assert all(name in text for name in names)
    assert (palette.GHOST.lower() in svg.lower()) == names[0].startswith("stiff")


def reading(name: str, runout_um: float, refused: str = "") -> Reading:
    return Reading(name, runout_um, 0.0, runout_um / 80.0, refused)


def test_what_does_not_sit_has_no_bar_but_a_word():
    rows = (reading("two nuts, 20 N m", float("nan"), "it tips"), reading("every nut", 120.0), reading(DRIVEN, 80.0))
    text = spoken(findings.clampings(rows, 50.0))
    assert words.REFUSED in text
    assert "as driven it runs out by 80 µm" in text
    assert "120 µm" in text


def test_a_car_that_does_not_sit_as_driven_is_said():
    rows = (reading("every nut", 120.0), reading(DRIVEN, float("nan"), "it tips"))
    assert f"as driven it {words.REFUSED}" in spoken(findings.clampings(rows, 50.0))


def test_the_table_of_findings_is_tidy():
    lines = tables_more.findings_csv([found("a", "b")]).splitlines()
    assert len(lines) == 1 + 2 * 3
    assert lines[1] == "key,varied,mm,1,a,lateral runout,µm,10.0000"
    hole = Effect("k", "s", "v", "", ("x",), "a", "u", (Curve("c", (float("nan"),)),))
    assert tables_more.findings_csv([hole]).splitlines()[1].endswith(",u,")
