"""What comes out of an area at most, however it is cut: the pieces worth most for their area.

Any two pieces lie a kerf apart. So each may be grown by half a kerf all round, and they still
do not overlap, and lie within the tile grown by half a kerf. That is how areas are counted here.
"""

from collections.abc import Sequence
from fractions import Fraction
from math import isqrt

from cutopt.check.bound.offers import Offer, Part
from cutopt.plane import Point, doubled_area, edges

#: Up to this worth a tile is filled with whole pieces, beyond it the last one counts in part.
MOST_WHOLE = 2_000
#: More than any area.
ENDLESS = 10**30


def area_of_part(part: Part, kerf: int) -> int:
    """Return no less than twice the area of a part grown by half a kerf all round."""
    return 2 * (part.width + kerf) * (part.height + kerf)


def area_of_piece(offer: Offer, kerf: int) -> int:
    """Return no more than twice the area of a piece grown by half a kerf all round.

    A piece with empty corners is not grown: its own area without them must do.
    """
    look = min(offer.looks)
    if look.hollows:
        taken = (max(width * height for width, height in one.notches) for one in look.hollows)
        return 2 * (look.width * look.height - sum(taken))
    hull = look.corners
    # The corners together make up a circle: pi/4 of the kerf, squared, of which 3/4 are counted.
    return doubled_area(hull) + kerf * _length(hull) + 3 * kerf * kerf // 2


def _length(hull: Sequence[Point]) -> int:
    """Return the length of an outline, each edge rounded down."""
    return sum(isqrt((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) for a, b in edges(hull))


class ByArea:
    """The most that areas are worth, asked for worths up to a limit and a little more."""

    def __init__(self, offers: Sequence[Offer], kerf: int, limit: int) -> None:
        self.limit = limit
        self.of_offer = [area_of_piece(offer, kerf) for offer in offers]
        self._densest = sorted(
            (
                (offer, area)
                for offer, area in zip(offers, self.of_offer, strict=True)
                if offer.price
            ),
            key=lambda one: Fraction(-one[0].price, one[1]),
        )
        self._least = self._least_areas() if limit < MOST_WHOLE else None

    def reaches(self, worth: int, area: int) -> bool:
        """Tell whether an area might hold so much worth."""
        if self._least is not None and worth <= self.limit + 1:
            return self._least[max(0, worth)] <= area
        return self._in_part(area) >= worth

    def _least_areas(self) -> list[int]:
        """Return the least area that holds each worth, whole pieces and none more than wanted."""
        most = self.limit + 1
        least = [0] + [ENDLESS] * most
        for offer, area in self._densest:
            for _ in range(min(offer.wanted, -(-most // offer.price))):
                for worth in range(most, 0, -1):
                    least[worth] = min(least[worth], least[max(0, worth - offer.price)] + area)
        return least

    def _in_part(self, room: int) -> int:
        worth = Fraction(0)
        for offer, area in self._densest:
            taken = min(room, area * offer.wanted)
            worth += Fraction(offer.price * taken, area)
            room -= taken
            if not room:
                break
        return int(worth)
