"""Exercises: a corner with a hidden fault drawn from a key, and the readings that a learner takes of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim import turn
from sim.bench.mountings import SCATTER_UM
from sim.causes import names
from sim.causes.next_reading import MINUTES
from sim.causes.what_if import COST, NEW_PART_UM
from sim.corner.seated import seat_corner
from sim.errors import BadInput, Fault, Refused
from sim.files.dial_readings import Readings, Trace, parse, to_csv
from sim.files.feeler import LEAF_UM
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris
from sim.parts.dial import as_read

LEVELS = ("one fault", "two faults", "hard to tell")
NUMBERS = 99  # exercises of a level that are numbered
PLACES, DIAL_UM, STEP_UM = 12, 2.0, 1.0  # a dial of 0.002 mm, read to half a division: a bare hub reads little
# One reading, and one of a micrometer of 0.001 mm: standard deviations; judgement. [um]
READ_UM, MICROMETER_UM = 1.5, 0.8
# Drawn, all judgement: what good parts run out, what a fault does (TIR at the gauge), how high dirt stands. [um]
USUAL_UM, FAULT_UM, DIRT_UM = (4.0, 14.0), (62.0, 110.0), (90.0, 170.0)
LEAST_OVER, MOST_OVER = 1.25, 4.0  # of the limit, as found: somebody complains, and the rotor is still on; judgement
LEAST_SECOND_UM = 10.0  # that a second fault does alone: a division of the usual dial; judgement
DRAWS = 200
LEFT_CHANCE, LEFT_SHARE = 0.5, 0.6  # hard to tell: how often cleaning leaves something, and how much of its height
AS_FOUND, FIRST_MINUTES = "as found", 12.0  # wheel off, dial set up, first turn; judgement
FAULTS = (names.HUB_FACE, names.HUB_DIRT, names.ROTOR_DIRT, names.ROTOR)
#: What can be read, in the order of a menu.
READINGS = (
    AS_FOUND, names.ANOTHER_STUD, names.BACK, names.RETORQUED, names.THICKNESS, names.INBOARD, names.CLEAN_AND_REFIT,
    names.BARE_HUB,
)  # fmt: skip
CURES = (
    names.LEAVE, names.RETORQUE, names.INDEX, names.CLEAN, names.CLEAN_THEN_INDEX, names.RENEW, names.HUB_AND_BEARING,
)  # fmt: skip


@dataclass(frozen=True)
class Exercise:
    """A hidden corner.

    Parameters
    ----------
    base : Case
        What the learner knows: geometry, no fault.
    as_found : Case
        With everything that is wrong.
    cleaned : Case
        What a first cleaning leaves of it.
    level : str
        Of `LEVELS`.
    faults : tuple of str
        What was put in, largest share first.
    share_um : tuple of float
        What each does alone. [um TIR]
    left_um : tuple of float
        What each of `CURES` leaves. [um TIR]
    key : int
        What scatter and noise are drawn from.
    """

    base: Case
    as_found: Case
    cleaned: Case
    level: str
    faults: tuple[str, ...]
    share_um: tuple[float, ...]
    left_um: tuple[float, ...]
    key: int

    def works(self) -> tuple[str, ...]:
        """Cures that bring it below its limit, cheapest first; none hides dirt or a hub face over its own limit."""
        good = [cure for cure in self.brings_below() if not self._hides(cure)]
        return tuple(sorted(good, key=lambda cure: COST[cure]))

    def brings_below(self) -> tuple[str, ...]:
        """Whatever brings its runout below the limit, and be it by hiding what lies under it."""
        limit = self.base.limits.mounted_runout_um
        return tuple(cure for cure, left in zip(CURES, self.left_um, strict=True) if left <= limit)

    def _hides(self, cure: str) -> bool:
        over = self.as_found.hub.face_runout_um > self.as_found.hub_face_limit_um
        if over and cure != names.HUB_AND_BEARING:
            return True  # no stud position and no rotor cures a hub
        return bool(self.as_found.debris) and cure in (names.LEAVE, names.RETORQUE, names.INDEX)


@dataclass(frozen=True)
class Taken:
    """One reading that was taken: what, on which stud, in which state, as which mounting."""

    what: str
    hole: int
    state: str
    mount: int


@one_thread
def draw(base: Case, level: str, key: int) -> Exercise:
    """Draw a hidden corner.

    Parameters
    ----------
    base : Case
        Its geometry; dirt and runouts of its own are left out.
    level : str
    key : int
        Same key, same corner, to the bit.

    Returns
    -------
    Exercise

    Raises
    ------
    BadInput
        For another level.
    Refused
        If no such corner can be seated on this geometry.

    Notes
    -----
    Sizes are judgement, in um TIR at the gauge; every corner is a real seating (`sim.seating`, fast preset).
    """
    if level not in LEVELS:
        raise BadInput(Fault(f"{level[:40]!r} is no level", key="level", allowed=", ".join(LEVELS)))
    rng = np.random.default_rng(key)
    base = _bare(base)
    limit = base.limits.mounted_runout_um
    for _ in range(DRAWS):
        count = 1 if level == LEVELS[0] else 2
        put = tuple(FAULTS[k] for k in rng.permutation(len(FAULTS))[:count])
        found = _with(base, put, rng, level)
        try:
            whole = _tir(found)
            if not LEAST_OVER * limit <= whole <= MOST_OVER * limit:
                continue
            shares = {fault: _tir(_alone(found, base, fault)) for fault in put}
        except Refused:
            continue
        ranked = sorted(put, key=lambda fault: -shares[fault])
        if count == 2 and not LEAST_SECOND_UM <= shares[ranked[1]] <= 0.75 * shares[ranked[0]]:
            continue  # a second one that no dial shows is none; which of two like ones is larger nobody could be asked
        if level == LEVELS[0] and max(shares.values()) < 0.7 * whole:
            continue
        left = _poorly_cleaned(found, rng) if level == LEVELS[2] else replace(found, debris=())
        try:
            after = tuple(_left(found, cure) for cure in CURES)
        except Refused:
            continue
        drawn = Exercise(
            base, found, left, level, tuple(ranked), tuple(round(shares[one], 1) for one in ranked),
            tuple(round(one, 1) for one in after), key,
        )  # fmt: skip
        if drawn.works():  # what no single act cures is no exercise for a beginner
            return drawn
    raise Refused(f"no exercise {level!r} can be drawn on this corner")


def _bare(base: Case) -> Case:
    studs = base.studs
    torque = studs.road_torque_nm if isinstance(studs.road_torque_nm, float | int) else None
    if torque is None:
        torque = studs.torque_nm if isinstance(studs.torque_nm, float | int) else 140.0
    return replace(
        base,
        debris=(),
        spigot_scale=(),
        hub=replace(base.hub, face_runout_um=0.0, face_dish_um=0.0, face_saddle_um=0.0),
        rotor=replace(
            base.rotor, own_runout_um=0.0, own_thickness_variation_um=0.0, flange_dish_um=0.0, flange_saddle_um=0.0
        ),
        studs=replace(studs, torque_nm=torque, preload_n=None, studs_turned=0, clamped_by="nuts and spacers"),
    )


def _with(base: Case, put: Sequence[str], rng: np.random.Generator, level: str) -> Case:
    """Put faults into a corner whose parts run out as good parts do."""
    second = 0.55 if level == LEVELS[1] else 0.7
    size = {fault: (1.0 if k == 0 else second) * rng.uniform(*FAULT_UM) for k, fault in enumerate(put)}
    lever = base.gauge_radius_mm / base.hub.read_radius_mm
    own = base.rotor.own_runout_read_at_mm / base.gauge_radius_mm
    hub = size.get(names.HUB_FACE, rng.uniform(*USUAL_UM)) / lever
    rotor = size.get(names.ROTOR, rng.uniform(*USUAL_UM)) * own
    dirt = tuple(
        _patch(base, rng, "hub" if fault == names.HUB_DIRT else "rotor")
        for fault in put
        if fault in (names.HUB_DIRT, names.ROTOR_DIRT)
    )
    angles = [float(np.round(angle)) for angle in rng.uniform(0.0, 360.0, 3)]
    return replace(
        base,
        hub=replace(base.hub, face_runout_um=float(np.round(hub, 1)), face_high_spot_deg=angles[0]),
        rotor=replace(
            base.rotor,
            own_runout_um=float(np.round(rotor, 1)),
            own_high_spot_deg=angles[1],
            own_thickness_variation_um=float(np.round(rng.uniform(1.0, 5.0), 1)),
            own_thick_spot_deg=angles[2],
        ),
        debris=dirt,
    )


def _patch(base: Case, rng: np.random.Generator, part: str) -> Debris:
    inner, outer = base.contact_zone_mm
    width = rng.uniform(6.0, 10.0)
    middle = rng.uniform(0.45 * inner + 0.55 * outer, outer - width / 2)
    return Debris(
        on=part,
        kind=("compact scale", "steel chip")[int(rng.integers(2))],
        angle_deg=float(np.round(rng.uniform(0.0, 360.0))),
        arc_deg=float(np.round(np.degrees(rng.uniform(10.0, 18.0) / middle), 1)),
        inner_radius_mm=float(np.round(middle - width / 2, 1)),
        outer_radius_mm=float(np.round(min(middle + width / 2, outer), 1)),
        height_um=float(np.round(rng.uniform(*DIRT_UM))),
    )


def _alone(found: Case, base: Case, fault: str) -> Case:
    """The corner with one of its faults only."""
    if fault == names.HUB_FACE:
        return replace(base, hub=found.hub)
    if fault == names.ROTOR:
        return replace(base, rotor=found.rotor)
    part = "hub" if fault == names.HUB_DIRT else "rotor"
    return replace(base, debris=tuple(one for one in found.debris if one.on == part))


def _poorly_cleaned(found: Case, rng: np.random.Generator) -> Case:
    kept = tuple(
        replace(one, height_um=float(np.round(LEFT_SHARE * one.height_um)))
        for one in found.debris
        if rng.random() < LEFT_CHANCE
    )
    return replace(found, debris=kept)


def _tir(case: Case) -> float:
    return float(seat_corner(case, "fast", thorough=False).gauge_runout_um)


def _left(found: Case, cure: str) -> float:
    """What one cure leaves, truly: cleaned well, on the best stud, with a new part that runs out as new ones do."""
    clean = replace(found, debris=())
    if cure in (names.LEAVE, names.RETORQUE):
        return _tir(found)
    if cure == names.CLEAN:
        return _tir(clean)
    if cure in (names.INDEX, names.CLEAN_THEN_INDEX):
        case = found if cure == names.INDEX else clean
        every = range(case.studs.count)
        return min(_tir(replace(case, studs=replace(case.studs, studs_turned=hole))) for hole in every)
    new = NEW_PART_UM * 2.0
    if cure == names.RENEW:
        return _tir(replace(clean, rotor=replace(clean.rotor, own_runout_um=new, own_thickness_variation_um=0.0)))
    return _tir(replace(clean, hub=replace(clean.hub, face_runout_um=new / 2.0)))


def menu(taken: Sequence[Taken]) -> list[tuple[str, float]]:
    """What can be read next, with its minutes: nothing that was wiped off comes back."""
    if not taken:
        return [(AS_FOUND, FIRST_MINUTES)]
    last = taken[-1]
    open_now = [names.ANOTHER_STUD, names.THICKNESS, names.INBOARD, names.CLEAN_AND_REFIT]
    if any(one.hole for one in taken) and last.hole:
        open_now.append(names.BACK)
    if last.state == AS_FOUND and last.mount == 1:
        open_now.append(names.RETORQUED)
    if any(one.what == names.CLEAN_AND_REFIT for one in taken):
        open_now.append(names.BARE_HUB)
    done = {one.what for one in taken}
    once = {names.THICKNESS, names.BARE_HUB}
    return [(what, MINUTES[what]) for what in READINGS if what in open_now and not (what in once and what in done)]


def minutes_of(taken: Sequence[Taken]) -> float:
    """Minutes that the readings have cost. [min]: judgement, reading by reading."""
    return sum(FIRST_MINUTES if one.what == AS_FOUND else MINUTES[one.what] for one in taken)


def taking(taken: Sequence[Taken], what: str, hole: int, studs: int) -> Taken:
    """Take one more reading.

    Parameters
    ----------
    taken : sequence of Taken
    what : str
        Of the menu.
    hole : int
        Stud on which the painted hole is put, from stud 1; counts for another stud alone.
    studs : int

    Raises
    ------
    BadInput
        If it is not on the menu, or the rotor is to go where it stands.
    """
    allowed = [name for name, _ in menu(taken)]
    if what not in allowed:
        raise BadInput(Fault(f"{what[:40]!r} cannot be read now", key="what", allowed=", ".join(allowed)))
    if not taken:
        return Taken(AS_FOUND, 0, AS_FOUND, 1)
    last = taken[-1]
    state = AS_FOUND if last.state == "retorqued" else last.state
    mount = max(one.mount for one in taken)
    if what == names.ANOTHER_STUD:
        if not 0 <= hole < studs or hole == last.hole:
            raise BadInput(Fault("the rotor stands there", key="stud", allowed=f"1 .. {studs}, another one"))
        return Taken(what, hole, state, mount + 1)
    if what == names.BACK:
        return Taken(what, 0, state, mount + 1)
    if what == names.CLEAN_AND_REFIT:
        state = "cleaned again" if last.state.startswith("cleaned") else "cleaned"
        return Taken(what, last.hole, state, mount + 1)
    if what == names.RETORQUED:
        return Taken(what, last.hole, "retorqued", last.mount)
    return Taken(what, last.hole, last.state, last.mount)


@one_thread
def trace_of(exercise: Exercise, one: Taken) -> Trace:
    """Read one turn as the dial or the micrometer shows it.

    Notes
    -----
    A real seating, a scatter of each mounting (`sim.bench.mountings.SCATTER_UM`) and an error of each reading, drawn
    from the exercise's key; to half a division, nought at the first place. Judgement. [um]
    """
    at = np.arange(PLACES) * 360.0 / PLACES
    noise = np.random.default_rng([exercise.key % 2**63, READINGS.index(one.what), one.mount, one.hole])
    case = _in_state(exercise, one)
    if one.what == names.BARE_HUB:
        lean = case.hub.face_runout_um / 2.0 * np.cos(np.radians(at - case.hub.face_high_spot_deg))
        read = as_read(lean + noise.normal(0.0, READ_UM, PLACES), STEP_UM)
        return Trace("hub face", 0, 0, at, read, 0.0, "cleaned", feeler_um=LEAF_UM)
    held = "nuts and spacers"
    if one.what == names.THICKNESS:
        wave = case.rotor.own_thickness_variation_um / 2.0 * np.cos(np.radians(at - case.rotor.own_thick_spot_deg))
        read = 1000.0 * case.rotor.thickness_mm - abs(wave).max() + wave + noise.normal(0.0, MICROMETER_UM, PLACES)
        return Trace("thickness", one.mount, one.hole, at, np.round(read), None, one.state, "", held)
    seat = seat_corner(case, "fast", thorough=False)
    scatter = np.random.default_rng([exercise.key % 2**63, 77, one.mount])
    parts = scatter.normal(size=(2, len(SCATTER_UM)))
    waves = sum(
        size * (parts[0, n] * np.cos(n * np.radians(at)) + parts[1, n] * np.sin(n * np.radians(at)))
        for n, size in enumerate(SCATTER_UM)
    )
    inboard = one.what == names.INBOARD
    exact = (seat.inboard_um if inboard else seat.outboard_um)[np.round(at).astype(int)]
    read = as_read(exact + waves + noise.normal(0.0, READ_UM, PLACES), STEP_UM)
    kind = "inboard" if inboard else "mounted"
    return Trace(kind, one.mount, one.hole, at, read, 0.0, one.state, "", held, feeler_um=LEAF_UM)


def _in_state(exercise: Exercise, one: Taken) -> Case:
    case = {"cleaned": exercise.cleaned, "cleaned again": replace(exercise.as_found, debris=())}.get(
        one.state, exercise.as_found
    )
    return replace(case, studs=replace(case.studs, studs_turned=one.hole))


def readings_of(exercise: Exercise, taken: Sequence[Taken]) -> tuple[Readings, str]:
    """Put all readings taken into one table, doubted as every table is.

    Returns
    -------
    readings : Readings
    csv : str
        The same as a file.
    """
    base = exercise.base
    hub = base.hub.read_radius_mm if any(one.what == names.BARE_HUB for one in taken) else None
    traces = tuple(trace_of(exercise, one) for one in taken)
    table = Readings(base.studs.count, base.gauge_radius_mm, hub, DIAL_UM, traces)
    text = to_csv(table, ["An exercise on the live bench, invented: no car was read."])
    return parse(text, "exercise"), text


def runout_read_um(trace: Trace) -> float:
    """TIR of what was read. [um], by definition."""
    return turn.tir(trace.value_um)
