"""A trace that no seated rotor draws, or no bare hub: it is not home on its hub, or the unit is another one."""

from __future__ import annotations

from sim.arrays import Floats
from sim.errors import Refused
from sim.turn import tir

# More than a rotor reads that is clamped on dirt, less than one that hangs on its spigot; judgement.
NOT_SEATED_UM = 1000.0
# More than hub, rotor and a speck commonly make: asked about before anything is moved. Judgement, 200 .. 300.
ASK_UM = 250.0
LOOK_HOME = (
    "{read:.0f} µm is more than hub, rotor and a speck commonly make: look whether the rotor stands home (no gap along "
    "the joint that a 0.2 mm feeler enters), whether scale on the spigot holds it, and whether the unit is right"
)

#: Of a bare hub face: bent by a kerb it runs out less than this.
LOOK_AT_UNIT = (
    "{read:.0f} µm is more than a bare hub face commonly runs out, bent ones too: look whether the unit is right (0.6 "
    "thou are 15 µm, 0.6 mm are 600), and read it again before anything is bought"
)


def ask_unit(face_um: float) -> str:
    """Ask whether a bare hub face that runs out so far was written in the right unit; empty where it commonly may.

    Parameters
    ----------
    face_um : float
        [um TIR]

    Examples
    --------
    >>> ask_unit(45.0), ask_unit(423.0)[:20]
    ('', '423 µm is more than ')
    """
    return LOOK_AT_UNIT.format(read=face_um) if face_um > ASK_UM else ""


def ask_home(read_um: float) -> str:
    """Ask whether a rotor that runs out so far stands home at all; empty where it commonly may.

    Parameters
    ----------
    read_um : float
        Highest less lowest reading. [um TIR]

    Examples
    --------
    >>> ask_home(120.0), ask_home(390.0)[:20]
    ('', '390 µm is more than ')
    """
    return LOOK_HOME.format(read=read_um) if read_um > ASK_UM else ""


def refuse_unseated(value_um: Floats, which: str = "the mounted rotor") -> None:
    """Refuse a turn that no seated rotor draws: whatever is ordered of it would be drawn home by the nuts.

    Highest less lowest, by definition; the bound is judgement (`NOT_SEATED_UM`).

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
