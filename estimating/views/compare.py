"""Two assemblies side by side."""

from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from catalog.models import Firm
from catalog.rows.values import CatalogSpecs
from estimating.estimates.draft import conventions_of, policy_of
from estimating.estimates.work_page import ToBuy, to_buy
from estimating.forms.compare import CompareForm
from estimating.models import Estimate, Job, Room
from estimating.pricing.compare_assemblies import Comparison, MaterialPair, compare
from estimating.pricing.price import Policy
from estimating.takeoff.takeoff import MaterialLine


@require_GET
def compare_assemblies(request: HttpRequest) -> HttpResponse:
    """Two selects and a room or an amount; once all are chosen, what each of the two comes to."""
    firm = Firm.current()
    asked = "second" in request.GET
    form = CompareForm(
        request.GET if asked else None,
        metric=firm.metric,
        initial={name: request.GET.get(name) for name in ("first", "room")},
    )
    context = {"place": "catalog", "form": form, "firm": firm}
    if asked and form.is_valid():
        both = _comparison(form.cleaned_data, firm, timezone.localdate())
        context |= {"both": both, "materials": [_in_words(pair, firm.metric) for pair in both.materials]}
    status = 422 if asked and form.errors else 200
    return render(request, "estimating/work/compare.html", context, status=status)


def _comparison(chosen: dict, firm: Firm, today: date) -> Comparison:
    specs = CatalogSpecs(firm)
    room: Room | None = chosen["room"]
    return compare(
        specs.assembly(chosen["first"].pk),
        specs.assembly(chosen["second"].pk),
        _policy(room.job if room else None, firm, today),
        room=room.plan() if room else None,
        amount=chosen["amount"],
        conventions=conventions_of(firm),
    )


def _policy(job: Job | None, firm: Firm, today: date) -> Policy:
    """The rates of the job's estimate; those that a new one would have where there is none."""
    if job is None:
        job = Job(tax_policy=firm.tax_policy, tax_percent=firm.tax_percent)
    begun = Estimate.objects.filter(job=job).first() if job.pk else None
    return policy_of(begun or Estimate.blank(job, firm, today), job)


def _in_words(pair: MaterialPair, metric: bool) -> tuple[str, ToBuy | None, ToBuy | None]:
    def words(line: MaterialLine | None) -> ToBuy | None:
        return to_buy(line, metric) if line else None

    return pair.name, words(pair.first), words(pair.second)
