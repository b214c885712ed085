"""What a table of readings orders beside a forecast driven from it: it leads where the corner's list has it not."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from scenes.words import acts, card_boxes, causes_first, held_to_read, rocked, steps, to_do, to_new_table
from scenes.words.causes import read_now
from scenes.words.causes_work import RENEWED
from scenes.words.steps import Step
from scenes.words.work_list import Asked, held
from sim.bench import bearing_asked
from sim.causes import names
from sim.causes.one_act import MOVES, first_step
from sim.files.readings_rows import CLEAN_STATES
from sim.parts.thickness import MEAN_OF

if TYPE_CHECKING:
    from sim.bench.told_by_mountings import ToldApart
    from sim.causes.decision import Decision

LEADS = "By these readings, before any figure below: {lead}"
AS_ORDERED = (
    "Do what the readings order: the first line of this answer (its card: trueseat causes {table} --case {case} --out "
    "FOLDER)."
)
INTO_IT = " What is read goes into the table."
READ_INTO_IT = "All that was read into the table; the runout under the next mount number, with its state."
ASK_AGAIN = "Ask again with the longer table. Nothing is bought, and nothing goes back on, before an answer orders it."
#: Of a hub that is to be rocked.
ASK_FELT = (
    "Ask again with what was felt in the table's head. Nothing is bought, and nothing goes back on, before an answer "
    "orders it."
)

BY_STAMP = (acts.RENEW_IT, acts.READ_THE_STAMP)
#: What renews a part, or may: its list ends at a new table, as the card of the same table.
NEW_PART = (*BY_STAMP, *RENEWED)


#: What is done to read on: its list ends where that reading is, as the card of the same table does.
SEARCHES = (names.CLEAN, names.MEASURE + names.BARE_HUB, names.MEASURE + names.THICKNESS, *MOVES)


def leads(run: Any, decided: Decision, lead: str) -> str:
    """Say what the readings order, where the list of the corner does something else; empty where it does not.

    Parameters
    ----------
    run : Any
        Driven from those readings.
    decided : Decision
        With the corner's case.
    lead : str
        Its order in words (`scenes.words.causes_first.first_line`).
    """
    return "" if _in_the_list(run, decided) else LEADS.format(lead=lead)


def next_steps(run: Any, decided: Decision, table: str, case: str) -> tuple[Step, ...]:
    """List what to do: as the corner's list, or as the table alone orders it, where that is something else.

    Parameters
    ----------
    run : Any
        Driven from those readings.
    decided : Decision
        With the corner's case.
    table, case : str
        Their names, for the command that makes the card.
    """
    return _bearing_first(_next_steps(run, decided, table, case), decided.told)


def _bearing_first(listed: tuple[Step, ...], told: ToldApart) -> tuple[Step, ...]:
    """Have a bearing judged under load before a list leaves the rotor on; a hub that was rocked is rocked no more."""
    if not bearing_asked.for_play(told):
        works = ((step, tuple(work for work in step.works if work.key != "flange play")) for step in listed)
        listed = tuple(replace(step, works=left) for step, left in works if left)
    at = next((k for k, step in enumerate(listed) if step == steps.CHECKED or step in steps.STAYS), None)
    load = rocked.load_step(told)
    return listed if at is None or not load else (*listed[:at], steps.own(load), *listed[at:])


def _next_steps(run: Any, decided: Decision, table: str, case: str) -> tuple[Step, ...]:
    """Choose the list, before what its bearing needs."""
    listed, asked, do = to_do.next_steps(run), to_do.asked_of(run), _ordered(decided)[0]
    if do in BY_STAMP and to_new_table.begins_there(run.case, asked, run.reading):
        return to_new_table.by_stamp(run.case, asked, any(one.why == steps.RENEW.why for one in asked.rotor))
    if _in_the_list(run, decided):
        if do in NEW_PART:
            return to_new_table.ended(listed, do == acts.READ_THE_STAMP)
        return _asked_again(listed) if do in SEARCHES and not _before_readings(decided) else listed
    if do == names.LEAVE or _left_at_its_limit(decided):
        return to_do.left_on(run, asked)
    first: tuple[Step, ...] = (steps.own(held_to_read.as_read_last(run.case), "", *steps.AS_READ),)
    if not to_do.stands(run):
        first = held(run.case, Asked(nuts=asked.nuts, brake=asked.brake), "dial")
    keys = dict.fromkeys(key for step in listed for key in step.keys)  # their cautions stand below it
    if do == names.SCATTERS and decided.found is not None and rocked.ends_so(decided.told, decided.found.do):
        return *first, steps.own(card_boxes.ROCKED_CHECK, "", *keys), steps.own(ASK_FELT)  # no reading more would tell
    return *first, steps.own(AS_ORDERED.format(table=table, case=case) + INTO_IT, "", *keys), steps.own(ASK_AGAIN)


def _in_the_list(run: Any, decided: Decision) -> bool:
    """Whether the corner's own list does what the readings order, or what comes before every reading.

    What a list leaves on by its figures stays only where the readings leave it on too.
    """
    case = decided.case
    if decided.found is None or case is None or _before_readings(decided):
        return True
    listed, asked = to_do.next_steps(run), to_do.asked_of(run)
    cleaned = decided.told.states[-1].state in CLEAN_STATES
    do, stud = _ordered(decided)
    if do in MOVES:
        return stud is not None and to_do.move_to(run, asked) == stud + 1
    stays = bool(set(steps.STAYS) & set(listed))
    has = {
        # Over the limit as driven it is worked on, whatever the dial lets stay: both figures stand.
        names.LEAVE: stays or run.reading.driven_um[1] > case.limits.mounted_runout_um,
        names.CLEAN: not cleaned and not stays,
        names.MEASURE + names.BARE_HUB: not cleaned and not stays,
        names.MEASURE + names.THICKNESS: any("thickness" in step.keys for step in listed),
        # A bare face that is read once more buys no hub before that.
        names.HUB_AND_BEARING: asked.hub in steps.HUBS and causes_first.by_machine(decided)["next"] is None,
        names.RENEW: bool(asked.rotor),
        names.UNEVEN_COUNTED: bool(asked.rotor),
        acts.RENEW_IT: bool(asked.rotor),
        acts.READ_THE_STAMP: asked.stamp is not None and not cleaned,
    }
    return has.get(do, False)


def _before_readings(decided: Decision) -> bool:
    """Whether something that the case states comes before every reading."""
    found, case = decided.found, decided.case
    return found is not None and case is not None and bool(causes_first.before_readings(found, case))


def _asked_again(listed: tuple[Step, ...]) -> tuple[Step, ...]:
    """The corner's list as far as the reading that it makes: the table says what follows that, not a list before it."""
    rest = next((k for k, step in enumerate(listed) if "the rest" in step.keys), None)
    return listed if rest is None else (*listed[:rest], steps.own(READ_INTO_IT), steps.own(ASK_AGAIN))


def _ordered(decided: Decision) -> tuple[str, int | None]:
    """What hands do first by the readings, and on which stud it is read. [pitches from stud 1]."""
    told = causes_first.by_machine(decided)
    return first_step(told["do"], decided.told.states[-1].state in CLEAN_STATES), told["next_studs_turned"]


def _left_at_its_limit(decided: Decision) -> bool:
    """Whether reading ended at the limit, and the middle of its turns leaves it on: no reading is asked any more."""
    found = decided.found
    end = found is not None and causes_first.by_machine(decided)["do"] == names.AT_LIMIT and found.turns >= MEAN_OF
    return end and found is not None and read_now(found) <= found.limit_um
