"""STEP assembly files: AP214, millimetres, with names and colours."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from typing import Any

import cadquery as cq
from cadquery.occ_impl.assembly import toCAF
from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.TCollection import TCollection_ExtendedString, TCollection_HAsciiString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.XCAFDoc import XCAFDoc_ShapeTool
from OCP.XSControl import XSControl_WorkSession

from .. import __version__
from ..solids.build import in_machine
from ..solids.quiet import silent
from .errors import OutputError
from .placed import Placed, ascii_name, with_material

# AP214 in the kernel's spelling; the rest says: mm inside and outside, curves on surfaces written out.
_SETTINGS = {
    "write.step.schema": "AP214IS",
    "write.step.unit": "MM",
    "xstep.cascade.unit": "MM",
    "write.surfacecurve.mode": "1",
    "write.precision.mode": "0",
}


def write_step(path: Path, name: str, parts: Sequence[Placed]) -> None:
    """Write the parts as one STEP assembly called `name`.

    Parts of equal shape, colour and material become one product that is placed many times.
    Raises ValueError for no parts, equal names or names that cannot be written in ASCII; OutputError where
    the kernel refuses a shape; OSError where the disk does.
    """
    text = step_bytes(name, parts)
    # The kernel's own file writing reports success on a full disk; Python's does not.
    path.write_bytes(text)


def step_bytes(name: str, parts: Sequence[Placed]) -> bytes:
    """Contents of the STEP file that `write_step` writes; raises as it does, but for OSError."""
    assembly = _assembly(ascii_name(name), parts)
    stream = BytesIO()
    writer: Any = STEPCAFControl_Writer(XSControl_WorkSession(), False)  # the settings exist once this does
    with silent(), _settings(_SETTINGS):
        top, document = toCAF(assembly, True)
        _name_products(top, parts)
        writer.SetColorMode(True)
        writer.SetNameMode(True)
        done = writer.Transfer(document)
        if done:
            _head(writer.ChangeWriter().Model(), ascii_name(name))
            done = writer.WriteStream(stream) == IFSelect_ReturnStatus.IFSelect_RetDone
    if not done or not stream.getvalue().rstrip().endswith(b"END-ISO-10303-21;"):
        raise OutputError(
            f"the CAD kernel could not write '{name}' as STEP; check that each part is a valid solid"
        )
    return stream.getvalue()


def _assembly(name: str, parts: Sequence[Placed]) -> Any:
    """CadQuery assembly with one flat level of parts, in the order given."""
    assembly: Any = cq.Assembly(name=name)
    shapes: dict[tuple[Any, str, str], Any] = {}
    taken: set[Any] = set()
    for part, label in zip(parts, _labels(parts), strict=True):
        # CadQuery tells products apart by shape and colour alone; another material needs a shape of its own.
        key = (part.shape, part.material, part.product)
        if key not in shapes:
            shapes[key] = part.shape.copy() if part.shape in taken else part.shape
            taken.add(part.shape)
        shape = shapes[key]
        place = in_machine(part.stance) * cq.Location(cq.Vector(0, 0, part.offset))
        assembly.add(shape, name=label, loc=place, color=cq.Color(*part.colour))
    return assembly


def _name_products(top: Any, parts: Sequence[Placed]) -> None:
    """Give the shared shapes their product names, where parts have one; the places keep the parts' names."""
    components = TDF_LabelSequence()
    XCAFDoc_ShapeTool.GetComponents_s(top, components)
    for part, component in zip(parts, components, strict=True):
        if part.product:
            product = TDF_Label()
            XCAFDoc_ShapeTool.GetReferredShape_s(component, product)
            name = ascii_name(with_material(part.product, part.material))
            TDataStd_Name.Set_s(product, TCollection_ExtendedString(name))


def _labels(parts: Sequence[Placed]) -> list[str]:
    """ASCII names with materials; readers lose parts of equal names, so they are refused."""
    if not parts:
        raise ValueError("a STEP assembly needs at least one part (got none)")
    labels = [ascii_name(part.label) for part in parts]
    twice = [label for label, count in Counter(labels).items() if count > 1]
    if twice:
        names = ", ".join(repr(p.name) for p, label in zip(parts, labels, strict=True) if label in twice)
        raise ValueError(f"parts must have different names once written in ASCII (got {names})")
    return labels


def _head(model: Any, name: str) -> None:
    """Put our own name into the file's header instead of the kernel's placeholders."""
    header: Any = APIHeaderSection_MakeHeader(model)
    header.SetName(TCollection_HAsciiString(f"{name}.step"))
    header.SetAuthorValue(1, TCollection_HAsciiString(""))
    header.SetOrganizationValue(1, TCollection_HAsciiString(""))
    header.SetOriginatingSystem(TCollection_HAsciiString(f"rillwright {__version__}"))
    header.SetDescriptionValue(1, TCollection_HAsciiString(f"{name}, assembly in mm"))


@contextmanager
def _settings(wanted: dict[str, str]) -> Iterator[None]:
    """Set the kernel's process-wide STEP settings, and put back what was there."""
    before = {key: Interface_Static.CVal_s(key) for key in wanted}
    try:
        for key, value in wanted.items():
            if not Interface_Static.SetCVal_s(key, value):
                raise OutputError(f"the CAD kernel does not take {key} = {value}; install a supported one")
        yield
    finally:
        for key, value in before.items():
            Interface_Static.SetCVal_s(key, value)
