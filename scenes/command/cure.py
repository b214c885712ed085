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
from sim.bench import cures, cut_on_car, stud_position, taper_shims
from sim.bench import from_readings as bench_index
from sim.errors import BadInput, Fault
from sim.files import dial_readings
from sim.parts.case import HUB_FACE_LIMIT_UM, Case, Limits, usual_hub_face_limit_um
from sim.parts.dial import TOO_CLOSE, Dial, span_against_limit
from sim.parts.discard import SCRAP, is_absolute, refuse_scrap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import RenderableType

    from sim.bench.stud_position import IndexResult
    from sim.corner.face_map import FaceMap
    from sim.seating.seat import Seat

APART_UM = 1.0  # less than that no dial shows
BAND_KEYS = ("low_um", "middle_um", "high_um")
VERDICT = {
    "worth it": "Indexing gains more than its uncertainty",
    "too close to tell": "Indexing gains less than its uncertainty: no reason to take it off for that",
    "no gain": "No position gains",
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
    turned : str
        Which way the table of the rotor counted.
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

    @property
    def ordered(self) -> bool:
        """Whether the rotor is to be indexed."""
        return any(cure.name == "index" for cure in self.cures)


def from_case(case: Case, shims_um: Sequence[float], preset: str = "standard", thickness: Path | None = None) -> Advice:
    """Seat a corner at every stud position it allows, and weigh the cures; a cut only on a measured thickness."""
    thinnest = None if thickness is None else _thinnest_mm(case, thickness)
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
    known = cures.Found(
        now_um=here.runout_um,
        doubt_um=Dial().doubt_um,
        cleaned=not case.debris and not case.spigot_scale,
        hub_face_um=case.hub.face_runout_um,
        hub_limit_um=case.hub_face_limit_um,
        hub_share_um=case.hub.face_runout_um * scale,
        floor_doubt_um=answer["floor_uncertainty_um"],
        second_order=answer["higher_orders"]["material"],
        after=after.bands[found.best],
        either=tuple(answer["either"]),
        clamped_as_now=case.studs.clamped_by,
        confirms_um=answer["should_then_read_um"]["confirms_up_to"],
    )
    steps = cures.order_of_cures(found, limit, worth, shims, cut, known)
    notes = (
        ["Computed with the dirt as given. Dirt comes off first; then read again and ask again."] if case.debris else []
    )
    notes += _no_cut(steps, case.rotor.machine_to_thickness_mm, thinnest is not None, cut)
    missing = cut_on_car.missing_for_cut(case.rotor.machine_to_thickness_mm, thinnest is not None)
    if case.debris:
        answer["shares"]["hub"]["holds"] = "hub, dirt on it"
    answer |= {"cut": answers.plain(cut), "missing_for_cut": list(missing), "cures": answers.plain(steps)}
    answer["move"] = any(step.name == "index" for step in steps)
    return Advice(case.title, found, here.studs_turned, limit, Dial().doubt_um, worth, steps, tuple(notes), answer)


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


def from_readings(hub: Path, rotor: Path, asked: Asked) -> Advice:
    """Find the best stud position from a bare hub trace and a mounted trace."""
    bounds = None if asked.case is None else dial_readings.bounds_of(asked.case)
    on_bench = dial_readings.read(rotor, bounds=bounds)
    allowed = None if asked.case is None else asked.case.studs.positions
    on_hub = dial_readings.read(hub, bounds=bounds)
    bench = bench_index.index_readings(on_hub, on_bench, allowed)
    limit_um = asked.mounted_um
    hub_limit_um = asked.hub_um(on_hub.hub_face_radius_mm or 0.0, on_bench.gauge_radius_mm or 0.0)
    found, after = bench.result, bench.after
    shims = None
    if asked.shims_um:
        positions = [one.studs_turned for one in found.positions]
        shims = taper_shims.taper_shims(*found.vectors, asked.shims_um, found.count, bench.now, positions)
    answer = bench_index.bench_answer(bench)
    known = cures.Found(
        now_um=bench.read_um,
        doubt_um=bench.doubt_um,
        cleaned=bench.cleaned,
        read_again=tuple(fault.text for fault in bench.faults),
        hub_face_um=bench.hub_face_um,
        hub_doubt_um=bench.hub_face_doubt_um,
        hub_limit_um=hub_limit_um,
        hub_share_um=found.hub_um,
        hub_share_doubt_um=answer["shares"]["hub"]["uncertainty_um"],
        after=None if after is None else after.bands[found.best],
        either=tuple(answer["either"]),
        clamped_as_now=bench.clamped_by,
        confirms_um=answer["should_then_read_um"]["confirms_up_to"],
        floor_doubt_um=answer["floor_uncertainty_um"],
        second_order=bench.higher.counts and not bench.faults,  # a slip makes one too
    )
    steps = cures.order_of_cures(found, limit_um, bench.worth, shims, None, known)
    named = {fault.text for fault in bench.faults}
    notes = [*(note for note in bench.notes if note not in named), *_hints(bench, known)]
    notes += _whose_limits(asked, hub_limit_um)
    notes += [*bench.split.notes[:1], *_no_cut(steps, None, False, None), *_own_thickness(on_bench)]
    if not bench.cleaned:  # what the bare hub does not have goes to the rotor, dirt between them as well
        answer["shares"]["rotor"]["holds"] = "rotor, and any dirt"
    answer |= {"cures": answers.plain(steps), "notes": notes, "hub_against_limit": known.hub_state}
    answer |= {"limit_um": limit_um, "hub_limit_um": hub_limit_um}
    answer["move"] = any(step.name == "index" for step in steps)
    title = f"Readings {hub.name} and {rotor.name}"
    return Advice(
        title, found, bench.now, limit_um, bench.doubt_um, bench.worth, steps, tuple(notes), answer, bench.turned
    )


def _whose_limits(asked: Asked, hub_limit_um: float) -> list[str]:
    """Say which limits are nobody's but the trade's, and what the hub's follows from."""
    said = []
    if asked.limit_um is None:
        said.append(f"{asked.mounted_um:.0f} µm mounted (--limit)")
    if asked.hub_limit_um is None:
        said.append(f"{hub_limit_um:.0f} µm of the bare hub face (--hub-limit)")
    if not said:
        return []
    plural, are = ("s", "are") if len(said) > 1 else ("", "is")
    why = ""
    if asked.hub_limit_um is None and hub_limit_um < HUB_FACE_LIMIT_UM:
        why = f"; a hub face over that alone brings {asked.mounted_um:.0f} µm at the dial"
    return [f"limit{plural} of {words.listed(said)} {are} common practice, no source: the vehicle maker's count{why}"]


def _hints(bench: bench_index.BenchIndex, known: cures.Found) -> list[str]:
    """What the traces hint at without proving it."""
    said = []
    if known.hub_state == TOO_CLOSE:
        said.append(
            f"the bare hub face runs out {known.hub_face_um:.0f} ± {known.hub_doubt_um:.0f} µm (k = 2), too close to "
            f"its limit of {known.hub_limit_um:.0f} µm to tell: check the bearing for play, read it with a finer dial"
        )
    if known.second_order:
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


def _cut(case: Case, seat: Seat, thinnest_mm: float | None) -> cut_on_car.Cut | None:
    """A cut on the car, where the maker's least thickness and a measured one are there."""
    rotor = case.rotor
    if thinnest_mm is None or rotor.machine_to_thickness_mm is None:
        return None
    from sim.wear.lives import true_wear_mm_per_km

    wear = true_wear_mm_per_km(case)
    stock = cut_on_car.Stock(thinnest_mm, rotor.machine_to_thickness_mm, rotor.minimum_thickness_mm, wear)
    return cut_on_car.cut_on_car(seat.outboard_um, seat.inboard_um, stock)


def _no_cut(
    steps: Sequence[cures.Cure], machine_to_mm: float | None, measured: bool, cut: cut_on_car.Cut | None
) -> list[str]:
    """Say why no cut on the car stands among the cures, where it would come next."""
    if steps[-1].name != "replace the rotor" or (cut is not None and cut.possible):
        return []
    if cut is not None:
        return [
            f"No cut on the car: it would leave {cut.thickness_mm:.2f} mm, less than the maker's {machine_to_mm:g} mm"
        ]
    missing = words.listed(cut_on_car.missing_for_cut(machine_to_mm, measured))
    return [f"No cut on the car is offered: {missing} missing"]


def instruction(advice: Advice) -> str:
    """Say in one sentence what to do with the rotor; nobody can turn the wrong way."""
    first = advice.cures[0].name if advice.cures else ""
    if first == "read again":
        return "Read again before anything is moved: the tables do not fit together as they stand."
    if any(cure.name == "hub and bearing" for cure in advice.cures) and not advice.ordered:
        return "See to the hub and its bearing first: no stud position cures them."
    if first == "leave it on":
        if advice.cures[0].enough:
            return "Leave it on: nothing needs to be done to this corner's runout."
        return "Leave it on until a finer dial has told: it reads too close to the limit."
    band = advice.answer["should_then_read_um"]
    if not advice.ordered:
        if advice.cures[-1].name == "clean":
            return "Clean, put it back where it is and read again."
        why = "what that gains is less than its uncertainty"
        if advice.result.best == advice.now:
            why = "by reckoning it sits best where it is"
        elif advice.worth.verdict == "no gain":
            why = "no position gains"
        return ("Clean first and read again. " if first == "clean" else "") + f"Do not index it: {why}."
    others = [turned for turned in advice.answer["either"] if turned not in (advice.result.best, advice.now)]
    to = "".join(f" or stud {turned + 1}" for turned in (advice.result.best, *others)).removeprefix(" or ")
    either = ", either is as good" if others else ""
    low, high = (words.micrometres(band[key]) for key in ("low", "high"))
    yours = ""
    if advice.turned == dial_readings.CLOCKWISE:
        count = advice.result.count
        yours = (
            f"; counted clockwise as in your table: stud {-advice.now % count + 1} to {-advice.result.best % count + 1}"
        )
    clean = "" if first != "clean" else "Clean first and read again; if it reads the same: "
    return (
        f"{clean}{'t' if clean else 'T'}ake it off and put the hole that sits on stud {advice.now + 1} on {to}{either} "
        f"(studs numbered counter-clockwise, seen from outside{yours}). It should then read "
        f"{words.micrometres(band['expected'])} (80 % band {low} to {high})."
    )


def shares_table(advice: Advice) -> Table:
    """Show what is the hub's and what the rotor's: TIR, high spot, uncertainty; and what is in neither share."""
    table = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False)
    higher = advice.answer["higher_orders"]
    for column in ("share of the first order, at the dial", "runout (TIR)", "high spot"):
        table.add_column(column)
    for name, frame in (("hub", "on the hub, from stud 1"), ("rotor", "on the rotor, from the painted hole")):
        one = advice.answer["shares"][name]
        off, half = one["high_spot_uncertainty_deg"], one["uncertainty_um"]
        size = words.micrometres(one["runout_um"]) + (f" ± {words.micrometres(half)} (k = 2)" if half else ", computed")
        about = "" if not half else f" ± {words.degrees(off)}" if off is not None else ""
        where = f"{words.degrees(one['high_spot_deg'])}{about} {frame}"
        if one["runout_um"] < 0.05 or half and off is None:
            where = "less than its uncertainty" if half else "none"
        table.add_row(one.get("holds", name), size, where)
    if higher["material"]:
        size = f"{words.micrometres(higher['runout_um'])} of {words.micrometres(advice.answer['now_um'])}"
        table.add_row("in neither: orders 2 and up", size, "warped, or something between the faces")
    return table


def advice_table(advice: Advice) -> RenderableType:
    """Show stud positions, the instruction, whether it is worth it, and the cures in order."""
    table = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False)
    added = advice.result.by_vectors_um
    for column in ("painted hole on", "holes indexed", "should read", "", "against the limit", ""):
        table.add_column(column)
    shown = reads(advice)
    for one in advice.result.positions:
        low, middle, high = shown[one.studs_turned]
        state = span_against_limit(low, high, advice.limit_um)
        here = one.studs_turned == advice.now
        read = "computed" if added else "as read"
        figure = f"{words.micrometres(middle)} {read}" if here else words.micrometres(middle)
        spread = f"{words.span(low, high, 'µm', 2)}, {'k = 2' if here else '80 % band'}"
        marks = [name for name, at in (("best", advice.result.best), ("now", advice.now)) if at == one.studs_turned]
        if one.studs_turned in advice.answer["either"] and one.studs_turned != advice.result.best:
            marks.append("as good")
        table.add_row(
            f"stud {one.studs_turned + 1}",
            str(one.studs_turned),
            figure,
            spread,
            state,
            ", ".join(marks),
        )
    again = advice.cures[0].name == "read again" if advice.cures else False
    lines = [
        Text(instruction(advice), style="bold"),
        *([] if again else [Text(_verdict(advice))]),
        Text(""),
        Text("Cures in this order", style="bold"),
    ]
    if added and not again:
        apart = max(abs(value - one.runout_um) for value, one in zip(added, advice.result.positions, strict=True))
        text = f"Adding the traces of hub and rotor parts from seating anew by up to {words.micrometres(apart)}."
        if apart >= APART_UM:
            lines.insert(2, Text(text))
    for number, cure in enumerate(advice.cures, 1):
        said = cure.left_um is None or cure.name in ("index", "leave it on")  # these say it with its uncertainty
        left = "" if said else f"; expected {words.micrometres(cure.left_um)}"
        lines.append(Text(f"{number}. {cure.name}: {cure.why}{left}"))
    lines += [Text(f"! {words.clean(note, 300)}") for note in advice.notes]
    lines += [
        Text(f"▌ {caution.text}") for caution in cautions.named("maker first", "never drawn home", "no impact gun")
    ]
    # What would be reckoned from readings that do not fit together is no answer.
    tables = () if again else (table, shares_table(advice), Text(""))
    return Group(*tables, *lines)


def reads(advice: Advice) -> dict[int, tuple[float, float, float]]:
    """What the dial shows at each stud position: low, middle, high; where it sits now, what was read or computed.

    Elsewhere the ends are those of the 80 % band, here of the reading's own uncertainty, as in every other command.
    """
    shown = {band["studs_turned"]: tuple(band[key] for key in BAND_KEYS) for band in advice.answer["bands"]}
    now, half = advice.answer["now_um"], advice.doubt_um
    return shown | {advice.now: (now - half, now, now + half)}


def _verdict(advice: Advice) -> str:
    """Say what indexing gains, where that is the question, and what no stud position can beat."""
    floor = words.no_stud_beats(advice.result.floor_um, advice.answer["floor_uncertainty_um"])
    said = f"{floor}." if floor else ""
    if any(cure.name == "hub and bearing" for cure in advice.cures) and not advice.ordered:
        return said
    gain = f" ({words.micrometres(advice.worth.gain_um)} ± {words.micrometres(advice.worth.doubt_um)}, k = 2)"
    if advice.worth.verdict == "worth it" and not advice.ordered:
        return f"Indexing would gain more than its uncertainty{gain}, but it is not asked for. {said}".rstrip()
    ties = len(advice.answer["either"]) > 1
    verdict = VERDICT[advice.worth.verdict]
    if advice.worth.verdict == "no gain":
        gain = ", by less than its uncertainty" if ties else ""
        if advice.result.best == advice.now:
            verdict = "It sits best where it is"
        else:
            gain = ""
    return f"{verdict}{gain}. {said}".rstrip()


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
