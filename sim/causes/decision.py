"""What a table of readings orders, with a corner's geometry or without: one decision for every command."""

from __future__ import annotations

from dataclasses import dataclass

from sim.bench.face_first import ordered
from sim.bench.foreseen import foreseen
from sim.bench.mostly_over import as_it_counts
from sim.bench.mountings import told_apart
from sim.bench.next_act import BACK, Act
from sim.bench.told_by_mountings import ToldApart
from sim.causes import finding, names
from sim.causes.answer import Finding
from sim.causes.one_act import LEFT_ON, NAMED, first_step, shows_play
from sim.causes.priors import Priors
from sim.files.dial_readings import Readings
from sim.files.readings_rows import CLEAN_STATES
from sim.parts.case import Case, Limits
from sim.progress import Progress, silent


@dataclass(frozen=True, eq=False)
class Decision:
    """A table that was asked what to do.

    Parameters
    ----------
    read : Readings
        The turns that count.
    told : ToldApart
        What they tell by themselves.
    limits : Limits
    act : Act
        What they order by themselves.
    case : Case or None
    found : Finding or None
        With a case: what leads then.
    """

    read: Readings
    told: ToldApart
    limits: Limits
    act: Act
    case: Case | None = None
    found: Finding | None = None

    @property
    def steps(self) -> tuple[str, ...]:
        """What is done, by the names of `sim.causes.names`; "" ends the rule.

        First what is ordered; behind it what follows if that changes nothing, where readings alone decide.
        """
        if self.found is not None:
            first = first_step(self.found.do, self.told.states[-1].state in CLEAN_STATES)
            return (self._led(first), names.INDEX) if self.found.do == names.CLEAN_THEN_INDEX else (self._led(first),)
        return tuple(self._led(NAMED[one.what]) for one in self._acts)

    def _led(self, step: str) -> str:
        """The bearing in place of an end that turns which show play leave on."""
        return names.SCATTERS if step in LEFT_ON and shows_play(self.told) else step

    @property
    def moved_to(self) -> int | None:
        """Stud position from stud 1 on which the rotor is put to stay, now or behind what is ordered; None for none."""
        if names.INDEX not in self.steps:
            return None
        if self.found is not None:
            return self.found.best_stud
        return next(one.studs_turned for one in self._acts if NAMED[one.what] == names.INDEX)

    @property
    def back(self) -> bool:
        """Whether it goes back on a stud that was read: what it reads there is known."""
        return self.found is None and self.act.what == BACK

    @property
    def tried(self) -> tuple[int, ...]:
        """Stud positions that were read as the corner stands, but for one that it is put back on."""
        return tuple(at for at in self.told.states[-1].positions if at != self.moved_to)

    @property
    def _acts(self) -> tuple[Act, ...]:
        return (self.act, *foreseen(self.read, self.told, self.limits, self.act))


def decide(
    readings: Readings,
    limits: Limits,
    case: Case | None = None,
    priors: Priors = Priors(),  # noqa: B008
    drove_after_fitting_km: float | None = None,
    progress: Progress = silent,
) -> Decision:
    """Ask a table what to do.

    Parameters
    ----------
    readings : Readings
        One mounted trace or more, of one corner.
    limits : Limits
        Those of the case, where there is one.
    case : Case, optional
        Its geometry ranks causes, and they decide with the readings.
    priors, drove_after_fitting_km, progress
        As `sim.causes.finding.weigh` takes them, with a case. [km]

    Returns
    -------
    Decision

    Notes
    -----
    Refuses what `sim.bench.mountings.told_apart` and `weigh` refuse. By rule, and least expected cost.
    """
    read, again = as_it_counts(readings, limits)
    told = told_apart(read, again)
    act = ordered(read, told, limits)
    if case is None:
        return Decision(read, told, limits, act)
    found = finding.weigh(readings, case, priors, drove_after_fitting_km=drove_after_fitting_km, progress=progress)
    return Decision(read, told, limits, act, case, found)
