"""Binary STL."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from .placed import ascii_name

if TYPE_CHECKING:
    from ..solids.meshing import Mesh

# Facet record of the binary StereoLithography format (3D Systems, 1989): 50 bytes, little endian, no padding.
_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
_HEADER_BYTES = 80


def stl_bytes(mesh: Mesh, name: str) -> bytes:
    """Binary STL of a mesh in mm: same mesh and name, same bytes.

    The format knows no unit, so the 80-byte header says `mm` beside the name; a name too long for it is cut.
    A triangle without area gets the normal (0, 0, 0), which the format leaves to the reader to compute.
    Raises ValueError for a name that cannot be written in ASCII.
    """
    facets = np.zeros(len(mesh.triangles), _FACET)
    corners = mesh.vertices[mesh.triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    np.divide(normals, lengths, out=normals, where=lengths > 0)
    facets["normal"] = normals
    facets["corners"] = corners
    return _header(name) + len(facets).to_bytes(4, "little") + facets.tobytes()


def _header(name: str) -> bytes:
    """80 ASCII bytes. They must not begin with `solid`, by which readers tell the text form."""
    before, after = "rillwright, plate ", ", unit mm"
    room = _HEADER_BYTES - len(before) - len(after)
    return f"{before}{ascii_name(name)[:room]}{after}".ljust(_HEADER_BYTES).encode("ascii")
