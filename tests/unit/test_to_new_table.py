"""A table whose readings renew a part: its list begins where the car stands, stamp first, and ends at a new table."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from scenes.words import acts, by_table, causes_first, held_to_read, steps, to_do, to_new_table
from sim.causes import names
from sim.corner.driven import BareHub, MountedReading
from sim.files.case_file import case_from_text
from sim.parts.thickness import Uneven
from tests import command, fakes
from tests.unit.test_by_table import decided

BASE = 'base = "rear_solid_300"\n'
STATED = "[rotor]\nminimum_thickness_mm = 10.0\n"
HEAD = "# studs: 5\n# gauge_radius_mm: 140\n# turned: counter-clockwise\n# dial: + towards\n# dial_um: 10\n"


def in_order(told, *said):
    """Whether each stands there, behind the one before."""
    places = [told.find(one) for one in said]
    assert -1 not in places, (said[places.index(-1)], told)
    return places == sorted(places)


def table(path, state, thinnest_um, clamped="nuts and spacers"):
    """A mounted turn and the thickness beside it."""
    rows = [f"mounted,1,0,{a},{20 * np.cos(np.radians(a)):.0f},{state},{clamped}" for a in range(0, 360, 30)]
    rows += [f"thickness,1,0,{a},{thinnest_um},{state}," for a in range(0, 360, 30)]
    path.write_text(HEAD + "trace,mount,studs_turned,angle_deg,reading_um,state,clamped_by\n" + "\n".join(rows) + "\n")
    return path


@pytest.mark.parametrize("stated", ["", STATED])
def test_a_rotor_under_its_stamp_as_read_clean_is_worked_where_it_stands_the_stamp_first(tmp_path, capsys, stated):
    """From the ground, rotor off, faces cleaned anew, then the stamp; indexed, wheel on, and nothing asked again."""
    case = tmp_path / "case.toml"
    case.write_text(BASE + stated)
    thin = table(tmp_path / "t.csv", "cleaned", 9400)
    printed = " ".join(command.run(capsys, "drive", case, "--mounted", thin).stdout.split())
    told = printed.partition("in this order")[2].partition("▌")[0]
    stamp = (
        "its stamp read. Another figure than 10 mm: that into the case file" if stated else "nothing moved. At or under"
    )
    order = ("1. As read last: car on stands", "2. The rotor still on:", stamp, "both rotors of the axle, as below.",
             "Rock the hub", "rotor off.", "Read the clean hub face", "Renew the rotor", "Rotor home by hand",
             "Read the runout, two turns", "Thickness of the rotor that is on", "Stop: bare face, runout and thickness "
             "into a new table, ask again.", "nothing goes back on")  # fmt: skip
    assert in_order(told, *order)
    for gone in ("Before lifting", "index the rotor", "wheel on, crosswise"):
        assert gone not in told


def test_read_as_found_under_bare_nuts_it_is_worked_from_the_ground_and_ends_at_a_new_table_all_the_same(
    tmp_path, capsys
):
    case = tmp_path / "case.toml"
    case.write_text(BASE)
    thin = table(tmp_path / "t.csv", "as found", 9400, "bare nuts")
    printed = " ".join(command.run(capsys, "drive", case, "--mounted", thin).stdout.split())
    told = printed.partition("in this order")[2].partition("▌")[0]
    assert in_order(told, "Before lifting", "Read the discard thickness stamped", to_new_table.NEW_THICKNESS,
                    "a new rotor's into a new table")  # fmt: skip
    assert "wheel on, crosswise" not in told
    alone = thin.read_text().splitlines()
    thin.write_text("\n".join(one for one in alone if not one.startswith("mounted")) + "\n")
    printed = " ".join(command.run(capsys, "drive", case, "--worn", thin).stdout.split())
    assert "wheel on, crosswise" in printed  # no mounted turn: `causes` asks nothing of it


def read_clean(thinnest_mm, varies_um, text=""):
    """A corner that was read clean, its rotor so thin and so uneven."""
    run = fakes.run(dirty=False)
    run.case = case_from_text(BASE + text)
    trace = 15.0 * np.cos(np.radians(np.arange(360.0)))
    run.reading = MountedReading(
        trace, "nuts and spacers", "the readings", (27.0, 30.0, 33.0), np.ones(1), 4.0, state="cleaned"
    )
    run.forecast.worn_as_read_um, run.forecast.worn_doubt_um = varies_um, 6.0
    run.forecast.worn_varies = Uneven(varies_um, 6.0, 15.0)
    run.forecast.worn_thinnest_mm = thinnest_mm
    return run


def listed(monkeypatch, run, do):
    """What its table lists."""
    monkeypatch.setattr(causes_first, "by_machine", lambda _: {"do": do, "next": None, "next_studs_turned": None})
    return by_table.next_steps(run, decided(names.LEAVE, run.case), "t.csv", "own.toml")


@pytest.mark.parametrize(
    ("text", "varies_um", "do", "stamp"),
    [
        (STATED, 4.0, acts.RENEW_IT, "Another figure than"),
        ("", 4.0, acts.READ_THE_STAMP, to_new_table.BY_ITS_STAMP),
        ("", 30.0, acts.READ_THE_STAMP, to_new_table.WHATEVER_IT_SAYS),
    ],
)
def test_a_rotor_near_its_stamp_as_read_clean_has_the_stop_of_its_card(monkeypatch, text, varies_um, do, stamp):
    """Behind the new rotor its list put the wheel on over whatever that one read."""
    run = read_clean(10.03, varies_um, text)
    steps_of_it = listed(monkeypatch, run, do)
    told = " ".join(step.what for step in steps_of_it)
    assert in_order(told, held_to_read.as_read_last(run.case), stamp, "rotor off.", steps.RENEW_BY_STAMP.what)
    assert steps_of_it[-1].what == to_new_table.stop()
    assert "wheel on, crosswise" not in told


def test_an_uneven_rotors_list_ends_at_a_new_table_too_and_one_that_stays_keeps_its_own(monkeypatch):
    uneven = read_clean(11.5, 30.0)
    told = listed(monkeypatch, uneven, names.RENEW)
    assert told[-1].what == to_new_table.stop()
    assert told[:-2] == to_do.next_steps(uneven)[: len(told) - 2]
    even = read_clean(11.5, 4.0)
    assert listed(monkeypatch, even, names.LEAVE) == to_do.next_steps(even)


def test_what_holds_the_wheel_comes_before_a_stamp_that_is_read_where_it_stands():
    case = case_from_text(BASE + STATED)
    reading = SimpleNamespace(state="cleaned", clamped_by="")
    goes = SimpleNamespace(nuts=(), rotor_off=(), stamp=None, rotor=(steps.RENEW_BY_STAMP,))
    assert to_new_table.begins_there(case, goes, reading)
    loose = SimpleNamespace(**{**vars(goes), "nuts": (steps.NUTS_FIRST,)})
    assert not to_new_table.begins_there(case, loose, reading)
    for held, there in (("nuts and spacers", True), ("bare nuts", False), ("wheel", False)):
        assert to_new_table.begins_there(case, goes, SimpleNamespace(state="as found", clamped_by=held)) is there
    assert not to_new_table.begins_there(case, goes, None)


def test_a_new_hubs_face_is_read_before_a_rotor_covers_it(monkeypatch):
    """ "With a new one a new table begins", and the next step put the rotor on."""
    run = read_clean(11.5, 4.0)
    run.reading = replace(run.reading, bare_hub=BareHub(45.0, 6.0, 23.0, 64.0))
    assert steps.HUB_READ_FIRST in to_do.next_steps(run)
    told = " ".join(step.what for step in listed(monkeypatch, run, names.HUB_AND_BEARING))
    assert in_order(told, steps.HUB_READ_FIRST.what, to_new_table.NEW_FACE.what, "Rotor home by hand")
    within = listed(monkeypatch, read_clean(11.5, 30.0), names.RENEW)
    assert to_new_table.NEW_FACE not in within
