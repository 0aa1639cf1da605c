"""What pieces can be worth by their area alone: the fractional knapsack.

A rectangle w x h holds pieces whose areas, kerf added once each way, come to no more than
(w + kerf) x (h + kerf). The pieces that are worth most for their area fill it first, each kind no
more often than it is wanted, the last one in part. So it bounds the worth of a rectangle from
above where dynamic programming, which counts no copies, would fill it with small dear pieces.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from cutopt.solver.problem import Problem, Sheet, Stand

#: Worth is interpolated in floating point, to far less than one unit of price; so much is added.
MARGIN = 2


def kerf_of_area(problem: Problem) -> int:
    """Return the kerf to add to pieces and sheets alike: none where pieces slant.

    Slanted pieces count bare, so room added to the sheet for the kerf would only be lost.
    """
    slanted = any(stand.hull for kind in problem.kinds for stand in kind.stands)
    return 0 if slanted else problem.kerf


def taken_by(stand: Stand, kerf: int) -> int:
    """Return twice the area that a piece takes from a sheet: a box with kerf, a slanted one bare.

    What notches leave can host other pieces, so notches, kerf included, do not count.
    """
    if stand.hull is not None:
        return stand.doubled_area
    notches = sum(pocket.notch_width * pocket.notch_height for pocket in stand.pockets)
    return 2 * ((stand.width + kerf) * (stand.height + kerf) - notches)


def room_of(sheet: Sheet, kerf: int) -> int:
    """Return twice the area of a sheet, kerf added as to the pieces."""
    return 2 * (sheet.width + kerf) * (sheet.height + kerf)


@dataclass(frozen=True)
class WorthByArea:
    """The most that pieces are worth in so much room: rising in straight lines, ever flatter."""

    rooms: NDArray[np.float64]
    worths: NDArray[np.float64]

    @classmethod
    def of(cls, problem: Problem, prices: Sequence[int]) -> "WorthByArea":
        """Return the worths at these prices."""
        kerf = kerf_of_area(problem)
        offers = sorted(
            (
                (Fraction(price, area), area * kind.demand, price * kind.demand)
                for kind, price in zip(problem.kinds, prices, strict=False)
                if (area := taken_by(kind.stands[0], kerf))
            ),
            reverse=True,
        )
        rooms = [0, *accumulate(area for _, area, _ in offers)]
        worths = [0, *accumulate(worth for _, _, worth in offers)]
        return cls(np.array(rooms, float), np.array(worths, float))

    def most(self, rooms: NDArray[np.float64]) -> NDArray[np.int64]:
        """Return no less than what pieces are worth in rooms (twice their areas)."""
        worths = np.interp(rooms, self.rooms, self.worths)
        return np.asarray(np.floor(worths), np.int64) + MARGIN


def most_by_area(problem: Problem, sheet: Sheet, prices: Sequence[int]) -> int:
    """Return no less than any pattern of a sheet is worth."""
    room = np.array([room_of(sheet, kerf_of_area(problem))], float)
    return int(WorthByArea.of(problem, prices).most(room)[0])
