"""Cures in their order where a corner was read: what its table orders, then what follows, with the stud's figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from sim.bench.bearing_asked import BOTH, NOTHING, ROCK_IT, UNDER_LOAD, before_the_wheel, for_play
from sim.bench.cures import STAMP, Cure, Found, index_cure, shim_cure, stud_place
from sim.bench.open_readings import open_readings
from sim.bench.stud_position import IndexResult
from sim.bench.taper_shims import ShimResult
from sim.causes import names
from sim.causes.decision import Decision
from sim.causes.one_act import has_play, rocked_first
from sim.parts.dial import ABOVE, TOO_CLOSE
from sim.parts.discard import is_stated

#: Cures with a figure of their own; no shim before either.
CLEAN, INDEX, PART, RENEW, BARE_HUB = "clean", "index", "part", "replace the rotor", "bare hub"
#: Of a hub that was rocked and has play.
PLAY = ("bearing", None, None, "judged under load as the vehicle maker says, hub or bearing renewed; then a new table")
#: Of turns that show play, or of which some were left out.
ROCK = ("rock the hub", None, None, "with play hub or bearing comes first; what is felt goes into the table's head")
#: Of a rotor that is left on: turns that read alike show no play of its bearing, and by hand it may feel tight.
BEFORE_THE_WHEEL: Mapping[str, str] = {
    NOTHING: "",
    ROCK_IT: "; before the wheel goes on the hub is rocked",
    UNDER_LOAD: "; before the wheel goes on the bearing is judged under load",
    BOTH: "; before the wheel goes on the hub is rocked, and its bearing judged under load",
}
#: When the rest follows where the stamp is read first.
OVER_IT = "only over its stamp"
#: What each act of a table is called among the cures, and what its line says; ``play`` is `PLAY_THEN` or nothing.
CALLED: Mapping[str, tuple[str, str]] = {
    names.READ_AGAIN: ("read again", "until then nothing is moved on these readings"),
    names.MEASURE + names.THICKNESS: ("thickness", "by micrometer at the same places, the rotor stays on"),
    names.MEASURE + names.FINER_MICROMETER: ("thickness", "once more, as said above: nothing is left on before that"),
    names.CLEAN: (CLEAN, "hub face, spigot and the rotor's flange, clean metal; then read again"),
    names.MEASURE + names.ANOTHER_STUD: ("another stud", "what turns with the rotor is the rotor's, the rest is not"),
    names.MEASURE + names.BACK: ("another stud", "back where it was read first"),
    names.MEASURE + names.BARE_HUB: (BARE_HUB, "rotor off, its clean face read: the hub, or what lies between"),
    names.MEASURE + names.FINER_DIAL: ("finer dial", "the rotor stays on, its nuts untouched"),
    names.MEASURE + names.RETORQUED: ("tighten anew", "the rotor not taken off, then read"),
    names.RETORQUE: ("tighten anew", "the rotor not taken off, then read"),
    names.MEASURE + names.RADIAL: ("read the rim", "whether it sits off centre"),
    names.MEASURE + names.INBOARD: ("read the inboard face", "lean from thickness"),
    names.MEASURE + names.OTHER_SIDE: ("read the axle's other side", "the same there"),
    names.MEASURE + names.SECOND_TURN: ("second turn", "as it stands, nothing touched, before the dial comes off"),
    names.LEAVE: ("leave it on", "the runout is done"),  # `BEFORE_THE_WHEEL`
    names.INDEX: (INDEX, ""),
    names.AT_LIMIT: ("at the limit", "no dial tells it from the limit: what that counts as is said above"),
    names.RENEW: (RENEW, "on a clean hub, both of the axle; the new one is read before it is fitted for good"),
    names.UNEVEN_COUNTED: (RENEW, "its thickness counts as over; the new one is read before it is fitted for good"),
    names.HUB_AND_BEARING: ("hub and bearing", "{play}the bare face; a new one begins a new table"),
    "": (PART, "{play}the part that is named above"),
    names.GAUGE: ("finer gauge", "no turn of these tells the rest, and nothing goes back on before that"),
    names.SCATTERS: ("bearing", "judged under load, then as said above; no reading is asked"),
    names.OPEN: (PART, "{play}what is named above"),
}  # fmt: skip
#: Of a rotor that is left on only where its bare hub face allows it.
HUB_FIRST = "only once its bare hub face was read out, as said above, and does not count as over its limit"
#: Of a bare face that was read, and that no fit acquits.
LOOKED_AT = "rotor off, its face looked at where the dial showed most, then read again"
CLEANED_FIRST = "rotor off, its face cleaned, then read again: as found dirt reads so too"
READ_ON = "rotor off, its face read on as said above: near its limit, or by too coarse a dial"
#: The same behind something else: nothing above says how.
READ_ON_THEN = "rotor off, its face, near its limit, read on with the finest dial at hand: the stud rests on it"
#: Of a bearing that is still to be checked for it.
PLAY_THEN = "bearing play, then "
#: What each of these changes nothing of, where more follows.
IF_SO: Mapping[str, str] = {
    "rock the hub": "where it has no play",
    "thickness": "where it is even",
    CLEAN: "if it reads the same once cleaned",
    "second turn": "where it reads alike",
    BARE_HUB: "where its turns still say so",
}


def cures_as_read(decided: Decision, index: IndexResult, shims: ShimResult | None, found: Found) -> tuple[Cure, ...]:
    """Say what is done, first what the table orders.

    Parameters
    ----------
    decided : Decision
        By the table.
    index : IndexResult
        Stud positions, the best of them the one that is ordered.
    shims : ShimResult or None
        Where steps can be bought.
    found : Found
        What is known of the move; a rotor that goes by its thickness is renewed, whatever its runout orders, behind a
        hub that is ordered; by a part set's discard thickness its stamp is read first. Not on readings in doubt.

    Returns
    -------
    tuple of Cure
        No rotor is moved here but by the table's own order. A shim comes behind the stud, or in place of a part that is
        named for the runout; not on a corner that is to be cleaned first. By rule. [um]
    """
    limit_um = decided.limits.mounted_runout_um
    if has_play(decided.told):
        return (Cure(*PLAY),)
    if decided.steps[0] == names.READ_AGAIN:  # nothing is bought on readings that are in doubt
        name, why = CALLED[names.READ_AGAIN]
        return (Cure(name, None, None, f"{_places(decided)}{why}"),)
    if found.rotor_goes and _by_stamp(decided):
        rest = cures_as_read(decided, index, shims, replace(found, rotor_goes=""))
        return (Cure(STAMP, None, None, found.rotor_goes), *(_only_if(one, OVER_IT) for one in rest))
    steps = _by_thickness(decided.steps) if found.rotor_goes else decided.steps
    if decided.back and steps == decided.steps:
        return (Cure(INDEX, None, None, f"{stud_place(index.best)}, where it ran out least; read it once more"),)
    cures: list[Cure] = [Cure(*ROCK)] if rocked_first(decided.told, decided.act) else []
    for what in steps:
        name, why = CALLED[what]
        why = why.format(play=PLAY_THEN if for_play(decided.told) else "")
        why = f"{found.rotor_goes}; {why}" if what == names.RENEW and found.rotor_goes else why
        face = decided.act.hub_face
        read_on = READ_ON if what == steps[0] else READ_ON_THEN
        if name == BARE_HUB and face is not None and face.read_on:
            why = (CLEANED_FIRST if face.as_found else LOOKED_AT) if face.to_look_at else read_on
        enough = _enough(what, decided)
        why = HUB_FIRST if what == names.LEAVE and enough is None else why
        why += BEFORE_THE_WHEEL[before_the_wheel(decided.told)] if what == names.LEAVE else ""
        cure = index_cure(index, limit_um, found) if name == INDEX else Cure(name, None, enough, why)
        cures.append(_only_if(cure, IF_SO[cures[-1].name]) if cures and cures[-1].name in IF_SO else cure)
    last = cures[-1]
    shim = None if shims is None else shims.with_indexing if last.name == INDEX else shims.best
    by_runout = last.name == PART or (last.name == INDEX and not last.enough)
    if shim is None or shim.step_um <= 0.0 or not by_runout or any(one.name == CLEAN for one in cures):
        return tuple(cures)
    bought = shim_cure(shim, limit_um, ("if it is still over the limit there",) if last.name == INDEX else ())
    return (*cures, bought if last.name == INDEX else replace(bought, why=f"in its place, {bought.why}"))


def _places(decided: Decision) -> str:
    """What is to be read again."""
    return "".join(f"{one.text}; " for one in open_readings(decided.read))


def _by_thickness(steps: Sequence[str]) -> tuple[str, ...]:
    """What is left of the order where the rotor goes: a hub that is ordered leads, no rotor cures it."""
    goes = steps[0] if steps[0] in (names.RENEW, names.UNEVEN_COUNTED) else names.RENEW
    return (*(one for one in steps[:1] if one == names.HUB_AND_BEARING), goes)


def _by_stamp(decided: Decision) -> bool:
    """Whether only a discard thickness that is a part set's condemns it: its own stamp is read first."""
    varies = decided.act.varies
    uneven = varies is not None and (varies.state == ABOVE or varies.counts_over)
    return decided.case is not None and not is_stated(decided.case) and not uneven


def _enough(what: str, decided: Decision) -> bool | None:
    """Whether nothing is left to do; not told while the bare hub face near its limit is still to be read."""
    face = decided.act.hub_face
    is_open = face is not None and face.state == TOO_CLOSE and not face.let_be
    return None if what != names.LEAVE or is_open else True


def _only_if(cure: Cure, condition: str) -> Cure:
    return replace(cure, why=f"{condition}; {cure.why}", conditions=(condition, *cure.conditions))
