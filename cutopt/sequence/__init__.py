"""The cut order: from a plan to what somebody does at the saw, step by step."""

from cutopt.sequence.sequence import NoCuts as NoCuts
from cutopt.sequence.sequence import cut_order as cut_order
from cutopt.sequence.workload import workload_of as workload_of
