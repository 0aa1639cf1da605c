"""Papers for the bench and the wall: one PDF. The home of typst and segno.

Every drawing in it is one of `cutopt.reports`; only tables, labels and pages are set here.
"""

from cutopt.papers.bundle import Bundle as Bundle
from cutopt.papers.bundle import Elevation as Elevation
from cutopt.papers.bundle import print_bundle as print_bundle
from cutopt.papers.order_sheet import print_order as print_order
from cutopt.papers.press import Paper as Paper
