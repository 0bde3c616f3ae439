"""The README says what a run gives."""

from tests.published.summary import HERE, differences, in_one_sentence, modules, table

README = (HERE / "README.md").read_text()
FRONT_PAGE = (HERE.parent.parent / "README.md").read_text()


def test_the_readme_has_the_table_and_the_differences_of_this_run() -> None:
    missing = [line for line in (*table(), *differences()) if line not in README.splitlines()]
    assert missing == [], "python -m tests.published.summary prints what belongs there"


def test_the_front_page_counts_the_figures_of_this_run() -> None:
    assert in_one_sentence() in FRONT_PAGE, "python -m tests.published.summary prints what belongs there"


def test_every_row_says_where_it_stands_and_why_its_tolerance() -> None:
    checks = [check for module in modules() for check in module.CHECKS]
    assert all(check.source.address.startswith("http") and check.place and check.why for check in checks)
    assert len({check.words for check in checks}) == len(checks)
