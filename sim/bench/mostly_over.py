"""What is read before a mount is left on: once more where turns mostly read over a limit, anew where it is gone."""

from __future__ import annotations

from dataclasses import replace

from sim.bench import last_look, second_turn, shows_play, shows_scatter, wheel_on, worse_cleaned
from sim.bench.between_places import counted_um
from sim.bench.cleaned_again import settled
from sim.bench.faces_part import over_behind
from sim.bench.finer_gauge import coarse_face
from sim.bench.judged_thickness import judged_thickness
from sim.bench.last_look import Look
from sim.bench.looked_since import changed_since
from sim.bench.next_act import bare_hub
from sim.bench.pooled_turns import as_it_stands, standing
from sim.bench.seatings import ON_THE_SAME_STUD
from sim.bench.told_by_mountings import Again
from sim.bench.two_and_two import ONCE_MORE, parts_where_it_stands, two_and_two
from sim.files.dial_readings import Readings, Trace
from sim.files.reading_faults import TWICE, ReadingFault
from sim.files.readings_rows import CLEAN_STATES
from sim.files.rocking import by_what_was_felt
from sim.parts.case import Limits
from sim.parts.dial import ABOVE, BELOW, Dial, against_limit
from sim.parts.thickness import MEAN_OF, MOST_OF

#: Traces of a mounted rotor; its mount stands no more.
FACES, GONE = ("mounted", "inboard", "radial", "thickness"), "stands no more"
#: How such turns are told, with what each of those over the limit reads.
OVER = (
    "{name}: {over} of {turns} turns read over the limit of {limit:.3g} µm by themselves ({each} µm), their middle "
    "does not"
)
#: The same of several mountings on one stud.
ANEW = f"; {ON_THE_SAME_STUD}; {{most}} turns mostly over it count as over"
MICROMETER = (
    ": mark radius and places, wipe anvils and both faces there, read it once more; {most} turns mostly over it count "
    "as over"
)
#: Of a mount that is let go by its turns, and that stands no more.
LATER = "{name} was read, but mount {later} was put on since ({kind}): read mount {later} as it stands"
OFF_SINCE = (
    "{name} was read, and the rotor came off for the bare hub face since: put it back on the same stud, tighten the "
    "nuts crosswise in stages and read it there, under the next mount number"
)


def held_back(readings: Readings, limits: Limits, again: Again | None = None) -> Readings:
    """Add what is to be read again before anything is left on: turns mostly over a limit, a mount that is gone.

    Parameters
    ----------
    readings : Readings
        Those that count: of `sim.bench.cleaned_again.settled`.
    limits : Limits
    again : Again, optional
        Of a table that was cleaned twice, as `settled` has it.

    Returns
    -------
    Readings
        The same where nothing is, or where something of that is to be read again anyway.

    Notes
    -----
    `sim.bench.last_look`, of whatever is about to be let go: the rotor as it stands, read clean, the bare hub face and
    the thickness. A later mount is told by its number, a rotor that came off by further lines of the bare face below
    those of its mount. Judgement; [um]
    """
    told = {one.trace for one in readings.faults if not one.answer}
    found = (
        two_and_two(readings, limits) or _mount(readings, limits, again),
        _thickness(readings, limits),
        _face(readings, limits),
        wheel_on.held(readings, limits.mounted_runout_um),
        over_behind(readings, limits.mounted_runout_um),
        worse_cleaned.asked(readings, limits),
    )
    more = tuple(one for one in found if one is not None and one.trace not in told)
    held = replace(readings, faults=(*readings.faults, *more)) if more else readings
    return shows_play.told(held)


def as_it_counts(readings: Readings, limits: Limits) -> tuple[Readings, Again | None]:
    """Settle a table (`sim.bench.cleaned_again`), and hold back what is to be read again before anything is left on.

    Parameters
    ----------
    readings : Readings
        As it was read.
    limits : Limits

    Returns
    -------
    readings : Readings
        As `held_back` has them.
    again : Again or None
        What a second cleaning did, as `settled` has it.
    """
    read, again = settled(readings)
    return held_back(read, limits, again), again


def _mount(readings: Readings, limits: Limits, again: Again | None) -> ReadingFault | None:
    mounted = readings.of("mounted")
    if not mounted or mounted[-1].state not in CLEAN_STATES:
        return None  # over dirt nothing is left on
    now = standing(mounted, [readings.step_um(one) for one in mounted])
    step_um = readings.step_um(now)
    read_um = counted_um(now, step_um)
    state = against_limit(read_um, limits.mounted_runout_um, Dial(step_um, now.turns).doubt_um)
    goes_on = state == BELOW or (now.turns >= MEAN_OF and state != ABOVE and read_um <= limits.mounted_runout_um)
    if not goes_on:
        return None
    name = f"mounted, mount {mounted[-1].mount}"
    face = bare_hub(readings, limits)
    if face is not None and face.state == ABOVE:
        return None  # that hub goes whatever is read on it: no rotor is put back for one more turn
    bare = face is not None and (face.to_look_at or coarse_face(face))  # looked at or read finer while it is
    gone = None if bare else _gone(readings, name)
    look = last_look.of_mount(readings, limits)
    steps = [readings.step_um(one) for one in mounted]
    if len({one.mount for one in as_it_stands(mounted, steps)}) == 1:
        return (
            gone
            or _told(name, look, by_what_was_felt(readings.bearing).first + ONCE_MORE)
            or _shown(readings, again, limits.mounted_runout_um - read_um)
        )
    # Two mountings may differ; which of them counts has rules of its own (`sim.bench.read_alike`, `next_act`).
    told = _told(name, look, ANEW) if len(look.each_um) > 2 and not parts_where_it_stands(readings) else None
    return gone or told or _shown(readings, again, limits.mounted_runout_um - read_um)


def _shown(readings: Readings, again: Again | None, room_um: float) -> ReadingFault | None:
    """What mountings show that one more tells: over play no scatter is seen, and the second turn comes first.

    That `sim.bench.next_act` orders of every mount.
    """
    play_first = second_turn.wanted(readings, None) and shows_play.shown(readings)
    return None if play_first else shows_scatter.asked(readings, again, room_um)


def _gone(readings: Readings, name: str) -> ReadingFault | None:
    """Say what was done since the last mounted turn was read, where the rotor does not stand as it did; else None."""
    if changed_since(readings):
        return None  # it is read anew for that
    last = readings.of("mounted")[-1]
    later = next((one for one in readings.as_entered if _put_on(one) and one.mount > last.mount), None)
    faces = [one.line for one in readings.with_parts_of("hub face")]
    off = last.line and min(faces, default=0) < last.line < max(faces, default=0)
    if later is None and not off:
        return None
    text = OFF_SINCE if later is None else LATER.format(name="{name}", later=later.mount, kind=later.kind)
    return ReadingFault(GONE, name, (), 0.0, 0.0, text.format(name=name))


def _put_on(one: Trace) -> bool:
    """Whether a line is of a mounting to be judged; with the wheel on the inner face is (`sim.bench.wheel_on`)."""
    return one.kind in FACES and not (one.kind == "inboard" and one.clamped_by == wheel_on.WHEEL)


def _thickness(readings: Readings, limits: Limits) -> ReadingFault | None:
    trace = readings.thickness
    if trace is None:
        return None
    varies = judged_thickness(readings, trace, limits)
    goes_on = varies.state == BELOW or (varies.state != ABOVE and varies.turns >= MEAN_OF and not varies.reads_over)
    look = last_look.of_thickness(readings, limits)
    return _told(f"thickness, mount {trace.mount}", look, MICROMETER) if goes_on else None


def _face(readings: Readings, limits: Limits) -> ReadingFault | None:
    face = bare_hub(readings, limits)
    if face is None or not (face.state == BELOW or face.let_be):
        return None
    return _told("hub face", last_look.of_face(readings, face), by_what_was_felt(readings.bearing).first + ONCE_MORE)


def _told(name: str, look: Look, do: str) -> ReadingFault | None:
    """Say it of turns that are to be read on; None of others."""
    if not look.read_on:
        return None
    text = OVER.format(
        name=name,
        over=len(look.over_um),
        turns=len(look.each_um),
        limit=look.limit_um,
        each=", ".join(f"{one:.0f}" for one in look.over_um),
    )
    size = max(look.each_um) - min(look.each_um)
    return ReadingFault(TWICE, name, (), size, 0.0, text + do.format(most=MOST_OF))
