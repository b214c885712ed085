"""What a reading says of the car on the road: exact where it is exact, silent where drawn corners are rare."""

from dataclasses import replace

import numpy as np
import pytest

from sim.corner import behind_reading as dfr
from sim.corner.clampings import DRIVEN, clampings
from sim.corner.kept_traces import solved_orders
from sim.errors import BadInput, Refused
from sim.parts.case import Case, Debris, Hub, Rotor, Studs
from sim.seating.seat import seat

pytestmark = pytest.mark.usefixtures("few_draws")

CASE = Case()
FEW = 48


@pytest.fixture(scope="module", autouse=True)
def few_corners():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(dfr, "CORNERS", FEW)
        patch.setattr(dfr, "LEAST_ALIKE", 12.0)
        patch.setattr(dfr, "typical", lambda *_: (("light alloy", 20.0, 1.0),))  # a wheel costs a second to prepare
        patch.setattr(dfr, "LAYERS", dfr.LAYERS[1:2])
        yield


@pytest.mark.parametrize("name", ["three nuts, 20 N m", DRIVEN])
def test_runouts_of_hub_and_rotor_add_to_a_seating_as_vectors(name, monkeypatch):
    """Joined without another solve, a corner reads what the solver finds with everything in it at once."""
    monkeypatch.setattr(dfr, "STATED_SD_UM", 0.0)
    case = Case(
        hub=Hub(face_runout_um=35.0, face_high_spot_deg=70.0),
        rotor=Rotor(own_runout_um=40.0, own_high_spot_deg=200.0),
        studs=Studs(studs_turned=2),
        debris=(Debris(angle_deg=100.0, arc_deg=30.0, height_um=70.0), Debris(on="rotor", height_um=30.0)),
    )
    bare = replace(case, hub=replace(case.hub, face_runout_um=0.0), rotor=replace(case.rotor, own_runout_um=0.0))
    orders = solved_orders([clampings(bare)[name]], "fast")
    rng = np.random.default_rng(1)
    wave = dfr._hub_wave(case, 1, rng) + dfr._rotor_wave(case, 1, rng)
    joined = dfr._tir(orders, np.zeros(1, dtype=int), np.array([[0.0, wave[0]]]))
    assert joined[0] == pytest.approx(seat(clampings(case)[name], "fast").gauge_runout_um, rel=0.003)


def test_read_as_driven_the_dial_is_all_that_lies_between():
    found = dfr.driven_given_reading(CASE, "wheel", 60.0)
    assert found.middle_um == pytest.approx(60.0, rel=0.05)
    assert 2.0 < found.high_um - found.low_um < 20.0


def test_few_loose_nuts_say_less_than_full_torque():
    full = dfr.driven_given_reading(CASE, "nuts and spacers", 80.0)
    loose = dfr.driven_given_reading(CASE, "three nuts, 20 N m", 80.0)
    assert loose.high_um / loose.low_um > full.high_um / full.low_um
    assert full.low_um < full.middle_um < full.high_um
    assert full.ratio.shape == (400,)
    share = np.mean((full.ratio * 80.0 > full.low_um) & (full.ratio * 80.0 < full.high_um))
    assert share == pytest.approx(0.8, abs=0.01)


def test_the_same_seed_gives_the_same_band_to_the_bit_and_words_mean_clampings():
    one = dfr.driven_given_reading(CASE, "nuts and spacers", 60.0)
    two = dfr.driven_given_reading(CASE, "nuts and spacers, full torque", 60.0)
    assert (one.ratio == two.ratio).all()
    assert one.high_um == two.high_um


def test_what_the_file_states_is_given_and_narrows_the_band():
    stated = Case(rotor=Rotor(own_runout_um=60.0))
    assert dfr.known(stated) == ("rotor.own_runout_um",)
    assert dfr.known(CASE) == ()
    from_set = Case(rotor=Rotor(own_runout_um=60.0), given=())  # a part set's invented value is nobody's measurement
    assert dfr.known(from_set) == ()


def test_a_bare_hub_that_is_read_too_says_what_a_small_reading_hides():
    """60 µm under three nuts: over a true hub little more than that is driven, over one of 50 µm a lot more."""
    found = dfr.with_hubs_read(CASE, "three nuts, 20 N m", 60.0)
    true, lean = (found[hub_um] for hub_um in dfr.BARE_HUBS_UM)
    alone = dfr.driven_given_reading(CASE, "three nuts, 20 N m", 60.0)
    assert true.middle_um < alone.middle_um < lean.middle_um
    assert lean.high_um > 1.2 * alone.high_um
    assert dfr.known(dfr.with_bare_hub(Case(given=()), 50.0)) == ("hub.face_runout_um",)
    assert dfr.with_hubs_read(Case(hub=Hub(face_runout_um=20.0)), "three nuts, 20 N m", 60.0) == {}  # stated already
    assert dfr.with_hubs_read(CASE, "wheel", 60.0) == {}  # nothing lies between


def test_once_the_hub_is_stated_more_rotors_are_drawn_that_turn_the_stack_whole():
    """Else what reads large over a true hub is laid to dirt, and bad rotors are driven beyond the band."""
    stated = dfr.with_bare_hub(CASE, 10.0)
    free, left = (2 * abs(dfr._rotor_wave(case, 20_000, np.random.default_rng(2))) for case in (CASE, stated))
    assert np.mean(free > 50.0) < 0.13 < 0.18 < np.mean(left > 50.0) < 0.26


def test_nonsense_and_rarities_are_refused():
    with pytest.raises(BadInput, match="clampings"):
        dfr.driven_given_reading(CASE, "glue", 100.0)
    with pytest.raises(BadInput, match="above zero"):
        dfr.driven_given_reading(CASE, "wheel", 0.0)
    with pytest.raises(Refused, match="cannot tell"):
        dfr.driven_given_reading(CASE, "nuts and spacers", 2500.0)


def test_every_row_of_the_prior_has_its_source():
    assert len(dfr.PRIOR) >= 15
    assert all(row.what and row.drawn and row.source for row in dfr.PRIOR)


def test_what_is_not_drawn_widens_a_band_as_an_error_of_its_own_and_its_middle_stays():
    rng = np.random.default_rng(5)
    driven = np.exp(rng.uniform(np.log(20.0), np.log(150.0), 4000))
    joint = dfr.Joint(driven * np.exp(rng.normal(0.1, 0.2, driven.size)), driven, np.arange(driven.size))
    drawn, told = (dfr.behind(joint, 60.0, 50, np.random.default_rng(1), not_drawn=m) for m in (0.0, dfr.NOT_DRAWN))
    assert told.middle_um == drawn.middle_um
    half, before = (np.log(one.high_um / one.low_um) / 2 for one in (told, drawn))
    assert half == pytest.approx(np.hypot(before, dfr.NOT_DRAWN), rel=0.02)
    assert half > 1.05 * before
    for end in ("low_um", "high_um"):  # both ends by one factor: the band keeps its lean
        reach, was = (np.log(getattr(one, end) / one.middle_um) for one in (told, drawn))
        assert reach / was == pytest.approx(half / before, rel=0.02)
    assert np.ptp(np.log(told.ratio)) == pytest.approx(half / before * np.ptp(np.log(drawn.ratio)), rel=0.02)


def test_hubs_and_rotors_are_not_drawn_as_if_a_third_of_them_were_scrap():
    """Limits lie at 30 to 50 µm: evenly in ratio up to 120, 32 % would stand beyond 40 and take large readings over."""
    drawn = dfr._runout_um(20_000, np.random.default_rng(2))
    assert dfr.RUNOUT_UM[0] <= drawn.min() < drawn.max() <= dfr.RUNOUT_UM[2]
    assert 0.05 < np.mean(drawn > 40.0) < 0.25


def test_what_only_the_blur_let_through_widens_no_band():
    """Every corner drives at 0.7 of what it reads, exactly: so does the band, though corners 3 % off count as alike."""
    seen = np.geomspace(700.0, 1400.0, 4000)
    joint = dfr.Joint(seen, 0.7 * seen, np.arange(seen.size))
    found = dfr.behind(joint, 1000.0, 50, np.random.default_rng(1), not_drawn=0.0)
    assert found.middle_um == pytest.approx(700.0, rel=1e-3)
    assert found.high_um / found.low_um < 1.002  # every miss left in: 1.08
