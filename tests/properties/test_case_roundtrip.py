"""Any case that can be made comes back from plain data, from JSON and from TOML exactly; any text is answered."""

import json
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sim.errors import BadInput
from sim.files.case_file import PARTS, case_from_text, case_to_dict, dict_to_case
from sim.files.starter import starter_case, toml_value
from sim.parts.case import Case, Debris
from sim.parts.contradictions import contradictions
from sim.parts.keys import ARRAYS, BY_TABLE, table_built

QUIET = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def value_of(key):
    if key.kind == "text":
        return st.sampled_from(key.open_choices) if key.choices else st.just(key.default)
    if key.kind.startswith("whole"):
        return st.integers(int(key.lowest), int(key.highest))
    return st.floats(key.lowest, key.highest, exclude_min=key.above_lowest)


def settings_of(table):
    """Any numbers within range for the tables in which hardly anything can contradict."""
    keys = [key for key in BY_TABLE[table].values() if key.built and key.default is not None]
    return st.fixed_dictionaries({}, optional={key.name: value_of(key) for key in keys})


patches = st.builds(
    Debris,
    on=st.sampled_from(["hub", "rotor"]),
    angle_deg=st.floats(-360, 360),
    arc_deg=st.floats(0.1, 360),
    inner_radius_mm=st.floats(20, 63),
    outer_radius_mm=st.floats(65, 100),
    height_um=st.floats(-2000, 2000),
)
FREE = ("contact", "caliper", "drive", "judder", "limits")
# Made once: a strategy made anew for every example is looked through anew, which takes longer than the example.
SETTINGS = {table: settings_of(table) for table in FREE}
TITLES = st.text(min_size=1, max_size=120).filter(lambda text: text.isprintable() and text.strip())
COUNTS = st.integers(3, 5)
LOADS = {count: st.one_of(st.floats(2, 600), st.tuples(*[st.floats(2, 600)] * count)) for count in (3, 4, 5)}
TURNED = {count: st.integers(0, count - 1) for count in (3, 4, 5)}
PRELOADS = st.floats(100, 200_000)
PATCHES = st.lists(patches, max_size=4)


@st.composite
def cases(draw):
    parts = {table: PARTS[table](**draw(SETTINGS[table])) for table in FREE}
    title = draw(TITLES)
    count = draw(COUNTS)
    loads = draw(LOADS[count])
    base = Case()
    studs = replace(base.studs, count=count, torque_nm=loads, studs_turned=draw(TURNED[count]))
    if draw(st.booleans()):
        studs = replace(base.studs, count=count, preload_n=draw(PRELOADS))
    return Case(title=title, studs=studs, debris=draw(PATCHES), **parts)


def as_toml(tables):
    lines = [f"title = {toml_value(tables['title'])}"]
    for table in PARTS:
        for part in (tables.get(table) or []) if table in ARRAYS else [tables.get(table)]:
            if table_built(table) or part:
                lines.append(f"[[{table}]]" if table in ARRAYS else f"[{table}]")
                lines += [f"{name} = {toml_value(value)}" for name, value in (part or {}).items()]
    return "\n".join(lines)


@QUIET
@given(cases())
def test_a_case_comes_back_exactly(case):
    assert contradictions(case) == ()
    tables = case_to_dict(case)
    assert dict_to_case(tables) == case
    assert dict_to_case(json.loads(json.dumps(tables))) == case
    assert case_from_text(as_toml(tables)) == case


@QUIET
@given(st.data())
def test_values_just_out_of_range_are_refused_at_the_file_and_at_the_part(data):
    key = data.draw(
        st.sampled_from([key for t in FREE for key in BY_TABLE[t].values() if key.kind == "number" and key.built])
    )
    beyond = key.highest + max(abs(key.highest), 1.0) * data.draw(st.floats(1e-9, 1e6))
    with pytest.raises(BadInput, match=key.name):
        PARTS[key.table](**{key.name: beyond})
    with pytest.raises(BadInput, match=key.name):
        case_from_text(f"[{key.table}]\n{key.name} = {beyond!r}")


@QUIET
@given(st.one_of(st.text(max_size=200), st.binary(max_size=200).map(lambda raw: raw.decode("latin-1"))))
def test_any_text_is_answered_with_a_case_or_a_fault(text):
    try:
        assert isinstance(case_from_text(text), Case)
    except BadInput as error:
        assert all(str(fault).isprintable() for fault in error.faults)  # noqa: PT017


@QUIET
@given(
    st.integers(0, 10_000), st.sampled_from(["", "x", "=", "[", '"', "0", ",", "\x00", "#", "\n"]), st.integers(0, 3)
)
def test_a_damaged_starter_file_is_answered(place, mark, cut):
    text = starter_case()
    place %= len(text)
    try:
        case_from_text(text[:place] + mark + text[place + cut :])
    except BadInput as error:
        assert error.faults  # noqa: PT017


WORDS = st.sampled_from(["rotor", "debris", "studs", "title", "torque_nm", "thickness_mm", "x"])
LEAVES = st.one_of(st.none(), st.booleans(), st.floats(), st.integers(), st.text(max_size=5))
DATA = st.recursive(
    LEAVES,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(WORDS, inner, max_size=4)),
    max_leaves=12,
)


@QUIET
@given(DATA)
def test_any_plain_data_is_answered(data):
    try:
        assert isinstance(dict_to_case(data), Case)
    except BadInput as error:
        assert error.faults  # noqa: PT017
