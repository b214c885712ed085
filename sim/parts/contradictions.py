"""What cannot be true at once: parts that do not fit each other, patches that touch nothing, keys that exclude others.

Ranges of single values are the business of the parts; here are the relations between them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from sim.errors import BadInput, Fault
from sim.parts.case import Case, Debris, Studs
from sim.parts.checked import need_kind
from sim.parts.discard import refuse_scrap
from sim.parts.fastener import has_bolts, reach_mm, road_engagement_mm, said, spacer_mm
from sim.parts.iso_fits import CLEARANCE_FITS, fit
from sim.parts.keys import BY_TABLE
from sim.parts.pad_band import pad_band
from sim.parts.spigot_limits import most_overlap_mm
from sim.parts.spigot_room import CHAMFER_MM, way_mm, wedge_mm
from sim.parts.threads import nominal_diameter_mm

KeyPath = tuple[str | int, ...]

ROUND_OFF_MM = 1e-9  # lengths that meet exactly may miss by this
ROUND_OFF_UM = 1e-2  # heights that meet exactly may miss by this
# Head or shoulder of the stud on the hub's rear side reaches this far, in thread diameters (judgement).
STUD_HEAD_REACH = 0.75
MIN_ENGAGED_MM = 3.0  # two threads; fewer hold nothing. Judgement
MOST_PATCHES = 200
LEAST_WIDTH_MM = 0.01  # narrower than any grain; the cells of a patch need an area
VANES = (
    "cheek_thickness_mm",
    "vane_count",
    "vane_thickness_mm",
    "vane_inner_diameter_mm",
    "vane_outer_diameter_mm",
)


@dataclass(frozen=True)
class Contradiction:
    """Keys that cannot be true at once; the first is the likelier slip.

    Parameters
    ----------
    keys : tuple of KeyPath
        Such as ``("hub", "spigot_diameter_mm")`` or ``("debris", 0, "arc_deg")``.
    reason, allowed : str
        What is wrong, and what would be taken.
    harmless : bool
        Whether it can be computed with all the same: a patch that touches nothing, a radius that nothing is read at.
    """

    keys: tuple[KeyPath, ...]
    reason: str
    allowed: str = ""
    harmless: bool = False


def key_text(path: KeyPath) -> str:
    """Key as messages show it: patches are counted from 1.

    Examples
    --------
    >>> key_text(("debris", 0, "height_um"))
    'debris[1].height_um'
    """
    text = ""
    for piece in path:
        text += f"[{piece + 1}]" if isinstance(piece, int) else f".{piece}" if text else piece
    return text


def check_case(case: Case, harmless_too: bool = True) -> None:
    """Refuse a case that contradicts itself, every contradiction at once.

    Parameters
    ----------
    case : Case
    harmless_too : bool
        Refuse what can be computed with all the same as well; a seating takes it.

    Raises
    ------
    BadInput
        One fault for each contradiction; one for what is no case.
    Refused
        For a rotor under its discard thickness.
    """
    need_kind(case, Case)
    faults = [
        Fault(c.reason, key=key_text(c.keys[0]), allowed=c.allowed)
        for c in contradictions(case)
        if harmless_too or not c.harmless
    ]
    if faults:
        raise BadInput(faults)
    refuse_scrap(case, where="rotor.thickness_mm")


def contradictions(case: Case) -> tuple[Contradiction, ...]:
    """Find everything in a case that cannot be true at once."""
    found: list[Contradiction] = []
    for look in (
        _ring,
        _hat,
        _vented,
        _hub,
        _fit,
        _written_fit,
        _studs,
        _stud_loads,
        _bolts,
        _seats,
        _debris,
        _scale,
        _dial_and_pads,
        _wheel,
        _measured,
    ):
        found.extend(look(case))
    return tuple(replace(one, reason=said(one.reason, case.studs)) for one in found)


def _rotor(reason: str, allowed: str, *names: str) -> Contradiction:
    return Contradiction(tuple(("rotor", name) for name in names), reason, allowed)


def _ring(case: Case) -> Iterator[Contradiction]:
    rotor = case.rotor
    outer, friction, ring = rotor.outer_diameter_mm, rotor.friction_inner_diameter_mm, rotor.ring_inner_diameter_mm
    if friction >= outer:
        yield _rotor(
            f"the friction faces begin at {friction:g} mm but the rotor ends at {outer:g} mm",
            f"below {outer:g} mm",
            "friction_inner_diameter_mm",
            "outer_diameter_mm",
        )
    if ring > friction:
        yield _rotor(
            f"the ring begins at {ring:g} mm, outside the inner edge of its friction faces at {friction:g} mm",
            f"up to {friction:g} mm",
            "ring_inner_diameter_mm",
            "friction_inner_diameter_mm",
        )
    if rotor.machine_to_thickness_mm is not None and rotor.machine_to_thickness_mm < rotor.minimum_thickness_mm:
        yield _rotor(
            f"{rotor.machine_to_thickness_mm:g} mm is under the discard thickness of {rotor.minimum_thickness_mm:g} mm",
            f"{rotor.minimum_thickness_mm:g} mm or more",
            "machine_to_thickness_mm",
            "minimum_thickness_mm",
        )
    if rotor.own_runout_read_at_mm > rotor.outer_radius_mm:
        yield _rotor(
            f"read at radius {rotor.own_runout_read_at_mm:g} mm, beyond the edge at {rotor.outer_radius_mm:g} mm",
            f"up to {rotor.outer_radius_mm:g} mm",
            "own_runout_radius_mm",
        )


def _hat(case: Case) -> Iterator[Contradiction]:
    rotor = case.rotor
    hat, inside = rotor.hat_outer_diameter_mm, 2 * rotor.hat_inner_radius_mm
    if hat > rotor.friction_inner_diameter_mm:
        yield _rotor(
            f"the hat is {hat:g} mm wide, the ring's friction faces begin at {rotor.friction_inner_diameter_mm:g} mm",
            f"up to {rotor.friction_inner_diameter_mm:g} mm",
            "hat_outer_diameter_mm",
            "friction_inner_diameter_mm",
        )
    if rotor.style == "solid" and rotor.ring_inner_diameter_mm >= hat:
        yield _rotor(
            f"the ring begins at {rotor.ring_inner_diameter_mm:g} mm and never meets the hat of {hat:g} mm",
            f"below {hat:g} mm",
            "ring_inner_diameter_mm",
            "hat_outer_diameter_mm",
        )
    if rotor.bore_diameter_mm >= inside:
        yield _rotor(
            f"the bore of {rotor.bore_diameter_mm:g} mm leaves no flange inside the hat of {inside:g} mm",
            f"below {inside:g} mm",
            "bore_diameter_mm",
            "hat_wall_mm",
            "hat_outer_diameter_mm",
        )
    least = rotor.thickness_mm + rotor.flange_thickness_mm
    if rotor.overall_height_mm < least:
        yield _rotor(
            f"{rotor.overall_height_mm:g} mm is too small for ring and flange, {least:g} mm together",
            f"{least:g} mm or more",
            "overall_height_mm",
            "thickness_mm",
            "flange_thickness_mm",
        )


def _vented(case: Case) -> Iterator[Contradiction]:
    rotor = case.rotor
    given = [name for name in VANES if getattr(rotor, name) is not None]
    if rotor.style != "vented":
        for name in given:
            yield _rotor(f"{name} belongs to a vented rotor, and this one is solid", "", name, "style")
        if rotor.vane_model != BY_TABLE["rotor"]["vane_model"].default:
            yield _rotor("a solid rotor has no vanes", "leave it out", "vane_model", "style")
        return
    missing = [name for name in VANES if name not in given]
    for name in missing:
        yield _rotor(f"a vented rotor needs {name}, which is missing", BY_TABLE["rotor"][name].allowed, name, "style")
    if missing:
        return
    cheek, count, thickness, inner, outer = (float(getattr(rotor, name)) for name in VANES)
    if 2 * cheek >= rotor.thickness_mm:
        yield _rotor(
            f"two cheeks of {cheek:g} mm leave no room for vanes in {rotor.thickness_mm:g} mm",
            f"below {rotor.thickness_mm / 2:g} mm",
            "cheek_thickness_mm",
            "thickness_mm",
        )
    if inner >= outer:
        yield _rotor(
            f"the vanes begin at {inner:g} mm and end at {outer:g} mm",
            f"below {outer:g} mm",
            "vane_inner_diameter_mm",
            "vane_outer_diameter_mm",
        )
    lowest = max(rotor.ring_inner_diameter_mm, 2 * rotor.hat_inner_radius_mm)
    if inner < lowest:
        yield _rotor(
            f"the vanes begin at {inner:g} mm, inside the cheeks, which begin at {lowest:g} mm",
            f"{lowest:g} mm or more",
            "vane_inner_diameter_mm",
            "ring_inner_diameter_mm",
        )
    if outer > rotor.outer_diameter_mm:
        yield _rotor(
            f"the vanes end at {outer:g} mm, outside the ring of {rotor.outer_diameter_mm:g} mm",
            f"up to {rotor.outer_diameter_mm:g} mm",
            "vane_outer_diameter_mm",
            "outer_diameter_mm",
        )
    if count * thickness >= math.pi * inner:
        yield _rotor(
            f"{count:g} vanes of {thickness:g} mm leave no gap where they begin, at {inner:g} mm",
            f"below {math.pi * inner / thickness:.1f} vanes, or thinner ones",
            "vane_count",
            "vane_thickness_mm",
        )


def _at_hub(name: str, reason: str, allowed: str, *others: KeyPath) -> Contradiction:
    return Contradiction((("hub", name), *others), reason, allowed)


def _hub(case: Case) -> Iterator[Contradiction]:
    hub = case.hub
    face, barrel = hub.face_diameter_mm, hub.barrel_outer_diameter_mm
    if hub.face_inner_diameter_mm >= face:
        reason = f"the face begins at {hub.face_inner_diameter_mm:g} mm and ends at {face:g} mm"
        yield _at_hub("face_inner_diameter_mm", reason, f"below {face:g} mm", ("hub", "face_diameter_mm"))
    if hub.spigot_diameter_mm > hub.face_inner_diameter_mm:
        reason = f"the spigot of {hub.spigot_diameter_mm:g} mm covers the inner edge of the face"
        allowed = f"up to {hub.face_inner_diameter_mm:g} mm"
        yield _at_hub("spigot_diameter_mm", reason, allowed, ("hub", "face_inner_diameter_mm"))
    if barrel > face:
        reason = f"the barrel of {barrel:g} mm is wider than the flange of {face:g} mm"
        yield _at_hub("barrel_outer_diameter_mm", reason, f"up to {face:g} mm", ("hub", "face_diameter_mm"))
    thinnest = min(barrel, hub.spigot_diameter_mm)
    if hub.barrel_inner_diameter_mm >= thinnest:
        reason = f"a bore of {hub.barrel_inner_diameter_mm:g} mm leaves no wall in the barrel or the spigot"
        others: tuple[KeyPath, ...] = (("hub", "barrel_outer_diameter_mm"), ("hub", "spigot_diameter_mm"))
        yield _at_hub("barrel_inner_diameter_mm", reason, f"below {thinnest:g} mm", *others)
    if hub.read_radius_mm > face / 2:
        reason = f"read at radius {hub.read_radius_mm:g} mm, beyond the face, which ends at {face / 2:g} mm"
        keys: tuple[KeyPath, ...] = (("hub", "face_runout_radius_mm"), ("hub", "face_diameter_mm"))
        yield Contradiction(keys, reason, f"up to {face / 2:g} mm", harmless=hub.face_runout_um == 0)
    for name in ("youngs_modulus_mpa", "poissons_ratio"):
        if hub.material == "rigid" and getattr(hub, name) is not None:
            yield _at_hub(name, "a rigid hub does not bend", "leave it out, or name a material", ("hub", "material"))


def _widest_face_mm(case: Case) -> float:
    """The hub face has to be narrower than that: the rotor goes on over it with its ring, then its hat. [mm]."""
    return min(2 * case.rotor.hat_inner_radius_mm, case.rotor.ring_inner_diameter_mm)


def _fit(case: Case) -> Iterator[Contradiction]:
    rotor, hub = case.rotor, case.hub
    inside, face = 2 * rotor.hat_inner_radius_mm, hub.face_diameter_mm
    if hub.spigot_diameter_mm > rotor.bore_diameter_mm:
        reason = f"the spigot of {hub.spigot_diameter_mm:g} mm is larger than the bore of {rotor.bore_diameter_mm:g} mm"
        allowed = f"up to {rotor.bore_diameter_mm:g} mm"
        yield _at_hub("spigot_diameter_mm", reason, allowed, ("rotor", "bore_diameter_mm"))
    others: list[KeyPath] = []
    reasons = []
    if face >= inside:
        reasons.append(f"the hub face of {face:g} mm is not narrower than the inside of the hat, {inside:g} mm")
        others += [("rotor", "hat_outer_diameter_mm"), ("rotor", "hat_wall_mm")]
    if face >= rotor.ring_inner_diameter_mm:
        over = "it" if reasons else f"the hub face of {face:g} mm"
        reasons.append(f"the ring, {rotor.ring_inner_diameter_mm:g} mm inside, cannot pass over {over}")
        others.append(("rotor", "ring_inner_diameter_mm"))
    if reasons:
        yield _at_hub("face_diameter_mm", ", and ".join(reasons), f"below {_widest_face_mm(case):g} mm", *others)
    if rotor.bore_diameter_mm >= face:
        reason = f"the bore of {rotor.bore_diameter_mm:g} mm leaves nothing to lie on the hub face of {face:g} mm"
        yield Contradiction((("rotor", "bore_diameter_mm"), ("hub", "face_diameter_mm")), reason, f"below {face:g} mm")


def _written_fit(case: Case) -> Iterator[Contradiction]:
    """A fit that has no limits at this size, or whose spigot may be the larger."""
    name, bore = case.hub.spigot_fit, case.rotor.bore_diameter_mm
    if name is None:
        return
    keys: tuple[KeyPath, ...] = (("hub", "spigot_fit"), ("rotor", "bore_diameter_mm"))
    try:
        found = fit(name, bore)
    except BadInput as error:
        yield Contradiction(keys, error.faults[0].reason, error.faults[0].allowed)
        return
    low, high = found.clearance_um
    if not found.has_clearance:
        loose = f"{high:g} µm of play" if high > 0 else f"{-high:g} µm too tight"
        reason = (
            f"{found.name} at {bore:g} mm is no clearance fit: the bore is anything from {-low:g} µm too tight to "
            f"{loose}, and a rotor must drop home by hand"
        )
        yield Contradiction(keys[:1], reason, CLEARANCE_FITS)
    elif abs(1000.0 * (bore - case.hub.spigot_diameter_mm) - found.middle_um) > ROUND_OFF_UM:
        key = BY_TABLE["hub"]["spigot_diameter_mm"]
        yield Contradiction(
            keys, f"{found.name} at {bore:g} mm leaves a spigot out of range", f"a spigot of {key.allowed}"
        )


def _at_studs(reason: str, allowed: str, name: str, *others: KeyPath) -> Contradiction:
    return Contradiction((("studs", name), *others), reason, allowed)


def _studs(case: Case) -> Iterator[Contradiction]:
    studs, rotor, hub = case.studs, case.rotor, case.hub
    radius, hole = studs.pitch_radius_mm, rotor.hole_diameter_mm
    thread = nominal_diameter_mm(studs.thread)
    head = STUD_HEAD_REACH * thread
    inner, outer = case.contact_zone_mm
    widest = _widest_face_mm(case)
    low, high = max(inner, hub.barrel_outer_diameter_mm / 2 + head), min(outer, hub.face_diameter_mm / 2 - head)
    if hub.face_diameter_mm >= widest and low <= radius <= high and radius >= widest / 2 - head:
        # Else the next round finds it, with the face made as narrow as this one asks.
        reason = f"studs of {studs.thread} at radius {radius:g} mm need a wider hub face than the rotor goes on over"
        allowed = f"{2 * low:g} mm to below {widest - 2 * head:g} mm, or a hat and ring that are wider inside"
        yield _at_studs(reason, allowed, "pitch_circle_mm", ("rotor", "ring_inner_diameter_mm"))
    if not low <= radius <= high:
        reason = f"studs of {studs.thread} at radius {radius:g} mm stand outside the hub face or too near its edge"
        allowed = f"{2 * low:g} .. {2 * high:g} mm" if low <= high else "a wider hub face or a narrower barrel"
        yield _at_studs(reason, allowed, "pitch_circle_mm", ("hub", "face_diameter_mm"))
    if 0 < hole < thread:
        reason = f"{studs.thread} does not pass a hole of {hole:g} mm"
        allowed = f"{thread:g} mm or more, or 0 for none"
        yield _rotor(reason, allowed, "hole_diameter_mm")
    gap = _chord_mm(studs)
    if hole >= gap:
        yield _rotor(f"neighbouring holes, {gap:.1f} mm apart, run together", f"below {gap:.1f} mm", "hole_diameter_mm")
    low, high = rotor.bore_diameter_mm / 2, rotor.hat_inner_radius_mm
    if hole > 0 and not low <= radius - hole / 2 <= radius + hole / 2 <= high:
        reason = f"the holes at radius {radius:g} mm cut into the bore or the hat's wall, r {low:g} .. {high:g} mm"
        yield _rotor(reason, _up_to(2 * min(radius - low, high - radius)), "hole_diameter_mm")


def _up_to(size_mm: float) -> str:
    return f"up to {size_mm:g} mm" if size_mm > 0 else "nothing at this place; move the studs"


def _chord_mm(studs: Studs) -> float:
    """Distance between the centres of neighbouring studs. [mm]."""
    return studs.pitch_circle_mm * math.sin(math.pi / studs.count)


def _stud_loads(case: Case) -> Iterator[Contradiction]:
    studs = case.studs
    if studs.torque_nm is not None and studs.preload_n is not None:
        yield _at_studs("torque and preload are both given", "one of the two", "preload_n", ("studs", "torque_nm"))
    if studs.torque_nm is None and studs.preload_n is None:
        yield _at_studs("neither torque nor preload is given", "one of the two", "torque_nm")
    for name in ("torque_nm", "preload_n", "road_torque_nm"):
        loads = getattr(studs, name)
        if isinstance(loads, tuple) and len(loads) != studs.count:
            reason = f"{len(loads)} values for {studs.count} studs"
            allowed = f"one number, or {studs.count}; a comma parts numbers, decimals take a point"
            yield _at_studs(reason, allowed, name, ("studs", "count"))
    last = studs.count - 1
    positions = studs.positions
    if len(set(positions)) != len(positions) or max(positions) > last:
        reason = "a position stands there twice, or does not exist with that many studs"
        yield _at_studs(reason, f"each of 0 .. {last} once at most", "index_positions", ("studs", "count"))
    if studs.studs_turned > last:
        reason = f"{studs.studs_turned} stud pitches with {studs.count} studs"
        yield _at_studs(reason, f"0 .. {last}", "studs_turned", ("studs", "count"))
    elif studs.studs_turned not in positions:
        allowed = ", ".join(str(position) for position in positions)
        reason = f"position {studs.studs_turned} is not among the index positions"
        yield _at_studs(reason, allowed, "studs_turned", ("studs", "index_positions"))


def _bolts(case: Case) -> Iterator[Contradiction]:
    """Keys of wheel bolts without such bolts, thread deeper than the flange, spacers that leave no thread."""
    studs, deep = case.studs, case.hub.flange_thickness_mm
    if not has_bolts(studs):
        for name in ("thread_engagement_mm", "spacer_mm"):
            if getattr(studs, name) is not None:
                reason = "belongs to wheel bolts, and these are nuts on studs"
                yield _at_studs(reason, 'fastener = "wheel bolt", or leave it out', name, ("studs", "fastener"))
        return
    if road_engagement_mm(case) > deep + ROUND_OFF_MM:
        reason = (
            f"{road_engagement_mm(case):g} mm of thread reach deeper than the hub's flange of {deep:g} mm; on the car "
            "such bolts foul or bottom behind it: none longer than the vehicle maker's"
        )
        keys: KeyPath = ("hub", "flange_thickness_mm")
        yield _at_studs(reason, f"up to {deep:g} mm", "thread_engagement_mm", keys)
    if studs.spacer_mm is not None and case.wheel.pad_thickness_mm is None:
        reason = "how deep the bolts then go depends on the wheel's pad, whose thickness is not given"
        yield _at_studs(reason, "wheel.pad_thickness_mm beside it", "spacer_mm", ("wheel", "pad_thickness_mm"))
    least = MIN_ENGAGED_MM
    if reach_mm(case) < least:
        most = spacer_mm(case) + reach_mm(case) - least
        reason = f"spacers of {spacer_mm(case):g} mm leave the bolts hardly any thread in the hub"
        yield _at_studs(reason, f"up to {most:g} mm", "spacer_mm", ("studs", "thread_engagement_mm"))


def _seats(case: Case) -> Iterator[Contradiction]:
    studs, rotor = case.studs, case.rotor
    inner, outer, radius = studs.seat_inner_diameter_mm, studs.seat_outer_diameter_mm, studs.pitch_radius_mm
    if inner >= outer:
        reason = f"the seat begins at {inner:g} mm and ends at {outer:g} mm"
        yield _at_studs(reason, f"below {outer:g} mm", "seat_inner_diameter_mm", ("studs", "seat_outer_diameter_mm"))
    if inner < rotor.hole_diameter_mm:
        reason = f"the seat, {inner:g} mm inside, hangs over the hole of {rotor.hole_diameter_mm:g} mm"
        allowed = f"{rotor.hole_diameter_mm:g} mm or more"
        yield _at_studs(reason, allowed, "seat_inner_diameter_mm", ("rotor", "hole_diameter_mm"))
    low, high = radius - rotor.bore_diameter_mm / 2, rotor.hat_inner_radius_mm - radius
    if outer / 2 > high + ROUND_OFF_MM:
        reason = (
            f"the seat reaches radius {radius + outer / 2:g} mm, beyond the hat's inner radius of {radius + high:g} mm"
        )
        yield _at_studs(reason, _up_to(2 * high), "seat_outer_diameter_mm", ("studs", "pitch_circle_mm"))
    if outer / 2 > low + ROUND_OFF_MM:
        reason = f"the seat reaches in to radius {radius - outer / 2:g} mm, over the bore"
        yield _at_studs(reason, _up_to(2 * low), "seat_outer_diameter_mm", ("studs", "pitch_circle_mm"))
    gap = _chord_mm(studs)
    if outer > gap + ROUND_OFF_MM:
        reason = f"neighbouring seats of {outer:g} mm overlap, their studs stand {gap:.1f} mm apart"
        yield _at_studs(reason, f"up to {gap:.1f} mm", "seat_outer_diameter_mm", ("studs", "count"))


def _debris(case: Case) -> Iterator[Contradiction]:
    if len(case.debris) > MOST_PATCHES:
        yield Contradiction((("debris",),), f"{len(case.debris)} patches are too many", f"up to {MOST_PATCHES}")
        return
    low, high = case.contact_zone_mm
    for index, patch in enumerate(case.debris):
        here: tuple[KeyPath, ...] = (("debris", index, "inner_radius_mm"), ("debris", index, "outer_radius_mm"))
        inner, outer = patch.inner_radius_mm, patch.outer_radius_mm
        if outer - inner < LEAST_WIDTH_MM:
            allowed = f"up to {max(outer - LEAST_WIDTH_MM, 0.0):g} mm"
            yield Contradiction(here, f"it begins at {inner:g} mm and ends at {outer:g} mm", allowed)
        elif outer <= low or inner >= high:
            reason = f"r {inner:g} .. {outer:g} mm lies wholly outside the contact zone of hub face and rotor"
            yield Contradiction(here, reason, f"r {low:g} .. {high:g} mm, at least in part", True)
        elif patch_in_hole(case, patch):
            reason = f"it lies wholly inside a stud hole of {case.rotor.hole_diameter_mm:g} mm and touches nothing"
            yield Contradiction(
                (("debris", index, "angle_deg"), *here), reason, "a place where metal meets metal", True
            )


def _from_nearest_stud_deg(case: Case, patch: Debris) -> float:
    """Angle of a patch's centre from the nearest hole, signed; holes and studs share one lattice."""
    pitch = case.studs.pitch_deg
    return (patch.angle_deg + pitch / 2) % pitch - pitch / 2


def patch_in_hole(case: Case, patch: Debris) -> bool:
    """Whether a patch lies wholly inside a stud hole: a sector's farthest point from a hole is one of its corners.

    Lengths in mm; geometry.
    """
    hole, pitch_radius = case.rotor.hole_diameter_mm / 2, case.studs.pitch_radius_mm
    middle = _from_nearest_stud_deg(case, patch)
    corners = [
        (radius, math.radians(middle + side * patch.arc_deg / 2))
        for radius in (patch.inner_radius_mm, patch.outer_radius_mm)
        for side in (-1, 1)
    ]
    reach = max(math.hypot(r * math.cos(a) - pitch_radius, r * math.sin(a)) for r, a in corners)
    return patch.arc_deg < 180 and reach <= hole


def _scale(case: Case) -> Iterator[Contradiction]:
    """Scale that does not lie on the spigot, or that no rotor could be pushed over."""
    length, found = case.hub.spigot_length_mm, False
    for index, scale in enumerate(case.spigot_scale):
        begins, ends = scale.from_face_mm, scale.to_face_mm
        band: tuple[KeyPath, ...] = (("spigot_scale", index, "to_face_mm"), ("spigot_scale", index, "from_face_mm"))
        if begins >= ends:
            found = True
            reason = f"the band ends ({ends:g} mm) before it begins ({begins:g} mm)"
            yield Contradiction(band, reason, f"above {begins:g}")
        elif ends > length + ROUND_OFF_MM:
            found = True
            reason = f"the band reaches beyond the spigot, which is {length:g} mm long"
            yield Contradiction((*band, ("hub", "spigot_length_mm")), reason, f"up to {length:g}")
    if found or not case.spigot_scale or case.hub.spigot_diameter_mm > case.rotor.bore_diameter_mm:
        return
    tight, most = max(wedge_mm(case), way_mm(case)), most_overlap_mm(case)
    if tight > most:
        highest = max(range(len(case.spigot_scale)), key=lambda index: case.spigot_scale[index].height_um)
        yield Contradiction(
            (("spigot_scale", highest, "height_um"),),
            f"the bore is {tight:.2f} mm too tight on radius: no rotor can be pushed over that, it breaks first",
            f"what leaves at most {most:.2f} mm; thicker scale only in the root, up to {CHAMFER_MM:g} mm from the face",
        )


def _dial_and_pads(case: Case) -> Iterator[Contradiction]:
    rotor, pads = case.rotor, case.pads
    low, high = rotor.friction_inner_diameter_mm / 2, rotor.outer_radius_mm
    if case.gauge_radius_mm < low:
        reason = f"the tip of the dial at radius {case.gauge_radius_mm:g} mm is off the friction face"
        yield Contradiction((("gauge", "from_edge_mm"),), reason, f"0 .. {high - low:g} mm")
    inner, outer = pads.inner_radius_mm, pads.outer_radius_mm
    for name, radius in (("inner_radius_mm", inner), ("outer_radius_mm", outer)):
        if radius is not None and not low <= radius <= high:
            reason = f"the pads at radius {radius:g} mm run off the friction faces"
            yield Contradiction((("pads", name),), reason, f"{low:g} .. {high:g} mm")
    if (low if inner is None else inner) >= (high if outer is None else outer):
        keys: tuple[KeyPath, ...] = (("pads", "inner_radius_mm"), ("pads", "outer_radius_mm"))
        yield Contradiction(keys, "the pads begin where they end, or beyond", "inner radius below outer radius")
    elif low < high and (inner is None) != (outer is None):
        swept = pad_band(rotor, replace(pads, inner_radius_mm=None, outer_radius_mm=None))
        if inner is None and outer is not None and outer <= swept[0]:
            reason = f"the pads end at {outer:g} mm, and begin at {swept[0]:g} mm unless pads.inner_radius_mm is given"
            yield Contradiction((("pads", "outer_radius_mm"),), reason, f"above {swept[0]:g} mm, or give both")
        if outer is None and inner is not None and inner >= swept[1]:
            reason = f"the pads begin at {inner:g} mm, and end at {swept[1]:g} mm unless pads.outer_radius_mm is given"
            yield Contradiction((("pads", "inner_radius_mm"),), reason, f"below {swept[1]:g} mm, or give both")


def _wheel(case: Case) -> Iterator[Contradiction]:
    inner, outer = (2 * radius for radius in case.wheel_pad_mm)
    pitch = case.studs.pitch_circle_mm
    keys: tuple[KeyPath, ...] = (("wheel", "pad_inner_diameter_mm"), ("wheel", "pad_outer_diameter_mm"))
    if inner >= outer:
        yield Contradiction(keys, f"the pad begins at {inner:g} mm and ends at {outer:g} mm", f"below {outer:g} mm")
    elif inner >= pitch:
        yield Contradiction(keys[:1], f"the pad begins outside the studs on {pitch:g} mm", f"below {pitch:g} mm")
    elif outer <= pitch:
        yield Contradiction(keys[1:], f"the pad ends inside the studs on {pitch:g} mm", f"above {pitch:g} mm")


def _measured(case: Case) -> Iterator[Contradiction]:
    """Faces that were measured where nothing touches; a single turn may stand a little off and is carried over."""
    low, high = case.contact_zone_mm
    for table, face in (("hub", case.hub_topography), ("rotor", case.rotor_topography)):
        if face is not None and (face.radius_mm[-1] < low or face.radius_mm[0] > high):
            reason = f"measured at r {face.radius_mm[0]:g} .. {face.radius_mm[-1]:g} mm, where the faces do not touch"
            yield Contradiction(
                ((table, "face_map"),), reason, f"radii within {low:g} .. {high:g} mm, at least in part"
            )
