"""The store: what is put is found whole, or not at all."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
import time
import tomllib
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright import canonical
from rillwright.canonical import PACKAGES, digest, fingerprint
from rillwright.layout.features import Feature, Line, Outline, PlateLayout
from rillwright.layout.job_layout import JobLayout
from rillwright.store import LIMIT, PLACE, STALE, Store, open_store

ROOT = Path(__file__).parents[1]
KEY = hashlib.sha256(b"key").hexdigest()


def entry(folder: Path) -> Path:
    (found,) = (p for p in folder.rglob("*") if p.is_file())
    return found


def test_what_is_put_is_found_by_another_store(tmp_path: Path) -> None:
    Store(tmp_path, 10**6).put(KEY, b"plate")
    assert Store(tmp_path, 10**6).get(KEY) == b"plate"
    assert Store(tmp_path / "elsewhere", 10**6).get(KEY) is None


@pytest.mark.parametrize("damage", [lambda d: d[:-1], lambda d: d[:40], lambda d: d[40:], lambda d: d[:-1] + b"x"])
def test_a_damaged_entry_is_missing_and_goes(damage: Any, tmp_path: Path) -> None:
    store = Store(tmp_path, 10**6)
    store.put(KEY, b"a plate of acrylic")
    path = entry(tmp_path)
    path.write_bytes(damage(path.read_bytes()))
    assert store.get(KEY) is None
    assert not path.exists()
    store.put(KEY, b"again")
    assert store.get(KEY) == b"again"


def test_what_was_not_used_for_longest_goes_first(tmp_path: Path) -> None:
    store = Store(tmp_path, 10_000)
    keys = [hashlib.sha256(bytes([i])).hexdigest() for i in range(12)]
    for age, key in enumerate(keys[:9]):
        store.put(key, bytes(1000))
        os.utime(store._path(key), (age, age))
    assert store.get(keys[0]) is not None  # used now
    for key in keys[9:]:
        store.put(key, bytes(1000))
    store.clear_out()
    assert store.get(keys[0]) is not None
    assert store.get(keys[1]) is None
    assert store.get(keys[11]) is not None
    assert sum(p.stat().st_size for p in tmp_path.rglob("*") if p.is_file()) <= 10_000


def test_what_a_killed_run_left_goes_but_not_what_another_writes_now(tmp_path: Path) -> None:
    store = Store(tmp_path, 10**6)
    store.put(KEY, b"x")
    old, new = (entry(tmp_path).with_name(f".new-1-{n}") for n in ("aa", "bb"))
    old.write_bytes(b"half")
    new.write_bytes(b"half")
    os.utime(old, (time.time() - 2 * STALE,) * 2)
    store.clear_out()
    assert (old.exists(), new.exists(), store.get(KEY)) == (False, True, b"x")


def test_trouble_ends_the_keeping_and_not_the_run(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    store = Store(tmp_path / "file", 10**6)
    assert store.get(KEY) is None
    store.put(KEY, b"x")
    assert "nothing more is kept" in store.trouble
    store.put(KEY, b"x")
    assert store.get(KEY) is None


WRITER = """
import hashlib, sys
from pathlib import Path
from rillwright.store import Store
store = Store(Path(sys.argv[1]), 10**9)
for turn in range(3):
    for i in range(60):
        key = hashlib.sha256(str(i).encode()).hexdigest()
        store.put(key, str(i).encode() * 5000)
        found = store.get(key)
        assert found == str(i).encode() * 5000, (i, found and found[:20])
assert not store.trouble
"""


def test_two_processes_write_the_same_entries_at_once(tmp_path: Path) -> None:
    paths = os.pathsep.join([str(ROOT / "generators"), os.environ.get("PYTHONPATH", "")])
    runs = [subprocess.Popen([sys.executable, "-c", WRITER, str(tmp_path)], env={**os.environ, "PYTHONPATH": paths})
            for _ in range(2)]  # fmt: skip
    assert [r.wait(60) for r in runs] == [0, 0]
    assert len([p for p in tmp_path.rglob("*") if p.is_file()]) == 60


def test_where_it_lies(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(PLACE, raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "user"))
    monkeypatch.delenv(LIMIT, raising=False)
    found = open_store()
    assert found.folder is not None
    assert "rillwright" in found.folder.parts
    assert found.limit == 2_000_000_000
    monkeypatch.setenv(PLACE, str(tmp_path))
    monkeypatch.setenv(LIMIT, "5")
    assert (open_store().folder, open_store().limit) == (tmp_path, 5_000_000)
    assert open_store("off").folder is None
    monkeypatch.setenv(PLACE, "off")
    assert open_store().folder is None
    assert open_store(str(tmp_path)).folder == tmp_path
    off = open_store()
    off.put(KEY, b"x")
    assert off.get(KEY) is None


# -- keys

PLATE = PlateLayout(
    "upper", Outline((0, 0), (Line((1, 0)), Line((1, 1)), Line((0, 0)))), 12.0, "pmma-cast", True, 0.0,
    (Feature("s", "screw", (0, 0, 0), (0, 0, -1), ((0, 0), (2, 0), (2, 5)), "seal", ("seal",), facts={"a": 1.0}),),
)  # fmt: skip


def changed(value: Any) -> Any:
    """Another value of the same kind."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, str):
        return value + "x"
    if isinstance(value, int | float):
        return value + 1
    if isinstance(value, tuple):
        return (*value, *value) or (1,)
    if isinstance(value, dict):
        return {**value, "x": 1}
    return 1 if value is None else replace(value, **{fields(value)[0].name: changed(getattr(value, fields(value)[0].name))})


@pytest.mark.parametrize("name", [f.name for f in fields(PLATE)])
def test_every_field_of_a_plate_counts(name: str) -> None:
    assert digest(replace(PLATE, **{name: changed(getattr(PLATE, name))})) != digest(PLATE)


@pytest.mark.parametrize("name", [f.name for f in fields(PLATE.features[0])])
def test_every_field_of_a_feature_counts(name: str) -> None:
    f = PLATE.features[0]
    other = replace(PLATE, features=(replace(f, **{name: changed(getattr(f, name))}),))
    assert digest(other) != digest(PLATE)


_plain = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=5),
    lambda x: st.lists(x, max_size=3) | st.dictionaries(st.text(max_size=3), x, max_size=3), max_leaves=8,
)  # fmt: skip


@given(_plain, _plain)
@settings(max_examples=150, deadline=None)
def test_different_values_have_different_keys(a: Any, b: Any) -> None:
    assert (digest(a) == digest(b)) == (repr(a) == repr(b))


def test_what_has_no_spelling_is_refused() -> None:
    with pytest.raises(TypeError, match="no canonical form for object"):
        digest(JobLayout("a", (), (), {"x": object()}))  # type: ignore[dict-item]


def test_the_programs_own_files_and_its_packages_count(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    known = fingerprint()
    monkeypatch.setattr(canonical, "__file__", str(tmp_path / "canonical.py"))
    (tmp_path / "layout.py").write_text("a = 1\n")
    fingerprint.cache_clear()
    one = fingerprint()
    (tmp_path / "layout.py").write_text("a = 2\n")
    fingerprint.cache_clear()
    two = fingerprint()
    monkeypatch.setattr(canonical, "_installed", lambda: ["cadquery-9.9"])
    fingerprint.cache_clear()
    assert len({known, one, two, fingerprint()}) == 4
    fingerprint.cache_clear()


def test_every_dependency_is_part_of_the_key() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    names = {re.split(r"[<>=!~\[; ]", d)[0].lower() for d in project["dependencies"]}
    assert names <= {p.lower() for p in PACKAGES}
    installed = " ".join(canonical._installed()).lower()
    assert all(name in installed for name in ("cadquery-", "numpy-", "manifold3d-"))
    json.dumps(canonical._installed())
