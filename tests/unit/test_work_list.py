"""Whatever stands at a corner, no step of its list asks for what is not yet off, up, home or read."""

from __future__ import annotations

from itertools import combinations

import pytest

from scenes.words import steps as own
from scenes.words import to_do, work_list, work_order
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
    work_order.FREE_THE_CALIPER: {"caliper off"},
    work_order.NEW_PADS: {"caliper off"},
}


def faults(listed, case, at_service):
    """Walk a list as a mechanic would; what cannot be done where it stands, or is left open where the wheel goes on."""
    done, found = set(), []
    for step in listed:
        if step in at_service:
            continue
        for key in step.keys:
            missing = BEFORE.get(key, set()) - done - ({"park brake off"} if case.axle != "rear" else set())
            if "dial on the knuckle" in step.what.lower():
                missing -= {"dial"}
            if missing:
                found.append((key, sorted(missing), step.what[:60]))
            if key in ("spacers", "tighten") and not {"home", "fit"} & done:
                found.append((key, "not home", step.what[:60]))
            if key in ("as found", "read") and not {"spacers", "tighten"} & done:
                found.append((key, "held by nothing", step.what[:60]))
            if key == "wheel" and "rotor off" in done and "the rest" not in done:
                found.append((key, "the last reading orders nothing", step.what[:60]))
            if key == "wheel" and "caliper off" in done and "caliper" not in done:
                found.append((key, "caliper still off", step.what[:60]))
            if key == "rotor off":
                done -= {"home", "fit", "tighten", "spacers", "read"}
            done.add(key)
    if "wheel off" in done and "wheel" not in done:
        found.append(("wheel", "never back", ""))
    return found


@pytest.mark.parametrize("dirty", [False, True], ids=["clean", "dirty"])
@pytest.mark.parametrize("road", [True, False], ids=["driven", "as read"])
def test_every_step_finds_off_and_home_what_it_needs(dirty, road):
    """Nuts were pulled to torque before "home", bearings renewed under a rotor, calipers freed with the wheel gone."""
    found = {}
    for stated in (*ALONE, *PAIRS, *THREE):
        run = fakes.run(dirty=dirty)
        run.case = corner(stated)
        if not road:
            run.forecast = None
        listed = to_do.next_steps(run)
        if wrong := faults(listed, run.case, listed[-1:] if set(own.STAYS) & set(listed) else ()):
            found[stated] = wrong
    assert found == {}
    assert len(PAIRS) > 90


def test_what_is_found_wrong_is_found():
    """The walk itself: it stops at a torque before "home", a bearing under the rotor, a wheel over an open reading."""
    case = corner(())
    step = own.Step
    off = step("", "", ("support", "lift", "park brake off", "wheel off", "mark"))
    caliper = step("", "", ("caliper off",))
    assert faults((off, step("", "", ("spacers",))), case, ())[0][:2] == ("spacers", "not home")
    assert faults((off, caliper, step("", "", ("bearing",))), case, ())[0][:2] == ("bearing", ["rotor off"])
    assert faults((step("", "", ("wheel off",)),), case, ())[0][:2] == ("wheel off", ["lift", "park brake off"])
    rotor = step("", "", ("dial", "rotor off", "cracks", "clean", "fit", "tighten", "read"))
    wheel = step("", "", ("caliper", "wheel"))
    assert faults((off, caliper, rotor, wheel), case, ())[0][:2] == ("wheel", "the last reading orders nothing")


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
