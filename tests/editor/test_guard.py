"""The attacks tried: DNS rebinding, other origins and ports, framing, reused and missing tokens,
escape from the plan's own file, bodies that are too large; each is refused and changes nothing."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from types import SimpleNamespace

import pytest

from nutricheck.editor import server
from nutricheck.editor.guard import LARGEST_BODY, Secrets
from nutricheck.editor.server import IDLE_S, Running, in_background
from nutricheck.editor.session import Session
from tests.editor.opened import ask, opened, own_headers

PLAN = {"trip": {"title": "a plan of ours"}}
CHANGE = {"step": "want", "open": "", "changes": [[["trip", "title"], "taken over"]]}


@pytest.fixture(scope="module")
def running(tmp_path_factory):
    folder = tmp_path_factory.mktemp("state")
    os.environ["NUTRICHECK_STATE"] = str(folder)
    with opened(Session(PLAN, draws=0)) as found:
        yield found
    del os.environ["NUTRICHECK_STATE"]


@pytest.fixture(autouse=True)
def unchanged(running):
    yield
    assert running.session.data == PLAN


def refused(running, path="/want", method="GET", body=None, **headers):
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    status, _, content = ask(running, method, path, body, named)
    assert b"a plan of ours" not in content
    return status


def test_it_listens_on_the_loopback_address_alone(running):
    assert running._socket.getsockname()[0] == "127.0.0.1"


def test_our_own_window_is_let_in(running):
    status, _, content = ask(running, "GET", "/want", headers=own_headers(running, is_change=False))
    assert status == 200
    assert b"a plan of ours" in content


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "localhost",
        "127.0.0.1",
        "127.0.0.1:1",
        "127.0.0.1.evil.example",
        "[::1]",
        "",
    ],
)
def test_a_name_that_was_pointed_here_is_refused(running, host):
    """DNS rebinding: the browser takes this machine for a page's own host."""
    assert refused(running, **own_headers(running, is_change=False) | {"host": host}) == 421


def test_two_hosts_are_refused(running):
    import socket

    with socket.create_connection(("127.0.0.1", running.port), timeout=60) as connection:
        connection.sendall(
            f"GET /want HTTP/1.1\r\nHost: 127.0.0.1:{running.port}\r\nHost: evil.example\r\n"
            f"Cookie: nutricheck-{running.port}={running.keys.cookie}\r\n\r\n".encode()
        )
        assert connection.recv(2000).split()[1] in (b"400", b"421")


@pytest.mark.parametrize(
    "path", ["/want", "/who", "/foods?q=kale", "/download/plan.toml", "/alive"]
)
def test_nothing_is_told_without_the_cookie(running, path):
    assert refused(running, path) == 403
    assert refused(running, path, cookie=f"nutricheck-{running.port}=guess") == 403
    assert refused(running, path, cookie=f"nutricheck-1={running.keys.cookie}") == 403


ORIGINS = ["null", "http://evil.example", "http://127.0.0.1:1", "http://localhost", "file://", ""]


@pytest.mark.parametrize("origin", ORIGINS)
def test_a_post_of_another_origin_is_refused(running, origin):
    """Cross-site posts, those of other local ports among them, even with the cookie and token."""
    headers = own_headers(running) | {"origin": origin}
    status, _, _ = ask(running, "POST", "/change", json.dumps(CHANGE), headers)
    assert status == 403


@pytest.mark.parametrize(
    "path", ["/change", "/back", "/save", "/plan", "/take", "/load", "/reread"]
)
@pytest.mark.parametrize("missing", ["origin", "cookie", "x-plan-token"])
def test_a_change_lacks_nothing(running, path, missing):
    headers = own_headers(running)
    del headers[missing]
    assert ask(running, "POST", path, json.dumps(CHANGE), headers)[0] == 403


def test_the_token_of_a_change_is_another_than_the_cookie(running):
    headers = own_headers(running) | {"x-plan-token": running.keys.cookie}
    assert ask(running, "POST", "/change", json.dumps(CHANGE), headers)[0] == 403


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_a_request_that_another_site_began_is_refused(running, site):
    headers = own_headers(running, is_change=False) | {"sec-fetch-site": site}
    assert ask(running, "GET", "/want", headers=headers)[0] == 403


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "PATCH", "TRACE"])
def test_other_methods_are_refused(running, method):
    assert ask(running, method, "/change", headers=own_headers(running))[0] in (400, 405)


@pytest.mark.parametrize(
    "path", ["/want", "/start?token=x", "/nowhere", "/style.css", "/script.js"]
)
def test_every_answer_forbids_framing_loading_and_referring(running, path):
    _, headers, _ = ask(running, "GET", path, headers=own_headers(running, is_change=False))
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert headers["x-frame-options"] == "DENY"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["cache-control"] == "no-store"
    assert "access-control-allow-origin" not in headers


def test_pages_hold_no_script_and_no_style_of_their_own(running):
    _, _, content = ask(running, "GET", "/want", headers=own_headers(running, is_change=False))
    text = content.decode()
    assert text.count("<script") == text.count('<script src="/script.js"') == 1
    assert "<style" not in text
    assert " style=" not in text
    assert " onclick" not in text


# ---------------------------------------------------------------- tokens


def test_the_first_token_opens_once_and_the_address_is_clean_then():
    with opened(Session({}, draws=0)) as running:
        path = running.start_address.removeprefix(running.address)
        assert ask(running, "GET", "/start?token=wrong")[0] == 403
        status, headers, content = ask(running, "GET", path)
        assert status == 200
        cookie = headers["set-cookie"].lower()
        assert cookie.startswith(f"nutricheck-{running.port}=")
        assert "httponly" in cookie
        assert "samesite=strict" in cookie
        assert b'content="0;url=/"' in content
        assert running.keys.cookie.encode() not in content
        for again in (path, "/start?token=", "/start"):
            assert ask(running, "GET", again)[0] == 403


def test_an_empty_token_never_opens():
    keys = Secrets()
    assert keys.spend(keys.start)
    assert not keys.spend("")


def test_tokens_are_long_and_all_different():
    keys, others = Secrets(), Secrets()
    tokens = {keys.start, keys.cookie, keys.change, others.start, others.cookie, others.change}
    assert len(tokens) == 6
    assert all(len(token) >= 40 for token in tokens)


# ---------------------------------------------------------------- sizes


def test_bodies_are_bounded_by_their_length_and_by_their_count(running):
    big = b"x" * (LARGEST_BODY + 1)
    headers = own_headers(running)
    assert ask(running, "POST", "/change", big, headers)[0] == 413
    assert ask(running, "POST", "/change", b"{}", headers | {"content-length": "9" * 30})[0] >= 400
    chunk = b"%x\r\n" % len(big) + big + b"\r\n0\r\n\r\n"
    status = ask(running, "POST", "/change", chunk, headers | {"transfer-encoding": "chunked"})[0]
    assert status == 413


def test_addresses_and_heads_are_bounded(running):
    headers = own_headers(running, is_change=False)
    assert ask(running, "GET", "/foods?q=" + "a" * 3000, headers=headers)[0] == 414
    assert ask(running, "GET", "/want", headers=headers | {"x-much": "a" * 40_000})[0] in (400, 431)


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"[]",
        b"{",
        b'"x"',
        b"\xff\xfe",
        b"[" * 100_000,
        b'{"changes": 1}',
        b'{"changes": []}',
        b'{"changes": [[["person", "__class__"], "x"]]}',
        b'{"changes": [[["nowhere"], "x"]]}',
        b'{"changes": [[["batch", -1, "name"], "x"]]}',
        b'{"changes": [[["batch", 1000000, "name"], "x"]]}',
        b'{"changes": [[["batch", true, "name"], "x"]]}',
        b'{"changes": [[["trip", "title", "x"], "y"]]}',
        b'{"changes": [[[], {}]]}',
        b'{"changes": [[["trip", "title"], ' + b"[" * 900 + b"]" * 900 + b"]]}",
    ],
)
def test_what_is_no_change_is_said_and_changes_nothing(running, body):
    status, _, answer = ask(running, "POST", "/change", body, own_headers(running))
    assert status in (400, 422, 500)
    assert b"Traceback" not in answer


# ---------------------------------------------------------------- files


@pytest.mark.parametrize(
    "path",
    [
        "/../../etc/passwd",
        "/download/../../../etc/passwd",
        "/download/..%2f..%2fetc%2fpasswd",
        "/download/plan.toml%00.html",
        "/style.css/../../guard.py",
        "//etc/passwd",
        "/download/",
        "/templates/editor.html",
    ],
)
def test_no_address_leads_to_another_file(running, path):
    status, _, content = ask(running, "GET", path, headers=own_headers(running, is_change=False))
    assert status == 404
    assert b"root:" not in content


def test_only_the_opened_plan_and_its_draft_are_written(tmp_path, monkeypatch):
    monkeypatch.setenv("NUTRICHECK_STATE", str(tmp_path / "state"))
    plan = tmp_path / "plan.toml"
    plan.write_text('[trip]\ntitle = "mine"\n')
    with opened(Session.opened(plan, draws=0)) as running:
        asked = {**CHANGE, "path": "/tmp/other.toml", "file": "../other.toml"}
        ask(running, "POST", "/change", json.dumps(asked), own_headers(running))
        ask(running, "POST", "/save", json.dumps(asked), own_headers(running))
    written = {path for path in tmp_path.rglob("*") if path.is_file()}
    assert written == {plan}
    assert "taken over" in plan.read_text()


@pytest.mark.skipif(os.name != "posix", reason="who may read a file is said otherwise here")
def test_the_file_with_the_token_and_drafts_are_for_this_user_alone(tmp_path, monkeypatch):

    monkeypatch.setenv("NUTRICHECK_STATE", str(tmp_path / "state"))
    seen = []
    monkeypatch.setattr(
        server, "open_window", lambda door: seen.append((door, door.stat().st_mode & 0o777)) or True
    )
    session = Session.opened(None, draws=0)
    running = Running(session)
    said = []
    running.end()
    monkeypatch.setattr(running, "run", lambda: session.change([(("trip", "title"), "x")]))
    running._socket.close()
    server.serve(running, is_shown=True, say=said.append)
    door, mode = seen[0]
    assert mode == 0o600
    assert not door.exists()
    assert not any(running.keys.start in text for text in said)
    kept = [path for path in (tmp_path / "state").rglob("*") if path.is_file()]
    assert [path.stat().st_mode & 0o777 for path in kept] == [0o600]
    assert all(path.parent.stat().st_mode & 0o077 == 0 for path in kept)
    server.serve(running, is_shown=False, say=said.append)
    assert any(running.keys.start in text for text in said)


# ---------------------------------------------------------------- the end


def test_it_ends_by_itself_when_nothing_is_asked(monkeypatch):
    clock = SimpleNamespace(now=0.0, monotonic=lambda: clock.now, sleep=time.sleep)
    monkeypatch.setattr(server, "time", clock)
    with in_background(Running(Session({}, draws=0), idle_s=10)) as running:
        clock.now = 6
        ask(running, "GET", "/want")
        clock.now = 12
        time.sleep(0.3)
        assert not running.has_ended, "a request puts the end off"
        clock.now = 17
        until = time.monotonic() + 60
        while not running.has_ended and time.monotonic() < until:
            time.sleep(0.05)
        assert running.has_ended
    assert IDLE_S == 30 * 60


@pytest.mark.skipif(os.name != "posix", reason="Ctrl-C is sent otherwise here")
def test_ctrl_c_ends_at_once_without_a_traceback(tmp_path):
    environment = os.environ | {"NUTRICHECK_STATE": str(tmp_path)}
    command = [sys.executable, "-m", "nutricheck", "open", "--no-browser", "--draws", "0"]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=environment)
    assert process.stderr is not None
    assert "/start?token=" in process.stderr.readline()
    process.stderr.readline()
    time.sleep(0.3)
    process.send_signal(signal.SIGINT)
    rest = process.communicate(timeout=60)[1]
    assert "Traceback" not in rest
