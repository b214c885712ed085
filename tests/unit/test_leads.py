"""The numeric half says what comes before its figures too, and tells no kilometre beside it."""

import json
from types import SimpleNamespace

import pytest

from sim.__main__ import lines, main
from sim.files.case_file import case_from_text
from sim.leads import CLEARS_NOTHING, leads, withheld
from sim.parts.case import Case

BASE = 'base = "rear_solid_300"\n'
THIN = "[rotor]\nthickness_mm = 10.0\nminimum_thickness_mm = 10.0\n"


@pytest.mark.parametrize(
    ("stated", "spigot", "says"),
    [
        (
            "",
            {"home": "home", "wedged": True},
            "The spigot first: the rotor was drawn home over scale, which is damage",
        ),
        ("", {"home": "jammed", "wedged": True}, "The spigot first: the rotor is jammed, not home"),
        ("[studs]\ntorque_nm = [140, 0, 140, 140, 140]\n", None, "The nuts first: no nut is on stud 2"),
        ("[studs]\nroad_torque_nm = [140, 140, 330, 140, 140]\n", None, "stud 3"),
        (THIN, None, "The rotor first: 10.00 mm is the discard thickness, nothing is left to wear: scrap"),
    ],
)
def test_what_comes_before_every_figure_is_said_and_no_kilometre_is_told_beside_it(stated, spigot, says):
    """`python -m sim drive` of a rotor drawn home over scale: "disc_life_km: 67931", "warnings: []"."""
    (first,) = leads(SimpleNamespace(case=case_from_text(BASE + stated), spigot=spigot))
    assert says in first
    assert first.endswith(CLEARS_NOTHING)
    taken = withheld((first,))
    assert {taken[key] for key in ("km_to_limit", "probability_never", "disc_life_km", "pad_life_km")} == {None}
    assert taken["limit_withheld"] == first
    assert lines({"title": "x", "leads": [first]}) == [first, "title: x"]


def test_nothing_comes_before_the_figures_of_a_sound_corner():
    for spigot in (None, {"home": "home", "wedged": False}):
        assert leads(SimpleNamespace(case=Case(), spigot=spigot)) == ()
    assert withheld(()) == {}


def test_the_commands_of_the_numeric_half_say_it(tmp_path, capsys):
    path = tmp_path / "corner.toml"
    path.write_text(BASE + THIN, encoding="utf-8")
    assert main(["seat", str(path), "--preset", "fast"]) == 0
    assert capsys.readouterr().out.startswith("The rotor first: 10.00 mm is the discard thickness")
    assert main(["seat", str(path), "--preset", "fast", "--json"]) == 0
    assert "scrap" in json.loads(capsys.readouterr().out)["leads"][0]
    path.write_text(BASE + "[studs]\nroad_torque_nm = [140, 90, 140, 60, 140]\n", encoding="utf-8")
    assert main(["drive", str(path), "--preset", "fast", "--km", "500", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["leads"][0].startswith("The nuts first: as driven, stud 2 at 90 N m")
    assert (told["disc_life_km"], told["disc_life_withheld"]) == (None, told["leads"][0])
