"""A piece's shape, as it hangs or as it lies turned on a tile, and that shape in words."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutopt.documents import Piece
from cutopt.plane import Outline, Point, Rect, box_of, cross, doubled_area, turned
from cutopt.reports.words import NO_BREAK, number_text, size_text
from cutopt.units import Units, show_number


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


@dataclass(frozen=True)
class _Words:
    """How lengths are written: as they are read off a rule, or exactly and in plain letters."""

    units: Units
    exact: bool

    def number(self, length: int) -> str:
        if self.exact:
            return show_number(length, self.units).replace(" ", NO_BREAK)
        return number_text(length, self.units)

    def size(self, width: int, height: int) -> str:
        if self.exact:
            return f"{self.number(width)}{NO_BREAK}x{NO_BREAK}{self.number(height)}"
        return size_text(width, height, self.units)

    def places(self, corners: Outline) -> str:
        pairs = (f"{self.number(x)},{NO_BREAK}{self.number(y)}" for x, y in corners)
        return f"(from left, from bottom) at {'; '.join(pairs)}"


def remarks_of(shape: Shape, units: Units, *, exact: bool = False) -> list[str]:
    """Return what is to be cut out of the box, in words; nothing for a plain piece.

    Lengths are written as they are read off a rule; `exact` writes them to the last digit.
    """
    write = _Words(units, exact)
    remarks = [] if shape.is_box else _remarks_of_outline(shape, write)
    for hole in shape.rounds:
        diameter, x, y = map(write.number, (hole.diameter, hole.x, hole.y))
        remarks.append(f"hole diameter {diameter}, centre {x} from left, {y} from bottom")
    remarks += [_remark_of_cutout(corners, write) for corners in shape.cutouts]
    return remarks


def _remark_of_cutout(corners: tuple[Point, ...], write: _Words) -> str:
    box = box_of(corners)
    if abs(doubled_area(corners)) != 2 * box.width * box.height:
        return f"hole with corners {write.places(corners)}"
    size = write.size(box.width, box.height)
    return f"hole {size}, {write.number(box.x)} from left, {write.number(box.y)} from bottom"


def _remarks_of_outline(shape: Shape, write: _Words) -> list[str]:
    """Name notches and slots when they explain every corner, or a taper, else list the corners."""
    notches, slots = list(_notches(shape, write)), list(_slots(shape, write))
    if notches + slots and 4 + 2 * len(notches) + 4 * len(slots) == len(shape.outline):
        return notches + slots
    return [_taper(shape, write) or f"corners {write.places(shape.outline)}"]


def _taper(shape: Shape, write: _Words) -> str:
    """Return what is left at both ends of the one side that is slanted; nothing for others."""
    missing = set(Rect(0, 0, shape.width, shape.height).corners) - set(shape.outline)
    if len(shape.outline) != 4 or len(missing) != 1:
        return ""
    ((x, y),) = missing
    (corner,) = set(shape.outline) - set(Rect(0, 0, shape.width, shape.height).corners)
    if corner[1] == y:
        wide = {y: abs(corner[0] - (shape.width - x)), shape.height - y: shape.width}
        low, high = write.number(wide[0]), write.number(wide[shape.height])
        return (
            f"{'right' if x else 'left'} side slanted: {low} wide at the bottom, {high} at the top"
        )
    tall = {x: abs(corner[1] - (shape.height - y)), shape.width - x: shape.height}
    left, right = write.number(tall[0]), write.number(tall[shape.width])
    return f"{'top' if y else 'bottom'} slanted: {left} high at the left, {right} at the right"


def _notches(shape: Shape, write: _Words) -> Iterator[str]:
    """Yield the rectangles that are missing at the corners of the box."""
    for a, b, c in _threes(shape.outline):
        if cross(a, b, c) < 0 and _is_square(a, b, c):
            corner = (a[0] + c[0] - b[0], a[1] + c[1] - b[1])
            if corner in Rect(0, 0, shape.width, shape.height).corners:
                size = write.size(abs(a[0] - c[0]), abs(a[1] - c[1]))
                upright = "lower" if corner[1] == 0 else "upper"
                yield f"notch {size}, {upright} {'left' if corner[0] == 0 else 'right'}"


def _slots(shape: Shape, write: _Words) -> Iterator[str]:
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
                size = write.size(box.width, box.height)
                yield f"slot {size} in the {side}, {write.number(away)} from {start}"


def _side_of(shape: Shape, a: Point, d: Point) -> str:
    if a[1] == d[1]:
        return "bottom" if a[1] == 0 else "top"
    return "left" if a[0] == 0 else "right"


def _is_square(a: Point, b: Point, c: Point) -> bool:
    """Tell whether the corner at b joins a level and an upright edge."""
    return (a[0] == b[0] and b[1] == c[1]) or (a[1] == b[1] and b[0] == c[0])
