"""Mountings of one stud, as many against as many: no middle of them counts, and one more says which of them stands."""

from __future__ import annotations

from collections.abc import Sequence

from sim.bench import last_look
from sim.bench.mountings import first_orders_apart, told_apart
from sim.bench.next_act import ANOTHER_MOUNTING_UM
from sim.bench.read_alike import by_stand, two_groups
from sim.bench.scattering import MOST_ON_A_STUD, mounts_read
from sim.bench.seatings import COUNT, ON_THE_SAME_STUD
from sim.files.dial_readings import Readings, Trace
from sim.files.read_anew import LEAST_ALIKE
from sim.files.reading_faults import TWICE, ReadingFault
from sim.files.readings_rows import CLEAN_STATES
from sim.files.rocking import by_what_was_felt
from sim.parts.case import Limits
from sim.parts.thickness import MOST_OF

#: Mounts that agree by twos, and turns half of which read over the limit.
ALIKE = "{name}: mounts {those} read alike on that stud, and mounts {these} do, otherwise than they"
HALF = (
    "{name}: {over} of {turns} turns read over the limit of {limit:.3g} µm by themselves ({each} µm), the others less"
)
#: How mountings end, and turns of one.
ONE_MORE = f", by more than mountings scatter: {{mounts}}{ON_THE_SAME_STUD}: {COUNT}"
ONCE_MORE = "read it once more as it stands; {most} turns mostly over it count as over"


def two_and_two(readings: Readings, limits: Limits) -> ReadingFault | None:
    """Say that mountings of the stud where it stands part as many against as many; None where one more settled it.

    Parameters
    ----------
    readings : Readings
        Those that count: of `sim.bench.read_alike.read_alike`.
    limits : Limits

    Notes
    -----
    By their first orders, two against two and more (JCGM 100:2008); nearer ones by what each turn reads, where half of
    them read over the limit and mountings seldom read so much more than another (`ANOTHER_MOUNTING_UM`); turns of one
    mounting where the half stands off by more than the dial scatters (`sim.bench.last_look`). [um TIR]
    """
    mounted = readings.of("mounted")
    if not mounted:
        return None
    name = f"mounted, mount {mounted[-1].mount}"
    return _by_orders(readings, name) or (_by_limit(readings, limits, name) if _clean(mounted[-1]) else None)


def parts_where_it_stands(readings: Readings) -> bool:
    """Whether mountings of the stud where it stands part: then none of them counts, and no middle of them does.

    Parameters
    ----------
    readings : Readings

    Notes
    -----
    As `sim.bench.came_back` holds them (JCGM 100:2008).
    """
    state = told_apart(readings).states[-1]
    at = dict(zip(state.mounts, state.positions, strict=True))
    return any(not pair.came_back and at[pair.mounts[0]] == state.positions[-1] for pair in state.returned)


def _clean(one: Trace) -> bool:
    return one.state in CLEAN_STATES


def _by_orders(readings: Readings, name: str) -> ReadingFault | None:
    last = readings.of("mounted")[-1]
    there = next(turns for turns in by_stand(readings) if turns[-1] is last)
    these, those = two_groups(readings, there)
    if not 1 < len(these) <= len(those) or len(these) >= LEAST_ALIKE or mounts_read(readings)[0] >= MOST_ON_A_STUD:
        return None
    apart = 2.0 * abs(first_orders_apart(readings, _of(there, these[-1]), _of(there, those[-1]))[0])
    text = ALIKE.format(name=name, those=_named(those), these=_named(these))
    return ReadingFault(TWICE, name, (), apart, 0.0, text + _one_more(readings))


def _by_limit(readings: Readings, limits: Limits, name: str) -> ReadingFault | None:
    look = last_look.of_mount(readings, limits)
    over, turns = len(look.over_um), len(look.each_um)
    if turns >= MOST_OF or not LEAST_ALIKE < turns == 2 * over or parts_where_it_stands(readings):
        return None
    apart = min(look.over_um) - max(read for read in look.each_um if read <= look.limit_um)
    if not (apart > ANOTHER_MOUNTING_UM if len(look.mounts) > 1 else look.stands_off):
        return None
    each = ", ".join(f"{one:.0f}" for one in look.over_um)
    text = HALF.format(name=name, over=over, turns=turns, limit=look.limit_um, each=each)
    once_more = by_what_was_felt(readings.bearing).first + ONCE_MORE.format(most=MOST_OF)
    text += _one_more(readings) if len(look.mounts) > 1 else once_more
    return ReadingFault(TWICE, name, (), float(apart), 0.0, text)


def _one_more(readings: Readings) -> str:
    return ONE_MORE.format(mounts=by_what_was_felt(readings.bearing).mounts)


def _of(there: Sequence[Trace], mount: int) -> Trace:
    return next(one for one in reversed(there) if one.mount == mount)


def _named(mounts: Sequence[int]) -> str:
    return f"{', '.join(map(str, mounts[:-1]))} and {mounts[-1]}"
