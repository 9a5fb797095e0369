"""The same measures give the same body whatever a processor's last digits are."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

SAME = 1e-6
"""No place of a body may move further than this [mm]."""


def fitted(folder: Path, seed: int, nudge: float, **environment: str) -> np.ndarray:
    """Places of people fitted in a process of their own."""
    file = folder / "places.npy"
    path = os.pathsep.join(str(Path(entry).resolve()) for entry in sys.path)
    subprocess.run(
        [sys.executable, "-m", "tests.body.nudged_fit", str(seed), str(nudge), str(file)],
        check=True,
        env=os.environ | {"PYTHONPATH": path} | environment,
    )
    return np.load(file)


def farthest(one: np.ndarray, other: np.ndarray) -> float:
    return float(np.linalg.norm(one - other, axis=1).max())


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> np.ndarray:
    return fitted(tmp_path_factory.mktemp("usual"), 0, 0.0)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_points_of_the_template_off_by_their_last_digit_give_the_same_body(usual, tmp_path, seed) -> None:
    nudged = fitted(tmp_path, seed, 1e-12)
    assert not np.array_equal(nudged, usual)
    assert farthest(nudged, usual) < SAME


def test_a_processor_that_multiplies_matrices_otherwise_gives_the_same_body(usual, tmp_path) -> None:
    """Products are added up in another order by the kernels of an early processor, if there is a choice."""
    early = fitted(tmp_path, 0, 0.0, OPENBLAS_CORETYPE="Prescott")
    assert farthest(early, usual) < SAME
