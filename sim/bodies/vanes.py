"""How a rotor's vanes are computed: as a layer, or one by one; rings with true vanes are kept on disk."""

from __future__ import annotations

from sim.bodies.section import Section
from sim.bodies.stiffness import Stiffness
from sim.bodies.vaned_ring import (
    HIGHEST_TRUE,
    SLICES,
    TrueRotor,
    cut,
    from_arrays,
    highest_order,
    join,
    make_ring,
    to_arrays,
)
from sim.disk_cache import fetch
from sim.parts.case import Rotor
from sim.parts.materials import Metal
from sim.progress import Progress

# Largest difference of mounted runout between the two ways, over 7 rotors (12 .. 72 vanes of 3.5 .. 10 mm, cheeks of
# 4 .. 8 mm) and 3 corners each (speck under a stud, between studs, a loose stud): 0.46 %. The tests measure some again.
SMEARED_NOTE = "vanes averaged into a layer: within 0.5 % of true vanes where both were computed (key rotor.vane_model)"


def true_rotor(section: Section, stiffness: Stiffness, rotor: Rotor, metal: Metal, progress: Progress) -> TrueRotor:
    """Join a rotor's hat to its ring with true vanes; the ring comes from disk, else it is solved.

    Parameters
    ----------
    section : Section
    stiffness : Stiffness
        Of that section, vanes smeared.
    rotor : Rotor
    metal : Metal
    progress : callable(fraction, what)

    Returns
    -------
    TrueRotor
    """
    in_ring = cut(section, rotor)
    corners = section.mesh.p[:, section.mesh.t].round(6)
    identity = (rotor.vane_count, rotor.vane_thickness_mm, rotor.outboard_face_z_mm, rotor.thickness_mm)
    parts = (identity, metal, SLICES, HIGHEST_TRUE, corners.tobytes(), section.kind.tobytes())
    arrays, _ = fetch(
        "vanes",
        repr(parts),
        lambda: to_arrays(make_ring(section, stiffness, metal, rotor, progress=progress)),
        __name__,
    )
    return join(section, stiffness, metal, in_ring, from_arrays(arrays))


def vane_note(rotor: Rotor) -> str:
    """Say how a rotor's vanes are computed; empty for a solid one.

    Examples
    --------
    >>> vane_note(Rotor())
    ''
    """
    if rotor.style != "vented":
        return ""
    if not rotor.has_true_vanes:
        return SMEARED_NOTE
    return (
        f"true: orders 0 .. {highest_order(int(rotor.vane_count or 1))} from a three-dimensional sector of one pitch, "
        "higher ones from vanes averaged into a layer"
    )
