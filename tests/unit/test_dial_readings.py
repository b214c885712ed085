"""Readings files: what is understood, what is refused and where, and that nothing in a file is trusted."""

from dataclasses import replace
from importlib.resources import files

import numpy as np
import pytest

from scenes.command.road_options import Measured
from scenes.words import findings, mountings
from sim.bench.from_readings import index_readings
from sim.bench.mountings import told_apart
from sim.corner.driven import MountedReading
from sim.errors import BadInput, Refused
from sim.files.case_file import load_case
from sim.files.dial_readings import Readings, Trace, parse, read, safe_cell, to_csv
from sim.files.mean_plane import mean_plane_read
from sim.parts.case import Case
from sim.parts.dial import Dial
from tests import fakes

HEAD = "# studs: 5\n# gauge_radius_mm: 140\n# hub_face_radius_mm: 64\n# dial_um: 10\n"
HEAD += "# turned: counter-clockwise\n# dial: + towards\n"
COLUMNS = "trace,mount,studs_turned,angle_deg,reading_um\n"


def turn(kind="mounted", mount="1", turned="0", count=8, size=50.0, factor=1.0, extra=""):
    angle = np.arange(count) * 360 / count
    value = factor * size * np.cos(np.radians(angle - 40))
    return "".join(f"{kind},{mount},{turned},{a:g},{v:.6g}{extra}\n" for a, v in zip(angle, value, strict=True))


BEFORE_IT_WAS_CLEANED = (
    HEAD + COLUMNS.replace("\n", ",state\n") + turn(extra=",cleaned") + turn(mount="2", turned="2", extra=",as found")
)


def faults(text, **known):
    with pytest.raises(BadInput) as caught:
        parse(text, "x.csv", known or None)
    assert caught.value.exit_code == 2
    return caught.value.faults


def test_one_turn():
    found = parse(HEAD + COLUMNS + turn(), "x.csv")
    assert (found.studs, found.gauge_radius_mm, found.hub_face_radius_mm, found.dial_um) == (5, 140.0, 64.0, 10.0)
    (trace,) = found.traces
    assert (trace.kind, trace.mount, trace.studs_turned, trace.state) == ("mounted", 1, 0, "as found")
    assert trace.drift_um is None
    np.testing.assert_allclose(trace.value_um, 50 * np.cos(np.radians(trace.angle_deg - 40)), rtol=1e-5)


def test_inboard_dial_is_turned_round_once_and_the_others_are_not():
    text = HEAD + COLUMNS + turn("inboard") + turn("thickness") + turn("radial") + turn("hub face", "", "")
    found = parse(text)
    expected = parse(HEAD + COLUMNS + turn()).traces[0].value_um
    np.testing.assert_allclose(found.of("inboard")[0].value_um, -expected)
    for kind in ("thickness", "radial", "hub face"):
        np.testing.assert_allclose(found.of(kind)[0].value_um, expected)
    assert found.of("hub face")[0].mount == 0


@pytest.mark.parametrize(("column", "factor"), [("reading_mm", 1e-3), ("reading_thou", 1 / 25.4)])
def test_other_units(column, factor):
    found = parse(HEAD + COLUMNS.replace("reading_um", column) + turn(factor=factor))
    np.testing.assert_allclose(found.traces[0].value_um, parse(HEAD + COLUMNS + turn()).traces[0].value_um, rtol=1e-4)


def test_what_stands_at_its_limit_in_one_unit_stands_there_in_every_other():
    """15 µm apart, of a limit of 15: in thousandths of an inch it was over it by a rounding."""
    high_um = [11800, 11815, 11800, 11815, 11800, 11815]
    rows = "".join(f"thickness,1,0,{60 * k},{one / 25.4:.12g}\n" for k, one in enumerate(high_um))
    read = parse(HEAD + COLUMNS.replace("reading_um", "reading_thou") + turn(factor=1 / 25.4) + rows).of("thickness")[0]
    assert np.ptp(read.value_um) == 15.0


def test_readings_are_sorted_by_angle_and_360_is_drift():
    text = (
        HEAD + COLUMNS + turn(count=8).replace("mounted,1,0,0,38.3022\n", "") + "mounted,1,0,0,38\nmounted,1,0,360,53\n"
    )
    found = parse(text)
    trace = found.traces[0]
    assert trace.angle_deg.tolist() == [0, 45, 90, 135, 180, 225, 270, 315]
    assert trace.drift_um == pytest.approx(15.0)
    assert "came back +15 µm" in found.said[0]
    quiet = parse(text.replace("360,53", "360,40"))
    assert quiet.notes == ()


def test_360_without_0_counts_as_0():
    text = HEAD + COLUMNS + turn().replace("1,0,0,", "1,0,360,", 1)
    trace = parse(text).traces[0]
    assert trace.angle_deg[0] == 0.0
    assert trace.drift_um is None


def test_states_and_mounts_make_separate_turns():
    columns = COLUMNS.strip() + ",state,corner,clamped_by\n"
    text = HEAD + columns + turn(extra=",as found,front left,bare nuts") + turn(extra=",retorqued,front left,bare nuts")
    text += turn(mount="2", turned="3", extra=",cleaned,front left,wheel")
    found = parse(text)
    assert [(t.mount, t.state, t.studs_turned) for t in found.traces] == [
        (1, "as found", 0),
        (1, "retorqued", 0),
        (2, "cleaned", 3),
    ]
    assert found.traces[2].clamped_by == "wheel"


def test_semicolons_with_decimal_commas():
    text = HEAD + (COLUMNS + turn()).replace(".", "#").replace(",", ";").replace("#", ",")
    np.testing.assert_allclose(parse(text).traces[0].value_um, parse(HEAD + COLUMNS + turn()).traces[0].value_um)


def test_spreadsheet_habits_are_forgiven():
    text = "\ufeff".encode() + (HEAD.replace("\n", ",,,,\n") + COLUMNS + turn(extra=",,") + ",,,,\n").encode()
    assert len(parse(text.decode("utf-8-sig")).traces) == 1
    remark = "# a remark: with a colon\n#nothing\n"
    assert len(parse(remark + HEAD + COLUMNS + turn()).traces) == 1


def test_all_faults_come_at_once_with_their_lines():
    rows = [
        "mounted,1,0,0,1",
        "moumted,1,0,45,1",
        "mounted,x,0,90,1",
        "mounted,1,5,135,1",
        "mounted,1,0,400,1",
        "mounted,1,0,180,one",
        "mounted,1,0,225,0,05",
        "mounted,1,0,270",
    ]
    found = faults(HEAD + COLUMNS + "\n".join(rows))
    assert [(f.line, f.key) for f in found[:7]] == [
        (9, "trace"),
        (10, "mount"),
        (11, "studs_turned"),
        (12, "angle_deg"),
        (13, "reading_um"),
        (14, ""),
        (15, ""),
    ]
    assert "did you mean 'mounted'" in found[0].reason
    assert found[2].allowed == "0 .. 4"
    assert "decimal comma" in found[5].reason
    assert all(fault.file == "x.csv" for fault in found)


def test_rows_that_a_spreadsheet_parted_with_semicolons_read_the_same_and_many_wrong_rows_are_one_line():
    good = HEAD + COLUMNS + turn()
    rows = turn().replace(",", ";")
    assert np.array_equal(parse(HEAD + COLUMNS + rows).traces[0].value_um, parse(good).traces[0].value_um)
    halves = "".join(f"mounted;1;0;{30 * k};{2 * k},5;;\n" for k in range(12))  # decimal commas, empty cells behind
    assert parse(HEAD + COLUMNS + halves).traces[0].value_um.tolist() == [2 * k + 0.5 for k in range(12)]
    found = faults(HEAD + COLUMNS + "".join(f"mounted,1,0,{30 * k},{k},5\n" for k in range(12)))
    assert len([one for one in found if "values for" in one.reason]) == 1
    assert "in this line and 11 more; a decimal comma?" in found[0].reason
    assert "semicolons" in found[0].allowed


def test_tables_pasted_from_a_word_processor_or_of_numbered_places_are_read_or_told_how_to_write_them():
    """A true minus was "no number"; halves of a decimal comma were told as 26 unknown states; 1 to 12 as a gap."""
    columns = COLUMNS.replace("reading_um", "reading_um,state,clamped_by")
    lean = np.round(20 * np.cos(np.radians(30.0 * np.arange(12))))
    for dash in "\u2212\u2013":
        rows = "".join(f"mounted,1,0,{30 * k},{v:g},cleaned,\n" for k, v in enumerate(lean)).replace("-", dash)
        assert parse(HEAD + columns + rows).traces[0].value_um == pytest.approx(lean)
    (found,) = faults(HEAD + columns + "".join(f"mounted,1,0,{30 * k},{k},5,cleaned,\n" for k in range(12)))
    assert "in this line and 11 more; a decimal comma? write 0.5" in found.reason
    (found,) = faults(HEAD + columns + "".join(f"mounted,1,0,{k},{v:g},cleaned,\n" for k, v in enumerate(lean, 1)))
    assert "were places numbered? They are degrees: 1 is 0, 2 is 30, and so on" in found.reason


@pytest.mark.parametrize(("step_um", "asked"), [(5.0, True), (10.0, False), (30.0, False)])
def test_a_turn_that_was_copied_into_another_mount_is_told(step_um, asked):
    """As found pasted once more as cleaned: "cleaning took away 0 um", another stud was ordered, and nothing said."""
    values = step_um * np.round(40.0 * np.cos(np.radians(30.0 * np.arange(12) - 40.0)) / step_um)

    def told(*turns):
        rows = (
            f"mounted,{mount},0,{30 * k},{v:g},{state}\n" for mount, state, shown in turns for k, v in enumerate(shown)
        )
        notes = parse(HEAD + COLUMNS.replace("\n", ",state\n") + "".join(rows)).notes
        return any("mounted, mount 2: at every place the figure of mounted, mount 1" in note for note in notes)

    first, copy = (1, "as found", values), (2, "cleaned", values)
    assert told(first, copy) is asked
    assert not told(first, (2, "cleaned", values + step_um * (np.arange(12) == 7)))
    assert not told(first, copy, (2, "cleaned", values / 2))  # then the two turns of one mount part


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (HEAD + COLUMNS + turn(count=5), "5 readings tell too little"),
        (HEAD + COLUMNS + turn() + "mounted,1,0,45,3\n", "45 degrees was read in line 9 already"),
        (HEAD + COLUMNS + turn() + "mounted,1,2,50,3\n", "mount 1 stood at 0"),
        (HEAD + COLUMNS + turn() + turn("inboard", "1", "2"), "two stud positions"),
        (BEFORE_IT_WAS_CLEANED, "mount 2 cannot be as found, mount 1 was cleaned before it"),
        (COLUMNS + turn(), "number of studs is missing"),
        ("# studs: 5\n" + COLUMNS + turn(), "gauge_radius_mm: 140"),
        ("# studs: 5\n" + COLUMNS + turn("hub face"), "hub_face_radius_mm: 64"),
        (HEAD.replace("5", "55", 1) + COLUMNS + turn(), "out of range"),
        (HEAD.replace("5", "5.5", 1) + COLUMNS + turn(), "out of range"),
        (HEAD.replace("studs", "stud") + COLUMNS + turn(), "did you mean studs"),
        (HEAD + COLUMNS + turn(size=0.05), "is the column rather reading_mm"),
        (HEAD + COLUMNS.replace("_um", "_mm") + turn(), "is the column rather reading_um"),
        (HEAD + COLUMNS + turn(size=1e7), "which no dial"),
        (HEAD + COLUMNS.replace("angle_deg", "angle") + turn(), "unknown column; did you mean angle_deg"),
        (HEAD + COLUMNS.replace(",reading_um", "") + turn(), "0 columns of readings"),
        (HEAD + COLUMNS.strip() + ",reading_mm\n" + turn(), "2 columns of readings"),
        (HEAD + COLUMNS.replace("mount,", "trace,") + turn(), "stands twice"),
        (HEAD + COLUMNS, "no readings"),
        (HEAD, "no table"),
        ("", "no table"),
    ],
)
def test_faults_in_words(text, says):
    assert any(says in str(fault) for fault in faults(text)), faults(text)


def test_angles_in_radians_are_noticed():
    rows = "".join(f"mounted,1,0,{k * 2 * np.pi / 8:.4f},{10 * k}\n" for k in range(8))
    assert any("radians" in fault.reason for fault in faults(HEAD + COLUMNS + rows))


def test_a_case_fills_in_what_the_file_does_not_say():
    said = "# dial_um: 10\n# turned: counter-clockwise\n# dial: + towards\n"
    found = parse(said + COLUMNS + turn(), "x.csv", {"studs": 4, "gauge_radius_mm": 130.0})
    assert (found.studs, found.gauge_radius_mm) == (4, 130.0)
    with pytest.raises(BadInput, match="5 in these readings, but 4 in the case"):
        parse(HEAD + COLUMNS + turn(), "x.csv", {"studs": 4})


def test_a_turn_of_zeros_is_no_reading():
    """A tip that does not touch shows nothing; so does a starter table that nobody filled in."""
    for value in (0.0, 35.0):
        rows = "".join(f"mounted,1,0,{45 * k},{value}\n" for k in range(8))
        assert any("a tip that does not touch" in fault.reason for fault in faults(HEAD + COLUMNS + rows))
        # Whoever slipped a feeler under the tip and saw the needle move read a true one, and it is written so again.
        read = parse(HEAD + COLUMNS + rows + "mounted,1,0,feeler,104\n")
        assert np.ptp(read.traces[0].value_um) == 0.0
        assert np.ptp(parse(to_csv(read)).traces[0].value_um) == 0.0
    # A micrometer that shows the same thickness all round has read it.
    rows = "".join(f"thickness,1,0,{45 * k},12.01\n" for k in range(8))
    assert np.ptp(parse(HEAD + COLUMNS.replace("_um", "_mm") + rows).traces[0].value_um) == 0.0


@pytest.mark.parametrize("cell", ["=1+1", "@SUM(A1)", "+1", "-1", "=cmd|' /C calc'!A0", "\u202eabc", "x" * 41])
def test_a_name_that_a_spreadsheet_would_run_is_refused(cell):
    columns = COLUMNS.strip() + ",corner\n"
    assert any(fault.key == "corner" for fault in faults(HEAD + columns + turn(extra="," + cell)))


@pytest.mark.parametrize("cell", ["nan", "inf", "1_000", "0x10", "١", "1e999", "--1", "", '"'])
def test_only_plain_numbers_are_numbers(cell):
    assert faults(HEAD + COLUMNS + turn() + f"mounted,1,0,50,{cell}\n")


def test_strange_text_never_reaches_the_message_raw():
    found = faults(HEAD + COLUMNS + "\x1b[31mred,1,0,0,1\n")
    assert "\x1b" not in str(found[0])


def test_too_many_rows_and_faults_are_bounded():
    assert "average them first" in str(faults(HEAD + COLUMNS + "mounted,1,0,1,1\n" * 20_001)[0])
    assert len(faults(HEAD + COLUMNS + "bad,1,0,1,1\n" * 500)) == 40


def test_safe_cells():
    assert safe_cell("=1") == "'=1"
    assert safe_cell("front left") == "front left"


def test_writing_and_reading_back_is_the_identity():
    angle = np.arange(12) * 30.0
    value = np.round(40 * np.cos(np.radians(angle)), 3)
    traces = (
        Trace("mounted", 1, 0, angle, value, 5.0, "as found", "front left", "wheel"),
        Trace("inboard", 1, 0, angle, value, -5.0),
        Trace("hub face", 0, 0, angle, value),
    )
    text = to_csv(Readings(5, 140.0, 64.0, 10.0, traces), ["invented", "two\nlines"])
    back = parse(text)
    for ours, theirs in zip(traces, back.traces, strict=True):
        np.testing.assert_allclose(theirs.value_um, ours.value_um)
        assert (theirs.kind, theirs.drift_um, theirs.corner) == (ours.kind, ours.drift_um, ours.corner)
    assert to_csv(back, ["invented", "two\nlines"]) == text


@pytest.mark.parametrize("name", ["readings_hub.csv", "readings_rotor.csv"])
def test_shipped_files_are_sound_and_say_that_they_are_invented(name):
    path = files("demo_geometry") / name
    assert "Invented" in path.read_text(encoding="utf-8").splitlines()[0]
    found = read(str(path))
    assert {trace.kind for trace in found.traces} == {"hub face" if "hub" in name else "mounted"}
    assert not found.faults


def test_a_case_file_is_no_table_of_readings_and_a_table_no_case_file_each_told_in_one_line(tmp_path):
    """`seat TABLE` complained of a key and an equals sign in each of 26 lines."""
    table, case = tmp_path / "my.csv", tmp_path / "corner.toml"
    table.write_text("# studs: 5\n" + to_csv(Readings(5, 140.0, 64.0, 10.0, ())).partition("\n")[2], encoding="utf-8")
    case.write_text("# mine\ntitle = 'a corner'\n[studs]\ntorque_nm = 140.0\n", encoding="utf-8")
    for reader, path, says in (
        (load_case, table, "is a table of readings, no case file"),
        (read, case, "this begins a case file, no table of readings"),
    ):
        with pytest.raises(BadInput) as caught:
            reader(path)
        assert len(caught.value.faults) == 1
        assert says in str(caught.value)


def test_missing_file():
    with pytest.raises(BadInput, match="no such file"):
        read("nowhere.csv")


def test_a_rotor_that_hangs_on_its_spigot_gets_no_stud():
    """3 mm from highest to lowest: no position cures that."""
    hub = parse(HEAD + COLUMNS + turn("hub face", "", "", size=5.0), "hub.csv")
    rotor = parse(HEAD + COLUMNS + turn(size=1500.0), "rotor.csv")
    with pytest.raises(Refused, match="not home on its hub"):
        index_readings(hub, rotor)


def test_no_door_sends_a_rotor_that_is_not_home_to_another_stud_or_on_the_road(tmp_path):
    """`causes` sent 2 mm to "stud 3, same torque": nuts would have drawn it over the scale."""
    table = tmp_path / "rotor.csv"
    table.write_text(HEAD + COLUMNS + turn(size=1500.0))
    with pytest.raises(Refused, match="mount 1, reads .*never draw it home with the nuts"):
        told_apart(read(table))
    with pytest.raises(Refused, match="never draw it home with the nuts"):
        mean_plane_read(Case(), table)
    far, near = (told_apart(parse(HEAD + COLUMNS + turn(size=half))) for half in (200.0, 60.0))
    assert "look whether the rotor stands home" in mountings.home_line(far)
    assert mountings.home_line(near) == ""


@pytest.mark.parametrize(("digits", "step_um"), [("3", 1.0), ("0", 10.0), ("5", 5.0), ("4", 2.0)])
def test_a_thickness_that_does_not_say_was_read_with_a_micrometer_of_its_own_last_digits(digits, step_um):
    """Not with the file's dial, however fine or coarse that is."""
    rows = "".join(f"thickness,1,0,{45 * k},{22000 + (int(digits) if k % 3 else 0)}\n" for k in range(8))
    found = parse(HEAD + COLUMNS + turn() + rows)
    assert [found.step_um(trace) for trace in found.traces] == [10.0, step_um]


def test_a_thickness_of_about_twelve_in_a_column_of_micrometres_is_asked_about():
    """Whole millimetres tell nothing, from a zero of its own one place reads nought, and no rotor varies by 14 mm."""
    for first, each, asked in ((12, 1, True), (0, 1, False), (12, 0.25, True), (12, 2, False), (12, 2.5, True)):
        rows = "".join(f"thickness,1,0,{45 * k},{first + each * (k if each == 2 else k % 4)}\n" for k in range(8))
        text = HEAD + COLUMNS + turn() + rows
        if asked:
            assert any("is the column rather mm?" in fault.reason for fault in faults(text))
        else:
            assert parse(text).thickness is not None


def test_a_trace_may_say_its_own_dial_and_no_turn_two():
    """A finer dial for one mounting, the micrometer's division for the thickness; the others the file's dial."""
    columns = COLUMNS.replace("\n", ",dial_um\n")
    text = HEAD + columns + turn(extra=",") + turn(mount="2", turned="1", extra=",1") + turn("thickness", extra=",5")
    found = parse(text)
    assert [found.step_um(trace) for trace in found.traces] == [10.0, 1.0, 5.0]
    again = parse(to_csv(found))
    assert [trace.dial_um for trace in again.traces] == [None, 1.0, 5.0]
    mixed = HEAD + columns + turn(extra=",").replace(",\n", ",1\n", 1)
    assert any("another dial than in line" in fault.reason for fault in faults(mixed))
    assert [fault.key for fault in faults(HEAD + columns + turn(extra=",0"))][0] == "dial_um"


def test_thickness_turns_that_repeat_the_last_count_as_their_middle():
    """Added lines of one micrometer, turn by turn or place by place, in whatever mount; others are no repeats."""
    places = np.arange(0.0, 360.0, 30.0)
    wave = np.round(11600.0 + 6.0 * np.cos(np.radians(places)))
    off = (np.zeros(12), np.tile([2.0, -2.0], 6), np.tile([-1.0, 1.0, 1.0, -1.0], 3))

    def rows(add, mount=1, step="1"):
        return [f"thickness,{mount},0,{a:g},{v:g},{step}" for a, v in zip(places, wave + add, strict=True)]

    def told(*turns):
        head = ["# studs: 5", "# turned: counter-clockwise", "trace,mount,studs_turned,angle_deg,reading_um,dial_um"]
        return parse("\n".join([*head, *(line for turn in turns for line in turn)]), "a.csv")

    three = told(*(rows(one) for one in off))
    assert three.thickness.turns == 3
    assert three.thickness.value_um == pytest.approx(wave + np.median(off, axis=0))
    # The independent part of one reading's 2.02 um falls as that of a median of three, half a micrometre stays.
    assert three.thickness.noise_um == pytest.approx(np.sqrt((2.0**2 + 1 / 12 - 0.25) * 1.346 / 3 + 0.25), abs=1e-3)
    assert three.thickness_counts == "middle of 3 readings a place"
    by_place = told([row for together in zip(*(rows(one) for one in off), strict=True) for row in together])
    assert by_place.thickness.value_um == pytest.approx(three.thickness.value_um)
    slipped = np.where(places == 60.0, 40.0, 0.0)
    assert told(rows(off[0], mount=2), rows(off[1]), rows(off[2])).thickness.turns == 3  # one rotor, one metal
    for other in (rows(off[0], step="5"), rows(off[0] + 60.0)):
        two = told(other, rows(off[1]), rows(off[2]))
        assert two.thickness.turns == 2
        assert "of 3 thickness turns in the table 2 that agree count, as their middle" in two.thickness_counts
    # One that slipped was read again: it is no turn of the table any more.
    assert told(rows(slipped), rows(off[1]), rows(off[2])).thickness_counts == "middle of 2 readings a place"
    misread = told(rows(off[0]), rows(off[1]), rows(off[2] - 23.0 * (places == 180.0)))
    assert misread.thickness.turns == 2  # one place that the others do not bear out is no scatter
    few = [row for row in rows(0.0) if float(row.split(",")[3]) % 60.0 == 0.0]
    more = told(few, rows(off[1]))  # read at more places, as it is ordered, in the same mount and state
    assert [one.value_um.size for one in more.of("thickness")] == [6, 12]
    assert more.thickness.value_um == pytest.approx(wave + off[1])
    wide = told(rows(4.0 * off[1]), rows(-4.0 * off[1]), rows(0.0))
    assert wide.thickness.noise_um > 1.5 * three.thickness.noise_um  # a hand that scatters more is less sure
    coarse = told(*(rows(5.0 * np.round(wave / 5.0) - wave, step="5") for _ in range(5)))
    assert coarse.thickness.noise_um > 5.0 / np.sqrt(12.0)  # all rounded alike: no number of turns takes that off
    between = told(*(rows(0.0, step="5") for _ in range(5)))
    assert between.thickness.noise_um < 0.8 * coarse.thickness.noise_um  # estimated between the lines


def test_of_two_faces_the_outboard_one_is_held_against_the_limit_in_every_command(tmp_path):
    """`drive` said 62 um "measured on the car", the mean of two faces that swing 56 and 70; `causes` said 56."""
    table = tmp_path / "both.csv"
    head = "# studs: 5\n# gauge_radius_mm: 140\n# dial_um: 1\n# turned: clockwise\n# dial: + towards\n"
    rows = [
        f"{kind},1,0,{a},{sign * half * np.cos(np.radians(a)):.1f}"
        for kind, half, sign in (("mounted", 28.0, 1.0), ("inboard", 35.0, -1.0))
        for a in range(0, 360, 30)
    ]
    table.write_text(head + "trace,mount,studs_turned,angle_deg,reading_um\n" + "\n".join(rows) + "\n")
    read = mean_plane_read(Case(), table)
    assert read.outboard_um == pytest.approx(56.0)
    assert np.ptp(read.trace_um) == pytest.approx(63.0, abs=0.5)
    one = MountedReading(np.array(read.trace_um), "wheel", "the readings", (60.0, 63.0, 66.0), np.ones(1), 4.7)
    run = fakes.run()
    run.reading = replace(one, outboard_um=read.outboard_um)
    judged = findings.runout(run)
    assert judged.value == pytest.approx(56.0)
    said = judged.sentence.replace("\u00a0", " ")
    assert "56 µm (0.06 mm) on the outboard face (the road starts from the mean of both faces, 63 µm)" in said
    apart = Measured(mounted=table).road(Case()).faces_apart  # 14 µm of thickness once a turn, as two dials have it
    assert apart.value_um == pytest.approx(14.0, abs=0.1)  # written to tenths
    assert apart.doubt_um == pytest.approx(np.sqrt(2.0) * Dial(1.0).doubt_um)
    for sign, borne_out in ((-1.0, True), (1.0, False)):  # as vectors: as large at the other side is another rotor
        thick = [f"thickness,1,0,{a},{11_500.0 + sign * 7.0 * np.cos(np.radians(a)):.1f}" for a in range(0, 360, 30)]
        table.write_text(head + "trace,mount,studs_turned,angle_deg,reading_um\n" + "\n".join([*rows, *thick]) + "\n")
        assert (Measured(mounted=table).road(Case()).faces_apart is None) is borne_out
    run.reading = one
    assert findings.runout(run).value == pytest.approx(63.0, abs=0.5)


@pytest.mark.parametrize(("unit", "half"), [("um", "10"), ("mm", "0.010"), ("thou", "0.3937007874")])
def test_half_a_division_is_half_a_division_in_every_unit(unit, half):
    head = "# studs: 5\n# turned: counter-clockwise\n# dial: + towards\n# gauge_radius_mm: 140\n# dial_um: 20\n"
    rows = "".join(f"mounted,1,0,{30 * k},{half if k < 6 else 0}\n" for k in range(12))
    read = parse(f"{head}trace,mount,studs_turned,angle_deg,reading_{unit}\n{rows}", "a.csv")
    assert np.ptp(read.traces[0].value_um) == pytest.approx(10.0)


def test_a_slip_of_a_mounting_that_stands_no_more_stops_no_drive(tmp_path):
    """Its as-found turn came back 24 um off: nobody can read that again, and `causes` left the rotor on."""
    table = tmp_path / "gone.csv"
    head = "# studs: 5\n# gauge_radius_mm: 140\n# dial_um: 1\n# turned: clockwise\n# dial: + towards\n"

    def turn(mount, state, half_um, back_um):
        wave = half_um * np.cos(np.radians(np.arange(0, 361, 30)))
        wave[-1] += back_um
        return [f"mounted,{mount},0,{30 * k},{value:.0f},{state}" for k, value in enumerate(wave)]

    def read(*turns):
        rows = [row for one in turns for row in one]
        table.write_text(head + "trace,mount,studs_turned,angle_deg,reading_um,state\n" + "\n".join(rows) + "\n")
        return mean_plane_read(Case(), table)

    off, sound = turn(1, "cleaned", 10.0, 24.0), turn(2, "cleaned", 28.0, 0.0)
    gone = read(off, sound)
    assert np.ptp(gone.trace_um) == pytest.approx(56.0, abs=1.0)
    assert gone.better is None  # nor is it a stud to go back to
    with pytest.raises(BadInput, match="came back .24 µm off its start"):
        read(sound, turn(3, "cleaned", 10.0, 24.0))
