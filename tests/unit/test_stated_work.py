"""What a case states is worked off at every door: the lists, their cautions and the sheet hold what the lead names."""

from __future__ import annotations

import pytest

from scenes.words import to_do, work_order
from sim.files.case_file import case_from_text
from tests import fakes

BASE = 'base = "rear_solid_300"\n'
SCALE = "[[spigot_scale]]\nangle_deg = 180\narc_deg = 120\nheight_um = 115\nto_face_mm = 4\n"
CALIPER = "[caliper]\nsticking_inboard_n = 400\n"
PADS = "[pads]\nthickness_mm = 1.5\n"
HUB = "[hub]\nface_runout_um = 60\n"
#: How a rotor with that scale sits.
SITS = {
    "jammed": {"home": "jammed", "wedged": True},
    "drawn home": {"home": "home", "wedged": True},
    "off centre": {"home": "home", "wedged": False},
}


def over_scale(text, sits):
    """A corner computed whose rotor sits so."""
    run = fakes.run(dirty=False)
    run.case, run.spigot = case_from_text(BASE + text + SCALE), SITS[sits]
    return run


def at(steps, step):
    """Where a step stands."""
    assert step in steps, [one.what for one in steps]
    return steps.index(step)


@pytest.mark.parametrize("sits", SITS)
@pytest.mark.parametrize(
    ("text", "step", "said", "cautions"),
    [
        (CALIPER, to_do.CALIPER_OVER_SCALE, "the caliper", {"hot", "hang the caliper", "stands", "pump the pedal"}),
        (PADS, to_do.PADS_TOO, "The pads are worn out", {"hang the caliper", "stands", "pump the pedal"}),
        (HUB, to_do.HUB_FIRST, "the hub face, over its limit", {"stuck rotor"}),
    ],
)
def test_over_scale_what_a_case_states_besides_is_done_once_the_rotor_is_off(text, step, said, cautions, sits):
    """Jammed or drawn home the lead named caliper, pads and hub, and the list had nothing of them."""
    run = over_scale(text, sits)
    steps = to_do.next_steps(run)
    off = next(k for k, one in enumerate(steps) if "rotor off" in one.keys)
    fit = next(k for k, one in enumerate(steps) if "fit" in one.keys)
    assert off < at(steps, step) < fit
    assert step.what in to_do.of_its_own(run)  # on the fitting sheet too
    assert sits == "off centre" or said in to_do.lead(run)
    told = work_order.cautions_for(run.case, [key for one in steps for key in one.keys])
    assert cautions <= {one.key for one in told}
    assert ("index" in [key for one in steps for key in one.keys]) is (step != to_do.HUB_FIRST)


def test_no_wheel_is_turned_on_a_rotor_that_scale_holds_to_see_whether_its_caliper_is_free():
    steps = to_do.next_steps(over_scale(CALIPER, "jammed"))
    before = " ".join(step.what for step in steps[: next(k for k, one in enumerate(steps) if "fit" in one.keys)])
    assert "It is free once all is back together and the wheel turns by hand with the brake released" in before
    assert to_do.CALIPER_FIRST not in steps


def test_worn_out_pads_alone_bring_the_cautions_of_the_caliper():
    run = fakes.run(dirty=False)
    run.case = case_from_text(BASE + PADS)
    keys = [key for step in to_do.next_steps(run) for key in step.keys]
    told = {one.key for one in work_order.cautions_for(run.case, keys)}
    assert {"service mode", "stands", "mask and eyes", "hang the caliper", "pump the pedal"} <= told
