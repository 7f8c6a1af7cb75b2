"""Filters of variants and of everything said about them."""

from __future__ import annotations

import re
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from registry.models import (
    Cause,
    Claim,
    ClaimStanding,
    Outcome,
    State,
    SubmissionStatus,
    Variant,
    VariantStanding,
)
from registry.models.variants import GONE

from ..parameters import out_of_range
from ..problems import Problem
from .base import DayFilter, Filters, IdFilter, MomentFilter, TextFilter, WordFilter

LIVE = [(word.value, word.label) for word in VariantStanding if word not in GONE]
CAUSES = [*Cause.choices, ("not_known", "not known")]
MOST_TRAITS = 5
KEY = re.compile(r"[a-z][a-z0-9_]{0,39}")


class CauseFilter(WordFilter):
    def filter(self, qs: QuerySet[Variant], value: str) -> QuerySet[Variant]:
        return qs.filter(cause="" if value == "not_known" else value) if value else qs


class VariantFilters(Filters):
    """`trait.<key>=<state key>` may be given up to five times; the same key twice means either state."""

    repeatable_prefix = "trait."

    maker = IdFilter("maker", "release__casting__maker")
    line = IdFilter("line", "release__line")
    casting = IdFilter("casting", "release__casting")
    release = IdFilter("release", "release")
    assortment = IdFilter("assortment", "release__assortment_items__assortment")
    pack = IdFilter("pack", "release__pack_contents__pack")
    standing = WordFilter(LIVE, "standing", "How far it is settled.")
    cause = CauseFilter(CAUSES, "cause", "Why it differs.")
    changed_since = MomentFilter(
        field_name="changed_at", lookup_expr="gte", label="Changed at that moment or later."
    )
    q = TextFilter("variant")

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        rows = super().filter_queryset(queryset)
        for states in self.states_asked():
            shown = Claim.objects.open().filter(variant=OuterRef("pk"), state__in=states)
            rows = rows.filter(Exists(shown))
        return rows

    def states_asked(self) -> list[list[int]]:
        """For each trait key asked for, the keys of the rows of its states, merged ones included. Queries: 1."""
        wanted = self.pairs_asked()
        if not wanted:
            return []
        named = Q()
        for trait, state in wanted:
            named |= Q(trait__key=trait, key=state)
        named_rows = State.objects.filter(named).values("pk")
        found: dict[tuple[str, str], list[int]] = {pair: [] for pair in wanted}
        known = State.objects.filter(Q(pk__in=named_rows) | Q(merged_into__in=named_rows))
        columns = ("pk", "trait__key", "key", "merged_into__trait__key", "merged_into__key")
        for pk, *names in known.values_list(*columns):
            for pair in {(names[0], names[1]), (names[2], names[3])} & wanted:
                found[pair].append(pk)
        by_trait: dict[str, list[int]] = {}
        for (trait, state), rows in sorted(found.items()):
            if not rows:
                raise out_of_range(
                    f"trait.{trait}", state, "No trait of that key has that state; see /v1/states."
                )
            by_trait.setdefault(trait, []).extend(rows)
        return list(by_trait.values())

    def pairs_asked(self) -> set[tuple[str, str]]:
        asked = {name: values for name, values in self.data.lists() if name.startswith("trait.")}
        if sum(len(values) for values in asked.values()) > MOST_TRAITS:
            raise Problem("parameter-out-of-range", f"Ask for at most {MOST_TRAITS} traits at once.")
        wanted = {(name.removeprefix("trait."), value) for name, values in asked.items() for value in values}
        for pair in wanted:
            if not all(KEY.fullmatch(key) for key in pair):
                raise out_of_range(
                    "trait.…", "=".join(pair), "Give keys as /v1/traits and /v1/states show them."
                )
        return wanted


class ClaimFilters(Filters):
    variant = IdFilter("variant", "variant")
    release = IdFilter("release", "variant__release")
    trait = IdFilter("trait", "trait")
    state = IdFilter("state", "state")
    standing = WordFilter(ClaimStanding.choices, "standing", "How far it is settled.")


class SubmissionFilters(Filters):
    status = WordFilter(SubmissionStatus.choices, "status", "Draft, sent or withdrawn.")
    release = IdFilter("release", "release")


class OpenedFilters(Filters):
    casting = IdFilter("casting", "casting")
    release = IdFilter("release", "release")


class ExampleFilters(Filters):
    release = IdFilter("release", "release")
    owner = IdFilter("member", "owner")


class PhotoFilters(Filters):
    submission = IdFilter("submission", "submission")
    dispute = IdFilter("dispute", "dispute")
    sighting = IdFilter("sighting", "sighting")
    example = IdFilter("example", "photo_examples__example")


class MarkFilters(Filters):
    photo = IdFilter("photo", "photo")
    claim = IdFilter("claim", "claim")
    example = IdFilter("example", "example")
    variant = IdFilter("variant", "claim__variant")


class GlossFilters(Filters):
    claim = IdFilter("claim", "claim")
    trait = IdFilter("trait", "trait")
    example = IdFilter("example", "example")
    variant = IdFilter("variant", "claim__variant")


class MeasurementFilters(GlossFilters):
    """As readings of a meter, and by photo."""

    photo = IdFilter("photo", "photo")


class SightingFilters(Filters):
    release = IdFilter("release", "release")
    seen_since = DayFilter(field_name="seen_on", lookup_expr="gte", label="Seen on that day or later.")


class StatementFilters(Filters):
    release = IdFilter("release", "release")
    variant = IdFilter("variant", "variant")


class DisputeFilters(Filters):
    claim = IdFilter("claim", "claim")
    variant = IdFilter("variant", "claim__variant")
    statement = IdFilter("statement", "statement")
    outcome = WordFilter(Outcome.choices, "outcome", "Open, or how it ended.")
