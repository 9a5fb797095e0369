"""Pouches and rolls sized from what must fit in them."""
