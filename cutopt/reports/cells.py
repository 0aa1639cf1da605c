"""A cut tile as a cell of the sheet: its number, what to take, its drawing and its notes."""

from collections.abc import Iterator, Sequence

from cutopt.documents import CutTile
from cutopt.reports.labels import arrow
from cutopt.reports.lettering import in_lines, width_of
from cutopt.reports.pages import DEPTH, Block
from cutopt.reports.sketch import Note, Sketch
from cutopt.reports.svg import INK, PAPER, element, group, moved, rect, text
from cutopt.reports.words import counted, plain, size_text
from cutopt.units import Units

_TAG = 6.4
_NAME = 3.8
_TICK = 3.6
_MOST_TICKS = 10
_NOTE = 3.0
_LINE = _NOTE * 1.3
_NOTE_ROOM = 66.0
#: White below a cell.
_BELOW = 5.0


def cell_of(sketch: Sketch, section: str, lift: float) -> list[Block]:
    """Return a cell; it goes on in further blocks when its notes fill more than a page.

    The drawing is lifted towards its heading where no mark stands above it.
    """
    head, top = _head(sketch.cut_tile, sketch.style.width, sketch.style.units)
    top -= lift
    drawing = moved("\n".join(["", *sketch.marks, ""]), 0, top)
    rows = list(_note_rows(sketch.notes, sketch.style.width))
    start = top + sketch.height
    room = DEPTH - 60 - start
    first, rest = _split(rows, room)
    marks = [head, drawing, _stacked(first, start)]
    title = _described(sketch)
    blocks = [Block(start + _height(first) + _BELOW, _named(marks, title), section)]
    while rest:
        again, rest = _split(rest, DEPTH - 60)
        name = text(f"{sketch.cut_tile.number}, continued", (0, _NAME), _NAME, font_weight="bold")
        marks = [name, _stacked(again, _NAME + 2)]
        blocks.append(Block(_NAME + 2 + _height(again) + _BELOW, _named(marks, title), section))
    return blocks


def _named(marks: Sequence[str], title: str) -> str:
    return group(marks, title, class_="cut-tile")


def _described(sketch: Sketch) -> str:
    """Return a cut tile in words, for those who hear the drawing."""
    cut_tile, units = sketch.cut_tile, sketch.style.units
    pieces = (sketch.pieces[item.piece] for item in cut_tile.placements)
    names = ", ".join(f"{p.id} {size_text(p.width, p.height, units)}" for p in pieces)
    return f"Cut tile {cut_tile.number}: {_taken(cut_tile, units)}. Pieces: {names}"


def _taken(cut_tile: CutTile, units: Units) -> str:
    if cut_tile.stock == "new":
        return counted(cut_tile.count, "new tile")
    size = size_text(cut_tile.width, cut_tile.height, units)
    times = f"{cut_tile.count} × " if cut_tile.count > 1 else ""
    return f"{times}offcut {plain(cut_tile.stock)}, {size}"


def _head(cut_tile: CutTile, width: float, units: Units) -> tuple[str, float]:
    """Return number, what to take and boxes to tick, and where the drawing begins."""
    number = str(cut_tile.number)
    tag = max(_TAG + 0.6, width_of(number, 4.4, bold=True) + 2.4)
    lines = in_lines(_taken(cut_tile, units), width - tag - 2, _NAME, bold=True)
    marks = [
        rect((0, 0), tag, _TAG, fill=INK),
        text(number, (tag / 2, 4.8), 4.4, text_anchor="middle", font_weight="bold", fill=PAPER),
    ]
    for at, words in enumerate(lines):
        marks.append(text(words, (tag + 2, 4.4 + at * 1.25 * _NAME), _NAME, font_weight="bold"))
    below = (len(lines) - 1) * 1.25 * _NAME
    last = tag + 2 + width_of(lines[-1], _NAME, bold=True) + 3
    ticks, tick_width = _ticks(cut_tile.count, width - last)
    if last + tick_width <= width:
        marks.append(moved(ticks, width - tick_width, 1.4 + below))
        return "".join(marks), _TAG + below
    marks.append(moved(ticks, tag + 2, _TAG + below))
    return "".join(marks), _TAG + below + _TICK


def _ticks(count: int, room: float) -> tuple[str, float]:
    """Return a box for each tile, to tick when it is cut; for many tiles a line to write on."""
    step = _TICK + 0.8
    if count > _MOST_TICKS or count * step - 0.8 > room:
        words = f"____ of {count:,}"
        return text(words, (0, 3), 3), width_of(words, 3)
    boxes = [
        rect((at * step, 0), _TICK, _TICK, fill=PAPER, stroke=INK, stroke_width=0.25)
        for at in range(count)
    ]
    return "".join(boxes), count * step - 0.8


Row = tuple[float, str]


def _note_rows(notes: Sequence[Note], width: float) -> Iterator[Row]:
    """Yield rows of notes side by side, each with its height."""
    columns = max(1, int(width // _NOTE_ROOM))
    room = width / columns
    for at in range(0, len(notes), columns):
        made = [_note(note, room - 3) for note in notes[at : at + columns]]
        marks = "".join(moved(mark, place * room, 0) for place, (_, mark) in enumerate(made))
        yield max(height for height, _ in made), marks


def _note(note: Note, room: float) -> Row:
    marks, x, baseline = [], 0.0, _NOTE
    if note.key:
        marks.append(text(note.key, (0, baseline), _NOTE, font_weight="bold"))
        x += max(3.2, width_of(note.key, _NOTE, bold=True) + 1)
    if note.turn is not None:
        marks.append(arrow((x + _NOTE / 2, baseline - 0.36 * _NOTE), _NOTE, note.turn))
        x += _NOTE + 0.8
    lines = in_lines(note.words, room - x, _NOTE)
    marks += [text(words, (x, baseline + at * _LINE), _NOTE) for at, words in enumerate(lines)]
    return len(lines) * _LINE, "".join(marks)


def _height(rows: Sequence[Row]) -> float:
    return sum(height for height, _ in rows)


def _split(rows: Sequence[Row], room: float) -> tuple[Sequence[Row], Sequence[Row]]:
    """Part the rows into those that fit and the others; at least one fits."""
    filled = 0.0
    for at, (height, _) in enumerate(rows):
        filled += height
        if filled > room and at:
            return rows[:at], rows[at:]
    return rows, []


def _stacked(rows: Sequence[Row], y: float) -> str:
    marks = []
    for height, mark in rows:
        marks.append(moved(mark, 0, y))
        y += height
    return element("g", "".join(marks)) if marks else ""
