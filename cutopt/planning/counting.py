"""What the cut tiles of one kind of tile add up to, for every plan that is put together."""

from collections.abc import Iterable, Sequence

from cutopt.documents import CutTile, Piece, Tile, Total, is_full_tile


def counted(
    tile: Tile,
    pieces: Iterable[tuple[Piece, int]],
    cut_tiles: Sequence[CutTile],
    lower_bound: int,
) -> Total:
    """Return the total of a tile: pieces and how many of each, the tiles cut for them, a bound."""
    quantities = [(quantity, is_full_tile(piece, tile)) for piece, quantity in pieces]
    wanted = sum(quantity for quantity, _ in quantities)
    new = sum(one.count for one in cut_tiles if one.stock == "new")
    full = wanted - sum(one.count * len(one.placements) for one in cut_tiles)
    needed = full + new
    return Total(
        tile=tile.id,
        tiles_needed=needed,
        lower_bound=lower_bound,
        proven_minimal=lower_bound == needed,
        full_tiles=full,
        cut_tiles=new,
        pieces=wanted,
        cut_pieces=wanted - sum(quantity for quantity, whole in quantities if whole),
        offcuts_used=sum(one.count for one in cut_tiles if one.stock != "new"),
        counted_naively=wanted,
        cuts=sum(one.count * len(one.cuts or ()) for one in cut_tiles),
        boxes=-(-needed // tile.per_box) if tile.per_box else None,
        cost=tile.price * needed if tile.price is not None else None,
    )
