"""Tiles that are planned together, because pieces may be cut from any of several."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import gcd, lcm

from cutopt.documents import CutTile, Piece, Request, Tile, Together, Total, is_full_tile
from cutopt.errors import CannotBeMet, Fault
from cutopt.planning.counting import counted
from cutopt.planning.jointly import joint_certificate_of
from cutopt.planning.pose import (
    Look,
    Member,
    Posed,
    cutters_of,
    fits_any,
    order_of,
    sheets_of,
    stands_of,
    turned_stands,
)
from cutopt.solver import Kind, Problem, Sheet, Solution, Stand, missing_in


@dataclass(frozen=True)
class Prices:
    """What a new tile of each kind costs, in whole steps, and how much a step is."""

    of_tile: tuple[int, ...]
    step: Fraction

    @classmethod
    def of(cls, request: Request, tiles: Sequence[Tile]) -> "Prices":
        """Return the prices, or 1 for every tile where tiles are counted."""
        if request.objective == "tiles":
            return cls((1,) * len(tiles), Fraction(1))
        exact = [Fraction(tile.price or 0) for tile in tiles]
        parts = lcm(*(price.denominator for price in exact))
        whole = [int(price * parts) for price in exact]
        step = gcd(*whole)
        return cls(tuple(price // step for price in whole), Fraction(step, parts))


def pose_together(request: Request, tiles: tuple[Tile, ...]) -> Posed:
    """Return what the solver is asked about tiles that pieces may choose from."""
    lots = {tile.id: lot for lot, tile in enumerate(tiles)}
    stock = {
        replace(sheet, lot=lot, cost=0): offcuts
        for lot, tile in enumerate(tiles)
        for sheet, offcuts in sheets_of(request, tile).items()
    }
    mine = [piece for piece in request.pieces if request.tiles_of(piece)[0].id in lots]
    full = [piece for piece in mine if _is_straight(piece, request, tuple(stock))]
    straight = {piece.id for piece in full}
    groups: dict[tuple[Look, frozenset[int]], list[Member]] = {}
    firsts: dict[Look, Stand] = {}
    kerf = request.kerf_of(tiles[0].id)
    for piece in mine:
        if piece.id in straight:
            continue
        first = min(stands_of(piece, tiles[0], kerf), key=order_of)
        key = first.look, frozenset(lots[tile.id] for tile in request.tiles_of(piece))
        groups.setdefault(key, []).append(Member(piece, first.turn))
        firsts.setdefault(first.look, first)
    kinds = tuple(
        Kind(
            turned_stands(firsts[look], tiles[0]),
            sum(member.piece.quantity for member in members),
            of,
        )
        for (look, of), members in groups.items()
    )
    new = tuple(_new_sheets(request, tiles, full))
    return Posed(
        tiles[0],
        Problem(kinds, (*new, *stock), kerf, cutters_of(request, tiles[0])),
        tuple(map(tuple, groups.values())),
        ((),) * len(new) + tuple(map(tuple, stock.values())),
        tuple(full),
        tiles,
    )


def _is_straight(piece: Piece, request: Request, stock: tuple[Sheet, ...]) -> bool:
    """Tell whether a piece comes straight out of the box: it has no choice and no offcut."""
    tile = request.tile_of(piece)
    if piece.tiles or not is_full_tile(piece, tile):
        return False
    return not fits_any(piece, tile, request, stock)


def _new_sheets(request: Request, tiles: Sequence[Tile], full: Sequence[Piece]) -> Iterator[Sheet]:
    costs = Prices.of(request, tiles).of_tile
    for lot, (tile, cost) in enumerate(zip(tiles, costs, strict=True)):
        straight = straight_of(request, tile, full)
        limit = None if tile.available is None else max(0, tile.available - straight)
        yield Sheet(tile.width, tile.height, limit=limit, cost=cost, lot=lot)


def straight_of(request: Request, tile: Tile, full: Sequence[Piece]) -> int:
    """Return how many tiles come straight out of the box."""
    return sum(piece.quantity for piece in full if request.tile_of(piece) is tile)


def reject_shortage_of(request: Request, posed: Posed, solution: Solution) -> None:
    """Raise `CannotBeMet` where there are too few of all tiles together."""
    beyond = sum(
        max(0, straight_of(request, tile, posed.full) - tile.available)
        for tile in posed.tiles
        if tile.available is not None
    )
    count, least = missing_in(posed.problem, solution)
    if count + beyond:
        few = [tile for tile in posed.tiles if tile.available is not None]
        sure = "no plan takes fewer" if count == least else f"at least {least + beyond} are missing"
        raise CannotBeMet(
            [
                Fault(
                    f"/tiles/{request.tiles.index(few[0])}/available",
                    ", ".join(f"{tile.available} of tile '{tile.id}'" for tile in few),
                    f"the pieces take {count + beyond} more than there are; {sure}",
                )
            ]
        )


def totals_of(request: Request, posed: Posed, made: Sequence[CutTile]) -> Iterator[Total]:
    """Yield what each of the tiles comes to; its bound counts the pieces that have no choice."""
    for tile in posed.tiles:
        mine = [one for one in made if one.tile == tile.id]
        own = [one for one in request.pieces if not one.tiles and request.tile_of(one) is tile]
        placed = {piece.id: piece for piece in request.pieces}
        choosing = [
            (placed[placement.piece], one.count)
            for one in mine
            for placement in one.placements
            if placed[placement.piece].tiles
        ]
        pieces = [(piece, piece.quantity) for piece in own] + choosing
        total = counted(tile, pieces, mine, 0)
        least = min(total.tiles_needed, _least(request, posed, tile, own))
        proven = least == total.tiles_needed
        yield total.model_copy(
            update={"lower_bound": least, "proven_minimal": proven, "chosen": True}
        )


def _least(request: Request, posed: Posed, tile: Tile, own: Sequence[Piece]) -> int:
    """Return how many tiles the pieces without a choice take by their area, kerf left out."""
    straight = straight_of(request, tile, posed.full)
    area: int = sum(
        stand.doubled_area * piece.quantity
        for piece in own
        if not (is_full_tile(piece, tile) and piece in posed.full)
        for stand in stands_of(piece, tile, posed.problem.kerf)[:1]
    )
    area -= sum(
        2 * offcut.width * offcut.height * offcut.quantity
        for offcut in request.offcuts
        if request.tile_of(offcut) is tile
    )
    tiles: int = -(-area // (2 * tile.width * tile.height))
    return straight + max(0, tiles)


def together_of(
    request: Request, posed: Posed, totals: Sequence[Total], solution: Solution
) -> Together:
    """Return what the tiles come to together, and what no plan undercuts."""
    prices = Prices.of(request, posed.tiles)
    straight = sum(
        cost * straight_of(request, tile, posed.full)
        for cost, tile in zip(prices.of_tile, posed.tiles, strict=True)
    )
    needed = sum(
        cost * total.tiles_needed for cost, total in zip(prices.of_tile, totals, strict=True)
    )
    least = straight + solution.bound
    return Together(
        tiles=tuple(tile.id for tile in posed.tiles),
        objective=request.objective,
        needed=_money(needed * prices.step),
        lower_bound=_money(least * prices.step),
        proven_minimal=least == needed,
        certificate=joint_certificate_of(posed, solution.proof),
    )


def _money(amount: Fraction) -> Decimal:
    return Decimal(amount.numerator) / Decimal(amount.denominator)
