import sys

from . import __doc__ as usage
from .refit import run as refit
from .simulations import mixes, ring

PARTS = {"refit": refit, "ring": ring, "mixes": mixes}

wanted = sys.argv[1:] or list(PARTS)
if unknown := set(wanted) - set(PARTS):
    sys.exit(f"there is no part {', '.join(sorted(unknown))}\n\n{usage}")
for part in wanted:
    PARTS[part]()
