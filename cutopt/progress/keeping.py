"""A new plan that leaves tiles not yet begun as they were planned, and fits in what is missing.

Leftovers of those tiles serve too: what is cut from one is grafted onto its tile's own cuts.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from cutopt.documents import Cut, CutTile, Leftover, Offcut, Piece, Placement
from cutopt.progress.state import State

_OF_KEPT = "left of "

Naming = Callable[[int], int]
Thing = TypeVar("Thing", Piece, Offcut)


@dataclass(frozen=True)
class Keeping:
    """Tiles that stay as planned, the pieces that are missing, the offcuts that may serve them."""

    tiles: tuple[CutTile, ...]
    missing: tuple[Piece, ...]
    offcuts: tuple[Offcut, ...]

    @property
    def new_tiles(self) -> int:
        """Return how many new tiles those that stay take."""
        return sum(one.count for one in self.tiles if one.stock == "new")


def keeping(state: State, tile: str, fresh: Iterator[int]) -> Keeping:
    """Return what of the plan in force may stay for one kind of tile."""
    shelf = {one.id: one for one in state.offcuts() if state.request.tile_of(one).id == tile}
    wanted = {
        piece.id: piece for piece in state.remaining() if state.request.tile_of(piece).id == tile
    }
    taken: Counter[str] = Counter()
    placed: Counter[str] = Counter()
    stays: list[CutTile] = []
    for one in state.open.values():
        count = one.count - state.begun(one.number)
        if one.tile != tile or count == 0 or one.number in state.stale:
            continue
        if one.stock != "new":
            there = shelf[one.stock].quantity if one.stock in shelf else 0
            count = min(count, there - taken[one.stock])
            taken[one.stock] += count
        count = min(count, *(_left(wanted, placed, name) // n for name, n in _names(one).items()))
        if count > 0:
            number = one.number if not state.begun(one.number) else next(fresh)
            stays.append(one.model_copy(update={"count": count, "number": number}))
            placed.update({name: count * n for name, n in _names(one).items()})
    return Keeping(
        tuple(stays),
        tuple(_less(wanted.values(), placed)),
        (*_less(shelf.values(), taken), *_leftovers(stays)),
    )


def _left(wanted: dict[str, Piece], placed: Counter[str], name: str) -> int:
    return wanted[name].quantity - placed[name] if name in wanted else 0


def _names(one: CutTile) -> Counter[str]:
    return Counter(placement.piece for placement in one.placements)


def _less(things: Iterable[Thing], taken: Counter[str]) -> Iterator[Thing]:
    for thing in things:
        left = thing.quantity - taken[thing.id]
        if left > 0:
            yield thing.model_copy(update={"quantity": left})


def _leftovers(stays: Sequence[CutTile]) -> Iterator[Offcut]:
    for one in stays:
        for left in one.leftovers:
            yield Offcut(
                id=f"{_OF_KEPT}{one.number}.{left.part}",
                tile=one.tile,
                width=left.width,
                height=left.height,
                quantity=one.count,
                factory_edges=left.factory_edges,
            )


def grafted(
    stays: Sequence[CutTile], found: Sequence[CutTile], fresh: Iterator[int]
) -> tuple[CutTile, ...]:
    """Return the tiles that stay, grafted with what is cut from their leftovers, and the rest.

    `found` is the plan for the missing pieces.
    """
    grafts: dict[str, list[CutTile]] = {}
    others: list[CutTile] = []
    for one in found:
        if one.stock.startswith(_OF_KEPT):
            grafts.setdefault(one.stock, []).extend([one] * one.count)
        else:
            others.append(one.model_copy(update={"number": next(fresh)}))
    made: list[CutTile] = []
    for one in stays:
        mine = {
            left.part: grafts.get(f"{_OF_KEPT}{one.number}.{left.part}", [])
            for left in one.leftovers
        }
        made += _copies(one, mine, fresh)
    return (*made, *others)


def _copies(
    one: CutTile, mine: dict[int, list[CutTile]], fresh: Iterator[int]
) -> Iterator[CutTile]:
    """Yield each grafted tile by itself, and what stays as it was under one number."""
    changed = max(map(len, mine.values()), default=0)
    if changed < one.count:
        yield one.model_copy(update={"count": one.count - changed})
    for at in range(changed):
        is_first = at == 0 and changed == one.count
        copy = one.model_copy(
            update={"count": 1, "number": one.number if is_first else next(fresh)}
        )
        for part, grafts in mine.items():
            if at < len(grafts):
                copy = _graft(copy, part, grafts[at])
        yield copy


def _graft(stock: CutTile, part: int, graft: CutTile) -> CutTile:
    """Return a tile whose leftover is cut up as a graft says."""
    (left,) = (one for one in stock.leftovers if one.part == part)
    cuts = stock.cuts or ()
    highest = max((made for cut in cuts for made in cut.makes if made is not None), default=0)

    def name(number: int) -> int:
        return part if number == 0 else highest + number

    return stock.model_copy(
        update={
            "cuts": (*cuts, *(_cut(cut, left, name) for cut in graft.cuts or ())),
            "placements": (
                *stock.placements,
                *(_placement(one, left, name(one.part or 0)) for one in graft.placements),
            ),
            "leftovers": (
                *(one for one in stock.leftovers if one.part != part),
                *(_leftover(one, left, name(one.part)) for one in graft.leftovers),
            ),
        }
    )


def _placement(one: Placement, left: Leftover, part: int) -> Placement:
    return one.model_copy(update={"x": one.x + left.x, "y": one.y + left.y, "part": part})


def _leftover(one: Leftover, left: Leftover, part: int) -> Leftover:
    return one.model_copy(update={"x": one.x + left.x, "y": one.y + left.y, "part": part})


def _cut(cut: Cut, left: Leftover, name: Naming) -> Cut:
    changes: dict[str, object] = {
        "part": name(cut.part),
        "makes": tuple(made if made is None else name(made) for made in cut.makes),
    }
    if cut.at is not None:
        changes["at"] = cut.at + (left.x if cut.way == "vertical" else left.y)
    if cut.line is not None:
        changes["line"] = tuple((x + left.x, y + left.y) for x, y in cut.line)
    return cut.model_copy(update=changes)
