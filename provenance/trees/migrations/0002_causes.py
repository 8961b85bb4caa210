"""The trade's usual reasons for a tree to come down."""

from django.db import migrations

CAUSES = [
    ("storm", "storm", "A storm brought it down"),
    ("disease", "disease or insects", "Disease or insects had it felled"),
    ("dead", "dead or declining", "It was dead or dying when it came down"),
    ("hazard", "hazard to people or buildings", "It stood too near to people or buildings and came down"),
    ("construction", "construction", "Building work wanted its place; it came down"),
    ("utility", "utility clearance", "It was felled to clear a utility line"),
    ("outgrown", "outgrown its place", "It had outgrown its place and was felled"),
    ("other", "another reason", "It came down"),
]


def seed(apps, schema_editor):
    Cause = apps.get_model("trees", "Cause")
    for position, (slug, name, sentence) in enumerate(CAUSES, 1):
        Cause.objects.get_or_create(
            slug=slug, defaults={"name": name, "sentence": sentence, "position": position * 10}
        )


class Migration(migrations.Migration):
    dependencies = [("trees", "0001_initial")]
    operations = [migrations.RunPython(seed, migrations.RunPython.noop)]
