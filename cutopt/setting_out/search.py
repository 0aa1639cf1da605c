"""The search for the start with the fewest tiles: branch and bound over boxes of starts.

Over a box every cut piece is taken as small as it becomes anywhere in it, every pocket as large:
what these take, no start in the box undercuts (docs/setting-out.md). The plan for them points
to a start, which is laid and counted; boxes that might still hold a better one are split where a
pattern of that plan begins or ends to fit.
"""

import heapq
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import count as numbers
from math import isqrt
from typing import Literal

from cutopt.documents import JobTile
from cutopt.layout.ground import Ground
from cutopt.plane import box_of
from cutopt.setting_out.bounding import Bounded, bounded
from cutopt.setting_out.count import Counts
from cutopt.setting_out.forms import Box, Form, Sum
from cutopt.setting_out.meeting import conditions, leaves_in_order, narrowed
from cutopt.setting_out.options import Option, Options
from cutopt.setting_out.sights import Sights
from cutopt.setting_out.space import Values
from cutopt.setting_out.span import Part, Span, least_doubled_area
from cutopt.solver import Stand
from cutopt.stop import Progress, Stop
from cutopt.units import INCH, MM

#: More boxes than this are not listed: then only a bound by area is given.
MOST_BOXES = 20_000


@dataclass(frozen=True, slots=True)
class Start:
    """A start that was laid and counted; `bound` is what no plan undercuts from this start."""

    values: Values
    tiles: int
    bound: int


@dataclass
class Node:
    """A box of starts, every surface over it, and what no start in it undercuts."""

    box: Box
    spans: dict[str, Span]
    bound: int
    plans: list[tuple[JobTile, Bounded]] | None = None


@dataclass
class Search:
    """Looks for the best start among the options of a job's surfaces."""

    options: Options
    counts: Counts
    stop: Stop
    best: Start | None = None
    cap: int = 10**9
    bound: int = 0
    boxes: int = 0
    laid: dict[Values, Start] = field(default_factory=dict)
    asked: dict[str, tuple[Fraction, int]] = field(default_factory=dict)
    why: Literal["", "time", "cancelled", "too many boxes"] = ""
    _areas: dict[tuple[str, int, tuple[tuple[int, int], ...]], tuple[Span, int]] = field(
        default_factory=dict
    )

    @property
    def sights(self) -> Sights:
        """Return what lays the surfaces."""
        return self.options.sights

    @property
    def grain(self) -> int:
        """Return what starts are rounded to where nothing speaks against it: 1 mm, or 1/16 in."""
        return INCH // 16 if self.options.space.job.units == "in" else MM

    def run(self, listed: dict[str, list[Option]]) -> None:
        """Search all boxes, best bound first, until plan and bound meet or time is over."""
        self.asked = dict(self.options.asked)
        self.bound = self.by_area(listed)
        heap: list[tuple[int, int, int, Node]] = []
        order = numbers()
        for node in self.roots(listed):
            if len(heap) > MOST_BOXES or not self.goes_on("listing boxes of starts"):
                self.why = self.why or "too many boxes"
                return
            heapq.heappush(heap, (node.bound, 1, next(order), node))
        while heap and self.goes_on("searching boxes of starts"):
            bound, _, _, node = heapq.heappop(heap)
            self.bound = max(self.bound, min(bound, self._most))
            if bound >= self._most:
                return
            for child in self._worked(node):
                if child.bound < self._most:
                    key = (child.bound, 0 if child.plans else 1, next(order), child)
                    heapq.heappush(heap, key)
        if not heap and not self.why and self.best:
            self.bound = self._most

    @property
    def _most(self) -> int:
        return self.best.tiles if self.best else self.cap

    def goes_on(self, step: str) -> bool:
        """Tell progress, and tell whether to go on."""
        best = self.best.tiles if self.best else None
        self.why = self.why or self.stop.reason(Progress("", step, best, self.bound)) or ""
        return not self.why

    def roots(self, listed: dict[str, list[Option]]) -> Iterator[Node]:
        """Yield the boxes in which every surface keeps its rules and its pieces their shape."""
        places = sorted(listed, key=lambda place: len(listed[place]))

        def joined(at: int, box: Box, spans: dict[str, Span]) -> Iterator[Node]:
            if at == len(places):
                yield Node(box, spans, self._area_of(spans, box))
                return
            for option in listed[places[at]]:
                both = common(box, option.box)
                if not both.is_empty:
                    yield from joined(at + 1, both, {**spans, places[at]: option.span})

        yield from joined(0, self.options.everything, {})

    def by_area(self, listed: dict[str, list[Option]]) -> int:
        """Return the tiles that no start undercuts, by the least area of each surface alone."""
        least: dict[str, int] = defaultdict(int)
        for place, options in listed.items():
            if place in self.options.sampled:
                least[self.sights.tiles[place].id] += area_less_joints(self.sights.ground(place))
                continue
            areas = (self._area(place, option.span, option.box) for option in options)
            least[self.sights.tiles[place].id] += min(areas, default=0)
        return sum(
            max(0, -(-(area - self._stock(tile)) // (2 * tile.width * tile.height)))
            for tile in self.options.space.job.tiles
            if (area := least[tile.id])
        )

    def _stock(self, tile: JobTile) -> int:
        sheets = self.counts.stock(tile)[1:]
        return sum(2 * sheet.width * sheet.height * (sheet.limit or 0) for sheet in sheets)

    def _area_of(self, spans: dict[str, Span], box: Box) -> int:
        """Return the tiles that a box takes at least, by area."""
        area: dict[str, int] = defaultdict(int)
        for place, span in spans.items():
            tile = self.sights.tiles[place]
            area[tile.id] += self._area(place, span, box)
        return sum(
            max(0, -(-(area[tile.id] - self._stock(tile)) // (2 * tile.width * tile.height)))
            for tile in self.options.space.job.tiles
            if area[tile.id]
        )

    def allows(self, listed: dict[str, list[Option]], values: Sequence[int]) -> bool:
        """Tell whether a start lies within the boxes of every surface."""
        return all(
            any(
                all(low <= v <= high for low, high, v in zip(*option.box, values, strict=True))
                for option in options
            )
            for options in listed.values()
        )

    def _area(self, place: str, span: Span, box: Box) -> int:
        """Return twice the least area of a surface, counted once for what its own variables do."""
        along = self.options.along(place)
        mine = tuple((box.low[at], box.high[at]) for at in along if at is not None)
        key = (place, id(span), mine)
        if key not in self._areas:
            # The span is kept with it: its id is its own only as long as it lives.
            area = least_doubled_area(span, box, along, self.sights.tiles[place])
            self._areas[key] = (span, area)
        return self._areas[key][1]

    def _worked(self, node: Node) -> list[Node]:
        """Return what becomes of a node: itself with a better bound, its parts, or nothing."""
        if node.plans is None:
            self.boxes += 1
            self._bound(node)
            if node.bound >= self._most:
                return []
            left = self._try(node)
            return [node] if node.bound < self._most and left is not None else []
        return self._split(node)

    def _bound(self, node: Node) -> None:
        """Bound a node by the fewest tiles for its pieces, each as small as it gets."""
        node.plans = []
        bound = 0
        for tile, pieces, full in self._by_tile(node.spans):
            straight, parts = self._straight(tile, pieces, full)
            rest = max(self._most - bound - straight, 0)
            found = bounded(self.counts, tile, parts, node.box, rest)
            bound += straight + found.bound
            node.plans.append((tile, found))
        node.bound = max(node.bound, bound)

    def _straight(self, tile: JobTile, parts: list[Part], full: int) -> tuple[int, list[Part]]:
        """Return the full tiles that come out of the box, and all that is to be cut.

        Full tiles are cut, too, when an offcut on the shelf is large enough for one.
        """
        if not self._shelf_holds(tile):
            return full, parts
        whole = Stand(tile.width, tile.height, 0)
        part = Part(Form(tile.width), Form(tile.height), 0, (), whole)
        return 0, [*parts, *[part] * full]

    def _shelf_holds(self, tile: JobTile) -> bool:
        whole = (tile.width, tile.height, 0)
        return any(sheet.holds(*whole) for sheet in self.counts.stock(tile)[1:])

    def _by_tile(self, spans: dict[str, Span]) -> Iterator[tuple[JobTile, list[Part], int]]:
        for tile in self.options.space.job.tiles:
            mine = [span for place, span in spans.items() if self.sights.tiles[place] == tile]
            if mine:
                parts = [part for span in mine for part in span.parts]
                yield tile, parts, sum(span.full for span in mine)

    def _try(self, node: Node) -> list[Sum] | None:
        """Lay the start that a node's plan points to; return what could not be met there.

        None when the node holds nothing better than that start.
        """
        point, left = narrowed(node.box, list(self._wanted(node)), self.grain)
        found = self.keep(self.count(point.low))
        if found.tiles <= node.bound:
            return None
        return left

    def _wanted(self, node: Node) -> Iterator[list[Sum]]:
        """Yield the conditions of each cut tile in a node's plan."""
        for tile, plan in node.plans or ():
            stock = self.counts.stock(tile)
            for cutting in plan.cuttings:
                taken = [plan.kinds[kind][0] for kind in leaves_in_order(cutting.tree)]
                yield conditions(cutting.tree, stock[cutting.sheet], taken)

    def count(self, values: Sequence[int]) -> Start:
        """Lay a start and count its tiles."""
        key = tuple(values)
        if key not in self.laid:
            tiles = bound = 0
            for tile in self.options.space.job.tiles:
                sights = [
                    self.sights.at(place, key)
                    for place in self.sights.places
                    if self.sights.tiles[place] == tile
                ]
                if sights:
                    stands = [
                        piece.stand for s in sights for piece in s.pieces.values() if piece.stand
                    ]
                    full = sum(s.full for s in sights)
                    if self._shelf_holds(tile):
                        stands, full = [*stands, *[Stand(tile.width, tile.height, 0)] * full], 0
                    found = self.counts.fewest(tile, stands)
                    tiles, bound = tiles + full + found.tiles, bound + full + found.bound
            self.laid[key] = Start(key, tiles, bound)
        return self.laid[key]

    def keep(self, start: Start) -> Start:
        """Keep a start that is within the rules when it is the best so far."""
        if start.tiles < self._most and self.options.keeps(start.values, self.asked):
            self.best = start
        return start

    def _split(self, node: Node) -> list[Node]:
        """Split a node where a condition of its plan begins to hold, or in the middle."""
        if node.box.is_point:
            return []
        _, left = narrowed(node.box, list(self._wanted(node)), self.grain)
        variable, at = self._where(node.box, left)
        parts = (node.box.within(variable, high=at), node.box.within(variable, low=at + 1))
        return [self._part(node, box, variable) for box in parts if not box.is_empty]

    def _where(self, box: Box, left: Sequence[Sum]) -> tuple[int, int]:
        for item in left:
            if len(item.slopes) == 1 and item.least(box) <= 0:
                ((variable, slope),) = item.slopes
                at = -item.base // slope if slope > 0 else -(-item.base // -slope) - 1
                if box.low[variable] <= at < box.high[variable]:
                    return variable, at
        involved = [at for item in left for at, _ in item.slopes] or list(range(len(box.low)))
        open_ = [at for at in involved if box.low[at] < box.high[at]]
        open_ = open_ or [at for at in range(len(box.low)) if box.low[at] < box.high[at]]
        variable = max(open_, key=lambda at: box.high[at] - box.low[at])
        return variable, (box.low[variable] + box.high[variable]) // 2

    def _part(self, node: Node, box: Box, variable: int) -> Node:
        spans = {
            place: self.options.span(place, box)
            if variable in self.options.along(place) or place in self.sights.irregular
            else span
            for place, span in node.spans.items()
        }
        return Node(box, spans, node.bound)


def common(one: Box, other: Box) -> Box:
    """Return the starts that two boxes share."""
    low = tuple(map(max, one.low, other.low))
    high = tuple(map(min, one.high, other.high))
    return Box(low, high)


def area_less_joints(ground: Ground) -> int:
    """Return twice the area that tiles cover at least, whatever the start: joints at their most.

    Round holes are left out: what is sawn out of them may serve elsewhere.
    """
    joints = _joints_upright(ground) if _is_level(ground) else _joints_aslant(ground)
    holes = sum(2 * hole.diameter**2 for hole in ground.pierced)
    left: int = ground.region.doubled_area - joints - holes
    return max(0, left)


def _is_level(ground: Ground) -> bool:
    return ground.frame.is_level and ground.surface.bond.kind in ("stack", "running", "planks")


def _joints_upright(ground: Ground) -> int:
    """Return twice the most area of joints where they run along the sides of the field."""
    surface, tile, field = ground.surface, ground.tile, box_of(ground.field)
    across = field.width // (tile.width + surface.joint) + 2
    upwards = field.height // (tile.height + surface.joint) + 2
    joints: int = 2 * surface.joint * (across * field.height + upwards * field.width)
    return joints


def _joints_aslant(ground: Ground) -> int:
    """Return twice the most area of joints, however the tiles lie.

    A tile with half the joint all round is a cell, and cells fill every bond. Those that touch
    the surface lie within its box made wider by the diagonal of a cell on each side.
    """
    joint, tile, box = ground.surface.joint, ground.tile, box_of(ground.outline)
    width, height = tile.width + joint, tile.height + joint
    beside = 2 * (isqrt(width * width + height * height) + 1)
    around = (box.width + beside) * (box.height + beside)
    cell = width * height
    joints: int = -(-2 * around * (cell - tile.width * tile.height) // cell)
    return joints
