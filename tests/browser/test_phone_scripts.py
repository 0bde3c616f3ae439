"""The phone's scripts alone: lengths and closing errors as the server has them, the outbox when it is cut."""

import random
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from playwright.sync_api import Browser, Page, Route

from catalog.measures.lengths import NM_PER_INCH, UnreadableLength, format_length, parse_length
from estimating.rooms.outline import Leg, trace_walls, wall_faults

pytestmark = pytest.mark.browser

SITE = "http://localhost:1"
STATIC = Path(settings.BASE_DIR) / "static"
TYPED = [
    *("12", "12.5", "12'", "12' 4", "12' 4\"", "12'4", "12' 6 1/2\"", "12' 6-1/2", "12' 0\"", "0' 4\""),
    *('96"', "1/2", '30 1/2"', "30 1/2", "5-1/2", "3/4", "11/4", "1/3", "12' 14\"", "3.82 m", "382 cm", ".5"),
    *("3820mm", "12 ft", "12 ft 4 in", "", "abc", "0", "1001'", "-3", "12' 4 1/128\"", "7’ 6”", "12' 4''"),
]


@pytest.fixture(scope="module")
def scripts(chromium: Browser) -> Iterator[Page]:
    """A page that can import the scripts, without any site."""

    def answer(route: Route) -> None:
        path = STATIC / route.request.url.removeprefix(f"{SITE}/static/")
        if path.is_file():
            route.fulfill(path=path, content_type="text/javascript")
        else:
            route.fulfill(body="<!doctype html>", content_type="text/html")

    page = chromium.new_page()
    page.route(f"{SITE}/**", answer)
    page.goto(f"{SITE}/")
    yield page
    page.context.close()


def run(page: Page, module: str, body: str, given: Any = None) -> Any:
    script = f"async (given) => {{ const own = await import('/static/phone/{module}.js'); {body} }}"
    return page.evaluate(script, given)


@pytest.mark.parametrize("bare", ["ft", "in", "m", "cm"])
def test_lengths_are_read_as_the_server_reads_them(scripts: Page, bare: str) -> None:
    read = run(
        scripts, "lengths", "return given[0].map((text) => own.readLength(text, given[1]))", [TYPED, bare]
    )
    for text, nm in zip(TYPED, read, strict=True):
        try:
            expected = parse_length(text, bare)
        except UnreadableLength:
            expected = None
        # what the phone can't read it sends as typed; what it reads, it must not read otherwise
        assert nm == expected or (nm is None and bare in ("m", "cm")), (text, bare)


def test_lengths_are_shown_as_the_server_shows_them(scripts: Page) -> None:
    chance = random.Random(14)
    lengths = [chance.randrange(1, 10**11) for _ in range(300)]
    lengths += [NM_PER_INCH // 32 * number for number in range(1, 900)]
    for metric in (False, True):
        body = "return given[0].map((nm) => own.formatLength(nm, given[1]))"
        shown = run(scripts, "lengths", body, [lengths, metric])
        assert shown == [format_length(nm, metric) for nm in lengths]


@pytest.mark.parametrize(
    ("keys", "text"),
    [
        (["1", "2", "'", "6", "1/2"], "12' 6 1/2\""),
        (["1", "2", "'", "6", "1/2", "1/4", "1/16"], "12' 6 13/16\""),
        (["3", "0", "1/2"], '30 1/2"'),
        (["1", "2", "'", "'", "4", '"', "5"], "12' 4\""),
        (["1", "1/2", "1/2"], "1"),
        (["1/8"], '1/8"'),
    ],
)
def test_keys_make_lengths(scripts: Page, keys: list[str], text: str) -> None:
    assert run(scripts, "lengths", "return given.reduce((so, key) => own.withKey(so, key), '')", keys) == text


def rooms() -> list[list[tuple[str, str]]]:
    """Walls with their turns: closed ones, open ones, oblique ones."""
    closed = [("12'", "right"), ("10'", "right"), ("12'", "right"), ("10'", "right")]
    bay = [("12'", "right"), ("4'", "45"), ("4'", "45"), ("9' 3 1/4\"", "right")]
    chance = random.Random(3)
    odd = [
        [
            (f'{chance.randint(20, 200)} {chance.randint(1, 15)}/16"', chance.choice(["right", "left", "30"]))
            for _ in range(chance.randint(3, 8))
        ]
        for _ in range(40)
    ]
    return [closed, bay, *odd]


def test_a_closing_error_is_said_as_the_server_says_it(scripts: Page) -> None:
    body = """return given.map((walls) => own.misclosure(walls.reduce((room, [text, turn]) =>
        /\\d/.test(turn) ? own.endWall(room, text, "right-by", turn) : own.endWall(room, text, turn),
        own.emptyRoom(false))))"""
    said = run(scripts, "walk", body, rooms())
    for walls, words in zip(rooms(), said, strict=True):
        turns = {"right": Decimal(90), "left": Decimal(-90)}
        legs = [Leg(parse_length(text), turns.get(turn) or Decimal(turn)) for text, turn in walls]
        outline = trace_walls(legs)
        assert words == ("" if outline.closed else outline.misclosure.in_words()), walls


def test_a_room_that_closes_itself_is_closed_for_the_server(scripts: Page) -> None:
    body = """return given.map((walls) => {
        const room = walls.reduce((so, [text, turn]) => /\\d/.test(turn)
            ? own.endWall(so, text, "right-by", turn) : own.endWall(so, text, turn), own.emptyRoom(false));
        return own.closing(room) && own.closeRoom(room).walls.map(
            ({ length, turn, degrees }) => [length, degrees || turn]); })"""
    walked = [
        [("12'", "right"), ("10' 0 1/16\"", "right")],
        [("12'", "right"), ("10'", "right"), ("5' 3 3/16\"", "left"), ("2'", "right")],
        [("12'", "right"), ("10'", "right"), ("12'", "right")],
        [("12'", "right"), ("8'", "45"), ("3' 4 1/4\"", "45")],
        [("12'", "45"), ("3' 4 1/4\"", "45"), ("8'", "right")],
    ]
    closed = run(scripts, "walk", body, walked)
    for walls in closed:
        turns = {"right": Decimal(90), "left": Decimal(-90)}
        legs = [Leg(parse_length(text), turns.get(turn) or Decimal(turn)) for text, turn in walls]
        assert list(wall_faults(legs)) == []
    assert run(scripts, "walk", body, [[("12'", "right")], [("12'", "left"), ("2'", "left")]])[0] is None


def test_undo_and_redo_walk_through_every_step(scripts: Page) -> None:
    body = """let steps = new own.Steps(own.emptyRoom(false));
        const seen = [];
        for (const text of ["12'", "10'", "3'"]) steps = steps.take(own.endWall(steps.room, text));
        steps = steps.take(own.put(steps.room, "door", { offset: '12"' }));
        for (let count = 0; count < 6; count += 1) {
            seen.push(steps.room.walls.length + steps.room.openings.length);
            steps = steps.undo();
        }
        for (let count = 0; count < 6; count += 1) steps = steps.redo();
        return [seen, steps.room.walls.length + steps.room.openings.length];"""
    assert run(scripts, "walk", body) == [[4, 3, 2, 1, 0, 0], 4]


def test_a_wall_taken_out_takes_what_stands_on_it_and_moves_the_rest(scripts: Page) -> None:
    body = """let room = own.emptyRoom(false);
        for (const text of ["12'", "10'", "3'"]) room = own.endWall(own.put(room, "door"), text);
        return own.without(room, "walls", 1).openings.map(({ wall }) => wall);"""
    assert run(scripts, "walk", body) == [0, 1]


def test_a_tap_on_the_plan_is_a_place_on_the_nearest_wall(scripts: Page) -> None:
    body = """let room = own.emptyRoom(false);
        for (const text of ["12'", "10'", "12'", "10'"]) room = own.endWall(room, text);
        const foot = 304800000;
        return given.map(([x, y]) => {
            const { wall, along, away } = own.placeNear(room, [x * foot, y * foot]);
            return [wall, along / foot, away / foot]; });"""
    tapped = [[3.01, 0.1], [3, -0.5], [11, -6], [6, -9], [-1, -2]]
    assert run(scripts, "walk", body, tapped) == [
        [0, 3, pytest.approx(1 / 12)],
        [0, 3, 0.5],
        [1, 6, 1],
        [2, 6, 1],
        [3, 8, 1],
    ]


def test_a_box_in_its_place_is_counted_until_it_is_taken_out(scripts: Page) -> None:
    body = """let room = { ...own.emptyRoom(false), boxes: 1 };
        for (const kind of ["outlet", "switch", "light"]) room = own.put(room, kind, { offset: '24"' }, 0);
        const back = own.fromTexts(own.asTexts(room), false);
        room = own.without(room, "electrical", 0);
        return [back.electrical.map(({ kind }) => kind), back.boxes, back.lights, room.boxes, room.lights];"""
    assert run(scripts, "walk", body) == [["outlet", "switch", "light"], 3, 1, 2, 1]


def test_what_reaches_beyond_its_wall_is_said_at_once(scripts: Page) -> None:
    body = """return given.map((text) => own.misfit(own.endWall(
        own.put(own.emptyRoom(false), "door", { offset: "24 in" }), text)))"""
    assert run(scripts, "walk", body, ["4'", "4' 8"]) == [
        "Door ends at 4' 8\": wall A is 4' 0\" long.",
        "",
    ]


PLAN = """const plan = (lengths, openings = []) => {
    let room = { ...own.emptyRoom(false, "8'"), name: "Bath" };
    for (const text of lengths) room = own.endWall(room, text);
    for (const wall of openings) room = own.put(room, "door", {}, wall);
    return own.asTexts(room); };
    const conflict = await import('/static/phone/conflict.js');"""


def test_where_walls_differ_in_number_one_version_of_the_plan_is_taken_whole(scripts: Page) -> None:
    body = f"""{PLAN}
        const mine = plan(["12'", "10'", "12'", "10'"], [3]);
        const stored = {{ ...plan(["12'", "4'", "2'", "6'", "10'", "10'"], [5]), notes: ["Damp"] }};
        const answer = {{ merged: {{ ...mine, notes: ["Damp"], height: ["9'"] }}, stored, conflicts: [
            {{ name: "height", label: "Ceiling height", theirs: "8'" }},
            {{ name: "walls", label: "The walls" }},
            {{ name: "openings-0-wall", label: "Opening 1, wall" }}] }};
        const offered = conflict.choices(answer, false);
        const taken = ["mine", "theirs"].map(
            (plan) => conflict.resolved(answer, mine, {{ plan, height: "mine" }}));
        return [offered.values.map(({{ name }}) => name), offered.isDrawn,
            conflict.onlyIn(mine, stored, false),
            taken.map((texts) => [texts["walls-TOTAL_FORMS"][0], texts["openings-0-wall"][0],
                texts["walls-5-length"]?.[0] ?? "", texts.notes[0], texts.height[0]])];"""
    offered, is_drawn, only_mine, taken = run(scripts, "walk", body)
    assert (offered, is_drawn) == (["plan", "height"], True)
    assert taken == [["4", "D", "", "Damp", "9'"], ["6", "F", "10' 0\"", "Damp", "9'"]]
    assert 'Door, wall D: 32" wide, 80" high' in only_mine


def test_where_walls_differ_in_a_length_each_length_is_chosen(scripts: Page) -> None:
    body = f"""{PLAN}
        const mine = plan(["12'", "10'", "12'", "10'"]);
        const stored = plan(["11'", "10'", "11'", "10'"]);
        const conflicts = [0, 2].map(
            (wall) => ({{ name: `walls-${{wall}}-length`, label: "Wall", theirs: "11'" }}));
        const answer = {{ merged: mine, stored, conflicts }};
        const chosen = {{ "walls-0-length": "theirs", "walls-2-length": "mine" }};
        const texts = conflict.resolved(answer, mine, chosen);
        return [conflict.choices(answer, false).values.map(({{ mine }}) => mine),
            [0, 1, 2].map((wall) => texts[`walls-${{wall}}-length`][0])];"""
    assert run(scripts, "walk", body) == [
        ["12' 0\"", "12' 0\""],
        ["11' 0\"", "10' 0\"", "12' 0\""],
    ]


# A server that may be cut before it hears, while it hears, after it wrote with the answer lost; that refuses,
# is at fault, or has signed him out.
OUTBOX = """
    const at = [...given.cuts];
    const { doubtful, offset = 0 } = given;
    const common = { kind: "note", user: "pat", state: "waiting", offset, doubtful };
    const waiting = given.records.map((key, order) => ({ ...common, key, order, after: given.after?.[key] }));
    const stays = () => waiting.filter(({ gone }) => !gone);
    const written = [];
    const store = {
        all: async () => stays().sort((a, b) => a.order - b.order),
        put: async (record) => { Object.assign(waiting.find(({ key }) => key === record.key), record); },
        remove: async (record) => { waiting.find(({ key }) => key === record.key).gone = true; },
    };
    const cut = (place) => { if (at[0] === place) { at.shift(); throw new TypeError("cut"); } };
    const server = {
        clock: () => 1000,
        contact: async () => {
            cut("contact");
            return { user: given.user ?? "pat", token: "t", now: 1000 + (given.ahead ?? 0) };
        },
        isKept: async (key) => { cut("asking"); return written.includes(key); },
        send: async ({ key }) => {
            cut("before");
            if (given.refuses?.includes(key)) return { sentence: "Not so." };
            if (at[0] === "fault") { at.shift(); return {}; }
            if (given.fails === key) return { fault: 500 };
            if (at[0] === "signed-out") { at.shift(); return { signedOut: true }; }
            if (!written.includes(key)) written.push(key);  // the server keeps a key once
            else throw new Error(`${key} was sent twice`);
            cut("after");
            return { kept: true };
        },
    };
    const outcomes = [];
    for (let turn = 0; turn < given.turns; turn += 1) outcomes.push(await own.sendWaiting(store, server));
    return { outcomes, written, left: stays().map(({ key, state, sentence }) => [key, state, sentence]) };
"""


def outbox(page: Page, **given: Any) -> dict[str, Any]:
    answer: dict[str, Any] = run(page, "outbox", OUTBOX, {"cuts": [], "turns": 1, **given})
    return answer


def test_a_cut_at_any_step_loses_nothing_doubles_nothing_and_keeps_the_order(scripts: Page) -> None:
    chance = random.Random(200)
    for _ in range(60):
        cuts = chance.choices(["contact", "asking", "before", "after", "fault", "signed-out"], k=6)
        records = [f"r{number}" for number in range(chance.randint(1, 5))]
        came = outbox(scripts, cuts=cuts, records=records, turns=20)
        if came["left"]:  # a cut may never have had its turn; then none of those after it had
            assert [key for key, _, _ in came["left"]] == records[len(came["written"]) :], cuts
        else:
            assert came["written"] == records, cuts


def test_what_is_refused_stays_with_the_sentence_and_the_others_go_on(scripts: Page) -> None:
    came = outbox(scripts, records=["a", "b", "c"], refuses=["b"])
    assert (came["written"], came["left"]) == (["a", "c"], [["b", "refused", "Not so."]])


def test_a_record_that_the_server_fails_at_is_set_aside_after_three_times(scripts: Page) -> None:
    came = outbox(scripts, records=["a", "b", "c"], fails="b", turns=3)
    assert (came["outcomes"], came["written"]) == (["fault", "fault", "refused"], ["a", "c"])
    assert came["left"][0][:2] == ["b", "refused"]
    assert "stays on this phone" in came["left"][0][2]


def test_what_follows_a_refused_record_waits_for_it(scripts: Page) -> None:
    came = outbox(scripts, records=["start", "stop"], refuses=["start"], after={"stop": "start"})
    assert (came["written"], [row[:2] for row in came["left"]]) == (
        [],
        [["start", "refused"], ["stop", "waiting"]],
    )


def test_nothing_is_sent_for_somebody_else(scripts: Page) -> None:
    came = outbox(scripts, records=["a"], user="sam")
    assert (came["outcomes"], came["written"]) == (["other-user"], [])


def test_a_clock_that_was_wrong_by_a_day_is_asked_about(scripts: Page) -> None:
    day = 24 * 3600 * 1000
    for ahead in (day, -day):
        came = outbox(scripts, records=["a"], ahead=ahead)
        assert came["written"] == []
        assert "clock was wrong" in came["left"][0][2]
        # it was known when the record was kept
        assert outbox(scripts, records=["a"], ahead=ahead, offset=ahead)["written"] == ["a"]


def test_a_time_before_the_last_contact_is_asked_about(scripts: Page) -> None:
    came = outbox(scripts, records=["a"], doubtful=True, turns=2)
    assert (came["written"], came["left"][0][1]) == ([], "refused")
