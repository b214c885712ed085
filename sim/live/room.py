"""A class that bets: marks on one hub face, hands counted per gap between studs, truth when the nuts are tight."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from sim.errors import BadInput, Fault
from sim.live.setup import STEP_MM, Choices, Setup, as_json
from sim.units import shortest_deg

BET, MARKS, TRUTH = STATES = "bet", "marks", "truth"
MOST_MARKS, MOST_HANDS = 200, 99  # more than a class has phones or hands; judgement
NEAR_DEG = 30.0  # within so much of the high spot a mark counts as having seen it; judgement, half a stud pitch


@dataclass
class Room:
    """One class before one hub face.

    Parameters
    ----------
    choices : Choices
    setup : Setup
    round : int
        Counts the questions.
    state : str
        ``bet``, ``marks`` (all are shown), ``truth``.
    marks : OrderedDict
        Hub angle of each phone's mark, by its session. [deg]
    hands : tuple of int
        Hands raised for each gap, from the one between studs 1 and 2 on.
    truth : dict or None
        Answer of the seating.
    """

    choices: Choices
    setup: Setup
    round: int = 1
    state: str = BET
    marks: OrderedDict[str, float] = field(default_factory=OrderedDict)
    hands: tuple[int, ...] = ()
    truth: dict[str, Any] | None = None

    def ask_anew(self, seed: int) -> None:
        """Put another question: the speck somewhere else, no mark yet. In mm and deg, drawn evenly: judgement."""
        rng = np.random.default_rng(seed)
        speck = self.choices.start.speck
        assert speck is not None
        low, high = self.choices.radius_mm
        outer = bool(rng.random() < 0.6)
        radius = high if outer else float(rng.integers(int(low / STEP_MM), int(high / STEP_MM) + 1) * STEP_MM)
        laid = replace(speck, angle_deg=float(rng.integers(360)), radius_mm=min(max(radius, low), high))
        self.setup = replace(self.choices.start, speck=laid)
        self.round, self.state, self.truth = self.round + 1, BET, None
        self.marks, self.hands = OrderedDict(), ()

    def mark(self, who: str, asked: int, angle_deg: float) -> None:
        """Set or move a phone's mark.

        Raises
        ------
        BadInput
            For another question than the one that is open, or too many phones.
        """
        if asked != self.round or self.state != BET:
            raise BadInput(Fault("this question is closed", key="round"))
        if who not in self.marks and len(self.marks) >= MOST_MARKS:
            raise BadInput(Fault("too many marks", key="round", allowed=f"up to {MOST_MARKS}"))
        self.marks[who] = angle_deg

    def show(self, hands: object) -> None:
        """Close the question and show all marks, hands that were counted among them.

        Raises
        ------
        BadInput
            For counts that are none.
        """
        count = self.choices.base.studs.count
        if not isinstance(hands, list) or len(hands) != count:
            raise BadInput(Fault("are not one count a gap", key="hands", allowed=f"a list of {count}"))
        for one in hands:
            if isinstance(one, bool) or not isinstance(one, int) or not 0 <= one <= MOST_HANDS:
                raise BadInput(Fault("is no count of hands", key="hands", allowed=f"0 .. {MOST_HANDS}"))
        self.hands, self.state = tuple(hands), MARKS

    def tighten(self, answer: dict[str, Any]) -> None:
        """Lay the truth over the marks."""
        self.truth, self.state = answer, TRUTH

    def near(self) -> int:
        """Marks that saw it: within `NEAR_DEG` of the high spot, a gap's hands at its middle. [deg]. Judgement."""
        if self.truth is None or "high_deg" not in self.truth:
            return 0
        pitch = 360.0 / self.choices.base.studs.count
        all_marks = [(angle, 1) for angle in self.marks.values()]
        all_marks += [((k + 0.5) * pitch, n) for k, n in enumerate(self.hands)]
        high = self.truth["high_deg"]
        return sum(n for angle, n in all_marks if abs(shortest_deg(angle - high)) <= NEAR_DEG)

    def told(self, who: str = "", everything: bool = False) -> dict[str, Any]:
        """What a phone may know, or the projector: no mark before all are shown, no truth before the nuts are tight."""
        shown = self.state != BET
        out: dict[str, Any] = {
            "round": self.round,
            "state": self.state,
            "setup": as_json(self.setup),
            "count": len(self.marks) + sum(self.hands),
            "mine": self.marks.get(who),
            "truth": self.truth,
            "near": self.near(),
        }
        if everything:
            out |= {"marks": list(self.marks.values()) if shown else [], "hands": list(self.hands)}
        return out


def room_of(choices: Choices) -> Room:
    """A class before the corner as it is found."""
    return Room(choices, choices.start)
