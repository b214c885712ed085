"""Figures as people read them: unit kept with the figure, sensible digits, one word per idea, nothing that promises."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from scenes.command import tables
from scenes.words import (
    bare_face,
    card_boxes,
    cautions,
    felt,
    findings,
    loose_nut,
    part_goes,
    road,
    to_do,
    weak_points,
    what_leads,
    words,
    work_order,
)
from scenes.words import memory as memory_words
from scenes.words import steps as own_steps
from sim import answers
from sim.bench.bare_face import HubFace
from sim.bench.known_parts import part_of
from sim.corner.driven import BareHub, MountedReading
from sim.errors import BadInput
from sim.files.case_file import case_from_text
from tests import fakes

NBSP = "\u00a0"


@pytest.mark.parametrize(
    ("value", "text"),
    [(103.62, "104 µm"), (9.96, "10 µm"), (9.94, "9.9 µm"), (0.04, "0.0 µm"), (-0.04, "0.0 µm"), (-12.4, "−12 µm")],
)
def test_micrometres_have_no_false_digit(value, text):
    assert words.micrometres(value).replace(NBSP, " ") == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(6324.0, "6 300 km"), (12740.0, "13 000 km"), (9960.0, "10 000 km"), (0.0, "0 km"), (None, "not reached")],
)
def test_kilometres_are_rounded_to_two_figures(value, text):
    assert words.kilometres(value).replace(NBSP, " ") == text


def test_a_range_whose_ends_read_alike_is_one_figure():
    assert words.span(3.01, 3.02, "µm").replace(NBSP, " ") == "3.0 µm"
    assert words.span(8.1, 27.0, "µm").replace(NBSP, " ") == "8.1 to 27 µm"


@given(st.floats(allow_nan=True, allow_infinity=True))
def test_any_figure_can_be_written(value):
    for text in (words.number(value), words.micrometres(value), words.with_unit(value, "N m"), words.degrees(value)):
        assert text
        assert "nan" not in text
        assert "inf" not in text.replace("without end", "")
        assert "-" not in text  # a true minus, or none


@example(1.46875)
@given(st.floats(min_value=1.0, max_value=1e6))
def test_kilometres_keep_the_size_of_the_distance(distance):
    shown = float(words.kilometres(distance).replace(NBSP, "").removesuffix("km"))
    assert math.isclose(shown, distance, rel_tol=0.06, abs_tol=0.5)


@pytest.mark.parametrize(("dtv", "word"), [(9.9, "quiet"), (10.0, "doubtful"), (20.0, "doubtful"), (20.1, "felt")])
def test_bands_of_thickness_variation(dtv, word):
    assert words.dtv_band(dtv) == word


def test_turning_the_rotor_always_says_which_way():
    assert words.stud_turns(0) == "as it sits"
    for count in (1, 2, 4):
        assert "counter-clockwise seen from outside" in words.stud_turns(count)


@given(st.text(max_size=300))
def test_text_from_a_file_is_one_printable_line(text):
    shown = words.clean(text)
    assert len(shown) <= 120
    assert shown.isprintable()


def test_direction_changing_characters_are_taken_out():
    assert "\u202e" not in words.clean("left\u202etfel")
    assert words.clean("a\x1b[31mred") == "a [31mred"


def test_glossary_has_each_word_once_and_says_something():
    names = [term.word for term in words.GLOSSARY]
    assert len(names) == len(set(names))
    assert all(len(term.meaning) > 15 for term in words.GLOSSARY)


def test_cautions_cover_what_hands_meet():
    said = " ".join(caution.text.lower() for caution in cautions.CAUTIONS)
    for thing in (
        "chocked",
        "stands",
        "service mode",
        "compressed air",
        "mask",
        "eye",
        "greasy",
        "draw it home",
        "impact gun",
        "cracked means scrap",
        "hang the caliper",
        "pump the pedal",
        "again",
        "bed new pads",
        "sensor",
        "vehicle maker's instructions stand above",
    ):
        assert thing in said, thing
    assert {caution.moment for caution in cautions.CAUTIONS} == set(cautions.MOMENTS)


def test_cautions_come_in_the_order_of_work():
    wanted = cautions.at("before moving", "cleaning", "before lifting")
    assert [caution.moment for caution in wanted][0] == "before lifting"
    assert [caution.moment for caution in wanted][-1] == "before moving"


def test_an_unknown_caution_is_refused_by_name():
    with pytest.raises(BadInput, match="no caution is called 'helmet'"):
        cautions.named("helmet")
    with pytest.raises(BadInput, match="no moment of work is called 'lunch'"):
        cautions.at("lunch")


@pytest.mark.parametrize(
    ("runout", "state"), [(30.0, "below"), (50.0, "too close to tell"), (75.0, "above")], ids=["low", "near", "high"]
)
def test_a_finding_says_the_limit_in_words(runout, state):
    run = fakes.run()
    run.seat.lateral_runout_um["outboard"] = runout
    finding = findings.runout(run)
    assert finding.state == state
    assert words.against_limit(state, runout, finding.limit) in finding.sentence


def test_a_forecast_keeps_the_ends_of_its_own_band():
    run = fakes.run()
    finding = findings.dtv(run)
    assert (finding.low, finding.high) == run.forecast.dtv_highest_band_um
    assert finding.high - finding.value != pytest.approx(finding.value - finding.low)
    assert "band of each draw's highest: 9.9 to 29" in finding.sentence
    # A run of an earlier version has only the band at each distance, and says that this is what it is.
    top = int(run.forecast.dtv_um.argmax())
    run.forecast.dtv_highest_band_um = None
    finding = findings.dtv(run)
    assert (finding.low, finding.high) == (run.forecast.dtv_low_um[top], run.forecast.dtv_high_um[top])
    assert "band at that distance: 8.1 to 27" in finding.sentence


def test_a_worn_rotor_hears_of_its_thickness_first_with_limit_and_discard():
    told = SimpleNamespace(
        scrap="",
        thickness_variation_um=32.0,
        thickness_doubt_um=6.0,
        thickness_between_places_um=0.0,
        thickness_places=12,
        thickness_turns=1,
        thickness_taken_um=0.0,
        thickness_shaky=False,
        thickness_division_um=0.0,
        thinnest_mm=None,
    )
    said = memory_words.thickness(fakes.case(), told).replace("\xa0", " ")
    assert said.startswith("The thickness as read varies by 32 ± 6 µm: above the limit of 15 µm (k = 2; ")
    assert "the vehicle maker's value rules" in said
    assert "Renew it, or cut it where its maker allows, on a clean hub" in said
    assert "stamped on it" in said  # nobody gave the discard thickness
    typed = case_from_text('base = "rear_solid_300"\n[rotor]\nminimum_thickness_mm = 10.4\n[limits]\ndtv_um = 12\n')
    said = memory_words.thickness(typed, told).replace("\xa0", " ")
    assert "above the limit of 12 µm (k = 2; given in the case file" in said
    assert said.endswith("measure it; at or under its discard thickness of 10.4 mm a rotor is scrap.")
    told.thinnest_mm = 10.6
    thinnest = "10.600 ± 0.006 mm (k = 2) at its thinnest, scrap at or under its discard"
    assert thinnest in memory_words.thickness(typed, told)
    for variation_um in (2.0, 12.4):
        told.thickness_variation_um = variation_um
        assert "Renew it" not in memory_words.thickness(typed, told)
    # Three readings a place are not asked for again, and a division that nobody wrote is said.
    told.thickness_turns, told.thickness_taken_um = 3, 5.0
    said = memory_words.thickness(typed, told).replace("\xa0", " ")
    assert "no more reading by this micrometer is asked" in said
    assert "taken as read with 5 µm a division" in said
    told.thickness_turns, told.thickness_shaky = 1, True  # one act in every door
    assert "read every place once more, one turn that scatters" in memory_words.thickness(typed, told)
    told.thickness_shaky = False
    told.scrap = "9.60 mm is under the discard thickness of 10 mm: scrap, renew it; in axle pairs"
    assert memory_words.thickness(typed, told).startswith("9.60 mm is under the discard thickness")
    # Nobody stated it: the part set's figure is not that of the rotor, and comes first all the same.
    told.scrap, told.thinnest_mm = "", 9.63
    said = memory_words.thickness(fakes.case(), told)
    assert said.startswith(
        "9.63 mm is under 10 mm, the discard thickness of the part set and not of your rotor: read the"
    )
    told.thinnest_mm = 10.4
    assert "0.40 mm above 10 mm, the discard thickness of the part set; the stamp" in memory_words.thickness(
        fakes.case(), told
    )


def test_a_bare_hub_over_its_limit_is_said_with_the_worn_rotor():
    case = case_from_text('base = "rear_solid_300"\n')
    part = part_of("hub face runout", 43.75 + 0j, 2.0, "bare hub face")
    said = memory_words.hub(case, SimpleNamespace(known=(part,))).replace(NBSP, " ")
    assert said.startswith("The bare hub face brings 88 ± 8 µm (k = 2) at the rotor's dial by itself")
    assert "over its limit there, 50 µm: hub and bearing first" in said
    near = memory_words.hub(case, SimpleNamespace(known=(part_of("hub face runout", 23.0 + 0j, 2.0, "bare hub face"),)))
    assert "at or near its limit there" in near
    assert "The middle of three that agree settles it: over the limit it counts as over, hub and bearing first" in near
    small = part_of("hub face runout", 20.0 + 0j, 2.0, "bare hub face")
    own = part_of("rotor's own runout", 43.75 + 0j, 2.0, "read by itself")
    assert memory_words.hub(case, SimpleNamespace(known=(small, own))) == ""


def test_the_speed_that_a_driver_meets_leads():
    """Order 1 is strongest, at a speed that no road allows; what a driver complains of is order 2."""
    run = fakes.run()
    forecast = run.forecast
    forecast.judder_speed_km_h = np.array([194.0, 97.0, 64.7, 48.5])
    forecast.judder_band_km_h = np.outer(forecast.judder_speed_km_h, [0.9, 1.1])
    said = felt.felt_at(forecast).replace(NBSP, " ")
    assert said.startswith("If it shakes, then at about 97 km/h (87 to 107 km/h), by order 2 (2 waves a turn), 6.5 N m")
    fast = "above 130 km/h order 1 (one wave a turn), 8.1 N m zero to peak at about 194 km/h."
    assert said.endswith(f"{fast} The mode behind these speeds is a parameter, not a fact.")
    assert "order 3" not in said  # a tenth of the strongest
    rows = {row[0]: row[2] for row in road.road_rows(run) if "is felt at" in row[0]}
    assert list(rows) == [f"order {order} is felt at" for order in (1, 2, 3)]  # as they are counted
    assert [name for name, note in rows.items() if "slowest of those met on the road" in note] == ["order 2 is felt at"]
    assert rows["order 2 is felt at"].startswith("twice a turn")
    forecast.torque_variation_nm = forecast.dtv_um[:, None] * np.array([0.45, 0.02, 0.02, 0.01])
    said = felt.felt_at(forecast).replace(NBSP, " ")
    assert said.startswith("No strong order meets the mode at road speeds, up to 130 km/h; at about 194 km/h only")


def test_bearing_play_widens_the_doubt():
    case = fakes.case()
    loose = replace(case, hub=replace(case.hub, bearing_end_float_um=25.0))
    assert answers.reading_doubt_um(loose) == pytest.approx(answers.reading_doubt_um(case) + 25.0)


def test_steps_come_in_the_order_that_loses_least():
    text = [step.what for step in to_do.next_steps(fakes.run())]
    order = [
        next(k for k, step in enumerate(text) if word in step)
        for word in (
            "breakaway",
            "Nuts with spacers",
            "Thickness by",
            "Rust, dirt and burrs off",
            "clean hub face",
            "Read the runout, two",
            "index the rotor",
        )
    ]
    assert order == list(range(7))
    assert any("shim" in step for step in text)
    assert max(k for k, step in enumerate(text) if "shim" in step) == order[-1]


def test_a_clean_corner_below_its_limits_keeps_its_rotor_on():
    text = [step.what for step in to_do.next_steps(fakes.run(dirty=False))]
    stays = next(k for k, one in enumerate(text) if "leave the rotor on" in one)
    assert "read the runout as found" in text[stays - 1]  # no rotor is left on for what was only computed
    assert not any(word in " ".join(text[:stays]) for word in ("otor off", "index the rotor", "shim"))
    known = fakes.run(dirty=False)
    known.case = replace(
        case_from_text('base = "rear_solid_300"\n[rotor]\nthickness_mm = 11.5\nminimum_thickness_mm = 10.4'),
        axle="front",
    )
    text = [step.what for step in to_do.next_steps(known)]
    assert text[0].startswith("Leave the rotor on")
    assert not any(word in " ".join(text) for word in ("otor off", "index the rotor", "shim"))
    # One figure that is too close to its limit to tell, and it is cleaned and read again.
    near = fakes.run(dirty=False)
    near.seat = fakes.seat(45.0, near.case)
    assert findings.runout(near).state == "too close to tell"
    assert any("Rust, dirt and burrs off" in step.what for step in to_do.next_steps(near))


@pytest.mark.parametrize(
    ("studs", "off"),
    [
        ({"torque_nm": 5.0, "road_torque_nm": 5.0}, ("lift", "park brake off", "wheel off", "mark")),
        ({"torque_nm": (140.0, 140.0, 30.0, 140.0, 140.0)}, ()),
        ({"road_torque_nm": (140.0, 140.0, 30.0, 140.0, 140.0)}, ("lift", "park brake off", "wheel off", "mark")),
    ],
)
def test_a_clean_corner_under_loose_or_uneven_nuts_keeps_no_rotor_on(studs, off):
    run = fakes.run(dirty=False)
    run.case = replace(run.case, studs=replace(run.case.studs, **studs))
    first, *rest = to_do.next_steps(run)  # chocks and what each nut gave at come before a nut is turned
    assert first.what.startswith(
        "Wheels chocked on level ground, park brake on. Before lifting: stud 1 painted. No nut is"
    )
    at = next(k for k, step in enumerate(rest) if step in own_steps.NUTS)
    done = {*first.keys, *(key for step in rest[:at] for key in step.keys)}
    assert {one.key for one in work_order.works(run.case, off)} <= done
    assert not any({"spacers", "tighten"} & set(step.keys) for step in rest[:at])
    assert to_do.lead(run).startswith("The nuts first: what each gives at written down")


def test_nuts_that_pull_unevenly_as_driven_are_named_before_any_figure():
    run = fakes.run(dirty=False)
    run.case = replace(run.case, studs=replace(run.case.studs, road_torque_nm=(140.0, 140.0, 30.0, 140.0, 140.0)))
    assert "stud 3 at 30 N m where others have 140 N m" in " ".join(what_leads.headlines(run))
    assert findings.dtv(run).plain == loose_nut.ROAD
    rows = [cell for column in tables.road(run).columns for cell in column.cells]
    calm = [findings.dtv(run).sentence, findings.runout(run).sentence, *rows, *map(str, road.road_rows(run))]
    assert not [said for said in calm if "quiet" in said or "limit, 50" in said or "hardly" in said]
    assert loose_nut.CALLED in rows
    assert loose_nut.NOT_TOLD[1] in str(road.road_rows(run))
    even = replace(run.case.studs, road_torque_nm=(140.0, 120.0, 150.0, 140.0, 140.0))  # as a wrench scatters
    run.case = replace(run.case, studs=even)
    assert "unevenly" not in " ".join(what_leads.headlines(run))
    assert "quiet" in findings.dtv(run).sentence


def test_every_order_for_a_hub_says_that_a_new_one_begins_a_new_table():
    """What the old hub took away from the rotor's own the new one does not: its turns count no more."""
    orders = (
        *(step.what for step in own_steps.HUBS), part_goes.OVER_AT_HUB, bare_face.HUB_TOO, bare_face.NEW_HUB,
        memory_words.HUB_TOLD["above"], card_boxes.HUB_BOX, card_boxes.HUB_COUNTS_BOX, card_boxes.HUB_CHECK,
        card_boxes.HUB_READ_OUT_BOX,
    )  # fmt: skip
    assert not [one for one in orders if "new table" not in one]


def test_a_bare_hub_of_half_a_millimetre_is_asked_for_its_unit_before_anything_is_bought():
    """0.6 thou typed as 0.6 mm bought a hub."""
    for um, asked in ((45.0, False), (423.0, True)):
        face = HubFace(um, 11.0, 23.0, "above", 64.0, 140.0, um, 11.0)
        assert ("look whether the unit is right" in bare_face.hub_and_bearing(face, 55.0)) is asked
        assert "Hub and bearing" in bare_face.hub_and_bearing(face, 55.0)
        run = fakes.run(dirty=False)
        run.reading = MountedReading(np.zeros(360), "wheel", "the readings", (9.0, 10.0, 11.0), np.ones(1), 2.0)
        run.reading = replace(run.reading, bare_hub=BareHub(um, 11.0, 23.0, 64.0))
        assert ("look whether the unit is right" in what_leads.hub_first(run)) is asked


def test_a_hub_over_its_limit_comes_before_every_stud_position():
    run = fakes.run()
    run.case = replace(run.case, hub=replace(run.case.hub, face_runout_um=60.0))
    text = [step.what for step in to_do.next_steps(run)]
    assert "Rust, dirt and burrs off" in text[3]
    assert "check the bearing for play" in text[4]
    assert text[4].index("straight edge") < text[4].index("renew hub or bearing")  # raised metal buys no hub
    (index,) = (step for step in text[5:] if "index the rotor" in step)  # the face may read good
    assert index.startswith("Over the limit, the hub face within its own")


def test_a_part_sets_hub_was_not_read_and_is_not_judged_as_if_it_were():
    taken = case_from_text('base = "rear_solid_300"\n')
    found = findings.hub_face(taken)
    assert taken.hub.face_runout_um > 0.0
    assert found.sentence.startswith("Hub face from the part set, not measured here: 12")
    assert found.state == "below"
    assert found.low == found.high == found.value
    read = case_from_text('base = "rear_solid_300"\n[hub]\nface_runout_um = 12\n')
    assert findings.hub_face(read).sentence.startswith("Hub face from the case file, not measured here: 12")
    # Beside the findings, with what it leaves of the mounted limit; a finding is only what was read or computed.
    run = fakes.run()
    run.case = taken
    assert "24 µm is left for the rotor and its seat" in what_leads.noted(run)[0].replace(NBSP, " ")
    assert "hub face" not in [one.key for one in findings.found(run)]
    assert what_leads.noted(fakes.run()) == ()


def test_dial_and_road_that_differ_only_in_how_sure_they_are_do_not_disagree():
    read, road = (
        findings.Judged("", "", value, 50.0, low, high, state, "")
        for value, low, high, state in ((65.0, 54.0, 76.0, "above"), (64.0, 49.0, 76.0, "too close to tell"))
    )
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(what_leads, "runout", lambda run: read)
        patch.setattr(what_leads, "as_driven", lambda run: road)
        assert what_leads.disagreement(fakes.run()) == ""
        patch.setattr(
            what_leads, "as_driven", lambda run: replace(road, value=30.0, low=20.0, high=40.0, state="below")
        )
        assert "Dial and road disagree: 65" in what_leads.disagreement(fakes.run())
        patch.setattr(what_leads, "as_driven", lambda run: replace(road, value=52.0, low=45.0, high=60.0))
        assert "disagree" in what_leads.disagreement(fakes.run())


def test_nothing_promises_safety():
    told = [step.what + step.why for run in (fakes.run(), fakes.run(dirty=False)) for step in to_do.next_steps(run)]
    told += [finding.sentence for run in (fakes.run(), fakes.run(dirty=False)) for finding in findings.found(run)]
    told += list(weak_points.weak_points(fakes.case()))
    assert len(told) > 15
    for text in told:
        assert not re.search(r"\b(safe|passed?|ok|okay|approved|roadworthy)\b", text, re.IGNORECASE), text


@pytest.mark.parametrize(("held", "orders_nothing"), [("screw only", True), ("nuts and spacers", False)])
def test_what_was_read_under_one_screw_is_read_again_before_it_counts(held, orders_nothing):
    run = fakes.run()
    run.reading = SimpleNamespace(
        at_dial_um=180.0, outboard_um=None, clamped_by=held, said_by="the readings", doubt_um=11.0
    )
    assert ("nuts with spacers, crosswise to the torque, read it so" in findings.runout(run).sentence) is orders_nothing


def test_near_its_discard_thickness_a_worn_rotor_is_not_cut():
    near = SimpleNamespace(scrap="", thinnest_mm=10.03, thickness_variation_um=40.0,
                           thickness_doubt_um=6.0, thickness_between_places_um=0.0, thickness_places=12,
                           thickness_turns=1, thickness_taken_um=0.0,
                           thickness_shaky=False, thickness_division_um=0.0)  # fmt: skip
    said = memory_words.thickness(fakes.case(), near)
    assert said.startswith("10.030 ± 0.006 mm (k = 2) at its thinnest, 0.030 mm above the part set's discard thickness")
    assert "Renew it, on a clean hub" in said
    assert "cut it" not in said
