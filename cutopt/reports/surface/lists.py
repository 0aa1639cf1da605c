"""The lists below the drawing: numbered pieces, openings and holes, edges, findings."""

from collections import defaultdict
from collections.abc import Iterator, Sequence

from cutopt.reports.lettering import in_lines
from cutopt.reports.surface.drawing import Drawing, Matter
from cutopt.reports.surface.findings import Found, spans
from cutopt.reports.surface.names import Listed
from cutopt.reports.surface.parts import Named, in_words
from cutopt.reports.surface.rim import meetings
from cutopt.reports.surface.sheet import Row, columned, key, note_row, signs, title_row
from cutopt.reports.surface.tags import Tag, draw_flag
from cutopt.reports.svg import text
from cutopt.reports.words import counted, plain

_COLUMN = 62.0
_SMALL = 2.6


def lists(drawing: Drawing, matter: Matter) -> Iterator[Row]:
    """Yield every list that the drawing needs, row by row."""
    room = drawing.view.paper.room
    yield from key(list(signs(used_signs(drawing, matter))), room)
    yield Row(2.0, "")
    yield from _numbered(drawing.names.listed, room)
    yield from _unmarked(drawing.names.listed, room)
    yield from _parts(drawing, matter, room)
    yield from _edges(drawing, matter, room)
    yield from _findings(drawing, matter, room)


def used_signs(drawing: Drawing, matter: Matter) -> set[str]:
    """Return the names of the signs that occur."""
    edges, names = matter.laid.edges, drawing.names
    occurs = {
        "cut": bool(matter.cut),
        "full": matter.laid.full_tiles > 0,
        "sealant": any(rule.filler == "sealant" for rule in edges),
        "grout": any(rule.filler == "grout" for rule in edges),
        "factory": any(rule.factory_edge for rule in edges),
        "number": any(item.number for item in names.listed),
        "part": bool(drawing.parts),
        "warning": any(item.flag.grave for item in drawing.found),
        "note": any(not item.flag.grave for item in drawing.found),
        "depth": matter.laid.frame.is_level,
        "sawn": not matter.laid.frame.is_level,
    }
    return {name for name, does in occurs.items() if does}


def _columns(room: float) -> int:
    return max(1, int(room // _COLUMN))


def _numbered(listed: Sequence[Listed], room: float) -> Iterator[Row]:
    """Yield the pieces that bear a number instead of their name."""
    numbered = [item for item in listed if item.number]
    if not numbered:
        return
    yield title_row("Pieces by number")
    columns = _columns(room)
    rows = []
    for item in numbered:
        sign = text(item.number, (0, 0.36 * _SMALL), _SMALL, font_weight="bold")
        rows.append(note_row(sign, f"{item.label}, {item.words}", room / columns - 3))
    yield from columned(rows, columns, room)


def _unmarked(listed: Sequence[Listed], room: float) -> Iterator[Row]:
    """Yield the pieces that have no room even for a number, those alike together."""
    alike: dict[str, list[str]] = defaultdict(list)
    for item in listed:
        if not item.number:
            alike[item.words].append(item.label)
    if not alike:
        return
    yield title_row("Pieces too small for a mark at this scale")
    for words, labels in alike.items():
        yield from _lines(f"{words}: {spans(labels)}", room)


def _lines(words: str, room: float) -> Iterator[Row]:
    """Yield a long paragraph line by line, so that it may go on overleaf."""
    for at, line in enumerate(in_lines(words, room - 6, _SMALL)):
        row = note_row("", line, room + 6, 0.0 if at == 0 else 6.0)
        yield Row(row.height - 0.9, row.marks)


def _parts(drawing: Drawing, matter: Matter, room: float) -> Iterator[Row]:
    if not drawing.parts:
        return
    yield title_row("Openings, holes and what stands in the way")
    for item in drawing.parts:
        yield _part(item, drawing, matter, room)


def _part(item: Named, drawing: Drawing, matter: Matter, room: float) -> Row:
    rules = [rule for rule in matter.laid.edges if rule.place == item.place]
    words = in_words(item, drawing.view)
    if rules and rules[0].meets not in ("valve", "pipe", "socket", "other"):
        words += f". Edges {'; '.join(meetings(rules, drawing.view))}"
    return note_row(Tag(item.letter, size=2.4, boxed=True).drawn((1.8, 0)), f"{words}.", room)


def _edges(drawing: Drawing, matter: Matter, room: float) -> Iterator[Row]:
    yield title_row("Edges of the surface")
    rules = [rule for rule in matter.laid.edges if rule.place == matter.laid.place]
    for words in meetings(rules, drawing.view):
        yield note_row("", f"{words}.", room, 0)


def _findings(drawing: Drawing, matter: Matter, room: float) -> Iterator[Row]:
    if not drawing.found:
        return
    yield title_row("Findings")
    places = {item.place: f"{item.letter} {item.name}" for item in drawing.parts}
    for found in drawing.found:
        sign = "".join(draw_flag(found.flag, (1.8, 0)))
        yield note_row(sign, _finding(found, places.get(found.finding.place)), room)


def _finding(found: Found, place: str | None) -> str:
    finding = found.finding
    where = ", ".join(filter(None, [place, spans(finding.labels)])) or "the whole surface"
    return (
        f"{finding.level.capitalize()}, {where}: {finding.value}. Rule: {finding.rule}. "
        f"Source: {finding.source}." + (f" Instead: {finding.proposal}." * bool(finding.proposal))
    )


def summary(matter: Matter) -> str:
    """Return in words how many tiles and pieces a surface takes."""
    full, cut = matter.laid.full_tiles, len(matter.cut)
    return plain(f"{counted(full, 'whole tile')}, {counted(cut, 'cut piece')}")
