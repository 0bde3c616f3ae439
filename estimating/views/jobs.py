"""Jobs and their clients."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from catalog.models import Firm
from estimating.changes.draft import signed_job
from estimating.estimates.draft import read_draft
from estimating.forms.jobs import ClientForm, JobForm, NewJobForm
from estimating.models import Client, Job
from estimating.search.clients import ClientChoice, clients_to_choose_from
from estimating.views.lookups import get_estimate, get_job, typed_words
from saving.forms import status_of


def job_new(request: HttpRequest) -> HttpResponse:
    """Start a job; `?client=` picks a client beforehand, `?find=` lists the clients that have its words."""
    picked = request.GET.get("client", "")
    choice = _choice(request, request.POST.get("client", picked))
    form = NewJobForm(
        request.POST if request.method == "POST" else None,
        firm=Firm.current(),
        today=timezone.localdate(),
        clients=choice.clients,
        initial={"client": picked} if picked.isdigit() else {},
    )
    if request.method == "POST" and form.is_valid():
        return redirect("room-new", form.save().pk)
    return _form_page(request, "estimating/jobs/form.html", form, choice=choice)


def _choice(request: HttpRequest, *picked: str | int) -> ClientChoice:
    """Return the clients to choose from, by the words that were typed to find one."""
    return clients_to_choose_from(typed_words(request, "find"), picked)


def job_edit(request: HttpRequest, job_id: int) -> HttpResponse:
    """Edit a job, put it away or take it back."""
    job = get_object_or_404(Job.objects.select_related("client"), pk=job_id)
    choice = _choice(request, job.client_id, request.POST.get("client", ""))
    form = JobForm(request.POST if request.method == "POST" else None, instance=job, clients=choice.clients)
    if request.method == "POST" and form.is_valid():
        job = form.save()
        messages.success(request, f"{job.name} is saved.")
        return redirect("today") if job.closed else redirect(job)
    return _form_page(request, "estimating/jobs/form.html", form, job=job, choice=choice)


@require_GET
def job_comes_to(request: HttpRequest, job_id: int) -> HttpResponse:
    """Return what the job comes to, for pages that show something else; the whole page is the Price page."""
    job, firm = get_job(job_id), Firm.current()
    if not request.headers.get("HX-Request"):
        return redirect("job-price", job.pk)
    draft = read_draft(get_estimate(job, firm), firm, "first")
    if not draft.works and (signed := signed_job(job)):
        return render(request, "estimating/jobs/_comes_to_signed.html", {"contract": signed.contract})
    return render(request, "estimating/jobs/_comes_to.html", {"job": job, "draft": draft})


def client_edit(request: HttpRequest, client_id: int) -> HttpResponse:
    """Edit a client, with the list of the client's jobs."""
    client = get_object_or_404(Client, pk=client_id)
    form = ClientForm(request.POST if request.method == "POST" else None, instance=client)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, f"{client.name} is saved.")
        return redirect("client-edit", client.pk)
    jobs = client.jobs.order_by("closed", "-requested_on", "-pk")
    return _form_page(request, "estimating/jobs/client_form.html", form, client=client, jobs=jobs)


def _form_page(
    request: HttpRequest, template: str, form: JobForm | ClientForm, **context: object
) -> HttpResponse:
    """Show a form; with status 422 where it was posted and has errors."""
    status = status_of(form)
    return render(request, template, {"form": form, "place": "jobs", **context}, status=status)
