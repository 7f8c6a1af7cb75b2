"""Variants, their claims, revisions and standing, and votes on them, as answers."""

from __future__ import annotations

from collections import Counter
from typing import Any

from rest_framework import serializers

from registry.models import Basis, Example, State, Verdict
from registry.queries.blind import missing_of

from .shared import IdOutput, Input, ReferenceField, Whole
from .shared import Line as Text


class ClaimEntryOutput(serializers.Serializer[Any]):
    id = serializers.CharField()
    state = serializers.CharField(help_text="Key of the state.")
    standing = serializers.CharField()
    difference = serializers.BooleanField()
    examples = serializers.IntegerField(min_value=0, max_value=3, help_text="3 means 3 or more.")
    sealed = serializers.BooleanField()
    since = serializers.IntegerField()


class EvidenceEntryOutput(serializers.Serializer[Any]):
    sha256 = serializers.CharField()
    licence = serializers.CharField()
    by = serializers.CharField(help_text="Public id of the photo's owner.")
    shows = serializers.DictField(
        child=serializers.CharField(), help_text="By trait key, a region: xywh=percent:…"
    )


class VariantOutput(serializers.Serializer[Any]):
    """The canonical record. Its digest, cut to 32 hex digits, is its ETag; editions hold the same bytes."""

    format = serializers.CharField()
    id = serializers.CharField()
    revision = serializers.IntegerField()
    standing = serializers.CharField()
    maker = serializers.CharField()
    line = serializers.CharField()
    casting = serializers.CharField()
    release = serializers.CharField()
    names = serializers.DictField(
        child=serializers.CharField(),
        help_text="Of maker, line, casting and release, with the release's number.",
    )
    cause = serializers.CharField(required=False)
    title = serializers.CharField()
    year = serializers.IntegerField()
    claims = serializers.DictField(
        child=ClaimEntryOutput(), help_text="By trait key; a missing key means unknown."
    )
    evidence = serializers.DictField(child=EvidenceEntryOutput(), help_text="By photo id.")
    credit = serializers.ListField(child=serializers.CharField())
    founding = serializers.BooleanField(
        required=False, help_text="Its standing rests on the founding policy."
    )
    into = serializers.CharField(required=False)
    split_from = serializers.CharField(required=False, help_text="The variant that it was a part of.")
    split_out = serializers.ListField(
        child=serializers.CharField(), required=False, help_text="Parts that became variants of their own."
    )
    changed = serializers.CharField()


class RevisionOutput(serializers.Serializer[Any]):
    """An immutable snapshot."""

    variant = IdOutput()
    number = serializers.IntegerField()
    parent = serializers.IntegerField(  # type: ignore[assignment]
        source="parent.number", allow_null=True, default=None
    )
    title = serializers.CharField()
    nicknames = serializers.ListField(child=serializers.CharField())
    claims = serializers.ListField(child=serializers.CharField(), help_text="Ids, each at /v1/claims/{id}.")
    author = serializers.CharField(source="author.public_id", allow_null=True, default=None)
    reason = serializers.CharField()
    at = serializers.DateTimeField()
    digest = serializers.CharField()


class FateEventOutput(serializers.Serializer[Any]):
    at = serializers.DateTimeField()
    kind = serializers.CharField(
        help_text="new, changed or ended in an edition; struck, merged, split, parted or restored."
    )
    edition = serializers.IntegerField(required=False)
    revision = serializers.IntegerField(required=False)
    digest = serializers.CharField(required=False)
    into = serializers.CharField(
        required=False, help_text="Of `merged` the survivor; of `parted` the part that was split out."
    )
    reason = serializers.CharField(required=False)
    reason_code = serializers.CharField(required=False, help_text="Of `struck`.")


class FateOutput(serializers.Serializer[Any]):
    id = serializers.CharField()
    standing = serializers.CharField()
    into = serializers.CharField(required=False)
    split_from = serializers.CharField(required=False)
    successors = serializers.ListField(
        child=serializers.CharField(), required=False, help_text="Of a split variant."
    )
    events = FateEventOutput(many=True)


class TallyOutput(serializers.Serializer[Any]):
    confirms = serializers.IntegerField()
    contradicts = serializers.IntegerField()
    cannot_tell = serializers.IntegerField()


class MissingOutput(serializers.ListField):
    """Sentences that do not tell a tally to who may not see it."""

    child = serializers.CharField()

    def get_attribute(self, instance: Any) -> list[str]:
        return missing_of(instance)


class ClaimOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    variant = IdOutput()
    trait = IdOutput()
    trait_key = serializers.CharField(source="trait.survivor.key")
    state = IdOutput()
    state_key = serializers.CharField(source="state.survivor.key")
    author = serializers.CharField(source="author.public_id", allow_null=True, default=None)
    is_difference = serializers.BooleanField()
    base_claim = serializers.CharField(source="base_claim.public_id", allow_null=True, default=None)
    is_rival = serializers.BooleanField()
    predecessor = serializers.CharField(source="predecessor.public_id", allow_null=True, default=None)
    merged_into = serializers.CharField(
        source="merged_into.public_id",
        allow_null=True,
        default=None,
        help_text="The claim that took its place when its variant was merged.",
    )
    since_revision = serializers.IntegerField(allow_null=True)
    opened_at = serializers.DateTimeField()
    closed_at = serializers.DateTimeField(allow_null=True)
    standing = serializers.CharField()
    examples = serializers.IntegerField(source="examples_shown")
    sealed = serializers.BooleanField(source="has_sealed_proof")
    founding = serializers.BooleanField(source="is_founding")
    missing = MissingOutput(
        help_text="What still keeps it from being confirmed. It says how many votes only to who may see them."
    )
    votes = TallyOutput(
        source="votes_shown",
        required=False,
        help_text="Current votes that count, by verdict. Left out of an undecided claim that the requester has not "
        "voted on, so that nobody votes as others did.",
    )

    def to_representation(self, instance: Any) -> dict[str, Any]:
        if instance.may_see_votes:
            # Votes on claims that were merged into it count here, but the later of two by one member.
            votes = [
                *instance.votes_cast,
                *(vote for one in instance.merged_here for vote in one.votes_cast),
            ]
            latest = {vote.by_id: vote.verdict for vote in sorted(votes, key=lambda vote: vote.pk)}
            cast = Counter(latest.values())
            instance.votes_shown = {word: cast[word] for word in Verdict.values}
        return dict(super().to_representation(instance))


class StandingOutput(serializers.Serializer[Any]):
    """Where a variant stands and what is still missing, in words that may be reworded."""

    id = serializers.CharField(source="public_id")
    standing = serializers.CharField()
    founding = serializers.BooleanField(source="is_founding", help_text="It rests on the founding policy.")
    missing = MissingOutput()
    claims = ClaimOutput(
        many=True, source="claims_shown", help_text="Those that stand, and rivals of open disputes."
    )


class VoteOutput(serializers.Serializer[Any]):
    claim = serializers.CharField(source="claim.public_id", allow_null=True, default=None)
    statement = serializers.CharField(source="statement.public_id", allow_null=True, default=None)
    verdict = serializers.CharField()
    basis = serializers.CharField()
    state_seen = serializers.CharField(source="state_seen.public_id", allow_null=True, default=None)
    example = serializers.CharField(source="example.public_id", allow_null=True, default=None)
    note = serializers.CharField()
    base_revision = serializers.IntegerField(allow_null=True)
    counts = serializers.BooleanField(help_text="You were a reviewer when voting.")
    at = serializers.DateTimeField()


class VoteInput(Input):
    verdict = serializers.ChoiceField(Verdict.choices)
    basis = serializers.ChoiceField(Basis.choices)
    state_seen = ReferenceField(
        State.objects.all,
        required=False,
        allow_null=True,
        help_text="When you contradict: the state you see instead.",
    )
    example = ReferenceField(Example.objects.all, required=False, allow_null=True)
    note = Text(300, required=False)
    base_revision = Whole(1, required=False, allow_null=True, help_text="The revision you looked at.")


class StatementVoteInput(Input):
    verdict = serializers.ChoiceField(Verdict.choices)
    basis = serializers.ChoiceField(Basis.choices)
    note = Text(300, required=False)
