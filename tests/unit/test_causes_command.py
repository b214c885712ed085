"""The command that ranks causes, and the file of what is held likely beforehand."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from scenes.command.app import main
from sim.causes import names, priors_file
from sim.causes.priors import KEY_OF, REASONS, Priors
from sim.errors import BadInput
from sim.files.dial_readings import to_csv
from tests.unit.causes_corner import Corner, orders

pytestmark = pytest.mark.usefixtures("fewest_seatings")


@pytest.fixture
def table(tmp_path):
    path = tmp_path / "readings.csv"
    corner = Corner(4, rotor=orders(40.0)).mounted(0).mounted(2).mounted(2, "cleaned").mounted(2, "cleaned again")
    path.write_text(to_csv(corner.readings()))
    return str(path)


@pytest.fixture
def case(tmp_path):
    path = tmp_path / "corner.toml"
    path.write_text('title = "A corner"\n')
    return str(path)


def test_json_adds_the_ranking_to_what_stands_there(table, case, capsys):
    assert main(["causes", table, "--json"]) == 0
    before = json.loads(capsys.readouterr().out)
    assert main(["causes", table, "--case", case, "--json"]) == 0
    after = json.loads(capsys.readouterr().out)
    assert before.keys() < after.keys()
    alone, led = before.pop("leads"), after.pop("leads")
    asked = [(one.pop("next"), one.pop("next_studs_turned")) for one in (before, after)]  # each by its own act
    assert after["do"] != names.RENEW or asked[1] == (None, None)
    assert {key: after[key] for key in before} == before
    assert alone == [before["words"]["next"]]  # what the readings alone order; with a case what it orders itself
    assert led[0].startswith(("Renew", "Next: ", "The runout is done", "Clean, then"))
    assert abs(sum(one["probability"] for one in after["ranked"]) - 1.0) < 1e-9
    assert after["finding"] == names.ROTOR
    assert after["cannot_tell"] == []
    assert after["discard"] == {"thickness_mm": 10.0, "over_mm": None, "stated": False}  # nobody read the thickness
    assert [one["what"] for one in after["after"]] == ["as it is", "cleaned", "indexed", "cleaned and indexed"]
    assert after["priors"]["rotors_own_runout"]["odds"] == Priors().rotors_own_runout.odds


def test_json_names_no_next_reading_where_the_words_renew_a_part(case, tmp_path, capsys):
    """A rotor over its thickness limit on a hub over its own: `next` was "another stud", by the runout alone."""
    path = tmp_path / "both.csv"
    made = Corner(5, hub=orders(80.0), worn=orders(30.0)).mounted(0).thickness().mounted(0, "cleaned")
    path.write_text(to_csv(made.bare().bare().bare().readings()))
    for more, words in (((), "Renew the rotor"), (("--case", case), "Hub and bearing: ")):
        assert main(["causes", str(path), *more, "--json"]) == 0
        told = json.loads(capsys.readouterr().out)
        assert words in told["leads"][-1]
        assert (told["next"], told["next_studs_turned"]) == (None, None)


def test_beside_a_nut_that_was_loose_json_holds_no_order_of_the_readings_alone(table, case, capsys):
    Path(case).write_text('title = "A corner"\n[studs]\nroad_torque_nm = [30, 140, 140, 140, 140]\n')
    assert main(["causes", table, "--case", case, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["do"] == names.RETORQUE
    assert told["leads"] == [told["words"]["next"]]
    assert told["words"]["next"].startswith("The nuts first")


def test_the_screen_leads_with_what_to_do(table, case, capsys):
    assert main(["causes", table, "--case", case]) == 0
    lines = [line.strip() for line in capsys.readouterr().out.splitlines() if line.strip()]
    assert lines[2].startswith(("Renew", "Next: ", "The runout is done", "Clean, then"))
    assert "rotor's own runout" in " ".join(lines[3:8])


def test_without_a_case_it_says_what_a_case_would_add(table, capsys):
    assert main(["causes", table]) == 0
    assert "--case" in capsys.readouterr().out


def test_what_only_a_ranking_knows_needs_a_case(table, capsys):
    assert main(["causes", table, "--km-since-fitting", "100"]) == 2
    assert "--case" in capsys.readouterr().err


def test_another_cars_studs_are_refused(table, tmp_path, capsys):
    other = tmp_path / "other.toml"
    other.write_text("[studs]\ncount = 4\n")
    assert main(["causes", table, "--case", str(other)]) == 2
    assert "studs" in capsys.readouterr().err


def test_angles_in_radians_and_two_traces_in_one_are_refused(tmp_path, case, capsys):
    good = to_csv(Corner(4, rotor=orders(40.0)).mounted(0).readings())
    head = [line for line in good.splitlines() if not line.startswith("mounted")]
    rows = [line for line in good.splitlines() if line.startswith("mounted")]
    radians = [f"mounted,1,0,{k * 0.5236:.4f},{k},as found,,nuts and spacers" for k in range(12)]
    merged = [*rows, *rows[:5]]
    for name, lines, word in (("radians", radians, "radians"), ("merged", merged, "was read in line")):
        path = tmp_path / f"{name}.csv"
        path.write_text("\n".join([*head, *lines]) + "\n")
        assert main(["causes", str(path), "--case", case]) == 2
        assert word in capsys.readouterr().err


def test_prior_assumptions_are_written_and_read_back(tmp_path, table, case, capsys):
    path = tmp_path / "priors.toml"
    assert main(["new", "priors", str(path)]) == 0
    assert priors_file.read(path) == Priors()
    path.write_text(path.read_text().replace("dirt_on_the_hub = 0.35", "dirt_on_the_hub = 0.6"))
    capsys.readouterr()
    assert main(["causes", table, "--case", case, "--priors", str(path), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["priors"]["dirt_on_the_hub"] == 0.6


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("spigt = 3\n", "did you mean spigot"),
        ("[spigot]\nodds = 2\n", "out of range"),
        ("[spigot]\nusual_um = 30.0\n", "no larger"),
        ("imprint_um = [1]\n", "no 2 numbers"),
        ("spigot = 3\n", "no table"),
        ("dirt_on_the_hub = nan\n", "no number"),
    ],
)
def test_slips_in_that_file_are_named_with_their_line(tmp_path, text, word):
    path = tmp_path / "priors.toml"
    path.write_text("# mine\n" + text)
    with pytest.raises(BadInput, match=word) as told:
        priors_file.read(path)
    assert all(fault.line >= 2 for fault in told.value.faults)


def test_every_cause_has_a_prior_and_every_prior_its_reason():
    assert {KEY_OF[cause] for cause in names.CAUSES} <= set(REASONS)
    assert all("judgement" in reason for reason in REASONS.values())
    assert all(0.0 < Priors().odds(cause) < 0.9 for cause in names.CAUSES)


@pytest.mark.parametrize(
    ("thick_mm", "states", "scrap"),
    [
        (8.1, "[rotor]\nminimum_thickness_mm = 10.0\n", True),
        (10.003, "[rotor]\nminimum_thickness_mm = 10.0\n", True),
        (11.5, "[rotor]\nminimum_thickness_mm = 10.0\n", False),
        (8.1, 'title = "By the part set"\n', False),
    ],
)
def test_a_rotor_under_its_discard_thickness_is_scrap_whatever_it_runs_out(
    tmp_path, table, thick_mm, states, scrap, capsys
):
    path, head = tmp_path / "thin.csv", "thickness,3,2"
    rows = [f"{head},{at},{1000 * thick_mm + (5 if at < 180 else 0):.0f},cleaned" for at in range(0, 360, 30)]
    text = Path(table).read_text()
    columns = next(line for line in text.splitlines() if line.startswith("trace,")).split(",")
    assert columns[:6] == ["trace", "mount", "studs_turned", "angle_deg", "reading_um", "state"]
    more = "," * (len(columns) - 6)
    path.write_text(text + "\n".join(row + more for row in rows) + "\n")
    case = tmp_path / "mine.toml"
    case.write_text(states)
    assert main(["causes", str(path), "--json"]) == 0
    thinnest = json.loads(capsys.readouterr().out)["thinnest"]
    assert thinnest["value_mm"] == pytest.approx(thick_mm)
    assert 0.004 < thinnest["doubt_mm"] < 0.01
    assert main(["causes", str(path), "--case", str(case)]) == 0  # the worst verdict has its page and its card too
    out = capsys.readouterr().out
    assert (
        "Both rotors of the axle new, each on a clean hub; read after fitting, in a new table" in " ".join(out.split())
    ) is scrap
    if "title" in states:  # no stamp is known: it comes first, and the rest is answered
        told = " ".join(out.split())
        first = (
            "Its thickness comes first: 8.10 mm is under 10 mm, the discard thickness of the part set and not of your"
        )
        assert first in told
        assert told.index(first) < told.index("rotor's own runout")


def test_a_part_set_by_its_name_can_be_handed_on(table, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["causes", table, "--case", "rear_solid_300", "--write-case", "lead.toml"]) == 0
    capsys.readouterr()
    assert main(["check", "lead.toml"]) == 0
