"""Readings as pins round the rim: they stand where they were read, and what the corner does not explain is said."""

from dataclasses import replace

import numpy as np
import pytest
import standin

from scenes import palette
from scenes.stage import pins
from scenes.words import words
from sim.causes.answer import Fitted
from sim.errors import BadInput
from sim.files.dial_readings import CLOCKWISE, COUNTER

PLACES = np.arange(0.0, 360.0, 30.0)


def read_off(run, error_um=0.0):
    """A trace as this corner would be read, with an error at one place."""
    value = np.interp(PLACES, run.seat.angle_deg, run.seat.outboard_um, period=360.0)
    value[3] += error_um
    return Fitted("mounted", 1, PLACES, value, {}, {})


def test_pins_stand_on_the_rim_that_explains_them():
    run = standin.run()
    hub, read, drawn = pins.heights_um(run, read_off(run))
    assert hub == pytest.approx(PLACES)
    assert read == pytest.approx(drawn)
    _, read, drawn = pins.heights_um(run, read_off(run, 24.0))
    assert (read - drawn)[3] == pytest.approx(24.0 * 11 / 12)


def test_what_is_left_over_is_the_job_cards_figure():
    """The rim is the cause alone and the card's line is not: two figures stood for what one cause leaves."""
    run, cause = standin.run(), "dirt on the hub"
    one = replace(read_off(run, 24.0), residual_um={cause: np.tile([1.0, -1.4], 6)})
    assert f"{words.micrometres(one.left_over_um(cause))} (rms) left" in pins.told(run, one, cause)
    assert one.left_over_um(cause) == pytest.approx(np.sqrt(1.48))
    assert "rms" not in pins.told(run, read_off(run), cause)


def test_a_rotor_that_was_turned_on_carries_its_places_with_it():
    run = standin.run()
    run.case = replace(run.case, studs=replace(run.case.studs, studs_turned=2))
    hub, read, drawn = pins.heights_um(run, read_off(run))
    assert hub == pytest.approx((PLACES + 144.0) % 360.0)
    assert read == pytest.approx(drawn)


def test_studs_are_numbered_as_the_table_counts_them():
    """A table that counts clockwise had stud 2 on the left in this picture, and on the right on its card."""
    around = np.array([[0.0, -1.0], [-0.95, -0.31], [-0.59, 0.81], [0.59, 0.81], [0.95, -0.31]])  # counter-clockwise
    assert pins.numbered(around, COUNTER).tolist() == around.tolist()
    assert pins.numbered(around, CLOCKWISE).tolist() == around[[0, 4, 3, 2, 1]].tolist()


@pytest.mark.gl
def test_the_picture_shows_beads_in_the_dials_colour():
    run = standin.run()
    image = pins.pins(run, read_off(run, 24.0), "dirt on the hub", (480, 360)).astype(int)
    off = np.abs(image - np.round(255 * np.array(palette.rgb("dial")))).max(axis=2)
    assert (off < 40).sum() > 60
    assert image.shape == (360, 480, 3)


def test_only_a_png_is_written(tmp_path):
    with pytest.raises(BadInput, match="png"):
        pins.write(standin.run(), read_off(standin.run()), "warp", tmp_path / "pins.svg")
