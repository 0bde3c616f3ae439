"""Measuring rooms on the page: what is stored, what is drawn, and what is refused, with its sentence."""

import json
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.measures.lengths import parse_length
from estimating.models import Job, Room
from estimating.rooms.measures import measure as measures_of
from estimating.rooms.plan import Framing, Soffit, Spot
from tests.factories import (
    make_assembly,
    make_estimate,
    make_firm,
    make_job,
    make_opening,
    make_room,
    put_on,
)

if TYPE_CHECKING:
    from django.test.client import _MonkeyPatchedWSGIResponse as TestResponse

Rows = Sequence[dict[str, str]]

# Case B of the jobs that every release must quote: closes at right angles, 32'-1" round.
BATH_WALLS = [
    ("8-2", "right"),
    ("7-10 1/2", "right"),
    ("5", "right"),
    ("2-6", "left"),
    ("3-2", "right"),
    ("5-4 1/2", "right"),
]


def posted(
    walls: Rows = (), openings: Rows = (), fixed: Rows = (), heights: Rows = (), **room: str
) -> dict[str, str]:
    """Return the whole form as a browser sends it: a kitchen of 13'-4" by 10'-8" unless changed."""
    data = {"name": "Kitchen", "shape": "rectangle", "length": "13' 4\"", "width": "10' 8\"", "height": "8"}
    data |= {"device_boxes": "0", "ceiling_lights": "0"} | room
    lists = {"walls": walls, "openings": openings, "fixed": fixed, "heights": heights}
    for prefix, rows in lists.items():
        data |= {f"{prefix}-TOTAL_FORMS": str(len(rows)), f"{prefix}-INITIAL_FORMS": "0"}
        for number, row in enumerate(rows):
            data |= {f"{prefix}-{number}-{name}": text for name, text in row.items()}
    return data


def walk(*legs: tuple[str, str], **room: str) -> dict[str, Any]:
    rows = [{"length": length, "turn": turn} for length, turn in legs]
    return {"walls": rows, "shape": "walk", "length": "", "width": "", **room}


def opening(width: str = "36", height: str = "80", **row: str) -> dict[str, str]:
    return {"kind": "door", "wall": "A", "width": width, "height": height, **row}


@pytest.fixture
def job(db: None) -> Job:
    return make_job()


def measure(signed_in: Client, job: Job, **form: Any) -> "TestResponse":
    return signed_in.post(reverse("room-new", args=[job.pk]), posted(**form))


def summary(signed_in: Client, job: Job, **form: Any) -> str:
    return signed_in.post(reverse("room-plan", args=[job.pk]), posted(**form)).content.decode()


def test_a_floor_that_runs_into_a_doorway_is_kept_and_shown_again(signed_in: Client, job: Job) -> None:
    measure(signed_in, job, openings=[opening(recess="2 1/4")])
    room = job.rooms.get()
    assert room.openings.get().recess_nm == parse_length('2-1/4"')
    assert room.plan().openings[0].recess_nm == parse_length('2-1/4"')
    page = signed_in.get(reverse("room-edit", args=[room.pk]))
    assert page.context["forms"].openings[0]["recess"].value() == "2 1/4"


def test_a_floor_does_not_run_into_a_pass_through_nor_into_the_return_of_a_window(
    signed_in: Client, job: Job
) -> None:
    hatch = opening("36", "40", kind="cased", sill="36", recess="2")
    response = measure(signed_in, job, openings=[hatch])
    assert response.status_code == 422
    assert "doesn't reach the floor" in errors(response)["openings-0-recess"][0]
    window = opening("36", "40", kind="window", sill="36", recess="2")
    assert measure(signed_in, job, openings=[window]).status_code == 302
    plan = Room.objects.get().plan()
    assert plan.openings[0].recess_nm == parse_length('2"')
    assert measures_of(plan).values["floor"] == measures_of(replace(plan, openings=())).values["floor"]


def test_tile_higher_than_the_ceiling_is_refused_at_its_field(signed_in: Client, job: Job) -> None:
    tub = {"kind": "tub", "wall": "A", "length": "60", "depth": "30", "height": "16", "tile_to": "9'"}
    response = measure(signed_in, job, fixed=[tub])
    assert response.status_code == 422
    assert "type its height above the floor" in errors(response)["fixed-0-tile_to"][0]


def errors(response: "TestResponse") -> dict[str, list[str]]:
    """Return every error by the name of its field."""
    forms = response.context["forms"]
    parts = [forms.room, *(row for formset in forms.formsets for row in formset)]
    return {part[name].html_name: list(texts) for part in parts for name, texts in part.errors.items()}


def test_a_rectangle_is_stored_with_what_was_typed(signed_in: Client, job: Job) -> None:
    response = measure(signed_in, job)
    room = job.rooms.get()
    assert response.headers["Location"] == f"{reverse('job-rooms', args=[job.pk])}#room-{room.pk}"
    length_nm, width_nm = parse_length("13' 4\""), parse_length("10' 8\"")
    assert room.legs == [[length_nm, "90"], [width_nm, "90"]] * 2
    assert room.entry["room"]["length"] == "13' 4\""


def test_an_l_is_a_rectangle_less_its_cut_out(signed_in: Client, job: Job) -> None:
    measure(signed_in, job, shape="l", length="12", width="9-6", cut_length="4", cut_width="3")
    text = signed_in.get(reverse("job-rooms", args=[job.pk])).content.decode()
    assert "102 sq ft" in text  # 12 x 9.5 - 4 x 3


def test_the_bath_of_case_b_closes_with_its_area_and_perimeter(signed_in: Client, job: Job) -> None:
    measure(signed_in, job, **walk(*BATH_WALLS, height="7-9"))
    text = signed_in.get(reverse("job-rooms", args=[job.pk])).content.decode()
    assert "56.4 sq ft" in text  # 8.1667 x 7.875 - 3.1667 x 2.5 = 56.396
    assert "32&#x27; 1&quot;" in text


def test_the_kitchen_of_case_a_has_its_net_wall(signed_in: Client, job: Job) -> None:
    text = summary(
        signed_in,
        job,
        openings=[
            opening("60", "40", kind="window", sill="42"),
            opening(kind="cased", wall="C"),
            opening(wall="D"),
        ],
    )
    assert "142.22 sq ft" in text
    assert "48&#x27; 0&quot;" in text
    assert "327.33 sq ft" in text


def test_openings_are_typed_in_inches_and_walls_in_feet(signed_in: Client, job: Job) -> None:
    measure(signed_in, job, length="12", openings=[opening("36")])
    room = job.rooms.get()
    assert room.legs[0][0] == parse_length("12 ft")
    assert room.openings.get().width_nm == parse_length("36 in")


def test_a_metric_firm_types_walls_in_meters_and_openings_in_centimeters(signed_in: Client, job: Job) -> None:
    make_firm(units="metric")
    measure(signed_in, job, length="4", width="3", height="2.5", openings=[opening("90", "200")])
    room = job.rooms.get()
    assert room.legs[0][0] == parse_length("4 m")
    assert room.openings.get().width_nm == parse_length("90 cm")


def test_a_ceiling_in_inches_without_a_mark_is_asked_about(signed_in: Client, job: Job) -> None:
    response = measure(signed_in, job, height="96")
    assert response.status_code == 422
    assert errors(response)["height"] == [
        "96 without a mark would be 96 ft. Type 96 in, or 96 ft if it is as high as that."
    ]
    measure(signed_in, job, height="96 in")
    assert job.rooms.get().height_nm == parse_length("8'")


def test_a_high_hall_is_accepted_with_its_mark(signed_in: Client, job: Job) -> None:
    measure(signed_in, job, height="24 ft")
    assert job.rooms.get().height_nm == parse_length("24'")


def test_a_metric_ceiling_in_centimeters_without_a_mark_is_asked_about(signed_in: Client, job: Job) -> None:
    make_firm(units="metric")
    response = measure(signed_in, job, length="4", width="3", height="244")
    assert errors(response)["height"] == [
        "244 without a mark would be 244 m. Type 244 cm, or 244 m if it is as high as that."
    ]


def test_a_metric_firm_reads_of_doorways_in_centimeters_alone(signed_in: Client, job: Job) -> None:
    make_firm(units="metric")
    text = signed_in.get(reverse("room-new", args=[job.pk])).content.decode()
    assert "a wall 11.4 cm thick, it is 5.7." in text
    assert '4-1/2"' not in text


def test_what_was_typed_in_feet_is_not_read_as_meters_after_a_change_of_units(
    signed_in: Client, job: Job
) -> None:
    measure(signed_in, job, length="12", width="10")
    make_firm(units="metric")
    forms = signed_in.get(reverse("room-edit", args=[job.rooms.get().pk])).context["forms"]
    assert [row["length"].value() for row in forms.walls][:2] == ["3657.600000 mm", "3.048 m"]


def test_a_turn_is_typed_in_degrees(signed_in: Client, job: Job) -> None:
    rows = [{"length": "10", "turn": "right-by", "degrees": "120"} for _ in range(3)]
    measure(signed_in, job, **walk() | {"walls": rows})
    assert job.rooms.get().legs == [[parse_length("10 ft"), "120"]] * 3


def test_a_tub_takes_its_floor_only_where_the_floor_stops_at_it(signed_in: Client, job: Job) -> None:
    tub = {"kind": "tub", "wall": "C", "length": "60", "depth": "30"}
    assert "142.22 sq ft" in summary(signed_in, job, fixed=[tub])
    assert "129.72 sq ft" in summary(signed_in, job, fixed=[{**tub, "off_floor": "on"}])  # less 12.5


def test_a_column_is_kept_apart_from_any_wall(signed_in: Client, job: Job) -> None:
    measure(signed_in, job, fixed=[{"kind": "column", "wall": "A", "length": "12", "depth": "12"}])
    plan = job.rooms.get().plan()
    assert len(plan.columns) == 1
    assert plan.footprints == ()


def test_a_run_of_cabinets_is_as_long_as_its_list_and_its_wall_is_drawn(signed_in: Client, job: Job) -> None:
    base = {"kind": "cabinets", "wall": "A", "depth": "24", "units": "36, dishwasher 24, sink 33 1/2"}
    uppers = {"kind": "hung", "wall": "A", "length": "60", "depth": "12", "units": "30, 30", "bottom": "56"}
    assert measure(signed_in, job, fixed=[base, uppers]).status_code == 302
    room = job.rooms.get()
    run, hung = room.plan().footprints
    assert (run.length_nm, len(run.units), run.tall_nm) == (
        parse_length('93 1/2"'),
        3,
        parse_length('34 1/2"'),
    )
    assert (hung.under_nm, hung.off_base) == (parse_length('56"'), False)
    page = signed_in.get(reverse("job-rooms", args=[job.pk])).content.decode()
    assert "Kitchen, wall A, as it looks" in page
    assert "dishwasher" in page
    # the form has it back word for word, and made anew where it wasn't typed here
    rows = signed_in.get(reverse("room-edit", args=[room.pk])).context["forms"].fixed
    assert rows[0]["units"].value() == base["units"]
    Room.objects.update(entry={})
    rows = signed_in.get(reverse("room-edit", args=[room.pk])).context["forms"].fixed
    assert rows[0]["units"].value() == '36", dishwasher 24", sink 33-1/2"'


def test_rows_in_which_nothing_is_typed_do_not_count(signed_in: Client, job: Job) -> None:
    measure(
        signed_in,
        job,
        openings=[{"kind": "window", "wall": "B", "width": " ", "height": ""}],
        fixed=[{"kind": "tub", "wall": ""}],
    )
    room = job.rooms.get()
    assert not room.openings.exists()
    assert not room.footprints.exists()


def test_rows_left_empty_are_as_few_after_each_saving(signed_in: Client, job: Job) -> None:
    empty = opening(width="", height="")
    measure(signed_in, job, openings=[opening(), empty], heights=[{"wall": "A", "offset": "", "height": ""}])
    page = signed_in.get(reverse("room-edit", args=[job.rooms.get().pk])).content.decode()
    assert 'name="openings-TOTAL_FORMS" value="2"' in page
    assert 'name="heights-TOTAL_FORMS" value="1"' in page


def test_the_form_comes_back_as_it_was_typed(signed_in: Client, job: Job) -> None:
    rows = [opening("3'", "6-8", offset="4 1/2")]
    measure(signed_in, job, **walk(*BATH_WALLS, height="7 3/4 ft"), openings=rows)
    forms = signed_in.get(reverse("room-edit", args=[job.rooms.get().pk])).context["forms"]
    assert [row["length"].value() for row in forms.walls][:6] == [length for length, _ in BATH_WALLS]
    assert forms.room["height"].value() == "7 3/4 ft"
    assert [forms.openings[0][name].value() for name in ("width", "height", "offset")] == [
        "3'",
        "6-8",
        "4 1/2",
    ]


def test_a_room_that_was_not_typed_here_can_be_edited(signed_in: Client, job: Job) -> None:
    room = make_room(job, length="10' 1/32\"")
    make_opening(room)
    form = signed_in.get(reverse("room-edit", args=[room.pk])).context["forms"]
    data = posted(walls=form.typed["walls"], openings=form.typed["openings"], **form.typed["room"])
    data.pop("balanced")
    assert signed_in.post(reverse("room-edit", args=[room.pk]), data).status_code == 302
    assert Room.objects.get().plan() == room.plan()


def test_editing_puts_new_rows_in_place_of_the_old(signed_in: Client, job: Job) -> None:
    measure(signed_in, job, openings=[opening("36"), opening("30", wall="B")])
    room = job.rooms.get()
    response = signed_in.post(reverse("room-edit", args=[room.pk]), posted(openings=[opening("28")]))
    assert response.status_code == 302
    assert [door.width_nm for door in room.openings.all()] == [parse_length("28 in")]


def test_twelve_walls_can_be_typed_without_script(signed_in: Client, job: Job) -> None:
    forms = signed_in.get(reverse("room-new", args=[job.pk])).context["forms"]
    assert len(forms.walls.forms) >= 12


def test_a_walk_of_eleven_walls_has_three_more_rows(signed_in: Client, job: Job) -> None:
    long = [("5", "straight"), ("5", "straight"), ("5", "right")]
    short = [("2", "straight"), ("2", "straight"), ("2", "straight"), ("2", "right")]
    measure(signed_in, job, **walk(*long, ("8", "right"), *long, *short))
    room = job.rooms.get()
    assert len(room.legs) == 11
    forms = signed_in.get(reverse("room-edit", args=[room.pk])).context["forms"]
    assert len(forms.walls.forms) == 14


def test_add_a_row_keeps_what_is_typed_and_stores_nothing(signed_in: Client, job: Job) -> None:
    response = measure(signed_in, job, name="", openings=[opening("3 ft")], rows="openings add")
    assert response.status_code == 200
    forms = response.context["forms"]
    assert [row["width"].value() for row in forms.openings] == ["3 ft", None]
    assert not job.rooms.exists()


def test_a_row_added_meanwhile_undoes_no_change_that_was_typed_before(signed_in: Client, job: Job) -> None:
    measure(signed_in, job, openings=[opening("36")])
    room = job.rooms.get()
    address = reverse("room-edit", args=[room.pk])
    opened = signed_in.get(address).context["forms"].texts()
    typed = {**posted(openings=[opening("32")]), "form_key": "a page", "form_opened": json.dumps(opened)}
    assert signed_in.post(address, {**typed, "rows": "openings add"}).status_code == 200
    assert signed_in.post(address, typed).status_code == 302
    assert room.openings.get().width_nm == parse_length('32"')


def test_a_wall_can_be_put_in_before_another_or_removed(signed_in: Client, job: Job) -> None:
    def lengths(change: str) -> list[str | None]:
        forms = measure(signed_in, job, **walk(*BATH_WALLS[:3]), rows=change).context["forms"]
        return [row["length"].value() for row in forms.walls]

    assert lengths("walls insert 1") == ["8-2", None, "7-10 1/2", "5"]
    assert lengths("walls remove 1") == ["8-2", "5"]
    assert lengths("walls remove 99") == ["8-2", "7-10 1/2", "5"]


def test_a_copy_begins_with_all_but_the_name(signed_in: Client, job: Job) -> None:
    measure(signed_in, job, openings=[opening("28")])
    forms = signed_in.get(reverse("room-new", args=[job.pk]), {"copy": job.rooms.get().pk}).context["forms"]
    assert forms.room["name"].value() == ""
    assert forms.room["length"].value() == "13' 4\""
    assert forms.openings[0]["width"].value() == "28"


def test_a_new_room_has_the_ceiling_height_of_the_last(signed_in: Client, job: Job) -> None:
    measure(signed_in, job, height="7-9")
    forms = signed_in.get(reverse("room-new", args=[job.pk])).context["forms"]
    assert forms.room["height"].value() == "7-9"


BAD = [
    ({"length": "-12"}, "length", "A length can't be negative. Leave out the minus sign of -12."),
    ({"length": "0"}, "length", "A length of zero can't be used: type more than 0."),
    ({"length": "about 12"}, "length", "about 12 can't be read as a length. Type it such as 12' 6 1/2\"."),
    ({"width": ""}, "width", "Type the width."),
    ({"height": ""}, "height", "Type the ceiling height."),
    ({"name": ""}, "name", "Type what the room is called."),
    (
        {"shape": "l", "cut_length": "14", "cut_width": "3"},
        "cut_length",
        "The cut-out must be smaller than the room, in length and in width.",
    ),
    (
        {"openings": [opening("14 ft")]},
        "openings-0-width",
        "Door, 14' 0\", is longer than wall A (13' 4\").",
    ),
    (
        {"openings": [opening(sill="30")]},
        "openings-0-height",
        "Door reaches 9' 2\" above the floor, higher than the ceiling at 8' 0\".",
    ),
    (
        {"openings": [opening("36", offset="12 ft")]},
        "openings-0-offset",
        "Door must begin between 0 and 10' 4\" from the start of wall A (13' 4\"), to end on the wall.",
    ),
    (
        {"openings": [opening("7 ft"), opening("7 ft", wall="A", kind="window")]},
        "openings-1-width",
        "The openings on wall A (13' 4\") are wider together than the wall.",
    ),
    (
        {"openings": [opening("36", offset="0"), opening("36", kind="window", offset="30")]},
        "openings-1-offset",
        "Window overlaps Door: check where each begins on the wall.",
    ),
    (
        {"openings": [opening(wall="F")]},
        "openings-0-wall",
        "This room has no wall F: its walls are A to D.",
    ),
    ({"openings": [opening("36", "")]}, "openings-0-height", "Type the height, or remove the row."),
    (
        walk(("10", "right"), ("", "right"), ("8", "right"), ("10", "right")),
        "walls-1-length",
        "Type the length of wall B, or remove the row: the walls follow one another.",
    ),
    (
        walk(("10", "right"), ("8", "right"), ("", "right")),
        "walls-2-length",
        "A room needs at least three walls.",
    ),
    (
        walk(("10", "right"), ("8", "right"), ("10", "right"), ("7-9", "right")),
        "balanced",
        "The walls don't close: the last wall ends 3\" south of the start, the first wall running east"
        " (1 in 143). Check the lengths and turns, or balance the difference over the walls.",
    ),
    (
        walk(("10", "right"), ("10", "right"), ("5", "right"), ("15", "left"), ("5", "left"), ("5", "left")),
        "walls-3-length",
        "Wall A and wall D cross or touch. Check the lengths and the turns between them.",
    ),
    (
        {"fixed": [{"kind": "tub", "wall": "A", "length": "60", "depth": "30", "off_walls": "on"}]},
        "fixed-0-height",
        "Tub or shower needs a height, since the wall behind it is left out.",
    ),
    (
        {"fixed": [{"kind": "cabinets", "wall": "A", "length": "60", "depth": "24", "units": "36, 30"}]},
        "fixed-0-units",
        'Base cabinets: the widths are 5\' 6" together, 6" more than the run, 5\' 0".',
    ),
    (
        {"fixed": [{"kind": "hung", "wall": "A", "length": "60", "depth": "12", "units": "sink 36"}]},
        "fixed-0-units",
        "A sink isn't among wall cabinets: list it in another run.",
    ),
    (
        {"fixed": [{"kind": "cabinets", "wall": "A", "length": "60", "depth": "24", "units": "B36"}]},
        "fixed-0-units",
        "b36 can't be read as a length. Type it such as 5 1/2\".",
    ),
    (
        {"fixed": [{"kind": "tub", "wall": "A", "length": "60", "depth": "30", "units": "36"}]},
        "fixed-0-units",
        "Only cabinets and an island have a list of cabinets.",
    ),
    (
        {"fixed": [{"kind": "island", "wall": "", "length": "20 ft", "depth": "30"}]},
        "fixed-0-length",
        "Island is larger than the room.",
    ),
]


@pytest.mark.parametrize(
    ("form", "field", "sentence"), BAD, ids=[f"{case[1]}: {case[2][:30]}" for case in BAD]
)
def test_what_cannot_be_is_refused_at_its_field_and_nothing_is_stored(
    signed_in: Client, job: Job, form: dict[str, Any], field: str, sentence: str
) -> None:
    response = measure(signed_in, job, **form)
    assert response.status_code == 422
    assert errors(response)[field] == [sentence]
    text = response.content.decode()
    assert f'href="#id_{field}"' in text
    assert f'id="id_{field}"' in text
    assert not job.rooms.exists()


def test_what_was_typed_stays_after_bad_input(signed_in: Client, job: Job) -> None:
    text = measure(
        signed_in, job, length="twelve", notes="out of square", openings=[opening("99 ft")]
    ).content.decode()
    assert 'value="twelve"' in text
    assert "out of square" in text
    assert 'value="99 ft"' in text


def test_lengths_of_another_shape_are_not_checked(signed_in: Client, job: Job) -> None:
    response = measure(signed_in, job, cut_length="nonsense", walls=[{"length": "nonsense", "turn": "right"}])
    assert response.status_code == 302
    assert job.rooms.get().entry["walls"][0]["length"] == "nonsense"


def test_a_walk_that_does_not_close_is_stored_once_balanced(signed_in: Client, job: Job) -> None:
    legs = ("10", "right"), ("8", "right"), ("10", "right"), ("7-9", "right")
    assert measure(signed_in, job, **walk(*legs, balanced="on")).status_code == 302
    assert job.rooms.get().balanced


def test_a_bad_edit_leaves_the_room_as_it_was(signed_in: Client, job: Job) -> None:
    measure(signed_in, job, openings=[opening("36")])
    room = job.rooms.get()
    before = room.plan()
    bad = posted(length="20", openings=[opening("36"), opening("90 ft")])
    assert signed_in.post(reverse("room-edit", args=[room.pk]), bad).status_code == 422
    assert Room.objects.get().plan() == before


def test_a_name_of_10000_characters_is_refused_and_kept(signed_in: Client, job: Job) -> None:
    response = measure(signed_in, job, name="x" * 10_000)
    assert response.status_code == 422
    assert "Keep it to 80 characters: this has 10000." in errors(response)["name"][0]
    assert "x" * 10_000 in response.content.decode()


def test_html_in_a_name_is_shown_as_text_in_page_and_drawing(signed_in: Client, job: Job) -> None:
    measure(signed_in, job, name="<script>alert(1)</script>")
    text = signed_in.get(reverse("job-rooms", args=[job.pk])).content.decode()
    assert "<script>alert" not in text
    assert '<title id="plan-' in text
    assert "Plan of &lt;script&gt;alert(1)&lt;/script&gt;" in text


def test_a_form_without_its_row_counts_is_refused(signed_in: Client, job: Job) -> None:
    response = signed_in.post(reverse("room-new", args=[job.pk]), {"name": "Kitchen"})
    assert response.status_code == 422


def test_the_summary_says_what_is_missing_before_anything_is_typed(signed_in: Client, job: Job) -> None:
    text = summary(signed_in, job, length="", width="")
    assert "<svg" not in text
    assert "Type the lengths of the walls" in text


def test_the_summary_of_a_walk_that_does_not_close_says_how_far(signed_in: Client, job: Job) -> None:
    text = summary(signed_in, job, **walk(("10", "right"), ("8", "right"), ("10", "right"), ("7-9", "right")))
    assert "<svg" in text
    assert "3&quot; south of the start" in text
    assert "sq ft" not in text


def test_the_summary_leaves_a_row_out_that_cannot_be_read_and_says_so(signed_in: Client, job: Job) -> None:
    text = summary(signed_in, job, openings=[opening("3 f")])
    assert "1 row can't be read yet and is left out" in text
    assert "384 sq ft" in text


def test_the_summary_names_the_rule_for_openings_that_the_firm_follows(signed_in: Client, job: Job) -> None:
    make_firm(openings="none")
    assert "openings not deducted" in summary(signed_in, job, openings=[opening()])


def test_every_measure_opens_to_how_it_is_measured(signed_in: Client, job: Job) -> None:
    make_room(job)
    text = signed_in.get(reverse("job-rooms", args=[job.pk])).content.decode()
    assert "Length of wall times ceiling height, with the faces of soffits, steps and niches." in text
    assert "Length of all walls at the floor, columns included." in text


def test_rooms_are_summed(signed_in: Client, job: Job) -> None:
    make_room(job, "10'", "12'")
    make_room(job, "5'", "7'")
    text = signed_in.get(reverse("job-rooms", args=[job.pk])).content.decode()
    assert "155 sq ft" in text


def test_a_job_without_rooms_says_what_to_do(signed_in: Client, job: Job) -> None:
    text = signed_in.get(reverse("job-rooms", args=[job.pk])).content.decode()
    assert "No rooms yet." in text


@pytest.mark.parametrize("rooms", [1, 6])
def test_queries_do_not_grow_with_rooms(
    signed_in: Client, job: Job, rooms: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    make_firm()
    for _ in range(rooms):
        make_opening(make_room(job))
    # session, user, job with client, firm, rooms, openings, footprints, photos; the tape: rooms,
    # work items, the estimate in force
    with django_assert_num_queries(11):
        signed_in.get(reverse("job-rooms", args=[job.pk]))


def test_a_room_moves_up_and_down_and_stays_at_the_ends(signed_in: Client, job: Job) -> None:
    first, second, third = (make_room(job, name=name) for name in ("A", "B", "C"))

    def order(room: Room, to: str) -> str:
        signed_in.post(reverse("room-move", args=[room.pk]), {"to": to})
        return "".join(room.name for room in job.rooms.all())

    assert order(third, "up") == "ACB"
    assert order(first, "down") == "CAB"
    assert order(third, "up") == "CAB"
    assert order(second, "down") == "CAB"


def test_a_room_is_deleted_after_a_question(signed_in: Client, job: Job) -> None:
    room = make_room(job)
    question = signed_in.get(reverse("room-delete", args=[room.pk])).content.decode()
    assert "be undone" in question
    assert job.rooms.exists()
    signed_in.post(reverse("room-delete", args=[room.pk]))
    assert not job.rooms.exists()


def test_a_room_with_work_on_it_stays(signed_in: Client, job: Job) -> None:
    room = make_room(job)
    put_on(make_estimate(job), make_assembly(), room, title="Paint the floor")
    question = signed_in.get(reverse("room-delete", args=[room.pk])).content.decode()
    assert "Paint the floor" in question
    answer = signed_in.post(reverse("room-delete", args=[room.pk]), follow=True).content.decode()
    assert "Kitchen stays: work is on it." in answer
    assert job.rooms.exists()


def test_work_stays_on_a_room_whose_walls_change_and_a_lost_wall_is_named(
    signed_in: Client, job: Job
) -> None:
    measure(signed_in, job, **walk(*BATH_WALLS))
    room = job.rooms.get()
    item = put_on(make_estimate(job), make_assembly(), room, title="Paint")
    item.in_rooms.update(walls="A,F")
    answer = signed_in.post(reverse("room-edit", args=[room.pk]), posted(), follow=True).content.decode()
    assert "Paint is on walls that Kitchen no longer has (A,F)" in answer
    assert item.in_rooms.get().room == room


@pytest.mark.parametrize(
    ("value", "bare", "reading"),
    [
        ("11-1 3/4", "ft", "= 11 ft 1 3/4 in (3.397 m)"),
        ("36", "in", "= 3 ft (0.914 m)"),
        ("5/8", "in", "= 5/8 in (16 mm)"),
        ("1,7145 m", "ft", "= 5 ft 7 1/2 in (1.715 m)"),
        ("3.82", "m", "= 3.820 m (12 ft 6 25/64 in)"),
        ("1 m", "ft", "about 3 ft 3 3/8 in (1.000 m)"),
        ("0", "in", "= 0 in (0.000 m)"),
        ("11/4", "in", "11/4 in: 2 3/4 or 1 1/4? Type the one that you mean."),
        ("", "ft", ""),
        ("12", "cubits", ""),
    ],
)
def test_a_length_is_read_back(signed_in: Client, value: str, bare: str, reading: str) -> None:
    response = signed_in.get(reverse("length-reading"), {"value": value, "bare": bare})
    assert response.status_code == 200
    assert response.content.decode() == reading
    assert response["Content-Type"].startswith("text/plain")


GABLE = {"wall": "A", "offset": "80", "height": "12'"}
SOFFIT = {"kind": "soffit", "wall": "A", "length": "160", "depth": "13", "height": "12"}
ISLAND = {"kind": "island", "wall": "A", "length": "60", "depth": "36", "offset": "40", "off_wall": "60"}
NICHE = {"kind": "niche", "wall": "D", "width": "14", "height": "24", "sill": "48", "recess": "3 1/2"}


def test_what_is_overhead_and_in_its_place_is_kept_measured_drawn_and_shown_again(
    signed_in: Client, job: Job
) -> None:
    measure(signed_in, job, openings=[NICHE], fixed=[ISLAND], heights=[GABLE])
    room = job.rooms.get()
    assert room.heights == [[0, parse_length('80"'), parse_length("12'")]]
    plan = room.plan()
    assert plan.footprints[0].spot == Spot(0, parse_length('40"'), parse_length('60"'))
    assert plan.openings[0].recess_nm == parse_length('3-1/2"')
    page = signed_in.get(reverse("room-edit", args=[room.pk]))
    forms = page.context["forms"]
    assert forms.heights[0]["height"].value() == "12'"
    assert forms.fixed[0]["off_wall"].value() == "60"
    text = page.content.decode()
    assert "6' 8\" from the start of wall A the ceiling is 12' 0\" high." in text
    assert "Island, standing free 5' 0\" off wall A, 3' 4\" from its start" in text
    # without what was typed, the fields are made from what is stored
    Room.objects.update(entry={})
    forms = signed_in.get(reverse("room-edit", args=[room.pk])).context["forms"]
    assert [forms.heights[0][name].value() for name in ("wall", "offset", "height")] == [
        "A",
        "6' 8\"",
        "12' 0\"",
    ]
    assert forms.fixed[0]["off_wall"].value() == "5' 0\""


def test_a_page_from_before_heights_loses_none_of_them(signed_in: Client, job: Job) -> None:
    measure(signed_in, job, heights=[GABLE])
    room = job.rooms.get()
    before = posted(name="Attic")
    former = {field: text for field, text in before.items() if not field.startswith("heights-")}
    response = signed_in.post(reverse("room-edit", args=[room.pk]), former)
    assert response.status_code == 302
    room.refresh_from_db()
    assert room.name == "Attic"
    assert room.heights == [[0, parse_length('80"'), parse_length("12'")]]
    assert room.entry["heights"][0]["height"] == "12'"


def test_a_soffit_counts_in_walls_and_corners(signed_in: Client, job: Job) -> None:
    measure(signed_in, job, fixed=[SOFFIT])
    assert job.rooms.get().plan().soffits == (
        Soffit("Soffit", 0, None, parse_length("13' 4\""), parse_length('13"'), parse_length("1'")),
    )
    shown = summary(signed_in, job, fixed=[SOFFIT])
    # 48 ft of wall 8 ft high, less the soffit's two ends in the corners: 13 x 12 in each
    assert "381.83 sq ft" in shown


@pytest.mark.parametrize(
    ("form", "field", "sentence"),
    [
        (
            {"heights": [{**GABLE, "offset": "14'"}]},
            "heights-0-offset",
            "Wall A is 13' 4\" long: its heights are taken between 0 and that from its start.",
        ),
        (
            {"heights": [{**GABLE, "height": "8"}]},
            "heights-0-height",
            "A ceiling is at least 1' 0\" high: type feet with a mark, such as 8'.",
        ),
        (
            {"heights": [{**GABLE, "wall": "F"}]},
            "heights-0-wall",
            "This room has no wall F: its walls are A to D.",
        ),
        (
            {"fixed": [{**SOFFIT, "wall": ""}]},
            "fixed-0-wall",
            "Choose the wall that the soffit runs along.",
        ),
        (
            {"fixed": [ISLAND, {**SOFFIT, "height": "100"}]},
            "fixed-1-height",
            "Soffit drops 8' 4\" below a ceiling that is 8' 0\" high: type how far it hangs down.",
        ),
        (
            {"fixed": [SOFFIT], "openings": [opening("36", "90", offset="10")]},
            "openings-0-height",
            "Door reaches 7' 6\" above the floor, higher than the ceiling or soffit there at 7' 0\".",
        ),
        (
            {"openings": [{**NICHE, "recess": ""}]},
            "openings-0-recess",
            "Type how deep Niche goes into the wall.",
        ),
        (
            {"fixed": [{**ISLAND, "off_wall": "110"}]},
            "fixed-0-off_wall",
            "Island doesn't fit there: 9' 2\" off wall A (13' 4\") it would stand in another wall.",
        ),
    ],
)
def test_what_cannot_be_overhead_is_said_beside_the_field(
    signed_in: Client, job: Job, form: dict[str, Any], field: str, sentence: str
) -> None:
    response = measure(signed_in, job, **form)
    assert response.status_code == 422
    assert errors(response) == {field: [sentence]}


def electrical(**rows: str) -> dict[str, str]:
    sent = {"electrical-TOTAL_FORMS": "2", "electrical-INITIAL_FORMS": "0"}
    for number, kind in enumerate(("outlet", "light")):
        away = "18" if kind == "outlet" else "3'"
        row = {"kind": kind, "wall": "A", "offset": "24", "away": away, **rows}
        sent |= {f"electrical-{number}-{name}": text for name, text in row.items()}
    return sent


def test_boxes_and_lights_in_their_place_are_kept_and_counted(signed_in: Client, job: Job) -> None:
    sent = {**posted(), **electrical()}
    assert signed_in.post(reverse("room-new", args=[job.pk]), sent).status_code == 302
    room = Room.objects.get()
    assert (room.device_boxes, room.ceiling_lights) == (1, 1)
    assert [place.kind for place in room.plan().electrical] == ["outlet", "light"]
    page = signed_in.get(reverse("room-edit", args=[room.pk])).content.decode()
    assert page.count("plan-electrical") == 2


def test_fewer_boxes_than_have_their_place_are_asked_about(signed_in: Client, job: Job) -> None:
    sent = {**posted(), **electrical(kind="outlet"), "device_boxes": "1"}
    response = signed_in.post(reverse("room-new", args=[job.pk]), sent)
    assert response.status_code == 422
    assert "2 have their place below: type 2 or more" in response.content.decode()


JOISTS = {"size": "2x8", "spacing": "16", "span": "11", "species": "dfl", "grade": "2"}
LAID = {"finish": "tile", "thickness": "3/8", "under": "board-1/2"}


def test_joists_are_kept_with_the_room_and_say_whether_they_carry_tile(signed_in: Client, job: Job) -> None:
    room = make_room(job)
    address = reverse("room-floor", args=[room.pk])
    assert "asked for" not in signed_in.get(address).content.decode()
    assert signed_in.post(address, JOISTS | LAID).status_code == 302
    text = signed_in.get(address).content.decode()
    assert "This floor is stiff enough: it gives L/572 under a full room, and L/360 is asked for" in text
    assert "for a licensed engineer" in text
    assert "E = 1,600,000 psi" in text
    signed_in.post(address, JOISTS | LAID | {"finish": "stone"})
    assert "This floor isn&#x27;t stiff enough: it gives L/572" in signed_in.get(address).content.decode()
    measure(signed_in, job)  # another room changes nothing here
    room.refresh_from_db()
    assert room.joists["span_nm"] == parse_length("11'")
    signed_in.post(address, dict.fromkeys(JOISTS, "") | LAID)
    room.refresh_from_db()
    assert room.joists == {}


@pytest.mark.parametrize(
    ("changed", "field", "sentence"),
    [
        ({"span": ""}, "span", "Type how far the joists span, from support to support, such as 11' 6\"."),
        ({"spacing": "30"}, "spacing", 'This is judged from 6" to 2\' 0": beyond, ask an engineer.'),
        ({"grade": ""}, "grade", "Choose the grade; it's stamped on the joist. No. 2 is usual."),
    ],
)
def test_half_known_joists_are_asked_about(
    signed_in: Client, job: Job, changed: dict[str, str], field: str, sentence: str
) -> None:
    response = signed_in.post(reverse("room-floor", args=[make_room(job).pk]), JOISTS | LAID | changed)
    assert response.status_code == 422
    assert response.context["form"].errors[field] == [sentence]


def test_studs_are_typed_in_inches_from_the_left_corner_and_come_back(signed_in: Client, job: Job) -> None:
    measure(
        signed_in,
        job,
        stud_spacing="16",
        stud_first="9 1/2",
        joist_spacing="24",
        floor_spacing="12",
        floor_first="7",
    )
    room = job.rooms.get()
    inch = parse_length('1"')
    assert room.plan().studs == Framing(16 * inch, 19 * inch // 2)
    assert room.plan().ceiling_joists == Framing(24 * inch)
    assert room.plan().floor_joists == Framing(12 * inch, 7 * inch)
    form = signed_in.get(reverse("room-edit", args=[room.pk])).context["forms"].room
    assert [form[name].value() for name in ("stud_spacing", "stud_first", "joist_first")] == [
        "16",
        "9 1/2",
        "",
    ]
    measure(signed_in, job, name="Bath")
    assert job.rooms.get(name="Bath").plan().studs is None


def test_joists_run_across_from_wall_a_or_along_it(signed_in: Client, job: Job) -> None:
    typed = {"joist_spacing": "16", "joist_run": "along", "floor_spacing": "12", "floor_run": "across"}
    measure(signed_in, job, **typed)
    room = job.rooms.get()
    inch = parse_length('1"')
    assert room.plan().ceiling_joists == Framing(16 * inch, along_a=True)
    assert room.plan().floor_joists == Framing(12 * inch)
    for entry in (
        room.entry,
        dict[str, Any](),
    ):  # as it was typed, and as it is read back from what is stored
        room.entry = entry
        room.save()
        form = signed_in.get(reverse("room-edit", args=[room.pk])).context["forms"].room
        assert [form["joist_run"].value(), form["floor_run"].value() or "across"] == ["along", "across"]
    assert "joist_run" in errors(measure(signed_in, job, joist_run="askew"))


def test_a_metric_firm_types_studs_in_centimeters(signed_in: Client, job: Job) -> None:
    make_firm(units="metric")
    measure(signed_in, job, length="4", width="3", height="2.4", stud_spacing="40", stud_first="25")
    plan = job.rooms.get().plan()
    assert plan.studs == Framing(parse_length("400 mm"), parse_length("250 mm"))


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"stud_spacing": "4"}, "stud_spacing", 'Studs are 6" to 24" apart, center to center.'),
        ({"joist_spacing": "4 ft"}, "joist_spacing", 'Ceiling joists are 6" to 24" apart, center to center.'),
        ({"stud_first": "8"}, "stud_spacing", "Type how far the studs are apart too"),
        (
            {"stud_spacing": "16", "stud_first": "20"},
            "stud_first",
            'The first is at most one space away, 16" here.',
        ),
        ({"stud_spacing": "sixteen"}, "stud_spacing", "sixteen"),
    ],
)
def test_what_no_wall_is_framed_by_is_refused_at_its_field(
    signed_in: Client, job: Job, typed: dict[str, str], field: str, sentence: str
) -> None:
    response = measure(signed_in, job, **typed)
    assert response.status_code == 422
    assert sentence in errors(response)[field][0]
    assert not job.rooms.exists()
