"""Tests of what lies between a request and the solver, and between its answer and the plan."""
