"""Two edits of one form, name by name: the table of `saving.merge`."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from saving.merge import merge, merge_rows

SIDES = st.dictionaries(st.sampled_from("abc"), st.lists(st.sampled_from(["", "1", "2"]), max_size=2))


@pytest.mark.parametrize(
    ("opened", "mine", "theirs", "saved", "conflicts"),
    [
        ("1", "1", "1", "1", ()),
        ("1", "2", "1", "2", ()),
        ("1", "1", "2", "2", ()),
        ("1", "2", "2", "2", ()),
        ("1", "2", "3", "2", ("a",)),
        ("", "2", "3", "2", ("a",)),
        ("1", "", "3", "", ("a",)),
    ],
)
def test_a_field_is_his_theirs_or_asked_about(
    opened: str, mine: str, theirs: str, saved: str, conflicts: tuple[str, ...]
) -> None:
    merged = merge({"a": [mine]}, {"a": [opened]}, {"a": [theirs]})
    assert (merged.texts["a"], merged.conflicts) == ([saved], conflicts)


def test_a_tick_that_a_browser_does_not_send_was_taken_out() -> None:
    assert merge({}, {"tick": ["on"]}, {"tick": ["on"]}).texts == {}
    assert merge({}, {"tick": []}, {"tick": ["on"]}).texts == {"tick": ["on"]}


def test_line_ends_as_a_browser_sends_them_change_nothing() -> None:
    merged = merge({"note": ["a\r\nb"]}, {"note": ["a\nb"]}, {"note": ["c"]})
    assert (merged.texts, merged.conflicts) == ({"note": ["c"]}, ())


@given(opened=SIDES, mine=SIDES, theirs=SIDES)
def test_nothing_that_only_one_side_changed_is_lost(
    opened: dict[str, list[str]], mine: dict[str, list[str]], theirs: dict[str, list[str]]
) -> None:
    def held(side: dict[str, list[str]], name: str) -> list[str]:
        return [text for text in side.get(name, []) if text]

    merged = merge(mine, opened, theirs)
    for name in "abc":
        was, his, now = (held(side, name) for side in (opened, mine, theirs))
        if his == was:
            assert held(merged.texts, name) == now
        elif now == was:
            assert held(merged.texts, name) == his
        assert (name in merged.conflicts) == (was != his != now != was)


def rows(*widths: str, blank: int = 0) -> dict[str, list[str]]:
    texts = {f"openings-{number}-width": [width] for number, width in enumerate(widths)}
    texts |= {f"openings-{number}-kind": ["door"] for number in range(len(widths) + blank)}
    return texts | {"openings-TOTAL_FORMS": [str(len(widths) + blank)]}


def test_a_row_that_somebody_else_added_is_kept_and_empty_rows_do_not_count() -> None:
    mine = {**rows("36", blank=1), "name": ["Hall"]}
    merged = merge_rows(mine, rows("36", blank=1), rows("36", "60", blank=2), "openings", {"width"})
    saved = {**rows("36", "60"), "openings-INITIAL_FORMS": ["2"], "name": ["Hall"]}
    assert (merged.texts, merged.conflicts) == (saved, ())


def test_rows_that_both_changed_are_merged_while_their_number_stays() -> None:
    merged = merge_rows(rows("36", "61"), rows("36", "60"), rows("32", "60"), "openings", {"width"})
    assert merged.conflicts == ()
    assert [merged.texts[f"openings-{number}-width"] for number in range(2)] == [["32"], ["61"]]


def test_a_list_that_both_changed_and_one_lengthened_is_asked_about_whole() -> None:
    mine = rows("36", "60", "24")
    merged = merge_rows(mine, rows("36", "60"), rows("32", "60"), "openings", {"width"})
    assert (merged.texts, merged.conflicts) == (mine, ("openings",))
