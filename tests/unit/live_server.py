"""One live bench for the tests of a process, and a server of it that runs in a thread."""

from __future__ import annotations

import http.client
import json
import re
import threading
import time
from contextlib import contextmanager
from functools import cache

import demo_geometry
from scenes.pages import bench_page
from scenes.pages.bench_guard import Doors
from sim.files.case_file import load_case


@cache
def made():
    """An invented corner with perfect parts, ready."""
    return bench_page.ready(load_case(demo_geometry.file("lesson_outer_dirty")))


@contextmanager
def running(trainer="", learner="", folder=None):
    """A server on a free port of this machine; yields what is served."""
    from scenes.pages import bench_room, bench_server, bench_tasks

    with bench_server.listening("127.0.0.1", 0) as socket:
        port = socket.getsockname()[1]
        served = bench_server.Served(made(), Doors("127.0.0.1", port, trainer, learner))
        tasks = bench_tasks.task_routes(served, bench_tasks.keeper(folder))
        server = bench_server.server(served, [*bench_room.room_routes(served, f"http://127.0.0.1:{port}"), *tasks])
        thread = threading.Thread(target=server.run, kwargs={"sockets": [socket]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        yield served
        server.should_exit = True
        thread.join(10)


class Asker:
    """One page's questions, without a browser."""

    def __init__(self, served, token="", page="/"):
        self.port, self.token = served.doors.port, token
        status, text, self.headers = self.send("GET", page + (f"?token={token}" if token else ""))
        self.session = (
            json.loads(re.search(r'id="data"[^>]*>(.*?)</script>', text, re.S)[1])["session"] if status == 200 else ""
        )
        self.status, self.text = status, text

    def send(self, method, path, body=None, headers=None):
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        link.request(method, path, body=body, headers=headers or {})
        found = link.getresponse()
        text = found.read().decode()
        link.close()
        return found.status, text, dict(found.getheaders())

    def ask(self, path, body, raw=None, **headers):
        """POST JSON as the page does; headers may be others, None leaves one out."""
        given = {"content-type": "application/json", "x-bench-session": self.session, "x-bench-token": self.token}
        given |= {key.replace("_", "-"): value for key, value in headers.items()}
        data = json.dumps(body).encode() if raw is None else raw
        status, text, _ = self.send("POST", path, data, {k: v for k, v in given.items() if v is not None})
        return status, json.loads(text)

    def get(self, path):
        status, text, _ = self.send("GET", path, headers={"x-bench-session": self.session, "x-bench-token": self.token})
        return status, json.loads(text)
