"""Pieces that may be cut from any of several tiles, and the tiles that are planned together."""

from collections.abc import Iterator

from cutopt.documents.request import Piece, Request, Tile
from cutopt.errors import Fault, shown


def groups_of(request: Request) -> list[tuple[Tile, ...]]:
    """Return the tiles that pieces are of, those together that a piece may choose from."""
    groups: list[set[str]] = []
    for names in {tuple(tile.id for tile in request.tiles_of(one)) for one in request.pieces}:
        joined = set(names).union(*(group for group in groups if group & set(names)))
        groups = [group for group in groups if not group & joined] + [joined]
    found = (tuple(tile for tile in request.tiles if tile.id in group) for group in groups)
    return sorted(found, key=lambda tiles: request.tiles.index(tiles[0]))


def faults_of_alternatives(place: str, piece: Piece, request: Request) -> Iterator[Fault]:
    """Yield what is wrong with the tiles that a piece may be cut from."""
    tiles, names = {tile.id: tile for tile in request.tiles}, piece.tiles or ()
    if piece.tile is not None or piece.goes_on is not None:
        reason = "a piece of several tiles names no other tile, and does not go on"
        yield Fault(f"{place}/tiles", shown(piece.tile or piece.goes_on), reason)
    known = [tile for tile in (tiles.get(name) for name in names) if tile]
    for number, name in enumerate(names):
        tile = tiles.get(name)
        rule: str | None = None
        if tile is None:
            rule = f"this names a tile of the request: {', '.join(list(tiles)[:8])}"
        elif names.index(name) < number:
            rule = "each tile is named once"
        elif tile.mosaic is not None or tile.turn != known[0].turn:
            rule = "tiles that one piece may be cut from are turned alike, and none is mosaic"
        elif request.objective == "cost" and not tile.price:
            rule = "where the cost is to be least, each of a piece's tiles has a price above 0"
        if rule:
            yield Fault(f"{place}/tiles/{number}", shown(name), rule)
