"""The order as plain text for a terminal: what to buy, how sure, with what, and when."""

from collections.abc import Iterator
from itertools import chain

from cutopt.documents.order import (
    Costs,
    Delivery,
    MaterialOrder,
    Order,
    Reserve,
    TileOrder,
    TrimOrder,
    WorkStep,
)
from cutopt.reports.lines import filled, item
from cutopt.reports.words import counted, money, number_text, plain, size_text
from cutopt.units import Units

#: Said above the plan of work.
WORK_WORDS = "Hours count from the start of the working day; the paces are assumptions."

_TASKS = {
    "set": "set the tiles",
    "wait": "wait",
    "protect": "protect the floor",
    "grout": "grout",
    "seal": "seal",
}


def write_order(order: Order) -> str:
    """Return an order as text, at most 80 columns wide."""
    title = f"Order: {order.title}" if order.title else "Order"
    blocks = [
        list(filled(plain(title))),
        *(list(_tile(tile, order.units)) for tile in order.tiles),
        list(_all_tiles(order)) if len(order.tiles) > 1 else [],
        list(_deliveries(order.deliveries)),
        *(list(_trim(trim, order.units)) for trim in order.trim),
        list(_materials(order)),
        list(_work(order)),
        list(_costs(order.costs)) if order.costs else [],
        list(chain.from_iterable(filled(plain(note), "Note: ") for note in order.notes)),
        ["Mind", *chain.from_iterable(filled(words, "- ") for words in order.cautions)],
        list(_assumptions(order)),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _tile(tile: TileOrder, units: Units) -> Iterator[str]:
    size = size_text(tile.width, tile.height, units, "x")
    yield from filled(f"Tile {plain(tile.tile)}, {size} {units}")
    for name, words in tile_rows(tile):
        yield from item(name, words)
    yield from item("spares", "chance of running short (95 % confidence interval)")
    for row in tile.reserve.table:
        mark = ">" if row.spares == tile.reserve.spares else " "
        interval = "" if tile.reserve.exact else f"  {percent(row.low)} to {percent(row.high)}"
        cost = "" if row.cost is None else f"  cost {money(row.cost)}"
        yield f"    {mark} {row.spares:>5}   {percent(row.chance_short):>8}{interval}{cost}"


def tile_rows(tile: TileOrder) -> Iterator[tuple[str, str]]:
    """Yield what is to be said of a tile: a name of one word, and the words."""
    yield "needed", f"{counted(tile.tiles_needed, 'tile')} by the plan"
    yield "reserve", reserve_text(tile.reserve)
    if tile.keep:
        yield "keep", f"{counted(tile.keep, 'tile')} for later repair"
    yield "buy", bought_text(tile)
    if tile.cost is not None:
        yield "cost", money(tile.cost)
    if tile.boxes_back is not None and tile.chance_of_box_back:
        words = f"{tile.boxes_back:.2g} boxes unopened in the mean"
        worth = "" if tile.money_back is None else f", worth {money(tile.money_back)}"
        yield "return", f"{words}{worth}; one or more in {percent(tile.chance_of_box_back)} of jobs"
    if tile.tiles_saved is not None:
        worth = "" if tile.money_saved is None else f", {money(tile.money_saved)}"
        yield "saved", f"{counted(tile.tiles_saved, 'tile')}{worth}, against a tile for every cut"
    words = f"{tile.tiles_wanted:,} tiles are {tile.percent_over_area:+g} % over the area"
    yield "custom", f"{words} ({tile.by_area:,}); the custom of 3 to 15 % is for comparison"


def reserve_text(reserve: Reserve) -> str:
    """Return the reserve in words, with how sure and how it was found."""
    row = next(row for row in reserve.table if row.spares == reserve.spares)
    words = f"{counted(reserve.spares, 'tile')}: enough in {percent(1 - row.chance_short)} of jobs"
    words += f" (asked {percent(reserve.service_level)})"
    if reserve.exact:
        words += "; exact"
    else:
        words += f"; {reserve.simulated_jobs:,} simulated jobs"
        if reserve.high is None:
            words += f" say {reserve.low:,} or more"
        elif (reserve.low, reserve.high) != (reserve.spares, reserve.spares):
            words += f" say {reserve.low:,} to {reserve.high:,}"
    if reserve.cheapest is not None:
        words += f"; by cost {reserve.cheapest:,}"
    return words


def bought_text(tile: TileOrder) -> str:
    """Return what is bought in words."""
    bought = counted(tile.tiles_bought, "tile")
    if tile.boxes is None or tile.per_box is None:
        return bought
    boxes = f"{counted(tile.boxes, 'box', 'boxes')} of {tile.per_box:,}: {bought}"
    if tile.chance_short:
        return f"{boxes}, short in {percent(tile.chance_short)} of jobs"
    never = "never short" if tile.reserve.exact else "short in none of the simulated jobs"
    return f"{boxes}, {never}"


def percent(share: float) -> str:
    """Return a share in per cent, never rounded to nothing: `"3.8 %"`, `"below 0.01 %"`."""
    if 0 < share < 0.0001:
        return "below 0.01 %"
    if 0.9999 < share < 1:
        return "over 99.99 %"
    digits = 2 if share < 0.01 or share > 0.99 else 1
    return f"{share * 100:.{digits}f}".rstrip("0").rstrip(".") + " %"


def _all_tiles(order: Order) -> Iterator[str]:
    yield "All tiles together"
    yield from item("enough", enough_text(order))


def enough_text(order: Order) -> str:
    """Return in how many jobs no tile runs short, in words."""
    words = f"in {percent(1 - order.chance_short)} of jobs with the reserves alone"
    return f"{words}, in {percent(1 - order.chance_short_as_bought)} with all that is bought"


def _deliveries(deliveries: tuple[Delivery, ...]) -> Iterator[str]:
    if deliveries:
        yield "Deliveries, all of one shade and calibre"
    for one in deliveries:
        boxes = "" if one.boxes is None else f"{counted(one.boxes, 'box', 'boxes')}, "
        words = f"{boxes}{counted(one.tiles_delivered, 'tile')} of {plain(one.tile)}"
        yield from filled(words, f"  {plain(one.room)}: ")


def _trim(trim: TrimOrder, units: Units) -> Iterator[str]:
    yield from filled(f"Trim {plain(trim.profile)}")
    for name, words in trim_rows(trim, units):
        yield from item(name, words)
    for number, (words, _) in enumerate(bar_cuts(trim, units), 1):
        yield from item(f"bar {number}", words)


def trim_rows(trim: TrimOrder, units: Units) -> Iterator[tuple[str, str]]:
    """Yield what is to be said of a profile: a name of one word, and the words."""
    bars = ", ".join(
        f"{counted(bar.count, 'bar')} of {number_text(bar.length, units)} {units}"
        for bar in trim.bars
    )
    yield "buy", bars
    if trim.cost is not None:
        yield "cost", money(trim.cost)
    best = "no fewer bars will do" if trim.aim == "fewest bars" else "nothing costs less"
    bound = f"{trim.lower_bound:,.0f}" if trim.aim == "fewest bars" else f"{trim.lower_bound:,.2f}"
    yield "proof", f"proven: {best}" if trim.proven else f"at least {bound}"
    yield "corners", "mitred" if trim.corners == "mitre" else "butted"
    saved = trim.bars_counted_naively - trim.bars_in_all
    if saved > 0:
        yield "saved", f"{counted(saved, 'bar')}, against a bar for every run"


def bar_cuts(trim: TrimOrder, units: Units) -> Iterator[tuple[str, str]]:
    """Yield for each way of cutting a bar its runs with their lengths, and what is left."""
    lengths = {run.name: number_text(run.length, units) for run in trim.runs}
    for cut in trim.cuts:
        times = f"{cut.times:,} times " if cut.times > 1 else ""
        runs = "; ".join(f"{plain(name)} {lengths[name]}" for name in cut.pieces)
        yield f"{times}{runs}", f"{number_text(cut.rest, units)} left"


def _materials(order: Order) -> Iterator[str]:
    if order.materials:
        yield "Materials"
    for one in order.materials:
        yield from filled(material_text(one), f"  {plain(one.material)}: ")


def material_text(one: MaterialOrder) -> str:
    """Return how much of a material to buy, in words."""
    packages = f"{counted(one.packages, 'package')} of {one.package:g} {one.unit}"
    extra = f", {percent(one.extra)} extra included" if one.extra else ""
    cost = "" if one.cost is None else f"; {money(one.cost)}"
    return f"{packages} for {one.amount:,.1f} {one.unit}{extra}{cost}"


def _work(order: Order) -> Iterator[str]:
    if order.work:
        yield "Plan of work"
        yield from filled(WORK_WORDS, "  ")
    for step in order.work:
        start = f"  {step.number:>3}. day {step.day}, {clock(step.starts)}: "
        yield from filled(work_text(step), start)


def clock(hours: float) -> str:
    """Return hours of a working day as hours and minutes: `"1:39"`."""
    minutes = round(hours * 60)
    return f"{minutes // 60}:{minutes % 60:02}"


def work_text(step: WorkStep) -> str:
    """Return one step of the plan of work in words."""
    words = f"{_TASKS[step.task]}, {plain(step.where)}: {clock(step.hours)} h"
    if step.words:
        words += f", {step.words}"
    if step.area:
        words += f", {step.area:.2f} m2"
    if step.batches is not None and step.batches > 1:
        what = "batches of adhesive" if step.task == "set" else "sections"
        words += f" in {step.batches:,} {what} of {step.area_of_batch:.2f} m2 at the most"
        if step.kg_of_batch:
            words += f" ({step.kg_of_batch:.1f} kg)"
        if step.courses_of_batch:
            words += f", {step.courses_of_batch:g} courses each"
    elif step.kg_of_batch:
        words += f", one batch of {step.kg_of_batch:.1f} kg"
    return words


def _costs(costs: Costs) -> Iterator[str]:
    yield "Costs"
    widest = max(len(money(line.cost)) for line in (*costs.lines,))
    room = max(widest, len(money(costs.total)))
    for line in costs.lines:
        yield from filled(plain(line.what), f"  {money(line.cost):>{room}}  ")
    yield f"  {money(costs.total):>{room}}  in all"
    if costs.without_price:
        yield from filled(f"without a price: {plain(', '.join(costs.without_price))}", "  ")
    if costs.saved is not None:
        yield from filled(f"saved against a tile for every cut: {money(costs.saved)}", "  ")


def _assumptions(order: Order) -> Iterator[str]:
    if order.assumptions:
        yield "Assumed, and yours to change"
    for one in order.assumptions:
        yield from filled(plain(f"{one.what}: {one.value} ({one.source})"), "- ")
