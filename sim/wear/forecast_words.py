"""What the reader of a forecast must know beside its figures."""

from __future__ import annotations

from dataclasses import replace

from sim.parts.case import Case
from sim.parts.stuck_caliper import stuck
from sim.wear.brake import Brake, brake_of
from sim.wear.ranges import drawn_for

#: Said of a band that no coverage study stands behind.
NOT_STUDIED = "80 % band, coverage not studied"
#: The last note of a road that wears something out before its end.
ENDS_AT = "the forecast ends at {stopped}"
LATE_DECLINE = "late decline: model only, not observed"
CALIBRATION = (
    "Calibrated on service practice, not checked by it: 0.10 mm runout at mixed duty brings 15 µm after about 5 000 to "
    "11 000 km (3 000 to 7 000 miles in several workshop manuals of 2003 to 2010, second-hand); 0.03 mm brought no "
    "complaint; released drag stays within 3.7 N m (common practice, no source). It counts cars that came "
    "with a complaint"
)
SETS_THE_CURVE = "sets the case's own curve; the draws take every value in its range, fewer of them get there"
#: Numbers of the wear laws by what a technician calls their place.
PLACES_OF = {
    "pads": (
        "arc_rad", "inner_radius_mm", "outer_radius_mm", "bed_released_n_mm3", "bed_braking_n_mm3", "disc_wear",
        "pad_wear", "film_deposit", "adherence", "film_mm",
    ),
    "caliper": (
        "clearance_mm", "outboard_share", "holder_n_mm", "tilt_lever_mm", "slip_n", "drag_n", "spread_n_mm",
    ),
    "duty": ("brake_share", "pressure_mpa"),
}  # fmt: skip


def calibration(brake: Brake, worn: bool = False) -> str:
    """Say what the wear parameters were set by, and whether this corner is the one that they were set on.

    Parameters
    ----------
    brake : Brake
    worn : bool
        Whether its rotor starts worn.
    """
    plain = brake_of(replace(Case(), caliper=replace(Case().caliper, style="fixed" if brake.fixed else "floating")))
    other = [name for name, keys in PLACES_OF.items() if any(getattr(brake, k) != getattr(plain, k) for k in keys)]
    if not other and not worn:
        return f"{CALIBRATION} and {SETS_THE_CURVE}"
    named = " and ".join(other[-2:]) if len(other) < 3 else f"{', '.join(other[:-1])} and {other[-1]}"
    why = "; ".join(
        [
            *([f"here {named} {'differs' if other in (['caliper'], ['duty']) else 'differ'}"] if other else []),
            *(["its rotor starts worn"] if worn else []),
        ]
    )
    return (
        f"{CALIBRATION}, and was done on a new rotor with the pads, caliper and duty of the defaults: {why}, so this "
        "curve is not set by it and need not get there"
    )


def _whose_drag(case: Case) -> str:
    return "the stuck caliper's and the runout's together" if stuck(case) else "the share from runout alone"


def _against_drag(case: Case, drag_nm: float) -> str:
    limit = case.drag_limit_nm
    if limit is None:
        return "no limit of a rear axle's drag could be found"
    return f"{'over' if drag_nm > limit else 'within'} the limit of {limit:g} N m"


def caveats(case: Case, brake: Brake, drag_nm: float, stopped: str, narrowing: str, worn: bool) -> tuple[str, ...]:
    """What the reader of a forecast must know, one sentence each.

    ``narrowing`` says what was measured, if it was; ``worn`` whether the rotor was worn at the start.

    Figures in um, km and N m as the forecast's; sources stand in the sentences.
    """
    sources = "; ".join(f"{item.name}: {item.source}" for item in drawn_for(brake))
    notes = [
        LATE_DECLINE,
        calibration(brake, worn),
        "the band is 80 % of draws, half below the case's values and half above, even to the ends of wide ranges: "
        f"{sources}",
        f"released drag {drag_nm:.2f} N m now, {_against_drag(case, drag_nm)}; that is {_whose_drag(case)}",
        "runout shrinks as the rotor wears: a low reading today does not clear the fitting",
    ]
    if narrowing:
        notes.append(f"{narrowing}; how often a band so narrowed holds the truth has not been studied")
    if worn:
        notes.append("how often the band of a rotor that starts worn holds the truth has not been studied")
    if case.pads.kind == "adherent":
        notes.append(
            f"adherent pads: rotor wear {brake.disc_wear * 1e3:.1e} mm3/(N m), {brake.adherence:.0%} of braked rubbing "
            "feeds the film (judgement, low confidence)"
        )
    if loose_um := case.hub.bearing_end_float_um:
        notes.append(
            f"the bearing's end float as given, {loose_um:g} µm, is not in this road: what the hub rocks comes on top"
        )
    if sticks := stuck(case):
        notes.append(f"the caliper: {sticks}")
    if stopped:
        notes.append(ENDS_AT.format(stopped=stopped))
    return tuple(notes)
