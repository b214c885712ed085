"""The report of a tolerance stack: one HTML file, the answer first, every plot, what it rests on."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from markupsafe import Markup

from scenes.pages.templated import environment
from scenes.plots import stack as plots
from scenes.words import stack as said
from scenes.words.stack_rests import rests_on

if TYPE_CHECKING:
    from sim.stack.answer import Answer


SPREAD = "How the runout is spread; hatched: over the limit. The share over it stands beside the name of each line."
BANDS = (
    "Read across from the share that may be over to the limit that gives it. Pale: 95 % bands; where no draw is over, "
    "they still end at what so many draws cannot exclude."
)


def stack_html(found: Answer, made_on: date | None = None) -> str:
    """Build the report.

    Parameters
    ----------
    found : Answer
    made_on : date, optional
        Printed date; today unless given.

    Returns
    -------
    str
        One HTML document, complete in itself.
    """
    study = found.result.study
    return (
        environment()
        .get_template("stack.html")
        .render(
            title=study.population.title,
            made_on=(made_on or date.today()).isoformat(),
            lead=said.lead(found),
            answers=[
                *said.brought_along(found),
                *said.loosest_lines(found),
                *said.road_lines(found),
                *said.fit_lines(found),
            ],
            rows=said.rows(found),
            parts=said.part_rows(found),
            further=said.further(found),
            plots=[(Markup(drawn), caption) for drawn, caption in drawings(found)],
            notes=said.notes(found),
            inputs=rests_on(found),
            study=f"{found.result.size} corners drawn, seed {study.seed}, points {study.points}, preset {study.preset}",
        )
    )


def drawings(found: Answer) -> list[tuple[str, str]]:
    """Every plot of a stack with the sentence under it."""
    out = [
        (plots.distribution(found), SPREAD),
        (plots.over_limit(found), BANDS),
        (plots.contributions(found), said.RSS),
    ]
    if found.more.get("sensitivity"):
        out.append(
            (plots.sensitivities(found), "An amplitude and its angle are one group, and so is each kind of dirt.")
        )
    out += [
        (plots.loosest(found, one), "Parts over the limit are sorted out; violet: 95 % interval of the limit.")
        for one in found.more.get("loosest", ())
    ]
    if found.more.get("road"):
        out.append((plots.claims(found), "Each corner driven with the wear that was drawn for it."))
    return [*out, (plots.vectors(found), "First orders on the hub, stud 1 at 12 o'clock.")]
