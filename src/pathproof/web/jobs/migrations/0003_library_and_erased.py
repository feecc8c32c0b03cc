"""Standings know of which library they are; forms that made erased jobs make none again."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0002_only_ever_added")]
    operations = [
        migrations.AddField(
            model_name="standing",
            name="library",
            field=models.CharField(default="", max_length=64),
        ),
        migrations.CreateModel(
            name="ErasedForm",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(unique=True)),
            ],
        ),
    ]
