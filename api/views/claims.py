"""Claims, and the one vote each member has on a claim or on a statement of order."""

from __future__ import annotations

from typing import Any

from django.db.models import Prefetch
from django.db.models.functions import Coalesce
from rest_framework.request import Request
from rest_framework.response import Response

from registry import actions
from registry.errors import IdentityMoved
from registry.models import Claim, Statement, Vote
from registry.queries.blind import seen_by

from .. import filters
from ..problems import Problem
from ..serializers import record
from ..throttles import ident
from ..visibility import reader
from .base import ApiView
from .rows import ListView, RecordView


def claims(request: Request) -> Any:
    """Claims with all that their answer shows to the requester, at a fixed number of queries."""
    related = (
        "variant__merged_into",
        "trait__merged_into",
        "state__merged_into",
        "author",
        "base_claim",
        "predecessor",
        "merged_into",
    )
    votes = Prefetch(
        "votes",
        Vote.objects.current().filter(counts=True).only("claim", "verdict", "by"),
        to_attr="votes_cast",
    )
    merged = Prefetch("merged_from", Claim.objects.prefetch_related(votes), to_attr="merged_here")
    rows = Claim.objects.select_related(*related).prefetch_related(votes, merged)
    return rows.annotate(may_see_votes=seen_by(reader(request)))


class Claims(ListView):
    """Claims that stand now, and the rivals of open disputes."""

    serializer_class = record.ClaimOutput
    filterset_class = filters.ClaimFilters
    creates = False

    def rows(self) -> Any:
        return claims(self.request).filter(closed_at=None)


class ClaimRecord(RecordView):
    """A claim as it was made: one that was merged says which took its place, and stays readable."""

    serializer_class = record.ClaimOutput

    def pick(self, rows: Any, public_id: str) -> Any:
        claim = rows.filter(public_id=public_id).first()
        if claim is None:
            raise Problem("not-found")
        return claim

    def rows(self) -> Any:
        return claims(self.request)


class VoteView(ApiView):
    """The requester's own vote on one thing."""

    serializer_class = record.VoteOutput
    is_private = True
    read_scopes = ("review", "read")
    write_scopes = ("review",)
    noun = ""

    def subject(self, public_id: str) -> Any:
        raise NotImplementedError

    def get(self, request: Request, public_id: str) -> Response:
        """Your current vote there."""
        vote = own_votes(request).filter(**{self.noun: self.subject(public_id)}).first()
        if vote is None:
            raise Problem("not-found", "You have no vote there.")
        return self.show(vote)

    def put(self, request: Request, public_id: str) -> Response:
        """Cast your vote, or change it; the earlier one is kept as history. Only reviewers' votes count."""
        said = {self.noun: self.subject(public_id), **self.asked()}
        vote = actions.cast_vote(**self.deed, **said)
        actions.note_address(member=self.member, address=ident(request), at=vote.at)
        return self.show(vote)

    def delete(self, request: Request, public_id: str) -> Response:
        """Take your vote back."""
        actions.withdraw_vote(**self.deed, **{self.noun: self.subject(public_id)})
        return Response(status=204)


class ClaimVote(VoteView):
    inputs = {"PUT": record.VoteInput}
    noun = "claim"

    def subject(self, public_id: str) -> Claim:
        claim = (
            Claim.objects.filter(public_id=public_id)
            .select_related("variant__release", "trait", "state")
            .first()
        )
        if claim is None:
            raise Problem("not-found")
        if self.request.method != "GET":
            refuse_gone(claim)
        return claim


class StatementVote(VoteView):
    inputs = {"PUT": record.StatementVoteInput}
    noun = "statement"

    def subject(self, public_id: str) -> Statement:
        statement = Statement.objects.filter(public_id=public_id).select_related("release").first()
        if statement is None:
            raise Problem("not-found")
        return statement


def refuse_gone(claim: Claim) -> None:
    """Errors: IdentityMoved for a claim of a variant that was merged, split or struck."""
    if claim.variant.is_gone:
        into = claim.variant.merged_into
        raise IdentityMoved(field="claim", **({"moved_to": f"/v1/variants/{into.public_id}"} if into else {}))


def own_votes(request: Request) -> Any:
    return (
        Vote.objects.current()
        .filter(by=request.user)
        .select_related("claim", "statement", "state_seen", "example")
    )


class Votes(ListView):
    """The requester's own current votes, in the order they were cast."""

    serializer_class = record.VoteOutput
    is_private = True
    read_scopes = ("review", "read")
    sort_keys = {"at": ("at", "subject")}
    creates = False

    def rows(self) -> Any:
        return own_votes(self.request).annotate(subject=Coalesce("claim__public_id", "statement__public_id"))
