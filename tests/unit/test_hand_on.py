"""What ``causes`` hands on: job card, overlay, pins, a case file that ``seat`` computes; what is refused."""

import json
import shutil
from pathlib import Path

import pytest

import demo_geometry
from scenes.command.app import main
from sim import chain
from sim.causes import finding as engine
from sim.causes import names
from sim.chain import compute
from sim.files.dial_readings import to_csv
from tests.unit import hand_made_finding as made
from tests.unit.causes_corner import Corner, dirt_orders, orders

pytestmark = pytest.mark.usefixtures("fewest_seatings", "few_wheels")

DEMO = str(Path(demo_geometry.__file__).parent / "demo_dirty.toml")


@pytest.fixture(autouse=True)
def _coarse_pins(monkeypatch):
    """Pins are drawn of a coarser seating: that they come is asked."""

    def coarsely(case, km, preset="fast", *more, **named):
        return compute(case, km, preset, *more, **named)

    monkeypatch.setattr(chain, "compute", coarsely)


@pytest.fixture
def weighed(monkeypatch):
    """Answer with a finding written by hand: what is handed on does not depend on who weighed."""

    def answer(found):
        monkeypatch.setattr(engine, "weigh", lambda *_, **__: found)

    return answer


def causes(*more):
    return main(["causes", str(made.FOUR), "--case", DEMO, *map(str, more)])


def test_a_case_of_the_leading_cause_is_one_command_from_seat(weighed, tmp_path, capsys):
    weighed(made.finding())
    target = tmp_path / "lead.toml"
    assert causes("--write-case", target) == 0
    text = target.read_text(encoding="utf-8")
    assert "# One cause alone: dirt on the hub (found" in text
    capsys.readouterr()
    assert main(["seat", str(target), "--json", "--preset", "fast"]) == 0
    runout = json.loads(capsys.readouterr().out)["lateral_runout_um"]["outboard"]
    assert runout == pytest.approx(61.0, rel=0.12)  # sized on orders 1 .. 3 by another preset; TIR has all orders
    assert causes("--write-case", target) == 2  # never over another file
    assert target.read_text(encoding="utf-8") == text


def test_an_open_finding_is_written_as_what_it_is(weighed, tmp_path):
    weighed(made.open_finding())
    assert causes("--write-case", tmp_path / "lead.toml") == 0
    assert "the most probable, not found" in (tmp_path / "lead.toml").read_text(encoding="utf-8")


def test_a_cause_that_no_case_holds_is_refused_and_the_card_still_comes(weighed, tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(shutil, "which", lambda _: None)  # its page is asked for, printed it is below
    weighed(made.finding(finding=names.WARP, ranked=(made.ranked(names.WARP, 0.9),)))
    assert causes("--out", tmp_path / "out", "--write-case", tmp_path / "lead.toml") == 3
    assert "warp: no key of a case file holds it" in " ".join(capsys.readouterr().err.split())
    assert (tmp_path / "out" / "job_card.html").exists()
    assert not (tmp_path / "lead.toml").exists()


@pytest.mark.parametrize("bad", [["--write-case", "lead.csv"], ["--out", made.FOUR], ["--write-case", "."]])
def test_where_nothing_can_be_written_nothing_is_weighed(weighed, monkeypatch, tmp_path, capsys, bad):
    monkeypatch.chdir(tmp_path)
    weighed(None)
    assert causes(*bad) == 2
    assert "Traceback" not in capsys.readouterr().err


def test_without_a_case_and_from_sweeps_nothing_is_handed_on(tmp_path, capsys):
    assert main(["causes", str(made.FOUR), "--out", str(tmp_path / "out")]) == 2
    sweeps = tmp_path / "chalk.csv"
    sweeps.write_text(
        "# studs: 5\n# sweep: high and low spot\n# turned: counter-clockwise\n"
        "trace,mount,studs_turned,angle_deg,reading_um,state\nmounted,1,0,270,80,cleaned\nmounted,1,0,90,0,cleaned\n",
        encoding="utf-8",
    )
    assert main(["causes", str(sweeps), "--case", DEMO, "--write-case", str(tmp_path / "x.toml")]) == 2
    assert "high and low spots rank no causes" in " ".join(capsys.readouterr().err.split())


def test_where_nothing_prints_the_page_still_comes(weighed, tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(shutil, "which", lambda _: None)
    weighed(made.open_finding(none_fits=True, do=names.READ_AGAIN, cannot_tell=()))
    assert causes("--out", tmp_path / "out", "--json") == 0
    told = capsys.readouterr()
    assert json.loads(told.out)["none_fits"] is True
    assert "not printed" in told.err
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["job_card.html", "overlay.svg"]


@pytest.mark.browser
@pytest.mark.gl
def test_from_readings_of_a_dirty_hub_to_a_printed_card(tmp_path, capsys):
    """Nothing made by hand: dirt seated by the elastic model, read by a dial, weighed, on paper and round the rim."""
    if shutil.which("chromium") is None:
        pytest.skip("needs the chromium browser")
    dirt = dirt_orders(angle_deg=130.0, arc_deg=25.0, inner_radius_mm=58.0, outer_radius_mm=66.0, height_um=80.0)
    corner = Corner(4, between=dirt, rotor=orders(6.0)).mounted(0).mounted(2).mounted(0, "cleaned")
    table, case = tmp_path / "readings.csv", tmp_path / "corner.toml"
    table.write_text(to_csv(corner.readings()), encoding="utf-8")
    case.write_text('title = "A corner"\n', encoding="utf-8")
    out, lead = tmp_path / "out", tmp_path / "lead.toml"
    assert main(["causes", str(table), "--case", str(case), "--out", str(out), "--write-case", str(lead)]) == 0
    assert "Found: dirt on the hub" in " ".join(capsys.readouterr().out.split())
    assert sorted(path.name for path in out.iterdir()) == ["job_card.html", "job_card.pdf", "overlay.svg", "pins.png"]
    assert 'on = "hub"' in lead.read_text(encoding="utf-8")
