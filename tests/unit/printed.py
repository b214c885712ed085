"""What a printed page looks like: how small its letters are, how far down it is filled. Shared by tests of pages."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

SMALLEST_PT = 7.0  # read on paper at a bench
ROUNDING_PT = 0.05  # of a browser that prints


@dataclass(frozen=True)
class Printed:
    """One page: its words, those in letters that nobody reads at arm's length, the share of its height that is used."""

    text: str
    too_small: tuple[str, ...]
    filled: float


def look(page: Any) -> Printed:
    """Read a page of a PDF once. Sizes and heights in points, as they stand on paper."""
    small, heights = [], []

    def visit(text: str, cm: list[float], tm: list[float], _: Any, size: float) -> None:
        if not text.strip():
            return
        heights.append(tm[4] * cm[1] + tm[5] * cm[3] + cm[5])
        stretched = abs((tm[0] * tm[3] - tm[1] * tm[2]) * (cm[0] * cm[3] - cm[1] * cm[2]))
        if size * math.sqrt(stretched) < SMALLEST_PT - ROUNDING_PT:
            small.append(f"{size * math.sqrt(stretched):.1f} pt: {text.strip()[:40]}")

    text = page.extract_text(visitor_text=visit)
    return Printed(text, tuple(small), 1.0 - min(heights) / float(page.mediabox.height))
