"""The hub that is rocked because of readings: why it leads, how what was felt is written, what play then orders."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from scenes.words import words
from sim.bench import bearing_asked
from sim.bench.bearing_asked import BOTH, NOTHING, ROCK_IT, UNDER_LOAD
from sim.causes import one_act
from sim.files.readings_head import NO_PLAY, WITH_PLAY
from sim.files.readings_head import UNDER_LOAD as SOUND
from sim.files.trace import BARE_FACE, PLAY

if TYPE_CHECKING:
    from sim.bench.told_by_mountings import Standing, ToldApart

#: How it goes on, wherever rocking leads.
WRITE_IT = (
    f"What is felt goes into the table's head, '# bearing: {NO_PLAY}' or '# bearing: {WITH_PLAY}', and it is asked "
    "again."
)
#: The same behind what is to be read again, where that has the hub rocked.
WRITE_IT_TOO = f" What is felt goes into the table's head: '# bearing: {NO_PLAY}' or '# bearing: {WITH_PLAY}'."
#: What has it rocked, in what is to be read again.
ROCKED = re.compile(r"rock the hub first|the hub is rocked, its end float read")
#: Something was left out, the others agree: a bearing that knocks may read alike by chance.
OTHERS_AGREE = "{gone} left out, the others agree, and they count only where the bearing has no play"
#: Turns of the table are apart as play makes them, cleaned or not.
AS_PLAY = "turns of this table are apart as a bearing with play makes them, and they count only where it has none"
FIRST = f"Before anything else the hub is rocked: {{why}}. {WRITE_IT} "
#: Between that and what is ordered by these readings.
FOLLOWS = "Without play this follows. "
#: In place of an end that leaves the rotor on.
NOT_DONE = "Before that this is not done: on clean faces it runs out {read} on stud {stud}, {beside}."
#: Before an end leaves the rotor on, by what its bearing needs first; ``why`` is of `_unlike`.
BEFORE_THE_WHEEL = {
    ROCK_IT: "Before the wheel goes on the hub is rocked, as turns that read alike do not show a bearing's play. ",
    UNDER_LOAD: (
        "Before the wheel goes on the bearing is judged under load as the vehicle maker says: by hand it has no play, "
        "but {why}. "
    ),
    BOTH: (
        "Before the wheel goes on the hub is rocked, and where it feels tight its bearing judged under load as the "
        "vehicle maker says: {why}. "
    ),
}
WITH_PLAY_NOT_DONE = (
    f"With play this is not done, '# bearing: {WITH_PLAY}' goes into the table's head, and it is asked again. Without "
    "it "
)
#: What turns show, by which of them do.
APART = "turns of this table are apart as a bearing with play makes them"
OF_ONE = "turns of mount {mounts} differ by up to {apart}, more than dial and hand do: a bearing with play does so"
OF_SEAT = (
    "turns of mounts {mounts}, one seat by two dials, differ by up to {apart}, more than dial and hand do: a bearing "
    "with play does so"
)
OF_SEVERAL = (
    "turns of mounts {mounts} differ by up to {apart} beside what putting it on moves, more than dial and hand do: a "
    "bearing with play does so"
)
OF_MOUNTINGS = (
    "mounts {mounts} on one stud read {apart} apart, far more than mountings do: a bearing with play does so, or a seat"
)
#: The same where it is judged under load: that it is sound has a word of its own, and nobody is asked for it again.
SOUND_UNDER_LOAD = (
    f"With play this is not done, '# bearing: {WITH_PLAY}' goes into the table's head, and it is asked again. Without "
    f"it ('# bearing: {SOUND}') "
)
LEAVE_THERE = "Leave it there"
#: Before it, where the bare face stands below the last mounted turn: only who wrote the table knows what came first.
OFF_SINCE = (
    "Where the rotor came off for the bare hub face since, it is put back on the same stud and read there first, under "
    "the next mount number. "
)
#: Where a box of the same page has the hub rocked.
ROCKED_IN_A_BOX = "Once the hub was rocked, without play, leave it there"
#: The same as a step of a list.
LOAD_STEP = (
    f"The bearing judged under load as the vehicle maker says: {{why}}. With play: stop, '# bearing: {WITH_PLAY}' into "
    f"the table's head, ask again; without: '# bearing: {SOUND}'."
)
#: What a hub that was rocked and has play orders, whatever was read; no stop behind it.
HAS_PLAY = (
    "Hub and bearing first: the bearing was found to have play. Unless that was under load it is judged so, as the "
    "vehicle maker says, and hub or bearing renewed where that says so. No reading of this table counts, nothing else "
    "is bought, and the rotor is not left on by it; then a new table begins, bare face and rotor read again"
)
#: The same behind scale, nuts, another part or a bearing that the case gives: what is done before a hub can be rocked.
PLAY_TOO = " The bearing has play, as the table says: hub or bearing comes before that reading too."
#: The same of a worn rotor, of which a micrometer tells all the same; with a stop.
BEFORE_A_ROTOR = (
    "Hub and bearing first: the bearing was found to have play. Unless that was under load it is judged so, as the "
    "vehicle maker says, and hub or bearing renewed where that says so; no turn of the dial on it counts, and no rotor "
    "is bought, cut or fitted before that."
)
NOTHING_BLAMED = "What was read on a bearing with play tells no cause. Nothing is blamed."


def first(told: ToldApart, ends: bool = False) -> str:
    """Say that the hub is rocked first, why, and how it goes on; empty where nothing asks for that.

    Parameters
    ----------
    told : ToldApart
    ends : bool
        Whether nothing follows it, as what would is no end before that: `ends_so`.
    """
    now = told.states[-1].now
    if not now.left_out:
        return ""
    why = AS_PLAY if now.left_out_of == PLAY else OTHERS_AGREE.format(gone=_gone(now, told.states[-1].mounts[-1]))
    return FIRST.format(why=why) + ("" if ends else FOLLOWS)


def written_too(said: str) -> str:
    """Say how it goes on behind what is to be read again, where that has the hub rocked; else as it was said.

    Parameters
    ----------
    said : str
        What is ordered.

    Examples
    --------
    >>> written_too("Read it again."), written_too("Rock the hub first.") == "Rock the hub first."
    ('Read it again.', True)
    """
    return said + WRITE_IT_TOO if ROCKED.search(said) else said


def _gone(now: Standing, mount: int) -> str:
    """Name what was left out, with its number: turns of a mount or of the bare hub face, or a whole mount."""
    what = "the bare hub face" if now.left_out_of == BARE_FACE else f"mount {now.left_out_of or mount}"
    if now.left_out_of > 0 and not now.left_out_turns:
        return f"{what} was" if now.left_out == 1 else f"{now.left_out} mounts, {what} the last of them, were"
    if now.left_out == 1:
        return f"a turn of {what} was"
    return f"{now.left_out} of {now.left_out_turns} turns of {what} were"


def play_too(told: ToldApart) -> str:
    """Say behind what comes before every reading that the bearing does too; empty where no play was felt."""
    return PLAY_TOO if one_act.has_play(told) else ""


def ends_so(told: ToldApart, do: str) -> bool:
    """Whether an act would leave the rotor on by turns that show play: nothing is, before the hub was rocked.

    Parameters
    ----------
    told : ToldApart
    do : str
        A name of `sim.causes.names`.
    """
    return do in one_act.LEFT_ON and one_act.shows_play(told)


def not_done(told: ToldApart, read: str, beside: str) -> str:
    """Say that the hub is rocked first and that nothing is left on before, in place of such an end.

    Parameters
    ----------
    told : ToldApart
    read, beside : str
        What it runs out as it stands, and where that is beside its limit.
    """
    return first(told, ends=True) + NOT_DONE.format(read=read, stud=told.states[-1].positions[-1] + 1, beside=beside)


def leave_there(told: ToldApart, boxed: bool = False) -> str:
    """Leave the rotor on once its bearing has what it needs before the wheel goes on; no stop behind it.

    Nothing more than that it is left where the hub is rocked before all else, or was and no turn shows play.

    Parameters
    ----------
    told : ToldApart
    boxed : bool
        Whether a box of the same page has the hub rocked.
    """
    asked, off = bearing_asked.before_the_wheel(told), OFF_SINCE if told.off_since else ""
    if asked == NOTHING:
        return off + LEAVE_THERE
    if boxed and asked == ROCK_IT:
        return off + ROCKED_IN_A_BOX
    so = WITH_PLAY_NOT_DONE if asked == ROCK_IT else SOUND_UNDER_LOAD
    return off + BEFORE_THE_WHEEL[asked].format(why=_unlike(told)) + so + words.small(LEAVE_THERE)


def names_apart(told: ToldApart, apart_um: float) -> bool:
    """Whether `leave_there` names mountings of one stud that read so far apart, by the same printed figure.

    Parameters
    ----------
    told : ToldApart
    apart_um : float
        [um TIR]
    """
    judged = bearing_asked.before_the_wheel(told) in (UNDER_LOAD, BOTH)
    return judged and told.unlike is not None and told.unlike.whole and round(told.unlike.apart_um) == round(apart_um)


def load_step(told: ToldApart) -> str:
    """Have the bearing judged under load in a list that leaves the rotor on; empty where nothing asks for that.

    Parameters
    ----------
    told : ToldApart
    """
    asked = bearing_asked.before_the_wheel(told) in (UNDER_LOAD, BOTH)
    return LOAD_STEP.format(why=_unlike(told)) if asked else ""


def _unlike(told: ToldApart) -> str:
    """Say which turns show that a bearing may have play, with their figure where they have one."""
    found = told.unlike
    if found is None:
        return APART
    one = OF_SEAT if found.seat else OF_ONE
    said = one if found.one_mounting else OF_MOUNTINGS if found.whole else OF_SEVERAL
    return said.format(mounts=words.listed([str(one) for one in found.mounts]), apart=words.micrometres(found.apart_um))
