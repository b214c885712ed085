"""What every command shares: its options' words, where results and files are told."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from cyclopts import Parameter, Token

from scenes.command import console
from sim.errors import BadInput, Fault

if TYPE_CHECKING:
    from scenes.command.doing import Made


def whole(_: object, tokens: Sequence[Token]) -> int:
    """Read a whole number as it was typed; a fraction is not rounded.

    Raises
    ------
    ValueError
        For anything else.
    """
    return int(tokens[0].value)


CasePath = Annotated[Path, Parameter(help="Case file (TOML).")]
Json = Annotated[bool, Parameter(name="--json", negative=(), help="Print JSON on stdout and nothing else there.")]
Out = Annotated[Path | None, Parameter(name="--out", help="Folder for results, made if missing.")]
WHOLE = Parameter(converter=whole)  # of every option that counts
OutFile = Annotated[Path | None, Parameter(name=["--output", "-o"], help="File to write.")]
Km = Annotated[float, Parameter(name="--km", help="Distance to drive [km; 30 thousand is 30000].")]
KM_GIVE_OR_TAKE = 25.0  # as `sim.bench.worn_library` has it, which is loaded by whoever asks
GiveOrTake = Annotated[
    float, Parameter(help="How well the kilometres since it was fitted are known, plus or minus [%].")
]
LEAST_SHARE = 1.0  # of a distance, per cent: less is a quarter written as 0.25; judgement
STORIES = (
    "where is the fault, a speck at the hub, from tap to judder, which hole, clean against dirty, or spigot (scale on "
    "it; needs no GL)."
)
Story = Annotated[str, Parameter(help=STORIES)]
Preset = Annotated[Literal["standard", "fast", "fine"], Parameter(help="How finely the bodies are divided.")]


def write_json(answer: dict[str, Any], leads: Sequence[str] | None = None) -> None:
    """Print an answer as JSON, and nothing else.

    Parameters
    ----------
    answer : dict
    leads : sequence of str, optional
        What leads the printed answer, line by line, empty ones left out: ``leads`` of every command that orders.
    """
    from sim import answers

    told = {} if leads is None else {"leads": [line for line in leads if line]}
    sys.stdout.write(answers.text(console.spoken(answer | told)) + "\n")


def made_known(made: Sequence[Made], quiet: bool = False) -> None:
    """Say what was written and where; on stderr where stdout belongs to JSON."""
    to = console.err() if quiet else console.out()
    for item in made:
        to.print(f"{item.what}: {item.path}", markup=False, soft_wrap=True)


def folder_of(out: Path | None) -> Path | None:
    """Refuse a folder that cannot be written before anything is computed."""
    from scenes import files

    return None if out is None else files.folder(out)


def share_known(give_or_take: float) -> float:
    """Refuse what no distance can be off by; a share under 1 is no per cent. [%]."""
    if not (give_or_take == 0 or LEAST_SHARE <= give_or_take <= 100):
        allowed = f"0, or {LEAST_SHARE:g} to 100 %; a quarter is 25"
        raise BadInput(Fault(f"{give_or_take:g} is out of range", key="--give-or-take", allowed=allowed))
    return give_or_take


def target_of(output: Path | None, default: str) -> Path:
    """File to write; its place is tried before anything is computed."""
    from scenes import files

    path = output or Path(default)
    files.folder(path.parent)
    files.need_place(path)
    return path
