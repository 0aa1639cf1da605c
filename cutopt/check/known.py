"""The request looked up by name, and a piece as it lies on a tile."""

from collections.abc import Iterable
from typing import NamedTuple

from cutopt.check.lines import convex_hull, is_rectilinear
from cutopt.documents import (
    ALL_SIDES,
    CutTile,
    Offcut,
    Piece,
    Placement,
    Request,
    Side,
    Tile,
    is_full_tile,
)
from cutopt.plane import Outline, Point, Rect, turned
from cutopt.units import show_length

#: What a cut tile says when it is no offcut that is cut.
NEW = "new"
#: Counts beyond this are not spelled out: a plan may hold any number, however long.
_UNCOUNTED = 10**18
_ANTICLOCKWISE: tuple[Side, ...] = ("right", "top", "left", "bottom")


class Stock(NamedTuple):
    """What is cut up: its size, and which of its sides the factory made."""

    width: int
    height: int
    edges: tuple[Side, ...]

    @property
    def face(self) -> Rect:
        """Return its rectangle, the lower left corner on the origin."""
        return Rect(0, 0, self.width, self.height)

    def edges_of(self, rect: Rect) -> set[Side]:
        """Return the sides of a rectangle on the stock that are factory edges."""
        touched: dict[Side, bool] = {
            "left": rect.x == 0,
            "right": rect.right == self.width,
            "bottom": rect.y == 0,
            "top": rect.top == self.height,
        }
        return {side for side in self.edges if touched[side]}


class Laid(NamedTuple):
    """A piece where it lies: the number of its placement, its box and outline on the stock."""

    number: int
    piece: Piece
    box: Rect
    outline: Outline | None
    """None when the piece fills its box."""
    hull: tuple[Point, ...]
    """What straight cuts make of it, anticlockwise; the rest is shaped at the end."""

    @property
    def corners(self) -> Outline:
        """Return the corners of its outline."""
        return self.outline or self.box.corners

    @property
    def is_slanted(self) -> bool:
        """Tell whether straight cuts make more of it than its box."""
        return not is_rectilinear(self.hull)


class Known:
    """The request, looked up by name."""

    def __init__(self, request: Request) -> None:
        self.units = request.units
        self.kerf: int = request.saw.kerf
        self.tiles = {tile.id: tile for tile in request.tiles}
        self.pieces = {piece.id: piece for piece in request.pieces}
        self.offcuts = {offcut.id: offcut for offcut in request.offcuts}
        self.objective = request.objective
        self.prefer = request.prefer
        self.saw = request.saw
        self.snap = request.snap_cutter

    def tile_of(self, item: Piece | Offcut) -> Tile:
        """Return the tile that a piece or an offcut is of."""
        if isinstance(item, Piece) and item.tiles:
            return self.tiles[item.tiles[0]]
        return self.tiles[item.tile] if item.tile else next(iter(self.tiles.values()))

    def tiles_of(self, piece: Piece) -> list[Tile]:
        """Return the tiles that a piece may be cut from."""
        if piece.tiles is None:
            return [self.tile_of(piece)]
        return [self.tiles[name] for name in piece.tiles]

    def is_full_tile(self, piece: Piece) -> bool:
        """Tell whether a piece is a whole tile with nothing cut away, and of no other tile."""
        return piece.tiles is None and is_full_tile(piece, self.tile_of(piece))

    def kerf_of(self, cut_tile: CutTile) -> int:
        """Return what a cut takes: the saw's kerf, or the joint that a knife opens in a sheet."""
        tile = self.tiles.get(cut_tile.tile)
        return self.kerf if tile is None or tile.mosaic is None else tile.mosaic.parting

    def source_of(self, cut_tile: CutTile) -> Tile | Offcut | None:
        """Return what is cut up, None when the request knows nothing of it."""
        if cut_tile.stock == NEW:
            return self.tiles.get(cut_tile.tile)
        return self.offcuts.get(cut_tile.stock)

    def show(self, *lengths: int) -> str:
        """Return lengths as the request's owner writes them."""
        return ", ".join(show_length(length, self.units) for length in lengths)


def stock_of(source: Tile | Offcut | None, cut_tile: CutTile) -> Stock:
    """Return the stock as the request has it, as the plan has it when the request does not."""
    if source is None:
        return Stock(cut_tile.width, cut_tile.height, cut_tile.factory_edges)
    edges = source.factory_edges if isinstance(source, Offcut) else ALL_SIDES
    return Stock(source.width, source.height, edges)


def lay(number: int, placement: Placement, piece: Piece) -> Laid:
    """Return a piece where its placement puts it."""
    width, height, turn = piece.width, piece.height, placement.turn
    if turn in (90, 270):
        width, height = height, width
    box = Rect(placement.x, placement.y, width, height)
    if piece.is_rectangle:
        return Laid(number, piece, box, None, box.corners)
    corners = (turned(point, piece.width, piece.height, turn) for point in piece.shape)
    outline = tuple((box.x + x, box.y + y) for x, y in corners)
    # Of an outline along the axes the saw makes the box first, then the notches.
    hull = box.corners if is_rectilinear(outline) else convex_hull(outline)
    return Laid(number, piece, box, outline, hull)


def turned_sides(sides: Iterable[Side], turn: int) -> list[Side]:
    """Return where sides come to lie after an anticlockwise turn by 0, 90, 180 or 270 degrees."""
    steps = turn // 90
    return [_ANTICLOCKWISE[(_ANTICLOCKWISE.index(side) + steps) % 4] for side in sides]


def figure(number: int) -> str:
    """Return a count as text, however long it is."""
    return str(number) if number < _UNCOUNTED else "more than 10^18"
