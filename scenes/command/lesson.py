"""The command ``lesson``: a folder with what 45 minutes need, made whole under a passing name and renamed."""

from __future__ import annotations

import base64
import io
import re
import shutil
import tempfile
import warnings
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import Parameter

from scenes.command import console
from scenes.command.handout import is_invented
from scenes.command.options import WHOLE, CasePath, Json, made_known, write_json
from sim.errors import BadInput, Fault, Missing

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from scenes.command.doing import Made
    from scenes.pages.lesson import Told
    from sim.parts.case import Case
    from sim.progress import Progress

CASES = {
    "outer": "lesson_outer_dirty",
    "inner": "lesson_inner_dirty",
    "band": "lesson_band_dirty",
    "edge": "lesson_edge_cleaned_dirty",
    "jammed": "lesson_jammed",
    "forced": "lesson_forced",
}
DRIVEN = ("band", "edge")
KM = 30_000.0
PAPERS = (
    "slides",
    "copier",
    "answers",
    "plan",
    "handout",
    "afterwards",
    "at-the-car",
    "quiz",
    "quiz-key",
    "bench-card",
    "fitting-sheet",
)
FILMS = (".mp4", ".gif")
MOST_CAPTIONS = 400
MOST_PHOTOS, MOST_PHOTO_MB = 2, 10.0  # a slide shows two side by side; every page holds its pictures in itself
PHOTO_KINDS = ((b"\xff\xd8\xff", "jpeg"), (b"\x89PNG\r\n\x1a\n", "png"))  # how such files begin


def lesson(
    case: CasePath,
    /,
    *,
    output: Annotated[Path, Parameter(name=["--output", "-o"], help="Folder to make; new or empty.")] = Path("lesson"),
    seed: Annotated[int, WHOLE, Parameter(help="Of the quiz: same seed, same quiz.")] = 1,
    questions: Annotated[int, WHOLE, Parameter(help="Of the quiz, 1 to 12; five fill a page.")] = 5,
    film: Annotated[Path | None, Parameter(help="A film (trueseat film) to go with it; its captions too.")] = None,
    photo: Annotated[
        tuple[Path, ...], Parameter(help="Your own hub faces, JPEG or PNG, up to two: a slide of their own.")
    ] = (),
    pdf: Annotated[bool, Parameter(help="Print everything to PDF as well.")] = True,
    as_json: Json = False,
) -> int:
    """Make the folder of a 45-minute lesson: slides, plan, handout, quiz and key, copier set, sheets for the bench."""
    from scenes.command import doing
    from scenes.pages import lesson as pages
    from sim.bench.quiz import need_askable
    from sim.files.case_file import file_of

    need_room(output)
    need_askable(questions, seed)
    captions, photos = captions_of(film), photos_of(photo)
    corner = doing.open_case(file_of(case))
    with passing(output) as folder:
        with console.progress() as tell:
            told = told_of(corner, (seed, questions), lambda done, what: tell(0.75 * done, what))
            told = pages.Told(told.own, told.runs, told.quiz, captions, photos, is_invented(file_of(case)))
            made = _papers(told, folder, pdf, lambda done, what: tell(0.75 + 0.25 * done, what))
        made += _beside(folder, film)
    shown = [doing.Made(one.what, output / one.path.relative_to(folder)) for one in made]
    if as_json:
        files = [{"what": one.what, "path": str(one.path)} for one in shown]
        write_json({"title": corner.title, "folder": str(output), "seed": seed, "files": files})
    made_known(shown, as_json)
    return 0


def need_room(folder: Path) -> None:
    """Refuse a folder that holds something, or cannot be made, before anything is computed.

    Raises
    ------
    BadInput
        If it is a file, holds something, or its parent cannot be written.
    """
    from scenes import files

    if folder.is_dir() and any(folder.iterdir()):
        raise BadInput(Fault("holds something already, and nothing in it is touched", str(folder), key="--output",
                             allowed="a new or empty folder"))  # fmt: skip
    if folder.exists() and not folder.is_dir():
        raise BadInput(Fault("is a file, not a folder", str(folder), key="--output"))
    files.folder(folder.resolve().parent)


@contextmanager
def passing(folder: Path) -> Iterator[Path]:
    """Give a passing folder that takes its name only when all of it is there; interrupted, nothing is left."""
    target = folder.resolve()
    passing_by = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    try:
        yield passing_by
        passing_by.chmod(0o755)
        need_room(folder)  # another lesson may have taken the place meanwhile
        if target.is_dir():
            target.rmdir()
        passing_by.replace(target)
    finally:
        shutil.rmtree(passing_by, ignore_errors=True)


def captions_of(film: Path | None) -> tuple[tuple[str, str], ...]:
    """Captions beside a film, time and words; empty without any.

    Raises
    ------
    BadInput
        If the film is not there, or is none.
    """
    if film is None:
        return ()
    if not film.is_file() or film.suffix.lower() not in FILMS:
        reason = "is no film" if film.exists() else "is not there"
        raise BadInput(Fault(reason, str(film), key="--film", allowed="a film made by trueseat film, MP4 or GIF"))
    text = film.with_suffix(".vtt")
    return captions_in(text.read_text(encoding="utf-8", errors="replace")) if text.is_file() else ()


def photos_of(paths: Sequence[Path]) -> tuple[str, ...]:
    """Photographs as a page holds them in itself.

    Raises
    ------
    BadInput
        If there are more than two, or one is not there, too large, or neither JPEG nor PNG.
    """
    allowed = f"up to {MOST_PHOTOS} files, JPEG or PNG, {MOST_PHOTO_MB:.0f} MB each"
    if len(paths) > MOST_PHOTOS:
        raise BadInput(Fault(f"{len(paths)} photographs are too many", key="--photo", allowed=allowed))
    return tuple(_photo(path, allowed) for path in paths)


def _photo(path: Path, allowed: str) -> str:
    if not path.is_file():
        reason = "is no file" if path.exists() else "is not there"
        raise BadInput(Fault(reason, str(path), key="--photo", allowed=allowed))
    if path.stat().st_size > MOST_PHOTO_MB * 1e6:
        raise BadInput(Fault("is too large", str(path), key="--photo", allowed=allowed))
    try:
        content = path.read_bytes()
    except OSError as error:
        raise BadInput(Fault(f"cannot be read: {error.strerror}", str(path), key="--photo", allowed=allowed)) from None
    kind = next((kind for start, kind in PHOTO_KINDS if content.startswith(start)), None)
    if kind is None:
        raise BadInput(Fault("is neither JPEG nor PNG", str(path), key="--photo", allowed=allowed))
    if not _shows(content):
        raise BadInput(Fault("is damaged, or too large to be shown", str(path), key="--photo", allowed=allowed))
    return f"data:image/{kind};base64,{base64.b64encode(content).decode('ascii')}"


def _shows(content: bytes) -> bool:
    """Whether a picture opens and has its end: a page would show a gap where it has not."""
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)  # more pixels than any camera has
            with Image.open(io.BytesIO(content)) as picture:
                picture.draft("RGB", (64, 64))  # a JPEG is read small, hence at once
                picture.load()
    except Exception:  # whatever a damaged picture does to its reader
        return False
    return True


def captions_in(text: str) -> tuple[tuple[str, str], ...]:
    r"""Time and words of a file of captions.

    Examples
    --------
    >>> captions_in("WEBVTT\n\n00:00:01.500 --> 00:00:03.000\nWhy?\n")
    (('0:01', 'Why?'),)
    """
    out = []
    for block in text.replace("\r", "").split("\n\n"):
        lines = block.strip().split("\n")
        at = next((k for k, line in enumerate(lines) if "-->" in line), None)
        if at is None or len(lines) <= at + 1:
            continue
        clock = re.search(r"(\d{1,2}):(\d{2})(?:\.\d*)?\s*-->", lines[at])
        if clock is not None:
            out.append((f"{int(clock[1])}:{clock[2]}", " ".join(lines[at + 1 :])))
    return tuple(out[:MOST_CAPTIONS])


def told_of(corner: Case, asked: tuple[int, int], progress: Progress) -> Told:
    """Compute the trainer's corner, the four questions and the quiz (seed, number of questions)."""
    import demo_geometry
    from scenes.pages.lesson import Told
    from sim import chain
    from sim.bench.quiz import quiz
    from sim.files.case_file import load_case

    steps = len(CASES) + 2

    def part(number: int) -> Progress:
        return lambda done, what: progress((number + done) / steps, what)

    own = chain.compute(corner, None, progress=part(0))
    runs: dict[str, Any] = {}
    for number, (name, file) in enumerate(CASES.items(), 1):
        case = load_case(demo_geometry.file(file))
        runs[name] = chain.compute(case, KM if name in DRIVEN else None, progress=part(number))
    seed, count = asked
    return Told(own, runs, quiz(corner, count, seed, part(steps - 1)))


def _papers(told: Told, folder: Path, pdf: bool, progress: Progress) -> list[Made]:
    """Write every paper, printed too where a browser is there; what is lacking is said once."""
    from scenes import files
    from scenes.command import doing
    from scenes.pages import blank_card, fitting_sheet
    from scenes.pages import lesson as pages

    case = told.own.case
    texts = {
        "slides": lambda: pages.slides_html(told),
        "copier": lambda: pages.slides_html(told, copier=True),
        "answers": lambda: pages.answers_html(told),
        "plan": lambda: pages.plan_html(told),
        "handout": lambda: pages.handout_html(told),
        "afterwards": lambda: pages.afterwards_html(told),
        "at-the-car": pages.car_html,
        "quiz": lambda: pages.quiz_html(told),
        "quiz-key": lambda: pages.quiz_html(told, key=True),
        "bench-card": lambda: blank_card.card_html(studs=None),
        "fitting-sheet": lambda: fitting_sheet.sheet_html(case, any_car=True),
    }
    made, printing = [], pdf
    for number, name in enumerate(PAPERS):
        progress(number / len(PAPERS), name)
        page = files.write_text(folder / f"{name}.html", texts[name]())
        made.append(doing.Made(name, page))
        if not printing:
            continue
        try:
            made.append(doing.Made(f"{name}, printed", doing.write_pdf(page, page.with_suffix(".pdf")).path))
        except Missing as lacking:
            printing = False
            console.err().print(f"trueseat: not printed: {lacking}", markup=False, soft_wrap=True)
    return made


def _beside(folder: Path, film: Path | None) -> list[Made]:
    """Put the cases of the four questions beside, and the film with its captions."""
    import demo_geometry
    from scenes import files
    from scenes.command import doing

    cases = files.folder(folder / "cases")
    for name in CASES.values():
        files.write_text(cases / f"{name}.toml", demo_geometry.text(name))
    made = [doing.Made("cases of the four questions", cases)]
    if film is not None:
        for path in (film, film.with_suffix(".vtt")):
            if path.is_file():
                made.append(doing.Made("film" if path == film else "captions", folder / path.name))
                shutil.copyfile(path, folder / path.name)
    return made
