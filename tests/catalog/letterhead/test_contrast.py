"""A color for papers can be read on white."""

import pytest

from catalog.letterhead.contrast import UnfitColor, on_white, paper_color


def test_contrast_is_that_of_the_guidelines() -> None:
    assert on_white("#000000") == pytest.approx(21)
    assert on_white("#767676") == pytest.approx(4.54, abs=0.01)  # the lightest gray that passes


def test_a_color_is_read_with_or_without_its_sign() -> None:
    assert paper_color(" 1D5A9E ") == paper_color("#1d5a9e") == "#1d5a9e"


def test_a_color_too_light_is_refused_with_one_that_would_do() -> None:
    with pytest.raises(UnfitColor, match=r"its contrast is 1\.\d to 1.*#[0-9a-f]{6} would do") as refused:
        paper_color("#ffcc00")
    assert on_white(f"#{str(refused.value).rpartition('#')[2][:6]}") >= 4.5


@pytest.mark.parametrize("typed", ["blue", "#12", "#12345g", "red;}"])
def test_what_is_no_color_is_refused(typed: str) -> None:
    with pytest.raises(UnfitColor, match="Type the color as #"):
        paper_color(typed)
