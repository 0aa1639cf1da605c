"""Tests of the order: reserve, boxes, bars, materials, plan of work."""
