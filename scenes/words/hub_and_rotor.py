"""What several mountings tell of hub, rotor and dirt: each share, what cleaning took, what cannot be told apart."""

from __future__ import annotations

from collections.abc import Sequence

from scenes.words import bare_face, words
from scenes.words.stays_on_hub import size as _size
from sim.bench import which_share
from sim.bench.between_places import HUMPS
from sim.bench.mountings import ROTOR_SIDE, WARP
from sim.bench.next_act import Act
from sim.bench.told_by_mountings import Apart, ToldApart, Vector
from sim.files.readings_rows import AGAIN, CLEAN_STATES
from sim.parts.case import HUB_FACE_LIMIT_UM
from sim.parts.dial import ABOVE, BELOW, TOO_CLOSE, beside_limit
from sim.parts.thickness import PLACES

#: What a second cleaning did, beside the reading before it.
TOOK_MORE = (
    "The second cleaning moved it by {took}, dirt that the first left or how it sat: {mounts} read before it and count "
    "no more; the shares are read anew."
)
STONED = (
    "The second cleaning took away {took}, towards the metal that was stoned off the bare hub face: {mounts} read over "
    "that and count no more; the shares are read anew."
)
TOOK_NOTHING = "The second cleaning took away {took}, not told from none: what is left is no dirt that a brush takes."
OPEN = "Cannot be told apart: {causes}."
HUB_LINE = (
    "Bare hub face, read at {radius}: {read} ± {half:.0f} µm (k = 2{mean}), {against}, {limit} µm "
    "there{whose}. {lean} brings {at_gauge:.0f} ± {at_gauge_half:.0f} µm (k = 2) at the rotor's dial, {gauge}."
)
HUB_AGAINST = {
    ABOVE: "over its limit",
    "just above": "just over its limit",
    "at": "at its limit",
    BELOW: "below its limit",
    TOO_CLOSE: "whether over or under cannot be told, at or near its limit",
}
#: What keeps the uncertainty of a face near its limit up, however often it is read.
HUB_KEPT = (
    " Repeats by one dial lessen it; what that errs by along its travel and creeps in a turn stays in that ±, and the "
    "first place read once more, at 360°, lessens the creep."
)
#: Said of a face that is over its limit by its second wave, its lean being below.
HUB_WAVY = " That is with its second wave: raised metal round a stud, rust or a bent flange."
#: Said of a face whose lean is below its limit where the dial showed more.
HUB_UNEVEN = " That is as the dial showed it{more}."
HUB_NOT_LOOKED = "before somebody looked at it neither over nor under its limit"
HUB_NOT_CLEAN = "as found, before it is read clean neither over nor under its limit"
#: Of a clean turn at few places: what so many humps draw between them no reading shows.
UNSEEN = "Read at {places} places, a turn hides {humps} humps and more between them: {enough} places show them."
NOT_TOLD = "not told from none"  # the half-width holds 80 %, and more is wanted before a share is told
#: What cleaning uncovered: neither share held before what it took.
HID = (
    "What cleaning took had hidden something. If it lay on the hub, {share} stays with the hub; if on the rotor, as "
    "much goes with the rotor. The bare hub face tells"
)
#: In place of all shares while a turn that they rest on is under suspicion.
WAIT = "What stays with the hub, goes with the rotor or was cleaned off is not told before what is open was read again."
EITHER = " or, if it lay on the rotor's seat, at {deg}° from the painted hole (these studs do not tell which)"


def sizes(orders: Sequence[Vector]) -> str:
    """Sizes of one hump a turn and of two, where those are told."""
    humps = (_size(one) if order == 0 else f"two humps of {_size(one)}" for order, one in enumerate(orders))
    return " and ".join(humps)


def between_places(told: ToldApart) -> str:
    """Say what few places of the rotor as it stands may hide: two humps that reach further, and more of them unseen.

    Empty where they do not.
    """
    now, said = told.states[-1].now, []
    if now.between_um:
        shown_um = now.read_um - now.between_um
        said.append(f"{words.capital(HUMPS.format(read=shown_um, places=now.places, by=now.between_um))}.")
    if 0 < now.places < PLACES and told.states[-1].state in CLEAN_STATES:
        said.append(UNSEEN.format(places=now.places, humps=now.places // 2, enough=PLACES))
    return " ".join(said)


def hub_line(todo: Act) -> str:
    """Say where the bare hub face stands against its limit, with the place of every figure; empty where not read."""
    face = todo.hub_face
    if face is None:
        return ""
    digits = bare_face.told_by(face)
    line = HUB_LINE.format(
        read=f"{face.runout_um:.{digits}f}",
        half=face.uncertainty_um,
        mean=f"; middle of {face.turns} turns" if face.turns > 1 else "",
        lean="As much lean" if face.runout_um == face.lean_um else f"Its lean alone, {face.lean_um:.0f}{words.GAP}µm,",
        radius=words.with_unit(face.radius_mm, "mm"),
        at_gauge=face.lean_um * face.gauge_radius_mm / face.radius_mm,
        at_gauge_half=face.lean_uncertainty_um * face.gauge_radius_mm / face.radius_mm,
        gauge=words.with_unit(face.gauge_radius_mm, "mm"),
        against=(HUB_NOT_CLEAN if face.as_found else HUB_NOT_LOOKED)
        if face.to_look_at
        else HUB_AGAINST[beside_limit(face.runout_um, face.limit_um, face.state)],
        limit=f"{face.limit_um:.{digits}f}",
        whose=" (common practice)" if face.limit_um == HUB_FACE_LIMIT_UM else " (by the mounted one)",
    )
    if face.uneven:
        return line + HUB_UNEVEN.format(more=bare_face.more_than_a_lean(face))
    return (
        line
        + (HUB_WAVY if face.wavy else "")
        + (HUB_KEPT if face.state == TOO_CLOSE and not (face.as_found or face.coarse) else "")
    )


def sentences(told: ToldApart, wait: bool = False) -> list[str]:
    """Say what the readings tell, one sentence each, strongest first.

    Parameters
    ----------
    told : ToldApart
    wait : bool
        Whether shares wait for what is read again: `sim.bench.shares_wait`.
    """
    bare = (
        [] if told.bare is None else [f"At the rotor's dial the bare hub face makes {_share(told.bare, told.studs)}."]
    )
    shares = [WAIT, *bare] if wait else [*_parted(told), *bare, *_beyond(told), *_taken(told)]
    if told.thickness is not None and told.thickness.told:
        thickest = f"{told.thickness.high_spot_deg:.0f}° from the painted hole"
        shares.append(f"The thickness varies once a turn, thickest at {thickest}: it wears where it leans, or came so.")
    return shares


def _parted(told: ToldApart) -> list[str]:
    """Say what stays with the hub and what goes with the rotor, or that nothing parts them."""
    said = []
    parted = next((one for one in reversed(told.states) if 1 in one.hub), None)
    if parted is not None:
        said += _overtaken(told, parted) if told.states[-1].state in CLEAN_STATES else []
    if parted is not None and not said:
        state = words.clean(parted.state)
        hub, rotor = _of(told.hub_left, parted.hub.get(2)), _of(told.rotor_left, parted.rotor.get(2))
        said.append(f"Stays with the hub ({state}): {_share(parted.hub[1], told.studs)}{hub}")
        said.append(f"Goes with the rotor ({state}): {_share(parted.rotor[1], 0)}{rotor}")
        if 2 in parted.rotor and parted.rotor[2].told:
            said.append(
                f"Two humps go with the rotor: {_size(parted.rotor[2])}: {WARP}, {_on_seat(parted)}or worn so "
                "on an uneven seat, then its thickness at those places tells; a hint, no proof."
            )
        if 2 in parted.hub and parted.hub[2].told:
            said.append(
                f"Two humps stay with the hub: {_size(parted.hub[2])}: something between the faces or an uneven hub "
                "face; a hint, no proof."
            )
    elif parted is None:
        said.append(f"Hub and rotor are not told apart. {OPEN.format(causes=', '.join(told.hub_left))}")
    return said


def _beyond(told: ToldApart) -> list[str]:
    """Say what stays with the hub and is not its face."""
    parted = next((one for one in reversed(told.states) if 1 in one.hub), None)
    overtaken = parted is not None and parted.state not in CLEAN_STATES and told.states[-1].state in CLEAN_STATES
    rest = told.stayed_beyond if overtaken else told.beyond_face  # what cleaning took is not there any more
    if rest is None:
        return []
    tells = (
        "something lies between, or holds the rotor off"
        if rest.told
        else "the face explains what stays with the hub"
        if told.bare is None or told.bare.told or told.bare.half_um < rest.runout_um / 2
        else "the face, hardly known itself, may explain what stays with the hub"
    )
    return [f"With the hub, beyond its face: {_stays(rest, told)}; {tells}."]


def _taken(told: ToldApart) -> list[str]:
    """Say what cleaning took away, the first and the second."""
    first = [] if told.taken_off is None else [_taken_off(told, told.taken_off)]
    return [*first, *_second_cleaning(told)]


def _second_cleaning(told: ToldApart) -> list[str]:
    """Say what a second cleaning took away; nothing where nobody did, or nothing clean was read before it."""
    if told.again is None or not told.again.took:
        return []
    took, over = sizes(which_share.shares(told.again.took)), told.again.over_dirt
    if not told.again.went:
        return [TOOK_NOTHING.format(took=took)]
    verb = "mount {} was" if len(over) == 1 else "mounts {} were"
    said = STONED if told.again.stoned else TOOK_MORE
    return [said.format(took=took, mounts=verb.format(" and ".join(map(str, over))))]


def _on_seat(parted: Apart) -> str:
    """What else draws two humps that go with the rotor, and may still lie there."""
    left = "that cleaning left " if parted.state in CLEAN_STATES else ""
    return f"dirt or rust {left}on its seat "


def _overtaken(told: ToldApart, parted: Apart) -> list[str]:
    """Say what the shares were before cleaning, and what stays of the hub's; nothing where they were read since."""
    if parted.state in CLEAN_STATES or told.stayed is None:
        return []
    before = (
        f"Before cleaning {_size(parted.hub[1])} stayed with the hub and {_size(parted.rotor[1])} went with the rotor; "
        "cleaning has overtaken that, and from one stud since then the shares are not told apart."
    )
    if told.hid:
        return [before, HID.format(share=_share(told.stayed, told.studs)) + _of(told.hub_left)]
    return [
        before,
        f"With the hub still: {_stays(told.stayed, told)}{_of(told.hub_left)}",
    ]


def nothing_taken(told: ToldApart) -> bool:
    """Whether it reads after cleaning as before, and nobody tightened it anew since."""
    again = any(one.state == "retorqued" for one in told.states)
    return told.taken_off is not None and not told.taken_off.told and not again


def _taken_off(told: ToldApart, gone: Vector) -> str:
    """Say what cleaning took, on the part where it lay; on both where no stud tells that."""
    again = any(one.state == "retorqued" for one in told.states)  # else the nuts were pulled anew with it
    did = "Cleaning" if again else "Cleaning and tightening anew"
    if not gone.told:
        return f"{did} took away {_size(gone)}, {NOT_TOLD}: no more than putting it on again does."
    was = "dirt or scale, or how it sat" if again else "dirt or scale, nuts that pulled unevenly, or how it sat"
    if told.taken_from == ROTOR_SIDE:
        return f"{did} took away {_share(gone, 0)}, where it went with the rotor: dirt or rust on the rotor's seat."
    either = (
        ""
        if told.taken_from
        else EITHER.format(deg=round(gone.high_spot_deg - 360.0 * told.taken_at / told.studs) % 360)
    )
    return f"{did} took away {_share(gone, told.studs)}{either}: {was}."


def _of(left: Sequence[str], two: Vector | None = None) -> str:
    """Causes that stay open of a share; where two humps are told beside it, it is the lean that has none."""
    if left:
        return f". Open: {', '.join(left)}."
    return ". No lean to explain there." if two is not None and two.told else ". Nothing to explain there."


def still_named(one: Vector, told: ToldApart) -> str:
    """Size of what stays on clean faces: from one clean stud it is the least that may, told as a bound alone.

    Dirt that lay on hub and rotor may have taken more from either than cleaning took from their sum.
    """
    if any(1 in state.hub for state in told.states if state.state in CLEAN_STATES):
        return _size(one)
    return f"{max(one.runout_um - one.half_um, 0.0):.0f} µm or more (unless dirt lay on both parts)"


def _stays(one: Vector, told: ToldApart) -> str:
    """The same with its place; what is not told has neither."""
    if not one.told or one.high_spot_half_deg is None:
        return _share(one, told.studs)
    return f"{still_named(one, told)}, {_share(one, told.studs).partition(', ')[2]}"


def _share(one: Vector, studs: int) -> str:
    """Size with its half-width, and where: at the hub also by the nearest stud."""
    if not one.told or one.high_spot_half_deg is None:
        return f"{_size(one)}, {NOT_TOLD}"
    where = f"high spot at {one.high_spot_deg:.0f} ± {one.high_spot_half_deg:.0f}°"
    if studs:
        return f"{_size(one)}, {where} on the hub ({words.by_stud(one.high_spot_deg, studs)})"
    return f"{_size(one)}, {where} from the painted hole"


def rows(told: ToldApart) -> list[tuple[str, ...]]:
    """Rows of the table: each mounting as it was read."""
    return [
        (str(mount), state_of(told, mount, one.state), f"stud {turned + 1}", words.micrometres(read))
        for one in told.states
        for mount, turned, read in zip(one.mounts, one.positions, one.read_um, strict=True)
    ]


def state_of(told: ToldApart, mount: int, state: str) -> str:
    """State of a mount as its table calls it: cleaned a second time it counts as cleaned and has its own name."""
    return AGAIN if told.again is not None and mount in told.again.mounts else words.clean(state)
