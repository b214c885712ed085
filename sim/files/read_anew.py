"""Turns that gave a slip away beside a sound one: that one counts alone, and a slip read last is still to be read."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

NOTE = "{name}: a turn that gave a slip away was read again and counts no more"
READ_LAST = "{name}: a turn that gave a slip away counts no more, the sound one before it does"


def read_anew(same: Sequence[Hashable], slipped: Sequence[bool]) -> tuple[int, ...]:
    """Find the turns in whose place another counts, whichever was read first: a slip is never averaged.

    Parameters
    ----------
    same : sequence
        What each turn read, in the sequence of the file: turns of equal value read the same thing.
    slipped : sequence of bool
        Which of them give a slip away.

    Returns
    -------
    tuple of int
        Places in that sequence. Turns that slip more often than others do not stand: what is read twice so is no slip.

    Examples
    --------
    >>> read_anew(("mount 1", "mount 2", "mount 2"), (True, True, False))
    (1,)
    >>> read_anew(("thickness",) * 3, (True, True, False))
    ()
    """
    return tuple(place for place in range(len(same)) if slipped[place] and _again(place, same, slipped))


def unanswered(same: Sequence[Hashable], slipped: Sequence[bool]) -> tuple[int, ...]:
    """Find those of them after which no sound turn was read: a slip is let go by what was read after it alone.

    Parameters
    ----------
    same, slipped
        As `read_anew` takes them.

    Examples
    --------
    >>> unanswered(("mount 1", "mount 2", "mount 2"), (True, False, True))
    (2,)
    """
    gone = read_anew(same, slipped)
    return tuple(k for k in gone if not any(same[k] == same[j] and not slipped[j] for j in range(k, len(same))))


def _again(place: int, same: Sequence[Hashable], slipped: Sequence[bool]) -> bool:
    """Whether it was read soundly too, and not as often with a slip."""
    alike = [k for k in range(len(same)) if same[k] == same[place]]
    slips = sum(slipped[k] for k in alike)
    return slips < len(alike) and (slips == 1 or len(alike) - slips > slips)
