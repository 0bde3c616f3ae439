"""What the jobs say, read from the database: the evidence, and the suggestions that it makes."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db.models import Count, Exists, OuterRef, Sum

from catalog.measures.rates import parse_rate
from catalog.models import Component, Firm, Operation
from estimating.models import Document, Job
from estimating.ranges.work import USUAL_BEST, USUAL_WORST
from jobsite.hours.finished import FinishedItem
from jobsite.hours.read import SignedWork, read_finished_items, read_signed
from jobsite.learning.evidence import RatePrior, rate_evidence
from jobsite.learning.model import learn
from jobsite.learning.suggestions import (
    RATE,
    RUN,
    VISIT,
    WASTE,
    Suggestion,
    TypedRate,
    by_weight,
    rate_suggestion,
)
from jobsite.learning.together import together_suggestion
from jobsite.learning.trips import COLUMNS, JobTrips, trips_suggestion
from jobsite.learning.values import stands, values_of
from jobsite.learning.waste import MaterialUse, WastedMaterial, waste_suggestion
from jobsite.models import ForTheJob, HoursWorked, ReceiptKept, ReceiptLine, SuggestionAnswer

LAST = 100  # jobs that are learned from: older ones say how he worked once (a judgement of ours)

Answers = Mapping[tuple[str, str], SuggestionAnswer]  # the last of each kind and code


@dataclass(frozen=True)
class OwnJobs:
    """What his jobs suggest: still to answer, set aside until there is a further job, and taken.

    `finished` counts the finished pieces of work with hours, `jobs` the jobs that they are of.
    """

    open: tuple[Suggestion, ...]
    set_aside: tuple[Suggestion, ...]
    taken: tuple[SuggestionAnswer, ...]
    finished: int
    jobs: int

    def find(self, kind: str, code: str) -> Suggestion | None:
        """Return the suggestion about something, whether or not it was set aside."""
        both = (*self.open, *self.set_aside)
        return next((one for one in both if (one.kind, one.code) == (kind, code)), None)


def read_own_jobs(today: date) -> OwnJobs:
    """Read the evidence of the last jobs with hours or receipts, and what it suggests.

    Neither the queries nor the time grow with the years.
    """
    kept = Exists(HoursWorked.objects.filter(job=OuterRef("pk"))) | Exists(
        ReceiptKept.objects.filter(job=OuterRef("pk"))
    )
    jobs = list(Job.objects.filter(kept).select_related("client").order_by("-requested_on", "-pk")[:LAST])
    jobs.sort(key=lambda job: job.pk)
    names = {job.pk: f"{job.name}, {job.client.name}" for job in jobs}
    signed = read_signed(jobs)
    items = read_finished_items(jobs, signed)
    answers = list(SuggestionAnswer.objects.filter(put_back_at=None))
    latest, taken = _last(answers), _last(answer for answer in answers if answer.taken)
    firm = Firm.current()
    closed = [job for job in jobs if job.closed]
    found = [
        *_rates(items, taken, names, today),
        *_trips(firm, closed, taken, names),
        *_waste(closed, signed, taken, names, today),
    ]
    together = together_suggestion(items, firm.hours_together_percent)
    suggestions = by_weight([*found, together] if together else found)
    aside = {key: answer.jobs for key, answer in latest.items() if not answer.taken}
    waits = [one.jobs <= aside.get((one.kind, one.code), -1) for one in suggestions]
    return OwnJobs(
        tuple(one for one, wait in zip(suggestions, waits, strict=True) if not wait),
        tuple(one for one, wait in zip(suggestions, waits, strict=True) if wait),
        tuple(taken.values()),
        len(items),
        len({item.job for item in items}),
    )


def _last(answers: Iterable[SuggestionAnswer]) -> dict[tuple[str, str], SuggestionAnswer]:
    """Return the first answer about each thing, by kind and code."""
    last: dict[tuple[str, str], SuggestionAnswer] = {}
    for answer in answers:
        last.setdefault((answer.kind, answer.code), answer)
    return last


def _prior(taken: Answers, kind: str, code: str, now: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the values that jobs are held against: those before any that they gave, while these stand."""
    answer = taken.get((kind, code))
    return answer.prior if answer is not None and stands(answer.made, now) else now


def _rates(
    items: Sequence[FinishedItem], taken: Answers, names: Mapping[int, str], today: date
) -> list[Suggestion]:
    codes = {done.code for item in items for done in item.operations}
    operations = {row.code: row for row in Operation.objects.filter(code__in=codes)}
    typed: dict[str, TypedRate] = {}
    priors: dict[str, RatePrior] = {}
    for code, row in operations.items():
        now = {"low_typed": row.low_typed, "rate_typed": row.rate_typed, "high_typed": row.high_typed}
        before = _prior(taken, RATE, code, now)
        typed[code] = TypedRate(before["low_typed"], before["rate_typed"], before["high_typed"])
        priors[code] = _rate_prior(row, typed[code])
    evidence = rate_evidence(items, priors)
    learned = learn(
        {code: (priors[code].spread, [row.ratio for row in rows]) for code, rows in evidence.items()}
    )
    suggestions = (
        rate_suggestion(
            priors[code],
            typed[code],
            TypedRate(operations[code].low_typed, operations[code].rate_typed, operations[code].high_typed),
            evidence[code],
            found,
            names,
            today,
        )
        for code, found in learned.items()
    )
    return [suggestion for suggestion in suggestions if suggestion]


def _rate_prior(row: Operation, typed: TypedRate) -> RatePrior:
    likely = parse_rate(typed.likely, "hour", row.unit).per_unit

    def end(text: str, usual: Fraction) -> Fraction:
        return parse_rate(text, "hour", row.unit).per_unit if text else likely * usual

    return RatePrior(
        row.code, row.name, row.unit, end(typed.low, USUAL_BEST), likely, end(typed.high, USUAL_WORST)
    )


def _trips(firm: Firm, closed: Sequence[Job], taken: Answers, names: Mapping[int, str]) -> list[Suggestion]:
    found = []
    for kind, rows in ((RUN, _supply_runs(closed)), (VISIT, _days_on_site(closed))):
        now = values_of(kind, "", firm)
        prior = _prior(taken, kind, "", now)
        column = COLUMNS[kind]
        suggestion = trips_suggestion(kind, Fraction(prior[column]), Fraction(now[column]), rows, names)
        found += [suggestion] if suggestion else []
    return found


def _hours_for(jobs: Iterable[Job], what: ForTheJob) -> dict[int, Fraction]:
    """Return the hours that went to something of the job itself, by job. Costs a query."""
    rows = HoursWorked.objects.filter(job__in=jobs, for_job=what).order_by()
    sums = rows.values_list("job").annotate(hours=Sum("hours"))
    return {job: Fraction(Decimal(hours)) for job, hours in sums}


def _supply_runs(closed: Sequence[Job]) -> list[JobTrips]:
    receipts = ReceiptKept.objects.filter(job__in=closed, call_back=None).order_by().values_list("job")
    days = dict(receipts.annotate(days=Count("on", distinct=True)))
    hours = _hours_for(closed, ForTheJob.TRAVEL)
    return [JobTrips(job, hours.get(job, Fraction(0)), count) for job, count in days.items()]


def _days_on_site(closed: Sequence[Job]) -> list[JobTrips]:
    rows = HoursWorked.objects.filter(job__in=closed, call_back=None)
    rows = rows.exclude(for_job=ForTheJob.QUOTING).order_by()
    days = dict(rows.values_list("job").annotate(days=Count("on", distinct=True)))
    hours = _hours_for(closed, ForTheJob.CLEANING)
    return [JobTrips(job, hours.get(job, Fraction(0)), count) for job, count in days.items()]


def _waste(
    closed: Sequence[Job],
    signed: Mapping[int, SignedWork],
    taken: Answers,
    names: Mapping[int, str],
    today: date,
) -> list[Suggestion]:
    uses = _material_uses(closed, signed)
    materials = _wasted_materials(uses)
    found = []
    for code, rows in uses.items():
        answer = taken.get((WASTE, code))
        since = answer.at if answer is not None else None
        counted = [use for signed_at, use in rows if since is None or signed_at > since]
        if code in materials and (suggestion := waste_suggestion(materials[code], counted, names, today)):
            found.append(suggestion)
    return found


def _wasted_materials(codes: Iterable[str]) -> dict[str, WastedMaterial]:
    """Return materials with the waste of each use of them. Costs a query."""
    rows = Component.objects.filter(material__code__in=list(codes)).select_related("material")
    found: dict[str, WastedMaterial] = {}
    for row in rows:
        material = row.material
        assert material is not None
        known = found.setdefault(
            material.code, WastedMaterial(material.code, material.name, material.unit, {})
        )
        found[material.code] = WastedMaterial(
            known.code, known.name, known.unit, {**known.waste, str(row.pk): row.waste_percent}
        )
    return found


def _material_uses(
    closed: Sequence[Job], signed: Mapping[int, SignedWork]
) -> dict[str, list[tuple[datetime, MaterialUse]]]:
    """Return what closed jobs required and bought of each material, with the time of the signature.

    Those are left out whose receipts name no package of it. Costs two queries.
    """
    bought: defaultdict[tuple[int, str], Fraction] = defaultdict(Fraction)
    lines = ReceiptLine.objects.filter(receipt__job__in=closed, package__isnull=False)
    columns = ("receipt__job", "package__material__code", "package__size", "quantity", "amount")
    rows: Any = lines.values_list(*columns)  # amounts as Decimal, where stubs say Money
    for job, code, size, quantity, amount in rows:
        amount_bought = Fraction(size) * Fraction(quantity)
        bought[job, code] += -amount_bought if amount < 0 else amount_bought
    required: defaultdict[tuple[int, str], list[Fraction]] = defaultdict(lambda: [Fraction(0), Fraction(0)])
    of_closed = {job.pk: signed[job.pk].bases for job in closed if job.pk in signed}
    for job, bases in of_closed.items():
        for kept in (kept for basis in bases for kept in basis.basis.get("materials", ())):
            # a layout knows its own waste, and of what was on hand nobody knows what is left
            if "required" in kept and not kept.get("laid") and not kept.get("on_hand"):
                sums = required[job, kept["code"]]
                sums[0] += Fraction(kept["required"])
                sums[1] += sum(Fraction(one["size"]) * one["count"] for one in kept["packages"])
    papers = [basis.document for bases in of_closed.values() for basis in bases]
    estimates = Document.objects.filter(pk__in=papers, kind=Document.Kind.ESTIMATE).order_by("pk")
    first_signed = dict(estimates.values_list("job", "issued_at"))
    uses: defaultdict[str, list[tuple[datetime, MaterialUse]]] = defaultdict(list)
    for (job, code), (needed, listed) in required.items():
        if (job, code) in bought and job in first_signed:
            uses[code].append((first_signed[job], MaterialUse(job, needed, listed, bought[job, code])))
    return dict(uses)
