"""What runs along edges: trim profiles in sight, and joints that take sealant."""

import math
from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Literal

from cutopt.documents import Job
from cutopt.layout.model import EdgeRule, LaidSurface, SoftJoint, TrimRun


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
    feet = {_room(s.place) for s in surfaces for rule in s.edges if rule.meets == "floor"}
    for surface in surfaces:
        is_floor = measured[surface.place].kind == "floor" and _room(surface.place) in feet
        shared = _is_right_of_a_corner(job, surface)
        for rule in surface.edges:
            own = rule.place == surface.place
            if rule.filler != "sealant":
                continue
            if own and rule.meets == "inside corner" and (is_floor or (shared and _is_left(rule))):
                continue
            length = round(math.dist(rule.start, rule.end))
            yield SoftJoint(rule.place, rule.name, rule.meets, length, rule.joint)


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
