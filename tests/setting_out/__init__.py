"""Tests of setting out: the best start against trying them all, and against the trade."""
