"""The stage that a job is at, and its next step."""

import pytest

from estimating.documents.progress_step import ProgressStep
from estimating.progress.steps import STAGES, JobProgress, job_progress

BILLING = ProgressStep(5, "ask for the deposit", "job-money")


def coming(progress: JobProgress) -> str:
    (stage,) = (stage.label for stage in progress.stages if stage.state == "next")
    return stage


@pytest.mark.parametrize(
    ("rooms", "work_items", "events", "stage", "words", "page"),
    [
        (0, 0, (), "Measured", "measure the first room", "room-new"),
        (2, 0, (), "Priced", "put work on the rooms", "work-add"),
        (0, 1, (), "Sent", "read the estimate through and issue it", "job-papers"),
        (2, 3, (), "Sent", "read the estimate through and issue it", "job-papers"),
        (2, 3, ("issued",), "Sent", "hand the estimate to the client", "job-papers"),
        (2, 3, ("issued", "sent"), "Signed", "have the estimate signed", "job-papers"),
        (2, 3, ("issued", "opened"), "Signed", "have the estimate signed", "job-papers"),
        (2, 3, ("issued", "accepted"), "Under way", "plan the work", "job-papers"),
    ],
)
def test_a_job_is_measured_priced_sent_and_signed(
    rooms: int, work_items: int, events: tuple[str, ...], stage: str, words: str, page: str
) -> None:
    progress = job_progress(rooms, work_items, events)
    assert (coming(progress), progress.next_words, progress.next_page) == (stage, words, page)


def test_stages_before_it_are_done_and_those_after_it_later() -> None:
    progress = job_progress(2, 3, ("issued", "sent"))
    assert [stage.label for stage in progress.stages] == list(STAGES)
    assert [stage.state for stage in progress.stages] == ["done"] * 3 + ["next"] + ["later"] * 3


def test_a_stage_counts_as_reached_only_once_it_has_happened() -> None:
    assert job_progress(0, 0).reached == "Asked for"
    assert job_progress(2, 3, ("issued",)).reached == "Priced"
    assert not job_progress(2, 3, ("issued",)).is_sent
    assert job_progress(2, 3, ("issued", "sent")).reached == "Sent"


def test_a_job_that_is_paid_has_nothing_more_to_reach() -> None:
    paid = ProgressStep(7, "all is billed and paid", "job-money")
    progress = job_progress(2, 3, ("issued", "accepted"), billing_step=paid)
    assert {stage.state for stage in progress.stages} == {"done"}


def test_a_signed_job_goes_by_its_bills() -> None:
    progress = job_progress(2, 3, ("issued", "accepted"), billing_step=BILLING)
    assert (coming(progress), progress.next_words, progress.next_page) == (
        "Billed",
        "ask for the deposit",
        "job-money",
    )


def test_an_unsigned_job_has_no_bills_to_go_by() -> None:
    assert coming(job_progress(2, 3, ("issued", "sent"), billing_step=BILLING)) == "Signed"


def test_what_can_be_canceled_waits_and_a_change_to_be_signed_comes_before_that() -> None:
    signed = ("issued", "accepted")
    waits = job_progress(2, 3, signed, must_wait="wait with work and orders", billing_step=BILLING)
    assert (coming(waits), waits.next_words) == ("Billed", "wait with work and orders")
    words = [job_progress(2, 3, signed, changes, "wait", BILLING).next_words for changes in (1, 2)]
    assert words == ["1 change waits for a signature", "2 changes wait for a signature"]


def test_a_job_that_must_wait_opens_at_its_papers_and_under_way_where_its_money_is() -> None:
    signed = ("issued", "accepted")
    only_signed = ProgressStep(4, "ask for the deposit", "job-money")
    assert job_progress(2, 3, signed, must_wait="wait", billing_step=only_signed).next_page == "job-papers"
    assert job_progress(2, 3, signed, must_wait="wait", billing_step=BILLING).next_page == "job-money"


def test_a_question_of_the_client_comes_first() -> None:
    for closed in (False, True):
        asked = job_progress(2, 3, ("issued", "accepted"), 1, "wait", BILLING, closed=closed, asked=True)
        assert (asked.next_words, asked.next_page) == ("a question waits: answer the client", "job-papers")


def test_a_closed_job_has_no_next_step_of_its_own() -> None:
    assert job_progress(2, 3, ("issued", "sent"), closed=True).next_words == ""
    assert job_progress(2, 3, ("issued", "accepted"), 1, "wait", closed=True).next_words == ""
    assert (
        job_progress(2, 3, ("issued", "canceled"), refund="give it back", closed=True).next_words
        == "give it back"
    )


def test_an_expired_estimate_wants_its_prices_looked_up() -> None:
    progress = job_progress(2, 3, ("issued", "sent"), expired=True)
    assert progress.next_words == "the estimate is past its last day: look prices up again"
