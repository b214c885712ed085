"""Advice follows from the numbers: what is ordered, what is left alone, and what reading would confirm it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest

import demo_geometry
from scenes.command import app, cure
from sim import advice as advised
from sim import turn, worn_rotor
from sim.bench.after_indexing import AsRead, Dialled, after_moving, after_seating
from sim.bench.bare_face import leak_um, lean_of
from sim.bench.cures import Cure, Found, order_of_cures
from sim.bench.from_readings import Higher, case_answer, higher_orders, index_readings
from sim.bench.stud_position import index_positions
from sim.files.case_file import case_from_text
from sim.files.dial_readings import parse
from sim.parts import stuck_caliper
from sim.parts.case import Case, Gauge, Hub, Rotor
from sim.parts.dial import against_limit, span_against_limit
from tests.fakes import worth_moving

PLACES = np.arange(12) * 30.0
HEAD = {
    "studs": 5,
    "gauge_radius_mm": 140,
    "hub_face_radius_mm": 64,
    "dial_um": 10,
    "turned": "counter-clockwise",
    "dial": "+ towards",
}


def wave(amplitude, high_spot, second=0.0):
    theta = np.radians(PLACES)
    return amplitude * np.cos(theta - np.radians(high_spot)) + second * np.cos(2 * theta)


def table(kind, values, state="as found", held="nuts and spacers", **head):
    shown = 5 * np.round(values / 5)
    rows = [f"{kind},1,0,{a:g},{v:g},{state},{held}" for a, v in zip(PLACES, shown, strict=True)]
    said = [f"# {key}: {value}" for key, value in (HEAD | head).items()]
    return "\n".join([*said, "trace,mount,studs_turned,angle_deg,reading_um,state,clamped_by", *rows, ""])


@pytest.fixture
def ask(tmp_path, capsys):
    """Write both tables, the rotor's with an even thickness, ask the program; its words and its JSON."""

    def told(hub, rotor, *words, state="as found", even=True, **head):
        paths = [tmp_path / name for name in ("hub.csv", "rotor.csv")]
        for path, kind, values in zip(paths, ("hub face", "mounted"), (hub, rotor), strict=True):
            path.write_text(table(kind, values, state, **head))
        if even:
            rows = table("thickness", np.full(12, 11_000.0), state).partition("clamped_by\n")[2]
            paths[1].write_text(paths[1].read_text() + rows)
        command = ["index", "--hub", str(paths[0]), "--rotor", str(paths[1]), *map(str, words)]
        with pytest.MonkeyPatch.context() as patched:
            patched.setattr(advised, "from_readings", once(advised.from_readings))
            assert app.main(command) == 0
            text = " ".join(capsys.readouterr().out.split())
            assert app.main([*command, "--json"]) == 0
        return text, json.loads(capsys.readouterr().out)

    return told


def once(compute):
    """What is asked twice of the same tables, for words and by machine, is computed once."""
    kept = {}

    def again(hub, rotor, asked, *progress):
        key = (hub, rotor, asked)
        if key not in kept:
            kept[key] = compute(*key, *progress)
        return kept[key]

    return again


def names(answer):
    return [one["name"] for one in answer["cures"]]


# The rotor leans with the hub: 8 um at 64 mm is 17.5 um at 140 mm (amplitudes).
GOOD_HUB = wave(8.0, 100.0)
MOVED = wave(8.0 * 140 / 64, 100.0) + wave(20.0, 120.0)  # best elsewhere


def test_a_move_that_gains_is_ordered_with_what_it_should_read_and_what_confirms_it(ask):
    text, answer = ask(GOOD_HUB, MOVED)
    assert names(answer) == ["clean", "bare hub", "index"]  # one turn of a face near its limit chooses no stud
    assert "the bare hub face, near its limit, is read on first" in text
    assert answer["move"]
    band = answer["should_then_read_um"]
    assert band["low"] < band["expected"] < band["high"]
    assert band["coverage"] == 0.8
    assert "80 % band" in text
    assert band["confirms_up_to"] <= band["high"]
    assert f"up to {band['confirms_up_to']:.0f} µm confirms the move" in text
    assert ("it is still over the limit" in text) == (band["confirms_up_to"] > answer["limit_um"])
    assert "is read after one sound move in ten" in text
    assert "held by nuts and spacers as before" in text


def test_a_rotor_that_may_not_stand_home_is_looked_at_and_no_part_is_named(ask, tmp_path, capsys):
    """390 um were told as "rotor 404 +- 13 um"; and readings over a case's scale on the spigot were indexed."""
    text, answer = ask(GOOD_HUB / 2.0, wave(180.0, 120.0), state="cleaned")
    assert names(answer) == ["another stud"]
    assert "home" in answer["leads"][0].partition(", before any of this. Next: ")[0]
    jammed = Path(demo_geometry.__file__).parent / "spigot_jammed.toml"
    read = ["--hub", str(tmp_path / "hub.csv"), "--rotor", str(tmp_path / "rotor.csv")]
    assert app.main(["index", str(jammed), *read]) == 3
    assert "not home on the hub" in capsys.readouterr().err


def test_a_move_that_gains_less_than_its_uncertainty_is_a_try(ask):
    """Over the limit nothing is bought before it: no gain is promised, and a stud costs minutes."""
    rotor = wave(30.0, 40.0) + wave(3.0 * 140 / 64, 10.0)
    text, answer = ask(wave(3.0, 10.0), rotor)
    assert answer["worth_moving"]["verdict"] == "too close to tell"
    assert names(answer) == ["clean", "index"]
    assert cure.TRY in text
    assert "Indexing gains" not in text
    # Nobody cleaned it: what the hub does not have need not be the rotor's.
    assert "rotor, and any dirt" in text
    clean, answer = ask(wave(3.0, 10.0), rotor, state="cleaned")
    assert "any dirt" not in clean
    assert "worth a try" in answer["leads"][0]
    assert "With another mounting and the dial's own scatter counted in it should then read" in answer["leads"][0]


def test_a_clean_corner_below_the_limit_keeps_its_rotor_on(ask):
    text, answer = ask(wave(3.0, 10.0), wave(15.0, 40.0), state="cleaned")
    assert names(answer) == ["second turn", "leave it on"]
    assert "before the dial comes off, one turn more of the same mounting" in text
    assert answer["cures"][1]["conditions"] == ["where it reads alike"]
    # Not cleaned yet: that first, and nothing is moved.
    assert names(ask(wave(3.0, 10.0), wave(15.0, 40.0))[1]) == ["clean", "second turn", "leave it on"]


def test_a_corner_is_not_done_while_its_hub_is_at_the_limit_or_its_thickness_unread(ask):
    """The rotor cancels what the hub brings: 22 of 23 um allowed, and the dial reads 20."""
    hub = wave(11.0, 30.0)
    text, answer = ask(hub, wave(10.0, 30.0), state="cleaned")
    assert answer["act"]["hub_face"]["state"] == "too close to tell"
    assert names(answer) == ["leave it on"]
    assert answer["cures"][0]["enough"] is None
    assert "Whether it stays its bare hub face decides" in text
    assert "the runout is done: on clean faces" not in text
    assert "read it twice more with the finest dial at hand, as further lines" in text
    unread = ask(wave(3.0, 10.0), wave(15.0, 40.0), state="cleaned", even=False)[1]
    assert names(unread) == ["thickness", "second turn", "leave it on"]
    assert unread["cures"][1]["conditions"] == ["where it is even"]


def test_a_reading_below_the_limit_but_too_close_to_tell_moves_nothing(ask):
    """Reads 55 of 60 um, and another stud would gain: a finer dial is cheaper than taking it off."""
    near = wave(6.5 * 140 / 64, 30.0) + wave(14.0, 40.0)
    text, answer = ask(wave(6.5, 30.0), near, "--limit", 60, "--hub-limit", 30, state="cleaned")
    assert 50.0 < answer["read_um"] <= 60.0
    assert answer["worth_moving"]["verdict"] == "worth it"
    assert names(answer) == ["finer dial"]
    assert not answer["move"]
    assert "the rotor stays on, its nuts untouched: read it once more with a finer dial" in text
    assert "but it is not asked for" in text


def test_a_stud_that_may_do_as_well_and_should_read_more_has_its_own_figure(ask):
    """Stud 3 should read 32 um, stud 4 51: no reading tells them apart for sure, and they are no equals."""
    hub, rotor = wave(25.0, 10.0), wave(25.0, 11.0)
    text, answer = ask(hub * 64 / 140, hub + rotor, "--hub-limit", 40, state="cleaned")
    assert (answer["best"], answer["either"], answer["alike"]) == (2, [2, 3], [2])
    assert "put the painted hole on stud 3" in text
    assert "as good" not in text
    second = next(band for band in answer["bands"] if band["studs_turned"] == 3)
    assert f"Stud 4 is not told to be worse but should read {second['middle_um']:.0f} µm" in text
    assert ": either" not in answer["cures"][0]["why"]
    # Bands that lie a few micrometres apart are equals.
    text, answer = ask(hub * 64 / 140, hub + wave(25.0, -10.0), "--hub-limit", 40, state="cleaned")
    assert answer["either"] == answer["alike"] == [2, 3]
    assert "painted hole on stud 4 (turned on by 3 holes), or painted hole on stud 3" in text


def test_what_reads_low_over_dirt_is_not_called_best_where_it_is(ask):
    text, answer = ask(wave(20.0 * 64 / 140, 100.0), wave(10.0, 130.0), "--hub-limit", 40)
    assert names(answer) == ["clean", "second turn", "leave it on"]
    assert "As found hub, rotor and dirt may cancel: cleaned it may read more" in text
    assert "sits best" not in text


def test_nothing_is_renewed_on_a_reading_that_is_too_close_to_the_limit(ask):
    text, answer = ask(wave(3.0, 20.0), wave(28.0, 20.0), state="cleaned")
    assert answer["read_um"] > 50.0
    assert names(answer) == ["finer dial"]
    assert "over the limit by less than this dial is sure to" in text


def test_no_rotor_is_condemned_from_one_stud(ask):
    dirty, clean = (ask(wave(3.0, 10.0), wave(60.0, 40.0), state=state)[1] for state in ("as found", "cleaned"))
    assert (names(dirty), names(clean)) == (["clean", "another stud"], ["another stud"])
    assert dirty["cures"][1]["conditions"] == ["if it reads the same once cleaned"]


def test_nothing_is_renewed_while_another_stud_may_do(ask):
    """Hub 26 um at the dial, rotor 50: turned it reads under 30, but the readings cannot tell that gain from none."""
    rotor = wave(6.0 * 140 / 64, 100.0) + wave(24.0, 40.0)
    _, answer = ask(wave(6.0, 100.0), rotor, state="cleaned")
    assert answer["worth_moving"]["verdict"] == "too close to tell"
    assert answer["should_then_read_um"]["expected"] < 50.0 < answer["read_um"]
    assert names(answer) == ["index"]


def test_whose_the_limits_are_is_said_unless_they_were_given(ask):
    usual = "common practice, no source"
    said = ask(GOOD_HUB, MOVED)[0]
    assert usual in said
    assert "The vehicle maker's count" in said
    # Only one is given: the other follows from it, and says so.
    text, answer = ask(GOOD_HUB, MOVED, "--limit", 40)
    assert (
        "limit of 18 µm of the bare hub face (--hub-limit): worked out from the mounted one. At the rotor's dial 18 µm "
        "of the hub face is 40 of the 40 µm mounted: nothing is left for the rotor and its seat; at 9 µm half is "
        "left" in text
    )
    assert answer["hub_limit_um"] == pytest.approx(40 * 64 / 140)
    assert usual not in ask(GOOD_HUB, MOVED, "--limit", 40, "--hub-limit", 20)[0]


def test_the_hubs_limit_follows_from_the_mounted_limit_and_the_tables_radii(ask):
    """A hub face of 27 um at 64 mm alone brings 59 um at 140 mm: over 50 before a rotor is on."""
    hub = wave(13.5, 100.0)
    mounted = wave(13.5 * 140 / 64, 100.0)
    assert ask(hub, mounted, dial_um=1)[1]["hub_limit_um"] == pytest.approx(50 * 64 / 140)
    assert ask(hub, mounted, dial_um=1, state="cleaned")[1]["act"]["hub_face"]["state"] == "above"
    assert ask(hub, mounted, dial_um=1)[1]["act"]["hub_face"]["state"] == "too close to tell"  # as found, under dirt
    assert ask(hub, mounted, hub_face_radius_mm=94, dial_um=1)[1]["hub_limit_um"] == 30.0


def test_todays_runout_is_one_figure(ask):
    text, answer = ask(GOOD_HUB, MOVED)
    read, then = answer["read_um"], answer["should_then_read_um"]["expected"]
    assert answer["now_um"] == read
    assert f"{read:.0f} µm as read" in text
    assert answer["worth_moving"]["gain_um"] == pytest.approx(read - then)
    reckoned = {f"{one['runout_um']:.0f} µm" for one in answer["positions"] if one["studs_turned"] == 0}
    assert not any(figure in text for figure in reckoned - {f"{read:.0f} µm"})


def test_every_verdict_of_the_table_is_by_one_rule(ask):
    text, answer = ask(GOOD_HUB, MOVED)
    read, half = answer["read_um"], answer["reading_doubt_um"]
    rows = dict(re.findall(r"stud (\d) .*?(below|above|too close to tell)", text.split("share of")[0]))
    for band in answer["bands"]:
        low, high = band["low_um"], band["high_um"]
        if band["studs_turned"] == 0:
            low, high = read - half, read + half
        assert rows[str(band["studs_turned"] + 1)] == span_against_limit(low, high, 50.0)
    assert span_against_limit(30.0, 50.0, 50.0) == against_limit(40.0, 50.0, 10.0) == "below"
    assert span_against_limit(50.0, 70.0, 50.0) == against_limit(60.0, 50.0, 10.0) == "above"


def test_a_stud_that_should_read_no_less_than_now_is_no_gain(ask):
    """By vectors another stud leaves a little less; what the dial should then show is more than it shows now."""
    hub = wave(3.0, 10.0)
    text, answer = ask(hub, wave(3.0 * 140 / 64, 10.0) + wave(8.0, 120.0), "--limit", 15, state="cleaned")
    reckoned = min(answer["positions"], key=lambda one: one["runout_um"])
    assert reckoned["studs_turned"] != 0
    assert {b["studs_turned"]: b["middle_um"] for b in answer["bands"]}[reckoned["studs_turned"]] > answer["read_um"]
    assert answer["best"] == 0
    assert answer["worth_moving"]["verdict"] == "no gain"
    assert not answer["move"]
    # Near ties have no best: every stud that may as well be it is called so.
    assert len(answer["either"]) > 1
    assert "It sits best where it is" not in text
    assert "No stud is told to be better than where it sits" in text
    rows = text.split("share of the first order")[0]
    assert rows.count("any of these") == len(answer["alike"])
    assert rows.count("not told to be worse") == len(answer["either"]) - len(answer["alike"])
    assert " best" not in rows
    assert "−" not in rows  # no dial shows a runout below nought


def test_warp_is_not_hidden_beside_small_shares(ask):
    text, answer = ask(wave(3.0, 10.0), wave(5.0, 40.0, second=30.0), state="cleaned")
    assert answer["shares"]["hub"]["runout_um"] + answer["shares"]["rotor"]["runout_um"] < 30.0
    assert answer["higher_orders"] == {"runout_um": pytest.approx(60.0, abs=4.0), "material": True}
    assert "share of the first order" in text
    assert "in neither: two humps a turn and more" in text
    assert "warped, or something between the faces" in text
    plain, answer = ask(GOOD_HUB, MOVED)
    assert not answer["higher_orders"]["material"]
    assert "in neither" not in plain


def test_what_no_dial_shows_is_no_warp():
    """A perfect corner holds a tenth of a micrometre of five humps: all of its runout, and nothing."""
    assert higher_orders(np.array([0.0, 0.0, 0.3]), 0.6) == Higher(pytest.approx(0.6, abs=1e-3), False)
    assert higher_orders(np.array([0.0, 0.0, 3.0]), 6.0).counts


def test_below_the_limit_a_gain_is_named_as_not_asked_for(ask):
    text, answer = ask(GOOD_HUB, MOVED, "--limit", 120, "--hub-limit", 30, state="cleaned")
    assert names(answer) == ["second turn", "leave it on"]
    assert answer["worth_moving"]["verdict"] == "worth it"
    assert not answer["move"]
    assert "but it is not asked for" in text
    assert "Indexing gains more" not in text


def test_a_hub_over_its_limit_leads_to_hub_and_bearing_and_not_to_a_stud(ask):
    hub = wave(30.0, 18.0)
    text, answer = ask(hub, wave(30.0 * 140 / 64, 100.0) + wave(60.0, 120.0))
    assert names(answer) == ["clean", "bare hub"]  # as found it may be dirt that is read
    assert not answer["move"]
    cleaned, answer = ask(hub, wave(30.0 * 140 / 64, 100.0) + wave(60.0, 120.0), state="cleaned")
    assert names(answer) == ["hub and bearing"]
    assert answer["act"]["hub_face"]["state"] == "above"
    assert "play" in answer["cures"][0]["why"]
    assert not answer["move"]
    assert "Hub and bearing first" in cleaned
    assert "Indexing gains" not in text + cleaned
    # The same tables against two limits: only the hub's limit decides.
    assert names(ask(GOOD_HUB, MOVED, "--hub-limit", 5, state="cleaned")[1]) == ["hub and bearing"]
    assert names(ask(GOOD_HUB, MOVED, "--hub-limit", 60, state="cleaned")[1])[-1:] != ["hub and bearing"]
    assert names(ask(GOOD_HUB, MOVED, "--hub-limit", 5)[1]) == ["clean", "bare hub"]
    assert names(ask(GOOD_HUB, MOVED, "--hub-limit", 60)[1]) == ["clean", "index"]


def test_a_limit_that_follows_from_another_is_told_so_and_not_as_common_practice(ask):
    text, _ = ask(GOOD_HUB, MOVED)
    assert "limit of 50 µm mounted (--limit): common practice, no source" in text
    assert "limit of 23 µm of the bare hub face (--hub-limit): worked out from the mounted one" in text
    assert (
        "limit of 30 µm of the bare hub face (--hub-limit): common practice" in ask(GOOD_HUB, MOVED, "--limit", 90)[0]
    )
    assert "worked out" not in ask(GOOD_HUB, MOVED, "--hub-limit", 20)[0]


def test_a_rotor_table_alone_is_led_to_what_takes_it(tmp_path, capsys):
    path = tmp_path / "rotor.csv"
    path.write_text(table("mounted", MOVED))
    assert app.main(["index", "--rotor", str(path)]) == 2
    told = " ".join(capsys.readouterr().err.split())
    for word in ("--rotor", "trueseat causes", "trueseat chalk", "--hub CSV"):
        assert word in told, word


def test_of_several_thickness_turns_the_last_counts_in_every_command(tmp_path):
    rows = table("thickness", 11_000.0 + wave(5.0, 0.0), dial_um=5).rstrip("\n")
    again = [f"thickness,2,0,{a:g},{v:g},as found,nuts and spacers" for a, v in
             zip(PLACES, 10_500.0 + 5 * np.round(wave(10.0, 90.0) / 5), strict=True)]  # fmt: skip
    path = tmp_path / "worn.csv"
    path.write_text("\n".join([rows, *again, ""]))
    found = parse(path.read_text(), "worn.csv")
    assert found.thickness is found.of("thickness")[-1]
    assert "of 2 thickness turns in the table the last counts" in found.thickness_counts
    worn = worn_rotor.worn_map(Case(), path, "both faces")
    assert worn.thickest_mm == pytest.approx(10.51)
    assert worn.varies.value_um == pytest.approx(20.0)
    assert "10.490 ± 0.007 mm (k = 2) at its thinnest" in worn.discard(Case())
    assert "the last counts" in worn.discard(Case())


def test_a_slip_is_read_again_before_anything_is_moved(ask):
    slipped = MOVED.copy()
    slipped[4] = -slipped[4]
    text, answer = ask(GOOD_HUB, slipped)
    assert names(answer) == ["read again"]
    assert any(120.0 in one["angle_deg"] for one in answer["reading_faults"])
    # The place stands first, not that something is wrong.
    assert "blamed or bought: mounted, mount 1: read 120 degrees again" in text
    assert "nothing is moved on these readings" in text
    # What could be reckoned from them is not shown, and orders nothing.
    assert not answer["move"]
    assert "should read" not in text
    assert "share at the dial" not in text
    assert "second order" not in text
    assert "Indexing" not in text


def test_a_mistyped_thickness_condemns_no_rotor(ask, tmp_path, capsys):
    """One place 100 um too low: two rotors were ordered in the lead, and that it is to be read again stood below."""
    ask(GOOD_HUB, MOVED, state="cleaned")
    text = (tmp_path / "rotor.csv").read_text().replace(",120,11000,cleaned", ",120,10900,cleaned")
    (tmp_path / "rotor.csv").write_text(text)
    command = ["index", "--hub", str(tmp_path / "hub.csv"), "--rotor", str(tmp_path / "rotor.csv"), "--json"]
    assert app.main(command) == 0
    answer = json.loads(capsys.readouterr().out)
    assert names(answer) == ["read again"]
    assert (answer["rotor_goes"], answer["act"]["thinnest_mm"]) == ("", None)
    assert answer["cures"][0]["why"].startswith("thickness, mount 1: read 120 degrees again")
    assert "stamp" not in answer["leads"][0]


def test_nothing_is_ordered_on_a_rotor_that_one_screw_holds(ask):
    """It does not sit; it was told to be renewed, or moved, with a screw reading as proof."""
    text, answer = ask(GOOD_HUB, MOVED, held="screw only")
    assert names(answer) == ["read again"]
    assert not answer["move"]
    assert "held by the screw only" in text
    assert "nuts with spacers" in text


def test_of_a_stud_that_was_read_nothing_is_foretold(ask, tmp_path, capsys):
    """Put back where hub and rotor cancelled: it is known what it reads there."""
    hub, rotor = 6.0 * 140 / 64, wave(30.0, 280.0)
    ask(0.75 * GOOD_HUB, wave(hub, 100.0) + rotor, state="cleaned")
    rows = table("mounted", wave(hub, 100.0 - 144.0) + rotor, "cleaned").partition("clamped_by\n")[2]
    worse = rows.replace("mounted,1,0", "mounted,2,2")
    (tmp_path / "rotor.csv").write_text((tmp_path / "rotor.csv").read_text() + worse)
    command = ["index", "--hub", str(tmp_path / "hub.csv"), "--rotor", str(tmp_path / "rotor.csv"), "--json"]
    assert app.main(command) == 0
    answer = json.loads(capsys.readouterr().out)
    assert (answer["act"]["what"], answer["best"], answer["move"]) == ("back", 0, True)
    assert names(answer) == ["index"]
    assert "should then read" not in answer["leads"][0] + answer["cures"][0]["why"]
    assert any("the figures of the studs are by the bare hub and stud 3 alone" in note for note in answer["notes"])


@pytest.mark.parametrize(
    ("table", "cures", "told"),
    [
        ("", ["free the caliper", "leave it on"], "Leave it on, once the caliper is freed and what ran hot is"),
        ("[hub]\nface_runout_um = 40\n", ["free the caliper", "hub and bearing"], "See to the hub"),
        ("[hub]\nbearing_end_float_um = 60\n", ["free the caliper", "read again"], "The bearing first"),
        ("[studs]\nroad_torque_nm = [140, 60, 140, 140, 140]\n", ["read again", "free the caliper"], "The nuts first"),
    ],
)
def test_a_caliper_that_sticks_and_the_rotor_that_ran_hot_stand_in_the_cures(tmp_path, capsys, table, cures, told):
    """`index` told "1. leave it on" alone under a line of the caliper, and nothing of cracks and blue."""
    case = tmp_path / "corner.toml"
    case.write_text(f'base = "rear_solid_300"\n{table}')
    assert app.main(["index", str(case), "--json"]) == 0
    free = json.loads(capsys.readouterr().out)
    assert not [one for one in free["cures"] if "caliper" in one["why"]]
    case.write_text(f'base = "rear_solid_300"\n{table}[caliper]\nsticking_outboard_n = 800\n')
    assert app.main(["index", str(case), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert names(answer) == cures
    freed = next(one for one in answer["cures"] if one["name"] == "free the caliper")
    assert freed["why"].endswith(stuck_caliper.RAN_HOT)
    first = next(k for k, line in enumerate(answer["leads"]) if line.startswith("The caliper first"))
    other = next(k for k, line in enumerate(answer["leads"]) if line.startswith(told))
    assert (first < other) is (cures[0] == "free the caliper")  # lines and cures in one order
    assert app.main(["index", str(case)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert (f"1. {told}" if cures[0] == "read again" else "1. free the caliper:") in said
    assert "electric park brake: service mode before a hand goes near" in said


def test_limits_beside_a_case_count_or_are_refused_and_a_table_of_thickness_is_never_ignored(tmp_path, capsys):
    """`index CASE --limit 5` called 32 um "below"; a thickness file that does not exist passed beside two tables."""
    case = tmp_path / "corner.toml"
    case.write_text('base = "perfect_solid_300"\n[rotor]\nown_runout_um = 40.0\n')
    assert app.main(["index", str(case), "--limit", "5", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["cures"][0]["name"] != "leave it on"
    case.write_text('base = "perfect_solid_300"\n[limits]\nmounted_runout_um = 60.0\n')
    assert app.main(["index", str(case), "--limit", "5"]) == 2
    assert "5 here, but 60 in the case file" in capsys.readouterr().err
    tables = ["--hub", "h.csv", "--rotor", "r.csv"]
    assert app.main(["index", str(case), *tables, "--thickness", str(tmp_path / "none.csv")]) == 2
    assert "--thickness" in capsys.readouterr().err


def test_a_second_order_is_a_hint_and_never_proof(ask):
    text, answer = ask(wave(3.0, 10.0), wave(15.0, 40.0, second=25.0), state="cleaned")
    (hint,) = [note for note in answer["notes"] if "second order" in note]
    assert "a hint at something between the faces, or a rotor that is warped" in hint
    assert "dirt" not in hint
    # Before a rotor is condemned another stud tells whose it is; the stud on which it sits is none to try.
    assert names(answer) == ["index"]
    assert 0 not in answer["either"]
    assert "Do not index it" not in text


def test_shares_of_hub_and_rotor_are_vectors_with_their_uncertainty(ask):
    text, answer = ask(GOOD_HUB, MOVED)
    hub, rotor = answer["shares"]["hub"], answer["shares"]["rotor"]
    assert hub["runout_um"] == pytest.approx(2 * 8 * 140 / 64, abs=hub["uncertainty_um"])
    assert abs(hub["high_spot_deg"] - 100.0) < hub["high_spot_uncertainty_deg"]
    assert rotor["runout_um"] == pytest.approx(40.0, abs=rotor["uncertainty_um"])
    assert (hub["frame"], rotor["frame"]) == ("hub", "rotor")
    assert "high spot" in text
    assert "(k = 2)" in text
    # Less than its uncertainty has no angle.
    faint = ask(wave(1.2, 10.0) + np.where(PLACES == 0, 3, 0), MOVED)[1]["shares"]["hub"]
    assert faint["high_spot_uncertainty_deg"] is None


def test_near_ties_say_either():
    """Two studs that oppose equally well."""
    hub, rotor = turn.coefficient(20.0, 36.0), turn.coefficient(20.0, 180.0)
    found = index_positions(hub, rotor, 5)
    places = np.arange(12) * 30.0
    read = AsRead(np.array([0, rotor + hub, 0, 0]), np.full(4, 1.7), hub, 4.0, 0, 5, places, 10.0)
    after = after_moving(read, range(5), found.best)
    tied = [turned for turned, better in after.better.items() if better > 0.2 and turned != found.best]
    assert len(tied) == 1
    worth = worth_moving(found.at(3), found.at(found.best), 5, 10.0, (12, 12))
    known = Found(now_um=90.0, cleaned=True, after=after.bands[found.best], either=(found.best, *tied))
    (step, *_) = order_of_cures(found, 40.0, worth, found=known)
    assert "either" in step.why


def test_the_band_holds_what_is_read_where_the_draws_are_of_its_own_kind():
    """A small version of `python -m tests.studies.index_residual`, with its own corners."""
    rng = np.random.default_rng(6)
    inside = 0
    number = 120
    for _ in range(number):
        hub, rotor, before, after = (s * complex(*rng.normal(size=2)) for s in (13.0, 15.0, 3.0, 3.0))
        read = np.zeros(4, dtype=complex)
        read[1] = rotor + hub + before
        read[1:] += 1.7 * (rng.normal(size=3) + 1j * rng.normal(size=3))
        seen = hub + 4.0 * complex(*rng.normal(size=2))
        best = index_positions(seen, read[1] - seen, 5).best
        moved = rotor + hub * np.exp(2j * np.pi * best / 5) + (after if best else before)
        shown = np.ptp(turn.evaluate([0, moved], np.radians(PLACES)) + rng.normal(0, 2.9, 12))
        told = AsRead(read, np.full(4, 1.7), seen, 4.0, 0, 5, PLACES, 10.0)
        band = after_moving(told, (best,), best).bands[best]
        inside += band.low_um <= shown <= band.high_um
    assert 0.70 < inside / number < 0.90


def test_one_reading_confirms_nothing_where_both_bands_lie_on_each_other():
    orders = {0: np.array([0, 30.0, 0, 0], dtype=complex), 1: np.array([0, 29.0, 0, 0], dtype=complex)}
    orders[2] = orders[0] / 3
    after = after_seating(orders, 0, 2, Dialled(PLACES, 10.0))
    assert after.confirms_up_to_um(0, 1) is None
    assert after.confirms_up_to_um(0, 2) == after.bands[2].high_um


def test_a_rotor_that_stays_on_reads_as_before_within_the_dial():
    trace = np.array([0, 30.0, 0, 0], dtype=complex)
    after = after_seating({0: trace, 1: trace / 3}, 0, 1, Dialled(PLACES, 10.0))
    assert after.bands[0].high_um - after.bands[0].low_um < after.bands[1].high_um - after.bands[1].low_um
    assert after.bands[0].low_um < 60.0 + 5.0 < after.bands[0].high_um + 5.0


class Seen:
    """A seat by its traces alone."""

    def __init__(self, outboard, inboard):
        self.outboard_um, self.inboard_um = outboard, inboard


def test_from_a_case_the_gauges_face_counts():
    theta = np.radians(np.arange(360))
    hub, rotor, other = (turn.coefficient(a, d) for a, d in ((20.0, 72.0), (20.0, 180.0), (12.0, 30.0)))
    seats, orders = [], []
    for turned in range(5):
        orders.append(hub * np.exp(2j * np.pi * turned / 5))
        seats.append(Seen(*(turn.evaluate([0, orders[-1] + own], theta) for own in (rotor, other))))
    for face, own in (("outboard", rotor), ("inboard", other)):
        case = Case(gauge=Gauge(face=face), hub=Hub(face_runout_um=18.0), rotor=Rotor(own_runout_um=40.0))
        found = index_positions(hub, own, 5)
        answer, _, _ = case_answer(case, found, seats)
        assert answer["gauge_face"] == face
        assert answer["shares"]["rotor"]["runout_um"] == pytest.approx(2 * abs(own))
        assert answer["shares"]["rotor"]["high_spot_deg"] == pytest.approx(turn.high_spot_deg(own))


def test_what_was_computed_has_no_uncertainty_of_a_reading():
    computed = Found(now_um=90.0, hub_face_um=12.0, hub_share_um=26.0, cleaned=True)
    found = index_positions(turn.coefficient(13.0, 80.0), turn.coefficient(32.0, 80.0), 5)
    worth = worth_moving(found.at(found.best), found.at(found.best), 5, 10.0, (12, 12))
    assert "26 µm at the rotor's dial" in order_of_cures(found, 20.0, worth, found=computed)[-1].why
    assert "±" not in order_of_cures(found, 20.0, worth, found=computed)[-1].why


def test_a_table_that_counts_clockwise_is_answered_in_both_ways(ask):
    mirror = (-np.arange(12)) % 12
    plain, _ = ask(GOOD_HUB, MOVED)
    text, answer = ask(GOOD_HUB[mirror], MOVED[mirror], turned="clockwise")
    assert answer["best"] == index_readings(*2 * [parse(table("hub face", GOOD_HUB) + "\n".join(
        table("mounted", MOVED).splitlines()[7:]) + "\n")]).result.best  # fmt: skip
    yours = (5 - answer["best"]) % 5 + 1
    assert f"painted hole on stud {yours}, {yours - 1} studs on from stud 1 clockwise" in text
    assert "high spot, clockwise" in text
    assert "counter-clockwise" not in text
    assert "high spot, counter-clockwise" in plain


def test_a_turn_that_is_left_out_is_not_held_against_the_mount_that_stands(tmp_path, capsys):
    """Three mountings that agree outweigh the one before: `causes` was done, and `index` sent to read once more."""
    rows = [wave(amplitude, 40.0) for amplitude in (30.0, 8.0, 7.0, 8.0)]
    turns = [
        table("mounted", values, "cleaned").replace("mounted,1", f"mounted,{k}") for k, values in enumerate(rows, 2)
    ]
    below = [one.partition("clamped_by\n")[2] for one in turns]
    even = table("thickness", np.full(12, 11_000.0)).partition("clamped_by\n")[2]
    rotor, hub = tmp_path / "rotor.csv", tmp_path / "hub.csv"
    rotor.write_text(table("mounted", wave(40.0, 200.0)) + even + "".join(below))
    hub.write_text(table("hub face", wave(3.0, 10.0), "cleaned"))
    assert app.main(["index", "--hub", str(hub), "--rotor", str(rotor), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert any("mount 2 is left out" in note for note in answer["notes"])
    assert not any("1 of 4 turns" in note for note in (*answer["notes"], *(one["why"] for one in answer["cures"])))
    assert names(answer) == ["second turn", "leave it on"]


def test_words_of_the_verdict_name_the_uncertainty():
    assert all("doubt" not in text for text in cure.VERDICT.values())


def test_an_uneven_hub_face_with_lips_leaves_its_lean_uncertain():
    """Eight places, five holes: where three hardly count, a second order looks like a lean, and the band says so."""
    places = np.arange(8) * 45.0
    theta, rng = np.radians(places), np.random.default_rng(3)
    assert leak_um(places, np.ones(8)) < 1e-6
    squares, told = [], []
    for _ in range(150):
        second = 4.0 * complex(*rng.normal(size=2))
        lips = 40.0 * np.isin(places, (0.0,)) + 12.0 * np.isin(places, (135.0, 225.0))
        shown = turn.evaluate([0, 8.0, second], theta) + lips + rng.normal(0, 3.0, 8)
        lean = lean_of(places, 5 * np.round(shown / 5), 10.0, studs=5)
        squares.append(abs(lean.orders[1] - 8.0) ** 2 / 2)
        told.append(lean.sd_um**2)
    assert np.mean(squares) < 1.25 * np.mean(told)


@pytest.mark.usefixtures("few_seatings")
def test_no_stud_position_is_weighed_under_a_nut_that_was_loose_on_the_road(ask, tmp_path, monkeypatch):
    """Readings are clean, even and low: without that nut the rotor stays on."""
    monkeypatch.setattr("sim.causes.signatures.SEATED", 60)  # a corner of its own, of which no odds are asked
    monkeypatch.setattr("sim.causes.finding.LEAST_COLUMNS", 3.0)
    case = tmp_path / "case.toml"
    quiet = wave(5.0, 30.0), wave(12.0, 100.0)
    assert ask(*quiet, state="cleaned")[1]["act"]["what"] == "second turn"
    case.write_text("title = 'a nut'\nbase = 'rear_solid_300'\n[studs]\nroad_torque_nm = [30, 140, 140, 140, 140]\n")
    text, answer = ask(*quiet, case, state="cleaned")
    assert "The nuts first: as driven" in text
    assert "stud 1 at 30 N m where others have 140 N m; look at" in text
    assert "best" not in text
    assert not answer["move"]
    head = "title = 'studs'\nbase = 'rear_solid_300'\n[studs]\n"
    case.write_text(f"{head}road_torque_nm = [140, 140, 350, 140, 140]\n")
    text, answer = ask(*quiet, case, state="cleaned")
    assert "The studs first: stud 3: preload above the proof load" in text
    assert not answer["move"]
    case.write_text(f"{head}torque_nm = [140, 138, 140, 139, 140]\n")  # even, as nuts on the road are: they hold
    assert ask(*quiet, case, state="cleaned")[1]["act"]["what"] == "second turn"


@pytest.mark.parametrize(
    ("tables", "cures", "told"),
    [
        ("[rotor]\nown_runout_um = 40", ["clean"], "clean both faces, put it back where it is and read it, two turns"),
        (
            "[rotor]\nown_runout_um = 60\n[studs]\nindex_positions = [0]",
            ["replace the rotor"],
            "Before a rotor is bought for its runout both faces are cleaned once more and it is read again.",
        ),
    ],
)
def test_a_corner_that_nobody_read_is_cleaned_and_read_as_seat_says_before_anything_else(
    tables, cures, told, tmp_path, capsys
):
    """Too close to tell it was left on for a finer dial, and with one hole a rotor was ordered at once."""
    path = tmp_path / "corner.toml"
    path.write_text(f'base = "rear_solid_300"\n{tables}\n')
    assert app.main(["index", str(path)]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert told in text
    assert "finer dial" not in text
    assert app.main(["index", str(path), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert names(answer) == cures
    assert told in answer["leads"][-1]
    if cures == ["replace the rotor"]:
        assert answer["cures"][0]["why"].startswith("both faces cleaned once more and read again, still over the limit")
        assert answer["cures"][0]["why"].endswith("both of the axle")
    else:
        assert "painted hole on stud 5" in answer["cures"][0]["why"]


def test_pads_worn_out_as_given_are_a_cure_of_their_own_before_the_rotor_is_left_on():
    case = case_from_text('base = "rear_solid_300"\n[pads]\nthickness_mm = 1.9\n')
    leave = Cure("leave it on", 30.0, True, "below the limit")
    assert [one.name for one in advised.with_stated(case, [leave])] == ["renew the pads", "leave it on"]
    assert "worn out, renew them" in advised.with_stated(case, [leave])[0].why
    assert advised.with_stated(Case(), [leave]) == (leave,)
