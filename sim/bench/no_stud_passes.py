"""Whether no stud position brings a rotor under its limit, by what its case gives of hub and rotor alone."""

from __future__ import annotations

import math

from sim.bench.after_indexing import MOUNT_SCATTER_UM
from sim.parts.case import Case

#: What another mounting may take off it: of the first order of both, nine in ten take less. [um TIR]
MARGIN_UM = 1.282 * 2.0 * math.sqrt(2.0) * MOUNT_SCATTER_UM


def no_stud_passes(case: Case) -> bool:
    """Whether hub and rotor, as given, leave more than the limit even where their first orders cancel most.

    Parameters
    ----------
    case : Case
        Clean: what lies between its faces is left out.

    Notes
    -----
    By geometry: a lean grows with the radius, and the sum of two vectors is no less than their difference. As `index`
    orders it of a computed corner (`sim.bench.cures.passes_nowhere`), a margin in place of its band. [um TIR]

    Examples
    --------
    >>> from sim.parts.case import Hub, Rotor
    >>> no_stud_passes(Case(rotor=Rotor(own_runout_um=110.0))), no_stud_passes(Case(rotor=Rotor(own_runout_um=55.0)))
    (True, False)
    >>> no_stud_passes(Case(rotor=Rotor(own_runout_um=110.0), hub=Hub(face_runout_um=30.0)))
    False
    """
    gauge = case.gauge_radius_mm
    rotor = case.rotor.own_runout_um * gauge / case.rotor.own_runout_read_at_mm
    hub = case.hub.face_runout_um * gauge / case.hub.read_radius_mm
    return rotor - hub - MARGIN_UM > case.limits.mounted_runout_um
