"""A rotor seated with its spigot looked at: the one answer that every door gives, and what stands on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from sim.arrays import Floats, read_only
from sim.bodies.displacement import Deformation
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.contradictions import check_case
from sim.parts.spigot_room import hindrance
from sim.progress import Progress, need_listener, silent
from sim.seating.seat import Seat, on_face
from sim.spigot.fit_range import widened
from sim.spigot.state import (
    SpigotState,
    on_the_face,
    spigot_deformation,
    spigot_json,
    spigot_state,
    state_trace_um,
    state_word,
)


@dataclass(frozen=True, eq=False, repr=False)
class Seated(Seat):
    """A seating that knows how the rotor sits on its spigot.

    Traces, runout, fields and `face_trace` are those of that state: of the hub face alone where the bore has room,
    bowed where the nuts drew the rotor home over scale, leaning where it is jammed or held off. ``contact`` and
    ``cells`` are those of the hub face: nothing of them is said of a rotor that is not home (`is_home`).

    Parameters
    ----------
    state : SpigotState or None
        None where nothing lies on the spigot and no fit is given.
    """

    state: SpigotState | None = field(default=None, repr=False)

    @property
    def on_spigot(self) -> str:
        """The state in a word or two: home, off centre, forced home, held off, jammed; empty where none is known."""
        return "" if self.state is None else state_word(self.state)

    @property
    def is_home(self) -> bool:
        """Whether the mounting face lies on the hub face."""
        return self.state is None or self.state.home == "home"

    @property
    def spigot(self) -> Mapping[str, Any] | None:
        """What ``seat --json`` prints under ``spigot``; None where no state is known."""
        return None if self.state is None else widened(spigot_json(self.state), self.case)

    def face_trace(self, radius_mm: float, face: str = "outboard") -> Floats:
        """Mounted trace at any radius of a friction face, mean removed, ROTOR frame. Shape (360,). [um]."""
        found = None
        if self.state is not None:
            found = state_trace_um(self.case, self.state, radius_mm, face, self.preset)
        return super().face_trace(radius_mm, face) if found is None else found

    def rotor_deformation(self) -> Deformation:
        """Displacement of the whole rotor, rigid motion in, HUB frame."""
        return self._field("rotor") or super().rotor_deformation()

    def hub_deformation(self) -> Deformation | None:
        """Displacement of the hub, HUB frame; None where it is rigid."""
        return self._field("hub") or super().hub_deformation()

    def _field(self, which: str) -> Deformation | None:
        if self.state is None or which in self.stored:
            return None
        return spigot_deformation(self.case, self.state, which, self.preset)

    def as_seat(self, **changes: Any) -> Seat:
        """Return the same seating as a plain `Seat`, as run folders keep it; changes are fields of `Seat`."""
        return Seat(**({one.name: getattr(self, one.name) for one in fields(Seat)} | changes))


@one_thread
def seat_corner(
    case: Case,
    preset: str = "standard",
    progress: Progress = silent,
    before: Seat | None = None,
    *,
    with_one_nut: bool = False,
    thorough: bool = True,
) -> Seated:
    """Seat a rotor on hub face and spigot.

    Parameters
    ----------
    case : Case
    preset : {"standard", "fast", "fine"}
    progress : callable(fraction, what), optional
    before : Seat, optional
        An earlier tightening of the same corner with the same debris: what it crushed stays crushed.
    with_one_nut, thorough : bool
        As `sim.spigot.state.spigot_state` has them; they widen or narrow what is said of the state, never a trace.

    Returns
    -------
    Seated
        ``seated.state`` is the `SpigotState` where scale lies on the spigot or a fit is given, else None;
        ``seated.on_spigot`` its name; ``seated.as_seat()`` a plain `Seat` with the traces of that state.

    Raises
    ------
    BadInput
        For a case that contradicts itself, a preset that does not exist.
    Refused
        If no nut is on, the forces cannot seat the rotor, no solution with proof is found, or a second tightening is
        asked of a rotor that scale on the spigot has a say in.

    Examples
    --------
    >>> from sim.parts.case import SpigotScale, Studs
    >>> scale = SpigotScale(angle_deg=180.0, arc_deg=120.0, height_um=115.0, to_face_mm=4.0)
    >>> seat_corner(Case(spigot_scale=(scale,), studs=Studs(torque_nm=2.0)), "fast").on_spigot
    'jammed'
    """
    need_listener(progress)
    check_case(case, harmless_too=False)
    if before is not None and (why := hindrance(case)):
        raise Refused(f"{why}: a second tightening is followed on a free bore only")
    found = on_face(case, preset, progress, before)
    if not case.spigot_scale and case.hub.spigot_fit is None:
        return _seated(found, None)
    state = spigot_state(case, preset, silent, with_one_nut, thorough, found)
    if on_the_face(state):
        return _seated(found, state)
    return _seated(
        found,
        state,
        outboard_um=state.outboard_um,
        inboard_um=state.inboard_um,
        thickness_um=state.outboard_um - state.inboard_um,
        lateral_runout_um=dict(state.lateral_runout_um),
    )


def _seated(found: Seat, state: SpigotState | None, **changes: Any) -> Seated:
    given = {one.name: getattr(found, one.name) for one in fields(Seat)} | changes
    return read_only(Seated(**given, state=state))
