"""What was said about the order of variants, and how the codes on a line's items are read."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from registry.methods import codes
from registry.sentences import Sentence

from .base import Identified, SentencesField, one_of


class CodeDates(models.TextChoices):
    """What a production code dates: a part of the item, or the item's packing."""

    MOULDING = "moulding", _("when a part was moulded")
    PRINTING = "printing", _("when a part was printed")
    PACKING = "packing", _("when it was packed")


class CodePattern(Identified):
    """How one kind of code on the items of a line is read into dates. Written by moderators, actions.codes."""

    line = models.ForeignKey("registry.Line", models.PROTECT, related_name="code_patterns")
    name = models.CharField(max_length=80, help_text="Where it stands: lower flap, inside of the base.")
    template = models.CharField(max_length=40, help_text="As methods.codes describes.")
    dates = models.CharField(max_length=8, choices=CodeDates)
    first_year = models.PositiveSmallIntegerField(help_text="The first year that the code can mean.")
    margin_days = models.PositiveSmallIntegerField(
        default=0, help_text="How many days the true date may lie outside what the code says."
    )
    source = models.CharField(max_length=200)
    added_by = models.ForeignKey("registry.Member", models.PROTECT, related_name="+")
    added_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint("line", "name", "template", name="code_pattern_once_per_line"),
            one_of("dates", CodeDates, "code_pattern_dates_known"),
            models.CheckConstraint(
                condition=Q(first_year__gte=1900, first_year__lte=2200), name="code_pattern_year_plausible"
            ),
            models.CheckConstraint(
                condition=Q(margin_days__lte=366), name="code_pattern_margin_within_a_year"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}: {self.template}"

    @property
    def pattern(self) -> codes.Pattern:
        return codes.Pattern(self.template, self.first_year, self.margin_days)


class StatementKind(models.TextChoices):
    BEFORE = "before", _("was made before")
    ALONGSIDE = "alongside", _("was made alongside")
    ENDED_BY = "ended_by", _("was replaced by")
    RETURNED = "returned", _("came back after")
    PACKED = "packed", _("was packed together with")
    NOT_BEFORE = "not_before", _("was not made before the date")
    NOT_AFTER = "not_after", _("was not made after the date")
    CODED = "coded", _("carries a code")


_IN_WORDS = {
    StatementKind.BEFORE: Sentence("%(variant)s was made before %(other)s"),
    StatementKind.ALONGSIDE: Sentence("%(variant)s was made alongside %(other)s"),
    StatementKind.ENDED_BY: Sentence("%(variant)s was replaced by %(other)s"),
    StatementKind.RETURNED: Sentence("%(variant)s came back after %(other)s"),
    StatementKind.PACKED: Sentence("%(variant)s and %(other)s had both been made by %(on)s"),
    StatementKind.NOT_BEFORE: Sentence("%(variant)s was not made before the date %(on)s"),
    StatementKind.NOT_AFTER: Sentence("%(variant)s was not made after the date %(on)s"),
    StatementKind.CODED: Sentence("%(variant)s carries the code %(code)s: %(on)s to %(until)s"),
}


class SourceKind(models.TextChoices):
    DATED_SIGHTING = "dated_sighting", _("a dated sighting")
    MAKERS_NOTICE = "makers_notice", _("a notice of the maker")
    PRODUCTION_CODE = "production_code", _("a production code")
    ASSORTMENT_WINDOW = "assortment_window", _("the window of an assortment")
    PACKING_DATE = "packing_date", _("the packing date of a pack seen with both")


SHIPPING = (SourceKind.DATED_SIGHTING, SourceKind.ASSORTMENT_WINDOW, SourceKind.PACKING_DATE)
"""Sources that date the shipping of an item, not the making of it."""


class StatementStanding(models.TextChoices):
    OPEN = "open", _("open")
    CONFIRMED = "confirmed", _("confirmed")
    DISPUTED = "disputed", _("disputed")
    REFUTED = "refuted", _("refuted")


BOUNDS = (StatementKind.NOT_BEFORE, StatementKind.NOT_AFTER)
RELATIONS = (
    StatementKind.BEFORE,
    StatementKind.ALONGSIDE,
    StatementKind.ENDED_BY,
    StatementKind.RETURNED,
)


class Statement(Identified):
    """An order relation between two variants of a release, or a date bound on one, with its source.

    Made and closed by actions.order; its standing is written by actions.settle.
    """

    release = models.ForeignKey("registry.Release", models.PROTECT, related_name="statements")
    kind = models.CharField(max_length=10, choices=StatementKind)
    variant = models.ForeignKey("registry.Variant", models.PROTECT, related_name="statements")
    other = models.ForeignKey("registry.Variant", models.PROTECT, null=True, blank=True, related_name="+")
    on = models.DateField(null=True, blank=True, help_text="The date; of a code, the first day it can mean.")
    until = models.DateField(null=True, blank=True, help_text="Of a code: the last day it can mean.")
    code = models.CharField(max_length=40, blank=True)
    code_pattern = models.ForeignKey(
        CodePattern, models.PROTECT, null=True, blank=True, related_name="statements"
    )
    source_kind = models.CharField(max_length=17, choices=SourceKind)
    source = models.CharField(max_length=200)
    author = models.ForeignKey("registry.Member", models.PROTECT, related_name="statements")
    added_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    standing = models.CharField(max_length=9, choices=StatementStanding, default=StatementStanding.OPEN)
    posterior = models.FloatField(
        default=0.5, help_text="Probability that it holds, given the votes that count."
    )
    votes_counted = models.PositiveIntegerField(default=0)
    missing = SentencesField(default=list, help_text="Sentences: what still keeps it from being confirmed.")
    is_founding = models.BooleanField(default=False, help_text="It stands only by the founding policy.")

    class Meta:
        constraints = [
            one_of("kind", StatementKind, "statement_kind_known"),
            one_of("source_kind", SourceKind, "statement_source_kind_known"),
            one_of("standing", StatementStanding, "statement_standing_known"),
            models.CheckConstraint(
                condition=Q(kind__in=RELATIONS, other__isnull=False, on=None)
                | Q(kind__in=BOUNDS, other=None, on__isnull=False)
                | Q(kind="packed", other__isnull=False, on__isnull=False)
                | Q(kind="coded", other=None, on__isnull=False),
                name="statement_relation_or_bound",
            ),
            models.CheckConstraint(condition=Q(other=None) | ~Q(other=F("variant")), name="statement_of_two"),
            models.CheckConstraint(
                condition=Q(kind="coded", until__gte=F("on"), code_pattern__isnull=False) & ~Q(code="")
                | ~Q(kind="coded") & Q(until=None, code="", code_pattern=None),
                name="statement_coded_says_its_code",
            ),
            models.CheckConstraint(
                condition=Q(posterior__gte=0, posterior__lte=1), name="statement_posterior_in_range"
            ),
        ]

    def __str__(self) -> str:
        return Sentence(
            _IN_WORDS[StatementKind(self.kind)],
            variant=str(self.variant),
            other=str(self.other),
            code=self.code,
            on=str(self.on),
            until=str(self.until),
        )

    @property
    def is_of_shipping(self) -> bool:
        """Whether its source dates the shipping of an item, not the making of it."""
        return self.source_kind in SHIPPING
