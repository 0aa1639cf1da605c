"""The reports: summary, cut list, cut sheet."""
