"""What was learnt from the votes: how far to trust whom, and on which traits reviewers agree."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from .base import AppendOnly, AppendOnlyQuerySet
from .traits import TraitKind

MILLION = 1_000_000


def _millionths(name: str, of: str) -> models.CheckConstraint:
    return models.CheckConstraint(condition=Q(**{f"{of}__gt": 0, f"{of}__lt": MILLION}), name=name)


class Fit(AppendOnly):
    """Reliabilities learnt from all votes up to a moment, numbered. Written by actions.consensus.

    A fit decides nothing until it is adopted. `digest` is over all its rates, so that an edition can name them.
    """

    number = models.PositiveIntegerField(unique=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        "registry.Member", models.PROTECT, null=True, related_name="+", help_text="Null: the command line."
    )
    policy = models.ForeignKey("registry.Policy", models.PROTECT, related_name="fits")
    cut = models.PositiveBigIntegerField(help_text="Key of the newest vote it saw.")
    claims = models.PositiveIntegerField()
    votes = models.PositiveIntegerField()
    reviewers = models.PositiveIntegerField()
    known = models.PositiveIntegerField(help_text="Claims whose answer was given: moderators' rulings.")
    prior = models.PositiveIntegerField(
        help_text="Share of claims found true, in millionths; for reading only."
    )
    rounds = models.PositiveIntegerField()
    objective = models.FloatField(help_text="Penalised log-likelihood after the last round.")
    converged = models.BooleanField()
    settings = models.JSONField(help_text="The numbers that the learning started with.")
    digest = models.CharField(max_length=64, help_text="SHA-256 over its rates, one canonical line each.")

    class Meta:
        ordering = ["number"]
        constraints = [_millionths("fit_prior_in_range", "prior")]

    def __str__(self) -> str:
        return f"fit {self.number}"


class FitRate(AppendOnly):
    """How well one reviewer, or everybody (`member` null), judges one kind of trait on one basis.

    `kind` blank is all kinds together. Rates are shown to nobody but the reviewer themselves.
    """

    fit = models.ForeignKey(Fit, models.PROTECT, related_name="rates")
    member = models.ForeignKey("registry.Member", models.PROTECT, null=True, related_name="fit_rates")
    kind = models.CharField(max_length=8, choices=TraitKind, blank=True)
    in_hand = models.BooleanField()
    sensitivity = models.PositiveIntegerField(help_text="Of true claims, confirmed; millionths.")
    specificity = models.PositiveIntegerField(help_text="Of false claims, contradicted; millionths.")
    votes = models.PositiveIntegerField(help_text="Votes behind it; those on known claims weigh more.")

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=["", *TraitKind.values]), name="fit_rate_kind_known"),
            _millionths("fit_rate_sensitivity_in_range", "sensitivity"),
            _millionths("fit_rate_specificity_in_range", "specificity"),
            models.CheckConstraint(
                condition=Q(sensitivity__gte=MILLION - F("specificity")), name="fit_rate_turns_nobody_round"
            ),
            models.UniqueConstraint("fit", "member", "kind", "in_hand", name="fit_rate_once"),
            models.UniqueConstraint(
                "fit", "kind", "in_hand", condition=Q(member=None), name="fit_rate_once_for_everybody"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.member or 'everybody'}, {self.kind or 'all kinds'}"


class Confusion(AppendOnly):
    """Of votes on claims of one state, how many saw which state. A confirmation saw what was claimed.

    `expected` counts each vote by the probability that the claim was true: only then is it a mistake to see
    another state.
    """

    fit = models.ForeignKey(Fit, models.PROTECT, related_name="confusions")
    trait = models.ForeignKey("registry.Trait", models.PROTECT, related_name="+")
    claimed = models.ForeignKey("registry.State", models.PROTECT, related_name="+")
    seen = models.ForeignKey("registry.State", models.PROTECT, related_name="+")
    count = models.PositiveIntegerField(help_text="Votes.")
    expected = models.PositiveBigIntegerField(help_text="Votes expected on true claims, in millionths.")

    class Meta:
        constraints = [models.UniqueConstraint("fit", "claimed", "seen", name="confusion_once")]
        indexes = [models.Index(fields=["fit", "trait"], name="confusion_by_trait")]

    def __str__(self) -> str:
        return f"{self.claimed} taken for {self.seen}"


class TraitAgreementQuerySet(AppendOnlyQuerySet["TraitAgreement"]):
    def in_force(self) -> TraitAgreementQuerySet:
        """Those of the fit adopted last."""
        return self.filter(fit=models.Subquery(FitAdoption.objects.order_by("-pk").values("fit")[:1]))


class TraitAgreement(AppendOnly):
    """Krippendorff's alpha of one trait over all claims on it, with its bootstrap interval, in millionths."""

    fit = models.ForeignKey(Fit, models.PROTECT, related_name="agreements")
    trait = models.ForeignKey("registry.Trait", models.PROTECT, related_name="agreements")
    alpha = models.IntegerField(
        null=True, help_text="Null: everybody said the same, so there is nothing to tell."
    )
    low = models.IntegerField(null=True)
    high = models.IntegerField(null=True)
    units = models.PositiveIntegerField(help_text="Claims with two votes or more.")
    votes = models.PositiveIntegerField(help_text="Votes on those.")
    is_hard = models.BooleanField(help_text="Hard to judge: the whole interval lies below the limit.")
    confused = models.JSONField(
        default=list,
        help_text="Pairs of states most often seen for one another: [id or null, id or null, hundredths].",
    )

    objects = TraitAgreementQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        constraints = [models.UniqueConstraint("fit", "trait", name="trait_agreement_once")]

    def __str__(self) -> str:
        return f"{self.trait} in {self.fit}"


class FitAdoptionQuerySet(AppendOnlyQuerySet["FitAdoption"]):
    def current_fit(self) -> Fit | None:
        """The fit adopted last; None before the first adoption: everybody counts as the policy says."""
        adoption = self.select_related("fit").order_by("pk").last()
        return adoption.fit if adoption else None


class FitAdoption(AppendOnly):
    """From here on, votes weigh by this fit. The last adoption counts."""

    fit = models.ForeignKey(Fit, models.PROTECT, related_name="adoptions")
    by = models.ForeignKey(
        "registry.Member", models.PROTECT, null=True, related_name="+", help_text="Null: the command line."
    )
    at = models.DateTimeField()
    reason = models.CharField(max_length=300)

    objects = FitAdoptionQuerySet.as_manager()  # type: ignore[misc]

    def __str__(self) -> str:
        return f"{self.fit} adopted"
