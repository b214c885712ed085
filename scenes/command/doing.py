"""What the commands do, without printing: open a case or a run, compute it, write its plots, pictures and reports."""

from __future__ import annotations

import io
import os
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import demo_geometry
from scenes import files
from scenes.command import console, told
from scenes.words import fastening, spigot, words
from sim.errors import BadInput, Fault, Missing, Refused
from sim.files import case_file as cases
from sim.files import starter as starters
from sim.parts import remarks
from sim.progress import Progress, silent

if TYPE_CHECKING:
    from scenes.film.film import Reel
    from scenes.words.steps import Step
    from sim.chain import Run
    from sim.parts.case import Case

# Drawing (matplotlib, pyvista, jinja2) costs up to a second to load, solving half a second. Each is imported in the
# functions that do it, so that a seating or a forecast does not wait for drawing, nor a check for either.


DEMO = {"dirty": "demo_dirty", "clean": "demo_clean"}
PLOTS = ("runout", "orders", "face", "road", "ring", "torque", "speed")
STILLS = (
    "corner",
    "hub face",
    "between the pads",
    "section",
    "ruler",
)  # as in scenes.stage.stills, which is slow to load
PAGES = (".html", ".pdf")
FLAT = ("section", "ruler")  # stills that need no GL
SPIGOT = "spigot"  # the story that is told in section views and needs no GL
FAULT = "where is the fault"
STORIES = (FAULT, *told.STORIES, "clean against dirty", SPIGOT)
CAPTIONS = {
    "corner": "The corner held for reading, computed, the hat cut open. Stretch and true figures stand in it.",
    "hub face": "The hub face as it is met when the rotor comes off; pressed as held for reading.",
    "between the pads": "Both pad gaps, held for reading, at the high spot and at the low spot; lenses at one scale.",
    "section": "Section through rotor and hub at the dirt, held for reading.",
    "ruler": "One ruler for all: a hair, the dirt, the rim's computed runout, the pads' clearance, what is felt.",
}
WINDOW = (1280, 800)  # [pixels]


@dataclass(frozen=True)
class Made:
    """A file that was written: what it is, in words, and where."""

    what: str
    path: Path


def open_case(path: Path) -> Case:
    """Read a case file; every fault of it at once, and to stderr what its writer may not have meant.

    Raises
    ------
    BadInput
        With file, line, key, reason and what is allowed.
    """
    console.speak_of()  # what is wrong with a file is not said of the corner before it
    case = cases.load_case(path)
    console.speak_of(case)
    console.remark(path, remarks.notes(case))
    return case


def demo_case(which: str) -> Case:
    """Demo corner, ``dirty`` or ``clean``, as shipped with the program."""
    return cases.load_case(demo_geometry.file(DEMO[which]))


def open_run(path: Path, km: float, progress: Progress) -> Run:
    """Open a run folder, or compute a case file.

    Parameters
    ----------
    path : Path
        A folder written by ``--out``, or a case file.
    km : float
        Distance to drive when it has to be computed. [km]
    progress : callable(fraction, what)

    Raises
    ------
    BadInput, Refused
    """
    from sim import chain as runs
    from sim.corner.road_state import unfit
    from sim.parts.stuck_caliper import stuck
    from sim.parts.worn_pads import worn_out

    if path.is_dir():
        from sim import run_folder

        run = run_folder.load(path)
        console.speak_of(run.case)
        return run
    case = open_case(path)
    if case.spigot_scale:
        seated = runs.compute(case, None, progress=lambda done, what: progress(0.4 * done, what))
        if seated.spigot is not None and seated.spigot["home"] != "home":
            return seated  # a rotor that is not home is looked at, not driven
    if unfit(case.studs) or worn_out(case):
        return runs.compute(case, None, progress=progress)  # nor is one whose nuts or pads nobody may drive with
    try:
        return runs.compute(case, km, progress=progress)
    except Refused:
        if not stuck(case):
            raise
        return runs.compute(case, None, progress=progress)  # the list of its work stands without its road


def draw(run: Run, kind: str) -> str:
    """Draw one plot of a run as SVG of its own.

    Raises
    ------
    BadInput
        For a kind that does not exist, or that needs a road which this run has not.
    """
    from scenes.plots import hub_map, road, runout, wear

    if kind in PLOTS[3:] and run.forecast is None:
        raise BadInput(Fault(f"the plot {kind!r} needs a road driven", allowed="compute it with: trueseat drive"))
    makers: dict[str, Callable[[], str]] = {
        "runout": lambda: runout.runout_trace(run.seat, ground=True),
        "orders": lambda: runout.harmonics_bars(run.seat, ground=True),
        "face": lambda: hub_map.hub_map(run.seat, ground=True),
        "road": lambda: wear.dtv_growth(run, ground=True),
        "ring": lambda: wear.ring_map(run, ground=True),
        "torque": lambda: wear.torque_orders(run, ground=True),
        "speed": lambda: road.speeds(run, ground=True),
    }
    known_kind(kind)
    return fastening.said_html(makers[kind](), run.case)


def write_run(run: Run, folder: Path) -> list[Made]:
    """Write a run folder with its plots."""
    from sim import run_folder

    run_folder.save(run, folder)
    made = [Made("run", folder)]
    kinds: tuple[str, ...] = PLOTS if run.forecast is not None else PLOTS[:3]
    if run.reading is not None:
        kinds = PLOTS[3:]  # the first three draw the seating of the case, which is not what was read on the car
    for kind in kinds:
        made.append(Made(f"plot: {kind}", files.write_text(folder / f"{kind}.svg", draw(run, kind))))
    return made


def write_report(run: Run, path: Path, pictures: tuple[Any, ...] = ()) -> Made:
    """Write the report of one corner as one HTML file."""
    from scenes.pages import report

    return Made("report", report.write(report.report_html(run, pictures), path))


def write_pdf(html: Path, pdf: Path) -> Made:
    """Print a report to PDF.

    Raises
    ------
    Missing
        Without a browser that prints.
    """
    from scenes.pages import pdf as printer

    return Made("report for printing", printer.to_pdf(html, pdf))


def page_ending(path: Path) -> None:
    """Refuse an ending that is no page, and a PDF where nothing prints, before anything is computed.

    Raises
    ------
    BadInput
        For another ending.
    Missing
        Without a browser that prints.
    """
    from scenes.pages import pdf as printer

    if path.suffix.lower() not in PAGES:
        raise BadInput(Fault(f"this is a page: {' or '.join(PAGES)}", str(path), allowed=" or ".join(PAGES)))
    if path.suffix.lower() == ".pdf":
        printer.browser()


def write_page(what: str, html: str, path: Path) -> Made:
    """Write a page as HTML, or print it to PDF where its ending says so."""
    from scenes.pages import pdf as printer

    if path.suffix.lower() != ".pdf":
        return Made(what, files.write_text(path, html))
    with tempfile.TemporaryDirectory(prefix="trueseat-page-") as folder:
        page = files.write_text(Path(folder) / "page.html", html)
        return Made(what, printer.to_pdf(page, path))


def write_still(run: Run, kind: str, path: Path) -> Made:
    """Draw a still of the corner.

    Raises
    ------
    Missing
        Without GL, for what is drawn in three dimensions.
    """
    from scenes.stage import stills as pictures

    return Made(f"picture: {kind}", pictures.picture(run, kind, path))


def open_told(path: Path, story: str, km: float, progress: Progress) -> Run:
    """Open what a story is told of: driven, unless the story ends on the hub.

    Raises
    ------
    BadInput, Refused
    """
    from sim import chain as runs

    if path.is_dir() or story not in (SPIGOT, FAULT, *told.OF_A_SEAT):
        return open_run(path, km, progress)
    case = open_case(path)
    return runs.compute(case, None, progress=progress, fields_too=False) if story == SPIGOT else runs.seated_alone(case)


def way_on(run: Run, progress: Progress) -> Any:
    """Follow the rotor of a run on to its spigot.

    Raises
    ------
    BadInput
        Without scale on the spigot.
    Refused
        If a state cannot be solved with proof.
    """
    from sim.spigot import way_on as pushed

    return pushed.way_on(run.case, run.seat.preset, progress)


def write_storyboard(run: Run, story: str, path: Path, progress: Progress = silent) -> Made:
    """Draw six frames of a story on one sheet, as PNG.

    Raises
    ------
    Missing
        Without GL, where the story is told in three dimensions.
    """
    from PIL import Image

    from scenes.film import film

    content = io.BytesIO()
    image = film.storyboard(reel(run, story, progress))
    Image.fromarray(image).save(content, format="PNG", optimize=True)
    return Made("storyboard", files.write_bytes(path, content.getvalue()))


def story_runs(story: str, run: Run, clean: Run | None) -> tuple[Run, ...]:
    """Corners that a story tells of: the clean partner is computed where it is wanted and not given."""
    from sim import chain as runs

    if story == FAULT:
        return (clean or runs.seated_alone(run.case.cleaned()), run)
    km = runs.DEFAULT_KM if run.forecast is None else float(run.forecast.distance_km[-1])
    full = run if run.forecast is not None else runs.compute(run.case, km)
    return (clean or runs.compute(run.case.cleaned(), km), full)


def reel(run: Run, story: str, progress: Progress = silent, clean: Run | None = None, draft: bool = False) -> Reel[Any]:
    """Story of a run with what draws it; ``draft`` counts where a film is told on the stage at true size."""
    if story == FAULT:
        from scenes.film import fault_film, fault_story

        fault_story.need(run)
        return fault_film.reel(fault_story.tell(*story_runs(story, run, clean)), draft)
    if story == SPIGOT:
        from scenes.film import spigot_film, spigot_story

        spigot_story.need(run.case)
        return spigot_film.reel(spigot_story.tell(way_on(run, progress)), draft)
    if story in told.STORIES:
        return told.reel(run, story, draft)
    from scenes.film import stage_film, stories

    return stage_film.reel(stories.told(*story_runs(story, run, clean)), draft)


def write_film(
    run: Run, story: str, path: Path, progress: Progress, clean: Run | None = None, draft: bool = False
) -> Made:
    """Make the film of a story; ``draft``: half the size, for a trial.

    Raises
    ------
    BadInput
        For a story that does not exist, or another ending than .mp4 or .gif.
    Missing
        Without GL or the encoder.
    """
    from scenes.film import film

    before = 0.3 if story == SPIGOT else 0.0  # the way on is computed first
    whole = reel(run, story, lambda done, what: progress(before * done, what), clean, draft)
    return Made("film", film.make(whole, path, lambda done, what: progress(before + (1.0 - before) * done, what)))


def write_positions(advice: Any, folder: Path) -> list[Made]:
    """Draw what each stud position leaves and which way to move the rotor."""
    from scenes.command import cure
    from scenes.plots import cure as plots_cure

    told = plots_cure.Told(cure.reads(advice), advice.answer["floor_uncertainty_um"], advice.turned)
    drawing = plots_cure.positions(advice.result, advice.now, advice.limit_um, True, advice.ordered, told)
    if console.Spoken.case is not None:
        drawing = fastening.said_html(drawing, console.Spoken.case)
    return [Made("drawing: stud positions", files.write_text(folder / "positions.svg", drawing))]


def write_face(case: Case, found: Any, folder: Path) -> list[Made]:
    """Write the map of the hub face as drawing and as table, and the fitting sheet that goes with it."""
    from scenes.command import cure
    from scenes.plots import cure as plots_cure

    drawing = fastening.said_html(plots_cure.how_little(case, found, ground=True), case)
    return [
        Made("drawing: how little it takes", files.write_text(folder / "how-little.svg", drawing)),
        Made("table: how little it takes", files.write_text(folder / "how-little.csv", cure.face_csv(found))),
        write_sheet(case, folder / "fitting-sheet.html"),
    ]


def look(run: Run) -> None:
    """Open the interactive window on a run; see ``need_screen``."""
    from scenes.geometry import exaggeration
    from scenes.stage import stage

    scene = stage.build(run, stage.Setting(), WINDOW, finer=1.0, off_screen=False)
    scene.pose(exaggeration.factor(run), 0.0)
    scene.plotter.show(title=f"trueseat: {words.clean(run.case.title, 60)}")


def need_screen() -> None:
    """Refuse where no window can be opened.

    Raises
    ------
    Missing
        Without a screen or without GL.
    """
    if sys.platform.startswith("linux") and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        raise Missing("looking round needs a screen, and there is none here; a still: trueseat picture CASE")
    need_gl()


def need_gl() -> None:
    """Refuse where no 3D picture can be drawn (``Missing``, naming what brings it)."""
    from scenes import gl

    gl.need_gl()


def need_film(path: Path, story: str) -> None:
    """Refuse where no film can be made: another ending (``BadInput``), no GL or no encoder (``Missing``)."""
    from scenes.film import film

    film.rate_of(path)
    film.need(path, three_d=story != SPIGOT)


def known_kind(kind: str) -> None:
    """Refuse a kind of picture that does not exist, before anything is computed."""
    if kind not in (*PLOTS, *STILLS):
        raise BadInput(Fault(f"there is no picture {kind!r}", key="--kind", allowed=", ".join((*PLOTS, *STILLS))))


def known_ending(kind: str, path: Path) -> None:
    """Refuse an ending that says something else than the file holds, before anything is computed."""
    allowed = (".svg",) if kind in PLOTS else (".png", ".svg") if kind in FLAT else (".png",)
    if path.suffix.lower() not in allowed:
        raise BadInput(Fault(f"this is drawn as {' or '.join(allowed)}", str(path), allowed=" or ".join(allowed)))


def known_story(story: str) -> None:
    """Refuse a story that does not exist, before anything is computed."""
    if story not in STORIES:
        raise BadInput(Fault(f"there is no story {story!r}", key="--story", allowed=", ".join(STORIES)))


def stills(run: Run, folder: Path, kinds: tuple[str, ...], prefix: str = "") -> tuple[list[Made], str]:
    """Draw stills into a folder; what this machine cannot draw is left out and said.

    Returns
    -------
    made : list of Made
    missing : str
        Empty, or one line on what brings the rest.
    """
    made, missing = [], ""
    for kind in kinds:
        if kind == "ruler" and run.forecast is None:
            continue
        if kind != "section" and spigot.off_the_face(run.spigot):
            continue  # they show a rotor on its hub face, and this one is not there
        try:
            made.append(write_still(run, kind, folder / f"{prefix}{kind.replace(' ', '-')}.png"))
        except Missing as error:
            missing = str(error)
    return made, missing


def captioned(made: list[Made], run: Run | None = None) -> tuple[Any, ...]:
    """Stills with the sentences under them, for a report; without the section where the report of a run draws it."""
    from scenes.pages import report

    if run is not None and run.case.spigot_scale:
        made = [item for item in made if item.what != "picture: section"]
    return tuple(report.Picture(item.path, CAPTIONS[item.what.removeprefix("picture: ")]) for item in made)


def write_sheet(case: Case, path: Path, listed: tuple[Step, ...] = ()) -> Made:
    """Write the fitting sheet of a corner as one HTML file, made of what it asks for; without that every stage."""
    from scenes.pages import fitting_sheet, report

    return Made("fitting sheet", report.write(fitting_sheet.sheet_html(case, listed=listed), path))


def starter(kind: str) -> str:
    """Text of a commented starter case: ``case``, or ``case on`` a part set."""
    if kind.startswith("case on "):
        return starters.starter_on(kind.removeprefix("case on "))
    return starters.starter_case()
