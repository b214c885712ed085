"""How long work tells how far it is: one call with a share and what is being done."""

from __future__ import annotations

from collections.abc import Callable

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
