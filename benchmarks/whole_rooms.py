"""Whole rooms as they are measured: kinds of rooms with walls and a floor, sizes from a seed.

Lengths are millimetres, such as rooms have (common practice, no source). Walls are square: what
slanted cuts need is measured with the slanted floors.
"""

import random
from collections.abc import Callable
from typing import Any

Json = dict[str, Any]
Room = Callable[[random.Random], list[Json]]


def guest_toilet(rng: random.Random) -> list[Json]:
    """Return three half-high walls round a flush plate and a basin, and the floor."""
    breadth, depth, height = _about(rng, 960), _about(rng, 1550), _about(rng, 1230)
    plate = _hole("other", breadth // 2, 1010, width=250, height=165)
    basin = [_hole("pipe", depth - 560 + x, y, diameter=32) for x, y in ((0, 560), (75, 560))]
    recess = {"kind": "door", "x": 95, "y": depth - 110, "width": 760, "height": 110}
    return [
        _wall("left", depth, height),
        _wall("back", breadth, height, holes=[plate, _pipe(breadth // 2, 230, 110)]),
        _wall("right", depth, height, holes=[*basin, _pipe(depth - 520, 510, 50)]),
        _floor(breadth, depth, openings=[recess]),
    ]


def family_bathroom(rng: random.Random) -> list[Json]:
    """Return four walls to the ceiling with bath, window and door, and the floor."""
    breadth, depth, height = _about(rng, 2350), _about(rng, 3050), _about(rng, 2460)
    bath = {"kind": "bath", "x": 0, "y": 0, "width": 1700, "height": 575}
    tub = {"kind": "bath", "x": 0, "y": depth - 750, "width": 1700, "height": 750}
    taps = [_valve(450, 780), _pipe(450, 1080, 30)]
    return [
        _wall("north", breadth, height, openings=[_window(rng, 760, 1140, 880, 760)]),
        _wall("east", depth, height, holes=[*_basin(rng, 1300), *_basin(rng, 2050)]),
        _wall("south", breadth, height, openings=[_door(rng, 240)]),
        _wall("west", depth, height, obstacles=[bath], holes=taps),
        _floor(breadth, depth, obstacles=[tub], holes=[_pipe(breadth - 350, 640, 110)]),
    ]


def shower_room(rng: random.Random) -> list[Json]:
    """Return three walls with a niche and taps, and the floor with its drain."""
    breadth, depth, height = _about(rng, 1450), _about(rng, 960), _about(rng, 2380)
    niche = _niche(rng, breadth // 2 - 150, 1080, 305, 310)
    drain = {"kind": "point", "x": breadth // 2, "y": depth // 2, "width": 150, "height": 150}
    return [
        _wall("left", depth, height),
        _wall("back", breadth, height, openings=[niche]),
        _wall("right", depth, height, holes=[_valve(depth // 2, 1110), _pipe(depth // 2, 2090)]),
        _floor(breadth, depth, drains=[drain]),
    ]


def en_suite(rng: random.Random) -> list[Json]:
    """Return four walls with door, cistern ledge, low window and two niches, and the floor."""
    breadth, depth, height = _about(rng, 1750), _about(rng, 2450), _about(rng, 2320)
    ledge = {"kind": "other", "x": 0, "y": 0, "width": _about(rng, 920), "height": 1155}
    tray = {"kind": "tray", "x": breadth - 900, "y": depth - 900, "width": 900, "height": 900}
    niches = [_niche(rng, 280, 1050, 290, 290), _niche(rng, 1540, 1340, 420, 180)]
    return [
        _wall("north", breadth, height, obstacles=[ledge]),
        _wall("east", depth, height, openings=niches, holes=[_valve(2010, 1100)]),
        _wall("south", breadth, height, openings=[_door(rng, 310)]),
        _wall("west", depth, height, openings=[_window(rng, 820, 890, 640, 1150)]),
        _floor(breadth, depth, obstacles=[tray], holes=[_pipe(460, depth - 240, 110)]),
    ]


def laundry(rng: random.Random) -> list[Json]:
    """Return the wall behind the machines with its taps and sockets, and the floor."""
    breadth, depth, height = _about(rng, 2250), _about(rng, 2850), _about(rng, 1480)
    taps = [_pipe(x, 940, 30) for x in (360, 990)] + [_pipe(x, 560, 50) for x in (430, 1060)]
    sockets = [_socket(x, 1180) for x in (340, 411, 960)]
    gully = {"kind": "point", "x": breadth // 2, "y": depth // 2, "diameter": 110}
    return [
        _wall("machines", breadth, height, holes=[*taps, *sockets]),
        _floor(breadth, depth, openings=[_threshold(rng, depth)], drains=[gully]),
    ]


def galley_kitchen(rng: random.Random) -> list[Json]:
    """Return the two walls above the worktops, a window in one, and the floor between."""
    long, depth, height = _about(rng, 3250), _about(rng, 2350), _about(rng, 610)
    window = {"kind": "window", "x": _about(rng, 1080), "y": 205, "width": 1010}
    window["height"] = height - 205
    hood = {"kind": "other", "x": _about(rng, 1640), "y": height - 130, "width": 600}
    sockets = [_socket(x, 190) for x in (310, 381, 2540, 2611)]
    return [
        _wall("window", long, height, openings=[window], holes=sockets[:2]),
        _wall("cooker", long, height, obstacles=[hood | {"height": 130}], holes=sockets[2:]),
        _floor(long, depth, openings=[_threshold(rng, depth)]),
    ]


def entrance(rng: random.Random) -> list[Json]:
    """Return the floor of an L-shaped entrance and a dado beside the stairs."""
    long, depth = _about(rng, 4200), _about(rng, 2950)
    x, y = _about(rng, 1850), _about(rng, 1650)
    mat = {"kind": "other", "x": _about(rng, 480), "y": 155, "width": 905, "height": 605}
    outline = [[0, 0], [long, 0], [long, y], [x, y], [x, depth], [0, depth]]
    floor = {"kind": "floor", "title": "floor", "outline": outline, "obstacles": [mat]}
    return [_wall("dado", long, _about(rng, 1090), holes=[_socket(640, 305)]), floor]


def pantry(rng: random.Random) -> list[Json]:
    """Return two walls round a cupboard and a small window, and the floor."""
    breadth, depth, height = _about(rng, 1380), _about(rng, 1980), _about(rng, 2050)
    cupboard = {"kind": "cupboard", "x": 0, "y": 0, "width": 610, "height": 870}
    foot = {"kind": "cupboard", "x": breadth - 610, "y": 0, "width": 610, "height": 420}
    return [
        _wall("long", depth, height, obstacles=[cupboard], holes=[_socket(910, 1150)]),
        _wall("end", breadth, height, openings=[_window(rng, 430, 1420, 480, 380)]),
        _floor(breadth, depth, obstacles=[foot]),
    ]


def washroom(rng: random.Random) -> list[Json]:
    """Return three walls with a row of three basins and a mirror, and the floor with a column."""
    breadth, depth, height = _about(rng, 3300), _about(rng, 2500), _about(rng, 2250)
    pipes = [pipe for x in (640, 1580, 2520) for pipe in _basin(rng, x)]
    mirror = {"kind": "other", "x": 350, "y": 1120, "width": breadth - 720, "height": 710}
    column = {"kind": "column", "x": _about(rng, 1350), "y": _about(rng, 1200), "width": 265}
    return [
        _wall("left", depth, height, openings=[_window(rng, 940, 1260, 590, 590)]),
        _wall("basins", breadth, height, obstacles=[mirror], holes=pipes),
        _wall("right", depth, height, openings=[_door(rng, 760)]),
        _floor(breadth, depth, obstacles=[column | {"height": 265}]),
    ]


def kitchen(rng: random.Random) -> list[Json]:
    """Return a splashback round a corner and a floor round a chimney breast and a hatch."""
    long, short, height = _about(rng, 3400), _about(rng, 1880), _about(rng, 585)
    depth, breast = _about(rng, 3750), {"kind": "other", "x": _about(rng, 1150), "y": 0}
    hatch = {"kind": "other", "x": _about(rng, 2250), "y": _about(rng, 2300), "width": 602}
    edge = [_socket(x, 170) for x in (290, 361, long - 420)]
    floor = [breast | {"width": _about(rng, 1010), "height": 395}, hatch | {"height": 602}]
    return [
        _wall("run", long, height, openings=[_window(rng, 1420, 190, 830, 310)], holes=edge),
        _wall("return", short, height, holes=[_socket(short - 330, 170)]),
        _floor(long, depth, openings=[_threshold(rng, depth)], obstacles=floor),
    ]


def wet_room(rng: random.Random) -> list[Json]:
    """Return four walls with a long niche, door, window and pipes, and the floor with a drain."""
    breadth, depth, height = _about(rng, 2050), _about(rng, 2250), _about(rng, 2540)
    drain = {"kind": "linear", "x": breadth // 2, "y": depth - 120, "width": 905, "height": 72}
    return [
        _wall("north", breadth, height, openings=[_niche(rng, 330, 1060, 1210, 190)]),
        _wall("east", depth, height, holes=[*_basin(rng, 900), _pipe(1540, 240, 110)]),
        _wall("south", breadth, height, openings=[_door(rng, 420)]),
        _wall("west", depth, height, openings=[_window(rng, 720, 1510, 910, 510)]),
        _floor(breadth, depth, drains=[drain]),
    ]


ROOMS: tuple[Room, ...] = (
    guest_toilet,
    family_bathroom,
    shower_room,
    en_suite,
    laundry,
    galley_kitchen,
    entrance,
    pantry,
    washroom,
    kitchen,
    wet_room,
)


def _wall(title: str, width: int, height: int, **parts: Any) -> Json:
    return {"kind": "wall", "title": title, "width": width, "height": height, **parts}


def _floor(width: int, height: int, **parts: Any) -> Json:
    return {"kind": "floor", "title": "floor", "width": width, "height": height, **parts}


def _hole(kind: str, x: int, y: int, **size: int) -> Json:
    return {"kind": kind, "x": x, "y": y, **size}


def _pipe(x: int, y: int, diameter: int = 30) -> Json:
    return _hole("pipe", x, y, diameter=diameter)


def _valve(x: int, y: int) -> Json:
    return _hole("valve", x, y, diameter=102)


def _socket(x: int, y: int) -> Json:
    return _hole("socket", x, y, diameter=62)


def _basin(rng: random.Random, x: int) -> list[Json]:
    """Return two water pipes and the waste below them."""
    y = _about(rng, 560)
    return [_pipe(x - 75, y), _pipe(x + 75, y), _pipe(x, y - 70, 50)]


def _window(rng: random.Random, x: int, y: int, width: int, height: int) -> Json:
    place = {"x": _about(rng, x), "y": _about(rng, y)}
    return {"kind": "window", **place, "width": width, "height": height}


def _niche(rng: random.Random, x: int, y: int, width: int, height: int) -> Json:
    return _window(rng, x, y, width, height) | {"kind": "niche"}


def _door(rng: random.Random, x: int) -> Json:
    return {"kind": "door", "x": _about(rng, x), "y": 0, "width": 855, "height": 2015}


def _threshold(rng: random.Random, depth: int) -> Json:
    """Return the part of a floor, in the far wall, where the door's own sill lies."""
    place = {"x": _about(rng, 640), "y": depth - 105}
    return {"kind": "door", **place, "width": 860, "height": 105}


def _about(rng: random.Random, length: int) -> int:
    """Return a length within a fourteenth of the one named."""
    return rng.randrange(length * 13 // 14, length * 15 // 14 + 1)
