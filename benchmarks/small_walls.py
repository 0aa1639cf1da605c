"""Small walls, and every start of a grid tried with take-off and solver, nothing else."""

import random
from collections.abc import Iterator
from fractions import Fraction
from itertools import product
from typing import Any

from cutopt.documents import Job
from cutopt.layout import TakeOff, take_off
from cutopt.plane import box_of
from cutopt.planning.pose import pose
from cutopt.setting_out.count import Counts
from cutopt.setting_out.domain import domains_of
from cutopt.setting_out.options import Options
from cutopt.setting_out.search import Search
from cutopt.setting_out.sights import Sights
from cutopt.setting_out.space import Space, Values, space_of
from cutopt.solver import Problem, solve
from cutopt.stop import MaxSeconds, Progress, Reason
from cutopt.units import MM

FLOOR = Fraction(1, 4)


class NoPreference:
    """Lets the solver do everything but look for fewer cuts."""

    def reason(self, progress: Progress) -> Reason | None:
        """Return why to stop."""
        return "time" if progress.step == "fewer cuts" else None

    def seconds_left(self) -> float:
        """Return the time that a step may take."""
        return 60.0


#: Walls from this seed on are measured to a tenth of a millimetre, as with a laser.
ODD = 1_000
#: Of the walls 1024 to 1799 that move one way (456 of them, none worse than the grid) those at
#: which the grid misses the best start, or every start within the rules (1130).
SHARP = (1130, 1156, 1190, 1327, 1413, 1419, 1522, 1539, 1666, 1689)


def small_wall(seed: int) -> dict[str, Any]:
    """Return a job of one small wall, drawn from a seed."""
    wall = _small_wall(random.Random(seed))
    if seed >= ODD:
        rng = random.Random(-seed)
        (surface,) = wall["rooms"][0]["surfaces"]
        for name in ("width", "height"):
            surface[name] += rng.randrange(10) / 10
            wall["tiles"][0][name] -= rng.randrange(10) / 10
        wall["saw"]["kerf"] += rng.randrange(5) / 10
    return wall


def _small_wall(rng: random.Random) -> dict[str, Any]:
    """Return a wall measured in whole millimetres."""
    width, height = rng.choice([(40, 30), (60, 30), (50, 50), (30, 60), (45, 25)])
    wall: dict[str, Any] = {
        "id": "A",
        "width": rng.randrange(90, 190),
        "height": rng.randrange(70, 160),
        "joint": rng.choice([2, 3]),
        "bond": rng.choice(["stack", "stack", "running"]),
    }
    opening = {"width": rng.randrange(30, 60), "height": rng.randrange(25, 45)}
    x, y = rng.randrange(15, 90), rng.randrange(15, 90)
    if x + opening["width"] < wall["width"] - 8 and y + opening["height"] < wall["height"] - 8:
        kind = rng.choice(["window", "niche"])
        wall["openings"] = [{"kind": kind, "x": x, "y": y, **opening}]
    if rng.random() < 0.3:
        wall["edges"] = {rng.choice(["left", "right", "top"]): "open"}
    return {
        "format": "cutopt.job/1",
        "tiles": [
            {
                "id": "t",
                "width": width,
                "height": height,
                "turn": rng.choice(["none", "half", "half", "quarter"]),
            }
        ],
        "saw": {"kerf": rng.choice([0, 1, 2]), "least_strip": 1},
        "rooms": [{"name": "room", "surfaces": [wall]}],
        "setting_out": [
            {
                "move": rng.choice(["sideways", "up and down", "both"]),
                "least_cut": {"floor": str(FLOOR), "wish": "1/2"},
            }
        ],
    }


def searched(job: Job, seconds: float = 30) -> tuple[Search, Space]:
    """Return the search of a job, done."""
    space = space_of(job)
    sights = Sights(space)
    options = Options(space, sights, domains_of(space, sights))
    stop = MaxSeconds(seconds)
    search = Search(options, Counts(job, stop), stop)
    search.run({place: options.of(place) for place in sights.places})
    return search, space


def tiles_of(found: TakeOff, known: dict[Problem, int]) -> int:
    """Return the fewest tiles of a take-off with one tile."""
    posed = pose(found.request, found.request.tiles[0])
    if posed.problem not in known:
        solution = solve(posed.problem, NoPreference())
        assert solution.bound == solution.new_sheets
        known[posed.problem] = solution.new_sheets
    return known[posed.problem] + sum(piece.quantity for piece in posed.full)


def too_small(found: TakeOff, share: Fraction, sliver: int, axes: list[int]) -> Iterator[str]:
    """Yield cut pieces that the start made smaller than a share of the tile, and strips."""
    for surface in found.surfaces:
        yield from (gap.label for gap in surface.gaps)
        for piece in surface.cut:
            box = box_of(piece.shape.outer)
            for axis in axes:
                size, whole = box[2 + axis], piece.cell[2 + axis]
                begins = box[axis] == piece.cell[axis]
                ends = box[axis] + size == piece.cell[axis] + whole
                if begins != ends and (size < share * whole or size < sliver):
                    yield piece.label


def best_of_grid(space: Space, share: Fraction, step: int = MM) -> tuple[int | None, Values | None]:
    """Return the fewest tiles over all starts of a grid that keep the rules, and the start."""
    axes = [variable.axis for variable in space.variables]
    known: dict[Problem, int] = {}
    best: tuple[int | None, Values | None] = (None, None)
    for values in product(*(range(0, variable.period, step) for variable in space.variables)):
        found = take_off(space.job_at(values))
        if not any(too_small(found, share, MM, axes)):
            tiles = tiles_of(found, known)
            if best[0] is None or tiles < best[0]:
                best = (tiles, values)
    return best
