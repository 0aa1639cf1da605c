"""The tiling job: rooms, their measured surfaces, the tiles and the saw."""

import math
from collections.abc import Iterator
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from cutopt.documents.base import Document, Part, Size, Width, reject
from cutopt.documents.buying import OrderSettings
from cutopt.documents.request import MOST_OFFCUTS, MOST_TILES, Name, Offcut, Saw, Tile, Title
from cutopt.documents.surface import Surface
from cutopt.plane import box_of
from cutopt.units import MM

#: What one job may ask for at the most; docs/jobs.md says why.
MOST_ROOMS = 200
MOST_SURFACES = 500
MOST_CELLS = 2_000_000
#: Strips thinner than this are not snapped but scored deep and nibbled (a how-to page; no
#: standard names a least strip), so they are reported.
LEAST_STRIP = 10 * MM


class JobTile(Tile):
    """A tile, with what the rules for joints want to know about it."""

    thickness: Size | None = None
    edge: Literal["natural", "calibrated", "rectified"] | None = None
    spread: Width | None = Field(
        default=None, description="Largest less smallest side, measured over several tiles."
    )
    warp: Width | None = Field(default=None, description="Warp of the longest edge, measured.")

    def of_request(self) -> Tile:
        """Return the tile as a request names it."""
        return Tile(**{name: getattr(self, name) for name in Tile.model_fields})


class JobSaw(Saw):
    """The saw, with the least strip that it cuts safely."""

    least_strip: Width = LEAST_STRIP


class Room(Part):
    """A room and its surfaces."""

    name: Name
    surfaces: Annotated[tuple[Surface, ...], Field(min_length=1, max_length=MOST_SURFACES)]


class Job(Document):
    """What is to be tiled, as it was measured."""

    format: Literal["cutopt.job/1"] = "cutopt.job/1"
    title: Title | None = None
    tiles: Annotated[tuple[JobTile, ...], Field(min_length=1, max_length=MOST_TILES)]
    saw: JobSaw = JobSaw()
    rooms: Annotated[tuple[Room, ...], Field(min_length=1, max_length=MOST_ROOMS)]
    offcuts: Annotated[tuple[Offcut, ...], Field(max_length=MOST_OFFCUTS)] = ()
    order: OrderSettings | None = Field(
        default=None, description="What `cutopt order` is told; a plan does not look at it."
    )

    @model_validator(mode="after")
    def _holds_together(self) -> Self:
        from cutopt.documents.survey import faults_of_job  # noqa: PLC0415 - it reads this module

        reject(faults_of_job(self))
        return self

    @property
    def surfaces(self) -> Iterator[tuple[str, Surface]]:
        """Return every surface with its JSON pointer."""
        for at, room in enumerate(self.rooms):
            for number, surface in enumerate(room.surfaces):
                yield f"/rooms/{at}/surfaces/{number}", surface

    def tile_of(self, surface: Surface) -> JobTile:
        """Return the tile of a surface."""
        return next(tile for tile in self.tiles if surface.tile in (None, tile.id))


def cells_of(surface: Surface, tile: Tile) -> int:
    """Return about how many cells must be looked at to lay a surface."""
    box, angle = box_of(surface.corners), math.radians(float(surface.bond.angle))
    cosine, sine = abs(math.cos(angle)), abs(math.sin(angle))
    width, height = box.width * cosine + box.height * sine, box.width * sine + box.height * cosine
    across, along = tile.width + surface.joint, tile.height + surface.joint
    return int((width / across + 2) * (height / along + 2))
