"""Every cut piece gets its name: in it where there is room, else a number led to it and a list."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain

from cutopt.documents import Piece
from cutopt.layout import Gap, LaidPiece
from cutopt.plane import Point, Rect, box_of, edges
from cutopt.reports.rooms import rooms_within
from cutopt.reports.shapes import Round, Shape, remarks_of, shape_of
from cutopt.reports.surface.parts import backing, rooms_on_paper
from cutopt.reports.surface.tags import Flag, Room, Set, Tag, fitted, lead, sized
from cutopt.reports.surface.view import Box, View, box_on_paper, touch
from cutopt.reports.svg import Spot
from cutopt.reports.words import counted, plain

#: Sizes of type in mm, largest first.
_WITH_SIZE, _ALONE, _NUMBER = (4.0, 3.2, 2.6, 2.2), (2.6, 2.2), 2.1
#: How far from its piece a number may stand, in mm, and how many numbers are led to pieces.
_REACH = (1.0, 1.8, 2.8, 4.0, 5.5, 7.5, 10.0, 13.0)
_WAYS = 16
_MOST_LED = 150
#: An outline of more sides is only counted in the list.
_MOST_SIDES = 6
#: Least sides of a piece on paper, in mm, in which it is worth looking for room.
_LEAST = (2.4, 3.2)


@dataclass(frozen=True)
class Listed:
    """A line of the list below: the number that stands for a piece, or none, and the piece."""

    number: str
    label: str
    words: str


@dataclass
class Names:
    """The names of the cut pieces of a surface; `marks` and `listed` fill as they are set."""

    view: View
    entries: Mapping[str, Piece]
    origins: Mapping[str, str]
    flags: Mapping[str, tuple[Flag, ...]]
    taken: list[Rect]
    occupied: list[Box]
    marks: list[str] = field(default_factory=list)
    listed: list[Listed] = field(default_factory=list)
    inside: int = 0
    led: int = 0
    _bare: list[tuple[LaidPiece, Box]] = field(default_factory=list)
    _known: dict[str, list[Room]] = field(default_factory=dict)

    def set_all(self, pieces: Sequence[LaidPiece]) -> None:
        """Name every piece: first those with room for their name, then the others by number."""
        crowd = [box_on_paper(self._spots(piece)) for piece in pieces]
        left = [piece for piece in pieces if not self._named(piece)]
        for number, piece in enumerate(left, start=1):
            found = self._inside(piece, [Tag(str(number), size=_NUMBER)])
            if not found and len(left) <= _MOST_LED:
                tag = Tag(str(number), (), self._flags_of(piece), _NUMBER)
                inner = _inner(self._spots(piece))
                found = self._led(tag, (*inner, *inner), crowd)
            self._list(piece, str(number) if found else "")
        for piece, box in self._bare:
            self._led(Tag("", (), self._flags_of(piece)), box, crowd)

    def mark_gaps(self, gaps: Iterable[Gap]) -> None:
        """Flag what is too thin to be cut and has no name in the drawing."""
        for gap in gaps:
            if flags := self.flags.get(gap.label):
                inner = _inner(self.view.outward(gap.shape.outer))
                self._led(Tag("", (), flags), (*inner, *inner), [])

    def words_of(self, piece: LaidPiece) -> str:
        """Return what a piece is: its size as in the request, remarks, the tile it is from."""
        return ", ".join(filter(None, [self._size(piece), self._remarks(piece), self._from(piece)]))

    # Inside the piece.

    def _named(self, piece: LaidPiece) -> bool:
        size, origin = self._size(piece), self._from(piece)
        tags = [Tag(piece.label, tuple(filter(None, [size, origin])))]
        if origin:
            tags.append(Tag(piece.label, (size,)))
        full = [made for tag in tags for made in sized(tag, *_WITH_SIZE)]
        done = self._inside(piece, [*full, *sized(Tag(piece.label), *_ALONE)])
        self.inside += done
        return done

    def _inside(self, piece: LaidPiece, tags: Sequence[Tag]) -> bool:
        """Set the first of some tags that fits, with its flags if these fit too."""
        flags, rooms = self._flags_of(piece), self._rooms(piece)
        found = fitted([made for tag in tags for made in _with(flags, tag)], rooms)
        if found is None and flags:
            found = fitted(tags, rooms)
            self._bare += [(piece, found.box)] if found else []
        if found is not None:
            self.marks.append(found.drawn())
            self.occupied.append(found.box)
        return found is not None

    def _flags_of(self, piece: LaidPiece) -> tuple[Flag, ...]:
        return self.flags.get(piece.label, ())

    def _rooms(self, piece: LaidPiece) -> list[Room]:
        if piece.label not in self._known:
            self._known[piece.label] = self._found_rooms(piece)
        return self._known[piece.label]

    def _found_rooms(self, piece: LaidPiece) -> list[Room]:
        """Return the free rectangles of a piece, along the surface and along its courses."""
        spots = self._spots(piece)
        left, top, right, bottom = box_on_paper(spots)
        sides = sorted((right - left, bottom - top))
        if sides[0] < _LEAST[0] or sides[1] < _LEAST[1]:
            return []
        outline = self._on_surface(piece.shape.outer)
        taken = [*self._taken_near(box_of(outline)), *self._holes(piece)]
        rooms = rooms_on_paper(outline, box_of(outline), taken, self.view)
        if not self.view.surface.frame.is_level:
            rooms += self._slanted_rooms(piece, taken)
        return rooms

    def _slanted_rooms(self, piece: LaidPiece, taken: Iterable[Rect]) -> list[Room]:
        frame, scale = self.view.surface.frame, self.view.scale
        inner = [box_of(frame.inward(rect.corners)) for rect in taken]
        box = box_of(piece.shape.outer)
        rooms = []
        for room in rooms_within(piece.shape.outer, box, inner):
            middle = (room.x + room.width // 2, room.y + room.height // 2)
            (centre,) = self.view.outward([middle])
            size = (room.width * scale, room.height * scale)
            rooms.append(Room(centre, *size, self.view.angle))
        return rooms

    def _holes(self, piece: LaidPiece) -> Iterator[Rect]:
        for ring in piece.shape.holes:
            yield box_of(self._on_surface(ring))
        for centre, diameter in piece.rounds:
            ((x, y),) = self._on_surface([centre])
            reach = diameter // 2 + 1
            yield Rect(x - reach, y - reach, 2 * reach, 2 * reach)

    def _taken_near(self, box: Rect) -> Iterator[Rect]:
        for rect in self.taken:
            level = rect.x < box.right and box.x < rect.right
            if level and rect.y < box.top and box.y < rect.top:
                yield rect

    def _on_surface(self, points: Iterable[Point]) -> list[Point]:
        return [(round(x), round(y)) for x, y in self.view.surface.frame.outward(points)]

    def _spots(self, piece: LaidPiece) -> list[Spot]:
        return self.view.outward(piece.shape.outer)

    # Beside the piece, led to it.

    def _led(self, tag: Tag, target: Box, crowd: list[Box]) -> bool:
        """Set a tag beside a target, clear of other tags and, if it can be, of cut pieces."""
        if self.led >= _MOST_LED:
            return False
        for avoided in (crowd, ()):
            for spot in _around(target, tag):
                placed = Set(tag, spot)
                box = placed.box
                if any(touch(box, other) for other in chain(self.occupied, avoided)):
                    continue
                if self.view.holds(box):
                    end = _nearest(spot, target)
                    self.marks += [lead(spot, end), backing(placed), placed.drawn()]
                    self.occupied.append(box)
                    self.led += 1
                    return True
        return False

    # In words.

    def _list(self, piece: LaidPiece, number: str) -> None:
        self.listed.append(Listed(number, piece.label, self.words_of(piece)))

    def _size(self, piece: LaidPiece) -> str:
        entry = self.entries[piece.entry]
        return f"{self.view.shown(entry.width)} × {self.view.shown(entry.height)}"

    def _remarks(self, piece: LaidPiece) -> str:
        """Return notches and holes in words; of another outline its sides, or how many."""
        entry = self.entries[piece.entry]
        if entry.outline is None and not entry.holes:
            return ""
        remarks = remarks_of(self._rounded(shape_of(entry)), self.view.units)
        return "; ".join(
            self._sides(entry) if remark.startswith("corners") else remark for remark in remarks
        )

    def _rounded(self, shape: Shape) -> Shape:
        """Return a shape as it is read off a rule."""
        near = self.view.rounded
        return replace(
            shape,
            width=near(shape.width),
            height=near(shape.height),
            outline=tuple((near(x), near(y)) for x, y in shape.outline),
            rounds=tuple(
                Round(near(hole.x), near(hole.y), near(hole.diameter)) for hole in shape.rounds
            ),
            cutouts=tuple(tuple((near(x), near(y)) for x, y in cut) for cut in shape.cutouts),
        )

    def _sides(self, entry: Piece) -> str:
        if len(entry.shape) > _MOST_SIDES:
            return counted(len(entry.shape), "corner")
        lengths = (self.view.shown(math.dist(a, b)) for a, b in edges(entry.shape))
        return f"{'triangle, ' if len(entry.shape) == 3 else ''}sides {', '.join(lengths)}"

    def _from(self, piece: LaidPiece) -> str:
        return plain(self.origins.get(piece.entry, ""))


def _with(flags: tuple[Flag, ...], tag: Tag) -> Iterator[Tag]:
    """Yield a tag with its flags behind the name, and with the flags below."""
    yield replace(tag, flags=flags)
    if flags:
        yield replace(tag, flags=flags, below=True)


def _around(target: Box, tag: Tag) -> Iterator[Spot]:
    """Yield places for a tag round a target, the nearest first."""
    left, top, right, low = target
    for reach in _REACH:
        across = (right - left) / 2 + tag.width / 2 + reach
        up = (low - top) / 2 + tag.height / 2 + reach
        for way in range(_WAYS):
            slope = 2 * math.pi * way / _WAYS
            x, y = (left + right) / 2, (top + low) / 2
            yield x + across * math.cos(slope), y + up * math.sin(slope)


def _nearest(spot: Spot, box: Box) -> Spot:
    """Return the point of a box that is nearest to a spot."""
    return min(max(spot[0], box[0]), box[2]), min(max(spot[1], box[1]), box[3])


def _inner(spots: Sequence[Spot]) -> Spot:
    """Return a point well inside an outline: the middle of its longest stretch at half height."""
    _, top, _, low = box_on_paper(spots)
    best: tuple[float, Spot] = (-1.0, spots[0])
    for share in (0.5, 0.25, 0.75):
        y = top + (low - top) * share
        ends = sorted(_crossings(spots, y))
        for start, end in zip(ends[::2], ends[1::2], strict=False):
            best = max(best, (end - start, ((start + end) / 2, y)))
    return best[1]


def _crossings(spots: Sequence[Spot], y: float) -> Iterator[float]:
    for (ax, ay), (bx, by) in zip(spots, [*spots[1:], spots[0]], strict=True):
        if (ay > y) != (by > y):
            yield ax + (bx - ax) * (y - ay) / (by - ay)
