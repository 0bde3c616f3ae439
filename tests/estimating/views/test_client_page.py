"""The client's page: what he sees, takes and signs, once, and what is kept of it."""

import json
import re
import subprocess
import sys
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.client.signed_file import verify_signed
from estimating.client.signed_file.verify_signed import faults
from estimating.events.chain import digest
from estimating.models import Acceptance, ClientLink, Document, DocumentEvent, JobLink, SignedCopy
from tests.estimating.client_visits import (
    EMAIL,
    NAME,
    floor_with_options,
    link_of_one_paper,
    sent,
    sign,
    visit,
)
from tests.estimating.issuing import issue_now
from tests.estimating.mail_server import mail_is_down
from tests.estimating.signed_kitchen import contract_to_date
from tests.factories import make_firm
from tests.pdf_text import text_of

pytestmark = [pytest.mark.django_db, pytest.mark.every_database]


def kinds(document: Document) -> list[str]:
    return list(DocumentEvent.objects.filter(document=document).values_list("kind", flat=True))


@pytest.fixture
def address(signed_in: Client) -> str:
    return sent(signed_in)


def test_the_mail_carries_the_paper_and_the_link_and_says_till_when(signed_in: Client) -> None:
    document = issue_now(floor_with_options())
    address = sent(signed_in, document)
    [message] = mail.outbox
    assert message.to == [EMAIL]
    assert message.subject == "Estimate 1001 from Tolliver Room & Tile: Kitchen"
    assert f"http://testserver{address}" in message.body
    assert document.read_snapshot()["first_line"] in message.body
    [(name, content, _)] = message.attachments
    assert name.endswith(".pdf")
    assert digest(content) == document.pdf_sha256
    assert kinds(document) == ["issued", "sent"]


def test_the_secret_is_kept_nowhere(address: str) -> None:
    secret = address.split("/")[2]
    assert len(secret) >= 43
    link = ClientLink.objects.get()
    page = JobLink.objects.get()
    rows = [
        *ClientLink.objects.values(),
        *JobLink.objects.values(),
        *DocumentEvent.objects.values(),
        *Document.objects.values(),
    ]
    assert secret not in str(rows)
    assert page.secret_sha256 == digest(secret)
    assert secret not in text_of(link.document.pdf)


def test_a_link_leads_to_a_clean_address_with_the_paper(address: str) -> None:
    browser, page = visit(address)
    answer = browser.get(page)
    text = answer.content.decode()
    assert address.split("/")[2] not in page + text
    assert "Scope of work and price" in text
    assert "$196.80" in text
    assert answer["Cache-Control"] == "no-store"
    assert answer["X-Robots-Tag"] == "noindex, nofollow"
    assert Client().get(address)["Referrer-Policy"] == "no-referrer"


def test_a_page_without_a_link_of_its_own_is_not_found(address: str) -> None:
    _, page = visit(address)
    for place in ("", "sum/", "paper.pdf", "signed.pdf", "signed.json"):
        assert Client().get(page + place).status_code == 404
    for place in ("opened/", "sign/", "decline/", "ask/"):
        assert Client().post(page + place, {"name": NAME}).status_code == 404


def test_the_sum_moves_with_the_options_ticked(address: str) -> None:
    browser, page = visit(address)
    assert "$393.60" in browser.get(f"{page}sum/", {"options": "0"}).content.decode()
    assert "$196.80" in browser.get(f"{page}sum/").content.decode()


def test_signing_keeps_who_what_when_and_how(signed_in: Client, address: str) -> None:
    browser, page = visit(address)
    answer = browser.post(
        f"{page}sign/",
        {"name": f" {NAME}\u200b ", "consent": "on", "options": "0", "seen_total": "393.60"},
        headers={"user-agent": "A phone"},
    )
    assert answer.status_code == 302
    acceptance = Acceptance.objects.get()
    record = acceptance.read_record()
    document = acceptance.document
    assert acceptance.name == NAME
    assert acceptance.total.amount == Decimal("393.60")
    assert [option["title"] for option in record["options"]] == ["A further coat"]
    assert record["document"]["pdf_sha256"] == document.pdf_sha256
    assert record["document"]["snapshot_sha256"] == digest(document.snapshot)
    assert (record["address"], record["agent"]) == ("127.0.0.1", "A phone")
    assert record["consent"]["version"] == "1"
    assert record["access"]["mailed_to"] == EMAIL
    assert digest(acceptance.record) == acceptance.record_sha256
    event = DocumentEvent.objects.get(hash=acceptance.event_hash)
    assert event.read_data()["record_sha256"] == acceptance.record_sha256
    assert kinds(document) == ["issued", "sent", "opened", "accepted", "copied", "sent"]


def test_the_signed_copy_marks_the_options_taken_and_says_the_sum(address: str) -> None:
    browser, page = visit(address)
    sign(browser, page, "393.60", options="0")
    said = text_of(browser.get(f"{page}signed.pdf").content)
    assert "Taken: A further coat" in said
    assert "Taken: Late choice" not in said
    assert f"{timezone.localdate().year} for $393.60." in said


def test_both_sides_get_the_signed_copy_with_the_hash_of_the_signing(signed_in: Client) -> None:
    make_firm(email="wren@tolliver.example.com")
    browser, page = visit(sent(signed_in))
    mail.outbox.clear()
    sign(browser, page, "196.80")
    acceptance, copy = Acceptance.objects.get(), SignedCopy.objects.get()
    assert [message.to for message in mail.outbox] == [[EMAIL], ["wren@tolliver.example.com"]]
    for message in mail.outbox:
        assert acceptance.event_hash not in message.body
        assert not re.search(r"[0-9a-f]{16}", str(message.body))
        assert digest(message.attachments[0][1]) == copy.pdf_sha256
    text = text_of(bytes(copy.pdf))
    assert "Record of the signature" in text
    assert NAME in text
    assert acceptance.event_hash in text.replace(" ", "")
    for place in (f"{page}signed.pdf",):
        assert browser.get(place).content == bytes(copy.pdf)
    firms = signed_in.get(reverse("document-signed-pdf", args=[acceptance.document_id]))
    assert firms.content == bytes(copy.pdf)


def test_signing_works_while_the_mail_is_down_and_the_receipts_follow(
    signed_in: Client, address: str
) -> None:
    browser, page = visit(address)
    with mail_is_down():
        assert sign(browser, page, "196.80").status_code == 302
    document = Document.objects.get()
    assert "No receipt has gone out yet" in signed_in.get(document.get_absolute_url()).content.decode()
    mail.outbox.clear()
    for _ in range(2):
        signed_in.post(reverse("document-receipts", args=[document.pk]))
    assert [message.to for message in mail.outbox] == [[EMAIL]]


def test_two_tabs_and_a_double_tap_make_one_acceptance(address: str) -> None:
    browser, page = visit(address)
    other, same = visit(address)
    answers = [sign(browser, page, "196.80"), sign(browser, page, "196.80"), sign(other, same, "196.80")]
    assert [answer.status_code for answer in answers] == [302, 302, 302]
    assert Acceptance.objects.count() == 1
    receipt = other.get(page).content.decode()
    assert f"by {NAME}" in receipt
    assert "Sign and accept" not in receipt


def test_a_replayed_acceptance_with_another_name_changes_nothing(address: str) -> None:
    browser, page = visit(address)
    sign(browser, page, "196.80")
    before = Acceptance.objects.values().get()
    sign(browser, page, "393.60", name="Somebody else", options="0")
    assert Acceptance.objects.values().get() == before


def test_a_sum_that_was_not_seen_is_not_signed(address: str) -> None:
    browser, page = visit(address)
    answer = sign(browser, page, "196.80", options="0")
    assert answer.status_code == 409
    assert 'value="393.60"' in answer.content.decode()
    assert not Acceptance.objects.exists()


def test_an_option_past_its_day_cannot_be_taken(address: str) -> None:
    browser, page = visit(address)
    assert "is past" in browser.get(page).content.decode()
    answer = sign(browser, page, "393.60", options="1")
    assert answer.status_code == 409
    assert "The day to decide on “Late choice” is past" in answer.content.decode()
    assert not Acceptance.objects.exists()


@pytest.mark.parametrize("options", ["7", "-1", "x", "0' OR 1=1"])
def test_an_option_that_is_not_on_the_paper_is_refused(address: str, options: str) -> None:
    browser, page = visit(address)
    assert sign(browser, page, "196.80", options=options).status_code in (409, 422)
    assert browser.get(f"{page}sum/", {"options": options}).status_code == 409
    assert not Acceptance.objects.exists()


@pytest.mark.parametrize(
    ("left_out", "said"), [("name", "it is your signature"), ("consent", "Tick this to sign electronically")]
)
def test_neither_name_nor_consent_can_be_left_out(address: str, left_out: str, said: str) -> None:
    browser, page = visit(address)
    answer = sign(browser, page, "196.80", **{left_out: ""})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Acceptance.objects.exists()


def test_html_in_a_typed_name_is_shown_as_text_and_fetches_nothing(address: str) -> None:
    typed = "<script>alert(1)</script><img src=file:///etc/passwd>"
    browser, page = visit(address)
    assert sign(browser, page, "196.80", name=typed).status_code == 302
    shown = browser.get(page).content.decode()
    assert "<script>alert" not in shown
    assert "&lt;script&gt;alert(1)" in shown
    assert "<script>alert(1)</script>" in text_of(browser.get(f"{page}signed.pdf").content)


def test_without_scripts_the_sum_is_shown_on_request_and_nothing_is_signed(address: str) -> None:
    browser, page = visit(address)
    answer = sign(browser, page, "196.80", options="0", look="yes")
    assert answer.status_code == 200
    assert 'value="393.60"' in answer.content.decode()
    assert not Acceptance.objects.exists()


def test_a_newer_paper_is_to_be_read_before_anything_is_signed(signed_in: Client) -> None:
    estimate = floor_with_options()
    browser, page = visit(sent(signed_in, issue_now(estimate)))
    estimate.items.filter(is_option=False).update(title="Paint and wax the floor")
    issue_now(estimate)
    answer = sign(browser, page, "196.80")
    assert answer.status_code == 409
    assert "This was changed: a newer paper replaces it" in answer.content.decode()
    assert not Acceptance.objects.exists()


def test_after_its_last_day_it_says_so_and_cannot_be_signed(signed_in: Client) -> None:
    estimate = floor_with_options()
    estimate.dated -= timedelta(days=60)
    estimate.save()
    document = issue_now(estimate)
    link = {"name": NAME, "email": "", "once": "x", "by-link": "yes"}
    refused = signed_in.post(reverse("document-send", args=[document.pk]), link)
    assert "can&#x27;t be sent" in refused.content.decode() or "can't be sent" in refused.content.decode()
    assert not ClientLink.objects.exists()


def test_a_link_sent_in_time_says_after_the_last_day_that_it_is_past(signed_in: Client) -> None:
    estimate = floor_with_options()
    estimate.dated -= timedelta(days=60)
    estimate.save()
    browser, page = visit(link_of_one_paper(issue_now(estimate)))
    assert "Prices may have moved since" in browser.get(page).content.decode()
    answer = sign(browser, page, "196.80")
    assert answer.status_code == 409
    assert "This paper was good to" in answer.content.decode()
    assert browser.post(f"{page}ask/", {"text": "May I still?"}).status_code == 302
    assert not Acceptance.objects.exists()


def test_a_withdrawn_paper_cannot_be_signed(signed_in: Client, address: str) -> None:
    browser, page = visit(address)
    document = Document.objects.get()
    signed_in.post(reverse("document-withdraw", args=[document.pk]), {"reason": "Prices moved"})
    assert sign(browser, page, "196.80").status_code == 409
    assert "This paper was withdrawn" in browser.get(page).content.decode()
    assert not Acceptance.objects.exists()


def test_declining_keeps_the_reason_and_closes_the_paper(signed_in: Client, address: str) -> None:
    browser, page = visit(address)
    assert browser.post(f"{page}decline/", {"reason": ""}).status_code == 422
    assert browser.post(f"{page}decline/", {"reason": "We move house"}).status_code == 302
    assert sign(browser, page, "196.80").status_code == 409
    job = Document.objects.get().job
    assert "declined: We move house" in signed_in.get(reverse("job-papers", args=[job.pk])).content.decode()


def test_the_firm_is_told_at_once_that_a_paper_was_declined_and_why(signed_in: Client, address: str) -> None:
    make_firm(email="pat@example.com")
    browser, page = visit(address)
    mail.outbox.clear()
    browser.post(f"{page}decline/", {"reason": "We move house"})
    (message,) = mail.outbox
    assert message.to == ["pat@example.com"]
    assert message.subject == "Declined: Estimate 1001, Kitchen"
    assert "We move house" in message.body
    shown = signed_in.get(Document.objects.get().get_absolute_url()).content.decode()
    assert "Declined: We move house" in shown


def test_a_question_is_confirmed_where_it_was_asked_until_it_is_answered(
    signed_in: Client, address: str
) -> None:
    browser, page = visit(address)
    answer = browser.post(f"{page}ask/", {"text": "Which color is it?"})
    assert answer["Location"] == f"{page}#asked"
    assert "Your question is sent." in browser.get(page).content.decode()
    signed_in.post(reverse("document-answer", args=[Document.objects.get().pk]), {"text": "Any you like."})
    assert "Your question is sent." not in browser.get(page).content.decode()


def test_the_question_stands_beside_the_answer_that_he_writes(signed_in: Client, address: str) -> None:
    browser, page = visit(address)
    browser.post(f"{page}ask/", {"text": "Which color is it?"})
    answer = signed_in.get(reverse("document-answer", args=[Document.objects.get().pk])).content.decode()
    assert "Which color is it?" in answer


def test_where_a_newer_paper_was_mailed_the_replaced_one_says_so(signed_in: Client) -> None:
    estimate = floor_with_options()
    browser, page = visit(sent(signed_in, issue_now(estimate)))
    estimate.items.filter(is_option=False).update(title="Paint and wax the floor")
    newer = issue_now(estimate)
    assert "was mailed to" not in browser.get(page).content.decode()
    sent(signed_in, newer, "somebody.else@example.com")
    assert "was mailed to" not in browser.get(page).content.decode()
    sent(signed_in, newer)
    assert f"Estimate 1002 was mailed to {EMAIL} on" in browser.get(page).content.decode()


def test_a_client_who_lost_the_link_gets_a_new_one_to_what_was_signed(
    signed_in: Client, address: str
) -> None:
    browser, page = visit(address)
    sign(browser, page, "196.80")
    document = Document.objects.get()
    assert reverse("document-send", args=[document.pk]) in (
        signed_in.get(document.get_absolute_url()).content.decode()
    )
    mail.outbox.clear()
    again, page_again = visit(sent(signed_in, document, once="again"))
    assert again.get(f"{page_again}signed.pdf").status_code == 200
    assert browser.get(page).status_code == 404
    (letter,) = mail.outbox
    assert "Read it, fetch the signed copy and ask about it on your page" in letter.body
    assert "sign at the end" not in letter.body
    assert "accept or decline" not in letter.body


def test_a_link_that_leads_to_this_machine_alone_is_said_to(signed_in: Client) -> None:
    document = issue_now(floor_with_options())
    address = reverse("document-send", args=[document.pk])
    for host, warned in (("127.0.0.1:8000", True), ("localhost", True), ("testserver", False)):
        typed = {"name": NAME, "email": EMAIL, "once": host}
        shown = signed_in.post(address, typed, headers={"host": host}).content.decode()
        assert ("Nobody else can open it" in shown) is warned


def test_a_question_lands_on_the_job_and_waits_until_it_is_answered(signed_in: Client, address: str) -> None:
    browser, page = visit(address)
    browser.post(f"{page}ask/", {"text": "Which color is it?"})
    assert "A question waits" in signed_in.get(reverse("today")).content.decode()
    document = Document.objects.get()
    mail.outbox.clear()
    signed_in.post(reverse("document-answer", args=[document.pk]), {"text": "Any you like."})
    assert "A question waits" not in signed_in.get(reverse("today")).content.decode()
    assert "Any you like." in browser.get(page).content.decode()
    assert [message.to for message in mail.outbox] == [[EMAIL]]


def test_what_is_signed_wants_its_payments_planned(signed_in: Client) -> None:
    """Signed at the firm's own place, it can't be canceled, so that nothing waits."""
    browser, page = visit(sent(signed_in, issue_now(floor_with_options(signing_place="ours"))))
    sign(browser, page, "196.80")
    assert "Set up the payment schedule" in signed_in.get(reverse("today")).content.decode()


def test_the_contract_sum_is_what_was_signed_with_the_options(address: str) -> None:
    browser, page = visit(address)
    job = Document.objects.get().job
    assert contract_to_date(job).total == Decimal("0.00")
    sign(browser, page, "393.60", options="0")
    assert contract_to_date(job).total == Decimal("393.60")


def test_a_signed_file_is_checked_without_us_and_shows_any_changed_byte(address: str) -> None:
    browser, page = visit(address)
    sign(browser, page, "196.80")
    acceptance = Acceptance.objects.get()
    text = browser.get(f"{page}signed.json").content.decode()
    assert faults(text) == []
    assert faults(text, acceptance.event_hash) == []
    assert faults(text, "0" * 64) == ["The hash of the signing isn't the one in your copy."]
    step = max(1, len(text) // 300)
    for place in range(0, len(text), step):
        other = "b" if text[place] != "b" else "c"
        assert faults(text[:place] + other + text[place + 1 :]), f"byte {place} of {len(text)}"


def test_the_program_runs_alone_and_says_what_it_found(address: str, tmp_path: Path) -> None:
    browser, page = visit(address)
    sign(browser, page, "196.80")
    program, file = tmp_path / "verify_signed.py", tmp_path / "signed.json"
    program.write_bytes(browser.get(reverse("checker")).getvalue())
    file.write_bytes(browser.get(f"{page}signed.json").content)

    def run(*more: str) -> subprocess.CompletedProcess[str]:
        alone = [sys.executable, "-I", "-S", str(program), str(file), *more]
        return subprocess.run(alone, capture_output=True, text=True, cwd=tmp_path)

    acceptance = Acceptance.objects.get()
    whole = run(acceptance.event_hash, "--unpack")
    assert (whole.returncode, whole.stderr) == (0, "")
    assert "Whole: estimate 1001, Kitchen" in whole.stdout
    assert acceptance.event_hash in whole.stdout
    assert digest((tmp_path / "issued_pdf.pdf").read_bytes()) == acceptance.document.pdf_sha256
    file.write_text(file.read_text().replace("Marisol Okonjo", "Marisol Akonjo"))
    changed = run()
    assert changed.returncode == 1
    assert "NOT AS SIGNED: The record isn't the one of the signing." in changed.stdout
    file.unlink()
    gone = run()
    assert (gone.returncode, gone.stderr) == (2, "")
    assert "NOT CHECKED: " in gone.stdout


def test_given_the_mailed_pdf_the_program_says_which_file_it_wants(address: str, tmp_path: Path) -> None:
    browser, page = visit(address)
    sign(browser, page, "196.80")
    program, file = tmp_path / "verify_signed.py", tmp_path / "signed.json"
    program.write_bytes(browser.get(reverse("checker")).getvalue())
    file.write_bytes(browser.get(f"{page}signed.json").content)
    mailed, other = tmp_path / "Mailed.PDF", tmp_path / "other.pdf"
    mailed.write_bytes(mail.outbox[-1].attachments[0][1])
    other.write_bytes(mailed.read_bytes() + b" ")

    def run(*arguments: Path) -> subprocess.CompletedProcess[str]:
        alone = [sys.executable, "-I", "-S", str(program), *map(str, arguments)]
        return subprocess.run(alone, capture_output=True, text=True, cwd=tmp_path)

    alone = run(mailed)
    assert (alone.returncode, alone.stderr) == (2, "")
    assert "NOT CHECKED" in alone.stdout
    assert "name ends in .json" in alone.stdout
    both = run(file, mailed)
    assert both.returncode == 0
    assert "Mailed.PDF is the signed copy, byte for byte." in both.stdout
    assert "Get it anew to see whether it was canceled since." in both.stdout
    wrong = run(file, other)
    assert wrong.returncode == 1
    assert "other.pdf is another PDF" in wrong.stdout


def test_a_canceled_paper_is_not_just_called_whole(signed_in: Client, tmp_path: Path) -> None:
    browser, page = visit(sent(signed_in, issue_now(floor_with_options(signing_place="home"))))
    sign(browser, page, "196.80")
    browser.post(f"{page}cancel/", {"name": NAME, "sure": "on"})
    file = tmp_path / "signed.json"
    file.write_bytes(browser.get(f"{page}signed.json").content)
    assert faults(file.read_text()) == []
    checker = Path(verify_signed.__file__)
    said = subprocess.run(
        [sys.executable, "-I", "-S", str(checker), str(file)], capture_output=True, text=True
    )
    today = timezone.localdate().isoformat()
    assert f"CANCELED by {NAME} on {today}: it binds neither side any more." in said.stdout
    changed = file.read_text().replace(f'"on":"{today}"', '"on":"2020-01-02"')
    assert any("isn't what was recorded" in fault for fault in faults(changed))


def test_a_page_left_open_too_long_says_how_to_open_it_again(address: str) -> None:
    _, page = visit(address)
    late = Client().get(page)
    assert late.status_code == 404
    assert "This page is closed" in late.content.decode()
    assert "Open the link in your mail" in late.content.decode()
    assert "slip" not in late.content.decode()
    asked = Client().post(f"{page}ask/", {"text": "Which white?"})
    assert "Not sent:" in asked.content.decode()
    assert "is mistyped" in Client().get(f"{address[:-3]}xyz/").content.decode()


def test_a_signed_file_rebuilt_for_another_sum_is_seen(address: str) -> None:
    browser, page = visit(address)
    sign(browser, page, "196.80")
    signed = json.loads(browser.get(f"{page}signed.json").content)
    signed["record"] = signed["record"].replace('"total":"196.80"', '"total":"19.68"')
    rebuilt = json.dumps(signed, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert "The record isn't the one of the signing." in faults(rebuilt)


def test_a_larger_sum_is_signed_with_a_mailed_code(signed_in: Client) -> None:
    document = issue_now(floor_with_options())
    make_firm(code_required_above="100.00")
    browser, page = visit(sent(signed_in, document))
    mail.outbox.clear()
    assert "A six-digit code is on its way" in sign(browser, page, "196.80").content.decode()
    [message] = mail.outbox
    code = message.subject[:6]
    wrong = f"{(int(code) + 1) % 10**6:06}"
    assert sign(browser, page, "196.80", code=wrong).status_code == 422
    assert not Acceptance.objects.exists()
    assert sign(browser, page, "196.80", code=f"{code[:3]} {code[3:]}").status_code == 302
    access = Acceptance.objects.get().read_record()["access"]
    assert access["code_mailed_to"] == EMAIL
    assert access["code_typed_at"]


def test_a_link_without_an_address_for_the_code_is_said_to_be_of_no_use(signed_in: Client) -> None:
    document = issue_now(floor_with_options())
    address = reverse("document-send", args=[document.pk])

    def is_warned(above: str, email: str) -> bool:
        make_firm(code_required_above=above)
        typed = {"name": NAME, "email": email, "once": f"{above} {email}", "by-link": "yes"}
        return "this link has no e-mail address" in signed_in.post(address, typed).content.decode()

    assert is_warned("196.79", "")
    assert is_warned("393.59", "")  # with the option that is still open
    assert not is_warned("393.60", "")
    assert not is_warned("100.00", EMAIL)


def test_a_code_is_tried_five_times_and_lasts_a_quarter_of_an_hour(signed_in: Client) -> None:
    document = issue_now(floor_with_options())
    make_firm(code_required_above="100.00")
    browser, page = visit(sent(signed_in, document))
    sign(browser, page, "196.80")
    code = mail.outbox[-1].subject[:6]
    wrong = f"{(int(code) + 1) % 10**6:06}"
    for _ in range(5):
        sign(browser, page, "196.80", code=wrong)
    assert sign(browser, page, "196.80", code=code).status_code == 422
    late = timezone.now() - timedelta(minutes=16)
    ClientLink.objects.update(code_tries=0, code_sent_at=late)
    assert sign(browser, page, "196.80", code=code).status_code == 422
    assert not Acceptance.objects.exists()
