"""The cut list: a table with one row for each piece on each cut tile, as CSV (RFC 4180)."""

import csv
import io
from collections.abc import Iterator, Sequence

from cutopt.documents import CutTile, Piece, Placement, Plan, Request
from cutopt.reports.shapes import remarks_of, shape_of
from cutopt.reports.words import NO_BREAK, plain
from cutopt.units import Units, to_json

COLUMNS = (
    "cut tile",
    "times",
    "tile",
    "stock",
    "piece",
    "width",
    "height",
    "units",
    "turn",
    "factory edges",
    "remarks",
)
#: What begins so, or with its full-width form, is a formula to some spreadsheet, or looks like
#: a cell that was guarded.
_STEERS = tuple("=+-@'\uff1d\uff0b\uff0d\uff20")
GUARD = "'"


def write_cut_list(request: Request, plan: Plan) -> str:
    """Return the cut list of a plan that has passed the check.

    Sizes, factory edges and remarks are those of the piece as it hangs; `turn` says how it
    lies on the tile. Lengths are decimals without loss, in the units that the row names: the
    document's, or mm where these would need rounding. Text that a spreadsheet could take for
    a formula, or that begins with an apostrophe, begins with one more apostrophe.
    """
    pieces = {piece.id: piece for piece in request.pieces}
    table = io.StringIO(newline="")
    rows = csv.writer(table, lineterminator="\r\n")
    rows.writerow(COLUMNS)
    for cut_tile in plan.cut_tiles:
        for placement in cut_tile.placements:
            rows.writerow(_row(cut_tile, placement, pieces[placement.piece], plan.units))
    return table.getvalue()


def _row(
    cut_tile: CutTile, placement: Placement, piece: Piece, units: Units
) -> Iterator[str | int | float]:
    yield cut_tile.number
    yield cut_tile.count
    yield from map(guarded, (cut_tile.tile, cut_tile.stock, piece.id))
    (width, height), unit = in_one_unit((piece.width, piece.height), units)
    yield from (width, height, unit)
    yield placement.turn
    yield " ".join(piece.factory_edges)
    yield "; ".join(remarks_of(shape_of(piece), units, exact=True)).replace(NO_BREAK, " ")


def in_one_unit(lengths: Sequence[int], units: Units) -> tuple[list[int | float | str], Units]:
    """Return lengths as exact numbers: in the units, or in mm where these would need rounding."""
    found = [to_json(length, units) for length in lengths]
    if any(isinstance(number, str) for number in found):
        return [to_json(length, "mm") for length in lengths], "mm"
    return found, units


def guarded(text: str) -> str:
    """Return text that no spreadsheet takes for a formula."""
    text = plain(text)
    return GUARD + text if text.lstrip().startswith(_STEERS) else text
