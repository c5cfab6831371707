"""Results appear whole or not at all, whatever happens to the run."""

from __future__ import annotations

import errno
import os
import signal
import sys
from pathlib import Path

import pytest
from runs import beside, child, contents, failing, fill, made, posix_only

from rillwright.export import folder, swap
from rillwright.export.errors import OutputError
from rillwright.export.folder import staged


@pytest.fixture(params=["exchange", "two renames"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both ways to put a folder in place: the system's exchange, and without it."""
    if request.param == "two renames":
        monkeypatch.setattr(swap, "exchange", lambda *_: False)
    return str(request.param)


def test_written_beside_then_moved(tmp_path: Path) -> None:
    out = tmp_path / "deep" / "x"
    with staged(out) as new:
        assert new.parent == out.parent
        assert new.name.startswith(".")
        assert not out.exists()
        fill(new, "first")
    assert contents(out)["deep/report.html"] == "first"
    assert beside(out) == []


@pytest.mark.usefixtures("way")
def test_replaces_whole_and_leaves_nothing(tmp_path: Path) -> None:
    out = tmp_path / "x"
    with staged(out) as new:
        fill(new, "first", "gone-later.stl")
    out.chmod(0o750)
    with staged(out) as new:
        fill(new, "second")
        assert contents(out)["plate.stl"] == "first"
    assert set(contents(out)) == {"plate.stl", "deep/report.html", "manifest.json"}
    assert contents(out)["plate.stl"] == "second"
    assert out.stat().st_mode & 0o777 == 0o750
    assert beside(out) == []


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="renameat2 is Linux")
def test_exchange_swaps_in_one_step(tmp_path: Path) -> None:
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        (tmp_path / name / name).touch()
    if not swap.exchange(tmp_path / "a", tmp_path / "b"):
        pytest.skip("this file system cannot exchange folders")
    assert (tmp_path / "a" / "b").exists()
    assert (tmp_path / "b" / "a").exists()


@pytest.mark.usefixtures("way")
@pytest.mark.parametrize(
    "error", [ValueError("bad"), KeyboardInterrupt(), SystemExit(3), FileNotFoundError(2, "x")]
)
def test_any_exception_leaves_the_former_results(tmp_path: Path, error: BaseException) -> None:
    before = contents(made(tmp_path / "x", "first"))
    with pytest.raises(type(error)) as caught:
        failing(tmp_path / "x", error)
    assert caught.value is error
    assert contents(tmp_path / "x") == before
    assert beside(tmp_path / "x") == []


@posix_only
def test_killed_in_mid_write(tmp_path: Path) -> None:
    before = contents(made(tmp_path / "x", "first"))
    code = """
        with staged(out) as new:
            (new / "plate.stl").write_text("half")
            os.kill(os.getpid(), signal.SIGKILL)
    """
    with child(code, tmp_path / "x") as process:
        assert process.wait(30) == -signal.SIGKILL
    assert contents(tmp_path / "x") == before
    assert len(beside(tmp_path / "x")) == 2, "the unfinished folder and the lock file are still there"
    assert contents(made(tmp_path / "x", "second"))["plate.stl"] == "second"
    assert beside(tmp_path / "x") == []


@posix_only
def test_killed_between_the_two_renames(tmp_path: Path) -> None:
    """Without the exchange there is a moment with no folder; the next run puts the old one back."""
    out = tmp_path / "x"
    before = contents(made(out, "first"))
    code = """
        swap.exchange = lambda *_: False
        rename, done = Path.rename, []
        def once(self, target):
            if done:
                os.kill(os.getpid(), signal.SIGKILL)
            done.append(rename(self, target))
        Path.rename = once
        with staged(out) as new:
            fill(new, "second")
    """
    with child(code, out) as process:
        assert process.wait(30) == -signal.SIGKILL
    assert not out.exists()
    with pytest.raises(ValueError, match="later"):
        failing(out, ValueError("later"))
    assert contents(out) == before
    assert beside(out) == []


def test_failing_second_rename_puts_the_old_folder_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "x"
    before = contents(made(out, "first"))
    monkeypatch.setattr(swap, "exchange", lambda *_: False)
    rename = Path.rename

    def refuse(self: Path, target: Path) -> Path:
        if ".new-" in self.name:
            raise PermissionError(errno.EACCES, "Permission denied", str(self))
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(OutputError, match="check the path and the permissions"), staged(out) as new:
        fill(new, "second")
    assert contents(out) == before
    assert beside(out) == []


@posix_only
def test_two_runs_at_once(tmp_path: Path) -> None:
    out = tmp_path / "x"
    made(out, "first")
    code = """
        with staged(out) as new:
            fill(new, "theirs")
            print("in", flush=True)
            sys.stdin.readline()
    """
    with child(code, out) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "in\n"
        with (
            pytest.raises(OutputError, match=rf"another run \(process {process.pid}\) is writing to"),
            staged(out),
        ):
            pytest.fail("the second run was let in")
        made(tmp_path / "y", "another folder is free")
        process.communicate("\n", timeout=30)
    assert contents(out)["plate.stl"] == "theirs"
    assert contents(made(out, "mine"))["plate.stl"] == "mine"
    assert beside(out) == ["y"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_full_disk_while_writing(tmp_path: Path) -> None:
    before = contents(made(tmp_path / "x", "first"))

    def run() -> None:
        with staged(tmp_path / "x") as new:
            fill(new, "second")
            Path("/dev/full").write_bytes(b"x" * 100)

    with pytest.raises(OutputError, match=r"full \(\d+ MB free\); make room"):
        run()
    assert contents(tmp_path / "x") == before
    assert beside(tmp_path / "x") == []


def test_full_disk_found_only_at_the_end(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = contents(made(tmp_path / "x", "first"))

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match="disk or quota is full"), staged(tmp_path / "x") as new:
        fill(new, "second")
    assert contents(tmp_path / "x") == before
    assert beside(tmp_path / "x") == []


def test_everything_is_on_the_disk_before_the_swap(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    events: list[str] = []
    sync, put = os.fsync, folder.put_in_place
    monkeypatch.setattr(os, "fsync", lambda handle: (events.append("sync"), sync(handle))[1])
    monkeypatch.setattr(folder, "put_in_place", lambda *a: (events.append("swap"), put(*a))[1])
    made(tmp_path / "x", "first")
    assert events == ["sync"] * 5 + ["swap", "sync"]  # 3 files, 2 folders; then the parent
