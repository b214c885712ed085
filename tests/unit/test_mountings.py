"""What several mountings tell apart: closed forms, what is never told, contradictions, the command."""

import json
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import demo_geometry
from scenes.command.app import main
from scenes.words import acts, bare_face, hub_and_rotor, stamp
from scenes.words import mountings as said
from scenes.words.causes_why import _least_read
from sim import turn
from sim.bench import mountings as m
from sim.bench.left_on_studs import _with_bare, less_elsewhere
from sim.bench.mountings import best_second_position, told_apart, vector
from sim.bench.next_act import next_act
from sim.bench.pooled_turns import pooled
from sim.bench.read_alike import read_alike
from sim.causes import names, one_act
from sim.errors import BadInput
from sim.files import dial_readings
from sim.files.clean_turn import lip_shape
from sim.files.dial_readings import COUNTER, Readings, Trace
from sim.files.reading_faults import TWICE
from sim.parts.case import Limits
from sim.parts.dial import Dial
from sim.parts.thickness import MICROMETER_REPEATABILITY_UM
from tests.studies import mountings as study

ANGLE = np.arange(12) * 30.0
LIMITS = Limits()
EVEN = Trace("thickness", 1, 0, ANGLE, np.full(12, 22000.0), dial_um=1.0)
HUB, ROTOR = 30.0 * np.exp(-0.7j), 22.0 * np.exp(1.9j)


def mounted(position, hub, rotor, mount=1, state="as found", count=5, angle=ANGLE, higher=()):
    orders = np.zeros(4, dtype=complex)
    orders[1] = rotor + hub * np.exp(2j * np.pi * position / count)
    for n, (on_hub, on_rotor) in zip((2, 3), higher, strict=False):
        orders[n] = on_rotor + on_hub * np.exp(2j * np.pi * n * position / count)
    return Trace("mounted", mount, position, angle, turn.evaluate(orders, np.radians(angle)), None, state)


def told(*traces, count=5):
    return told_apart(Readings(count, 140.0, 64.0, 10.0, traces))


def lead(found, *traces, limits=LIMITS, turned=COUNTER):
    """What is said first; the table's own limits and dial."""
    read = Readings(found.studs, 140.0, 64.0, 10.0, traces, turned=turned)
    return said.lead(found, next_act(read, found, limits), [])


def act_of(*traces, count=5):
    read = Readings(count, 140.0, 64.0, 10.0, traces)
    return next_act(read, told_apart(read), LIMITS)


def at(one, order=1):
    return one.runout_um / 2 * np.exp(-1j * order * np.radians(one.high_spot_deg))


@settings(max_examples=40, deadline=None)
@given(st.integers(4, 8), st.floats(0, 60), st.floats(0, 60), st.floats(0, 6), st.floats(0, 6))
def test_exact_traces_give_both_vectors_back(count, hub, rotor, one, two):
    hub, rotor = hub * np.exp(1j * one), rotor * np.exp(1j * two)
    second = best_second_position(count)
    higher = ((4j, 5.0),)
    found = told(
        *(mounted(p, hub, rotor, k, count=count, higher=higher) for k, p in enumerate((0, second))), count=count
    )
    state = found.states[0]
    assert at(state.hub[1]) == pytest.approx(hub, abs=1e-9)
    assert at(state.rotor[1]) == pytest.approx(rotor, abs=1e-9)
    assert at(state.rotor[2], 2) == pytest.approx(5.0, abs=1e-9)


def test_all_positions_are_the_multistep_mean():
    """NIST/SEMATECH e-Handbook 3.4.4: over all steps what is fixed to the spindle averages out, but for order N."""
    rng = np.random.default_rng(2)
    traces = []
    for p in range(5):
        trace = mounted(p, HUB, ROTOR, p)
        traces.append(Trace("mounted", p, p, ANGLE, trace.value_um + rng.normal(0, 3, 12)))
    mean = np.mean([turn.fit(ANGLE, trace.value_um, 3) for trace in traces], axis=0)
    state = told(*traces).states[0]
    assert at(state.rotor[1]) == pytest.approx(mean[1], abs=1e-9)
    # Variance of one reading over five: the circle of three positions is wider by sqrt(5 gain^2).
    alone = vector(1.0, 1.0)
    assert state.rotor[1].half_um / told(*traces[:1]).states[0].sum[1].half_um == pytest.approx(
        1 / np.sqrt(5), rel=1e-9
    )
    assert alone.half_um == pytest.approx(2 * np.sqrt(-2 * np.log(0.2)), rel=1e-12)  # Rayleigh: 80 % circle


def test_one_position_parts_nothing_and_names_what_to_do():
    found = told(mounted(0, HUB, ROTOR))
    assert not found.parted
    assert found.hub_left == found.rotor_left
    assert {m.HUB_FACE, m.HUB_DIRT, m.ROTOR_RUNOUT, m.ROTOR_DIRT} <= set(found.hub_left)
    assert (found.next, found.next_studs_turned) == ("another stud", 2)
    text = " ".join([lead(found, limits=Limits(mounted_runout_um=10.0)), *hub_and_rotor.sentences(found)])
    assert "Next: thickness by micrometer at the same places, the rotor stays on" in text
    assert "not told apart" in text
    clean = mounted(0, HUB, ROTOR, state="cleaned")
    text = lead(told(clean, EVEN), clean, EVEN, limits=Limits(mounted_runout_um=10.0))
    assert "rotor off, put the painted hole on stud 3, 2 studs on from stud 1" in text
    # Two mountings at one stud position are one position.
    assert not told(mounted(1, HUB, ROTOR, 1), mounted(1, HUB, ROTOR, 2)).parted


def test_half_a_turn_is_never_advised_on_even_hubs_and_two_holes_on_five():
    """Half a turn cannot part a warp: its weight is exp(2 i pi) = 1 (closed form)."""
    assert [best_second_position(n) for n in (3, 4, 5, 6, 8)] == [1, 1, 2, 2, 3]
    found = told(mounted(0, HUB, ROTOR, 1, count=4), mounted(2, HUB, ROTOR, 2, count=4), count=4)
    assert 2 not in found.states[0].hub


def test_what_was_cleaned_off_was_dirt_and_what_stays_is_the_face():
    dirt = 25.0 * np.exp(2.2j)
    traces = [mounted(p, HUB + dirt, ROTOR, k) for k, p in enumerate((0, 2))]
    traces += [mounted(p, HUB, ROTOR, 2 + k, "cleaned") for k, p in enumerate((0, 2))]
    face = turn.evaluate(np.array([0, HUB * 64 / 140]), np.radians(ANGLE))
    found = told(*traces, Trace("hub face", 0, 0, ANGLE, face))
    assert at(found.taken_off) == pytest.approx(dirt, abs=1e-9)
    assert at(found.beyond_face) == pytest.approx(0.0, abs=0.2)  # what cleaning took is not beyond the face any more
    assert found.hub_left == (m.HUB_FACE,)
    assert found.rotor_left == (m.ROTOR_RUNOUT, m.DIRT_LEFT, m.WORN)
    text = " ".join(hub_and_rotor.sentences(found))
    assert "): dirt or scale, nuts that pulled unevenly, or how it sat." in text
    assert "the face explains what stays with the hub" in text


def test_dirt_that_cleaning_left_is_cleaned_again_and_no_hub_is_renewed_for_it():
    dirt = 25.0 * np.exp(2.2j)
    traces = [mounted(p, HUB + dirt, ROTOR, k, "cleaned") for k, p in enumerate((0, 2))]
    face = turn.evaluate(np.array([0, HUB * 64 / 140]), np.radians(ANGLE))
    thick = Trace("thickness", 1, 0, ANGLE, np.full(12, 22000.0), dial_um=1.0)
    found = told(*traces, Trace("hub face", 0, 0, ANGLE, face), thick)
    assert at(found.beyond_face) == pytest.approx(dirt, abs=0.2)
    assert m.DIRT_LEFT in found.hub_left
    assert act_of(*traces, Trace("hub face", 0, 0, ANGLE, face), thick).what == "clean again"
    assert "clean hub face, spigot and rotor seat once more" in lead(found, *traces)
    assert "slacken the nuts" not in lead(found, *traces)
    # It reads as before it was cleaned: the nuts first, in minutes, the rotor not taken off.
    as_before = [mounted(p, HUB + dirt, ROTOR, k + 3) for k, p in enumerate((0, 2))]
    read = (*as_before, *traces, Trace("hub face", 0, 0, ANGLE, face), thick)
    assert lead(told(*read), *read).startswith("Next: slacken the nuts and tighten them crosswise")
    assert m.DIRT_LEFT in told(*traces).hub_left  # without the bare face it stays open too


def test_a_clean_reading_below_the_limit_that_dirt_may_bring_about_is_no_end():
    """More stays with the hub than cleaning took away: the bare face tells whether that is the face or dirt."""
    lying, gone, rotor = 30.0, 10.0 * np.exp(1j), 26.0 * np.exp(1j * (np.pi - 0.3))
    traces = [mounted(p, lying + gone, rotor, k, "as found") for k, p in enumerate((0, 2), 1)]
    traces.append(mounted(0, lying, rotor, 3, "cleaned"))
    thick = Trace("thickness", 1, 0, ANGLE, np.full(12, 22000.0), dial_um=1.0)
    act = act_of(*traces, thick)
    assert (act.against, act.what) == ("below", "bare hub")
    assert "Dirt settles and moves" in lead(told(*traces, thick), *traces, thick)
    level = Trace("hub face", 0, 0, ANGLE, np.zeros(12))
    # One clean stud does not tell it from dirt on both parts: a second one does, and nobody cleans twice for that.
    assert (act_of(*traces, thick, level).what, act_of(*traces, thick, level).studs_turned) == ("another stud", 2)
    text = lead(told(*traces, thick, level), *traces, thick, level)
    assert "below the limit, but" in text
    assert "before anything is cleaned twice" in text
    both = (*traces, mounted(2, lying, rotor, 4, "cleaned"), thick, level)
    assert act_of(*both).what == "clean again"
    face = Trace("hub face", 0, 0, ANGLE, turn.evaluate(np.array([0, lying * 64 / 140]), np.radians(ANGLE)))
    assert act_of(*traces, thick, face).what == "done"
    # Where cleaning took most of it, what stays is no more than faces do.
    taken = [mounted(p, 4.0 + 45.0 * np.exp(1j), 8.0, k, "as found") for k, p in enumerate((0, 2), 1)]
    taken.append(mounted(0, 4.0, 8.0, 3, "cleaned"))
    assert [act_of(*taken).what, act_of(*taken, thick).what] == ["thickness", "second turn"]
    shares = hub_and_rotor.sentences(told(*taken))
    assert "cleaning has overtaken that" in shares[0]
    assert not any("(as found)" in one for one in shares)


def test_a_hub_that_the_rotor_cancels_is_read_bare_before_anything_is_left_on():
    """Cleaning took more than stays, and what stays is more than a hub face may bring: a bound, never a ± beside it."""
    lying, gone, rotor = 36.0, 46.0, -24.0
    traces = [mounted(p, lying + gone, rotor, k, "as found") for k, p in enumerate((0, 2), 1)]
    traces.append(mounted(0, lying, rotor, 3, "cleaned"))
    thick = Trace("thickness", 1, 0, ANGLE, np.full(12, 22000.0), dial_um=1.0)
    assert (act_of(*traces, thick).against, act_of(*traces, thick).what) == ("below", "bare hub")
    text = lead(told(*traces, thick), *traces, thick)
    assert "this rotor cancels it here, the next one does not" in text
    shares = " ".join(hub_and_rotor.sentences(told(*traces)))
    assert "With the hub still: 52 µm or more (unless dirt lay on both parts), high spot at " in shares
    assert "or more ±" not in shares
    face = Trace("hub face", 0, 0, ANGLE, turn.evaluate(np.array([0, lying * 64 / 140]), np.radians(ANGLE)))
    assert act_of(*traces, thick, face).what == "hub"
    # What cleaning took no longer lies beyond the face.
    assert "the face explains what stays with the hub" in " ".join(hub_and_rotor.sentences(told(*traces, face)))


def test_dirt_that_hid_the_hub_leads_to_its_bare_face_once_it_is_gone():
    """Neither share held what cleaning took: what stays is a vector, and no fine dial ends it."""
    hub, dirt = 27.5 * np.exp(1.7j), 27.5 * np.exp(1.7j + 1j * np.pi)
    traces = [mounted(p, hub + dirt, 2.0, k) for k, p in enumerate((0, 2), 1)]
    for left in (hub, 0.6 * hub):  # below the limit by less than the dial is sure to, and below it
        gone = [mounted(p, left + 0.9 * dirt, 2.0, k) for k, p in enumerate((0, 2), 1)]
        clean = mounted(0, left, 2.0, 3, "cleaned")
        read = (
            *(traces if left is hub else gone),
            clean,
            Trace("thickness", 1, 0, ANGLE, np.full(12, 22000.0), dial_um=1.0),
        )
        found = told(*read)
        assert found.hid
        assert at(found.stayed) == pytest.approx(left, abs=1e-6)
        assert act_of(*read).what == "bare hub"
        text = " ".join([lead(found, *read), *hub_and_rotor.sentences(found)])
        assert "whether it is the hub's or the rotor's" in text
        assert "Nothing to explain there" not in text
        assert "these studs do not tell which" in text


def test_what_cleaning_took_is_placed_on_the_part_where_it_lay():
    """It went with the rotor before: its place counts from the painted hole, whatever stud that sat on."""
    dirt = 35.0 * np.exp(-2.0j)
    before = [mounted(p, 1.0, 8.0 + dirt, k) for k, p in enumerate((0, 2), 1)]
    once, twice = mounted(2, 1.0, 8.0, 3, "cleaned"), mounted(0, 1.0, 8.0, 4, "cleaned")
    for traces in ((*before, once), (*before, once, twice)):
        found = told(*traces)
        assert found.taken_from == "rotor"
        assert at(found.taken_off) == pytest.approx(dirt, abs=1e-6)
        text = " ".join(hub_and_rotor.sentences(found))
        assert "high spot at 115 ± " in text.partition("took away")[2]
        assert "on the hub (nearest" not in text.partition("took away")[2]
    # From one stud no reading tells which: both places are said.
    assert "or, if it lay on the rotor's seat, at 115° from" in " ".join(hub_and_rotor.sentences(told(before[1], once)))


def test_nothing_is_left_on_whose_thickness_is_too_close_to_its_limit():
    clean = mounted(0, 2.0, 3.0, 1, "cleaned")

    def thick(tir_um):
        return Trace("thickness", 1, 0, ANGLE, 22000.0 + tir_um / 2 * np.cos(np.radians(ANGLE)))

    assert [act_of(clean, thick(tir)).what for tir in (2.0, 19.0, 30.0)] == ["second turn", "finer micrometer", "worn"]
    found = told(clean, thick(19.0))
    assert "Nothing is left on before that" in lead(found, clean, thick(19.0))


def test_a_mount_that_slipped_and_stands_no_more_is_not_sent_for_again():
    found = told(mounted(2, HUB, ROTOR, 2))
    doubts = ["mounted, mount 1: read 90 degrees again", "mounted, mount 2: read 240 degrees again"]
    act = replace(act_of(mounted(2, HUB, ROTOR, 2)), what="read again")
    text = said.lead(found, act, doubts)
    assert "blamed or bought: mounted, mount 2: read 240 degrees again." in text
    assert "Mount 1 gave a slip away and stands no more: it is left out" in text
    assert "read 90 degrees" not in text


def test_two_unlike_readings_of_clean_faces_ask_whether_it_was_cleaned_in_between():
    found = told(mounted(0, 60.0, ROTOR, 1, "cleaned"), mounted(0, 5.0, ROTOR, 2, "cleaned"))
    assert "where it was cleaned once more in between, write cleaned again as the state of that mount" in lead(found)


def test_a_rotor_that_does_not_come_back_and_mounts_that_fit_nothing_are_read_again():
    moved = told(mounted(0, HUB, ROTOR, 1), mounted(2, HUB, ROTOR, 2), mounted(0, HUB + 30, ROTOR, 3))
    assert [pair.came_back for pair in moved.states[0].returned] == [False]
    assert moved.next == "read again"
    assert "mount 3 stands where mount 1 stood" in lead(moved)
    odd = told(mounted(0, HUB, ROTOR, 1), mounted(2, HUB, ROTOR, 2), mounted(3, HUB + 40, ROTOR, 3))
    assert odd.states[0].contradict
    same = told(mounted(0, HUB, ROTOR, 1), mounted(2, HUB, ROTOR, 2), mounted(0, HUB, ROTOR, 3))
    assert (same.next, same.states[0].contradict) == ("clean", False)


def test_a_share_within_its_uncertainty_blames_nobody():
    found = told(mounted(0, 0.5, ROTOR, 1), mounted(2, 0.5, ROTOR, 2))
    assert found.hub_left == ()
    assert "Nothing to explain there" in " ".join(hub_and_rotor.sentences(found))


def test_a_rotor_that_one_screw_holds_is_read_again():
    traces = [mounted(p, HUB, ROTOR, k) for k, p in enumerate((0, 2))]
    found = told(*(replace(one, clamped_by="screw only") for one in traces))
    assert found.next == "read again"
    assert "held by the screw only" in lead(found)


def test_readings_alone_lead_to_an_end_act_by_act():
    """As found, thickness, clean, the best stud, done; the stud from one clean one and the bare hub, or from two."""
    hub, rotor = 30.0, 28.0 * np.exp(1j * np.radians(36.0))
    found = [mounted(0, hub, rotor, 1), EVEN, mounted(2, hub, rotor, 2)]
    clean = [mounted(2, hub, rotor, 3, "cleaned"), mounted(4, hub, rotor, 4, "cleaned")]
    left = [abs(rotor + hub * np.exp(2j * np.pi * p / 5)) for p in range(5)]
    best = int(np.argmin(left))
    face = Trace("hub face", 0, 0, ANGLE, turn.evaluate(np.array([0, hub * 64 / 140]), np.radians(ANGLE)))
    steps = [act_of(*found[:1]), act_of(*found[:2]), act_of(*found, clean[0]), act_of(*found, clean[0], face)]
    steps += [act_of(*found, *clean), act_of(*found, *clean, face)]
    assert [(one.what, one.studs_turned) for one in steps] == [
        ("thickness", 0), ("clean", 0), ("bare hub", 2), ("index", best), ("index", best), ("index", best)
    ]  # fmt: skip
    assert 2 * left[best] < 20.0 < 50.0 < 2 * min(left[2], left[4])
    there = (*found, *clean, mounted(best, hub, rotor, 5, "cleaned"))
    assert act_of(*there).what == "bare hub"  # as much stays with the hub as before, and nobody saw its face
    there = (*there, face)
    end = act_of(*there)
    assert (end.what, end.against, end.studs_turned) == ("done", "below", best)
    near = lead(told(*there), *there)  # its hub is at or near its own limit, and was read once
    there = (*there, there[-2])
    assert "The runout is done" not in near
    assert near.startswith("The stamp first")
    text = lead(told(*there), *there, limits=Limits(hub_face_runout_um=40.0))
    stamp = (
        "The stamp first: 22.000 ± 0.006 mm (k = 2) at its thinnest has to be over the figure stamped on it "
        "by more than the ±; else this rotor is scrap. "
    )
    assert text.startswith(f"{stamp}Over it the runout is done: on clean faces")
    assert "another may read" not in text
    assert "If it still shakes: the other side, then the other axle" in text
    assert "below the limit. Before the wheel goes on the hub is rocked" in text
    assert "Without it leave it there. Still to check: bearing play, cracks; then caliper" in text
    # The same under bare nuts clears nothing: first under spacers, with and without a thickness.
    under_bare = tuple(replace(one, clamped_by="bare nuts") if one.mount == 5 else one for one in there)
    assert act_of(*under_bare).what == "spacers"
    assert "plain spacers under every one" in lead(told(*under_bare), *under_bare)
    # Passed by: put back to the best of the studs that were read.
    past = act_of(EVEN, *clean, mounted(best, hub, rotor, 5, "cleaned"), mounted(2, hub, rotor, 6, "cleaned"))
    assert (past.what, past.studs_turned) == ("back", best)


@pytest.mark.parametrize("stud", [0, 2])
def test_of_one_stud_the_rotors_own_is_at_most_what_the_bare_face_leaves(stud):
    """It was called up to about 173 µm, reading and hub added, where 88 µm were read on a hub that makes 80."""
    face = Trace("hub face", 0, 0, ANGLE, turn.evaluate(np.array([0, 40.0 * 64 / 140]), np.radians(ANGLE)))
    seen = told(mounted(stud, 40.0, 7.0, 1, "cleaned"), face)
    assert not seen.parted
    half = np.hypot(seen.states[-1].sum[1].half_um, seen.bare.half_um)
    assert seen.rotor_most_um == pytest.approx(14.0 + half, abs=1.0)
    assert replace(seen, bare=None).rotor_most_um is None
    assert ", how much is not known before." in bare_face.hub_and_bearing(None)


def test_a_bare_hub_over_the_limit_two_humps_and_a_coarse_dial_are_told_before_another_stud():
    clean = [mounted(p, 30.0, 28.0, k, "cleaned") for k, p in enumerate((0, 1), 1)]
    face = Trace("hub face", 0, 0, ANGLE, turn.evaluate(np.array([0, 40.0 * 64 / 140]), np.radians(ANGLE)))
    assert act_of(*clean, face).what == "hub"
    # The old hub may have taken away what the rotor runs out by itself: at most its own share, where the studs part it.
    own = told(*clean, face).states[-1].rotor[1]
    most = f"{round(own.runout_um + own.half_um)}\N{NO-BREAK SPACE}µm"
    assert lead(told(*clean, face), *clean, face).endswith(
        "No rotor and no stud cures a hub. With a new hub or bearing a new table begins, bare face and rotor read "
        f"again: the rotor may run out by itself up to about {most}."
    )
    near = mounted(0, 14.0, 8.0, 1, "cleaned")
    assert act_of(near, EVEN).what == "finer dial"
    assert "its own ± of the limit: ask again with it; without such a dial slacken" in lead(
        told(near, EVEN), near, EVEN
    )
    # Near its limit the face is said with every act, not silent in one table and first in the next.
    at_limit = Trace("hub face", 0, 0, ANGLE, turn.evaluate(np.array([0, 13.0]), np.radians(ANGLE)))
    # Where the rotor stays on for a finer turn, and comes off for the face, it is said which is first.
    then = "That reading first; then, the rotor off, the bare hub face, which is at or near its limit: read it"
    for first, begins in ((clean[0], "The bare hub face is at or near its limit: read it"), (near, then)):
        traces = (first, EVEN, at_limit)
        assert f"{begins} twice more" in lead(told(*traces), *traces)
        line = hub_and_rotor.hub_line(act_of(*traces)).replace("\u00a0", " ")
        assert line.startswith("Bare hub face, read at 64 mm: 26 ± 7 µm (k = 2), whether over or under cannot be told")
        assert line.endswith("the first place read once more, at 360°, lessens the creep.")
        assert "(by the mounted one). As much lean brings 57 ± 16 µm (k = 2) at the rotor's dial, 140 mm. Rep" in line
    assert hub_and_rotor.hub_line(act_of(near)) == ""
    # Below the limit with a hub that may be over its own, nothing is called done.
    low = (
        mounted(0, 14.0, -8.0, 1, "cleaned"),
        at_limit,
        Trace("thickness", 1, 0, ANGLE, np.full(12, 22000.0), dial_um=1.0),
    )
    assert act_of(*low).what == "done"
    assert "is scrap. On clean faces it runs out" in lead(told(*low), *low)
    assert "Whether it stays its bare hub face decides, held against its own limit" in lead(told(*low), *low)
    assert "as further lines beside those that are there" in lead(told(*low), *low)
    assert "caliper and wheel" not in lead(told(*low), *low)  # it stood before the face that decides
    # Read three times alike: the end, not the same order again.
    under = replace(at_limit, value_um=0.8 * at_limit.value_um)
    three = (low[0], low[0], low[2], *[under] * 3)
    text = lead(told(*three), *three).replace("\u00a0", " ")
    assert (
        "(k = 2; read 3 times alike), limit 23 µm (no vehicle maker's: where there is one, that one counts), and"
        in text
    )
    assert "read it" not in text
    twice = (*clean, face, face)
    assert (
        "the bare hub face is over its limit, 37 ± 6\N{NO-BREAK SPACE}µm (k = 2; read twice alike), limit 23"
        in lead(told(*twice), *twice)
    )
    assert "Hub and bearing first" in lead(told(*clean, bump(face), face), *clean, bump(face), face)
    humps = [mounted(p, 30.0, 28.0, k, "cleaned", higher=((25j, 0.0),)) for k, p in enumerate((0, 1), 1)]
    assert [act_of(*clean, EVEN).what, act_of(*humps, EVEN).what] == ["index", "bare hub"]


def bump(trace):
    """The same with something under the tip along a third of the turn."""
    return replace(trace, value_um=trace.value_um + np.where(trace.angle_deg < 120.0, 45.0, 0.0))


def turns_anew(rotor, numbers, count):
    """Clean on two studs, then so many turns on the second, nuts tightened anew: by the next number or the same."""
    first = mounted(0, 1.0, rotor, 1, "cleaned")
    at = [mounted(2, 1.0, rotor + (-1.0) ** k, 2 + k * numbers, "cleaned") for k in range(count)]
    return (first, *at, EVEN, face_of(1.0))


@pytest.mark.parametrize("numbers", [0, 1])
@pytest.mark.parametrize(("rotor", "says"), [(23.0, "under the limit of 50"), (27.0, "over the limit of 50")])
def test_turns_tightened_anew_count_by_either_number_and_the_middle_of_three_is_the_end(rotor, says, numbers):
    traces = turns_anew(rotor, numbers, 3)
    act = act_of(*traces)
    assert (act.what, act.turns) == ("at the limit", 3)
    text = lead(told(*traces), *traces)
    assert f"The end of reading: the middle of 3 turns on clean faces is {act.read_um:.0f} ± 9\u00a0µm (k = 2)" in text
    assert says in text
    assert "ask again" not in text
    assert ("Without it leave it there, unless" in text) is (rotor < 25.0)
    assert ("counts as over" in text) is (rotor > 25.0)
    line = said.against_limit(told(*traces), act, False)
    assert "cleaned, the middle of 3 turns;" in line
    assert "± 8.6" in line
    # Who wants less than the limit is offered what a second cleaning may take, once.
    offer = "Where less is wanted: hub face, spigot and rotor seat cleaned once more"
    assert (offer in text) is (rotor < 25.0)
    twice = replace(told(*traces), again=SimpleNamespace(mounts=(9,), stoned=False))
    told_so = said.left_at_the_limit(twice, act.turns, (48.0, 50.0), None)
    assert said.CLEANED_ONCE not in told_so
    assert ("another may read up to 14" in told_so) is (twice.seats_there == 1)
    assert ("another may read up to 14" in text) is (rotor < 25.0 and twice.seats_there == 1)
    for count in (1, 2):
        fewer = turns_anew(rotor, numbers, count)
        assert (act_of(*fewer).what, act_of(*fewer).turns) == ("finer dial", count)
        assert "every turn under the next mount number, same stud, until there are three" in lead(told(*fewer), *fewer)


@pytest.mark.parametrize("less", [True, False])
def test_on_the_limit_itself_no_side_is_told_and_a_stud_that_may_read_less_is_offered(less):
    """Turns of 50, 45 and 55 µm at a limit of 50 were "not over it, leave it there"; a stud nobody tried read 44."""
    hub = 9.0 if less else 1.0
    at = [mounted(0, hub, 26.0 - hub + off, k, "cleaned") for k, off in enumerate((0, -1, 1), 1)]
    traces = (*at, EVEN, face_of(hub))
    text = acts.at_the_limit(3, 50.0, 8.6, 50.0, 10.0)
    assert "on the limit itself, which is still allowed" in text
    assert "not over it" not in text
    assert "not over it, and that counts" in acts.at_the_limit(3, 49.9, 8.6, 50.0, 10.0)
    assert "it is over it, and that counts" in acts.at_the_limit(3, 50.1, 8.6, 50.0, 10.0)
    offered = said.left_at_the_limit(told(*traces), 3, (50.0, 50.0), less_elsewhere(told(*traces), 50.0))
    assert ("another stud may read less: about" in offered) is less
    assert ("it is read there before it is left on" in offered) is less


def test_one_stud_has_one_figure_and_no_digit_that_its_dial_is_not_sure_of():
    """A rotor was renewed "at 52 µm (stud 3)" of which the table said 54; "8.3 ± 8.6 µm" was told of a dial of 10."""
    read = told(*(mounted(stud, 0.0, half, k, "cleaned") for k, (stud, half) in enumerate(((0, 31.0), (2, 26.0)), 1)))
    assert _least_read(SimpleNamespace(told=read, read_um=54.2)) == "54\u00a0µm (stud 3)"
    low = [mounted(0, 0.0, 4.15, 1, "cleaned"), EVEN]
    assert said.against_limit(told(*low), act_of(*low), False).startswith("Read last: 8\u00a0µm on stud 1")


@pytest.mark.parametrize(
    ("off_um", "side", "ends"), [(0.2, "over", "It counts as over"), (-0.2, "not over", "Leave it")]
)
def test_two_middles_of_one_printed_figure_say_why_one_counts_as_over(off_um, side, ends):
    """Both were "50 ± 9 µm, at the limit of 50 µm", one "counts as over" and one "leave it there"."""
    text = acts.at_the_limit(3, 50.0 + off_um, 8.6, 50.0, 10.0).replace("\u00a0", " ")
    assert f"50 ± 9 µm (k = 2) on stud {{stud}}, at the limit of 50 µm (not rounded it is {side} it" in text
    assert ends in text.replace("{there}", "Leave it there")
    assert "not rounded" not in acts.at_the_limit(3, 52.0, 8.6, 50.0, 10.0)


@pytest.mark.parametrize(
    ("dial_um", "closer"),
    [(20.0, "this dial tells it no closer"), (10.0, "this dial tells it no closer"), (1.0, "no dial tells it closer")],
)
def test_no_dial_tells_closer_only_where_no_finer_one_would(dial_um, closer):
    """ "Under the limit, and no dial tells it closer", of a dial of 20 µm; the next answer: "too close to tell"."""
    assert closer in acts.at_the_limit(3, 47.0, 13.0, 50.0, dial_um)
    last = acts.beside_at_last("too close to tell", 3, 47.0, 50.0, dial_um)
    assert last == f"under the limit, and {closer}"
    one = acts.beside_at_last("too close to tell", 1, 47.0, 50.0, dial_um)
    assert one == "too close to the limit to tell"


def test_a_middle_of_a_usual_dial_at_its_limit_is_not_said_to_be_told_closer_by_none():
    traces = turns_anew(23.0, 1, 3)
    text = lead(told(*traces), *traces)
    assert "under the limit of 50\u00a0µm, and this dial tells it no closer" in text
    assert "no dial" not in text


def test_the_end_at_a_limit_that_counts_as_over_names_the_reading_it_orders():
    """It ordered both faces clean and read again in words, and `next` was null."""
    found = told(*turns_anew(27.0, 1, 3))
    assert "clean hub face and rotor seat once more and read it again" in lead(found, *turns_anew(27.0, 1, 3))
    face = act_of(*turns_anew(27.0, 1, 3)).hub_face
    assert one_act.read_over_it(names.AT_LIMIT, found, face, 3, over=True) == names.CLEAN
    assert one_act.read_over_it(names.AT_LIMIT, found, None, 3, over=True) == names.BARE_HUB
    assert one_act.read_over_it(names.AT_LIMIT, found, face, 3, over=False) is None
    assert one_act.read_over_it(names.AT_LIMIT, found, face, 2, over=True) is None


def test_one_stud_read_near_its_limit_by_a_fine_dial_is_tightened_anew_where_the_bare_hub_is_known():
    """The rotor stays as it sits: `index` orders the same, and the hub's share is known from its face."""
    at = [replace(mounted(0, 1.0, 23.5, k, "cleaned"), dial_um=1.0) for k in (1, 2, 3)]
    assert act_of(at[0], EVEN, face_of(1.0)).what == "at the limit"
    assert act_of(at[0], EVEN).what == "another stud"
    over = [replace(mounted(0, 1.0, 25.2, k, "cleaned"), dial_um=1.0) for k in (1, 2, 3)]
    assert act_of(over[0], EVEN, face_of(1.0)).what == "at the limit"
    assert act_of(*at, EVEN, face_of(1.0)).what == "at the limit"
    assert act_of(*over, EVEN, face_of(1.0)).what == "another stud"  # the middle of three counts


def bare(*orders):
    return Trace("hub face", 0, 0, ANGLE, turn.evaluate(np.array([0, *orders]), np.radians(ANGLE)))


def test_a_bare_hub_of_two_humps_is_held_against_its_limit_by_the_whole_turn_and_not_by_its_lean():
    """A limit of runout is of the whole turn (ISO 1101): 9 um of lean with 32 um of two humps ran as "below 23 um"."""
    clean = mounted(0, 20.0, 18.0, 1, "cleaned")
    found = act_of(clean, bare(4.5, 16.0))
    face = found.hub_face
    assert (face.state, face.wavy, found.what) == ("above", True, "hub")
    assert face.runout_um == pytest.approx(turn.tir(turn.trace(np.array([0, 4.5, 16.0]))), abs=0.2)
    assert face.lean_um == pytest.approx(9.0, abs=0.2)
    line = hub_and_rotor.hub_line(found).replace("\u00a0", " ")
    assert "over its limit" in line
    assert "Its lean alone, 9 µm, brings 20 ±" in line
    assert line.endswith("raised metal round a stud, rust or a bent flange.")
    edge = "It shows more than a lean: before it is bought a straight edge across it at"
    assert edge in lead(told(clean, bare(4.5, 16.0)), clean, bare(4.5, 16.0))
    # A hub that is even but for what any face has, or that stands up at its bolt holes, is not condemned.
    assert act_of(clean, bare(4.5, 4.0)).hub_face.state == "below"
    lips = Trace("hub face", 0, 0, ANGLE, bare(4.5).value_um + 40.0 * lip_shape(ANGLE, 5, 20.0).max(axis=1))
    looked = act_of(clean, lips)
    assert (looked.what, looked.hub_face.state, looked.hub_face.to_look_at) == ("thickness", "too close to tell", True)


def test_the_thinnest_place_is_held_against_the_stamp_as_soon_as_it_was_read():
    """10.001 mm heard "clean and read again", and of its stamp at the end only."""
    thin = Trace("thickness", 1, 0, ANGLE, np.full(12, 10001.0))
    found = act_of(mounted(0, 40.0, 30.0), thin)
    assert found.what == "clean"
    assert "read: 10.001 ± 0.007 mm (k = 2). Unless that is over" in stamp.stamp_line(found).replace("\u00a0", " ")
    assert stamp.stamp_line(act_of(mounted(0, 40.0, 30.0))) == ""


def test_the_last_step_names_the_part_where_the_shares_do():
    level = Trace("hub face", 0, 0, ANGLE, turn.evaluate(np.array([0, 2.0]), np.radians(ANGLE)))
    thick = Trace("thickness", 1, 0, ANGLE, np.full(12, 22000.0), dial_um=1.0)
    for rotor, words in (
        (50.0, "then the rotor, renewed or cut as the vehicle maker allows, on a clean hub"),
        (5.0, "then no part by these readings"),
    ):
        clean = [mounted(p, 4.0 if rotor > 10.0 else 24.0, rotor + 22.0, k, "cleaned") for k, p in enumerate((0, 2), 1)]
        found = told(*clean, level, thick)
        read = Readings(5, 140.0, 64.0, 10.0, (*clean, level, thick))
        open_act = replace(next_act(read, found, LIMITS), what="open", against="above")
        assert words in said.lead(found, open_act, [])
    humps = [mounted(p, 8.0, 10.0, k, "cleaned", higher=((28.0, 0.0),)) for k, p in enumerate((0, 2), 1)]
    text = said.lead(told(*humps, thick), open_act, [])  # 55 um stay with the hub: nobody buys a rotor for its 21
    assert "then hub or bearing, as the vehicle maker allows: 20 ± " in text
    assert "and two humps of 56 ± " in text


def test_below_its_limit_no_part_is_sought_but_it_is_cleaned_before_it_is_left_on():
    small = mounted(0, 5.0, 4.0)
    found = act_of(small)
    assert (found.what, found.against) == ("thickness", "below")  # the rotor need not come off for it
    assert lead(told(small)).startswith(
        "Below the limit as found: no part is sought before it was read clean. Next: thickness"
    )
    assert act_of(small, EVEN).what == "clean"
    assert lead(told(small, EVEN), small, EVEN).startswith(
        "Below the limit as found: no part is sought before it was read clean. Next: r"
    )
    worn = act_of(small, Trace("thickness", 1, 0, ANGLE, 20.0 * np.cos(np.radians(ANGLE))))
    assert (worn.what, worn.thickness_um) == ("worn", pytest.approx(40.0))
    text = lead(told(small), Trace("thickness", 1, 0, ANGLE, 20.0 * np.cos(np.radians(ANGLE))))
    assert "varies by 40 ± 10\xa0µm, over the limit of 15\xa0µm" in text


@pytest.mark.parametrize(
    ("read_um", "wanted"), [(10.0, "clean"), (15.0, "clean"), (20.0, "finer micrometer"), (25.0, "worn")]
)
def test_before_it_is_cleaned_a_thickness_holds_nothing_up_unless_it_is_over(read_um, wanted):
    uneven = Trace("thickness", 1, 0, ANGLE, 22000.0 + read_um / 2.0 * (1.0 + np.cos(np.radians(ANGLE))))
    assert act_of(mounted(0, HUB, ROTOR), uneven).what == wanted


@pytest.mark.parametrize(("scattered", "what"), [(False, "worn"), (True, "finer micrometer")])
def test_no_rotor_goes_by_one_turn_of_a_shaky_hand(scattered, what):
    """It varies by 17 um and reads 29; a steady turn that reads so, or one far enough over, needs no second."""
    shaky = np.array([15.0, 9.0, -2.0, -1.0, -6.0, -8.0, -6.0, -14.0, 1.0, -6.0, 3.0, 12.0])
    steady = 14.5 * np.cos(np.radians(ANGLE))
    thick = Trace("thickness", 1, 0, ANGLE, 22000.0 + (shaky if scattered else steady), dial_um=1.0)
    clean = mounted(0, 10.0, 8.0, 1, "cleaned")
    act = act_of(clean, thick)
    assert (act.what, round(act.thickness_um)) == (what, 29)
    assert ("its places scatter by more than a micrometer does" in said.thickness_line(act)) is scattered
    if scattered:  # one confirming turn, and it goes
        assert "thickness at the same places once more" in lead(told(clean, thick), clean, thick)
        assert act_of(clean, thick, thick).what == "worn"
    high = bare(20.0)  # its hub goes too
    assert ("No rotor cures a hub" in lead(told(clean, thick, high), clean, thick, high)) is not scattered
    if not scattered:  # before it is renewed or cut: under the stamp it is scrap
        assert lead(told(clean, thick), clean, thick).startswith("The stamp first: 21.98")
    assert act_of(clean, replace(thick, value_um=22000.0 + shaky + 3.0 * steady)).what == "worn"


def test_a_thickness_that_errors_hardly_shrink_under_its_limit_ends_and_closer_ones_are_read_finer():
    """Of 20 000 turns of a rotor at its limit, steps of 5 um, under one in fifteen read 10 um or less (drawn here)."""
    clean = mounted(0, 5.0, 4.0, state="cleaned")
    ends = [
        act_of(clean, Trace("thickness", 1, 0, ANGLE, np.where(ANGLE == 0, start + read, start))).what
        for start, read in ((22005.0, 10.0), (22000.0, 10.0), (22005.0, 15.0), (22005.0, 20.0))
    ]
    # All in tens: a micrometer of 10 um, as far as its digits tell.
    assert ends == ["second turn", "finer micrometer", "finer micrometer", "finer micrometer"]
    rng = np.random.default_rng(3)
    wave = 7.5 * np.cos(np.radians(ANGLE) + rng.uniform(0, 2 * np.pi, (20_000, 1)))
    drawn = np.round((wave + rng.normal(0.0, MICROMETER_REPEATABILITY_UM, wave.shape)) / 5.0) * 5.0
    assert 0.02 < np.mean(np.ptp(drawn, axis=1) <= 10.0) < 1 / 15


def test_what_cannot_be_is_refused():
    with pytest.raises(BadInput, match="no 'mounted' trace"):
        told(Trace("hub face", 0, 0, ANGLE, np.cos(np.radians(ANGLE))))
    left, right = (Trace("mounted", k, 0, ANGLE, np.cos(np.radians(ANGLE)), None, "as found", side)
                   for k, side in enumerate(("left", "right")))  # fmt: skip
    with pytest.raises(BadInput, match="left and right"):
        told(left, right)


@pytest.mark.parametrize("mounts", [2, 3])
def test_circles_hold_their_share(mounts):
    """A small part of `python -m tests.studies.mountings`: of 80 corners 64 +- 4 are expected inside."""
    rng = np.random.default_rng(8)
    drawn = np.array([study.one(rng, study.MATCHED, mounts) for _ in range(80)])
    for k in range(4):
        assert 0.73 <= np.mean(drawn[:, 3 * k] <= 1.0) <= 0.90, k


HEAD = (
    "# studs: 5\n# gauge_radius_mm: 140\n# hub_face_radius_mm: 64\n# dial_um: 10\n"
    "# turned: counter-clockwise\n# dial: + towards\n"
)


def test_the_invented_table_is_told_as_it_was_made(capsys):
    """Hub 18 um at 200 degrees, rotor 28 um, a speck under 75 degrees that adds 52 um until it is cleaned off."""
    path = Path(demo_geometry.__file__).parent / "readings_four_mountings.csv"
    assert path.read_text(encoding="utf-8").startswith("# Invented.")
    assert main(["causes", str(path), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    for one, truth, place in (
        (found["states"][1]["hub"]["1"], 18.0, 200.0),
        (found["states"][1]["rotor"]["1"], 28.0, 310.0),
        (found["taken_off"], 52.0, 75.0),
    ):
        assert abs(one["runout_um"] - truth) < one["half_um"]
        assert abs(one["high_spot_deg"] - place) < one["high_spot_half_deg"]


def test_the_command_as_a_user_runs_it(tmp_path, capsys):
    lines = ["trace,mount,studs_turned,angle_deg,reading_um,state"]
    for mount, position in enumerate((0, 2), 1):
        trace = mounted(position, HUB, ROTOR)
        lines += [
            f"mounted,{mount},{position},{a:g},{v:.0f},as found" for a, v in zip(ANGLE, trace.value_um, strict=True)
        ]
    path = tmp_path / "read.csv"
    path.write_text(HEAD + "\n".join(lines) + "\n", encoding="utf-8")
    assert main(["causes", str(path)]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert shown.index("Next: thickness by micrometer") < shown.index("Stays with the hub")
    assert "above the limit, 50 µm (common practice" in shown
    assert "trueseat new case corner.toml" in shown
    assert main(["causes", str(path), "--limit", "200"]) == 0
    assert "Below the limit as found" in capsys.readouterr().out
    assert main(["causes", str(path), "--limit", "-1"]) == 2
    assert "--limit" in capsys.readouterr().err
    assert "no cause is called the likelier" in shown
    assert main(["causes", str(path), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["states"][0]["hub"]["1"]["runout_um"] == pytest.approx(60.0, abs=2.0)
    assert answer["words"]["says"]
    assert main(["causes", str(tmp_path / "none.csv")]) == 2


def shown_by(step_um, values):
    """A cleaned turn and an even thickness, the turn read with its own dial."""
    return Trace("mounted", 1, 0, ANGLE, np.array(values, dtype=float), None, "cleaned", dial_um=step_um), EVEN


def test_a_reading_that_is_its_limit_is_at_it_and_a_dial_that_cannot_tell_says_so():
    at_limit, under = 25.0 * np.cos(np.radians(ANGLE)), 24.0 * np.cos(np.radians(ANGLE))
    fine = shown_by(1.0, at_limit)
    assert act_of(*fine).what == "another stud"  # it may run out less there, and nothing is done at the limit
    read = Readings(5, 140.0, 64.0, 10.0, fine)
    beside = said.against_limit(told(*fine), next_act(read, told(*fine), LIMITS), False)
    assert "too close to the limit to tell, 50\xa0µm" in beside
    coarse = shown_by(10.0, at_limit)
    text = lead(told(*coarse), *coarse)
    assert "the rotor stays on, its nuts untouched: read it once more with a finer dial, 0.002 mm a division" in text
    assert "at the limit, and this dial cannot tell it from over it; that turn decides" in text
    assert "below" not in text.split("bearing")[0]
    coarse = shown_by(10.0, under)
    assert "48\xa0µm on stud 1, below the limit by less than this dial is sure to" in lead(told(*coarse), *coarse)


def test_a_share_that_is_not_told_is_not_called_less_than_its_uncertainty():
    """11 +- 9 um was "no more than its uncertainty": the half-width holds 80 %, more is wanted to tell a share."""
    pair = [mounted(p, 5.5, ROTOR, k, state="cleaned") for k, p in enumerate((0, 2))]
    text = " ".join(hub_and_rotor.sentences(told(*pair)))
    assert "Stays with the hub (cleaned): 11 ± 9 µm, not told from none. Nothing to explain there" in text
    read = Readings(5, 140.0, 64.0, 1.0, tuple(pair))
    found = told_apart(read)
    assert "a dial of 1\xa0µm a division" in said.against_limit(found, next_act(read, found, LIMITS), False)


def test_two_humps_are_a_hint_and_dirt_on_the_seat_draws_them_too():
    pair = [mounted(p, HUB, ROTOR, k, higher=((0j, 30.0),)) for k, p in enumerate((0, 2))]
    text = " ".join(hub_and_rotor.sentences(told(*pair)))
    assert "Two humps go with the rotor: 60 ± " in text
    worn = "or worn so on an uneven seat, then its thickness at those places tells"
    assert f"{m.WARP}, dirt or rust on its seat {worn}; a hint, no proof" in text


def test_near_its_limit_a_pass_is_of_this_mounting():
    one = told(mounted(0, 1.0, 20.0, 1, "cleaned"))
    assert said.mounted_so(one, 42.0, 50.0) == " That is of this mounting: another may read up to 14\u00a0µm more."
    assert said.mounted_so(one, 30.0, 50.0) == said.mounted_so(one, 51.0, 50.0) == ""
    fine = replace(mounted(0, 1.0, 20.0, 1, "cleaned"), dial_um=1.0)
    text = lead(told(fine, fine, EVEN, face_of(1.0)), fine, fine, EVEN, face_of(1.0))
    assert "below the limit. That is of this mounting: another may read up to 14\u00a0µm more. Before" in text


def test_no_stud_is_called_the_best_where_the_direction_is_known_to_tens_of_degrees():
    one = (mounted(0, 10.0, 25.0, 1, "cleaned"), EVEN, face_of(20.0))
    assert act_of(*one).what == "index"
    assert act_of(*one).expected_um < 50.0
    text = lead(told(*one), *one)
    assert "worth a try, about" in text
    assert "cancel best" not in text
    two = [mounted(p, 30.0, 28.0, k, "cleaned") for k, p in enumerate((0, 1), 1)]
    assert "cancel best there" in lead(told(*two, EVEN), *two, EVEN)


def face_of(um):
    """Bare hub face that leans by so much at the gauge, half its runout, towards stud 1. [um]"""
    return Trace("hub face", 0, 0, ANGLE, turn.evaluate(np.array([0, um * 64 / 140]), np.radians(ANGLE)))


def test_what_no_dial_tells_from_the_limit_is_neither_done_nor_a_reason_for_a_part():
    """A fine dial, read on two clean studs that leave no better one; over it by less than its doubt as under it."""
    under, neither = "Likely under, and not sure enough to be done", "Neither done nor over"
    for rotor, called in ((24.0, under), (24.6, neither), (27.0, neither)):
        clean = [replace(mounted(p, 1.0, rotor, k, "cleaned"), dial_um=1.0) for k, p in enumerate((0, 2), 1)]
        traces = (*clean, EVEN, face_of(1.0))
        assert (act_of(*traces).what, act_of(*traces).against) == ("at the limit", "too close to tell")
        text = lead(told(*traces), *traces)
        assert called in text  # at "96 %" it was "neither"
        assert "Nothing is bought for it. What decides is the vehicle maker's limit" in text
        assert "is done" not in text
        assert "under that limit leave it there; over it clean hub face and rotor seat once more" in text
        assert "leave it there; over it read the bare hub face." in lead(told(*traces[:3]), *traces[:3])


def test_a_finer_dial_on_the_rotor_as_it_stands_comes_before_a_stud_and_so_much_over_is_likely_over():
    """40 um on a 0.01 mm dial: another stud was ordered, longer than one turn more; 53 of 50 was "neither"."""
    near = (mounted(0, 12.0, 8.0, 1, "cleaned"), mounted(2, 12.0, 8.0, 2, "cleaned"), EVEN, face_of(12.0))
    back = (*near, mounted(0, 12.0, 8.0, 3, "cleaned"))
    assert (act_of(*back).what, round(act_of(*back).read_um)) == ("finer dial", 40)
    clean = [replace(mounted(p, 0.1, 26.6, k, "cleaned"), dial_um=1.0) for k, p in enumerate((0, 2), 1)]
    text = lead(told(*clean, EVEN), *clean, EVEN, face_of(0.1))
    assert "rotor is scrap. Likely over, not done: on clean faces it runs out 53" in text


def test_a_coarse_reading_that_a_finer_dial_overtook_sends_nobody_back_to_the_stud_where_it_sits():
    coarse = mounted(0, 1.0, 21.0, 1, "cleaned")
    fine = replace(mounted(0, 1.0, 26.0, 3, "cleaned"), dial_um=1.0)
    traces = (coarse, mounted(2, 1.0, 27.0, 2, "cleaned"), fine, EVEN, face_of(1.0))
    assert (act_of(*traces).what, act_of(*traces).studs_turned) == ("at the limit", 0)


def test_a_stud_that_nobody_tried_is_tried_before_a_part_and_nothing_is_said_to_cancel_within_its_doubt():
    """One stud is left at 46 um, the others were read over the limit; a bad rotor ends after two clean studs."""
    hub, rotor = 7.0, 30.0 * np.exp(1j * np.radians(142.0))  # 144: two studs alike, and the last bit decides
    left = [2 * abs(rotor + hub * np.exp(2j * np.pi * p / 5)) for p in range(5)]
    best = int(np.argmin(left))
    over = [p for p in range(5) if left[p] > 62.0]
    clean = [mounted(p, hub, rotor, k, "cleaned") for k, p in enumerate(over, 1)]
    traces = (*clean, EVEN, face_of(hub))
    assert (act_of(*traces).what, act_of(*traces).studs_turned) == ("index", best)
    # So is one that is expected a little over the limit, as far as the shares are known; it is called a try.
    worse = [mounted(p, hub, 1.27 * rotor, k, "cleaned") for k, p in enumerate(over, 1)]
    act = act_of(*worse, EVEN, face_of(hub))
    assert (act.what, act.studs_turned) == ("index", best)
    assert act.expected_um > 50.0 + Dial().doubt_um
    assert f"for certainty before a part is bought, a pass is not expected: about {act.expected_um:.0f}" in lead(
        told(*worse, EVEN), *worse, EVEN, face_of(hub)
    )
    hopeless = [mounted(p, hub, 2.0 * rotor, k, "cleaned") for k, p in enumerate((0, 2), 1)]
    assert act_of(*hopeless, EVEN, face_of(hub)).what == "rotor's seat"
    # A hub share within its own uncertainty is not said to cancel anything.
    close = [mounted(p, 1.0, 26.5, k, "cleaned") for k, p in enumerate((0, 2), 1)]
    assert not act_of(*close, EVEN).cancels
    assert "cancels" not in lead(told(*close, EVEN), *close, EVEN)


def test_what_is_done_in_one_go_is_asked_in_one_go():
    """An even rotor is cleaned without asking again, and with the rotor off its bare hub is read."""
    first = mounted(0, 40.0, 20.0)
    act = act_of(first)
    assert (act.what, act.also, act.even_um) == ("thickness", ("clean", "bare hub"), 10.0)
    text = lead(told(first), first).replace("\xa0", " ")
    assert "Where it varies by 10 µm or less and its thinnest place is over the stamp go on at once" in text
    assert "read the bare hub face, put the painted hole back on stud 1" in text
    assert (act_of(first, EVEN).what, act_of(first, EVEN).also) == ("clean", ("bare hub",))
    assert "With the rotor off read the bare hub face too" in lead(told(first, EVEN), first, EVEN)
    assert act_of(first, EVEN, face_of(5.0)).also == ()
    assert act_of(replace(first, state="cleaned")).also == ()


def test_studs_are_ordered_with_the_bare_hub_counted_in():
    """Two mountings that sat 8 um apart put hub and rotor wrong; the bare face puts them right, 15 against 46 um."""
    hub, rotor, best = -18.0 - 8.7j, -6.8 - 24.7j, 3
    left = [2 * abs(rotor + hub * np.exp(2j * np.pi * p / 5)) for p in range(5)]
    assert int(np.argmin(left)) == best
    clean = [mounted(p, hub, rotor + sat, p + 1, "cleaned") for p, sat in ((0, 4.0), (1, -4.0j))]
    face = face_of(hub)
    assert (act_of(*clean, EVEN).what, act_of(*clean, EVEN).studs_turned) == ("index", 4)
    assert (act_of(*clean, EVEN, face).what, act_of(*clean, EVEN, face).studs_turned) == ("index", best)
    # Where something lies between, the face does not tell what stays with the hub: it is not counted in.
    found = told(*clean, EVEN, face)
    between = replace(found, beyond_face=replace(found.beyond_face, told=True))
    assert _with_bare(between, between.states[-1]) == _with_bare(told(*clean, EVEN), told(*clean, EVEN).states[-1])
    assert abs(_with_bare(found, found.states[-1])[0] - hub) < abs(at(found.states[-1].hub[1]) - hub)


@pytest.mark.parametrize(("mount", "refused"), [(5, False), (1, True)])
def test_a_table_begun_anew_takes_lines_over_and_counts_its_mounts_on(mount, refused):
    """The thickness was read on mount 1, stud 3; begun again at 1 the new mounting would stand at two studs."""
    rows = [f"thickness,1,2,{a:g},22005,as found" for a in ANGLE]
    rows += [f"hub face,,,{a:g},{8 * np.cos(np.radians(a)):.0f},cleaned" for a in ANGLE]
    rows += [f"mounted,{mount},0,{a:g},{10 * np.cos(np.radians(a)):.0f},cleaned" for a in ANGLE]
    text = HEAD + "trace,mount,studs_turned,angle_deg,reading_um,state\n" + "\n".join(rows) + "\n"
    if refused:
        with pytest.raises(BadInput, match="count mounts on"):
            dial_readings.parse(text, "new.csv", None, None)
        return
    read = dial_readings.parse(text, "new.csv", None, None)
    act = next_act(read, told_apart(read), LIMITS)
    assert (act.what, act.thickness_state) == ("done", "below")  # neither is asked for again
    assert act.hub_face is not None


def test_turns_of_one_mount_count_as_their_middle_as_uncertain_as_they_scatter():
    """Three turns had counted as three mountings; the scatter of putting the rotor on does not average out of them."""
    rng = np.random.default_rng(5)
    clean = mounted(0, HUB, ROTOR).value_um
    turns = [Trace("mounted", 1, 0, ANGLE, clean + rng.normal(0.0, 3.0, 12) + off) for off in (0.0, 20.0, -7.0)]
    state = told(*turns).states[0]
    assert (state.mounts, state.positions) == ((1,), (0,))
    assert state.read_um[0] == pytest.approx(
        turn.tir(np.median([one.value_um - one.value_um.mean() for one in turns], axis=0))
    )
    alone = told(turns[0]).states[0]
    assert state.sum[1].half_um < alone.sum[1].half_um
    # Of many turns whose readings scatter by 3 um the middle is known to 1.25 of that over the root of their number.
    many = [Trace("mounted", 1, 0, ANGLE, clean + rng.normal(0.0, 3.0, 12)) for _ in range(40)]
    middle = pooled(many, 2.0)
    assert (middle.turns, middle.noise_um) == (40, pytest.approx(1.2533 * 3.0 / np.sqrt(40.0), rel=0.1))
    assert middle.value_um - middle.value_um.mean() == pytest.approx(clean - clean.mean(), abs=2.0)
    # Turns that a coarse dial rounds alike are no better than one for their rounding.
    alike = [replace(turns[0], value_um=10.0 * np.round(clean / 10.0))] * 5
    assert pooled(alike, 10.0).noise_um > 10.0 / np.sqrt(12.0)
    assert pooled([turns[0], replace(turns[1], angle_deg=ANGLE + 5.0)], 10.0).turns == 1
    assert Dial(10.0, 4).doubt_um < Dial(10.0).doubt_um
    # And turns that differ are a finding, named to be read again.
    head = "# studs: 5\n# gauge_radius_mm: 140\n# turned: counter-clockwise\n# dial: + towards\n# dial_um: 10\n"
    rows = [f"mounted,1,0,{a:g},{v:.0f}" for by in (1.0, -0.5) for a, v in zip(ANGLE, by * clean, strict=True)]
    table = head + "\n".join(["trace,mount,studs_turned,angle_deg,reading_um", *rows, ""])
    read = dial_readings.parse(table)
    assert [fault.fault for fault in read.faults] == [TWICE]
    # Once the rotor is off nobody reads it a third time.
    assert told_apart(read).next == "read again"
    assert "rock the hub first: with play the bearing comes before any reading" in said.lead(
        told_apart(read), next_act(read, told_apart(read), LIMITS), [read.faults[0].text]
    )
    twice, slip = read.faults[0], replace(read.faults[0], fault="outlier")
    assert told_apart(replace(read, faults=(twice, slip))).next == "read again"  # which of them slipped nobody knows
    assert told_apart(replace(read, faults=(twice, slip, slip))).next == "read again"
    third = replace(read, traces=(*read.traces, read.traces[-1]))
    assert told_apart(read_alike(third)).next == "read again"  # to and fro two of three agree by chance
    alike = read_alike(replace(third, traces=(*third.traces, read.traces[-1])))
    assert told_apart(alike).next != "read again"
    assert len(alike.of("mounted")) == 3  # the first is left out of the mean
    assert any("one of 4 turns is left out, 3 agree and count, once the hub was rocked" in n for n in alike.notes)
    one = told_apart(alike)
    lead = said.lead(one, next_act(alike, one, LIMITS), ())
    assert lead.startswith("Before anything else the hub is rocked: a turn of mount 1 was left out")
    assert "the hub is rocked" not in said.lead(told(turns[0]), next_act(read, told(turns[0]), LIMITS), ())
    to_and_fro = replace(third, traces=(*third.traces, read.traces[0], *read.traces[-1:] * 2))
    assert told_apart(read_alike(to_and_fro)).next == "read again"  # two of six do not agree
    # A bearing with play never reads so twice: no number of turns lifts that.
    play = replace(read.traces[-1], value_um=np.roll(read.traces[-1].value_um, 4))
    loose = read_alike(replace(read, traces=(*read.traces, play)))
    assert (len(loose.of("mounted")), told_apart(loose).next) == (3, "read again")
    # Nor is the next mounting believed before two turns of it agree.
    after = replace(read.traces[-1], mount=2, state="cleaned")
    assert told_apart(replace(loose, traces=(*loose.traces, after))).next == "read again"
    next_on = told_apart(replace(loose, traces=(*loose.traces, after)))
    text = said.lead(next_on, next_act(loose, next_on, LIMITS), [loose.faults[0].text])
    assert "mount 1 stands no more, and two turns of mount 2 that agree settle it" in text
    assert "as it stands now" not in text  # it cannot be read
    twice_after = read_alike(replace(loose, traces=(*loose.traces, after, after)))
    assert told_apart(twice_after).next != "read again"
    later = replace(after, mount=3, studs_turned=2)
    assert told_apart(read_alike(replace(loose, traces=(*loose.traces, after, after, later)))).next != "read again"
    assert twice_after.faults == ()  # nobody can read the first mount as it stood: index lets go too


def near_its_limit(places, order, turns=3, um=14.6):
    """Thickness of so many humps a turn, read with a fine micrometer. [um]"""
    at = np.arange(places) * 360.0 / places
    value = 22000.0 + um / 2.0 * np.cos(order * np.radians(at))
    return [Trace("thickness", 1, 0, at, value, None, "cleaned", dial_um=1.0)] * turns


def test_two_humps_read_at_few_places_are_read_at_twelve_and_count_as_nothing_before():
    clean = [mounted(position, 3.0, 12.0, mount, "cleaned") for mount, position in enumerate((0, 2), 1)]
    few = (*clean, *near_its_limit(8, 2), face_of(3.0))
    assert act_of(*few).what == "finer micrometer"
    text = lead(told(*few), *few)
    assert text.startswith("Next: thickness at 12 places of the turn")
    assert "Before the rotor is left on it is read at 12 places." in said.thickness_line(replace(act_of(*few), what=""))
    assert act_of(*clean, *near_its_limit(12, 1, 5, 16.0), face_of(3.0)).what == "thickness counts as over"


def test_a_runout_over_its_limit_is_called_so_beside_a_thickness_at_its_own():
    over = (mounted(0, 3.0, 35.0, 1, "cleaned"), *near_its_limit(12, 1, 5, 16.0), face_of(3.0))
    text = lead(told(*over), *over)
    assert (act_of(*over).what, act_of(*over).against) == ("thickness counts as over", "above")
    assert "above the limit" in text
    assert "no dial tells" not in text


def test_near_its_limit_a_rotor_is_moved_for_more_than_the_gain_is_unsure_by():
    """By dial alone 13 µm would do; shares and another mounting leave as much open."""
    for rotor, hub, what in ((-23.0, 4.0, ("finer dial", "another stud")), (-25.0, 25.0, ("index",))):
        clean = (mounted(0, -hub, rotor, 1, "cleaned"), EVEN, face_of(-hub))
        act = act_of(*clean)
        assert (act.what in what, act.against) == (True, "too close to tell" if hub < 5.0 else "above")


def test_no_part_is_sought_while_a_stud_that_was_read_is_not_over_the_limit():
    """Stud 1 read 55 µm, no dial tells that from 50; stud 2, where it stands, 61 by two turns; the others are worse."""
    rotor, hub = 32.0, 5.0 * np.exp(2.8j)
    turns = (mounted(0, hub, rotor, 1, "cleaned", 4), *(mounted(1, hub, rotor, k, "cleaned", 4) for k in (2, 3)))
    act = act_of(*turns, EVEN, face_of(0.0), count=4)
    assert (act.what, act.studs_turned, act.against) == ("back", 0, "above")


def test_two_humps_over_the_limit_that_go_with_the_rotor_send_it_to_no_other_stud():
    """With 59 ± 5 of humps "about 53 is expected" on a third stud, limit 50: a refit in vain."""
    pair = [mounted(p, 2.5 + 1.0j, 5.0, k, "cleaned", higher=((0j, 29.5),)) for k, p in enumerate((0, 4), 1)]
    act = act_of(*pair, EVEN, face_of(3.0))
    assert (act.what, act.studs_turned, act.expected_um) == ("rotor's seat", 4, None)
    text = lead(told(*pair, EVEN, face_of(3.0)), *pair, EVEN, face_of(3.0))
    assert "Two humps a turn of 59 ± " in text
    assert " go with the rotor: no stud brings it under 50" in text
    # Less of them leaves another stud its try, and no figure of it is less than they are.
    fewer = [mounted(p, 10.0, 12.0, k, "cleaned", higher=((0j, 24.0),)) for k, p in enumerate((0, 4), 1)]
    tried = act_of(*fewer, EVEN, face_of(10.0))
    assert tried.what == "index"
    assert tried.expected_um is None or tried.expected_um >= 47.0


def test_nothing_is_said_of_a_cleaning_that_nobody_read_nor_of_a_stud_by_a_face_that_leans_nowhere():
    """ "More than cleaning took away" of a table without a turn as found; "reads least there" by a face of nought."""
    bare_first = replace(act_of(mounted(0, 1.0, 12.0, 1, "cleaned"), EVEN), what="bare hub", against="below")
    once = told(mounted(0, 1.0, 12.0, 1, "cleaned"), EVEN)
    before = told(mounted(0, 1.0, 40.0), mounted(0, 1.0, 12.0, 2, "cleaned"), EVEN)
    assert "more than cleaning took away" not in said.lead(once, bare_first, [])
    assert "more than cleaning took away" in said.lead(before, bare_first, [])
    for lean_um, by_face in ((0.0, False), (12.0, True)):
        there = told(mounted(0, 1.0, 30.0, 1, "cleaned"), EVEN, face_of(lean_um))
        another = replace(bare_first, what="another stud", against="above", hub_face=None)
        assert ("By the bare hub face it reads least there" in said.lead(there, another, [])) is by_face
