"""What is covered with tiles, as materials and work see it: areas, joints, pieces by surface."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from cutopt.buying.amounts import joint_share
from cutopt.buying.edges import room_names
from cutopt.buying.spares import SQUARE_METRE, area_of
from cutopt.documents import Job, JobTile, Request, Surface, Tile, is_full_tile
from cutopt.documents.buying import OrderSettings
from cutopt.layout import LaidSurface, TakeOff
from cutopt.plane import box_of
from cutopt.units import MM

#: Where nobody said so (common practice, no source).
USUAL_THICKNESS, USUAL_JOINT = 8 * MM, 2 * MM


@dataclass(frozen=True, slots=True)
class Ground:
    """One surface, or all of one tile where there are no surfaces; sizes in mm, areas in m2.

    Attributes
    ----------
    name, mark, place, room : str
        For people; letters of the surface; JSON pointer; name of the room.
    tile : str
        Id of the tile.
    area : float
        What the pieces cover, without joints.
    pieces, cut : int
        Pieces in all, and those that are cut.
    chip : tuple of float
        Width and height of a tile, or of a chip of mosaic.
    joint : float
        Between tiles, or between chips of mosaic.
    longest : float
        The longer side of the tile.
    width, course : float
        Of the surface, and of one course with its joint; 0 where courses do not run level.
    """

    name: str
    mark: str
    place: str
    room: str
    kind: Literal["wall", "floor"]
    tile: str
    area: float
    pieces: int
    cut: int
    chip: tuple[float, float]
    joint: float
    thickness: float
    longest: float
    is_mosaic: bool = False
    width: float = 0.0
    course: float = 0.0

    @property
    def share(self) -> float:
        """Return the share of the surface that is joint."""
        return joint_share(*self.chip, self.joint)

    @property
    def covered(self) -> float:
        """Return m2 with the joints."""
        return self.area / (1.0 - (0.0 if self.is_mosaic else self.share))


def grounds_of(
    request: Request, settings: OrderSettings, found: TakeOff, job: Job | None
) -> list[Ground]:
    """Return the surfaces of a job; of a request, all pieces of each tile together."""
    if job is None:
        return list(_requested(request, settings))
    surfaces = dict(job.surfaces)
    return [_laid(job, surfaces[one.place], one, settings) for one in found.surfaces]


def _requested(request: Request, settings: OrderSettings) -> Iterator[Ground]:
    for tile in request.tiles:
        mine = [piece for piece in request.pieces if request.tile_of(piece).id == tile.id]
        pieces = sum(piece.quantity for piece in mine)
        whole = sum(piece.quantity for piece in mine if is_full_tile(piece, tile))
        buy = settings.of_tile(tile.id)
        area = sum(area_of(piece) * piece.quantity for piece in mine) / SQUARE_METRE
        if pieces:
            yield Ground(
                f"tile {tile.id}",
                "",
                "",
                "",
                "wall",
                tile.id,
                area,
                pieces,
                pieces - whole,
                (tile.width / MM, tile.height / MM),
                (buy.joint or USUAL_JOINT) / MM,
                (buy.thickness or USUAL_THICKNESS) / MM,
                max(tile.width, tile.height) / MM,
            )


def _laid(job: Job, surface: Surface, laid: LaidSurface, settings: OrderSettings) -> Ground:
    tile = job.tile_of(surface)
    buy = settings.of_tile(tile.id)
    cut = sum(piece.shape.doubled_area for piece in laid.cut) // 2
    whole = len(laid.whole) * _tile_area(tile)
    chips, joint = _chips(tile, surface)
    level = laid.frame.is_level
    return Ground(
        f"{laid.mark}, {surface.title}" if surface.title else laid.mark,
        laid.mark,
        laid.place,
        room_names(job)[int(laid.place.split("/")[2])],
        surface.kind,
        tile.id,
        (cut + whole) / SQUARE_METRE,
        len(laid.whole) + len(laid.cut),
        sum(not piece.is_full for piece in laid.cut),
        chips,
        joint,
        (buy.thickness or tile.thickness or USUAL_THICKNESS) / MM,
        max(tile.width, tile.height) / MM,
        tile.mosaic is not None,
        box_of(laid.outline).width / MM if level else 0.0,
        (tile.height + surface.joint) / MM if level else 0.0,
    )


def _chips(tile: JobTile, surface: Surface) -> tuple[tuple[float, float], float]:
    if tile.mosaic is None:
        return (tile.width / MM, tile.height / MM), surface.joint / MM
    chip = tile.mosaic
    return (chip.chip_width / MM, chip.chip_height / MM), chip.joint / MM


def _tile_area(tile: Tile) -> int:
    return int(tile.width * tile.height)
