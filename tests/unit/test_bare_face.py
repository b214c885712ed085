"""The bare hub face: one figure with one uncertainty through every door."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from scenes.command.road_options import hub_as_read
from scenes.words import bare_face, findings, hub_and_rotor, memory, mountings, what_leads
from sim import turn
from sim.bench.bare_face import HubFace
from sim.bench.cleaned_again import settled
from sim.bench.from_readings import index_readings
from sim.bench.known_parts import FACE_AS_FOUND, from_readings
from sim.bench.mountings import told_apart
from sim.bench.next_act import bare_hub, next_act
from sim.bench.third_turn import third_hardly_matters
from sim.causes import names
from sim.causes.one_act import NAMED, read_next
from sim.files.dial_readings import Readings, Trace, parse
from sim.parts.case import Case, Limits
from tests.unit.test_mountings import EVEN, mounted

ANGLE = np.arange(0.0, 360.0, 30.0)
ON = Trace("mounted", 1, 0, ANGLE, turn.evaluate(np.array([0, 20.0]), np.radians(ANGLE)), state="cleaned")


def face(dial_um=10.0, off_deg=0.0, noise_um=0.0, **said):
    """A bare face that runs out 25 um."""
    angle = ANGLE + off_deg
    shown = turn.evaluate(np.array([0, 12.5]), np.radians(angle)) + noise_um * np.cos(5.0 * np.radians(angle))
    return Trace("hub face", 0, 0, angle, shown, state="cleaned", dial_um=dial_um, **said)


def held(*faces) -> HubFace:
    """What every door holds against the limit; `index` has no other figure."""
    read = Readings(5, 140.0, 64.0, 10.0, (ON, *faces))
    found, indexed = bare_hub(read, Limits(hub_face_runout_um=25.0)), index_readings(read, read)
    assert found is not None
    assert (found.lean_um, found.lean_uncertainty_um) == (indexed.hub_face_um, indexed.hub_face_doubt_um)
    return found


def test_index_and_causes_have_one_uncertainty_and_it_falls_with_repeats():
    """The same rows were told 28 +- 4 by index, which took a coarse turn for a fine one, and 28 +- 6 by causes."""
    once, twice, thrice, often = (held(*[face()] * count) for count in (1, 2, 3, 200))
    assert [one.turns for one in (once, twice, thrice)] == [1, 2, 3]
    assert once.uncertainty_um > twice.uncertainty_um + 1.0 > thrice.uncertainty_um + 1.1 > often.uncertainty_um + 2.0
    # What stays: the dial's smooth error along its travel, and its creep; the first place read again tells the second.
    assert often.uncertainty_um == pytest.approx(4.0 * np.hypot(1.0, 3.0 / np.pi / np.sqrt(2.0)), rel=0.02)
    assert held(face(drift_um=0.5)).uncertainty_um < once.uncertainty_um - 0.3


def test_of_turns_that_agree_the_finest_dial_counts_and_one_that_does_not_agree_counts_no_more():
    coarse, fine = face(noise_um=2.0), face(1.0)
    both = held(coarse, fine)
    assert (both.alike, both.times, both.turns, both.dial_um) == (2, 1, 1, 1.0)
    assert replace(held(fine, coarse), coarser=0) == replace(both, coarser=0) == held(fine)
    assert held(face(noise_um=60.0), fine).times == 1
    # At other places both turns count.
    assert held(fine, face(1.0, off_deg=15.0)).uncertainty_um < held(fine).uncertainty_um - 0.2


def read_at(hub_um, rotor_um, *faces, studs=(0, 2, 1, 3, 4), limit_um=25.0, put_back=False):
    """A cleaned corner on these studs, the last read twice, hub and rotor as first orders at the gauge; what is said.

    Put back, it was read once more behind the bare faces.
    """
    mounted = [
        Trace(
            "mounted", k, at, ANGLE, wave(rotor_um + hub_um * np.exp(2j * np.pi * at / 5)), state="cleaned", dial_um=1.0
        )
        for k, at in enumerate(studs, 1)
    ]
    even = Trace("thickness", 1, 0, ANGLE, np.full(12, 22000.0), state="cleaned", dial_um=1.0)
    back = [replace(mounted[-1], mount=len(mounted) + 1)] if put_back else []
    read = Readings(5, 140.0, 64.0, 10.0, (*mounted, mounted[-1], *[even] * 3, *faces, *back))
    told = told_apart(read)
    todo = next_act(read, told, Limits(hub_face_runout_um=limit_um))
    return todo, mountings.lead(told, todo, []).replace("\u00a0", " ")


def wave(first_um):
    return turn.evaluate(np.array([0, first_um / 2.0]), np.radians(ANGLE))


@pytest.mark.parametrize("faces", [[face()] * 3, [face(1.0)] * 3, [face(), face(1.0), face(1.0)]])
def test_a_face_under_its_limit_by_less_than_its_uncertainty_counts_neither_as_over_nor_under(faces):
    """It ended nowhere: "the vehicle maker's limit for it decides", of a limit that the case file held."""
    todo, text = read_at(54.7, -40.0, *faces, studs=(0,), limit_um=26.0)
    assert (todo.what, todo.hub_face.state) == ("done", "too close to tell")
    assert "he runout is done" in text
    assert "leave it there" in text
    assert "The bare hub face is at its limit, 25 ± " in text
    assert "limit 26 µm, and no more reading is asked: it counts neither as over nor as under, and nothing is" in text
    for loop in ("decides", "read it again", "finer dial", "finest dial"):
        assert loop not in text


def test_a_face_that_reads_over_its_limit_is_read_three_times_and_then_counts_as_over():
    """Of 46 +- 6 over 40 the second turn left the hub on; a third called it over. True: 48, the maker's limit 40."""
    for count, more in ((1, "twice more"), (2, "once more")):
        todo, text = read_at(54.7, -40.0, *[face(1.0)] * count, studs=(0,), limit_um=21.0)
        assert (todo.what, todo.hub_face.state, todo.hub_face.read_out) == ("done", "too close to tell", False)
        assert f"The bare hub face is at or near its limit: read it {more} with the finest dial at hand" in text
        assert "is done: on clean faces" not in text
        assert "neither" not in text
    todo, text = read_at(54.7, -40.0, *[face(1.0)] * 3, studs=(0,), limit_um=21.0)
    assert (todo.what, todo.hub_face.counted) == ("hub", True)
    assert text.startswith(
        "Hub and bearing: the bare hub face counts as over its limit: the middle of 3 turns is 25 ± 5 µm"
    )
    assert "no more reading is asked" in text
    # By more than its uncertainty it is over once it was read twice alike, by whatever dial: no hub by one turn.
    for dial_um in (1.0, 10.0):
        for count in (1, 2):
            todo, text = read_at(54.7, -40.0, *[face(dial_um)] * count, studs=(0,), limit_um=14.0)
            assert (todo.what, todo.hub_face.counted, todo.hub_face.read_out) == ("hub", False, count > 1)
            assert ("bare clean hub face once more" in text) is (count == 1)


def test_by_a_limit_worked_out_of_the_mounted_one_no_middle_buys_a_hub_on_which_a_rotor_runs_true():
    """25 ± 9 µm over a limit of 23 that no maker gave, the rotor on it at 10 of 50: "hub and bearing"."""
    true_, over, three = (54.7, -40.0), (54.7, 10.0), [face(1.0)] * 3
    for rotor, limit_um, what in ((true_, None, "done"), (true_, 21.0, "hub"), (over, None, "hub")):
        todo, text = read_at(*rotor, *three, studs=(0,), limit_um=limit_um)
        assert todo.what == what
        if limit_um is None and what == "done":
            assert (todo.hub_face.state, todo.hub_face.let_be) == ("too close to tell", True)
            assert "the face is read again when the rotor is next off, before another one goes on" in text
    twice_over = [replace(one, value_um=1.6 * one.value_um) for one in three]
    assert read_at(*true_, *twice_over, studs=(0,), limit_um=None)[0].what == "hub"


def test_a_hub_is_bought_by_three_turns_of_the_dial_that_reads_finest():
    """A coarse turn counted as the third, and "the middle of 3 turns" stood above "middle of 2 turns" of one page."""
    coarse, fine = face(10.0, noise_um=2.0), face(1.0)
    for many, wanted in ((1, "twice more"), (2, "once more")):
        act, text = read_at(56.0, -14.0, coarse, *[fine] * many, limit_um=23.0)
        assert act.hub_face.read_on
        assert (act.hub_face.times, act.hub_face.alike) == (many, many + 1)
        assert f"read it {wanted} with the finest dial at hand" in text
        assert "the middle of three turns of that dial that agree decides" in text
    act, text = read_at(56.0, -14.0, coarse, *[fine] * 3, limit_um=23.0)
    assert act.what == "hub"
    assert "the middle of 3 turns is 25 ± 5" in text
    assert "middle of 3 turns" in hub_and_rotor.hub_line(act)


def test_a_hub_is_bought_by_no_figure_that_is_printed_as_its_limit():
    """Of 23.3 µm, limit 22.9, "23 ± 5 µm, limit 23 µm" was bought."""
    for limit_um, read, limit in ((24.6, "25.0", "24.6"), (23.0, "25", "23"), (24.98, "25.00", "24.98")):
        act, text = read_at(56.0, -14.0, *[face(1.0)] * 3, limit_um=limit_um)
        assert act.what == "hub"
        assert f"the middle of 3 turns is {read} ± 5 µm (k = 2), limit {limit} µm" in text
        assert f"{read} ± 5 µm (k = 2; middle of 3 turns)" in hub_and_rotor.hub_line(act)
        assert f"over its limit, {limit} µm there" in hub_and_rotor.hub_line(act)


def test_a_face_near_its_limit_counts_as_over_once_no_stud_reads_under_the_runouts():
    todo, text = read_at(60.0, 3.0, *[face()] * 3, limit_um=26.0)
    assert (todo.what, todo.hub_face.state) == ("hub", "too close to tell")
    assert text.startswith("Hub and bearing: the bare hub face is at its limit, 25 ± 6 µm (k = 2; read 3 times alike)")
    assert "it counts as over (common practice, no source)" in text
    assert "no more reading is asked" in text
    assert "neither" not in text
    # Read once it is read again, as further lines; that ends it.
    todo, text = read_at(60.0, 3.0, face(), limit_um=26.0)
    assert text.startswith("Hub and bearing first: the bare hub face is at its limit, 25 ± 7 µm (k = 2), limit 26 µm")
    assert "read it twice more with the finest dial at hand" in text
    # A rotor with the larger share goes itself, whatever the hub counts as.
    assert read_at(55.0, 130.0, *[face()] * 3, limit_um=26.0)[0].what == "rotor's seat"


def test_where_the_mean_of_the_runout_counts_as_over_so_does_a_face_at_its_limit_and_it_is_said_once():
    todo, text = read_at(52.0, 0.5, *[face()] * 3, studs=(0, 2, 1, 3, 4, 4), limit_um=26.0)
    assert (todo.what, todo.turns) == ("at the limit", 3)
    assert (
        "It counts as over, unless the vehicle maker's limit (--limit takes it) is higher: the bare hub face, at"
        in text
    )
    assert text.count("bare hub face") == 1


def uneven(height_um, at_deg=75.0, half_deg=25.0, waves=0, dial_um=1.0, places=12, state="cleaned"):
    """A bare face that leans by 4 um and stands up at one place, or has so many waves a turn."""
    angle = np.arange(places) * 360.0 / places
    off = (angle - at_deg + 180.0) % 360.0 - 180.0
    hump = np.where(np.abs(off) < half_deg, height_um * np.cos(np.pi / 2.0 * off / half_deg) ** 2, 0.0)
    more = height_um / 2.0 * np.cos(waves * np.radians(angle - at_deg)) if waves else hump
    value = np.round((turn.evaluate(np.array([0, 2.0]), np.radians(angle)) + more) / dial_um) * dial_um
    return Trace("hub face", 0, 0, angle, value, state=state, dial_um=dial_um)


@pytest.mark.parametrize(
    "read",
    [
        uneven(40.0),  # between two places: the dial showed 22 over a limit of 23
        uneven(90.0),
        uneven(35.0, at_deg=60.0, dial_um=5.0),
        uneven(32.0, 30.0, waves=3),
        uneven(32.0, 35.0, waves=4),
        uneven(44.0, 40.0, waves=2, places=6),
        uneven(30.0, 0.0, waves=4, places=8),
        uneven(30.0, 30.0, waves=3, places=16),
        uneven(34.0, 0.0, waves=5),
    ],
)
@pytest.mark.parametrize("times", [1, 2, 3])
def test_no_bare_face_is_acquitted_by_a_fit_where_the_dial_showed_more(read, times):
    """Raised metal read alike three times, 25 um over a limit of 23, was "17 +- 5, below its limit. Leave it there"."""
    todo, text = read_at(10.0, 10.0, *[read] * times, studs=(0,), limit_um=23.0)
    assert (todo.what, todo.hub_face.state) == ("bare hub", "too close to tell")
    assert text.startswith("Next: rotor off and look at the bare hub face at ")
    assert "straight edge across it with a light behind" in text
    assert "stoned flat by hand, on clean metal" in text
    assert "and the face read again" in text
    assert ", as further lines with the state 'cleaned again'" in text
    assert "it counts as over: hub and bearing" in text
    assert "eave it there" not in text
    line = hub_and_rotor.hub_line(todo).replace("\u00a0", " ")
    assert "below its limit" not in line
    assert "more than a lean" in line


def test_waves_are_told_with_their_own_size_beside_the_lean():
    todo, _ = read_at(10.0, 10.0, uneven(32.0, 30.0, waves=3), studs=(0,), limit_um=23.0)
    line = hub_and_rotor.hub_line(todo).replace("\u00a0", " ")
    assert "Its lean alone, 4 µm, brings" in line
    assert "most of it 3 waves a turn of 32 µm" in line
    assert todo.hub_face.lean_um == pytest.approx(4.0, abs=0.5)


def test_once_it_was_looked_at_a_face_still_over_is_a_hubs_and_one_that_was_stoned_flat_is_done():
    read, corner = [uneven(60.0)] * 3, {"studs": (0,), "limit_um": 23.0}
    flat, high = (uneven(height, state="cleaned again") for height in (0.0, 60.0))
    assert read_at(10.0, 10.0, *read, flat, **corner)[0].what == "read again"  # that mount lay on what is gone
    stoned = read_at(10.0, 10.0, *read, flat, put_back=True, **corner)[0]
    assert (stoned.what, stoned.hub_face.state) == ("done", "below")
    for turns, begins in ((1, "Hub and bearing first: the bare hub face"), (2, "Hub and bearing: the bare hub face")):
        still, text = read_at(10.0, 10.0, *read, *[high] * turns, **corner)
        assert (still.what, still.hub_face.state) == ("hub", "above")
        assert text.startswith(f"{begins} is over its limit")


def test_lips_at_every_bolt_hole_buy_no_hub_and_an_even_face_is_left_alone():
    angle = np.arange(20) * 18.0
    lips = np.where(np.isin(angle, np.arange(5) * 72.0), 40.0, 0.0)
    read = Trace("hub face", 0, 0, angle, np.round(lips), state="cleaned", dial_um=1.0)
    for times in (1, 2, 3, 6):
        todo, _ = read_at(10.0, 10.0, *[read] * times, studs=(0,), limit_um=23.0)
        assert (todo.what, todo.hub_face.to_look_at) == ("bare hub", True)
    beside = replace(read, value_um=np.zeros(20), state="cleaned again")
    assert read_at(10.0, 10.0, read, beside, studs=(0,), limit_um=23.0, put_back=True)[0].what == "done"
    assert read_at(10.0, 10.0, uneven(8.0), studs=(0,), limit_um=23.0)[0].what == "done"


def test_humps_and_waves_that_few_places_showed_by_half_are_read_at_twelve():
    few = uneven(32.0, 15.0, waves=4, places=8)  # shows 16 um of 32, limit 23
    todo, text = read_at(10.0, 10.0, few, few, studs=(0,), limit_um=23.0)
    assert todo.hub_face.as_shown.read_um < 20.0
    assert todo.hub_face.to_look_at
    assert "the face read again at 12 places evenly apart (fewer may miss the tops)" in text


def test_one_coarse_turn_over_the_limit_that_may_be_scatter_is_read_on_and_acquits_nothing():
    """A dial of ten-micrometre steps showed 30 um over a limit of 23, its lean 14: all within what it scatters."""
    high = np.zeros(24)
    high[[0, 4, 16]] = 10.0
    angle = np.arange(24) * 15.0
    value = np.round(turn.evaluate(np.array([0, 7.0]), np.radians(angle)) / 10.0) * 10.0 + high
    read = Trace("hub face", 0, 0, angle, value, state="cleaned", dial_um=10.0)
    todo, text = read_at(10.0, 10.0, read, studs=(0,), limit_um=23.0)
    assert (todo.hub_face.as_shown.read_um, todo.hub_face.as_shown.uneven) == (30.0, False)
    assert (todo.hub_face.state, todo.hub_face.to_look_at) == ("too close to tell", False)
    assert "read it twice more with the finest dial at hand" in text
    assert "eave it there" not in text


def alike(dial_um, up_um=0.0):
    """A bare face that a dial shows all alike, but for one place a division up."""
    shown = np.zeros(12)
    shown[5] = up_um
    return Trace("hub face", 0, 0, ANGLE[:12], shown, state="cleaned", dial_um=dial_um)


@pytest.mark.parametrize(
    ("dial_um", "up_um", "limit_um", "coarse"),
    [(25.4, 0.0, 18.0, True), (12.7, 12.7, 23.0, True), (12.7, 0.0, 23.0, False), (10.0, 10.0, 23.0, False)],
)
def test_a_dial_whose_division_hides_the_limit_acquits_no_bare_face(dial_um, up_um, limit_um, coarse):
    """A face of 23 µm reads the same all round in thousandths of an inch: "0 ± 13, below its limit, 18"."""
    read = Readings(5, 140.0, 64.0, 10.0, (ON, *[alike(dial_um, up_um)] * 3))
    found = bare_hub(read, Limits(hub_face_runout_um=limit_um))
    assert found.coarse is coarse
    assert (found.state == "below") is not coarse
    assert (found.uncertainty_um >= dial_um) is coarse
    assert not (found.coarse and found.read_out)  # however often: a finer dial is asked for
    assert ("mm a division or finer" in bare_face.read_again(found)) is coarse
    fine = replace(alike(1.0), value_um=11.0 * np.cos(np.radians(ANGLE[:12])))
    assert not bare_hub(replace(read, traces=(*read.traces, fine)), Limits(hub_face_runout_um=limit_um)).coarse


def half_divisions(dial_um, *turns):
    """Turns of a bare face as a dial read to half divisions shows them, in half divisions."""
    return [
        Trace("hub face", 0, 0, ANGLE[:12], np.array(one) * dial_um / 2.0, state="cleaned again", dial_um=dial_um)
        for one in turns
    ]


def test_no_hub_is_bought_by_three_turns_of_a_dial_too_coarse_for_its_limit():
    """A face of 18 µm of 23: told four times that 0.025 mm is too coarse, then "25 ± 15, hub or bearing is renewed"."""
    read = half_divisions(
        25.0,
        (0, 0, 0, -1, -1, -1, -1, -2, -1, -1, -1, 0),
        (0, 0, 0, 0, -1, -1, -1, -1, -1, -1, -1, 0),
        (0, 0, 0, -1, -1, -1, -1, -2, -1, -1, -1, 0),
    )
    for count in (1, 2, 3):
        todo, text = read_at(10.0, 10.0, *read[:count], studs=(0, 2), limit_um=23.0)
        assert (todo.hub_face.coarse, todo.hub_face.state) == (True, "too close to tell")
        if count == 1:
            assert "read it with a dial of 0.01 mm a division or finer" in text
            assert "who has none finer stops here, no hub is bought and nothing left on by that dial" in text
        else:  # asked for once: it ends
            assert (todo.what, read_next(NAMED[todo.what], True, todo.hub_face, 1)) == (
                "finer gauge",
                None,
            )
            assert f"in divisions of 25 µm, limit 23 µm, {count} times, and may lie on either side of it" in text
            assert "the bare face by a dial of 0.01 mm a division or finer" in text
            assert "who has none finer stops here and hands the work on" in text
            assert "Until then the wheel stays off and no part is bought by these turns: this is not done" in text
            assert "read it with a dial" not in text
        assert not any(said in text for said in ("straight edge", "is renewed", "Leave it there"))
        assert "Repeats by one dial lessen it" not in hub_and_rotor.hub_line(todo)  # not what its division hides
    far = half_divisions(25.0, *[(0, -2, -4, -5, -4, -2) * 2] * 2)
    found = bare_hub(Readings(5, 140.0, 64.0, 10.0, (ON, *far)), Limits(hub_face_runout_um=23.0))
    assert (found.state, found.coarse) == ("above", False)  # 62 µm is over 23 by any dial


def test_middles_of_half_divisions_count_as_over_no_limit_that_most_turns_were_under():
    """A face of 18 µm of 23 read 25, 20 and 20 µm: "the middle of 3 turns is 24 ± 9 µm", hub or bearing renewed."""
    turns = half_divisions(
        10.0,
        (0, 1, 0, -1, -2, -3, -3, -4, -3, -2, -1, -1),
        (0, 1, -1, -1, -2, -3, -3, -3, -3, -2, -2, -1),
        (0, 0, -1, -1, -2, -3, -4, -4, -3, -2, -1, 0),
    )
    found = bare_hub(Readings(5, 140.0, 64.0, 10.0, (ON, *turns)), Limits(hub_face_runout_um=23.0))
    assert found.as_shown.read_um > 23.0 > found.runout_um
    assert (found.state, found.at_last) == ("too close to tell", True)


def after_two_cleanings(hub_um, rotor_um, bare, rows=("cleaned", "cleaned", "cleaned again")):
    """What readings alone order, and its words, of a rotor on studs 1, 3, 3 and 1 over this face."""
    on = [mounted(at, hub_um, rotor_um, k, how) for k, (at, how) in enumerate(zip((0, 2, 2, 0), rows, strict=False), 1)]
    read, again = settled(Readings(5, 140.0, 64.0, 10.0, (*on, EVEN, *bare)))
    found = told_apart(read, again)
    todo = next_act(read, found, Limits(mounted_runout_um=30.0, hub_face_runout_um=23.0))
    said = (mountings.lead(found, todo, []), *hub_and_rotor.sentences(found))
    return todo, " ".join(said).replace("\u00a0", " ")


@pytest.mark.parametrize("rows", [("cleaned", "cleaned", "cleaned again"), ("cleaned", "cleaned")])
@pytest.mark.parametrize("hub_um", [27.0, 50.0])
def test_a_face_that_its_dial_is_too_coarse_for_is_read_finer_before_anything_is_laid_on_the_hub(rows, hub_um):
    """Told that no more reading is asked and that the face explains nothing, and then to read that face finer."""
    todo, text = after_two_cleanings(hub_um, 3.0, [alike(25.4)], rows)
    assert (todo.what, todo.hub_face.coarse) == ("bare hub", True)
    assert text.startswith("Next: the bare hub face first: read it with a dial of 0.01 mm a division or finer")
    for never in (
        "tell all",
        "does not explain",
        "scraper",
        "hub or bearing",
        "renewed",
        "same as it was read on last",
    ):
        assert never not in text
    assert "The bare hub face reads 0 ± 25 µm (k = 2), limit 23 µm" in text
    if hub_um < 30.0:
        assert "the face, hardly known itself, may explain what stays with the hub" in text
        assert "something lies between" not in text


def test_a_face_near_its_limit_is_read_on_before_it_is_said_that_readings_tell_all():
    once = face(2.0)
    near = replace(once, value_um=once.value_um * 11.0 / 12.5)
    assert after_two_cleanings(50.0, 3.0, [near])[0].what == "bare hub"
    assert "tell all" not in after_two_cleanings(50.0, 3.0, [near])[1]
    assert after_two_cleanings(50.0, 3.0, [near] * 3)[0].what == "another stud"  # stud 1 rests on one turn
    twice = ("cleaned", "cleaned", "cleaned again", "cleaned again")
    todo, text = after_two_cleanings(50.0, 3.0, [near] * 3, twice)
    assert (todo.what, todo.hub_face.read_on) == ("open", False)
    assert "its bare face does not explain it" in text


def table_of_a_face(state):
    """Read as found 80 um; bare hub face 45 um over its limit of 23, in that state; cleaned it runs out 30 um."""
    heads = "# studs: 5\n# gauge_radius_mm: 140\n# hub_face_radius_mm: 64\n# dial_um: 2\n# turned: counter-clockwise\n"
    heads += "# dial: + towards\ntrace,mount,studs_turned,angle_deg,reading_um,state,dial_um\n"
    turns = (
        ("mounted,1,0", 40.0, "as found,"), ("thickness,1,0", 3.0, ",1"), ("hub face,,", 22.5, f"{state},"),
        ("mounted,2,0", 15.0, "cleaned,"),
    )  # fmt: skip
    lean = np.cos(np.radians(ANGLE - 40.0))
    rows = [
        f"{head},{a:g},{(24000 if 'thick' in head else 0) + round(um * one):g},{words}"
        for head, um, words in turns
        for a, one in zip(ANGLE, lean, strict=True)
    ] + [f"{head},feeler,100,{words}" for head, _, words in turns if "thick" not in head]
    return parse(heads + "\n".join(rows) + "\n")


def test_a_face_read_as_found_over_its_limit_condemns_no_hub_and_is_cleaned_and_read_again():
    """Dirt reads so too; it was "Hub and bearing first: the bare hub face is over its limit"."""
    read = table_of_a_face("as found")
    todo = next_act(read, told_apart(read))
    assert (todo.what, todo.hub_face.state, todo.hub_face.as_found) == ("bare hub", "too close to tell", True)
    text = mountings.lead(told_apart(read), todo, [])
    assert text.startswith("Next: rotor off, the hub face cleaned and read bare once more")
    assert "dirt reads so too and condemns no hub" in text
    assert "as found, before it is read clean neither over nor under its limit" in hub_and_rotor.hub_line(todo)
    kept = hub_as_read(todo.hub_face)
    assert findings.hub_face(Case(), kept).state == "too close to tell"
    assert "It is cleaned and read again" in findings.hub_face(Case(), kept).sentence
    assert what_leads.hub_over(Case(), kept).startswith(what_leads.CLEAN_FACE_FIRST)
    part = from_readings(Case(), read)[0]  # what a worn rotor's readings say of the hub beneath
    assert part.source == FACE_AS_FOUND
    assert "condemns no hub. Clean it and read it again" in memory.hub(Case(), SimpleNamespace(known=(part,)))
    for state in ("cleaned", ""):  # nobody says: it is taken at its word, with the rotor cleaned
        read = table_of_a_face(state)
        assert next_act(read, told_apart(read)).what == "hub"
        assert "hub and bearing first" in memory.hub(Case(), SimpleNamespace(known=from_readings(Case(), read)))


def test_a_face_to_look_at_leads_where_a_road_starts_and_beside_a_rotor_that_goes():
    """Every door: a road of a table with raised metal said "too close to tell" and left the rotor on."""
    face = hub_as_read(held(*[uneven(60.0)] * 3))
    stated = what_leads.of_case(Case(), hub_read=face).hub
    assert stated.startswith(
        "The bare hub face first, before a rotor is cut, renewed or left on it: rotor off, a straight"
    )
    assert "it counts neither as over nor as under" in stated
    assert "nothing is left for the rotor" not in stated
    assert bare_face.hub_too(held(uneven(60.0))).startswith(
        " Before a new rotor goes on: rotor off and look at the bare hub"
    )
    assert what_leads.of_case(Case(), hub_read=hub_as_read(held(uneven(6.0)))).hub == ""


def shaken(lean_um, noise_um, seed, dial_um=1.0, waves=0, places=12):
    """One honest turn of a face that leans, by a hand that scatters; with waves of 16 um, where there are some."""
    angle = np.arange(places) * 360.0 / places
    noise = np.random.default_rng(seed).normal(0.0, noise_um, places)
    value = turn.evaluate(np.array([0, lean_um / 2.0]), np.radians(angle)) + noise
    value = value + (8.0 * np.cos(waves * np.radians(angle) + 0.5) if waves else 0.0)
    return Trace("hub face", 0, 0, angle, np.round(value / dial_um) * dial_um, state="cleaned", dial_um=dial_um)


def test_what_a_shaky_hand_scatters_from_turn_to_turn_is_no_hump_and_waves_that_come_back_are():
    """Of honest faces at 60 to 80 % of their limit a dial of 0.001 mm sent one in eleven to the straight edge."""
    looked = {}
    for waves in (0, 4):
        turns = [[shaken(12.0, 2.5, (place, k), waves=waves) for k in range(3)] for place in range(8)]
        looked[waves] = sum(near(*each).to_look_at for each in turns)
    assert looked[0] == 0
    assert looked[4] == 8
    # One turn alone tells nobody how it scatters: a fine dial that shows so much shows humps.
    assert sum(near(shaken(12.0, 2.5, (place, 0))).as_shown.uneven for place in range(8)) > 2


def near(*faces) -> HubFace:
    """Held against a limit of 23 um."""
    return bare_hub(Readings(5, 140.0, 64.0, 10.0, (ON, *faces)), Limits(hub_face_runout_um=23.0))


def test_two_turns_that_agree_well_under_the_limit_are_not_asked_for_a_third_that_hardly_changes_it():
    """19 um, limit 23: within their uncertainty of it, and a third turn would leave it there too."""
    corner = {"studs": (0,), "limit_um": 23.0}
    todo, text = read_at(10.0, 10.0, *[shaken(16.0, 1.0, (5, k), 10.0) for k in range(2)], **corner)
    assert (todo.what, todo.hub_face.state, todo.hub_face.let_be) == ("done", "too close to tell", True)
    assert "leave it there" in text
    assert "no more reading is asked: it counts neither as over nor as under, and nothing is bought for it" in text
    asked = {
        "nearer": [shaken(20.5, 1.0, (5, k), 10.0) for k in range(2)],
        "one of them over": [shaken(14.0, 1.0, (5, 0), 10.0), shaken(24.0, 1.0, (5, 1), 10.0)],
        "at eight places": [shaken(16.0, 1.0, (5, k), 10.0, places=8) for k in range(2)],
        "once": [shaken(16.0, 1.0, (5, 0), 10.0)],
    }
    for why, faces in asked.items():
        todo, text = read_at(10.0, 10.0, *faces, **corner)
        assert not todo.hub_face.let_be, why
        assert "eave it there" not in text, why


@pytest.mark.parametrize(
    ("leans", "spared"),
    [
        ((8.5, 8.5), True),
        ((8.5,), False),
        ((8.5, 8.5, 8.5), False),  # three decide
        ((8.5, 8.5 * np.exp(0.2j)), True),
        ((8.5, 8.5 * np.exp(0.6j)), False),  # one of them may be odd
        ((7.0, 11.6), False),  # over by itself
        ((10.5, 10.5), False),  # a third may take it over
    ],
)
def test_a_third_turn_is_spared_where_it_hardly_matters(leans, spared):
    assert third_hardly_matters(leans, 2.0 * abs(np.mean(leans)), 23.0, 2.5) is spared


def test_a_hub_is_bought_for_two_turns_near_the_limit_no_sooner_than_before():
    face = near(*[shaken(16.0, 1.0, (5, k), 10.0) for k in range(2)])
    assert (face.let_be, face.read_out) == (True, False)
    assert "read it once more with the finest dial at hand" in bare_face.hub_and_bearing(face)
    assert read_next(names.HUB_AND_BEARING, True, face, 3) == names.BARE_HUB
    assert read_next(names.LEAVE, True, face, 3) is None
