"""Areas, cells and what they leave of each other: the home of shapely in cutopt."""

from cutopt.geometry.cells import Cells as Cells
from cutopt.geometry.cells import Courses as Courses
from cutopt.geometry.cells import Member as Member
from cutopt.geometry.cells import Motif as Motif
from cutopt.geometry.frame import Frame as Frame
from cutopt.geometry.offset import around_circle as around_circle
from cutopt.geometry.offset import shifted as shifted
from cutopt.geometry.rectilinear import Shape as Shape
from cutopt.geometry.region import Border as Border
from cutopt.geometry.region import Nearest as Nearest
from cutopt.geometry.region import Region as Region
from cutopt.geometry.region import less as less
