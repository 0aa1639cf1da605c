"""What to buy for a job, and how likely it is that tiles run short. Runs in a child."""

from collections import Counter
from dataclasses import dataclass

from api.page.standing import Work, needed_of, stands
from cutopt.buying import make_order
from cutopt.documents import Job, Plan, Total, parse_json
from cutopt.documents.order import Order
from cutopt.formats import taken_off
from cutopt.papers import Paper, print_order
from cutopt.progress.running_short import Chance, chance_for
from cutopt.reports.order_text import percent, tile_rows, write_order
from cutopt.reports.words import counted


@dataclass(frozen=True)
class Bill:
    """What to buy: tile by tile what is to be said of it, and all of it as text."""

    tiles: tuple[tuple[str, int, tuple[tuple[str, str], ...]], ...]
    text: str


def bill(document: str, plan: str) -> Bill:
    """Return what to buy for the first plan of a job."""
    order = _order(document, plan)
    tiles = ((one.tile, one.tiles_bought, tuple(tile_rows(one))) for one in order.tiles)
    return Bill(tuple(tiles), write_order(order))


def print_bill(document: str, plan: str, paper: Paper) -> bytes:
    """Return what to buy as pages to print."""
    return print_order(_order(document, plan), paper)


def _order(document: str, plan: str) -> Order:
    data = parse_json(document)
    found = taken_off(data)
    return make_order(found, Plan.read(plan), Job.of(data) if found.surfaces else None, 0)


def risks(work: Work) -> dict[str, str]:
    """Return how likely it is that each kind of tile runs short, in words."""
    state = stands(work)
    left = state.request.model_copy(
        update={"pieces": tuple(state.remaining()), "offcuts": tuple(state.offcuts())}
    )
    begun = Counter(number for number, _ in state.under_way)
    cut_tiles = tuple(
        one.model_copy(update={"count": one.count - begun[one.number]})
        for one in state.open.values()
        if one.count > begun[one.number]
    )
    words = {}
    for tile in state.request.tiles:
        cut, whole = needed_of(state, tile)
        total = Total(
            tile=tile.id,
            tiles_needed=cut + whole,
            lower_bound=0,
            proven_minimal=False,
            full_tiles=whole,
            cut_tiles=cut,
        )
        plan = Plan(units=left.units, totals=(total,), cut_tiles=cut_tiles)
        chance = chance_for(state, left, plan, tile)
        if chance is not None:
            words[tile.id] = _in_words(chance)
    return words


def _in_words(chance: Chance) -> str:
    over = f"{counted(chance.reserve, 'tile')} over would do in {percent(chance.level)} of jobs"
    if chance.short is None:
        return f"Pieces may still break: {over}."
    return f"Pieces may still break: the chance to run short is {percent(chance.short)}; {over}."
