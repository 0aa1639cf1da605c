"""The order on paper: what to buy, cut lists of trim, plan of work, spares and assumptions."""

from collections.abc import Iterator
from typing import Any

from cutopt.documents.order import Order, TileOrder, TrimOrder
from cutopt.papers.press import TYPST_PAPER, Paper, printed
from cutopt.reports.order_text import (
    WORK_WORDS,
    bar_cuts,
    clock,
    enough_text,
    material_text,
    tile_rows,
    trim_rows,
    work_text,
)
from cutopt.reports.spares_plot import draw_spares
from cutopt.reports.words import counted, money, number_text, plain, size_text
from cutopt.units import Units


def print_order(order: Order, paper: Paper = "a4") -> bytes:
    """Return an order as a PDF; the same bytes every time."""
    plot, (width, _) = draw_spares(order)
    data = {
        "paper": TYPST_PAPER[paper],
        "title": plain(f"Order: {order.title}" if order.title else "Order"),
        "made_by": plain(order.made_by or ""),
        "lead": f"Enough tiles {enough_text(order)}.",
        "units": order.units,
        "tiles": [_tile(tile, order.units) for tile in order.tiles],
        "deliveries": list(_deliveries(order)),
        "trim": [_trim(trim, order.units) for trim in order.trim],
        "materials": [[plain(one.material), material_text(one)] for one in order.materials],
        "costs": list(_costs(order)),
        "cost_words": _cost_words(order),
        "work": [
            [str(step.number), f"{step.day}, {clock(step.starts)}", work_text(step), "☐"]
            for step in order.work
        ],
        "work_words": WORK_WORDS,
        "cautions": list(order.cautions),
        "assumptions": [
            [plain(one.what), plain(one.value), plain(one.source)] for one in order.assumptions
        ],
        "uses": list(_uses(order)),
        "plot_width": width,
    }
    return printed("order.typ", data, {"spares.svg": plot.encode()})


def _tile(tile: TileOrder, units: Units) -> dict[str, Any]:
    boxes = tile.boxes
    return {
        "name": plain(tile.tile),
        "size": f"{size_text(tile.width, tile.height, units)} {units}",
        "buy": f"{tile.tiles_bought if boxes is None else boxes:,}",
        "unit": "tiles" if boxes is None else "box" if boxes == 1 else "boxes",
        "rows": list(tile_rows(tile)),
    }


def _deliveries(order: Order) -> Iterator[list[str]]:
    for one in order.deliveries:
        boxes = "" if one.boxes is None else f"{one.boxes:,}"
        yield [plain(one.room), plain(one.tile), boxes, f"{one.tiles_delivered:,}"]


def _trim(trim: TrimOrder, units: Units) -> dict[str, Any]:
    words = list(bar_cuts(trim, units))
    return {
        "name": plain(trim.profile),
        "rows": list(trim_rows(trim, units)),
        "cuts": [
            [f"{cut.times:,}", f"{number_text(cut.bar, units)} {units}", *said]
            for cut, said in zip(trim.cuts, words, strict=True)
        ],
    }


def _uses(order: Order) -> Iterator[list[str]]:
    """Yield how the amounts come about, surfaces that take as much of each together."""
    for one in order.materials:
        rates = dict.fromkeys((use.rate, use.measure) for use in one.uses)
        for rate, measure in rates:
            alike = [use for use in one.uses if (use.rate, use.measure) == (rate, measure)]
            digits = 0 if measure == "pieces" else 2
            quantity = f"{sum(use.quantity for use in alike):,.{digits}f} {measure}"
            amount = f"{sum(use.amount for use in alike):,.1f} {one.unit}"
            yield [plain(one.material), quantity, rate, amount]


def _costs(order: Order) -> Iterator[list[str]]:
    if order.costs is not None:
        for line in order.costs.lines:
            yield [plain(line.what), money(line.cost)]
        yield ["in all", money(order.costs.total)]


def _cost_words(order: Order) -> str:
    if order.costs is None:
        return ""
    words = []
    if order.costs.without_price:
        words.append(f"Without a price: {plain(', '.join(order.costs.without_price))}.")
    if order.costs.saved is not None:
        saved = sum(tile.tiles_saved or 0 for tile in order.tiles)
        words.append(
            f"Saved against a tile for every cut: {counted(saved, 'tile')}, "
            f"{money(order.costs.saved)}."
        )
    return " ".join(words)
