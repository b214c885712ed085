"""What several mountings tell, in a technician's words: the action first, then the vectors, then what stays open."""

from __future__ import annotations

from collections.abc import Sequence

from scenes.words import words
from sim.bench.mountings import ONE_SCREW, SCREW_ONLY, WARP, ToldApart, Vector

DO = {
    "read again": "Read again before anything is blamed: {why}.",
    "another stud": (
        "Next: put the marked hole {studs_turned} studs on from stud 1, counter-clockwise, same torque, and read it "
        "again. From one stud position nothing parts hub from rotor."
    ),
    "clean": (
        "Next: rotor off, clean hub face, spigot and rotor seat, put it on at the same hole and read it again: what "
        "goes was dirt or scale."
    ),
    "bare hub": "Next: rotor off, read the bare hub face: it parts the face itself from what lies between.",
    "thickness": "Next: thickness by micrometer at the same places: it parts a worn rotor from one that leans.",
    "": "These readings tell all that such readings can; what is still open needs a part changed or a bearing checked.",
}
OPEN = "Cannot be told apart: {causes}."
NO_PRIOR = (
    "Only the readings speak here: no cause is called the likelier; --case FILE, the corner's geometry, ranks them. "
    "Half-widths hold 80 % "
    "(tests/studies/mountings.md). "
    "A dial reading does not say that the car is safe; the vehicle maker's limits stand above it."
)


def lead(told: ToldApart, doubts: Sequence[str]) -> str:
    """Say what to do next."""
    why = "; ".join([*contradictions(told), *doubts]) or "the mountings do not agree"
    return DO[told.next].format(studs_turned=told.next_studs_turned, why=why)


def sentences(told: ToldApart) -> list[str]:
    """Say what the readings tell, one sentence each, strongest first."""
    said = []
    parted = next((one for one in reversed(told.states) if 1 in one.hub), None)
    if parted is not None:
        state = words.clean(parted.state)
        said.append(f"Stays with the hub ({state}): {_share(parted.hub[1], told.studs)}{_of(told.hub_left)}")
        said.append(f"Goes with the rotor ({state}): {_share(parted.rotor[1], 0)}{_of(told.rotor_left)}")
        if 2 in parted.rotor and parted.rotor[2].told:
            said.append(
                f"Two humps go with the rotor: {_size(parted.rotor[2])}: {WARP}, or what it was pressed on while it "
                "wore."
            )
        if 2 in parted.hub and parted.hub[2].told:
            said.append(
                f"Two humps stay with the hub: {_size(parted.hub[2])}: something between the faces or an uneven hub "
                "face; a hint, no proof."
            )
    else:
        said.append(f"Hub and rotor are not told apart. {OPEN.format(causes=', '.join(told.hub_left))}")
    if told.bare is not None:
        said.append(f"The bare hub face makes {_share(told.bare, told.studs)} at the rim.")
    if told.beyond_face is not None:
        rest = told.beyond_face
        tells = (
            "something lies between, or holds the rotor off"
            if rest.told
            else "the face explains what stays with the hub"
        )
        said.append(f"Beyond its face {_share(rest, told.studs)} stays with the hub: {tells}.")
    if told.taken_off is not None:
        gone = told.taken_off
        tells = "that was dirt or scale" if gone.told else "no more than putting it on again does"
        said.append(f"Cleaning took away {_share(gone, told.studs)}: {tells}.")
    if told.thickness is not None and told.thickness.told:
        said.append(
            f"The thickness varies once a turn by {_size(told.thickness)}: it wears where it leans, or came so."
        )
    return said


def contradictions(told: ToldApart) -> list[str]:
    """Say what in the readings contradicts itself: nothing is blamed on such readings."""
    found = [
        f"mount {pair.mounts[1]} stands where mount {pair.mounts[0]} stood and reads "
        f"{words.micrometres(pair.apart_um)} apart "
        f"({words.micrometres(pair.expected_um)} is usual): dirt moved, or nuts pulled otherwise"
        for one in told.states
        for pair in one.returned
        if not pair.came_back
    ]
    found += [SCREW_ONLY for one in told.states if one.clamped_by == ONE_SCREW]
    found += [
        f"the mountings {words.clean(one.state)} fit no one hub and rotor" for one in told.states if one.contradict
    ]
    return found


def _of(left: Sequence[str]) -> str:
    return f". Open: {', '.join(left)}." if left else ". Nothing to explain there."


def _size(one: Vector) -> str:
    return f"{one.runout_um:.0f} ± {one.half_um:.0f} µm"


def _share(one: Vector, studs: int) -> str:
    """Size with its half-width, and where: at the hub also by the nearest stud."""
    if not one.told or one.high_spot_half_deg is None:
        return f"{_size(one)}, no more than its uncertainty"
    where = f"high spot at {one.high_spot_deg:.0f} ± {one.high_spot_half_deg:.0f}°"
    if studs:
        nearest = round(one.high_spot_deg / (360.0 / studs)) % studs + 1
        return f"{_size(one)}, {where} on the hub (nearest stud {nearest})"
    return f"{_size(one)}, {where} from the marked hole"


def rows(told: ToldApart) -> list[tuple[str, ...]]:
    """Rows of the table: each mounting as it was read."""
    return [
        (str(mount), words.clean(one.state), str(turned), words.micrometres(read))
        for one in told.states
        for mount, turned, read in zip(one.mounts, one.positions, one.read_um, strict=True)
    ]
