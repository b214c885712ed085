"""Printing a report to PDF with a browser that this machine may have; nothing is fetched, nothing left behind."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

from scenes import files
from sim.errors import Missing

# Names under which Debian and others install a browser that prints without a window.
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
REMEDY = "a PDF needs the Chromium browser, which is not here; Debian: apt-get install chromium"
SECONDS = 120.0


def browser() -> str:
    """Path of a browser that prints.

    Raises
    ------
    Missing
        When there is none; the text names what brings it.
    """
    for name in BROWSERS:
        found = shutil.which(name)
        if found:
            return found
    raise Missing(REMEDY)


def to_pdf(html: Path, pdf: Path) -> Path:
    """Print an HTML file of ours to PDF.

    Parameters
    ----------
    html, pdf : Path
        From and to; written whole or not at all.

    Returns
    -------
    Path
        The PDF.

    Raises
    ------
    Missing
        When no browser is there or it does not print.
    BadInput
        If the PDF cannot be written.
    """
    program = browser()
    with tempfile.TemporaryDirectory(prefix="trueseat-print-") as folder:
        printed = Path(folder) / "out.pdf"
        command = [
            program,
            "--headless",
            "--disable-gpu",
            "--disable-background-networking",
            "--no-first-run",
            *(
                ["--no-sandbox"] if getattr(os, "geteuid", lambda: 1)() == 0 else []
            ),  # the browser refuses its sandbox to root
            f"--user-data-dir={folder}/profile",
            "--no-pdf-header-footer",
            f"--print-to-pdf={printed}",
            html.resolve().as_uri(),
        ]
        try:
            subprocess.run(command, capture_output=True, timeout=SECONDS, check=True)
            content = printed.read_bytes()
        except (subprocess.SubprocessError, OSError):
            raise Missing(f"{Path(program).name} is here but did not print; open the HTML and print it") from None
    return files.write_bytes(pdf, content)
