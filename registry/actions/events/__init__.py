"""What moderators do to whole variants: merge, split, strike, restore, retitle. Undoing is another event."""

from .merge import merge_variants
from .restore import restore_variant
from .split import Part, split_variant
from .strike import retitle_variant, strike_variant

__all__ = [
    "Part",
    "merge_variants",
    "restore_variant",
    "retitle_variant",
    "split_variant",
    "strike_variant",
]
