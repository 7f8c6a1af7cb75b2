"""What moderators do to a whole variant. Each answers with what became of the id, in the form of its /fate."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.models import Role, Variant
from registry.queries.fates import fate

from ..conditional import require_match, tag_of, tag_of_record
from ..renderers import JSONRenderer
from ..serializers import events, record
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


class Merge(EventView):
    inputs = {"POST": events.MergeVariantInput}

    def post(self, request: Request, public_id: str) -> Response:
        """Merge it into another variant of its release; for moderators. `into` is the last survivor."""
        variant = self.matched()
        actions.merge_variants(variant=variant, **self.deed, **self.asked())
        return self.became(variant)


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

    def post(self, request: Request, public_id: str) -> Response:
        """Remove it; for moderators. Its id says so for ever."""
        variant = self.matched()
        actions.strike_variant(variant=variant, **self.deed, **self.asked())
        return self.became(variant)


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
