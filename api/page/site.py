"""The pages of a job that is begun, and what they send."""

import asyncio
from collections.abc import Awaitable, Callable
from functools import wraps
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request as HttpRequest
from starlette.responses import JSONResponse, Response

from api.page.elevation import Picture
from api.page.jobs import Jobs, sent_entries, work_of
from api.page.offers import bill, print_bill, risks
from api.page.papers import print_papers, progress_text
from api.page.render import error_page, moved_to, packed, page
from api.page.standing import ORDERS, Work, on_the_wall, together, totals
from api.page.starts import starts_of
from api.page.store import JobRow
from api.problems import Refused
from api.run import tenant_of
from api.runs.record import Record
from cutopt.documents.sequence import By
from cutopt.papers.bundle import Paper

Handler = Callable[..., Awaitable[Response]]
_MOST_SAID = 1_000_000


def shown(handler: Handler) -> Handler:
    """Make a page of what is refused, in place of a problem document."""

    @wraps(handler)
    async def with_error_page(http: HttpRequest, *args: Any, **kwargs: Any) -> Response:
        try:
            return packed(http, await handler(http, *args, **kwargs))
        except Refused as refused:
            return error_page(refused)

    return with_error_page


class _Site:
    """The answers of a job's pages."""

    def __init__(self, jobs: Jobs) -> None:
        self._jobs = jobs

    async def _job(self, http: HttpRequest, job: str) -> tuple[JobRow, Record | None]:
        return await self._jobs.planned(await self._jobs.find(job, tenant_of(http)))

    async def _work(self, row: JobRow) -> Work:
        return work_of(row, await asyncio.to_thread(self._jobs.store.entries, row.id))

    async def _drawings(self, row: JobRow, piece: str | None) -> list[Picture]:
        work = await self._work(row)
        return await self._jobs.hands.do(row.tenant, on_the_wall, work, row.document, piece)

    async def overview(self, http: HttpRequest, job: str) -> Response:
        """Show the plan, or how the search for it goes."""
        row, record = await self._job(http, job)
        if row.plan is None:
            return page("search", job=row, run=record and record.run())
        standing = await self._jobs.standing(row, by_of(http))
        surfaces = await self._drawings(row, None)
        sums = {"totals": totals(row.plan), "together": together(row.plan)}
        return page("job", job=row, **sums, standing=standing, surfaces=surfaces)

    async def saw(self, http: HttpRequest, job: str) -> Response:
        """Show the next step."""
        row, _ = await self._job(http, job)
        return page("saw", job=row, standing=await self._jobs.standing(row, by_of(http)))

    async def left(self, http: HttpRequest, job: str) -> Response:
        """Show what is left: tiles, offcuts, whole tiles to lay."""
        row, _ = await self._job(http, job)
        standing = await self._jobs.standing(row, by_of(http))
        risky = await self._jobs.hands.do(row.tenant, risks, await self._work(row))
        return page("left", job=row, standing=standing, risks=risky)

    async def pieces(self, http: HttpRequest, job: str, piece: str | None = None) -> Response:
        """Show what hangs where, and the piece that a label's code leads to."""
        row, _ = await self._job(http, job)
        found = await self._jobs.standing(row, by_of(http))
        chosen = next((one for one in found["pieces"] if one["id"] == piece), None)
        if piece is not None and chosen is None:
            raise Refused("unknown-path", "This job has no piece of this name.")
        surfaces = await self._drawings(row, piece)
        return page("pieces", job=row, standing=found, surfaces=surfaces, chosen=chosen)

    async def standing(self, http: HttpRequest, job: str) -> Response:
        """Answer with how the job stands."""
        row, _ = await self._job(http, job)
        found = await self._jobs.standing(row, by_of(http))
        return packed(http, JSONResponse({"standing": found, "refused": {}}))

    async def said(self, http: HttpRequest, job: str) -> Response:
        """Take what a phone has said, and answer with how the job stands then."""
        row, _ = await self._job(http, job)
        entries = sent_entries(await body_of(http, _MOST_SAID))
        found, refused = await self._jobs.say(row, entries, by_of(http))
        return packed(http, JSONResponse({"standing": found, "refused": refused}))

    async def papers(self, http: HttpRequest, job: str) -> Response:
        """Print what is left."""
        row, _ = await self._job(http, job)
        paper = paper_of(http)
        link = f"{http.base_url}jobs/{row.id}/pieces/"
        work, by = await self._work(row), by_of(http)
        printed = await self._jobs.hands.do(
            row.tenant, print_papers, work, (row.document, by, paper, link)
        )
        return Response(printed, media_type="application/pdf")

    async def order(self, http: HttpRequest, job: str) -> Response:
        """Show what to buy."""
        row = await self._with_plan(http, job)
        found = await self._jobs.hands.do(row.tenant, bill, row.document, row.plan)
        return page("order", job=row, bill=found)

    async def order_printed(self, http: HttpRequest, job: str) -> Response:
        """Print what to buy."""
        row = await self._with_plan(http, job)
        pdf = await self._jobs.hands.do(
            row.tenant, print_bill, row.document, row.plan, paper_of(http)
        )
        return Response(pdf, media_type="application/pdf")

    async def starts(self, http: HttpRequest, job: str) -> Response:
        """Show where else the job could begin."""
        row, _ = await self._job(http, job)
        found = await self._jobs.hands.do(row.tenant, starts_of, row.document)
        now = sum(total["tiles_needed"] for total in totals(row.plan)) if row.plan else None
        return page("starts", job=row, found=found, now=now)

    async def _with_plan(self, http: HttpRequest, job: str) -> JobRow:
        row, _ = await self._job(http, job)
        if row.plan is None:
            raise Refused("no-plan", "This job has no plan yet.")
        return row

    async def document(self, http: HttpRequest, job: str, name: str) -> Response:
        """Answer with a document of the job, for the command."""
        row, _ = await self._job(http, job)
        texts = {"document": row.document, "plan": row.plan}
        if name == "progress":
            work = await self._work(row)
            texts["progress"] = await self._jobs.hands.do(row.tenant, progress_text, work)
        text = texts.get(name)
        if text is None:
            raise Refused("unknown-path", "There is no such document of this job.")
        return Response(text, media_type="application/json")

    async def stop(self, http: HttpRequest, job: str) -> Response:
        """End the search with the best plan so far."""
        row = await self._jobs.find(job, tenant_of(http))
        await self._jobs.stop(row)
        return moved_to(f"/jobs/{row.id}")

    async def again(self, http: HttpRequest, job: str) -> Response:
        """Search once more."""
        row = await self._jobs.find(job, tenant_of(http))
        await self._jobs.search(row)
        return moved_to(f"/jobs/{row.id}")

    async def away(self, http: HttpRequest, job: str) -> Response:
        """Put a job away, or take it out again."""
        row = await self._jobs.find(job, tenant_of(http))
        await asyncio.to_thread(self._jobs.store.put_away, row.id, row.put_away is None)
        return moved_to("/")


def routes(jobs: Jobs) -> APIRouter:
    """Return the routes of jobs."""
    site, router = _Site(jobs), APIRouter(prefix="/jobs/{job}", include_in_schema=False)
    pages: dict[str, Handler] = {
        "": site.overview,
        "/saw": site.saw,
        "/left": site.left,
        "/pieces": site.pieces,
        "/pieces/{piece:path}": site.pieces,
        "/papers.pdf": site.papers,
        "/order": site.order,
        "/order.pdf": site.order_printed,
        "/starts": site.starts,
    }
    for path, handler in pages.items():
        router.add_api_route(path, shown(handler), methods=["GET"])
    router.add_api_route("/standing", site.standing, methods=["GET"])
    router.add_api_route("/{name}.json", site.document, methods=["GET"])
    router.add_api_route("/said", site.said, methods=["POST"])
    for name, handler in {"stop": site.stop, "again": site.again, "away": site.away}.items():
        router.add_api_route(f"/{name}", shown(handler), methods=["POST"])
    return router


def by_of(http: HttpRequest) -> By:
    """Return the order in which somebody wants to cut."""
    wanted = http.query_params.get("by")
    return next((by for by in ORDERS if by == wanted), "fence")


def paper_of(http: HttpRequest) -> Paper:
    """Return the paper that somebody prints on."""
    return "letter" if http.query_params.get("paper") == "letter" else "a4"


async def body_of(http: HttpRequest, most_bytes: int) -> bytes:
    """Return the body of a form or a message, within bounds."""
    body = bytearray()
    async for chunk in http.stream():
        body += chunk
        if len(body) > most_bytes:
            raise Refused("too-large", f"A body has at most {most_bytes} bytes.")
    return bytes(body)
