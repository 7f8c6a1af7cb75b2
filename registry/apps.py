"""The registry as a Django app. After migrating, the rows that every registry is born with are there."""

from typing import Any

from django.apps import AppConfig
from django.db import connections
from django.db.models.signals import post_migrate, pre_migrate


def add_built_ins(using: str, **kwargs: Any) -> None:
    """The built-in trait `cause` with its states, and the first policy. Adds what is missing, changes nothing."""
    from django.utils import timezone

    from registry.methods.policy import FIRST_POLICY
    from registry.models import CAUSE_KEY, Cause, Place, Policy, State, Trait, TraitKind
    from registry.models.base import in_english

    cause, _ = Trait.objects.using(using).get_or_create(
        key=CAUSE_KEY,
        line=None,
        casting=None,
        defaults={"name": "Cause", "place": Place.WHOLE, "kind": TraitKind.CAUSE},
    )
    for key, label in Cause.choices:
        State.objects.using(using).get_or_create(
            trait=cause, key=key, defaults={"name": str(in_english(label)), "is_built_in": True}
        )
    Policy.objects.using(using).get_or_create(
        version=FIRST_POLICY.version,
        defaults={"numbers": FIRST_POLICY.to_dict(), "adopted_at": timezone.now()},
    )


def lift_triggers(using: str, **kwargs: Any) -> None:
    """Before migrations: SQLite rebuilds no table that a trigger speaks of."""
    from registry.models import own_votes

    own_votes.lift(connections[using])


def install_triggers(using: str, **kwargs: Any) -> None:
    from registry.models import own_votes

    own_votes.install(connections[using])


class RegistryConfig(AppConfig):
    name = "registry"
    verbose_name = "Castlore registry"

    def ready(self) -> None:
        from registry.sentences import Sentence
        from registry.web.language import in_the_readers_language

        Sentence.translator = staticmethod(in_the_readers_language)
        pre_migrate.connect(lift_triggers, sender=self)
        post_migrate.connect(add_built_ins, sender=self)
        post_migrate.connect(install_triggers, sender=self)
