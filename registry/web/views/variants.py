"""A variant: what is claimed, what shows it, what is missing, and how it came to be."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from registry.models import Claim, Variant, VariantStanding
from registry.queries import evidence, pages
from registry.web.views import history
from registry.web.views.browse import found

RELATED = ("release__line__maker", "release__casting__maker", "noticed_by", "merged_into")


def variant(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Variant, public_id, *RELATED)
    if asked := request.GET.get("revision") or request.GET.get("at"):
        return history.as_it_stood(request, it, asked)
    if it.standing == VariantStanding.MERGED and it.merged_into:
        return redirect("variant", public_id=it.merged_into.public_id)
    if it.is_gone:
        event = it.moderator_events.order_by("-pk").first()
        return render(request, "registry/variant_gone.html", {"variant": it, "event": event}, status=410)
    page = pages.variant_page(it)
    packs = {line.sighting.pack for line in page.count_lines if line.sighting.pack}
    return render(
        request,
        "registry/variant.html",
        {
            "variant": it,
            "page": page,
            "photos": evidence.photos_of_variant(page),
            "packs": sorted(packs, key=str),
            "packed_with": evidence.packed_with(it),
        },
    )


def claim(request: HttpRequest, public_id: str) -> HttpResponse:
    """A claim has its place on its variant's page."""
    it = found(Claim, public_id, "variant")
    target = redirect("variant", public_id=it.variant.public_id)
    target["Location"] += f"#{it.public_id}"
    return target
