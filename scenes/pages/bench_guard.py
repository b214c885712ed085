"""Who may ask the live bench for what: host, origin, token, size, rate and JSON are looked at before anything else."""

from __future__ import annotations

import hmac
import ipaddress
import json
import math
import secrets
import time
from collections import OrderedDict
from collections.abc import Awaitable, Callable, MutableMapping
from dataclasses import dataclass, field
from typing import Any

from sim.errors import BadInput, Fault

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

# Bounds of what is listened to; a state of the bench is 300 bytes. Judgement.
MOST_BYTES, MOST_ADDRESS, MOST_SESSIONS, MOST_KNOWN = 4096, 400, 240, 2000
# A hand that drags asks up to 50 times a second, each time the last answer is there; pages are loaded by a whole class
# within seconds. Judgement.
PER_SECOND, AT_ONCE = 60.0, 120.0
LOADS_PER_SECOND, LOADS_AT_ONCE = 3.0, 90.0
# A class types its token from the wall: letters none of which is read for another; eight of them are 40 bits.
LETTERS, LETTERS_OF_CLASS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789", 8
TRAINER, LEARNER = "trainer", "learner"
HEADERS = (
    (b"referrer-policy", b"no-referrer"),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"cache-control", b"no-store"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=()"),
)
SILENT = b"default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"


class Denied(Exception):
    """A request that is not answered: status and one plain sentence."""

    def __init__(self, status: int, reason: str) -> None:
        super().__init__(reason)
        self.status, self.reason = status, reason


@dataclass(frozen=True)
class Doors:
    """Where the bench is served, and what opens it.

    Parameters
    ----------
    address : str
        Address that is listened on.
    port : int
    trainer, learner : str
        Tokens; both empty on loopback, where only this machine can ask.
    """

    address: str
    port: int
    trainer: str = ""
    learner: str = ""

    @property
    def shared(self) -> bool:
        """Whether others than this machine can ask."""
        return bool(self.learner)

    def role(self, token: str) -> str:
        """Who asks; empty for nobody we know."""
        if not self.shared:
            return TRAINER
        given = token.encode()
        for role, own in ((TRAINER, self.trainer), (LEARNER, self.learner)):
            if hmac.compare_digest(given, own.encode()):
                return role
        return ""

    def is_ours(self, host: str) -> bool:
        """Whether a Host header names this server: an address, never a name that others could point at it."""
        name, _, port = host.rpartition(":")
        if port != str(self.port):
            return False
        name = name.strip("[]").lower()
        if name in ("localhost", "127.0.0.1", "::1"):
            return True
        try:
            given, own = ipaddress.ip_address(name), ipaddress.ip_address(self.address)
        except ValueError:
            return False
        return self.shared and (given == own or own.is_unspecified)


def doors(address: str, port: int) -> Doors:
    """Make the doors of a server: without tokens on loopback, with two beyond it.

    Raises
    ------
    BadInput
        If the address is none.
    """
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        allowed = "an address of this machine such as 192.168.1.20, or 0.0.0.0 for all of them"
        raise BadInput(Fault(f"{address[:60]!r} is no address", key="--address", allowed=allowed)) from None
    if found.is_loopback:
        return Doors(address, port)
    read_aloud = "".join(secrets.choice(LETTERS) for _ in range(LETTERS_OF_CLASS))
    return Doors(address, port, secrets.token_urlsafe(18), read_aloud)


@dataclass
class Bucket:
    """Tokens that drip: how often something may be done."""

    per_second: float
    most: float
    left: float = -1.0
    last: float = 0.0

    def take(self, now: float | None = None) -> bool:
        """Take one; False where there is none."""
        now = time.monotonic() if now is None else now
        full = self.most if self.left < 0 else self.left + self.per_second * max(0.0, now - self.last)
        self.left, self.last = min(full, self.most), now
        if self.left < 1.0:
            return False
        self.left -= 1.0
        return True


@dataclass
class Rates:
    """One bucket for each who asks; the longest silent is forgotten first."""

    per_second: float
    most: float
    known: OrderedDict[str, Bucket] = field(default_factory=OrderedDict)

    def take(self, who: str) -> bool:
        """Count one request of somebody."""
        bucket = self.known.setdefault(who, Bucket(self.per_second, self.most))
        self.known.move_to_end(who)
        while len(self.known) > MOST_KNOWN:
            self.known.popitem(last=False)
        return bucket.take()


def read_json(body: bytes) -> dict[str, Any]:
    """Read a JSON object of finite numbers.

    Raises
    ------
    BadInput
        For anything else.
    """

    def no(word: str) -> None:
        raise ValueError(word)

    def finite(text: str) -> float:
        value = float(text)
        if not math.isfinite(value):
            raise ValueError(text)
        return value

    try:
        found = json.loads(body.decode("utf-8"), parse_constant=no, parse_float=finite)
    except (ValueError, RecursionError):
        raise BadInput(Fault("this is no JSON of finite numbers", key="request")) from None
    if not isinstance(found, dict):
        raise BadInput(Fault("this is no JSON object", key="request"))
    return found


class Guard:
    """Looks at every request before the bench does; answers in plain words, with headers that keep a page to itself."""

    def __init__(self, app: App, doors: Doors) -> None:
        self.app, self.doors = app, doors
        self.loads = Rates(LOADS_PER_SECOND, LOADS_AT_ONCE)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request pass, or answer it here."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                given = list(message.get("headers", []))
                names = {name.lower() for name, _ in given}
                given += [pair for pair in HEADERS if pair[0] not in names]
                if b"content-security-policy" not in names:
                    given.append((b"content-security-policy", SILENT))
                message = {**message, "headers": given}
            await send(message)

        try:
            self.check(scope)
        except Denied as denied:
            await refuse(sent, denied)
            return
        await self.app(scope, receive, sent)

    def check(self, scope: Scope) -> None:
        """Refuse what comes to another host, from another page, or too large; counts loads of pages."""
        headers = {name.decode("latin-1").lower(): value.decode("latin-1") for name, value in scope["headers"]}
        if not self.doors.is_ours(headers.get("host", "")):
            raise Denied(421, "this address is not served here")
        if len(scope["path"]) + len(scope.get("query_string", b"")) > MOST_ADDRESS:
            raise Denied(414, "the address is too long")
        origin = headers.get("origin")
        if origin is not None and origin != f"http://{headers['host']}":
            raise Denied(403, "asked from another page")
        site = headers.get("sec-fetch-site", "none")
        opens = headers.get("sec-fetch-mode", "") == "navigate" and scope["method"] == "GET"
        if site not in ("same-origin", "none") and not opens:
            raise Denied(403, "asked from another page")
        if scope["method"] == "POST":
            if headers.get("content-type", "").partition(";")[0].strip().lower() != "application/json":
                raise Denied(415, "only JSON is read")
            length = headers.get("content-length", "")
            if not length.isascii() or not length.isdigit():
                raise Denied(411, "the length of the request is missing")
            if len(length) > 9 or int(length) > MOST_BYTES:
                raise Denied(413, "the request is too large")
        elif scope["method"] not in ("GET", "HEAD"):
            raise Denied(405, "not allowed")
        elif not scope["path"].startswith("/api/"):
            client = scope.get("client") or ("", 0)
            if not self.loads.take(str(client[0])):
                raise Denied(429, "too many pages at once; wait a little")


async def refuse(send: Send, denied: Denied) -> None:
    """Answer with a status and a sentence."""
    body = json.dumps({"error": denied.reason}).encode()
    head = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": denied.status, "headers": head})
    await send({"type": "http.response.body", "body": body})
