"""Pieces that go on round a corner with their tile's own offcut: kept in one tile, if that is free.

A piece and the one that goes on make one piece as wide as the tile, with a cut left to do. So the
tiles are searched for once more with such wide pieces; what that plan holds can be cut, and when it
needs no more tiles than the first it is taken instead.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutopt.documents import ALL_SIDES, Cut, CutTile, Piece, Placement, Request, Side, Tile


@dataclass(frozen=True, slots=True)
class Pair:
    """A piece of the left wall and the one that goes on from it, parted by one cut."""

    left: Piece
    right: Piece

    def as_one(self, tile: Tile) -> Piece:
        """Return both as one piece, under the name of the left one."""
        edges = {*self.left.factory_edges, *self.right.factory_edges} - {"left", "right"}
        ends: set[Side] = {"left", "right"}
        wanted = tuple(side for side in ALL_SIDES if side in edges | ends)
        return self.left.model_copy(
            update={"width": tile.width, "factory_edges": wanted, "goes_on": None}
        )


def pairs_of(request: Request, tile: Tile) -> list[Pair]:
    """Return the pairs of a tile that one upright cut makes out of it."""
    pieces = {piece.id: piece for piece in request.pieces if request.tile_of(piece) is tile}
    kerf, saw = request.kerf_of(tile.id), request.saw.greatest_cut
    if request.snap_cutter is not None:
        return []
    found = []
    for piece in pieces.values():
        other = pieces.get(piece.goes_on or "")
        if other is None or other is piece or other.goes_on == piece.id:
            continue
        pair = Pair(piece, other)
        if _is_one_cut(pair, tile, kerf) and (saw is None or piece.height <= saw):
            found.append(pair)
    return _each_once(found)


def _is_one_cut(pair: Pair, tile: Tile, kerf: int) -> bool:
    left, right = pair.left, pair.right
    return (
        left.is_plain
        and right.is_plain
        and left.quantity == right.quantity == 1
        and left.height == right.height
        and left.width + kerf + right.width == tile.width
        and "right" not in left.factory_edges
        and "left" not in right.factory_edges
    )


def _each_once(pairs: Sequence[Pair]) -> list[Pair]:
    """Return the pairs without those that share a piece with one before."""
    used: set[str] = set()
    kept = []
    for pair in pairs:
        if not used & {pair.left.id, pair.right.id}:
            used |= {pair.left.id, pair.right.id}
            kept.append(pair)
    return kept


def with_pairs_as_one(request: Request, tile: Tile, pairs: Sequence[Pair]) -> Request:
    """Return the request with each pair as one piece."""
    ones = {pair.left.id: pair.as_one(tile) for pair in pairs}
    gone = {pair.right.id for pair in pairs}
    pieces = (ones.get(piece.id, piece) for piece in request.pieces if piece.id not in gone)
    return request.model_copy(update={"pieces": tuple(pieces)})


def parted(
    made: Sequence[CutTile], tile: Tile, pairs: Sequence[Pair], kerf: int, number: int
) -> Iterator[CutTile]:
    """Yield the cut tiles with each pair parted, numbered from `number`.

    Pairs as high as their tile were whole tiles, and are cut first.
    """
    by_name = {pair.left.id: pair for pair in pairs}
    placed = {placement.piece for one in made for placement in one.placements}
    for name, pair in by_name.items():
        if name not in placed:
            whole = CutTile(
                number=number,
                tile=tile.id,
                stock="new",
                width=tile.width,
                height=tile.height,
                factory_edges=ALL_SIDES,
                placements=(Placement(piece=name, x=0, y=0, turn=0, part=0),),
                cuts=(),
            )
            yield _with_pairs_parted(whole, {name: pair}, kerf)
            number += 1
    for one in made:
        yield _with_pairs_parted(one.model_copy(update={"number": number}), by_name, kerf)
        number += 1


def _with_pairs_parted(one: CutTile, pairs: dict[str, Pair], kerf: int) -> CutTile:
    cuts = list(one.cuts or ())
    placements: list[Placement] = []
    fresh = 1 + max((part for cut in cuts for part in cut.makes if part is not None), default=0)
    for placement in one.placements:
        pair = pairs.get(placement.piece)
        if pair is None:
            placements.append(placement)
            continue
        cut, halves = _halves(placement, pair, kerf, fresh)
        cuts.append(cut)
        placements += halves
        fresh += 2
    return one.model_copy(update={"placements": tuple(placements), "cuts": tuple(cuts)})


def _halves(
    placement: Placement, pair: Pair, kerf: int, fresh: int
) -> tuple[Cut, tuple[Placement, Placement]]:
    """Return the cut that parts a pair where it lies, and where its pieces come to lie."""
    turn = placement.turn
    upright = turn in (0, 180)
    # Turned by 0 or 90 degrees the left piece comes first along x or y, otherwise the right one.
    order = (pair.left, pair.right) if turn in (0, 90) else (pair.right, pair.left)
    begin = placement.x if upright else placement.y
    at = begin + order[0].width
    cut = Cut(
        part=placement.part or 0,
        way="vertical" if upright else "horizontal",
        at=at,
        makes=(fresh, fresh + 1),
    )
    first, second = (
        Placement(
            piece=piece.id,
            x=start if upright else placement.x,
            y=placement.y if upright else start,
            turn=turn,
            part=part,
        )
        for piece, start, part in zip(order, (begin, at + kerf), (fresh, fresh + 1), strict=True)
    )
    return cut, (first, second)
