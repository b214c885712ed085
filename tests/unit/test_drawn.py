"""A drawing that is handed out again is that of equal things, and of no others."""

from types import SimpleNamespace

import numpy as np
import pytest

from tests import drawn


def drawer(thing, size):
    """A function that has a thing in hand, as drawings have."""
    return lambda: (thing, size)


def run(height, **more):
    return SimpleNamespace(height_um=np.full(4, height), case={"title": "a"}, **more)


def test_equal_things_have_one_value_and_others_another():
    one = drawn.value(drawer(run(1.0), 3))
    assert drawn.value(drawer(run(1.0), 3)) == one
    others = (drawer(run(1.5), 3), drawer(run(1.0), 4), drawer(run(1.0), 3.0), drawer(run(1.0, more=1), 3), run(1.0))
    assert one not in [drawn.value(other) for other in others]


@pytest.mark.usefixtures("drawn_once", "undrawn")
def test_of_what_is_not_drawn_the_label_stands_on_the_page():
    from scenes.plots import board, runout

    for svg in (board.svg, runout.svg):
        assert svg(None, (1.0, 1.0), "<seen>") == (
            '<svg role="img" aria-label="&lt;seen&gt;" >\n<title>&lt;seen&gt;</title></svg>'
        )


@pytest.mark.usefixtures("drawn_once")
def test_what_is_equal_is_drawn_once_and_what_has_no_value_each_time():
    asked = []
    again = drawn.once(lambda draw, label: str(asked.append(label) or len(asked)))
    assert [again(drawer(run(height), 3), label) for height, label in ((1, "a"), (1, "a"), (2, "a"), (1, "b"))] == [
        *"1123"
    ]
    loop = []
    loop.append(loop)
    assert [again(drawer(loop, 3), "c") for _ in range(2)] == [*"45"]
