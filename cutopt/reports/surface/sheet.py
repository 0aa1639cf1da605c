"""The sheet around the drawing: heading, scale, key of signs, and lists that flow over pages."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutopt.reports.lettering import in_lines, width_of
from cutopt.reports.surface.field import TINT
from cutopt.reports.surface.rim import factory, grout, sealant
from cutopt.reports.surface.tags import Flag, Tag, draw_flag
from cutopt.reports.surface.view import EDGE, Paper, View
from cutopt.reports.svg import INK, PAPER, element, line, moved, rect, text
from cutopt.units import INCH, MM

_TITLE, _TEXT, _SMALL = 5.0, 2.9, 2.6
_LEADING = 1.32
#: Lengths that a scale bar may show, the longest that fits: in mm, or in inches.
_BARS = {
    "mm": [(n * MM, f"{n} mm") for n in (20_000, 10_000, 5_000, 2_000, 1_000, 500, 200, 100, 50)],
    "in": [(n * 12 * INCH, f"{n} ft") for n in (50, 20, 10, 5, 2, 1)] + [(6 * INCH, "6 in")],
}
_UNITS = {"mm": "mm", "in": "inches"}
_LONGEST_BAR = 60.0
_PARTS = 5


@dataclass(frozen=True)
class Row:
    """Marks of a height that stay together; a glued row stays with the next."""

    height: float
    marks: str
    glued: bool = False


def heading(title: str, lines: Sequence[str], paper: Paper) -> str:
    """Return the title and what is said below it, at the top of the sheet."""
    marks, y = [], EDGE + 4.5
    for words in in_lines(title, paper.room, _TITLE, bold=True)[:2]:
        marks.append(text(words, (EDGE, y), _TITLE, font_weight="bold"))
        y += _TITLE * 1.2
    for words in (row for said in lines for row in in_lines(said, paper.room, _TEXT)):
        if y > EDGE + 24:
            break
        marks.append(text(words, (EDGE, y - 0.8), _TEXT))
        y += _TEXT * _LEADING
    return "".join(marks)


def scale_bar(view: View, y: float) -> str:
    """Return a bar of a round length, black and white by turns, with the scale."""
    length, words = next(
        (bar for bar in _BARS[view.units] if bar[0] * view.scale <= _LONGEST_BAR),
        _BARS[view.units][-1],
    )
    step = length * view.scale / _PARTS
    marks = [
        rect(
            (EDGE + at * step, y),
            step,
            1.4,
            fill=PAPER if at % 2 else INK,
            stroke=INK,
            stroke_width=0.2,
        )
        for at in range(_PARTS)
    ]
    end = EDGE + _PARTS * step
    marks.append(text("0", (EDGE, y + 4.2), _SMALL))
    marks.append(text(words, (end, y + 4.2), _SMALL, text_anchor="middle"))
    after = end + width_of(words, _SMALL) / 2 + 3
    said = f"scale 1 : {view.ratio:g} on {view.paper.name}, measures in {_UNITS[view.units]}"
    marks.append(text(said, (max(after, end + 3), y + 1.4), _SMALL))
    return element("g", "".join(marks), class_="scale")


def key(signs: Sequence[tuple[str, str]], room: float) -> list[Row]:
    """Return the signs of the drawing, each with its meaning, in as many rows as they take."""
    rows: list[list[str]] = [[]]
    x = 0.0
    for sign, words in signs:
        width = 9.5 + width_of(words, _SMALL)
        if x + width > room and rows[-1]:
            rows.append([])
            x = 0.0
        rows[-1].append(moved(sign + text(words, (7.2, 0.36 * _SMALL), _SMALL), x, 0))
        x += width
    return [Row(4.4, moved("".join(marks), 0, 1.5)) for marks in rows if marks]


def signs(used: set[str]) -> Iterator[tuple[str, str]]:
    """Yield the signs that a drawing uses."""
    swatch: dict[str, str | float] = {"stroke": INK, "stroke_width": 0.2}
    known = {
        "cut": (rect((0, -1.5), 6, 3, fill=TINT, **swatch), "cut piece"),
        "full": (rect((0, -1.5), 6, 3, fill=PAPER, **swatch), "whole tile"),
        "sealant": (sealant((0.3, 0), (6, 0)), "sealant"),
        "grout": (grout((0, 0), (6, 0)), "grout"),
        "factory": (factory((0, 0), (6, 0)), "factory edge in sight"),
        "number": (Tag("7", size=2.4).drawn((3, 0)), "piece in the list"),
        "part": (Tag("b", size=2.4, boxed=True).drawn((3, 0)), "opening, hole, obstacle"),
        "warning": ("".join(draw_flag(Flag(1, True), (3, 0))), "warning"),
        "note": ("".join(draw_flag(Flag(2, False), (3, 0))), "note"),
        "depth": (_bracket(), "size of the cuts there"),
        "sawn": (_bracket(), "sawn edges there"),
    }
    for name, sign in known.items():
        if name in used:
            yield sign


def _bracket() -> str:
    ends = "".join(line((x, -0.6), (x, 0.6), 0.18) for x in (0, 6))
    return line((0, 0), (6, 0), 0.18) + ends


def title_row(words: str) -> Row:
    """Return the title of a list."""
    return Row(6.2, text(words, (0, 4.4), 3.4, font_weight="bold"), glued=True)


def note_row(sign: str, words: str, room: float, indent: float = 6.0) -> Row:
    """Return a paragraph with its sign before it."""
    lines = in_lines(words, room - indent, _SMALL)
    marks = [moved(sign, 0, 1.5)] if sign else []
    for at, said in enumerate(lines):
        marks.append(text(said, (indent, 1.5 + 0.36 * _SMALL + at * _SMALL * _LEADING), _SMALL))
    return Row(max(1, len(lines)) * _SMALL * _LEADING + 1.2, "".join(marks))


def columned(rows: Sequence[Row], columns: int, room: float) -> list[Row]:
    """Return rows side by side, reading down the columns of each page band."""
    width = room / columns
    bands = []
    for at in range(0, len(rows), columns):
        band = rows[at : at + columns]
        marks = "".join(moved(row.marks, place * width, 0) for place, row in enumerate(band))
        bands.append(Row(max(row.height for row in band), marks))
    return bands


def paged(rows: Sequence[Row], first: float, depth: float) -> list[list[Row]]:
    """Return rows page by page; the first page has only `first` of its depth left."""
    pages: list[list[Row]] = [[]]
    left = first
    for chain in _chains(rows):
        height = sum(row.height for row in chain)
        if height > left and left < depth:
            pages.append([])
            left = depth
        pages[-1] += chain
        left -= height
    return pages


def _chains(rows: Sequence[Row]) -> Iterator[list[Row]]:
    chain: list[Row] = []
    for row in rows:
        chain.append(row)
        if not row.glued:
            yield chain
            chain = []
    if chain:
        yield chain


def stacked(rows: Sequence[Row], x: float, y: float) -> str:
    """Return rows one below the other."""
    marks = []
    for row in rows:
        marks.append(moved(row.marks, x, y))
        y += row.height
    return "\n".join(marks)
