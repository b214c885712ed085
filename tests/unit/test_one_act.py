"""Readings alone and with a case order the same act, unless the probabilities expect to save more than that."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from scenes.command import cure
from scenes.words import (
    card_boxes,
    causes_do,
    causes_first,
    causes_read,
    causes_thickness,
    causes_why,
    causes_work,
    mountings,
)
from scenes.words import causes as said
from scenes.words.words import chance
from sim import advice
from sim.bench import next_act as rule
from sim.bench.cleaned_again import settled
from sim.bench.mountings import told_apart
from sim.bench.next_act import next_act
from sim.bench.told_by_mountings import Again
from sim.causes import names
from sim.causes.answer import DirtLeft
from sim.causes.finding import weigh
from sim.causes.one_act import CLOSE_MIN, ENDS, NAMED, PARTS, agreed, alike, first_step, held, same_step
from sim.causes.ordered import _a_stud_first, _hub_by_itself, _not_where_it_sits
from sim.causes.what_if import Cures
from sim.files.dial_readings import Readings, Trace, parse
from sim.files.reading_faults import ReadingFault
from sim.parts.dial import Dial, share_below
from tests.unit.causes_corner import ANGLES, CASE, Corner, dirt_orders, orders

pytestmark = pytest.mark.usefixtures("fewest_seatings")
PATCH = {"angle_deg": 130.0, "arc_deg": 20.0, "inner_radius_mm": 58.0, "outer_radius_mm": 66.0}
HUB, ROTOR = orders(14.0 * np.exp(0.4j)), orders(12.0 * np.exp(-2.0j))


def act(read):
    """What readings alone order, as `weigh` asks them."""
    return next_act(read, told_apart(*settled(read)), CASE.limits)


def corners():
    """Small runout as found; dirt, read as found, on another stud, cleaned."""
    dirt = dirt_orders(**PATCH, height_um=110.0)
    yield Corner(2, hub=HUB, rotor=ROTOR).mounted(0)
    yield Corner(3, between=dirt).mounted(0)
    yield Corner(3, between=dirt).mounted(0).mounted(2)
    yield Corner(3, between=dirt).mounted(0).mounted(2).mounted(0, "cleaned")


def test_both_order_the_same_first_step_and_studs():
    """The thickness first, then clean: as found every other way leads through cleaning."""
    steps = []
    for corner in corners():
        read = corner.readings()
        found, ordered = weigh(read, CASE), act(read)
        steps.append((found.do, ordered.what))
        assert same_step(found.do, ordered, said.read_clean(found))
        assert causes_why.by_rule(found) == ""
        assert found.rule_costs_min is None
        if first_step(found.do, False) == names.CLEAN and not said.read_clean(found):
            assert causes_read.back_on(found) == ordered.studs_turned
    thickness = names.MEASURE + names.THICKNESS
    assert steps == [(thickness, "thickness")] * 4


def test_as_found_no_other_stud_is_read_once_the_thickness_is_known():
    """What is read clean decides."""
    corner = Corner(3, between=dirt_orders(**PATCH, height_um=110.0)).mounted(0).thickness()
    read = corner.readings()
    found, ordered = weigh(read, CASE), act(read)
    assert ordered.what == "clean"
    assert first_step(found.do, False) == names.CLEAN
    assert causes_why.by_rule(found) == ""
    # Tightened again costs less than a brush and is no reason to leave the faces dirty.
    spent = {names.RETORQUE: 30.0, names.CLEAN: 40.0, names.CLEAN_THEN_INDEX: 46.0}
    assert agreed(names.RETORQUE, ordered, False, spent, (names.RETORQUE, names.CLEAN))[0] == names.CLEAN
    # A reading that pays more than a little is not pushed aside by a brush.
    inboard = names.MEASURE + names.INBOARD
    assert agreed(inboard, ordered, False, spent | {inboard: 20.0}, tuple(spent))[0] == inboard


def test_a_reading_that_the_rule_orders_leads_where_it_pays():
    read = Corner(3, hub=orders(40.0)).mounted(0, "cleaned").thickness().readings()
    ordered, another = act(read), names.MEASURE + names.ANOTHER_STUD
    assert ordered.what == "another stud"
    for cost, leads in ((39.0, another), (41.0, names.INDEX)):
        spent = {names.INDEX: 40.0, another: cost}
        assert agreed(names.INDEX, ordered, True, spent, tuple(spent))[0] == leads


def test_the_rule_leads_where_it_is_as_good_and_else_its_cost_is_said():
    read = Corner(3, between=dirt_orders(**PATCH, height_um=110.0)).mounted(0).mounted(2).thickness().readings()
    ordered = act(read)
    assert ordered.what == "clean"
    bare = names.MEASURE + names.BARE_HUB
    for more, leads in ((CLOSE_MIN - 1.0, names.CLEAN), (CLOSE_MIN + 20.0, bare)):
        spent = {names.CLEAN: 40.0 + more, names.CLEAN_THEN_INDEX: 300.0, bare: 40.0}
        todo, costs = agreed(bare, ordered, False, spent, tuple(spent))
        assert (todo, costs) == (leads, None if leads == names.CLEAN else more)
    # Cleaning first is one step, whatever comes behind it.
    spent = {names.CLEAN: 300.0, names.CLEAN_THEN_INDEX: 41.0, bare: 40.0}
    assert agreed(bare, ordered, False, spent, (names.CLEAN,)) == (names.CLEAN, None)
    differs = replace(weigh(read, CASE, menu=False), do=bare, by_rule=names.CLEAN, rule_costs_min=35.0)
    assert "the next step would be: clean and read again" in causes_do.action(differs)
    assert "(judgement), it is expected to cost about 35 minutes more" in causes_do.action(differs)


NAMES = rule.ENDS + (
    rule.BARE_HUB,
    rule.SPACERS,
    rule.MICROMETER,
    rule.CLEAN_AGAIN,
    rule.INDEX,
    rule.BACK,
    rule.ANOTHER_STUD,
)


def test_of_a_clean_corner_nothing_is_left_on_moved_or_bought_before_readings_alone_would():
    """One rule for both doors: whatever the probabilities expect, and as found only the first step counts."""
    read = Corner(3, hub=orders(40.0)).mounted(0, "cleaned").thickness().readings()
    ordered = act(read)
    for what in NAMES:
        one = replace(ordered, what=what)
        for todo in (*ENDS, names.INDEX, *PARTS):
            do = held(todo, one, True)
            # The chance of a stud that nobody tried is said; one that was read not over the limit comes first.
            may = todo in PARTS and what in (rule.INDEX, rule.ANOTHER_STUD)
            may = may or (todo not in ENDS and what == rule.CLEAN_AGAIN)  # nobody cleans again and again
            assert do == (todo if may else do)
            assert may or alike(do, NAMED[what], True), (what, todo)
        assert held(names.LEAVE, one, False) == names.LEAVE  # said as "clean and read once more"
        assert held(names.MEASURE + names.RADIAL, one, True) == names.MEASURE + names.RADIAL
        assert held(names.CLEAN, one, True) == names.CLEAN
    for todo in PARTS:  # the rule has no more to say, the shares choose the part
        assert held(todo, replace(ordered, what=rule.OPEN), True) == todo


MORE = names.MEASURE + names.FINER_MICROMETER


def uneven_at(tir_um, step_um, state, turns):
    """A corner read in this state, its thickness so often at every place: the second turn a micrometre more, ..."""
    value = 11801.0 + tir_um / 2 * np.cos(np.radians(ANGLES))
    off = (0.0, 1.0, -1.0)
    thick = [Trace("thickness", 1, 0, ANGLES, value + off[k % 3], None, state, "", "", step_um) for k in range(turns)]
    made = (
        Corner(2).mounted(0, state).mounted(0, state) if state == "cleaned" else Corner(2, hub=orders(40.0)).mounted(0)
    )
    read = made.readings()
    return replace(read, traces=(*read.traces, *thick))


@pytest.mark.parametrize(
    ("tir_um", "step_um", "state", "do", "what"),
    [
        (11.0, None, "cleaned", MORE, "finer micrometer"),
        (14.0, None, "cleaned", MORE, "finer micrometer"),
        (10.0, 1.0, "cleaned", names.LEAVE, "done"),
        (12.0, 1.0, "cleaned", MORE, "finer micrometer"),
        (21.5, 1.0, "cleaned", names.RENEW, "worn"),
        (40.0, None, "cleaned", names.RENEW, "worn"),
        # Before it is cleaned one that reads over its limit is read again: it may spare the rest.
        (19.0, None, "as found", MORE, "finer micrometer"),
        (13.0, None, "as found", names.CLEAN, "clean"),
        (19.0, 1.0, "as found", MORE, "finer micrometer"),
    ],
)
def test_a_thickness_near_its_limit_is_read_three_times_as_finely_as_can_be(tir_um, step_um, state, do, what):
    """A micrometer of 5 um is sure to 7 um, one of 1 um to 6: within that nothing is done and nothing bought."""
    read = uneven_at(tir_um, step_um, state, 1)
    found = weigh(read, CASE)
    ordered = next_act(read, found.told, CASE.limits)
    assert (first_step(found.do, state == "cleaned"), ordered.what) == (do, what)
    texts = [causes_do.action(found), mountings.lead(found.told, ordered, ())]
    if what == "finer micrometer":
        asked = "at the same places twice more" if step_um else "every place 3 times"
        assert all(asked in text and "further lines" in text for text in texts)
        assert all(("column dial_um" in text) is (step_um is None) for text in texts)
    assert mountings.thickness_line(ordered).startswith(f"Thickness varies by {tir_um:.0f} ± ")
    assert "limit 15\u00a0µm" in causes_thickness.thickness(found)


@pytest.mark.parametrize(
    ("tir_um", "step_um", "state", "turns", "do", "what"),
    [
        (17.0, 1.0, "cleaned", 2, MORE, "finer micrometer"),
        (12.0, 1.0, "cleaned", 3, names.LEAVE, "done"),
        (14.0, 1.0, "cleaned", 3, names.LEAVE, "done"),
        (17.0, 1.0, "as found", 3, MORE, "finer micrometer"),
        (17.0, 1.0, "as found", 5, names.UNEVEN_COUNTED, "thickness counts as over"),
        (13.0, 1.0, "as found", 3, names.CLEAN, "clean"),
        (13.0, 1.0, "cleaned", 5, names.LEAVE, "done"),
        (20.0, 1.0, "as found", 3, names.RENEW, "worn"),
        # A coarse micrometer, and one whose lines do not say: an end too, as every place was read so often.
        (17.0, 5.0, "cleaned", 5, names.UNEVEN_COUNTED, "thickness counts as over"),
        (17.0, None, "cleaned", 6, names.UNEVEN_COUNTED, "thickness counts as over"),
        (15.0, None, "cleaned", 3, names.LEAVE, "done"),
    ],
)
def test_a_thickness_read_three_times_a_place_comes_to_an_end(tir_um, step_um, state, turns, do, what):
    read = uneven_at(tir_um, step_um, state, turns)
    found = weigh(read, CASE)
    ordered = next_act(read, found.told, CASE.limits)
    assert (first_step(found.do, state == "cleaned"), ordered.what) == (do, what)
    assert ordered.varies.turns == turns
    lines = (mountings.thickness_line(ordered), causes_thickness.thickness(found))
    told = (causes_first.first_line(found, read, CASE), mountings.lead(found.told, ordered, ()))
    neither = ordered.varies.counts_neither
    assert neither is (12.0 < tir_um <= 15.0)
    if state == "cleaned":
        assert all(("it counts neither as over nor as under, and no rotor is" in text) is neither for text in told)
    assert all(f"middle of {turns} readings a place" in line for line in lines)
    assert all(("taken as read with" in line) is (step_um is None) for line in lines)
    if what == rule.UNEVEN_COUNTED:
        for text in (causes_do.action(found), mountings.lead(found.told, ordered, ())):
            assert "no more reading is asked. Count it as over: renew the rotor" in text
            assert "eave it there" not in text
            assert "3 readings at every place" not in text


@pytest.mark.parametrize("state", ["as found", "cleaned"])
def test_a_micrometer_of_hundredths_is_followed_by_a_finer_one_or_by_none(state):
    """Asked for a finer one after every turn of the coarse one, "who has none stops here", and it never stopped."""
    for turns, do, what in (
        (1, MORE, "finer micrometer"),
        (2, names.GAUGE, "finer gauge"),
        (6, names.GAUGE, rule.GAUGE),
    ):
        read = uneven_at(14.0, 10.0, state, turns)
        found = weigh(read, CASE)
        ordered = next_act(read, found.told, CASE.limits)
        assert (found.do, ordered.what, ordered.varies.coarse) == (do, what, True)
        texts = (causes_first.first_line(found, read, CASE), mountings.lead(found.told, ordered, ()))
        for text in texts:
            assert "a micrometer of 0.005 mm a division or finer" in text.replace("\xa0", " ")
            assert ("Until then the wheel stays off" in text) is (turns > 1)
            assert "eave it there" not in text
        assert turns == 1 or texts[0].endswith(texts[1])
    finer = replace(read, traces=(*read.traces, *uneven_at(8.0, 1.0, state, 1).of("thickness")))
    assert next_act(finer, found.told, CASE.limits).what != rule.GAUGE


@pytest.mark.parametrize(("hub_um", "rotor_um"), [(0.0, 23.0), (2.5, 21.5)])
def test_too_close_to_tell_is_read_with_a_finer_dial_and_not_moved_or_left_on(hub_um, rotor_um):
    """No order to put it where it stands, none to move it for less than the dial is sure to; both doors alike."""
    made = Corner(2, hub=orders(hub_um), rotor=orders(rotor_um))
    read = made.mounted(0, "cleaned").mounted(2, "cleaned").mounted(0, "cleaned").thickness().readings()
    found = weigh(read, CASE)
    assert (act(read).what, found.do) == ("finer dial", names.MEASURE + names.FINER_DIAL)
    assert "with a finer dial" in causes_do.action(found)
    assert causes_why.by_rule(found) == ""
    assert causes_work.work_keys(found)


def test_a_slip_in_a_mounting_that_stands_no_more_is_left_out_and_one_that_stands_is_read_again():
    dirt = dirt_orders(**PATCH, height_um=110.0)
    read = Corner(3, between=dirt).mounted(0).mounted(2).mounted(0, "cleaned").readings()

    def slipped(name) -> Readings:
        return replace(read, faults=(ReadingFault("sign", name, (30.0,), 40.0, 9.0, "read 30 degrees again", (30.0,)),))

    assert act(slipped("mounted, mount 1")).what != "read again"
    last = slipped("mounted, mount 3")
    assert (act(last).what, weigh(last, CASE, menu=False).do) == ("read again", names.READ_AGAIN)


def test_index_beside_a_case_orders_what_causes_orders_with_it(tmp_path):
    """The probabilities decide in both, and in the same words; the case's own stud is the one whose band is told."""
    made = Corner(5, hub=orders(9.0), rotor=orders(16.0)).mounted(0).thickness().bare()
    read = made.mounted(0, "cleaned").mounted(0, "cleaned").readings()
    rows = [
        f"{one.kind},{one.mount or ''},{one.studs_turned if one.mount else ''},{angle:g},{value:.6g},{one.state},"
        for one in read.traces
        for angle, value in zip(one.angle_deg, one.value_um, strict=True)
    ]
    head = "# studs: 5\n# gauge_radius_mm: 140\n# hub_face_radius_mm: 64\n# dial_um: 10\n# turned: counter-clockwise\n"
    path = tmp_path / "readings.csv"
    names_of = "trace,mount,studs_turned,angle_deg,reading_um,state,clamped_by"
    path.write_text("\n".join([f"{head}# dial: + towards", names_of, *rows, ""]))
    advised = advice.from_readings(path, path, advice.Asked(case=CASE))
    found = weigh(parse(path.read_text()), CASE)
    assert cure.record(advised)["do"] == found.do == names.INDEX
    assert cure.record(advised)["causes"]["ranked"][0]["cause"] == found.ranked[0].cause
    assert advised.result.best == found.best_stud
    assert causes_first.first_line(found, read, CASE) in cure.instruction(advised)


def read_clean(hub: complex, rotor: complex, *studs: int) -> Corner:
    """As found, thickness, then cleaned on these studs. Amplitudes. [um]"""
    made = Corner(5, hub=orders(hub), rotor=orders(rotor)).mounted(0).thickness()
    for stud in studs:
        made = made.mounted(stud, "cleaned")
    return made


def test_a_stud_that_nobody_tried_comes_before_a_part_and_its_chance_is_said():
    """A rotor of 57 um, a hub of 14: two studs read over the limit, and the best one is left at about 43."""
    hub, rotor = 7.0, 28.5 * np.exp(1j * np.radians(144.0))
    left = [2 * abs(rotor + hub * np.exp(2j * np.pi * p / 5)) for p in range(5)]
    best, worst = int(np.argmin(left)), int(np.argmax(left))
    near = next(p for p in range(5) if p not in (best, worst) and left[p] > 60.0)
    read = read_clean(hub, rotor, worst, near).bare().readings()
    found = weigh(read, CASE)
    assert found.do == names.INDEX
    assert f"on stud {act(read).studs_turned + 1}" in causes_do.action(found)
    assert "with a probability of" in causes_do.action(found)
    seldom = tuple(replace(one, below=0.05) if one.what == "indexed" else one for one in found.after)
    told = causes_do.action(replace(found, after=seldom)).replace("\u00a0", " ")
    assert "cancel best" not in told  # no false comfort of a stud that is expected over the limit: what it is for
    assert "a pass is not expected" in told
    assert "limit the mounted runout's, under it with a probability of 5 %. Read there it parts hub" in told
    # No stud brings a worse one under the limit: then the part, and that chance is said.
    worse = read_clean(hub, 1.6 * rotor, 0, 2).bare().bare().mounted(2, "cleaned again").readings()
    found = weigh(worse, CASE)
    assert found.do == names.RENEW
    why = causes_why.because(found, CASE)
    assert "not tried" in why or "no other stud" in why
    assert "Before money is spent a straight edge across the rotor's seat" in why


def test_from_one_clean_stud_no_part_is_ordered_and_nothing_cleaned_twice_that_a_stud_would_tell():
    """A rotor of 84 um, its hub read bare: 8 minutes more show that what it reads turns with it."""
    one = read_clean(5.0, 42.0, 0).bare().readings()
    found = weigh(one, CASE)
    assert found.do == names.MEASURE + names.ANOTHER_STUD
    assert causes_why.by_rule(found) == ""
    kept = Cures((), {}, 0.0, np.zeros(1, dtype=bool))
    ordered = act(one)
    for odds, todo in ((0.3, names.MEASURE + names.ANOTHER_STUD), (0.8, names.CLEAN)):
        dirt = DirtLeft(odds, True, (10.0, 20.0, 30.0), 1.0, 1)
        assert _a_stud_first(names.CLEAN, kept, ordered, (0,), dirt) == todo
        assert _a_stud_first(names.CLEAN, kept, ordered, (0, 2), dirt) == names.CLEAN


def test_a_corner_that_only_the_rotor_cancels_is_not_left_on_before_its_hub_was_read_bare():
    """Hub 66 um and rotor 64 in opposition: both doors read the bare hub first."""
    read = read_clean(33.0, -32.0 * np.exp(-2j * np.pi * 2 / 5) ** -1, 0, 2).readings()
    found, ordered = weigh(read, CASE), act(read)
    assert (ordered.against, ordered.what, found.do) == ("below", "bare hub", names.MEASURE + names.BARE_HUB)
    assert causes_why.by_rule(found) == ""


def test_near_the_limit_within_a_fine_dials_doubt_nothing_is_done_and_nothing_bought():
    """Every stud was tried; under the limit by less than even that dial is sure to, or over it."""
    for rotor, seed in ((24.5, 2), (26.5, 2)):
        made = Corner(seed, hub=orders(0.3), rotor=orders(rotor)).mounted(0).thickness()
        for stud in (1, 3, 2, 4, 0):
            made = made.mounted(stud, "cleaned")
        read = replace(made.bare().readings(), dial_um=1.0)
        found, ordered = weigh(read, CASE), act(read)
        assert (ordered.against, ordered.what, found.do) == ("too close to tell", "at the limit", names.AT_LIMIT)
        assert "Neither done nor over" in causes_do.action(found)
        assert "--limit" not in causes_do.action(replace(found, turns=3))  # a case holds its own
        # "51 ± 4.2 µm, limit 50 (probability to be under it: 52 %)" was of two quantities.
        half = Dial(found.dial_um, found.turns).doubt_um
        odds = chance(share_below(said.read_now(found), half, found.limit_um))
        seldom = tuple(replace(one, below=0.03) if one.what == "as it is" else one for one in found.after)
        for one in (found, replace(found, after=seldom)):
            assert f"(probability to be under it, by that figure: {odds})" in causes_do.action(one)
        assert "under that limit leave it there; over it" in causes_do.action(found)
        assert card_boxes.limit_boxes(found)[0].startswith("2 turns more on stud 1")
        assert "Mean of 3 turns" in card_boxes.limit_boxes(replace(found, turns=3))[0]
        cleaned_twice = replace(found, told=replace(found.told, again=Again((7,), (), {}, False)))
        assert "check the bearing for play" in causes_do.action(cleaned_twice)  # what is ordered has its box
        assert card_boxes.limit_boxes(cleaned_twice)[0] == causes_work.PLAY
        assert causes_work.work_keys(found) == causes_work.work_keys(replace(found, do=names.LEAVE))
        assert card_boxes.ask_again(found) == ""


def test_a_bare_hub_near_its_limit_ends_alike_in_both_doors():
    """With a case it was asked for again and again, however often it had been read; without one it ended."""
    limits = replace(CASE.limits, hub_face_runout_um=31.0)
    made = Corner(3, hub=orders(38.0), rotor=orders(1.0)).mounted(0).thickness().bare().bare().bare()
    for at in (0, 2, 1, 3, 4):
        made = made.mounted(at, "cleaned")
    read = made.readings()
    found = weigh(read, replace(CASE, limits=limits), menu=False)
    ordered = next_act(read, found.told, limits)
    assert (ordered.hub_face.counted, ordered.hub_face.times) == (True, 3)
    assert (ordered.what, found.do) == ("hub", names.HUB_AND_BEARING)
    for text in (causes_do.action(found), mountings.lead(found.told, ordered, [])):
        assert text.startswith("Hub and bearing: the bare hub face counts as over its limit: the middle of 3 turns is")
        assert "no more reading is asked" in text
    # Without a cause that fits it is held to its limit by its own reading all the same; not while that is in doubt.
    for ways, do in (((), names.HUB_AND_BEARING), (("read the other way round",), names.READ_AGAIN)):
        corner = SimpleNamespace(ways=ways, contradicted=False, readings=read)
        assert _hub_by_itself(names.READ_AGAIN, ordered, corner) == do


@pytest.mark.parametrize(
    ("against", "dial_um", "turns", "do"),
    [
        ("too close to tell", 10.0, 1, names.MEASURE + names.FINER_DIAL),
        ("too close to tell", 1.0, 1, names.AT_LIMIT),
        ("too close to tell", 10.0, 3, names.AT_LIMIT),
        ("above", 1.0, 1, names.RENEW),
    ],
)
def test_nobody_is_sent_to_the_stud_on_which_it_sits(against, dial_um, turns, do):
    """It was "read it there once more with the finest dial at hand", however often that had been done."""
    at = SimpleNamespace(what="indexed", studs_turned=2)
    rule_now = SimpleNamespace(against=against, dial_um=dial_um, turns=turns)
    open_cures = (names.INDEX, names.RENEW, names.HUB_AND_BEARING)
    told = (rule_now, SimpleNamespace(after=(at,)))
    spent = {names.INDEX: 1.0, names.RENEW: 90.0, names.HUB_AND_BEARING: 99.0}
    here, elsewhere = SimpleNamespace(turned=2), SimpleNamespace(turned=0)
    assert _not_where_it_sits(names.INDEX, *told, here, spent, open_cures) == do
    assert _not_where_it_sits(names.INDEX, *told, elsewhere, spent, open_cures) == names.INDEX
