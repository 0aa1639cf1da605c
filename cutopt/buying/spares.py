"""Tiles to buy: what the plan needs, the reserve, what is kept, in whole boxes, with the money."""

import math
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal

from cutopt.buying.breakage import Chances, Cuts, chances_for, placed_cuts
from cutopt.buying.recut import fragile_pieces, risk_of
from cutopt.buying.reserve import Spares, spares_of
from cutopt.documents import Piece, Plan, Request, Tile, Total
from cutopt.documents.buying import OrderSettings, TileToBuy
from cutopt.documents.order import BreakingCut, Reserve, SpareRow, TileOrder
from cutopt.plane import doubled_area
from cutopt.units import MM

#: Rows of the table before the reserve and after it.
ROWS_BEFORE, ROWS_AFTER = 6, 4
#: Square units of length in a square metre.
SQUARE_METRE = (1_000 * MM) ** 2


def tile_orders(
    request: Request, plan: Plan, settings: OrderSettings, seed: int
) -> Iterator[tuple[TileOrder, Spares]]:
    """Yield the order of each tile of a plan, with the distribution behind its reserve."""
    tiles = {tile.id: tile for tile in request.tiles}
    for total in plan.totals:
        yield _tile_order(request, plan, (tiles[total.tile], total), settings, seed)


def _tile_order(
    request: Request,
    plan: Plan,
    of: tuple[Tile, Total],
    settings: OrderSettings,
    seed: int,
) -> tuple[TileOrder, Spares]:
    tile, total = of
    buy = settings.of_tile(tile.id)
    chances = chances_for(tile, buy)
    fragile = fragile_pieces(request, plan, tile, chances)
    risk = risk_of(request, plan, tile, fragile, (buy.faulty, buy.fault_hidden))
    found = spares_of(risk, settings.simulated_jobs, settings.service_level, seed)
    price = tile.price if buy.price is None else buy.price
    per_box = tile.per_box if buy.per_box is None else buy.per_box
    spares = found.at(settings.service_level)
    wanted = total.tiles_needed + spares + buy.keep
    boxes = None if per_box is None else math.ceil(wanted / per_box)
    bought = wanted if boxes is None or per_box is None else boxes * per_box
    area = sum(area_of(piece) * piece.quantity for piece in _pieces_of(request, tile))
    by_area = -(-area // (tile.width * tile.height))
    saved = None if total.counted_naively is None else total.counted_naively - total.tiles_needed
    order = TileOrder(
        tile=tile.id,
        width=tile.width,
        height=tile.height,
        material=buy.material,
        tiles_needed=total.tiles_needed,
        reserve=_reserve(found, settings, price).model_copy(
            update={"cuts": tuple(_breaking(request, plan, tile, chances, buy))}
        ),
        keep=buy.keep,
        tiles_wanted=wanted,
        per_box=per_box,
        boxes=boxes,
        tiles_bought=bought,
        chance_short=round(found.chance_short(bought - total.tiles_needed), 6),
        price=price,
        cost=None if price is None else price * bought,
        counted_naively=total.counted_naively,
        tiles_saved=saved,
        money_saved=None if price is None or saved is None else price * saved,
        area=round(area / SQUARE_METRE, 4),
        by_area=by_area,
        percent_over_area=round((wanted / by_area - 1) * 100, 1),
    )
    return _with_returns(order, found, buy), found


def _reserve(found: Spares, settings: OrderSettings, price: Decimal | None) -> Reserve:
    level, short = settings.service_level, settings.cost_of_running_short
    spares = found.at(level)
    low, high = found.interval(level)
    weighed = None if price is None or short is None else (price, short)
    return Reserve(
        service_level=level,
        spares=spares,
        low=low,
        high=high,
        exact=not found.jobs,
        simulated_jobs=found.jobs,
        mean=round(found.mean, 3),
        cheapest=weighed and found.cheapest(*map(float, weighed)),
        table=tuple(
            _row(found, many, weighed)
            for many in range(max(0, spares - ROWS_BEFORE), spares + ROWS_AFTER + 1)
            if many <= spares or found.chance_short(many - 1)
        ),
    )


def _row(found: Spares, spares: int, weighed: tuple[Decimal, Decimal] | None) -> SpareRow:
    chance = found.chance_short(spares)
    low, high = found.chance_interval(spares)
    cost = weighed and weighed[0] * spares + weighed[1] * Decimal(repr(chance))
    return SpareRow(
        spares=spares,
        chance_short=round(chance, 6),
        low=round(low, 6),
        high=round(high, 6),
        cost=cost and round(cost, 2),
    )


def _breaking(
    request: Request, plan: Plan, tile: Tile, chances: Chances, buy: TileToBuy
) -> Iterator[BreakingCut]:
    made: Cuts = Counter()
    pieces = {piece.id: piece for piece in request.pieces}
    for cut_tile in plan.cut_tiles:
        if cut_tile.tile == tile.id:
            for _, cuts in placed_cuts(pieces, cut_tile):
                made.update({kind: times * cut_tile.count for kind, times in cuts.items()})
    given = {name.replace("_", " ").replace("u shape", "u-shape") for name in _given(buy)}
    for kind, chance in chances.of_kind.items():
        if made[kind]:
            yield BreakingCut(kind=kind, times=made[kind], chance=chance, given=kind in given)


def _given(buy: TileToBuy) -> Iterator[str]:
    return (name for name, chance in buy.breakage if chance is not None)


def _with_returns(order: TileOrder, found: Spares, buy: TileToBuy) -> TileOrder:
    """Return the order with the boxes that are expected to go back unopened."""
    if order.boxes is None or order.per_box is None or not buy.unopened_boxes_go_back:
        return order
    mean, some = 0.0, 0.0
    for spares, chance in enumerate(found.chances):
        opened = math.ceil((order.tiles_needed + spares + order.keep) / order.per_box)
        back = max(0, order.boxes - opened)
        mean += back * chance
        some += chance if back else 0.0
    money = None
    if order.price is not None:
        money = round(order.price * order.per_box * Decimal(repr(mean)), 2)
    return order.model_copy(
        update={
            "boxes_back": round(mean, 3),
            "chance_of_box_back": round(min(1.0, some), 4),
            "money_back": money,
        }
    )


def _pieces_of(request: Request, tile: Tile) -> Iterator[Piece]:
    return (piece for piece in request.pieces if request.tile_of(piece).id == tile.id)


def area_of(piece: Piece) -> int:
    """Return the area of a piece, round holes left in it, in square units of length."""
    holes = sum(abs(doubled_area(hole.outline)) for hole in piece.holes if hole.outline is not None)
    return (abs(doubled_area(piece.shape)) - holes) // 2
