"""The foil lesson: which strip, what it should read, what was read, the log."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import numpy as np
import pytest

from scenes.command.app import main
from scenes.words import words
from sim import turn
from sim.bench import foil, foil_forecast, foil_reading
from sim.errors import BadInput, Refused
from sim.files import dial_readings, foil_log
from sim.parts.case import Case, Debris, Rotor, Studs

FORMULAS = ("=1+1", "+1", "-1", "@sum", "\t=1", "\r=1", "a\nb")
CASE = Case(title="A bench", rotor=Rotor(own_runout_um=40.0), debris=(Debris(),))


@pytest.fixture(scope="module", autouse=True)
def coarse():
    """Bodies cut coarsely: nothing here asks for the last per cent."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(foil, "PRESET", "rough")
        yield


@pytest.fixture(scope="module")
def prescribed(coarse):
    return foil.prescribe(CASE)


@pytest.fixture(scope="module")
def expected(prescribed):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(foil_forecast, "SOLVED", 20)
        return foil_forecast.forecast(prescribed)


def test_the_prescribed_strip_reads_well_above_the_dial_and_presses_modestly(prescribed):
    edge, across, inward = prescribed.worked
    assert all(prescribed.tells(k) for k in range(3))
    assert all(one.peak_mpa <= foil.MOST_MPA for one in prescribed.worked)
    assert edge.runout_um == pytest.approx(across.runout_um, rel=1e-6)  # five even studs: a pitch turns the answer
    assert inward.runout_um < 0.8 * edge.runout_um
    assert not prescribed.case.debris
    assert prescribed.case.rotor.own_runout_um == 0.0


def test_a_thinner_strip_of_stock_would_not_have_done(prescribed):
    thickness = prescribed.trials[0].foils[0].thickness_um
    thinner = foil.STOCK_UM[foil.STOCK_UM.index(thickness) - 1]
    found = foil.worked(prescribed.case, foil.series(prescribed.case, thinner)[:3])
    assert min(one.runout_um for one in found) < foil.OVER * prescribed.alone_um


def test_a_strip_gives_as_steel_and_one_more_joint():
    strip = foil.Foil(100.0, 12.7, 12.0, 36.0, 67.0)
    lying = strip.lying(1e5)
    give = lying.height_um / 1000.0 / lying.modulus_mpa  # mm3/N; springs in series, closed form
    assert give == pytest.approx(0.1 / 205_000.0 + 1e-5)
    width = np.radians(lying.arc_deg) * (lying.inner_radius_mm + lying.outer_radius_mm) / 2
    assert width == pytest.approx(12.7)


def test_a_strip_for_which_there_is_no_room_or_that_marks_the_faces_is_refused():
    with pytest.raises(Refused, match="stud hole"):
        foil.series(replace(CASE, studs=Studs(count=8)), 100.0, width_mm=28.0)
    with pytest.raises(Refused, match="no room"):
        foil.series(CASE, 100.0, length_mm=25.0)
    with pytest.raises(Refused, match="mark the faces"):
        foil.prescribe(CASE, thickness_um=300.0)
    with pytest.raises(BadInput, match="thickness"):
        foil.prescribe(CASE, thickness_um=1.0)
    with pytest.raises(BadInput, match="trials"):
        foil.prescribe(CASE, trials=5)


def test_a_corner_that_was_read_hand_tight_is_put_on_the_stand_at_the_torque_of_its_road():
    loose = replace(CASE, studs=Studs(torque_nm=2.0, road_torque_nm=140.0))
    assert foil.stand_case(loose).studs.torque_nm == 140.0
    assert foil.stand_case(loose).studs.clamped_by == "nuts and spacers"
    with pytest.raises(Refused, match="road_torque_nm"):
        foil.stand_case(replace(CASE, studs=Studs(torque_nm=2.0)))


def test_the_forecast_turns_with_the_strip_and_repeats_to_the_bit(prescribed, expected, monkeypatch):
    edge, across, _ = expected
    assert edge.high_spot_deg == pytest.approx(36.0, abs=4.0)
    assert across.high_spot_deg == pytest.approx(180.0, abs=4.0)
    low, middle, high = edge.runout_um
    assert low < turn.tir(edge.change_um) < high
    assert 10.0 < high - low < 0.6 * middle
    monkeypatch.setattr(foil_forecast, "SOLVED", 20)
    again = foil_forecast.forecast(prescribed)
    assert np.array_equal(again[0].sample_um, edge.sample_um)


def bench(changes, bare=(0.0, 0.0), places=12):
    at = np.arange(places) * 360.0 / places
    own = 20.0 * np.cos(np.radians(at - 200.0))
    turns = [
        own + bare[0] * np.cos(np.radians(at)),
        *(own + change[(360 * np.arange(places)) // places] for change in changes),
    ]
    turns.append(own + bare[1] * np.cos(np.radians(at)))
    traces = tuple(
        dial_readings.Trace("mounted", k, 0, at, 7.0 + row, 0.0, "cleaned") for k, row in enumerate(turns, 1)
    )
    return foil_reading.bench_of(dial_readings.Readings(5, 140.0, None, 10.0, traces), len(changes))


def test_readings_like_the_forecast_are_inside_and_their_own_runout_falls_out(expected):
    held = foil_reading.hold(expected, bench([one.change_um for one in expected]))
    assert [one.vector for one in held] == ["inside"] * 3
    assert [one.runout for one in held] == ["inside"] * 3
    # The dial itself shows both together.
    low, high = held[0].mounted_band_um
    assert low < held[0].mounted_um < high
    assert held[0].mounted_um != pytest.approx(held[0].runout_um, abs=5.0)


def test_noise_of_the_bare_turns_is_counted_once(expected):
    quiet = bench([one.change_um for one in expected])
    ragged = replace(quiet, bare_um=quiet.bare_um + 15.0 * (-1.0) ** np.arange(12))
    bands = [foil_reading.hold(expected, one)[0].mounted_band_um for one in (quiet, ragged)]
    assert bands[1] == pytest.approx(bands[0], rel=1e-6)


def test_a_foil_that_reads_nothing_is_a_miss_and_not_void(expected):
    held = foil_reading.hold(expected, bench([0.0 * one.change_um for one in expected]))
    assert [one.vector for one in held] == ["outside"] * 3
    assert "still in place" in held[0].why


def test_wrong_by_a_stud_is_a_miss_as_a_vector_only(expected):
    held = foil_reading.hold(expected, bench([np.roll(one.change_um, 72) for one in expected]))
    assert held[0].vector == "outside"
    assert held[0].runout == "inside"


def test_bare_turns_that_differ_void_the_lesson(expected):
    held = foil_reading.hold(expected, bench([one.change_um for one in expected], bare=(0.0, 30.0)))
    assert {one.vector for one in held} == {"void"}
    assert "bare turns" in held[0].why


def test_a_trial_foretold_to_read_too_little_is_void(expected):
    quiet = [replace(one, tells=False) for one in expected]
    held = foil_reading.hold(quiet, bench([one.change_um for one in expected]))
    assert {one.runout for one in held} == {"void"}


def test_a_table_with_other_mounts_or_too_few_places_is_refused(expected):
    flat = np.zeros(360)
    read = dial_readings.Readings(5, 140.0, None, 10.0, ())
    with pytest.raises(BadInput, match="mount"):
        foil_reading.bench_of(read, 3)
    with pytest.raises(BadInput, match="places"):
        bench([flat, flat, flat], places=6)


ROW = {name: 1.0 for name in foil_log.COLUMNS} | {"trial": "at the outer edge", "remark": "", "corner": "A bench"}


def test_the_log_grows_by_lines_and_takes_no_formula():
    first = foil_log.added("", [ROW])
    both = foil_log.added(first, [ROW | {"class": formula} for formula in FORMULAS])
    assert both.startswith(first)
    rows = list(csv.DictReader(io.StringIO(both)))
    assert len(rows) == 1 + len(FORMULAS)
    assert not any(row["class"][:1] in tuple("=+-@\t\r") for row in rows)


def test_the_log_is_counted_without_what_is_void():
    rows = [ROW | {"vector": "inside", "runout": "outside"}, ROW | {"vector": "void", "runout": "void"}]
    assert foil_log.tally(foil_log.added("", rows)) == (1, 0, 1)
    assert foil_log.tally("") == (0, 0, 0)
    spoilt = "vector,runout\ninside,outside\na\rb\n" + "x" * 200_000 + "\ninside,inside\n"  # found by the fuzz
    assert foil_log.tally(spoilt) == (2, 1, 2)


def test_another_file_is_not_taken_for_a_log():
    with pytest.raises(BadInput, match="no log"):
        foil_log.added("a,b\n1,2\n", [ROW], "mine.csv")


@pytest.fixture(scope="module")
def corner(tmp_path_factory):
    path = tmp_path_factory.mktemp("foil") / "corner.toml"
    path.write_text('title = "Bench 3"\n')
    return path


def filled(table, change_of):
    """Fill the empty table in with what a class would read, 5 um steps."""
    out = []
    for line in table.splitlines():
        if line.startswith("mounted"):
            cells = line.split(",")
            mount, angle = int(cells[1]), int(cells[3])
            cells[4] = str(5 * round((15.0 * np.cos(np.radians(angle)) + change_of(mount)[angle % 360]) / 5))
            line = ",".join(cells)
        out.append(line)
    return "\n".join(out) + "\n"


@pytest.mark.usefixtures("undrawn")
def test_from_the_sheet_to_the_log(corner, expected, tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(foil_forecast, "SOLVED", 8)
    monkeypatch.setattr("scenes.pages.pdf.BROWSERS", ())
    out = tmp_path / "out"
    assert main(["foil", str(corner), "--out", str(out)]) == 0
    printed = capsys.readouterr().out
    assert "NEVER DRIVEN" in printed
    # As the sheet says it: the two turns without foil are two single ones, a trial is held against their mean.
    assert f"{words.micrometres(foil.bare_apart_um())} between those two" in printed.replace("\n", " ")
    sheet = (out / "foil-sheet.html").read_text()
    assert sheet.count("NEVER DRIVEN") == 2
    assert "foretold" not in sheet  # the class guesses first
    assert f"by {words.micrometres(foil.bare_apart_um())} once a turn" in sheet
    assert sheet.index("Gloves that a blade does not cut") < sheet.index("Cut the strip")
    flat = np.zeros(360)
    change = {k: one.change_um for k, one in enumerate(expected, 2)}
    readings = tmp_path / "read.csv"
    readings.write_text(filled((out / "foil-readings.csv").read_text(), lambda mount: change.get(mount, flat)))
    log = tmp_path / "log.csv"
    line = ["foil", str(corner), "--readings", str(readings), "--log", str(log), "--class", "=2b", "--json"]
    assert main(line) == 0
    answer = json.loads(capsys.readouterr().out)
    assert [row["read"]["vector"] for row in answer["trials"]] == ["inside"] * 3
    assert main([*line[:-1], "--out", str(out)]) == 0
    assert "foretold and read" in (out / "foil-forecast.html").read_text()
    rows = list(csv.DictReader(log.open()))
    assert "holds 6 trials that count: 100\u00a0% inside" in capsys.readouterr().out
    assert [row["class"] for row in rows] == ["'=2b"] * 6
    assert rows[0]["torque_nm"] == "140"


def test_bad_lines_say_what_is_wrong(corner, tmp_path, capsys):
    assert main(["foil", str(corner), "--log", str(tmp_path / "log.csv")]) == 2
    assert "--readings" in capsys.readouterr().err
    other = tmp_path / "other.csv"
    other.write_text("not,a,log\n")
    table = tmp_path / "t.csv"
    table.write_text("trace,mount\n")
    assert main(["foil", str(corner), "--readings", str(table), "--log", str(other)]) == 2
    assert other.read_text() == "not,a,log\n"
