"""How common each variant of a release is, from full counts only, and whether those are all of them.

Read on in `candidates` (what a line stands for), `counts` (what counts, and once), `shares` (shares and their
intervals), `richness` (what was not met), `proportions` (intervals for one share), `wording` (the same in plain
words) and `answer` (all of it together).
"""

from .answer import Abundance, Share, abundance, abundance_by
from .candidates import Known, candidates
from .counts import Cluster, Count, Line, PickedOver, Scope, weight
from .proportions import Absence, absence, clopper_pearson, jeffreys, none_seen, wilson
from .richness import Richness, richness
from .wording import about, absence_sentence, between, richness_sentence

__all__ = [
    "Absence",
    "Abundance",
    "Cluster",
    "Count",
    "Known",
    "Line",
    "PickedOver",
    "Richness",
    "Scope",
    "Share",
    "about",
    "absence",
    "absence_sentence",
    "abundance",
    "abundance_by",
    "between",
    "candidates",
    "clopper_pearson",
    "jeffreys",
    "none_seen",
    "richness",
    "richness_sentence",
    "weight",
    "wilson",
]
