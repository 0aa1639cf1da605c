"""What a part of a shower needs to know of the tiles it is laid with."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from cutopt.documents.job_tile import JobTile
from cutopt.documents.laying import Bond, Start
from cutopt.documents.shower import Laying
from cutopt.documents.surface import Edge, Surface
from cutopt.documents.unfold.corner import Build

#: A surface with its JSON pointer.
Placed = tuple[str, Surface]


@dataclass(frozen=True, slots=True)
class Trade:
    """The tiles of a job by name, and the bed they are set in."""

    tiles: Mapping[str, JobTile]
    bed: int

    def tile(self, name: str | None) -> JobTile:
        """Return a tile by name; a single tile needs none."""
        return self.tiles[name] if name is not None else next(iter(self.tiles.values()))

    def build(self, name: str | None, joint: int) -> Build:
        """Return a tile on its bed; a tile of unknown thickness counts as thin as nothing."""
        return Build(self.tile(name).thickness or 0, self.bed, joint)


@dataclass(frozen=True, slots=True)
class Style:
    """How one surface of a part is laid: tile, joint, bond, start, all decided."""

    tile: str | None
    joint: int
    bond: Bond
    start: Start | None

    @classmethod
    def of(cls, laying: Laying, tile: str | None, joint: int) -> "Style":
        """Return a laying with what it leaves out taken from the surface round it."""
        return cls(laying.tile or tile, laying.joint or joint, laying.bond or Bond(), laying.start)

    @property
    def is_level(self) -> bool:
        """Tell whether a start can be chosen for it: level courses that run along the strip."""
        kinds = ("stack", "running")
        return self.start is None and self.bond.angle == 0 and self.bond.kind in kinds

    def surface(self, mark: str, title: str, shape: dict[str, Any], start: Start) -> Surface:
        """Return a surface laid so; the start is for level courses that have none."""
        edges: dict[str, Edge] = shape["edges"]
        return Surface(
            id=mark,
            title=title,
            tile=self.tile,
            joint=self.joint,
            bond=self.bond,
            start=start if self.is_level else self.start,
            **{**shape, "edges": edges},
        )
