"""Readings whose unit is asked: a table too small for its dial, a turn that is a fraction of what was read before."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sim.arrays import Floats
from sim.files.feeler import ROW
from sim.files.trace import Trace
from sim.turn import tir

#: Turns of no more than this would be usual ones in thou (380 um), more would not. Judgement, 10 .. 15. [um]
SMALL_UM = 15.0
#: A rotor on its hub that runs out less, with its bare hub: hub, rotor and seat of new parts make more. Judgement. [um]
NOTHING_UM = 4.0
#: Whoever reads between the lines reads to half of a division or to a fifth; tables are typed in whole micrometres too.
#: Common practice, no source.
PARTS = (2, 5)
#: Places that may lie on no such part of a division, as a share: in tenths of a thou four of ten do at the least, for a
#: dial of 0.001 mm. Judgement, 0.1 .. 0.3.
STRAY = 1.0 / 6.0
#: Divisions of dials in inches, called by their nearest in µm: 0.0001 inch are 2.54, called 2.5. Common practice. [um]
INCHES_UM, CALLED_WITHIN = (1.27, 2.54, 5.08, 12.7, 25.4), 0.02
#: Units that are mistaken for each other, as they are called. [um]
OTHERS = (("thou", 25.4), ("hundredths of a mm", 10.0), ("mm", 1000.0))
#: A mounted turn of no more than this is asked for its unit where one before it was so many times as wide: hub, rotor
#: and seat of good parts make more. Judgement, 4 .. 8 and 6 .. 12. [um]
HARDLY_UM, SHRUNK = 6.0, 8.0
#: The turn that stands is asked where one before it was so many times as wide: what it may be left on by was one unit
#: smaller. 60 µm typed as 6 hundredths after 25 µm are not caught, 120 as 12 after 60 are. Judgement, 3 .. 6.
FELL = 4.0
#: Digits tell the unit of a dial whose finest part is more than what people write down. [um]
COARSE_UM = 10.0
WHAT_TO_DO = (
    f"Try it: add {ROW}. Where that shows another unit write the turn as its column says; several turns are written as "
    "turns, not as means"
)

#: Behind what was asked of a turn that has its feeler: one more of the same line tells nothing.
TRIED = ", whatever the feeler beside it says."
#: What settles figures that no such dial shows: the turn itself, or what the table says of its dial.
READ_AS_SHOWN = (
    "Read the turn and its feeler again and write both as the dial shows them, in the column's unit, to whole "
    "divisions, halves or fifths; dial_um is the division of the dial that read it; several turns are written as "
    "turns, not as means"
)


def doubt_of_unit(traces: Sequence[Trace], dial_um: float, factor: float = 1.0) -> str:
    """Say why the unit of a table or of one of its turns is asked and what to do; empty where nothing is asked.

    Parameters
    ----------
    traces : sequence of Trace
    dial_um : float
        Division of the dial, where a turn does not say its own. [um]
    factor : float
        What the table's column was multiplied by. [um]

    Notes
    -----
    By the rules of `unit_doubt`, `fell_doubt` and `tried_doubt`, in that order; all judgement.
    """
    if doubt := unit_doubt(traces, dial_um, factor) or fell_doubt(traces, dial_um, factor):
        return f"{doubt} {READ_AS_SHOWN if doubt.endswith(TRIED) else WHAT_TO_DO}"
    doubt = tried_doubt(traces, dial_um, factor)
    return f"{doubt} {READ_AS_SHOWN}" if doubt else ""


def unit_doubt(traces: Sequence[Trace], dial_um: float, factor: float = 1.0) -> str:
    """Say why the unit of a table is asked; empty where its turns are of a usual size, or a dial shows such figures.

    Parameters
    ----------
    traces : sequence of Trace
        All that the table holds; thickness, by another gauge, is not looked at.
    dial_um : float
        Division of the dial, where a turn does not say its own. [um]
    factor : float
        What the table's column was multiplied by. [um]

    Notes
    -----
    By rule: all turns together, then those of the rotor and bare hub faces each by themselves, as commands see them
    that take a file of each. One of a usual size shows that its unit is meant. Turns that read all alike tell nothing
    of the unit; a bare hub face by itself is often a true one, and asked where both hold. Nor are turns asked in one of
    which the dial was tried with a feeler.

    Examples
    --------
    >>> angle = np.arange(0.0, 360.0, 60.0)
    >>> tenths, whole = np.array([0.8, 1.8, 0.9, -0.8, -1.7, -0.9]), np.array([0.0, 5.0, 7.5, 5.0, 2.5, 0.0])
    >>> unit_doubt([Trace("mounted", 1, 0, angle, tenths)], 2.5)[:57]
    'all turns span 3.5 µm or less, and 6 of 6 figures lie on '
    >>> unit_doubt([Trace("mounted", 1, 0, angle, whole)], 2.5)
    ''
    """
    turns = [one for one in traces if one.kind != "thickness"]
    faces = [one for one in turns if one.kind == "hub face"]
    rotor = [one for one in turns if one.kind != "hub face"]
    return next((doubt for some in (turns, rotor, faces) if (doubt := _small_doubt(some, dial_um, factor))), "")


def _small_doubt(turns: Sequence[Trace], dial_um: float, factor: float) -> str:
    """Say why the unit of these turns is asked; empty where it is not."""
    bare = all(one.kind == "hub face" for one in turns)
    widest = max((tir(one.value_um) for one in turns), default=0.0)
    tried = any(one.feeler_um is not None for one in turns)
    if tried or not 0.0 < widest <= (NOTHING_UM if bare else SMALL_UM):
        return ""
    steps = [one.dial_um or dial_um for one in turns]
    within = all(widest < step for step in steps)
    astray = [_astray(one.value_um, step, factor, within) for one, step in zip(turns, steps, strict=True)]
    stray, places = sum(astray), sum(one.value_um.size for one in turns)
    said = f"all turns{' of the bare hub face' if bare else ''} span {widest:.2g} µm or less"
    if stray > STRAY * places:
        said += f", and {_off_the_dial(stray, places, steps)}"
    elif bare or widest >= NOTHING_UM:
        return ""
    else:
        said += ", which hardly a rotor on its hub does"
    return f"{said}; {_in_other_units(widest, factor)}"


def tried_doubt(traces: Sequence[Trace], dial_um: float, factor: float = 1.0) -> str:
    """Say which turn its dial cannot have shown, though a feeler beside it moved that dial by its own thickness.

    Parameters
    ----------
    traces : sequence of Trace
        All that the table holds; turns of a usual size, and those that nobody tried, are not looked at.
    dial_um : float
        Division of the dial, where a turn does not say its own. [um]
    factor : float
        What the table's column was multiplied by. [um]

    Notes
    -----
    By rule: a feeler's figure may be what everybody knows of it, the figures beside it are what was read. Under half
    a division only its halves, quarters and fifths count; in a wider turn whole micrometres too. Judgement.
    """
    for one in traces:
        step, span, places = one.dial_um or dial_um, tir(one.value_um), one.value_um.size
        if one.kind == "thickness" or one.feeler_um is None or not 0.0 < span <= SMALL_UM:
            continue
        astray = _astray(one.value_um, step, factor, within=2.0 * span < step, parts=_parts(step))
        if astray > STRAY * places:
            what = _what(one)
            return (
                f"{what} spans {span:.2g} µm, and {_off_the_dial(astray, places, [step])}, whatever the feeler beside "
                f"it says; {_in_other_units(span, factor)}"
            )
    return ""


def fell_doubt(traces: Sequence[Trace], dial_um: float, factor: float = 1.0) -> str:
    """Say why the unit of one turn is asked: it is a fraction of what was read before it.

    Parameters
    ----------
    traces : sequence of Trace
        All that the table holds; a turn in which the dial was tried with a feeler is not asked, unless its figures are
        finer than its dial shows: whoever knows what a feeler should show may have written that.
    dial_um : float
        Division of the dial, where a turn does not say its own. [um]
    factor : float
        What the table's column was multiplied by. [um]

    Notes
    -----
    By rule: each turn against those of its kind before it, by its size alone, for what was cleaned, moved or stoned is
    of another shape (`HARDLY_UM`, `SHRUNK`; `FELL` of the turn that stands, for others order nothing any more). Turns
    of one mount and state that differ are held against each other elsewhere. All judgement.
    """
    for kind in ("mounted", "inboard", "hub face"):
        for corner in dict.fromkeys(one.corner for one in traces):
            turns = [one for one in traces if one.kind == kind and one.corner == corner]
            for k, since in enumerate(turns):
                step = since.dial_um or dial_um
                there = _there(turns, since)
                astray = _astray(since.value_um, step, factor, within=False, parts=_parts(step))
                if astray > STRAY * since.value_um.size:
                    said = _fell(turns[:k], since, factor, bool(there))
                    finer = f" Its figures are finer than a fifth of a division of {step:g} µm"
                    said += finer + ("." if since.feeler_um is None else TRIED) if said else ""
                elif any(one.feeler_um is not None for one in (since, *there)):
                    said = ""
                else:
                    said = _fell(turns[:k], since, factor, bool(there) and not _told(since, step, factor))
                if said:
                    return said
    return ""


def _there(turns: Sequence[Trace], since: Trace) -> list[Trace]:
    """Turns of the mount and state that stand; none where this turn is of another."""
    stands = (turns[-1].mount, turns[-1].state)
    return [one for one in turns if (one.mount, one.state) == stands == (since.mount, since.state)]


def _coarse(step_um: float) -> bool:
    """Whether a division is so coarse that what people write down says in which parts of it they read."""
    return step_um > (1.0 - CALLED_WITHIN) * COARSE_UM


def _parts(step_um: float) -> Sequence[int]:
    """Parts of a division that people read to; of coarse ones quarters too."""
    return (4, *PARTS) if _coarse(step_um) else PARTS


def _off_the_dial(stray: int, places: int, steps: Sequence[float]) -> str:
    """Say how many figures no such dial shows."""
    dials = " or ".join(f"{step:g}" for step in dict.fromkeys(steps))
    return f"{stray} of {places} figures lie on no half or fifth of a division of {dials} µm"


def _what(one: Trace) -> str:
    """A turn as a sentence begins with it."""
    return f"the bare hub face, {one.state}," if one.kind == "hub face" else f"mount {one.mount}"


def _told(since: Trace, step_um: float, factor: float) -> bool:
    """Whether its digits tell the unit of a turn: one habit, whole hundredths lie on every second fifth or half."""
    return _coarse(step_um) and any(
        _astray(since.value_um, step_um, factor, within=True, parts=(part,)) == 0 for part in PARTS
    )


def _fell(before: Sequence[Trace], since: Trace, factor: float, stands: bool) -> str:
    """Say of one turn that it is a fraction of what was read before it; empty where it is not."""
    now, bare = tir(since.value_um), since.kind == "hub face"
    what = _what(since)
    hardly = SHRUNK if 0.0 < now <= HARDLY_UM and not bare else np.inf
    times = min(hardly, FELL if stands else np.inf)
    others = [one for one in before if now > 0.0 and (one.mount, one.state) != (since.mount, since.state)]
    was = [tir(one.value_um) for one in others if _but_one_um(one.value_um) >= times * now]
    if was:
        why = "which hardly a rotor on its hub does, and " if hardly < np.inf else "and "
        return f"{what} spans {now:.2g} µm, {why}{max(was):.0f} µm were read before; {_in_other_units(now, factor)}"
    return ""


def _but_one_um(value_um: Floats) -> float:
    """Highest less lowest without the one place on either side that may be a slip. [um]."""
    return tir(np.sort(value_um)[1:-1]) if value_um.size > 4 else 0.0


def _astray(value_um: Floats, step_um: float, factor: float, within: bool, parts: Sequence[int] = PARTS) -> int:
    """Figures of a turn that lie on no half or fifth of a division, nor, in a wider table, on a whole micrometre."""
    written = value_um / factor
    decimals = next((n for n in range(6) if np.allclose(written, written.round(n), rtol=0.0, atol=1e-6)), 6)
    last = factor * 10.0**-decimals
    on = np.zeros(value_um.shape, dtype=bool)
    for step in (step_um, *(inch for inch in INCHES_UM if abs(inch / step_um - 1.0) < CALLED_WITHIN)):
        for part in (step / number for number in parts):
            # A part with more decimals than were written stands there rounded.
            rounded = abs(part / last - round(part / last)) > 1e-6
            on |= np.abs(value_um - part * np.round(value_um / part)) <= 1e-6 + (0.5 * last if rounded else 0.0)
    if not within:
        on |= np.abs(value_um - np.round(value_um)) <= 1e-6
    return int(np.count_nonzero(~on))


def _in_other_units(widest_um: float, factor: float) -> str:
    """Question for the reader, with what the widest turn would be in the units that are mistaken for each other."""
    figure = widest_um / factor
    asked = [f"{name} ({figure * um:.0f} µm)" for name, um in OTHERS if um != factor and 5.0 <= figure * um <= 1000.0]
    return f"were they {' or '.join(asked)}?" if asked else "was another unit meant?"
