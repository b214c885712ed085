"""Words follow what holds the wheel: pages, tables, answers and faults of a corner on wheel bolts speak of bolts."""

import io
import json
import re
from dataclasses import replace

import pytest
from rich.console import Group
from rich.table import Table
from rich.text import Text

import demo_geometry
from scenes.command import console
from scenes.command.app import main
from scenes.pages.fitting_sheet import sheet_html
from scenes.pages.report import report_html
from scenes.words import cautions, fastening, sheet_stages, words, work_order
from sim.bench.cures import stud_place
from sim.corner.clampings import compare
from sim.errors import BadInput, Refused
from sim.files.case_file import case_from_text
from sim.parts.case import Case, Studs
from sim.parts.contradictions import check_case
from sim.parts.fastener import nouns, said
from sim.seating.seat import seat
from tests import fakes

pytestmark = pytest.mark.usefixtures("few_wheels")

BOLTS = Studs(fastener="wheel bolt")
TITLE = "Scale left between studs 1 and 2, a nut lost"
CASE = Case(title=TITLE, studs=BOLTS)
OTHER = re.compile(r"(?<![\w.])(nuts?|studs?)(?![\w.]| factor)", re.I)


def text_of(html):
    """What a reader sees of a page, key names and values of the appendix left out."""
    left_out = r"<(style|script)\b.*?</\1>|<(td|span)[^>]*>\s*(studs|nuts and spacers)\s*</(td|span)>"
    plain = re.sub(left_out, "", html, flags=re.S)
    return re.sub(r"<[^>]*>", " ", plain).replace(TITLE, "")


@pytest.mark.parametrize(
    ("nuts", "bolts"),
    [
        ("Nuts off, rotor off.", "Bolts off, rotor off."),
        ("Stud 1 is painted, and up.", "Bolt hole 1 is painted, and up."),
        ("between studs 1 and 2", "between bolt holes 1 and 2"),
        ("look at bore, stud holes and hat", "look at bore, bolt holes and hat"),
        ("no nut is on stud 2, 3", "no bolt is in hole 2, 3"),
        ("stud 1, 3: preload above the proof load", "bolt 1, 3: preload above the proof load"),
        ("1 stud counter-clockwise", "1 bolt hole counter-clockwise"),
        ("2 studs counter-clockwise", "2 bolt holes counter-clockwise"),
        ("grease on stud threads", "grease on bolt threads"),
        ("the nuts' seats", "the bolts' seats"),
    ],
)
def test_the_noun_follows_the_case(nuts, bolts):
    assert said(nuts, BOLTS) == bolts
    assert said(nuts, Studs()) == nuts


@pytest.mark.parametrize(
    "kept", ["studs.torque_nm", "studs_turned", "[studs]", 'clamped_by = "bare nuts"', "nut factor"]
)
def test_names_of_keys_and_quoted_values_stay(kept):
    assert said(f"see {kept} there", BOLTS) == f"see {kept} there"


def test_a_terminal_table_is_worded_and_the_title_is_the_users_own():
    table = Table("stud", "figure")
    table.add_row("torque of each stud", Text("every nut"))
    console.speak_of(CASE)
    to = console.Results(file=io.StringIO(), width=100)
    to.print(Group(Text(TITLE), table, "nuts and spacers, full torque"))
    console.speak_of()
    shown = to.file.getvalue()
    assert TITLE in shown
    assert OTHER.search(shown.replace(TITLE, "")) is None
    assert "bolts and spacers" in shown


def test_order_of_work_and_cautions_are_made_with_their_nouns_and_not_worded_afterwards():
    every = [text for stage in work_order.stages(CASE) for one in stage.works for text in (one.what, *one.how)]
    every += [caution.text for caution in cautions.at(*cautions.MOMENTS, call=nouns(BOLTS))]
    assert not [text for text in every if OTHER.search(text)]
    # No gap is left open, and nuts on studs read as they always did.
    assert not [text for text in every if "{" in text]
    told = " ".join(caution.text for caution in cautions.CAUTIONS)
    assert "{" not in told
    for phrase in ("draw it home with the nuts", "stud threads", "stud holes", "one stud pulled harder"):
        assert phrase in told


@pytest.mark.parametrize(
    ("said_of_nuts", "wrong"),
    [(stud_place(2), "2 bolts"), (words.stud_turns(2), "2 bolts"), (stud_place(1), "one bolt")],
)
def test_holes_are_counted_whatever_holds_the_wheel(said_of_nuts, wrong):
    assert "hole" in said_of_nuts
    assert wrong not in said(said_of_nuts, BOLTS)


def test_an_answer_keeps_its_fields_and_what_repeats_the_file():
    answer = {"stud_preload_n": [1.0], "title": TITLE, "clamped_by": "bare nuts", "warnings": ["no nut is on stud 1"]}
    told = fastening.answered(answer, BOLTS)
    assert told == answer | {"warnings": ["no bolt is in hole 1"]}
    assert fastening.answered(answer, Studs()) is answer


def test_the_order_of_work_with_bolts_has_its_guide_pin_and_says_what_holds_the_rotor():
    stages = sheet_stages.any_corner(CASE)
    every = [text for stage in stages for one in stage.works for text in (one.what, *one.how, *one.boxes)]
    every += [caution.text for stage in stages for caution in stage.cautions]
    assert [text for text in every if OTHER.search(text)] == []
    pin = work_order.work(CASE, "guide pin")
    assert "Nothing else holds the wheel" in pin.how[1]
    assert "retaining screw" in " ".join(work_order.work(CASE, "spacers").how)
    assert "bottoms" in " ".join(work_order.work(CASE, "spacers").how)
    assert "the hub's bolt hole 1" in work_order.work(CASE, "mark").what
    assert "guide pin out" in work_order.work(CASE, "wheel off").what  # a bolt with a spacer goes in there
    assert "guide pin in, wheel on, the pin out" in work_order.work(CASE, "wheel").what
    with pytest.raises(KeyError):
        work_order.work(Case(), "guide pin")


def test_the_sheet_speaks_of_bolts_alone():
    html = sheet_html(CASE)
    assert OTHER.search(text_of(html)) is None
    assert "guide pin" in html
    assert "guide pin" not in sheet_html(Case())


@pytest.mark.usefixtures("undrawn")
def test_the_report_speaks_of_bolts_alone_and_leaves_the_title():
    run = fakes.run()
    run.case = replace(run.case, title=TITLE, studs=replace(run.case.studs, fastener="wheel bolt"))
    html = report_html(run)
    found = [line for line in text_of(html).splitlines() if OTHER.search(line)]
    assert found == []
    assert TITLE in html
    assert "clamp force of each bolt " in " ".join(text_of(html).split())  # not of its hole
    assert "clamp force of each bolt hole" not in " ".join(text_of(html).split())


def test_faults_and_refusals_speak_of_bolts():
    with pytest.raises(Refused, match="no bolt is in"):
        seat(replace(CASE, studs=replace(BOLTS, torque_nm=0.0)), "fast")
    with pytest.raises(BadInput, match="bolt holes of M14"):
        check_case(replace(CASE, studs=replace(BOLTS, pitch_circle_mm=130.0)))


def test_bare_bolts_are_told_to_be_too_long_and_bolts_with_spacers_are_not():
    case = case_from_text(demo_geometry.text("bolts_dirty"))
    told = {one.name: one.caution for one in compare(case, "fast")}
    assert "stand 17 mm out" in told["bare nuts, full torque"]
    assert told["nuts and spacers, full torque"] == told["wheel on, full torque"] == ""


def command(capsys, *words):
    code = main(list(words))
    out, err = capsys.readouterr()
    return code, out, err


@pytest.fixture
def bolted(tmp_path):
    path = tmp_path / "bolts.toml"
    path.write_text(demo_geometry.text("bolts_dirty"), encoding="utf-8")
    return path


def test_check_and_seat_as_a_user_runs_them(bolted, capsys):
    assert command(capsys, "check", str(bolted))[0] == 0
    code, out, _ = command(capsys, "seat", str(bolted), "--preset", "fast")
    assert code == 0
    assert OTHER.search(out) is None
    assert "bolt hole" in " ".join(out.split())
    code, out, _ = command(capsys, "seat", str(bolted), "--preset", "fast", "--json")
    answer = json.loads(out)
    assert answer["stud_preload_n"] == pytest.approx([50_000.0] * 5)
    assert 90.0 < answer["lateral_runout_um"]["outboard"] < 140.0


@pytest.mark.parametrize(
    ("was", "now", "key"),
    [
        ("thread_engagement_mm = 14.0", "thread_engagement_mm = 16.0", "studs.thread_engagement_mm"),
        ("thread_engagement_mm = 14.0", "thread_engagement_mm = -14.0", "studs.thread_engagement_mm"),
        ("spacer_mm = 18.0", "spacer_mm = 40.0", "studs.spacer_mm"),
        ('fastener = "wheel bolt"', 'fastener = "nut on stud"', "studs.thread_engagement_mm"),
        ('fastener = "wheel bolt"', 'fastener = "bolt"', "studs.fastener"),
    ],
)
def test_a_bad_file_is_told_with_its_key(bolted, capsys, was, now, key):
    bolted.write_text(bolted.read_text(encoding="utf-8").replace(was, now), encoding="utf-8")
    code, _, err = command(capsys, "check", str(bolted))
    assert code == 2
    assert key in err
    assert "Traceback" not in err


def test_a_corner_on_studs_is_spoken_of_as_before_after_one_on_bolts(bolted, tmp_path, capsys):
    command(capsys, "check", str(bolted))
    studs = tmp_path / "studs.toml"
    studs.write_text("[studs]\ntorque_nm = [0, 0, 0, 0, 0]\n", encoding="utf-8")
    code, _, err = command(capsys, "seat", str(studs))
    assert code == 3
    assert "no nut is on" in err
