"""TOML that strangers write: bounded reading, errors in plain words, the line of every key."""

import gc

import pytest

from sim.errors import BadInput
from sim.files.toml_text import LARGEST_BYTES, MOST_SLIPS, key_lines, line_of, parse, parse_past_slips, read_text


def said(text):
    with pytest.raises(BadInput) as caught:
        parse(text, "corner.toml")
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "line", "word"),
    [
        ("[rotor]\nthickness_mm = 12,5", 2, "decimal point"),
        ("[rotor]\nthickness_mm = 12 mm", 2, "a unit after the number"),
        ("[rotor]\nstyle = solid", 2, "quotes"),
        ("[rotor]\nthickness_mm =\nhat_wall_mm = 6.0", 2, "nothing after the equals sign"),
        ("[rotor]\nthickness_mm: 12", 2, "a colon"),
        ("[rotor]\nthickness_mm 12", 2, "no equals sign"),
        ("[rotor]\nnut_factor = .2", 2, "write 0.5"),
        ("[rotor\nthickness_mm = 12.0", 1, "not closed"),
        ("a = 1\nb = [1, 2\nc = 3", 3, "unclosed array"),
        ("a = 1\na = 2", 2, "written twice, first on line 1"),
        ("[rotor]\nb = 1\n[hub]\nb = 1\nb = 2", 5, "written twice, first on line 4"),
        ("[rotor]\n[rotor]", 2, "written twice, first on line 1"),
        ("[debris]\n[[debris]]", 2, "double brackets"),
    ],
)
def test_syntax_is_worded_for_an_apprentice(text, line, word):
    message = said(text)
    assert message.startswith(f"corner.toml:{line}:")
    assert word in message


@pytest.mark.parametrize(
    "text", ['a = "x', 'a = """\nb', "a = " + "9" * 900, "a = 1979-13-13", "= 3", "\x01", "a" * 900]
)
def test_every_other_slip_is_refused_too(text):
    # A whole number of 900 digits is TOML; what is no TOML is refused with the name of the file.
    if text.endswith("9" * 900):
        assert parse(text, "corner.toml")["a"] > 0
    else:
        assert "corner.toml" in said(text)


@pytest.fixture
def no_collection():
    """What other tests left is not collected at the bottom of a stack: its own clean-up finds no room there."""
    gc.collect()
    gc.disable()
    yield
    gc.enable()


@pytest.mark.parametrize("text", ["a = " + "[" * 900, "a = [\n" * 5000, "a.b = 1\n" * 50_000, "a = " + "{b = " * 190])
@pytest.mark.usefixtures("no_collection")
def test_deep_nesting_ends_in_a_message(text):
    assert "corner.toml" in said(text)


def test_every_line_that_is_no_toml_is_told_and_the_others_are_read():
    text = "a = 1,5\n[hub\nb = 1\n[rotor]\nc = 3\nd = 4 mm\ne: 5\n[rotor]\nf = 6\n[last]\ng = 7"
    tables, faults = parse_past_slips(text, "corner.toml")
    assert [fault.line for fault in faults] == [1, 2, 6, 7, 8]
    assert tables == {"rotor": {"c": 3}, "last": {"g": 7}}
    assert parse_past_slips("a = 1\nb = 2", "x") == ({"a": 1, "b": 2}, ())


@pytest.mark.parametrize("text", ["a = [1,\n[2, x],\n3]\nb = 1,5", 'a = """\nb = 1,5', "a = {b = [\nc = 1,5"])
def test_where_lines_hang_together_nothing_is_guessed(text):
    with pytest.raises(BadInput, match=r"corner\.toml"):
        parse_past_slips(text, "corner.toml")


def test_no_more_slips_than_anybody_reads_are_sought():
    with pytest.raises(BadInput) as caught:
        parse_past_slips("a: 1\n" * 500, "corner.toml")
    assert len(caught.value.faults) == MOST_SLIPS


def test_long_lines_are_refused_before_they_are_parsed():
    assert "corner.toml:2: the line is too long" in said("a = 1\n" + "b." * 100_000)


def test_a_missing_file_a_folder_and_a_binary(tmp_path):
    (tmp_path / "picture.toml").write_bytes(b"\x89PNG\x00\x00")
    (tmp_path / "latin.toml").write_bytes('a = 1\ntitle = "Stück"'.encode("latin-1"))
    (tmp_path / "huge.toml").write_bytes(b"#" * (LARGEST_BYTES + 1))
    for name, word in (
        ("none.toml", "no such file"),
        (".", "is a folder"),
        ("picture.toml", "is not a text file"),
        ("latin.toml", ":2: is not UTF-8"),
        ("huge.toml", "is too large"),
        ("nul\0l", "cannot be read"),
        ("x" * 5000, "cannot be read"),
    ):
        with pytest.raises(BadInput, match=word):
            read_text(tmp_path / name)


def test_text_saved_by_an_editor_of_another_system_is_taken(tmp_path):
    path = tmp_path / "case.toml"
    path.write_bytes(b"\xef\xbb\xbf" + 'title = "Stück"\r\n[rotor]\r\nthickness_mm = 12.0\r\n'.encode())
    text = read_text(path)
    assert parse(text, "x") == {"title": "Stück", "rotor": {"thickness_mm": 12.0}}
    assert key_lines(text)["rotor", "thickness_mm"] == 3


def test_lines_of_keys():
    text = "\n".join(
        [
            'title = "a # no comment [x]"  # """',  # 1
            "note = '''",  # 2
            "[hub]",  # 3
            "'''",  # 4
            "[rotor]  # [studs]",  # 5
            "thickness_mm = 1",  # 6
            "list = [",  # 7
            "  [1, 2],",  # 8
            "  [3]",  # 9
            "]",  # 10
            "hat.wall = 1",  # 11
            "[[debris]]",  # 12
            "height_um = 1",  # 13
            "[[debris]]",  # 14
            '"height_um" = 1',  # 15
        ]
    )
    parse(text, "x")
    assert key_lines(text) == {
        ("title",): 1,
        ("note",): 2,
        ("rotor",): 5,
        ("rotor", "thickness_mm"): 6,
        ("rotor", "list"): 7,
        ("rotor", "hat", "wall"): 11,
        ("debris", 0): 12,
        ("debris", 0, "height_um"): 13,
        ("debris", 1): 14,
        ("debris", 1, "height_um"): 15,
    }


def test_an_unlisted_key_takes_the_line_of_its_table():
    lines = key_lines("\n[rotor]\nhat = {wall = 3}")
    assert line_of(lines, ("rotor", "hat", "wall")) == 3
    assert line_of(lines, ("rotor", "none")) == 2
    assert line_of(lines, ("hub", "none")) == 0
