"""Variants: the canonical record, its revisions, its fate, where it stands, and what shows it."""

from __future__ import annotations

import json
from typing import Any

import orjson
from django.db.models import Exists, OuterRef, Prefetch
from django.http import HttpResponse
from django.urls import reverse
from rest_framework.permissions import SAFE_METHODS
from rest_framework.request import Request
from rest_framework.response import Response

from registry.errors import IdentityMoved
from registry.methods.moments import LARGEST_REVISION, parse_moment
from registry.models import Mark, Photo, Revision, Variant, VariantStanding, is_about
from registry.queries import colours
from registry.queries.fates import fate, last_event, successors
from registry.queries.likenesses import with_likenesses
from registry.queries.possession import with_codes_seen
from registry.queries.then import past

from .. import filters, selection
from ..conditional import tag_of_record
from ..parameters import out_of_range, whole
from ..problems import Problem
from ..serializers import evidence, record
from ..serializers.history import ThenOutput
from ..visibility import reader
from .base import ApiView, Moved
from .claims import claims
from .points import as_it_stood, point
from .rows import ListView

IMMUTABLE = "public, max-age=86400"


class Variants(ListView):
    """All that still stand for themselves, as canonical records.

    `trait.<key>=<state key>` keeps those with an open claim of that state; it may be given up to five times.
    """

    serializer_class = record.VariantOutput
    filterset_class = filters.VariantFilters
    sort_keys = {"id": ("public_id",), "changed": ("changed_at", "public_id")}
    creates = False

    def rows(self) -> Any:
        return Variant.objects.live()

    def told_all(self, page: list[Variant]) -> list[Any]:
        if "fields" in self.request.query_params:
            return [json.loads(variant.record) for variant in page]
        return [orjson.Fragment(variant.record) for variant in page]


class VariantView(ApiView):
    """About one variant that still stands for itself."""

    may_be_gone = True

    def variant(self) -> Variant:
        """Errors: `not-found`; on reading `struck` and `identity-split`, and Moved to the survivor of a merge; on
        writing `identity-moved` for all three, as a change must not be made to another record.
        """
        variant = named(self.kwargs["public_id"])
        if variant.is_gone and self.request.method not in SAFE_METHODS:
            into = variant.merged_into
            raise IdentityMoved(
                fate=fate_of(variant), **({"moved_to": f"/v1/variants/{into.public_id}"} if into else {})
            )
        if variant.merged_into is not None:
            match = self.request.resolver_match
            ids = {**self.kwargs, "public_id": variant.merged_into.public_id}
            raise Moved(reverse(match.view_name, kwargs=ids))  # type: ignore[union-attr]
        if variant.standing == VariantStanding.STRUCK:
            event = last_event(variant)
            why: dict[str, Any] = {"reason_code": event.reason_code} if event else {}
            raise Problem("struck", fate=fate_of(variant), **why)
        if variant.standing == VariantStanding.SPLIT:
            raise Problem(
                "identity-split",
                successors=[part.public_id for part in successors(variant)],
                fate=fate_of(variant),
            )
        return variant


def named(public_id: str) -> Variant:
    """The variant of the id, whatever became of it. Errors: `not-found`."""
    variant = Variant.objects.filter(public_id=public_id).select_related("merged_into", "split_from").first()
    if variant is None:
        raise Problem("not-found")
    return variant


def fate_of(variant: Variant) -> str:
    return reverse("v1:variant-fate", kwargs={"public_id": variant.public_id})


class VariantRecord(VariantView):
    serializer_class = record.VariantOutput
    parameters = ("fields", "revision", "at")

    def get(self, request: Request, public_id: str) -> HttpResponse | Response:
        """The canonical record, byte for byte as its digest was taken; or how it stood at a revision or moment."""
        variant = self.variant()
        if {"revision", "at"} & request.query_params.keys():
            return self.as_it_stood(variant, request.query_params)
        if "fields" in request.query_params:
            wanted = selection.parse(request.query_params["fields"], self.get_serializer_class()())
            return Response(selection.select(json.loads(variant.record), wanted))
        answer = HttpResponse(variant.record.encode(), content_type="application/json")
        answer["ETag"] = tag_of_record(variant.record_digest)
        return answer

    def as_it_stood(self, variant: Variant, query: Any) -> Response:
        """At a revision, which for ever says the same, or at a moment."""
        output, headers = ThenOutput, {}
        if "revision" in query:
            if "at" in query:
                raise out_of_range("at", query["at"], "Give a revision or a moment, not both.")
            number = whole(query, "revision", 1, LARGEST_REVISION, 1)
            was, headers = point(past(variant), "revision", str(number)), {"Cache-Control": IMMUTABLE}
        else:
            was = point(past(variant), "at", query["at"], parse_moment)
        wanted = selection.parse(query.get("fields"), output())
        return Response(selection.select(output(as_it_stood(was)).data, wanted), headers=headers)


def revisions_of(variant: Variant) -> Any:
    return Revision.objects.filter(variant=variant).select_related("variant", "parent", "author")


class Revisions(VariantView, ListView):
    """Every snapshot of the variant, oldest first."""

    serializer_class = record.RevisionOutput
    sort_keys = {"number": ("number",)}
    creates = False

    def rows(self) -> Any:
        return revisions_of(self.variant())


class Fate(ApiView):
    serializer_class = record.FateOutput

    def get(self, request: Request, public_id: str) -> Response:
        """What became of an id, for ever: when editions took it up or ended it, and what moderators did."""
        return Response(fate(named(public_id)))


class Standing(VariantView):
    serializer_class = record.StandingOutput

    def get(self, request: Request, public_id: str) -> Response:
        """Where the variant and each of its claims stand, and what is still missing, in words."""
        variant = self.variant()
        shown = (
            claims(request)
            .filter(variant=variant, closed_at=None)
            .order_by("-is_difference", "trait__key", "pk")
        )
        variant.claims_shown = list(shown)  # type: ignore[attr-defined]
        return self.show(variant)


class Evidence(VariantView, ListView):
    """Photos of reports on the variant and of disputes of its claims, with the regions that show its claims."""

    serializer_class = evidence.EvidenceOutput
    creates = False

    def rows(self) -> Any:
        variant = self.variant()
        meant = Variant.objects.standing_for(variant).values("pk")
        marks = Mark.objects.standing().filter(claim__variant__in=meant)
        told = is_about(meant) | Exists(marks.filter(photo=OuterRef("pk")))
        shown = Photo.objects.shown().filter(told)
        related = marks.select_related("photo", "example", "claim__trait", "by").order_by("pk")
        told_of = shown.select_related("owner", "submission", "dispute", "sighting").prefetch_related(
            "examples", "charts__by", Prefetch("marks", related, to_attr="marks_shown")
        )
        return with_codes_seen(with_likenesses(told_of, reader(self.request)))

    def told_all(self, page: Any) -> Any:
        colours.tell((mark, mark.claim) for photo in page for mark in photo.marks_shown)
        return super().told_all(page)
