from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("registry", "0003_search_by_trigrams")]
    operations = []
