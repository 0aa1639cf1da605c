"""Tiles that pieces may choose from: what a plan claims of all of them at once."""

from collections.abc import Iterator
from decimal import Decimal

from cutopt.check.known import Known
from cutopt.documents import Plan, Together
from cutopt.errors import Fault, shown


def faults_of_together(plan: Plan, known: Known) -> Iterator[Fault]:
    """Yield what is wrong with the claims; the totals of single tiles are right."""
    groups = _groups(known)
    for index, claim in enumerate(plan.together or ()):
        place = f"/together/{index}"
        if frozenset(claim.tiles) not in groups or len(set(claim.tiles)) < len(claim.tiles):
            rule = "these are not the tiles that some pieces may choose from"
            yield Fault(f"{place}/tiles", shown(", ".join(claim.tiles)), rule)
        elif claim.objective != known.objective:
            rule = f"the request asks for the least {known.objective}"
            yield Fault(f"{place}/objective", shown(claim.objective), rule)
        else:
            yield from _faults_of_claim(place, claim, plan, known)


def _faults_of_claim(place: str, claim: Together, plan: Plan, known: Known) -> Iterator[Fault]:
    counts = {total.tile: total.tiles_needed for total in plan.totals}
    needed = sum(
        (
            counts.get(name, 0) * (_price(known, name) if claim.objective == "cost" else 1)
            for name in claim.tiles
        ),
        Decimal(0),
    )
    if claim.needed != needed:
        yield Fault(f"{place}/needed", str(claim.needed), f"this comes to {needed}")
    elif claim.lower_bound > needed:
        rule = f"a bound is at most the {needed} needed"
        yield Fault(f"{place}/lower_bound", str(claim.lower_bound), rule)
    elif claim.proven_minimal != (claim.lower_bound == needed):
        rule = f"true exactly when the bound, {claim.lower_bound}, is the {needed} needed"
        yield Fault(f"{place}/proven_minimal", str(claim.proven_minimal).lower(), rule)


def _price(known: Known, name: str) -> Decimal:
    return known.tiles[name].price or Decimal(0)


def _groups(known: Known) -> set[frozenset[str]]:
    """Return the sets of tiles that pieces tie together."""
    of = {name: frozenset([name]) for name in known.tiles}
    for piece in known.pieces.values():
        if piece.tiles:
            tied = frozenset[str]().union(*(of[name] for name in piece.tiles))
            of.update(dict.fromkeys(tied, tied))
    return set(of.values())
