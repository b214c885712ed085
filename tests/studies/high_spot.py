"""How near the speck does the high spot lie? ``python -m tests.studies.high_spot [CORNERS] [SEED]`` (75 CPU seconds).

Corners with specks anywhere on the face, of any height, on parts that are good, bad or bent; dirt that crushes; nuts
unlike each other. Asked of those that read more than `READ_UM`: how far round the turn the high spot of the trace lies
from a speck, and how wide a part of the face has to be searched to find one in nine of ten corners. A high spot that
has nothing to do with the speck lies within 30 degrees of it once in six. Writes ``high_spot.md`` beside this file.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from scipy.stats import binomtest

from sim.arrays import Floats
from sim.corner.batch import seat_many
from sim.files.case_file import load_case
from sim.parts.case import Case, Debris
from sim.parts.dirt import HARD
from sim.units import shortest_deg

GEOMETRIES = ("rear_solid_300", "front_vented_320")
READ_UM = 50.0  # above it somebody looks for a cause; the usual limit of a mounted rotor, common practice, no source
NEAR_DEG = 30.0
PLACES = 12
SEED = 41

Draw = Callable[[np.random.Generator, Case], Case]


@dataclass(frozen=True)
class Found:
    """What was seen of one corner that reads more than `READ_UM`.

    Parameters
    ----------
    off_deg : float
        From the high spot to the nearest speck's middle, high spot minus speck.
    off_place_deg : float
        The same where the high spot is the highest of twelve places.
    off_less_deg : float
        The same where the runouts of hub and rotor, read by themselves, are taken off place by place.
    outer : bool
        Whether the nearest speck lies in the outer half of the face, by area.
    """

    off_deg: float
    off_place_deg: float
    off_less_deg: float
    outer: bool


def _speck(rng: np.random.Generator, case: Case, kind: str) -> Debris:
    """Anywhere on the face by area; 3 .. 12 mm by 4 .. 40 degrees, 20 .. 200 um: judgement."""
    inner, outer = case.contact_zone_mm
    middle, half = float(np.sqrt(rng.uniform(inner**2, outer**2))), float(rng.uniform(1.5, 6.0))
    return Debris(
        kind=kind,
        angle_deg=float(rng.uniform(0.0, 360.0)),
        arc_deg=float(rng.uniform(4.0, 40.0)),
        inner_radius_mm=max(inner, middle - half),
        outer_radius_mm=min(outer, middle + half),
        height_um=float(np.exp(rng.uniform(np.log(20.0), np.log(200.0)))),
    )


def corner(
    rotor_um: tuple[float, float] = (0.0, 20.0),
    hub_um: tuple[float, float] = (0.0, 15.0),
    kind: str = HARD,
    specks: int = 1,
    torque_nm: tuple[float, float] | None = None,
    flange_mm: tuple[float, ...] = (),
) -> Draw:
    """Return how a corner of a group is drawn: runouts within ranges at any angle, so many specks of a kind."""

    def draw(rng: np.random.Generator, base: Case) -> Case:
        rotor = replace(
            base.rotor, own_runout_um=float(rng.uniform(*rotor_um)), own_high_spot_deg=float(rng.uniform(0.0, 360.0))
        )
        hub = replace(
            base.hub, face_runout_um=float(rng.uniform(*hub_um)), face_high_spot_deg=float(rng.uniform(0.0, 360.0))
        )
        if flange_mm:
            hub = replace(hub, flange_thickness_mm=float(rng.choice(flange_mm)))
        studs = base.studs
        if torque_nm is not None:
            studs = replace(studs, torque_nm=tuple(float(t) for t in rng.uniform(*torque_nm, studs.count)))
        dirt = tuple(_speck(rng, base, kind) for _ in range(specks))
        return replace(base, rotor=rotor, hub=hub, studs=studs, debris=dirt)

    return draw


GROUPS: dict[str, Draw] = {
    "good parts, one hard speck": corner(),
    "perfect parts, one hard speck": corner((0.0, 0.0), (0.0, 0.0)),
    "hub's flange 9 or 18 mm": corner(flange_mm=(9.0, 18.0)),
    "nuts at 70 .. 140 N·m": corner(torque_nm=(70.0, 140.0)),
    "compact scale, which crushes above 150 MPa": corner(kind="compact scale"),
    "rotor 30 .. 80 µm of its own": corner(rotor_um=(30.0, 80.0)),
    "hub face 20 .. 50 µm": corner(hub_um=(20.0, 50.0)),
    "bad rotor and bad hub": corner((30.0, 80.0), (20.0, 50.0)),
    "two hard specks": corner(specks=2),
    "three hard specks": corner(specks=3),
}


def seen(case: Case, trace_um: Floats, clean_um: Floats) -> Found:
    """Where the high spot of a mounted trace lies beside the nearest speck; both counted from stud 1."""
    high, less = (float(np.argmax(t)) * 360.0 / t.size for t in (trace_um, trace_um - clean_um))
    step = trace_um.size // PLACES
    place = float(np.argmax(trace_um[::step])) * 360.0 / PLACES
    angle = np.array([one.angle_deg for one in case.debris])
    nearest = int(np.argmin(np.abs(shortest_deg(high - angle))))
    one = case.debris[nearest]
    inner, outer = case.contact_zone_mm
    middle = (one.inner_radius_mm + one.outer_radius_mm) / 2
    return Found(
        float(shortest_deg(high - angle[nearest])),
        float(np.abs(shortest_deg(place - angle)).min()),
        float(np.abs(shortest_deg(less - angle)).min()),
        bool(middle**2 > (inner**2 + outer**2) / 2),
    )


def group(draw: Draw, corners: int, seed: int) -> tuple[list[Found], int, int]:
    """Corners of one group that read more than `READ_UM`; how many were drawn, how many refused."""
    rng = np.random.default_rng(seed)
    found, refused = [], 0
    for name in GEOMETRIES:
        base = replace(load_case(name), debris=())
        cases = [draw(rng, base) for _ in range(corners // len(GEOMETRIES))]
        rows = seat_many(cases, "fast", traces=True)
        refused += sum(one.traces_um is None for one in rows)
        read = [(case, one.traces_um[0]) for case, one in zip(cases, rows, strict=True) if one.outboard_um > READ_UM]
        clean = seat_many([replace(case, debris=()) for case, _ in read], "fast", traces=True)
        found += [seen(case, trace, one.traces_um[0]) for (case, trace), one in zip(read, clean, strict=True)]
    return found, corners, refused


def _share(within: np.ndarray) -> str:
    held = binomtest(int(within.sum()), within.size).proportion_ci(0.95, "exact")
    return f"{within.mean():.1%} ({held.low:.1%} .. {held.high:.1%})"


def row(name: str, found: list[Found], drawn: int, refused: int) -> str:
    """One line of the table."""
    off = np.abs([one.off_deg for one in found])
    places, less = (np.array([getattr(one, name) for one in found]) for name in ("off_place_deg", "off_less_deg"))
    quantiles = np.quantile(off, (0.5, 0.9, 0.95))
    inner = np.array([not one.outer for one in found])
    by_place = " / ".join(
        "–" if not kept.any() else f"{(off[kept] <= NEAR_DEG).mean():.0%} of {kept.sum()}" for kept in (~inner, inner)
    )
    cells = (
        name,
        drawn,
        refused,
        len(found),
        _share(off <= NEAR_DEG),
        f"{(places <= NEAR_DEG).mean():.1%}",
        f"{(less <= NEAR_DEG).mean():.1%}",
        ", ".join(f"{q:.0f}" for q in quantiles),
        by_place,
    )
    return f"| {' | '.join(map(str, cells))} |"


def study(corners: int, seed: int) -> str:
    """The table as text."""
    began = time.process_time()
    heads = (
        "corners",
        "drawn",
        "refused",
        f"over {READ_UM:.0f} µm",
        f"high spot within {NEAR_DEG:.0f}° of a speck (95 % interval)",
        f"the same, highest of {PLACES} places",
        "the same, hub and rotor as read by themselves taken off",
        "50, 90, 95 % within [°]",
        "speck in the outer / inner half",
    )
    lines = [
        "# How near the speck the high spot lies",
        "",
        f"Made by `python -m tests.studies.high_spot`, seed {seed}. {corners} corners a group, half on each of two",
        "part sets; specks anywhere on the face by area, 20 .. 200 µm high. Counted are those that read more than",
        f"{READ_UM:.0f} µm. By chance alone a high spot lies within {NEAR_DEG:.0f} degrees of one speck in 17 % of",
        "corners, of the nearest of two in 30 %, of three in 42 %.",
        "",
        f"| {' | '.join(heads)} |",
        "|---" * len(heads) + "|",
    ]
    for number, (name, draw) in enumerate(GROUPS.items()):
        found = group(draw, corners, seed + number)
        print(name, f"{time.process_time() - began:.0f} s", flush=True, file=sys.stderr)
        lines.append(row(name, *found))
    lines += ["", f"{time.process_time() - began:.0f} CPU s."]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    text = study(count, int(sys.argv[2]) if len(sys.argv) > 2 else SEED)
    Path(__file__).with_suffix(".md").write_text(text, encoding="utf-8")
    sys.stdout.write(text)
