"""What the client has to choose: the firm's pages, and the client's."""

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.models import Firm
from estimating.changes.draft import SignedJob, signed_job
from estimating.client.job_page import links
from estimating.client.photos import LONGEST_SIDE
from estimating.forms.photos import takes_photos_of
from estimating.models import Job, JobLink
from estimating.plain_text import day_in_words
from estimating.views.client.job_page import address_of
from estimating.views.client.page import kept_private
from estimating.views.lookups import get_job
from jobsite.choices.choosing import (
    CannotChoose,
    OpenChoice,
    choose,
    left_without_choice,
    read_choices,
    read_to_choose,
    remind,
    remove_or_withdraw,
)
from jobsite.choices.options import GONE, options_for_client, options_to_take, take_option
from jobsite.days.plan import read_days
from jobsite.forms.choices import ChoiceForm, ChoiceOfferForm, ChooseForm, TakeOptionForm
from jobsite.models import Choice, ChoiceOffer
from saving.forms import status_of

SEEN = "The client has seen it, so it stays as it was shown. Withdraw it, and offer it anew."
NOT_SIGNED = "The estimate isn't signed yet: what the client chooses is held against what he signed."


def _signed(job: Job) -> SignedJob:
    signed = signed_job(job)
    if signed is None:
        raise Http404(NOT_SIGNED)
    return signed


@require_GET
def choices(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show what the client has to choose, what he chose, and the allowances for which nothing is offered."""
    job, today = get_job(job_id), timezone.localdate()
    context = {"job": job, "place": "papers", "pages": _pages(job)}
    if (signed := signed_job(job)) is not None:
        rows = read_choices(job, signed)
        context["choices"] = [(row, row.is_soon(today)) for row in rows]
        context["without"] = left_without_choice(signed, rows)
        context["options"] = options_to_take(signed, today)
        context["estimate"] = signed.estimate
    return render(request, "jobsite/choices/choices.html", context)


def _pages(job: Job) -> list[JobLink]:
    return [page for page in JobLink.objects.working(timezone.now()).filter(job=job) if page.email]


@require_http_methods(["GET", "POST"])
def choice_new(request: HttpRequest, job_id: int) -> HttpResponse:
    """Enter something to choose; with `?for=` it is an allowance of the contract."""
    job = get_job(job_id)
    signed = _signed(job)
    document, _, key = request.GET.get("for", "").partition(":")
    row = Choice(job=job)
    day = _last_free_day(job, request.GET.get("for", ""))
    for allowance in signed.left_to_settle():
        if allowance.line.place == (int(document) if document.isdecimal() else 0, key):
            taken = Choice.objects.filter(
                document_id=allowance.line.document, key=key, withdrawn_at=None
            ).first()
            if taken:
                return redirect("choice", taken.pk)
            row = Choice(
                job=job, document_id=allowance.line.document, key=key, what=allowance.line.title[:120]
            )
    form = ChoiceForm(request.POST or None, instance=row, initial={"what": row.what}, day=day)
    if form.is_valid():
        kept = form.save()
        return redirect("choice", kept.pk)
    context = {"job": job, "place": "papers", "form": form, "choice": row}
    return render(request, "jobsite/choices/form.html", context, status=status_of(form))


def _last_free_day(job: Job, place: str) -> str:
    """Say until which day choosing costs no day by the plan; empty where it doesn't say."""
    today = timezone.localdate()
    decisions = read_days(today, job).decisions(job.pk) if place else ()
    free = next((decision.day for decision in decisions if decision.key == place and decision.day), None)
    return f"By the plan of days: {day_in_words(free)}. Empty: the day in the contract." if free else ""


def _get_choice(choice_id: int) -> tuple[Choice, OpenChoice]:
    row = get_object_or_404(Choice.objects.select_related("job__client"), pk=choice_id)
    found = read_choices(row.job, _signed(row.job))
    return row, next(item for item in found if item.choice.pk == row.pk)


@takes_photos_of(LONGEST_SIDE)
@require_http_methods(["GET", "POST"])
def choice(request: HttpRequest, choice_id: int) -> HttpResponse:
    """Show what is offered for a choice, and take a further offer."""
    row, found = _get_choice(choice_id)
    if found.made or row.withdrawn_at:
        return redirect("choices", row.job_id)
    form = ChoiceOfferForm(
        request.POST or None,
        request.FILES or None,
        instance=ChoiceOffer(choice=row),
        has_allowance=found.allowance is not None,
    )
    if form.is_valid():
        offer = form.save(commit=False)
        offer.photo = next(iter(form.cleaned_data["photos"]), None)
        offer.save()
        return redirect("choice", row.pk)
    context = {"job": row.job, "place": "papers", "form": form, "found": found, "photos": _with_photo(row)}
    return render(request, "jobsite/choices/choice.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
def choice_edit(request: HttpRequest, choice_id: int) -> HttpResponse:
    """Correct what there is to choose and by when, before the client sees it."""
    row = get_object_or_404(Choice.objects.select_related("job__client"), pk=choice_id)
    if row.shown_at:
        messages.warning(request, SEEN)
        return redirect("choice", row.pk)
    place = f"{row.document_id}:{row.key}" if row.place else ""
    form = ChoiceForm(request.POST or None, instance=row, day=_last_free_day(row.job, place))
    if form.is_valid():
        form.save()
        return redirect("choice", row.pk)
    context = {"job": row.job, "place": "papers", "form": form, "choice": row}
    return render(request, "jobsite/choices/form.html", context, status=status_of(form))


@require_POST
def choice_remove(request: HttpRequest, choice_id: int) -> HttpResponse:
    """Remove a choice that was entered by mistake; withdraw it where the client has seen it."""
    row = get_object_or_404(Choice, pk=choice_id)
    try:
        with transaction.atomic():
            withdrawn = remove_or_withdraw(row.pk, timezone.now())
    except CannotChoose as error:
        messages.error(request, str(error))
    else:
        gone = "withdrawn: the client no longer sees it, and it stays on record" if withdrawn else "removed"
        messages.success(request, f"{row} is {gone}.")
    return redirect("choices", row.job_id)


def _with_photo(row: Choice) -> set[int]:
    return set(row.offers.filter(photo__isnull=False).values_list("pk", flat=True))


@require_POST
def choice_offer_remove(request: HttpRequest, offer_id: int) -> HttpResponse:
    """Take an offer back, while nothing is chosen."""
    offer = get_object_or_404(ChoiceOffer.objects.select_related("choice").defer("photo"), pk=offer_id)
    if hasattr(offer.choice, "made"):
        messages.error(request, "This was chosen meanwhile: what was offered stays on record.")
        return redirect("choices", offer.choice.job_id)
    offer.delete()
    return redirect("choice", offer.choice_id)


@require_POST
def choice_show(request: HttpRequest, choice_id: int) -> HttpResponse:
    """Put a choice on the client's page of the job."""
    row, found = _get_choice(choice_id)
    if not found.is_ready:
        messages.error(
            request, "Offer two things at least, each with what it costs, before the client sees it."
        )
        return redirect("choice", row.pk)
    Choice.objects.filter(pk=row.pk, shown_at=None).update(shown_at=timezone.now())
    messages.success(request, f"{row} stands on the client's page.")
    return redirect("choices", row.job_id)


@require_POST
def choice_remind(request: HttpRequest, choice_id: int) -> HttpResponse:
    """Mail the client that a choice waits, with the link to the page of the job."""
    row, found = _get_choice(choice_id)
    pages = _pages(row.job)
    if found.made or found.is_over or not row.shown_at or not pages:
        messages.error(
            request, "There is nobody to remind: it is chosen, or nobody has a page with an e-mail."
        )
        return redirect("choices", row.job_id)
    with transaction.atomic():
        for page in pages:
            remind(found, page, address_of(request, page), timezone.now())
    messages.success(request, f"Reminded: {', '.join(page.email for page in pages)}.")
    return redirect("choices", row.job_id)


@require_GET
def choice_photo(request: HttpRequest, offer_id: int) -> HttpResponse:
    return _photo(get_object_or_404(ChoiceOffer, pk=offer_id, photo__isnull=False))


def _photo(offer: ChoiceOffer) -> HttpResponse:
    headers = {"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store"}
    return HttpResponse(bytes(offer.photo or b""), content_type="image/jpeg", headers=headers)


@login_not_required
@require_http_methods(["GET", "POST"])
def client_choose(request: HttpRequest, page_id: int, choice_id: int) -> HttpResponse:
    """Show the client what he may choose, and take what he chose."""
    now = timezone.now()
    page = links.page_with_access(request, page_id, now)
    if page is None:
        return kept_private(render(request, "client/closed.html", status=404))
    found = _found(page, choice_id)
    if found is None:
        return _no_longer_offered(request, page, choice_id)
    form = ChooseForm(
        request.POST or None, offers=found.offers, initial={"name": page.name, "shown": found.shown}
    )
    status = status_of(form)
    if form.is_valid():
        typed = form.cleaned_data
        try:
            with transaction.atomic():
                choose(choice_id, page, int(typed["offer"]), typed["name"], typed["shown"], now)
        except CannotChoose as error:
            found = _found(page, choice_id)
            if found is None:  # withdrawn between the two readings
                return _no_longer_offered(request, page, choice_id)
            form = ChooseForm(offers=found.offers, initial={"name": typed["name"], "shown": found.shown})
            messages.error(request, str(error))
            status = 409
        else:
            return kept_private(redirect(reverse("client-choose", args=[page.pk, choice_id])))
    context = {
        "page": page,
        "job": page.job,
        "firm": Firm.current(),
        "found": found,
        "form": form,
        "photos": _with_photo(found.choice),
        "chosen": form["offer"].value(),
    }
    return kept_private(render(request, "client/choose.html", context, status=status))


@login_not_required
@require_http_methods(["GET", "POST"])
def client_option(request: HttpRequest, page_id: int, document_id: int, key: str) -> HttpResponse:
    """Show the client an option of the contract that he hasn't taken, and take it from him."""
    now = timezone.now()
    page = links.page_with_access(request, page_id, now)
    if page is None:
        return kept_private(render(request, "client/closed.html", status=404))
    options = options_for_client(page.job, timezone.localdate(now))
    option = next((option for option in options if option.place == (document_id, key)), None)
    if option is None:
        messages.error(request, GONE)
        return kept_private(redirect("client-job", page.pk))
    form = TakeOptionForm(request.POST or None, initial={"name": page.name})
    if form.is_valid():
        try:
            with transaction.atomic():
                take_option(page, option.place, form.cleaned_data["name"], now)
        except CannotChoose as error:
            messages.error(request, str(error))
        else:
            messages.success(request, f"Chosen: {option.title}. A change for you to sign follows.")
        return kept_private(redirect("client-job", page.pk))
    context = {"page": page, "job": page.job, "firm": Firm.current(), "option": option, "form": form}
    return kept_private(render(request, "client/option.html", context, status=status_of(form)))


def _found(page: JobLink, choice_id: int) -> OpenChoice | None:
    return next((item for item in read_to_choose(page) if item.choice.pk == choice_id), None)


def _no_longer_offered(request: HttpRequest, page: JobLink, choice_id: int) -> HttpResponse:
    row = get_object_or_404(Choice, pk=choice_id, job=page.job_id, shown_at__isnull=False)
    messages.error(request, f"{row} is no longer offered. Ask below if you would still like to choose it.")
    return kept_private(redirect("client-job", page.pk))


@login_not_required
@require_GET
def client_choice_photo(request: HttpRequest, page_id: int, offer_id: int) -> HttpResponse:
    """Return a picture to the client by his link."""
    page = links.page_with_access(request, page_id, timezone.now())
    if page is None:
        raise Http404
    offers = ChoiceOffer.objects.filter(choice__job=page.job_id, choice__shown_at__isnull=False)
    return _photo(get_object_or_404(offers, pk=offer_id, photo__isnull=False))
