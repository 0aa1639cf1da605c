"""What one tile's part of a request comes to for the solver: kinds, sheets, who is who.

Pieces that are cut alike, turned or not, are one kind; offcuts of the same size and edges are
one sheet. The books kept here lead back from kinds to pieces and from sheets to offcuts.
"""

from dataclasses import dataclass, replace

from cutopt.documents import Offcut, Piece, Request, Side, Tile, is_full_tile
from cutopt.planning.notches import corner_pockets, slanted_hull
from cutopt.solver import (
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    Cutters,
    Kind,
    Leaf,
    Problem,
    Router,
    Sheet,
    Stand,
)

BIT: dict[Side, int] = {"left": LEFT, "right": RIGHT, "bottom": BOTTOM, "top": TOP}
TURNS = {"none": (0,), "half": (0, 180), "quarter": (0, 90, 180, 270)}

Look = tuple[object, ...]


@dataclass(frozen=True)
class Member:
    """A piece among its kind; it was turned by `turn` to look like the kind's first stand."""

    piece: Piece
    turn: int


@dataclass(frozen=True)
class Posed:
    """The problem of one tile and the books that lead back.

    Attributes
    ----------
    members : tuple of tuple of Member
        The pieces of each kind, in the order of the request.
    stock : tuple of tuple of Offcut
        The offcuts of each sheet; none for the new tile.
    full : tuple of Piece
        Pieces that are whole tiles and come straight out of the box.
    tiles : tuple of Tile
        The tile of each lot, where several are planned together.
    """

    tile: Tile
    problem: Problem
    members: tuple[tuple[Member, ...], ...]
    stock: tuple[tuple[Offcut, ...], ...]
    full: tuple[Piece, ...]
    tiles: tuple[Tile, ...] = ()

    def tile_of(self, sheet: int) -> Tile:
        """Return the tile that a sheet is, or is an offcut of."""
        return self.tiles[self.problem.sheets[sheet].lot] if self.tiles else self.tile


def bits(sides: tuple[Side, ...]) -> int:
    """Return sides as the solver's bit mask."""
    return sum(BIT[side] for side in sides)


def pose(request: Request, tile: Tile) -> Posed:
    """Return what the solver is asked about one tile; every piece fits it."""
    stock = sheets_of(request, tile)
    sheets = (Sheet(tile.width, tile.height), *stock)
    full: list[Piece] = []
    cut: list[Piece] = []
    for piece in request.pieces:
        if request.tile_of(piece) is tile:
            whole = is_full_tile(piece, tile) and not fits_any(piece, tile, request, sheets[1:])
            (full if whole else cut).append(piece)
    groups: dict[Look, list[Member]] = {}
    firsts: dict[Look, Stand] = {}
    for piece in cut:
        first = min(stands_of(piece, tile, request.kerf_of(tile.id)), key=order_of)
        groups.setdefault(first.look, []).append(Member(piece, first.turn))
        firsts.setdefault(first.look, first)
    kinds = tuple(
        Kind(turned_stands(firsts[look], tile), sum(member.piece.quantity for member in members))
        for look, members in groups.items()
    )
    return Posed(
        tile,
        Problem(kinds, sheets, request.kerf_of(tile.id), cutters_of(request, tile)),
        tuple(map(tuple, groups.values())),
        ((), *map(tuple, stock.values())),
        tuple(full),
    )


def cutters_of(request: Request, tile: Tile) -> Cutters:
    """Return what saw and snap cutter can do with a tile; a sheet of chips is parted by knife."""
    if tile.mosaic is not None:
        return Cutters()
    saw, snap = request.saw.greatest_cut, request.snap_cutter
    if snap is None:
        return Cutters(saw)
    return Cutters(0 if snap.alone else saw, snap.greatest_cut, snap.least_strip)


def sheets_of(request: Request, tile: Tile) -> dict[Sheet, list[Offcut]]:
    """Return the offcuts of a tile that look alike, by what they are for the solver."""
    alike: dict[tuple[int, int, int], list[Offcut]] = {}
    for offcut in request.offcuts:
        if request.tile_of(offcut) is tile:
            key = offcut.width, offcut.height, bits(offcut.factory_edges)
            alike.setdefault(key, []).append(offcut)
    return {
        Sheet(*key, sum(offcut.quantity for offcut in offcuts)): offcuts
        for key, offcuts in alike.items()
    }


def stands_of(piece: Piece, tile: Tile, kerf: int) -> tuple[Stand, ...]:
    """Return the ways that a piece may lie, its turn counted from how it hangs."""
    first = Stand(
        piece.width,
        piece.height,
        bits(piece.factory_edges),
        corner_pockets(piece.shape, kerf),
        hull=slanted_hull(piece.shape),
    )
    return turned_stands(first, tile)


def turned_stands(first: Stand, tile: Tile) -> tuple[Stand, ...]:
    """Return the ways that a piece may lie, given the first of them."""
    stand = replace(first, turn=0)
    found = []
    for _ in range(4):
        if stand.turn in TURNS[tile.turn]:
            found.append(stand)
        stand = stand.turned()
    return tuple(found)


def order_of(stand: Stand) -> tuple[object, ...]:
    """Return what stands are sorted by: the least of a piece's stands is what it looks like."""
    pockets = tuple((p.sides, p.notch_width, p.notch_height) for p in stand.pockets)
    return stand.width, stand.height, stand.wants, pockets, stand.hull or ()


def fits_any(piece: Piece, tile: Tile, request: Request, sheets: tuple[Sheet, ...]) -> bool:
    """Tell whether a piece can be cut from one of these sheets, in one of its turns."""
    kerf = request.kerf_of(tile.id)
    router = Router(cutters_of(request, tile), kerf)
    return any(
        router.can_cut_alone(Leaf(0, stand), sheet)
        for sheet in sheets
        for stand in stands_of(piece, tile, request.kerf_of(tile.id))
    )
