"""Surfaces laid from many starts, each only once; and which surface follows which variable."""

from collections.abc import Sequence
from dataclasses import replace

from cutopt.documents import JobTile, Surface
from cutopt.documents.survey import repeats
from cutopt.layout.bonds import cells_of_bond
from cutopt.layout.ground import Ground, ground_of
from cutopt.layout.model import LaidSurface
from cutopt.layout.pieces import laid
from cutopt.plane import box_of
from cutopt.setting_out.count import kerf_of
from cutopt.setting_out.seen import Sight, sight_of
from cutopt.setting_out.space import AXES, Space, Values
from cutopt.setting_out.span import Along, Round


class Sights:
    """Lays the surfaces of a job from any start.

    Attributes
    ----------
    places : tuple of str
        The surfaces that are tiled, by their pointers.
    along : dict
        For each surface the variable that moves it along each axis.
    shift : dict
        By how much it begins beyond the value of that variable.
    irregular : set
        Surfaces that follow the start in another way than sliding with it.
    """

    def __init__(self, space: Space) -> None:
        self.space = space
        self._grounds: dict[str, Ground] = {}
        self._known: dict[tuple[str, Values], Sight] = {}
        self._corner: Values = (0,) * len(space.variables)
        surfaces = list(space.surfaces_at(self._corner))
        self.places = tuple(place for place, _, _ in surfaces)
        self.tiles = {place: tile for place, _, tile in surfaces}
        for place, surface, tile in surfaces:
            self._grounds[place] = ground_of(place, surface, tile, space.job.units)
        self._origins = self._origins_at(self._corner)
        self.along: dict[str, Along] = dict.fromkeys(self.places, (None, None))
        self.shift = {place: self._origins[place] for place in self.places}
        self.irregular: set[str] = set()
        for number in range(len(space.variables)):
            self._probe(number)
        self.round = {place: _round_of(ground) for place, ground in self._grounds.items()}

    def ground(self, place: str) -> Ground:
        """Return a surface made ready, laid from some start."""
        return self._grounds[place]

    def values_for(self, place: str, values: Sequence[int]) -> Values:
        """Return the values that a surface depends on."""
        if place in self.irregular:
            return tuple(values)
        return tuple(values[at] for at in self.along[place] if at is not None)

    def at(self, place: str, values: Sequence[int]) -> Sight:
        """Return a surface laid from a start."""
        key = (place, self.values_for(place, values))
        if key not in self._known:
            tile = self.tiles[place]
            kerf = kerf_of(tile, self.space.job)
            found = self.laid(place, values)
            self._known[key] = sight_of(found, tile, kerf, bool(self.round[place]))
        return self._known[key]

    def laid(self, place: str, values: Sequence[int]) -> LaidSurface:
        """Return a surface laid from a start, with everything that the take-off knows."""
        return laid(self._ground_at(place, values))

    def _ground_at(self, place: str, values: Sequence[int]) -> Ground:
        found = (item for item in self.space.surfaces_at(values) if item[0] == place)
        return self._ground_of(*next(found))

    def _ground_of(self, place: str, surface: Surface, tile: JobTile) -> Ground:
        ground = self._grounds[place]
        if surface.model_copy(update={"start": ground.surface.start}) == ground.surface:
            return replace(ground, surface=surface)
        return ground_of(place, surface, tile, self.space.job.units)

    def _origins_at(self, values: Sequence[int]) -> dict[str, tuple[int, int]]:
        return {
            place: _origin(self._ground_of(place, surface, tile))
            for place, surface, tile in self.space.surfaces_at(values)
        }

    def _probe(self, number: int) -> None:
        """Find out which surfaces slide with a variable, by moving it."""
        period = self.space.variables[number].period
        probes = [period // 3, 2 * period // 3 + 1]
        for values in ([*self._corner[:number], p, *self._corner[number + 1 :]] for p in probes):
            origins = self._origins_at(values)
            for place in self.places:
                repeat = repeats(self._grounds[place].surface.bond, *self._pair(place))
                for axis in AXES:
                    moved = (origins[place][axis] - self._origins[place][axis]) % repeat[axis]
                    if moved:
                        self._note(place, axis, number, moved == values[number] % repeat[axis])

    def _pair(self, place: str) -> tuple[Surface, JobTile]:
        return self._grounds[place].surface, self.tiles[place]

    def _note(self, place: str, axis: int, number: int, slides: bool) -> None:
        along = list(self.along[place])
        if not slides or along[axis] not in (None, number):
            self.irregular.add(place)
        along[axis] = number
        self.along[place] = (along[0], along[1])


def _origin(ground: Ground) -> tuple[int, int]:
    field = box_of(ground.field)
    return cells_of_bond(ground.surface, ground.tile, ground.frame, field, ground.step).origin


def _round_of(ground: Ground) -> Round:
    """Return boxes around everything slanted or round of a surface."""
    slanted = (
        box_of(((ax, ay), (bx, by)))
        for ax, ay, bx, by in ground.region.segments
        if ax != bx and ay != by
    )
    return Round(tuple(slanted), tuple(box_of(hole.outline) for hole in ground.pierced))
