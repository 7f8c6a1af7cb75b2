"""Which claims are true and who judges what well, learnt together from the votes.

Read on in `ballots` (what goes in), `fit` (the model and its rounds), `rates` (how reviewers, kinds of trait and the
policy lean on one another), `layout` (the votes as a sparse matrix), `single` (one claim by rates that are fixed)
and `confusions` (which states are taken for which).
"""

from .ballots import KINDS, Ballots, Start
from .confusions import confusions
from .fit import Cells, Fit, fit
from .single import posterior, updated

__all__ = ["KINDS", "Ballots", "Cells", "Fit", "Start", "confusions", "fit", "posterior", "updated"]
