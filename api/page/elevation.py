"""A surface drawn for the screen: the elevation of the reports without its paper around it."""

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from cutopt.documents import Job, Plan, parse_json
from cutopt.formats import taken_off
from cutopt.layout import Finding, LaidSurface, TakeOff
from cutopt.reports.surface.drawing import drawn, matter_of
from cutopt.reports.surface.parts import HATCH
from cutopt.reports.surface.view import RIM, Paper, view_of
from cutopt.reports.svg import INK, element, figure, hatch
from cutopt.reports.words import plain

#: As small as leaves most names legible on a phone held across.
_SCREEN = (Paper("the screen", 170, 240),)


@dataclass(frozen=True)
class Picture:
    """A surface drawn, and in words what its numbers stand for.

    `pieces` are those too small for their name: the number on the drawing, or none, and words;
    `findings` are what to mind, each with the number that stands at its pieces.
    """

    mark: str
    title: str
    drawing: str
    pieces: tuple[tuple[str, str], ...]
    findings: tuple[tuple[int, str], ...]


def draw_bare(job: Job, found: TakeOff, surface: LaidSurface, plan: Plan | None = None) -> Picture:
    """Return a surface to stand within a page."""
    matter = matter_of(job, found, surface, plan)
    view = view_of(surface, job.units, _SCREEN)
    picture = drawn(matter, view)
    rim = RIM[job.units]
    left, top = view.corner[0] - rim, view.corner[1] - rim
    width, height = view.width + 2 * rim, view.height + 2 * rim
    own = f"{HATCH}-{surface.mark}"
    marks = "".join([element("defs", hatch(own, 2.0, 0.2)), *picture.marks])
    title = plain(matter.surface.title or matter.surface.kind)
    drawing = element(
        "svg",
        re.sub(rf"url\(#{HATCH}\)", f"url(#{own})", marks),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=" ".join(map(figure, (left, top, width, height))),
        role="img",
        aria_label=f"Elevation of {surface.mark}, {title}",
        font_family="sans-serif",
        fill=INK,
    )
    pieces = ((one.number, f"{one.label}, {one.words}") for one in picture.names.listed)
    findings = ((one.flag.number, _finding(one.finding)) for one in picture.found)
    return Picture(surface.mark, title, drawing, tuple(pieces), tuple(findings))


def _finding(finding: Finding) -> str:
    labels = ", ".join(finding.labels[:6]) + (" …" if len(finding.labels) > 6 else "")
    where = f"{labels}: " if labels else ""
    return f"{where}{finding.value} – {finding.rule} ({finding.source})"


@dataclass(frozen=True)
class Shown:
    """What of a job is shown on its drawings: where pieces come from, which are there, which one.

    `there` says how many of each piece are cut out; `piece` is the one that somebody looks for.
    """

    plan: Plan | None = None
    there: Mapping[str, int] = field(default_factory=dict)
    piece: str | None = None


def drawings(document: str, shown: Shown) -> list[Picture]:
    """Return every surface of a job with its drawing; none for a bare list of pieces."""
    data = parse_json(document)
    found = taken_off(data)
    if not found.surfaces:
        return []
    job = Job.of(data)
    pictures = (draw_bare(job, found, one, shown.plan) for one in found.surfaces)
    return [
        replace(picture, drawing=_marked(picture.drawing, one, shown))
        for picture, one in zip(pictures, found.surfaces, strict=True)
    ]


def _marked(drawing: str, surface: LaidSurface, shown: Shown) -> str:
    """Return a drawing on which the pieces that are there, and the one looked for, stand out."""
    entries = {piece.label: piece.entry for piece in surface.cut}
    left = Counter(shown.there)

    def mark(found: re.Match[str]) -> str:
        entry = entries.get(found[1], "")
        classes = ["cut"]
        if left[entry] > 0:
            left[entry] -= 1
            classes.append("there")
        if shown.piece in (entry, found[1]):
            classes.append("shown")
        return f'class="{" ".join(classes)}"><title>{found[1]}:'

    return re.sub(r'class="cut"><title>([^:<]+):', mark, drawing)
