"""The cautions that a job's documents carry."""

import pytest

from estimating.takeoff.cautions import (
    disturbs_paint,
    job_cautions,
    lead_at_work,
    lead_caution,
    work_cautions,
)
from estimating.takeoff.work import Work
from tests.specs import assembly, material, uses

DUST = "Cutting makes silica dust: cut wet (29 CFR 1926.1153)."


def tiling(title: str = "Tile", caution: str = "") -> Work:
    tile = material("tile", "sq ft", ("10", "30"), caution=DUST)
    return Work(title, title, "floor", assembly=assembly("tile", "floor", uses(tile), caution=caution))


@pytest.mark.parametrize(("year", "bound"), [(1910, True), (1977, True), (1978, False), (2020, False)])
def test_lead_rules_bind_houses_built_before_1978(year: int, bound: bool) -> None:
    # 40 CFR 745.103: target housing is housing constructed prior to 1978
    assert (lead_caution(year) is not None) is bound


def test_a_house_of_unknown_age_is_treated_as_an_old_one() -> None:
    caution = lead_caution(None)
    assert caution is not None
    assert "isn't known" in caution.text


def test_the_lead_caution_names_the_year_and_its_source() -> None:
    caution = lead_caution(1962)
    assert caution is not None
    assert "1962" in caution.text
    assert "40 CFR part 745" in caution.text


def test_cautions_come_from_assemblies_and_their_materials() -> None:
    found = job_cautions(2001, [tiling(caution="Knees: wear pads.")])
    assert [caution.text for caution in found] == ["Knees: wear pads.", DUST]


def test_a_caution_said_twice_is_printed_once_with_all_its_work() -> None:
    found = job_cautions(2001, [tiling("Hall"), tiling("Kitchen", caution=f"  {DUST}\n")])
    assert [(caution.text, caution.work) for caution in found] == [(DUST, ("Hall", "Kitchen"))]


def test_cautions_of_nested_work_are_found() -> None:
    inner = tiling().assembly
    assert inner is not None
    outer = Work("floor", "Floor", "floor", assembly=assembly("whole floor", "floor", uses(inner)))
    assert [caution.text for caution in job_cautions(1990, [outer])] == [DUST]


def test_lead_comes_first() -> None:
    assert "lead" in job_cautions(1950, [tiling()])[0].text


def test_a_quick_line_brings_no_caution() -> None:
    assert job_cautions(2001, [Work("haul", "Haul away", "take_out")]) == ()


LEAD = "Paint of before 1978 is disturbed lead-safe (40 CFR 745.85)."


@pytest.mark.parametrize(("year", "bound"), [(1910, True), (1977, True), (1978, False), (None, True)])
def test_whoever_works_in_an_old_house_reads_from_which_size_the_lead_rules_bind(
    year: int | None, bound: bool
) -> None:
    # 40 CFR 745.83, minor repair: 6 sq ft a room inside, 20 sq ft outside, never windows or demolition
    text = lead_at_work(year)
    assert bool(text) is bound
    for part in ("6 sq ft", "20 sq ft", "window", "40 CFR part 745", "Local code and licensed practice"):
        assert (part in text) is bound


@pytest.mark.parametrize(
    ("phase", "caution", "disturbs"),
    [("take_out", "", True), ("finish", LEAD, True), ("finish", DUST, False)],
)
def test_taking_out_and_what_the_catalog_says_so_of_disturb_paint(
    phase: str, caution: str, disturbs: bool
) -> None:
    assert disturbs_paint(assembly("work", "floor", phase=phase, caution=caution)) is disturbs


def test_each_line_of_a_caution_stands_alone() -> None:
    tile = tiling(caution=f"Knees: wear pads.\n\n{LEAD}").assembly
    assert tile is not None
    assert work_cautions(1962, tile) == ("Knees: wear pads.", LEAD, DUST)


@pytest.mark.parametrize(("year", "shown"), [(1962, True), (None, True), (1978, False)])
def test_lines_about_lead_are_left_out_of_a_house_built_since(year: int | None, shown: bool) -> None:
    works = [tiling(caution=LEAD)]
    assert (LEAD in [caution.text for caution in job_cautions(year, works)]) is shown


ASBESTOS = "Old texture is tested first (29 CFR 1926.1101(k))."


@pytest.mark.parametrize(("year", "shown"), [(1980, True), (None, True), (1981, False), (1986, False)])
def test_asbestos_is_printed_only_for_a_house_that_may_hold_it(year: int | None, shown: bool) -> None:
    found = job_cautions(year, [tiling(caution=ASBESTOS)])
    assert (ASBESTOS in [caution.text for caution in found]) is shown


@pytest.mark.parametrize(("state", "survey"), [("CO", "32 sq ft"), ("WA", "survey"), ("OH", ""), ("", "")])
def test_some_states_ask_for_an_asbestos_survey_whatever_the_year(state: str, survey: str) -> None:
    texts = [caution.text for caution in job_cautions(1986, [tiling(caution=ASBESTOS)], state)]
    assert texts[1:] == [DUST] if survey else texts == [DUST]
    assert survey in texts[0]
