"""A running editor for tests, and requests to it as an attacker or its own window sends them."""

from __future__ import annotations

import http.client
import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from nutricheck.editor.server import Running, in_background
from nutricheck.editor.session import Session


@contextmanager
def opened(session: Session, **options: Any) -> Iterator[Running]:
    with in_background(Running(session, **options)) as running:
        yield running


def ask(
    running: Running,
    method: str,
    path: str,
    body: bytes | str | None = None,
    headers: dict[str, str] | None = None,
) -> tuple[int, dict[str, str], bytes]:
    """One request, with these headers alone beside Host and length."""
    connection = http.client.HTTPConnection("127.0.0.1", running.port, timeout=60)
    sent = {"host": f"127.0.0.1:{running.port}", **(headers or {})}
    try:
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in sent.items():
            connection.putheader(name, value)
        content = body.encode() if isinstance(body, str) else body
        if content is not None and "content-length" not in sent and "transfer-encoding" not in sent:
            connection.putheader("content-length", str(len(content)))
        connection.endheaders()
        try:
            if content is not None:
                connection.send(content)
        except (BrokenPipeError, ConnectionResetError):
            pass  # refused before all was sent
        answer = connection.getresponse()
        found = {name.lower(): value for name, value in answer.getheaders()}
        return answer.status, found, answer.read()
    finally:
        connection.close()


def own_headers(running: Running, *, is_change: bool = True) -> dict[str, str]:
    """What the window opened by us sends."""
    headers = {"cookie": f"nutricheck-{running.port}={running.keys.cookie}"}
    if is_change:
        headers |= {
            "origin": running.address,
            "content-type": "application/json",
            "x-plan-token": running.keys.change,
        }
    return headers


def change(running: Running, *changes: tuple[list[str | int], Any], **more: Any) -> dict[str, Any]:
    """Make changes as the window does; what comes back."""
    asked = {
        "revision": running.session.revision,
        "step": "dried",
        "open": "",
        "changes": [list(edit) for edit in changes],
        **more,
    }
    status, _, body = ask(running, "POST", "/change", json.dumps(asked), own_headers(running))
    return {"status": status, **json.loads(body)}
