"""A real browser on real reports. Without Chromium or npm its tests are left out, save in CI, where they must run."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NoReturn

import pytest

PARAMS = Path(__file__).parents[3] / "params"
SOFTWARE_GL = ["--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist"]
VIEWER = Path(__file__).parents[3] / "generators" / "rillwright" / "export" / "report" / "viewer"
BUILT_WITH = json.loads((VIEWER / "package.json").read_text(encoding="utf-8"))["devDependencies"]
NODE_PACKAGES = ("axe-core@4.14.1", "gltf-validator@2.0.0-dev.3.10", *(f"{n}@{v}" for n, v in BUILT_WITH.items()))


# What npm says where a network keeps it from its registry.
UNREACHED = ("SELF_SIGNED_CERT", "UNABLE_TO_", "CERT_", "ENOTFOUND", "EAI_AGAIN", "ECONN", "ETIMEDOUT", "E403", "E503")


def _missing(what: str) -> NoReturn:
    """Left out at home, a failure where CI runs: a test that silently never runs proves nothing."""
    if os.environ.get("CI"):
        pytest.fail(f"{what} is missing; .ci/run has to install it")
    pytest.skip(f"{what} is not installed here")


@pytest.fixture(scope="session")
def reports(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """The folder with the report of a shipped job, built when first asked for."""
    from rillwright.pipeline import build

    made: dict[str, Path] = {}

    def of(job: str) -> Path:
        if job not in made:
            made[job] = tmp_path_factory.mktemp("report") / job
            build(PARAMS / f"{job}.yaml", made[job], only=("report",))
        return made[job]

    return of


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Headless Chromium of the system, drawing in software."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        _missing("playwright")
    path = next((p for n in ("chromium", "chromium-browser", "google-chrome") if (p := shutil.which(n))), None)
    if path is None:
        _missing("Chromium")
    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=path, args=SOFTWARE_GL, chromium_sandbox=False)
        yield started
        started.close()


class Opened:
    """A page with everything that it complained of and everything that it asked for."""

    def __init__(self, page: Any, file: Path) -> None:
        self.page = page
        self.complaints: list[str] = []
        self.requests: list[str] = []
        page.on("console", lambda m: self.complaints.append(m.text) if m.type in ("error", "warning") else None)
        page.on("pageerror", lambda e: self.complaints.append(str(e)))
        page.on("request", lambda r: self.requests.append(r.url))
        page.emulate_media(reduced_motion="reduce")
        page.goto(file.as_uri())
        page.wait_for_selector("#stage-view[data-state]", timeout=60_000)

    @property
    def eye(self) -> str:
        """Where the camera stands, once what was asked for is drawn."""
        self.settle()
        return str(self.page.get_attribute("#stage-view", "data-eye"))

    def settle(self) -> None:
        """Wait for two frames: one that draws, one after it."""
        self.page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")

    def pixels(self) -> str:
        """Hash of the stage as it is drawn, without marks and words on it."""
        self.settle()
        data: str = self.page.evaluate("() => document.querySelector('#stage-view canvas').toDataURL('image/png')")
        return hashlib.sha256(data.encode()).hexdigest()


@pytest.fixture
def opened(browser: Any, reports: Callable[[str], Path]) -> Iterator[Callable[..., Opened]]:
    """A page on the report of a job, in a window of a size."""
    contexts: list[Any] = []

    def open_(job: str = "studio-twin", width: int = 1200, height: int = 800, file: Path | None = None) -> Opened:
        context = browser.new_context(viewport={"width": width, "height": height})
        contexts.append(context)
        return Opened(context.new_page(), file or reports(job) / "report.html")

    yield open_
    for context in contexts:
        context.close()


@pytest.fixture(scope="session")
def node_packages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The pinned test tools from npm, in a folder of their own."""
    npm = shutil.which("npm")
    if npm is None or shutil.which("node") is None:
        _missing("npm")
    folder = tmp_path_factory.mktemp("npm")
    command = [npm, "install", "--prefix", str(folder), "--no-save", "--no-package-lock", "--no-audit", "--no-fund"]
    done = subprocess.run([*command, "--ignore-scripts", *NODE_PACKAGES], capture_output=True, text=True, check=False)
    if done.returncode and any(word in done.stderr for word in UNREACHED):
        # Nothing that .ci/run installs could cure it; a word in the summary is all that can be said of it.
        pytest.skip(f"the npm registry could not be reached ({done.stderr.strip()[:160]})")
    if done.returncode:
        _missing(f"{' and '.join(NODE_PACKAGES)} (npm said: {done.stderr.strip()[-300:]})")
    return folder / "node_modules"
