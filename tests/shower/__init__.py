"""Tests of the parts of a shower."""
