from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("registry", "0006_guards")]
    operations = []
