"""Pieces that no tile serves: too large, wishes that no edge grants, cuts that no tool makes."""

from collections.abc import Iterator

from cutopt.documents import Piece, Request, Tile, is_full_tile
from cutopt.errors import CannotBeMet, Fault
from cutopt.planning.pose import cutters_of, fits_any, stands_of
from cutopt.solver import Sheet
from cutopt.units import Units, show_length


def reject_misfits(request: Request) -> None:
    """Raise `CannotBeMet` naming every piece that cannot be cut from its tile in any turn."""
    if faults := list(_misfits(request)):
        raise CannotBeMet(faults)


def _misfits(request: Request) -> Iterator[Fault]:
    for number, piece in enumerate(request.pieces):
        why = [_why(piece, tile, request) for tile in request.tiles_of(piece)]
        if all(why):
            size = _size(piece.width, piece.height, request.units)
            rule = "; ".join(one for one in why if one)
            yield Fault(f"/pieces/{number}", f"'{piece.id}', {size}", rule)


def _why(piece: Piece, tile: Tile, request: Request) -> str | None:
    """Return why a piece cannot be cut from its tile, None when it can."""
    size = f"tile '{tile.id}' of {_size(tile.width, tile.height, request.units)}"
    turns = {
        "none": "without a turn",
        "half": "turned by 0 or 180 degrees",
        "quarter": "in any turn",
    }
    if not _fits_any_size(piece, tile):
        return f"the piece is larger than {size}, {turns[tile.turn]}"
    if not _lies_on(piece, tile, request):
        return (
            f"factory edges on opposite sides need the full size of {size}; "
            f"asked for: {', '.join(piece.factory_edges)}"
        )
    if cutters_of(request, tile).saw == 0 and not piece.is_plain:
        return "a notch, a hole or a slanted edge needs a saw, and the snap cutter is alone"
    if not (is_full_tile(piece, tile) or fits_any(piece, tile, request, (_new(tile),))):
        return f"no saw or snap cutter of the request makes the cuts that free it from {size}"
    return None


def _new(tile: Tile) -> Sheet:
    return Sheet(tile.width, tile.height)


def _lies_on(piece: Piece, tile: Tile, request: Request) -> bool:
    return any(
        _new(tile).holds(stand.width, stand.height, stand.wants)
        for stand in stands_of(piece, tile, request.kerf_of(tile.id))
    )


def _fits_any_size(piece: Piece, tile: Tile) -> bool:
    sizes = {(piece.width, piece.height)}
    if tile.turn == "quarter":
        sizes.add((piece.height, piece.width))
    return any(width <= tile.width and height <= tile.height for width, height in sizes)


def _size(width: int, height: int, units: Units) -> str:
    return f"{show_length(width, units)} x {show_length(height, units)}"
