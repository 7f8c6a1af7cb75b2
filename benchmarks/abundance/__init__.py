"""Shares and unmet kinds, beside statsmodels and scikit-bio."""
