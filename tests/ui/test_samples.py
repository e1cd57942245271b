"""The samples that come with the project."""

import numpy as np
import pytest

from ui.samples import samples
from ui.stills import first_still


def test_every_sample_is_there_with_a_title_and_a_radius() -> None:
    found = samples()
    assert len(found) == 4
    assert all(sample.path.is_file() for sample in found)
    assert all(0.02 < sample.radius_m < 0.06 for sample in found)
    assert found[0].title == "Leaf tea topples"
    assert [sample.angle_deg is None for sample in found].count(True) == 1


@pytest.mark.parametrize("sample", samples(), ids=lambda sample: sample.path.stem)
def test_every_sample_opens_upright(sample) -> None:
    still = first_still(sample.path)
    assert (still.width, still.height) == (1280, 720)
    assert still.jpeg[:2] == b"\xff\xd8"
    assert np.frombuffer(still.jpeg, np.uint8).size > 10_000
