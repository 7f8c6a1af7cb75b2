"""How long a refit of all votes takes, and whether liars get their way.

    python -m benchmarks.consensus             everything: about a quarter of an hour on two cores
    python -m benchmarks.consensus refit       against crowd-kit's Dawid and Skene on the same votes
    python -m benchmarks.consensus ring        1,000 runs against a ring of a fifth
    python -m benchmarks.consensus mixes       calibration, and mistakes against the majority's

`refit` runs each side in a process of its own, so that its peak memory is its own; it needs crowd-kit
(requirements-oracle.txt). Every world is drawn from a fixed seed.
"""
