"""How long work tells how far it is: one call with a share and what is being done."""

from __future__ import annotations

from collections.abc import Callable

from sim.errors import BadInput, Fault
from sim.units import shown

Progress = Callable[[float, str], None]


def silent(fraction: float, what: str) -> None:
    """Tell nobody.

    Parameters
    ----------
    fraction : float
        Share that is done, 0 .. 1.
    what : str
        What is being done.
    """


def need_listener(progress: object) -> None:
    """Refuse what cannot be told how far work is, before anything is computed.

    Parameters
    ----------
    progress : callable or None

    Raises
    ------
    BadInput
        If it is anything else.
    """
    if progress is not None and not callable(progress):
        allowed = "a function of a share and a text, or none"
        raise BadInput(Fault(f"{shown(progress)} cannot be told how far it is", key="progress", allowed=allowed))
