"""What a piece still needs when its cuts are made: holes, slots, and bites that no cut makes."""

from collections.abc import Iterator

from cutopt.documents import CutTile, Piece
from cutopt.plane import cross, doubled_area, edges
from cutopt.reports.shapes import Shape, remarks_of, shape_of
from cutopt.sequence.passes import RISKS, Pass
from cutopt.units import MM, Units

#: Up to here a hole is small.
SMALL_HOLE = 40 * MM


def shapings_of(cut_tile: CutTile, piece: Piece, part: int, units: Units) -> Iterator[Pass]:
    """Yield the shapings of a piece that has been cut out as a part."""
    shape = shape_of(piece)
    if _needs_shaping(cut_tile, piece, part):
        words = "; ".join(remarks_of(Shape(shape.width, shape.height, shape.outline), units))
        yield Pass(cut_tile, part, "shape", "shape", RISKS["shape"], words=words, seconds="slot")
    for hole in piece.holes:
        is_small = hole.diameter is not None and hole.diameter <= SMALL_HOLE
        alone = Piece(id=piece.id, width=piece.width, height=piece.height, holes=(hole,))
        yield Pass(
            cut_tile,
            part,
            "shape",
            "shape",
            RISKS["shape" if hole.diameter is None else "round hole"],
            words="; ".join(remarks_of(shape_of(alone), units)),
            seconds="small_hole" if is_small else "large_hole",
        )


def _needs_shaping(cut_tile: CutTile, piece: Piece, part: int) -> bool:
    """Tell whether the cuts have left more of a piece than its outline."""
    if piece.is_rectangle:
        return False
    corners = piece.shape
    threes = zip(corners, (*corners[1:], corners[0]), (*corners[2:], *corners[:2]), strict=True)
    if any(a[0] != b[0] and a[1] != b[1] for a, b in edges(corners)):
        return any(cross(a, b, c) < 0 for a, b, c in threes)
    left = piece.width * piece.height - _notched(cut_tile, part)
    return bool(2 * left != doubled_area(corners))


def _notched(cut_tile: CutTile, part: int) -> int:
    """Return the area of the notches that led to a part."""
    area = 0
    for cut in reversed(cut_tile.cuts or ()):
        if cut.way == "notch" and cut.makes[0] == part:
            area += (cut.width or 0) * (cut.height or 0)
            part = cut.part
    return area
