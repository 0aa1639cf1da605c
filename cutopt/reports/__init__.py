"""What people see of a plan: summary, cut list and cut sheet."""

from cutopt.reports.cautions import CAUTIONS as CAUTIONS
from cutopt.reports.cut_list import write_cut_list as write_cut_list
from cutopt.reports.cut_sheet import draw_cut_sheet as draw_cut_sheet
from cutopt.reports.cut_sheet import draw_cut_sheets as draw_cut_sheets
from cutopt.reports.parts_list import write_parts as write_parts
from cutopt.reports.summary import write_summary as write_summary
from cutopt.reports.travel import travel_lines as travel_lines
