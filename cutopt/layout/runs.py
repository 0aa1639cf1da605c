"""What runs along edges: trim profiles in sight, and joints that take sealant."""

import math
from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Literal

from cutopt.documents import Job
from cutopt.layout.model import EdgeRule, LaidSurface, SoftJoint, TrimRun
from cutopt.plane import Point, cross


def trim_runs(surfaces: Sequence[LaidSurface]) -> Iterator[TrimRun]:
    """Return every straight length of trim profile, each once: with the face that carries it.

    Where two runs meet both are mitred. Round an opening the profile lies outside the finished
    edge, so a mitred end is longer by the face.
    """
    for surface in surfaces:
        for place, found in groupby(surface.edges, key=lambda rule: rule.place):
            rules = list(found)
            for at, rule in enumerate(rules):
                if rule.meets == "profile":
                    before, after = rules[at - 1], rules[(at + 1) % len(rules)]
                    yield _run(rule, before, after, is_opening=place != surface.place)


def _run(rule: EdgeRule, before: EdgeRule, after: EdgeRule, *, is_opening: bool) -> TrimRun:
    mitred = [other.meets == "profile" and other is not rule for other in (before, after)]
    more = rule.set_back * sum(mitred) if is_opening else 0
    length = round(math.dist(rule.start, rule.end)) + more
    start, end = map(_end, mitred)
    return TrimRun(rule.place, rule.name, length, rule.set_back, start, end)


def _end(is_mitred: bool) -> Literal["mitre", "square"]:
    return "mitre" if is_mitred else "square"


def soft_joints(job: Job, surfaces: Sequence[LaidSurface]) -> Iterator[SoftJoint]:
    """Return every joint that takes sealant, each once.

    Changes of plane and other perimeters: TCNA Handbook EJ171 (read second-hand). The foot of a
    wall is listed with the wall, not again with the floor of the room; a corner of two walls
    that the room names is listed with the left wall.
    """
    measured = dict(job.surfaces)
    listed = set(_of_parts(job))
    feet = {_room(s.place) for s in surfaces for rule in s.edges if rule.meets == "floor"}
    for surface in surfaces:
        is_floor = measured[surface.place].kind == "floor" and _room(surface.place) in feet
        shared = _is_right_of_a_corner(job, surface)
        for rule in surface.edges:
            own = rule.place == surface.place
            if rule.filler != "sealant" or rule.place in listed:
                continue
            if own and rule.meets == "inside corner" and (is_floor or (shared and _is_left(rule))):
                continue
            length = round(math.dist(rule.start, rule.end)) - _without_tiles(rule, surface)
            if length <= 0:
                continue
            yield SoftJoint(rule.place, rule.name, rule.meets, length, rule.joint)


def _of_parts(job: Job) -> Iterator[str]:
    """Yield the place of every obstacle that is a part of its room, whose joints are its own."""
    for place, surface in job.measured:
        for at, obstacle in enumerate(surface.obstacles):
            if obstacle.part is not None:
                yield f"{place}/obstacles/{at}"


def _without_tiles(rule: EdgeRule, surface: LaidSurface) -> int:
    """Return how much of an edge runs along that of something else: no tile is there."""
    return sum(
        _shared(rule.start, rule.end, other.start, other.end)
        for other in surface.edges
        if other.place != rule.place and surface.place in (rule.place, other.place)
    )


def _shared(a: Point, b: Point, c: Point, d: Point) -> int:
    """Return the length that two edges have in common, where they lie on one line."""
    if cross(a, b, c) or cross(a, b, d):
        return 0
    length = math.dist(a, b)
    way = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    ends = sorted((p[0] - a[0]) * way[0] + (p[1] - a[1]) * way[1] for p in (c, d))
    return max(0, round(min(length, ends[1]) - max(0.0, ends[0])))


def _room(place: str) -> str:
    return place.split("/")[2]


def _is_right_of_a_corner(job: Job, surface: LaidSurface) -> bool:
    room = job.rooms[int(_room(surface.place))]
    return any(corner.right == surface.mark for corner in room.corners)


def _is_left(rule: EdgeRule) -> bool:
    """Tell whether a wall lies to the right of an edge: walked anticlockwise, it runs down."""
    return rule.end[1] < rule.start[1] and abs(rule.end[0] - rule.start[0]) < abs(
        rule.end[1] - rule.start[1]
    )
