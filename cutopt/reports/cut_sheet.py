"""The cut sheet: every cut tile drawn for whoever stands at the saw, on black and white paper."""

from collections.abc import Iterator, Sequence

from cutopt.documents import CutTile, Piece, Plan, Request, Tile, Total
from cutopt.reports.cells import cell_of
from cutopt.reports.lettering import in_lines
from cutopt.reports.marks import MARGIN
from cutopt.reports.pages import HEIGHT, ROOM, WIDTH, Block, Furniture, page, paged, stacked
from cutopt.reports.sketch import BAR, HATCH, Sketch, Style
from cutopt.reports.svg import document, element, hatch, line, moved, text
from cutopt.reports.words import counted, plain, size_text
from cutopt.units import MM

_A4 = (WIDTH, HEIGHT)
_GAP = 6.0
#: The tallest that a tile is drawn, in mm on paper.
_TALLEST = 105.0
#: The share of pieces that must have room for their names before tiles are drawn smaller.
_NAMED = 0.7
#: The narrowest that a tile is drawn, in mm on paper, if need be across the whole page; for
#: more tiles than are many, paper is saved.
_NARROWEST, _NARROWEST_OF_MANY, _MANY = 24.0, 18.0, 40


def draw_cut_sheet(request: Request, plan: Plan) -> str:
    """Return the cut sheet of a plan that has passed the check: one SVG, page below page."""
    pages = list(_pages(request, plan))
    marks = [_definitions(), *stacked(pages)]
    size = (WIDTH, HEIGHT * len(pages))
    return document(marks, size, _title(request, plan), _about(plan), _A4)


def draw_cut_sheets(request: Request, plan: Plan) -> list[str]:
    """Return the cut sheet of a plan that has passed the check as A4 pages, an SVG for each."""
    title, about = _title(request, plan), _about(plan)
    return [
        document([_definitions(), *marks], _A4, f"{title}, page {number}", about, _A4)
        for number, marks in enumerate(_pages(request, plan), start=1)
    ]


def _definitions() -> str:
    return element("defs", hatch(HATCH, 2.4, 0.3))


def _title(request: Request, plan: Plan) -> str:
    title = plan.title or request.title
    return plain(f"Cut sheet: {title}" if title else "Cut sheet")


def _about(plan: Plan) -> str:
    return (
        f"{_all_in_all(plan)}. Each tile is seen on its face. A heavy bar is an edge that the "
        "factory made, a thin line a sawn one; hatched parts are left over, grey is waste."
    )


def _all_in_all(plan: Plan) -> str:
    pieces, new, offcuts = (
        sum(getattr(total, name) or 0 for total in plan.totals)
        for name in ("cut_pieces", "cut_tiles", "offcuts_used")
    )
    stock = [counted(new, "new tile")] if new else []
    stock += [counted(offcuts, "offcut")] if offcuts else []
    ways = counted(len(plan.cut_tiles), "way")
    return f"{counted(pieces, 'cut piece')} from {' and '.join(stock)}, cut in {ways}"


def _pages(request: Request, plan: Plan) -> Iterator[list[str]]:
    pages = paged(list(_blocks(request, plan)))
    furniture = Furniture(_title(request, plan), plan.units, plain(plan.made_by or ""))
    for number, blocks in enumerate(pages, start=1):
        yield page(blocks, number, len(pages), furniture)


def _blocks(request: Request, plan: Plan) -> Iterator[Block]:
    yield from _heading(request, plan)
    pieces = {piece.id: piece for piece in request.pieces}
    tiles = {tile.id: tile for tile in request.tiles}
    for total in plan.totals:
        tile = tiles[total.tile]
        mine = [cut_tile for cut_tile in plan.cut_tiles if cut_tile.tile == tile.id]
        section = f"{plain(tile.id)}, {size_text(tile.width, tile.height, plan.units)} {plan.units}"
        yield _section(section, total, bool(mine))
        if mine:
            yield from _rows(_best(request, mine, pieces, tile), section)


def _heading(request: Request, plan: Plan) -> Iterator[Block]:
    y, marks = 0.0, []
    for words in in_lines(_title(request, plan), ROOM, 6, bold=True):
        y += 7
        marks.append(text(words, (0, y - 1.5), 6, font_weight="bold"))
    for words in in_lines(f"{_all_in_all(plan)}.", ROOM, 3.2):
        y += 4.2
        marks.append(text(words, (0, y), 3.2))
    yield Block(y + 4, "".join(marks))
    for note in plan.notes:
        rows = in_lines(f"Note: {plain(note)}", ROOM, 2.9)
        yield from (Block(3.8, text(words, (0, 2.9), 2.9)) for words in rows)
    if plan.notes:
        yield Block(2, "")


def _section(name: str, total: Total, glued: bool) -> Block:
    """Return the heading of one kind of tile, with what it takes."""
    marks = [line((0, 0), (ROOM, 0), 0.6)]
    y = 2.0
    for words in in_lines(name, ROOM, 4.6, bold=True):
        y += 5.4
        marks.append(text(words, (0, y - 1), 4.6, font_weight="bold"))
    for words in in_lines(_needs(total), ROOM, 3.2):
        y += 4.2
        marks.append(text(words, (0, y), 3.2))
    return Block(y + 4, "".join(marks), glued=glued)


def _needs(total: Total) -> str:
    parts = [f"{total.full_tiles:,} laid whole"] if total.full_tiles else []
    if total.cut_tiles:
        parts.append(f"{total.cut_tiles:,} cut")
    if total.offcuts_used:
        parts.append(f"besides {counted(total.offcuts_used, 'offcut')} from the shelf")
    proof = "proven: no fewer will do"
    if total.chosen:
        proof = "least together with others"
    elif not total.proven_minimal:
        proof = f"not proven: at least {total.lower_bound:,}"
    return f"{counted(total.tiles_needed, 'tile')} needed ({proof}): {', '.join(parts)}."


def _best(
    request: Request, mine: Sequence[CutTile], pieces: dict[str, Piece], tile: Tile
) -> list[Sketch]:
    """Return the drawings as small as leaves most pieces room for their names."""
    least = _NARROWEST if len(mine) <= _MANY else _NARROWEST_OF_MANY
    best: tuple[float, list[Sketch]] = (-1.0, [])
    for columns in (3, 2, 1):
        style = _style(request, mine, tile, columns)
        sketches = [Sketch(cut_tile, pieces, style) for cut_tile in mine]
        named = sum(sketch.share_named for sketch in sketches) / len(sketches)
        wide = min(tile.width, tile.height) * style.scale >= least or columns == 1
        if wide and named > best[0]:
            best = named, sketches
        if wide and named >= _NAMED:
            break
    return best[1]


def _style(request: Request, mine: Sequence[CutTile], tile: Tile, columns: int) -> Style:
    """Return how to draw one kind of tile, to one scale, in so many columns."""
    width = (ROOM - (columns - 1) * _GAP) / columns
    across = max(cut_tile.width for cut_tile in mine)
    up = max(cut_tile.height for cut_tile in mine)
    scale = min((width - 2 * MARGIN) / across, _TALLEST / up, 1 / MM)
    return Style(scale, width, request.units, request.kerf_of(tile.id), tile.turn != "none")


def _rows(sketches: Sequence[Sketch], section: str) -> Iterator[Block]:
    """Yield the cells side by side; what is too tall for a cell goes on below, alone."""
    width = sketches[0].style.width
    columns = round((ROOM + _GAP) / (width + _GAP))
    lift = 0.0 if any(sketch.beside.get("top") for sketch in sketches) else MARGIN - BAR - 2
    row: list[Block] = []
    for sketch in sketches:
        first, *rest = cell_of(sketch, section, lift)
        row.append(first)
        if len(row) == columns or rest:
            yield _side_by_side(row, width, section)
            yield from rest
            row = []
    if row:
        yield _side_by_side(row, width, section)


def _side_by_side(row: Sequence[Block], width: float, section: str) -> Block:
    marks = [moved(cell.marks, at * (width + _GAP), 0) for at, cell in enumerate(row)]
    return Block(max(cell.height for cell in row), "\n".join(marks), section)
