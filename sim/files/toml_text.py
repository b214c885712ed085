"""Reading a TOML file that a stranger may have written: bounded, worded for people, with the line of every key."""

from __future__ import annotations

import os
import re
import select
import stat
import tomllib
from pathlib import Path
from typing import Any

from sim.errors import BadInput, Fault
from sim.units import printable

LARGEST_BYTES = 1_000_000  # a case takes a few thousand
PATIENCE_S = 10.0  # with a pipe into which nobody writes; judgement
# Longest line that is parsed: the parser's time grows with the square of it, and no honest case comes near.
LONGEST_LINE = 1000
MOST_SLIPS = 20  # lines that are no TOML, told at once
KeyPath = tuple[str | int, ...]

_TABLE = re.compile(r"^\s*(\[\[?)([^\[\]]+)\]\]?\s*(?:#.*)?$")
_ASSIGN = re.compile(r"""^\s*((?:[\w-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[\w-]+|"[^"]*"|'[^']*'))*)\s*=""")
_PIECE = re.compile(r"""[\w-]+|"[^"]*"|'[^']*'""")
_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")
_TRIPLE = re.compile(r'"""|' + "'''")
# Whole strings and comments; what is left of a triple quote after this is one that goes on over the next lines.
_STRING_OR_COMMENT = re.compile(
    r"""
    "{3} .*? "{3} | '{3} .*? '{3}             # a triple-quoted text that ends on its line
    | (?<!") "(?!"") (?: [^"\\] | \\. )* "    # a quoted text
    | (?<!') '(?!'') [^']* '
    | \#.*
    """,
    re.VERBOSE,
)

# What the line looks like -> what to tell an apprentice. The first that fits is said.
_SLIPS = (
    (re.compile(r"=\s*[+-]?\d+,\d+\s*(?:#.*)?$"), "a comma in a number; write a decimal point, as in 300.5"),
    (re.compile(r"=\s*[+-]?\d[\d._]*\s*[A-Za-zµ%]+"), "a unit after the number; it stands in the key already"),
    (re.compile(r"=\s*(?!true\b|false\b)[A-Za-z][^\"']*$"), 'text without quotes; write "..."'),
    (re.compile(r"=\s*[+-]?(?:\.\d|\d+\.(?!\d))"), "a number that begins or ends with a point; write 0.5"),
    (re.compile(r"=\s*(?:#.*)?$"), "nothing after the equals sign"),
    (re.compile(r"^\s*[\w.-]+\s*:"), "a colon; write key = value"),
    (re.compile(r"^\s*[\w.-]+\s+[^=\s]"), "no equals sign; write key = value"),
    (re.compile(r"^\s*\[[^\]=]*$"), "a table name that is not closed; write [rotor] or [[debris]]"),
)


def read_text(path: str | Path, largest: int = LARGEST_BYTES) -> str:
    """Read a text file that is expected to be small.

    Parameters
    ----------
    path : str or Path
    largest : int
        Largest size that is read. [bytes]

    Raises
    ------
    BadInput
        If it is missing, a folder, unreadable, too large, not UTF-8 text, or a pipe into which nobody writes.
    """
    path = Path(path)
    name = printable(str(path), 200)
    try:
        if path.is_dir():
            raise BadInput(Fault("is a folder, not a file", file=name))
        raw = _bytes_of(path, name, largest + 1)
    except FileNotFoundError:
        raise BadInput(Fault("no such file", file=name)) from None
    except (OSError, ValueError) as error:  # ValueError: a null character in the name
        reason = getattr(error, "strerror", None) or "not a file name"
        raise BadInput(Fault(f"cannot be read: {reason}", file=name)) from None
    if len(raw) > largest:
        raise BadInput(Fault("is too large", file=name, allowed=f"up to {largest / 1e6:g} MB"))
    if b"\x00" in raw:
        raise BadInput(Fault("is not a text file", file=name, allowed="plain text saved as UTF-8"))
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise BadInput(Fault("is not UTF-8 text", file=name, line=line, allowed="plain text saved as UTF-8")) from None


def _bytes_of(path: Path, name: str, most: int) -> bytes:
    """What a file holds, up to so many bytes; a pipe is not waited for without end."""
    if not stat.S_ISFIFO(path.stat().st_mode):
        with path.open("rb") as stream:
            return stream.read(most)
    held = b""
    opened = os.open(path, os.O_RDONLY | os.O_NONBLOCK)  # without a writer, too
    with os.fdopen(opened, "rb", buffering=0) as pipe:
        while len(held) < most:
            if not select.select([pipe], [], [], PATIENCE_S)[0]:
                raise BadInput(Fault(f"nothing came out of this pipe for {PATIENCE_S:g} s", file=name))
            piece = pipe.read(most - len(held))
            if not piece:
                break
            held += piece
    return held


def parse(text: str, name: str) -> dict[str, Any]:
    """Turn TOML text into tables.

    Parameters
    ----------
    text : str
    name : str
        Name of the file, for messages.

    Raises
    ------
    BadInput
        If it is no TOML; the message says where and what to write.
    """
    for number, line in enumerate(_lines(text), start=1):
        if len(line) > LONGEST_LINE:
            raise BadInput(Fault("the line is too long", file=name, line=number, allowed=f"{LONGEST_LINE} characters"))
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise BadInput(Fault("brackets are nested too deeply", file=name)) from None
    except ValueError as error:  # tomllib's own error, or a number with thousands of digits
        raise BadInput(_syntax_fault(str(error), text, name)) from None


def parse_past_slips(text: str, name: str) -> tuple[dict[str, Any], tuple[Fault, ...]]:
    """Turn TOML text into tables, and gather every line that is no TOML instead of stopping at the first.

    Parameters
    ----------
    text : str
    name : str
        Name of the file, for messages.

    Returns
    -------
    dict
        What the good lines say.
    tuple of Fault
        Of the others, with their lines; a table whose name is broken is left out with all its keys.

    Raises
    ------
    BadInput
        With all that was found, where what follows cannot be told from what went before.
    """
    lines = _lines(text)
    faults: list[Fault] = []
    while True:
        try:
            return parse("\n".join(lines), name), tuple(faults)
        except BadInput as error:
            faults += error.faults
            if len(faults) >= MOST_SLIPS or not _leave_out(lines, faults[-1].line):
                raise BadInput(faults) from None


def _leave_out(lines: list[str], number: int) -> bool:
    """Blank a line that is no TOML, a broken table with its keys; False where what follows hangs on it."""
    if not 0 < number <= len(lines) or not lines[number - 1].strip():
        return False
    bare = [_STRING_OR_COMMENT.sub("", line) for line in lines[:number]]
    header = bare[-1].lstrip().startswith("[")
    open_before = sum(_opened(line) for line in bare[:-1] if not line.lstrip().startswith("["))
    if open_before or any(_TRIPLE.search(line) for line in bare) or not header and _opened(bare[-1]):
        return False  # within a list or a text of several lines
    last = number
    while header and last < len(lines) and not lines[last].lstrip().startswith("["):
        last += 1
    lines[number - 1 : last] = [""] * (last - number + 1)
    return True


def _syntax_fault(message: str, text: str, name: str) -> Fault:
    lines = _lines(text)
    at_end = "end of document" in message
    found = _AT_LINE.search(message)
    number = int(found.group(1)) if found else (len(lines) if at_end else 0)
    line = lines[number - 1] if 0 < number <= len(lines) else ""
    if "overwrite" in message or "declare" in message or "mutate" in message or "extend" in message:
        return _twice_fault(line, number, text, name)
    # The parser reports a missing value at the start of the next line; the slip is on the line before.
    for at, candidate in ((number, line), (number - 1, lines[number - 2] if number > 1 else "")):
        for pattern, advice in _SLIPS:
            if candidate and pattern.search(candidate):
                return Fault(f"{advice}: {printable(candidate.strip(), 60)}", file=name, line=at)
    reason = _AT_LINE.sub("", message).strip().lower() if found else "a number is too long, or the text ends too early"
    return Fault(f"not understood: {printable(reason)}", file=name, line=number)


def _twice_fault(line: str, number: int, text: str, name: str) -> Fault:
    table = _TABLE.match(line)
    key = table.group(2).strip() if table else (_ASSIGN.match(line) or [line, line.strip()])[1]
    first = first_line(text, number, key, bool(table))
    where = f", first on line {first}" if first else ""
    advice = "; what stands more than once needs double brackets, [[name]], every time" if table else ""
    return Fault(f"is written twice{where}{advice}", file=name, line=number, key=printable(key))


def first_line(text: str, before: int, key: str, table: bool) -> int:
    """Line of an earlier table or key of the same name; 0 when there is none. Keys are sought in their own table."""
    found = 0
    for number, line in enumerate(_lines(text)[: before - 1], start=1):
        header = _TABLE.match(line)
        if header and not table:
            found = 0
        match = header.group(2).strip() if header and table else (_ASSIGN.match(line) or [None, None])[1]
        found = number if match == key and not found else found
    return found


def key_lines(text: str) -> dict[KeyPath, int]:
    """Line of every table and key of a TOML text.

    Parameters
    ----------
    text : str
        TOML that parses.

    Returns
    -------
    dict
        From paths such as ``("rotor", "thickness_mm")`` or ``("debris", 0, "height_um")`` to line numbers from 1. Keys
        inside inline tables are not listed; their table is.

    Examples
    --------
    >>> key_lines('title = "x"' + chr(10) + '[[debris]]' + chr(10) + 'height_um = 3')
    {('title',): 1, ('debris', 0): 2, ('debris', 0, 'height_um'): 3}
    """
    lines: dict[KeyPath, int] = {}
    counts: dict[KeyPath, int] = {}
    prefix: KeyPath = ()
    fence, depth = "", 0  # within a text of several lines; within a list of several lines
    for number, line in enumerate(_lines(text), start=1):
        if fence:
            fence = "" if fence in line else fence
            continue
        bare = _STRING_OR_COMMENT.sub("", line)
        if depth > 0:
            depth += _opened(bare)
        elif table := _TABLE.match(line):
            path = _pieces(table.group(2))
            if table.group(1) == "[[":
                counts[path] = counts.get(path, -1) + 1
                path = (*path, counts[path])
            prefix = path
            lines.setdefault(prefix, number)
        elif assign := _ASSIGN.match(line):
            lines.setdefault((*prefix, *_pieces(assign.group(1))), number)
            depth = _opened(bare)
        unclosed = _TRIPLE.search(bare)
        fence = unclosed.group() if unclosed else ""
    return lines


def _lines(text: str) -> list[str]:
    """Lines as the parser counts them: only line feeds part them."""
    return [line.removesuffix("\r") for line in text.split("\n")]


def _opened(bare: str) -> int:
    return bare.count("[") + bare.count("{") - bare.count("]") - bare.count("}")


def _pieces(name: str) -> KeyPath:
    return tuple(piece.strip("\"'") for piece in _PIECE.findall(name))


def line_of(lines: dict[KeyPath, int], path: KeyPath) -> int:
    """Line of a key, or of the nearest table that holds it; 0 when neither is known."""
    for length in range(len(path), 0, -1):
        for known in (path[:length], (*path[:length], 0)):  # a list of tables begins with its first
            if known in lines:
                return lines[known]
    return 0
