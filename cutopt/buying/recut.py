"""From what a broken piece can be cut again: a leftover of the plan, or a spare tile shared by two.

A leftover serves one piece, a spare tile one or two that a single straight cut parts: rules that
are safe to promise before anybody knows what will break.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from cutopt.buying.breakage import Chances, Cuts, placed_cuts
from cutopt.documents import ALL_SIDES, CutTile, Offcut, Piece, Plan, Request, Side, Tile
from cutopt.documents.buying import CutKind

#: The cuts of a piece, in an order of their own, so that equal pieces are found.
Signature = tuple[tuple[CutKind, int], ...]
_NEXT: dict[Side, Side] = {"left": "bottom", "bottom": "right", "right": "top", "top": "left"}
_TURNS = {"none": (0,), "half": (0, 2), "quarter": (0, 1, 2, 3)}


@dataclass(frozen=True, order=True, slots=True)
class Box:
    """A box, with the sides that are factory edges or must be."""

    width: int
    height: int
    sides: tuple[Side, ...] = ()

    def turned(self, quarters: int) -> "Box":
        """Return it turned anticlockwise by so many quarters."""
        sides = set(self.sides)
        for _ in range(quarters):
            sides = {_NEXT[side] for side in sides}
        size = (self.height, self.width) if quarters % 2 else (self.width, self.height)
        return Box(*size, tuple(side for side in ALL_SIDES if side in sides))


@dataclass(frozen=True, slots=True)
class Fragile:
    """Pieces that break and are cut again alike: their box, cuts, chance and number."""

    box: Box
    cuts: Signature
    chance: float
    count: int


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
    pairs : tuple of frozenset of int
        For each kind of piece the kinds that it can share a spare tile with.
    needed, cut : int
        New tiles of the plan, and those among them that are cut up.
    faulty, hidden : float
        Chance of a visible fault, and share of faulty tiles that still serve to be cut up.
    """

    chances: tuple[float, ...]
    counts: tuple[int, ...]
    leftovers: tuple[int, ...] = ()
    fits: tuple[tuple[int, ...], ...] = ()
    pairs: tuple[frozenset[int], ...] = ()
    needed: int = 0
    cut: int = 0
    faulty: float = 0.0
    hidden: float = 0.0

    def fits_of(self, kind: int) -> tuple[int, ...]:
        """Return the kinds of leftovers that hold a kind of piece."""
        return self.fits[kind] if self.fits else ()

    def pairs_of(self, kind: int) -> frozenset[int]:
        """Return the kinds that a kind of piece shares a spare tile with."""
        return self.pairs[kind] if self.pairs else frozenset()

    @property
    def expected_attempts(self) -> float:
        """Return how many pieces must be cut again in the mean."""
        pieces = zip(self.counts, self.chances, strict=True)
        return sum(many * chance / (1.0 - chance) for many, chance in pieces)


def fragile_pieces(request: Request, plan: Plan, tile: Tile, chances: Chances) -> list[Fragile]:
    """Return the pieces of one tile by kind, whole tiles first, in an order without chances."""
    kinds: Counter[tuple[Box, Signature]] = Counter()
    for cut_tile in _cut_tiles(plan, tile):
        for piece, _, cuts in placed_cuts(request, cut_tile):
            kinds[_box_of(piece), _signature(cuts)] += cut_tile.count
    total = next(total for total in plan.totals if total.tile == tile.id)
    whole = Box(tile.width, tile.height, ALL_SIDES)
    uncut: Cuts = Counter({"whole": 1})
    found = [Fragile(whole, _signature(uncut), chances.of(uncut), total.full_tiles)]
    for (box, signature), count in sorted(kinds.items()):
        chance = chances.of(Counter(dict(signature)))
        found.append(Fragile(box, signature, chance, count))
    return [one for one in found if one.count]


def risk_of(
    request: Request, plan: Plan, tile: Tile, fragile: list[Fragile], faults: tuple[float, float]
) -> Risk:
    """Return the risk of one tile, given its pieces and the chance and share of faulty tiles."""
    spare = Counter(_leftovers(request, plan, tile))
    boxes = sorted(spare)
    total = next(total for total in plan.totals if total.tile == tile.id)
    return Risk(
        tuple(one.chance for one in fragile),
        tuple(one.count for one in fragile),
        tuple(spare[box] for box in boxes),
        tuple(
            tuple(at for at, box in enumerate(boxes) if fits(one.box, box, tile)) for one in fragile
        ),
        tuple(
            frozenset(
                at
                for at, other in enumerate(fragile)
                if share_a_tile(one.box, other.box, tile, request.kerf_of(tile.id))
            )
            for one in fragile
        ),
        total.tiles_needed,
        total.cut_tiles,
        *faults,
    )


def fits(piece: Box, stock: Box, tile: Tile) -> bool:
    """Tell whether a piece can be cut from a leftover, turned as its tile allows."""
    return any(_lies_on(piece.turned(turn), stock) for turn in _TURNS[tile.turn])


def share_a_tile(one: Box, other: Box, tile: Tile, kerf: int) -> bool:
    """Tell whether one straight cut parts a new tile into stock for both pieces."""
    return any(
        _beside(first.turned(turn), second.turned(back), tile, kerf)
        or _beside(_lying(first.turned(turn)), _lying(second.turned(back)), _upright(tile), kerf)
        for turn in _TURNS[tile.turn]
        for back in _TURNS[tile.turn]
        for first, second in ((one, other), (other, one))
    )


def _beside(left: Box, right: Box, tile: Tile | Box, kerf: int) -> bool:
    """Tell whether two boxes lie side by side, each in its own part of the tile."""
    rest = tile.width - kerf - left.width
    return (
        rest >= right.width
        and _lies_on(left, Box(left.width, tile.height, ("left", "top", "bottom")))
        and _lies_on(right, Box(rest, tile.height, ("right", "top", "bottom")))
    )


def _lies_on(piece: Box, stock: Box) -> bool:
    wants = set(piece.sides)
    return (
        piece.width <= stock.width
        and piece.height <= stock.height
        and wants <= set(stock.sides)
        and (not {"left", "right"} <= wants or piece.width == stock.width)
        and (not {"bottom", "top"} <= wants or piece.height == stock.height)
    )


def _lying(box: Box) -> Box:
    """Return a box mirrored on its diagonal, so that above one another becomes side by side."""
    onto: dict[Side, Side] = {"left": "bottom", "bottom": "left", "right": "top", "top": "right"}
    sides = {onto[side] for side in box.sides}
    return Box(box.height, box.width, tuple(side for side in ALL_SIDES if side in sides))


def _upright(tile: Tile | Box) -> Box:
    return Box(tile.height, tile.width)


def _box_of(piece: Piece) -> Box:
    return Box(piece.width, piece.height, piece.factory_edges)


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
            box = Box(left.width, left.height, left.factory_edges)
            yield from [box] * cut_tile.count
    for offcut in _offcuts(request, tile):
        box = Box(offcut.width, offcut.height, offcut.factory_edges)
        yield from [box] * (offcut.quantity - used[offcut.id])


def _offcuts(request: Request, tile: Tile) -> Iterator[Offcut]:
    return (offcut for offcut in request.offcuts if request.tile_of(offcut).id == tile.id)
