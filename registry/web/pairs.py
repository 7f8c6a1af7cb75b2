"""Two photographs side by side, with the places where they differ, as a page shows them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from registry.queries.compare import Compared, Pair, Seen, View, kept
from registry.web.pictures import crop_round, drawn_mark

CUES = {
    "colour": gettext_lazy("The colour differs"),
    "lightness": gettext_lazy("One is lighter"),
    "pattern": gettext_lazy("The pattern differs"),
}


@dataclass(frozen=True)
class Place:
    """One difference: what to say of it, and a view of each picture round it."""

    seen: Seen
    crop_a: str
    crop_b: str

    @property
    def words(self) -> str:
        return str(CUES[self.seen.cue])

    @property
    def where(self) -> str:
        left, top, width, height = (f"{part:.0f}" for part in self.seen.a)
        place = {"left": left, "top": top, "width": width, "height": height}
        return _("left %(left)s %%, top %(top)s %%, width %(width)s %%, height %(height)s %%") % place


@dataclass(frozen=True)
class Beside:
    """`compared` is nothing as long as nobody asked."""

    a: View
    b: View
    address: str
    compared: Compared | None

    @property
    def places(self) -> list[Place]:
        seen = self.compared.differences if self.compared else []
        return [Place(one, crop(one.a, self.a), crop(one.b, self.b)) for one in seen]

    @property
    def drawn_a(self) -> list[dict[str, int]]:
        return drawn([one.a for one in self.compared.differences] if self.compared else [], self.a)

    @property
    def drawn_b(self) -> list[dict[str, int]]:
        return drawn([one.b for one in self.compared.differences] if self.compared else [], self.b)

    @property
    def size_a(self) -> int:
        return max(18, self.a.photo.width // 32)

    @property
    def size_b(self) -> int:
        return max(18, self.b.photo.width // 32)

    @property
    def homography(self) -> str:
        """Nine numbers with blanks between, for the script; nothing where they do not fit."""
        found = self.compared.homography if self.compared else None
        return " ".join(map(str, found or ()))


def hundredths(box: Any) -> tuple[float, ...]:
    return tuple(part * 100 for part in box)


def drawn(boxes: list[Any], view: View) -> list[dict[str, int]]:
    size = max(18, view.photo.width // 32)
    return [drawn_mark(hundredths(box), view.photo, size) for box in boxes]


def crop(box: Any, view: View) -> str:
    return " ".join(f"{part:.0f}" for part in crop_round(hundredths(box), view.photo))


def address(a: View, b: View, is_mirrored: bool = False) -> str:
    said = {"a": a.photo.public_id, "b": b.photo.public_id}
    said |= {
        f"{name}_xywh": view.fragment.removeprefix("xywh=")
        for name, view in (("a", a), ("b", b))
        if view.xywh
    }
    return f"{reverse('compare')}?{urlencode(said | ({'mirrored': 'true'} if is_mirrored else {}))}"


def beside(pair: Pair | None) -> Beside | None:
    """The pair with what is known of it already; nothing is worked out. Queries: 1 at most."""
    return Beside(pair.a, pair.b, address(pair.a, pair.b), kept(pair.a, pair.b)) if pair else None
