"""The last days for notices that the law sets."""

from datetime import date

from invoicing.receivables.notice_dates import NoticeDeadline, notice_dates


def test_notices_count_from_the_first_or_the_last_day_of_work() -> None:
    rules = [
        NoticeDeadline("Notice at the start", 20, True, "as entered"),
        NoticeDeadline("Lien", 90, False, "x"),
    ]
    first, lien = notice_dates(rules, date(2026, 3, 2), None)
    assert (first.by, first.citation, lien.by) == (date(2026, 3, 22), "as entered", None)
