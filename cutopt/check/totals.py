"""Over the whole plan: pieces placed, offcuts used up, and what each tile comes to."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from math import isclose

from cutopt.check.known import NEW, Known, figure
from cutopt.documents import CutTile, Plan, Tile, Total, is_full_tile
from cutopt.errors import Fault, shown

_NOTHING_TO_COUNT_BY = "the request gives nothing to count this by"
#: A decimal has an end; far beyond any order it is all the same.
_MOST_PRICED = 10**18


def faults_of_numbers(plan: Plan) -> Iterator[Fault]:
    """Yield the cut tiles whose number another one bears."""
    seen: set[int] = set()
    for index, cut_tile in enumerate(plan.cut_tiles):
        if cut_tile.number in seen:
            place = f"/cut_tiles/{index}/number"
            yield Fault(place, figure(cut_tile.number), "each cut tile has a number of its own")
        seen.add(cut_tile.number)


def faults_of_offcuts(plan: Plan, known: Known) -> Iterator[Fault]:
    """Yield where an offcut is used more often than it lies on the shelf."""
    used: Counter[str] = Counter()
    for index, cut_tile in enumerate(plan.cut_tiles):
        offcut = known.offcuts.get(cut_tile.stock) if cut_tile.stock != NEW else None
        if offcut is None:
            continue
        before = used[offcut.id]
        used[offcut.id] += cut_tile.count
        if before <= offcut.quantity < used[offcut.id]:
            value = f"offcut {shown(offcut.id)}, used {_times(used[offcut.id])} so far"
            rule = f"the request has {offcut.quantity} of it"
            yield Fault(f"/cut_tiles/{index}/stock", value, rule)


def faults_of_pieces(plan: Plan, known: Known) -> Iterator[Fault]:
    """Yield the pieces that are placed too often or, unless they are full tiles, too seldom."""
    placed: Counter[str] = Counter()
    for index, cut_tile in enumerate(plan.cut_tiles):
        for number, placement in enumerate(cut_tile.placements):
            piece = known.pieces.get(placement.piece)
            if piece is None:
                continue
            before = placed[piece.id]
            placed[piece.id] += cut_tile.count
            if before <= piece.quantity < placed[piece.id]:
                yield Fault(
                    f"/cut_tiles/{index}/placements/{number}/piece",
                    f"{shown(piece.id)}, placed {_times(placed[piece.id])} so far",
                    f"piece {shown(piece.id)} is wanted {_times(piece.quantity)}",
                )
    for piece in known.pieces.values():
        if placed[piece.id] < piece.quantity and not known.is_full_tile(piece):
            value = f"piece {shown(piece.id)}, placed {_times(placed[piece.id])}"
            rule = f"piece {shown(piece.id)} is wanted {_times(piece.quantity)}"
            yield Fault("/cut_tiles", value, rule)


def _times(number: int) -> str:
    return "once" if number == 1 else f"{figure(number)} times"


@dataclass
class _Sum:
    """What the pieces and the cut tiles of one tile add up to."""

    pieces: int = 0
    cut_pieces: int = 0
    full_tiles: int = 0
    cut_tiles: int = 0
    offcuts_used: int = 0
    cuts: int = 0
    all_cuts_listed: bool = True

    @property
    def tiles_needed(self) -> int:
        """Return how many new tiles it takes."""
        return self.full_tiles + self.cut_tiles


def faults_of_totals(plan: Plan, known: Known) -> Iterator[Fault]:
    """Yield the totals that differ from what the request and the cut tiles add up to."""
    sums = _sums(plan, known)
    seen: set[str] = set()
    for index, total in enumerate(plan.totals):
        place = f"/totals/{index}"
        if total.tile not in sums:
            yield Fault(
                f"{place}/tile", shown(total.tile), "no piece of the request is of this tile"
            )
        elif total.tile in seen:
            yield Fault(f"{place}/tile", shown(total.tile), "each tile has one total")
        else:
            entry, tile = sums[total.tile], known.tiles[total.tile]
            yield from _differences(place, total, _expected(entry, tile))
            yield from _faults_of_cost(place, total, entry, tile)
            yield from _faults_of_stock(place, entry, tile)
            yield from _faults_of_bound(place, total, entry)
            if total.chosen and all(
                tile.id not in (one.tiles or ()) for one in known.pieces.values()
            ):
                yield Fault(f"{place}/chosen", "true", "no piece may choose this tile")
        seen.add(total.tile)
    for name in sums:
        if name not in seen:
            yield Fault("/totals", f"no total of tile {shown(name)}", "each tile has one total")


def _sums(plan: Plan, known: Known) -> dict[str, _Sum]:
    sums: dict[str, _Sum] = {}
    for piece in known.pieces.values():
        for tile in known.tiles_of(piece):
            entry = sums.setdefault(tile.id, _Sum())
        if piece.tiles:
            continue
        entry.pieces += piece.quantity
        if known.is_full_tile(piece):
            entry.full_tiles += piece.quantity
        else:
            entry.cut_pieces += piece.quantity
    for cut_tile in plan.cut_tiles:
        if cut_tile.tile in sums:
            entry = sums[cut_tile.tile]
            entry.cut_tiles += cut_tile.count if cut_tile.stock == NEW else 0
            entry.offcuts_used += cut_tile.count if cut_tile.stock != NEW else 0
            entry.cuts += cut_tile.count * len(cut_tile.cuts or ())
            entry.all_cuts_listed &= cut_tile.cuts is not None
            _count_chosen(entry, cut_tile, known)
    for piece_id, placed in _full_tiles_placed(plan, known).items():
        piece = known.pieces[piece_id]
        sums[known.tile_of(piece).id].full_tiles -= min(placed, piece.quantity)
    return sums


def _count_chosen(entry: _Sum, cut_tile: CutTile, known: Known) -> None:
    """Count the pieces that could have come of another tile: they are where they are placed."""
    for placement in cut_tile.placements:
        piece = known.pieces.get(placement.piece)
        if piece and piece.tiles and cut_tile.tile in piece.tiles:
            whole = is_full_tile(piece, known.tiles[cut_tile.tile])
            entry.pieces += cut_tile.count
            entry.cut_pieces += 0 if whole else cut_tile.count


def _full_tiles_placed(plan: Plan, known: Known) -> Counter[str]:
    full = {piece.id for piece in known.pieces.values() if known.is_full_tile(piece)}
    placed: Counter[str] = Counter()
    for cut_tile in plan.cut_tiles:
        for placement in cut_tile.placements:
            if placement.piece in full:
                placed[placement.piece] += cut_tile.count
    return placed


def _expected(entry: _Sum, tile: Tile) -> dict[str, int | None]:
    return {
        "tiles_needed": entry.tiles_needed,
        "full_tiles": entry.full_tiles,
        "cut_tiles": entry.cut_tiles,
        "pieces": entry.pieces,
        "cut_pieces": entry.cut_pieces,
        "offcuts_used": entry.offcuts_used,
        "counted_naively": entry.pieces,
        "boxes": -(-entry.tiles_needed // tile.per_box) if tile.per_box else None,
    } | ({"cuts": entry.cuts} if entry.all_cuts_listed else {})


def _differences(place: str, total: Total, expected: dict[str, int | None]) -> Iterator[Fault]:
    """Yield the counts that are not as expected; one that is left out claims nothing."""
    for name, count in expected.items():
        given = getattr(total, name)
        if given is not None and given != count:
            rule = _NOTHING_TO_COUNT_BY if count is None else f"this comes to {figure(count)}"
            yield Fault(f"{place}/{name}", figure(given), rule)


def _faults_of_cost(place: str, total: Total, entry: _Sum, tile: Tile) -> Iterator[Fault]:
    if total.cost is None:
        return
    if tile.price is None:
        yield Fault(f"{place}/cost", str(total.cost), _NOTHING_TO_COUNT_BY)
        return
    cost = tile.price * min(entry.tiles_needed, _MOST_PRICED)
    # Money may have been summed up in binary floating point, so not to the last digit.
    if not isclose(total.cost, cost, rel_tol=1e-12):
        yield Fault(f"{place}/cost", str(total.cost), f"this comes to {cost}")


def _faults_of_stock(place: str, entry: _Sum, tile: Tile) -> Iterator[Fault]:
    if tile.available is not None and entry.tiles_needed > tile.available:
        rule = f"there are {tile.available} of tile {shown(tile.id)}"
        yield Fault(f"{place}/tiles_needed", figure(entry.tiles_needed), rule)


def _faults_of_bound(place: str, total: Total, entry: _Sum) -> Iterator[Fault]:
    needed, bound = figure(entry.tiles_needed), figure(total.lower_bound)
    if total.lower_bound > entry.tiles_needed:
        yield Fault(f"{place}/lower_bound", bound, f"a bound is at most the {needed} tiles needed")
    elif total.proven_minimal != (total.lower_bound == entry.tiles_needed):
        rule = f"true exactly when the bound, {bound}, is the {needed} tiles needed"
        yield Fault(f"{place}/proven_minimal", str(total.proven_minimal).lower(), rule)
