"""Tests of the take-off."""
