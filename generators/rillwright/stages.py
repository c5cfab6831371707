"""Solids, meshes and bought parts of a job, made or found again when they are first asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, overload

from .keeper import Keeper
from .layout.features import Hardware, PlateLayout
from .layout.job_layout import JobLayout

if TYPE_CHECKING:
    from .solids.meshing import Mesh

Say = Callable[[str], None]


class Plates:
    """Solid (part frame) and mesh of each plate. `deflection`: of the meshes, mm."""

    def __init__(self, layout: JobLayout, deflection: float, keeper: Keeper, say: Say) -> None:
        self.layout, self.deflection, self.keeper, self.say = layout, deflection, keeper, say
        self.plates = {p.name: p for p in layout.plates}
        self._had: dict[str, tuple[Any, Mesh]] = {}

    def of(self, name: str) -> tuple[Any, Mesh]:
        """Both; raises GeometryError or MeshError."""
        if name not in self._had:
            self._had[name] = self._kept(self.plates[name])
        return self._had[name]

    def _kept(self, plate: PlateLayout) -> tuple[Any, Mesh]:
        from .solids.keep import packed, unpacked

        parts = plate_key(plate, self.deflection)
        data = self.keeper.find(parts)
        if data is not None:
            return unpacked(data)
        made = self._made(plate)
        self.keeper.keep(parts, packed(*made) if self.keeper.store.folder is not None else b"")
        return made

    def _made(self, plate: PlateLayout) -> tuple[Any, Mesh]:
        from .solids.build import plate_solid
        from .solids.meshing import mesh

        count = len(plate.features) + len(plate.pockets)
        self.say(f"{self.layout.name}: cutting plate {plate.name} ({count} features)")
        solid = plate_solid(plate)
        return solid, mesh(solid, self.deflection)

    @property
    def solids(self) -> Mapping[str, Any]:
        return _View(self, 0)

    @property
    def meshes(self) -> Mapping[str, Mesh]:
        return _View(self, 1)


def plate_key(plate: PlateLayout, deflection: float) -> tuple[Any, ...]:
    """All that a plate's solid and mesh depend on."""
    return ("plate", plate, deflection)


class _View(Mapping[str, Any]):
    """Half of what `Plates` holds."""

    def __init__(self, plates: Plates, which: int) -> None:
        self._plates, self._which = plates, which

    def __getitem__(self, name: str) -> Any:
        return self._plates.of(name)[self._which]

    def __iter__(self) -> Iterator[str]:
        return iter(self._plates.plates)

    def __len__(self) -> int:
        return len(self._plates.plates)


class Bought(Sequence[tuple[Hardware, Any]]):
    """Bought parts with their solids in the frame of the assembly."""

    def __init__(self, parts: Sequence[Hardware]) -> None:
        self._parts = parts
        self._had: list[tuple[Hardware, Any]] | None = None

    def _all(self) -> list[tuple[Hardware, Any]]:
        if self._had is None:
            from .solids.build import hardware_solid

            self._had = [(part, hardware_solid(part)) for part in self._parts]
        return self._had

    @overload
    def __getitem__(self, index: int) -> tuple[Hardware, Any]: ...
    @overload
    def __getitem__(self, index: slice) -> list[tuple[Hardware, Any]]: ...
    def __getitem__(self, index: int | slice) -> Any:
        return self._all()[index]

    def __len__(self) -> int:
        return len(self._parts)
