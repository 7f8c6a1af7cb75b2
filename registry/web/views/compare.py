"""Two photographs laid one over the other."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from registry.actions import parse_fragment
from registry.errors import RegistryError
from registry.methods.identifiers import parse_id
from registry.models import Photo, Variant
from registry.queries import compare as query
from registry.queries import evidence
from registry.queries.compare import View
from registry.web.pairs import Beside, address
from registry.web.people import reader
from registry.web.refusals import refused
from registry.web.views.browse import found
from registry.web.views.photos import seen_photo


def compare(request: HttpRequest) -> HttpResponse:
    """Two photographs by `a` and `b`; for one, what to choose from; for a variant, it and its forerunner."""
    said = request.GET
    if "variant" in said:
        return of_variant(request, found(Variant, typed(said["variant"]), "release"))
    if "b" not in said:
        return choose(request, shown(request, "a"))
    is_mirrored = said.get("mirrored") == "true"
    try:
        a, b = view(request, "a"), view(request, "b")
        result = query.compared(a, b, is_mirrored)
    except RegistryError as refusal:
        return refused(request, refusal)
    pair = Beside(a, b, address(a, b, is_mirrored), result)
    if request.htmx:  # type: ignore[attr-defined]
        return render(request, "registry/_pair.html", {"pair": pair})
    return render(
        request,
        "registry/compare.html",
        {
            "pair": pair,
            "release": evidence.release_of(a.photo),
            "turned": address(b, a, is_mirrored),
            "mirrored": address(a, b, not is_mirrored),
        },
    )


def typed(text: str) -> str:
    try:
        return parse_id(text)
    except ValueError:
        raise Http404 from None


def shown(request: HttpRequest, name: str) -> Photo:
    """A photograph that the reader may see, and that is still there."""
    photo = seen_photo(request, typed(request.GET.get(name, "")))
    if photo.taken_down_at:
        raise Http404
    return photo


def view(request: HttpRequest, name: str) -> View:
    region = request.GET.get(f"{name}_xywh")
    return View(shown(request, name), parse_fragment(region) if region else None)


def choose(request: HttpRequest, photo: Photo) -> HttpResponse:
    release = evidence.release_of(photo)
    others = query.photos_beside(photo, release.pk, reader(request)) if release else []
    given = {"photo": photo, "release": release, "others": others}
    return render(request, "registry/compare_choose.html", given)


def of_variant(request: HttpRequest, variant: Variant) -> HttpResponse:
    """To the two photographs that show the variant and its forerunner from the same side."""
    known = query.known_variant(variant)
    pair = query.best(query.photos_to_compare(known), query.photos_to_compare(variant)) if known else None
    if pair is None:
        given = {"variant": variant, "known": known, "release": variant.release}
        return render(request, "registry/compare_choose.html", given)
    return redirect(address(View(pair[0]), View(pair[1])))
