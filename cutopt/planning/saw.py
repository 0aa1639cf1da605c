"""How a tree is cut from its sheet, cut by cut: the parts, where pieces lie, what is left."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from cutopt.documents import ALL_SIDES, Cut, Leftover, Side
from cutopt.documents.plan import Corner
from cutopt.plane import Point, Rect, cross
from cutopt.planning.pose import BIT
from cutopt.solver import (
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    Cutters,
    Join,
    Leaf,
    Nest,
    Pocket,
    Router,
    Sheet,
    Tree,
)
from cutopt.units import MM

#: A part narrower than this is waste, not an offcut: strips below 25 mm break (common
#: practice, no source).
NARROWEST_KEPT = 25 * MM
#: A shaving thinner than this is not cut off: 0.02 mm, far below what any saw holds.
THINNEST_SHAVING = MM // 50
ACROSS, UPWARDS = LEFT | RIGHT, BOTTOM | TOP
Line = tuple[Point, Point]
CORNERS: dict[int, Corner] = {
    LEFT | BOTTOM: "bottom-left",
    RIGHT | BOTTOM: "bottom-right",
    LEFT | TOP: "top-left",
    RIGHT | TOP: "top-right",
}


@dataclass(frozen=True)
class Lying:
    """A piece where it lies: the leaf of the tree, its corner, the part that becomes it."""

    leaf: Leaf
    x: int
    y: int
    part: int


@dataclass
class Bench:
    """One sheet on the bench, and the steps that part it.

    `router` says in which order, where saw or snap cutter do not reach everywhere.
    """

    sheet: Sheet
    kerf: int
    router: Router = field(default_factory=lambda: Router(Cutters(), 0))
    cuts: list[Cut] = field(default_factory=list)
    lying: list[Lying] = field(default_factory=list)
    rests: list[tuple[int, Rect]] = field(default_factory=list)
    parts: int = 1
    rects: dict[int, Rect] = field(default_factory=dict)

    def cut_up(self, tree: Tree) -> "Bench":
        """Do all cuts of a tree."""
        self._part(tree, Rect(0, 0, self.sheet.width, self.sheet.height), 0)
        return self

    @property
    def leftovers(self) -> tuple[Leftover, ...]:
        """Return what is large enough to keep."""
        return tuple(
            Leftover(
                part=part,
                x=rect.x,
                y=rect.y,
                width=rect.width,
                height=rect.height,
                factory_edges=self._factory(rect),
            )
            for part, rect in self.rests
            if min(rect.width, rect.height) >= NARROWEST_KEPT
        )

    def _factory(self, rect: Rect) -> tuple[Side, ...]:
        on = {
            "left": rect.x == 0,
            "right": rect.right == self.sheet.width,
            "bottom": rect.y == 0,
            "top": rect.top == self.sheet.height,
        }
        return tuple(side for side in ALL_SIDES if on[side] and BIT[side] & self.sheet.edges)

    def _part(self, tree: Tree, rect: Rect, part: int) -> None:
        if self.router.cutters.saw is None:
            self._part_trimmed(tree, *self._trimmed(tree, rect, part))
            return
        _, step = self.router.look(tree, rect.width, rect.height)
        if step is None:
            self._part_trimmed(tree, rect, part)
        elif step.at is None:
            self._part(tree, *self._trim(tree, rect, part, upright=step.upright))
        else:
            assert isinstance(tree, Join)
            self._join(tree, rect, part, step.at)

    def _part_trimmed(self, tree: Tree, rect: Rect, part: int) -> None:
        if isinstance(tree, Nest):
            self._nest(tree, (rect.x, rect.y), Slant(rect, part))
        elif isinstance(tree, Leaf):
            if tree.stand.hull:
                self._nest(tree, (rect.x, rect.y), Slant(rect, part))
            else:
                self._shape(tree, rect, part)
        else:
            self._join(tree, rect, part, tree.first.width if tree.beside else tree.first.height)

    def _join(self, tree: Join, rect: Rect, part: int, at: int) -> None:
        at += rect.x if tree.beside else rect.y
        first, second = self._cut(rect, part, upright=tree.beside, at=at)
        assert first is not None
        assert second is not None
        self._part(tree.first, *first)
        self._part(tree.second, *second)

    def _trimmed(self, tree: Tree, rect: Rect, part: int) -> tuple[Rect, int]:
        """Trim a part to its tree, the direction that leaves the larger rest first.

        A tree that wants both ends is not trimmed: its slack lies at the cuts inside it.
        """
        beside, above = rect.width - tree.width, rect.height - tree.height
        widths = (True, beside) if tree.wants & ACROSS != ACROSS else (True, 0)
        heights = (False, above) if tree.wants & UPWARDS != UPWARDS else (False, 0)
        order = [widths, heights]
        if (above - self.kerf) * rect.width > (beside - self.kerf) * rect.height:
            order.reverse()
        for upright, slack in order:
            if slack > 0:
                rect, part = self._trim(tree, rect, part, upright=upright)
        return rect, part

    def _trim(self, tree: Tree, rect: Rect, part: int, *, upright: bool) -> tuple[Rect, int]:
        far_end = bool(tree.wants & (RIGHT if upright else TOP))
        if upright:
            at = rect.right - tree.width - self.kerf if far_end else rect.x + tree.width
        else:
            at = rect.top - tree.height - self.kerf if far_end else rect.y + tree.height
        low, high = self._cut(rect, part, upright=upright, at=at)
        kept, rest = (high, low) if far_end else (low, high)
        if rest:
            self.rests.append((rest[1], rest[0]))
        assert kept is not None
        return kept

    def _cut(
        self, rect: Rect, part: int, *, upright: bool, at: int
    ) -> tuple[tuple[Rect, int] | None, tuple[Rect, int] | None]:
        after = at + self.kerf
        if upright:
            low = Rect(rect.x, rect.y, at - rect.x, rect.height)
            high = Rect(after, rect.y, rect.right - after, rect.height)
        else:
            low = Rect(rect.x, rect.y, rect.width, at - rect.y)
            high = Rect(rect.x, after, rect.width, rect.top - after)
        first, second = self._numbered(low), self._numbered(high)
        self.cuts.append(
            Cut(
                part=part,
                way="vertical" if upright else "horizontal",
                at=at,
                makes=(first and first[1], second and second[1]),
            )
        )
        return first, second

    def _numbered(self, rect: Rect) -> tuple[Rect, int] | None:
        if rect.width <= 0 or rect.height <= 0:
            return None
        self.parts += 1
        self.rects[self.parts - 1] = rect
        return rect, self.parts - 1

    def _nest(self, tree: Leaf | Nest, at: Point, slant: "Slant") -> None:
        """Part the pieces of a nest, the last one pushed in first; then shape each."""
        if isinstance(tree, Leaf):
            self._shape_slanted(tree, Rect(*at, tree.width, tree.height), slant)
            return
        line = (_sum(tree.line[0], at), _sum(tree.line[1], at))
        left, beyond = self._slanted(slant, line)
        first, second = (left, beyond) if tree.first_left else (beyond, left)
        self._nest(tree.first, _sum(tree.at_first, at), first)
        self._nest(tree.second, _sum(tree.at_second, at), second)

    def _slanted(self, slant: "Slant", line: Line) -> tuple["Slant", "Slant"]:
        self.parts += 2
        made = (self.parts - 2, self.parts - 1)
        self.cuts.append(Cut(part=slant.part, way="slanted", line=line, makes=made))
        return (
            Slant(slant.rect, made[0], (*slant.lines, line), slant.beyond),
            Slant(slant.rect, made[1], slant.lines, (*slant.beyond, line)),
        )

    def _shape_slanted(self, leaf: Leaf, box: Rect, slant: "Slant") -> None:
        """Trim a part of a nest to its piece: its box first, then the slanted edges left over."""
        for upright, at in _trims(box, slant.rect, self.kerf):
            low, high = self._cut(slant.rect, slant.part, upright=upright, at=at)
            kept = low if low and _overlap(low[0], box) else high
            assert kept is not None
            slant = Slant(*kept, slant.lines, slant.beyond)
        for edge in _edges(leaf, box):
            if not slant.has_made(edge, self.kerf):
                slant, _ = self._slanted(slant, edge)
        self.lying.append(Lying(leaf, box.x, box.y, slant.part))

    def _shape(self, leaf: Leaf, rect: Rect, part: int) -> None:
        """Cut the notches of a piece; what they leave hosts other pieces or is kept."""
        hosted = dict(leaf.fills)
        pockets: list[tuple[Tree | None, Rect, int]] = []
        for number, pocket in enumerate(leaf.stand.pockets):
            self.parts += 1
            made, rest = self.parts - 1, self._numbered(_inside(pocket, rect))
            self.cuts.append(
                Cut(
                    part=part,
                    way="notch",
                    corner=CORNERS[pocket.sides],
                    width=pocket.notch_width,
                    height=pocket.notch_height,
                    makes=(made, rest and rest[1]),
                )
            )
            part = made
            if rest:
                pockets.append((hosted.get(number), *rest))
        self.lying.append(Lying(leaf, rect.x, rect.y, part))
        for tree, rest_rect, rest_part in pockets:
            if tree:
                self._part(tree, rest_rect, rest_part)
            else:
                self.rests.append((rest_part, rest_rect))


@dataclass(frozen=True)
class Slant:
    """A part that slanted cuts have run through.

    It is a rectangle less what lies right of `lines`, or short of a kerf beyond `beyond`.
    """

    rect: Rect
    part: int
    lines: tuple[Line, ...] = ()
    beyond: tuple[Line, ...] = ()

    def has_made(self, edge: Line, kerf: int) -> bool:
        """Tell whether an edge, the piece to its left, needs no cut of its own any more."""
        (ax, ay), (bx, by) = edge
        rect = self.rect
        if ax == bx:
            return ax in (rect.x, rect.right)
        if ay == by:
            return ay in (rect.y, rect.top)
        return any(cross(*line, edge[0]) == cross(*line, edge[1]) == 0 for line in self.lines) or (
            any(_is_just_beyond(line, edge, kerf) for line in self.beyond)
        )


def _is_just_beyond(line: Line, edge: Line, kerf: int) -> bool:
    """Tell whether an edge runs one kerf right of a line, to the thinnest shaving."""
    (ax, ay), (bx, by) = line
    squared = (bx - ax) ** 2 + (by - ay) ** 2
    most = (kerf + THINNEST_SHAVING) ** 2 * squared
    return all(cross(*line, end) <= 0 and cross(*line, end) ** 2 <= most for end in edge)


def _edges(leaf: Leaf, box: Rect) -> list[Line]:
    """Return the edges of a piece's hull where it lies, the piece to their left."""
    points = [_sum(point, (box.x, box.y)) for point in leaf.stand.points]
    return list(zip(points, (*points[1:], points[0]), strict=True))


def _trims(box: Rect, rect: Rect, kerf: int) -> Iterator[tuple[bool, int]]:
    """Yield the straight cuts that trim a rectangle to a box: upright or level, and where."""
    if rect.x < box.x:
        yield True, box.x - kerf
    if rect.right > box.right:
        yield True, box.right
    if rect.y < box.y:
        yield False, box.y - kerf
    if rect.top > box.top:
        yield False, box.top


def _overlap(a: Rect, b: Rect) -> bool:
    return a.x < b.right and b.x < a.right and a.y < b.top and b.y < a.top


def _sum(a: Point, b: Point) -> Point:
    return a[0] + b[0], a[1] + b[1]


def _inside(pocket: Pocket, box: Rect) -> Rect:
    """Return where a pocket lies in its piece's box."""
    x = box.x if pocket.sides & LEFT else box.right - pocket.width
    y = box.y if pocket.sides & BOTTOM else box.top - pocket.height
    return Rect(x, y, pocket.width, pocket.height)
