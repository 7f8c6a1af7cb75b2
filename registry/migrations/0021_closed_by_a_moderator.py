"""Of an opened draft that a moderator closed, what it showed then. Of earlier ones nothing is known: blank."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("registry", "0020_sentences_by_their_parts"),
    ]

    operations = [
        migrations.AddField(
            model_name="submission",
            name="closed_as",
            field=models.CharField(
                blank=True,
                help_text="Digest of what a moderator closed: as that it is not opened again. Blank otherwise.",
                max_length=64,
            ),
        ),
    ]
