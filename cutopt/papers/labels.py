"""Labels to stick on pieces: one for each piece that is cut, in the order of cut tiles."""

from dataclasses import dataclass

from cutopt.documents import Piece, Plan, Request
from cutopt.errors import Fault, InvalidInput

#: Labels beyond this are no help to anybody, and a heavy file.
MOST_LABELS = 5_000

#: Sheets of labels as sold: columns, rows, size, first corner and distance, in mm. 70 x 37 mm on
#: A4 and 2 5/8 x 1 in on Letter are common sizes (common practice, no source).
GRIDS: dict[str, dict[str, float]] = {
    "a4": {
        "columns": 3,
        "rows": 8,
        "width": 70.0,
        "height": 37.0,
        "left": 0.0,
        "top": 0.5,
        "across": 70.0,
    },
    "letter": {
        "columns": 3,
        "rows": 10,
        "width": 66.675,
        "height": 25.4,
        "left": 4.7625,
        "top": 12.7,
        "across": 69.85,
    },
}


@dataclass(frozen=True, slots=True)
class Label:
    """What is written on one piece: its name, the cut tile that it comes from, its entry."""

    name: str
    cut_tile: int
    piece: Piece
    of: int


def labels_of(request: Request, plan: Plan) -> list[Label]:
    """Return a label for every piece that is cut.

    Raises
    ------
    InvalidInput
        When there are more pieces than anybody would label.
    """
    pieces = {piece.id: piece for piece in request.pieces}
    count = sum(one.count * len(one.placements) for one in plan.cut_tiles)
    if count > MOST_LABELS:
        rule = f"labels are printed for at most {MOST_LABELS}"
        raise InvalidInput([Fault("/pieces", f"{count} pieces to cut", rule)])
    return [
        Label(placed.piece, one.number, piece, piece.quantity)
        for one in plan.cut_tiles
        for _ in range(one.count)
        for placed in one.placements
        for piece in [pieces[placed.piece]]
    ]
