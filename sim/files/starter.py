"""Commented case files to begin with, the listing of all keys, and a case told back in plain words."""

from __future__ import annotations

import math
from typing import Any

from sim.parts.case import Case, Debris, Studs
from sim.parts.iso_fits import fit
from sim.parts.keys import ARRAYS, BY_TABLE, KEYS, NOT_YET, TABLES, Key, table_built
from sim.parts.threads import nominal_diameter_mm, proof_load_n

COMMENT_COLUMN = 38  # where comments begin, for the eye

HEAD = """\
# A case file of trueseat: one corner of a car, what is wrong with it, and how it is read and driven.
# Every key stands here with its default. Change what you know, delete what you do not need; a line that begins with #
# is not read. Lengths in mm, heights and runouts in µm, angles in degrees counter-clockwise seen from outside.
# Hub angles count from stud 1, rotor angles from the hole that sits on stud 1.
"""

# What a key without a default may look like; commented out in the starter file.
EXAMPLES: dict[str, Any] = {
    "rotor.machine_to_thickness_mm": 10.4,
    "rotor.youngs_modulus_mpa": 110_000.0,
    "rotor.poissons_ratio": 0.26,
    "rotor.tensile_strength_mpa": 250.0,
    "rotor.own_runout_radius_mm": 140.0,
    "rotor.cheek_thickness_mm": 4.0,
    "rotor.vane_count": 38,
    "rotor.vane_thickness_mm": 5.5,
    "rotor.vane_inner_diameter_mm": 194.0,
    "rotor.vane_outer_diameter_mm": 296.0,
    "hub.face_runout_radius_mm": 64.0,
    "hub.spigot_fit": "H8/f8",
    "hub.youngs_modulus_mpa": 205_000.0,
    "hub.poissons_ratio": 0.29,
    "studs.preload_n": 50_000.0,
    "studs.index_positions": [0, 2],
    "studs.screw_angle_deg": 36.0,
    "studs.thread_engagement_mm": 12.0,
    "studs.spacer_mm": 20.0,
    "hub.face_map": "hub_face.csv",
    "rotor.face_map": "mounting_face.csv",
    "debris.crush_mpa": 120.0,
    "debris.modulus_mpa": 5000.0,
    "debris.residual_share": 0.5,
    "pads.inner_radius_mm": 102.5,
    "pads.disc_wear_mm3_per_nm": 1e-5,
    "pads.adherence": 0.7,
    "pads.outer_radius_mm": 147.5,
    "judder.mode_hz": 14.0,
    "judder.second_mode_hz": 25.0,
    "limits.hub_face_runout_um": 30.0,
    "limits.drag_nm": 3.7,
    "wheel.pad_thickness_mm": 20.0,
    "drive.brake_share": 0.03,
    "drive.pressure_mpa": 0.8,
    "studs.road_torque_nm": 140.0,
    "wheel.pad_inner_diameter_mm": 70.0,
    "wheel.pad_outer_diameter_mm": 145.0,
}


# Left for the user to fill in, with all limits: what is not given there is printed nowhere as if it had been.
MAKERS = ("rotor.minimum_thickness_mm", "studs.torque_nm")


def starter_case() -> str:
    """TOML text with every key, its default, range and meaning; it loads as the default `Case`."""
    lines = [HEAD]
    lines += [_line(key) for key in BY_TABLE[""].values()]
    lines.append(
        _commented('# base = "rear_solid_300"', "a part set, or a .toml file beside this one; keys here override")
    )
    for table, meaning in TABLES.items():
        if table:
            lines += ["", *_table(table, meaning)]
    return "\n".join(lines) + "\n"


def starter_on(part_set: str) -> str:
    """TOML text of a short case on a part set: what is usually asked, to be filled in; it loads as it stands.

    Parameters
    ----------
    part_set : str
        Name of the base.
    """
    return f"""\
# A case file of trueseat on an invented part set: replace what you know of your own corner.
# All keys with default, range and source: trueseat keys
title = "My corner"
base = {toml_value(part_set)}

# [[debris]]                # take the marks off for one patch of dirt
# kind = "compact scale"
# angle_deg = 36.0          # centre, from stud 1, counter-clockwise seen from outside
# arc_deg = 20.0
# inner_radius_mm = 60.0
# outer_radius_mm = 68.0
# height_um = 100.0

# [studs]
# torque_nm = 140.0         # the vehicle maker's value

# [wheel]                   # what is said of it narrows the band as driven
# material = "steel"        # or "light alloy"

# [limits]                  # the vehicle maker's values rule; without them common practice stands in
# mounted_runout_um = 50.0
# dtv_um = 15.0
"""


def _table(table: str, meaning: str) -> list[str]:
    off = table in ARRAYS or not table_built(table)
    header = f"[[{table}]]" if table in ARRAYS else f"[{table}]"
    remark = meaning if table_built(table) else f"{meaning}; {NOT_YET}"
    return [
        _commented(f"# {header}" if off else header, remark),
        *(_line(key, off) for key in BY_TABLE[table].values()),
    ]


def _line(key: Key, off: bool = False) -> str:
    value = EXAMPLES[key.path] if key.default is None else key.default
    text = f"{key.name} = {toml_value(value)}"
    remark = f"{key.meaning}; {key.allowed}"
    if not key.built and table_built(key.table):
        remark = f"{key.meaning}; {NOT_YET}"
    makers = key.table == "limits" or key.path in MAKERS
    off = off or key.table == "wheel"  # what is said of a wheel is taken as known, and narrows the band of the road
    if makers:
        remark = f"the vehicle maker's, if you have it: {remark}"
    return _commented(f"# {text}" if off or makers or key.default is None or not key.built else text, remark)


def _commented(text: str, remark: str) -> str:
    return f"{text:<{COMMENT_COLUMN}}  # {remark}"


def toml_value(value: Any) -> str:
    """One value as TOML writes it."""
    if isinstance(value, str):
        escaped = value.replace("\\", "\\\\").replace('"', '\\"')
        return f'"{escaped}"'
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml_value(one) for one in value) + "]"
    return repr(value)


def keys_rows() -> tuple[dict[str, Any], ...]:
    """Every key with what there is to know about it, in the order of the case file.

    Returns
    -------
    tuple of dict
        ``table, key, default, unit, allowed, slip, meaning, source, built`` of each.
    """
    return tuple(
        {
            "table": key.table,
            "key": key.name,
            "default": key.default,
            "unit": key.unit,
            "allowed": key.allowed,
            "slip": key.slip,
            "meaning": key.meaning,
            "source": key.source,
            "built": key.built,
        }
        for key in KEYS
    )


def explain(case: Case) -> tuple[tuple[str, str], ...]:
    """Tell a case back, so that its writer sees what was understood.

    Parameters
    ----------
    case : Case

    Returns
    -------
    tuple of (str, str)
        What, and what about it.
    """
    rotor, hub, gauge, limits = case.rotor, case.hub, case.gauge, case.limits
    low, high = case.contact_zone_mm
    area = math.pi * (high**2 - low**2) / 100
    outer, thick = rotor.outer_diameter_mm, rotor.thickness_mm
    patches = [(f"debris[{number}]", _patch(case, patch)) for number, patch in enumerate(case.debris, start=1)]
    return (
        ("title", case.title),
        ("rotor", f"{rotor.style}, {outer:g} x {thick:g} mm, {rotor.overall_height_mm:g} mm high, {rotor.material}"),
        ("its own faults", f"runout {rotor.own_runout_um:g} µm at radius {rotor.own_runout_read_at_mm:g} mm, "
         f"thickness variation {rotor.own_thickness_variation_um:g} µm"),
        ("hub", f"face {hub.face_diameter_mm:g} mm, {hub.material}, runout {hub.face_runout_um:g} µm"),
        ("contact zone", f"radius {low:g} .. {high:g} mm, {area:.0f} cm²"),
        ("spigot in bore", _play(case)),
        ("studs", _studs(case.studs)),
        ("mounted", f"turned by {case.studs.studs_turned} of {case.studs.count}, held by {case.studs.clamped_by}"),
        *(patches or [("debris", "none")]),
        ("dial", f"{gauge.face} face, radius {case.gauge_radius_mm:g} mm"),
        ("brake", f"{case.caliper.style} caliper, {case.pads.kind} pads, {case.drive.duty} duty"),
        ("limits", f"mounted runout {limits.mounted_runout_um:g} µm, thickness variation {limits.dtv_um:g} µm"),
    )  # fmt: skip


def _play(case: Case) -> str:
    gap_um = (case.rotor.bore_diameter_mm - case.hub.spigot_diameter_mm) * 1000
    if case.hub.spigot_fit is None:
        return f"{gap_um:.0f} µm of play across the diameter"
    low, high = fit(case.hub.spigot_fit, case.rotor.bore_diameter_mm).clearance_um
    return f"{case.hub.spigot_fit}, {low:.0f} to {high:.0f} µm of play across the diameter, computed with {gap_um:.0f}"


def _patch(case: Case, patch: Debris) -> str:
    kind = "hollow" if patch.height_um < 0 else "raised"
    place = f"{patch.angle_deg:g} deg" + ("" if patch.on == "hub" else f" (hub {case.hub_angle_deg(patch):g} deg)")
    span = f"radius {patch.inner_radius_mm:g} .. {patch.outer_radius_mm:g} mm, {patch.arc_deg:g} deg wide"
    return f"on the {patch.on} at {place}, {span}, {kind} by {abs(patch.height_um):g} µm"


def _studs(studs: Studs) -> str:
    head = f"{studs.count} of {studs.thread} class {studs.property_class} on {studs.pitch_circle_mm:g} mm"
    loads = studs.preload_n
    given = ""
    if studs.torque_nm is not None:
        each = studs.torque_nm if isinstance(studs.torque_nm, tuple) else (studs.torque_nm,)
        given = f"{', '.join(f'{torque:g}' for torque in each)} N m, "
        loads = tuple(torque * 1000 / (studs.nut_factor * nominal_diameter_mm(studs.thread)) for torque in each)
    pulls = loads if isinstance(loads, tuple) else (loads or 0.0,)
    share = max(pulls) / proof_load_n(studs.thread, studs.property_class)
    kilonewtons = ", ".join(f"{pull / 1000:.0f}" for pull in pulls)
    return f"{head}, {given}{kilonewtons} kN each, at most {share:.0%} of the proof load"
