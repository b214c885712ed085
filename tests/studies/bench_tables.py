"""Tables of dial readings as a workshop might write them, drawn without regard to what the estimator assumes.

Invented: sizes are judgement. Faces have a first order of log-normal size and ragged higher orders; hub faces often
have lips of 30 .. 50 um at their bolt holes (called normal; common practice, no source). The dial is of 0.01 mm, read
to whole or half divisions, repeats within 1 .. 4 um, errs smoothly along its travel by up to 5 um in a tenth of a
turn and by up to 3 um between going in and coming out (JIS B 7503:2011, extract). It is
zeroed at the first place, roughly.

Given its sizes (`Sizes`) a table before dial error and rounding is normally distributed: what the best possible test
needs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

ORDERS = 8


@dataclass(frozen=True)
class Sizes:
    """What is drawn once for a table."""

    component_um: np.ndarray  # standard deviation of a component of the orders 1 .. ORDERS
    noise_um: float
    zero_um: float  # how far off nought the first place was zeroed
    lip_um: float  # of the bolt holes; 0 for none
    lip_deg: float  # half-width


def draw_sizes(rng: np.random.Generator, kind: str) -> Sizes:
    middle = {"mounted": (20.0, 3.0, 1.2), "hub face": (6.0, 2.5, 1.5)}[kind]
    first, second, third = (
        m * float(np.exp(rng.normal(0.0, s))) for m, s in zip(middle, (0.55, 0.8, 0.8), strict=True)
    )
    rest = [third * (3.0 / n) ** 2 for n in range(4, ORDERS + 1)]
    lips = kind == "hub face" and rng.random() < 0.5
    return Sizes(
        component_um=np.array([first, second, third, *rest]),
        noise_um=float(rng.uniform(1.0, 4.0)),
        zero_um=8.0,
        lip_um=float(rng.uniform(30.0, 50.0)) if lips else 0.0,
        lip_deg=float(rng.uniform(7.0, 11.0)),
    )


def lips(angle_deg: np.ndarray, studs: int, half_deg: float) -> np.ndarray:
    """Shape of each bolt hole's lip at the places, (places, studs)."""
    at = np.arange(studs) * 360.0 / studs
    off = np.abs((angle_deg[:, None] - at + 180.0) % 360.0 - 180.0)
    return np.where(off < half_deg, np.cos(np.pi / 2 * off / half_deg) ** 2, 0.0)


def moments(sizes: Sizes, angle_deg: np.ndarray, studs: int) -> tuple[np.ndarray, np.ndarray]:
    """Mean and covariance of a table of these sizes before the dial's own error and rounding."""
    theta = np.radians(angle_deg)
    spread = sum(
        size**2 * np.cos((n + 1) * (theta[:, None] - theta)) for n, size in enumerate(sizes.component_um)
    ) + sizes.noise_um**2 * np.eye(theta.size)
    shape = lips(angle_deg, studs, sizes.lip_deg)
    mean = sizes.lip_um * shape.sum(axis=1)
    spread = spread + (0.1 * sizes.lip_um) ** 2 * shape @ shape.T
    zeroed = np.eye(theta.size)
    zeroed[:, 0] -= 1.0
    return zeroed @ mean, zeroed @ spread @ zeroed.T + sizes.zero_um**2


def draw_table(
    rng: np.random.Generator, kind: str, angle_deg: np.ndarray, studs: int, unlike: float = 0.1
) -> np.ndarray:
    """One clean table as written down; lips of one hub differ by this share, standard deviation. [um]."""
    sizes = draw_sizes(rng, kind)
    theta = np.radians(angle_deg)
    value = np.zeros(theta.size)
    for n, size in enumerate(sizes.component_um, 1):
        a, b = rng.normal(0.0, size, 2)
        value += a * np.cos(n * theta) + b * np.sin(n * theta)
    if sizes.lip_um:
        value += lips(angle_deg, studs, sizes.lip_deg) @ (sizes.lip_um * (1 + unlike * rng.normal(size=studs)))
    value += rng.normal(0.0, sizes.noise_um, theta.size)
    value += rng.normal(0.0, sizes.zero_um) - value[0]
    return written(rng, value)


def on_dirt(rng: np.random.Generator, angle_deg: np.ndarray) -> np.ndarray:
    """One table without a slip of a rotor that sits on dirt: strong second and third orders. [um]."""
    theta, place = np.radians(angle_deg), rng.uniform(0.0, 2 * np.pi)
    a, b = rng.normal(0.0, 35.0, 2)
    value = a * np.cos(theta) + b * np.sin(theta)
    for order, most in ((2, 30.0), (3, 10.0), (5, 4.0)):
        value += rng.uniform(0.1, 1.0) * most * np.cos(order * (theta - place))
    value += rng.normal(0.0, rng.uniform(1.0, 4.0), theta.size)
    value += rng.normal(0.0, 8.0) - value[0]
    return written(rng, value)


def written(rng: np.random.Generator, value_um: np.ndarray, step_um: float = 10.0) -> np.ndarray:
    """What a 0.01 mm dial shows of it and what is written: its errors, then whole or half divisions."""
    size, length, phase = rng.uniform(0.0, 2.5), rng.uniform(80.0, 200.0), rng.uniform(0.0, 2 * np.pi)
    shown = value_um + size * np.sin(2 * np.pi * value_um / length + phase)
    coming = np.sign(np.diff(value_um, prepend=value_um[-1]))
    shown = shown + rng.uniform(0.0, 1.5) * coming
    part = step_um if rng.random() < 0.5 else step_um / 2
    return np.round(shown / part) * part
