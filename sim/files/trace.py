"""One turn of readings, as the rest of the program takes it."""

from __future__ import annotations

from dataclasses import dataclass

from sim.arrays import Floats
from sim.files.clean_turn import CREEP_UM

#: In place of a mount's number, for turns of the bare hub face, and for a table whose turns show play.
BARE_FACE, PLAY = -1, -2


def trace_name(kind: str, mount: int) -> str:
    """Name what was read, as a fault names it; the bare hub face has no mount."""
    return kind if kind == "hub face" else f"{kind}, mount {mount}"


@dataclass(frozen=True)
class LeftOut:
    """What turns that agree outweighed: why the hub is rocked.

    Parameters
    ----------
    mount : int
        Of which it is, or `BARE_FACE`.
    state : str
        In which that was read.
    out, turns : int
        Turns that were left out, and of how many; of whole mounts how many, the last of them this, and 0.
    """

    mount: int
    state: str
    out: int = 0
    turns: int = 0


@dataclass(frozen=True, eq=False)
class Trace:
    """One turn of readings.

    Parameters
    ----------
    kind : str
        ``mounted``, ``inboard``, ``hub face``, ``thickness`` or ``radial``.
    mount, studs_turned : int
        Which mounting, and how the rotor stood on the hub; 0 for the bare hub.
    angle_deg, value_um : ndarray, shape (k,)
        Rising angles from 0 to below 360 (rotor frame; bare hub: hub frame), and values, faces + outboard. [deg, um]
    drift_um : float or None
        Repeat at 360 degrees less the start, as a dial that counts + towards shows it; ``None`` where it was not read.
        [um]
    state, corner, clamped_by : str
        ``as found`` unless said; the others empty unless said.
    dial_um : float or None
        Step of what this turn was read with, where that is not the file's dial. [um]
    turns : int
        Turns of one mount of which this is the middle.
    noise_um : float or None
        Standard deviation of one value of such a middle, as the turns scatter. [um]
    left_out : int
        Turns of its mount that it and others contradict, and that count no more; or whole mounts beside it.
    left_out_of : int
        Mount before it whose turns differ and that is left out instead, or `BARE_FACE` or `PLAY`; 0 for none.
    left_out_turns : int
        Of how many turns ``left_out`` were left out; 0 where a whole mount was, or nothing.
    in_part : bool
        Whether places that slipped were taken out: others are held against it, and it is in no middle.
    line : int
        Of the table, on which it begins; 0 where it is of none.
    said : bool
        Whether its rows say in which state it was read; else that is taken.
    feeler_um : float or None
        What a feeler of 0.1 mm under the tip moved the dial by, in the table's unit; None where nobody tried. [um]
    """

    kind: str
    mount: int
    studs_turned: int
    angle_deg: Floats
    value_um: Floats
    drift_um: float | None = None
    state: str = "as found"
    corner: str = ""
    clamped_by: str = ""
    dial_um: float | None = None
    turns: int = 1
    noise_um: float | None = None
    left_out: int = 0
    left_out_of: int = 0
    left_out_turns: int = 0
    in_part: bool = False
    line: int = 0
    said: bool = False
    feeler_um: float | None = None

    @property
    def creep_um(self) -> float:
        """What the dial crept in the turn: as read again at 360 degrees, else what nobody would have noticed. [um]."""
        return CREEP_UM if self.drift_um is None else max(abs(self.drift_um), 1.0)
