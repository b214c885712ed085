"""Stud positions are withheld by machine, and drawn nowhere, wherever the words show none of them."""

import json

import pytest

from scenes.words import with_play
from sim.__main__ import main as numbers_alone
from sim.bench.studs_withheld import FIELDS, WITHHELD
from tests.unit.test_discard import DEMO, told

pytestmark = pytest.mark.usefixtures("fewest_seatings", "fewest_draws", "fewest_corners", "few_wheels")
HUB, ROTOR = DEMO / "readings_hub.csv", DEMO / "readings_rotor.csv"


def with_head(path, line, to):
    to.write_text(line + path.read_text(encoding="utf-8"), encoding="utf-8")
    return to


def rotor_of(thickness_um, to):
    rows = "".join(f"thickness,1,0,{a},{thickness_um},as found,\n" for a in range(0, 360, 30))
    to.write_text(ROTOR.read_text(encoding="utf-8") + rows, encoding="utf-8")
    return to


def own_case(lines, to):
    to.write_text(f'base = "rear_solid_300"\n{lines}\n', encoding="utf-8")
    return to


def test_index_on_a_hub_with_play_answers_no_stud_by_machine_and_draws_none(capsys, tmp_path):
    """Words showed no studs; ``--json`` had what each should read, and ``--out`` drew it."""
    played = with_head(ROTOR, "# bearing: play\n", tmp_path / "rotor.csv")
    asked = ("index", "--hub", HUB, "--rotor", played)
    answer = json.loads(told(capsys, *asked, "--json")[1])
    assert {key for key in FIELDS if answer[key] is not None} == set()
    assert answer[WITHHELD] == with_play.NO_ROAD
    assert answer["read_um"] == 90.0
    assert told(capsys, *asked, "--out", tmp_path / "drawn")[0] == 0
    assert not list(tmp_path.glob("drawn/*"))
    sound = json.loads(told(capsys, "index", "--hub", HUB, "--rotor", ROTOR, "--json")[1])
    assert WITHHELD not in sound
    assert all(sound[key] is not None for key in FIELDS)


def test_a_rotor_that_is_scrap_has_no_studs_under_its_line(capsys, tmp_path):
    """ "Scrap, renew it", and below it which stud it would run out least on."""
    worn = rotor_of(10300, tmp_path / "rotor.csv")
    case = own_case("[rotor]\nminimum_thickness_mm = 10.4", tmp_path / "case.toml")
    asked = ("index", case, "--hub", HUB, "--rotor", worn)
    out = told(capsys, *asked)[1]
    assert "scrap" in out
    assert "painted hole on" not in out
    assert "Indexing would gain" not in out
    answer = json.loads(told(capsys, *asked, "--json")[1])
    assert (answer["bands"], "scrap" in answer[WITHHELD]) == (None, True)
    # The part set's figure is not the rotor's own stamp: over that the studs hold.
    asked = ("index", "rear_solid_300", "--hub", HUB, "--rotor", rotor_of(9900, tmp_path / "thin.csv"))
    assert "painted hole on" in told(capsys, *asked)[1]


@pytest.mark.parametrize("how", ["case", "table"])
def test_the_numeric_half_says_what_comes_before_a_stud(how, capsys, tmp_path):
    """A nut off, and ``python -m sim index`` named the best stud with no word of it."""
    if how == "case":
        case = own_case("[studs]\ntorque_nm = [110, 110, 0, 110, 110]", tmp_path / "case.toml")
        asked, word = ["index", str(case)], "nut"
    else:
        played = with_head(ROTOR, "# bearing: play\n", tmp_path / "rotor.csv")
        asked, word = ["index", "--hub", str(HUB), "--rotor", str(played)], "has play"
    assert numbers_alone([*asked, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert word in answer["leads"][0]
    assert word in answer[WITHHELD]
    assert all(answer[key] is None for key in FIELDS)
    assert numbers_alone(asked) == 0
    assert capsys.readouterr().out.startswith(answer["leads"][0])
    assert numbers_alone(["index", "--hub", str(HUB), "--rotor", str(ROTOR), "--json"]) == 0
    sound = json.loads(capsys.readouterr().out)
    assert (sound["leads"], sound["best"], WITHHELD in sound) == ([], 2, False)


def test_a_worn_rotor_off_a_hub_with_play_is_driven_no_road(capsys, tmp_path):
    """Its lead said that no reading counts, and 30 000 km stood below it."""
    played = with_head(DEMO / "readings_worn_disc.csv", "# bearing: play\n", tmp_path / "worn.csv")
    thickness = "".join(
        line for line in played.read_text(encoding="utf-8").splitlines(keepends=True)
        if line.startswith(("#", "trace", "thickness"))
    )  # fmt: skip
    alone = tmp_path / "thickness.csv"
    alone.write_text(thickness, encoding="utf-8")
    for table in (played, alone):
        asked = ("drive", "rear_solid_300", "--worn", table)
        code, out, _ = told(capsys, *asked)
        assert (code, with_play.NO_ROAD in " ".join(out.split())) == (0, True)
        assert "0 km" not in out
        answer = json.loads(told(capsys, *asked, "--json")[1])
        assert (answer["do"], answer["next"]) == ("bearing", None)
        assert "km_to_limit" not in answer
    assert "Nothing is written" in told(capsys, *asked, "--out", tmp_path / "run")[1]
    assert not list(tmp_path.glob("run/*"))
