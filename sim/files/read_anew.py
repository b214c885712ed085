"""Turns that gave a slip away and were read again: the sound turn counts alone, as whoever read it was told."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

NOTE = "{name}: a turn that gave a slip away was read again and counts no more"


def read_anew(same: Sequence[Hashable], slipped: Sequence[bool]) -> tuple[int, ...]:
    """Find the turns in whose place another counts.

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


def _again(place: int, same: Sequence[Hashable], slipped: Sequence[bool]) -> bool:
    """Whether it was read again soundly, and not as often with a slip."""
    alike = [k for k in range(len(same)) if same[k] == same[place]]
    slips = sum(slipped[k] for k in alike)
    later = any(k > place and not slipped[k] for k in alike)
    return later and (slips == 1 or len(alike) - slips > slips)
