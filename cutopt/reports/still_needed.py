"""What a new plan comes to, in words: what is left, what it still takes, whether that is there."""

from collections.abc import Iterator, Sequence
from typing import Protocol

from cutopt.documents import CutTile, Plan, Request
from cutopt.reports.words import columns_of, counted, plain, wrapped

WIDTH = 80
#: More than these are counted, not listed.
MOST_CHANGES = 20
ASSUMED = (
    "How likely pieces break is assumed where the request does not say it (common practice, no "
    "source)."
)


class Risky(Protocol):
    """How likely it is that tiles run short."""

    @property
    def short(self) -> float | None:
        """Return the chance, None when nobody counted the tiles in hand."""

    @property
    def low(self) -> float | None:
        """Return the lower end of its 95 % interval."""

    @property
    def high(self) -> float | None:
        """Return the upper end."""

    @property
    def level(self) -> float:
        """Return how sure it should be."""

    @property
    def reserve(self) -> int:
        """Return how many tiles more make it so sure."""


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

    @property
    def chance(self) -> Risky | None:
        """Return how likely it is that they run short."""


def write_still_needed(
    request: Request | None,
    plan: Plan | None,
    under_way: int,
    needs: Sequence[Needed],
    changed: Sequence[CutTile] = (),
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
    lines += _changes(changed)
    for need in needs:
        lines += _filled(f"{_sentence(need)}{_chance(need)}")
    if any(need.chance for need in needs):
        lines += _filled(ASSUMED)
    return "\n".join(lines) + "\n"


def _changes(changed: Sequence[CutTile]) -> Iterator[str]:
    """Yield the tiles that are cut otherwise than was planned before."""
    if changed:
        yield "Cut otherwise than was planned before:"
    for one in changed[:MOST_CHANGES]:
        stock = "a new tile" if one.stock == "new" else f"offcut {plain(one.stock)}"
        times = f", {one.count:,} times" if one.count > 1 else ""
        names = ", ".join(plain(placed.piece) for placed in one.placements)
        lines = wrapped(f"tile {one.number}, {stock}{times}: {names}", WIDTH - 4, columns_of)
        yield from (f"  {'  ' if at else ''}{line}" for at, line in enumerate(lines))
    if len(changed) > MOST_CHANGES:
        yield f"  and {len(changed) - MOST_CHANGES:,} more"


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


def _chance(need: Needed) -> str:
    """Return the chance of running short in words, and how many more tiles make it small."""
    chance = need.chance
    if chance is None:
        return ""
    level = f"{100 * chance.level:.4g} %"
    wanted = f"for {level} certainty have {chance.reserve:,} over"
    if chance.short is None:
        return f" As pieces may break, {wanted}."
    if need.in_hand is not None and need.tiles > need.in_hand:
        return f" As more may break, {wanted}."
    between = f"{_percent(chance.low or 0)} to {_percent(chance.high or 0)}"
    exact = chance.low == chance.high
    said = _percent(chance.short) + ("" if exact else f" (95 % interval {between})")
    return f" Pieces may still break: the chance to run short is {said}; {wanted}."


def _percent(share: float) -> str:
    """Return a share in words: two figures, or one digit behind the point."""
    if 0 < share < 0.0005:
        return "below 0.05 %"
    return f"{100 * share:.1f} %" if share < 0.1 else f"{100 * share:.0f} %"
