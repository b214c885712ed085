"""Whatever a weighed corner orders, no box of its card asks for what is not yet off, up, home or read."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from scenes.words import (
    card_boxes,
    card_finding,
    card_stages,
    causes_do,
    causes_first,
    causes_work,
    held_to_read,
    mountings,
    open_work,
    part_goes,
    read_again_work,
    stays_on_hub,
    to_new_table,
    to_read_again,
)
from scenes.words.piece_of_work import Stage, Work
from sim.bench import next_act as act
from sim.bench import which_share
from sim.bench.bare_face import HubFace
from sim.bench.mountings import HUB_SIDE, ROTOR_SIDE
from sim.bench.seatings import COUNT
from sim.bench.shown_face import Shown
from sim.bench.told_by_mountings import Again
from sim.causes import names
from sim.files import dial_readings
from sim.files.case_file import case_from_text
from sim.files.reading_faults import DIAL_TWICE, FACE_TWICE, MICROMETER_TWICE
from sim.files.rocking import NO_END, NOT_YET
from sim.parts.thickness import Uneven, micrometer_sd_um
from tests.unit.hand_made_finding import FOUR, finding, on_the_ground

READ = dial_readings.read(FOUR)
CLEAN = finding().told
AS_FOUND = replace(CLEAN, states=CLEAN.states[:1])
ON_THE_GROUND = on_the_ground(CLEAN)
NEAR = HubFace(24.0, 6.0, 23.0, "too close to tell", 64.0, 140.0, 24.0, 6.0)
FACES = {
    "unread": None,
    "below": replace(NEAR, state="below"),
    "over once": replace(NEAR, state="above"),
    "over, read out": replace(NEAR, state="above", times=3),
    "near": NEAR,
    "near, read out": replace(NEAR, times=3),
    "too coarse": replace(NEAR, coarse=True, dial_um=25.0, times=2),
    "raised": replace(NEAR, to_look_at=True, as_shown=Shown(52.0, 55.0, 6.0, 60.0, True, 12)),
}
VARIES = {
    "unread": None,
    "even": Uneven(4.0, 3.0, 15.0),
    "near": Uneven(14.0, 6.0, 15.0),
    "counts as over": Uneven(17.0, 3.0, 15.0, turns=5),
    "over": Uneven(26.0, 6.0, 15.0),
    "too coarse": Uneven(10.0, 10.0, 15.0, turns=2, division_um=10.0),
}
PARTS = (names.CLEAN, names.INDEX, names.CLEAN_THEN_INDEX, names.RENEW, names.HUB_AND_BEARING, names.RETORQUE,
         names.OPEN, names.SCATTERS, names.UNEVEN_COUNTED, names.LEAVE, names.AT_LIMIT, names.GAUGE)  # fmt: skip
MENU = (names.ANOTHER_STUD, names.BACK, names.CLEAN_AND_REFIT, names.BARE_HUB, names.RADIAL, names.THICKNESS,
        names.INBOARD, names.RETORQUED, names.FINER_MICROMETER, names.FINER_DIAL, names.OTHER_SIDE)  # fmt: skip
ACTS = (*PARTS, names.READ_AGAIN, *(names.MEASURE + one for one in MENU))
#: What may be stated of a corner; where the axle or the fastener asks for more.
STATED = {
    "rear": "",
    "front": 'base = "front_vented_320"\n',
    "bolts": '[studs]\nfastener = "wheel bolt"\n',
    "nut loose": "[studs]\nroad_torque_nm = [140, 30, 140, 140, 140]\n",
    "pulled past proof": "[studs]\nroad_torque_nm = [140, 140, 350, 140, 140]\n",
    "another car's": "[rotor]\nbore_diameter_mm = 72.6\n",
    "uneven": "[rotor]\nown_thickness_variation_um = 25\n",
    "at its stamp": "[rotor]\nthickness_mm = 9.0\nminimum_thickness_mm = 9.0\n",
    "caliper": "[caliper]\nsticking_inboard_n = 400\n",
    "pads": "[pads]\nthickness_mm = 1.5\n",
    "bearing": "[hub]\nbearing_end_float_um = 150\n",
    "hub": "[hub]\nface_runout_um = 60\n",
    "scale": "[[spigot_scale]]\nangle_deg = 180\narc_deg = 120\nheight_um = 115\nto_face_mm = 4\n",
    "caliper under scale": "[caliper]\nsticking_inboard_n = 400\n[[spigot_scale]]\nheight_um = 115\n",
    "all": "[caliper]\nsticking_inboard_n = 400\n[pads]\nthickness_mm = 1.5\n[hub]\nbearing_end_float_um = 150\n"
    "face_runout_um = 60\n[studs]\nroad_torque_nm = [140, 140, 350, 140, 140]\n",
}


def corner(stated):
    text = STATED[stated]
    return case_from_text(text if text.startswith("base") else f'base = "rear_solid_300"\n{text}')


#: Each piece of work, and what has to be done before it; what stands in no list by what its box says.
BEFORE = {
    "lift": {"support"},
    "wheel off": {"lift"},
    "mark": {"wheel off"},
    "caliper off": {"mark"},
    "dial": {"caliper off"},
    "rotor off": {"caliper off"},
    "cracks": {"rotor off"},
    "clean": {"cracks"},
    "hub face": {"rotor off", "dial"},
    "fit": {"cracks"},
    "tighten": {"home"},
    "spacers": {"home"},
    "as found": {"held", "dial"},
    "read": {"held", "dial"},
    "thickness": {"caliper off"},
    "new thickness": {"held"},
    "near thickness": {"caliper off"},
    "caliper": {"caliper off"},
}
UNDER_A_ROTOR = (
    card_boxes.PART_BOX, card_boxes.BEARING_BOX, card_boxes.HUB_AS_GIVEN_BOX, card_boxes.RENEW_BOX,
    card_boxes.NEW_BOX, card_boxes.HUB_BOX[:20], card_boxes.HUB_COUNTS_BOX, card_boxes.HUB_READ_OUT_BOX, open_work.HUB,
    open_work.NONE_MENDED, open_work.OWN_FACE, open_work.EITHER[:30], open_work.ROTOR_TOO[:14],
)  # fmt: skip
AT_THE_CALIPER = (card_boxes.CALIPER_BOX, card_boxes.PADS_BOX)
HELD = {"support", "lift", "wheel off", "mark", "caliper off", "dial", "home", "held"}
READ_BY = {"as found", "read", "thickness", "new thickness", "hub face"}
#: What a row of "Read on the day" is asked for by.
ASKED_BY = {
    "as found": {"as found"}, "thickness": {"thickness", "new thickness", "near thickness"},
    "hub face, clean": {"hub face", "new face"},
    "before": {"wheel-on trace"}, "at the end": {"last trace"},
}  # fmt: skip


def keyed(one):
    """Key of a box; one that the card has of its own by what it says."""
    if one.what == to_new_table.NEW_THICKNESS:
        return "new thickness"
    if one.what.startswith(card_boxes.THICKNESS_BOX.partition("{")[0]) and "too near" in one.what:
        return "near thickness"
    if one.what.startswith(UNDER_A_ROTOR) or "really pulled so" in one.what:
        return "under a rotor"
    if one.what.startswith(AT_THE_CALIPER):
        return "at the caliper"
    return one.key


def faults(stages, rows):
    """Walk a card as a mechanic would; what cannot be done where it stands, and what is written or read for nothing."""
    listed = [one for stage in stages for one in stage.works]
    keys = [keyed(one) for one in listed]
    done = set() if "support" in keys else set(HELD)
    found, opened, between = [], "", []
    for key, one in zip(keys, listed, strict=True):
        needs = BEFORE.get(key, {"rotor off"} if key == "under a rotor" else set())
        needs = {"wheel off"} if key == "at the caliper" else needs
        dial = {"dial"} if one.what.startswith("Dial on the knuckle") else set()
        if missing := needs - done - dial:
            found.append((key, sorted(missing)))
        done |= {"home"} if key == "fit" else {"held"} if key in ("tighten", "spacers") else set()
        if key == "rotor off":
            done -= {"home", "held"}
            between = []
        if key == "fit":
            moved = "painted hole on" in one.what
            if not (moved or set(between) - {"rotor off", "cracks"}):
                found.append(("fit", ["nothing done since it came off"]))
            done -= {"rotor off"}
        if "top" in one.what and one.what.startswith(("Stop", "STOP")):
            opened = ""
        if key in ("caliper", "wheel") and opened:
            found.append((key, [f"{opened} read, and nothing says what follows"]))
        if one.what == read_again_work.SLACKENED and "fit" in keys:
            found.append((key, ["not moved, and it was off"]))
        opened = key if key in READ_BY else opened
        between.append(key)
        done.add(key)
    if "rotor off" in keys and "fit" not in keys:
        found.append(("fit", ["never back"]))
    if any("bare face first" in one.what for one in listed):
        keys.append("new face")
    asked = {row: ASKED_BY.get(row, {"read"}) for row in rows}
    found += [(row, ["no box asks for it"]) for row, by in asked.items() if not by & set(keys)]
    wanted = READ_BY | {"wheel-on trace", "last trace", "new face"}
    written = set().union(*asked.values()) if asked else set()
    found += [(key, ["no row for it"]) for key in keys if key in wanted - written]
    stays = any(stage.name == card_boxes.CHECKS for stage in stages)
    renewed = [one.what for one in listed if "both rotors of the axle" in one.what.lower() and one.key != "check 1"]
    if stays and any("goes on" not in one and "else the axle" not in one for one in renewed):
        found.append(("checks", ["of a rotor that was renewed"]))
    return found


def walked(found, case, why=()):
    made = card_stages.ordered(found, READ, case, "")
    rows = [
        row for _, several in causes_work.written(made, causes_work.card_keys(made, case, why), why) for row in several
    ]
    return faults(card_stages.card_stages(made, READ, case, "", why), rows)


TOLD = {"clean": CLEAN, "as found": AS_FOUND, "under bare nuts": ON_THE_GROUND}
BASE = finding()
#: What else is known of a corner, one thing at a time.
KNOWN = [{"turns": 3}, *({"hub_face": face} for face in FACES.values()), *({"varies": one} for one in VARIES.values())]


def weighed(do, told, **known):
    even = {"also": (act.CLEAN, act.BARE_HUB), "even_um": 10.0} if do == names.MEASURE + names.THICKNESS else {}
    return replace(BASE, do=do, told=told, **({} if told is CLEAN else even), **known)


@pytest.mark.parametrize("told", TOLD)
def test_every_box_of_an_act_finds_off_and_home_what_it_needs(told):
    """Two rotors were renewed with none off, rotors came off and went back with nothing done, rows had no box."""
    case = corner("rear")
    wrong = {
        (do, place): errs
        for do, (place, known) in product(ACTS, enumerate(KNOWN))
        if (errs := walked(weighed(do, TOLD[told], **known), case))
    }
    assert wrong == {}


#: What is done where the middle of three turns counts as over its limit: by which is the larger share, and the face.
OVER_AT_LAST = {
    ("", "unread"): ("rotor off", "Read the clean hub face", "Rotor home", "Read the runout", "Stop: readings"),
    ("", "below"): ("rotor off", "root of the spigot", "Rotor home", "Read the runout", "Stop: readings"),
    (HUB_SIDE, "below"): ("rotor off", open_work.HUB, "Rotor home", "Read the runout", "into a new table"),
    (HUB_SIDE, "near"): ("rotor off", "Bare clean hub face read twice more", "Rotor home", "Stop: readings"),
    (HUB_SIDE, "near, read out"): ("rotor off", card_boxes.NEW_FACE, "Rotor home", "into a new table"),
}  # fmt: skip


@pytest.mark.parametrize(("side", "face"), OVER_AT_LAST)
def test_a_runout_that_counts_as_over_has_the_work_that_its_lead_orders(side, face, monkeypatch):
    """ "It counts as over: the rotor, renewed or cut", and the only box went on to the wheel: none came off."""
    monkeypatch.setattr(which_share, "larger_share", lambda _: side)
    made = weighed(names.AT_LIMIT, CLEAN, turns=3, hub_face=FACES[face], read_um=51.0)
    assert walked(made, corner("rear")) == []
    ordered = card_stages.ordered(made, READ, corner("rear"), "")
    stages = card_stages.card_stages(ordered, READ, corner("rear"), "")
    assert card_boxes.CHECKS not in [stage.name for stage in stages]
    listed = " | ".join(one.what for stage in stages for one in stage.works)
    order = ("of 3 turns 51 µm counts as over 50 µm: the work below", *OVER_AT_LAST[side, face], "Pistons back")
    assert [listed.index(one) for one in order] == sorted(listed.index(one) for one in order)
    # Under its limit it stays, unless the maker's is lower.
    under = card_stages.ordered(replace(made, read_um=49.0), READ, corner("rear"), "")
    assert card_boxes.limit_boxes(under)[0].startswith(
        "Mean of 3 turns 49 µm, vehicle maker's limit ____ µm, unwritten"
    )


def test_over_at_last_a_rotor_with_the_larger_share_has_its_seat_looked_at_and_is_renewed(monkeypatch):
    """Cleaned once more already: nothing but the rotor is left."""
    monkeypatch.setattr(card_finding.one_act, "read_over_it", lambda *_: None)
    monkeypatch.setattr(open_work.part_goes, "goes", lambda *_: ROTOR_SIDE)
    made = weighed(names.AT_LIMIT, CLEAN, turns=3, hub_face=FACES["below"], read_um=51.0)
    assert walked(made, corner("rear")) == []
    ordered = card_stages.ordered(made, READ, corner("rear"), "")
    boxes = [one.what for stage in card_stages.card_stages(ordered, READ, corner("rear"), "") for one in stage.works]
    order = ("Spacers and retaining screw off, rotor off.", card_boxes.SEAT_BOX, card_boxes.RENEW_BOX)
    assert [boxes.index(one) for one in order] == sorted(boxes.index(one) for one in order)
    assert to_new_table.NEW_THICKNESS in boxes


@pytest.mark.parametrize(
    ("known", "gauge", "read"),
    [
        (
            {"hub_face": FACES["too coarse"]},
            "A dial of 0.01 mm",
            "Bare clean hub face read once more with a dial of 0.01",
        ),
        ({"varies": VARIES["too coarse"]}, "A micrometer of 0.005 mm", "it is read with a finer micrometer"),
    ],
)
def test_who_has_only_a_coarse_gauge_stops_before_any_work_and_a_finer_one_is_read(known, gauge, read):
    """ "Who has none finer stops here", and the card went on to read the same, and to the wheel."""
    made = weighed(names.GAUGE, CLEAN, **known)
    assert walked(made, corner("rear")) == []
    lead = causes_do.action(made)
    assert "who has none finer stops here" in lead
    assert "Until then the wheel stays off" in lead
    listed = " | ".join(
        one.what
        for stage in card_stages.card_stages(
            card_stages.ordered(made, READ, corner("rear"), ""), READ, corner("rear"), ""
        )
        for one in stage.works
    )
    order = (f"{gauge} a division or finer at hand: on as below. None: STOP, no box below is worked", read,
             "Stop: readings into the file, ask again", "Pistons back")  # fmt: skip
    assert [listed.index(one) for one in order] == sorted(listed.index(one) for one in order)
    assert card_boxes.CHECKS not in listed


@pytest.mark.parametrize("stated", STATED)
def test_whatever_the_case_states_is_done_where_it_can_be(stated):
    """Bearings were renewed under a rotor, a caliper was free by a wheel that was off."""
    case = corner(stated)
    wrong = {(do, told): errs for do, told in product(ACTS, TOLD) if (errs := walked(weighed(do, TOLD[told]), case))}
    assert wrong == {}


#: What is read again, and what its card asks for besides the stop.
AGAIN = {
    (f"mounted, mount 4: read twice, and the two turns differ by up to 40 µm: {NOT_YET.of(DIAL_TWICE)}",): (
        read_again_work.PLAY_STOP, read_again_work.THREE_ALIKE),
    ("mounted, mount 4: read 20 times, and two of the turns differ by up to 40 µm: "
     f"{NOT_YET.of(DIAL_TWICE)}{NO_END}",): (
        read_again_work.PLAY_STOP, read_again_work.THREE_ALIKE, read_again_work.NO_THREE),
    ("mounted, mount 4: read 120 degrees again, about 30 µm off the others; as a whole further turn",): (
        causes_work.PLAY, read_again_work.AS_IT_STANDS_BOX),
    (f"hub face: read twice, and the two turns differ by up to 40 µm: {NOT_YET.of(FACE_TWICE)}",): (
        read_again_work.PLAY_STOP, "rotor off", "hub face", "Rotor home by hand", "Read the runout"),
    (f"thickness, mount 4: read twice, and the two turns differ by up to 40 µm: {MICROMETER_TWICE}",): (
        "Thickness by micrometer",),
    ("mount 4 was read before the bare hub face was looked at, and that reads otherwise since: put the rotor back on "
     "the same stud and read it (next mount number, state cleaned again)",): (
        "rotor off", "the painted hole on stud ", "crosswise", "Read the runout"),
    ("mount 4 stands where mount 1 did: put the painted hole back on stud 3, tighten the nuts crosswise in stages",): (
        "rotor off", "the painted hole on stud 3", "crosswise", "Read the runout"),
    ("mount 4 by itself reads 55: slacken the nuts, tighten them crosswise in stages and read it there once more",): (
        read_again_work.SLACKENED, "Read the runout"),
    ("mountings part" + to_read_again.BEARING_FIRST.format(there="", end=to_read_again.THREE_COUNT),): (
        read_again_work.PLAY_STOP, "rotor off", read_again_work.WIPE, "Rotor home", read_again_work.THREE_THAT_AGREE),
    ("mountings part" + to_read_again.BEARING_FIRST.format(there="", end=COUNT),): (
        read_again_work.PLAY_STOP, "rotor off", read_again_work.WIPE, "Rotor home", read_again_work.MORE_AGREE),
    (f"mounted, mount 4: differs: {NOT_YET.of(DIAL_TWICE)}", f"hub face: differs: {NOT_YET.of(FACE_TWICE)}"): (
        read_again_work.PLAY_STOP, read_again_work.THREE_ALIKE, "rotor off", "hub face", "Rotor home", "Read the"),
}  # fmt: skip


@pytest.mark.parametrize("told", TOLD)
@pytest.mark.parametrize("why", AGAIN, ids=range(len(AGAIN)))
def test_what_is_read_again_has_its_own_boxes_in_the_order_of_work(why, told, monkeypatch):
    """Three turns that agree were two, a bearing with play stopped nothing, a bare face was read under its rotor."""
    monkeypatch.setattr(mountings.to_read_again, "contradictions", lambda *_: [])
    case, made = corner("rear"), weighed(names.READ_AGAIN, TOLD[told])
    assert walked(made, case, why) == []
    boxes = [one.what for stage in card_stages.card_stages(made, READ, case, "", why) for one in stage.works]
    listed = " | ".join(boxes)
    at = 0
    for what in AGAIN[why]:
        if told == "under bare nuts" and what == causes_work.PLAY:
            continue  # rocked at the wheel, then at the rotor
        assert what in listed[at:], (what, listed)
        at = listed.index(what, at)
    assert listed.index("Stop: readings into the file") > at


@pytest.mark.parametrize("told", TOLD)
@pytest.mark.parametrize("side", [ROTOR_SIDE, HUB_SIDE, ""])
def test_an_end_that_names_a_part_has_its_box_and_one_that_names_none_its_look(side, told, monkeypatch):
    """A rotor came off and went home again where spigot, burrs and scale were ordered, and no bare face was read."""
    case, made = corner("rear"), weighed(names.OPEN, TOLD[told])
    box = {ROTOR_SIDE: card_boxes.RENEW_BOX, HUB_SIDE: open_work.HUB, "": open_work.EITHER[:30]}[side]
    for stays in (False, True):
        monkeypatch.setattr(stays_on_hub, "stays_again", lambda _, stays=stays: "60 µm stays" if stays else "")
        monkeypatch.setattr(part_goes, "goes", lambda *_: side)
        assert walked(made, case) == []
        told_now = " | ".join(
            one.what for stage in card_stages.card_stages(made, READ, case, "") for one in stage.works
        )
        assert (box in told_now) is not stays
        assert ("taken off by scraper or stone" in told_now) is stays
        assert ("hub and bearing as the vehicle maker says. Until then nothing goes back on" in told_now) is stays
        assert ("into a new table" in told_now) is not stays
        assert told_now.index("ead the clean hub face") < told_now.index("Rotor home by hand")


def test_a_rotor_that_is_over_its_limit_by_itself_has_its_box_beside_what_stays_with_the_hub(monkeypatch):
    """79 µm went with it on every stud, and the card sent to hub and bearing alone."""
    monkeypatch.setattr(stays_on_hub, "stays_again", lambda _: "60 µm stays")
    last = CLEAN.states[-1]
    for own_um, said in ((90.0, True), (20.0, False)):
        told = replace(CLEAN, states=(replace(last, rotor={1: replace(last.sum[1], runout_um=own_um, half_um=6.0)}),))
        made = weighed(names.OPEN, told, read_um=80.0, limit_um=50.0, dial_um=1.0, turns=3)
        assert walked(made, corner("rear")) == []
        boxes = [one.what for stage in card_stages.card_stages(made, READ, corner("rear"), "") for one in stage.works]
        assert any(one.startswith("The rotor too, 90 ± 6 µm by itself and over the limit") for one in boxes) is said
        assert (open_work.THEN_ROTOR in boxes) is said
        assert (open_work.NOTHING_FOUND in boxes) is not said


@pytest.mark.parametrize("turns", [False, True])
def test_mountings_that_scatter_are_judged_at_the_bearing_before_anything_is_read(turns, monkeypatch):
    """The old hub's face was read, and stood in the new hub's table; where turns part the dial was not looked at."""
    part = open_work.to_read_again.TURNS_PART if turns else "its mountings on stud 1 read as far as 80 µm apart"
    monkeypatch.setattr(open_work.to_read_again, "scatters", lambda _: f"The bearing: {part}")
    made = weighed(names.SCATTERS, CLEAN)
    stages = card_stages.card_stages(made, READ, corner("rear"), "")
    boxes = [one.what for stage in stages for one in stage.works]
    judged = "Dial's base and tip looked at first. Bearing judged" if turns else open_work.UNDER_LOAD
    order = (judged, open_work.MENDED, open_work.NONE_MENDED, open_work.OWN_FACE,
             "Rotor home by hand", "Read the runout", card_boxes.NEW_TABLE_STOP)  # fmt: skip
    listed = " | ".join(boxes)
    assert [listed.index(one) for one in order] == sorted(listed.index(one) for one in order)
    assert "ead the clean hub face" not in listed
    assert ("base and tip" in listed) is turns
    # No turn of a bearing by which none counts is asked for in the same paragraph.
    assert "read it twice more" not in causes_do.action(replace(made, hub_face=NEAR))


def test_a_hub_that_its_own_face_renews_has_the_face_of_the_new_one_read(monkeypatch):
    """The face that decided stood in the new hub's table."""
    monkeypatch.setattr(part_goes, "goes", lambda *_: "")
    made = weighed(names.OPEN, CLEAN)
    boxes = [one.what for stage in card_stages.card_stages(made, READ, corner("rear"), "") for one in stage.works]
    assert any("a new one's bare face first, ____ µm; under it both rotors" in one for one in boxes)


@pytest.mark.parametrize("do", [names.RENEW, names.UNEVEN_COUNTED])
def test_no_dial_is_set_up_for_a_rotor_that_goes_unread(do):
    """A dial was set up as found before a rotor that goes by its thickness, and no reading stood behind it."""
    made = weighed(do, ON_THE_GROUND, varies=VARIES["counts as over" if do == names.UNEVEN_COUNTED else "over"])
    stages = card_stages.card_stages(made, READ, corner("rear"), "")
    assert held_to_read.READ_AS_FOUND not in [stage.name for stage in stages]
    listed = " | ".join(one.what for stage in stages for one in stage.works)
    order = ("rotor off", causes_work.FACE_BY_DIAL, "Both rotors of the axle", "Rotor home by hand",
             "in from the edge. Read the runout")  # fmt: skip
    assert [listed.index(one) for one in order] == sorted(listed.index(one) for one in order)
    assert listed.count("Dial on the knuckle") == 2
    assert "inboard face" not in listed


def test_no_face_is_read_of_a_rotor_that_is_scrap_by_its_stamp():
    """Its inboard face was read with the wheel on and its runout as found, and neither decided anything."""
    case, thin = corner("at its stamp"), "8.90 mm is under 9 mm"
    made = card_stages.ordered(weighed(names.CLEAN, ON_THE_GROUND), READ, case, thin)
    stages = card_stages.card_stages(made, READ, case, thin)
    listed = " | ".join(one.what for stage in stages for one in stage.works)
    assert held_to_read.READ_AS_FOUND not in [stage.name for stage in stages]
    order = ("Rock the wheel", "Retaining screw off, rotor off", causes_work.FACE_BY_DIAL, card_boxes.NEW_BOX,
             "Rotor home by hand", "in from the edge. Read the runout")  # fmt: skip
    assert [listed.index(one) for one in order] == sorted(listed.index(one) for one in order)
    assert "inboard face" not in listed
    rows = [row for _, several in causes_work.written(made, causes_work.card_keys(made, case)) for row in several]
    assert faults(stages, rows) == []


def test_before_the_bearing_is_judged_nothing_is_read_and_no_spacer_comes_off_that_nobody_put_on():
    """An end with no more reading stood over "the runout as found once more"."""
    uneven = weighed(names.RENEW, ON_THE_GROUND, varies=VARIES["over"])
    scale = card_stages.ordered(weighed(names.INDEX, ON_THE_GROUND), READ, corner("scale"), "")
    for made, stated in ((weighed(names.SCATTERS, ON_THE_GROUND), "rear"), (uneven, "rear"), (scale, "scale")):
        boxes = [one.what for stage in card_stages.card_stages(made, READ, corner(stated), "") for one in stage.works]
        assert causes_work.AS_FOUND_AGAIN not in boxes
        assert "Retaining screw off, rotor off." in boxes
    held = card_stages.card_stages(weighed(names.OPEN, ON_THE_GROUND), READ, corner("rear"), "")
    assert any(one.what.startswith("Spacers and retaining screw off") for stage in held for one in stage.works)


@pytest.mark.parametrize("do", [names.RENEW, names.OPEN])
def test_near_its_stamp_a_rotor_that_goes_by_its_runout_has_its_seat_looked_at(do, monkeypatch):
    """ "Before money is spent a straight edge" had no box where its own stamp was not read yet."""
    monkeypatch.setattr(part_goes, "goes", lambda *_: ROTOR_SIDE)
    monkeypatch.setattr(stays_on_hub, "stays_again", lambda _: "")
    made, thin = weighed(do, CLEAN), "9.90 mm is under 10 mm"
    assert card_boxes.part_boxes(made, thin) == (card_boxes.SEAT_BOX, card_boxes.NEW_BOX)
    assert card_boxes.part_boxes(made, thin, stated=True) == (card_boxes.NEW_BOX,)  # scrap whatever its seat holds


def thinned(least_um):
    """The readings with a thickness besides."""
    thin = replace(READ.traces[0], kind="thickness", value_um=least_um + 0.0 * READ.traces[0].angle_deg)
    return replace(READ, traces=(*READ.traces, thin))


@pytest.mark.parametrize("do", [names.RENEW, names.UNEVEN_COUNTED])
@pytest.mark.parametrize("told", [CLEAN, ON_THE_GROUND])
def test_a_stamp_that_comes_before_a_cut_is_read_while_the_rotor_is_on(do, told):
    """ "The stamp first: 11.6 has to be over the figure stamped on it", and no box of the card had it read."""
    found, read = weighed(do, told), thinned(11600.0)
    assert causes_first.first_line(found, read, corner("rear")).startswith("The stamp first: 11.600")
    stages = card_stages.card_stages(found, read, corner("rear"), "")
    boxes = [one.what for stage in stages for one in stage.works]
    stamp = next(place for place, one in enumerate(boxes) if one.startswith("Stamp read and written above: thinnest"))
    assert "else scrap, nothing is cut" in boxes[stamp]
    assert boxes.index(causes_work.PLAY if told is CLEAN else boxes[stamp - 1]) < stamp
    assert stamp < next(place for place, one in enumerate(boxes) if "rotor off" in one)
    assert next(place for place, one in enumerate(boxes) if "hung" in one or "Caliper" in one) < stamp
    given = case_from_text('base = "rear_solid_300"\n[rotor]\nminimum_thickness_mm = 10.0\n')
    stages = card_stages.card_stages(found, read, given, "")
    assert not any("Stamp read" in one.what for stage in stages for one in stage.works)


@pytest.mark.parametrize("stated", [False, True])
def test_on_a_hub_with_play_the_bearing_comes_before_the_stamp(stated):
    """The first box was "at or under it: STOP, the axle's rotors new", on a hub that has play."""
    found = weighed(names.SCATTERS, replace(CLEAN, bearing="play"))
    case, thin = corner("at its stamp" if stated else "rear"), "9.90 mm is under 10 mm"
    read = thinned(9900.0)
    boxes = [one.what for stage in card_stages.card_stages(found, read, case, thin) for one in stage.works]
    order = (open_work.PLAY_UNDER_LOAD, "Stamp read and written above. Thinnest place, 9.900", open_work.PLAY_MENDED)
    at = [next(place for place, one in enumerate(boxes) if one.startswith(said)) for said in order]
    assert at == sorted(at)
    assert "the axle's new ones only on hubs without play" in boxes[at[1]]
    assert ("into the case file" in boxes[at[1]]) is not stated
    assert not any("STOP, the axle's rotors new" in one for one in boxes)
    lead = causes_first.first_line(found, read, corner("rear"))
    assert "Behind that its thickness counts all the same, and no rotor goes on a hub with play" in lead


def test_over_its_stamp_a_card_goes_on_or_asks_again_as_its_lead_says():
    """Its lead was "put that figure into a case file and ask again", its box "and on" to both rotors new."""
    thin = "9.90 mm is under 10 mm"
    box = {do: card_boxes.stamp_box(weighed(do, CLEAN), thin, "", stated=False) for do in (*PARTS, names.READ_AGAIN)}
    assert all(box[do].endswith("into the case file, ask again.") for do in (names.RENEW, names.LEAVE, names.AT_LIMIT))
    # "Ask again. STOP before that is told. Only over it: rotor off", and "on as below, before it is asked again".
    assert all("over it on at once, as below" in box[do] for do in (names.CLEAN, names.INDEX, names.READ_AGAIN))
    near = "9.90 mm is under 10 mm: put that figure into a case file of your own, and ask again"
    for do, asks in ((names.CLEAN, False), (names.INDEX, False), (names.AT_LIMIT, True)):
        assert ("and ask again. Only over it: " in causes_do.action(weighed(do, CLEAN), thin=near)) is asks
    for do in (names.RENEW, names.CLEAN):
        assert "ask again" in card_boxes.ask_again(weighed(do, CLEAN), thin)


def test_a_bare_face_of_one_turn_is_read_once_more_under_the_state_that_its_lead_says():
    face = FACES["below"]
    for times, once_more in ((1, True), (2, False)):
        made = weighed(names.CLEAN, CLEAN, also=(act.BARE_HUB,), hub_face=replace(face, times=times))
        boxes = [one.what for stage in card_stages.card_stages(made, READ, corner("rear"), "") for one in stage.works]
        assert (causes_work.FACE_ONCE_MORE in boxes) is once_more
        assert "____ µm. Over the vehicle maker's limit, ____ µm: stop, no rotor goes" in causes_work.FACE_ONCE_MORE
        assert ("once more too (state cleaned again)" in causes_do.action(made)) is once_more


def test_raised_metal_is_looked_at_and_stoned_before_its_rotor_goes_home():
    made = weighed(names.MEASURE + names.BARE_HUB, CLEAN, hub_face=FACES["raised"])
    listed = " | ".join(
        one.what for stage in card_stages.card_stages(made, READ, corner("rear"), "") for one in stage.works
    )
    order = ("rotor off", "Straight edge across the hub face at 60°", "stoned flat", "one turn", "Rotor home by hand")
    assert [listed.index(one) for one in order] == sorted(listed.index(one) for one in order)


@pytest.mark.parametrize(("limit_um", "turns"), [(1000.0, 3), (1000.0, 2), (1.0, 3)])
def test_the_second_cleaning_that_an_end_at_the_limit_offers_has_its_box(limit_um, turns):
    made = weighed(names.AT_LIMIT, CLEAN, limit_um=limit_um, turns=turns)
    offered = "Where less is wanted: hub face" in causes_do.action(made)
    assert offered is (turns == 3 and limit_um == 1000.0)
    assert (card_boxes.CLEANED_ONCE_BOX in card_boxes.limit_boxes(made)) is offered


def test_nothing_is_bought_under_what_leads_and_a_rotor_that_goes_as_given_does_not_stay():
    for stated in ("nut loose", "bearing", "another car's", "scale", "pulled past proof"):
        made = card_stages.ordered(weighed(names.RENEW, CLEAN), READ, corner(stated), "")
        boxes = [one.what for stage in card_stages.card_stages(made, READ, corner(stated), "") for one in stage.works]
        assert not {card_boxes.RENEW_BOX, card_boxes.NEW_BOX} & set(boxes), stated
    for stated in ("uneven", "at its stamp"):
        made = card_stages.ordered(weighed(names.LEAVE, CLEAN), READ, corner(stated), "")
        stages = card_stages.card_stages(made, READ, corner(stated), "")
        assert card_boxes.NEW_BOX in [one.what for stage in stages for one in stage.works], stated
        assert card_boxes.CHECKS not in [stage.name for stage in stages]
        assert "eave it there" not in causes_first.first_line(weighed(names.LEAVE, CLEAN), READ, corner(stated)), stated


@pytest.mark.parametrize(
    ("times", "coarse", "asked"),
    [
        (1, False, "read twice more with the finest dial at hand: ____, ____ µm"),
        (2, False, "read once more with the finest dial at hand: ____ µm"),
        (1, True, "with a dial of 0.01 mm a division or finer: ____, ____ µm"),
    ],
)
def test_a_bare_face_near_its_limit_is_read_on_as_its_lead_says(times, coarse, asked):
    """The lead read it twice more, the box once."""
    made = weighed(names.MEASURE + names.BARE_HUB, CLEAN, hub_face=replace(NEAR, times=times, coarse=coarse))
    led = causes_do.action(made).replace("\N{NO-BREAK SPACE}", " ").replace("read it", "read")
    assert asked.partition(":")[0] in led
    assert any(
        asked in one.what for stage in card_stages.card_stages(made, READ, corner("rear"), "") for one in stage.works
    )


def test_over_scale_the_card_takes_the_scale_off_before_the_rotor_goes_home():
    """Its lead was "off with it, to the root", and its boxes had rust, dirt and burrs."""
    made = card_stages.ordered(weighed(names.INDEX, CLEAN), READ, corner("scale"), "")
    boxes = [one.what for stage in card_stages.card_stages(made, READ, corner("scale"), "") for one in stage.works]
    scale, home = (next(k for k, one in enumerate(boxes) if said in one) for said in ("Scale off the", "Rotor home by"))
    assert scale < home


def test_a_caliper_is_free_once_the_wheel_that_is_back_turns():
    for stated in ("caliper", "caliper under scale", "all"):
        made = card_stages.ordered(weighed(names.CLEAN, CLEAN), READ, corner(stated), "")
        boxes = [one.what for stage in card_stages.card_stages(made, READ, corner(stated), "") for one in stage.works]
        wheel = next(place for place, one in enumerate(boxes) if "wheel on, crosswise" in one)
        assert boxes.index(card_boxes.CALIPER_BOX) < wheel < boxes.index(card_boxes.TURNS_FREELY), stated


def test_what_is_found_wrong_is_found():
    """The walk itself."""

    def card(*keys, rows=("as found",)):
        works = tuple(Work(key, key) for key in keys)
        return faults([Stage("", works)], rows)

    start = ("support", "lift", "wheel off", "mark", "caliper off", "dial")
    assert ("as found", ["held"]) in card(*start, "as found", "fit")
    assert ("tighten", ["home"]) in card(*start, "rotor off", "cracks", "tighten", "fit")
    assert ("as found", ["no box asks for it"]) in card(*start)
    assert ("read", ["no row for it"]) in card(*start, "rotor off", "cracks", "clean", "fit", "tighten", "read")
    assert ("fit", ["nothing done since it came off"]) in card(*start, "rotor off", "cracks", "fit", rows=())
    assert ("caliper", ["read read, and nothing says what follows"]) in card("read", "caliper", rows=["fitted"])
    bearing = Work("", card_boxes.BEARING_BOX)
    assert faults([Stage("", (bearing,))], ()) == [("under a rotor", ["rotor off"])]


def test_a_runout_that_leaves_a_rotor_on_stands_on_its_card_with_the_limit_that_counts():
    """A middle of 51 µm went on to the wheel where no maker's limit was written; one of 36 stood nowhere in front."""
    assert "unwritten {limit:.0f} µm counts" in card_boxes.MEAN_BOX
    assert "no box below is worked" in card_boxes.MEAN_BOX
    left = replace(weighed(names.LEAVE, next(iter(TOLD.values()))), read_um=36.4, limit_um=50.0)
    told = " ".join(one.what for one in card_boxes.checks(left, ""))
    assert "Runout 36 µm on stud" in told
    assert "unwritten 50 µm counts): stop, nothing goes back on" in told
    assert "Runout 36" not in " ".join(
        one.what for one in card_boxes.checks(replace(left, do=names.AT_LIMIT, turns=3), "")
    )


@pytest.mark.parametrize("state", ["near", "over once"])
def test_a_hub_is_renewed_by_three_turns_of_its_bare_face_where_its_lead_asks_for_them(state):
    """ "The middle of three turns decides", and the box below renewed the hub by one turn without a figure."""
    found = weighed(names.HUB_AND_BEARING, CLEAN, hub_face=FACES[state])
    listed = " | ".join(
        one.what for stage in card_stages.card_stages(found, READ, corner("rear"), "") for one in stage.works
    )
    order = (
        "Bare clean hub face read",
        "Play, or the clean hub face, middle of its turns ____ µm",
        "Rotor home by hand",
    )
    assert [listed.index(one) for one in order] == sorted(listed.index(one) for one in order)
    assert "limit, ____ µm (unwritten 23 µm counts): hub or bearing renewed" in listed
    assert "Else stop: into the file, ask again." in listed
    assert "Read the clean hub face, one turn" not in listed


def test_a_hub_far_over_its_limit_is_read_as_often_on_the_card_as_its_lead_says():
    """ "Once more" in the words, "twice more, ____, ____" in the box: a second turn that says so ends it."""
    far = replace(FACES["over once"], runout_um=50.0)
    assert (far.read_out, replace(far, times=2).read_out) == (False, True)  # no third is asked for
    for face, more in ((far, "once"), (NEAR, "twice")):
        found = weighed(names.HUB_AND_BEARING, CLEAN, hub_face=face)
        (box,) = (one for one in listed(found) if one.startswith("Bare clean hub face read"))
        assert f"read {more} more with the finest dial at hand: {'____, ' * (more == 'twice')}____ µm" in box
        assert f"{more} more" in causes_do.action(found)


def test_faces_that_nobody_cleaned_are_cleaned_where_the_bearing_has_play():
    """ "Straight edge across hub face and seat": on the rust of a table that was read as found alone."""
    for told, dirty in ((AS_FOUND, True), (CLEAN, False)):
        boxes = listed(weighed(names.SCATTERS, replace(told, bearing="play")))
        (look,) = (one for one in boxes if open_work.MENDED in one)
        assert look.startswith(open_work.DIRT_OFF) is dirty


def test_what_is_read_again_has_its_wiping_its_stud_and_how_it_is_entered(monkeypatch):
    """ "Both faces wiped, back on the same stud, under the next mount number", and no box said any of it."""
    monkeypatch.setattr(mountings.to_read_again, "contradictions", lambda *_: [])
    why = (
        "mounted, mount 3: before it is left on by one mounting: rotor off, both faces wiped, put it back on the same "
        "stud, tighten the nuts crosswise in stages and read it there, under the next mount number",
    )
    boxes = listed(weighed(names.READ_AGAIN, CLEAN), why=why)
    assert read_again_work.WIPE_BOTH in boxes
    home = next(one for one in boxes if one.startswith("Rotor home by hand"))
    assert f"the painted hole on stud {CLEAN.states[-1].positions[-1] + 1}:" in home
    assert home.endswith("Entered under the next mount number, state 'cleaned'.")
    again = replace(CLEAN, again=Again((4,), (2,), {}, went=False))
    assert any(
        one.endswith("number, state 'cleaned again'.") for one in listed(weighed(names.READ_AGAIN, again), why=why)
    )
    found = weighed(names.READ_AGAIN, CLEAN)
    rows = causes_work.written(found, causes_work.card_keys(found, corner("rear"), why), why)
    assert ("read on stud" in str(rows), "cleaned, fitted" in str(rows)) == (True, False)
    thick = (f"thickness, mount 1: read 3 times, and two of the turns differ by up to 39 µm: {MICROMETER_TWICE}",)
    boxes = listed(weighed(names.READ_AGAIN, CLEAN), why=thick)
    assert read_again_work.WHOLE_TURN in boxes
    assert not any("uneven over its limit" in one for one in boxes)


def test_a_card_on_which_the_rotor_stays_on_has_no_heading_of_its_coming_off():
    for do, name in ((names.MEASURE + names.SECOND_TURN, "The rotor stays on"), (names.CLEAN, causes_work.STILL_ON)):
        stages = card_stages.card_stages(weighed(do, CLEAN), READ, corner("rear"), "")
        (rocked,) = (stage.name for stage in stages if causes_work.PLAY in [one.what for one in stage.works])
        assert rocked == name


def test_turns_that_are_asked_for_have_room_each():
    """ "Until there are three", and no ____ behind it."""
    (box,) = (one for one in listed(weighed(names.MEASURE + names.FINER_DIAL, CLEAN)) if "finer, next" in one)
    assert box.count("____") == 3
    fine = Uneven(18.0, 2.0 * micrometer_sd_um(1.0), 15.0, turns=3, mostly_over=True, division_um=1.0)
    (box,) = (
        one for one in listed(weighed(names.MEASURE + names.FINER_MICROMETER, CLEAN, varies=fine, thickness_close=fine))
        if one.startswith("Thickness by micrometer")
    )  # fmt: skip
    assert "every place is read twice more (____, ____ µm), 5 times in all; ____ ± ____ µm" in box


@pytest.mark.parametrize("do", [names.RENEW, names.HUB_AND_BEARING, names.SCATTERS])
def test_a_new_part_goes_on_as_the_first_mount_of_a_new_table(do):
    assert sum("New table: mount 1, 'cleaned'." in one for one in listed(weighed(do, CLEAN))) == 1
    assert not any("mount 1" in one for one in listed(weighed(names.CLEAN, CLEAN)))


@pytest.mark.parametrize(
    ("do", "told", "how"),
    [
        (names.CLEAN, AS_FOUND, "'cleaned'"),
        (names.CLEAN, CLEAN, "'cleaned again'"),
        (names.MEASURE + names.BARE_HUB, CLEAN, "'cleaned'"),
        (names.INDEX, CLEAN, ""),
        (names.RENEW, CLEAN, ""),
    ],
)
def test_a_rotor_that_goes_back_for_a_reading_has_its_stud_and_how_it_is_entered(do, told, how):
    """Its box said "rotor home": on another stud, or under another state, "it reads so again" cannot be told."""
    found = weighed(do, told)
    boxes = [one.what for stage in card_stages.card_stages(found, READ, corner("rear"), "") for one in stage.works]
    entered = [one for one in boxes if "entered under the next mount number, state" in one]
    assert [f"state {how}." in one for one in entered] == ([True] if how else [])
    assert all("Painted hole on stud " in one for one in entered)


@pytest.mark.parametrize("do", [names.INDEX, names.MEASURE + names.ANOTHER_STUD])
def test_a_bare_face_near_its_limit_is_read_on_while_the_rotor_is_off_for_another_stud(do):
    """Its headline ordered two turns more of that face, and no box read it though the rotor came off."""
    found = weighed(do, CLEAN, hub_face=NEAR)
    stages = card_stages.card_stages(found, READ, corner("rear"), "")
    listed = " | ".join(one.what for stage in stages for one in stage.works)
    order = ("rotor off", "Bare clean hub face read twice more", "Refit with the painted hole on stud")
    assert [listed.index(one) for one in order] == sorted(listed.index(one) for one in order)
    within = weighed(do, CLEAN, hub_face=FACES["below"])
    assert not any("hub face read" in one.what.lower() for stage in card_stages.card_stages(
        within, READ, corner("rear"), "") for one in stage.works)  # fmt: skip


def test_a_second_cleaning_reads_a_bare_face_again_only_where_its_lead_does():
    """Read twice and within its limit it was read once more, without figure or limit."""
    boxes = {}
    for name in ("below", "unread"):
        found = weighed(names.CLEAN, CLEAN, hub_face=FACES[name])
        stages = card_stages.card_stages(found, READ, corner("rear"), "")
        boxes[name] = " | ".join(one.what for stage in stages for one in stage.works)
    assert "hub face, one turn" not in boxes["below"]
    assert "Read the clean hub face, one turn: ____ µm. Over the vehicle maker's limit, ____" in boxes["unread"]


def test_a_hub_that_is_rocked_before_anything_else_is_rocked_in_the_first_box_and_stops_there():
    """It was the last of five boxes, and said nothing of what play means."""
    last = CLEAN.states[-1]
    told = replace(CLEAN, states=(*CLEAN.states[:-1], replace(last, now=replace(last.now, left_out=1, left_out_of=2))))
    for one, first in ((told, card_boxes.ROCKED_CHECK), (CLEAN, causes_work.PLAY)):
        works = card_boxes.checks(weighed(names.LEAVE, one, hub_face=FACES["below"]), "")
        assert works[0].what.startswith(first)
        assert sum("Hub rocked" in work.what for work in works) == 1
    assert "Play: stop" in card_boxes.ROCKED_CHECK
    # Without play by hand turns that show it have the bearing judged under load instead.
    works = card_boxes.checks(
        weighed(names.LEAVE, replace(CLEAN, tight=True, bearing="no play"), hub_face=FACES["below"]), ""
    )
    boxes = [work.what for work in works]
    assert (card_boxes.TIGHT_CHECK in boxes, causes_work.PLAY in boxes) == (True, False)
    # Where turns show play the card ends there: what was felt goes into the file, and the next one says what follows.
    told = replace(CLEAN, states=(*CLEAN.states[:-1], replace(last, now=replace(last.now, left_out=1, left_out_of=-2))))
    for do in (names.LEAVE, names.AT_LIMIT):
        boxes = listed(weighed(do, told, hub_face=FACES["below"]))
        assert boxes.index(card_boxes.ASK_FELT) == boxes.index(card_boxes.ROCKED_CHECK) + 1
        assert not any("Mean of" in one or "Runout " in one for one in boxes)


def listed(found, stated="rear", why=()):
    """All boxes of a card."""
    stages = card_stages.card_stages(found, READ, corner(stated), "", why)
    return [one.what for stage in stages for one in stage.works]


def test_an_as_found_card_begins_where_the_car_stands_and_reads_nothing_twice():
    """From the chocks, held anew and "the runout as found once more", right behind the reading that it answers."""
    for do in (names.CLEAN, names.MEASURE + names.THICKNESS, names.HUB_AND_BEARING):
        boxes = listed(weighed(do, AS_FOUND))
        assert boxes[0].startswith("As read last: car on stands, wheel off")
        assert not any("as found" in one or "Before lifting" in one for one in boxes)
        assert causes_work.PLAY in boxes
        below = listed(weighed(do, ON_THE_GROUND))
        assert causes_work.AS_FOUND_AGAIN in below  # under bare nuts nobody read it as it is held for reading
        assert below[0] == "Wheels chocked on level ground, park brake on."


@pytest.mark.parametrize("told", ["clean", "as found"])
def test_a_bare_face_that_may_read_all_alike_has_room_for_its_feeler_and_a_stop(told):
    """ "Read the clean hub face, one turn", no figure and no limit beside it; the feeler of its lead had no box."""
    found = weighed(names.MEASURE + names.BARE_HUB, TOLD[told], dial_um=10.0)
    (face,) = (one for one in listed(found) if "hub face, one turn" in one)
    assert face.endswith(causes_work.ALL_ALIKE)
    assert "limit, ____ µm: stop, no rotor goes on it" in face
    assert "feeler" in causes_do.action(found)
    fine = replace(found, dial_um=1.0)
    assert not any("feeler" in one for one in (*listed(fine), causes_do.action(fine)))


def test_a_new_hubs_bare_face_has_a_stop():
    for do, face in ((names.HUB_AND_BEARING, FACES["over, read out"]), (names.SCATTERS, None)):
        (box,) = (one for one in listed(weighed(do, CLEAN, hub_face=face)) if "its bare face first" in one)
        assert box.endswith("____ µm: over its limit stop, no rotor goes on it.")


def test_a_dial_that_did_not_come_back_is_held_fast_in_the_box_of_its_turn(monkeypatch):
    monkeypatch.setattr(mountings.to_read_again, "contradictions", lambda *_: [])
    why = (
        "mounted, mount 2: the dial came back -34 µm off its start; check that it is held fast, read the turn again",
    )
    assert any(one.startswith("Dial held fast") for one in listed(weighed(names.READ_AGAIN, CLEAN), why=why))
