"""The live bench: parts of one drag, thirty sessions on one server, a drag in a real browser; prints, asserts nothing.

``python -m tests.benchmarks.bench_page [SECONDS]``. The server runs in a process of its own; its CPU time is told
beside the times that its clients wait, since other work on the machine makes those longer.
"""

from __future__ import annotations

import http.client
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import threading
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

import demo_geometry
from scenes.pages import bench_page
from sim.files.case_file import load_case
from sim.live import bench as live
from sim.live.moves import weights
from sim.live.setup import as_json, case_of, setup_of

PORT, SESSIONS, EVERY_S = 8799, 30, 2.0
COMMAND = "import sys; from scenes.command.app import main; sys.exit(main(sys.argv[1:]))"
# What each move of the pointer waits for: its own answer in numbers, dial and trace, then the 3D picture, read back so
# that it is drawn; then the frame that shows it. A move that was overtaken by a newer one has no answer.
WATCH = """() => {
    const moves = {}, out = { answered: [], picture: [], frame: [] };
    const canvas = document.querySelector('.stage canvas'), gl = canvas.hidden ? null : canvas.getContext('webgl2');
    const draw = benchViewer.draw, pixel = new Uint8Array(4);
    document.addEventListener('pointermove', (e) => { moves[benchState.seq] = e.timeStamp; });
    benchViewer.draw = () => {
        const from = moves[benchState.shown], took = () => performance.now() - from;
        const answered = took();
        draw(); if (gl) gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, pixel);
        if (from === undefined) return;
        out.answered.push(answered); out.picture.push(took());
        requestAnimationFrame(() => {
            const told = new MessageChannel();
            told.port1.onmessage = () => out.frame.push(took());
            told.port2.postMessage(0);
        });
    };
    window.benchDrag = out;
}"""
MOVES, ROUNDS = 60, 5


def spread(values) -> str:
    at = np.percentile(values, [50, 95, 100])
    return f"median {at[0]:6.1f}   p95 {at[1]:6.1f}   most {at[2]:6.1f} ms"


def cpu_ms(act, count=40) -> list[float]:
    out = []
    for k in range(count):
        start = time.thread_time()
        act(k)
        out.append(1000.0 * (time.thread_time() - start))
    return out


def parts() -> None:
    """CPU time of what the server does for one place of the speck."""
    made = bench_page.ready(load_case(demo_geometry.file("lesson_outer_dirty")))
    start = made.choices.start
    places = [
        replace(start, speck=replace(start.speck, angle_deg=float(9 * k + 4), radius_mm=50.0 + (k % 20) / 2))
        for k in range(40)
    ]
    raw = [json.dumps(as_json(one)) for one in places]
    seats = [live.seat_setup(made, one) for one in places[:3]]
    print("CPU of one change, fast preset, geometry remembered")
    print("  read and check the request ", spread(cpu_ms(lambda k: setup_of(json.loads(raw[k]), made.choices))))
    print("  case of it                 ", spread(cpu_ms(lambda k: case_of(made.choices, places[k]))))
    print("  seating with proof         ", spread(cpu_ms(lambda k: live.seat_setup(made, places[k]))))
    print("  weights of the shapes      ", spread(cpu_ms(lambda k: weights(made.moves, seats[k % 3]))))
    print("  whole answer as JSON       ", spread(cpu_ms(lambda k: json.dumps(live.answer(made, places[k])))))
    print("  the same again (remembered)", spread(cpu_ms(lambda k: json.dumps(live.answer(made, places[k])))))


def cpu_of(pid: int) -> float:
    """CPU seconds of a process, where the system tells them."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    except OSError:
        return float("nan")
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def get(link) -> dict:
    link.request("GET", "/")
    text = link.getresponse().read().decode()
    return json.loads(re.search(r'id="data"[^>]*>(.*?)</script>', text, re.S)[1])


def one_session(number: int, until: float, waited: list[float], wrong: list[str]) -> None:
    link = http.client.HTTPConnection("127.0.0.1", PORT, timeout=30)
    page = get(link)
    rng, setup = np.random.default_rng(number), page["start"]
    time.sleep(EVERY_S * rng.random())
    seq = 0
    while time.monotonic() < until:
        seq += 1
        setup["speck"] |= {"angle_deg": int(rng.integers(360)), "radius_mm": float(rng.integers(80, 128)) / 2}
        setup["hole"] = int(rng.integers(5))
        head = {"content-type": "application/json", "x-bench-session": page["session"]}
        start = time.monotonic()
        link.request("POST", "/api/seat", json.dumps({"seq": seq, "setup": setup}), head)
        found = link.getresponse()
        told = json.loads(found.read())
        waited.append(1000.0 * (time.monotonic() - start))
        if found.status != 200 or "runout_um" not in told:
            wrong.append(f"{found.status} {told}")
        time.sleep(max(0.0, EVERY_S - (time.monotonic() - start)))


def sessions(pid: int, seconds: float) -> None:
    waited: list[float] = []
    wrong: list[str] = []
    until, before, began = time.monotonic() + seconds, cpu_of(pid), time.monotonic()
    threads = [threading.Thread(target=one_session, args=(k, until, waited, wrong)) for k in range(SESSIONS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    used, took = cpu_of(pid) - before, time.monotonic() - began
    print(f"{SESSIONS} sessions, one change each {EVERY_S:g} s, {len(waited)} changes: {len(wrong)} errors {wrong[:2]}")
    print("  waited                     ", spread(waited))
    each, share = 1000 * used / len(waited), 100 * used / took
    print(f"  CPU of the server           {each:.1f} ms a change, {share:.0f} % of a core")


def drag() -> None:
    program = shutil.which("chromium")
    if program is None:
        print("no chromium here: the drag in a browser is not measured")
        return
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=program, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1280, "height": 860}, reduced_motion="reduce")
        page.goto(f"http://127.0.0.1:{PORT}/")
        page.wait_for_selector("html[data-ready]")
        page.locator("#face [data-part=rim]").focus()
        page.keyboard.press("Enter")
        page.locator("#controls").wait_for(state="visible")
        page.evaluate(WATCH)
        print("From a move of the pointer in headless Chromium (software WebGL), wall time")
        for pause_s, how, share in ((0.15, "one move, then rest", 0.24), (0.0, "moves without rest", 0.23)):
            dragged(page, pause_s, how, share)
        browser.close()


def dragged(page, pause_s: float, how: str, share: float) -> None:
    """Drag the speck round the face, at this share of its width, and print what its moves waited.

    Each way and round has places of its own: an answer that is remembered is none that is solved.
    """
    box = page.locator("#face").bounding_box()
    middle, radius = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2), share * box["width"]
    medians = []
    for turn in range(ROUNDS):
        page.evaluate("() => { for (const list of Object.values(benchDrag)) list.length = 0; }")
        angles = np.radians(36.0 + np.arange(MOVES) * 6.0 + 1.3 * turn)  # begins between two studs
        places = np.column_stack([middle[0] + radius * np.sin(angles), middle[1] - radius * np.cos(angles)])
        page.mouse.move(*places[0])
        page.mouse.down()
        for place in places:
            page.mouse.move(*place)
            time.sleep(max(pause_s, 0.008))
        page.wait_for_timeout(300)
        found = page.evaluate("structuredClone(benchDrag)")
        page.mouse.up()
        page.wait_for_timeout(600)
        medians.append({name: np.percentile(values, [50, 95]) for name, values in found.items()})
    print(f"  {how}; {ROUNDS} rounds of {MOVES} moves, load {os.getloadavg()[0]:.1f}, median of rounds (least, most)")
    for name, what in (
        ("answered", "answered, dial and trace"),
        ("picture", "3D picture"),
        ("frame", "frame after it"),
    ):
        half, high = (np.array([one[name][k] for one in medians]) for k in (0, 1))
        print(f"    {what:25} median {np.median(half):6.1f} ({half.min():.1f}, {half.max():.1f})"
              f"   p95 {np.median(high):6.1f} ({high.min():.1f}, {high.max():.1f}) ms")  # fmt: skip


def main(argv: list[str]) -> int:
    seconds = float(argv[0]) if argv else 30.0
    print(f"load average {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    parts()
    server = subprocess.Popen(
        [sys.executable, "-c", COMMAND, "bench", "--port", str(PORT)], stdout=subprocess.PIPE, text=True
    )
    try:
        assert server.stdout is not None
        server.stdout.readline()
        sessions(server.pid, seconds)
        drag()
    finally:
        server.send_signal(signal.SIGINT)
        server.wait(20)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
