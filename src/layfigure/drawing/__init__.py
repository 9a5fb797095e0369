"""Pieces on paper and in files that others read."""
