"""Humps between few places of a mounted turn: what highest less lowest misses counts, in both doors."""

import io
from dataclasses import replace

import numpy as np
import pytest
from rich.console import Console

from scenes.command import tables_causes
from scenes.command.road_options import Measured
from scenes.words import causes, findings, hub_and_rotor, what_leads
from scenes.words import mountings as said
from sim.bench.between_places import beyond_um, counted_um
from sim.bench.from_readings import index_readings
from sim.bench.mountings import told_apart
from sim.bench.next_act import next_act
from sim.corner.driven import MountedReading
from sim.files.dial_readings import Readings, Trace
from sim.parts.case import Case
from tests import fakes
from tests.unit.hand_made_finding import finding
from tests.unit.written_turns import FOUND, PLACES, decided, quiet

EVEN = Trace("thickness", 1, 0, np.arange(0.0, 360.0, 30.0), np.full(12, 11800.0), None, "cleaned")


def turn_of(places, two_um, hump_at_deg=25.0, dial_um=1.0, mount=1, stud=0):
    """14 µm once a turn, as much twice a turn as is given, its tops away from the places of six."""
    angle = np.arange(places) * 360.0 / places
    theta = np.radians(angle)
    value = 7.0 * np.cos(theta) + two_um / 2.0 * np.cos(2.0 * (theta - np.radians(hump_at_deg)))
    return Trace("mounted", mount, stud, angle, np.round(value), None, "cleaned", dial_um=dial_um)


def judged(*traces):
    read = Readings(5, 140.0, 64.0, 1.0, traces)
    told = told_apart(read)
    act = next_act(read, told)
    return act, said.against_limit(told, act, False)


def test_tops_between_six_places_count_against_the_limit():
    """56 µm that six places show as 44, twelve as 55; the limit is 50."""
    few, many = turn_of(6, 46.0, 35.0), turn_of(12, 46.0, 35.0)
    assert np.ptp(few.value_um) < 45.0 < 54.0 < np.ptp(many.value_um)
    act, text = judged(few, EVEN)
    assert act.read_um == pytest.approx(np.ptp(many.value_um), abs=4.0)
    assert act.against != "below"
    assert f"The dial showed {np.ptp(few.value_um):.0f} µm at 6 places; its tops reach" in text
    face = Trace("hub face", 0, 0, many.angle_deg, 3.0 * np.cos(np.radians(many.angle_deg)), None, "cleaned")
    table = Readings(5, 140.0, 64.0, 1.0, (few, face, EVEN))
    of = index_readings(table, table)
    assert of.read_um == pytest.approx(act.read_um)
    assert any("its tops reach" in note for note in of.notes)


@pytest.mark.parametrize(("places", "hidden"), [(6, 0.13), (8, 0.07), (12, 0.0)])
def test_of_one_hump_too_the_top_between_few_places_counts(places, hidden):
    """A lean of 52 µm at six places: "46 µm, below the limit of 50, leave it there"."""
    angle = np.arange(places) * 360.0 / places
    value = 26.0 * np.cos(np.radians(angle - 180.0 / places))
    one = Trace("mounted", 1, 0, angle, np.round(value, 1), None, "cleaned", dial_um=1.0)
    assert np.ptp(one.value_um) == pytest.approx(52.0 * (1.0 - hidden), abs=1.9)
    assert counted_um(one, 1.0) == pytest.approx(52.0, abs=2.0)
    act, text = judged(one, replace(one, value_um=one.value_um + 0.1), EVEN)
    assert act.against != "below"
    assert ("its tops reach" in text) is (hidden > 0.0)


def test_with_a_case_the_same_is_said_and_what_counts_is_not_called_what_the_dial_showed():
    """Beside a case it stood as "the dial: 56 µm" of a turn that showed 44, and no word of humps."""
    few = turn_of(6, 46.0, 35.0)
    told = told_apart(Readings(5, 140.0, 64.0, 1.0, (few, EVEN)))
    found = finding(told=told, read_um=told.states[-1].now.read_um)
    assert causes.after_rows(found)[0][0].replace("\u00a0", " ").startswith("as it is (the dial: 44 µm and 1")
    assert hub_and_rotor.between_places(told).startswith("The dial showed 44 µm at 6 places; its tops reach")
    assert hub_and_rotor.between_places(told_apart(Readings(5, 140.0, 64.0, 1.0, (turn_of(12, 46.0), EVEN)))) == ""
    read = Readings(5, 140.0, 64.0, 1.0, (few, EVEN))
    shown = Console(file=io.StringIO(), width=200)
    shown.print(tables_causes.ranked(found, read, Case()))
    assert "its tops reach" in shown.file.getvalue()


def test_a_stud_that_reads_alike_at_six_places_is_not_ordered_back_for_ever():
    """Two studs, alike to a micrometre: what lies between the places counts on both, not only where it stands."""
    stood = [turn_of(6, 46.0, 35.0, mount=1), turn_of(6, 46.0, 35.0, mount=2, stud=1)]
    orders = []
    while not orders or orders[-1].what in ("index", "back", "another stud"):
        assert len(orders) < 4  # no stud twice
        orders.append(judged(*stood, EVEN)[0])
        stood.append(turn_of(6, 46.0, 35.0, mount=len(stood) + 1, stud=orders[-1].studs_turned))
    assert "back" not in [one.what for one in orders]
    last = told_apart(Readings(5, 140.0, 64.0, 1.0, (*stood[:-1], EVEN))).states[-1]
    assert last.counted_um == pytest.approx([last.now.read_um] * len(last.mounts))
    assert last.read_um[-1] < last.counted_um[-1] - 5.0


def test_nothing_is_added_where_places_are_many_or_humps_are_not_told():
    assert beyond_um(turn_of(12, 50.0), 1.0) == 0.0
    assert beyond_um(turn_of(8, 0.0), 1.0) == 0.0
    assert beyond_um(turn_of(6, 6.0, dial_um=20.0), 20.0) == 0.0
    assert "two humps" not in judged(turn_of(12, 50.0), EVEN)[1]


def test_the_road_holds_the_same_figure_against_the_limit(tmp_path):
    """`drive` said 46 µm, below its limit, of a turn that `causes` counts as 57; the trace it starts from stays."""
    few = turn_of(6, 46.0, 35.0)
    counted = counted_um(few, 1.0)
    assert np.ptp(few.value_um) < 50.0 < counted
    head = "# studs: 5\n# gauge_radius_mm: 140\n# dial_um: 1\n# turned: counter-clockwise\n# dial: + towards\n"
    columns = "trace,mount,studs_turned,angle_deg,reading_um,state,clamped_by\n"
    rows = [
        f"mounted,1,0,{a:.0f},{value:.0f},cleaned,{held}\n"
        for held in ("nuts and spacers", "wheel")
        for a, value in zip(few.angle_deg, few.value_um, strict=True)
    ]
    thick = [f"thickness,1,0,{a:.0f},11800,cleaned,\n" for a in EVEN.angle_deg]
    tables = []
    for name, lines in (("as held", rows[:6]), ("both", [*rows, *thick]), ("worn", [*rows[:6], *thick])):
        tables.append(tmp_path / f"{name}.csv")
        tables[-1].write_text(head + columns + "".join(lines))
    asked, both, worn = (
        Measured(mounted=tables[0]).road(Case()), Measured(mounted=tables[1]).road(Case()),
        Measured(worn=tables[2]).road(Case()),
    )  # fmt: skip
    assert np.ptp(asked.mounted_um) == pytest.approx(np.ptp(few.value_um))
    assert (both.worn_mounted_um, worn.worn_mounted_um) == (pytest.approx(counted), pytest.approx(counted))
    between, places = asked.mounted_between
    run = fakes.run()
    one = MountedReading(np.array(asked.mounted_um), "wheel", "the readings", (40.0, 44.0, 48.0), np.ones(1), 2.0)
    run.reading = replace(one, between_um=between, places=places)
    judged = findings.runout(run)
    assert judged.value == pytest.approx(counted)
    assert "its tops reach" in judged.sentence
    assert f"showed {np.ptp(few.value_um):.0f} µm at 6" in judged.sentence
    assert "The road starts from what the dial showed, 44" in what_leads.disagreement(run)
    assert findings.AT_LEAST in findings.as_driven(run).sentence
    assert "two humps" not in findings.runout(fakes.run()).sentence


def test_a_clean_turn_at_few_places_says_what_it_hides():
    """Three humps a turn of 60 µm read nothing at six places: "leave it there", and not a word of the places."""
    every_other = {f"{a:g}" for a in PLACES[1::2]}
    few = "".join(line for line in quiet(2).splitlines(True) if line.split(",")[3] not in every_other)
    made = decided(FOUND, few)
    assert (
        "at 6 places, a turn hides 3 humps and more between them: 12 places show them"
        in hub_and_rotor.between_places(made.told)
    )
    assert hub_and_rotor.between_places(decided(FOUND, quiet(2)).told) == ""
