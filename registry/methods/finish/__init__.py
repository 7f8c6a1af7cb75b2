"""How shiny a marked region is: a cue from the highlight that a raking lamp throws on it."""

from . import fitted
from .cue import RAKING, NoCue, ShineCue, features, shine_cue
from .streak import Streak, measure_streak

__all__ = ["RAKING", "NoCue", "ShineCue", "Streak", "features", "fitted", "measure_streak", "shine_cue"]
