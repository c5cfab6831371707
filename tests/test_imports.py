"""Which room may import which, and what must not be loaded before it is needed."""

from __future__ import annotations

import ast
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import rillwright

PACKAGE = Path(rillwright.__file__).parent
STARTER = PACKAGE / "spec" / "starter.yaml"

# The room table of DEVELOPERS.md.
MAY_IMPORT: dict[str, set[str]] = {
    "standards": set(),
    "physics": {"standards"},
    "spec": {"standards"},
    "layout": {"standards", "physics", "spec"},
    "solids": {"layout"},
    "checks": {"standards", "layout", "solids", "physics"},  # standards: tables that import nothing
    "export": {"standards", "physics", "spec", "layout", "solids", "checks"},
    "workers": set(),  # calls in other processes, whatever they do
    # Many runs of the arrow: the one room that sees the modules at the top; only those see it.
    "batch": {
        "standards", "physics", "spec", "layout", "solids", "checks", "export", "pipeline", "runs", "exits", "canonical",
        "workers",
    },
}
# The names that cross the table: a check has to know what the parameter file asks for and accepts.
ASKED = ("spec.job.Limits", "spec.machine.Machine", "spec.machine.Waiver")
LET_THROUGH = {("checks", name) for name in ASKED}
KERNEL = {"cadquery", "OCP", "trimesh", "fcl", "manifold3d"}
NUMERIC = {"scipy", "shapely"}  # outside the heavy rooms only inside the functions that need them
HEAVY = KERNEL | NUMERIC
HEAVY_ROOMS = ("solids/", "checks/solid/", "export/")
# Loaded by the functions that route and choose drillings, with the libraries of numbers; no kernel there either.
NUMBERS = ("layout/routing/", "layout/galleries/")


def files() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def imported(path: Path) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Line and full dotted path of every import, those inside functions and for typing included."""
    here = ("rillwright", *path.relative_to(PACKAGE).parts[:-1])
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, tuple(a.name.split("."))) for a in node.names)
        elif isinstance(node, ast.ImportFrom):
            start = here[: len(here) - node.level + 1] if node.level else ()
            base = (*start, *(node.module.split(".") if node.module else ()))
            yield from ((node.lineno, (*base, a.name)) for a in node.names)


def room_of(path: Path) -> str:
    parts = path.relative_to(PACKAGE).parts
    return parts[0] if len(parts) > 1 else ""


def trespasses(path: Path) -> list[str]:
    """Imports of a room that this file's room may not see; top-level modules are seen by none but each other."""
    room, out = room_of(path), []
    for line, (top, *rest) in imported(path):
        target = rest[0] if rest else ""
        if top != "rillwright" or not room or target in (room, "__version__", ""):
            continue
        if target not in MAY_IMPORT[room] and (room, ".".join(rest)) not in LET_THROUGH:
            out.append(f"{path.relative_to(PACKAGE)}:{line}: {room} may not import {'.'.join(rest)}")
    return out


def test_every_room_is_in_the_table() -> None:
    rooms = {p.parent.name for p in PACKAGE.glob("*/__init__.py")}
    assert rooms == set(MAY_IMPORT)


@pytest.mark.parametrize("path", files(), ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_rooms_import_only_what_the_table_allows(path: Path) -> None:
    assert trespasses(path) == []


def test_the_walk_sees_an_import_of_every_form(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    source = (
        "from .. import layout\nfrom ..layout.features import Feature\nimport rillwright.solids.build\n"
        "def f():\n    from rillwright.checks import rules\nfrom ..pipeline import build\n"
        "from . import glands\nfrom .. import __version__\n"
    )
    (tmp_path / "standards").mkdir()
    path = tmp_path / "standards" / "bad.py"
    path.write_text(source, encoding="utf-8")
    monkeypatch.setitem(globals(), "PACKAGE", tmp_path)
    assert [t.split(":")[1] for t in trespasses(path)] == ["1", "2", "3", "6", "5"]


def test_heavy_packages_are_imported_in_their_rooms_only() -> None:
    strays = [
        f"{name}:{line} {target[0]}"
        for path in files()
        if not (name := path.relative_to(PACKAGE).as_posix()).startswith(HEAVY_ROOMS)
        for line, target in imported(path)
        if target[0] in KERNEL
    ]
    assert strays == []


def at_the_top(path: Path) -> set[str]:
    """Our modules that a file names outside of functions, those for typing included."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    guarded = [n for i in tree.body if isinstance(i, ast.If) for n in i.body]
    lines = {n.lineno for n in (*tree.body, *guarded) if isinstance(n, ast.Import | ast.ImportFrom)}
    named = [".".join(target) for line, target in imported(path) if line in lines]
    return {n if n in MODULES else n.rpartition(".")[0] for n in named} & MODULES


def dotted(path: Path) -> str:
    return ".".join(("rillwright", *path.relative_to(PACKAGE).with_suffix("").parts)).removesuffix(".__init__")


MODULES = {dotted(p) for p in files()}


def test_no_module_imports_in_a_circle() -> None:
    needs = {dotted(p): at_the_top(p) for p in files()}
    assert sum(map(len, needs.values())) > 500
    while needs:  # what needs none of the others, or is needed by none, stands in no circle
        asked = {w for n, wanted in needs.items() for w in wanted - {n}}
        free = {n for n, wanted in needs.items() if n not in asked or not wanted & needs.keys() - {n}}
        assert free, sorted(needs)
        needs = {n: wanted for n, wanted in needs.items() if n not in free}


def loaded(code: str, *arguments: str) -> set[str]:
    """Top-level packages that are loaded after a piece of code has run in a fresh interpreter."""
    tail = "import sys, json; print('\\n' + json.dumps(sorted({m.split('.')[0] for m in sys.modules})))"
    path = os.pathsep.join([str(PACKAGE.parent), os.environ.get("PYTHONPATH", "")])
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\n{tail}", *arguments],
        capture_output=True, text=True, check=True, timeout=60, env={**os.environ, "PYTHONPATH": path},
    )  # fmt: skip
    return set(json.loads(done.stdout.splitlines()[-1]))


RUN = """
import sys
from rillwright.cli import main
try:
    code = main(sys.argv[1:])
except SystemExit as end:
    code = end.code
assert code == 0, code
"""


@pytest.mark.parametrize("code", ["import rillwright.cli", "import rillwright.pipeline", "import rillwright.terminal"])
def test_importing_the_words_loads_no_kernel(code: str) -> None:
    assert loaded(code) & HEAVY == set()


@pytest.mark.parametrize("arguments", [["--help"], ["build", "--help"], ["--version"], ["explain"]])
def test_help_loads_no_models_either(arguments: list[str]) -> None:
    assert loaded(RUN, *arguments) & (HEAVY | {"pydantic", "ruamel", "numpy"}) == set()


@pytest.mark.parametrize("arguments", [["schema"], ["check", str(STARTER)], ["explain", "wall.loops"]])
def test_commands_without_solids_load_no_kernel(arguments: list[str]) -> None:
    assert loaded(RUN, *arguments) & HEAVY == set()


def test_modules_outside_the_heavy_rooms_load_no_kernel() -> None:
    names = [
        ".".join(("rillwright", *path.relative_to(PACKAGE).with_suffix("").parts)).removesuffix(".__init__")
        for path in files()
        if path.name != "__main__.py" and not path.relative_to(PACKAGE).as_posix().startswith((*HEAVY_ROOMS, *NUMBERS))
    ]
    assert len(names) > 20
    assert loaded("\n".join(f"import {n}" for n in names)) & HEAVY == set()
