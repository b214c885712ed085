"""What kinds of dirt there are: how hard they are to crush, how stiff, what stays of them, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

from sim.parts.case import Debris
from sim.parts.checked import with_known_right

HARD = "hard"
DEFAULT_RESIDUAL_SHARE = 0.5  # of the height, left when dirt of no named kind crushes; judgement


@dataclass(frozen=True)
class Dirt:
    """A kind of dirt.

    Parameters
    ----------
    crush_mpa : tuple of float
        Lowest, usual and highest crushing pressure. [MPa]
    modulus_mpa : float
    residual_share : float
        Of the height that stays however hard it is crushed.
    source : str
    """

    crush_mpa: tuple[float, float, float]
    modulus_mpa: float
    residual_share: float
    source: str


DIRT: dict[str, Dirt] = {
    "loose scale": Dirt(
        (5.0, 25.0, 50.0), 1000.0, 0.3, "crushing and stiffness of loose rust from memory; what stays is a judgement"
    ),
    "compact scale": Dirt(
        (100.0, 150.0, 300.0), 5000.0, 0.5, "compact rust crushes above 100 MPa, from memory; upper end a judgement"
    ),
    "paint": Dirt((30.0, 50.0, 80.0), 3000.0, 0.6, "yield of a cured coating from memory; what stays is a judgement"),
    "steel chip": Dirt(
        (900.0, 1200.0, 1800.0),
        205_000.0,
        0.7,
        "indents at about three times its yield (Johnson, Contact Mechanics, 1985, chapter 6); yield a judgement",
    ),
}


def settled(debris: Debris, which: int = 1) -> Debris:
    """Fill in what the kind of dirt sets and the user left out.

    Parameters
    ----------
    debris : Debris
    which : {0, 1, 2}
        Lowest, usual or highest crushing pressure of the kind.

    Returns
    -------
    Debris
    """
    dirt = DIRT.get(debris.kind)
    crush, modulus, share = debris.crush_mpa, debris.modulus_mpa, debris.residual_share
    if dirt is not None:
        crush = dirt.crush_mpa[which] if crush is None else crush
        modulus = dirt.modulus_mpa if modulus is None else modulus
        share = dirt.residual_share if share is None else share
    return with_known_right(
        debris,
        kind=HARD,
        crush_mpa=crush,
        modulus_mpa=modulus,
        residual_share=DEFAULT_RESIDUAL_SHARE if share is None else share,
    )


def unsettled(debris: Debris) -> bool:
    """Whether the crushing pressure of a patch is a range of its kind, not the user's figure."""
    return debris.kind in DIRT and debris.crush_mpa is None
