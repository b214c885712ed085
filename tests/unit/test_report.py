"""Reports: one file that loads nothing, words that promise nothing, every text from a file escaped."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from types import SimpleNamespace

import numpy as np
import pytest
from pypdf import PdfReader

from scenes import files
from scenes.pages import pdf, report
from scenes.pages.report import Picture
from scenes.words import cautions, findings, weak_points, words
from sim.corner.driven import Driven, MountedReading
from sim.errors import BadInput
from sim.parts.case import Debris
from tests import drawn, fakes
from tests.unit import printed

pytestmark = pytest.mark.usefixtures("few_draws", "drawn_once")

WHEN = date(2026, 1, 2)
HOSTILE = '<script>alert("x")</script><img src=x onerror=alert(1)> & "q"'


class Page(HTMLParser):
    """Collects tags, attributes and text."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.words: list[str] = []
        self._hidden = 0
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        self._hidden += tag == "style"

    def handle_endtag(self, tag):
        self._hidden -= tag == "style"

    def handle_data(self, data):
        if not self._hidden:
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).replace("\u00a0", " ").split())


@pytest.fixture(scope="module")
def page() -> Page:
    return Page(report.report_html(fakes.run(), made_on=WHEN))


@pytest.fixture(scope="module")
def both() -> Page:
    return Page(report.compare_html(fakes.run(), fakes.run(dirty=False), made_on=WHEN))


def test_the_report_loads_nothing_and_runs_nothing(page):
    assert "script" not in page.tags
    assert "link" not in page.tags
    for name, value in page.attributes:
        if name in ("src", "href", "xlink:href"):
            assert value.startswith(("#", "data:")), value
        assert not name.startswith("on")
    assert any("default-src 'none'" in value for _, value in page.attributes)


def test_page_one_has_the_figure_the_limit_and_the_first_thing_to_do(page):
    run = fakes.run()
    swing = words.micrometres(run.seat.lateral_runout_um["outboard"]).replace("\u00a0", " ")
    first = page.text.split("Appendix for the engineer")[0]
    assert swing in first
    assert "above the limit, 50 µm" in first
    assert "Rust, dirt and burrs off" in first
    assert "Job card" in first
    assert "Never draw it home with the nuts" in first
    assert "instructions stand above everything" in first


@pytest.mark.usefixtures("undrawn")
def test_as_read_and_as_driven_stand_side_by_side(page):
    first, back = page.text.split("Appendix for the engineer")
    read = words.micrometres(fakes.run().seat.lateral_runout_um["outboard"]).replace("\u00a0", " ")
    limit = "50 µm (default, common practice)"
    assert f"face runs out {read} (0.09 mm), computed, held for reading: above the limit, {limit}." in first
    assert (
        "As driven, computed with the wheel on, 73 µm (at 140 N m; 66 to 80 µm by the wheel, which is not described)."
        in first
    )
    assert "As driven, computed with the wheel on, 73 µm (at 140 N m, wheel unknown: 66 to 80 µm, 80 % band)." in back
    assert "the dial may show 61 to 109 µm" in first
    assert "61 to 109 µm" in back
    assert "1.20 kN" in back
    run = fakes.run()
    run.beside = replace(run.beside, as_driven_um=None, as_driven_refused="cannot <seat>")
    run.as_driven = Driven(None, "cannot <seat>", ())
    told = Page(report.report_html(run, made_on=WHEN)).text
    assert "No forecast: with the wheel on the rotor does not sit: cannot <seat>." in told
    run.beside = run.as_driven = None
    assert "As driven, computed" not in Page(report.report_html(run, made_on=WHEN)).text.split("Words")[0]


def test_page_one_begins_with_what_to_do_and_speaks_of_no_draws(page):
    first = page.text.split("Appendix for the engineer")[0]
    lead = first.index("rotor off, clean hub face and rotor seat")
    assert lead < first.index("What to do next") < first.index("runs out")
    assert not re.search(r"of draws|each draw|\bband\b|case's own curve|\border \d|zero to peak|k = 2", first)
    back = page.text.split("Appendix for the engineer")[1]
    assert "80 % band of each draw's highest" in back or "of draws" in back


def test_a_limit_of_the_dial_judges_no_runout_as_driven(page):
    run = fakes.run()
    road = findings.as_driven(run)
    for told in (road.sentence, road.plain):
        assert "The limit is for what a dial reads" in told
        assert not re.search("above|below|too close", told)
    spoken = [value for name, value in page.attributes if name == "aria-label"]
    labels = [
        label for label in spoken if label.startswith(words.RUNOUT) and "face" in label or words.AS_DRIVEN in label
    ]
    assert [("the dial's limit" in label) for label in labels] == [False, True]


def test_what_drivers_call_it_stands_with_its_range(page, both):
    for text in (page.text, both.text):
        called = re.findall(r"\b(?:doubtful|quiet)\b.{16}", text.split("Appendix")[0])
        assert called
        for word in called:
            assert re.match(r"doubtful\W+10 to 20|quiet\W+under 10|felt\W+over 20", word), word


def test_the_appendix_can_be_checked(page):
    back = page.text.split("Appendix for the engineer")[1]
    for thing in (
        "forces in balance",
        "metal lost against work done",
        words.RIGID,
        "rotor.outer_diameter_mm",
        "Each at its default",
        "From the case file",
        "trueseat 0.",
        "Weakest assumptions",
    ):
        assert thing in back, thing


@pytest.mark.usefixtures("undrawn")
def test_no_stress_that_the_iron_does_not_bear_is_printed():
    run = fakes.run()
    contact = SimpleNamespace(**{**vars(run.seat.contact), "max_pressure_mpa": 1001.0})
    run.seat = SimpleNamespace(**{**vars(run.seat), "contact": contact})
    told = Page(report.report_html(run, made_on=WHEN)).text
    assert re.search("crushed or scored\\s+1.2 times what iron bears", told)
    assert "1 001" not in told.replace("\u00a0", " ")


def test_an_input_that_was_given_is_told_from_a_default():
    rows = {(row.table, row.key): row for row in report.inputs(fakes.case())}
    assert not rows["rotor", "outer_diameter_mm"].given
    assert rows["debris B", "angle_deg"].given
    assert rows["debris B", "angle_deg"].value == "144"
    assert rows["rotor", "outer_diameter_mm"].unit == "mm"
    assert rows["pads", "wear_mm3_per_nm"].source


def test_every_input_has_a_source():
    assert all(row.source for row in report.inputs(fakes.case()) if not row.given)


def test_nothing_promises_safety(page, both):
    for text in (page.text, both.text):
        assert not re.search(r"\b(safe|pass|passed|OK|okay|approved)\b", text)


@pytest.mark.parametrize("make", ["report", "compare"])
def test_a_hostile_title_is_only_text(make):
    run = fakes.run(title=HOSTILE)
    html = (
        report.report_html(run, made_on=WHEN)
        if make == "report"
        else report.compare_html(run, fakes.run(title=HOSTILE, dirty=False), made_on=WHEN)
    )
    seen = Page(html)
    assert "script" not in seen.tags
    assert "img" not in seen.tags
    assert 'alert("x")' in seen.text


@pytest.mark.usefixtures("undrawn")
def test_a_hostile_warning_is_only_text():
    run = fakes.run()
    run.seat.warnings = (HOSTILE,)
    assert "img" not in Page(report.report_html(run, made_on=WHEN)).tags


@pytest.mark.usefixtures("undrawn")
def test_without_a_road_the_report_still_comes():
    text = Page(report.report_html(fakes.run(driven=False), made_on=WHEN)).text
    assert "Wear forecast" not in text
    assert "What the dial reads" in text


def test_the_comparison_puts_both_figures_side_by_side(both):
    assert "Dirty, the outboard face runs out 91 µm, computed, held for reading; cleaned, 20 µm" in both.text
    assert "doubtful (10 to 20 µm), on the dirty corner; on the cleaned one to 3.0 µm: quiet (under 10 µm)" in both.text
    assert "cleaned not reached" in both.text


def test_the_same_run_gives_the_same_report():
    first = report.report_html(fakes.run(), made_on=WHEN)
    drawn.KEPT.clear()
    assert report.report_html(fakes.run(), made_on=WHEN) == first


@pytest.mark.usefixtures("undrawn")
def test_pictures_are_carried_inside(tmp_path):
    still = tmp_path / "a.png"
    still.write_bytes(report.PNG + b"rest")
    html = report.report_html(fakes.run(), [Picture(still, "<b>seen</b> from outside")], made_on=WHEN)
    assert "data:image/png;base64," in html
    assert "&lt;b&gt;seen" in html


@pytest.mark.parametrize(
    ("content", "message"), [(b"GIF89a", "is not a PNG"), (None, "cannot be read")], ids=["other", "absent"]
)
def test_a_picture_that_is_none_is_refused(tmp_path, content, message):
    still = tmp_path / "a.png"
    if content:
        still.write_bytes(content)
    with pytest.raises(BadInput, match=message):
        report.picture_uri(still)


def test_a_report_is_written_whole_and_leaves_nothing_beside_it(tmp_path):
    place = report.write("<p>x</p>", tmp_path / "r.html")
    assert place.read_text() == "<p>x</p>"
    assert [item.name for item in tmp_path.iterdir()] == ["r.html"]


def test_a_failed_write_leaves_the_old_file(tmp_path, monkeypatch):
    place = tmp_path / "r.html"
    place.write_text("old")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fdopen", full)
    with pytest.raises(BadInput, match="No space left"):
        files.write_text(place, "new")
    assert place.read_text() == "old"
    assert [item.name for item in tmp_path.iterdir()] == ["r.html"]


def test_a_folder_that_is_a_file_is_refused(tmp_path):
    place = tmp_path / "out"
    place.write_text("x")
    with pytest.raises(BadInput, match="cannot write here"):
        files.folder(place)


@pytest.mark.browser
@pytest.mark.usefixtures("open_printer")
@pytest.mark.parametrize("fastener", ["nut on stud", "wheel bolt"])
def test_page_one_is_one_printed_page_and_no_page_is_nearly_blank(fastener, tmp_path):
    run = fakes.run(title="A corner whose title is so long that it takes two lines of the page, as people write them")
    # The fullest page one: bolts at the rear, a hub face that was given.
    rear = {"axle": "rear", "hub": replace(run.case.hub, face_runout_um=12.0)} if fastener == "wheel bolt" else {}
    run.case = replace(run.case, studs=replace(run.case.studs, fastener=fastener), **rear)
    path = report.write(report.report_html(run, made_on=WHEN), tmp_path / "r.html")
    looked = [printed.look(page) for page in PdfReader(pdf.to_pdf(path, tmp_path / "r.pdf")).pages]
    pages = [page.text for page in looked]
    assert "Job card" in pages[0]
    assert "Computed by trueseat" in pages[0]
    assert "Appendix for the engineer" in pages[1]
    assert min(len(page) for page in pages) > 600  # a page of figures has its captions, the last one its glossary
    assert [small for page in looked for small in page.too_small] == []
    assert min(page.filled for page in looked[:-1]) > 0.65  # no half page is left empty in between


@pytest.mark.usefixtures("undrawn")
def test_page_one_warns_of_what_its_list_does_at_the_brake():
    """A caliper was freed under seven cautions of a rotor's fitting: none of heat, of its hose, of a park brake."""
    run = fakes.run(dirty=False)
    for axle in ("front", "rear"):
        run.case = replace(run.case, axle=axle, caliper=replace(run.case.caliper, sticking_inboard_n=150.0))
        page = " ".join(report.report_html(run, made_on=WHEN).partition("Appendix")[0].split())
        told = [key for key in ("hot", "hang the caliper", "service mode") if cautions.named(key)[0].text in page]
        assert told == ["hot", "hang the caliper", "service mode"][: 3 if axle == "rear" else 2]


def test_page_one_cautions_exist():
    assert len(cautions.named(*report.PAGE_ONE)) == len(report.PAGE_ONE)


def test_the_weak_points_name_dirt_whose_strength_is_open():
    def said(**keys) -> str:
        case = replace(fakes.case(), debris=(Debris(**keys),))
        return " ".join(weak_points.weak_points(case)).replace("\u00a0", " ")

    assert "taken as hard" in said()
    assert "loose scale is to crush is not settled: 5.0 to 50 MPa" in said(kind="loose scale")
    assert "taken as hard" not in said(kind="loose scale")
    assert "not settled: 5" not in said(kind="loose scale", crush_mpa=30.0)


@pytest.mark.usefixtures("undrawn")
def test_on_the_page_of_two_corners_the_hub_is_said_once_and_the_card_stays_whole():
    hub = replace(fakes.case().hub, face_runout_um=12.0)
    dirty, clean = fakes.run(), fakes.run(dirty=False)
    for run in (dirty, clean):
        run.case = replace(run.case, hub=hub)
    html = report.compare_html(dirty, clean, made_on=WHEN)
    assert html.count("Hub face from the case file, not measured here: 12") == 1
    assert re.search(r'<div class="whole">\s*<h2>Job card</h2>', html)


@pytest.mark.usefixtures("undrawn")
def test_pictures_of_the_seating_are_told_from_what_was_read_on_the_car():
    run = fakes.run()
    assert report.corner(run)["not_as_read"] == ""
    run.reading = MountedReading(np.zeros(360), "wheel", "the readings", (9.0, 10.0, 11.0), np.ones(1), 2.0)
    assert Page(report.report_html(run, made_on=WHEN)).text.count(report.NOT_AS_READ.strip()) >= 3
