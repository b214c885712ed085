"""A rotor that goes by its thickness, a hub over its limit, a screw alone, a bearing: nothing lets them be left on."""

import html
from dataclasses import replace
from types import SimpleNamespace

import pytest

from scenes.command import doing, tables_road
from scenes.command.cure import instruction
from scenes.pages import fitting_sheet, report
from scenes.words import (
    cleaning,
    corner,
    findings,
    held_to_read,
    loose_nut,
    road,
    to_do,
    uneven_rotor,
    what_leads,
    work_order,
)
from scenes.words import steps as own_steps
from sim import advice, turn
from sim.bench import cures
from sim.bench.stud_position import index_positions
from sim.bench.taper_shims import Shim, ShimResult
from sim.corner import road_state
from sim.corner.driven import BareHub
from sim.files.case_file import case_from_text
from sim.parts import rotor_goes
from sim.parts.case import Case
from sim.parts.hub_face import bare_face_um
from sim.parts.thickness import Uneven
from tests import fakes

#: Ground into the hub face where a dial reads it.
HOLLOW = """
[[debris]]
on = "hub"
kind = "hard"
angle_deg = 30
arc_deg = 60
inner_radius_mm = 55
outer_radius_mm = 68
height_um = -80
"""
MOUNTED = {
    "at_dial_um": 20.0,
    "read_um": 20.0,
    "outboard_um": None,
    "doubt_um": 6.0,
    "clamped_by": "nuts and spacers",
    "said_by": "the readings",
    "which": "",
    "state": "cleaned",
    "driven_um": (15.0, 20.0, 25.0),
    "as_it_runs": False,
}


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("[rotor]\nthickness_mm = 10.0", "or so near that no wear is left, renew it"),
        ("[rotor]\nthickness_mm = 10.42\nminimum_thickness_mm = 10.4", "nothing is left to cut"),
        ("[rotor]\nown_thickness_variation_um = 30.0", "Renew the rotor, or cut it"),
        ("[hub]\nface_runout_um = 60.0", "hub face as given is over its limit"),
        ('[studs]\nclamped_by = "screw only"', "Nuts with spacers, plain side to the rotor"),
        ("[studs]\ntorque_nm = 350.0", "past their proof load"),
        ("[studs]\ntorque_nm = [140, 0, 140, 140, 140]\nroad_torque_nm = 140", "where a nut was loose or off"),
        (
            '[studs]\nfastener = "wheel bolt"\nthread_engagement_mm = 4.0',
            "Wheel bolts as long as the vehicle maker gives",
        ),
        (
            '[studs]\nfastener = "wheel bolt"\nthread_engagement_mm = 11.5\nspacer_mm = 24\n'
            "[wheel]\npad_thickness_mm = 18",
            "Bolts and spacers that fit each other",
        ),
        ("[studs]\nroad_torque_nm = 40.0", "Look at stud, nut and the wheel's seat"),
        ("[hub]\nface_runout_um = 25.0", "Read the clean hub face"),
        ("[hub]\nbearing_end_float_um = 60", "The bearing: within the vehicle maker's play"),
        ("[hub]\nface_runout_um = 22.0", "when the rotor is next off, read it on clean metal"),
    ],
)
def test_no_low_runout_keeps_a_corner_on_that_something_else_condemns(table, said):
    run = fakes.run(dirty=False)
    assert set(own_steps.STAYS) & set(to_do.next_steps(run))
    run.case = case_from_text(f'base = "rear_solid_300"\n{table}')
    steps = to_do.next_steps(run)
    near_hub = own_steps.STAYS_READ_NEAR_HUB
    assert set(own_steps.STAYS) & set(steps) <= {near_hub}
    assert any(said in step.what for step in steps)
    assert to_do.lead(run).startswith("Leave the rotor on") is (near_hub in steps)


@pytest.mark.parametrize(
    ("table", "first"),
    [
        ("[studs]\nroad_torque_nm = 40.0", own_steps.LOOSE_ON_THE_ROAD),
        ("[studs]\ntorque_nm = 350.0", own_steps.STUDS_FIRST),
        ("[hub]\nbearing_end_float_um = 60", own_steps.BEARING_FIRST),
    ],
)
def test_nuts_and_bearing_lead_page_one_where_the_rotor_goes_too(table, first):
    run = fakes.run(dirty=False)
    run.case = case_from_text(f'base = "rear_solid_300"\n{table}')
    run.forecast.read_on_the_way = Uneven(40.0, 4.0, 15.0)
    steps = to_do.next_steps(run)
    assert any("wheel off" in step.keys for step in steps[: steps.index(first)])
    assert sum("lift" in step.keys for step in steps) == 1
    assert own_steps.RENEW in steps
    loose = first == own_steps.LOOSE_ON_THE_ROAD  # none is tightened to read a rotor that goes
    led = own_steps.NUTS_NOT_READ if loose else own_steps.LEADS[first]
    assert to_do.lead(run) == f"{led} Then the rotor, which goes by its thickness."


def test_nuts_beside_a_rotor_near_its_stamp_are_tightened_for_no_reading_and_the_stamp_decides():
    """ "Then to the maker's torque, and read. Then the rotor, which goes by its thickness": a stamp of 9.0 keeps it."""
    run = fakes.run(dirty=False)
    nuts = "[studs]\ntorque_nm = [140, 140, 30, 140, 140]\n"
    run.case = case_from_text(f'base = "rear_solid_300"\n{nuts}[rotor]\nthickness_mm = 10.05')
    assert to_do.lead(run) == f"{own_steps.NUTS_NOT_READ} Then the rotor, over which its stamp decides."
    run.case = case_from_text(f'base = "rear_solid_300"\n{nuts}')
    assert to_do.lead(run) == own_steps.NUTS_SAID
    run.case = case_from_text('base = "rear_solid_300"\n[studs]\nroad_torque_nm = [55, 60, 185, 190, 180]')
    (headline,) = [one for one in what_leads.headlines(run) if "pull unevenly" in one]
    assert headline.index("looked at before any is tightened") < headline.index("the vehicle maker's torque")
    assert "Tighten" not in headline


@pytest.mark.parametrize(
    ("table", "leads", "cleared"),
    [
        ("[studs]\ntorque_nm = 350.0", "The studs first: stud 1, 2", "what holds the wheel comes first."),
        ("[studs]\ntorque_nm = [140, 0, 140, 140, 140]\nroad_torque_nm = 140", "", "the nuts come first."),
        (
            '[studs]\nfastener = "wheel bolt"\nthread_engagement_mm = 4.0',
            "The wheel bolts first: with the wheel on 4.0 mm",
            "what holds the wheel comes first.",
        ),
        ("[hub]\nbearing_end_float_um = 60", "The bearing first: its end float of 60", ""),
        ("[studs]\ntorque_nm = [140, 140, 140, 140, 140]", "", "default, common practice)."),  # every nut on, all alike
    ],
)
def test_what_comes_before_the_figure_leads_and_a_small_figure_clears_nothing(table, leads, cleared):
    run = fakes.run(dirty=False, driven=False)
    run.case = case_from_text(f'base = "rear_solid_300"\n{table}')
    assert any(line.startswith(leads) for line in ("", *what_leads.headlines(run)))
    assert findings.runout(run).sentence.endswith(cleared)


def test_the_last_resort_cleans_the_seat_once_more_and_cuts_no_new_rotor():
    """No rotor is bought for its runout before its seat was cleaned twice, and one that was renewed is not cut."""
    run = fakes.run()
    told = " ".join(step.what for step in to_do.next_steps(run))
    assert "seat cleaned once more, read; then hub or rotors, as the high spot goes" in told
    stop = "Over it nothing goes back on."  # "then hub or rotors ..." was followed by "pistons back ... wheel on"
    assert told.index(stop) < told.index("wheel on, crosswise")
    run.case = case_from_text('base = "rear_solid_300"\n[rotor]\nown_thickness_variation_um = 30.0')
    told = " ".join(step.what for step in to_do.next_steps(run))
    assert work_order.NEW_ROTOR_OVER in told
    assert told.index(stop) < told.index("New or cut, its thickness is read too") < told.index("wheel on, crosswise")
    assert work_order.THE_REST not in told


def test_a_rotor_that_goes_leads_above_every_figure():
    run = fakes.run(dirty=False, driven=False)
    assert not what_leads.headlines(run)
    run.case = case_from_text('base = "rear_solid_300"\n[rotor]\nown_thickness_variation_um = 30.0')
    assert what_leads.headlines(run)[0].startswith("The rotor first, as given: its thickness varies by 30 µm")


def test_a_rotor_uneven_as_given_is_measured_first_by_lead_and_list_alike():
    """Its lead said that no runout keeps it on, its list that the micrometer may."""
    run = fakes.run(dirty=False, driven=False)
    run.case = case_from_text('base = "rear_solid_300"\n[rotor]\nown_thickness_variation_um = 30.0')
    assert what_leads.headlines(run)[0].endswith(what_leads.MEASURED_FIRST)
    assert "once it is measured so" in to_do.lead(run)
    assert any("three turns: their middle and the stamp decide" in step.what for step in to_do.next_steps(run))
    run.case = case_from_text('base = "rear_solid_300"\n[rotor]\nthickness_mm = 9.01\nminimum_thickness_mm = 9.0')
    assert what_leads.headlines(run)[0].endswith(what_leads.NO_RUNOUT_KEEPS_IT)  # by a stamp that is known it goes


def test_what_was_read_over_its_limit_goes_and_what_is_too_close_does_not():
    assert "over its limit" in rotor_goes.as_read(None, 11.0, Uneven(25.0, 7.0, 15.0))
    assert not rotor_goes.as_read(None, 11.0, Uneven(17.0, 7.0, 15.0))
    assert not rotor_goes.as_read(None, 9.0, None)  # no stamp, no case: nothing to hold it against


def test_index_leaves_no_rotor_on_whose_thickness_is_not_told_from_its_limit():
    close, ended = Uneven(15.4, 5.7, 15.0), Uneven(15.6, 3.5, 15.0, turns=5)
    quiet = {"now_um": 25.0, "doubt_um": 11.0, "cleaned": True}
    first = _indexed(50.0, "no gain", **quiet, uneven=close)[0]
    assert (first.name, first.enough) == ("leave it on", None)
    assert "15 ± 6 µm: too close to the limit of 15 µm to tell; no finer micrometer tells more" in first.why
    assert "counts as over" in rotor_goes.as_read(None, 11.0, ended)
    under = replace(ended, value_um=14.6, turns=3)
    assert not rotor_goes.as_read(None, 11.0, under)
    assert _indexed(50.0, "no gain", **quiet, uneven=under)[0].enough
    few = replace(ended, doubt_um=12.0, between_um=8.5, places=8)
    assert not rotor_goes.as_read(None, 11.0, few)
    assert "read it at 12 places first" in _indexed(50.0, "no gain", **quiet, uneven=few)[0].why


def test_a_thickness_read_out_at_few_places_is_read_at_twelve_before_it_counts():
    """Read three times at 6 places, 12 of 15 um, truth 22 in three humps: it was "neither over nor under", left on."""
    six = Uneven(12.0, 9.0, 15.0, between_um=4.0, places=6, turns=3)
    assert six.places_first
    assert not six.counts_neither
    assert "12 places" in uneven_rotor.read_again(six)
    twelve = replace(six, between_um=1.9, places=12)
    assert not twelve.places_first
    assert twelve.counts_neither
    once = replace(six, turns=1)
    assert not once.places_first  # the reading is what leaves most open: it is read again first


def test_bearing_play_that_was_given_is_said_beside_every_reading():
    run = fakes.run(dirty=False)
    assert not any("Bearing play" in line for line in what_leads.noted(run))
    run.case = replace(run.case, hub=replace(run.case.hub, bearing_end_float_um=60.0))
    assert any(line.startswith("The bearing first") for line in what_leads.headlines(run))
    run.case = replace(run.case, hub=replace(run.case.hub, bearing_end_float_um=3.0))  # told, and decides nothing
    assert any("Bearing play" in line for line in what_leads.noted(run))
    assert not what_leads.bearing_first(run)
    dirty = fakes.run()  # far over its limit: no cure of it can be judged by readings as unsure as that
    for float_um, leads in ((10.0, False), (60.0, True)):
        dirty.case = replace(dirty.case, hub=replace(dirty.case.hub, bearing_end_float_um=float_um))
        assert bool(what_leads.bearing_first(dirty)) is leads
        assert (own_steps.BEARING_FIRST in to_do.next_steps(dirty)) is leads


def _indexed(limit_um, worth="worth it", shims=None, **known):
    found = index_positions(turn.coefficient(40.0, 36.0), turn.coefficient(30.0, 60.0), 5)
    return cures.order_of_cures(found, limit_um, cures.Worth(20.0, 10.0, worth), shims, None, cures.Found(**known))


def test_a_rotor_that_goes_is_neither_moved_nor_left_on():
    goes = {"now_um": 90.0, "doubt_um": 11.0, "rotor_goes": "it varies by 30 µm"}
    assert [step.name for step in _indexed(50.0, cleaned=True, **goes)] == ["replace the rotor"]
    hub = _indexed(50.0, hub_face_um=60.0, hub_limit_um=23.0, **goes)
    assert [step.name for step in hub] == [
        "clean",
        "hub and bearing",
        "replace the rotor",
    ]  # the new one is read on a hub that stays


def test_a_shim_follows_the_stud_that_was_ordered_and_what_has_to_be_read_first():
    there = Shim(100.0, 3, 4, 18.0)
    here = Shim(50.0, 2, 0, 30.0)
    shims = ShimResult(here, there, None)
    known = {"now_um": 90.0, "doubt_um": 11.0, "cleaned": True, "second_order": True}
    moved = [step for step in _indexed(5.0, "worth it", shims, **known) if step.name == "shim"]
    kept = [step for step in _indexed(25.0, "no gain", shims, **known) if step.name == "shim"]
    assert "stud 5" in moved[0].why
    assert "stud 5" not in kept[0].why
    assert kept[0].conditions[0].startswith("first read it at one more stud")
    assert "where the maker allows it" in kept[0].why


@pytest.mark.parametrize("doubt_um", [11.0, 4.0])
def test_of_a_computed_figure_no_dial_is_asked_for_again(doubt_um):
    (step,) = _indexed(50.0, "no gain", now_um=52.0, doubt_um=doubt_um, cleaned=True)
    assert (step.name, step.enough) == ("clean", None)
    assert "nothing was read yet: both faces cleaned, put back where it is and read, two turns" in step.why
    assert "finer dial" not in step.why


@pytest.mark.parametrize(
    ("table", "first"),
    [
        ("[studs]\ntorque_nm = [140.0, 140.0, 0.0, 140.0, 140.0]", "the nuts first"),
        ('[studs]\nclamped_by = "screw only"', "a rotor does not sit"),
        ("[hub]\nbearing_end_float_um = 60.0", "the bearing first"),
    ],
)
def test_index_moves_and_leaves_nothing_that_does_not_stand_fast(table, first):
    case = case_from_text(f'base = "rear_solid_300"\n{table}')
    advised = advice.from_case(case, (), "fast")
    assert first in instruction(advised).lower()
    assert not advised.ordered


@pytest.mark.parametrize("table", ["[hub]\nface_saddle_um = 60.0", HOLLOW, "[hub]\nface_runout_um = 60.0"])
def test_the_whole_face_as_given_is_held_against_the_hub_s_limit_and_leads(table):
    """Lean, saddle and what is ground into the face: a dial on it reads them all."""
    run = fakes.run(dirty=False, driven=False)
    run.case = case_from_text(f'base = "rear_solid_300"\n{table}')
    assert bare_face_um(run.case) > run.case.hub_face_limit_um
    assert any(line.startswith(what_leads.HUB_FIRST) for line in what_leads.headlines(run))
    assert own_steps.HUB_FIRST in to_do.next_steps(run)
    run.reading = SimpleNamespace(bare_hub=BareHub(60.0, 6.0, 23.0, 64.0), **MOUNTED)
    assert own_steps.HUB_READ_FIRST in to_do.next_steps(run)


def test_a_turn_under_one_screw_makes_no_road_and_leaves_nothing_on():
    run = fakes.run(dirty=False)
    run.reading = SimpleNamespace(bare_hub=None, **MOUNTED | {"clamped_by": "screw only"})
    assert findings.runout(run).sentence.count("one screw does not seat a rotor") == 1
    assert findings.dtv(run).sentence.startswith("What the road would make of it counts for nothing")
    steps = to_do.next_steps(run)
    assert not {*own_steps.NUTS, *own_steps.STAYS} & set(
        steps
    )  # nothing was nutted: it is held, and read as it is held
    held = next(k for k, step in enumerate(steps) if "spacers" in step.keys)
    assert steps[held].why == own_steps.BY_SCREW_WHY
    assert {"as found", "read"} & set(steps[held + 1].keys)
    assert to_do.lead(run).startswith("Hold the rotor with spacers under every nut, to the maker's torque, and read it")


def test_no_life_is_told_of_a_rotor_that_goes_or_is_read_again_first():
    run = fakes.run(dirty=False)
    run.case = case_from_text('base = "rear_solid_300"\n[rotor]\nthickness_mm = 10.02')
    assert ("rotor lasts", "not told", road.BY_ITS_STAMP) in road.road_rows(run)
    run = fakes.run(dirty=False)
    run.forecast.worn_varies = Uneven(21.0, 8.0, 15.0)
    run.forecast.dtv_highest_band_um = (40.0, 60.0)  # the road grows it, but whether it starts over is not known
    assert road.unsure_start(run.forecast, 15.0) is run.forecast.worn_varies
    assert ("rotor lasts", "not told", road.UNSURE) in road.road_rows(run)


def test_a_thickness_measured_over_its_limit_on_the_way_leads_and_the_rotor_goes():
    run = fakes.run(dirty=False)
    run.forecast.read_on_the_way = Uneven(40.0, 4.0, 15.0)
    assert what_leads.headlines(run)[0].startswith("The rotor is over its limit as read: its thickness varies by 40")
    assert own_steps.RENEW in to_do.next_steps(run)
    assert ("rotor lasts", "not told", road.RENEWED) in road.road_rows(run)
    run.forecast.read_on_the_way = Uneven(4.0, 4.0, 15.0)
    assert set(own_steps.STAYS) & set(to_do.next_steps(run))
    run.forecast.read_on_the_way = Uneven(8.0, 4.0, 15.0)  # more than its road makes
    assert not set(own_steps.STAYS) & set(to_do.next_steps(run))


def test_a_rotor_is_sent_only_to_studs_that_its_screw_leaves():
    base = 'base = "rear_solid_300"\n[studs]\nindex_positions = [0, 2]\n'
    assert "(painted hole to stud 3, no other)" in work_order.work(case_from_text(base), "index").what
    assert "by one or two holes" in work_order.work(case_from_text('base = "rear_solid_300"'), "index").what


def test_a_new_hub_is_read_with_its_rotor_and_the_rotor_s_own_runout_is_named():
    """Hub and rotor that cancel read nothing today; with a new hub the rotor reads its own."""
    run = fakes.run(dirty=False)
    table = "[hub]\nface_runout_um = 60.0\n[rotor]\nown_runout_um = 80.0"
    run.case = case_from_text(f'base = "rear_solid_300"\n{table}')
    assert any("Still over it" in step.what for step in to_do.next_steps(run))
    assert any(line.startswith("The rotor by itself, as given, runs out 80") for line in what_leads.noted(run))


def test_what_counts_for_nothing_is_said_of_the_road_too():
    run = fakes.run(dirty=False)
    run.case = case_from_text('base = "rear_solid_300"\n[studs]\ntorque_nm = 350.0')
    assert "counts for nothing: what holds the wheel comes first" in findings.dtv(run).sentence
    rows = road.road_rows(run)
    assert ("rotor lasts", "not told", road.HELD_FIRST) in rows
    assert rows[0][1:] == ("not told", road.HELD_FIRST)  # the limit
    front = fakes.run(dirty=False)
    front.case = replace(front.case, axle="front", studs=run.case.studs)
    assert f"not told: {road.HELD_FIRST}; " in str(road.road_rows(front))  # drag
    told = cleaning.compared(run, fakes.run(dirty=False))
    assert told[-1] == road.NOTHING.format(beside=road.HELD_FIRST)
    assert "quiet" not in " ".join(told)
    run = fakes.run(dirty=False)
    run.forecast.read_on_the_way = Uneven(90.0, 4.0, 15.0)
    assert "more than any draw makes" in findings.dtv(run).plain
    assert road.road_rows(run)[0][1:] == ("not told", road.RENEWED)


@pytest.mark.parametrize(("machine_to_mm", "cut"), [(26.3, False), (26.25, True)])
def test_no_cut_is_ordered_of_a_rotor_as_given_that_leaves_nothing_over_its_maker_s_figure(machine_to_mm, cut):
    """22 µm taken out and both faces clean leave 26.30 of 26.4 mm, just what the case's own file allows."""
    run = fakes.run(dirty=False)
    run.case = case_from_text(
        f'base = "front_vented_320"\n[rotor]\nthickness_mm = 26.4\nmachine_to_thickness_mm = {machine_to_mm}\n'
        "own_thickness_variation_um = 22\n"
    )
    told = " ".join(step.what for step in to_do.next_steps(run))
    assert ("or cut it where its maker allows" in told) is cut
    left = "a cut would leave about 26.30 mm, no surer over its maker's least, 26.3 mm, than lathe and micrometer are"
    assert (f"Renew the rotor ({left})" in told) is not cut


def test_a_stud_past_its_proof_load_is_no_measure_for_the_others():
    case = case_from_text(
        'base = "rear_solid_300"\n[studs]\ntorque_nm = 140\nroad_torque_nm = [140, 140, 350, 140, 140]'
    )
    studs = case.studs
    assert not road_state.uneven_on_the_road(studs)
    assert road_state.past_proof(studs).startswith("stud 3: preload above")
    assert loose_nut.leads(case).startswith("The studs first: stud 3")  # face, clamp, duty, memory, causes
    in_a_list = replace(case, studs=replace(studs, torque_nm=(140.0, 30.0, 350.0, 140.0, 140.0), road_torque_nm=None))
    beside = loose_nut.first_beside_scrap(in_a_list)
    assert beside.startswith("The nuts too: stud 2 at 30 N m where others have 140")
    assert "stud 3: preload above the proof load" in beside
    loose = replace(studs, road_torque_nm=(140.0, 60.0, 140.0, 140.0, 140.0))
    assert road_state.uneven_on_the_road(loose).startswith("stud 2 at 60 N m where others have 140")
    most = replace(studs, road_torque_nm=(350.0, 350.0, 350.0, 350.0, 40.0))  # one that holds is no measure either
    assert road_state.uneven_on_the_road(most) == "stud 5 at 40 N m where others have 350 N m"
    assert loose_nut.leads(replace(case, studs=most)).startswith("The nuts first: as driven, stud 5 at 40 N m")


@pytest.mark.parametrize("nut_nm", [90, 110])
def test_a_nut_that_the_case_itself_gives_far_under_the_others_leads_and_nothing_is_left_on_under_it(nut_nm):
    """A wrench errs by a few hundredths; a drawn corner of a study may scatter by more before it counts."""
    run = fakes.run(dirty=False)
    for studs in (
        f"torque_nm = 140\nroad_torque_nm = [140, 140, {nut_nm}, 140, 140]",
        f"torque_nm = [140, 140, {nut_nm}, 140, 140]\nroad_torque_nm = 140",
    ):
        run.case = case_from_text(f'base = "rear_solid_300"\n[studs]\n{studs}')
        first, *asked = to_do.next_steps(run)
        assert set(asked) & set(own_steps.NUTS)
        assert "No nut is tightened; breakaway torque of each written down as it gives" in first.what
        assert not set(own_steps.STAYS) & set(to_do.next_steps(run))
    drawn = replace(run.case.studs, torque_nm=140.0, road_torque_nm=(140.0, 140.0, float(nut_nm), 140.0, 140.0))
    assert not road_state.loose_on_the_road(drawn, road_state.LEAST_OF_LARGEST)
    even = replace(drawn, road_torque_nm=(140.0, 125.0, 130.0, 140.0, 140.0))
    assert not road_state.loose_on_the_road(even)


@pytest.mark.parametrize("given", ["", "thickness_mm = 11.5", "thickness_mm = 11.5\nminimum_thickness_mm = 10.4"])
def test_a_rotor_whose_thickness_nobody_gave_is_not_simply_left_on(given):
    run = fakes.run(dirty=False)
    run.case = case_from_text(f'base = "rear_solid_300"\n[rotor]\n{given}')
    steps = to_do.next_steps(run)
    known = "minimum" in given
    at = steps.index(own_steps.LEAVE_IT_ON if known else own_steps.STAYS_READ)
    assert any("thickness" in step.keys for step in steps[:at]) is not known  # behind wheel and caliper
    assert any("wheel off" in step.keys for step in steps[:at]) is not known
    assert to_do.lead(run) == (
        "Leave the rotor on."
        if known
        else "Leave the rotor on, once it is read: runout below its limit, thickness over the stamp and even."
    )


def test_pads_worn_out_as_given_are_renewed_beside_a_rotor_that_stays():
    run = fakes.run(dirty=False)
    run.case = case_from_text('base = "rear_solid_300"\n[pads]\nthickness_mm = 1.5')
    steps = to_do.next_steps(run)
    off = next(k for k, step in enumerate(steps) if "wheel off" in step.keys)  # behind chocks and stands
    assert off < steps.index(own_steps.PADS_TOO)
    assert set(own_steps.STAYS) & set(steps)
    assert to_do.lead(run).endswith("The pads are worn out as given: renew them too.")
    assert any(line.startswith("The pads first") for line in what_leads.headlines(run))


def test_the_part_set_s_discard_thickness_condemns_no_rotor():
    run = fakes.run(dirty=False)
    run.case = case_from_text('base = "rear_solid_300"\n[rotor]\nthickness_mm = 10.0')
    assert own_steps.RENEW_SLIM in to_do.next_steps(run)
    assert own_steps.RENEW_SLIM.what.startswith("Read the discard thickness stamped on the rotor: at or under it")


BOLTS_SHORT = 'fastener = "wheel bolt"\nthread_engagement_mm = 11.5\nspacer_mm = 24\n[wheel]\npad_thickness_mm = 18'


@pytest.mark.parametrize(
    ("studs", "shown"),
    [("", True), ('clamped_by = "screw only"', False), (BOLTS_SHORT, False), ("torque_nm = 350.0", False)],
)
def test_no_strip_shows_a_pass_that_its_sentence_does_not(studs, shown):
    run = fakes.run(dirty=False)
    run.case = case_from_text(f'base = "rear_solid_300"\n[studs]\n{studs}')
    read = findings.runout(run)
    assert read.state == "below"
    assert bool(report._strip(read, run)) is shown
    assert ("clears nothing" in read.sentence) is not shown


def test_the_fitting_sheet_of_a_run_holds_what_leads_it_where_it_is_done():
    """Page one ordered the rotor, the bearing and the hub; the sheet that goes to the car held none of it."""
    run = fakes.run(dirty=False)
    run.case = case_from_text(
        'base = "rear_solid_300"\n[rotor]\nown_thickness_variation_um = 22\n[hub]\nbearing_end_float_um = 60\n'
        "face_runout_um = 60\n[caliper]\nsticking_inboard_n = 150\n"
    )
    steps = to_do.next_steps(run)
    page = html.unescape(fitting_sheet.sheet_html(run.case, listed=steps))
    order = (
        *("Wheels chocked", held_to_read.WHEEL_OFF, "Caliper off", own_steps.CALIPER_FIRST.what, ", rotor off."),
        *(own_steps.BEARING_FIRST.what, own_steps.HUB_FIRST.what, "Renew the rotor", "Rotor home by hand"),
    )
    places = [page.index(said) for said in order]
    assert places == sorted(places)
    assert all(work.what in page for step in steps for work in step.works)
    assert "as found" not in page.partition("What was read")[2]  # no row for what nobody asks
    assert f'<span class="box"></span><b>{own_steps.BEARING_FIRST.what}' in page
    assert own_steps.BEARING_FIRST.what not in html.unescape(fitting_sheet.sheet_html(run.case))


@pytest.mark.parametrize("road_torque", ["0", "[0, 0, 0, 0, 0]"])
def test_a_road_without_a_nut_is_told_and_refuses_no_reading(road_torque):
    run = fakes.run(dirty=False)
    run.case = case_from_text(f'base = "rear_solid_300"\n[studs]\ntorque_nm = 140\nroad_torque_nm = {road_torque}')
    assert road_state.loose_on_the_road(run.case.studs) == "no nut is on"
    assert not road_state.past_proof(run.case.studs)
    assert loose_nut.leads(run.case).startswith("The nuts first: as driven, no nut is on;")
    assert not loose_nut.studs_first(run)
    assert loose_nut.CLEARS_NOTHING in findings.runout(run).sentence


def test_a_corner_with_a_nut_off_is_looked_at_as_read(tmp_path):
    """It is the picture to learn from: drawn without that nut and named, and no road is driven for it."""
    path = tmp_path / "off.toml"
    path.write_text('base = "rear_solid_300"\n[studs]\ntorque_nm = [140, 0, 140, 140, 140]\n')
    run = doing.open_run(path, 1000.0, lambda done, what: None)
    assert run.forecast is None
    assert road_state.nuts_off(run.case.studs) == (2,)
    assert corner.dirt(run.case) == "no nut is on stud 2, not fit to drive"
    assert own_steps.NUTS_FIRST in to_do.next_steps(run)


def test_no_cut_is_ordered_over_a_hub_or_bearing_that_comes_first():
    """`remains` ordered a cut on the car over a hub read at 40 of 23 µm, on a bearing with 40 µm of play."""
    case, found = Case(), SimpleNamespace(act="Cut it on the car, both of the axle")
    assert tables_road.remains_leads(case, found) == ["Cut it on the car, both of the axle."]
    over = BareHub(40.0, 6.0, 23.0, 66.0)
    loose = replace(case, hub=replace(case.hub, bearing_end_float_um=40.0))
    for asked, read, first in ((case, over, "Hub and bearing first"), (loose, None, "The bearing first")):
        told = tables_road.remains_leads(asked, found, read)
        assert told[0].startswith(first)
        assert "not on this hub and bearing as they are" in told[-1]
