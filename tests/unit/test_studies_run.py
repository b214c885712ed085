"""Every study still runs: its smallest sample is asked, and makes the page whose head the stored one has.

What the thousands of a whole run say stands on those pages; here one or two corners go through the same lines.
"""

from __future__ import annotations

import importlib
import re
import sys
from inspect import isfunction
from pathlib import Path

import numpy as np
import pytest

from sim.corner import behind_reading
from sim.parts.case import Case
from tests.studies import benches_with_foil

STUDIES = Path(__file__).parents[1] / "studies"
pytestmark = [
    pytest.mark.usefixtures("hardly_any_seatings", "fewest_draws", "few_corners"),
    pytest.mark.filterwarnings("ignore::RuntimeWarning"),  # means of one or of none
]


def bare_face(study, folder, patch):
    patch(study, HERE=folder, DIALS_UM=study.DIALS_UM[:1], PLACES=(8, 12))
    study.main(1)


def causes(study, folder, patch):
    patch(study, __file__=str(STUDIES / "causes.py"), LEAST=1, OUTSIDE={})
    corner = study.population.corners(folder, 3, 1)[0]
    plan = study.PLANS[study.PLAN_OF[study.RANKING]](study.best_move(corner.studs))
    assert study.ask(3, 0, corner, study.read_again(3, 0, corner, plan), False)
    study.main(["1", "3", "--folder", str(folder), "--note", str(folder / "causes.md"), "--parts"])


def chalk(study, folder, patch):
    patch(study, SHIFTED=study.SHIFTED[:1])
    return [*study.study(4)][-1]


def clamp_elsewhere(study, folder, patch):
    patch(study.cars, PART_SETS=dict([*study.cars.PART_SETS.items()][:1]))
    patch(study.study, CLAMPINGS=study.study.CLAMPINGS[:1])
    patch(behind_reading, CORNERS=24, LEAST_ALIKE=3.0)
    study.main(3)


def clamp_reading(study, folder, patch):
    patch(study, CLAMPINGS=study.CLAMPINGS[:1], GEOMETRIES=study.GEOMETRIES[:1], TOLD=40)
    patch(study, MIXTURES={name: dict.fromkeys(groups, 40) for name, groups in study.MIXTURES.items()})
    patch(behind_reading, CORNERS=24, LEAST_ALIKE=3.0)
    study.main(5, 3)


def doors(study, folder, patch):
    patch(study, CORNERS=1)
    study.main(["1", "3", "--folder", str(folder), "--walks", "1", "--turns", "1"])


def exercises(study, folder, patch):
    patch(study, PLANS=study.PLANS[:1])
    study.main(["1"])


def foil(study, folder, patch):
    patch(study, BODIES=1, CORNERS=study.CORNERS[:1])
    patch(benches_with_foil, PRESET="fast")
    patch(study.foil_forecast, SOLVED=4)
    return study.HEAD.format(matched=2, shifted=0, seed=5) + study.group(study.MATCHED, 2, 5).row("matched")


def forecast_band(study, folder, patch):
    rough = study.Fineness(angles=36, rings=2, release_angles=4, tolerance_mm=1.0e-3)
    patch(study, DRAWS=3, MATCHED=1, SHIFTED=1, GROUPS=dict([*study.GROUPS.items()][:2]), TRUE=rough)
    return study.table(dict(study.at_corner(5, 0)), 1)


def forecast_ideal(study, folder, patch):
    patch(study, EACH=4, GROUPS=dict([*study.GROUPS.items()][:2]))
    study.main(5, 1)


def high_spot(study, folder, patch):
    patch(study, GROUPS=dict([*study.GROUPS.items()][:2]), READ_UM=1.0)
    return study.study(4, 3)


def index_residual(study, folder, patch):
    patch(study, NEAR=4, SHIFTED=study.SHIFTED[:1])
    return study.study(8, 8, folder / "index_residual.md")


def memory(study, folder, patch):
    patch(study, MATCHED=2, TOLD=8)
    patch(study.population, SAID_KM=study.TOLD_AT[:1] * len(study.population.SAID_KM))
    case = Case()
    told = [study.learn(case, study.TOLD_AT[:1], 40, give_or_take=known)[0] for known in (10.0, study.KM_GIVE_OR_TAKE)]
    libraries = {(one.give_or_take, one.distance_km): one for one in told}
    return study.table({"matched": study.of_group(case, "matched", libraries)[0]}, 1.0)


def mountings(study, folder, patch):
    return study.study(1)


def odd_turns(study, folder, patch):
    study.main(["4", "3"])


def own_model(study, folder, patch):
    return study.page(2)


def pad_cells(study, folder, patch):
    patch(study, ON=("rough",), BEST_MM=8.0, BEST_A_TURN=48)
    patch(sys, argv=["", "1"])
    study.main()


def slips(study, folder, patch):
    patch(study, LENGTHS=(8,), SIZES=study.SIZES[:1], TRIES=20, FEWEST=3)
    return [*study.study(30, 3)][-1]


def stack_fit(study, folder, patch):
    patch(study, TRUE=16, TABLED=32, HEIGHTS=study.HEIGHTS[:1], GROUPS=study.GROUPS[:1])
    study.main(2)


def stack_loosest(study, folder, patch):
    patch(study, KEYS=study.KEYS[:1])
    study.main(2, 64)


def ten_corners(study, folder, patch):
    patch(study, TEN=study.TEN[:1])
    study.main(str(folder))
    return (folder / f"corner_{study.TEN[0].name}.csv").read_text(encoding="utf-8")


def units(study, folder, patch):
    patch(sys, argv=["", "1"])
    study.main()


def unsettled_dirt(study, folder, patch):
    patch(study, EACH=1, GEOMETRIES=study.GEOMETRIES[:1])
    study.main(5)


def wear_across_pad(study, folder, patch):
    rough = study.Fineness(angles=36, tolerance_mm=4.0e-3)
    patch(study, RUNOUTS_MM=(0.05,), ARCS_DEG=(50.0,), EARLY_KM=np.array([2.0]), LATE_KM=np.array([10.0]), FINE=rough)
    patch(study, LAYOUTS={name: rough for name in [*study.LAYOUTS][:2]})
    return study.table()


def wheel_band(study, folder, patch):
    groups = ("matched", *study.SAID)
    patch(study.wheels_as_fitted, GROUPS=groups)
    patch(study, RINGS=dict.fromkeys((*groups, study.BEYOND), 2))
    study.main(5, 1)


def whole_turn_slips(study, folder, patch):
    patch(study, KINDS=dict.fromkeys([*study.KINDS][:1], 1.0), SLIPS=dict([*study.SLIPS.items()][:1]))
    study.main(["1", "3"])


SMALL = {name: made for name, made in list(globals().items()) if isfunction(made) and (STUDIES / f"{name}.py").exists()}


@pytest.mark.parametrize("name", SMALL)
def test_its_smallest_sample_makes_its_page(name, tmp_path, monkeypatch, capsys):
    study = importlib.import_module(f"tests.studies.{name}")

    def patch(what, **values):
        for key, value in values.items():
            monkeypatch.setattr(what, key, value)

    stored = (STUDIES / f"{name}.md") if (STUDIES / f"{name}.md").exists() else None
    kept = stored and stored.read_bytes()
    patch(study, __file__=str(tmp_path / f"{name}.py"))
    if hasattr(study, "TABLE"):
        patch(study, TABLE=tmp_path / f"{name}.md")
    text = SMALL[name](study, tmp_path, patch)
    page, said = tmp_path / f"{name}.md", capsys.readouterr().out
    text = text or (page.read_text(encoding="utf-8") if page.exists() else said)
    if stored is None:
        assert re.search(r"^mounted,", text, re.MULTILINE)
        return
    assert stored.read_bytes() == kept
    assert re.search(r"^#.*", text, re.MULTILINE)[0] == kept.decode().partition("\n")[0]
    assert re.search(r"^\|.*\d.*\|$", text, re.MULTILINE)


def test_no_study_is_left_out():
    run = {path.stem for path in STUDIES.glob("*.py") if "__main__" in path.read_text(encoding="utf-8")}
    assert run == set(SMALL)
