"""What a card that reads again takes off, tightens and reads: by the reasons for which it does, each with its box."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from sim.bench.seatings import COUNT
from sim.files.reading_faults import AS_IT_STANDS
from sim.files.rocking import NO_END

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

#: What a reason says that asks for work of the hands; every reason is a sentence of `scenes.words.to_read_again`.
ROCKED = re.compile(r"rock the hub first|the hub is rocked")
TIGHTENED = re.compile(r"tighten (the nuts|them) crosswise|nuts tightened crosswise")
PUT_BACK = re.compile(r"back on (?:the same stud|stud (\d+))")
#: Several mountings in one go, and how those of one stud end.
SEVERAL, COUNTS = "read under the next mount numbers", COUNT.partition(",")[0]
WIPED, BOTH_WIPED, LOOKED_AT = "faces wiped once more", "both faces wiped", "burrs round the"
BARE, BARE_TOO = "hub face", "the bare hub face, which does not go with"
THICKNESS, THICKNESS_TOO = "thickness", "the thickness once more"

OFF = ("rotor off", "cracks")
ON = ("fit", "tighten", "read")
#: A bearing with play comes before any reading.
PLAY_STOP = (
    "Hub rocked at 12 and 6 o'clock before anything is read. With play: STOP, the bearing first; what was read on it "
    "counts for nothing."
)
THREE_ALIKE = (
    "Dial held fast, one way only, rotor and nuts untouched: read as it stands until three turns agree, and fewer do "
    "not count: ____, ____, ____ µm."
)
NO_THREE = (
    "No play and no three agree: another base and tip for the dial, nuts and spacers looked at, read once more; then "
    "the bearing judged under load as the vehicle maker says."
)
AS_IT_STANDS_BOX = (
    "Dial held fast, rotor and nuts untouched: read the runout as it stands, two turns, caliper still off."
)
WIPE_BOTH = "Hub face and rotor's seat wiped."
#: A thickness that is read again, as a turn of its own beside those that are there.
WHOLE_TURN = (
    "Thickness by micrometer: radius and places marked, both faces wiped there, every place once more, a further turn: "
    "varies by ____ µm, least ____ mm. At or under discard: stop."
)
WIPE = "No play: faces wiped once more, nuts and studs looked at, the dial's base."
THREE_THAT_AGREE = (
    "Read so, each time under the next mount number, the rotor off and both faces wiped between, until three agree: "
    "____, ____, ____ µm."
)
#: The same on a stud on which mountings parted (`sim.bench.seatings.COUNT`).
MORE_AGREE = (
    "Read so, each time under the next mount number, the rotor off and both faces wiped between, until those that "
    "read alike are more than the others, two more where these part too: ____, ____, ____, ____ µm."
)
#: The rotor may be off already: what was done to its hub was done then.
BACK_HOME = "Rotor home by hand, the painted hole on {place}: flat, not rocking when pressed at its edge."
SLACKENED = "Nuts slackened, the rotor not moved; tightened again as for every reading: spacers, crosswise in stages."
#: Of a corner that reads over its limit with the wheel on.
WITH_WHEEL = "with the wheel on, over the limit"
WHEEL_CLEANED = (
    "Wheel off; its pad, the hat's face and the nuts' seats cleaned, or another wheel of this car; wheel on, crosswise "
    "in stages, to the maker's torque."
)
WHEEL_READ = "That face read with the wheel on: ____ µm. Over the limit: not driven."
LOOK = "Burrs round the studs, the spigot down into its root, the nuts looked at; scraped clean, wiped."


def keys(reasons: Sequence[str]) -> tuple[str, ...]:
    """Keys of the work, for `scenes.words.work_order`, that some reasons to read again ask for.

    Parameters
    ----------
    reasons : sequence of str

    Notes
    -----
    "as found" is the rotor as it stands, read before it comes off or its nuts are touched.
    """
    bare = any(one.startswith(BARE) or BARE_TOO in one for one in reasons)
    thick = any(one.startswith(THICKNESS) or THICKNESS_TOO in one for one in reasons)
    looked = _any(reasons, LOOKED_AT, WIPED, BOTH_WIPED)
    off = bare or looked or any(PUT_BACK.search(one) for one in reasons)
    tightened = any(TIGHTENED.search(one) for one in reasons)
    stands = not reasons or any(_as_it_stands(one) for one in reasons)
    return (
        *(("as found",) if stands else ()),
        *(("thickness",) if thick else ()),
        *(OFF if off else ()),
        *(("clean",) if looked else ()),
        *(("hub face",) if bare else ()),
        *(ON if off else ON[1:] if tightened else ()),
    )


def stud(reasons: Sequence[str]) -> int:
    """Stud, from 1, on which a reason puts the painted hole back; 0 where it is put where it was, or nowhere."""
    back = [found for one in reasons if (found := PUT_BACK.search(one)) is not None and found[1]]
    return int(back[0][1]) if back else 0


def _as_it_stands(reason: str) -> bool:
    """Whether a reason asks for a turn of the rotor where it stands, nothing touched."""
    elsewhere = (BARE, THICKNESS)
    touched = PUT_BACK.search(reason) or TIGHTENED.search(reason) or LOOKED_AT in reason or BARE_TOO in reason
    return not (reason.startswith(elsewhere) or touched)


def _any(reasons: Sequence[str], *said: str) -> bool:
    return any(one in reason for reason in reasons for one in said)


def box(reasons: Sequence[str], key: str, wanted: Collection[str] = (), last_stud: int = 1) -> str:
    """Say a piece of the work as the reasons order it; empty where the list's words stand.

    Parameters
    ----------
    reasons : sequence of str
    key : str
        Of the work.
    wanted : collection of str
        Keys of all the work of the card.
    last_stud : int
        Stud, from 1, on which the painted hole was read last.
    """
    if key == "flange play" and any(ROCKED.search(one) for one in reasons):
        return PLAY_STOP
    if key == "as found":
        return THREE_ALIKE if _any(reasons, AS_IT_STANDS) else AS_IT_STANDS_BOX
    if key == "clean":
        return WIPE if _any(reasons, WIPED) else LOOK if _any(reasons, LOOKED_AT) else WIPE_BOTH
    if key == "thickness":
        return WHOLE_TURN
    if _any(reasons, WITH_WHEEL) and key in ON[1:] and "fit" not in wanted:
        return WHEEL_CLEANED if key == "tighten" else WHEEL_READ
    if key == "tighten" and "fit" not in wanted:
        return SLACKENED
    if key == "fit" and any(PUT_BACK.search(one) for one in reasons):
        return BACK_HOME.format(place=f"stud {stud(reasons) or last_stud}")
    if key != "read":
        return ""
    several = [one for one in reasons if SEVERAL in one]
    if not several:
        return ""
    return MORE_AGREE if _any(several, COUNTS) else THREE_THAT_AGREE


def behind(reasons: Sequence[str]) -> tuple[str, ...]:
    """Boxes behind the turns that are read as it stands: what is done where no three of them agree."""
    return (NO_THREE,) if _any(reasons, NO_END.removeprefix(". ").partition(":")[0]) else ()
