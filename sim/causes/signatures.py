"""What dirt anywhere between the faces does to the mounted trace of this very corner: columns solved, turned, mirrored.

Patches are drawn over the whole hub face by area, with their heights, and seated on the elastic hub. A corner's own
faults are left out. Studs and faces are the same in every pitch and in the mirror, so one seating stands for two times
as many as there are studs. How stiff the hub is nobody knows well: half of the columns are of the hub as it is given,
the rest of a stiffer and a softer one. What poor cleaning leaves of a patch is seated as well, for half of them: a
lower patch is no smaller copy of a high one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Complexes, Floats, read_only
from sim.disk_cache import fetch
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris, Gauge, Hub, Rotor
from sim.parts.checked import with_known_right
from sim.parts.contradictions import check_case
from sim.progress import Progress, silent
from sim.seating.prepared import prepare
from sim.seating.seat import seat
from sim.seating.studs import preloads_n
from sim.turn import harmonics

# Orders that are compared with readings.
ORDERS = 3
PRESET = "fast"  # first orders within 3 % of finer ones on the demo corner; the discrepancy of a column is wider
SEATED = 720  # with what stays of half of them 16 s on one core; half as many moved a probability by up to 0.02
SEED = 4_127  # fixed, so that columns can be kept
# Share of columns with the hub as given, taken as rigid, with half the bending stiffness of its barrel. Judgement.
HUBS = (0.5, 0.2, 0.3)
TWO_PATCHES = 0.3  # judgement, 0.1 .. 0.5
HALF_WIDTH_MM, ARC_DEG = (1.0, 7.0), (4.0, 60.0)  # of a patch, both log-uniform; judgement
# Heights are drawn as wide as this and weighed by what is held likely: median [um] and factor of a log-normal.
DRAWN_HEIGHT = (85.0, 2.1)
HEIGHT_UM = (5.0, 400.0)
# Poor cleaning leaves a patch this share of its height, evenly drawn, and weighed by what is held likely; where two
# patches lie, so often one of them is gone. Judgement.
STAYS, ONE_GONE, EVERY = (0.1, 1.0), 0.5, 2
# So many columns have their second and third order changed by factors in this range, so that a wrong signature does
# not convict: judgement, from a study with wrong signatures.
WIDE_SHARE, WIDE = 0.15, (0.0, 1.8)
# A stud's pull is taken away by half and wholly; between the two the answer is not straight.
LOOSENED = (0.5, 1.0)


@dataclass(frozen=True, eq=False)
class Signatures:
    """Solved columns of one corner, hub frame.

    Parameters
    ----------
    columns : ndarray of complex, shape (k, 3)
        Orders 1 .. 3 of the mounted trace. [um]
    height_um : ndarray, shape (k,)
        Of the highest patch. [um]
    seating : ndarray of int, shape (k,)
        Seating that a column was turned and mirrored from.
    stud : ndarray of complex, shape (3,)
        Orders of a trace when stud 1 has lost all its pull, straightened. [um]
    gauge_radius_mm : float
        Where they hold. [mm]
    left : ndarray of complex, shape (j, 3)
        Orders of what poor cleaning leaves. [um]
    left_of : ndarray of int, shape (j,)
        Column that it was before.
    left_share : ndarray, shape (j,)
        Height over the height before.
    """

    columns: Complexes
    height_um: Floats
    seating: NDArray[np.int64]
    stud: Complexes
    gauge_radius_mm: float
    left: Complexes = field(default_factory=lambda: np.zeros((0, ORDERS), dtype=complex))
    left_of: NDArray[np.int64] = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    left_share: Floats = field(default_factory=lambda: np.zeros(0))


def stripped(case: Case) -> Case:
    """Return the corner without its faults: geometry, even studs, clamping; what its signatures depend on.

    By definition; an uneven torque becomes its mean. Where a fault that is left out lay says nothing either: corners of
    one geometry share what is kept.
    """
    loads = preloads_n(case.studs)
    mean = float(np.mean(loads))
    studs = replace(
        case.studs, torque_nm=None, preload_n=mean, road_torque_nm=None, studs_turned=0, index_positions=None
    )
    if studs.clamped_by == "screw only":
        studs = replace(studs, clamped_by="nuts and spacers")
    rotor: Rotor = replace(
        case.rotor, own_runout_um=0.0, own_high_spot_deg=0.0, own_runout_radius_mm=None,
        own_thickness_variation_um=0.0, own_thick_spot_deg=0.0, flange_dish_um=0.0,
        flange_saddle_um=0.0, flange_saddle_deg=0.0, face_map=None,
    )  # fmt: skip
    hub: Hub = replace(
        case.hub, face_runout_um=0.0, face_high_spot_deg=0.0, face_runout_radius_mm=None, face_dish_um=0.0,
        face_saddle_um=0.0, face_saddle_deg=0.0,
        face_map=None, spigot_fit=None,
    )  # fmt: skip
    return Case(
        rotor=rotor, hub=hub, studs=studs, contact=case.contact, wheel=case.wheel,
        gauge=Gauge(from_edge_mm=case.gauge.from_edge_mm),
    )  # fmt: skip


def hubs(case: Case) -> tuple[Case, ...]:
    """The corner on its hub as given, on a rigid one, and on one whose barrel bends twice as easily.

    Bending stiffness of a tube goes with the fourth powers of its diameters: closed form of beam theory. [mm]
    """
    outer, inner = case.hub.barrel_outer_diameter_mm, case.hub.barrel_inner_diameter_mm
    thin = replace(case.hub, barrel_inner_diameter_mm=float((outer**4 - (outer**4 - inner**4) / 2) ** 0.25))
    if case.hub.material == "rigid":
        return case, case, replace(case, hub=replace(case.hub, material="steel"))
    return case, replace(case, hub=replace(case.hub, material="rigid")), replace(case, hub=thin)


def patches(case: Case, count: int, seed: int = SEED) -> list[tuple[Debris, ...]]:
    """Draw what lies on the face: one or two patches each, their middles within one stud pitch of stud 1 or anywhere.

    Parameters
    ----------
    case : Case
    count, seed : int

    Returns
    -------
    list of tuple of Debris

    Notes
    -----
    Radius by area, because dirt does not prefer the middle; sizes are judgement, they stand above.
    """
    rng = np.random.default_rng(seed)
    out: list[tuple[Debris, ...]] = []
    for _ in range(count):
        first = _patch(case, rng, case.studs.pitch_deg)
        out.append((first, _patch(case, rng, 360.0)) if rng.random() < TWO_PATCHES else (first,))
    return out


def _patch(case: Case, rng: np.random.Generator, within_deg: float) -> Debris:
    inner, outer = case.contact_zone_mm
    middle = float(np.sqrt(rng.uniform(inner**2, outer**2)))
    half = float(np.exp(rng.uniform(*np.log(HALF_WIDTH_MM))))
    low, high = max(inner, middle - half), min(outer, middle + half)
    if high - low < 1.0:
        low, high = (inner, inner + 1.0) if middle - inner < outer - middle else (outer - 1.0, outer)
    height = float(np.exp(rng.normal(np.log(DRAWN_HEIGHT[0]), np.log(DRAWN_HEIGHT[1]))))
    return Debris(
        angle_deg=float(rng.uniform(0.0, within_deg)),
        arc_deg=float(np.exp(rng.uniform(*np.log(ARC_DEG)))),
        inner_radius_mm=low,
        outer_radius_mm=high,
        height_um=float(np.clip(height, *HEIGHT_UM)),
    )


@one_thread
def signatures(case: Case, progress: Progress = silent) -> Signatures:
    """Columns of a corner: from this process, else from the disk, else solved (half a minute on one core).

    Parameters
    ----------
    case : Case
        Its faults are left out.
    progress : callable(fraction, what)

    Returns
    -------
    Signatures

    Raises
    ------
    Refused
        If physics refuses the corner without its faults.
    BadInput
        If it contradicts itself.
    """
    bare = stripped(case)
    check_case(bare, harmless_too=False)
    seated = _as_seated(bare)
    known = _KEPT.get(seated)
    if known is None:
        known = _KEPT[seated] = _fetched(seated, progress)
        for old in list(_KEPT)[:-KEPT]:
            del _KEPT[old]
    return known


KEPT = 8  # corners of which this process keeps the columns; each takes a megabyte
_KEPT: dict[Case, Signatures] = {}


def _as_seated(bare: Case) -> Case:
    """The corner by what its seatings follow from: what its rotor may be worn or cut down to moves nothing."""
    limits = {"minimum_thickness_mm": Rotor.minimum_thickness_mm, "machine_to_thickness_mm": None}
    return with_known_right(bare, rotor=with_known_right(bare.rotor, **limits))


def _fetched(bare: Case, progress: Progress) -> Signatures:
    identity = repr((SEATED, SEED, bare.rotor, bare.hub, bare.studs, bare.contact, bare.wheel, bare.gauge))
    arrays, _ = fetch("signatures", identity, lambda: _solved(bare, progress), __name__)
    return read_only(_turned(bare, arrays))


def _solved(bare: Case, progress: Progress) -> dict[str, NDArray]:
    """Orders of every seating, hub frame, and of a stud that has lost its pull."""
    drawn, stays = patches(bare, SEATED), _stays(SEATED)
    ends = np.round(np.cumsum(HUBS) * SEATED).astype(int)
    rows, heights = [], []
    left, left_of, left_share = [], [], []
    for k, (dirt, hub) in enumerate(zip(drawn, _per_seating(hubs(bare), ends), strict=True)):
        orders = _orders(replace(hub, debris=dirt))
        if orders is not None:
            rows.append(orders)
            heights.append(max(patch.height_um for patch in dirt))
            rest = _orders(replace(hub, debris=poorly_cleaned(dirt, *stays[k]))) if k % EVERY == 0 else None
            if rest is not None:
                left.append(rest)
                left_of.append(len(rows) - 1)
                left_share.append(stays[k][0])
        progress((k + 1) / SEATED, "dirt on this hub, seated once and kept")
    if not rows:
        raise Refused("no dirt can be seated on this corner: it has no signature to compare readings with")
    return {
        "orders": np.array(rows).view(float), "height_um": np.array(heights), "stud": _stud(bare).view(float),
        "left": np.array(left, dtype=complex).reshape(-1, ORDERS).view(float),
        "left_of": np.array(left_of, dtype=np.int64), "left_share": np.array(left_share),
    }  # fmt: skip


def _stays(count: int) -> list[tuple[float, bool]]:
    """Draw what share of the height stays, and whether of two patches one does."""
    rng = np.random.default_rng(SEED + 2)
    return [(float(rng.uniform(*STAYS)), bool(rng.random() < ONE_GONE)) for _ in range(count)]


def poorly_cleaned(dirt: tuple[Debris, ...], share: float, one: bool) -> tuple[Debris, ...]:
    """What stays of the patches: lower, and of two perhaps the first alone; judgement, see `STAYS`. [um]."""
    return tuple(replace(patch, height_um=share * patch.height_um) for patch in (dirt[:1] if one else dirt))


def _per_seating(corners: Iterable[Case], ends: NDArray[np.int64]) -> list[Case]:
    out: list[Case] = []
    for corner, end in zip(corners, ends, strict=True):
        prepare(corner, PRESET)
        out += [corner] * (int(end) - len(out))
    return out


def _orders(corner: Case) -> Complexes | None:
    try:
        return harmonics(seat(corner, PRESET).outboard_um, ORDERS)[1:]
    except Refused:
        return None


def _stud(bare: Case) -> Complexes:
    """Orders per whole loss of stud 1's pull: the mean of what losing half (doubled) and all of it make."""
    pull, made = preloads_n(bare.studs), []
    for lost in LOOSENED:
        loads = (pull[0] * (1.0 - lost), *pull[1:])
        orders = _orders(replace(bare, studs=replace(bare.studs, preload_n=loads)))
        if orders is not None:
            made.append(orders / lost)
    return np.mean(made, axis=0) if made else np.zeros(ORDERS, dtype=complex)


def _turned(bare: Case, arrays: dict[str, NDArray]) -> Signatures:
    orders = arrays["orders"].view(complex)
    count = orders.shape[0]
    rng = np.random.default_rng(SEED + 1)
    wide = np.asarray(rng.random(count) < WIDE_SHARE)
    factor = np.where(wide[:, None], rng.uniform(*WIDE, (count, ORDERS)), 1.0)
    factor[:, 0] = 1.0
    columns = turned_and_mirrored(orders * factor, bare.studs.count)
    copies = columns.shape[0] // count
    of = arrays["left_of"]
    left = turned_and_mirrored(arrays["left"].view(complex) * factor[of], bare.studs.count)
    return Signatures(
        columns, np.tile(arrays["height_um"], copies), np.tile(np.arange(count), copies),
        arrays["stud"].view(complex), bare.gauge_radius_mm,
        left, (count * np.arange(copies)[:, None] + of).ravel(), np.tile(arrays["left_share"], copies),
    )  # fmt: skip


@lru_cache(maxsize=8)
def thinned(known: Signatures, every: int) -> Signatures:
    """Columns of every so-manieth seating, with what stays of them: to look with, not to answer by.

    Parameters
    ----------
    known : Signatures
    every : int

    Returns
    -------
    Signatures
        [um], a part of those given; a seating's turned and mirrored columns stay together.
    """
    kept = known.seating % every == 0
    left = kept[known.left_of]
    place = np.cumsum(kept) - 1
    return read_only(
        replace(
            known, columns=known.columns[kept], height_um=known.height_um[kept], seating=known.seating[kept],
            left=known.left[left], left_of=place[known.left_of[left]], left_share=known.left_share[left],
        )
    )  # fmt: skip


def turned_and_mirrored(orders: Complexes, studs: int) -> Complexes:
    """Every column turned on by each stud pitch, and its mirror.

    Parameters
    ----------
    orders : ndarray of complex, shape (k, h)
        Orders 1 .. h. [um]
    studs : int

    Returns
    -------
    ndarray of complex, shape (2 studs k, h)

    Notes
    -----
    f(theta - a) has orders c exp(-i n a), f(-theta) has their conjugates: by definition. Exact where faces and studs
    are the same in every pitch and in the mirror.
    """
    both = np.concatenate([orders, orders.conj()])
    n = np.arange(1, orders.shape[1] + 1)
    return np.concatenate([both * np.exp(-2j * np.pi * n * m / studs) for m in range(studs)])


@lru_cache(maxsize=16)
def pad_marks(arc_deg: float) -> Complexes:
    """Orders 1 .. 3 of a mark one um high over a pad's arc, its middle at every fifth degree, shape (72, 3).

    Fourier series of a box: by definition. [um]
    """
    n = np.arange(1, ORDERS + 1)
    size = 2.0 / (np.pi * n) * np.sin(n * np.radians(min(arc_deg, 180.0)) / 2.0)
    middle = np.radians(np.arange(0.0, 360.0, 5.0))
    marks: Complexes = read_only(size * np.exp(-1j * n * middle[:, None]))
    return marks
