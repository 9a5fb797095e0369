"""Geometry that knows nothing of bodies or clothes: curves, sections, meshes, solvers."""
