"""One corner computed end to end: seated, clamped, driven, as one run that is shown or saved."""

from __future__ import annotations

import platform
from collections.abc import Mapping
from dataclasses import dataclass, replace
from importlib.metadata import PackageNotFoundError, version
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.corner.beside import Beside, beside
from sim.corner.driven import BareHub, Driven, MountedReading, driven, mean_plane_um, of_reading
from sim.corner.road_state import as_driven
from sim.corner.seated import seat_corner
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.contradictions import check_case
from sim.parts.dial import COVERAGE
from sim.parts.thickness import Uneven
from sim.progress import Progress, need_listener, silent
from sim.seating.seat import Seat
from sim.spigot.state import on_the_face
from sim.turn import tir
from sim.wear.asked import MOST_RUNOUT_UM, Settings
from sim.wear.draws import Evidence
from sim.wear.forecast import Forecast, drive

DEFAULT_KM = 30_000.0  # about two years of driving; judgement


@dataclass(frozen=True, eq=False, repr=False)
class Run:
    """A computed corner.

    Parameters
    ----------
    case : Case
    seat : Seat
    forecast : Forecast or None
        Left out where only the seating was asked for.
    versions : mapping of str to str
        What it was computed with.
    spigot : mapping, optional
        How the rotor sits on its spigot (``sim.spigot.state.spigot_json``, over its fit by
        ``sim.spigot.fit_range.widened``), where scale lies on it or a fit is given; then the seat's traces are those
        of that state.
    beside : Beside, optional
        What stands beside the seating: as driven, the range of unsettled dirt, clamp lost; left out where scale on the
        spigot has a say.
    as_driven : Driven, optional
        The corner as it is driven, from which the forecast starts; ``seat`` is the corner as it is read. None in runs
        of an earlier version, whose forecasts started from the seating as read.
    reading : MountedReading, optional
        What was read on the car, where the forecast starts from that instead.
    """

    case: Case
    seat: Seat
    forecast: Forecast | None
    versions: Mapping[str, str]
    spigot: Mapping[str, Any] | None = None
    beside: Beside | None = None
    as_driven: Driven | None = None
    reading: MountedReading | None = None

    def __repr__(self) -> str:
        """Say what is in it, each part in a line of its own."""
        return f"<Run of {self.case.title!r}: {self.seat!r}, {self.forecast!r}>"

    @property
    def started_from(self) -> str:
        """What the forecast starts from: ``as driven``, a ``reading``, or ``as read`` in runs of an earlier version."""
        if self.reading is not None:
            return "reading"
        return "as read" if self.as_driven is None else "as driven"


def versions() -> dict[str, str]:
    """Versions of this program and of what it stands on."""
    out = {"python": platform.python_version()}
    for name in ("trueseat", "numpy", "scipy", "scikit-fem"):
        try:
            out[name] = version(name)
        except PackageNotFoundError:
            out[name] = "not installed"
    return out


def pad_trace_um(seated: Seat) -> NDArray[np.float64]:
    """Mounted trace of the disc's mean plane, on which the pads tap. Shape (360,), ROTOR frame. [um]."""
    return mean_plane_um(seated)


def need_drivable(seated_um: NDArray[np.float64]) -> None:
    """Refuse to drive what the seating leans further than wear can be followed; as a reading it would be a slip.

    Raises
    ------
    Refused
        With the runout and what to do.
    """
    if tir(seated_um) > MOST_RUNOUT_UM:
        raise Refused(
            f"seated, the rotor runs out {tir(seated_um):.0f} µm between the pads: that is no corner to drive, "
            f"{MOST_RUNOUT_UM:g} µm is the most that wear is followed from; find and mend what leans it"
        )


@dataclass(frozen=True)
class Road:
    """What the forecast may be told besides the distance.

    Parameters
    ----------
    evidence : tuple of Evidence
        Measurements that narrow the band: one drag torque, one thickness variation at a known distance.
    so_far : Run, optional
        An earlier run of the same corner to go on from, with the identical result.
    mounted_um : tuple of float, optional
        Measured runout of the disc's mean plane, 360 values in the ROTOR frame, in place of the seated one. [um]
    mounted_by : str
        What held the rotor while that was read; empty where the readings do not say. Unless it was the wheel, the road
        starts from what corners that read alike do as driven.
    worn_um : tuple of two tuples of float, optional
        A worn rotor to start from: wear of the outboard and inboard face over one turn. [um]
    thickest_mm : float, optional
        Its thickness at the thickest place, in place of the rotor's; only what is left to wear depends on it.
    worn_varies : Uneven, optional
        Thickness variation of the readings behind it, with its uncertainty, for the verdict.
    worn_thinnest_mm : float, optional
        Its thinnest place, where the thickness itself was read.
    worn_mounted_um : float, optional
        Mounted runout in the same readings, where the road does not start from it. [um TIR]
    worn_said : str
        How its thickness stands against the discard thickness, in words; empty where nothing was read.
    mounted_step_um : float
        Step of the dial that ``mounted_um`` was read with.
    mounted_which : str
        Which of several mountings that is, in words.
    mounted_state : str
        In which it was read: ``as found``, ``cleaned`` ...; empty where nobody says.
    bare_hub : BareHub, optional
        The bare hub face, where it was read too.
    mounted_outboard_um : float, optional
        What the outboard face ran out, where both faces were read. [um TIR]
    mounted_between : (float, int)
        How much further its tops reach between few places of that turn [um], and how many places those are.
    faces_apart : Uneven, optional
        Thickness variation once a turn by the two faces that were read.
    better_stud : int, optional
        Stud, from 1, on which the same clean corner was read to run out less.
    move_to : int, optional
        Stud, from 1, to which these readings order the rotor moved, 0 for none: `sim.bench.moved_next`.
    """

    evidence: tuple[Evidence, ...] = ()
    so_far: Run | None = None
    mounted_um: tuple[float, ...] | None = None
    worn_um: tuple[tuple[float, ...], tuple[float, ...]] | None = None
    thickest_mm: float | None = None
    mounted_by: str = ""
    worn_varies: Uneven | None = None
    worn_thinnest_mm: float | None = None
    worn_said: str = ""
    mounted_step_um: float = 10.0
    mounted_which: str = ""
    mounted_state: str = ""
    bare_hub: BareHub | None = None
    mounted_outboard_um: float | None = None
    worn_mounted_um: float | None = None
    mounted_between: tuple[float, int] = (0.0, 0)
    faces_apart: Uneven | None = None
    better_stud: int | None = None
    move_to: int | None = None

    def reading(self, case: Case, progress: Progress) -> MountedReading | None:
        """What was read on the car, carried over to the road; None where nothing was."""
        if self.mounted_um is None:
            return None
        found = of_reading(case, np.array(self.mounted_um), self.mounted_by, self.mounted_step_um, progress=progress)
        outboard = self.mounted_outboard_um
        said = replace(found, which=self.mounted_which, state=self.mounted_state, bare_hub=self.bare_hub)
        between_um, places = self.mounted_between
        said = replace(said, outboard_um=outboard, between_um=between_um, places=places)
        return replace(said, faces_apart=self.faces_apart, better_stud=self.better_stud, move_to=self.move_to)

    def driven(
        self, case: Case, starts: Driven, reading: MountedReading | None, km: float, progress: Progress
    ) -> Forecast:
        """Drive a case under these facts; what they are is said in the forecast's notes."""
        assert starts.seat is not None
        runout, others = mean_plane_um(starts.seat), None if starts.wheel is None else starts.wheel.plane_um
        if reading is not None:
            runout, others = reading.start_um, reading.others_um
        else:
            need_drivable(runout)
        if self.thickest_mm is not None:
            case = replace(case, rotor=replace(case.rotor, thickness_mm=self.thickest_mm))
        earlier = None if self.so_far is None else self.so_far.forecast
        found = drive(
            case,
            runout,
            km,
            worn_um=None if self.worn_um is None else np.array(self.worn_um),
            settings=Settings(evidence=self.evidence, worn_varies=self.worn_varies),
            so_far=None if earlier is None else earlier.going_on,
            progress=progress,
            others_um=others,
        )
        notes = (*found.notes, *self._said(starts, reading))
        dtv = [one for one in self.evidence if one.kind == "dtv_um"]
        if dtv:
            doubt_um = COVERAGE * dtv[-1].uncertainty
            found = replace(found, read_on_the_way=Uneven(dtv[-1].value, doubt_um, case.limits.dtv_um))
        if self.worn_varies is None:
            return replace(found, notes=notes, worn_mounted_um=self.worn_mounted_um)
        return replace(
            found,
            notes=notes,
            worn_as_read_um=self.worn_varies.value_um,
            worn_doubt_um=self.worn_varies.doubt_um,
            worn_varies=self.worn_varies,
            worn_thinnest_mm=self.worn_thinnest_mm,
            worn_mounted_um=self.worn_mounted_um,
        )

    def _said(self, starts: Driven, reading: MountedReading | None) -> list[str]:
        said = []
        if reading is None:
            torque = " to ".join(
                f"{value:.0f}" for value in sorted({min(starts.road_torque_nm), max(starts.road_torque_nm)})
            )
            said.append(
                f"it starts from the seating as driven, wheel on at {torque} N m, not from the one held for reading"
            )
            if starts.wheel is not None:
                said.append(f"the wheel is in the band: {', '.join(starts.wheel.drawn)} drawn")
        else:
            low, middle, high = reading.driven_um
            under = f"driven from the reading, {reading.read_um:.0f} µm under {reading.clamped_by} "
            under += f"(so {reading.said_by}): "
            said.append(
                f"{under}± {reading.doubt_um:.0f} µm by its dial; how the next fitting seats is not in it"
                if reading.as_it_runs
                else f"{under}{middle:.0f} µm as driven, {low:.0f} to {high:.0f} µm in 80 % of corners that read alike"
            )
        if self.worn_um is not None:
            deep = np.array(self.worn_um).sum(axis=0)
            said.append(f"driven from a worn rotor, {np.ptp(deep):.0f} µm of thickness variation to begin with")
        return [*said, self.worn_said] if self.worn_said else said


@one_thread
def seated_alone(case: Case) -> Run:
    """Seat a corner as a picture needs it: with what stands off or scrapes on its spigot, nothing beside it.

    Raises
    ------
    BadInput, Refused
    """
    if case.spigot_scale or case.hub.spigot_fit is not None:
        return compute(case, None, fields_too=False)
    return Run(case, seat_corner(case, thorough=False).as_seat(), None, versions())


@one_thread
def compute(
    case: Case,
    km: float | None = DEFAULT_KM,
    preset: str = "standard",
    progress: Progress = silent,
    fields_too: bool = True,
    road: Road | None = None,
) -> Run:
    """Seat a corner, drive it, and recover the fields that pictures need.

    Parameters
    ----------
    case : Case
    km : float or None
        Distance to drive; None for the seating alone. [km]
    preset : {"standard", "fast", "fine"}
    progress : callable(fraction, what)
    fields_too : bool
        Recover the displacement of both bodies.
    road : Road, optional

    Returns
    -------
    Run

    Raises
    ------
    Refused
        If the rotor cannot be seated, is not home on its hub and should be driven, or a solve has no proof.

    Notes
    -----
    Each part's own source stands with it: `sim.seating`, `sim.spigot`, `sim.wear`, `sim.corner`.
    """
    need_listener(progress)
    road = Road() if road is None else road
    share = 1.0 if km is None else 0.4
    check_case(case, harmless_too=False)
    if km is not None and not case.spigot_scale:
        as_driven(case)  # what is not fit to drive is refused before anything is computed
    seated = seat_corner(
        case, preset, lambda done, what: progress(share * 0.6 * done, what), with_one_nut=km is None
    )  # fmt: skip
    on_road = driven(seated, lambda done, what: progress(share * (0.6 + 0.2 * done), what))
    if km is not None and on_road.seat is None:
        raise Refused(on_road.refused)
    extra = None
    if seated.state is None or on_the_face(seated.state):
        extra = beside(seated, (None if on_road.seat is None else on_road.seat.gauge_runout_um, on_road.refused))
    fields_of = {}
    if fields_too:
        progress(share * 0.8, "displacement fields")
        fields_of = {"rotor": seated.rotor_deformation(), "hub": seated.hub_deformation()}
    forecast, reading = None, None
    if km is not None:
        reading = road.reading(case, lambda done, what: progress(share, what))
        forecast = road.driven(case, on_road, reading, km, lambda done, what: progress(share + 0.6 * done, what))
    progress(1.0, "done")
    return Run(
        case, seated.as_seat(stored=fields_of), forecast, versions(), seated.spigot, extra, on_road, reading
    )  # fmt: skip
