"""What one reading says of the car on the road: the lateral runout as driven behind a dial reading.

A reading is the sum of faults that nobody saw: dirt anywhere between the faces, the hub's and the rotor's own runout,
faces that are not flat, nuts that do not pull alike. What the case states of them is taken as given, the rest is drawn
from `PRIOR`. Dirt, uneven faces and nuts are seated (elastic contact, under the clamping of the reading and with the
wheel on); the runouts of hub and rotor turn the whole stack or ride on it, so they add to a seating as vectors, exactly
and without another solve. Every seating is therefore joined with many draws of them, and the drawn corners that read
like the dial are what may lie behind it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Complexes, Floats, InShort
from sim.corner.clampings import DRIVEN, clampings
from sim.corner.kept_traces import ORDERS, kept_orders
from sim.corner.wheel_prior import DISH_SD_UM, dish_um, typical
from sim.errors import BadInput, Fault, Refused
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris
from sim.parts.dirt import DIRT, HARD
from sim.parts.keys import key
from sim.parts.measured_face import Topography
from sim.progress import Progress, need_listener, silent
from sim.seating.dial_trace import own_wave_um
from sim.seating.lying_between import turn_rad
from sim.seating.studs import preloads_n
from sim.spigot.state import need_free_spigot
from sim.units import is_finite_number, shown

CORNERS = 600  # drawn and seated, each as read and as driven
JOINED = 40  # draws of hub and rotor runout with each
POINTS = 120  # of a trace that is looked at for its TIR
LEAST_ALIKE = 25.0  # fewer equivalent seated corners than this give no band
BLUR = 0.03  # least relative width within which two readings count as the same
# The draws are judged, and corners differ from them in ways that are not drawn: without more, bands held 75 to 81 % of
# corners from laws of other shapes (population of the coverage study, seed 101). It adds to what is drawn as errors do,
# so that narrow bands grow most: one factor for all, 1.08 or 1.12, held 80 and 81 % of matched corners, and 67 to 70 %
# of those with dirt near the axis that were read at full torque (seeds 37447 and 88213).
NOT_DRAWN = 0.155  # half of the 80 % band, in ratio, of what is not drawn
NEXT_TO_NONE = 1e-9  # share of the greatest weight below which a drawn corner is left out
BAND = (0.1, 0.5, 0.9)
HUB_STATED = {"hub.face_runout_um", "hub.face_map"}  # either says what the bare face reads
BARE_HUBS_UM = (10.0, 50.0)  # a hub as it should be, and one over every usual limit: what a bare face might read
SEED = 20_011  # of the seated corners; fixed, so that they can be kept

WORDS = ("nuts and spacers", "bare nuts", "wheel", "screw only")


@dataclass(frozen=True)
class Drawn:
    """One row of what is drawn where the case states nothing: what, how, and where that comes from."""

    what: str
    drawn: str
    source: str


JUDGED = "judgement"
_WHEELS = "; ".join(f"{metal} {thick:g} mm ({odds:.2f})" for metal, thick, odds in typical(None, None))
_WHEELS += f"; dish normal, {DISH_SD_UM:g} µm"
# Evenly in ratio, a hub in three would stand beyond 40 µm where it is read, and every large reading be laid to hub or
# rotor instead of dirt: then few nuts and many bend it alike, and the band is too narrow.
RUNOUT_UM = (4.0, 20.0, 120.0)
# Once the hub is known to be true, only a rotor is left to turn the stack whole: drawn like hubs, too few of them do,
# what reads large is laid to dirt, and the band held 66 to 70 % of bad rotors (coverage study, seed 84211; so 77).
UNEVEN, UNEVEN_UM = 0.15, (40.0, 120.0)
_RUNOUTS = "4 .. 120 µm, likeliest 20, a triangle over the logarithm"
_MOST_MEET = "most meet a limit of 30 to 50 µm: common practice, no source; its shape: judgement"
PRIOR: tuple[Drawn, ...] = (
    Drawn("patches of dirt", "none 0.15, one 0.4, two 0.25, three 0.2; the case's own dirt is left out", JUDGED),
    Drawn("place of a patch", "any angle; radius by area, or (0.25 each) at the outer or inner edge", JUDGED),
    Drawn("size of a patch", "3 .. 60 deg by 2 .. 14 mm, log-uniform; round one time in four", JUDGED),
    Drawn("height of a patch", "8 .. 200 µm, log-uniform", "first-year rust, ISO 9223, second-hand; judgement"),
    Drawn("kind of dirt", "hard 0.3, else a kind of dirt; crushing log-uniform over its range", "`sim.parts.dirt`"),
    Drawn("hub face runout", f"{_RUNOUTS} where it is read, any phase", _MOST_MEET),
    Drawn("rotor's own runout", f"{_RUNOUTS} at the gauge, any phase", _MOST_MEET),
    Drawn("the same, hub stated", f"as above, but {UNEVEN:g} of them evenly in ratio, 40 .. 120 µm", JUDGED),
    Drawn("rotor's own second order", "amplitude half-normal, 4 µm", JUDGED),
    Drawn("dish of hub face, flange", "each normal, 15 µm, one time in four 50 µm", JUDGED),
    Drawn("saddle of the seating face", "amplitude half-normal, 6 µm, any phase", JUDGED),
    Drawn("pull of a stud", "times exp(normal, 0.12), as read and as driven apart", "VDI 2230, from memory"),
    Drawn("nut factor of all", "pull times 0.75 .. 1.3, log-uniform", "0.15 .. 0.26, from memory"),
    Drawn("wheel's pad", _WHEELS, "`sim.corner.wheel_prior`"),
    Drawn("contact layer", "3e4, 1e5 or 3e5 N/mm3", "1e4 .. 1e6, judgement"),
    Drawn("dial", "TIR within 1.5 or 5 µm (standard uncertainty), equal odds", "JIS B 7503:2011, extract"),
    Drawn("runout that is stated", "as stated, within 3 µm (standard uncertainty) where it was read", JUDGED),
)
LAYERS = (3.0e4, 1.0e5, 3.0e5)  # N/mm3, as the table says
DIALS_UM = (1.5, 5.0)  # standard uncertainties, as the table says
STATED_SD_UM = 3.0  # as the table says


@dataclass(frozen=True, eq=False, repr=False)
class Driven(InShort):
    """The lateral runout as driven behind a reading.

    Parameters
    ----------
    read_um : float
        What the dial showed. [um]
    ratio : ndarray, shape (count,)
        Driven over read: equally weighted draws of what may lie behind the reading.
    low_um, middle_um, high_um : float
        10, 50 and 90 % points of the runout as driven: the 80 % band. [um]
    alike : float
        Equivalent number of seated corners that read like this one.
    given : tuple of str
        Keys of the case that were taken as given; the rest is drawn from `PRIOR`.
    """

    read_um: float
    ratio: Floats
    low_um: float
    middle_um: float
    high_um: float
    alike: float
    given: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Seated:
    """Corners seated twice: orders 0 .. `ORDERS` of the gauge's trace as read and as driven, ROTOR frame. [um].

    Hub and rotor runout are left out of both; rows that physics refuses are not a number.
    """

    read: Complexes
    driven: Complexes


@dataclass(frozen=True, eq=False)
class Joint:
    """Drawn corners, seatings joined with runouts: TIR as read and as driven, and the seating each rests on. [um]."""

    read_um: Floats
    driven_um: Floats
    seating: NDArray[np.int64]


@one_thread
def driven_given_reading(
    case: Case,
    clamped_by: str,
    read_um: float,
    count: int = 400,
    seed: int = 1,
    preset: str = "rough",
    progress: Progress = silent,
) -> Driven:
    """Lateral runout as driven (wheel on, full torque) behind a dial reading.

    Parameters
    ----------
    case : Case
        Geometry, torque, and what is known of hub and rotor; its own dirt is left out.
    clamped_by : str
        How the rotor was held when it was read: a word of the key ``studs.clamped_by`` or a name of `clampings`.
    read_um : float
        What the dial showed, TIR. [um]
    count : int
        Draws of the ratio that are returned.
    seed : int
        Of the runouts joined with the seatings; same seed, same answer.
    preset : {"rough", "fast", "standard", "fine"}
        Only ratios are taken from the seatings; most rough ones stay within a tenth of fine ones, far inside the band.
    progress : callable(fraction, what)
        The first call on a geometry and clamping seats `CORNERS` corners twice, about 15 s on two cores; they are kept.

    Returns
    -------
    Driven

    Raises
    ------
    BadInput
        For a clamping or a reading that cannot be one.
    Refused
        If fewer than `LEAST_ALIKE` equivalent drawn corners read like this one: then no band is honest.

    Notes
    -----
    Coverage: ``python -m tests.studies.clamp_reading``.
    """
    need_listener(progress)
    name = clamping_name(case, clamped_by)
    if not (is_finite_number(read_um) and read_um > 0):
        raise BadInput(Fault("the reading must be above zero", key="reading_um"))
    rng = np.random.default_rng(seed)
    joint = joined(case, seated_corners(case, name, preset, progress), rng)
    not_drawn = 0.0 if name == DRIVEN else NOT_DRAWN  # nothing lies between a corner as driven and itself
    return behind(joint, read_um, count, rng, known(case), not_drawn)


def with_bare_hub(case: Case, hub_um: float) -> Case:
    """Return the case as its own file would stand with a bare hub face that was read, TIR. [um]."""
    given = case.given if case.given is None else (*case.given, "hub.face_runout_um")
    return replace(case, hub=replace(case.hub, face_runout_um=hub_um), given=given)


def with_hubs_read(case: Case, clamped_by: str, read_um: float) -> dict[float, Driven]:
    """What would lie behind the same reading with the bare hub face read too: by what it might read, `BARE_HUBS_UM`.

    Parameters
    ----------
    case : Case
    clamped_by : str
    read_um : float
        [um]

    Returns
    -------
    dict of float to Driven
        By TIR of the hub face [um]; empty where the case states it already, or the wheel held the rotor; without those
        under which hardly a corner reads so.

    Notes
    -----
    As `driven_given_reading`, on the same seated corners: nothing is solved again.
    """
    if HUB_STATED & set(known(case)) or clamping_name(case, clamped_by) == DRIVEN:
        return {}
    found = {}
    for hub_um in BARE_HUBS_UM:
        try:
            found[hub_um] = driven_given_reading(with_bare_hub(case, hub_um), clamped_by, read_um)
        except Refused:
            continue
    return found


def clamping_name(case: Case, clamped_by: str) -> str:
    """Name of a clamping; the words of ``studs.clamped_by`` mean it at the case's own torque.

    Raises
    ------
    BadInput
        If it is neither.
    """
    known_names = [*clampings(case), *WORDS]
    if clamped_by not in known_names:
        raise BadInput(Fault(f"{shown(clamped_by)} is not one of the clampings", allowed="; ".join(known_names)))
    return same_clamping(clamped_by)


def same_clamping(clamped_by: str) -> str:
    """Name of the clamping that a word of ``studs.clamped_by`` means; every other name is its own.

    Examples
    --------
    >>> same_clamping("bare nuts"), same_clamping("two nuts, 20 N m")
    ('bare nuts, full torque', 'two nuts, 20 N m')
    """
    meant = ("nuts and spacers, full torque", "bare nuts, full torque", DRIVEN, "screw only")
    return dict(zip(WORDS, meant, strict=True)).get(clamped_by, clamped_by)


def known(case: Case) -> tuple[str, ...]:
    """Keys of hub, rotor and wheel that the case's own file states, and that are therefore not drawn."""
    keys = (
        ("hub", "face_runout_um"), ("rotor", "own_runout_um"), ("hub", "face_dish_um"), ("rotor", "flange_dish_um"),
        ("rotor", "flange_saddle_um"),
        ("wheel", "pad_thickness_mm"), ("wheel", "material"), ("wheel", "pad_dish_um"),
        ("contact", "layer_stiffness_n_mm3"),
    )  # fmt: skip
    stated = [f"{table}.{name}" for table, name in keys if case.where_from(table, name) == "the case file"]
    faces = (("hub.face_map", case.hub_topography), ("rotor.face_map", case.rotor_topography))
    return (*stated, *(name for name, face in faces if face is not None))


# ------------------------------------------------------------------------------------------------- drawing and seating


def seated_corners(case: Case, name: str, preset: str = "rough", progress: Progress = silent) -> Seated:
    """Corners drawn from `PRIOR`, seated as read under a clamping and as driven; from the disk where they are kept.

    Parameters
    ----------
    case : Case
    name : str
        From `clamping_name`.
    preset : str
    progress : callable(fraction, what)

    Returns
    -------
    Seated

    Notes
    -----
    Traces as orders in um; the population is `PRIOR`, with a source or judgement in every row.
    """
    need_free_spigot(case)
    drawn = drawn_corners(case, CORNERS)
    found: dict[str, Complexes] = {}
    for k, which in enumerate((name, DRIVEN)):
        states = [_clamped(corner, which, pull) for corner, pull in zip(drawn.corners, drawn.pulls[k], strict=True)]

        def share(done: float, what: str, k: int = k) -> None:
            progress((k + done) / 2, what)

        if which in found:  # read as driven: the very same seating, only the dial lies between
            continue
        found[which] = kept_orders(states, preset, share)
    return Seated(found[name], found[DRIVEN])


@dataclass(frozen=True, eq=False)
class Corners:
    """Drawn corners, own runouts left out, and how hard each stud pulls as read and as driven, times nominal."""

    corners: tuple[Case, ...]
    pulls: tuple[Floats, Floats]


def drawn_corners(case: Case, count: int, seed: int = SEED) -> Corners:
    """Draw what is seated: dirt, uneven faces, wheel, contact layer, pulls.

    Parameters
    ----------
    case : Case
    count, seed : int

    Returns
    -------
    Corners
        Ordered by wheel and layer, so that what is prepared for one serves the next.
    """
    rng = np.random.default_rng(seed)
    stated = known(case)
    corners = sorted((_corner(case, stated, rng) for _ in range(count)), key=_by_wheel)
    shape = (count, case.studs.count)
    both = rng.uniform(np.log(0.75), np.log(1.3), (count, 1))
    first, second = (np.exp(both + rng.normal(0.0, 0.12, shape)) for _ in range(2))
    return Corners(tuple(corners), (first, second))


def _by_wheel(case: Case) -> tuple[Any, ...]:
    return case.wheel.material, case.wheel.thickness_mm, case.contact.layer_stiffness_n_mm3


def _corner(case: Case, stated: tuple[str, ...], rng: np.random.Generator) -> Case:
    """One corner; every draw is made whether it is used or not, so that stating one thing leaves the others alone."""
    patches = rng.choice(4, p=(0.15, 0.4, 0.25, 0.2))
    debris = tuple(_patch(case, rng) for _ in range(3))[:patches]
    dishes = rng.normal(0.0, 15.0, 2) * np.where(rng.random(2) < 0.25, 50.0 / 15.0, 1.0)
    saddle, phase = abs(rng.normal(0.0, 6.0)), rng.uniform(0.0, np.pi)
    which, pad_dish, layer = rng.random(), float(dish_um(rng.random())), LAYERS[rng.integers(len(LAYERS))]

    def free(key: str, value: Any) -> dict[str, Any]:
        return {} if key in stated else {key.split(".")[1]: value}

    hub_dish = {} if "hub.face_map" in stated else free("hub.face_dish_um", dishes[0])
    flange_dish = {} if "rotor.face_map" in stated else free("rotor.flange_dish_um", dishes[1])
    wheels = typical(
        case.wheel.material if "wheel.material" in stated else None,
        case.wheel.thickness_mm if "wheel.pad_thickness_mm" in stated else None,
    )
    material, thick, _ = wheels[int(np.searchsorted(np.cumsum([odds for *_, odds in wheels])[:-1], which, "right"))]
    shape = None if "rotor.flange_saddle_um" in stated else _saddle(case, saddle, phase)
    wheel = free("wheel.pad_dish_um", pad_dish) | {"pad_thickness_mm": thick, "material": material}
    return replace(
        case,
        debris=debris,
        hub=replace(case.hub, face_runout_um=0.0, **hub_dish),
        rotor=replace(case.rotor, own_runout_um=0.0, own_thickness_variation_um=0.0, **flange_dish),
        wheel=replace(case.wheel, **wheel),
        contact=replace(case.contact, **free("contact.layer_stiffness_n_mm3", layer)),
        rotor_topography=case.rotor_topography or shape,
    )


def _patch(case: Case, rng: np.random.Generator) -> Debris:
    inner, outer = case.contact_zone_mm
    width = min(np.exp(rng.uniform(*np.log((2.0, 14.0)))), outer - inner)
    middle = np.sqrt(rng.uniform(inner**2, outer**2))
    where = rng.random()
    low = float(np.clip(middle - width / 2, inner, outer - width))
    if where < 0.5:
        low = inner if where < 0.25 else outer - width
    kind = HARD if rng.random() < 0.3 else tuple(DIRT)[rng.integers(len(DIRT))]
    share = rng.random()
    crush = (
        None
        if kind == HARD
        else float(np.exp(np.interp(share, (0, 1), np.log(np.array(DIRT[kind].crush_mpa)[[0, 2]]))))
    )
    return Debris(
        kind=kind,
        shape="round" if rng.random() < 0.25 else "sector",
        angle_deg=float(rng.uniform(0.0, 360.0)),
        arc_deg=float(np.exp(rng.uniform(*np.log((3.0, 60.0))))),
        inner_radius_mm=low,
        outer_radius_mm=low + width,
        height_um=float(np.exp(rng.uniform(*np.log((8.0, 200.0))))),
        crush_mpa=crush,
    )


def _saddle(case: Case, amplitude_um: float, phase: float) -> Topography:
    """A seating face with two waves a turn, the same at every radius."""
    angle = np.arange(0.0, 360.0, 15.0)
    height = amplitude_um * np.cos(2 * (np.deg2rad(angle) - phase))
    return Topography(tuple(angle), (sum(case.contact_zone_mm) / 2,), tuple((h,) for h in height))


def _clamped(corner: Case, name: str, pull: Floats) -> Case:
    """A drawn corner under a clamping, every stud pulling as drawn."""
    if name == "screw only":
        studs = replace(corner.studs, clamped_by="screw only")
        return replace(corner, studs=replace(studs, screw_preload_n=studs.screw_preload_n * float(pull[0])))
    clamped = clampings(corner)[name]
    most = key("studs", "preload_n").highest  # a stud past its proof load may be drawn beyond what is computed
    forces = tuple(min(float(f * p), most) for f, p in zip(preloads_n(clamped.studs), pull, strict=True))
    return replace(clamped, studs=replace(clamped.studs, torque_nm=None, preload_n=forces))


# ------------------------------------------------------------------------------------------------ joining, conditioning


def joined(case: Case, seated: Seated, rng: np.random.Generator, each: int = JOINED) -> Joint:
    """Join seatings with drawn runouts of hub and rotor.

    Parameters
    ----------
    case : Case
    seated : Seated
    rng : Generator
    each : int
        Draws with each seating.

    Returns
    -------
    Joint

    Notes
    -----
    Runouts in um TIR; sums of vectors, their sizes from `PRIOR`.

    Phasors add; the population's source stands in each row of `PRIOR`.
    """
    count = seated.read.shape[0]
    waves = np.zeros((count * each, 3), dtype=complex)
    waves[:, 1] = _hub_wave(case, count * each, rng) + _rotor_wave(case, count * each, rng)
    waves[:, 2] = np.abs(rng.normal(0.0, 4.0, count * each)) * _phases(count * each, rng)
    which = np.repeat(np.arange(count), each)
    sits = np.asarray(np.isfinite(seated.read + seated.driven).all(axis=1))[which]
    which, waves = which[sits], waves[sits]
    return Joint(_tir(seated.read, which, waves), _tir(seated.driven, which, waves), which)


def _phases(count: int, rng: np.random.Generator) -> Complexes:
    return np.exp(1j * rng.uniform(0.0, 2 * np.pi, count))


def _runout_um(count: int, rng: np.random.Generator) -> Floats:
    low, likely, high = np.log(RUNOUT_UM)
    return np.asarray(np.exp(rng.triangular(low, likely, high, count)))


def _spread(sd_um: float, count: int, rng: np.random.Generator) -> Complexes:
    """Amplitude error of a stated runout, TIR within ``sd_um``, both components."""
    return np.asarray(sd_um / 2 * (rng.normal(size=count) + 1j * rng.normal(size=count)))


def _hub_wave(case: Case, count: int, rng: np.random.Generator) -> Complexes:
    """First order that the hub face's lean makes at the gauge, ROTOR frame. [um]."""
    lever = case.gauge_radius_mm / case.hub.read_radius_mm
    phase = _phases(count, rng)
    if "hub.face_map" in known(case):  # its lean was seated with it
        return lever * _spread(STATED_SD_UM, count, rng)
    if "hub.face_runout_um" not in known(case):
        return lever / 2 * _runout_um(count, rng) * phase
    size = np.full(count, case.hub.face_runout_um / 2)
    if case.where_from("hub", "face_high_spot_deg") == "the case file":
        phase = np.full(count, np.exp(1j * (turn_rad(case) - np.deg2rad(case.hub.face_high_spot_deg))))
    return lever * (size * phase + _spread(STATED_SD_UM, count, rng))


def _rotor_wave(case: Case, count: int, rng: np.random.Generator) -> Complexes:
    """First order of the rotor's own runout at the gauge. [um]."""
    phase = _phases(count, rng)
    if "rotor.own_runout_um" not in known(case):
        size = _runout_um(count, rng)
        if HUB_STATED & set(known(case)):
            low, high = np.log(UNEVEN_UM)
            size = np.where(rng.random(count) < UNEVEN, np.exp(rng.uniform(low, high, count)), size)
        return np.asarray(size / 2 * phase)
    own = own_wave_um(replace(case.rotor, own_thickness_variation_um=0.0), case.gauge_radius_mm, case.gauge.face)
    turn = phase if case.where_from("rotor", "own_high_spot_deg") != "the case file" else 1.0
    return np.asarray(own * turn + _spread(STATED_SD_UM, count, rng))


@lru_cache(maxsize=2)
def _basis(count: int) -> Complexes:
    return np.exp(1j * np.outer(np.arange(ORDERS + 1), 2 * np.pi * np.arange(count) / count))


def _tir(orders: Complexes, which: NDArray[np.int64], waves: Complexes) -> Floats:
    """TIR of seatings with added orders; in slices, because a slice is a small matrix and the whole is not."""
    basis = _basis(POINTS)
    base = (orders[:, 1:] @ basis[1:]).real
    out = np.empty(which.size)
    for start in range(0, which.size, 4096):
        part = slice(start, start + 4096)
        out[part] = np.ptp(base[which[part]] + (waves[part] @ basis[: waves.shape[1]]).real, axis=1)
    return out


def weights_of(joint: Joint, read_um: float) -> tuple[Floats, float]:
    """Likelihood of a reading under each drawn corner, and the equivalent number of seatings behind it.

    The dial's uncertainty is a mixture of `DIALS_UM`; `BLUR` keeps it from being narrower than the draws can fill.

    Readings in um. Likelihood of a mixture of normal errors; equivalent number after Kish (from memory).
    """
    miss = read_um - joint.read_um
    weight = np.zeros(miss.size)
    if not miss.size:
        return weight, 0.0
    for dial in DIALS_UM:
        width = np.hypot(dial, BLUR * read_um)
        weight += np.exp(-0.5 * (miss / width) ** 2) / width
    by_seating = np.bincount(joint.seating, weight)
    total = float(by_seating.sum())
    alike = total**2 / max(float((by_seating**2).sum()), 1e-300)
    return weight, (alike if total > 1e-9 else 0.0)


def behind(
    joint: Joint,
    read_um: float,
    count: int,
    rng: np.random.Generator,
    given: tuple[str, ...] = (),
    not_drawn: float = NOT_DRAWN,
) -> Driven:
    """Condition drawn corners on a reading.

    Parameters
    ----------
    joint : Joint
    read_um : float
        [um]
    count : int
        Draws of the ratio.
    rng : Generator
    given : tuple of str
    not_drawn : float
        Half of the 80 % band, as a logarithm, of how corners differ from the drawn ones; 0 for a population that is
        known.

    Returns
    -------
    Driven

    Raises
    ------
    Refused
        If fewer than `LEAST_ALIKE` equivalent seatings read like this one.

    Notes
    -----
    Weighted draws by Bayes' rule; how far the band holds: tests/studies/clamp_reading.md.
    """
    weight, alike = weights_of(joint, read_um)
    if alike < LEAST_ALIKE:
        raise Refused(
            f"cannot tell: a reading of {read_um:g} µm rests on {alike:.0f} drawn corners, "
            f"{LEAST_ALIKE:g} are the least; read again under another clamping"
        )
    near = weight > NEXT_TO_NONE * weight.max()
    weight, driven = weight[near], joint.driven_um[near] * _blur_undone(joint.read_um[near], read_um)
    order = np.argsort(driven)
    share = (np.cumsum(weight[order]) - weight[order] / 2) / weight.sum()
    middle = float(np.interp(BAND[1], share, driven[order]))
    drawn = np.log(np.maximum(np.interp(BAND[::2], share, driven[order]), 1e-6))
    half = max((drawn[1] - drawn[0]) / 2, 1e-6)
    wider = middle * (driven[order] / middle) ** (np.hypot(half, not_drawn) / half)
    low, high = np.interp(BAND[::2], share, wider)
    places = (np.arange(count) + rng.random()) / count
    ratio = rng.permutation(np.interp(places, share, wider)) / read_um
    return Driven(float(read_um), ratio, float(low), middle, float(high), float(alike), given)


def _blur_undone(seen_um: Floats, read_um: float) -> Floats:
    """Factor on each corner's driven runout for the part of its miss that only the blur allowed.

    Driven and read grow alike, so a corner that reads 3 % high is taken 3 % smaller; of a dial's own error nothing.
    """
    width = np.hypot(np.mean(DIALS_UM), BLUR * read_um)
    blurred = (BLUR * read_um / width) ** 2
    miss = np.clip(read_um / np.maximum(seen_um, 1e-6), 0.5, 2.0)
    return miss**blurred
