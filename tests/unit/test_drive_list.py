"""Lists behind readings, and of bolts: no check without its end, nothing measured twice, no dial that reads nothing."""

from __future__ import annotations

import numpy as np
import pytest

from scenes.pages.fitting_sheet import sheet_html
from scenes.words import held_to_read, sheet_stages, to_do, what_leads
from scenes.words import steps as own
from sim.corner.driven import MountedReading
from sim.files.case_file import case_from_text
from sim.parts.fastener import bolt_warnings
from tests import fakes


def read_corner(tir_um, state="cleaned", thickness_um=6.0, doubt_um=3.0, tables="", held="nuts and spacers"):
    """A corner whose runout and thickness variation were read, and its list."""
    run = fakes.run(dirty=False)
    run.case = case_from_text(f'base = "rear_solid_300"\n{tables}')
    wave = 0.5 * tir_um * np.cos(np.radians(np.arange(360.0)))
    ends = (0.9 * tir_um, tir_um, 1.1 * tir_um)
    run.reading = MountedReading(wave, held, "the readings", ends, np.ones(2), 2.0, state=state)
    run.forecast.worn_as_read_um, run.forecast.worn_doubt_um = thickness_um, doubt_um
    return run


def listed(run):
    return [step.what for step in to_do.next_steps(run)]


def test_a_check_that_fails_leads_somewhere():
    """ "Stamp read, no crack, hub rocked without play": what if not? And the caliper hung there unsaid."""
    run = read_corner(20.0)
    run.forecast.dtv_um = run.forecast.dtv_um * 0.0 + 3.0
    run.forecast.dtv_highest_band_um = (2.0, 4.0)
    told = listed(run)
    assert told[0].startswith("As read last: car on stands")
    assert told[1] == "Rock the hub: with play, bearing first."
    checks = next(what for what in told if what.startswith("Checks before it stays on"))
    for end in (
        "of one turn alone a second that repeats it, else read as it stands till three agree",
        "over it, else new rotors, both of the axle",
        "cracked is scrap",
        "the runout read again",
    ):
        assert end in checks


@pytest.mark.parametrize("state", ["cleaned", "as found"])
def test_a_thickness_that_the_table_holds_is_not_measured_again(state):
    """It was read as even; the list took the micrometer once more, and its one branch was "stop"."""
    run = read_corner(76.0, state)
    run.forecast.dtv_highest_band_um = (8.0, 12.0)  # grows on the road: no reading of today tells that
    told = " ".join(listed(run))
    assert "by micrometer" not in told
    assert "stop" not in told
    assert "Thickness was read: the stamp too, the thinnest place over it; at or under it: new ones" in told
    assert told.index("Rock the hub") < told.index("bearing and hub first")
    assert "Thickness was read" not in " ".join(listed(read_corner(76.0, state, tables="[rotor]\nthickness_mm = 12.0\n"
                                                                    "minimum_thickness_mm = 10.4\n")))  # fmt: skip


def test_what_ran_hot_is_measured_once():
    """The caliper's step ordered the micrometer, and the next step ordered it again."""
    stuck = "[caliper]\nsticking_inboard_n = 400\n"
    for run in (fakes.run(dirty=True), read_corner(90.0, "as found", tables=stuck)):
        read, run.case = getattr(run, "reading", None), case_from_text(f'base = "rear_solid_300"\n{stuck}')
        told = " ".join(listed(run))
        assert told.count("icrometer") == (0 if read is not None else 1)
        assert "rotor for cracks and blue" in told
    known = fakes.run(dirty=False)
    known.case = case_from_text(f'base = "rear_solid_300"\n{stuck}[rotor]\nthickness_mm = 12.0\n'
                                "minimum_thickness_mm = 10.4\n")  # fmt: skip
    assert " ".join(listed(known)).count("Thickness by micrometer") == 1  # given before it dragged


def test_a_dial_is_set_up_where_something_is_read_with_it():
    run = read_corner(30.0, "as found", thickness_um=16.0, doubt_um=7.0, held="wheel")
    told = listed(run)
    again = next(k for k, what in enumerate(told) if what.startswith("Measure the thickness again"))
    assert not any("Dial on the knuckle" in what for what in told[:again])
    assert any(what.startswith("Dial on the knuckle. Read the clean hub face") for what in told[again:])
    assert any(what.startswith("Dial on the knuckle, 10") and "Read the runout" in what for what in told[again:])


@pytest.mark.parametrize("do_more", ["", "[caliper]\nsticking_inboard_n = 400\n"])
def test_what_was_read_as_found_under_spacers_stands_so_and_is_not_read_as_found_again(do_more):
    """From the chocks, held anew and read "as found" once more, right behind the reading that the list is made of."""
    run = read_corner(90.0, "as found", tables=do_more)
    told = " ".join(listed(run))
    assert told.startswith(held_to_read.as_read_last(run.case))
    order = ("Rock the hub", "rotor off.", "Rust, dirt and burrs off", "Read the clean hub face", "Rotor home by hand",
             "Read the runout, two turns", "wheel on, crosswise")  # fmt: skip
    places = [told.find(said) for said in order]
    assert -1 not in places
    assert places == sorted(places)
    for twice in ("Before lifting", "Wipe nothing yet", "Nuts with spacers", "Dial on the knuckle"):
        assert twice not in told
    assert "Rotor off, clean hub face and rotor seat" in to_do.lead(run) or do_more
    wheel = read_corner(90.0, "as found", tables=do_more, held="wheel")
    assert "Wipe nothing yet" in " ".join(listed(wheel))  # nobody read it as it is held for reading
    assert to_do.lead(wheel).endswith("Read as found; rotor off, clean hub face and rotor seat, fit, read again.")


def test_no_rotor_is_ordered_by_the_number_of_a_wrong_one():
    run = fakes.run(dirty=True)
    run.case = case_from_text('base = "rear_solid_300"\n[rotor]\nbore_diameter_mm = 72.6\n')
    told = " ".join(listed(run))
    assert told.index("new ones, both of the axle, ordered once the part below is checked") < told.index("The part:")


BOLTS = {
    own.BOLTS_LOOSE: "torque_nm = [110, 110, 0, 110, 110]\nroad_torque_nm = 110",
    own.BOLTS_FIRST: "thread_engagement_mm = 6.0",
    own.BOLTS_PULLED: "torque_nm = 500.0",
}


@pytest.mark.parametrize("step", BOLTS)
def test_a_torn_thread_ends_torque_and_reading_and_no_more(step):
    """Stamp, cracks and cleaning stood under "nothing is tightened: caliper and rotor off"."""
    run = fakes.run(dirty=True)
    run.case = case_from_text(f'base = "rear_solid_300"\n[studs]\nfastener = "wheel bolt"\n{BOLTS[step]}\n')
    told = listed(run)
    assert step.what in told
    assert "in a torn thread nothing is tightened" in step.what
    held = next(what for what in told if "Bolts with spacers" in what)
    assert held.startswith("No thread torn (else the steps below without torque and reading, the hub renewed before")


def test_bolts_that_are_too_long_are_found_before_they_clamp():
    """None can be stated: deeper than the flange is refused, and who then writes the flange was told nothing."""
    run = fakes.run(dirty=True)
    run.case = case_from_text('base = "rear_solid_300"\n[studs]\nfastener = "wheel bolt"\n')
    wheel = next(what for what in listed(run) if "wheel on, the pin out" in what)
    assert wheel.index("none fouling behind") < wheel.index("to the maker's torque")
    how = " ".join(line for one in to_do.next_steps(run) for work in one.works for line in work.how)
    assert "before they clamp, look and listen behind it (drum, park brake, sensor): none fouls or bottoms" in how
    run.case = case_from_text('base = "rear_solid_300"\n')
    assert "foul" not in " ".join(listed(run))


@pytest.mark.parametrize(
    ("engaged_mm", "spacer_mm", "cure"),
    [(6.0, 18.0, "as long as the vehicle maker gives"), (14.0, 26.0, "spacers as thick as the wheel's pad")],
)
def test_few_threads_have_one_cure(engaged_mm, spacer_mm, cure):
    """Beside "bolts as long as the vehicle maker gives" stood "take thinner spacers or longer bolts"."""
    case = case_from_text(
        'base = "rear_solid_300"\n[studs]\nfastener = "wheel bolt"\n'
        f"thread_engagement_mm = {engaged_mm}\nspacer_mm = {spacer_mm}\n[wheel]\npad_thickness_mm = 18.0\n"
        "[hub]\nflange_thickness_mm = 15.0\n"
    )
    (said,) = bolt_warnings(case)
    assert said.endswith(f"take {cure}") or f"take bolts {cure}" in said


def test_a_list_says_with_what_margin_no_stud_passes():
    """`index` has a band for each stud, the list one margin: two answers may part by it, and nothing said so."""
    run = fakes.run(dirty=False)
    run.case = case_from_text('base = "rear_solid_300"\n[rotor]\nown_runout_um = 110\n')
    (rest,) = (step for step in to_do.next_steps(run) if "then on another stud" in step.what)
    assert "no stud brings it under its limit, 11" in rest.why
    run.case = case_from_text('base = "rear_solid_300"\n[rotor]\nown_runout_um = 55\n')
    assert not any("no stud brings it" in step.why for step in to_do.next_steps(run))


@pytest.mark.parametrize(("torques", "slack"), [("140, 330, 140, 140, 140", False), ("140, 330, 140, 30, 140", True)])
def test_beside_a_stud_that_was_pulled_too_hard_no_nut_is_loose_that_is_not(torques, slack):
    """Of 140 N m beside one at 330 the list looked at nuts that were loose or off."""
    run = fakes.run(dirty=False)
    run.case = case_from_text(f'base = "rear_solid_300"\n[studs]\ntorque_nm = [{torques}]\n')
    steps = to_do.next_steps(run)
    assert own.STUDS_FIRST in steps
    assert (own.NUTS_FIRST in steps) is slack


def test_a_stage_of_a_rotor_that_stands_held_takes_no_wheel_off():
    """Rocked and checked with wheel and caliper off, under the head "Wheel off: mark the rotor"."""
    run = read_corner(20.0)
    run.forecast.dtv_um = run.forecast.dtv_um * 0.0 + 3.0
    run.forecast.dtv_highest_band_um = (2.0, 4.0)
    stages = sheet_stages.of_list(run.case, to_do.next_steps(run))
    (stage,) = (one for one in stages if any(work.key == "flange play" for work in one.works))
    assert stage.name == sheet_stages.STANDS
    assert "<th>turn 2</th>" in sheet_html(run.case, listed=to_do.next_steps(run))  # room for the second turn


def test_a_thickness_that_was_read_tells_better_than_the_one_that_was_given():
    """Read to vary by 6 µm it was renewed, as its case gives 30; `causes` said "below" of the same table."""
    given = "[rotor]\nown_thickness_variation_um = 30\n"
    run = read_corner(20.0, tables=given)
    run.forecast.dtv_um = run.forecast.dtv_um * 0.0 + 6.0
    run.forecast.dtv_highest_band_um = (5.0, 7.0)
    assert own.LEAVE_IT_ON in to_do.next_steps(run)
    assert "as given" not in what_leads.worn_first(run)
    unread = read_corner(20.0, tables=given)
    unread.forecast.worn_as_read_um = None
    assert any(step.keys == own.GIVEN_UP for step in to_do.next_steps(unread))
    assert what_leads.worn_first(unread).startswith("The rotor first, as given: its thickness varies by 30")
