"""Two assemblies side by side."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from catalog.models import Firm
from catalog.rows.values import CatalogReader
from estimating.estimates.draft import conventions_of, policy_of
from estimating.estimates.work_page import PurchaseRow, purchase_row
from estimating.forms.compare import CompareForm
from estimating.models import Estimate, Job, Room
from estimating.pricing.compare_assemblies import Comparison, MaterialPair, compare
from estimating.pricing.price import Policy


@require_GET
def compare_assemblies(request: HttpRequest) -> HttpResponse:
    """Choose two assemblies and a room or an amount; once all are chosen, see what each comes to."""
    firm = Firm.current()
    is_sent = "second" in request.GET
    form = CompareForm(
        request.GET if is_sent else None,
        metric=firm.metric,
        initial={name: request.GET.get(name) for name in ("first", "room")},
    )
    context: dict[str, Any] = {"place": "catalog", "form": form, "firm": firm}
    if is_sent and form.is_valid():
        both = _comparison(form.cleaned_data, firm, timezone.localdate())
        context |= {"both": both, "materials": [_purchase_rows(pair, firm.metric) for pair in both.materials]}
    status = 422 if is_sent and form.errors else 200
    return render(request, "estimating/work/compare.html", context, status=status)


def _comparison(chosen: Mapping[str, Any], firm: Firm, today: date) -> Comparison:
    reader = CatalogReader(firm)
    room: Room | None = chosen["room"]
    return compare(
        reader.assembly(chosen["first"].pk),
        reader.assembly(chosen["second"].pk),
        _policy(room.job if room else None, firm, today),
        room=room.plan() if room else None,
        amount=chosen["amount"],
        conventions=conventions_of(firm),
    )


def _policy(job: Job | None, firm: Firm, today: date) -> Policy:
    """Return the rates of the job's estimate; those that a new one would have where there is none."""
    if job is None:
        job = Job(tax_policy=firm.tax_policy, tax_percent=firm.tax_percent)
    estimate = Estimate.objects.filter(job=job).first() if job.pk else None
    return policy_of(estimate or Estimate.blank(job, firm, today), job)


def _purchase_rows(pair: MaterialPair, metric: bool) -> tuple[str, PurchaseRow | None, PurchaseRow | None]:
    """Return the name of a material, and what either side buys of it."""
    first, second = (purchase_row(line, metric) if line else None for line in (pair.first, pair.second))
    return pair.name, first, second
