"""A piece where it lies on its tile, and where on it a label has room."""

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.documents import Piece, Placement
from cutopt.plane import Point, Rect
from cutopt.reports.rooms import overlap, rooms_within
from cutopt.reports.shapes import Shape, shape_of


@dataclass(frozen=True)
class Laid:
    """A piece where it lies on the tile, turned anticlockwise by `turn` degrees."""

    piece: Piece
    shape: Shape
    box: Rect
    turn: int

    def on_tile(self, point: Point) -> Point:
        """Return where a point of the piece's box lies on the tile."""
        return point[0] + self.box.x, point[1] + self.box.y

    @property
    def outline(self) -> list[Point]:
        """Return the piece's corners on the tile."""
        return [self.on_tile(point) for point in self.shape.outline]

    def rooms(self, taken: Sequence[Rect]) -> list[Rect]:
        """Return where a label may stand, clear of holes and of what else is taken."""
        holes = [
            Rect(*self.on_tile((hole.x, hole.y)), hole.width, hole.height)
            for hole in self.shape.hole_boxes
        ]
        near = [rect for rect in taken if overlap(rect, self.box)]
        return rooms_within(self.outline, self.box, [*holes, *near])


def lay(placement: Placement, piece: Piece) -> Laid:
    """Return a piece as a placement lays it."""
    shape = shape_of(piece, placement.turn)
    box = Rect(placement.x, placement.y, shape.width, shape.height)
    return Laid(piece, shape, box, placement.turn)
