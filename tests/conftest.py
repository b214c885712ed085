"""Shared by all tests: flexibilities are kept where reruns find them again, never in the user's own cache."""

from __future__ import annotations

import gc
import os
import re
import shutil
import sys
import tempfile
from pathlib import Path

import pytest

# The tests' own linear algebra, too, leaves one core to each process; set before anything loads numpy.
for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

# Processes begun from this one keep the room of their arrays: given back to the system after each and asked for again,
# it is emptied anew page by page, a sixth of the time of what has large matrices.
for _name, _bytes in (("MMAP_THRESHOLD", 32 << 20), ("TRIM_THRESHOLD", 1 << 30), ("TOP_PAD", 64 << 20)):
    os.environ.setdefault(f"MALLOC_{_name}_", str(_bytes))

# What is compiled for one process of a run is there for the next, even where the environment forbids it: dozens of
# command lines start in processes of their own.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# Thousands of tests and the libraries stay for the whole run: garbage is looked for among what came since, less often.
gc.set_threshold(100_000, 50, 50)

collect_ignore = ["studies"]  # run by command

# Files that compute the same corners go to the same process, the longest first; every other file by itself.
TOGETHER = (
    ("test_wear_laws", "test_wear_marched", "test_compiled"),  # the first to compile the wear, as the others find it
    (  # one browser; what wears nothing first, until the wear is compiled above
        "test_job_card",
        "test_chalk",
        "test_lesson",
        "test_bench_page",
        "test_handout",
        "test_report",
        "test_cure",
        "test_live_bench",
        "test_exercises",
    ),
    (
        "test_ten_corners",
        "test_causes",
        "test_causes_command",
        "test_causes_cleaning",
        "test_causes_doubts",
        "test_hand_on",
    ),
    ("test_contact", "test_stack_cluster", "test_stack_questions", "test_stack"),  # one to compile what they foresee
    ("test_stage", "test_film", "test_fault_film"),
    ("test_spigot_shown", "test_spigot_film", "test_spigot", "test_spigot_properties"),
    ("test_cli_more", "test_road"),
    ("test_fitted_runout", "test_worn_readings"),
    ("test_cli", "test_chain"),
    ("test_house", "test_old_words", "test_docstrings"),  # every module read once
    ("test_table", "test_solid3d", "test_vanes", "test_reference_seating"),
    ("test_road_state", "test_driven_from_reading", "test_fastening", "test_wheel_bolts"),
)
# The longest of the others, longest first, as measured: none of them may begin when the rest is done.
LONG = (
    "test_doors",
    "test_what_leads",
    "test_studies_run",
    "test_one_act",
    "test_advice",
    "test_study_of_doors",
    "test_sweeps",
    "test_turns_that_part",
    "test_anywhere",
    "test_questions",
    "test_plots",
    "test_discard",
    "test_spigot_closed_forms",
    "test_seating_properties",
    "test_wear_across_pad",
    "test_rigid_seating",
    "test_attacks",
    "test_disk_cache",
    "test_forecast",
    "test_guides",
    "test_stated_work",
    "test_hostile",
    "test_cli_options",
    "test_hand_scatter",
    "test_one_thread",
    "test_reading_faults",
    "test_findings",
    "test_foil",
    "test_face_map",
    "test_case_roundtrip",
    "test_mountings",
    "test_unit_asked",
    "test_plots_causes",
    "test_rigid_properties",
    "test_bare_face",
    "test_rotor_goes",
    "test_library",
    "test_seating",
    "test_work_order",
    "test_blank_card",
    "test_api",
    "test_judder_film",
    "test_sentences",
    "test_last_look",
    "test_wear",
)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config):
    """One process more than cores: where one waits for a browser or a command that it began, another goes on."""
    from xdist.plugin import pytest_xdist_auto_num_workers as cores

    return cores(config) + ("PYTEST_XDIST_AUTO_NUM_WORKERS" not in os.environ)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """With ``-n``: whole files, so that what a file computes once is computed once."""
    from xdist.scheduler import LoadScopeScheduling

    groups = {name: f"{number} {names[0]}" for number, names in enumerate(TOGETHER) for name in names}

    class ByFile(LoadScopeScheduling):
        def _split_scope(self, nodeid):
            name = Path(nodeid.partition("::")[0]).stem
            return groups.get(name, name)

    config.option.loadscopereorder = False
    return ByFile(config, log)


def pytest_configure(config):
    """The same examples on every run: what fails here fails everywhere. Wider searching is what the soak is for."""
    from hypothesis import settings
    from hypothesis.internal.conjecture import providers

    settings.register_profile("steady", derandomize=True)
    settings.load_profile("steady")
    config.pluginmanager.register(InTurn())
    # Nor do examples depend on what else is loaded: finding every constant in it takes each process seconds, too.
    providers._get_local_constants = providers.Constants


def pytest_collection_finish(session):
    """What was collected is never garbage."""
    gc.freeze()


class InTurn:
    """Every process begins to read the files at another place: what one compiled the others find.

    No hook of this file itself: pytest asks those only for the folder that it began with, not for the rooms in it.
    """

    @pytest.hookimpl(wrapper=True)
    def pytest_make_collect_report(self, collector):
        report = yield
        if isinstance(collector, pytest.Dir):
            worker, count = (os.environ.get(f"PYTEST_XDIST_WORKER{end}", "gw0").lstrip("gw") for end in ("", "_COUNT"))
            at = len(report.result) * int(worker) // max(int(count), 1)
            report.result = report.result[at:] + report.result[:at]
        return report


def pytest_collection_modifyitems(items):
    """The longest files first, so that no process is left with one at the end; the same order in every process."""
    first = {name: place for place, name in enumerate([name for names in TOGETHER for name in names] + [*LONG])}
    items.sort(key=lambda item: (first.get(item.path.stem, len(first)), str(item.path)))


@pytest.fixture(scope="module")
def few_draws():
    """A band from few draws behind every road that is driven without saying how many, for tests that ask nothing of it.

    Measurements are weighed by few draws too.
    """
    from sim.wear.asked import Settings

    usual = Settings.__init__.__defaults__
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Settings.__init__, "__defaults__", (48, *usual[1:]))
        patched.setattr("sim.wear.evidence.ENOUGH_DRAWS", 12.0)
        patched.setattr("sim.wear.evidence.MOST_DRAWS", 96)
        yield


@pytest.fixture(scope="module")
def fewest_draws(few_draws):
    """A third of those few on a rougher grid, for tests that ask what is driven and what is said of it."""
    from sim.wear.asked import Settings
    from sim.wear.brake import Fineness

    usual = Settings.__init__.__defaults__
    rough = Fineness(angles=48, rings=2, release_angles=4, tolerance_mm=4.0e-4)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Settings.__init__, "__defaults__", (16, *usual[1:]))
        patched.setattr("sim.wear.evidence.MOST_DRAWS", 48)
        patched.setattr("sim.wear.draws.follow.__defaults__", (rough,))
        yield


@pytest.fixture(scope="module")
def few_corners():
    """Fewer drawn corners behind a reading and fewer worn rotors, for tests that ask nothing of their bands."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("sim.corner.behind_reading.CORNERS", 96)
        patched.setattr("sim.corner.behind_reading.LEAST_ALIKE", 12.0)
        patched.setattr("sim.bench.worn_library.LIBRARY", 1000)
        yield


@pytest.fixture(scope="module")
def fewest_corners(few_corners):
    """A third of those few, for tests that ask which reading leads and what is said of it."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("sim.corner.behind_reading.CORNERS", 32)
        patched.setattr("sim.corner.behind_reading.LEAST_ALIKE", 4.0)
        patched.setattr("sim.bench.worn_library.LIBRARY", 250)
        yield


@pytest.fixture(scope="module")
def few_wheels():
    """A third of the wheels that are solved where nobody described one, for tests that ask nothing of their band."""
    from sim.corner import unknown_wheel

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(unknown_wheel, "DESIGN", unknown_wheel.DESIGN[::3])
        unknown_wheel._surface.cache_clear()
        yield
    unknown_wheel._surface.cache_clear()


@pytest.fixture(scope="module")
def few_seatings():
    """A third of the seatings of dirt that causes are ranked by: answers that hold with these hold with all.

    So with half of the samples.
    """
    from sim.causes.weigh import posterior

    samples, *usual = posterior.__defaults__
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(posterior, "__defaults__", (samples // 2, *usual))
        patched.setattr("sim.causes.signatures.SEATED", 240)
        patched.setattr("sim.causes.signatures._KEPT", {})
        patched.setattr("sim.causes.finding.LEAST_COLUMNS", 5.0)
        yield


@pytest.fixture(scope="module")
def fewest_seatings(few_seatings):
    """Half of those few, and of their samples, for tests that ask which cause leads and what is done."""
    from sim.causes.weigh import posterior

    samples, *usual = posterior.__defaults__
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(posterior, "__defaults__", (samples // 2, *usual))
        patched.setattr("sim.causes.signatures.SEATED", 120)
        yield


@pytest.fixture
def twice_the_seatings(fewest_seatings, monkeypatch):
    """As many as `few_seatings` for one test of a file that has the fewest."""
    monkeypatch.setattr("sim.causes.signatures.SEATED", 240)
    monkeypatch.setattr("sim.causes.signatures._KEPT", {})


@pytest.fixture(scope="module")
def hardly_any_seatings():
    """As few seatings of dirt as a ranking of causes stands on: for tests that ask nothing of what is ranked."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("sim.causes.signatures.SEATED", 60)
        patched.setattr("sim.causes.signatures._KEPT", {})
        patched.setattr("sim.causes.finding.LEAST_COLUMNS", 3.0)
        yield


@pytest.fixture(scope="module")
def drawn_once():
    """A drawing of equal things is drawn once for a file: for tests that ask what the page around it says."""
    from tests import drawn

    with drawn.drawn_once():
        yield


@pytest.fixture
def undrawn():
    """A drawing is its label alone: for a page of which nothing but its words is asked."""
    from tests import drawn

    with drawn.instead(drawn.label_alone):
        yield


@pytest.fixture(scope="session")
def browser():
    """A real browser without a window; one for each process that asks for it.

    While it is open the main thread has a running event loop: another one belongs into a thread of its own.
    """
    sync_api = pytest.importorskip("playwright.sync_api")
    program = shutil.which("chromium")
    if program is None:
        pytest.skip("needs the chromium browser")
    with sync_api.sync_playwright() as play:
        started = play.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture(scope="session")
def sheet(browser):
    """One page for whatever is printed: a new one for each takes longer than to print it."""
    return browser.new_page()


@pytest.fixture
def open_printer(sheet, monkeypatch):
    """Pages are printed by the browser that is open, as one started for each prints them a second later.

    Without the lines of their drawings: words and how they lie are asked, and lines take long to print and to read.
    """
    from scenes import files

    def to_pdf(html, pdf):
        bare = html.with_name(f"bare {html.name}")
        bare.write_text(re.sub(r"<(path|use)\b[^>]*/>", "", html.read_text(encoding="utf-8")), encoding="utf-8")
        sheet.goto(bare.resolve().as_uri())
        return files.write_bytes(pdf, sheet.pdf(prefer_css_page_size=True, print_background=True))

    monkeypatch.setattr("scenes.pages.pdf.to_pdf", to_pdf)


@pytest.fixture(scope="session", autouse=True)
def _cores_are_taken():
    """Command lines that run in a test's own process keep to it: there is one to each core already."""
    with pytest.MonkeyPatch.context() as patched:
        for name in ("scenes.command.app", "sim.__main__"):
            if name in sys.modules:
                patched.setattr(sys.modules[name], "allow_all_cores", lambda: None)
        yield


@pytest.fixture(scope="session", autouse=True)
def _options_once():
    """What options a command has is found out once, not for every line: a seventh of a line that computes nothing."""
    from tests import options_once

    with options_once.options_once():
        yield


@pytest.fixture(scope="session", autouse=True)
def _one_thread():
    """Every function with matrices keeps to one thread: asked of the libraries once, not by each of them anew."""
    from sim.one_thread import held

    with held():
        yield


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
