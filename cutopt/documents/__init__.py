"""What crosses the wire, defined once: request and plan. The home of pydantic in cutopt."""

from cutopt.documents.base import Document as Document
from cutopt.documents.base import parse_json as parse_json
from cutopt.documents.plan import Cut as Cut
from cutopt.documents.plan import CutTile as CutTile
from cutopt.documents.plan import Leftover as Leftover
from cutopt.documents.plan import Placement as Placement
from cutopt.documents.plan import Plan as Plan
from cutopt.documents.plan import Total as Total
from cutopt.documents.request import ALL_SIDES as ALL_SIDES
from cutopt.documents.request import Hole as Hole
from cutopt.documents.request import Offcut as Offcut
from cutopt.documents.request import Piece as Piece
from cutopt.documents.request import Request as Request
from cutopt.documents.request import Saw as Saw
from cutopt.documents.request import Side as Side
from cutopt.documents.request import Tile as Tile
from cutopt.documents.request import is_full_tile as is_full_tile
