"""The API about itself: where things are, what its problems mean, and its document."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import orjson
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiJsonRenderer
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from ..problems import KINDS, Problem, problem_type
from .base import ApiView

NOUNS = (
    "makers", "lines", "castings", "releases", "assortments", "packs", "traits", "states", "variants", "claims",
    "submissions", "opened-drafts", "examples", "photos", "marks", "sightings", "votes", "disputes", "statements",
    "fits", "editions", "cabinet", "tokens", "search", "me", "problems",
)  # fmt: skip


class IndexOutput(serializers.Serializer[Any]):
    document = serializers.CharField()
    nouns = serializers.DictField(child=serializers.CharField())


class Index(ApiView):
    serializer_class = IndexOutput

    def get(self, request: Request) -> Response:
        """Where things are."""
        return Response({"document": "/v1/openapi.json", "nouns": {noun: f"/v1/{noun}" for noun in NOUNS}})


class Unknown(ApiView):
    """Whatever has no route here."""

    schema = None

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        self.args, self.kwargs, self.headers = args, kwargs, {}
        asked = self.request = self.initialize_request(request)
        answer = self.handle_exception(
            Problem("not-found", "There is no such path. See /v1/ for those there are.")
        )
        self.response = self.finalize_response(asked, answer)
        return self.response


class ProblemKindOutput(serializers.Serializer[Any]):
    type = serializers.CharField()
    status = serializers.IntegerField()
    title = serializers.CharField()
    remedy = serializers.CharField()


def told(slug: str) -> dict[str, Any]:
    kind = KINDS[slug]
    return {"type": problem_type(slug), "status": kind.status, "title": kind.title, "remedy": kind.remedy}


class ProblemListOutput(serializers.Serializer[Any]):
    results = ProblemKindOutput(many=True)


class Problems(ApiView):
    serializer_class = ProblemListOutput

    def get(self, request: Request) -> Response:
        """Every problem that the API can answer with."""
        return Response({"results": [told(slug) for slug in KINDS]})


class ProblemRecord(ApiView):
    serializer_class = ProblemKindOutput

    def get(self, request: Request, slug: str) -> Response:
        """What a problem means and what to do about it."""
        if slug not in KINDS:
            raise Problem("not-found")
        return Response(told(slug))


@lru_cache(maxsize=1)
def api_document() -> bytes:
    """The OpenAPI document, generated once per process, without the spacing of the committed one."""
    spaced = OpenApiJsonRenderer().render(SchemaGenerator().get_schema(request=None, public=True))
    return orjson.dumps(orjson.loads(spaced))


class Document(ApiView):
    schema = None

    def get(self, request: Request) -> HttpResponse:
        return HttpResponse(api_document(), content_type="application/json")
