"""The turn more before a dial comes off, in words: how it is read and written, how the two are compared."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sim.files.readings_rows import FEELER

if TYPE_CHECKING:
    from sim.bench.told_by_mountings import ToldApart

#: As every answer begins it.
ORDER = (
    "before the dial comes off, one turn more of the same mounting: rotor and nuts untouched, same places, further "
    "lines with mount, studs_turned and state of those that are there"
)
#: Why, and how it goes on: `sim.files.read_anew` compares them. Whoever rocked the hub does so no more.
UNTIL = "it is read as it stands until three turns agree."
COMPARED = (
    "A bearing that throws the hub, or a turn written wrong, may read little once. Ask again with both: they are "
    "compared place by place. Only where they are alike, as far as dial and hand scatter, does the rotor stay on; else "
    f"{{rocked}}{UNTIL}"
)
DO = (
    f"Next: {ORDER}. On clean faces it runs out {{read}} on stud {{stud}}, {{beside}}, by one turn alone. "
    f"{COMPARED}{{off}}"
)
ROCKED = "the hub is rocked, and "
#: Behind it, where the bare face stands below the last mounted turn.
OFF_SINCE = (
    " Where the rotor came off for the bare hub face since that turn: put back on the same stud it is the next mount, "
    "and read there by two turns."
)
#: Of a table that does not say its unit by itself: that turn is at hand for it.
UNIT_TOO = (
    f" With it what a 0.1 mm feeler under the tip moves, as one more line of that turn, '{FEELER}': it shows the unit."
)
#: In the box of a job card, and among what is written on the day.
BOX = (
    "Rotor, nuts and dial untouched: one turn more at the same places, ____ µm, written as a further turn of mount "
    "{mount}."
)
ROW = "stud {stud}, one turn more"
#: Behind what else is still to be read of a rotor that was read clean by one turn.
THEN_STAYS = "after one turn more it stays on"


def off(told: ToldApart) -> str:
    """Say what holds where the rotor came off for its bare face since it was read; empty where it did not.

    Parameters
    ----------
    told : ToldApart
    """
    return OFF_SINCE if told.off_since else ""


def box(told: ToldApart) -> str:
    """Say it in the box of a job card.

    Parameters
    ----------
    told : ToldApart
        For the number of the mount that stands.
    """
    return BOX.format(mount=told.states[-1].mounts[-1])


def with_unit(said: str, tried: bool) -> str:
    """Have the feeler's line read with that turn, where no turn of the mount says its unit yet.

    Parameters
    ----------
    said : str
        What is ordered; it may order that turn or not.
    tried : bool
        Whether a feeler told the unit of a turn of the mount that stands.
    """
    return said if tried else said.replace(UNTIL, UNTIL + UNIT_TOO, 1)
