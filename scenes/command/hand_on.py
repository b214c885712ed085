"""What ``causes`` hands on: the job card for the workshop, a case file of the leading cause for ``seat``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from scenes.command import console, doing
from sim.errors import BadInput, Fault, Missing

if TYPE_CHECKING:
    from sim.causes.answer import Finding
    from sim.files.dial_readings import Readings
    from sim.parts.case import Case

CARD, PRINTED, OVERLAY = "job_card.html", "job_card.pdf", "overlay.svg"


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


def job_card(found: Finding, read: Readings, case: Case, name: str, folder: Path) -> list[doing.Made]:
    """Write the job card, its overlay of every trace beside it, and print it where a browser is there."""
    from scenes import files
    from scenes.pages import job_card as card
    from scenes.plots import causes

    page = files.write_text(folder / CARD, card.job_card_html(found, read, case, file=name))
    made = [doing.Made("job card", page)]
    if causes.leading(found):
        made.append(doing.Made("overlay", files.write_text(folder / OVERLAY, causes.overlay(found, ground=True))))
    try:
        made.append(doing.write_pdf(page, folder / PRINTED))
    except Missing as missing:
        console.err().print(f"trueseat: not printed: {missing}", markup=False, soft_wrap=True)
    return made


def case_file(found: Finding, case: Case, source: Path, target: Path) -> doing.Made:
    """Write the leading cause as a case file on the user's own.

    Raises
    ------
    Refused
        Where no case file can hold it.
    """
    from scenes import files
    from scenes.words import words
    from sim.causes import one_cause
    from sim.files.rewritten_case import rewritten

    one = one_cause.leading(found)
    low, _, high = one.runout_um
    state = "found" if found.finding else "the most probable, not found"
    remarks = (
        f"One cause alone: {one.cause} ({state}, {words.percent(one.probability)} to have the largest share).",
        f"It runs out by {words.span(low, high, 'µm', 2)} of what was read as found (80 % band); sized for the middle.",
        "What a dial does not tell (how wide dirt lies, which of two marks) is judgement. trueseat seat computes it.",
    )
    text = rewritten(source, target, one_cause.tables_of(found, case), remarks)
    return doing.Made(f"case of {one.cause}", files.write_text(target, text))
