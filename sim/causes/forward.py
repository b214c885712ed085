"""What each cause does to each trace: one Gaussian model, linear in everything but dirt.

A mounted trace in the rotor's frame is ``c_n = R_n + H_n exp(i n m 2 pi / N) + scatter``; what is between the faces
goes with cleaning, what nuts do differently with tightening again. Unknowns are real and imaginary parts of orders,
and of each stud the share of its pull that it lost.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Complexes, Floats
from sim.causes import names
from sim.causes.priors import Priors
from sim.causes.seen import ORDERS, Seen, Spot

# Causes that are Gaussian, with the size of their orders over the one that the prior states. Judgement: no face is cut
# so true that it runs out in the first order alone, and a saddle has a third of its size in the third; pads wear where
# a rotor runs out, which is once a turn before it is twice; the spigot's
# from seatings with scale on it (first and second order: held off 3 .. 16 and 6 .. 10 um, home 0 .. 3 and 3 .. 12).
SHARES: dict[str, dict[int, float]] = {
    names.HUB_FACE: {1: 1.0},
    names.ROTOR: {1: 1.0, 2: 0.12},
    names.SPIGOT: {1: 0.2, 2: 1.0, 3: 0.08},
    names.WARP: {1: 0.3, 2: 1.0, 3: 0.35},
    names.WORN: {1: 1.0, 2: 0.45, 3: 0.2},
    names.NEW_DTV: {1: 1.0, 2: 0.4, 3: 0.15},
}
# The same where it is as usual: a rotor that is hardly off is as often turned in two humps as in one, and hardly worn
# in no pattern. Judgement, 0.15 .. 0.5; worn 0.4 .. 0.8 and 0.2 .. 0.5.
USUAL: dict[str, dict[int, float]] = {names.ROTOR: {2: 0.3}, names.WORN: {2: 0.6, 3: 0.3}}
GAUSSIAN = (*SHARES, names.TORQUE)
# What is present is large or not so large: sizes over the prior's, with their weights. A rotor or a hub face that is a
# little beyond the usual is as likely as a bad one. What is worn grows from nothing, so that half of what is called
# present is half as large, and what a thickness alone would tell from it (a pad's mark, rust) is smaller. Judgement.
SIZES: dict[str, tuple[tuple[float, float], ...]] = {
    names.HUB_FACE: ((0.4, 0.5), (1.0, 0.5)),
    names.ROTOR: ((0.4, 0.5), (1.0, 0.5)),
    names.WORN: ((0.5, 0.5), (1.1, 0.5)),
}
# Scale holds the rotor off its seat, or the nuts draw it home over it: as often either, and what it then makes of the
# first order over the prior's. Judgement, from seatings.
HELD_OFF, HELD, HELD_ODDS = "held off its seat", 1.2, 0.5
# Scale that a brush left in the spigot's root: what must be present, and its size over that of the scale. Judgement,
# 0.3 .. 0.9, from seatings: humps that a brush does not touch at all are none of the list.
SCALE_LEFT, STAYS = "scale that cleaning left", 0.55
# Dirt on the rotor's seat beside dirt on the hub: orders of what the two make together less the hub's alone, sizes over
# them with their weights. Judgement, from the solved columns of four corners: 24 .. 31, 5 .. 9, 0.6 .. 2. [um]
BESIDE, BESIDE_UM = "dirt on the rotor beside dirt on the hub", {1: 25.0, 2: 6.0, 3: 1.5}
BESIDE_SIZES = ((0.4, 0.5), (1.0, 0.5))
# A film that cleaning left on the rotor's seat: over 140 .. 220 degrees it lifts the rotor to one side and hardly
# bends it (second order 0.02 .. 0.12 of the first, solved), so that no trace tells it from the rotor's own runout. As
# large as dirt beside the hub's, and as often as a bit that stayed there. Judgement.
FILM, FILM_UM = "film that cleaning left on the rotor's seat", {1: 25.0, 2: 1.5, 3: 0.8}
FILM_SIZES = ((0.4, 0.5), (1.0, 0.5))
# A spigot whose scale tilts the rotor also holds it off centre; usually and when present. Judgement. [um]
OFF_CENTRE_UM = (3.0, 30.0)
# Faces are uneven, the hub's (as it reaches the rim) and the rotor's seat: second and third order. Judgement. [um]
UNEVEN_UM = {"hub": {2: 1.5, 3: 0.6}, "rotor": {3: 0.5}}
# What no cause of the list makes alone: humps, two or three a turn, that stay on the hub and that no brush takes away;
# standard deviation of a component. Judgement, half to double. [um]
HUMPS = {2: ("two humps that stay", 15.0), 3: ("three humps that stay", 10.0)}
# Share (of variance) of uneven torque that comes back with every mounting until it is seen to: a rusty thread, the same
# hands. The rest is of the mounting in which the car came. Judgement, 0 .. 1.
COMES_BACK = 0.5
# Worn where it runs out, a rotor loses metal outboard at its high spot and inboard at the opposite: share of the
# outboard wear that the inboard face has, opposite in the first order, at the same places in the others; and what each
# face has of its own, over the prior's size, usually and (inboard) when present. Judgement, 0.2 .. 1.1 and 0.2 .. 1;
# the last so that worn faces vary a thickness once a turn as readily as a rotor from new does: no reading parts them.
INBOARD_SHARE, OF_ITS_OWN = 0.6, {"outboard": (0.4, 0.4), "inboard": (0.4, 0.7)}
# Tightening again moves the rotor a little. Judgement. [um]
RESEAT_UM = {1: 1.0, 2: 0.4, 3: 0.3}
FACES = ("mounted", "inboard")
CLEANED_OFF = ("between", "on its seat")  # in the hub's frame, in the rotor's
ON_ROTOR = ("rotor", "on its seat", "film on its seat")
LEFT = ("left between", "film on its seat")  # the same, until it is cleaned once more
Whole = NDArray[np.intp]
NONE = np.array([], dtype=np.intp)


@dataclass(frozen=True, eq=False)
class Unknown:
    """One order of one cause, or (order 0) the pull lost at one stud; ``sd`` usual and when present. [um, share].

    ``when`` is what must be present for it, where that is not the cause itself; ``held`` its size where scale holds the
    rotor off its seat.
    """

    cause: str
    part: str
    order: int
    sd: tuple[float, float]
    mount: int = 0
    when: str = ""
    held: float = 0.0


@dataclass(frozen=True, eq=False)
class Model:
    """Everything that the readings of one corner can be made of.

    Parameters
    ----------
    studs : int
    stud : ndarray of complex, shape (3,)
        Trace when stud 1 has lost its pull, hub frame. [um]
    hub_lever : float
        Lean of the bare face where it was read over that at the gauge.
    unknowns : tuple of Unknown
    columns : ndarray of int
        First real column of each unknown.
    size : int
        Real columns.
    cleaned_last : int
        Last of several mountings that were cleaned; else nought.
    """

    studs: int
    stud: Complexes
    hub_lever: float
    unknowns: tuple[Unknown, ...]
    columns: tuple[int, ...] = field(default=())
    size: int = 0
    cleaned_last: int = 0

    @cached_property
    def _sizes(self) -> tuple[Floats, Floats, Floats, dict[str, Whole]]:
        """Usual, when present, held off, of every real column; columns by what must be present."""
        width = [2 if one.order else 1 for one in self.unknowns]
        sizes = np.array([(*one.sd, one.held) for one in self.unknowns])
        usual, large, held = np.repeat(sizes, width, axis=0).T
        keys = np.repeat([one.when or one.cause for one in self.unknowns], width)
        return usual, large, held, {str(key): np.flatnonzero(keys == key) for key in np.unique(keys)}

    def sds(self, present: Mapping[str, float]) -> Floats:
        """Standard deviation of every real column, shape (size,). [um, share].

        Parameters
        ----------
        present : mapping of str to float
            Causes that are present, each with its size over the prior's (by definition).
        """
        usual, large, held, columns = self._sizes
        out = usual.copy()
        for key, size in present.items():
            at = columns.get(key, NONE)
            out[at] = np.maximum(usual[at], large[at] * size)
            if HELD_OFF in present:
                out[at] = np.maximum(out[at], held[at])
        return out

    def rows(self, spots: Sequence[Spot]) -> Floats:
        """What every unknown does to these traces, shape (rows, size)."""
        return np.concatenate([self._trace(spot) for spot in spots])

    @cached_property
    def _traces(self) -> dict[Spot, Floats]:
        """Traces that were asked for: one answer asks for each dozens of times."""
        return {}

    def _trace(self, spot: Spot) -> Floats:
        if spot not in self._traces:
            self._traces[spot] = self._seen_in(spot)
        return self._traces[spot]

    def _seen_in(self, spot: Spot) -> Floats:
        out = np.zeros((2 * len(spot.orders), self.size))
        for one, at in zip(self.unknowns, self.columns, strict=True):
            if one.order:
                gain = self._gain(one, spot)
                if gain and one.order in spot.orders:
                    k = 2 * spot.orders.index(one.order)
                    out[k : k + 2, at : at + 2] = _turning(gain)
            elif self._torque_felt(one, spot):
                wave = self._phase(spot) * self.stud * np.exp(-2j * np.pi * ORDER * (int(one.part) - 1) / self.studs)
                out[:, at] = np.stack([wave.real, wave.imag], axis=1)[: len(spot.orders)].ravel()
        out.flags.writeable = False
        return out

    def _phase(self, spot: Spot) -> Complexes:
        turned: Complexes = np.exp(2j * np.pi * ORDER * spot.turned / self.studs)
        return turned

    def _torque_felt(self, one: Unknown, spot: Spot) -> bool:
        if spot.kind not in FACES or spot.retorqued:
            return False
        return one.mount == 0 or (spot.first and one.mount == spot.mount)

    def _gain(self, one: Unknown, spot: Spot) -> complex:
        """Complex gain of one order of an unknown in one trace; nought where the trace does not see it."""
        kind, part = spot.kind, one.part
        if part == "off centre":
            return complex(self._phase(spot)[0]) if kind == "radial" and not spot.cleaned else 0.0
        if kind == "hub face":
            return self.hub_lever if one.cause == names.HUB_FACE else 0.0
        thick = {"outboard": (-1.0, 0.0, -1.0), "inboard": (0.0, 1.0, -1.0), "both": (0.5, -0.5, 1.0)}.get(part)
        if part == "worn":
            inboard = -INBOARD_SHARE if one.order == 1 else INBOARD_SHARE
            return dict(zip((*FACES, "thickness"), (-1.0, inboard, -1.0 - inboard), strict=True)).get(kind, 0.0)
        if thick is not None:
            return dict(zip((*FACES, "thickness"), thick, strict=True)).get(kind, 0.0)
        if kind not in FACES or (part in CLEANED_OFF and spot.cleaned) or (part in LEFT and spot.again):
            return 0.0
        if part == "film on its seat" and spot.twice:
            return 0.0
        if part == "mounting":
            return float(one.mount == spot.mount)
        if part == "tightened again":
            return float(one.mount == spot.mount and spot.retorqued)
        return 1.0 if part in ON_ROTOR else complex(self._phase(spot)[one.order - 1])

    def dirt_rows(self, spots: Sequence[Spot], kind: str) -> Floats:
        """What real and imaginary parts of orders 1 .. 3 of dirt (hub, rotor) or a pad's mark do, shape (rows, 12).

        The first half is what lay there as found, the second what lies there once it was cleaned; a pad's mark stays in
        the first. "once" is gone with the last cleaning, "first" with the mounting in which the car came. No unit; a
        turn by stud pitches is a phase, by definition.
        """
        return np.concatenate([self._dirt_in(spot, kind) for spot in spots])

    @cached_property
    def _dirt(self) -> dict[tuple[Spot, str], Floats]:
        return {}

    def _dirt_in(self, spot: Spot, kind: str) -> Floats:
        if (spot, kind) not in self._dirt:
            block = np.zeros((2 * len(spot.orders), 4 * ORDERS))
            phase = self._phase(spot) if kind.startswith("hub") else np.ones(ORDERS)
            felt = {"mounted": 0.5, "inboard": -0.5, "thickness": 1.0} if kind == "mark" else dict.fromkeys(FACES, 1.0)
            gain = 0.0 if kind != "mark" and self._gone(spot, kind) else felt.get(spot.kind, 0.0)
            start = 2 * ORDERS * int(spot.cleaned and kind != "mark")
            for k, order in enumerate(spot.orders):
                n = start + 2 * (order - 1)
                block[2 * k : 2 * k + 2, n : n + 2] = _turning(gain * complex(phase[order - 1]))
            block.flags.writeable = False
            self._dirt[spot, kind] = block
        return self._dirt[spot, kind]

    def _gone(self, spot: Spot, kind: str) -> bool:
        """Whether nothing is left of what cleaning left, or of what fell off when the rotor was taken off."""
        last = kind.endswith("once") and (spot.mount < 0 or spot.mount >= self.cleaned_last)
        return spot.again or (spot.cleaned and last) or (kind.endswith("first") and not spot.first)

    def share_rows(self, spot: Spot, cause: str) -> Floats:
        """Rows of one trace with every other cause left out.

        Units of `rows`; by definition.
        """
        keep = np.zeros(self.size)
        for one, at in zip(self.unknowns, self.columns, strict=True):
            if one.cause == cause:
                keep[at : at + (2 if one.order else 1)] = 1.0
        return self._trace(spot) * keep


# Orders, as an array.
ORDER = np.arange(1, ORDERS + 1)


def _turning(gain: complex) -> Floats:
    gain = complex(gain)
    return np.array([[gain.real, -gain.imag], [gain.imag, gain.real]])


def model(seen: Seen, studs: int, stud: Complexes, hub_lever: float, priors: Priors) -> Model:
    """Set the model up for what was read.

    Parameters
    ----------
    seen : Seen
    studs : int
    stud : ndarray of complex, shape (3,)
        From `sim.causes.signatures`. [um]
    hub_lever : float
    priors : Priors

    Returns
    -------
    Model

    Notes
    -----
    Sizes in um; which part each rides on is settled in `sim.causes.names`, sizes of orders are judgement.
    """
    unknowns: list[Unknown] = []
    parts = {names.HUB_FACE: ("hub",), names.ROTOR: ("rotor",), names.SPIGOT: ("between",), names.WARP: ("rotor",),
             names.WORN: ("worn", "outboard", "inboard"), names.NEW_DTV: ("both",)}  # fmt: skip
    for cause, shares in SHARES.items():
        prior = priors.of(cause)
        for part in parts[cause]:
            little, large = OF_ITS_OWN.get(part, (1.0, 1.0))
            usual = shares | USUAL.get(cause, {})
            of_order = {
                n: (little * usual[n] * prior.usual_um, large * s * prior.present_um) for n, s in shares.items()
            }
            held = {1: HELD * prior.present_um} if cause == names.SPIGOT else {}
            unknowns += [Unknown(cause, part, n, sd, held=held.get(n, 0.0)) for n, sd in of_order.items()]
    little, left = 0.01 * priors.spigot.usual_um, STAYS * priors.spigot.present_um  # where nothing was left, and where
    for n, share in SHARES[names.SPIGOT].items():
        held_um = HELD * left if n == 1 else 0.0
        unknowns.append(Unknown(names.SPIGOT, "left between", n, (little, share * left), 0, SCALE_LEFT, held_um))
    unknowns.append(Unknown(names.SPIGOT, "off centre", 1, OFF_CENTRE_UM))
    for n, size_um in BESIDE_UM.items():
        unknowns.append(Unknown(names.ROTOR_DIRT, "on its seat", n, (0.0, size_um), 0, BESIDE))
    for n, size_um in FILM_UM.items():
        unknowns.append(Unknown(names.ROTOR_DIRT, "film on its seat", n, (0.0, size_um), 0, FILM))
    for part, sizes in UNEVEN_UM.items():
        for n, usual_um in sizes.items():
            when, large_um = HUMPS[n] if part == "hub" else ("", usual_um)
            unknowns.append(Unknown("", part, n, (usual_um, large_um), 0, when))
    torque = priors.uneven_torque
    mounts = sorted({spot.mount for spot in seen.spots if spot.kind in FACES})
    for share, mount in ((COMES_BACK, 0), (1.0 - COMES_BACK, mounts[0])):
        sd = (float(np.sqrt(share)) * torque.usual_um, float(np.sqrt(share)) * torque.present_um)
        unknowns += [Unknown(names.TORQUE, str(k + 1), 0, sd, mount) for k in range(studs)]
    for mount in mounts:
        for n, sd_um in enumerate(priors.mount_scatter_um, 1):
            unknowns.append(Unknown("", "mounting", n, (sd_um, sd_um), mount))
        if any(spot.retorqued and spot.mount == mount for spot in seen.spots):
            unknowns += [Unknown("", "tightened again", n, (sd, sd), mount) for n, sd in RESEAT_UM.items()]
    widths = [2 if one.order else 1 for one in unknowns]
    starts = np.concatenate([[0], np.cumsum(widths)])
    first = tuple(int(s) for s in starts[:-1])
    return Model(studs, stud, hub_lever, tuple(unknowns), first, int(starts[-1]), seen.cleaned_last)
