"""Cloths and sheets: how they stretch, weigh and bend."""
