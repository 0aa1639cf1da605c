"""Blocks of drawing flow onto A4 pages, each with its head, its key of signs and its foot."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutopt.reports.cautions import CAUTIONS, NO_RESERVE
from cutopt.reports.labels import arrow
from cutopt.reports.lettering import in_lines, width_of
from cutopt.reports.marks import RADIUS, disc
from cutopt.reports.sketch import BAR, HATCH
from cutopt.reports.svg import GREY, INK, element, line, moved, rect, text
from cutopt.units import Units

WIDTH, HEIGHT = 210.0, 297.0
EDGE = 12.0
#: The width that blocks may fill.
ROOM = WIDTH - 2 * EDGE
_HEAD = 9.0
#: The most that is added below a row of tiles to fill a page, and the least height of such a row.
_MOST_SPREAD, _ROW = 9.0, 25.0
_FOOT = 30.0
_SMALL = 2.6
#: The height that blocks may fill on a page.
DEPTH = HEIGHT - EDGE - _HEAD - _FOOT


@dataclass(frozen=True)
class Block:
    """Marks that stay together; a glued block stays on the page of the next one."""

    height: float
    marks: str
    section: str = ""
    glued: bool = False


def paged(blocks: Sequence[Block]) -> list[list[Block]]:
    """Return the blocks page by page."""
    pages: list[list[Block]] = [[]]
    filled = 0.0
    for chain in _chains(blocks):
        height = sum(block.height for block in chain)
        # The first page has no running head.
        if pages[-1] and filled + height > DEPTH + _HEAD * (len(pages) == 1):
            pages.append([])
            filled = 0.0
        pages[-1] += chain
        filled += height
    return pages


def _chains(blocks: Sequence[Block]) -> Iterator[list[Block]]:
    chain: list[Block] = []
    for block in blocks:
        chain.append(block)
        if not block.glued:
            yield chain
            chain = []
    if chain:
        yield chain


@dataclass(frozen=True)
class Furniture:
    """What stands on every page around the blocks."""

    title: str
    units: Units
    made_by: str


def page(blocks: Sequence[Block], number: int, count: int, furniture: Furniture) -> list[str]:
    """Return the marks of one page; what is free is shared out, but on the last page."""
    marks = _head(blocks, number, furniture)
    y = EDGE + (_HEAD if number > 1 else 0)
    free = HEIGHT - _FOOT - y - sum(block.height for block in blocks)
    wide = [block.height > _ROW for block in blocks]
    spread = min(_MOST_SPREAD, free / (sum(wide) or 1)) if number < count else _MOST_SPREAD / 2
    if number == count and free < spread * sum(wide):
        spread = 0
    for block, is_wide in zip(blocks, wide, strict=True):
        marks.append(moved(block.marks, EDGE, y))
        y += block.height + spread * is_wide
    return [*marks, *_foot(number, count, furniture)]


def _head(blocks: Sequence[Block], number: int, furniture: Furniture) -> list[str]:
    """Return the running head; the first page begins with a title of its own."""
    if number == 1:
        return []
    words = " · ".join(filter(None, [furniture.title, blocks[0].section if blocks else ""]))
    first = in_lines(words, ROOM, _SMALL)[0]
    return [text(first, (EDGE, EDGE + 2), _SMALL)]


def _foot(number: int, count: int, furniture: Furniture) -> list[str]:
    y = HEIGHT - EDGE - 18
    marks = [
        line((EDGE, y), (WIDTH - EDGE, y), 0.2),
        moved(_signs(furniture.units), EDGE, y + 4.2),
    ]
    words = " ".join([NO_RESERVE, *(caution.brief for caution in CAUTIONS)])
    for at, row in enumerate(in_lines(words, ROOM, _SMALL)):
        marks.append(text(row, (EDGE, y + 9.6 + at * _SMALL * 1.3), _SMALL))
    last = HEIGHT - EDGE + 0.5
    marks.append(text(furniture.made_by, (EDGE, last), 2.2))
    where = f"page {number} of {count}"
    marks.append(text(where, (WIDTH - EDGE, last), _SMALL, text_anchor="end"))
    return marks


def _signs(units: Units) -> str:
    """Return the key: each sign of the drawings with its meaning, in one line."""
    signs = [
        (line((0, 0), (6, 0), BAR), "factory edge"),
        (line((0, 0), (6, 0), 0.25), "sawn edge"),
        ("".join(disc("1", (6 - RADIUS, 0))), "saw cut, in order"),
        (_swatch(f"url(#{HATCH})"), "left over"),
        (_swatch(GREY), "waste"),
        (arrow((4.5, 0), 3, 0), "up when laid"),
    ]
    x, marks = 0.0, []
    for sign, words in signs:
        marks.append(moved(sign, x, 0))
        marks.append(text(words, (x + 7.2, 0.36 * _SMALL), _SMALL))
        x += 9.0 + 0.9 * width_of(words, _SMALL)
    marks.append(text(f"across × up, {units}", (ROOM, 0.9), _SMALL, text_anchor="end"))
    return "".join(marks)


def _swatch(fill: str) -> str:
    return rect((0, -1.5), 6, 3, fill=fill, stroke=INK, stroke_width=0.2)


def stacked(pages: Sequence[Sequence[str]]) -> list[str]:
    """Return pages one below the other."""
    return [
        element(
            "g",
            "\n" + "\n".join(marks) + "\n",
            transform=f"translate(0 {HEIGHT * at:g})",
            class_="page",
        )
        for at, marks in enumerate(pages)
    ]
