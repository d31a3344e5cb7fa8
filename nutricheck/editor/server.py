"""The local program behind the window: one plan, one port of this machine, and an end.

It listens on the loopback address alone, on a free port. The browser is handed a small file that
only this user can read; it holds the one-time token, so that no argument of a process does. The
program ends by Ctrl-C at once, and by itself when nothing was asked of it for half an hour; what
was not saved is kept as a draft.
"""

from __future__ import annotations

import json
import os
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from html import escape
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING, Any

import uvicorn

from nutricheck.editor.app import editor_app
from nutricheck.editor.guard import START, Guard, Secrets
from nutricheck.editor.places import private_folder, state_folder, write_private

if TYPE_CHECKING:
    from nutricheck.editor.session import Session

__all__ = ["IDLE_S", "Running", "in_background", "open_window", "prepared", "serve"]

#: Without a request for so long the program ends. [s]
IDLE_S = 1800.0
_BACKLOG = 32
_LARGEST_PART = 16_384
_CONCURRENT = 64


class _Server(uvicorn.Server):
    """uvicorn's, which also ends after a time without a request."""

    def __init__(self, config: uvicorn.Config, last_asked: Callable[[], float], idle_s: float):
        super().__init__(config)
        self._last_asked, self._idle_s = last_asked, idle_s

    async def on_tick(self, counter: int) -> bool:
        """Ten times a second: whether to end."""
        if time.monotonic() - self._last_asked() > self._idle_s:
            return True
        return await super().on_tick(counter)


class Running:
    """A server that can be started: its address, its tokens and the plan behind it."""

    def __init__(
        self,
        session: Session,
        *,
        port: int = 0,
        keys: Secrets | None = None,
        idle_s: float = IDLE_S,
    ) -> None:
        self.session = session
        self.keys = keys or Secrets()
        self._socket = _listening(port)
        self.port: int = self._socket.getsockname()[1]
        self._asked = time.monotonic()
        self.has_ended = False
        guard = Guard(editor_app(session, self.keys, self.port), self.keys, self.port)

        async def noting(scope: Any, receive: Any, send: Any) -> None:
            self._asked = time.monotonic()
            await guard(scope, receive, send)

        config = uvicorn.Config(
            noting,
            loop="asyncio",
            http="h11",
            ws="none",
            lifespan="off",
            log_config=None,
            access_log=False,
            server_header=False,
            proxy_headers=False,
            backlog=_BACKLOG,
            limit_concurrency=_CONCURRENT,
            h11_max_incomplete_event_size=_LARGEST_PART,
            timeout_keep_alive=5,
            timeout_graceful_shutdown=1,
        )
        self._server = _Server(config, lambda: self._asked, idle_s)

    @property
    def address(self) -> str:
        """The clean address."""
        return f"http://127.0.0.1:{self.port}"

    @property
    def start_address(self) -> str:
        """The address with the token that opens the window once."""
        return f"{self.address}{START}?token={self.keys.start}"

    def run(self) -> None:
        """Answer until it is told to end."""
        try:
            self._server.run(sockets=[self._socket])
        finally:
            self.has_ended = True
            self._socket.close()

    def end(self) -> None:
        """Tell it to end."""
        self._server.should_exit = True

    @property
    def is_up(self) -> bool:
        """Whether it answers."""
        return self._server.started and not self._server.should_exit


def _listening(port: int) -> socket.socket:
    """A socket of the loopback address: the wished port where it is free, else any."""
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name == "posix":  # elsewhere this lets another program take the port as well
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind(("127.0.0.1", port))
    except OSError:
        listener.bind(("127.0.0.1", 0))
    listener.listen(_BACKLOG)
    return listener


def prepared(session: Session) -> Running:
    """The server of a plan: after a crash on its old port, with its tokens, so that a window that
    is still open picks up again. Where another program has the plan open, both are told.
    """
    path = _run_file(session)
    port, keys = 0, Secrets()
    try:
        held = json.loads(path.read_text(encoding="utf-8"))
        port = int(held["port"])
        session.is_open_elsewhere = _is_listening(port)
        if not session.is_open_elsewhere:
            keys = Secrets(cookie=str(held["cookie"]), change=str(held["change"]))
    except (OSError, ValueError, KeyError, TypeError):
        port = 0
    running = Running(session, port=0 if session.is_open_elsewhere else port, keys=keys)
    if not session.is_open_elsewhere:
        held = {"port": running.port, "cookie": keys.cookie, "change": keys.change}
        write_private(path, json.dumps(held))
    return running


def _run_file(session: Session) -> Path:
    name = session.draft.path.stem if session.draft else "new"
    return private_folder(state_folder() / "open") / f"{name}.json"


def _is_listening(port: int) -> bool:
    """Whether a program answers on that port of this machine."""
    try:
        with socket.create_connection(("127.0.0.1", port), timeout=1):
            return True
    except OSError:
        return False


def serve(running: Running, *, is_shown: bool, say: Callable[[str], object]) -> None:
    """Open the window, or print its address, and answer until the end."""
    door: Path | None = None
    if running.session.is_open_elsewhere:
        say(
            "This plan is already open in another window. Work in only one of them. The program "
            "asks you before it saves over what the other window wrote.\n"
        )
    if is_shown:
        door = _door(running)
        is_shown = open_window(door)
    if is_shown:
        say(
            "The plan opens in your browser. To end, press Ctrl-C. What you have not saved is "
            "kept as a draft.\n"
        )
    else:
        say(f"Open this address; it works once: {running.start_address}\nCtrl-C ends.\n")
    try:
        running.run()
    except KeyboardInterrupt:
        pass
    finally:
        if door is not None:
            door.unlink(missing_ok=True)
        running.session.close()
        if not running.session.is_open_elsewhere:
            _run_file(running.session).unlink(missing_ok=True)
    say("Ended.\n")


def open_window(door: Path) -> bool:
    """Show the file in the user's browser; whether there is one."""
    import webbrowser

    try:
        return webbrowser.open(door.as_uri())
    except (webbrowser.Error, OSError):
        return False


def _door(running: Running) -> Path:
    """A page for this user's eyes alone that leads to the address with the token."""
    to = escape(running.start_address, quote=True)
    page = (
        '<!doctype html><html lang="en"><meta charset="utf-8"><title>Opening the plan</title>'
        '<meta name="referrer" content="no-referrer">'
        f'<meta http-equiv="refresh" content="0;url={to}">'
        f'<p><a href="{to}">Open the plan</a></p></html>\n'
    )
    path = private_folder(state_folder() / "open") / f"{running.port}.html"
    write_private(path, page)
    return path


@contextmanager
def in_background(running: Running) -> Iterator[Running]:
    """The server in a thread, for pictures and tests; it ends with the block."""
    thread = Thread(target=running.run, daemon=True)
    thread.start()
    until = time.monotonic() + 20
    while not running.is_up and time.monotonic() < until:
        time.sleep(0.005)
    try:
        yield running
    finally:
        running.end()
        thread.join(10)
