"""Tags: what is written on a piece or a part of the surface, and how it is set on paper."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from cutopt.reports.lettering import LEADING, width_of
from cutopt.reports.surface.view import Box, box_on_paper, readable
from cutopt.reports.svg import INK, PAPER, Spot, circle, element, figure, line, rect, text

CLEAR = 0.5
RADIUS = 1.55
_STEP = 2 * RADIUS + 0.35
_IN_DISC = 2.3


@dataclass(frozen=True)
class Flag:
    """The number of a finding, black on white where it is only a note."""

    number: int
    grave: bool


@dataclass(frozen=True)
class Tag:
    """A name in bold with the flags of findings behind it, and lines below."""

    name: str
    lines: tuple[str, ...] = ()
    flags: tuple[Flag, ...] = ()
    size: float = 2.6
    boxed: bool = False
    below: bool = False

    @cached_property
    def width(self) -> float:
        """Return the width of the longest line."""
        return max(
            self._first,
            len(self.flags) * _STEP if self.below else 0,
            *(width_of(words, self.size) for words in self.lines),
        )

    @cached_property
    def height(self) -> float:
        """Return the height of all lines."""
        return self._top_row + len(self.lines) * self._step + (_STEP if self.below else 0)

    @property
    def _step(self) -> float:
        return self.size * LEADING

    @property
    def _top_row(self) -> float:
        named = self._step if self.name else 0
        return max(named, _STEP) if self.flags and not self.below else named

    @property
    def _first(self) -> float:
        name = width_of(self.name, self.size, bold=True) + (1.2 if self.boxed else 0)
        flags = 0 if self.below else len(self.flags) * _STEP
        return name + flags + (0.5 if flags and self.name else 0)

    def drawn(self, centre: Spot, angle: float = 0) -> str:
        """Return the tag with its middle on a spot, turned clockwise by so many degrees."""
        marks = "".join(self._marks())
        x, y = (figure(place) for place in centre)
        turn = f" rotate({figure(angle)})" if abs(angle) > 0.005 else ""
        return element("g", marks, transform=f"translate({x} {y}){turn}", class_="tag")

    def _marks(self) -> Iterator[str]:
        top = -self.height / 2
        yield from self._heading(top + self._top_row / 2)
        for at, words in enumerate(self.lines):
            y = top + self._top_row + (at + 0.5) * self._step + 0.36 * self.size
            yield text(words, (0, y), self.size, text_anchor="middle")
        if self.below:
            yield from self._flags(-len(self.flags) * _STEP / 2, self.height / 2 - _STEP / 2)

    def _heading(self, middle: float) -> Iterator[str]:
        left, size = -self._first / 2, self.size
        wide = width_of(self.name, size, bold=True) + (1.2 if self.boxed else 0)
        if self.boxed:
            corner = (left, middle - size / 2 - 0.5)
            yield rect(corner, wide, size + 1, fill=PAPER, stroke=INK, stroke_width=0.2)
        if self.name:
            spot = (left + wide / 2, middle + 0.36 * size)
            yield text(self.name, spot, size, text_anchor="middle", font_weight="bold")
        if not self.below:
            yield from self._flags(self._first / 2 - len(self.flags) * _STEP, middle)

    def _flags(self, left: float, middle: float) -> Iterator[str]:
        for at, flag in enumerate(self.flags):
            yield from draw_flag(flag, (left + (at + 0.5) * _STEP, middle))


def draw_flag(flag: Flag, centre: Spot) -> Iterator[str]:
    """Yield the number of a finding in its disc."""
    fill, ink = (INK, PAPER) if flag.grave else (PAPER, INK)
    yield circle(centre, RADIUS, fill=fill, stroke=INK, stroke_width=0.25)
    words = str(flag.number)
    size = _IN_DISC if len(words) < 2 else _IN_DISC * 0.85
    spot = (centre[0], centre[1] + 0.36 * size)
    yield text(words, spot, size, text_anchor="middle", font_weight="bold", fill=ink)


@dataclass(frozen=True)
class Room:
    """A rectangle that is free for a tag: its middle, its sizes, its slope on paper."""

    centre: Spot
    width: float
    height: float
    angle: float = 0

    def upright(self) -> "Room":
        """Return the same room for lines that run across it."""
        return Room(self.centre, self.height, self.width, self.angle + 90)

    def takes(self, tag: Tag) -> bool:
        """Tell whether a tag fits with some white around it."""
        return tag.width + 2 * CLEAR <= self.width and tag.height + 2 * CLEAR <= self.height


@dataclass(frozen=True)
class Set:
    """A tag that has found its place."""

    tag: Tag
    centre: Spot
    angle: float = 0

    @property
    def corners(self) -> list[Spot]:
        """Return the corners of the box that the tag fills on paper."""
        slope = math.radians(self.angle)
        cosine, sine = math.cos(slope), math.sin(slope)
        across, up = self.tag.width / 2, self.tag.height / 2
        (cx, cy) = self.centre
        return [
            (cx + x * cosine - y * sine, cy + x * sine + y * cosine)
            for x, y in ((-across, -up), (across, -up), (across, up), (-across, up))
        ]

    @property
    def box(self) -> Box:
        """Return the level rectangle that holds the tag."""
        return box_on_paper(self.corners)

    def drawn(self) -> str:
        """Return the tag where it stands."""
        return self.tag.drawn(self.centre, self.angle)


def fitted(tags: Iterable[Tag], rooms: Iterable[Room]) -> Set | None:
    """Return the first of the tags that has room, level where it can be."""
    known = list(rooms)
    ways = [*known, *(room.upright() for room in known)]
    for tag in tags:
        for room in ways:
            if room.takes(tag):
                return Set(tag, room.centre, readable(room.angle))
    return None


def sized(tag: Tag, *sizes: float) -> Iterator[Tag]:
    """Yield a tag in several sizes."""
    for size in sizes:
        yield replace(tag, size=size)


def lead(start: Spot, end: Spot) -> str:
    """Return the thin line from a tag to what it names, which ends in a dot."""
    return line(start, end, 0.15) + circle(end, 0.35, fill=INK)
