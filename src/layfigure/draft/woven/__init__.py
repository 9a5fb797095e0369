"""Garments of cloth that does not stretch."""
