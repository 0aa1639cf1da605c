"""What to buy: spare tiles as a computed reserve, boxes, trim, materials, and the plan of work."""

from cutopt.buying.order import make_order as make_order
