"""`from sim import ...`: the few functions that an engineer needs, cheap to import, with doctests that hold."""

import doctest
import importlib
import inspect
import subprocess
import sys
from pathlib import Path

import pytest

import sim

SIM = Path(sim.__file__).parent
MODULES = sorted(".".join(path.relative_to(SIM).with_suffix("").parts) for path in SIM.rglob("[!_]*.py"))


@pytest.mark.parametrize("name", sim.__all__)
def test_every_public_name_is_there_and_says_what_it_is(name):
    assert getattr(sim, name).__doc__
    # A submodule of the same name would hide it once it has been imported.
    assert name not in {path.stem for path in SIM.iterdir()}


def test_importing_is_cheap_and_unknown_names_are_refused():
    code = "import sys, sim; sim.__all__; print('numpy' in sys.modules, hasattr(sim, 'nonsense'))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "False"]


def test_one_corner_in_three_lines():
    code = (
        "from sim import Case, Debris, seat\n"
        "seated = seat(Case(debris=(Debris(angle_deg=36.0),)), 'fast')\n"
        "print(80 < seated.gauge_runout_um < 90, seated.checks.complementarity < 1e-9)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["True", "True"]


TELLING = [name for name in sim.__all__ if "progress" in getattr(getattr(sim, name), "__annotations__", {})]


@pytest.mark.parametrize("name", TELLING)
def test_what_cannot_be_told_of_progress_is_refused_before_anything_else(name):
    function = getattr(sim, name)
    needed = [one for one in inspect.signature(function).parameters.values() if one.default is one.empty]
    places = [None for one in needed if one.kind is not one.KEYWORD_ONLY]
    named = {one.name: None for one in needed if one.kind is one.KEYWORD_ONLY}
    with pytest.raises(sim.BadInput, match="progress: 3 cannot be told how far it is"):
        function(*places, **named, progress=3)


def test_many_functions_tell_how_far_they_are():
    assert len(TELLING) > 10


class Finder(doctest.DocTestFinder):
    """Finds functions under their decorators too."""

    def _from_module(self, module, object):
        return super()._from_module(module, inspect.unwrap(object) if callable(object) else object)


@pytest.mark.parametrize("name", MODULES)
def test_doctests_hold(name):
    module = importlib.import_module(f"sim.{name}")
    found = [test for test in Finder().find(module, module.__name__) if test.examples]
    runner = doctest.DocTestRunner()
    for test in found:
        runner.run(test)
    assert runner.summarize(verbose=False).failed == 0
    assert sum(len(test.examples) for test in found) == Path(module.__file__).read_text().count(">>> ")
