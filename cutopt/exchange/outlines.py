"""Pieces or surfaces from the closed polylines of a DXF drawing, faults by line of the file.

A polyline or circle inside another is a hole in it; a text inside names it. Coordinates are
brought to the grid of lengths, 0.001 mm, and how many were moved is told.
"""

import io
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from cutopt.documents import Document
from cutopt.errors import Fault, InvalidInput, shown
from cutopt.exchange.setup import Json, Setup, read_as
from cutopt.plane import Point, box_of, doubled_area, is_inside, is_simple
from cutopt.units import MM, NOISE, to_json

#: Millimetres for one drawing unit, by $INSUNITS (DXF reference, header variables).
UNITS = {
    1: Fraction(254, 10),
    2: Fraction(3048, 10),
    4: Fraction(1),
    5: Fraction(10),
    6: Fraction(1000),
}
#: The grid of 0.001 mm.
GRID = MM // 1_000
MOST_OUTLINES = 20_000


@dataclass
class Outline:
    """A closed polyline: its corners anticlockwise, what lies inside, its name."""

    line: int
    corners: tuple[Point, ...]
    name: str = ""
    inner: list["Outline"] = field(default_factory=list)
    rounds: list[tuple[Point, int]] = field(default_factory=list)

    @property
    def area(self) -> int:
        """Return twice its area."""
        return doubled_area(self.corners)

    def holds(self, point: Point) -> bool:
        """Tell whether a point lies inside."""
        return is_inside(point, self.corners)


def read_outlines(text: str, setup: Setup, *, surfaces: bool = False) -> tuple[Document, int]:
    """Return the request or job that a drawing holds, and how many coordinates were moved.

    Parameters
    ----------
    text : str
        The drawing, DXF as text.
    setup : Setup
        Tiles, saw and units; the units count where the drawing names none.
    surfaces : bool
        Whether its outlines are surfaces to be tiled, or pieces.

    Raises
    ------
    InvalidInput
        With every fault at once: line, what was found, the rule.
    """
    drawing = _Drawing(text, setup)
    found = drawing.outlines()
    if surfaces:
        return _job(found, setup), drawing.moved
    return _request(found, setup), drawing.moved


class _Drawing:
    """A drawing on its way to outlines."""

    def __init__(self, text: str, setup: Setup) -> None:
        import ezdxf  # noqa: PLC0415 - more than half a second, needed here only
        from ezdxf.lldxf.const import DXFError  # noqa: PLC0415

        try:
            self.document: Any = ezdxf.read(io.StringIO(text))  # type: ignore[attr-defined]
        except (DXFError, ValueError, KeyError, IndexError) as problem:
            rule = f"this is no DXF drawing: {problem}"
            raise InvalidInput([Fault("line 1", "the text", rule)]) from None
        self.lines = _lines_of(text)
        self.layer = setup.layer
        given = self.document.header.get("$INSUNITS", 0)
        own = Fraction(1) if setup.units == "mm" else UNITS[1]
        self.unit = UNITS.get(given, own)
        self.moved = 0
        self.faults: list[Fault] = []

    def outlines(self) -> list[Outline]:
        """Return the outer polylines, with what lies in each."""
        found = [one for entity in self.document.modelspace() for one in self._outline(entity)]
        rounds = [self._round(entity) for entity in self.document.modelspace().query("CIRCLE")]
        if not found and not self.faults:
            rule = "a drawing has a closed polyline for each piece or surface"
            self.faults.append(Fault("line 1", "no polyline", rule))
        if len(found) > MOST_OUTLINES:
            rule = f"at most {MOST_OUTLINES} are read"
            self.faults.append(Fault("line 1", f"{len(found)} polylines", rule))
        if self.faults:
            raise InvalidInput(self.faults[:50])
        outer = _nested(found)
        for line, centre, diameter in rounds:
            host = next((one for one in outer if one.holds(centre)), None)
            if host is None and self.layer is None:
                fault = Fault(f"line {line}", "a circle", "a circle lies inside an outline")
                raise InvalidInput([fault])
            if host is not None:
                host.rounds.append((centre, diameter))
        self._name(outer)
        return outer

    def _outline(self, entity: Any) -> Iterator[Outline]:
        kind = entity.dxftype()
        if kind not in ("LWPOLYLINE", "POLYLINE") or self.layer not in (None, entity.dxf.layer):
            return
        line = self.lines.get(entity.dxf.handle, 1)
        closed = entity.closed if kind == "LWPOLYLINE" else entity.is_closed
        points = list(entity.get_points("xyb")) if kind == "LWPOLYLINE" else _corners(entity)
        corners = [self._point(x, y) for x, y, _ in points]
        if len(corners) > 1 and corners[0] == corners[-1]:
            corners.pop()
            closed = True
        rule = ""
        if not closed:
            rule = "a polyline is closed: its last corner joins its first"
        elif any(bulge for _, _, bulge in points):
            rule = "an outline has straight edges only: draw arcs as short lines"
        elif not is_simple(corners):
            rule = "an outline neither crosses nor touches itself"
        if rule:
            value = f"a polyline of {len(points)} corners on layer {shown(entity.dxf.layer)}"
            self.faults.append(Fault(f"line {line}", value, rule))
            return
        ring = corners if doubled_area(corners) > 0 else corners[::-1]
        yield Outline(line, tuple(ring))

    def _round(self, entity: Any) -> tuple[int, Point, int]:
        line = self.lines.get(entity.dxf.handle, 1)
        centre = self._point(entity.dxf.center.x, entity.dxf.center.y)
        return line, centre, self._length(2 * entity.dxf.radius)

    def _point(self, x: float, y: float) -> Point:
        return self._length(x), self._length(y)

    def _length(self, number: float) -> int:
        """Return a length on the grid; what lies further off than noise counts as moved."""
        exact = Fraction(repr(float(number))) * self.unit * MM
        whole = round(exact)
        if abs(exact - whole) <= NOISE:
            return whole
        self.moved += 1
        return round(exact / GRID) * GRID

    def _name(self, outer: Sequence[Outline]) -> None:
        for entity in self.document.modelspace().query("TEXT MTEXT"):
            text = entity.plain_text() if entity.dxftype() == "MTEXT" else entity.dxf.text
            place = self._point(entity.dxf.insert.x, entity.dxf.insert.y)
            host = next((one for one in outer if one.holds(place) and not one.name), None)
            if host is not None:
                host.name = " ".join(text.split())[:80]


def _corners(entity: Any) -> list[tuple[float, float, float]]:
    return [
        (vertex.dxf.location.x, vertex.dxf.location.y, vertex.dxf.get("bulge", 0.0))
        for vertex in entity.vertices
    ]


def _lines_of(text: str) -> dict[str, int]:
    """Return the line on which each entity of a drawing begins, by its handle."""
    lines = text.splitlines()
    found: dict[str, int] = {}
    begins = 1
    for at in range(0, len(lines) - 1, 2):
        code, value = lines[at].strip(), lines[at + 1].strip()
        if code == "0":
            begins = at + 1
        elif code == "5":
            found.setdefault(value.upper(), begins)
    return found


def _nested(found: Sequence[Outline]) -> list[Outline]:
    """Return the outlines that lie in no other; those inside one become its holes."""
    outer: list[Outline] = []
    for one in sorted(found, key=lambda one: -one.area):
        host = next((other for other in outer if other.holds(one.corners[0])), None)
        if host is None:
            outer.append(one)
        else:
            host.inner.append(one)
    return sorted(outer, key=lambda one: one.line)


def _at_home(one: Outline, points: Sequence[Point]) -> list[list[str]]:
    """Return points from the lower left corner of an outline's box."""
    box = box_of(one.corners)
    return [[_text(x - box.x), _text(y - box.y)] for x, y in points]


def _text(length: int) -> str:
    number = to_json(length, "mm")
    return number if isinstance(number, str) else f"{number} mm"


def _request(found: Sequence[Outline], setup: Setup) -> Document:
    places = {f"/pieces/{at}": f"line {one.line}" for at, one in enumerate(found)}
    names: Counter[str] = Counter()
    pieces = []
    for at, one in enumerate(found, start=1):
        name = one.name or f"piece {at}"
        names[name] += 1
        unique = name if names[name] == 1 else f"{name} ({names[name]})"
        pieces.append({"id": unique, **_piece(one)})
    return read_as(setup.request(pieces), places)


def _piece(one: Outline) -> Json:
    box = box_of(one.corners)
    piece: Json = {"width": _text(box.width), "height": _text(box.height)}
    if one.area != 2 * box.width * box.height:
        piece["outline"] = _at_home(one, one.corners)
    holes: list[Json] = [{"outline": _at_home(one, inner.corners)} for inner in one.inner]
    for centre, diameter in one.rounds:
        ((x, y),) = _at_home(one, [centre])
        holes.append({"x": x, "y": y, "diameter": _text(diameter)})
    return {**piece, "holes": holes} if holes else piece


def _job(found: Sequence[Outline], setup: Setup) -> Document:
    """Return the job; what lies inside a surface is an obstacle or a pipe."""
    surfaces = []
    for at, one in enumerate(found):
        surface: Json = {"id": _letters(at), "joint": setup.joint}
        surface["outline"] = _at_home(one, one.corners)
        if one.name:
            surface["title"] = one.name
        surface["obstacles"] = [
            {"kind": "other", "outline": _at_home(one, inner.corners)} for inner in one.inner
        ]
        surface["holes"] = [
            dict(zip("xy", _at_home(one, [centre])[0], strict=True))
            | {"kind": "pipe", "diameter": _text(diameter)}
            for centre, diameter in one.rounds
        ]
        surfaces.append(surface)
    places = {f"/rooms/0/surfaces/{at}": f"line {one.line}" for at, one in enumerate(found)}
    return read_as(setup.job({"room": surfaces}), places)


def _letters(number: int) -> str:
    letters = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[rest] + letters
    return letters
