"""Whatever stands at a corner, no step of its list, or of its sheet, asks for what is not yet off, up, home or read."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import numpy as np
import pytest

from scenes.words import held_to_read, piece_of_work, sheet_stages, to_do, work_list
from scenes.words import steps as own
from sim.corner.driven import MountedReading
from sim.files.case_file import case_from_text
from sim.parts.case import Case
from tests import fakes

#: What may be stated of one corner, a table each.
STATED = {
    "nut loose on the road": ("studs", "road_torque_nm = [110, 40, 110, 110, 110]"),
    "nut off for reading": ("studs", "torque_nm = [110, 110, 0, 110, 110]\nroad_torque_nm = 110"),
    "pulled past proof": ("studs", "torque_nm = 350.0"),
    "bare nuts": ("studs", 'clamped_by = "bare nuts"'),
    "one screw": ("studs", 'clamped_by = "screw only"'),
    "bolts too short": ("studs", 'fastener = "wheel bolt"\nthread_engagement_mm = 4.0'),
    "bolts pulled": ("studs", 'fastener = "wheel bolt"\ntorque_nm = 500.0'),
    "another car's": ("rotor", "bore_diameter_mm = 72.6"),
    "uneven": ("rotor", "own_thickness_variation_um = 22"),
    "at its discard": ("rotor", "thickness_mm = 10.0"),
    "at its stamp": ("rotor", "thickness_mm = 10.5\nminimum_thickness_mm = 10.5"),
    "stamp known": ("rotor", "thickness_mm = 12.0\nminimum_thickness_mm = 10.4"),
    "caliper": ("caliper", "sticking_inboard_n = 400"),
    "pads": ("pads", "thickness_mm = 1.5"),
    "bearing": ("hub", "bearing_end_float_um = 180"),
    "hub": ("hub", "face_runout_um = 60"),
    "hub near": ("hub", "face_runout_um = 22"),
    "scale that leaves room": ("[spigot_scale]", "height_um = 20.0"),
}
ALONE = [(one,) for one in STATED]
PAIRS = [(a, b) for a, b in combinations(STATED, 2) if STATED[a][0] != STATED[b][0]]
THREE = [
    ("nut loose on the road", "caliper", "hub"),
    ("bearing", "caliper", "uneven"),
    ("pulled past proof", "pads", "at its stamp"),
    ("bare nuts", "caliper", "hub near"),
]


@cache
def corner(stated) -> Case:
    tables = "".join(f"[{table}]\n{text}\n" for table, text in (STATED[one] for one in stated))
    return case_from_text(f'base = "rear_solid_300"\n{tables}')


#: Each piece of work, and what has to be done before it.
BEFORE = {
    "lift": {"support"},
    "wheel off": {"lift", "park brake off"},
    "mark": {"wheel off"},
    "home": {"mark"},
    "caliper off": {"mark"},
    "rotor off": {"caliper off"},
    "thickness": {"caliper off"},
    "dial": {"caliper off"},
    "cracks": {"rotor off"},
    "clean": {"cracks"},
    "hub face": {"clean", "dial"},
    "fit": {"cracks"},
    "tighten": {"fit"},
    "read": {"dial"},
    "as found": {"dial", "spacers"},
    "index": {"read"},
    "the rest": {"read"},
    "caliper": {"caliper off"},
    "wheel": {"wheel off"},
    "nuts": {"wheel off"},
    "studs": {"rotor off"},
    "part": {"rotor off"},
    "bearing": {"rotor off"},
    piece_of_work.FREE_THE_CALIPER: {"caliper off"},
    piece_of_work.NEW_PADS: {"caliper off"},
}


#: How a rotor is held for a reading, said in full where it is held first.
HELD_SO = ("plain side to the rotor", "as thick as the wheel's pad", "Spacers under every nut, plain side")


def pieces(steps):
    return [work for step in steps for work in step.works]


HOLDS, COMES_OFF = ("spacers", "tighten"), ("rotor off", "caliper")
#: What is wrong with a piece of work though all stands that it needs: its keys, what is wrong, and when.
WRONG = (
    (HOLDS, "not home", lambda done, what: not {"home", "fit"} & done),
    (HOLDS, "nobody said how", lambda done, what: not ("held once" in done or any(so in what for so in HELD_SO))),
    (("as found", "read"), "held by nothing", lambda done, what: not {*HOLDS} & done),
    (COMES_OFF, "no play was felt", lambda done, what: not {"bearing play", "flange play"} & done),
    (("wheel",), "the last reading orders nothing", lambda done, what: "rotor off" in done and "the rest" not in done),
    (("wheel",), "caliper still off", lambda done, what: "caliper off" in done and "caliper" not in done),
)


def faults(works, case, before=()):
    """Walk a list as a mechanic would; what cannot be done where it stands, or is left open where the wheel goes on.

    ``before``: what was done before the list begins.
    """
    found = []
    as_read = bool(works) and works[0].keys == own.AS_READ
    done = {*before, *(("bearing play", "flange play") if as_read else ())}  # what was read so was held so, and felt
    for work in works:
        for key in work.keys:
            missing = BEFORE.get(key, set()) - done - ({"park brake off"} if case.axle != "rear" else set())
            if "dial on the knuckle" in work.what.lower():
                missing -= {"dial"}
            if missing:
                found.append((key, sorted(missing), work.what[:60]))
            if not (as_read and work is works[0]):
                wrong = [what for keys, what, when in WRONG if key in keys and when(done, work.what)]
                found += [(key, what, work.what[:60]) for what in wrong]
            if key == "rotor off":
                done -= {"home", "fit", "tighten", "spacers", "read"}
            done |= {key, *(("held once",) if key in HOLDS else ())}
    if "wheel off" in done and "wheel" not in done:
        found.append(("wheel", "never back", ""))
    return found


def asked(stated, dirty, road):
    """A corner and its list."""
    run = fakes.run(dirty=dirty)
    run.case = corner(stated)
    if not road:
        run.forecast = None
    return run.case, to_do.next_steps(run)


@pytest.mark.parametrize("dirty", [False, True], ids=["clean", "dirty"])
@pytest.mark.parametrize("road", [True, False], ids=["driven", "as read"])
def test_every_step_finds_off_and_home_what_it_needs(dirty, road):
    """Nuts were pulled to torque before "home", bearings renewed under a rotor, calipers freed with the wheel gone."""
    found = {}
    for stated in (*ALONE, *PAIRS, *THREE):
        case, listed = asked(stated, dirty, road)
        if wrong := faults(pieces(listed), case):
            found[stated] = wrong
    assert found == {}
    assert len(PAIRS) > 90


@pytest.mark.parametrize("state", ["as found", "cleaned"])
@pytest.mark.parametrize("tir_um", [10.0, 49.0, 90.0])
def test_so_it_does_behind_a_turn_of_the_car(state, tir_um):
    """What was cleaned and fitted for that turn is not done anew; all else is as behind a computed one."""
    wave = 0.5 * tir_um * np.cos(np.radians(np.arange(360.0)))
    read = MountedReading(wave, "nuts and spacers", "the readings", (0.9, 1.0, 1.1), np.ones(1), 2.0, state=state)
    found = {}
    for stated in ALONE:
        run = fakes.run(dirty=True)
        run.case, run.reading = corner(stated), read
        listed = to_do.next_steps(run)
        before = ("clean", "fit") if state == "cleaned" else ()
        if wrong := faults(pieces(listed), run.case, before):
            found[stated] = wrong
        sheet = [work for stage in sheet_stages.of_list(run.case, listed) for work in stage.works]
        assert {work.what for step in listed if step.keys != own.AS_READ for work in step.works} <= {
            work.what for work in sheet
        }
    assert found == {}


@pytest.mark.parametrize("dirty", [False, True], ids=["clean", "dirty"])
def test_a_sheet_is_its_list_with_how_each_is_done_and_every_caution_of_it(dirty):
    """Amended by words it torqued a worn stud, felt no bearing, and never said with which spacers a rotor is held."""
    found = {}
    for stated in (*ALONE, *PAIRS, *THREE):
        case, listed = asked(stated, dirty, True)
        stages = sheet_stages.of_list(case, listed)
        sheet = [work for stage in stages for work in stage.works]
        if not any("wheel off" in step.keys for step in listed):
            continue
        if wrong := faults(sheet, case):
            found[stated] = wrong
        assert [work for work in sheet if work.key != "dust"] == pieces(listed), stated
        names = [stage.name for stage in stages]
        assert len(set(names)) == len(names), names
        there = {key for work in sheet for key in work.keys}
        moments = {moment for moment, first in sheet_stages.MOMENT_AT.items() if there & {*first}}
        told = [caution for stage in stages for caution in stage.cautions]
        assert len(set(told)) == len(told)
        assert {one.moment for one in told} == moments
    assert found == {}


def test_a_rotor_that_simply_stays_has_its_list_first_and_the_order_of_work_for_the_next_time():
    case, listed = asked(("stamp known",), False, True)
    assert listed[0] == own.LEAVE_IT_ON
    now, *behind = sheet_stages.of_list(case, listed)
    assert [work.what for work in now.works[:-1]] == [step.what for step in listed]
    assert f"Stages 2 to {len(behind) + 1} are for when it is read at the next service" in now.works[-1].what
    assert behind == list(sheet_stages.any_corner(case))


def test_a_rotor_that_is_held_as_it_was_read_has_what_leads_there_behind_its_first_stage():
    case = corner(("caliper",))
    behind = (own.CALIPER_FIRST, work_list.do(case, "flange play"), work_list.back(case, ()))
    steps = (own.own(held_to_read.as_read_last(case), "", *own.AS_READ), *behind)
    first, *stages = sheet_stages.of_list(case, steps)
    numbered = {stage.name: number for number, stage in enumerate(stages, 2)}
    at = next(number for number, stage in enumerate(stages, 2) if own.CALIPER_FIRST.works[0] in stage.works)
    assert first.works[-1].what == f"On with stage {at}. Was it on its wheels since: stages 2 to {at - 1} first."
    assert "the fitting sheet" not in " ".join(work.what for work in first.works)
    assert faults([work for stage in stages for work in stage.works], case) == []
    assert list(numbered) == [stage.name for stage in stages]


def test_a_bolt_that_was_pulled_too_hard_makes_no_other_loose():
    """Of 140 N m beside one at 330 the list looked for bolts that were loose or out."""
    run = fakes.run(dirty=False)
    text = 'fastener = "wheel bolt"\ntorque_nm = [140, 140, 330, 140, 140]'
    run.case = case_from_text(f'base = "rear_solid_300"\n[studs]\n{text}\n')
    assert own.BOLTS_PULLED in to_do.next_steps(run)
    assert own.BOLTS_LOOSE not in to_do.next_steps(run)


def test_a_bearing_that_was_felt_to_play_is_told_what_comes_of_it():
    """The list rocked the wheel and the hub, and nothing followed."""
    for stated in ((), ("pulled past proof",)):
        told = " ".join(step.what for step in asked(stated, True, True)[1])
        assert "with play, bearing first" in told


def test_bolts_that_were_pulled_too_hard_are_not_hidden_by_their_length():
    """Of bolts too short and over-pulled only the length stood in the list."""
    run = fakes.run(dirty=False)
    text = 'fastener = "wheel bolt"\nthread_engagement_mm = 4.0\ntorque_nm = 500.0'
    run.case = case_from_text(f'base = "rear_solid_300"\n[studs]\n{text}\n')
    listed = to_do.next_steps(run)
    places = [listed.index(step) for step in (own.BOLTS_FIRST, own.BOLTS_PULLED)]
    assert places == sorted(places)
    assert "bolts that were pulled past their proof load" in to_do.lead(run)


def test_a_guide_pin_comes_out_before_a_bolt_with_a_spacer_goes_in_there():
    """The list put it in, and nobody took it out of the hole that the first spacer needs."""
    for stated in (("bolts pulled",), ("bolts too short", "uneven")):
        told = " ".join(step.what for step in asked(stated, True, True)[1])
        order = ("a guide pin in there", "wheel off, guide pin out", "with spacers", "guide pin in, wheel on, the pin")
        places = [told.index(said) for said in order]
        assert places == sorted(places), stated


def test_what_is_found_wrong_is_found():
    """The walk itself: it stops at a torque before "home", a bearing under the rotor, a wheel over an open reading."""
    case = corner(())

    def walked(*steps):
        return [
            fault[:2] for fault in faults(pieces(own.own(f"Held with {HELD_SO[0]}", "", *keys) for keys in steps), case)
        ]

    off = ("support", "lift", "park brake off", "bearing play", "wheel off", "mark")
    assert walked(off, ("spacers",))[0] == ("spacers", "not home")
    assert walked(off, ("caliper off", "bearing"))[0] == ("bearing", ["rotor off"])
    assert walked(("wheel off",))[0] == ("wheel off", ["lift", "park brake off"])
    rotor = ("dial", "rotor off", "cracks", "clean", "fit", "tighten", "read")
    assert walked(off, ("caliper off",), rotor, ("caliper", "wheel")) == [("wheel", "the last reading orders nothing")]
    unfelt = tuple(key for key in off if key != "bearing play")
    assert ("rotor off", "no play was felt") in walked(unfelt, ("caliper off",), rotor)
    how = own.own("Held", "", *off, "home", "spacers")
    assert faults(how.works, case)[0][:2] == ("spacers", "nobody said how")


def test_the_card_ticks_off_what_its_list_asks_for_and_nothing_else():
    """Six boxes stood on every card: "hub face clean" under a rotor that stays on, none for a crack or a caliper."""
    wanted = {
        ("stamp known",): (set(), {"no crack", "home by hand", "hub, spigot, seat clean"}),
        ("caliper", "pads"): ({"caliper slides free", "pads new"}, {"no crack"}),
        ("bearing", "uneven"): (
            {"bearing within play, or new", "rotor renewed", "home by hand"},
            {"home before torque"},
        ),
        ("at its discard",): ({"stamp read", "no crack"}, {"rotor renewed"}),
    }
    for stated, (there, absent) in wanted.items():
        run = fakes.run(dirty=False)
        run.case = corner(stated)
        told = work_list.ticks(to_do.next_steps(run))
        assert there <= set(told), stated
        assert not absent & set(told), stated
        assert len(told) == len(set(told))
