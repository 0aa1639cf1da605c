"""Tests of the cut order."""
