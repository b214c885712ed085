"""Where the figures rest on little: the weakest assumptions of one corner, for the engineer's appendix."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import words
from sim.parts.dirt import DIRT, settled, unsettled

if TYPE_CHECKING:
    from sim.parts.case import Case

WEAK_POINTS = (
    "Wear per work (rotor and pad) is calibrated to one service statement: a complaint after about 5 000 to 11 000 km "
    "at 0.10 mm. "
    "No measured curve of thickness variation over distance could be read in full.",
    "Running clearance per side is a judgement (0.015 to 0.15 mm); so are pad carrier stiffness and how the clearance "
    "is shared.",
    f"The decline of thickness variation after its peak is {words.MODEL_ONLY}: heat, rust, remounting are not in it.",
    "Clamp force follows from torque by T = K d F; with a torque wrench it scatters by about a quarter "
    "(VDI 2230, second-hand).",
    "The stiffness of the contact layer is a judgement (1e4 to 1e6 N/mm³); from 1e6 to 1e5 it moves the runout by "
    "about "
    "half a per cent, to 1e4 by about eight.",
    "The hub is a body of revolution held at the bearing end of its barrel; the wheel and the carrier are not in it.",
    "The mode through which a driver feels torque variation is a parameter. Read its figure as a comparison only.",
)


SPIGOT_WEAK_POINTS = (
    "Friction of the bore on spigot and scale is a range, 0.1 dry to 0.4 rusty (judgement): how far a jammed rotor "
    "goes on, how it leans and what would force it home have no single answer.",
    "Scale on the spigot is taken as hard and the iron as elastic: pressure and stress are upper bounds. The criterion "
    "of the warning, half the tensile strength, is static and a judgement; fatigue is not covered.",
)


def weak_points(case: Case) -> tuple[str, ...]:
    """Say where the figures rest on little; what cannot matter in this case is left out."""
    extra = []
    if case.hub.material == "rigid":
        extra.append("The hub is taken as rigid: on a real hub dirt lifts less and uneven torque shows more.")
    if any(settled(patch).crush_mpa is None for patch in case.debris):
        extra.append("The dirt is taken as hard: what crushes under the nuts reads less and costs clamp force later.")
    for kind in sorted({patch.kind for patch in case.debris if unsettled(patch)}):
        low, _, high = DIRT[kind].crush_mpa
        extra.append(
            f"How hard {kind} is to crush is not settled: {words.span(low, high, 'MPa')} ({DIRT[kind].source}). The "
            "runout under the dial is therefore a range."
        )
    if case.spigot_scale:
        extra += SPIGOT_WEAK_POINTS
    return (*WEAK_POINTS, *extra)
