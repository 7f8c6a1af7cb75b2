"""Marks for other programs, as W3C Web Annotations."""

from __future__ import annotations

from typing import Any

import orjson
from django.core.files.storage import default_storage
from django.http import HttpResponse
from django.urls import reverse
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request

from registry.methods.annotations import (
    CONTEXT,
    FACTS,
    MEDIA_FRAGMENTS,
    MEDIA_TYPE,
    MarkSource,
    annotation,
    page,
)
from registry.models import Mark, Photo

from ..renderers import LinkedDataRenderer
from ..serializers.annotations import AnnotationOutput, AnnotationPageOutput
from ..visibility import visible_photos
from .rows import RowView

RELATED = ("photo", "claim__merged_into", "claim__trait__merged_into", "claim__state__merged_into", "by")
SITE = "https://list.example.org"
EXAMPLE = {
    "id": f"{SITE}/v1/marks/4k7d9xwpm2cx/annotation",
    "type": "Annotation",
    "motivation": "describing",
    "created": "2025-03-01T09:00:00Z",
    "rights": FACTS,
    "creator": {"type": "Person", "nickname": "7c2m4xk9dwp8"},
    "body": [
        {"type": "TextualBody", "value": "Roof crest: gull", "format": "text/plain", "purpose": "describing"},
        {"type": "SpecificResource", "source": f"{SITE}/v1/claims/9xwp4k7dm2cx", "purpose": "identifying"},
        {"type": "SpecificResource", "source": f"{SITE}/v1/states/m2cx9xwp4k7d", "purpose": "classifying"},
    ],
    "target": {
        "type": "SpecificResource",
        "source": {
            "id": f"{SITE}/media/photos/ab/ab12-full.jpg",
            "type": "Image",
            "format": "image/jpeg",
            "rights": FACTS,
        },
        "selector": {
            "type": "FragmentSelector",
            "conformsTo": MEDIA_FRAGMENTS,
            "value": "xywh=percent:10,20,30.5,12",
        },
    },
}
EXAMPLE_PAGE = {
    "@context": CONTEXT,
    "id": f"{SITE}/v1/photos/xwpm2cx4k7d9/annotations",
    "type": "AnnotationPage",
    "partOf": {"id": f"{SITE}/v1/photos/xwpm2cx4k7d9/annotations#all", "type": "AnnotationCollection"},
    "items": [EXAMPLE],
}


class LinkedRow(RowView):
    """Answers in JSON-LD alone, with the profile that Web Annotations are asked for by."""

    renderer_classes = [LinkedDataRenderer]

    def whole_address(self, path: str) -> str:
        return self.request.build_absolute_uri(path)

    def record(self, noun: str, public_id: str) -> str:
        return self.whole_address(reverse(f"v1:{noun}", kwargs={"public_id": public_id}))

    def source_of(self, mark: Mark) -> MarkSource:
        """For marks with all of RELATED."""
        claim = mark.claim.merged_into or mark.claim
        trait, state = mark.claim.trait.survivor, mark.claim.state.survivor
        return MarkSource(
            id=self.record("mark-annotation", mark.public_id),
            claim=self.record("claim", claim.public_id),
            state=self.record("state", state.public_id),
            words=f"{trait}: {state}",
            picture=self.whole_address(default_storage.url(mark.photo.stored_as())),
            picture_licence=mark.photo.licence,
            fragment=mark.fragment,
            created=mark.at,
            creator=None if mark.by.erased_at else mark.by.public_id,
            note=mark.note,
        )

    def linked(self, told: dict[str, Any]) -> HttpResponse:
        return HttpResponse(orjson.dumps(told), content_type=MEDIA_TYPE)


class MarkAnnotation(LinkedRow):
    serializer_class = AnnotationOutput

    def rows(self) -> Any:
        seen = Mark.objects.standing().filter(photo__in=visible_photos(self.request))
        return seen.select_related(*RELATED)

    @extend_schema(
        examples=[OpenApiExample("A mark", value={"@context": CONTEXT, **EXAMPLE}, response_only=True)]
    )
    def get(self, request: Request, public_id: str) -> HttpResponse:
        """The mark as a W3C Web Annotation: its target is the region of the picture, its body claim and state."""
        return self.linked(annotation(self.source_of(self.row(public_id))))


class PhotoAnnotations(LinkedRow):
    serializer_class = AnnotationPageOutput
    parameters = ("limit", "cursor")

    def rows(self) -> Any:
        return visible_photos(self.request).filter(taken_down_at=None)

    def sort_columns(self, request: Request) -> tuple[str, ...]:
        return ("public_id",)

    @extend_schema(examples=[OpenApiExample("One picture", value=EXAMPLE_PAGE, response_only=True)])
    def get(self, request: Request, public_id: str) -> HttpResponse:
        """All marks on a picture as a W3C Annotation Page, with `next` where there are more."""
        photo: Photo = self.row(public_id)
        pages: Any = self.paginator
        marks = Mark.objects.standing().filter(photo=photo).select_related(*RELATED)
        found = pages.paginate_queryset(marks, request, view=self)
        here = self.record("photo-annotations", photo.public_id)
        asked = self.whole_address(request.get_full_path())
        return self.linked(page(asked, f"{here}#all", [self.source_of(mark) for mark in found], pages.next))
