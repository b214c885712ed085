"""The blank card: one page, every row that the readings file knows, nothing fetched, what is refused."""

import re
import shutil

import pytest
from pypdf import PdfReader

from scenes.command.app import main
from scenes.pages.blank_card import card_html
from scenes.plots.numbered_face import Spot, numbered_face
from sim.bench.mountings import best_second_position
from sim.files.dial_readings import HEADS, STATES
from sim.parts.case import Case, Studs
from tests.unit import printed

COUNTS = [int(HEADS["studs"][0]), 5, int(HEADS["studs"][1])]


def plain(html):
    """Words of a page, one blank between them."""
    return " ".join(re.sub(r"<[^>]+>", " ", html.split("</style>")[-1]).split())


@pytest.mark.parametrize("studs", COUNTS)
def test_the_card_asks_for_all_that_no_table_shows_by_itself(studs):
    text = plain(card_html(studs))
    for asked in (
        "One division",
        "Places count:",
        "Wipe nothing",
        "Tip in, figure",
        "on the rotor",
        "on the hub face",
        "Each turn: 0.1 mm feeler under the tip",
        "again",
        *STATES,
    ):
        assert asked in text
    assert f"painted hole on stud {best_second_position(studs) + 1}" in text
    torque = text.split("N m:")[1].split("Bearing play: wheel")[0].split()
    assert torque == [word for stud in range(1, studs + 1) for word in ("stud", str(stud))]
    assert "no reading says that the car is safe" in text
    assert not re.search(r"(src|href)\s*=\s*[\"']?(https?:|//)|url\(http|@import", card_html(studs))


def test_cautions_come_before_anything_is_set_up_and_gloves_are_among_them():
    """They stood at the foot of the front, below all that is done with the hands."""
    text = re.sub(r"<style.*?</style>|<[^>]+>", " ", card_html(studs=None), flags=re.S)
    first = text.index("Set up, in this order")
    for caution in ("Never under a car supported only by a jack", "gloves on before the wheel comes off", "nobody in"):
        assert text.index(caution) < first
    for caution in ("A rotor that sticks comes off", "Cracked means scrap", "Nothing greasy"):
        assert text.index(caution) < first
    assert "eye cover and gloves on before" in text[first:]  # in the order of work too
    which = text[text.index("Which readings") :]  # as the guide: the micrometer before any rotor comes off for it
    assert which.index("the thickness, rotor still on") < which.index("cleaned") < which.index("painted hole on stud")
    assert not re.search(r"\b[Rr]im\b", text)


def test_a_case_fills_in_what_it_knows_and_bolts_are_called_bolts():
    case = Case(studs=Studs(count=4, fastener="wheel bolt"))
    text = plain(card_html(5, case))
    assert f"{case.gauge_radius_mm:g} mm" in text
    assert "each bolt gave" in text
    assert "each nut gave" not in text


def test_the_face_counts_counter_clockwise_and_says_what_stands_where():
    svg = numbered_face(5, 12, [Spot(90.0, 10.0, "high", "#532382")])
    assert "high at 90 degrees" in svg
    assert "counter-clockwise" in svg


def test_the_command_writes_a_page_and_overwrites_none(tmp_path, capsys):
    page = tmp_path / "card.html"
    assert main(["new", "card", str(page), "--studs", "4"]) == 0
    text = page.read_text(encoding="utf-8")
    assert main(["new", "card", str(page)]) == 2
    assert page.read_text(encoding="utf-8") == text
    for bad in (["card.csv"], ["other.html", "--studs", "2"], ["other.html", "--case", "none.toml"]):
        assert main(["new", "card", str(tmp_path / bad[0]), *bad[1:]]) == 2
    assert not (tmp_path / "other.html").exists()
    assert "Traceback" not in capsys.readouterr().err


@pytest.mark.browser
@pytest.mark.parametrize("studs", COUNTS[-1:])  # the more studs, the more lines
def test_it_prints_on_both_sides_of_one_sheet(tmp_path, studs):
    if shutil.which("chromium") is None:
        pytest.skip("needs the chromium browser")
    target = tmp_path / "card.pdf"
    assert main(["new", "card", str(target), "--studs", str(studs)]) == 0
    pages = PdfReader(target).pages
    front, back = (printed.look(page) for page in pages)
    assert "Which readings" in front.text
    assert "Bare hub face" in back.text
    assert front.too_small + back.too_small == ()
