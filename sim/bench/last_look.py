"""A last look at the turns of one thing, each by itself as it was entered: whether most of them read over its limit.

Written apart from what makes one figure of them: whatever odd turns did to that, nothing is left on over turns that
mostly read over, nor, until so many were read, over one that surely did, or one of three that stands off. What an
explained reason put out of count does not count here either: a slip that was named, another mount or state, a coarser
dial beside a finer one, metal that went since.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.bench.bare_face import HubFace, face_runout_um, held_against, lean_read
from sim.bench.between_places import counted_um
from sim.bench.pooled_turns import as_it_stands
from sim.files.dial_readings import Readings
from sim.files.face_turns import of_last_state
from sim.files.read_anew import LEAST_ALIKE
from sim.files.thickness_turns import of_this_rotor, turns_out
from sim.parts.case import Limits
from sim.parts.dial import COVERAGE, Dial
from sim.parts.thickness import MOST_OF, micrometer_sd_um, scatter_um


@dataclass(frozen=True)
class Look:
    """Turns of one thing, each by itself.

    Parameters
    ----------
    each_um : tuple of float
        What each turn reads: highest less lowest, of a bare face by its lean. First read first. [um TIR]
    sd_um : tuple of float
        Standard deviation of each of them. [um]
    limit_um : float
    agree : tuple of bool
        Of a bare face, whether each is one of those that agree, whose middle counts.
    put_out : tuple of bool
        Of a thickness, whether others that agree with each other put it out.
    mounts : tuple of int
        In which the rotor was read so, where several may be in one look.
    """

    each_um: tuple[float, ...]
    sd_um: tuple[float, ...]
    limit_um: float
    agree: tuple[bool, ...] = ()
    put_out: tuple[bool, ...] = ()
    mounts: tuple[int, ...] = ()

    @property
    def over_um(self) -> tuple[float, ...]:
        """What the turns read that read over the limit. By definition. [um]."""
        return tuple(read for read in self.each_um if read > self.limit_um)

    @property
    def mostly_over(self) -> bool:
        """Whether half of the turns or more read over the limit, of two one, and one by more than it scatters.

        Judgement, no unit.
        """
        each = zip(self.each_um, self.sd_um, strict=True)
        surely = any(read > self.limit_um + sd for read, sd in each)
        return surely and 2 * len(self.over_um) >= len(self.each_um)

    @property
    def read_on(self) -> bool:
        """Whether more turns are asked: mostly over, one that agrees surely over (k = 2), `stands_off`; until read out.

        Judgement, no unit.
        """
        each = zip(self.each_um, self.sd_um, self.agree, strict=False)
        one = any(agrees and read > self.limit_um + COVERAGE * sd for read, sd, agrees in each)
        return not self.read_out and (self.mostly_over or self.stands_off or one)

    @property
    def stands_off(self) -> bool:
        """Whether one of three or two of four read over the limit, further over all others than they scatter (k = 2).

        Two that agree by chance do not outvote one: a turn more tells. Judgement; of three honest turns of a thickness
        at 30 .. 80 % of its limit one or two in a hundred are asked for it. One that was put out is none of them, and a
        bare face has its own rule: `read_on`. No unit.
        """
        out = self.put_out or (False,) * len(self.each_um)
        each = sorted((um, sd) for um, sd, gone in zip(self.each_um, self.sd_um, out, strict=True) if not gone)
        over, count = sum(um > self.limit_um for um, _ in each), len(each)
        if self.agree or count < LEAST_ALIKE or not 0 < over < count <= 2 * over + 1:
            return False
        (under_um, _), (over_um, sd) = each[-over - 1], each[-over]
        return over_um - under_um > COVERAGE * sd

    @property
    def read_out(self) -> bool:
        """Whether so many turns were read that no more are asked: then they count as over the limit. Judgement."""
        return len(self.each_um) >= MOST_OF

    @property
    def middle_um(self) -> float:
        """Middle one of what the turns read, of two the larger: over the limit where they mostly are. [um]."""
        return sorted(self.each_um)[len(self.each_um) // 2]

    def overrules(self, figure_um: float) -> bool:
        """Whether turns that were read out count as over a limit that their one figure is not over. [um].

        Parameters
        ----------
        figure_um : float
        """
        return figure_um <= self.limit_um and self.read_out and self.mostly_over


def of_mount(readings: Readings, limits: Limits) -> Look:
    """Look at the turns of the rotor as it stands.

    Parameters
    ----------
    readings : Readings
        Turns that `sim.bench.read_alike` left out of a mount that stands count here.
    limits : Limits

    Notes
    -----
    What tops reach between few places counts in (`sim.bench.between_places`). [um TIR]
    """
    mounted = readings.of("mounted")
    stands = as_it_stands(mounted, [readings.step_um(one) for one in mounted])
    step = readings.step_um(stands[-1]) if stands else 0.0
    entered = [one for one in readings.as_entered if one.kind == "mounted"]
    last = {one.mount: (one.state, one.clamped_by) for one in entered}
    mounts = {one.mount for one in stands}
    turns = [
        one
        for one in entered
        if one.mount in mounts and (one.state, one.clamped_by) == last[one.mount] and readings.step_um(one) <= step
    ]
    each = tuple(counted_um(one, readings.step_um(one)) for one in turns)
    sd = tuple(Dial(readings.step_um(one)).doubt_um / COVERAGE for one in turns)
    return Look(each, sd, limits.mounted_runout_um, mounts=tuple(dict.fromkeys(one.mount for one in turns)))


def of_face(readings: Readings, face: HubFace) -> Look:
    """Look at the turns of the bare hub face, those of the finest dial, in the state in which it was read last.

    Parameters
    ----------
    readings : Readings
    face : HubFace
        What was made of them.

    Notes
    -----
    Each by its lean, or its waves, as `sim.bench.bare_face` holds one turn against the limit. [um TIR]
    """
    there = [one for one in of_last_state(readings.with_parts_of("hub face")) if readings.step_um(one) <= face.dial_um]
    read = [
        held_against(lean := lean_read(one, readings), face_runout_um(lean, one.creep_um), face.limit_um)
        for one in there
    ]
    agree = tuple(any(one is counts for counts in readings.bare_turns) for one in there)
    return Look(tuple(um for um, _ in read), tuple(doubt / COVERAGE for _, doubt in read), face.limit_um, agree)


def of_thickness(readings: Readings, limits: Limits) -> Look:
    """Look at the turns of the thickness that read this rotor, by no coarser micrometer than the one that counts.

    Parameters
    ----------
    readings : Readings
        With one turn of the thickness or more.
    limits : Limits

    Notes
    -----
    Two readings of a hand that repeats so (JCGM 100:2008), of a shaky one as its places scatter. [um]
    """
    turns = readings.with_parts_of("thickness")
    division = readings.micrometer_um(readings.of("thickness")[-1])
    there = [one for one in of_this_rotor(turns, division) if readings.micrometer_um(one) <= division]
    sd = (max(micrometer_sd_um(division), scatter_um(one.angle_deg, one.value_um)) for one in there)
    each = tuple(float(np.ptp(one.value_um)) for one in there)
    out = turns_out(turns, division)
    put_out = tuple(any(one is gone for gone in out) for one in there)
    return Look(each, tuple(math.sqrt(2.0) * one for one in sd), limits.dtv_um, put_out=put_out)
