"""What can go wrong, said once: bad input, a seating that physics refuses, something missing on the machine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

MOST_FAULTS = 40  # of one file that are told at once; a file with more is not of its kind; judgement


class TrueseatError(Exception):
    """Base of every error that a user may see; never a traceback.

    ``exit_code`` is what the command line returns.
    """

    exit_code = 1


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with an input.

    Parameters
    ----------
    reason : str
        What is wrong, in the reader's words.
    file, key : str
        Where; empty when the input did not come from a file or has no key.
    line : int
        Line in the file, 0 when unknown.
    allowed : str
        What would be accepted.
    """

    reason: str
    file: str = ""
    line: int = 0
    key: str = ""
    allowed: str = ""

    def __str__(self) -> str:
        place = self.file + (f":{self.line}" if self.line else "")
        head = ": ".join(part for part in (place, self.key) if part)
        text = f"{head}: {self.reason}" if head else self.reason
        return f"{text} (allowed: {self.allowed})" if self.allowed else text


class BadInput(TrueseatError):
    """Input that is refused; carries every fault that was found.

    Parameters
    ----------
    faults : str, Fault or sequence of Fault
        What is wrong.
    """

    exit_code = 2

    def __init__(self, faults: str | Fault | list[Fault] | tuple[Fault, ...]) -> None:
        if isinstance(faults, str):
            faults = Fault(faults)
        if isinstance(faults, Fault):
            faults = (faults,)
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class Refused(TrueseatError):
    """Physics refuses: no nut on, forces that cannot seat the rotor, a solve without proof."""

    exit_code = 3


class Scrap(Refused):
    """A rotor is at or under its discard thickness, or may be by a stamp that nobody gave.

    Parameters
    ----------
    where : str
        File and place that was measured, or key that gives it; may be empty.
    thin : str
        Why, without the place.
    thinnest_mm : float
        Thinnest place. [mm]
    case : Case or None
        Of whose file that is the rotor as given, where nothing was measured; then nobody but this error holds it.
    """

    def __init__(self, where: str, thin: str, thinnest_mm: float, case: Any = None) -> None:
        self.thin, self.thinnest_mm, self.case = thin, thinnest_mm, case
        super().__init__(f"{where}: {thin}" if where else thin)


class NotFit(Refused):
    """Nuts that nobody may drive with, or of which nobody said how it is driven.

    Parameters
    ----------
    reason : str
        Why, and what to give.
    case : Case
        The corner: what leads its answer is told all the same.
    """

    def __init__(self, reason: str, case: Any) -> None:
        self.case = case
        super().__init__(reason)


class Missing(TrueseatError):
    """A picture or film was asked for and this machine lacks what it takes; the text says what brings it."""

    exit_code = 4
