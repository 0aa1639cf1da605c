"""The choice among starts on one sheet: every surface of every proposal, drawn side by side."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutopt.documents import Job
from cutopt.documents.set_out import Proposal, SetOut
from cutopt.layout import LaidSurface, TakeOff
from cutopt.plane import Point, box_of
from cutopt.reports.svg import GREY, INK, PAPER, Spot, document, polygon, text
from cutopt.reports.words import columns_of, counted, number_text, wrapped

WIDTH, EDGE, GAP = 297.0, 10.0, 8.0
HIGHEST = 70.0
_LINE = 4.2
_LETTERS = 95


@dataclass(frozen=True)
class Proposed:
    """A proposal with the job and the take-off that it makes."""

    proposal: Proposal
    job: Job
    taken_off: TakeOff


def draw_choice(found: SetOut, proposed: Sequence[Proposed]) -> str:
    """Return all proposals below each other as an SVG: surfaces to one scale, cut pieces grey."""
    scale = _scale(proposed)
    marks: list[str] = []
    down = EDGE + 6
    marks.append(text(found.title or "Setting out", (EDGE, down), 5, font_weight="bold"))
    for number, one in enumerate(proposed, start=1):
        down += 9
        marks.append(text(_head(number, one.proposal, found), (EDGE, down), 4, font_weight="bold"))
        for line in wrapped(one.proposal.sentence, _LETTERS * 1.6, columns_of):
            down += _LINE
            marks.append(text(line, (EDGE, down), 3.2))
        down += 4
        marks += _row(one, scale, down)
        down += max(_height(surface) for surface in one.taken_off.surfaces) * scale + 6
    title = "Proposals for where to begin"
    return document(marks, (WIDTH, down + EDGE), title, "Cut pieces are grey, full tiles white.")


def _head(number: int, one: Proposal, found: SetOut) -> str:
    words = [f"{number} {one.name}", counted(one.tiles_needed, "tile")]
    if one.smallest_cut is not None:
        words.append(f"smallest cut {number_text(one.smallest_cut, found.units)} {found.units}")
    words += [counted(one.cuts, "cut"), counted(one.notched, "notched piece")]
    return " · ".join(words)


def _scale(proposed: Sequence[Proposed]) -> float:
    rows = [one.taken_off.surfaces for one in proposed]
    widest = max(sum(box_of(surface.outline).width for surface in row) for row in rows)
    most = max(len(row) for row in rows)
    highest = max(_height(surface) for row in rows for surface in row)
    return min((WIDTH - 2 * EDGE - (most - 1) * GAP) / widest, HIGHEST / highest)


def _height(surface: LaidSurface) -> int:
    return box_of(surface.outline).height


def _row(one: Proposed, scale: float, top: float) -> Iterator[str]:
    """Yield the surfaces of a proposal from left to right, standing on one line."""
    x = EDGE
    foot = top + max(_height(surface) for surface in one.taken_off.surfaces) * scale
    for surface in one.taken_off.surfaces:
        box = box_of(surface.outline)
        yield from _surface(surface, (x, foot), (scale, box.x, box.y))
        yield text(surface.mark, (x, foot + 4), 3.2)
        x += box.width * scale + GAP


def _surface(surface: LaidSurface, foot: Spot, view: tuple[float, int, int]) -> Iterator[str]:
    scale, left, low = view

    def shown(points: Sequence[tuple[float, float]]) -> list[Spot]:
        return [(foot[0] + (x - left) * scale, foot[1] - (y - low) * scale) for x, y in points]

    yield polygon(shown(surface.outline), fill="none", stroke=INK, stroke_width=0.5)
    for piece in surface.pieces():
        rings: list[Sequence[Point]] = [piece.shape.outer, *piece.shape.holes]
        for at, ring in enumerate(rings):
            fill = PAPER if at or piece.is_full else GREY
            points = shown(surface.frame.outward(ring))
            yield polygon(points, fill=fill, stroke=INK, stroke_width=0.15)
