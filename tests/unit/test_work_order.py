"""The order of work: one list for every page, one condition for what is compared, one place for what is written."""

import html
import re
from dataclasses import replace

import pytest

from scenes.pages import chalk, fitting_sheet
from scenes.pages.blank_card import card_html
from scenes.pages.report import report_html
from scenes.words import cautions, place_by_place, words, work_order, written_rows
from sim.parts.case import Case, SpigotScale, Studs, Wheel
from tests import drawn, fakes

pytestmark = pytest.mark.usefixtures("few_draws")


@pytest.fixture(scope="module")
def page_one():
    """Page one of a dirty corner and of a quiet one."""
    with drawn.instead(drawn.label_alone):
        pages = report_html(fakes.run()), report_html(fakes.run(dirty=False, driven=False))
    return [html.unescape(page).split("Appendix for the engineer")[0] for page in pages]


def test_as_found_and_fitted_are_read_in_one_condition_in_every_list():
    case = fakes.case()
    before, after = (" ".join(work_order.work(case, key).how) for key in ("as found", "read"))
    assert "one condition" in before
    assert "caliper off and hung" in before
    assert "only rough" in before  # where it has to stay on
    assert "In the condition as found" in after
    assert "caliper still off" in work_order.work(case, "read").what
    assert "the caliper off and hung" in " ".join(place_by_place.SET_UP)
    assert "compare only roughly" in " ".join(place_by_place.SET_UP)
    for page in (fitting_sheet.sheet_html(case), card_html(5, case), chalk.page_html()):
        assert "off and hung" in page
        assert "pads pushed back" in page


def test_bearing_play_is_rocked_at_the_wheel_and_at_the_hub_and_never_at_a_loose_rotor():
    for case in (fakes.case(), replace(fakes.case(), studs=replace(fakes.case().studs, fastener="wheel bolt"))):
        assert "Rock the wheel at 12 and 6" in work_order.work(case, "bearing play").what
        assert work_order.work(case, "flange play").what == "Rock the hub too."
        told = " ".join(text for stage in work_order.stages(case) for one in stage.works for text in one.how)
        assert "run up by hand hold the rotor; rock" not in told
        assert "lies loose rocks by itself" in told


def test_the_mask_is_on_before_the_wheel_comes_off_and_while_it_is_brushed():
    mask = cautions.named("mask and eyes")[0]
    moments = cautions.MOMENTS
    assert moments.index(mask.moment) < moments.index("caliper off")
    assert work_order.work(fakes.case(), "wheel off").what.startswith("Mask and eye cover on; wheel off")
    assert "Mask and eye cover stay on" in work_order.work(fakes.case(), "clean").how[0]
    assert cautions.named("no compressed air")[0].text.startswith("Mask on.")


def test_what_is_written_down_is_one_list_and_the_valve_has_rows_of_its_own(page_one):
    """Hub face, index move, before and after, on everything that is written on; places of wheel and hub apart."""
    case = fakes.case()
    sheet, card = fitting_sheet.sheet_html(case), card_html(5, case)
    for page in (sheet, card, page_one[0]):
        for row in written_rows.FROM_STUD:
            assert f">{row}<" in page, row
        assert written_rows.HIGH_SPOT in html.unescape(page)
    heads = [head for head, _ in written_rows.TO_WRITE]
    assert heads == sorted(heads, key=sheet.index)
    assert sheet.count("<th>30°</th>") == len(heads)
    assert card.index("wheel on, from the valve") > card.index("from stud 1")


def test_a_row_to_write_has_its_step_and_a_quiet_corner_asks_for_no_more_than_it_orders(page_one):
    """On page one of a corner that stays as it is: runout and thickness, each with what it is held against."""
    dirty, quiet = page_one
    assert ">hub face, clean<" in dirty
    assert ">thickness<" in quiet
    for row in ("hub face, clean", "cleaned, fitted", "indexed by ____ holes"):
        assert f">{row}<" not in quiet
    assert "uneven by more than 15\xa0µm" in quiet
    assert set(written_rows.WRITTEN_AT) == {row for _, rows in written_rows.TO_WRITE for row in rows}
    keys = {one.key for stage in work_order.stages(fakes.case()) for one in stage.works}
    assert set(written_rows.WRITTEN_AT.values()) <= keys


def test_a_corner_on_bolts_marks_what_sets_the_rotors_place():
    bolts = replace(fakes.case(), studs=replace(fakes.case().studs, fastener="wheel bolt"))
    assert "locating pin" in " ".join(work_order.work(bolts, "mark").how)
    assert "locating pin" not in " ".join(work_order.work(fakes.case(), "mark").how)


BOLTS = Case(studs=Studs(fastener="wheel bolt"), wheel=Wheel(pad_thickness_mm=18.0))


@pytest.mark.parametrize("case", [Case(), BOLTS])
def test_the_stud_that_the_torque_table_counts_from_is_painted_before_the_first_torque_is_written(case):
    what = work_order.work(case, "breakaway torque").what
    assert what.index("1 painted") < what.index("breakaway torque")
    page = html.unescape(fitting_sheet.sheet_html(case))
    torques = page.split("Torque of each")[1]
    assert torques.index("found: it gave at") < torques.index("set: fitted") < torques.index("set: re-torqued")


def test_spacers_under_bolts_are_measured_on_the_wheel_in_hand_and_turns_are_counted():
    work = work_order.work(BOLTS, "spacers")
    assert "measure it" in work.what
    assert "18" not in work.what
    how = " ".join(work.how).replace(words.GAP, " ")
    assert "this car's wheel counts" in how
    assert "No fewer full turns before torque than the maker gives (common practice, no source" in how
    assert "10 turns of M14x1.5" in how


def test_bolts_break_loose_before_they_come_out_and_nuts_before_the_wheel_does():
    for case, key in ((BOLTS, "guide pin"), (Case(), "wheel off")):
        loose = [one.key for stage in work_order.stages(case) for one in stage.works if "break loose" in str(one.how)]
        assert loose == [key]


def test_spacers_fit_the_seat_of_what_presses_on_them():
    assert "the other fits the nut's seat" in work_order.work(Case(), "spacers").what
    assert "flat washers between nut and spacer" in " ".join(work_order.work(Case(), "spacers").how)
    assert "Spacers fit the bolt's seat" in " ".join(work_order.work(BOLTS, "spacers").how)


def test_the_park_brake_is_let_off_over_chocks_and_the_inboard_dial_is_written_as_it_shows():
    rear = replace(Case(), axle="rear")
    assert work_order.work(rear, "park brake off").what.startswith("Other axle chocked; park brake off")
    trace = " ".join(work_order.work(rear, "wheel-on trace").how)
    assert "Counted as seen from outside; what the dial shows is written" in trace
    assert "how the car was driven" not in trace  # every nut was torqued anew before it
    last = work_order.work(rear, "last trace").what
    assert last == "Inboard face, where read: again, wheel on; over the limit: not driven."  # it had no end


def test_a_gap_rule_that_scale_does_not_break():
    work = work_order.work(Case(), "home")
    assert "no gap along the joint that a 0.2 mm feeler enters" in work.what
    assert "Scale on the face leaves a hairline and is read as found" in " ".join(work.how)
    assert "Where none reaches (a drum in the hat)" in " ".join(work.how)


def test_stands_are_rated_alike_and_on_the_makers_points():
    (stands,) = cautions.named("stands")
    for word in ("rated for the load", "both at one height", "jacking points"):
        assert word in stands.text


def test_a_page_counts_one_way_and_asks_for_the_thinnest_place_beside_the_discard_thickness(page_one):
    sheet = html.unescape(fitting_sheet.sheet_html(Case()))
    assert "23\xa0µm at 64\xa0mm" in sheet  # a lean grows with the radius: the limit has its place
    for page in (sheet, html.unescape(page_one[0])):
        assert "discard (stamped or maker's)" in page
        assert "least read" in page
        assert "o'clock" not in written_rows.HIGH_SPOT
        assert not re.search(r'class="box"></span>(counter-)?clockwise', page)


@pytest.mark.parametrize("fastener", ["nut on stud", "wheel bolt"])
def test_nothing_is_tightened_before_a_rotor_that_scale_holds_is_off(fastener):
    """Torque on a rotor that is not home draws it over the scale; the same order held every nut back to torque."""
    scaled = replace(Case(), studs=Studs(fastener=fastener), spigot_scale=(SpigotScale(height_um=115.0),))
    keys = [one.key for stage in work_order.stages(scaled) for one in stage.works]
    before = keys[: keys.index("rotor off")]
    said = {key: work_order.work(scaled, key) for key in before if key not in ("home", "spacers")}
    assert not [key for key, one in said.items() if "maker's torque" in f"{one.what} {one.how}"]
    assert not {"wheel-on trace", "last trace"} & set(keys)
    assert "is tightened; breakaway torque of each written down as it gives" in said["breakaway torque"].what
    assert "tight again" not in " ".join(said["breakaway torque"].how)
    assert "break loose" not in str(said)  # each was let go already
