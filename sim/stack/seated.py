"""Drawn corners seated: as found, cleaned, indexed and both, as a dial reads them and as they are driven.

What leans as a whole is added, not solved: the hub face's runout carries the rotor with it as a plane, the rotor's own
runout turns with the rotor. So a corner is seated once for its dirt and once cleaned, and every stud position follows
from these two by superposition; only dirt on the rotor, which goes round with it, is seated at each position.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from sim import turn
from sim.arrays import Complexes, Floats
from sim.corner.road_state import as_driven
from sim.errors import BadInput, Refused
from sim.one_thread import one_thread
from sim.parts.case import Caliper, Case, Drive, Pads
from sim.parts.checked import with_known_right
from sim.seating.dial_trace import TRACE_POINTS, own_wave_um
from sim.seating.lying_between import turn_rad
from sim.seating.seat import seated_traces_um
from sim.stack.draw import Drawn, case_of
from sim.stack.population import Population

#: What is done to a corner before it is read.
CURES = ("found", "cleaned", "indexed", "both")
AT_ONCE = 64  # corners that are seated together
ORDERS = 24  # of each seated trace that are kept
_ANGLES = 2.0 * np.pi * np.arange(TRACE_POINTS) / TRACE_POINTS
PADS, CALIPER, DRIVE = Pads(), Caliper(), Drive()  # any will do: on the hub they count for nothing
_TURN = np.stack([np.cos(_ANGLES), -np.sin(_ANGLES)])


@dataclass(frozen=True)
class Wanted:
    """What is computed of every corner.

    Parameters
    ----------
    preset : {"fast", "standard", "fine"}
    driven : bool
        As driven too, wheel on.
    cures : bool
        Cleaned, indexed and both too.
    """

    preset: str = "fast"
    driven: bool = True
    cures: bool = True


@dataclass(frozen=True, eq=False)
class Rows:
    """Outcomes of a block of corners.

    Parameters
    ----------
    first : int
        Number of the first corner.
    columns : mapping of str to ndarray, shape (corners,)
        ``found_um``, ``cleaned_um``, ``indexed_um``, ``both_um`` and the same with ``_driven_um``: TIR at the dial; not
        a number where the corner could not be seated. ``position`` and ``position_cleaned``: studs turned of the best
        position. ``first_cos_um``, ``first_sin_um``: first order of the corner as found and read, HUB frame.
    orders : mapping of str to ndarray of complex, shape (corners, `ORDERS` + 1)
        Of the seated trace alone (no lean of the hub face, no runout of the rotor's own), HUB frame. [um]
    reasons : tuple of (int, str)
        Corners that are no figure, by their number, with the reason; those that are not fit to drive as drawn (their
        reason begins with `sim.corner.road_state.UNFIT`) are no figure as driven only.
    """

    first: int
    columns: Mapping[str, Floats]
    orders: Mapping[str, Complexes] = field(repr=False)
    reasons: tuple[tuple[int, str], ...] = ()

    @property
    def size(self) -> int:
        """Corners."""
        return int(self.columns["found_um"].size)


@one_thread
def seat_drawn(population: Population, drawn: Drawn, wanted: Wanted, memory: Memory | None = None) -> Rows:
    """Seat corners that were drawn.

    Parameters
    ----------
    population : Population
    drawn : Drawn
    wanted : Wanted
    memory : dict, optional
        Seatings that are known already; what is seated here is added.

    Returns
    -------
    Rows
        The same to the bit wherever it is computed, on one kind of processor.

    Notes
    -----
    Traces in um at the dial. Seating by `sim.seating.seat.seated_traces_um`, the vectors by superposition
    (tests/unit/test_stack.py holds both against a corner seated whole).
    """
    memory = {} if memory is None else memory
    names = [*CURES] if wanted.cures else ["found"]
    out = {f"{name}_um": np.full(drawn.size, np.nan) for name in names}
    if wanted.driven:
        out |= {f"{name}_driven_um": np.full(drawn.size, np.nan) for name in names}
    for name in ("position", "position_cleaned", "first_cos_um", "first_sin_um"):
        out[name] = np.full(drawn.size, np.nan)
    orders = {name: np.full((drawn.size, ORDERS + 1), np.nan + 0j) for name in ("found", "cleaned", *_driven(wanted))}
    reasons: list[tuple[int, str]] = []
    rows = _by_geometry(population, drawn)
    for first in range(0, len(rows), AT_ONCE):
        corners = {}
        for row in rows[first : first + AT_ONCE]:
            try:
                corners[row] = _Corner(population, drawn, row, wanted)
            except (BadInput, Refused) as error:
                reasons.append((drawn.first + row, str(error)))
        _seat_together([corner.asked() for corner in corners.values()], wanted.preset, memory)
        for row, corner in corners.items():
            try:
                for name, value in corner.outcome(memory).items():
                    out[name][row] = value
                for name, sits in corner.sits.items():
                    orders[name][row] = _hub_orders(sits)
                if corner.unfit:
                    reasons.append((drawn.first + row, corner.unfit))
            except (BadInput, Refused) as error:
                for column in out.values():
                    column[row] = np.nan
                reasons.append((drawn.first + row, str(error)))
    return Rows(drawn.first, out, orders, tuple(sorted(reasons)))


def _seat_together(asked: Sequence[Sequence[Case]], preset: str, memory: Memory) -> None:
    """Seat what corners ask for and nobody knows yet."""
    new = list(dict.fromkeys(case for of_one in asked for case in of_one if case not in memory))
    for case, found in zip(new, seated_traces_um(new, preset), strict=True):
        # Without its traceback, which would keep alive all that it passed.
        memory[case] = found.with_traceback(None) if isinstance(found, Exception) else Sits(found, turn_rad(case))


def _driven(wanted: Wanted) -> tuple[str, ...]:
    return ("found_driven", "cleaned_driven") if wanted.driven else ()


def _by_geometry(population: Population, drawn: Drawn) -> list[int]:
    """Rows so that corners which bend alike follow each other: a prepared pair is kept for a few of them only."""
    keys = [one.key for one in population.spreads if one.levels]
    rows = list(range(drawn.size))
    return sorted(rows, key=lambda row: tuple(float(drawn.columns[key][row]) for key in keys)) if keys else rows


@dataclass(frozen=True, eq=False)
class Sits:
    """A seated trace without its vectors, and by how much the rotor was turned on the hub when it was seated.

    Parameters
    ----------
    trace_um : ndarray, shape (360,)
        ROTOR frame. [um]
    turned_rad : float
    """

    trace_um: Floats
    turned_rad: float


def bare(case: Case) -> Case:
    """Return a corner without what is added as vectors or counts on the road only: hub face and rotor true."""
    return with_known_right(
        case,
        pads=PADS,
        caliper=CALIPER,
        drive=DRIVE,
        hub=with_known_right(case.hub, face_runout_um=0.0, face_high_spot_deg=0.0, spigot_fit=None),
        rotor=with_known_right(
            case.rotor,
            own_runout_um=0.0,
            own_high_spot_deg=0.0,
            own_thickness_variation_um=0.0,
            own_thick_spot_deg=0.0,
        ),
    )


def hub_wave_um(case: Case) -> complex:
    """First order that a leaning hub face gives at the dial, HUB frame. [um]. Geometry: a lean grows with radius."""
    lean = case.hub.face_runout_um / 2.0 * case.gauge_radius_mm / case.hub.read_radius_mm
    return complex(lean * np.exp(-1j * np.radians(case.hub.face_high_spot_deg)))


def added_up_um(sits: Sits, hub_um: complex, own_um: complex, at_rad: float) -> Floats:
    """Trace of a seated corner with its vectors, the rotor turned to a position.

    Parameters
    ----------
    sits : Sits
    hub_um, own_um : complex
        First order of the hub, HUB frame, and of the rotor, ROTOR frame. [um], amplitude
    at_rad : float
        By how much the rotor is turned on the hub. [rad]

    Returns
    -------
    ndarray, shape (360,)
        [um]; steps of a degree from where the seated trace begins.

    Notes
    -----
    Superposition: exact, since a plane added to all heights is a rigid motion, and the rotor's own error is read with
    it.
    """
    wave = hub_um * np.exp(1j * sits.turned_rad) + own_um * np.exp(1j * (sits.turned_rad - at_rad))
    return sits.trace_um + wave.real * _TURN[0] + wave.imag * _TURN[1]


#: Seatings that are known already, by the corner without its vectors; why, where there is none.
Memory = dict[Case, Sits | BadInput | Refused]


class _Corner:
    """One drawn corner: seated in the states that are wanted, then read at every stud position."""

    def __init__(self, population: Population, drawn: Drawn, row: int, wanted: Wanted) -> None:
        self.case = case_of(population, drawn, row)
        clean = case_of(population, drawn, row, cleaned=True) if wanted.cures else self.case
        self.wanted = wanted
        self.vectors = (
            hub_wave_um(self.case),
            own_wave_um(self.case.rotor, self.case.gauge_radius_mm, self.case.gauge.face),
        )
        here = self.case.studs.studs_turned
        self.positions = self.case.studs.positions if wanted.cures else (here,)
        # Its nuts, so it is unfit cleaned as well; what the dial reads still counts.
        self.unfit = _unfit(self.case) if wanted.driven else ""
        states = {"found": self.case, "cleaned": clean} if wanted.cures else {"found": self.case}
        self.seated = {name: self._everywhere(case, bare) for name, case in states.items()}
        if wanted.driven and not self.unfit:
            for name, case in states.items():
                self.seated[f"{name}_driven"] = self._everywhere(case, lambda one: bare(as_driven(one)))
        self.sits: dict[str, Sits] = {}

    def _everywhere(self, case: Case, seated: Callable[[Case], Case]) -> dict[int, Case]:
        """What is seated for each stud position."""
        if not _goes_round(case):
            return dict.fromkeys(self.positions, seated(case))
        studs = case.studs
        return {
            position: seated(with_known_right(case, studs=with_known_right(studs, studs_turned=position)))
            for position in self.positions
        }

    def asked(self) -> list[Case]:
        """Everything that has to be seated for its outcome."""
        return [case for at in self.seated.values() for case in at.values()]

    def outcome(self, memory: Memory) -> dict[str, float]:
        """TIR in every state that is wanted, after every cure that is wanted. [um]."""
        here = self.case.studs.studs_turned
        read = self._spans("found", memory)
        trace = self.sits["found"]
        first = turn.harmonics(trace.trace_um, 1)[1] * np.exp(-1j * trace.turned_rad)
        first += self.vectors[0] + self.vectors[1] * np.exp(-1j * turn_rad(self.case))
        out = {"found_um": read[here], "first_cos_um": float(first.real), "first_sin_um": -float(first.imag)}
        cleaned = self._spans("cleaned", memory) if self.wanted.cures else read
        best, best_cleaned = _least(read), _least(cleaned)
        if self.wanted.cures:
            out |= {"cleaned_um": cleaned[here], "indexed_um": read[best], "both_um": cleaned[best_cleaned]}
            out |= {"position": float(best), "position_cleaned": float(best_cleaned)}
        if "found_driven" in self.seated:
            road = self._spans("found_driven", memory)
            out["found_driven_um"] = road[here]
            if self.wanted.cures:  # indexed by what the dial reads, then driven
                after = self._spans("cleaned_driven", memory)
                out |= {"cleaned_driven_um": after[here], "indexed_driven_um": road[best]}
                out["both_driven_um"] = after[best_cleaned]
        return out

    def _spans(self, name: str, memory: Memory) -> dict[int, float]:
        """TIR at each stud position."""
        out = {}
        studs = self.case.studs
        for position, case in self.seated[name].items():
            sits = memory[case]
            if isinstance(sits, Exception):
                raise sits
            if position == studs.studs_turned:
                self.sits[name] = sits
            out[position] = turn.tir(added_up_um(sits, *self.vectors, 2 * np.pi * position / studs.count))
        return out


def _goes_round(case: Case) -> bool:
    """Whether anything but the rotor's own runout turns with the rotor, so that each position is seated anew."""
    if case.rotor.flange_saddle_um:
        return True
    return case.rotor_topography is not None or any(patch.on == "rotor" for patch in case.debris)


def _unfit(case: Case) -> str:
    """Why a corner is not fit to drive, as `as_driven` says it; empty where it is."""
    try:
        as_driven(case)
    except Refused as error:
        return str(error)
    return ""


def _least(spans: Mapping[int, float]) -> int:
    return min(spans, key=lambda position: (spans[position], position))


def _hub_orders(sits: Sits) -> Complexes:
    orders = turn.harmonics(sits.trace_um, ORDERS)
    out: Complexes = orders * np.exp(-1j * np.arange(ORDERS + 1) * sits.turned_rad)
    return out
