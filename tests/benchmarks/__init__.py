"""Tests of the benchmark: its baselines and instances must be right to be worth comparing with."""
