"""Nothing is left on by one turn: one more of the same mounting before the dial comes off, and how the two compare."""

from types import SimpleNamespace

import numpy as np
import pytest

from scenes.command.causes import _stage_one
from scenes.words import causes_first, causes_read, causes_work, left_on, second_turn
from sim.bench import next_act as rules
from sim.bench.foreseen import foreseen
from sim.causes import names
from sim.causes.decision import decide
from sim.causes.finding import weigh
from sim.causes.one_act import LEFT_ON, NAMED, by_machine
from sim.causes.ordered import _ends, _not_over_as_read
from sim.files.dial_readings import Readings, parse
from sim.parts.case import Case
from tests.unit.hand_made_finding import finding
from tests.unit.test_mountings import ANGLE, EVEN, LIMITS, face_of, mounted
from tests.unit.test_scattering import HEAD

HUB, OWN = 4.0, 10.0


def rows(mount, at_um, state="cleaned"):
    """A turn of 12 places, to half a division; what the bearing adds is a complex first order. [um]."""
    value = 5.0 * np.round(np.real(at_um * np.exp(-1j * np.radians(ANGLE))) / 5.0)
    held = f",{state},nuts and spacers,10\n"
    return "".join(f"mounted,{mount},0,{a:g},{v:g}{held}" for a, v in zip(ANGLE, value, strict=True))


THICK = "".join(f"thickness,1,0,{a:g},{11600 + a % 60 / 30:g},as found,,1\n" for a in ANGLE)
FACE = "".join(f"hub face,,0,{a:g},{5 * round(np.cos(np.radians(a)))},cleaned,,10\n" for a in ANGLE)
FOUND = rows(1, 35.0, "as found")


def asked(*turns):
    return decide(parse(HEAD + FOUND + THICK + FACE + "".join(turns)), LIMITS)


def test_a_bearing_that_throws_the_hub_is_not_left_on_by_the_one_turn_that_reads_little():
    """A hub thrown by 40 µm otherwise each turn read 15 once: "leave it there", and no reading asked."""
    one = asked(rows(2, 8.0))
    shown = _stage_one(one)
    assert (shown["act"]["what"], shown["next"], shown["next_studs_turned"]) == ("second turn", "second turn", 0)
    text = left_on.ordered(one).replace("\u00a0", " ")
    assert text.startswith(
        "Next: before the dial comes off, one turn more of the same mounting: rotor and nuts untouch"
    )
    assert "further lines with mount, studs_turned and state of those that are there" in text
    assert "by one turn alone" in text
    assert "eave it there" not in text
    apart = asked(rows(2, 8.0), rows(2, 18.0j))
    assert apart.act.what == "read again"
    assert "rock the hub first" in left_on.ordered(apart)
    alike = asked(rows(2, 8.0), rows(2, 9.0 + 2.0j))
    assert (alike.act.what, alike.act.turns, _stage_one(alike)["next"]) == ("done", 2, None)


def test_two_turns_that_agree_are_not_asked_for_again_nor_after_a_move_and_back():
    def act(*stands):
        turns = [mounted(stud, HUB, OWN, mount, "cleaned") for mount, stud in stands]
        return decide(Readings(5, 140.0, 64.0, 10.0, (*turns, EVEN, face_of(HUB))), LIMITS).act.what

    assert act((2, 0), (2, 0), (3, 2), (4, 0)) == "done"
    # Moved to a stud that nobody read it is another mount: that is the one that stays.
    assert act((2, 0), (2, 0), (3, 2)) == "second turn"
    assert act((2, 0), (2, 0), (3, 2), (3, 2)) == "done"
    # Under the next mount number, as one writes it who tightened the nuts anew, it is no other stud.
    assert act((2, 0), (3, 0)) == "done"


def test_once_a_mounting_there_was_left_out_the_last_is_read_twice_by_itself():
    """Mountings of a hub that throws were read on until two agreed by chance, each by one turn."""
    parted = (rows(2, 18.0j), rows(3, -16.0), rows(4, 8.0), rows(5, 8.0), rows(6, 8.0))
    assert asked(*parted).act.what == "read again"  # three of five: two more have to agree than part
    assert asked(*parted, rows(7, 8.0)).act.what == "second turn"
    assert asked(*parted, rows(7, 8.0), rows(7, 8.0)).act.what == "done"


def test_what_is_still_to_be_read_with_the_rotor_off_comes_first():
    """It comes off for that and is read again on it: a turn more before that would tell nothing of how it then sits."""
    near = Readings(
        5, 140.0, 64.0, 10.0, (mounted(0, 14.0, -8.0, 1, "cleaned"), EVEN, face_of(22.0 * 140.0 / 64.0 / 2))
    )
    one = decide(near, LIMITS)
    assert (one.act.what, _stage_one(one)["next"]) == ("done", "bare hub")


@pytest.mark.usefixtures("fewest_seatings")
def test_with_a_case_no_probability_leaves_it_on_by_one_turn():
    case = Case()
    read = parse(HEAD + rows(1, 6.0, "cleaned") + THICK.replace("as found", "cleaned"))
    found = weigh(read, case, menu=False)
    assert found.do == names.MEASURE + names.SECOND_TURN
    assert causes_read.reads_next(found, found.do) == (names.SECOND_TURN, 0)
    text = causes_first.first_line(found, read, case).replace("\u00a0", " ")
    assert second_turn.ORDER in text
    assert "under the limit, 50 µm (probability " in text
    assert "eave it there" not in text
    twice = parse(HEAD + 2 * rows(1, 6.0, "cleaned") + THICK.replace("as found", "cleaned"))
    assert weigh(twice, case, menu=False).do == names.LEAVE
    assert _ends(names.LEAVE, decide(read, LIMITS).act)


def test_its_card_reads_as_it_stands_and_writes_a_turn_of_the_same_mount():
    found = finding(do=names.MEASURE + names.SECOND_TURN)
    keys = causes_work.work_keys(found)
    assert "read" in keys
    assert not {"rotor off", "clean", "tighten", "fit"} & set(keys)
    mount = found.told.states[-1].mounts[-1]
    box = causes_work.work_now(found, "read", keys)
    assert box == second_turn.box(found.told)
    assert f"written as a further turn of mount {mount}" in box
    assert any("one turn more" in row for _, rows_ in causes_work.written(found, keys) for row in rows_)


@pytest.mark.parametrize(("turns", "steps"), [(1, ["second turn", "done"]), (2, ["done"])])
def test_what_follows_is_foreseen_where_it_repeats(turns, steps):
    one = asked(*[rows(2, 8.0)] * turns)
    assert [one.act.what, *(act.what for act in foreseen(one.read, one.told, LIMITS, one.act))] == steps


def test_the_unit_is_tried_with_that_turn():
    assert second_turn.UNIT_TOO not in second_turn.with_unit(second_turn.DO, tried=True)
    assert second_turn.with_unit(second_turn.DO, tried=False).endswith(second_turn.UNIT_TOO + "{off}")


def test_a_mounting_over_the_limit_or_of_another_state_is_no_second_turn():
    """Three mountings read 55, 51 and 38 µm, "alike", and the 38 was left on; so was one turn of either cleaning."""
    assert asked(rows(2, 21.0), rows(3, 20.0)).act.what == "done"  # two under it that read alike
    over = asked(rows(2, 27.0), rows(3, 23.0))
    assert over.act.what != "done"
    twice = asked(rows(2, 9.0), rows(3, 8.0, "cleaned again"))
    assert twice.act.what == "second turn"
    assert asked(rows(2, 9.0), rows(3, 8.0, "cleaned again"), rows(3, 8.0, "cleaned again")).act.what == "done"


def test_no_probability_leaves_on_what_reads_over_its_limit():
    """ "It is under the limit (probability 88 %)" stood beside 51 µm, limit 50."""
    over = SimpleNamespace(what=rules.FINER, read_um=51.0, limit_um=50.0)
    assert _not_over_as_read(names.LEAVE, over) == names.MEASURE + names.FINER_DIAL
    assert _not_over_as_read(names.LEAVE, SimpleNamespace(what=rules.FINER, read_um=49.0, limit_um=50.0)) == names.LEAVE
    assert _not_over_as_read(names.INDEX, over) == names.INDEX


@pytest.mark.parametrize("turns_of_face", [1, 2, 3])
@pytest.mark.parametrize("face_um", [2.0, 17.0, 19.0, 22.0])
@pytest.mark.parametrize("turned", [(), (1,)])
def test_no_mounting_stays_on_by_its_one_turn_whatever_was_read_of_the_bare_face(turns_of_face, face_um, turned):
    """A face read twice near its limit, of which no third is asked, let a rotor stay on by one turn of 30 µm."""
    face = face_of(face_um * 140.0 / 64.0 / 2.0)
    stands = [*[(2 + k, 1, stud) for k, stud in enumerate(turned)], (4, 1, 3), (4, 2, 3)]
    turns = [mounted(stud, HUB, OWN, mount, "cleaned") for mount, _, stud in stands]
    once, twice = (
        decide(Readings(5, 140.0, 64.0, 10.0, (*those, EVEN, *[face] * turns_of_face)), LIMITS)
        for those in (turns[:-1], turns)
    )
    assert NAMED[by_machine(once.act, once.told).what] not in LEFT_ON
    if twice.act.what == "done" and (once.act.hub_face.state == "below" or once.act.hub_face.let_be):
        assert once.act.what == "second turn"
