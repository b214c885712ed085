"""The live bench as a server and in a real browser: what it refuses, what its pages do, whole paths of a learner."""

import asyncio
import csv
import json
import socket
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
from threadpoolctl import ThreadpoolController

from scenes.command.app import main
from scenes.pages import bench_desk, bench_guard, bench_tasks
from scenes.pages.bench_guard import Bucket, Denied, Doors, read_json
from sim.errors import BadInput
from sim.live import bench as live
from sim.live.setup import as_json
from tests.unit.live_server import Asker, made, running

pytest.importorskip("uvicorn")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The trainer's."""
    return tmp_path_factory.mktemp("trainer")


@pytest.fixture(scope="module")
def served(folder, fewest_seatings, few_wheels):
    with running(folder=folder) as found:
        yield found


@pytest.fixture(scope="module")
def shared():
    """As a class is served, with two tokens."""
    with running("trainer-token", "learner-token") as found:
        yield found


@pytest.fixture
def asker(served):
    return Asker(served)


def in_a_thread(scene):
    """Run what waits: the main thread has a loop already while a browser is open."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, scene).result()


def start(**more):
    return as_json(replace(made().choices.start, **more))


# ---------------------------------------------------------------- what is refused


def test_a_page_comes_with_headers_that_keep_it_to_itself(asker):
    policy = asker.headers["content-security-policy"]
    assert policy.startswith("default-src 'none'; script-src 'nonce-")
    assert "unsafe" not in policy
    assert "connect-src 'self'" in policy
    assert "frame-ancestors 'none'" in policy
    assert asker.headers["referrer-policy"] == "no-referrer"
    assert asker.headers["cache-control"] == "no-store"
    assert "server" not in asker.headers
    nonce = policy.split("'nonce-")[1].split("'")[0]
    assert asker.text.count("<script") == asker.text.count(f'nonce="{nonce}"') - 1  # and the style
    assert nonce not in again(asker)
    assert " style=" not in asker.text
    assert " onclick=" not in asker.text


def again(asker):
    """The page once more: another nonce, another session."""
    return asker.send("GET", "/")[1]


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"host": "bench.example"}, 421),
        ({"host": "127.0.0.1:1"}, 421),
        ({"host": "192.168.1.20:8765"}, 421),
        ({"origin": "http://evil.example"}, 403),
        ({"origin": "null"}, 403),
        ({"sec_fetch_site": "cross-site"}, 403),
        ({"content_type": "text/plain"}, 415),
        ({"content_type": None}, 415),
        ({"x_bench_session": "made-up"}, 403),
        ({"content_length": "99999999999"}, 413),
    ],
    ids=str,
)
def test_what_comes_from_elsewhere_is_refused(asker, headers, status):
    found, told = asker.ask("/api/seat", {"seq": 1, "setup": start()}, **headers)
    assert found == status
    assert told["error"]


@pytest.mark.parametrize(
    "raw",
    [
        b"", b"{", b"[1]", b'"text"', b"\xff\xfe", b'{"seq": NaN, "setup": {}}', b'{"seq": 1e999, "setup": {}}',
        b'{"seq": -1, "setup": {}}', b'{"seq": 1.5, "setup": {}}', b'{"seq": true, "setup": {}}',
        b'{"seq": 1' + b"0" * 3000 + b', "setup": {}}', b"[" * 4000, b'{"seq": 1}',
        b'{"seq": 1, "setup": {}, "path": "/etc/passwd"}',
    ],
    ids=lambda raw: raw[:24].decode("latin-1"),
)  # fmt: skip
def test_bad_json_and_huge_numbers_are_refused_with_400(asker, raw):
    status, told = asker.ask("/api/seat", None, raw=raw)
    assert status == 400
    assert told["error"]
    assert "Traceback" not in json.dumps(told)


def test_more_than_a_state_is_not_read_and_other_ways_of_asking_are_not_known(asker):
    assert asker.ask("/api/seat", None, raw=b" " * 5000)[0] == 413
    assert asker.send("PUT", "/api/seat")[0] == 405
    assert asker.send("GET", "/api/seat")[0] == 405
    assert asker.send("GET", "/../../etc/passwd")[0] == 404
    assert asker.send("GET", "/" + "a" * 500)[0] == 414
    assert asker.send("GET", "/static/bench.js")[0] == 404


def test_beyond_loopback_nothing_is_told_without_a_token(shared):
    assert Asker(shared).status == 403
    assert Asker(shared, "learner-tokem").status == 403
    learner = Asker(shared, "learner-token")
    assert learner.status == 200
    assert "trainer-token" not in learner.text
    assert learner.ask("/api/seat", {"seq": 1, "setup": start()})[0] == 200
    assert learner.ask("/api/seat", {"seq": 2, "setup": start()}, x_bench_token="")[0] == 403


def test_only_addresses_open_a_shared_door_never_names():
    own = Doors("0.0.0.0", 8765, "t", "l")
    assert own.is_ours("192.168.1.20:8765")
    assert not own.is_ours("rebound.example:8765")
    assert not Doors("192.168.1.20", 8765, "t", "l").is_ours("192.168.1.21:8765")
    assert not Doors("127.0.0.1", 8765).is_ours("192.168.1.20:8765")
    assert Doors("127.0.0.1", 8765).is_ours("localhost:8765")
    made_ = bench_guard.doors("192.168.1.20", 8765)
    assert len(made_.trainer) >= 24
    assert made_.role(made_.learner) == "learner"
    assert made_.role("") == ""
    with pytest.raises(BadInput, match="--address"):
        bench_guard.doors("example.com", 8765)


def test_who_asks_too_often_waits():
    bucket = Bucket(10.0, 3.0)
    assert [bucket.take(0.0) for _ in range(4)] == [True, True, True, False]
    assert bucket.take(0.2)
    rates = bench_guard.Rates(1.0, 1.0)
    assert rates.take("a")
    assert rates.take("b")
    assert not rates.take("a")


def test_json_of_finite_numbers_only():
    assert read_json(b'{"a": [1, -2.5e3]}') == {"a": [1, -2500.0]}
    with pytest.raises(BadInput):
        read_json(b'{"a": -Infinity}')


# ---------------------------------------------------------------- solving for many


def test_the_newest_wins_and_the_rest_is_dropped():
    """Four requests of one session while the solver is busy: the first it has begun, then only the last."""

    async def scene():
        desk, began, go = bench_desk.Desk(), [], threading.Event()
        await desk.start()

        def act(number):
            def solve():
                began.append(number)
                go.wait(5)
                return {"number": number}

            return solve

        key = desk.open()
        session = desk.of(key)
        asked = [asyncio.create_task(desk.solve(session, 1, act(1)))]
        while not began:
            await asyncio.sleep(0.01)
        asked += [asyncio.create_task(desk.solve(session, k, act(k))) for k in (2, 3, 4)]
        await asyncio.sleep(0.02)
        late = await desk.solve(session, 3, act(3))
        go.set()
        found = await asyncio.gather(*asked)
        with pytest.raises(Denied, match="load it again"):
            desk.of("nobody")
        await desk.stop()
        return began, found, late

    began, found, late = in_a_thread(scene())
    assert began == [1, 4]
    assert found == [{"number": 1}, None, None, {"number": 4}]
    assert late is None


def test_a_solve_that_fails_or_takes_too_long_harms_no_other(monkeypatch):
    monkeypatch.setattr(bench_desk, "LONGEST_S", 0.05)

    async def scene():
        desk = bench_desk.Desk()
        await desk.start()
        first, second = desk.of(desk.open()), desk.of(desk.open())
        with pytest.raises(ZeroDivisionError):
            await desk.solve(first, 1, lambda: {"never": 1 // 0})
        with pytest.raises(Denied, match="too long"):
            await desk.solve(first, 2, lambda: time.sleep(0.2) or {})
        await asyncio.sleep(0.25)
        assert await desk.solve(second, 1, lambda: {"fine": True}) == {"fine": True}
        await desk.stop()

    in_a_thread(scene())


def test_a_client_that_leaves_in_mid_solve_harms_nobody(served, monkeypatch):
    slow, inside = threading.Event(), threading.Event()
    usual = live.answer

    def waits(of, setup):
        inside.set()
        slow.wait(5)
        return usual(of, setup)

    asker = Asker(served)
    monkeypatch.setattr("scenes.pages.bench_server.answer", waits)
    monkeypatch.setattr("scenes.pages.bench_server.BODY_S", 0.2)
    body = json.dumps({"seq": 1, "setup": start()}).encode()
    with socket.create_connection(("127.0.0.1", served.doors.port)) as link:
        head = f"POST /api/seat HTTP/1.1\r\nhost: 127.0.0.1:{served.doors.port}\r\ncontent-type: application/json\r\n"
        head += f"x-bench-session: {asker.session}\r\ncontent-length: {len(body)}\r\n\r\n"
        link.sendall(head.encode() + body)
        assert inside.wait(5)
    with socket.create_connection(("127.0.0.1", served.doors.port)) as link:  # and one that never ends its request
        link.sendall(head.encode() + body[:20])
        assert b" 408 " in link.recv(100)
    slow.set()
    assert Asker(served).ask("/api/seat", {"seq": 2, "setup": start()})[1]["runout_um"] > 40


def test_thirty_sessions_each_have_their_own_state(served):
    askers = [Asker(served) for _ in range(30)]
    assert len({one.session for one in askers}) == 30

    def change(k):
        speck = replace(made().choices.start.speck, angle_deg=float(12 * k))
        return askers[k].ask("/api/seat", {"seq": 1, "setup": start(speck=speck)})

    with ThreadPoolExecutor(8) as pool:
        found = list(pool.map(change, range(30)))
    assert {status for status, _ in found} == {200}
    for k, (_, told) in enumerate(found):
        own = live.answer(
            made(), replace(made().choices.start, speck=replace(made().choices.start.speck, angle_deg=12.0 * k))
        )
        assert told["runout_um"] == own["runout_um"]


def test_the_page_counts_as_the_command_does(asker, tmp_path, capsys):
    """Set up on the page, saved as a case file, seated by the command line: the same figures."""
    setup = start(
        speck=replace(made().choices.start.speck, angle_deg=217.0, radius_mm=52.5, kind="scale"),
        hole=3,
        nuts=(1.0, 0.5, 1.0, 1.0, 1.25),
    )
    _, told = asker.ask("/api/seat", {"seq": 1, "setup": setup})
    _, case = asker.ask("/api/case", {"setup": setup})
    path = tmp_path / "corner.toml"
    path.write_text(case["toml"], encoding="utf-8")
    assert main(["seat", str(path), "--preset", "fast", "--json"]) == 0
    line = json.loads(capsys.readouterr().out)
    assert told["runout_um"] == pytest.approx(line["lateral_runout_um"]["outboard"], abs=1e-4)
    assert told["trace_um"] == pytest.approx(line["trace"]["outboard_um"], abs=6e-4)
    assert told["left_um"] == pytest.approx(line["contact"]["residual_height_um"][0], abs=0.01)
    assert told["against_limit"] == line["against_limit"]


def test_a_nut_that_holds_nothing_is_refused_in_words(asker):
    status, told = asker.ask("/api/seat", {"seq": 1, "setup": start(nuts=(0.0,) * 5)})
    assert status == 200
    assert "nut" in told["refused"]
    assert asker.ask("/api/wear", {"setup": start(nuts=(0.0,) * 5)})[0] in (200, 422)


def letter_by_letter(link, text):
    for letter in text:
        link.sendall(bytes([letter]))
        time.sleep(0.02)


def test_a_connection_that_says_nothing_or_one_letter_at_a_time_is_dropped(monkeypatch, served):
    """Fresh, with half a head, and with half a head after an answer; one that asks is answered meanwhile."""
    monkeypatch.setattr("scenes.pages.bench_server.HEAD_S", 0.3)
    where = ("127.0.0.1", served.doors.port)
    whole = f"GET /nothing HTTP/1.1\r\nhost: 127.0.0.1:{served.doors.port}\r\n".encode()
    with socket.create_connection(where, 5) as silent, socket.create_connection(where, 5) as slow:
        with socket.create_connection(where, 5) as asks:
            asks.sendall(whole + b"\r\n")
            assert asks.recv(100).startswith(b"HTTP/1.1 404")
            asks.sendall(whole)
            while asks.recv(1000):
                pass
        begun = time.monotonic()
        with pytest.raises((ConnectionResetError, BrokenPipeError)):
            letter_by_letter(slow, whole * 20)
        assert silent.recv(10) == b""
        assert time.monotonic() - begun < 4.0


def test_an_answer_is_sent_at_once():
    """Of a socket that does not say TCP asyncio leaves the last piece waiting for an ACK: 40 ms at every second one."""
    from scenes.pages.bench_server import listening

    async def told(door):
        got = asyncio.get_running_loop().create_future()
        server = await asyncio.start_server(
            lambda _, writer: got.set_result(writer.get_extra_info("socket")), sock=door
        )
        async with server:
            _, mine = await asyncio.open_connection(*door.getsockname())
            option = (await got).getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)
            mine.close()
            return option

    with listening("127.0.0.1", 0) as door:
        assert in_a_thread(told(door))


def test_no_answer_ends_and_begins_the_threads_of_the_libraries(asker, monkeypatch):
    """Limited at every answer, a move of the speck took 70 ms of CPU instead of 11."""
    monkeypatch.setattr(ThreadpoolController, "limit", lambda *_, **__: pytest.fail("limited anew"))
    speck = replace(made().choices.start.speck, angle_deg=331.0)
    status, told = asker.ask("/api/seat", {"seq": 1, "setup": start(speck=speck)})
    assert status == 200
    assert "runout_um" in told


def test_the_command_says_what_is_missing_and_what_is_taken(capsys, monkeypatch, served):
    assert main(["bench", "--port", "0"]) == 2
    assert main(["bench", "--port", str(served.doors.port)]) == 2
    assert "cannot listen" in capsys.readouterr().err
    monkeypatch.setitem(sys.modules, "uvicorn", None)
    monkeypatch.delitem(sys.modules, "scenes.pages.bench_server")
    monkeypatch.delattr("scenes.pages.bench_server")
    assert main(["bench"]) == 4
    assert "pip install '.[bench]'" in capsys.readouterr().err


# ---------------------------------------------------------------- in a real browser


def opened(browser, served, path="/", **how):
    page = browser.new_context(reduced_motion="reduce", **how).new_page()
    page.set_default_timeout(20_000)
    page.noise, page.asked = [], []
    page.on("console", lambda message: page.noise.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: page.noise.append(str(error)))
    page.on("request", lambda request: page.asked.append(request.url))
    page.goto(f"http://127.0.0.1:{served.doors.port}{path}")
    page.wait_for_selector("html[data-ready]")
    return page


def sees(page, truth):
    """Wait for a truth of the page; asked from outside, since its policy lets nothing be evaluated inside."""
    for _ in range(400):
        if page.evaluate(truth):
            return
        page.wait_for_timeout(25)
    raise AssertionError(truth)


def quiet(page, served):
    """Nothing went wrong in it and nothing was asked outside; then it is closed, or it would go on drawing."""
    page.context.close()
    assert page.noise == []
    outside = (f"http://127.0.0.1:{served.doors.port}/", "data:", "blob:")
    assert [url for url in page.asked if not url.startswith(outside)] == []


def test_predict_first_then_truth_on_a_phone(browser, served):
    page = opened(browser, served, viewport={"width": 360, "height": 740}, has_touch=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert page.locator("#controls").is_hidden()
    # The case is called after its answer; the page of an invented corner is not.
    assert "outer edge" not in f"{page.title()} {page.locator('header').inner_text()}"
    assert [url for url in page.asked if "/api/" in url] == []  # nothing is computed, nothing could be looked up
    box = page.locator("#face").bounding_box()
    page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + 0.09 * box["height"])
    page.locator("#controls").wait_for(state="visible")
    own = live.answer(made(), made().choices.start)
    assert f"{own['runout_um']:.0f}\u00a0µm" in page.locator("#said").inner_text()
    assert "36° off" in page.locator("#more").inner_text()
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.evaluate("document.querySelector('#contrast').click()")
    assert page.evaluate("getComputedStyle(document.documentElement).getPropertyValue('--paper')") == "#fff"
    page.emulate_media(media="print")  # a picture made for a screen is not drawn out to the width of the paper
    assert page.evaluate("getComputedStyle(document.querySelector('.stage canvas')).objectFit") == "contain"
    quiet(page, served)


def test_the_whole_bench_by_keyboard_alone(browser, served):
    page = opened(browser, served, viewport={"width": 1100, "height": 800})
    press = page.keyboard.press

    def until(selector):
        for _ in range(60):
            if page.evaluate("(s) => document.activeElement.matches(s)", selector):
                return
            press("Tab")
        raise AssertionError(f"{selector} is not reached by Tab")

    until("[data-part=rim]")
    for _ in range(6):
        press("ArrowLeft")
    press("Enter")
    page.locator("#controls").wait_for(state="visible")
    assert "0° off" in page.locator("#more").inner_text()  # six steps of six degrees: where the speck lies
    until("[data-part=speck]")
    press("ArrowLeft")
    press("ArrowDown")
    sees(page, "benchState.dots.length > 1 && benchState.found.trace_um && benchState.of.speck.angle_deg === 39")
    setup = replace(made().choices.start, speck=replace(made().choices.start.speck, angle_deg=39.0, radius_mm=63.0))
    sees(page, f"benchState.found.runout_um === {live.answer(made(), setup)['runout_um']}")
    until("[data-part=nut0]")
    press("Enter")
    sees(page, "benchState.of.nuts[0] === 0.5")
    assert page.evaluate("document.activeElement.dataset.part") == "nut0"
    until("#clean")
    press("Enter")
    sees(page, "benchState.of.speck === null")
    until("#table")
    press("Enter")
    page.locator("#extra table").wait_for()
    assert page.locator("#extra tr").nth(1).locator("td").count() == 12
    assert page.locator("svg[role=img]:not([aria-label])").count() == 0
    quiet(page, served)


def test_a_speck_that_is_dragged_is_followed_and_drawn_finely_when_it_rests(browser, served):
    """The picture waits for its answer, is drawn coarser while it moves where pictures are slow, and finely again."""
    page = opened(browser, served, viewport={"width": 1100, "height": 800})
    page.locator("#face [data-part=rim]").focus()
    page.keyboard.press("Enter")
    page.locator("#controls").wait_for(state="visible")
    page.evaluate("benchViewer.now.slow = true")
    wide = "document.querySelector('.stage canvas').width"
    whole = page.evaluate("document.querySelector('.stage canvas').clientWidth")
    sees(page, f"{wide} === {whole}")
    page.evaluate("""() => {
        const draw = benchViewer.draw;
        window.drawn = [];
        benchViewer.draw = () => { drawn.push([benchState.shown, benchState.of.speck.angle_deg]); draw(); };
    }""")
    box, before = page.locator("#face").bounding_box(), page.evaluate("benchState.seq")
    middle, radius = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2), 0.24 * box["width"]
    for k, degrees in enumerate((40, 48, 56)):
        at = np.radians(degrees)
        page.mouse.move(middle[0] - radius * np.sin(at), middle[1] - radius * np.cos(at))
        if not k:
            page.mouse.down()
    sees(
        page,
        "benchState.shown === benchState.seq && benchState.of.speck.angle_deg === benchState.setup.speck.angle_deg",
    )
    drawn = page.evaluate("drawn")
    assert [seq for seq, _ in drawn] == sorted({seq for seq, _ in drawn})  # no answer twice, none out of turn
    assert len(drawn) <= page.evaluate("benchState.seq") - before
    assert drawn[-1] == [page.evaluate("benchState.seq"), page.evaluate("benchState.setup.speck.angle_deg")]
    assert page.evaluate(wide) == round(whole / 2)
    page.mouse.up()
    sees(page, f"{wide} === {whole} && benchState.dots.length === 2")
    quiet(page, served)


def test_a_whole_exercise_from_start_to_mark_reveals_nothing_before(browser, served, folder):
    page = opened(browser, served, "/exercises", viewport={"width": 360, "height": 740}, has_touch=True)
    seen = []
    page.on("response", lambda answer: seen.append(answer.text()) if "/api/" in answer.url else None)
    page.fill("#number", "4")
    page.click("#begin")
    for count, what in enumerate(("as found", "another stud", "clean and refit", "bare hub"), 1):
        page.click(f"[data-what='{what}']")
        page.locator("#reads svg").nth(count - 1).wait_for()
    assert "\u2212" in "".join(
        page.locator("#reads svg").all_text_contents()
    )  # the readings themselves, from the first place on
    assert page.evaluate(
        "[...document.querySelectorAll('#reads .scroll')].every((e) => e.scrollWidth <= e.clientWidth)"
    )
    hidden = bench_tasks.keeper(folder).draw(served.bench.choices.base, "one fault", 4)
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert not [text for text in seen if "fault" in text or "left_um" in text or "share_um" in text]
    assert str(hidden.key) not in page.content()
    page.select_option("#cause", hidden.faults[0])
    page.select_option("#then", hidden.works()[0])
    page.fill("#name", "=cmd|' /C calc'!A0")
    page.click("#submit")
    page.locator("#marked table").wait_for()
    said = page.locator("#said").inner_text()
    assert hidden.faults[0] in page.locator("#marked").inner_text()
    (row,) = list(csv.DictReader((folder / bench_tasks.RESULTS_FILE).open(encoding="utf-8")))
    assert row["name"] == "'=cmd|' /C calc'!A0"
    assert said.startswith(f"{row['points of 10']} of 10")
    assert row["minutes"] == "52.0"
    assert row["exercise"] == bench_tasks.keeper(folder).code("one fault", 4)
    quiet(page, served)


def test_an_exercise_is_asked_in_its_order(asker):
    assert asker.ask("/api/exercise/measure", {"what": "as found", "stud": 1})[0] == 409
    for level, number in (("easy", 1), ("one fault", 0), ("one fault", 100), (None, 1), ("one fault", 1.5)):
        assert asker.ask("/api/exercise/start", {"level": level, "number": number})[0] == 400
    assert asker.ask("/api/exercise/start", {"level": "one fault", "number": 2})[0] == 200
    assert asker.ask("/api/exercise/measure", {"what": "bare hub", "stud": 1})[0] == 400
    hand_in = {"name": "", "cause": "cannot tell", "then": "another stud"}
    assert asker.ask("/api/exercise/submit", hand_in)[0] == 400  # nothing was read
    assert asker.ask("/api/exercise/measure", {"what": "as found", "stud": 1})[0] == 200
    assert asker.ask("/api/exercise/submit", {**hand_in, "name": "x" * 50})[0] == 400
    status, told = asker.ask("/api/exercise/submit", hand_in)
    assert status == 200
    assert told["points"] in (3, 5, 7)
    assert asker.ask("/api/exercise/submit", hand_in)[0] == 409


def test_the_class_bets_together_on_phones_and_by_hands(browser, shared):
    wall = opened(browser, shared, "/room?token=trainer-token", viewport={"width": 1280, "height": 720})
    phone = opened(browser, shared, "/join?token=learner-token", viewport={"width": 360, "height": 740}, has_touch=True)
    assert "/join?token=learner-token" in wall.locator("#joining").inner_text()
    assert "trainer-token" not in phone.content()
    learner = Asker(shared, "learner-token")
    assert learner.get("/api/room")[0] == 403
    assert learner.ask("/api/room", {"act": "new", "hands": []})[0] == 403
    assert learner.ask("/api/mark", {"round": 1, "angle_deg": 300.0})[0] == 200
    box = phone.locator("#face").bounding_box()
    phone.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + 0.1 * box["height"])
    sees(wall, "document.querySelector('#more').textContent.includes('2')")
    assert learner.get("/api/join")[1]["truth"] is None
    wall.fill("#gap0", "5")
    wall.click("#show")
    sees(wall, "!document.querySelector('#tighten').disabled")
    wall.click("#tighten")
    own = live.answer(made(), made().choices.start)
    sees(wall, f"document.querySelector('#said').textContent.includes('{own['runout_um']:.0f}\u00a0µm')")
    assert "5 of 7 marks" in wall.locator("#said").inner_text()
    face = wall.locator("#face").bounding_box()
    assert face["y"] + face["height"] <= 720  # all of it stands on the wall
    sees(phone, "document.querySelector('#said').textContent.includes('36° off')")
    assert phone.evaluate("document.documentElement.scrollWidth") <= 360
    quiet(wall, shared)
    quiet(phone, shared)


def test_on_this_machine_alone_nobody_joins_but_hands_count(asker):
    assert asker.send("GET", "/join")[0] == 404
    assert asker.ask("/api/room", {"act": "tighten", "hands": [0] * 5})[0] == 400
    assert asker.ask("/api/room", {"act": "show", "hands": [1, 0, 0, 0, 2]})[0] == 200
    told = asker.ask("/api/room", {"act": "tighten", "hands": [0] * 5})[1]
    assert (told["count"], told["near"]) == (3, 1)
    assert asker.ask("/api/room", {"act": "new", "hands": []})[1]["round"] == 2


def test_the_trainers_sheet_needs_the_folder(folder, served, tmp_path, capsys):
    assert main(["bench", "--answers", "1"]) == 2
    assert main(["bench", "--answers", "1", "--folder", str(tmp_path)]) == 2
    assert main(["bench", "--answers", "1", "--folder", str(folder)]) == 0
    told = capsys.readouterr().out
    assert bench_tasks.keeper(folder).code("two faults", 1) in told
