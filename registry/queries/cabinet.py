"""A member's cabinet as a whole, for them to take along."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from registry.models import CabinetItem, Member


def cabinet_rows(member: Member) -> Iterator[dict[str, Any]]:
    """Every entry as methods.cabinet_sheet writes it, oldest first. Queries: 1."""
    related = ("release__merged_into", "variant__merged_into", "pack_version__pack")
    for item in CabinetItem.objects.filter(member=member).select_related(*related).order_by("pk"):
        release, variant, version = item.release.survivor, item.variant, item.pack_version
        yield {
            "id": item.public_id,
            "release": release.public_id,
            "release_name": str(release),
            "variant": variant and variant.survivor.public_id,
            "variant_title": variant and variant.survivor.title,
            "pack_version": version and version.public_id,
            "pack_version_name": version and str(version),
            "condition": item.condition,
            "count": item.count,
            "to_swap": item.to_swap,
            "wear": item.wear,
            "note": item.note,
        }
