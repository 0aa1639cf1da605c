"""Tests of tables and drawings, in and out."""
