"""`GET /v1/schemas/{name}`: the JSON Schema of each document."""

import json

from fastapi import APIRouter
from starlette.responses import Response

from api.openapi import problem_answers
from api.problems import Refused
from cutopt.formats import DOCUMENTS, schema_of

MEDIA_TYPE = "application/schema+json"


def routes() -> APIRouter:
    """Return the routes of schemas."""
    router = APIRouter(prefix="/v1/schemas")

    @router.get(
        "/{name}",
        operation_id="schema",
        summary="The JSON Schema of a document",
        response_class=Response,
        responses={
            200: {"description": "A JSON Schema.", "content": {MEDIA_TYPE: {"schema": {}}}},
            **problem_answers("unknown-path"),
        },
    )
    async def get_schema(name: str) -> Response:
        """Answer with the schema of the document of this name."""
        if name not in DOCUMENTS:
            raise Refused("unknown-path", f"There are schemas of {', '.join(sorted(DOCUMENTS))}.")
        text = json.dumps(schema_of(name), indent=2, ensure_ascii=False) + "\n"
        return Response(text, media_type=MEDIA_TYPE)

    return router
