"""The variants of one release, with what became of those that were merged into others."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import F

from registry.models import GONE, Release, Variant, VariantStanding


@dataclass(frozen=True)
class Siblings:
    """`listed` still stand for themselves, in order of appearance; `standing_for` leads from each key to one of them.

    A variant that was struck or split stands for none.
    """

    release: Release
    listed: tuple[Variant, ...]
    standing_for: dict[int, Variant]

    @property
    def by_id(self) -> dict[str, Variant]:
        return {variant.public_id: variant for variant in self.listed}

    @property
    def changes(self) -> tuple[Variant, ...]:
        """Those that were produced as they are: all but what was set apart."""
        return tuple(v for v in self.listed if v.standing != VariantStanding.SET_APART)


def siblings(release: Release) -> Siblings:
    """Queries: 1."""
    rows = Variant.objects.filter(release=release).order_by(F("noticed_on").asc(nulls_last=True), "pk")
    every = {variant.pk: variant for variant in rows}

    def survivor(variant: Variant) -> Variant | None:
        while variant.merged_into_id in every:
            variant = every[variant.merged_into_id]
        return None if variant.is_gone else variant

    found = ((key, survivor(variant)) for key, variant in every.items())
    return Siblings(
        release=release,
        listed=tuple(variant for variant in every.values() if variant.standing not in GONE),
        standing_for={key: variant for key, variant in found if variant},
    )
