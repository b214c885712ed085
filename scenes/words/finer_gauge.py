"""The end where only a finer gauge tells on: what turns leave open, what they do tell, what the rest needs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scenes.words import bare_face, words
from sim.bench.finer_gauge import coarse_face, coarse_runout, coarse_thickness
from sim.parts.thickness import TURNS_SCATTER

if TYPE_CHECKING:
    from sim.bench.bare_face import HubFace
    from sim.parts.thickness import Uneven

END = (
    "No more turns of these gauges are asked, and they clear nothing: {open_yet}. What is told: {where} it runs out "
    "{read} ± {half} (k = 2) on stud {stud}, {beside}. For the rest: {needed}, as further lines beside those that "
    "are there (its division in the column dial_um); who has none finer stops here and hands the work on to who has "
    "one, or does as the vehicle maker's own procedure says. Until then the wheel stays off and no part is bought by "
    "these turns: this is not done (common practice, no source)."
)
#: Division by which a mounted runout is told. [mm]
USUAL_MM = 0.01
CLEAN_FACES, AS_FOUND = "on clean faces", "as found"
FACE = (
    "the bare hub face reads {read} in divisions of {division}, limit {limit}, {times} times, and may lie on either "
    "side of it"
)
THICK = (
    "the thickness varies by {read} in divisions of {division}, limit {limit}, {times} times, and may lie on either "
    "side of it"
)
RUNOUT = (
    "the runout reads {read} ± {half} (k = 2) in divisions of {division}, limit {limit}, {turns} turns, and may lie "
    "on either side of it"
)
NO_SIDE = "and this dial tells no side of the limit, {limit}"
SHAKY = "the thickness varies by {read}, limit {limit}, and {why}"
FINER_FACE, FINER_THICK = "the bare face by {dial}", "the thickness by {micrometer}"
#: Last, as the rotor comes off for it.
NEAR_FACE = "then, the rotor off, the bare face {dial}"
FINER_RUNOUT = "the runout as it stands by {dial}, its nuts untouched, under the next mount number"
DIAL, MICROMETER = "a dial of {mm:g} mm a division or finer", "a micrometer of {mm:g} mm a division or finer"
STEADY = "a steadier hand, or a micrometer held in a stand"
#: Before the work of the card.
BOX = (
    "{needed} at hand: on as below. None: STOP, no box below is worked, nothing goes back on; handed on to who has "
    "one, or as the vehicle maker's own procedure says."
)


@dataclass(frozen=True)
class Runout:
    """A mounted runout as it was read last.

    Parameters
    ----------
    read_um, half_um, limit_um, dial_um : float
        The middle of its turns, its uncertainty (k = 2), its limit, the division of its dial. [um]
    turns : int
    beside : str
        Where it stands beside its limit.
    stud : int
        Stud on which the painted hole sat, from 1.
    cleaned : bool
        Whether it was read on clean faces.
    """

    read_um: float
    half_um: float
    limit_um: float
    dial_um: float
    turns: int
    beside: str
    stud: int
    cleaned: bool

    @property
    def coarse(self) -> bool:
        """Whether its dial tells no side of its limit: `sim.bench.finer_gauge.coarse_runout`."""
        return coarse_runout(self.read_um, self.limit_um, self.half_um, self.dial_um, self.turns)


def said(face: HubFace | None, varies: Uneven | None, runout: Runout) -> str:
    """Say that end.

    Parameters
    ----------
    face : HubFace or None
        The bare face, where it was read.
    varies : Uneven or None
        The thickness, where it was read.
    runout : Runout
    """
    open_yet, needed, near = [], [], []
    read, half, limit = (words.micrometres(one) for one in (runout.read_um, runout.half_um, runout.limit_um))
    if face is not None and coarse_face(face):
        shown = (round(face.runout_um), face.dial_um, face.limit_um)  # no digit that such a dial is sure of
        bare, division, of_face = (words.micrometres(one) for one in shown)
        open_yet.append(FACE.format(read=bare, division=division, limit=of_face, times=face.alike))
        needed.append(FINER_FACE.format(dial=_dial(face)))
    elif face is not None and face.read_on and not (face.let_be or face.to_look_at):
        open_yet.append(bare_face.at_its_limit(face))
        near.append(NEAR_FACE.format(dial=f"with {_dial(face)}" if face.coarse else bare_face.FINEST))
    if varies is not None and coarse_thickness(varies):
        open_yet.append(_thickness(varies))
        needed.append(FINER_THICK.format(micrometer=_micrometer(varies)))
    if runout.coarse:
        division = words.micrometres(runout.dial_um)
        open_yet.append(RUNOUT.format(read=read, half=half, division=division, limit=limit, turns=runout.turns))
        needed.append(FINER_RUNOUT.format(dial=DIAL.format(mm=USUAL_MM)))
    return END.format(
        open_yet="; ".join(open_yet),
        where=CLEAN_FACES if runout.cleaned else AS_FOUND,
        read=read,
        half=half,
        beside=NO_SIDE.format(limit=limit) if runout.coarse else runout.beside,
        stud=runout.stud,
        needed=", ".join([" and ".join(needed), *near]),
    )


def _thickness(varies: Uneven) -> str:
    read, limit = varies.figure.replace(" µm", f"{words.GAP}µm"), words.micrometres(varies.limit_um)
    if varies.shaky:
        return SHAKY.format(read=read, limit=limit, why=TURNS_SCATTER)
    return THICK.format(read=read, division=words.micrometres(varies.division_um), limit=limit, times=varies.turns)


def _dial(face: HubFace) -> str:
    return DIAL.format(mm=bare_face.finer_division_mm(face))


def _micrometer(varies: Uneven) -> str:
    return STEADY if varies.shaky else MICROMETER.format(mm=varies.wanted_division_um / 1000.0)


def box(face: HubFace | None, varies: Uneven | None) -> str:
    """Box before the work of such a card: who has no finer gauge stops there; the bare face's first."""
    if face is not None and coarse_face(face):
        return BOX.format(needed=words.capital(_dial(face)))
    if varies is not None and coarse_thickness(varies):
        return BOX.format(needed=words.capital(_micrometer(varies)))
    return BOX.format(needed=words.capital(DIAL.format(mm=USUAL_MM)))
