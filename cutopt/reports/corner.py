"""An unfolded corner: the tile cut on the left wall goes on, with its own offcut, on the right."""

from collections.abc import Iterator
from dataclasses import dataclass

from cutopt.documents import CutTile, Job, Placement, Plan
from cutopt.documents.job import Corner
from cutopt.layout import LaidPiece, LaidSurface, TakeOff
from cutopt.layout.going_on import courses
from cutopt.plane import box_of
from cutopt.reports.svg import INK, PAPER, document, line, rect, text
from cutopt.reports.words import counted, plain, size_text
from cutopt.units import Units

#: A4, its margin, and what the drawing may take of it, in millimetres of paper.
PAGE = (210.0, 297.0)
EDGE = 14.0
_TALLEST, _WIDEST = 215.0, 120.0
_TINT = "#e6e6e6"


@dataclass(frozen=True, slots=True)
class Course:
    """The pieces of one course on both sides of a corner, and the tile that both come out of."""

    left: LaidPiece
    right: LaidPiece
    tile: int | None

    @property
    def goes_on(self) -> bool:
        """Tell whether the right piece is the left one's own offcut, the right way round."""
        return self.tile is not None


def continued(job: Job, take_off: TakeOff, plan: Plan) -> list[tuple[Corner, list[Course]]]:
    """Return the corners at which courses go on, each course with its pieces."""
    walls = {laid.mark: laid for laid in take_off.surfaces}
    kerf = job.saw.kerf
    homes = {
        placed.piece: (cut_tile, placed)
        for cut_tile in plan.cut_tiles
        for placed in cut_tile.placements
    }
    return [
        (
            corner,
            [
                Course(last, first, _one_tile(homes.get(last.entry), homes.get(first.entry), kerf))
                for last, first in courses(walls[corner.left], walls[corner.right])
                if not last.is_full
            ],
        )
        for room in job.rooms
        for corner in room.corners
        if corner.continues
    ]


Home = tuple[CutTile, Placement] | None


def _one_tile(left: Home, right: Home, kerf: int) -> int | None:
    """Return the number of the tile in which the right piece lies beyond the left one's cut."""
    if left is None or right is None or left[0] is not right[0]:
        return None
    (cut_tile, one), (_, other) = left, right
    sideways, upwards = other.x - one.x, other.y - one.y
    along = {0: sideways, 90: upwards, 180: -sideways, 270: -upwards}[one.turn]
    across = upwards if one.turn in (0, 180) else sideways
    return cut_tile.number if one.turn == other.turn and along > kerf and across == 0 else None


def corner_lines(job: Job, take_off: TakeOff, plan: Plan) -> Iterator[tuple[str, str]]:
    """Yield for each corner at which courses go on how many do, with the tile's own offcut."""
    for corner, found in continued(job, take_off, plan):
        kept = sum(course.goes_on for course in found)
        others = [course.left.label for course in found if not course.goes_on]
        words = f"{kept} of {counted(len(found), 'cut course')} go on with the tile's own offcut"
        if others:
            words += f"; not after {', '.join(others)}"
        yield f"{corner.left}-{corner.right}", words


def draw_corners(job: Job, take_off: TakeOff, plan: Plan) -> dict[str, str]:
    """Return a drawing of each unfolded corner at which courses go on, by its walls: `A-B`."""
    walls = {laid.mark: laid for laid in take_off.surfaces}
    return {
        f"{corner.left}-{corner.right}": _draw(job, walls[corner.left], walls[corner.right], found)
        for corner, found in continued(job, take_off, plan)
    }


def _draw(job: Job, left: LaidSurface, right: LaidSurface, found: list[Course]) -> str:
    edge = box_of(left.outline).right
    height = max(box_of(wall.outline).top for wall in (left, right))
    reach = max(
        [edge - box_of(course.left.shape.outer).x for course in found]
        + [box_of(course.right.shape.outer).right for course in found],
        default=1,
    )
    scale = min(_TALLEST / height, _WIDEST / 2 / reach)
    base = (PAGE[0] / 2, EDGE + 24 + height * scale)
    marks = [*_heading(job, left, right, found)]
    for course in found:
        marks += _piece(course, course.left, edge, base, scale, job.units)
        marks += _piece(course, course.right, 0, base, scale, job.units)
        if course.goes_on:
            marks += _whole(course, edge, base, scale)
    top = base[1] - height * scale
    marks.append(line((base[0], top - 4), (base[0], base[1] + 4), 0.5))
    marks.append(text("corner", (base[0], top - 5), 2.8, text_anchor="middle"))
    title = f"{left.mark}-{right.mark}, unfolded"
    return document(marks, PAGE, title, f"{title}: which tile each piece comes out of")


def _heading(job: Job, left: LaidSurface, right: LaidSurface, found: list[Course]) -> Iterator[str]:
    kept = sum(course.goes_on for course in found)
    title = plain(f"Corner {left.mark}-{right.mark}, unfolded")
    yield text(title, (EDGE, EDGE + 4), 5.6, font_weight="bold")
    about = (
        f"{kept} of {counted(len(found), 'cut course')} go on with the tile's own offcut: tinted, "
        "one tile in a heavy line"
    )
    yield text(about, (EDGE, EDGE + 9.5), 3.2)
    if job.title:
        yield text(plain(job.title), (EDGE, EDGE + 14), 3.2)


def _piece(
    course: Course,
    piece: LaidPiece,
    edge: int,
    base: tuple[float, float],
    scale: float,
    units: Units,
) -> Iterator[str]:
    box = box_of(piece.shape.outer)
    x, y = base[0] + (box.x - edge) * scale, base[1] - box.top * scale
    width, height = box.width * scale, box.height * scale
    fill = _TINT if course.goes_on else PAPER
    yield rect((x, y), width, height, fill=fill, stroke=INK, stroke_width=0.2)
    words = [
        (piece.label, True),
        (size_text(box.width, box.height, units), False),
        (f"tile {course.tile}" if course.goes_on else "", False),
    ]
    for number, (row, is_bold) in enumerate(words):
        weight = {"font_weight": "bold"} if is_bold else {}
        at = (x + width / 2, y + height / 2 - 2.5 + 3.6 * number)
        yield text(row, at, 2.8, text_anchor="middle", **weight)


def _whole(course: Course, edge: int, base: tuple[float, float], scale: float) -> Iterator[str]:
    one, other = box_of(course.left.shape.outer), box_of(course.right.shape.outer)
    x, y = base[0] + (one.x - edge) * scale, base[1] - one.top * scale
    width = (edge - one.x + other.right) * scale
    yield rect((x, y), width, one.height * scale, fill="none", stroke=INK, stroke_width=0.7)
