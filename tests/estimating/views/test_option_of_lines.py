"""An option of several lines: one price, taken or not as a whole, and afterwards work like any other."""

import pytest
from django.test import Client
from django.urls import reverse

from estimating.models import Acceptance, Document, Job
from estimating.verification.documents import faults
from jobsite.days.job_steps import steps_of_signed_jobs
from tests.estimating.client_visits import floor_with_options, sent, sign, visit
from tests.estimating.issuing import issue_now
from tests.estimating.signed_kitchen import contract, make_change, sign_on_paper, signed_change
from tests.factories import make_firm
from tests.pdf_text import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def paper() -> Document:
    """A floor for $196.80; its one option is “Both floors” of two lines at $196.80, which may wait a week."""
    estimate = floor_with_options()
    estimate.items.filter(is_option=True).update(option_name="Both floors", decide_by=None)
    estimate.items.filter(title="Late choice").update(title="Second floor", decide_by=estimate.valid_to)
    return issue_now(estimate)


def titles(job: Job) -> list[str]:
    return [line.title for line in contract(job).lines]


def test_it_is_printed_with_its_lines_and_one_price(paper: Document) -> None:
    text = " ".join(text_of(bytes(paper.pdf)).split())
    options = text.partition("Options, not in the price")[2].partition("$393.60")[0]
    for line in ("Both floors", "A further coat", "Second floor", "Decide by"):
        assert line in options
    assert "$196.80" not in options


def test_the_client_takes_it_as_a_whole_and_its_lines_are_work_of_the_contract(
    signed_in: Client, paper: Document
) -> None:
    browser, page = visit(sent(signed_in, paper))
    text = browser.get(page).content.decode()
    assert text.count('name="options"') == 1
    assert "Both floors, adds $393.60: A further coat; Second floor" in text
    sign(browser, page, "590.40", options="0")
    assert titles(paper.job) == ["Paint the floor", "A further coat", "Second floor"]
    signatures = Acceptance.objects.binding(paper.job)
    steps = steps_of_signed_jobs(signatures, make_firm())[paper.job_id]
    assert {facts.title for facts in steps.facts.values()} == {*titles(paper.job)}
    assert list(faults()) == []


def test_a_change_takes_it_later_as_one_line_at_its_signed_price(signed_in: Client, paper: Document) -> None:
    sign_on_paper(paper, on=paper.dated)
    assert titles(paper.job) == ["Paint the floor"]
    change = make_change(paper.job, "Both floors after all", reason="client")
    [option] = contract(paper.job).options_left
    signed_in.post(reverse("change-option", args=[change.pk, option.key]), {"yes": "yes"})
    document = signed_change(change)
    assert f"{document.total.amount}" == "393.60"
    assert titles(paper.job) == ["Paint the floor", "Both floors"]
    assert list(faults()) == []
