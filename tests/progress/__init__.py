"""Tests of the work under way."""
