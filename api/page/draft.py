"""A job on its way: read as it is typed, drawn, or faults field by field. Runs in a child."""

from dataclasses import dataclass, replace
from typing import Any

from api.page.elevation import Picture, draw_bare
from api.page.form import Form, faults_by_field, job_of, setup_tile
from cutopt.documents import Job, parse_json
from cutopt.errors import Fault, InvalidInput
from cutopt.exchange import Setup, read_outlines, read_table
from cutopt.formats import taken_off
from cutopt.layout import TakeOff
from cutopt.reports.words import counted, size_text

Json = dict[str, Any]
#: So many surfaces are drawn while somebody types.
_MOST_DRAWN = 24


@dataclass(frozen=True)
class Draft:
    """What a form comes to: the document and its drawings, or what is wrong."""

    faults: dict[str, list[str]]
    title: str = ""
    document: str = ""
    request: str = ""
    summary: str = ""
    surfaces: tuple[Picture, ...] = ()

    @property
    def is_good(self) -> bool:
        """Return whether it can be planned."""
        return not self.faults


def draft_by_hand(form: Form, drawn: bool) -> Draft:
    """Return what surfaces measured by hand come to."""
    try:
        return _draft(job_of(form), drawn)
    except InvalidInput as problem:
        return Draft(faults_by_field(problem.faults))


def draft_of_text(form: Form, drawn: bool) -> Draft:
    """Return what a list, a table, a drawing or a document comes to."""
    text = form.head["list"]
    try:
        return _draft(_data(form, text), drawn)
    except InvalidInput as problem:
        return Draft({**_tile_faults(problem.faults), **_text_faults(problem.faults)})
    except ValueError as problem:
        return Draft({"tile_width": [str(problem)]})


def _data(form: Form, text: str) -> object:
    """Return the parsed document; what begins with a brace is JSON, other text a table or DXF."""
    if text.lstrip().startswith("{"):
        return parse_json(text)
    head = form.head
    setup = Setup(
        [setup_tile(form)],
        head["turn"],
        f"{head['kerf'] or 0} {form.units}",
        form.units,
        f"{head['joint']} {form.units}",
        head["title"] or None,
    )
    if "SECTION" in text[:200]:
        document, _ = read_outlines(text, setup, surfaces=head["outlines"] == "surfaces")
    else:
        document = read_table(text, setup)
    return parse_json(document.text())


def _tile_faults(faults: tuple[Fault, ...]) -> dict[str, list[str]]:
    mine = [fault for fault in faults if fault.place.startswith(("/tiles/0", "/saw"))]
    return faults_by_field(mine)


def _text_faults(faults: tuple[Fault, ...]) -> dict[str, list[str]]:
    others = [fault for fault in faults if not fault.place.startswith(("/tiles/0", "/saw"))]
    return {"list": [str(fault) for fault in others[:20]]} if others else {}


def _draft(data: object, drawn: bool) -> Draft:
    found = taken_off(data)
    job = Job.of(data) if found.surfaces else None
    document = (job or found.request).text()
    draft = Draft(
        faults={},
        title=found.request.title or "",
        document=document,
        request=found.request.text(),
        summary=_summary(found),
    )
    if job is None or not drawn:
        return draft
    surfaces = found.surfaces[:_MOST_DRAWN]
    pictures = tuple(draw_bare(job, found, one) for one in surfaces)
    return replace(draft, surfaces=pictures)


def _summary(found: TakeOff) -> str:
    request = found.request
    pieces = sum(piece.quantity for piece in request.pieces)
    if not found.surfaces:
        return f"{counted(pieces, 'piece')} in {counted(len(request.pieces), 'size')}"
    whole = sum(surface.full_tiles for surface in found.surfaces)
    tiles = ", ".join(size_text(one.width, one.height, request.units) for one in request.tiles)
    cut = counted(pieces - whole, "piece to cut", "pieces to cut")
    return f"{tiles}: {counted(whole, 'whole tile')}, {cut}"
