"""Patterns on paper: sheets that fit a printer, joined true to size."""
