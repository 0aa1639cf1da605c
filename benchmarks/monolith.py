"""One model for everything: each piece a rectangle in one of the tiles, none over another.

What one would write first with CP-SAT of OR-Tools. It places rectangles anywhere, so that straight
cuts from edge to edge need not be able to part them: it answers an easier question than cutopt.
"""

import math
import threading
import time
from itertools import pairwise
from typing import Any, NamedTuple

import rectpack
from ortools.sat.python import cp_model

from cutopt.documents import Piece, Request, Tile, is_full_tile

#: So often is looked whether the time is over.
LOOK = 0.05


class Answer(NamedTuple):
    """Tiles of the best plan, and what every plan needs."""

    tiles: int
    bound: int


class Model(NamedTuple):
    """The model, which tiles are used, which piece lies in which, and where."""

    cp: cp_model.CpModel
    used: list[Any]
    lies_in: list[list[Any]]
    placed: list["Placed"]


class Spot(NamedTuple):
    """Where a piece lies in the plan to begin with: tile, lower left corner, width as it lies."""

    tile: int
    x: int
    y: int
    width: int


class Placed(NamedTuple):
    """Where a piece begins, how long it is and where it ends, both ways; whether it is turned."""

    across: tuple[Any, Any, Any]
    along: tuple[Any, Any, Any]
    turned: Any = None


def solve(request: Request, seconds: float) -> Answer:
    """Return what is found while this process works for so many seconds, with one worker.

    It begins with a plan of the general packer. For requests with one tile, no offcuts and no
    factory edges.
    """
    (tile,) = request.tiles
    cut = [piece for piece in request.pieces if not is_full_tile(piece, tile)]
    full = sum(piece.quantity for piece in request.pieces) - sum(p.quantity for p in cut)
    end = time.process_time() + seconds
    units = units_of(cut)
    spots = first_plan(tile, units, request.saw.kerf)
    most = 1 + max((spot.tile for spot in spots), default=-1)
    model = build(tile, units, request.saw.kerf, most)
    hint(model, units, spots, request.saw.kerf)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = _solve_until(solver, model.cp, end)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    bound = max(0, math.ceil(solver.best_objective_bound - 1e-6))
    return Answer(full + (round(solver.objective_value) if found else most), full + bound)


def _solve_until(solver: cp_model.CpSolver, cp: cp_model.CpModel, end: float) -> int:
    """Solve, and stop when this process has worked until then."""
    done = threading.Event()

    def watch() -> None:
        while not done.wait(LOOK):
            if time.process_time() >= end:
                solver.stop_search()

    watcher = threading.Thread(target=watch)
    watcher.start()
    try:
        return int(solver.solve(cp))
    finally:
        done.set()
        watcher.join()


def units_of(cut: list[Piece]) -> list[Piece]:
    """Return each single piece, the larger ones first."""
    by_area = sorted(cut, key=lambda piece: piece.width * piece.height, reverse=True)
    return [piece for piece in by_area for _ in range(piece.quantity)]


def first_plan(tile: Tile, units: list[Piece], kerf: int) -> list[Spot]:
    """Return what one way of the general packer makes of it, in tiles as the model orders them."""
    packer = rectpack.newPacker(
        pack_algo=rectpack.GuillotineBafSas,
        bin_algo=rectpack.PackingBin.BBF,
        sort_algo=rectpack.SORT_AREA,
        rotation=tile.turn == "quarter",
    )
    for number, piece in enumerate(units):
        packer.add_rect(piece.width + kerf, piece.height + kerf, rid=number)
    packer.add_bin(tile.width + kerf, tile.height + kerf, count=len(units), merge=False)
    packer.pack()
    found = {number: Spot(at, x, y, width) for at, x, y, width, _, number in packer.rect_list()}
    return _in_order(units, [found[number] for number in range(len(units))])


def _in_order(units: list[Piece], spots: list[Spot]) -> list[Spot]:
    """Return the same plan with tiles by their first piece, and equal pieces by their tile."""
    before: list[Spot] = []
    while spots != before:
        before = spots
        order = {tile: at for at, tile in enumerate(dict.fromkeys(spot.tile for spot in spots))}
        spots = [spot._replace(tile=order[spot.tile]) for spot in spots]
        alike: dict[tuple[int, int], list[Spot]] = {}
        for piece, spot in zip(units, spots, strict=True):
            alike.setdefault((piece.width, piece.height), []).append(spot)
        queues = {size: iter(sorted(group)) for size, group in alike.items()}
        spots = [next(queues[piece.width, piece.height]) for piece in units]
    return spots


def hint(model: Model, units: list[Piece], spots: list[Spot], kerf: int) -> None:
    """Tell the model of a plan to begin with."""
    cp = model.cp
    for one_used in model.used:
        cp.add_hint(one_used, 1)
    for piece, row, placed, spot in zip(units, model.lies_in, model.placed, spots, strict=True):
        for at, here in enumerate(row):
            cp.add_hint(here, at == spot.tile)
        height = piece.width + piece.height + 2 * kerf - spot.width
        cp.add_hint(placed.across[0], spot.x)
        cp.add_hint(placed.across[2], spot.x + spot.width)
        cp.add_hint(placed.along[0], spot.y)
        cp.add_hint(placed.along[2], spot.y + height)
        if placed.turned is not None:
            cp.add_hint(placed.turned, spot.width != piece.width + kerf)


def build(tile: Tile, units: list[Piece], kerf: int, most: int) -> Model:
    """Return the model with so many tiles; the kerf is added to piece and tile alike."""
    cp = cp_model.CpModel()
    used = [cp.new_bool_var("") for _ in range(most)]
    lies_in = [_assigned(cp, number, most) for number in range(len(units))]
    across, along = tile.width + kerf, tile.height + kerf
    placed = [_placed(cp, piece, tile, kerf) for piece in units]
    for number, one_used in enumerate(used):
        inside = [row[number] for row in lies_in]
        rectangles = [
            [cp.new_optional_interval_var(*span, here, "") for span in spans[:2]]
            for spans, here in zip(placed, inside, strict=True)
        ]
        cp.add_no_overlap_2d(*map(list, zip(*rectangles, strict=True)))
        areas = [(piece.width + kerf) * (piece.height + kerf) for piece in units]
        cp.add(cp_model.LinearExpr.weighted_sum(inside, areas) <= across * along * one_used)
    _break_symmetry(cp, units, used, lies_in)
    cp.minimize(sum(used))
    return Model(cp, used, lies_in, placed)


def _assigned(cp: cp_model.CpModel, number: int, most: int) -> list[Any]:
    """Return in which tile a piece lies; the first in the first, the second in the first two."""
    row = [cp.new_bool_var("") for _ in range(most)]
    cp.add_exactly_one(row)
    for too_late in row[number + 1 :]:
        cp.add(too_late == 0)
    return row


def _placed(cp: cp_model.CpModel, piece: Piece, tile: Tile, kerf: int) -> Placed:
    """Return where a piece begins and ends, which may be turned where the tile may."""
    width, height = piece.width + kerf, piece.height + kerf
    across, along = tile.width + kerf, tile.height + kerf
    right, top = cp.new_int_var(0, across, ""), cp.new_int_var(0, along, "")
    x, y = cp.new_int_var(0, across, ""), cp.new_int_var(0, along, "")
    sizes: tuple[Any, Any] = (width, height)
    turned = None
    if tile.turn == "quarter" and width != height:
        turned = cp.new_bool_var("")
        sizes = width + (height - width) * turned, height + (width - height) * turned
    cp.add(x + sizes[0] == right)
    cp.add(y + sizes[1] == top)
    return Placed((x, sizes[0], right), (y, sizes[1], top), turned)


def _break_symmetry(
    cp: cp_model.CpModel,
    units: list[Piece],
    used: list[Any],
    lies_in: list[list[Any]],
) -> None:
    """Use tiles in their order, and equal pieces in theirs."""
    for one, after in pairwise(used):
        cp.add_implication(after, one)
    places = [sum(at * here for at, here in enumerate(row)) for row in lies_in]
    for number, (piece, other) in enumerate(pairwise(units)):
        if (piece.width, piece.height) == (other.width, other.height):
            cp.add(places[number] <= places[number + 1])
