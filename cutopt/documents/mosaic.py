"""Mosaic on sheets: the tile is a sheet of chips, parted with a knife along their joints."""

from collections.abc import Iterator

from pydantic import Field

from cutopt.documents.base import Part, Size
from cutopt.documents.laying import Joint
from cutopt.errors import Fault
from cutopt.units import Units, show_length


class Mosaic(Part):
    """Chips on a sheet, which is parted with a knife: the joint between two chips is opened."""

    chip_width: Size
    chip_height: Size
    joint: Joint
    joined: bool = Field(
        default=True,
        strict=True,
        description="May a part of a sheet be put together from two offcuts, along a joint?",
    )

    @property
    def parting(self) -> int:
        """Return what lies between two chips: it is opened with a knife, and nothing is lost."""
        width: int = self.joint
        return width

    @property
    def across(self) -> int:
        """Return the width of a chip and a joint."""
        pitch: int = self.chip_width + self.joint
        return pitch

    @property
    def up(self) -> int:
        """Return the height of a chip and a joint."""
        pitch: int = self.chip_height + self.joint
        return pitch

    def is_whole(self, width: int, height: int) -> bool:
        """Tell whether a box holds whole chips, with the joints between them and no other."""
        return not ((width + self.joint) % self.across or (height + self.joint) % self.up)


def faults_of_sheet(
    place: str, size: tuple[int, int], mosaic: Mosaic, units: Units
) -> Iterator[Fault]:
    """Return where a sheet is not as many chips and joints as go into it."""
    sides = (("width", size[0], mosaic.chip_width), ("height", size[1], mosaic.chip_height))
    for side, sheet, chip in sides:
        pitch = chip + mosaic.joint
        if (sheet + mosaic.joint) % pitch:
            rule = (
                f"a sheet is as many chips and the joints between them as go into it: its {side} "
                f"is a multiple of {show_length(pitch, units)}, less one joint"
            )
            yield Fault(f"{place}/chip_{side}", show_length(chip, units), rule)
