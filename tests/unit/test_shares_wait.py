"""Nothing is reckoned from a turn under suspicion: shares wait, and what is expected on a stud."""

from __future__ import annotations

import json

import numpy as np
import pytest

from scenes.command.app import main
from scenes.words import hub_and_rotor, mountings
from sim.bench.read_otherwise import CHECK
from sim.bench.shares_wait import shares_wait
from sim.causes.decision import decide
from sim.files.dial_readings import parse
from tests.unit.test_turns_that_part import EVEN, FACE, FOUND, HEAD, LIMITS, thick, turn, wave

HUB, ROTOR, PITCH = 14.0 * np.exp(0.4j), 16.0 * np.exp(2.0j), 2.0 * np.pi / 5.0


def on_stud(mount, stud, written=None, off=0.0):
    """A clean mounting on a stud, written as on another where one is given."""
    orders = ROTOR + HUB * np.exp(1j * PITCH * stud) + off
    values = wave(2.0 * abs(orders), 1, -np.degrees(np.angle(orders)))
    rows = turn("mounted", mount, values)
    return rows.replace(f"mounted,{mount},0,", f"mounted,{mount},{stud if written is None else written},")


def table(*turns):
    return HEAD + "".join((FOUND, *thick(EVEN), FACE, *turns))


@pytest.mark.parametrize(
    ("turns", "waits"),
    [
        ((on_stud(2, 0), on_stud(3, 2), on_stud(4, 1)), False),
        ((on_stud(2, 0), on_stud(3, 2), on_stud(4, 1, written=4)), True),
        ((on_stud(2, 0), on_stud(3, 0, off=30.0)), True),
        ((on_stud(2, 0), on_stud(2, 0, off=30.0)), True),
    ],
)
def test_no_share_is_told_while_a_turn_that_it_rests_on_is_in_doubt(turns, waits, tmp_path, capsys):
    """ "41 ± 21 µm stays with the hub" stood beside "on stud 3, not stud 2 it would fit the others"."""
    decided = decide(parse(table(*turns)), LIMITS)
    assert shares_wait(decided.read, decided.told) is waits
    said = " ".join(hub_and_rotor.sentences(decided.told, waits))
    shares = ("Stays with the hub", "Goes with the rotor", "With the hub", "took away")
    assert (hub_and_rotor.WAIT in said) is waits
    assert any(one in said for one in shares) is not waits
    file = tmp_path / "table.csv"
    file.write_text(table(*turns), encoding="utf-8")
    assert main(["causes", str(file)]) == 0
    page = " ".join(capsys.readouterr().out.split())
    assert (hub_and_rotor.WAIT in page) is waits
    assert any(one in page.partition("Read last")[2] for one in shares) is not waits
    assert main(["causes", str(file), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["shares_wait"] is waits
    assert (hub_and_rotor.WAIT in answer["words"]["says"]) is waits


def test_nothing_is_expected_on_a_stud_by_a_turn_that_may_be_written_otherwise():
    """ "About 66 µm is expected" was reckoned from a mount that would fit the others on another stud."""
    decided = decide(parse(table(on_stud(2, 0), on_stud(3, 2), on_stud(4, 1))), LIMITS)
    act = decided.act.__class__(**{**vars(decided.act), "what": "index", "studs_turned": 3, "expected_um": 44.0})
    assert "about 44 µm is expected" in mountings.lead(decided.told, act, []).replace("\u00a0", " ")
    doubted = mountings.lead(decided.told, act, [f"mounted, mount 4: on stud 3, not stud 2 it would fit{CHECK}"])
    assert "is expected" not in doubted
    assert mountings.TRY_IN_DOUBT in doubted
