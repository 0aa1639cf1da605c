"""The whole order, from a plan: the way through the parts of this package, on one screen."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from cutopt.buying.assumptions import assumptions_of
from cutopt.buying.cautions import ORDER_CAUTIONS
from cutopt.buying.deliveries import deliveries_of
from cutopt.buying.edges import room_names
from cutopt.buying.grounds import grounds_of
from cutopt.buying.materials import materials_of
from cutopt.buying.reserve import Spares
from cutopt.buying.spares import tile_orders
from cutopt.buying.trim import trim_orders
from cutopt.buying.work import plan_of_work
from cutopt.documents import Job, Plan, Request
from cutopt.documents.buying import OrderSettings
from cutopt.documents.order import CostLine, Costs, MaterialOrder, Order, TileOrder, TrimOrder
from cutopt.errors import Fault, InvalidInput, shown
from cutopt.layout import TakeOff
from cutopt.units import MM
from cutopt.version import MADE_BY

#: Tiles wanted beyond the tiles of the area, in per cent: customs of the trade (contractors'
#: association magazine, November 2016: 3 to 15, by layout).
CUSTOM = (3.0, 15.0)


def make_order(found: TakeOff, plan: Plan, job: Job | None = None, seed: int = 0) -> Order:
    """Return what to buy for a plan that has passed the check.

    Parameters
    ----------
    found : TakeOff
        The request, and where its pieces lie when a job was measured.
    plan : Plan
        The plan of the request.
    job : Job, optional
        The job, for trim, sealant, deliveries and the plan of work.
    seed : int
        Of the simulated jobs: the same seed gives the same order.

    Raises
    ------
    InvalidInput
        When the settings name what is not there.
    CannotBeMet
        When a run of trim is longer than every bar, or so much breaks that no reserve is enough.
    """
    request = found.request
    settings = (request.order if job is None else job.order) or OrderSettings()
    _reject_unknown(settings, [tile.id for tile in request.tiles])
    trim = tuple(trim_orders(settings, request.units, found.trim, job))
    found_of = list(tile_orders(request, plan, settings, seed))
    tiles = tuple(order for order, _ in found_of)
    grounds = grounds_of(request, settings, found, job)
    materials = tuple(materials_of(grounds, settings, found, job))
    by_room = settings.delivery == "room" and job is not None
    return Order(
        units=request.units,
        title=plan.title or request.title,
        made_by=MADE_BY,
        seed=seed,
        tiles=tiles,
        deliveries=tuple(deliveries_of(job, found, plan, {one.tile: one for one in tiles}))
        if by_room and job is not None
        else (),
        trim=trim,
        materials=materials,
        work=plan_of_work(grounds, settings, _sealed(job, found)),
        costs=_costs(tiles, trim, materials),
        cautions=ORDER_CAUTIONS,
        assumptions=tuple(assumptions_of(settings, grounds, tiles, trim, materials)),
        chance_short=_any_short([order.reserve.spares for order in tiles], found_of),
        chance_short_as_bought=_any_short(
            [order.tiles_bought - order.tiles_needed for order in tiles], found_of
        ),
        notes=(*_too_few(request, found_of), *_joined(settings, trim), *_notes(tiles, job)),
    )


def _reject_unknown(settings: OrderSettings, tiles: Sequence[str]) -> None:
    faults, named = [], set[str | None]()
    for at, one in enumerate(settings.tiles):
        place = f"/order/tiles/{at}/tile"
        if one.tile is not None and one.tile not in tiles:
            rule = f"this names a tile of the document: {', '.join(tiles[:8])}"
            faults.append(Fault(place, shown(one.tile), rule))
        elif one.tile in named:
            value = shown(one.tile) if one.tile else "nothing"
            faults.append(Fault(place, value, "each tile is named once"))
        named.add(one.tile)
    if faults:
        raise InvalidInput(faults)


def _sealed(job: Job | None, found: TakeOff) -> dict[str, float]:
    """Return the metres of sealant by room."""
    metres: dict[str, float] = defaultdict(float)
    names = room_names(job) if job is not None else []
    for joint in found.soft_joints if names else ():
        metres[names[int(joint.place.split("/")[2])]] += joint.length / (1_000 * MM)
    return metres


def _costs(
    tiles: Sequence[TileOrder], trim: Sequence[TrimOrder], materials: Sequence[MaterialOrder]
) -> Costs | None:
    found = [
        *((f"tile {one.tile}", one.cost) for one in tiles),
        *((f"trim {one.profile}", one.cost) for one in trim),
        *((one.material, one.cost) for one in materials if one.packages),
    ]
    lines = [CostLine(what=what, cost=cost) for what, cost in found if cost is not None]
    if not lines:
        return None
    saved = [one.money_saved for one in tiles if one.money_saved is not None]
    return Costs(
        lines=tuple(lines),
        total=sum((line.cost for line in lines), Decimal(0)),
        without_price=tuple(what for what, cost in found if cost is None),
        saved=sum(saved, Decimal(0)) if saved else None,
    )


def _any_short(spares: Iterable[int], orders: Iterable[tuple[TileOrder, Spares]]) -> float:
    """Return the chance that any tile runs short; each breaks for itself."""
    enough = 1.0
    for many, (_, found) in zip(spares, orders, strict=True):
        enough *= 1.0 - found.chance_short(many)
    return round(1.0 - enough, 6)


def _joined(settings: OrderSettings, trim: Iterable[TrimOrder]) -> Iterator[str]:
    """Yield what to mind when the bars that were assumed are too short for a run."""
    if settings.trim is None:
        for one in trim:
            joined = {run.name.rpartition(", part")[0] for run in one.runs if run.joined_from > 1}
            if joined:
                yield (
                    f"trim: {len(joined)} runs are longer than the bars that were assumed, and are "
                    "joined: name the profile with its bars under `trim`."
                )


def _too_few(request: Request, orders: Iterable[tuple[TileOrder, Spares]]) -> Iterator[str]:
    """Yield what it means that no more tiles are to be had than the order wants."""
    available = {tile.id: tile.available for tile in request.tiles}
    for order, found in orders:
        most = available[order.tile]
        if most is not None and most < order.tiles_wanted:
            short = found.chance_short(most - order.tiles_needed)
            yield (
                f"{order.tile}: {order.tiles_wanted:,} tiles are wanted, {most:,} are to be had; "
                f"with these the chance of running short is {short:.1%}."
            )


def _notes(tiles: Iterable[TileOrder], job: Job | None) -> Iterator[str]:
    least, most = CUSTOM
    for one in tiles:
        over = one.percent_over_area
        if not least <= over <= most:
            where = "below" if over < least else "above"
            yield (
                f"{one.tile}: {over:g} % over the area is {where} the {least:g} to {most:g} % that "
                "are the custom; cuts and breakage were counted instead."
            )
    if job is None:
        yield "Without measured surfaces: no sealant, and trim only where runs are given."
