"""The Work page asks for what lacks, says what stands too late, and warns of lead by the house's year."""

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.models import Assembly, Companion, Firm, Precedence
from estimating.estimates.checklist import EstimateCheck, check_estimate
from estimating.estimates.draft import read_draft
from estimating.models import Estimate, Job
from tests.factories import make_assembly, make_estimate, make_firm, make_job, make_room, put_on

LEAD = "Old paint is disturbed lead-safe (40 CFR 745.85)."
ASBESTOS = "Old plaster is tested first (29 CFR 1926.1101(k))."


@pytest.fixture
def job(db: None) -> Job:
    make_firm()
    return make_job()


@pytest.fixture
def estimate(job: Job) -> Estimate:
    return make_estimate(job)


@pytest.fixture
def prime(db: None) -> Assembly:
    return make_assembly("Prime walls")


@pytest.fixture
def paint(prime: Assembly) -> Assembly:
    """Painting, which goes after priming."""
    paint = make_assembly("Paint walls")
    Precedence.objects.create(assembly=paint, earlier=prime, reason="bare board takes paint unevenly")
    return paint


def check(estimate: Estimate) -> EstimateCheck:
    return check_estimate(estimate, read_draft(estimate, Firm.current()))


def work_page(client: Client, job: Job) -> str:
    return client.get(reverse("job-work", args=[job.pk])).content.decode()


def test_what_goes_before_is_asked_for_with_its_reason(
    signed_in: Client, estimate: Estimate, paint: Assembly
) -> None:
    put_on(estimate, paint)
    page = work_page(signed_in, estimate.job)
    assert "What goes before this work" in page
    assert "before Paint walls: bare board takes paint unevenly" in page


def test_added_it_stands_before_the_work_on_its_rooms(
    signed_in: Client, job: Job, estimate: Estimate, prime: Assembly, paint: Assembly
) -> None:
    room, clean = make_room(job), make_assembly("Clean")
    put_on(estimate, clean, room)
    put_on(estimate, paint, room)
    signed_in.post(reverse("companion-add", args=[job.pk, prime.pk]))
    assert [item.title for item in estimate.items.all()] == ["Clean", "Prime walls", "Paint walls"]
    assert estimate.items.get(assembly=prime).rooms.get() == room
    assert (check(estimate).before, check(estimate).out_of_order) == ([], ())


def test_set_aside_it_is_not_asked_for_again(
    signed_in: Client, job: Job, estimate: Estimate, prime: Assembly, paint: Assembly
) -> None:
    put_on(estimate, paint)
    signed_in.post(reverse("companion-set-aside", args=[job.pk, prime.pk]))
    assert check(estimate).before == []


@pytest.mark.parametrize(
    ("rule", "built", "asked"),
    [
        (LEAD, 1958, True),
        (LEAD, 1977, True),
        (LEAD, None, True),
        (LEAD, 1978, False),
        (ASBESTOS, 1980, True),
        (ASBESTOS, None, True),
        (ASBESTOS, 1981, False),
    ],
)
def test_what_protects_from_lead_or_asbestos_is_asked_for_in_a_house_old_enough_to_hold_it(
    estimate: Estimate, paint: Assembly, rule: str, built: int | None, asked: bool
) -> None:
    estimate.job.year_built = built
    contain = make_assembly("Containment", phase="protect", caution=rule)
    scrape = make_assembly("Scrape it off", caution=rule)  # work that a newer house can need as well
    for companion in (contain, scrape):
        Companion.objects.create(assembly=paint, companion=companion)
    put_on(estimate, paint)
    names = {companion.assembly.name for companion in check(estimate).companions}
    assert names == ({contain.name, scrape.name} if asked else {scrape.name})


def test_a_companion_is_asked_for_once(estimate: Estimate, prime: Assembly, paint: Assembly) -> None:
    Companion.objects.create(assembly=paint, companion=prime)
    put_on(estimate, paint)
    found = check(estimate)
    assert [companion.assembly for companion in found.companions] == [prime]
    assert found.before == []


def test_what_is_retired_is_not_asked_for(estimate: Estimate, prime: Assembly, paint: Assembly) -> None:
    prime.retired = True
    prime.save()
    put_on(estimate, paint)
    assert check(estimate).before == []


def test_what_stands_too_late_is_said_in_words(
    signed_in: Client, estimate: Estimate, paint: Assembly
) -> None:
    backer = make_assembly("Lay backer board", phase="floor")
    Precedence.objects.create(assembly=paint, earlier=backer, reason="boards scar the last coat")
    for assembly in (backer, paint):
        put_on(estimate, assembly)
    page = work_page(signed_in, estimate.job)
    assert "Mind the order" in page
    assert "before Paint walls: boards scar the last coat" in page


def test_the_order_is_that_of_the_phases_not_of_adding(estimate: Estimate, paint: Assembly) -> None:
    hang = make_assembly("Hang board", phase="board")
    Precedence.objects.create(assembly=paint, earlier=hang)
    for assembly in (paint, hang):
        put_on(estimate, assembly)
    assert check(estimate).out_of_order == ()


def test_the_check_costs_the_same_for_much_work(
    estimate: Estimate, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for _ in range(15):
        work = make_assembly()
        Precedence.objects.create(assembly=work, earlier=make_assembly())
        Companion.objects.create(assembly=work, companion=make_assembly())
        put_on(estimate, work)
    draft = read_draft(estimate, Firm.current())
    # what is there, what was set aside, what goes with it; what goes before, other ways to the same, and
    # what was set aside by code
    with django_assert_num_queries(6):
        found = check_estimate(estimate, draft)
    assert (len(found.companions), len(found.before)) == (15, 15)


def test_another_way_to_the_same_end_is_neither_asked_for_nor_set_aside(
    estimate: Estimate, prime: Assembly, paint: Assembly
) -> None:
    tile, grout, wide = (
        make_assembly(name, purpose=purpose)
        for name, purpose in (("Tile", ""), ("Grout", "grout it"), ("Grout wide joints", "grout it"))
    )
    Companion.objects.create(assembly=tile, companion=grout)
    Assembly.objects.filter(pk=prime.pk).update(purpose="prime it")
    for assembly in (tile, wide, make_assembly("Prime stains", purpose="prime it"), paint):
        put_on(estimate, assembly)
    assert (check(estimate).companions, check(estimate).before) == ([], [])


def test_another_way_to_the_same_end_stands_too_late_as_well(
    estimate: Estimate, prime: Assembly, paint: Assembly
) -> None:
    Assembly.objects.filter(pk=prime.pk).update(purpose="prime it")
    for assembly in (paint, make_assembly("Prime stains", purpose="prime it")):
        put_on(estimate, assembly)
    assert [late.earlier for late in check(estimate).out_of_order] == ["Prime stains"]


def test_the_work_is_put_in_order_on_request(
    signed_in: Client, job: Job, estimate: Estimate, prime: Assembly, paint: Assembly
) -> None:
    for assembly in (paint, make_assembly("Clean"), prime):
        put_on(estimate, assembly)
    assert "Put the work in this order" in work_page(signed_in, job)
    signed_in.post(reverse("work-order", args=[job.pk]))
    assert [item.title for item in estimate.items.all()] == ["Clean", "Prime walls", "Paint walls"]
    assert check(estimate).out_of_order == ()
    assert "Put the work in this order" not in work_page(signed_in, job)


def test_what_is_chosen_together_goes_on_in_order(
    signed_in: Client, job: Job, estimate: Estimate, prime: Assembly, paint: Assembly
) -> None:
    room = make_room(job)
    signed_in.post(
        reverse("work-add", args=[job.pk]), {"rooms": [room.pk], "assemblies": [paint.pk, prime.pk]}
    )
    assert [item.title for item in estimate.items.all()] == ["Prime walls", "Paint walls"]


@pytest.mark.parametrize(("year", "shown"), [(1962, True), (None, True), (1986, False)])
def test_the_work_page_warns_of_lead_by_the_year_of_the_house(
    signed_in: Client, estimate: Estimate, paint: Assembly, year: int | None, shown: bool
) -> None:
    job = estimate.job
    job.year_built = year
    job.save()
    put_on(estimate, paint)
    page = work_page(signed_in, job)
    assert ("40 CFR part 745" in page) is shown
    assert ("Local code and licensed practice decide" in page) is shown
    assert ("Say when the house was built" in page) is (year is None)


@pytest.mark.parametrize(
    ("year", "work", "shown"),
    [
        (1962, {"phase": "take_out"}, True),
        (None, {"caution": LEAD}, True),
        (1962, {"caution": "Mind the wet floor."}, False),
        (1986, {"phase": "take_out", "caution": LEAD}, False),
    ],
)
def test_work_that_disturbs_paint_warns_of_lead(
    signed_in: Client, year: int | None, work: dict[str, str], shown: bool
) -> None:
    job = make_job(year_built=year)
    item = put_on(make_estimate(job), make_assembly("work", **work), make_room(job))
    page = signed_in.get(reverse("work-item", args=[job.pk, item.pk])).content.decode()
    assert ("40 CFR part 745" in page) is shown
    assert (LEAD in page) is (shown and "caution" in work)
