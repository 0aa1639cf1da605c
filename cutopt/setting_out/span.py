"""One surface over a box of starts in which its pieces keep their shape: sizes as forms."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from cutopt.documents import JobTile
from cutopt.documents.request import LARGEST_RATIO, SHORTEST_SIDE
from cutopt.plane import Point, Rect
from cutopt.setting_out.forms import Box, Form, form_of
from cutopt.setting_out.seen import Seen, Sight
from cutopt.solver import Pocket, Stand

#: A pocket as large as any tile: what is assumed of a notch that is not a plain one.
HUGE = 10**9
_PLAIN_CORNERS = {4: 0, 6: 1, 8: 2}

Along = tuple[int | None, int | None]


@dataclass(frozen=True, slots=True)
class Notch:
    """A pocket with its sizes as forms."""

    sides: int
    width: Form
    height: Form
    kerf: int

    def largest(self, box: Box) -> Pocket:
        """Return the largest that it comes to in a box."""
        width, height = self.width.most(box), self.height.most(box)
        return Pocket(self.sides, width, height, width + self.kerf, height + self.kerf)


@dataclass(frozen=True, slots=True)
class Part:
    """A cut piece with its sizes as forms, in the frame of its tile; wishes hold throughout."""

    width: Form
    height: Form
    wants: int
    notches: tuple[Notch, ...]
    exact: Stand | None

    def least(self, box: Box) -> Stand:
        """Return a piece that is no larger than this one at any start in a box."""
        if self.exact:
            return self.exact
        return Stand(
            self.width.least(box),
            self.height.least(box),
            self.wants,
            tuple(notch.largest(box) for notch in self.notches),
        )

    def doubled_area(self, values: Sequence[int]) -> int:
        """Return twice an area that the piece has at least at a start."""
        if self.exact:
            return self.exact.doubled_area
        taken = sum(
            (notch.width.at(values) + notch.kerf) * (notch.height.at(values) + notch.kerf)
            for notch in self.notches
        )
        return max(0, 2 * (self.width.at(values) * self.height.at(values) - taken))


@dataclass(frozen=True, slots=True)
class Size:
    """A size that a cut leaves and that depends on the start; `share` is of the whole tile."""

    form: Form
    whole: int
    is_run: bool


@dataclass(frozen=True, slots=True)
class Span:
    """A surface over a box.

    Attributes
    ----------
    full : int
        Its full tiles, at every start in the box; fewer where that is not certain.
    parts : tuple of Part
        Its cut pieces; those whose sizes are no forms are left out (a bound stays a bound).
    sizes : tuple of Size
        What the rules for cuts look at.
    is_whole : bool
        Whether nothing was left out.
    has_gaps : bool
        Whether a strip at a corner of the box is too thin to be cut.
    cuts_corner : bool
        Whether a round hole takes the corner of a tile.
    """

    full: int
    parts: tuple[Part, ...]
    sizes: tuple[Size, ...]
    is_whole: bool
    has_gaps: bool
    cuts_corner: bool = False


@dataclass(frozen=True, slots=True)
class Round:
    """Boxes around what is slanted and around round holes: pieces near them may change shape."""

    slanted: tuple[Rect, ...] = ()
    holes: tuple[Rect, ...] = ()

    def __bool__(self) -> bool:
        """Tell whether there is anything of the kind."""
        return bool(self.slanted or self.holes)


def span_of(ends: tuple[Sight, Sight], box: Box, along: Along, near: Round) -> Span:
    """Return a surface over a box, from how it is laid at its two corners.

    Parameters
    ----------
    ends : pair of Sight
        Laid at the lowest and at the highest start.
    box : Box
        Of all variables.
    along : pair of int or None
        The variable that moves it along each axis.
    near : Round
        What is slanted or round: pieces whose shape may change near it are left out.
    """
    low, high = ends
    point = all(at is None or box.low[at] == box.high[at] for at in along)
    parts: list[Part] = []
    sizes: list[Size] = []
    whole = low.pieces.keys() == high.pieces.keys()
    for label, first in low.pieces.items():
        second = high.pieces.get(label)
        if second is None:
            continue
        sure = point or _is_sure(first, second, near)
        part = _part(first, second, box, along, point) if sure else None
        whole &= part is not None
        if part is not None and first.stand:
            parts.append(part)
        sizes += _sizes(first, second, box, along)
    full = low.full if point or not near else _sure_full(low, high, near)
    gaps = any(seen.stand is None for end in ends for seen in end.pieces.values())
    corner = any(_takes_corner(seen, near) for end in ends for seen in end.pieces.values())
    return Span(full, tuple(parts), tuple(sizes), whole, gaps, corner)


def _is_sure(first: Seen, second: Seen, near: Round) -> bool:
    """Tell whether a piece keeps its shape between two starts, or at least its box as its hull."""
    swept = _around(first.cell, second.cell)
    if any(_overlap(swept, box) for box in near.slanted):
        return False
    met = [box for box in near.holes if _overlap(swept, box)]
    if all(_holds(first.box, box) and _holds(second.box, box) for box in met):
        return first.corners == second.corners
    plain = all(seen.stand is not None and seen.stand.hull is None for seen in (first, second))
    return plain and not any(_bites(box, first.box, second.box) for box in met)


def _bites(hole: Rect, one: Rect, other: Rect) -> bool:
    """Tell whether a hole may take a corner of a box, or part it, as the box moves."""
    corners = zip(one.corners, other.corners, strict=True)
    if any(_overlap(_segment(a, b), hole) for a, b in corners):
        return True
    lows = max(one.x, other.x), max(one.y, other.y)
    highs = min(one.right, other.right), min(one.top, other.top)
    spans_x = hole.x <= lows[0] and highs[0] <= hole.right
    spans_y = hole.y <= lows[1] and highs[1] <= hole.top
    return spans_x or spans_y


def _segment(a: Point, b: Point) -> Rect:
    """Return the box between two points, one unit broader than it is."""
    x, y = min(a[0], b[0]), min(a[1], b[1])
    return Rect(x, y, abs(a[0] - b[0]) + 1, abs(a[1] - b[1]) + 1)


def _takes_corner(seen: Seen, near: Round) -> bool:
    inner = (corner for corner in seen.cell.corners)
    return any(_overlap(_segment(corner, corner), box) for corner in inner for box in near.holes)


def _sure_full(low: Sight, high: Sight, near: Round) -> int:
    boxes = (*near.slanted, *near.holes)
    return sum(
        not any(_overlap(_around(cell, high.full_cells[label]), box) for box in boxes)
        for label, cell in low.full_cells.items()
        if label in high.full_cells
    )


def _part(first: Seen, second: Seen, box: Box, along: Along, point: bool) -> Part | None:
    """Return a piece with its sizes as forms; None when they are none."""
    if first.stand is None or second.stand is None:
        return None
    one, other = first.stand, second.stand
    across, upwards = along[::-1] if first.turn else along
    width = form_of(one.width, other.width, across, box)
    height = form_of(one.height, other.height, upwards, box)
    if width is None or height is None:
        return None
    notches = _notches(first, second, (across, upwards), box)
    if point:
        return Part(width, height, one.wants, notches, one)
    return Part(width, height, one.wants & other.wants, notches, None)


def _notches(first: Seen, second: Seen, along: Along, box: Box) -> tuple[Notch, ...]:
    assert first.stand is not None
    assert second.stand is not None
    one, other = first.stand.pockets, second.stand.pockets
    sides = [pocket.sides for pocket in one]
    same = sides == [pocket.sides for pocket in other]
    if not (same and len(sides) in (0, _PLAIN_CORNERS.get(first.corners, -1))):
        every = sorted({pocket.sides for pocket in (*one, *other)})
        return tuple(Notch(side, Form(HUGE), Form(HUGE), 0) for side in every)
    found = []
    for a, b in zip(one, other, strict=True):
        width = form_of(a.width, b.width, along[0], box) or Form(max(a.width, b.width))
        height = form_of(a.height, b.height, along[1], box) or Form(max(a.height, b.height))
        found.append(Notch(a.sides, width, height, a.notch_width - a.width))
    return tuple(found)


def _sizes(first: Seen, second: Seen, box: Box, along: Along) -> Iterator[Size]:
    """Yield what the start decides of a piece: its cut sides, and how narrow it is within."""
    for axis in (0, 1):
        if along[axis] is None:
            continue
        whole = first.cell[2 + axis]
        runs = first.runs[axis], second.runs[axis]
        boxes = _reach(first.box, axis), _reach(second.box, axis)
        pairs = [(*boxes, False)]
        if len(runs[0]) == len(runs[1]) > 1:
            pairs += [(a, b, True) for a, b in zip(*runs, strict=True)]
        for a, b, is_run in pairs:
            ends = _is_cut(a, first.cell, axis), _is_cut(b, second.cell, axis)
            form = form_of(a[1] - a[0], b[1] - b[0], along[axis], box) if all(ends) else None
            if form:
                yield Size(form, whole, is_run)


def _reach(box: Rect, axis: int) -> tuple[int, int]:
    return box[axis], box[axis] + box[2 + axis]


def _is_cut(run: tuple[int, int], cell: Rect, axis: int) -> bool:
    """Tell whether a run begins or ends at a side of the tile, and is cut at its other end."""
    low, high = _reach(cell, axis)
    return (run[0] == low) != (run[1] == high)


def clipped(span: Span, box: Box, share: Fraction, sliver: int) -> Box | None:
    """Return the starts in a box at which every cut keeps its least size, None without any."""
    for size in span.sizes:
        least = sliver if size.is_run else max(sliver, -(-size.whole * share // 1))
        form = size.form
        if form.slope > 0:
            box = box.within(form.variable, low=least - form.base)
        elif form.slope < 0:
            box = box.within(form.variable, high=form.base - least)
        elif form.base < least:
            return None
        if box.is_empty:
            return None
    return box


def least_doubled_area(span: Span, box: Box, along: Along, tile: JobTile) -> int:
    """Return twice the area that the tiles of a surface have at least, at every start in a box.

    For a start along one axis the area grows or shrinks evenly with that along the other, so it
    is least in a corner of the box.
    """
    corners = [box.low]
    for at in along:
        if at is not None and box.low[at] < box.high[at]:
            corners += [(*c[:at], box.high[at], *c[at + 1 :]) for c in corners]
    cut: int = min(sum(part.doubled_area(corner) for part in span.parts) for corner in corners)
    whole: int = tile.width * tile.height
    return 2 * span.full * whole + cut


def thinnest(tile: JobTile) -> int:
    """Return the least strip that a request may ask for."""
    longest: int = max(tile.width, tile.height)
    return max(SHORTEST_SIDE, -(-longest // LARGEST_RATIO))


def _around(a: Rect, b: Rect) -> Rect:
    x, y = min(a.x, b.x), min(a.y, b.y)
    return Rect(x, y, max(a.right, b.right) - x, max(a.top, b.top) - y)


def _overlap(a: Rect, b: Rect) -> bool:
    return a.x < b.right and b.x < a.right and a.y < b.top and b.y < a.top


def _holds(outer: Rect, inner: Rect) -> bool:
    return (
        outer.x <= inner.x
        and outer.y <= inner.y
        and inner.right <= outer.right
        and inner.top <= outer.top
    )
