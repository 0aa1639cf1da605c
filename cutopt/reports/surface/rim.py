"""Along the edges: what each meets, how its joint is filled, the cuts there, the measure."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutopt.documents import Surface
from cutopt.documents.surface import WIDEST_JOINT
from cutopt.layout import EdgeRule, LaidPiece
from cutopt.reports.lettering import width_of
from cutopt.reports.surface.view import RIM, View, readable
from cutopt.reports.svg import PAPER, Spot, element, figure, group, line, rect, text
from cutopt.units import INCH, MM

#: How far outside the edge lie the sign of its joint, the cuts, and the whole measure, in mm.
_SIGN, _CUTS, _MEASURE = 1.3, 3.4, 8.6
_FONT = 2.3
_THIN = 0.18
_TICK = 1.1
#: Two places on paper are the same within this, on the surface within that (0.05 mm).
_NEAR = 400.0
#: Edges shorter than this on paper bear no sign of their joint.
_LEAST_SIGN = 3.0
#: Cuts shorter than this on paper have no bracket.
_LEAST_BRACKET = 1.0


@dataclass(frozen=True)
class Stretch:
    """A border piece along an edge: from where to where, and how far it reaches inwards."""

    start: float
    end: float
    depth: float


@dataclass(frozen=True)
class Line:
    """An edge with its length; `at` and `along` tell where a point lies from it."""

    rule: EdgeRule

    @property
    def length(self) -> float:
        """Return the length of the edge."""
        return math.dist(self.rule.start, self.rule.end)

    @property
    def turn(self) -> float:
        """Return by how many degrees the edge is turned on paper, clockwise."""
        (ax, ay), (bx, by) = self.rule.start, self.rule.end
        return math.degrees(math.atan2(ay - by, bx - ax))

    @property
    def is_straight(self) -> bool:
        """Tell whether the edge is level or plumb, so that its length is exact."""
        (ax, ay), (bx, by) = self.rule.start, self.rule.end
        return ax == bx or ay == by

    def place(self, point: Spot) -> tuple[float, float]:
        """Return how far along the edge a point lies, and how far inside of it."""
        (ax, ay), (bx, by) = self.rule.start, self.rule.end
        ux, uy = (bx - ax) / self.length, (by - ay) / self.length
        dx, dy = point[0] - ax, point[1] - ay
        return dx * ux + dy * uy, dy * ux - dx * uy


def draw_rim(view: View, surface: Surface) -> Iterator[str]:
    """Yield the signs and measures along every edge of the surface and of its parts."""
    for rule in view.surface.edges:
        edge = Line(rule)
        if rule.place == view.surface.place:
            brackets = list(_brackets(edge, view))
            away = max([_MEASURE, *(bracket.reach + 2 for bracket in brackets)])
            marks = [
                *_sign(edge, view, _SIGN),
                *(mark for bracket in brackets for mark in bracket.drawn()),
                *_measure(edge, view, surface, min(away, RIM[view.units] - 2)),
            ]
            yield group(marks, class_="edge", transform=_along(edge, view))
        elif edge.length * view.scale >= _LEAST_SIGN:
            marks = list(_sign(edge, view, -_SIGN))
            if marks:
                yield group(marks, class_="edge", transform=_along(edge, view))


def _along(edge: Line, view: View) -> str:
    """Return the transform to a frame that begins at the edge, x along it, y out of the surface."""
    x, y = view.spot(edge.rule.start)
    return f"translate({figure(x)} {figure(y)}) rotate({edge.turn:.5g})"


def _sign(edge: Line, view: View, away: float) -> Iterator[str]:
    """Yield the sign of the joint: dots for sealant, dashes for grout, a bar for a factory edge."""
    length = edge.length * view.scale
    start, end = (0.6, away), (length - 0.6, away)
    if edge.rule.filler == "sealant":
        yield sealant(start, end)
    elif edge.rule.filler == "grout":
        yield grout(start, end)
    if edge.rule.factory_edge:
        yield factory(start, end)


def sealant(start: Spot, end: Spot) -> str:
    """Return the sign of a joint filled with sealant."""
    style = {"stroke_dasharray": "0 1.5", "stroke_linecap": "round", "class_": "sealant"}
    return line(start, end, 0.75, **style)


def grout(start: Spot, end: Spot) -> str:
    """Return the sign of a joint filled with grout."""
    return line(start, end, 0.3, stroke_dasharray="2.2 0.8", class_="grout")


def factory(start: Spot, end: Spot) -> str:
    """Return the sign of an edge at which the tiles show a factory edge."""
    return line(start, end, 1.1, class_="factory-edge")


# The whole measure.


def _measure(edge: Line, view: View, surface: Surface, away: float) -> Iterator[str]:
    length = edge.length * view.scale
    yield line((0, away), (length, away), _THIN)
    for x in (0.0, length):
        yield line((x, away - _TICK), (x, away + _TICK), _THIN)
        yield line((x - 0.7, away + 0.7), (x + 0.7, away - 0.7), 0.3)
    words = _length(edge, view, surface)
    more = f"{words} · {edge.rule.meets}"
    fits = width_of(more, _FONT) + 4 <= length
    yield _words(more if fits else words, (length / 2, away), edge.turn, backed=True)


def _length(edge: Line, view: View, surface: Surface) -> str:
    """Return the measure of an edge as it was taken, or as it follows from the corners."""
    taken = getattr(surface, edge.rule.name, None) if surface.outline is None else None
    if isinstance(taken, int):
        return view.shown(taken)
    if edge.is_straight:
        return view.shown(edge.length)
    step = INCH // 16 if view.units == "in" else MM
    return f"≈ {view.shown(round(edge.length / step) * step)}"


def _words(
    words: str, centre: Spot, turn: float, across: bool = False, backed: bool = False
) -> str:
    """Return text in the frame of an edge with this turn, readable from below or from the right."""
    width = width_of(words, _FONT)
    marks = ""
    if backed:
        marks = rect((-width / 2 - 0.6, -_FONT / 2), width + 1.2, _FONT, fill=PAPER)
    marks += text(words, (0, 0.36 * _FONT), _FONT, text_anchor="middle")
    angle = round(readable(turn + 90 * across) - turn)
    x, y = (figure(place) for place in centre)
    rotated = f" rotate({angle})" if angle else ""
    return element("g", marks, transform=f"translate({x} {y}){rotated}")


# The cuts along the border.


@dataclass(frozen=True)
class Bracket:
    """A run of border cuts of the same size on paper: where it is, and the size in words."""

    start: float
    end: float
    words: str
    turn: float

    @property
    def is_across(self) -> bool:
        """Tell whether the words must run across the edge to fit."""
        return width_of(self.words, _FONT) > self.end - self.start

    @property
    def reach(self) -> float:
        """Return how far the bracket with its words reaches outwards."""
        return _CUTS + 1 + (width_of(self.words, _FONT) if self.is_across else _FONT)

    def drawn(self) -> Iterator[str]:
        """Yield the marks, in the frame of the edge; words only where they have room."""
        yield line((self.start, _CUTS), (self.end, _CUTS), _THIN)
        for x in (self.start, self.end):
            yield line((x, _CUTS - _TICK / 2), (x, _CUTS + _TICK / 2), _THIN)
        middle = (self.start + self.end) / 2
        if not self.is_across:
            yield _words(self.words, (middle, _CUTS + 2), self.turn)
        elif self.end - self.start >= 0.9 * _FONT:
            spot = (middle, (_CUTS + 1 + self.reach) / 2)
            yield _words(self.words, spot, self.turn, across=True)


def _brackets(edge: Line, view: View) -> Iterator[Bracket]:
    """Yield a bracket for each run of border cuts of the same size."""
    for run in _alike(sorted(_stretches(edge, view), key=lambda item: item.start), view):
        start, end = run[0].start * view.scale + 0.2, run[-1].end * view.scale - 0.2
        if end - start >= _LEAST_BRACKET:
            yield Bracket(start, end, view.shown(run[0].depth), edge.turn)


def _alike(stretches: Sequence[Stretch], view: View) -> Iterator[list[Stretch]]:
    """Yield runs of stretches of the same depth with no more than a joint between them."""
    run: list[Stretch] = []
    for item in stretches:
        if run and (
            view.shown(item.depth) != view.shown(run[0].depth)
            or item.start - run[-1].end > WIDEST_JOINT
        ):
            yield run
            run = []
        run.append(item)
    if run:
        yield run


def _stretches(edge: Line, view: View) -> Iterator[Stretch]:
    frame, level = view.surface.frame, view.surface.frame.is_level
    for piece in view.surface.cut:
        if piece.is_full:
            continue
        places = [edge.place(point) for point in frame.outward(piece.shape.outer)]
        on_edge = [along for along, inside in places if abs(inside - edge.rule.away) < _NEAR]
        if len(on_edge) < 2 or min(on_edge) < -_NEAR or max(on_edge) > edge.length + _NEAR:
            continue
        depth = max(inside for _, inside in places) - edge.rule.away
        if not level:
            depth = max(on_edge) - min(on_edge)
        elif depth > _whole(piece, edge, view) - _NEAR:
            continue
        yield Stretch(min(on_edge), max(on_edge), depth)


def _whole(piece: LaidPiece, edge: Line, view: View) -> int:
    """Return how far the whole tile would reach from an edge, in level courses or plumb ones."""
    (ax, ay), (bx, by) = edge.rule.start, edge.rule.end
    is_level = abs(bx - ax) > abs(by - ay)
    upright = abs(view.surface.frame.angle) == 90
    return piece.cell.height if is_level != upright else piece.cell.width


def meetings(rules: Sequence[EdgeRule], view: View) -> Iterator[str]:
    """Yield what edges meet, those alike together: `left, right: inside corner, 3 sealant`."""
    by_words: dict[str, list[str]] = {}
    for rule in rules:
        joint = f"{rule.filler} {view.shown(rule.joint)}" if rule.joint else "no joint"
        if rule.set_back:
            joint += f" after {view.shown(rule.set_back)}"
        edge = "factory edge in sight" if rule.factory_edge else "sawn edge allowed"
        by_words.setdefault(f"{rule.meets}, {joint}, {edge}", []).append(rule.name)
    for words, names in by_words.items():
        known = "all round" if len(names) == len(rules) else ", ".join(names)
        yield f"{known}: {words}"
