"""The demo: one corner computed dirty and clean, its figures told as they come, then report, pictures and film."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from scenes import files
from scenes.command import doing
from scenes.pages import report
from scenes.words import findings, words
from sim import answers
from sim import chain as runs
from sim.chain import DEFAULT_KM, Run
from sim.errors import Missing

NAMES = {"dirty": "left dirty", "clean": "hub face cleaned"}
STORY = doing.FAULT


def perform(folder: Path, film: bool, tell: doing.Progress, say: Callable[[str], None]) -> dict[str, Any]:
    """Run the demo.

    Parameters
    ----------
    folder : Path
        Where everything goes; it exists and can be written.
    film : bool
        Make the film too.
    tell : callable(fraction, what)
        Progress.
    say : callable(line)
        Told each figure as soon as it is known, then each file.

    Returns
    -------
    dict
        Both answers and the files, JSON-ready.
    """
    cases = {name: doing.demo_case(name) for name in NAMES}
    # Seatings first: they take a moment, and the first figure should stand there within seconds.
    for count, (name, case) in enumerate(cases.items()):
        seated = runs.compute(case, None, progress=_part(tell, 0.05 * count, 0.05), fields_too=False)
        for one in (findings.runout(seated), findings.as_driven(seated)):
            if one is not None:
                say(f"{NAMES[name]}: {one.sentence}")
    driven: dict[str, Run] = {}
    for count, (name, case) in enumerate(cases.items()):
        driven[name] = runs.compute(case, DEFAULT_KM, progress=_part(tell, 0.1 + 0.05 * count, 0.05))
        road = findings.dtv(driven[name])
        if road is not None:
            say(f"{NAMES[name]}: {road.sentence}")
    made, missing = _files(driven, folder, film, tell)
    for item in made:
        say(f"{item.what}: {item.path}")
    for line in missing:
        say(f"left out: {line}")
    say(words.CLEAN_METAL)
    return {
        "folder": str(folder),
        "dirty": answers.seat_answer(driven["dirty"]) | answers.drive_answer(driven["dirty"]),
        "clean": answers.seat_answer(driven["clean"]) | answers.drive_answer(driven["clean"]),
        "files": [{"what": item.what, "path": str(item.path)} for item in made],
        "left_out": missing,
    }


def _part(tell: doing.Progress, start: float, share: float) -> doing.Progress:
    """Progress of one part of the whole."""
    return lambda done, what: tell(start + share * done, what)


def _files(
    driven: dict[str, Run], folder: Path, film: bool, tell: doing.Progress
) -> tuple[list[doing.Made], list[str]]:  # fmt: skip
    """Write run folders, pictures, report and film; what this machine cannot do is said once and left out."""
    dirty, clean = driven["dirty"], driven["clean"]
    made: list[doing.Made] = []
    missing: list[str] = []
    for name, run in driven.items():
        made.append(doing.write_run(run, files.folder(folder / name))[0])
    tell(0.25, "pictures")
    shown, lacking = doing.stills(dirty, folder, doing.STILLS, "dirty-")
    more, _ = doing.stills(clean, folder, ("corner",), "clean-")
    made += shown + more
    missing += [lacking] if lacking else []
    tell(0.35, "report")
    html = report.compare_html(dirty, clean, doing.captioned(shown))
    made.append(doing.Made("report", report.write(html, folder / "report.html")))
    if film:
        path = folder / f"{STORY.replace(' ', '-')}.mp4"
        try:
            made.append(doing.write_film(dirty, STORY, path, _part(tell, 0.4, 0.6), clean))
        except Missing as error:
            missing += [str(error)] if str(error) not in missing else []
    return made, missing
