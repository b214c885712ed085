"""Turns of one thing that part, in shape, all round or by a slip: that reading leads, and nothing is ordered on top."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from scenes.command.road_options import Measured
from scenes.words import mountings as said
from scenes.words import to_read_again
from sim.bench.from_readings import together
from sim.bench.open_readings import open_readings
from sim.causes.decision import decide
from sim.errors import BadInput
from sim.files.dial_readings import parse
from sim.parts.case import Case, Limits

PLACES, LIMITS = np.arange(12) * 30.0, Limits(mounted_runout_um=50.0)
HEAD = (
    "# studs: 5\n# gauge_radius_mm: 140\n# hub_face_radius_mm: 64\n# dial_um: 2\n# turned: counter-clockwise\n"
    "# dial: + towards\ntrace,mount,studs_turned,angle_deg,reading_um,state,clamped_by,dial_um\n"
)


def wave(tir_um, order=1, at_deg=0.0):
    return np.round(tir_um / 2.0 * np.cos(order * np.radians(PLACES - at_deg)))


def slip(values, place, by=100.0):
    return values + by * (place == PLACES)


def turn(kind, mount, values, state="cleaned"):
    thick = kind == "thickness"
    held, step = ("", 1) if thick or kind == "hub face" else ("nuts and spacers", 2)
    before, after = f"{kind},{'' if kind == 'hub face' else mount},0", f"{state},{held},{step if thick else 2}\n"
    rows = "".join(f"{before},{a:g},{v:g},{after}" for a, v in zip(PLACES, values, strict=True))
    return rows if thick else f"{rows}{before},feeler,100,{after}"


FOUND = turn("mounted", 1, wave(14.0), "as found")
ONCE = turn("mounted", 2, wave(12.0))
CLEAN = 2 * ONCE
FACE = turn("hub face", 0, wave(8.0))
EVEN, UNEVEN = 11_600.0 + wave(4.0, 2), 11_600.0 + wave(24.0, 2)


def asked(*turns):
    """What a table orders by itself: the act, its lead, and the lines at its foot."""
    decided = decide(parse(HEAD + "".join(turns)), LIMITS)
    foot = to_read_again.remarks(decided.told, decided.read)
    ordered = [to_read_again.as_it_stands(one.text, decided.told) for one in open_readings(decided.read)]
    assert all(one in foot for one in ordered)
    assert not any("third time" in one or ": read " in one for one in foot if one not in ordered)
    lead = said.lead(decided.told, decided.act, to_read_again.doubts(decided.read))
    assert ("Read again before anything" in lead) == bool(ordered)
    assert all(one in lead for one in ordered)
    return decided.act, lead, foot


def thick(*values, mount=1):
    return [turn("thickness", mount, one) for one in values]


BESIDE = (FOUND, FACE, CLEAN)


def test_turns_of_the_thickness_that_part_in_shape_are_read_a_third_time_and_two_that_agree_count():
    """The rotor that goes was left on by the second turn alone, beside a line that ordered a third."""
    act, lead, _ = asked(*BESIDE, *thick(UNEVEN, EVEN))
    assert act.what == "read again"
    assert "read it a third time: the turns that agree count" in lead
    for third, what in ((UNEVEN, "worn"), (EVEN, "done")):
        assert asked(*BESIDE, *thick(UNEVEN, EVEN, third + 1.0))[0].what == what
    # Two against two is open; the fifth settles it.
    act, lead, _ = asked(*BESIDE, *thick(UNEVEN, EVEN, UNEVEN + 1.0, EVEN))
    assert (act.what, "read 4 times" in lead, "once more" in lead) == ("read again", True, True)
    assert asked(*BESIDE, *thick(UNEVEN, EVEN, UNEVEN + 1.0, EVEN, UNEVEN))[0].what == "worn"
    # Two that part are no pair beside a third that is unlike both; it is read until two agree.
    lump = UNEVEN + 30.0 * ((PLACES >= 90.0) & (PLACES <= 180.0))
    assert asked(*BESIDE, *thick(UNEVEN, lump, EVEN))[0].what == "read again"
    assert asked(*BESIDE, *thick(UNEVEN, lump, EVEN, UNEVEN + 1.0))[0].what == "worn"
    # Of two mounts it is one rotor: cleaning brings no metal back. Turns that hardly part count with each other.
    for less in (UNEVEN, 11_600.0 + wave(19.0, 2)):
        assert asked(*BESIDE, *thick(less), *thick(EVEN, mount=2))[0].what == "read again"
    act = asked(*BESIDE, *thick(11_600.0 + wave(16.0, 2)), *thick(11_600.0 + wave(10.0, 2), mount=2))[0]
    assert (act.what, act.varies.turns) == ("finer micrometer", 2)


def test_turns_of_the_thickness_that_part_all_round_are_read_again_and_the_thinner_counts_until_then():
    """A rotor of 9.70 mm was left on by a second turn of 10.30, and nothing said that they differ."""
    for one, other in ((9_700.0, 10_300.0), (10_300.0, 9_700.0), (10_060.0, 9_999.0)):
        act, lead, _ = asked(*BESIDE, *thick(one + wave(4.0, 2), other + wave(4.0, 2)))
        assert (act.what, act.thinnest_mm) == ("read again", pytest.approx((min(one, other) - 2.0) / 1000.0))
        assert f"read twice, {abs(one - other) / 1000.0:.2f} mm apart all round" in lead
    for third in (9_700.0, 10_300.0):
        act = asked(*BESIDE, *thick(*(level + wave(4.0, 2) for level in (9_700.0, 10_300.0, third))))[0]
        assert (act.what, act.thinnest_mm) == ("done", pytest.approx((third - 2.0) / 1000.0))
        foot = asked(*BESIDE, *thick(*(level + wave(4.0, 2) for level in (9_700.0, 10_300.0, third))))[2]
        assert any(
            "one of 3 turns is left out, 2 agree and count: it stood 0.60 mm off all round" in one for one in foot
        )
    # A rotor that reads thinner in a later mount may have been cut; thicker it cannot be.
    assert asked(*BESIDE, *thick(11_800.0 + wave(4.0, 2)), *thick(11_500.0 + wave(4.0), mount=2))[0].what == "done"
    act = asked(*BESIDE, *thick(11_500.0 + wave(4.0, 2)), *thick(11_800.0 + wave(4.0), mount=2))[0]
    assert (act.what, act.thinnest_mm) == ("read again", pytest.approx(11.498))
    act, lead, _ = asked(*BESIDE, *thick(*(level + wave(4.0, 2) for level in (9_700.0, 10_300.0, 10_000.0))))
    assert (act.what, "read 3 times, 0.60 mm apart all round" in lead) == ("read again", True)
    # From any zero a table has no level.
    assert asked(*BESIDE, *thick(wave(4.0, 2), 12.0 + wave(4.0, 2)))[0].what == "done"


#: Of a face of 31, 15, 16 and 30 µm, each as it was read: one of either pair hardly parts from one of the other.
PAIRS = (
    (12, 15, 12, 8, 1, -7, -13, -16, -14, -8, 1, 8), (6, 7, 7, 3, 0, -4, -8, -8, -7, -4, 0, 4),
    (7, 8, 8, 3, -1, -5, -7, -8, -8, -5, 0, 5), (13, 15, 14, 7, -1, -8, -13, -15, -12, -7, -1, 7),
)  # fmt: skip


@pytest.mark.parametrize("order", [*permutations(range(4))])
def test_two_turns_of_a_face_against_two_are_no_three_in_whatever_order(order):
    """In some orders "the others agree, read 3 times alike", and a hub was bought."""
    bare = [turn("hub face", 0, PAIRS[k]) for k in order]
    act, lead, _ = asked(FOUND, *bare, CLEAN, *thick(EVEN))
    assert (act.what, "read 4 times" in lead) == ("read again", True)
    for more, what in ((0, "hub"), (1, "done")):
        assert asked(FOUND, *bare, *[turn("hub face", 0, PAIRS[more])] * 3, CLEAN, *thick(EVEN))[0].what == what


@pytest.mark.parametrize(
    ("kind", "level", "one", "other", "seed"),
    [("mounted", 0.0, 44.0, 70.0, 30), ("thickness", 11_600.0, 13.0, 26.0, 10)],
)
def test_nor_are_two_turns_of_a_rotor_against_two(kind, level, one, other, seed):
    """Moved to another stud, or renewed, by two turns and one of those that do not agree with them."""

    def read(by, k):
        return np.round(wave(by) + np.random.default_rng(seed + k).normal(0.0, 1.0, PLACES.size)) + level

    rest = [part for part in BESIDE if not part.startswith(kind)] + thick(EVEN) * (kind == "mounted")
    often = [turn(kind, 2, read(by, k)) for k, by in enumerate((one, other, one, other))]
    assert asked(*rest, *often)[0].what == "read again"


@pytest.mark.parametrize("order", [*permutations(range(3))])
@pytest.mark.parametrize("sizes", [(14.0, 13.0, 26.0), (32.0, 17.0, 30.0)])
def test_a_fine_dial_tells_turns_of_one_face_that_lie_thirteen_micrometres_apart(order, sizes):
    """Of 14, 13 and 26 the middle was below the limit, "leave it there"; 32, 17 and 30 were "read 3 times alike"."""

    def read(by, k):
        return np.round(wave(by) + np.random.default_rng(k).normal(0.0, 1.0, PLACES.size))

    bare = [read(sizes[k], k) for k in order]
    assert asked(FOUND, *(turn("hub face", 0, one) for one in bare), CLEAN, *thick(EVEN))[0].what == "read again"


def test_of_a_turn_that_slipped_the_other_places_outvote_no_two_sound_turns():
    """They counted alone: 27 beside two turns of 18, and the face was looked at."""
    bare = [slip(wave(27.0), 120.0, 50.0), wave(18.0), wave(18.0)]
    act, _, _ = asked(FOUND, *(turn("hub face", 0, one) for one in bare), CLEAN, *thick(EVEN))
    assert (act.hub_face.turns, round(act.hub_face.runout_um)) == (2, 18)


def test_what_slipped_and_was_read_again_is_held_against_it_by_its_other_places():
    """A slip took the play away: 80 um with one sign lost, then 38, and the rotor was left on."""
    for kind, one, other in (
        ("mounted", wave(80.0), wave(38.0)),
        ("thickness", UNEVEN, EVEN),
        ("hub face", wave(40.0), wave(8.0)),
    ):
        rest = [
            row for name, row in (("mounted", CLEAN), ("hub face", FACE), ("thickness", thick(EVEN)[0])) if name != kind
        ]
        number = 2 if kind == "mounted" else 1
        whole = [FOUND, *rest, turn(kind, number, one), turn(kind, number, other)]
        slipped = [FOUND, *rest, turn(kind, number, slip(one, 150.0)), turn(kind, number, other)]
        for table in (whole, slipped):
            assert asked(*table)[0].what == "read again"
        _, lead, foot = asked(*slipped)
        assert any("its other places do not come back either" in note for note in foot)
        assert ("rock the hub first" in lead) == (kind != "thickness")
        assert asked(*slipped, *[turn(kind, number, other)] * 2)[0].what == "done"
    act, _, foot = asked(FOUND, FACE, *thick(EVEN), turn("mounted", 2, slip(wave(12.0), 150.0)), CLEAN)
    assert act.what == "done"
    assert foot == ("mounted, mount 2: a turn that gave a slip away was read again and counts no more",)


def test_what_two_turns_read_alike_is_no_slip_and_is_not_ordered_again():
    """Beside a part that was bought stood "read 90 degrees again", which had been read again."""
    bump = slip(wave(12.0), 90.0, 40.0)
    act, lead, foot = asked(FOUND, FACE, *thick(EVEN), turn("mounted", 2, bump), turn("mounted", 2, bump))
    assert act.what != "read again"
    assert "degrees again" not in lead
    assert any("90 degrees stands about 40 µm off the others and reads so again: no slip" in one for one in foot)
    # More turns that read it otherwise make it one all the same.
    act, _, foot = asked(FOUND, FACE, *thick(EVEN), *[turn("mounted", 2, bump)] * 2, *[CLEAN] * 3)
    assert (act.what, act.read_um) == ("done", pytest.approx(12.0, abs=1.0))
    assert foot == ("mounted, mount 2: a turn that gave a slip away was read again and counts no more",)
    # Slips at two places are two slips: the last is read again, and a sound turn ends it.
    two = [turn("mounted", 2, slip(wave(12.0), place)) for place in (90.0, 210.0)]
    act, lead, _ = asked(FOUND, FACE, *thick(EVEN), *two)
    assert "read 210 degrees again" in lead
    assert "read 90 degrees again" not in lead
    assert asked(FOUND, FACE, *thick(EVEN), *two, CLEAN)[0].what == "done"
    # Dirt on a bare face that was wiped off is no slip either.
    dirty = turn("hub face", 0, slip(wave(8.0), 120.0, 60.0))
    act, _, foot = asked(FOUND, dirty, FACE, *thick(EVEN), CLEAN)
    assert act.what == "done"
    assert (
        "hub face: a turn with a slip, or dirt under the tip, was read again; its other places count with that" in foot
    )


def test_a_place_of_a_clean_bare_face_that_stands_up_is_looked_at_once_before_anything_is_left_on():
    """It stood beside every lead, to the last, and none ordered it."""
    up = slip(wave(8.0), 120.0, 60.0)
    act, lead, _ = asked(FOUND, turn("hub face", 0, up), *thick(EVEN), CLEAN)
    assert (act.what, "at 120 degrees: dirt, or misread; look there, wipe it, read it again" in lead) == (
        "read again",
        True,
    )
    twice = (FOUND, turn("hub face", 0, up), turn("hub face", 0, up + 1.0), *thick(EVEN), CLEAN)
    act, lead, foot = asked(*twice)
    # What two turns read alike is no slip: it is never left out, and over the limit it is looked at.
    assert (act.what, act.hub_face.to_look_at) == ("bare hub", True)
    assert lead.startswith("Next: rotor off and look at the bare hub face at 120°, before anything is moved, bought")
    assert [one for one in foot if "hub face" in one] == [
        "hub face: 120 degrees stands about 60 µm off the others and reads so again: no slip"
    ]
    # Stoned off and read again, in a state of its own, it is gone; nothing is said of it any more.
    flat = turn("hub face", 0, wave(8.0), "cleaned again")
    again = turn("mounted", 3, wave(13.0), "cleaned again")
    assert asked(*twice, flat, again)[0].what == "second turn"  # on another seat than the one before
    act, _, foot = asked(*twice, flat, again, again)
    assert (act.what, act.hub_face.state, foot) == ("done", "below", ())
    # As found nobody cleaned it.
    assert asked(FOUND, turn("hub face", 0, up, "as found"), *thick(EVEN))[0].what == "clean"


def test_slips_of_the_thickness_in_two_mounts_that_were_read_again_order_nothing_more():
    """Beside "leave it there", and beside a part that was bought, four lines ordered a reading that was taken."""
    slips = [*thick(slip(EVEN, 120.0)), *thick(slip(EVEN, 210.0), mount=2)]
    assert asked(*BESIDE, *slips)[0].what == "read again"
    for sound in ([*thick(EVEN, mount=2)], [*thick(EVEN, mount=2), *thick(EVEN)], thick(EVEN, EVEN, mount=2)):
        act, lead, foot = asked(*BESIDE, *slips, *sound)
        assert act.what == "done"
        assert lead.startswith("The stamp first")
        assert not any("again" in one and "counts no more" not in one for one in foot)


def test_a_bare_face_that_was_read_as_found_is_not_held_against_the_clean_one():
    dirty = turn("hub face", 0, wave(30.0), "as found")
    assert asked(FOUND, dirty, *thick(EVEN), FACE, CLEAN)[0].what == "done"
    act, lead, _ = asked(FOUND, *thick(EVEN), turn("hub face", 0, wave(30.0)), FACE, CLEAN)
    assert (act.what, "hub face: read twice" in lead) == ("read again", True)
    act, lead, foot = asked(FOUND, *thick(EVEN), turn("hub face", 0, wave(30.0)), *[FACE] * 3, CLEAN)
    assert act.what == "done"
    assert lead.startswith("Before anything else the hub is rocked: a turn of the bare hub face was left out")
    assert "hub face: 1 of 4 turns is left out, 3 agree and count, once the hub was rocked and has no play" in foot


def test_what_is_done_about_two_things_that_part_is_said_once_and_what_where_nothing_moves():
    moved = [turn("mounted", 2, wave(60.0, 1, at)) for at in (0.0, 70.0, 140.0, 210.0, 280.0, 350.0)]
    decided = decide(
        parse(HEAD + "".join([FOUND, turn("hub face", 0, wave(40.0)), FACE, *thick(EVEN), *moved])), LIMITS
    )
    lead = said.lead(decided.told, decided.act, to_read_again.doubts(decided.read))
    assert "mounted, mount 2: read 6 times" in lead
    assert "hub face: read twice, and the two turns differ by up to" in lead
    assert lead.count("rock the hub first") == 1
    assert lead.index("mounted, mount 2") < lead.index("hub face: read")  # the rotor comes off for the face
    lone = decide(parse(HEAD + "".join([FOUND, FACE, *thick(EVEN), *moved])), LIMITS)
    assert "then the bearing judged under load" in said.lead(lone.told, lone.act, to_read_again.doubts(lone.read))


def test_a_mount_whose_turns_part_counts_for_nothing_once_a_later_one_reads_alike_and_the_hub_is_rocked():
    """Its turns, 50 um apart, were averaged, and one turn more of the next mount took the rocking of the hub away."""
    parted = [turn("mounted", 2, wave(tir, 1, at)) for tir, at in ((46.0, 0.0), (70.0, 60.0))]
    later = turn("mounted", 3, wave(12.0))
    assert asked(FOUND, FACE, *thick(EVEN), *parted, later)[0].what == "read again"
    act, lead, foot = asked(FOUND, FACE, *thick(EVEN), *parted, later, later)
    assert (act.what, act.read_um) == ("done", pytest.approx(12.0))
    assert lead.startswith("Before anything else the hub is rocked: mount 2 was left out, the others agree")
    assert any(
        "mount 2 is left out: its turns differ and it stands no more; turns of mount 3 agree" in one for one in foot
    )


def test_a_bare_face_in_a_file_of_its_own_counts_with_what_slipped_in_it_too():
    """`index` read the face once less than `causes` did: "leave it on" beside "hub and bearing"."""
    face = [turn("hub face", 0, slip(wave(26.0), 150.0)), *[turn("hub face", 0, wave(26.0))] * 2]
    hub, rotor = parse(HEAD + "".join(face)), parse(HEAD + "".join([FOUND, CLEAN, *thick(EVEN)]))
    whole = decide(parse(HEAD + "".join([FOUND, *face, CLEAN, *thick(EVEN)])), LIMITS)
    assert decide(together(hub, rotor), LIMITS).act.hub_face == whole.act.hub_face
    assert whole.act.hub_face.times == 3


def test_bad_turns_of_a_mount_end_once_more_agree_and_the_last_three_do():
    """Two bad turns and three honest ones, read as ordered until three agreed, ordered the same for ever."""
    bad = [turn("mounted", 2, wave(tir, 1, at)) for tir, at in ((60.0, 90.0), (60.0, 90.0))]
    rest = (FOUND, FACE, *thick(EVEN), *bad)
    assert asked(*rest, *[ONCE] * 2)[0].what == "read again"
    act, lead, foot = asked(*rest, *[ONCE] * 3)
    assert act.what == "done"
    assert lead.startswith("Before anything else the hub is rocked")
    assert any("2 of 5 turns are left out, 3 agree" in one for one in foot)


def test_two_faces_and_a_thickness_that_cannot_all_be_right_are_read_once_more_and_then_the_order_goes_on():
    """The faces differed by 25 µm once a turn, the micrometer read 4: cleaned and quiet it was left on."""
    inboard = [turn("inboard", 2, -wave(size)) for size in (12.0, 37.0)]  # the dial stands behind it
    assert asked(*BESIDE, inboard[0], *thick(EVEN, mount=2))[0].what == "done"
    act, lead, _ = asked(*BESIDE, inboard[1], *thick(EVEN, mount=2))
    assert act.what == "read again"
    assert "the two faces of mount 2 as read differ by about 25 µm once a turn" in lead
    leaning = 11_600.0 - wave(25.0)  # the thickness bears the faces out: it goes, nothing contradicts
    assert asked(*BESIDE, inboard[1], *thick(leaning, mount=2))[0].what == "worn"
    again = (CLEAN, inboard[1], *thick(EVEN, mount=2))
    assert "faces of mount 2" not in asked(FOUND, FACE, *again, *again)[1]


def test_what_the_micrometer_showed_stands_for_the_stamp_after_a_turn_from_any_zero():
    """12.39 mm of 12.4 all round, then the shape read once more from zero: "discard not checked", nothing bought."""
    read = parse(HEAD + FOUND + "".join(thick(EVEN, EVEN - EVEN[0])))
    assert read.thinnest_mm == pytest.approx(EVEN.min() / 1000.0)
    assert parse(HEAD + FOUND + "".join(thick(EVEN - EVEN[0]))).thinnest_mm is None


def test_a_road_is_not_driven_from_a_table_whose_bare_face_parts(tmp_path):
    path = tmp_path / "parts.csv"
    path.write_text(HEAD + CLEAN + turn("hub face", 0, wave(34.0)) + turn("hub face", 0, wave(8.0)))
    with pytest.raises(BadInput, match="hub face: read twice, and the two turns differ"):
        Measured(mounted=path).road(Case())
    path.write_text(HEAD + CLEAN + FACE + FACE)
    assert Measured(mounted=path).road(Case()).bare_hub is not None


def test_a_road_from_the_last_mount_names_a_stud_that_was_read_to_run_out_less(tmp_path):
    path, again = tmp_path / "studs.csv", turn("mounted", 3, wave(88.0))
    better = turn("mounted", 2, wave(30.0)).replace("mounted,2,0,", "mounted,2,1,")
    path.write_text(HEAD + better + again)
    assert "clean, on stud 2, it read 30 µm: index it there first" in Measured(mounted=path).road(Case()).mounted_which
    path.write_text(HEAD + ONCE + again)
    assert "index it there" not in Measured(mounted=path).road(Case()).mounted_which


def test_a_slip_takes_no_play_away_from_a_bare_face():
    """30 µm with a lost sign, then 12 and 12: the eleven sound places were averaged in, "17 ± 4, below its limit"."""
    loose, still = [0, -2, -8, -14, -22, -28, -32, -28, -22, -16, -8, -2], [0, -2, -2, -6, -8, *[-12] * 4, -6, -4, -2]
    for first in (np.array(loose), np.abs(loose) * np.where(PLACES == 180, 1, -1)):
        faces = [turn("hub face", 0, values) for values in (first, np.array(still), np.array(still))]
        _, lead, _ = asked(FOUND, CLEAN, *faces)
        assert "hub face: read 3 times, and two of the turns differ" in lead


def test_a_turn_from_any_zero_in_a_later_mount_shows_no_metal_gone():
    """22 µm with a level, then 4 µm from zero after cleaning: "nothing is bought", of a rotor that varies by 22."""
    turns = [turn("thickness", 1, UNEVEN), turn("thickness", 2, EVEN - EVEN[0])]
    _, lead, _ = asked(FOUND, turns[0], CLEAN, turns[1])
    assert "thickness, mount 2: read twice, and the two turns differ" in lead


def test_an_odd_turn_of_three_and_more_is_seen_sooner_and_pulls_no_mean_under_a_limit():
    """11 of 23 µm with a dragging tip, then 26 three times: "22 ± 5, read 4 times alike", and the hub stayed."""
    faces = [turn("hub face", 0, wave(tir_um)) for tir_um in (11.0, 26.0, 28.0, 26.0)]
    _, lead, foot = asked(FOUND, CLEAN, *faces)
    assert "the hub is rocked" in lead
    assert any("1 of 4 turns is left out" in one for one in foot)
    odd = [turn("thickness", 2, EVEN + wave(tir_um, 2)) for tir_um in (18.0, 2.0, 19.0)]
    assert parse(HEAD + FOUND + CLEAN + "".join(odd)).thickness.turns == 2


def test_nothing_rests_on_a_mount_that_was_read_before_the_bare_face_was_stoned():
    up = turn("hub face", 0, slip(wave(8.0), 120.0, 60.0))
    before = (FOUND, up, up, *thick(EVEN), CLEAN)
    flat = turn("hub face", 0, wave(8.0), "cleaned again")
    act, lead, _ = asked(*before, flat)
    assert act.what == "read again"
    assert (
        "mount 2 was read before the bare hub face was looked at, and that reads otherwise since: put the rotor" in lead
    )
    assert "back on the same stud and read it (next mount number, state cleaned again)" in lead
    again = turn("mounted", 3, wave(13.0), "cleaned again")
    assert asked(*before, flat, again)[0].what == "second turn"
    assert asked(*before, flat, again, again)[0].what == "done"
    # The same lines in a table of the hub and one of the rotor, which tell no order: each mount was "read before".
    hub, rotor = parse(HEAD + up + up + flat), HEAD + FOUND + thick(EVEN)[0] + CLEAN
    once, since = parse(rotor), parse(rotor + again + again)
    acts = [decide(together(hub, one), LIMITS).act.what for one in (once, since)]
    assert acts == ["read again", "done"]
    # A face that reads as it did was not changed: the mounts before it count, though the rotor came off for it.
    act, lead, _ = asked(FOUND, FACE, *thick(EVEN), CLEAN, turn("hub face", 0, wave(8.0), "cleaned again"))
    assert (act.what, "reads otherwise since" in lead, "came off for the bare hub face since" in lead) == (
        "read again",
        False,
        True,
    )


def test_what_is_read_as_it_stands_comes_before_nuts_are_slackened():
    """A slip in the mount that stands was ordered read again behind "slacken the nuts and tighten them anew"."""
    for turns in ([slip(wave(60.0), 90.0)], [wave(60.0), wave(60.0, 1, 90.0)]):
        _, lead, _ = asked(FOUND, FACE, *thick(EVEN), CLEAN, *(turn("mounted", 3, one) for one in turns))
        assert "again before anything is blamed or bought: mounted, mount 3: read " in lead
        assert "slacken" not in lead
    _, lead, _ = asked(FOUND, FACE, FACE, *thick(EVEN, UNEVEN), ONCE, turn("mounted", 3, wave(60.0)))
    places = [lead.index(one) for one in ("thickness, mount 1: read twice", "mount 3 stands where mount 2 stood")]
    assert places == sorted(places)
    face = turn("hub face", 0, wave(40.0))
    _, lead, _ = asked(FOUND, FACE, face, *thick(EVEN), ONCE, turn("mounted", 3, wave(60.0)))
    assert lead.index("mount 3 stands where mount 2 stood") < lead.index("hub face: read twice")


def test_a_mount_that_stands_no_more_is_not_left_on():
    """Mount 3 was on, its thickness read; or further turns of the bare face stood below those of mount 2."""
    act, lead, _ = asked(*BESIDE, *thick(EVEN, mount=3))
    assert act.what == "read again"
    assert "mounted, mount 2 was read, but mount 3 was put on since (thickness): read mount 3 as it stands" in lead
    act, lead, _ = asked(*BESIDE, *thick(EVEN), FACE)
    assert act.what == "read again"
    assert "the rotor came off for the bare hub face since: put it back on the same stud" in lead
    # Raised metal is looked at while it is bare; stoned and read, the rotor goes back on and is read anew.
    up = turn("hub face", 0, slip(wave(8.0), 120.0, 60.0))
    act, lead, _ = asked(FOUND, up, *thick(EVEN), CLEAN, up)
    assert (act.what, "look at the bare hub face at 120" in lead) == ("bare hub", True)
    flat = turn("hub face", 0, wave(8.0), "cleaned again")
    act, lead, _ = asked(FOUND, up, *thick(EVEN), CLEAN, up, flat)
    assert (act.what, "put the rotor back on the same stud and read it" in lead) == ("read again", True)
    # On a hub that goes nothing is read once more.
    act, lead, _ = asked(*BESIDE, *thick(EVEN), *[turn("hub face", 0, wave(60.0))] * 3)
    assert act.what == "hub"
    assert "the rotor came off" not in lead
    again = turn("mounted", 3, wave(12.0))
    for table in (
        (*BESIDE, *thick(EVEN), again),
        (*BESIDE, *thick(EVEN), FACE, again),
        (FOUND, CLEAN, *thick(EVEN), FACE),
    ):
        assert asked(*table)[0].what == "done"
    hub = parse(HEAD + FACE * 2)
    assert decide(together(hub, parse(HEAD + FOUND + "".join(thick(EVEN)) + CLEAN)), LIMITS).act.what == "done"


def test_a_thickness_of_a_mount_that_is_gone_is_read_on_the_rotor_as_it_is():
    _, lead, _ = asked(*BESIDE, *thick(slip(EVEN, 90.0, 60.0)))
    assert "(mount 1 stands no more: on the rotor as it is, entered under mount 2)" in lead
    assert asked(*BESIDE, *thick(slip(EVEN, 90.0, 60.0)), *thick(EVEN, mount=2))[0].what == "done"


def test_a_road_is_driven_where_the_order_is_to_leave_it_at_its_limit(tmp_path):
    """Cleaned twice, what that did was not settled for the road: it asked for a turn that nothing else asked."""
    path = tmp_path / "again.csv"
    turns = [turn("mounted", 1, wave(56.0), "as found"), turn("mounted", 2, wave(50.0, 1, 290.0))]
    turns += [turn("mounted", 3, wave(18.0, 1, 270.0), "cleaned again")]
    turns += [turn("mounted", k, wave(tir, 1, 300.0), "cleaned again") for k, tir in ((4, 54.0), (5, 36.0))]
    table = (HEAD + "".join(turns)).replace("# dial_um: 2", "# dial_um: 10").replace(",2\n", ",10\n")
    path.write_text(table)
    assert not open_readings(decide(parse(table), LIMITS).read)
    assert Measured(mounted=path).road(Case()).mounted_um is not None


@pytest.mark.parametrize("away", [False, True])
@pytest.mark.parametrize("moved", ["at once", "all the way"])
@pytest.mark.parametrize(("tir_um", "at_deg", "parts"), [(48.0, 0.0, False), (50.0, 40.0, True), (25.0, 180.0, True)])
def test_a_dial_off_its_start_explains_no_more_of_the_next_turn_than_it_came_off(tir_um, at_deg, parts, moved, away):
    """Two turns of one untouched mounting lay 75 µm apart, the first 15 off its start: the thickness was ordered."""
    way = PLACES / 360.0 if moved == "all the way" else 1.0 * (PLACES >= 150.0)
    sign = -1.0 if away else 1.0
    off, again = wave(50.0) + 15.0 * way, wave(tir_um, at_deg=at_deg)
    first = turn("mounted", 1, sign * off, "as found")
    closed = first.replace(
        "mounted,1,0,feeler", f"mounted,1,0,360,{sign * 40.0:g},as found,nuts and spacers,2\nmounted,1,0,feeler"
    )
    head = HEAD.replace("+ towards", "+ away") if away else HEAD
    read = parse(head + closed + turn("mounted", 1, sign * again, "as found"))
    decided = decide(read, LIMITS)
    lead = said.lead(decided.told, decided.act, to_read_again.doubts(read))
    assert ("rock the hub first" in lead) is parts
    assert any("part by more than that explains" in one for one in read.notes) is parts
    assert any("counts no more" in one for one in read.notes) is not parts
    assert (decided.act.what == "read again") is parts
    alone = parse(head + closed)  # told as this dial shows it
    assert [one.text for one in alone.faults if f"came back {sign * 15.0:+.0f} µm off its start" in one.text]


def shaken(*places):
    """Turns of one mounting, each misread at one place; by 60 µm, each time the same way."""
    return [turn("mounted", 1, slip(wave(44.0), place, 60.0), "as found") for place in places]


@pytest.mark.parametrize(
    ("places", "told"),
    [
        ((60.0, 150.0, 270.0), True),  # each place was read right twice
        ((60.0, 150.0), False),  # once
        ((60.0, 150.0, 60.0), False),
        ((60.0, 150.0, 270.0, 330.0), True),
    ],
)
def test_turns_misread_at_other_places_each_time_are_put_right_by_each_other(places, told):
    """Three turns of one seat, a slip in each: asked for a turn without one, again and again."""
    read = parse(HEAD + "".join(shaken(*places)))
    open_ones = [one for one in read.faults if one.doubts]
    assert (not open_ones) is told
    assert any("misread at other places each time" in one for one in read.notes) is told
    if told:
        assert len(read.of("mounted")) == len(places)
        for one in read.of("mounted"):
            np.testing.assert_allclose(one.value_um - one.value_um.mean(), wave(44.0) - wave(44.0).mean(), atol=1.5)


def test_turns_that_part_or_slip_twice_are_not_put_right():
    apart = shaken(60.0, 150.0)
    turned = turn("mounted", 1, slip(wave(44.0, at_deg=70.0), 270.0, 60.0), "as found")
    twice = turn("mounted", 1, slip(slip(wave(44.0), 90.0, 60.0), 240.0, -60.0), "as found")
    for third in (turned, twice):
        read = parse(HEAD + "".join((*apart, third)))
        assert not any("misread at other places each time" in one for one in read.notes)
        assert any(one.doubts for one in read.faults)


@pytest.mark.parametrize("twice", [False, True])
def test_a_rotor_that_may_be_off_for_its_bare_face_is_not_left_there_as_it_was_read(twice):
    """ "Rotor off, read the bare hub face", and the answer with that face: "leave it there"."""
    on = CLEAN if twice else ONCE
    for rows, off in (((on, FACE), True), ((FACE, on), False)):
        one = decide(parse(HEAD + "".join((FOUND, *thick(EVEN), *rows))), LIMITS)
        assert one.told.off_since is off
        assert one.act.what == ("done" if twice else "second turn")
        text = said.lead(one.told, one.act, [])
        assert ("Where the rotor came off for the bare hub face since" in text) is off
