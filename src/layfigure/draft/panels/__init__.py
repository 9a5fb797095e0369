"""Panels of close cloth: which seams bound them, and how they lie on the body."""
