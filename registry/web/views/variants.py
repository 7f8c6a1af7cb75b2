"""A variant: what is claimed, what shows it, what is missing, and how it came to be."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse, HttpResponsePermanentRedirect
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from registry.models import Claim, Variant, VariantStanding
from registry.queries import evidence, fates, likenesses, pages
from registry.web.people import reader
from registry.web.sharing import shared
from registry.web.views import history
from registry.web.views.browse import found


def variant(request: HttpRequest, public_id: str) -> HttpResponse:
    member = reader(request)
    it = pages.one_variant(public_id, member)
    if it is None:
        raise Http404
    if asked := request.GET.get("revision") or request.GET.get("at"):
        return history.as_it_stood(request, it, asked)
    if it.standing == VariantStanding.MERGED and it.merged_into:
        return moved_to(it.merged_into)
    if it.is_gone:
        given = {"variant": it, "event": fates.last_event(it), "successors": fates.successors(it)}
        return render(request, "registry/variant_gone.html", given, status=410)
    page = pages.variant_page(it, member)
    photos = evidence.photos_of_variant(it, page.marks)
    likenesses.note_likenesses([shown.photo for shown in photos], member)
    packs = {line.sighting.pack for line in page.count_lines if line.sighting.pack}
    return render(
        request,
        "registry/variant.html",
        {
            "variant": it,
            "page": page,
            "may_vote": member is not None and page.has_said_by_others(member),
            "differs": next((e.claim.base_claim.variant for e in page.claims if e.claim.base_claim), None),
            "photos": photos,
            "packs": sorted(packs, key=str),
            "revisions": pages.changes_by(it.written, page.ever),  # type: ignore[attr-defined]
            "shared": shared(
                request,
                it,
                f"{it}, {it.release}",
                in_a_sentence(page),
                [mark.photo for mark in page.marks] + [one.photo for one in photos],
            ),
        },
    )


def in_a_sentence(page: pages.VariantPage) -> str:
    """`A variant of Brinewagon (2024), verified. Roof crest: gull.`"""
    telling = [entry.claim for entry in page.claims if entry.claim.is_difference]
    told = "; ".join(claim.words.said() for claim in telling)
    it = page.variant
    words = _("A variant of %(release)s, %(standing)s.")
    words %= {"release": it.release, "standing": it.get_standing_display()}
    return words + (f" {told}." if told else "")


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
