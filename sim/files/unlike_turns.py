"""Clean turns that are less alike than dial and hand make them, as a bearing with little play does: by how much.

A bearing that feels tight by hand may still let the hub lean by some hundredths of a millimetre, another way at every
place or in every turn. One turn does not tell that from a rotor's own face; what turns do not have in common does.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy.special import chdtri

from sim import turn as ring
from sim.arrays import Floats
from sim.files.clean_turn import NOISE_UM, reading_sd
from sim.files.reading_faults import Turn, read_twice
from sim.files.trace import Trace
from sim.one_thread import one_thread
from sim.parts.dial import FINE_STEP_UM

#: So seldom turns by a dial as the standard has it are as unlike: of one mounting, of several. Judgement, such that a
#: sound bearing is sent to be judged under load in at most two tables of a hundred: see `unlike`.
TAIL, TAIL_OF_SEVERAL = 0.005, 0.001
#: So seldom a rough hand and its dial part turns of one mounting so far that the hub is rocked before all else, with
#: `NOISE_UM` by whatever dial: of drawn sound bearings (hands of 0.5 to 4 um, dials of 1, 5, 10, 20 um, 6 to 24 places)
#: 1.0, 0.7, 0.8 and 0.3 % of tables of two turns. Judgement.
ROCKING_TAIL = 0.002
#: Standard deviation of one reading of a dial of 3 um a division or finer, its hand and the tip's place in it; of a
#: coarser one `NOISE_UM`. Judgement, 1.5 .. 3. [um]
FINE_NOISE_UM = 2.5
#: Divisions are written whole, in halves or in fifths; what is finer is no rounding to speak of.
PARTS = (1, 2, 5)
#: Waves a turn in which a mounting moves a rotor as well, and places beside them that say something.
WAVES, SPARE = 3, 3


@dataclass(frozen=True)
class Unlike:
    """Turns that are less alike than dial and hand make them.

    Parameters
    ----------
    mounts : tuple of int
        Of one mounting once, else of both.
    apart_um : float
        By how much they differ, highest less lowest difference, an offset free; of two mountings beside their low
        waves. [um]
    whole : bool
        Whether two mountings of one stud read so far apart, their low waves in it: `sim.bench.unlike_mountings`.
    seat : bool
        Whether both are one seat, read by two dials: `sim.bench.one_seat`.
    """

    mounts: tuple[int, ...]
    apart_um: float
    whole: bool = False
    seat: bool = False

    @property
    def one_mounting(self) -> bool:
        """Whether nobody moved the rotor between them. By definition."""
        return self.seat or len(self.mounts) == 1


@one_thread
def unlike(turns: Sequence[Trace], step_um: Callable[[Trace], float]) -> Unlike | None:
    """Say which clean turns are less alike than dial and hand make them, and by how much; None where they are alike.

    Parameters
    ----------
    turns : sequence of Trace
        Of the rotor as it was read clean, those that count.
    step_um : callable
        Division of the dial that read one. [um]

    Notes
    -----
    Two turns of one mounting as `sim.files.reading_faults.read_twice` has it, by the part of a division in which they
    were written, `TAIL` over all pairs; turns of several mountings at the same places beside the low waves in which
    putting it on moves a rotor, what each differs by from their mean. Chi-square (JCGM 100:2008). [um]

    Of drawn sound bearings (faces with ragged orders 1 .. 8, dials of 1 .. 20 um that creep and err along their travel,
    whole or half divisions) none in a hundred is told by hands that scatter by 0.5 to 3 um, 1 in a hundred by hands of
    1 to 4 um, 3 at most (three mounts, the last read twice). Of two turns of one mounting on a bearing that lets the
    hub lean by chance within 16, 20, 25 and 30 um at every place 3, 7, 9 and 9 in ten are, by a dial of 1 um 7 of
    16 um; that throws it otherwise each turn within 16, 22 and 30 um 5, 7 and 8; mountings alone tell no throw.
    """
    return _of_one_mounting(turns, step_um) or _of_several(turns, step_um)


def _of_one_mounting(turns: Sequence[Trace], step_um: Callable[[Trace], float]) -> Unlike | None:
    pairs = [(one, other) for one, other in combinations(turns, 2) if _stands(one) == _stands(other)]
    found = []
    for one, other in pairs:
        apart_um = part_by_um(one, other, (step_um(one), step_um(other)), TAIL / len(pairs))
        found += [Unlike((one.mount,), apart_um)] if apart_um else []
    return max(found, key=lambda one: one.apart_um, default=None)


def part_by_um(
    one: Trace, other: Trace, steps_um: tuple[float, float], tail: float = TAIL, noise_um: float | None = None
) -> float:
    """By how much two turns differ where that is more than dial and hand do; nought where it is not. [um].

    Parameters
    ----------
    one, other : Trace
    steps_um : (float, float)
        Divisions of the dials that read them. [um]
    tail : float
        So seldom dial and hand part as much.
    noise_um : float, optional
        Standard deviation of one reading, rounding apart; by its dial where none is given. [um]

    Notes
    -----
    Of turns of one mounting by chi-square (JCGM 100:2008), as `sim.files.reading_faults.read_twice` has it.
    """
    written = max(written_in_um(one, steps_um[0]), written_in_um(other, steps_um[1]))
    noise = max(_noise_um(step) for step in steps_um) if noise_um is None else noise_um
    fault = read_twice(_turn(one), _turn(other), written, tail, noise_um=noise)
    return 0.0 if fault is None else fault.size_um


def has_it_rocked(one: Trace, other: Trace, steps_um: tuple[float, float], pairs: int = 1) -> bool:
    """Whether two turns of one mounting part so far that the hub is rocked before all else: `ROCKING_TAIL`.

    Parameters
    ----------
    one, other : Trace
    steps_um : (float, float)
        Divisions of the dials that read them. [um]
    pairs : int
        Of how many such pairs they are one.

    Notes
    -----
    Chi-square (JCGM 100:2008), as `part_by_um` has it. [um]
    """
    return bool(part_by_um(one, other, steps_um, ROCKING_TAIL / pairs, NOISE_UM))


def _noise_um(step_um: float) -> float:
    return FINE_NOISE_UM if step_um <= FINE_STEP_UM else NOISE_UM


def _stands(one: Trace) -> tuple[object, ...]:
    return one.corner, one.mount, one.studs_turned, one.state, one.clamped_by


def _turn(one: Trace) -> Turn:
    return Turn(one.kind, one.kind, one.angle_deg, one.value_um)


def _of_several(turns: Sequence[Trace], step_um: Callable[[Trace], float]) -> Unlike | None:
    """What turns of several mountings leave beside their low waves: a rotor's own face is in all of them alike."""
    there = [one for one in turns if np.array_equal(one.angle_deg, turns[-1].angle_deg)]
    if len({one.mount for one in there}) < 2 or there[-1].angle_deg.size < 1 + 2 * WAVES + SPARE:
        return None
    steps = [step_um(one) for one in there]
    sds = [reading_sd(written_in_um(one, step), _noise_um(step)) for one, step in zip(there, steps, strict=True)]
    weight = np.array(sds) ** -2.0
    rest = np.array([_beside_waves(one) for one in there])
    off = rest - weight @ rest / weight.sum()
    freedom = (len(there) - 1) * (there[-1].angle_deg.size - 1 - 2 * WAVES)
    if float(weight @ (off**2).sum(axis=1)) <= chdtri(freedom, TAIL_OF_SEVERAL):
        return None
    furthest = max(
        combinations(range(len(there)), 2),
        key=lambda pair: (there[pair[0]].mount != there[pair[1]].mount, float(np.ptp(rest[pair[0]] - rest[pair[1]]))),
    )
    one, other = furthest
    return Unlike((there[one].mount, there[other].mount), float(np.ptp(rest[one] - rest[other])))


def _beside_waves(one: Trace) -> Floats:
    basis = ring.design_matrix(one.angle_deg, WAVES)
    rest: Floats = one.value_um - basis @ np.linalg.lstsq(basis, one.value_um, rcond=None)[0]
    return rest


def written_in_um(one: Trace, step_um: float) -> float:
    """Part of a division in which a turn was written: the whole, its half or its fifth, as its figures show. [um].

    Rounding to that is what its figures err by (JCGM 100:2008, 4.3.7).

    Examples
    --------
    >>> places = np.arange(3) * 120.0
    >>> [written_in_um(Trace("mounted", 1, 0, places, np.array([0.0, 20.0, up])), 10.0) for up in (-10.0, 5.0, 3.0)]
    [10.0, 5.0, 2.0]
    """
    off = one.value_um - one.value_um[0]
    parts = (step_um / part for part in PARTS)
    return next(
        (part for part in parts if float(np.abs(off - part * np.round(off / part)).max()) < 1e-6), step_um / PARTS[-1]
    )
