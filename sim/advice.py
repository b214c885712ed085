"""What to do about a runout: stud positions, cures in their order and what stands beside them, in one answer.

From a case, whose corner is seated at every position, or from the readings of a bare hub and of the mounted rotor.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from sim import answers
from sim.bench import cures, cut_on_car, mountings, stud_position, taper_shims
from sim.bench import from_readings as bench_index
from sim.bench.after_indexing import AfterMoving, Band
from sim.bench.judged_thickness import judged_thickness
from sim.bench.mostly_over import as_it_counts
from sim.bench.stud_position import IndexResult
from sim.causes.cures_as_read import cures_as_read
from sim.causes.decision import Decision, decide
from sim.causes.one_act import by_machine, rocked_first
from sim.corner.driven import bearing_unsure, reading_doubt_um
from sim.corner.road_state import BOLTS, NUTS, held_badly_by, nuts_first, studs_first
from sim.corner.seated import Seated
from sim.errors import BadInput, Fault
from sim.files import dial_readings
from sim.parts import rotor_goes
from sim.parts.case import HUB_FACE_LIMIT_UM, Case, Limits, usual_hub_face_limit_um
from sim.parts.dial import TOO_CLOSE
from sim.parts.discard import discard_words, refuse_thin
from sim.parts.fastener import bolt_warnings
from sim.parts.hub_budget import hub_budget
from sim.parts.hub_face import bare_face_um
from sim.parts.spigot_room import uncentred
from sim.parts.stuck_caliper import FREE_IT, RAN_HOT, UNTIL, stuck
from sim.parts.thickness import Uneven, refuse_thicker
from sim.parts.worn_pads import worn_out
from sim.progress import Progress, silent
from sim.seating.seat import Seat
from sim.spigot.state import need_free_spigot
from sim.wear.lives import true_wear_mm_per_km

#: A rotor that scale leaves home moves aside in its play at most: no stud position cures or worsens that.
SCALE_FIRST = "there is scale on the spigot: it comes off before anything is moved or fitted"
SCALE = "There is scale on the spigot, and the rotor sits {sits}: it comes off before anything is moved or fitted"


@dataclass(frozen=True)
class Advice:
    """Stud positions with what to do about them.

    Parameters
    ----------
    title : str
    result : IndexResult
    now : int
        Stud position in which it sits.
    limit_um : float
    doubt_um : float
        Of one reading. [um]
    worth : Worth
    cures : tuple of Cure
        In their order.
    notes : tuple of str
    answer : dict
        For ``--json``.
    turned : str
        Which way the table of the rotor counted.
    decided : Decision or None
        What the tables order, as `causes` says it; None of a case alone, and where its nuts come before every reading.
    case : Case or None
    """

    title: str
    result: IndexResult
    now: int
    limit_um: float
    doubt_um: float
    worth: cures.Worth
    cures: tuple[cures.Cure, ...]
    notes: tuple[str, ...]
    answer: dict[str, Any]
    turned: str = dial_readings.COUNTER
    decided: Decision | None = None
    case: Case | None = None

    @property
    def ordered(self) -> bool:
        """Whether the rotor is to be indexed."""
        return any(cure.name == "index" for cure in self.cures)


def from_case(case: Case, shims_um: Sequence[float], preset: str = "standard", thickness: Path | None = None) -> Advice:
    """Seat a corner at every stud position it allows, and weigh the cures; a cut only on a measured thickness.

    Runouts in um TIR. Each figure's source stands with what computes it: `sim.bench.stud_position`, `cures`,
    `cut_on_car`.
    """
    if shims_um:
        taper_shims.need_steps(shims_um)
    measured = None if thickness is None else _measured(case, thickness)
    thinnest = None if measured is None else measured.thinnest_mm
    found, seats = stud_position.index_case(case, preset)
    now = case.studs.studs_turned
    here = next((one for one in found.positions if one.studs_turned == now), found.positions[0])
    seat = seats[found.positions.index(here)]
    answer, after, worth = bench_index.case_answer(case, found, seats)
    cut = _cut(case, seat, thinnest)
    shims = None
    if shims_um and len(found.positions) > 1:  # one position cannot tell hub from rotor
        shims = taper_shims.taper_shims(*found.vectors, shims_um, found.count, now, case.studs.positions)
    limit, scale = case.limits.mounted_runout_um, case.gauge_radius_mm / case.hub.read_radius_mm
    doubt_um = reading_doubt_um(case)
    varies = None if measured is None else _varies(measured, case)
    goes = rotor_goes.as_given(case) or rotor_goes.as_read(case, thinnest, varies)
    known = cures.Found(
        now_um=here.runout_um,
        doubt_um=doubt_um,
        cleaned=not case.debris and not case.spigot_scale,
        hub_face_um=bare_face_um(case),
        hub_limit_um=case.hub_face_limit_um,
        hub_share_um=case.hub.face_runout_um * scale,
        floor_doubt_um=answer["floor_uncertainty_um"],
        second_order=answer["higher_orders"]["material"],
        after=after.bands[found.best],
        either=tuple(answer["alike"]),
        second=_second(answer, after),
        clamped_as_now=case.studs.clamped_by,
        confirms_um=answer["should_then_read_um"]["confirms_up_to"],
    )
    known = replace(
        known,
        read_again=(*_held_first(case, here.runout_um, computed=True), *_not_held(case.studs.clamped_by)),
        rotor_goes=goes,
        stamp_decides=rotor_goes.by_the_part_set(case, goes),
        uneven=_close(varies),
    )
    steps = cures.order_of_cures(found, limit, worth, shims, cut, known)
    notes = (
        ["Computed with the dirt as given. Dirt comes off first; then read again and ask again."] if case.debris else []
    )
    if case.spigot_scale:
        notes.append(SCALE.format(sits=seat.on_spigot if isinstance(seat, Seated) else "home"))
    short = _nothing_to_cut(case, thinnest, varies)
    notes += _no_cut(steps, case, thinnest is not None, cut, short)
    if thickness is not None:
        half_mm = 0.0 if varies is None else varies.thick_half_mm
        notes = [f"Thickness: {discard_words(case, thinnest, half_mm)}.", *notes]
    missing = () if short else cut_on_car.missing_for_cut(case.rotor.machine_to_thickness_mm, thinnest is not None)
    if case.debris:
        answer["shares"]["hub"]["holds"] = "hub, dirt on it"
    answer |= {"cut": answers.plain(cut), "missing_for_cut": list(missing)}
    answer["cures"] = answers.plain(with_stated(case, steps, here.runout_um))
    answer["move"] = any(step.name == "index" for step in steps)
    answer |= _by_thickness(known, varies)
    now = here.studs_turned
    return Advice(case.title, found, now, limit, doubt_um, worth, steps, tuple(notes), answer, case=case)


def _second(answer: dict[str, Any], after: AfterMoving | None) -> tuple[tuple[int, Band], ...]:
    """Stud positions that readings do not tell from the best and that should read more than it all the same."""
    if after is None:
        return ()
    return tuple((turned, after.bands[turned]) for turned in answer["either"] if turned not in answer["alike"])


def _of_the_last(readings: dial_readings.Readings) -> tuple[str, ...]:
    """Say it where other stud positions were read and the figures of the studs are not of those."""
    mounted = readings.of("mounted")
    if len({one.studs_turned for one in mounted}) < 2:
        return ()
    last = mounted[-1].studs_turned + 1
    return (f"what comes next is by all mountings; the figures of the studs are by the bare hub and stud {last} alone",)


def _nuts_first(case: Case) -> tuple[str, ...]:
    """What holds the wheel badly comes before every stud position: none is ordered."""
    what, why = held_badly_by(case)
    if not what:
        return ()
    if what == BOLTS:
        return (f"the wheel bolts first: {why}",)
    return ((nuts_first if what == NUTS else studs_first)(case, why),)


def _bolts_as_held(case: Case) -> tuple[str, ...]:
    """Wheel bolts that bottom or hold by few threads as held for reading: what is computed so orders nothing."""
    held = bolt_warnings(case)
    return (f"the bolts first, as held for reading: {held[0]}; the thread in the hub is looked at",) if held else ()


def _part_first(case: Case) -> tuple[str, ...]:
    """A rotor that its spigot does not centre is no part to find a stud for."""
    return (f"the part first: {part}",) if (part := uncentred(case)) else ()


def with_stated(case: Case | None, steps: Sequence[cures.Cure], runout_um: float = 0.0) -> tuple[cures.Cure, ...]:
    """Add to cures what a case states besides, in the order of work: part, caliper, pads, bearing; behind the nuts.

    By rule: they count whatever the rotor runs out, and nobody lifts a corner whose nuts do not hold, or whose bolts or
    another part come first. A bearing and a part stand beside what leads before them alone. [um TIR].
    """
    if case is None:
        return tuple(steps)
    nuts, part = _nuts_first(case) or _bolts_as_held(case), _part_first(case)
    led = bool(nuts or part) and bool(steps) and steps[0].name == cures.READ_AGAIN
    also = (
        ("check the part", "".join(part) if led and nuts else ""),
        ("free the caliper", f"{FREE_IT}, {UNTIL}; {RAN_HOT}" if stuck(case) else ""),
        ("renew the pads", worn_out(case)),
        ("see to the bearing", "".join(_bearing_first(case, runout_um)) if led else ""),
    )
    at = 1 if led else 0
    return (*steps[:at], *(cures.Cure(name, None, None, why) for name, why in also if why), *steps[at:])


def _held_first(case: Case, runout_um: float, computed: bool = False) -> tuple[str, ...]:
    """What leads of what no reading orders anything beside, in the order of work; the rest is said with it.

    ``computed``: wheel bolts count as they are held for reading too. [um TIR].
    """
    nuts = _nuts_first(case) or (_bolts_as_held(case) if computed else ())
    return nuts or _part_first(case) or _bearing_first(case, runout_um)


def _bearing_first(case: Case, runout_um: float) -> tuple[str, ...]:
    """A bearing whose end float alone makes a runout too close to its limit to tell comes before every other cure."""
    return (told,) if (told := bearing_unsure(case, runout_um)) else ()


def _moves(steps: Sequence[cures.Cure]) -> bool:
    """Whether the rotor is to be moved; one that waits for a stamp which nobody read yet is not."""
    waits = bool(steps) and steps[0].name == cures.STAMP
    return not waits and any(step.name == "index" for step in steps)


def _not_held(clamped_by: str) -> tuple[str, ...]:
    """A rotor under one screw stands as it likes: no reading of it orders anything."""
    return (mountings.SCREW_ONLY,) if clamped_by == mountings.ONE_SCREW else ()


@dataclass(frozen=True)
class Asked:
    """What two tables of readings are held against.

    Parameters
    ----------
    limit_um, hub_limit_um : float or None
        Limits of the mounted runout and of the bare hub face, where somebody gave one. [um TIR]
    shims_um : tuple of float
        Steps of taper shims that can be had. [um TIR]
    case : Case or None
        The corner, where there is one: bounds of the radii, stud positions, limits.
    """

    limit_um: float | None = None
    hub_limit_um: float | None = None
    shims_um: tuple[float, ...] = ()
    case: Case | None = None

    @property
    def mounted_um(self) -> float:
        """Limit of the mounted runout: given, or common practice. [um TIR]."""
        return Limits().mounted_runout_um if self.limit_um is None else self.limit_um

    def hub_um(self, face_radius_mm: float, gauge_radius_mm: float) -> float:
        """Limit of the bare hub face: given, or what the tables' radii leave of the mounted one. [um TIR]."""
        if self.hub_limit_um is not None:
            return self.hub_limit_um
        return usual_hub_face_limit_um(self.mounted_um, face_radius_mm, gauge_radius_mm)


def from_readings(hub: Path, rotor: Path, asked: Asked, progress: Progress = silent) -> Advice:
    """Say what a bare hub trace and a mounted trace order, as `causes` does, and what each stud position should read.

    Parameters
    ----------
    hub, rotor : Path
        May be one file.
    asked : Asked
        With a case its geometry decides with the readings: the first time that takes a quarter of a minute.
    progress : callable(fraction, what)
    """
    case = asked.case
    if case is not None:
        need_free_spigot(case)
    bounds = None if case is None else dial_readings.bounds_of(case)
    on_bench, on_hub = dial_readings.read_beside(rotor, hub, bounds)
    allowed = None if case is None else case.studs.positions
    bench = bench_index.index_readings(on_hub, on_bench, allowed)
    first: tuple[str, ...] = ()  # what the case states that no reading orders anything beside
    if case is not None:
        read_um = bench.result.at(bench.now).runout_um
        scale = (SCALE_FIRST,) if case.spigot_scale else ()  # what it jams was refused
        first = (*scale, *_held_first(case, read_um))
    given = Limits(asked.mounted_um, hub_face_runout_um=asked.hub_limit_um) if case is None else case.limits
    table = on_bench if hub.resolve() == rotor.resolve() else bench_index.together(on_hub, on_bench)
    on_bench = as_it_counts(on_bench, given)[0]  # a turn that is left out is not held against its mount
    decided = None if first else decide(table, given, case, progress=progress)
    to = None if decided is None else decided.moved_to
    if to is not None and any(one.studs_turned == to for one in bench.result.positions):
        bench = bench_index.index_readings(on_hub, on_bench, allowed, to)
    limit_um, found = asked.mounted_um, bench.result
    radii_mm = (on_hub.hub_face_radius_mm or 0.0, on_bench.gauge_radius_mm or 0.0)
    hub_limit_um, varies = asked.hub_um(*radii_mm), _varies(on_bench, case)
    shims = None
    if asked.shims_um:
        positions = [one.studs_turned for one in found.positions]
        shims = taper_shims.taper_shims(*found.vectors, asked.shims_um, found.count, bench.now, positions)
    answer = bench_index.bench_answer(bench)
    known_there = () if decided is None or to is None else decided.tried
    for key in ("either", "alike"):  # no stud to try is one that was read
        answer[key] = [turned for turned in answer[key] if turned not in known_there]
    known = cures.Found(
        floor_doubt_um=answer["floor_uncertainty_um"],
        after=None if bench.after is None else bench.after.bands[found.best],
        either=tuple(answer["alike"]),
        second=_second(answer, bench.after),
        clamped_as_now=bench.clamped_by,
        confirms_um=answer["should_then_read_um"]["confirms_up_to"],
        read_again=first,
        rotor_goes="" if on_bench.slips_of("thickness") else rotor_goes.as_read(case, on_bench.thinnest_mm, varies),
    )
    if decided is None:
        steps = cures.order_of_cures(found, limit_um, bench.worth, None, None, known)
    else:
        steps = cures_as_read(decided, found, shims, known)
    notes = [*_own_thickness(case, on_bench, varies), *bench.notes, *_hints(bench), *_of_the_last(on_bench)]
    notes += [*_whose_limits(asked, hub_limit_um, radii_mm), *bench.split.notes[:1]]
    short = _nothing_to_cut(case, on_bench.thinnest_mm, varies)
    notes += _no_cut(steps, case, on_bench.thinnest_mm is not None, None, short)
    if not bench.cleaned:  # what the bare hub does not have goes to the rotor, dirt between them as well
        answer["shares"]["rotor"]["holds"] = "rotor, and any dirt"
    answer |= {"cures": answers.plain(with_stated(case, steps, answer["now_um"])), "notes": notes}
    answer |= {"limit_um": limit_um, "hub_limit_um": hub_limit_um}
    answer |= {"move": _moves(steps), "rotor_goes": known.rotor_goes}
    answer["thickness_against_limit"] = "" if varies is None else varies.state
    if decided is not None:
        led, rocked = by_machine(decided.act, decided.told), rocked_first(decided.told, decided.act, decided.read)
        answer |= {"act": answers.plain(led), "causes": answers.plain(decided.told), "rocked_first": rocked}
    title = f"Readings {hub.name} and {rotor.name}"
    return Advice(
        title, found, bench.now, limit_um, bench.doubt_um, bench.worth, steps, tuple(notes), answer, bench.turned,
        decided, case,
    )  # fmt: skip


def _whose_limits(asked: Asked, hub_limit_um: float, radii_mm: tuple[float, float]) -> list[str]:
    """Say which limits are nobody's but the trade's, and what the hub's follows from."""
    mounted, bare = f"{asked.mounted_um:.0f} µm mounted (--limit)", f"{hub_limit_um:.0f} µm of the bare hub face"
    said = [f"limit of {mounted}: common practice, no source"] if asked.limit_um is None else []
    if asked.hub_limit_um is None and hub_limit_um < HUB_FACE_LIMIT_UM:
        said.append(
            f"limit of {bare} (--hub-limit): worked out from the mounted one. "
            f"{hub_budget(hub_limit_um, asked.mounted_um, *radii_mm)}"
        )
    elif asked.hub_limit_um is None:
        said.append(f"limit of {bare} (--hub-limit): common practice, no source")
    return [f"{'; '.join(said)}. The vehicle maker's count"] if said else []


def _hints(bench: bench_index.BenchIndex) -> list[str]:
    """What the traces hint at without proving it."""
    said = []
    if bench.higher.counts and not bench.faults:  # a slip makes one too
        second, half = 2.0 * abs(bench.second), 4.0 * bench.second_sd_um
        what = f"a second order of {second:.0f} ± {half:.0f} µm (k = 2)"
        if second <= half:
            what = f"orders above the second, {bench.higher.runout_um:.0f} µm with it,"
        said.append(
            f"{what} in the mounted trace: a hint at something between the faces, or a rotor that is warped; one "
            "position cannot tell which"
        )
    if bench.lean.lips:
        said.append("the hub face stands up at its bolt holes, up to 50 µm is called normal; those places hardly count")
    return said


def _measured(case: Case, path: Path) -> dial_readings.Readings:
    """Read a rotor that was measured with a micrometer.

    Raises
    ------
    BadInput
        For readings that cannot be.
    Refused
        For a rotor at or under its discard thickness.
    """
    known = {"studs": float(case.studs.count), "gauge_radius_mm": case.gauge_radius_mm}
    found = dial_readings.read(path, known)
    if found.thickness is None:
        raise BadInput(Fault("has no thickness trace", file=str(path), allowed="at least one turn of `thickness`"))
    refuse_thicker(found.thinnest_mm, case.rotor.thickness_mm, str(path))
    if found.thinnest_mm is not None:
        varies = _varies(found, case)
        half_mm = 0.0 if varies is None else varies.thick_half_mm
        refuse_thin(case, found.thinnest_mm, f"{path}: thinnest place", half_mm=half_mm)
    return found


def _varies(found: dial_readings.Readings, case: Case | None) -> Uneven | None:
    """The thickness that counts against its limit; None where nobody read it."""
    trace = found.thickness
    return None if trace is None else judged_thickness(found, trace, Limits() if case is None else case.limits)


def _by_thickness(known: cures.Found, varies: Uneven | None) -> dict[str, object]:
    """Why the rotor goes by its thickness, how that stands against its limit, and how it is read again if not told."""
    close, stays = known.uneven, known.uneven is not None and known.uneven.counts_neither
    told: dict[str, object] = {"rotor_goes": known.rotor_goes, "stamp_decides": known.stamp_decides}
    told["thickness_against_limit"] = "" if varies is None else varies.state
    return told | {"thickness_again": "" if close is None or stays else close.again, "thickness_stays": stays}


def _close(varies: Uneven | None) -> Uneven | None:
    """That thickness, where it is too close to its limit to tell."""
    return varies if varies is not None and varies.state == TOO_CLOSE else None


def _own_thickness(case: Case | None, found: dial_readings.Readings, varies: Uneven | None) -> list[str]:
    """Hold the thickness that was read beside the runout against the discard thickness."""
    if varies is None or found.slips_of("thickness"):
        return []
    counts = f" ({found.thickness_counts})" if found.thickness_counts else ""
    return [
        f"Thickness{counts}: varies by {varies.said}. {discard_words(case, found.thinnest_mm, varies.thick_half_mm)}."
    ]


def _cut(case: Case, seat: Seat, thinnest_mm: float | None) -> cut_on_car.Cut | None:
    """A cut on the car, where the maker's least thickness and a measured one are there."""
    rotor = case.rotor
    if thinnest_mm is None or rotor.machine_to_thickness_mm is None:
        return None
    wear = true_wear_mm_per_km(case)
    stock = cut_on_car.Stock(thinnest_mm, rotor.machine_to_thickness_mm, rotor.minimum_thickness_mm, wear)
    return cut_on_car.cut_on_car(seat.outboard_um, seat.inboard_um, stock)


def _nothing_to_cut(case: Case | None, thinnest_mm: float | None, varies: Uneven | None) -> str:
    """Say why no cut is left whatever else is read: by the thickness as read, else as given; empty where one may be."""
    if case is None:
        return ""
    own_um = case.rotor.own_thickness_variation_um
    varies_um = own_um if varies is None else varies.value_um
    given = rotor_goes.given_mm(case)
    mean_less = None if given is None else given - own_um / 2000.0  # given is the mean
    least = mean_less if thinnest_mm is None else thinnest_mm
    return cut_on_car.no_cut(case, least, varies_um) or rotor_goes.thin(case, least)


def _no_cut(
    steps: Sequence[cures.Cure], case: Case | None, measured: bool, cut: cut_on_car.Cut | None, short: str
) -> list[str]:
    """Say why no cut on the car stands among the cures, where it would come next; nothing is asked for that is vain."""
    if steps[-1].name != "replace the rotor" or (cut is not None and cut.possible):
        return []
    if cut is not None:
        return [f"No cut on the car: {cut.refused}"]
    if short:
        return [f"No cut on the car: {short}"]
    machine_to_mm = None if case is None else case.rotor.machine_to_thickness_mm
    missing = " and ".join(cut_on_car.missing_for_cut(machine_to_mm, measured))
    return [f"No cut on the car is offered: {missing} missing"] if missing else []
