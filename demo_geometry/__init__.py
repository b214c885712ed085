"""Invented part sets and cases, and how to find them wherever the program is installed."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path

# Cases are named after their state; everything else is a part set.
_CASE_ENDINGS = ("_dirty", "_clean", "_off_centre", "_jammed", "_forced")
_POPULATIONS = "population_"


@cache  # what is shipped stays as it is
def _shipped() -> tuple[str, ...]:
    return tuple(sorted(entry.name[:-5] for entry in files(__name__).iterdir() if entry.name.endswith(".toml")))


def names() -> tuple[str, ...]:
    """Every TOML file here, without its ending: part sets and cases."""
    return tuple(name for name in _shipped() if not name.startswith(_POPULATIONS))


def population_names() -> tuple[str, ...]:
    """Names of the invented populations: what a stack is drawn from."""
    return tuple(name for name in _shipped() if name.startswith(_POPULATIONS))


def population_file(name: str) -> Path:
    """Where a population stands.

    Raises
    ------
    KeyError
        When there is none of that name.
    """
    if name not in population_names():
        raise KeyError(name)
    return Path(str(files(__name__).joinpath(f"{name}.toml")))


def population_text(name: str) -> str:
    """Read a population; raises ``KeyError`` where there is none of that name."""
    return population_file(name).read_text(encoding="utf-8")


def case_names() -> tuple[str, ...]:
    """Names of the cases: corners with a part set as their base."""
    return tuple(name for name in names() if name.endswith(_CASE_ENDINGS))


def part_set_names() -> tuple[str, ...]:
    """Names of the part sets: what a case may name as its base."""
    return tuple(name for name in names() if not name.endswith(_CASE_ENDINGS))


def text(name: str) -> str:
    """Read one of them.

    Parameters
    ----------
    name : str
        Without ending, one of `names`.

    Raises
    ------
    KeyError
        When there is none of that name.
    """
    return file(name).read_text(encoding="utf-8")


def file(name: str) -> Path:
    """Where one of them stands.

    Parameters
    ----------
    name : str
        Without ending, one of `names`.

    Raises
    ------
    KeyError
        When there is none of that name.
    """
    if name not in names():
        raise KeyError(name)
    return Path(str(files(__name__).joinpath(f"{name}.toml")))
