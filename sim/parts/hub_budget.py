"""What a hub face leaves of the mounted limit for rotor and seat: one sentence, wherever the hub's limit stands."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sim.parts.case import Case

ALL = 0.98  # of the mounted limit: so much and more is all of it, in whole micrometres


def hub_budget(hub_um: float, mounted_um: float, face_radius_mm: float, gauge_radius_mm: float) -> str:
    r"""Say what a bare hub face brings at the dial and what that leaves of the mounted limit, as a worst case.

    Parameters
    ----------
    hub_um, mounted_um : float
        Runout of the bare hub face, or its limit, and the limit of the mounted runout. [um TIR]
    face_radius_mm, gauge_radius_mm : float
        Where the dial stands on the hub face and on the rotor. [mm]

    Notes
    -----
    A lean grows with the radius (geometry). High spots of hub and rotor that stand apart read less

    Examples
    --------
    >>> hub_budget(12.0, 50.0, 64.0, 140.0).replace("\xa0", " ")
    "At the rotor's dial 12 µm of the hub face is 26 of the 50 µm mounted: 24 µm is left for the rotor and its seat"
    >>> hub_budget(22.9, 50.0, 64.0, 140.0).replace("\xa0", " ").partition(": ")[2]
    'nothing is left for the rotor and its seat; at 11 µm half is left'
    """
    at_dial = hub_um * gauge_radius_mm / face_radius_mm
    said = f"At the rotor's dial {hub_um:.0f}\xa0µm of the hub face is {at_dial:.0f} "
    said += f"of the {mounted_um:.0f}\xa0µm mounted: "
    if at_dial < ALL * mounted_um:
        return said + f"{mounted_um - at_dial:.0f}\xa0µm is left for the rotor and its seat"
    half = 0.5 * mounted_um * face_radius_mm / gauge_radius_mm
    return said + f"nothing is left for the rotor and its seat; at {half:.0f}\xa0µm half is left"


def of_case(case: Case, hub_um: float) -> str:
    """Say the same of a corner's own radii and limit; ``hub_um`` as above. [um TIR]."""
    return hub_budget(hub_um, case.limits.mounted_runout_um, case.hub.read_radius_mm, case.gauge_radius_mm)
