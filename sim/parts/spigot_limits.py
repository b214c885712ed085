"""What a bore can bear: the tightness that a rotor could be pushed over, and the warning of a crack."""

from __future__ import annotations

from sim.parts.case import Case
from sim.parts.materials import rotor_metal, tensile_strength_mpa

CRACK_SHARE = 0.5  # of the tensile strength, static: the criterion of the warning, a judgement
BREAKS_AT = 2.0  # times the tensile strength, by the ring formula: nothing can be pushed over that


def most_overlap_mm(case: Case) -> float:
    """Overlap on radius at which the bore would see twice its tensile strength all round. [mm].

    Notes
    -----
    Thick ring of bore and hat radius under internal pressure (Lame; Roark's Formulas for Stress and Strain,
    thick-walled vessels): u = hoop a / E (1 + nu (b2 - a2) / (b2 + a2)).

    How much more than its strength a ring cannot take is judgement (`BREAKS_AT`).
    """
    metal = rotor_metal(case.rotor)
    a, b = case.rotor.bore_diameter_mm / 2, case.rotor.hat_outer_diameter_mm / 2
    strain = 1 + metal.poisson * (b**2 - a**2) / (b**2 + a**2)
    return BREAKS_AT * tensile_strength_mpa(case.rotor) * a / metal.youngs_mpa * strain


def crack_warning(case: Case, bore_hoop_mpa: float, corner_hoop_mpa: float) -> str | None:
    """Warning where the hoop stress at the bore or the hat corner passes half the strength of that wall.

    [MPa]. Half of the strength is judgement (`CRACK_SHARE`); strengths by wall after EN 1561 (`sim.parts.materials`).
    """
    words = []
    for where, value, wall in (
        ("bore", bore_hoop_mpa, case.rotor.flange_thickness_mm),
        ("hat corner", corner_hoop_mpa, case.rotor.hat_wall_mm),
    ):
        strength = tensile_strength_mpa(case.rotor, wall)
        if value > CRACK_SHARE * strength:
            words.append(
                f"{value:.0f} MPa at the {where}, more than half the tensile strength of {strength:.0f} MPa there"
            )
    if not words:
        return None
    return (
        "may crack: hoop stress "
        + "; ".join(words)
        + ". A static criterion; fatigue is not covered, and no warning is "
        "no promise. A cracked rotor is scrap"
    )
