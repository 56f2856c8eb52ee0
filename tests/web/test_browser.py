"""The pages in the system's chromium: a whole shift with a scanner, rules of access, sizes, nothing called outside."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from pairwright.base.codes import make_code
from pairwright.base.keyboards import as_keyed
from tests.web.live import served
from tests.web.pages import addresses

sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
CHROMIUM = shutil.which("chromium")
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="no chromium on this machine"),
]
NAMES = list(addresses(dict.fromkeys(("left", "troubled", "lot", "refused", "finished", "look"), "x")))
TABLET = {"width": 800, "height": 1280}
DESK = {"width": 1280, "height": 800}
KEY = 8  # between two keys of a scanner [ms]


@pytest.fixture(scope="module")
def root(laid_out: tuple[Path, dict[str, str]], tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder = tmp_path_factory.mktemp("browser") / "works"
    shutil.copytree(laid_out[0], folder)
    with served(folder) as address:
        yield address


@pytest.fixture(scope="module")
def browser() -> Iterator[sync_api.Browser]:
    with sync_api.sync_playwright() as play:
        found = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield found
        found.close()


@pytest.fixture
def page(browser: sync_api.Browser) -> Iterator[sync_api.Page]:
    context = browser.new_context(viewport=TABLET)
    found = context.new_page()
    found.trouble = []  # type: ignore[attr-defined]
    found.on("pageerror", lambda error: found.trouble.append(str(error)))  # type: ignore[attr-defined]
    found.on(
        "console",
        lambda said: found.trouble.append(said.text) if "Content Security Policy" in said.text else None,  # type: ignore[attr-defined]
    )
    yield found
    assert found.trouble == []  # type: ignore[attr-defined]
    context.close()


def scan(page: sync_api.Page, sent: str) -> None:
    """A scanner: it types fast, whatever has the focus, and ends with Enter.

    Where the machine is so busy that the keys came at the pace of a person, no scanner was simulated: once more.
    """
    for last in (False, False, True):
        begun = time.monotonic()
        page.keyboard.type(sent, delay=KEY)
        slow = time.monotonic() - begun > 0.15 * len(sent)
        try:
            with page.expect_navigation(timeout=3000 if slow and not last else 30_000):
                page.keyboard.press("Enter")
        except sync_api.TimeoutError:
            if last or not slow:
                raise
        else:
            return


def code(kind: str, name: str) -> str:
    return make_code(kind, name).text


def press(page: sync_api.Page, chosen: str = "#primary") -> None:
    with page.expect_navigation():
        page.click(chosen)


def test_a_whole_shift_with_a_scanner_and_one_touch_an_act(
    page: sync_api.Page, root: str, made: dict[str, str]
) -> None:
    page.goto(f"{root}/wall")
    scan(page, code("station", "hot-press"))
    assert page.url.endswith("/stations/hot-press")
    scan(page, code("person", "P-22"))
    scan(page, code("item", made["in_work"]))
    press(page)
    assert "Done" in page.inner_text("#answer")

    for name in ("MH-0401L", "MH-0401R"):  # two new pieces: choose the row, scan the label, start, finish
        with page.expect_navigation():
            page.click('.queue a[href*="b_product=alder"]')
        scan(page, code("item", name))
        press(page)
        assert "in work" in page.inner_text("#hand")
        scan(page, code("item", name))
        press(page)
        assert "next:" in page.inner_text("#answer")

    scan(page, code("station", "trim-machine"))
    scan(page, code("item", "MH-0401L"))
    assert "curing" in page.inner_text("#hand")
    with page.expect_navigation():
        page.click('button[value="start"]')
    assert "Refused" in page.inner_text("#answer")
    assert "leave it until" in page.inner_text("#answer")

    with page.expect_navigation():
        page.click('a[href*="/acts/problem"]')
    page.fill("#text", "an edge is open for 20 mm")
    press(page)
    assert "Done" in page.inner_text("#answer")

    page.goto(f"{root}/trouble")
    assert "an edge is open for 20 mm" in page.inner_text("main")
    page.goto(f"{root}/things/MH-0401L")
    assert "P-22" in page.inner_text("main") or "Bram Kessel" in page.inner_text("main")


def test_fifty_scans_at_full_speed_all_arrive(page: sync_api.Page, root: str, made: dict[str, str]) -> None:
    page.goto(f"{root}/stations/trim-machine")
    found = 0
    for n in range(50):
        name = made["left"] if n % 2 else made["right"]
        scan(page, code("item", name))
        found += page.inner_text("#hand .id") == name
    assert found == 50


@pytest.mark.parametrize(
    ("scanner", "host"), [("us", "german"), ("us", "french"), ("french", "us"), ("german", "us")]
)
def test_a_scanner_set_to_another_keyboard_is_understood(
    scanner: str, host: str, page: sync_api.Page, root: str, made: dict[str, str]
) -> None:
    page.goto(f"{root}/stations/trim-machine")

    arrived = as_keyed(code("item", made["left"]), scanner=scanner, host=host)
    page.evaluate(
        """(signs) => { for (const key of [...signs, "Enter"])
             document.body.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true })); }""",
        arrived,
    )

    page.wait_for_url("**subject=**")
    assert page.inner_text("#hand .id") == made["left"]


def test_a_scan_into_a_field_opens_what_was_scanned_and_leaves_the_field_alone(
    page: sync_api.Page, root: str, made: dict[str, str]
) -> None:
    page.goto(f"{root}/stations/trim-machine/acts/problem?subject={made['left']}")
    page.fill("#text", "half a sen")
    page.focus("#text")

    page.keyboard.type("PW1 is what people write too", delay=60)

    assert page.input_value("#text") == "half a senPW1 is what people write too"
    scan(page, code("item", made["right"]))
    assert page.inner_text("#hand .id") == made["right"]


def test_a_broken_scan_does_nothing(page: sync_api.Page, root: str, made: dict[str, str]) -> None:
    page.context.add_cookies([{"name": "pw_person", "value": "P-14", "url": root}])
    page.goto(f"{root}/stations/trim-machine/acts/note?subject={made['left']}")
    before = page.request.get(f"{root}/health").json()["events"]

    for broken in ("W1:MH-0231L:T", "MH-0231L", "PW1", "1:1:1"):
        page.keyboard.type(broken, delay=KEY)
        page.keyboard.press("Enter")
    page.wait_for_timeout(700)

    assert page.request.get(f"{root}/health").json()["events"] == before
    assert "/acts/note" in page.url


def test_a_press_that_is_repeated_by_reload_is_one_event(
    page: sync_api.Page, root: str, made: dict[str, str]
) -> None:
    page.goto(f"{root}/stations/trim-machine/acts/note?subject={made['left']}")
    page.fill("#text", "once only")
    page.fill("#person", "P-14")
    press(page)
    page.reload()
    page.go_back()
    page.go_forward()

    history = page.request.get(f"{root}/api/items/{made['left']}").json()["history"]
    assert sum(e["data"].get("text") == "once only" for e in history) == 1


def test_what_is_pressed_while_the_server_is_away_is_kept_in_order_and_sent_once(
    page: sync_api.Page, root: str, made: dict[str, str]
) -> None:
    page.context.add_cookies([{"name": "pw_person", "value": "P-14", "url": root}])
    for n in range(3):
        page.goto(f"{root}/stations/trim-machine/acts/note?subject={made['right']}")
        page.fill("#text", f"kept {n}")
        page.route("**/stations/**/acts", lambda route: route.abort())
        page.click("#primary")
        page.wait_for_selector(f"#outbox:has-text('({n + 1})')")
        assert "kept on this tablet" in page.inner_text("#outbox")
        if n < 2:
            assert not any("kept" in str(e["data"].get("text")) for e in _history(page, root, made["right"]))

    page.unroute("**/stations/**/acts")
    page.evaluate("window.dispatchEvent(new Event('online'))")
    page.wait_for_selector("#outbox", state="hidden", timeout=15_000)

    said = [e["data"].get("text") for e in _history(page, root, made["right"])]
    assert [t for t in said if str(t).startswith("kept")] == ["kept 0", "kept 1", "kept 2"]


def test_an_answer_that_was_lost_is_not_recorded_twice(
    page: sync_api.Page, root: str, made: dict[str, str]
) -> None:
    page.context.add_cookies([{"name": "pw_person", "value": "P-14", "url": root}])
    page.goto(f"{root}/stations/trim-machine/acts/note?subject={made['right']}")
    page.fill("#text", "answered into nothing")

    def lose(route: sync_api.Route) -> None:
        route.fetch()  # the server takes it
        route.abort()  # the tablet never hears of it

    page.route("**/stations/**/acts", lose, times=1)
    page.click("#primary")
    page.wait_for_selector("#caught:has-text('kept')")
    page.wait_for_selector("#outbox", state="hidden", timeout=15_000)

    said = [e["data"].get("text") for e in _history(page, root, made["right"])]
    assert said.count("answered into nothing") == 1


def test_a_station_page_opens_while_the_server_is_away_and_keeps_what_is_pressed(
    browser: sync_api.Browser, root: str, made: dict[str, str]
) -> None:
    context = browser.new_context(viewport=TABLET)
    context.add_cookies([{"name": "pw_person", "value": "P-14", "url": root}])
    page = context.new_page()
    page.goto(f"{root}/stations/board-bench")
    page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    with page.expect_navigation():
        page.click(".queue a >> nth=0")
    scan(page, code("item", "MH-0501L"))
    page.reload()

    context.set_offline(True)
    page.reload()
    assert "Board" in page.inner_text("h1")
    page.click("#primary")
    page.wait_for_selector("#outbox:has-text('(1)')")
    context.set_offline(False)
    page.wait_for_selector("#outbox", state="hidden", timeout=15_000)

    kinds = [e["kind"] for e in page.request.get(f"{root}/api/items/MH-0501L").json()["history"]]
    assert kinds == ["registered", "started"]
    context.close()


def _history(page: sync_api.Page, root: str, name: str) -> list[dict[str, dict[str, str]]]:
    found: list[dict[str, dict[str, str]]] = page.request.get(f"{root}/api/items/{name}").json()["history"]
    return found


@pytest.mark.parametrize("gloves", [False, True], ids=["bare hands", "gloves"])
def test_targets_at_a_station_are_large_and_apart(
    gloves: bool, browser: sync_api.Browser, root: str, made: dict[str, str]
) -> None:
    least, first = (80, 120) if gloves else (64, 96)
    where = [n for n in NAMES if n.startswith(("station-", "sheet-", "inspect"))]
    for view in (TABLET, DESK):
        context = browser.new_context(viewport=view)
        context.add_cookies([{"name": "pw_gloves", "value": "1" if gloves else "0", "url": root}])
        page = context.new_page()
        for name in where:
            page.goto(root + addresses(made)[name])
            boxes = page.evaluate(BOXES)
            small = [b for b in boxes if b["height"] < least - 0.5]
            assert small == [], f"{name}: {small[:4]}"
            assert all(b["height"] >= first - 0.5 for b in boxes if b["primary"]), name
            close = [
                (a["text"], b["text"])
                for n, a in enumerate(boxes)
                for b in boxes[n + 1 :]
                if _gap(a, b) < 7.5
            ]
            assert close == [], f"{name}: {close[:4]}"
        context.close()


BOXES = """() => [...document.querySelectorAll(
    'button, .button, a[href], select, textarea, summary, .pick, ' +
    'input:not([type=hidden]):not([type=radio]):not([type=checkbox])'
  )].filter((e) => e.checkVisibility() && !e.closest('svg') && !e.classList.contains('skip')).map((e) => {
    const b = e.getBoundingClientRect();
    return { text: (e.textContent || e.name || '').trim().slice(0, 30), x: b.x, y: b.y, width: b.width,
             height: b.height, primary: e.classList.contains('primary') };
  })"""


def _gap(a: dict[str, float], b: dict[str, float]) -> float:
    across = max(a["x"], b["x"]) - min(a["x"] + a["width"], b["x"] + b["width"])
    down = max(a["y"], b["y"]) - min(a["y"] + a["height"], b["y"] + b["height"])
    return max(across, down)


def test_the_state_can_be_read_from_three_metres(
    page: sync_api.Page, root: str, made: dict[str, str]
) -> None:
    page.goto(f"{root}/stations/trim-machine?subject={made['left']}")

    size = page.evaluate("parseFloat(getComputedStyle(document.querySelector('.hand .big')).fontSize)")

    assert size * 0.7 * 25.4 / 96 >= 15.0  # capitals are about 0.7 of the size; 96 px are an inch


@pytest.mark.parametrize("look", ["light", "dark"])
def test_no_page_breaks_a_rule_of_access_or_calls_anybody_outside(
    look: str, browser: sync_api.Browser, root: str, made: dict[str, str]
) -> None:
    axe_module = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    axe = axe_module.Axe()
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
    outside: list[str] = []
    slips: list[str] = []
    for view in (DESK, TABLET):
        context = browser.new_context(viewport=view, color_scheme=look)
        page = context.new_page()
        page.on(
            "request", lambda r: None if r.url.startswith((root, "data:", "blob:")) else outside.append(r.url)
        )
        page.goto(root)
        page.wait_for_selector(".tiles", timeout=240_000)
        for name in NAMES:
            page.goto(root + addresses(made)[name])
            for found in axe.run(page, options=rules).response["violations"]:
                nodes = [node["html"][:160] for node in found["nodes"][:3]]
                slips.append(f"{name} {view['width']}: {found['id']}: {nodes}")
        context.close()
    assert slips == []
    assert outside == []


def test_a_page_is_read_and_used_without_script(
    browser: sync_api.Browser, root: str, made: dict[str, str]
) -> None:
    context = browser.new_context(viewport=TABLET, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{root}/stations/trim-machine/acts/note?subject={made['left']}")
    page.fill("#text", "without script")
    page.fill("#person", "P-31")
    press(page)

    assert "Done" in page.inner_text("#answer")
    context.close()


def test_every_page_fits_the_width_of_a_tablet(page: sync_api.Page, root: str, made: dict[str, str]) -> None:
    wide = []
    for name, where in addresses(made).items():
        page.goto(root + where)
        over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        if over > 0:
            wide.append((name, over))
    assert wide == []
