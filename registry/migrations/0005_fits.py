from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("registry", "0004_journal_chain")]
    operations = []
