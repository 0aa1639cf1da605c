"""Tests of the exact plane geometry."""
