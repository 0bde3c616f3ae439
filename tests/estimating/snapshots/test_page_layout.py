"""Which lists stand side by side on a document, and which tables stay on one page."""

import pytest
from django.template import Context, Template

from estimating.snapshots.page_layout import MOST_ROWS_WHOLE, fits_side_by_side, stays_whole

SIDE_BY_SIDE = Template(
    "{% load page_layout %}{% if lines|fits_side_by_side %}beside{% else %}below{% endif %}"
)
BY_FILTERS_ALONE = Template(
    '{% if lines|length < 12 and lines|join:""|length < 600 %}beside{% else %}below{% endif %}'
)


@pytest.mark.parametrize(
    ("lines", "fits"),
    [
        ([], True),
        (["Paint"] * 11, True),
        (["Paint"] * 12, False),
        (["x" * 300, "y" * 299], True),
        (["x" * 300, "y" * 300], False),
        (["'" * 99], True),  # 594 letters in HTML
        (["'" * 100], False),
        (["é" * 599], True),
        (["&" * 119 + "<"], True),  # 119 x 5 + 4
        (["&" * 119 + "<>"], False),
    ],
)
def test_a_list_is_beside_another_while_both_are_short(lines: list[str], fits: bool) -> None:
    assert fits_side_by_side(lines) is fits


@pytest.mark.parametrize(
    "lines", [["'" * 99], ["'" * 100], ["a & b"] * 11, ["<b>" * 60], ["<b>" * 70], ['"' * 100], ["x" * 600]]
)
def test_documents_drawn_again_come_out_as_they_were(lines: list[str]) -> None:
    """By the condition that the template had when the first documents were issued."""
    context = Context({"lines": lines})
    assert SIDE_BY_SIDE.render(context) == BY_FILTERS_ALONE.render(context)


@pytest.mark.parametrize(("table", "most"), sorted(MOST_ROWS_WHOLE.items()))
def test_a_short_table_stays_on_one_page(table: str, most: int) -> None:
    assert stays_whole(["row"] * most, table)
    assert not stays_whole(["row"] * (most + 1), table)


def test_the_template_asks_by_the_name_of_the_table() -> None:
    table = Template('{% load page_layout %}{% if rows|stays_whole:"payments" %}whole{% endif %}')
    shown = [table.render(Context({"rows": range(rows)})) for rows in (8, 9)]
    assert shown == ["whole", ""]
