"""Distances that a person types, to drive or since a rotor was fitted; a figure in thousands is refused."""

from __future__ import annotations

from sim.errors import BadInput, Fault

FURTHEST_KM = 1.0e6  # further is a slip of the keyboard
LEAST_DRIVEN_KM = 100.0  # to drive: less wears nothing, and is a figure in thousands; judgement
LEAST_WORN_KM, MOST_WORN_KM = 500.0, 200_000.0  # since a rotor was fitted; see `since_fitted_km`


def to_drive_km(km: float) -> float:
    """Refuse a distance that cannot be driven, or is a figure in thousands: it would call any corner quiet. [km].

    Raises
    ------
    BadInput
        Outside `LEAST_DRIVEN_KM` to `FURTHEST_KM` (judgement).

    Examples
    --------
    >>> to_drive_km(30_000.0)
    30000.0
    """
    if not LEAST_DRIVEN_KM <= km <= FURTHEST_KM:
        allowed = f"{LEAST_DRIVEN_KM:g} to {FURTHEST_KM:g} km; 30 thousand is 30000"
        raise BadInput(Fault(f"{km:g} is out of range", key="--km", allowed=allowed))
    return km


def since_fitted_km(km: float, key: str) -> float:
    """Refuse a distance that no rotor has run since it was fitted, or in which none is worn. [km].

    Raises
    ------
    BadInput
        Judgement: under the least no pad's taps take what a micrometer tells, and it is a figure in thousands; past
        the most, the upper end of what `drive` gives a rotor, it is another rotor.
    """
    if not LEAST_WORN_KM <= km <= MOST_WORN_KM:
        allowed = f"{LEAST_WORN_KM:g} to {MOST_WORN_KM:g} km; 8 thousand is 8000"
        raise BadInput(Fault(f"{km:g} is out of range: no rotor wears in so", key=key, allowed=allowed))
    return km


def run_since_fitted(km: float | None, key: str) -> list[Fault]:
    """Say what is wrong with a distance since a rotor was fitted, which may be a new one; nothing of none given. [km].

    Parameters
    ----------
    km : float or None
    key : str
        Of the option.

    Returns
    -------
    list of Fault
        Between nought and `LEAST_DRIVEN_KM` it is a figure in thousands (judgement), past `MOST_WORN_KM` another rotor.

    Examples
    --------
    >>> run_since_fitted(0.0, "--km"), [fault.reason for fault in run_since_fitted(8.0, "--km")]
    ([], ['8 is out of range'])
    """
    if km is None or km == 0.0 or LEAST_DRIVEN_KM <= km <= MOST_WORN_KM:
        return []
    allowed = f"0 for one just fitted, or {LEAST_DRIVEN_KM:g} to {MOST_WORN_KM:g} km; 8 thousand is 8000"
    return [Fault(f"{km:g} is out of range", key=key, allowed=allowed)]
