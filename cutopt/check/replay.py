"""The saw, replayed: from the whole stock, cut after cut, to the parts that are left."""

from collections.abc import Iterator
from typing import NamedTuple

from cutopt.check.corners import in_corner, overlap
from cutopt.check.known import Known, figure
from cutopt.check.lines import Edge, Line, Slant
from cutopt.documents import Cut
from cutopt.errors import Fault
from cutopt.plane import Point, Rect

_WAYS_WITH = {
    "at": ("vertical", "horizontal"),
    "line": ("slanted",),
    "corner": ("notch",),
    "width": ("notch",),
    "height": ("notch",),
}


class Notch(NamedTuple):
    """A corner that a cut took, and the number of that cut."""

    cut: int
    rect: Rect


class Lying(NamedTuple):
    """A part on the bench: its rectangle, the notches in it and the slanted cuts through it."""

    rect: Rect
    notches: tuple[Notch, ...] = ()
    slants: tuple[Slant, ...] = ()

    def reaches(self, point: Point, kerf: int) -> bool:
        """Tell whether a point lies in the part or on its edge, notches left aside."""
        x, y = point
        return (
            self.rect.x <= x <= self.rect.right
            and self.rect.y <= y <= self.rect.top
            and all(slant.holds(point, kerf) for slant in self.slants)
        )

    def has_made(self, edge: Edge, kerf: int) -> bool:
        """Tell whether an edge of what lies in the part is an edge of the part."""
        (ax, ay), (bx, by) = edge
        return (
            (ax == bx and ax in (self.rect.x, self.rect.right))
            or (ay == by and ay in (self.rect.y, self.rect.top))
            or any(slant.has_made(edge, kerf) for slant in self.slants)
        )

    def keeps_a_corner(self, kerf: int) -> bool:
        """Tell whether a corner of the rectangle is left, and so something of the part."""
        return any(
            all(slant.keeps(corner, kerf) for slant in self.slants) for corner in self.rect.corners
        )


class Bench:
    """The parts that lie on the bench, by number, and every number given out so far."""

    def __init__(self, face: Rect, known: Known, kerf: int | None = None) -> None:
        self.parts = {0: Lying(face)}
        self.numbers = {0}
        self.known = known
        self.kerf = known.kerf if kerf is None else kerf

    def lost(self, place: str, number: int) -> Fault:
        """Return what is wrong with the number of a part that does not lie here."""
        rule = (
            "parted by an earlier cut"
            if number in self.numbers
            else "no earlier cut makes this part"
        )
        return Fault(place, f"part {figure(number)}", rule)

    def replay(self, cuts: tuple[Cut, ...]) -> Fault | None:
        """Carry out the cuts; return what is wrong with the first that cannot be made."""
        for number, cut in enumerate(cuts):
            fault = next(self._faults_of(cut, number), None)
            if fault is not None:
                return Fault(f"/cuts/{number}{fault.place}", fault.value, fault.rule)
        return None

    def _faults_of(self, cut: Cut, number: int) -> Iterator[Fault]:
        """Yield what is wrong with a cut; when that is nothing, carry it out."""
        yield from _faults_of_fields(cut)
        part = self.parts.get(cut.part)
        if part is None:
            yield self.lost("/part", cut.part)
        elif cut.way == "notch":
            yield from self._notch(cut, part, number)
        elif cut.way == "slanted":
            yield from self._slanted(cut, part)
        else:
            yield from self._part(cut, part)

    def _part(self, cut: Cut, part: Lying) -> Iterator[Fault]:
        assert cut.at is not None
        (x, y, width, height), at, beyond = part.rect, cut.at, cut.at + self.kerf
        vertical, show = cut.way == "vertical", self.known.show
        low, high = (x, x + width) if vertical else (y, y + height)
        yield from _faults_of_parting(cut, part)
        if not (at < high and low < beyond):
            yield Fault(
                "/at", show(at), f"part {figure(cut.part)} goes from {show(low)} to {show(high)}"
            )
        if vertical:
            first, second = Rect(x, y, at - x, height), Rect(beyond, y, high - beyond, height)
        else:
            first, second = Rect(x, y, width, at - y), Rect(x, beyond, width, high - beyond)
        yield from self._put(
            cut,
            part._replace(rect=first) if low < at else None,
            part._replace(rect=second) if beyond < high else None,
        )

    def _slanted(self, cut: Cut, part: Lying) -> Iterator[Fault]:
        assert cut.line is not None
        line, show = Line(*cut.line), self.known.show
        text = f"{show(*line.start)} to {show(*line.end)}"
        yield from _faults_of_parting(cut, part)
        if line.start == line.end:
            yield Fault("/line", text, "a line runs from one point to another")
        turns = line.crosses(part.rect.corners)
        if not min(turns) <= 0 <= max(turns):
            yield Fault("/line", text, f"it does not run through part {figure(cut.part)}")
        sides = [part._replace(slants=(*part.slants, Slant(line, left))) for left in (True, False)]
        # What two slanted cuts leave between them may be nothing. A number for nothing does
        # no harm, no piece lies in it; null is refused where a corner is seen to be left.
        yield from self._put(
            cut,
            *(
                side if number is not None or side.keeps_a_corner(self.kerf) else None
                for number, side in zip(cut.makes, sides, strict=True)
            ),
        )

    def _notch(self, cut: Cut, part: Lying, number: int) -> Iterator[Fault]:
        assert cut.corner is not None
        assert cut.width is not None
        assert cut.height is not None
        if part.slants:
            rule = "a part that a slanted cut ran through takes no notch"
            yield Fault("/part", f"part {figure(cut.part)}", rule)
        for side, length, limit in (
            ("width", cut.width, part.rect.width),
            ("height", cut.height, part.rect.height),
        ):
            if length >= limit:
                rule = f"a notch is smaller than its part, {self.known.show(limit)}"
                yield Fault(f"/{side}", self.known.show(length), rule)
        notch = in_corner(part.rect, cut.corner, cut.width, cut.height)
        for other in part.notches:
            if overlap(notch, other.rect):
                yield Fault("", f"{cut.corner} notch", f"it overlaps the notch of cut {other.cut}")
        width, height = cut.width - self.kerf, cut.height - self.kerf
        rest = Lying(in_corner(part.rect, cut.corner, width, height))
        yield from self._put(
            cut,
            Lying(part.rect, (*part.notches, Notch(number, notch))),
            rest if width > 0 and height > 0 else None,
        )

    def _put(self, cut: Cut, *made: Lying | None) -> Iterator[Fault]:
        for index, (number, part) in enumerate(zip(cut.makes, made, strict=True)):
            place = f"/makes/{index}"
            if number is None:
                if part is not None:
                    yield Fault(place, "null", "the blade leaves a part here")
            elif part is None:
                yield Fault(
                    place, f"part {figure(number)}", "the blade leaves nothing here, so null"
                )
            elif number in self.numbers:
                yield Fault(place, f"part {figure(number)}", "each part has a number of its own")
            else:
                self.numbers.add(number)
                self.parts[number] = part
        del self.parts[cut.part]


def _faults_of_parting(cut: Cut, part: Lying) -> Iterator[Fault]:
    if part.notches:
        yield Fault("/part", f"part {figure(cut.part)}", "a part with a notch is not parted again")


def _faults_of_fields(cut: Cut) -> Iterator[Fault]:
    """Yield the fields that this way of cutting lacks or does not have."""
    for field, ways in _WAYS_WITH.items():
        if (getattr(cut, field) is None) == (cut.way in ways):
            yield _odd_field(field, cut)


def _odd_field(field: str, cut: Cut) -> Fault:
    if getattr(cut, field) is None:
        return Fault(f"/{field}", "nothing", f"a {cut.way} cut has this field")
    return Fault(f"/{field}", "given", f"a {cut.way} cut has no such field")
