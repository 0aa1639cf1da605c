"""The bundle: order list, elevations, cut sheets, cut list and labels as one PDF."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import unescape
from typing import Any

from cutopt.documents import Piece, Plan, Request, Tile, Total
from cutopt.documents.order import Order, TileOrder
from cutopt.documents.sequence import Sequence as CutOrder
from cutopt.documents.sequence import Step
from cutopt.papers.codes import code_of
from cutopt.papers.labels import GRIDS, Label, labels_of
from cutopt.papers.press import TYPST_PAPER, printed
from cutopt.papers.press import Paper as Paper
from cutopt.reports import CAUTIONS, draw_cut_sheets
from cutopt.reports.cautions import NO_RESERVE
from cutopt.reports.order_text import tile_rows
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

_SHEET, _HALF = (210.0, 297.0), (210.0, 148.5)
#: Said beside a reserve.
ASSUMED = (
    "The reserve rests on how likely pieces break, which is assumed where nobody said it (common "
    "practice, no source)."
)


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
    return Bundle(request, plan, order, tuple(elevations), paper, link).printed()


@dataclass(frozen=True)
class Bundle:
    """What is printed; with `bought`, the first page says what to buy with its reserve."""

    request: Request
    plan: Plan
    order: CutOrder
    elevations: tuple[Elevation, ...] = ()
    paper: Paper = "a4"
    link: str | None = None
    bought: Order | None = None

    def printed(self) -> bytes:
        """Return the PDF; see `print_bundle`."""
        request, plan = self.request, self.plan
        labels = labels_of(request, plan)
        pages = [*self.elevations, *((svg, _SHEET) for svg in draw_cut_sheets(request, plan))]
        names = list(dict.fromkeys(label.name for label in labels)) if self.link else []
        data = {
            "paper": TYPST_PAPER[self.paper],
            "title": plain(plan.title or request.title or "Cut plan"),
            "made_by": plain(plan.made_by or ""),
            "tiles": list(_tiles(request, plan, self.bought)),
            "facts": [list(fact) for fact in facts_of(self.order)],
            "units": plan.units,
            "conventions": CONVENTIONS,
            "cautions": [caution.full for caution in CAUTIONS],
            "reserve": NO_RESERVE if self.bought is None else ASSUMED,
            "pages": list(_pages(pages)),
            "rows": [_row(step, plan.units) for step in self.order.steps],
            "labels": [_label(label, names, plan.units) for label in labels],
            "grid": GRIDS[self.paper],
        }
        drawings = {f"page-{at}.svg": svg.encode() for at, (svg, _) in enumerate(pages)}
        for at, name in enumerate(names):
            drawings[f"code-{at}.svg"] = code_of(f"{self.link}", name)
        return printed("bundle.typ", data, drawings)


def _pages(drawn: Sequence[Elevation]) -> Iterator[dict[str, Any]]:
    """Yield the pages; two drawings of half a page one after the other share one."""
    at = 0
    while at < len(drawn):
        (width, height), size = drawn[at][1], drawn[at][1]
        share = 2 if size == _HALF and [one[1] for one in drawn[at : at + 2]] == [_HALF] * 2 else 1
        parts = [
            {"number": number, "title": _title_of(drawn[number][0])}
            for number in range(at, at + share)
        ]
        whole = _SHEET[1] if size == _HALF else height
        yield {"width": width, "whole": whole, "height": height, "parts": parts}
        at += share


def _title_of(svg: str) -> str:
    """Return the title of a drawing, for those who hear the papers."""
    found = re.search(r"<title[^>]*>(.*?)</title>", svg, re.DOTALL)
    return unescape(found[1]) if found else "drawing"


def _tiles(request: Request, plan: Plan, bought: Order | None) -> Iterator[dict[str, Any]]:
    tiles = {tile.id: tile for tile in request.tiles}
    orders = {one.tile: one for one in bought.tiles} if bought else {}
    for total in plan.totals:
        tile, mine = tiles[total.tile], orders.get(total.tile)
        boxes = mine.boxes if mine else None
        number = boxes or (mine.tiles_bought if mine else total.tiles_needed)
        yield {
            "name": plain(tile.id),
            "size": f"{size_text(tile.width, tile.height, plan.units)} {plan.units}",
            "needed": f"{number:,}",
            "unit": ("box" if number == 1 else "boxes") if boxes else "tiles",
            "rows": [*_counts(total), *(_bought(mine) if mine else _bare(tile, total))],
        }


def _counts(total: Total) -> Iterator[tuple[str, str]]:
    proven = "no fewer will do" if total.proven_minimal else f"at least {total.lower_bound:,}"
    if total.chosen:
        proven = "least together with others"
    yield "by the plan", f"{counted(total.tiles_needed, 'tile')}; {proven}"
    yield "laid whole", f"{total.full_tiles:,}"
    yield "cut", f"{total.cut_tiles:,}"
    if total.offcuts_used:
        yield "offcuts used", f"{total.offcuts_used:,}"


def _bought(order: TileOrder) -> Iterator[tuple[str, str]]:
    kept = ("reserve", "keep", "buy", "cost")
    yield from ((name, words) for name, words in tile_rows(order) if name in kept)


def _bare(tile: Tile, total: Total) -> Iterator[tuple[str, str]]:
    """Yield what the tiles of the plan alone come to."""
    if total.boxes is not None and tile.per_box is not None:
        yield "boxes", f"{total.boxes:,}, each of {counted(tile.per_box, 'tile')}"
    if total.cost is not None:
        yield "price", money(total.cost)


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
