"""What can be searched for: each kind of row, how its words are matched, and how a hit is shown."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, QuerySet
from django.urls import reverse

from catalog.models import Assembly, Material
from estimating.models import Client, Document, Job


@dataclass(frozen=True)
class Hit:
    """A row that was found: its name, what tells it from others, and the address of its page."""

    name: str
    note: str
    url: str


@dataclass(frozen=True)
class SearchKind:
    """A kind of row that is searched; `rows` returns those that have every one of some words.

    Rows that are long are found by their keys first.
    """

    code: str
    title: str
    rows: Callable[[list[str]], QuerySet[Any]]
    hit: Callable[[Any], Hit]
    long: bool = False


def _with_every(rows: QuerySet[Any], words: list[str], *fields: str) -> QuerySet[Any]:
    """Return the rows that have each word in one of these fields."""
    for word in words:
        anywhere = Q()
        for field in fields:
            anywhere |= Q(**{f"{field}__icontains": word})
        rows = rows.filter(anywhere)
    return rows


def _jobs(words: list[str]) -> QuerySet[Job]:
    return Job.objects.newest_first().containing(" ".join(words))


def _job_hit(job: Job) -> Hit:
    note = f"{job.client.name}, {_one_line(job.address)}"
    return Hit(job.name, f"{note}, closed" if job.closed else note, job.get_absolute_url())


def _clients(words: list[str]) -> QuerySet[Client]:
    return Client.objects.containing(" ".join(words))


def _client_hit(client: Client) -> Hit:
    note = ", ".join(filter(None, (client.phone, client.email, _one_line(client.address))))
    return Hit(client.name, note, reverse("client-edit", args=[client.pk]))


def papers_with(words: list[str]) -> QuerySet[Document]:
    """Return the papers with each word as their number, in the name of their kind, or as their job or client.

    A number is matched whole, with or without a mark before it: 12 doesn't find 112. 2019 is a year, too.
    """
    rows = Document.objects.select_related("job__client").defer("pdf", "snapshot", "basis")
    for word in words:
        if number := re.fullmatch(r"(?:#|no\.?|inv-|cr-)?(\d{1,9})", word.lower()):
            is_year = Q(dated__year=int(number[1])) if re.fullmatch(r"20\d\d", number[1]) else Q()
            rows = rows.filter(Q(number=int(number[1])) | is_year)
            continue
        kinds = [kind for kind, label in Document.Kind.choices if word.lower() in label.lower()]
        # By the index of jobs: to look through the papers themselves takes long.
        of_job = Q(job__in=Job.objects.containing(word).order_by().values("pk"))
        rows = rows.filter(Q(kind__in=kinds) | of_job if kinds else of_job)
    return rows.order_by("-issued_at", "-pk")


def _paper_hit(document: Document) -> Hit:
    note = f"{document.job.name}, {document.job.client.name}, {document.dated:%d %b %Y}".replace(" 0", " ")
    return Hit(str(document), note, document.get_absolute_url())


def _materials(words: list[str]) -> QuerySet[Material]:
    return _with_every(Material.objects.order_by("retired", "name", "pk"), words, "name", "code")


def _material_hit(material: Material) -> Hit:
    return Hit(material.name, "retired" if material.retired else "", reverse("material", args=[material.pk]))


def _assemblies(words: list[str]) -> QuerySet[Assembly]:
    return _with_every(Assembly.objects.order_by("retired", "name", "pk"), words, "name", "code")


def _assembly_hit(assembly: Assembly) -> Hit:
    phase = assembly.get_phase_display()
    note = f"{phase}, hidden" if assembly.retired else phase
    return Hit(assembly.name, note, reverse("assembly", args=[assembly.pk]))


def _one_line(text: str) -> str:
    return ", ".join(text.split("\n")).replace("\r", "")


KINDS: list[SearchKind] = [
    SearchKind("jobs", "Jobs", _jobs, _job_hit),
    SearchKind("clients", "Clients", _clients, _client_hit),
    SearchKind("papers", "Paperwork", papers_with, _paper_hit, long=True),
    SearchKind("assemblies", "Assemblies", _assemblies, _assembly_hit),
    SearchKind("materials", "Materials", _materials, _material_hit),
]


def register(kind: SearchKind) -> None:
    """Have rows of an app above searched, too, after papers. Called once, by the `ready` of that app."""
    if kind not in KINDS:
        KINDS.insert(3, kind)
