"""What may move: the directions in which surfaces slide, and which surface follows which.

A *variable* is one direction that is free: a wall sideways, or the course lines of walls that
meet. Its value, in the lengths of the job, is where the first tile of its surfaces begins; all
values lie within one repeat of the bond. A *start* is one value for each variable.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutopt.documents import Job, JobTile, Start, Surface
from cutopt.documents.setting_out import SettingOut
from cutopt.documents.survey import repeats
from cutopt.geometry import Courses
from cutopt.layout.bonds import cells_of_bond
from cutopt.layout.ground import Ground, ground_of
from cutopt.plane import box_of

Values = tuple[int, ...]
AXES = (0, 1)


@dataclass(frozen=True, slots=True)
class Variable:
    """One free direction: which measured surfaces it moves, along which axis, its repeat."""

    marks: tuple[str, ...]
    axis: int
    period: int

    @property
    def name(self) -> str:
        """Return what it is called in a report."""
        return f"{', '.join(self.marks)} {'up and down' if self.axis else 'sideways'}"


@dataclass(frozen=True, slots=True)
class Mover:
    """A measured surface that moves: its variable along each axis, or the place that it keeps."""

    variables: tuple[int | None, int | None]
    fixed: tuple[int, int]

    def start(self, values: Sequence[int]) -> Start:
        """Return its start when the variables have these values."""
        x, y = (
            self.fixed[axis] if (at := self.variables[axis]) is None else values[at]
            for axis in AXES
        )
        return Start(x=x, y=y)


@dataclass(frozen=True)
class Space:
    """All starts of a job."""

    job: Job
    variables: tuple[Variable, ...]
    movers: dict[str, Mover]
    rules: dict[str, SettingOut]

    def job_at(self, values: Sequence[int]) -> Job:
        """Return the job with a start written into it."""
        rooms = tuple(
            room.model_copy(
                update={"surfaces": tuple(self._moved(s, values) for s in room.surfaces)}
            )
            for room in self.job.rooms
        )
        return self.job.model_copy(update={"rooms": rooms})

    def _moved(self, surface: Surface, values: Sequence[int]) -> Surface:
        mover = self.movers.get(surface.id)
        return surface.model_copy(update={"start": mover.start(values)}) if mover else surface

    def surfaces_at(self, values: Sequence[int]) -> Iterator[tuple[str, Surface, JobTile]]:
        """Return every surface that is tiled, with its pointer and tile."""
        job = self.job_at(values)
        for place, surface in job.surfaces:
            yield place, surface, job.tile_of(surface)


def space_of(job: Job) -> Space:
    """Return what may move in a job, by its rules for setting out."""
    rules = rules_of(job)
    movable = {
        surface.id: surface
        for _, surface in job.measured
        if surface.id not in _led(job) and rules[surface.id].move != "nothing"
    }
    origins = {mark: _origin(job, surface) for mark, surface in _all_of(job).items()}
    groups: list[tuple[tuple[str, ...], int]] = [
        ((mark,), 0) for mark in movable if rules[mark].move != "up and down"
    ]
    fixed = dict(origins)
    for marks in _courses(job, rules):
        free = [mark for mark in marks if mark in movable and rules[mark].move != "sideways"]
        kept = [mark for mark in marks if mark not in free]
        if kept:
            for mark in free:
                fixed[mark] = (fixed[mark][0], origins[kept[0]][1])
        elif free:
            groups.append((tuple(free), 1))
    variables = tuple(
        Variable(marks, axis, _repeat(job, movable[marks[0]], axis)) for marks, axis in groups
    )
    at = {
        (mark, variable.axis): number
        for number, variable in enumerate(variables)
        for mark in variable.marks
    }
    movers = {
        mark: Mover((at.get((mark, 0)), at.get((mark, 1))), _within(job, surface, fixed[mark]))
        for mark, surface in movable.items()
    }
    return Space(job, variables, movers, rules)


def rules_of(job: Job) -> dict[str, SettingOut]:
    """Return the rule of every measured surface, by its letters."""
    usual = next((rule for rule in job.setting_out if not rule.surfaces), SettingOut())
    named = {mark: rule for rule in job.setting_out for mark in rule.surfaces}
    return {surface.id: named.get(surface.id, usual) for _, surface in job.measured}


def _all_of(job: Job) -> dict[str, Surface]:
    return {surface.id: surface for _, surface in job.measured}


def _led(job: Job) -> set[str]:
    """Return the walls whose start is what another wall leaves at a corner."""
    return {c.right for room in job.rooms for c in room.corners if c.continues}


def _repeat(job: Job, surface: Surface, axis: int) -> int:
    return repeats(surface.bond, surface, job.tile_of(surface))[axis]


def _courses(job: Job, rules: dict[str, SettingOut]) -> list[tuple[str, ...]]:
    """Return the walls that share their course lines, group by group; the others alone."""
    surfaces, leader = _all_of(job), {mark: mark for mark in _all_of(job)}

    def first(mark: str) -> str:
        return mark if leader[mark] == mark else first(leader[mark])

    for room in job.rooms:
        for corner in room.corners:
            pair = (surfaces[corner.left], surfaces[corner.right])
            common = all(rules[wall.id].courses == "common" for wall in pair)
            if common and not corner.continues and _same_courses(job, *pair):
                leader[first(corner.right)] = first(corner.left)
    groups = defaultdict(list)
    for mark in surfaces:
        if mark not in _led(job):
            groups[first(mark)].append(mark)
    return [tuple(marks) for marks in groups.values()]


def _same_courses(job: Job, one: Surface, other: Surface) -> bool:
    """Tell whether two walls can share course lines: level courses of the same height."""
    level = all(wall.bond.angle == 0 for wall in (one, other))
    return level and _repeat(job, one, 1) == _repeat(job, other, 1)


def _origin(job: Job, surface: Surface) -> tuple[int, int]:
    """Return where the first tile lies now."""
    ground = _ground(job, surface)
    field = box_of(ground.field)
    return cells_of_bond(surface, ground.tile, ground.frame, field, ground.step).origin


def _within(job: Job, surface: Surface, origin: tuple[int, int]) -> tuple[int, int]:
    """Return an origin within the first repeat that lays the same courses."""
    x, y = origin
    repeat = repeats(surface.bond, surface, job.tile_of(surface))
    ground = _ground(job, surface)
    bond = cells_of_bond(surface, ground.tile, ground.frame, box_of(ground.field), ground.step)
    down = y // repeat[1]
    if isinstance(bond, Courses) and not bond.upright:
        x += bond.shifts[-down % len(bond.shifts)] - bond.shifts[0]
    return x % repeat[0], y - down * repeat[1]


def _ground(job: Job, surface: Surface) -> Ground:
    return ground_of("", surface, job.tile_of(surface), job.units)
