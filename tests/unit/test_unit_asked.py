"""A table in another unit than its column says, small enough to pass as a good corner, is asked for its unit."""

import numpy as np
import pytest

from sim.errors import BadInput
from sim.files.dial_readings import parse, to_csv
from tests.command import run

HEAD = "# studs: 5\n# gauge_radius_mm: 140\n# hub_face_radius_mm: 64\n# turned: counter-clockwise\n# dial: + towards\n"
COLUMNS = "trace,mount,studs_turned,angle_deg,reading_um\n"
PLACES = np.arange(12) * 30.0


def table_in(unit_um, division_um, tirs_um, dial_um, head=""):
    """A mounted turn and a bare face of these TIRs, read to this division, written in this unit."""
    lines = HEAD + head + f"# dial_um: {dial_um:g}\n" + COLUMNS
    for before, span in zip(("mounted,1,0", "hub face,,"), tirs_um, strict=True):
        shown = np.round(0.5 * span * np.cos(np.radians(PLACES - 55.0)) / division_um) * division_um / unit_um
        lines += "".join(f"{before},{at:g},{value:.1f}\n" for at, value in zip(PLACES, shown, strict=True))
    return lines


def asked(text):
    with pytest.raises(BadInput) as caught:
        parse(text)
    (fault,) = caught.value.faults
    assert fault.key == "unit"
    return fault.reason


THOU = [(2.5, (90.0, 45.0)), (1.0, (150.0, 60.0)), (2.0, (30.0, 47.0))]


@pytest.mark.parametrize(("dial_um", "tirs_um"), THOU)
def test_readings_in_thou_under_a_fine_dial_are_no_micrometres(dial_um, tirs_um):
    """A rotor of 90 and a hub of 45 µm passed as 3.5 and 1.8, though their figures lie on no division of that dial."""
    thou = table_in(25.4, 2.54, tirs_um, dial_um)
    assert "figures lie on no half or fifth of a division" in asked(thou)
    assert "were they thou (" in asked(thou)
    assert len(parse(thou.replace("# studs", "# unit: checked\n# studs")).traces) == 2  # whoever tried it knows
    read = parse(thou.replace("reading_um", "reading_thou")).traces[0]
    assert np.ptp(read.value_um) == pytest.approx(tirs_um[0], abs=6.0)


def test_divisions_of_a_hundredth_are_no_micrometres():
    assert "hundredths of a mm (80 µm)" in asked(table_in(10.0, 10.0, (90.0, 60.0), 10.0))
    assert "hardly a rotor on its hub does" in asked(table_in(10.0, 10.0, (30.0, 20.0), 1.0))


@pytest.mark.parametrize("dial_um", [1.0, 2.0, 2.5, 5.0, 10.0, 12.7, 25.4])
@pytest.mark.parametrize("part", [1, 2, 5])
def test_honest_tables_of_good_corners_are_not_asked(dial_um, part):
    """Read to whole divisions, halves or fifths of the dial that the table names; that of 0.0001 inch is called 2.5."""
    for tirs_um in ((9.0, 4.0), (14.0, 11.0), (60.0, 14.0)):
        shown = [max(span, 2.0 * dial_um) for span in tirs_um]
        assert len(parse(table_in(1.0, dial_um / part, shown, dial_um)).traces) == 2
        if dial_um == 2.5:
            assert len(parse(table_in(1.0, 2.54 / part, shown, dial_um)).traces) == 2


def test_a_small_table_that_is_written_again_says_that_its_unit_was_checked():
    small = parse(table_in(25.4, 2.54, (90.0, 45.0), 2.5, "# unit: checked\n"))
    assert "# unit: checked\n" in to_csv(small)
    assert parse(to_csv(small)).traces[0].value_um == pytest.approx(small.traces[0].value_um)
    assert "# unit" not in to_csv(parse(table_in(1.0, 5.0, (90.0, 45.0), 5.0)))


HUMP = (-15, -14, 8, 24, -13, -20, -18, -19, -20, -18, -21, -16)


def looked_at(since, head=""):
    """A face of 45 µm, read again after it was looked at."""
    rows = [("cleaned", HUMP), ("cleaned again", since)]
    lines = [f"hub face,,,{at:g},{um:g},{how}\n" for how, turn in rows for at, um in zip(PLACES, turn, strict=True)]
    return HEAD + head + "# dial_um: 1\n" + COLUMNS.replace("\n", ",state\n") + "".join(lines)


def test_a_face_that_fell_to_a_twentieth_of_the_same_shape_is_asked_for_its_unit():
    """A hump that nobody stoned was typed in thou: "1 ± 6 µm, below its limit", and the rotor was left on."""
    for unit, name, digits in ((25.4, "thou", 0), (25.4, "thou", 1), (10.0, "hundredths of a mm", 0)):
        since = np.round(np.array(HUMP) / unit, digits)
        assert f"µm of the same shape: was it read in {name}?" in asked(looked_at(since))
        assert len(parse(looked_at(since, "# unit: checked\n")).traces) == 2
    stoned = (0, 1, 0, -1, 0, 1, 2, 1, 0, -1, -2, -1)
    assert len(parse(looked_at(stoned)).traces) == len(parse(looked_at(np.array(HUMP) * 0.4)).traces) == 2
    assert len(parse(looked_at(np.zeros(12), "# needle: comes back\n")).traces) == 2


def test_every_command_asks(tmp_path, capsys):
    path = tmp_path / "thou.csv"
    path.write_text(table_in(25.4, 2.54, (90.0, 45.0), 2.5))
    for words in (
        ["causes", path],
        ["causes", path, "--json"],
        ["index", "--hub", path, "--rotor", path],
        ["drive", "demo_geometry/rear_solid_300.toml", "--mounted", path],
    ):
        done = run(capsys, *words)
        assert (done.returncode, "were they thou (91 µm)" in done.stderr) == (2, True), words


@pytest.mark.parametrize(("cleaned_um", "asks"), [(2.4, True), (5.0, True), (9.0, False)])
def test_a_mounted_turn_next_to_nothing_beside_a_wide_one_is_asked_for_its_unit(cleaned_um, asks):
    """As found 100 µm, then 62 µm typed in thou: "on clean faces it runs out 2.5 µm, leave it there"."""
    first = table_in(1.0, 1.0, (100.0, 12.0), 1.0)
    rows = table_in(1.0, 0.5, (cleaned_um, 12.0), 1.0).split("\n")
    both = (
        first + "\n".join(row.replace("mounted,1,", "mounted,2,") for row in rows if row.startswith("mounted")) + "\n"
    )
    if not asks:
        assert len(parse(both).of("mounted")) == 2
        return
    assert "which hardly a rotor on its hub does, and 100 µm were read before; were they thou" in asked(both)
    assert len(parse(both.replace("# studs", "# unit: checked\n# studs")).of("mounted")) == 2
