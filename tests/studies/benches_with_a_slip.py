"""Corners on the bench, read turn by turn, of which one whole turn may have been written otherwise.

Invented without regard to what the program assumes; every figure is a judgement. Hub and rotor have log-normal
runouts, dirt stands as a lean with a second and a third order, hands scatter with heavy tails (Student's t), dials
creep, and are read to a whole, a half or a fifth of a division. What else may be wrong: dirt that cleaning leaves,
metal raised on the hub, a bent stud, seats that sit otherwise each time, a grain under one mounting, a bearing that
throws or has slack. Read is the rotor as found, the bare face cleaned, the rotor cleaned, on another stud, and once
more as it stands or, cleaned again, bare and on the same stud.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim.arrays import Floats

GOOD, DIRT, ON_ROTOR, LEFT, RAISED, STUD, SITS, GRAIN, THROWS, SLACK = (
    "nothing else", "dirt on the hub", "dirt on the rotor", "dirt that cleaning leaves", "raised metal on the hub",
    "a bent stud", "seats that sit otherwise", "a grain under one mounting", "a bearing that throws",
    "a bearing with slack",
)  # fmt: skip
#: How often a corner is so.
KINDS = {
    GOOD: 0.27, DIRT: 0.27, ON_ROTOR: 0.1, LEFT: 0.1, RAISED: 0.05, STUD: 0.04, SITS: 0.05, GRAIN: 0.04, THROWS: 0.04,
    SLACK: 0.04,
}  # fmt: skip
OVER, REVERSED, OFF, UNSIGNED, ELSEWHERE = (
    "signs turned over", "other way round", "one place off", "minus signs left out", "another stud",
)  # fmt: skip
#: How often a slip of a whole turn is that.
SLIPS = {OVER: 0.2, REVERSED: 0.2, OFF: 0.2, UNSIGNED: 0.25, ELSEWHERE: 0.15}
FOUND, BARE, CLEAN = "as found", "bare face", "cleaned"
GAUGE_MM, HUB_MM = 140.0, 64.0
#: Runouts at the gauge, median and spread of the logarithm. [um TIR]
HUB, ROTOR = (13.0, 0.6), (26.0, 0.6)
DIRT_UM, LEFT_SHARE, RAISED_UM, STUD_UM = (25.0, 130.0), (0.2, 0.8), (40.0, 110.0), (25.0, 70.0)
SEAT_UM, SITS_UM, GRAIN_UM, THROW_UM, SLACK_UM = (0.7, 2.0), (6.0, 16.0), (25.0, 90.0), (12.0, 50.0), (12.0, 45.0)
NOISE_UM, CREEP_UM, TAIL = (0.7, 2.2), 2.5, 4  # scale of one reading and of the creep; degrees of freedom
RAISED_DEG = 14.0  # half of how wide raised metal is on the bare face


@dataclass(frozen=True)
class Step:
    """One turn to be taken: of what, on which stud, and whether the rotor is put on for it."""

    kind: str
    stud: int
    state: str
    fresh: bool = True

    @property
    def thing(self) -> str:
        return BARE if self.kind == "hub face" else FOUND if self.state == "as found" else CLEAN


@dataclass(frozen=True, eq=False)
class Turn:
    """One turn as it was written, the stud it should have, and how far a slip moves its first order at the gauge."""

    step: Step
    mount: int
    number: int  # by which the same turn is read again by hand: of the same seat, with its own noise
    value_um: Floats
    slip: str = ""
    true_stud: int = 0
    moved_um: float = 0.0


@dataclass(frozen=True)
class Lean:
    """A first order and what comes with it: TIR, direction, shares of the second and third order. [um, deg]."""

    tir_um: float
    at_deg: float
    more: tuple[float, float] = (0.0, 0.0)

    def at(self, angle_deg: Floats) -> Floats:
        """Height at these angles. [um]."""
        theta = np.radians(angle_deg - self.at_deg)
        wave: Floats = np.cos(theta) + self.more[0] * np.cos(2 * theta) + self.more[1] * np.cos(3 * theta)
        return self.tir_um / 2.0 * wave


@dataclass(frozen=True, eq=False)
class Bench:
    """A corner: what is true of it, and how it is read. Sizes are 0 where the corner has nothing of it. [um]."""

    seed: int
    kind: str
    studs: int
    angle_deg: Floats
    dial_um: float
    read_to_um: float
    noise_um: float
    seat_um: float
    hub: Lean
    rotor: Lean
    own: tuple[Lean, ...]  # higher orders of the rotor, on it
    on_hub: Lean  # dirt
    on_rotor: Lean
    left: float  # share of the dirt after one cleaning
    stays: Lean  # bent stud or raised metal: leans the rotor with the hub
    bump_um: float  # raised metal as the bare face shows it
    grain: int  # mount under which a grain lies
    throw_um: float
    slack_um: float


def bench(rng: np.random.Generator, kind: str) -> Bench:
    """Draw a corner of one kind."""

    def lean(low: float, high: float, second: float = 0.3, third: float = 0.12) -> Lean:
        more = rng.uniform(0.0, second), rng.uniform(0.0, third)
        return Lean(rng.uniform(low, high), rng.uniform(0.0, 360.0), more)

    def runout(median: float, spread: float) -> Lean:
        return Lean(median * np.exp(spread * rng.normal()), rng.uniform(0.0, 360.0))

    none = Lean(0.0, 0.0)
    dial = float(rng.choice((1.0, 2.0, 10.0, 10.0, 10.0, 20.0)))
    dirty = kind in (DIRT, LEFT) or (kind not in (GOOD, ON_ROTOR) and rng.random() < 0.3)
    bump = rng.uniform(*RAISED_UM) if kind == RAISED else 0.0
    return Bench(
        int(rng.integers(2**62)), kind, int(rng.choice((4, 5, 5, 5, 6))),
        np.arange(places := int(rng.choice((6, 8, 12, 12, 12, 16)))) * 360.0 / places,
        dial, dial / float(rng.choice((1.0, 2.0, 2.0, 5.0))) if dial > 1.0 else dial,
        rng.uniform(*NOISE_UM), rng.uniform(*(SITS_UM if kind == SITS else SEAT_UM)),
        runout(*HUB), runout(*ROTOR),
        tuple(replace(none, tir_um=2.0 * rng.exponential(size), at_deg=rng.uniform(0, 360)) for size in (3.0, 1.2)),
        lean(*DIRT_UM) if dirty else none,
        lean(*DIRT_UM) if kind == ON_ROTOR or (kind == LEFT and rng.random() < 0.4) else none,
        rng.uniform(*LEFT_SHARE) if kind == LEFT else 0.0,
        lean(*STUD_UM) if kind == STUD else lean(0.7 * bump, 1.1 * bump),
        bump, int(rng.integers(1, 5)) if kind == GRAIN else 0,
        rng.uniform(*THROW_UM) if kind == THROWS else 0.0, rng.uniform(*SLACK_UM) if kind == SLACK else 0.0,
    )  # fmt: skip


def plan_of(one: Bench) -> tuple[Step, ...]:
    """Say what is read in sequence: at the end one more turn as it stands, or cleaned again and put back on."""
    rng = np.random.default_rng([one.seed, 0])
    stud = int(rng.integers(1, one.studs))
    first = (Step("mounted", 0, "as found"), Step("hub face", 0, "cleaned"), Step("mounted", 0, "cleaned"))
    if rng.random() < 0.5:
        return (*first, Step("mounted", stud, "cleaned"), Step("mounted", stud, "cleaned", fresh=False))
    again = Step("hub face", 0, "cleaned again"), Step("mounted", stud, "cleaned again")
    return (*first, Step("mounted", stud, "cleaned"), *again)


def may_slip(one: Bench, slip: str, thing: str) -> list[int]:
    """Which steps of a plan may be written so; the stud of a mounting is written once, and the first is stud 1."""
    steps = [*enumerate(plan_of(one))]
    if slip == ELSEWHERE and thing != BARE:
        return [k for k, step in steps if step.thing == thing == CLEAN and step.fresh]
    return [k for k, step in steps if step.thing == thing]


def read(one: Bench, step: Step, mount: int, number: int, true_stud: int | None = None) -> Turn:
    """Read one turn soundly where it stands."""
    rng, angle = np.random.default_rng([one.seed, 1, number]), one.angle_deg
    stud = step.stud if true_stud is None else true_stud
    thrown = Lean(one.throw_um * np.sqrt(rng.random()), rng.uniform(0.0, 360.0))  # leans anew with every turn
    jitter = one.slack_um
    if step.thing == BARE:
        aside = np.abs((angle - one.stays.at_deg + 180.0) % 360.0 - 180.0)
        true = (one.hub.at(angle) + thrown.at(angle)) * HUB_MM / GAUGE_MM + one.bump_um * (aside < RAISED_DEG)
        jitter *= HUB_MM / GAUGE_MM
    else:
        at, over = angle + 360.0 / one.studs * stud, {"as found": 1.0, "cleaned": one.left}.get(step.state, 0.0)
        true = one.hub.at(at) + one.stays.at(at) + thrown.at(at) + over * one.on_hub.at(at)
        true = true + one.rotor.at(angle) + over * one.on_rotor.at(angle)
        true = true + sum(seat.at(angle) for seat in _seat(one, mount))
        for order, own in enumerate(one.own, 2):
            true = true + own.tir_um / 2.0 * np.cos(np.radians(order * (angle - own.at_deg)))
    value = true + one.noise_um * rng.standard_t(TAIL, angle.size) + jitter * rng.uniform(-0.5, 0.5, angle.size)
    value = value + rng.normal(0.0, CREEP_UM) * angle / 360.0 - (value[0] if rng.random() < 0.5 else rng.normal(0, 12))
    return Turn(step, mount, number, one.read_to_um * np.round(value / one.read_to_um), true_stud=stud)


def _seat(one: Bench, mount: int) -> tuple[Lean, Lean]:
    """How one mounting sits by itself: its scatter, and a grain; both on the rotor."""
    rng = np.random.default_rng([one.seed, 2, mount])
    x, y = one.seat_um * rng.standard_t(TAIL, 2)
    scatter = Lean(2.0 * np.hypot(x, y), np.degrees(np.arctan2(y, x)), (0.25, 0.0))
    return scatter, Lean(rng.uniform(*GRAIN_UM) * (mount == one.grain), rng.uniform(0.0, 360.0), (0.2, 0.1))


def on_another(one: Bench, sound: Turn) -> Turn:
    """The turn of a mounting that stands on another stud than is written, always the same for one mount."""
    rng = np.random.default_rng([one.seed, 3, sound.mount])
    really = (sound.step.stud + int(rng.integers(1, one.studs))) % one.studs
    turn = read(one, sound.step, sound.mount, sound.number, really)
    return replace(turn, slip=ELSEWHERE, moved_um=_moved(sound.value_um, turn.value_um))


def written(one: Bench, turn: Turn, slip: str) -> Turn:
    """Write a turn otherwise than it was read."""
    if slip == ELSEWHERE and turn.step.thing != BARE:
        return on_another(one, turn)
    rng, value, stud = np.random.default_rng([one.seed, 4]), turn.value_um, turn.true_stud
    scale = GAUGE_MM / HUB_MM if turn.step.thing == BARE else 1.0
    if slip == ELSEWHERE:  # its angles counted from another stud
        stud = int(rng.integers(1, one.studs))
        shifted = np.interp(one.angle_deg + 360.0 / one.studs * stud, one.angle_deg, value, period=360.0)
        other = one.read_to_um * np.round(shifted / one.read_to_um)
    else:
        other = {
            OVER: -value,
            REVERSED: np.roll(value[::-1], 1),
            OFF: np.roll(value, int(rng.choice((-1, 1)))),
            UNSIGNED: np.abs(value),
        }[slip]
    return replace(turn, value_um=other, slip=slip, true_stud=stud, moved_um=_moved(value, other) * scale)


def _moved(value: Floats, other: Floats) -> float:
    """By how much the first order is another. [um]."""
    wave = np.exp(1j * np.arange(value.size) * 2.0 * np.pi / value.size)
    return float(2.0 / value.size * abs((value - other) @ wave))


def text_of(one: Bench, turns: Sequence[Turn]) -> str:
    """The table as a technician writes it."""
    lines = [
        f"# studs: {one.studs}", f"# gauge_radius_mm: {GAUGE_MM:g}", f"# hub_face_radius_mm: {HUB_MM:g}",
        f"# dial_um: {one.dial_um:g}", "# turned: counter-clockwise", "# dial: + towards",
        "trace,mount,studs_turned,angle_deg,reading_um,state,clamped_by",
    ]  # fmt: skip
    for turn in turns:
        step = turn.step
        rotor = f"{turn.mount},{step.stud}" if step.thing != BARE else ","
        held = "nuts and spacers" if step.thing != BARE else ""
        for angle, value in zip(one.angle_deg, turn.value_um, strict=True):
            lines.append(f"{step.kind},{rotor},{angle:g},{value:.3f},{step.state},{held}")
    return "\n".join(lines) + "\n"
