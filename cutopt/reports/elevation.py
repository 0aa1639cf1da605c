"""Elevations: each surface drawn to scale for whoever stands before it with the tiles."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from cutopt.documents import Bond, Job, Plan
from cutopt.layout import LaidSurface, TakeOff
from cutopt.reports.surface.drawing import Drawing, Matter, drawn, matter_of
from cutopt.reports.surface.lists import lists, summary
from cutopt.reports.surface.parts import HATCH
from cutopt.reports.surface.sheet import heading, paged, scale_bar, stacked
from cutopt.reports.surface.view import A3, A4, EDGE, HALF, RIM, SCALES, Paper, view_of
from cutopt.reports.svg import document, element, hatch, moved, text
from cutopt.reports.words import plain, size_text
from cutopt.units import show_length
from cutopt.version import VERSION

#: The share of cut pieces that must have room for their names before larger paper is taken.
_NAMED = 0.8
#: How much smaller a drawing may be so that its lists need no page of their own.
_SMALLER = 1.4
#: More cut pieces than these take a whole page.
_FEW = 12


def draw_elevations(job: Job, take_off: TakeOff, plan: Plan | None = None) -> dict[str, str]:
    """Return the elevation of every surface of a job, by the letters of the surface."""
    return {
        surface.mark: draw_elevation(job, take_off, surface, plan) for surface in take_off.surfaces
    }


def draw_elevation(
    job: Job, take_off: TakeOff, surface: LaidSurface, plan: Plan | None = None
) -> str:
    """Return a surface as an SVG, pages below each other: its drawing to scale, then lists.

    Parameters
    ----------
    job : Job
        The job, for titles and for what interrupts the surface.
    take_off : TakeOff
        What the job came to.
    surface : LaidSurface
        Which of its surfaces.
    plan : Plan, optional
        Its plan; then each piece also says which cut tile it comes from.
    """
    matter = matter_of(job, take_off, surface, plan)
    return _sheet(_on_one_page(_drawing(matter), matter), matter)


def draw_elevation_pages(
    job: Job, take_off: TakeOff, surface: LaidSurface, plan: Plan | None = None
) -> list[tuple[str, tuple[float, float]]]:
    """Return the pages of an elevation for A4, each an SVG with its size in millimetres.

    A surface of few pieces takes half a page where all that is to be said of it has room there.
    """
    matter = matter_of(job, take_off, surface, plan)
    drawing = _drawn_on_half(matter) or _on_one_page(_drawing(matter, (A4,)), matter)
    paper = drawing.view.paper
    size = (paper.width, paper.height)
    title, about = _title(matter), f"{'. '.join(_about(matter))}."
    definitions = element("defs", hatch(HATCH, 2.0, 0.2))
    pages = _pages(drawing, matter)
    return [(document([definitions, *marks], size, title, about), size) for marks in pages]


def _drawn_on_half(matter: Matter) -> Drawing | None:
    """Return the drawing on half a page, None where it would be crowded."""
    if len(matter.cut) > _FEW:
        return None
    drawing = drawn(matter, view_of(matter.laid, matter.job.units, HALF))
    roomy = drawing.share_named == 1 and len(_pages(drawing, matter)) == 1
    return drawing if roomy else None


def _on_one_page(drawing: Drawing, matter: Matter) -> Drawing:
    """Return the drawing a little smaller, where its lists then fit below it on the same page."""
    view = drawing.view
    for ratio in SCALES:
        if view.ratio < ratio <= _SMALLER * view.ratio and len(_pages(drawing, matter)) > 1:
            smaller = drawn(matter, replace(view, ratio=ratio))
            named = smaller.share_named >= min(_NAMED, drawing.share_named)
            if named and len(_pages(smaller, matter)) == 1:
                return smaller
    return drawing


def _drawing(matter: Matter, papers: Sequence[tuple[Paper, ...]] = (A4, A3)) -> Drawing:
    """Return the drawing on the smallest paper that leaves most pieces room for their names."""
    drawings = []
    for size in papers:
        drawings.append(drawn(matter, view_of(matter.laid, matter.job.units, size)))
        if drawings[-1].share_named >= _NAMED:
            return drawings[-1]
    return max(drawings, key=lambda drawing: drawing.share_named)


def _sheet(drawing: Drawing, matter: Matter) -> str:
    paper = drawing.view.paper
    marks = [element("defs", hatch(HATCH, 2.0, 0.2))]
    pages = _pages(drawing, matter)
    for number, (*drawn_marks, last) in enumerate(pages):
        marks += [*drawn_marks, moved(last, 0, number * paper.height)]
    size = (paper.width, paper.height * len(pages))
    return document(marks, size, _title(matter), f"{'. '.join(_about(matter))}.")


def _pages(drawing: Drawing, matter: Matter) -> list[list[str]]:
    """Return the marks page by page; only the first has more than one."""
    view = drawing.view
    paper = view.paper
    below = view.corner[1] + view.height + RIM[view.units]
    first = paper.height - EDGE - 5 - below - 8
    lists_paged = paged(list(lists(drawing, matter)), first, paper.height - 2 * EDGE - 5)
    title = _title(matter)
    pages = [
        [
            heading(title, list(_about(matter)), paper),
            *drawing.marks,
            scale_bar(view, below + 1),
            stacked(lists_paged[0], EDGE, below + 9),
        ]
    ]
    pages += [[] for _ in lists_paged[1:]]
    for number, (marks, rows) in enumerate(zip(pages, lists_paged, strict=True)):
        page = "" if number == 0 else stacked(rows, EDGE, EDGE)
        foot = f"{title} · page {number + 1} of {len(pages)} · cutopt {VERSION}"
        marks.append(page + text(foot, (EDGE, paper.height - EDGE + 1), 2.2))
    return pages


def _title(matter: Matter) -> str:
    title = matter.surface.title or matter.surface.kind
    return plain(f"{matter.laid.mark} · {title}")


def _about(matter: Matter) -> Iterator[str]:
    """Yield what stands below the title: where, how it is laid, how much it takes."""
    job, surface = matter.job, matter.surface
    room = job.rooms[int(matter.laid.place.split("/")[2])]
    yield " · ".join(plain(words) for words in (job.title, room.name) if words)
    tile = job.tile_of(surface)
    size = size_text(tile.width, tile.height, job.units)
    bond, joint = _bond(surface.bond), show_length(surface.joint, job.units)
    yield plain(f"{tile.id} {size}, {bond}, joint {joint}: {summary(matter)}")


def _bond(bond: Bond) -> str:
    words = bond.kind if bond.offset is None else f"{bond.kind} bond, offset {bond.offset}"
    if bond.along == "columns":
        words += ", in columns"
    return f"{words}, turned by {float(bond.angle):g}°" if bond.angle else words
