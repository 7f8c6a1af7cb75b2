"""What is missing was kept as plain English; it is kept by its parts now.

How many votes a claim lacks may be read only by who may see its votes, and that is told from the parts: from the
sentences kept so far the number is taken out for good. `manage.py recompute`, or the next vote, brings it back.
"""

import re

from django.db import migrations

VOTES = re.compile(
    r"(?:a moderator's vote|\w+ more votes?) on (?P<about>.+?)"
    r"(?:, one of them a moderator's)?(?:, or \w+ by owners? with a photo of their own example)?"
)


def by_parts(sentence):
    found = VOTES.fullmatch(sentence)
    return ["more votes on %(about)s", "", {"about": found["about"]}] if found else [sentence, "", {}]


def keep_parts(apps, schema_editor):
    for name in ("Claim", "Variant", "Statement"):
        rows = apps.get_model("registry", name).objects.using(schema_editor.connection.alias)
        waiting = rows.exclude(missing=[]).only("pk", "missing")
        for row in waiting.iterator(chunk_size=1_000):
            rows.filter(pk=row.pk).update(missing=[by_parts(one) for one in row.missing])


class Migration(migrations.Migration):
    dependencies = [("registry", "0019_opened_drafts_and_remarks")]
    operations = [migrations.RunPython(keep_parts, migrations.RunPython.noop, elidable=True)]
