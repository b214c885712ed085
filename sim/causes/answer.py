"""What the ranking of causes answers: frozen values that words, pages and files are made from."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from sim.arrays import Floats
from sim.bench.bare_face import HubFace
from sim.bench.told_by_mountings import ToldApart
from sim.causes import names
from sim.causes.priors import Priors
from sim.parts.thickness import Uneven


@dataclass(frozen=True)
class Ranked:
    """One cause, weighed.

    Parameters
    ----------
    cause : str
        A name of `sim.causes.names.CAUSES`.
    probability : float
        That it has the largest share (TIR of its own orders 1 .. 3) of the mounted trace as found; all add to one.
    present : float
        Probability that it is there in more than its usual size.
    runout_um : tuple of float
        Its own share as found, 10, 50 and 90 % points, there or not. [um TIR]
    if_there_um : tuple of float or None
        The same if it is there in more than its usual size or has the largest share; None where that is too seldom to
        say. [um TIR]
    high_spot_deg, high_spot_half_deg : float or None
        Of the share's first order (warp, spigot: second), with the half-width of its 80 % interval; none where it may
        be anywhere.
    frame : {"hub", "rotor"}
        Where that angle counts from: stud 1, or the painted hole.
    """

    cause: str
    probability: float
    present: float
    runout_um: tuple[float, float, float]
    if_there_um: tuple[float, float, float] | None
    high_spot_deg: float | None
    high_spot_half_deg: float | None
    frame: str


@dataclass(frozen=True)
class After:
    """Mounted runout after something was done.

    Parameters
    ----------
    what : {"as it is", "cleaned", "indexed", "cleaned and indexed"}
    runout_um : tuple of float
        10, 50 and 90 % points. [um TIR]
    below : float
        Probability that it is under the limit of the mounted runout.
    studs_turned : int or None
        Best stud position from stud 1, where it was chosen.
    """

    what: str
    runout_um: tuple[float, float, float]
    below: float
    studs_turned: int | None


@dataclass(frozen=True)
class NextReading:
    """One reading that could be taken next.

    Parameters
    ----------
    what : str
        A name of the menu in `sim.causes.names`.
    studs_turned : int or None
        From stud 1, where the rotor is put on anew.
    minutes : float
        What it takes; judgement.
    bits : float
        Expected information on which cause has the largest share, and whether the thickness is over its limit.
    why : str
        What it parts, in one clause.
    saves_min : float
        What it is expected to save, its minutes taken off, against the best act without it.
    """

    what: str
    studs_turned: int | None
    minutes: float
    bits: float
    why: str
    saves_min: float = 0.0


@dataclass(frozen=True, eq=False)
class Fitted:
    """Measured places of one trace on what each leading cause would draw.

    Parameters
    ----------
    trace : str
    mount : int
    angle_deg, read_um : ndarray, shape (k,)
        Places (rotor frame) and readings, their mean removed. [deg, um]
    drawn : dict of str to ndarray, shape (360,)
        Trace if this cause has the largest share, with all that is likely beside it then, one value a degree. [um]
    residual_um : dict of str to ndarray, shape (k,)
        Readings less that. [um]
    """

    trace: str
    mount: int
    angle_deg: Floats
    read_um: Floats
    drawn: dict[str, Floats]
    residual_um: dict[str, Floats]

    def left_over_um(self, cause: str) -> float:
        """Root mean square of what a cause leaves, with all that is likely beside it. [um]. By definition."""
        return float(np.sqrt(np.mean(self.residual_um[cause] ** 2)))


@dataclass(frozen=True)
class DirtLeft:
    """Dirt or scale that cleaning may have left, or let in.

    Parameters
    ----------
    probability : float
        That it makes `sim.causes.finding.COUNTS_UM` of the last mounted trace or more.
    counts : bool
        Whether that is enough to clean once more before anything else.
    runout_um : tuple of float
        Its share of the last mounted trace if it is there, 10, 50 and 90 % points. [um TIR]
    on_hub : float
        How often it then lies on the hub, not on the rotor's seat.
    stud : int or None
        Nearest stud, 1 .. n, of what lies on the hub; none where it may be anywhere.
    below_without : float
        Probability that the last mounted trace is under its limit once it is gone.
    on_spigot : float
        How often it is scale on the spigot, where it is there.
    """

    probability: float
    counts: bool
    runout_um: tuple[float, float, float]
    on_hub: float
    stud: int | None
    below_without: float = 1.0
    on_spigot: float = 0.0


@dataclass(frozen=True)
class Otherwise:
    """Another way in which readings may have been written down, and would fit.

    Parameters
    ----------
    what : str
        A way of `sim.causes.otherwise`.
    trace : str
        Kind of the trace.
    mounts : tuple of int
        Which mountings; nought stands for the bare hub face.
    studs_turned : tuple of int
        Stud pitches with which each would fit; for the bare hub, by how many its first stud would be another.
    probability : float
    """

    what: str
    trace: str
    mounts: tuple[int, ...]
    studs_turned: tuple[int, ...]
    probability: float


@dataclass(frozen=True, eq=False)
class Finding:
    """Ranked causes and what to do.

    Parameters
    ----------
    told : ToldApart
        What the readings tell without a prior.
    ranked : tuple of Ranked
        Most probable first; probabilities add to one.
    finding : str or None
        The cause, where it is earned.
    cannot_tell : tuple of str
        Fewest causes that hold 80 % together; empty with a finding.
    none_fits : bool
        No cause in the list explains the readings.
    misfit_share : float
        Share of readings that would fit worse if the list were right.
    after : tuple of After
    next_readings : tuple of NextReading
        Most information a minute first; empty where none is likely to change what to do.
    do : str
        What to do, a name of `sim.causes.names`; ``measure: ...`` names a reading.
    fitted : tuple of Fitted
        For the overlay.
    columns : int
        Solved seatings of dirt that were compared, turned and mirrored ones counted.
    effective_columns : float
        How many of them the answer rests on, where dirt is likely; else infinite.
    priors : Priors
    dirt_left : DirtLeft or None
        None where the corner was not read cleaned.
    otherwise : tuple of Otherwise
        Other ways in which the readings may have been written down, likeliest first; none is taken for granted.
    hub_face : HubFace or None
        None where the bare hub face was not read.
    more_than_read : bool
        Whether the leading share is larger than the dial ever showed, cancelled by another: no finding.
    by_rule : str
        What these readings alone order (`sim.bench.next_act`), by the names here; empty where they have no more to say.
    rule_studs_turned : int
        Stud position that goes with it.
    rule_costs_min : float or None
        Where something else leads: what the rule's act is expected to cost more; None where that was not weighed.
    something_else : float
        Probability of humps that stay on the hub and that no cause in the list makes; from a half on none fits.
    also : tuple of str
        What is done in the same go, as `sim.bench.next_act.Act` has it; empty where that orders something else.
    even_um : float or None
        With a thickness that is to be read: up to which variation one goes on at once. [um]
    tried : tuple of int
        Stud positions that were read as the corner stands now.
    dial_um : float
        Step of the dial that read last. [um]
    thickness_close : Uneven or None
        Thickness variation with its uncertainty, where it is too close to its limit to tell.
    varies : Uneven or None
        The same wherever it was read.
    read_um : float or None
        Mounted runout of the rotor as it stands, the middle of its turns. [um TIR]
    limit_um : float
        What it is held against. [um TIR]
    turns : int
        How many those are.
    on_both : float
        Probability that dirt lies on the hub and on the rotor's seat.
    fell_off : float
        Probability that dirt that was there as found was gone once the rotor was taken off, nothing cleaned; nought
        where it was not read so on two mountings.
    """

    told: ToldApart
    ranked: tuple[Ranked, ...]
    finding: str | None
    cannot_tell: tuple[str, ...]
    none_fits: bool
    misfit_share: float
    after: tuple[After, ...]
    next_readings: tuple[NextReading, ...]
    do: str
    fitted: tuple[Fitted, ...]
    columns: int
    effective_columns: float
    priors: Priors
    dirt_left: DirtLeft | None = None
    otherwise: tuple[Otherwise, ...] = ()
    hub_face: HubFace | None = None
    more_than_read: bool = False
    by_rule: str = ""
    rule_studs_turned: int = 0
    rule_costs_min: float | None = None
    something_else: float = 0.0
    also: tuple[str, ...] = ()
    even_um: float | None = None
    tried: tuple[int, ...] = ()
    dial_um: float = 10.0
    thickness_close: Uneven | None = None
    varies: Uneven | None = None
    read_um: float | None = None
    limit_um: float = 50.0
    turns: int = 1
    on_both: float = 0.0
    fell_off: float = 0.0

    @property
    def best_stud(self) -> int:
        """Stud position that the act names: of the cleaned rotor, unless it is indexed as it is."""
        wanted = "indexed" if self.do == names.INDEX else "cleaned and indexed"
        return next((one.studs_turned or 0 for one in self.after if one.what == wanted), 0)


DIGITS = 2  # of drawn traces, beyond any meaning


def told(found: Finding) -> dict[str, Any]:
    """Collect what ``causes --json`` adds where a case is given; angles in each cause's own frame, traces in um.

    Parameters
    ----------
    found : Finding

    Returns
    -------
    dict
        Every field but what stage one told; traces of the overlay rounded.
    """
    answer = {one.name: getattr(found, one.name) for one in fields(found) if one.name not in ("told", "fitted")}
    traces = [
        {
            "trace": one.trace,
            "mount": one.mount,
            "frame": "rotor",
            "angle_deg": one.angle_deg,
            "read_um": np.round(one.read_um, DIGITS),
            "drawn": {cause: np.round(curve, DIGITS) for cause, curve in one.drawn.items()},
            "residual_um": {cause: np.round(curve, DIGITS) for cause, curve in one.residual_um.items()},
        }
        for one in found.fitted
    ]
    return {**answer, "next_measurement": found.next_readings[0] if found.next_readings else None, "fitted": traces}
