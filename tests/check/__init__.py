"""Tests of the independent check."""
