"""Tiles and joints: whole tiles by the run, cut pieces one by one, true to scale.

The field is filled with the colour of the joints and the tiles are laid upon it. A run of whole
tiles at even distances is a single dashed line as thick as a tile is high: a hall of a hundred
thousand tiles stays a small file.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from xml.sax.saxutils import escape

from cutopt.layout import LaidPiece, LaidSurface
from cutopt.reports.surface.view import View
from cutopt.reports.svg import INK, PAPER, element, figure, group, polygon, way, way_round
from cutopt.reports.words import plain
from cutopt.units import MM

#: What is cut is tinted, so that the eye finds it; whole tiles are white.
TINT = "#e6e6e6"
#: A joint is never thinner on paper, in mm, but where it would fill more than this share of a
#: tile; from a width on it is drawn grey instead of black, and between the smallest tiles too.
THINNEST_JOINT, LARGEST_SHARE, BROAD_JOINT, SMALL_TILE = 0.14, 0.1, 0.5, 1.5
BROAD = "#8c8c8c"
_OUTLINE = 0.4
#: Fewer tiles than this at even distances are drawn one by one.
_LEAST_RUN = 3

Tile = tuple[int, int, int, int]


def draw_field(view: View, joint: int, names: dict[str, str]) -> list[str]:
    """Return the surface with its joints and tiles; `names` says what a cut piece is called."""
    surface = view.surface
    side = _least_side(surface) * view.scale
    thinnest = min(THINNEST_JOINT, LARGEST_SHARE * side)
    is_black = joint * view.scale < BROAD_JOINT and side > SMALL_TILE
    more = max(0.0, thinnest / view.scale - joint) / 2
    cut = [piece for piece in surface.cut if not piece.is_full]
    full = [piece for piece in surface.cut if piece.is_full]
    layers = [
        element("path", d=_way(surface.field), fill=INK if is_black else BROAD),
        *_whole(surface, more, full),
        *(_cut(piece, thinnest * view.ratio, names[piece.label]) for piece in cut),
    ]
    ground = polygon(view.spots(surface.outline), fill=PAPER, class_="surface")
    return [ground, group(layers, transform=view.matrix, class_="tiles")]


def draw_outline(view: View) -> str:
    """Return the outline of the surface, drawn last."""
    spots = view.spots(view.surface.outline)
    return polygon(spots, fill="none", stroke=INK, stroke_width=_OUTLINE)


def _way(points: Iterable[tuple[float, float]]) -> str:
    """Return an outline in the frame as path data, in mm."""
    return way([(x / MM, y / MM) for x, y in points])


def _least_side(surface: LaidSurface) -> int:
    """Return the shorter side of the tiles."""
    cells = [*surface.whole.take(slice(1)).rows(), *(piece.cell for piece in surface.cut[:1])]
    return min(min(cell[2:4]) for cell in cells)


def _cut(piece: LaidPiece, line: float, name: str) -> str:
    ways = [_way(piece.shape.outer), *map(_way, piece.shape.holes)]
    ways += [way_round((x / MM, y / MM), diameter / 2 / MM) for (x, y), diameter in piece.rounds]
    title = element("title", escape(plain(name)))
    return element(
        "path",
        title,
        d="".join(ways),
        fill=TINT,
        fill_rule="evenodd",
        stroke=INK,
        stroke_width=line,
        class_="cut",
    )


def _whole(surface: LaidSurface, more: float, full: Sequence[LaidPiece]) -> Iterator[str]:
    """Yield the whole tiles, each smaller by `more` on every side where joints are too thin."""
    tiles = [row[:4] for row in surface.whole.rows()] + [piece.cell[:4] for piece in full]
    singles: list[Tile] = []
    dashed: dict[tuple[int, int, int], list[str]] = defaultdict(list)
    for run in _runs(tiles):
        x, y, width, height = run[0]
        if len(run) < _LEAST_RUN:
            singles += run
            continue
        gap = run[1][0] - x - width
        start, end = (x + more) / MM, (run[-1][0] + width - more) / MM
        middle = figure((y + height / 2) / MM)
        dashed[width, height, gap].append(f"M{figure(start)} {middle}H{figure(end)}")
    for (width, height, gap), lines in dashed.items():
        dashes = [(width - 2 * more) / MM, (gap + 2 * more) / MM]
        yield element(
            "path",
            d="".join(lines),
            fill="none",
            stroke=PAPER,
            stroke_width=(height - 2 * more) / MM,
            stroke_dasharray=" ".join(f"{dash:.7g}" for dash in dashes),
            class_="whole",
        )
    if singles:
        ways = "".join(_way(_corners(tile, more)) for tile in singles)
        yield element("path", d=ways, fill=PAPER, class_="whole")


def _corners(tile: Tile, more: float) -> list[tuple[float, float]]:
    x, y, width, height = tile
    left, low, right, top = x + more, y + more, x + width - more, y + height - more
    return [(left, low), (right, low), (right, top), (left, top)]


def _runs(tiles: Iterable[Tile]) -> Iterator[list[Tile]]:
    """Yield the tiles of a size in line with each other, as long as their distance is the same."""
    rows: dict[tuple[int, int, int], list[Tile]] = defaultdict(list)
    for tile in tiles:
        _, y, width, height = tile
        rows[y, width, height].append(tile)
    for row in rows.values():
        yield from _evenly(sorted(row))


def _evenly(row: Sequence[Tile]) -> Iterator[list[Tile]]:
    run = [row[0]]
    for tile in row[1:]:
        if len(run) > 1 and tile[0] - run[-1][0] != run[1][0] - run[0][0]:
            yield run
            run = []
        run.append(tile)
    yield run
