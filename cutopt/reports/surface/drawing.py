"""One surface drawn: the layers of the drawing, and what is left to say in lists."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cutopt.documents import Job, Piece, Plan, Surface
from cutopt.layout import Finding, LaidPiece, LaidSurface, TakeOff
from cutopt.plane import Rect, box_of
from cutopt.reports.surface.field import draw_field, draw_outline
from cutopt.reports.surface.findings import (
    Found,
    flags_of_pieces,
    flags_of_place,
    found_on,
    own_findings,
)
from cutopt.reports.surface.names import Names
from cutopt.reports.surface.parts import Named, backing, beside, draw_part, named, named_inside
from cutopt.reports.surface.rim import draw_rim
from cutopt.reports.surface.tags import Set
from cutopt.reports.surface.view import View, box_on_paper
from cutopt.reports.svg import group


@dataclass(frozen=True)
class Matter:
    """What is drawn: a surface as it was measured and as it is laid, with all about it."""

    job: Job
    surface: Surface
    laid: LaidSurface
    entries: Mapping[str, Piece]
    origins: Mapping[str, str]
    findings: Sequence[Finding]

    @property
    def cut(self) -> list[LaidPiece]:
        """Return the pieces that are cut."""
        return [piece for piece in self.laid.cut if not piece.is_full]


def matter_of(job: Job, take_off: TakeOff, laid: LaidSurface, plan: Plan | None) -> Matter:
    """Return all about one surface of a job."""
    surface = dict(job.surfaces)[laid.place]
    entries = {piece.id: piece for piece in take_off.request.pieces}
    return Matter(job, surface, laid, entries, origins_of(plan), own_findings(laid, take_off))


def origins_of(plan: Plan | None) -> dict[str, str]:
    """Return for each entry of the request which cut tiles its pieces come from."""
    numbers: dict[str, list[int]] = defaultdict(list)
    for cut_tile in plan.cut_tiles if plan else ():
        for placement in cut_tile.placements:
            if cut_tile.number not in numbers[placement.piece]:
                numbers[placement.piece].append(cut_tile.number)
    return {entry: _from(tiles) for entry, tiles in numbers.items()}


def _from(tiles: Sequence[int]) -> str:
    few = ", ".join(map(str, tiles[:3]))
    if len(tiles) == 1:
        return f"from tile {few}"
    return f"from tiles {few}" + (" …" if len(tiles) > 3 else "")


@dataclass(frozen=True)
class Drawing:
    """A finished drawing, and what its lists are made from."""

    view: View
    marks: tuple[str, ...]
    parts: tuple[Named, ...]
    found: tuple[Found, ...]
    names: Names

    @property
    def share_named(self) -> float:
        """Return the share of the cut pieces that bear their name in the drawing."""
        count = self.names.inside + len(self.names.listed)
        return self.names.inside / count if count else 1.0


def drawn(matter: Matter, view: View) -> Drawing:
    """Draw a surface, layer by layer."""
    found = found_on(matter.laid, matter.findings)
    of_parts = {
        place: flags_of_place(found, place) for place in {item.finding.place for item in found}
    }
    parts = named(matter.surface, matter.laid.place, of_parts)
    inside = {item.letter: tag for item in parts if (tag := named_inside(item, view))}
    small = [item for item in parts if item.letter not in inside]
    outside = beside(small, inside.values(), view)
    names = Names(
        view=view,
        entries=matter.entries,
        origins=matter.origins,
        flags=flags_of_pieces(found),
        taken=[*(item.box for item in parts), *(_on_surface(tag, view) for tag in outside)],
        occupied=[
            *(tag.box for tag in outside),
            *(box_on_paper(view.spots(item.box.corners)) for item in parts),
        ],
    )
    names.set_all(matter.cut)
    names.mark_gaps(matter.laid.gaps)
    words = {piece.label: f"{piece.label}: {names.words_of(piece)}" for piece in matter.cut}
    marks = [
        *draw_field(view, matter.surface.joint, words),
        *(group(draw_part(item.part, view), item.name) for item in parts),
        draw_outline(view),
        *(backing(tag) + tag.drawn() for tag in inside.values()),
        *(tag.drawn() for tag in outside),
        group(names.marks, class_="names"),
        *draw_rim(view, matter.surface),
    ]
    return Drawing(view, tuple(marks), tuple(parts), tuple(found), names)


def _on_surface(tag: Set, view: View) -> Rect:
    """Return what a tag covers of the surface."""
    (left, top), box = view.corner, view.box
    return box_of(
        [
            (round(box.x + (x - left) / view.scale), round(box.top - (y - top) / view.scale))
            for x, y in tag.corners
        ]
    )
