"""The record itself: variants, the claims they are made of, their revisions, and moderators' events."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from registry.sentences import Sentence

from .base import AppendOnly, Identified, SentencesField, one_of
from .traits import State, Trait, TraitKind


class VariantStanding(models.TextChoices):
    PROVISIONAL = "provisional", _("provisional")
    VERIFIED = "verified", _("verified")
    CONTESTED = "contested", _("contested")
    SET_APART = "set_apart", _("set apart")
    STRUCK = "struck", _("struck")
    MERGED = "merged", _("merged")
    SPLIT = "split", _("split")


GONE = (VariantStanding.STRUCK, VariantStanding.MERGED, VariantStanding.SPLIT)
LISTED = (VariantStanding.VERIFIED, VariantStanding.CONTESTED, VariantStanding.SET_APART)
"""What an edition lists."""


class VariantQuerySet(models.QuerySet["Variant"]):
    def live(self) -> VariantQuerySet:
        """All that still stand for themselves: not merged, split or struck."""
        return self.exclude(standing__in=GONE)

    def standing_for(self, variant: Variant) -> VariantQuerySet:
        """The variant, and those that were merged into it."""
        return self.filter(Q(pk=variant.pk) | Q(merged_into=variant))

    def verified(self) -> VariantQuerySet:
        return self.filter(standing=VariantStanding.VERIFIED)


class Variant(Identified):
    """One combination of vehicle states of a release.

    Created by actions.submit. Standing, record, digest and changed_at are written by actions.settle alone, from
    the one pure function that decides standing; `record` is the canonical document that the API serves.
    """

    release = models.ForeignKey("registry.Release", models.PROTECT, related_name="variants")
    title = models.CharField(max_length=120)
    nicknames = models.JSONField(default=list, blank=True)
    noticed_by = models.ForeignKey(
        "registry.Member", models.PROTECT, null=True, blank=True, related_name="noticed_variants"
    )
    noticed_in = models.CharField(
        max_length=200, blank=True, help_text="Where it was published first, if it was."
    )
    noticed_on = models.DateField(
        null=True, blank=True, help_text="Earliest dated sighting; sorts the release page."
    )
    sent_at = models.DateTimeField(help_text="Order of sending decides which variant must differ from which.")
    revision_number = models.PositiveIntegerField(default=1)
    standing = models.CharField(max_length=11, choices=VariantStanding, default=VariantStanding.PROVISIONAL)
    missing = SentencesField(default=list, help_text="Sentences: what still keeps it from being verified.")
    is_founding = models.BooleanField(default=False, help_text="Its standing rests on the founding policy.")
    cause = models.CharField(
        max_length=16, blank=True, help_text="Key of the open claim on cause; blank: not known."
    )
    merged_into = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="merged_from")
    split_from = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="parts",
        help_text="The variant that it was a part of.",
    )
    record = models.TextField(default="", blank=True, help_text="Canonical JSON, RFC 8785.")
    record_digest = models.CharField(max_length=64, blank=True, help_text="SHA-256 over 0x00 and the record.")
    changed_at = models.DateTimeField(help_text="When the record last changed.")

    objects = VariantQuerySet.as_manager()

    class Meta:
        constraints = [
            one_of("standing", VariantStanding, "variant_standing_known"),
            models.CheckConstraint(
                condition=Q(standing="merged", merged_into__isnull=False)
                | (~Q(standing="merged") & Q(merged_into__isnull=True)),
                name="variant_merged_names_survivor",
            ),
            models.CheckConstraint(condition=Q(revision_number__gte=1), name="variant_revision_positive"),
        ]
        indexes = [
            models.Index(fields=["changed_at", "public_id"], name="variant_by_change"),
            models.Index(fields=["standing", "public_id"], name="variant_by_standing"),
            models.Index(fields=["cause", "public_id"], name="variant_by_cause"),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def is_gone(self) -> bool:
        return self.standing in GONE

    @property
    def is_listed(self) -> bool:
        return self.standing in LISTED

    @property
    def survivor(self) -> Variant:
        """The variant that stands for this one; merges point straight at the last survivor."""
        return self.merged_into or self


class ClaimStanding(models.TextChoices):
    OPEN = "open", _("open")
    CONFIRMED = "confirmed", _("confirmed")
    DISPUTED = "disputed", _("disputed")
    REFUTED = "refuted", _("refuted")


WAITING = (ClaimStanding.OPEN, ClaimStanding.DISPUTED)
"""Undecided: what the review desk offers."""
DECIDED = (ClaimStanding.CONFIRMED, ClaimStanding.REFUTED)


class ClaimQuerySet(models.QuerySet["Claim"]):
    def open(self) -> ClaimQuerySet:
        """Standing in the record now; rivals of open disputes are not."""
        return self.filter(closed_at=None, is_rival=False)

    def votable(self) -> ClaimQuerySet:
        """Open claims and open rivals alike."""
        return self.filter(closed_at=None)

    def on(self, trait: Trait) -> ClaimQuerySet:
        """On this trait, or on one that was merged into it."""
        return self.filter(Q(trait=trait) | Q(trait__merged_into=trait))

    def on_cause(self) -> ClaimQuerySet:
        """On why the variant differs."""
        return self.filter(trait__kind=TraitKind.CAUSE)

    def but_cause(self) -> ClaimQuerySet:
        """On what can be seen of the variant."""
        return self.exclude(trait__kind=TraitKind.CAUSE)

    def counting_on(self, claims: Iterable[Any]) -> ClaimQuerySet:
        """These claims (rows or keys), and those of merged variants whose votes and marks count on them."""
        keys = (
            claims if isinstance(claims, models.QuerySet) else [getattr(each, "pk", each) for each in claims]
        )
        return self.filter(Q(pk__in=keys) | Q(merged_into__in=keys))

    def of(self, state: State) -> ClaimQuerySet:
        """Of this state, or of one that was merged into it."""
        return self.filter(Q(state=state) | Q(state__merged_into=state))


class Claim(Identified):
    """A fixed row: this variant has this state of this trait. Correcting closes it and opens a successor.

    Opened by actions.submit and actions.dispute; standing is written by actions.settle.
    """

    variant = models.ForeignKey(Variant, models.PROTECT, related_name="claims")
    trait = models.ForeignKey("registry.Trait", models.PROTECT, related_name="claims")
    state = models.ForeignKey("registry.State", models.PROTECT, related_name="claims")
    author = models.ForeignKey(
        "registry.Member",
        models.PROTECT,
        null=True,
        related_name="claims",
        help_text="Null: set by the system.",
    )
    submission = models.ForeignKey(
        "registry.Submission",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="claims",
        help_text="Owners of its photos may not vote on the claim.",
    )
    is_difference = models.BooleanField(default=False, help_text="The submission named it as the difference.")
    base_claim = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="differing_claims",
        help_text="The claim of the other variant that this one differs from.",
    )
    is_rival = models.BooleanField(default=False, help_text="Opened by a dispute that has not been decided.")
    predecessor = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="successors")
    merged_into = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="merged_from",
        help_text="Its variant was merged: the last claim on which its votes and marks count.",
    )
    since_revision = models.PositiveIntegerField(null=True, blank=True, help_text="Null while it is a rival.")
    opened_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    standing = models.CharField(max_length=9, choices=ClaimStanding, default=ClaimStanding.OPEN)
    missing = SentencesField(default=list, help_text="Sentences: what still keeps it from being confirmed.")
    posterior = models.FloatField(
        default=0.5, help_text="Probability that it is true, given the votes that count."
    )
    votes_counted = models.PositiveIntegerField(default=0)
    examples_shown = models.PositiveIntegerField(default=0, help_text="On how many examples it is marked.")
    has_sealed_proof = models.BooleanField(default=False)
    is_founding = models.BooleanField(default=False, help_text="It stands only by the founding policy.")
    owners_counted = models.PositiveIntegerField(
        default=0, help_text="Of the votes counted, those that name an own photographed example."
    )
    needs_only_votes = models.BooleanField(
        default=False, help_text="Its evidence is whole and nothing contests it."
    )
    urgency = models.PositiveIntegerField(
        default=0,
        help_text="How early the review desk offers it: what a vote is expected to settle, in thousandths.",
    )
    was_founding = models.BooleanField(
        default=False,
        help_text="It once stood only by the founding policy, and the full one has not decided it since.",
    )

    objects = ClaimQuerySet.as_manager()

    class Meta:
        constraints = [
            one_of("standing", ClaimStanding, "claim_standing_known"),
            models.UniqueConstraint(
                "variant",
                "trait",
                condition=Q(closed_at=None, is_rival=False),
                name="claim_one_open_per_trait",
            ),
            models.CheckConstraint(
                condition=Q(is_rival=True, since_revision=None)
                | Q(is_rival=False, since_revision__isnull=False),
                name="claim_rival_or_in_a_revision",
            ),
            models.CheckConstraint(
                condition=Q(closed_at=None) | Q(closed_at__gte=F("opened_at")),
                name="claim_closed_after_opened",
            ),
            models.CheckConstraint(
                condition=Q(posterior__gte=0, posterior__lte=1), name="claim_posterior_in_range"
            ),
        ]
        indexes = [
            models.Index(
                fields=["trait", "state", "variant"], condition=Q(closed_at=None), name="claim_by_state"
            ),
            models.Index(
                fields=["-urgency", "opened_at", "id"],
                condition=Q(
                    closed_at=None
                ),  # no more: SQLite must see that it holds, whatever is filtered by
                name="claim_queue",
            ),
        ]

    def __str__(self) -> str:
        return Sentence("%(trait)s: %(state)s", trait=str(self.trait), state=str(self.state))

    @property
    def words(self) -> Sentence:
        """By what its detail and its state were merged into, if they were."""
        trait, state = self.trait.survivor, self.state.survivor
        return Sentence("%(trait)s: %(state)s", trait=str(trait), state=str(state))

    @property
    def is_open(self) -> bool:
        return self.closed_at is None


class Revision(AppendOnly):
    """An immutable numbered snapshot of a variant. `claims` lists the public ids of its claims, sorted."""

    variant = models.ForeignKey(Variant, models.PROTECT, related_name="revisions")
    number = models.PositiveIntegerField()
    parent = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="children")
    claims = models.JSONField()
    title = models.CharField(max_length=120)
    nicknames = models.JSONField(default=list)
    author = models.ForeignKey("registry.Member", models.PROTECT, null=True, related_name="revisions")
    reason = models.CharField(max_length=300)
    at = models.DateTimeField()
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["variant", "number"]
        constraints = [
            models.UniqueConstraint("variant", "number", name="revision_number_once"),
            models.CheckConstraint(
                condition=Q(number=1, parent=None) | Q(number__gt=1, parent__isnull=False),
                name="revision_names_parent",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.variant} r{self.number}"


class ModeratorEventKind(models.TextChoices):
    STRUCK = "struck", _("struck")
    MERGED = "merged", _("merged")
    SPLIT = "split", _("split")
    PARTED = "parted", _("parted")
    RESTORED = "restored", _("restored")


class StrikeReason(models.TextChoices):
    CUSTOMISED = "customised", _("a customised item")
    HOAX = "hoax", _("a hoax")
    DUPLICATE_PHOTOS = "duplicate_photos", _("photographs used twice")
    MISTAKEN = "mistaken", _("reported by mistake")


class ModeratorEvent(AppendOnly):
    """A moderator struck, merged, split or restored a variant. The latest event counts; undoing is another event.

    Written by actions.events. `parted` names in `into` one part that was split out; where no main part keeps the
    id, `split` follows.
    """

    variant = models.ForeignKey(Variant, models.PROTECT, related_name="moderator_events")
    kind = models.CharField(max_length=8, choices=ModeratorEventKind)
    into = models.ForeignKey(Variant, models.PROTECT, null=True, blank=True, related_name="+")
    claims = models.JSONField(
        default=dict,
        help_text="Of a merge: each claim that closed, to the one that took its place; blank: none did.",
    )
    reason_code = models.CharField(max_length=16, choices=StrikeReason, blank=True)
    reason = models.CharField(max_length=300)
    by = models.ForeignKey("registry.Member", models.PROTECT, related_name="+")
    seconded_by = models.ForeignKey(
        "registry.Member", models.PROTECT, null=True, blank=True, related_name="+"
    )
    at = models.DateTimeField()

    class Meta:
        constraints = [
            one_of("kind", ModeratorEventKind, "moderator_event_kind_known"),
            models.CheckConstraint(
                condition=Q(kind="struck", reason_code__in=StrikeReason.values)
                | (~Q(kind="struck") & Q(reason_code="")),
                name="moderator_event_struck_says_why",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.variant}: {self.kind}"
