"""Clean turns that are less alike than dial and hand make them have the bearing judged under load, tight or not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scenes.words import card_boxes, causes_work, left_on, rocked, still_to_check
from scenes.words import mountings as said
from sim.bench import bearing_asked
from sim.bench.another_mounting import apart_there_um
from sim.bench.cures import Found
from sim.bench.mountings import orders_of
from sim.causes import names
from sim.causes.cures_as_read import BEFORE_THE_WHEEL, CALLED, cures_as_read
from sim.causes.decision import decide
from sim.files.dial_readings import Readings, parse
from sim.files.reading_faults import WRITTEN, ReadingFault
from sim.files.trace import Trace
from sim.files.unlike_turns import Unlike, unlike
from tests.unit.hand_made_finding import finding
from tests.unit.test_mountings import ANGLE, LIMITS, mounted
from tests.unit.test_scattering import HEAD
from tests.unit.test_second_turn import FACE, FOUND, THICK, rows

#: A hub that leans by chance within 16 µm at every place, read once by half divisions of 10 µm and once by 1 µm.
COARSE = (5, 10, 15, 35, 15, 20, 25, 5, 5, 10, -5, 10)
FINE = (8.5, 13, 19.5, 25, 18, 27, 14, 8.5, 0.5, -7, 3, 5.5)
#: One that is thrown otherwise each turn within 22 µm, two turns of one mounting.
THROWN = ((20, 20, 10, 10, 0, -5, -10, -10, -5, 5, 10, 15), (5, 5, 5, -5, -5, -10, -10, -5, 0, 5, 5, 10))


def turn(mount, values, step=10):
    held = f",cleaned,nuts and spacers,{step}\n"
    return "".join(f"mounted,{mount},0,{a:g},{v:g}{held}" for a, v in zip(ANGLE, values, strict=True))


RAGGED, APART = turn(2, COARSE) + turn(3, FINE, 1), turn(2, THROWN[0]) + turn(2, THROWN[1])
ALIKE = 2 * rows(2, 10.0)


def asked(clean, felt=""):
    head = f"# bearing: {felt}\n" if felt else ""
    return decide(parse(head + HEAD + FOUND + THICK + FACE + clean), LIMITS)


def words(one):
    return left_on.ordered(one).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("clean", "figure"),
    [
        (RAGGED, "turns of mounts 2 and 3, one seat by two dials, differ by up to 25 µm"),
        (APART, "turns of mount 2 differ by up to 20 µm"),
    ],
)
def test_turns_that_scatter_beyond_their_dial_have_the_bearing_judged_under_load_before_the_wheel(clean, figure):
    """8 µm off any smooth turn by a dial of 1 µm, 15 µm apart in one mounting, "no play" by hand: "leave it there"."""
    one = asked(clean, "no play")
    assert one.act.what == "done"
    text = words(one)
    assert f"by hand it has no play, but {figure}" in text
    done, load, stays, checks, wheel = (
        text.index(what)
        for what in (
            "he runout is done",
            "judged under load as",
            "Without it ('# bearing: no play under load') leave it",
            "Still to check: the bearing",
            "wheel as",
        )
    )
    assert done < load < stays < checks < wheel
    assert "Still to check: the bearing under load, cracks; then caliper" in text
    # Before anybody rocked it both are asked at once, and no turns are called alike.
    text = words(asked(clean))
    assert (
        f"the hub is rocked, and where it feels tight its bearing judged under load as the vehicle maker says: {figure}"
        in text
    )
    assert "read alike" not in text
    assert "Still to check: bearing play, the bearing under load, cracks" in text
    assert "judged under load" not in words(asked(ALIKE, "no play"))


def test_what_a_bearing_needs_before_the_wheel_is_said_alike_by_words_cures_and_card():
    for clean, felt, needs in (
        (ALIKE, "", bearing_asked.ROCK_IT), (ALIKE, "no play", bearing_asked.NOTHING),
        (APART, "", bearing_asked.BOTH), (APART, "no play", bearing_asked.UNDER_LOAD),
    ):  # fmt: skip
        one = asked(clean, felt)
        assert bearing_asked.before_the_wheel(one.told) == bearing_asked.still_to_check(one.told, stays=True) == needs
        (cure,) = cures_as_read(one, None, None, Found())
        assert cure.why == CALLED[names.LEAVE][1] + BEFORE_THE_WHEEL[needs]
        made = finding(do=names.LEAVE)
        last = replace(made.told.states[-1], state="cleaned")
        told = replace(one.told, states=(*made.told.states[:-1], last))
        boxes = [work.what for work in card_boxes.checks(replace(made, told=told), "")]
        (*first,) = card_boxes.BEARING_CHECKS[needs]
        assert boxes[: len(first)] == first
        assert (causes_work.PLAY in boxes) is (not felt)
        assert still_to_check.BEARING[needs] == tuple(still_to_check.in_front(needs).split(", ")[:-1])
        assert words(one).count("Before the wheel goes on") == bool(needs)
        assert rocked.leave_there(one.told).endswith("eave it there")


def sound(rng, hand_um, plan, slack_um=0.0, throw_um=0.0):
    """Turns on a bearing, by mount and dial: a ragged face, a dial that creeps, half divisions or whole."""
    theta, part = np.radians(ANGLE), rng.choice([0.5, 1.0])
    sizes = [rng.normal(0.0, size, 2) for size in (20.0, 3.0, 1.2, 0.7, 0.4)]
    face = sum(a * np.cos(n * theta) + b * np.sin(n * theta) for n, (a, b) in enumerate(sizes, 1))
    seats: dict = {}
    for mount, step in plan:
        seat = seats.setdefault(mount, rng.normal(0.0, 1.5, 2))
        lean = seat + rng.uniform(-0.5, 0.5, 2) * throw_um
        value = face + lean[0] * np.cos(theta) + lean[1] * np.sin(theta) + rng.normal(0.0, hand_um, 12)
        value += rng.uniform(-0.5, 0.5, 12) * slack_um + rng.normal(0.0, 3.0) * ANGLE / 360.0 + rng.uniform(-20, 20)
        yield Trace(
            "mounted", mount, 0, ANGLE, step * part * np.round(value / step / part), state="cleaned", dial_um=step
        )


PLANS = (((2, 10.0),) * 2, ((2, 10.0), (3, 1.0)), ((2, 10.0), (3, 10.0), (4, 10.0), (4, 10.0)), ((2, 1.0),) * 2)


def share(plan, count, **bearing):
    rng = np.random.default_rng(3)
    told = (
        unlike(list(sound(rng, rng.uniform(0.5, 3.0), plan, **bearing)), lambda one: one.dial_um) for _ in range(count)
    )
    return sum(one is not None for one in told) / count


def test_a_sound_bearing_is_sent_to_be_judged_under_load_in_two_tables_of_a_hundred_at_most():
    assert np.mean([share(plan, 60) for plan in PLANS]) <= 0.02
    assert share(PLANS[0], 40, slack_um=25.0) > 0.7
    assert share(PLANS[0], 40, throw_um=30.0) > 0.6
    assert share(PLANS[1], 40, slack_um=30.0) > 0.5
    assert share(PLANS[3], 40, slack_um=16.0) > 0.5 > share(PLANS[0], 40, slack_um=16.0)


def test_what_a_rotors_own_face_has_it_has_in_every_turn_and_one_turn_tells_nothing():
    face = 20.0 * np.cos(np.radians(ANGLE)) + 9.0 * np.cos(5 * np.radians(ANGLE))
    one, two = (Trace("mounted", mount, 0, ANGLE, np.round(face), state="cleaned", dial_um=1.0) for mount in (2, 3))
    assert unlike([one, two], lambda trace: trace.dial_um) is None
    assert unlike([one], lambda trace: trace.dial_um) is None
    few = replace(two, angle_deg=ANGLE[::2], value_um=-face[::2])
    assert unlike([one, few], lambda trace: trace.dial_um) is None
    assert unlike([], lambda trace: 10.0) is None
    assert Unlike((2,), 20.0).one_mounting
    assert not Unlike((2, 3), 20.0).one_mounting


def test_a_turn_that_others_read_without_its_minus_signs_has_no_bearing_judged():
    """The pen was named, three turns bore it out, and still "apart as a bearing with play makes them"."""
    sound_um = 5.0 * np.round((5.0 + 35.0 * np.cos(np.radians(ANGLE - 40.0))) / 5.0)
    folded, signed = (turn(1, values).replace("cleaned", "as found") for values in (np.abs(sound_um), sound_um))
    for felt in ("", "no play"):
        head = f"# bearing: {felt}\n" if felt else ""
        one = decide(parse(head + HEAD + folded + 3 * signed + THICK + FACE + ALIKE), LIMITS)
        assert one.act.what == "done"
        assert (one.told.tight, one.told.states[-1].now.left_out) == (False, 0)
        assert "judged under load" not in words(one)
    # Another odd turn is left out for no reason of the pen's.
    other = turn(1, 5.0 * np.round(30.0 * np.cos(2.0 * np.radians(ANGLE - 20.0)) / 5.0)).replace("cleaned", "as found")
    one = decide(parse("# bearing: no play\n" + HEAD + other + 3 * signed + THICK + FACE + ALIKE), LIMITS)
    assert one.told.tight
    assert "judged under load" in words(one)


@pytest.mark.parametrize("felt", ["", "no play"])
def test_mountings_that_part_have_the_hub_rocked_before_the_rotor_is_put_on_anew(felt):
    """ "Bearing play" was named first and ordered last: two mountings more came before a minute's rocking."""
    one = asked(rows(2, 10.0) + rows(3, 60.0j), felt)
    assert one.act.what == "read again"
    text = words(one)
    assert (
        "bearing play, dirt that moved, or nuts that pulled otherwise; rock the hub first, with play" in text
    ) is not bool(felt)
    assert (
        "rock the hub first" in text and text.index("rock the hub first") < text.index("rotor off, both")
    ) is not bool(felt)
    assert ("What is felt goes into the table's head" in text) is not bool(felt)


@pytest.mark.parametrize("felt", ["", "no play"])
def test_where_the_head_says_that_the_hub_has_no_play_one_turn_more_orders_no_rocking(felt):
    text = words(asked(rows(2, 10.0), felt))
    assert "before the dial comes off, one turn more" in text
    assert ("else the hub is rocked, and it is read as it stands" in text) is not bool(felt)
    assert ("else it is read as it stands until three turns agree" in text) is bool(felt)
    made = finding(do=names.CLEAN)
    box = causes_work.work_now(replace(made, told=replace(made.told, bearing=felt)), "flange play")
    assert box == (causes_work.ROCKED_BEFORE if felt else causes_work.PLAY)


def test_a_mounting_is_told_by_one_figure_how_far_others_may_read_from_it():
    """ "Another may read up to 14 µm more", of a stud whose mountings had been said to read 42 µm apart."""
    one = asked(rows(2, 45.0) + rows(3, 70.0) + 2 * rows(4, 45.0), "no play under load")
    assert one.told.apart_there_um == pytest.approx(50.0, abs=4.0)
    assert said.mounted_so(one.told, 45.0, 50.0).replace("\u00a0", " ") == (
        f" That holds as it stands: mountings on this stud read as far as {one.told.apart_there_um:.0f} µm apart."
    )
    assert "up to 14" in said.mounted_so(asked(2 * rows(2, 45.0)).told, 45.0, 50.0)


def test_how_far_mountings_of_a_stud_read_apart_is_one_figure_said_once():
    """ "Those on this stud read as far as 43 µm apart" of the first one there, then "mounts 3 and 6 read 66 apart"."""
    there = rows(2, 16.0 + 8.0j) + rows(3, 16.0 + 35.0j) + rows(4, 16.0) + 2 * rows(5, 16.0)
    one = asked(there, "no play")
    assert one.act.what == "done"
    assert one.told.apart_there_um == pytest.approx(one.told.unlike.apart_um)
    text = words(one)
    far = f"{one.told.apart_there_um:.0f} µm apart"
    assert text.count(far) == 1
    assert f"on one stud read {far}" in text
    text = words(asked(there, "no play under load"))
    assert f"That holds as it stands: mountings on this stud read as far as {far}" in text


def test_who_leaves_a_rotor_on_once_its_thickness_is_read_is_told_how_far_others_there_read_apart():
    """ "47 ± 4, leave it there", of a stud whose mountings lay 53 µm apart, one left out."""
    there = rows(2, 16.0) + rows(3, 16.0 + 30.0j) + rows(4, 16.0) + rows(5, 16.0)
    one = decide(parse("# bearing: no play under load\n" + HEAD + FOUND + FACE + there), LIMITS)
    assert one.act.what == "thickness"
    assert f"on this stud read as far as {one.told.apart_there_um:.0f} µm apart." in words(one)
    near = rows(2, 40.0) + rows(3, 42.0) + rows(4, 40.0) + rows(5, 40.0)
    assert "read as far as" not in words(decide(parse(HEAD + FOUND + FACE + near), LIMITS))


def test_a_turn_that_gives_away_more_than_a_slip_of_the_pen_has_the_bearing_named():
    """Ragged, and 20 µm off its start: two neighbours swapped, a dial that is not fast, and no word of its bearing."""
    ragged = (20, -10, 20, 15, -20, -5, -25, -20, -5, 0, 5, 10)
    smooth = 5.0 * np.round(25.0 * np.cos(np.radians(ANGLE)) / 5.0)
    slipped = smooth + 60.0 * (np.arange(12) == 7)
    last = ",as found,nuts and spacers,10\n"
    closes = f"mounted,1,0,360,{smooth[0] + 15:g}{last}"
    for values, close, named in (
        (ragged, "", True),
        (slipped, closes, True),
        (slipped, "", False),
        (smooth, closes, False),
    ):
        for felt in ("", "no play"):
            head = f"# bearing: {felt}\n" if felt else ""
            one = decide(parse(head + HEAD + turn(1, values).replace("cleaned", "as found") + close + THICK), LIMITS)
            assert one.act.what == "read again"
            assert ("rock the hub first" in words(one)) is (named and not felt)
            assert ("bearing play" in words(one)) is (named and not felt)


def test_mountings_far_further_apart_than_mountings_are_have_the_bearing_judged_wherever_the_rotor_went_since():
    """70 µm apart on one stud, 25 "usual", one outweighed: on the next stud "leave it there", and no word of it."""
    there = rows(2, 40.0) + rows(3, 70.0j) + rows(4, 40.0) + rows(5, 41.0)
    moved = (there + rows(6, 8.0) + 2 * rows(7, 8.0)).replace("mounted,6,0", "mounted,6,2")
    moved = moved.replace("mounted,7,0", "mounted,7,2")
    one = asked(moved, "no play")
    assert one.act.what == "done"
    assert (one.told.unlike.mounts, one.told.unlike.whole) == ((2, 3), True)
    text = words(one)
    assert (
        f"mounts 2 and 3 on one stud read {one.told.unlike.apart_um:.0f} µm apart, far more than mountings do" in text
    )
    assert text.index("judged under load") < text.index("leave it there")
    near = rows(2, 40.0) + rows(3, 40.0 + 12.0j) + rows(4, 40.0)
    assert asked(near, "no play").told.unlike is None
    # Dirt that a second cleaning took is no seat.
    again = rows(2, 40.0) + 2 * rows(3, 70.0j, "cleaned again")
    assert asked(again, "no play").told.unlike is None


def test_a_turn_of_the_pen_moves_no_rotor():
    """ "Those on this stud read as far as 76 µm apart", of a mount whose signs were turned over, as the answer said."""
    turns = tuple(mounted(2, 0.0, rotor, k, "cleaned") for k, rotor in ((3, -19.0), (4, 19.0), (5, 18.0)))
    read = Readings(5, 140.0, 64.0, 10.0, turns[1:], entered=turns)
    pen = ReadingFault(WRITTEN, "", (), 0.0, 0.0, "mounted, mount 3: with every sign turned over it would fit")

    def first_order(one):
        return complex(orders_of(one, 10.0)[0][1]), 3.0

    assert apart_there_um(read, first_order, 2.0) == pytest.approx(76.0, abs=3.0)
    assert apart_there_um(replace(read, faults=(pen,)), first_order, 2.0) == 0.0
