"""Where the web server listens, and whether it answers there."""

import http.client
import ipaddress
import socket
import time
from collections.abc import Callable

PORTS_TRIED = 20


class NoAddress(ValueError):
    """What was typed is no address of this machine."""


class PortTaken(RuntimeError):
    """Another program listens where we should."""


def split(listen: str) -> tuple[str, int]:
    """Host and port out of "127.0.0.1:8765". Errors: NoAddress."""
    host, _, port = listen.rpartition(":")
    if not host or not port.isdigit() or not 0 < int(port) < 65536:
        raise NoAddress(f"{listen!r} is no address to listen on; write one like 127.0.0.1:8765")
    return host.strip("[]"), int(port)


def is_loopback(host: str) -> bool:
    """Whether only this machine reaches it. Errors: NoAddress for a name instead of numbers."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        raise NoAddress(f"{host!r} is not written in numbers; write one like 127.0.0.1") from None


def is_free(host: str, port: int) -> bool:
    """Whether we could listen there. Errors: NoAddress."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family) as line:
        line.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            line.bind((host, port))
        except OSError as reason:
            if reason.errno in {13, 48, 98}:  # not allowed, or in use (macOS, Linux)
                return False
            raise NoAddress(f"{host} is no address of this machine; try 127.0.0.1") from None
    return True


def wait_until_free(host: str, port: int, *, within_s: float) -> None:
    """Give the remains of a killed server the time to go."""
    end_s = time.monotonic() + within_s
    while not is_free(host, port) and time.monotonic() < end_s:
        time.sleep(0.2)


def next_free(host: str, port: int) -> int:
    """The first free port from this one on. Errors: PortTaken."""
    for candidate in range(port, min(port + PORTS_TRIED, 65536)):
        if is_free(host, candidate):
            return candidate
    raise PortTaken(
        f"The ports {port} to {port + PORTS_TRIED - 1} are all taken. Choose another: "
        "python3 manage.py start --listen 127.0.0.1:9000"
    )


def wait_for_answer(host: str, port: int, *, within_s: float, expect: Callable[[], None]) -> bool:
    """Wait until the pages are served; `expect` raises if a process has fallen meanwhile."""
    end_s = time.monotonic() + within_s
    while time.monotonic() < end_s:
        expect()
        if answers(host, port):
            return True
        time.sleep(0.1)
    return False


def answers(host: str, port: int) -> bool:
    """Whether an ordinary request to /livez is answered without a server's error."""
    line = http.client.HTTPConnection(_reachable(host), port, timeout=5)
    try:
        line.request("GET", "/livez", headers={"Host": f"127.0.0.1:{port}"})
        return line.getresponse().status < 500
    except (OSError, http.client.HTTPException):
        return False
    finally:
        line.close()


def _reachable(host: str) -> str:
    return {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(host, host)
