"""The dial that lies: what one corner reads under different clampings, and what a reading says of the driven car."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.batch import random_debris, seat_many
from sim.errors import BadInput, Fault, Refused
from sim.onethread import one_thread
from sim.pair import Progress, silent
from sim.parts import Case, Studs
from sim.ring import harmonics, high_spot_deg
from sim.seated import seat_corner
from sim.spigot import need_free_spigot

Floats = NDArray[np.float64]

LOW_TORQUE_NM = 20.0  # nuts run down evenly by hand wrench; common practice, no source
KERNEL = 0.10  # a drawn corner counts as alike when it reads the same within about a tenth
LEAST_ALIKE = 10.0  # fewer corners alike than this give no band
DRAWS = 160
LEAST_UM = 15.0  # smaller swings drown in the doubt of a workshop dial; judgement
DRIVEN = "wheel on, full torque"


@dataclass(frozen=True)
class Reading:
    """What one clamping reads on one corner.

    Parameters
    ----------
    name : str
        The clamping in words.
    runout_um, high_spot_deg : float
        TIR of the face that the dial reads, and its first order's high spot in the ROTOR frame.
    of_driven : float
        Reading over what the corner does as driven.
    refused : str
        Why the rotor does not sit under this clamping; empty where it does.
    on_spigot : str
        home, off centre, forced home, held off or jammed, under this clamping; empty where nothing is on the spigot.
    stand_off_um : tuple of float
        Of the middle of the mounting face from the hub face, over what friction leaves open; nought when home. [um]
    """

    name: str
    runout_um: float
    high_spot_deg: float
    of_driven: float
    refused: str
    on_spigot: str = ""
    stand_off_um: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class Trust:
    """How far a clamping can be trusted on one geometry: reading over driven runout for random dirt.

    ``low``, ``middle``, ``high`` are the 10, 50 and 90 % points of reading / driven.
    """

    name: str
    low: float
    middle: float
    high: float

    @property
    def spread(self) -> float:
        """Width of the middle 80 %, as a ratio."""
        return self.high / self.low if self.low > 0 else math.inf


@dataclass(frozen=True)
class Prediction:
    """Driven runout behind a reading: 10, 50 and 90 % points, and how many drawn corners it rests on."""

    low_um: float
    middle_um: float
    high_um: float
    alike: float


def _torques(studs: Studs, on: tuple[int, ...], torque_nm: float) -> Studs:
    torque = tuple(torque_nm if k in on else 0.0 for k in range(studs.count))
    return replace(studs, torque_nm=torque, preload_n=None, clamped_by="nuts and spacers")


def clampings(case: Case) -> dict[str, Case]:
    """Return the same corner under the clampings that workshops use; the last one is the driven car.

    Parameters
    ----------
    case : Case
        Its own torque counts as full torque.

    Returns
    -------
    dict of str to Case
    """
    studs = case.studs
    full = replace(studs, clamped_by="nuts and spacers")
    two = (0, studs.count // 2)
    three = tuple(sorted({0, round(studs.count / 3), round(2 * studs.count / 3)}))
    every = tuple(range(studs.count))
    low = f"{LOW_TORQUE_NM:g} N m"
    return {
        f"two nuts, {low}": replace(case, studs=_torques(studs, two, LOW_TORQUE_NM)),
        f"three nuts, {low}": replace(case, studs=_torques(studs, three, LOW_TORQUE_NM)),
        f"every nut, {low}": replace(case, studs=_torques(studs, every, LOW_TORQUE_NM)),
        "bare nuts, full torque": replace(case, studs=replace(full, clamped_by="bare nuts")),
        "nuts and spacers, full torque": replace(case, studs=full),
        DRIVEN: replace(case, studs=replace(full, clamped_by="wheel")),
    }


@one_thread
def compare(case: Case, preset: str = "standard") -> tuple[Reading, ...]:
    """Read one corner under every clamping.

    Parameters
    ----------
    case : Case
    preset : str

    Returns
    -------
    tuple of Reading
        The driven car last. What its torque does to a rotor over scale on the spigot is each clamping's own: jammed
        under few or loose nuts, forced home under all of them.
    """
    found = [_read(name, clamped, preset) for name, clamped in clampings(case).items()]
    driven = found[-1].runout_um
    return tuple(replace(one, of_driven=one.runout_um / driven) for one in found)


def _read(name: str, clamped: Case, preset: str) -> Reading:
    """Read a corner under one clamping; what it does as driven is not known here."""
    nothing = float("nan")
    try:
        seated = seat_corner(clamped, preset)
    except Refused as error:
        return Reading(name, nothing, nothing, nothing, str(error))
    trace = seated.outboard_um if clamped.gauge.face == "outboard" else seated.inboard_um
    spot = high_spot_deg(harmonics(trace, 1)[1])
    off = (0.0, 0.0) if seated.state is None else seated.state.stand_off_um
    return Reading(name, seated.gauge_runout_um, spot, nothing, "", seated.on_spigot, off)


@one_thread
def drawn_readings(
    case: Case, draws: int = DRAWS, seed: int = 1, preset: str = "fast", progress: Progress = silent
) -> dict[str, Floats]:
    """Runout of corners with random dirt under every clamping. Arrays of shape (draws,). [um].

    Parameters
    ----------
    case : Case
        Geometry, torque and own errors; its own debris is left out.
    draws, seed : int
    preset : str
    progress : callable(fraction, what)

    Raises
    ------
    Refused
        If scale on the spigot makes the bore too tight or holds the rotor off: dirt on the face decides nothing then.
    """
    need_free_spigot(case)
    corners = random_debris(case, draws, seed)
    names = list(clampings(case))
    out: dict[str, Floats] = {}
    for k, name in enumerate(names):

        def share(done: float, _: str, k: int = k, name: str = name) -> None:
            progress((k + done) / len(names), name)

        rows = seat_many([clampings(corner)[name] for corner in corners], preset, progress=share)
        inboard = case.gauge.face == "inboard"
        out[name] = np.array([row.inboard_um if inboard else row.outboard_um for row in rows])
    return out


@one_thread
def trust(readings: dict[str, Floats]) -> tuple[Trust, ...]:
    """Say how far each clamping can be trusted, from `drawn_readings`; the most trustworthy first.

    Only corners count on which something is to be seen: `LEAST_UM` or more as read or as driven.
    """
    out = []
    for name, values in readings.items():
        if name == DRIVEN:
            continue
        driven = readings[DRIVEN]
        seen = np.isfinite(values) & np.isfinite(driven) & (np.fmax(values, driven) >= LEAST_UM)
        ratio = values[seen] / driven[seen]
        if ratio.size:
            out.append(Trust(name, *(float(x) for x in np.quantile(ratio, [0.1, 0.5, 0.9]))))
    return tuple(sorted(out, key=lambda item: item.spread))


@one_thread
def predict_driven(readings: dict[str, Floats], name: str, read_um: float) -> Prediction:
    """Predict the driven runout behind a reading that was taken under a clamping.

    Parameters
    ----------
    readings : dict
        From `drawn_readings` on this geometry.
    name : str
        The clamping.
    read_um : float
        What the dial showed, TIR. [um]

    Returns
    -------
    Prediction

    Raises
    ------
    BadInput
        If the clamping is unknown.
    Refused
        If hardly any drawn corner reads like this one: then no band is honest.

    Notes
    -----
    Drawn corners are weighted by how alike they read (Gaussian in the logarithm, width a tenth); the band is the middle
    80 % of their driven runout. It holds for one patch of hard dirt as drawn; crushing is left out.
    """
    if name not in readings:
        raise BadInput(Fault(f"{name!r} is not one of the clampings", allowed=", ".join(readings)))
    if not read_um > 0:
        raise BadInput(Fault("the reading must be above zero", key="reading_um"))
    seen, driven = readings[name], readings[DRIVEN]
    usable = np.isfinite(seen) & np.isfinite(driven) & (seen > 0)
    weight = np.exp(-0.5 * (np.log(seen[usable] / read_um) / KERNEL) ** 2)
    alike = float(weight.sum() ** 2 / max(float((weight**2).sum()), 1e-300))
    if alike < LEAST_ALIKE:
        raise Refused(f"too few drawn corners read {read_um:g} µm under {name!r}: read under another clamping")
    order = np.argsort(driven[usable])
    share = np.cumsum(weight[order]) / weight.sum()
    low, middle, high = np.interp([0.1, 0.5, 0.9], share, driven[usable][order])
    return Prediction(float(low), float(middle), float(high), alike)
