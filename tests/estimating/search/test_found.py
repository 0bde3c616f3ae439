"""The one search: what has every word typed, of each kind, a page at a time."""

import pytest

from catalog.models import Assembly, Material
from estimating.models import Document
from estimating.search import found
from estimating.search.found import find
from tests.estimating.issuing import issue_now, painted_floor
from tests.factories import make_client, make_job

pytestmark = pytest.mark.django_db


def names(text: str, kind: str = "", page: str = "") -> dict[str, list[str]]:
    return {each.kind.code: [hit.name for hit in each.hits] for each in find(text, kind, page)}


@pytest.mark.parametrize("wanted", ["kitch", "okonjo", "larkspur", "Marisol Lane"])
def test_a_job_is_found_by_its_name_client_or_address(wanted: str) -> None:
    make_job(closed=True)
    make_job(name="Bath", client=make_client(name="Ines Marchbank"), address="12 Cooper's Row")
    assert names(wanted)["jobs"] == ["Kitchen"]


def test_a_paper_is_found_by_its_number_and_kind_but_not_by_a_part_of_the_number() -> None:
    document = issue_now(painted_floor())
    for typed in (f"{document.number}", f"#{document.number}", f"estimate {document.number}"):
        assert names(typed)["papers"] == [str(document)]
    assert "papers" not in names(f"invoice {document.number}")
    assert "papers" not in names(f"{document.number}0")


def test_clients_materials_and_assemblies_are_found_by_their_words() -> None:
    issue_now(painted_floor())
    client = Document.objects.get().job.client
    material, assembly = Material.objects.all()[0], Assembly.objects.all()[0]
    assert client.name in names(client.name)["clients"]
    assert material.name in names(material.name)["materials"]
    assert assembly.name in names(assembly.name)["assemblies"]


def test_of_many_the_first_are_shown_and_the_rest_are_a_page_away(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(found, "FIRST_ROWS", 2)
    monkeypatch.setattr(found, "ROWS_A_PAGE", 3)
    for number in range(5):
        make_job(name=f"Porch {number}")
    (jobs,) = find("porch")
    assert (len(jobs.hits), jobs.count, jobs.left_out) == (2, 5, 3)
    assert [len(names("porch", "jobs", page)["jobs"]) for page in ("1", "2", "99")] == [3, 2, 2]


def test_nothing_typed_finds_nothing() -> None:
    make_job()
    assert find("  ") == []
