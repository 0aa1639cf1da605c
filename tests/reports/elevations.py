"""What the tests of elevations read off a drawing: its tiles, its words, its tags."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import shapely
from shapely.affinity import affine_transform

from cutopt.documents import Job
from cutopt.layout import LaidSurface, TakeOff, take_off
from cutopt.reports.elevation import draw_elevation
from cutopt.units import MM

SVG = "{http://www.w3.org/2000/svg}"
Numbers = list[float]


@dataclass(frozen=True)
class Elevation:
    """A drawing with what it was made from."""

    surface: LaidSurface
    found: TakeOff
    svg: str

    @cached_property
    def root(self) -> ET.Element:
        return ET.fromstring(self.svg)

    @cached_property
    def words(self) -> list[str]:
        """Every line of text that is seen."""
        return [element.text or "" for element in self.root.iter(f"{SVG}text")]

    @cached_property
    def said(self) -> str:
        return " ".join(self.words)

    def of_class(self, name: str) -> list[ET.Element]:
        return [element for element in self.root.iter() if element.get("class") == name]

    @cached_property
    def outline(self) -> shapely.Polygon:
        """The surface on paper."""
        (ground,) = self.of_class("surface")
        return shapely.Polygon(_rings(ground.get("d", ""))[0])

    @cached_property
    def matrix(self) -> Numbers:
        """The transform of the tiles, as shapely wants it."""
        (tiles,) = self.of_class("tiles")
        a, b, c, d, e, f = _numbers(tiles.get("transform", ""))
        return [a, c, b, d, e, f]

    @cached_property
    def cut(self) -> list[shapely.Polygon]:
        """The cut pieces on paper."""
        shapes = [_rings(path.get("d", "")) for path in self.of_class("cut")]
        return [
            affine_transform(shapely.Polygon(outer, holes), self.matrix) for outer, *holes in shapes
        ]

    @cached_property
    def whole(self) -> list[shapely.Polygon]:
        """The whole tiles on paper, the runs taken apart."""
        tiles = [tile for path in self.of_class("whole") for tile in _tiles(path)]
        return [affine_transform(tile, self.matrix) for tile in tiles]

    @property
    def ratio(self) -> float:
        """How many millimetres of the surface are one on paper."""
        width = max(x for x, _ in self.surface.outline) - min(x for x, _ in self.surface.outline)
        left, _, right, _ = self.outline.bounds
        return width / MM / (right - left)


def drawn(job: Job, number: int = 0) -> Elevation:
    """Draw one surface of a job."""
    found = take_off(job)
    surface = found.surfaces[number]
    return Elevation(surface, found, draw_elevation(job, found, surface))


def labels_said(words: str) -> set[str]:
    """Return the labels in a text, spans written out."""
    said = set()
    label = r"([A-Z]+)(\d+)\.(\d+)"
    for mark, course, first, last in re.findall(rf"\b{label} to [A-Z]+\d+\.(\d+)\b", words):
        said |= {f"{mark}{course}.{n}" for n in range(int(first), int(last) + 1)}
    for mark, *numbers in re.findall(rf"\b{label}, {label} … {label}\b", words):
        c1, p1, _, c2, p2, _, c3, p3 = (int(n) if n.isdigit() else 0 for n in numbers)
        steps = max(abs(c3 - c1), abs(p3 - p1)) // max(abs(c2 - c1), abs(p2 - p1))
        places = [(c1 + n * (c2 - c1), p1 + n * (p2 - p1)) for n in range(steps + 1)]
        assert places[-1] == (c3, p3)
        said |= {f"{mark}{course}.{position}" for course, position in places}
    return said | set(re.findall(r"\b[A-Z]+\d+\.\d+[a-z]*\b", words))


def _numbers(text: str) -> Numbers:
    return [float(number) for number in re.findall(r"-?[\d.]+(?:e-?\d+)?", text)]


def _rings(way: str) -> list[list[tuple[float, float]]]:
    """Return the closed rings of path data; a circle becomes its square."""
    rings = []
    for part in filter(None, way.split("M")):
        numbers = _numbers(part)
        if "A" in part:
            x, y, r = numbers[0], numbers[1], numbers[2]
            rings.append([(x, y - r), (x + 2 * r, y - r), (x + 2 * r, y + r), (x, y + r)])
        else:
            rings.append(list(zip(numbers[::2], numbers[1::2], strict=True)))
    return rings


def _tiles(path: ET.Element) -> Iterator[shapely.Polygon]:
    way, dashes = path.get("d", ""), path.get("stroke-dasharray")
    if dashes is None:
        yield from map(shapely.Polygon, _rings(way))
        return
    (width, gap), height = _numbers(dashes), float(path.get("stroke-width", ""))
    for part in filter(None, way.split("M")):
        start, middle, end = _numbers(part)
        for number in range(round((end - start + gap) / (width + gap))):
            left = start + number * (width + gap)
            yield shapely.box(left, middle - height / 2, left + width, middle + height / 2)
