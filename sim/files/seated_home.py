"""A mounted trace that no seated rotor draws: it is not home on its hub, or the unit is another one."""

from __future__ import annotations

from sim.arrays import Floats
from sim.errors import Refused
from sim.turn import tir

# More than a rotor reads that is clamped on dirt, less than one that hangs on its spigot; judgement.
NOT_SEATED_UM = 1000.0


def refuse_unseated(value_um: Floats, which: str = "the mounted rotor") -> None:
    """Refuse a turn that no seated rotor draws: whatever is ordered of it would be drawn home by the nuts.

    Parameters
    ----------
    value_um : ndarray, shape (k,)
        Readings of a turn. [um]
    which : str
        What it is called.

    Raises
    ------
    Refused
        If highest and lowest differ by more than `NOT_SEATED_UM`.
    """
    swing_mm = tir(value_um) / 1000.0
    if 1000.0 * swing_mm > NOT_SEATED_UM:
        raise Refused(
            f"{which} reads {swing_mm:.1f} mm from highest to lowest: no seated rotor does. It is not home on its hub "
            "(never draw it home with the nuts: take it off, look for cracks, clean spigot, hub face and bore, read "
            "again), or the unit is another one"
        )
