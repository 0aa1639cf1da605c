"""How the work stands: the marks that count, done one after another from the first plan on."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from cutopt.documents import ALL_SIDES, CutTile, Offcut, Piece, Plan, Request, is_full_tile
from cutopt.documents.progress import (
    Broken,
    Counted,
    Done,
    Mark,
    Measured,
    Progress,
    Replanned,
    Usable,
)
from cutopt.errors import Fault, InvalidInput, shown
from cutopt.progress.broken import usable_beside
from cutopt.progress.under_way import UnderWay

Key = tuple[int, int]


class _Odd(Exception):  # noqa: N818 - reads as the sentence it is
    """A mark that cannot be: a field of it, what stands there, the rule."""


@dataclass
class State:
    """How the work stands.

    Attributes
    ----------
    wanted : dict
        Every piece of the first request, in its present size.
    open : dict
        Cut tiles of the plan in force; how many of each are planned.
    under_way : dict
        Tiles begun, by the number of the cut tile and which of its equal tiles.
    shelf : dict
        Offcuts that lie there.
    in_hand : dict
        Whole tiles in hand, where they were counted or the request says how many there are.
    laid : Counter
        Whole tiles laid, by piece.
    stale : set
        Cut tiles that hold a piece which was measured anew since the plan was made.
    beside : set
        Offcuts beside a break whose size was worked out, not measured, since the plan was made.
    """

    request: Request
    wanted: dict[str, Piece]
    open: dict[int, CutTile]
    shelf: dict[str, Offcut]
    numbers: set[int]
    under_way: dict[Key, UnderWay] = field(default_factory=dict)
    in_hand: dict[str, int] = field(default_factory=dict)
    laid: Counter[str] = field(default_factory=Counter)
    stale: set[int] = field(default_factory=set)
    beside: set[str] = field(default_factory=set)

    # What is left.

    def begun(self, number: int) -> int:
        """Return how many of equal tiles were begun."""
        return sum(key[0] == number for key in self.under_way)

    def kept(self) -> Counter[str]:
        """Return the pieces that are laid, cut, or will come of tiles under way."""
        kept = Counter(self.laid)
        for tile in self.under_way.values():
            kept.update(piece for piece, _ in tile.pieces())
        return kept

    def remaining(self) -> list[Piece]:
        """Return the pieces that are still to be cut from what is not begun."""
        kept = self.kept()
        return on_their_own(
            piece.model_copy(update={"quantity": piece.quantity - kept[piece.id]})
            for piece in self.wanted.values()
            if piece.quantity > kept[piece.id]
        )

    def offcuts(self) -> list[Offcut]:
        """Return what lies on the shelf, and what tiles under way will leave there."""
        coming = (
            offcut
            for tile in self.under_way.values()
            for _, offcut, is_there in tile.leftovers()
            if not is_there
        )
        return [*self.shelf.values(), *coming]

    # Marks.

    def take(self, number: int, mark: Mark) -> None:
        """Do what a mark says; raises `_Odd` when it cannot be."""
        if isinstance(mark, Done):
            self._done(mark)
        elif isinstance(mark, Broken):
            self._broken(number, mark)
        elif isinstance(mark, Measured):
            self._measured(number, mark)
        elif isinstance(mark, Counted):
            self._counted(mark)
        elif isinstance(mark, Replanned):
            self._replanned(mark)

    def _done(self, mark: Done) -> None:
        if mark.piece is not None:
            self._lay(mark.piece, mark.times)
            return
        assert mark.cut_tile is not None
        tile = self._tile(mark.cut_tile, mark.which)
        left = tile.left_to_do()
        if mark.cut is None:
            chosen = left
        elif mark.cut in left and tile.cuts[mark.cut - 1].part in tile.lying:
            chosen = [mark.cut]
        else:
            rule = "this cut is made already, or its part does not lie on the bench"
            raise _Odd("/cut", str(mark.cut), rule)
        there = {part for part, _, is_there in tile.leftovers() if is_there}
        tile.done.update(chosen)
        for part, offcut, is_there in tile.leftovers():
            if is_there and part not in there:
                self.shelf[offcut.id] = offcut

    def _lay(self, name: str, times: int) -> None:
        piece = self.wanted.get(name)
        if piece is None or not is_full_tile(piece, self.request.tile_of(piece)):
            raise _Odd("/piece", shown(name), "this is a piece of the request that is a whole tile")
        if self.kept()[name] + times > piece.quantity:
            raise _Odd("/times", str(times), f"{piece.quantity} of it are wanted in all")
        self.laid[name] += times
        self._take_tiles(self.request.tile_of(piece).id, times)

    def _take_tiles(self, tile: str, times: int) -> None:
        if tile in self.in_hand:
            self.in_hand[tile] = max(0, self.in_hand[tile] - times)

    def _tile(self, number: int, which: int) -> UnderWay:
        """Return a tile under way; one of the plan in force is begun."""
        if (number, which) in self.under_way:
            return self.under_way[number, which]
        cut_tile = self.open.get(number)
        if cut_tile is None or which > cut_tile.count:
            value = str(number) if which == 1 else f"{number}, tile {which}"
            raise _Odd("/cut_tile", value, "the plan in force has no such tile left to cut")
        if number in self.stale:
            rule = "a piece of this tile was measured anew: plan anew before it is cut"
            raise _Odd("/cut_tile", str(number), rule)
        if cut_tile.stock == "new":
            self._take_tiles(cut_tile.tile, 1)
        else:
            self._take_offcut("/cut_tile", cut_tile.stock)
        tile = UnderWay(cut_tile, which, self.request.kerf_of(cut_tile.tile))
        self.under_way[number, which] = tile
        for _, offcut, is_there in tile.leftovers():
            if is_there:
                self.shelf[offcut.id] = offcut
        return tile

    def _take_offcut(self, place: str, name: str) -> None:
        offcut = self.shelf.get(name)
        if offcut is None:
            raise _Odd(place, shown(name), "this offcut does not lie on the shelf")
        if offcut.quantity == 1:
            del self.shelf[name]
        else:
            self.shelf[name] = offcut.model_copy(update={"quantity": offcut.quantity - 1})

    def _broken(self, number: int, mark: Broken) -> None:
        if mark.tile is not None:
            self._named_tile(mark.tile)
            self._take_tiles(mark.tile, 1)
            (tile,) = (one for one in self.request.tiles if one.id == mark.tile)
            whole = Offcut(
                id=tile.id, width=tile.width, height=tile.height, factory_edges=ALL_SIDES
            )
            self._keep(number, mark, whole, tile.id)
        elif mark.offcut is not None:
            offcut = self.shelf.get(mark.offcut)
            self._take_offcut("/offcut", mark.offcut)
            assert offcut is not None
            if mark.runs and not mark.usable and mark.offcut in self.beside:
                rule = "it lay beside another break: measure what is usable of it"
                raise _Odd("/runs", shown(mark.offcut), rule)
            self._keep(number, mark, offcut, self.request.tile_of(offcut).id)
        else:
            assert mark.cut_tile is not None
            assert mark.part is not None
            under_way = self._tile(mark.cut_tile, mark.which)
            if mark.part not in under_way.lying:
                raise _Odd("/part", str(mark.part), "this part does not lie on the bench")
            if under_way.name_of(mark.part) in self.shelf:
                rule = f"it lies on the shelf: name it as offcut {under_way.name_of(mark.part)}"
                raise _Odd("/part", str(mark.part), rule)
            if mark.runs and not mark.usable and not under_way.is_plain(mark.part):
                rule = "this part is no rectangle: measure what is usable of it"
                raise _Odd("/runs", str(mark.part), rule)
            under_way.gone.add(mark.part)
            part = under_way.offcut_of(mark.part, under_way.name_of(mark.part))
            self._keep(number, mark, part, under_way.cut_tile.tile)

    def _keep(self, number: int, mark: Broken, what: Offcut, tile: str) -> None:
        """Put what is usable of something broken on the shelf: as measured, or beside the break."""
        usable: Sequence[Usable | None] = mark.usable
        if mark.runs is not None and not usable:
            edges = frozenset(what.factory_edges)
            usable = usable_beside((what.width, what.height), edges, mark.runs)
            self.beside |= {f"broken {number}a", f"broken {number}b"}
        kept = [
            Offcut(
                id=f"broken {number}{'abcdefghijklmnopqrst'[at]}",
                tile=tile,
                width=one.width,
                height=one.height,
                factory_edges=one.factory_edges,
            )
            for at, one in enumerate(usable)
            if one is not None
        ]
        self._holds((), kept)
        self.shelf.update((one.id, one) for one in kept)

    def _measured(self, number: int, mark: Measured) -> None:
        before = self.wanted.get(mark.piece)
        if before is None:
            raise _Odd("/piece", shown(mark.piece), "the request names no such piece")
        if self.laid[mark.piece]:
            raise _Odd("/piece", shown(mark.piece), "whole tiles of it are laid already")
        changes: dict[str, Any] = {name: getattr(mark, name) for name in ("width", "height")}
        changes |= {"outline": mark.outline, "holes": mark.holes}
        if mark.factory_edges is not None:
            changes["factory_edges"] = mark.factory_edges
        after = before.model_copy(update=changes)
        self._holds((after,), ())
        self.wanted[mark.piece] = after
        for at, tile in enumerate(list(self.under_way.values())):
            for part in [part for name, part in tile.pieces() if name == mark.piece]:
                self._release(f"measured {number}.{at}", tile, part, before)
        self.stale |= {
            cut_tile.number
            for cut_tile in self.open.values()
            if any(placed.piece == mark.piece for placed in cut_tile.placements)
        }

    def _release(self, name: str, tile: UnderWay, part: int, piece: Piece) -> None:
        """Let go of the part that a piece would come of: it is an offcut, if it is a rectangle.

        A finished piece with holes or a shape may have been drilled: it is none.
        """
        lying = tile.lying_above(part)
        if lying is None:
            return
        tile.gone.add(lying)
        if tile.is_plain(lying) and (lying != part or piece.is_plain):
            offcut = tile.offcut_of(lying, f"{name}.{lying}")
            self.shelf[offcut.id] = offcut

    def _counted(self, mark: Counted) -> None:
        self._named_tile(mark.tile)
        if mark.tiles is not None:
            self.in_hand[mark.tile] = mark.tiles
        if mark.offcuts is None:
            return
        for name, offcut in list(self.shelf.items()):
            if self.request.tile_of(offcut).id == mark.tile:
                del self.shelf[name]
        coming = {offcut.id for offcut in self.offcuts()}
        self._holds((), mark.offcuts)
        for at, offcut in enumerate(mark.offcuts):
            if offcut.id in coming or offcut.tile not in (None, mark.tile):
                rule = "an offcut has an id of its own and is of the tile that was counted"
                raise _Odd(f"/offcuts/{at}", shown(offcut.id), rule)
            coming.add(offcut.id)
            self.shelf[offcut.id] = offcut.model_copy(update={"tile": mark.tile})

    def _holds(self, pieces: Sequence[Piece], offcuts: Sequence[Offcut]) -> None:
        """Refuse a piece or an offcut that no request could hold, such as one too large."""
        request = self.request
        try:
            Request.of(
                {
                    "units": request.units,
                    "tiles": request.tiles,
                    "saw": request.saw,
                    "snap_cutter": request.snap_cutter,
                    "pieces": tuple(on_their_own(pieces or request.pieces[:1])),
                    "offcuts": tuple(offcuts),
                }
            )
        except InvalidInput as problem:
            fault = problem.faults[0]
            raise _Odd("", fault.value, fault.rule) from None

    def _named_tile(self, name: str) -> None:
        if name not in {tile.id for tile in self.request.tiles}:
            raise _Odd("/tile", shown(name), "this names a tile of the request")

    def _replanned(self, mark: Replanned) -> None:
        if (mark.request.pieces if mark.request else ()) != tuple(self.remaining()):
            rule = "a mark before this plan was undone since: undo the plan as well, and plan anew"
            raise _Odd("", "a plan for other pieces than are left", rule)
        self.open = {one.number: one for one in mark.plan.cut_tiles} if mark.plan else {}
        self.numbers |= set(self.open)
        self.stale, self.beside = set(), set()


def on_their_own(pieces: Iterable[Piece]) -> list[Piece]:
    """Return pieces, each without the one that goes on with its offcut where that is missing."""
    listed = list(pieces)
    names = {piece.id for piece in listed}
    return [
        piece if piece.goes_on in names else piece.model_copy(update={"goes_on": None})
        for piece in listed
    ]


def state_of(request: Request, plan: Plan, progress: Progress) -> State:
    """Return how the work stands after all marks.

    Raises
    ------
    InvalidInput
        When a mark cannot be, such as a cut of a part that does not lie on the bench.
    """
    state = State(
        request,
        {piece.id: piece for piece in request.pieces},
        {one.number: one for one in plan.cut_tiles},
        {offcut.id: offcut for offcut in request.offcuts},
        {one.number for one in plan.cut_tiles},
        in_hand={tile.id: tile.available for tile in request.tiles if tile.available is not None},
    )
    for fault in _without_cuts(plan):
        raise InvalidInput([fault])
    for number, mark in progress.in_force:
        _guarded(lambda number=number, mark=mark: state.take(number, mark), number)  # type: ignore[misc]
    return state


def _without_cuts(plan: Plan) -> Iterator[Fault]:
    for index, one in enumerate(plan.cut_tiles):
        if one.cuts is None:
            rule = "work on a plan is followed cut by cut: every cut tile lists its cuts"
            yield Fault(f"/cut_tiles/{index}/cuts", "nothing", rule)


def _guarded(take: Callable[[], None], number: int) -> None:
    try:
        take()
    except _Odd as odd:
        place, value, rule = odd.args
        raise InvalidInput([Fault(f"/marks/{number - 1}{place}", value, rule)]) from None
