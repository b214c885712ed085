"""Every colour can be told from every other: in grey print, and with the common kinds of colour blindness."""

from itertools import combinations

import numpy as np
import pytest

from scenes import palette

# Full-severity matrices on linear RGB. Source: Machado, Oliveira, Fernandes (2009), IEEE TVCG 15(6), table 1.
BLINDNESS = {
    "protan": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    "deutan": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    "tritan": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
}
NAMES = sorted(palette.COLOURS)


def seen(colour, kind):
    linear = np.array(palette.rgb(colour))
    linear = np.where(linear <= 0.04045, linear / 12.92, ((linear + 0.055) / 1.055) ** 2.4)
    changed = np.clip(np.array(BLINDNESS[kind]) @ linear, 0.0, 1.0)
    return np.where(changed <= 0.0031308, 12.92 * changed, 1.055 * changed ** (1 / 2.4) - 0.055)


@pytest.mark.parametrize("kind", sorted(BLINDNESS))
def test_every_pair_differs_to_colour_blind_eyes(kind):
    for first, second in combinations(NAMES, 2):
        difference = np.linalg.norm(palette.lab(seen(first, kind)) - palette.lab(seen(second, kind)))
        assert difference > 10.0, (first, second, kind, difference)


def test_colours_that_meet_in_one_plot_differ_in_grey():
    together = ["ink", "high", "dial", "scale", "hub", "part", "low", "paper"]
    for first, second in combinations(together, 2):
        assert abs(palette.lightness(first) - palette.lightness(second)) > 7.0, (first, second)


def test_every_colour_has_one_meaning():
    assert set(palette.MEANING) == set(palette.COLOURS)
    assert len(set(palette.MEANING.values())) == len(palette.MEANING)
    assert len(set(palette.COLOURS.values())) == len(palette.COLOURS)


def test_lettering_is_readable_on_paper():
    """Contrast ratio of WCAG 2.2, 1.4.3: at least 4.5 for text; 3 for large text and graphics."""

    def luminance(colour):
        return ((palette.lightness(colour) + 16.0) / 116.0) ** 3

    for colour, wanted in (("ink", 7.0), ("dial", 4.5), ("high", 7.0), ("scale", 4.0)):
        assert (luminance("paper") + 0.05) / (luminance(colour) + 0.05) > wanted, colour


@pytest.mark.parametrize("stops", [palette.HEIGHT_STOPS, palette.PRESSURE_STOPS])
def test_ramps_darken_steadily_in_one_hue(stops):
    colours = palette.ramp(np.linspace(0, 1, 41), stops)
    lab = np.array([palette.lab(colour) for colour in colours])
    assert (np.diff(lab[:, 0]) < 0).all()
    strong = lab[np.hypot(lab[:, 1], lab[:, 2]) > 8.0]
    hue = np.unwrap(np.arctan2(strong[:, 2], strong[:, 1]))
    assert np.ptp(np.degrees(hue)) < 30.0


def test_ramp_is_clipped_and_hits_its_ends():
    ends = palette.ramp([-1.0, 0.0, 1.0, 7.0])
    assert np.allclose(ends[0], palette.rgb(palette.HEIGHT_STOPS[0]))
    assert np.allclose(ends[0], ends[1])
    assert np.allclose(ends[3], palette.rgb(palette.HEIGHT_STOPS[-1]))


def test_mix_ends_and_middle():
    assert palette.mix("ink", "paper", 0.0) == palette.INK
    assert palette.mix("ink", "paper", 1.0) == palette.PAPER
    assert palette.lightness("ink") < palette.lightness(palette.mix("ink", "paper", 0.5)) < palette.lightness("paper")


def test_lab_of_known_colours():
    """White, black and sRGB red; red after Lindbloom's colour calculator, D65."""
    assert np.allclose(palette.lab("#FFFFFF"), [100.0, 0.0, 0.0], atol=0.05)
    assert np.allclose(palette.lab("#000000"), [0.0, 0.0, 0.0], atol=0.05)
    assert np.allclose(palette.lab("#FF0000"), [53.24, 80.09, 67.20], atol=0.1)


def test_limits_have_no_colour_of_their_own():
    assert palette.LIMIT_BAND["hatch"]
    assert palette.LIMIT_BAND["facecolor"] == "none"
    assert palette.LIMIT_LINE["color"] == palette.INK
