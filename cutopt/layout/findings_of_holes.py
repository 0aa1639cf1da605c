"""What to mind about valves, pipes and sockets."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutopt.documents import Plate, Through
from cutopt.geometry.measure import web, web_of_disc
from cutopt.layout import sources
from cutopt.layout.ground import Ground
from cutopt.layout.model import Finding, LaidPiece, LaidSurface
from cutopt.layout.proposals import two_halves, within_one_tile
from cutopt.plane import Point, Rect
from cutopt.units import MM, show_down, show_length

#: At least 1/8 in (3 mm) between tile and what comes through it (A108.02).
LEAST_CLEARANCE = 3 * MM
#: Less material than this between a hole and the edge breaks (common practice, no source).
LEAST_WEB = 25 * MM
#: A box cut that takes more than this may be more than a porcelain tile bears.
LARGEST_BOX_CUT = 6_500 * MM * MM


@dataclass(frozen=True, slots=True)
class _Cut:
    """A hole with its clearance, as it is cut."""

    width: int
    height: int
    is_round: bool

    @classmethod
    def of(cls, hole: Through) -> "_Cut":
        more = 2 * hole.clearance
        box = hole.box
        return cls(box.width + more, box.height + more, hole.diameter is not None)


def findings_of_holes(ground: Ground, laid: LaidSurface) -> Iterator[Finding]:
    """Return what to mind about each hole: clearance, plate, place in its tile."""
    for at, hole in enumerate(ground.surface.holes):
        place = f"{ground.place}/holes/{at}"
        yield from _clearance(ground, place, hole)
        yield from _place_in_tile(ground, place, hole, laid)


def _clearance(ground: Ground, place: str, hole: Through) -> Iterator[Finding]:
    show = ground.units
    if hole.clearance < LEAST_CLEARANCE:
        rule = "at least 1/8 in (3 mm) is left between tile and what comes through it"
        value = show_down(hole.clearance, show)
        yield Finding("clearance", place, (), value, rule, sources.WORKMANSHIP)
    cut = _Cut.of(hole)
    if hole.plate is not None and not _covers(hole.plate, cut, hole.overlap):
        value = f"hole {show_length(cut.width, show)} x {show_length(cut.height, show)}"
        rule = (
            "the cover plate hides the edge of the hole all round, by "
            f"{show_length(hole.overlap, show)}"
        )
        yield Finding("cover plate", place, (), value, rule, sources.WORKMANSHIP)
    if not cut.is_round and cut.width * cut.height > LARGEST_BOX_CUT:
        value = f"{cut.width * cut.height / MM / MM / 100:.0f} cm2"
        rule = "a box cut of more than 65 cm2 may be more than a porcelain tile bears"
        yield Finding("box cut", place, (), value, rule, sources.TOOL_MAKER)


def _covers(plate: Plate, cut: _Cut, overlap: int) -> bool:
    width, height = cut.width + 2 * overlap, cut.height + 2 * overlap
    if plate.diameter is None:
        return (plate.width or 0) >= width and (plate.height or 0) >= height
    diameter: int = plate.diameter
    if cut.is_round:
        return diameter >= width
    # A round plate covers a rectangle when it covers the diagonal.
    return (diameter - 2 * overlap) ** 2 >= cut.width**2 + cut.height**2


def _place_in_tile(
    ground: Ground, place: str, hole: Through, laid: LaidSurface
) -> Iterator[Finding]:
    (centre,) = ground.frame.inward([(hole.x, hole.y)])
    cut = _Cut.of(hole)
    touched = [piece for piece in laid.cut if _reaches(piece.cell, centre, cut)]
    rooms = [(piece, _room(piece, centre, hole)) for piece in touched]
    inside = [(piece, room) for piece, room in rooms if room is not None]
    if not inside:
        labels = tuple(piece.label for piece in touched)
        rule = "a hole lies within one tile rather than on a joint"
        value = f"{hole.kind} across {len(labels)} pieces"
        halves = f"it is cut as notches in {', '.join(labels)}" if labels else ""
        whole = _within(ground, touched, centre, cut)
        proposal = ", or ".join(filter(None, (halves, whole)))
        yield Finding(
            "hole on joint", place, labels, value, rule, sources.PENETRATIONS, proposal=proposal
        )
        return
    piece, room = min(inside, key=lambda item: item[1])
    if room < LEAST_WEB:
        rule = "between a hole and the edge of its piece stay at least 25 mm"
        value = show_down(room, ground.units)
        halves = two_halves(ground, piece.cell, _box(centre, cut))
        whole = _within(ground, [piece], centre, cut)
        proposal = ", or ".join(filter(None, (whole, halves)))
        labels = (piece.label,)
        yield Finding("thin web", place, labels, value, rule, sources.PRACTICE, proposal=proposal)


def _within(ground: Ground, pieces: Sequence[LaidPiece], centre: Point, cut: _Cut) -> str:
    """Return how the hole comes to lie within one tile, from any cell that it touches."""
    if not pieces:
        return ""
    return within_one_tile(ground, pieces[0].cell, _box(centre, cut), LEAST_WEB)


def _box(centre: Point, cut: _Cut) -> Rect:
    return Rect(centre[0] - cut.width // 2, centre[1] - cut.height // 2, cut.width, cut.height)


def _reaches(cell: Rect, centre: Point, cut: _Cut) -> bool:
    reach = max(cut.width, cut.height) / 2
    return (
        cell.x - reach < centre[0] < cell.right + reach
        and cell.y - reach < centre[1] < cell.top + reach
    )


def _room(piece: LaidPiece, centre: Point, hole: Through) -> float | None:
    """Return how much is left beside a hole that lies within a piece, or nothing if it does not."""
    outer = piece.shape.outer
    for middle, diameter in piece.rounds:
        if middle == centre and hole.diameter is not None:
            return web_of_disc(middle, diameter, outer)
    for ring in piece.shape.holes:
        xs, ys = [x for x, _ in ring], [y for _, y in ring]
        if min(xs) < centre[0] < max(xs) and min(ys) < centre[1] < max(ys):
            return web(ring, outer)
    return None
