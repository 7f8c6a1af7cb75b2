"""The order of a release, beside networkx."""
