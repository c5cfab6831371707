"""Reading YAML: scalars of the core schema, places, and everything that is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from rillwright.spec.messages import SpecError
from rillwright.spec.yaml_source import MAX_BYTES, parse, read


def refusal(text: str) -> str:
    with pytest.raises(SpecError) as caught:
        parse(text, "f.yaml")
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "value"),
    # YAML 1.2.2, 10.3.2 core schema, its table and example 10.9
    [
        ("null", None),
        ("", None),
        ("~", None),
        ("true", True),
        ("False", False),
        ("0", 0),
        ("0o7", 7),
        ("0x3A", 58),
    ]
    + [("-19", -19), ("0.", 0.0), ("-0.0", -0.0), (".5", 0.5), ("+12e03", 12000.0), ("-2E+05", -200000.0)]
    # not numbers or truth values there, though they were in YAML 1.1
    + [(w, w) for w in ("on", "off", "yes", "No", "y", "1_000", "12:30", "0b11", "20 %", "2030-12-31", "nan")]
    + [('"1"', "1"), ("'true'", "true"), ("! 1", "1"), ("!!str 1", "1"), ("!!float 1", 1), ("012", 12)],
)
def test_scalars(text: str, value: object) -> None:
    got = parse(f"a: {text}", "f").data["a"]
    assert got == value
    assert type(got) is type(value)


def test_on_is_a_key() -> None:
    assert parse("port: {on: back}", "f").data == {"port": {"on": "back"}}


def test_places() -> None:
    source = parse("a: 1\nb:\n  - c: {d: 2,\n      e: 3}\n", "f")
    assert source.where(("a",)) == (1, 4)
    assert source.where(("b", 0)) == (3, 5)
    assert source.where(("b", 0, "c", "e")) == (4, 10)
    assert source.where(("b", 0, "c", "e"), key=True) == (4, 7)
    assert source.where(("b", 0, "c", "nowhere", 5, "x")) == (3, 8)  # deepest part there is
    assert source.where(()) == (1, 1)


def test_alias_is_placed_where_its_value_stands() -> None:
    source = parse("a: &x {b: 1}\nc: *x\n", "f")
    assert source.data["c"] == {"b": 1}
    assert source.where(("c", "b")) == (1, 11)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("", "f.yaml:1:1: the file is empty"),
        ("- 1", "f.yaml:1:1: must be a mapping"),
        ("a: 1\nb: 2\na: 3", "f.yaml:3:1: a: the same key stands twice, lines 1 and 3"),
        ("x:\n  - {b: 1, b: 2}", "f.yaml:2:12: x.0.b: the same key stands twice, line 2"),
        ("1: 2", 'f.yaml:1:1: a key must be text (got 1); write it in quotes: "1"'),
        ("? [1]\n: 2", "f.yaml:1:3: a key must be text"),
        ("a:\n  <<: {b: 1}", "f.yaml:2:3: a: merge keys (<<) are not taken"),
        ("a: &x [*x]", "f.yaml:1:8: a.0: *x stands inside the value it repeats"),
        ("a: *x", "f.yaml:1:4: a: *x repeats nothing; mark a value above with &x, or use quotes"),
        ("a: &tube 1\nb: *tub", "f.yaml:2:4: b: *tub repeats nothing; did you mean *tube?"),
        ("a: .nan", "f.yaml:1:4: a: must be a finite number (got .nan)"),
        ("a: [1, -.inf]", "f.yaml:1:8: a.1: must be a finite number (got -.inf)"),
        ("a: 1e999", "must be a finite number"),
        ("a: " + "9" * 400, "must be a finite number"),
        ("a: " + "9" * 5000, "must be a finite number"),
        ("a: 0x" + "f" * 400, "must be a finite number"),
        ("a: !x 1", 'f.yaml:1:4: a: tag "!x" is not taken'),
        ("a: !!python/object:x {}", 'tag "!!python/object:x" is not taken'),
        ("a: !!set {b}", "is not taken"),
        ("a: !!int x", "f.yaml:1:4: a: is not what its tag !!int says"),
        ("a: 1\n---\nb: 2", "f.yaml:2:1: a second document begins here"),
        ("%YAML 1.1\n---\na: 1", "f.yaml:2:1: parameter files are YAML 1.2"),
        ("a:\n\t- b", "f.yaml:2:1: a tab stands where YAML wants spaces; indent with spaces"),
        ("a: [1", "f.yaml:1:6: a list begun with [ lacks a comma or its ]"),
        ("a: 'x", "f.yaml:1:6: a quoted text is not closed"),
        ("a: b: c", "f.yaml:1:5: a colon stands where no key can be"),
        ("a:\n  b: 1\n c: 2", "f.yaml:3:2: this does not line up"),
        ("a: @x", "f.yaml:1:4: a value cannot begin with this character"),
        ('a: "\\UFFFFFFFF"', "an escape that is no character"),
        ('a: "\\ud800"', "f.yaml:1:4: a: holds an escape for half a character"),
        ("a: \x07", "f.yaml:1:4: character U+0007 is not allowed in YAML"),
        ("a: " + "[" * 100, "more than 60 lists and mappings inside each other"),
        ("a: " + "{a: " * 100, "more than 60 lists and mappings inside each other"),
    ],
)
def test_refuses(text: str, wanted: str) -> None:
    assert wanted in refusal(text)


def test_all_problems_at_once_in_order() -> None:
    lines = refusal("b: .nan\na: 1\na: 2\nc: !x 1").splitlines()
    assert [line.split(":")[1] for line in lines] == ["1", "3", "4"]


def test_inner_anchor_of_the_same_name_is_no_recursion() -> None:
    assert parse("a: &x [&x 1, *x]\nb: *x", "f").data == {"a": [1, 1], "b": [1, 1]}


def test_aliases_that_blow_up() -> None:
    text = "a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n"
    text += "".join(f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 10)}]\n" for i in range(1, 10))
    assert "more than 200000 values, aliases counted" in refusal(text)


def test_aliases_that_nest_too_deep() -> None:
    text = "a0: &a0 [x]\n" + "".join(f"a{i}: &a{i} [*a{i - 1}]\n" for i in range(1, 100))
    assert "a59.0: more than 60 lists" in refusal(text)


def test_files(tmp_path: Path) -> None:
    for name, raw, wanted in [
        ("none.yaml", None, "none.yaml: there is no such file"),
        ("big.yaml", b"a: 1\n" + b"#" * MAX_BYTES, "big.yaml:1:1: is larger than 2 MiB"),
        ("latin.yaml", "a: 1\nb: gr\u00fcn\n".encode("latin-1"), "latin.yaml:2:6: byte 0xfc is not UTF-8"),
        ("wide.yaml", "a: 1".encode("utf-16"), "wide.yaml:1:1: byte 0xff is not UTF-8"),
    ]:
        path = tmp_path / name
        if raw is not None:
            path.write_bytes(raw)
        with pytest.raises(SpecError) as caught:
            read(path)
        assert wanted in str(caught.value)
    with pytest.raises(SpecError, match=r"is a folder; give a file in it: big\.yaml, latin\.yaml, wide\.yaml$"):
        read(tmp_path)
    with pytest.raises(SpecError, match=r"there is no such file; did you mean .*latin\.yaml\?"):
        read(tmp_path / "latin.yml")
    with pytest.raises(SpecError, match=r"there is no such file$"):
        read(tmp_path / "no" / "latin.yaml")


def test_byte_order_mark_and_line_ends(tmp_path: Path) -> None:
    path = tmp_path / "x.yaml"
    path.write_bytes(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n")
    source, _ = read(path)
    assert source.data == {"a": 1, "b": 2}
    assert source.where(("b",), key=True) == (2, 1)
