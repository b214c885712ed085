"""The disc that remembers: it tells the mounted runout at fitting with its uncertainty, and blames no part for it.

The library is small here and the discs few; coverage is studied by ``python -m tests.studies.memory``.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sim import disk_cache
from sim.bench import fitted_runout, worn_likeness
from sim.bench.fitted_runout import (
    ABOVE,
    CANNOT_TELL,
    INSIDE,
    MAY_BE,
    NOT_BY_RUNOUT,
    SHRINKS,
    UNEVEN,
    WITHIN,
    WornDisc,
    remember,
)
from sim.bench.known_parts import HUB_FACE, OWN, WITH_HUB, from_case, from_readings, part_of, to_rotor
from sim.bench.worn_library import LEAN_ORDERS, Fitted, Library, drawn_brake, fitted_draws, learn, new_disc, worn_orders
from sim.bench.worn_likeness import recall, shelve
from sim.errors import BadInput, Refused
from sim.files.dial_readings import parse
from sim.parts.case import Caliper, Case
from sim.turn import coefficient, high_spot_deg, trace
from sim.wear.brake import brake_of
from sim.weighted import weighted_quantile
from tests.studies import memory as study
from tests.studies import worn_rotors

CASE = Case()
KM = 9000.0
PLACES = 36
ANGLE = 360.0 * np.arange(PLACES) / PLACES


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    """Bands are tried on fewer discs than for an answer."""
    monkeypatch.setattr(worn_likeness, "SELF_TESTS", 250)


def kept(case, km, count, **seed):
    """Simulated rotors, kept from run to run while the code that wears them stays: they take most of this file."""

    def build():
        one = vars(learn(case, [km], count=count, **seed)[0])
        return {name: value for name, value in one.items() if name.endswith("_um")}

    arrays, _ = disk_cache.fetch("worn-discs", repr((case, km, count, seed)), build, learn.__module__)
    return Library(distance_km=km, **arrays)


@pytest.fixture(scope="module")
def library():
    return kept(CASE, KM, count=500, seed=11)


def worn(case, lean_um, turn_deg=0.0, km=KM):
    """Read a disc that was fitted with these orders of runout, laid ``turn_deg`` round; a rotor-frame ``WornDisc``."""
    lean = np.zeros(LEAN_ORDERS, dtype=complex)
    lean[: len(lean_um)] = lean_um
    fitted = Fitted(lean, 1.0 + 0j, np.array([1.0, 0.4j, 0.0]), 0.5)
    gone, thickness = (rows[0] for rows in worn_orders(new_disc(case, fitted), brake_of(case), np.array([km])))
    back = np.radians(turn_deg)

    def at_places(orders):
        return trace(np.concatenate([[0.0], orders * np.exp(-1j * back * np.arange(1, orders.size + 1))]), PLACES)

    middle, thick = at_places(lean + gone), at_places(thickness)
    return WornDisc(km, ANGLE, thick, middle + 0.5 * thick, middle - 0.5 * thick, doubt_um=2.0)


def test_orders_of_a_disc_that_never_ran_are_what_was_fitted():
    new = np.array([3.0 * np.exp(-1.1j), 0.0, 0.0])
    fitted = Fitted(np.array([50.0, 10.0, 0.0]), 1.0 + 0j, new, 0.75)
    gone, thickness = worn_orders(new_disc(CASE, fitted), brake_of(CASE), np.array([1e-6]))
    assert thickness[0, 0] == pytest.approx(new[0])
    assert fitted.lean_um + gone[0] == pytest.approx(fitted.plane_um, abs=1e-3)


def test_a_gross_runout_at_fitting_is_told_and_placed_and_nobody_is_blamed(library):
    found = remember(CASE, worn(CASE, (75.0, 8.0j), turn_deg=130.0), library=library)
    assert found.low_um < 152.0 < found.high_um
    assert found.fitting_runout_um == fitted_runout.Band(found.fitted_runout_um, found.low_um, found.high_um)
    assert found.runout_now_um < 145.0
    assert found.high_spot_deg == pytest.approx(130.0, abs=6.0)
    assert found.finding == ABOVE
    assert found.looks_like_wear
    assert found.cannot_tell == MAY_BE
    assert len(found.would_tell) == 5
    assert "only further traces can tell" in found.reason
    assert SHRINKS in found.notes
    assert any("knock or a crash" in note for note in found.notes)
    assert found.notes[-1].startswith("the 80 % band rests on the readings, on 500 rotors worn by our model")
    assert "and on the kilometres ± 25 %; where braking evened less" in found.notes[-1]


def test_the_high_spot_is_never_as_sure_as_a_mark_made_by_eye(library):
    """Readings without any noise: stud 1 is still marked, and places found, by eye (3 deg, so 3.8 deg at 80 %)."""
    found = remember(CASE, worn(CASE, (75.0,)), library=library)
    assert 3.0 < found.high_spot_half_width_deg < 9.0
    assert found.high_spot_band_deg == found.high_spot_half_width_deg
    small = remember(CASE, worn(CASE, (12.0,)), library=library)
    assert small.high_spot_half_width_deg is None or small.high_spot_half_width_deg > found.high_spot_half_width_deg


def test_a_runouts_band_is_a_margin_wider_than_the_library_tells_and_its_high_spot_is_not(library, monkeypatch):
    disc = worn(CASE, (50.0, 10.0))
    told = remember(CASE, disc, library=library)
    monkeypatch.setattr(worn_likeness, "MARGIN", 1.0)
    plain = remember(CASE, disc, library=library)
    assert told.fitted_runout_um == pytest.approx(plain.fitted_runout_um)
    wider = np.log(told.high_um / told.low_um) / np.log(plain.high_um / plain.low_um)
    assert wider == pytest.approx(1.12, rel=2e-3)
    assert told.high_spot_half_width_deg == plain.high_spot_half_width_deg


def test_bands_are_as_wide_as_the_librarys_own_discs_need(library):
    """Discs that are left out in turn say by how much a band must be stretched; twice as much, twice as wide."""
    lean, thickness = fitted_runout.read_orders(worn(CASE, (50.0, 10.0)))
    shelf = shelve(library, ANGLE, 2.0, 2.0)
    told, twice = (recall(one, lean, thickness) for one in (shelf, replace(shelf, needed=2.0 * shelf.needed)))

    def width(found):
        low, high = (weighted_quantile(found.fitted_um, found.weight, share) for share in (0.1, 0.9))
        return np.log(high / low)

    # the quantile lies between two draws of the runout, not of its logarithm
    assert width(twice) == pytest.approx(2.0 * width(told), rel=1e-5)
    assert worn_likeness.half_width(twice.high_spot_rad, twice.weight, 0.0) > 1.5 * worn_likeness.half_width(
        told.high_spot_rad, told.weight, 0.0
    )


def test_the_rotors_own_runout_of_the_case_is_taken_off_as_a_vector(library):
    """A perfect hub and a rotor that runs out 140 um by itself: nothing is left for the fitting."""
    case = replace(CASE, rotor=replace(CASE.rotor, own_runout_um=140.0, own_high_spot_deg=70.0))
    found = remember(case, worn(CASE, (70.0,), turn_deg=70.0), library=library)
    assert found.finding == ABOVE
    assert [part.cause for part in found.known] == [OWN]
    assert found.unread_um.high < 45.0
    assert "can account for it" in found.reason
    assert OWN not in found.cannot_tell
    assert HUB_FACE in found.cannot_tell
    elsewhere = replace(case, rotor=replace(case.rotor, own_high_spot_deg=250.0))
    against = remember(elsewhere, worn(CASE, (70.0,), turn_deg=70.0), library=library)
    assert against.unread_um.low > 240.0  # opposite: twice as much must have come from elsewhere
    assert "cannot account for it" in against.reason
    same = remember(CASE, worn(CASE, (70.0,), turn_deg=70.0), own=coefficient(70.0, 70.0), library=library)
    assert same.unread_um.high < 45.0


def test_words_name_no_fault_and_nobody(library):
    for lean in ((75.0,), (27.0, 4.0), (6.0,)):
        found = remember(CASE, worn(CASE, lean), library=library)
        text = " ".join((found.finding, found.reason, *found.notes, *found.would_tell, *found.cannot_tell))
        assert "fault" not in text
        assert "whose" not in text


def test_what_a_part_set_states_was_not_read():
    stated = replace(CASE, rotor=replace(CASE.rotor, own_runout_um=20.0), given=())
    assert from_case(stated) == ()
    assert [one.cause for one in from_case(replace(stated, given=("rotor.own_runout_um",)))] == [OWN]


def test_the_hubs_lean_is_carried_to_the_dial_and_into_the_rotors_frame():
    hub = replace(CASE.hub, face_runout_um=32.0, face_runout_radius_mm=70.0, face_high_spot_deg=100.0)
    case = replace(CASE, hub=hub, studs=replace(CASE.studs, studs_turned=1))
    (part,) = from_case(case)
    assert part.runout_um == pytest.approx(64.0)
    assert part.high_spot_deg == pytest.approx(28.0)  # hub angle = rotor angle + 72
    assert part.sd_um == pytest.approx(6.0)


def table_of(case, turns, hub_um=None):
    rows = ["# studs: 5", f"# gauge_radius_mm: {case.gauge_radius_mm:g}", "# hub_face_radius_mm: 70", "# dial_um: 1"]
    rows += ["# turned: counter-clockwise", "# dial: + towards"]
    rows.append("trace,mount,studs_turned,angle_deg,reading_um")
    for mount, (turned, vector) in enumerate(turns, 1):
        for angle in range(0, 360, 30):
            rows.append(f"mounted,{mount},{turned},{angle},{(vector * np.exp(1j * np.radians(angle))).real:.4f}")
    if hub_um is not None:
        for angle in range(0, 360, 30):
            rows.append(f"hub face,1,0,{angle},{(hub_um * np.exp(1j * np.radians(angle))).real:.4f}")
    return parse("\n".join(rows))


def test_a_second_stud_position_parts_what_stays_with_the_hub():
    own, hub = coefficient(40.0, 200.0), coefficient(30.0, 20.0)
    turns = [(turned, own + to_rotor(hub, CASE, turned)) for turned in (0, 2)]
    (part,) = from_readings(CASE, table_of(CASE, turns))
    assert part.cause == WITH_HUB
    assert part.vector == pytest.approx(hub, abs=1e-2)
    assert 2.0 < part.sd_um < 4.0
    bare, both = from_readings(CASE, table_of(CASE, turns, coefficient(10.0, 50.0)))
    assert bare.cause == HUB_FACE
    assert bare.vector == pytest.approx(coefficient(20.0, 50.0), abs=1e-2)
    assert both.cause == WITH_HUB
    assert from_readings(CASE, table_of(CASE, turns[:1])) == ()


def test_parts_that_were_read_shorten_the_list(library):
    disc = worn(CASE, (60.0,))
    hub = part_of(WITH_HUB, coefficient(60.0, 0.0), 3.0, "a second stud position")
    face = part_of(HUB_FACE, coefficient(55.0, 0.0), 3.0, "bare hub face")
    little = remember(CASE, disc, library=library, parts=(part_of(HUB_FACE, coefficient(8.0, 0.0), 3.0, "face"),))
    assert "can account for it" not in little.reason  # 16 of some 120 um do not make it
    opposed = (part_of(HUB_FACE, coefficient(2.0, 180.0), 3.0, "face"),)  # more than the whole came from elsewhere
    against = remember(CASE, worn(CASE, (24.0,)), library=library, parts=opposed)
    assert re.search(
        r"first order alone was \d+ to \d+ µm at fitting; .* as read taken off as a vector", against.reason
    )
    assert " is left" not in against.reason
    found = remember(CASE, disc, library=library, parts=(face, hub))
    assert [part.cause for part in found.known] == [WITH_HUB]  # the hub's face is within it
    assert found.unread_um.high < 60.0
    assert OWN not in found.cannot_tell
    assert "dirt on the hub" in found.cannot_tell


def test_a_reading_within_the_limit_today_does_not_clear_the_fitting():
    """Fixed caliper, 25 000 km: it reads within the limit now, and still remembers more."""
    case = Case(caliper=Caliper(style="fixed"))
    disc = worn(case, (47.0, 3.0j), km=25_000.0)
    library_25 = kept(case, 25_000.0, count=120)
    found = remember(case, disc, library=library_25)
    bare = remember(case, replace(disc, outboard_um=None, inboard_um=None), library=library_25)
    assert bare.high_spot_deg is None  # two thin spots alike: which of them was the high one cannot be told
    assert found.runout_now_um < case.limits.mounted_runout_um
    assert found.low_um < 95.0 < found.high_um
    assert found.fitted_runout_um > case.limits.mounted_runout_um


def test_high_spot_is_given_in_the_hub_frame(library):
    here = remember(CASE, worn(CASE, (75.0, 7.0), turn_deg=40.0), library=library)
    turned = replace(CASE, studs=replace(CASE.studs, studs_turned=2))
    there = remember(turned, worn(CASE, (75.0, 7.0), turn_deg=40.0), library=library)
    assert (there.high_spot_deg - here.high_spot_deg) % 360.0 == pytest.approx(144.0)


def test_turning_the_disc_turns_only_the_angle(library):
    one, two = (remember(CASE, worn(CASE, (55.0, 15.0j), turn_deg=turn), library=library) for turn in (10.0, 110.0))
    # TIR is taken at 120 places of the turn, which do not turn with it
    assert two.fitted_runout_um == pytest.approx(one.fitted_runout_um, rel=2e-3)
    assert (two.high_spot_deg - one.high_spot_deg) % 360.0 == pytest.approx(100.0, abs=0.1)


def test_a_true_corner_with_an_uneven_disc_was_not_worn_by_runout(library):
    """60 um of third order on a disc that runs true: no runout wears that."""
    thick, middle = 30.0 * np.cos(3.0 * np.radians(ANGLE)), 5.0 * np.cos(np.radians(ANGLE))
    found = remember(CASE, WornDisc(KM, ANGLE, thick, middle, middle), library=library)
    assert found.finding in (NOT_BY_RUNOUT, WITHIN)
    assert not found.looks_like_wear
    assert found.cannot_tell == UNEVEN
    assert found.finding == WITHIN or found.notes == ()
    # A dial without the wheel shows nothing of dirt inside, which leans the rotor on the road.
    assert INSIDE in found.cannot_tell
    assert any("with the wheel on" in what for what in found.would_tell)


def test_one_place_that_stands_alone_tells_of_no_fitting(library):
    found = remember(CASE, replace(worn(CASE, (50.0, 10.0)), one_place=True), library=library)
    assert (found.finding, found.looks_like_wear, found.cannot_tell) == (NOT_BY_RUNOUT, False, UNEVEN)
    assert "one place stands alone" in found.reason


def test_within_and_in_between(library):
    small = remember(CASE, worn(CASE, (9.0,)), library=library)
    assert small.finding == WITHIN
    assert SHRINKS not in small.notes
    assert "very likely a dial read it within" in small.reason
    assert "has another source" in small.reason
    assert small.cannot_tell == ()
    between = remember(CASE, worn(CASE, (24.0, 2.0)), library=library)
    assert between.finding == CANNOT_TELL
    assert set(between.cannot_tell) == set(MAY_BE)


def test_without_the_faces_the_band_is_wide_and_not_high(library):
    disc = worn(CASE, (60.0, 4.0j))
    full = remember(CASE, disc, library=library)
    bare = remember(CASE, replace(disc, outboard_um=None, inboard_um=None), library=library)
    assert bare.runout_now_um is None
    assert bare.high_um / bare.low_um > 1.5 * full.high_um / full.low_um


def test_bands_hold_truths_of_another_population(library):
    """Few rotors drawn by causes (`tests.studies.worn_rotors`), of two groups worn by another law than ours: bands of
    80 % hold 65 % or more, no group reads high.

    Thickness alone once read 40 % high: its library held every runout up to 300 um for as likely as the next.
    """
    for group in ("matched", "bad rotor", "thickness only", "another law", "evened by nothing"):
        random = np.random.default_rng(8)
        pasts = [worn_rotors.past(CASE, group, KM, 12, random) for _ in range(12)]
        shelf = study.shelf_for(library, pasts[0])
        answers = [study.ask(shelf, one) for one in pasts]
        assert np.mean([one.holds for one in answers]) > 0.65, group
        assert abs(np.mean([math.log(one.middle / one.truth) for one in answers])) < 0.18, group
    page = Path(study.__file__).with_suffix(".md").read_text(encoding="utf-8")
    rows = {row[0]: row for row in re.findall(r"^\| \*\*([^|]+)\*\* \| (\d+) \| ([\d.]+) \|", page, re.MULTILINE)}
    assert set(rows) >= {"matched", "bad rotor", "thickness only", "another law", "evened by nothing"}
    assert all(int(count) > 1000 and float(held) > 65.0 for _, count, held in rows.values()), rows


def test_the_same_readings_give_the_same_answer_to_the_bit(library):
    disc = worn(CASE, (60.0,))
    found = remember(CASE, disc, library=library)
    fitted_runout._shelved.cache_clear()
    assert remember(CASE, disc, library=library) == found


def test_kilometres_that_nobody_knows_exactly_spread_what_the_simulated_rotors_ran():
    """Evenly between two ends is their half width over root three as standard deviation."""
    rows = fitted_draws(400, 5)
    ran = {known: np.log([drawn_brake(brake_of(CASE), row, known)[1] for row in rows]) for known in (0.0, 10.0, 25.0)}
    assert np.all(ran[0.0] == 0.0)
    assert ran[10.0].std() == pytest.approx(0.10 / math.sqrt(3.0), rel=0.02)
    assert ran[25.0].std() == pytest.approx(0.25 / math.sqrt(3.0), rel=0.02)


def test_many_of_the_simulated_cars_hardly_brake():
    """What braking evens is known least: without them, rotors that no braking evened lay below their bands."""
    case = brake_of(CASE)
    share = np.array([drawn_brake(case, row)[0].brake_share for row in fitted_draws(400, 5)]) / case.brake_share
    assert np.mean(share < 0.3) == pytest.approx(0.45, abs=0.08)
    assert np.median(share[share > 0.3]) == pytest.approx(1.0, abs=0.25)


def test_weighted_quantile_of_equal_weights_is_the_plain_one():
    values = np.arange(101.0)
    assert weighted_quantile(values, np.full(101, 1 / 101), 0.5) == pytest.approx(50.0)
    assert high_spot_deg(coefficient(3.0, 77.0)) == pytest.approx(77.0)


def test_bad_readings_are_refused(library):
    good = worn(CASE, (50.0,))
    with pytest.raises(BadInput, match="too few"):
        remember(CASE, replace(good, angle_deg=ANGLE[:6], thickness_um=good.thickness_um[:6]), library=library)
    for wrong in ({"doubt_um": 0.0}, {"face_doubt_um": math.nan}):
        with pytest.raises(BadInput, match="uncertainty"):
            remember(CASE, replace(good, **wrong), library=library)
    with pytest.raises(Refused, match="library is for"):
        remember(CASE, replace(good, distance_km=100.0), library=library)
    with pytest.raises(Refused, match="kilometres ± 25 %, not ± 10 %"):
        remember(CASE, replace(good, give_or_take=10.0), library=library)
    for km in (0.0, 1e12, math.nan):
        with pytest.raises(BadInput, match="distance"):
            learn(CASE, [km], count=10)
    for known in (-1.0, 101.0, math.nan):
        with pytest.raises(BadInput, match="give_or_take"):
            learn(CASE, [KM], count=10, give_or_take=known)
    assert shelve(library, ANGLE, 2.0).with_faces is False
