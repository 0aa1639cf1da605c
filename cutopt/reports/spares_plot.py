"""The spares plot: for each number of spare tiles a bar, the chance that it is too few."""

from collections.abc import Iterator, Sequence

from cutopt.documents.order import Order, TileOrder
from cutopt.reports.order_text import percent
from cutopt.reports.svg import INK, document, element, group, line, moved, rect, text
from cutopt.reports.words import plain

WIDTH, EDGE = 180.0, 8.0
ROW, BAR, TEXT = 6.5, 4.0, 3.6
LEFT, RIGHT = 30.0, 44.0
HEAD, GAP = 16.0, 8.0
_SCALE = WIDTH - 2 * EDGE - LEFT - RIGHT


def draw_spares(order: Order) -> tuple[str, tuple[float, float]]:
    """Return the plot of every tile of an order as SVG, with its size in millimetres."""
    heights = [HEAD + ROW * len(tile.reserve.table) + GAP for tile in order.tiles]
    marks, y = [], EDGE
    for tile, height in zip(order.tiles, heights, strict=True):
        marks.append(moved(group(_panel(tile), f"Tile {tile.tile}"), EDGE, y))
        y += height
    size = (WIDTH, y - GAP + EDGE)
    title = f"Spare tiles: {order.title}" if order.title else "Spare tiles"
    about = "For each number of spare tiles the chance that it is too few; the reserve is black."
    return document(marks, size, title, about), size


def _panel(tile: TileOrder) -> Iterator[str]:
    reserve = tile.reserve
    yield text(f"Tile {plain(tile.tile)}", (0, 4.5), 5.0, font_weight="bold")
    at_most = percent(1 - reserve.service_level)
    yield text(
        f"Chance of running short, by spare tiles; at most {at_most} is asked for.", (0, 10.5), TEXT
    )
    bottom = HEAD + ROW * len(reserve.table)
    for number, row in enumerate(reserve.table):
        yield from _row(row.spares, (row.chance_short, row.low, row.high), tile, number)
    yield line((LEFT, HEAD - 1.5), (LEFT, bottom), 0.3)
    limit = LEFT + _SCALE * (1 - reserve.service_level)
    yield element(
        "line",
        x1=limit,
        y1=HEAD - 1.5,
        x2=limit,
        y2=bottom,
        stroke=INK,
        stroke_width=0.3,
        stroke_dasharray="1.5 1",
    )


def _row(spares: int, chances: Sequence[float], tile: TileOrder, number: int) -> Iterator[str]:
    chance, low, high = chances
    y = HEAD + ROW * number
    base = y + BAR - 0.5
    chosen = spares == tile.reserve.spares
    weight = "bold" if chosen else "normal"
    yield text(f"{spares:,}", (LEFT - 3, base), TEXT, text_anchor="end", font_weight=weight)
    yield rect(
        (LEFT, y),
        max(_SCALE * chance, 0.2),
        BAR,
        fill=INK if chosen else "none",
        stroke=INK,
        stroke_width=0.25,
    )
    if not tile.reserve.exact:
        yield from _interval(LEFT + _SCALE * low, LEFT + _SCALE * high, y + BAR / 2)
    words = percent(chance) + (" (the reserve)" if chosen else "")
    limit = 1 - tile.reserve.service_level
    place = LEFT + _SCALE * max(chance, high, limit) + 2
    yield text(words, (place, base), TEXT, font_weight=weight)


def _interval(left: float, right: float, y: float) -> Iterator[str]:
    """Yield the 95 % confidence interval of a chance as a bracket."""
    if right - left > 0.4:
        yield line((left, y), (right, y), 0.5, stroke_opacity=1.0)
        for x in (left, right):
            yield line((x, y - 1), (x, y + 1), 0.5)
