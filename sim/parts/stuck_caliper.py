"""A caliper that the case gives as stuck: it drags with the brake released, whatever the rotor runs out."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sim.parts.case import Case

FREE_IT = "free slides and piston, or renew it as the vehicle maker says"
UNTIL = "until the wheel turns by hand with the brake released"
#: What a brake that dragged is looked at for; common practice, no source.
_RAN_HOT = (
    "what ran hot is looked at before it stays: rotor for cracks and blue, {thickness}pads for glaze and uneven wear; "
    "both sides of the axle"
)
RAN_HOT = _RAN_HOT.format(thickness="its thickness by micrometer round the turn, ")
#: The same beside a list that measures the thickness by itself.
RAN_HOT_BUT = _RAN_HOT.format(thickness="")
KEYS = "caliper.sticking_outboard_n, caliper.sticking_inboard_n"


def stuck(case: Case) -> str:
    """Say that the caliper drags as given, and what is done; empty where nothing sticks.

    Examples
    --------
    >>> from sim.parts.case import Caliper, Case
    >>> stuck(Case(caliper=Caliper(sticking_inboard_n=150.0)))[:76]
    'as given it sticks and pushes the inboard pad with 150 N, the brake released'
    >>> stuck(Case())
    ''
    """
    held = (("outboard", case.caliper.sticking_outboard_n), ("inboard", case.caliper.sticking_inboard_n))
    pads = [f"the {side} pad with {force:g} N" for side, force in held if force > 0.0]
    if not pads:
        return ""
    return (
        f"as given it sticks and pushes {' and '.join(pads)}, the brake released: what the pad's seat in its carrier "
        f"does not hold of that drags and heats, whatever the rotor runs out; {FREE_IT}"
    )
