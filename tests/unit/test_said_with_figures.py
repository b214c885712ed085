"""What a hub is bought by, what a second stud is chosen by and what leaves a rotor on stand with their figures."""

from dataclasses import replace

import numpy as np

from scenes.words import bare_face
from scenes.words import mountings as said
from sim.bench.bare_face import HubFace
from sim.bench.next_act import _second_stud
from sim.bench.read_otherwise import GONE
from sim.causes.decision import decide
from sim.files.dial_readings import Readings
from tests.unit.test_mountings import EVEN, LIMITS, face_of, mounted, told

OVER = HubFace(33.0, 6.0, 23.0, "above", 64.0, 140.0, 33.0, 6.0, times=2)


def test_a_hub_that_goes_is_said_with_its_figure_and_with_whose_limit_that_is():
    """ "Over its limit, read twice alike": 33 ± 6 and 23 stood nowhere, nor that the limit was no vehicle maker's."""
    text = bare_face.hub_and_bearing(OVER).replace("\N{NO-BREAK SPACE}", " ")
    assert "is over its limit, 33 ± 6 µm (k = 2; read twice alike), limit 23 µm (no vehicle maker's: where" in text
    assert "over that limit again, hub or bearing" in bare_face.hub_and_bearing(replace(OVER, times=1))
    makers = bare_face.hub_and_bearing(replace(OVER, times=1, stated=True))
    assert "over the vehicle maker's limit again, hub or bearing" in makers
    assert "no vehicle maker's" not in makers


def test_of_a_dial_finer_than_the_first_turns_three_turns_are_asked():
    """ "Twice more with the finest dial"; of that it was once more then, the rotor off and on again."""
    near = replace(OVER, runout_um=21.0, state="too close to tell", times=1)
    assert "agree decides, of one finer than 0.01\N{NO-BREAK SPACE}mm a division three of its own (" in (
        bare_face.read_again(near)
    )
    assert "three of its own" not in bare_face.read_again(replace(near, dial_um=1.0))


def test_where_the_bare_face_was_read_the_second_stud_is_the_one_that_reads_least_by_it():
    """Stud 3 was ordered, as "nothing parts hub from rotor", and read 85 µm; by the face read before, stud 5 did 25."""
    hub, rotor = 14.0, 30.0 * np.exp(1.4j)
    traces = (mounted(0, hub, rotor, 2, "cleaned"), face_of(hub))
    left = [abs(rotor + hub * np.exp(2j * np.pi * position / 5)) for position in range(1, 5)]
    found = told(*traces)
    assert _second_stud(found, found.states[-1]) == 1 + int(np.argmin(left))
    alone = told(traces[0])
    assert _second_stud(alone, alone.states[-1]) == 2
    assert "nothing parts" not in said.ONE_STUD_BY_FACE


def test_what_would_fit_written_otherwise_does_not_stand_between_the_stamp_and_what_is_over_it():
    """ "Else this rotor is scrap. Mounted, mount 3: on stud 2 it would fit. Over it the runout is done"."""
    turn = mounted(0, 3.0, 4.0, 3, "cleaned")
    one = decide(Readings(5, 140.0, 64.0, 10.0, (turn, turn, EVEN, face_of(3.0))), LIMITS)
    assert one.act.what == "done"
    text = said.lead(one.told, one.act, [f"mounted, mount 2: on stud 2 it would fit{GONE}"])
    assert text.startswith("Mounted, mount 2: on stud 2 it would fit")
    assert "else this rotor is scrap. Over it the runout is done" in text
