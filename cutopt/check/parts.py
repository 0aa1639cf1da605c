"""What the replayed cuts leave, compared with the placements and leftovers that a plan names."""

from collections.abc import Iterator, Sequence

from cutopt.check.corners import is_clear
from cutopt.check.known import Known, Laid, Stock, figure
from cutopt.check.replay import Bench, Lying
from cutopt.documents import CutTile, Leftover
from cutopt.errors import Fault, shown
from cutopt.plane import Rect, edges


def faults_of_replay(
    cut_tile: CutTile, laid: Sequence[Laid], stock: Stock, known: Known
) -> Iterator[Fault]:
    """Yield what is wrong with a cut tile whose cuts are given."""
    bench = Bench(stock.face, known, known.kerf_of(cut_tile))
    stuck = bench.replay(cut_tile.cuts or ())
    if stuck is not None:
        yield stuck
        return
    parts = _Parts(bench, cut_tile, known)
    for piece in laid:
        yield from parts.faults_of_piece(piece)
    for number, leftover in enumerate(cut_tile.leftovers):
        yield from parts.faults_of_leftover(f"/leftovers/{number}", leftover, stock)
    yield from parts.faults_of_rest()


class _Parts:
    """The final parts, each to be used once."""

    def __init__(self, bench: Bench, cut_tile: CutTile, known: Known) -> None:
        self.bench = bench
        self.cut_tile = cut_tile
        self.known = known
        self.used: dict[int, str] = {}

    def faults_of_piece(self, laid: Laid) -> Iterator[Fault]:
        place = f"/placements/{laid.number}"
        number = self.cut_tile.placements[laid.number].part
        if number is None:
            yield Fault(f"{place}/part", "nothing", "where cuts are listed, each piece has a part")
            return
        part = self._take(number, place)
        if isinstance(part, Fault):
            yield part
            return
        if part.slants:
            yield from self._beyond(place, laid, part, number)
        else:
            yield from self._differences(place, laid.box, part.rect, number)
        if part.slants or laid.box == part.rect:
            yield from self._uncut(place, laid, part)
        for notch in part.notches:
            if laid.outline is None or not is_clear(notch.rect, laid.outline):
                rule = f"this notch takes away from piece {shown(laid.piece.id)}"
                yield Fault(f"/cuts/{notch.cut}", f"notch in part {figure(number)}", rule)

    def faults_of_leftover(self, place: str, leftover: Leftover, stock: Stock) -> Iterator[Fault]:
        part = self._take(leftover.part, place)
        if isinstance(part, Fault):
            yield part
            return
        if part.notches:
            yield Fault(
                f"{place}/part", f"part {figure(leftover.part)}", "a part with a notch is no offcut"
            )
        if part.slants:
            rule = "a part that a slanted cut ran through is no offcut"
            yield Fault(f"{place}/part", f"part {figure(leftover.part)}", rule)
        rect = Rect(leftover.x, leftover.y, leftover.width, leftover.height)
        yield from self._differences(place, rect, part.rect, leftover.part)
        found = stock.edges_of(part.rect)
        if found != set(leftover.factory_edges):
            yield Fault(
                f"{place}/factory_edges",
                ", ".join(leftover.factory_edges) or "none",
                f"its factory edges are {', '.join(sorted(found)) or 'none'}",
            )

    def faults_of_rest(self) -> Iterator[Fault]:
        """Yield the notches in parts that become no piece."""
        for number, part in self.bench.parts.items():
            if part.notches and number not in self.used:
                yield Fault(
                    f"/cuts/{part.notches[-1].cut}",
                    f"notch in part {figure(number)}",
                    "a notch is cut into a part that becomes a piece",
                )

    def _take(self, number: int, place: str) -> Lying | Fault:
        part, place = self.bench.parts.get(number), f"{place}/part"
        if part is None:
            return self.bench.lost(place, number)
        if number in self.used:
            rule = f"each part is used once; this one at {self.used[number]} as well"
            return Fault(place, f"part {figure(number)}", rule)
        self.used[number] = place
        return part

    def _beyond(self, place: str, laid: Laid, part: Lying, number: int) -> Iterator[Fault]:
        """Yield the first corner of a piece that lies outside a part with slanted edges."""
        for corner in laid.corners:
            if not part.reaches(corner, self.bench.kerf):
                value = f"the corner {self.known.show(*corner)} of piece {shown(laid.piece.id)}"
                yield Fault(place, value, f"part {figure(number)} does not reach there")
                return

    def _uncut(self, place: str, laid: Laid, part: Lying) -> Iterator[Fault]:
        """Yield the edges that straight cuts should have made and did not."""
        show = self.known.show
        for edge in edges(laid.hull):
            if not part.has_made(edge, self.bench.kerf):
                rule = f"the edge from {show(*edge[0])} to {show(*edge[1])} has not been cut"
                yield Fault(place, f"piece {shown(laid.piece.id)}", rule)

    def _differences(self, place: str, claimed: Rect, rect: Rect, number: int) -> Iterator[Fault]:
        """Yield where a rectangle lies elsewhere than its part, or else that the size differs."""
        show = self.known.show
        elsewhere = False
        for axis, given, found in (("x", claimed.x, rect.x), ("y", claimed.y, rect.y)):
            if given != found:
                elsewhere = True
                yield Fault(
                    f"{place}/{axis}", show(given), f"part {figure(number)} lies at {show(found)}"
                )
        if not elsewhere and claimed != rect:
            yield Fault(
                place,
                f"{show(claimed.width)} x {show(claimed.height)}",
                f"part {figure(number)} measures {show(rect.width)} x {show(rect.height)}",
            )
