"""Fewest tiles for a multiset of pieces: each asked of the solver once."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from cutopt.documents import Job, JobTile, Request, Tile
from cutopt.planning.pose import cutters_of, order_of, sheets_of, turned_stands
from cutopt.solver import Cutters, Kind, Problem, Sheet, Stand, solve
from cutopt.stop import Progress, Reason, Stop


@dataclass(frozen=True, slots=True)
class Counted:
    """New tiles found for the cut pieces, and what no plan undercuts."""

    tiles: int
    bound: int


@dataclass(frozen=True)
class Enough:
    """Stops the solver when its bound reaches a target, and before it looks for fewer cuts."""

    stop: Stop
    target: int | None

    def reason(self, progress: Progress) -> Reason | None:
        """Return why to stop now."""
        if progress.step == "fewer cuts":
            return "time"
        if self.target is not None and progress.bound >= self.target:
            return "time"
        return self.stop.reason(progress)

    def seconds_left(self) -> float:
        """Return the seconds that are left."""
        return self.stop.seconds_left()


@dataclass
class Counts:
    """Answers how many tiles pieces take; equal multisets are asked only once.

    Attributes
    ----------
    asked, solved : int
        How often it was asked, and how often the solver had to work.
    """

    job: Job
    stop: Stop
    seed: int = 0
    asked: int = 0
    solved: int = 0
    _known: dict[Problem, Counted] = field(default_factory=dict)
    _sheets: dict[str, tuple[Sheet, ...]] = field(default_factory=dict)

    def fewest(self, tile: JobTile, stands: Iterable[Stand]) -> Counted:
        """Return the fewest tiles for some cut pieces."""
        self.asked += 1
        problem = self._posed(tile, stands)
        if problem not in self._known:
            self.solved += 1
            found = solve(problem, Enough(self.stop, None), self.seed, tile.id)
            self._known[problem] = Counted(found.new_sheets, found.bound)
        return self._known[problem]

    def _posed(self, tile: JobTile, stands: Iterable[Stand]) -> Problem:
        wanted = Counter(look_of(stand, tile) for stand in stands)
        looks = sorted(wanted, key=order_of)
        kinds = tuple(Kind(turned_stands(look, tile), wanted[look]) for look in looks)
        return Problem(kinds, self.stock(tile), kerf_of(tile, self.job), self.cutters(tile))

    def stock(self, tile: JobTile) -> tuple[Sheet, ...]:
        """Return the new tile and the offcuts on the shelf."""
        if tile.id not in self._sheets:
            request, asked = self._request(tile)
            self._sheets[tile.id] = (Sheet(tile.width, tile.height), *sheets_of(request, asked))
        return self._sheets[tile.id]

    def cutters(self, tile: JobTile) -> Cutters:
        """Return what saw and snap cutter can do with a tile."""
        return cutters_of(*self._request(tile))

    def _request(self, tile: JobTile) -> tuple[Request, Tile]:
        """Return a request of no pieces: tile, saw and shelf."""
        asked, job = tile.of_request(), self.job
        request = Request.model_construct(
            tiles=(asked,), offcuts=self._offcuts(tile), saw=job.saw, snap_cutter=job.snap_cutter
        )
        return request, asked

    def _offcuts(self, tile: JobTile) -> Sequence[object]:
        return [offcut for offcut in self.job.offcuts if offcut.tile in (None, tile.id)]


@lru_cache(maxsize=100_000)
def look_of(stand: Stand, tile: JobTile) -> Stand:
    """Return how a piece looks, turned so that equal pieces look equal."""
    return min(turned_stands(stand, tile), key=order_of)


def kerf_of(tile: JobTile, job: Job) -> int:
    """Return what parting a tile takes: the saw's kerf, or the joint between chips."""
    return job.saw.kerf if tile.mosaic is None else tile.mosaic.parting
