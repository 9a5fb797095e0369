"""The study's whole input: marks on pictures, as ``design.marks`` defines them."""

from layfigure.design.marks import EdgeMarks, OutlineMarks, PictureMarks, View

__all__ = ["EdgeMarks", "OutlineMarks", "PictureMarks", "View"]
