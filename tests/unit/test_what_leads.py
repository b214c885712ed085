"""What a case states of a corner leads in every command that says what is done: states against commands."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache, partial
from itertools import product
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

import demo_geometry
from scenes.command import tables_causes
from scenes.command.road_options import Measured
from scenes.plots import section
from scenes.words import acts, findings, to_do, what_leads, work_list
from scenes.words import steps as own_steps
from scenes.words.taken_in import pieces
from sim import chain
from sim.bench import stud_position
from sim.bench.fitted_runout import Memory
from sim.bench.questions import NOT_BOUGHT, Remains
from sim.causes import names, one_act
from sim.corner.clampings import clampings
from sim.corner.driven import Driven, MountedReading
from sim.corner.road_state import NO_NUT, as_driven
from sim.corner.seated import seat_corner
from sim.errors import NotFit
from sim.files.case_file import case_from_text
from sim.parts.case import Case
from sim.parts.spigot_room import hindrance
from sim.parts.thickness import Uneven
from sim.wear.asked import Settings
from sim.wear.brake import COARSE
from sim.wear.forecast import drive
from tests import command, fakes
from tests.unit.hand_made_finding import FOUR, finding

BASE = 'base = "rear_solid_300"\n'
HELD = "[studs]\ntorque_nm = 110\n"
#: State, what the case says, how the line that leads begins or what it holds.
STATES = {
    "caliper": (HELD + "[caliper]\nsticking_inboard_n = 150\n", "The caliper first: as given it sticks"),
    "hub": (HELD + "[hub]\nface_runout_um = 60\n", "Hub and bearing first, no rotor and no stud cures a hub"),
    "bearing": (HELD + "[hub]\nbearing_end_float_um = 60\n", "The bearing first: its end float of 60"),
    "bolts": (
        HELD + 'fastener = "wheel bolt"\nthread_engagement_mm = 4\n',
        "The wheel bolts first: with the wheel on 4.0 mm of their thread",
    ),
    "studs": ("[studs]\nroad_torque_nm = [110, 110, 350, 110, 110]\n", "The studs first: stud 3: preload above"),
    "nut on the road": (HELD + "road_torque_nm = [110, 110, 30, 110, 110]\n", "stud 3 at 30 N m where others have 110"),
    "nut as read": ("[studs]\ntorque_nm = [110, 110, 30, 110, 110]\n", "stud 3 at 30 N m where others have 110"),
    "uneven": (HELD + "[rotor]\nown_thickness_variation_um = 30\n", "its thickness varies by 30 µm, over its limit"),
    "stamp": (
        HELD + "[rotor]\nthickness_mm = 9.02\nminimum_thickness_mm = 9.0\n",
        "9.02 mm at its thinnest, 0.02 mm above its discard thickness of 9 mm",
    ),
    "pads": (
        HELD + "[pads]\nthickness_mm = 1.5\n",
        "1.5 mm of lining is no more than the 2 mm at which pads are changed",
    ),
    "bore": (HELD + "[rotor]\nbore_diameter_mm = 72.6\n", "The part first: bore of 72.6 mm and spigot of 64.94"),
}
SLACK = "[studs]\ntorque_nm = 2.0\n"
SCREW = HELD + 'clamped_by = "screw only"\n'
#: Scale on the spigot, and how its line begins.
SCALE = {
    "jams": (
        "[[spigot_scale]]\nangle_deg = 180\narc_deg = 120\nheight_um = 115\nto_face_mm = 4\n",
        "The spigot first: scale on the spigot makes the bore 47 µm too tight",
    ),
    "leaves room": (
        "[[spigot_scale]]\nangle_deg = 180\narc_deg = 60\nheight_um = 30\n",
        "There is scale on the spigot",
    ),
}
#: What stands beside it, of which something orders a torque where there is none.
OVER_SCALE = {
    "hand tight": SLACK,
    "one off": "[studs]\ntorque_nm = [110, 110, 0, 110, 110]\n",
    "uneven": STATES["nut as read"][0],
    "uneven on the road": STATES["nut on the road"][0],
    "all slack on the road": HELD + "road_torque_nm = 5\n",
    "past proof": STATES["studs"][0],
    "bolts": STATES["bolts"][0],
    "caliper": STATES["caliper"][0],
    "bearing": STATES["bearing"][0],
    "thin": SLACK + "[rotor]\nthickness_mm = 9.6\n",
    "scrap": SLACK + "[rotor]\nthickness_mm = 9.6\nminimum_thickness_mm = 10.0\n",
    "thin, past proof": STATES["studs"][0] + "[rotor]\nthickness_mm = 9.6\n",
    "thin, bolts": STATES["bolts"][0] + "[rotor]\nthickness_mm = 9.6\n",
}
COMMANDS = ("seat", "drive", "report", "face", "clamp", "duty", "memory", "remains", "index", "causes", "sweeps")
SWEEPS = (
    "# studs: 5\n# sweep: high and low spot\n# turned: counter-clockwise\n"
    "trace,mount,studs_turned,angle_deg,reading_um,state\nmounted,1,0,0,40,cleaned\nmounted,1,0,180,0,cleaned\n"
)
WORN = Path(demo_geometry.__file__).parent / "readings_worn_disc.csv"
#: A table that was read by micrometer counts for what the rotor varies by, not the case.
READ = {("uneven", "memory"), ("uneven", "remains")}
#: No forecast without a road: these refuse, and name the nut.
REFUSED = {("nut as read", "drive"), ("nut as read", "duty")}


INDEX_CASE = stud_position.index_case


@cache
def indexed():
    """Stud positions of the plain corner: what a case states moves none of what is asked here."""
    return INDEX_CASE(case_from_text(BASE + HELD), "fast")


def asked(corner, km=None, *_, **__):
    """A corner computed, with figures that ask for nothing."""
    run = fakes.run(dirty=False)
    run.case = corner
    if corner.spigot_scale:
        run.spigot = on_spigot("jams" if hindrance(corner) else "leaves room")
    try:
        as_driven(corner)
    except NotFit as unfit:
        if km is not None:
            raise
        run.as_driven, run.forecast = Driven(None, str(unfit), ()), None
    return run


#: What one nut alone does to the jammed one, written down: computing it takes ten times longer than all the rest.
ONE_NUT = [
    {"stud": 1, "torque_nm": 205.7, "lean_um": 11628.0, "stand_off_um": 2823.0, "hoop_mpa": 212.5, "home": False},
    {"stud": 3, "torque_nm": 162.6, "lean_um": 11529.0, "stand_off_um": 2792.0, "hoop_mpa": 342.4, "home": False},
]


@cache
def on_spigot(scale):
    """How a rotor sits on that scale under nuts run up by hand."""
    sits = dict(seat_corner(case_from_text(BASE + SLACK + SCALE[scale][0]), "fast").spigot)
    return sits | {"one_nut_first": ONE_NUT if sits["home"] == "jammed" else []}


@cache
def road():
    """A short road of a plain corner."""
    return drive(Case(), np.zeros(360), 100.0, settings=Settings(draws=0, points=3, fineness=COARSE))


def duty(corner, **_):
    """The table of duty, which asks for a road."""
    as_driven(corner)
    return ()


def compared(corner, *_):
    """Clampings compared, the road among them."""
    clampings(corner)
    return ()


@pytest.fixture(autouse=True)
def _nothing_is_computed(monkeypatch):
    told = Memory(
        fitted_runout_um=40.0, low_um=30.0, high_um=50.0, runout_now_um=30.0, high_spot_deg=44.0,
        high_spot_band_deg=9.0, finding="cannot tell", reason="not told", looks_like_wear=True, notes=(),
        thickness_variation_um=4.0, thickness_doubt_um=3.0,
    )  # fmt: skip
    left = Remains(road(), 4.0, None, None, None, None, None, NOT_BOUGHT, act=NOT_BOUGHT, why="why")
    stood_in = {
        "sim.chain.compute": asked,
        "scenes.command.doing.open_run": lambda path, *_: asked(case_from_text(path.read_text())),
        "scenes.command.doing.write_report": lambda *_: SimpleNamespace(what="report", path="report"),
        "scenes.command.tables_more.clampings": lambda *_: "",
        "scenes.command.cure.face_table": lambda *_: "",
        "sim.answers.seat_answer": lambda _: {},
        "sim.answers.drive_answer": lambda _: {},
        "sim.answers.face_answer": lambda _: {},
        "sim.corner.face_map.face_map": lambda *_: SimpleNamespace(clean_um=20.0, limit_um=50.0),
        "sim.corner.clampings.compare": compared,
        "sim.corner.trust.trusted_clampings": lambda *_, **__: (),
        "sim.bench.questions.duty_table": duty,
        "sim.worn_rotor.shelf": lambda *_: None,
        "sim.worn_rotor.remember": lambda *_, **__: told,
        "sim.worn_rotor.seat": lambda _: None,
        "sim.worn_rotor.pad_trace_um": lambda _: None,
        "sim.worn_rotor.cleaned_outlook": lambda *_, **__: left,
        "sim.bench.stud_position.index_case": lambda *_: indexed(),
        "sim.causes.decision.finding.weigh": lambda *_, **__: finding(),
    }
    for name, instead in stood_in.items():
        monkeypatch.setattr(name, instead)


def line(name, path, folder):
    """What is typed."""
    worn = (WORN, "--case", path)
    typed = {
        "report": (path, "--no-pictures", "--out", folder),
        "memory": (*worn, "--km", 8000),
        "remains": worn,
        "causes": (FOUR, "--case", path),
        "sweeps": (folder / "chalk.csv", "--case", path),
    }
    (folder / "chalk.csv").write_text(SWEEPS)
    return ("causes" if name == "sweeps" else name, *typed.get(name, (path,)))


@pytest.mark.parametrize("name", COMMANDS)
@pytest.mark.parametrize("state", STATES)
def test_what_a_case_states_leads_in_every_command(state, name, tmp_path, capsys):
    text, begins = STATES[state]
    path = tmp_path / "case.toml"
    path.write_text(BASE + text)
    done = command.run(capsys, *line(name, path, tmp_path), "--json")
    if (state, name) in REFUSED:
        assert (done.returncode, begins in done.stderr) == (3, True)
        return
    assert done.returncode == 0, done.stderr
    leads = json.loads(done.stdout)["leads"]
    led = [said for said in leads if begins in said]
    if (state, name) in READ:
        assert not led
        return
    assert led, leads
    assert leads.index(led[0]) == 0, leads
    if name != "report":  # its page has them as `what_leads.headlines`
        printed = command.run(capsys, *line(name, path, tmp_path)).stdout
        printed = " ".join(printed.split())
        assert all(" ".join(said.split()) in printed for said in leads), printed


@pytest.mark.parametrize("name", COMMANDS)
@pytest.mark.parametrize("torques", ["[140, 140, 330, 140, 140]", "[140, 30, 330, 140, 140]"])
def test_a_stud_pulled_too_hard_in_a_list_is_named_and_not_tightened_again(torques, name, tmp_path, capsys):
    """Only `seat` named it; "uneven as fitted, worn ones are renewed, then all to the torque" stood elsewhere."""
    path = tmp_path / "case.toml"
    path.write_text(f"{BASE}[studs]\ntorque_nm = {torques}\n")
    done = command.run(capsys, *line(name, path, tmp_path), "--json")
    refused = name in ("drive", "duty")
    assert done.returncode == (3 if refused else 0), done.stderr
    told = done.stderr if refused else " ".join(json.loads(done.stdout)["leads"])
    assert told.count("stud 3: preload above the proof load of M14x1.5 class 10.9") == 1, told
    assert "renewed, stud and nut, and not tightened again (common practice, no source)" in told
    assert ("stud 2 at 30 N m where others have 140 N m" in told) == (" 30," in torques), told


TORQUE = re.compile(r"[Tt]ighten|crosswise|maker's torque|to (?:the )?torque|torque wrench|slacken")
#: What stands behind a rotor that is off its scale: the list of steps holds it from there on.
STEPS, OFF = "What to do next, in this order", "etaining screw off, rotor off."


def orders(told):
    """What orders a torque in a text; not what forbids it, and no caution."""
    told = " ".join(told.split())
    for said in (
        NO_NUT,
        "not tightened again",
        "No nut is tightened",
        "No bolt is tightened",
        "hung on the spigot while tightened",
    ):
        told = told.replace(said, "").replace(said[:1].upper() + said[1:], "")
    return TORQUE.findall(told)


def over_scale():
    """Every command of both scales and of all that stands beside them; every scale with all that, at every other one.

    `seat`, `drive` and `causes` call a jammed rotor by their own words: those with everything.
    """
    for (k, beside), (n, name), (m, scale) in product(*map(enumerate, (OVER_SCALE, COMMANDS, SCALE))):
        if name in ("seat", "drive", "causes") or (k + n + m) % 2 == 0:
            yield pytest.param(scale, beside, name, id=f"{scale}-{beside}-{name}")


@pytest.mark.parametrize(("scale", "beside", "name"), tuple(over_scale()))
def test_over_scale_on_the_spigot_nothing_orders_a_torque(scale, beside, name, tmp_path, capsys):
    """`seat` and `index` of a jammed rotor under its stamp: "off centre", nuts "to the maker's torque, crosswise"."""
    path = tmp_path / "case.toml"
    path.write_text(BASE + OVER_SCALE[beside] + SCALE[scale][0])
    done = command.run(capsys, *line(name, path, tmp_path), "--json")
    assert done.returncode in (0, 3), done.stderr
    if done.returncode == 3:
        assert not orders(done.stderr), done.stderr
        assert NO_NUT in done.stderr or "never draw a rotor home with the" in done.stderr
        return
    leads = json.loads(done.stdout)["leads"]
    assert not orders(" ".join(leads)), leads
    thin, first = "thickness_mm = 9.6" in OVER_SCALE[beside], SCALE[scale][1]
    if name == "causes" and not thin:
        first = "The case has scale on the spigot"
    elif scale == "jams" and not thin and name in ("seat", "drive", "report"):
        first = "Not home: jammed on scale on the spigot"
    assert leads[0].startswith(first) or (name == "causes" and any(one.startswith(first) for one in leads)), leads
    assert not thin or "Its thickness comes first: 9.60 mm is under" in leads[-1]
    printed = " ".join(command.run(capsys, *line(name, path, tmp_path)).stdout.split())
    head, _, steps = printed.partition(STEPS)
    assert not orders(head.partition("▌")[0]), head
    assert not steps or (OFF in steps and not orders(steps.partition(OFF)[0])), steps


@pytest.mark.parametrize("name", COMMANDS)
def test_a_corner_that_states_nothing_leads_with_nothing_of_the_kind(name, tmp_path, capsys):
    path = tmp_path / "case.toml"
    path.write_text(BASE + HELD)
    done = command.run(capsys, *line(name, path, tmp_path), "--json")
    assert done.returncode == 0, done.stderr
    assert not what_leads.of_case(case_from_text(path.read_text())).lines
    assert not [said for said in json.loads(done.stdout)["leads"] if " first: " in said]


@pytest.mark.parametrize("name", COMMANDS)
def test_nuts_come_before_all_else_that_a_case_states(name, tmp_path, capsys):
    """In the order of work: nuts, another part, caliper, bearing, hub, rotor."""
    path = tmp_path / "case.toml"
    path.write_text(
        BASE + HELD + "road_torque_nm = [110, 110, 30, 110, 110]\n[caliper]\nsticking_inboard_n = 150\n"
        "[hub]\nface_runout_um = 60\n[rotor]\nown_thickness_variation_um = 30\n"
    )
    done = command.run(capsys, *line(name, path, tmp_path), "--json")
    leads = json.loads(done.stdout)["leads"]
    begins = [STATES[state][1] for state in ("nut on the road", "caliper", "hub", "uneven")]
    at = [next((k for k, said in enumerate(leads) if begin in said), None) for begin in begins]
    assert at[:3] == [0, 1, 2], leads
    assert at[3] == (None if ("uneven", name) in READ else 3)


#: What comes in this order in every command; of bearing and hub one table of the file holds both.
AFTER_THE_NUTS = (
    "[caliper]\nsticking_inboard_n = 150\n[pads]\nthickness_mm = 1.5\n"
    "[hub]\nbearing_end_float_um = 60\nface_runout_um = 60\n"
)
ONE_ORDER = {
    ("caliper", "pads", "bearing", "hub"): HELD + AFTER_THE_NUTS,
    ("nut on the road", "bore", "caliper", "pads", "bearing", "hub"): (
        STATES["nut on the road"][0] + "[rotor]\nbore_diameter_mm = 72.6\n" + AFTER_THE_NUTS
    ),
    ("bore", "caliper", "pads", "bearing", "hub"): STATES["bore"][0] + AFTER_THE_NUTS,
}


@pytest.mark.parametrize("name", COMMANDS)
@pytest.mark.parametrize("order", ONE_ORDER, ids=len)
def test_all_that_a_case_states_stands_in_one_order_in_every_command(order, name, tmp_path, capsys):
    """`causes` had the bearing before the caliper, and beside a nut neither bearing nor part."""
    path = tmp_path / "case.toml"
    path.write_text(BASE + ONE_ORDER[order])
    done = command.run(capsys, *line(name, path, tmp_path), "--json")
    assert done.returncode == 0, done.stderr
    leads = json.loads(done.stdout)["leads"]
    at = [next((k for k, said in enumerate(leads) if STATES[state][1] in said), None) for state in order]
    assert at == list(range(len(order))), leads


def test_a_loose_bearing_leads_before_a_rotor_that_one_screw_holds(tmp_path, capsys):
    path = tmp_path / "case.toml"
    path.write_text(BASE + SCREW + "[hub]\nbearing_end_float_um = 60\n")
    done = command.run(capsys, "index", path, "--json")
    assert done.returncode == 0, done.stderr
    lead = json.loads(done.stdout)["leads"][0]
    assert lead.startswith("The bearing first: ")
    assert "; held by the screw only, a rotor does not sit" in lead


#: What leads beside which no reading orders anything, and how an answer by machine calls it.
CALLED = {
    "nut on the road": names.RETORQUE, "studs": names.RETORQUE, "bolts": names.RETORQUE, "bore": names.READ_AGAIN,
    "bearing": names.READ_AGAIN,
}  # fmt: skip


@pytest.mark.parametrize("do", [names.LEAVE, names.RENEW, names.READ_AGAIN, names.CLEAN, names.INDEX, names.AT_LIMIT])
@pytest.mark.parametrize("state", ["plain", "caliper", "stamp", "uneven", *CALLED])
def test_what_json_calls_the_act_is_what_the_words_order(state, do, tmp_path, capsys, monkeypatch):
    """`act.what` was "done", or what readings alone order, under a lead that had a bearing renewed or read again."""
    monkeypatch.setattr("sim.causes.decision.finding.weigh", lambda *_, **__: finding(do=do))
    path = tmp_path / "case.toml"
    path.write_text(BASE + (HELD if state == "plain" else STATES[state][0]))
    told = json.loads(command.run(capsys, *line("causes", path, tmp_path), "--json").stdout)
    wanted = CALLED.get(state, do)
    if state in ("stamp", "uneven") and do in (names.LEAVE, names.AT_LIMIT, names.INDEX):
        wanted = acts.RENEW_IT
    assert told["do"] == wanted
    what = told["act"]["what"]
    called = one_act.NAMED.get(what, what)
    same = one_act.first_step(called, cleaned=True) == one_act.first_step(wanted, cleaned=True)
    assert same or {called, wanted} <= one_act.MOVES, what
    if wanted != do:
        assert what not in ("done", "open", names.LEAVE)
    assert told["words"]["next"] in told["leads"] or (same and wanted == do)
    if wanted in one_act.MOVES:
        assert told["next_studs_turned"] == told["act"]["studs_turned"]


#: Corners whose lists take the wheel off for different reasons, on studs and on bolts.
WHEEL_OFF = {
    **{state: text for state, (text, _) in STATES.items()},
    **{"all of them, " + str(len(order)): text for order, text in ONE_ORDER.items()},
    "bolts, bearing": STATES["bolts"][0] + "[hub]\nbearing_end_float_um = 60\n",
    "bolts, caliper": HELD + 'fastener = "wheel bolt"\n[caliper]\nsticking_inboard_n = 150\n',
    "nut as read, bearing": STATES["nut as read"][0] + "[hub]\nbearing_end_float_um = 60\n",
    "nut as read, bore": STATES["nut as read"][0] + "[rotor]\nbore_diameter_mm = 72.6\n",
    "screw": SCREW, "screw, bearing": SCREW + "[hub]\nbearing_end_float_um = 60\n",
    "scale, bearing": STATES["bearing"][0] + SCALE["leaves room"][0],
    "jams, bearing, caliper": STATES["bearing"][0] + STATES["caliper"][0].replace(HELD, "") + SCALE["jams"][0],
}  # fmt: skip
#: Steps at which what holds the rotor is touched.
TOUCHED = (
    own_steps.CALIPER_FIRST, own_steps.PADS_TOO, own_steps.BEARING_FIRST, own_steps.PART_FIRST,
    own_steps.LOOSE_ON_THE_ROAD,
    own_steps.STUDS_FIRST, own_steps.BOLTS_FIRST, own_steps.BOLTS_AS_READ,
)  # fmt: skip


@pytest.mark.parametrize("state", WHEEL_OFF)
def test_stud_and_hole_are_painted_before_anything_comes_off_and_chocks_are_said_once(state):
    """Caliper, bearing and studs were touched before the paint; bolts came out before their guide pin was told."""
    corner = case_from_text(BASE + WHEEL_OFF[state])
    steps = to_do.next_steps(asked(corner))
    told = [key for step in steps for key in step.keys]
    assert [key for key in work_list.ONCE if told.count(key) > 1] == []
    said = " ".join(step.what for step in steps)
    for once in ("chocked on level ground", "Car on stands", "cover on; wheel off", "an arrow for turning"):
        assert said.count(once) <= 1, once
    done = []
    for step in steps:
        taken = [k for k, key in enumerate(step.keys) if key in ("caliper off", "rotor off")]
        done += step.keys[: taken[0]] if taken else step.keys
        assert not (taken or step in TOUCHED) or {"support", "lift", "wheel off", "mark"} <= set(done), step
        done += step.keys
    pins = [key for key in told if key in ("guide pin", "wheel off", "mark")]
    bolts = ["guide pin"] if corner.studs.fastener == "wheel bolt" else []
    assert pins in ([], [*bolts, "wheel off", "mark"])


def test_a_bearing_leads_before_a_rotor_that_one_screw_holds_and_no_nut_is_looked_at():
    """The list began with "Look at stud, nut and the wheel's seat", though nothing was nutted."""
    run = asked(case_from_text(BASE + WHEEL_OFF["screw, bearing"]))
    steps = to_do.next_steps(run)
    assert own_steps.BEARING_FIRST in steps
    assert not set(own_steps.NUTS) & set(steps)
    assert to_do.lead(run) == own_steps.LEADS[own_steps.BEARING_FIRST]


def micrometer(folder, least_um):
    """Readings of a thickness that hardly varies."""
    head = ["# studs: 5", "# turned: counter-clockwise", "# dial: + towards", "# dial_um: 1"]
    rows = [f"thickness,1,0,{at},{least_um + at // 30 % 2}" for at in range(0, 360, 30)]
    path = folder / "read.csv"
    path.write_text("\n".join([*head, "trace,mount,studs_turned,angle_deg,reading_um", *rows]) + "\n")
    return path


def test_beside_a_slack_nut_what_was_read_of_a_rotor_is_told_and_no_road(tmp_path, capsys):
    """`remains` and `clamp` asked for the road's torque, and held back the stamp."""
    path, table = tmp_path / "case.toml", micrometer(tmp_path, 10_050)
    scale = "[[spigot_scale]]\nheight_um = 20.0\n"  # what `remains` cleans of a case before it asks for the road
    path.write_text(BASE + STATES["nut as read"][0] + "[rotor]\nminimum_thickness_mm = 10.0\n" + scale)
    done = command.run(capsys, "remains", table, "--case", path, "--json")
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert (told["do"], told["leads"][1][:14]) == ("clean", "The nuts too: ")
    assert told["leads"][0].startswith("There is scale on the spigot")
    assert "10.050" in told["leads"][-1]
    assert "at or under it the rotor is scrap" in told["leads"][-1]
    assert "Nothing is told that needs a road: not fit to drive" in command.run(capsys, "clamp", path).stdout
    path.write_text(BASE + "[studs]\ntorque_nm = [110, 110, 110, 110, 110]\n")
    for typed in (("remains", table, "--case", path), ("clamp", path)):  # all alike: only how it is driven is not known
        done = command.run(capsys, *typed)
        assert (done.returncode, "give studs.road_torque_nm" in done.stderr) == (3, True)


def test_where_a_nut_was_off_for_reading_what_is_worn_there_is_looked_at_too():
    """The list said "fit every nut, tighten" where `index` of the same file had stud, nut and seat looked at."""
    for off in (30, 0):
        run = asked(case_from_text(BASE + f"[studs]\ntorque_nm = [110, 110, {off}, 110, 110]\n"))
        steps = to_do.next_steps(run)
        at = steps.index(own_steps.NUTS_FIRST)
        assert "stud, nut and the wheel's seat where a nut was loose or off: worn ones are renewed" in steps[at].what
        assert not any({"spacers", "tighten"} & set(step.keys) for step in steps[:at])
        assert "spacers" in steps[at + 1].keys


@pytest.mark.parametrize("scale", SCALE)
def test_a_loose_bearing_stands_in_the_list_of_a_rotor_over_scale_too(scale):
    """It led, and the list read hub face and runout on it."""
    run = asked(case_from_text(BASE + STATES["bearing"][0] + SCALE[scale][0]))
    steps = to_do.next_steps(run)
    assert steps.count(own_steps.BEARING_FIRST) == 1
    at = steps.index(own_steps.BEARING_FIRST)
    assert not any({"read", "hub face"} & set(step.keys) for step in steps[:at])
    assert sum("wheel off" in step.keys for step in steps) == 1
    assert any("lift" in step.keys for step in steps[:at])


def test_page_one_names_all_that_comes_first():
    run = fakes.run(dirty=False)
    run.case = case_from_text(
        BASE + HELD + "road_torque_nm = [110, 110, 30, 110, 110]\n[rotor]\nown_thickness_variation_um = 22\n[hub]\n"
        "face_runout_um = 60\n[caliper]\nsticking_inboard_n = 150\n"
    )
    steps = to_do.next_steps(run)
    assert "stud 1 painted. No nut is tightened" in steps[0].what  # what it gave at is written down
    assert steps.index(own_steps.CALIPER_FIRST) < steps.index(own_steps.LOOSE_ON_THE_ROAD)  # which its rotor covers
    assert to_do.lead(run) == (
        f"{own_steps.NUTS_NOT_READ} Then the caliper, the hub face, over its limit and the rotor, which goes by its "
        "thickness."
    )
    held = replace(run.case, studs=Case().studs, caliper=Case().caliper)
    assert "Before a new one the hub face, over its limit" in to_do.lead(asked(held))


def test_without_a_case_no_fault_names_one(tmp_path, capsys):
    """`memory` said "from the case" to who gave none."""
    table = micrometer(tmp_path, 22_050)  # a front rotor's, more than the demo corner's has new
    done = command.run(capsys, "memory", table, "--km", 8000)
    assert done.returncode == 2
    assert "from the demo corner, which counts here; --case with a file of your own corner" in done.stderr


def test_a_stud_that_was_read_to_run_out_less_is_named_in_the_list_too(tmp_path):
    """The lead of `drive --mounted` named it, the list below said "by one or two holes"."""
    head = ["# studs: 5", "# turned: counter-clockwise", "# dial: + towards", "# dial_um: 1", "# gauge_radius_mm: 140"]
    wave = np.cos(np.radians(np.arange(12) * 30.0))
    rows = [
        f"mounted,{mount},{at},{30 * k},{round(value)},cleaned"
        for mount, at, half_um in ((1, 1, 15.0), (2, 0, 44.0))
        for k, value in enumerate(half_um * wave)
    ]
    path = tmp_path / "studs.csv"
    path.write_text("\n".join([*head, "trace,mount,studs_turned,angle_deg,reading_um,state", *rows]) + "\n")
    told = Measured(mounted=path).road(Case())
    assert "clean, on stud 2, it read 30 µm: index it there first" in told.mounted_which
    run = fakes.run()
    held = MountedReading(np.zeros(360), "wheel", "the readings", (80.0, 88.0, 96.0), np.ones(1), 2.0)
    for stud, there in ((told.better_stud, "(painted hole to stud 2, where it read least)"), (None, "by one or two")):
        run.reading = replace(held, better_stud=stud)
        assert sum(there in step.what for step in to_do.next_steps(run)) == 1


@pytest.mark.parametrize(
    ("state", "thick", "stud"), [("cleaned", True, 3), ("cleaned", False, 3), ("as found", True, None)]
)
def test_a_clean_reading_over_its_limit_is_moved_at_once_as_its_readings_order(tmp_path, state, thick, stud):
    """`drive` put it back on the same stud for two turns more where `causes` named stud 3."""
    head = ["# studs: 5", "# turned: counter-clockwise", "# dial: + towards", "# dial_um: 1", "# gauge_radius_mm: 140"]
    wave = np.cos(np.radians(np.arange(12) * 30.0))
    rows = [f"mounted,1,0,{30 * k},{round(value)},{state},nuts and spacers" for k, value in enumerate(44.0 * wave)]
    rows += [f"thickness,1,0,{30 * k},{round(11_600 + value)},," for k, value in enumerate(2.0 * wave) if thick]
    path = tmp_path / "clean.csv"
    path.write_text("\n".join([*head, "trace,mount,studs_turned,angle_deg,reading_um,state,clamped_by", *rows]) + "\n")
    told = Measured(mounted=path).road(Case())
    assert told.move_to == stud
    run = fakes.run()
    held = MountedReading(np.zeros(360), "nuts and spacers", "the readings", (80.0, 88.0, 96.0), np.ones(1), 2.0)
    run.reading = replace(held, move_to=told.move_to, state=state)
    said = [step.what for step in to_do.next_steps(run)]
    assert sum("The painted hole on stud 3, rotor home by hand" in one for one in said) == bool(stud)
    assert any("index the rotor" in one for one in said) is not bool(stud)
    assert (to_do.lead(run) == "Rotor off, put the painted hole on stud 3, hold it and read it there.") is bool(stud)
    run.reading = replace(run.reading, move_to=0, state="cleaned", outboard_um=88.0)  # none is ordered, none tried
    assert not any("index the rotor" in step.what for step in to_do.next_steps(run))
    goes = replace(run.case, rotor=replace(run.case.rotor, own_thickness_variation_um=30.0))
    assert "stud 3" not in " ".join(step.what for step in to_do.next_steps(asked(goes)))


@pytest.mark.parametrize(
    ("state", "held"), [("as found", "wheel"), ("as found", "nuts and spacers"), ("cleaned", "nuts and spacers")]
)
def test_a_rotor_that_was_read_to_go_is_neither_held_nor_read_as_found(state, held):
    """Read to vary by 40 µm it was held with its nuts to torque, read as found and measured once more."""
    run = fakes.run(dirty=False)
    run.forecast.read_on_the_way = Uneven(40.0, 4.0, 15.0)
    run.reading = MountedReading(np.zeros(360), held, "", (20.0, 22.0, 30.0), np.ones(1), 2.0, "", state)
    steps = to_do.next_steps(run)
    keys = [key for step in steps for key in step.keys]
    at = next(k for k, step in enumerate(steps) if step.why == own_steps.RENEW.why)
    before = [key for step in steps[:at] for key in step.keys]
    assert not {"as found", "read", "thickness", "wheel-on trace"} & set(before)
    assert ("spacers" in before) is (held == "nuts and spacers")  # it is held so still
    assert {"read", "fit", "tighten"} <= set(keys) - {*before}


@pytest.mark.parametrize(("bore_mm", "told"), [(65.0, False), (65.12, True), (65.4, True), (65.5, False)])
def test_a_loose_spigot_says_how_far_off_centre_and_what_that_does(bore_mm, told):
    """0.18 to 0.5 mm of play went without a word; more than that leads."""
    run = fakes.run(dirty=False)
    run.case = case_from_text(BASE + f"[rotor]\nbore_diameter_mm = {bore_mm}\n")
    said = [one for one in what_leads.noted(run) if "off centre" in one]
    assert bool(said) is told
    assert bool(what_leads.of_case(run.case).part) is (bore_mm == 65.5)
    if said:
        play_mm = bore_mm - 64.94
        assert f"leave {play_mm:.2f} mm: the rotor may sit {play_mm / 2:.2f} mm off centre" in said[0]
        assert "unbalance" in said[0]
        assert "no lateral runout: no dial on its face shows it" in said[0]
    scale = "[[spigot_scale]]\nheight_um = 20.0\n"  # its state is told with its figures
    run.case = case_from_text(BASE + f"[rotor]\nbore_diameter_mm = {bore_mm}\n" + scale)
    assert not any("off centre" in one for one in what_leads.noted(run))


@pytest.mark.parametrize("bore_mm", [65.0, 72.6])
def test_the_section_of_a_rotor_that_nothing_centres_says_so_in_its_title(monkeypatch, bore_mm):
    monkeypatch.setattr(chain, "seat_corner", partial(seat_corner, preset="fast"))
    corner = case_from_text(BASE + f"[rotor]\nbore_diameter_mm = {bore_mm}\n")
    title = section.section(chain.seated_alone(corner)).texts[0].get_text()
    assert (title == "Not centred as given: 7.7 mm of play, drawn central") is (bore_mm == 72.6)
    run = fakes.run(dirty=False)
    run.case = corner
    assert ("clears nothing, the part comes first" in findings.runout(run).sentence) is (bore_mm == 72.6)


def test_the_first_paragraph_is_one_order_that_can_be_taken_in_and_nothing_is_lost(capsys):
    """Leads of 75 words in the median, up to 269, stood in one block of bold letters."""
    folder, counted = Path(demo_geometry.__file__).parent, []
    for table in sorted((*folder.glob("corner_*.csv"), *folder.glob("bench_*.csv"), FOUR)):
        (lead,) = json.loads(command.run(capsys, "causes", table, "--json").stdout)["leads"]
        parts = pieces(lead)
        assert " ".join(parts) == lead
        printed = " ".join(command.run(capsys, "causes", table).stdout.split())
        assert " ".join(lead.split()) in printed
        counted.append(len(parts[0].split()))
    assert np.median(counted) < 45
    assert max(counted) <= 70


def test_what_orders_stands_in_the_first_paragraph():
    scrap = "The stamp first: 9.9 mm at its thinnest has to be over the figure stamped on it; else this rotor is scrap."
    stands = "On clean faces it runs out 30 µm on stud 1, below the limit."
    assert (
        pieces(f"{scrap} {stands} Whether it stays its bare hub face decides.")[0] == scrap
    )  # no pass before the rest
    short = pieces(f"Renew it: {'word ' * 60}of it; in axle pairs.")
    assert len(short) == 1  # no line of three words
    chain = "; ".join(f"mount {k} is read again, as it {'stands ' * 12}now (the rotor off; then on)" for k in range(6))
    parts = pieces(f"Read again before anything is blamed or bought: {chain}.")
    assert len(parts) > 3
    assert all(part.count("(") == part.count(")") for part in parts)
    assert max(len(part.split()) for part in parts) <= 70


@pytest.mark.parametrize(("state", "do"), [("bearing", "read again"), ("bore", "read again"), ("caliper", "clean")])
def test_beside_a_loose_bearing_or_another_part_causes_orders_nothing_on_its_readings(state, do, tmp_path, capsys):
    path = tmp_path / "case.toml"
    path.write_text(BASE + STATES[state][0])
    told = json.loads(command.run(capsys, *line("causes", path, tmp_path), "--json").stdout)
    assert told["do"] == do
    printed = command.run(capsys, *line("causes", path, tmp_path)).stdout
    assert ("what was read before orders and clears nothing" in " ".join(printed.split())) is (do == "read again")
    assert ("what to read next" in printed) is (do == "clean")


def test_what_is_to_be_read_again_is_not_cut_short(monkeypatch):
    """Its end says what settles it: "until three turns agree..." stood there."""
    told = f"mount 2: {'two of its turns differ; ' * 20}those count"
    monkeypatch.setattr("scenes.command.tables_causes.open_readings", lambda _: (SimpleNamespace(text=told),))
    assert tables_causes._why(None) == (told,)
