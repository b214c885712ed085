"""What the commands ``index`` and ``face`` compute and say: tables for the terminal, drawings, the next thing to do."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rich.box import SIMPLE_HEAD
from rich.console import Group
from rich.table import Table
from rich.text import Text

from scenes.words import cautions, words
from sim import answers
from sim.bench import cures, stud_position
from sim.bench import from_readings as bench_index
from sim.errors import BadInput, Fault
from sim.files import dial_readings
from sim.parts.dial import Dial, against_limit
from sim.parts.discard import SCRAP, is_absolute, refuse_scrap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import RenderableType

    from sim.bench.stud_position import IndexResult
    from sim.corner.face_map import FaceMap
    from sim.parts.case import Case
    from sim.seating.seat import Seat

# Readings a turn that are assumed where a case, not a table of readings, is asked about: as many as the job card holds.
ASSUMED_READINGS = (12, 12)
VERDICT = {
    "worth it": "Indexing gains more than its uncertainty",
    "too close to tell": "Moving it round gains less than the dial can tell for certain",
    "no gain": "It sits best where it is",
}


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


def from_case(case: Case, shims_um: Sequence[float], preset: str = "standard", thickness: Path | None = None) -> Advice:
    """Seat a corner at every stud position it allows, and weigh the cures; a cut only on a measured thickness."""
    thinnest = None if thickness is None else _thinnest_mm(case, thickness)
    found, seats = stud_position.index_case(case, preset)
    now = case.studs.studs_turned
    here = next((one for one in found.positions if one.studs_turned == now), found.positions[0])
    seat = seats[found.positions.index(here)]
    scale = case.gauge_radius_mm / case.hub.read_radius_mm
    worth = cures.worth_moving(here, found.at(found.best), found.count, Dial().step_um, ASSUMED_READINGS, scale)
    cut = _cut(case, seat, thinnest)
    shims = None
    if shims_um:
        orders = [stud_position.orders_of(one.outboard_um) for one in seats]
        split = stud_position.split_by_positions(case.studs.positions, orders, found.count)
        hub, own = complex(split.hub[1]), complex(split.rotor[1])
        if split.separable[1]:
            shims = cures.taper_shims(hub, own, shims_um, found.count, now, case.studs.positions)
    limit = case.limits.mounted_runout_um
    steps = cures.order_of_cures(found, limit, worth, shims, cut)
    notes = (
        ["Computed with the dirt as given. Dirt comes off first; then read again and ask again."] if case.debris else []
    )
    notes += _no_cut(steps, case.rotor.machine_to_thickness_mm, thinnest is not None, cut)
    missing = cures.missing_for_cut(case.rotor.machine_to_thickness_mm, thinnest is not None)
    answer = bench_index.index_answer(found) | {
        "studs_turned": now,
        "cut": answers.plain(cut),
        "missing_for_cut": list(missing),
    }
    return Advice(case.title, found, here.studs_turned, limit, Dial().doubt_um, worth, steps, tuple(notes), answer)


def from_readings(hub: Path, rotor: Path, shims_um: Sequence[float], limit_um: float) -> Advice:
    """Find the best stud position from a bare hub trace and a mounted trace."""
    on_bench = dial_readings.read(rotor)
    bench = bench_index.index_readings(dial_readings.read(hub), on_bench)
    found = bench.result
    shims = None
    if shims_um:
        vectors = complex(bench.split.hub[1]), complex(bench.split.rotor[1])
        allowed = [one.studs_turned for one in found.positions]
        shims = cures.taper_shims(*vectors, shims_um, found.count, bench.now, allowed)
    steps = cures.order_of_cures(found, limit_um, bench.worth, shims)
    notes = [*bench.notes, *bench.split.notes, *_no_cut(steps, None, False, None)]
    notes += _own_thickness(on_bench)
    if bench.lean.bumps_deg:
        where = words.listed([words.degrees(angle) for angle in bench.lean.bumps_deg])
        notes.insert(0, f"the hub face stands up at {where} from stud 1: look there first, it may be dirt")
    answer = bench_index.bench_answer(bench)
    title = f"Readings {hub.name} and {rotor.name}"
    return Advice(title, found, bench.now, limit_um, bench.doubt_um, bench.worth, steps, tuple(notes), answer)


def _thinnest_mm(case: Case, path: Path) -> float | None:
    """Thinnest place of a rotor that was measured with a micrometer; None for readings from any zero. [mm].

    Raises
    ------
    BadInput
        For readings that cannot be.
    Refused
        For a rotor under its discard thickness.
    """
    known = {"studs": float(case.studs.count), "gauge_radius_mm": case.gauge_radius_mm}
    traces = dial_readings.read(path, known).of("thickness")
    if not traces:
        raise BadInput(Fault("has no thickness trace", file=str(path), allowed="at least one turn of `thickness`"))
    value = traces[-1].value_um
    if not is_absolute(value):
        return None
    thinnest = 1e-3 * float(value.min())
    refuse_scrap(case.rotor, thinnest, f"{path}: thinnest place")
    return thinnest


def _own_thickness(found: dial_readings.Readings) -> list[str]:
    """Name the thickness that was read beside the runout: without a case only the rotor itself says what is scrap."""
    values = [trace.value_um for trace in found.of("thickness") if is_absolute(trace.value_um)]
    if not values:
        return []
    thinnest = 1e-3 * min(float(value.min()) for value in values)
    return [f"{thinnest:.2f} mm at its thinnest: under the discard thickness that is stamped on it, it is {SCRAP}"]


def _cut(case: Case, seat: Seat, thinnest_mm: float | None) -> cures.Cut | None:
    """A cut on the car, where the maker's least thickness and a measured one are there."""
    rotor = case.rotor
    if thinnest_mm is None or rotor.machine_to_thickness_mm is None:
        return None
    from sim.wear.lives import true_wear_mm_per_km

    wear = true_wear_mm_per_km(case)
    stock = cures.Stock(thinnest_mm, rotor.machine_to_thickness_mm, rotor.minimum_thickness_mm, wear)
    return cures.cut_on_car(seat.outboard_um, seat.inboard_um, stock)


def _no_cut(
    steps: Sequence[cures.Cure], machine_to_mm: float | None, measured: bool, cut: cures.Cut | None
) -> list[str]:
    """Say why no cut on the car stands among the cures, where it would come next."""
    if steps[-1].name != "replace the rotor" or (cut is not None and cut.possible):
        return []
    if cut is not None:
        return [
            f"No cut on the car: it would leave {cut.thickness_mm:.2f} mm, less than the maker's {machine_to_mm:g} mm"
        ]
    missing = words.listed(cures.missing_for_cut(machine_to_mm, measured))
    return [f"No cut on the car is offered: {missing} missing"]


def instruction(advice: Advice) -> str:
    """Say in one sentence which hole goes on which stud; nobody can turn the wrong way."""
    best = advice.result.at(advice.result.best)
    leaves = words.micrometres(best.runout_um)
    if advice.result.best == advice.now:
        return f"Leave it where it is: no other stud position reads less than {leaves}."
    return (
        f"Take it off and put the hole that sits on stud {advice.now + 1} on stud {advice.result.best + 1} "
        f"(studs numbered counter-clockwise, seen from outside). It should then read {leaves}."
    )


def advice_table(advice: Advice) -> RenderableType:
    """Show stud positions, the instruction, whether it is worth it, and the cures in order."""
    table = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False)
    added = advice.result.by_vectors_um
    more = ("traces added",) if added else ()
    for column in (
        "painted hole on",
        "holes indexed",
        f"runout left, {words.AS_READ}",
        *more,
        "against the limit",
        "",
    ):
        table.add_column(column)
    for row, one in enumerate(advice.result.positions):
        state = against_limit(one.runout_um, advice.limit_um, advice.doubt_um)
        marks = [name for name, at in (("best", advice.result.best), ("now", advice.now)) if at == one.studs_turned]
        table.add_row(
            f"stud {one.studs_turned + 1}",
            str(one.studs_turned),
            words.micrometres(one.runout_um),
            *((words.micrometres(added[row]),) if added else ()),
            state,
            ", ".join(marks),
        )
    gain = f"{words.micrometres(advice.worth.gain_um)}, uncertainty {words.micrometres(advice.worth.doubt_um)}"
    floor = words.micrometres(advice.result.floor_um)
    lines = [
        Text(instruction(advice), style="bold"),
        Text(f"{VERDICT[advice.worth.verdict]} ({gain}). No stud position can beat {floor}."),
        Text(""),
        Text("Cures in this order", style="bold"),
    ]
    if added:
        apart = max(abs(value - one.runout_um) for value, one in zip(added, advice.result.positions, strict=True))
        text = f"Adding the traces of hub and rotor parts from seating anew by up to {words.micrometres(apart)}."
        lines.insert(2, Text(text))
    for number, cure in enumerate(advice.cures, 1):
        left = "" if cure.left_um is None else f"; expected {words.micrometres(cure.left_um)}"
        lines.append(Text(f"{number}. {cure.name}: {cure.why}{left}"))
    lines += [Text(f"! {words.clean(note, 300)}") for note in advice.notes]
    lines += [Text(f"▌ {caution.text}") for caution in cautions.named("never drawn home", "no impact gun")]
    return Group(table, Text(""), *lines)


def face_table(found: FaceMap) -> RenderableType:
    """List by zone how little dirt it takes, with the sentence that it is no leave."""
    from scenes.plots.cure import NO_LEAVE  # loads the drawing library, which only this table's command needs

    table = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False)
    for column in ("place on the hub face", "height that spoils it", "worst at"):
        table.add_column(column)
    for zone in found.zones:
        least = words.micrometres(zone.least_um)
        if zone.least_um == float("inf"):
            least = f"over {words.micrometres(found.highest_um)}"
        table.add_row(
            zone.name, least, f"{words.degrees(zone.angle_deg)}, radius {words.with_unit(zone.radius_mm, 'mm')}"
        )
    clean = words.micrometres(found.clean_um)
    told = f"{found.kind} dirt {words.number(found.speck_mm)} mm across; clean, the corner runs {clean} {words.AS_READ}"
    return Group(Text(f"{told}, limit {words.micrometres(found.limit_um)}"), table, Text(NO_LEAVE, style="bold"))


def face_csv(found: FaceMap) -> str:
    """Write the map as a table, one place a row; empty where even the highest dirt tried does not spoil the corner."""
    text = io.StringIO()
    text.write(f"# trueseat: height of {found.kind} dirt that alone brings the limit; hub angles from stud 1\n")
    table = csv.writer(text, lineterminator="\n")
    table.writerow(["radius_mm", "angle_deg", "spoil_um"])
    for row, radius in enumerate(found.radius_mm):
        for column, angle in enumerate(found.angle_deg):
            value = found.spoil_um[row, column]
            table.writerow([f"{radius:.2f}", f"{angle:.1f}", "" if value == float("inf") else f"{value:.3f}"])
    return text.getvalue()
