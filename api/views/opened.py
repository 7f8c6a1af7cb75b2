"""What differs here? Drafts that their authors opened to others, and what these remark on the pictures."""

from __future__ import annotations

from typing import Any

from django.http.response import HttpResponseBase
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.errors import InvalidField
from registry.models import Remark
from registry.queries.opened import every_opened

from .. import filters
from ..serializers.opened import OpenedDraftOutput, RemarkInput, RemarkOutput
from .base import PRIVATE
from .rows import ListView, RecordView

REMARK = {"photo": "xwpm2cx4k7d9", "xywh": "percent:41,22,12,9", "state": "m2cx9xwp4k7d"}


class Fleeting:
    """Views of what may be closed again at any time, so that nobody between is to keep it."""

    def caching(self, request: Request, answer: HttpResponseBase) -> str:
        return PRIVATE


class Opened(Fleeting):
    serializer_class = OpenedDraftOutput

    def rows(self) -> Any:
        return every_opened()


class OpenedDrafts(Opened, ListView):
    """Drafts that are open to others; one's own are opened at /v1/submissions/{id}/open."""

    filterset_class = filters.OpenedFilters
    sort_keys = {"id": ("public_id",), "opened_at": ("opened_at", "public_id")}
    creates = False


class OpenedDraftRecord(Opened, RecordView):
    write_parameters = {"DELETE": ("reason",)}

    def delete(self, request: Request, public_id: str) -> Response:
        """Show your draft to others no longer; for moderators, who say why, too. What was remarked is kept."""
        reason = request.query_params.get("reason", "")
        actions.close_draft(submission=self.row(public_id), **self.deed, reason=reason)
        return Response(status=204)


def remarks() -> Any:
    related = ("photo__submission", "by", "state__merged_into")
    return Remark.objects.standing().on_opened().select_related(*related)


class OpenedDraftRemarks(Fleeting, ListView):
    """What was remarked on one opened draft, without what was taken away."""

    serializer_class = RemarkOutput
    sort_keys = {"at": ("at", "public_id")}
    inputs = {"POST": RemarkInput}
    record_name = "remark"

    def rows(self) -> Any:
        return remarks().filter(photo__submission=self.pick(every_opened(), self.kwargs["public_id"]))

    @extend_schema(examples=[OpenApiExample("A state seen", value=REMARK, request_only=True)])
    def post(self, request: Request, public_id: str) -> Response:
        """Say what you see in a region of one of its pictures: a state of its release, or a sentence."""
        draft, said = self.pick(every_opened(), public_id), self.asked()
        if said["photo"].submission_id != draft.pk:
            raise InvalidField("photo", said["photo"].public_id, "Choose one of this draft's pictures.")
        said["xywh"] = actions.parse_fragment(said["xywh"])
        made = actions.add_remark(**self.deed, **said)
        return self.created(remarks().get(pk=made.pk))


class RemarkRecord(Fleeting, RecordView):
    serializer_class = RemarkOutput

    def rows(self) -> Any:
        return remarks()

    def delete(self, request: Request, public_id: str) -> Response:
        """Take a remark away: who made it, the draft's author, or a moderator."""
        actions.remove_remark(remark=self.row(public_id), **self.deed)
        return Response(status=204)
