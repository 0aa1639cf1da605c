"""Tests of the printed papers and exchange files."""
