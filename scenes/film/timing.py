"""Time in a film: steps that follow each other, frames a second, the six moments of a storyboard."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

PARTS = ("cause", "effect", "number", "what to do")
FRAME_RATE = 24
BOARD = 6
"""Frames on a storyboard."""
TURN_STEP_DEG = 4.0
"""Poses of the turning wheel are this far apart, so that one turn is drawn once and used again."""
Pair = tuple[float, float]
"""A value at the start of a step and at its end."""
NONE, WHOLE, OPENING, CLOSING = (0.0, 0.0), (1.0, 1.0), (0.0, 1.0), (1.0, 0.0)


@dataclass(frozen=True)
class Step:
    """What every step of every film has.

    Parameters
    ----------
    part : str
        One of ``PARTS``.
    caption, small : str
        What it says, in large and in smaller letters.
    seconds : float
        How long it stands. [s]
    """

    part: str
    caption: str
    small: str
    seconds: float


A_Step = TypeVar("A_Step", bound=Step)
A_Moment = TypeVar("A_Moment")


def length(steps: Sequence[Step]) -> float:
    """Whole length. [s]."""
    return sum(step.seconds for step in steps)


def step_at(steps: Sequence[A_Step], second: float) -> tuple[A_Step, float]:
    """Step that stands at a time, clipped to the whole length [s], and how much of it is over, 0..1."""
    left = max(second, 0.0)
    for step in steps:
        if left < step.seconds:
            break
        left -= step.seconds
    else:
        step, left = steps[-1], steps[-1].seconds
    return step, min(left / step.seconds, 1.0)


def between(pair: tuple[float, float], share: float) -> float:
    """Value a share of the way from the first of a pair to the second."""
    return pair[0] + (pair[1] - pair[0]) * share


def frames(moment: Callable[[float], A_Moment], seconds: float, rate: float = FRAME_RATE) -> list[A_Moment]:
    """Moment of every frame of a film."""
    return [moment((index + 0.5) / rate) for index in range(max(1, round(seconds * rate)))]


def late(steps: Sequence[Step], shown: Sequence[int] | None = None) -> list[float]:
    """Times late in each step, or in those that are shown, when what it tells has been told. [s]."""
    ends = np.cumsum([step.seconds for step in steps])
    return [float(ends[k] - 0.15 * steps[k].seconds) for k in (range(len(steps)) if shown is None else shown)]


def stepped_deg(turns: float) -> float:
    """Turn of the wheel, to the nearest pose that is drawn. [deg]."""
    return round(turns * 360.0 / TURN_STEP_DEG) * TURN_STEP_DEG


def strokes(share: float) -> float:
    """To and fro: three strokes of the brush."""
    return 0.5 - 0.5 * math.cos(3.0 * math.pi * share)
