"""One verdict a question on the road: what is said of the limit follows from all draws, wherever it is said."""

import io
import re
from dataclasses import replace

import numpy as np
import pytest
from rich.console import Console

from scenes.command import tables, tables_road
from scenes.film import stories
from scenes.words import (
    cleaning,
    felt,
    few_cautions,
    findings,
    held_to_read,
    road,
    spigot,
    to_do,
    what_leads,
    words,
    work_order,
)
from scenes.words import steps as own_steps
from sim.bench.mountings import ONE_SCREW
from sim.bench.questions import after_cleaning
from sim.corner.driven import BareHub, MountedReading
from sim.errors import Refused
from sim.files.case_file import case_from_text
from sim.parts.case import Case
from sim.parts.discard import is_stated
from sim.parts.thickness import Uneven
from sim.wear.asked import Settings
from sim.wear.brake import COARSE
from sim.wear.forecast import drive
from sim.wear.forecast_words import ENDS_AT
from sim.wear.lives import WORN_PADS
from tests import fakes
from tests.unit.test_road import row, shown

# probability never, middle case [km], 80 % band [km]
SURE = (0.02, 7900.0, 5000.0, 12_000.0)
OFTEN = (0.27, 7900.0, 2200.0, None)
LIMIT = "15 µm (default, common practice)"  # nobody typed it
RARELY = (0.71, 7900.0, 2200.0, None)  # the middle case gets there, most draws do not
HARDLY = (0.97, None, None, None)


def said(never, km, low, high, draws=256):
    run = fakes.run()
    told = {"probability_never": never, "km_to_limit": km, "km_low": low, "km_high": high, "draws": draws}
    for key, value in told.items():
        setattr(run.forecast, key, value)
    return run, findings.dtv(run)


def test_a_reading_under_a_missing_nut_clears_nothing():
    run = fakes.run(dirty=False)
    assert "below the limit" in findings.runout(run).sentence
    run.case = replace(run.case, studs=replace(run.case.studs, torque_nm=(140.0, 140.0, 0.0, 140.0, 140.0)))
    assert "which clears nothing, the nuts come first" in findings.runout(run).sentence


def test_a_small_figure_computed_under_bare_nuts_clears_nothing_as_one_that_was_read():
    run = fakes.run(dirty=False)
    assert words.SMALL_BARE not in findings.runout(run).sentence
    run.case = replace(run.case, studs=replace(run.case.studs, clamped_by="bare nuts"))
    assert findings.runout(run).sentence.endswith(words.SMALL_BARE)
    asked = to_do.next_steps(run)
    assert asked.index(own_steps.SPACERS_FIRST) < asked.index(own_steps.STAYS_READ)
    assert "read" in asked[asked.index(own_steps.STAYS_READ) - 1].keys
    assert to_do.lead(run).startswith("Spacers under every nut")
    over = fakes.run(dirty=True)
    over.case = replace(over.case, studs=run.case.studs)
    assert words.SMALL_BARE not in findings.runout(over).sentence


def test_no_road_is_told_on_page_one_of_a_rotor_that_was_forced_home():
    run, finding = said(1.0, None, None, None)
    assert "chance" in finding.plain
    run.spigot = {"home": "home", "wedged": True}
    assert findings.dtv(run).plain.startswith("What the road would make of it clears nothing")


@pytest.mark.parametrize(("never", "chance"), [(1.0, "under 1 %"), (0.0, "over 99 %"), (0.5, "50 %")])
def test_no_chance_is_told_as_none_or_sure(never, chance):
    run, finding = said(never, 7900.0, 5000.0, 12_000.0)
    told = cleaning.compared(run, fakes.run(dirty=False))[-1].replace(words.GAP, " ")
    assert f"{chance})" in told.split("cleaned")[0]
    if never:  # where it is reached page one gives the distance and no chance
        assert f"chance {chance}" in finding.plain.replace(words.GAP, " ")


@pytest.mark.parametrize(
    ("drawn", "state", "wanted"),
    [
        (
            SURE,
            "above",
            "reaches the limit, {LIMIT}, after about 7 900 km (80 % band: 5 000 km to 12 000 km; within 30",
        ),
        (
            OFTEN,
            "too close to tell",
            "reaches the limit, {LIMIT}, within 30 000 km in 73 % of draws, hardly before 2",
        ),
        (RARELY, "too close to tell", "reaches the limit, {LIMIT}, within 30 000 km in 29 % of draws"),
        (HARDLY, "below", "stays below the limit, {LIMIT}, within 30 000 km (it is reached in 3 % of draws)"),
    ],
    ids=["sure", "often", "rarely", "hardly"],
)
def test_the_limit_has_one_verdict_with_its_probability(drawn, state, wanted):
    run, finding = said(*drawn)
    text = finding.sentence.replace(words.GAP, " ")
    assert finding.state == state
    assert wanted.format(LIMIT=LIMIT) in text
    assert len(re.findall(r"\bdraws\b", text)) == 1
    assert words.TOO_CLOSE_SAID not in text  # the share of draws is the verdict
    rows = {name.replace(words.GAP, " "): (figure.replace(words.GAP, " "), note) for name, figure, note in
            road.road_rows(run)}  # fmt: skip
    assert rows["limit reached within 30 000 km"][0] == words.percent(1.0 - drawn[0]).replace(words.GAP, " ")
    # No distance beside "most draws never do".
    assert (rows["limit reached after"][0] == "7 900 km") == (drawn[0] < 0.5)
    assert (stories.road(run) == "not reached") == (drawn[0] >= 0.5)


@pytest.mark.parametrize(
    ("reached", "sides"),
    [(0.39, "not"), (0.4, "even"), (0.49, "even"), (0.52, "even"), (0.6, "even"), (0.61, "reached")],
)
def test_near_a_half_no_sentence_turns_over(reached, sides):
    run, finding = said(round(1.0 - reached, 2), 7900.0, 2200.0, None)
    even = "is as likely as not to reach"
    rows = {name.replace(words.GAP, " "): (figure.replace(words.GAP, " "), note) for name, figure, note in
            road.road_rows(run)}  # fmt: skip
    assert [even in text for text in (finding.sentence, finding.plain)] == [sides == "even"] * 2
    assert ("about even, " in rows["limit reached within 30 000 km"][0]) == (sides == "even")
    after = {"not": "in most draws not", "even": "in about half of the draws not", "reached": "7 900 km"}
    assert rows["limit reached after"][0].startswith(after[sides])
    compared = cleaning.compared(run, fakes.run(dirty=False))[-1].replace(words.GAP, " ")
    told = {"not": "dirty not reached", "even": "dirty as likely as not reached (", "reached": "dirty reached after"}
    assert told[sides] in compared
    film = " ".join(step.caption for step in stories.clean_against_dirty(fakes.run(dirty=False), run).steps)
    assert ("as likely as not within" in film) == (sides == "even")


def worn_start(read_um, doubt_um, peak_um=16.0):
    run, _ = said(*HARDLY)
    run.forecast.dtv_um = run.forecast.dtv_um * 0.0 + read_um
    run.forecast.dtv_highest_band_um = (0.9 * peak_um, peak_um)
    run.forecast.worn_as_read_um, run.forecast.worn_doubt_um = read_um, doubt_um
    return run


def test_a_worn_start_too_close_to_the_limit_is_not_told_by_a_share_of_draws():
    run = worn_start(14.9, 7.0)
    finding = findings.dtv(run)
    text = finding.sentence.replace(words.GAP, " ")
    assert finding.state == "too close to tell"
    assert f"Cannot tell whether it starts over the limit, {LIMIT}: measured 15 ± 7 µm" in text
    assert "stays below" not in text
    assert (finding.low, finding.high) == pytest.approx((7.9, 21.9))
    rows = [" ".join(row) for row in road.road_rows(run)]
    assert "15 ± 7 µm" in rows[0]
    assert not any("limit reached" in row for row in rows)
    asked = [step.what for step in to_do.next_steps(run)]
    assert any("Measure the thickness again, three turns with a finer micrometer" in what for what in asked)
    # A division that nobody wrote is said wherever it makes the figure unsure.
    run.forecast.worn_varies = Uneven(14.9, 7.0, 15.0, taken_um=5.0)
    assert "(k = 2); taken as read with 5 µm a division" in findings.dtv(run).sentence
    # 13 ± 7 µm on a clean corner: nobody is told to leave it on as below its limits; 9 ± 7 µm is below, as everywhere.
    clean = worn_start(13.0, 7.0)
    clean.case = fakes.case(dirty=False)
    assert not set(own_steps.STAYS) & set(to_do.next_steps(clean))
    assert road.unsure_start(worn_start(9.0, 7.0).forecast, 15.0) is None
    assert findings.dtv(worn_start(9.0, 7.0)).state == "below"
    # What grows over the limit by more than the uncertainty is over it, whatever it started at; 4 ± 7 µm is below.
    assert road.unsure_start(worn_start(14.9, 7.0, 40.0).forecast, 15.0) is None
    assert findings.dtv(worn_start(4.0, 7.0)).state == "below"


def test_a_rotor_read_over_its_limit_leads_and_no_forecast_lets_it_go():
    run = worn_start(31.0, 11.0, 31.0)
    run.forecast.dtv_um = np.linspace(31.0, 9.0, run.forecast.distance_km.size)
    first = what_leads.headlines(run)[0].replace(words.GAP, " ")
    assert first.startswith(
        f"The rotor is over its limit as read: its thickness varies by 31 ± 11 µm (k = 2), limit {LIMIT}"
    )
    assert "Renew the rotor, or cut it where its maker allows" in first
    finding = findings.dtv(run)
    assert finding.state == "above"
    assert finding.sentence.startswith("It starts over the limit")
    rows = {row[0]: row[1:] for row in road.road_rows(run)}
    assert rows["rotor lasts"] == ("not told", road.RENEWED)
    assert not any("limit reached" in name for name in rows)
    printed = Console(width=200, file=io.StringIO())
    printed.print(tables.road(run))
    assert "quiet" not in printed.file.getvalue()
    assert own_steps.RENEW in to_do.next_steps(run)
    assert "renew" in to_do.lead(run)
    # No cut where none keeps what its maker allows.
    run.case = replace(run.case, rotor=replace(run.case.rotor, machine_to_thickness_mm=11.0))
    run.forecast.worn_thinnest_mm = 11.02
    assert (
        "Renew the rotor (a cut would leave about 10.94 mm, its maker allows 11 mm at least)"
        in (what_leads.headlines(run)[0])
    )
    assert any("a cut would leave" in step.what for step in to_do.next_steps(run))
    assert "renew" in to_do.lead(run)
    # So near its discard thickness nothing is left to cut, and that stands beside it; read below its limit it does too.
    run.forecast.worn_thinnest_mm = run.case.rotor.minimum_thickness_mm + 0.05
    assert "nothing is left to cut" in what_leads.headlines(run)[0]
    low = worn_start(4.0, 3.0)
    assert not what_leads.worn_first(low)
    low.forecast.worn_thinnest_mm = run.forecast.worn_thinnest_mm
    assert "mm (k = 2) at its thinnest, 0.050 mm above" in what_leads.worn_first(low)
    assert own_steps.RENEW_SLIM in to_do.next_steps(low)
    slim = worn_start(14.0, 5.7)
    slim.forecast.worn_thinnest_mm = run.forecast.worn_thinnest_mm
    assert own_steps.read_often(3) not in to_do.next_steps(slim)  # it is renewed, whatever it varies by
    fine = worn_start(14.0, 5.7)
    assert own_steps.read_often(3) in to_do.next_steps(fine)
    assert own_steps.MEASURE_AGAIN not in to_do.next_steps(fine)


@pytest.mark.parametrize("stated", [False, True])
def test_a_rotor_read_near_its_stamp_is_renewed_whatever_its_case_says_of_a_clean_corner(stated):
    run = fakes.run(dirty=False)
    run.forecast.worn_as_read_um, run.forecast.worn_doubt_um = 4.0, 3.0
    assert set(own_steps.STAYS) & set(to_do.next_steps(run))
    if stated:
        run.case = replace(run.case, given=("rotor.minimum_thickness_mm",))
    run.forecast.worn_thinnest_mm = run.case.rotor.minimum_thickness_mm + 0.03
    steps = to_do.next_steps(run)
    assert not set(own_steps.STAYS) & set(steps)
    assert (own_steps.RENEW_BY_STAMP if is_stated(run.case) else own_steps.RENEW_SLIM) in steps
    assert "renew the rotor" in to_do.lead(run)
    at_service = to_do.leave_it_on(run.case)[-1].what
    assert "At or under the discard thickness it is scrap; uneven by more than" in at_service


def test_a_mounted_turn_beside_a_worn_thickness_that_is_not_started_from_is_said_and_leaves_nothing_on():
    run = fakes.run(dirty=False)
    run.forecast.worn_as_read_um, run.forecast.worn_doubt_um = 4.0, 3.0
    for read_um, stays in ((20.0, True), (68.0, False)):
        run.forecast.worn_mounted_um = read_um
        assert bool(set(own_steps.STAYS) & set(to_do.next_steps(run))) is stays
        told = [line for line in what_leads.headlines(run) if "--mounted takes the same file" in line]
        assert f"hold a mounted turn too, {read_um:.0f}" in told[0]


def test_a_caliper_that_sticks_as_given_leads_and_comes_before_every_step():
    run = fakes.run(dirty=False)
    assert not any("aliper" in line for line in what_leads.headlines(run))
    before = to_do.next_steps(run)
    run.case = replace(run.case, caliper=replace(run.case.caliper, sticking_inboard_n=150.0))
    assert what_leads.headlines(run)[0].startswith("The caliper first: as given it sticks and pushes the inboard pad")
    off, held, hung_up, *steps = to_do.next_steps(run)
    assert steps[0] == own_steps.CALIPER_FIRST
    at = before.index(own_steps.STAYS_READ)
    on, behind = ([step.what for step in listed] for listed in (steps[2:], before[at:]))
    back = next(k for k, one in enumerate(on) if "Pedal pumped" in one)
    assert "the rotor turns by hand: else the caliper is not free" in on.pop(back)
    behind.pop(back)
    assert on == behind  # and on as without it
    assert off.keys[:2] == ("support", "breakaway torque")
    assert hung_up.keys[-1] == "caliper off"
    assert held.keys[-2:] == ("home", "spacers")  # with the wheel gone nothing else holds it
    assert before[at - 1].keys[-1] == steps[1].keys[-1] == "thickness"
    assert "wheel" in steps[-2].keys  # what was taken off for the caliper goes back
    rows = {one[0]: one[1] for one in road.road_rows(run)}
    assert "residual drag, the stuck caliper's too" in rows
    assert rows["pads last"] == "not told"
    assert to_do.lead(run) == "Free the caliper first. Look at rotor and pads for heat."
    near = replace(run.case.hub, face_runout_um=22.0)
    run.case = replace(run.case, hub=near)
    assert own_steps.STAYS_READ_NEAR_HUB in to_do.next_steps(run)
    assert to_do.lead(run) == "Free the caliper first. Look at rotor and pads for heat."
    told = [one.key for one in few_cautions.told_for(run.case, own_steps.CALIPER_FIRST.keys)]
    assert {"maker first", "stands", "hot", "hang the caliper", "pump the pedal"} <= set(told)


@pytest.mark.parametrize("axle", ["front", "rear"])
@pytest.mark.parametrize(
    ("act", "table"),
    [
        (own_steps.CALIPER_FIRST, "[caliper]\nsticking_inboard_n = 400"),
        (own_steps.CALIPER_FIRST, "[caliper]\nsticking_inboard_n = 400\n[hub]\nface_runout_um = 60"),
        (own_steps.BEARING_FIRST, "[hub]\nbearing_end_float_um = 60"),
        (own_steps.LOOSE_ON_THE_ROAD, "[studs]\nroad_torque_nm = [140, 60, 140, 140, 140]"),
        (own_steps.STUDS_FIRST, "[studs]\ntorque_nm = 350.0"),
        (own_steps.BOLTS_FIRST, '[studs]\nfastener = "wheel bolt"\nthread_engagement_mm = 4.0'),
        (
            own_steps.BOLTS_AS_READ,
            '[studs]\nfastener = "wheel bolt"\nthread_engagement_mm = 11.5\nspacer_mm = 24\n[wheel]\n'
            "pad_thickness_mm = 18",
        ),
        (own_steps.PART_FIRST, "[rotor]\nbore_diameter_mm = 72.6"),
    ],
)
def test_what_needs_the_wheel_off_comes_behind_chocks_stands_park_brake_and_mask(act, table, axle):
    """Of a caliper that sticks they stood in no step, or in the one behind it; a wheel is taken off once."""
    run = fakes.run(dirty=False)
    run.case = replace(case_from_text(f'base = "rear_solid_300"\n{table}'), axle=axle)
    steps = to_do.next_steps(run)
    told = " ".join(step.what for step in steps)
    at = told.index(act.what)
    before = ["Wheels chocked on level ground", "breakaway torque", "Car on stands."]
    if axle == "rear":
        before.append(work_order.BRAKE_OFF[1:])
    wheel_off = held_to_read.OVER_THE_PIN if "wheel bolt" in table else held_to_read.WHEEL_OFF
    before.append(wheel_off)
    places = [told[:at].find(words) for words in before]
    assert -1 not in places
    assert places == sorted(places)
    assert told.count(wheel_off) == told.count("Car on stands.") == 1
    assert told.count("chocked on level ground") == 1
    keys = [one.key for one in few_cautions.told_for(run.case, [key for step in steps for key in step.keys])]
    assert ("service mode" in keys) is (axle == "rear")


def test_a_rotor_that_its_spigot_does_not_centre_is_no_part_to_leave_on():
    """A bore of 72.6 mm on a spigot of 65 (another car's rotor, or a ring that is missing) was left on."""
    run = fakes.run(dirty=False)
    run.case = replace(run.case, rotor=replace(run.case.rotor, bore_diameter_mm=65.3))
    assert set(own_steps.STAYS) & set(to_do.next_steps(run))  # a loose fit, still one
    run.case = replace(run.case, rotor=replace(run.case.rotor, bore_diameter_mm=72.6))
    assert what_leads.headlines(run)[0].startswith(
        "The part first: bore of 72.6 mm and spigot of 64.94 mm leave 7.7 mm"
    )
    asked = to_do.next_steps(run)
    assert "rotor off" in asked[asked.index(own_steps.PART_FIRST) - 1].keys  # no bore is measured round its spigot
    assert to_do.lead(run).startswith("The part first")
    assert road.withheld(run)["limit_withheld"] == road.PART_FIRST
    assert road.PART_FIRST in findings.dtv(run).sentence
    assert spigot.part_first(run.case) == what_leads.headlines(run)[0]  # of every other command


def test_a_screw_that_holds_it_for_reading_takes_nothing_from_what_is_computed_as_driven():
    run = fakes.run(dirty=False)
    run.case = replace(run.case, studs=replace(run.case.studs, clamped_by=ONE_SCREW))
    assert "one screw does not seat a rotor" in findings.runout(run).sentence
    assert findings.NOT_OFF_THE_DIAL in findings.as_driven(run).sentence


def test_no_life_is_told_of_a_rotor_whose_thickness_was_read_from_any_zero():
    run, _ = said(*HARDLY)
    run.forecast.worn_as_read_um, run.forecast.worn_doubt_um = 4.0, 3.0
    for thinnest_mm, why in ((None, road.NO_LEVEL), (10.9, "")):
        run.forecast.worn_thinnest_mm = thinnest_mm
        assert road.no_rotor_life(run) == why


def test_the_road_of_a_rotor_that_goes_as_given_counts_for_nothing():
    """Hardly over its stamp, "rotor lasts: not told", and "below the limit within 820 km" beside it."""
    run, _ = said(*HARDLY)
    run.case = replace(run.case, rotor=replace(run.case.rotor, own_thickness_variation_um=30.0))
    assert road.GOES in findings.dtv(run).sentence
    assert {row[1] for row in road.road_rows(run) if row[2] == road.GOES} == {"not told"}
    assert road.withheld(run)["limit_withheld"] == road.GOES


def test_what_the_words_withhold_the_answer_by_machine_withholds_too():
    """`drive --json` told 90 000 km of a rotor that goes, of pads under a stuck caliper, of studs past their proof."""
    run, _ = said(*HARDLY)
    assert road.withheld(run) == {}
    run.case = replace(run.case, caliper=replace(run.case.caliper, sticking_inboard_n=150.0))
    told = road.withheld(run)
    assert told == dict.fromkeys(
        ("pad_life_km", "pad_life_range_km", "disc_life_km", "disc_life_band_km")
        + ("km_to_limit", "km_low", "km_high", "probability_never")
    ) | dict.fromkeys(("pad_life_withheld", "disc_life_withheld", "limit_withheld"), road.FREED_FIRST) | {
        "counts_for_nothing": road.NOTHING.format(beside=road.NO_HEAT)
    }
    run, _ = said(*HARDLY)
    run.case = replace(run.case, studs=replace(run.case.studs, road_torque_nm=350.0))
    told = road.withheld(run)
    assert told["disc_life_withheld"] == told["limit_withheld"] == road.HELD_FIRST
    assert told["counts_for_nothing"] == road.NOTHING.format(beside=road.HELD_FIRST)
    assert findings.dtv(run).sentence.startswith(told["counts_for_nothing"])
    assert "below" not in findings.dtv(run).sentence  # what the rows and the machine's answer withhold
    worn = worn_start(20.0, 3.0)
    assert set(road.withheld(worn)) == {"disc_life_km", "disc_life_band_km", "disc_life_withheld", "counts_for_nothing"}
    near = road.withheld(worn_start(14.9, 7.0))
    assert near["probability_never"] is None
    assert "finer micrometer" in near["limit_withheld"]


@pytest.mark.parametrize("read_um", [25.0, 90.0])
def test_why_a_road_counts_for_nothing_has_one_owner(read_um):
    """In few words in the rows, with its figures in the sentence and in the answer by machine."""
    run, _ = said(*HARDLY)
    run.forecast.read_on_the_way = Uneven(read_um, 4.0, 15.0)
    why = road.nothing(run)
    assert why.brief == road.counts_for_nothing(run) == road.no_rotor_life(run) == road.RENEWED
    assert why.told.startswith(f"it was read to vary by {read_um:.0f} ± 4")
    assert why.told in road.withheld(run)["counts_for_nothing"]
    assert why.told in findings.dtv(run).plain
    assert ("more than any draw makes" in why.told) is (read_um == 90.0)


def test_a_bearing_that_hides_half_the_limit_leaves_no_road_to_tell():
    """Its lead stood above a life in kilometres and above "quiet"."""
    run, _ = said(*HARDLY)
    run.case = replace(run.case, hub=replace(run.case.hub, bearing_end_float_um=30.0))
    assert {row[1] for row in road.road_rows(run) if row[2] == road.BEARING_FIRST} == {"not told"}
    told = road.withheld(run)
    assert told["limit_withheld"] == told["disc_life_withheld"] == road.BEARING_FIRST
    assert findings.dtv(run).plain == told["counts_for_nothing"] == road.NOTHING.format(beside=road.BEARING_FIRST)
    near = replace(run.case, hub=replace(run.case.hub, bearing_end_float_um=5.0))
    run.case = near
    assert road.withheld(run) == {}
    road_ = drive(near, np.zeros(360), 100.0, settings=Settings(draws=0, points=3, fineness=COARSE))
    assert any("end float as given, 5 µm, is not in this road" in note for note in road_.notes)


@pytest.mark.parametrize("axle", ["front", "rear"])
def test_a_caliper_that_sticks_leaves_no_road_to_calm_anybody(axle):
    """Under "the caliper first" stood "quiet", "rotor lasts 31 000 km" and, of pads not told, where the road ends."""
    run, _ = said(*HARDLY)
    run.case = replace(run.case, axle=axle)
    end = ENDS_AT.format(stopped=WORN_PADS)
    run.forecast.stopped_by, run.forecast.notes = WORN_PADS, ("late decline", end)
    last = words.kilometres(float(run.forecast.distance_km[-1]))
    free = [*map(" ".join, road.road_rows(run)), *felt.road_notes(run)]
    assert any(last in line for line in free)
    assert [line for line in free if WORN_PADS in line] == [
        f"The road ends early: {WORN_PADS}.",
        f"{words.capital(end)}.",
    ]
    assert "end_withheld" not in road.withheld(run)
    run.case = replace(run.case, caliper=replace(run.case.caliper, sticking_inboard_n=400.0))
    stuck = [*map(" ".join, road.road_rows(run)), *felt.road_notes(run), findings.dtv(run).sentence]
    assert not [line for line in stuck if last in line or WORN_PADS in line or "quiet" in line or "below" in line]
    assert [row[1] for row in road.road_rows(run) if row[0] in ("rotor lasts", "pads last")] == ["not told"] * 2
    assert findings.dtv(run).plain == road.NOTHING.format(beside=road.NO_HEAT)
    assert not [cell for cell in tables.road(run).columns[-1].cells if "quiet" in cell]
    told = road.withheld(run)
    assert (told["stopped_by"], told["end_withheld"], told["notes"]) == (None, road.FREED_FIRST, ("late decline",))


def test_a_forecast_that_ends_nowhere_names_the_caliper_that_sticks(monkeypatch):
    def nowhere(*_, **__):
        raise Refused("the wear changes so fast")

    monkeypatch.setattr("sim.wear.forecast.march", nowhere)
    stuck = replace(Case(), caliper=replace(Case().caliper, sticking_outboard_n=150.0))
    for case, said in (
        (stuck, "the caliper first: .*the outboard pad with 150 N.*caliper.sticking_outboard_n"),
        (Case(), "^the wear"),
    ):
        with pytest.raises(Refused, match=said):
            drive(case, np.zeros(360), 1000.0, settings=Settings(draws=0))


def test_where_dial_and_road_differ_it_is_said_why_and_the_road_s_own_warnings_are_printed():
    far, near = fakes.run(), fakes.run(dirty=False)
    assert findings.as_driven(far).sentence.endswith("otherwise than nuts and spacers did for reading.")
    assert "Both figures stand" not in findings.as_driven(near).sentence
    far.seat.warnings = ("debris 1: pressed with 300 MPa on average", "stands on points")
    far.as_driven.seat.warnings = ("debris 1: pressed with 420 MPa on average", "stands on points", "stud 2: yields")
    assert findings.warned_as_driven(far) == ["As driven, wheel on: stud 2: yields"]
    page = Console(width=200, record=True, file=io.StringIO())
    page.print(tables.found(far))
    assert "! As driven, wheel on: stud 2: yields" in page.export_text()


def test_what_no_reading_tells_from_its_limit_counts_as_over_on_the_road_too():
    run = worn_start(16.0, 3.5)
    run.forecast.worn_varies = Uneven(16.0, 3.5, 15.0, turns=5)
    assert own_steps.COUNTS_AS_OVER in to_do.next_steps(run)
    assert "counts as over" in to_do.lead(run)
    assert "Count it as over: renew the rotor" in what_leads.headlines(run)[0]
    assert {row[0]: row[1:] for row in road.road_rows(run)}["rotor lasts"] == ("not told", road.COUNTED)
    run.forecast.worn_varies, run.forecast.worn_thinnest_mm = Uneven(14.0, 3.5, 15.0, turns=3), 10.9
    assert "it counts neither as over nor as under, and no rotor is bought for it alone" in what_leads.headlines(run)[0]
    steps = to_do.next_steps(run)
    assert own_steps.COUNTS_AS_OVER not in steps
    assert not any(step.why == own_steps.MEASURE_AGAIN.why for step in steps)
    assert {row[0]: row[1] for row in road.road_rows(run)}["rotor lasts"] != "not told"
    run.forecast.worn_thinnest_mm = run.case.rotor.minimum_thickness_mm + 0.02  # nothing is left to wear, as read
    assert {row[0]: row[1:] for row in road.road_rows(run)}["rotor lasts"] == ("not told", road.SLIM)


def test_a_reading_without_a_thickness_is_reckoned_on_a_new_rotor_and_is_never_left_on_unread():
    run = fakes.run(dirty=False)
    assert not what_leads.worn_first(run)
    assert set(own_steps.STAYS) & set(to_do.next_steps(run))
    run.reading = MountedReading(np.zeros(360), "wheel", "the readings", (9.0, 10.0, 11.0), np.ones(1), 2.0)
    assert (
        what_leads.worn_first(run)
        .replace(words.GAP, " ")
        .startswith("The road below is reckoned on a new rotor, 2.0 µm of thickness variation")
    )
    steps = to_do.next_steps(run)
    at = next(k for k, step in enumerate(steps) if step in own_steps.STAYS)
    assert "Thickness by micrometer at 12 places; at or under discard, or uneven over" in steps[at - 1].what
    assert "Caliper off and hung up" in steps[at - 1].what  # no micrometer goes on with wheel and caliper in its way
    assert to_do.lead(run) != "Leave the rotor on."
    run.forecast.worn_varies = Uneven(4.0, 3.0, 15.0)
    assert set(own_steps.STAYS) & set(to_do.next_steps(run))
    # As found dirt may cancel what lies under it: it is cleaned and read before anything is left on.
    for state, stays in (("cleaned", True), ("as found", False)):
        run.reading = replace(run.reading, state=state)
        steps = to_do.next_steps(run)
        assert bool(set(own_steps.STAYS) & set(steps)) is stays
        assert any("Rust, dirt and burrs off" in step.what for step in steps) is not stays


def test_two_faces_that_differ_by_more_than_the_road_begins_with_lead_and_it_counts_for_nothing():
    run, _ = said(*HARDLY)
    mounted = MountedReading(np.zeros(360), "wheel", "the readings", (9.0, 10.0, 11.0), np.ones(1), 2.0)
    for apart in (None, Uneven(7.0, 6.2, 15.0)):  # as two dials may read a rotor that varies by 2 µm
        run.reading = replace(mounted, faces_apart=apart)
        assert road.faces_differ(run) is None
        assert what_leads.worn_first(run).startswith("The road below is reckoned on a new rotor")
        assert "stays below the limit" in findings.dtv(run).sentence
        assert "quiet" in shown(tables.road(run))
    run.reading = replace(mounted, faces_apart=Uneven(25.0, 6.2, 15.0))
    led = what_leads.headlines(run)[0].replace(words.GAP, " ")
    assert led.startswith("The two faces as read differ by 25 ± 6 µm (k = 2) once a turn, limit 15 µm")
    assert "read by micrometer at 12 places" in led
    assert "counts for nothing: its two faces differ by 25 ± 6 µm" in findings.dtv(run).sentence
    assert {name: figure for name, figure, _ in road.road_rows(run)}["rotor lasts"] == "not told"
    assert "quiet" not in findings.dtv(run).sentence + shown(tables.road(run))
    told = road.withheld(run)  # by machine as in words
    assert told["disc_life_withheld"] == told["limit_withheld"] == road.FACES_FIRST
    assert {told[name] for name in ("km_to_limit", "probability_never", "disc_life_km", "disc_life_band_km")} == {None}
    assert "pad_life_km" not in told
    # A micrometer's reading that says otherwise clears nothing either: one of the turns is wrong.
    run.forecast.worn_varies = Uneven(4.0, 6.0, 15.0)
    assert "one of these turns is wrong. Read both faces" in what_leads.headlines(run)[0]
    assert road.counts_for_nothing(run)
    run.forecast.worn_varies = Uneven(22.0, 3.0, 15.0)
    run.reading = mounted  # borne out by the micrometer the faces are no news
    assert what_leads.headlines(run)[0].startswith("The rotor is over its limit as read")


def test_what_was_read_on_clean_faces_at_its_limit_is_read_on_and_not_begun_anew():
    """`drive --mounted` ordered "as found", cleaning and one turn of the hub of what that table held already."""
    run = worn_start(3.0, 6.0, peak_um=5.0)
    wave = 25.0 * np.cos(np.radians(np.arange(360.0)))
    bare = BareHub(28.0, 6.0, 27.0, 64.0)
    run.reading = MountedReading(
        wave, "nuts and spacers", "the readings", (30.0, 39.0, 60.0), np.ones(2), 4.4, state="cleaned", bare_hub=bare
    )
    steps = to_do.next_steps(run)
    told = " ".join(step.what for step in steps)
    assert own_steps.THREE_TURNS in steps
    assert own_steps.HUB_READ_ON in steps
    assert to_do.lead(run).startswith("Nuts slackened and tightened anew until there are three turns")
    for again in ("Wipe nothing yet", "Rust, dirt and burrs off", "Read the clean hub face, one turn", "by micrometer"):
        assert again not in told, again
    run.reading = replace(run.reading, state="as found", bare_hub=None)
    told = " ".join(step.what for step in to_do.next_steps(run))
    assert all(what in told for what in ("As read last", "Rust, dirt", "Read the clean hub face, one turn"))
    assert "Wipe nothing yet" not in told  # that reading is the one as found
    run.reading = replace(run.reading, clamped_by="wheel")
    told = " ".join(step.what for step in to_do.next_steps(run))
    assert all(what in told for what in ("Wipe nothing yet", "Rust, dirt", "Read the clean hub face, one turn"))


@pytest.mark.parametrize("peak_um", [3.0, 8.1, 18.0])
def test_the_micrometer_stands_in_every_order_of_work(peak_um):
    run = fakes.run()
    run.forecast = fakes.forecast(peak_um)
    assert any("Thickness by micrometer" in step.what for step in to_do.next_steps(run))


def test_the_cases_own_curve_and_the_draws_are_told_apart_and_over_the_limit_stands_beside_the_word():
    run, finding = said(*RARELY)
    assert "on the case's own curve" in finding.sentence
    assert "over the limit of" in finding.sentence
    rows = {name.replace(words.GAP, " "): (figure, note) for name, figure, note in road.road_rows(run)}
    figure, note = (text.replace(words.GAP, " ") for text in rows["limit reached after"])
    assert figure == "in most draws not within 30 000 km"
    # Two answers side by side say in one sentence why both stand there and which one to act on.
    assert note.endswith(f"the case's own curve reaches it after 7 900 km. {road.ACT_ON_SHARE}")
    assert "act on the share of draws" in road.ACT_ON_SHARE
    assert road.ACT_ON_SHARE not in str(road.road_rows(said(*SURE)[0]))
    run.forecast.dtv_um = run.forecast.dtv_um * 18.0 / run.forecast.dtv_um.max()
    assert "doubtful (10 to 20 µm), over the limit" in shown(tables.road(run))


def test_the_duty_table_gives_no_distance_that_most_draws_do_not_reach():
    text = shown(tables_road.duty((row(100.0, probability_never=0.71),), 15.0, 30_000.0))
    assert "5 500" not in text
    assert "2 400" in text  # 10 µm is another question
    assert "29 %" in text
    assert "5 500" in shown(tables_road.duty((row(100.0),), 15.0, 30_000.0))


def test_two_corners_are_told_with_the_share_of_draws_that_get_there():
    (dirty, _), (clean, _) = said(*SURE), said(*HARDLY)
    text = cleaning.compared(dirty, clean)[-1].replace(words.GAP, " ")
    assert text == (
        f"The limit, {LIMIT}: dirty reached after about 7 900 km (chance 98 %), "
        "cleaned not reached (chance that it is: 3 %)."
    )


def test_without_draws_no_probability_is_claimed():
    text = said(1.0, None, None, None, draws=0)[1].sentence
    assert "draws" not in text
    assert "band" not in text


def test_a_worn_rotor_is_cut_or_renewed_first_and_fading_is_a_guess_said_last():
    theta = np.radians(np.arange(90) * 4.0)
    worn = np.tile(0.5 * (9.0 * np.cos(theta) + 3.0 * np.cos(2.0 * theta)) + 6.0, (2, 1))
    found = after_cleaning(Case(), worn, 5.0 * np.cos(theta), settings=Settings(draws=8))
    first, last = found.verdict.index("cleaning does not bring the metal back"), found.verdict.index("guess")
    assert found.verdict.startswith("Renew it")
    assert first < last < found.verdict.index("below 15 µm after about")
    assert "too long" not in found.verdict


def test_no_forecast_lies_under_a_thickness_that_was_measured_on_its_road():
    """12 um read on a road whose draws reach 10: "its highest is 7.3 um, quiet", "stays below", "leave it on"."""
    run, _ = said(*HARDLY)
    run.case = fakes.run(dirty=False).case
    run.forecast.dtv_um = np.full_like(run.forecast.dtv_um, 7.3)
    run.forecast.dtv_highest_band_um = (4.0, 11.0)
    run.forecast.read_on_the_way = Uneven(12.0, 4.0, 15.0)
    finding = findings.dtv(run)
    assert (finding.value, finding.low, finding.high, finding.state) == (12.0, 8.0, 16.0, "below")
    assert finding.sentence.startswith("What the road would make of it counts for nothing: it was read to vary by 12")
    assert "quiet" not in finding.sentence + finding.plain
    assert "below the limit, 15 µm (drivers call that doubtful), and its road" in finding.plain.replace(words.GAP, " ")
    assert "stays below" not in finding.sentence + finding.plain
    assert what_leads.headlines(run)[-1].startswith("It was read to vary by 12 ± 4")
    assert road.withheld(run)["limit_withheld"] == road.OUTGROWN
    assert not set(own_steps.STAYS) & set(to_do.next_steps(run))
    run.forecast.dtv_highest_band_um = (9.9, 23.0)  # the band holds it, the case's own curve need not
    run.forecast.dtv_um = np.full_like(run.forecast.dtv_um, 9.0)
    assert road.outgrown(run.forecast) is None
    assert "quiet" not in findings.dtv(run).sentence
    run.forecast.dtv_um = np.full_like(run.forecast.dtv_um, 7.3)  # under the least that it may be
    assert road.outgrown(run.forecast) is not None


def test_what_the_band_reaches_is_called_as_drivers_call_that_and_not_as_its_own_curve():
    """A curve of 9.9 µm with a band up to 17: "Drivers call 9.9 µm quiet" and nothing of the 17."""
    run, _ = said(*HARDLY)
    run.case = fakes.run(dirty=False).case
    run.forecast.dtv_um = np.full_like(run.forecast.dtv_um, 9.9)
    for high, reached in ((17.0, True), (9.95, False)):
        run.forecast.dtv_highest_band_um = (4.0, high)
        finding = findings.dtv(run)
        for text in (finding.sentence, finding.plain):
            told = text.replace(words.GAP, " ")
            assert "quiet (under 10 µm)" in told
            assert ("doubtful (10 to 20 µm)" in told) is reached
