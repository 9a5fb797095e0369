"""Placement: the design's edges carried to one wearer, with what a tape can check."""
