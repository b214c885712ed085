"""Shared by all tests: flexibilities are kept where reruns find them again, never in the user's own cache."""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
import time
from pathlib import Path

import pytest
from hypothesis import settings

# The same examples on every run: what fails here fails everywhere. Wider searching is what the soak is for.
settings.register_profile("steady", derandomize=True)
settings.load_profile("steady")

SIM = Path(__file__).resolve().parents[1] / "sim"
# What a stored flexibility depends on besides its geometry: an edit here must not be tested on stale numbers.
MAKERS = ("section.py", "elastic.py", "flexibility.py", "pair.py", "cache.py", "materials.py")
OLD_S = 86_400.0  # folders of earlier code go after a day


@pytest.fixture(scope="session", autouse=True)
def flexibility_folder(pytestconfig):
    """Folder of the stored flexibilities of this session, named after the code that makes them."""
    digest = hashlib.sha256(b"".join((SIM / name).read_bytes() for name in MAKERS)).hexdigest()[:12]
    if getattr(pytestconfig, "cache", None) is not None:
        folder = Path(pytestconfig.cache.mkdir("flexibility")) / digest
        for old in folder.parent.iterdir():
            if old != folder and time.time() - old.stat().st_mtime > OLD_S:
                shutil.rmtree(old, ignore_errors=True)
    else:  # run with -p no:cacheprovider
        folder = Path(tempfile.gettempdir()) / f"trueseat-tests-{digest}"
    before = os.environ.get("TRUESEAT_CACHE")
    os.environ["TRUESEAT_CACHE"] = str(folder)
    yield folder
    if before is None:
        os.environ.pop("TRUESEAT_CACHE", None)
    else:
        os.environ["TRUESEAT_CACHE"] = before
