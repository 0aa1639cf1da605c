"""Tests of lengths: exact, read and written in any unit of the trade."""
