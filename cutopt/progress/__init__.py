"""Work under way: what the marks say is done, broken or measured anew, and a new plan from there.

It stands above the pipeline: a new plan is made by planning what is left from what is there.
"""

from cutopt.progress.left import order_left as order_left
from cutopt.progress.replan import Need as Need
from cutopt.progress.replan import Replan as Replan
from cutopt.progress.replan import replan as replan
from cutopt.progress.running_short import Chance as Chance
from cutopt.progress.state import State as State
from cutopt.progress.state import state_of as state_of
