"""Lawful benches for the study of doors: a corner with its truth, its case file, and tables read of it in every form.

Invented, every figure a judgement, without regard to what the program assumes. Truths are corners of
`tests.studies.corners_at_fault`, their hub, rotor, dirt and thickness brought to sizes that lie under, at and over a
limit; above them stand a stamp, a thinnest place, bearing play, nuts and scale. Some bearings knock to and fro, some
first cleanings take nothing, some corners have nothing wrong. 4, 5 or 6 studs, 6 .. 24 places (4 and 5 to be refused),
dials of 1 .. 20 µm, every unit, direction and sign that a head may name. Tables: `tests.studies.doors_tables`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace

import numpy as np

from sim import turn
from tests.studies import corners_at_fault as population
from tests.studies.corners_at_fault import CAUSES, GROUPS, HUB_FACE, ORDERS, OWN, Corner, Step

CLEAN = population.CLEAN
#: New and discard thickness of the part sets, which `tests.unit` holds against the files. [mm]
NEW_MM = {"rear_solid_300": (12.0, 10.0), "front_vented_320": (28.0, 26.0)}
RADII_MM = {"rear_solid_300": (140.0, 64.0), "front_vented_320": (150.0, 64.0)}
#: Thinnest place over the stamp: scrap, within the ±, hardly over it, worn, far from it. [mm]
OVER_STAMP_MM = (-0.3, -0.05, -0.015, -0.004, 0.0, 0.004, 0.012, 0.03, 0.06, 0.09, 0.12, 0.3, 0.8, 1.4)
THICK_UM = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 9.0, 11.0, 13.0, 14.5, 17.0, 26.0, 60.0)  # thickness variation
HUB_UM = (1.0, 4.0, 8.0, 14.0, 19.0, 22.0, 24.0, 27.0, 31.0, 38.0, 60.0)  # bare face at its own radius
OWN_UM = (2.0, 8.0, 15.0, 25.0, 40.0, 52.0, 70.0, 110.0)  # rotor alone
DIRT = (0.0, 0.0, 0.4, 1.0, 1.6)  # times what was seated
PLACES = (6, 6, 8, 8, 9, 10, 12, 12, 12, 12, 12, 16, 24)
TOO_FEW = (4, 5)  # places that every door refuses
DIALS_UM = (1.0, 2.0, 5.0, 10.0, 10.0, 20.0)
MICROMETERS_UM = (1.0, 1.0, 5.0, None)  # None: nobody wrote it down
UNITS = {"um": 1.0, "mm": 1000.0, "thou": 25.4}
#: Turns of the thickness whose ``again`` is so much or more are read at `MORE_PLACES`, whatever the bench's places are.
AT_MORE_PLACES, MORE_PLACES = 50, 12
PLAY_UM = (0.0, 0.0, 0.0, 20.0, 60.0)
KNOCKS_UM = (12.0, 30.0, 60.0)  # how far the rim leans from stop to stop of a bearing with play
#: How often a bearing knocks, a first cleaning takes nothing, a corner has nothing wrong, six studs, too few places.
KNOCKS, POOR, GOOD, SIX, FEW = 0.07, 0.07, 0.08, 0.12, 0.02
NEW_OWN_UM, NEW_HUB_UM, NEW_VARIES_UM = 14.0, 5.0, 3.0  # of a new rotor, of a new hub's face


@dataclass(frozen=True)
class Bench:
    """A corner on the bench: what is true of it, and the case file that its technician has, where he has one.

    Lengths in mm, heights in um; ``nuts`` are torques in N m; ``case`` is "", a part set's name or the text of a file.
    """

    seed: int
    number: int
    corner: Corner
    stamp_mm: float
    thinnest_mm: float
    places: int
    dial_um: float
    micrometer_um: float | None
    unit: str = "um"
    clockwise: bool = False
    away: bool = False
    case: str = ""
    stated: bool = False
    machine_to_mm: float | None = None
    limit_um: float = 50.0
    dtv_um: float = 15.0
    hub_limit_um: float | None = None
    play_um: float = 0.0
    nuts: tuple[float, ...] = ()
    scale: bool = False
    pit: tuple[int, float] = (0, 0.0)  # place and depth of one low place of the thickness
    knock_um: float = 0.0  # each turn the rim leans anew, to one stop or the other
    good: bool = False
    bought: tuple[str, ...] = ()  # each begins a table of its own, with readings of its own

    @property
    def part_set(self) -> str:
        return GROUPS[self.corner.group][0]

    @property
    def studs(self) -> int:
        return self.corner.studs

    @property
    def hub_allowed_um(self) -> float:
        """Limit of the bare face at its radius: its own, or what the mounted one leaves of 30."""
        gauge, at_hub = RADII_MM[self.part_set]
        return self.hub_limit_um or min(30.0, self.limit_um * at_hub / gauge)


@dataclass(frozen=True, eq=False)
class SixStuds(Corner):
    """A corner on six studs: what was seated turns with the hub, as dirt on the hub does."""

    @property
    def studs(self) -> int:
        return 6


@dataclass(frozen=True, eq=False)
class Turn:
    """A turn as it was written: what was taken, where, what the dial or the micrometer showed, + outboard. [um]

    ``sound`` names the places that are written as they are, of a slipped turn (None: all); ``level_um`` is how far the
    nought of its micrometer was off. [um]
    """

    step: Step
    angle_deg: np.ndarray
    value_um: np.ndarray
    step_um: float | None
    clamped_by: str = ""
    slipped: bool = False
    sound: np.ndarray | None = None
    level_um: float = 0.0


@dataclass(frozen=True, eq=False)
class Table:
    """All turns of a bench so far, in the sequence in which they were taken."""

    bench: Bench
    turns: tuple[Turn, ...] = field(default=())

    def of(self, kind: str) -> list[Turn]:
        return [one for one in self.turns if one.step.kind == kind]

    @property
    def last(self) -> Turn:
        """Mounted turn that was read last as the rotor stands now; one of an earlier mount may have come after it."""
        mounted = self.of("mounted")
        now = max(one.step.mount for one in mounted)
        return [one for one in mounted if one.step.mount == now][-1]

    @property
    def slipped(self) -> bool:
        return any(one.slipped for one in self.turns)

    @property
    def thickness_um(self) -> np.ndarray | None:
        """Mean of the turns of the last reading, each place; None where nobody read it."""
        turns = self.of("thickness")
        if not turns:
            return None
        last = replace(turns[-1].step, again=0)
        same = [one.value_um for one in turns if replace(one.step, again=0) == last]
        return np.mean([one for one in same if one.size == turns[-1].value_um.size], axis=0)

    @property
    def runout_um(self) -> float:
        """Of the last mounted turn, TIR."""
        return float(np.ptp(self.last.value_um))

    @property
    def hub_um(self) -> float | None:
        """Lean of the bare face as read last: twice its first order; None where nobody read it clean."""
        faces = [one for one in self.of("hub face") if one.step.state in CLEAN]
        return None if not faces else 2.0 * first_order_um(faces[-1])

    @property
    def state(self) -> str:
        return self.last.step.state if self.of("mounted") else ""


def first_order_um(one: Turn) -> float:
    """Amplitude of the first order by least squares. [um]."""
    theta = np.radians(one.angle_deg)
    columns = np.stack([np.ones_like(theta), np.cos(theta), np.sin(theta)], axis=1)
    found = np.linalg.lstsq(columns, one.value_um, rcond=None)[0]
    return float(np.hypot(found[1], found[2]))


def brought_to(corner: Corner, cause: str, tir_um: float, rng: np.random.Generator) -> Corner:
    """Bring the lean of hub face or rotor to a runout at the gauge, its direction drawn. [um TIR]."""
    out, into, k = corner.out.copy(), corner.into.copy(), CAUSES.index(cause)
    to = tir_um / 2.0 * np.exp(2j * np.pi * rng.random())
    out[k], into[k] = 0.0, 0.0
    out[k, 1] = into[k, 1] = to
    return replace(corner, out=out, into=into)


def dirt_times(corner: Corner, dirt: float) -> Corner:
    """Bring dirt and scale, and what a poor cleaning leaves of them, to so many times what was seated."""
    out, into = corner.out.copy(), corner.into.copy()
    for cause in ("dirt on the hub", "dirt on the rotor", "spigot"):
        out[CAUSES.index(cause)] *= dirt
        into[CAUSES.index(cause)] *= dirt
    return replace(corner, out=out, into=into, seated=dirt * corner.seated, left=dirt * corner.left)


def thickness_to(corner: Corner, varies_um: float) -> Corner:
    """Bring the variation of its thickness to so much. [um]."""
    out, into = corner.out.copy(), corner.into.copy()
    varies, k = population.tirs(corner.thickness[None])[0], CAUSES.index("DTV from new")
    if varies < 1.0:
        out[k, 1], into[k, 1] = 2.0, -2.0
        varies = population.tirs(replace(corner, out=out, into=into).thickness[None])[0]
    thick = [CAUSES.index(c) for c in ("worn-in DTV", "pad imprint", "parked-car rust", "DTV from new")]
    share = varies_um / float(varies)
    out[thick], into[thick] = share * out[thick], share * into[thick]
    return replace(corner, out=out, into=into)


def _sized(corner: Corner, rng: np.random.Generator) -> Corner:
    """Bring hub, rotor, dirt and thickness of a corner to drawn sizes; some cleanings take nothing."""
    gauge, at_hub = RADII_MM[GROUPS[corner.group][0]]
    corner = brought_to(corner, HUB_FACE, float(rng.choice(HUB_UM)) * gauge / at_hub, rng)
    corner = brought_to(corner, OWN, float(rng.choice(OWN_UM)), rng)
    corner = dirt_times(corner, float(rng.choice(DIRT)))
    corner = thickness_to(corner, float(rng.choice(THICK_UM)))
    if rng.random() < POOR:
        torque = corner.out[CAUSES.index("uneven torque")], corner.into[CAUSES.index("uneven torque")]
        turned = [[corner.turned(face, studs) for face in torque] for studs in range(5)]
        corner = replace(corner, left=0.9 * (corner.seated - np.array(turned)))
    return _on_six(corner) if rng.random() < SIX else corner


def _on_six(corner: Corner) -> Corner:
    """Put it on six studs; dirt on the rotor is taken off, as nobody seated it there."""
    k = CAUSES.index("dirt on the rotor")
    out, into = corner.out.copy(), corner.into.copy()
    seated, left = corner.seated[0] - np.array([out[k], into[k]]), corner.left[0]
    out[k], into[k] = 0.0, 0.0
    kept = {one.name: getattr(corner, one.name) for one in fields(corner)}
    on_six = SixStuds(**{**kept, "out": out, "into": into})
    turned = [[[on_six.turned(face, studs) for face in faces] for studs in range(6)] for faces in (seated, left)]
    return replace(on_six, seated=np.array(turned[0]), left=np.array(turned[1]))


def _nothing_wrong(corner: Corner, rng: np.random.Generator) -> Corner:
    """Bring it to a corner with nothing wrong: everything well under its limit."""
    k = [CAUSES.index(c) for c in ("uneven torque", "warp")]
    out, into = corner.out.copy(), corner.into.copy()
    out[k], into[k] = 0.0, 0.0
    corner = dirt_times(replace(corner, out=out, into=into), 0.0)
    corner = brought_to(corner, HUB_FACE, float(rng.uniform(1.0, 12.0)), rng)
    return thickness_to(brought_to(corner, OWN, float(rng.uniform(2.0, 14.0)), rng), float(rng.uniform(1.0, 5.0)))


def draw(seed: int, number: int, corners: Sequence[Corner]) -> Bench:
    """Bench number ``number`` of a seed, its truth one of these corners brought to drawn sizes."""
    rng = np.random.default_rng([seed, number, 1])
    corner = _sized(corners[number % len(corners)], rng)
    good = bool(rng.random() < GOOD)
    corner = _nothing_wrong(corner, rng) if good else corner
    name, studs = GROUPS[corner.group][0], corner.studs
    new, discard = NEW_MM[name]
    stated = rng.random() < 0.6
    stamp = round(discard + float(rng.choice([0.0, 0.4, 1.0])), 1) if stated else discard
    thinnest = min(stamp + (0.8 if good else float(rng.choice(OVER_STAMP_MM))), new - 0.15)
    places = int(rng.choice(TOO_FEW if rng.random() < FEW else PLACES))
    bench = Bench(
        seed, number, corner, stamp, thinnest, places, float(rng.choice(DIALS_UM)),
        MICROMETERS_UM[rng.integers(len(MICROMETERS_UM))], str(rng.choice(list(UNITS), p=(0.6, 0.2, 0.2))),
        bool(rng.random() < 0.2), bool(rng.random() < 0.2), good=good,
    )  # fmt: skip
    if rng.random() < 0.12 and not good:
        bench = replace(bench, pit=(int(rng.integers(bench.places)), float(rng.choice([-60.0, -25.0, 25.0, 60.0]))))
    if rng.random() < KNOCKS and not good:
        bench = replace(bench, knock_um=float(rng.choice(KNOCKS_UM)))
    if not stated:
        return replace(bench, case=name if studs == 5 else f'base = "{name}"\n[studs]\ncount = {studs}\n')
    return _own_case(bench, rng)


def _own_case(bench: Bench, rng: np.random.Generator) -> Bench:
    """A case file with the stamp and, in some, limits, the maker's machining thickness, play, nuts or scale."""
    machine = round(bench.stamp_mm + float(rng.choice([0.2, 0.4])), 1) if rng.random() < 0.4 else None
    limit = float(rng.choice([50.0, 50.0, 40.0, 70.0]))
    dtv = float(rng.choice([15.0, 15.0, 10.0, 20.0]))
    hub = float(rng.choice([15.0, 25.0, 30.0])) if rng.random() < 0.4 else None
    near = hub is not None and rng.random() < 0.4 and not bench.good
    if hub is not None and near:  # within the ± of the limit that is stated
        gauge, at_hub = RADII_MM[bench.part_set]
        to_um = hub + float(rng.uniform(-5.0, 5.0))
        bench = replace(bench, corner=brought_to(bench.corner, HUB_FACE, to_um * gauge / at_hub, rng))
    play = 0.0 if bench.good else float(rng.choice(PLAY_UM))
    nuts: tuple[float, ...] = ()
    if rng.random() < 0.15 and not bench.good:
        nuts = (float(rng.choice([0.0, 2.0, 20.0])), *([140.0] * (bench.studs - 1)))
    scale = rng.random() < 0.06 and not bench.good
    lines = [
        f'base = "{bench.part_set}"', "[rotor]", f"minimum_thickness_mm = {bench.stamp_mm}",
        *([] if machine is None else [f"machine_to_thickness_mm = {machine}"]),
        "[limits]", f"mounted_runout_um = {limit}", f"dtv_um = {dtv}",
        *([] if hub is None else [f"hub_face_runout_um = {hub}"]),
        *(["[hub]", f"bearing_end_float_um = {play}"] if play else []),
        "[studs]", f"count = {bench.studs}",
        *([f"torque_nm = {list(nuts)}", f"road_torque_nm = {list(nuts)}"] if nuts else []),
        *(["[[spigot_scale]]", "angle_deg = 180.0", "arc_deg = 120.0", "height_um = 115.0", "to_face_mm = 4.0"]
          if scale else []),
    ]  # fmt: skip
    return replace(
        bench, case="\n".join(lines) + "\n", stated=True, machine_to_mm=machine, limit_um=limit, dtv_um=dtv,
        hub_limit_um=hub, play_um=play, nuts=nuts, scale=scale,
    )  # fmt: skip


def with_new_rotor(bench: Bench) -> Bench:
    """Fit a new rotor, its seat clean."""
    rng = np.random.default_rng([bench.seed, bench.number, 6, len(bench.bought)])
    k = [CAUSES.index(c) for c in ("warp", "dirt on the rotor", "dirt on the hub", "spigot")]
    out, into = bench.corner.out.copy(), bench.corner.into.copy()
    out[k], into[k] = 0.0, 0.0
    corner = replace(bench.corner, out=out, into=into, seated=0.0 * bench.corner.seated, left=0.0 * bench.corner.left)
    corner = thickness_to(brought_to(corner, OWN, float(rng.uniform(0.3, 1.0)) * NEW_OWN_UM, rng), NEW_VARIES_UM)
    new = NEW_MM[bench.part_set][0]
    return replace(bench, corner=corner, thinnest_mm=new, pit=(0, 0.0), bought=(*bench.bought, "rotor"))


def with_new_hub(bench: Bench) -> Bench:
    """Fit a new hub and bearing."""
    rng = np.random.default_rng([bench.seed, bench.number, 7, len(bench.bought)])
    gauge, at_hub = RADII_MM[bench.part_set]
    corner = brought_to(dirt_times(bench.corner, 0.0), HUB_FACE, NEW_HUB_UM * gauge / at_hub, rng)
    return replace(bench, corner=corner, knock_um=0.0, bought=(*bench.bought, "hub"))


def knocked(bench: Bench, step: Step) -> np.ndarray:
    """What a bearing with play adds to one turn: a lean to one stop or the other, never twice quite alike."""
    orders = np.zeros(ORDERS + 1, dtype=complex)
    if bench.knock_um:
        own = _own(bench).random()
        rng = np.random.default_rng([bench.seed, bench.number, 8, step.mount, step.again, step.studs_turned])
        at = 2.0 * np.pi * own + np.pi * rng.integers(2) + rng.normal(0.0, 0.4)
        orders[1] = bench.knock_um / 2.0 * rng.uniform(0.3, 1.0) * np.exp(1j * at)
    return orders


def scatter(bench: Bench, step: Step) -> np.ndarray:
    """What putting this rotor on adds that time."""
    return population.scatter(bench.seed, bench.number, step.mount + 40 * len(bench.bought))


def mounted_um(bench: Bench, step: Step) -> float:
    """Really mounted, as it sits this time, at that turn. [um TIR]."""
    orders = population.shown_orders(bench.corner, step) + scatter(bench, step)
    return float(population.tirs((orders + knocked(bench, step))[None])[0])


def read(bench: Bench, step: Step, slip: bool = False) -> Turn:
    """Take a turn on a bench: the truth, how it sits this time, the gauge's errors, and what is written down."""
    kinds = ("mounted", "inboard", "thickness", "radial", "hub face")
    stream = 2 + 100 * len(bench.bought)
    rng = np.random.default_rng(
        [bench.seed, bench.number, stream, kinds.index(step.kind), population.STATES.index(step.state),
         step.studs_turned, step.mount, step.again, int(step.fine)]
    )  # fmt: skip
    places = MORE_PLACES if step.kind == "thickness" and step.again >= AT_MORE_PLACES else bench.places
    angle = np.arange(places) * 360.0 / places
    orders = np.zeros(ORDERS + 1, dtype=complex)
    orders += population.shown_orders(bench.corner, step)
    if step.kind in ("mounted", "inboard"):
        orders += scatter(bench, step) + knocked(bench, step)
    if step.kind == "hub face":
        orders[2:4] += np.array([1.5, 0.8]) * np.exp(2j * np.pi * _own(bench).random(2))
        gauge, at_hub = RADII_MM[bench.part_set]
        orders += at_hub / gauge * knocked(bench, step)
    value = turn.evaluate(orders, np.radians(angle))
    gauge_um = 1.0 if step.fine else bench.dial_um
    if step.kind == "thickness":
        value = _thickness(bench, value)
        gauge_um = 1.0 if step.fine else bench.micrometer_um or 5.0
        value = value + rng.normal(0.0, 1.0, angle.size) + rng.uniform(-2.0, 2.0)
        written = np.round(value / gauge_um) * gauge_um
    else:
        spread = min(0.3 * gauge_um, 2.0)
        value = value - value[0] + rng.normal(0.0, spread, angle.size) + rng.normal(0.0, 2.0 * gauge_um) + 3 * gauge_um
        part = gauge_um if rng.random() < 0.5 else gauge_um / 2
        written = np.round(value / part) * part
    if slip:
        k = int(rng.integers(angle.size))
        written = written.copy()
        written[k] += float(rng.choice([-100.0, 100.0, -50.0, 50.0]))
    said = gauge_um if step.kind == "thickness" and (bench.micrometer_um or step.fine) else None
    said = 1.0 if step.fine else said
    held = "nuts and spacers" if step.kind in ("mounted", "inboard") else ""
    return Turn(step, angle, written + 0.0, said, held, slip)


def varies_um(bench: Bench) -> float:
    """How far the thickness really varies, between the places too. [um]."""
    return max(varies_at_places_um(bench), float(population.tirs(bench.corner.thickness[None])[0]))


def varies_at_places_um(bench: Bench) -> float:
    """How far it really varies at the places that are read, its low or high place in it. [um]."""
    theta = np.radians(np.arange(bench.places) * 360.0 / bench.places)
    return float(np.ptp(_thickness(bench, turn.evaluate(bench.corner.thickness, theta))))


def _own(bench: Bench) -> np.random.Generator:
    """What belongs to the bench and not to a reading."""
    return np.random.default_rng([bench.seed, bench.number, 3])


def _thickness(bench: Bench, orders_um: np.ndarray) -> np.ndarray:
    """Thickness at the places, its thinnest at the bench's figure. [um]."""
    value = orders_um.copy()
    value[bench.pit[0] % value.size] += bench.pit[1]
    return value - value.min() + 1e3 * bench.thinnest_mm


def text_of(table: Table) -> str:
    """The table as a file, in the unit, direction and sign of its bench."""
    bench = table.bench
    factor = UNITS[bench.unit]
    gauge, at_hub = RADII_MM[bench.part_set]
    heads = [f"# studs: {bench.studs}", f"# dial_um: {bench.dial_um:g}"]
    heads += [f"# gauge_radius_mm: {gauge:g}"]
    heads += [f"# hub_face_radius_mm: {at_hub:g}"] if table.of("hub face") else []
    heads += [f"# turned: {'clockwise' if bench.clockwise else 'counter-clockwise'}"]
    heads += [f"# dial: {'+ away' if bench.away else '+ towards'}"]
    lines = [*heads, f"trace,mount,studs_turned,angle_deg,reading_{bench.unit},state,clamped_by,dial_um"]
    for one in table.turns:
        lines += _rows(bench, one, factor)
    return "\n".join(lines) + "\n"


def _rows(bench: Bench, one: Turn, factor: float) -> list[str]:
    sign = -1.0 if (one.step.kind == "inboard") != (bench.away and one.step.kind != "thickness") else 1.0
    turned = -one.step.studs_turned % bench.studs if bench.clockwise else one.step.studs_turned
    bare = one.step.kind == "hub face"
    own = "" if one.step_um is None else f"{one.step_um:g}"
    mount, studs = ("", "") if bare else (str(one.step.mount), str(turned))
    before, after = f"{one.step.kind},{mount},{studs}", f"{one.step.state},{one.clamped_by},{own}"
    lines = []
    for angle, value in zip(one.angle_deg, one.value_um, strict=True):
        at = -angle % 360.0 if bench.clockwise else angle
        lines.append(f"{before},{at:g},{sign * value / factor:.12g},{after}")
    if one.step.kind != "thickness":
        lines.append(f"{before},feeler,{100.0 / factor:.4g},{after}")
    return lines
