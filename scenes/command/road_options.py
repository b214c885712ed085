"""Options of ``drive``: what was measured on the car, and what was noticed on the road."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from cyclopts import Parameter

from sim.errors import BadInput, Fault
from sim.wear.distances import LEAST_DRIVEN_KM

if TYPE_CHECKING:
    from sim.bench.bare_face import HubFace
    from sim.chain import Road, Run
    from sim.corner.driven import BareHub
    from sim.files.mean_plane import MeanPlane
    from sim.parts.case import Case
    from sim.parts.thickness import Uneven
    from sim.wear.road_test import Weighed

DRAG_DOUBT_NM = 0.2  # of a spring balance at a stud; judgement
MOST_MEASURED = 1e6  # drag, thickness variation or distance: far past what any corner gives; judgement
LEAST_DRAG_NM = 0.1  # half of that: less is none; judgement
DTV_DOUBT_UM = 2.0  # of a workshop micrometer, difference of two readings; judgement
LEAST_DTV_UM = 0.5  # half a division of a fine micrometer: less but none is a figure in millimetres; judgement
SLOWEST_FELT_KM_H = 10.0  # slower nobody feels a brake pulse; judgement


@dataclass(frozen=True)
class Measured:
    """What was measured on the car: it narrows the band."""

    drag: Annotated[float | None, Parameter(help="Released drag, measured [N m].")] = None
    dtv: Annotated[float | None, Parameter(help="Thickness variation, measured [µm]; give --dtv-km too.")] = None
    dtv_km: Annotated[float | None, Parameter(help="Driven when that was measured [km].")] = None
    mounted: Annotated[
        Path | None,
        Parameter(
            help="Readings of the mounted rotor (CSV); wear starts from them, not from the seating, and from the "
            "thickness where they hold one."
        ),
    ] = None
    worn: Annotated[
        Path | None, Parameter(help="Readings of a worn rotor's thickness (CSV) to start from, in place of a new one.")
    ] = None
    worn_on: Annotated[
        Literal["both faces", "outboard", "inboard"],
        Parameter(help="Where its metal went: a thickness trace cannot tell."),
    ] = "both faces"
    go_on_from: Annotated[
        Path | None, Parameter(help="Run folder of the same corner to go on from; --km counts from its start.")
    ] = None

    def _earlier(self, case: Case, km: float) -> Run | None:
        """Load the run to go on from: of this corner, and not as far yet."""
        from sim import run_folder

        if self.go_on_from is None:
            return None
        earlier = run_folder.load(self.go_on_from)
        if earlier.case != case or earlier.forecast is None:
            reason = "is a run of another corner, or was not driven"
            raise BadInput(Fault(reason, file=str(self.go_on_from), key="--go-on-from"))
        driven = float(earlier.forecast.distance_km[-1])
        if km <= driven:
            reason = f"{km:g} is no further than the run was driven; it counts from the start of that run"
            raise BadInput(Fault(reason, file=str(self.go_on_from), key="--km", allowed=f"more than {driven:.0f} km"))
        return earlier

    def road(self, case: Case, km: float = math.inf) -> Road:
        """Turn the options into what the forecast is told.

        Parameters
        ----------
        case : Case
        km : float
            Driven altogether, the run to go on from with it.

        Raises
        ------
        BadInput
            For half an observation, values that cannot be, or a run of another corner or one that was driven as far.
        """
        from sim import chain, worn_rotor
        from sim.bench.mostly_over import as_it_counts
        from sim.bench.moved_next import moved_next
        from sim.bench.next_act import bare_hub
        from sim.files.dial_readings import refuse_slips
        from sim.files.mean_plane import mean_plane_read
        from sim.wear import draws

        if (self.dtv is None) != (self.dtv_km is None):
            raise BadInput(
                Fault("a thickness variation needs its distance", key="--dtv", allowed="--dtv UM --dtv-km KM")
            )
        self._refuse_slips()
        evidence = []
        if self.drag is not None:
            evidence.append(draws.Evidence("drag_nm", self.drag, 0.0, DRAG_DOUBT_NM))
        if self.dtv is not None and self.dtv_km is not None:
            evidence.append(draws.Evidence("dtv_um", self.dtv, self.dtv_km, DTV_DOUBT_UM))
        earlier = self._earlier(case, km)
        mounted = None if self.mounted is None else mean_plane_read(case, self.mounted)
        if mounted is not None and self.mounted is not None:
            refuse_slips(mounted.readings, self.mounted, "hub face")
            by_themselves, _ = as_it_counts(replace(mounted.readings, faults=()), case.limits)
            refuse_slips(by_themselves, self.mounted, "mounted", "hub face")
        bare = None if mounted is None else bare_hub(mounted.readings, case.limits)
        worn = None
        if self.worn is not None:
            worn = worn_rotor.worn_map(case, self.worn, self.worn_on)
        elif self.mounted is not None:  # the rotor that was read runs on, not a new one
            worn = worn_rotor.worn_map_beside(case, self.mounted, self.worn_on)
        return chain.Road(
            tuple(evidence),
            earlier,
            None if mounted is None else mounted.trace_um,
            None if worn is None else (tuple(map(float, worn.worn_um[0])), tuple(map(float, worn.worn_um[1]))),
            None if worn is None else worn.thickest_mm,
            "" if mounted is None else mounted.clamped_by,
            None if worn is None else worn.varies,
            None if worn is None else worn.thinnest_mm,
            "" if worn is None else f"thickness of the worn rotor: {worn.discard(case)}",
            10.0 if mounted is None else mounted.step_um,
            "" if mounted is None else mounted.which,
            "" if mounted is None else mounted.state,
            hub_as_read(bare),
            None if mounted is None else mounted.outboard_um,
            _unused_um(mounted) if mounted is not None else None if worn is None else worn.mounted_um,
            (0.0, 0) if mounted is None else _between(mounted),
            None if mounted is None else _faces_apart(case, mounted),
            None if mounted is None or mounted.better is None else mounted.better.studs_turned + 1,
            None if mounted is None else moved_next(mounted.readings, case.limits),
        )

    def _refuse_slips(self) -> None:
        """Refuse a figure that nothing at the car shows: too large, or so small that it was typed in another unit."""
        typed = (
            ("--drag", self.drag, LEAST_DRAG_NM, "N m; less than a spring balance shows is 0"),
            ("--dtv", self.dtv, LEAST_DTV_UM, "µm; 0.012 mm is 12"),
            ("--dtv-km", self.dtv_km, LEAST_DRIVEN_KM, "km; of the new rotor 0"),
        )
        for key, value, least, unit in typed:
            if value and not least <= value <= MOST_MEASURED:
                allowed = f"0, or {least:g} .. {MOST_MEASURED:g} {unit}"
                raise BadInput(Fault(f"{value:g} is out of range", key=key, allowed=allowed))

    def read_from(self) -> str:
        """Say which readings stand before the case's own title; empty where none was given."""
        given = [f"as read: {self.mounted.name}"] if self.mounted is not None else []
        given += [f"worn as read: {self.worn.name}"] if self.worn is not None else []
        return "; ".join(given)


def _unused_um(mounted: MeanPlane) -> float | None:
    """Runout of a turn that is not driven, as it counts against its limit. [um TIR]."""
    from sim.bench.between_places import counted_um

    one = mounted.unused
    return None if one is None else counted_um(one, mounted.readings.step_um(one))


def _between(mounted: MeanPlane) -> tuple[float, int]:
    """How much further its tops reach between the places of the turn that the limit is for, and its places. [um]."""
    from sim.bench.between_places import beyond_um

    one = mounted.outboard
    if one is None:
        return 0.0, 0
    return beyond_um(one, mounted.readings.step_um(one)), one.angle_deg.size


def _faces_apart(case: Case, mounted: MeanPlane) -> Uneven | None:
    """Thickness variation that the two faces tell, where both count; None too where a micrometer bears it out. [um]."""
    from sim.bench.judged_thickness import judged_thickness
    from sim.bench.two_faces import parted_um, varies_by
    from sim.corner.driven import reading_doubt_um

    one, other, found = mounted.outboard, mounted.inboard, mounted.readings
    if one is None or other is None:
        return None
    doubts = reading_doubt_um(case, found.step_um(one)), reading_doubt_um(case, found.step_um(other))
    thick = found.thickness
    if thick is not None:
        micrometer = judged_thickness(found, thick, case.limits).doubt_um
        if not parted_um((one, other), thick, (*doubts, micrometer)):
            return None
    return varies_by(one, other, doubts, case.limits.dtv_um)


def hub_as_read(face: HubFace | None) -> BareHub | None:
    """The bare hub face as a run keeps it."""
    from sim.corner.driven import BareHub

    if face is None:
        return None
    kept = (face.runout_um, face.uncertainty_um, face.limit_um, face.radius_mm)
    return BareHub(*kept, face.counted, face.to_look_at, face.as_found)


@dataclass(frozen=True)
class RoadTest:
    """What was noticed on the road: it weighs the order."""

    only_braking: Annotated[bool | None, Parameter(help="Felt under braking only, or not only.")] = None
    felt_speed: Annotated[float | None, Parameter(help="Speed at which it is felt most [km/h].")] = None
    felt_at: Annotated[Literal["pedal", "wheel", "seat"] | None, Parameter(help="Where it is felt.")] = None
    when: Annotated[Literal["cold", "hot", "both"] | None, Parameter(help="When it is there.")] = None

    def weighed(self, case: Case, forecast: Any) -> Weighed | None:
        """Weigh the orders; None where nothing was said. Bad words are refused before anything is computed."""
        from sim.wear import judder, road_test

        if self == RoadTest():
            return None
        if self.felt_speed is not None and 0 < self.felt_speed < SLOWEST_FELT_KM_H:
            allowed = f"{SLOWEST_FELT_KM_H:g} km/h or more"
            raise BadInput(Fault(f"{self.felt_speed:g} is out of range", key="--felt-speed", allowed=allowed))
        test = road_test.RoadTest(self.only_braking, self.felt_speed, self.felt_at, self.when)
        torque = None
        if forecast is not None:
            peak = int(forecast.dtv_um.argmax())
            torque = forecast.torque_variation_nm[peak]
        return road_test.weigh(test, torque, judder.modes_of(case)[0], case.drive.revolutions_per_km, case.axle)
