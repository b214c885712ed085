"""A strip of steel foil between hub face and rotor, on a stand: how it lies, what presses it, which is prescribed.

A test of the model against a dial: a foil of known thickness at a known place is dirt of which everything is known.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim import turn
from sim.arrays import Floats
from sim.bench.mountings import SCATTER_UM, TOLD
from sim.corner.road_state import as_driven, unfit_as_read
from sim.errors import BadInput, Fault, Refused
from sim.files.clean_turn import reading_sd
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris
from sim.seating.carried import INDENTS_MPA
from sim.seating.seat import Seat, seat

PRESET = "fast"
STEEL_MPA = 205_000.0  # Young's modulus of spring steel; from memory
#: Thicknesses in which feeler strip is sold; from memory. [um]
STOCK_UM = (30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 120.0, 150.0, 200.0)
THICKNESS_UM = (10.0, 300.0)  # thinner creases as it is cut, thicker is no foil; judgement
WIDTH_MM, LENGTH_MM = 12.7, 12.0  # half-inch strip, from memory; along the radius, judgement 8 .. 16
SIZE_MM = (4.0, 30.0)  # smaller cannot be placed to a millimetre, larger bridges stud holes; judgement
EDGE_MM = 1.0  # the strip ends this far inside the face's edge, so that a finger feels it is in; judgement
HOLE_MM = 2.0  # and stays this far from a stud hole; judgement
# Highest pressure on a cell of the foil: metal is indented at `INDENTS_MPA`. Judgement, 500 .. 900 MPa.
MOST_MPA = 0.6 * INDENTS_MPA
PLACES, DIAL_UM = 12, 10.0  # readings a turn, and a workshop dial, unless a table says otherwise
BARE_TURNS = 2  # one before the foils and one after them
# The weakest trial reads at least so many times what the dial and putting on again make by themselves; judgement.
OVER = 1.5
INWARD = 0.7  # of the way to the face's inner edge lies the strip further in; judgement 0.5 .. 1


@dataclass(frozen=True)
class Foil:
    """A strip of feeler foil on the hub face, one edge along the face's edge.

    Parameters
    ----------
    thickness_um : float
        By micrometer. [um]
    width_mm, length_mm : float
        Along the edge, and along the radius. [mm]
    angle_deg : float
        Of its middle, from stud 1, counter-clockwise from outside. [deg]
    outer_radius_mm : float
        Where it ends. [mm]
    """

    thickness_um: float
    width_mm: float
    length_mm: float
    angle_deg: float
    outer_radius_mm: float

    @property
    def middle_radius_mm(self) -> float:
        """Radius of its middle. [mm]. By definition."""
        return self.outer_radius_mm - self.length_mm / 2

    def lying(self, layer_n_mm3: float) -> Debris:
        """Return it as what lies between the faces: steel that does not crush, with the give of one more joint.

        Parameters
        ----------
        layer_n_mm3 : float
            Stiffness of one machined contact layer. [N/mm3]

        Notes
        -----
        A foil has two joints where bare faces have one; each gives by pressure over layer stiffness, the steel by
        thickness over Young's modulus (springs in series). The strip is laid as a sector of its own middle width.
        Closed form.
        """
        height = self.thickness_um / 1000.0
        modulus = height / (height / STEEL_MPA + 1.0 / layer_n_mm3)
        return Debris(
            kind="hard",
            angle_deg=self.angle_deg,
            arc_deg=float(np.degrees(self.width_mm / self.middle_radius_mm)),
            inner_radius_mm=self.outer_radius_mm - self.length_mm,
            outer_radius_mm=self.outer_radius_mm,
            height_um=self.thickness_um,
            modulus_mpa=modulus,
        )


@dataclass(frozen=True)
class Trial:
    """One mounting with foil: its name, and the foils that lie in it."""

    name: str
    foils: tuple[Foil, ...]


@dataclass(frozen=True)
class Worked:
    """What a trial does where everything is as written.

    Parameters
    ----------
    trial : Trial
    runout_um : float
        First order of what the foil adds. [um TIR]
    peak_mpa : float
        Highest pressure on a cell of the foil. [MPa]
    force_n : float
        What the foil carries. [N]
    """

    trial: Trial
    runout_um: float
    peak_mpa: float
    force_n: float


@dataclass(frozen=True)
class Prescription:
    """What is fitted, trial after trial.

    Parameters
    ----------
    case : Case
        Hub and rotor without any dirt, under nuts and spacers.
    worked : tuple of Worked
    alone_um : float
        What 95 of 100 turns without any foil stay under by dial and putting on again alone. [um TIR]
    """

    case: Case
    worked: tuple[Worked, ...]
    alone_um: float

    @property
    def trials(self) -> tuple[Trial, ...]:
        """The trials alone."""
        return tuple(one.trial for one in self.worked)

    def tells(self, number: int) -> bool:
        """Whether trial ``number`` (from 0) reads above what dial and putting on again make by themselves."""
        return self.worked[number].runout_um > self.alone_um


def stand_case(case: Case) -> Case:
    """Hub and rotor of a case as they stand on the bench for this: clean, nuts and spacers, no runout of their own.

    Their own runout is read before the foil and taken off as a vector; measured faces and dishes stay. Where the case
    holds its rotor by hand or unevenly, the torque of its road counts.

    Raises
    ------
    Refused
        If no torque is known that holds a wheel.
    """
    hub = replace(case.hub, face_runout_um=0.0, spigot_fit=None, spigot_diameter_mm=case.hub.spigot_diameter_mm)
    rotor = replace(case.rotor, own_runout_um=0.0, own_thickness_variation_um=0.0)
    held = as_driven(case).studs if unfit_as_read(case.studs) else case.studs
    studs = replace(held, clamped_by="nuts and spacers", studs_turned=0)
    return replace(case, hub=hub, rotor=rotor, studs=studs, debris=(), spigot_scale=())


def alone_um(dial_um: float = DIAL_UM, places: int = PLACES) -> float:
    """What dial and putting on again make by themselves of a turn less the mean of the bare turns. [um TIR].

    Notes
    -----
    Twice the 95 % circle (Rayleigh) of a first order: scatter of the mountings (`sim.bench.mountings.SCATTER_UM`,
    judgement) and least squares of even places (variance of a component 2 sd^2 / places).
    """
    one = SCATTER_UM[1] ** 2 + 2.0 * reading_sd(dial_um) ** 2 / places
    return float(2.0 * TOLD * np.sqrt(one * (1.0 + 1.0 / BARE_TURNS)))


def bare_apart_um(dial_um: float = DIAL_UM, places: int = PLACES) -> float:
    """By how much the two turns without foil may differ, once a turn, and still be the same mounting. [um TIR].

    Two single turns differ more than a turn does from the mean of two: `alone_um` with the larger variance. First
    order of the difference, 95 %: squares add (JCGM 100:2008).
    """
    return float(alone_um(dial_um, places) * np.sqrt(2.0 / (1.0 + 1.0 / BARE_TURNS)))


def series(
    case: Case, thickness_um: float, width_mm: float = WIDTH_MM, length_mm: float = LENGTH_MM
) -> tuple[Trial, ...]:
    """Trials with one strip: at the outer edge, across the hub, further in, and at both edges with two of them.

    Parameters
    ----------
    case : Case
    thickness_um, width_mm, length_mm : float
        The strip. [um, mm]

    Raises
    ------
    BadInput
        If a foil of that thickness or size is none.
    Refused
        If the hub face has no room for it between two studs.
    """
    faults = [
        Fault(f"{value:g} is out of range", key=key, allowed=f"{low:g} .. {high:g} {unit}")
        for key, value, (low, high), unit in (
            ("--thickness-um", thickness_um, THICKNESS_UM, "µm"),
            ("--width-mm", width_mm, SIZE_MM, "mm"),
            ("--length-mm", length_mm, SIZE_MM, "mm"),
        )
        if not low <= value <= high
    ]
    if faults:
        raise BadInput(faults)
    inner, outer = case.contact_zone_mm
    pitch = case.studs.pitch_deg
    outer_edge, inner_edge = outer - EDGE_MM, inner + EDGE_MM + length_mm
    if inner_edge > outer_edge - length_mm / 2:
        raise Refused(
            f"the faces meet over {outer - inner:.0f} mm of radius: no room for a strip of {length_mm:g} mm at two "
            f"places; cut it shorter than {(outer - inner - 2 * EDGE_MM) / 1.5:.0f} mm"
        )
    first, across = pitch / 2, pitch * (case.studs.count // 2 + 0.5)
    at_edge = Foil(thickness_um, width_mm, length_mm, first, outer_edge)
    opposite = replace(at_edge, angle_deg=across)
    further = replace(at_edge, outer_radius_mm=outer_edge - INWARD * (outer_edge - inner_edge))
    for foil in (at_edge, further):
        _need_room(case, foil)
    return (
        Trial("at the outer edge", (at_edge,)),
        Trial("across the hub", (opposite,)),
        Trial("further in", (further,)),
        Trial("two strips", (at_edge, opposite)),
    )


def _need_room(case: Case, foil: Foil) -> None:
    """Refuse a strip that reaches into a stud hole."""
    hole, pitch = case.rotor.hole_diameter_mm / 2 + HOLE_MM, case.studs.pitch_radius_mm
    half = np.radians(case.studs.pitch_deg / 2)
    near = float(np.clip(pitch * np.cos(half), foil.outer_radius_mm - foil.length_mm, foil.outer_radius_mm))
    apart = float(np.hypot(pitch * np.sin(half) - foil.width_mm / 2, pitch * np.cos(half) - near))
    if pitch * np.sin(half) <= foil.width_mm / 2 or apart < hole:
        raise Refused(f"a strip {foil.width_mm:g} mm wide reaches into a stud hole; cut it narrower")


@one_thread
def seated_with(case: Case, foils: tuple[Foil, ...]) -> Seat:
    """Seat a clean corner with foils between its faces.

    Raises
    ------
    Refused
        If the forces cannot seat it or no solution with proof is found.
    """
    layer = case.contact.layer_stiffness_n_mm3
    return seat(replace(case, debris=tuple(foil.lying(layer) for foil in foils)), PRESET)


@one_thread
def worked(case: Case, trials: tuple[Trial, ...]) -> tuple[Worked, ...]:
    """Work out what trials do where everything is as written; ``case`` as of `stand_case`.

    Raises
    ------
    Refused
        If one of them cannot be seated with proof.

    Notes
    -----
    First order of the outboard trace with the foil less that without it, um TIR; by superposition of
    traces, each a seating of `sim.seating.seat`. Pressure in MPa, force in N.
    """
    bare = seated_with(case, ()).outboard_um
    out = []
    for trial in trials:
        found = seated_with(case, trial.foils)
        on_foil = found.cells.pressure_mpa[found.cells.debris_index >= 0]
        change: Floats = found.outboard_um - bare
        out.append(
            Worked(
                trial,
                2.0 * float(abs(turn.harmonics(change, 1)[1])),
                float(on_foil.max(initial=0.0)),
                float(sum(found.contact.debris_force_n)),
            )
        )
    return tuple(out)


@one_thread
def prescribe(
    case: Case,
    thickness_um: float | None = None,
    width_mm: float = WIDTH_MM,
    length_mm: float = LENGTH_MM,
    trials: int = 3,
) -> Prescription:
    """Prescribe foils for a hub and rotor: a reading well above the dial's repeatability, at a modest pressure.

    Parameters
    ----------
    case : Case
        Its debris and own runouts are left out; studs, torque and geometry count.
    thickness_um : float, optional
        What the class has, by micrometer; chosen from `STOCK_UM` unless given. [um]
    width_mm, length_mm : float
        The strip. [mm]
    trials : int
        How many of the series, 1 to 4.

    Returns
    -------
    Prescription

    Raises
    ------
    BadInput
        For a strip that is none, or more trials than there are.
    Refused
        If no foil reads enough at a modest pressure, or there is no room for one.

    Notes
    -----
    The thinnest strip of the stock whose weakest trial reads `OVER` times what no foil would; where pressure forbids
    that, the thickest that it allows, as long as the first trial tells. Judgement.
    """
    stand = stand_case(case)
    floor = alone_um()
    if thickness_um is not None:
        found = worked(stand, _chosen(stand, thickness_um, width_mm, length_mm, trials))
        if (most := max(one.peak_mpa for one in found)) > MOST_MPA:
            raise Refused(
                f"a strip of {thickness_um:g} µm would be pressed with up to {most:.0f} MPa (at most {MOST_MPA:.0f}): "
                "it would mark the faces; take a thinner or a larger one"
            )
        return Prescription(stand, found, floor)
    best: tuple[Worked, ...] = ()
    for thickness in STOCK_UM:
        found = worked(stand, _chosen(stand, thickness, width_mm, length_mm, trials))
        if max(one.peak_mpa for one in found) > MOST_MPA:
            break
        best = found
        if min(one.runout_um for one in found) >= OVER * floor:
            break
    if not best or best[0].runout_um <= floor:
        raise Refused(
            f"no foil of stock reads above {floor:.0f} µm (dial and putting on again alone) at up to "
            f"{MOST_MPA:.0f} MPa here; try a longer or wider strip"
        )
    return Prescription(stand, best, floor)


def _chosen(case: Case, thickness_um: float, width_mm: float, length_mm: float, trials: int) -> tuple[Trial, ...]:
    every = series(case, thickness_um, width_mm, length_mm)
    if not 1 <= trials <= len(every):
        raise BadInput(Fault(f"{trials} is out of range", key="--trials", allowed=f"1 .. {len(every)}"))
    return every[:trials]
