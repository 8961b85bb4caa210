"""The usual ways of being paid, and what is usually sold besides pieces (common practice)."""

from django.db import migrations

KINDS = [("cash", "Cash", True), ("card", "Card", False), ("transfer", "Bank transfer", False), ("check", "Check", False)]
EXTRAS = [("wax", "Tin of wax"), ("shipping", "Shipping"), ("lesson", "Lesson")]


def sow(apps, schema_editor):
    kind = apps.get_model("sales", "PaymentKind")
    for position, (slug, name, is_cash) in enumerate(KINDS, 1):
        kind.objects.create(slug=slug, name=name, is_cash=is_cash, position=10 * position)
    extra = apps.get_model("sales", "Extra")
    for position, (slug, name) in enumerate(EXTRAS, 1):
        extra.objects.create(slug=slug, name=name, position=10 * position)


class Migration(migrations.Migration):
    dependencies = [("sales", "0001_initial")]

    operations = [migrations.RunPython(sow, migrations.RunPython.noop)]
