from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("registry", "0007_variant_events")]
    operations = []
