"""What a new plan comes to, in words: what is left, what it still takes, whether that is there."""

from collections.abc import Iterator, Sequence
from typing import Protocol

from cutopt.documents import Plan, Request
from cutopt.reports.words import columns_of, counted, plain, wrapped

WIDTH = 80


class Needed(Protocol):
    """How many tiles of one kind are still needed."""

    @property
    def tile(self) -> str:
        """Return the id of the tile."""

    @property
    def tiles(self) -> int:
        """Return how many new tiles are still opened."""

    @property
    def lower_bound(self) -> int:
        """Return below what no plan goes."""

    @property
    def in_hand(self) -> int | None:
        """Return how many are in hand, None when nobody counted."""


def write_still_needed(
    request: Request | None, plan: Plan | None, under_way: int, needs: Sequence[Needed]
) -> str:
    """Return the summary of a new plan as text, at most 80 columns wide."""
    lines: list[str] = []
    if under_way:
        words = f"First finish {counted(under_way, 'tile')} under way, as they were planned."
        lines += _filled(words)
    if request is None or plan is None:
        lines.append("Nothing else is left to be cut.")
    else:
        pieces = sum(piece.quantity for piece in request.pieces)
        ways = sum(one.count for one in plan.cut_tiles)
        words = f"Then to do: {counted(pieces, 'piece')}, {counted(ways, 'tile')} to cut up."
        lines += _filled(words)
    for need in needs:
        lines += _filled(_sentence(need))
    return "\n".join(lines) + "\n"


def _filled(text: str) -> Iterator[str]:
    yield from wrapped(text, WIDTH, columns_of)


def _sentence(need: Needed) -> str:
    name = f"Tile {plain(need.tile)}"
    proof = "no plan for what is left needs fewer"
    if need.lower_bound < need.tiles:
        proof = f"not proven: at least {need.lower_bound:,}"
    needed = f"{name}: {counted(need.tiles, 'new tile')} still needed ({proof})"
    if need.in_hand is None:
        return f"{needed}; nobody has counted those in hand."
    if need.tiles <= need.in_hand:
        return f"{needed}; {need.in_hand:,} in hand suffice, {need.in_hand - need.tiles:,} over."
    return (
        f"{needed}; {need.in_hand:,} in hand do NOT suffice: {need.tiles - need.in_hand:,} short."
    )
