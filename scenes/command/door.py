"""Where ``trueseat`` begins: Ctrl-C is answered in words from the first import on, to the last word."""

from __future__ import annotations

import signal
import sys
from contextlib import suppress


def _interrupted(error: BaseException | None) -> bool:
    """Whether Ctrl-C is behind it: a compiled library that is just loading makes an ImportError of it."""
    while error is not None and not isinstance(error, KeyboardInterrupt):
        error = error.__cause__ or error.__context__
    return error is not None


def main() -> int:
    """Load the command line and run it.

    Returns
    -------
    int
        As `scenes.command.app.main`.
    """
    try:
        from scenes.command.app import main as run

        code = run()
        with suppress(ValueError):  # not the main thread, which alone is interrupted
            signal.signal(signal.SIGINT, signal.SIG_IGN)  # all is written and said; Python's own end is left alone
        return code
    except (KeyboardInterrupt, ImportError) as error:
        if not _interrupted(error):
            raise
        sys.stderr.write("trueseat: interrupted; nothing was left half-written\n")
        return 130
