"""Bodies that several tests draft on."""

import pytest
from stiff_limbs import RADIUS, TALL, drum

from layfigure.body.form import Form


@pytest.fixture(scope="session", name="drum")
def drum_of_known_size() -> Form:
    """A round trunk of RADIUS and TALL."""
    return drum(RADIUS, TALL)
