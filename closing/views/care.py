"""The care sheet of a job: what was installed, the paper, and the papers of the makers."""

from hashlib import sha256

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from access.body_limits import takes_much
from catalog.models import Firm, Material
from closing.care.read import papers_of, read_care, read_care_snapshot, read_enclosed
from closing.forms.care import InstalledForm, MaterialPaperForm
from closing.models import Installed, MaterialPaper
from closing.punch_list.end import read_ends
from estimating.client.signing import Visit
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.estimates.snapshots import pdf_file_name
from estimating.models import Job
from estimating.views.client.page import for_client
from estimating.views.lookups import get_job
from estimating.views.pdf import pdf_response
from saving.forms import status_of

ASKS_FOR_A_PASSWORD = (
    "It is protected. Open it once: if it asks for a password, your client can't read it. Then put in one "
    "without."
)


@require_http_methods(["GET", "POST"])
def care(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the materials of a job with what is filled in, and take what isn't in the catalog."""
    job = get_job(job_id)
    known = {name: request.GET.get(name, "") for name in ("name", "color")}
    form = InstalledForm(
        request.POST or None, instance=Installed(job=job), initial=known, today=timezone.localdate()
    )
    if form.is_valid():
        row = form.save()
        messages.success(request, f"“{row}” is on the care sheet.")
        return redirect("care", job.pk)
    rows = read_care(job)
    context = {
        "job": job,
        "place": "days",
        "on_sheet": [row for row in rows if row.entry.says_something],
        "left_out": [row for row in rows if not row.entry.says_something],
        "form": form,
    }
    return render(request, "closing/care.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
def care_material(request: HttpRequest, job_id: int, material_id: int) -> HttpResponse:
    """Fill in what was installed of a material of the job."""
    job, material = get_job(job_id), get_object_or_404(Material, pk=material_id)
    row = Installed.objects.filter(job=job, material=material).first()
    if row is None and all(found.material != material for found in read_care(job)):
        raise Http404
    return _installed(request, row or Installed(job=job, material=material))


@require_http_methods(["GET", "POST"])
def installed(request: HttpRequest, row_id: int) -> HttpResponse:
    """Correct what was installed that isn't in the catalog."""
    rows = Installed.objects.select_related("job__client", "material")
    return _installed(request, get_object_or_404(rows, pk=row_id))


def _installed(request: HttpRequest, row: Installed) -> HttpResponse:
    form = InstalledForm(request.POST or None, instance=row, today=timezone.localdate())
    if form.is_valid():
        form.save()
        messages.success(request, "Saved.")
        return redirect("care", row.job_id)
    context = {"job": row.job, "place": "days", "row": row, "form": form}
    return render(request, "closing/installed.html", context, status=status_of(form))


@require_POST
def installed_remove(request: HttpRequest, row_id: int) -> HttpResponse:
    row = get_object_or_404(Installed.objects.select_related("material"), pk=row_id)
    row.delete()
    messages.success(request, f"What was filled in for “{row}” is removed.")
    return redirect("care", row.job_id)


@require_GET
def care_pdf(request: HttpRequest, job_id: int) -> HttpResponse:
    """Return the care sheet as a PDF."""
    job = get_job(job_id)
    try:
        return _care_pdf(job)
    except PangoMissing as error:
        messages.error(request, str(error))
        return redirect("care", job.pk)


def _care_pdf(job: Job) -> HttpResponse:
    enclosed = read_enclosed(papers_of(job))
    snapshot = read_care_snapshot(job, Firm.current(), timezone.localdate())
    pdf = make_pdf({**snapshot, "enclosed": bool(enclosed)}, enclosed)
    return pdf_response(pdf, pdf_file_name("care", job))


@takes_much
@require_http_methods(["GET", "POST"])
def material_papers(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the papers of a material's maker, and take a further one."""
    material = get_object_or_404(Material, pk=pk)
    form = MaterialPaperForm(request.POST or None, request.FILES or None)
    if form.is_valid():
        content = form.cleaned_data["file"]
        kept = {"name": form.cleaned_data["name"], "content": content}
        MaterialPaper.objects.update_or_create(
            material=material, sha256=sha256(content).hexdigest(), defaults=kept
        )
        messages.success(request, f"“{kept['name']}” is kept with {material}.")
        if b"/Encrypt" in content:
            messages.warning(request, ASKS_FOR_A_PASSWORD)
        return redirect("material-papers", pk)
    papers = MaterialPaper.objects.filter(material=material).defer("content")
    context = {"row": material, "papers": papers, "form": form}
    return render(request, "closing/material_papers.html", context, status=status_of(form))


@require_GET
def material_paper(request: HttpRequest, paper_id: int) -> HttpResponse:
    return _download(get_object_or_404(MaterialPaper, pk=paper_id))


@require_POST
def material_paper_remove(request: HttpRequest, paper_id: int) -> HttpResponse:
    paper = get_object_or_404(MaterialPaper.objects.defer("content"), pk=paper_id)
    paper.delete()
    messages.success(request, f"“{paper}” is removed.")
    return redirect("material-papers", paper.material_id)


@for_client
@require_GET
def client_care_pdf(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Return the care sheet to the client, once the end of the job is signed."""
    return _care_pdf(_ended(visit))


@for_client
@require_GET
def client_material_paper(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Return the paper of a maker that stands on the client's care sheet, by its place on it."""
    papers = papers_of(_ended(visit))
    number = request.GET.get("number", "")
    if not number.isdecimal() or not 1 <= int(number) <= len(papers):
        raise Http404
    return _download(papers[int(number) - 1])


def _ended(visit: Visit) -> Job:
    """Return the job of a client's paper once its end is signed, or answer 404."""
    job = visit.link.document.job
    if not read_ends([job]):
        raise Http404
    return job


def _download(paper: MaterialPaper) -> HttpResponse:
    headers = {"X-Content-Type-Options": "nosniff", "Content-Disposition": 'attachment; filename="paper.pdf"'}
    return HttpResponse(bytes(paper.content), content_type="application/pdf", headers=headers)
