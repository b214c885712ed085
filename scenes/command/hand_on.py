"""What ``causes`` hands on: the job card for the workshop, a case file of the leading cause for ``seat``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scenes.command import console, doing
from sim.errors import BadInput, Fault, Missing, Refused

if TYPE_CHECKING:
    from sim.causes.answer import Finding
    from sim.files.dial_readings import Readings
    from sim.parts.case import Case

CARD, PRINTED, OVERLAY, PINS = "job_card.html", "job_card.pdf", "overlay.svg", "pins.png"


def need_new(path: Path | None) -> None:
    """Refuse a case file that would take another's place, before anything is computed."""
    from scenes import files

    if path is None:
        return
    if path.suffix.lower() != ".toml":
        raise BadInput(Fault("a case file is a .toml file", str(path), key="--write-case", allowed="FILE.toml"))
    if path.exists():
        raise BadInput(Fault("is there already and is not overwritten", str(path), key="--write-case"))
    files.folder(path.parent)


@dataclass(frozen=True, eq=False)
class Weighed:
    """A finding with what it was made from: readings, corner, and the file of the corner."""

    found: Finding
    read: Readings
    case: Case
    source: Path


def job_card(of: Weighed, name: str, folder: Path) -> list[doing.Made]:
    """Write the job card, the overlay of every trace and the pins; print the card where a browser is there."""
    from scenes import files
    from scenes.pages import job_card as card
    from scenes.plots import causes

    page = files.write_text(folder / CARD, card.job_card_html(of.found, of.read, of.case, file=name))
    made = [doing.Made("job card", page)]
    if causes.leading(of.found):
        made.append(
            doing.Made(
                "overlay",
                files.write_text(folder / OVERLAY, causes.overlay(of.found, ground=True, turned=of.read.turned)),
            )
        )
    for without, more in (("not printed", _printed), ("no picture of pins", _pins)):
        try:
            made += more(of, folder)
        except (Missing, Refused) as lacking:
            console.err().print(f"trueseat: {without}: {lacking}", markup=False, soft_wrap=True)
    return made


def _printed(of: Weighed, folder: Path) -> list[doing.Made]:
    return [doing.write_pdf(folder / CARD, folder / PRINTED)]


def _pins(of: Weighed, folder: Path) -> list[doing.Made]:
    """Draw the readings as found round the rim of the corner of the leading cause, where a case can hold it."""
    from scenes.stage import pins
    from sim import chain
    from sim.causes import one_cause
    from sim.files.case_file import case_from_text
    from sim.files.rewritten_case import rewritten

    doing.need_gl()
    as_found = {mount for state in of.found.told.states if state.state == "as found" for mount in state.mounts}
    traces = [one for one in of.found.fitted if one.trace == "mounted"]
    one = next((one for one in reversed(traces) if one.mount in as_found), None)
    if one is None or of.found.none_fits:
        return []
    text = rewritten(of.source, of.source, _tables(of.found, of.case))
    run = chain.compute(case_from_text(text, folder=of.source.parent), None)
    cause = one_cause.leading(of.found).cause
    return [doing.Made("pins", pins.write(run, one, cause, folder / PINS, of.read.turned))]


def case_file(found: Finding, case: Case, source: Path, target: Path) -> doing.Made:
    """Write the leading cause as a case file on the user's own.

    Raises
    ------
    Refused
        Where no case file can hold it.
    """
    from scenes import files
    from scenes.words import causes as said
    from scenes.words import words
    from sim.causes import one_cause
    from sim.files.rewritten_case import rewritten

    one = one_cause.leading(found)
    share = said.whole(one.if_there_um or one.runout_um)
    state = "found" if found.finding else "the most probable, not found"
    remarks = (
        f"One cause alone: {one.cause} ({state}, {words.chance(one.probability)} to have the largest share).",
        f"It runs out by {share} of what was read as found (80 % band); sized for the middle.",
        "What a dial does not tell (how wide dirt lies, which of two marks) is judgement. trueseat seat computes it.",
    )
    text = rewritten(source, target, _tables(found, case), remarks)
    return doing.Made(f"case of {one.cause}", files.write_text(target, text))


def _tables(found: Finding, case: Case) -> dict[str, Any]:
    """Keys of the leading cause alone, and the thickness that counts where the case's own file states another."""
    from sim.causes import one_cause

    tables = one_cause.tables_of(found, case)
    if case.where_from("rotor", "thickness_mm") == "the case file":
        tables["rotor"] |= {"thickness_mm": case.rotor.thickness_mm}
    return tables
