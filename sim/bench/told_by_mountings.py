"""What mountings tell, as data: vectors of hub and rotor, how each state stands now, what came back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.bench.came_back import Returned
from sim.files.unlike_turns import Unlike


@dataclass(frozen=True)
class Vector:
    """One first or higher order.

    Parameters
    ----------
    runout_um, half_um : float
        Twice the amplitude, and the half-width of its 80 % circle. [um TIR]
    high_spot_deg : float
        From stud 1 on the hub, or from the painted hole on the rotor; of a higher order one of its high spots. [deg]
    high_spot_half_deg : float or None
        Half-width; none where the circle holds nought.
    told : bool
        Whether it is more than its 95 % circle.
    """

    runout_um: float
    half_um: float
    high_spot_deg: float
    high_spot_half_deg: float | None
    told: bool


@dataclass(frozen=True)
class Again:
    """A second cleaning, and the reading that followed it.

    Parameters
    ----------
    mounts : tuple of int
        Read since.
    over_dirt : tuple of int
        Clean mounts that were read over what it took away: left out.
    took : dict of int to Vector
        Orders 1 and 2 that went with it, rotor frame; empty where nothing clean was read before it.
    went : bool
        Whether they are told from none together.
    stoned : bool
        Whether metal that was stoned off the bare face explains it (`sim.bench.stoned`).
    """

    mounts: tuple[int, ...]
    over_dirt: tuple[int, ...]
    took: dict[int, Vector]
    went: bool
    stoned: bool = False


@dataclass(frozen=True)
class Standing:
    """The rotor as it stands: the middle of the turns since it was put on this stud.

    Parameters
    ----------
    read_um : float
        What its tops reach between few places counted in. [um TIR]
    turns : int
        Of which that is the middle.
    dial_um : float
        Step of their dial. [um]
    left_out : int
        Turns of that mount that these contradict, left out.
    left_out_of : int
        Mount before it that was left out instead, as its turns differ, or `sim.files.trace.BARE_FACE` or `PLAY`; 0 for
        none.
    left_out_turns : int
        Of how many turns ``left_out`` were left out; 0 where a whole mount was.
    between_um : float
        What of it lies between the places: `sim.bench.between_places.beyond_um`. [um]
    places : int
    alone_um, alone_turns : float, int
        What the last mount reads by itself, where turns of others on its stud are in that middle; by how many turns.
        [um TIR]
    cancel : bool
        Whether those turns cancel in their middle, and ``read_um`` is of their own readings: `sim.bench.turns_cancel`.
    """

    read_um: float
    turns: int
    dial_um: float
    left_out: int = 0
    between_um: float = 0.0
    places: int = 0
    alone_um: float = 0.0
    alone_turns: int = 1
    left_out_of: int = 0
    left_out_turns: int = 0
    cancel: bool = False


@dataclass(frozen=True)
class Apart:
    """Mountings in one state, held alike.

    Parameters
    ----------
    state, clamped_by : str
    mounts, positions : tuple of int
        Stud pitches turned, each mount.
    read_um : tuple of float
        Highest less lowest reading of each. [um TIR]
    hub, rotor : dict of int to Vector
        By order, where these positions part them.
    sum : dict of int to Vector
        Mounted trace of the last mount, rotor frame.
    returned : tuple of Returned
    contradict : bool
        Whether three mountings or more fit no hub and no rotor that stay as they are.
    now : Standing
        As read last.
    counted_um : tuple of float
        What counts of each: ``read_um``, and what its tops reach between few places. [um TIR]
    alike : tuple of tuple of int
        Mounts that read alike, a group each, on every stud that was read in two mounts or more.
    """

    state: str
    clamped_by: str
    mounts: tuple[int, ...]
    positions: tuple[int, ...]
    read_um: tuple[float, ...]
    hub: dict[int, Vector]
    rotor: dict[int, Vector]
    sum: dict[int, Vector]
    returned: tuple[Returned, ...]
    contradict: bool
    now: Standing
    counted_um: tuple[float, ...]
    alike: tuple[tuple[int, ...], ...] = ()

    @property
    def at_odds(self) -> bool:
        """Whether these mountings contradict each other, on one stud or together."""
        return self.contradict or not all(pair.came_back for pair in self.returned)

    @property
    def scatter_um(self) -> float:
        """What three mountings and more on the stud where it stands scatter by (k = 2); 0 where they come back. [um].

        Two vectors c of components that scatter by s lie ``2 |c - c'|`` apart, 4 s as a root of the mean square, and
        highest less lowest of one, ``2 |c|``, scatters by 2 s (closed form).
        """
        here = self.positions[-1]
        pairs = [one for one in self.returned if self.positions[self.mounts.index(one.mounts[0])] == here]
        if len(pairs) < 2 or all(one.came_back for one in pairs):
            return 0.0
        return float(np.sqrt(np.mean([one.apart_um**2 for one in pairs])))


@dataclass(frozen=True)
class ToldApart:
    """What the readings tell, no prior in it.

    Parameters
    ----------
    studs : int
    states : tuple of Apart
        In the sequence of the file.
    bare : Vector or None
        Lean of the bare hub face at the gauge radius.
    beyond_face : Vector or None
        What stays with the hub and is not its bare face: of the first state that has both.
    taken_off : Vector or None
        What cleaning took away, on the hub; on the rotor where it lay there.
    taken_from : str
        ``hub`` or ``rotor``, where the studs read before and after tell on which it lay; else empty.
    hid : bool
        Whether what cleaning took had cancelled what stays now: neither share held as much before.
    taken_at : int
        Stud pitches turned where it was read, of what lay on either.
    stayed : Vector or None
        What stays with the hub on clean faces: read there; after one clean stud position the least that may, or what
        dirt on the hub had hidden.
    stayed_beyond : Vector or None
        Of that, what is not the bare face.
    thickness : Vector or None
        First order of the thickness.
    hub_left, rotor_left : tuple of str
        Causes that these readings leave for either share; both the same tuple where the shares are not told apart.
    parted : bool
        Whether hub and rotor are told apart in the first order.
    next : str
        Measurement that parts most of what is left, by rule: ``read again``, ``another stud``, ``clean``,
        ``bare hub``, ``thickness`` or nothing.
    next_studs_turned : int
        With ``another stud``.
    again : Again or None
        None where nobody cleaned it a second time, or not where it had stood clean.
    bearing : str
        What was felt when the hub was rocked since, as the table says: ``no play`` or ``play``, ``no play under load``;
        else empty.
    tight : bool
        Whether turns show play though by hand the hub has none (`sim.bench.shows_play.felt`).
    unlike : Unlike or None
        Clean turns that are less alike than dial and hand make them (`sim.files.unlike_turns`).
    apart_there_um : float
        How far its mountings on the stud where it stands read apart that parted, whichever count. [um TIR]
    seats_there : int
        How often it was put on that stud in its last state (`sim.bench.seatings.seats`).
    off_since : bool
        Whether turns of the bare hub face stand below the last mounted one in the table: the rotor may be off.
    """

    studs: int
    states: tuple[Apart, ...]
    bare: Vector | None
    beyond_face: Vector | None
    taken_off: Vector | None
    thickness: Vector | None
    hub_left: tuple[str, ...]
    rotor_left: tuple[str, ...]
    parted: bool
    next: str
    next_studs_turned: int = 0
    stayed: Vector | None = None
    stayed_beyond: Vector | None = None
    taken_from: str = ""
    taken_at: int = 0
    hid: bool = False
    again: Again | None = None
    bearing: str = ""
    tight: bool = False
    unlike: Unlike | None = None
    apart_there_um: float = 0.0
    seats_there: int = 1
    off_since: bool = False

    @property
    def rotor_most_um(self) -> float | None:
        """Most that the rotor runs out by itself, dirt left on it counted with it; None where nothing tells it. [um].

        Its share where the studs part it, else what the bare face leaves of the mounted trace, each with its half-width
        (closed form: vectors of the first order; its half-widths in quadrature, JCGM 100).
        """
        last = self.states[-1]
        if 1 in last.rotor:
            return last.rotor[1].runout_um + last.rotor[1].half_um
        if self.bare is None or 1 not in last.sum:
            return None
        read, on = last.sum[1], 360.0 * last.positions[-1] / self.studs
        apart = np.exp(1j * np.radians(read.high_spot_deg + on - self.bare.high_spot_deg))
        return float(abs(read.runout_um * apart - self.bare.runout_um) + np.hypot(read.half_um, self.bare.half_um))
