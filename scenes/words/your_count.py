"""An answer counts as the table counts that it is of: every text once, where it leaves the program."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from scenes.words import every_text
from sim.files import as_counted
from sim.files.dial_readings import COUNTER

#: Fields of an answer that repeat what a file says, or how its own numbers count.
KEPT = ("title", "file", "path", "counting")
COUNTS = (
    "Angles and stud numbers count counter-clockwise seen from outside{yours}: on the hub from stud 1, on the rotor "
    "from the painted hole. With that one at the top, 90° is at the left."
)
YOURS = ", as your table"
#: Of what a corner's own pages and its case file name: it counts as they do, whatever table it was driven from.
PAGES = " Pages and pictures that are written count the other way, as the case file does."
#: The same in a heading.
BRIEFLY = "angles counter-clockwise from outside, as the arrow"


@dataclass(frozen=True)
class Count:
    """How a table counts places and studs.

    Parameters
    ----------
    turned : str
        As its head says, seen from outside.
    studs : int
    """

    turned: str
    studs: int

    def said(self, text: str) -> str:
        """Word a text as the table counts; as it stands it counts counter-clockwise, as all words are made."""
        return as_counted.said(text, self.turned, self.studs)


def answered(answer: dict[str, Any], by: Count) -> dict[str, Any]:
    """Word the texts of an answer as the table counts, and say beside its numbers which way these do.

    Parameters
    ----------
    answer : dict
    by : Count
    """
    from sim.answers import each_text  # long to load, and of what is printed as JSON alone

    return {**each_text(answer, by.said, KEPT), "counting": as_counted.counting(by.turned)}


def shown(what: Any, by: Count) -> Any:
    """Word what the terminal is to show as the table counts, in place."""
    return what if by.turned == COUNTER else every_text.shown(what, by.said)


def page(html: str, by: Count) -> str:
    """Word a page as the table counts; its drawings were drawn so."""
    return html if by.turned == COUNTER else every_text.but_drawings(html, by.said)


def beside_pages(turned: str) -> str:
    """Say how an answer counts whose pages count as the case file does; empty where both count alike."""
    return "" if turned == COUNTER else counting(turned) + PAGES


def counting(turned: str) -> str:
    """Say which way everything of an answer counts; itself counter-clockwise, as all words are made."""
    return COUNTS.format(yours="" if turned == COUNTER else YOURS)
