"""What moderators do to a whole variant. Each answers with what became of the id, in the form of its /fate."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.actions import two_persons
from registry.models import Role, Variant
from registry.queries.fates import fate

from ..conditional import require_match, tag_of, tag_of_record
from ..renderers import JSONRenderer
from ..serializers import events, record
from .deeds import waits
from .variants import VariantView, named


class EventView(VariantView):
    serializer_class: Any = record.FateOutput
    roles = {"POST": Role.MODERATOR}
    match_methods = ("POST",)
    may_be_gone = False

    def matched(self) -> Variant:
        """The variant that still stands, in the copy that the client has seen."""
        variant = self.variant()
        require_match(self.request, tag_of_record(variant.record_digest), variant.revision_number)
        return variant

    def became(self, variant: Variant) -> Response:
        return Response(fate(named(variant.public_id)))

    def ask(self, kind: str, variant: Variant, reason: str, **detail: str) -> Response:
        """Done at once where nobody could confirm it or nobody needs to; else 202 with what waits."""
        said = {"variant": variant.public_id, **detail}
        pending = two_persons.ask(kind=kind, detail=said, reason=reason, **self.deed)
        return self.became(variant) if pending is None else waits(pending)


class Merge(EventView):
    inputs = {"POST": events.MergeVariantInput}
    also_answers = {"POST": {202: events.DeedOutput}}

    def post(self, request: Request, public_id: str) -> Response:
        """Merge it into another variant of its release; for moderators. `into` is the last survivor.

        Answered with 202 where either is listed: another moderator has to confirm it, at /v1/deeds.
        """
        variant, said = self.matched(), self.asked()
        return self.ask("variant.merge", variant, said["reason"], into=said["into"].public_id)


class Split(EventView):
    inputs = {"POST": events.SplitVariantInput}

    def post(self, request: Request, public_id: str) -> Response:
        """Split parts out of it; for moderators. Each part's id is the `into` of one `parted` event."""
        variant, said = self.matched(), self.asked()
        parts = [actions.Part(**part) for part in said.pop("parts")]
        actions.split_variant(variant=variant, parts=parts, **self.deed, **said)
        return self.became(variant)


class Strike(EventView):
    inputs = {"POST": events.StrikeVariantInput}
    also_answers = {"POST": {202: events.DeedOutput}}

    def post(self, request: Request, public_id: str) -> Response:
        """Remove it; for moderators. Its id says so for ever.

        Answered with 202: another moderator has to confirm it, at /v1/deeds; 200 where there is no other.
        """
        variant, said = self.matched(), self.asked()
        return self.ask("variant.strike", variant, said["reason"], reason_code=said["reason_code"])


class Restore(EventView):
    inputs = {"POST": events.WhyInput}

    def matched(self) -> Variant:
        """The variant, gone or not: If-Match names the copy of its /fate."""
        variant = named(self.kwargs["public_id"])
        require_match(self.request, tag_of(JSONRenderer().render(fate(variant))))
        return variant

    def post(self, request: Request, public_id: str) -> Response:
        """Take its last strike, merge or split back; for moderators. If-Match is the ETag of its /fate."""
        variant = self.matched()
        actions.restore_variant(variant=variant, **self.deed, **self.asked())
        return self.became(variant)


class Retitle(EventView):
    serializer_class = record.RevisionOutput
    inputs = {"POST": events.RetitleVariantInput}

    def post(self, request: Request, public_id: str) -> Response:
        """Give it a better title, other nicknames, or both; for moderators. Answers with the new revision."""
        kept: Any = actions.retitle_variant(variant=self.matched(), **self.deed, **self.asked())
        return self.show(kept.revisions.select_related("variant", "parent", "author").latest("number"))
