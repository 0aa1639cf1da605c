"""What others bring and take away: tables (CSV, RFC 4180) and drawings (DXF). Home of ezdxf."""

from cutopt.exchange.dxf import write_dxf as write_dxf
from cutopt.exchange.outlines import read_outlines as read_outlines
from cutopt.exchange.setup import Setup as Setup
from cutopt.exchange.setup import read_tile as read_tile
from cutopt.exchange.tables import read_table as read_table
