"""The steps of a job, made from its work as it was signed, or from its draft before that."""

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Any

from django.db.models import QuerySet, TextField
from django.db.models.functions import Cast

from catalog.assemblies.specs import MaterialSpec
from catalog.models import Component, Firm, Operation, Precedence
from estimating.contract.lines import SignedBasis, all_lines, contract_allowances, contract_lines
from estimating.contract.unit_prices import OPTION, unit_prices
from estimating.estimates.draft import Draft, read_draft
from estimating.events.chain import canonical, digest
from estimating.models import (
    Acceptance,
    ClientSupply,
    Estimate,
    FixedFootprint,
    Job,
    MeasureOverride,
    Opening,
    Room,
    WorkItem,
    WorkRoom,
)
from estimating.schedule.from_work import PlainWork, steps_of_work
from estimating.takeoff.work import ItemQuantities
from jobsite.days.kept_steps import Choice, JobSteps, WorkFacts, as_json, from_json
from jobsite.days.planned import Supply, amount_in_words
from jobsite.models import ChoiceMade, KeptSteps
from reading.prepared import first_of, prepared

NO_HOURS = Fraction(0)
MADE_AS = "6"  # raise it where steps are made otherwise than before: kept ones are then made anew


def steps_of_signed_jobs(signatures: Iterable[Acceptance], firm: Firm) -> dict[int, JobSteps]:
    """Return the steps of the jobs that these signatures are of, by job.

    `signatures` come without the texts of their documents. Steps are kept: costs a query, and those of a
    draft for each job whose contract has changed.
    """
    by_job: dict[int, list[Acceptance]] = defaultdict(list)
    for signature in signatures:
        by_job[signature.document.job_id].append(signature)
    kept = {job: (made_from, content) for job, made_from, content in _kept_steps(by_job)}
    steps = {}
    for job, signed in by_job.items():
        facts = sorted((row.document_id, row.pk) for row in signed)
        made_from = digest(canonical([MADE_AS, facts]))
        steps[job] = _kept(kept.get(job), made_from) or _keep(_signed_steps(job, signed, firm), made_from)
    return steps


def steps_of_draft(job: Job, firm: Firm) -> JobSteps:
    """Return the steps of a job that isn't signed, from its draft. Costs a dozen queries."""
    estimate = Estimate.objects.filter(job=job, change=None).first()
    if estimate is None:
        return JobSteps(job.pk, ())
    made_from = _fingerprint(job, estimate)
    kept = _kept(first_of(kept for _, *kept in _kept_steps([job.pk])), made_from)
    return kept or _keep(_draft_steps(job, estimate, firm), made_from)


def forget_steps(job: Job) -> None:
    """Have the steps of a job made anew: its rates or waits were put right, or its client chose."""
    KeptSteps.objects.filter(job=job).delete()


@prepared
def _kept_steps(jobs: Collection[int]) -> QuerySet[KeptSteps, tuple[int, str, str]]:
    text = Cast("content", TextField())
    return KeptSteps.objects.filter(job__in=jobs).values_list("job_id", "digest", text)


def _kept(kept: Sequence[str] | None, made_from: str) -> JobSteps | None:
    return _read(kept[1]) if kept and kept[0] == made_from else None


@lru_cache(256)
def _read(content: str) -> JobSteps | None:
    """Return steps as they were kept. Those of open jobs are read for every page of days."""
    try:
        return from_json(json.loads(content))
    except (KeyError, TypeError, ValueError):  # kept by another release
        return None


def _keep(steps: JobSteps, made_from: str) -> JobSteps:
    KeptSteps.objects.bulk_create(
        [KeptSteps(job_id=steps.job, digest=made_from, content=as_json(steps))],
        update_conflicts=True,
        unique_fields=["job"],
        update_fields=["digest", "content"],
    )
    return steps


def _signed_steps(job: int, signatures: Sequence[Acceptance], firm: Firm) -> JobSteps:
    """Make the steps of a contract: of its lines that weren't taken out again."""
    bases = [signature.signed_basis() for signature in signatures]
    lines = {line.place: line for line in contract_lines(bases) if line.left > 0 or not line.price}
    hours = _hours_by_place(bases)
    items: list[ItemQuantities] = []
    facts: dict[str, WorkFacts] = {}
    problems: list[str] = []
    taken_off: set[tuple[int, str]] = set()
    for signature in signatures:
        document = signature.document
        if document.estimate is None:
            continue
        draft = read_draft(document.estimate, firm, "first")
        change = getattr(document.estimate, "change", None)
        for item in draft.take_off.items:
            place = (document.pk, item.work.key)
            if place not in lines:
                continue
            taken_off.add(place)
            items.append(item)
            facts[item.work.key] = _facts(item, draft, firm, *place, change.title if change else "")
            problems += [f"{item.work.title}: {item.problem}"] if item.problem else []
    plain = []
    for place, line in lines.items():
        phase, typed = hours.get(place, ("", NO_HOURS))
        if place not in taken_off and typed:
            key = f"{line.document}-{line.key}"
            plain.append(PlainWork(key, line.title, phase, typed))
            facts[key] = WorkFacts(line.title, phase, *place)
    steps = steps_of_work(items, f"{job}", plain)
    rows = ChoiceMade.objects.filter(choice__job=job, choice__document__isnull=False)
    made = set(rows.values_list("choice__document", "choice__key"))
    return JobSteps(job, steps, facts, tuple(problems), tuple(_choices(bases, made)))


def _choices(bases: Sequence[SignedBasis], made: Collection[tuple[int, str]]) -> Iterable[Choice]:
    """Yield what the client hasn't decided on: allowances that aren't settled, options that nobody took.

    `made` are the places of the allowances for which he chose on his page.
    """
    phases = {place: phase for place, (phase, _) in _hours_by_place(bases).items()}
    for allowance in contract_allowances(bases, contract_lines(bases)):
        line = allowance.line
        if not line.settled and line.place not in made:
            yield Choice(_name(line.place), line.title, allowance.decide_by, phases.get(line.place, ""))
    for price in unit_prices(bases):
        if price.kind == OPTION and not price.used and price.decide_by:
            yield Choice(_name(price.place), price.title, price.decide_by, phases.get(price.place, ""))


def _name(place: tuple[int, str]) -> str:
    return f"{place[0]}:{place[1]}"


def _hours_by_place(bases: Iterable[SignedBasis]) -> dict[tuple[int, str], tuple[str, Fraction]]:
    """Return phase and hours of each line of a contract."""
    return {
        (basis.document, line["key"]): (line.get("phase", ""), Fraction(line["hours"]))
        for basis in bases
        for line in all_lines(basis.basis)
    }


def _draft_steps(job: Job, estimate: Estimate, firm: Firm) -> JobSteps:
    draft = read_draft(estimate, firm, "first")
    items = list(draft.take_off.items_in_sum)
    facts = {item.work.key: _facts(item, draft, firm, 0, item.work.key, "") for item in items}
    problems = tuple(f"{item.work.title}: {item.problem}" for item in items if item.problem)
    return JobSteps(job.pk, steps_of_work(items, f"{job.pk}"), facts, problems)


def _facts(
    item: ItemQuantities, draft: Draft, firm: Firm, document: int, line: str, change: str
) -> WorkFacts:
    """Return what pages say of a work item."""
    names = [draft.rooms[use.room].name for use in item.work.rooms if use.room in draft.rooms]
    materials = {
        requirement.use.code: requirement.use
        for requirement in item.requirements
        if isinstance(requirement.use, MaterialSpec)
    }
    return WorkFacts(
        title=item.work.title,
        phase=item.work.phase,
        document=document,
        line=line,
        rooms=", ".join(names),
        change=change,
        supplies=tuple(
            Supply(
                code,
                materials[code].name,
                amount_in_words(amount, materials[code].unit, firm.metric),
                f"{amount}",
                materials[code].unit,
            )
            for code, amount in item.materials().items()
            if materials[code].kind == "material"
        ),
    )


def _fingerprint(job: Job, estimate: Estimate) -> str:
    """Return a digest of the rows that the steps of a draft are made from."""
    items = WorkItem.objects.filter(estimate=estimate)
    rows: list[Any] = [
        MADE_AS,
        list(
            items.values_list(
                "pk", "position", "title", "phase", "assembly", "is_option", "extra_hours", "conditions"
            )
        ),
        list(WorkRoom.objects.filter(item__estimate=estimate).values_list("item", "room", "walls")),
        list(
            MeasureOverride.objects.filter(item__estimate=estimate).values_list("item", "measure", "amount")
        ),
        list(ClientSupply.objects.filter(item__estimate=estimate).values_list("item", "material")),
        list(Room.objects.filter(job=job).values_list()),
        list(Opening.objects.filter(room__job=job).values_list()),
        list(FixedFootprint.objects.filter(room__job=job).values_list()),
        list(Operation.objects.values_list("pk", "hours_per_unit", "set_up_hours", "wait_hours")),
        list(Component.objects.values_list("pk", "rate", "times", "set_up", "scales_with", "position")),
        list(Precedence.objects.values_list("assembly", "earlier")),
    ]
    return digest(repr(rows))
