"""What a case states is worked off at every door: the lists, their cautions and the sheet hold what the lead names."""

from __future__ import annotations

import html
import json
from functools import cache

import pytest

from scenes.command import doing
from scenes.pages import job_card
from scenes.words import (
    card_boxes,
    cautions,
    few_cautions,
    held_to_read,
    piece_of_work,
    sheet_stages,
    stated_work,
    to_do,
    what_leads,
)
from scenes.words import steps as own_steps
from sim.bench import stud_position
from sim.errors import Refused
from sim.files import dial_readings
from sim.files.case_file import case_from_text
from sim.progress import silent
from tests import command, fakes
from tests.unit.hand_made_finding import FOUR, finding

pytestmark = pytest.mark.usefixtures("fewest_draws", "fewest_corners", "few_wheels")

BASE = 'base = "rear_solid_300"\n'
SCALE = "[[spigot_scale]]\nangle_deg = 180\narc_deg = 120\nheight_um = 115\nto_face_mm = 4\n"
CALIPER = "[caliper]\nsticking_inboard_n = 400\n"
PADS = "[pads]\nthickness_mm = 1.5\n"
HUB = "[hub]\nface_runout_um = 60\n"
#: How a rotor with that scale sits.
SITS = {
    "jammed": {"home": "jammed", "wedged": True},
    "drawn home": {"home": "home", "wedged": True},
    "off centre": {"home": "home", "wedged": False},
}


def over_scale(text, sits):
    """A corner computed whose rotor sits so."""
    run = fakes.run(dirty=False)
    run.case, run.spigot = case_from_text(BASE + text + SCALE), SITS[sits]
    return run


def sheet(case, steps):
    """All work of the fitting sheet."""
    return [work for stage in sheet_stages.of_list(case, steps) for work in stage.works]


def at(steps, step):
    """Where a step stands."""
    assert step in steps, [one.what for one in steps]
    return steps.index(step)


@pytest.mark.parametrize("sits", SITS)
@pytest.mark.parametrize(
    ("text", "step", "said", "cautions"),
    [
        (CALIPER, own_steps.CALIPER_FIRST, "the caliper", {"hot", "hang the caliper", "stands", "pump the pedal"}),
        (PADS, own_steps.PADS_TOO, "The pads are worn out", {"hang the caliper", "stands", "pump the pedal"}),
        (HUB, own_steps.HUB_FIRST, "the hub face, over its limit", {"stuck rotor"}),
    ],
)
def test_over_scale_what_a_case_states_besides_is_done_once_the_rotor_is_off(text, step, said, cautions, sits):
    """Jammed or drawn home the lead named caliper, pads and hub, and the list had nothing of them."""
    run = over_scale(text, sits)
    steps = to_do.next_steps(run)
    off = next(k for k, one in enumerate(steps) if "caliper off" in one.keys)
    fit = next(k for k, one in enumerate(steps) if "fit" in one.keys)
    assert off < at(steps, step) < fit
    assert step.what in [work.what for work in sheet(run.case, steps)]  # on the fitting sheet too
    assert sits == "off centre" or said in to_do.lead(run)
    told = few_cautions.told_for(run.case, [key for one in steps for key in one.keys])
    assert cautions <= {one.key for one in told}
    behind_a_good_hub = "Over the limit, the hub face within its own: index"  # a stud position cures no hub
    assert any(behind_a_good_hub in one.what for one in steps) is (step == own_steps.HUB_FIRST)


def test_no_wheel_is_turned_on_a_rotor_that_scale_holds_to_see_whether_its_caliper_is_free():
    steps = to_do.next_steps(over_scale(CALIPER, "jammed"))
    before = " ".join(step.what for step in steps[: next(k for k, one in enumerate(steps) if "fit" in one.keys)])
    assert "turns by hand" not in before
    assert "edal pumped" not in " ".join(one.what for one in steps[:-1])  # no rotor between the pads
    told = steps[-1].what
    places = [
        told.index(said) for said in ("bled, pedal pumped firm", "the rotor turns by hand", "wheel on, crosswise")
    ]
    assert places == sorted(places)  # bled and turned before a wheel hides it


def test_worn_out_pads_alone_bring_the_cautions_of_the_caliper():
    run = fakes.run(dirty=False)
    run.case = case_from_text(BASE + PADS)
    keys = [key for step in to_do.next_steps(run) for key in step.keys]
    told = {one.key for one in few_cautions.told_for(run.case, keys)}
    assert {"service mode", "stands", "mask and eyes", "hang the caliper", "pump the pedal"} <= told


NUT_OFF = "[studs]\nroad_torque_nm = [140, 0, 140, 140, 140]\n"
FLOAT = "[hub]\nbearing_end_float_um = 150\n"
FLOAT_AND_HUB = f"{FLOAT}face_runout_um = 60\n"
AT_STAMP = "[rotor]\nthickness_mm = 9.0\nminimum_thickness_mm = 9.0\n"
UNEVEN = "[rotor]\nown_thickness_variation_um = 25\n"
BORE = "[rotor]\nbore_diameter_mm = 72.6\n"
SCREW = '[studs]\nclamped_by = "screw only"\n'
#: What a case states, and the acts of `index` in their order.
ACTS = {
    NUT_OFF: ["read again"],
    SCREW: ["read again"],
    FLOAT: ["read again"],
    NUT_OFF + UNEVEN: ["read again", "replace the rotor"],
    FLOAT + UNEVEN: ["read again", "replace the rotor"],
    FLOAT_AND_HUB: ["read again", "hub and bearing"],
    NUT_OFF + FLOAT: ["read again", "see to the bearing"],
    NUT_OFF + BORE + CALIPER + PADS + FLOAT_AND_HUB: [
        "read again", "check the part", "free the caliper", "renew the pads", "see to the bearing", "hub and bearing",
    ],
    HUB: ["hub and bearing"],
    UNEVEN: ["replace the rotor"],
}  # fmt: skip


@pytest.fixture
def index(tmp_path, monkeypatch, capsys):
    """Ask `index` of a corner whose stud positions were computed once: its acts, and what it prints of them."""
    monkeypatch.setattr("sim.bench.stud_position.index_case", lambda *_: indexed())

    def asked(text):
        path = tmp_path / "case.toml"
        path.write_text(BASE + text)
        answers = [command.run(capsys, "index", path, *words) for words in (("--json",), ())]
        assert [one.returncode for one in answers] == [0, 0], answers
        told = json.loads(answers[0].stdout)
        return [one["name"] for one in told["cures"]], " ".join(answers[1].stdout.split()), told

    return asked


INDEX_CASE = stud_position.index_case


@cache
def indexed():
    """Stud positions of the plain corner, its bearing without play."""
    return INDEX_CASE(case_from_text(BASE), "fast")


@pytest.mark.parametrize("text", ACTS)
def test_index_works_off_all_that_a_case_states_and_warns_of_the_lifted_car(text, index):
    """It ordered wheel, nut, bearing and rotor under three cautions, bearing, hub and rotor not in its list."""
    acts, printed, told = index(text)
    assert acts == ACTS[text]
    assert not told["move"]
    for key in ("stands", "service mode", "mask and eyes", "never drawn home"):
        assert cautions.named(key)[0].text in printed
    listed = printed.partition("Cures in this order")[2]
    assert "read again: " not in listed.partition("▌")[0]  # it begins with what is done
    if FLOAT in text:
        assert "over the vehicle maker's limit it is set or renewed as the maker says" in listed


def test_bare_nuts_below_the_limit_clear_nothing_by_index_either(index):
    """`seat` asked for spacers under every nut, `index` left the rotor on."""
    acts, printed, _ = index('[studs]\nclamped_by = "bare nuts"\n')
    assert acts == ["read again"]
    assert "Under bare cone nuts a small figure clears nothing" in printed
    assert "plain spacers under every one" in printed
    assert "eave it on" not in printed


def test_a_clean_corner_that_states_nothing_keeps_the_cautions_of_the_micrometer_alone(index):
    acts, printed, _ = index("")
    assert acts == ["leave it on"]
    assert printed.count("▌") == 9
    said = " ".join(printed.replace("▌", "").split())
    assert cautions.named("hang the caliper")[0].text in said  # wheel and caliper come off for it
    assert not any(one.text in said for one in cautions.named("cracked is scrap", "stuck rotor", "hot"))


SCRAP = "[rotor]\nthickness_mm = 8.6\nminimum_thickness_mm = 9.0\n"
BY_THE_PART_SET = "[rotor]\nthickness_mm = 9.6\n"
#: What stands beside such a rotor: its step, and cautions that it brings.
BESIDE = {
    "": (None, ()),
    NUT_OFF: (own_steps.NUTS_FIRST, ()),
    CALIPER: (own_steps.CALIPER_FIRST, ("hot", "hang the caliper", "pump the pedal")),
    PADS: (own_steps.PADS_TOO, ("hang the caliper", "pump the pedal")),
    FLOAT: (own_steps.BEARING_FIRST, ()),
    HUB: (own_steps.HUB_FIRST, ()),
    SCALE: (None, ("stuck rotor",)),
}


@pytest.mark.parametrize("door", ["seat", "drive", "index", "duty", "face", "clamp", "report"])
@pytest.mark.parametrize("text", BESIDE)
def test_a_rotor_that_is_scrap_is_worked_off_with_all_that_leads_beside_it(text, door, tmp_path, capsys):
    """The order stood without a list, under four or five cautions, chocks and stands not among them."""
    step, wanted = BESIDE[text]
    path = tmp_path / "case.toml"
    path.write_text(BASE + SCRAP + text)
    done = command.run(capsys, door, path, *(["--out", tmp_path] if door == "report" else []))
    printed = " ".join(done.stdout.split())
    assert done.returncode == 0, done.stderr
    order = [
        "Car on stands.",
        held_to_read.WHEEL_OFF,
        "rotor off.",
        own_steps.RENEW_BY_STAMP.what,
        "Rotor home by hand",
    ]
    if step is not None:  # the brake is seen to once the caliper hangs, what the rotor covers once it is off
        order.insert(2 if step in (own_steps.CALIPER_FIRST, own_steps.PADS_TOO) else 3, step.what)
    order.append("Over the limit: index" if step != own_steps.HUB_FIRST else "Still over the limit")
    order.append("wheel on, crosswise")
    listed = printed.partition("What to do next, in this order")[2]
    places = [listed.find(said) for said in order]
    assert -1 not in places, listed
    assert places == sorted(places)
    tightened = ("no impact gun",)  # the list tightens twice
    for key in (
        "stands",
        "service mode",
        "mask and eyes",
        "no compressed air",
        "cracked is scrap",
        *tightened,
        *wanted,
    ):
        assert cautions.named(key)[0].text in printed
    assert few_cautions.ALL_CAUTIONS in printed
    assert ("Nothing is written" in printed) is (door == "report")
    assert "as found" not in listed  # nothing of a rotor that goes is read


def test_no_nut_is_tightened_to_read_a_rotor_that_is_scrap(tmp_path, capsys):
    path = tmp_path / "case.toml"
    for nuts, told in ((NUT_OFF, "The nuts too: "), ("[studs]\ntorque_nm = 350.0\n", "The studs too: ")):
        path.write_text(BASE + SCRAP + nuts)
        first = json.loads(command.run(capsys, "seat", path, "--json").stdout)["leads"][0]
        assert first.startswith(told)
        assert "no nut is tightened to read a rotor that goes" in first
        assert "crosswise" not in first


def test_the_fitting_sheet_of_a_rotor_that_is_scrap_is_written_with_what_leads(tmp_path, capsys):
    """`report --sheet` of it wrote nothing and did not say so."""
    path = tmp_path / "case.toml"
    path.write_text(BASE + SCRAP + CALIPER + NUT_OFF)
    done = command.run(capsys, "report", path, "--sheet", "--out", tmp_path)
    sheet = (tmp_path / "fitting-sheet.html").read_text()
    assert "Nothing but the fitting sheet is written" in " ".join(done.stdout.split())
    assert f"fitting sheet: {tmp_path}" in done.stdout
    said = ("No nut is tightened", "rotor for cracks and blue", "worn ones are renewed", "Renew the rotor")
    places = [sheet.index(what) for what in said]
    assert places == sorted(places)
    assert "read the runout as found" not in sheet
    told = json.loads(command.run(capsys, "report", path, "--sheet", "--out", tmp_path, "--json").stdout)
    assert [one["what"] for one in told["files"]] == ["fitting sheet"]


def test_the_sheet_of_a_rotor_that_is_scrap_is_printed_where_that_is_asked_for(tmp_path, capsys, monkeypatch):
    """`--pdf` wrote the sheet alone."""
    monkeypatch.setattr("scenes.pages.pdf.browser", lambda: None)
    monkeypatch.setattr(doing, "write_pdf", lambda page, path: doing.Made("printed", path))
    path = tmp_path / "case.toml"
    path.write_text(BASE + SCRAP)
    done = command.run(capsys, "report", path, "--sheet", "--pdf", "--out", tmp_path)
    assert f"printed: {tmp_path}/fitting-sheet.pdf" in "".join(done.stdout.split("\n"))


def test_the_sheet_of_a_rotor_that_is_scrap_leaves_out_no_stage_that_takes_wheel_and_caliper_off():
    """It went from the wheel still on to the rotor's removal, and said nothing of scale that holds it."""
    case, plain = (case_from_text(BASE + AT_DISCARD + CALIPER + scale) for scale in (SCALE, ""))
    for one in (case, plain):
        steps = stated_work.round_a_rotor_that_goes(one, what_leads.of_case(one))
        keys = [work.key for work in sheet(one, steps)]
        order = ["wheel off", "mark", "caliper off", piece_of_work.FREE_THE_CALIPER, "rotor off", "cracks"]
        assert [key for key in keys if key in order] == order
        assert not {"as found", "spacers", "home"} & set(keys)
        assert ("scale" in keys[keys.index("cracks") :]) is (one is case)


def test_by_a_part_sets_figure_the_stamp_is_read_before_anything_is_bought(tmp_path, capsys):
    path = tmp_path / "case.toml"
    path.write_text(BASE + BY_THE_PART_SET)
    listed = " ".join(command.run(capsys, "seat", path).stdout.split()).partition("in this order")[2]
    assert "3. Read the discard thickness stamped on the rotor" in listed
    assert "Renew the rotor" not in listed


JAM = "[studs]\ntorque_nm = 2.0\nroad_torque_nm = 140.0\n" + SCALE
UNEVEN_NUTS = "[studs]\nroad_torque_nm = [140, 60, 140, 140, 140]\n"
#: What a case states, a command that refuses it, and all that leads there in the order of work; then the refusal.
REFUSED = [
    ("drive", PADS + CALIPER + HUB, ["The caliper first", "The pads first", "Hub and bearing first", "pads.thick"]),
    ("drive", PADS + UNEVEN_NUTS + SCALE, ["The spigot first", "The nuts too", "The pads first", "pads.thick"]),
    ("drive", PADS + NUT_OFF, ["The nuts first", "The pads first", "not fit to drive"]),
    ("drive", CALIPER + NUT_OFF, ["The nuts first", "The caliper first", "not fit to drive"]),
    ("drive", PADS, ["pads.thickness_mm: 1.5 mm of lining"]),
    ("drive", JAM + CALIPER, ["The spigot first", "The caliper first", "the rotor is jammed"]),
    ("index", JAM + CALIPER, ["The spigot first", "The caliper first", "the rotor is jammed"]),
    ("index", JAM + UNEVEN, ["The spigot first", "The rotor first", "the rotor is jammed"]),
    ("foil", JAM + CALIPER, ["The spigot first", "The caliper first", "the rotor is jammed"]),
    ("duty", JAM + PADS, ["The spigot first", "The pads first", "the rotor is jammed"]),
]


@pytest.mark.parametrize(("door", "text", "leads"), REFUSED)
def test_a_refusal_names_all_that_leads_in_one_order_and_where_the_list_is(door, text, leads, tmp_path, capsys):
    """It named one trouble alone: worn-out pads, and nothing of a rotor drawn home over scale or nuts that were off."""
    path = tmp_path / "case.toml"
    path.write_text(BASE + text)
    done = command.run(capsys, door, path, *(["--preset", "fast"] if door == "drive" else []))
    assert (done.returncode, done.stdout) == (3, "")
    places = [done.stderr.find(f"trueseat: {begins}") for begins in leads]
    assert -1 not in places, done.stderr
    assert places == sorted(places)
    assert ("trueseat seat CASE, or trueseat report CASE --sheet" in done.stderr) is (door != "foil")
    assert text != PADS or "The pads first" not in done.stderr  # the refusal says it


@pytest.mark.parametrize(
    ("held", "door"),
    [
        (JAM, "index"),
        (JAM, "drive"),
        (JAM, "face"),
        (JAM, "duty"),
        (JAM, "clamp"),
        (NUT_OFF, "drive"),
        (NUT_OFF, "duty"),
    ],
)
def test_a_rotor_at_its_stamp_gets_its_order_whatever_else_refuses_it(held, door, tmp_path, capsys):
    """Promised of every command that orders; jammed, or beside a nut that was off, it was refused for that alone."""
    path = tmp_path / "case.toml"
    path.write_text(BASE + held + AT_STAMP)
    done = command.run(capsys, door, path, *(["--preset", "fast"] if door == "drive" else []))
    assert done.returncode == 0, done.stderr
    printed = " ".join(done.stdout.split())
    first = "The spigot first" if held == JAM else "The nuts"
    assert printed.find(first) < printed.find("9.00 mm is the discard thickness, nothing is left to wear: scrap")
    assert "Rotor home by hand" in printed
    assert cautions.named("stands")[0].text in printed


def test_the_report_of_a_corner_with_worn_out_pads_is_made_without_a_road(tmp_path, monkeypatch):
    """`report --sheet` of it was refused: no page, no card."""
    monkeypatch.setattr("sim.chain.compute", lambda case, km, *_, **__: (case, km))
    path = tmp_path / "case.toml"
    for text, km in (("", 9000.0), (PADS, None)):
        path.write_text(BASE + text)
        assert doing.open_run(path, 9000.0, silent) == (case_from_text(BASE + text), km)


def test_a_caliper_whose_road_cannot_be_followed_has_its_report_and_sheet_all_the_same(tmp_path, monkeypatch):
    """`report --sheet` was refused, and named itself as the place where the list is."""

    def compute(case, km, *_, **__):
        if km is not None:
            raise Refused("the wear changes so fast")
        return case

    monkeypatch.setattr("sim.chain.compute", compute)
    path = tmp_path / "case.toml"
    path.write_text(BASE + CALIPER)
    assert doing.open_run(path, 9000.0, silent) == case_from_text(BASE + CALIPER)
    path.write_text(BASE)
    with pytest.raises(Refused, match="changes so fast"):
        doing.open_run(path, 9000.0, silent)


def test_a_rotor_that_one_screw_holds_is_told_above_every_figure_by_seat_too():
    run = fakes.run(dirty=False)
    run.case, run.reading = case_from_text(BASE + SCREW), None
    assert "Held by the screw only, a rotor does not sit" in what_leads.headlines(run)[0]
    run.case = case_from_text(BASE + SCREW + SCALE)
    assert not [line for line in what_leads.headlines(run) if "screw" in line]  # no torque over scale


@pytest.mark.parametrize(
    "text",
    [
        "[studs]\ntorque_nm = 2.0\nroad_torque_nm = 5.0\n",
        "[studs]\ntorque_nm = 2.0\n" + NUT_OFF.removeprefix("[studs]\n"),
    ],
)
def test_nuts_that_do_not_hold_lead_beside_a_jammed_rotor_by_seat_too(text):
    """`causes` named them, `seat` and `report` left them out once the rotor stood off the face."""
    run = over_scale(text, "jammed")
    first = what_leads.headlines(run)[0]
    assert first.startswith("The nuts too: as driven, ")
    assert "no nut is tightened before the scale is off" in first
    assert {own_steps.NUTS_FIRST, own_steps.LOOSE_ON_THE_ROAD} & set(to_do.next_steps(run))


def test_bare_nuts_are_changed_for_spacers_behind_chocks_stands_and_on_the_sheet():
    run = fakes.run(dirty=False)
    run.case = case_from_text(BASE + '[studs]\nclamped_by = "bare nuts"\n')
    *steps, back, service = to_do.next_steps(run)
    told = " ".join(step.what for step in steps)
    order = (
        "Wheels chocked",
        "Car on stands.",
        held_to_read.WHEEL_OFF,
        "The rotor home, by hand",
        "Spacers under every nut, plain side to the rotor",
        "Read the run",
    )
    places = [told.find(said) for said in order]
    assert -1 not in places
    assert places == sorted(places)
    assert "wheel" in back.keys
    assert "at the next service" in service.what
    assert own_steps.SPACERS_FIRST.what in [work.what for work in sheet(run.case, to_do.next_steps(run))]
    keys = [key for step in steps for key in step.keys]
    assert "service mode" in [one.key for one in few_cautions.told_for(run.case, keys)]


AT_DISCARD = "[rotor]\nthickness_mm = 10.5\nminimum_thickness_mm = 10.5\n"
UNEVEN = "[rotor]\nown_thickness_variation_um = 22\n"


@pytest.mark.parametrize("dirty", [False, True])
@pytest.mark.parametrize("rotor", [AT_DISCARD, UNEVEN])
@pytest.mark.parametrize(
    "text", ["[hub]\nbearing_end_float_um = 180\nface_runout_um = 40\n", '[studs]\nclamped_by = "bare nuts"\n']
)
def test_a_rotor_that_goes_as_given_is_not_held_and_read_and_no_stop_stands_before_its_renewal(text, rotor, dirty):
    """It was tightened and read as found, and "at or under discard: stop" ended the work before hub and rotor."""
    run = fakes.run(dirty=dirty)
    run.forecast, run.case = None, case_from_text(BASE + text + rotor)
    steps = to_do.next_steps(run)
    told = [step.what for step in steps]
    renewed = next(k for k, one in enumerate(told) if one.startswith("Renew the rotor"))
    before = " ".join(told[:renewed])
    assert "Thickness by micrometer" in before  # no rotor is cut or bought for a thickness that nobody read
    assert own_steps.UNLESS_EVEN in told[renewed]
    for unasked in ("as found", "stop", "Nuts with spacers"):
        assert unasked not in before
    assert "Caliper off and hung up" in before
    assert any({"dial", "read"} <= set(step.keys) for step in steps[renewed:])
    if "float" in text:
        assert at(steps, own_steps.BEARING_FIRST) < at(steps, own_steps.HUB_FIRST) < renewed


@pytest.mark.parametrize("varies_um", [16, 25])
def test_a_rotor_uneven_as_given_is_read_in_three_turns_before_it_goes_and_its_list_says_when_it_stays(varies_um):
    """At 16 µm against 15 one turn of the micrometer, no end told, bought or acquitted two rotors."""
    run = fakes.run(dirty=False)
    run.forecast = None
    run.case = case_from_text(BASE + f"[rotor]\nown_thickness_variation_um = {varies_um}\n")
    told = " ".join(step.what for step in to_do.next_steps(run))
    order = (
        "Thickness by micrometer at 12 places, three turns: their middle and the stamp decide.",
        "Renew the rotor",
        "It stays where the middle of three turns is within the limit, its thinnest place over the stamp with wear",
    )
    places = [told.find(said) for said in order]
    assert -1 not in places, told
    assert places == sorted(places)


def test_a_hub_face_over_as_given_is_read_in_three_turns_before_a_hub_is_bought():
    """One turn, and one more behind the stone, renewed hub or bearing."""
    run = fakes.run(dirty=False)
    run.case = case_from_text(BASE + HUB)
    (face,) = (step.what for step in to_do.next_steps(run) if step == own_steps.HUB_FIRST)
    assert "stoned flat by hand, three turns; their middle still over it, check the bearing" in face


@pytest.mark.parametrize(
    ("positions", "said"),
    [
        ("[0]", "Within the limit: on with the caliper. Over it: seat cleaned once more, read; then hub or rotors"),
        ("[0, 1]", "Over the limit: index the rotor (painted hole to stud 2, no other) and read again. Still over it:"),
    ],
)
def test_a_rotor_that_sits_in_one_place_only_is_told_over_what_it_is_and_what_one_within_it_does(positions, said):
    """The step began with "Still over it", and nothing before it had said over what."""
    run = fakes.run(dirty=True)
    run.case = case_from_text(BASE + f"[studs]\nindex_positions = {positions}\n")
    told = [step.what for step in to_do.next_steps(run)]
    assert any(one.startswith(said) for one in told), told


@pytest.mark.parametrize("text", ["road_torque_nm = 10.0", "torque_nm = 350.0"])
def test_behind_slack_or_overpulled_nuts_it_is_read_under_spacers_with_the_dial_set_up(text):
    """With the wheel off it was tightened and read, no spacer and no dial named."""
    run = fakes.run()
    run.case = case_from_text(BASE + f"[studs]\n{text}\n")
    told = " ".join(step.what for step in to_do.next_steps(run))
    looked = "Look at stud" if text.startswith("road") else "pulled past"
    order = ("wheel off", looked, "Nuts with spacers", "Dial on the knuckle, ", "ead the runout")
    places = [told.find(said) for said in order]
    assert -1 not in places
    assert places == sorted(places)


@pytest.mark.parametrize("text", ["", PADS])
def test_under_bare_nuts_only_what_is_read_under_spacers_leaves_the_rotor_on(text):
    """The list said that a small figure clears nothing, then left the rotor on as below its limits."""
    run = fakes.run(dirty=False)
    run.forecast = None  # nobody measured it
    run.case = case_from_text(BASE + text + '[studs]\nclamped_by = "bare nuts"\n')
    told = " ".join(step.what for step in to_do.next_steps(run))
    assert "as it stands" not in told
    order = (
        "Spacers under every nut, plain side to the rotor",
        "Caliper off and hung up",
        "Dial on the knuckle",
        "Thickness by micrometer",
        "leave the rotor on",
    )
    places = [told.find(said) for said in (*order, "caliper slides free, on and torqued")]
    assert -1 not in places
    assert places == sorted(places)
    assert "read so below its limit: leave the rotor on" in told


@pytest.mark.parametrize(
    ("text", "wanted"), [(CALIPER, {"hot", "hang the caliper"}), (PADS, {"hang the caliper"}), (FLOAT, set())]
)
def test_the_job_card_has_the_cautions_of_what_the_case_states(text, wanted, monkeypatch):
    """Its first act was a hot caliper that sticks on a rear axle, and neither heat nor park brake were warned of."""
    monkeypatch.setattr("scenes.pages.job_card.overlay", lambda *_, **__: "<svg/>")  # its words are asked
    told = job_card.job_card_html(finding(), dial_readings.read(FOUR), case_from_text(BASE + text))
    plain = job_card.job_card_html(finding(), dial_readings.read(FOUR), case_from_text('base = "front_vented_320"\n'))
    for key in {*wanted, "service mode", *job_card.CAUTIONS}:
        assert cautions.named(key)[0].text in html.unescape(told), key
    assert cautions.named("service mode")[0].text not in html.unescape(plain)


def test_no_wheel_is_turned_over_scale_on_the_job_card_either():
    boxes = card_boxes.stated_boxes(case_from_text(BASE + CALIPER + SCALE), 0.0)
    assert "free once all is back together" in dict(boxes)["caliper off"]
    assert "it turns by hand" in dict(boxes)["pedal"]


@pytest.mark.parametrize("stated", [False, True])
def test_a_rotor_uneven_only_as_given_stays_where_micrometer_and_stamp_tell_better(stated):
    """The list measured it, and renewed it "whatever its stamp" even where it reads even."""
    thick = "minimum_thickness_mm = 9.5\n" if stated else ""
    case = case_from_text(f'base = "rear_solid_300"\n[rotor]\n{thick}own_thickness_variation_um = 30.0\n')
    told = " ".join(step.what for step in stated_work.round_a_rotor_that_goes(case, what_leads.of_case(case)))
    assert (own_steps.UNLESS_EVEN in told) is not stated
    assert ("12 places, three turns: their middle and the stamp decide" in told) is not stated
    assert "It is uneven over its limit as given" in told


@pytest.mark.parametrize(
    "nuts", ["torque_nm = 320", "torque_nm = [140, 140, 330, 30, 140]\nroad_torque_nm = [140, 140, 330, 30, 140]"]
)
def test_studs_are_renewed_behind_a_hub_unit_that_brings_its_own(nuts):
    """Studs and nuts new, then the bearing: a hub unit has its own, and they were bought twice."""
    run = fakes.run(dirty=False)
    run.case = case_from_text(BASE + f"[studs]\n{nuts}\n[hub]\nbearing_end_float_um = 150\n")
    told = [step.what for step in to_do.next_steps(run)]
    bearing = told.index(own_steps.BEARING_FIRST.what)
    studs = next(k for k, one in enumerate(told) if one.startswith(own_steps.STUDS_FIRST.what))
    assert bearing < studs
    assert told[studs].endswith(own_steps.OWN_STUDS)
    alone = to_do.next_steps(with_case(run, f"[studs]\n{nuts}\n"))
    assert not any(own_steps.OWN_STUDS in step.what for step in alone)


def with_case(run, text):
    """The same run of another case."""
    run.case = case_from_text(BASE + text)
    return run
