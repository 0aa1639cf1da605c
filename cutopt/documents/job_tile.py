"""A tile of a job: what a request knows of it, and what the rules for joints want to know."""

from typing import Literal

from pydantic import Field

from cutopt.documents.base import Size, Width
from cutopt.documents.request import Tile


class JobTile(Tile):
    """A tile, with what the rules for joints want to know about it."""

    thickness: Size | None = None
    edge: Literal["natural", "calibrated", "rectified"] | None = None
    spread: Width | None = Field(
        default=None, description="Largest less smallest side, measured over several tiles."
    )
    warp: Width | None = Field(default=None, description="Warp of the longest edge, measured.")

    def of_request(self) -> Tile:
        """Return the tile as a request names it."""
        return Tile(**{name: getattr(self, name) for name in Tile.model_fields})
