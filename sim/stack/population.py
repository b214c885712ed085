"""What is drawn: a corner and how its figures, its dirt and the torque of its nuts are spread over many cars."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.linalg import cholesky

from sim.arrays import Floats
from sim.errors import BadInput, Fault
from sim.files.nearest_word import nearest
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.keys import BY_TABLE, KEYS, KINDS
from sim.stack.distributions import Distribution
from sim.units import shown

#: Keys that add to a seated trace as vectors: nothing is seated anew for them.
VECTORS = (
    "hub.face_runout_um",
    "hub.face_high_spot_deg",
    "rotor.own_runout_um",
    "rotor.own_high_spot_deg",
    "rotor.own_thickness_variation_um",
    "rotor.own_thick_spot_deg",
)
#: Keys for which the corner is seated anew, on the flexibilities that it has.
SEATED = (
    "hub.face_dish_um",
    "rotor.flange_dish_um",
    "hub.face_saddle_um",
    "hub.face_saddle_deg",
    "rotor.flange_saddle_um",
    "rotor.flange_saddle_deg",
    "studs.nut_factor",
    "studs.screw_preload_n",
    "studs.screw_angle_deg",
    "contact.layer_stiffness_n_mm3",
    "wheel.pad_dish_um",
)
#: Tables of which every number only counts on the road.
ROAD = ("pads", "caliper", "drive")
#: An amplitude and the angle of its high spot: where the angle is not said to vary, it is drawn all round.
ANGLE_OF = {
    "hub.face_runout_um": "hub.face_high_spot_deg",
    "rotor.own_runout_um": "rotor.own_high_spot_deg",
    "rotor.own_thickness_variation_um": "rotor.own_thick_spot_deg",
    "hub.face_saddle_um": "hub.face_saddle_deg",
    "rotor.flange_saddle_um": "rotor.flange_saddle_deg",
}
ALL_ROUND = Distribution("uniform", (0.0, 360.0))
SHAPES = BY_TABLE["debris"]["shape"].choices
LEVELS = 3  # figures that stand for the spread of a key that changes how a part bends; judgement, 3 .. 5
MOST_GEOMETRIES = 16  # each takes seconds to prepare
LEAST_EIGENVALUE = 1e-9  # of a correlation that can be drawn
MOST_PATCHES = 12  # of one kind of dirt on one corner


@dataclass(frozen=True)
class Varied:
    """One key of the case and how it is spread.

    Parameters
    ----------
    key : str
        Table and name, such as ``hub.face_runout_um``.
    spread : Distribution
        In the unit of the key.
    source : str
        Where the figures come from, in the user's words.
    levels : int
        Figures by which the spread of a key that changes how a part bends is stood for; 0 for all other keys.
    """

    key: str
    spread: Distribution
    source: str = ""
    levels: int = 0

    @property
    def table(self) -> str:
        """Table of the case that the key stands in."""
        return self.key.partition(".")[0]

    @property
    def name(self) -> str:
        """Name of the key within its table."""
        return self.key.partition(".")[2]


@dataclass(frozen=True)
class Dirt:
    """One kind of dirt: how many patches a corner has, where and how big.

    Parameters
    ----------
    name : str
    on : {"hub", "rotor"}
    counts : tuple of float
        Share of corners with 0, 1, 2 ... patches; adds up to 1.
    kinds : tuple of (str, float)
        Kinds of dirt as in a case file, with their shares.
    shape : {"sector", "round"}
    height_um, width_mm, arc_deg : Distribution
        Height, radial width, angle covered.
    radius_mm : Distribution or None
        Middle of a patch; None: anywhere on the face, by area.
    cleaning_takes : float
        Share of the patches that cleaning takes away.
    source : str
    """

    name: str
    counts: tuple[float, ...]
    height_um: Distribution
    width_mm: Distribution
    arc_deg: Distribution
    on: str = "hub"
    kinds: tuple[tuple[str, float], ...] = (("hard", 1.0),)
    shape: str = "sector"
    radius_mm: Distribution | None = None
    cleaning_takes: float = 1.0
    source: str = ""

    def __post_init__(self) -> None:
        faults = []
        for name, shares in (("counts", self.counts), ("kinds", tuple(share for _, share in self.kinds))):
            if not shares or not (min(shares) >= 0.0 and abs(sum(shares) - 1.0) <= 1e-6):
                faults.append(Fault("shares do not add up to 1", key=name, allowed="shares from 0, together 1"))
        if len(self.counts) > MOST_PATCHES + 1:
            faults.append(Fault("too many patches on one corner", key="counts", allowed=f"up to {MOST_PATCHES}"))
        for kind, _ in self.kinds:
            if kind not in KINDS:
                faults.append(Fault(f"{shown(kind)} is not known", key="kinds", allowed=", ".join(KINDS)))
        if self.on not in ("hub", "rotor"):
            faults.append(Fault(f"{shown(self.on)} is not known", key="on", allowed="hub, rotor"))
        if self.shape not in SHAPES:
            faults.append(Fault(f"{shown(self.shape)} is not known", key="shape", allowed=", ".join(SHAPES)))
        if not 0.0 <= self.cleaning_takes <= 1.0:
            faults.append(Fault(f"{self.cleaning_takes:g} is no share", key="cleaning_takes", allowed="0 .. 1"))
        if faults:
            raise BadInput(faults)


@dataclass(frozen=True)
class Correlated:
    """Keys that go together: correlation of their normal scores (a Gaussian copula).

    Raises
    ------
    BadInput
        For a matrix that no figures can have: not symmetric, not 1 on its diagonal, not positive definite.
    """

    keys: tuple[str, ...]
    matrix: tuple[tuple[float, ...], ...]

    def __post_init__(self) -> None:
        given = np.array(self.matrix, dtype=float)
        size = len(self.keys)
        if given.shape != (size, size) or size < 2:
            raise BadInput(Fault(f"is not {size} by {size}", key="correlation", allowed="a row for every key"))
        if not np.allclose(given, given.T) or not np.allclose(np.diag(given), 1.0) or np.abs(given).max() > 1.0:
            allowed = "-1 to 1, symmetric, 1 on its diagonal"
            raise BadInput(Fault("is no correlation", key="correlation", allowed=allowed))
        if np.linalg.eigvalsh(given)[0] < LEAST_EIGENVALUE:
            reason = "is impossible: these keys cannot all go together so closely (not positive definite)"
            raise BadInput(Fault(reason, key="correlation", allowed="correlations that can be true at once"))

    @cached_property
    def factor(self) -> Floats:
        """Lower triangular factor: independent normal scores times this are correlated ones."""
        return np.asarray(cholesky(np.array(self.matrix, dtype=float), lower=True))


@dataclass(frozen=True)
class Population:
    """Many corners of one kind of car.

    Parameters
    ----------
    title : str
    case : Case
        What every corner has in common; its own dirt, if any, lies on each of them.
    varied : tuple of Varied
    dirt : tuple of Dirt
    stud, tool : Distribution or None
        Factors of the torque as read and on the road, drawn for every nut and for every corner.
    correlated : tuple of Correlated
    limit_um : float
        Lateral runout that a corner may have at the dial. [um TIR]
    share_within : float
        Share of corners that shall be within it.
    stud_source, tool_source : str
        Where the figures of the torque come from, in the user's words.
    """

    title: str
    case: Case
    varied: tuple[Varied, ...] = ()
    dirt: tuple[Dirt, ...] = ()
    stud: Distribution | None = None
    tool: Distribution | None = None
    correlated: tuple[Correlated, ...] = ()
    limit_um: float = 50.0
    share_within: float = 0.99
    stud_source: str = ""
    tool_source: str = ""

    def __post_init__(self) -> None:
        known = [one.key for one in self.varied]
        faults = [Fault("varies twice", key=key) for key in sorted({key for key in known if known.count(key) > 1})]
        for one in self.varied:
            faults += [Fault(reason, key=one.key, allowed=allowed) for reason, allowed in never(one)]
        for group in self.correlated:
            faults += [Fault("is correlated but does not vary", key=key) for key in group.keys if key not in known]
        told = [key for group in self.correlated for key in group.keys]
        faults += [Fault("stands in two correlations", key=key) for key in sorted(set(told)) if told.count(key) > 1]
        count = int(np.prod([one.levels for one in self.varied if one.levels] or [1]))
        if count > MOST_GEOMETRIES:
            reason = f"these levels make {count} different geometries, each of which takes seconds to prepare"
            faults.append(Fault(reason, key="levels", allowed=f"{MOST_GEOMETRIES} together"))
        if not (self.varied or self.dirt or self.stud or self.tool):
            faults.append(Fault("nothing varies", key="vary", allowed="[[vary]], [[dirt]] or [torque.stud]"))
        if not 0.0 < self.share_within < 1.0:
            faults.append(Fault(f"{self.share_within:g} is no share", key="share_within", allowed="above 0, below 1"))
        if faults:
            raise BadInput(faults)

    @property
    def spreads(self) -> tuple[Varied, ...]:
        """All keys that vary, angles that are drawn all round because nobody said otherwise among them."""
        known = {one.key for one in self.varied}
        round_ = (Varied(ANGLE_OF[key], ALL_ROUND, "all round") for key in known if key in ANGLE_OF)
        return (*self.varied, *sorted((one for one in round_ if one.key not in known), key=lambda one: one.key))

    def of(self, key: str) -> Varied | None:
        """How a key varies; None where it does not."""
        return next((one for one in self.spreads if one.key == key), None)


def role(key: str) -> str:
    """How a key enters: ``vector``, ``seated``, ``road``, ``geometry``, or empty where it cannot vary."""
    table, _, name = key.partition(".")
    found = BY_TABLE.get(table, {}).get(name)
    if found is None or found.kind != "number" or table in ("debris", "spigot_scale", "limits", "judder"):
        return ""
    if key in VECTORS:
        return "vector"
    if key in SEATED:
        return "seated"
    if table in ROAD:
        return "road"
    return "geometry" if table in ("rotor", "hub", "wheel", "studs") else ""


def never(one: Varied) -> list[tuple[str, str]]:
    """Why a key cannot vary, or not so, with what is allowed; empty where it can."""
    kind = role(one.key)
    if not kind:
        if one.table in ("debris", "spigot_scale"):
            return [("is drawn by a table of its own", "[[dirt]]")]
        if one.key in ("studs.torque_nm", "studs.road_torque_nm", "studs.preload_n"):
            return [("varies from nut to nut", "[torque.stud] and [torque.tool]")]
        near = nearest(one.key, [key.path for key in KEYS if role(key.path)])
        reason = f"is unknown or fixed: it is no number that varies{f'; nearest known: {near}' if near else ''}"
        return [(reason, "a number of the case: trueseat keys")]
    if kind == "geometry" and not 2 <= one.levels <= 7:
        return [(f"{one.levels} levels", "2 .. 7: it changes how a part bends, which is computed for each level")]
    key = BY_TABLE[one.table][one.name]
    ends = one.spread.at(np.array([1e-6, 1.0 - 1e-6]))
    low, high = (max(float(ends[0]), one.spread.lowest), min(float(ends[1]), one.spread.highest))
    wrong = [reason for reason in (key.wrong(low), key.wrong(high)) if reason]
    told = f"{one.spread.told} reaches there: a slip in its figures, or cut it off with lowest and highest"
    return [(f"{reason}: {told}", key.allowed) for reason in wrong[:1]]


@one_thread
def correlated_scores(group: Correlated, scores: Floats) -> Floats:
    """Turn independent normal scores (keys, n) into correlated ones. No unit; Gaussian copula, by definition."""
    return np.asarray(group.factor @ scores)
