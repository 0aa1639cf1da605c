"""Findings of one surface: which there are, their numbers, and whom they concern."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from cutopt.layout import Finding, LaidSurface, TakeOff
from cutopt.reports.surface.tags import Flag

#: A finding about more pieces than this is listed with their names but not marked on each.
MOST_MARKED = 24


@dataclass(frozen=True)
class Found:
    """A finding with its number on this drawing."""

    flag: Flag
    finding: Finding

    @property
    def is_marked(self) -> bool:
        """Tell whether each piece concerned bears the number."""
        return 0 < len(self.finding.labels) <= MOST_MARKED


def found_on(surface: LaidSurface, findings: Iterable[Finding]) -> list[Found]:
    """Return what concerns a surface: warnings first, each with its number."""
    mine = [finding for finding in findings if _concerns(finding, surface.place)]
    mine.sort(key=lambda finding: finding.level != "warning")
    return [
        Found(Flag(number, finding.level == "warning"), finding)
        for number, finding in enumerate(mine, start=1)
    ]


def own_findings(surface: LaidSurface, take_off: TakeOff) -> tuple[Finding, ...]:
    """Return the findings of a surface, not those of another that belongs to it: a wall's sill."""
    places = [other.place for other in take_off.surfaces]
    return tuple(
        finding
        for finding in take_off.findings
        if _concerns(finding, surface.place) and _home(finding, places) in (None, surface.place)
    )


def _home(finding: Finding, places: Sequence[str]) -> str | None:
    """Return the innermost surface that a finding lies in, or none where it is about several."""
    around = [place for place in places if f"{finding.place}/".startswith(f"{place}/")]
    return max(around, key=len, default=None)


def _concerns(finding: Finding, place: str) -> bool:
    return f"{finding.place}/".startswith(f"{place}/") or place.startswith(f"{finding.place}/")


def flags_of_pieces(found: Sequence[Found]) -> dict[str, tuple[Flag, ...]]:
    """Return the flags of each piece by its label."""
    flags: dict[str, list[Flag]] = defaultdict(list)
    for item in found:
        if item.is_marked:
            for label in item.finding.labels:
                flags[label].append(item.flag)
    return {label: tuple(marks) for label, marks in flags.items()}


def flags_of_place(found: Sequence[Found], place: str) -> tuple[Flag, ...]:
    """Return the flags of an opening or a hole."""
    return tuple(item.flag for item in found if item.finding.place == place)


def spans(labels: Iterable[str]) -> str:
    """Return labels in words; those at even steps are told by the first, the second, the last.

    >>> spans(["A1.2", "A1.3", "A1.4", "A2.1b", "A3.9", "A3.10"])
    'A1.2 to A1.4, A2.1b, A3.9, A3.10'
    >>> spans(["A1.9", "A2.9", "A3.9", "A4.9"])
    'A1.9, A2.9 … A4.9'
    """
    return ", ".join(_spans(list(labels)))


def _spans(labels: Sequence[str]) -> Iterator[str]:
    places = [_place(label) for label in labels]
    at = 0
    while at < len(labels):
        end = _end_of_run(places, at)
        if end - at >= 3 and _step(places, at) == (0, 1):
            yield f"{labels[at]} to {labels[end - 1]}"
        elif end - at >= 4:
            yield f"{labels[at]}, {labels[at + 1]} … {labels[end - 1]}"
        else:
            end = at + 1
            yield labels[at]
        at = end


def _place(label: str) -> tuple[int, int] | None:
    """Return course and position; none for a part of a cell, which has a letter."""
    course, _, position = label.lstrip(ascii_uppercase).partition(".")
    return (int(course), int(position)) if position.isdigit() else None


def _step(places: Sequence[tuple[int, int] | None], at: int) -> tuple[int, int] | None:
    here, following = places[at], places[at + 1] if at + 1 < len(places) else None
    if here is None or following is None:
        return None
    return following[0] - here[0], following[1] - here[1]


def _end_of_run(places: Sequence[tuple[int, int] | None], at: int) -> int:
    """Return the end of the labels from one on whose steps are all the same."""
    step, end = _step(places, at), at + 1
    while step is not None and _step(places, end - 1) == step:
        end += 1
    return end
