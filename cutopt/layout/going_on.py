"""Which piece goes on round a corner: the first of the right wall, with the last one's offcut."""

from collections.abc import Iterator, Sequence

from cutopt.documents import Job
from cutopt.layout.model import LaidPiece, LaidSurface
from cutopt.plane import box_of


def going_on(job: Job, surfaces: Sequence[LaidSurface]) -> dict[str, str]:
    """Return for each piece that is cut at a corner the one that goes on with its offcut.

    Both are rectangles of one course; with the kerf they are as long as the tile.
    """
    walls = {laid.mark: laid for laid in surfaces}
    sizes = {tile.id: tile.width for tile in job.tiles}
    found = {}
    for room in job.rooms:
        for corner in room.corners:
            if corner.continues:
                left, right = walls[corner.left], walls[corner.right]
                for last, first in courses(left, right):
                    if _are_one_tile(last, first, sizes[left.tile], job.saw.kerf):
                        found[last.entry] = first.entry
    return found


def courses(left: LaidSurface, right: LaidSurface) -> Iterator[tuple[LaidPiece, LaidPiece]]:
    """Yield the last piece of each course of the left wall with the first one of the right wall.

    Only pieces that reach the corner: a seat in it leaves none.
    """
    last: dict[int, LaidPiece] = {}
    first: dict[int, LaidPiece] = {}
    for piece in left.pieces():
        if piece.cell.y not in last or piece.cell.x > last[piece.cell.y].cell.x:
            last[piece.cell.y] = piece
    for piece in right.pieces():
        if piece.cell.y not in first or piece.cell.x < first[piece.cell.y].cell.x:
            first[piece.cell.y] = piece
    edge, begin = box_of(left.field).right, box_of(right.field).x
    for level in sorted(last.keys() & first.keys()):
        one, other = box_of(last[level].shape.outer), box_of(first[level].shape.outer)
        if one.right == edge and other.x == begin:
            yield last[level], first[level]


def _are_one_tile(last: LaidPiece, first: LaidPiece, tile: int, kerf: int) -> bool:
    one, other = box_of(last.shape.outer), box_of(first.shape.outer)
    return (
        _is_box(last)
        and _is_box(first)
        and (one.y, one.height) == (other.y, other.height)
        and one.width + kerf + other.width == tile
    )


def _is_box(piece: LaidPiece) -> bool:
    box = box_of(piece.shape.outer)
    plain = not (piece.is_full or piece.rounds or piece.shape.holes or piece.turn)
    return plain and piece.shape.doubled_area == 2 * box.width * box.height
