"""Which roads count for nothing: whatever leads a corner takes the calm from its forecast, by one rule."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scenes.words import findings, road, what_leads, words
from sim.corner.driven import BareHub, MountedReading
from sim.parts import hub_face
from sim.parts.dial import ABOVE
from tests import fakes
from tests.unit.test_verdicts import HARDLY, SURE, said

OVER = BareHub(60.0, 7.0, 23.0, 64.0)
LOOK = BareHub(26.0, 7.0, 23.0, 64.0, to_look_at=True)


def measured(bare_hub=None, clamped_by="nuts and spacers"):
    turn = 13.0 * np.cos(np.radians(np.arange(360.0)))
    return MountedReading(turn, clamped_by, "the readings", (20.0, 26.0, 40.0), np.ones(2), 4.4, bare_hub=bare_hub)


def calming(run):
    """What of a forecast calms: in rows, sentences and the answer by machine."""
    finding = findings.dtv(run)
    rows = " ".join(" ".join(row) for row in road.road_rows(run)).replace(words.GAP, " ")
    told = " ".join((finding.sentence, finding.plain, rows))
    return [one for one in ("stays below", "quiet", "under 1 %", "hardly reaches") if one in told]


def over_hub(run, read=None):
    run.case = replace(run.case, hub=replace(run.case.hub, face_runout_um=60.0))
    if read is not None:
        run.reading = measured(read)
    return run


@pytest.mark.parametrize("read", [None, OVER, LOOK])
def test_a_road_below_its_limit_counts_for_nothing_beside_a_hub_that_comes_first(read):
    """`drive --mounted` told "under 1 %, quiet" under "Hub and bearing first"."""
    run, _ = said(*HARDLY)
    assert calming(run)
    over_hub(run, read)
    assert any("first" in line for line in what_leads.headlines(run))
    assert not calming(run)
    first = road.FACE_OPEN_FIRST if read is LOOK else road.HUB_FIRST  # neither over nor under: no hub is blamed yet
    assert findings.dtv(run).plain == road.NOTHING.format(beside=first)
    told = road.withheld(run)
    assert told["limit_withheld"] == told["disc_life_withheld"] == first
    assert road.quiet_untold(run, 4.0)


def test_a_hub_takes_nothing_from_a_road_over_its_limit():
    run = over_hub(said(*SURE)[0])
    assert road.nothing(run) is None
    assert "counts for nothing" not in findings.dtv(run).sentence


def test_a_hub_that_was_read_within_its_limit_takes_the_place_of_what_the_case_says_of_it():
    run = over_hub(said(*HARDLY)[0], BareHub(10.0, 7.0, 23.0, 64.0))
    assert not road.hub_leads(run)
    run.reading = None
    assert road.hub_leads(run)
    assert hub_face.face_as_given(run.case).state == ABOVE == OVER.state


@pytest.mark.parametrize("clamped_by", ["bare nuts", "two nuts, 20 N m"])
def test_a_road_from_a_small_figure_under_bare_or_few_nuts_counts_for_nothing(clamped_by):
    """Beside "clears no hub, read it under every nut" stood "under 1 %, quiet"."""
    run, _ = said(*HARDLY)
    run.reading = measured(clamped_by=clamped_by)
    assert not calming(run)
    assert f"it was read under {clamped_by}, which clears no hub" in findings.dtv(run).plain
    assert "read under every nut with spacers first" in road.withheld(run)["limit_withheld"]
    run.reading = replace(run.reading, clamped_by="nuts and spacers")
    assert road.nothing(run) is None


def test_a_rotor_that_was_drawn_home_over_scale_keeps_no_pads_and_is_called_quiet_nowhere():
    run, _ = said(*HARDLY)
    run.spigot = {"home": "home", "wedged": True}
    assert not calming(run)
    assert ("pads last", "not told", road.DAMAGE) in road.road_rows(run)
    assert road.withheld(run)["pad_life_withheld"] == road.DAMAGE
    assert road.quiet_untold(run, 4.0)
    assert findings.dtv(run).sentence.startswith(road.SPIGOT_COUNTS)
    assert fakes.run().spigot is None
