"""Editions: what another program pulls. A published file never changes, so each may be kept for ever."""

from __future__ import annotations

import json
from typing import Any

from django.http import FileResponse, HttpResponse
from django.http.response import HttpResponseBase
from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.models import Edition, Role

from ..conditional import is_current
from ..parameters import LARGEST
from ..problems import Problem
from ..renderers import CSVRenderer, GzipRenderer
from ..serializers.people import EditionDocumentOutput, EditionOutput
from ..serializers.shared import Nothing
from .base import ApiView
from .rows import ListView

FOR_EVER = "public, max-age=31536000, immutable"
FOR_A_MINUTE = "public, max-age=60, stale-while-revalidate=600, stale-if-error=86400"


class Editions(ListView):
    """All editions of the list, oldest first."""

    serializer_class = EditionOutput
    sort_keys = {"number": ("number",)}
    roles = {"POST": Role.MODERATOR}
    inputs = {"POST": Nothing}

    def rows(self) -> Any:
        return Edition.objects.select_related("previous", "policy")

    def post(self, request: Request) -> Response:
        """Publish the next edition of the list; for moderators."""
        self.asked()
        return self.created(actions.publish_edition(**self.deed))

    def address_of(self, row: Edition) -> str:
        return reverse("v1:edition", kwargs={"number": str(row.number)})


class EditionView(ApiView):
    """About one edition. Its files carry strong tags made of their digests."""

    serializer_class = EditionDocumentOutput
    caching_time = FOR_EVER

    def edition(self, number: str) -> Edition:
        if number.isascii() and number.isdigit() and len(number) < 11 and int(number) <= LARGEST:
            if edition := Edition.objects.filter(number=int(number)).first():
                return edition
        raise Problem("not-found", "There is no edition of that number; /v1/editions lists all.")

    def document(self, edition: Edition) -> HttpResponse:
        answer = HttpResponse(edition.document.encode(), content_type="application/json")
        answer["ETag"] = f'"{edition.digest[:32]}"'
        answer["Cache-Control"] = self.caching_time
        return answer

    def file(self, edition: Edition, name: str, etag: str) -> HttpResponseBase:
        answer: HttpResponseBase = HttpResponse()
        if not is_current(self.request, etag):
            answer = FileResponse(actions.edition_file(edition, name).open("rb"))
        answer["Content-Type"] = actions.FILES[name]
        answer["ETag"] = etag
        answer["Cache-Control"] = self.caching_time
        return answer


class LatestEdition(EditionView):
    caching_time = FOR_A_MINUTE
    may_be_missing = True

    def get(self, request: Request) -> HttpResponse:
        """The newest edition's edition.json."""
        edition = Edition.objects.order_by("-number").first()
        if edition is None:
            raise Problem("not-found", "No edition has been published yet.")
        answer = self.document(edition)
        answer["Content-Location"] = reverse("v1:edition-document", kwargs={"number": str(edition.number)})
        return answer


class EditionRecord(EditionView):
    def get(self, request: Request, number: str) -> HttpResponse:
        """An edition's edition.json."""
        return self.document(self.edition(number))


class EditionRecords(EditionView):
    renderer_classes = [GzipRenderer]

    def get(self, request: Request, number: str) -> HttpResponseBase:
        """All records of an edition, one canonical JSON a line, packed; unpack it before taking its digest."""
        edition = self.edition(number)
        return self.file(edition, "variants.ndjson.gz", f'"{edition.records_digest[:32]}-gz"')


class EditionTable(EditionView):
    renderer_classes = [CSVRenderer]

    def get(self, request: Request, number: str) -> HttpResponseBase:
        """The list for a spreadsheet, one row a claim."""
        edition = self.edition(number)
        digest = json.loads(edition.document)["files"]["variants_csv"]["sha256"]
        return self.file(edition, "variants.csv", f'"{digest[:32]}"')
