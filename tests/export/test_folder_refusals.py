"""Only what an earlier run wrote is ever replaced."""

from __future__ import annotations

from pathlib import Path

import pytest
from runs import beside, contents, fill, made, posix_only

from rillwright.export.errors import OutputError
from rillwright.export.folder import staged


def test_foreign_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "x").mkdir()
    (tmp_path / "x" / "thesis.txt").write_text("years")
    with pytest.raises(OutputError, match=r"no manifest\.json"), staged(tmp_path / "x"):
        pytest.fail("let in")
    assert contents(tmp_path / "x") == {"thesis.txt": "years"}
    assert beside(tmp_path / "x") == []


def test_own_work_among_results_is_refused(tmp_path: Path) -> None:
    out = made(tmp_path / "x", "first")
    (out / ".DS_Store").touch()
    made(out, "second")
    (out / "toolpaths.nc").write_text("a day's work")
    with pytest.raises(OutputError, match=r"toolpaths\.nc.*move them"), staged(out):
        pytest.fail("let in")
    assert contents(out)["toolpaths.nc"] == "a day's work"


def test_work_put_there_during_the_run_is_not_lost(tmp_path: Path) -> None:
    out = made(tmp_path / "x", "first")

    def run() -> None:
        with staged(out) as new:
            fill(new, "second")
            (out / "notes.txt").touch()

    with pytest.raises(OutputError, match=r"notes\.txt"):
        run()
    assert contents(out)["plate.stl"] == "first"


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"files": [1]}'])
def test_somebody_elses_manifest_is_refused(tmp_path: Path, text: str) -> None:
    (tmp_path / "x").mkdir()
    (tmp_path / "x" / "manifest.json").write_text(text)
    with pytest.raises(OutputError, match="does not list the files"), staged(tmp_path / "x"):
        pytest.fail("let in")


def test_empty_folder_is_taken_and_a_file_is_not(tmp_path: Path) -> None:
    (tmp_path / "x").mkdir()
    made(tmp_path / "x", "first")
    (tmp_path / "f").touch()
    with pytest.raises(OutputError, match="is a file"), staged(tmp_path / "f"):
        pytest.fail("let in")
    with pytest.raises(OutputError, match="cannot be a folder for results"), staged(Path(tmp_path.anchor)):
        pytest.fail("let in")


@pytest.mark.parametrize(
    ("late", "named"), [(True, "does not list late.txt"), (False, "no manifest.json was")]
)
def test_block_must_leave_a_whole_manifest(tmp_path: Path, late: bool, named: str) -> None:
    def run() -> None:
        with staged(tmp_path / "x") as new:
            if late:
                fill(new, "first")
            (new / "late.txt").touch()

    with pytest.raises(OutputError, match=named):
        run()
    assert not (tmp_path / "x").exists()


@posix_only
def test_a_link_is_followed(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "x").symlink_to(tmp_path / "real")
    made(tmp_path / "x", "first")
    assert (tmp_path / "x").is_symlink()
    assert contents(tmp_path / "real")["plate.stl"] == "first"


def test_only_leftovers_of_this_folder_are_cleared(tmp_path: Path) -> None:
    names = [".x.new-1-0123abcd", ".xx.new-1-0123abcd", ".x.new-mine", "x.new-1-0123abcd"]
    for name in names:
        (tmp_path / name).mkdir()
    made(tmp_path / "x", "first")
    assert beside(tmp_path / "x") == sorted(names[1:])
