"""The manifest names what was made from what; JSON is stable and strict."""

from __future__ import annotations

import hashlib
import json
import math
import platform
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import numpy as np
import pytest

import rillwright
from rillwright.export import manifest as module
from rillwright.export.manifest import manifest, write_json


def test_contents(tmp_path: Path) -> None:
    source = tmp_path / "elsewhere" / "job.yaml"
    source.parent.mkdir()
    source.write_bytes(b"abc")
    out = tmp_path / "out"
    (out / "stl").mkdir(parents=True)
    (out / "stl" / "upper.stl").write_bytes(b"")
    (out / "a.step").write_bytes(b"abc")
    (out / "manifest.json").write_text("old")
    # FIPS 180-2, appendix B.1: SHA-256 of "abc"
    abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert manifest("twin", source, out) == {
        "job": "twin",
        "input": {"name": "job.yaml", "sha256": abc},
        "versions": {
            "rillwright": rillwright.__version__,
            "cadquery": version("cadquery"),
            "OCP": version("cadquery-ocp"),
            "python": platform.python_version(),
        },
        "files": [
            {"name": "a.step", "bytes": 3, "sha256": abc},
            {"name": "stl/upper.stl", "bytes": 0, "sha256": hashlib.sha256(b"").hexdigest()},
        ],
    }


def test_missing_package_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_KERNEL_PACKAGES", ("no-such-package-here",))
    assert module.versions()["OCP"] is None


def test_json_is_stable_and_readable(tmp_path: Path) -> None:
    write_json(tmp_path / "a.json", {"b": 1, "a": "Ø 4 µm", "c": [1.5, np.float64(0.1)]})
    data = (tmp_path / "a.json").read_bytes()
    assert data.decode("utf-8") == '{\n  "a": "Ø 4 µm",\n  "b": 1,\n  "c": [\n    1.5,\n    0.1\n  ]\n}\n'
    write_json(tmp_path / "b.json", {"c": [1.5, 0.1], "a": "Ø 4 µm", "b": 1})
    assert (tmp_path / "b.json").read_bytes() == data
    assert json.loads(data)["a"] == "Ø 4 µm"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, np.float64("nan")])
def test_numbers_that_are_none_are_refused_with_their_place(tmp_path: Path, value: float) -> None:
    with pytest.raises(ValueError, match=r"a\.json: checks\[1\]\.measured is -?(nan|inf)"):
        write_json(tmp_path / "a.json", {"checks": [{"measured": 1.0}, {"measured": value}]})
    assert not (tmp_path / "a.json").exists()


def test_no_kernel_is_loaded() -> None:
    """What the command line needs before any solid must not cost the kernel's two seconds."""
    names = ["errors", "folder", "glb", "lock", "manifest", "placed", "stl", "swap"]
    code = "import sys\n" + "\n".join(f"import rillwright.export.{n}" for n in names)
    code += "\nassert not {'cadquery', 'OCP'} & set(sys.modules), sorted(sys.modules)"
    env = {"PYTHONPATH": str(Path(rillwright.__file__).parents[1])}
    subprocess.run([sys.executable, "-c", code], check=True, env=env)
