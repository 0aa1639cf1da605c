"""Tests of the solver, most of them against a search that tries everything."""
