"""The first pages: jobs in hand, new jobs by hand or from a file, the entrance, our own files."""

import asyncio
import json
from collections.abc import Callable
from urllib.parse import parse_qs

from fastapi import APIRouter
from starlette.requests import Request as HttpRequest
from starlette.responses import Response

from api.keys import Keys
from api.page import entrance
from api.page.draft import Draft, draft_by_hand, draft_of_text
from api.page.form import (
    BONDS,
    HOLES,
    MEETS,
    OPENINGS,
    SIDES,
    TURNS,
    Form,
    form_again,
    form_of,
    letters,
    new_form,
    read_fields,
)
from api.page.jobs import Jobs
from api.page.render import moved_to, own_file, page
from api.page.site import body_of, shown
from api.problems import Refused
from api.run import tenant_of

_Drafter = Callable[[Form, bool], Draft]
_EMPTY = Draft({"": []})
_CHOICES = {
    "bonds": {name: words for name, (words, _) in BONDS.items()},
    "turns": TURNS,
    "meets": MEETS,
    "openings": OPENINGS,
    "holes": HOLES,
    "sides": SIDES,
    "letters": letters,
}


def routes(jobs: Jobs, keys: Keys | None, most_bytes: int) -> APIRouter:
    """Return the routes of the first pages."""
    router = APIRouter(include_in_schema=False)

    @router.get("/")
    @shown
    async def front(http: HttpRequest) -> Response:
        found = await asyncio.to_thread(jobs.store.all, tenant_of(http))
        return page("front", jobs=found, keys=keys is not None)

    @router.get("/page/{name}")
    async def file(name: str) -> Response:
        return own_file(name)

    _add_new(router, jobs, ("/new/hand", "hand", draft_by_hand), most_bytes)
    _add_new(router, jobs, ("/new/list", "list", draft_of_text), most_bytes)
    if keys is not None:
        _add_entrance(router, keys)
    return router


def _add_new(
    router: APIRouter, jobs: Jobs, kind: tuple[str, str, _Drafter], most_bytes: int
) -> None:
    path, name, drafter = kind

    async def sent_form(http: HttpRequest) -> tuple[Form, str]:
        try:
            fields = read_fields(await body_of(http, most_bytes))
        except ValueError:
            raise Refused("wrong-type", "The form is not readable.") from None
        return form_of(fields), fields.get("do", "")

    @router.get(path)
    @shown
    async def open_form(http: HttpRequest) -> Response:
        form = new_form()
        if (job := http.query_params.get("from")) is not None:
            row = await jobs.find(job, tenant_of(http))
            form = form_again(json.loads(row.form)) if row.form else form
        return page(name, form=form, draft=_EMPTY, **_CHOICES)

    @router.post(path)
    @shown
    async def take_form(http: HttpRequest) -> Response:
        form, button = await sent_form(http)
        tenant = tenant_of(http)
        draft = await jobs.hands.do(tenant, drafter, form, button != "plan")
        if button == "plan" and draft.is_good:
            return moved_to(f"/jobs/{await jobs.begin(tenant, draft, form)}")
        if button.startswith(("add", "drop")):
            draft = draft if draft.is_good else _EMPTY
        return page(name, form=form, draft=draft, **_CHOICES)

    @router.post(f"{path}/draft")
    async def draw(http: HttpRequest) -> Response:
        form, _ = await sent_form(http)
        draft = await jobs.hands.do(tenant_of(http), drafter, form, True)
        return page("draft", draft=draft)


def _add_entrance(router: APIRouter, keys: Keys) -> None:
    @router.get("/enter")
    async def enter(http: HttpRequest) -> Response:
        return page("enter", next=http.query_params.get("next", "/"), wrong=False)

    @router.post("/enter")
    @shown
    async def come_in(http: HttpRequest) -> Response:
        fields = parse_qs((await body_of(http, 4_000)).decode("utf-8", "replace"))
        text = fields.get("key", [""])[0].strip()
        where = fields.get("next", ["/"])[0]
        if await asyncio.to_thread(keys.who, text) is None:
            return page("enter", 401, next=where, wrong=True)
        return moved_to(entrance.inside(where), {"Set-Cookie": entrance.cookie(http, text)})

    @router.post("/leave")
    async def leave(http: HttpRequest) -> Response:
        return moved_to("/enter", {"Set-Cookie": entrance.cookie(http, "")})
