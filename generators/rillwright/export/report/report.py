"""`report.html`: gathers what stands on the stage and in the document, and writes the one file."""

from __future__ import annotations

from typing import Any

from ... import __version__
from ...checks.finding import Finding
from ...layout.job_layout import JobLayout
from ..bundle import Bundle
from .coolant import coolants
from .faces_table import faces
from .flow_page import flow_and_air
from .flow_places import flow_places
from .lists import bought, cautions, cords, volumes
from .markup import Markup, el
from .model import model_bytes
from .nets_picture import nets
from .page import VIEWER, page
from .places import Mark, finding_mark, joint_marks, mouth_centres
from .scene import parts, plate_mesh
from .seal_bars import seals
from .stage import parts_list, stage
from .swatch import definitions, swatch
from .tightening import tightening
from .tints import hatch_of
from .verdict import SIGNS, findings, rules_table, verdict

NAME = "report.html"


def write_report(bundle: Bundle) -> None:
    """Write the report into the bundle's folder; raises ValueError for a bundle without the checks' result."""
    (bundle.folder / NAME).write_text(report(bundle), encoding="utf-8")


def prepare(bundle: Bundle) -> None:
    """Make what needs no answer of the checks and keep it: the plates as the stage shows them."""
    for plate in bundle.layout.plates:
        plate_mesh(bundle, plate)


def report(bundle: Bundle) -> str:
    """The report as one HTML file. Same bundle, same text."""
    if bundle.result is None:
        raise ValueError("the report tells what the checks found (got a bundle without their result)")
    layout, result = bundle.layout, bundle.result
    shown = parts(bundle, coolants(layout, bundle.solids, bundle.job.output.deflection))
    marks = {i: m for i, f in enumerate(result.findings, 1) if (m := finding_mark(layout, f)) is not None}
    joints = joint_marks(layout)
    runs = flow_places(layout, result)
    document = [
        _head(layout),
        definitions(layout),
        verdict(result),
        el(
            "main",
            stage(runs.poses),
            el(
                "article",
                findings(result.findings, set(marks)),
                parts_list(layout, shown),
                flow_and_air(layout, result),
                seals([*result.seals, *result.glands], bundle.job.limits),
                faces(result.faces),
                tightening(layout, result.clamping),
                nets(layout, result.nets),
                volumes(result.nets),
                cords(layout, joints),
                bought(layout),
                cautions(result.clamping),
                rules_table(result.outcomes),
            ),
        ),
        _foot(),
    ]
    facts = {
        "loops": {name: {"hatch": hatch_of(layout, name)} for name in layout.loops},
        "marks": [*_finding_marks(result.findings, marks), *_joint_marks(layout, joints), *runs.marks],
        **runs.facts(),
        "mouths": mouth_centres(layout),
    }
    return page(f"{layout.name}: report", Markup("".join(document)), facts, model_bytes(layout.name, shown))


def _head(layout: JobLayout) -> Markup:
    loops = [el("li", swatch(layout, n), n) for n in layout.loops]
    count = len(layout.plates)
    told = f"{count} {'plate' if count == 1 else 'plates'}: {', '.join(p.name for p in layout.plates)}"
    return el(
        "header",
        el("p", "Job", class_="over"),
        el("h1", layout.name),
        el("p", told),
        el("ul", loops, class_="loops", aria_label="Loops"),
    )


def _foot() -> Markup:
    licence = (VIEWER / "three-LICENSE.txt").read_text(encoding="utf-8")
    return el(
        "footer",
        el("p", f"Made by rillwright {__version__}. Lengths in mm."),
        el("details", el("summary", "Licence of three.js, which draws the parts"), el("pre", licence)),
    )


def _finding_marks(found: tuple[Finding, ...], marks: dict[int, Mark]) -> list[dict[str, Any]]:
    return [
        {
            "key": f"finding-{i}",
            "group": "findings",
            "kind": "waived" if f.waived else f.severity,
            "sign": str(i),
            "at": marks[i].at,
            "parts": marks[i].parts,
            "label": _label(i, f),
        }
        for i, f in enumerate(found, 1)
        if i in marks
    ]


def _label(number: int, f: Finding) -> str:
    return f"Finding {number} {SIGNS[f.severity]} {f.rule}: {', '.join((f.plate, *f.features))}"


def _joint_marks(layout: JobLayout, joints: list[Mark]) -> list[dict[str, Any]]:
    return [
        {
            "key": m.key,
            "group": "joints",
            "kind": "joint",
            "sign": "J",
            "at": m.at,
            "parts": m.parts,
            "label": f"Joint of {r.seal} in {r.plate}, beside {r.beside}",
        }
        for m, r in zip(joints, layout.rings, strict=True)
    ]
