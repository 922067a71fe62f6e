"""The phone in a real browser: entries without a signal, each once; nothing of an account after its log-out.

Offline is that of the browser itself (Playwright, ``set_offline``). A label is photographed by rendering: the code of
segno, soft and turned.
"""

import io

import pytest
import segno
from django.contrib.auth.models import User
from django.test import Client
from PIL import Image, ImageFilter

from inventory.holdings.actions import move
from inventory.holdings.models import Item, Tube
from inventory.house.access import add_person
from inventory.phone.models import SentEntry
from tests.browser.test_browser import PASSWORD, chromium, somebody, submit, visit
from tests.factories import PlaceFactory, TubeFactory

__all__ = ["chromium", "somebody", "visit"]  # fixtures
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True}
LEFT = """async () => {
  const told = (asked) => new Promise((done) => { asked.onsuccess = () => done(asked.result); });
  const base = await told(indexedDB.open("filamentry", 1));
  const all = (name) => told(base.transaction(name).objectStore(name).getAll());
  const kept = [];
  for (const name of await caches.keys()) {
    for (const asked of await (await caches.open(name)).keys()) { kept.push(new URL(asked.url).pathname); }
  }
  const storage = Object.values({ ...localStorage, ...sessionStorage });
  return { entries: await all("entries"), device: await all("device"), kept, storage };
}"""


def ready(page):
    """The phone page, known to somebody, its worker in charge."""
    page.evaluate("""() => navigator.serviceWorker.controller ||
        new Promise((done) => navigator.serviceWorker.addEventListener("controllerchange", () => done(true)))""")
    page.get_by_text("as of").wait_for()


def enter(page, kind, waits, **cells):
    """Write an entry; ``waits``: how many wait then."""
    page.select_option("#kind", kind)
    for name, text in cells.items():
        field = page.locator(f"#{name}")
        field.select_option(text) if field.evaluate("one => one.tagName") == "SELECT" else field.fill(text)
    page.get_by_role("button", name="Keep and send").click()
    page.get_by_text(f"({waits}, since").wait_for()


def rows(page, which):
    return page.locator(f"[data-{which}] li")


def test_three_entries_without_a_signal(visit, live_reference, somebody, today):
    drawer, other = PlaceFactory(code="D7"), PlaceFactory(code="E1")
    tube, moved = TubeFactory(state="untested", place=drawer), TubeFactory(place=drawer)
    page = visit("/phone/", **PHONE)
    ready(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390

    page.context.set_offline(True)
    enter(page, "tube", 1, marked="VT-231", place="D7")
    enter(page, "state", 2, tag=tube.tag, said="weak")
    enter(page, "move", 3, tag=moved.tag, place="D7")
    page.reload()
    page.get_by_text("(3, since").wait_for()
    page.get_by_text("No signal. What waits").wait_for()
    assert rows(page, "waiting").count() == 3 and "No signal" in page.inner_text("[data-line]")
    page.goto("/tubes/")
    assert "That page needs one" in page.inner_text("[data-elsewhere]")
    page.goto("/phone/")
    move([moved.item], other, on=today, by=somebody)  # by somebody else meanwhile

    page.context.set_offline(False)
    page.get_by_text("Not taken, because").wait_for()
    assert rows(page, "done").count() == 2
    made = Tube.objects.get(marked="VT-231")
    assert (made.type.name, made.item.place) == ("6SN7GT", drawer)
    tube.refresh_from_db()
    assert tube.state == "weak"
    assert "When you wrote it\nD7\nYou wrote\nD7\nIt is now\nE1" in page.inner_text("[data-waiting] dl")
    page.get_by_role("button", name="Mine all the same").click()
    page.get_by_text("Nothing waits").wait_for()
    assert Item.objects.get(pk=moved.pk).place == drawer
    assert SentEntry.objects.count() == 3

    page.evaluate("""async () => {  // the answer was lost on the way: it is sent again
      const store = await import("/static/filamentry/phone/store.js");
      const send = await import("/static/filamentry/phone/send.js");
      for (const entry of await store.entries()) { entry.status = "waiting"; await store.put(entry); }
      return send.sendAll();
    }""")
    assert SentEntry.objects.count() == 3 and Tube.objects.filter(marked="VT-231").count() == 1


def test_nothing_is_left_for_another_account(visit, live_reference, somebody):
    add_person("b-keeper", "keeper", PASSWORD)
    tube = TubeFactory(marked="QX-99881")
    page = visit("/phone/", **PHONE)
    ready(page)
    page.context.set_offline(True)
    enter(page, "note", 1, tag=tube.tag, text="base loose")
    rows(page, "waiting").first.get_by_text("base loose").wait_for()
    page.route("**/phone/send/", lambda route: route.abort())  # the signal is too weak for that
    page.context.set_offline(False)
    page.goto("/tubes/")
    page.get_by_role("button", name="Go to").click()
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.message), dialog.accept()))
    page.locator("#ways").get_by_role("button", name="Log out").click()
    page.wait_for_url("**/log-in/**")
    assert "1 entry is not sent" in asked[0]

    left = page.evaluate(LEFT)
    assert [row["name"] for row in left["device"]] == ["left"]  # how often, and nothing else
    assert all(text.startswith("/log-in/") for text in left["storage"])  # the page that is open
    (waits,) = left["entries"]
    assert sorted(waits) == ["done", "key", "locked", "mark", "order", "stamp"]  # a box that nobody here can open
    assert set(left["kept"]) and all(path == "/phone/" or path.startswith("/static/") for path in left["kept"])
    page.go_back()
    assert "QX-99881" not in page.content() and tube.tag not in page.content()

    page.goto("/log-in/?next=/phone/")
    page.fill("#id_username", "b-keeper")
    page.fill("#id_password", PASSWORD)
    submit(page, "Log in")
    page.unroute("**/phone/send/")
    page.get_by_text("One entry of another account waits").wait_for()
    assert "base loose" not in page.content() and not SentEntry.objects.exists()

    page.context.clear_cookies()
    page.reload()
    page.get_by_text("Log in as b-keeper to send").wait_for()
    page.goto("/log-in/?next=/phone/")
    page.fill("#id_username", "a-keeper")
    page.fill("#id_password", PASSWORD)
    submit(page, "Log in")
    page.get_by_text(f"Noted on {tube.tag}").wait_for()
    assert SentEntry.objects.get().account == somebody


def test_a_label_is_photographed(visit, live_server):
    tube = TubeFactory()
    code = io.BytesIO()
    segno.make_qr(f"{live_server.url}{tube.get_absolute_url()}", error="m").save(code, kind="png", scale=8, border=4)
    label = Image.open(code).convert("L").rotate(21, expand=True, fillcolor=255).filter(ImageFilter.GaussianBlur(3))
    photo = io.BytesIO()
    label.save(photo, "JPEG", quality=60)
    page = visit("/tubes/", **PHONE)
    page.get_by_role("link", name="Scan", exact=True).click()
    page.set_input_files("#id_photo", {"name": "label.jpg", "mimeType": "image/jpeg", "buffer": photo.getvalue()})
    page.wait_for_url(f"**{tube.get_absolute_url()}")


def log_in(context, live_server, person):
    """The session of a person, without anything that a page of theirs would do."""
    client = Client()
    client.force_login(person)
    cookie = {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}
    context.clear_cookies()
    context.add_cookies([cookie])


def test_a_page_of_another_account_is_enough_to_forget_the_one_before(visit, live_server, live_reference):
    other = add_person("b-keeper", "keeper", PASSWORD)
    tube = TubeFactory(marked="QX-99881")
    page = visit("/phone/", **PHONE)
    ready(page)
    log_in(page.context, live_server, other)  # the session of the one before has run out; nobody logged out
    page.goto("/tubes/")
    page.wait_for_function(f"async () => !(await ({LEFT})()).device.some((row) => row.name === 'account')")
    page.context.set_offline(True)
    page.goto("/phone/")
    page.get_by_text("nobody is known here").wait_for()
    assert tube.tag not in page.content()

    page.context.set_offline(False)
    page.reload()
    ready(page)
    log_in(page.context, live_server, User.objects.get(username="a-keeper"))
    seen = []
    page.expose_function("seen", lambda text: seen.append(text))
    page.add_init_script("""document.addEventListener("DOMContentLoaded", () => {
        const line = document.querySelector("[data-line]");
        new MutationObserver(() => window.seen(line.textContent)).observe(line, { childList: true });
    })""")
    page.reload()
    page.get_by_text("a-keeper, keeper.").wait_for()
    assert not any("b-keeper" in text for text in seen)


def test_log_out_works_where_nothing_can_be_kept_and_needs_a_signal(visit, live_reference):
    page = visit("/tubes/", **PHONE)
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.message), dialog.accept()))
    page.context.set_offline(True)
    page.get_by_role("button", name="Go to").click()
    page.locator("#ways").get_by_role("button", name="Log out").click()
    page.wait_for_function("() => true")
    assert "Log-out needs a signal" in asked[0] and page.url.endswith("/tubes/")
    page.context.set_offline(False)
    page.add_init_script("indexedDB.open = () => { throw new DOMException('blocked', 'SecurityError'); }")
    page.goto("/tubes/")
    page.get_by_role("button", name="Go to").click()
    page.locator("#ways").get_by_role("button", name="Log out").click()
    page.wait_for_url("**/log-in/?left=1")


def test_what_was_on_its_way_at_log_out_changes_nothing(visit, live_reference):
    page = visit("/phone/", **PHONE)
    ready(page)
    told = page.evaluate("""async () => {  // asked before, answered after the log-out
      const store = await import("/static/filamentry/phone/store.js");
      const send = await import("/static/filamentry/phone/send.js");
      const real = window.fetch;
      let go;
      const held = new Promise((resolve) => { go = resolve; });
      window.fetch = async (...asked) => { const answer = await real(...asked); await held; return answer; };
      const late = send.whoIsThere("");
      await new Promise((resolve) => setTimeout(resolve, 200));
      await store.forget(true);
      go();
      return [await late, await store.account() || null, await store.along()];
    }""")
    assert told == ["login", None, {}]


def test_what_is_mended_while_it_is_sent_is_not_lost(visit, live_reference, somebody):
    tube, other = TubeFactory(), TubeFactory()
    page = visit("/phone/", **PHONE)
    ready(page)
    page.context.set_offline(True)
    enter(page, "note", 1, tag=tube.tag, text="base loose")
    kept = page.evaluate(
        """async (other) => {
      const store = await import("/static/filamentry/phone/store.js");
      const send = await import("/static/filamentry/phone/send.js");
      const [entry] = await store.entries();
      const mended = { ...entry, cells: { tag: other, text: "cracked" } };
      await store.put(mended);
      const taken = send.outcome(entry, { status: 200, body: { taken: true, told: "" } });
      const put = await store.put(taken, { stamp: entry.stamp });  // the answer to what was sent before
      return [put, (await store.entries()).map((one) => [one.status, one.cells.text])];
    }""",
        other.tag,
    )
    assert kept == [False, [["waiting", "cracked"]]]


SEEN = """async () => {
  const { seenOf, afterwards, ofAnother } = await import("/static/filamentry/phone/seen.js");
  const things = { T1: { tag: "T1", place: "Shelf 1", state: "good" } };
  const one = (order, status, place) =>
    ({ key: String(order), order, kind: "move", status, cells: { tag: "T1", place }, seen: {} });
  return [
    seenOf("move", "T1", things, []), seenOf("move", "T1", things, [one(1, "refused", "x")]),
    seenOf("move", "T1", things, [one(1, "waiting", "box4")]),
    seenOf("state", "T1", things, [one(1, "waiting", "box4")]),
    seenOf("move", "T9", things, []),
    afterwards(one(1, "taken", "box4"), [one(2, "waiting", "Shelf 2"), one(3, "refused", "x"), one(0, "waiting", "y")])
      .map((each) => [each.key, each.seen]),
    ofAnother(one(1, "refused", "x"), "move", { tag: "T2" }), ofAnother(one(1, "refused", "x"), "move", { tag: "T1" }),
  ];
}"""


def test_what_an_entry_saw(visit):
    page = visit("/phone/")
    page.get_by_text("as of").wait_for()
    assert page.evaluate(SEEN) == [
        {"place": "Shelf 1"}, {"place": "Shelf 1"}, {"place": "box4"}, {"state": "good"}, {},
        [["2", {"place": "box4"}]], True, False,
    ]  # fmt: skip


def test_nothing_is_said_that_nobody_typed(visit, live_reference):
    """Shorts are not done until somebody looked; a maker is of the stamp it was typed for; a state is of its kind."""
    page = visit("/phone/", **PHONE)
    page.get_by_text("as of").wait_for()
    assert page.locator("#shorts").input_value() == ""
    page.context.set_offline(True)
    enter(page, "tube", 1, marked="VT-231", maker="Nordlys")
    page.fill("#marked", "VT-231")
    assert page.locator("#maker").input_value() == "Nordlys"
    page.fill("#marked", "807")
    assert page.locator("#maker").input_value() == ""
    enter(page, "state", 2, tag="T-1", said="dud")
    page.select_option("#kind", "tube")
    assert page.locator("#state").input_value() == "untested"
    page.get_by_role("button", name="Mend it: State T-1").focus()
    page.evaluate("() => document.dispatchEvent(new Event('visibilitychange'))")
    page.wait_for_timeout(300)
    assert page.evaluate("document.activeElement.getAttribute('aria-label')").startswith("Mend it: State T-1")
