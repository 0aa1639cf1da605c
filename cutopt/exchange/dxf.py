"""The pieces of each cut tile as a DXF drawing, for those who cut by water jet.

One drawing unit is one of the plan's units. Layers: STOCK the tile, PIECES the outlines, HOLES,
CUTS the saw's runs, LEFT_OVER, NAMES.
"""

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from cutopt.documents import CutTile, Piece, Plan, Request
from cutopt.errors import Fault, InvalidInput
from cutopt.plane import Rect
from cutopt.reports.bench import saw_runs
from cutopt.reports.laid import Laid, lay
from cutopt.reports.words import plain
from cutopt.units import INCH, MM, Units

LAYERS = ("STOCK", "PIECES", "HOLES", "CUTS", "LEFT_OVER", "NAMES")
_HIGH_NAMES = 12.0
_COLUMNS = 10
Spot = tuple[float, float]


def write_dxf(request: Request, plan: Plan, number: int | None = None) -> str:
    """Return a drawing of the cut tiles of a plan that has passed the check.

    Parameters
    ----------
    request, plan : Request, Plan
        What is cut, and how.
    number : int, optional
        The one cut tile to draw, its lower left corner on 0, 0; all of them side by side when
        left out.

    Raises
    ------
    InvalidInput
        When the plan has no cut tile of this number.
    """
    chosen = [one for one in plan.cut_tiles if number in (None, one.number)]
    if not chosen and number is not None:
        raise InvalidInput([Fault("/cut_tiles", str(number), "the plan has no such cut tile")])
    drawing = _Drawing(plan.units)
    pieces = {piece.id: piece for piece in request.pieces}
    for one, corner in zip(chosen, _corners(chosen), strict=True):
        drawing.add(one, pieces, corner, request.kerf_of(one.tile))
    return drawing.text()


def _corners(chosen: Sequence[CutTile]) -> Iterator[tuple[int, int]]:
    """Yield where each tile lies, in rows of ten, apart by half the largest."""
    across = max((one.width for one in chosen), default=0) * 3 // 2
    up = max((one.height for one in chosen), default=0) * 3 // 2
    for at in range(len(chosen)):
        yield at % _COLUMNS * across, -(at // _COLUMNS) * up


class _Drawing:
    """A drawing on its way to a file."""

    def __init__(self, units: Units) -> None:
        import ezdxf  # noqa: PLC0415 - more than half a second, needed here only

        self.unit = MM if units == "mm" else INCH
        with _without_times():
            found = ezdxf.new("R2010", units=4 if units == "mm" else 1)  # type: ignore[attr-defined]
        self.document: Any = found
        for number, layer in enumerate(LAYERS, start=1):
            self.document.layers.add(layer, color=number)
        self.space = self.document.modelspace()

    def add(
        self, one: CutTile, pieces: dict[str, Piece], corner: tuple[int, int], kerf: int
    ) -> None:
        """Draw a cut tile with its lower left corner at a place."""

        def spot(point: tuple[float, float]) -> Spot:
            return (point[0] + corner[0]) / self.unit, (point[1] + corner[1]) / self.unit

        def closed(points: Sequence[tuple[float, float]], layer: str) -> None:
            spots = [spot(point) for point in points]
            self.space.add_lwpolyline(spots, close=True, dxfattribs={"layer": layer})

        closed(Rect(0, 0, one.width, one.height).corners, "STOCK")
        for left in one.leftovers:
            closed(Rect(left.x, left.y, left.width, left.height).corners, "LEFT_OVER")
        for sawn in saw_runs(one, kerf):
            for run in sawn.runs:
                ends = spot(run.start), spot(run.end)
                self.space.add_line(*ends, dxfattribs={"layer": "CUTS"})
        for placed in one.placements:
            laid = lay(placed, pieces[placed.piece])
            closed(laid.outline, "PIECES")
            self._holes(laid, spot, closed)
            self._name(laid.piece.id, spot((laid.box.x, laid.box.y)))
        times = f" x {one.count}" if one.count > 1 else ""
        self._name(f"tile {one.number}{times}", spot((0, one.height)))

    def _holes(self, laid: Laid, spot: Any, closed: Any) -> None:
        for hole in laid.shape.rounds:
            centre = spot(laid.on_tile((hole.x, hole.y)))
            radius = hole.diameter / 2 / self.unit
            self.space.add_circle(centre, radius, dxfattribs={"layer": "HOLES"})
        for cutout in laid.shape.cutouts:
            closed([laid.on_tile(corner) for corner in cutout], "HOLES")

    def _name(self, words: str, spot: Spot) -> None:
        high = _HIGH_NAMES * MM / self.unit
        shift = high / 2
        self.space.add_text(
            plain(words),
            height=high,
            dxfattribs={"layer": "NAMES", "insert": (spot[0] + shift, spot[1] + shift)},
        )

    def text(self) -> str:
        """Return the file's text: the same every time, without times and random ids."""
        stream = io.StringIO()
        with _without_times():
            self.document.write(stream)
        return stream.getvalue()


@contextmanager
def _without_times() -> Iterator[None]:
    """Let ezdxf write neither times nor random ids, so that a plan gives the same file."""
    import ezdxf  # noqa: PLC0415

    options: Any = ezdxf.options  # type: ignore[attr-defined]
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
