"""A certificate, verified: no tile is worth more than a tile, so all pieces take so many."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from cutopt.check.bound.area import ByArea, area_of_part
from cutopt.check.bound.nests import nests_of
from cutopt.check.bound.offers import Offer, Part, looks_of, offers_of, part_of
from cutopt.check.bound.table import Table, TooMuchToLookAt
from cutopt.check.bound.within import Group, Within
from cutopt.check.known import figure
from cutopt.documents import Certificate, Offcut, Request, Tile, Total, is_full_tile
from cutopt.errors import Fault, shown
from cutopt.units import show_length

_MOST_NAMED = 8


@dataclass(frozen=True)
class Verdict:
    """What is certain about the lower bound of one tile.

    Attributes
    ----------
    tile : str
    claimed : int
        The plan's lower bound.
    proven : int or None
        What the certificate proves by this check; None when it proves nothing.
    fault : Fault or None
        Why the claim is not certified, with a place that counts from the total; None when it is.
    """

    tile: str
    claimed: int
    proven: int | None
    fault: Fault | None


def verdict_on(total: Total, request: Request, tile: Tile) -> Verdict:
    """Return what is certain about the lower bound of one tile."""
    claimed, certificate = total.lower_bound, total.certificate
    if certificate is None:
        rule = "not certified: the plan brings no prices that prove it"
        return Verdict(tile.id, claimed, None, Fault("/lower_bound", figure(claimed), rule))
    proof = Proof(request, tile, certificate)
    fault = next(proof.faults(), None)
    if fault is not None:
        return Verdict(tile.id, claimed, None, fault)
    proven = proof.proves
    if proven != certificate.proves:
        rule = f"these prices prove {figure(proven)}"
        fault = Fault("/certificate/proves", figure(certificate.proves), rule)
    elif proven < claimed:
        rule = f"not certified: the prices prove {figure(proven)}{_for_any_saw(request, tile)}"
        fault = Fault("/lower_bound", figure(claimed), rule)
    return Verdict(tile.id, claimed, proven, fault)


def _for_any_saw(request: Request, tile: Tile) -> str:
    """Say that the prices leave out how far saw and snap cutter reach, where it is limited."""
    alone = request.snap_cutter is not None and request.snap_cutter.alone
    if tile.mosaic is not None or (request.saw.greatest_cut is None and not alone):
        return ""
    return ", with a saw that makes every cut; how far this one reaches is not in them"


class Proof:
    """One certificate against the request."""

    def __init__(self, request: Request, tile: Tile, certificate: Certificate) -> None:
        self.request = request
        self.tile = tile
        self.certificate = certificate
        self.pieces = [piece for piece in request.pieces if request.tiles_of(piece) == (tile,)]
        self.offcuts = [offcut for offcut in request.offcuts if request.tile_of(offcut) is tile]

    @property
    def proves(self) -> int:
        """Return the fewest new tiles whose price, with all offcuts, reaches that of all pieces."""
        prices, scale = self.certificate.pieces, self.certificate.scale
        wanted = sum(prices.get(piece.id, 0) * piece.quantity for piece in self.pieces)
        given = sum(
            self.certificate.offcuts.get(offcut.id, 0) * offcut.quantity for offcut in self.offcuts
        )
        return max(0, -(-(wanted + self._straight * scale - given) // scale))

    @property
    def _straight(self) -> int:
        """Return how many full tiles bear no price and can be no offcut: each is a whole tile."""
        parts = list(map(part_of, self.offcuts))
        return sum(
            piece.quantity
            for piece in self.pieces
            if piece.id not in self.certificate.pieces
            and is_full_tile(piece, self.tile)
            and not any(part.holds(look) for part in parts for look in looks_of(piece, self.tile))
        )

    def faults(self) -> Iterator[Fault]:
        """Yield the names that the request does not know, then what is worth too much."""
        yield from self._unknown("pieces", {piece.id for piece in self.pieces})
        yield from self._unknown("offcuts", {offcut.id for offcut in self.offcuts})
        yield from self.worth_too_much()

    def worth_too_much(self) -> Iterator[Fault]:
        """Yield what comes out of the tile, or of one of its offcuts, and is worth more."""
        offers = offers_of(self.request, self.tile, self.certificate.pieces)
        for part, limit, stock in self._stock():
            if fault := self._too_much(part, limit, stock, offers):
                yield fault

    def _unknown(self, field: str, known: set[str]) -> Iterator[Fault]:
        for name in getattr(self.certificate, field):
            if name not in known:
                rule = f"the request has no such {field[:-1]} of tile {shown(self.tile.id)}"
                yield Fault(f"/certificate/{field}", shown(name), rule)

    def _stock(self) -> Iterator[tuple[Part, int, Tile | Offcut]]:
        """Yield what may be cut up and its price; of offcuts alike the cheapest."""
        yield part_of(self.tile), self.certificate.scale, self.tile
        cheapest: dict[Part, tuple[int, Offcut]] = {}
        for offcut in self.offcuts:
            price = self.certificate.offcuts.get(offcut.id, 0)
            part = part_of(offcut)
            if part not in cheapest or price < cheapest[part][0]:
                cheapest[part] = price, offcut
        for part, (price, offcut) in cheapest.items():
            yield part, price, offcut

    def _too_much(
        self, part: Part, limit: int, stock: Tile | Offcut, offers: list[Offer]
    ) -> Fault | None:
        """Return that more comes out of a tile or offcut than its price, or that nobody knows."""
        kerf = self.request.kerf_of(self.tile.id)
        if not ByArea(offers, kerf, limit).reaches(limit + 1, area_of_part(part, kerf)):
            return None
        try:
            table = Table(part, offers, kerf, limit, nests_of(part, offers, kerf, limit))
            if table.of(table.whole) <= limit:
                return None
            found = Within(table, limit + 1).best()
            if found and not table.is_exact:
                raise TooMuchToLookAt
        except TooMuchToLookAt:
            rule = "not certified: there are too many ways of cutting to look at"
            return Fault("/certificate", f"{len(offers)} prices", rule)
        return found and self._worth_more(found, limit, stock, offers)

    def _worth_more(
        self, found: tuple[Group, int], limit: int, stock: Tile | Offcut, offers: list[Offer]
    ) -> Fault:
        group, worth = found
        names = [
            f"{many} x {shown(name)}"
            for number, times in Counter(group).items()
            for name, many in offers[number].named(times)
        ]
        value = ", ".join(names[:_MOST_NAMED]) + (", …" if len(names) > _MOST_NAMED else "")
        what = "an offcut" if isinstance(stock, Offcut) else "a tile"
        units = self.request.units
        size = f"{show_length(stock.width, units)} x {show_length(stock.height, units)}"
        rule = (
            f"these can be cut from {what} of {size} and are worth {figure(worth)} together, "
            f"more than its price of {figure(limit)}"
        )
        return Fault("/certificate", value, rule)
