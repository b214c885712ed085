"""The dial that lies: what one corner reads under different clampings, the driven car beside it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from sim.corner.road_state import as_driven
from sim.corner.seated import seat_corner
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case, Studs
from sim.parts.checked import need_kind
from sim.parts.fastener import bolt_warnings
from sim.turn import harmonics, high_spot_deg

LOW_TORQUE_NM = 20.0  # nuts run down evenly by hand wrench; common practice, no source
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
    caution : str
        What to look at before it is clamped so; wheel bolts that would stand out behind the hub or hold by few threads.
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
    caution: str = ""


def _torques(studs: Studs, on: tuple[int, ...], torque_nm: float) -> Studs:
    torque = tuple(torque_nm if k in on else 0.0 for k in range(studs.count))
    return replace(studs, torque_nm=torque, preload_n=None, clamped_by="nuts and spacers")


def clampings(case: Case) -> dict[str, Case]:
    """Return the same corner under the clampings that workshops use; the last one is the driven car.

    Parameters
    ----------
    case : Case
        Its own torque counts as full torque; it is driven at that of the road.

    Returns
    -------
    dict of str to Case

    Raises
    ------
    Refused
        If no torque fit for the road is known.

    Notes
    -----
    Torques in N m, forces in N; which clampings workshops use is common practice, no source.
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
        DRIVEN: as_driven(case),
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

    Notes
    -----
    Runouts in um TIR; each is a seating.

    Source stands with the seating (`sim.seating`).
    """
    need_kind(case, Case)
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
    caution = "; ".join(bolt_warnings(clamped))
    return Reading(name, seated.gauge_runout_um, spot, nothing, "", seated.on_spigot, off, caution)
