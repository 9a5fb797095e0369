"""Panels, banners, tails and sashes that hang from a line."""
