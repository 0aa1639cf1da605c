"""Tiles that pieces may choose from: prices that prove what all of them cost at the least."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import gcd, lcm

from cutopt.check.bound.offers import looks_of, part_of
from cutopt.check.bound.verify import verdict_on
from cutopt.documents import (
    Certificate,
    JointCertificate,
    Plan,
    Request,
    Tile,
    Together,
    Total,
    is_full_tile,
)
from cutopt.errors import Fault, shown

#: A total that claims nothing, to hang prices on.
_NOTHING = Total(
    tile="any", tiles_needed=0, lower_bound=0, proven_minimal=True, full_tiles=0, cut_tiles=0
)


@dataclass(frozen=True)
class JointVerdict:
    """What is certain about the lower bound of tiles that are planned together.

    Attributes
    ----------
    tiles : tuple of str
    objective : {"tiles", "cost"}
    claimed : Decimal
        The plan's lower bound: new tiles, or what they cost.
    proven : Decimal or None
        What the certificate proves by this check; None when it proves nothing.
    fault : Fault or None
        Why the claim is not certified, with a place in the plan; None when it is.
    """

    tiles: tuple[str, ...]
    objective: str
    claimed: Decimal
    proven: Decimal | None
    fault: Fault | None


def check_together(request: Request, plan: Plan) -> tuple[JointVerdict, ...]:
    """Return what the certificates of tiles that are planned together prove.

    Parameters
    ----------
    request : Request
        What the plan is for.
    plan : Plan
        A plan that has passed `check_plan`; of it only `together` is looked at.
    """
    verdicts = []
    for index, claim in enumerate(plan.together or ()):
        verdict = _verdict_on(claim, request)
        if fault := verdict.fault:
            fault = replace(fault, place=f"/together/{index}{fault.place}")
        verdicts.append(replace(verdict, fault=fault))
    return tuple(verdicts)


def _verdict_on(claim: Together, request: Request) -> JointVerdict:
    verdict = JointVerdict(claim.tiles, claim.objective, claim.lower_bound, None, None)
    claimed = str(claim.lower_bound)
    if claim.certificate is None:
        rule = "not certified: the plan brings no prices that prove it"
        return replace(verdict, fault=Fault("/lower_bound", claimed, rule))
    proof = _JointProof(request, claim, claim.certificate)
    if fault := next(proof.faults(), None):
        return replace(verdict, fault=fault)
    proven = proof.proves
    exact = Decimal(proven.numerator) / Decimal(proven.denominator)
    verdict = replace(verdict, proven=exact)
    if proven < Fraction(claim.lower_bound):
        rule = f"not certified: the prices prove {exact}"
        return replace(verdict, fault=Fault("/lower_bound", claimed, rule))
    return verdict


class _JointProof:
    """One certificate of several tiles against the request."""

    def __init__(self, request: Request, claim: Together, certificate: JointCertificate) -> None:
        self.request = request
        self.certificate = certificate
        self.tiles = [tile for tile in request.tiles if tile.id in claim.tiles]
        self.pieces = [one for one in request.pieces if request.tiles_of(one)[0] in self.tiles]
        self.offcuts = [one for one in request.offcuts if request.tile_of(one) in self.tiles]
        counts = claim.objective == "tiles"
        self.costs = [Fraction(1) if counts else Fraction(one.price or 0) for one in self.tiles]

    @property
    def step(self) -> Fraction:
        """Return the largest amount of which every cost is a multiple."""
        parts = lcm(*(cost.denominator for cost in self.costs))
        return Fraction(gcd(*(int(cost * parts) for cost in self.costs)), parts)

    def faults(self) -> Iterator[Fault]:
        """Yield names that the request does not know, prices that are none, what is too dear."""
        yield from self._unknown("tiles", {tile.id for tile in self.tiles})
        yield from self._unknown("pieces", {piece.id for piece in self.pieces})
        yield from self._unknown("offcuts", {offcut.id for offcut in self.offcuts})
        for tile, cost in zip(self.tiles, self.costs, strict=True):
            if tile.available is None and self._worth(tile) > self._fair(cost):
                rule = f"any number of tile {shown(tile.id)} can be had: {self._fair(cost)} at most"
                yield Fault("/certificate/tiles", str(self._worth(tile)), rule)
            yield from self._too_dear(tile)

    def _unknown(self, field: str, known: set[str]) -> Iterator[Fault]:
        for name in getattr(self.certificate, field):
            if name not in known:
                rule = f"the request has no such {field[:-1]} of these tiles"
                yield Fault(f"/certificate/{field}", shown(name), rule)

    def _too_dear(self, tile: Tile) -> Iterator[Fault]:
        """Yield that more comes out of a tile, or of an offcut of it, than its price.

        It is looked at by itself: as if all pieces that may be cut from it were to be.
        """
        mine = [piece for piece in self.pieces if tile in self.request.tiles_of(piece)]
        only = [piece.model_copy(update={"tile": tile.id, "tiles": None}) for piece in mine]
        own = {one.id for one in self.offcuts if self.request.tile_of(one) is tile}
        names = {piece.id for piece in mine}
        given = self.certificate
        certificate = Certificate(
            scale=max(1, self._worth(tile)),
            proves=0,
            pieces={name: price for name, price in given.pieces.items() if name in names},
            offcuts={name: price for name, price in given.offcuts.items() if name in own},
        )
        total = _NOTHING.model_copy(update={"tile": tile.id, "certificate": certificate})
        verdict = verdict_on(total, self.request.model_copy(update={"pieces": tuple(only)}), tile)
        if verdict.fault and verdict.proven is None:
            yield verdict.fault

    def _worth(self, tile: Tile) -> int:
        return self.certificate.tiles.get(tile.id, 0)

    def _fair(self, cost: Fraction) -> Fraction:
        """Return what a tile is worth that costs so much."""
        return cost / self.step * self.certificate.scale

    @property
    def proves(self) -> Fraction:
        """Return the least cost at which new tiles, with all offcuts, are worth all pieces."""
        scale, prices = self.certificate.scale, self.certificate.pieces
        left = Fraction(sum(prices.get(one.id, 0) * one.quantity for one in self.pieces))
        given = self.certificate.offcuts
        left -= sum(given.get(one.id, 0) * one.quantity for one in self.offcuts)
        straight = Fraction(0)
        for tile, cost in zip(self.tiles, self.costs, strict=True):
            full = self._straight(tile)
            straight += full * cost
            more = max(Fraction(0), max(1, self._worth(tile)) - self._fair(cost))
            left -= max(0, (tile.available or 0) - full) * more
        return straight + max(0, -(-left // scale)) * self.step

    def _straight(self, tile: Tile) -> int:
        """Return how many full tiles bear no price, have no choice and can be no offcut."""
        parts = [part_of(one) for one in self.offcuts if self.request.tile_of(one) is tile]
        return sum(
            piece.quantity
            for piece in self.pieces
            if piece.id not in self.certificate.pieces
            and self.request.tiles_of(piece) == (tile,)
            and is_full_tile(piece, tile)
            and not any(part.holds(look) for part in parts for look in looks_of(piece, tile))
        )
