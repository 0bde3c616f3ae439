"""Queries that are written once find what the same queries find that are written anew."""

from collections.abc import Callable, Collection
from typing import Any

import pytest
from django.db import connection
from django.db.models import Count, QuerySet
from django.test.utils import CaptureQueriesContext

from catalog.models import Material
from estimating.models import Job, Room
from reading.prepared import made_of, prepared, put_on
from tests.factories import make_job, make_material, make_opening, make_room

pytestmark = pytest.mark.django_db


def by_job(job: int) -> QuerySet[Room]:
    return Room.objects.filter(job=job).select_related("job__client").order_by("-name")


def by_jobs(jobs: Collection[int]) -> QuerySet[Room]:
    return Room.objects.filter(job__in=jobs).order_by("pk")


def by_height(but: int, jobs: Collection[int], height: int) -> QuerySet[Room, tuple[Any, ...]]:
    found = Room.objects.filter(height_nm=height, job__in=jobs).exclude(pk=but).order_by("pk")
    return found.values_list("pk", "job", "position")


def counted(jobs: Collection[int]) -> QuerySet[Job, Any]:
    return Job.objects.filter(pk__in=jobs).values("pk", "requested_on").annotate(count=Count("rooms"))


def names(job: int) -> QuerySet[Room, str]:
    return Room.objects.filter(job=job).order_by("height_nm").values_list("name", flat=True)


def test_it_finds_the_rows_of_the_numbers_that_it_is_asked_for() -> None:
    jobs = [make_job(), make_job(), make_job()]
    rooms = [make_room(job, name=name, height_nm=7 + at) for job in jobs for at, name in enumerate("AB")]
    keys = [job.pk for job in jobs]
    read: Callable[..., Any]
    for build, *asked in (
        (by_job, (keys[0],), (keys[1],), (0,)),
        (by_jobs, (keys,), (keys[:1],), (keys[1:],), ([],), ({*keys},)),
        (by_height, (rooms[0].pk, keys, 7), (rooms[1].pk, keys[:2], 8), (0, keys, 8), (0, [], 8)),
        (counted, (keys,), (keys[2:],)),
        (names, (keys[0],), (keys[2],)),
    ):
        read = prepared(build)
        for _ in range(2):
            for given in asked:
                assert read(*given) == list(build(*given)), (build.__name__, given)


def test_rows_come_whole_with_what_belongs_to_them() -> None:
    room = make_room(make_job())
    make_opening(room)
    plan = room.plan()
    read = prepared(lambda job: by_job(job).prefetch_related("openings", "footprints"))
    for _ in range(2):
        (found,) = read(room.job_id)
        with CaptureQueriesContext(connection) as asked:
            assert found.job.client.name == "Marisol Okonjo"
            assert [opening.kind for opening in found.openings.all()] == ["door"]
            assert found.plan() == plan
        assert not asked.captured_queries
    found.name = "Bath"
    found.save()
    assert read(room.job_id)[0].name == "Bath"


def test_what_belongs_to_rows_is_put_on_them_as_if_it_were_prefetched() -> None:
    rooms = [make_room(make_job()) for _ in range(2)]
    opening = make_opening(rooms[1])
    put_on(rooms, "openings", [opening], "room")
    with CaptureQueriesContext(connection) as asked:
        assert [list(room.openings.all()) for room in rooms] == [[], [opening]]
        assert opening.room is rooms[1]
    assert not asked.captured_queries
    assert rooms[1].openings.filter(kind="door").count() == 1
    assert not rooms[0].openings.filter(kind="door").exists()


def test_lists_of_any_length_are_looked_through() -> None:
    jobs = [make_job() for _ in range(5)]
    for job in jobs:
        make_room(job)
    read = prepared(by_jobs)
    for count in range(6):
        assert len(read([job.pk for job in jobs[:count]])) == count
    assert len(read([*range(-300, 0), *(job.pk for job in jobs)])) == 5


def test_what_cannot_be_asked_again_with_other_numbers_is_refused() -> None:
    read = prepared(lambda job: Room.objects.filter(height_nm=job % 10))
    with pytest.raises(ValueError, match="looked up"):
        read(7)


def test_what_is_made_of_rows_is_made_anew_where_a_row_changes() -> None:
    make_material(name="Paint")
    made = []

    @made_of(lambda: Material.objects.order_by("pk"))
    def in_words(materials: list[Material]) -> str:
        made.append(len(materials))
        return ", ".join(material.name for material in materials)

    assert (in_words(), in_words()) == ("Paint", "Paint")
    make_material(name="Tape")
    assert (in_words(), in_words()) == ("Paint, Tape", "Paint, Tape")
    Material.objects.filter(name="Tape").update(name="Mesh tape")
    assert in_words() == "Paint, Mesh tape"
    assert made == [1, 2, 2]


def test_what_is_made_of_the_rows_of_a_number_is_kept_for_a_few_of_them() -> None:
    jobs = [make_job(), make_job(), make_job()]
    made = []

    @made_of(by_job, kept=2)
    def rooms_of(rooms: list[Room]) -> list[str]:
        made.append(1)
        return [room.name for room in rooms]

    make_room(jobs[0], name="Bath")
    assert [rooms_of(job.pk) for job in (*jobs[:2], *jobs[:2])] == [["Bath"], [], ["Bath"], []]
    assert len(made) == 2
    make_room(jobs[1], name="Hall")
    assert [rooms_of(job.pk) for job in reversed(jobs)] == [[], ["Hall"], ["Bath"]]
    assert len(made) == 5
