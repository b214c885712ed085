"""Stud positions and the map of the hub face: the way to turn is never in doubt, and nothing is given leave."""

from __future__ import annotations

import csv
import html
import io
import json
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from importlib import resources

import numpy as np
import pytest
from pypdf import PdfReader
from rich.console import Console

import demo_geometry
from scenes.command import app, cure
from scenes.command.bench_options import BenchLimits
from scenes.pages import fitting_sheet, pdf
from scenes.plots import cure as plots_cure
from scenes.words import cautions, few_cautions, held_to_read, to_do, worded_work, words, work_order, written_rows
from scenes.words import steps as own_steps
from sim import answers
from sim.bench.stud_position import index_positions
from sim.corner.face_map import FaceMap, Zone
from sim.errors import BadInput
from sim.files.case_file import case_from_text
from sim.parts.case import SpigotScale
from tests import fakes
from tests.unit import printed

DEMO = resources.files("demo_geometry")
FOUND = FaceMap(
    radius_mm=np.array([40.0, 52.0, 64.0]),
    angle_deg=np.arange(10) * 36.0,
    spoil_um=np.array([[np.inf] * 10, [140.0] * 10, [60.0, 80.0] * 5]),
    limit_um=50.0,
    clean_um=21.0,
    kind="hard",
    highest_um=500.0,
    speck_mm=8.0,
    zones=(
        Zone("outer edge, at a stud", 60.0, 64.0, 0.0),
        Zone("inner ring, next to the spigot", float("inf"), 40.0, 0.0),
    ),
)


def spoken(svg: str) -> str:
    return " ".join(" ".join(ET.fromstring(svg).itertext()).replace("\u00a0", " ").split())


def test_index_from_two_tables_of_readings(capsys):
    hub, rotor = str(DEMO / "readings_hub.csv"), str(DEMO / "readings_rotor.csv")
    assert app.main(["index", "--hub", hub, "--rotor", rotor]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "If it then reads the same: painted hole on stud 3, 2 studs on from stud 1 counter-clockwise" in text
    assert cure.OVER_THE_SUM in text  # "should read 31" stood beside shares of 44 and 30 that add up to 26
    assert "1. thickness" in text
    assert "2. where it is even: only then clean" in text
    # a position counted from nought is never told to hands: position 2 is stud 3
    assert "stud position 2" not in text
    assert app.main(["index", "--hub", hub, "--rotor", rotor, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert " ".join(answer["leads"][0].split()) in " ".join(text.split())
    assert answer["best"] == 2
    assert [one["studs_turned"] for one in answer["positions"]] == [0, 1, 2, 3, 4]
    assert min(one["runout_um"] for one in answer["positions"]) >= answer["floor_um"] - 1e-9


def test_limits_that_nobody_gave_are_not_told_as_the_cases():
    plain = case_from_text('base = "rear_solid_300"\n')
    typed = case_from_text('base = "rear_solid_300"\n[limits]\nmounted_runout_um = 60\nhub_face_runout_um = 25\n')
    assert BenchLimits().checked(None) == BenchLimits().checked(plain) == (None, None)
    assert BenchLimits(40.0, 20.0).checked(plain) == (40.0, 20.0)
    assert BenchLimits(60.0, 25.0).checked(typed) == (60.0, 25.0)
    with pytest.raises(BadInput, match="40 here, but 60 in the case file"):
        BenchLimits(40.0, 20.0).checked(typed)
    with pytest.raises(BadInput, match="--hub-limit"):
        BenchLimits(hub_limit=-1.0).checked(None)


@pytest.mark.parametrize("arguments", [[], ["--hub", "x.csv"]])
def test_index_without_enough_to_go_by_is_refused(arguments, capsys):
    assert app.main(["index", *arguments]) == 2
    assert "--hub CSV --rotor CSV" in capsys.readouterr().err


@pytest.mark.parametrize("now", [0, 4])
def test_the_drawing_says_from_which_stud_to_which(now):
    found = index_positions(30.0 + 0j, 25.0 * np.exp(1j * 0.3), 5)
    text = spoken(plots_cure.positions(found, now, 50.0))
    assert f"from stud {now + 1} to stud {found.best + 1}" in text
    assert "painted hole" in text
    for one in found.positions:
        assert words.micrometres(one.runout_um).replace("\u00a0", " ") in text


def test_the_drawing_says_what_the_dial_shows_and_the_uncertainty_of_the_floor():
    found = index_positions(30.0 + 0j, 25.0 * np.exp(1j * 0.3), 5)
    reads = {turned: (40.0 + turned, 50.0 + turned, 60.0 + turned) for turned in range(5)}
    text = spoken(plots_cure.positions(found, 0, 50.0, told=plots_cure.Told(reads, 4.0)))
    assert "No stud position can beat 10 µm ± 4.0 µm (k = 2)" in text
    assert all(f"{50 + turned} µm" in text for turned in range(5))
    # As large as the figure itself: hub and rotor may be alike, and nothing is said.
    assert "can beat" not in spoken(plots_cure.positions(found, 0, 50.0, told=plots_cure.Told(reads, 12.0)))


def test_a_rotor_that_sits_best_is_left_alone():
    found = index_positions(30.0 + 0j, -25.0 + 0j, 5)
    assert found.best == 0
    assert "it sits best as it is" in spoken(plots_cure.positions(found, 0, 50.0))


def test_the_map_of_the_face_gives_no_leave():
    text = spoken(plots_cure.how_little(fakes.case(), FOUND))
    assert "60 µm" in text
    assert "over 500 µm" in text
    assert "does not excuse stopping short of clean metal" in text


def test_a_corner_over_its_limit_without_dirt_gets_no_map_and_the_map_is_of_the_dial():
    def text(found):
        page = Console(width=200, record=True, file=io.StringIO())
        page.print(cure.face_table(found))
        return " ".join(page.export_text().split())

    corner = case_from_text('base = "rear_solid_300"')
    assert cure.face_over(corner, FOUND) == ""
    assert "With the wheel on, dirt near the spigot leans the rotor about as far" in text(FOUND)
    over = replace(FOUND, clean_um=90.0)
    assert cure.face_over(corner, over).startswith("Without any dirt this corner runs out 90")
    assert "inner ring" not in text(over)
    # One order with `seat` and `index`: a stud first, no part by name where the hub is under its own limit.
    assert cure.face_over(corner, over).endswith(cure.STUD_FIRST)
    pinned = case_from_text('base = "rear_solid_300"\n[studs]\nindex_positions = [0]')
    assert cure.face_over(pinned, over).endswith(cure.SEAT_COMES_FIRST)
    for stated in ("[hub]\nface_runout_um = 60", "[rotor]\nown_thickness_variation_um = 30"):
        leads = case_from_text(f'base = "rear_solid_300"\n{stated}')
        assert cure.face_over(leads, over).endswith(cure.STATED_FIRST)


def test_the_heights_of_the_map_are_as_unsure_as_the_clean_runout_that_they_hang_on():
    unsure = replace(FOUND, clean_doubt_um=11.0)
    page = Console(width=300, record=True, file=io.StringIO())
    page.print(cure.face_table(unsure))
    told = " ".join(page.export_text().replace(words.GAP, " ").split())
    said = "clean, the corner runs 21 ± 11 µm (k = 2), computed, held for reading (the heights are as unsure: "
    assert said in told
    assert answers.face_answer(unsure)["clean_uncertainty_um"] == 11.0


def test_the_map_as_a_table_and_as_json_carries_the_same_heights():
    rows = list(csv.reader(line for line in cure.face_csv(FOUND).splitlines() if not line.startswith("#")))
    assert rows[0] == ["radius_mm", "angle_deg", "spoil_um"]
    assert rows[1][2] == ""
    assert float(rows[21][2]) == 60.0
    answer = json.loads(answers.text(answers.face_answer(FOUND)))
    assert answer["spoil_um"][0][0] is None
    assert answer["spoil_um"][2][1] == 80.0
    assert answer["frame"] == "hub"


def test_where_less_is_enough_it_is_darker():
    from scenes import palette

    light = [palette.lightness(colour) for colour in plots_cure.step_colours()]
    assert light == sorted(light)
    assert len(light) == len(plots_cure.STEPS_UM) + 1


@pytest.mark.parametrize("count", range(3, 9))
def test_tightening_goes_crosswise_over_every_stud_once(count):
    order = held_to_read.crosswise(count)
    assert sorted(order) == list(range(1, count + 1))
    assert order[0] == 1
    apart = [min((b - a) % count, (a - b) % count) for a, b in zip(order, order[1:], strict=False)]
    assert count < 5 or min(apart) >= 2
    assert apart[0] == count // 2
    assert held_to_read.crosswise(5) == (1, 3, 5, 2, 4)


def test_the_fitting_sheet_holds_all_that_hands_need():
    made = fitting_sheet.sheet_html(fakes.case(title="<script>x</script>"))
    text = re.sub(r"<style>.*?</style>", "", made, flags=re.DOTALL)
    assert "<script>" not in text
    for thing in (
        "vehicle maker's".replace("'", "&#39;"),
        "crosswise 1 – 3 – 5 – 2 – 4",
        "Stiff base",
        "Tip square",
        "bearing play",
        "second turn",
        "Clean is:",
        "Do not spoil it",
        "Signed" if "Signed" in text else "Fitted by",
        "Bed new pads",
        "Chocked" if "Chocked" in text else "chocked",
    ):
        assert thing in text or thing.replace("&#39;", "'") in text, thing
    order = [text.index(name) for name in ("Before lifting", "Rotor off", "Fit, tighten, read", "First drive")]
    assert order == sorted(order)


#: Of all that may be stated of one corner what makes the longest list: both branches of a rotor that may stay on.
FULLEST = (
    'base = "rear_solid_300"\n[studs]\nfastener = "wheel bolt"\n[wheel]\npad_thickness_mm = 18.0\n[hub]\n'
    "face_runout_um = 22\n[caliper]\nsticking_inboard_n = 400\n[pads]\nthickness_mm = 1.5\n"
)


@pytest.mark.browser
@pytest.mark.usefixtures("open_printer")
@pytest.mark.parametrize(
    ("text", "dirty"),
    [
        (demo_geometry.text("bolts_dirty"), None),
        (demo_geometry.text("bolts_dirty"), True),
        (demo_geometry.text("spigot_jammed"), None),
        (FULLEST, False),
    ],
    ids=["bolts, the whole order of work", "bolts and dirt", "scale", "the fullest list"],
)
def test_the_sheet_is_two_printed_pages_whatever_the_corner_has(text, dirty, tmp_path):
    """Bolts and scale on the spigot add lines; a third page held nothing but the footer."""
    case = case_from_text(text)
    listed = ()
    if dirty is not None:
        run = fakes.run(dirty=dirty)
        run.case = case
        listed = to_do.next_steps(run)
    page = tmp_path / "sheet.html"
    page.write_text(fitting_sheet.sheet_html(case, listed=listed), encoding="utf-8")
    pages = PdfReader(pdf.to_pdf(page, tmp_path / "sheet.pdf")).pages
    assert len(pages) == 2
    assert [small for one in pages for small in printed.look(one).too_small] == []


def test_no_nut_pulls_a_rotor_that_is_not_home():
    keys = [work.key for stage in work_order.stages(fakes.case()) for work in stage.works]
    assert keys.index("home") < keys.index("spacers")
    jammed = case_from_text(demo_geometry.text("spigot_jammed"), "jammed")
    assert "no nut pulls it" in " ".join(work_order.work(fakes.case(), "home").how)
    home = work_order.work(jammed, "home")
    assert "no nut is tightened and nothing is read as found" in home.what
    assert "A gap where the scale holds the rotor off, none where nuts drew it home" in " ".join(home.how)


def test_over_scale_the_sheet_tells_a_torque_only_once_the_rotor_is_home_by_hand():
    """Of one drawn home over scale: "expect a gap", nuts in stages of the torque, read as found; page one: no nut."""
    jammed = case_from_text(demo_geometry.text("spigot_jammed"), "jammed")
    works = [work for stage in work_order.stages(jammed) for work in stage.works]
    keys = [work.key for work in works]
    assert not {"spacers", "as found", "wheel-on trace", "last trace"} & set(keys)
    fit = keys.index("fit")
    before = " ".join(" ".join((one.what, *one.how)) for one in works[:fit])
    for said in ("In stages of", "crosswise", "expect a gap", "Wipe nothing yet"):
        assert said not in before
    behind = works[fit + 1]
    assert keys[fit : fit + 4] == ["fit", "tighten", "dial", "read"]
    assert "plain side to the rotor" in behind.what
    assert "In stages of" in " ".join(behind.how)
    assert "as found" not in dict(written_rows.to_write(keys))["from stud 1"]


# What must come before what at a corner; common practice, no source, but for the maker's instructions above it.
BEFORE = (
    ("support", "breakaway torque"),
    ("breakaway torque", "wheel-on trace"),
    ("wheel-on trace", "wheel off"),  # taking the wheel off destroys that evidence
    ("lift", "bearing play"),
    ("bearing play", "wheel off"),  # the wheel is rocked, a rotor that lies loose rocks by itself
    ("wheel off", "mark"),
    ("mark", "spacers"),
    ("spacers", "caliper off"),  # the rotor is held before anything near it is undone
    ("caliper off", "flange play"),
    ("flange play", "dial"),
    ("spacers", "dial"),
    ("dial", "as found"),
    ("as found", "thickness"),
    ("thickness", "rotor off"),
    ("rotor off", "cracks"),
    ("cracks", "clean"),
    ("clean", "hub face"),
    ("hub face", "fit"),
    ("fit", "tighten"),
    ("tighten", "read"),
    ("read", "index"),
    ("index", "the rest"),
    ("the rest", "caliper"),  # as found and fitted are read in one condition: the caliper is off for both
    ("caliper", "wheel"),
    ("wheel", "last trace"),
    ("wheel", "pedal"),
    ("pedal", "park brake back"),  # a brake is tried where the pedal is firm
    ("park brake back", "bed in"),
    ("bed in", "dust"),
)


@pytest.mark.parametrize(("first", "then"), BEFORE)
def test_the_work_is_done_in_the_order_of_the_trade(first, then):
    keys = [work.key for stage in work_order.stages(fakes.case()) for work in stage.works]
    assert len(set(keys)) == len(keys)
    assert keys.index(first) < keys.index(then)


def test_what_to_do_next_is_the_order_of_work_in_its_words():
    """One list: the steps under an answer and on page one are pieces of the sheet's, in its order."""
    keys = [work.key for stage in work_order.stages(fakes.case()) for work in stage.works]
    bad_hub = fakes.run()
    bad_hub.case = replace(bad_hub.case, hub=replace(bad_hub.case.hub, face_runout_um=60.0))
    rear = fakes.run()
    rear.case = replace(rear.case, axle="rear", studs=replace(rear.case.studs, fastener="wheel bolt"))
    for run in (fakes.run(), fakes.run(driven=False), bad_hub, rear):
        keys = [work.key for stage in work_order.stages(run.case) for work in stage.works]
        steps = to_do.next_steps(run)
        told = [key for step in steps for key in step.keys]
        # A step that is left out is left out at the corner too: what page one skips is on no other list either.
        left_out = {"thickness", "hub face", "index", "the rest", "dust"}
        assert set(keys) - left_out <= set(told)
        assert told.count("hub face") == 1
        assert [keys.index(key) for key in told] == sorted(keys.index(key) for key in told)
        for step in steps:
            if step != own_steps.HUB_FIRST:
                said = " ".join(one.what for one in work_order.works(run.case, step.keys))
                over = f" {worded_work.HUB_OVER}" if step.keys == ("hub face",) else ""
                wanted = f"{said}{over}".replace(held_to_read.STOP, worded_work.THEN_NEW)
                if "index" in step.keys and own_steps.HUB_FIRST in steps:  # a stud position cures no hub
                    wanted = wanted.replace(work_order.OVER, work_order.OVER_ON_A_GOOD_HUB, 1)
                assert step.what == wanted


def test_every_caution_stands_on_the_sheet_and_a_screen_says_the_few_that_matter():
    case = fakes.case()
    sheet = html.unescape(fitting_sheet.sheet_html(case))
    told = few_cautions.told_for(case, ["rotor off"])
    for caution in cautions.CAUTIONS:
        assert caution.text in sheet, caution.key
    assert [caution.key for caution in told] == ["maker first", "no compressed air", "never drawn home"]
    stuck = few_cautions.told_for(replace(case, spigot_scale=(SpigotScale(),)), ["rotor off"])
    assert [caution.key for caution in stuck] == [
        "maker first",
        "stuck rotor",
        "no compressed air",  # scale on the spigot is the dustiest job
        "never drawn home",
    ]
    assert [caution.key for caution in few_cautions.told_for(case, [])] == ["maker first"]


@pytest.mark.parametrize(("torque", "written"), [(330.0, False), (30.0, False), (2.0, False), (123.0, True)])
def test_no_torque_to_use_is_one_that_pulls_past_proof_or_holds_no_wheel(torque, written):
    """New studs, in place of some that 330 N m had spoilt, would have been tightened to the 330 of the same sheet."""
    case = case_from_text(f'base = "rear_solid_300"\n[studs]\ntorque_nm = {torque}\n')
    blanks = fitting_sheet.sheet_html(case).count("<td>none: look it up</td>")
    assert blanks == (1 if written else 2)


def test_torque_and_discard_stay_blank_unless_the_user_typed_them():
    text = 'base = "rear_solid_300"\n'
    blank = fitting_sheet.sheet_html(case_from_text(text))
    assert blank.count("<td>none: look it up</td>") == 2
    typed = text + "[studs]\ntorque_nm = 123.0\n[rotor]\nminimum_thickness_mm = 9.5\n[limits]\ndtv_um = 12.0\n"
    told = fitting_sheet.sheet_html(case_from_text(typed))
    for said in (
        "123\xa0N\xa0m",
        "9.5\xa0mm",
        "12\xa0µm, given in the case file",
        "50\xa0µm, default, common practice",
    ):
        assert said in told, said
    assert "look it up" not in told
