"""The plan of work: what is set when, in which batches, and what waits for what.

Floors first (or walls), room by room; then the other surfaces; then grout, then sealant. Around an
opening the back comes first, then sill, head and jambs, so that the jambs stand on the sill. A
floor that was set is waited for and protected before walls are set above it.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from cutopt.buying.grounds import Ground
from cutopt.buying.materials import adhesive_per_m2
from cutopt.documents.buying import Adhesive, OrderSettings, Work
from cutopt.documents.order import WorkStep

#: The surfaces of one opening, in the order in which they are set (common practice, no source).
_RETURNS = {"back": 0, "sill": 1, "head": 2, "left": 3, "right": 3}
#: Metres of sealant an hour, and hours to protect a floor (common practice, no source).
SEAL_PACE = 12.0
HOURS_TO_PROTECT = 0.5
HOURS_OF_DAY = 24.0

Task = Literal["set", "wait", "protect", "grout", "seal"]


@dataclass
class _Clock:
    """Working days of so many hours, one after the other."""

    hours_per_day: float
    day: int = 0
    hour: float = 0.0

    @property
    def now(self) -> float:
        """Return the hours since the first morning."""
        return self.day * HOURS_OF_DAY + self.hour

    def pass_by(self, hours: float) -> None:
        """Work so long, on the next days too if need be."""
        total = self.hour + hours
        days = int(total // self.hours_per_day)
        self.day, self.hour = self.day + days, total - days * self.hours_per_day

    def go_to(self, when: float) -> None:
        """Go on at a time, or on the next morning when nobody works then."""
        if when > self.now:
            self.day, self.hour = int(when // HOURS_OF_DAY), when % HOURS_OF_DAY
        if self.hour >= self.hours_per_day:
            self.day, self.hour = self.day + 1, 0.0


@dataclass
class _Plan:
    """The steps so far, and when each room is ready for what comes next."""

    work: Work
    adhesive: Adhesive
    clock: _Clock = field(init=False)
    steps: list[WorkStep] = field(default_factory=list)
    ready: dict[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.clock = _Clock(min(self.work.hours_per_day, HOURS_OF_DAY))

    @property
    def hands(self) -> float:
        """Return how many times as fast as one person they are."""
        return 1.0 + self.work.second_person * (self.work.people - 1)

    def set(self, ground: Ground) -> None:
        """Set the tiles of a surface in batches of adhesive."""
        pace = self._pace(ground) * self.hands
        batch = pace * self.work.open_minutes / 60.0
        batches = max(1, math.ceil(round(ground.covered / batch, 9)))
        size = min(batch, ground.covered)
        cutting = ground.cut * self.work.minutes_per_cut / 60.0 / self.hands
        courses = 0.0
        if batches > 1 and ground.width and ground.course:
            courses = size / (ground.width * ground.course / 1e6)
        self._do(
            "set",
            ground.name,
            ground.covered / pace + cutting,
            area=round(ground.covered, 3),
            batches=batches,
            area_of_batch=round(size, 3),
            kg_of_batch=round(size * adhesive_per_m2(ground, self.adhesive), 2),
            courses_of_batch=round(courses, 1) if courses else None,
        )
        self.ready[ground.room] = self.clock.now + self.work.hours_to_grout

    def _pace(self, ground: Ground) -> float:
        if ground.is_mosaic:
            return self.work.mosaic_pace
        return self.work.floor_pace if ground.kind == "floor" else self.work.wall_pace

    def protect(self, room: str) -> None:
        """Wait until the floor of a room can be walked on, and cover it."""
        self.wait(room, "until the floor can be walked on")
        self._do("protect", room or "the floor", HOURS_TO_PROTECT, words="cover the floor")

    def grout(self, room: str, area: float) -> None:
        """Grout a room in sections."""
        self.wait(room, "until the adhesive has set")
        pace = self.work.grout_pace * self.hands
        section = pace * self.work.grout_minutes / 60.0
        self._do(
            "grout",
            room or "everything",
            area / pace,
            area=round(area, 3),
            batches=max(1, math.ceil(round(area / section, 9))),
            area_of_batch=round(min(section, area), 3),
        )
        self.ready[room] = self.clock.now + self.work.hours_to_seal

    def seal(self, room: str, metres: float) -> None:
        """Seal the joints of a room."""
        self.wait(room, "until the grout is dry")
        hours = metres / SEAL_PACE / self.hands
        self._do("seal", room or "everything", hours, words=f"{metres:.1f} m of joints")

    def wait(self, room: str, words: str) -> None:
        """Wait until a room is ready, when it is not yet."""
        self.clock.go_to(self.clock.now)
        hours = self.ready.get(room, 0.0) - self.clock.now
        if hours > 1e-9:
            self._note("wait", room or "everything", hours, words=words)
            self.clock.go_to(self.ready[room])

    def _do(self, task: Task, where: str, hours: float, **more: Any) -> None:
        self.clock.go_to(self.clock.now)
        self._note(task, where, hours, **more)
        self.clock.pass_by(hours)

    def _note(self, task: Task, where: str, hours: float, **more: Any) -> None:
        self.steps.append(
            WorkStep(
                number=len(self.steps) + 1,
                task=task,
                where=where,
                day=self.clock.day + 1,
                starts=round(self.clock.hour, 2),
                hours=round(hours, 2),
                **more,
            )
        )


def plan_of_work(
    grounds: Sequence[Ground], settings: OrderSettings, sealed: dict[str, float]
) -> tuple[WorkStep, ...]:
    """Return the steps, in order.

    Parameters
    ----------
    grounds : sequence of Ground
        The surfaces.
    settings : OrderSettings
        Paces and waiting times.
    sealed : dict
        Metres of sealant by room.
    """
    plan = _Plan(settings.work, settings.adhesive)
    rooms = list(dict.fromkeys(ground.room for ground in grounds))
    floors_first = settings.work.first == "floors"
    for room in rooms:
        _set_all(plan, grounds, room, floors=floors_first)
    for room in rooms:
        below = [one for one in grounds if one.room == room and one.kind == "floor"]
        above = [one for one in grounds if one.room == room and one.kind == "wall"]
        if floors_first and below and above:
            plan.protect(room)
        _set_all(plan, grounds, room, floors=not floors_first)
    for room in rooms:
        plan.grout(room, sum(one.covered for one in grounds if one.room == room))
    for room in rooms:
        if sealed.get(room):
            plan.seal(room, sealed[room])
    return tuple(plan.steps)


def _set_all(plan: _Plan, grounds: Iterable[Ground], room: str, *, floors: bool) -> None:
    mine = [one for one in grounds if one.room == room and (one.kind == "floor") == floors]
    for ground in in_order(mine):
        plan.set(ground)


def in_order(grounds: Iterable[Ground]) -> list[Ground]:
    """Return surfaces as they are set: as measured, the returns of an opening from the back out."""
    measured = list(grounds)
    return sorted(measured, key=_place_in_order(measured))


def _place_in_order(grounds: Sequence[Ground]) -> Callable[[Ground], tuple[int, int]]:
    first: dict[str, int] = {}
    for at, ground in enumerate(grounds):
        first.setdefault(_opening_of(ground), at)

    def key(ground: Ground) -> tuple[int, int]:
        opening, _, side = ground.place.rpartition("/returns/")
        return first[_opening_of(ground)], _RETURNS.get(side, 0) if opening else 0

    return key


def _opening_of(ground: Ground) -> str:
    return ground.place.rpartition("/returns/")[0] or ground.place


def hours_of(steps: Iterable[WorkStep]) -> float:
    """Return the hours that somebody works."""
    return sum(step.hours for step in steps if step.task != "wait")
