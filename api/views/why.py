"""Why a claim stands as it does."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from registry.models import Claim
from registry.queries.blind import missing_as_read
from registry.queries.why import Explanation, explained

from ..serializers.why import WhyOutput
from ..visibility import reader
from .rows import RowView

SCALE = 10_000


class ClaimWhy(RowView):
    serializer_class = WhyOutput
    parameters = ("fields",)

    def rows(self) -> Any:
        return Claim.objects.select_related("merged_into")

    def get(self, request: Request, public_id: str) -> Response:
        """What the claim's standing rests on: evidence, disputes, each vote with its weight, what would change it.

        Votes are blind: who has not voted on an undecided claim is told of evidence and of what is missing alone.
        """
        return self.show(answer(explained(self.row(public_id).public_id, reader(request))))


def answer(told: Explanation) -> dict[str, Any]:
    standing = told.why.standing
    given: dict[str, Any] = {
        "id": told.claim.public_id,
        "standing": standing.standing,
        "founding": standing.founding,
        "missing": missing_as_read(standing.missing, told.votes_shown),
        "shown_by": [
            {
                "mark": mark.public_id,
                "photo": mark.photo.public_id,
                "example": mark.example.public_id,
                "condition": mark.example.condition,
            }
            for mark in told.marks
        ],
        "sealed": standing.sealed,
        "proof": told.why.proof,
        "disputes": [
            {"id": d.public_id, "outcome": d.outcome, "contests": d.contests, "reason": d.reason}
            for d in told.disputes
        ],
        "votes_shown": told.votes_shown,
    }
    return given | of_votes(told) if told.votes_shown else given


def of_votes(told: Explanation) -> dict[str, Any]:
    return {
        "probability": round(told.why.standing.posterior * SCALE),
        "likely": told.why.likely,
        "votes": [
            {
                "by": heard.by,
                "on": heard.on,
                "confirms": heard.confirms,
                "basis": vote.basis,
                "example": heard.example,
                "weight": round(heard.weight * SCALE),
                "words": heard.words,
                "at": vote.at,
            }
            for vote, heard in told.heard
        ],
        "votes_not_heard": [
            {"by": unheard.by, "verdict": unheard.verdict, "reason": unheard.reason, "at": vote.at}
            for vote, unheard in told.unheard
        ],
        "would_change": [
            {
                "to": turn.to,
                "verdict": turn.verdict,
                "votes": turn.votes,
                "way": turn.way,
                "moderator": turn.moderator,
                "words": turn.words,
            }
            for turn in told.why.turns
        ],
    }
