"""manage.py makemessages -l de: Gather what is said on pages, from templates, scripts and Python; needs gettext."""

from __future__ import annotations

from typing import Any

from django.core.management.commands import makemessages


class Command(makemessages.Command):
    """Django's own, which knows our marks too, looks at our code alone and guesses nothing."""

    help = "Gather what is to be translated into registry/locale."
    xgettext_options = [*makemessages.Command.xgettext_options, "--keyword=Sentence", "--keyword=counted:1,2"]
    msgmerge_options = [*makemessages.Command.msgmerge_options, "--no-fuzzy-matching"]

    def handle(self, *args: Any, **options: Any) -> None:
        options["ignore_patterns"] += [".*", "tests", "benchmarks", "fixtures", "shots"]
        options["no_obsolete"] = True
        options["add_location"] = "file"
        super().handle(*args, **options)
