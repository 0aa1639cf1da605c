"""Tests of the shape of the house."""
