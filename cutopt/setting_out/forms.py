"""Sizes that grow or shrink with the start, and boxes of starts."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple


class Box(NamedTuple):
    """All starts between two corners, both included: a value from `low` to `high` each."""

    low: tuple[int, ...]
    high: tuple[int, ...]

    @property
    def is_point(self) -> bool:
        """Tell whether it holds a single start."""
        return self.low == self.high

    @property
    def is_empty(self) -> bool:
        """Tell whether it holds no start."""
        return any(low > high for low, high in zip(self.low, self.high, strict=True))

    @property
    def middle(self) -> tuple[int, ...]:
        """Return the start in the middle."""
        return tuple((low + high) // 2 for low, high in zip(self.low, self.high, strict=True))

    def within(self, variable: int, low: int | None = None, high: int | None = None) -> "Box":
        """Return the part of it in which a variable is no less than `low`, no more than `high`."""
        lows, highs = list(self.low), list(self.high)
        if low is not None:
            lows[variable] = max(lows[variable], low)
        if high is not None:
            highs[variable] = min(highs[variable], high)
        return Box(tuple(lows), tuple(highs))


@dataclass(frozen=True, slots=True)
class Form:
    """A length that is `base`, or `base` plus or minus the value of one variable."""

    base: int
    slope: int = 0
    variable: int = 0

    def at(self, values: Sequence[int]) -> int:
        """Return the length at a start."""
        return self.base + self.slope * values[self.variable] if self.slope else self.base

    def least(self, box: Box) -> int:
        """Return the least that it comes to in a box."""
        return self.at(box.low if self.slope >= 0 else box.high)

    def most(self, box: Box) -> int:
        """Return the most that it comes to in a box."""
        return self.at(box.high if self.slope >= 0 else box.low)


def form_of(low: int, high: int, variable: int | None, box: Box) -> Form | None:
    """Return the length that is `low` and `high` at the corners of a box; None if it is no form."""
    if low == high:
        return Form(low)
    if variable is None or abs(high - low) != box.high[variable] - box.low[variable]:
        return None
    slope = 1 if high > low else -1
    return Form(low - slope * box.low[variable], slope, variable)


@dataclass(frozen=True, slots=True)
class Sum:
    """A condition: several forms and a fixed length together are at most 0."""

    slopes: tuple[tuple[int, int], ...]
    base: int

    @classmethod
    def of(cls, forms: Sequence[Form], base: int) -> "Sum":
        """Return the condition that forms and a fixed length together are at most 0."""
        slopes: dict[int, int] = {}
        for form in forms:
            if form.slope:
                slopes[form.variable] = slopes.get(form.variable, 0) + form.slope
        kept = tuple(sorted((at, slope) for at, slope in slopes.items() if slope))
        return cls(kept, base + sum(form.base for form in forms))

    def at(self, values: Sequence[int]) -> int:
        """Return what it comes to at a start: it holds up to 0."""
        return self.base + sum(slope * values[at] for at, slope in self.slopes)

    def least(self, box: Box) -> int:
        """Return the least that it comes to in a box."""
        return self.base + sum(
            slope * (box.low if slope > 0 else box.high)[at] for at, slope in self.slopes
        )

    def tightened(self, box: Box) -> Box:
        """Return the box without values at which it can hold nowhere."""
        spare = -self.least(box)
        for at, slope in self.slopes:
            if slope > 0:
                box = box.within(at, high=box.low[at] + spare // slope)
            else:
                box = box.within(at, low=box.high[at] - spare // -slope)
        return box
