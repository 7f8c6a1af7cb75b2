"""How to look at a detail, by its kind: said beside its own note, with where to read more."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from registry.models import TraitKind


@dataclass(frozen=True)
class Looking:
    """`anchor`: the part of the page on photographing that says more."""

    words: str | Promise
    anchor: str = ""


BY_KIND = {
    TraitKind.PRINT: Looking(
        _(
            "Hold it straight before you. Compare shape, place and edge; a print sits a little higher or lower on "
            "each item. One that is missing on one side only is first suspected an error."
        ),
        "print-and-text",
    ),
    TraitKind.COLOUR: Looking(
        _("Look in daylight, in the shade, both items side by side; then swap their places and look again."),
        "dark",
    ),
    TraitKind.FINISH: Looking(
        _("Let a lamp graze the surface from the side: gloss shows a sharp streak, matte a soft glow."),
        "gloss",
    ),
    TraitKind.TOOLING: Looking(
        _(
            "Feel and look for edges, holes and ribs in the metal or plastic itself, not for what is painted on it."
        ),
        "size",
    ),
    TraitKind.WHEEL: Looking(
        _(
            "Look from the side at the height of the hub. Wheels can be swapped: look at the axle ends as well."
        ),
        "wheels",
    ),
    TraitKind.MATERIAL: Looking(
        _("Tap it and hold it to the light: metal rings and is cold, plastic is not.")
    ),
    TraitKind.PART: Looking(
        _("See whether the part is there and sits as it should; a part can be taken off or put on."), "loose"
    ),
    TraitKind.COUNT: Looking(_("Count twice, from both ends.")),
    TraitKind.MEASURE: Looking(
        _("Lay a ruler beside it at the same height; then it can be measured on the photograph."), "size"
    ),
    TraitKind.TEXT: Looking(
        _("Read it letter by letter, with a magnifier; turn it until no letter shines."), "print-and-text"
    ),
}


def looking_at(kind: str) -> Looking | None:
    """None for a cause, which is settled by reasons and not by looking."""
    return BY_KIND.get(TraitKind(kind))
