"""What `remains` says of a corner whose case states what comes first: the right name for it, its work, its cautions."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import demo_geometry
from sim.bench import questions
from sim.files.case_file import case_from_text
from tests import command

pytestmark = pytest.mark.usefixtures("fewest_draws", "fewest_corners", "few_wheels")
WORN = Path(demo_geometry.__file__).parent / "readings_worn_disc.csv"
BASE = 'base = "rear_solid_300"\n'
LIST = "The work in its order, with its cautions: trueseat seat CASE, or trueseat report CASE --sheet."
STANDS = "car on stands rated for the load"


def asked(capsys, path, tables, *more):
    path.write_text(BASE + tables)
    return command.run(capsys, "remains", WORN, "--case", path, "--km", 500, *more)


@pytest.mark.parametrize(
    ("tables", "act"),
    [
        ("[studs]\ntorque_nm = [140, 140, 30, 140, 140]\n", "retorque"),
        ("[pads]\nthickness_mm = 1.5\n", "renew the pads"),
    ],
)
def test_a_corner_without_a_road_has_its_thickness_its_list_and_the_cautions_of_that_work(
    tables, act, tmp_path, capsys
):
    """Behind worn-out pads the rotor's own thickness was withheld; behind a slack nut no car stood on stands."""
    done = asked(capsys, tmp_path / "case.toml", tables)
    assert done.returncode == 0, done.stderr
    text = " ".join(done.stdout.split())
    assert "The thickness as read varies by" in text
    assert LIST in text
    assert STANDS in text
    told = json.loads(asked(capsys, tmp_path / "case.toml", tables, "--json").stdout)
    assert told["do"] == act
    assert any("The thickness as read" in line for line in told["leads"])


@pytest.mark.parametrize(("tables", "states"), [("[hub]\nface_runout_um = 60\n", True), ("", False)])
def test_wheel_and_rotor_that_come_off_have_their_cautions_and_what_leads_its_list(tables, states, tmp_path, capsys):
    text = " ".join(asked(capsys, tmp_path / "case.toml", tables).stdout.split())
    assert (LIST in text) is states
    for caution in (STANDS, "Hang the caliper from a hook", "Cracked means scrap"):
        assert caution in text


def test_a_hub_that_leans_a_clean_corner_is_not_called_dirt():
    """A hub face of 60 um was "this corner is not clean"."""
    hub = case_from_text(BASE + "[hub]\nface_runout_um = 60\n")
    assert questions._still_leans(hub).startswith("Hub and bearing first")
    assert "its hub face of 60 µm" in questions._still_leans(hub)
    plain = questions._still_leans(case_from_text(BASE))
    assert plain.startswith("Find what still leans it before it is left on")
    assert "not clean" not in plain
