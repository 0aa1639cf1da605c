"""Pieces that share a tile: a kerf between any two, and straight cuts that part them."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from cutopt.check.corners import corner_that_holds
from cutopt.check.known import Laid
from cutopt.check.parting import parted_by_slant
from cutopt.documents.plan import Corner
from cutopt.plane import Rect


class Nest(NamedTuple):
    """The piece, by the number of its placement, in whose empty corner another lies."""

    host: Laid
    corner: Corner


class Neighbours(NamedTuple):
    """What was found out about pieces by looking at any two that lie close together."""

    nests: dict[int, Nest]
    too_close: list[tuple[Laid, Laid]]


class Stuck(NamedTuple):
    """Pieces that cannot be parted, and whether it is a notch that cannot take them all."""

    pieces: list[Laid]
    host: Laid | None = None


def neighbours(laid: Sequence[Laid], kerf: int) -> Neighbours:
    """Return which piece lies in a corner of which, and which lie too close to each other.

    Each piece is reported with the first that it is too close to.
    """
    nests: dict[int, Nest] = {}
    too_close: list[tuple[Laid, Laid]] = []
    for a, others in _close_together(laid, kerf):
        for b in others:
            nested = _nest(a, b, kerf, nests) or _nest(b, a, kerf, nests)
            if not nested and len(parted_by_slant([a, b], kerf)) == 1:
                too_close.append((a, b))
                break
    return Neighbours(nests, too_close)


def _close_together(laid: Sequence[Laid], kerf: int) -> Iterator[tuple[Laid, Iterator[Laid]]]:
    """Yield each piece with those after it, along the axis, that lie less than a kerf away."""
    # Along the axis where the pieces take less room, fewer of them lie side by side.
    along_x = sum(piece.box.width for piece in laid) <= sum(piece.box.height for piece in laid)
    spans = sorted((_spans(piece.box, along_x), piece.number, piece) for piece in laid)

    def close_to(index: int) -> Iterator[Laid]:
        _, end, low, high = spans[index][0]
        for other in range(index + 1, len(spans)):
            (start, _, other_low, other_high), _, piece = spans[other]
            if start >= end + kerf:
                return
            if other_low < high + kerf and low < other_high + kerf:
                yield piece

    for index, (_, _, piece) in enumerate(spans):
        yield piece, close_to(index)


def _spans(box: Rect, along_x: bool) -> tuple[int, int, int, int]:
    x, y, width, height = box
    return (x, x + width, y, y + height) if along_x else (y, y + height, x, x + width)


def _nest(inner: Laid, host: Laid, kerf: int, nests: dict[int, Nest]) -> bool:
    """Tell whether one piece lies in a corner of another; keep the innermost such host."""
    corner = None if host.is_slanted else corner_that_holds(inner.box, host, kerf)
    if corner is None:
        return False
    known = nests.get(inner.number)
    if known is None or _area(host) < _area(known.host):
        nests[inner.number] = Nest(host, corner)
    return True


def _area(piece: Laid) -> int:
    return piece.box.width * piece.box.height


def stuck_pieces(laid: Sequence[Laid], nests: dict[int, Nest], kerf: int) -> Iterator[Stuck]:
    """Yield the pieces that no straight cuts and no notches part from each other.

    The pieces in one corner of a host come off in one notch; then they, like those on the
    whole stock, are parted by straight cuts. A cut that parts pieces never hinders a later
    one, so any cut that is found may be taken. Slanted cuts are for tiles with slanted pieces.
    """
    slanted = any(piece.is_slanted for piece in laid)
    groups: dict[tuple[int, Corner] | None, list[Laid]] = defaultdict(list)
    for piece in laid:
        nest = nests.get(piece.number)
        groups[(nest.host.number, nest.corner) if nest else None].append(piece)
    for key, group in groups.items():
        if key is not None:
            host = nests[group[0].number].host
            if corner_that_holds(_hull(group), host, kerf) is None:
                yield Stuck(group, host)
                continue
        yield from (Stuck(rest) for rest in _unparted(group, kerf, slanted=slanted))


def _hull(group: Sequence[Laid]) -> Rect:
    x = min(piece.box.x for piece in group)
    y = min(piece.box.y for piece in group)
    right = max(piece.box.right for piece in group)
    top = max(piece.box.top for piece in group)
    return Rect(x, y, right - x, top - y)


def _unparted(group: list[Laid], kerf: int, *, slanted: bool) -> Iterator[list[Laid]]:
    waiting = [group]
    while waiting:
        group = waiting.pop()
        if len(group) == 1:
            continue
        rows = _parted(group, kerf, along_x=True)
        if len(rows) == 1:
            rows = _parted(group, kerf, along_x=False)
        if len(rows) == 1 and slanted:
            rows = parted_by_slant(group, kerf)
        if len(rows) == 1:
            yield group
        else:
            waiting += rows


def _parted(group: list[Laid], kerf: int, along_x: bool) -> list[list[Laid]]:
    """Return the pieces between all straight cuts across one axis."""
    spans = sorted((_spans(piece.box, along_x), piece.number, piece) for piece in group)
    rows: list[list[Laid]] = []
    reached = 0
    for (start, end, _, _), _, piece in spans:
        if rows and start < reached + kerf:
            rows[-1].append(piece)
            reached = max(reached, end)
        else:
            rows.append([piece])
            reached = end
    return rows
