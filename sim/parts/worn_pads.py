"""Pads that the case gives as worn out: they are renewed whatever the rotor runs out."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sim.parts.case import Case


def worn_out(case: Case) -> str:
    """Say that the pads are worn out as given; empty where lining is left.

    Parameters
    ----------
    case : Case

    Notes
    -----
    Lining against the thickness at which pads are changed. [mm]. By definition.

    Examples
    --------
    >>> from sim.parts.case import Case, Pads
    >>> worn_out(Case(pads=Pads(thickness_mm=1.5)))
    '1.5 mm of lining is no more than the 2 mm at which pads are changed: worn out, renew them; in axle pairs'
    >>> worn_out(Case())
    ''
    """
    lining, least = case.pads.thickness_mm, case.pads.worn_out_mm
    if lining > least:
        return ""
    return (
        f"{lining:g} mm of lining is no more than the {least:g} mm at which pads are changed: worn out, renew them; in "
        "axle pairs"
    )
