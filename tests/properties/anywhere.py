"""Random corners from every key of the case file, each within its bounds or at one of them.

A corner begins as a part set; keys are moved one after the other, and a move that `check` refuses is taken back. What
is left has passed `check`, so no door may call it bad input. By hand, all on the fast preset::

    python -m tests.properties.anywhere 600 [seed]         drawn corners
    python -m tests.properties.anywhere bounds             every key at each of its bounds
    python -m tests.properties.anywhere pairs 500 [seed]   two keys at once, each at a bound
"""

from __future__ import annotations

import copy
import sys
import time
import tomllib
import warnings
from collections import Counter
from collections.abc import Iterator
from typing import Any

import numpy as np

import demo_geometry
from sim.chain import need_drivable, pad_trace_um
from sim.corner.seated import Seated, seat_corner
from sim.errors import BadInput, Refused
from sim.files.case_file import dict_to_case
from sim.parts.case import Case
from sim.parts.keys import ARRAYS, KEYS, Key
from sim.wear.asked import Settings
from sim.wear.forecast import drive

BASES = ("rear_solid_300", "front_vented_320")
TEXT_KEYS = {"hub.spigot_fit": ("H8/f8", "H7/g6", "H7/h6", "H8/e8", "H9/d9"), "title": ("x", "é" * 120)}
SLOW_S = 10.0
KM = 20_000.0
Tables = dict[str, Any]


def base(name: str) -> Tables:
    """Tables of a part set, with a patch and some scale for the keys of those to act on."""
    tables = tomllib.loads(demo_geometry.text(name))
    tables["debris"] = [{"angle_deg": 36.0}]
    tables["spigot_scale"] = [{"height_um": 20.0}]
    return tables


def moved(tables: Tables, key: Key, value: Any) -> Tables:
    """Put one value into a copy of the tables; of two ways to say one thing the other one goes."""
    out = copy.deepcopy(tables)
    part = out if not key.table else out.setdefault(key.table, [{}] if key.table in ARRAYS else {})
    part = part[0] if key.table in ARRAYS else part
    part[key.name] = value
    for one, other in (("torque_nm", "preload_n"), ("spigot_diameter_mm", "spigot_fit")):
        for given, displaced in ((one, other), (other, one)):
            if key.name == given:
                part.pop(displaced, None)
    return out


def ends(key: Key) -> tuple[Any, ...]:
    """Every value at a bound of a key: both ends, the smallest above an open one, zero where it is taken besides."""
    if key.kind == "text":
        return key.open_choices or TEXT_KEYS.get(key.path, ())
    if key.kind == "whole list":
        return [int(key.lowest)], [0, int(key.highest)]
    low = key.lowest
    if key.above_lowest:
        low = float(np.nextafter(low, key.highest))
    found = [low, key.highest, *([0.0] if key.or_zero else [])]
    return tuple(int(x) for x in found) if key.kind == "whole" else tuple(found)


def value(rng: np.random.Generator, key: Key, tables: Tables) -> Any:
    """At a bound, anywhere between them, or near what stands there."""
    at = ends(key)
    if key.kind in ("text", "whole list"):
        return at[int(rng.integers(len(at)))] if at else None
    how = rng.random()
    if how < 0.3:
        return at[int(rng.integers(len(at)))]
    part = tables.get(key.table, {}) if key.table else tables
    part = part[0] if isinstance(part, list) else part
    now = part.get(key.name, key.default)
    found = rng.uniform(key.lowest, key.highest)
    if how < 0.6 and isinstance(now, float) and now:
        found = float(np.clip(now * np.exp(rng.normal(0.0, 0.3)), key.lowest, key.highest))
    elif how < 0.8 and key.lowest > 0:
        found = float(np.exp(rng.uniform(np.log(key.lowest), np.log(key.highest))))
    if key.kind == "whole":
        return int(found)
    if key.kind == "per stud" and rng.random() < 0.5:
        count = tables.get("studs", {}).get("count", 5)
        return [float(np.clip(found * np.exp(rng.normal(0.0, 0.4)), key.lowest, key.highest)) for _ in range(count)]
    return float(found) or float(np.nextafter(0.0, 1.0)) if key.above_lowest else float(found)


def passes(tables: Tables) -> Case | None:
    """The case, as `check` makes it; None where it is refused."""
    try:
        return dict_to_case(tables)
    except (BadInput, Refused):
        return None


def draw(rng: np.random.Generator) -> tuple[Case, dict[str, Any]]:
    """One corner that passes `check`, and the moves that led to it."""
    tables, moves = draw_tables(rng)
    return dict_to_case(tables), moves


def draw_tables(rng: np.random.Generator) -> tuple[Tables, dict[str, Any]]:
    """Tables of a corner that passes `check`, and the moves that led to it."""
    tables = base(str(rng.choice(BASES)))
    keys = [key for key in KEYS if key.built and key.name not in ("face_map", "title")]
    moves: dict[str, Any] = {}
    for k in rng.permutation(len(keys))[: int(rng.choice([1, 2, 4, 8, 20, 60, 200]))]:
        key = keys[int(k)]
        to = value(rng, key, tables)
        if to is None or passes(trial := moved(tables, key, to)) is None:
            continue
        tables, moves[key.path] = trial, to
    return tables, moves


def at_bounds() -> Iterator[tuple[str, Tables]]:
    """Every key at each of its bounds, alone."""
    for name in BASES:
        begun = base(name)
        for key in KEYS:
            for to in ends(key) if key.built else ():
                yield f"{name}: {key.path} = {to!r}", moved(begun, key, to)


def pairs(count: int, seed: int) -> Iterator[tuple[str, Tables]]:
    """Two keys at once, each at a bound, drawn."""
    rng = np.random.default_rng(seed)
    keys = [key for key in KEYS if key.built and ends(key)]
    for _ in range(count):
        name = str(rng.choice(BASES))
        one, other = (keys[int(k)] for k in rng.choice(len(keys), 2, replace=False))
        to = [ends(key)[int(rng.integers(len(ends(key))))] for key in (one, other)]
        yield (
            f"{name}: {one.path} = {to[0]!r}, {other.path} = {to[1]!r}",
            moved(moved(base(name), one, to[0]), other, to[1]),
        )


def walked(case: Case, road: bool = True, preset: str = "fast") -> tuple[str, dict[str, float]]:
    """Seat and drive a case that passed `check`: what went wrong, empty where nothing did, and CPU seconds of each.

    Any warning of the numerics counts as wrong, and so does any number that is none in the answer.
    """
    took: dict[str, float] = {}
    doors = [("seat", lambda: _seat(case, preset)), ("drive", lambda: _drive(case, seated[0]))]
    seated: list[Seated] = []
    for name, door in doors if road else doors[:1]:
        start = time.process_time()
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                found, wrong = door()
        except Refused:
            return "", took
        except Exception as error:  # whatever it is, it is what we look for
            return f"{name}: {type(error).__name__}: {error}", took
        finally:
            took[name] = time.process_time() - start
        if wrong:
            return f"{name}: {wrong}", took
        seated.append(found)
    return "", took


def _seat(case: Case, preset: str) -> tuple[Any, str]:
    found = seat_corner(case, preset, thorough=False)
    numbers = np.concatenate([found.outboard_um, found.inboard_um, found.cells.pressure_mpa, found.cells.gap_um])
    numbers = np.append(numbers, [*found.stud_preload_n, found.rigid_runout_um, found.contact.max_pressure_mpa])
    return found, "" if np.isfinite(numbers).all() else "a number that is none"


def _drive(case: Case, seated: Seated) -> tuple[Any, str]:
    if not seated.is_home:
        raise Refused("not home")
    need_drivable(pad_trace_um(seated))
    found = drive(case, pad_trace_um(seated), KM, settings=Settings(draws=0))
    numbers = [found.dtv_um, found.torque_variation_nm, found.drag_nm, found.disc_wear_mm, found.pad_wear_mm]
    numbers += [found.judder_speed_km_h, found.wheel_index, found.pedal_index]
    return found, "" if all(np.isfinite(x).all() for x in numbers) else "a number that is none"


def main(words: list[str]) -> int:
    what = words[0] if words else "600"
    if what == "bounds":
        corners: Iterator[tuple[str, Case | None]] = ((name, passes(tables)) for name, tables in at_bounds())
    elif what == "pairs":
        count, seed = int(words[1]), int(words[2]) if len(words) > 2 else 1
        corners = ((name, passes(tables)) for name, tables in pairs(count, seed))
    else:
        seed = int(words[1]) if len(words) > 1 else 1
        drawn = (draw(np.random.default_rng([seed, k])) for k in range(int(what)))
        corners = ((f"draw {k}: {moves}", case) for k, (case, moves) in enumerate(drawn))
    walked(Case())  # the wear solver is compiled at its first call
    tally: Counter[str] = Counter()
    for name, case in corners:
        tally["all"] += 1
        if case is None:
            tally["refused by check"] += 1
            continue
        wrong, took = walked(case)
        tally["driven" if "drive" in took else "not driven"] += 1
        slow = {door: round(spent, 1) for door, spent in took.items() if spent > SLOW_S}
        tally["wrong"] += bool(wrong)
        tally["slow"] += bool(slow)
        if wrong or slow:
            print(f"{wrong or 'SLOW'}  {slow or ''}\n    {name[:1500]}", flush=True)
    print(dict(tally))
    return 1 if tally["wrong"] else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
