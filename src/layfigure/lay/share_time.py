"""Search time shared out by what there is to win."""

from __future__ import annotations

from collections.abc import Sequence

from layfigure.lay.layout import Section

FEW, FEW_SECONDS = 4, 5.0
"""With so few copies a longer search finds nothing more [s]."""


def share_time(sections: Sequence[Section], seconds: float, *, least: float = 2.0) -> list[float]:
    """Seconds for each section. The gain a section could still give is the cloth above its bound [mm²].

    A section at its bound, or with one copy, gets none; one with few copies gets little. What they leave goes
    to the others; a share below ``least`` is none.
    """
    gains = [
        0.0
        if len(section.laid) < 2 or section.length <= section.bound * 1.0005
        else (section.length - section.bound) * section.width * section.layers
        for section in sections
    ]
    most = [FEW_SECONDS if len(section.laid) <= FEW else seconds for section in sections]
    shares = [0.0] * len(sections)
    open_ = [index for index, gain in enumerate(gains) if gain > 0.0]
    left = seconds
    while open_ and left > 1e-9:
        # Twice the cloth to win is worth more time, but not twice: the first seconds win most.
        weights = {index: gains[index] ** 0.5 for index in open_}
        total = sum(weights.values())
        given = {index: left * weight / total for index, weight in weights.items()}
        full = [index for index in open_ if shares[index] + given[index] >= most[index]]
        if not full:
            for index, time in given.items():
                shares[index] += time
            break
        for index in full:
            left -= most[index] - shares[index]
            shares[index] = most[index]
        open_ = [index for index in open_ if index not in full]
    return [share if share >= least else 0.0 for share in shares]
