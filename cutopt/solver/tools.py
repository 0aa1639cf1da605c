"""What there is to cut with: a saw, a snap cutter, and how far each reaches."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Cutters:
    """What there is to cut with, and how far it reaches; by default a saw that cuts anything.

    Attributes
    ----------
    saw : int or None
        Greatest length of a sawn cut; None for any length, 0 where there is no saw.
    snap : int
        Greatest length of a snapped cut; 0 where there is no snap cutter.
    strip : int
        A snapped cut leaves at least so much on either side.
    """

    saw: int | None = None
    snap: int = 0
    strip: int = 0

    @property
    def longest(self) -> int | None:
        """Return the greatest length of a straight cut, None for any."""
        return None if self.saw is None else max(self.saw, self.snap)

    def sawn(self, length: int) -> bool:
        """Tell whether the saw makes a cut of this length."""
        return self.saw is None or length <= self.saw

    def straight(self, length: int, low: int, high: int, *, free: bool) -> bool:
        """Tell whether a straight cut that leaves so much on either side can be made.

        A snapped cut takes no kerf, so what lies on one side of it must be `free` to be wider.
        """
        return self.sawn(length) or (
            length <= self.snap and min(low, high) >= max(1, self.strip) and free
        )

    def slants(self, width: int, height: int) -> bool:
        """Tell whether the saw makes slanted cuts through a rectangle: from corner to corner."""
        return self.saw is None or width**2 + height**2 <= self.saw**2
