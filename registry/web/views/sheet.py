"""The comparison sheet of a release: a page to print, and one picture to pass on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from registry.methods.drawing.qr import QrCode, qr_code
from registry.methods.drawing.sheet import SheetDrawing, Words, columns_for, draw_sheet
from registry.models import Release
from registry.queries.sheet import Sheet, comparison_sheet
from registry.sentences import said
from registry.web.crops import embedded
from registry.web.downloads import svg_file
from registry.web.views.browse import found

RELATED = ("line__maker", "casting", "merged_into")


@dataclass(frozen=True)
class SheetPicture:
    """The drawing, with the crops that stand in it."""

    title: str
    drawing: SheetDrawing
    crops: list[tuple[Any, str]]
    code: QrCode
    code_scale: str


def sheet(request: HttpRequest, public_id: str) -> HttpResponse:
    it = found(Release, public_id, *RELATED)
    if it.survivor.pk != it.pk:
        return redirect("sheet", public_id=it.survivor.public_id)
    told = comparison_sheet(it)
    given = {
        "release": it,
        "sheet": told,
        "columns": columns_for(len(told.cards)),
        "address": address(request, it),
        "itself": request.build_absolute_uri(request.path),
        "code": qr_code(address(request, it)),
    }
    return render(request, "registry/sheet.html", given)


def sheet_svg(request: HttpRequest, public_id: str) -> HttpResponse:
    """The same in one file: cut-outs, ids and credits are in it."""
    release: Release = found(Release, public_id, *RELATED).survivor
    told = comparison_sheet(release)
    crops = {card.number: embedded(card.crop) for card in told.cards if card.crop}
    drawing = draw_sheet(
        head(release, told), [words(card) for card in told.cards], foot(request, release, told)
    )
    code = qr_code(address(request, release))
    picture = SheetPicture(
        title=_("%(release)s: its variants side by side") % {"release": release},
        drawing=drawing,
        crops=[(place, crops.get(place.number, "")) for place in drawing.cards],
        code=code,
        code_scale=f"{drawing.code.width / code.size:.4f}",
    )
    return svg_file(picture, "registry/drawing/sheet.svg", f"sheet-{release.public_id}")


def words(card: Any) -> Words:
    return Words(card.number, card.variant.title, said(card.tell), card.variant.shown_id)


def head(release: Release, told: Sheet) -> list[str]:
    names = [f"{release.line.maker}, {release.line}, 1:{release.line.scale}"]
    names += [release.number] if release.number else []
    names += [release.livery] if release.livery else []
    order = _("In order of first dated sighting.")
    return [str(release), ". ".join(names), f"{order} {of_list(told)}"]


def of_list(told: Sheet) -> str:
    """From which state of the list it was drawn."""
    if told.edition is None:
        return _("Before the first List.")
    day = date_format(told.edition.issued_at, "j M Y")
    return _("After List no. %(number)s of %(day)s.") % {"number": told.edition.number, "day": day}


def foot(request: HttpRequest, release: Release, told: Sheet) -> list[str]:
    lines = []
    if n := told.left_out:
        more = ngettext(
            "%(n)s more variant on the page named below.", "%(n)s more variants on the page named below.", n
        )
        lines.append(more % {"n": n})
    if told.credits:
        lines.append(_("Pictures: %(credits)s.") % {"credits": "; ".join(map(said, told.credits))})
    now = _("What is known now: %(address)s") % {"address": address(request, release)}
    facts = _("Facts are CC0 1.0.")
    return [*lines, f"{facts} {now}"]


def address(request: HttpRequest, release: Release) -> str:
    return request.build_absolute_uri(reverse("release", kwargs={"public_id": release.public_id}))
