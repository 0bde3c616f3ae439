"""Change orders of the invented kitchen, to the cent, and what can't be issued."""

from decimal import Decimal

import pytest
from django.db import connection

from demo.firm import load_firm
from estimating.changes.issue import issue_change, prepare_change
from estimating.documents import write_protection
from estimating.documents.issue import CannotIssue
from estimating.models import ChangeOrder, Document, Job
from estimating.verification.documents import faults
from tests.estimating.issuing import AT, DAY
from tests.estimating.signed_kitchen import (
    agreed,
    cabinets_chosen,
    contract,
    issued_change,
    kitchen_estimate,
    make_change,
    quick_line,
    rotten_subfloor,
    settle,
    sign_on_paper,
    signed_change,
    signed_kitchen,
    trims_by_clients,
)
from tests.pdf_text import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def kitchen(kept_rows: None) -> int:
    return signed_kitchen().pk


@pytest.fixture
def job(kitchen: int, db: None) -> Job:
    return Job.objects.get(pk=kitchen)


def prices(document: Document) -> dict[str, str]:
    return {row["label"]: row["price"] for row in document.read_snapshot()["prices"]}


def test_a_rotten_subfloor_comes_to_750_25(job: Job) -> None:
    document = issued_change(rotten_subfloor(job))
    # 24 sq ft at 14.00; 4 h at 80.00 and (26.80 + 1.74 tax) x 1.20 = 34.25; 2 days at 30.00
    assert prices(document) == {
        "Sister one joist, 8 ft": "354.25",
        "Replace subfloor, 4 x 6 ft": "336.00",
        "One drying fan": "60.00",
    }
    assert document.total.amount == Decimal("750.25")


def test_cabinets_over_their_allowance_come_to_485_64(job: Job) -> None:
    document = issued_change(cabinets_chosen(job))
    # 6,780.00 + 440.70 tax - (6,400.00 + 416.00) = 404.70; 20 % of it is 80.94
    assert document.total.amount == Decimal("485.64")
    (row,) = document.read_snapshot()["prices"]
    for figure in ("$6,780.00", "$440.70", "$6,816.00", "$404.70", "$80.94"):
        assert figure in row["rule"]


def test_light_trims_that_the_clients_bring_are_credited_at_161_03(job: Job) -> None:
    document = issued_change(trims_by_clients(job))
    # 126.00 + 8.19 tax + 26.84 markup
    assert document.total.amount == Decimal("-161.03")
    assert "The work on it stays." in document.read_snapshot()["prices"][0]["rule"]


def test_the_kitchen_with_both_signed_changes_is_26_447_05(job: Job) -> None:
    """The worked story says 26,447.06 over an estimate of 25,211.17; its lines as typed come to 25,211.16,
    since tax is worked out once on all purchases, so that the contract is a cent lower too."""
    assert contract(job).contract.total == Decimal("25211.16")
    signed_change(rotten_subfloor(job))
    signed_change(cabinets_chosen(job))
    issued_change(trims_by_clients(job))
    assert contract(job).contract.total == Decimal("26447.05")
    assert contract(job).contract.changes == Decimal("1235.89")


def test_the_paper_shows_the_chain_from_the_original_sum_to_the_new_one(job: Job) -> None:
    signed_change(rotten_subfloor(job))
    document = issued_change(cabinets_chosen(job))
    text = text_of(document.pdf)
    for words in (
        "Change order 2: Okonjo kitchen, by lines",
        "Original: Estimate 1001, signed Tue 24 Nov 2026",
        "Change order 1, Rotten subfloor, signed Tue 24 Nov 2026",
        "$25,961.41",
        "$485.64",
        "$26,447.05",
    ):
        assert words in text


def test_the_old_and_the_new_finish_are_on_the_paper(job: Job) -> None:
    # 172 hours at 7 a day are 25 days
    first = issued_change(rotten_subfloor(job))
    sign_on_paper(first)
    second = issued_change(make_change(job, "Wait for the inspector", reason="code", days=-1))
    shown = [document.read_snapshot() for document in (first, second)]
    assert [(snapshot["days"], snapshot["days_before"], snapshot["days_after"]) for snapshot in shown] == [
        (
            "Adds 2 working days",
            "about 25 working days from the start",
            "about 27 working days from the start",
        ),
        (
            "Saves 1 working day",
            "about 27 working days from the start",
            "about 26 working days from the start",
        ),
    ]


def test_work_taken_out_is_credited_at_the_price_that_was_signed(job: Job) -> None:
    change = make_change(job, "Keep the trims", reason="client")
    settle(change, "taken_out", "Swap 6 recessed light trims (existing wiring)")
    job.estimates.filter(change=None).get().items.all().update(extra_hours=0)
    document = issued_change(change)
    # 401.03 and its part of the trips: 480.00 x 401.03 / 16,551.96 = 11.63
    assert document.total.amount == Decimal("-412.66")
    assert "Its price in estimate 1001, $412.66." in document.read_snapshot()["prices"][0]["rule"]


def test_a_share_kept_of_work_taken_out_is_said_beside_the_number() -> None:
    job = signed_kitchen(deduct_keeps_percent=Decimal(10))
    change = make_change(job, "Keep the trims", reason="client")
    settle(change, "taken_out", "Swap 6 recessed light trims (existing wiring)")
    document = issued_change(change)
    # 412.66, with its part of the trips, less 41.27
    assert document.total.amount == Decimal("-371.39")
    assert "less 10%, $41.27, for planning and ordering" in document.read_snapshot()["prices"][0]["rule"]


def test_the_terms_that_a_change_goes_by_were_on_the_signed_estimate() -> None:
    job = signed_kitchen(deduct_keeps_percent=Decimal(10), change_fee=Decimal("45.00"))
    estimate = Document.objects.get(job=job)
    said = " ".join(estimate.read_snapshot()["changes"])
    assert "less 10% of it for planning and ordering" in said
    assert "a fee of $45.00" in said
    change = make_change(job)
    agreed(change, "Fan", "1", "day", "30.00")
    assert prices(issued_change(change))["Fee for a change"] == "45.00"


def test_neither_fee_nor_least_charge_comes_on_an_error_of_ours() -> None:
    job = signed_kitchen(change_fee=Decimal("45.00"), change_minimum=Decimal("200.00"))
    change = make_change(job, reason="ours")
    agreed(change, "Fan", "1", "day", "30.00")
    assert prices(issued_change(change)) == {"Fan": "30.00"}


def test_a_change_that_adds_work_comes_to_the_least_charge() -> None:
    job = signed_kitchen(change_fee=Decimal("45.00"), change_minimum=Decimal("200.00"))
    change = make_change(job)
    agreed(change, "Fan", "1", "day", "30.00")
    assert issued_change(change).total.amount == Decimal("200.00")


def test_rates_of_today_do_not_move_a_change_to_what_was_signed(job: Job) -> None:
    firm, _ = load_firm()
    firm.labor_rate, firm.change_fee = Decimal("99.00"), Decimal("500.00")
    firm.save()
    job.tax_percent = Decimal(9)
    job.save()
    assert issued_change(rotten_subfloor(job)).total.amount == Decimal("750.25")


def test_changes_are_numbered_within_their_job(job: Job) -> None:
    other = signed_kitchen()
    numbers = [str(issued_change(rotten_subfloor(of))) for of in (job, other, other)]
    assert numbers == ["Change order 1", "Change order 1", "Change order 2"]


def test_what_is_not_signed_never_counts(job: Job) -> None:
    issued_change(rotten_subfloor(job))
    document = issued_change(cabinets_chosen(job))
    assert contract(job).contract.total == Decimal("25211.16")
    sums = document.read_snapshot()["contract"]
    assert sums["before"] == "25211.16"
    assert sums["waiting"] == [{"label": "Change order 1, Rotten subfloor", "price": "750.25"}]


def refusal(change: ChangeOrder) -> str:
    with pytest.raises(CannotIssue) as refused:
        issued_change(change)
    return str(refused.value)


def test_a_change_before_the_estimate_is_signed_is_refused() -> None:
    estimate = kitchen_estimate()
    change = ChangeOrder.objects.create(
        job=estimate.job, estimate=estimate, reason="hidden", title="Rotten subfloor"
    )
    assert "The estimate isn't signed yet" in refusal(change)


def test_a_change_of_nothing_is_refused(job: Job) -> None:
    assert "Nothing changes yet" in refusal(make_change(job))


def test_a_contract_cannot_come_to_less_than_nothing(job: Job) -> None:
    change = make_change(job, "All off", reason="client")
    agreed(change, "Goodwill", "1", "", "-25211.17")
    assert "to -$0.01, below zero" in refusal(change)
    change.lines.update(amount=Decimal("-25211.16"))
    assert issued_change(change).read_snapshot()["contract"]["after"] == "0.00"


def test_credits_that_wait_for_a_signature_are_reckoned_with(job: Job) -> None:
    for amount in ("-20000.00", "-6000.00"):
        change = make_change(job, "Less", reason="client")
        agreed(change, "Less work", "1", "", amount)
        if amount == "-20000.00":
            issued_change(change)
    assert "with the credits that wait for a signature to -$788.84" in refusal(change)


def test_a_line_is_not_taken_out_twice(job: Job) -> None:
    title = "Grout, perimeter caulk, seal"
    first, second = make_change(job), make_change(job)
    settle(first, "taken_out", title)
    settle(second, "taken_out", title)
    document = issued_change(first)
    assert f"Change order 1 settles {title} too" in refusal(second)
    sign_on_paper(document)
    assert f"{title} was settled by a signed change already" in refusal(second)


def test_taking_out_a_line_credits_what_an_earlier_change_left_of_it(job: Job) -> None:
    signed_change(trims_by_clients(job))
    change = make_change(job, "No trims", reason="client")
    settle(change, "taken_out", "Swap 6 recessed light trims (existing wiring)")
    # 412.66, with its part of the trips, - 161.03
    assert issued_change(change).total.amount == Decimal("-251.63")


def test_a_credit_for_material_stays_within_its_line(job: Job) -> None:
    change = make_change(job)
    settle(change, "brought", "Swap 6 recessed light trims (existing wiring)", "400.00")
    # 400.00 with 6.5 % sales tax and 20 % on top
    said = refusal(change)
    assert "the credit of $511.20 is more than is left of Swap 6 recessed light trims" in said
    assert said.endswith("$412.66.")


def test_an_allowance_is_settled_once(job: Job) -> None:
    signed_change(cabinets_chosen(job))
    assert contract(job).left_to_settle() == ()
    change = make_change(job)
    settle(change, "choice", "Cabinets", "7000.00")
    assert "Cabinets was settled by a signed change already" in refusal(change)


def test_a_choice_below_its_allowance_is_credited_with_its_share(job: Job) -> None:
    change = make_change(job, "Cheaper cabinets", reason="client")
    settle(change, "choice", "Cabinets", "6000.00")
    # 6,000.00 + 390.00 - 6,816.00 = -426.00; a fifth of it is 85.20
    assert issued_change(change).total.amount == Decimal("-511.20")


def test_time_and_material_says_its_limit_and_how_it_is_billed(job: Job) -> None:
    document = issued_change(rotten_subfloor(job))
    rule = document.read_snapshot()["prices"][0]["rule"]
    assert rule == (
        "Time and material, not to exceed $354.25: at most 4 hours at $80.00; what is bought by its receipt "
        "with sales tax and 20% on top, at most $34.25. Billed is what it takes, up to that."
    )
    line = document.read_basis()["lines"][0]
    assert (line["kind"], line["hours"], line["price"]) == ("at_most", "4.00", "354.25")


def test_what_was_signed_meanwhile_stops_an_issue_that_did_not_count_it(job: Job) -> None:
    first, second = rotten_subfloor(job), cabinets_chosen(job)
    firm, _ = load_firm()
    unissued = prepare_change(second, firm, DAY)
    signed_change(first)
    with pytest.raises(CannotIssue, match="Another change was signed or issued meanwhile"):
        issue_change(second, unissued, AT)
    assert not Document.objects.filter(estimate=second.estimate).exists()
    assert str(issued_change(second)) == "Change order 2"


def test_a_change_issued_anew_replaces_the_one_before_and_counts_once(job: Job) -> None:
    change = rotten_subfloor(job)
    first = issued_change(change)
    assert "Nothing has changed since change order 1 was issued." in refusal(change)
    quick_line(change, "A second joist", "2")
    second = issued_change(change)
    assert second.supersedes == first
    assert first.state() == "superseded"
    sign_on_paper(second)
    # 750.25 and 2 h at 80.00
    assert contract(job).contract.changes == Decimal("910.25")


def test_a_signed_change_is_not_issued_anew(job: Job) -> None:
    change = rotten_subfloor(job)
    signed_change(change)
    quick_line(change, "A second joist", "2")
    assert "Change order 1 is signed" in refusal(change)


def test_issued_changes_verify(job: Job) -> None:
    signed_change(rotten_subfloor(job))
    issued_change(trims_by_clients(job))
    assert list(faults()) == []


def test_a_changed_byte_that_makes_a_change_unreadable_is_named(job: Job) -> None:
    document = signed_change(rotten_subfloor(job))
    with write_protection.without_triggers(connection):
        Document.objects.filter(pk=document.pk).update(basis=document.basis[:-1] + "|")
    said = list(faults())
    changed = "what stands behind its sums was changed; the SHA-256 of the basis differs."
    assert f"Change order 1 of job {job.pk}: {changed}" in said
    assert f"Job {job.pk}: what was signed can't be read (JSONDecodeError)." in said
