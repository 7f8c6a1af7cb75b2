"""Two photographs compared: what differs, which marks say so, and which photograph to compare with."""

from .choose import Pair, best, counterpart, known_variant, marks_about, photos_beside, photos_to_compare
from .outcome import Compared, Seen, View, compared, kept

__all__ = [
    "Compared",
    "Pair",
    "Seen",
    "View",
    "best",
    "compared",
    "counterpart",
    "kept",
    "known_variant",
    "marks_about",
    "photos_beside",
    "photos_to_compare",
]
