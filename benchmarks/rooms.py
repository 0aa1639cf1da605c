"""The rooms of the benchmark: kinds of rooms in a fictional house, sizes drawn from a seed.

Lengths are millimetres. Sizes are such as rooms have (common practice, no source).
"""

import random
from collections.abc import Callable

from benchmarks.setting_out import Circle, Surface
from cutopt.plane import Rect

Room = Callable[[random.Random], tuple[Surface, ...]]

PIPE, VALVE, SOCKET, DRAIN = 35, 105, 68, 110


def shower_alcove(rng: random.Random) -> tuple[Surface, ...]:
    """Return three walls: a window in the back one, a niche left, valve and arm right."""
    depth, breadth, height = _about(rng, 900), _about(rng, 1200), _about(rng, 2150)
    sill, window = rng.randrange(1150, 1300), rng.randrange(560, 700)
    left = rng.randrange(200, breadth - window - 200)
    niche = Rect(rng.randrange(150, depth - 500), rng.randrange(950, 1150), 300, 320)
    return (
        Surface("left", depth, height, (niche,)),
        Surface("back", breadth, height, (Rect(left, sill, window, height - sill - 250),)),
        Surface(
            "right",
            depth,
            height,
            holes=(Circle(depth // 2, 1083, VALVE), Circle(depth // 2, height - 137, PIPE)),
        ),
    )


def tub_surround(rng: random.Random) -> tuple[Surface, ...]:
    """Return three walls above a bath: taps at one end, a low window over the long side."""
    end, long, height = _about(rng, 740), _about(rng, 1700), _about(rng, 1520)
    window = Rect(rng.randrange(450, 650), rng.randrange(680, 800), 600, height)
    taps = (Circle(end // 2, 260, VALVE), Circle(end // 2, 621, PIPE))
    return (
        Surface("tap-end", end, height, holes=taps),
        Surface("long", long, height, (window,)),
        Surface("far-end", end, height),
    )


def cloakroom(rng: random.Random) -> tuple[Surface, ...]:
    """Return the half-high walls of a WC: a boxed-in cistern with its flush plate, a basin."""
    breadth, depth, height = _about(rng, 930), _about(rng, 1480), _about(rng, 1210)
    plate = Rect(breadth // 2 - 123, 951, 246, 164)
    waste = Circle(breadth // 2, 231, DRAIN)
    basin = (Circle(depth - 611, 552, 50), Circle(depth - 686, 613, PIPE))
    return (
        Surface("left", depth, height),
        Surface("back", breadth, height, (plate,), (waste,)),
        Surface("right", depth, height, holes=basin),
    )


def kitchen_splashback(rng: random.Random) -> tuple[Surface, ...]:
    """Return the wall above a worktop round a corner: a window, sockets."""
    long, short, height = _about(rng, 2900), _about(rng, 1750), _about(rng, 590)
    window = Rect(rng.randrange(900, 1200), 187, 810, height)
    sockets = (Circle(311, 151, SOCKET), Circle(382, 151, SOCKET), Circle(long - 411, 151, SOCKET))
    return (
        Surface("run", long, height, (window,), sockets),
        Surface("return", short, height, holes=(Circle(short - 297, 151, SOCKET),)),
    )


def basin_wall(rng: random.Random) -> tuple[Surface, ...]:
    """Return one wall with two basins, a mirror let in, and a ledge."""
    breadth, height = _about(rng, 2350), _about(rng, 2050)
    pipes = tuple(Circle(x, 549, PIPE) for x in (571, 651, breadth - 651, breadth - 571))
    mirror = Rect(rng.randrange(330, 430), 1112, breadth - 817, 737)
    return (
        Surface("wall", breadth, height, (mirror,), pipes),
        Surface("ledge", breadth, rng.randrange(150, 220)),
    )


def floor_with_column(rng: random.Random) -> tuple[Surface, ...]:
    """Return a small floor around a column, with a door recess."""
    breadth, depth = _about(rng, 2350), _about(rng, 2850)
    side = rng.randrange(240, 340)
    column = Rect(rng.randrange(700, 1200), rng.randrange(900, 1400), side, side)
    beside_door = Rect(rng.randrange(800, 900), depth - rng.randrange(90, 130), breadth, depth)
    return (Surface("floor", breadth, depth, (column, beside_door)),)


def hall_floor(rng: random.Random) -> tuple[Surface, ...]:
    """Return the floor of an angled hall: foot of the stairs, two door recesses."""
    breadth, depth = _about(rng, 2150), _about(rng, 5200)
    stairs = Rect(0, 0, rng.randrange(850, 980), rng.randrange(1900, 2400))
    corner = Rect(rng.randrange(1250, 1400), rng.randrange(3300, 3800), breadth, depth)
    threshold = Rect(1061, depth - 114, breadth, depth)
    return (Surface("floor", breadth, depth, (stairs, corner, threshold)),)


def kitchen_floor(rng: random.Random) -> tuple[Surface, ...]:
    """Return the floor of a kitchen around a chimney breast and a hatch."""
    breadth, depth = _about(rng, 3150), _about(rng, 3700)
    chimney = Rect(rng.randrange(900, 1300), 0, rng.randrange(900, 1100), rng.randrange(330, 460))
    hatch = Rect(rng.randrange(1900, 2200), rng.randrange(2000, 2500), 603, 603)
    return (Surface("floor", breadth, depth, (chimney, hatch)),)


def utility_room(rng: random.Random) -> tuple[Surface, ...]:
    """Return a wall with machine taps and a sink, and the floor with its drain."""
    breadth, depth, height = _about(rng, 2050), _about(rng, 2600), _about(rng, 1350)
    taps = (Circle(387, 951, PIPE), Circle(487, 951, PIPE), Circle(1204, 553, 50))
    cupboard = Rect(breadth - rng.randrange(450, 600), 0, breadth, rng.randrange(700, 850))
    plinth = Rect(0, 0, rng.randrange(600, 680), rng.randrange(620, 690))
    return (
        Surface("wall", breadth, height, (cupboard,), taps),
        Surface("floor", breadth, depth, (plinth,), (Circle(breadth // 2, 1307, DRAIN),)),
    )


def bathroom_walls(rng: random.Random) -> tuple[Surface, ...]:
    """Return four walls to door height: door, window, niche, pipes."""
    breadth, depth, height = _about(rng, 1950), _about(rng, 2600), _about(rng, 2080)
    door = Rect(rng.randrange(120, 260), 0, 845, 2011)
    window = Rect(rng.randrange(500, 700), rng.randrange(1050, 1200), 760, 700)
    niche = Rect(rng.randrange(900, 1500), rng.randrange(1000, 1100), 603, 282)
    waste = (Circle(611, 231, DRAIN), Circle(1612, 553, 50))
    return (
        Surface("north", breadth, height, (window,)),
        Surface("east", depth, height, holes=waste),
        Surface("south", breadth, height, (door,)),
        Surface("west", depth, height, (niche,)),
    )


def bathroom_floor(rng: random.Random) -> tuple[Surface, ...]:
    """Return the floor of a bathroom beside a shower tray, with waste pipe and door recess."""
    breadth, depth = _about(rng, 1950), _about(rng, 2600)
    tray = Rect(breadth - 902, depth - 902, 902, 902)
    beside_door = Rect(rng.randrange(860, 980), 0, breadth, rng.randrange(80, 120))
    return (Surface("floor", breadth, depth, (tray, beside_door), (Circle(611, 214, DRAIN),)),)


def _about(rng: random.Random, length: int) -> int:
    """Return a length within a twelfth of the one named."""
    return rng.randrange(length * 11 // 12, length * 13 // 12 + 1)
