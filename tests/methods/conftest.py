"""On a busy machine a single example may take long: these tests judge answers, and one test judges speed."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "methods", settings(), deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.load_profile("methods")
