"""Traits to inspect, their states, and what a release adopts, shows and ranges over."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from registry.sentences import Sentence

from .base import Acceptance, Identified, PartlyOurs, Proposable, one_of

CAUSE_KEY = "cause"
DOES_NOT_APPLY = "does_not_apply"
_OURS = (Sentence("Cause"), Sentence("does not apply"))
"""Names of built-in rows, for translation; those of the causes are the labels below."""


class Place(models.TextChoices):
    """Where on the vehicle. Left and right are the vehicle's own, seen from its driver's seat."""

    BODY = "body", _("body")
    FRONT = "front", _("front")
    REAR = "rear", _("rear")
    LEFT_SIDE = "left_side", _("left side")
    RIGHT_SIDE = "right_side", _("right side")
    ROOF = "roof", _("roof")
    BONNET = "bonnet", _("bonnet")
    TAILGATE = "tailgate", _("tailgate")
    CARGO = "cargo", _("load area")
    WINDOW = "window", _("windows")
    WINDSCREEN = "windscreen", _("windscreen")
    INTERIOR = "interior", _("interior")
    BASE = "base", _("base")
    FRONT_WHEEL = "front_wheel", _("front wheels")
    REAR_WHEEL = "rear_wheel", _("rear wheels")
    TYRE = "tyre", _("tyres")
    AXLE = "axle", _("axles")
    RIVET = "rivet", _("rivets")
    WHOLE = "whole", _("whole item")


class TraitKind(models.TextChoices):
    PRINT = "print", _("print (tampo)")
    COLOUR = "colour", _("colour")
    FINISH = "finish", _("finish")
    TOOLING = "tooling", _("tool change")
    WHEEL = "wheel", _("wheel")
    MATERIAL = "material", _("material")
    PART = "part", _("part")
    COUNT = "count", _("count")
    MEASURE = "measure", _("measure")
    TEXT = "text", _("text")
    CAUSE = "cause", _("cause")


class Cause(models.TextChoices):
    """States of the built-in trait that says why a variant differs. `not_known` is the absence of a claim."""

    BASELINE = "baseline", _("baseline: what the others differ from")
    RUNNING_CHANGE = "running_change", _("running change")
    PARALLEL = "parallel", _("parallel production (another factory or region)")
    FACTORY_ERROR = "factory_error", _("factory error")
    ALTERED = "altered", _("altered after sale")
    CAMERA_OR_LIGHT = "camera_or_light", _("a trick of camera or light")
    PRE_PRODUCTION = "pre_production", _("pre-production sample")
    DRIFT = "drift", _("drift within the normal range")


class Trait(PartlyOurs, Proposable):
    """One inspectable feature of a line (a standard check) or of a casting; `cause` alone belongs to neither.

    The key never changes. Every trait is born with the state `does_not_apply`.
    """

    ours = ("name", "kind", TraitKind.CAUSE)
    line = models.ForeignKey("registry.Line", models.PROTECT, null=True, blank=True, related_name="traits")
    casting = models.ForeignKey(
        "registry.Casting", models.PROTECT, null=True, blank=True, related_name="traits"
    )
    key = models.CharField(max_length=40)
    name = models.CharField(max_length=80)
    nicknames = models.JSONField(default=list, blank=True)
    place = models.CharField(max_length=12, choices=Place)
    kind = models.CharField(max_length=8, choices=TraitKind)
    how_to_inspect = models.CharField(max_length=300, blank=True)
    seen_in_pack = models.BooleanField(default=False, verbose_name="in the blister or box")
    alterable = models.BooleanField(
        default=False, help_text="Can be swapped, peeled, wiped, repainted, faded or yellowed afterwards."
    )

    class Meta(Proposable.Meta):
        constraints = [
            *Proposable.Meta.constraints,
            one_of("place", Place, "trait_place_known"),
            one_of("kind", TraitKind, "trait_kind_known"),
            models.CheckConstraint(
                condition=Q(line__isnull=False, casting__isnull=True)
                | Q(line__isnull=True, casting__isnull=False)
                | Q(line__isnull=True, casting__isnull=True, kind=TraitKind.CAUSE),
                name="trait_of_line_or_casting",
            ),
            models.UniqueConstraint("line", "key", name="trait_key_once_per_line"),
            models.UniqueConstraint("casting", "key", name="trait_key_once_per_casting"),
            models.UniqueConstraint(
                "key", condition=Q(line__isnull=True, casting__isnull=True), name="trait_key_once_built_in"
            ),
        ]
        indexes = [*Proposable.Meta.indexes, models.Index(fields=["key"], name="trait_by_key")]

    def __str__(self) -> str:
        return self.name

    @property
    def is_cause(self) -> bool:
        return self.kind == TraitKind.CAUSE

    @property
    def is_finish(self) -> bool:
        return self.kind == TraitKind.FINISH


class State(PartlyOurs, Proposable):
    """One value of a trait. The key never changes; a reference colour or a number may make it measurable."""

    ours = ("name", "is_built_in", True)
    trait = models.ForeignKey(Trait, models.PROTECT, related_name="states")
    key = models.CharField(max_length=40)
    name = models.CharField(max_length=80)
    nicknames = models.JSONField(default=list, blank=True)
    is_built_in = models.BooleanField(default=False)
    is_absence = models.BooleanField(
        default=False, help_text="The print or part is missing; a missing print is always alterable."
    )
    lab_l = models.IntegerField(null=True, blank=True, help_text="CIELAB L* under D50, in hundredths.")
    lab_a = models.IntegerField(null=True, blank=True, help_text="CIELAB a* under D50, in hundredths.")
    lab_b = models.IntegerField(null=True, blank=True, help_text="CIELAB b* under D50, in hundredths.")
    lab_tolerance = models.PositiveIntegerField(null=True, blank=True, help_text="CIEDE2000, in hundredths.")
    number = models.BigIntegerField(null=True, blank=True, help_text="Lengths in micrometres, else a count.")
    number_tolerance = models.PositiveBigIntegerField(null=True, blank=True)
    unit = models.CharField(max_length=8, blank=True, help_text="um, count or another unit of `number`.")

    class Meta(Proposable.Meta):
        constraints = [
            *Proposable.Meta.constraints,
            models.UniqueConstraint("trait", "key", name="state_key_once_per_trait"),
            models.CheckConstraint(
                condition=Q(lab_l=None, lab_a=None, lab_b=None)
                | Q(lab_l__isnull=False, lab_a__isnull=False, lab_b__isnull=False),
                name="state_colour_whole_or_absent",
            ),
            models.CheckConstraint(
                condition=Q(lab_l=None) | Q(lab_l__gte=0, lab_l__lte=10_000), name="state_lightness_in_range"
            ),
            models.CheckConstraint(condition=Q(number=None) | ~Q(unit=""), name="state_number_has_unit"),
        ]
        indexes = [*Proposable.Meta.indexes, models.Index(fields=["key"], name="state_by_key")]

    def __str__(self) -> str:
        return self.name

    @property
    def of_its_trait(self) -> Sentence:
        return Sentence("%(trait)s: %(state)s", trait=str(self.trait), state=str(self))


class Adoption(models.Model):
    """A release takes up a trait, and may say otherwise where it sits or whether it is seen in the pack."""

    release = models.ForeignKey("registry.Release", models.PROTECT, related_name="adoptions")
    trait = models.ForeignKey(Trait, models.PROTECT, related_name="adoptions")
    place = models.CharField(max_length=12, choices=Place, blank=True, help_text="Blank: as the trait says.")
    note = models.CharField(max_length=300, blank=True, help_text="How to inspect it here.")
    seen_in_pack = models.BooleanField(null=True, blank=True, help_text="Unknown: as the trait says.")

    class Meta:
        constraints = [models.UniqueConstraint("release", "trait", name="adoption_once")]

    def __str__(self) -> str:
        return f"{self.trait} of {self.release}"

    @property
    def is_seen_in_pack(self) -> bool:
        return self.trait.seen_in_pack if self.seen_in_pack is None else self.seen_in_pack


class Fidelity(models.TextChoices):
    MATCHES = "matches", _("matches the full-size subject")
    DEPARTS = "departs", _("departs from the full-size subject")
    MADE_UP_SUBJECT = "made_up_subject", _("the subject is made up")
    NOT_KNOWN = "not_known", _("not known")


class ReleaseState(models.Model):
    """What belongs to a state in one release: its sample crop, and how true it is to a full-size subject."""

    release = models.ForeignKey("registry.Release", models.PROTECT, related_name="release_states")
    state = models.ForeignKey(State, models.PROTECT, related_name="release_states")
    sample = models.ForeignKey("registry.Mark", models.SET_NULL, null=True, blank=True, related_name="+")
    fidelity = models.CharField(max_length=15, choices=Fidelity, default=Fidelity.NOT_KNOWN)
    subject = models.CharField(max_length=120, blank=True)
    source = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint("release", "state", name="release_state_once"),
            one_of("fidelity", Fidelity, "release_state_fidelity_known"),
            models.CheckConstraint(
                condition=~Q(fidelity__in=[Fidelity.MATCHES, Fidelity.DEPARTS])
                | (~Q(subject="") & ~Q(source="")),
                name="release_state_fidelity_sourced",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.state} on {self.release}"


class Drift(Identified):
    """The recorded normal range of a shade, gloss or print position: what is not a change."""

    release = models.ForeignKey("registry.Release", models.PROTECT, related_name="drifts")
    trait = models.ForeignKey(Trait, models.PROTECT, related_name="drifts")
    low = models.BigIntegerField(null=True, blank=True)
    high = models.BigIntegerField(null=True, blank=True)
    unit = models.CharField(
        max_length=8,
        blank=True,
        help_text="lab_l, lab_a, lab_b or de00 in hundredths, gu for gloss, um for lengths.",
    )
    note = models.CharField(max_length=300)
    source = models.CharField(max_length=200)
    added_by = models.ForeignKey("registry.Member", models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(low=None, high=None, unit="") | (Q(low__lte=F("high")) & ~Q(unit="")),
                name="drift_range_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.trait} of {self.release}"


__all__ = [
    "CAUSE_KEY",
    "DOES_NOT_APPLY",
    "Acceptance",
    "Adoption",
    "Cause",
    "Drift",
    "Fidelity",
    "Place",
    "ReleaseState",
    "State",
    "Trait",
    "TraitKind",
]
