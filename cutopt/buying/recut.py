"""From what a broken piece can be cut again: a leftover of the plan, or a spare tile shared by two.

A leftover serves one piece, a spare tile one or two that a single straight cut parts: rules that
are safe to promise before anybody knows what will break.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from cutopt.buying.breakage import Chances, Cuts, placed_cuts
from cutopt.documents import CutTile, Offcut, Piece, Plan, Request, Side, Tile
from cutopt.documents.buying import CutKind

#: The cuts of a piece, in an order of their own, so that equal pieces are found.
Signature = tuple[tuple[CutKind, int], ...]
_TURNS = {"none": (0,), "half": (0, 2), "quarter": (0, 1, 2, 3)}
_LEFT, _BOTTOM, _RIGHT, _TOP = 1, 2, 4, 8
_BITS: dict[Side, int] = {"left": _LEFT, "bottom": _BOTTOM, "right": _RIGHT, "top": _TOP}
_ACROSS, _UPRIGHT, _ALL = _LEFT | _RIGHT, _BOTTOM | _TOP, 15


@dataclass(frozen=True, order=True, slots=True)
class Box:
    """A box, with the sides that are factory edges or must be, as bits anticlockwise from left."""

    width: int
    height: int
    sides: int = 0

    def turned(self, quarters: int) -> "Box":
        """Return it turned anticlockwise by so many quarters."""
        sides = (self.sides << quarters | self.sides << quarters >> 4) & _ALL
        size = (self.height, self.width) if quarters % 2 else (self.width, self.height)
        return Box(*size, sides)

    def holds(self, piece: "Box") -> bool:
        """Tell whether a piece can be cut from this, with its factory edges on those of this."""
        wants = piece.sides
        return (
            piece.width <= self.width
            and piece.height <= self.height
            and not wants & ~self.sides
            and (wants & _ACROSS != _ACROSS or piece.width == self.width)
            and (wants & _UPRIGHT != _UPRIGHT or piece.height == self.height)
        )


def box(width: int, height: int, sides: Iterable[Side] = ()) -> Box:
    """Return a box by the names of its sides."""
    return Box(width, height, sum(_BITS[side] for side in set(sides)))


@dataclass(frozen=True, slots=True)
class Fragile:
    """Pieces that break and are cut again alike: their box, cuts, chance and number."""

    box: Box
    cuts: Signature
    chance: float
    count: int


#: Longer than any tile: what a piece takes that cannot lie at an end.
NOWHERE = 1 << 60


@dataclass(frozen=True, slots=True)
class Halves:
    """What a piece takes of a spare tile when it lies at one end of it.

    A straight cut parts the tile: a piece on the `left` takes its width; one on the `right` its
    width and the kerf, less the whole tile, so that two that fit sum up to nothing or less. So
    also `low` and `high`.
    """

    left: int = NOWHERE
    right: int = NOWHERE
    low: int = NOWHERE
    high: int = NOWHERE

    def fits_beside(self, other: "Halves") -> bool:
        """Tell whether one straight cut parts a tile into stock for both."""
        return (
            self.left + other.right <= 0
            or self.right + other.left <= 0
            or self.low + other.high <= 0
            or self.high + other.low <= 0
        )


@dataclass(frozen=True, slots=True)
class Risk:
    """All that decides how many spare tiles one tile takes.

    Attributes
    ----------
    chances, counts : tuple
        For each kind of piece its chance to break and how many there are.
    leftovers : tuple of int
        How many there are of each kind of leftover.
    fits : tuple of tuple of int
        For each kind of piece the kinds of leftovers that it can be cut from.
    halves : tuple of Halves
        What a kind of piece takes of a spare tile; two that fit share one.
    needed, cut : int
        New tiles of the plan, and those among them that are cut up.
    faulty, hidden : float
        Chance of a visible fault, and share of faulty tiles that still serve to be cut up.
    """

    chances: tuple[float, ...]
    counts: tuple[int, ...]
    leftovers: tuple[int, ...] = ()
    fits: tuple[tuple[int, ...], ...] = ()
    halves: tuple[Halves, ...] = ()
    needed: int = 0
    cut: int = 0
    faulty: float = 0.0
    hidden: float = 0.0

    def fits_of(self, kind: int) -> tuple[int, ...]:
        """Return the kinds of leftovers that hold a kind of piece."""
        return self.fits[kind] if self.fits else ()

    def share_a_tile(self, one: int, other: int) -> bool:
        """Tell whether two kinds of pieces can share a spare tile."""
        return bool(self.halves) and self.halves[one].fits_beside(self.halves[other])

    @property
    def expected_attempts(self) -> float:
        """Return how many pieces must be cut again in the mean."""
        pieces = zip(self.counts, self.chances, strict=True)
        return sum(many * chance / (1.0 - chance) for many, chance in pieces)


def fragile_pieces(request: Request, plan: Plan, tile: Tile, chances: Chances) -> list[Fragile]:
    """Return the pieces of one tile by kind, whole tiles first, in an order without chances."""
    kinds: Counter[tuple[Box, Signature]] = Counter()
    pieces = {piece.id: piece for piece in request.pieces}
    for cut_tile in _cut_tiles(plan, tile):
        for piece, cuts in placed_cuts(pieces, cut_tile):
            kinds[_box_of(piece), _signature(cuts)] += cut_tile.count
    total = next(total for total in plan.totals if total.tile == tile.id)
    whole = Box(tile.width, tile.height, _ALL)
    uncut: Cuts = Counter({"whole": 1})
    found = [Fragile(whole, _signature(uncut), chances.of(uncut), total.full_tiles)]
    for (wanted, signature), count in sorted(kinds.items()):
        chance = chances.of(Counter(dict(signature)))
        found.append(Fragile(wanted, signature, chance, count))
    return [one for one in found if one.count]


def risk_of(
    request: Request, plan: Plan, tile: Tile, fragile: list[Fragile], faults: tuple[float, float]
) -> Risk:
    """Return the risk of one tile, given its pieces and the chance and share of faulty tiles."""
    spare = Counter(_leftovers(request, plan, tile))
    boxes = sorted(spare)
    total = next(total for total in plan.totals if total.tile == tile.id)
    kerf = request.kerf_of(tile.id)
    turned = [turned_as_allowed(one.box, tile) for one in fragile]
    return Risk(
        tuple(one.chance for one in fragile),
        tuple(one.count for one in fragile),
        tuple(spare[stock] for stock in boxes),
        tuple(
            tuple(
                at for at, stock in enumerate(boxes) if any(stock.holds(piece) for piece in pieces)
            )
            for pieces in turned
        ),
        tuple(halves_of(pieces, tile, kerf) for pieces in turned),
        total.tiles_needed,
        total.cut_tiles,
        *faults,
    )


def turned_as_allowed(piece: Box, tile: Tile) -> list[Box]:
    """Return a box in every way in which it may lie on its tile."""
    return list(dict.fromkeys(piece.turned(turn) for turn in _TURNS[tile.turn]))


def halves_of(pieces: Iterable[Box], tile: Tile, kerf: int) -> Halves:
    """Return the least that a piece takes at each end of a tile, however it may lie."""
    least = [NOWHERE] * 4
    for piece in pieces:
        width, height = piece.width, piece.height
        ends = (
            (Box(width, tile.height, _ALL - _RIGHT), width),
            (Box(width, tile.height, _ALL - _LEFT), width + kerf - tile.width),
            (Box(tile.width, height, _ALL - _TOP), height),
            (Box(tile.width, height, _ALL - _BOTTOM), height + kerf - tile.height),
        )
        for at, (end, takes) in enumerate(ends):
            if end.holds(piece):
                least[at] = min(least[at], takes)
    return Halves(*least)


def _box_of(piece: Piece) -> Box:
    return box(piece.width, piece.height, piece.factory_edges)


def _signature(cuts: Cuts) -> Signature:
    return tuple(sorted(cuts.items()))


def _cut_tiles(plan: Plan, tile: Tile) -> Iterator[CutTile]:
    return (cut_tile for cut_tile in plan.cut_tiles if cut_tile.tile == tile.id)


def _leftovers(request: Request, plan: Plan, tile: Tile) -> Iterator[Box]:
    """Yield what the plan leaves of this tile, and offcuts on the shelf that it does not use."""
    used: Counter[str] = Counter()
    for cut_tile in _cut_tiles(plan, tile):
        used[cut_tile.stock] += cut_tile.count
        for left in cut_tile.leftovers:
            stock = box(left.width, left.height, left.factory_edges)
            yield from [stock] * cut_tile.count
    for offcut in _offcuts(request, tile):
        stock = box(offcut.width, offcut.height, offcut.factory_edges)
        yield from [stock] * (offcut.quantity - used[offcut.id])


def _offcuts(request: Request, tile: Tile) -> Iterator[Offcut]:
    return (offcut for offcut in request.offcuts if request.tile_of(offcut).id == tile.id)
