"""The file of a stack: TOML in, a study out, every fault with its line; and the shipped one to begin with."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import inf
from pathlib import Path
from typing import Any

import demo_geometry
from sim.errors import MOST_FAULTS, BadInput, Fault
from sim.files.case_file import load_case
from sim.files.nearest_word import nearest
from sim.files.table_text import plain_number
from sim.files.toml_text import key_lines, line_of, parse, read_text
from sim.parts.case import Case
from sim.stack.distributions import PARAMETERS, Distribution
from sim.stack.gauge import Gauge
from sim.stack.plausible import LEAST_KEPT, implausible
from sim.stack.population import LEVELS, Correlated, Dirt, Population, Varied, never, role
from sim.stack.study import Lever, Prices, Study, no_number
from sim.units import is_number, is_whole, printable, shown, slip_text, unit_of

SHIPPED = "population_rear"
TOP = (
    "title", "base", "limit_um", "share_within", "samples", "seed", "tolerance_um", "as_driven", "points",
    "vary", "dirt", "torque", "correlated", "lever", "prices", "gauge",
)  # fmt: skip
ENDS = ("lowest", "highest")
FIGURES = tuple(sorted({name for names in PARAMETERS.values() for name in names} - set(ENDS)))
HINTS = {"rayleigh": "; scale = mean / 1.253"}
SPREAD = ("distribution", *ENDS, "file", "column", *FIGURES)
VARY = ("key", "source", "levels", *SPREAD)
DIRT = (
    "name", "on", "shape", "counts", "kinds", "cleaning_takes", "source", "height_um", "width_mm", "arc_deg",
    "radius_mm",
)  # fmt: skip
LEVER = (
    "name", "price_per_car", "price_per_part_sorted_out", "key", "lowest", "highest", "stud_sd", "tool_sd", "cleaned",
    "indexed", "source",
)  # fmt: skip
GAUGE = ("step_um", "mounting_sd_um", "source")
NUTS = ("stud", "tool")
PRICES = ("currency", "claim", "corners_per_car", "source")
TEXTS = ("title", "name", "source", "currency", "on", "shape")  # wherever they stand
AUDITED, LEAST_AUDITED = (0.0, 5000.0), 1.0  # um TIR of readings that can be meant; judgement
MOST_SAMPLE = 1_000_000  # values of one measured sample


def starter_stack() -> str:
    """Text of the shipped invented population, to change."""
    return demo_geometry.population_text(SHIPPED)


def load_study(path: str | Path) -> Study:
    """Read the file of a stack.

    Parameters
    ----------
    path : str or Path
        TOML file; or the name of the shipped population, where no file is called so.

    Returns
    -------
    Study

    Raises
    ------
    BadInput
        Every fault with its line.
    """
    path = Path(path)
    if str(path) in demo_geometry.population_names() and not path.exists():
        path = demo_geometry.population_file(str(path))
    return study_from_text(read_text(path), printable(str(path), 200), path.parent)


def study_from_text(text: str, name: str = "stack", folder: Path | None = None) -> Study:
    """Read the text of a stack's file; ``folder`` is where its case and its samples are sought."""
    reader = _Reader(parse(text, name), key_lines(text), name, folder)
    study = reader.study()
    if reader.faults or study is None:
        faults = sorted(reader.faults, key=lambda fault: fault.line)
        more = [Fault(f"and {len(faults) - MOST_FAULTS} more", file=name)] if len(faults) > MOST_FAULTS else []
        raise BadInput(faults[:MOST_FAULTS] + more)
    return study


def read_runouts(path: Path) -> tuple[float, ...]:
    """Read audited runouts: a CSV with one a line, or with a column ``runout_um``. [um].

    Raises
    ------
    BadInput
        With the line that is no number.
    """
    text = read_text(path, 30_000_000)
    reader = _Reader({}, {}, printable(str(path), 200), None)
    named = "runout_um" in next((line for line in text.splitlines() if line.strip() and line.lstrip()[0] != "#"), "")
    values = reader.column(("--audit",), text, "runout_um" if named else None, path.name)
    if values is None:
        raise BadInput(reader.faults)
    low, high = AUDITED
    wrong = [one for one in values if not low <= one <= high]
    if wrong or values[-1] < LEAST_AUDITED:
        odd = wrong[0] if wrong else values[-1]
        slip = slip_text(odd, "µm", LEAST_AUDITED, high)
        reason = f"{odd:g} µm is no runout of an audit{f'; {slip}' if slip else ''}"
        allowed = f"{low:g} .. {high:g} µm, the largest {LEAST_AUDITED:g} or more"
        raise BadInput(Fault(reason, file=printable(str(path), 200), key="--audit", allowed=allowed))
    return values


@dataclass
class _Reader:
    """Goes through the tables and gathers every fault."""

    tables: Mapping[str, Any]
    lines: Mapping[Any, int]
    name: str
    folder: Path | None
    faults: list[Fault] = field(default_factory=list)

    def fault(self, path: tuple[Any, ...], reason: str, allowed: str = "", key: str = "") -> None:
        words = key or ".".join(str(p + 1 if isinstance(p, int) else p) for p in path)
        line = line_of(dict(self.lines), path)
        self.faults.append(Fault(reason, file=self.name, line=line, key=printable(words, 80), allowed=allowed))

    def guarded(self, path: tuple[Any, ...], make: Callable[[], Any]) -> Any:
        """What is made, or None with its faults told at this place."""
        try:
            return make()
        except BadInput as error:
            for one in error.faults:
                at = path or self.drawn_at(one.key)
                key = ".".join(str(p + 1 if isinstance(p, int) else p) for p in at)
                at = at or ((one.key,) if one.key in self.tables else ())
                self.fault(at, one.reason, one.allowed, ".".join(filter(None, (key, one.key))))
            return None

    def drawn_at(self, key: str) -> tuple[Any, ...]:
        """Where the table stands that says how a key varies; nowhere for other keys."""
        tables = self.tables.get("vary", [])
        return next((("vary", k) for k, one in enumerate(tables) if one.get("key") == key), ())

    def known(self, path: tuple[Any, ...], table: Any, names: tuple[str, ...]) -> Mapping[str, Any]:
        if not isinstance(table, Mapping):
            self.fault(path, "is no table", f"a table with {', '.join(names)}")
            return {}
        for key in table:
            if key not in names:
                near = nearest(str(key), names)
                reason = f"unknown key, nearest known: {near}" if near else "unknown key"
                self.fault((*path, key), reason, ", ".join(names))
            elif key in TEXTS and not isinstance(table[key], str):
                self.fault((*path, key), f"{shown(table[key])} is not text; text stands in quotes")
        return {key: value for key, value in table.items() if key not in TEXTS or isinstance(value, str)}

    def study(self) -> Study | None:
        top = self.known((), self.tables, TOP)
        case = self.case()
        lists = {name: self.several(name) for name in ("vary", "dirt", "correlated", "lever")}
        varied = [self.vary(("vary", k), one) for k, one in enumerate(lists["vary"])]
        dirt = [self.dirt(("dirt", k), one) for k, one in enumerate(lists["dirt"])]
        together = [self.together(("correlated", k), one) for k, one in enumerate(lists["correlated"])]
        levers = [self.lever(("lever", k), one) for k, one in enumerate(lists["lever"])]
        prices, gauge = self.prices(), self.gauge()
        torque = self.known(("torque",), top.get("torque", {}), NUTS)
        stud, tool = (self.spread(("torque", one), torque[one]) if one in torque else None for one in NUTS)
        told = [str(torque[one].get("source", "")) if isinstance(torque.get(one), Mapping) else "" for one in NUTS]
        if self.faults or case is None:
            return None
        made = self.guarded(
            (),
            lambda: Population(
                str(top.get("title", case.title)), case, tuple(filter(None, varied)),
                tuple(filter(None, dirt)), stud, tool,
                tuple(filter(None, together)),
                self.number(("limit_um",), case.limits.mounted_runout_um, (1.0, 5000.0)),
                self.number(("share_within",), 0.99, (0.5, 0.999999)), *told,
            ),
        )  # fmt: skip
        return (
            None if made is None or self.faults else self.guarded((), lambda: self.whole(made, levers, prices, gauge))
        )

    def whole(self, population: Population, levers: list[Any], prices: Prices | None, gauge: Gauge) -> Study:
        top = self.tables
        self.leave_something(population, levers)
        driven = top.get("as_driven", True)
        if not isinstance(driven, bool):
            self.fault(("as_driven",), f"{shown(driven)} is neither true nor false")
        return Study(
            population,
            samples=top.get("samples", 10_000),
            seed=top.get("seed", 1),
            tolerance_um=self.number(("tolerance_um",), 1.0, (0.0, 1000.0)),
            points=top.get("points", "random"),
            driven=bool(driven),
            levers=tuple(levers),
            prices=prices,
            gauge=gauge,
        )

    def leave_something(self, population: Population, levers: list[Any]) -> None:
        """Levers that sort out nearly every part, and dirt at a radius that is not on the face: slips of the pen."""
        for k, lever in enumerate(levers):
            drawn = None if lever is None or not lever.key else population.of(lever.key)
            if drawn is None:
                continue
            ends = [-inf if lever.lowest is None else lever.lowest, inf if lever.highest is None else lever.highest]
            low, high = (float(one) for one in drawn.spread.below(ends))
            if high - low < LEAST_KEPT:
                at = "highest" if lever.highest is not None and high < LEAST_KEPT else "lowest"
                reason = f"keeps {100.0 * (high - low):.2g} % of the parts, {lever.key} is {drawn.spread.told}: a slip"
                self.fault(("lever", k, at), reason, f"a limit that keeps {100.0 * LEAST_KEPT:g} % or more")
        inner, outer = population.case.contact_zone_mm
        for k, dirt in enumerate(population.dirt):
            if dirt.radius_mm is not None and not inner <= dirt.radius_mm.middle <= outer:
                reason = f"{dirt.radius_mm.told}: most of it lies where the faces do not meet"
                self.fault(("dirt", k, "radius_mm"), reason, f"a median within {inner:g} .. {outer:g} mm")

    def case(self) -> Case | None:
        base = self.tables.get("base")
        if not isinstance(base, str) or not base:
            self.fault(("base",), "is missing", "a part set, or a case file beside this one")
            return None
        beside = None if self.folder is None else self.folder / base
        found = self.guarded(
            ("base",), lambda: load_case(beside if beside is not None and beside.suffix else Path(base))
        )
        if found is not None and found.spigot_scale:
            self.fault(("base",), "has scale on its spigot, which is not stacked", "a case without [[spigot_scale]]")
        return found if isinstance(found, Case) else None

    def number(self, path: tuple[Any, ...], default: float, span: tuple[float, float]) -> float:
        value: Any = self.tables
        for piece in path:
            value = value.get(piece, default) if isinstance(value, Mapping) else default
        if not is_number(value) or not span[0] <= value <= span[1]:
            reason = f"{shown(value)} is out of range" if is_number(value) else no_number(value)
            slip = slip_text(value, unit_of(str(path[-1])), *span) if is_number(value) else ""
            self.fault(path, f"{reason}; {slip}" if slip else reason, f"{span[0]:g} .. {span[1]:g}")
            return default
        return float(value)

    def several(self, name: str) -> list[Any]:
        found = self.tables.get(name, [])
        if not isinstance(found, list):
            self.fault((name,), "stands in double brackets", f"[[{name}]]")
            return []
        return found

    def spread(self, path: tuple[Any, ...], table: Any) -> Distribution | None:
        """A distribution from its table."""
        if not isinstance(table, Mapping) or "distribution" not in table:
            self.fault(path, "is no distribution", f"distribution = one of {', '.join(PARAMETERS)}, and its figures")
            return None
        kind = table["distribution"]
        if not isinstance(kind, str) or kind not in PARAMETERS:
            self.fault((*path, "distribution"), f"{shown(kind)} is not known", ", ".join(PARAMETERS))
            return None
        wanted = PARAMETERS[kind]
        if path[0] != "vary":
            self.known(path, table, (*SPREAD, "source"))
        missing = [one for one in wanted if one not in table]
        strange = [one for one in FIGURES if one in table and one not in wanted]
        for one in missing:
            self.fault(path, f"{one} is missing", f"{kind} takes {', '.join(wanted)}{HINTS.get(kind, '')}")
        for one in strange:
            self.fault((*path, one), f"does not belong to {kind}", ", ".join(wanted) or "file")
        figures = {one: table[one] for one in (*wanted, *ENDS) if one in table}
        wrong = [one for one, value in figures.items() if not is_number(value)]
        for one in wrong:
            self.fault((*path, one), no_number(figures[one]))
        sample = self.sample(path, table) if kind == "sample" else ()
        if missing or strange or wrong or sample is None:
            return None
        ends = {one: float(figures[one]) for one in ENDS if one in figures}
        made = self.guarded(
            path, lambda: Distribution(kind, tuple(float(figures[one]) for one in wanted), **ends, sample=sample)
        )
        return self.plausible(path, made) if isinstance(made, Distribution) else None

    def plausible(self, path: tuple[Any, ...], spread: Distribution) -> Distribution | None:
        """The distribution, where its figures can be meant."""
        name = str(path[-1]) if path[0] == "dirt" else "torque"
        key = "" if path[0] != "vary" else str(self.tables["vary"][path[1]].get("key"))
        found = implausible(key or name, spread)
        if found is not None and not (key and self.out_of_range(key, spread)):
            self.fault(path, *found, key=f"vary.{path[1] + 1}.{key}" if key else "")
            return None
        return spread

    @staticmethod
    def out_of_range(key: str, spread: Distribution) -> bool:
        """Whether the key itself, or how it is spread, is refused anyway, with a reason of its own."""
        return bool(never(Varied(key, spread, levels=LEVELS)))

    def sample(self, path: tuple[Any, ...], table: Mapping[str, Any]) -> tuple[float, ...] | None:
        file = table.get("file")
        if not isinstance(file, str) or not file:
            self.fault(path, "a sample needs its file", "file = a CSV beside this one, and column where it has several")
            return None
        text = self.guarded((*path, "file"), lambda: read_text((self.folder or Path()) / file, 30_000_000))
        return None if text is None else self.column(path, text, table.get("column"), file)

    def column(self, path: tuple[Any, ...], text: str, column: Any, file: str) -> tuple[float, ...] | None:
        rows = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
        cells = [row.replace(";", ",").replace("\t", ",").split(",") for row in rows]
        names = [one.strip() for one in cells[0]] if cells and plain_number(cells[0][0]) is None else []
        if column is not None and (not isinstance(column, str) or column not in names):
            self.fault((*path, "column"), f"{shown(column)} is no column of {file}", ", ".join(names) or "no header")
            return None
        at = names.index(column) if column is not None else 0
        values = []
        for line, row in enumerate(cells[1 if names else 0 :], 2 if names else 1):
            if len(row) > len(cells[0]):
                wide = f"row {line} of {file} has {len(row)} cells where the first has {len(cells[0])}"
                self.fault((*path, "file"), wide, "as many in every row; a decimal point, no comma")
                return None
            number = plain_number(row[at]) if at < len(row) else None
            if number is None:
                self.fault((*path, "file"), f"row {line} of {file} is no number", "one number a line")
                return None
            values.append(number)
        if not values or len(values) > MOST_SAMPLE:
            self.fault((*path, "file"), f"{file} holds {len(values)} values", f"1 .. {MOST_SAMPLE}")
            return None
        return tuple(sorted(values))

    def vary(self, path: tuple[Any, ...], table: Any) -> Varied | None:
        table = self.known(path, table, VARY)
        key = table.get("key")
        if not isinstance(key, str) or "." not in key:
            self.fault(path, "names no key", "key = table and name, as in hub.face_runout_um")
            return None
        spread = self.spread(path, table)
        levels = table.get("levels", LEVELS if role(key) == "geometry" else 0)
        if not is_whole(levels) or isinstance(levels, bool):
            self.fault((*path, "levels"), f"{shown(levels)} is no number of levels", "2 .. 7")
            return None
        return None if spread is None else Varied(key, spread, str(table.get("source", "")), int(levels))

    def dirt(self, path: tuple[Any, ...], table: Any) -> Dirt | None:
        table = self.known(path, table, DIRT)
        spreads: dict[str, Any] = {}
        for one in ("height_um", "width_mm", "arc_deg", "radius_mm"):
            if one in table:
                spreads[one] = self.spread((*path, one), table[one])
            elif one != "radius_mm":
                self.fault(path, f"{one} is missing", "a distribution")
        counts = table.get("counts")
        if not isinstance(counts, list) or not all(is_number(share) for share in counts):
            self.fault(path, "counts is no list of shares", "share of corners with 0, 1, 2 ... patches")
            return None
        kinds = table.get("kinds", {"hard": 1.0})
        if not isinstance(kinds, Mapping) or not all(is_number(share) for share in kinds.values()):
            self.fault(path, "kinds is no table of shares", '{ "compact scale" = 0.7, hard = 0.3 }')
            return None
        takes = table.get("cleaning_takes", 1.0)
        if not is_number(takes):
            self.fault((*path, "cleaning_takes"), no_number(takes), "0 .. 1")
            return None
        if any(name in table and spreads.get(name) is None for name in ("height_um", "width_mm", "arc_deg")):
            return None
        if len(spreads) < 3:
            return None
        words: dict[str, Any] = {one: str(table[one]) for one in ("on", "shape") if one in table}
        sources = [
            table.get("source", ""),
            *(f"{one}: {told}" for one in spreads if (told := table[one].get("source"))),
        ]
        made = self.guarded(
            path,
            lambda: Dirt(
                name=str(table.get("name", f"dirt {path[1] + 1}")),
                counts=tuple(float(share) for share in counts),
                kinds=tuple((str(kind), float(share)) for kind, share in kinds.items()),
                cleaning_takes=float(takes),
                source="; ".join(filter(None, map(str, sources))),
                **words,
                **spreads,
            ),
        )
        return made if isinstance(made, Dirt) else None

    def together(self, path: tuple[Any, ...], table: Any) -> Correlated | None:
        table = self.known(path, table, ("keys", "correlation"))
        keys, matrix = table.get("keys"), table.get("correlation")
        if is_number(matrix) and isinstance(keys, list):
            matrix = [[1.0 if i == k else float(matrix) for k in range(len(keys))] for i in range(len(keys))]
        rows = isinstance(matrix, list) and all(isinstance(row, list) and all(map(is_number, row)) for row in matrix)
        if not isinstance(keys, list) or not all(isinstance(key, str) for key in keys) or not rows:
            self.fault(path, "is no correlation", "keys = a list, correlation = one number or rows of numbers")
            return None
        if len({len(row) for row in matrix}) > 1:
            self.fault(path, "rows of the correlation differ in length", "a square of numbers")
            return None
        made = self.guarded(
            path, lambda: Correlated(tuple(keys), tuple(tuple(float(v) for v in row) for row in matrix))
        )
        return made if isinstance(made, Correlated) else None

    def lever(self, path: tuple[Any, ...], table: Any) -> Lever | None:
        table = self.known(path, table, LEVER)
        made = self.guarded(path, lambda: Lever(**{key: value for key, value in table.items() if key in LEVER}))
        return made if isinstance(made, Lever) else None

    def prices(self) -> Prices | None:
        if "prices" not in self.tables:
            return None
        table = self.known(("prices",), self.tables["prices"], PRICES)
        made = self.guarded(("prices",), lambda: Prices(**{k: v for k, v in table.items() if k in PRICES}))
        return made if isinstance(made, Prices) else None

    def gauge(self) -> Gauge:
        table = self.known(("gauge",), self.tables.get("gauge", {}), GAUGE)
        made = self.guarded(("gauge",), lambda: Gauge(**{k: v for k, v in table.items() if k in GAUGE}))
        return made if isinstance(made, Gauge) else Gauge()
