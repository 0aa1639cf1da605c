"""When there are fewer tiles than the pieces need: how many are missing, and how sure that is."""

from collections.abc import Iterator, Sequence

from cutopt.documents import Request, Total
from cutopt.errors import CannotBeMet, Fault


def reject_shortage(request: Request, totals: Sequence[Total]) -> None:
    """Raise `CannotBeMet` naming every tile of which there are too few."""
    if faults := list(_shortages(request, totals)):
        raise CannotBeMet(faults)


def _shortages(request: Request, totals: Sequence[Total]) -> Iterator[Fault]:
    needed = {total.tile: total for total in totals}
    for number, tile in enumerate(request.tiles):
        total = needed.get(tile.id)
        if total and tile.available is not None and total.tiles_needed > tile.available:
            yield Fault(
                f"/tiles/{number}/available",
                f"{tile.available} of tile '{tile.id}'",
                missing(total.tiles_needed, total.lower_bound, tile.available),
            )


def missing(needed: int, least: int, available: int) -> str:
    """Return how many tiles are missing, and what of it is proven."""
    short = f"the pieces take {needed:,}, {needed - available:,} more than there are"
    if least == needed:
        return f"{short}; no plan takes fewer"
    if least > available:
        return f"{short}; no plan takes fewer than {least:,}"
    return f"{short} in the best plan found; that {available:,} do is not ruled out"
