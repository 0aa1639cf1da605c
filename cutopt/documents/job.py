"""The tiling job: rooms, their measured surfaces, the tiles and the saw."""

import math
from collections.abc import Iterator
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from cutopt.documents.base import Document, Part, Width, reject
from cutopt.documents.buying import OrderSettings
from cutopt.documents.job_tile import JobTile as JobTile
from cutopt.documents.laying import OrWord
from cutopt.documents.request import (
    MOST_OFFCUTS,
    MOST_TILES,
    Name,
    Offcut,
    Saw,
    SnapCutter,
    Tile,
    Title,
    Wishes,
)
from cutopt.documents.setting_out import Rules
from cutopt.documents.shower import USUAL_BED, Block, Rim, Skirting
from cutopt.documents.surface import Surface
from cutopt.plane import box_of
from cutopt.units import MM

#: What one job may ask for at the most; docs/jobs.md says why.
MOST_ROOMS = 200
MOST_SURFACES = 500
MOST_PARTS = 50
MOST_CELLS = 2_000_000
#: Strips thinner than this are not snapped but scored deep and nibbled (a how-to page; no
#: standard names a least strip), so they are reported.
LEAST_STRIP = 10 * MM


class JobSaw(Saw):
    """The saw, with the least strip that it cuts safely."""

    least_strip: Width = LEAST_STRIP


WallMark = Annotated[str, Field(strict=True, pattern=r"^[A-Z]{1,3}$")]
RoomPart = Annotated[Block | Skirting, Field(discriminator="kind")]


class Corner(Part):
    """Two walls that meet: the right edge of `left` is the left edge of `right`.

    Both are measured from the same level, so that courses run round. With `continues` the tile
    that is cut at an inside corner goes on with its own offcut on the right wall. At an outside
    corner with a `rim` both are measured to where the faces of their tiles will meet.
    """

    left: WallMark
    right: WallMark
    kind: Literal["inside", "outside"] = "inside"
    continues: bool = False
    rim: Annotated[Rim, OrWord("kind", Literal["mitre", "factory edge"])] | None = Field(
        default=None, description="How tiles meet at an outside corner; `face` is the left wall."
    )


class Room(Part):
    """A room, its surfaces, and the parts that are unfolded into further surfaces."""

    name: Name
    surfaces: Annotated[tuple[Surface, ...], Field(min_length=1, max_length=MOST_SURFACES)]
    corners: Annotated[tuple[Corner, ...], Field(max_length=MOST_SURFACES)] = ()
    parts: Annotated[tuple[RoomPart, ...], Field(max_length=MOST_PARTS)] = ()


class Job(Document):
    """What is to be tiled, as it was measured."""

    format: Literal["cutopt.job/1"] = "cutopt.job/1"
    title: Title | None = None
    tiles: Annotated[tuple[JobTile, ...], Field(min_length=1, max_length=MOST_TILES)]
    saw: JobSaw = JobSaw()
    snap_cutter: SnapCutter | None = None
    prefer: Wishes | None = Field(default=None, description="Second wishes of the plan.")
    rooms: Annotated[tuple[Room, ...], Field(min_length=1, max_length=MOST_ROOMS)]
    bed: Width = Field(
        default=USUAL_BED, description="Adhesive between substrate and tile, for round corners."
    )
    offcuts: Annotated[tuple[Offcut, ...], Field(max_length=MOST_OFFCUTS)] = ()
    setting_out: Rules = Field(
        default=(), description="What `cutopt set-out` may move; a plan does not look at it."
    )
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
        """Return every surface with its JSON pointer: as measured, and unfolded from parts."""
        from cutopt.documents.unfold import unfolded  # noqa: PLC0415 - it reads this module

        yield from unfolded(self)

    @property
    def measured(self) -> Iterator[tuple[str, Surface]]:
        """Return the surfaces as they were measured, with their JSON pointers."""
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
