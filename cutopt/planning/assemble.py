"""From the solver's solution to the plan: numbered tiles, named pieces, totals."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import cast

from cutopt.documents import (
    ALL_SIDES,
    CutTile,
    Placement,
    Plan,
    Request,
    Tile,
    Together,
    Total,
    is_full_tile,
)
from cutopt.documents.alternatives import groups_of
from cutopt.documents.plan import Degrees
from cutopt.planning.certificate import certificate_of, for_any_saw
from cutopt.planning.counting import counted
from cutopt.planning.going_on import Pair, pairs_of, parted, with_pairs_as_one
from cutopt.planning.misfits import reject_misfits
from cutopt.planning.pose import BIT, Member, Posed, pose
from cutopt.planning.saw import Bench, Lying
from cutopt.planning.shelf import Shelf
from cutopt.planning.shortage import reject_shortage
from cutopt.planning.together import (
    pose_together,
    reject_shortage_of,
    together_of,
    totals_of,
)
from cutopt.planning.tools import tools_named
from cutopt.planning.wishes import wishes_of
from cutopt.solver import Router, Solution, solve
from cutopt.stop import Stop
from cutopt.version import MADE_BY


def plan_tiles(request: Request, stop: Stop, seed: int) -> Plan:
    """Return the plan of a request, not yet checked.

    Raises
    ------
    CannotBeMet
        When pieces fit no tile; all of them are named. When there are too few tiles.
    """
    reject_misfits(request)
    totals: list[Total] = []
    together: list[Together] = []
    cut_tiles: list[CutTile] = []
    reasons: list[str] = []
    followed = True
    for tiles in groups_of(request):
        if len(tiles) > 1:
            posed = pose_together(request, tiles)
            names, wishes = ", ".join(tile.id for tile in tiles), wishes_of(request, posed)
            solution = solve(posed.problem, stop, seed, names, wishes)
            reject_shortage_of(request, posed, solution)
            made = list(_cut_tiles(posed, solution, len(cut_tiles) + 1))
            found = list(totals_of(request, posed, made))
            together.append(together_of(request, posed, found, solution))
            totals += found
        else:
            made, total, solution = _of_one(request, tiles[0], len(cut_tiles) + 1, stop, seed)
            totals.append(total)
        cut_tiles += made
        reasons.append(solution.stopped)
        followed &= solution.followed
    reject_shortage(request, totals)
    return Plan(
        units=request.units,
        title=request.title,
        made_by=MADE_BY,
        seed=seed,
        stopped=next((reason for reason in ("cancelled", "time") if reason in reasons), "done"),
        totals=tuple(totals),
        together=tuple(together) or None,
        preferred=request.prefer if followed else None,
        cut_tiles=tuple(cut_tiles),
    )


def _of_one(
    request: Request, tile: Tile, number: int, stop: Stop, seed: int
) -> tuple[list[CutTile], Total, Solution]:
    """Return the cut tiles of a tile that is planned by itself, and what it comes to."""
    posed = pose(request, tile)
    solution = solve(posed.problem, stop, seed, tile.id, wishes_of(request, posed))
    bound, proof = for_any_saw(posed, solution, stop, seed)
    solution = replace(solution, bound=bound, proof=proof)
    made = list(_cut_tiles(posed, solution, number))
    total = _total(posed, made, solution)
    if pairs := pairs_of(request, tile):
        anew = _kept_together(request, pairs, total, stop, seed)
        if anew is not None:
            made = list(parted(anew, tile, pairs, posed.problem.kerf, number))
            total = _total(posed, made, solution)
    return made, total, solution


def _kept_together(
    request: Request, pairs: Sequence[Pair], total: Total, stop: Stop, seed: int
) -> list[CutTile] | None:
    """Return cut tiles in which pairs are one piece each, if they take no more tiles."""
    (tile,) = (tile for tile in request.tiles if tile.id == total.tile)
    posed = pose(with_pairs_as_one(request, tile, pairs), tile)
    solution = solve(posed.problem, stop, seed, tile.id)
    made = list(_cut_tiles(posed, solution, 1))
    needed = _total(posed, made, solution).tiles_needed
    return made if needed <= total.tiles_needed else None


def _cut_tiles(posed: Posed, solution: Solution, number: int) -> Iterator[CutTile]:
    """Yield the cut tiles with named pieces, numbered onwards."""
    shelf, cutters = Shelf(posed), posed.problem.cutters
    router = Router(cutters, posed.problem.kerf)
    for cutting in solution.cuttings:
        sheet = posed.problem.sheets[cutting.sheet]
        bench = Bench(sheet, posed.problem.kerf, router).cut_up(cutting.tree)
        kinds = [lying.leaf.kind for lying in bench.lying]
        tile, left = posed.tile_of(cutting.sheet), cutting.count
        while left:
            members, offcut, times = shelf.take(kinds, cutting.sheet, left)
            left -= times
            first = members[0].piece
            if offcut is None and not first.tiles and is_full_tile(first, tile):
                continue  # a whole tile out of the box after all
            yield CutTile(
                number=number,
                tile=tile.id,
                stock=offcut.id if offcut else "new",
                count=times,
                width=sheet.width,
                height=sheet.height,
                factory_edges=tuple(side for side in ALL_SIDES if BIT[side] & sheet.edges),
                placements=tuple(map(_placement, bench.lying, members)),
                cuts=tools_named(bench, cutters) if cutters.snap else tuple(bench.cuts),
                leftovers=bench.leftovers,
            )
            number += 1


def _placement(lying: Lying, member: Member) -> Placement:
    turn = (member.turn + lying.leaf.stand.turn) % 360
    return Placement(
        piece=member.piece.id, x=lying.x, y=lying.y, turn=cast(Degrees, turn), part=lying.part
    )


def _total(posed: Posed, made: Sequence[CutTile], solution: Solution) -> Total:
    pieces = [*posed.full, *(member.piece for members in posed.members for member in members)]
    straight = sum(piece.quantity for piece in posed.full)
    quantities = ((piece, piece.quantity) for piece in pieces)
    total = counted(posed.tile, quantities, made, straight + solution.bound)
    return total.model_copy(update={"certificate": certificate_of(posed, solution.proof)})
