"""The fitting sheet's rows: every reading of its list, with its second turn and its limit; and no box too early."""

from __future__ import annotations

import html

import pytest

from scenes.pages.fitting_sheet import sheet_html
from scenes.words import given_nuts, sheet_rows, sheet_stages, stated_work, to_do, words, written_rows
from sim.files.case_file import case_from_text
from tests import fakes


def sheet(tables="", dirty=True):
    """Case, list and printed sheet of one corner."""
    run = fakes.run(dirty=dirty)
    run.case = case_from_text(f'base = "rear_solid_300"\n{tables}')
    listed = to_do.next_steps(run)
    return run.case, listed, html.unescape(sheet_html(run.case, listed=listed)).replace(words.GAP, " ")


def test_what_the_list_reads_again_has_its_row_and_every_row_its_limit_and_boxes():
    """ "Seat cleaned once more, read" and a stoned hub face had nowhere to be written, no limit stood beside any."""
    case, listed, page = sheet()
    (_, hub), (_, wheel) = sheet_rows.rows(case, (key for step in listed for key in step.keys))
    limits = {row.name: row.limit.replace(words.GAP, " ") for row in hub}
    assert list(limits) == [
        *("as found", "thickness", "hub face, clean", "hub face, again"),
        *(written_rows.FITTED, "indexed by ____ holes", "cleaned again"),
    ]
    assert (limits["thickness"], limits["hub face, again"], limits["cleaned again"]) == ("15 µm", "23 µm", "50 µm")
    # That of the mounted rotor is for a dial on a bare one: "over the limit: not driven", and no figure had room.
    assert [(row.name, row.limit) for row in wheel] == [("before", ""), ("at the end", sheet_rows.UNKNOWN)]
    table = page.split("<h2>Readings</h2>")[1]
    assert table.count("</span>within") == table.count("</span>over") == len(hub) + 1
    assert table.count("<th>turn 2</th>") == table.count("<th>turn 3</th>") == 2  # three turns buy a hub or a rotor
    assert "the maker's limit, where one is written above" in table


def test_a_rotor_that_is_renewed_has_a_row_for_its_own_thickness():
    """The one row was of the rotor that came off: what went on in its place was measured nowhere."""
    case = case_from_text('base = "rear_solid_300"')
    for goes in ("rotor", "rotor as given"):
        ((_, rows),) = sheet_rows.rows(case, ("thickness", goes, "read"))
        told = {row.name: row.limit for row in rows}
        assert told["thickness, new"] == told["thickness"]
    assert "thickness, new" not in {
        row.name for _, there in sheet_rows.rows(case, ("thickness", "read")) for row in there
    }


def test_a_corner_that_asks_for_less_has_fewer_rows_and_no_other_car_a_limit_of_this_one():
    case = case_from_text('base = "rear_solid_300"')
    ((_, rows),) = sheet_rows.rows(case, ("thickness", "read"))
    assert [row.name for row in rows] == ["thickness", written_rows.FITTED]
    ((_, rows),) = sheet_rows.rows(case, ("read", "the rest"))
    assert [row.name for row in rows] == [written_rows.FITTED, "cleaned again"]
    several = sheet_rows.rows(case, written_rows.WRITTEN_AT.values(), any_car=True)
    assert {row.limit for _, there in several for row in there} == {sheet_rows.UNKNOWN, ""}


def test_a_figure_that_is_no_turn_has_room_and_the_makers_own_beside_it():
    """ "Pads thick enough", "within the vehicle maker's play", "count the turns of one bolt": nowhere to write them."""
    bolts, play = '[studs]\nfastener = "wheel bolt"\n', "[hub]\nbearing_end_float_um = 60\n"
    written = {"Thinnest lining": "", "Bearing's end float": play, "Bolt, turns out": bolts, "Wheel's pad": bolts}
    for name, asked in written.items():
        assert name in sheet(asked)[2]
        assert (name in sheet()[2]) is not bool(asked), name
    assert "mm (maker's most" in sheet(play)[2]


def test_the_last_reading_with_the_wheel_on_says_what_is_done_over_the_limit():
    """ "Over the limit: not driven", and no more."""
    page = sheet()[2]
    assert page.index("over the limit: not driven") < page.index(
        "wheel and hat clean where they meet, on and read again"
    )


def test_scale_at_the_tip_of_the_spigot_is_cleaned_there_too():
    """Its sheet cleaned the root, and ticked the root off."""
    scale = "[[spigot_scale]]\nangle_deg = 180\narc_deg = 120\nheight_um = 115\nfrom_face_mm = 5\nto_face_mm = 9\n"
    page = sheet(scale)[2]
    assert "spigot all round from its tip to its root" in page
    assert "</span>spigot clean" in page
    assert "</span>spigot root clean" in sheet()[2]


@pytest.mark.parametrize("tables", ["[rotor]\nthickness_mm = 10.05\n", "[rotor]\nthickness_mm = 10.0\n"])
def test_no_box_is_ticked_by_a_stamp_that_a_later_stage_reads(tables):
    case, listed, page = sheet(tables)
    assert page.index("Read the discard thickness stamped") < page.index("</span>above discard</span>")
    stages = sheet_stages.of_list(case, listed)
    assert [box for stage in stages for box in stage.boxes].count("above discard") == 1


@pytest.mark.parametrize(
    ("studs", "told"),
    [
        ("torque_nm = [140, 140, 330, 140, 140]", "held for reading: studs 1 to 5 at 140, 140, 330, 140, 140 N m."),
        ("road_torque_nm = [110, 40, 110, 110, 110]", "on the road: studs 1 to 5 at 110, 40, 110, 110, 110 N m."),
        (
            'fastener = "wheel bolt"\ntorque_nm = [140, 140, 330, 140, 140]',
            "held for reading: bolt holes 1 to 5 at 140, 140, 330, 140, 140 N m.",
        ),
    ],
)
def test_the_sheet_names_the_stud_that_was_pulled_too_hard_and_its_torque(studs, told):
    """ "Check torque ... as given": nothing was given on the sheet."""
    page = sheet(f"[studs]\n{studs}\n")[2]
    assert told in page
    assert given_nuts.ON_THE_ROAD not in sheet()[2]


def test_scale_is_taken_off_in_the_stage_that_says_how():
    """ "Scale off the spigot" stood a stage above mask, wet brush and sensor, and was ordered twice."""
    assert "Scale off" not in stated_work.SCALED.what
    assert "once they are clean" in stated_work.SCALED.what
    assert sheet_stages.MOMENT_AT["cleaning"] == ("clean",)
