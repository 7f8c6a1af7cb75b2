"""The API's document, drawn from what each view declares, so that it cannot say other than the view does."""

from __future__ import annotations

import inspect
import re
from typing import Any, Final

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.openapi import AutoSchema as BaseAutoSchema
from drf_spectacular.utils import OpenApiParameter
from rest_framework import serializers

from .problems import KINDS

QUERY: Final = "query"
HEADER: Final = "header"
PROBLEM = {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}}
TEXT = {"schema": {"type": "string"}}
HEADERS = {
    "ETag": {**TEXT, "description": "Strong tag of this representation."},
    "Link": {**TEXT, "description": "rel=next, where there is a next page."},
    "Location": {**TEXT, "description": "Address of what was made."},
    "Idempotency-Replayed": {**TEXT, "description": "`true` where this is the answer kept from before."},
}
FIELDS = OpenApiParameter(
    "fields",
    str,
    QUERY,
    description="Members to answer with, commas between, dots for depth: `id,claims.body`.",
)
PARAMETERS = {
    "q": OpenApiParameter("q", str, QUERY, required=True, description="Words, 1 to 100 characters."),
    "kind": OpenApiParameter("kind", str, QUERY, description="Only records of this kind."),
    "cursor": OpenApiParameter(
        "cursor", str, QUERY, description="Where the page begins; taken from `next`, never made up."
    ),
    "limit": OpenApiParameter("limit", {"type": "integer", "minimum": 1, "maximum": 200}, QUERY),
    "revision": OpenApiParameter(
        "revision",
        {"type": "integer", "minimum": 1},
        QUERY,
        description="The snapshot of that revision instead.",
    ),
    "at": OpenApiParameter(
        "at",
        str,
        QUERY,
        description="The variant as it stood then instead: a day (its end, UTC) or a moment with its offset.",
    ),
    "from": OpenApiParameter(
        "from", str, QUERY, required=True, description="A revision's number, a day or a moment."
    ),
    "to": OpenApiParameter(
        "to", str, QUERY, required=True, description="A revision's number, a day or a moment."
    ),
    "dry_run": OpenApiParameter(
        "dry_run", bool, QUERY, description="Keep nothing, and say what would be kept and every fault."
    ),
    "reason": OpenApiParameter("reason", str, QUERY, required=True, description="Why; kept with the record."),
    "legal": OpenApiParameter(
        "legal", bool, QUERY, description="`true`: on a legal demand, which withholds the picture from all."
    ),
    "submission": OpenApiParameter(
        "submission", str, QUERY, description="Id of the draft that the picture is for."
    ),
    "dispute": OpenApiParameter(
        "dispute", str, QUERY, description="Id of the dispute that the picture is for."
    ),
    "sighting": OpenApiParameter(
        "sighting", str, QUERY, description="Id of the sighting that the picture is for."
    ),
    "examples": OpenApiParameter(
        "examples", str, QUERY, description="Ids of the examples shown, commas between."
    ),
    "views": OpenApiParameter(
        "views", str, QUERY, description="What the picture lets one inspect, commas between."
    ),
    "caption": OpenApiParameter("caption", str, QUERY),
    "in_pack": OpenApiParameter(
        "in_pack", bool, QUERY, description="Only details seen in the blister or box, where `true`."
    ),
    "variant": OpenApiParameter(
        "variant", str, QUERY, description="Tell only this variant from all others of the release."
    ),
    "is_edited": OpenApiParameter(
        "is_edited", bool, QUERY, description="More was changed than size, frame and overall light."
    ),
    "a": OpenApiParameter("a", str, QUERY, required=True, description="Id of the photo laid underneath."),
    "b": OpenApiParameter("b", str, QUERY, required=True, description="Id of the photo laid over it."),
    "a_xywh": OpenApiParameter(
        "a_xywh", str, QUERY, description="Only this region of it: `percent:left,top,width,height`."
    ),
    "b_xywh": OpenApiParameter("b_xywh", str, QUERY, description="Only this region of it, likewise."),
    "mirrored": OpenApiParameter(
        "mirrored", bool, QUERY, description="`b` shows the other side: it is mirrored first."
    ),
    "licence": OpenApiParameter("licence", str, QUERY, description="CC-BY-4.0 or CC0-1.0."),
}
PATHS = {
    "public_id": {"type": "string", "pattern": "^[0-9bcdfghj-np-tv-z]{12}$"},
    "state_id": {"type": "string", "pattern": "^[0-9bcdfghj-np-tv-z]{12}$"},
    "photo_id": {"type": "string", "pattern": "^[0-9bcdfghj-np-tv-z]{12}$"},
    "slug": {"type": "string"},
    "number": {"type": "integer", "minimum": 1},
}
KEY = OpenApiParameter(
    "Idempotency-Key",
    {"type": "string", "pattern": "^[\\x21-\\x7e]{1,128}$"},
    HEADER,
    required=True,
    description="New for each thing to be done; the same again repeats the answer and does nothing.",
)
MATCH = OpenApiParameter(
    "If-Match", str, HEADER, required=True, description="The ETag of the copy that the change was made to."
)
NONE_MATCH = OpenApiParameter("If-None-Match", str, HEADER, description="The ETag of the copy held.")


class TokenScheme(OpenApiAuthenticationExtension):
    target_class = "api.authentication.TokenAuthentication"
    name = "token"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {
            "type": "http",
            "scheme": "bearer",
            "description": "Made on the account page or at /v1/tokens.",
        }


class SessionScheme(OpenApiAuthenticationExtension):
    target_class = "api.authentication.SessionAuthentication"
    name = "session"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {
            "type": "apiKey",
            "in": "cookie",
            "name": "sessionid",
            "description": "Writes need X-CSRFToken too.",
        }


class ErrorEntryOutput(serializers.Serializer[Any]):
    pointer = serializers.CharField(help_text="JSON Pointer of the field at fault.")
    code = serializers.CharField()
    detail = serializers.CharField()


class ProblemOutput(serializers.Serializer[Any]):
    """RFC 9457, with one entry of `errors` per field at fault. Some problems carry further members."""

    type = serializers.CharField(help_text="Stable; the address of an explanation.")
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField()
    instance = serializers.CharField(help_text="Names this occurrence.")
    errors = ErrorEntryOutput(many=True, required=False)  # type: ignore[assignment]


class AutoSchema(BaseAutoSchema):
    view: Any

    @property
    def is_read(self) -> bool:
        return self.method == "GET"

    def _is_list_view(self, serializer: Any = None) -> bool:
        return self.is_read and getattr(self.view, "is_list", False)

    def _is_create_operation(self) -> bool:
        return self.method == "POST" and getattr(self.view, "creates", False)

    def get_serializer_name(self, serializer: Any, direction: Any) -> str:
        return type(serializer).__name__.removesuffix("Output").removesuffix("Input")

    def get_description(self) -> str:  # type: ignore[override]
        """The nearest words: of the view's own handler, of the view itself, of a handler that it inherits."""
        own, method = type(self.view).__dict__, self.method.lower()
        of_view = own.get("__doc__") if self.is_read or not getattr(self.view, "is_list", False) else None
        words = getattr(own.get(method), "__doc__", None) or of_view
        return inspect.cleandoc(words or getattr(self.view, method).__doc__)

    def get_operation_id(self) -> str:
        steps = [re.sub(r"\W+", "_", re.sub(r"\{.*\}", "one", step)) for step in self.path.split("/")[2:]]
        return "_".join([self.method.lower(), *filter(None, steps)])

    def _resolve_path_parameters(self, variables: list[str]) -> list[dict[str, Any]]:
        return [{"in": "path", "name": name, "required": True, "schema": PATHS[name]} for name in variables]

    def get_request_serializer(self) -> Any:
        return self.view.inputs.get(self.method)

    def get_auth(self) -> list[dict[str, Any]]:
        ways: list[dict[str, Any]] = super().get_auth()
        asks = self.is_read or self.view.changes_nothing
        return [{}, *ways] if asks and not self.view.is_private else ways

    def get_override_parameters(self) -> list[Any]:
        view, told = self.view, []
        if self.is_read:
            told = [PARAMETERS[name] for name in view.parameters if name != "fields"]
            told += [FIELDS] if "fields" in view.parameters or getattr(view, "is_list", False) else []
            told += self._sorting() + [NONE_MATCH]
        else:
            told = [PARAMETERS[name] for name in view.write_parameters.get(self.method, ())]
        told += [KEY] if self.method == "POST" and not view.changes_nothing else []
        told += [MATCH] if self.method in view.match_methods else []
        return told

    def _sorting(self) -> list[OpenApiParameter]:
        orders = list(getattr(self.view, "sort_keys", ()))
        return (
            [OpenApiParameter("sort", str, QUERY, enum=orders, default=orders[0])] if len(orders) > 1 else []
        )

    def _get_filter_parameters(self) -> list[dict[str, Any]]:
        filters = getattr(self.view, "filterset_class", None)
        return filters.schema_parameters() if filters and self._is_list_view() else []

    def _get_response_bodies(self, direction: Any = "response") -> dict[str, Any]:
        bodies: dict[str, Any] = super()._get_response_bodies(direction)
        self.registry.register_on_missing(self.resolve_serializer(ProblemOutput, "response"))
        for status, answer in self.view.also_answers.get(self.method, {}).items():
            bodies[str(status)] = self._get_response_for_code(answer, str(status))
        for status, body in bodies.items():
            if headers := self._headers(status):
                body["headers"] = headers
        if self.is_read:
            bodies["304"] = {"description": "Not changed since the copy named by If-None-Match"}
            if "{" in self.path:
                bodies["301"] = {"description": "Merged, or spelled otherwise: see Location"}
        for number in self._problem_statuses():
            bodies[str(number)] = {"$ref": f"#/components/responses/{number}"}
        return dict(sorted(bodies.items()))

    def _headers(self, status: str) -> dict[str, Any]:
        told = []
        if self.method in ("GET", "PATCH", "PUT"):
            told.append("ETag")
        if self._is_list_view():
            told.append("Link")
        if status == "201":
            told.append("Location")
        if self.method == "POST" and not self.view.changes_nothing:
            told.append("Idempotency-Replayed")
        return {name: {"$ref": f"#/components/headers/{name}"} for name in told}

    def _problem_statuses(self) -> list[int]:
        view = self.view
        found = {400, 401, 406, 429, 503}
        if "{" in self.path:
            found |= {404}
            found |= {410} if view.may_be_gone else set()
            found |= {451} if view.may_be_withheld else set()
        if view.may_be_missing:
            found |= {404}
        if not self.is_read:
            found |= {403, 413, 415, 422} | (set() if view.changes_nothing else {404, 409})
        if view.is_private or view.roles:
            found |= {403}
        if self.method in view.match_methods:
            found |= {412, 428}
        return sorted(found)


def share(result: dict[str, Any], **kwargs: Any) -> dict[str, Any]:
    """The problems and headers that operations refer to, told once."""
    problems = {}
    for status in sorted({kind.status for kind in KINDS.values()}):
        titles = sorted(kind.title for kind in KINDS.values() if kind.status == status)
        problems[str(status)] = {"description": "; ".join(titles), "content": PROBLEM}
    result["components"] |= {"responses": problems, "headers": HEADERS}
    return result
