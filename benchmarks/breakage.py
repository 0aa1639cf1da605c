"""A job as somebody works it, with breakage drawn cut by cut: shares no code with the reserve.

Only the chance of each kind of cut, and how many cuts of each kind a piece takes, are read from
cutopt: they are what is assumed. Everything else is done anew and otherwise: tile after tile is
taken out of the box, every cut is drawn for itself, and a broken piece is cut again at once from
whatever lies on the shelf, the tightest place first, nobody knowing what will break next.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from cutopt.buying.breakage import chances_of, placed_cuts
from cutopt.documents import CutTile, Plan, Request, Tile
from cutopt.documents.buying import OrderSettings

#: `once`: a leftover serves one piece, a spare tile two; `on and on`: every rest serves again.
Thrift = Literal["once", "on and on"]

SIDES = "LRTB"
_QUARTER = {"L": "B", "B": "R", "R": "T", "T": "L"}
_LETTERS = {"left": "L", "right": "R", "top": "T", "bottom": "B"}


@dataclass(frozen=True)
class Board:
    """A rectangle with its factory edges: a leftover, a tile, or what a piece asks for."""

    width: int
    height: int
    edges: frozenset[str]

    @property
    def area(self) -> int:
        """Return width times height."""
        return self.width * self.height

    def quarter_turned(self) -> "Board":
        """Return it turned by 90 degrees."""
        return Board(self.height, self.width, frozenset(_QUARTER[edge] for edge in self.edges))


@dataclass(frozen=True)
class Work:
    """One piece of a tile to cut: what it asks for, and the chance of each of its cuts."""

    wants: Board
    chances: tuple[float, ...]


@dataclass(frozen=True)
class Trade:
    """What decides one tile of a job."""

    tile: Board
    turns: tuple[int, ...]
    kerf: int
    works: tuple[tuple[Work, ...], ...]
    full: int
    new_cut: int
    shelf: tuple[Board, ...]
    breaks_whole: float
    faulty: float
    hidden: float


def trade_of(request: Request, plan: Plan, tile: Tile, settings: OrderSettings) -> Trade:
    """Return what decides a tile, read off its plan."""
    buy = settings.of_tile(tile.id)
    chances = chances_of(buy.material, buy.breakage).of_kind
    mine = [one for one in plan.cut_tiles if one.tile == tile.id]
    total = next(one for one in plan.totals if one.tile == tile.id)
    pieces = {piece.id: piece for piece in request.pieces}
    works = tuple(
        tuple(
            Work(
                Board(piece.width, piece.height, _edges(piece.factory_edges)),
                tuple(chances[kind] for kind, times in cuts.items() for _ in range(times)),
            )
            for piece, cuts in placed_cuts(pieces, one)
        )
        for one in mine
        for _ in range(one.count)
    )
    return Trade(
        Board(tile.width, tile.height, frozenset(SIDES)),
        {"none": (0,), "half": (0, 2), "quarter": (0, 1, 2, 3)}[tile.turn],
        request.saw.kerf,
        works,
        total.full_tiles,
        sum(one.count for one in mine if one.stock == "new"),
        tuple(_shelf(request, mine, tile)),
        chances["whole"],
        buy.faulty,
        buy.fault_hidden,
    )


def _edges(sides: Sequence[str]) -> frozenset[str]:
    return frozenset(_LETTERS[side] for side in sides)


def _shelf(request: Request, mine: Sequence[CutTile], tile: Tile) -> Iterator[Board]:
    for one in mine:
        for left in one.leftovers:
            for _ in range(one.count):
                yield Board(left.width, left.height, _edges(left.factory_edges))
    for offcut in request.offcuts:
        if offcut.tile in (None, tile.id):
            used = sum(one.count for one in mine if one.stock == offcut.id)
            for _ in range(offcut.quantity - used):
                yield Board(offcut.width, offcut.height, _edges(offcut.factory_edges))


@dataclass
class Day:
    """One job being worked: how many tiles beyond the plan it has taken so far."""

    trade: Trade
    rng: np.random.Generator
    thrift: Thrift
    shelf: list[Board] = field(default_factory=list)
    spares: int = 0

    def work(self) -> int:
        """Work the job to its end; return the spare tiles that it took."""
        self.shelf = list(self.trade.shelf)
        self._unpack()
        for _ in range(self.trade.full):
            while self.rng.random() < self.trade.breaks_whole:
                self._open(may_hide=False)
        broken = [work for tile in self.trade.works for work in tile if self._breaks(work)]
        # The largest first, as one would: what is small finds a place later.
        for work in sorted(broken, key=lambda one: -one.wants.area):
            self._take_stock(work.wants)
            while self._breaks(work):
                self._take_stock(work.wants)
        return self.spares

    def _breaks(self, work: Work) -> bool:
        return bool(np.any(self.rng.random(len(work.chances)) < work.chances))

    def _unpack(self) -> None:
        """Take the tiles of the plan out of their boxes; faulty ones are cut up, or lost."""
        whole, to_cut = self.trade.full, self.trade.new_cut
        while whole + to_cut:
            if self.rng.random() < self.trade.faulty:
                if self.rng.random() < self.trade.hidden and to_cut:
                    to_cut -= 1
                else:
                    self.spares += 1
            elif whole:
                whole -= 1
            else:
                to_cut -= 1

    def _open(self, *, may_hide: bool) -> None:
        """Take a spare tile, and further ones while they are faulty."""
        self.spares += 1
        while self.rng.random() < self.trade.faulty:
            if may_hide and self.rng.random() < self.trade.hidden:
                return
            self.spares += 1

    def _take_stock(self, wants: Board) -> None:
        """Cut a piece from the tightest place on the shelf, or from a spare tile."""
        places = [
            (board.area, at, turned)
            for at, board in enumerate(self.shelf)
            for turned in self._turned(wants)
            if holds(board, turned)
        ]
        if places:
            _, at, turned = min(places, key=lambda place: place[:2])
            board = self.shelf.pop(at)
            if self.thrift == "on and on":
                self._keep_rest(board, turned)
            return
        self._open(may_hide=True)
        turned = next(one for one in self._turned(wants) if holds(self.trade.tile, one))
        self._keep_rest(self.trade.tile, turned)

    def _turned(self, wants: Board) -> list[Board]:
        found, board = [], wants
        for turn in range(4):
            if turn in self.trade.turns:
                found.append(board)
            board = board.quarter_turned()
        return found

    def _keep_rest(self, board: Board, piece: Board) -> None:
        rest = rest_of(board, piece, self.trade.kerf)
        if rest is not None:
            self.shelf.append(rest)


def holds(board: Board, piece: Board) -> bool:
    """Tell whether a piece can be cut from a board with its edges on the board's."""
    return (
        piece.width <= board.width
        and piece.height <= board.height
        and piece.edges <= board.edges
        and (not piece.edges >= {"L", "R"} or piece.width == board.width)
        and (not piece.edges >= {"T", "B"} or piece.height == board.height)
    )


def rest_of(board: Board, piece: Board, kerf: int) -> Board | None:
    """Return the larger of the two rests that one cut beside the piece can leave."""
    beside, above = board.width - piece.width - kerf, board.height - piece.height - kerf
    found = []
    if beside > 0 and not piece.edges >= {"L", "R"}:
        lost = "R" if "R" in piece.edges else "L"
        found.append(Board(beside, board.height, board.edges - {lost}))
    if above > 0 and not piece.edges >= {"T", "B"}:
        lost = "T" if "T" in piece.edges else "B"
        found.append(Board(board.width, above, board.edges - {lost}))
    return max(found, key=lambda one: one.area, default=None)


def spares_taken(trade: Trade, seed: Sequence[int], thrift: Thrift) -> int:
    """Return the spare tiles that one job takes."""
    return Day(trade, np.random.default_rng(seed), thrift).work()
