"""What a command that physics refuses says of a corner all the same: what leads there, and an order where one holds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.command import thin
from sim.errors import Refused, Scrap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sim.parts.case import Case

#: Commands that order by a case alone, and what makes them go by readings: those tell the thickness.
BY_THE_CASE = ("seat", "drive", "index", "face", "clamp", "duty", "report")
BY_READINGS = ("--worn", "--mounted", "--hub", "--rotor", "--thickness")


def lines(error: Refused, words: Sequence[str], case: Case | None) -> list[str]:
    """Say all that leads at a corner that is refused, in the order of work, and where the list of that work is.

    Parameters
    ----------
    error : Refused
    words : sequence of str
        The command line.
    case : Case or None
        The corner at hand; without one nothing is known of it.

    Returns
    -------
    list of str
        A line each, for stderr; none where the refusal says all of it.
    """
    if case is None or isinstance(error, Scrap):
        return []
    from scenes.words import acts, fastening, what_leads
    from scenes.words.words import clean

    led = what_leads.of_case(case).lines
    if not led:
        return []
    alone = len(led) == 1 and led[0].partition(": ")[2].rstrip(".") in str(error)
    where = [f"trueseat: {acts.THE_WORK}"] if words and words[0] in BY_THE_CASE else []
    return [*(fastening.said(f"trueseat: {clean(one, 600)}", case.studs) for one in led if not alone), *where]


def answered(error: Refused, words: Sequence[str], case: Case | None) -> int | None:
    """Print the order to renew a rotor at its own discard thickness, where a command by the case alone is refused.

    Parameters
    ----------
    error : Refused
        Anything but that the rotor is scrap.
    words : sequence of str
        The command line.
    case : Case or None
        The corner at hand.

    Returns
    -------
    int or None
        0 where it was printed.
    """
    if case is None or isinstance(error, Scrap) or not words or words[0] not in BY_THE_CASE:
        return None
    if any(word.partition("=")[0] in BY_READINGS for word in words):
        return None
    from sim.parts.discard import scrap_words
    from sim.parts.rotor_goes import given_mm

    thin_mm = given_mm(case)
    if thin_mm is None or not (why := scrap_words(case, thin_mm)):
        return None
    return thin.answer(Scrap("rotor.thickness_mm", why, thin_mm, case), case, None, "--json" in words)
