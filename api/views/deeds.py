"""What takes two moderators: what waits for the second one, who confirms or declines it."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from registry.actions import two_persons
from registry.models import PendingDeed, Role

from ..serializers.events import DeedOutput
from ..serializers.shared import Nothing
from .rows import ListView, RecordView, RowView


class ForModerators:
    """Nobody else sees what is asked for."""

    serializer_class = DeedOutput
    is_private = True
    read_scopes = ("moderate",)
    roles = {"GET": Role.MODERATOR, "POST": Role.MODERATOR}

    def rows(self) -> Any:
        return PendingDeed.objects.select_related("asked_by", "decided_by")


def waits(pending: PendingDeed) -> Response:
    """202: accepted, and not done yet."""
    address = reverse("v1:deed", kwargs={"public_id": pending.public_id})
    return Response(DeedOutput(pending).data, status=202, headers={"Location": address})


class Deeds(ForModerators, ListView):
    """What waits for a second moderator."""

    creates = False

    def rows(self) -> Any:
        return super().rows().waiting(timezone.now())


class DeedRecord(ForModerators, RecordView):
    """One of them, also when it has been decided."""


class DeedConfirm(ForModerators, RowView):
    inputs = {"POST": Nothing}

    def post(self, request: Request, public_id: str) -> Response:
        """Confirm it: it is done at once, in the name of who asked. Not by the one who asked: 403."""
        self.asked()
        two_persons.confirm(pending=self.row(public_id), **self.deed)
        return self.show(self.row(public_id))


class DeedDecline(ForModerators, RowView):
    inputs = {"POST": Nothing}

    def post(self, request: Request, public_id: str) -> Response:
        """Decline it, or take back what you asked for: nothing of it is done."""
        self.asked()
        two_persons.decline(pending=self.row(public_id), **self.deed)
        return self.show(self.row(public_id))
