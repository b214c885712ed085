"""Slips that a table gives away, clean faces that must not alarm, and what the head of a table has to say."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import binom

from scenes.command.road_options import Measured
from sim.bench.open_readings import open_readings
from sim.errors import BadInput
from sim.files import starter_readings
from sim.files.case_file import case_from_text
from sim.files.clean_turn import looks
from sim.files.dial_readings import CLOCKWISE, KINDS, STATES, bounds_of, parse
from sim.files.lost_signs import without_signs
from sim.files.reading_faults import DRIFT, MIRRORED, STANDS_UP, TWICE, Turn, alarm, of_each, slips
from sim.files.slip_odds import APART, DECIMAL, OUTLIER, SIGN, SIGNS, SWAP, odds_of_slips
from sim.parts.case import Case
from tests.studies import slips as slips_study
from tests.studies.bench_tables import draw_table

HEAD = {
    "studs": 5,
    "gauge_radius_mm": 140,
    "hub_face_radius_mm": 64,
    "dial_um": 10,
    "turned": "counter-clockwise",
    "dial": "+ towards",
}
COLUMNS = "trace,mount,studs_turned,angle_deg,reading_um\n"
PLACES = np.arange(12) * 30.0
# A rotor of 100 um TIR on a somewhat uneven seat, read to half divisions of a 0.01 mm dial from nought at stud 1.
READ = np.array([0, 25, 55, 75, 90, 85, 75, 60, 35, 10, -10, -10.0])


def table(*turns, **head):
    said = "".join(f"# {key}: {value}\n" for key, value in (HEAD | head).items() if value is not None)
    rows = [
        f"{kind},{mount},{turned},{a:g},{v:g}\n"
        for kind, mount, turned, values in turns
        for a, v in zip(np.arange(len(values)) * 360 / (len(values) // 6 * 6), values, strict=True)
    ]
    return said + COLUMNS + "".join(rows)


def faults(text, **more):
    with pytest.raises(BadInput) as caught:
        parse(text, "x.csv", **more)
    return caught.value.faults


def named(values, kind="mounted"):
    return {a for fault in slips(Turn(kind, kind, PLACES, np.array(values)), 10.0, 5) for a in fault.angle_deg}


def test_a_clean_turn_is_left_alone():
    assert slips(Turn("mounted", "mounted", PLACES, READ), 10.0, 5) == ()
    assert parse(table(("mounted", 1, 0, READ))).notes == ()


@pytest.mark.parametrize(
    ("kind", "count", "tables"), [("mounted", 8, 2000), ("hub face", 8, 300), ("hub face", 12, 300)]
)
def test_at_most_two_clean_tables_in_a_hundred_alarm(kind, count, tables):
    """Drawn otherwise than assumed; part of `python -m tests.studies.slips`, at its most ragged counts."""
    rng, angle = np.random.default_rng(4), np.arange(count) * 360.0 / count
    drawn = np.array([draw_table(rng, kind, angle, 5) for _ in range(tables)])
    bare = kind == "hub face"
    odds = odds_of_slips(drawn, looks(angle, 10.0, 5 if bare else 0), bare)
    assert np.mean(odds.total >= alarm(kind, count)) <= 0.02


def test_at_most_two_clean_tables_in_a_hundred_alarmed_in_the_study_from_eight_places_on():
    page = Path(slips_study.__file__).with_suffix(".md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| ([^|]+) \| (\d+) \| (\d+) \| ([\d.]+)% \|$", page, re.MULTILINE)
    kinds = ("mounted on dirt", "mounted", "hub face, lips unlike", "hub face")
    assert [(kind, int(count)) for kind, count, *_ in rows] == [
        (kind, count) for some in (kinds[:2], kinds[2:]) for count in slips_study.LENGTHS for kind in some
    ]
    assert all(int(tables) >= 2000 for *_, tables, _ in rows)
    # Of so many tables more than chance leaves, 97.5 of 100 times, where two in a hundred alarm (binomial).
    beyond = [row for row in rows if float(row[3]) / 100.0 * int(row[2]) > binom.ppf(0.975, int(row[2]), 0.02)]
    assert [row for row in beyond if int(row[1]) >= 8] == []
    assert float(re.search(r"All clean turns together: ([\d.]+)% alarm", page)[1]) <= 2.0


@pytest.mark.parametrize("dial", [10.0, 2.0])
def test_noise_of_the_dial_is_told_as_no_slip(dial):
    """A lean with 3 um of noise, whole divisions: few of 600 alarm, and none is told that one division makes."""
    rng, angle = np.random.default_rng(11), np.arange(12) * 30.0
    lean, high = rng.uniform(3.0, 40.0, (600, 1)), rng.uniform(0.0, 2 * np.pi, (600, 1))
    tables = lean * np.cos(np.radians(angle) - high) + rng.normal(0.0, 3.0, (600, 12))
    tables = np.round((tables - tables[:, :1]) / dial) * dial
    alarms = np.flatnonzero(odds_of_slips(tables, looks(angle, dial)).total >= alarm("mounted", 12))
    assert alarms.size <= 0.02 * len(tables)
    # Told as two neighbours swapped, 14 um off the others; and a swap that is one, of 30 um.
    noisy = np.array([0, 20, 10, 20, 30, 30, 20, 10, 0, -10, -10, -10], float)
    assert slips(Turn("mounted", "mounted", angle, noisy), 10.0, 5) == ()
    clean = 10.0 * np.round(6.0 * np.cos(np.radians(angle - 40.0)))
    clean[[4, 5]] = clean[[5, 4]]
    assert len(slips(Turn("mounted", "mounted", angle, clean), 10.0, 5)) == 1


@pytest.mark.parametrize("place", [3, 5, 8])
def test_a_lost_sign_a_slipped_decimal_a_swap_and_a_misread_place_are_named(place):
    angle = PLACES[place]
    for change in (lambda v: -v, lambda v: v * 10, lambda v: v / 10, lambda v: v + 100, lambda v: v - 60):
        slipped = READ.copy()
        slipped[place] = change(slipped[place])
        assert angle in named(slipped), slipped
    swapped = READ.copy()
    swapped[[7, 8]] = swapped[[8, 7]]
    assert named(swapped) & {210.0, 240.0}
    swapped = READ.copy()
    swapped[[place, 10]] = swapped[[10, place]]
    assert {angle, 300.0} <= named(swapped)


@pytest.mark.parametrize(
    ("word", "slip"),
    [
        (SIGN, lambda v: v * np.where(PLACES == 120, -1, 1)),
        (SIGNS, lambda v: v * np.where(np.isin(PLACES, [90, 120, 150]), -1, 1)),
        (DECIMAL, lambda v: v * np.where(PLACES == 240, 10, 1)),
        (SWAP, lambda v: v[[0, 1, 2, 3, 4, 5, 6, 8, 7, 9, 10, 11]] * 1.0),
        (APART, lambda v: v[[0, 1, 2, 3, 4, 5, 8, 7, 6, 9, 10, 11]] * 1.0),
    ],
)
def test_what_would_explain_it_is_said(word, slip):
    (fault,) = slips(Turn("mounted", "mounted", PLACES, slip(2.0 * READ)), 10.0, 5)
    assert fault.fault == word
    assert "again" in fault.text
    assert "would explain it" in fault.text


def test_bolt_holes_of_a_healthy_hub_face_do_not_alarm_but_dirt_between_them_does():
    lean = 10 * np.cos(np.radians(PLACES - 100))
    lips = np.where(PLACES == 0, 45.0, np.where(np.isin(PLACES, [150, 210]), 25.0, 0.0))
    assert slips(Turn("hub face", "hub face", PLACES, lean + lips), 10.0, 5) == ()
    (fault,) = slips(Turn("hub face", "hub face", PLACES, lean + np.where(PLACES == 90, 60.0, 0.0)), 10.0, 5)
    assert fault.fault == STANDS_UP
    assert fault.angle_deg[0] == 90.0
    assert fault.size_um == pytest.approx(60.0, abs=8.0)
    assert "look there" in fault.text
    wide = lean + np.where(np.isin(PLACES, [90, 120]), 70.0, 0.0)
    found = {a for one in slips(Turn("hub face", "hub face", PLACES, wide), 10.0, 5) for a in one.angle_deg}
    assert {90.0, 120.0} <= found


def test_nearly_every_place_of_a_hub_face_misread_by_fifty_is_found_lips_or_not():
    """With a threshold of 3.5 for every count, and lips that might each be of any height, 4 of 10 were."""
    rng, found = np.random.default_rng(23), 0
    for _ in range(60):
        table, place = draw_table(rng, "hub face", PLACES, 5), int(rng.integers(PLACES.size))
        table[place] += rng.choice([-1.0, 1.0]) * rng.uniform(40.0, 60.0)
        named = slips(Turn("hub face", "hub face", PLACES, table), 10.0, 5)
        found += any(PLACES[place] in fault.angle_deg for fault in named)
    assert found >= 48


def test_four_good_hubs_are_not_called_dirty():
    """Ragged by a few um in second and third orders, lips at the bolt holes of two, a 0.01 mm dial."""
    rng = np.random.default_rng(8)
    theta = np.radians(PLACES)
    for lips in (0.0, 40.0, 0.0, 35.0):
        face = 12 * np.cos(theta - rng.uniform(0, 6)) + 6 * np.cos(2 * theta - 1) + 4 * np.cos(3 * theta)
        face += lips * np.where(PLACES == 0, 1.0, np.where(np.isin(PLACES, [150, 210]), 0.5, 0.0))
        shown = np.round((face + rng.normal(0, 2.5, 12)) / 5) * 5
        assert slips(Turn("hub face", "hub face", PLACES, shown), 10.0, 5) == ()


def test_a_mounting_that_is_lacking_is_asked_for():
    """A table begun anew after cleaning: what was read as found is not in it, and nobody can read it again."""
    (note,) = parse(table(("mounted", 2, 0, READ))).notes
    assert note.startswith("mount 1 is not in this table")
    assert "put its lines back" in note
    assert parse(table(("mounted", 1, 0, READ), ("mounted", 2, 1, np.roll(READ, 2)))).notes == ()


def test_every_trace_is_doubted():
    slipped = READ.copy()
    slipped[4] = -slipped[4]
    for kind in ("mounted", "inboard", "thickness", "radial", "hub face"):
        found = parse(table((kind, 1, 0, slipped))).faults
        assert any(120.0 in fault.angle_deg for fault in found), kind
        assert found[0].trace.startswith(kind)


def test_a_slip_of_the_micrometer_is_told_of_no_face():
    lean, uneven = 10.0 * np.cos(np.radians(PLACES - 30.0)), 12.0 * np.cos(np.radians(PLACES))
    thick = 11_700.0 + uneven
    thick[4] += 490.0
    turns = (("mounted", lean + uneven / 2), ("inboard", uneven / 2 - lean), ("thickness", thick))
    turns = [(kind, 1, 0, np.round(value)) for kind, value in turns]
    (fault,) = parse(table(*turns)).faults
    assert fault.angle_deg[0] == 120.0
    assert fault.trace.startswith("thickness")


def test_a_face_taken_for_the_other_is_noticed_and_a_worn_disc_is_not():
    good = parse(table(("mounted", 1, 0, READ), ("inboard", 1, 0, -READ)))
    assert good.faults == ()
    wrong = parse(table(("mounted", 1, 0, READ), ("inboard", 1, 0, READ)))
    assert [fault.fault for fault in wrong.faults] == [MIRRORED]
    # 40 um of thickness variation with 10 um of runout: the faces nearly mirror each other, and may.
    thick, lean = 20 * np.cos(np.radians(PLACES)), 5 * np.cos(np.radians(PLACES - 50))
    worn = parse(table(("mounted", 1, 0, lean + thick / 2), ("inboard", 1, 0, -lean + thick / 2)))
    assert worn.faults == ()


def test_one_mount_read_twice_and_different_is_a_finding():
    again = parse(table(("mounted", 1, 0, READ), ("mounted", 1, 0, READ + np.where(PLACES % 60 == 0, 5, 0))))
    assert len(again.of("mounted")) == 2
    assert again.faults == ()
    other = parse(table(("mounted", 1, 0, READ), ("mounted", 1, 0, np.roll(READ, 2))))
    assert TWICE in {fault.fault for fault in other.faults}
    assert any("bearing play" in note for note in other.said)
    three = parse(table(*(("mounted", 1, 0, np.roll(READ, by)) for by in (0, 2, 4))))
    assert "mounted, mount 1: read 3 times, and two of the turns differ by up to" in three.faults[0].text


def test_drift_is_a_fault_of_the_trace():
    found = parse(table(("mounted", 1, 0, [*READ, 20.0])))
    assert [fault.fault for fault in found.faults] == [DRIFT]
    assert found.faults[0].size_um == pytest.approx(20.0)


@pytest.mark.parametrize(
    ("word", "sense"), [("anti-clockwise", "counter-clockwise"), ("CCW", "counter-clockwise"), ("cw", "clockwise")]
)
def test_each_word_of_the_trade_for_a_sense_is_that_sense(word, sense):
    """'anti-clockwise' was refused with 'did you mean clockwise?': taken at its word hub and studs are mirrored."""
    assert parse(table(("mounted", 1, 0, READ), turned=word)).turned == sense


@pytest.mark.parametrize(
    ("head", "key", "says"),
    [
        ({"turned": None}, "turned", "write a line '# turned: counter-clockwise'"),
        ({"dial": None}, "dial", "write a line '# dial: + towards'"),
        ({"dial_um": None}, "dial_um", "step of the dial is missing"),
        ({"turned": "clockwize"}, "turned", "did you mean 'clockwise'"),
        ({"dial": "towards"}, "dial", "did you mean '+ towards'"),
        ({"gauge_radius_mm": 280}, "gauge_radius_mm", "is it the diameter"),
        ({"hub_face_radius_mm": 128}, "hub_face_radius_mm", "is it the diameter"),
        ({"gauge_radius_mm": 70}, "gauge_radius_mm, hub_face_radius_mm", "is one a diameter"),
        ({"gauge_radius": 140}, "gauge_radius", "unknown header; did you mean gauge_radius_mm"),
        ({"Gauge radius mm": 140}, "gauge radius mm", "did you mean gauge_radius_mm"),
        ({"technician": "x"}, "technician", "unknown header"),
    ],
)
def test_what_one_table_cannot_show_its_head_has_to_say(head, key, says):
    found = faults(table(("mounted", 1, 0, READ), **head))
    assert any(fault.key == key and says in fault.reason for fault in found), [str(f) for f in found]
    assert all(fault.allowed for fault in found if fault.key in ("turned", "dial"))


def test_a_case_bounds_where_the_dial_can_stand():
    bounds = bounds_of(Case())  # its dial at 140 mm, hub face 34 .. 68 mm
    assert parse(table(("mounted", 1, 0, READ)), bounds=bounds).gauge_radius_mm == 140.0
    off = faults(table(("mounted", 1, 0, READ), gauge_radius_mm=200, hub_face_radius_mm=90), bounds=bounds)
    assert {fault.key for fault in off} == {"gauge_radius_mm", "hub_face_radius_mm"}
    assert "135 .. 145, from the case" in off[0].allowed
    assert "is it the diameter" in off[1].reason


def test_thou_under_micrometres_are_noticed():
    thou = np.round(READ / 25.4 * 2) / 2
    assert any("reading_thou" in f.reason for f in faults(table(("mounted", 1, 0, thou), dial_um=25.4)))


def test_where_two_other_units_would_do_both_are_asked_about_with_what_they_come_to():
    """A true hub face in thou was asked back as millimetres: who said yes had a hub face of 600 um, and a new hub."""
    face = np.round(0.3 * np.cos(np.radians(PLACES)), 1)
    (fault,) = faults(table(("mounted", 1, 0, READ), ("hub face", "", "", face)))
    assert (
        "is the column rather hundredths of a mm (6 µm) or reading_thou (15 µm) or reading_mm (600 µm)?" in fault.reason
    )


def test_a_turn_that_slipped_and_was_read_again_counts_no_more_however_often_it_is_read():
    """One sound turn released it, a second brought the slip back, and a rotor under its stamp was left on beside it."""
    slipped = READ.copy()
    slipped[4] = -90.0
    turns = [("mounted", 1, 0, slipped), *(("mounted", 1, 0, READ + one) for one in (0.0, 5.0, -5.0))]
    assert parse(table(turns[0])).faults
    for sound in (1, 2, 3):
        found = parse(table(*turns[: sound + 1]))
        assert (len(found.traces), found.faults) == (sound, ())
        assert "mounted, mount 1: a turn that gave a slip away was read again and counts no more" in found.notes
    thick = np.full(12, 11_600.0)
    thin, typed = thick.copy(), thick.copy()
    thin[2] -= 5.0
    typed[2] += 100.0
    assert parse(table(("mounted", 1, 0, READ), ("thickness", 1, 0, typed))).slips_of("thickness")
    found = parse(table(("mounted", 1, 0, READ), ("thickness", 1, 0, typed), ("thickness", 2, 0, thin)))
    assert not found.slips_of("thickness")
    assert found.thinnest_mm == pytest.approx(11.595)
    # Read alike once more it is no slip: it stands, and a third that does not show it takes nothing away.
    dip = thick.copy()
    dip[4] -= 100.0
    three = [("thickness", 1, 0, value) for value in (dip, dip, thick)]
    assert len(parse(table(("mounted", 1, 0, READ), *three)).of("thickness")) == 3


def test_a_slip_in_the_turn_that_was_read_last_is_read_again_and_never_averaged_with_the_one_before():
    """Its mean with the sound turn before it left a rotor over its limit on, with "leave it there"."""
    slipped = READ.copy()
    slipped[4] = -90.0
    sound, slip = ("mounted", 1, 0, READ), ("mounted", 1, 0, slipped)
    thick = np.full(12, 11_600.0)
    typed = thick + 100.0 * (np.arange(12) == 2)
    for kind, good, bad in (("mounted", READ, slipped), ("hub face", READ, slipped), ("thickness", thick, typed)):
        turns = [(kind, "" if kind == "hub face" else 1, "" if kind == "hub face" else 0, one) for one in (good, bad)]
        for before in (1, 2):
            read = parse(table(sound, *turns[:1] * before, turns[1]))
            assert {fault.fault for fault in read.faults} <= {OUTLIER, SIGN, DECIMAL, SWAP}
            assert all(fault.read_last and fault.trace.startswith(kind) for fault in read.faults)
            assert all(one.value_um == pytest.approx(good) for one in read.of(kind)[-before:])
            assert open_readings(read)
        again = parse(table(sound, *turns, turns[0]))
        assert (again.faults, open_readings(again)) == ((), ())
    # Nobody reads a mount again that stands no more: its sound turn counts.
    moved = parse(table(sound, slip, ("mounted", 2, 2, READ)))
    assert (len(moved.traces), moved.faults, open_readings(moved)) == (2, (), ())
    # Held otherwise it is another turn: none takes its place.
    lines = table(sound, slip).splitlines()
    first, rest = lines.index(COLUMNS.strip()), len(READ)
    held = [*lines[:first], lines[first] + ",clamped_by", *(one + ",nuts and spacers" for one in lines[first + 1 :])]
    assert len(parse("\n".join(held)).traces) == 1
    bare = [one.replace("nuts and spacers", "bare nuts") if k > first + rest else one for k, one in enumerate(held)]
    assert len(parse("\n".join(bare)).traces) == 2


def test_clockwise_tables_and_dials_that_count_away_say_the_same():
    """Stud 2 of a table that counts clockwise is the last stud of one that counts the other way."""
    plain = parse(table(("mounted", 1, 1, READ), ("hub face", 1, 0, READ)))
    mirror = READ[(-np.arange(12)) % 12]
    other = parse(table(("mounted", 1, 4, mirror), ("hub face", 1, 0, mirror), turned=CLOCKWISE))
    away = parse(table(("mounted", 1, 1, -READ), ("hub face", 1, 0, -READ), dial="+ away"))
    assert other.turned == CLOCKWISE
    for one in (other, away):
        for ours, theirs in zip(plain.traces, one.traces, strict=True):
            np.testing.assert_allclose(theirs.angle_deg, ours.angle_deg)
            np.testing.assert_allclose(theirs.value_um, ours.value_um)
            assert theirs.studs_turned == ours.studs_turned


def filled(blank):
    """A starter table with figures in its empty cells: hub faces small, thickness as a micrometer shows it."""
    lines = blank.splitlines()
    for k, line in enumerate(lines):
        cells = line.split(",")
        if not line.startswith("#") and len(cells) == 7 and cells[4] == "":
            place = 0 if cells[3] == "feeler" else int(cells[3]) // 30
            value = ([*READ, 5])[place]
            if cells[0] == "thickness":
                value = 11_980 + place % 12
            cells[4] = "100" if cells[3] == "feeler" else f"{value / 4 if cells[0] == 'hub face' else value:g}"
            lines[k] = ",".join(cells)
    return "\n".join(lines)


@pytest.mark.parametrize("name", starter_readings.NAMES)
def test_rows_of_every_kind_are_written_and_read_when_they_are_filled_in(name):
    found = parse(filled(starter_readings.starter_readings([name])))
    assert len(found.traces) == len(starter_readings.TOGETHER.get(name, (name,)))
    everything = starter_readings.starter_readings([name])
    for rows in starter_readings.ROWS:  # what was not asked for stands there as an example
        assert f"{rows.before},90,,{rows.after}\n" in everything
    # An example reads as well once its marks are off.
    loose = "\n".join(
        line.removeprefix("# ") if line.endswith(("spacers", "wheel", "cleaned,")) and line.count(",") == 6 else line
        for line in everything.splitlines()
    )
    assert len(parse(filled(loose)).traces) == len(starter_readings.ROWS)


def test_rows_of_every_kind_trace_and_state_are_there():
    found = parse(filled(starter_readings.starter_readings(["all"])))
    assert {trace.kind for trace in found.traces} == set(KINDS)
    assert {trace.state for trace in found.traces} == set(STATES)
    assert {trace.clamped_by for trace in found.traces} >= {"wheel", "nuts and spacers"}
    assert {trace.studs_turned for trace in found.traces} == {0, 1}


def test_faces_go_together_only_where_they_were_held_alike():
    found = parse(filled(starter_readings.starter_readings(["all"])))
    told = [[(one.kind, one.mount, one.clamped_by) for one in group] for group in found.faces()]
    assert [("mounted", 1, "nuts and spacers"), ("inboard", 1, "nuts and spacers")] in told
    assert [("inboard", 1, "wheel")] in told
    (pair,) = [group for group in found.faces() if len(group) == 2]
    assert pair[0].state == pair[1].state == "as found"


def test_what_was_read_with_the_wheel_on_starts_the_road(tmp_path):
    corner, path = case_from_text('base = "rear_solid_300"\n'), tmp_path / "r.csv"
    for rows, held in ((["wheel on", "as found"], "wheel"), (["as found", "indexed"], "nuts and spacers")):
        path.write_text(filled(starter_readings.starter_readings(rows)))
        assert Measured(mounted=path).road(corner).mounted_by == held
    path.write_text(filled(starter_readings.starter_readings(["as found", "wheel on"])).replace(",wheel", ",bare nuts"))
    with pytest.raises(BadInput, match="one clamping for both"):
        Measured(mounted=path).road(corner)


@pytest.mark.parametrize(("kind", "option"), [("mounted", "mounted"), ("thickness", "worn")])
def test_nothing_is_reckoned_from_a_worn_or_mounted_trace_with_a_slip(tmp_path, kind, option):
    path, corner = tmp_path / "r.csv", case_from_text('base = "rear_solid_300"\n')
    waves = 40.0 * np.cos(np.radians(np.arange(0, 390, 30)))
    rows = [f"{kind},1,0,{30 * k},{value:.0f},as found," for k, value in enumerate(waves)]
    head = starter_readings.HEAD
    path.write_text(head + "\n".join(rows) + "\n")
    Measured(**{option: path}).road(corner)
    rows[5] = f"{kind},1,0,150,240,as found,"
    path.write_text(head + "\n".join(rows) + "\n")
    with pytest.raises(BadInput, match="read 150 degrees again.*nothing is reckoned from a table with a slip"):
        Measured(**{option: path}).road(corner)


def test_a_starter_table_is_refused_until_it_is_filled_in_and_reads_then():
    blank = starter_readings.starter_readings()
    assert {fault.reason for fault in faults(blank)} >= {"mounted, place 0 degrees was not read"}
    found = parse(filled(blank))
    assert found.studs == 5
    assert found.traces[0].drift_um == 5.0
    assert found.notes == ()


@pytest.mark.parametrize(
    ("place_um", "says"),
    [
        (1160, "thickness, mount 1, place 120 degrees: the micrometer shows 10.45 mm off the other places; a decimal"),
        ("", "thickness, place 120 degrees was not read"),
        (11064, "thickness, mount 1: read 120 degrees again"),
    ],
    ids=["digit", "blank", "swapped"],
)
def test_a_slip_of_a_micrometer_names_the_place_and_no_dial(place_um, says):
    values = [place_um if angle == 120 else 11604 + angle % 90 // 30 for angle in range(0, 360, 30)]
    rows = "".join(f"thickness,1,0,{30 * k},{value}\n" for k, value in enumerate(values))
    try:
        told = " ".join(parse(table(("mounted", 1, 0, READ)) + rows).said)
    except BadInput as refused:
        told = str(refused)
    assert says in told
    assert "dial" not in told


@pytest.mark.parametrize("dial_um", [1.0, 10.0])
def test_a_turn_without_any_minus_sign_is_asked_about_and_a_clean_one_is_not(dial_um):
    """60 um written down without its signs reads 30, and was told as done; detection and alarms over drawn turns."""
    rng = np.random.default_rng(7)
    angle = np.arange(12) * 30.0

    def drawn(one, two, zero_low):
        at = np.radians(angle)
        turn = one * np.cos(at - rng.uniform(0, 6.3)) + two * np.cos(2 * at - rng.uniform(0, 6.3))
        turn = np.round((turn + rng.normal(0.0, 2.0, 12)) / dial_um) * dial_um
        return turn - turn.min() if zero_low else np.abs(turn)

    lost = [without_signs(angle, drawn(30.0, 2.0, zero_low=False), dial_um) for _ in range(60)]
    clean = [without_signs(angle, drawn(30.0, 6.0, zero_low=True), dial_um) for _ in range(60)]
    assert sum(one > 0.0 for one in lost) >= 54
    assert np.median([one for one in lost if one]) == pytest.approx(60.0, abs=8.0)
    assert sum(one > 0.0 for one in clean) <= 2
    # A bare hub face at its limit, 23 um, read to 0.001 mm: small, and half of it gone without its signs.
    face = np.array([10, 11, 9, 2, 2, 7, 12, 10, 6, 0, 4, 6.0])
    assert without_signs(PLACES, face, 1.0) == pytest.approx(23.0)
    # Who writes the signs of one turn may still lose those of another: a bare hub face of 40 um was left on so.
    first = Turn("mounted", "mounted, mount 1", angle, drawn(30.0, 2.0, zero_low=False), 1.0, ("", 1))
    signed = Turn("mounted", "mounted, mount 2", angle, 30.0 * np.cos(np.radians(angle)), 1.0, ("", 2))
    assert [one.fault for one in of_each([first], dial_um, 5)[0]] == ["no minus signs"]
    told = of_each([first, signed], dial_um, 5)
    assert [[one.fault for one in each if one.fault == "no minus signs"] for each in told] == [["no minus signs"], []]


def test_a_small_hub_face_without_its_signs_is_asked_about_on_a_coarse_dial():
    """Drawn faces of 30 um and more read by half divisions of 10 um; honest ones of two humps zeroed where they lie."""
    rng = np.random.default_rng(8)
    at = np.radians(PLACES)

    def drawn(one, two):
        turn = one * np.cos(at - rng.uniform(0, 6.3)) + two * np.cos(2 * at - rng.uniform(0, 6.3))
        return np.round((turn + rng.normal(0.0, 2.5, 12)) / 5.0) * 5.0

    lost = [without_signs(PLACES, np.abs(drawn(18.0, 1.0)), 10.0) > 0.0 for _ in range(100)]
    honest = (drawn(rng.uniform(1.0, 14.0), rng.normal(0.0, 3.0)) for _ in range(300))
    assert sum(lost) >= 50  # 43 before
    assert sum(without_signs(PLACES, turn - turn[0], 10.0) > 0.0 for turn in honest) <= 6


@pytest.mark.parametrize(("turns", "asked"), [((25.0,), 1), ((25.0, 0.0), 0), ((25.0, 25.0), 0), ((0.0, 25.0), 1)])
def test_a_place_that_stood_up_is_looked_at_once_and_a_turn_since_without_it_settles_it(turns, asked):
    """ "Look there, wipe it, read it again": it was done, and the same was ordered once more, to the word."""
    rows = [f"mounted,1,0,{a:g},{5 * round(4 * np.cos(np.radians(a - 40))):g},cleaned,nuts and spacers" for a in PLACES]
    for high in turns:
        lean = 5 * np.round(np.cos(np.radians(PLACES - 80)) * 7.0 / 5)
        rows += [f"hub face,,,{a:g},{v + high * (a == 240):g},cleaned," for a, v in zip(PLACES, lean, strict=True)]
    head = "# studs: 5\n# gauge_radius_mm: 140\n# hub_face_radius_mm: 64\n# dial_um: 10\n# turned: counter-clockwise\n"
    head += "# dial: + towards\ntrace,mount,studs_turned,angle_deg,reading_um,state,clamped_by\n"
    told = [one for one in open_readings(parse(head + "\n".join(rows) + "\n")) if one.fault == STANDS_UP]
    assert len(told) == asked, [one.text for one in told]
