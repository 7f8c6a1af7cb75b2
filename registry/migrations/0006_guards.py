from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("registry", "0005_fits")]
    operations = []
