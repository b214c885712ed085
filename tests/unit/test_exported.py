"""Files of a corner that no figure counts for say so: before their names are printed, and in the head of a table."""

from types import SimpleNamespace

import numpy as np
import pytest

from sim.corner.driven import as_driven
from sim.errors import NotFit
from sim.files import dial_readings
from sim.files.case_file import case_from_text
from tests import command, fakes

BASE = 'base = "rear_solid_300"\n[[debris]]\nangle_deg = 36.0\nheight_um = 80.0\n'
SCALE = "[[spigot_scale]]\nangle_deg = 0\narc_deg = 360\nheight_um = 100.0\n"
STAMP = "minimum_thickness_mm = 10.0\n"
JAMMED = {
    "home": "jammed",
    "wedged": True,
    "stand_off_um": (2300.0, 3900.0),
    "lean_um": 500.0,
    "lateral_range_um": (140.0, 2500.0),
}
DRAWN = {"home": "home", "wedged": True, "hoop_stress_mpa": 138.0}
#: Keys of a case, how it sits on its spigot; what leads the terminal, what the table's head says.
STATES = {
    "jammed": (SCALE, JAMMED, "Not home: jammed on scale", "Of a rotor jammed on scale on the spigot, off the hub"),
    "drawn home": (SCALE, DRAWN, "Damage: the nuts drew it home", "Of a rotor drawn home over scale on the spigot, wh"),
    "nut off": (
        "[studs]\ntorque_nm = [140, 140, 0, 140, 140]\n",
        None,
        "no nut is on stud 3",
        "Of a corner that is not fit to drive as its wheel is held",
    ),
    "at its stamp": (
        f"[rotor]\nthickness_mm = 10.0\n{STAMP}",
        None,
        "The rotor first, as given: 10.00 mm is the discard thickness",
        "Of a rotor at its discard thickness, which is scrap",
    ),
    "at a part set's": (
        "[rotor]\nthickness_mm = 10.0\n",
        None,
        "The rotor first, as given: 10.00 mm is at 10 mm, the discard thickness of the part set",
        "Of a rotor at the discard thickness of its part set, scrap unless its own stamp clears it",
    ),
}


def run_of(text, sits):
    """A corner computed, as far as is asked here."""
    run = fakes.run()
    run.case, run.spigot, run.forecast = case_from_text(BASE + text), sits, None
    try:
        as_driven(run.case)
    except NotFit as unfit:
        run.as_driven = SimpleNamespace(seat=None, refused=str(unfit), torques_nm=(), band=None)
    return run


@pytest.fixture
def asked(tmp_path, monkeypatch, capsys):
    """Ask for a file of a case, nothing computed: what is printed, and the file."""

    def export(text, name, sits=None, folder=False):
        run, corner, made = run_of(text, sits), tmp_path / "corner.toml", tmp_path / name
        corner.write_text(BASE + text)
        monkeypatch.setattr("sim.chain.compute", lambda *_, **__: run)
        monkeypatch.setattr("sim.run_folder.load", lambda _: run)
        done = command.run(capsys, "export", tmp_path if folder else corner, "-o", made)
        assert done.returncode == 0, done.stderr
        return " ".join(done.stdout.split()), made

    return export


@pytest.mark.parametrize("state", STATES)
def test_a_table_of_a_corner_that_no_figure_counts_for_says_what_it_is_of(state, asked):
    """Jammed 2.3 mm off the face "traces: x.csv" was all that was said, and its table looked like readings."""
    text, sits, led, headed = STATES[state]
    printed, traces = asked(text, "x.csv", sits)
    assert printed.index(led) < printed.index("traces: ")
    first, remark, columns, *rows = traces.read_text().splitlines()
    assert first.startswith("# trueseat: mounted traces")
    assert remark.startswith(f"# {headed}")
    assert remark.endswith("; these figures clear nothing")
    assert columns == "angle_deg,outboard_um,inboard_um,thickness_um"
    assert len(rows) == 360
    printed, readings = asked(text, "y.csv", sits, folder=True)
    assert printed.index(led) < printed.index("readings: ")
    assert readings.read_text().splitlines()[2].startswith(f"# {headed}")
    assert np.ptp(dial_readings.read(readings).of("mounted")[0].value_um) > 0.0  # read again as it stands


@pytest.mark.parametrize("state", ["drawn home", "nut off", "at its stamp"])
def test_solids_of_such_a_corner_are_named_behind_what_leads_there(state, asked, monkeypatch):
    monkeypatch.setattr("scenes.command.exported._solids", lambda _, path, *__: (SimpleNamespace(what="s", path=path),))
    text, sits, led, _ = STATES[state]
    printed, path = asked(text, "x.stl")
    said = "The spigot first: " if sits else led  # nothing is seated for a solid: by the case alone
    assert printed.index(said) < printed.index(f"s: {path}")
    printed, path = asked(text, "x.glb", sits, folder=True)
    assert printed.index(led) < printed.index(f"s: {path}")


def test_a_sound_corner_has_no_remark(asked):
    printed, traces = asked("", "x.csv")
    assert traces.read_text().splitlines()[1].startswith("angle_deg")
    assert "first" not in printed
