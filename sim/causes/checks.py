"""What stands above any ranking: the bare hub face against its limit, shares that no dial ever showed."""

from __future__ import annotations

import numpy as np

from sim.bench.bare_face import HubFace
from sim.bench.next_act import BARE_HUB, GAUGE, Act, hub_face_at
from sim.causes import names
from sim.causes.answer import Ranked
from sim.causes.forward import OFF_CENTRE_UM
from sim.causes.seen import ORDERS, Seen
from sim.causes.what_if import tir_um
from sim.files.dial_readings import Readings
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.dial import ABOVE

# A share that is so much larger than anything read is cancelled by another; two stud positions alone do not show that
# any stud was counted right. Judgement, 1.1 .. 1.3.
LARGER = 1.15
ENOUGH_POSITIONS = 3


def hub_face(data: Seen, readings: Readings, case: Case) -> HubFace | None:
    """Hold the bare hub face against its limit.

    Parameters
    ----------
    data : Seen
    readings : Readings
    case : Case
        Its limits.

    Returns
    -------
    HubFace or None
        None where it was not read.

    Notes
    -----
    The rule of `sim.bench.cures`: over its limit by more than its uncertainty (k = 2). [um TIR]
    """
    if all(one.kind != "hub face" for one in data.traces):
        return None
    at_hub = readings.hub_face_radius_mm or case.hub.read_radius_mm
    gauge = readings.gauge_radius_mm or case.gauge_radius_mm
    return hub_face_at(readings, case.limits, (at_hub, gauge))


def hub_first(todo: str, face: HubFace | None, cleaned: bool) -> str:
    """What to do where the bare hub face is over its limit: clean first, then hub and bearing.

    Parameters
    ----------
    todo : str
        What else would be done.
    face : HubFace or None
    cleaned : bool
        Whether it was read cleaned last.
    """
    if face is None or face.state != ABOVE or todo == names.READ_AGAIN:
        return todo
    return names.HUB_AND_BEARING if cleaned else names.CLEAN


def looked_first(todo: str, rule: Act, face: HubFace | None) -> str:
    """What to do where a bare face is to be looked at or read on first: nothing is moved, bought or left on before.

    Nor before a finer gauge, where that alone tells the rest.

    Parameters
    ----------
    todo : str
        What else would be done.
    rule : Act
        What readings alone order.
    face : HubFace or None
    """
    if rule.what == GAUGE:
        return names.GAUGE
    looks = face is not None and face.read_on and rule.what == BARE_HUB
    return names.MEASURE + names.BARE_HUB if looks else todo


def checked(data: Seen) -> bool:
    """Whether a third stud position or the bare hub face shows that studs were counted right: by their number."""
    mounted = {spot.turned for spot in data.spots if spot.kind == "mounted"}
    return len(mounted) >= ENOUGH_POSITIONS or any(spot.kind == "hub face" for spot in data.spots)


def holds_off_centre(data: Seen) -> bool:
    """Whether the rim, read before anything was cleaned, speaks for scale on the spigot rather than against it.

    Parameters
    ----------
    data : Seen

    Returns
    -------
    bool
        No where it was not read.

    Notes
    -----
    Densities of the rim's first order, scale that holds the rotor off centre against none (likelihood ratio over
    one); sizes are judgement (`sim.causes.forward.OFF_CENTRE_UM`, `sim.causes.seen.RIM_UM`). [um]
    """
    at, log_odds = 0, 0.0
    for spot in data.spots:
        part = slice(at, at + 2 * len(spot.orders))
        at = part.stop
        if spot.kind == "radial" and not spot.cleaned:
            square, read = float((data.value[part] ** 2).sum()), float(np.diag(data.noise)[part].mean())
            none, scale = (read + size**2 for size in OFF_CENTRE_UM)
            log_odds += 0.5 * square * (1.0 / none - 1.0 / scale) - float(np.log(scale / none))
    return log_odds > 0.0


@one_thread
def more_than_read(leading: Ranked, data: Seen) -> bool:
    """Whether the leading share is larger than any mounted trace was read, and nothing shows that studs are right.

    Parameters
    ----------
    leading : Ranked
    data : Seen

    Returns
    -------
    bool

    Notes
    -----
    Two stud positions give two vectors whatever was counted; a third one or the bare face checks them. [um TIR]; how
    much larger is judgement.
    """
    if checked(data) or len({spot.turned for spot in data.spots if spot.kind == "mounted"}) < 2:
        return False
    at, most = 0, 0.0
    for spot in data.spots:
        size = 2 * len(spot.orders)
        if spot.kind == "mounted":
            read = np.zeros(2 * ORDERS)
            read[:size] = data.value[at : at + size]
            most = max(most, float(tir_um(read)))
        at += size
    return leading.runout_um[0] > LARGER * most
