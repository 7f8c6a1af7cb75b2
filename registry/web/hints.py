"""While marks are drawn on a report's photographs: where they differ from the known variant. Offered, never marked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from django.http import QueryDict

from registry.errors import RegistryError
from registry.models import Photo
from registry.queries import compare as query
from registry.queries.compare import View
from registry.sentences import said
from registry.web.forms.region import PARTS
from registry.web.pairs import Beside, address


@dataclass
class Hint:
    """For one photograph of a draft: nothing until it is asked for; then the pair, or why there is none."""

    photo: Photo
    is_offered: bool
    pair: Beside | None = None
    fault: str = ""
    region: dict[str, Any] = field(default_factory=dict)
    """The fields of the place chosen, to begin a mark with."""

    @property
    def is_asked(self) -> bool:
        return bool(self.pair or self.fault)


def hint(photo: Photo, known: Sequence[Photo], asked: QueryDict) -> Hint:
    """`asked`: `compare` names the photograph, `place` the difference to begin a mark with.

    Queries: 1 where it is asked for, else none.
    """
    found = Hint(photo, is_offered=bool(known))
    chosen = query.best(known, [photo])
    if asked.get("compare") != photo.public_id or chosen is None:
        return found
    a, b = View(chosen[0]), View(photo)
    try:
        found.pair = Beside(a, b, address(a, b), query.compared(a, b))
    except RegistryError as refusal:
        found.fault = said(refusal)
        return found
    place = asked.get("place", "")
    places = found.pair.places
    if place.isascii() and place.isdecimal() and len(place) < 4 and 1 <= int(place) <= len(places):
        found.region = dict(zip(PARTS, places[int(place) - 1].seen.b, strict=True))
    return found
