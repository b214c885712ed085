"""The duty table and what remains after cleaning."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import numpy as np
import pytest

from scenes.words import uneven_rotor
from sim.bench import questions
from sim.bench.questions import after_cleaning, duty_table
from sim.parts.case import Case
from sim.parts.thickness import Uneven, micrometer_sd_um, uneven
from sim.wear.asked import Settings, faces_from_thickness
from sim.wear.brake import COARSE
from sim.wear.forecast import drive
from sim.wear.forecast_words import NOT_STUDIED
from sim.wear.lives import true_wear_mm_per_km
from tests.command import run

THETA = 2.0 * np.pi * np.arange(360) / 360
OR_CUT = "Renew it, or cut it where its maker allows, in axle pairs"
FEW = Settings(draws=24, points=31)


@pytest.fixture
def coarse(monkeypatch):
    """The table is driven on the grid of the draws: within 1.5 % of the standard one."""
    monkeypatch.setattr("sim.bench.questions.Settings", partial(Settings, fineness=COARSE))


@pytest.mark.usefixtures("coarse")
def test_table_has_every_line_and_its_trends():
    """At 15 um no pad touches: what a heavy brake leaves over 30 000 km no gauge reads (the face wears to a cone)."""
    rows = duty_table(Case(), runout_um=(15.0, 20.0, 100.0), draws=0)
    assert len(rows) == 2 * 2 * 3 * 3
    quiet = [row for row in rows if row.runout_um == 15.0]
    assert all(row.peak_um < 0.3 and row.drag_nm == 0.0 and row.km_to_10 is None for row in quiet)
    assert all(row.peak_um < 0.01 for row in quiet if row.caliper == "fixed" or row.duty == "gentle")
    # At 20 um the outer edge of the outboard pad just touches, which one ring at the mean radius missed.
    assert all(row.peak_um < 2.0 and row.km_to_10 is None for row in rows if row.runout_um == 20.0)
    peak = {(row.caliper, row.pads, row.duty): row for row in rows if row.runout_um == 100.0}
    for style in ("floating", "fixed"):
        for kind in ("abrasive", "adherent"):
            assert peak[style, kind, "gentle"].peak_um > peak[style, kind, "heavy"].peak_um
        abrasive, adherent = peak[style, "abrasive", "mixed"], peak[style, "adherent", "mixed"]
        assert abrasive.km_to_15 < adherent.km_to_15
        assert abrasive.end_um < abrasive.peak_um
    assert 4800.0 < peak["floating", "abrasive", "mixed"].km_to_15 < 11_300.0


@pytest.mark.usefixtures("coarse")
def test_table_bands():
    told = []
    rows = duty_table(Case(), runout_um=(100.0,), km=12_000.0, draws=3, progress=lambda share, what: told.append(share))
    assert told[0] == 0.0
    assert told[-1] == 1.0
    assert all(0.0 <= row.probability_never <= 1.0 for row in rows)


def test_a_worn_disc_on_a_clean_hub_fades():
    worn = faces_from_thickness(9.0 * np.cos(THETA) + 3.0 * np.cos(2.0 * THETA))
    found = after_cleaning(Case(), worn, 5.0 * np.cos(THETA), settings=FEW)
    assert found.dtv_now_um > 18.0
    assert found.km_low <= found.km_to_fade <= found.km_high
    assert found.probability_fades > 0.5
    assert "below 15 µm after about" in found.verdict


def test_on_a_dirty_hub_it_does_not_fade():
    worn = faces_from_thickness(20.0 * np.cos(2.0 * THETA))
    found = after_cleaning(Case(), worn, 75.0 * np.cos(THETA), km=2000.0, settings=replace(FEW, draws=0))
    assert found.km_to_fade is None
    assert found.cut is None
    assert (
        "no cut on the car is offered without the maker's rotor.machine_to_thickness_mm and micrometer" in found.verdict
    )


def test_a_cut_is_offered_on_the_makers_and_a_measured_thickness_only():
    worn, runout = faces_from_thickness(20.0 * np.cos(2.0 * THETA)), 75.0 * np.cos(THETA)
    few = replace(FEW, draws=0)

    def asked(thickness, machine_to, measured):
        rotor = replace(Case().rotor, thickness_mm=thickness, machine_to_thickness_mm=machine_to)
        return after_cleaning(replace(Case(), rotor=rotor), worn, runout, 500.0, few, measured=measured)

    good = asked(11.0, 10.4, measured=True)
    out, into = runout - worn[0], runout + worn[1]
    left = 11.0 - 1e-3 * (worn[0].mean() + worn[1].mean()) - 1e-3 * (out.mean() - out.min() + into.max() - into.mean())
    assert good.thickness_after_cut_mm == pytest.approx(left, abs=1e-6)
    assert good.verdict.startswith("Cut it on the car, both of the axle. ")
    assert "it leaves 10.8" in good.verdict
    assert "5 to 25 µm of runout (judgement)" in good.verdict
    assert good.cut.km_to_discard[1] < good.cut.km_to_discard[0] < good.cut.km_to_discard[2]
    assert NOT_STUDIED in good.verdict
    for thickness, machine_to, measured, said in (
        (11.0, 10.4, False, "without micrometer readings"),
        (11.0, None, True, "without the maker's rotor.machine_to_thickness_mm"),
        (10.5, 10.4, True, "less than the maker's 10.4 mm"),
        (10.2, 10.02, True, "no wear to speak of over its discard thickness of 10 mm"),
    ):
        found = asked(thickness, machine_to, measured)
        assert said in found.verdict
        # What nobody looked up is no reason against a cut: `causes` and `drive` leave it to the maker too.
        allowed = "" if measured and machine_to else ", or cut it where its maker allows"
        assert found.act == f"Renew it{allowed}, in axle pairs"


@pytest.mark.usefixtures("fewest_seatings", "fewest_draws", "fewest_corners")
def test_remains_and_causes_leave_a_cut_to_the_maker_alike(tmp_path, capsys):
    """25 ± 6 µm, 1.6 mm over the discard figure: `remains` said "renew it" where `causes` said "or cut it"."""
    lines = [
        "# studs: 5",
        "# gauge_radius_mm: 140",
        "# dial_um: 10",
        "# turned: counter-clockwise",
        "# dial: + towards",
    ]
    lines.append("trace,mount,studs_turned,angle_deg,reading_um,state,clamped_by,dial_um")
    for k in range(12):
        lines.append(f"mounted,1,0,{30 * k},{round(30 * np.cos(k * np.pi / 6))},cleaned,nuts and spacers,10")
        lines.append(f"thickness,1,0,{30 * k},{11600 + round(12.5 * np.cos(k * np.pi / 6 - 1.0))},cleaned,,1")
    table = tmp_path / "readings.csv"
    table.write_text("\n".join(lines))
    for discard_mm, cut in ((10.0, True), (11.45, False)):
        case = tmp_path / f"{discard_mm}.toml"
        case.write_text(f'base = "rear_solid_300"\n[rotor]\nminimum_thickness_mm = {discard_mm}\n')
        for words in (
            ["remains", table, "--case", case, "--km", 500],
            ["remains", table, "--case", case, "--km", 500, "--json"],
            ["causes", table, "--case", case],
        ):
            said = " ".join(run(capsys, *words).stdout.split())
            assert ("or cut it where its maker allows" in said) is cut, words
            assert ("a cut would leave about 11.50 mm" in said.replace("\\u00a0", " ")) is not cut, words


def test_wear_of_a_true_rotor_is_that_of_the_forecast():
    likely, low, high = true_wear_mm_per_km(Case())
    # The bed evens out the cone that grows as the outside rubs faster: 2.5 % less at the gauge radius after 10 000 km.
    found = drive(Case(), np.zeros(360), 2000.0, settings=Settings(draws=0))
    assert likely * 2000.0 == pytest.approx(found.disc_wear_mm, rel=0.02)
    assert low < likely < high


def test_a_disc_below_the_limit_is_told_so():
    found = after_cleaning(Case(), np.zeros((2, 90)), np.zeros(360), settings=replace(FEW, draws=0))
    assert found.verdict.endswith("below the limit of 15 µm")
    grows = after_cleaning(Case(), np.zeros((2, 90)), 60.0 * np.cos(THETA), settings=replace(FEW, draws=0))
    assert "grows over the limit again" in grows.verdict
    assert grows.act == questions.STILL_LEANS
    assert grows.km_low == pytest.approx(grows.km_high) if grows.km_low else grows.km_low is None


@pytest.mark.parametrize(
    ("high_um", "doubt_um", "by_runout", "act", "why"),
    [
        (
            15.0,
            6.0,
            True,
            "Buy nothing yet: measure again with a finer micrometer",
            "If it is then over the limit: renew",
        ),
        (40.0, 6.0, None, OR_CUT, "it is not known that runout wore it"),
        (40.0, 6.0, False, OR_CUT, "no simulated rotor that runout wore looks like this one"),
        (16.0, 0.1, True, OR_CUT, "the model starts at the limit"),
    ],
)
def test_one_act_comes_first_and_no_distance_where_nothing_bears_it_out(high_um, doubt_um, by_runout, act, why):
    worn = faces_from_thickness(0.5 * (high_um - 1.1) * np.cos(THETA))  # bent by the rounding
    varies = Uneven(high_um, doubt_um, 15.0)
    few = replace(FEW, draws=0)
    found = after_cleaning(Case(), worn, np.zeros(360), 500.0, few, varies=varies, worn_by_runout=by_runout)
    assert found.act == act
    assert found.verdict.startswith(f"{act}. ")
    assert why in found.why
    assert found.km_to_fade is found.probability_fades is found.km_low is None
    assert "by a guess" not in found.verdict


def test_remains_and_causes_hold_the_thickness_against_its_limit_by_one_rule():
    near = Uneven(9.0, 5.7, 15.0, between_um=1.0, places=12)
    found = after_cleaning(Case(), np.zeros((2, 90)), np.zeros(360), 500.0, replace(FEW, draws=0), varies=near)
    assert near.state == "below"
    assert found.act.startswith("Nothing is bought for its thickness")
    assert near.said.endswith("below the limit of 15 µm")
    fine = Uneven(12.0, 5.7, 15.0, places=12)
    found = after_cleaning(Case(), np.zeros((2, 90)), np.zeros(360), 500.0, replace(FEW, draws=0), varies=fine)
    assert found.act.startswith("Buy nothing yet: read every place 3 times")


@pytest.mark.parametrize(("division_um", "coarse"), [(25.4, True), (12.7, False), (10.0, False), (5.0, False)])
def test_a_division_that_hides_more_than_the_limit_leaves_no_rotor_on(division_um, coarse, tmp_path, capsys):
    """A micrometer of 0.001 inch reads the same all round of a rotor that varies by 22 µm: "0 ± 21, below 15"."""
    even = uneven(np.full(12, 11600.0), micrometer_sd_um(division_um), 15.0)
    assert (even.coarse, even.state) == (coarse, "too close to tell" if coarse else "below")
    one_up = uneven(np.array([*[11600.0] * 11, 11600.0 + division_um]), micrometer_sd_um(division_um), 15.0)
    assert one_up.coarse is (division_um > 5.0)  # what hides within two of them reaches over the limit
    thrice = replace(even, turns=3)
    assert (thrice.coarse, thrice.counts_neither) == (coarse, False)
    asked = "0.005 mm a division or finer"
    thou = 1000.0 * round(11.6 / 25.4, 3)
    lines = [
        "# studs: 5",
        "# gauge_radius_mm: 140",
        "# hub_face_radius_mm: 64",
        "# dial_um: 1",
        "# turned: counter-clockwise",
        "# dial: + towards",
    ]
    lines.append("trace,mount,studs_turned,angle_deg,reading_thou,state,clamped_by,dial_um")
    for k in range(12):
        rotor = f"{0.4 * np.cos(k * np.pi / 6):.3f}"
        lines.append(f"mounted,1,0,{30 * k},{rotor},cleaned,nuts and spacers,1")
        lines.append(f"thickness,1,0,{30 * k},{thou:g},cleaned,,{division_um:g}")
        lines.append(f"hub face,,,{30 * k},{0.1 * np.sin(k * np.pi / 6):.3f},cleaned,,1")
    table = tmp_path / "readings.csv"
    table.write_text("\n".join(lines))
    for words in (["causes", table], ["causes", table, "--json"], ["index", "--rotor", table, "--hub", table]):
        said = " ".join(run(capsys, *words).stdout.replace("\\u00a0", " ").split())
        assert (asked in said) is coarse, words
    said = " ".join(run(capsys, "remains", table, "--case", "rear_solid_300", "--km", 500).stdout.split())
    assert ("Buy nothing yet: measure again with a finer micrometer" in said) is coarse


def test_a_mean_over_its_limit_by_less_than_its_doubt_is_read_twice_more_and_then_counts_as_over():
    three = Uneven(13.0, 3.4, 12.0, turns=3)
    assert (three.state, three.wanted_turns, three.ended, three.counts_over) == ("too close to tell", 5, False, False)
    assert "read every place 5 times" in three.again
    assert "the same places twice more" in uneven_rotor.read_again(three)
    assert replace(three, turns=5).counts_over
    assert replace(three, turns=1).wanted_turns == 3


@pytest.mark.parametrize("read_um", np.arange(8.0, 22.0, 0.7))
def test_one_figure_with_one_doubt_has_one_judgement_however_often_it_was_read(read_um):
    """13 ± 3 of 15 is 13 ± 3 of 15, by five turns or by seven; nothing that reads over its limit is cleared."""
    alike = {}
    for turns in (5, 6, 7, 9):
        for doubt_um in (2.5, 2.6, 2.9, 3.4, 3.6):
            for apart_um in (-0.2, 0.0, 0.2):
                one = Uneven(read_um + apart_um, doubt_um, 15.0, turns=turns)
                judged = (one.state, one.counts_over, one.counts_neither)
                assert alike.setdefault(one.figure, judged) == judged
                assert one.counts_neither is not one.counts_over or one.state != "too close to tell"
                assert one.state != "below" or one.value_um <= 15.0


def test_a_thickness_that_counts_neither_way_buys_nothing_and_comes_to_an_end():
    mean = Uneven(13.1, 2.9, 15.0, turns=5)
    found = after_cleaning(Case(), np.zeros((2, 90)), np.zeros(360), 500.0, replace(FEW, draws=0), varies=mean)
    assert found.act.startswith("Nothing is bought for its thickness")
    assert "it counts neither as over nor as under. No rotor is bought for it alone" in found.why
    assert "read every place" not in mean.again


def test_tops_missed_between_few_places_only_add_to_what_was_read():
    two = Uneven(28.0, 15.0, 15.0, between_um=9.0, places=6)
    assert (two.low_um, two.high_um, two.state) == (22.0, 43.0, "above")
    assert two.said.startswith("22 to 43 µm, read as 28 µm (two humps: 6 places may miss 9 µm of their tops): above")
    near = Uneven(12.0, 12.0, 15.0, between_um=6.5, places=6)
    assert near.state == "too close to tell"
    assert near.said.endswith("; read it at 12 places first")
