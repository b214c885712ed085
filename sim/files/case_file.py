"""Case files: read, checked, put on their base, and turned into a `Case`; and a case turned into plain data again."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import demo_geometry
from sim.errors import MOST_FAULTS, BadInput, Fault
from sim.files.face_table import read_topography
from sim.files.nearest_word import nearest, unknown_key, unknown_table
from sim.files.table_text import holds_readings
from sim.files.toml_text import key_lines, line_of, parse_past_slips, read_text
from sim.parts.case import (
    Caliper,
    Case,
    Contact,
    Debris,
    Drive,
    Gauge,
    Hub,
    Judder,
    Limits,
    Pads,
    Rotor,
    SpigotScale,
    Studs,
    Wheel,
)
from sim.parts.checked import need_kind
from sim.parts.contradictions import Contradiction, KeyPath, contradictions, key_text
from sim.parts.discard import refuse_scrap_case
from sim.parts.keys import ARRAYS, BY_TABLE, NOT_YET, TABLES, Key, table_built
from sim.parts.measured_face import from_dict, to_dict
from sim.units import is_number, printable, shown

if TYPE_CHECKING:
    from pydantic import BaseModel

# Two ways to say one thing: of a case and its base the case's stands, within one file they exclude each other.
EITHER = (
    ("studs", "torque_nm", "preload_n", "torque and preload are both given"),
    ("hub", "spigot_diameter_mm", "spigot_fit", "the spigot's diameter and its fit are both given"),
)
Tables = dict[str, Any]

PARTS: dict[str, type] = {
    "rotor": Rotor,
    "hub": Hub,
    "studs": Studs,
    "debris": Debris,
    "spigot_scale": SpigotScale,
    "contact": Contact,
    "gauge": Gauge,
    "pads": Pads,
    "caliper": Caliper,
    "drive": Drive,
    "judder": Judder,
    "limits": Limits,
    "wheel": Wheel,
}
FACES = ("hub", "rotor")


@dataclass(frozen=True)
class Source:
    """One TOML text: tables, lines of its keys, folder that its base is sought in (or nowhere), lines that are none."""

    name: str
    tables: Tables
    lines: dict[KeyPath, int]
    folder: Path | None
    broken: tuple[Fault, ...] = ()

    def has(self, path: KeyPath) -> bool:
        """Whether the text gives this key."""
        level: Any = self.tables
        for piece in path:
            try:
                level = level[piece]
            except (KeyError, IndexError, TypeError):
                return False
        return True

    def fault(self, path: KeyPath, reason: str, allowed: str = "") -> Fault:
        """Fault at a key of this text."""
        key = printable(key_text(path))
        return Fault(reason, file=self.name, line=line_of(self.lines, path), key=key, allowed=allowed)


def load_case(path: str | Path) -> Case:
    """Read a case file.

    Parameters
    ----------
    path : str or Path
        TOML file; or the bare name of what is shipped, such as ``rear_solid_300``, where no file is called so.

    Returns
    -------
    Case

    Raises
    ------
    BadInput
        Every fault of the file and of its base, with file, line and key.
    """
    path = file_of(path)
    text = _text_of(path)
    if holds_readings(text):
        allowed = "a case file, or a part set by its name; what a table of readings orders: trueseat causes TABLE"
        raise BadInput(Fault("is a table of readings, no case file", file=printable(str(path), 200), allowed=allowed))
    source = _source(text, printable(str(path), 200), path.parent)
    if not source.tables:
        allowed = "at least one key; a commented starter file is written by: trueseat new case FILE"
        raise BadInput(Fault("is empty", file=source.name, allowed=allowed))
    case = _case_of(source)
    shipped = path.stem in demo_geometry.part_set_names() and text == demo_geometry.text(path.stem)
    return replace(case, given=()) if shipped else case  # nobody has typed the figures of a part set


def file_of(path: str | Path) -> Path:
    """Where a case stands: what is shipped by that bare name where no file is called so, else the file itself."""
    if not isinstance(path, (str, Path)):
        raise BadInput(Fault(f"{shown(path)} is no path", key="path", allowed="a str or a Path"))
    path = Path(path)
    return demo_geometry.file(str(path)) if str(path) in demo_geometry.names() and not path.exists() else path


def _text_of(path: Path) -> str:
    if not path.suffix and not path.exists() and path.name == str(path):
        allowed = f"a case file, or a part set by its name: {', '.join(demo_geometry.part_set_names())}"
        raise BadInput(Fault("no such file", file=printable(str(path), 200), allowed=allowed))
    return read_text(path)


def case_from_text(text: str, name: str = "case", folder: str | Path | None = None) -> Case:
    """Read a case from text that is no file, such as what a page sends.

    Parameters
    ----------
    text : str
        TOML.
    name : str
        Stands in messages in place of the file.
    folder : str or Path, optional
        Where a base file is sought; without it only part sets can be a base.

    Raises
    ------
    BadInput
        As `load_case`.
    """
    need_kind(text, str, "text")
    return _case_of(_source(text, name, None if folder is None else Path(folder)))


def case_to_dict(case: Case) -> Tables:
    """Turn a case into plain data that `dict_to_case` turns back into an equal case.

    Every value is written out, so that a later change of a default does not change a stored case; absent values are
    left out, and so are untouched keys of features that this version does not compute.
    """
    tables: Tables = {name: getattr(case, name) for name in BY_TABLE[""]}
    for table in PARTS:
        part = getattr(case, table)
        tables[table] = [_part_to_dict(one, table) for one in part] if table in ARRAYS else _part_to_dict(part, table)
    if not table_built("spigot_scale") and not case.spigot_scale:
        del tables["spigot_scale"]
    faces = {table: face for table in FACES if (face := getattr(case, f"{table}_topography")) is not None}
    if faces:
        tables["topography"] = {table: to_dict(face) for table, face in faces.items()}
    if case.given is not None:
        tables["given"] = list(case.given)
    return tables


def dict_to_case(tables: Tables, name: str = "case") -> Case:
    """Turn plain data, such as read from JSON, into a case; checked as strictly as a file.

    Parameters
    ----------
    tables : dict
        As `case_to_dict` makes it; ``base`` is refused.
    name : str
        Stands in messages in place of the file.

    Raises
    ------
    BadInput
        Every fault, with its key.
    """
    if not isinstance(tables, dict):
        raise BadInput(Fault("is not a set of tables", file=name))
    own = {key: value for key, value in tables.items() if key not in ("topography", "given")}
    source = Source(name, own, {}, None)
    if "base" in own:
        raise BadInput(source.fault(("base",), "only a case file can have a base"))
    faces = tables.get("topography", {})
    if not isinstance(faces, dict) or not set(faces) <= set(FACES):
        raise BadInput(source.fault(("topography",), "is not a set of measured faces"))
    given = tables.get("given")
    if given is not None and not (isinstance(given, list) and all(isinstance(path, str) for path in given)):
        raise BadInput(source.fault(("given",), "is not a list of keys"))
    measured = {f"{table}_topography": from_dict(face) for table, face in faces.items()}
    return _case_of(source, measured, None if given is None else tuple(given))


def _part_to_dict(part: Any, table: str) -> Tables:
    found: Tables = {}
    for name, key in BY_TABLE[table].items():
        # Where a fit stands for the spigot's diameter, the diameter follows from it.
        value = None if name == "spigot_diameter_mm" and part.spigot_fit is not None else getattr(part, name)
        if value is not None and (key.built or value != key.default):
            found[name] = list(value) if isinstance(value, tuple) else value
    return found


def _source(text: str, name: str, folder: Path | None) -> Source:
    tables, broken = parse_past_slips(text, name)
    return Source(name, tables, key_lines(text), folder, broken)


# ---------------------------------------------------------------------------------------------------------- checking


@cache
def _file_model() -> type[BaseModel]:
    """Model of a whole file, made from the table of keys."""
    from pydantic import ConfigDict, create_model  # loaded for the faults of a file alone

    config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)
    fields: dict[str, Any] = {name: (_judged(key), None) for name, key in BY_TABLE[""].items()}
    for table in TABLES:
        if table:
            own: dict[str, Any] = {name: (_judged(key), None) for name, key in BY_TABLE[table].items()}
            model = create_model(table, __config__=config, **own)
            fields[table] = (list[model] if table in ARRAYS else model, None)  # type: ignore[valid-type]
    return create_model("case_file", __config__=config, base=(Any, None), **fields)


def _judged(key: Key) -> Any:
    from pydantic import AfterValidator

    def judge(value: Any) -> Any:
        if reason := key.wrong(value):
            raise ValueError(reason)
        return value

    return Annotated[Any, AfterValidator(judge)]


def _faults(source: Source) -> list[Fault]:
    """Everything that is wrong with one text by itself, in the order of its lines."""
    faults = [*source.broken, *_not_yet(source)]
    for table, one, other, reason in EITHER:
        if source.has((table, one)) and source.has((table, other)):
            faults.append(source.fault((table, other), reason, "one of the two"))
    if not _plainly_right(source.tables):
        faults += _complaints(source)
    return sorted({str(fault): fault for fault in faults}.values(), key=lambda fault: fault.line)


def _plainly_right(tables: Tables) -> bool:
    """Whether the model of a file would find nothing: known keys of known tables, each within its bounds."""

    def right(table: str, part: object) -> bool:
        own = BY_TABLE[table]
        return isinstance(part, dict) and all(name in own and not own[name].wrong(part[name]) for name in part)

    known = TABLES.keys() - {""}
    loose = {name: value for name, value in tables.items() if name not in known and name != "base"}
    parts = [(name, part) for name, part in tables.items() if name in known]
    return right("", loose) and all(
        isinstance(part, list) and all(right(name, one) for one in part) if name in ARRAYS else right(name, part)
        for name, part in parts
    )


def _complaints(source: Source) -> list[Fault]:
    """What the model of a file finds wrong with one."""
    from pydantic import ValidationError

    try:
        _file_model().model_validate(source.tables)
    except ValidationError as error:
        details = sorted(error.errors(include_url=False), key=lambda detail: line_of(source.lines, detail["loc"]))
        faults = [
            _worded(source, detail["loc"], detail["type"], detail.get("ctx", {})) for detail in details[:MOST_FAULTS]
        ]
        if len(details) > MOST_FAULTS:
            faults.append(Fault(f"and {len(details) - MOST_FAULTS} more", file=source.name, line=len(source.lines)))
        return faults
    return []


def _in_millimetres(source: Source) -> list[Fault]:
    """Figures that somebody typed in millimetres into keys of micrometres: 0.04 reads as nothing at all.

    As a hand writes it, to a thousandth at most: what a program wrote has more digits.
    """
    found = []
    for table, content in source.tables.items():
        if table not in TABLES or not table:
            continue
        for at, part in enumerate(content) if isinstance(content, list) else ((None, content),):
            for name, value in part.items() if isinstance(part, dict) else ():
                key = BY_TABLE[table].get(name)
                if key is None or key.unit != "µm" or not is_number(value) or not 0.0 < abs(value) < 1.0:
                    continue
                if round(value, 3) == value and key.lowest <= 1000.0 * value <= key.highest:
                    path = (table, name) if at is None else (table, at, name)
                    asked = f"{value:g} µm is a thousandth of what dials show; was it given in millimetres?"
                    found.append(source.fault(path, asked, f"0, or 1 µm and more: {1000.0 * value:g}?"))
    return found


def _not_yet(source: Source) -> Iterator[Fault]:
    """Keys and tables of features that are known but not built."""
    for table, content in source.tables.items():
        if table in TABLES and table and not table_built(table):
            yield source.fault((table,), NOT_YET)
            continue
        parts = content if isinstance(content, list) else [content]
        for index, part in enumerate(parts if table in PARTS else ()):
            for name in part if isinstance(part, dict) else ():
                if name in BY_TABLE[table] and not BY_TABLE[table][name].built:
                    yield source.fault((table, index, name) if isinstance(content, list) else (table, name), NOT_YET)


def _worded(source: Source, path: KeyPath, kind: str, context: dict[str, Any]) -> Fault:
    """One complaint of the model in the reader's words."""
    table = str(path[0])
    if kind == "extra_forbidden":
        if len(path) > 1:
            return source.fault(path, unknown_key(table, str(path[-1])))
        is_table = isinstance(source.tables[table], dict | list)
        return source.fault(path, unknown_table(table) if is_table else unknown_key("", table))
    if kind == "value_error":
        key = BY_TABLE[table][str(path[-1])] if len(path) > 1 else BY_TABLE[""][table]
        return source.fault(path, str(context["error"]), key.allowed)
    if table in ARRAYS:
        return source.fault(path, f"write [[{table}]] with double brackets, one for each")
    return source.fault(path, f"is one table; write [{table}], once, and its keys below it")


# -------------------------------------------------------------------------------------------------------------- base


def _base_of(source: Source) -> Source | None:
    """Return the text that a case builds on, if it names one."""
    if "base" not in source.tables:
        return None
    value = source.tables["base"]
    part_sets = ", ".join(demo_geometry.part_set_names())
    allowed = f"{part_sets}; or a .toml file beside this one"
    if not isinstance(value, str) or not value or not value.isprintable():
        raise BadInput(source.fault(("base",), f"{shown(value)} is not the name of a part set or a file", allowed))
    if re.fullmatch(r"\w+", value):
        if value not in demo_geometry.names():
            alike = nearest(value, demo_geometry.part_set_names())
            hint = f", nearest known: {alike}" if alike else ""
            raise BadInput(source.fault(("base",), f"unknown part set {shown(value)}{hint}", allowed))
        base = _part_set(value)
    else:
        base = _base_file(source, value, allowed)
    if "base" in base.tables:
        reason = f"{printable(value)} has a base of its own; only one level is taken"
        raise BadInput(source.fault(("base",), reason, allowed))
    return base


@cache  # a part set that is shipped stays as it is
def _part_set(name: str) -> Source:
    return _source(demo_geometry.text(name), f"{name}.toml", None)


def _base_file(source: Source, value: str, allowed: str) -> Source:
    if source.folder is None:
        raise BadInput(source.fault(("base",), "only a part set can be a base here", allowed.split(";")[0]))
    if Path(value).is_absolute() or Path(value).suffix != ".toml":
        raise BadInput(source.fault(("base",), f"{shown(value)} is not a .toml file relative to this one", allowed))
    path = source.folder / value
    try:
        text = read_text(path)
    except BadInput as error:
        fault = error.faults[0]
        raise BadInput(source.fault(("base",), f"{shown(value)} {fault.reason}", fault.allowed)) from None
    return _source(text, printable(str(path), 200), path.parent)


def _merged(base: Tables, own: Tables) -> Tables:
    """Put a case on its base: keys override, lists replace, two ways to say one thing displace each other."""
    merged = dict(base)
    for name, value in own.items():
        if isinstance(value, dict) and isinstance(base.get(name), dict):
            merged[name] = {**base[name], **value}
        else:
            merged[name] = value
    for table, one, other, _ in EITHER:
        for given, displaced in ((one, other), (other, one)):
            if given in own.get(table, {}) and displaced not in own[table]:
                merged[table].pop(displaced, None)
    own_studs = own.get("studs", {})
    if "road_torque_nm" not in own_studs and {"torque_nm", "preload_n"} & set(own_studs):
        merged["studs"].pop("road_torque_nm", None)  # the base's road is not that of another clamping
    return merged


# ------------------------------------------------------------------------------------------------------------ making


def _case_of(own: Source, faces: dict[str, Any] | None = None, given: tuple[str, ...] | None = None) -> Case:
    try:
        base = _base_of(own)
    except BadInput as error:  # what the case itself has wrong is said with it
        raise BadInput([*error.faults, *_faults(own)]) from None
    faults = [fault for source in (own, base) if source is not None for fault in _faults(source)]
    if faces is None:
        faults += _in_millimetres(own)
    if faults:
        raise BadInput([*faults, *_further(own, base, faults)])
    tables = own.tables if base is None else _merged(base.tables, own.tables)
    if faces is None:  # a text: what stands in it is the user's own word
        faces, given = _measured_faces(tables, own, base), _given(own.tables)
    case = replace(_built(tables), given=given, **faces)
    _refuse([_located(contradiction, own, base) for contradiction in contradictions(case)])
    refuse_scrap_case(case, f"{own.name}: rotor.thickness_mm" if own.name else "rotor.thickness_mm")
    return case


def _further(own: Source, base: Source | None, faults: list[Fault]) -> list[Fault]:
    """Contradictions among the keys that are good by themselves, so that a file is mended in one go.

    What is wrong is left at its default; a contradiction that only the defaults make is not the writer's.
    """
    wrong = {fault.key for fault in faults}
    slips = {fault.line for fault in own.broken}
    broken = {path: line for path, line in own.lines.items() if line in slips}
    if slips - set(broken.values()):  # a table is broken, or a line names no key: what it would have said is not known
        return []
    wrong |= {key_text(path) for path in broken}
    texts = [_without(source.tables, wrong) for source in (own, base) if source is not None]
    try:
        case = _built(texts[0] if base is None else _merged(texts[1], texts[0]))
    except BadInput:  # what was left out was needed
        return []
    known = [one for one in contradictions(case) if not {key_text(path) for path in one.keys} & wrong]
    texts_given = [source for source in (own, base) if source is not None]
    theirs = [one for one in known if all(any(text.has(path) for text in texts_given) for path in one.keys)]
    return [_located(one, own, base) for one in theirs if any(own.has(path) for path in one.keys)]


def _without(tables: Tables, wrong: set[str]) -> Tables:
    """Tables without the keys, or whole tables, that are wrong."""
    out: Tables = {}
    for table, content in tables.items():
        if table in wrong or table not in (*PARTS, "title", "axle"):
            continue
        if isinstance(content, list) and table in ARRAYS:
            if not any(path.startswith((f"{table}[", f"{table}.")) for path in wrong):
                out[table] = content
        elif isinstance(content, dict) and table not in ARRAYS:
            known = BY_TABLE[table].keys() & content.keys()
            out[table] = {name: content[name] for name in known if f"{table}.{name}" not in wrong}
        elif table in BY_TABLE[""]:
            out[table] = content
    return out


def _given(tables: Tables) -> tuple[str, ...]:
    """Keys that a text gives itself, its base left out."""
    single = {table: content for table, content in tables.items() if isinstance(content, dict)}
    return tuple(sorted(f"{table}.{name}" for table, content in single.items() for name in content))


def _measured_faces(tables: Tables, own: Source, base: Source | None) -> dict[str, Any]:
    """Read the measured faces that the tables name, each beside the file that names it."""
    found: dict[str, Any] = {}
    for table in FACES:
        name = tables.get(table, {}).get("face_map")
        if name is None:
            continue
        source = own if base is None or own.has((table, "face_map")) else base
        path = (table, "face_map")
        if source.folder is None or Path(name).is_absolute() or Path(name).suffix.lower() != ".csv":
            raise BadInput(source.fault(path, f"{shown(name)} is not a .csv file relative to the case file"))
        try:
            found[f"{table}_topography"] = read_topography(source.folder / name)
        except BadInput as error:
            where = source.fault(path, f"{shown(name)} cannot be taken")
            raise BadInput([where, *error.faults]) from None
    return found


def _refuse(faults: list[Fault]) -> None:
    if faults:
        raise BadInput(faults)


def _built(tables: Tables) -> Case:
    """Build a case from tables that have been checked."""
    made: Tables = {}
    for table, part in PARTS.items():
        given = tables.get(table)
        if given is not None:
            made[table] = tuple(part(**one) for one in given) if table in ARRAYS else part(**given)
    made |= {name: tables[name] for name in BY_TABLE[""] if name in tables}
    return Case(**made)


def _located(contradiction: Contradiction, own: Source, base: Source | None) -> Fault:
    """Fault at the first of the contradicting keys that a text gives, the case before its base."""
    for source in (own, base) if base else (own,):
        for path in contradiction.keys:
            if source.has(path):
                allowed = contradiction.allowed
                if path != contradiction.keys[0] and allowed:  # what is allowed is said of the first key
                    allowed = f"{key_text(contradiction.keys[0])}: {allowed}"
                return source.fault(path, contradiction.reason, allowed)
    return own.fault(contradiction.keys[0], contradiction.reason, contradiction.allowed)
