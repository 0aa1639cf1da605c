"""The frame of a bond: the surface turned so that the courses lie level.

In it every tile is a rectangle along the axes, whatever the angle of the bond, so cells are
whole numbers. What is slanted is the surface: its corners are turned and rounded to the grid
of 1/8000 mm. A quarter turn is exact.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from cutopt.plane import Point

_QUARTERS = {0: (1.0, 0.0), 90: (0.0, 1.0), -90: (0.0, -1.0)}


@dataclass(frozen=True, slots=True)
class Frame:
    """A frame turned anticlockwise by `angle` degrees about the surface's 0, 0."""

    angle: Decimal = Decimal(0)

    @property
    def is_level(self) -> bool:
        """Tell whether the axes of the frame are those of the surface."""
        return self.angle in _QUARTERS

    def _cosine_and_sine(self) -> tuple[float, float]:
        if self.is_level:
            return _QUARTERS[int(self.angle)]
        radians = math.radians(float(self.angle))
        return math.cos(radians), math.sin(radians)

    def inward(self, points: Iterable[Point]) -> list[Point]:
        """Return points of the surface as points of the frame, rounded to the grid."""
        cosine, sine = self._cosine_and_sine()
        return [(round(x * cosine + y * sine), round(y * cosine - x * sine)) for x, y in points]

    def outward(self, points: Iterable[Point]) -> list[tuple[float, float]]:
        """Return points of the frame as points of the surface, for drawing."""
        cosine, sine = self._cosine_and_sine()
        return [(x * cosine - y * sine, x * sine + y * cosine) for x, y in points]
