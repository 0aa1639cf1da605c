"""The whole history, replayed: every cut on the check's own bench, every new plan against it.

This shares no code with what follows the work and plans anew.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from cutopt.check.breaks import Break
from cutopt.check.known import Known, Stock, stock_of
from cutopt.check.replay import Bench
from cutopt.check.tile import faults_of_cut_tile
from cutopt.documents import ALL_SIDES, CutTile, Offcut, Piece, Plan, Request, Side
from cutopt.documents.progress import (
    Broken,
    Counted,
    Done,
    Mark,
    Measured,
    Progress,
    Replanned,
    Undone,
)
from cutopt.errors import Fault, shown

#: An offcut by what counts: tile, width, height, factory edges.
Kind = tuple[str, int, int, frozenset[Side]]


def check_history(request: Request, plan: Plan, progress: Progress) -> tuple[Fault, ...]:
    """Return what is wrong with a history, nothing when it is right.

    Every cut that was marked is made again; at every new plan the pieces that are finished, those
    of tiles under way and those planned anew must together be what is wanted, each of its present
    size, and the plan must take its offcuts from what is there.

    Parameters
    ----------
    request, plan : Request, Plan
        What the history begins with; the plan has passed `check_plan`.
    progress : Progress
        The marks.
    """
    return tuple(_faults(request, plan, progress))


def _faults(request: Request, plan: Plan, progress: Progress) -> Iterator[Fault]:
    ledger = _Ledger(request, {one.number: one for one in plan.cut_tiles})
    undone = _undone(progress.marks)
    for number, mark in enumerate(progress.marks, start=1):
        if number in undone or isinstance(mark, Undone):
            continue
        for fault in ledger.faults_of(number, mark):
            yield Fault(f"/marks/{number - 1}{fault.place}", fault.value, fault.rule)
    for name, piece in ledger.pieces.items():
        if (there := ledger.there()[name]) > piece.quantity:
            yield Fault("", f"{shown(name)}, {there} times", f"it is wanted {piece.quantity} times")


def _undone(marks: tuple[Mark, ...]) -> set[int]:
    """Return the numbers of the marks that are taken back, by what the last undoing says."""
    state = [True] * (len(marks) + 1)
    for number in range(len(marks), 0, -1):
        mark = marks[number - 1]
        if state[number] and isinstance(mark, Undone):
            state[mark.mark] = False
    return {number for number in range(1, len(marks) + 1) if not state[number]}


@dataclass
class _Begun:
    """A tile under way."""

    cut_tile: CutTile
    which: int
    bench: Bench
    stock: Stock
    parents: dict[int, int]

    def root(self, part: int) -> int | None:
        """Return the part on the bench that a part is, or will be cut from."""
        at: int | None = part
        while at is not None and at not in self.bench.parts:
            at = self.parents.get(at)
        return at


@dataclass
class _Ledger:
    """The books: what is wanted, what was cut, what lies where."""

    request: Request
    planned: dict[int, CutTile]
    begun: dict[tuple[int, int], _Begun] = field(default_factory=dict)
    laid: Counter[str] = field(default_factory=Counter)

    def __post_init__(self) -> None:
        self.known = Known(self.request)
        self.pieces = {piece.id: piece for piece in self.request.pieces}
        self.stock: Counter[Kind] = Counter()
        self.named: dict[str, Kind] = {}
        self.breaks: dict[str, Break] = {}
        for offcut in self.request.offcuts:
            self._put(offcut.id, self._kind(offcut), offcut.quantity)

    def _put(self, name: str, kind: Kind, quantity: int = 1) -> None:
        self.stock[kind] += quantity
        self.named[name] = kind

    def _kind(self, offcut: Offcut) -> Kind:
        edges = frozenset(offcut.factory_edges)
        return self.known.tile_of(offcut).id, offcut.width, offcut.height, edges

    def there(self) -> Counter[str]:
        """Return the pieces that are laid, cut, or will come of tiles under way."""
        found = Counter(self.laid)
        for begun in self.begun.values():
            for placed in begun.cut_tile.placements:
                found[placed.piece] += begun.root(placed.part or 0) is not None
        return found

    def faults_of(self, number: int, mark: Mark) -> Iterator[Fault]:
        """Yield what is wrong with a mark, and enter it in the books."""
        if isinstance(mark, Done):
            yield from self._done(mark)
        elif isinstance(mark, Broken):
            yield from self._broken(number, mark)
        elif isinstance(mark, Measured):
            yield from self._measured(mark)
        elif isinstance(mark, Counted):
            self._counted(mark)
        elif isinstance(mark, Replanned):
            yield from self._replanned(mark)

    def _done(self, mark: Done) -> Iterator[Fault]:
        if mark.piece is not None:
            self.laid[mark.piece] += mark.times
            return
        begun = self._begin(mark.cut_tile or 0, mark.which)
        if begun is None:
            yield Fault("/cut_tile", str(mark.cut_tile), "no plan in force has this tile to cut")
            return
        cuts = begun.cut_tile.cuts or ()
        chosen = cuts if mark.cut is None else cuts[mark.cut - 1 : mark.cut]
        for cut in chosen:
            if mark.cut is None and cut.part not in begun.bench.parts:
                continue  # made before, or its part is gone
            fault = begun.bench.replay((cut,))
            if fault is not None:
                yield Fault("/cut", str(mark.cut), fault.rule)
            self._shelve(begun, cut.makes)

    def _begin(self, number: int, which: int) -> _Begun | None:
        if (number, which) in self.begun:
            return self.begun[number, which]
        cut_tile = self.planned.get(number)
        if cut_tile is None or which > cut_tile.count:
            return None
        parents = {
            made: cut.part for cut in cut_tile.cuts or () for made in cut.makes if made is not None
        }
        source = None if cut_tile.stock != "new" else self.known.source_of(cut_tile)
        stock = stock_of(source, cut_tile)
        bench = Bench(stock.face, self.known, self.known.kerf_of(cut_tile))
        begun = _Begun(cut_tile, which, bench, stock, parents)
        self.begun[number, which] = begun
        if cut_tile.stock != "new":
            self.stock[cut_tile.tile, stock.width, stock.height, frozenset(stock.edges)] -= 1
        self._shelve(begun, (0,))
        return begun

    def _shelve(self, begun: _Begun, made: tuple[int | None, ...]) -> None:
        for left in begun.cut_tile.leftovers:
            if left.part in made and left.part in begun.bench.parts:
                equal = f"/{begun.which}" if begun.cut_tile.count > 1 else ""
                name = f"{begun.cut_tile.number}{equal}.{left.part}"
                self._put(name, self._left(begun, left.part))

    def _left(self, begun: _Begun, part: int) -> Kind:
        rect = begun.bench.parts[part].rect
        edges = frozenset(begun.stock.edges_of(rect))
        return begun.cut_tile.tile, rect.width, rect.height, edges

    def _broken(self, number: int, mark: Broken) -> Iterator[Fault]:
        tile = mark.tile or ""
        whole: Kind | None = None
        if mark.tile in self.known.tiles:
            known = self.known.tiles[mark.tile]
            whole = known.id, known.width, known.height, frozenset(ALL_SIDES)
        if mark.offcut in self.breaks:
            tile = self.breaks.pop(mark.offcut).tile
        elif mark.offcut is not None:
            kind = self.named.get(mark.offcut)
            if kind is None or self.stock[kind] <= 0:
                yield Fault("/offcut", shown(mark.offcut), "no such offcut lies on the shelf")
                return
            self.stock[kind] -= 1
            tile, whole = kind[0], kind
        if mark.cut_tile is not None:
            begun = self._begin(mark.cut_tile, mark.which)
            if begun is None or mark.part not in begun.bench.parts:
                yield Fault("/part", str(mark.part), "this part does not lie on the bench")
                return
            tile, whole = begun.cut_tile.tile, self._left(begun, mark.part)
            del begun.bench.parts[mark.part]
        if mark.runs is not None and whole is not None and not mark.usable:
            for letter, is_left in (("a", True), ("b", False)):
                self.breaks[f"broken {number}{letter}"] = Break(*whole, mark.runs, left=is_left)
        for at, one in enumerate(mark.usable):
            kind = tile, one.width, one.height, frozenset(one.factory_edges)
            self._put(f"broken {number}{'abcdefghijklmnopqrst'[at]}", kind)

    def _measured(self, mark: Measured) -> Iterator[Fault]:
        if mark.piece not in self.pieces:
            yield Fault("/piece", shown(mark.piece), "the request names no such piece")
            return
        before = self.pieces[mark.piece]
        edges = before.factory_edges if mark.factory_edges is None else mark.factory_edges
        self.pieces[mark.piece] = Piece(
            id=before.id,
            tile=before.tile,
            width=mark.width,
            height=mark.height,
            quantity=before.quantity,
            factory_edges=edges,
            outline=mark.outline,
            holes=mark.holes,
        )
        for begun in self.begun.values():
            for placed in begun.cut_tile.placements:
                root = begun.root(placed.part or 0)
                if placed.piece == mark.piece and root is not None:
                    part = begun.bench.parts[root]
                    is_whole = root != placed.part or before.is_plain
                    if is_whole and not part.notches and not part.slants:
                        self.stock[self._left(begun, root)] += 1
                    del begun.bench.parts[root]

    def _counted(self, mark: Counted) -> None:
        if mark.offcuts is None:
            return
        self.breaks = {name: one for name, one in self.breaks.items() if one.tile != mark.tile}
        for kind in [kind for kind in self.stock if kind[0] == mark.tile]:
            del self.stock[kind]
        for offcut in mark.offcuts:
            kind = mark.tile, offcut.width, offcut.height, frozenset(offcut.factory_edges)
            self._put(offcut.id, kind, offcut.quantity)

    def _coming(self) -> Counter[Kind]:
        """Return the leftovers that tiles under way will still make, by what the plan says."""
        coming: Counter[Kind] = Counter()
        for begun in self.begun.values():
            for left in begun.cut_tile.leftovers:
                root = begun.root(left.part)
                if root is not None and root != left.part:
                    edges = frozenset(left.factory_edges)
                    coming[begun.cut_tile.tile, left.width, left.height, edges] += 1
        return coming

    def _replanned(self, mark: Replanned) -> Iterator[Fault]:
        planned = mark.request.pieces if mark.request else ()
        yield from self._faults_of_pieces({piece.id: piece for piece in planned})
        for offcut in mark.request.offcuts if mark.request else ():
            side = self.breaks.pop(offcut.id, None)
            if side is not None and side.holds(offcut):
                self._put(offcut.id, self._kind(offcut))
        there = self.stock + self._coming()
        for at, offcut in enumerate(mark.request.offcuts if mark.request else ()):
            kind = self.named[offcut.id] = self._kind(offcut)
            there[kind] -= offcut.quantity
            if there[kind] < 0:
                yield Fault(f"/request/offcuts/{at}", shown(offcut.id), "no such offcut is there")
        made = mark.plan.cut_tiles if mark.plan else ()
        known = Known(mark.request) if mark.request else self.known
        for at, one in enumerate(made):
            if any(number == one.number for number, _ in self.begun):
                rule = "a tile of this number is under way"
                yield Fault(f"/plan/cut_tiles/{at}/number", str(one.number), rule)
            for fault in faults_of_cut_tile(one, known):
                place = f"/plan/cut_tiles/{at}{fault.place}"
                yield Fault(place, fault.value, fault.rule)
        self.planned = {one.number: one for one in made}

    def _faults_of_pieces(self, planned: dict[str, Piece]) -> Iterator[Fault]:
        there = self.there()
        for name, piece in self.pieces.items():
            asked = planned.get(name)
            number = asked.quantity if asked else 0
            if there[name] + number != piece.quantity:
                value = f"{shown(name)}: {there[name]} there, {number} planned"
                yield Fault("/request/pieces", value, f"it is wanted {piece.quantity} times")
            same = {"quantity": piece.quantity, "goes_on": piece.goes_on}
            if asked and asked.model_copy(update=same) != piece:
                rule = "a piece is planned as it was measured last"
                yield Fault("/request/pieces", shown(name), rule)
