"""Parts that several tests lay."""

from typing import Any

import numpy as np

from layfigure.lay.part import Part


def rectangle(slug: str, length: float, width: float, **more: Any) -> Part:
    outline = np.array([[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]])
    return Part(slug=slug, label=slug.replace("_", " "), outline=outline, **more)


def wedge(slug: str, **more: Any) -> Part:
    """A triangle that is not its own mirror image."""
    outline = np.array([[0.0, 0.0], [600.0, 0.0], [0.0, 300.0]])
    return Part(slug=slug, label=slug, outline=outline, **more)
