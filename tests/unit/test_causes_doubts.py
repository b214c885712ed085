"""Readings written down wrong, shares that no dial showed, a bare hub over its limit: said, nothing corrected."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scenes.words import causes as said
from scenes.words import causes_do, causes_why, causes_work, written
from sim.bench.bare_face import HubFace
from sim.bench.seatings import COUNT
from sim.causes import names, one_act, otherwise
from sim.causes.answer import Otherwise
from sim.causes.checks import LARGER, holds_off_centre
from sim.causes.decision import decide
from sim.causes.finding import SURE, weigh
from sim.causes.one_act import NAMED
from sim.causes.ordered import LIKELY
from sim.causes.priors import Priors
from sim.causes.seen import RIM_UM, Seen, Spot, seen
from sim.files.reading_faults import TWICE, ReadingFault
from tests.unit.causes_corner import CASE, Corner, orders
from tests.unit.hand_made_finding import finding
from tests.unit.test_mountings import EVEN, face_of, mounted, told

pytestmark = pytest.mark.usefixtures("fewest_seatings")
HUB, ROTOR = orders(45.0 * np.exp(0.4j)), orders(30.0 * np.exp(-2.0j))
MISCOUNTS = Priors(misplaced=0.04)
PARTS = (names.INDEX, names.CLEAN_THEN_INDEX, names.RENEW, names.HUB_AND_BEARING)


def read(corner, change=lambda trace: trace, **named):
    given = corner.readings()
    return weigh(replace(given, traces=tuple(change(one) for one in given.traces)), CASE, **named)


def other_way(trace):
    return replace(trace, studs_turned=-trace.studs_turned % 5)


def mirrored(kind, mount):
    def change(trace):
        if (trace.kind, trace.mount) != (kind, mount):
            return trace
        return replace(trace, value_um=trace.value_um[-np.arange(trace.value_um.size) % trace.value_um.size])

    return change


def corner(*turned, seed=3, **parts):
    made = Corner(seed, **parts)
    for at in turned:
        made.mounted(at)
    return made


@pytest.mark.parametrize("turned", [(0, 1, 3), (0, 2)])
def test_what_is_counted_right_raises_no_word(turned):
    found = read(corner(*turned, hub=HUB, rotor=ROTOR).bare(), menu=False)
    assert found.otherwise == ()
    assert found.finding == names.HUB_FACE
    assert "Nothing was corrected" not in said.verdict(found)


def test_what_is_to_be_read_again_leads_whatever_else_was_read():
    """A part was ordered beside a line that ordered a third turn."""
    made = corner(0, hub=HUB, rotor=ROTOR).thickness()
    for at in (0, 2):
        made.mounted(at, "cleaned")
    given = made.bare().readings()
    assert weigh(given, CASE, menu=False).do != names.READ_AGAIN
    twice = ReadingFault(TWICE, "hub face", (), 30.0, 20.0, "hub face: read twice, and the two turns differ")
    found = weigh(replace(given, faults=(twice,)), CASE)
    assert (found.do, found.by_rule) == (names.READ_AGAIN, names.READ_AGAIN)
    assert found.next_readings == ()  # "put it back as it stood" led, "cleaned once more" was offered below it


def test_studs_counted_the_other_way_round_are_said_and_nothing_is_done():
    found = read(corner(0, 1, 3, hub=HUB, rotor=ROTOR), other_way)
    assert found.otherwise[0].what == otherwise.ALL_MOVED
    assert found.otherwise[0].studs_turned == (0, 1, 3)
    assert found.finding is None
    assert found.do == names.READ_AGAIN
    assert "mount 2 on stud 2, mount 3 on stud 4" in causes_do.action(found)


def test_one_mounting_on_another_stud_is_named_with_the_stud_where_it_would_fit():
    def wrong(trace):
        return replace(trace, studs_turned=3) if trace.studs_turned == 4 else trace

    found = read(corner(0, 1, 4, hub=HUB, rotor=ROTOR).bare(), wrong, menu=False)
    assert (found.otherwise[0].what, found.otherwise[0].mounts) == (otherwise.MOVED, (3,))
    assert found.otherwise[0].studs_turned == (4,)
    assert found.do == names.READ_AGAIN
    assert "mount 3 on stud 5" in causes_do.action(found)
    # Where mountings part, and none of them counts, no other stud makes one fit ("over 99 %" stood beside 15 of them).
    parting = [mounted(0, 3.0, 40.0 * np.exp(2.4j * k), k, "cleaned") for k in range(1, 5)]
    parts = replace(found, told=told(*parting))
    assert "so far no two of them read alike" in causes_do.action(parts)
    assert "on stud 5" not in causes_do.action(parts) + said.verdict(parts)
    assert "on stud 5" in said.verdict(found)
    assert written.reasons(replace(found, told=told(*parting[:2])))  # of two the odds still say which
    assert written.reasons(replace(found, told=told(*parting[:2])), doubted=True) == []  # what parts is read first


@pytest.mark.parametrize(("kind", "mount"), [("mounted", 2), ("hub face", 0)])
def test_a_trace_that_runs_the_wrong_way_is_weighed(kind, mount):
    found = read(corner(0, 2, 3, hub=HUB, rotor=ROTOR).bare(), mirrored(kind, mount), menu=False)
    top = found.otherwise[0]
    assert (top.what, top.trace, top.mounts) == (otherwise.READ, kind, (mount,))
    assert found.finding is None
    assert found.do == names.READ_AGAIN


def test_what_was_read_by_two_turns_that_agree_is_not_held_to_be_written_the_other_way_round():
    """ "With the mounted trace of mount 2 read the other way round it would fit (93 %)" stood under raised metal."""
    wrong = corner(0, 2, 3, hub=HUB, rotor=ROTOR).bare().readings()
    wrong = replace(wrong, traces=tuple(mirrored("mounted", 2)(one) for one in wrong.traces))
    twice = replace(wrong, traces=tuple(one for trace in wrong.traces for one in (trace, replace(trace))))
    for table, every in ((wrong, [(1,), (2,), (3,), (0,)]), (twice, [])):
        tried = (way.told for way in otherwise.ways(seen(table), 5, 8.0, Priors()))
        assert [one.mounts for one in tried if one.what == otherwise.READ] == every


@pytest.mark.parametrize("change", ["bearing", "play", "raised metal", "something else", "seldom"])
def test_no_other_way_of_writing_is_hinted_at_beside_what_is_likelier(change):
    way = Otherwise(otherwise.READ, "mounted", (1,), (), 0.2)
    made = finding(otherwise=(way,), something_else=0.1)
    assert "mount 1 read the other way round (probability 20" in said.verdict(made)
    now = made.told.states[-1]
    played = replace(made.told, states=(*made.told.states[:-1], replace(now, now=replace(now.now, left_out=1))))
    face = HubFace(22.0, 6.0, 22.9, "too close to tell", 64.0, 140.0, 22.0, 6.0, to_look_at=True)
    changes = {
        "bearing": {"do": names.SCATTERS},
        "play": {"told": played},
        "raised metal": {"hub_face": face},
        "something else": {"something_else": 0.3},
        "seldom": {"otherwise": (replace(way, probability=0.14),)},
    }
    assert "the other way round" not in said.verdict(replace(made, **changes[change]))


def test_a_bare_hub_at_odds_with_the_mountings_is_said():
    """Another corner's, two and a half times this one's: neither written otherwise nor turned by studs does it fit."""
    made = Corner(3, hub=HUB, rotor=ROTOR).mounted(0, "cleaned").mounted(2, "cleaned").mounted(3, "cleaned")
    made.parts["hub"] = -2.5 * HUB
    found = read(made.bare(), menu=False)
    assert otherwise.HUB_FACE in {one.what for one in found.otherwise}
    assert sum(one.probability for one in found.otherwise) > 0.5
    assert found.do == names.MEASURE + names.BARE_HUB  # its one turn once more
    assert "bare hub face" in said.verdict(found) or "bare hub face" in causes_do.action(found)


def test_a_bare_hub_that_its_rotor_cancels_on_the_one_stud_read_is_not_at_odds():
    """No reading contradicts it, however unlikely such a rotor is: one more stud shows it, nothing is read again."""
    made = Corner(3, hub=orders(37.0), rotor=orders(-37.0)).mounted(0, "cleaned").thickness().bare()
    found = read(made, menu=False)
    assert found.otherwise == ()
    assert found.do == names.HUB_AND_BEARING
    assert causes_why.because(found, CASE) == ""  # as readings alone say it


@pytest.mark.usefixtures("twice_the_seatings")
def test_a_share_larger_than_was_read_is_no_finding():
    """A leaning hub counted the wrong way: 145 um of rotor against as much of hub, where the dial showed 90."""
    found = read(corner(0, 1, hub=HUB), other_way)
    assert found.ranked[0].runout_um[0] > LARGER * 90.0
    assert found.more_than_read
    assert found.finding is None
    assert len(found.cannot_tell) > 1
    assert found.do not in PARTS
    assert "larger than the dial ever showed" in said.verdict(found)


@pytest.mark.parametrize(("rim_um", "cleaned", "speaks"), [(60.0, False, True), (10.0, False, False),
                                                             (60.0, True, False)])  # fmt: skip
def test_a_spigot_is_found_only_where_the_rim_was_read_off_centre(rim_um, cleaned, speaks):
    spots = (Spot("mounted", 1, 0, False), Spot("radial", 1, 0, cleaned, orders=(1,)))
    value = np.r_[np.zeros(6), rim_um, 0.0]
    data = Seen(spots, (), value, np.diag(np.r_[np.full(6, 2.0), np.full(2, RIM_UM**2)]), (), None)
    assert holds_off_centre(data) == speaks
    assert not holds_off_centre(replace(data, spots=spots[:1], value=value[:6], noise=data.noise[:6, :6]))


def test_scale_on_the_spigot_without_its_rim_read_is_no_finding():
    """Two humps on the hub that went with cleaning: dirt on both faces makes them too."""
    made = Corner(4, between=orders(2.0, 30.0 * np.exp(1.1j))).mounted(0).mounted(2).mounted(0, "cleaned")
    found = weigh(made.thickness().readings(), CASE, menu=False)
    assert found.ranked[0].cause == names.SPIGOT
    assert found.finding is None


def test_two_positions_that_may_be_counted_wrong_are_read_on_a_third():
    """Nothing contradicts itself, but a hub alone, counted the other way, is likelier than hub against rotor."""
    sure = Priors(dirt_on_the_hub=0.0, dirt_on_the_rotor=0.0, dirt_that_came_in=0.0)
    made = Corner(3, hub=HUB).mounted(0, "cleaned").mounted(2, "cleaned").thickness()
    found = read(made, other_way, priors=sure)
    assert found.otherwise[0].what == otherwise.ALL_MOVED
    assert found.finding is None
    assert found.do in (names.MEASURE + names.ANOTHER_STUD, names.MEASURE + names.BARE_HUB)


def test_a_rotor_one_stud_too_far_is_no_finding():
    """Written on stud 3, put on stud 4: what may be counted wrong counts against what would be found."""
    made = corner(0, 3, hub=orders(20.0), rotor=orders(20.0)).mounted(0, "cleaned")
    found = read(made, lambda t: replace(t, studs_turned=2) if t.mount == 2 else t, priors=MISCOUNTS, menu=False)
    wrong = sum(one.probability for one in found.otherwise)
    assert SURE <= found.ranked[0].probability < SURE / (1.0 - wrong)
    assert wrong < LIKELY
    assert found.finding is None


def test_who_never_miscounts_may_say_so():
    sure = Priors(counted_the_other_way=0.0, misplaced=0.0)
    found = read(corner(0, 1, 3, hub=HUB, rotor=ROTOR), other_way, priors=sure, menu=False)
    assert found.otherwise == ()
    assert found.none_fits  # three mountings still contradict each other


@pytest.mark.parametrize(("bare_um", "state"), [(14.0, "below"), (21.0, "too close to tell"), (45.0, "above")])
def test_a_bare_hub_over_its_limit_leads_to_hub_and_bearing(bare_um, state):
    """Limit 22.9 um at 64 mm for 50 at 140; the rotor's own share would otherwise ask for another stud."""
    lean = orders(bare_um / 2.0 * 140.0 / 64.0)
    made = Corner(3, hub=lean, rotor=orders(30.0)).mounted(0, "cleaned").mounted(2, "cleaned").bare()
    found = read(made)
    assert found.hub_face.state == state
    assert found.hub_face.limit_um == pytest.approx(50.0 * 64.0 / 140.0)
    told = said.verdict(found)
    if state == "above":
        assert found.do == names.HUB_AND_BEARING
        assert "over its limit" in told
    else:
        assert found.do != names.HUB_AND_BEARING
        assert ("too close to its limit" in told) == (state != "below")


def test_the_limit_of_the_case_counts():
    lean = orders(30.0 / 2.0 * 140.0 / 64.0)
    made = Corner(3, hub=lean, rotor=orders(-30.0)).mounted(0, "cleaned").mounted(2, "cleaned").bare()
    strict = replace(CASE, limits=replace(CASE.limits, hub_face_runout_um=15.0))
    loose = replace(CASE, limits=replace(CASE.limits, hub_face_runout_um=60.0))
    assert weigh(made.readings(), strict).do == names.HUB_AND_BEARING
    assert weigh(made.readings(), loose).hub_face.state == "below"
    not_clean = Corner(3, hub=lean, rotor=orders(-30.0)).mounted(0).mounted(2).bare()
    assert weigh(not_clean.readings(), strict).do == names.CLEAN


@pytest.mark.parametrize(("lean", "humps"), [(14.0, 18.0), (3.0, 20.0)])
def test_humps_that_no_brush_takes_are_no_cause_of_the_list(lean, humps):
    """Dirt left under a hub that cancels its lean, or scale on the spigot, would explain them by coincidence."""
    hub = orders(lean, humps * np.exp(1.1j))
    corner = Corner(1, hub=hub, rotor=orders(8.0 * np.exp(2.0j))).mounted(0).mounted(2)
    assert weigh(corner.readings(), CASE, menu=False).something_else == 0.0  # nothing has shown that they stay
    read = corner.mounted(0, "cleaned").readings()
    found = weigh(read, CASE)
    assert found.none_fits
    assert found.something_else > 0.8
    assert found.finding is None
    assert found.do == names.MEASURE + names.THICKNESS  # as without a case
    assert "stay with the hub whatever the brush took" in said.verdict(found)
    assert weigh(corner.thickness().mounted(2, "cleaned").readings(), CASE).do == names.MEASURE + names.BARE_HUB
    never = weigh(read, CASE, Priors(something_else=0.0), menu=False)
    assert never.something_else == 0.0
    assert not never.none_fits


def test_a_bare_face_at_odds_is_not_read_again_for_ever():
    """Something at the hub that no brush takes: cleaned twice it ends as readings alone end it, face read once more."""
    lies_there, true = orders(42.0 * np.exp(0.4j)), np.zeros(6, dtype=complex)
    made = corner(0, hub=lies_there, rotor=orders(6.0)).thickness()
    for stud in (0, 2):
        made.mounted(stud, "cleaned")
    made.parts["hub"] = true
    made.bare()
    made.parts["hub"] = lies_there
    made.mounted(2, "cleaned again").mounted(2, "cleaned again")
    # The one turn of that face may be the one that is off: it is read once more, and then no more.
    alone, found = decide(made.readings(), CASE.limits), read(made, menu=False)
    assert (alone.act.what, found.do) == ("bare hub", names.MEASURE + names.BARE_HUB)
    assert found.otherwise[0].what == otherwise.HUB_FACE
    assert sum(one.probability for one in found.otherwise) > 0.5
    assert "It was read by one turn alone" in causes_do.action(found)
    made.traces.insert(-2, next(one for one in made.traces if one.kind == "hub face"))
    # Nor is it ended on the one turn of the first stud: with a case as by readings alone it is read there once more.
    alone, found = decide(made.readings(), CASE.limits), read(made, menu=False)
    assert (alone.act.what, alone.act.studs_turned, found.do) == ("another stud", 0, NAMED[alone.act.what])
    assert "rests on the one turn of mount 2" in causes_do.action(read(made))
    made.mounted(0, "cleaned again")
    alone = decide(made.readings(), CASE.limits)
    found = read(made)
    assert (alone.act.what, found.do, found.next_readings) == ("open", names.OPEN, ())
    text = causes_do.action(found)
    assert "no more reading is asked: hub and bearing as the vehicle maker says" in text
    assert "Read again" not in text
    assert one_act.read_next(found.do, True, found.hub_face, found.turns) is None
    assert causes_work.work_keys(found)
    # Before the second cleaning one face at odds is no more than that; read twice alike it is.
    once = [one for one in made.traces if one.state != "cleaned again"]
    made.traces = [*once, once[-1]]
    found = read(made, menu=False)
    assert found.do == NAMED[decide(made.readings(), CASE.limits).act.what]


def test_two_mountings_of_one_stud_that_part_are_read_again_with_a_case_as_without():
    """ "Another stud", as dirt might have gone between, where readings alone had that stud read once more."""
    stood = ((19.4 - 12.0j, "as found"), (5.5 - 22.2j, "cleaned"), (5.1 - 1.1j, "cleaned"))
    turns = [mounted(0, 0.0, drawn, k, state) for k, (drawn, state) in enumerate(stood, 1)]
    thick = replace(EVEN, value_um=EVEN.value_um - 10400.0)
    given = replace(Corner(3).readings(), traces=(*turns, thick, face_of(7.0 * np.exp(0.8j))))
    for case in (None, CASE):
        made = decide(given, CASE.limits, case)
        assert made.steps == (names.READ_AGAIN,)
    found = made.found
    assert found.next_readings == ()
    lead = causes_do.action(found).replace("\u00a0", " ")
    assert "rotor off, both faces wiped, put the painted hole back on stud 1" in lead
    assert "read and written right" not in lead


def test_a_move_that_readings_alone_order_is_none_to_the_stud_where_it_stands():
    """All on stud 1, and no cause draws them: "put the painted hole on stud 1, it parts hub from rotor once more"."""
    stood = ((18.6, 322.0, "as found"), (79.7, 284.0, "cleaned"), (74.9, 256.0, "cleaned again"))
    stood = (*stood, (57.4, 269.0, "cleaned again"))
    turns = [
        mounted(0, 0.0, 0.5 * size * np.exp(1j * np.radians(at)), k, state)
        for k, (size, at, state) in enumerate(stood, 1)
    ]
    thick = replace(EVEN, value_um=EVEN.value_um - 10400.0)
    given = replace(Corner(3).readings(), traces=(*turns[:2], thick, face_of(0.0), *turns[2:]))
    found = decide(given, CASE.limits, CASE).found
    assert decide(given, CASE.limits).act.studs_turned == 1
    assert found.do == names.MEASURE + names.ANOTHER_STUD
    assert found.next_readings[0].studs_turned == 1
    assert "put the painted hole on stud 2" in causes_do.action(found).replace("\u00a0", " ")


def test_what_mountings_scatter_by_is_not_said_to_stay_with_a_hub_that_was_cleaned_twice():
    """ "35 µm stays with the hub ... hub and bearing": beside mountings that part by 97 µm, of a good hub."""

    def said_of(*last):
        first = [mounted(stud, 45.0, 8.0, k, "cleaned") for k, stud in enumerate((0, 2), 1)]
        last = [mounted(2, 45.0, rotor, k, "cleaned again") for k, rotor in enumerate(last, 3)]
        table = replace(corner(0).readings(), traces=(*first, *last, EVEN, face_of(3.0), face_of(3.0)))
        told_of = decide(table, CASE.limits).told
        assert told_of.again is not None
        return "; ".join(causes_do.reasons(finding(told=told_of, do=names.READ_AGAIN)))

    assert "stays with the hub, though it was cleaned twice" in said_of(8.0)
    parts = said_of(8.0, 30.0j)
    assert "mounts 2 and 3 on stud 3 read alike" in parts.replace("\u00a0", " ")
    assert COUNT in parts
    assert "cleaned twice" not in parts


def test_a_stud_that_would_fit_has_no_probability_where_the_rotor_sat_otherwise():
    """ "With mount 5 on stud 3 it would fit (probability over 99 %)": it was on stud 4, and sat otherwise."""
    way = Otherwise(otherwise.MOVED, "mounted", (4,), (2,), 0.99)
    apart = told(*(mounted(at, 3.0, rotor, k, "cleaned") for k, (at, rotor) in enumerate(
        ((0, 9.0), (2, 9.0), (3, 9.0), (1, 40.0j)), 1)))  # fmt: skip
    assert apart.states[-1].contradict
    made = finding(told=apart, otherwise=(way,), do=names.READ_AGAIN)
    (one,) = written.reasons(made)
    assert "probability" not in one
    assert "and as well had the rotor sat otherwise there" in one
    assert "had the rotor sat otherwise" in written.sentences(made)
    # So on one stud; where mountings agree the odds still say how likely it is.
    parted = told(*(mounted(0, 3.0, rotor, k, "cleaned") for k, rotor in enumerate((9.0, 40.0j), 1)))
    assert "probability" not in written.reasons(replace(made, told=parted))[0]
    agree = told(*(mounted(0, 3.0, 9.0, k, "cleaned") for k in (1, 2)))
    assert "(probability 99" in written.reasons(replace(made, told=agree))[0]
