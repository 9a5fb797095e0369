"""The one self-contained page that shows everything."""
