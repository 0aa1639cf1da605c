"""Where each surface may begin within its rules: boxes of starts, each with its pieces."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import product
from math import prod

from cutopt.documents.job import cells_of
from cutopt.documents.setting_out import SettingOut
from cutopt.setting_out.critical import Stretch
from cutopt.setting_out.forms import Box
from cutopt.setting_out.sights import Sights
from cutopt.setting_out.space import Space
from cutopt.setting_out.span import Along, Span, clipped, span_of, thinnest

#: Surfaces with more boxes times cells than this, and slanted ones, are tried at single starts.
MOST_WORK = 40_000
#: So many values of a variable are tried on them.
MOST_TRIED = 9
#: When no start keeps the floor of a surface, so much of it is asked for instead, and so on.
EASED = tuple(Fraction(part, 10) for part in range(10, -1, -1))


@dataclass(frozen=True)
class Option:
    """A box of starts of one surface and the surface over it."""

    box: Box
    span: Span


@dataclass
class Options:
    """The boxes of every surface, under rules that its starts can keep.

    Attributes
    ----------
    eased : dict
        Surfaces none of whose starts keeps the floor, with the share that is asked for instead.
    asked : dict
        What was last asked of each surface: least share of a tile, and narrowest part.
    sampled : set
        Surfaces that are only tried at some starts: nothing is proven about the others.
    """

    space: Space
    sights: Sights
    domains: Sequence[Sequence[Stretch]]
    eased: dict[str, Fraction] = field(default_factory=dict)
    sampled: set[str] = field(default_factory=set)
    asked: dict[str, tuple[Fraction, int]] = field(default_factory=dict)
    _raw: dict[str, list[Option]] = field(default_factory=dict)

    @property
    def everything(self) -> Box:
        """Return the box of all starts."""
        periods = [variable.period for variable in self.space.variables]
        return Box((0,) * len(periods), tuple(period - 1 for period in periods))

    def along(self, place: str) -> Along:
        """Return the variables of a surface."""
        return self.sights.along[place]

    def span(self, place: str, box: Box) -> Span:
        """Return a surface over a box that lies within one of its stretches."""
        if place in self.sights.irregular and not box.is_point:
            return Span(0, (), (), False, False)
        ends = self.sights.at(place, box.low), self.sights.at(place, box.high)
        return span_of(ends, box, self.along(place), self.sights.round[place])

    def of(self, place: str, share: Fraction | None = None) -> list[Option]:
        """Return the boxes in which a surface keeps its rules.

        Parameters
        ----------
        share : Fraction, optional
            The least cut that is asked for, as a share of the tile; that of its rule when left out.
        """
        if share is not None:
            return self.kept(place, share, self.sliver(place))
        floor, thin = self.rule(place).least_cut.floor, thinnest(self.sights.tiles[place])
        for sliver in (usual := self.sliver(place), thin):
            for ease in EASED:
                if found := self.kept(place, floor * ease, sliver):
                    if ease < 1 or sliver != usual:
                        self.eased[place] = floor * ease
                    return found
        return self.kept(place, Fraction(0), 0)

    def keeps(self, values: Sequence[int], asked: Mapping[str, tuple[Fraction, int]]) -> bool:
        """Tell whether every cut at a start is as large as asked."""
        point = Box(tuple(values), tuple(values))
        return all(
            clipped(self.span(place, point), point, *least) is not None
            for place, least in asked.items()
        )

    def eased_to(self, place: str, ease: Fraction) -> list[Option]:
        """Return the boxes in which a surface keeps a part of its floor, or less if it must."""
        floor = min(self.rule(place).least_cut.floor * ease, self.eased.get(place, Fraction(1)))
        if found := self.kept(place, floor, self.sliver(place)):
            self.eased[place] = floor
            return found
        return self.kept(place, floor, thinnest(self.sights.tiles[place])) or self.of(place)

    def decides(self, place: str) -> bool:
        """Tell whether a start decides any cut of a surface."""
        return any(option.span.sizes for option in self._stretched(place))

    def rule(self, place: str) -> SettingOut:
        """Return the rule of a surface; surfaces unfolded from parts have the usual one."""
        mark = self.sights.ground(place).surface.id
        return self.space.rules.get(mark, SettingOut())

    def sliver(self, place: str) -> int:
        """Return the narrowest cut that a surface may have."""
        said = self.rule(place).least_cut.sliver
        least: int = self.space.job.saw.least_strip if said is None else said
        return max(least, thinnest(self.sights.tiles[place]))

    def kept(self, place: str, share: Fraction, sliver: int) -> list[Option]:
        """Return the boxes that keep the rules, if possible without a hole in a tile's corner."""
        self.asked[place] = (share, sliver)
        found = []
        for option in self._stretched(place):
            box = clipped(option.span, option.box, share, sliver)
            if box is not None:
                again = option.span.has_gaps
                found.append(Option(box, self.span(place, box) if again else option.span))
        return [option for option in found if not option.span.cuts_corner] or found

    def _stretched(self, place: str) -> list[Option]:
        """Return a surface over every pair of stretches of its variables."""
        if place not in self._raw:
            numbers = sorted({at for at in self.along(place) if at is not None})
            choices = [list(self.domains[at]) for at in numbers]
            if not self._is_exact(place, prod(map(len, choices))):
                self.sampled.add(place)
                choices = [_tried(stretches) for stretches in choices]
            boxes = (self._boxed(numbers, chosen) for chosen in product(*choices))
            self._raw[place] = [Option(box, self.span(place, box)) for box in boxes]
        return self._raw[place]

    def _is_exact(self, place: str, boxes: int) -> bool:
        moves = any(at is not None for at in self.along(place))
        slanted = place in self.sights.irregular or self.sights.round[place].slanted
        ground = self.sights.ground(place)
        cells = cells_of(ground.surface, ground.tile)
        return boxes * cells <= MOST_WORK and not (moves and slanted)

    def _boxed(self, numbers: Sequence[int], chosen: Sequence[Stretch]) -> Box:
        box = self.everything
        for at, stretch in zip(numbers, chosen, strict=True):
            box = box.within(at, stretch.low, stretch.high)
        return box


def _tried(stretches: Sequence[Stretch]) -> list[Stretch]:
    """Return single values spread over the stretches of a variable."""
    values = sorted({v for s in stretches for v in (s.low, (s.low + s.high) // 2)})
    step = max(1, -(-len(values) // MOST_TRIED))
    return [Stretch(value, value) for value in values[::step]]
