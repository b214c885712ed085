"""Ranking of causes on corners whose truth is known: what is found, what is not, what is refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scenes.words import causes as said
from scenes.words import causes_do
from sim import turn
from sim.causes import names, next_reading, signatures
from sim.causes.finding import SELDOM, weigh
from sim.causes.priors import Prior, Priors
from sim.errors import BadInput
from sim.files.dial_readings import Trace, parse, to_csv
from sim.parts.case import Case, Studs
from tests.unit.causes_corner import ANGLES, CASE, Corner, dirt_orders, orders

pytestmark = pytest.mark.usefixtures("fewest_seatings")
DIRT = {"angle_deg": 130.0, "arc_deg": 20.0, "inner_radius_mm": 58.0, "outer_radius_mm": 66.0, "height_um": 110.0}


@pytest.fixture(scope="module")
def dirt():
    return dirt_orders(**DIRT)


def chance(found, cause):
    return next(one.probability for one in found.ranked if one.cause == cause)


def weighed(corner, **named):
    return weigh(corner.readings(), CASE, menu=False, **named)


def test_seatings_turn_and_mirror_exactly():
    """Same column for the patch one stud on, and in the mirror."""
    base = dirt_orders(signatures.stripped(CASE), **DIRT)[:3]
    ways = signatures.turned_and_mirrored(base[None, :], 5)
    n = np.arange(1, 4)
    turned = dirt_orders(signatures.stripped(CASE), **(DIRT | {"angle_deg": 130.0 + 72.0}))[:3]
    mirrored = dirt_orders(signatures.stripped(CASE), **(DIRT | {"angle_deg": 360.0 - 130.0}))[:3]
    assert np.abs(ways - turned).max(axis=1).min() < 1e-9
    assert np.abs(ways - mirrored).max(axis=1).min() < 1e-9
    assert np.abs(turned - base * np.exp(-1j * n * np.radians(72.0))).max() < 1e-9


def test_corners_of_one_geometry_share_their_signatures_whatever_their_faults():
    faulty = replace(
        CASE,
        rotor=replace(CASE.rotor, own_runout_um=20.0, own_high_spot_deg=70.0, own_runout_radius_mm=120.0),
        hub=replace(CASE.hub, face_runout_um=10.0, face_high_spot_deg=80.0, face_runout_radius_mm=60.0),
        studs=replace(CASE.studs, road_torque_nm=120.0),
    )
    assert signatures.stripped(faulty) == signatures.stripped(CASE)
    assert signatures.stripped(replace(CASE, rotor=replace(CASE.rotor, thickness_mm=11.0))) != signatures.stripped(CASE)


def test_what_a_rotor_may_be_worn_or_cut_to_seats_nothing_anew():
    rotor = replace(CASE.rotor, minimum_thickness_mm=11.0, machine_to_thickness_mm=11.4)
    assert signatures.signatures(replace(CASE, rotor=rotor)) is signatures.signatures(CASE)


def test_hub_against_rotor_at_one_position_is_never_a_finding():
    """One stud position gives one sum: whatever is asked of it, nothing is found and nobody is blamed."""
    for k, part in enumerate(("hub", "rotor")):
        found = weighed(Corner(k, **{part: orders(45.0 * np.exp(1j))}).mounted(0))
        assert found.finding is None
        assert {names.HUB_FACE, names.ROTOR} <= set(found.cannot_tell)


def test_another_stud_and_the_bare_face_find_the_hub():
    found = weighed(Corner(3, hub=orders(45.0 * np.exp(0.4j))).mounted(0).mounted(2).bare())
    assert found.finding == names.HUB_FACE
    top = found.ranked[0]
    assert top.runout_um[0] < 90.0 < top.runout_um[2]
    assert top.frame == "hub"
    assert abs((top.high_spot_deg + np.degrees(0.4) + 180.0) % 360.0 - 180.0) < 15.0


def test_another_stud_finds_the_rotor_and_it_stays_in_the_rotors_frame():
    """Found once its seat was cleaned a second time: before that a film of rust there would read so on every stud."""
    corner = Corner(4, rotor=orders(40.0 * np.exp(-1j))).mounted(0).mounted(2).mounted(2, "cleaned")
    once = weighed(corner)
    assert once.finding is None
    assert once.cannot_tell == (names.ROTOR,)
    assert next(one for one in once.ranked if one.cause == names.ROTOR_DIRT).probability > 0.02
    found = weighed(corner.mounted(2, "cleaned again"))
    assert found.finding == names.ROTOR
    assert next(one for one in found.ranked if one.cause == names.ROTOR_DIRT).probability < 0.005
    assert abs(found.ranked[0].high_spot_deg - np.degrees(1.0)) < 15.0


def test_dirt_that_cleaning_takes_away_is_found_with_its_angle(dirt):
    found = weighed(Corner(5, between=dirt).mounted(0).mounted(2).mounted(2, "cleaned"))
    assert found.finding == names.HUB_DIRT
    assert abs(found.ranked[0].high_spot_deg - DIRT["angle_deg"]) < 20.0
    assert found.ranked[0].runout_um[0] > 30.0
    # It is clean now and runs true; nobody has read whether it is worn.
    assert found.do == names.MEASURE + names.THICKNESS


def test_dirty_and_read_twice_is_told_to_clean(dirt):
    found = weighed(Corner(6, between=dirt).mounted(0).mounted(2).thickness())
    assert found.do in (names.CLEAN, names.CLEAN_THEN_INDEX)
    after = {one.what: one for one in found.after}
    assert after["cleaned"].runout_um[1] < 0.6 * after["as it is"].runout_um[1]
    assert after["cleaned"].below > 0.5 > after["as it is"].below


def test_wear_shows_in_the_thickness_alone():
    """The same mounted traces, blamed on wear only where a micrometer says so."""
    worn = orders(22.0 * np.exp(2j), 8.0)
    without = weighed(Corner(7, worn=worn).mounted(0).mounted(2))
    found = weighed(Corner(7, worn=worn).mounted(0).mounted(2).thickness())
    assert chance(found, names.WORN) > max(0.5, chance(without, names.WORN) + 0.1)
    assert found.do == names.RENEW


def test_good_thickness_acquits_wear():
    corner = Corner(8, rotor=orders(40.0)).mounted(0).mounted(2)
    assert chance(weighed(corner.thickness()), names.WORN) < 0.02


@pytest.mark.parametrize(
    "what", ["three humps on the hub", "two humps that cleaning leaves", "dirt that moved", "three corners"]
)
def test_a_truth_outside_the_list_fits_none(what, dirt):
    if what == "three humps on the hub":
        corner = Corner(9, hub=orders(0.0, 0.0, 25.0)).mounted(0).mounted(1)
    elif what == "two humps that cleaning leaves":
        corner = Corner(9, hub=orders(0.0, 15.0)).mounted(0).mounted(1).mounted(1, "cleaned")
    elif what == "dirt that moved":
        corner = Corner(9, between=dirt).mounted(0).mounted(2, extra=-1.6 * dirt).mounted(0, extra=0.9j * dirt)
    else:
        corner = Corner(9).mounted(0, extra=orders(40.0)).mounted(1, extra=orders(-40.0)).mounted(2, extra=orders(40.0))
    # Poorly cleaned, two patches of dirt could draw two humps: that is asked in test_causes_cleaning.
    found = weighed(corner, priors=Priors(poorly_cleaned=0.0, dirt_that_came_in=0.0))
    assert found.none_fits
    assert found.finding is None
    assert found.do == names.READ_AGAIN


def test_same_readings_same_bits(dirt):
    corner = Corner(10, between=dirt, rotor=orders(12.0j)).mounted(0).mounted(2)
    one, other = (weigh(corner.readings(), CASE) for _ in range(2))
    assert one.ranked == other.ranked
    assert one.after == other.after
    assert one.next_readings == other.next_readings
    assert one.misfit_share == other.misfit_share


@pytest.mark.parametrize("size", [0.0, 1e-3, 450.0])
def test_probabilities_add_to_one_at_any_size(size):
    found = weigh(Corner(11, rotor=orders(size)).mounted(0).mounted(2).readings(), CASE)
    assert abs(sum(one.probability for one in found.ranked) - 1.0) < 1e-9
    assert all(np.isfinite(one.runout_um).all() for one in found.ranked)
    assert all(0.0 <= one.below <= 1.0 for one in found.after)


@pytest.mark.usefixtures("twice_the_seatings")
def test_the_menu_offers_what_parts_and_drops_what_is_done(dirt):
    first = weigh(Corner(13, rotor=orders(40.0)).mounted(0, "cleaned").thickness().readings(), CASE)
    assert {one.what for one in first.next_readings} >= {names.ANOTHER_STUD, names.BARE_HUB}
    rates = [one.bits / one.minutes for one in first.next_readings]
    assert rates == sorted(rates, reverse=True)
    done = weigh(Corner(12, between=dirt).mounted(0).mounted(2).mounted(2, "cleaned").bare().readings(), CASE)
    assert not {one.what for one in done.next_readings} & {names.CLEAN_AND_REFIT, names.BARE_HUB, names.RADIAL}


def test_nothing_is_left_on_over_a_nut_that_was_loose_on_the_road():
    read = Corner(14).mounted(0, "cleaned").mounted(0, "cleaned").thickness().readings()
    loose = replace(CASE, studs=replace(CASE.studs, road_torque_nm=(30.0, 140.0, 140.0, 140.0, 140.0)))
    assert weigh(read, CASE, menu=False).do == names.LEAVE
    assert weigh(read, loose, menu=False).do == names.RETORQUE
    too_hard = replace(CASE, studs=replace(CASE.studs, road_torque_nm=(140.0, 140.0, 350.0, 140.0, 140.0)))
    assert weigh(read, too_hard, menu=False).do == names.RETORQUE


def test_a_minute_more_saves_a_minute_less(monkeypatch):
    """What a reading saves is told after its own minutes; what it tells does not hang on them."""
    readings = Corner(13, rotor=orders(40.0)).mounted(0, "cleaned").readings()
    saved = []
    for more in (0.0, 1.0):
        monkeypatch.setitem(next_reading.MINUTES, names.BARE_HUB, next_reading.MINUTES[names.BARE_HUB] + more)
        saved.append({one.what: (one.saves_min, one.bits) for one in weigh(readings, CASE).next_readings})
    (before, bits), (after, same) = (one[names.BARE_HUB] for one in saved)
    assert before - after == pytest.approx(1.0)
    assert bits == same


def test_a_corner_that_runs_true_is_left_once_its_thickness_was_read():
    corner = Corner(13, rotor=orders(5.0)).mounted(0).mounted(2)
    first = weigh(corner.readings(), CASE)
    assert first.do == names.MEASURE + names.THICKNESS
    assert first.next_readings[0].what == names.THICKNESS
    found = weigh(corner.thickness().readings(), CASE)
    assert found.do == names.LEAVE
    assert found.next_readings == ()


def test_no_rotor_is_indexed_whose_thickness_was_not_read():
    """A stud takes runout away, and no thickness that varies; once it was read, it is indexed."""
    corner = Corner(3, hub=orders(15.0), rotor=orders(18.0)).mounted(0, "cleaned").mounted(1, "cleaned").bare()
    first = weigh(corner.readings(), CASE)
    assert (first.by_rule, first.do) == (names.MEASURE + names.THICKNESS,) * 2
    assert first.next_readings[0].what == names.THICKNESS
    corner.thickness()
    corner.traces[-1] = replace(corner.traces[-1], dial_um=1.0)
    assert weigh(corner.readings(), CASE).do == names.INDEX


def test_no_part_is_ordered_before_the_corner_was_cleaned_and_read():
    """A hub face that leans, known from the bare face: clean first, then hub and bearing."""
    corner = Corner(23, hub=orders(75.0)).mounted(0).mounted(2).bare()
    assert weighed(corner).do in (names.CLEAN, names.CLEAN_THEN_INDEX)
    assert weighed(corner.mounted(2, "cleaned")).do == names.HUB_AND_BEARING


def test_no_part_is_ordered_while_it_reads_clean_under_its_limit():
    """A finer dial at most, and none; a hub is ordered only over a thickness that was read."""
    weak = Corner(3, rotor=orders(24.0)).mounted(0, "cleaned").mounted(2, "cleaned").thickness()
    found = weighed(weak)
    assert found.told.states[-1].read_um[-1] <= CASE.limits.mounted_runout_um
    assert found.do == names.MEASURE + names.FINER_DIAL
    strong = Corner(3, rotor=orders(44.0)).mounted(0, "cleaned").mounted(2, "cleaned").thickness()
    assert weighed(strong).do == names.MEASURE + names.BARE_HUB  # as readings alone: minutes before a part
    assert weighed(strong.bare()).do == names.CLEAN  # dirt on its seat would read so too
    assert weighed(strong.mounted(2, "cleaned again")).do == names.MEASURE + names.BARE_HUB  # its one turn once more
    assert weighed(strong.bare()).do == names.RENEW
    leans = Corner(23, hub=orders(60.0)).mounted(0, "cleaned").mounted(2, "cleaned")
    assert weighed(leans).do == names.MEASURE + names.THICKNESS
    assert weighed(leans.thickness()).do == names.MEASURE + names.BARE_HUB
    assert weighed(leans.bare()).do == names.HUB_AND_BEARING


def test_a_doubted_trace_that_was_read_twice_is_used():
    """Both tables stand out, and agree: no pen slips twice alike, as over a pad's mark."""
    corner = Corner(24, rotor=orders(40.0)).mounted(0).mounted(2)
    marked = corner.traces[1].value_um.copy()
    marked[4] += 400.0
    again = (corner.traces[0], *(replace(corner.traces[1], value_um=marked),) * 2)
    read = parse(to_csv(replace(corner.readings(), traces=again)))
    assert {fault.trace for fault in read.faults} == {"mounted, mount 2"}
    assert len(weigh(read, CASE, menu=False).fitted) == 2


def test_a_trace_that_is_read_again_takes_the_place_of_the_first():
    """The slipped table stands in the file, and the same mounting read again."""
    corner = Corner(24, rotor=orders(40.0)).mounted(0)
    slipped = corner.traces[0].value_um.copy()
    slipped[4] += 400.0
    both = (replace(corner.traces[0], value_um=slipped), corner.traces[0])
    found = weigh(parse(to_csv(replace(corner.readings(), traces=both))), CASE, menu=False)
    assert found.do != names.READ_AGAIN
    assert len(found.fitted) == 1


def test_kilometres_acquit_wear():
    corner = Corner(14, worn=orders(20.0)).mounted(0).mounted(2)
    assert chance(weighed(corner, drove_after_fitting_km=10.0), names.WORN) < chance(weighed(corner), names.WORN)


def test_worn_in_and_from_new_look_alike_until_kilometres_part_them():
    corner = Corner(14, worn=orders(25.0)).mounted(0).mounted(2).mounted(0, "cleaned").thickness()
    unknown, late = weighed(corner), weighed(corner, drove_after_fitting_km=30_000.0)
    assert unknown.finding is None
    assert {names.WORN, names.NEW_DTV} <= set(unknown.cannot_tell)
    assert chance(late, names.NEW_DTV) < 0.8 * chance(unknown, names.NEW_DTV)
    assert late.ranked[0].cause == names.WORN


def test_odds_that_are_changed_change_the_answer():
    corner = Corner(15, rotor=orders(40.0)).mounted(0)
    other = replace(Priors(), rotors_own_runout=Prior(0.8, 4.0, 25.0))
    assert chance(weighed(corner, priors=other), names.ROTOR) > chance(weighed(corner), names.ROTOR) + 0.1


def test_without_a_thickness_all_that_it_would_tell_is_one_share():
    """Thickness from new stands with wear until somebody reads the thickness."""
    corner = Corner(15, rotor=orders(40.0)).mounted(0).mounted(2)
    wide = replace(Priors(), dtv_from_new=Prior(0.08, 6.0, 9.0))
    worn, more = (
        next(one.runout_um[2] for one in weighed(corner, priors=held).ranked if one.cause == names.WORN)
        for held in (Priors(), wide)
    )
    assert more > worn + 3.0


def test_readings_of_another_car_are_refused():
    found = Corner(16).mounted(0).readings()
    with pytest.raises(BadInput, match="studs"):
        weigh(found, Case(studs=Studs(count=4)))
    with pytest.raises(BadInput, match="gauge_radius_mm"):
        weigh(replace(found, gauge_radius_mm=180.0), CASE)
    clean = Corner(4).mounted(0).readings()
    thick = Trace("thickness", 1, 0, ANGLES, np.full(ANGLES.size, 22000.0))
    with pytest.raises(BadInput, match="22.00 mm at its thinnest does not lie on this corner, whose rotor is 12 mm"):
        weigh(replace(clean, traces=(*clean.traces, thick)), CASE)


def test_a_rotor_on_its_screw_alone_is_no_evidence():
    corner = Corner(17, rotor=orders(40.0)).mounted(0)
    loose = replace(corner.traces[0], clamped_by="screw only")
    with pytest.raises(BadInput, match="screw"):
        weigh(replace(corner.readings(), traces=(loose,)), CASE)
    clean = replace(corner.traces[0], mount=2, state="cleaned", clamped_by="screw only")
    found = weigh(replace(corner.readings(), traces=(corner.traces[0], clean)), CASE)
    assert found.do == names.READ_AGAIN
    assert "held by the screw only, a rotor does not sit" in causes_do.action(found)


def test_six_places_carry_two_orders():
    corner = Corner(18, rotor=orders(40.0)).mounted(0).mounted(2)
    few = tuple(
        Trace(t.kind, t.mount, t.studs_turned, ANGLES[::2].copy(), t.value_um[::2], None, t.state)
        for t in corner.traces
    )
    found = weigh(replace(corner.readings(), traces=few), CASE, menu=False)
    assert found.ranked[0].cause in (names.ROTOR, names.ROTOR_DIRT, names.WORN)


def test_what_is_drawn_and_what_is_left_over_make_the_reading():
    found = weighed(Corner(19, rotor=orders(40.0)).mounted(0).mounted(2))
    assert [one.mount for one in found.fitted] == [1, 2]
    for one in found.fitted:
        for cause, curve in one.drawn.items():
            at = curve[one.angle_deg.astype(int)]
            np.testing.assert_allclose(at + one.residual_um[cause], one.read_um, atol=1e-9)


def test_a_doubted_trace_is_left_out_and_the_rest_still_answers():
    """One of three mountings has a slipped decimal: it says nothing, the two others do."""
    corner = Corner(20, rotor=orders(40.0)).mounted(0).mounted(2).mounted(1)
    slipped = corner.traces[2].value_um.copy()
    slipped[4] += 400.0
    corner.traces[2] = replace(corner.traces[2], value_um=slipped)
    read = parse(to_csv(corner.readings()))
    assert read.faults
    found = weigh(read, CASE, menu=False)
    assert not found.none_fits
    assert found.ranked[0].cause == names.ROTOR
    assert len(found.fitted) == 2


def test_a_slip_in_the_only_mounting_is_read_again():
    corner = Corner(21, rotor=orders(40.0)).mounted(0)
    slipped = corner.traces[0].value_um.copy()
    slipped[4] += 400.0
    corner.traces[0] = replace(corner.traces[0], value_um=slipped)
    found = weigh(parse(to_csv(corner.readings())), CASE)
    assert found.do == names.READ_AGAIN
    assert found.finding is None


def test_a_good_rotor_may_be_even_within_a_division():
    """A micrometer reads the thickness: 2 um of variation are no fault of a dial of 10 um."""
    corner = Corner(22, rotor=orders(40.0)).mounted(0)
    shown = 12_000.0 + np.resize([0.0, 1.0, 2.0, 1.0], 12)
    even = replace(corner.traces[0], kind="thickness", value_um=shown, feeler_um=None)
    found = parse(to_csv(replace(corner.readings(), traces=(*corner.traces, even))))
    assert np.ptp(found.of("thickness")[0].value_um) == 2.0


def test_a_corner_that_contradicts_itself_is_refused_before_dirt_is_seated():
    wrong = replace(CASE, studs=replace(CASE.studs, seat_outer_diameter_mm=60.0))
    with pytest.raises(BadInput, match="seat_outer_diameter_mm"):
        weigh(Corner(25, rotor=orders(40.0)).mounted(0).readings(), wrong)


def test_a_bare_face_that_stands_up_somewhere_speaks_for_dirt():
    """Read before it was cleaned: a bump where the patch lies raises dirt, an even face lowers it a little."""
    corner = Corner(26, hub=orders(10.0)).mounted(0, extra=orders(30.0, 6.0)).bare("as found")
    bumped = corner.traces[-1].value_um.copy()
    bumped[4] += 70.0
    with_bump = replace(corner.readings(), traces=(corner.traces[0], replace(corner.traces[-1], value_um=bumped)))
    even, found = (weigh(read, CASE, menu=False) for read in (corner.readings(), with_bump))
    assert chance(found, names.HUB_DIRT) > chance(even, names.HUB_DIRT) + 0.1


def test_a_share_is_told_of_a_cause_that_is_there_and_of_none_that_hardly_is(dirt):
    """As likely as not it is none; if it is there, its size is known: the band of both begins at nought."""
    found = weighed(Corner(6, between=dirt).mounted(0).thickness())
    doubtful = next(one for one in found.ranked if one.cause == names.HUB_DIRT)
    assert SELDOM < doubtful.present < 0.9
    assert doubtful.runout_um[0] < 1.0 < doubtful.if_there_um[0]
    truth = turn.tir(turn.evaluate(np.append(0.0, dirt[:3]), np.radians(np.arange(360.0))))
    assert doubtful.if_there_um[0] < truth < 1.3 * doubtful.if_there_um[2]
    hardly = [one for one in found.ranked if one.if_there_um is None]
    assert hardly
    assert all(one.present < SELDOM for one in hardly)
    rows = {row[0]: row[2] for row in said.ranked_rows(found, len(found.ranked))}
    assert {rows[one.cause] for one in hardly} == {"–"}
