"""The chance of running short: what is still to be cut may break, and so many tiles are in hand.

Tiles under way count with the pieces that are not yet cut out of them.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from cutopt.buying.breakage import chances_for
from cutopt.buying.recut import fragile_pieces, risk_of
from cutopt.buying.reserve import Spares, spares_of
from cutopt.documents import CutTile, Plan, Request, Tile, Total
from cutopt.documents.buying import OrderSettings
from cutopt.errors import CannotBeMet
from cutopt.progress.state import State

#: Simulated jobs: a new plan is wanted within the second.
MOST_JOBS = 2_000
NOTHING_LEFT = Spares((1.0,))


@dataclass(frozen=True, slots=True)
class Chance:
    """How likely it is that tiles run short, by the chances of breaking in the settings.

    Attributes
    ----------
    short : float or None
        Chance that the tiles in hand are too few; None when nobody counted them.
    low, high : float or None
        Its 95 % confidence interval; the same number twice where it is exact.
    level : float
        The service level asked for.
    reserve : int
        Tiles to have besides those of the plan, so that they suffice with this chance.
    """

    short: float | None
    low: float | None
    high: float | None
    level: float
    reserve: int


def chance_for(state: State, left: Request | None, plan: Plan | None, tile: Tile) -> Chance | None:
    """Return the chance of running short of one tile; None where so much breaks that none holds.

    Parameters
    ----------
    state : State
        How the work stands.
    left, plan : Request and Plan, or None
        What is left to be planned, and its new plan.
    tile : Tile
        The tile.
    """
    settings = state.request.order or OrderSettings()
    own = settings.of_tile(tile.id)
    wanted, all_left = _still_to_cut(state, left, plan, tile)
    fragile = fragile_pieces(wanted, all_left, tile, chances_for(tile, own))
    risk = risk_of(wanted, all_left, tile, fragile, (own.faulty, own.fault_hidden))
    jobs = min(settings.simulated_jobs, MOST_JOBS)
    try:
        spares = spares_of(risk, jobs, settings.service_level) if risk.counts else NOTHING_LEFT
    except CannotBeMet:
        return None
    reserve = spares.at(settings.service_level)
    in_hand = state.in_hand.get(tile.id)
    if in_hand is None:
        return Chance(None, None, None, settings.service_level, reserve)
    over = in_hand - all_left.totals[0].tiles_needed
    short, interval = (
        (1.0, (1.0, 1.0)) if over < 0 else (spares.chance_short(over), spares.chance_interval(over))
    )
    return Chance(short, *interval, settings.service_level, reserve)


def _still_to_cut(
    state: State, left: Request | None, plan: Plan | None, tile: Tile
) -> tuple[Request, Plan]:
    """Return all pieces as they are wanted, and all cut tiles of a kind that are not finished."""
    offcuts = left.offcuts if left else tuple(state.offcuts())
    wanted = state.request.model_copy(
        update={"pieces": tuple(state.wanted.values()), "offcuts": offcuts}
    )
    planned = plan.cut_tiles if plan else ()
    totals = [total for total in (plan.totals if plan else ()) if total.tile == tile.id]
    all_left = Plan(
        units=wanted.units,
        totals=tuple(totals or [_nothing(tile)]),
        cut_tiles=(*planned, *_under_way(state, tile)),
    )
    return wanted, all_left


def _nothing(tile: Tile) -> Total:
    return Total(
        tile=tile.id,
        tiles_needed=0,
        lower_bound=0,
        proven_minimal=True,
        full_tiles=0,
        cut_tiles=0,
    )


def _under_way(state: State, tile: Tile) -> Iterator[CutTile]:
    """Yield the tiles under way with the pieces that are not yet cut out of them.

    What they leave over counts as offcuts already.
    """
    for one in state.under_way.values():
        if one.cut_tile.tile == tile.id:
            lying = one.lying
            placements = tuple(
                placed
                for placed in one.cut_tile.placements
                if (placed.part or 0) not in lying and one.lying_above(placed.part or 0) is not None
            )
            if placements:
                changes = {"placements": placements, "leftovers": (), "count": 1, "stock": "new"}
                yield one.cut_tile.model_copy(update=changes)
