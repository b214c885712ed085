"""What a bore can bear: the bounds of scale that a rotor could be pushed over, and the warning of a crack."""

from __future__ import annotations

import numpy as np

from sim.errors import Fault
from sim.freeplay import CHAMFER_MM, wedge_mm
from sim.materials import rotor_metal, tensile_strength_mpa
from sim.parts import Case

HIGHEST_FRICTION = 0.4  # rusty iron, judgement; beyond it a short bore locks by itself and no push moves it
CRACK_SHARE = 0.5  # of the tensile strength, static: the criterion of the warning, a judgement
BREAKS_AT = 2.0  # times the tensile strength, by the ring formula: nothing can be pushed over that


def check_spigot(case: Case) -> list[Fault]:
    """Say what is wrong with the spigot of a case; empty when nothing is."""
    faults = []
    hub = case.hub
    for index, scale in enumerate(case.spigot_scale):
        key = f"spigot_scale[{index + 1}]"
        if scale.from_face_mm >= scale.to_face_mm:
            reason = f"the band ends ({scale.to_face_mm:g} mm) before it begins ({scale.from_face_mm:g} mm)"
            faults.append(Fault(reason, key=f"{key}.to_face_mm", allowed=f"above {scale.from_face_mm:g}"))
        if max(scale.from_face_mm, scale.to_face_mm) > hub.spigot_length_mm + 1e-9:
            reason = f"the band reaches beyond the spigot, which is {hub.spigot_length_mm:g} mm long"
            faults.append(Fault(reason, key=f"{key}.to_face_mm", allowed=f"up to {hub.spigot_length_mm:g}"))
    if not 0.0 <= case.contact.bore_friction <= HIGHEST_FRICTION:
        reason = f"a bore friction of {case.contact.bore_friction:g} is out of range"
        faults.append(Fault(reason, key="contact.bore_friction", allowed=f"0 .. {HIGHEST_FRICTION:g}"))
    tight = wedge_mm(case)
    most = most_overlap_mm(case)
    if not faults and tight > most:
        heights = [s.height_um for s in case.spigot_scale]
        where = f"spigot_scale[{int(np.argmax(heights)) + 1}].height_um" if heights else "hub.spigot_diameter_mm"
        faults.append(
            Fault(
                f"the bore is {tight:.2f} mm too tight on radius: no rotor can be pushed over that, it breaks first",
                key=where,
                allowed=f"what leaves at most {most:.2f} mm; thicker scale only in the root, up to {CHAMFER_MM:g} mm "
                "from the face",
            )
        )
    return faults


def most_overlap_mm(case: Case) -> float:
    """Overlap on radius at which the bore would see twice its tensile strength all round. [mm].

    Notes
    -----
    Thick ring of bore and hat radius under internal pressure (Lame; Roark's Formulas for Stress and Strain,
    thick-walled vessels): u = hoop a / E (1 + nu (b2 - a2) / (b2 + a2)).
    """
    metal = rotor_metal(case.rotor)
    a, b = case.rotor.bore_diameter_mm / 2, case.rotor.hat_outer_diameter_mm / 2
    strain = 1 + metal.poisson * (b**2 - a**2) / (b**2 + a**2)
    return BREAKS_AT * tensile_strength_mpa(case.rotor) * a / metal.youngs_mpa * strain


def crack_warning(case: Case, bore_hoop_mpa: float, corner_hoop_mpa: float) -> str | None:
    """Warning where the hoop stress at the bore or the hat corner passes half the strength of that wall."""
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
