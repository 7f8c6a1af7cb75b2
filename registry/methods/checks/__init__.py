"""The fewest checks that tell variants apart, and which cannot be told apart at all.

Read on in `pairs` (which traits tell which pair) and `covering` (the fewest traits that tell all pairs).
"""

from .minimal import MinimalChecks, minimal
from .pairs import Pair

__all__ = ["MinimalChecks", "Pair", "minimal"]
