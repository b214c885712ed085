"""The pads: their band on the disc, and what holds and presses them.

Everything the wear solver needs is reduced here to plain numbers in mm, N and MPa; defaults that follow from the rotor
and the caliper (pad band, effective radius, tilt lever) are derived here, not repeated in the case.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sim.errors import BadInput, Fault
from sim.parts.case import Caliper, Case, Drive, Pads
from sim.parts.pad_band import pad_band

#: Share of the time braked and mean pad pressure in MPa. Judgement: mean car braking forces of about 36, 121 and 483 N.
DUTIES = {"gentle": (0.012, 0.6), "mixed": (0.03, 0.8), "heavy": (0.08, 1.2)}

#: Disc wear of the two kinds of pad where the case names none. [mm3/(N m)] Calibrated and judgement.
DISC_WEAR_MM3_PER_NM = {"abrasive": 0.9e-5, "adherent": 0.4e-5}
#: Share of braked rubbing that goes into the film instead of the iron. Judgement, low confidence.
ADHERENCE = {"abrasive": 0.0, "adherent": 0.7}


@dataclass(frozen=True)
class Brake:
    """One corner's brake as the wear laws see it: lengths in mm, forces in N, pressures in MPa.

    Parameters
    ----------
    fixed : bool
        True for a fixed caliper with pistons on both sides, False for a floating one.
    arc_rad, inner_radius_mm, outer_radius_mm : float
        The pad: full arc and radial band.
    clearance_mm : float
        Running clearance per side; both sides together have twice this.
    outboard_share : float
        Share of the total clearance that opens on the outboard side (floating only).
    holder_n_mm, tilt_lever_mm, slip_n : float
        Stiffness of what holds the pad off, lever of its tilt stiffness, force at which it slips.
    drag_n : tuple of float
        Constant push on the outboard and inboard pad with the brake released: a sticking slide or piston.
    bed_released_n_mm3, bed_braking_n_mm3 : float
        Stiffness of the lining per area, in light contact and on the brake.
    spread_n_mm : float
        Stiffness of caliper and fluid against spreading.
    disc_wear, pad_wear, film_deposit : float
        Archard coefficients. [mm3/(N mm)]
    adherence, film_mm : float
        Share of braked rubbing that feeds the film, 0 abrasive to 1; thickness where the film settles.
    brake_share, pressure_mpa : float
        Share of the distance braked; mean pad pressure then.
    """

    fixed: bool
    arc_rad: float
    inner_radius_mm: float
    outer_radius_mm: float
    clearance_mm: float
    outboard_share: float
    holder_n_mm: float
    tilt_lever_mm: float
    slip_n: float
    drag_n: tuple[float, float]
    bed_released_n_mm3: float
    bed_braking_n_mm3: float
    spread_n_mm: float
    disc_wear: float
    pad_wear: float
    film_deposit: float
    adherence: float
    film_mm: float
    brake_share: float
    pressure_mpa: float

    @property
    def area_mm2(self) -> float:
        """Area of one pad. [mm2]. Geometry of a sector."""
        return 0.5 * self.arc_rad * (self.outer_radius_mm**2 - self.inner_radius_mm**2)

    @property
    def clamp_n(self) -> float:
        """Mean clamp force on the brake. [N]. By definition."""
        return self.pressure_mpa * self.area_mm2

    @property
    def spread_with_pads_n_mm(self) -> float:
        """Stiffness against a thicker spot: caliper and fluid in series with both linings. [N/mm].

        Springs in series (statics).
        """
        return 1.0 / (1.0 / self.spread_n_mm + 2.0 / (self.bed_braking_n_mm3 * self.area_mm2))


@dataclass(frozen=True)
class Fineness:
    """How finely the wear is computed.

    Parameters
    ----------
    angles, rings : int
        Grid on the disc: angles round the turn, and places across the pad (``sim.wear.grid.places``).
    release_angles : int
        Angles at which the brake is let go, averaged over (floating caliper).
    tolerance_mm : float
        Largest local error of any worn depth in one step.
    pad_profile : bool
        Let the pads wear to a profile of their own (0.5 to 3 % on DTV, several times slower).
    """

    angles: int = 120
    rings: int = 3
    release_angles: int = 16
    tolerance_mm: float = 2.0e-5
    pad_profile: bool = False


#: For the many draws behind a band, at a fifth of the cost of the standard; its angles are fitted to the pad
#: (`sim.wear.grid.fitted`). Against eight rings up to 3.3 % off above 2 um, 6.3 % above 1 um; on pads of 46 deg and
#: less up to 10 %, and more below 2 um (tests/studies/wear_across_pad.md). 4 % above 1 um takes 96 angles and 1.7 times
#: the time, 3 % the standard; the bands are a factor of ten wide.
COARSE = Fineness(angles=60, rings=3, release_angles=8, tolerance_mm=2.0e-4)


def effective_radius(inner_mm: float, outer_mm: float) -> float:
    """Radius at which the friction of an evenly pressed pad acts.

    Parameters
    ----------
    inner_mm, outer_mm : float
        Pad band. [mm]

    Returns
    -------
    float
        2/3 (ro^3 - ri^3) / (ro^2 - ri^2). [mm]

    Notes
    -----
    Even pressure: the mean of r over the band, r dr weighted (geometry).

    Examples
    --------
    >>> round(effective_radius(102.5, 147.5), 2)
    126.35
    """
    return 2.0 / 3.0 * (outer_mm**3 - inner_mm**3) / (outer_mm**2 - inner_mm**2)


def tilt_lever(piston_area_mm2: float) -> float:
    """Lever of the tilt stiffness of a pad carried by the rim of its piston.

    A spring spread evenly round a circle resists tilt as the same spring at the circle's radius over root two.

    Parameters
    ----------
    piston_area_mm2 : float
        Piston area. [mm2]

    Returns
    -------
    float
        Piston radius / sqrt(2). [mm]

    Notes
    -----
    Second moment of a thin circle of springs (closed form); that the pad tilts on its piston's rim is judgement.
    """
    return math.sqrt(piston_area_mm2 / math.pi) / math.sqrt(2.0)


def duty(drive: Drive) -> tuple[float, float]:
    """Share of the distance braked, and the mean pad pressure then.

    Parameters
    ----------
    drive : Drive

    Returns
    -------
    tuple of float
        Brake share, 0 to 1, and pressure. [-, MPa]

    Raises
    ------
    BadInput
        For an unknown duty, a share outside 0 .. 1 or a pressure that is not positive.
    """
    if drive.duty not in DUTIES:
        raise BadInput(Fault(f"unknown duty {drive.duty!r}", key="drive.duty", allowed=", ".join(DUTIES)))
    share, pressure = DUTIES[drive.duty]
    share = share if drive.brake_share is None else drive.brake_share
    pressure = pressure if drive.pressure_mpa is None else drive.pressure_mpa
    if not 0.0 <= share < 1.0:
        raise BadInput(
            Fault(
                f"brake share {share:g}: a share of the distance, not a percentage",
                key="drive.brake_share",
                allowed="0 <= share < 1",
            )
        )
    if not (math.isfinite(pressure) and pressure > 0.0):
        raise BadInput(Fault(f"pad pressure {pressure:g} MPa", key="drive.pressure_mpa", allowed="above 0"))
    return share, pressure


def _check(pads: Pads, caliper: Caliper) -> None:
    faults = []
    if pads.kind not in ADHERENCE:
        faults.append(Fault(f"unknown pad kind {pads.kind!r}", key="pads.kind", allowed=", ".join(ADHERENCE)))
    if caliper.style not in ("floating", "fixed"):
        faults.append(Fault(f"unknown style {caliper.style!r}", key="caliper.style", allowed="floating, fixed"))
    if not (math.isfinite(caliper.clearance_um) and caliper.clearance_um >= 0.0):
        faults.append(Fault(f"clearance {caliper.clearance_um:g} µm", key="caliper.clearance_um", allowed="0 or more"))
    if not 0.0 <= caliper.outboard_share <= 1.0:
        faults.append(Fault(f"share {caliper.outboard_share:g}", key="caliper.outboard_share", allowed="0 .. 1"))
    positive = {
        "caliper.holder_stiffness_n_mm": caliper.holder_stiffness_n_mm,
        "caliper.piston_area_mm2": caliper.piston_area_mm2,
        "caliper.clamp_stiffness_kn_mm": caliper.clamp_stiffness_kn_mm,
        "pads.arc_deg": pads.arc_deg,
        "pads.bed_released_n_mm3": pads.bed_released_n_mm3,
        "pads.bed_braking_n_mm3": pads.bed_braking_n_mm3,
    }
    for key, value in positive.items():
        if not (math.isfinite(value) and value > 0.0):
            faults.append(Fault(f"{value:g} makes no sense here", key=key, allowed="above 0"))
    if faults:
        raise BadInput(faults)


def brake_of(case: Case) -> Brake:
    """Reduce a case to the numbers of the wear laws.

    Parameters
    ----------
    case : Case

    Returns
    -------
    Brake

    Raises
    ------
    BadInput
        Every fault found in pads, caliper and duty.

    Notes
    -----
    Lengths in mm, stiffness in N/mm and N/mm3, wear in mm3/(N mm), pressure in MPa; each value's source stands at its
    key.
    """
    pads, caliper = case.pads, case.caliper
    _check(pads, caliper)
    inner, outer = pad_band(case.rotor, pads)
    share, pressure = duty(case.drive)
    disc = DISC_WEAR_MM3_PER_NM[pads.kind] if pads.disc_wear_mm3_per_nm is None else pads.disc_wear_mm3_per_nm
    return Brake(
        fixed=caliper.style == "fixed",
        arc_rad=math.radians(pads.arc_deg),
        inner_radius_mm=inner,
        outer_radius_mm=outer,
        clearance_mm=caliper.clearance_um * 1e-3,
        outboard_share=caliper.outboard_share,
        holder_n_mm=caliper.holder_stiffness_n_mm,
        tilt_lever_mm=tilt_lever(caliper.piston_area_mm2),
        slip_n=caliper.slip_force_n,
        drag_n=(caliper.sticking_outboard_n, caliper.sticking_inboard_n),
        bed_released_n_mm3=pads.bed_released_n_mm3,
        bed_braking_n_mm3=pads.bed_braking_n_mm3,
        spread_n_mm=caliper.clamp_stiffness_kn_mm * 1e3,
        disc_wear=disc * 1e-3,
        pad_wear=pads.wear_mm3_per_nm * 1e-3,
        film_deposit=pads.film_deposit_mm3_per_nm * 1e-3,
        adherence=ADHERENCE[pads.kind] if pads.adherence is None else pads.adherence,
        film_mm=pads.film_um * 1e-3,
        brake_share=share,
        pressure_mpa=pressure,
    )
