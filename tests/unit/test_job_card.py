"""The job card: the action first, nobody blamed who cannot be told apart, nothing declared safe, one page whatever."""

import re
from dataclasses import replace
from datetime import date
from html import unescape
from itertools import product

import numpy as np
import pytest
from pypdf import PdfReader

from scenes.command import tables_causes
from scenes.command.causes import _stage_one
from scenes.pages import fitting_sheet, pdf
from scenes.pages.job_card import job_card_html
from scenes.words import (
    acts,
    bare_face,
    card_boxes,
    card_stages,
    causes_do,
    causes_first,
    causes_read,
    causes_thickness,
    causes_why,
    causes_work,
    cautions,
    loose_nut,
    mountings,
    part_goes,
    rocked,
    words,
    work_order,
)
from scenes.words import causes as said
from sim import advice
from sim.bench import next_act as act
from sim.bench.bare_face import HubFace
from sim.bench.told_by_mountings import Again
from sim.causes import names
from sim.causes import otherwise as ways
from sim.causes.answer import DirtLeft, NextReading, Otherwise
from sim.causes.decision import decide
from sim.corner import road_state
from sim.files.case_file import case_from_text
from sim.files.dial_readings import Readings
from sim.files.reading_faults import CONFIRMED, ReadingFault
from sim.parts.case import Case, Limits, SpigotScale, Studs
from sim.parts.thickness import Uneven, micrometer_sd_um
from tests.unit import printed
from tests.unit.hand_made_finding import FOUR, finding, fitted, on_the_ground, open_finding, ranked, read_once
from tests.unit.test_mountings import EVEN, mounted

pytestmark = pytest.mark.usefixtures("drawn_once")
CASE = Case()
ON = date(2026, 11, 28)
ACTIONS = (names.CLEAN, names.INDEX, names.CLEAN_THEN_INDEX, names.RENEW, names.HUB_AND_BEARING, names.RETORQUE,
           names.READ_AGAIN, names.LEAVE)  # fmt: skip
MENU = (names.ANOTHER_STUD, names.BACK, names.CLEAN_AND_REFIT, names.BARE_HUB, names.RADIAL, names.THICKNESS,
        names.INBOARD, names.RETORQUED, names.OTHER_SIDE)  # fmt: skip


@pytest.fixture(autouse=True)
def not_drawn(request, monkeypatch):
    """A card's words are asked; what stands beside them is drawn where it is printed."""
    if "open_printer" not in request.fixturenames:
        monkeypatch.setattr("scenes.pages.job_card.overlay", lambda *_, **__: "<svg/>")


def plain(page):
    """Words of a page, one blank between them."""
    told = re.sub(r"<(style|title)\b.*?</\1>|<[^>]+>", " ", page, flags=re.DOTALL)
    return " ".join(unescape(told).replace("\xa0", " ").split())


def card(found, readings=None, case=CASE):
    return job_card_html(found, readings or read_once(FOUR), case, ON, "readings.csv")


@pytest.mark.parametrize("do", [*ACTIONS, *(names.MEASURE + one for one in MENU)])
def test_every_action_leads_and_has_its_work_in_the_order_of_the_fitting_sheet(do):
    found = open_finding(do=do, none_fits=do == names.READ_AGAIN)
    text = plain(card(found))
    there = rocked.leave_there(found.told, boxed=True)
    act = causes_do.action(found, (), causes_why.because(found, CASE), "50 µm*", there=there)
    assert text.index(plain(act)) < text.index("Cannot tell" if do != names.READ_AGAIN else "No cause")
    order = [one.key for stage in work_order.stages(CASE) for one in stage.works]
    wanted = causes_work.work_keys(found)
    everywhere = Case(axle="rear", studs=Studs(fastener="wheel bolt"))
    assert set(wanted) <= {one.key for one in work_order.works(everywhere, wanted)}
    start = text.index("Work, in this order")
    told = [
        causes_work.work_now(found, key, wanted) or work_order.work(CASE, key).what for key in order if key in wanted
    ]
    places = [text.index(plain(what), start) for what in told]
    assert places == sorted(places)
    # Nothing is read before the rotor is marked, held and free of its caliper; one that was read clean is all that.
    held = {"breakaway torque", "bearing play", "mark", "spacers", "caliper off", "dial", "as found"}
    if "rotor off" in wanted:
        assert "flange play" in wanted
    assert not held & set(wanted)
    assert ("As read last: car on stands, wheel off" in text) is (do not in causes_work.LEFT_ON)
    as_found = replace(found, told=on_the_ground(found.told))
    if do not in causes_work.LEFT_ON:
        assert held - {"as found"} <= set(causes_work.work_keys(as_found))


def test_a_nut_that_was_loose_on_the_road_comes_before_every_act(monkeypatch):
    loose = Case(studs=Studs(road_torque_nm=(30.0, 140.0, 140.0, 140.0, 140.0)))
    found, read = open_finding(do=names.RETORQUE), read_once(FOUR)
    first = causes_first.first_line(found, read, loose)
    assert first.startswith("The nuts first, nothing is done before that: as driven, stud 1 at 30 N m where others")
    assert "Look at stud, nut and the wheel's seat there" in first
    monkeypatch.setattr(causes_first, "too_thin", lambda *_: "10.02 mm at its thinnest")
    told = causes_first.first_line(found, read, loose)
    assert told == f"{first} Its thickness counts all the same: 10.02 mm at its thinnest."
    monkeypatch.undo()
    monkeypatch.setattr("scenes.pages.job_card.overlay", lambda *_, **__: "<svg/>")
    text = plain(card(found, read, loose))
    boxes = text.split("Work, in this order")[1].split("Cautions")[0]
    assert text.index("The nuts first") < text.index("Cannot tell apart")
    looked_at = "Stud, nut and the wheel's seat looked at (as driven, stud 1 at 30 N m"
    assert boxes.index(looked_at) < boxes.index("crosswise")
    assert "Stop: readings into the file" in boxes
    # Beside such a nut no share of passes stands, nor a reading to take: of the tables only the causes are left.
    counted = [
        sum(hasattr(part, "columns") for part in tables_causes.ranked(found, read, one).renderables)
        for one in (loose, CASE)
    ]
    assert counted[0] == 1 < counted[1]
    assert "as it is" not in text
    assert "Would tell more" not in text
    assert causes_first.first_line(found, read, CASE) == causes_do.action(found, (), "", words.micrometres(50.0))


def test_studs_pulled_too_hard_come_before_every_act():
    over = Case(studs=Studs(road_torque_nm=(140.0, 140.0, 350.0, 140.0, 140.0)))
    found, read = open_finding(do=names.RETORQUE), read_once(FOUR)
    first = causes_first.first_line(found, read, over)
    assert first.startswith("The studs first: stud 3: preload above the proof load")
    assert causes_first.called(found, read, over) == names.RETORQUE
    text = plain(card(found, read, over))
    assert text.index("The studs first") < text.index("Cannot tell apart")
    assert "Stud and nut that were really pulled so, renewed (stud 3: preload above" in text.split("Work, in this")[1]


def test_wheel_bolts_of_a_wrong_length_come_before_every_act_and_in_every_lead():
    """`causes` and `index` ordered a stud where `seat`, `drive` and `report` said that the bolts do not hold."""
    short = Case(studs=Studs(fastener="wheel bolt", thread_engagement_mm=4.0))
    engaged = "with the wheel on 4.0 mm of their thread are engaged as given, they may strip"
    found, read = finding(do=names.RETORQUE), read_once(FOUR)
    led = causes_first.first_line(found, read, short)
    assert led.startswith(f"The wheel bolts first: {engaged}")
    assert led.endswith(causes_first.READ_SO)
    assert causes_first.called(found, read, short) == names.RETORQUE
    text = plain(card(found, read, short))
    assert text.index("The wheel bolts first") < text.index("Found:")
    assert f"their thread in the hub looked at ({engaged}" in text.split("Work, in this")[1]
    assert road_state.badly_held(short).startswith(engaged)  # what `causes` asks, before it orders
    assert advice._nuts_first(short)[0].startswith(f"the wheel bolts first: {engaged}")
    for said_by in (loose_nut.leads, loose_nut.first):  # causes, clamp, duty, remains, index; face and memory
        assert said_by(short).startswith(f"The wheel bolts first: {engaged}")
    spacer = Case(studs=Studs(fastener="wheel bolt", spacer_mm=29.0, torque_nm=120.0))
    assert loose_nut.first(spacer).startswith("The bolts first, as held for reading: only ")
    assert advice._bolts_as_held(spacer)[0].startswith("the bolts first, as held for reading: only ")
    assert not advice._bolts_as_held(CASE)
    assert not loose_nut.leads(spacer)


@pytest.mark.parametrize("do", [names.MEASURE + names.ANOTHER_STUD, names.CLEAN_THEN_INDEX, names.CLEAN])
def test_where_the_search_goes_on_the_work_stops_before_the_caliper(do):
    text = plain(card(open_finding(do=do)))
    assert text.index("Read the runout") < text.index("Stop: readings into the file") < text.index("Caliper and pads")
    ended = plain(card(open_finding(do=names.LEAVE)))
    assert "Stop" not in ended


@pytest.mark.parametrize("do", [names.HUB_AND_BEARING, names.RENEW, names.UNEVEN_COUNTED])
def test_after_a_new_part_the_work_stops_at_its_reading_with_its_limit(do):
    """A hub was renewed, the rotor that it had cancelled read 85 µm, was written down and driven."""
    boxes = plain(card(finding(do=do))).split("Work, in this order")[1].split("Cautions")[0]
    stop = boxes.index("Stop: bare face, runout and thickness into a new table, ask again")
    part = {names.HUB_AND_BEARING: "bearing renewed", names.RENEW: "Both rotors", names.UNEVEN_COUNTED: "Both rotors"}
    assert max(boxes.find("Read the runout"), boxes.index(part[do])) < stop < boxes.index("Caliper and pads")
    assert "Runout over the vehicle maker's limit, ____ µm: nothing goes back on" in boxes[stop:]
    assert "Caliper and wheel only when it says that the search ends" in boxes[stop:]


def test_a_thickness_that_counts_as_over_has_the_work_of_one_that_is_over():
    """Its card renewed both rotors, then checked the old one "before it stays on": none came off, was held or read."""
    counted, worn = (
        plain(
            card(
                finding(
                    do=do,
                    varies=Uneven(17.0, 3.0, 15.0, turns=5) if do == names.UNEVEN_COUNTED else Uneven(24.0, 6.0, 15.0),
                )
            )
        ).split("Work, in this order")[1]
        for do in (names.UNEVEN_COUNTED, names.RENEW)
    )
    boxes, written = counted.split("Cautions")[0], counted.split("Read on the day")[1]
    kept = "Kept only where read finer first: varies by ____ ± ____ µm, vehicle maker's limit ____ µm; within it stop"
    order = ("As read last", kept, "rotor off", "root of the spigot", "Read the clean hub face", "Both rotors of the",
             "Rotor home by hand", "crosswise", "Read the runout", "Thickness of the rotor that is on",
             "Stop: bare face", "Caliper and pads")  # fmt: skip
    places = [boxes.index(what) for what in order]
    assert places == sorted(places)
    assert card_boxes.CHECKS not in boxes
    assert "uneven over its limit: stop" not in boxes  # it is: nothing is left to stop for
    assert all(row in written for row in ("hub face, clean", "cleaned, fitted", "thickness"))
    assert boxes.replace(card_boxes.UNEVEN_BOX, "").split() == worn.split("Cautions")[0].split()


def test_every_card_warns_of_heat_of_a_hung_caliper_and_of_an_electric_park_brake_at_the_rear():
    for axle, do in product(("rear", "front"), (names.CLEAN, names.LEAVE)):
        text = plain(card(finding(do=do), case=Case(axle=axle)))
        assert all(cautions.named(key)[0].text in text for key in ("hot", "hang the caliper", "stands"))
        assert (cautions.named("service mode")[0].text in text) is (axle == "rear")


def test_a_card_warns_of_grease_where_a_rotor_goes_on_and_of_dust_and_fingers_where_no_box_does():
    """Always the same eleven: nothing of grease on a card that refits a rotor, of eyes on one that begins at dirt."""
    greasy, eyes, turned = (cautions.named(key)[0].text for key in ("nothing greasy", "mask and eyes", "fingers out"))
    on_stands, leave = finding(do=names.CLEAN), finding(do=names.LEAVE)
    below = replace(on_stands, told=on_the_ground(on_stands.told))
    again = finding(do=names.MEASURE + names.SECOND_TURN)
    for found, those in ((on_stands, (True, True, True)), (below, (True, False, False)), (leave, (False,) * 3),
                         (again, (False, False, True))):  # fmt: skip
        text = plain(card(found))
        assert tuple(one in text for one in (greasy, eyes, turned)) == those


def test_a_rotor_that_goes_by_its_thickness_has_its_own_order_after_the_hub():
    """The card renewed the hub, fitted the rotor again that was over its limit, and drove it."""
    over = HubFace(39.0, 6.0, 23.0, "above", 64.0, 140.0, 39.0, 6.0, times=3)
    found = finding(do=names.HUB_AND_BEARING, hub_face=over, varies=Uneven(26.0, 6.0, 15.0), by_rule=names.RENEW)
    text = plain(card(found))
    led = plain(causes_first.first_line(found, read_once(FOUR), CASE))
    for said_by in (led, text):
        assert "comes second" not in said_by
        assert said_by.index("hub or bearing is renewed") < said_by.index(
            "Then the rotor, whose thickness varies by 26"
        )
    assert "both of the axle, each on a clean hub; read after fitting, in the new table" in led
    boxes = text.split("Work, in this order")[1].split("Cautions")[0]
    hub, rotor = boxes.index("hub or bearing renewed"), boxes.index("Both rotors of the axle: new, or cut")
    assert hub < rotor < boxes.index("Rotor home by hand")
    assert card_boxes.part_boxes(found, "") == (card_boxes.HUB_READ_OUT_BOX, card_boxes.RENEW_BOX)  # a box each
    even = replace(found, varies=Uneven(4.0, 6.0, 15.0), by_rule=names.CLEAN)
    assert card_boxes.part_boxes(even, "") == (card_boxes.HUB_READ_OUT_BOX,)
    assert "Then the rotor" not in causes_do.action(even)


@pytest.mark.parametrize("do", [names.HUB_AND_BEARING, names.RENEW])
@pytest.mark.parametrize("times", [1, 3])
def test_the_card_reads_no_hub_face_again_of_which_its_lead_asks_no_more(do, times):
    found = finding(do=do, hub_face=HubFace(39.0, 6.0, 23.0, "above", 64.0, 140.0, 39.0, 6.0, times=times))
    text = plain(card(found))
    assert ("no more reading is asked" in text) is (times == 3 and do == names.HUB_AND_BEARING)
    boxes = text.split("Work, in this order")[1].split("Cautions")[0]
    assert ("Bare clean hub face read" in boxes) is (times == 1)
    assert "Read the clean hub face, one turn" not in boxes
    assert ("over its limit as read: hub or bearing renewed" in boxes) is (times == 3)
    assert "hub face, clean" in text  # the new one is read into the table of the day


@pytest.mark.parametrize(
    ("stated", "box", "then"),
    [
        ("[caliper]\nsticking_inboard_n = 150", "Caliper, it sticks", "rotor off"),
        ("[hub]\nbearing_end_float_um = 60", "Bearing: within the vehicle maker's play", "Rotor home by hand"),
        ("[studs]\nroad_torque_nm = [140, 140, 30, 140, 140]", "Stud, nut and the wheel's seat looked at", "crosswise"),
    ],
)
def test_the_card_paints_stud_and_hole_before_nut_caliper_or_bearing_is_touched(stated, box, then):
    as_found = finding(do=names.CLEAN)
    as_found = replace(as_found, told=on_the_ground(as_found.told))
    text = plain(card(as_found, case=case_from_text(f'base = "rear_solid_300"\n{stated}')))
    boxes = text.split("Work, in this order")[1].split("Cautions")[0]
    touched = boxes.index(box)
    for before in ("Wheels chocked on level ground", "Car on stands", "wheel off; look", "Paint stud 1"):
        assert boxes.index(before) < touched
    assert touched < boxes.index(then)


def test_a_thickness_that_is_still_to_be_read_has_its_box_before_a_part_is_renewed():
    near = Uneven(14.0, 6.0, 15.0)
    found = finding(do=names.HUB_AND_BEARING, varies=near)
    boxes = plain(card(found)).split("Work, in this order")[1].split("Cautions")[0]
    asked = (
        "Thickness varies by 14 ± 6 µm, too near its limit of 15 µm: "
        f"every place is read {near.wanted_turns} times, ____ ± ____ µm. Over it: stop, ask again."
    )
    fine = card_boxes.thickness_box(replace(found, varies=replace(near, doubt_um=2.0 * micrometer_sd_um(1.0))))
    assert (
        "every place is read twice more (____, ____ µm), 3 times in all, ____ ± ____ µm. Over it: stop, ask again."
        in fine
    )
    assert boxes.index("Hub rocked") < boxes.index(asked) < boxes.index("rotor off") < boxes.index("hub or bearing ren")
    assert "the rotors go" not in boxes  # by three turns alone a pair was bought
    assert not card_boxes.thickness_box(replace(found, varies=Uneven(4.0, 6.0, 15.0)))
    assert not card_boxes.thickness_box(replace(found, do=names.MEASURE + names.FINER_MICROMETER))
    read, stated = read_once(FOUR), replace(CASE, given=("rotor.minimum_thickness_mm",))
    thin = replace(read.traces[0], kind="thickness", value_um=10013.0 + np.arange(read.traces[0].angle_deg.size))
    goes = plain(card(found, replace(read, traces=(*read.traces, thin)), stated)).split("Work, in this order")[1]
    assert "too near its limit" not in goes  # by its stamp, whatever it varies by


def test_boxes_name_the_stud_that_the_action_names():
    # No stud is named before it is read clean: named, it would be withdrawn then.
    index = open_finding(do=names.CLEAN_THEN_INDEX)
    assert "another stud may do, and which one that reading says" in causes_do.action(index)
    text = plain(card(index))
    assert "Still over the limit" not in text.partition("Stop: readings")[2]
    assert "one or two holes" not in text
    elsewhere = open_finding(do=names.MEASURE + names.ANOTHER_STUD)
    stud = re.search(r"painted hole on (stud \d)", causes_do.action(elsewhere))[1]
    text = plain(card(elsewhere))
    assert f"Refit with the painted hole on {stud}" in text
    assert f"read on {stud}" in text.split("Read on the day")[1].split("TIR")[0]
    assert "cleaned, fitted" not in text
    again = open_finding(do=names.CLEAN)  # what is read on the day has the name that the order gives it
    assert "cleaned again, stud " in plain(card(again)).split("Read on the day")[1].split("TIR")[0]


def test_what_a_runout_does_not_tell_has_its_box_before_the_rotor_stays_on():
    face = HubFace(15.0, 7.0, 23.0, "below", 64.0, 140.0, 15.0, 7.0)
    for read, told in ((None, " not read: noted"), (face, ": read 15 ± 7 µm (k = 2) at 64 mm")):
        text = plain(card(finding(do=names.LEAVE, hub_face=read)))
        boxes = text.split("Work, in this order")[1].split("Cautions")[0]
        asked = ("no bearing play", "Stamp read and written above", "No crack", f"Bare hub face{told}", "Caliper and")
        places = [boxes.index(what) for what in asked]
        assert places == sorted(places)
        assert "as found" not in text.split("Read on the day")[1].split("TIR")[0]


@pytest.mark.parametrize(("turns", "blanks"), [(1, "____, ____ µm"), (2, "____ µm")])
def test_a_mean_of_several_turns_is_work_with_its_number_and_what_follows(turns, blanks):
    found = finding(do=names.AT_LIMIT, turns=turns)
    boxes = plain(card(found)).split("Work, in this order")[1].split("Cautions")[0]
    assert f"{words.counted(3 - turns, 'turn')} more on stud" in boxes
    assert f"each under the next mount number: {blanks}" in boxes
    over_it = part_goes.over_it(found.told, None, found.limit_um)
    assert f"Over it nothing goes back on: {over_it}." in boxes
    assert boxes.index("nothing goes back on") < boxes.index("Caliper and pads")
    ended = plain(card(replace(found, turns=3))).split("Work, in this order")[1]
    assert f"Mean of 3 turns {said.read_now(found):.0f} µm" in ended
    assert f"nothing goes back on, no box below is worked: {over_it}." in ended
    assert "no bearing play" in ended


def test_a_hub_face_at_its_limit_that_is_read_on_has_its_boxes_and_one_order_on_either_side():
    near = HubFace(24.0, 6.0, 23.0, "too close to tell", 64.0, 140.0, 24.0, 6.0)
    for do, turns in ((names.AT_LIMIT, 1), (names.AT_LIMIT, 3), (names.LEAVE, 1)):
        found = finding(do=do, turns=turns, limit_um=200.0, hub_face=near)
        led = causes_do.action(found)
        assert "leave it there" not in led.lower(), do
        assert led.count("read it twice more") == 1, do
        assert "its bare hub face decides" in led.replace("the bare", "its bare").lower(), do
        boxes = plain(card(found)).split("Work, in this order")[1].split("Cautions")[0]
        assert boxes.index("no bearing play") < boxes.index("Stop"), do
        assert boxes.lower().index("bare clean hub face read twice more") < boxes.index("Stop"), do
        assert "left there" not in boxes, do
    # By one turn of a face the rotor comes off, and goes back for its reading: it did the one, and not the other.
    assert boxes.index("rotor off.") < boxes.index("Bare clean hub face") < boxes.index("Rotor home by hand")
    assert "entered under the next mount number, state 'cleaned'." in boxes


def test_readings_that_a_second_cleaning_overtook_say_that_they_count_no_more():
    again = Again((4,), (2, 3), {}, True)
    text = plain(card(finding(told=replace(finding().told, again=again))))
    assert text.count("counts no more") == sum(one.mount in (2, 3) for one in read_once(FOUR).of("mounted"))


def test_the_back_has_as_many_traces_as_find_room(monkeypatch):
    drawn = []
    monkeypatch.setattr("scenes.pages.job_card.overlay", lambda _, most, **__: drawn.append(most) or "<svg/>")
    found, read = crowded()
    for one, readings in ((finding(), None), (found, read)):
        card(one, readings)
    assert drawn[0] >= 4  # every mounting of the table
    assert 1 <= drawn[1] < drawn[0]


@pytest.mark.parametrize(
    ("do", "alone"),
    [
        (names.CLEAN, act.CLEAN),
        (names.INDEX, act.INDEX),
        (names.RENEW, act.WORN),
        (names.HUB_AND_BEARING, act.HUB),
        (names.READ_AGAIN, act.READ_AGAIN),
        (names.MEASURE + names.ANOTHER_STUD, act.ANOTHER_STUD),
        (names.MEASURE + names.BARE_HUB, act.BARE_HUB),
        (names.MEASURE + names.THICKNESS, act.THICKNESS),
        (names.MEASURE + names.FINER_MICROMETER, act.MICROMETER),
        (names.MEASURE + names.FINER_DIAL, act.FINER),
        (names.MEASURE + names.RETORQUED, act.SPACERS),
        (names.AT_LIMIT, act.AT_LIMIT),
        (names.UNEVEN_COUNTED, act.UNEVEN_COUNTED),
    ],
)
def test_one_act_is_told_in_one_sentence_with_a_case_and_without(do, alone):
    said_of = causes_do.DO[do] if do in causes_do.DO else f"Next: {causes_read.READ[do[len(names.MEASURE) :]]}"
    with_case = re.split(r"[.:{(,]", said_of)
    without = re.split(r"[.:{(,]", mountings.DO[alone])
    told = 1 if do == names.HUB_AND_BEARING else 2  # why the hub goes first is filled in where it was read
    assert with_case[:told] == without[:told]


def test_near_its_discard_thickness_nothing_is_cut_and_no_work_comes_before_it():
    thin = "10.01 mm at its thinnest"
    renew = causes_do.action(finding(do=names.RENEW), thin=thin)
    assert renew.startswith(f"Its thickness comes first: {thin}. Renew the rotor, nothing is left to cut")
    assert "or cut it" not in renew
    assert causes_do.action(finding(do=names.CLEAN), thin=thin).startswith(
        f"Its thickness comes first: {thin}. Only over it: rotor off, clean"
    )


def test_where_no_cut_keeps_what_the_maker_allows_none_is_ordered():
    case, read = replace(CASE, rotor=replace(CASE.rotor, machine_to_thickness_mm=10.8)), read_once(FOUR)
    for least_um, can in ((10850.0, False), (11500.0, True)):
        thick = replace(read.traces[0], kind="thickness", value_um=least_um + np.arange(read.traces[0].angle_deg.size))
        measured = replace(read, traces=(*read.traces, thick))
        close = Uneven(16.0, 3.5, 15.0, turns=5)
        for found in (finding(do=names.RENEW), finding(do=names.UNEVEN_COUNTED, thickness_close=close, varies=close)):
            text = plain(card(found, measured, case))
            assert ("or cut it where its maker allows" in text) is can
            assert ("or cut where their maker allows" in text) is can
            assert ("(a cut would leave about 10.76 mm, its maker allows 10.8 mm at least)" in text) is not can


def test_a_rotor_that_goes_by_its_thickness_goes_on_no_hub_that_is_over_its_own_limit():
    read, over = read_once(FOUR), HubFace(32.0, 7.0, 23.0, "above", 64.0, 140.0, 32.0, 7.0)
    for do in (names.RENEW, names.UNEVEN_COUNTED):
        found = finding(do=do, hub_face=over)
        assert causes_first.first_line(found, read, CASE).endswith(
            f"hub and bearing first; {bare_face.NEW_HUB_BRIEFLY}. No rotor cures a hub."
        )
        if do == names.RENEW:
            of_hub = card_boxes.HUB_BOX.format(unwritten=" (unwritten 23 µm counts)")
            assert card_boxes.part_boxes(found, "") == (of_hub, card_boxes.RENEW_BOX)
        fine = replace(found, hub_face=replace(over, state="below"))
        assert "hub and bearing first" not in causes_first.first_line(fine, read, CASE)
        if do == names.RENEW:  # scale that a brush leaves turns with the rotor too: looked at before one is bought
            assert card_boxes.part_boxes(fine, "") == (card_boxes.SEAT_BOX, card_boxes.RENEW_BOX)


def test_a_stud_that_the_corner_forbids_is_no_next_step():
    read = read_once(FOUR)
    found = open_finding(do=names.LEAVE, by_rule=names.INDEX, rule_studs_turned=1, rule_costs_min=40.0)
    assert "Without the corner's geometry the next step would be: the painted hole on stud 2" in (
        causes_first.first_line(found, read, CASE)
    )
    screw = replace(CASE, studs=replace(CASE.studs, index_positions=(0, 2)))
    assert "Without the corner's geometry" not in causes_first.first_line(found, read, screw)


def test_a_stamp_that_the_case_states_stands_beside_its_field():
    stated = replace(CASE, given=("rotor.minimum_thickness_mm",))
    assert "stamped mm (case file: 10 mm)" in plain(card(finding(), case=stated))
    thick = replace(stated, rotor=replace(stated.rotor, minimum_thickness_mm=11.45))
    assert "stamped mm (case file: 11.45 mm)" in plain(card(finding(), case=thick))
    assert fitting_sheet.stamped(thick) == "11.45\u00a0mm"
    assert "stamped mm (case file" not in plain(card(finding()))


def test_so_little_over_a_stamp_that_is_known_a_rotor_is_renewed():
    leave, thin = finding(do=names.LEAVE), "10.03 mm at its thinnest"
    assert "Renew the rotor" not in causes_do.action(leave, thin=thin)
    assert "keeps it on no longer" in causes_do.action(leave, thin=thin, stated=True)
    for do in (names.LEAVE, names.CLEAN, names.INDEX, names.MEASURE + names.ANOTHER_STUD):
        assert "Renew the rotor, both of the axle" in causes_do.action(finding(do=do), thin=thin, stated=True)
    hub = causes_do.action(finding(do=names.HUB_AND_BEARING), thin=thin, stated=True)
    assert "Renew the rotor, both of the axle, each on a clean hub" in hub
    assert "Hub and bearing first" in hub
    assert hub.index("Hub and bearing first") < hub.index("Then, on the new hub, the rotors")
    boxes = card_boxes.part_boxes(finding(do=names.HUB_AND_BEARING), thin, stated=True)
    assert boxes == (card_boxes.HUB_BOX.format(unwritten=""), card_boxes.NEW_BOX)  # no rotor is read on a hub that goes
    scrap = causes_do.action(finding(do=names.CLEAN), thin="9.95 mm is under it: scrap", stated=True, scrap=True)
    assert "so little over its stamp" not in scrap
    assert scrap.endswith(
        "Both rotors of the axle new, each on a clean hub; read after fitting, in a new table. Nothing is cut."
    )


def test_the_answer_by_machine_calls_a_rotor_that_goes_by_its_own_stamp_what_its_lead_says():
    stated = case_from_text('base = "rear_solid_300"\n[rotor]\nminimum_thickness_mm = 10.0\n')
    read = read_once(FOUR)
    for least_um, case, do in (
        (9960.0, stated, "renew the rotor"),
        (10030.0, stated, "renew the rotor"),
        (9960.0, CASE, "read the stamp"),
        (10800.0, stated, names.CLEAN),
    ):
        thick = replace(read.traces[0], kind="thickness", value_um=least_um + np.arange(read.traces[0].angle_deg.size))
        assert causes_first.called(finding(do=names.CLEAN), replace(read, traces=(*read.traces, thick)), case) == do


def test_the_reading_that_is_next_by_machine_follows_the_act():
    """It named another stud where the words renewed rotor and hub."""
    over = HubFace(39.0, 6.0, 23.0, "above", 64.0, 140.0, 39.0, 6.0)
    for do in (names.RENEW, names.LEAVE, names.UNEVEN_COUNTED, acts.RENEW_IT):
        assert causes_read.reads_next(finding(do=do), do) == (None, None), do
    hub = finding(do=names.HUB_AND_BEARING, hub_face=over)
    assert causes_read.reads_next(hub, hub.do) == (names.BARE_HUB, None)  # once more, as the words say
    read_out = replace(hub, hub_face=replace(over, times=3))
    assert read_out.hub_face.read_out
    assert causes_read.reads_next(read_out, hub.do) == (None, None)
    index = finding(do=names.INDEX)
    assert causes_read.reads_next(index, index.do) == (names.INDEX, index.best_stud)
    stud = finding(do=names.MEASURE + names.ANOTHER_STUD)
    assert causes_read.reads_next(stud, stud.do) == (names.ANOTHER_STUD, causes_read.stud_to_read(stud))


def test_nothing_is_left_on_by_machine_before_it_was_read_clean():
    """`do` was "leave it" beside "clean and read once more" and `next`: "clean"."""
    found = finding(do=names.LEAVE)
    alone = decide(Readings(5, 140.0, 64.0, 10.0, (mounted(0, 1.0, 8.0, 1, "cleaned"), EVEN)), Limits())
    for state, do in (("as found", names.CLEAN), ("cleaned", names.LEAVE)):
        states = (*found.told.states[:-1], replace(found.told.states[-1], state=state))
        told = replace(found, told=replace(found.told, states=states))
        answer = causes_first.by_machine(replace(alone, found=told, case=CASE, read=read_once(FOUR)))
        assert (answer["do"], answer["next"]) == (do, names.CLEAN if do == names.CLEAN else None), state


def test_no_end_is_called_by_machine_that_a_bare_face_still_decides():
    """`done` stood beside the bare hub as the next reading."""
    near = HubFace(22.0, 6.0, 22.9, "too close to tell", 64.0, 140.0, 22.0, 6.0)
    turns = [mounted(0, 1.0, 8.0, 1, "cleaned"), EVEN]
    one = decide(Readings(5, 140.0, 64.0, 10.0, tuple(turns)), Limits())
    read_on = replace(one, act=replace(one.act, hub_face=near))
    for what in (act.DONE, act.AT_LIMIT):
        shown = _stage_one(replace(read_on, act=replace(read_on.act, what=what, turns=3)))
        assert (shown["act"]["what"], shown["next"]) == ("bare hub", "bare hub"), what
    alone = _stage_one(one)
    assert (alone["act"]["what"], alone["next"], alone["next_studs_turned"]) == ("second turn", "second turn", 0)
    twice = _stage_one(decide(Readings(5, 140.0, 64.0, 10.0, (*turns, turns[0])), Limits()))
    assert (twice["act"]["what"], twice["next"]) == ("done", None)
    # With a case what leads is called so too.
    weighed = finding(do=names.LEAVE, hub_face=near, told=one.told)
    answer = causes_first.by_machine(replace(read_on, found=weighed, case=CASE))
    assert (answer["do"], answer["next"]) == (names.MEASURE + names.BARE_HUB, names.BARE_HUB)
    assert answer["act"]["what"] == answer["do"]


def test_a_weighed_share_of_the_rotor_bounds_what_a_new_hub_lets_show():
    over = HubFace(39.0, 6.0, 23.0, "above", 64.0, 140.0, 39.0, 6.0)
    rows = (ranked(names.HUB_FACE, 0.9), ranked(names.ROTOR, 0.1, (9.0, 14.0, 21.0)))
    told = causes_do.action(finding(do=names.HUB_AND_BEARING, hub_face=over, ranked=rows))
    assert "the rotor may run out by itself up to about 21\N{NO-BREAK SPACE}µm." in told


def test_a_rotor_that_goes_by_its_thickness_is_sent_to_no_further_stud():
    more = tuple(NextReading(what, 0, 8.0, 0.1, "it parts") for what in (names.ANOTHER_STUD, names.BARE_HUB))
    read = read_once(FOUR)

    def told(do, um):
        return causes_read.next_rows(finding(do=do, varies=Uneven(um, 5.7, 15.0), next_readings=more), read, CASE)

    assert len(told(names.CLEAN, 5.0)) == 2
    (only,) = told(names.RENEW, 40.0)
    assert "bare clean hub face" in only[0]


def test_a_thin_place_that_was_read_again_alike_is_no_slip():
    slip = ReadingFault("outlier", "thickness, mount 1", (90.0,), 440.0, 9.0, "read 90 degrees again")
    read = replace(read_once(FOUR), faults=(slip,))
    places = np.full(read.traces[0].angle_deg.size, 10400.0)
    places[3] = 9960.0
    thick = replace(read.traces[0], kind="thickness", value_um=places)
    assert not causes_thickness.thinnest(replace(read, traces=(*read.traces, thick)), CASE)
    twice = replace(read, traces=(*read.traces, thick, thick), faults=(replace(slip, answer=CONFIRMED),))
    assert causes_thickness.thinnest(twice, CASE).startswith("9.960 ±")
    assert "scrap" in causes_thickness.too_thin(twice, CASE)


def test_a_slip_that_is_none_has_its_next_act_on_clean_faces_alone():
    turned = Otherwise(ways.MOVED, "mounted", (3,), (0,), 0.6)
    read = finding(do=names.READ_AGAIN, otherwise=(turned,))
    clean = replace(read, told=replace(read.told, states=(replace(read.told.states[-1], state="cleaned"),)))
    dirty = replace(read, told=replace(read.told, states=(replace(read.told.states[-1], state="as found"),)))
    assert "Where it was read and written right: rotor off" in causes_do.action(clean)
    assert "Where it was read and written right" not in causes_do.action(dirty)


@pytest.mark.parametrize(("least_mm", "near"), [(10.013, True), (10.5, False)])
def test_a_rotor_near_its_discard_thickness_is_not_left_on_for_its_runout(least_mm, near):
    read = read_once(FOUR)
    thick = replace(
        read.traces[0], kind="thickness", value_um=1e3 * least_mm + np.arange(read.traces[0].angle_deg.size)
    )
    text = plain(card(finding(do=names.LEAVE), replace(read, traces=(*read.traces, thick))))
    assert ("Its thickness comes first" in text) is near
    assert ("leave it there" in text) is not near
    told = 1 if near else 2  # before the runout, and beside the part set's figure
    assert text.count(f"{least_mm:.3f} ± 0.007 mm (k = 2) at its thinnest") == told
    assert f"thinnest place {least_mm:.3f} ± 0.007 mm (k = 2)" in text  # no blank for it
    assert ("The stamp first: " in text) is not near  # nobody typed it, so it comes before the runout
    assert ("The stamp decides, and its runout keeps no rotor on" in text) is near
    # Every act that it may order has its box: the stamp, then what the stamp decides.
    boxes = text.split("Work, in this order")[1].split("Cautions")[0]
    asked = "at or under it: STOP, the axle's rotors new; over it that figure goes into the case file, ask again"
    assert (asked in boxes) is near
    assert ("Stop: the stamp decides" in boxes) is near
    if near:
        assert boxes.index("Stop: the stamp decides") < boxes.index("Caliper and pads")
        assert "stay" not in text.split("Cautions")[0].replace("the rotor stays on", "")


def test_a_thickness_that_no_reading_tells_from_its_limit_counts_as_over_on_the_card_too():
    close = Uneven(16.0, 3.5, 15.0, turns=5)
    found = finding(do=names.UNEVEN_COUNTED, thickness_close=close, varies=close)
    text = plain(card(found))
    assert "Its thickness reads over its limit by less than this micrometer is sure to, and no more reading" in text
    assert "Thickness varies by 16 ± 4 µm (k = 2; middle of 5 readings a place), limit 15 µm: over it as read" in text
    assert "leave it there" not in text
    assert "Under both limits" not in text
    boxes = text.split("Work, in this order")[1].split("Cautions")[0]
    assert boxes.index("Thickness counted as over: the rotors go") < boxes.index("Caliper and pads")


def test_a_thickness_that_counts_neither_way_has_its_box_where_the_rotor_stays_on():
    near = finding(do=names.LEAVE, varies=Uneven(13.1, 2.9, 15.0, turns=5))
    boxes = [one.what for one in card_boxes.checks(near, "")]
    assert any("13 ± 3 µm, at its limit of 15 µm: neither over nor under" in one for one in boxes)


def test_work_that_the_case_states_begins_at_a_car_that_stands_as_it_was_read():
    """A stuck caliper and a hub over its limit as given: no stands on the card, and "leave it there" under the hub."""
    case = case_from_text(
        'base = "rear_solid_300"\n[hub]\nface_runout_um = 45.0\n[caliper]\nsticking_inboard_n = 300\n'
    )
    found, read = finding(do=names.LEAVE), read_once(FOUR)
    led = causes_first.first_line(found, read, case)
    assert "What leads here decides whether it stays. That is the runout alone" in led
    assert "leave it there" not in led.lower()
    boxes = plain(card(found, case=case)).split("Work, in this order")[1].split("Cautions")[0]
    assert boxes.index("As read last: car on stands") < boxes.index("Caliper, it sticks as given")
    assert (
        boxes.index("Hub, over its limit as given")
        < boxes.index("Stop: readings into the file")
        < boxes.index("Wheel on")
    )
    assert "leave it there" in causes_first.first_line(found, read, CASE)


def test_the_unit_of_a_turn_that_leaves_a_rotor_on_has_its_box_unless_a_feeler_told_it():
    """A table in hundredths ended in caliper and wheel: what the lead asks of the dial was on no box."""
    read = read_once(FOUR)
    untried = replace(read, traces=tuple(replace(one, feeler_um=None) for one in read.traces))
    for readings, asked in ((read, False), (untried, True)):
        boxes = plain(card(finding(do=names.LEAVE), readings)).split("Work, in this order")[1].split("Cautions")[0]
        assert ("0.1 mm feeler under the tip, read off as each turn was: ____" in boxes) == asked
    assert boxes.index("0.1 mm feeler") < boxes.index("Caliper and pads")


def test_what_is_renewed_has_its_box():
    boxes = {do: plain(card(finding(do=do))).split("Work, in this order")[1].split("Cautions")[0] for do in ACTIONS}
    assert {do for do, text in boxes.items() if "Both rotors of the axle: new, or cut" in text} == {names.RENEW}
    assert {do for do, text in boxes.items() if "hub or bearing renewed" in text} == {names.HUB_AND_BEARING}
    assert boxes[names.RENEW].index("Both rotors") < boxes[names.RENEW].index("Rotor home by hand")


def test_scale_that_a_scraper_took_is_read_on_the_same_stud_before_a_rotor_is_bought():
    """The straight edge found scale, a scraper took it, and the next box bought two rotors."""
    boxes = plain(card(finding(do=names.RENEW))).split("Work, in this order")[1].split("Cautions")[0]
    scraped = boxes.index("Where there was some, a scraper or a stone takes it; back on the same stud, read, ask again")
    assert scraped < boxes.index("no rotor is bought before that") < boxes.index("Both rotors of the axle")


@pytest.mark.parametrize("times", [1, 3])
def test_a_new_hub_is_read_bare_before_a_rotor_covers_it(times):
    face = HubFace(39.0, 6.0, 23.0, "above", 64.0, 140.0, 39.0, 6.0, times=times)
    text = plain(card(finding(do=names.HUB_AND_BEARING, hub_face=face)))
    boxes = text.split("Work, in this order")[1].split("Cautions")[0]
    read = boxes.index("its bare face first, ____ µm: over its limit stop, no rotor goes on it")
    assert boxes.index("hub or bearing renewed") < read < boxes.index("Rotor home by hand")


@pytest.mark.parametrize(
    ("hub", "rows"),
    [("bearing_end_float_um = 150", ("read on stud",)), ("face_runout_um = 45.0", ("hub face, clean", "cleaned, fit"))],
)
def test_a_reading_that_a_bearing_or_a_hub_asks_for_has_its_box_and_its_rows(hub, rows):
    """The card said "read again. Stop: readings into the file", with no box to read at and no row to write in."""
    text = plain(card(finding(do=names.LEAVE), case=case_from_text(f'base = "rear_solid_300"\n[hub]\n{hub}\n')))
    boxes, day = (text.split(head)[1] for head in ("Work, in this order", "Read on the day"))
    asked = (
        "As read last",
        "no bearing play",
        "rotor off",
        "Rotor home by hand",
        "crosswise",
        "Read the runout",
        "Stop: ",
    )
    places = [boxes.index(one) for one in asked]
    assert places == sorted(places)
    assert all(row in day.partition("Done by")[0] for row in rows)
    alone = plain(card(finding(do=names.LEAVE)))
    assert "read on stud" not in alone.split("Read on the day")[1].partition("Done by")[0]


def test_what_cannot_be_told_apart_is_named_and_not_blamed():
    text = said.verdict(open_finding())
    assert "Cannot tell apart: dirt on the hub" in text
    assert "hub face runout" in text
    assert "None of them is blamed" in text
    assert "Found" not in text
    told = said.verdict(finding())
    assert told.startswith("Found: dirt on the hub")
    assert "nearest stud 2" in told
    strange = finding(finding=None, none_fits=True, misfit_share=0.002, do=names.READ_AGAIN)
    assert "No cause in the list" in said.verdict(strange)
    assert "no cause in the list draws such traces" in causes_do.action(strange)
    # Nothing that was weighed is shown as an answer where no cause fits.
    text = plain(card(strange))
    assert "has the largest share" not in text
    assert "86 %" not in text
    assert "what if" not in text
    doubts = ("mounted, mount 2: read 60 degrees again",)
    assert "contradict" in said.verdict(strange, doubts)
    assert doubts[0] in causes_do.action(strange, doubts)


def test_a_thickness_that_varies_is_said_beside_its_limit_whatever_the_runout():
    text = plain(card(finding(do=names.RENEW, varies=Uneven(25.0, 5.7, 15.0))))
    assert "Thickness varies by 25 ± 6 µm (k = 2; one reading a place), limit 15 µm: over it." in text
    assert causes_thickness.thickness(finding()) == ""
    near = causes_thickness.thickness(finding(do=names.CLEAN, varies=Uneven(13.0, 7.0, 15.0, taken_um=5.0)))
    assert "taken as read with 5 µm a division" in near
    assert near.endswith("under it as read, too near to tell. Before the rotor is left on or renewed every place is "
                         "read 3 times.")  # fmt: skip
    mean = causes_thickness.thickness(finding(do=names.CLEAN, varies=Uneven(15.2, 3.5, 15.0, turns=3)))
    assert "at it as read, too near to tell. No more reading by this micrometer is asked: it counts neither" in mean
    ended = causes_thickness.thickness(finding(do=names.CLEAN, varies=Uneven(15.6, 3.5, 15.0, turns=5)))
    assert "middle of 5 readings a place" in ended
    assert ended.endswith("over it as read, too near to tell. No more reading by this micrometer is asked: before the "
                          "rotor is left on it counts as over.")  # fmt: skip


def test_dirt_that_fell_off_or_lies_on_both_faces_is_said_where_it_is_likelier_than_not():
    assert "was gone or had moved once the rotor was off, nothing cleaned (60 %)" in plain(
        said.verdict(finding(fell_off=0.6))
    )
    assert "on both faces, hub and rotor (70 %)" in plain(said.verdict(finding(on_both=0.7)))
    assert said.where_dirt_lay(finding(fell_off=0.3, on_both=0.3)) == ""


def test_a_hub_over_its_limit_is_its_own_reason_and_one_that_nobody_read_is_said():
    over = HubFace(32.0, 7.0, 23.0, "above", 64.0, 140.0, 32.0, 7.0)
    assert causes_why.because(finding(do=names.HUB_AND_BEARING, hub_face=over), CASE) == ""
    open_over = open_finding(do=names.HUB_AND_BEARING, hub_face=over)
    verdict = said.verdict(open_over)  # one voice: nobody reads "none is blamed" beside an order for the hub
    assert verdict.startswith("The hub is over its limit by its bare face's own reading.")
    assert "blamed" not in verdict
    assert "only hide" not in verdict
    assert "None of them is blamed" in said.verdict(replace(open_over, do=names.CLEAN))
    wavy = said.verdict(replace(open_over, hub_face=replace(over, lean_um=9.0)))
    assert wavy.startswith("The bare hub face has two humps a turn")
    assert "Most likely" not in wavy
    assert "the best of those not tried" in causes_why.because(finding(do=names.HUB_AND_BEARING), CASE)
    every = finding(do=names.RENEW, tried=(0, 1, 2, 3, 4))
    assert "no other stud is expected to do better" in causes_why.because(every, CASE)
    sure = replace(finding().after[0], below=0.99)
    for do in (names.LEAVE, names.MEASURE + names.THICKNESS):
        on = finding(do=do, after=(sure, *finding().after[1:]))
        assert "was not read" in causes_do.action(on)
        assert "was not read" not in causes_do.action(replace(on, hub_face=replace(over, state="below")))
    assert "If it still shakes: the other side" in causes_do.action(finding(do=names.LEAVE))
    close = replace(over, state="too close to tell")
    near = causes_do.action(finding(do=names.LEAVE, hub_face=close))
    assert near.startswith(
        "Whether it stays its bare hub face decides, held against its own limit. The bare hub face is at"
    )
    assert "is done: leave" not in near
    assert "read it twice more with the finest dial at hand" in near
    ended = finding(do=names.LEAVE, hub_face=replace(close, times=3, stated=True))
    told = causes_do.action(ended).replace("\u00a0", " ")
    assert told.startswith("The runout is done: on clean faces it runs out 30 µm on stud 3, under the limit")
    assert "leave it there" in told
    assert (
        "at its limit, 32 ± 7 µm (k = 2; read 3 times alike), limit 23 µm, and no more reading is asked: it counts"
        in told
    )
    box = card_boxes._hub_check(ended.hub_face)
    assert "32 ± 7 µm (k = 2) at 64 mm, at its limit of 23 µm: neither over nor under. Noted" in box.replace(
        "\u00a0", " "
    )
    goes = replace(ended, do=names.HUB_AND_BEARING)
    assert causes_do.action(goes).startswith("Hub and bearing: the bare hub face is at its limit, 32 ± 7")
    assert "counted as over, unless the vehicle maker's limit, ____ µm, is higher" in card_boxes.part_boxes(goes, "")[0]
    assert "is over its limit" not in said.verdict(replace(open_over, hub_face=ended.hub_face))


def test_a_second_cleaning_has_a_name_in_the_table_and_says_what_it_is_for():
    """Under one name with the first it would be ordered again and again."""
    left = DirtLeft(0.2, True, (10.0, 20.0, 30.0), 1.0, 2)
    found = finding(do=names.CLEAN, dirt_left=left, by_rule=names.CLEAN)
    assert "(next mount number, state cleaned again)" in causes_do.action(found)
    assert acts.SEAT not in causes_do.action(found)
    assert acts.SEAT in causes_do.action(replace(found, dirt_left=replace(left, counts=False)))


def test_near_its_limit_a_card_says_that_a_pass_is_of_this_mounting():
    near = finding(do=names.LEAVE)
    last = replace(near.told.states[-1], state="cleaned", read_um=(40.0,), counted_um=(40.0,), positions=(0,))
    near = replace(near, told=replace(near.told, states=(*near.told.states[:-1], last)))
    text = causes_first.first_line(near, read_once(FOUR), CASE)
    assert "That is of this mounting: another may read up to 14" in text
    low = replace(near, told=replace(near.told, states=(replace(last, read_um=(20.0,), counted_um=(20.0,)),)))
    assert "another may read" not in causes_first.first_line(low, read_once(FOUR), CASE)


def test_sizes_have_their_place_and_what_was_cleaned_off_is_drawn_as_it_was():
    text = plain(card(finding()))
    assert "its share at the rotor's dial if there, 80 %" in text
    assert "hub face runout (else 23 µm at 64 mm)" in text.replace("  ", " ")
    assert "high spot of dirt on the hub, before it was cleaned" in text
    read_um = round(finding().told.states[-1].read_um[-1])
    assert f"as it is (the dial: {read_um} µm)" in text


def test_a_cases_scale_on_the_spigot_comes_before_every_reading():
    scaled = replace(CASE, spigot_scale=(SpigotScale(height_um=115.0),))
    assert "scale on the spigot, which is left out here" in plain(card(finding(do=names.LEAVE), case=scaled))
    assert "scale on the spigot, which is left out" not in plain(card(finding(do=names.LEAVE)))


@pytest.mark.parametrize("do", [names.CLEAN, names.RETORQUE, names.LEAVE])
def test_no_nut_is_tightened_on_the_card_before_the_rotor_is_off_its_scale(do):
    """Loose nuts and scale: it held the rotor by its nuts, to the maker's torque, and read it so."""
    scaled = replace(CASE, studs=Studs(torque_nm=2.0), spigot_scale=(SpigotScale(height_um=115.0),))
    card_said = plain(card(finding(do=do), case=scaled))
    first, off, then = card_said.partition("Retaining screw off, rotor off.")
    assert off
    assert "to the maker's torque" not in first
    assert "crosswise" not in first
    assert "no nut is tightened before the scale is off the spigot" in first
    assert "to the maker's torque" in then


def test_the_same_stud_for_another_reason_is_no_other_step():
    elsewhere = open_finding(do=names.MEASURE + names.ANOTHER_STUD, by_rule=names.INDEX, rule_studs_turned=3)
    there = re.search(r"painted hole on stud (\d)", causes_do.action(elsewhere))[1]
    assert "Without the corner's geometry" in causes_do.action(elsewhere)
    same = replace(elsewhere, rule_studs_turned=int(there) - 1)
    assert "Without the corner's geometry" not in causes_do.action(same)


def test_a_warp_that_is_found_is_a_hint_from_two_humps():
    warp = finding(finding=names.WARP, ranked=(ranked(names.WARP, 0.9), *finding().ranked[1:]))
    assert "Two humps are a hint, no proof: dirt or rust on its seat draws them too" in said.verdict(warp)


@pytest.mark.parametrize(
    ("more_min", "said_so"), [(0.9, "about 1 minute more"), (2.2, "about 2 minutes more"), (0.2, "nothing")]
)
def test_one_minute_is_one_minute(more_min, said_so):
    found = open_finding(
        do=names.LEAVE, by_rule=names.MEASURE + names.BARE_HUB, rule_studs_turned=0, rule_costs_min=more_min
    )
    assert said_so in causes_why.by_rule(found)


def test_what_is_counted_over_draws_is_never_certain():
    sure = finding(do=names.LEAVE, ranked=(replace(finding().ranked[0], probability=1.0),))
    assert "over 99" in said.verdict(sure)
    assert "100" not in said.verdict(sure)
    assert "(probability" in causes_do.action(sure)
    assert "cleaned before the last reading" in said.verdict(sure)


def test_a_part_that_must_go_says_why_and_a_share_that_may_be_nought_says_so():
    read, clean = read_once(FOUR), "Why: it was read over the limit clean, and on stud"
    for varies, said_why in (
        (Uneven(30.0, 6.0, 15.0), "Why: its thickness varies by 30 ± 6 µm, over 15 µm"),
        (Uneven(17.0, 6.0, 15.0), clean),  # near its limit it is no reason: "varies by 20 µm, over 15 µm", of ± 7
        (None, clean),
    ):
        text = plain(card(finding(do=names.RENEW, varies=varies), read)).replace("\xa0", " ")
        assert "Renew the rotor, or cut it where its maker allows" in text
        assert said_why in text
    found = finding(ranked=(ranked(names.HUB_DIRT, 0.9, (0.2, 40.0, 79.0)),))
    assert "its share: up to 79 µm, how much of it is not known" in said.verdict(found).replace("\xa0", " ")


def test_one_cause_that_is_likeliest_and_not_found_says_what_is_lacking():
    likely = {"finding": None, "cannot_tell": (names.HUB_DIRT,)}
    few = finding(**likely, ranked=(ranked(names.HUB_DIRT, 0.995),), effective_columns=4.0)
    assert "only about 4 of the patches" in said.verdict(few)
    assert "99" not in said.verdict(few)
    short = finding(**likely, ranked=(ranked(names.HUB_DIRT, 0.82),))
    assert "(82 %; 85 % is wanted to call it found)" in said.verdict(short).replace("\xa0", " ")
    again = replace(few, do=names.READ_AGAIN)
    assert said.verdict(again, ("mount 2: read 60 degrees again",)).startswith(said.STILL_OPEN)
    assert said.ranked_rows(few)
    assert said.ranked_rows(again) == []


def test_nothing_is_left_on_that_was_never_read_clean():
    told = finding().told
    dirty = replace(told, states=tuple(one for one in told.states if one.state == "as found"))
    as_found, clean = (finding(do=names.LEAVE, told=one) for one in (dirty, told))
    said = causes_do.action(clean, limit="50 µm").replace("\xa0", " ")
    assert said.startswith("The runout is done: on clean faces it runs out 30 µm on stud 3, under the limit, 50 µm")
    assert "Without it leave it there" in said
    assert causes_do.action(as_found, limit="50 µm").startswith("Clean and read once more")
    assert {"clean", "rotor off"} <= set(causes_work.work_keys(as_found))
    assert "clean" not in causes_work.work_keys(clean)


def test_it_names_no_one_safe_and_a_pass_clears_nothing():
    for found in (finding(), finding(do=names.LEAVE), open_finding()):
        text = plain(card(found))
        assert "No reading says that the car is safe" in text
        assert "A pass does not clear the fitting" in text
        assert "vehicle maker's" in text
        assert "Signature" in text
        assert not re.search(r"\bis safe\b(?<!car is safe)|roadworthy|guarantee", text)


@pytest.mark.parametrize(("held", "warned"), [("bare nuts", True), ("", True), ("nuts and spacers", False)])
def test_a_small_reading_under_few_nuts_clears_no_hub(held, warned):
    read = read_once(FOUR)
    small = [replace(trace, value_um=trace.value_um * 0.1, clamped_by=held) for trace in read.traces]
    assert (plain(words.SMALL_READING) in plain(card(finding(), replace(read, traces=tuple(small))))) == warned
    assert "clears no hub" not in plain(card(finding(), read))  # it runs out over its limit


def test_readings_stand_on_it_as_the_dial_showed_them():
    read = read_once(FOUR)
    text = plain(card(finding(), read))
    for trace in read.of("mounted"):
        row = " ".join(words.mark(round(value)) for value in trace.value_um)
        assert row in text


def test_bolts_are_called_bolts_and_a_title_does_no_harm():
    case = Case(title="<script>x</script>", studs=Studs(fastener="wheel bolt"))
    html = card(finding(), case=case)
    assert "<script>" not in html
    assert "impact gun: one bolt pulled" in plain(html)


def crowded():
    """The most that finds room: nine turns of readings, slips, every row of causes, three readings that would tell."""
    read = read_once(FOUR)
    many = (*read.traces, *read.of("mounted"))[:9]
    notes = ("mounted, mount 2: the reading at 120 degrees stands out by 60 um; read that place again " * 2,) * 3
    more = tuple(NextReading(what, 2, 15.0, 0.2, "parts dirt from the face under it") for what in MENU[:3])
    causes = tuple(ranked(name, 0.1) for name in names.CAUSES)
    found = open_finding(
        ranked=causes,
        cannot_tell=names.CAUSES[:8],
        next_readings=more,
        do=names.CLEAN_THEN_INDEX,
        fitted=tuple(fitted(trace) for trace in read.of("mounted")),
    )
    return found, replace(read, traces=many, notes=notes)


@pytest.mark.browser
@pytest.mark.parametrize("which", ["crowded", "bolts", "uneven", "stated"])
@pytest.mark.usefixtures("open_printer")
def test_it_prints_on_both_sides_of_one_sheet(tmp_path, which):
    case, read = Case(axle="rear", studs=Studs(fastener="wheel bolt")), read_once(FOUR)
    thin = replace(read.traces[0], kind="thickness", value_um=10013.0 + np.arange(read.traces[0].angle_deg.size))
    over, told = HubFace(32.0, 7.0, 23.0, "above", 64.0, 140.0, 32.0, 7.0), finding().told
    as_found = on_the_ground(told)  # the longest list of boxes, under the longest order
    found = open_finding(
        do=names.HUB_AND_BEARING, hub_face=over, told=as_found, also=(act.BARE_HUB,), by_rule=names.RENEW,
        varies=Uneven(26.0, 6.0, 15.0) if which == "uneven" else Uneven(14.0, 6.0, 15.0),
    )  # fmt: skip
    read = replace(read, traces=(*read.traces, thin))
    if which == "crowded":
        case, (found, read) = CASE, crowded()
    if which == "stated":  # what a case states brings boxes and cautions of its own
        found = finding(told=as_found)
        case = case_from_text(
            'base = "rear_solid_300"\n[studs]\nroad_torque_nm = [140, 60, 140, 140, 140]\n[pads]\nthickness_mm = 1.5\n'
            "[caliper]\nsticking_inboard_n = 400\n[hub]\nbearing_end_float_um = 150\nface_runout_um = 60\n"
        )
    page = tmp_path / "job_card.html"
    page.write_text(card(found, read, case), encoding="utf-8")
    pages = PdfReader(pdf.to_pdf(page, tmp_path / "job_card.pdf")).pages
    front, back = (printed.look(page) for page in pages)  # all that is acted on, written and signed is in front
    assert "Signature" in front.text
    assert "hub face, clean" in " ".join(front.text.split())
    assert "As read" in back.text
    assert front.too_small + back.too_small == ()


def test_a_turn_of_many_places_is_told_by_its_spread():
    read = read_once(FOUR)
    fine = replace(read.traces[-1], angle_deg=np.arange(0.0, 360.0, 5.0), value_um=np.linspace(0.0, 123.0, 72))
    text = plain(card(finding(), replace(read, traces=(*read.traces, fine))))
    assert "123 µm" in text


@pytest.mark.parametrize(
    ("table", "box", "stops"),
    [
        ("[caliper]\nsticking_inboard_n = 300", card_boxes.CALIPER_BOX, False),
        ("[pads]\nthickness_mm = 1.9", card_boxes.PADS_BOX, False),
        ("[hub]\nbearing_end_float_um = 60", card_boxes.BEARING_BOX, True),
        ("[rotor]\nbore_diameter_mm = 72.6", card_boxes.PART_BOX, True),
    ],
)
def test_what_a_case_states_beside_its_nuts_has_a_box_and_stops_where_no_reading_counts(table, box, stops):
    """Who ticked boxes drove on readings that "clear nothing": a loose bearing stood in the lead alone."""
    case = case_from_text(f'base = "rear_solid_300"\n{table}\n')
    made = card_stages.ordered(finding(do=names.LEAVE), read_once(FOUR), case, "")
    stages = card_stages.card_stages(made, read_once(FOUR), case, "")
    listed = [work.what for stage in stages for work in stage.works]
    assert box in listed
    assert (card_boxes.ASK_AGAIN in listed) is stops
    assert any(work.startswith(card_boxes.CRACKS_CHECK[:12]) for work in listed) is not stops  # nothing stays on yet


def test_a_second_cleaning_that_no_probability_orders_says_what_does():
    """ "Dirt that cleaning may have left (probability under 1 %) is cleaned off": on under 1 %."""
    left = DirtLeft(0.2, True, (10.0, 20.0, 30.0), 1.0, 2)
    under = (replace(finding().after[0], below=0.95), *finding().after[1:])
    found = finding(do=names.CLEAN, dirt_left=left, by_rule=names.CLEAN, after=under)
    assert "Dirt that cleaning may have left (probability 20" in causes_do.action(found)
    hardly = replace(found, dirt_left=replace(left, probability=0.004))
    assert "may have left" not in causes_do.action(hardly)
    assert "dirt hardly stayed (probability under 1" in causes_do.action(hardly)
    beyond = replace(hardly.told, stayed_beyond=replace(hardly.told.states[-1].sum[1], told=True))
    assert "than its bare face explains" in causes_do.action(replace(hardly, told=beyond))


def test_nothing_comes_second_where_readings_alone_order_nothing():
    """ "The next step would be: nothing, it is neither done nor over. Here it comes second"."""
    found = open_finding(do=names.MEASURE + names.ANOTHER_STUD, by_rule=names.AT_LIMIT, rule_studs_turned=0)
    said_so = causes_why.by_rule(found)
    assert "it would end here: neither done nor over. It does not: " in said_so
    assert "comes second" not in said_so


def test_a_second_cleaning_behind_a_slip_that_is_none_has_the_bare_face_read_in_the_same_go():
    """It was cleaned, and came off twice more for its bare face: no turn of that stood since."""
    turned = Otherwise(ways.MOVED, "mounted", (3,), (0,), 0.6)
    read = finding(do=names.READ_AGAIN, otherwise=(turned,))
    read = replace(read, told=replace(read.told, states=(replace(read.told.states[-1], state="cleaned"),)))
    face = HubFace(5.0, 6.0, 22.9, "below", 64.0, 140.0, 11.0, 6.0)
    for alike, asked in ((1, True), (2, False)):
        action = causes_do.action(replace(read, hub_face=replace(face, times=alike, turns=alike)))
        assert "Where it was read and written right: rotor off" in action
        assert ("read the bare hub face once more too (state cleaned again)" in action) is asked
