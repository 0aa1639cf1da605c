"""The bundle: order list, elevations, cut sheets, cut list and labels as one PDF."""

from collections.abc import Iterator, Sequence
from typing import Any

from cutopt.documents import Piece, Plan, Request, Tile, Total
from cutopt.documents.sequence import Sequence as CutOrder
from cutopt.documents.sequence import Step
from cutopt.papers.codes import code_of
from cutopt.papers.labels import GRIDS, Label, labels_of
from cutopt.papers.press import TYPST_PAPER, printed
from cutopt.papers.press import Paper as Paper
from cutopt.reports import CAUTIONS, draw_cut_sheets
from cutopt.reports.cautions import NO_RESERVE
from cutopt.reports.saw_steps import (
    CONVENTIONS,
    facts_of,
    made_text,
    step_text,
    tile_number,
)
from cutopt.reports.words import counted, money, number_text, plain, size_text
from cutopt.units import Units

#: A page of an elevation as SVG, with its size in millimetres.
Elevation = tuple[str, tuple[float, float]]

_SHEET = (210.0, 297.0)


def print_bundle(
    request: Request,
    plan: Plan,
    order: CutOrder,
    elevations: Sequence[Elevation] = (),
    paper: Paper = "a4",
    link: str | None = None,
) -> bytes:
    """Return the papers of a plan that has passed the check, as a PDF; the same bytes every time.

    Parameters
    ----------
    request, plan : Request, Plan
        What is cut, and how.
    order : Sequence
        The cut order of the plan.
    elevations : sequence of (str, (float, float))
        Pages of elevations as `cutopt.reports` draws them, with their sizes.
    paper : str
        `a4` or `letter`.
    link : str, optional
        What comes before the name of a piece in the address that opens it on a phone. With it
        every label bears a code.
    """
    labels = labels_of(request, plan)
    drawings: dict[str, bytes] = {}
    pages = [*elevations, *((svg, _SHEET) for svg in draw_cut_sheets(request, plan))]
    for number, (svg, _) in enumerate(pages):
        drawings[f"page-{number}.svg"] = svg.encode()
    names = list(dict.fromkeys(label.name for label in labels)) if link else []
    for number, name in enumerate(names):
        drawings[f"code-{number}.svg"] = code_of(f"{link}", name)
    data = {
        "paper": TYPST_PAPER[paper],
        "title": plain(plan.title or request.title or "Cut plan"),
        "made_by": plain(plan.made_by or ""),
        "tiles": list(_tiles(request, plan)),
        "facts": [list(fact) for fact in facts_of(order)],
        "units": plan.units,
        "conventions": CONVENTIONS,
        "cautions": [caution.full for caution in CAUTIONS],
        "no_reserve": NO_RESERVE,
        "pages": [{"width": size[0], "height": size[1]} for _, size in pages],
        "rows": [_row(step, plan.units) for step in order.steps],
        "labels": [_label(label, names, plan.units) for label in labels],
        "grid": GRIDS[paper],
    }
    return printed("bundle.typ", data, drawings)


def _tiles(request: Request, plan: Plan) -> Iterator[dict[str, Any]]:
    tiles = {tile.id: tile for tile in request.tiles}
    for total in plan.totals:
        tile = tiles[total.tile]
        yield {
            "name": plain(tile.id),
            "size": f"{size_text(tile.width, tile.height, plan.units)} {plan.units}",
            "needed": f"{total.tiles_needed:,}",
            "rows": list(_rows(tile, total)),
        }


def _rows(tile: Tile, total: Total) -> Iterator[tuple[str, str]]:
    yield "laid whole", f"{total.full_tiles:,}"
    yield "cut", f"{total.cut_tiles:,}"
    if total.offcuts_used:
        yield "offcuts used", f"{total.offcuts_used:,}"
    if total.boxes is not None and tile.per_box is not None:
        yield "boxes", f"{total.boxes:,}, each of {counted(tile.per_box, 'tile')}"
    if total.cost is not None:
        yield "price", money(total.cost)
    proven = "no fewer will do" if total.proven_minimal else f"at least {total.lower_bound:,}"
    yield "proof", proven


def _row(step: Step, units: Units) -> dict[str, Any]:
    return {
        "number": str(step.number),
        "sets": step.sets_fence,
        "fence": "" if step.setting is None else number_text(step.setting, units),
        "guide": "by the mark" if step.guide == "mark" else "no fence",
        "tile": tile_number(step),
        "stock": "" if step.stock == "new" else f"offcut {plain(step.stock)}",
        "words": step_text(step, units),
        "labels": [plain(made.piece or "") for made in step.makes if made.becomes == "piece"],
        "rest": [made_text(made, units) for made in step.makes if made.becomes != "piece"],
    }


def _label(label: Label, names: Sequence[str], units: Units) -> dict[str, Any]:
    piece: Piece = label.piece
    return {
        "name": plain(label.name),
        "size": size_text(piece.width, piece.height, units),
        "units": units,
        "from": f"tile {label.cut_tile}",
        "edges": list(piece.factory_edges),
        "of": counted(label.of, "piece") if label.of > 1 else "",
        "code": names.index(label.name) if names else -1,
    }
