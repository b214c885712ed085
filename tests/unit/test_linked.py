"""Mountings that read alike are so every two, and the groups are the same in whatever sequence they were read."""

from __future__ import annotations

from itertools import combinations, permutations

import numpy as np

from sim.bench.linked import came_back
from sim.bench.mountings import TOLD, first_orders_apart, told_apart
from sim.bench.read_alike import two_groups
from sim.files.dial_readings import Readings
from tests.unit.test_mountings import mounted

CHAIN = (10.0, 19.0, 24.0, 34.0)  # each reads like the next, first and last do not


def read_of(rotors):
    turns = tuple(mounted(2, 5.0, rotor, mount, "cleaned") for mount, rotor in enumerate(rotors, 1))
    return Readings(5, 140.0, 64.0, 10.0, turns)


def groups_of(rotors):
    """Which rotors are in a group together, of their table in this sequence."""
    alike = told_apart(read_of(rotors)).states[-1].alike
    return {frozenset(rotors[mount - 1] for mount in group) for group in alike}


def test_a_chain_is_cut_at_the_same_place_in_whatever_sequence_it_was_read():
    """Of mounts each like the next "mounts 1 and 2" read alike, or "2 and 3", by which of them was read last."""
    first = groups_of(CHAIN)
    assert len(first) > 1
    for rotors in permutations(CHAIN):
        assert groups_of(rotors) == first
        kept = {rotors[mount - 1] for mount in two_groups(read_of(rotors), read_of(rotors).traces)[0]}
        assert kept in first
        assert rotors[-1] in kept


def test_within_a_group_every_two_read_alike():
    rng = np.random.default_rng(3)
    for _ in range(40):
        rotors = tuple(30.0 + rng.normal(0.0, 9.0, int(rng.integers(3, 7))) + 1j * rng.normal(0.0, 9.0))
        read = read_of(rotors)
        for group in told_apart(read).states[-1].alike:
            for one, other in combinations(group, 2):
                apart, sd = first_orders_apart(read, read.traces[one - 1], read.traces[other - 1])
                assert came_back((2.0 * abs(apart), 2.0 * TOLD * sd))
