"""What the solver is asked: sheets to cut up and kinds of pieces to get out of them.

Everything is whole numbers. A set of sides is a bit mask of `LEFT`, `RIGHT`, `BOTTOM`, `TOP`.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from cutopt.solver.tools import Cutters

Point = tuple[int, int]

LEFT, RIGHT, BOTTOM, TOP = 1, 2, 4, 8
ALL_SIDES = 15
ACROSS = LEFT | RIGHT
UPWARDS = BOTTOM | TOP


@dataclass(frozen=True, slots=True)
class Pocket:
    """What a notch leaves of a corner: a rectangle that may host other pieces.

    Attributes
    ----------
    sides : int
        The two outer sides that it shares with its piece, such as `LEFT | BOTTOM`.
    width, height : int
        Its size after the kerf is gone.
    notch_width, notch_height : int
        The size of the notch, kerf included.
    """

    sides: int
    width: int
    height: int
    notch_width: int
    notch_height: int


@dataclass(frozen=True, slots=True)
class Stand:
    """A piece as it lies on the sheet, after a turn: its box, the sides that must be factory.

    `hull` is its convex hull, anticlockwise, when that is not the whole box.
    """

    width: int
    height: int
    wants: int
    pockets: tuple[Pocket, ...] = ()
    turn: int = 0
    hull: tuple[Point, ...] | None = None

    def turned(self) -> "Stand":
        """Return it a quarter turn further, anticlockwise."""
        pockets = tuple(
            Pocket(turned_sides(p.sides), p.height, p.width, p.notch_height, p.notch_width)
            for p in self.pockets
        )
        return Stand(
            self.height,
            self.width,
            turned_sides(self.wants),
            tuple(sorted(pockets, key=lambda pocket: pocket.sides)),
            (self.turn + 90) % 360,
            self.hull and _lowest_first((self.height - y, x) for x, y in self.hull),
        )

    @property
    def look(self) -> "Look":
        """Return all that matters for cutting, the turn left out."""
        return self.width, self.height, self.wants, self.pockets, self.hull

    @property
    def shaping(self) -> int:
        """Return how many cuts shape it after its box is parted off: notches and slanted edges."""
        if self.hull is None:
            return len(self.pockets)
        ends = zip(self.hull, (*self.hull[1:], self.hull[0]), strict=True)
        return sum(a[0] != b[0] and a[1] != b[1] for a, b in ends)

    @property
    def doubled_area(self) -> int:
        """Return twice the area that it takes up, pockets excepted."""
        ends = zip(self.points, (*self.points[1:], self.points[0]), strict=True)
        hull = sum(a[0] * b[1] - b[0] * a[1] for a, b in ends)
        return hull - 2 * sum(pocket.notch_width * pocket.notch_height for pocket in self.pockets)

    @property
    def points(self) -> tuple[Point, ...]:
        """Return the corners of the hull, anticlockwise."""
        box = ((0, 0), (self.width, 0), (self.width, self.height), (0, self.height))
        return self.hull or box


Look = tuple[int, int, int, tuple[Pocket, ...], tuple[Point, ...] | None]


def _lowest_first(points: Iterable[Point]) -> tuple[Point, ...]:
    """Start a ring of corners at its lowest, then leftmost one, so that equal rings are equal."""
    ring = tuple(points)
    start = min(range(len(ring)), key=lambda at: (ring[at][1], ring[at][0]))
    return ring[start:] + ring[:start]


def turned_sides(sides: int) -> int:
    """Return where a set of sides comes to lie after a quarter turn anticlockwise."""
    onto = {LEFT: BOTTOM, BOTTOM: RIGHT, RIGHT: TOP, TOP: LEFT}
    return sum(onto[side] for side in onto if sides & side)


@dataclass(frozen=True, slots=True)
class Kind:
    """Pieces that are cut alike: the ways that one may lie, and how many are wanted.

    The turns of `stands` count from the first one, whichever way up a piece will hang. `lots`
    are those that its sheets may be of; None for any.
    """

    stands: tuple[Stand, ...]
    demand: int
    lots: frozenset[int] | None = None

    def comes_of(self, sheet: "Sheet") -> bool:
        """Tell whether it may be cut from sheets of this lot."""
        return self.lots is None or sheet.lot in self.lots


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet to be cut up: a new tile, or an offcut, which costs nothing.

    There are only `limit` of it, unless that is None. Left out, the cost is 1 for the first
    sheet of a problem and 0 for all others. A `lot` is a tile and the offcuts of it.
    """

    width: int
    height: int
    edges: int = ALL_SIDES
    limit: int | None = None
    cost: int | None = None
    lot: int = 0

    def holds(self, width: int, height: int, wants: int) -> bool:
        """Tell whether a rigid box with these wishes can lie on the sheet."""
        return (
            width <= self.width
            and height <= self.height
            and not wants & ~self.edges
            and (wants & ACROSS != ACROSS or width == self.width)
            and (wants & UPWARDS != UPWARDS or height == self.height)
        )


@dataclass(frozen=True)
class Problem:
    """Kinds of pieces, sheets (the first is the new tile), kerf, and what cuts them."""

    kinds: tuple[Kind, ...]
    sheets: tuple[Sheet, ...]
    kerf: int
    cutters: Cutters = field(default_factory=Cutters)

    @property
    def new(self) -> Sheet:
        """Return the new tile."""
        return self.sheets[0]

    @cached_property
    def costs(self) -> tuple[int, ...]:
        """Return what each sheet costs."""
        usual = (int(number == 0) for number in range(len(self.sheets)))
        given = (sheet.cost for sheet in self.sheets)
        return tuple(a if b is None else b for a, b in zip(usual, given, strict=True))

    @cached_property
    def to_buy(self) -> tuple[int, ...]:
        """Return the numbers of the new sheets, that of most area for its cost first."""
        sizes = [sheet.width * sheet.height for sheet in self.sheets]
        new = [number for number, cost in enumerate(self.costs) if cost]
        return tuple(sorted(new, key=lambda number: Fraction(self.costs[number], sizes[number])))

    def cost_of(self, cuttings: "Iterable[Cutting]") -> int:
        """Return what a plan costs."""
        return sum(self.costs[cutting.sheet] * cutting.count for cutting in cuttings)

    def has_enough(self, cuttings: "Iterable[Cutting]") -> bool:
        """Tell whether a plan takes no more of any sheet than there are."""
        used = Counter[int]()
        for cutting in cuttings:
            used[cutting.sheet] += cutting.count
        limits = (self.sheets[number].limit for number in used)
        return all(
            limit is None or times <= limit
            for limit, times in zip(limits, used.values(), strict=True)
        )

    @cached_property
    def demands(self) -> tuple[int, ...]:
        """Return how many of each kind are wanted."""
        return tuple(kind.demand for kind in self.kinds)


@dataclass(frozen=True)
class Leaf:
    """A single piece, with what is cut from its pockets: pairs of pocket number and tree."""

    kind: int
    stand: Stand
    fills: "tuple[tuple[int, Tree], ...]" = ()

    @property
    def width(self) -> int:
        """Return the width of its box."""
        return self.stand.width

    @property
    def height(self) -> int:
        """Return the height of its box."""
        return self.stand.height

    @cached_property
    def wants(self) -> int:
        """Return the sides of its box that must lie on a factory edge."""
        wants = self.stand.wants
        for _, tree in self.fills:
            wants |= tree.wants
        return wants

    @cached_property
    def kinds(self) -> tuple[int, ...]:
        """Return the kinds of all its pieces, sorted."""
        inside = (kind for _, tree in self.fills for kind in tree.kinds)
        return tuple(sorted((self.kind, *inside)))


@dataclass(frozen=True)
class Join:
    """Two blocks parted by one straight cut, side by side or one upon the other."""

    first: "Tree"
    second: "Tree"
    beside: bool
    kerf: int

    @cached_property
    def width(self) -> int:
        """Return the least width of sheet that it takes."""
        if self.beside:
            return self.first.width + self.kerf + self.second.width
        return max(self.first.width, self.second.width)

    @cached_property
    def height(self) -> int:
        """Return the least height of sheet that it takes."""
        if self.beside:
            return max(self.first.height, self.second.height)
        return self.first.height + self.kerf + self.second.height

    @cached_property
    def wants(self) -> int:
        """Return the sides that must lie on a factory edge."""
        return self.first.wants | self.second.wants

    @cached_property
    def kinds(self) -> tuple[int, ...]:
        """Return the kinds of all pieces, sorted."""
        return tuple(sorted(self.first.kinds + self.second.kinds))


@dataclass(frozen=True)
class Nest:
    """Two blocks of slanted pieces that lie into one another, parted by one slanted cut.

    Attributes
    ----------
    at_first, at_second : tuple of int
        Where their boxes lie in the box of both.
    line : tuple of two points
        The cut in the box of both: the blade takes its kerf to the right of it, seen from the
        first point to the second.
    first_left : bool
        Whether the first lies left of the line, the second beyond the kerf, or the other way.
    """

    first: "Leaf | Nest"
    second: Leaf
    at_first: Point
    at_second: Point
    width: int
    height: int
    line: tuple[Point, Point]
    first_left: bool

    @cached_property
    def wants(self) -> int:
        """Return the sides of its box that must lie on a factory edge."""
        return self.first.wants | self.second.wants

    @cached_property
    def kinds(self) -> tuple[int, ...]:
        """Return the kinds of all pieces, sorted."""
        return tuple(sorted(self.first.kinds + self.second.kinds))

    @cached_property
    def cuts(self) -> int:
        """Return how many cuts part and shape its pieces; a slanted edge may serve two."""
        first = self.first.cuts if isinstance(self.first, Nest) else self.first.stand.shaping
        return first + self.second.stand.shaping


#: How a sheet is cut up: straight cuts down to single pieces.
Tree = Leaf | Join | Nest


def can_shape(cutters: Cutters, stand: Stand) -> bool:
    """Tell whether the saw cuts a piece's notches and slanted edges out of its box."""
    if stand.hull:
        return cutters.slants(stand.width, stand.height)
    sides = (max(pocket.notch_width, pocket.notch_height) for pocket in stand.pockets)
    return all(map(cutters.sawn, sides))


def can_free(cutters: Cutters, stand: Stand, sheet: Sheet) -> bool:
    """Tell whether a piece can come out of a sheet as far as lengths go.

    A piece longer than any cut is as high as its sheet: nothing is cut off along its long side.
    """
    longest = cutters.longest
    return longest is None or (
        can_shape(cutters, stand)
        and (stand.width <= longest or stand.height == sheet.height)
        and (stand.height <= longest or stand.width == sheet.width)
    )


def leaves_of(problem: Problem, sheet: Sheet) -> list[Leaf]:
    """Return every piece in every way that it may lie on a sheet, looks alike only once."""
    return [
        Leaf(number, stand)
        for number, kind in enumerate(problem.kinds)
        if kind.comes_of(sheet)
        for stand in sorted(
            {stand.look: stand for stand in reversed(kind.stands)}.values(),
            key=lambda stand: stand.turn,
        )
        if sheet.holds(stand.width, stand.height, stand.wants)
        and can_free(problem.cutters, stand, sheet)
    ]


@dataclass(frozen=True, slots=True)
class Cutting:
    """One way of cutting a sheet, done `count` times."""

    sheet: int
    tree: Tree
    count: int


@dataclass(frozen=True, slots=True)
class Proof:
    """Prices that prove a bound: at them no way of cutting a sheet is worth more than the sheet.

    Attributes
    ----------
    of_kind : tuple of int
        What a piece of each kind is worth.
    of_sheet : tuple of int
        No less than the best pattern of each sheet, the new one first.
    proves : int
        Fewest new sheets that this comes to.
    """

    of_kind: tuple[int, ...]
    of_sheet: tuple[int, ...]
    proves: int


@dataclass(frozen=True, slots=True)
class Solution:
    """The best cutting found; no solution takes fewer than `bound` new sheets.

    The prices of `proof` prove as much, or less where the integer program raised the bound.
    `followed` tells whether second wishes could be looked after.
    """

    cuttings: tuple[Cutting, ...]
    bound: int
    stopped: str = "done"
    proof: Proof | None = None
    followed: bool = False
    new_sheets: int = field(init=False, default=0)

    def __post_init__(self) -> None:
        used = sum(cutting.count for cutting in self.cuttings if cutting.sheet == 0)
        object.__setattr__(self, "new_sheets", used)
