"""A piece's shape, as it hangs or as it lies turned on a tile, and that shape in words."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutopt.documents import Piece
from cutopt.plane import Outline, Point, Rect, box_of, cross, doubled_area, turned
from cutopt.reports.words import NO_BREAK, number_text, size_text
from cutopt.units import Units


@dataclass(frozen=True)
class Round:
    """A round hole: its centre and diameter."""

    x: int
    y: int
    diameter: int

    @property
    def box(self) -> Rect:
        """Return the square around it, half a grid step generous."""
        reach = (self.diameter + 1) // 2
        return Rect(self.x - reach, self.y - reach, 2 * reach, 2 * reach)


@dataclass(frozen=True)
class Shape:
    """What is to be cut: box, outline without needless corners, holes."""

    width: int
    height: int
    outline: tuple[Point, ...]
    rounds: tuple[Round, ...] = ()
    cutouts: tuple[tuple[Point, ...], ...] = ()

    @property
    def is_box(self) -> bool:
        """Tell whether the outline is the whole box."""
        return doubled_area(self.outline) == 2 * self.width * self.height

    @property
    def hole_boxes(self) -> tuple[Rect, ...]:
        """Return the boxes around the holes."""
        return (*(hole.box for hole in self.rounds), *map(box_of, self.cutouts))


def shape_of(piece: Piece, turn: int = 0) -> Shape:
    """Return the shape of a piece after it was turned anticlockwise by `turn` degrees."""

    def moved(points: Outline) -> tuple[Point, ...]:
        return tuple(turned(point, piece.width, piece.height, turn) for point in points)

    rounds, cutouts = [], []
    for hole in piece.holes:
        if hole.outline is not None:
            cutouts.append(moved(hole.outline))
        else:
            ((x, y),) = moved([(hole.x or 0, hole.y or 0)])
            rounds.append(Round(x, y, hole.diameter or 0))
    across, up = (piece.width, piece.height)[:: -1 if turn % 180 else 1]
    return Shape(across, up, _needed(moved(piece.shape)), tuple(rounds), tuple(cutouts))


def _needed(outline: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return the corners at which the outline changes its direction."""
    return tuple(b for a, b, c in _threes(outline) if cross(a, b, c) != 0)


def _threes(outline: Sequence[Point]) -> Iterator[tuple[Point, Point, Point]]:
    yield from zip([outline[-1], *outline[:-1]], outline, [*outline[1:], outline[0]], strict=True)


def remarks_of(shape: Shape, units: Units, times: str = "×") -> list[str]:
    """Return what is to be cut out of the box, in words; nothing for a plain piece."""
    remarks = [] if shape.is_box else _remarks_of_outline(shape, units, times)
    for hole in shape.rounds:
        diameter, x, y = (number_text(n, units) for n in (hole.diameter, hole.x, hole.y))
        remarks.append(f"hole diameter {diameter}, centre {x} from left, {y} from bottom")
    remarks += [_remark_of_cutout(corners, units, times) for corners in shape.cutouts]
    return remarks


def _remark_of_cutout(corners: tuple[Point, ...], units: Units, times: str) -> str:
    box = box_of(corners)
    if abs(doubled_area(corners)) != 2 * box.width * box.height:
        return f"hole with corners {_places(corners, units)}"
    size = size_text(box.width, box.height, units, times)
    x, y = number_text(box.x, units), number_text(box.y, units)
    return f"hole {size}, {x} from left, {y} from bottom"


def _places(corners: Outline, units: Units) -> str:
    pairs = (f"{number_text(x, units)},{NO_BREAK}{number_text(y, units)}" for x, y in corners)
    places = "; ".join(pairs)
    return f"(from left, from bottom) at {places}"


def _remarks_of_outline(shape: Shape, units: Units, times: str) -> list[str]:
    """Name notches and slots when they explain every corner, else list the corners."""
    notches, slots = list(_notches(shape, units, times)), list(_slots(shape, units, times))
    if notches + slots and 4 + 2 * len(notches) + 4 * len(slots) == len(shape.outline):
        return notches + slots
    return [f"corners {_places(shape.outline, units)}"]


def _notches(shape: Shape, units: Units, times: str) -> Iterator[str]:
    """Yield the rectangles that are missing at the corners of the box."""
    for a, b, c in _threes(shape.outline):
        if cross(a, b, c) < 0 and _is_square(a, b, c):
            corner = (a[0] + c[0] - b[0], a[1] + c[1] - b[1])
            if corner in Rect(0, 0, shape.width, shape.height).corners:
                size = size_text(abs(a[0] - c[0]), abs(a[1] - c[1]), units, times)
                upright = "lower" if corner[1] == 0 else "upper"
                yield f"notch {size}, {upright} {'left' if corner[0] == 0 else 'right'}"


def _slots(shape: Shape, units: Units, times: str) -> Iterator[str]:
    """Yield the rectangles that are missing along a side of the box."""
    corners = shape.outline
    for at in range(len(corners)):
        a, b, c, d = (corners[(at + step) % len(corners)] for step in range(4))
        if cross(a, b, c) < 0 and cross(b, c, d) < 0 and _is_square(a, b, c):
            box = box_of((a, b, c, d))
            if _is_square(b, c, d) and {a, b, c, d} == set(box.corners):
                side = _side_of(shape, a, d)
                away = box.x if side in ("top", "bottom") else box.y
                start = "left" if side in ("top", "bottom") else "bottom"
                size = size_text(box.width, box.height, units, times)
                yield f"slot {size} in the {side}, {number_text(away, units)} from {start}"


def _side_of(shape: Shape, a: Point, d: Point) -> str:
    if a[1] == d[1]:
        return "bottom" if a[1] == 0 else "top"
    return "left" if a[0] == 0 else "right"


def _is_square(a: Point, b: Point, c: Point) -> bool:
    """Tell whether the corner at b joins a level and an upright edge."""
    return (a[0] == b[0] and b[1] == c[1]) or (a[1] == b[1] and b[0] == c[0])
