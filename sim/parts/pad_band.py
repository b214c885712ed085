"""The band of the friction face that the pads sweep."""

from __future__ import annotations

from sim.errors import BadInput, Fault
from sim.parts.case import Pads, Rotor

#: The default pad band leaves this share of the face width free at the outer and at the inner edge. Judgement.
BAND_MARGIN_OUTER = 1.0 / 22.0
BAND_MARGIN_INNER = 3.0 / 22.0


def pad_band(rotor: Rotor, pads: Pads) -> tuple[float, float]:
    """Inner and outer radius that the pads sweep.

    Without radii in the case the band lies inside the friction faces and scales with them.

    Parameters
    ----------
    rotor : Rotor
    pads : Pads

    Returns
    -------
    tuple of float
        Inner and outer radius. [mm]

    Raises
    ------
    BadInput
        If the band is not inside the friction faces.

    Notes
    -----
    Proportions of the pad are judgement where the case gives none.
    """
    inner_face, outer_face = 0.5 * rotor.friction_inner_diameter_mm, 0.5 * rotor.outer_diameter_mm
    width = outer_face - inner_face
    inner = inner_face + BAND_MARGIN_INNER * width if pads.inner_radius_mm is None else pads.inner_radius_mm
    outer = outer_face - BAND_MARGIN_OUTER * width if pads.outer_radius_mm is None else pads.outer_radius_mm
    allowed = f"{inner_face:g} .. {outer_face:g} mm, inner below outer"
    if not inner_face - 1e-9 <= inner < outer <= outer_face + 1e-9:
        raise BadInput(
            Fault(f"the pad band {inner:g} .. {outer:g} mm leaves the friction faces", key="pads", allowed=allowed)
        )
    return inner, outer
