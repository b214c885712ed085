"""What the parts are made of: a small table with its sources, and what a rotor or hub makes of it."""

from __future__ import annotations

from dataclasses import dataclass

from sim.parts.case import Hub, Rotor, Wheel

# Compressive strength of EN-GJL-250 (a data sheet: 840 .. 860 MPa): beyond it iron or scale is crushed at the spot.
CRUSHED_MPA = 850.0


@dataclass(frozen=True)
class Material:
    """Elastic constants and strength of a material.

    Parameters
    ----------
    name : str
        As in the case file.
    youngs_modulus_mpa, poissons_ratio : float
        [MPa, -]
    strength_by_wall : tuple of (float, float)
        Largest wall in mm and the tensile strength up to it in MPa, thin walls first; empty when it is not used.
    source : str
        Where the figures are from.
    """

    name: str
    youngs_modulus_mpa: float
    poissons_ratio: float
    strength_by_wall: tuple[tuple[float, float], ...]
    source: str


GREY_IRON = Material(
    "grey iron",
    110_000.0,
    0.26,
    # Walls of 5 .. 10, 10 .. 20 and 20 .. 40 mm. Thinner walls than 5 mm are taken as 5, thicker than 40 as 40.
    ((10.0, 250.0), (20.0, 225.0), (40.0, 195.0)),
    "EN 1561, grade EN-GJL-250; strengths from a foundry's copy of its table, modulus (103 .. 118 GPa) from memory",
)
STEEL = Material("steel", 205_000.0, 0.29, (), "from memory: 205 000 .. 210 000 MPa, 0.29 .. 0.30")

LIGHT_ALLOY = Material("light alloy", 70_000.0, 0.33, (), "aluminium, from memory: 69 000 .. 72 000 MPa, 0.33")

MATERIALS: dict[str, Material] = {material.name: material for material in (GREY_IRON, STEEL, LIGHT_ALLOY)}


@dataclass(frozen=True)
class Metal:
    """Young's modulus [MPa] and Poisson's ratio of one part."""

    youngs_mpa: float
    poisson: float


def rotor_metal(rotor: Rotor) -> Metal:
    """Elastic constants of a rotor: the material's, unless the rotor names its own.

    Examples
    --------
    >>> rotor_metal(Rotor(youngs_modulus_mpa=95_000.0))
    Metal(youngs_mpa=95000.0, poisson=0.26)
    """
    return _metal(rotor)


def hub_metal(hub: Hub) -> Metal | None:
    """Elastic constants of a hub; ``None`` when it is taken as rigid."""
    return None if hub.material == "rigid" else _metal(hub)


def wheel_metal(wheel: Wheel) -> Metal | None:
    """Elastic constants of a wheel's pad; ``None`` when it is taken as rigid."""
    if wheel.material == "rigid":
        return None
    base = MATERIALS[wheel.material]
    return Metal(base.youngs_modulus_mpa, base.poissons_ratio)


def _metal(part: Rotor | Hub) -> Metal:
    base = MATERIALS[part.material]
    modulus = base.youngs_modulus_mpa if part.youngs_modulus_mpa is None else part.youngs_modulus_mpa
    ratio = base.poissons_ratio if part.poissons_ratio is None else part.poissons_ratio
    return Metal(modulus, ratio)


def tensile_strength_mpa(rotor: Rotor, wall_mm: float | None = None) -> float:
    """Tensile strength of the rotor's iron, which is weaker where the wall is thick. [MPa].

    Parameters
    ----------
    rotor : Rotor
    wall_mm : float, optional
        Wall in question; the flange unless given. [mm]

    Returns
    -------
    float
        The rotor's own figure if it names one, else the material's at that wall.

    Examples
    --------
    >>> tensile_strength_mpa(Rotor()), tensile_strength_mpa(Rotor(), 12.0)
    (250.0, 225.0)
    """
    if rotor.tensile_strength_mpa is not None:
        return rotor.tensile_strength_mpa
    wall = rotor.flange_thickness_mm if wall_mm is None else wall_mm
    steps = MATERIALS[rotor.material].strength_by_wall
    return next((strength for thickest, strength in steps if wall <= thickest), steps[-1][1])
