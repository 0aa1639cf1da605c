"""What each variable may be: stretches between critical starts, or the few points of a rule."""

from collections.abc import Iterator

from cutopt.documents import Side
from cutopt.documents.setting_out import Line, SettingOut
from cutopt.documents.unfold.round_the_room import held_back, width_of
from cutopt.errors import Fault, InvalidInput
from cutopt.layout.ground import Ground
from cutopt.layout.model import EdgeRule
from cutopt.plane import Rect, box_of
from cutopt.setting_out.critical import (
    Marks,
    Stretch,
    critical_starts,
    ends_of_tiles,
    stretches_of,
)
from cutopt.setting_out.sights import Sights
from cutopt.setting_out.space import AXES, Space

SIDES_ALONG: tuple[tuple[Side, Side], ...] = (("left", "right"), ("bottom", "top"))


def domains_of(space: Space, sights: Sights) -> list[list[Stretch]]:
    """Return the stretches that each variable may lie in.

    Raises
    ------
    InvalidInput
        When two rules for one direction contradict each other.
    """
    found = []
    for number, variable in enumerate(space.variables):
        points = _points(space, sights, number)
        if points is None:
            marks = _critical(space, sights, number)
            found.append(stretches_of(marks, variable.period))
            continue
        if not points:
            rule = "what must hold along one direction holds at some start"
            raise InvalidInput([Fault("/setting_out", variable.name, rule)])
        found.append([Stretch(point, point) for point in sorted(points)])
    return found


def _critical(space: Space, sights: Sights, number: int) -> list[Marks]:
    """Return the critical values of a variable: those of every surface that slides with it."""
    period = space.variables[number].period
    turning = frozenset(mark % period for mark in _turning_points(space, number))
    found = [Marks(turning, turning, 0)] if turning else []
    for place, along in sights.along.items():
        for axis in AXES:
            if along[axis] == number:
                marks = critical_starts(sights.ground(place), axis)
                found.append(marks.moved(sights.shift[place][axis], period))
    return found


def _turning_points(space: Space, number: int) -> Iterator[int]:
    """Yield where the tile that goes on round a corner leaves no offcut for the other wall."""
    job, variable = space.job, space.variables[number]
    surfaces = {surface.id: surface for _, surface in job.measured}
    for room in job.rooms:
        for corner in room.corners:
            if corner.continues and variable.axis == 0:
                left = surfaces[corner.left]
                tile = job.tile_of(left).width
                end = width_of(left) - held_back(left, "right")
                yield from (end, end - tile, end - tile + job.saw.kerf)


def _points(space: Space, sights: Sights, number: int) -> set[int] | None:
    """Return the only values that the rules leave to a variable; None when they leave it free."""
    variable, found = space.variables[number], None
    for place, surface in space.job.measured:
        if surface.id in variable.marks and place in sights.along:
            for points in _asked(space.rules[surface.id], sights.ground(place), variable.axis):
                within = {point % variable.period for point in points}
                found = within if found is None else found & within
    return found


def _asked(rule: SettingOut, ground: Ground, axis: int) -> Iterator[set[int]]:
    """Yield for each rule about an axis the starts at which it holds."""
    field = box_of(ground.field)
    begin, size = field[axis], field[2 + axis]
    if rule.balanced in ("both", ("sideways", "up and down")[axis]):
        yield centred(ground, axis)
    for line in rule.lines:
        yield from _on_line(line, ground, axis)
    lows, highs = ends_of_tiles(ground, axis)
    for side in rule.full_at:
        if side == SIDES_ALONG[axis][0]:
            yield {begin - low for low in lows}
        elif side == SIDES_ALONG[axis][1]:
            yield {begin + size - high for high in highs}
    for edge in rule.joints_at:
        if edge.side in SIDES_ALONG[axis]:
            yield at_opening(ground, edge.opening, edge.side)


def centred(ground: Ground, axis: int) -> set[int]:
    """Return the starts with a tile, or a joint, in the middle of the field."""
    field = box_of(ground.field)
    middle = field[axis] + field[2 + axis] // 2
    lows, highs = ends_of_tiles(ground, axis)
    on_tile = {middle - (low + high) // 2 for low, high in zip(lows, highs, strict=True)}
    return on_tile | {middle + (ground.surface.joint + 1) // 2 - low for low in lows}


def _on_line(line: Line, ground: Ground, axis: int) -> Iterator[set[int]]:
    at = (line.x, line.y)[axis]
    if at is None:
        return
    lows, highs = ends_of_tiles(ground, axis)
    if line.of == "joint":
        yield {at + (ground.surface.joint + 1) // 2 - low for low in lows}
    else:
        yield {at - (low + high) // 2 for low, high in zip(lows, highs, strict=True)}


def at_opening(ground: Ground, opening: int, side: Side) -> set[int]:
    """Return the starts at which tiles end uncut along one side of an opening."""
    box = opened(ground, opening)
    axis = 0 if side in ("left", "right") else 1
    lows, highs = ends_of_tiles(ground, axis)
    if side in ("left", "bottom"):
        return {box[axis] - high for high in highs}
    return {box[axis] + box[2 + axis] - low for low in lows}


def opened(ground: Ground, opening: int) -> Rect:
    """Return the box of an opening with its joints: where the tiles end."""
    place = f"{ground.place}/openings/{opening}"
    rules = [rule for rule in ground.rules if rule.place == place]
    left = min(min(r.start[0], r.end[0]) - (r.away if _upright(r) else 0) for r in rules)
    right = max(max(r.start[0], r.end[0]) + (r.away if _upright(r) else 0) for r in rules)
    low = min(min(r.start[1], r.end[1]) - (0 if _upright(r) else r.away) for r in rules)
    top = max(max(r.start[1], r.end[1]) + (0 if _upright(r) else r.away) for r in rules)
    return Rect(left, low, right - left, top - low)


def _upright(rule: EdgeRule) -> bool:
    return rule.start[0] == rule.end[0]
