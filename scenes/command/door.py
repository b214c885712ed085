"""Where ``trueseat`` begins: Ctrl-C is answered in words from the first import on, most of a short command's time."""

from __future__ import annotations

import sys


def main() -> int:
    """Load the command line and run it.

    Returns
    -------
    int
        As `scenes.command.app.main`.
    """
    try:
        from scenes.command.app import main as run

        return run()
    except KeyboardInterrupt:
        sys.stderr.write("trueseat: interrupted; nothing was left half-written\n")
        return 130
