"""Which taken measures ask for more than a body of that kind would need."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files

from layfigure.body.measures import split_name


@lru_cache(maxsize=1)
def _calibration() -> tuple[float, float, Mapping[str, tuple[float, float]]]:
    text = files("layfigure.body").joinpath("data/fit_plausibility.toml").read_text(encoding="utf-8")
    document = tomllib.loads(text)
    shares = {name: (float(low), float(high)) for name, (low, high) in document["usual"].items()}
    return float(document["threshold"]), float(document["default_spread"]), shares


def surprise(name: str, scale: float) -> float:
    """How unusual it is that step B changes a measure by this share, in spreads of real people."""
    _, default, usual = _calibration()
    mean, spread = usual.get(split_name(name)[0].name, (0.0, default))
    return abs(scale - mean) / spread


def surprising_measures(scales: Mapping[str, float]) -> list[str]:
    """Measures beyond the threshold 5 % of real people reach, worst first, three at most."""
    threshold, _, _ = _calibration()
    ranked = sorted(((surprise(n, s), n) for n, s in scales.items()), reverse=True)
    return [name for value, name in ranked[:3] if value > threshold]
