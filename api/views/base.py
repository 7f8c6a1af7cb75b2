"""What every view of the API does: check the address, admit, act once in one transaction, answer conditionally."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, cast

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from rest_framework import serializers
from rest_framework.exceptions import MethodNotAllowed
from rest_framework.generics import GenericAPIView
from rest_framework.permissions import SAFE_METHODS
from rest_framework.request import Request
from rest_framework.response import Response

from registry.errors import IdentityMoved
from registry.methods.identifiers import parse_id
from registry.models import KeptReply, Member

from .. import idempotency, selection
from ..conditional import is_current, tag_of
from ..parameters import check_known, refuse_secrets
from ..problems import Problem
from ..renderers import JSONRenderer

PUBLIC = "public, max-age=30, stale-if-error=3600"
PRIVATE = "private, no-store"
TAGGED = ("GET", "HEAD", "PATCH", "PUT")


class Moved(Exception):
    """The record answers to another address now."""

    def __init__(self, address: str) -> None:
        self.address = address


class ApiView(GenericAPIView):
    """Base of all views. A handler checks its input, calls one action or one query, and answers."""

    is_private = False
    """Only a member may read it."""
    read_scopes: tuple[str, ...] = ("read",)
    write_scopes: tuple[str, ...] = ("contribute",)
    roles: Mapping[str, str] = {}
    """The role that a method needs."""
    parameters: tuple[str, ...] = ()
    """Query parameters of GET, where the view is no list."""
    write_parameters: Mapping[str, tuple[str, ...]] = {}
    inputs: Mapping[str, type[serializers.Serializer[Any]]] = {}
    """What each method reads from the body."""
    also_answers: Mapping[str, Mapping[int, type[serializers.Serializer[Any]]]] = {}
    """Where a method succeeds in more than one way: what else it may answer with, by status."""
    match_methods: tuple[str, ...] = ()
    """Methods that need If-Match."""
    changes_nothing = False
    """Its POST only asks: anybody may send it, no key is needed, and nothing is kept of it."""
    may_be_missing = False
    """There may be nothing to show, though the path names no id."""
    may_be_gone = False
    """The record may have been struck, split or taken down."""
    may_be_withheld = False
    """The law may withhold the record."""
    filter_backends: list[Any] = []
    queryset = None

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Like the framework's, with each write in one transaction that begins once its body has been read."""
        self.args, self.kwargs = args, kwargs
        asked = self.request = self.initialize_request(request, *args, **kwargs)
        self.headers = self.default_response_headers
        try:
            method = (request.method or "").lower()
            handler = getattr(self, method, None) if method in self.http_method_names else None
            if handler is None:
                raise MethodNotAllowed(method.upper())
            self.canonical_ids(asked)
            self.initial(asked, *args, **self.kwargs)
            answer = self.answered(asked, handler)
        except Moved as moved:
            told = {"moved_to": moved.address}
            answer = Response(
                told, status=301, headers={"Location": moved.address, "Cache-Control": "max-age=300"}
            )
        except Exception as fault:
            answer = self.handle_exception(fault)
        self.response = self.finalize_response(asked, answer, *args, **kwargs)
        return self.response

    def canonical_ids(self, request: Request) -> None:
        """Ids in the path in their one spelling. Errors: Moved to that spelling on reading; `identifier-invalid`."""
        given = {name: value for name, value in self.kwargs.items() if name.endswith("_id")}
        try:
            found = {name: parse_id(value) for name, value in given.items()}
        except ValueError as fault:
            raise Problem("identifier-invalid", str(fault)) from None
        if found != given and request.method in SAFE_METHODS:
            match = request.resolver_match
            address = reverse(match.view_name, kwargs={**self.kwargs, **found})  # type: ignore[union-attr]
            query = request.META.get("QUERY_STRING", "")
            raise Moved(f"{address}?{query}" if query else address)
        self.kwargs.update(found)

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        refuse_secrets(request.query_params)  # before anything else, whoever asks
        super().initial(request, *args, **kwargs)
        if request.method == "POST" and not self.changes_nothing:
            idempotency.key_of(request)
        if request.method != "OPTIONS":
            self.check_parameters(request)

    def check_parameters(self, request: Request) -> None:
        is_read = request.method in SAFE_METHODS
        method = request.method or ""
        check_known(
            request.query_params, self.parameters if is_read else self.write_parameters.get(method, ())
        )

    def answered(self, request: Request, handler: Callable[..., Response]) -> Response:
        if request.method in SAFE_METHODS or self.changes_nothing:
            return handler(request, **self.kwargs)
        asked = request.data  # the whole body, before any lock is held
        self.prepare(request)
        with transaction.atomic():
            if request.method != "POST":
                return handler(request, **self.kwargs)
            begun = idempotency.begin(request, idempotency.digest_of(asked))
            if not isinstance(begun, KeptReply):
                return begun
            answer = handler(request, **self.kwargs)
            idempotency.keep(begun, answer, self.kept(answer.data))
            return answer

    def prepare(self, request: Request) -> None:
        """What takes long and changes no row, such as decoding a picture: done before the transaction opens."""

    def kept(self, body: Any) -> Any:
        """What a repetition of the POST may see of its answer."""
        return body

    def options(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Response:
        return Response(status=204)

    def get_throttles(self) -> list[Any]:
        if not hasattr(self, "throttles"):
            self.throttles = super().get_throttles()
        return self.throttles

    # What handlers use ------------------------------------------------------------------------------------------

    @property
    def member(self) -> Member:
        """Who asks, where only members are let in."""
        return cast(Member, self.request.user)

    @property
    def deed(self) -> dict[str, Any]:
        """Who acts and when: what every action is told."""
        return {"by": self.member, "at": timezone.now()}

    def asked(self) -> dict[str, Any]:
        """The body, checked. Errors: 422 with a pointer to each field at fault."""
        reader = self.inputs[self.request.method or ""](
            data=self.request.data, context={"request": self.request}
        )
        reader.is_valid(raise_exception=True)
        return dict(reader.validated_data)

    def told(self, row: Any) -> Any:
        """The row as this view shows it, whole."""
        return self.get_serializer_class()(row, context={"request": self.request}).data

    def show(self, row: Any, status: int = 200, **headers: str) -> Response:
        """Answer with the row, or with the members that `fields` asks for."""
        wanted = selection.parse(self.request.query_params.get("fields"), self.get_serializer_class()())
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        return Response(selection.select(self.told(row), wanted), status=status, headers=named)

    def tag(self, row: Any) -> str:
        """The tag of the row's whole representation."""
        return tag_of(JSONRenderer().render(self.told(row)))

    def pick(self, rows: Any, public_id: str) -> Any:
        """The row with the id among those that the requester may see.

        Errors: `not-found`, the same for all others; a merged row answers with its survivor's address on reading and
        `identity-moved` on writing.
        """
        row = rows.filter(public_id=public_id).first()
        if row is None:
            raise Problem("not-found")
        if getattr(row, "merged_into_id", None):
            match = self.request.resolver_match
            ids = {**self.kwargs, "public_id": row.merged_into.public_id}
            address = reverse(match.view_name, kwargs=ids)  # type: ignore[union-attr]
            if self.request.method in SAFE_METHODS:
                raise Moved(address)
            raise IdentityMoved(moved_to=address)
        return row

    # Every answer -----------------------------------------------------------------------------------------------

    def finalize_response(self, request: Request, response: Any, *args: Any, **kwargs: Any) -> Any:
        answer: Any = super().finalize_response(request, response, *args, **kwargs)
        if getattr(answer, "exception", False):
            answer.accepted_renderer, answer.accepted_media_type = JSONRenderer(), JSONRenderer.media_type
        elif request.method in TAGGED and answer.status_code == 200:
            answer = conditional(request, answer)
        if "Cache-Control" not in answer:
            answer["Cache-Control"] = self.caching(request, answer)
        for throttle in getattr(self, "throttles", ()):
            for name, value in throttle.headers().items():
                answer[name] = value
        patch_vary_headers(answer, ["Accept", "Authorization", "Cookie"])
        return answer

    def caching(self, request: Request, answer: HttpResponseBase) -> str:
        user = getattr(request, "_user", None)  # not asked anew: what failed before admission stays anonymous
        is_public = (
            request.method in SAFE_METHODS and not self.is_private and not (user and user.is_authenticated)
        )
        return PUBLIC if is_public and answer.status_code < 400 else PRIVATE


def conditional(request: Request, answer: Any) -> HttpResponseBase:
    """The answer with its strong tag, or 304 where the client has it already."""
    if isinstance(answer, Response):
        answer.render()
    if "ETag" not in answer:
        answer["ETag"] = tag_of(answer.content)
    if request.method not in SAFE_METHODS or not is_current(request, answer["ETag"]):
        return answer
    unchanged = HttpResponse(status=304)
    del unchanged["Content-Type"]
    for name in ("ETag", "Cache-Control", "Vary", "Link", "Content-Location"):
        if name in answer:
            unchanged[name] = answer[name]
    return unchanged
