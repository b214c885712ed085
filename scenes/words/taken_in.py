"""What leads an answer in pieces: one order that can be taken in, then what else is to be known, nothing left out."""

from __future__ import annotations

import re

#: Words of the order that leads; judgement: two sentences, read standing. Of readings that contradict each other the
#: first stands with what is done about it, which takes more.
MOST_WORDS, MOST_OF_CONTRADICTIONS = 55, 70
CONTRADICTIONS = "Read again before"
_SENTENCE = re.compile(r"(?<=[.!?])\s+(?=[A-Z'\"])")
_CLAUSE = re.compile(r"(?<=;)\s+(?![^()]*\))")  # none within brackets
#: How what is known beside an order begins, however short it is.
BESIDE = ("Why:", "With ", "No rotor and no stud", "On clean faces", "The runout is under", "Without the corner")
LEAST_WORDS = 5  # fewer make no line of their own


def pieces(lead: str) -> tuple[str, ...]:
    """Part what leads an answer: the order first, then sentence by sentence; joined by blanks they are the whole.

    Parameters
    ----------
    lead : str

    Examples
    --------
    >>> pieces("Next: clean and read. Look at both faces.")
    ('Next: clean and read. Look at both faces.',)
    >>> [len(one.split()) for one in pieces("Next: clean and read. " + "word " * 60 + "end.")]
    [4, 61]
    """
    most = MOST_OF_CONTRADICTIONS if lead.startswith(CONTRADICTIONS) else MOST_WORDS
    parts: list[str] = []
    for sentence in _SENTENCE.split(lead):  # a chain of clauses is parted too
        parts += [sentence] if _count(sentence) <= most else _clauses(sentence)
    taken = 1
    while taken < len(parts) and _count(*parts[: taken + 1]) <= most and not parts[taken].startswith(BESIDE):
        taken += 1
    return (" ".join(parts[:taken]), *parts[taken:])


def _clauses(sentence: str) -> list[str]:
    """Clauses of a chain, a short one with the one before it."""
    parts: list[str] = []
    for clause in _CLAUSE.split(sentence):
        if parts and _count(clause) < LEAST_WORDS:
            parts[-1] += f" {clause}"
        else:
            parts.append(clause)
    return parts


def _count(*texts: str) -> int:
    return sum(len(text.split()) for text in texts)
