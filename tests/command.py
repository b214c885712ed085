"""A command run in this process, with what a process of its own would have answered: a second saved each time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from scenes.command.app import main as trueseat


@dataclass(frozen=True)
class Done:
    """Exit code and streams, named as `subprocess.CompletedProcess` names them."""

    returncode: int
    stdout: str
    stderr: str


def run(capsys: Any, *words: object, main: Callable[[list[str]], int] = trueseat) -> Done:
    """Run a command line here; ``main`` of another door may be given.

    Parameters
    ----------
    capsys : pytest.CaptureFixture
    words : object
        What stands after the program's name.
    main : callable(list of str), optional
    """
    capsys.readouterr()
    code = main([str(word) for word in words])
    return Done(code, *capsys.readouterr())
