"""From a request to what the solver sees, and from its solution back to a plan."""

from cutopt.planning.assemble import plan_tiles as plan_tiles
