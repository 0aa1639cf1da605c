"""Common ways to begin: a full tile in the corner, a joint or a tile in the middle."""

from collections.abc import Iterator
from itertools import islice, product

from cutopt.layout.ground import Ground
from cutopt.plane import box_of
from cutopt.setting_out.critical import ends_of_tiles
from cutopt.setting_out.domain import SIDES_ALONG, at_opening
from cutopt.setting_out.options import Options
from cutopt.setting_out.space import Values

CORNER, JOINT, TILE = "full tile in the corner", "joint in the middle", "tile in the middle"


def customs_of(options: Options) -> dict[str, Values]:
    """Return the common starts of a job: on walls the lowest course is full in each."""
    return {
        name: tuple(
            _custom(options, number, name) for number in range(len(options.space.variables))
        )
        for name in (CORNER, JOINT, TILE)
    }


def candidates(options: Options, most: int) -> Iterator[Values]:
    """Yield starts worth a look: each surface centred, full at an edge, or joints at openings."""
    choices = []
    for number, variable in enumerate(options.space.variables):
        found: dict[int, None] = {}
        for place in _places(options, number):
            ground = options.sights.ground(place)
            field = box_of(ground.field)
            low, high = field[variable.axis], field[variable.axis] + field[2 + variable.axis]
            lows, highs = ends_of_tiles(ground, variable.axis)
            found |= dict.fromkeys((_middle(ground, variable.axis, JOINT),))
            found |= dict.fromkeys((_middle(ground, variable.axis, TILE),))
            for at in range(len(ground.surface.openings)):
                for side in SIDES_ALONG[variable.axis]:
                    found |= dict.fromkeys(sorted(at_opening(ground, at, side))[:1])
            found |= dict.fromkeys((low - lows[0], high - highs[0]))
        choices.append([value % variable.period for value in found])
    yield from islice(product(*choices), most)


def _custom(options: Options, number: int, name: str) -> int:
    variable = options.space.variables[number]
    ground = options.sights.ground(_places(options, number)[0])
    upright = variable.axis == 1 and ground.surface.kind == "wall"
    if name == CORNER or upright:
        start = box_of(ground.field)[variable.axis] - ends_of_tiles(ground, variable.axis)[0][0]
    else:
        start = _middle(ground, variable.axis, name)
    within: int = start % variable.period
    return within


def _middle(ground: Ground, axis: int, name: str) -> int:
    field = box_of(ground.field)
    middle = field[axis] + field[2 + axis] // 2
    lows, highs = ends_of_tiles(ground, axis)
    if name == TILE:
        return middle - (lows[0] + highs[0]) // 2
    half: int = (ground.surface.joint + 1) // 2
    return middle + half - lows[0]


def _places(options: Options, number: int) -> list[str]:
    return [place for place in options.sights.places if number in options.along(place)]
