"""What interrupts a surface: openings, obstacles, holes and drains, drawn and named."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from cutopt.documents import Area, Surface
from cutopt.documents.surface import Drain, Obstacle, Opening, Plate, Through
from cutopt.plane import Point, Rect, box_of
from cutopt.reports.rooms import rooms_within
from cutopt.reports.surface.tags import CLEAR, Flag, Room, Set, Tag, fitted, sized
from cutopt.reports.surface.view import Box, View, box_on_paper, touch
from cutopt.reports.svg import (
    INK,
    PAPER,
    Spot,
    circle,
    element,
    line,
    polygon,
    rect,
    way,
)

HATCH = "stands-here"
_LINE = 0.3
_THIN = 0.15
_DASHES = "1 0.7"
Part = Area | Through | Drain


@dataclass(frozen=True)
class Named:
    """A part with its pointer in the job, its letter on the drawing, and its findings."""

    place: str
    letter: str
    part: Part
    flags: tuple[Flag, ...]

    @property
    def box(self) -> Rect:
        """Return the rectangle that holds the part, the plate over it included."""
        part = self.part
        if isinstance(part, Area):
            return box_of(part.corners)
        box = part.box
        plate = part.plate if isinstance(part, Through) else None
        if plate is None:
            return box
        width, height = _sizes(plate)
        width, height = max(width, box.width), max(height, box.height)
        return Rect(part.x - width // 2, part.y - height // 2, width, height)

    @property
    def name(self) -> str:
        """Return the title, or else the kind."""
        part = self.part
        kind = f"{part.kind} drain" if isinstance(part, Drain) else getattr(part, "kind", "")
        return part.title or ("obstacle" if kind == "other" else kind)


def named(surface: Surface, place: str, flags: dict[str, tuple[Flag, ...]]) -> list[Named]:
    """Return the parts of a surface with their letters."""
    return [
        Named(f"{place}{at}", letters(number), part, flags.get(f"{place}{at}", ()))
        for number, (at, part) in enumerate(surface.parts)
    ]


def letters(number: int) -> str:
    """Return a, b, … z, aa, ab …: the letters of a part."""
    text, number = "", number + 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("a") + rest) + text
    return text


# Drawing.


def draw_part(part: Part, view: View) -> Iterator[str]:
    """Yield a part: crossed where it is open, hatched where something stands."""
    if isinstance(part, Area):
        yield from _area(part, view)
    elif isinstance(part, Through):
        yield from _through(part, view)
    else:
        yield from _drain(part, view)


def _area(part: Area, view: View) -> Iterator[str]:
    spots = view.spots(part.corners)
    fill = f"url(#{HATCH})" if isinstance(part, Obstacle) else PAPER
    yield polygon(spots, fill=fill, stroke=INK, stroke_width=_LINE, class_="part")
    if isinstance(part, Opening) and len(spots) == 4:
        yield line(spots[0], spots[2], _THIN)
        yield line(spots[1], spots[3], _THIN)


def _through(part: Through, view: View) -> Iterator[str]:
    centre, more = view.spot((part.x, part.y)), part.clearance
    if part.diameter is not None:
        yield _shape(centre, view, diameter=part.diameter + 2 * more)
    else:
        width, height = (part.width or 0) + 2 * more, (part.height or 0) + 2 * more
        yield _shape(centre, view, (width, height))
    x, y = centre
    across, up = (side * view.scale / 2 + 0.8 for side in (part.box.width, part.box.height))
    yield line((x - across, y), (x + across, y), _THIN)
    yield line((x, y - up), (x, y + up), _THIN)
    if part.plate is not None:
        plate = part.plate
        sizes = (plate.width or 0, plate.height or 0)
        yield _shape(centre, view, sizes, plate.diameter, fill="none", dashes=_DASHES)


def _drain(part: Drain, view: View) -> Iterator[str]:
    centre = view.spot((part.x, part.y))
    sizes = (part.width or 0, part.height or 0)
    for share in (1.0, 0.7, 0.4):
        inner = (round(sizes[0] * share), round(sizes[1] * share))
        if part.kind == "linear":
            least = min(sizes) * (1 - share)
            inner = (round(sizes[0] - least), round(sizes[1] - least))
        diameter = None if part.diameter is None else round(part.diameter * share)
        yield _shape(centre, view, inner, diameter)


def _shape(
    centre: Spot,
    view: View,
    sizes: tuple[int, int] = (0, 0),
    diameter: int | None = None,
    fill: str = PAPER,
    dashes: str = "",
) -> str:
    style: dict[str, str | float] = {"fill": fill, "stroke": INK, "stroke_width": 0.25}
    if dashes:
        style["stroke_dasharray"] = dashes
    if diameter is not None:
        return circle(centre, diameter * view.scale / 2, **style)
    width, height = (size * view.scale for size in sizes)
    return rect((centre[0] - width / 2, centre[1] - height / 2), width, height, **style)


def _sizes(plate: Plate) -> tuple[int, int]:
    return plate.diameter or plate.width or 0, plate.diameter or plate.height or 0


# Names.


def named_inside(item: Named, view: View) -> Set | None:
    """Return the tag that stands in an opening or an obstacle, or none where it is too small."""
    if not isinstance(item.part, Area):
        return None
    lines = (size_of(item, view), *from_corner(item, view))
    full = Tag(f"{item.letter} {item.name}", lines, item.flags)
    tags = [*sized(full, 3.4, 2.6), Tag(item.letter, (), item.flags)]
    return fitted(tags, rooms_on_paper(item.part.corners, item.box, (), view))


def rooms_on_paper(
    outline: Sequence[Point], box: Rect, taken: Sequence[Rect], view: View
) -> list[Room]:
    """Return the free rectangles within an outline on the surface."""
    rooms = []
    for room in rooms_within(outline, box, taken):
        centre = view.spot((room.x + room.width / 2, room.y + room.height / 2))
        rooms.append(Room(centre, room.width * view.scale, room.height * view.scale))
    return rooms


def beside(items: Sequence[Named], inside: Iterable[Set], view: View) -> list[Set]:
    """Return the letters of parts next to them, clear of other parts and of each other."""
    taken = [tag.box for tag in inside] + [_on_paper(item, view) for item in items]
    placed = []
    for item in items:
        placed.append(_beside(item, taken, view))
        taken.append(placed[-1].box)
    return placed


def _beside(item: Named, taken: Sequence[Box], view: View) -> Set:
    tag = Tag(item.letter, (), item.flags, 2.4, boxed=True)
    left, top, right, low = _on_paper(item, view)
    across, up = tag.width / 2 + 2 * CLEAR, tag.height / 2 + 2 * CLEAR
    x, y = (left + right) / 2, (top + low) / 2
    ways = [(right + across, y), (left - across, y), (x, top - up), (x, low + up)]
    places = [Set(tag, spot) for spot in ways]
    free = (place for place in places if not any(touch(place.box, box) for box in taken))
    on_surface = (place for place in free if view.holds(place.box))
    return next(on_surface, places[0])


def _on_paper(item: Named, view: View) -> Box:
    return box_on_paper(view.spots(item.box.corners))


def size_of(item: Named, view: View) -> str:
    """Return the size of a part."""
    part, show = item.part, view.shown
    if isinstance(part, Area):
        box = box_of(part.corners)
        return f"{show(box.width)} × {show(box.height)}"
    return _rounded(part.diameter, part.width, part.height, view)


def _rounded(diameter: int | None, width: int | None, height: int | None, view: View) -> str:
    if diameter is not None:
        return f"diameter {view.shown(diameter)}"
    return f"{view.shown(width or 0)} × {view.shown(height or 0)}"


def from_corner(item: Named, view: View) -> tuple[str, str]:
    """Return how far a part is from the lower left corner of the surface."""
    part = item.part
    box = box_of(part.corners) if isinstance(part, Area) else Rect(part.x, part.y, 0, 0)
    across, up = box.x - view.box.x, box.y - view.box.y
    return f"{view.shown(across)} from left", f"{view.shown(up)} from bottom"


def in_words(item: Named, view: View) -> str:
    """Return all about a part in one line."""
    part = item.part
    where = ", ".join(from_corner(item, view))
    words = f"{item.name}: {size_of(item, view)}"
    if isinstance(part, Area):
        return f"{words}, {where}"
    if isinstance(part, Through):
        if part.clearance:
            words += f", cut {view.shown(part.clearance)} wider all round"
        if part.plate is not None:
            plate = _rounded(part.plate.diameter, part.plate.width, part.plate.height, view)
            words += f", plate {plate}"
    return f"{words}; centre {where}"


def backing(placed: Set) -> str:
    """Return white behind a tag."""
    return element("path", d=way(placed.corners), fill=PAPER)
