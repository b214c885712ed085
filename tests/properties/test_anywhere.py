"""One judge: what passes `check` is never bad input at the doors behind it, whatever stands at its bound."""

import warnings
from dataclasses import replace

import anywhere
import numpy as np
import pytest

from sim.chain import need_drivable
from sim.corner.seated import seat_corner
from sim.corner.unknown_wheel import NOT_SEATED
from sim.errors import BadInput, Refused
from sim.files.case_file import dict_to_case
from sim.parts.case import Case, Debris, Gauge, Judder, Pads, SpigotScale
from sim.parts.contradictions import contradictions
from sim.rigid.seat import rigid_runout_um
from sim.seating.prepared import pair_key
from sim.wear import march as march_module
from sim.wear.asked import Settings
from sim.wear.brake import COARSE, brake_of
from sim.wear.disc import make_problem
from sim.wear.forecast import drive
from sim.wear.judder import ORDERS, felt

BASES = [dict_to_case(anywhere.base(name)) for name in anywhere.BASES]
KNOWN = {pair_key(case, "rough") for case in BASES}


@pytest.mark.parametrize("draw", [0, 2, 3])  # the others are as long and told no more; by command hundreds
def test_drawn_corners_that_pass_check_are_never_bad_input(draw):
    case, moves = anywhere.draw(np.random.default_rng([11, draw]))
    wrong, _ = anywhere.walked(case, road=False, preset="rough")
    assert wrong == "", moves


def test_every_bound_is_answered_by_check_and_what_passes_seats():
    """Only bounds that leave rotor and hub as they are: their flexibility stands in the cache; the rest by command."""
    seated = 0
    for name, tables in anywhere.at_bounds():
        base, _, key = name.partition(": ")
        if base != anywhere.BASES[0] and key.partition(".")[0] in NOT_SEATED:
            continue  # seated once is enough of what changes no seating
        case = anywhere.passes(tables)  # anything but a case, a fault or a refusal breaks the test
        if case is None or pair_key(case, "rough") not in KNOWN or case.spigot_scale[0].height_um > 30.0:
            continue
        wrong, _ = anywhere.walked(case, road=False, preset="rough")
        assert wrong == "", name
        seated += 1
    assert seated > 150


def test_two_bounds_at_once_are_answered_by_check():
    passed = [anywhere.passes(tables) for _, tables in anywhere.pairs(300, 5)]
    assert 100 < sum(case is not None for case in passed) < 300


def test_a_patch_may_begin_at_the_middle():
    case = Case(debris=(Debris(inner_radius_mm=0.0, outer_radius_mm=68.0),))
    assert contradictions(case) == ()
    near = replace(case, debris=(Debris(inner_radius_mm=5.0, outer_radius_mm=68.0),))
    assert rigid_runout_um(case) == pytest.approx(rigid_runout_um(near))
    assert np.isfinite(seat_corner(case, "fast").rigid_runout_um)


@pytest.mark.parametrize("off_mm", [0.0, 0.3, 1.1, 2.6])
def test_the_dial_reads_the_whole_friction_face_to_its_edges(off_mm):
    """The face begins between two nodes of the mesh; a trace runs on smoothly to its very edge."""
    inner, outer = 95.0 + off_mm, 150.0
    rotor = replace(Case().rotor, friction_inner_diameter_mm=2 * inner, own_runout_um=0.0)
    case = Case(rotor=rotor, debris=(Debris(angle_deg=36.0),), gauge=Gauge(from_edge_mm=outer - inner))
    assert contradictions(case) == ()
    seated = seat_corner(case, "fast")
    near, further = seated.face_trace(inner + 0.5), seated.face_trace(inner + 1.0)
    assert seated.outboard_um == pytest.approx(2 * near - further, abs=0.02)
    with pytest.raises(BadInput, match="no friction face"):
        seated.face_trace(inner - 0.1)


def test_pads_that_end_before_they_begin_by_default_are_refused_by_check():
    assert contradictions(Case(pads=Pads(outer_radius_mm=100.0)))[0].keys == (("pads", "outer_radius_mm"),)
    assert contradictions(Case(pads=Pads(inner_radius_mm=149.0)))[0].keys == (("pads", "inner_radius_mm"),)
    both = Case(pads=Pads(inner_radius_mm=96.0, outer_radius_mm=100.0))
    assert contradictions(both) == ()
    assert brake_of(both).outer_radius_mm == 100.0


def test_worn_out_pads_seat_and_are_not_driven():
    case = Case(pads=Pads(thickness_mm=2.0))
    assert contradictions(case) == ()
    with pytest.raises(Refused, match=r"pads\.thickness_mm.*renew them"):
        drive(case, np.zeros(360), settings=Settings(draws=0))


def test_a_runout_that_the_mechanics_made_is_refused_and_one_that_was_read_is_bad_input():
    trace = 3000.0 * np.cos(2 * np.pi * np.arange(360) / 360)
    with pytest.raises(Refused, match="find and mend what leans it"):
        need_drivable(trace)
    with pytest.raises(BadInput, match="another unit"):
        drive(Case(), trace, settings=Settings(draws=0))


def test_scale_that_breaks_the_bore_is_judged_with_the_other_contradictions():
    case = Case(spigot_scale=(SpigotScale(height_um=900.0),))
    assert contradictions(case)[0].keys == (("spigot_scale", 0, "height_um"),)


def test_a_mode_that_passes_nothing_on_divides_by_nothing():
    amplitude = np.zeros((2, len(ORDERS)))
    amplitude[0, :2] = 7.5, 2.0
    silent, usual = (Case(judder=Judder(mode_gain_m_s2_per_nm=gain)) for gain in (0.0, 0.008))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = felt(amplitude, silent, brake_of(silent))
    assert found.wheel_index == pytest.approx(felt(amplitude, usual, brake_of(usual)).wheel_index)


def test_wear_that_cannot_be_followed_is_refused_before_it_is_worked_on(monkeypatch):
    worked, told = [], []
    turn = march_module.one_turn
    monkeypatch.setattr(march_module, "one_turn", lambda *given: worked.append(1) or turn(*given))
    trace = 0.03 * np.cos(2 * np.pi * np.arange(360) / 360)
    case = Case(pads=Pads(kind="adherent", film_deposit_mm3_per_nm=0.01))
    problem = make_problem(brake_of(case), trace, 140.0, np.zeros((2, 360)), COARSE)
    with pytest.raises(Refused, match=r"cannot be followed within 60 averaged turns.*pads, caliper or drive"):
        march_module.march(problem, 1e7, progress=lambda done, what: told.append(done), most_turns=60)
    assert len(told) >= len(worked) - 1  # before every turn: a step alone may take a thousand
    assert len(worked) <= 60 + march_module.STIFFNESS_TRIES
    with pytest.raises(Refused, match="within 1 averaged"):
        march_module.march(problem, 1e7, most_turns=1)
    worked.clear()
    with pytest.raises(Refused, match="within 2000 averaged"):  # its pace tells long before they are spent
        march_module.march(problem, 1e9, most_turns=march_module.MOST_TURNS)
    assert len(worked) < 2 * march_module.LOOK_AT_TURNS
    steps = []
    marched = march_module.march(  # unless something is worn out soon
        problem, 1e9, until=lambda state: len(steps) >= 40, most_turns=march_module.MOST_TURNS,
        nearing=lambda state: steps.append(1) or len(steps) / 40,
    )  # fmt: skip
    assert marched.revolutions[-1] < 1e9
    assert len(worked) > 2 * march_module.LOOK_AT_TURNS
