"""Which figures of the stud positions an answer by machine takes back together, and the key that says why."""

from __future__ import annotations

from typing import Any

WITHHELD = "studs_withheld"
#: Null beside a reason: what each stud should read, the shares that it is reckoned from, and what moving would gain.
FIELDS = (
    "positions", "best", "best_by_first_order", "floor_um", "floor_uncertainty_um", "continuous", "hub_um", "rotor_um",
    "worth_moving", "separated", "shares", "higher_orders", "bands", "should_then_read_um", "either", "alike",
)  # fmt: skip


def withheld(why: str) -> dict[str, Any]:
    """What an answer about stud positions takes back where something comes first; nothing else. By definition.

    Parameters
    ----------
    why : str
        What comes first, in words; empty where nothing does.

    Examples
    --------
    >>> withheld(""), withheld("the hub has play")["best"], withheld("the hub has play")["studs_withheld"]
    ({}, None, 'the hub has play')
    """
    return {**dict.fromkeys(FIELDS), WITHHELD: why} if why else {}
