"""A rotor is left on over its stamp alone, whatever its thickness was read from."""

from __future__ import annotations

from scenes.words import mountings
from tests.unit.written_turns import decided, quiet, thickness, turn


def test_a_rotor_is_left_on_over_its_stamp_though_the_thickness_began_at_any_zero():
    """Who measured it was told of the stamp first, who read how it varies alone was told that it is done."""
    found = turn("mounted", 1, 80.0, "as found")
    for about_um, said in (
        (11_500.0, "The stamp first: 11.498"),
        (20.0, "The stamp first: the thickness was read from"),
    ):
        made = decided(found, thickness(about_um), quiet(2))
        assert made.act.what == "done"
        lead = mountings.lead(made.told, made.act, [])
        assert lead.startswith(said)
        assert "Over it the runout is done" in lead
