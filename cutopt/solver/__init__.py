"""Kinds of pieces and sheets in, the fewest sheets out. The only home of OR-Tools.

It knows neither documents nor surfaces: only whole numbers.
"""

from cutopt.solver.bars import Bar as Bar
from cutopt.solver.bars import BarSolution as BarSolution
from cutopt.solver.bars import CutBar as CutBar
from cutopt.solver.bars import cut_bars as cut_bars
from cutopt.solver.covering import Covering as Covering
from cutopt.solver.covering import fewest_of as fewest_of
from cutopt.solver.cutters import Router as Router
from cutopt.solver.cutters import Step as Step
from cutopt.solver.missing import missing_in as missing_in
from cutopt.solver.nests import convex_hull as convex_hull
from cutopt.solver.preferences import Wishes as Wishes
from cutopt.solver.problem import ALL_SIDES as ALL_SIDES
from cutopt.solver.problem import BOTTOM as BOTTOM
from cutopt.solver.problem import LEFT as LEFT
from cutopt.solver.problem import RIGHT as RIGHT
from cutopt.solver.problem import TOP as TOP
from cutopt.solver.problem import Cutting as Cutting
from cutopt.solver.problem import Join as Join
from cutopt.solver.problem import Kind as Kind
from cutopt.solver.problem import Leaf as Leaf
from cutopt.solver.problem import Nest as Nest
from cutopt.solver.problem import Pocket as Pocket
from cutopt.solver.problem import Problem as Problem
from cutopt.solver.problem import Proof as Proof
from cutopt.solver.problem import Sheet as Sheet
from cutopt.solver.problem import Solution as Solution
from cutopt.solver.problem import Stand as Stand
from cutopt.solver.problem import Tree as Tree
from cutopt.solver.solve import solve as solve
from cutopt.solver.tools import Cutters as Cutters
