"""From measured surfaces to named pieces, and the check that compares the two."""

from cutopt.layout.check import check_take_off as check_take_off
from cutopt.layout.model import EdgeRule as EdgeRule
from cutopt.layout.model import FallHeight as FallHeight
from cutopt.layout.model import Finding as Finding
from cutopt.layout.model import Gap as Gap
from cutopt.layout.model import LaidPiece as LaidPiece
from cutopt.layout.model import LaidSurface as LaidSurface
from cutopt.layout.model import SoftJoint as SoftJoint
from cutopt.layout.model import TakeOff as TakeOff
from cutopt.layout.model import TrimRun as TrimRun
from cutopt.layout.takeoff import take_off as take_off
