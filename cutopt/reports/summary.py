"""The summary: what to buy, what is proven, what to mind; plain text for a terminal."""

from collections.abc import Iterable, Iterator
from itertools import chain

from cutopt.documents import Plan, Request, Tile, Total
from cutopt.documents.mosaic import Mosaic
from cutopt.reports.cautions import CAUTIONS, NO_RESERVE
from cutopt.reports.lines import filled, item
from cutopt.reports.words import NO_BREAK, counted, money, plain, size_text

_ENDED = {
    "time": "the search ended when its time was up; more time may find fewer or prove more",
    "cancelled": "the search was cancelled; letting it run may find fewer or prove more",
}


def write_summary(request: Request, plan: Plan, travels: Iterable[tuple[str, str]] = ()) -> str:
    """Return the summary of a plan that has passed the check, at most 80 columns wide.

    `travels` are lines, with names, about offcuts of one surface that become pieces of another.
    """
    tiles = {tile.id: tile for tile in request.tiles}
    title = plan.title or request.title
    blocks = [
        list(filled(plain(f"Cut plan: {title}" if title else "Cut plan"))),
        *(list(_about(tiles[total.tile], total, plan)) for total in plan.totals),
        list(_all_tiles(plan)) if len(plan.totals) > 1 else [],
        list(_together(plan)),
        list(_travelling(travels)),
        list(filled(NO_RESERVE)),
        list(chain.from_iterable(filled(plain(note), "Note: ") for note in plan.notes)),
        ["Mind", *chain.from_iterable(filled(caution.full, "- ") for caution in CAUTIONS)],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _together(plan: Plan) -> Iterator[str]:
    """Yield what is proven of tiles that pieces could choose from."""
    for one in plan.together or ():
        names = ", ".join(map(plain, one.tiles))
        least = "cost" if one.objective == "cost" else "number of tiles"
        yield from filled(f"Together: {names}; least {least}")
        unit = money if one.objective == "cost" else str
        yield from item("least", unit(one.needed))
        proof = f"not proven: at least {unit(one.lower_bound)}"
        if one.proven_minimal:
            proof = "proven: no plan under these rules needs less"
        yield from item("proof", proof)


def _travelling(travels: Iterable[tuple[str, str]]) -> Iterator[str]:
    for number, (name, words) in enumerate(travels):
        if number == 0:
            yield "Offcuts that travel"
        yield from item(name, words)


def _about(tile: Tile, total: Total, plan: Plan) -> Iterator[str]:
    size = f"{size_text(tile.width, tile.height, plan.units, 'x')} {plan.units}"
    chips = "" if tile.mosaic is None else f", sheets of {_chips(tile, tile.mosaic)} chips"
    yield from filled(f"Tile {plain(tile.id)}, {size}{chips}")
    yield from item("buy", _buy(tile, total))
    if total.boxes is not None and tile.per_box is not None:
        yield from item("boxes", _boxes(tile, total.boxes, tile.per_box, total.tiles_needed))
    if total.cost is not None:
        yield from item("cost", f"{money(total.cost)} for {_tiles(total.tiles_needed, tile)}")
    if total.chosen:
        yield from item("proof", "together with others, below")
    else:
        yield from item("proof", _proof(tile, total))
    if not total.proven_minimal and plan.stopped in _ENDED:
        yield from item("", _ENDED[plan.stopped])
    if total.counted_naively is not None:
        yield from item("saved", _saved(tile, total.counted_naively, total.tiles_needed))
    if total.offcuts_used:
        yield from item("shelf", f"{counted(total.offcuts_used, 'offcut')} used, nothing to buy")
    yield from item("work", _work(total, plan))


def _chips(tile: Tile, mosaic: Mosaic) -> str:
    across = (tile.width + mosaic.parting) // mosaic.across
    up = (tile.height + mosaic.parting) // mosaic.up
    return f"{across}{NO_BREAK}x{NO_BREAK}{up}"


def _tiles(number: int, tile: Tile | None = None) -> str:
    return counted(number, "tile" if tile is None or tile.mosaic is None else "sheet")


def _buy(tile: Tile, total: Total) -> str:
    parts = []
    if total.full_tiles:
        parts.append(f"{total.full_tiles:,} laid whole")
    if total.cut_tiles:
        parts.append(f"{total.cut_tiles:,} {'cut' if tile.mosaic is None else 'parted'}")
    return _tiles(total.tiles_needed, tile) + (f": {', '.join(parts)}" if parts else "")


def _boxes(tile: Tile, boxes: int, per_box: int, needed: int) -> str:
    text = f"{counted(boxes, 'box', 'boxes')} of {per_box:,}"
    spare = boxes * per_box - needed
    return (
        f"{text}, which leaves {_tiles(spare, tile)} over" if spare else f"{text}, used up exactly"
    )


def _proof(tile: Tile, total: Total) -> str:
    if total.proven_minimal:
        return "proven: no plan under these rules needs fewer"
    gap = total.tiles_needed - total.lower_bound
    return f"not proven: at least {_tiles(total.lower_bound, tile)}, a gap of {gap:,}"


def _saved(tile: Tile, counted_naively: int, needed: int) -> str:
    saved = counted_naively - needed
    one = "tile" if tile.mosaic is None else "sheet"
    naive = f"a new {one} for every cut piece would take {counted_naively:,}"
    return f"{_tiles(saved, tile)}; {naive}" if saved else f"nothing; {naive} as well"


def _work(total: Total, plan: Plan) -> str:
    mine = [cut_tile for cut_tile in plan.cut_tiles if cut_tile.tile == total.tile]
    cuts, pieces = total.cuts or 0, total.cut_pieces or 0
    text = f"{counted(cuts, 'cut')} for {counted(pieces, 'cut piece')}"
    kept = sum(cut_tile.count * len(cut_tile.leftovers) for cut_tile in mine)
    return f"{text}; {counted(kept, 'leftover')} large enough to keep" if kept else text


def _all_tiles(plan: Plan) -> Iterator[str]:
    yield "All tiles together"
    yield from item("buy", _tiles(sum(total.tiles_needed for total in plan.totals)))
    costs = [total.cost for total in plan.totals if total.cost is not None]
    if len(costs) == len(plan.totals):
        yield from item("cost", money(sum(costs[1:], costs[0])))
