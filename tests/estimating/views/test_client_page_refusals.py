"""What an intruder, a mail scanner or a bad file gets: a plain refusal, and nothing is stored."""

import io
import logging
import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.mail import EmailMessage
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from PIL import Image
from pytest_django import Settings

from config.log_secrets import HideSecrets
from estimating.models import Acceptance, ClientLink, Document, DocumentEvent, JobLink, Scan
from tests.estimating.client_visits import (
    EMAIL,
    NAME,
    floor_with_options,
    link_of_one_paper,
    sent,
    sign,
    visit,
)
from tests.estimating.issuing import another_floor, issue_now, painted_floor
from tests.estimating.paper_signatures import enter, photo
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db


@pytest.fixture
def address(signed_in: Client) -> str:
    return sent(signed_in)


def events() -> list[str]:
    return list(DocumentEvent.objects.order_by("place").values_list("kind", flat=True))


def withdrawn(address: str) -> str:
    JobLink.objects.update(withdrawn_at=timezone.now())
    return address


def expired(address: str) -> str:
    past = timezone.now() - timedelta(seconds=1)
    ClientLink.objects.update(expires_at=past)
    JobLink.objects.update(expires_at=past)
    return address


def guessed(address: str) -> str:
    last = "A" if address[-2] != "A" else "B"
    return f"{address[:-2]}{last}/"


def cut_off(address: str) -> str:
    return f"{address[:20]}/"


def without_token(answer: PageResponse) -> str:
    return re.sub(r'"X-CSRFToken": "\w+"', "", answer.content.decode())


@pytest.mark.parametrize("spoil", [withdrawn, expired, guessed, cut_off])
def test_a_link_that_is_no_good_gets_one_and_the_same_answer(
    address: str, spoil: Callable[[str], str]
) -> None:
    plain = Client().get("/open/x/")
    answer = Client().get(spoil(address))
    assert (answer.status_code, without_token(answer)) == (404, without_token(plain))
    assert not [name for name in answer.cookies if name.startswith("paper")]
    for words in ("Okonjo", "Tolliver", "196.80", "Kitchen"):
        assert words not in answer.content.decode()


@pytest.mark.parametrize("spoil", [withdrawn, expired])
def test_a_browser_let_in_before_is_shut_out_too(address: str, spoil: Callable[[str], str]) -> None:
    browser, page = visit(address)
    spoil(address)
    assert browser.get(page).status_code == 404
    assert sign(browser, page, "196.80").status_code == 404
    assert not Acceptance.objects.exists()


def test_a_paper_sent_to_its_client_again_goes_by_his_link_and_ends_the_one_of_the_paper_alone(
    signed_in: Client,
) -> None:
    document = issue_now(floor_with_options())
    alone = link_of_one_paper(document)
    assert Client().get(alone).status_code == 302
    first, second = sent(signed_in, document), sent(signed_in, document)
    assert Client().get(alone).status_code == 404
    assert first == second
    assert visit(second)[1]


def test_the_firm_withdraws_a_link(signed_in: Client, address: str) -> None:
    link = ClientLink.objects.get()
    for _ in range(2):
        signed_in.post(reverse("link-withdraw", args=[link.document_id, link.pk]))
    browser = Client()
    assert "None stands at the moment" in browser.get(address, follow=True).content.decode()
    assert browser.get(reverse("client-page", args=[link.pk])).status_code == 404
    assert events() == ["issued", "sent", "unlinked"]


def test_what_was_signed_stays_readable_past_the_links_last_day(address: str) -> None:
    browser, page = visit(address)
    sign(browser, page, "196.80")
    later, same = visit(expired(address))
    assert later.get(f"{same}signed.pdf").status_code == 200


def test_the_firm_sees_which_link_is_past_its_last_day_until_the_paper_is_signed(
    signed_in: Client, address: str
) -> None:
    browser, page = visit(address)
    link = ClientLink.objects.get()
    firms_page = link.document.get_absolute_url()
    assert "Past its last day" not in signed_in.get(firms_page).content.decode()
    expired(address)
    assert "Past its last day" in signed_in.get(firms_page).content.decode()
    JobLink.objects.update(expires_at=link.expires_at)
    sign(browser, page, "196.80")
    expired(address)
    assert "Past its last day" not in signed_in.get(firms_page).content.decode()


def test_a_link_is_past_in_the_very_instant_in_which_it_no_longer_opens(address: str) -> None:
    last = ClientLink.objects.get().expires_at
    for at, past in ((last - timedelta(microseconds=1), False), (last, True)):
        assert vars(ClientLink.objects.with_state(at).get())["is_past"] is past
        assert ClientLink.objects.working(at).exists() is not past


def test_another_jobs_paper_is_not_reached_by_changing_the_number(signed_in: Client) -> None:
    estimate = painted_floor()
    further = another_floor(estimate)
    for draft in (estimate, further):
        draft.dated = timezone.localdate()
        draft.save()
    mine = sent(signed_in, issue_now(estimate))
    other = sent(signed_in, issue_now(further), email="neighbor@example.com")
    browser, page = visit(mine)
    _, others_page = visit(other)
    assert page != others_page
    assert browser.get(others_page).status_code == 404
    assert sign(browser, others_page, "180.00").status_code == 404
    ours, theirs = JobLink.objects.order_by("pk")
    browser.cookies[f"job-{theirs.pk}"] = browser.cookies[f"job-{ours.pk}"].value
    assert browser.get(others_page).status_code == 404
    assert browser.get(reverse("client-job", args=[theirs.pk])).status_code == 404


def test_a_cookie_is_short_lived_and_out_of_scripts(address: str) -> None:
    [cookie] = Client().get(address).cookies.values()
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"
    assert cookie["max-age"] == 2 * 3600


def test_under_https_the_cookie_is_bound_to_the_host(address: str, settings: Settings) -> None:
    settings.SESSION_COOKIE_SECURE = True
    [cookie] = Client().get(address, secure=True).cookies.values()
    assert cookie.key.startswith("__Host-")
    assert cookie["secure"]
    assert (cookie["path"], cookie["domain"]) == ("/", "")


def test_a_scanner_that_fetches_every_address_signs_and_opens_nothing(address: str) -> None:
    browser, page = visit(address)
    for place in ("", "sum/", "sign/", "decline/", "ask/", "cancel/", "opened/", "paper.pdf", "signed.pdf"):
        browser.get(page + place)
        browser.head(page + place)
    browser.head(address)
    assert events() == ["issued", "sent"]
    assert ClientLink.objects.get().opened_at is None


def test_a_touch_on_the_page_counts_as_opened_once(address: str) -> None:
    browser, page = visit(address)
    for _ in range(3):
        assert browser.post(f"{page}opened/").status_code == 204
    assert events() == ["issued", "sent", "opened"]
    data = DocumentEvent.objects.get(kind="opened").read_data()
    assert data["sign"] == "a touch, a scroll or a key on the page"


def test_what_the_firm_itself_looks_at_is_not_opened_by_the_client(signed_in: Client, address: str) -> None:
    page = signed_in.get(address)["Location"]
    signed_in.post(f"{page}opened/")
    assert events() == ["issued", "sent"]


def test_signing_on_the_firms_own_device_is_recorded_as_such(signed_in: Client, address: str) -> None:
    signed_in.get(address)
    page = visit(address)[1]
    sign(signed_in, page, "196.80")
    assert Acceptance.objects.get().read_record()["access"]["on_device_of_firm"] is True


def test_a_post_without_the_token_of_the_page_is_refused(address: str) -> None:
    browser = Client(enforce_csrf_checks=True)
    browser.get(address)
    page = visit(address)[1]
    assert sign(browser, page, "196.80").status_code == 403
    assert not Acceptance.objects.exists()


def test_a_right_link_opens_whoever_guesses_from_the_same_address(address: str) -> None:
    for number in range(40):
        assert Client().get(f"/open/{number}/").status_code == 404
    assert Client().get(address).status_code == 302


def test_a_guess_costs_two_queries_and_writes_nothing(address: str) -> None:
    with CaptureQueriesContext(connection) as queries:
        Client().get(guessed(address))
    assert [query["sql"].split()[0] for query in queries] == ["SELECT", "SELECT"]


def test_no_log_line_shows_a_secret(address: str, caplog: pytest.LogCaptureFixture) -> None:
    caplog.handler.addFilter(HideSecrets())
    Client().get(withdrawn(address))
    lines = caplog.text
    assert "/open/..." in lines
    assert address.split("/")[2] not in lines


def test_a_made_up_line_of_a_server_is_cut_as_well() -> None:
    record = logging.makeLogRecord({"msg": '"%s" %s', "args": ("GET /open/Zm9v_-x/ HTTP/1.1", 404)})
    assert HideSecrets().filter(record)
    assert record.getMessage() == '"GET /open/.../ HTTP/1.1" 404'


@pytest.mark.every_database
@pytest.mark.parametrize("table", ["acceptance", "signedcopy"])
def test_the_database_refuses_to_change_or_delete_what_was_signed(address: str, table: str) -> None:
    browser, page = visit(address)
    sign(browser, page, "196.80")
    for statement in ("DELETE FROM estimating_{0}", "UPDATE estimating_{0} SET id = id"):
        with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement.format(table))
    with pytest.raises(IntegrityError), transaction.atomic():
        Acceptance.objects.update(name="Somebody else")


# A signature on paper


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_a_signature_on_paper_is_kept_with_its_photo_and_without_the_place(
    signed_in: Client, kind: str
) -> None:
    document = issue_now(floor_with_options())
    assert enter(signed_in, document, photo(kind=kind)).status_code == 302
    acceptance, scan = Acceptance.objects.get(), Scan.objects.get()
    record = acceptance.read_record()
    assert (record["entered_by"], record["total"]) == ("pat", "393.60")
    assert record["scan"]["sha256"] == scan.sha256
    kept = bytes(scan.content)
    assert b"camera of the foreman" not in kept
    assert dict(Image.open(io.BytesIO(kept)).getexif()) == {}
    answer = signed_in.get(reverse("signature-scan", args=[document.pk]))
    assert answer.content == kept
    assert answer["Content-Disposition"].startswith("attachment")


@pytest.mark.parametrize(
    ("content", "name", "said"),
    [
        (b"x" * (20 * 1024 * 1024), "big.jpg", "over 10 MB"),
        (b"", "empty.jpg", "empty"),
        (b"<html><script>alert(1)</script></html>", "page.jpg", "be read"),
        (b'<svg xmlns="http://www.w3.org/2000/svg"><script/></svg>', "drawing.png", "be read"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n", "drawing.jpg", "be read"),
        (photo()[:200], "half.jpg", "be read"),
        (b"%PDF-1.7\n1 0 obj", "half.pdf", "cut off"),
        (b"GIF89a" + b"\0" * 60, "old.gif", "be read"),
    ],
    ids=["20 MB", "empty", "page", "svg", "eps", "half a photo", "half a pdf", "gif"],
)
def test_a_file_that_is_no_photo_or_scan_is_refused_and_nothing_kept(
    signed_in: Client, content: bytes, name: str, said: str
) -> None:
    document = issue_now(floor_with_options())
    answer = enter(signed_in, document, content, name)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Scan.objects.exists()
    assert not Acceptance.objects.exists()
    assert events() == ["issued"]


def test_a_small_file_that_unfolds_to_a_huge_picture_is_refused(signed_in: Client) -> None:
    flood = io.BytesIO()
    Image.new("1", (30_000, 30_000)).save(flood, "PNG")
    answer = enter(signed_in, issue_now(floor_with_options()), flood.getvalue(), "flood.png")
    assert answer.status_code == 422
    assert not Scan.objects.exists()


def test_a_paper_is_signed_once_in_either_way(signed_in: Client, address: str) -> None:
    browser, page = visit(address)
    document = Document.objects.get()
    enter(signed_in, document, photo())
    sign(browser, page, "196.80")
    assert "was signed already" in enter(signed_in, document, photo()).content.decode()
    assert Acceptance.objects.get().way == "paper"
    assert Scan.objects.count() == 1


def test_a_day_before_the_paper_or_still_to_come_is_refused(signed_in: Client) -> None:
    document = issue_now(floor_with_options())
    for days, said in ((1, "still to come"), (-1, "before the paper was dated")):
        typed = {
            "name": NAME,
            "signed_on": f"{timezone.localdate() + timedelta(days=days)}",
            "scan": SimpleUploadedFile("signed.jpg", photo()),
        }
        answer = signed_in.post(reverse("paper-signature", args=[document.pk]), typed)
        assert answer.status_code == 422
        assert said in answer.content.decode()
    assert not Acceptance.objects.exists()


def test_the_same_sending_twice_is_one_link_and_one_mail(
    signed_in: Client, mailoutbox: list[EmailMessage]
) -> None:
    document = issue_now(floor_with_options())
    typed = {"name": NAME, "email": EMAIL, "once": "the same"}
    signed_in.post(reverse("document-send", args=[document.pk]), typed)
    again = signed_in.post(reverse("document-send", args=[document.pk]), typed)
    assert again.status_code == 422
    assert ClientLink.objects.count() == len(mailoutbox) == 1


def test_a_line_break_in_a_name_makes_no_further_head_of_a_mail(
    signed_in: Client, mailoutbox: list[EmailMessage]
) -> None:
    estimate = floor_with_options(name="Kitchen\r\nBcc: everybody@example.com")
    sent(signed_in, issue_now(estimate))
    [message] = mailoutbox
    assert message.recipients() == [EMAIL]
    assert message.subject == "Estimate 1001 from Tolliver Room & Tile: Kitchen Bcc: everybody@example.com"


def test_an_option_sent_twice_is_taken_once(address: str) -> None:
    """Twice would be $590.40: a sum that nobody was shown, though a forged form can name it."""
    browser, page = visit(address)
    assert sign(browser, page, "590.40", options=["0", "0"]).status_code == 409
    assert not Acceptance.objects.exists()
    assert sign(browser, page, "393.60", options=["0", "0"]).status_code == 302
    assert [option["place"] for option in Acceptance.objects.get().read_record()["options"]] == [1]


@pytest.mark.parametrize("option", ["nine", "0.5", "-1", "99999999"])
def test_a_malformed_option_is_refused_where_only_the_sum_is_asked_for(address: str, option: str) -> None:
    browser, page = visit(address)
    answer = sign(browser, page, "196.80", options=option, look="yes")
    assert answer.status_code == 422
    assert "isn&#x27;t on this paper" in answer.content.decode()
