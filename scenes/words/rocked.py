"""The hub that is rocked because of readings: why it leads, how what was felt is written, what play then orders."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from sim.bench import bearing_asked
from sim.bench.bearing_asked import NOTHING, ROCK_IT, UNDER_LOAD
from sim.causes import one_act
from sim.files.readings_head import NO_PLAY, WITH_PLAY
from sim.files.trace import BARE_FACE, PLAY

if TYPE_CHECKING:
    from sim.bench.mountings import Standing, ToldApart

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
#: Behind an end that leaves it on, where nobody said that the hub was rocked.
BEFORE_THE_WHEEL = (
    " Before the wheel goes on the hub is rocked, as turns that read alike do not show a bearing's play: with play "
    f"this is not done, '# bearing: {WITH_PLAY}' goes into the table's head, and it is asked again."
)
#: The same where it was rocked and turns show play all the same.
UNDER_LOAD_FIRST = (
    " Turns of this table are apart as a bearing with play makes them, though by hand it has none: before the wheel "
    "goes on it is judged under load as the vehicle maker says; with play there this is not done."
)
ASKED = {NOTHING: "", ROCK_IT: BEFORE_THE_WHEEL, UNDER_LOAD: UNDER_LOAD_FIRST}
#: What a hub that was rocked and has play orders, whatever was read; no stop behind it.
HAS_PLAY = (
    "Hub and bearing first: the hub was rocked and has play. The bearing is judged under load as the vehicle maker "
    "says, and hub or bearing renewed where that says so. No reading of this table counts, nothing else is bought, and "
    "the rotor is not left on by it; then a new table begins, bare face and rotor read again"
)
#: The same behind scale, nuts, another part or a bearing that the case gives: what is done before a hub can be rocked.
PLAY_TOO = " Rocked, the hub has play, as the table says: hub or bearing comes before that reading too."
#: The same of a worn rotor, of which a micrometer tells all the same; with a stop.
BEFORE_A_ROTOR = (
    "Hub and bearing first: the hub was rocked and has play. The bearing is judged under load as the vehicle maker "
    "says, and hub or bearing renewed where that says so; no turn of the dial on it counts, and no rotor is bought, "
    "cut or fitted before that."
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


def before_the_wheel(told: ToldApart, stays: bool, boxed: bool = False) -> str:
    """Have the hub rocked before a rotor is left on, or judged under load where by hand it has no play, but by turns.

    Empty where rocking leads, was done and no turn shows play, or the rotor is not left on.

    Parameters
    ----------
    told : ToldApart
    stays : bool
        Whether the act leaves the rotor on as it reads.
    boxed : bool
        Whether a box of the same page has it rocked.
    """
    asked = bearing_asked.before_the_wheel(told)
    return "" if not stays or (boxed and asked == ROCK_IT) else ASKED[asked]
