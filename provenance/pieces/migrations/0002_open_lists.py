"""The trade's usual forms of work, edges, causes of loss and finishes (common practice).

Food-contact sources are United States rules about ingredients; a rule that names an ingredient
approves no finished bowl. Cure days are common practice for thin coats in a warm, dry room: the
maker's label comes first.
"""

from django.db import migrations

FORMS = [
    ("bowl", "bowl", "food", False),
    ("salad-bowl", "salad bowl", "food", False),
    ("natural-edge-bowl", "natural-edge bowl", "display", False),
    ("platter", "platter", "food", False),
    ("vase", "vase", "display", False),
    ("hollow-form", "hollow form", "display", False),
    ("lidded-box", "lidded box", "display", False),
    ("urn", "urn", "display", False),
    ("goblet", "goblet", "display", False),
    ("pen", "pen", "hand", True),
    ("stopper", "bottle stopper", "hand", True),
    ("handle", "handle", "hand", True),
    ("ornament", "ornament", "display", False),
    ("other", "other work", "display", False),
]
EDGES = [
    ("plain", "plain edge"),
    ("natural", "natural edge, bark on"),
    ("natural-bare", "natural edge, bark off"),
    ("beaded", "beaded"),
    ("undercut", "undercut"),
    ("flared", "flared"),
]
CAUSES = [
    ("cracked", "cracked"),
    ("warped", "warped too far to true up"),
    ("torn-out", "torn out or flew off the lathe"),
    ("too-thin", "turned through"),
    ("rot", "rot"),
    ("insects", "bug-eaten"),
    ("hidden-flaw", "hidden flaw, nail or bark pocket"),
    ("burnt", "burnt or spoilt in finishing"),
    ("unknown", "not known"),
    ("mistake", "entered by mistake, never made"),
]
FINISHES = [
    ("mineral-oil", "mineral oil", "oil", 1, "", "21 CFR 172.878 and 178.3620(a) name the ingredient"),
    ("oil-beeswax", "mineral oil and beeswax", "oil-wax", 2, "", "21 CFR 172.878, 184.1973 name the ingredients"),
    ("walnut-oil", "walnut oil", "oil", 30, "walnut oil, a tree-nut oil", "common practice"),
    ("tung-oil", "tung oil", "oil", 30, "", "common practice"),
    ("beeswax", "beeswax", "wax", 1, "", "21 CFR 184.1973 names the ingredient"),
    ("paste-wax", "paste wax", "wax", 2, "", "common practice"),
    ("lacquer", "lacquer", "film", 30, "", "common practice"),
    ("varnish", "wiping varnish", "film", 30, "", "common practice"),
    ("shellac", "shellac", "film", 7, "", "common practice"),
    ("friction-polish", "friction polish", "friction", 3, "", "common practice"),
    ("none", "no finish", "none", 0, "", ""),
]


def seed(apps, schema_editor):
    def add(model, rows, *names):
        for position, (slug, *values) in enumerate(rows, 1):
            facts = dict(zip(names, values), position=position * 10)
            apps.get_model("pieces", model).objects.get_or_create(slug=slug, defaults=facts)

    add("Form", FORMS, "name", "use", "is_long")
    add("Edge", EDGES, "name")
    add("LossCause", CAUSES, "name")
    add("Finish", FINISHES, "name", "kind", "cure_days", "allergen", "source")


class Migration(migrations.Migration):
    dependencies = [("pieces", "0001_initial")]
    operations = [migrations.RunPython(seed, migrations.RunPython.noop)]
