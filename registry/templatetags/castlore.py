"""Small pieces of page that many templates share: ids, times, photographs, crops."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import UTC, date, datetime
from typing import Any

from django import template
from django.core.files.storage import default_storage
from django.template.context import RequestContext
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.html import escape, format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop, pgettext

from registry.methods import reasons
from registry.methods.drawing import LINE, Box
from registry.methods.identifiers import show_id
from registry.methods.measure import in_words as words_of_length
from registry.methods.measure import with_error as words_with_error
from registry.models import Cause, Claim, Mark, Photo, Place, Variant, VariantStanding, View
from registry.models.evidence import jpeg_of
from registry.queries import likenesses, possession
from registry.queries.blind import missing_of
from registry.queries.measured import Shown
from registry.queries.pages import verdict_words
from registry.sentences import said
from registry.web.outlines import BODY, FRONT_WHEEL, REAR_WHEEL, SHAPES
from registry.web.pictures import drawn_mark, in_pixels

register = template.Library()
KINDS = {
    "maker": gettext_lazy("maker"),
    "line": gettext_lazy("line"),
    "casting": gettext_lazy("casting"),
    "release": gettext_lazy("release"),
    "trait": gettext_lazy("detail"),
    "state": gettext_lazy("state"),
    "variant": gettext_lazy("variant"),
    "pack": gettext_lazy("pack"),
    "packversion": gettext_lazy("pack version"),
    "assortment": gettext_lazy("assortment"),
}
"""Kinds of records in words; any other is its own."""
TERMS = (
    gettext_noop("cause"),
    gettext_noop("confirmed"),
    gettext_noop("contested"),
    gettext_noop("detail"),
    gettext_noop("digest"),
    gettext_noop("dispute"),
    gettext_noop("disputed"),
    gettext_noop("mark"),
    gettext_noop("open"),
    gettext_noop("proposed"),
    gettext_noop("provisional"),
    gettext_noop("refuted"),
    gettext_noop("release"),
    gettext_noop("revision"),
    gettext_noop("sealed"),
    gettext_noop("struck"),
    gettext_noop("verified"),
)
"""Words of ours that stand on a page as `term` names them."""


@register.simple_tag(takes_context=True)
def here(context: RequestContext, *names: str) -> SafeString:
    """The mark of the current page on its own link in a menu."""
    match = getattr(context.get("request"), "resolver_match", None)
    found = match is not None and match.view_name in names
    return mark_safe(' aria-current="page"') if found else mark_safe("")  # noqa: S308  (our own constant)


@register.simple_tag
def term(key: str, words: str = "") -> SafeString:
    """A word of ours, leading to what it means; `as` keeps it for a sentence."""
    address = f"{reverse('how-words')}#{key.replace('_', '-')}"
    return format_html('<a class="term" href="{}">{}</a>', address, words or _(key))


@register.filter
def grouped(public_id: str) -> SafeString:
    """A public id in groups of four."""
    return format_html('<span class="id">{}</span>', show_id(public_id))


NUMBER = re.compile(r"(?<![\w-])(?=[\w-]*\d)\w{1,12}(?:-\w{1,12}){1,3}(?![\w-])")


@register.filter
def unbroken(text: str) -> SafeString:
    """Text in which numbers such as Q64-031 stay on one line."""
    safe = NUMBER.sub(r'<span class="unbroken">\g<0></span>', escape(said(text)))
    return mark_safe(safe)  # noqa: S308  (escaped before)


STYLES = {
    "j M Y": lambda: pgettext("how a day is written", "j M Y"),
    "j M Y, H:i": lambda: pgettext("how a moment is written", "j M Y, H:i"),
}


@register.filter
def on(when: date | datetime | None, style: str = "j M Y") -> SafeString:
    """A day or a moment for people to read, and exact for programs. In UTC; times.js says it in the reader's zone."""
    if when is None:
        return format_html("{}", _("not known"))
    style = STYLES[style]()
    if isinstance(when, datetime):
        when = when.astimezone(UTC)
        words = date_format(when, style)
        words = _("%(moment)s UTC") % {"moment": words} if "H" in style else words
        return format_html('<time datetime="{}">{}</time>', when.isoformat(timespec="seconds"), words)
    return format_html('<time datetime="{}">{}</time>', when.isoformat(), date_format(when, style))


@register.filter
def month(day: date | None) -> SafeString:
    """A month, known no finer."""
    return (
        format_html('<time datetime="{}">{}</time>', f"{day:%Y-%m}", date_format(day, "F Y"))
        if day
        else on(None)
    )


@register.filter
def photo_url(photo: Photo, size: str = "800") -> str:
    return default_storage.url(photo.stored_as(jpeg_of(size)))


@register.filter
def webp_url(photo: Photo, size: str) -> str:
    return default_storage.url(photo.stored_as(size, "webp"))


@register.filter
def credited(photo: Photo) -> str:
    """Whose it is and what others may do with it; the whole sentence."""
    named = {"member": photo.owner.credit, "licence": photo.get_licence_display()}
    return _("By %(member)s, %(licence)s.") % named


@register.filter
def alike(photo: Photo) -> list[likenesses.Alike]:
    """Photographs that it is like, where that was noted for the reader."""
    return likenesses.alike(photo) or []


@register.filter
def code_words(photo: Photo) -> str:
    """How many reviewers saw the report's code in it, where that was noted."""
    return possession.code_words(photo)


@register.filter
def views_of(photo: Photo) -> str:
    """What the photo lets one inspect, in words."""
    return ", ".join(str(View(view).label) for view in photo.views if view in View.values)


@register.filter
def px(place: float, further: int = 0) -> str:
    """A coordinate of a drawing, so many pixels further."""
    return f"{place + further:.1f}"


@register.filter
def points(places: Iterable[tuple[float, float]]) -> str:
    """The corners of a line in a drawing."""
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in places)


@register.simple_tag
def base_line(box: Box, number: int) -> str:
    """Where the text line of that number stands in a box, all of them in its middle."""
    top = box.y + (box.height - LINE * len(box.lines)) / 2
    return f"{top + LINE * number + 12.5:.1f}"


@register.simple_tag
def days(start: date | None, end: date | None) -> str:
    """The days between which something lies, in words."""
    style = STYLES["j M Y"]()
    first, last = (date_format(day, style) if day else "" for day in (start, end))
    if not first and not last:
        return _("not known")
    if first and last:
        words = _("on %(first)s") if first == last else _("%(first)s to %(last)s")
    else:
        words = _("%(first)s or later") if first else _("by %(last)s")
    return words % {"first": first, "last": last}


@register.filter
def address(thing: Any) -> str:
    """The page of a record; of a submission, the one it has while it is an opened draft."""
    kind = thing._meta.model_name
    return reverse("open-draft" if kind == "submission" else kind, kwargs={"public_id": thing.public_id})


@register.filter
def of(table: dict[Any, Any], key: Any) -> Any:
    """What a table holds for a key; nothing where it holds none."""
    return table.get(key, "")


@register.filter
def missing(thing: Claim | Variant) -> list[str]:
    """What still keeps it from standing, without what its reader may not know of the votes."""
    return missing_of(thing)


@register.filter
def reason(kept: str) -> str:
    """Why somebody, or the record itself, did a thing."""
    return reasons.read(kept)


@register.filter
def kind_word(kind: str) -> str:
    """A kind of record in words."""
    return str(KINDS.get(kind, kind))


@register.filter
def kind(thing: Any) -> str:
    """What kind of record it is: casting, release, trait ..."""
    return str(thing._meta.model_name)


@register.filter
def cause(key: str) -> str:
    """A cause in words."""
    return str(Cause(key).label) if key in Cause.values else _("not known")


@register.filter
def standing(key: str) -> str:
    """A variant's standing in words."""
    return str(VariantStanding(key).label)


@register.filter
def place(key: str) -> str:
    """A place on the vehicle, in words, to begin a sentence with."""
    return str(capfirst(Place(key).label))


@register.filter
def percent(ten_thousandths: int) -> str:
    """A probability as people read it."""
    if 0 < ten_thousandths < 100:
        return (_("less than 1 %(sign)s") % {"sign": "%"}).replace(" %", "\u00a0%")
    return f"{ten_thousandths / 100:.0f}\u00a0%"


@register.filter
def mm(micrometres: int) -> str:
    """A length kept in micrometres, as people read it: `4 mm`, `36.25 mm`, `2.3 m`."""
    return words_of_length(micrometres)


@register.filter
def with_error(length_um: int, error_um: int) -> str:
    """A measured length as people read it: `3.9 ± 0.3 mm`."""
    return words_with_error(length_um, error_um)


@register.filter
def whole_and_tenths(hundredths: int) -> str:
    """`1.4` from 139."""
    return f"{hundredths / 100:.1f}"


@register.filter
def alone(thing: Any) -> list[Any]:
    """A list of just this one."""
    return [thing]


@register.filter
def tally(votes: dict[str, int], is_over: object = False) -> str:
    """`2 confirm, 1 cannot tell`."""
    return verdict_words(votes) or (_("no counting vote was cast") if is_over else _("no vote yet"))


@register.inclusion_tag("registry/_cut.html")
def crop(mark: Mark, label: str) -> dict[str, Any]:
    """The marked region of a photo, with a little round it, in a box of one shape: a small picture of its own."""
    return {"mark": mark, "label": label}


@register.inclusion_tag("registry/_marked_photo.html")
def marked_photo(photo: Photo, marks: list[Mark], size: str = "800", is_main: bool = False) -> dict[str, Any]:
    """A photograph with its marks drawn on it, numbered as in the list below it."""
    letters = max(18, round(photo.width / 32))
    drawn = [drawn_mark((mark.x, mark.y, mark.w, mark.h), photo, letters) for mark in marks]
    return {"photo": photo, "drawn": drawn, "letters": letters, "size": size, "is_main": is_main}


@register.inclusion_tag("registry/_measured_photo.html")
def measured_photo(
    photo: Photo, measured: list[Shown], size: str = "800", is_main: bool = False
) -> dict[str, Any]:
    """A photograph with what was measured on it: each known length dashed, each measured one numbered."""
    drawn = []
    for one in measured:
        lines = {name: in_pixels(getattr(one.row, name), photo) for name in ("reference", "measured")}
        (x, y), _ = lines["measured"]
        paths = {name: f"M{ax} {ay} L{bx} {by}" for name, ((ax, ay), (bx, by)) in lines.items()}
        drawn.append({**paths, "x": x + 6, "y": y - 6})
    letters = max(18, round(photo.width / 32))
    return {"photo": photo, "drawn": drawn, "letters": letters, "size": size, "is_main": is_main}


@register.inclusion_tag("registry/_outline.html")
def outline(place: str) -> dict[str, Any]:
    """A small drawing of a vehicle with the place filled; decoration, so a word always stands beside it."""
    return {"body": BODY, "wheels": FRONT_WHEEL + REAR_WHEEL, "here": SHAPES.get(Place(place), "")}
