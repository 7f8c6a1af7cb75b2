"""What moderators do to one record of the catalogue: rename it, accept it, merge it, add facts to it."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.models import Role

from ..conditional import require_match
from ..parsers import PATCH_PARSERS
from ..serializers.catalogue_input import AcceptInput
from .rows import RecordView, RowView


class CuratedRow(RowView):
    """A record that moderators look after."""

    roles = {"POST": Role.MODERATOR, "PATCH": Role.MODERATOR}

    def again(self, row: Any) -> Response:
        """The row as it reads after a change."""
        return self.show(self.rows().get(pk=row.pk))


class CuratedRecord(CuratedRow, RecordView):
    match_methods = ("PATCH",)
    parser_classes = PATCH_PARSERS

    def patch(self, request: Request, public_id: str) -> Response:
        """Change its name or another of its texts; for moderators. Ids and keys never change."""
        row = self.row(public_id, lock=True)
        require_match(request, self.tag(row))
        return self.again(actions.rename(thing=row, **self.deed, **self.asked()))


class AcceptView(CuratedRow):
    inputs = {"POST": AcceptInput}

    def post(self, request: Request, public_id: str) -> Response:
        """Take a proposal into the catalogue; for moderators."""
        row = self.row(public_id)
        return self.again(actions.accept(thing=row, **self.deed, **self.asked()))


class MergeView(CuratedRow):
    record_name = ""

    def post(self, request: Request, public_id: str) -> Response:
        """Merge it into another that stands for the same thing; for moderators. Answers with the survivor."""
        row = self.row(public_id)
        survivor = actions.merge(thing=row, **self.deed, **self.asked())
        answer = self.again(survivor)
        answer["Content-Location"] = reverse(
            f"v1:{self.record_name}", kwargs={"public_id": survivor.public_id}
        )
        return answer
