"""What the order would be without cutopt: each baseline makes tiles per tile id of a request.

`area_plus_ten` and `one_per_cut_piece` are the two rules of thumb, `by_hand` what a tiler does
who keeps one offcut at hand, `largest_first` a good greedy, `general_packer` a packer of
rectangles from the registry that knows neither factory edges nor tiles.

Every count has the full tiles in it. Notches and holes are cut from the piece's box; what a
notch leaves is not used again by any of them.
"""

from collections.abc import Callable, Iterator
from itertools import product
from typing import Any

import rectpack

from benchmarks.saw import Part, Wanted, leftovers, wanted
from cutopt.documents import Piece, Request, Tile, is_full_tile
from cutopt.plane import doubled_area

Counts = dict[str, int]

#: Every way of the general packer that parts rectangles from edge to edge: which free rectangle
#: a piece goes to, how that is split, which tile is filled, in which order pieces come.
WAYS = tuple(
    product(
        [
            getattr(rectpack, f"Guillotine{fit}{split}")
            for fit in ("Bssf", "Blsf", "Baf")
            for split in ("Sas", "Las", "Slas", "Llas", "Maxas", "Minas")
        ],
        [rectpack.PackingBin.BFF, rectpack.PackingBin.BBF],
        [rectpack.SORT_AREA, rectpack.SORT_PERI, rectpack.SORT_SSIDE, rectpack.SORT_LSIDE],
    )
)


def area_plus_ten(request: Request) -> Counts:
    """Return the area of all pieces over that of a tile, ten per cent more, rounded up."""
    return {tile.id: _area_plus_ten(tile, _pieces_of(tile, request)) for tile in request.tiles}


def _area_plus_ten(tile: Tile, pieces: list[Piece]) -> int:
    doubled = sum(doubled_area(piece.shape) * piece.quantity for piece in pieces)
    tile_area = Part(tile.width, tile.height).area
    return -(-doubled * 11 // (2 * tile_area * 10))


def one_per_cut_piece(request: Request) -> Counts:
    """Return one tile for every piece, full or cut."""
    return {
        tile.id: sum(piece.quantity for piece in _pieces_of(tile, request))
        for tile in request.tiles
    }


def by_hand(request: Request) -> Counts:
    """Return what one needs who cuts in the order of the document and keeps one offcut at hand.

    The next piece comes from the offcut at hand if it fits, else from the shelf, else from a
    new tile; the larger rectangle that is left is the new offcut at hand.
    """
    return {tile.id: _by_hand(tile, request) for tile in request.tiles}


def _by_hand(tile: Tile, request: Request) -> int:
    kerf, new = request.saw.kerf, Part(tile.width, tile.height)
    shelf, hand, opened = _shelf(tile, request), list[Part](), 0
    for piece in _units(tile, request):
        source, left = _first_fit([*hand, *shelf], piece, kerf)
        if source is None:
            opened += 1
            left = _must_fit(new, piece, kerf)
        elif hand and source == 0:
            hand = []
        else:
            del shelf[source - len(hand)]
        hand = list(left[:1]) or hand
    return opened


def largest_first(request: Request) -> Counts:
    """Return what a greedy needs: pieces by falling area, each from the first part that fits.

    Parts are the shelf's offcuts first, then what is left of the tiles in the order in which
    they were opened. Each cut leaves the largest rectangle that it can.
    """
    return {tile.id: _largest_first(tile, request) for tile in request.tiles}


def _largest_first(tile: Tile, request: Request) -> int:
    kerf, new = request.saw.kerf, Part(tile.width, tile.height)
    parts, opened = _shelf(tile, request), 0
    for piece in sorted(_units(tile, request), key=lambda piece: piece.area, reverse=True):
        source, left = _first_fit(parts, piece, kerf)
        if source is None:
            opened += 1
            parts += _must_fit(new, piece, kerf)
        else:
            parts[source : source + 1] = left
    return opened


def _first_fit(parts: list[Part], piece: Wanted, kerf: int) -> tuple[int | None, tuple[Part, ...]]:
    """Return which part the piece is cut from, and what is left of that; None when it is none."""
    for number, part in enumerate(parts):
        left = leftovers(part, piece, kerf)
        if left is not None:
            return number, left
    return None, ()


def _must_fit(tile: Part, piece: Wanted, kerf: int) -> tuple[Part, ...]:
    left = leftovers(tile, piece, kerf)
    if left is None:
        raise ValueError(f"{piece} fits no tile")
    return left


def general_packer(request: Request) -> Counts:
    """Return the fewest tiles that a general packer of rectangles needs, over all its ways.

    Kerf is added to piece, tile and offcut alike. Only its ways that part rectangles from edge
    to edge are asked, free rectangles never merged, as a merged one may lie across a cut. It
    cannot express factory edges, so where a request has some its answer is for an easier
    question. For a rectangle half a turn is no turn, so it turns only for `quarter`.
    """
    return {tile.id: _general_packer(tile, request) for tile in request.tiles}


def _general_packer(tile: Tile, request: Request) -> int:
    return min(_packed_with(tile, request, way) for way in WAYS)


def packed_with(request: Request, way: tuple[Any, ...]) -> Counts:
    """Return what one way of the general packer needs."""
    return {tile.id: _packed_with(tile, request, way) for tile in request.tiles}


def _packed_with(tile: Tile, request: Request, way: tuple[Any, ...]) -> int:
    pieces = _pieces_of(tile, request)
    full = sum(piece.quantity for piece in pieces if is_full_tile(piece, tile))
    cut = [piece for piece in pieces if not is_full_tile(piece, tile)]
    return full + (_packed(tile, cut, request, way) if cut else 0)


def _packed(tile: Tile, cut: list[Piece], request: Request, way: tuple[Any, ...]) -> int:
    """Return the new tiles that one way of the general packer opens."""
    kerf, (algorithm, choice, order) = request.saw.kerf, way
    packer = rectpack.newPacker(
        pack_algo=algorithm,
        bin_algo=choice,
        sort_algo=order,
        rotation=tile.turn == "quarter",
    )
    units = [piece for piece in cut for _ in range(piece.quantity)]
    for piece in units:
        packer.add_rect(piece.width + kerf, piece.height + kerf)
    for part in _shelf(tile, request):
        packer.add_bin(part.width + kerf, part.height + kerf, bid="shelf", merge=False)
    packer.add_bin(tile.width + kerf, tile.height + kerf, count=len(units), bid="new", merge=False)
    packer.pack()
    if len(packer.rect_list()) != len(units):
        raise ValueError("a piece fits no tile")
    return sum(opened.bid == "new" for opened in packer)


def _pieces_of(tile: Tile, request: Request) -> list[Piece]:
    return [piece for piece in request.pieces if request.tile_of(piece) is tile]


def _units(tile: Tile, request: Request) -> Iterator[Wanted]:
    for piece in _pieces_of(tile, request):
        yield from [wanted(piece, tile)] * piece.quantity


def _shelf(tile: Tile, request: Request) -> list[Part]:
    return [
        Part(offcut.width, offcut.height, frozenset(offcut.factory_edges))
        for offcut in request.offcuts
        if request.tile_of(offcut) is tile
        for _ in range(offcut.quantity)
    ]


ALL: dict[str, Callable[[Request], Counts]] = {
    "area_plus_ten": area_plus_ten,
    "one_per_cut_piece": one_per_cut_piece,
    "by_hand": by_hand,
    "largest_first": largest_first,
    "general_packer": general_packer,
}
