"""The addresses of the window: a screen for each step, changes, the answer, saving.

Each screen is written by the server as it stands; a change is sent as places and values and comes
back as the same screen anew, of which the page takes what is different. No address names a file:
what is read or written is the opened plan and its draft alone.
"""

from __future__ import annotations

import functools
import json
import logging
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import (
    HTMLResponse,
    JSONResponse,
    PlainTextResponse,
    RedirectResponse,
    Response,
)
from starlette.routing import Route

from nutricheck.editor import cards, taking
from nutricheck.editor.files import ChangedElsewhere, SavedAsCopy, plan_file_bytes, read_upload
from nutricheck.editor.form import STEPS, Step
from nutricheck.editor.guard import START, Secrets, TooLarge
from nutricheck.editor.session import Session, Stale
from nutricheck.editor.view import answer_part, state_of, step_part
from nutricheck.errors import Change, Location, NutricheckError
from nutricheck.plan.to_share import shareable
from nutricheck.plan.write import example
from nutricheck.symbols import with_symbols

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["editor_app"]

_LOG = logging.getLogger("nutricheck.editor")
_OWN = Path(__file__).parent / "templates"
_REPORTS = Path(__file__).parents[1] / "report" / "templates"
_STYLES = (_REPORTS / "summary.css", _REPORTS / "answer.css", _OWN / "editor.css")
_MOST_CHANGES = 400
_LONGEST_QUERY = 200
_DEEPEST = 8


def _rendered(name: str, **values: Any) -> str:
    from nutricheck.report.page import templates_of

    return templates_of(_OWN, _REPORTS).get_template(name).render(**values)


class _Screens:
    """Answers requests for one session."""

    def __init__(self, session: Session, keys: Secrets, port: int) -> None:
        self.session, self.keys, self.port = session, keys, port

    # ------------------------------------------------------------ the door

    def start(self, request: Request) -> Response:
        """The one-time token is spent; the clean address follows with the cookie."""
        if not self.keys.spend(request.query_params.get("token", "")):
            return PlainTextResponse(
                "This address works only once, and it was used already. Start nutricheck open "
                "again.",
                403,
            )
        # A redirect of a request that began in a file would lose a strict cookie: the page
        # itself leads on.
        page = HTMLResponse(_rendered("door.html"))
        page.set_cookie(
            f"nutricheck-{self.port}", self.keys.cookie, httponly=True, samesite="strict", path="/"
        )
        return page

    # ------------------------------------------------------------ screens

    def first(self, request: Request) -> Response:
        """An empty plan begins with where it comes from."""
        if self.session.data:
            return RedirectResponse("/want", 303)
        return self._page("begin", self._begin())

    def begin(self, request: Request) -> Response:
        """Where a plan may come from."""
        return self._page("begin", self._begin())

    def _begin(self) -> str:
        draft = self.session.offered_draft()
        return _rendered("begin.html", draft=draft, has_plan=bool(self.session.data))

    def step(self, request: Request, step: Step) -> Response:
        """One step's form, and the answer."""
        return self._page(
            step.name, self._main(step, _opened(request.query_params.get("open", "")))
        )

    def _page(self, name: str, main: str) -> Response:
        with self.session.lock:
            return HTMLResponse(
                _rendered(
                    "editor.html",
                    state=state_of(self.session),
                    here=name,
                    main=_safe(main),
                    answer=_safe(self._answer()),
                    token=self.keys.change,
                    is_open_elsewhere=self.session.is_open_elsewhere,
                    draft=self.session.offered_draft() if name != "begin" else None,
                )
            )

    def _main(self, step: Step, is_open: Location) -> str:
        with self.session.lock:
            return _rendered(
                "step.html",
                step=step_part(self.session, step, is_open),
                card=cards.batch_card(self.session, is_open),
                spoon=is_open[1] if is_open[:1] == ("packed",) else None,
                packable=cards.not_packed(self.session) if step.name == "bags" else [],
                uneaten=cards.not_eaten(self.session) if step.name == "eat" else [],
            )

    def _answer(self) -> str:
        return _rendered("answer_part.html", part=answer_part(self.session))

    # ------------------------------------------------------------ changes

    def screen(
        self, step_name: str, is_open: str, message: str = "", status: int = 200
    ) -> Response:
        """The screen as it is now, for the page to take over."""
        session = self.session
        step = next((step for step in STEPS if step.name == step_name), None)
        with session.lock:
            state = state_of(session)
            return JSONResponse(
                {
                    "revision": session.revision,
                    "message": message,
                    "effect": with_symbols(session.effect),
                    "title": state["title"],
                    "head": _rendered("head.html", state=state, here=step_name),
                    "rail": _rendered("rail.html", state=state, here=step_name),
                    "main": self._main(step, _opened(is_open)) if step else "",
                    "answer": self._answer(),
                },
                status,
            )

    def change(self, asked: dict[str, Any]) -> Response:
        """Make changes; a page that shows an older plan is told so."""
        where = (str(asked.get("step", "")), str(asked.get("open", "")))
        try:
            changes = _changes(asked.get("changes"))
            self.session.change(changes, _whole(asked.get("revision")))
        except Stale as error:
            return self.screen(*where, f"{_sentence(error)} This is the plan as it is now.", 409)
        except NutricheckError as error:
            return self.screen(*where, _sentence(error), 422)
        self.session.keep_draft()
        return self.screen(*where)

    def back(self, asked: dict[str, Any]) -> Response:
        """Undo, or redo."""
        if asked.get("do") == "redo":
            self.session.redo()
        else:
            self.session.undo()
        self.session.keep_draft()
        return self.screen(str(asked.get("step", "")), str(asked.get("open", "")))

    def take(self, asked: dict[str, Any]) -> Response:
        """Take a proposal, by its number in the list that was shown."""
        where = (str(asked.get("step", "")), str(asked.get("open", "")))
        try:
            changes = taking.changes_of(self.session, _whole(asked.get("number")) or 0)
            self.session.change(changes, _whole(asked.get("revision")))
        except Stale as error:
            return self.screen(*where, _sentence(error), 409)
        except NutricheckError as error:
            return self.screen(*where, _sentence(error), 422)
        self.session.keep_draft()
        return self.screen(*where)

    def plan(self, asked: dict[str, Any]) -> Response:
        """Begin from nothing, the sample or the draft; or forget the draft."""
        kind = asked.get("from")
        if kind == "sample":
            self.session.replace(example())
        elif kind == "nothing":
            self.session.replace({"trip": {"title": "My trip"}})
        elif kind == "draft":
            self.session.take_draft()
        elif kind == "no draft":
            self.session.drop_draft()
        return self.screen(str(asked.get("step", "want")), "")

    # ------------------------------------------------------------ look-ups

    def foods(self, request: Request) -> Response:
        """Foods that fit the words, while they are typed."""
        text = request.query_params.get("q", "")[:_LONGEST_QUERY]
        return HTMLResponse(_rendered("foods.html", found=cards.found_foods(self.session, text)))

    def compare(self, request: Request) -> Response:
        """Raw, or cooked first: both at once."""
        number = _whole(request.query_params.get("batch", "")) or 0
        return HTMLResponse(
            _rendered("compare.html", both=cards.raw_or_cooked(self.session, number))
        )

    def actions(self, request: Request) -> Response:
        """What to do, each to be taken by a press."""
        return HTMLResponse(_rendered("actions.html", actions=taking.offered(self.session)))

    def alive(self, request: Request) -> Response:
        """That the program is there, and which plan it holds."""
        return JSONResponse({"revision": self.session.revision})

    # ------------------------------------------------------------ files

    def save(self, asked: dict[str, Any]) -> Response:
        """Write the opened file; without one, or where it may not be, hand the plan out."""
        where = (str(asked.get("step", "")), str(asked.get("open", "")))
        try:
            message = self.session.save(is_over=asked.get("over") is True)
        except ChangedElsewhere as error:
            return self.screen(*where, _sentence(error), 412)
        except SavedAsCopy as error:
            return self.screen(*where, _sentence(error), 415)
        except (NutricheckError, OSError) as error:
            return self.screen(*where, _sentence(error), 422)
        return self.screen(*where, message, 200 if message else 415)

    def reread(self, asked: dict[str, Any]) -> Response:
        """Take what the file holds now."""
        where = (str(asked.get("step", "")), str(asked.get("open", "")))
        try:
            self.session.reread()
        except (NutricheckError, OSError) as error:
            return self.screen(*where, _sentence(error), 422)
        return self.screen(
            *where, "This is what the file holds now. Undo brings your version back."
        )

    def load(self, name: str, content: bytes) -> Response:
        """Take a plan that was sent in."""
        try:
            self.session.replace(read_upload(name, content))
        except (NutricheckError, OSError) as error:
            return JSONResponse({"message": str(error)}, 422)
        self.session.keep_draft()
        return self.screen("want", "")

    def download(self, request: Request, *, is_to_share: bool = False) -> Response:
        """The plan, the page or the workbook as a file, or a copy of it to share."""
        name = request.path_params["name"]
        download = _DOWNLOADS.get(name)
        if download is None:
            return PlainTextResponse("There is no such file.", 404)
        kind, make = download
        try:
            content = make(self.session, is_to_share)
        except NutricheckError as error:
            return PlainTextResponse(str(error), 422)
        return Response(
            content,
            media_type=kind,
            headers={"content-disposition": f'attachment; filename="{name}"'},
        )


def _plan_file(session: Session, is_to_share: bool, *, ending: str) -> bytes:
    if is_to_share:  # the comments in the text may name anybody
        return plan_file_bytes(shareable(session.data), ending)
    return plan_file_bytes(session.data, ending, session.text())


def _answered(session: Session, is_to_share: bool) -> Result:
    from nutricheck.sharing import result_to_share

    if session.result is None:
        raise NutricheckError("There is no answer yet: the plan still lacks something.")
    return result_to_share(session.result) if is_to_share else session.result


def _page_file(session: Session, is_to_share: bool) -> bytes:
    from nutricheck.report.page import page_html

    return page_html(_answered(session, is_to_share)).encode()


def _report_workbook(session: Session, is_to_share: bool) -> bytes:
    import tempfile

    from nutricheck.report.workbook import write_workbook

    result = _answered(session, is_to_share)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "report.xlsx"
        write_workbook(result, path)
        return path.read_bytes()


_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_DOWNLOADS: dict[str, tuple[str, Callable[[Session, bool], bytes]]] = {
    "plan.toml": ("application/toml", functools.partial(_plan_file, ending=".toml")),
    "plan.xlsx": (_XLSX, functools.partial(_plan_file, ending=".xlsx")),
    "page.html": ("text/html", _page_file),
    "report.xlsx": (_XLSX, _report_workbook),
}


# ---------------------------------------------------------------- requests


async def _guarded(answer: Callable[[Any], Response], asked: Any) -> Response:
    """The answer; what fails inside is said in one line here and there, and the plan stays."""
    try:
        return await run_in_threadpool(answer, asked)
    except Exception as error:
        _LOG.error("%s: %s", type(error).__name__, error)
        _LOG.debug("where it failed", exc_info=error)
        return JSONResponse(
            {"message": "The program made a mistake. Your plan is as it was before."}, 500
        )


def _safe(text: str) -> Any:
    """Text of our own templates, as it is."""
    import markupsafe

    return markupsafe.Markup(text)


def _sentence(error: Exception) -> str:
    text = str(error)
    return f"{text[:1].upper()}{text[1:]}." if text and text[-1] not in ".?!" else text


def _whole(value: object) -> int | None:
    if isinstance(value, bool):
        return None
    if isinstance(value, int):
        return value
    return int(value) if isinstance(value, str) and value.isdecimal() and len(value) < 10 else None


def _opened(text: str) -> Location:
    """The entry that is open: ``batch.3``."""
    section, _, number = text.partition(".")
    return (section, int(number)) if number.isdecimal() and len(number) < 5 else ()


def _changes(asked: object) -> list[Change]:
    """The changes of a request. Raises NutricheckError where it holds none."""
    if not isinstance(asked, list) or not 0 < len(asked) <= _MOST_CHANGES:
        raise NutricheckError("a change names a place in the plan and what comes there")
    changes: list[Change] = []
    for one in asked:
        if not (isinstance(one, list) and len(one) == 2 and isinstance(one[0], list)):
            raise NutricheckError("a change names a place in the plan and what comes there")
        if not all(isinstance(step, str | int) and not isinstance(step, bool) for step in one[0]):
            raise NutricheckError("a place in a plan is made of names and numbers")
        if not _is_shallow(one[1]):
            raise NutricheckError("nothing in a plan is nested so deeply")
        changes.append((tuple(one[0]), one[1]))
    return changes


def _is_shallow(value: object, levels: int = _DEEPEST) -> bool:
    """Whether the value is nested no deeper than a plan is."""
    if not isinstance(value, dict | list):
        return True
    parts = value.values() if isinstance(value, dict) else value
    return levels > 0 and all(_is_shallow(part, levels - 1) for part in parts)


def editor_app(session: Session, keys: Secrets, port: int) -> Starlette:
    """The window's addresses, for :class:`~nutricheck.editor.guard.Guard` to stand before."""
    screens = _Screens(session, keys, port)

    def shown(answer: Callable[[Request], Response]) -> Callable[[Request], Any]:
        async def endpoint(request: Request) -> Response:
            return await _guarded(answer, request)

        return endpoint

    def asked(answer: Callable[[dict[str, Any]], Response]) -> Callable[[Request], Any]:
        async def endpoint(request: Request) -> Response:
            try:
                body = json.loads(await request.body())
            except TooLarge:
                return PlainTextResponse("That is too much at once.", 413)
            except (ValueError, RecursionError):
                return PlainTextResponse("that is not JSON", 400)
            if not isinstance(body, dict):
                return PlainTextResponse("that is not a change", 400)
            return await _guarded(answer, body)

        return endpoint

    async def load(request: Request) -> Response:
        try:
            content = await request.body()
        except TooLarge:
            return PlainTextResponse("That file is too large for a plan.", 413)
        name = request.headers.get("x-plan-name", "plan")[:80]
        return await _guarded(functools.partial(screens.load, name), content)

    @functools.cache
    def style() -> str:
        return "\n".join(path.read_text(encoding="utf-8") for path in _STYLES)

    def style_file(request: Request) -> Response:
        return Response(style(), media_type="text/css")

    def script_file(request: Request) -> Response:
        return Response(
            (_OWN / "editor.js").read_text(encoding="utf-8"), media_type="text/javascript"
        )

    steps = [
        Route(f"/{step.name}", shown(functools.partial(screens.step, step=step))) for step in STEPS
    ]
    return Starlette(
        routes=[
            Route(START, shown(screens.start)),
            Route("/", shown(screens.first)),
            Route("/begin", shown(screens.begin)),
            *steps,
            Route("/style.css", shown(style_file)),
            Route("/script.js", shown(script_file)),
            Route("/foods", shown(screens.foods)),
            Route("/compare", shown(screens.compare)),
            Route("/actions", shown(screens.actions)),
            Route("/alive", shown(screens.alive)),
            Route("/download/{name}", shown(screens.download)),
            Route(
                "/download/to-share/{name}",
                shown(functools.partial(screens.download, is_to_share=True)),
            ),
            Route("/change", asked(screens.change), methods=["POST"]),
            Route("/back", asked(screens.back), methods=["POST"]),
            Route("/take", asked(screens.take), methods=["POST"]),
            Route("/plan", asked(screens.plan), methods=["POST"]),
            Route("/save", asked(screens.save), methods=["POST"]),
            Route("/reread", asked(screens.reread), methods=["POST"]),
            Route("/load", load, methods=["POST"]),
        ]
    )
