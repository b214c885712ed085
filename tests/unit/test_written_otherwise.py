"""A whole turn written otherwise is told as that, read again as it stands, and left out; sound turns are not."""

from dataclasses import replace

import numpy as np
import pytest

from scenes.words import causes_do, left_out, to_read_again
from scenes.words import mountings as said
from scenes.words import written as written_words
from sim.bench import read_otherwise
from sim.bench.bare_face import HubFace
from sim.bench.read_otherwise import GONE, held, how
from sim.bench.written_otherwise import EARLY, LATE, ON_STUD, REVERSED, TURNED_OVER, UNSIGNED, Way
from sim.causes import names
from sim.causes import otherwise as ways
from sim.causes.answer import Otherwise
from sim.causes.decision import decide
from sim.files.dial_readings import Readings, parse
from sim.files.readings_head import NO_PLAY
from tests.unit.hand_made_finding import finding
from tests.unit.test_mountings import EVEN, LIMITS, face_of, mounted

HUB, ROTOR = 20.0 * np.exp(-0.7j), 46.0 * np.exp(1.6j)
WRITTEN = {
    TURNED_OVER: lambda value: -value,
    REVERSED: lambda value: np.roll(value[::-1], 1),
}


def clean(stud, mount, hub=HUB, rotor=ROTOR, state="cleaned"):
    return mounted(stud, hub, rotor, mount, state)


def written(turn, what):
    return replace(turn, value_um=WRITTEN[what](turn.value_um))


def bare(hub=HUB):
    return replace(face_of(hub), state="cleaned")


def table(*turns, bearing=""):
    return Readings(5, 140.0, 64.0, 10.0, turns, entered=turns, every=turns, bearing=bearing)


def asked(*turns):
    one = decide(table(*turns, EVEN), LIMITS)
    return one, said.lead(one.told, one.act, to_read_again.doubts(one.read)).replace("\u00a0", " ")


FOUND = mounted(0, HUB, ROTOR, 1, "as found")


@pytest.mark.parametrize(
    ("what", "words"), [(TURNED_OVER, "every sign turned over"), (REVERSED, "the other way round")]
)
def test_a_clean_mounting_that_is_anothers_mirror_is_read_again_as_it_stands_before_anything_lies_between(what, words):
    """Mount 2 was mount 1 with every sign turned over: "more stays with the hub (77 µm), something still lies"."""
    slip = written(clean(0, 2), what)
    one, text = asked(FOUND, bare(), slip)
    assert one.act.what == "read again"
    assert text.startswith("Read again before anything is blamed or bought: mounted, mount 2: ")
    assert words in text
    assert "read it again as it stands, one whole further turn" in text
    assert "bearing" not in text
    assert "lies between" not in text
    # Read as it is, that turn counts no more, and nothing of it is called a bearing's play.
    one, text = asked(FOUND, bare(), slip, clean(0, 2))
    assert one.act.what != "read again"
    assert any("was read again and counts no more" in note for note in one.read.notes)
    assert "bearing play, a dial that moved" not in text
    assert not one.told.states[-1].now.left_out


def test_one_that_stands_no_more_is_named_first_and_left_out():
    slip = written(clean(0, 2), REVERSED)
    one, text = asked(mounted(0, HUB, ROTOR + 40.0, 1, "as found"), bare(), slip, clean(2, 3), clean(4, 4))
    assert text.startswith("Mounted, mount 2: written the other way round it would fit the other readings")
    assert "put on there again it is a new mount. " in text
    assert 2 not in {mount for state in one.told.states for mount in state.mounts}
    assert "lies between" not in text


def test_a_bare_face_written_otherwise_is_read_once_more():
    over = replace(bare(), value_um=-bare().value_um)
    one, text = asked(FOUND, over, clean(0, 2), clean(2, 3))
    assert one.act.what == "read again"
    assert "hub face: with every sign turned over it would fit the other readings" in text
    assert "read it once more, as further lines (the rotor comes off for it" in text
    assert asked(FOUND, over, bare(), clean(0, 2), clean(2, 3))[0].act.what != "read again"


@pytest.mark.parametrize("tables", ["sound", "dirt left", "bent stud", "one odd seat", "throws"])
def test_what_else_parts_sound_turns_is_no_slip_of_the_pen(tables):
    turns = {
        "sound": (FOUND, bare(), clean(0, 2), clean(2, 3), clean(4, 4)),
        "dirt left": (FOUND, bare(), clean(0, 2, HUB + 25.0j), clean(2, 3, HUB + 25.0j)),
        "bent stud": (FOUND, bare(), *(clean(k, k + 2, HUB - 20.0, state="cleaned again") for k in (0, 2))),
        "one odd seat": (FOUND, bare(), clean(0, 2), clean(2, 3, rotor=0.4 * ROTOR), clean(2, 4)),
        "throws": (FOUND, bare(), *(clean(0, 2, rotor=ROTOR + by) for by in (0.0, 21.0, -9.0 + 18.0j))),
    }[tables]
    assert held(table(*turns)).faults == ()


def test_how_a_turn_would_fit_is_said_in_a_tables_words():
    ways = [Way(FOUND, what, 3, 1.0) for what in (TURNED_OVER, REVERSED, LATE, EARLY, UNSIGNED, ON_STUD)]
    assert how(ways[-1]) == "on stud 4, not stud 1"
    assert how(replace(ways[-1], turn=bare())) == "with its angles counted from stud 4"
    assert how(ways[2]) == how(ways[3]) == "begun one place off"
    assert len({how(one) for one in ways}) == 5


def test_on_another_stud_than_written_no_turn_as_it_stands_tells_and_it_is_put_on_again_once():
    """Read again as it stands it reads as before: twenty turns were asked of one mount."""
    elsewhere = replace(mounted(0, 2.0 * HUB, ROTOR, 4, "cleaned"), studs_turned=3)
    turns = (FOUND, bare(2.0 * HUB), *(clean(k, k + 2, 2.0 * HUB) for k in (0, 1)), elsewhere)
    one, text = asked(*turns)
    assert one.act.what == "read again"
    assert "mounted, mount 4: on stud 1, not stud 4 it would fit the other readings" in text
    assert "look on which stud the painted hole sits: where it is that one write that stud" in text
    assert "rotor off, both faces wiped, put it back on the same stud" in text
    assert "as it stands" not in text
    settled = asked(*turns, clean(3, 5, 2.0 * HUB))[1]
    assert "look on which stud" not in settled
    alike = (elsewhere, replace(elsewhere, mount=5))
    assert "look on which stud" not in asked(*turns[:-1], *alike)[1]


def test_what_may_be_a_slip_or_a_seat_is_said_before_the_order_and_nothing_is_left_out():
    """ "49 µm apart: bearing play, dirt that moved": a painted hole on another stud was not named."""
    elsewhere = replace(clean(4, 3), studs_turned=3)
    one, text = asked(FOUND, bare(), clean(0, 2), elsewhere, clean(3, 4))
    assert text.startswith("Mounted, mount 3: on stud 5, not stud 4 it would fit the other readings")
    assert "unless it sat otherwise there: look at what is written. " in text
    assert 3 in one.told.states[-1].mounts
    assert left_out.first(["mounted, mount 3: read again"]) == ""
    (may,) = read_otherwise.said(one.read)
    assert left_out.first([may], stays=True) == ""
    assert left_out.first([may, f"mount 2{GONE}"], stays=True).startswith("Mount 2")
    assert held(one.read).faults == one.read.faults
    assert asked(FOUND, bare(), clean(0, 2))[0].read.bearing != NO_PLAY


FOLDED = (20, 35, 45, 25, 0, 25, 30, 30, 25, 20, 15, 0)
READ = (20, 35, 40, 25, 0, -20, -30, -25, -20, -20, -10, 5)
HEAD = (
    "# studs: 6\n# gauge_radius_mm: 140\n# hub_face_radius_mm: 64\n# dial_um: 10\n# turned: clockwise\n"
    "# dial: + towards\n"
    "trace,mount,studs_turned,angle_deg,reading_um,state,clamped_by\n"
)


def test_a_turn_without_a_minus_sign_that_dips_to_nought_twice_is_told_so_though_it_has_two_waves():
    """ "Read 270 and 300 and 330 and 0 again, signs lost there": lost at 150 .. 300, and then "bearing play"."""
    rows = [
        "".join(f"mounted,1,0,{30 * k},{value},as found,nuts and spacers\n" for k, value in enumerate(turn))
        for turn in (FOLDED, READ)
    ]
    minus = "".join(f"mounted,1,0,{30 * k},{-value},as found,nuts and spacers\n" for k, value in enumerate(FOLDED))
    for text in (rows[0], minus):  # "no reading is negative" was said of twelve that were
        (fault,) = parse(HEAD + text).faults
        assert fault.text.startswith("mounted, mount 1: its readings have one sign; with part of them turned over")
        assert fault.angle_deg == ()
    both = parse(HEAD + "".join(rows))
    assert both.faults == ()
    assert len(both.traces) == 1
    assert parse(HEAD + rows[1]).faults == ()


def test_with_a_case_the_mount_that_stands_is_read_as_it_stands_before_it_comes_off_for_another_stud():
    """ "The readings do not fit as they are written": which of them, and why a third stud helps, was not said."""
    told = decide(table(FOUND, clean(0, 2), clean(2, 3), EVEN), LIMITS).told
    way_of = {mount: Otherwise(ways.READ, "mounted", (mount,), (), 0.4) for mount in (2, 3)}
    assert ways.as_it_stands(way_of[3], told)
    assert not ways.as_it_stands(way_of[2], told)
    twice = decide(table(FOUND, clean(0, 2), clean(2, 3), clean(2, 3), EVEN), LIMITS).told
    assert not ways.as_it_stands(way_of[3], twice)
    made = replace(finding(otherwise=(way_of[3],)), told=told)
    assert "mount 3 read the other way round it would fit" in written_words.reasons(made)[0]
    assert (
        "it is read again as it stands, one whole further turn, before the rotor comes off"
        in (written_words.reasons(made)[0])
    )
    assert written_words.not_as_written(made).endswith("mount 3 read the other way round they would")
    face = Otherwise(ways.HUB_FACE, "hub face", (), (), 0.4)
    assert "the bare hub face does not fit" in written_words.not_as_written(replace(made, otherwise=(face,)))


@pytest.mark.parametrize(("turns", "told"), [((3,), 1), ((3, 3), 0)])
def test_of_a_mount_with_another_turn_nothing_is_said_that_the_other_tells(monkeypatch, turns, told):
    """ "Leave it there" stood behind "mount 3 would fit written otherwise", of a turn that had been read again."""
    there = [clean(2, mount) for mount in turns]
    read = table(FOUND, bare(), clean(0, 2), *there, clean(2, 4))
    maybe = Way(there[0], LATE, 2, 0.5)
    monkeypatch.setattr(read_otherwise, "otherwise", lambda _: (maybe,))
    assert len(read_otherwise.said(held(read))) == told


def test_a_probability_that_rests_on_one_turn_of_the_bare_face_says_so():
    """ "Under the limit with a probability of 88 %", of a stud that read over it: that turn was begun a place late."""
    one_stud = decide(table(FOUND, clean(0, 2), EVEN), LIMITS).told
    two_studs = decide(table(FOUND, clean(0, 2), clean(2, 3), EVEN), LIMITS).told
    face = HubFace(10.0, 6.0, 22.9, "below", 64.0, 140.0, 10.0, 6.0)
    made = replace(finding(do=names.INDEX, hub_face=face), told=one_stud)
    assert causes_do._indexed(made).endswith("if the one turn of the bare hub face is written right")
    for other in (replace(made, told=two_studs), replace(made, hub_face=replace(face, times=2))):
        assert "written right" not in causes_do._indexed(other)


def test_what_is_left_out_as_written_otherwise_may_have_sat_so_and_gave_no_slip_away():
    """ "Unless it sat otherwise there", and "gave a slip away and stands no more" at the end of the same answer."""
    text = left_out.stand_no_more_said({"2": f"mounted, mount 2: it would fit{read_otherwise.CHECK}"})
    assert "slip" not in text
    assert "if it sat otherwise one mounting does not leave the rotor on" in text
    assert left_out.stand_no_more_said({"2": f"mounted, mount 2: it would fit{GONE}"}) == ""
    assert ", unless it sat otherwise there or the bearing throws" in GONE
