"""A turn in another unit than its column says, small enough to pass for a good one, is asked; a feeler answers."""

import json
from pathlib import Path

import numpy as np
import pytest

from scenes.words import left_on
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


def tried(text, mount="mounted,1,0", moved=100.0, state=""):
    """The same table with a line of a feeler under the tip at its end."""
    return f"{text}{mount},feeler,{moved:g}{state}\n"


THOU = [(2.5, (90.0, 45.0)), (1.0, (150.0, 60.0)), (2.0, (30.0, 47.0))]


@pytest.mark.parametrize(("dial_um", "tirs_um"), THOU)
def test_readings_in_thou_under_a_fine_dial_are_no_micrometres(dial_um, tirs_um):
    """A rotor of 90 and a hub of 45 µm passed as 3.5 and 1.8, though their figures lie on no division of that dial."""
    thou = table_in(25.4, 2.54, tirs_um, dial_um)
    assert "figures lie on no half or fifth of a division" in asked(thou)
    assert "were they thou (" in asked(thou)
    assert "no half or fifth of a division" in asked(tried(thou))  # a feeler of 100 is what everybody knows of it
    with pytest.raises(BadInput, match="a 0.1 mm feeler moved the dial by 3.9: this turn was read in thou"):
        parse(tried(thou, moved=3.9))
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


def test_a_table_that_is_written_again_keeps_what_the_feeler_showed():
    small = parse(tried(table_in(1.0, 0.5, (3.5, 2.0), 1.0), moved=98.0))
    assert "mounted,1,0,feeler,98," in to_csv(small)
    assert parse(to_csv(small)).traces[0].feeler_um == 98.0
    assert parse(to_csv(small)).traces[0].value_um == pytest.approx(small.traces[0].value_um)
    assert "feeler" not in to_csv(parse(table_in(1.0, 5.0, (90.0, 45.0), 5.0)))


#: A bare hub face of 36 µm written in hundredths, as it was read by dials of 10, 5, 2 and 1 µm.
HUNDREDTHS = {
    10.0: (0.5, 0.5, 1, 0, -1, -2, -2.5, -2.5, -2.5, -2, -1, 0),
    5.0: (1.75, 1.75, 1.5, 1, 0, -1, -1.75, -1.75, -1.75, -1, 0, 0.75),
    2.0: (2.3, 2.6, 2.3, 1.7, 0.8, -0.1, -0.6, -0.8, -0.7, 0, 0.8, 1.8),
    1.0: (2.5, 2.75, 2.35, 1.8, 0.85, 0, -0.75, -0.95, -0.7, 0, 0.95, 1.75),
}


@pytest.mark.parametrize("dial_um", HUNDREDTHS)
def test_a_feeler_of_100_acquits_no_face_of_figures_that_its_dial_does_not_show(dial_um):
    """A hub 36 µm out under a rotor that lies across it was left on as "4 ± 7", whatever the dial."""
    mounted = table_in(1.0, dial_um, (60.0, 0.0), dial_um).split("hub face")[0]
    face = "".join(f"hub face,,,{at:g},{v:g}\n" for at, v in zip(PLACES, HUNDREDTHS[dial_um], strict=True))
    said = asked(tried(tried(mounted) + face, "hub face,,"))
    assert said.startswith("the bare hub face, ")
    assert f"figures lie on no half or fifth of a division of {dial_um:g} µm" in said
    assert "hundredths of a mm (3" in said
    assert "dial_um is the division of the dial that read it" in said


@pytest.mark.parametrize("part", [1, 2, 4, 5, 10])
def test_a_true_face_read_to_parts_of_a_coarse_division_is_not_asked_beside_its_feeler(part):
    """To tenths of 10 µm only where it spans half a division or more: under that they are whole hundredths as well."""
    mounted = table_in(1.0, 5.0, (60.0, 0.0), 10.0).split("hub face")[0]
    spans = (8.0,) if part == 10 else (3.0, 8.0)
    for span in spans:
        shown = np.round(0.5 * span * np.cos(np.radians(PLACES - 55.0)) / (10.0 / part)) * 10.0 / part
        face = "".join(f"hub face,,,{at:g},{v:g}\n" for at, v in zip(PLACES, shown, strict=True))
        assert len(parse(tried(mounted + face, "hub face,,")).traces) == 2


def test_bare_faces_are_asked_for_their_unit_beside_a_rotor_of_a_usual_size_as_by_themselves():
    """In one table a rotor that was read over 5 µm answered for them, in a table of their own they were refused."""
    mounted = table_in(1.0, 0.5, (60.0, 0.0), 1.0).split("hub face")[0]
    figures = (-0.2, -0.3, -0.2, -0.1, 0.4, 0.75, 1.05, 1.3, 1.2, 0.85, 0.6, 0.25)
    face = "".join(f"hub face,,,{at:g},{v:g}\n" for at, v in zip(PLACES, figures, strict=True))
    alone = asked(mounted.split("mounted")[0] + face)
    assert alone == asked(tried(mounted) + face)
    assert alone.startswith("all turns of the bare hub face span 1.6 µm or less, and 7 of 12 figures")


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("mounted,1,0,feeler,10", "this turn was read in hundredths of a mm"),
        ("mounted,1,0,feeler,0.1", "this turn was read in mm"),
        ("mounted,1,0,feeler,0", "the tip does not touch, or the dial sticks"),
        ("mounted,1,0,feeler,250", "another leaf, or the tip set askew"),
        ("mounted,1,0,feeler,", "mounted, feeler was not read"),
        ("mounted,2,0,feeler,100", "mounted, mount 2: a feeler, and no turn of readings beside it"),
        ("thickness,1,0,feeler,100", "a feeler is tried under a dial, not in a micrometer"),
    ],
)
def test_what_a_feeler_shows_otherwise_is_refused_with_what_it_means(line, says):
    with pytest.raises(BadInput, match=says):
        parse(table_in(1.0, 5.0, (90.0, 45.0), 5.0) + line + "\n")


def test_each_turn_of_one_mount_has_its_own_feeler():
    turn = [row + "\n" for row in table_in(1.0, 5.0, (90.0, 45.0), 5.0).splitlines() if row.startswith("mounted")]
    table = table_in(1.0, 5.0, (90.0, 45.0), 5.0) + "".join((*turn, "mounted,1,0,feeler,-101\n", *turn))
    assert [one.feeler_um for one in parse(table).of("mounted")] == [None, 101.0, None]


@pytest.mark.parametrize("line", ["mounted,1,,feeler,100,,", "mounted,1,0,feeler,100,as found,nuts and spacers"])
def test_a_feeler_line_needs_no_words_of_its_turn_again(line):
    text = HEAD + "# dial_um: 10\n" + COLUMNS.replace("\n", ",state,clamped_by\n")
    text += "".join(f"mounted,1,0,{at:g},{at // 60:g}0,as found,nuts and spacers\n" for at in PLACES)
    if line.startswith("mounted,1,,"):
        line = line.replace("mounted,1,,", "mounted,1,0,")
    assert parse(text + line + "\n").traces[0].feeler_um == 100.0


def test_a_true_face_that_was_tried_may_span_less_than_its_dial_shows():
    """Read to a fifth of a division it was asked for ever whether its column was thou."""
    rows = "".join(f"hub face,,,{at:g},{0.4 * (at == 90.0):g}\n" for at in PLACES)
    table = table_in(1.0, 5.0, (90.0, 0.0), 2.0).split("hub face")[0] + rows
    with pytest.raises(BadInput):
        parse(table)
    assert len(parse(tried(table, "hub face,,")).traces) == 2


@pytest.mark.parametrize(("factor", "says"), [(10.0, "hundredths of a mm (11.6 mm)"), (25.4, "reading_thou (11.6 mm)")])
def test_a_thickness_that_no_rotor_has_is_asked_for_its_unit(factor, says):
    """In hundredths a variation of 30 µm read as 3, below its limit, of a rotor "1.158 mm" thick."""
    thick = np.round((11_600.0 + 15.0 * np.cos(2.0 * np.radians(PLACES))) / factor)
    rows = "".join(f"thickness,1,0,{at:g},{um:g}\n" for at, um in zip(PLACES, thick, strict=True))
    with pytest.raises(BadInput) as caught:
        parse(table_in(1.0, 5.0, (90.0, 45.0), 5.0) + rows)
    assert "no rotor is so thin" in caught.value.faults[0].reason
    assert says in caught.value.faults[0].reason
    near = "".join(f"thickness,1,0,{at:g},{um:g}\n" for at, um in zip(PLACES, thick - thick.min(), strict=True))
    assert len(parse(table_in(1.0, 5.0, (90.0, 45.0), 5.0) + near).traces) == 3  # from a zero of its own


def test_a_bare_face_that_nobody_tried_leaves_no_rotor_on_without_the_feeler():
    """A face of 34 µm in hundredths: "leave it there. Bare hub face 3 µm, below its limit"."""
    both = parse(tried(tried(table_in(1.0, 5.0, (30.0, 15.0), 5.0)), "hub face,,"))
    alone = parse(tried(table_in(1.0, 5.0, (30.0, 15.0), 5.0)))
    assert (left_on.tried(both), left_on.tried(alone)) == (True, False)


@pytest.mark.parametrize("head", ["# needle: comes back\n", "# unit: checked\n"])
def test_no_word_in_the_head_answers_for_turns_to_come(head):
    """A tip off the face read all alike a week later, under the word that was said of the bare hub."""
    with pytest.raises(BadInput, match="a line of the head speaks for no turn"):
        parse(table_in(1.0, 5.0, (90.0, 45.0), 5.0, head))
    bare = tried(table_in(1.0, 5.0, (90.0, 0.0), 5.0), "hub face,,")
    assert len(parse(bare).traces) == 2
    with pytest.raises(BadInput, match="mount 2: every reading is 0; a tip that does not touch shows the same"):
        parse(bare + "".join(f"mounted,2,0,{at:g},0\n" for at in PLACES))


TRIED = "hub face,,,feeler,100,cleaned again\n"
HUMP = (-15, -14, 8, 24, -13, -20, -18, -19, -20, -18, -21, -16)


def looked_at(since, feeler=""):
    """A face of 45 µm, read again after it was looked at."""
    rows = [("cleaned", HUMP), ("cleaned again", since)]
    lines = [f"hub face,,,{at:g},{um:g},{how}\n" for how, turn in rows for at, um in zip(PLACES, turn, strict=True)]
    return HEAD + "# dial_um: 1\n" + COLUMNS.replace("\n", ",state\n") + "".join(lines) + feeler


def test_a_face_that_fell_to_a_twentieth_of_the_same_shape_is_asked_for_its_unit():
    """A hump that nobody stoned was typed in thou: "1 ± 6 µm, below its limit", and the rotor was left on."""
    for unit, name, digits in ((25.4, "thou", 0), (25.4, "thou", 1), (10.0, "hundredths of a mm", 0)):
        since = np.round(np.array(HUMP) / unit, digits)
        assert f"{name} (" in asked(looked_at(since))
        if digits:  # tenths of a micrometre: whatever the feeler showed
            assert "finer than a fifth of a division of 1 µm" in asked(looked_at(since, TRIED))
        else:
            assert len(parse(looked_at(since, TRIED)).traces) == 2
    stoned = (0, 2, 0, -3, 0, 2, 7, 1, 0, -1, -4, -1)
    assert len(parse(looked_at(stoned)).traces) == len(parse(looked_at(np.array(HUMP) * 0.4)).traces) == 2
    assert len(parse(looked_at(np.zeros(12), TRIED)).traces) == 2


def test_a_face_of_another_shape_that_fell_to_a_quarter_is_asked_too():
    stoned = (0, 1, 0, -3, 0, 1, 2, 1, 0, -1, -2, -1)
    assert "the bare hub face, cleaned again, spans 5 µm, and 45 µm were read before" in asked(looked_at(stoned))
    assert len(parse(looked_at(stoned, TRIED)).traces) == 2


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


@pytest.mark.parametrize(("cleaned_um", "asks"), [(2.4, True), (5.0, True), (30.0, False)])
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
    assert len(parse(tried(both, "mounted,2,0")).of("mounted")) == 2


def cleaned_to(cleaned, dial_um=10.0):
    """As found 126 µm, cleaned these figures."""
    was = np.round(63.0 * np.cos(np.radians(PLACES - 55.0)) / 5.0) * 5.0
    turns = (("mounted,1,0", was, "as found"), ("mounted,2,0", cleaned, "cleaned"))
    rows = [f"{head},{at:g},{um:g},{how}\n" for head, turn, how in turns for at, um in zip(PLACES, turn, strict=True)]
    return HEAD + f"# dial_um: {dial_um:g}\n" + COLUMNS.replace("\n", ",state\n") + "".join(rows)


@pytest.mark.parametrize("dial_um", [1.0, 2.0, 10.0])
def test_a_cleaned_turn_in_hundredths_beside_one_in_micrometres_is_asked_for_its_unit(dial_um):
    """120 µm written as 12: "on clean faces it runs out 11 µm, leave it there"."""
    hundredths = np.round(6.0 * np.cos(np.radians(PLACES - 80.0)))
    table = cleaned_to(hundredths, dial_um)
    assert "mount 2 spans 12 µm, and 130 µm were read before; were they thou (305 µm) or hundredths" in asked(table)
    with pytest.raises(BadInput, match="a 0.1 mm feeler moved the dial by 10: this turn was read in hundredths"):
        parse(tried(table, "mounted,2,0", 10.0, ",cleaned"))
    assert len(parse(tried(table, "mounted,2,0", 100.0, ",cleaned")).traces) == 2  # honest, and tried


def test_a_feeler_that_shows_what_it_should_clears_no_figures_that_its_dial_does_not_show():
    """80 µm read to half a division of 0.01 mm, written as 8.0 and 3.5 beside a feeler of 100: "leave it there"."""
    half = np.round(8.0 * np.cos(np.radians(PLACES - 80.0))) / 2.0
    for dial_um in (5.0, 10.0):
        table = tried(cleaned_to(half, dial_um), "mounted,2,0", 100.0, ",cleaned")
        told = asked(table)
        assert f"Its figures are finer than a fifth of a division of {dial_um:g} µm, whatever the feeler" in told
        # Its line of a feeler stands there: one more of it changes nothing.
        assert "Read the turn and its feeler again and write both as the dial shows them" in told
        assert "add one more line" not in told
        assert "add one more line" in asked(cleaned_to(half, dial_um))
    quarters = 2.5 * np.round(4.0 * np.cos(np.radians(PLACES - 80.0)))  # honest, read to a quarter of a division
    for figures, dial_um in ((half, 1.0), (quarters, 10.0)):
        assert len(parse(tried(cleaned_to(figures, dial_um), "mounted,2,0", 100.0, ",cleaned")).traces) == 2


def test_figures_that_only_a_dial_in_micrometres_shows_are_not_asked():
    """Read to half a division of 0.01 mm; a fall to a third is what most cleaning does, and not asked by any dial."""
    shown = np.round(12.0 * np.cos(np.radians(PLACES - 80.0)) / 5.0) * 5.0
    assert len(parse(cleaned_to(shown)).traces) == 2
    assert len(parse(cleaned_to(np.round(17.0 * np.cos(np.radians(PLACES - 80.0))), 1.0)).traces) == 2


@pytest.mark.usefixtures("fewest_seatings")
def test_a_rotor_is_left_on_only_once_the_dial_was_tried(tmp_path, capsys):
    """A first table in hundredths shows by nothing that it is over: the feeler is asked where it is left on."""
    path = tmp_path / "t.csv"
    text = Path("demo_geometry/bench_3_cleaned.csv").read_text()
    once = text[: text.rindex("mounted,2,0,0,")]
    for words in (["causes", path], ["causes", path, "--case", "rear_solid_300"]):
        path.write_text(text)
        assert "0.1 mm feeler" not in run(capsys, *words).stdout
        path.write_text("".join(line for line in text.splitlines(keepends=True) if "feeler" not in line))
        assert json.loads(run(capsys, *words, "--json").stdout)["unit_tried"] is False
        told = " ".join(run(capsys, *words).stdout.split())
        assert "eave it there once a 0.1 mm feeler under the tip has shown the unit" in told
        path.write_text("".join(line for line in once.splitlines(keepends=True) if "feeler" not in line))
        told = " ".join(run(capsys, *words).stdout.split())
        assert "With it what a 0.1 mm feeler under the tip moves, as one more line of that turn, 'feeler'" in told
