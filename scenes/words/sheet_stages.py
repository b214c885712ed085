"""The stages of a fitting sheet: a corner's own list in its own order, with how each is done and its cautions."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from scenes.words import cautions, held_to_read, steps, work_order
from scenes.words.held_to_read import MARK_AND_HOLD, READ_AS_FOUND, THICKNESS_ALONE
from scenes.words.piece_of_work import Stage, Work
from sim.parts.fastener import nouns

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scenes.words.steps import Step
    from sim.parts.case import Case

#: The first pieces of work of which one, where it is done, brings the cautions of a moment.
MOMENT_AT = {
    "before lifting": ("support",),
    "wheel off": ("lift",),
    "caliper off": ("caliper off",),
    "rotor off": ("rotor off",),
    "cleaning": ("clean",),
    "fitting": ("fit",),
    "tightening": ("spacers", "tighten", "wheel"),
    "reading": ("as found", "thickness", "hub face", "read"),
    "before moving": ("pedal",),
    "first drive": ("bed in",),
}
#: Done at a rotor before it comes off, or once it is fitted.
AT_THE_ROTOR = ("dial", "tighten", "read")
#: What is fitted, where it is another one.
FITTED = ("rotor", "rotor as given")
NOW, AS_READ = "Now", "As it was read last"
MARKED, READ_AS_IT_STANDS = "Wheel off: mark the rotor", "Read as it stands"
STANDS = "Held as it was read"
NEXT_TIME = (
    "Stages 2 to {last} are for when it is read at the next service, or comes off for something else: nothing of them "
    "is done now."
)
GO_ON = "On with stage {then}. Was it on its wheels since: stages 2 to {last} first."


def any_corner(case: Case, any_car: bool = False) -> tuple[Stage, ...]:
    """Every stage of the order of work, for a corner of which nothing was computed or read; as there."""
    return cautioned(work_order.stages(case, any_car), case)


def of_list(case: Case, listed: Iterable[Step]) -> tuple[Stage, ...]:
    """Make the stages of a sheet from what a corner asks for, nothing left out and nothing beside it.

    Parameters
    ----------
    case : Case
    listed : iterable of Step
        As `scenes.words.to_do` orders it.

    Returns
    -------
    tuple of Stage
        A rotor that simply stays on has its list, and behind it the order of work for the next time; one that is held
        as it was read has what leads there behind its first stage.
    """
    works = tuple(work for step in listed for work in step.works)
    if not any("wheel off" in work.keys for work in works):
        behind = work_order.stages(case)
        note = Work("", NEXT_TIME.format(last=len(behind) + 1))
        return cautioned((Stage(NOW, (*works, note)), *behind), case)
    if works[0].keys == steps.AS_READ:
        behind = _grouped(case, work_order.works(case, steps.AS_READ))
        go_on = Work("", GO_ON.format(then=len(behind) + 2, last=len(behind) + 1))
        stands = replace(works[0], what=held_to_read.stands_as_read(case))
        return cautioned((Stage(AS_READ, (stands, go_on)), *behind, *_grouped(case, works[1:])), case)
    return cautioned(_grouped(case, works), case)


def _grouped(case: Case, works: Iterable[Work]) -> tuple[Stage, ...]:
    """Pieces of work in their order, under the names of the stages to which they belong."""
    name_of = {one.key: stage.name for stage in work_order.stages(case) for one in stage.works}
    groups: list[tuple[str, list[Work]]] = []
    off = False
    for work in works:
        off = off or work.key == "rotor off"
        before = groups[-1][0] if groups else NOW
        if work.key in AT_THE_ROTOR:
            name = name_of["fit"] if off else READ_AS_FOUND
        else:
            name = name_of["fit"] if work.key in FITTED else name_of.get(work.key, before)
        if name != before or not groups:
            groups.append((name, []))
        groups[-1][1].append(work)
        if work.key == "bed in":
            groups[-1][1].append(work_order.work(case, "dust"))
    return tuple(Stage(_called(name, {one.key for one in there}), tuple(there)) for name, there in groups)


def _called(name: str, keys: set[str]) -> str:
    """Name of a stage by what is done in it: what was not held is only marked, and one may be measured alone."""
    if name == MARK_AND_HOLD and "mark" not in keys:
        return STANDS  # wheel and caliper were off when it was read
    if name == MARK_AND_HOLD and not keys & {"home", "spacers"}:
        return MARKED
    if name == READ_AS_FOUND and "as found" not in keys:
        return READ_AS_IT_STANDS if keys & {*AT_THE_ROTOR} else THICKNESS_ALONE
    return name


def cautioned(stages: Iterable[Stage], case: Case) -> tuple[Stage, ...]:
    """The same stages, each with the cautions of the moments that begin there; each caution once."""
    call, told = nouns(case.studs), set()
    made = []
    for stage in stages:
        keys = {key for work in stage.works for key in work.keys}
        here = [moment for moment, first in MOMENT_AT.items() if moment not in told and keys & {*first}]
        told |= {*here}
        made.append(replace(stage, cautions=cautions.at(*here, call=call)))
    return tuple(made)
