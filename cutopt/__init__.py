"""From the tile and the pieces to the provably fewest tiles, cut by cut.

>>> from cutopt import Request, plan
>>> request = Request.of({
...     "tiles": [{"id": "field", "width": 600, "height": 300, "turn": "half"}],
...     "pieces": [{"id": "end", "width": 290, "height": 300, "quantity": 4}],
... })
>>> plan(request).totals[0].tiles_needed
2
"""

from cutopt.check import check_plan as check_plan
from cutopt.documents import Plan as Plan
from cutopt.documents import Request as Request
from cutopt.errors import BrokenPlan as BrokenPlan
from cutopt.errors import CannotBeMet as CannotBeMet
from cutopt.errors import CutoptError as CutoptError
from cutopt.errors import Fault as Fault
from cutopt.errors import InvalidInput as InvalidInput
from cutopt.pipeline import plan as plan
from cutopt.version import VERSION as VERSION
