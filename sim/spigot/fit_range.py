"""Room of the bore on the spigot where a drawing's fit stands for the diameters: a range, from tightest to loosest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from sim.parts.case import Case
from sim.parts.iso_fits import fit
from sim.parts.spigot_room import FreePlay, free_play
from sim.units import is_finite_number

Range = tuple[float, float]

STEPS = 9  # clearances tried: with scale the least runout of a hung rotor lies between the ends


@dataclass(frozen=True)
class FitPlay:
    """What a fit leaves open; clearances and play on diameter, ranges from the tightest to the loosest fit.

    Parameters
    ----------
    name : str
        Such as ``H8/f8``.
    nominal_mm : float
        [mm]
    clearance_um : tuple of float
        Smallest and largest clearance that the fit allows. [um]
    taken_um : float
        Clearance that everything else is computed with: the middle. [um]
    spigot_mm : float
        Diameter of the spigot that this means. [mm]
    free_play_um : tuple of float
        Movement from stop to stop along the loosest direction. [um]
    radial_runout_um : tuple of float
        Smallest and largest of the rotor's rim about the spigot's axis, TIR. [um]
    hung_radial_runout_um : tuple of float
        The same for a rotor that hung on its spigot while it was tightened. [um]
    wedge_um : tuple of float
        How much scale makes the bore too tight, on radius: at the loosest and at the tightest fit; 0 where free. [um]
    """

    name: str
    nominal_mm: float
    clearance_um: Range
    taken_um: float
    spigot_mm: float
    free_play_um: Range
    radial_runout_um: Range
    hung_radial_runout_um: Range
    wedge_um: Range

    @property
    def note(self) -> str:
        """What was computed with, and whether the state could be another within the fit."""
        low, high = self.clearance_um
        said = (
            f"{self.name} at {self.nominal_mm:g} mm allows {low:g} to {high:g} µm of clearance; free play and radial "
            f"runout are given over that range, contact and stress are computed at its middle, {self.taken_um:g} µm"
        )
        loose, tight = self.wedge_um
        if tight > 0.0 and loose == 0.0:
            said += (
                f"; at the tightest the scale wedges the bore, {tight:.0f} µm too tight on radius, at the loosest it "
                "has room: measure bore and spigot"
            )
        return said


def with_clearance(case: Case, clearance_um: float) -> Case:
    """Return the case with a spigot that leaves this clearance on diameter. [um].

    By definition: bore less spigot, on diameter.
    """
    spigot = round(case.rotor.bore_diameter_mm - clearance_um / 1000.0, 6)
    return replace(case, hub=replace(case.hub, spigot_fit=None, spigot_diameter_mm=spigot))


def fit_play(case: Case) -> FitPlay | None:
    """Room of the bore from the smallest to the largest clearance of the case's fit.

    Parameters
    ----------
    case : Case

    Returns
    -------
    FitPlay or None
        None where the case gives no fit but a diameter.

    Raises
    ------
    BadInput
        If the fit has no limits at this size.

    Examples
    --------
    >>> from sim.parts.case import Hub
    >>> found = fit_play(Case(hub=Hub(spigot_fit="H8/f8")))
    >>> [round(x) for x in found.free_play_um], found.taken_um
    ([30, 122], 76.0)
    """
    if case.hub.spigot_fit is None:
        return None
    found = fit(case.hub.spigot_fit, case.rotor.bore_diameter_mm)
    every = [free_play(with_clearance(case, float(gap))) for gap in np.linspace(*found.clearance_um, STEPS)]
    tight, loose = every[0], every[-1]
    return FitPlay(
        name=found.name,
        nominal_mm=found.nominal_mm,
        clearance_um=found.clearance_um,
        taken_um=found.middle_um,
        spigot_mm=case.hub.spigot_diameter_mm,
        free_play_um=(tight.most_um, loose.most_um),
        radial_runout_um=_over(every, "off_centre_um"),
        hung_radial_runout_um=_over(every, "hung_um"),
        wedge_um=(loose.wedge_um, tight.wedge_um),
    )


def _over(plays: list[FreePlay], name: str) -> Range:
    """Runout, twice the distance off centre, over clearances from the tightest to the loosest."""
    every = [2.0 * value for play in plays for value in getattr(play, name)]
    return min(every), max(every)


def widened(state: Mapping[str, Any], case: Case) -> dict[str, Any]:
    """Put the range of the case's fit into what is said of the spigot (`sim.spigot.state.spigot_json`).

    Parameters
    ----------
    state : mapping
        Computed at the middle of the fit.
    case : Case

    Returns
    -------
    dict
        With ``fit`` and ``free_play_range_um``, and with radial runouts over the whole fit where the bore has room;
        unchanged where the case gives no fit.
    """
    play = fit_play(case)
    if play is None:
        return dict(state)
    told = {name: list(value) if isinstance(value, tuple) else value for name, value in asdict(play).items()}
    out = dict(state) | {"fit": told, "free_play_range_um": told["free_play_um"]}
    if not state["wedged"]:
        out |= {name: told[name] for name in ("radial_runout_um", "hung_radial_runout_um")}
    return out | {"notes": [play.note, *state["notes"]]}


_NUMBERS = (
    "free_play_um", "lean_um", "low_side_deg", "bore_pressure_mpa", "hoop_stress_mpa", "total_hoop_stress_mpa",
    "hat_corner_stress_mpa",
)  # fmt: skip
_RANGES = (
    "radial_runout_um", "hung_radial_runout_um", "stand_off_um", "hand_stand_off_um", "hand_force_n",
    "bore_friction_range", "lateral_range_um", "bore_stretch_um",
)  # fmt: skip
_NUT = ("stud", "lean_um", "stand_off_um", "hoop_mpa")
_FIT_RANGES = ("clearance_um", "free_play_um", "radial_runout_um", "hung_radial_runout_um", "wedge_um")


def is_state(told: Any) -> bool:
    """Whether plain data, such as a stored run brings, are a state on the spigot in all that is shown of it."""
    if not isinstance(told, Mapping):
        return False
    fit_given, torque, warned = told.get("fit"), told.get("torque_to_force_home_nm"), told.get("crack_warning")
    notes, nuts, checks = told.get("notes"), told.get("one_nut_first"), told.get("checks")
    return (
        isinstance(told.get("home"), str)
        and isinstance(told.get("wedged"), bool)
        and all(is_finite_number(told.get(name)) for name in _NUMBERS)
        and all(_range(told.get(name)) for name in _RANGES)
        and isinstance(torque, list)
        and len(torque) == 2
        and all(one is None or is_finite_number(one) for one in torque)
        and (warned is None or isinstance(warned, str))
        and isinstance(notes, list)
        and all(isinstance(note, str) for note in notes)
        and isinstance(checks, Mapping)
        and all(is_finite_number(one) for one in checks.values())
        and isinstance(nuts, list)
        and all(isinstance(nut, Mapping) and _is_nut(nut) for nut in nuts)
        and (fit_given is None or _is_fit(fit_given) and _range(told.get("free_play_range_um")))
    )


def _is_nut(told: Mapping[str, Any]) -> bool:
    torque = told.get("torque_nm")
    return all(is_finite_number(told.get(name)) for name in _NUT) and (torque is None or is_finite_number(torque))


def _is_fit(told: Any) -> bool:
    return (
        isinstance(told, Mapping)
        and isinstance(told.get("name"), str)
        and all(is_finite_number(told.get(name)) for name in ("nominal_mm", "taken_um", "spigot_mm"))
        and all(_range(told.get(name)) for name in _FIT_RANGES)
    )


def _range(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 2 and all(is_finite_number(one) for one in value)
