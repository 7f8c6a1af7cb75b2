"""A variant: what is claimed, what shows it, what is missing, and how it came to be."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponsePermanentRedirect
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.timezone import localdate

from registry.models import Claim, Variant, VariantStanding
from registry.queries import colours, evidence, fates, likenesses, pages, possession
from registry.queries.abundance import release_abundance
from registry.queries.order import release_sequence
from registry.queries.own import owned_of
from registry.queries.siblings import siblings
from registry.web.people import reader
from registry.web.views import history
from registry.web.views.browse import found

MARKS_SHOWN = 4  # of each claim
RELATED = ("release__line__maker", "release__casting__maker", "noticed_by", "merged_into", "split_from")


def variant(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Variant, public_id, *RELATED)
    if asked := request.GET.get("revision") or request.GET.get("at"):
        return history.as_it_stood(request, it, asked)
    if it.standing == VariantStanding.MERGED and it.merged_into:
        return moved_to(it.merged_into)
    if it.is_gone:
        given = {"variant": it, "event": fates.last_event(it), "successors": fates.successors(it)}
        return render(request, "registry/variant_gone.html", given, status=410)
    page = pages.variant_page(it, reader(request))
    photos = evidence.photos_of_variant(page)
    likenesses.note_likenesses([shown.photo for shown in photos], reader(request))
    possession.note_codes_seen([shown.photo for shown in photos])
    colours.tell((mark, on.claim) for on in (*page.claims, *page.rivals) for mark in on.marks[:MARKS_SHOWN])
    among = siblings(it.release)
    shares, sequence = release_abundance(it.release, among), release_sequence(it.release, localdate(), among)
    is_ordered = it in among.changes
    packs = {line.sighting.pack for line in page.count_lines if line.sighting.pack}
    return render(
        request,
        "registry/variant.html",
        {
            "variant": it,
            "page": page,
            "differs": next((e.claim.base_claim.variant for e in page.claims if e.claim.base_claim), None),
            "photos": photos,
            "packs": sorted(packs, key=str),
            "packed_with": evidence.packed_with(it),
            "owned": owned_of(member, it.release, it) if (member := reader(request)) else [],
            "merged_from": list(it.merged_from.order_by("pk")),
            "events": fates.fate_events(it),
            "share": shares.whole.words(shares.share_of(it)),
            "made": sequence.bounds(it) if is_ordered else None,
            "shipped": sequence.bounds(it, "shipping") if is_ordered else None,
        },
    )


def moved_to(survivor: Variant) -> HttpResponse:
    """For good, as far as anybody knows; kept for minutes only, as a merge can be taken back."""
    answer = HttpResponsePermanentRedirect(reverse("variant", kwargs={"public_id": survivor.public_id}))
    answer["Cache-Control"] = "max-age=300"
    return answer


def claim(request: HttpRequest, public_id: str) -> HttpResponse:
    """A claim has its place on its variant's page."""
    it = found(Claim, public_id, "variant")
    target = redirect("variant", public_id=it.variant.public_id)
    target["Location"] += f"#{it.public_id}"
    return target
