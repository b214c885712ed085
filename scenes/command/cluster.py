"""More than one machine: the tasks of a stack handed to a dask.distributed scheduler, on loopback or over TLS only."""

from __future__ import annotations

import ipaddress
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from urllib.parse import urlsplit

from sim.errors import BadInput, Fault, Missing

ALLOWED = "tcp://127.0.0.1:PORT, or tls://HOST:PORT with certificates in dask's configuration"
PATIENCE = "20s"


@contextmanager
def executor(address: str) -> Iterator[Executor | None]:
    """Give an executor on a cluster; None without an address.

    Raises
    ------
    BadInput
        For an address that is neither on this machine nor encrypted: a scheduler runs whatever it is sent.
    Missing
        Without dask.distributed, or where no scheduler answers.
    """
    if not address:
        yield None
        return
    need_safe(address)
    try:
        from distributed import Client
    except ImportError:
        raise Missing(
            "a cluster takes dask.distributed; it comes with: in the checkout, pip install '.[cluster]'"
        ) from None
    try:
        client = Client(address, timeout=PATIENCE, set_as_default=False)
    except (OSError, TimeoutError) as error:
        raise Missing(f"no scheduler answers at {address}: {error}") from None
    try:
        yield client.get_executor(pure=False)
    finally:
        client.close()


def need_safe(address: str) -> None:
    """Refuse an address that is neither loopback nor TLS (``BadInput``)."""
    parts = urlsplit(address)
    try:
        there = parts.port is not None
    except ValueError:
        there = False
    if not there or not (parts.scheme == "tls" or (parts.scheme == "tcp" and _loopback(parts.hostname or ""))):
        reason = f"{address!r} is neither on this machine nor encrypted; a scheduler runs whatever it is sent"
        raise BadInput(Fault(reason, key="--scheduler", allowed=ALLOWED))


def _loopback(host: str) -> bool:
    try:
        return host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False
