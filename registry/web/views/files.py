"""Stored pictures, and nothing else that may lie beside them."""

from __future__ import annotations

import re

from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from registry.models import Mark, Photo
from registry.models.evidence import jpeg_of, stored_as
from registry.web import crops

KEY = re.compile(
    r"photos/[0-9a-f]{2}/(?P<digest>[0-9a-f]{64})-(?:(?:full|800|320)\.jpg|(?P<webp>1600|800|320)\.webp)"
)
HEADERS = {
    "Cache-Control": "public, max-age=31536000, immutable",  # the name is the digest: other bytes, other name
    "Content-Security-Policy": "sandbox; default-src 'none'",
    "X-Content-Type-Options": "nosniff",
}


@require_safe
def photo_file(request: HttpRequest, path: str) -> HttpResponseBase:
    """A picture by its storage key; gone once every photo that used it was taken down.

    A picture that only drafts hold yet is its owners' alone, unless one is opened, and kept by no cache on the way.
    Where the WebP of an older one was not drawn yet, its JPEG stands in.
    """
    key = KEY.fullmatch(path)
    if key is None:
        raise Http404("There is no such picture.")
    photos = list(Photo.objects.filter(digest=key["digest"]).select_related("submission"))
    shown = [photo for photo in photos if photo.taken_down_at is None]
    if photos and not shown:
        return taken_down(any(photo.withheld_by_law for photo in photos))
    is_public = any(photo.is_published for photo in shown)
    is_visible = any(photo.is_visible or photo.owner_id == request.user.pk for photo in shown)
    try:
        picture = default_storage.open(path) if is_visible else None
    except FileNotFoundError:
        if key["webp"]:
            return redirect(default_storage.url(stored_as(key["digest"], jpeg_of(key["webp"]))))
        picture = None
    if picture is None:
        raise Http404("There is no such picture.")
    headers = HEADERS if is_public else {**HEADERS, "Cache-Control": "private, no-store"}
    return FileResponse(picture, content_type="image/webp" if key["webp"] else "image/jpeg", headers=headers)


@require_safe
def mark_crop(request: HttpRequest, public_id: str, kind: str) -> HttpResponse:
    """What a mark shows, small, as WebP or JPEG. Kept by others for an hour, since a mark can be taken back."""
    marks = Mark.objects.filter(public_id=public_id, removed_at=None).select_related("photo__submission")
    mark = marks.first()
    if mark is None or kind not in crops.FORMATS or not mark.photo.is_published:
        raise Http404("There is no such picture.")
    if mark.photo.taken_down_at:
        return taken_down(mark.photo.withheld_by_law)
    picture = crops.kept(mark, kind)
    if not picture:
        raise Http404("There is no such picture.")
    headers = {**HEADERS, "Cache-Control": f"public, max-age={crops.KEPT_SECONDS}"}
    return HttpResponse(picture, content_type=f"image/{crops.FORMATS[kind].lower()}", headers=headers)


def taken_down(by_law: bool) -> HttpResponse:
    """Gone, or unavailable for legal reasons (RFC 7725)."""
    why = _("This picture was taken down on a legal demand.") if by_law else _("This picture was taken down.")
    return HttpResponse(why, content_type="text/plain; charset=utf-8", status=451 if by_law else 410)
