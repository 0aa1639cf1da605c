"""A plan out of the relaxation, dug step by step: the columns used most are fixed, and again.

After each step the relaxation is solved anew, with patterns searched at its prices that fit what
is left (Clautiaux, Sadykov, Vanderbeck, Viaud, EURO Journal on Computational Optimization 7,
2019). Fixed columns may overlap; what they leave to be made is planned by the caller.
"""

import math
from collections.abc import Callable

from cutopt.solver.master import Prices
from cutopt.solver.relaxation import Relaxation

#: A column used at least so far beyond a whole number is rounded up with others at once.
NEARLY = 0.6
#: What counts as whole.
WHOLE = 1e-6


def dive(
    relaxation: Relaxation,
    fewer_than: int,
    search: Callable[[Prices], bool],
    goes_on: Callable[[], bool],
) -> list[int] | None:
    """Return how often to use each column, for less than so many new sheets, or None.

    Parameters
    ----------
    search : callable
        Searches patterns at prices, adds them to the relaxation, and tells whether it found any.
    """
    fixed: dict[int, int] = {}
    try:
        while goes_on():
            prices = relaxation.solved()
            if prices.value > fewer_than - 1 + WHOLE:
                return None
            if search(prices):
                prices = relaxation.solved()
            open_ones = {
                column: amount - math.floor(amount + WHOLE)
                for column, amount in enumerate(prices.amounts)
                if amount > WHOLE
            }
            amounts = [math.floor(amount + WHOLE) for amount in prices.amounts]
            parts = {column: part for column, part in open_ones.items() if part > WHOLE}
            if not parts:
                return amounts
            most = max(parts, key=lambda column: (parts[column], -column))
            for column, part in parts.items():
                if column == most or part >= NEARLY:
                    fixed[column] = amounts[column] + 1
                    relaxation.fix(column, fixed[column])
        return None
    finally:
        for column in fixed:
            relaxation.fix(column, 0)
