"""What was published beside the shipped hours, and which of them rest on it."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from catalog.assemblies.specs import OperationSpec
from catalog.measures.rates import parse_rate
from catalog.starter import files
from catalog.starter.own_jobs import OWN_FIGURES, OWN_JOBS
from catalog.starter.published_hours import Grade, RestsOn, published_hours, rests_on, set_up_rests_on

ENTRIES = {
    entry.code: entry.data for entry in files.read_files(Path(files.__file__).parent).entries["operations"]
}


def shipped(code: str) -> OperationSpec:
    entry = ENTRIES[code]
    low, likely, high = (parse_rate(entry[key], "hour", entry["unit"]) for key in ("low", "hours", "high"))
    return OperationSpec(
        code,
        entry["name"],
        entry["unit"],
        likely,
        source=entry["source"],
        low=low.per_unit,
        high=high.per_unit,
    )


def test_each_figure_can_be_read_in_the_unit_of_the_rate_that_it_stands_beside() -> None:
    for code, beside in published_hours().items():
        for figure in beside.figures:
            assert figure.per_unit(ENTRIES[code]["unit"]) > 0, code
            assert figure.source.address.startswith("http")
            assert figure.place
            assert figure.includes


def test_a_rate_with_a_figure_that_counts_inside_its_range_is_published() -> None:
    assert rests_on(shipped("hang-board")) is RestsOn.PUBLISHED
    assert rests_on(shipped("strip-paper")) is RestsOn.PUBLISHED  # 10.7 h on 352 sq ft: 3.04 in 1.5 to 5


def test_a_rate_whose_figure_lies_outside_its_range_is_a_guess() -> None:
    tile = shipped("break-out-tile")
    assert rests_on(tile) is RestsOn.PUBLISHED  # 22.5 sq ft an hour: 4.44 h, over 4
    assert rests_on(replace(tile, low=Fraction(45, 1000))) is RestsOn.GUESSED


@pytest.mark.parametrize("code", ["roll-primer", "roll-first-coat", "roll-second-coat"])
def test_a_rate_for_a_roller_does_not_rest_on_brush_work(code: str) -> None:
    brush = [figure for figure in published_hours()[code].figures if "brush work" in figure.includes]
    assert brush
    assert not any(figure.counts for figure in brush)


def test_no_rate_rests_on_a_page_without_an_author(monkeypatch: pytest.MonkeyPatch) -> None:
    faucet, beside = shipped("set-faucet"), published_hours()["set-faucet"]
    unsigned = tuple(figure for figure in beside.figures if figure.source.grade is Grade.UNSIGNED)
    assert [figure.printed for figure in unsigned] == ["30 minutes to one hour to replace a sink faucet"]
    assert faucet.low is not None
    assert faucet.high is not None
    assert faucet.low <= unsigned[0].per_unit("each") <= faucet.high
    alone = {"set-faucet": replace(beside, figures=unsigned)}
    monkeypatch.setattr("catalog.starter.published_hours.published_hours", lambda: alone)
    assert rests_on(faucet) is RestsOn.GUESSED


@pytest.mark.parametrize(
    "source", [f"{OWN_JOBS}3 hours each, 4 jobs", f"{OWN_FIGURES}a book", "my notes of 2024"]
)
def test_what_the_firm_made_is_its_own(source: str) -> None:
    own = replace(shipped("final-tidy"), source=source)
    assert rests_on(own) is RestsOn.OWN
    assert set_up_rests_on(own) is RestsOn.OWN


def test_hours_that_the_firm_changed_are_its_own_though_it_left_their_source() -> None:
    tidy = shipped("final-tidy")
    assert rests_on(tidy) is not RestsOn.OWN
    changed = replace(tidy.rate, per_unit=tidy.rate.per_unit * 2)
    assert rests_on(replace(tidy, rate=changed)) is RestsOn.OWN


def test_a_set_up_that_was_shipped_is_a_guess_even_beside_a_published_rate() -> None:
    assert set_up_rests_on(shipped("hang-board")) is RestsOn.GUESSED


def test_what_is_said_to_be_beside_a_printed_figure_is_within_its_range_and_the_other_way_round() -> None:
    said = {code for code, beside in published_hours().items() if not beside.made.startswith("A guess")}
    assert said == {code for code in ENTRIES if rests_on(shipped(code)) is RestsOn.PUBLISHED}


def test_several_steps_rest_together_on_the_one_figure_that_was_printed_for_them() -> None:
    # Set and grouted: 23 h per 100 sq ft, between 13 + 0.9 + 5.8 x 0.4 and 34 + 2.2 + 5.8 x 1
    assert rests_on(shipped("set-backsplash")) is RestsOn.PUBLISHED
    # One patch with its set-ups: 2.2 h; without them its steps come to 1.35
    (figure,) = published_hours()["patch-first-coat"].figures
    assert figure.set_ups
    assert rests_on(shipped("patch-first-coat")) is RestsOn.PUBLISHED


def test_the_page_on_the_shipped_hours_counts_what_rests_on_a_figure() -> None:
    page = (Path(files.__file__).parent / "published" / "README.md").read_text("utf-8")
    published = sum(rests_on(shipped(code)) is RestsOn.PUBLISHED for code in ENTRIES)
    assert f"of {len(ENTRIES)} pieces of labor, {published} rest on a figure" in page
