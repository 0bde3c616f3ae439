"""Milestones of a plan: added, edited, moved, taken out, and marked reached."""

from collections.abc import Callable
from fractions import Fraction
from functools import wraps
from hashlib import sha256

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.html import escape
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.money.amounts import format_price, round_cents
from estimating.models import Job
from invoicing.billing.draft import due_now
from invoicing.forms.plan import AskedField, MilestoneForm, ReachedForm
from invoicing.invoices.time_and_material import measured_changes, worth_of
from invoicing.milestones.plan import PlanFault
from invoicing.models import Milestone, MilestonePhoto
from invoicing.payment_plan.plan import DrawnPlan, check_rows
from invoicing.views.plan import drawn_plan, one_transaction, show, to_money, with_plan


def of_milestone(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Call the view with the job, its plan and one row of it, posts in one transaction."""

    @wraps(view)
    def found(request: HttpRequest, milestone_id: int) -> HttpResponse:
        milestones = Milestone.objects.select_related("plan__job__client")
        job = get_object_or_404(milestones, pk=milestone_id).plan.job
        with one_transaction(request):
            drawn = drawn_plan(job)
            row = get_object_or_404(Milestone, pk=milestone_id)
            if drawn is None or row not in drawn.rows:
                raise Http404("The line of a change that was canceled.")
            rows = tuple(row if each.pk == row.pk else each for each in drawn.rows)
            return view(request, job, drawn, row, rows)

    return found


@require_GET
@with_plan
def asks_reading(request: HttpRequest, job: Job, drawn: DrawnPlan) -> HttpResponse:
    """What a share comes to, in words, while it is typed."""
    typed = request.GET.get("asks", "")[:100].replace("\0", "")
    if not typed.strip():
        return HttpResponse("")
    try:
        share, amount = AskedField().read(typed)
    except ValueError as error:
        return HttpResponse(escape(str(error)))
    if amount is not None:
        return HttpResponse(f"{format_price(amount)} of {format_price(drawn.agreed.amount)}")
    if share is None:
        return HttpResponse("Whatever the other milestones leave.")
    worth = round_cents(Fraction(share) / 100 * Fraction(drawn.agreed.amount))
    return HttpResponse(f"About {format_price(worth)} of {format_price(drawn.agreed.amount)}")


@require_http_methods(["GET", "POST"])
@with_plan
def milestone_new(request: HttpRequest, job: Job, drawn: DrawnPlan) -> HttpResponse:
    row = Milestone(plan=drawn.kept, position=len(drawn.rows))
    form = MilestoneForm(request.POST or None, instance=row, drawn=drawn)
    if form.is_valid():
        form.save()
        return to_money(job)
    return show(
        request, job, "payment_plan/milestone", status=422 if form.is_bound else 200, form=form, drawn=drawn
    )


@require_http_methods(["GET", "POST"])
@of_milestone
def milestone_edit(
    request: HttpRequest, job: Job, drawn: DrawnPlan, row: Milestone, rows: tuple[Milestone, ...]
) -> HttpResponse:
    name = row.name
    form = MilestoneForm(request.POST or None, instance=row, drawn=drawn)
    if form.is_valid():
        form.save()
        return to_money(job)
    status = 422 if form.is_bound else 200
    return show(
        request, job, "payment_plan/milestone", status=status, form=form, drawn=drawn, row=row, name=name
    )


@require_POST
@of_milestone
def milestone_move(
    request: HttpRequest, job: Job, drawn: DrawnPlan, row: Milestone, rows: tuple[Milestone, ...]
) -> HttpResponse:
    """Up or down by one; at the end of the plan it stays."""
    order = list(rows)
    place = order.index(row)
    order.insert(max(place + (-1 if request.POST.get("way") == "up" else 1), 0), order.pop(place))
    for position, each in enumerate(order):
        each.position = position
    Milestone.objects.bulk_update(order, ["position"])
    return redirect(f"{reverse('job-money', args=[job.pk])}?order=1#milestone-{row.pk}")


@require_http_methods(["GET", "POST"])
@of_milestone
def milestone_remove(
    request: HttpRequest, job: Job, drawn: DrawnPlan, row: Milestone, rows: tuple[Milestone, ...]
) -> HttpResponse:
    """Take a milestone out, where the others still sum to the contract without it."""
    if row.placed_parts.exists():
        reason = f"{row} carries a signed change: it must stay in the plan."
    else:
        reason = _why_it_stays(drawn, [each for each in rows if each != row])
    if request.method == "POST" and not reason:
        row.delete()
        return to_money(job)
    status = 422 if request.method == "POST" else 200
    return show(request, job, "payment_plan/milestone_remove", status=status, row=row, reason=reason)


def _why_it_stays(drawn: DrawnPlan, rows: list[Milestone]) -> str:
    try:
        check_rows(drawn, rows)
    except PlanFault as fault:
        return str(fault)
    return ""


@require_http_methods(["GET", "POST"])
@of_milestone
def milestone_reached(
    request: HttpRequest, job: Job, drawn: DrawnPlan, row: Milestone, rows: tuple[Milestone, ...]
) -> HttpResponse:
    """Mark a milestone reached, with the day and photos; or take the mark back while it isn't billed."""
    today = timezone.localdate()
    billed = any(line.milestone == row.key for line in drawn.history)
    if request.method == "POST" and "not-yet" in request.POST:
        if billed:
            messages.error(request, f"{row} is billed: credit the bill first.")
        else:
            Milestone.objects.filter(pk=row.pk).update(reached_on=None)
        return to_money(job)
    form = ReachedForm(
        request.POST or None,
        request.FILES or None,
        today=today,
        initial={"reached_on": row.reached_on or today},
    )
    if form.is_valid():
        Milestone.objects.filter(pk=row.pk).update(reached_on=form.cleaned_data["reached_on"])
        for content in form.cleaned_data["photos"]:
            row.photos.get_or_create(sha256=sha256(content).hexdigest(), defaults={"content": content})
        messages.success(request, f"{row} is reached{_worth(drawn, row)}.")
        return to_money(job)
    status = 422 if form.is_bound else 200
    return show(
        request, job, "payment_plan/milestone_reached", status=status, form=form, row=row, billed=billed
    )


def _worth(drawn: DrawnPlan, row: Milestone) -> str:
    """ ": $59.04 can be billed", where anything can."""
    if drawn.plan is None:
        return ""
    worth = worth_of(measured_changes(drawn.agreed))
    due = due_now(drawn.plan, drawn.history, row.key, worth)
    return f": {format_price(due)} can be billed" if due > 0 else ""


@require_GET
def milestone_photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    photo = get_object_or_404(MilestonePhoto, pk=photo_id)
    headers = {"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store"}
    return HttpResponse(bytes(photo.content), content_type="image/jpeg", headers=headers)


@require_POST
def milestone_photo_remove(request: HttpRequest, photo_id: int) -> HttpResponse:
    photo = get_object_or_404(MilestonePhoto, pk=photo_id)
    photo.delete()
    return redirect("milestone-reached", photo.milestone_id)
