"""The page on the phantom shows code that runs."""

import re
from pathlib import Path

import pytest

from thumbwright.core.radiograph.landmarks import RayName
from thumbwright.phantom.films import PhantomFilm

PAGE = Path(__file__).parents[2] / "docs" / "phantom.md"


def test_the_example_of_the_page_exposes_a_stump() -> None:
    (example,) = re.findall(r"```python\n(.*?)```", PAGE.read_text("utf-8"), re.DOTALL)
    names: dict[str, object] = {}
    exec(example, names)  # noqa: S102  our own page
    film = names["film"]
    assert isinstance(film, PhantomFilm)
    by_hand_mm = 1.7 / 2 + 0.6 * (46.2 + 1.8 + 31.6 + 1.5 + 21.7)
    found = film.truth.length_to_tip_mm(RayName.THUMB, "CMC joint")
    assert found == pytest.approx(by_hand_mm)
