"""A table that counts clockwise is answered as it counts: else a good place of the hub is read again, or stoned."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date
from html import unescape

import numpy as np
import pytest

from scenes.command.app import main
from scenes.pages.job_card import job_card_html
from scenes.plots.numbered_face import Spot, numbered_face
from scenes.words.your_count import Count
from sim.__main__ import main as numeric
from sim.files.as_counted import said
from sim.files.dial_readings import CLOCKWISE, COUNTER, to_csv
from sim.parts.case import Case
from tests.unit.causes_corner import Corner, orders
from tests.unit.hand_made_finding import FOUR, finding, read_once


@pytest.mark.parametrize(
    ("text", "there"),
    [
        ("hub face: read 120 degrees again", "hub face: read 240 degrees again"),
        (
            "look at the bare hub face at 150° of 12, limit 23 µm",
            "look at the bare hub face at 210° of 12, limit 23 µm",
        ),
        ("read 30 and 60.5 degrees again", "read 330 and 299.5 degrees again"),
        ("high spot at 22 ± 19° on the hub", "high spot at 338 ± 19° on the hub"),
        ("at 360 degrees the dial came back", "at 360 degrees the dial came back"),
        ("0° and 180° stay, 72° apart, within 30°", "0° and 180° stay, 72° apart, within 30°"),
        ("on stud 2, 35 µm; stud 1 or 3", "on stud 5, 35 µm; stud 1 or 4"),
        ("midway between studs 5 and 1", "midway between studs 1 and 2"),
        ("between studs 2 and 3, nearer 2", "between studs 4 and 5, nearer 5"),
        ("stud 2, 1 stud on from stud 1 counter-clockwise", "stud 5, 4 studs on from stud 1 clockwise"),
        ("stud 5, 4 studs on from stud 1 counter-clockwise", "stud 2, 1 stud on from stud 1 clockwise"),
        ("places count counter-clockwise, 90° is at the left", "places count clockwise, 270° is at the left"),
    ],
)
def test_places_and_studs_turn_round_and_nothing_else(text, there):
    assert said(text, COUNTER, 5) == text
    assert said(text, CLOCKWISE, 5) == there


def _swapped(text):
    """The words of one sense in those of the other, the places at the left and right too."""
    senses = {"clockwise": "counter-clockwise", "counter-clockwise": "clockwise"}
    text = re.sub(r"(?:counter-)?clockwise", lambda one: senses[one[0]], text)
    return text.replace(", as your table", "").replace("270° is at the left", "90° is at the left")


def _with(read, kind, place, more_um):
    """The same readings, a place of the last turn of a kind written otherwise."""
    at = max(k for k, one in enumerate(read.traces) if one.kind == kind)
    value = read.traces[at].value_um.copy()
    value[place] += more_um
    turns = list(read.traces)
    turns[at] = replace(turns[at], value_um=value)
    return replace(read, traces=tuple(turns))


def _tables():
    """A corner to index, dirt, a place of the bare face off the others once and in each of two turns, of a mount."""
    far = {"hub": orders(20.0 * np.exp(0.4j), 4.0), "rotor": orders(70.0 * np.exp(-2j), 6.0j)}
    honest = Corner(4, **far).mounted(0).thickness().mounted(0, "cleaned").bare().readings()
    twice = Corner(5, **far).mounted(0).thickness().mounted(0, "cleaned").bare().readings()
    raised = _with(twice, "hub face", 5, 60.0)
    three = Corner(6, **far).mounted(0).thickness().mounted(0, "cleaned").bare().mounted(1, "cleaned")
    return [
        three.mounted(2, "cleaned").readings(),
        Corner(2, hub=orders(8.0), rotor=orders(30.0j)).mounted(0).mounted(1, "cleaned").bare().readings(),
        _with(honest, "hub face", 4, -60.0),
        replace(raised, traces=(*raised.traces, raised.traces[-1])),
        _with(honest, "mounted", 2, 90.0),
    ]


@pytest.mark.parametrize("read", _tables())
def test_the_same_rows_are_told_in_the_same_words_whichever_way_they_count(read, tmp_path, capsys):
    path, told, by_machine = tmp_path / "readings.csv", {}, {}
    text = to_csv(read)
    assert text.count(f"# turned: {COUNTER}") == 1
    for turned in (COUNTER, CLOCKWISE):
        path.write_text(text.replace(f"# turned: {COUNTER}", f"# turned: {turned}"))
        assert main(["causes", str(path)]) == 0
        told[turned] = " ".join(capsys.readouterr().out.split())
        assert main(["causes", str(path), "--json"]) == 0
        by_machine[turned] = json.loads(capsys.readouterr().out)
    assert _swapped(told[CLOCKWISE]) == told[COUNTER]
    here, there = (by_machine[turned] for turned in (COUNTER, CLOCKWISE))
    assert there["counting"] == {"numbers": COUNTER, "texts": CLOCKWISE}
    assert [_swapped(line) for line in there["leads"]] == here["leads"]
    assert json.loads(_swapped(json.dumps(there["words"]))) == here["words"]
    on = [one["next_studs_turned"] for one in (here, there)]  # a number counts counter-clockwise, whatever the table
    assert on[0] == (on[1] if on[1] is None else -on[1] % read.studs)


def test_a_slip_is_read_again_at_the_place_that_its_table_names(tmp_path, capsys):
    read = _tables()[2]
    path = tmp_path / "readings.csv"
    path.write_text(to_csv(read).replace(f"# turned: {COUNTER}", f"# turned: {CLOCKWISE}"))
    assert main(["causes", str(path)]) == 0
    said_so = capsys.readouterr().out
    assert "read 120 " in said_so
    assert "240" not in said_so


def test_the_card_of_such_a_table_counts_as_it_does_in_words_drawing_and_list(monkeypatch):
    drawn = {}
    monkeypatch.setattr("scenes.pages.job_card.overlay", lambda *_, **more: drawn.update(more) or "<svg/>")
    read, made = read_once(FOUR), finding()
    here, there = (
        job_card_html(made, replace(read, turned=turned), Case(), date(2026, 12, 1)) for turned in (COUNTER, CLOCKWISE)
    )
    assert drawn["turned"] == CLOCKWISE

    def heads(page):
        return re.findall(r"<th>(\d+)°</th>", page)[:12]

    assert heads(here) == heads(there) == [str(at) for at in range(0, 360, 30)]
    row = re.compile(r'<td class="what">mounted 1.*?</tr>', re.DOTALL)
    ours, yours = (re.findall(r"<td>([^<]*)</td>", row.search(page)[0]) for page in (here, there))
    assert yours == [ours[0], *ours[:0:-1]]
    assert "62° ± 9° (hub)" in here
    assert "298° ± 9° (hub)" in there
    assert "degrees counter-clockwise from stud 1 (up: 90° is 9 o'clock)" in unescape(here)
    assert "degrees clockwise from stud 1 (up: 270° is 9 o'clock)" in unescape(there)
    assert "A at 298 degrees" in there
    assert f"12 places {CLOCKWISE}" in there
    assert "angles clockwise from outside, as the arrow" in there


def _numbers_of(drawing):
    """Where the numbers of a drawn face stand, [mm] from its left edge."""
    at = re.findall(r'<text[^>]*?x="([\d.]+)"[^>]*>(\d+)</text>', drawing)
    return {number: float(x) for x, number in reversed(at)}  # places are drawn before studs


def test_a_face_is_numbered_as_the_table_counts_and_the_hub_stays_where_it_is():
    spot = (Spot(62.0, 9.0, "A", "#000000"),)
    here, there = (numbered_face(5, 12, spot, turned=turned) for turned in (COUNTER, CLOCKWISE))
    assert "A at 62 degrees" in here
    assert "A at 298 degrees" in there
    ours, yours = _numbers_of(here), _numbers_of(there)
    assert yours["10"] == pytest.approx(ours["4"], abs=2.0)  # at the left
    assert yours["12"] == pytest.approx(ours["2"], abs=2.0)


def test_an_answer_says_of_itself_which_way_its_numbers_count():
    assert Count(COUNTER, 5).said("stud 2 at 30°") == "stud 2 at 30°"
    assert Count(CLOCKWISE, 5).said("clockwise") == "clockwise"  # a word of a file's head, as it is typed


def test_the_numeric_half_words_its_texts_so_too(tmp_path, capsys):
    """`python -m sim index` names the place of a slip: 240 degrees, where the table has 120."""
    path, told = tmp_path / "readings.csv", {}
    for turned in (COUNTER, CLOCKWISE):
        path.write_text(to_csv(_tables()[2]).replace(f"# turned: {COUNTER}", f"# turned: {turned}"))
        assert numeric(["index", "--hub", str(path), "--rotor", str(path), "--json"]) == 0
        told[turned] = json.loads(capsys.readouterr().out)
    assert told[CLOCKWISE]["counting"] == {"numbers": COUNTER, "texts": CLOCKWISE}
    assert [one["text"] for one in told[CLOCKWISE]["reading_faults"]] == [
        one["text"] for one in told[COUNTER]["reading_faults"]
    ]
    assert told[COUNTER]["reading_faults"][0]["angle_deg"][0] == 120.0
    assert told[CLOCKWISE]["reading_faults"][0]["angle_deg"][0] == 240.0
