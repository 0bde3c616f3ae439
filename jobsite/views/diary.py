"""The diary of a job, what its client sees of it, and pairs of its photos that he allows to be shown."""

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.models import Firm
from estimating.client.job_page import links
from estimating.client.outbox import put_down
from estimating.client.photos import LONGEST_SIDE
from estimating.forms.photos import takes_photos_of
from estimating.plain_text import day_in_words
from estimating.views.client.page import kept_private
from estimating.views.lookups import get_job
from jobsite.diary.read import add_photos, find_entries, read_days_of, read_for_client, with_photos
from jobsite.forms.diary import AnswerForm, DiaryForm, ReferenceForm
from jobsite.models import DiaryEntry, DiaryPhoto, Reference
from jobsite.views.lookups import page_of
from saving.forms import status_of


@takes_photos_of(LONGEST_SIDE)
@require_http_methods(["GET", "POST"])
def diary(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the diary by days, the newest first, and take what happened today."""
    job, now = get_job(job_id), timezone.now()
    today = timezone.localdate(now)
    form = DiaryForm(
        request.POST or None,
        request.FILES or None,
        instance=DiaryEntry(job=job, on=today, written_at=now),
        today=today,
    )
    if form.is_valid():
        with transaction.atomic():
            entry = form.save()
            add_photos(entry, form.cleaned_data["photos"])
        messages.success(request, "Kept in the diary.")
        return redirect("diary", job.pk)
    text = request.GET.get("find", "")[:200]
    page = page_of(request, with_photos(find_entries(job, text)))
    context = {
        "job": job,
        "place": "days",
        "form": form,
        "find": text,
        "page": page,
        "days": read_days_of(job, page.object_list),
    }
    return render(request, "jobsite/diary/diary.html", context, status=status_of(form))


@takes_photos_of(LONGEST_SIDE)
@require_http_methods(["GET", "POST"])
def diary_entry(request: HttpRequest, entry_id: int) -> HttpResponse:
    """Correct what was written of a day."""
    entry = get_object_or_404(DiaryEntry.objects.select_related("job__client"), pk=entry_id)
    photos = list(entry.photos.defer("content", "small"))
    form = DiaryForm(
        request.POST or None,
        request.FILES or None,
        instance=entry,
        today=timezone.localdate(),
        photos=photos,
    )
    if form.is_valid():
        with transaction.atomic():
            form.save()
            form.save_photos()
            add_photos(entry, form.cleaned_data["photos"])
        messages.success(request, "Corrected.")
        return redirect("diary", entry.job_id)
    context = {"job": entry.job, "place": "days", "form": form, "entry": entry, "photos": photos}
    return render(request, "jobsite/diary/entry.html", context, status=status_of(form))


@require_POST
def diary_remove(request: HttpRequest, entry_id: int) -> HttpResponse:
    entry = get_object_or_404(DiaryEntry, pk=entry_id)
    entry.delete()
    messages.success(request, "Removed from the diary.")
    return redirect("diary", entry.job_id)


@require_GET
def diary_photo(request: HttpRequest, photo_id: int, size: str) -> HttpResponse:
    return _photo(get_object_or_404(DiaryPhoto.objects.defer(*_other(size)), pk=photo_id), size)


def _other(size: str) -> tuple[str]:
    return ("content",) if size == "small" else ("small",)


def _photo(photo: DiaryPhoto, size: str) -> HttpResponse:
    headers = {"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store"}
    content = photo.small if size == "small" else photo.content
    return HttpResponse(bytes(content), content_type="image/jpeg", headers=headers)


@login_not_required
@require_GET
def client_diary(request: HttpRequest, page_id: int) -> HttpResponse:
    """Show the client what is marked for him, by his link to the page of the job."""
    page = links.page_with_access(request, page_id, timezone.now())
    if page is None:
        return kept_private(render(request, "client/closed.html", status=404))
    context = {"page": page, "job": page.job, "firm": Firm.current(), "days": read_for_client(page.job)}
    return kept_private(render(request, "client/diary.html", context))


@login_not_required
@require_GET
def client_diary_photo(request: HttpRequest, page_id: int, photo_id: int, size: str) -> HttpResponse:
    page = links.page_with_access(request, page_id, timezone.now())
    if page is None:
        raise Http404
    photos = DiaryPhoto.objects.filter(entry__job=page.job_id, entry__for_client=True)
    return kept_private(_photo(get_object_or_404(photos.defer(*_other(size)), pk=photo_id), size))


@require_GET
def references(request: HttpRequest) -> HttpResponse:
    """Show the pairs of all jobs that clients have allowed to be shown."""
    rows = (
        Reference.objects.filter(answer=Reference.Answer.YES)
        .select_related("job__client")
        .order_by("-answered_at")
    )
    return render(request, "jobsite/references/references.html", {"place": "jobs", "pairs": rows})


@require_http_methods(["GET", "POST"])
def job_references(request: HttpRequest, job_id: int) -> HttpResponse:
    """Choose a pair of photos, and ask the client on his page whether it may be shown."""
    job = get_job(job_id)
    photos = DiaryPhoto.objects.filter(entry__job=job).select_related("entry").defer("content", "small")
    row = Reference(job=job, asked_at=timezone.now())
    form = ReferenceForm(request.POST or None, instance=row, photos=photos.order_by("entry__on", "pk"))
    if form.is_valid():
        form.save()
        messages.success(request, "Asked: the question stands on the client's page of the job.")
        return redirect("job-references", job.pk)
    context = {
        "job": job,
        "place": "days",
        "form": form,
        "photos": photos.order_by("entry__on", "pk"),
        "pairs": Reference.objects.filter(job=job),
    }
    return render(request, "jobsite/references/job.html", context, status=status_of(form))


@require_POST
def reference_remove(request: HttpRequest, reference_id: int) -> HttpResponse:
    """Take a pair back; it is shown no more."""
    row = get_object_or_404(Reference.objects.select_related("job"), pk=reference_id)
    row.delete()
    messages.success(request, "Taken back. The photos stay in the diary.")
    return redirect("job-references", row.job_id)


@login_not_required
@require_http_methods(["GET", "POST"])
def client_reference(request: HttpRequest, page_id: int, reference_id: int) -> HttpResponse:
    """Ask the client about a pair, and keep his answer with his name; both are mailed what he wrote."""
    now = timezone.now()
    page = links.page_with_access(request, page_id, now)
    if page is None:
        return kept_private(render(request, "client/closed.html", status=404))
    row = get_object_or_404(Reference.objects.filter(job=page.job_id), pk=reference_id)
    form = AnswerForm(request.POST or None, initial={"name": row.name or page.name, "answer": row.answer})
    firm = Firm.current()
    if form.is_valid():
        typed = form.cleaned_data
        with transaction.atomic():
            Reference.objects.filter(pk=row.pk).update(
                answer=typed["answer"], name=typed["name"], answered_at=now, page=page
            )
            word = "may show" if typed["answer"] == Reference.Answer.YES else "may not show"
            text = (
                f"{typed['name']} wrote on {day_in_words(timezone.localdate(now))}: {firm.name} {word} two "
                f"photos of {page.job.name}, before and after.\n\n"
                "The answer can be changed on the page of the job."
            )
            for address in dict.fromkeys(filter(None, (page.email, firm.email))):
                put_down(address, f"Photos of {page.job.name}", text, now)
        return kept_private(redirect("client-reference", page.pk, row.pk))
    context = {"page": page, "job": page.job, "firm": firm, "pair": row, "form": form}
    return kept_private(render(request, "client/reference.html", context, status=status_of(form)))


@login_not_required
@require_GET
def client_reference_photo(request: HttpRequest, page_id: int, reference_id: int, side: str) -> HttpResponse:
    """Return one of the two photos to the client who is asked about them."""
    page = links.page_with_access(request, page_id, timezone.now())
    if page is None or side not in ("before", "after"):
        raise Http404
    row = get_object_or_404(Reference.objects.select_related(side), pk=reference_id, job=page.job_id)
    headers = {"X-Content-Type-Options": "nosniff"}
    photo: DiaryPhoto = getattr(row, side)
    return kept_private(HttpResponse(bytes(photo.content), content_type="image/jpeg", headers=headers))
