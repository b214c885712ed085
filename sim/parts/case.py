"""The parts on the bench: frozen values, named as in the case file, one class per table of it.

Every part checks its own values against the table of keys when it is made; what contradicts what between parts is
`sim.parts.contradictions`. Whole numbers given for lengths become floats, lists become tuples, so that equal parts
are equal keys of a cache.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Any

from sim.errors import BadInput, Fault
from sim.parts.checked import check, need_kind
from sim.parts.iso_fits import fit
from sim.parts.keys import BY_TABLE, NOT_YET, table_built
from sim.parts.measured_face import Topography
from sim.units import shown

DEFAULT_TORQUE_NM = 140.0  # of the invented corner; the vehicle maker's value counts
#: Pad of a wheel whose thickness is not given, by its metal; judgement.
LIKELY_PAD_MM = {"light alloy": 20.0, "steel": 11.0, "rigid": 20.0}
WHEEL_PAD_INSET_MM = 6.0  # the wheel's pad ends this much inside the flange, in diameter, unless given; judgement
HUB_READ_FROM_EDGE_MM = 4.0  # a dial's tip near the edge of the hub face; common practice, no source
HUB_FACE_LIMIT_UM = 30.0  # common practice, no source
DRAG_LIMIT_NM = {"front": 3.7, "rear": None}  # workshop limit of front drag; common practice, none found for rear axles
MODE_HZ = {"front": 14.0, "rear": 28.0}  # judgement: steering wheel 12 .. 16 Hz; suspension 22 .. 35 Hz
OWN_RUNOUT_FROM_EDGE_MM = 10.0  # where a rotor's own runout is read unless said; common practice, no source


def usual_hub_face_limit_um(mounted_limit_um: float, face_radius_mm: float, gauge_radius_mm: float) -> float:
    """Limit of a bare hub face where nobody gave one: 30 um, or what still meets the mounted limit. [um TIR].

    A lean grows with radius: 30 um at 64 mm reads 66 um at 140 mm, which no rotor could bring under 50.

    Parameters
    ----------
    mounted_limit_um : float
        Limit of the mounted runout. [um TIR]
    face_radius_mm, gauge_radius_mm : float
        Where the dial stands on the hub face and on the rotor. [mm]

    Notes
    -----
    A lean grows with the radius (geometry).
    """
    return min(HUB_FACE_LIMIT_UM, mounted_limit_um * face_radius_mm / gauge_radius_mm)


@dataclass(frozen=True)
class Rotor:
    """A hat rotor. Lengths in mm, runouts and thickness variation in um (TIR), angles in the rotor frame in deg."""

    style: str = "solid"
    outer_diameter_mm: float = 300.0
    friction_inner_diameter_mm: float = 190.0
    ring_inner_diameter_mm: float = 140.0
    thickness_mm: float = 12.0
    minimum_thickness_mm: float = 10.0
    machine_to_thickness_mm: float | None = None
    overall_height_mm: float = 45.0
    hat_outer_diameter_mm: float = 152.0
    hat_wall_mm: float = 6.0
    flange_thickness_mm: float = 7.0
    bore_diameter_mm: float = 65.0
    hole_diameter_mm: float = 16.0
    material: str = "grey iron"
    youngs_modulus_mpa: float | None = None
    poissons_ratio: float | None = None
    tensile_strength_mpa: float | None = None
    own_runout_um: float = 0.0
    own_runout_radius_mm: float | None = None
    own_high_spot_deg: float = 0.0
    own_thickness_variation_um: float = 0.0
    own_thick_spot_deg: float = 0.0
    flange_dish_um: float = 0.0
    flange_saddle_um: float = 0.0
    flange_saddle_deg: float = 0.0
    face_map: str | None = None
    cheek_thickness_mm: float | None = None
    vane_count: int | None = None
    vane_thickness_mm: float | None = None
    vane_inner_diameter_mm: float | None = None
    vane_outer_diameter_mm: float | None = None
    vane_model: str = "smeared"

    def __post_init__(self) -> None:
        check(self, "rotor")

    @property
    def outer_radius_mm(self) -> float:
        """Radius of the outer edge. [mm]. By definition."""
        return self.outer_diameter_mm / 2

    @property
    def hat_inner_radius_mm(self) -> float:
        """Inside of the hat. [mm]. By definition."""
        return self.hat_outer_diameter_mm / 2 - self.hat_wall_mm

    @property
    def inboard_face_z_mm(self) -> float:
        """Height of the inboard friction face above the mounting face; negative. [mm]."""
        return self.flange_thickness_mm - self.overall_height_mm

    @property
    def outboard_face_z_mm(self) -> float:
        """Height of the outboard friction face above the mounting face; negative. [mm]."""
        return self.inboard_face_z_mm + self.thickness_mm

    @property
    def has_true_vanes(self) -> bool:
        """Whether the vanes are computed one by one rather than as a layer."""
        return self.style == "vented" and self.vane_model == "true vanes"

    @property
    def own_runout_read_at_mm(self) -> float:
        """Radius that the rotor's own runout refers to. [mm]."""
        if self.own_runout_radius_mm is None:
            return self.outer_radius_mm - OWN_RUNOUT_FROM_EDGE_MM
        return self.own_runout_radius_mm


@dataclass(frozen=True)
class Hub:
    """A wheel hub: flange, spigot and barrel. Lengths in mm, runout and end float in um (TIR), hub frame.

    Within a `Case` a fit takes the place of the spigot's diameter: the bore's diameter is the nominal one, and the
    spigot is given what leaves the middle of the clearance that the fit allows.
    """

    face_diameter_mm: float = 136.0
    face_inner_diameter_mm: float = 68.0
    spigot_diameter_mm: float = 64.94
    spigot_fit: str | None = None
    spigot_length_mm: float = 10.0
    flange_thickness_mm: float = 12.0
    barrel_outer_diameter_mm: float = 60.0
    barrel_inner_diameter_mm: float = 40.0
    barrel_length_mm: float = 38.0
    material: str = "steel"
    youngs_modulus_mpa: float | None = None
    poissons_ratio: float | None = None
    face_runout_um: float = 0.0
    face_runout_radius_mm: float | None = None
    face_high_spot_deg: float = 0.0
    face_dish_um: float = 0.0
    face_saddle_um: float = 0.0
    face_saddle_deg: float = 0.0
    face_map: str | None = None
    bearing_end_float_um: float = 0.0

    def __post_init__(self) -> None:
        check(self, "hub")

    @property
    def read_radius_mm(self) -> float:
        """Radius that the face's runout refers to: given, or near the face's edge. [mm].

        By definition; how far from the edge is common practice, no source.
        """
        if self.face_runout_radius_mm is None:
            return self.face_diameter_mm / 2 - HUB_READ_FROM_EDGE_MM
        return self.face_runout_radius_mm


@dataclass(frozen=True)
class Studs:
    """The wheel studs (or bolts) and what pulls on them. ``torque_nm`` or ``preload_n``: one number, or one per stud.

    Those two hold the rotor while it is read; ``road_torque_nm`` holds it on the road, with the wheel on.
    """

    count: int = 5
    pitch_circle_mm: float = 112.0
    thread: str = "M14x1.5"
    property_class: str = "10.9"
    torque_nm: float | tuple[float, ...] | None = DEFAULT_TORQUE_NM
    road_torque_nm: float | tuple[float, ...] | None = None
    nut_factor: float = 0.20
    preload_n: float | tuple[float, ...] | None = None
    seat_inner_diameter_mm: float = 16.0
    seat_outer_diameter_mm: float = 28.0
    studs_turned: int = 0
    index_positions: tuple[int, ...] | None = None
    clamped_by: str = "nuts and spacers"
    screw_preload_n: float = 3000.0
    screw_angle_deg: float | None = None
    fastener: str = "nut on stud"
    thread_engagement_mm: float | None = None
    spacer_mm: float | None = None

    def __post_init__(self) -> None:
        # A given preload displaces the default torque; two that were both given are a contradiction, found later.
        if self.preload_n is not None and self.torque_nm == DEFAULT_TORQUE_NM:
            object.__setattr__(self, "torque_nm", None)
        check(self, "studs")

    @property
    def pitch_radius_mm(self) -> float:
        """Radius on which the studs stand. [mm]. By definition."""
        return self.pitch_circle_mm / 2

    @property
    def pitch_deg(self) -> float:
        """Angle from one stud to the next. [deg]. By definition."""
        return 360.0 / self.count

    @property
    def screw_deg(self) -> float:
        """Where the one screw of "screw only" sits, hub frame; else half way from stud 1 to 2. [deg]. Judgement."""
        return self.pitch_deg / 2 if self.screw_angle_deg is None else self.screw_angle_deg

    @property
    def turned_deg(self) -> float:
        """Angle by which the rotor is turned on the hub: hub angle = rotor angle + this. [deg]. By definition."""
        return self.studs_turned * self.pitch_deg

    @property
    def positions(self) -> tuple[int, ...]:
        """Index positions that can be mounted, in stud pitches."""
        return tuple(range(self.count)) if self.index_positions is None else self.index_positions


@dataclass(frozen=True)
class Debris:
    """Something that is not flat on the hub face or the rotor's mounting face; angles in the frame of what it sits on.

    A round patch is the disc between its radii; its arc follows from them, whatever is given. About a stud hole it is
    the raised lip of that hole, because the part inside the hole carries nothing.
    """

    on: str = "hub"
    kind: str = "hard"
    shape: str = "sector"
    angle_deg: float = 0.0
    arc_deg: float = 20.0
    inner_radius_mm: float = 60.0
    outer_radius_mm: float = 68.0
    height_um: float = 100.0
    crush_mpa: float | None = None
    modulus_mpa: float | None = None
    residual_share: float | None = None
    ragged_share: float = 0.0
    seed: int = 1

    def __post_init__(self) -> None:
        check(self, "debris")
        half, middle = (
            (self.outer_radius_mm - self.inner_radius_mm) / 2,
            (self.outer_radius_mm + self.inner_radius_mm) / 2,
        )
        if self.shape == "round" and 0 < half < middle:
            object.__setattr__(self, "arc_deg", math.degrees(2 * math.asin(half / middle)))


@dataclass(frozen=True)
class SpigotScale:
    """Scale on the centring spigot, within an arc and an axial band above the hub face."""

    angle_deg: float = 180.0
    arc_deg: float = 60.0
    height_um: float = 90.0
    from_face_mm: float = 0.0
    to_face_mm: float = 10.0

    def __post_init__(self) -> None:
        check(self, "spigot_scale")


@dataclass(frozen=True)
class Contact:
    """How two machined faces meet: stiffness of the contact layer, friction of the bore on the spigot."""

    layer_stiffness_n_mm3: float = 1.0e5
    bore_friction: float = 0.15

    def __post_init__(self) -> None:
        check(self, "contact")


@dataclass(frozen=True)
class Gauge:
    """Where the dial stands: distance of its tip from the rotor's edge, and the face that a single dial reads."""

    from_edge_mm: float = 10.0
    face: str = "outboard"

    def __post_init__(self) -> None:
        check(self, "gauge")


@dataclass(frozen=True)
class Pads:
    """The pair of pads. Band and arc in mm and deg; ``None`` radii follow the friction faces."""

    kind: str = "abrasive"
    arc_deg: float = 55.0
    inner_radius_mm: float | None = None
    outer_radius_mm: float | None = None
    thickness_mm: float = 10.0
    bed_released_n_mm3: float = 5.0
    bed_braking_n_mm3: float = 30.0
    wear_mm3_per_nm: float = 2.5e-5
    disc_wear_mm3_per_nm: float | None = None
    adherence: float | None = None
    film_deposit_mm3_per_nm: float = 1.0e-5
    film_um: float = 5.0
    worn_out_mm: float = 2.0

    def __post_init__(self) -> None:
        check(self, "pads")


@dataclass(frozen=True)
class Caliper:
    """The caliper: clearance per side, how it is shared, what holds the pads off and what makes them slip."""

    style: str = "floating"
    clearance_um: float = 30.0
    outboard_share: float = 0.30
    holder_stiffness_n_mm: float = 1000.0
    slip_force_n: float = 100.0
    piston_area_mm2: float = 2030.0
    clamp_stiffness_kn_mm: float = 20.0
    sticking_outboard_n: float = 0.0
    sticking_inboard_n: float = 0.0

    def __post_init__(self) -> None:
        check(self, "caliper")


@dataclass(frozen=True)
class Drive:
    """How the car is used: ``duty`` sets ``brake_share`` and ``pressure_mpa`` unless they are given."""

    duty: str = "mixed"
    revolutions_per_km: float = 519.5
    brake_share: float | None = None
    pressure_mpa: float | None = None
    friction: float = 0.40

    def __post_init__(self) -> None:
        check(self, "drive")


@dataclass(frozen=True)
class Judder:
    """The mode through which the driver feels it: parameters, not facts."""

    mode_hz: float | None = None
    mode_damping: float = 0.10
    mode_gain_m_s2_per_nm: float = 0.008
    second_mode_hz: float | None = None
    second_mode_damping: float = 0.10

    def __post_init__(self) -> None:
        check(self, "judder")


@dataclass(frozen=True)
class Limits:
    """Common practice, no source; the vehicle maker's value rules."""

    mounted_runout_um: float = 50.0
    dtv_um: float = 15.0
    hub_face_runout_um: float | None = None
    drag_nm: float | None = None

    def __post_init__(self) -> None:
        check(self, "limits")


@dataclass(frozen=True)
class Wheel:
    """The wheel's mounting pad, a plain ring; ``None``: diameters follow the rotor, thickness the metal. Dish in um."""

    pad_inner_diameter_mm: float | None = None
    pad_outer_diameter_mm: float | None = None
    pad_dish_um: float = 0.0
    pad_thickness_mm: float | None = None
    material: str = "light alloy"

    def __post_init__(self) -> None:
        check(self, "wheel")

    @property
    def thickness_mm(self) -> float:
        """Thickness of the pad, given or likely. [mm]."""
        return LIKELY_PAD_MM[self.material] if self.pad_thickness_mm is None else self.pad_thickness_mm


@dataclass(frozen=True)
class Case:
    """One corner of a car: every part, everything that is wrong with it, and how it is read and driven.

    ``hub_topography`` and ``rotor_topography`` are the measured faces that the parts' ``face_map`` name; through the
    API they are given directly. ``given`` names the keys (``limits.dtv_um``) that stood in the user's own file, None
    where there was none.
    """

    title: str = "A corner"
    axle: str = "front"
    rotor: Rotor = field(default_factory=Rotor)
    hub: Hub = field(default_factory=Hub)
    studs: Studs = field(default_factory=Studs)
    debris: tuple[Debris, ...] = ()
    spigot_scale: tuple[SpigotScale, ...] = ()
    contact: Contact = field(default_factory=Contact)
    gauge: Gauge = field(default_factory=Gauge)
    pads: Pads = field(default_factory=Pads)
    caliper: Caliper = field(default_factory=Caliper)
    drive: Drive = field(default_factory=Drive)
    judder: Judder = field(default_factory=Judder)
    limits: Limits = field(default_factory=Limits)
    wheel: Wheel = field(default_factory=Wheel)
    hub_topography: Topography | None = None
    rotor_topography: Topography | None = None
    given: tuple[str, ...] | None = field(default=None, compare=False, repr=False)

    def __post_init__(self) -> None:
        for name, part in _SEVERAL.items():
            object.__setattr__(self, name, _all_of(getattr(self, name), part, name))
        for name, part in _SINGLE.items():
            value = getattr(self, name)
            if not (value is None and part is Topography):
                need_kind(value, part, name)
        if self.given is not None and not (isinstance(self.given, tuple) and all(map(_known_path, self.given))):
            raise BadInput(Fault("is not a set of keys", key="given", allowed="a tuple of names such as limits.dtv_um"))
        object.__setattr__(self, "hub", _fitted(self.hub, self.rotor.bore_diameter_mm))
        check(self, "")
        if self.spigot_scale and not table_built("spigot_scale"):
            raise BadInput(Fault(NOT_YET, key="spigot_scale"))

    def cleaned(self) -> Case:
        """Return the same corner with both faces and the spigot brought to bare metal."""
        return replace(self, debris=(), spigot_scale=())

    def where_from(self, table: str, name: str) -> str:
        """Say who a value comes from: ``the case file``, ``the part set`` that it builds on, or the ``default``.

        Examples
        --------
        >>> Case(limits=Limits(dtv_um=20.0)).where_from("limits", "dtv_um")
        'the case file'
        """
        if self.given is not None and f"{table}.{name}" in self.given:
            return "the case file"
        if getattr(getattr(self, table), name) == BY_TABLE[table][name].default:
            return "default"
        return "the case file" if self.given is None else "the part set"

    @property
    def hub_limit_worked_out(self) -> bool:
        """Whether the limit of the hub face follows from the mounted one: not given, and not the usual figure."""
        return self.limits.hub_face_runout_um is None and self.hub_face_limit_um < HUB_FACE_LIMIT_UM

    @property
    def hub_face_limit_um(self) -> float:
        """Limit of the hub face's runout where it is read: given, or `usual_hub_face_limit_um`."""
        if self.limits.hub_face_runout_um is not None:
            return self.limits.hub_face_runout_um
        return usual_hub_face_limit_um(self.limits.mounted_runout_um, self.hub.read_radius_mm, self.gauge_radius_mm)

    @property
    def drag_limit_nm(self) -> float | None:
        """Limit of the released drag: given, or the front axle's; None where no limit is known. [N m]."""
        given = self.limits.drag_nm
        return DRAG_LIMIT_NM[self.axle] if given is None else given

    @property
    def mode_hz(self) -> float:
        """Resonance through which it is felt: given, or the axle's. [Hz]."""
        return MODE_HZ[self.axle] if self.judder.mode_hz is None else self.judder.mode_hz

    @property
    def gauge_radius_mm(self) -> float:
        """Radius of the dial's tip. [mm]."""
        return self.rotor.outer_radius_mm - self.gauge.from_edge_mm

    @property
    def contact_zone_mm(self) -> tuple[float, float]:
        """Inner and outer radius within which hub face and rotor can touch. [mm]."""
        inner = max(self.hub.face_inner_diameter_mm, self.rotor.bore_diameter_mm) / 2
        return inner, min(self.hub.face_diameter_mm / 2, self.rotor.hat_inner_radius_mm)

    @property
    def wheel_pad_mm(self) -> tuple[float, float]:
        """Inner and outer radius of the wheel's pad on the flange. [mm].

        By definition; the inset is judgement (`WHEEL_PAD_INSET_MM`).
        """
        wheel, rotor = self.wheel, self.rotor
        inner = wheel.pad_inner_diameter_mm or rotor.bore_diameter_mm + WHEEL_PAD_INSET_MM
        outer = wheel.pad_outer_diameter_mm or rotor.hat_outer_diameter_mm - WHEEL_PAD_INSET_MM
        return inner / 2, outer / 2

    def hub_angle_deg(self, patch: Debris) -> float:
        """Where the centre of a patch stands on the hub, 0 .. 360. [deg]."""
        turned = self.studs.turned_deg if patch.on == "rotor" else 0.0
        return (patch.angle_deg + turned) % 360.0


def _known_path(path: Any) -> bool:
    """Whether a text is table and name of a key."""
    table, _, name = path.rpartition(".") if isinstance(path, str) else ("?", "", "")
    return name in BY_TABLE.get(table, {})


def _fitted(hub: Hub, bore_mm: float) -> Hub:
    """Return the hub with the spigot that its fit means; a fit that means none here is left to `contradictions`."""
    if hub.spigot_fit is None:
        return hub
    try:
        found = fit(hub.spigot_fit, bore_mm)
        gap_mm = found.middle_um / 1000.0 if found.has_clearance else 0.0
        return replace(hub, spigot_diameter_mm=round(bore_mm - gap_mm, 6))
    except BadInput:
        return replace(hub, spigot_diameter_mm=bore_mm)


_SEVERAL: dict[str, type] = {"debris": Debris, "spigot_scale": SpigotScale}
_SINGLE: dict[str, type] = {
    "rotor": Rotor,
    "hub": Hub,
    "studs": Studs,
    "contact": Contact,
    "gauge": Gauge,
    "pads": Pads,
    "caliper": Caliper,
    "drive": Drive,
    "judder": Judder,
    "limits": Limits,
    "wheel": Wheel,
    "hub_topography": Topography,
    "rotor_topography": Topography,
}


def _all_of(given: Any, part: type, name: str) -> tuple[Any, ...]:
    """Return a list of parts as a tuple, refusing whatever is none of them."""
    if not isinstance(given, list | tuple):
        raise BadInput(Fault(f"{shown(given)} is no list", key=name, allowed=f"a list of {part.__name__}"))
    for index, one in enumerate(given, 1):
        need_kind(one, part, f"{name}[{index}]")
    return tuple(given)
