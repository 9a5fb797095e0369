"""Colour: what a cloth, a paint or skin looks like, how sure that is, and whether two of them match."""
