"""From the surface to paper: sizes of paper, the scale, and where a point comes to lie."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from cutopt.layout import LaidSurface
from cutopt.plane import Point, Rect, box_of, is_inside
from cutopt.reports.svg import Spot
from cutopt.units import MM, Units, read_off, show_number

#: Scales that a rule shows or that are easily reckoned, as millimetres for one on paper.
SCALES = (1, 2, 2.5, 5, 7.5, 10, 12, 14, 15, 16, 18, 20, 22, 25, 30, 35, 40, 45, 50, 60, 75, 100)
#: White around the sheet, in mm.
EDGE = 11.0
#: What the measures beside the surface take on each side; fractions of an inch are longer.
RIM = {"mm": 16.0, "in": 18.0}
#: Heading above the drawing, scale and foot below.
HEAD, TAIL = 18.0, 26.0


#: A rectangle on paper: left, top, right, low.
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Paper:
    """A size of paper."""

    name: str
    width: float
    height: float

    @property
    def room(self) -> float:
        """Return the width between the edges."""
        return self.width - 2 * EDGE


#: Half a page: small surfaces, two to a page.
HALF = (Paper("A4", 210, 148.5),)
A4 = (Paper("A4", 210, 297), Paper("A4", 297, 210))
A3 = (Paper("A3", 297, 420), Paper("A3", 420, 297))


@dataclass(frozen=True)
class View:
    """A surface on paper: one for `ratio`, its box with the upper left corner at `corner`."""

    surface: LaidSurface
    units: Units
    paper: Paper
    ratio: float

    @property
    def scale(self) -> float:
        """Return the millimetres on paper for one unit of length."""
        return 1 / (self.ratio * MM)

    @property
    def box(self) -> Rect:
        """Return the box of the surface."""
        return box_of(self.surface.outline)

    @property
    def width(self) -> float:
        """Return the width of the surface on paper."""
        return self.box.width * self.scale

    @property
    def height(self) -> float:
        """Return the height of the surface on paper."""
        return self.box.height * self.scale

    @property
    def corner(self) -> Spot:
        """Return where the upper left corner of the box lies on paper."""
        return (self.paper.width - self.width) / 2, EDGE + HEAD + RIM[self.units]

    def spot(self, point: tuple[float, float]) -> Spot:
        """Return where a point of the surface lies on paper."""
        (left, top), box = self.corner, self.box
        return left + (point[0] - box.x) * self.scale, top + (box.top - point[1]) * self.scale

    def spots(self, points: Iterable[tuple[float, float]]) -> list[Spot]:
        """Return where points of the surface lie on paper."""
        return [self.spot(point) for point in points]

    def outward(self, points: Iterable[Point]) -> list[Spot]:
        """Return where points of the frame of the bond lie on paper."""
        return self.spots(self.surface.frame.outward(points))

    def holds(self, box: Box) -> bool:
        """Tell whether a rectangle on paper has its corners within the surface."""
        (left, top), outline = self.corner, self.surface.outline
        xs = [self.box.x + round((x - left) / self.scale) for x in box[::2]]
        ys = [self.box.top - round((y - top) / self.scale) for y in box[1::2]]
        return all(is_inside((x, y), outline) for x in xs for y in ys)

    @property
    def matrix(self) -> str:
        """Return the transform that brings millimetres in the frame of the bond to paper."""
        (x, y), (ax, ay), (bx, by) = self.outward([(0, 0), (MM * 10_000, 0), (0, MM * 10_000)])
        steps = (ax - x, ay - y, bx - x, by - y)
        numbers = [f"{step / 10_000:.9g}" for step in steps] + [f"{x:.6g}", f"{y:.6g}"]
        return f"matrix({' '.join(numbers)})"

    @property
    def angle(self) -> float:
        """Return by how many degrees the courses are turned on paper, clockwise, up to 90."""
        return readable(-float(self.surface.frame.angle))

    def rounded(self, length: float) -> int:
        """Return a length as somebody with a rule reads it."""
        return read_off(length, self.units)

    def shown(self, length: float) -> str:
        """Return a length in words, rounded so."""
        return show_number(self.rounded(length), self.units)


def readable(angle: float) -> float:
    """Return an angle at which text of this slope reads from below or from the right."""
    turned = math.fmod(angle, 180)
    if turned >= 90 - 1e-6:
        return turned - 180
    return turned + 180 if turned < -90 - 1e-6 else turned


def box_on_paper(spots: Iterable[Spot]) -> Box:
    """Return the rectangle that holds some spots."""
    xs, ys = zip(*spots, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def touch(one: Box, other: Box) -> bool:
    """Tell whether two rectangles on paper overlap."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def view_of(surface: LaidSurface, units: Units, papers: Iterable[Paper]) -> View:
    """Return the surface at the largest scale that fits one of the papers."""
    views = [View(surface, units, paper, _ratio(surface, paper, RIM[units])) for paper in papers]
    return min(views, key=lambda view: view.ratio)


def _ratio(surface: LaidSurface, paper: Paper, rim: float) -> float:
    box = box_of(surface.outline)
    across = box.width / MM / (paper.room - 2 * rim)
    up = box.height / MM / (paper.height - 2 * EDGE - HEAD - TAIL - 2 * rim)
    least = max(across, up)
    return next((scale for scale in SCALES if scale >= least), math.ceil(least / 50) * 50.0)
