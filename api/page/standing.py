"""How a job stands, as the page shows it: steps, pieces, stock, history. Runs in a child."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, get_args

from pydantic import TypeAdapter

from api.page.drawing import draw_step
from api.page.elevation import Picture, Shown, drawings
from api.page.history import History, history_of
from api.page.said import Entry, Kept, PlanSaid, UndoSaid
from api.page.steps import StepLeft, steps_left
from api.page.words import said_text, size_of, step_words
from cutopt.documents import Piece, Plan, Request, Tile, is_full_tile
from cutopt.documents.sequence import By
from cutopt.errors import CannotBeMet, InvalidInput
from cutopt.plane import Rect
from cutopt.progress import State, replan, state_of
from cutopt.reports.words import number_text, size_text
from cutopt.stop import MaxSeconds

Json = dict[str, Any]

#: A new plan at the saw may take so long.
_REPLAN_SECONDS = 8.0
#: So many steps bear their drawing: as many as somebody does before there is a connection again.
_DRAWN = 60
_SECONDS = 60.0
_KEPT = TypeAdapter(tuple[Kept, ...])
ORDERS: tuple[By, ...] = get_args(By)


@dataclass(frozen=True)
class Work:
    """A job as the store holds it: its request, its first plan, its entries (all as text)."""

    request: str
    plan: str
    entries: str


def entries_of(work: Work) -> list[Kept]:
    """Return the entries of a job, read."""
    return list(_KEPT.validate_json(work.entries))


@dataclass(frozen=True)
class Followed:
    """What a child has found out: which new entries it refuses, and a new plan if one is needed."""

    refused: tuple[tuple[str, str | None], ...]
    plan: str | None
    problem: str | None
    standing: Json


@dataclass
class _Job:
    request: Request
    plan: Plan
    entries: list[Kept]

    @property
    def history(self) -> History:
        return history_of(self.request, self.entries)

    def state(self, history: History) -> State:
        return state_of(self.request, self.plan, history.progress)


def follow(work: Work, new: Sequence[Entry], made: float, by: By) -> Followed:
    """Take new entries one after another, plan anew if one calls for it, and say how it stands."""
    job = _Job(Request.read(work.request), Plan.read(work.plan), entries_of(work))
    refused = tuple((entry.id, _refusal(job, entry, made)) for entry in new)
    planned, problem = _planned_anew(job, made)
    return Followed(refused, planned, problem, _standing(job, by, problem))


def _refusal(job: _Job, entry: Entry, made: float) -> str | None:
    """Take an entry; return why it cannot be, if so."""
    number = len(job.entries) + 1
    kept = Kept(number=number, id=entry.id, made=made, said=entry.said)
    reason = _reason(job, kept)
    job.entries.append(kept.model_copy(update={"refused": reason}))
    return reason


def _reason(job: _Job, kept: Kept) -> str | None:
    if isinstance(kept.said, UndoSaid):
        in_force = [one.id for one in job.history.in_force]
        if kept.said.entry not in in_force:
            return "this was taken back already"
    try:
        history = history_of(job.request, [*job.entries, kept])
        job.state(history)
    except InvalidInput as problem:
        return problem.faults[0].rule
    except ValueError as problem:  # a length that is none
        return str(problem)
    return None


def _planned_anew(job: _Job, made: float) -> tuple[str | None, str | None]:
    """Return the entry of a new plan where one is needed, or why there can be none."""
    history = job.history
    if not history.needs_plan:
        return None, None
    try:
        found = replan(job.request, job.plan, history.progress, MaxSeconds(_REPLAN_SECONDS))
    except (CannotBeMet, InvalidInput) as problem:
        return None, "; ".join(f"{fault.value}: {fault.rule}" for fault in problem.faults[:3])
    said = PlanSaid(
        request=found.request.text() if found.request else None,
        plan=found.plan.text() if found.plan else None,
    )
    number = len(job.entries) + 1
    job.entries.append(Kept(number=number, id=f"plan-{number}", made=made, said=said))
    return said.model_dump_json(), None


def _standing(job: _Job, by: By, problem: str | None) -> Json:
    history = job.history
    state = job.state(history)
    left = steps_left(state, history.steps_done, by)
    last = history.last
    waiting = Counter((one.step.cut_tile, which) for one in left for which in one.which)
    return {
        "number": len(job.entries),
        "by": by,
        "units": job.request.units,
        "problem": problem,
        "steps": list(_steps(left, job.request)),
        "begun": sum(bool(tile.left_to_do()) for tile in state.under_way.values()),
        "finished": list(_finished(state, left)),
        "pieces": list(_pieces(state, left)),
        "tiles": list(_tiles(state)),
        "shelf": [_offcut(one, job.request) for one in state.shelf.values()],
        "seconds": round(sum(one.step.seconds * len(one.which) for one in left)),
        "left": sum(waiting.values()),
        "undo": None if last is None else {"id": last.id, "words": said_text(last.said)},
        "history": list(_told(job.entries, history)),
        "replanned": any(isinstance(one.said, PlanSaid) for one in history.in_force),
    }


def _steps(left: Sequence[StepLeft], request: Request) -> Iterator[Json]:
    fence = None
    for number, one in enumerate(left):
        words = step_words(one, request)
        words["sets"] = words["fence"] is not None and words["fence"] != fence
        fence = words["fence"] or fence
        if number < _DRAWN:
            words["drawing"] = draw_step(one.step, one.cut_tile, one.rects, request.units)
        yield words


def _finished(state: State, left: Sequence[StepLeft]) -> Iterator[Json]:
    """Yield every piece that is cut out and needs no further step, with its part."""
    unfinished = {
        (one.step.cut_tile, which, made.part)
        for one in left
        for which in one.which
        for made in one.step.makes
    }
    for (number, which), tile in state.under_way.items():
        for name, part in tile.pieces():
            if part in tile.lying and (number, which, part) not in unfinished:
                size = size_of(tile.parts.rects[part], state.request.units)
                yield {"piece": name, "cut_tile": number, "which": which, "part": part} | {
                    "size": size
                }


def _pieces(state: State, left: Sequence[StepLeft]) -> Iterator[Json]:
    """Yield every piece with how many of it are wanted, are there, and hang as whole tiles."""
    there = Counter(one["piece"] for one in _finished(state, left))
    source: dict[str, set[int]] = {}
    for number, tile in ((number, tile) for (number, _), tile in state.under_way.items()):
        for name, _ in tile.pieces():
            source.setdefault(name, set()).add(number)
    for one in state.open.values():
        for placed in one.placements:
            source.setdefault(placed.piece, set()).add(one.number)
    for piece in state.wanted.values():
        yield _piece(state, piece, there[piece.id], sorted(source.get(piece.id, ())))


def _piece(state: State, piece: Piece, there: int, source: list[int]) -> Json:
    units = state.request.units
    is_whole = is_full_tile(piece, state.request.tile_of(piece))
    return {
        "id": piece.id,
        "tile": state.request.tile_of(piece).id,
        "size": size_text(piece.width, piece.height, units),
        "width": number_text(piece.width, units),
        "height": number_text(piece.height, units),
        "wanted": piece.quantity,
        "there": there,
        "laid": state.laid[piece.id],
        "whole": is_whole,
        "rectangle": piece.is_rectangle,
        "edges": list(piece.factory_edges),
        "from": source,
    }


def _tiles(state: State) -> Iterator[Json]:
    """Yield each kind of tile with how many are still to be opened, and how many are in hand."""
    for tile in state.request.tiles:
        cut, whole = needed_of(state, tile)
        in_hand = state.in_hand.get(tile.id)
        yield {
            "id": tile.id,
            "size": size_text(tile.width, tile.height, state.request.units),
            "sides": size_of(Rect(0, 0, tile.width, tile.height), state.request.units),
            "cut": cut,
            "whole": whole,
            "needed": cut + whole,
            "in_hand": in_hand,
            "short": None if in_hand is None else max(0, cut + whole - in_hand),
        }


def needed_of(state: State, tile: Tile) -> tuple[int, int]:
    """Return how many new tiles of a kind are still to be cut up, and to be laid whole."""
    begun = Counter(number for number, _ in state.under_way)
    cut = sum(
        one.count - begun[one.number]
        for one in state.open.values()
        if one.tile == tile.id and one.stock == "new"
    )
    planned = {placed.piece for one in state.open.values() for placed in one.placements}
    kept = state.kept()
    whole = sum(
        max(0, piece.quantity - kept[piece.id])
        for piece in state.wanted.values()
        if is_full_tile(piece, tile)
        and state.request.tile_of(piece).id == tile.id
        and piece.id not in planned
    )
    return cut, whole


def _offcut(one: Any, request: Request) -> Json:
    size = size_text(one.width, one.height, request.units)
    tile = request.tile_of(one).id
    return {"id": one.id, "tile": tile, "size": size, "quantity": one.quantity}


def _told(entries: Sequence[Kept], history: History) -> Iterator[Json]:
    """Yield the history, the latest first."""
    in_force = {entry.id for entry in history.in_force}
    for entry in reversed(entries):
        counts = entry.id in in_force or isinstance(entry.said, UndoSaid)
        yield {
            "number": entry.number,
            "made": entry.made,
            "words": said_text(entry.said),
            "refused": entry.refused,
            "gone": not counts and entry.refused is None,
        }


def stands(work: Work) -> State:
    """Return how the work stands."""
    job = _Job(Request.read(work.request), Plan.read(work.plan), entries_of(work))
    return job.state(job.history)


def on_the_wall(work: Work, document: str, piece: str | None) -> list[Picture]:
    """Return the drawings of a job as it stands."""
    job = _Job(Request.read(work.request), Plan.read(work.plan), entries_of(work))
    history = job.history
    state = job.state(history)
    left = steps_left(state, history.steps_done, "surface")
    under_way = {tile.cut_tile.number: tile.cut_tile for tile in state.under_way.values()}
    plan = job.plan.model_copy(update={"cut_tiles": tuple((under_way | state.open).values())})
    there = Counter(one["piece"] for one in _finished(state, left))
    return drawings(document, Shown(plan, there, piece))


def totals(plan: str) -> list[Json]:
    """Return what the first plan comes to, tile by tile."""
    return [total.model_dump(mode="json") for total in Plan.read(plan).totals]


def together(plan: str) -> list[Json]:
    """Return what tiles that pieces may choose from come to together, in the first plan."""
    return [one.model_dump(mode="json") for one in Plan.read(plan).together or ()]
