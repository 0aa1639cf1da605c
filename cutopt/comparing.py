"""Which tile format costs least on which surface: a job laid and planned in every combination."""

import copy
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import product
from typing import Any

from cutopt.documents import Plan, Request
from cutopt.errors import CannotBeMet, Fault, InvalidInput
from cutopt.formats import job_taken_off
from cutopt.pipeline import plan
from cutopt.stop import MaxSeconds

#: More combinations than this are refused: each is laid and planned.
MOST_COMBINATIONS = 64


@dataclass(frozen=True)
class Variant:
    """A job with a tile chosen for some surfaces.

    Attributes
    ----------
    tile_of : mapping of str to str
        The tile of each surface that had a choice.
    worth : Decimal or None
        What its new tiles cost, or how many there are where tiles have no price; None when the
        job cannot be planned so.
    least : Decimal
        No plan of this variant costs less.
    refused : tuple of Fault
        Why the job cannot be planned so.
    """

    tile_of: Mapping[str, str]
    plan: Plan | None = None
    worth: Decimal | None = None
    least: Decimal = Decimal(0)
    refused: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class Comparison:
    """All variants, the cheapest first, and what was compared: `cost` or `tiles`."""

    variants: tuple[Variant, ...]
    by: str

    @property
    def is_proven(self) -> bool:
        """Tell whether no plan of any other variant costs less than the first one's."""
        best = self.variants[0].worth
        others = (one for one in self.variants[1:] if one.worth is not None)
        return best is not None and all(best <= one.least for one in others)


def compared(
    data: Any, choices: Mapping[str, Sequence[str]], seconds: float, seed: int = 0
) -> Comparison:
    """Return a job planned with every combination of the tiles that its surfaces may have.

    Parameters
    ----------
    data : dict
        The job, as parsed JSON.
    choices : mapping of str to sequence of str
        For each surface to choose for, the tiles.
    seconds : float
        How long all searches may take together.

    Raises
    ------
    InvalidInput
        When the job itself is wrong, a surface does not exist, or there are too many combinations.
    """
    job_taken_off(data)
    reject_choices(data, choices)
    combinations = list(product(*choices.values()))
    stop = seconds / len(combinations)
    variants = [
        _variant(data, dict(zip(choices, names, strict=True)), stop, seed) for names in combinations
    ]
    by = "cost" if all(one.plan is None or _is_priced(one.plan) for one in variants) else "tiles"
    weighed = (_weighed(one, by) for one in variants)
    return Comparison(tuple(sorted(weighed, key=lambda one: (one.worth is None, one.worth))), by)


def reject_choices(data: Any, choices: Mapping[str, Sequence[str]]) -> None:
    """Raise `InvalidInput` where the choices do not fit the job."""
    if faults := list(_faults_of(data, choices)):
        raise InvalidInput(faults)


def _faults_of(data: Any, choices: Mapping[str, Sequence[str]]) -> Iterator[Fault]:
    known = {surface["id"] for room in data["rooms"] for surface in room["surfaces"]}
    tiles = [tile["id"] for tile in data["tiles"]]
    count = 1
    for mark, names in choices.items():
        count *= len(names)
        if mark not in known:
            yield Fault("/rooms", mark, "this names a surface of the job as it was measured")
        for name in names:
            if name not in tiles:
                yield Fault("/tiles", name, f"this names a tile of the job: {', '.join(tiles)}")
    if count > MOST_COMBINATIONS:
        rule = f"at most {MOST_COMBINATIONS} are compared"
        yield Fault("", f"{count} combinations", rule)


def with_tiles(data: Any, tile_of: Mapping[str, str]) -> Any:
    """Return the job with these tiles on these surfaces."""
    changed = copy.deepcopy(data)
    for room in changed["rooms"]:
        for surface in room["surfaces"]:
            if surface["id"] in tile_of:
                surface["tile"] = tile_of[surface["id"]]
    return changed


def _variant(data: Any, tile_of: Mapping[str, str], seconds: float, seed: int) -> Variant:
    try:
        request: Request = job_taken_off(with_tiles(data, tile_of)).request
        return Variant(tile_of, plan(request, MaxSeconds(seconds), seed))
    except (InvalidInput, CannotBeMet) as problem:
        return Variant(tile_of, refused=problem.faults)


def _is_priced(made: Plan) -> bool:
    return all(total.cost is not None for total in made.totals)


def _weighed(variant: Variant, by: str) -> Variant:
    if variant.plan is None:
        return variant
    worth = least = Decimal(0)
    for total in variant.plan.totals:
        price = Decimal(1)
        if by == "cost" and total.tiles_needed and total.cost is not None:
            price = total.cost / total.tiles_needed
        worth += price * total.tiles_needed
        least += price * total.lower_bound
    return Variant(variant.tile_of, variant.plan, worth, least)
