"""How little it takes: each height is the single seating's, and dirt at the outer edge needs least."""

from dataclasses import replace

import numpy as np
import pytest

from sim.corner.batch import random_debris, seat_many
from sim.corner.face_map import _zones, face_map, runout_with_um, speck, spoiling_height_um
from sim.parts.case import Case, Hub, Limits, Rotor
from sim.seating.prepared import prepare
from sim.seating.seat import Growing, seat_on

CASE = Case(hub=Hub(face_runout_um=10.0), rotor=Rotor(own_runout_um=12.0, own_high_spot_deg=90.0))


@pytest.mark.parametrize(
    ("place", "kind"), [((64.0, 36.0), "hard"), ((64.0, 0.0), "hard"), ((64.0, 10.0), "crushable")]
)
def test_the_spoiling_height_is_that_of_the_single_seating(place, kind):
    limit = CASE.limits.mounted_runout_um
    height = spoiling_height_um(CASE, place, kind, limit, "fast")
    zone = prepare(CASE, "fast").zone_mm
    assert runout_with_um(CASE, speck(*place, height, kind, zone), "fast") == pytest.approx(limit, rel=1e-6)
    assert runout_with_um(CASE, speck(*place, 0.9 * height, kind, zone), "fast") < limit


@pytest.mark.parametrize(("place", "kind"), [((64.0, 36.0), "hard"), ((64.0, 10.0), "crushable")])
@pytest.mark.parametrize("sooner", [True, False])
def test_a_speck_that_grows_reads_at_every_height_as_it_does_by_itself(place, kind, sooner, monkeypatch):
    pair = prepare(CASE, "fast")

    def with_speck(height_um):
        return replace(CASE, debris=(speck(*place, height_um, kind, pair.zone_mm),))

    by_itself = {height: seat_on(pair, with_speck(height)).gauge_runout_um for height in (400.0, 8.0, 41.3)}
    if not sooner:
        monkeypatch.setattr("sim.solvers.contact.solve_joined", lambda *_: None)
    growing = Growing(pair, with_speck(10.0), with_speck(110.0))
    for height, reads in by_itself.items():
        assert growing.gauge_runout_um((height - 10.0) / 100.0) == pytest.approx(reads, abs=1e-9)


def test_a_corner_that_is_spoilt_already_takes_nothing():
    spoilt = replace(CASE, limits=Limits(mounted_runout_um=10.0))
    assert spoiling_height_um(spoilt, (64.0, 36.0), "hard", 10.0, "fast") == 0.0


def test_the_map_says_that_the_outer_edge_is_the_most_touchy(monkeypatch):
    monkeypatch.setattr("sim.corner.face_map.ANGLES", 10)
    monkeypatch.setattr("sim.corner.face_map.SPECK_MM", 12.0)  # four rings of places
    told = []
    found = face_map(CASE, preset="fast", progress=lambda done, what: told.append(done))
    assert found.spoil_um.shape == (found.radius_mm.size, 10)
    finite = np.where(np.isfinite(found.spoil_um), found.spoil_um, 1e3)
    assert all(finite[-1].mean() < row.mean() for row in finite[:-1])
    assert told[-1] == 1.0
    least = min(found.zones, key=lambda zone: zone.least_um)
    assert least.name.startswith("outer edge")
    assert least.least_um == found.spoil_um.min()


def test_zones_cover_the_face_once():
    radius, angle = np.linspace(38.0, 64.0, 6), np.arange(0.0, 360.0, 9.0)
    names = [zone.name for zone in _zones(CASE, radius, angle, np.ones((6, 40)))]
    assert len(names) == len(set(names)) == 5


def test_batches_give_the_same_answer_on_any_number_of_processes_and_keep_refused_rows():
    corners = list(random_debris(CASE, 20, seed=5))
    nuts_off = replace(corners[3], studs=replace(CASE.studs, torque_nm=(0.0, 0.0, 0.0, 0.0, 0.0)))
    corners[3] = nuts_off
    one, two = seat_many(corners, workers=1), seat_many(corners, workers=2)
    assert "no nut is on" in one[3].refused
    assert [row.outboard_um for row in one if not row.refused] == [row.outboard_um for row in two if not row.refused]
    assert random_debris(CASE, 5, seed=5)[2] == random_debris(CASE, 20, seed=5)[2]
