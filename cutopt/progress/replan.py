"""A new plan for what is left, from what is really there, and whether the tiles in hand suffice."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count

from cutopt.check import check_plan
from cutopt.check.history import check_history
from cutopt.documents import CutTile, Offcut, Piece, Plan, Request, Tile, Total
from cutopt.documents.progress import Progress, Replanned
from cutopt.effort import USUAL_SECONDS
from cutopt.errors import BrokenPlan, Fault, InvalidInput
from cutopt.planning import plan_tiles
from cutopt.planning.counting import counted
from cutopt.progress.keeping import grafted, keeping
from cutopt.progress.running_short import Chance, chance_for
from cutopt.progress.state import State, on_their_own, state_of
from cutopt.stop import MaxSeconds, Stop
from cutopt.version import MADE_BY


@dataclass(frozen=True, slots=True)
class Need:
    """How many tiles of one kind are still needed, and whether those in hand suffice.

    Attributes
    ----------
    tiles : int
        New tiles that are still to be opened, whole tiles to be laid among them.
    lower_bound : int
        No plan for what is left needs fewer.
    in_hand : int or None
        Whole tiles in hand; None when nobody counted them.
    chance : Chance or None
        How likely it is that they run short all the same, as pieces may break.
    """

    tile: str
    tiles: int
    lower_bound: int
    in_hand: int | None
    chance: Chance | None = None

    @property
    def suffices(self) -> bool | None:
        """Tell whether the tiles in hand suffice; None when nobody counted them."""
        return None if self.in_hand is None else self.tiles <= self.in_hand


@dataclass(frozen=True, slots=True)
class Replan:
    """What is left to do, the plan for it, and the history with that plan in it.

    `request` and `plan` are None when nothing is left to be planned. Tiles under way are in
    neither: they are cut to their end as they were planned, and before anything else. `changed`
    are the cut tiles that were not planned so before.
    """

    request: Request | None
    plan: Plan | None
    progress: Progress
    needs: tuple[Need, ...]
    changed: tuple[CutTile, ...] = ()


def replan(
    request: Request,
    plan: Plan,
    progress: Progress,
    stop: Stop | None = None,
    seed: int = 0,
) -> Replan:
    """Return a new plan for what is left, with the fewest further tiles that were found.

    Tiles under way are cut as they were planned. Tiles not begun keep their plan, unless
    planning all of them anew saves a tile.

    Parameters
    ----------
    request, plan : Request, Plan
        The first request and its plan, as the history begins with them.
    progress : Progress
        What happened since.
    stop : Stop, optional
        When to stop searching.
    seed : int
        The same history and seed give the same plan.

    Raises
    ------
    InvalidInput
        When a mark cannot be, or the history does not hold together.
    CannotBeMet
        When a piece as measured anew fits no tile.
    BrokenPlan
        When the independent check refuses the plan or the history: a bug of cutopt.
    """
    reject_choices(request)
    state = state_of(request, plan, progress)
    if faults := check_history(request, plan, progress):
        raise InvalidInput(faults)
    stop = stop or MaxSeconds(USUAL_SECONDS)
    pieces = state.remaining()
    left = _request(request, pieces, state.offcuts()) if pieces else None
    made = _plan(state, left, stop, seed) if left else None
    grown = progress.with_mark(Replanned(request=left, plan=made))
    faults = check_plan(left, made) if left and made else ()
    if faults := (*faults, *check_history(request, plan, grown)):
        raise BrokenPlan(faults)
    changed = tuple(_changed(state, made)) if made else ()
    return Replan(left, made, grown, tuple(_needs(state, left, made)), changed)


def _changed(state: State, made: Plan) -> Iterator[CutTile]:
    """Yield the cut tiles of a new plan that were not planned so, whatever their number."""
    before = [_cut_up(one) for one in state.open.values()]
    for one in made.cut_tiles:
        if _cut_up(one) not in before:
            yield one


def _cut_up(one: CutTile) -> CutTile:
    return one.model_copy(update={"number": 0, "count": 1})


def reject_choices(request: Request) -> None:
    """Raise `InvalidInput` where pieces may be cut from several tiles: not planned anew yet."""
    rule = "pieces that may be cut from several tiles are not planned anew: name the tile"
    chosen = [number for number, piece in enumerate(request.pieces) if piece.tiles]
    if chosen:
        raise InvalidInput(Fault(f"/pieces/{number}/tiles", "several", rule) for number in chosen)


def _request(request: Request, pieces: Sequence[Piece], offcuts: Sequence[Offcut]) -> Request:
    """Return the request for some pieces; read anew, so that every rule holds.

    Too few tiles do not keep a new plan from being made: it says how many are missing.
    """
    tiles = tuple(tile.model_copy(update={"available": None}) for tile in request.tiles)
    same = {name: getattr(request, name) for name in Request.model_fields}
    changes = {"tiles": tiles, "pieces": tuple(on_their_own(pieces)), "offcuts": tuple(offcuts)}
    return Request.of({**same, **changes})


def _plan(state: State, left: Request, stop: Stop, seed: int) -> Plan:
    fresh = count(max(state.numbers, default=0) + 1)
    totals: list[Total] = []
    cut_tiles: list[CutTile] = []
    reasons = []
    for tile in left.tiles:
        mine = [piece for piece in left.pieces if left.tile_of(piece).id == tile.id]
        if mine:
            offcuts = [one for one in left.offcuts if left.tile_of(one).id == tile.id]
            anew = plan_tiles(_request(left, mine, offcuts), stop, seed)
            found = _least_changed(state, anew, tile, fresh, (stop, seed))
            cut_tiles += found
            quantities, least = ((one, one.quantity) for one in mine), anew.totals[0].lower_bound
            totals.append(counted(tile, quantities, found, least))
            reasons.append(anew.stopped)
    return Plan(
        units=left.units,
        title=left.title,
        made_by=MADE_BY,
        seed=seed,
        stopped=next((reason for reason in reasons if reason != "done"), "done"),
        totals=tuple(totals),
        cut_tiles=tuple(cut_tiles),
    )


def _least_changed(
    state: State, anew: Plan, tile: Tile, fresh: Iterator[int], how: tuple[Stop, int]
) -> tuple[CutTile, ...]:
    """Return the tiles as planned with what is missing fitted in, unless a new plan is better."""
    kept = keeping(state, tile.id, fresh)
    found: tuple[CutTile, ...] = ()
    tiles = kept.new_tiles
    if kept.missing:
        patch = plan_tiles(_request(state.request, kept.missing, kept.offcuts), *how)
        found = patch.cut_tiles
        tiles += patch.totals[0].cut_tiles
        whole = patch.totals[0].full_tiles
    else:
        whole = 0
    if tiles + whole > anew.totals[0].tiles_needed:
        return tuple(one.model_copy(update={"number": next(fresh)}) for one in anew.cut_tiles)
    return grafted(kept.tiles, found, fresh)


def _needs(state: State, left: Request | None, made: Plan | None) -> Iterator[Need]:
    totals = {total.tile: total for total in made.totals} if made else {}
    for tile in state.request.tiles:
        total = totals.get(tile.id)
        if total or tile.id in state.in_hand:
            yield Need(
                tile.id,
                total.tiles_needed if total else 0,
                total.lower_bound if total else 0,
                state.in_hand.get(tile.id),
                chance_for(state, left, made, tile),
            )
