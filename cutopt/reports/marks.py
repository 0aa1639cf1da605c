"""Marks beside a drawn tile: the numbers of the cuts, and letters of pieces too small for one."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import fmean
from typing import Literal

from cutopt.reports.svg import INK, PAPER, Spot, circle, line, text

#: Left, top, right and bottom of a drawn tile.
Frame = tuple[float, float, float, float]
Edge = Literal["left", "right", "top", "bottom"]

RADIUS = 1.7
#: White kept around a drawn tile for its marks.
MARGIN = 6.5
_AWAY = 4.4
_APART = 2 * RADIUS + 0.2
_FONT = 2.4


@dataclass(frozen=True)
class Mark:
    """A mark on an edge of the drawing, `along` that edge, led to spots inside."""

    words: str
    along: float
    targets: tuple[Spot, ...]
    is_cut: bool


def beside(marks: Sequence[Mark], edge: Edge, frame: Frame) -> list[str]:
    """Return the marks of one edge of a frame, none on another."""
    left, top, right, bottom = frame
    low, high = (top, bottom) if edge in ("left", "right") else (left, right)
    kept = _thinned(_joined(marks), high - low)
    away = {"left": left - _AWAY, "right": right + _AWAY, "top": top - _AWAY}
    across = away.get(edge, bottom + _AWAY)
    drawn = []
    for mark, along in zip(kept, _spread(kept, low, high), strict=True):
        spot = (across, along) if edge in ("left", "right") else (along, across)
        drawn += _drawn(mark, spot)
    return drawn


def _thinned(marks: Sequence[Mark], room: float) -> list[Mark]:
    """Return as many marks as have room, evenly chosen."""
    most = max(1, int((room + 2 * RADIUS) / _APART))
    if len(marks) <= most:
        return list(marks)
    return [marks[at * len(marks) // most] for at in range(most)]


def _joined(marks: Sequence[Mark]) -> list[Mark]:
    """Return the marks in their order along the edge, letters that are alike as one mark."""
    letters: dict[str, list[Mark]] = {}
    for mark in marks:
        if not mark.is_cut:
            letters.setdefault(mark.words, []).append(mark)
    cuts = [mark for mark in marks if mark.is_cut]
    return sorted([*cuts, *map(_together, letters.values())], key=lambda mark: mark.along)


def _together(alike: Sequence[Mark]) -> Mark:
    targets = tuple(target for mark in alike for target in mark.targets)
    return replace(alike[0], along=fmean(mark.along for mark in alike), targets=targets)


def _spread(marks: Sequence[Mark], low: float, high: float) -> list[float]:
    """Return places as near as can be to those wished for, apart from each other.

    Marks that would touch form a cluster, which lies around the middle of its wishes.
    """
    clusters: list[list[float]] = []
    for at, mark in enumerate(marks):
        clusters.append([mark.along - at * _APART])
        while len(clusters) > 1 and fmean(clusters[-2]) > fmean(clusters[-1]):
            last = clusters.pop()
            clusters[-1] += last
    starts = [fmean(cluster) for cluster in clusters for _ in cluster]
    least, most = low - RADIUS, high + RADIUS - (len(marks) - 1) * _APART
    return [max(least, min(most, start)) + at * _APART for at, start in enumerate(starts)]


def _drawn(mark: Mark, spot: Spot) -> list[str]:
    leads = [line(target, spot, 0.15) for target in mark.targets]
    if mark.is_cut:
        return [*leads, *disc(mark.words, spot)]
    dots = [circle(target, 0.4, fill=INK) for target in mark.targets]
    back = circle(spot, RADIUS, fill=PAPER)
    return [*leads, *dots, back, centred(mark.words, spot, bold=True)]


def disc(words: str, spot: Spot) -> list[str]:
    """Return the number of a cut in its circle."""
    ring = circle(spot, RADIUS, fill=PAPER, stroke=INK, stroke_width=0.2, class_="cut")
    return [ring, centred(words, spot)]


def centred(words: str, spot: Spot, bold: bool = False) -> str:
    """Return a short text with its middle on a spot."""
    size = _FONT if len(words) < 3 else _FONT * 0.75
    style = {"font_weight": "bold"} if bold else {}
    at = (spot[0], spot[1] + 0.36 * size)
    return text(words, at, size, text_anchor="middle", **style)
