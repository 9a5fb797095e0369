"""Skirts, capes and ruffles from any part of a circle."""
