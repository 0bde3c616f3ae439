"""A day in a basement: the network is cut by the browser, and all that was kept arrives once."""

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Dialog, FilePayload, Page, Route, expect
from pytest_django.live_server_helper import LiveServer

from catalog.measures.lengths import NM_PER_INCH
from closing.models import PunchListItem
from estimating.models import Job, Room
from jobsite.models import DiaryEntry, HoursWorked, ReceiptKept
from tests.conftest import PHONE
from tests.estimating.signed_kitchen import photo
from tests.invoicing.bills import signed_floor
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SMALL = """() => [...document.querySelectorAll("main button, main a, header a, main summary, main select")]
    .filter((each) => each.checkVisibility()).map((each) => [each.textContent, each.getBoundingClientRect()])
    .filter(([, { height, width }]) => height < 47.5 || width < 47.5).map(([text]) => text)"""
CACHED = """async () => {
    const requests = (await caches.keys()).map(async (name) => (await caches.open(name)).keys());
    return (await Promise.all(requests)).flat().map(({ url }) => new URL(url).pathname); }"""
NAMES = {"'": "feet", '"': "inches"}


@pytest.fixture
def job(transactional_db: None) -> Job:
    return signed_floor()


@pytest.fixture
def phone(open_as_owner: Callable[..., Page]) -> Page:
    return open_as_owner(**PHONE, service_workers="allow")


def tap(page: Page, *names: str) -> None:
    """Tap buttons by their names."""
    for name in names:
        exact = len(name) < 4
        page.get_by_role("button", name=NAMES.get(name, name), exact=exact or name in NAMES).first.click()


COUNT_TAPS = """() => {
    window.taps = 0;
    document.addEventListener("click", ({ isTrusted }) => { window.taps += isTrusted ? 1 : 0; }, true); }"""
ON_WALL = """([wall, share]) => {
    const line = document.querySelector(`.walk-wall[data-item="walls ${wall}"]`);
    const point = line.getPointAtLength(line.getTotalLength() * share);
    const { x, y } = point.matrixTransform(line.getScreenCTM());
    return [x, y]; }"""


def tap_wall(page: Page, wall: int, share: float) -> None:
    """Tap the plan on a wall, at a share of its length."""
    x, y = page.evaluate(ON_WALL, [wall, share])
    page.mouse.click(x, y)


def walk_the_kitchen(page: Page) -> int:
    """Measure 5 walls, 3 openings, 3 fixed things and 6 boxes, take a photo; return the taps."""
    page.evaluate(COUNT_TAPS)
    tap(page, "2", "'", "Door here", '32"', "1", "2", "'", "4", "Corner right")
    tap(page, "2", "'", "Window", '36"', "Cabinets", "9", "0", "Keep the length")
    tap(page, "8", "'", "45° or other", "Right by it")
    tap(page, "Opening", '32"', "3", "'", "4", "45° or other", "Right by it")
    tap(page, "Something else", "3", "0", "Keep the length", "Close the room")
    expect(page.get_by_text("The room is closed.")).to_be_visible()
    is_sound(page)
    tap(page, "Island", "6", "0", "Keep the length", "Kitchen", "Outlets")
    for wall, share in ((0, 0.6), (0, 0.8), (1, 0.2), (1, 0.8), (3, 0.5), (4, 0.5)):
        tap_wall(page, wall, share)
    expect(page.get_by_role("group", name="Switches and outlets")).to_contain_text("6")
    with page.expect_file_chooser() as camera:
        tap(page, "Photo of a spot")
        tap_wall(page, 0, 0.4)
    picture = FilePayload(name="wall.jpg", mimeType="image/jpeg", buffer=photo(400).getvalue())
    camera.value.set_files(picture)
    expect(page.get_by_text("Photo 1 is kept, wall A.")).to_be_visible()
    is_sound(page)
    tap(page, "Keep the room")
    taps: int = page.evaluate("window.taps")
    return taps


def test_what_is_kept_without_signal_arrives_once(
    phone: Page, job: Job, owner: User, live_server: LiveServer
) -> None:
    page = phone
    page.goto("/on-site/")
    expect(page.get_by_role("link", name="Kitchen").first).to_be_visible()
    page.evaluate("navigator.serviceWorker.ready")
    is_sound(page)
    page.context.set_offline(True)
    page.goto(f"/jobs/{job.pk}/price/")
    expect(page.get_by_text("No connection: that page needs one.")).to_be_visible()
    is_sound(page)
    assert page.evaluate(SMALL) == []

    kept = page.evaluate(CACHED)
    assert "/on-site/" in kept
    assert [path for path in kept if path != "/on-site/" and not path.startswith("/static/")] == []

    page.get_by_role("link", name="Measure a room").click()
    expect(page.get_by_label("Wall A")).to_be_focused()
    assert page.evaluate(SMALL) == []
    is_sound(page)
    taps = walk_the_kitchen(page)
    assert 40 < taps <= 60, taps
    expect(page.get_by_text("Kitchen is kept on this phone.")).to_be_visible()

    page.get_by_role("link", name="Hours", exact=True).click()
    page.get_by_label("On what").select_option(label="Paint the floor")
    page.get_by_label("Hours, or from when to when").fill("1.5")
    is_sound(page)
    assert page.evaluate(SMALL) == []
    page.get_by_role("button", name="Keep the hours").click()
    picture = FilePayload(name="receipt.jpg", mimeType="image/jpeg", buffer=photo(400).getvalue())
    for total in ("11.00", "12.00", "13.00"):
        page.get_by_role("link", name="Receipt", exact=True).click()
        page.get_by_label("Photo of the receipt").set_input_files(picture)
        page.get_by_label("Total paid, tax included").fill(total)
        page.get_by_label("What was bought").fill("Screws")
        page.get_by_role("button", name="Keep the receipt").click()
        expect(page.get_by_text("Receipt: kept on this phone.")).to_be_visible()
    page.get_by_role("link", name="Punch list", exact=True).click()
    page.get_by_label("What is seen").fill("Grout is missing")
    page.get_by_label("Room").select_option(index=1)
    page.get_by_label("Photos of it").set_input_files(picture)
    page.get_by_label("Whose it is").select_option(label="In the scope: I finish it")
    is_sound(page)
    page.get_by_role("button", name="Keep the item").click()
    expect(page.get_by_text("Punch list: kept on this phone.")).to_be_visible()
    page.get_by_role("link", name="7 not sent: kept on this phone").click()
    expect(page.get_by_text("Room: Kitchen")).to_be_visible()
    is_sound(page)
    page.emulate_media(color_scheme="dark")
    is_sound(page)
    page.emulate_media(color_scheme="light")
    assert Room.objects.count() == 1  # that of the estimate

    page.reload()
    expect(page.get_by_text("Room: Kitchen")).to_be_visible()
    page.context.set_offline(False)
    lost: list[str] = []

    def lose_the_answer(route: Route) -> None:
        """The server hears it and writes; the phone never learns."""
        if route.request.method == "POST" and len(lost) < 2:
            lost.append(f"{route.fetch(max_redirects=0).status}")
            route.abort()
        else:
            route.continue_()

    page.route("**/phone/records/**", lose_the_answer)
    for _ in range(2):
        page.get_by_role("button", name="Send now").click()
        expect(page.get_by_text("No signal: kept on this phone")).to_be_visible()
    page.get_by_role("button", name="Send now").click()
    expect(page.get_by_role("link", name="All sent from this phone")).to_be_visible()
    kitchen = Room.objects.latest("pk")
    assert (len(kitchen.legs), kitchen.openings.count(), kitchen.footprints.count()) == (5, 3, 3)
    assert (kitchen.device_boxes, len(kitchen.plan().electrical)) == (6, 6)
    assert (kitchen.photos.get().number, kitchen.photos.get().wall) == (1, 0)
    assert [f"{row.hours}" for row in HoursWorked.objects.all()] == ["1.50"]
    item = PunchListItem.objects.get()
    assert (item.text, item.room, item.photos.count()) == ("Grout is missing", Room.objects.earliest("pk"), 1)
    assert lost == ["302", "302"]
    assert Room.objects.count() == 2
    assert sorted(f"{row.total:.2f}" for row in ReceiptKept.objects.all()) == ["11.00", "12.00", "13.00"]
    assert all(row.photo.content for row in ReceiptKept.objects.all())


def test_a_laser_meter_goes_from_wall_to_wall_and_a_room_begun_stays(phone: Page, job: Job) -> None:
    page = phone
    page.goto(f"/on-site/#/jobs/{job.pk}/room")
    expect(page.get_by_label("Wall A")).to_be_focused()
    for length in ("12.5", "10' 3\"", "12.5"):
        page.keyboard.type(length)
        page.keyboard.press("Enter")
    expect(page.get_by_text("One more wall closes the room.")).to_be_visible()
    page.reload()
    expect(page.get_by_label("Wall D")).to_be_visible()
    expect(page.get_by_text("null")).to_have_count(0)
    tap(page, "Undo the last step")
    expect(page.get_by_label("Wall C")).to_be_visible()
    tap(page, "Redo")
    tap(page, "Close the room: 10' 3\"")
    expect(page.get_by_text("The room is closed.")).to_be_visible()


def test_a_wall_that_the_phones_database_has_not_written_yet_is_there_when_the_page_comes_back(
    phone: Page, job: Job
) -> None:
    page = phone
    page.goto(f"/on-site/#/jobs/{job.pk}/room")
    expect(page.get_by_label("Wall A")).to_be_focused()
    page.keyboard.type("12.5")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Wall B")).to_be_visible()
    page.wait_for_function("localStorage.length == 0")  # it is written
    page.evaluate("() => { IDBObjectStore.prototype.put = () => { throw new Error('not written'); }; }")
    page.keyboard.type("10")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Wall C")).to_be_visible()
    page.reload()
    expect(page.get_by_label("Wall C")).to_be_visible()
    page.keyboard.type("12.5")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Wall D")).to_be_visible()
    page.wait_for_function("localStorage.length == 0")
    tap(page, "Undo the last step")
    expect(page.get_by_label("Wall C")).to_be_visible()


def test_a_room_of_which_only_the_first_wall_was_typed_in_that_instant_is_among_those_begun(
    phone: Page, job: Job
) -> None:
    page = phone
    page.goto(f"/on-site/#/jobs/{job.pk}/room")
    expect(page.get_by_label("Wall A")).to_be_focused()
    page.evaluate("() => { IDBObjectStore.prototype.put = () => { throw new Error('not written'); }; }")
    page.keyboard.type("12.5")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Wall B")).to_be_visible()
    page.goto("/on-site/")
    page.reload()
    expect(page.get_by_role("region", name="Rooms begun on this phone")).to_contain_text("1 wall")


def test_an_older_step_never_stands_for_one_that_the_database_has(phone: Page, job: Job) -> None:
    page = phone
    page.goto(f"/on-site/#/jobs/{job.pk}/room")
    expect(page.get_by_label("Wall A")).to_be_focused()
    page.evaluate(
        """() => {
            window.put = IDBObjectStore.prototype.put;
            IDBObjectStore.prototype.put = () => { throw new Error('not written'); };
        }"""
    )
    page.keyboard.type("12.5")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Wall B")).to_be_visible()
    page.evaluate(
        """() => {
            IDBObjectStore.prototype.put = window.put;
            Storage.prototype.setItem = () => { throw new Error('full'); };
        }"""
    )
    page.keyboard.type("10")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Wall C")).to_be_visible()
    page.wait_for_function("localStorage.length == 0")
    page.wait_for_function(
        """() => import('/static/phone/store.js').then(({ allBegun }) => allBegun())
            .then((rooms) => rooms.some(([, { room }]) => room.walls.length == 2))"""
    )
    page.reload()
    expect(page.get_by_label("Wall C")).to_be_visible()


def test_a_slope_a_niche_and_a_soffit_are_walked_without_signal(phone: Page, job: Job) -> None:
    page = phone
    page.goto(f"/on-site/#/jobs/{job.pk}/room")
    expect(page.get_by_label("Wall A")).to_be_focused()
    page.context.set_offline(True)
    tap(page, "2", "'", "More", "Niche", '14"', "5", "'", "More", "Soffit", "4", "8", "Keep the length")
    tap(page, "9", "'", "Corner right")
    tap(page, "8", "'", "More", "Ceiling height", "5", "'", "Keep the ceiling there")
    tap(page, "8", "'", "Corner right")
    tap(page, "Close the room: 9' 0\" and 8' 0\"", "Bath")
    expect(page.get_by_text("The room is closed.")).to_be_visible()
    is_sound(page)
    tap(page, "Keep the room")
    expect(page.get_by_text("Bath is kept on this phone.")).to_be_visible()
    page.context.set_offline(False)
    expect(page.get_by_role("link", name="All sent from this phone")).to_be_visible()
    page.locator("summary", has_text="Bath").click()
    expect(page.get_by_text("Ceiling 5' 0\" to 8' 0\" high. Walls: A 9' 0\"")).to_be_visible()
    plan = Room.objects.latest("pk").plan()
    assert [opening.kind for opening in plan.openings] == ["niche"]
    assert [soffit.drop_nm for soffit in plan.soffits] == [12 * NM_PER_INCH]
    assert [(point.wall, point.height_nm) for point in plan.heights] == [(1, 60 * NM_PER_INCH)]


def test_signing_out_asks_where_something_waits_and_leaves_no_jobs(
    phone: Page, job: Job, owner: User
) -> None:
    page = phone
    page.goto(f"/on-site/#/jobs/{job.pk}/note")
    page.get_by_label("Note").fill("Joist is cracked")
    page.route("**/phone/records/", lambda route: route.abort())
    page.get_by_role("button", name="Keep the note").click()
    expect(page.get_by_text("1 not sent")).to_be_visible()
    page.goto("/")
    expect(page.get_by_text("1 record on this phone, not sent yet")).to_be_visible()
    asked: list[str] = []

    def stay(dialog: Dialog) -> None:
        asked.append(dialog.message)
        dialog.dismiss()

    page.once("dialog", stay)
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_timeout(100)
    assert "isn't sent yet" in asked[0]
    page.once("dialog", lambda dialog: dialog.accept())
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_label("Password")).to_be_visible()
    page.goto("/on-site/")
    expect(page.get_by_text("Sign in, and the phone keeps your open jobs.")).to_be_visible()
    expect(page.get_by_text("1 not sent")).to_be_visible()

    page.unroute("**/phone/records/")
    page.get_by_role("link", name="Sign in").click()
    page.get_by_label("Name").fill("pat")
    page.get_by_label("Password").fill("a tape and a pencil")
    page.get_by_role("button", name="Sign in", exact=True).click()
    expect(page.get_by_role("link", name="All sent from this phone")).to_be_visible()
    assert DiaryEntry.objects.get().says == "Joist is cracked"


KEEP_NOTES = """async (count) => {
    const store = await import("/static/phone/store.js");
    const { user, phone, jobs } = await store.kept("jobs");
    const common = { kind: "note", user, phone, job: jobs[0].id, photos: [], at: Date.now() };
    const on = [new Date(Date.now() - 86400000).toISOString().slice(0, 10)];
    for (let number = 1; number <= count; number += 1) {
        const fields = { says: [`Note ${number}`], on };
        const offset = await store.kept("offset");
        await store.addRecord({ ...common, key: store.newKey(), offset, fields });
    } }"""
CACHES = "caches.keys().then((names) => names.filter((name) => name.startsWith('on-site-')))"


def test_records_that_wait_outlive_a_new_version_of_the_site(
    phone: Page, job: Job, owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = phone
    page.goto("/on-site/")
    expect(page.get_by_role("heading", name="Open jobs")).to_be_visible()
    page.evaluate("navigator.serviceWorker.ready")
    page.route("**/phone/records/", lambda route: route.abort())
    page.evaluate(KEEP_NOTES, 12)
    expect(page.get_by_text("12 not sent")).to_be_visible()
    before = page.evaluate(CACHES)
    monkeypatch.setattr("phone.views.app.version", lambda page: "a-new-one")
    page.evaluate("navigator.serviceWorker.getRegistration().then((one) => one.update())")
    page.wait_for_function("caches.has('on-site-a-new-one')")
    page.wait_for_function(f"{CACHES}.then((names) => names.length === 1)")
    assert page.evaluate(CACHES) != before
    page.reload()
    expect(page.get_by_text("12 not sent")).to_be_visible()
    page.goto("/on-site/#/waits")
    expect(page.get_by_text("clean this up")).to_be_visible()  # what the phone said of it
    page.unroute("**/phone/records/")
    page.get_by_role("button", name="Send now").click()
    expect(page.get_by_role("link", name="All sent from this phone")).to_be_visible()
    notes = DiaryEntry.objects.order_by("pk").values_list("says", flat=True)
    assert list(notes) == [f"Note {number}" for number in range(1, 13)]


FULL = """() => {
    const { add } = IDBObjectStore.prototype;
    window.thereIsSpaceAgain = () => { IDBObjectStore.prototype.add = add; };
    IDBObjectStore.prototype.add = () => { throw new DOMException("full", "QuotaExceededError"); }; }"""


def test_what_finds_no_space_on_the_phone_stays_typed_and_is_said(phone: Page, job: Job, owner: User) -> None:
    page = phone
    page.goto(f"/on-site/#/jobs/{job.pk}/note")
    page.get_by_label("Note").fill("Joist is cracked")
    page.evaluate(FULL)
    page.get_by_role("button", name="Keep the note").click()
    expect(page.get_by_text("This isn't kept on the phone")).to_be_visible()
    expect(page.get_by_label("Note")).to_have_value("Joist is cracked")
    page.evaluate("window.thereIsSpaceAgain()")
    page.get_by_role("button", name="Keep the note").click()
    expect(page.get_by_text("Note: kept on this phone.")).to_be_visible()
    expect(page.get_by_role("link", name="All sent from this phone")).to_be_visible()
    assert DiaryEntry.objects.get().says == "Joist is cracked"


CONFLICT = """async () => {
    const store = await import("/static/phone/store.js");
    const walk = await import("/static/phone/walk.js");
    const { user, phone, jobs } = await store.kept("jobs");
    const plan = (...lengths) => walk.asTexts(lengths.reduce((room, length) => walk.endWall(room, length),
        { ...walk.emptyRoom(false, "8'"), name: "Bath" }));
    const [mine, stored] = [plan("12'", "10'", "12'", "10'"), plan("9'", "6'", "9'", "6'")];
    const conflicts = [{ name: "walls", label: "The walls", theirs: "" },
        { name: "height", label: "Ceiling height", theirs: "9'" }];
    const common = { kind: "room", job: jobs[0].id, user, phone, at: Date.now(), photos: [], fields: mine };
    const record = { ...common, key: store.newKey(), state: "refused", sentence: "Changed elsewhere." };
    const answer = { merged: mine, stored, conflicts };
    await store.addRecord({ ...record, answer });
    return record.key; }"""


def is_sound_in_both(page: Page) -> None:
    page.emulate_media(color_scheme="dark")
    is_sound(page)
    page.emulate_media(color_scheme="light")
    is_sound(page)


def test_every_screen_on_site_is_sound_in_light_and_dark_with_large_targets(
    phone: Page, job: Job, owner: User
) -> None:
    page = phone
    page.goto("/on-site/")
    expect(page.get_by_role("heading", name="Open jobs")).to_be_visible()
    key = page.evaluate(CONFLICT)
    screens = [f"jobs/{job.pk}/{name}" for name in ("clock", "receipt", "note", "found", "item", "room")]
    for screen in (*screens, "waits", f"waits/{key}"):
        page.goto(f"/on-site/#/{screen}")
        expect(page.locator("#main h1")).to_be_attached()
        is_sound_in_both(page)
        assert page.evaluate(SMALL) == [], screen
    expect(page.get_by_role("figure")).to_have_count(2)  # both plans, side by side
    page.goto("/firm/devices/")
    is_sound_in_both(page)
