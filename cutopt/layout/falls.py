"""How high a floor stands along its walls, from its fall to the drain."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from cutopt.documents import Job, Surface
from cutopt.documents.shower import Fall, show_slope
from cutopt.documents.unfold.corner import rise
from cutopt.layout import sources
from cutopt.layout.model import FallHeight, Finding
from cutopt.plane import Rect, box_of

_RULE = (
    "the floor falls by {} to {}: the range that this job sets. IRC P2709.1 asks for 2 to 4 %; "
    "local code decides"
)


def fall_heights(job: Job) -> Iterator[FallHeight]:
    """Return the heights at the walls of every floor that falls to a drain.

    A point drain: the walls stand level, as high as the slope asks on the longest run, so shorter
    runs are steeper. A linear drain: one slope, and side walls that run down with it.
    """
    for place, surface in job.measured:
        if surface.fall is not None and surface.drains:
            drain = surface.drains[0]
            floor, low = box_of(surface.corners), drain.box
            if drain.kind == "point":
                yield from _to_a_point(place, surface.fall, runs(floor, low))
            else:
                yield from _to_a_line(place, surface, floor, low)


def runs(floor: Rect, drain: Rect) -> dict[str, int]:
    """Return how far each wall is from the drain."""
    return {
        "bottom": drain.y - floor.y,
        "right": floor.right - drain.right,
        "top": floor.top - drain.top,
        "left": drain.x - floor.x,
    }


def _to_a_point(place: str, fall: Fall, far: dict[str, int]) -> Iterator[FallHeight]:
    height = rise(max(far.values()), fall.slope)
    for name, run in far.items():
        slope = Fraction(height, run) if run else None
        yield FallHeight(place, name, height, height, slope)


def _to_a_line(place: str, surface: Surface, floor: Rect, drain: Rect) -> Iterator[FallHeight]:
    fall, far = surface.fall, runs(floor, drain)
    assert fall is not None
    lengthwise = ("bottom", "top") if drain.width >= drain.height else ("left", "right")
    heights = {name: rise(far[name], fall.slope) for name in lengthwise}
    for name in far:
        if name in heights:
            slope = fall.slope if far[name] else None
            yield FallHeight(place, name, heights[name], heights[name], slope)
        else:
            yield FallHeight(place, name, 0, max(heights.values()), None)


def findings_of_falls(job: Job, heights: Sequence[FallHeight]) -> Iterator[Finding]:
    """Return a finding for each floor that is somewhere steeper or flatter than its range."""
    measured = dict(job.measured)
    for place in dict.fromkeys(height.place for height in heights):
        fall = measured[place].fall
        assert fall is not None
        off = [
            (height.name, height.slope)
            for height in heights
            if height.place == place
            and height.slope is not None
            and not fall.least <= _rounded(height.slope) <= fall.most
        ]
        if off:
            value = ", ".join(f"{name} {show_slope(slope)}" for name, slope in off)
            rule = _RULE.format(show_slope(fall.least), show_slope(fall.most))
            yield Finding("fall", place, (), value, rule, sources.FALLS)


def _rounded(slope: Fraction) -> Fraction:
    """Return a slope to 0.01 %: heights are whole units, their quotient is not quite the slope."""
    return round(slope * 10_000) * Fraction(1, 10_000)
