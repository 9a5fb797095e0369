"""Carry a fictional character's outfit from pictures to a real body, and cut it."""

__version__ = "0.1.0"
