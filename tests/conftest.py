"""Shared by all tests: flexibilities are kept where reruns find them again, never in the user's own cache."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import settings

# The same examples on every run: what fails here fails everywhere. Wider searching is what the soak is for.
settings.register_profile("steady", derandomize=True)
settings.load_profile("steady")


@pytest.fixture(scope="session", autouse=True)
def flexibility_folder(pytestconfig):
    """Folder of the stored flexibilities of all sessions: what other code made is not found in it."""
    if getattr(pytestconfig, "cache", None) is not None:
        folder = Path(pytestconfig.cache.mkdir("flexibility"))
    else:  # run with -p no:cacheprovider
        folder = Path(tempfile.gettempdir()) / "trueseat-tests"
    before = os.environ.get("TRUESEAT_CACHE")
    os.environ["TRUESEAT_CACHE"] = str(folder)
    yield folder
    if before is None:
        os.environ.pop("TRUESEAT_CACHE", None)
    else:
        os.environ["TRUESEAT_CACHE"] = before
