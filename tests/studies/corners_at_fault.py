"""Corners with a fault, and what a dial reads of them: the truths of the study of causes.

Invented, every figure a judgement, and written apart from `sim.causes`: clusters of ragged bits of dirt, some of which
crush, on hubs of another stiffness and dish than the case says, all seated by the elastic model; heavy-tailed vectors
(a complex normal whose own scale is log-normal); readings as `tests.studies.bench_tables` writes them, with slips in
five tables of a hundred and a scatter of 8 µm TIR of every mounting. One main fault in most corners, a second one in
some. Kept are corners that somebody would complain of: `LEAST_UM` of runout or `LEAST_DTV_UM` of thickness variation.

Cleaning is poor in some: of the bits that lie there some stay, lower and shorter than they were, of the scale on the
spigot a lower and shorter piece, and here and there a grain gets in that was not there before. Cleaned once more, all
of it is gone.

A share is what a cause adds to the outboard trace at the gauge, as found: of what is seated, uneven torque alone, then
the dirt on the hub added to it, then that on the rotor, so that the shares sum to the seated trace. Orders 0 .. 6 of
``f = Re sum c_n exp(i n theta)``, in the frame of what the cause sits on. [um]
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

import numpy as np

from sim import turn
from sim.corner.seated import seat_corner
from sim.errors import BadInput, Refused
from sim.files.case_file import load_case
from sim.files.dial_readings import Readings, Trace, parse, to_csv
from sim.parts.case import Case, Debris, SpigotScale
from sim.parts.contradictions import check_case
from sim.parts.dirt import DIRT
from sim.seating.seat import seat
from tests.studies.bench_tables import lips, written
from tests.studies.index_residual import _slip

ROOT = Path(__file__).parents[2]
HUB_FACE, HUB_DIRT, ROTOR_DIRT, OWN, SPIGOT, TORQUE, WARP, WORN, IMPRINT, RUST, NEW_DTV = CAUSES = (
    "hub face runout", "dirt on the hub", "dirt on the rotor", "rotor's own runout", "spigot", "uneven torque", "warp",
    "worn-in DTV", "pad imprint", "parked-car rust", "DTV from new",
)  # fmt: skip
ON_HUB = (HUB_FACE, HUB_DIRT, SPIGOT, TORQUE)
CLEANED_OFF = (HUB_DIRT, ROTOR_DIRT, SPIGOT)
#: How often each is the main fault. A second fault, drawn from the same weights, is in `ALSO` of the corners.
MIX = dict(zip(CAUSES, (0.15, 0.26, 0.10, 0.14, 0.09, 0.05, 0.07, 0.05, 0.03, 0.03, 0.03), strict=True))
ALSO = 0.3
ORDERS = 6
#: Part set and studs: two geometries, two numbers of studs.
GROUPS = tuple((name, count) for name in ("rear_solid_300", "front_vented_320") for count in (5, 4))
#: Hubs over what the case says: diameter and length of the barrel, thickness of the flange, modulus [MPa].
HUBS = ((0.92, 1.3, 0.9, 205_000.0), (1.08, 0.8, 1.15, 205_000.0), (1.0, 1.0, 1.0, 165_000.0))
#: Vectors: cause, order, sign on the outboard face, on the inboard face (+ outboard); standard deviation of a component
#: where it is tolerable and where it is a fault. [um] Worn faces: signs times `Drawn.worn`.
VECTORS = (
    (HUB_FACE, 1, 1.0, 1.0, 5.0, 22.0),
    (OWN, 1, 1.0, 1.0, 5.0, 20.0),
    (OWN, 2, 1.0, 1.0, 1.2, 3.0),
    (WARP, 1, 1.0, 1.0, 0.5, 4.0),
    (WARP, 2, 1.0, 1.0, 1.2, 14.0),
    (WARP, 3, 1.0, 1.0, 0.8, 4.0),
    (WORN, 1, -1.0, -1.0, 0.7, 9.0),
    (WORN, 2, -1.0, 1.0, 0.4, 4.0),
    (NEW_DTV, 1, 0.5, -0.5, 1.2, 8.0),
    (NEW_DTV, 2, 0.5, -0.5, 0.6, 3.0),
)
OFF_CENTRE_UM = (8.0, 45.0)  # of the rim: standard deviation of a component, tolerable and with a fault at the spigot
SPREAD = 0.35  # of the logarithm of a scale
#: Share of spigot faults that are scale over which the nuts drew the rotor; in the others thick scale in the root holds
#: it off. Both through the physics of the spigot.
FORCED = 0.55
ROOT_MM, ROOT_OVER = 1.0, 2.2  # how far from the face scale in the root reaches, and how much thicker it is
LEAST_UM, LEAST_DTV_UM = 35.0, 15.0
MOUNT_TIR_UM = 8.0
#: How much thinner than new the rotors are.
WORN_OFF_UM = 400.0
READINGS, SLIPS, DIAL_UM = 12, 0.05, 10.0
STATES = ("as found", "cleaned", "retorqued", "cleaned again")
CLEAN = ("cleaned", "cleaned again")
#: How often a corner with dirt is cleaned poorly, each of its bits then stays, and a grain gets in anywhere.
POORLY, BIT_STAYS, NEW_GRAIN = 0.22, 0.55, 0.03
#: How often scale stays on the spigot: in its root no brush turns. Judgement, 0.1 .. 0.5.
SCALE_STAYS = 0.3
HUMPS, FELL, TOO_FAR = OUTSIDE = (
    "humps on the hub face", "dirt fell off between mountings", "rotor one stud too far",
)  # fmt: skip


@dataclass(frozen=True)
class Drawn:
    """A corner before it is seated."""

    present: tuple[str, ...]
    sd_um: np.ndarray  # of a component, each of `VECTORS`
    off_centre_um: float
    worn: tuple[float, float]  # the inboard face over the outboard one: first and second order
    hub_dirt: tuple[Debris, ...]
    rotor_dirt: tuple[Debris, ...]
    pulls: tuple[float, ...]  # of each stud over nominal
    scale: SpigotScale | None
    box: dict[str, tuple[float, float, float, float]]  # cause: angle, arc [deg], outboard, inboard height [um]
    hub: int
    layer: float
    dish_um: tuple[float, float]
    left: tuple[Debris, ...] = ()  # once cleaned
    scale_left: SpigotScale | None = None


@dataclass(frozen=True, eq=False)
class Corner:
    """A corner, seated.

    Parameters
    ----------
    group : int
        Of `GROUPS`.
    present : tuple of str
        Faults that are more than tolerable.
    out, into : ndarray of complex, shape (causes, orders)
        Share of each cause on either face, + outboard.
    seated : ndarray of complex, shape (studs, 2, orders)
        Dirt and torque together, turned by so many studs, on either face, rotor frame.
    off_centre : complex
        Of the rim on the hub, until cleaned.
    outside : str
        One of `OUTSIDE`, or empty.
    hump : tuple
        Order and size of what the hub face has that no cause has.
    pulls : tuple of float
    dirt : tuple of Debris
        On the hub.
    left : ndarray of complex, shape (studs, 2, orders)
        What poor cleaning left on the faces and on the spigot, as ``seated``, torque taken off.
    """

    group: int
    present: tuple[str, ...]
    out: np.ndarray
    into: np.ndarray
    seated: np.ndarray
    off_centre: complex
    outside: str = ""
    hump: tuple[int, complex] = (0, 0j)
    pulls: tuple[float, ...] = field(default=(), repr=False)
    dirt: tuple[Debris, ...] = field(default=(), repr=False)
    left: np.ndarray = field(default_factory=lambda: np.zeros((5, 2, ORDERS + 1), dtype=complex), repr=False)

    @property
    def studs(self) -> int:
        """Number of studs."""
        return GROUPS[self.group][1]

    @property
    def thickness(self) -> np.ndarray:
        """Orders of the thickness, rotor frame."""
        thick = [CAUSES.index(c) for c in (WORN, IMPRINT, RUST, NEW_DTV)]
        return (self.out[thick] - self.into[thick]).sum(axis=0)

    def shares_um(self) -> np.ndarray:
        """TIR of each cause's own orders 1 .. 3 as found."""
        own = self.out.copy()
        own[:, 4:] = 0.0
        return tirs(own)

    @property
    def dominant(self) -> str:
        """Cause of the largest share."""
        return CAUSES[int(np.argmax(self.shares_um()))]

    def turned(self, orders: np.ndarray, studs_turned: int) -> np.ndarray:
        """Orders on the hub as the rotor sees them."""
        return orders * np.exp(2j * np.pi * np.arange(ORDERS + 1) * studs_turned / self.studs)

    def orders(self, state: str, studs_turned: int, inboard: bool = False, without: tuple[str, ...] = ()) -> np.ndarray:
        """Mounted trace in a state at a stud position, rotor frame; no scatter."""
        share = self.into if inboard else self.out
        gone = set(without) | set(CLEANED_OFF if state in CLEAN else ()) | ({TORQUE} if state == "retorqued" else set())
        total = np.zeros(ORDERS + 1, dtype=complex)
        for k, cause in enumerate(CAUSES):
            if cause in gone or (not gone & {HUB_DIRT, ROTOR_DIRT} and cause in (HUB_DIRT, ROTOR_DIRT, TORQUE)):
                continue
            total += self.turned(share[k], studs_turned) if cause in ON_HUB else share[k]
        if not gone & {HUB_DIRT, ROTOR_DIRT}:
            total += self.seated[studs_turned % self.studs, int(inboard)]
            if TORQUE in gone:
                total -= self.turned(share[CAUSES.index(TORQUE)], studs_turned)
        if state == "cleaned":
            total += self.left[studs_turned % self.studs, int(inboard)]
        hump = np.zeros(ORDERS + 1, dtype=complex)
        hump[self.hump[0]] = self.hump[1]
        return total + self.turned(hump, studs_turned)

    def left_um(self, state: str, studs_turned: int, without: tuple[str, ...] = ()) -> float:
        """TIR in a state at a stud position, no scatter of the mounting."""
        return float(tirs(self.orders(state, studs_turned, without=without)[None])[0])


def tirs(orders: np.ndarray) -> np.ndarray:
    """Highest less lowest of curves given by their orders, mean left out. Shape (n, orders) to (n,)."""
    theta = np.radians(np.arange(0.0, 360.0, 3.0))
    wave = np.exp(1j * np.outer(np.arange(orders.shape[-1]), theta))
    wave[0] = 0.0
    return np.ptp((orders @ wave).real, axis=-1)


@cache
def case_of(group: int) -> Case:
    """What the estimator is told: the part set, with as many studs."""
    name, count = GROUPS[group]
    case = load_case(ROOT / "demo_geometry" / f"{name}.toml")
    return replace(case, studs=replace(case.studs, count=count))


def _other(group: int, drawn: Drawn) -> Case:
    """The corner's own geometry: another hub, other dish, no runout of its own."""
    case = case_of(group)
    across, long, thick, modulus = HUBS[drawn.hub]
    hub = replace(
        case.hub,
        barrel_outer_diameter_mm=case.hub.barrel_outer_diameter_mm * across,
        barrel_length_mm=case.hub.barrel_length_mm * long,
        flange_thickness_mm=case.hub.flange_thickness_mm * thick,
        youngs_modulus_mpa=modulus,
        face_runout_um=0.0,
        face_dish_um=drawn.dish_um[0],
    )
    rotor = replace(case.rotor, own_runout_um=0.0, own_thickness_variation_um=0.0, flange_dish_um=drawn.dish_um[1])
    contact = replace(case.contact, layer_stiffness_n_mm3=drawn.layer)
    return replace(case, hub=hub, rotor=rotor, contact=contact)


def draw(rng: np.random.Generator, group: int, main: str | None = None) -> Drawn:
    """Draw a corner of a group; with a main fault where one is named."""
    studs = GROUPS[group][1]
    weights = np.array(list(MIX.values()))
    first = main or CAUSES[rng.choice(len(CAUSES), p=weights / weights.sum())]
    present = {first} | ({str(rng.choice(CAUSES, p=weights / weights.sum()))} if rng.random() < ALSO else set())
    forced = SPIGOT in present and rng.random() < FORCED
    grown = {cause: float(np.exp(SPREAD * rng.normal())) for cause in CAUSES}
    sd = np.array([(slab if c in present else back) * grown[c] for c, _, _, _, back, slab in VECTORS])
    scale = SpigotScale(
        angle_deg=float(rng.uniform(0, 360)), arc_deg=float(rng.uniform(30, 130)),
        height_um=float(rng.uniform(100, 170)), to_face_mm=float(rng.uniform(3, 9)),
    )  # fmt: skip
    if not forced:
        scale = replace(scale, height_um=ROOT_OVER * scale.height_um, to_face_mm=ROOT_MM)
    pulls = rng.triangular(0.9, 1.0, 1.1, studs)
    if TORQUE in present:
        loose = (int(rng.integers(studs)) + np.arange(1 if rng.random() < 0.6 else 2)) % studs
        pulls[loose] = rng.uniform(0.02, 0.35, loose.size)
    box = {}
    for cause in (IMPRINT, RUST):
        side = 1.0 if cause == IMPRINT or rng.random() < 0.5 else -1.0
        high = side * 18.0 * np.exp(0.4 * rng.normal(size=2))
        at = (float(rng.uniform(0, 360)), float(rng.uniform(38, 65)))
        if cause in present:
            box[cause] = (*at, float(high[0]), float(high[1]))
    drawn = Drawn(
        present=tuple(c for c in CAUSES if c in present),
        sd_um=sd,
        off_centre_um=OFF_CENTRE_UM[int(SPIGOT in present)] * grown[SPIGOT],
        worn=(float(rng.uniform(0.2, 1.1)), float(rng.uniform(0.4, 1.5))),
        hub_dirt=_cluster(rng, group, "hub") if HUB_DIRT in present else (),
        rotor_dirt=_cluster(rng, group, "rotor") if ROTOR_DIRT in present else (),
        pulls=tuple(map(float, pulls)),
        scale=scale if SPIGOT in present else None,
        box=box,
        hub=int(rng.integers(len(HUBS))),
        layer=float(rng.choice([5.0e4, 1.0e5, 2.0e5])),
        dish_um=(float(rng.uniform(-18, 18)), float(rng.uniform(-18, 18))),
    )
    cleaning = rng.spawn(1)[0]
    left = _left(cleaning, group, drawn.hub_dirt + drawn.rotor_dirt)
    return replace(drawn, left=left, scale_left=scale_left(cleaning, drawn.scale))


def scale_left(rng: np.random.Generator, scale: SpigotScale | None) -> SpigotScale | None:
    """What a brush leaves of scale on the spigot: mostly nothing, else a shorter piece, little or a lot of it."""
    if scale is None or rng.random() >= SCALE_STAYS:
        return None
    return stays_of(rng, scale)


def stays_of(rng: np.random.Generator, scale: SpigotScale) -> SpigotScale:
    """A piece of scale, lower and shorter, somewhere in the arc that it had."""
    arc = scale.arc_deg * float(rng.uniform(0.4, 1.0))
    moved = (scale.arc_deg - arc) * float(rng.uniform(-0.5, 0.5))
    height = scale.height_um * float(rng.triangular(0.3, 0.7, 1.0))
    return replace(scale, arc_deg=arc, angle_deg=(scale.angle_deg + moved) % 360.0, height_um=height)


def _left(rng: np.random.Generator, group: int, dirt: tuple[Debris, ...]) -> tuple[Debris, ...]:
    """What cleaning leaves: in most corners nothing, in some a few of the bits, seldom a grain that was not there."""
    left = poorly_cleaned(rng, dirt) if dirt and rng.random() < POORLY else ()
    if rng.random() < NEW_GRAIN:
        inner, outer = case_of(group).contact_zone_mm
        across = rng.uniform(2.0, 5.0)
        low = float(np.clip(np.sqrt(rng.uniform(inner**2, outer**2)), inner, outer - across))
        left += (
            Debris(
                on="hub" if rng.random() < 0.7 else "rotor", angle_deg=float(rng.uniform(0, 360)),
                arc_deg=float(rng.uniform(3, 10)), inner_radius_mm=low, outer_radius_mm=low + across,
                height_um=float(25.0 + rng.gamma(2.0, 15.0)),
            ),
        )  # fmt: skip
    return left


def poorly_cleaned(rng: np.random.Generator, dirt: tuple[Debris, ...]) -> tuple[Debris, ...]:
    """Some of the bits, one at least, lower and shorter than they were."""
    stays = rng.random(len(dirt)) < BIT_STAYS
    stays[rng.integers(len(dirt))] = True
    return tuple(
        replace(
            bit,
            height_um=bit.height_um * float(rng.triangular(0.25, 0.8, 1.0)),
            arc_deg=bit.arc_deg * float(rng.uniform(0.5, 1.0)),
        )
        for bit, here in zip(dirt, stays, strict=True)
        if here
    )


def _cluster(rng: np.random.Generator, group: int, on: str) -> tuple[Debris, ...]:
    """Two to six uneven bits near each other, anywhere on the face by area; half of the clusters crush."""
    inner, outer = case_of(group).contact_zone_mm
    angle, middle = rng.uniform(0.0, 360.0), np.sqrt(rng.uniform(inner**2, outer**2))
    height, wide = 22.0 + rng.gamma(2.0, 32.0), rng.uniform(5.0, 28.0)
    kind = str(rng.choice(["hard", "loose scale", "compact scale", "paint"], p=(0.45, 0.1, 0.35, 0.1)))
    bits = []
    for _ in range(int(rng.integers(2, 7))):
        across = rng.uniform(2.0, 7.0)
        low = float(np.clip(rng.normal(middle, 3.5) - across / 2, inner, outer - across))
        crush = None if kind == "hard" else float(rng.triangular(*DIRT[kind].crush_mpa))
        bits.append(
            Debris(
                on=on, kind=kind, angle_deg=float(rng.normal(angle, wide) % 360.0),
                arc_deg=float(rng.uniform(3.0, 16.0)), inner_radius_mm=low, outer_radius_mm=low + across,
                height_um=float(np.clip(height * rng.uniform(0.35, 1.0), 4.0, 260.0)), crush_mpa=crush,
                ragged_share=float(rng.uniform(0.0, 0.5)), seed=int(rng.integers(1, 1000)),
            )
        )  # fmt: skip
    return tuple(bits)


def both_faces(case: Case, pulls: tuple[float, ...], dirt: tuple[Debris, ...], studs_turned: int = 0) -> np.ndarray:
    """Orders of a seating on either face, rotor frame. Shape (2, orders)."""
    torque = tuple(140.0 * p for p in pulls)
    found = seat(
        replace(case, debris=dirt, studs=replace(case.studs, torque_nm=torque, studs_turned=studs_turned)), "fast"
    )
    out = np.array([turn.harmonics(face, ORDERS) for face in (found.outboard_um, found.inboard_um)])
    out[:, 0] = 0.0
    return out


def on_spigot(case: Case, scale: SpigotScale) -> np.ndarray:
    """Orders that scale on the spigot leaves once the nuts are tight, either face. Shape (2, orders)."""
    found = seat_corner(replace(case, spigot_scale=(scale,)), "fast", thorough=False)
    out = np.array([turn.harmonics(face, ORDERS) for face in (found.outboard_um, found.inboard_um)])
    out[:, 0] = 0.0
    return out


def box_orders(angle_deg: float, arc_deg: float) -> np.ndarray:
    """Orders of a step of unit height over an arc."""
    n = np.arange(1, ORDERS + 1)
    size = 2.0 / (np.pi * n) * np.sin(n * np.radians(arc_deg) / 2)
    return np.concatenate([[0.0], size * np.exp(-1j * n * np.radians(angle_deg))])


def solved(rng: np.random.Generator, group: int, drawn: Drawn, outside: str = "") -> Corner:
    """Seat a drawn corner and draw its vectors.

    Raises
    ------
    Refused
        Where physics does.
    """
    case, studs = _other(group, drawn), GROUPS[group][1]
    out, into = np.zeros((2, len(CAUSES), ORDERS + 1), dtype=complex)
    for k, (cause, order, sign, inward, _, _) in enumerate(VECTORS):
        z = drawn.sd_um[k] * complex(*rng.normal(size=2))
        out[CAUSES.index(cause), order] += sign * z
        into[CAUSES.index(cause), order] += inward * z * (drawn.worn[order - 1] if cause == WORN else 1.0)
    for cause, (angle, arc, high, low) in drawn.box.items():
        out[CAUSES.index(cause)] = high * box_orders(angle, arc)
        into[CAUSES.index(cause)] = -low * box_orders(angle, arc)
    if drawn.scale is not None:
        out[CAUSES.index(SPIGOT)], into[CAUSES.index(SPIGOT)] = on_spigot(case, drawn.scale)
    before = np.zeros((2, ORDERS + 1))
    lying: tuple[Debris, ...] = ()
    for cause, dirt in ((TORQUE, ()), (HUB_DIRT, drawn.hub_dirt), (ROTOR_DIRT, drawn.rotor_dirt)):
        lying += dirt
        now = both_faces(case, drawn.pulls, lying) if dirt or cause == TORQUE else before
        out[CAUSES.index(cause)], into[CAUSES.index(cause)] = now - before
        before = now
    n = np.arange(ORDERS + 1)
    if drawn.rotor_dirt:  # what lies on the rotor meets other studs and other dirt when it is turned
        seated = [before] + [both_faces(case, drawn.pulls, lying, m) for m in range(1, studs)]
    else:
        seated = [before * np.exp(2j * np.pi * n * m / studs) for m in range(studs)]
    hump = (0, 0j)
    if outside == HUMPS:
        order = int(rng.choice([2, 3]))
        hump = (order, complex((24.0 if order == 2 else 16.0) * np.exp(0.3 * rng.normal() + 2j * np.pi * rng.random())))
    # Rolled on with numpy's own padding so that four and five studs share an array.
    padded, left = np.zeros((2, 5, 2, ORDERS + 1), dtype=complex)
    padded[:studs] = seated
    if drawn.left and not outside:
        torque = out[CAUSES.index(TORQUE)], into[CAUSES.index(TORQUE)]
        for m in range(studs):
            turned = np.array(torque) * np.exp(2j * np.pi * n * m / studs)
            left[m] = both_faces(case, drawn.pulls, drawn.left, m) - turned
    if drawn.scale_left is not None and not outside:
        stays = on_spigot(case, drawn.scale_left)
        for m in range(studs):
            left[m] += stays * np.exp(2j * np.pi * n * m / studs)
    return Corner(
        group, drawn.present, out, into, padded, drawn.off_centre_um * complex(*rng.normal(size=2)), outside, hump,
        drawn.pulls, drawn.hub_dirt, left,
    )  # fmt: skip


def complained_of(corner: Corner) -> bool:
    """Whether anybody would come with it."""
    dtv = float(tirs(corner.thickness[None])[0])
    return corner.left_um("as found", 0) >= LEAST_UM or dtv >= LEAST_DTV_UM


def found(seed: int, index: int, outside: str = "") -> Corner:
    """Corner number ``index`` of a seed: drawn until it is one that somebody complains of.

    ``outside`` may be the name of a cause as well: then it is of the list, and that fault is in it.
    """
    having = outside if outside in CAUSES else ""
    stream = 10 + CAUSES.index(having) if having else 1 + OUTSIDE.index(outside) if outside else 0
    rng, outside = np.random.default_rng([seed, index, stream]), "" if having else outside
    group = int(index % len(GROUPS))
    while True:
        main = str(rng.choice([HUB_DIRT, ROTOR_DIRT])) if outside == FELL else None
        drawn = draw(rng, group, main)
        if having and having not in drawn.present:
            continue
        try:
            for dirt in (drawn.hub_dirt + drawn.rotor_dirt, drawn.left):
                check_case(replace(_other(group, drawn), debris=dirt))
            corner = solved(rng, group, drawn, outside)
        except (Refused, BadInput):
            continue
        if complained_of(corner) and _noticed(corner):
            return corner


def _noticed(corner: Corner) -> bool:
    """Whether a fault of procedure matters: lost dirt was the largest share, the missed stud turns a leaning hub."""
    if corner.outside == FELL:
        return corner.dominant in (HUB_DIRT, ROTOR_DIRT)
    hub = sum(corner.out[CAUSES.index(cause), 1] for cause in ON_HUB)
    return corner.outside != TOO_FAR or abs(hub) >= 15.0


# What is kept: arrays only.
def save(path: Path, corners: list[Corner]) -> None:
    """Keep corners as arrays."""
    np.savez_compressed(
        path,
        group=[c.group for c in corners],
        present=[[cause in c.present for cause in CAUSES] for c in corners],
        out=[c.out for c in corners],
        into=[c.into for c in corners],
        seated=[c.seated for c in corners],
        off_centre=[c.off_centre for c in corners],
        outside=[OUTSIDE.index(c.outside) + 1 if c.outside else 0 for c in corners],
        hump_order=[c.hump[0] for c in corners],
        hump=[c.hump[1] for c in corners],
        left=[c.left for c in corners],
        dirt=[
            [(d.angle_deg, d.arc_deg, d.inner_radius_mm, d.outer_radius_mm, d.height_um) for d in c.dirt]
            + [(0.0, 0.0, 0.0, 0.0, 0.0)] * (6 - len(c.dirt))
            for c in corners
        ],
    )


def load(path: Path) -> list[Corner]:
    """Corners that were kept."""
    with np.load(path) as kept:
        arrays = {name: kept[name] for name in kept.files}
    return [
        Corner(
            int(arrays["group"][k]),
            tuple(c for c, here in zip(CAUSES, arrays["present"][k], strict=True) if here),
            arrays["out"][k],
            arrays["into"][k],
            arrays["seated"][k],
            complex(arrays["off_centre"][k]),
            ("", *OUTSIDE)[int(arrays["outside"][k])],
            (int(arrays["hump_order"][k]), complex(arrays["hump"][k])),
            dirt=tuple(
                Debris(angle_deg=a, arc_deg=b, inner_radius_mm=c, outer_radius_mm=d, height_um=e)
                for a, b, c, d, e in arrays["dirt"][k].tolist()
                if d > 0
            ),
            left=arrays["left"][k],
        )
        for k in range(len(arrays["group"]))
    ]


def corners(keep: Path, seed: int, count: int, outside: str = "") -> list[Corner]:
    """The first corners of a seed, from the folder where they were kept, solved where not; kept every 40."""
    keep.mkdir(parents=True, exist_ok=True)
    path = keep / f"corners_{seed}_{outside.replace(' ', '_') or 'inside'}.npz"
    have = load(path) if path.exists() else []
    for index in range(len(have), count):
        have.append(found(seed, index, outside))
        if index % 40 == 39 or index == count - 1:
            save(path, have)
            print(f"seated {index + 1} of {count} {outside}", file=sys.stderr, flush=True)
    return have[:count]


@dataclass(frozen=True)
class Step:
    """One trace to take: of which kind, in which state, at which stud position, of which mounting."""

    kind: str
    state: str = "as found"
    studs_turned: int = 0
    mount: int = 1
    again: int = 0  # how many times it was read before
    fine: bool = False  # with a dial or a micrometer of 0.001 mm


def scatter(seed: int, corner: int, mount: int) -> np.ndarray:
    """What putting the rotor on adds to a mounting: 8 µm TIR at any angle, a little of higher orders."""
    rng = np.random.default_rng([seed, corner, 77, mount])
    extra = np.zeros(ORDERS + 1, dtype=complex)
    extra[1] = MOUNT_TIR_UM / 2 * np.exp(2j * np.pi * rng.random())
    extra[2:4] = rng.exponential((0.9, 0.6)) * np.exp(2j * np.pi * rng.random(2))
    return extra


def really_turned(corner: Corner, step: Step) -> int:
    """Stud position at which the rotor really stands."""
    return (step.studs_turned + int(corner.outside == TOO_FAR and step.studs_turned > 0)) % corner.studs


def shown_orders(corner: Corner, step: Step) -> np.ndarray:
    """Orders of a trace without scatter: rotor frame, of the bare hub the hub's."""
    turned = really_turned(corner, step)
    if step.kind in ("mounted", "inboard"):
        lost = (HUB_DIRT, ROTOR_DIRT) if corner.outside == FELL and step.mount > 1 else ()
        return corner.orders(step.state, turned, step.kind == "inboard", lost)
    if step.kind == "thickness":
        return corner.thickness
    at = np.zeros(ORDERS + 1, dtype=complex)
    if step.kind == "radial" and step.state not in CLEAN:
        at[1] = corner.off_centre
        return corner.turned(at, turned)
    if step.kind == "hub face":
        case = case_of(corner.group)
        share = case.hub.read_radius_mm / case.gauge_radius_mm
        at += share * corner.out[CAUSES.index(HUB_FACE)]
        at[corner.hump[0]] += share * corner.hump[1]
    return at


def table(seed: int, number: int, corner: Corner, step: Step, slips: float = SLIPS) -> Trace:
    """The trace as it is written down; the same in every plan that takes it."""
    kinds = ("mounted", "inboard", "thickness", "radial", "hub face")
    at = [seed, number, 5, kinds.index(step.kind), STATES.index(step.state), step.studs_turned, step.mount]
    rng = np.random.default_rng([*at, step.again])
    angle = np.arange(READINGS) * 360.0 / READINGS
    theta = np.radians(angle)
    orders = shown_orders(corner, step).copy()
    more: np.ndarray | float = 0.0
    if step.kind in ("mounted", "inboard"):
        orders += scatter(seed, number, step.mount)
    elif step.kind == "radial":  # the rim about its bore, and where the bore hangs on the spigot
        orders[1] += complex(*rng.normal(0.0, 5.0, 2)) + complex(*rng.normal(0.0, 6.0, 2))
    elif step.kind == "hub face":
        # Read again it is the same face, looked at too: then the tip runs beside the lips of the bolt holes.
        beside = step.state == "cleaned again"
        same = [*at[:4], STATES.index("cleaned"), *at[5:]] if beside else at
        face = np.random.default_rng([*same, 0]) if step.again or beside else rng
        ragged = np.array([2.5, 1.5]) * np.exp(0.6 * face.normal(size=2) + 2j * np.pi * face.random(2))
        orders[2:4] += ragged
        if face.random() < 0.3:
            high = face.uniform(30, 50) * (1 + 0.1 * face.normal(size=corner.studs))
            more = 0.0 if beside else lips(angle, corner.studs, face.uniform(7, 11)) @ high
        if step.state not in CLEAN:
            more = more + _standing(corner, angle)
    noise = rng.uniform(1.0, 4.0) if step.kind != "thickness" else rng.uniform(0.7, 2.0)
    value = turn.evaluate(orders, theta) + more
    value = value - value[0] + rng.normal(0.0, noise, READINGS) + rng.normal(0.0, 8.0)
    highest = int(np.argmax(value))
    if step.kind == "thickness":  # a micrometer of 0.01 mm read to half divisions, or of 0.001 mm
        least = 1.0 if step.fine else 5.0
        value = np.round(value / least) * least
    else:
        value = np.round(value) + 50.0 if step.fine else written(rng, value)
    if step.kind != "thickness" and np.ptp(value) == 0.0:  # a needle that hardly moves is read between the divisions
        value[highest] += 5.0
    if rng.random() < slips:
        value = _slip(rng, value)
    if step.kind == "thickness":  # a whole thickness, as a micrometer shows it
        value = value + 1e3 * case_of(corner.group).rotor.thickness_mm - WORN_OFF_UM
    mount, turned = (0, 0) if step.kind == "hub face" else (step.mount, step.studs_turned)
    held = "nuts and spacers" if step.kind in ("mounted", "inboard") else ""
    own, leaf = 1.0 if step.fine else None, None if step.kind == "thickness" else 100.0
    return Trace(step.kind, mount, turned, angle, value + 0.0, None, step.state, "", held, own, feeler_um=leaf)


def _standing(corner: Corner, angle_deg: np.ndarray) -> np.ndarray:
    """How far dirt stands up under a dial's tip on the bare face."""
    at = case_of(corner.group).hub.read_radius_mm
    high = np.zeros(angle_deg.size)
    for bit in corner.dirt:
        near = np.abs((angle_deg - bit.angle_deg + 180.0) % 360.0 - 180.0) <= bit.arc_deg / 2
        if bit.inner_radius_mm - 1.0 <= at <= bit.outer_radius_mm + 1.0:
            high = np.maximum(high, near * bit.height_um)
    return high


def readings(seed: int, number: int, corner: Corner, steps: tuple[Step, ...], slips: float = SLIPS) -> Readings:
    """What comes in: written as a file and read through the same door as everybody's."""
    case = case_of(corner.group)
    traces = tuple(table(seed, number, corner, step, slips) for step in steps)
    # An inboard dial shows the face coming nearer, so the file turns it round; here all are + outboard already.
    hub = case.hub.read_radius_mm if any(step.kind == "hub face" for step in steps) else None
    return parse(to_csv(Readings(corner.studs, case.gauge_radius_mm, hub, DIAL_UM, traces)))
