"""What `index` says by a case alone: no vain move, thickness before the rotor comes off, the cautions of that work."""

from __future__ import annotations

import json

import pytest

from scenes.words import to_do
from sim.bench import cures
from sim.bench.after_indexing import Band
from sim.bench.no_stud_passes import no_stud_passes
from sim.bench.stud_position import index_positions
from sim.files.case_file import case_from_text
from tests import command, fakes

BASE = 'base = "rear_solid_300"\n'


def asked(capsys, path, tables):
    path.write_text(BASE + tables)
    answer = json.loads(command.run(capsys, "index", path, "--json").stdout)
    return " ".join(command.run(capsys, "index", path).stdout.split()), answer


def test_a_rotor_that_no_stud_brings_under_its_limit_is_not_moved(tmp_path, capsys):
    """110 um of its own: "put the hole that sits on stud 1 on stud 5" for 85, where 50 is the limit."""
    text, answer = asked(capsys, tmp_path / "own.toml", "[rotor]\nown_runout_um = 110.0\n")
    assert not answer["move"]
    assert [cure["name"] for cure in answer["cures"]] == ["replace the rotor"]
    assert "Take it off" not in text
    assert "no stud brings it under its limit of 50" in text
    assert "a stopgap at most" in text
    assert "Before a rotor is bought for its runout both faces are cleaned once more and it is read again" in text


@pytest.mark.parametrize(("tables", "moved"), [("own_runout_um = 110.0\n", False), ("own_runout_um = 60.0\n", True)])
def test_where_no_stud_passes_the_list_moves_it_to_none_either(tables, moved):
    """ "No stud brings it under its limit" in `index`, "index the rotor by one or two holes" in the list of `seat`."""
    run = fakes.run()
    run.case = case_from_text(f"{BASE}[rotor]\n{tables}")
    assert no_stud_passes(run.case) is not moved
    told = " ".join(step.what for step in to_do.next_steps(run))
    assert ("index the rotor by one or two holes" in told) is moved
    # What no second stud was read on tells hub from rotor by no high spot.
    assert ("then hub or rotors, as the high spot goes" in told) is moved
    assert ("then on another stud, to tell hub from rotors" in told) is not moved


@pytest.mark.parametrize(("tables", "off"), [("[[debris]]\nangle_deg = 36.0\nheight_um = 80.0\n", True), ("", False)])
def test_a_rotor_that_comes_off_is_read_by_micrometer_before_and_has_the_cautions_of_that_work(
    tables, off, tmp_path, capsys
):
    text, answer = asked(capsys, tmp_path / "case.toml", tables)
    assert (answer["cures"][0]["name"] == "leave it on") is not off
    assert ("Before it comes off its thickness is read by micrometer, and its stamp" in text) is off
    assert ("the work in its order, with its cautions: trueseat seat CASE" in text) is off
    for caution in (
        "car on stands rated for the load",
        "Hang the caliper from a hook",
        "Pump the pedal until it is firm",
    ):
        assert caution in text, caution  # left on, its thickness is still read: wheel and caliper come off for that
    assert ("Cracked means scrap" in text) is off


@pytest.mark.parametrize(("band", "move"), [(Band(85.0, 76.0, 94.0), False), (Band(55.0, 46.0, 64.0), True)])
def test_a_move_is_ordered_where_it_may_pass(band, move):
    found = index_positions(13.0j, 55.0 + 0.0j, 5)
    known = cures.Found(now_um=112.0, doubt_um=11.0, cleaned=True, after=band)
    worth = cures.Worth(27.0, 26.0, "worth it")
    assert cures.passes_nowhere(band, 50.0) is not move
    names = [cure.name for cure in cures.order_of_cures(found, 50.0, worth, None, None, known)]
    assert ("index" in names) is move
    assert names[-1] == "replace the rotor"
