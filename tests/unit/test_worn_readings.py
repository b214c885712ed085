"""A run is written as a bench would read its rotor, and read again: the same wear, the same dial."""

import numpy as np
import pytest

from scenes.command.app import main
from sim import Case, Debris, compute, save
from sim.bench.worn_readings import STEP_UM, readings_of
from sim.files.dial_readings import read

pytestmark = pytest.mark.usefixtures("few_draws")

CORNER = Case(title="Speck, for the test", debris=(Debris(angle_deg=36.0, height_um=80.0),))


@pytest.fixture(scope="module")
def run():
    return compute(CORNER, 8000.0, "fast", fields_too=False)


@pytest.fixture(scope="module")
def table(run, tmp_path_factory):
    folder = tmp_path_factory.mktemp("worn")
    save(run, folder / "run")
    assert main(["export", str(folder / "run"), "-o", str(folder / "worn.csv")]) == 0
    return folder / "worn.csv"


def test_the_table_is_read_again_with_the_forecasts_own_thickness_variation(run, table):
    found = {trace.kind: trace for trace in read(table).traces}
    assert set(found) == {"mounted", "inboard", "thickness"}
    assert np.ptp(found["thickness"].value_um) == pytest.approx(run.forecast.dtv_um[-1], rel=0.03, abs=0.2)
    assert found["mounted"].clamped_by == CORNER.studs.clamped_by
    # What the faces differ by is the thickness: three traces, one rotor.
    between = found["mounted"].value_um - found["inboard"].value_um
    assert between - between.mean() == pytest.approx(
        found["thickness"].value_um - found["thickness"].value_um.mean(), abs=0.6
    )


def test_its_thickness_is_as_fine_as_it_was_written(table):
    """Read again by its own commands: "taken as read with 5 µm a division": 11 ± 7, a finer micrometer."""
    readings = read(table)
    (thickness,) = readings.of("thickness")
    assert readings.step_um(thickness) == STEP_UM


def test_wear_takes_runout_off_both_faces(run):
    fitted, worn = readings_of(run.seat, None), readings_of(run.seat, run.forecast)
    for before, after in zip(fitted.traces[:2], worn.traces[:2], strict=True):
        assert np.ptp(after.value_um) < np.ptp(before.value_um) - 1.0


def test_it_says_that_it_was_computed(table):
    head = table.read_text(encoding="utf-8").splitlines()[0]
    assert "Computed by trueseat, not read on a car" in head
    assert "8000 km" in head


@pytest.mark.parametrize("name", ["worn.txt", "worn"])
def test_another_ending_is_answered_in_words(table, name, capsys):
    assert main(["export", str(table.parent / "run"), "-o", str(table.parent / name)]) == 2
    assert ".csv" in capsys.readouterr().err
