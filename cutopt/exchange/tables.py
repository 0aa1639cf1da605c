"""Pieces or surfaces from a table: CSV with commas, semicolons or tabs, faults by line."""

import csv
import io
import re
from collections import defaultdict
from collections.abc import Iterator, Sequence

from cutopt.documents import Document
from cutopt.errors import Fault, InvalidInput, shown
from cutopt.exchange.setup import Json, Setup, length, read_as
from cutopt.units import Units, parse_length

MOST_ROWS = 50_000
MOST_CHARACTERS = 64 * 1024 * 1024

#: Columns by their names, and what they are called in a request or a job.
PIECES = {
    "piece": "id",
    "id": "id",
    "name": "id",
    "label": "id",
    "width": "width",
    "height": "height",
    "quantity": "quantity",
    "count": "quantity",
    "times": "quantity",
    "tile": "tile",
    "factory edges": "factory_edges",
}
SURFACES = {
    "room": "room",
    "surface": "letters",
    "title": "title",
    "kind": "kind",
    "width": "width",
    "height": "height",
    "joint": "joint",
    "tile": "tile",
}
_LENGTHS = ("width", "height", "joint")


def read_table(text: str, setup: Setup) -> Document:
    """Return the request or the job that a table holds.

    A table with a column `surface` is one of surfaces, any other one of pieces.

    Raises
    ------
    InvalidInput
        With every fault at once: line, column, value and rule.
    """
    rows = list(_rows(text))
    if not rows:
        raise InvalidInput([Fault("line 1", "nothing", "a table has a line of column names")])
    _, names = rows[0]
    known = SURFACES if "surface" in map(_column, names) else PIECES
    faults = list(_faults_of_columns(names, known))
    if faults:
        raise InvalidInput(faults)
    columns = [known[_column(name)] for name in names]
    items = []
    for line, cells in rows[1:]:
        item, found = _item(line, columns, cells, setup.units)
        faults += found
        if not found:
            items.append((line, item))
    if len(rows) == 1:
        faults.append(Fault("line 2", "nothing", "a table has a line for each piece or surface"))
    try:
        document = _jobs(items, setup) if known is SURFACES else _requests(items, setup)
    except InvalidInput as problem:
        faults += problem.faults if items else ()
    if faults:
        raise InvalidInput(sorted(faults, key=_line)[:50])
    return document


def _line(fault: Fault) -> int:
    """Return the line that a fault names."""
    found = re.match(r"line (\d+)", fault.place)
    return int(found[1]) if found else 0


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the rows that hold anything, each with the line on which it begins."""
    if len(text) > MOST_CHARACTERS:
        raise InvalidInput([Fault("", "the text", "a table holds at most 64 MB")])
    first = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    before, number = 1, 0
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                number += 1
                if number > MOST_ROWS:
                    rule = f"a table has at most {MOST_ROWS} lines"
                    raise InvalidInput([Fault(f"line {before}", "one line more", rule)])
                yield before, cells
            before = reader.line_num + 1
    except csv.Error as problem:
        raise InvalidInput(
            [Fault(f"line {before}", "the line", f"this is no CSV: {problem}")]
        ) from None


def _column(name: str) -> str:
    return re.sub(r"[\s_]+", " ", name.strip().lower())


def _faults_of_columns(names: Sequence[str], known: dict[str, str]) -> Iterator[Fault]:
    seen: set[str] = set()
    for name in names:
        field = known.get(_column(name))
        if field is None:
            yield Fault("line 1", shown(name), f"the columns are {', '.join(known)}")
        elif field in seen:
            yield Fault("line 1", shown(name), "each column stands once")
        seen.add(field or "")
    for field in ("letters", "width", "height"):
        if field in known.values() and field not in seen:
            name = next(name for name, what in known.items() if what == field)
            yield Fault("line 1", f"no column '{name}'", "a table names the size of each line")


def _item(
    line: int, columns: Sequence[str], cells: Sequence[str], units: Units
) -> tuple[Json, list[Fault]]:
    item: Json = {}
    faults = []
    if len(cells) != len(columns):
        rule = f"every line has as many cells as the first, {len(columns)}"
        return {}, [Fault(f"line {line}", f"{len(cells)} cells", rule)]
    for field, cell in zip(columns, cells, strict=True):
        if not cell.strip():
            if field in ("width", "height"):
                faults.append(Fault(f"line {line}, {field}", "nothing", "each line names its size"))
            continue
        try:
            item[field] = _value(field, cell.strip(), units)
        except ValueError as rule:
            name = {"letters": "surface"}.get(field, field.replace("_", " "))
            faults.append(Fault(f"line {line}, {name}", shown(cell), str(rule)))
    return item, faults


def _value(field: str, cell: str, units: Units) -> object:
    if field in _LENGTHS:
        text = length(re.sub(r"^(\d+),(\d+)$", r"\1.\2", cell), units)
        parse_length(text)
        return text
    if field == "quantity":
        if not re.fullmatch(r"\d{1,9}", cell):
            raise ValueError("a quantity is a whole number")
        return int(cell)
    if field == "letters" and not re.fullmatch(r"[A-Z]{1,3}", cell):
        raise ValueError("a surface is named by one to three capital letters")
    if field == "factory_edges":
        return re.split(r"[\s+/|]+", cell.lower())
    return cell


def _requests(items: Sequence[tuple[int, Json]], setup: Setup) -> Document:
    places = {f"/pieces/{at}": f"line {line}" for at, (line, _) in enumerate(items)}
    pieces = [{"id": f"line {line}", **item} for line, item in items]
    return read_as(setup.request(pieces), places)


def _jobs(items: Sequence[tuple[int, Json]], setup: Setup) -> Document:
    rooms: dict[str, list[Json]] = defaultdict(list)
    lines: dict[str, list[int]] = defaultdict(list)
    for line, item in items:
        room = item.pop("room", "room")
        letters = {"id": item.pop("letters")} if "letters" in item else {}
        rooms[room].append({"joint": setup.joint, **letters, **item})
        lines[room].append(line)
    places = {
        f"/rooms/{at}/surfaces/{number}": f"line {line}"
        for at, found in enumerate(lines.values())
        for number, line in enumerate(found)
    }
    return read_as(setup.job(rooms), places)
